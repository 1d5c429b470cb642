package wall

import (
	"math"

	"moldwright/pipeline/history"
	"moldwright/pipeline/tables"
)

// Casting rate of tableware slip in a plaster mold, mm²/min: orders of
// magnitude from memory, used only where a log has too few casts to fit.
const (
	practiceRate    = 0.9
	practiceRateLow = 0.3
	practiceRateTop = 1.5
)

// PracticeModel marks values that come from common practice, not from the log.
const PracticeModel = "common practice, not fitted"

// practice answers without a fit: the molds as logged, and a first dwell guide
// by the parabolic law t = L²/k at a usual casting rate, labelled as such.
func practice(in inputs, set Settings, why string) Answer {
	ans := Answer{
		WhyNot: why,
		Terms: []tables.WallFit{{
			Model: PracticeModel, Term: "casting rate k (mm²/min)", Estimate: practiceRate, StdError: tables.Absent(),
			Lower95: practiceRateLow, Upper95: practiceRateTop,
		}},
	}
	dwells := usualDwells(in.log)
	for _, m := range told(in.log, set) {
		mold := in.log.Molds[m]
		s := blankState(mold)
		s.UsualDwellMin = usualDwell(in.log, m, dwells, set)
		ans.States = append(ans.States, s)
		target, ok := in.targets[history.Fold(mold.Form)]
		if !mold.InUse() || !ok {
			continue
		}
		ans.Guide = append(ans.Guide, tables.DwellGuide{
			Mold: mold.Mold, AgeCasts: tables.Count(mold.Age), TargetWallMM: target,
			DwellMin: target * target / practiceRate, DwellLower90: target * target / practiceRateTop, DwellUpper90: target * target / practiceRateLow,
			LawA: 1 / practiceRate, LawPower: 2,
			SpreadLower: math.Log(practiceRateTop/practiceRate) / 2, SpreadUpper: math.Log(practiceRate/practiceRateLow) / 2,
		})
	}
	return ans
}
