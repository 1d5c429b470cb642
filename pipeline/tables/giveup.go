package tables

// GiveUp gives up the memory of columns of a large table that nobody will ask for any
// more: they read as empty from then on, in all copies of the frame. Other tables keep
// theirs, which is little. No goroutine may read the frame meanwhile.
func (f Frame[R]) GiveUp(columns ...string) {
	if f.pack == nil {
		return
	}
	for _, name := range columns {
		c := &f.pack.columns[f.columnIndex(name)]
		*c = packed{form: c.form}
	}
}
