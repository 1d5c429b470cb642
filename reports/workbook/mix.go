package workbook

import (
	"cmp"
	"strings"

	"moldwright/pipeline/format"
	"moldwright/pipeline/tables"
)

// mix is what to weigh for a mold like one poured before, and for one whose
// gaps are measured.
func (b *book) mix() {
	rows := b.res.Plaster.Mixes
	if len(rows) == 0 {
		return
	}
	s, _ := openTable(b, page{
		name: mixSheet, title: "What to weigh for each mold", wide: true, lead: b.mixingCautions(),
		note: "For the volume that each pour's gaps or model call for, to make another one like it. No allowance is in it: add what the " + overmixSheet + " sheet advises to both plaster and water. " +
			"Water is in parts per 100 parts of plaster by mass" + b.chosenWater() + ". The volume lies in its range four times in five.",
	}, table[tables.Mix]{name: "mix_table", full: "tables/mix.csv", columns: mixColumns(b.written()), rows: rows})
	s.close()
}

// chosenWater says where the consistency of the mix table comes from.
func (b *book) chosenWater() string {
	if b.res.Settings.Plaster.MixConsistency > 0 {
		return ", here " + fixed(b.res.Settings.Plaster.MixConsistency, 0).text + " as the option --consistency says"
	}
	return ", here each pour's own (--consistency chooses one for all)"
}

// mixingCautions are those that apply at the mixing bench.
func (b *book) mixingCautions() string {
	var out []string
	for _, about := range []string{"heats to", "plaster dust", "drains", "local codes"} {
		out = append(out, b.cautionsAbout(about)...)
	}
	return strings.Join(out, " ")
}

func mixColumns(in written) []column[tables.Mix] {
	type row = tables.Mix
	volume := func(l float64) value { return fixed(in.units.Liquid().Of(l), 2) }
	liquid := in.units.Liquid().Name
	cols := []column[row]{
		{head: "Pour", most: 30, value: func(r row) value { return words(r.Pour) }},
		{head: "Volume to fill (" + liquid + ")", value: func(r row) value { return volume(r.NeededL) }},
		{head: "Range of volume (" + liquid + ")", value: func(r row) value { return span(volume(r.NeededLow80), volume(r.NeededHigh80)) }},
		{head: "Told by", value: func(r row) value { return words(r.Basis) }},
		{head: "Water per 100 plaster", value: func(r row) value { return fixed(r.Consistency, 0) }},
	}
	if in.units == format.US {
		cols = append(cols,
			column[row]{head: "Plaster (lb)", size: 12, value: func(r row) value { return in.weighed(r.PlasterKg) }},
			column[row]{head: "Water (lb)", size: 12, value: func(r row) value { return in.weighed(r.WaterKg) }})
	} else {
		cols = append(cols,
			column[row]{head: "Plaster (kg)", size: 12, value: func(r row) value { return fixed(r.PlasterKg, 2) }},
			column[row]{head: "Water (kg)", size: 12, value: func(r row) value { return fixed(r.WaterKg, 2) }},
			column[row]{head: "Plaster (lb)", size: 12, value: func(r row) value { return fixed(r.PlasterLb, 1) }},
			column[row]{head: "Water (lb)", size: 12, value: func(r row) value { return fixed(r.WaterLb, 1) }})
	}
	return append(cols,
		column[row]{head: in.ofMass("Mold just set"), value: func(r row) value { return in.mass(r.SetKg) }},
		column[row]{head: in.ofMass("Mold dry"), value: func(r row) value { return in.mass(r.DryKg) }})
}

// Words of the state of a mold's weight.
const tooLightWords = "lighter than it can be"

// moldMass tells by weight when a mold is dry.
func (b *book) moldMass() {
	rows := b.res.Plaster.Masses
	if len(rows) == 0 {
		return
	}
	u := b.res.Settings.Units
	s, _ := openTable(b, page{
		name: massSheet, title: "Weigh a mold to see whether it is dry",
		note: "A mold is dry when it weighs what its plaster comes to as gypsum, from what was mixed, left over, spilled and trimmed; it lies in the range four times in five. " +
			"Dry below about " + u.Temperature(45) + ": gypsum loses water of its own above about " + u.Temperature(50) + ". The last weight is that before its last weighed cast (mold_mass on the casts sheet).",
	}, table[tables.MoldMass]{
		name: "mold_mass_table", full: "tables/mold_mass.csv", columns: massColumns(b.written()), rows: rows,
		marks: []mark{{on: "State", words: tooLightWords, columns: []string{"State"}, tone: toneSoon}},
	})
	s.close()
}

func massColumns(in written) []column[tables.MoldMass] {
	type row = tables.MoldMass
	return []column[row]{
		{head: "Mold", most: 30, value: func(r row) value { return words(cmp.Or(r.Mold, "not named")) }},
		{head: "Pours", most: 30, value: func(r row) value { return words(r.Pours) }},
		{head: in.ofMass("Just set"), value: func(r row) value { return in.mass(r.SetKg) }},
		{head: in.ofMass("Dry at about"), size: 12, value: func(r row) value { return in.mass(r.DryKg) }},
		{head: in.ofMass("Range dry"), value: func(r row) value { return span(in.mass(r.DryLower80), in.mass(r.DryUpper80)) }},
		{head: "Last weighed", value: func(r row) value { return in.day(r.WeighedOn) }},
		{head: in.ofMass("Weight then"), value: func(r row) value { return in.mass(r.WeighedKg) }},
		{head: in.ofMass("Water in it"), value: func(r row) value { return in.mass(r.WaterKg) }},
		{head: in.ofMass("Range of water"), value: func(r row) value { return span(in.mass(r.WaterLow80), in.mass(r.WaterHigh80)) }},
		{head: "State", value: func(r row) value { return words(r.State) }},
	}
}
