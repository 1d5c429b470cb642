package ingest

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
)

// parts are the parts of a small honest workbook.
func smallWorkbook(t testing.TB) map[string][]byte {
	f := excelize.NewFile()
	defer f.Close()
	for i, row := range [][]any{{"Date", "Mold", "Dwell (min)", "Wall (mm)"}, {"2025-03-01", "A", 20, 5.1}, {"2025-03-02", "A", 25, 5.6}} {
		require.NoError(t, f.SetSheetRow("Sheet1", fmt.Sprintf("A%d", i+1), &row))
	}
	b, err := f.WriteToBuffer()
	require.NoError(t, err)
	r, err := zip.NewReader(bytes.NewReader(b.Bytes()), int64(b.Len()))
	require.NoError(t, err)
	parts := map[string][]byte{}
	for _, p := range r.File {
		in, err := p.Open()
		require.NoError(t, err)
		parts[p.Name], err = io.ReadAll(in)
		require.NoError(t, err)
	}
	return parts
}

const sheetPart = "xl/worksheets/sheet1.xml"

// packed zips parts, with others written by fill.
func packed(t testing.TB, parts map[string][]byte, fill func(w *zip.Writer)) []byte {
	var b bytes.Buffer
	w := zip.NewWriter(&b)
	for _, name := range sortedNames(parts) {
		p, err := w.Create(name)
		require.NoError(t, err)
		_, err = p.Write(parts[name])
		require.NoError(t, err)
	}
	if fill != nil {
		fill(w)
	}
	require.NoError(t, w.Close())
	return b.Bytes()
}

func sortedNames(parts map[string][]byte) []string {
	var names []string
	for _, n := range []string{"[Content_Types].xml", "_rels/.rels", "xl/workbook.xml", "xl/_rels/workbook.xml.rels", "xl/styles.xml", "xl/sharedStrings.xml", "xl/theme/theme1.xml", sheetPart, "docProps/app.xml", "docProps/core.xml"} {
		if parts[n] != nil {
			names = append(names, n)
		}
	}
	return names
}

// repeated writes a part of a text that stands many times.
func repeated(name, before, text string, times int, after string) func(w *zip.Writer) {
	return func(w *zip.Writer) {
		p, err := w.Create(name)
		if err != nil {
			return
		}
		io.WriteString(p, before)
		piece := []byte(strings.Repeat(text, 1000))
		for range times / 1000 {
			p.Write(piece)
		}
		io.WriteString(p, after)
	}
}

const sheetStart = `<?xml version="1.0" encoding="UTF-8"?><worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>`

// bombs are workbooks that are small and unpack to much, or lie about it.
func bombs(t *testing.T) map[string][]byte {
	without := func(name string) map[string][]byte {
		parts := smallWorkbook(t)
		delete(parts, name)
		return parts
	}
	lying := packed(t, without(sheetPart), repeated(sheetPart, sheetStart, `<row><c><v>1</v></c></row>`, 4_000_000, `</sheetData></worksheet>`))
	return map[string][]byte{
		"sheet of repeated cells":  packed(t, without(sheetPart), repeated(sheetPart, sheetStart, `<row><c><v>1</v></c></row>`, 30_000_000, `</sheetData></worksheet>`)),
		"elements within elements": packed(t, without(sheetPart), repeated(sheetPart, sheetStart, `<row><c>`, 400_000, ``)),
		"huge shared strings":      packed(t, without("xl/sharedStrings.xml"), repeated("xl/sharedStrings.xml", `<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">`, `<si><t>x</t></si>`, 30_000_000, `</sst>`)),
		"huge styles":              packed(t, without("xl/styles.xml"), repeated("xl/styles.xml", `<styleSheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><cellXfs>`, `<xf numFmtId="1"/>`, 5_000_000, `</cellXfs></styleSheet>`)),
		"many parts": packed(t, smallWorkbook(t), func(w *zip.Writer) {
			for i := range 20_000 {
				w.Create(fmt.Sprintf("xl/media/%d.png", i))
			}
		}),
		"entities":             packed(t, without(sheetPart), repeated(sheetPart, `<?xml version="1.0"?><!DOCTYPE l [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">]><worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>`, `<row><c t="str"><v>&b;&b;&b;</v></c></row>`, 1000, `</sheetData></worksheet>`)),
		"lying about its size": understated(t, lying),
	}
}

// understated changes what an archive says of the unpacked size of its sheet,
// in the directory and before the part.
func understated(t *testing.T, data []byte) []byte {
	out := bytes.Clone(data)
	at := bytes.LastIndex(out, []byte("PK\x01\x02"))
	require.Positive(t, at)
	binary.LittleEndian.PutUint32(out[at+24:], 1000)
	binary.LittleEndian.PutUint32(out[at+16:], crc32.ChecksumIEEE(nil))
	return out
}

func TestBombsAreRefusedInSmallMemoryAndTime(t *testing.T) {
	readApart(t, bombs, func(t *testing.T, res Result) {
		require.NotEmpty(t, res.Problems)
		require.ErrorIs(t, res.Reading.NothingUsable(), ErrNothingUsable)
	})
}

// Whatever stands in a part of a workbook, reading ends, the account closes and
// every row set aside has a problem.
func FuzzWorkbook(f *testing.F) {
	parts := smallWorkbook(f)
	names := []string{sheetPart, "xl/sharedStrings.xml", "xl/styles.xml", "xl/workbook.xml", "xl/_rels/workbook.xml.rels"}
	for i, n := range names {
		f.Add(uint8(i), parts[n])
	}
	f.Add(uint8(0), []byte(sheetStart+`<row r="3"><c r="XFD3" t="s"><v>99999</v></c></row><row r="2"><c r="B2"><f>1/0</f></c></row></sheetData><mergeCells><mergeCell ref="A1:B9"/></mergeCells></worksheet>`))
	f.Fuzz(func(t *testing.T, which uint8, content []byte) {
		mutated := map[string][]byte{}
		for n, p := range parts {
			mutated[n] = p
		}
		mutated[names[int(which)%len(names)]] = content
		path := filepath.Join(t.TempDir(), "a.xlsx")
		if err := os.WriteFile(path, packed(t, mutated, nil), 0o600); err != nil {
			t.Fatal(err)
		}
		res, err := Read(context.Background(), []Source{{Name: "a.xlsx", Path: path}}, Options{})
		if err != nil {
			t.Fatal(err)
		}
		defer res.Studio.Release()
		checkProblems(t, res.Problems, res.Reading)
	})
}
