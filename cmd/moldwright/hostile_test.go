package main

import (
	"archive/zip"
	"bytes"
	"encoding/csv"
	"encoding/xml"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
	"golang.org/x/net/html"

	"moldwright/reports/outdir"
)

// attacks are names that would do something if they were taken for more than names.
func attacks() []string {
	return []string{
		"../../../etc/passwd", `..\..\windows\x`, "CON", "nul.csv", "a:b", "x.", "=cmd|'/c calc'!A1", "@SUM(A1)", "+1+1", "-2+3",
		"<script>alert(1)</script>", `"><img src=x onerror=alert(1)>`, "{{.}}", "]]>", "&amp;", "%s%n", "\x1b[31mred\x1b]0;title\x07", "\u202eevil", strings.Repeat("long ", 60), "鉢 чаша",
	}
}

// names of outputs never come from the log.
var outputNames = regexp.MustCompile(`^(charts/[a-z0-9_]+\.(svg|png)|tables/[a-z_]+\.(csv|parquet)|report\.(xlsx|html)|run\.json)$`)

func TestNamesOutOfTheLogStayNames(t *testing.T) {
	log := smallLog(t, attacks()...)
	for _, name := range []string{"=1+1.csv", "<img src=x onerror=alert(1)>.csv", "#1 50% & more?.csv", "a b.csv"} {
		text := "date,mold,dwell (min),wall (mm)\n2025-04-01,CON,20,4.2\nsoon,CON,20,x\n"
		if err := os.WriteFile(filepath.Join(log, name), []byte(text+name+",,,\n"), 0o644); err != nil {
			t.Log("not every system takes every name:", err)
		}
	}
	harmless(t, log)
}

// TestNamesOfSheetsStayNames gives sheets names that no spreadsheet program allows,
// on sheets that are read and on others that are asked about.
func TestNamesOfSheetsStayNames(t *testing.T) {
	f := excelize.NewFile()
	defer f.Close()
	names := attacks()
	for i := range names {
		sheet := fmt.Sprintf("placeholder%02d", i)
		_, err := f.NewSheet(sheet)
		require.NoError(t, err)
		header := []any{"date", "mold", "dwell (min)", "wall (mm)"}
		if i%2 == 1 {
			header = []any{"when", "what", "how", "why"}
		}
		require.NoError(t, f.SetSheetRow(sheet, "A1", &header))
		for n := range 6 {
			require.NoError(t, f.SetSheetRow(sheet, fmt.Sprint("A", 2+n), &[]any{fmt.Sprintf("2025-03-%02d", 1+n), "<script>alert(1)</script>", 18 + 2*n, 4 + 0.2*float64(n)}))
		}
		require.NoError(t, f.SetCellValue(sheet, "A9", "soon"))
	}
	var b bytes.Buffer
	require.NoError(t, f.Write(&b))
	log := filepath.Join(t.TempDir(), "log")
	require.NoError(t, os.Mkdir(log, 0o755))
	require.NoError(t, os.WriteFile(filepath.Join(log, "a.xlsx"), renamed(t, b.Bytes(), names), 0o644))
	harmless(t, log)
	code, text, errOut := moldwright(t, "check", "--json", log)
	require.Equal(t, exitDone, code, errOut)
	require.Contains(t, text, "../../../etc/passwd", "the names came through")
}

// renamed is a workbook whose sheets placeholder00 and so on bear other names.
func renamed(t *testing.T, workbook []byte, names []string) []byte {
	t.Helper()
	in, err := zip.NewReader(bytes.NewReader(workbook), int64(len(workbook)))
	require.NoError(t, err)
	var b bytes.Buffer
	out := zip.NewWriter(&b)
	for _, part := range in.File {
		r, err := part.Open()
		require.NoError(t, err)
		text, err := io.ReadAll(r)
		require.NoError(t, err)
		for i, name := range names {
			var escaped bytes.Buffer
			require.NoError(t, xml.EscapeText(&escaped, []byte(strings.ReplaceAll(name, "\x1b", "")))) // XML has no such letter
			text = bytes.ReplaceAll(text, fmt.Appendf(nil, "placeholder%02d", i), escaped.Bytes())
		}
		w, err := out.Create(part.Name)
		require.NoError(t, err)
		_, err = w.Write(text)
		require.NoError(t, err)
	}
	require.NoError(t, out.Close())
	return b.Bytes()
}

