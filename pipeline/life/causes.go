package life

import (
	"cmp"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"moldwright/pipeline/history"
	"moldwright/pipeline/stats/incidence"
	"moldwright/pipeline/tables"
)

// Ends of molds as logged. They compete: a mold ends by the first that comes.
const (
	EndWorn    = "worn"             // worn, or its detail lost
	EndBroken  = "broken"           // broken or chipped
	EndSlow    = "too slow"         // taken out because it was too slow
	EndOther   = "another reason"   // retired although it could have gone on
	EndUnknown = "reason not given" // retired, and the log does not say why
)

// Ends are all of these, in the order in which they are told.
func Ends() []string { return []string{EndWorn, EndBroken, EndSlow, EndOther, EndUnknown} }

// Incidence is the share of a kind's molds that each cause has ended by an age:
// the estimate of Aalen & Johansen (1978), with 95 % intervals.
type Incidence struct {
	Kind      string
	Molds     int     // that the log tells of
	FromCasts float64 // the shares are of molds that pass this age; 0 unless all molds in view before it had ended
	LastCasts float64 // age up to which the log tells
	Ended     []int   // molds by cause, as Ends
	Steps     []IncidenceStep
}

// IncidenceStep is the estimate from an age on, up to the next step.
type IncidenceStep struct {
	AgeCasts float64
	AtRisk   int
	Ended    []int     // molds at this age, by cause
	Share    []float64 // ended by this age, by cause
	Lower95  []float64
	Upper95  []float64
	InUse    float64 // share that no cause has ended; with the shares 1
}

// endOf is the cause of a mold's end by its place in Ends, from 1; 0 in use.
func endOf(m history.Mold) int {
	if m.InUse() {
		return 0
	}
	end := EndUnknown
	switch m.EndReason {
	case "worn", "detail":
		end = EndWorn
	case "broken", "chipped":
		end = EndBroken
	case "slow":
		end = EndSlow
	case "other":
		end = EndOther
	case "":
		if m.Status == history.StatusBroken {
			end = EndBroken
		}
	}
	return slices.Index(Ends(), end) + 1
}

// causesOf estimates for every kind of the log what ends its molds, and when.
func causesOf(log history.Log) []Incidence {
	byKind := map[string][]incidence.Unit{}
	var kinds []string
	for _, m := range log.Molds {
		u := incidence.Unit{Entry: float64(m.BeforeLog), Exit: float64(m.Age), Cause: endOf(m)}
		if u.Exit <= u.Entry {
			continue // it made no cast in the log
		}
		if u.Cause == 0 {
			u.Exit += halfCast
		}
		if byKind[m.Kind] == nil {
			kinds = append(kinds, m.Kind)
		}
		byKind[m.Kind] = append(byKind[m.Kind], u)
	}
	slices.Sort(kinds)
	var out []Incidence
	for _, kind := range kinds {
		if c, ok := incidenceOf(kind, byKind[kind]); ok {
			out = append(out, c)
		}
	}
	return out
}

func incidenceOf(kind string, units []incidence.Unit) (Incidence, bool) {
	out := Incidence{Kind: kind, Ended: make([]int, len(Ends()))}
	units, out.FromCasts = keptInView(units)
	out.Molds = len(units)
	curve, err := incidence.AalenJohansen(units, len(Ends()))
	if err != nil {
		return Incidence{}, false // ages of the log are whole and ascend, so that it does not happen
	}
	for _, u := range units {
		out.LastCasts = max(out.LastCasts, u.Exit)
	}
	z := distuv.UnitNormal.Quantile(0.975)
	for _, s := range curve.Steps {
		step := IncidenceStep{AgeCasts: s.Age, AtRisk: s.AtRisk, Ended: s.Ended, Share: s.Incidence, InUse: s.Survival}
		for k := range Ends() {
			low, high := curve.Interval(k+1, s.Age, z)
			step.Lower95, step.Upper95 = append(step.Lower95, low), append(step.Upper95, high)
			out.Ended[k] += s.Ended[k]
		}
		out.Steps = append(out.Steps, step)
	}
	return out, true
}

// keptInView leaves out the ages before the last at which all molds then in view
// had ended while others came into view later: the estimate would stay at "all
// ended" from there on, on the word of a mold or two. What is left speaks of molds
// that pass the age returned.
func keptInView(units []incidence.Unit) ([]incidence.Unit, float64) {
	byExit := slices.Clone(units)
	slices.SortFunc(byExit, func(a, b incidence.Unit) int { return cmp.Or(cmp.Compare(a.Exit, b.Exit), b.Cause-a.Cause) })
	var entries []float64
	for _, u := range units {
		entries = append(entries, u.Entry)
	}
	slices.Sort(entries)
	from, came := 0.0, 0
	for i, u := range byExit {
		for came < len(entries) && entries[came] < u.Exit {
			came++
		}
		if last := i+1 == len(byExit); !last && came == i+1 && u.Cause != 0 {
			from = u.Exit
		}
	}
	if from == 0 {
		return units, 0
	}
	var out []incidence.Unit
	for _, u := range units {
		if u.Exit > from {
			out = append(out, u)
		}
	}
	return out, from
}

// causeRows are the estimates as a table: for each kind and each cause that ended
// any of its molds, a row at each age at which a mold of the kind ended.
func causeRows(all []Incidence) []tables.LifeCause {
	var out []tables.LifeCause
	for _, c := range all {
		for k, cause := range Ends() {
			if c.Ended[k] == 0 {
				continue
			}
			for _, s := range c.Steps {
				out = append(out, tables.LifeCause{
					Kind: c.Kind, Cause: cause, AgeCasts: tables.Count(s.AgeCasts), Incidence: s.Share[k], Lower95: s.Lower95[k], Upper95: s.Upper95[k],
					AtRisk: tables.Count(s.AtRisk), Ended: tables.Count(s.Ended[k]), FromAgeCasts: tables.Count(c.FromCasts),
				})
			}
		}
	}
	return out
}
