package charts

import (
	"fmt"

	"moldwright/pipeline"
	"moldwright/reports/internal/cores"
)

// Draw draws every chart that the result has data for, in the order of the
// report: walls, remaining casts, run plan, watch list, earlier forecasts, plaster. A chart without data is
// left out. The same result gives the same bytes.
func Draw(res pipeline.Result) ([]Chart, error) { return drawn(res, figures) }

// DrawPlan draws the charts of the run plan alone.
func DrawPlan(res pipeline.Result) ([]Chart, error) {
	return drawn(res, func(s style, res pipeline.Result) []figure {
		return laidOut(s, res, planChances, planWhatIf)
	})
}

func drawn(res pipeline.Result, figures func(style, pipeline.Result) []figure) ([]Chart, error) {
	s, err := newStyle()
	if err != nil {
		return nil, fmt.Errorf("drawing charts: %w", err)
	}
	laid := figures(s, res)
	out, errs := make([]Chart, len(laid)), make([]error, len(laid))
	cores.Each(len(laid), func(i int) { out[i], errs[i] = laid[i].render(s, pngDPI) })
	for _, err := range errs {
		if err != nil {
			return nil, fmt.Errorf("drawing charts: %w", err)
		}
	}
	return out, nil
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
