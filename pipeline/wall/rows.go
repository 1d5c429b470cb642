package wall

import (
	"cmp"
	"math"

	"moldwright/pipeline/history"
	"moldwright/pipeline/tables"
)

// unknownForm stands for the form of molds whose form was not logged.
const unknownForm = "not logged"

// row is one usable cast as the model sees it, or a cast to be predicted.
type row struct {
	cast    int // index in the log's casts
	mold    int // index in the log's molds
	form    string
	kind    string
	logWall float64            // log of mm
	logT    float64            // log of min
	age     float64            // casts
	wet     float64            // wetness carried over, in undried casts
	slip    [slipTerms]float64 // what is known of the slip, less the log's mean; 0 where not logged
}

// inputs are the usable casts of a log and what is known of forms and slips.
type inputs struct {
	quick      bool  // of Quick
	laws       []law // to fit; nil for all
	log        history.Log
	rows       []row
	targets    map[string]float64 // wet target wall in mm by form; absent from the map where none
	timedShare float64            // share of casts with a time of day
	slips      [slipTerms]slipTerm
	batches    batches
	slipOf     []string // batch of each row, as logged or as the nearest cast's
	slipsNamed int      // rows whose batch was taken from the nearest cast
	readings   readings
	counts     []int // readings behind each row's wall
	odd        []int // rows of which a reading was left out
	part       bool  // whether the rows are part of a large log
	lean       bool  // whether fits keep few columns a mold
	first      []int // by mold its first row, and behind all the number of rows
}

// gather takes up the casts of a log with all that is known of them.
func gather(log history.Log, studio tables.Studio) inputs {
	if studio.Casts.Len() > wholeTable && studio.Casts.Len() > 2*len(log.Casts) {
		return gatherWith(log, studio, readingsOfLog(log, studio), listsOf(studio))
	}
	walls := studio.Casts.Lists("wall")
	return gatherWith(log, studio, readingsOf(walls, studio.Casts.Dates("date")), listsOf(studio))
}

// manyForms are so many that most columns of a design are none of a mold's: it
// then pays to keep its own alone. The fit is the same to rounding.
const manyForms = 10

// wholeTable is the length of a casts table that is not taken up whole for a log
// of some of its rows.
const wholeTable = 50_000

// gatherSome does so for a part of a large log, whose casts alone tell about
// readings.
func gatherSome(part history.Log, studio tables.Studio) inputs {
	in := gatherWith(part, studio, readingsOfLog(part, studio), listsOf(studio))
	in.part, in.lean = true, true
	return in
}

func readingsOfLog(log history.Log, studio tables.Studio) readings {
	lists := listsOf(studio)
	walls, dates := make([][]float64, len(log.Casts)), make([]tables.Date, len(log.Casts))
	for i, c := range log.Casts {
		walls[i], dates[i] = lists(int(c.Row), nil), c.Date
	}
	return readingsOf(walls, dates)
}

// listsOf gives the readings of the wall in a row of the casts table.
func listsOf(studio tables.Studio) func(row int, room []float64) []float64 {
	rows, at := studio.Casts.Len(), studio.Casts.ListAt("wall")
	return func(row int, room []float64) []float64 {
		if row >= rows {
			return room
		}
		return at(row, room)
	}
}

func gatherWith(log history.Log, studio tables.Studio, read readings, lists func(row int, room []float64) []float64) inputs {
	in := inputs{log: log, targets: map[string]float64{}, batches: slipBatches(studio), readings: read}
	for _, f := range studio.Forms.Rows() {
		if t := WetTarget(f); tables.Has(t) {
			in.targets[history.Fold(f.Form)] = t
		}
	}
	timed := 0
	var room []float64
	for i, c := range log.Casts {
		if tables.Has(c.Minute()) {
			timed++
		}
		if !(c.DwellMin > 0 && c.WallMM > 0) {
			continue
		}
		for len(in.first) <= int(c.Mold) {
			in.first = append(in.first, len(in.rows))
		}
		r := rowOf(log, i)
		room = lists(int(c.Row), room[:0])
		shift, n, odd := in.readings.shift(room)
		if odd {
			in.odd = append(in.odd, len(in.rows))
		}
		r.logWall += shift
		in.counts = append(in.counts, n)
		in.rows = append(in.rows, r)
		in.slipOf = append(in.slipOf, log.Slip(c))
	}
	for len(in.first) <= len(log.Molds) {
		in.first = append(in.first, len(in.rows))
	}
	forms := map[string]bool{}
	for _, m := range log.Molds {
		forms[m.Form] = true
	}
	in.lean = len(forms) >= manyForms
	if len(log.Casts) > 0 {
		in.timedShare = float64(timed) / float64(len(log.Casts))
	}
	if len(in.batches) > 0 {
		in.slipsNamed = in.nearestSlips()
	}
	in.centreSlips()
	return in
}

// rowOf is cast i of the log as a row, without its slip and wetness.
func rowOf(log history.Log, i int) row {
	c := log.Casts[i]
	m := log.Molds[c.Mold]
	return row{
		cast: i, mold: int(c.Mold), form: cmp.Or(m.Form, unknownForm), kind: m.Kind,
		logWall: math.Log(c.WallMM), logT: math.Log(c.DwellMin), age: float64(c.Age),
	}
}

// WetTarget is the wet wall a form aims for, in mm: as given, or the fired
// target enlarged by both shrinkages, L_wet = L_fired/((1 − S_d)(1 − S_f)).
// It is absent where the form gives neither.
func WetTarget(f tables.Form) float64 {
	if tables.Has(f.TargetWallMM) {
		return f.TargetWallMM
	}
	left := (1 - f.DryingShrinkage) * (1 - f.FiringShrinkage)
	if wet := f.TargetFiredWallMM / left; tables.Has(wet) && left > 0 {
		return wet
	}
	return tables.Absent()
}
