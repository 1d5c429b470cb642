package workbook

import (
	"archive/zip"
	"bytes"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"moldwright/pipeline"
)

// made writes a workbook and opens it again.
func made(t *testing.T, res pipeline.Result, pics Charts, lim limits) (*excelize.File, []byte) {
	t.Helper()
	var buf bytes.Buffer
	require.NoError(t, write(&buf, res, pics, lim))
	f, err := excelize.OpenReader(bytes.NewReader(buf.Bytes()))
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, f.Close()) })
	return f, buf.Bytes()
}

// partOf is a file inside the workbook.
func partOf(t *testing.T, book []byte, name string) string {
	t.Helper()
	zr, err := zip.NewReader(bytes.NewReader(book), int64(len(book)))
	require.NoError(t, err)
	r, err := zr.Open(name)
	require.NoError(t, err)
	data, err := io.ReadAll(r)
	require.NoError(t, err)
	return string(data)
}

func TestSampleHasASheetForEveryQuestion(t *testing.T) {
	f, data := made(t, sample(), samplePictures(t), usualLimits())
	want := []string{summarySheet}
	for _, p := range purposes() {
		want = append(want, p.sheet)
	}
	assert.Equal(t, want, f.GetSheetList())
	if dir := os.Getenv("MOLDWRIGHT_LOOK"); dir != "" { // for looking at it in a spreadsheet program
		require.NoError(t, os.WriteFile(filepath.Join(dir, "report.xlsx"), data, 0o644))
	}
}

func TestEqualResultsGiveEqualBytes(t *testing.T) {
	lim := limits{most: 200} // some sheets are sampled
	_, first := made(t, sample(), samplePictures(t), lim)
	for range 5 {
		_, again := made(t, sample(), samplePictures(t), lim)
		require.True(t, bytes.Equal(first, again))
	}
}

func TestEmptyResult(t *testing.T) {
	f, _ := made(t, pipeline.Result{}, nil, usualLimits())
	assert.Equal(t, []string{summarySheet, methodSheet}, f.GetSheetList())
	rows, err := f.GetRows(summarySheet)
	require.NoError(t, err)
	var text strings.Builder
	for _, r := range rows {
		text.WriteString(strings.Join(r, "|"))
	}
	assert.Contains(t, text.String(), "Not given")
	assert.Contains(t, text.String(), "Dwell guide: not given, because")
}

// optional is a part of the workbook, "" where there is none of that name.
func optional(book []byte, name string) string {
	zr, err := zip.NewReader(bytes.NewReader(book), int64(len(book)))
	if err != nil {
		return ""
	}
	r, err := zr.Open(name)
	if err != nil {
		return ""
	}
	data, _ := io.ReadAll(r)
	return string(data)
}

func TestWriteErrorIsReturned(t *testing.T) {
	err := Write(failing{}, sample(), nil)
	require.Error(t, err)
	assert.Contains(t, err.Error(), "disk full")
}

type failing struct{}

func (failing) Write([]byte) (int, error) { return 0, errors.New("disk full") }
