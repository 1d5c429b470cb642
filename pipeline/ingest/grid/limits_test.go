package grid

import (
	"archive/zip"
	"bytes"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// archive is a zip file of parts.
func archive(t *testing.T, fill func(w *zip.Writer) error) []byte {
	t.Helper()
	var b bytes.Buffer
	w := zip.NewWriter(&b)
	require.NoError(t, fill(w))
	require.NoError(t, w.Close())
	return b.Bytes()
}

// stating is an archive whose parts state sizes that they don't have, as a bomb
// does: what it states is judged before anything is unpacked.
func stating(t *testing.T, name string, parts int, packed, unpacked uint64) []byte {
	return archive(t, func(w *zip.Writer) error {
		for i := range parts {
			h := &zip.FileHeader{Name: fmt.Sprintf(name, i), Method: zip.Deflate, CompressedSize64: packed, UncompressedSize64: unpacked}
			if _, err := w.CreateRaw(h); err != nil {
				return err
			}
		}
		return nil
	})
}

// holding is an archive of one part.
func holding(t *testing.T, name, text string) []byte {
	return archive(t, func(w *zip.Writer) error {
		p, err := w.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Store})
		if err != nil {
			return err
		}
		_, err = p.Write([]byte(text))
		return err
	})
}

// TestEveryLimitOfAWorkbook holds for each limit that what oversteps it by one is
// refused for that reason, and what reaches it is not.
func TestEveryLimitOfAWorkbook(t *testing.T) {
	const sheet, texts, styles, directory = "xl/worksheets/sheet%d.xml", "xl/sharedStrings.xml", "xl/styles.xml", "xl/workbook.xml"
	deep := func(n int) string { return strings.Repeat("<a>", n) + strings.Repeat("</a>", n) }
	for name, c := range map[string]struct {
		make func(over int) []byte
		why  string
	}{
		"maxParts": {func(over int) []byte {
			return stating(t, "xl/media/%d.png", maxParts+over, 0, 0)
		}, "more than 10,000 parts"},
		"maxUnpacked": {func(over int) []byte {
			return stating(t, sheet, 4, 100<<20, maxUnpacked/4+uint64(over))
		}, "larger than 1 GiB when unpacked"},
		"maxOther": {func(over int) []byte {
			return stating(t, "xl/other%d.xml", 2, 1<<20, maxOther/2+uint64(over))
		}, "larger than any spreadsheet program writes"},
		"maxRatio": {func(over int) []byte {
			return stating(t, sheet, 1, 100_000, maxRatio*100_001+uint64(over))
		}, "more than 100 times its size"},
		"freeOfRatio": {func(over int) []byte {
			return stating(t, sheet, 1, 1, freeOfRatio+uint64(over))
		}, "more than 100 times its size"},
		"maxNesting": {func(over int) []byte { return holding(t, styles, deep(maxNesting+over)) }, "deeper than any"},
		"maxRun":     {func(over int) []byte { return holding(t, texts, "<si>"+strings.Repeat("x", maxRun-2+over)) }, "a text of more than 4 MiB"},
		"maxInRow":   {func(over int) []byte { return holding(t, texts, "<si>"+strings.Repeat("<t/>", maxInRow+over)) }, "more pieces than"},
		"MaxRows": {func(over int) []byte {
			return holding(t, "xl/worksheets/sheet1.xml", strings.Repeat("<row/>", MaxRows+over))
		}, "more than 1048576 rows"},
		"maxStrings":   {func(over int) []byte { return holding(t, texts, strings.Repeat("<si/>", maxStrings+over)) }, "more than 1,100,000 different texts"},
		"maxDirectory": {func(over int) []byte { return holding(t, directory, strings.Repeat("<s/>", maxDirectory+over)) }, "more sheets and ranges"},
		"maxOtherElements": {func(over int) []byte {
			return holding(t, styles, strings.Repeat("<xf/>", maxOtherElements+over))
		}, "more formats"},
	} {
		t.Run(name, func(t *testing.T) {
			_, why, err := unpackable(t.Context(), c.make(1))
			require.NoError(t, err)
			require.Contains(t, why, c.why)
			_, why, err = unpackable(t.Context(), c.make(0))
			require.NoError(t, err)
			require.NotContains(t, why, c.why)
		})
	}
	t.Run("maxSheetElements", func(t *testing.T) {
		u := unpacking{sheetElements: maxSheetElements - 1}
		require.Empty(t, u.judge(sheetsPart, &elements{all: 1}, "sheet1.xml"))
		require.Contains(t, u.judge(sheetsPart, &elements{all: 2}, "sheet1.xml"), "more cells than are read")
	})
}
