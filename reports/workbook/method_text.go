package workbook

import (
	"slices"

	"moldwright/pipeline/wall"
)

// equations are those behind the sheets of this workbook, in plain text.
func (b *book) equations() []methodRow {
	var rows []methodRow
	add := func(subject, text string) { rows = append(rows, methodRow{partEquation, subject, text}) }
	if b.res.Wall.Fitted {
		rows = append(rows, b.wallEquations()...)
	} else if b.has(dwellSheet) {
		add("Dwell guide", "t = L²/k with a casting rate k from common practice, 0.9 mm²/min (0.3 to 1.5): not from your log.")
	}
	if len(b.res.Life.Remaining) > 0 {
		add("Remaining casts", "In each random draw a mold ends at the first of three: rested, it needs a longer dwell for the target wall than the form allows, by its drawn path and by how strictly the studio goes by its limit; its drawn life ends, given the casts it has made; or, where results are logged, its drawn chance of a reject exceeds the set limit. Low, middle and high are the 10, 50 and 90 % points of the draws.")
		add("Paths to the limit", "y(n) = a + b·n + W(n) + error: what a mold has lost of its margin after n casts, with Var W(n) = q·n where paths wander and q = 0 where they are straight. Level a and drift b differ between molds; one mold in twelve is believed to wear some 2.3 times as fast.")
		add("Too many faults", "Log odds of a reject = level + rise·n/50 + the mold's own, normal about 0; with beliefs (common practice, no source) that few results outweigh.")
	}
	if b.has(livesSheet) {
		add("Lives of a kind", "Share alive after n casts = exp(−(n/scale)^shape), Weibull. Molds in use count as ‘at least this long’ (right censoring), logs that start late as ‘given that it had made this many’ (left truncation). Steps in the chart: product-limit estimate.")
	}
	if len(b.res.Watch.Molds) > 0 {
		add("Watch list", "Three charts of z, the standardised error of each cast predicted from the mold's casts before it. Wear: R = sum over the casts k at which wear may have doubled or trebled of the likelihood ratio of that against none; its limit is found on healthy molds drawn by the wall law with this log's own ages, dwells and readings. Thin walls: S = max(0, S − z − reference), its limit from the run length of a healthy mold. Rejects: B = max(0, B + up) after a reject, max(0, B − down) after another piece. The rates of false flags by walls, thin or worn, and by rejects are added.")
	}
	if b.has(hindcastSheet) {
		add("Earlier forecasts", "Pinball loss of a point q at chance p when y comes: p·(y − q) above it, (1 − p)·(q − y) below. Rescaling of walls and dwells: the ⌈(n + 1)·level⌉-th smallest of the n errors of log wall in half widths of the interval; of remaining casts: the least stretch of the normal scale at which the product limit holds that share.")
	}
	if b.has(planSheet) && len(b.res.Plan.Orders) > 0 {
		add("Run plan", "All orders are played through day by day, many times over; each time every mold's end, every cast's result, every pour's failure and drying are drawn from what was fitted, its uncertainty included. A chance is the share p of N runs in which all pieces are there in time; its standard error is √(q·(1 − q)/N) with q = (p·N + 1)/(N + 2), which is above 0 even where all runs agree. Alternatives meet the same draws.")
	}
	if b.has(poursSheet) {
		rows = append(rows, plasterEquations()...)
	}
	return rows
}

