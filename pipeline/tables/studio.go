package tables

// Studio is everything read from one studio's spreadsheets: the input tables,
// and the register of where each row stood. Tables that were not there have no
// rows.
type Studio struct {
	Molds  Frame[Mold]
	Pours  Frame[Pour]
	Gaps   Frame[Gap]
	Casts  Frame[Cast]
	Slips  Frame[Slip]
	Forms  Frame[Form]
	Prices Frame[Price]
	Orders Frame[Order]
	Blocks Blocks
}

// Release gives the Arrow memory of all tables back.
func (s Studio) Release() {
	s.Molds.Release()
	s.Pours.Release()
	s.Gaps.Release()
	s.Casts.Release()
	s.Slips.Release()
	s.Forms.Release()
	s.Prices.Release()
	s.Orders.Release()
}

// Inputs lists the declarations of all input tables, in the order of the template.
func Inputs() []Table {
	return []Table{Of[Mold](), Of[Pour](), Of[Gap](), Of[Cast](), Of[Slip](), Of[Form](), Of[Price](), Of[Order]()}
}
