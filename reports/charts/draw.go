package charts

import "moldwright/pipeline"

// Draw draws every chart that the result has data for, in the order of the
// report: walls, remaining casts, run plan, watch list, earlier forecasts, plaster. A chart without data is
// left out. The same result gives the same bytes.
func Draw(res pipeline.Result) ([]Chart, error) { return drawn(Begin(res)) }

// DrawPlan draws the charts of the run plan alone.
func DrawPlan(res pipeline.Result) ([]Chart, error) { return drawn(BeginPlan(res)) }

func drawn(d *Drawing, err error) ([]Chart, error) {
	if err != nil {
		return nil, err
	}
	return d.All()
}

// planFigures lays out the charts of the run plan.
func planFigures(s style, res pipeline.Result) []figure {
	return laidOut(s, res, planChances, planWhatIf)
}

// figures lays out the charts whose data are there.
func figures(s style, res pipeline.Result) []figure {
	return laidOut(s, res,
		wallAgainstDwell, rateAgainstAge, measuredAgainstFitted, residuals,
		remainingCasts, lives, causes,
		planChances, planWhatIf,
		shelfOverview, watchList,
		hindcastWalls, hindcastLives,
		wasteByPour, wasteByCause, wasteShare, budget,
	)
}

func laidOut(s style, res pipeline.Result, lays ...func(style, pipeline.Result) (figure, bool)) []figure {
	var out []figure
	for _, lay := range lays {
		if f, ok := lay(s, res); ok {
			out = append(out, f)
			if f.name == watchListName {
				out = append(out, flaggedMolds(s, res)...)
			}
		}
	}
	return out
}
