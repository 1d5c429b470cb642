package main

import (
	"archive/zip"
	"bytes"
	"encoding/csv"
	"io"
	"math"
	"path/filepath"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"golang.org/x/net/html"

	"moldwright/pipeline"
	"moldwright/pipeline/plan"
	"moldwright/pipeline/tables"
)

// holdsTogether checks what must be so in every result, whatever the log.
func holdsTogether(t *testing.T, res pipeline.Result) {
	t.Helper()
	read, used, aside, noData := res.Reading.Rows()
	assert.Equal(t, read, used+aside+noData, "the account of rows closes")
	for _, rows := range []any{
		res.Wall.Terms, res.Wall.States, res.Wall.Guide, res.Wall.Used, res.Life.Remaining, res.Life.Fits, res.Watch.Molds, res.Hindcast.Rows,
		res.Plaster.Pours, res.Plaster.By, res.Plaster.Overmix, res.Plaster.Cuts, res.Plaster.Budget,
		res.Plan.Orders, res.Plan.Days, res.Plan.Mix, res.Plan.WhatIf, res.Plan.Assumed,
	} {
		finite(t, rows)
	}
	wallsHold(t, res)
	livesHold(t, res)
	plasterHolds(t, res)
	planHolds(t, res.Plan)
}

// finite checks that every number of a table is there and finite, or absent.
func finite(t *testing.T, rows any) {
	t.Helper()
	v := reflect.ValueOf(rows)
	for i := range v.Len() {
		for j := range v.Index(i).NumField() {
			if f := v.Index(i).Field(j); f.Kind() == reflect.Float64 {
				assert.False(t, math.IsInf(f.Float(), 0), "%s %d: %+v", v.Type(), i, v.Index(i))
			}
		}
	}
}

// ordered checks that numbers do not fall; absent ones are passed over.
func ordered(t *testing.T, what any, xs ...float64) {
	t.Helper()
	last := math.Inf(-1)
	for _, x := range xs {
		if tables.Has(x) {
			assert.GreaterOrEqual(t, x, last-1e-9*math.Abs(last), "%+v", what)
			last = x
		}
	}
}

func chance(t *testing.T, what any, xs ...float64) {
	t.Helper()
	for _, x := range xs {
		assert.False(t, x < -1e-12 || x > 1+1e-12, "%g of %+v", x, what)
	}
}

func wallsHold(t *testing.T, res pipeline.Result) {
	t.Helper()
	for _, r := range res.Wall.Terms {
		ordered(t, r, r.Lower95, r.Estimate, r.Upper95)
	}
	for _, r := range res.Wall.States {
		ordered(t, r, r.WearLower95, r.WearPerCast, r.WearUpper95)
		ordered(t, r, 0, r.NextWallLower90, r.NextWallMM, r.NextWallUpper90)
	}
	for _, r := range res.Wall.Guide {
		ordered(t, r, 0, r.DwellLower90, r.DwellMin, r.DwellUpper90)
	}
	for _, r := range res.Wall.Used {
		chance(t, r, r.Weight)
		assert.Greater(t, r.FittedMM, 0.0, "%+v", r)
	}
	for _, r := range res.Watch.Molds {
		chance(t, r, r.ChanceFastWear)
	}
	for _, r := range res.Hindcast.Rows {
		chance(t, r, r.Level, r.Share)
		assert.LessOrEqual(t, r.Held, r.Forecasts)
	}
}

