package workbook

import (
	"fmt"
	"maps"
)

// tablePart is the name of a table's part in the file, the first being 1.
func tablePart(number int) string { return fmt.Sprintf("xl/tables/table%d.xml", number) }

// setTableAside leaves number and name alone of the part of the table made last: with
// each new table the library decodes those of all former ones, twice, for these.
func (b *book) setTableAside(name string) {
	if b.err != nil {
		return
	}
	number := len(b.tables) + 1
	written, ok := b.file.Pkg.Load(tablePart(number))
	if !ok {
		b.fail(fmt.Errorf("the workbook library no longer keeps table %s in %s", name, tablePart(number)))
		return
	}
	b.tables = append(b.tables, written.([]byte))
	b.file.Pkg.Store(tablePart(number), fmt.Appendf(nil, `<table id="%d" name="%s"/>`, number, name))
}

// mended are the changes to parts when the file is written, by their names: tables put
// back, and results of formulas put in.
func (b *book) mended() map[string]func([]byte) []byte {
	out := map[string]func([]byte) []byte{}
	for i, written := range b.tables {
		out[tablePart(i+1)] = func([]byte) []byte { return written }
	}
	maps.Copy(out, b.withResults())
	return out
}
