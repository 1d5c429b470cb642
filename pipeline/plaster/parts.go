package plaster

import (
	"cmp"
	"fmt"

	"moldwright/pipeline/tables"
)

// Causes of waste.
const (
	causeLeftover    = "left over"
	causeSpilled     = "spilled"
	causeTrimmed     = "trimmed"
	causeFailed      = "failed mold"
	causeUnexplained = "unexplained"
)

// causes in the order that they are shown.
func causes() []string {
	return []string{causeLeftover, causeSpilled, causeTrimmed, causeFailed, causeUnexplained}
}

// parts splits the waste of a pour over its causes, kg of dry plaster. The sum
// of the parts is the waste. Only what is unexplained may be negative: more is
// accounted for than was mixed.
type parts struct {
	leftover, spilled, trimmed, failed, unexplained float64
}

func (p parts) of(cause string) float64 {
	switch cause {
	case causeLeftover:
		return p.leftover
	case causeSpilled:
		return p.spilled
	case causeTrimmed:
		return p.trimmed
	case causeFailed:
		return p.failed
	}
	return p.unexplained
}

// leastPartKg is the smallest part that is called a cause of waste.
const leastPartKg = 0.005

// main is the cause of the largest part, "" where nothing is wasted.
func (p parts) main() string {
	cause, most := "", leastPartKg
	for _, c := range causes() {
		if p.of(c) > most {
			cause, most = c, p.of(c)
		}
	}
	return cause
}

// weighed is what was weighed of a pour, as dry plaster in kg; absent where it
// was not weighed.
type weighed struct {
	leftover, spilled, trimmed float64
}

// orZero counts what was not weighed as none.
func orZero(kg float64) float64 {
	if tables.Has(kg) {
		return kg
	}
	return 0
}

func (w weighed) sum() float64 { return orZero(w.leftover) + orZero(w.spilled) + orZero(w.trimmed) }

// weighedParts turns the weighings of a pour into dry plaster. Slurry holds
// plaster and water as they were mixed, and so do trimmings weighed fresh: no
// water has left them yet.
func weighedParts(p tables.Pour, slurry Slurry, problems *problemList) weighed {
	dry := func(column string, kg float64, basis string) float64 {
		if kg < 0 || kg > heaviestKg {
			problems.add(p.Origin, column, tables.Problem{Code: "mass-impossible", Severity: tables.ValueIgnored, Value: show(kg),
				Message: fmt.Sprintf("pour %s: a mass can't be this", p.Pour), Mend: "correct the mass and its unit, 0 where there was none"})
			return tables.Absent()
		}
		if cmp.Or(basis, tables.AsWeighed) == tables.AsDry {
			return kg
		}
		return kg * slurry.PlasterShare()
	}
	return weighed{
		leftover: dry("leftover", p.LeftoverKg, p.LeftoverBasis),
		spilled:  dry("spilled", p.SpilledKg, p.SpilledBasis),
		trimmed:  dry("trimmed", p.TrimmedKg, p.TrimmedBasis),
	}
}