func livesHold(t *testing.T, res pipeline.Result) {
	t.Helper()
	for _, r := range res.Life.Remaining {
		ordered(t, r, 0, r.RemainingP10, r.RemainingP50, r.RemainingP90)
		ordered(t, r, r.Survive20, r.Survive10, r.Survive5)
		chance(t, r, r.Survive5, r.Survive10, r.Survive20, r.ChanceSlow, r.ChanceWorn, r.ChanceFaults, r.ChancePastLimit)
		if sum := r.ChanceSlow + r.ChanceWorn + r.ChanceFaults; tables.Has(sum) {
			assert.InDelta(t, 1, sum, 1e-6, "%+v", r)
		}
	}
	for _, r := range res.Life.Fits {
		ordered(t, r, 0, r.ShapeLower95, r.Shape, r.ShapeUpper95)
		ordered(t, r, 0, r.ScaleLower95, r.Scale, r.ScaleUpper95)
		ordered(t, r, 0, r.MedianLower95, r.MedianLife, r.MedianUpper95)
		chance(t, r, r.PriorWeight)
	}
}

func plasterHolds(t *testing.T, res pipeline.Result) {
	t.Helper()
	total, waste := 0.0, 0.0
	for _, r := range res.Plaster.Pours {
		ordered(t, r, r.WasteLower80, r.WasteKg, r.WasteUpper80)
		if tables.Has(r.InMoldKg) && tables.Has(r.WasteKg) {
			assert.InDelta(t, r.PlasterKg, r.InMoldKg+r.WasteKg, 1e-6*r.PlasterKg, "mixed = in a mold + waste: %+v", r)
			parts := 0.0
			for _, x := range []float64{r.LeftoverKg, r.SpilledKg, r.TrimmedKg, r.FailedKg, r.UnexplainedKg} {
				if tables.Has(x) {
					parts += x
				}
			}
			assert.InDelta(t, r.WasteKg, parts, 1e-6*r.PlasterKg, "the parts add to the waste: %+v", r)
			waste += r.WasteKg
		}
		total += r.PlasterKg
	}
	for _, r := range res.Plaster.By {
		if r.Group == "all" {
			assert.InDelta(t, total, r.PlasterKg, 1e-6*total, "the sum of the pours")
			assert.InDelta(t, waste, r.WasteKg, 1e-6*total)
		}
	}
	for _, r := range res.Plaster.Overmix {
		chance(t, r, r.ChanceShort)
	}
	for _, r := range res.Plaster.Cuts {
		assert.False(t, r.CutMM < 0 || r.CutMM > r.GapMM, "%+v", r)
	}
	for _, r := range res.Plaster.Budget {
		ordered(t, r, 0, r.PlasterKgP10, r.PlasterKgP50, r.PlasterKgP90)
	}
}

func planHolds(t *testing.T, p plan.Answer) {
	t.Helper()
	for _, o := range p.Orders {
		chance(t, o, o.ChanceOnTime, o.ChanceWithNew, o.ChanceAllAlone, o.StdError)
		if !tables.Has(o.ChanceOnTime) {
			assert.NotEmpty(t, o.WhyNot, "%+v", o)
			continue
		}
		assert.GreaterOrEqual(t, o.ChanceWithNew, 0.0, "%+v", o)
		assert.False(t, o.ShortP90 < 0 || o.ShortP90 > o.Pieces, "%+v", o)
		assert.False(t, o.FeasibleBy.Valid() && o.FeasibleBy < o.Due, "%+v", o)
		if o.PourBy.Valid() {
			assert.False(t, o.PourBy < p.From || o.PourBy > o.Due, "%+v", o)
		}
	}
	daysHold(t, p)
	for _, m := range p.Mix {
		chance(t, m, m.ChanceFailed)
		assert.True(t, p.From <= m.PourBy && m.PourBy < m.ReadyBy, "%+v", m)
	}
	for _, w := range p.WhatIf {
		chance(t, w, w.ChanceOnTime)
	}
	last := tables.Date(math.MinInt32)
	for _, e := range p.Events {
		assert.GreaterOrEqual(t, e.Date, last, "%+v", e)
		last = e.Date
	}
	assert.False(t, p.Schedule.Pieces > p.Schedule.MostBound+1e-9, "%+v", p.Schedule)
	ordered(t, p.Needs, 0, p.Needs.SlipKg)
	ordered(t, p.Needs, 0, p.Needs.SlipP90Kg)
}

