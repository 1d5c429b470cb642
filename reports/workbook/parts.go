package workbook

import (
	"bytes"
	"fmt"
)

// The library writes the workbook's parts; cells and their texts, columns, tables and
// links out of the workbook are written here and join them when all is known.

// Names of parts, and how they begin.
const (
	contentsPart = "[Content_Types].xml"
	textsPart    = "xl/sharedStrings.xml"
	xmlHead      = `<?xml version="1.0" encoding="UTF-8"?>` + "\n"

	office = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
)

// complete adds to the parts that the library wrote what is written here.
func (b *book) complete(c *collected) error {
	if err := c.replace(textsPart, func([]byte) ([][]byte, error) { return b.texts.part(), nil }); err != nil {
		return err
	}
	var listed []byte
	for i, t := range b.tables {
		c.add(tablePart(i+1), t)
		listed = fmt.Appendf(listed, `<Override PartName="/%s" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.table+xml"/>`, tablePart(i+1))
	}
	if err := c.insert(contentsPart, listed, "</Types>"); err != nil {
		return err
	}
	for name, cells := range b.cells {
		file := fmt.Sprintf("sheet%d.xml", b.parts[name])
		if err := c.replace("xl/worksheets/"+file, cells.mend); err != nil {
			return err
		}
		leads := cells.relations()
		if len(leads) == 0 {
			continue
		}
		const end = "</Relationships>"
		relations := "xl/worksheets/_rels/" + file + ".rels"
		if c.find(relations) == nil {
			c.add(relations, []byte(xmlHead+`<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">`+end))
		}
		if err := c.insert(relations, leads, end); err != nil {
			return err
		}
	}
	return nil
}

// mend puts cells, links and tables into the part of their sheet.
func (c *cells) mend(part []byte) ([][]byte, error) {
	const data, links, end = "<sheetData></sheetData>", "</hyperlinks>", "</worksheet>"
	if !bytes.Contains(part, []byte(`xmlns:r="`+office+`"`)) {
		return nil, fmt.Errorf("the workbook library names relations otherwise")
	}
	before, after, found := bytes.Cut(part, []byte(data))
	if !found {
		return nil, fmt.Errorf("the workbook library no longer leaves the data of a sheet empty")
	}
	out := append([][]byte{before}, c.part()...)
	if len(c.outer) > 0 {
		// Every sheet with a table has a link already, to the first sheet.
		if before, after, found = bytes.Cut(after, []byte(links)); !found {
			return nil, fmt.Errorf("the workbook library no longer writes links as it did")
		}
		var more []byte
		for i, l := range c.outer {
			more = fmt.Appendf(more, `<hyperlink ref="%s" r:id="%s"/>`, l.cell, linkID(i))
		}
		out = append(out, before, more, []byte(links))
	}
	if len(c.tables) > 0 {
		if before, after, found = bytes.Cut(after, []byte(end)); !found {
			return nil, fmt.Errorf("the workbook library no longer ends a sheet as it did")
		}
		more := fmt.Appendf(nil, `<tableParts count="%d">`, len(c.tables))
		for _, n := range c.tables {
			more = fmt.Appendf(more, `<tablePart r:id="%s"/>`, tableID(n))
		}
		out = append(out, before, append(more, "</tableParts>"+end...))
	}
	return append(out, after), nil
}

// relations list what the sheet leads to, beside what the library lists.
func (c *cells) relations() []byte {
	var out []byte
	for _, n := range c.tables {
		out = fmt.Appendf(out, `<Relationship Id="%s" Type="`+office+`/table" Target="../tables/table%d.xml"/>`, tableID(n), n)
	}
	for i, l := range c.outer {
		out = fmt.Appendf(out, `<Relationship Id="%s" Type="`+office+`/hyperlink" TargetMode="External" Target="`, linkID(i))
		out = append(appendEscaped(out, l.target), `"/>`...)
	}
	return out
}

// tableID and linkID are unlike the library's rId1, rId2 and so on.
func tableID(number int) string { return fmt.Sprintf("rIdTable%d", number) }
func linkID(link int) string    { return fmt.Sprintf("rIdLink%d", link+1) }
