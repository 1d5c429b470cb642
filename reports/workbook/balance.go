package workbook

import "moldwright/pipeline/tables"

// balance shows every part of a pour, with what nobody weighed.
func (b *book) balance() {
	rows := b.res.Plaster.Balances
	if len(rows) == 0 {
		return
	}
	in, of := b.written(), map[string]tables.PourWaste{}
	for _, p := range b.res.Plaster.Pours {
		of[p.Pour] = p
	}
	s, _ := openTable(b, page{
		name: balanceSheet, title: "Every part of each pour", wide: true,
		note: "All masses are dry plaster. Mixed = in a usable mold + left over + spilled + trimmed + lost with a failed mold + not explained. " +
			"An empty part was not weighed. Not explained is what nobody weighed, or an error; below zero, more is accounted for than was mixed. " +
			"Water is in parts per 100 parts of plaster by mass; common practice is " + number(driestUsual) + " to " + number(wettestUsual) + ".",
	}, table[tables.PourBalance]{
		name: "balance_table", full: "tables/pour_balance.csv", columns: balanceColumns(in, of), rows: rows,
		marks: []mark{
			{on: "Look at", words: tooMuchWords, columns: []string{"Look at", in.ofMass("Not explained")}, tone: toneAct},
			{on: "Look at", words: waterWords, columns: []string{"Look at", "Water per 100"}, tone: toneSoon},
		},
	})
	s.close()
}

func balanceColumns(in written, of map[string]tables.PourWaste) []column[tables.PourBalance] {
	type row = tables.PourBalance
	return []column[row]{
		{head: "Pour", value: func(r row) value { return words(r.Pour) }},
		{head: in.ofMass("Mixed"), value: func(r row) value { return in.mass(r.MixedKg) }},
		{head: in.ofMass("In usable mold"), value: func(r row) value { return in.mass(r.InMoldKg) }},
		{head: in.ofMass("Left over"), value: func(r row) value { return in.mass(weighed(r.LeftoverKg, of[r.Pour].LeftoverKg)) }},
		{head: in.ofMass("Spilled"), value: func(r row) value { return in.mass(weighed(r.SpilledKg, of[r.Pour].SpilledKg)) }},
		{head: in.ofMass("Trimmed"), value: func(r row) value { return in.mass(weighed(r.TrimmedKg, of[r.Pour].TrimmedKg)) }},
		{head: in.ofMass("Lost with mold"), value: func(r row) value { return in.mass(r.FailedKg) }},
		{head: in.ofMass("Not explained"), value: func(r row) value { return in.mass(r.UnexplainedKg) }},
		{head: in.ofMass("Range of that"), value: func(r row) value {
			if r.UnexplainedLower80 == r.UnexplainedUpper80 {
				return value{} // nothing is open in a pour that was lost whole
			}
			return span(in.mass(r.UnexplainedLower80), in.mass(r.UnexplainedUpper80))
		}},
		{head: "Told by", value: func(r row) value { return words(toldBy(r.Known)) }},
		{head: "Water per 100", value: func(r row) value { return fixed(of[r.Pour].Consistency, 0) }},
		{head: "Look at", value: func(r row) value {
			switch {
			case known(r.UnexplainedUpper80) && r.UnexplainedUpper80 < 0:
				return words(tooMuchWords)
			case oddWater(of[r.Pour].Consistency):
				return words(waterWords)
			}
			return value{}
		}},
	}
}

// weighed is a part of a pour, absent where it was not weighed: the balance
// counts it as 0 then.
func weighed(counted, asWeighed float64) float64 {
	if !known(asWeighed) {
		return asWeighed
	}
	return counted
}

// toldBy says in words what a balance rests on.
func toldBy(known string) string {
	switch known {
	case "weighed":
		return "leftover weighed"
	case "both":
		return "leftover and gaps"
	case "failed":
		return "lost whole"
	}
	return known
}
