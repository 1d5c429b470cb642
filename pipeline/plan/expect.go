package plan

import (
	"math"
	"slices"

	"moldwright/pipeline/tables"
)

// shortP90 is the number of pieces that nine courses of ten do not lack more than.
func shortP90(o outcome, j int) tables.Count {
	short := make([]int32, o.draws)
	for d := range o.draws {
		short[d] = o.short[d*o.jobs+j]
	}
	return tables.Count(ninth(short))
}

// ninth is the smallest value that nine in ten do not exceed. It sorts.
func ninth(x []int32) int32 {
	slices.Sort(x)
	return x[max(0, int(math.Ceil(0.9*float64(len(x))))-1)]
}

// stdError of a chance by simulation; it is above 0 even where all draws agree
// (Agresti & Coull 1998, Am. Stat. 52, with one success and one failure added;
// from memory).
func stdError(p float64, draws int) float64 {
	n := float64(draws)
	q := (p*n + 1) / (n + 2)
	return math.Sqrt(q * (1 - q) / n)
}

// castsOf are the casts of a job, by draw, ascending, and their mean.
func castsOf(o outcome, j int) (sorted []int32, mean float64) {
	for d := range o.draws {
		c := o.casts[d*o.jobs+j]
		sorted = append(sorted, c)
		mean += float64(c) / float64(o.draws)
	}
	slices.Sort(sorted)
	return sorted, mean
}

// slipFor is the slip for one cast of an order, kg; absent where its form does
// not tell.
func (w wanted) slipFor() float64 {
	if w.sheet.PiecesPerKgSlip > 0 {
		return 1 / w.sheet.PiecesPerKgSlip
	}
	return tables.Absent()
}

// needs adds up what the run takes, with the new molds advised.
func (p *planner) needs(all []advice, o outcome) Needs {
	n := Needs{}
	for _, a := range all {
		for i, c := range a.choices {
			if k := float64(a.counts[i]); k > 0 {
				k *= p.triesOf(c.key.kind)
				n.PlasterKg += k * c.recipe.plasterKg
				n.WaterKg += k * c.recipe.waterKg
				n.NewMoldsCost += k * c.money
			}
		}
	}
	slip := make([]float64, o.draws)
	pieces := 0.0
	for j, jb := range p.shop.jobs {
		each := p.wanted[jb.order].slipFor()
		for d := range o.draws {
			c := float64(o.casts[d*o.jobs+j])
			slip[d] += c * each
			n.Casts += c / float64(o.draws)
		}
		pieces += float64(jb.pieces)
	}
	for _, s := range slip {
		n.SlipKg += s / float64(o.draws)
	}
	slices.Sort(slip)
	n.SlipP90Kg = slip[max(0, int(math.Ceil(0.9*float64(len(slip))))-1)]
	if p.set.Losses.KilnPieces > 0 {
		n.KilnLoads = int(math.Ceil(pieces / p.fired() / float64(p.set.Losses.KilnPieces)))
	}
	return n
}

// fired is the share of pieces that come out of the kilns.
func (p *planner) fired() float64 {
	share := 1.0
	for _, s := range []float64{p.set.Losses.Bisque, p.set.Losses.Glaze} {
		if s > 0 && s <= 1 {
			share *= s
		}
	}
	return share
}

// mix is what to mix for the new molds.
func (p *planner) mix(all []advice) []tables.PlanMix {
	var out []tables.PlanMix
	for _, a := range all {
		for i, c := range a.choices {
			n := a.counts[i]
			if n == 0 {
				continue
			}
			by := 0
			for _, m := range a.placed {
				if m.kind == c.key.kind {
					by = max(by, m.poured)
				}
			}
			fr := p.fresh[c.key]
			day := p.shop.cal.day(by)
			out = append(out, tables.PlanMix{
				Form: p.shop.forms[a.form].name, Kind: c.key.kind, Molds: tables.Count(n), PourBy: day, ReadyBy: day + tables.Date(readyWithin(fr.molds)),
				PlasterEach: c.recipe.plasterKg, WaterEach: c.recipe.waterKg, PlasterKg: float64(n) * c.recipe.plasterKg, WaterKg: float64(n) * c.recipe.waterKg,
				CostEach: c.money, LifeP50: fr.remaining[len(fr.remaining)/2], ChanceFailed: p.failedShare(c), Basis: c.recipe.basis, PoursEach: float64(c.recipe.parts),
			})
		}
	}
	return out
}

// failedShare is the chance that a pour of a mold fails.
func (p *planner) failedShare(c choice) float64 {
	fails, sum := p.world.kinds[c.key.kind].fails, 0.0
	for _, f := range fails {
		sum += 1 - math.Pow(1-f, float64(c.recipe.parts))
	}
	return sum / float64(len(fails))
}

// triesOf is how many pours of a kind it takes for one that comes off.
func (p *planner) triesOf(kind string) float64 {
	a, b := p.making.pours.belief(kind)
	return (a + b) / b
}

// readyWithin are the days in which nine of ten new molds are in service.
func readyWithin(molds []*mold) int32 {
	var all []int32
	for _, m := range molds {
		for _, l := range m.lead {
			if l < 0 {
				l = never
			}
			all = append(all, l)
		}
	}
	return min(ninth(all), longestPlan)
}
