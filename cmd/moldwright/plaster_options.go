package main

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/pflag"

	"moldwright/pipeline/plaster"
)

// plasterOptions are what the plaster answers cannot learn from the log.
type plasterOptions struct {
	pours       *[]string
	consistency *float64
	gapError    *float64
}

func addPlasterOptions(flags *pflag.FlagSet) plasterOptions {
	set := plaster.Defaults()
	return plasterOptions{
		pours: flags.StringArray("pours", nil, "pours planned for a class in the coming half-year, failed ones counted in, as C1=12; once for each class, the others are forecast"),
		consistency: flags.Float64("consistency", set.MixConsistency,
			"parts of water per 100 parts of plaster for the mix table, such as 70; by default each pour's own"),
		gapError: flags.Float64("gap-error", set.ReadingErrorMM, "how far a measured gap or height is usually off, in mm (one standard error)"),
	}
}

// Bounds beyond which a value is a slip of the pen: the first is what a studio
// can pour in half a year, the last no longer a reading.
const (
	mostPlanned                       = 10000
	leastConsistency, mostConsistency = 30, 200
	mostGapErrorMM                    = 20
)

// settings are the plaster settings with the options in them, or what is wrong
// with an option and what to write instead.
func (o plasterOptions) settings(set plaster.Settings) (plaster.Settings, error) {
	planned, err := plannedPours(*o.pours)
	if err != nil {
		return set, fail(exitUsage, err)
	}
	set.PlannedPours = planned
	if c := *o.consistency; c != set.MixConsistency {
		if !(c >= leastConsistency && c <= mostConsistency) {
			return set, fail(exitUsage, fmt.Errorf("--consistency wants parts of water per 100 parts of plaster, from %d to %d, such as 70; not %s%s",
				leastConsistency, mostConsistency, plainNumber(c), otherWay(c)))
		}
		set.MixConsistency = c
	}
	if e := *o.gapError; !(e >= 0 && e <= mostGapErrorMM) {
		return set, fail(exitUsage, fmt.Errorf("--gap-error wants a length in mm from 0 to %d, such as 2; not %s", mostGapErrorMM, plainNumber(e)))
	}
	set.ReadingErrorMM = *o.gapError
	return set, nil
}

// otherWay guesses what a ratio that is no consistency was meant for.
func otherWay(c float64) string {
	switch {
	case c >= 0.3 && c <= 1:
		return fmt.Sprintf(" (if that is water to plaster, write %.0f)", 100*c)
	case c > 1 && c <= 3:
		return fmt.Sprintf(" (if that is plaster to water, write %.0f)", 100/c)
	}
	return ""
}

// plannedPours reads options such as C1=12: the number stands behind the last
// sign, since a class may have one in its name.
func plannedPours(options []string) (map[string]int, error) {
	if len(options) == 0 {
		return nil, nil
	}
	planned := map[string]int{}
	seen := map[string]bool{}
	for _, option := range options {
		at := strings.LastIndex(option, "=")
		if at < 0 || strings.TrimSpace(option[:at]) == "" {
			return nil, fmt.Errorf("--pours wants a class and the number of its pours, such as C1=12; not %q", option)
		}
		class, number := strings.TrimSpace(option[:at]), strings.TrimSpace(option[at+1:])
		n, err := strconv.Atoi(number)
		if err != nil || n < 0 || n > mostPlanned {
			return nil, fmt.Errorf("--pours %s= wants a whole number of pours from 0 to %d; not %q", class, mostPlanned, number)
		}
		key := strings.ToLower(class)
		if key == "all" {
			return nil, errors.New("--pours wants the plan of each class, such as C1=12 and --pours C2=8; a total of all classes is not taken")
		}
		if seen[key] {
			return nil, fmt.Errorf("--pours names class %s twice: give the sum of its pours once", class)
		}
		seen[key], planned[class] = true, n
	}
	return planned, nil
}

// plainNumber writes a number as people do.
func plainNumber(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }
