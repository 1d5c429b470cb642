package workbook

import (
	"fmt"
	"strconv"
)

// tablePart is the name of a table's part in the file, the first being 1.
func tablePart(number int) string { return fmt.Sprintf("xl/tables/table%d.xml", number) }

// addTable makes an area a table with filters. It is not told to the library, which
// would decode all former tables for each new one.
func (s *sheet) addTable(a area, name string) {
	number := len(s.b.tables) + 1
	s.b.tables = append(s.b.tables, tableXML(a, name, number))
	s.cells.tables = append(s.cells.tables, number)
}

func tableXML(a area, name string, number int) []byte {
	at := ref(1, a.head) + ":" + ref(len(a.heads), a.last())
	out := fmt.Appendf(nil, xmlHead+`<table xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" id="%d" name="%s" displayName="%s" ref="%s"><autoFilter ref="%s"/><tableColumns count="%d">`,
		number, name, name, at, at, len(a.heads))
	for i, head := range a.heads {
		out = strconv.AppendInt(append(out, `<tableColumn id="`...), int64(i+1), 10)
		out = append(appendEscaped(append(out, `" name="`...), head), `"/>`...)
	}
	return append(out, `</tableColumns><tableStyleInfo name="TableStyleLight1" showFirstColumn="0" showLastColumn="0" showRowStripes="0" showColumnStripes="0"/></table>`...)
}
