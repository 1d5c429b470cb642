package workbook

import (
	"fmt"
	"strconv"

	"github.com/xuri/excelize/v2"
)

// tablePart is the name of a table's part in the file, the first being 1.
func tablePart(number int) string { return fmt.Sprintf("xl/tables/table%d.xml", number) }

// addTable makes an area a table with filters. The library lists the table; its part
// is written here, because the library would look for the headers among cells that it
// does not know, and with each new table it decodes those of all former ones.
func (s *sheet) addTable(a area, name string) {
	if s.b.err != nil {
		return
	}
	number, none := len(s.b.tables)+1, false
	s.b.fail(s.b.file.AddTable(s.name, &excelize.Table{Range: "A1:A2", Name: name, ShowHeaderRow: &none}))
	if _, ok := s.b.file.Pkg.Load(tablePart(number)); !ok {
		s.b.fail(fmt.Errorf("the workbook library no longer keeps table %s in %s", name, tablePart(number)))
		return
	}
	s.b.file.Pkg.Store(tablePart(number), fmt.Appendf(nil, `<table id="%d" name="%s"/>`, number, name))
	s.b.tables = append(s.b.tables, tableXML(a, name, number))
}

func tableXML(a area, name string, number int) []byte {
	at := ref(1, a.head) + ":" + ref(len(a.heads), a.last())
	out := fmt.Appendf(nil, `<?xml version="1.0" encoding="UTF-8"?>`+"\n"+
		`<table xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" id="%d" name="%s" displayName="%s" ref="%s"><autoFilter ref="%s"/><tableColumns count="%d">`,
		number, name, name, at, at, len(a.heads))
	for i, head := range a.heads {
		out = strconv.AppendInt(append(out, `<tableColumn id="`...), int64(i+1), 10)
		out = append(appendEscaped(append(out, `" name="`...), head), `"/>`...)
	}
	return append(out, `</tableColumns><tableStyleInfo name="TableStyleLight1" showFirstColumn="0" showLastColumn="0" showRowStripes="0" showColumnStripes="0"/></table>`...)
}
