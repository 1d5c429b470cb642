package workbook

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
)

// TestEachAnswerWritesItsSheet holds that the list of answers names the sheets that
// they write.
func TestEachAnswerWritesItsSheet(t *testing.T) {
	for _, a := range answers() {
		require.Equal(t, []string{summarySheet, a.sheet}, sheetsOf(t, a.sheet))
	}
}

func TestChosenSheetsAlone(t *testing.T) {
	require.Equal(t, []string{summarySheet, moldsSheet, wasteSheet}, sheetsOf(t, wasteSheet, moldsSheet), "in the order of the report")
	require.Equal(t, []string{summarySheet}, sheetsOf(t))
	require.ErrorContains(t, WriteSheets(&bytes.Buffer{}, sample(), nil, "Moulds"), `no sheet is named "Moulds"`)
}

func sheetsOf(t *testing.T, names ...string) []string {
	t.Helper()
	var out bytes.Buffer
	require.NoError(t, WriteSheets(&out, sample(), nil, names...))
	f, err := excelize.OpenReader(&out)
	require.NoError(t, err)
	defer f.Close()
	return f.GetSheetList()
}
