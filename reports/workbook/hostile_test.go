package workbook

import (
	"archive/zip"
	"bytes"
	"fmt"
	"math"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"moldwright/pipeline/advice"
	"moldwright/pipeline/tables"
)

func TestHostileNamesStayText(t *testing.T) {
	hostile := []string{"=1+1", "<b>bold</b>", `"quoted" [brackets]/\*?:'`, strings.Repeat("mold ", 60), "@SUM(A1)", "+1", "-2", "line\nbreak", "tab\tand \x07bell", "\xff\xfe", "_x0041_", " ", "NaN", "#N/A"}
	res := sample()
	for i, name := range hostile {
		m := &res.Wall.States[i].Mold
		*m = name
		res.Wall.States[i].Form, res.Wall.States[i].Kind = name, name
		res.Watch.Molds[i].Mold = name
		res.Plaster.Pours[i].Pour, res.Plaster.Pours[i].MainCause = name, name
		res.Wall.Used[i].Mold, res.Wall.Used[i].File = name, name
		res.Problems = append(res.Problems, tables.Problem{File: name, Sheet: name, Cell: name, Value: name, Message: name, Mend: name})
		res.Advice = append(res.Advice, advice.Item{For: name, Finding: name, Do: name, Sheet: name})
		res.NotGiven = append(res.NotGiven, advice.Missing{Answer: name, Because: name})
	}
	res.Reading.Files[0].Name = "=cmd|' /C calc'!A0.xlsx"
	for _, lim := range []limits{usualLimits(), {most: 1000}} {
		f, data := made(t, res, samplePictures(t), lim)
		cell := func(sheet, at string) string {
			v, err := f.GetCellValue(sheet, at)
			require.NoError(t, err)
			formula, err := f.GetCellFormula(sheet, at)
			require.NoError(t, err)
			assert.Empty(t, formula)
			return v
		}
		assert.Equal(t, "=1+1", cell(poursSheet, "A6"))
		assert.Equal(t, "<b>bold</b>", cell(poursSheet, "A7"))
		assert.Equal(t, hostile[2], cell(poursSheet, "A8"))
		assert.Equal(t, hostile[3], cell(poursSheet, "A9"))
		assert.Equal(t, "_x0041_", cell(poursSheet, "A16"))
		for i := range f.GetSheetList() {
			for _, m := range regexp.MustCompile(`<f>([^<]*)</f>`).FindAllStringSubmatch(partOf(t, data, fmt.Sprintf("xl/worksheets/sheet%d.xml", i+1)), -1) {
				assert.Regexp(t, `^[A-Za-z0-9_$.,:+*/^()&;<>=\-–" #!]*$`, m[1], "a formula of ours, without a word of the log")
				for _, name := range hostile {
					assert.False(t, len(name) > 3 && strings.Contains(m[1], name), m[1])
				}
			}
		}
	}
}

func TestLongTextIsCutWithAnEllipsis(t *testing.T) {
	v := words(strings.Repeat("é", 40000))
	assert.True(t, strings.HasSuffix(v.text, "…"))
	assert.LessOrEqual(t, len([]rune(v.text)), mostText)
	assert.Equal(t, strings.Repeat("a", mostText), words(strings.Repeat("a", mostText)).text)
}

// TestAbsentNumbersAreEmptyCells makes every number of a result absent or infinite.
func TestAbsentNumbersAreEmptyCells(t *testing.T) {
	for _, odd := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		res := sample()
		spoil(reflect.ValueOf(&res).Elem(), odd)
		for _, lim := range []limits{usualLimits(), {most: 1000}} {
			_, data := made(t, res, samplePictures(t), lim)
			shown := regexp.MustCompile(`\bNaN\b|\bInf\b|#N/A|#NUM|\de\+\d\d`)
			zr, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
			require.NoError(t, err)
			for _, file := range zr.File {
				if strings.HasPrefix(file.Name, "xl/worksheets/sheet") || file.Name == "xl/sharedStrings.xml" {
					assert.Empty(t, shown.FindString(partOf(t, data, file.Name)), file.Name)
				}
			}
		}
	}
}

// spoil sets every number of a value, wherever it is.
func spoil(v reflect.Value, odd float64) {
	switch v.Kind() {
	case reflect.Float64:
		if v.CanSet() {
			v.SetFloat(odd)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				spoil(v.Field(i), odd)
			}
		}
	case reflect.Slice:
		for i := range v.Len() {
			spoil(v.Index(i), odd)
		}
	}
}