func (b *book) wallEquations() []methodRow {
	rows := []methodRow{
		{partEquation, "Parabolic and power law", "log L = form + m·log t + (age slope of the kind + b1)·n + b0 + error, with L the wet wall in mm, t the dwell in min, n the casts the mold made before; " +
			"b0 and b1 are the mold's own rate and wear, drawn toward those of its kind the more the fewer casts it has. Where the log carries them, wetness carried over from earlier casts (the sum of exp(−hours/τ), τ by likelihood), and specific gravity and temperature of the slip are further terms; forms of a kind age apart where that pays in AICc. " +
			"m = ½ is the parabolic law of filtration, L² = k·t; in the power law m is estimated. One linear mixed model over all molds, fitted by restricted maximum likelihood."},
	}
	if slices.ContainsFunc(b.res.Wall.Candidates, func(c wall.Candidate) bool { return c.Law == wall.Filtration }) {
		rows = append(rows, methodRow{partEquation, "Filtration law", "t = a·L² + b·L, the resistances of cake and mold in series. log a = form + mold's own level (+ wetness, slip); " +
			"b = (wear of the kind + mold's own wear)·n grows with age, as a clogged face shows. Fitted on the scale of log wall, by repeated linearisation on the same mixed-model engine."})
	}
	return append(rows,
		methodRow{partEquation, "Choice of the law", "Candidates are fitted to the same casts by maximum likelihood and compared by AICc; of the laws within 2 of the lowest the one with the fewest terms is kept. Beside it stands the error when each mold is predicted without its own casts."},
		methodRow{partEquation, "Casts far off", "A cast keeps weight 1 up to 3 residual standard deviations z, and (3/|z|)⁴ beyond, z in units of 1.4826 times the median absolute residual; refitted until the weights stand still. None is deleted."},
		methodRow{partEquation, "Several readings", "A wall read at n places has variance σ²(n) = σ_cast² + σ_reading²/n, the second from how readings of one cast differ; casts are weighed by σ²(1)/σ²(n). One of three or more readings that is far off the others is left out and told."},
		methodRow{partEquation, "Beliefs beside the log", "Weak priors on log wall, for logs of a few dozen casts: +1.2 % for each °C of the slip (viscosity of water), +3.2 % for each 0.01 of its specific gravity (water to lose), each known to about half; wear of −½·log 1.6 over a life of 35 casts (split), 100 (one-piece, multi-part) or 60, known to its own size (common practice, no source)."},
		methodRow{partEquation, "Casting rate, wear", "k = L²/t at the usual dwell. Wear = 1 − exp(slope of log L per cast), at one and the same dwell."},
		methodRow{partEquation, "Dwell guide", "The law solved for the dwell of the target wall. The range holds the dwell that the next single cast needs: standard error of log t = √(variance of the fitted log L + residual variance)/(relative change of wall by dwell)."},
		methodRow{partEquation, "Next wall", "Prediction interval of one cast: variance of the fitted log L plus the residual variance, by Student's t."},
	)
}

func plasterEquations() []methodRow {
	return []methodRow{
		{partEquation, "Volume a mold needs", "Inside of the containment wall up to the top of the plaster, less the model: its section at each measured height, from the gaps, integrated over height. Reading errors of gaps and heights are carried through to a standard error."},
		{partEquation, "Slurry", "Volume per kg of plaster = C/100/density of water + 1/density of plaster, in L, with C parts of water per 100 of plaster by mass. Plaster in a slurry = slurry·100/(100 + C)."},
		{partEquation, "Setting", "CaSO4·½H2O + 1½ H2O → CaSO4·2H2O: 1 kg of plaster binds 0.186 kg of water to 1.186 kg of gypsum; the rest of the water dries off."},
		{partEquation, "Mass balance of a pour", "Plaster mixed = in a usable mold + left over + spilled + trimmed + lost with a failed mold + not explained. Waste is all but the first. What was weighed and what the gaps call for are averaged by inverse variance. Residue, spills and trimmings that nobody weighed are learnt from the studio's own pours, from beliefs worth 3 pours (common practice, no source)."},
		{partEquation, "Above or below usual", "A group's share of waste against the shares that so many pours have when dealt from all pours without looking, at a level at which one grouping in 20 calls any of its groups by chance."},
		{partEquation, "How much more to mix", "The amount with the least expected cost: spare plaster costs its price, a short pour the whole mold. The log of plaster used over plaster that the gaps call for is normal about the mean of its form and maker; those with few pours lean on all. Never more than half as much again."},
		{partEquation, "Cut depth", "Two thirds of the smallest gap at each height, and never nearer the model than the margin."},
		{partEquation, "Budget", "Pours of each class are counted in the same months of earlier years and in what lies between. Their number is Poisson or negative binomial with log mean = log days + level + class + season; classes and seasons lean on all, and every scatter between years is weighed by its likelihood. The plaster of each pour is drawn from the class's own pours, leaning on all (Pólya's urn). The row for all classes has a model of its own. Of 4,000 simulated terms low, middle and high are the 10, 50 and 90 % points; bags are enough for the 90 % point."},
		{partEquation, "What changes would save", "In the same simulated terms, pours are drawn from those whose waste is known, and half of the cause's share is taken. Over-mixing as advised takes the share that past pours would have saved, mixed again as advised from what was known before each, second mixes for short pours taken off. Savings overlap and do not add."},
	}
}

