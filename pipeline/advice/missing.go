package advice

import "moldwright/pipeline/tables"

// NotGiven lists the answers that could not be given, why, and what would give
// them.
func NotGiven(in Input) []Missing {
	var out []Missing
	add := func(answer, because, with string) { out = append(out, Missing{answer, because, with}) }
	hasCasts := in.Studio.Casts.Len() > 0
	if !in.Wall.Fitted {
		add("wall against dwell and mold age", in.Wall.WhyNot, "measure the wet wall of each cast at draining, and log it with date, mold and dwell")
	}
	if hasCasts && len(in.Wall.Guide) == 0 {
		add("dwell guide", "no mold in use makes a form with a target wall", "a forms sheet with target_wall (or target_fired_wall and both shrinkages)")
	}
	if in.Life.WhyNot != "" {
		add("remaining casts", in.Life.WhyNot, "a molds sheet, and a casts sheet with a row for every cast")
	} else if len(in.Life.Remaining) > 0 && !anyNumber(in.Studio.Forms.Numbers("longest_dwell")) {
		add("when a mold becomes too slow", "no form has a longest dwell", "longest_dwell on the forms sheet: the dwell past which you would retire a mold")
	}
	if hasCasts && in.Watch.WhyNot != "" {
		add("watch list", in.Watch.WhyNot, "more measured casts")
	}
	if hasCasts && in.Plan.WhyNot != "" {
		add("run plan", in.Plan.WhyNot, "an orders sheet with form, pieces and due day, or an order named to the plan command")
	}
	if in.Plaster.WhyNot != "" {
		add("plaster and waste", in.Plaster.WhyNot, "a pours sheet with date, plaster and water of every pour")
		return out
	}
	if in.Studio.Gaps.Len() == 0 {
		add("plaster that each mold needed, and cut depths", "no gaps were logged", "a gaps sheet: for each pour the gap from model to containment wall at several heights")
	}
	if !in.Plaster.Priced {
		add("cost of plaster", "the price list has no plaster", "a prices sheet with plaster, its unit (such as 25 kg bag) and its price")
	}
	if len(in.Plaster.Budget) == 0 {
		add("plaster budget", "the log is too short to tell how much a term takes", "half a year of pours")
	}
	return out
}

func anyNumber(xs []float64) bool {
	for _, x := range xs {
		if tables.Has(x) {
			return true
		}
	}
	return false
}