// harmless checks and reports a log, and looks through all that comes out.
func harmless(t *testing.T, log string) {
	t.Helper()
	place := t.TempDir()
	out := filepath.Join(place, "my report <&> 鉢")
	if os.Mkdir(out, 0o755) != nil {
		out = filepath.Join(place, "my report")
	}
	for _, command := range [][]string{{"check", log}, {"report", "-o", out, log}} {
		code, text, errOut := moldwright(t, command...)
		require.Equal(t, exitDone, code, errOut)
		require.NotContains(t, text+errOut, "\x1b")
		require.NotContains(t, text+errOut, "\u202e")
	}
	require.Equal(t, []string{filepath.Base(out)}, names(t, place))
	for name, data := range files(t, out) {
		require.Regexp(t, outputNames, name)
		for _, part := range strings.Split(name, "/") {
			require.Empty(t, outdir.Unfit(part), name)
		}
		switch filepath.Ext(name) {
		case ".html":
			harmlessPage(t, data)
		case ".svg":
			harmlessPicture(t, name, data)
		case ".csv":
			harmlessTable(t, name, data)
		case ".xlsx":
			harmlessWorkbook(t, data)
		}
	}
}

func harmlessPage(t *testing.T, data []byte) {
	doc, err := html.Parse(bytes.NewReader(data))
	require.NoError(t, err)
	for n := range doc.Descendants() {
		if n.Type != html.ElementNode {
			continue
		}
		require.NotEqual(t, "script", n.Data)
		for _, a := range n.Attr {
			require.False(t, strings.HasPrefix(a.Key, "on"), "%s %s", n.Data, a.Key)
			if a.Key == "href" || a.Key == "src" || strings.HasSuffix(a.Key, ":href") {
				require.Regexp(t, `^(#|\.\./|data:image/)`, a.Val)
			}
		}
		require.NotContains(t, []string{"img", "iframe", "object", "embed", "form"}, n.Data)
	}
	require.Contains(t, string(data), "&lt;script&gt;alert(1)&lt;/script&gt;", "it is shown")
}

func harmlessPicture(t *testing.T, name string, data []byte) {
	d := xml.NewDecoder(bytes.NewReader(data))
	for {
		token, err := d.Token()
		if err == io.EOF {
			return
		}
		require.NoError(t, err, name)
		if e, ok := token.(xml.StartElement); ok {
			require.NotContains(t, []string{"script", "foreignObject", "image", "a", "use"}, e.Name.Local, name)
			for _, a := range e.Attr {
				require.False(t, strings.HasPrefix(a.Name.Local, "on"), name)
			}
		}
	}
}

func harmlessTable(t *testing.T, name string, data []byte) {
	rows, err := csv.NewReader(bytes.NewReader(data)).ReadAll()
	require.NoError(t, err, name)
	for _, row := range rows {
		for _, cell := range row {
			if cell == "" || !strings.ContainsRune("=+-@\t\r", rune(cell[0])) {
				continue
			}
			_, err := strconv.ParseFloat(cell, 64)
			require.NoError(t, err, "%s: %q would be a formula", name, cell)
		}
	}
}

func harmlessWorkbook(t *testing.T, data []byte) {
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	require.NoError(t, err)
	formula := regexp.MustCompile(`<f[ >][^<]*`)
	for _, part := range z.File {
		require.NotContains(t, part.Name, "externalLink")
		require.NotContains(t, part.Name, "vba")
		r, err := part.Open()
		require.NoError(t, err)
		text, err := io.ReadAll(r)
		require.NoError(t, err)
		for _, f := range formula.FindAllString(string(text), -1) {
			for _, bad := range []string{"cmd", "SUM(A1)", "1+1", "2+3", "etc/passwd"} {
				require.NotContains(t, f, bad, part.Name)
			}
		}
	}
}

func TestWhatWouldMoveTheCursorIsShown(t *testing.T) {
	require.Equal(t, "a�[2Jb�c\td\n", printable("a\x1b[2Jb\u202ec\td\n"))
	code, _, errOut := moldwright(t, "report", "-o", t.TempDir(), "gone\x1b[2J.csv")
	require.Equal(t, exitNothing, code)
	require.NotContains(t, errOut, "\x1b")
}