// sources are those of the methods used in this workbook.
func (b *book) sources() []methodRow {
	var rows []methodRow
	add := func(subject, text string) { rows = append(rows, methodRow{partSource, subject, text}) }
	if b.res.Wall.Fitted {
		add("Slip casting as filtration", "Adcock & McDowall 1957, J. Am. Ceram. Soc. 40; Tiller & Tsai 1986, J. Am. Ceram. Soc. 69 (from memory).")
		add("Mixed models", "Bates, Mächler, Bolker & Walker 2015, J. Stat. Softw. 67(1); nonlinear ones by repeated linearisation: Lindstrom & Bates 1990, Biometrics 46 (from memory).")
		add("Choice by AICc", "Burnham & Anderson 2002, Model Selection and Multimodel Inference (from memory).")
		add("Weights against typing errors", "Huber & Ronchetti 2009, Robust Statistics, 2nd ed.; Holland & Welsch 1977, Commun. Stat. A 6 (from memory).")
	}
	if len(b.res.Life.Remaining) > 0 {
		add("Paths that wander", "Whitmore & Schenkelberg 1997, Lifetime Data Anal. 3; Durbin & Koopman 2012, Time Series Analysis by State Space Methods (from memory).")
		add("Chance of a reject", "Bates, Mächler, Bolker & Walker 2015, J. Stat. Softw. 67(1), with beliefs in place of flat ones.")
	}
	if b.has(livesSheet) {
		add("Lives with censoring and truncation", "Meeker & Escobar 1998, Statistical Methods for Reliability Data; product-limit estimate: Kaplan & Meier 1958, J. Am. Stat. Assoc. 53 (from memory).")
		add("Kinds that lean on each other", "Gelman & Hill 2007, Data Analysis Using Regression and Multilevel/Hierarchical Models, ch. 12 (from memory).")
		add("What ends molds", "Aalen & Johansen 1978, Scand. J. Stat. 5; Andersen, Borgan, Gill & Keiding 1993, Statistical Models Based on Counting Processes (from memory).")
		add("Lives of split and conventional molds", "20 to 50 casts, and about 100: common practice, no source.")
	}
	if len(b.res.Watch.Molds) > 0 {
		add("Running sum and its run length", "Page 1954, Biometrika 41; Brook & Evans 1972, Biometrika 59 (from memory).")
		add("Wear that grew at an unknown cast", "Shiryaev 1963, Theory Probab. Appl. 8; Roberts 1966, Technometrics 8 (from memory).")
		add("Running sum of rejects", "Reynolds & Stoumbos 1999, J. Qual. Technol. 31 (from memory).")
	}
	if b.has(planSheet) && len(b.res.Plan.Orders) > 0 {
		add("Earliest due day first", "Jackson 1955, Management Sciences Research Project report 43, University of California, Los Angeles (from memory).")
		add("Standard error of a simulated chance", "Agresti & Coull 1998, Am. Stat. 52 (from memory).")
	}
	if b.has(hindcastSheet) {
		add("Pinball loss", "Koenker & Bassett 1978, Econometrica 46 (from memory).")
		add("Place of what came in its forecast", "Czado, Gneiting & Held 2009, Biometrics 65 (from memory).")
		add("Rescaled intervals", "Vovk, Gammerman & Shafer 2005, Algorithmic Learning in a Random World; Lei, G'Sell, Rinaldo, Tibshirani & Wasserman 2018, J. Am. Stat. Assoc. 113 (from memory).")
	}
	if b.has(overmixSheet) {
		add("How much more to mix", "Arrow, Harris & Marschak 1951, Econometrica 19 (from memory).")
	}
	if b.has(poursSheet) {
		add("Shares of groups", "Cochran 1977, Sampling Techniques, ch. 6; Gelman 2006, Bayesian Anal. 1; dealing: Fisher 1935, Pitman 1937 (from memory).")
		add("Setting of plaster", "Molar masses from the standard atomic weights (IUPAC, from memory).")
		add("Density of hemihydrate", "β about 2.63, α about 2.76 g/cm³ (handbook values, from memory); one value is used for all, see Settings.")
		add("Saw two thirds through; dry 2 to 7 days", "Common practice, no source.")
	}
	u := b.res.Settings.Units
	add("Plaster at about "+u.Temperature(60)+", skin injured from about "+u.Temperature(45), "School and art safety guides.")
	return rows
}
