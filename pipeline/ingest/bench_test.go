package ingest

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"
)

const benchRows = 100_000

func benchCast(i int) []any {
	return []any{i + 1, fmt.Sprintf("2025-%02d-%02d", i/28%12+1, i%28+1), fmt.Sprintf("%d:%02d", 8+i%9, i%60), fmt.Sprintf("M-%d", i%200), "S1", 20 + i%11, 4.5 + float64(i%13)/10, 4.6 + float64(i%7)/10, 20.5, "45 %", "good", ""}
}

var benchHeader = []any{"Cast", "Date", "Time", "Mold", "Slip", "Dwell (min)", "Wall 1 (mm)", "Wall 2 (mm)", "Room temp (°C)", "RH", "Result", "Note"}

func benchmark(b *testing.B, path string) {
	info, err := os.Stat(path)
	if err != nil {
		b.Fatal(err)
	}
	sources, err := Find([]string{path})
	if err != nil {
		b.Fatal(err)
	}
	b.SetBytes(info.Size())
	b.ReportAllocs()
	for b.Loop() {
		res, err := Read(context.Background(), sources, Options{})
		if err != nil {
			b.Fatal(err)
		}
		if n := res.Studio.Casts.Len(); n != benchRows {
			b.Fatalf("%d casts; %v", n, codes(res.Problems[:min(5, len(res.Problems))]))
		}
		res.Studio.Release()
	}
	b.ReportMetric(float64(benchRows)*float64(b.N)/b.Elapsed().Seconds(), "rows/s")
}

func BenchmarkReadCSV(b *testing.B) {
	var text strings.Builder
	line := func(cells []any) {
		for i, c := range cells {
			if i > 0 {
				text.WriteByte(',')
			}
			fmt.Fprint(&text, c)
		}
		text.WriteByte('\n')
	}
	line(benchHeader)
	for i := range benchRows {
		line(benchCast(i))
	}
	path := filepath.Join(b.TempDir(), "casts.csv")
	if err := os.WriteFile(path, []byte(text.String()), 0o600); err != nil {
		b.Fatal(err)
	}
	benchmark(b, path)
}

func BenchmarkReadWorkbook(b *testing.B) {
	f := excelize.NewFile()
	defer f.Close()
	w, err := f.NewStreamWriter("Sheet1")
	if err != nil {
		b.Fatal(err)
	}
	rows := append([][]any{benchHeader}, make([][]any, benchRows)...)
	for i := range rows {
		if i > 0 {
			rows[i] = benchCast(i - 1)
		}
		cell, _ := excelize.CoordinatesToCellName(1, i+1)
		if err := w.SetRow(cell, rows[i]); err != nil {
			b.Fatal(err)
		}
	}
	if err := w.Flush(); err != nil {
		b.Fatal(err)
	}
	path := filepath.Join(b.TempDir(), "casts.xlsx")
	if err := f.SaveAs(path); err != nil {
		b.Fatal(err)
	}
	benchmark(b, path)
}
