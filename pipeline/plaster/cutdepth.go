package plaster

import (
	"cmp"
	"fmt"
	"slices"

	"moldwright/pipeline/history"
	"moldwright/pipeline/tables"
)

const (
	// A split mold is sawn through so much of the gap and then cracked in two:
	// common practice, no source.
	sawnShare = 2.0 / 3
	// A thinner wall of plaster breaks or soaks through; twice as much is
	// better: common practice, no source.
	thinnestGapMM = 25
	splitMold     = "split"
)

// cutDepths tells how deep to saw at each measured height of split molds, and of
// molds whose kind is not known: two thirds of the smallest gap there, and never
// nearer the model than the margin, which covers what the readings may be off. Gaps may be measured of a pour that is not
// in the pours table yet.
func cutDepths(pours tables.Frame[tables.Pour], gaps []*gapTable, l links, asOf tables.Date, set Settings, problems *problemList) []tables.CutDepth {
	known := firstNamed(pours, gaps)
	var out []tables.CutDepth
	for _, g := range gaps {
		p, listed := known[fold(g.pour)]
		if listed && asOf.Valid() && p.Date > asOf || len(g.rows) == 0 {
			continue
		}
		if !listed {
			p = tables.Pour{Pour: g.pour}
			problems.add(g.rows[0].Origin, "pour", tables.Problem{Code: "unknown-pour", Severity: tables.Notice, Value: g.pour,
				Message: "the gaps name a pour that is not in the pours table; they give cut depths and no needed volume", Mend: "add the pour, or correct its name"})
		}
		if kind := l.kindOf(p); kind != splitMold && kind != history.UnknownKind && kind != "" {
			continue
		}
		out = append(out, cutsOf(p.Pour, g, set)...)
		tellThinGaps(g, set, problems)
	}
	return out
}

// firstNamed are the first pours of the names in the gap tables, by folded name.
func firstNamed(pours tables.Frame[tables.Pour], gaps []*gapTable) map[string]tables.Pour {
	wanted, found := map[string]bool{}, map[string]tables.Pour{}
	for _, g := range gaps {
		wanted[fold(g.pour)] = true
	}
	if len(wanted) == 0 {
		return found
	}
	names, at := pours.NamesAt("pour")
	for i := range pours.Len() {
		if name := fold(names[at(i)]); wanted[name] {
			delete(wanted, name)
			found[name] = pours.Row(i)
		}
	}
	return found
}

func cutsOf(pour string, g *gapTable, set Settings) []tables.CutDepth {
	var out []tables.CutDepth
	for _, r := range g.rows {
		gap := slices.Min(r.GapsMM)
		out = append(out, tables.CutDepth{Pour: pour, HeightMM: r.HeightMM, GapMM: gap, CutMM: cutMM(gap, set.SawMargin())})
	}
	slices.SortStableFunc(out, func(a, b tables.CutDepth) int { return cmp.Compare(a.HeightMM, b.HeightMM) })
	return out
}

// SawMargin is how far a cut stays from the model, mm: the margin set, and no
// less than the gap's reading may be off.
func (s Settings) SawMargin() float64 { return max(s.SawMarginMM, toleratedErrors*s.ReadingErrorMM) }

// cutMM is the deepest cut into a gap, mm.
func cutMM(gap, margin float64) float64 { return max(0, min(sawnShare*gap, gap-margin)) }

// tellThinGaps tells once a pour where the plaster is thinner than is good, and
// where the saw should not go at all.
func tellThinGaps(g *gapTable, set Settings, problems *problemList) {
	thin, uncut := 0, 0
	worst := g.rows[0]
	for _, r := range g.rows {
		gap := slices.Min(r.GapsMM)
		if gap < thinnestGapMM {
			thin++
		}
		if cutMM(gap, set.SawMargin()) == 0 {
			uncut++
		}
		if gap < slices.Min(worst.GapsMM) {
			worst = r
		}
	}
	if thin == 0 {
		return
	}
	message := fmt.Sprintf("pour %s: %d of %d heights have a gap under %d mm, the smallest %s mm at height %s mm", g.pour, thin, len(g.rows), thinnestGapMM, show(slices.Min(worst.GapsMM)), show(worst.HeightMM))
	if uncut > 0 {
		message += fmt.Sprintf("; at %d of them there is no room for a saw cut", uncut)
	}
	problems.add(worst.Origin, "gap", tables.Problem{Code: "thin-gap", Severity: tables.Notice, Value: show(slices.Min(worst.GapsMM)),
		Message: message, Mend: "leave at least 25 mm, better 50 mm, between model and containment wall"})
}
