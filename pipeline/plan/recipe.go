package plan

import (
	"moldwright/pipeline/history"
	"moldwright/pipeline/plaster"
	"moldwright/pipeline/tables"
)

// recipe is what one new mold takes.
type recipe struct {
	plasterKg, waterKg float64 // absent where no pour tells
	parts              int     // batches
	basis              string
}

// recipeFor is by the pours of the form's molds of that kind, else by those of the
// form; what its gaps call for with the advised over-mix, else what was mixed.
func (m *making) recipeFor(in Input, form, kind string) recipe {
	out := recipe{plasterKg: tables.Absent(), waterKg: tables.Absent(), parts: m.pours.partsOf(kind), basis: "no pour of this form tells how much to mix"}
	over := overmixOf(in.Plaster, form)
	each, basis := m.batch(in, form, kind, over)
	if !tables.Has(each) {
		if each, basis = m.batch(in, form, "", over); tables.Has(each) {
			basis += " of other kinds"
		}
	}
	if !tables.Has(each) {
		return out
	}
	out.plasterKg, out.basis = each*float64(out.parts), basis
	out.waterKg = out.plasterKg * m.waterShare(form)
	return out
}

// batch is the plaster of one pour of the form, of the kind unless that is "".
func (m *making) batch(in Input, form, kind string, over float64) (kg float64, basis string) {
	var need, mixed []float64
	for _, i := range m.links.ofForm[history.Fold(form)] {
		p := &m.links.pours[i]
		if kind != "" && in.Log.Molds[m.links.mold[i]].Kind != kind {
			continue
		}
		if n, ok := m.need(in.Plaster)[history.Fold(p.name)]; ok && n > 0 {
			need = append(need, n)
		}
		if m.links.made[i] && p.plasterKg > 0 {
			mixed = append(mixed, p.plasterKg)
		}
	}
	if len(need) > 0 && tables.Has(over) {
		return median(need) * (1 + over), "what the gaps of its pours call for, with the advised over-mix"
	}
	if len(mixed) > 0 {
		return median(mixed), "what its good pours mixed"
	}
	return median(need), "what the gaps of its pours call for, without over-mix"
}

// need is the plaster that the gaps of each pour call for, by folded name. It is worked
// out once.
func (m *making) need(p plaster.Answer) map[string]float64 {
	if m.needed == nil {
		m.needed = make(map[string]float64, len(p.Pours))
		for i := range p.Pours {
			m.needed[history.Fold(p.Pours[i].Pour)] = p.Pours[i].NeededKg
		}
	}
	return m.needed
}

// overmixOf is the advised share for the form, else that for all; absent without.
func overmixOf(p plaster.Answer, form string) float64 {
	all := tables.Absent()
	for _, o := range p.Overmix {
		switch history.Fold(o.Form) {
		case history.Fold(form):
			return o.AdvisedOvermixShare
		case allKinds:
			all = o.AdvisedOvermixShare
		}
	}
	return all
}

// commonWater is kg of water for a kg of plaster: common practice, no source.
const commonWater = 0.7

// waterShare is the middle of the form's pours, else of all.
func (m *making) waterShare(form string) float64 {
	share := func(own []float64, p *pour) []float64 {
		if p.plasterKg > 0 && p.waterKg > 0 {
			own = append(own, p.waterKg/p.plasterKg)
		}
		return own
	}
	var own, all []float64
	for _, i := range m.links.ofForm[history.Fold(form)] {
		own = share(own, &m.links.pours[i])
	}
	if len(own) > 0 {
		return median(own)
	}
	for i := range m.links.pours {
		all = share(all, &m.links.pours[i])
	}
	if len(all) > 0 {
		return median(all)
	}
	return commonWater
}

// hoursOf is the work that a mold of a kind takes: as set, else common practice,
// no source.
func hoursOf(kind string, set Making) float64 {
	if h, ok := set.LabourHours[kind]; ok {
		return h
	}
	switch kind {
	case kindSplit:
		return 1
	case kindOnePiece:
		return 1.5
	}
	return 2.5
}

// Kinds of mold.
const (
	kindSplit     = "split"
	kindOnePiece  = "one-piece"
	kindMultiPart = "multi-part"
)

// costOf is the plaster, water and labour of one mold; absent where plaster has
// no price or the recipe is not known.
func costOf(r recipe, kind string, today plaster.Today, set Making) float64 {
	if !tables.Has(r.plasterKg) || !tables.Has(today.PlasterPerKg) {
		return tables.Absent()
	}
	cost := r.plasterKg * today.PlasterPerKg
	if tables.Has(today.WaterPerKg) {
		cost += r.waterKg * today.WaterPerKg
	}
	switch {
	case tables.Has(today.LabourPerHour):
		cost += hoursOf(kind, set) * today.LabourPerHour
	case tables.Has(today.LabourPerMold):
		cost += today.LabourPerMold
	}
	return cost
}
