package ingest

import (
	"archive/zip"
	"fmt"
	"io"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

const mainSpace = `xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"`

// noisy writes a part of a text that stands many times among comments of random
// letters, so that it unpacks to less than 100 times its size.
func noisy(w *zip.Writer, name, before, text string, size int, after string) {
	p, err := w.Create(name)
	if err != nil {
		return
	}
	io.WriteString(p, before)
	rng := rand.New(rand.NewPCG(1, 2))
	piece := strings.Repeat(text, 1+30_000/len(text))
	for n := 0; n < size; n += len(piece) + 607 {
		noise := make([]byte, 600)
		for i := range noise {
			noise[i] = "abcdefghijklmnopqrstuvwxyz012345"[rng.IntN(32)]
		}
		io.WriteString(p, piece+"<!--"+string(noise)+"-->")
	}
	io.WriteString(p, after)
}

// quietBombs are workbooks of parts none of which is conspicuous by its size or
// its ratio.
func quietBombs(t *testing.T) map[string][]byte {
	instead := func(name, before, text string, size int, after string) []byte {
		parts := smallWorkbook(t)
		delete(parts, name)
		return packed(t, parts, func(w *zip.Writer) { noisy(w, name, before, text, size, after) })
	}
	many := func(n int, name, before, text string, size int, after string) []byte {
		return packed(t, smallWorkbook(t), func(w *zip.Writer) {
			for i := range n {
				noisy(w, fmt.Sprintf(name, i+2), before, text, size, after)
			}
		})
	}
	const end = `</sheetData></worksheet>`
	row := `<row><c><v>1</v></c></row>`
	return map[string][]byte{
		"sheets below the limit":  many(16, "xl/worksheets/sheet%d.xml", sheetStart, row, 60<<20, end),
		"sheets of other names":   many(16, "xl/worksheets/page%d.xml", sheetStart, row, 60<<20, end),
		"pictures":                many(16, "xl/media/%d.png", "", "xxxxxxxx", 60<<20, ""),
		"drawings":                many(60, "xl/drawings/d%d.xml", "<a>", "<b/>", 15<<20, "</a>"),
		"many texts":              instead("xl/sharedStrings.xml", `<sst `+mainSpace+`>`, `<si><t>x</t></si>`, 60<<20, `</sst>`),
		"one text of many pieces": instead("xl/sharedStrings.xml", `<sst `+mainSpace+`><si>`, `<r><t>x</t></r>`, 15<<20, `</si></sst>`),
		"many formats":            instead("xl/styles.xml", `<styleSheet `+mainSpace+`><cellXfs>`, `<xf/>`, 15<<20, `</cellXfs></styleSheet>`),
		"many sheets named":       instead("xl/workbook.xml", `<workbook `+mainSpace+`><sheets>`, `<sheet name="a" sheetId="1"/>`, 15<<20, `</sheets></workbook>`),
		"many rows":               instead(sheetPart, sheetStart, row, 1000<<20, end),
		"just under: sheets":      many(16, "xl/worksheets/sheet%d.xml", sheetStart, `<row>`+strings.Repeat(`<c><v>1</v></c>`, 100)+`</row>`, 60<<20, end),
		"just under: empty":       instead(sheetPart, sheetStart, `<row>`+strings.Repeat(`<c/>`, 7_000)+`</row>`, 240<<20, end),
		"just under: texts":       instead("xl/sharedStrings.xml", `<sst `+mainSpace+`>`, `<si><t>x</t></si>`, 17<<20, `</sst>`),
		"just under: formats":     instead("xl/styles.xml", `<styleSheet `+mainSpace+`><cellXfs>`, `<xf/>`, 5*240_000, `</cellXfs></styleSheet>`),
		"just under: names":       instead("xl/workbook.xml", `<workbook `+mainSpace+`><sheets>`, `<sheet name="a" sheetId="1"/>`, 28*9_000, `</sheets></workbook>`),
		"many empty cells":        instead(sheetPart, sheetStart, `<row>`+strings.Repeat(`<c/>`, 16_000)+`</row>`, 600<<20, end),
	}
}

// TestQuietBombsTakeLittleMemory: some are read, because what is large in them
// is not needed; the others are refused.
func TestQuietBombsTakeLittleMemory(t *testing.T) {
	readApart(t, quietBombs, func(t *testing.T, res Result) {
		if res.Studio.Casts.Len() == 0 {
			require.ErrorIs(t, res.Reading.NothingUsable(), ErrNothingUsable)
		}
	})
}
