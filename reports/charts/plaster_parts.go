package charts

import (
	"strings"

	"moldwright/pipeline/tables"
)

// part is where some plaster of a pour went.
type part struct {
	name string
	kg   func(tables.PourWaste) float64
	fill fill
}

// wasteParts are the parts of a pour that are waste, from the base of the bar
// up. Lightness falls and pattern changes from part to part, so that they are
// told apart in a gray print.
func wasteParts() []part {
	return []part{
		{"failed mold", func(p tables.PourWaste) float64 { return p.FailedKg }, fill{plum, plain, paper, 4}},
		{"left over", func(p tables.PourWaste) float64 { return p.LeftoverKg }, fill{ochre, rising, ink, 3.4}},
		{"spilled", func(p tables.PourWaste) float64 { return p.SpilledKg }, fill{clay, dotted, paper, 3.2}},
		{"trimmed", func(p tables.PourWaste) float64 { return p.TrimmedKg }, fill{sage, lying, ink, 2.8}},
		{"unexplained", func(p tables.PourWaste) float64 { return p.UnexplainedKg }, fill{paper, crossways, stone, 4.4}},
	}
}

// otherParts stand on top of the waste: the usable mold, or the rest of a pour
// of which nobody weighed or measured enough to tell.
func otherParts() []part {
	return []part{
		{"in the mold", func(p tables.PourWaste) float64 { return p.InMoldKg }, fill{chalk, plain, ink, 4}},
		{"not known", unknownKg, fill{paper, plain, ink, 4}},
	}
}

func allParts() []part { return append(wasteParts(), otherParts()...) }

// unknownKg is the plaster of a pour that the tables assign to no part.
func unknownKg(p tables.PourWaste) float64 {
	if drawable(p.InMoldKg) {
		return 0
	}
	rest := p.PlasterKg
	for _, w := range wasteParts() {
		rest -= positive(w.kg(p))
	}
	return rest
}

// fillOf is the fill of a cause of waste as named in the tables.
func fillOf(cause string) fill {
	cause = strings.ToLower(strings.ReplaceAll(cause, " ", ""))
	for _, p := range wasteParts() {
		if word, _, _ := strings.Cut(p.name, " "); strings.HasPrefix(cause, word) {
			return p.fill
		}
	}
	return fill{stone, plain, ink, 4}
}