// daysHold checks that the day sheet goes by date, numbers a mold's casts without a
// gap, and fills no mold oftener in a day than its form allows with rest between.
func daysHold(t *testing.T, p plan.Answer) {
	t.Helper()
	most := map[string]float64{}
	for _, a := range p.Assumed {
		if a.What == "casts of one mold in a day" {
			most[a.Of] = a.Value
		}
	}
	type moldDay struct {
		mold string
		date tables.Date
	}
	last, today, casts := p.From, map[moldDay]int{}, map[string]tables.Count{}
	for _, d := range p.Days {
		assert.True(t, last <= d.Date && d.Date <= p.Until, "%+v", d)
		last = d.Date
		at := moldDay{d.Mold, d.Date}
		today[at]++
		assert.EqualValues(t, today[at], d.OfDay, "%+v", d)
		assert.LessOrEqual(t, float64(today[at]), most[d.Form], "%+v", d)
		if before, ok := casts[d.Mold]; ok {
			assert.Equal(t, before+1, d.CastNumber, "%+v", d)
		}
		casts[d.Mold] = d.CastNumber
		chance(t, d, d.ChanceMade)
		ordered(t, d, 0, d.DwellLower90, d.DwellMin, d.DwellUpper90)
	}
}

// noNumber is what a number that is none, or too large to read, looks like.
var noNumber = regexp.MustCompile(`(?:^|[^\pL\d_])(?:NaN|[+-]?Inf|[+-]?∞|<nil>|%!\w?\(|\d(?:\.\d+)?e[+-]\d+)(?:$|[^\pL\d_])`)

// readable checks every output of a report for numbers that nobody can read.
func readable(t *testing.T, outputs map[string][]byte) {
	t.Helper()
	for name, data := range outputs {
		var texts []string
		switch filepath.Ext(name) {
		case ".html", ".svg":
			texts = textsOf(t, data)
		case ".csv":
			rows, err := csv.NewReader(bytes.NewReader(data)).ReadAll()
			assert.NoError(t, err, name)
			for _, row := range rows {
				for _, cell := range row {
					// A table is for programs: numbers in full, exponents too.
					assert.NotContains(t, []string{"NaN", "Inf", "+Inf", "-Inf", "nan", "inf"}, cell, name)
				}
			}
		case ".xlsx":
			texts = cellsOf(t, data)
		}
		for _, text := range texts {
			assert.False(t, noNumber.MatchString(text), "%s: %q", name, text)
		}
	}
}

func textsOf(t *testing.T, page []byte) (texts []string) {
	t.Helper()
	doc, err := html.Parse(bytes.NewReader(page))
	assert.NoError(t, err)
	for n := range doc.Descendants() {
		if n.Type == html.TextNode && n.Parent.Data != "style" && strings.TrimSpace(n.Data) != "" {
			texts = append(texts, n.Data)
		}
	}
	return texts
}

// cellsOf are the texts of a workbook's cells; numbers are for the program that
// shows them, unless they are none.
func cellsOf(t *testing.T, data []byte) (texts []string) {
	t.Helper()
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	assert.NoError(t, err)
	for _, part := range z.File {
		if !strings.HasPrefix(part.Name, "xl/worksheets/sheet") && part.Name != "xl/sharedStrings.xml" && !strings.HasPrefix(part.Name, "xl/charts/") {
			continue
		}
		r, err := part.Open()
		assert.NoError(t, err)
		text, err := io.ReadAll(r)
		assert.NoError(t, err)
		for _, m := range regexp.MustCompile(`<(?:t|a:t)(?: [^>]*)?>([^<]*)<`).FindAllSubmatch(text, -1) {
			texts = append(texts, string(m[1]))
		}
		assert.NotRegexp(t, `<(v|c:v)>[+-]?(NaN|Inf|nan|inf)`, string(text), part.Name)
	}
	return texts
}
