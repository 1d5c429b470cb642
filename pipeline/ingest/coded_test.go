package ingest

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// untidy are cells of a log with which something is wrong, or that are written otherwise.
var untidy = map[string][]string{
	"Cast no.":    {"", "7", "#N/A", "A 12", "00012", "1.0"},
	"Date":        {"n/a", "", "32/13/2022", "2022-1-5", "ditto", "#N/A", "Total", "tomorrow", "44700", "2022-02-03 14:30"},
	"Filled at":   {"", "25:00", "6pm", "noon", "0.25", "-"},
	"Mold":        {"", "-", "#REF!", "total", "m7", "Mold 7"},
	"Slip batch":  {"", "#N/A", "-", "same", "  S1 "},
	"Dwell (min)": {"", "abc", "0:22", "25 min", "~30", "9999", "1,234", "0.5", "20 (long)", "TBD"},
	"Wall 1 (mm)": {"", "", "", "-", "4.5; 4.6", "4,5", "5.1 mm", "0.2 in", "~4", "100", "abc", "4;~5", "<4", "5.0 rim", "4.2|xx"},
	"Wall 2 (mm)": {"", "", "4.1;4.3", "nothing"},
	"Room (°C)":   {"", "70 F", "hot", "18?"},
	"Result":      {"ok", "SECOND", "scrap", "maybe", "", "reject"},
	"Note":        {"x", "see above", "-", "#N/A"},
	"Weather":     {"sun", ""},
	"Age (casts)": {"", "3", "4.5"},
}

// untidyLog is a log in which a share of the cells is untidy, with blank rows, totals
// and headers among the casts.
func untidyLog(rng *rand.Rand, rows int, share float64) string {
	columns := []string{"Cast no.", "Date", "Filled at", "Mold", "Slip batch", "Dwell (min)", "Wall 1 (mm)", "Wall 2 (mm)", "Room (°C)", "Result", "Note", "Weather", "Age (casts)"}
	columns = columns[rng.IntN(2):]
	if rng.IntN(3) == 0 {
		columns = append(columns[:len(columns)-3:len(columns)-3], columns[len(columns)-1])
	}
	if rng.IntN(3) == 0 { // the time stands with the date
		for k, c := range columns {
			if c == "Filled at" {
				columns = append(columns[:k:k], columns[k+1:]...)
				break
			}
		}
	}
	var b strings.Builder
	line := func(cells []string) { b.WriteString(strings.Join(cells, "\t") + "\n") }
	line(columns)
	for i := range rows {
		cells := make([]string, len(columns))
		for k, c := range columns {
			switch {
			case rng.Float64() < share:
				cells[k] = untidy[c][rng.IntN(len(untidy[c]))]
			case c == "Cast no.":
				cells[k] = fmt.Sprint(i + 1)
			case c == "Date":
				cells[k] = fmt.Sprintf("2022-%02d-%02d", 1+i*11/rows, 1+i%28)
			case c == "Filled at":
				cells[k] = fmt.Sprintf("%02d:%02d", 6+rng.IntN(12), 15*rng.IntN(4))
			case c == "Mold":
				cells[k] = fmt.Sprintf("M-%02d", rng.IntN(40))
			case c == "Slip batch":
				cells[k] = fmt.Sprintf("S%d", i/100)
			case c == "Dwell (min)":
				cells[k] = fmt.Sprint(10 + rng.IntN(30))
			case strings.HasPrefix(c, "Wall"):
				cells[k] = fmt.Sprintf("%.1f", 4+2*rng.Float64())
			case c == "Room (°C)":
				cells[k] = fmt.Sprintf("%.1f", 16+6*rng.Float64())
			case c == "Result":
				cells[k] = "good"
			}
		}
		switch line(cells); rng.IntN(1 + int(60/(share+0.01))) {
		case 0:
			line(columns)
		case 1:
			b.WriteString("\n")
		case 2:
			line([]string{"Total", "", "", "", "12"})
		case 3:
			line(cells) // twice
		case 4:
			b.WriteString(strings.Repeat("\t", len(columns)-1) + "\n")
		}
	}
	return b.String()
}

// TestReadingByCodesIsReadingRowByRow holds that casts, problems and the account are
// the same whichever way a table is read, over borders of shares too.
func TestReadingByCodesIsReadingRowByRow(t *testing.T) {
	for seed := range uint64(40) {
		rng := rand.New(rand.NewPCG(seed, 6))
		rows, share := []int{3, 40, 400, 3000}[rng.IntN(4)], []float64{0, 0.003, 0.03, 0.3}[rng.IntN(4)]
		if seed == 7 {
			rows, share = shareRows+500, 0.01
		}
		path := filepath.Join(t.TempDir(), "casts.tsv")
		require.NoError(t, os.WriteFile(path, []byte(untidyLog(rng, rows, share)), 0o600))
		quick, slow := readAll(t, Options{}, path), readAll(t, Options{rowByRow: true}, path)
		require.Equal(t, slow.Problems, quick.Problems, "log %d", seed)
		require.Equal(t, fmt.Sprintf("%+v", slow.Reading), fmt.Sprintf("%+v", quick.Reading), "log %d", seed)
		require.Equal(t, fmt.Sprint(casts(slow)), fmt.Sprint(casts(quick)), "log %d", seed)
		quick.Studio.Release()
		slow.Studio.Release()
	}
}
