package workbook

import (
	"bytes"
	"fmt"
)

// The library writes the workbook's parts; some of what they hold is written here
// and takes its place when all is known: cells, their texts, links out of the
// workbook, and tables.

// textsPart is the name of the part with the texts of cells.
const textsPart = "xl/sharedStrings.xml"

// mended are the parts that take what is written here, by name: each is made of its
// former content.
func (b *book) mended() map[string]func([]byte) ([][]byte, error) {
	out := map[string]func([]byte) ([][]byte, error){
		textsPart: func([]byte) ([][]byte, error) { return b.texts.part(), nil },
	}
	for i, t := range b.tables {
		out[tablePart(i+1)] = func([]byte) ([][]byte, error) { return [][]byte{t}, nil }
	}
	for sheet, c := range b.cells {
		file := fmt.Sprintf("sheet%d.xml", b.parts[sheet])
		out["xl/worksheets/"+file] = c.mend
		if len(c.outer) > 0 {
			out["xl/worksheets/_rels/"+file+".rels"] = c.mendRelations
		}
	}
	return out
}

// mend puts the cells, and the links out of the workbook, into the part of their sheet.
func (c *cells) mend(part []byte) ([][]byte, error) {
	before, after, found := bytes.Cut(part, []byte("<sheetData></sheetData>"))
	if !found {
		return nil, fmt.Errorf("the workbook library no longer leaves the data of a sheet empty")
	}
	out := append([][]byte{before}, c.part()...)
	if len(c.outer) == 0 {
		return append(out, after), nil
	}
	const end = "</hyperlinks>" // every sheet with a table has one link, to the first sheet
	before, after, found = bytes.Cut(after, []byte(end))
	if !found {
		return nil, fmt.Errorf("the workbook library no longer writes links as it did")
	}
	var links []byte
	for i, l := range c.outer {
		links = fmt.Appendf(links, `<hyperlink ref="%s" r:id="%s"/>`, l.cell, relationID(i))
	}
	return append(out, before, links, []byte(end), after), nil
}

// mendRelations puts the targets of links out of the workbook into the list of what
// their sheet leads to.
func (c *cells) mendRelations(part []byte) ([][]byte, error) {
	const end = "</Relationships>"
	before, after, found := bytes.Cut(part, []byte(end))
	if !found {
		return nil, fmt.Errorf("the workbook library no longer lists what a sheet leads to as it did")
	}
	var targets []byte
	for i, l := range c.outer {
		targets = fmt.Appendf(targets, `<Relationship Id="%s" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/hyperlink" TargetMode="External" Target="`, relationID(i))
		targets = append(appendEscaped(targets, l.target), `"/>`...)
	}
	return [][]byte{before, targets, []byte(end), after}, nil
}

// relationID is unlike those of the library, rId1 and so on.
func relationID(link int) string { return fmt.Sprintf("rIdOut%d", link+1) }
