package lifetime

import "math"

// FitPooled fits several groups of units that may be alike: each leans on the
// others as far as all of them bear out. A group's log scale is its prior's, moved
// by what all groups share and by what is its own,
//
//	log scale_k = log median_k + u + v_k,  u ~ N(0, ρ s²),  v_k ~ N(0, s_k² − ρ s²)
//
// s_k is the prior's SDLog and s the smallest of them, and likewise its log
// shape. So each prior stands as it was given as long as the groups tell nothing,
// and ρ, between 0 and 1, says how far they go together. It is estimated with the
// groups, by averaging over values from 0 to 0.95 weighted by their marginal
// likelihood (empirical Bayes; Gelman & Hill 2007, ch. 12, from memory), each group
// taken as one normal observation of its log scale and its log shape. A group is then
// fitted as by FitWeibull, with its own units' exact likelihood, and as prior what
// the other groups tell.
//
// Every prior needs both parts; else the groups are fitted apart.
func FitPooled(groups [][]Unit, priors []Prior) ([]Fit, error) {
	if len(groups) != len(priors) {
		panic("lifetime: as many priors as groups are needed")
	}
	fits := make([]Fit, len(groups))
	alike := len(groups) > 1
	for k := range groups {
		fit, err := FitWeibull(groups[k], priors[k])
		if err != nil {
			return nil, err
		}
		fits[k] = fit
		alike = alike && priors[k].Shape.SDLog > 0 && priors[k].Scale.SDLog > 0
	}
	if !alike {
		return fits, nil
	}
	shapes, scales := make([]told, len(groups)), make([]told, len(groups))
	for k, f := range fits {
		shapes[k] = tells(math.Log(f.Shape), f.CovLog[0][0], priors[k].Shape)
		scales[k] = tells(math.Log(f.Scale), f.CovLog[1][1], priors[k].Scale)
	}
	out := make([]Fit, len(groups))
	for k := range groups {
		var prior Prior
		var lean float64
		prior.Shape, _ = fromOthers(shapes, k, priors[k].Shape)
		prior.Scale, lean = fromOthers(scales, k, priors[k].Scale)
		fit, err := FitWeibull(groups[k], prior)
		if err != nil {
			return nil, err
		}
		fit.PoolWeight = lean * fit.PriorWeight
		fit.PriorWeight -= fit.PoolWeight
		out[k] = fit
	}
	return out, nil
}

// told is what one group's units alone tell of a logarithm: a normal observation of
// its distance from the prior's middle.
type told struct {
	distance  float64
	precision float64 // 0: nothing
	belief    float64 // variance of the prior
}

// tells takes the prior out of a posterior mode and variance again.
func tells(mode, variance float64, prior LogNormal) told {
	before := prior.onLog()
	t := told{belief: 1 / before.precision}
	precision := 1/variance - before.precision
	if precision > 1e-6*before.precision {
		t.precision = precision
		t.distance = (mode - before.mean) / variance / precision
	}
	return t
}

const togetherSteps = 20 // values of ρ: 0, 0.05 … 0.95

// fromOthers is the prior of group k given what the others tell, and the weight,
// in [0,1], that they have in its middle; the rest is the prior's as given.
func fromOthers(all []told, k int, prior LogNormal) (given LogNormal, lean float64) {
	least := math.Inf(1)
	for _, t := range all {
		least = min(least, t.belief)
	}
	var weights, means, variances, leans []float64
	best := math.Inf(-1)
	for i := range togetherSteps {
		shared := float64(i) / togetherSteps * least
		mean, variance := common(all, k, shared)
		weights = append(weights, marginal(all, shared))
		best = max(best, weights[i])
		means, variances = append(means, mean), append(variances, variance+all[k].belief-shared)
		leans = append(leans, 1-variance/max(shared, 1e-300))
	}
	var sum, mean, second float64
	for i, w := range weights {
		w = math.Exp(w - best)
		sum += w
		mean += w * means[i]
		second += w * (variances[i] + means[i]*means[i])
		if i > 0 {
			lean += w * leans[i]
		}
	}
	mean /= sum
	variance := min(second/sum-mean*mean, all[k].belief) // never vaguer than the prior
	return LogNormal{Median: prior.Median * math.Exp(mean), SDLog: math.Sqrt(variance)}, lean / sum
}

// common is the law of u given what all groups but one tell.
func common(all []told, without int, shared float64) (mean, variance float64) {
	if shared == 0 {
		return 0, 0
	}
	precision, sum := 1/shared, 0.0
	for k, t := range all {
		if k == without || t.precision == 0 {
			continue
		}
		w := 1 / (1/t.precision + t.belief - shared)
		precision += w
		sum += w * t.distance
	}
	return sum / precision, 1 / precision
}

// marginal is the log likelihood of all groups, their own parts and u integrated
// out.
func marginal(all []told, shared float64) float64 {
	var w, wd, out float64
	for _, t := range all {
		if t.precision == 0 {
			continue
		}
		p := 1 / (1/t.precision + t.belief - shared)
		w += p
		wd += p * t.distance
		out += (math.Log(p) - p*t.distance*t.distance) / 2
	}
	// N(d; 0, D + shared·11') by the matrix determinant lemma and Woodbury's.
	return out - math.Log1p(shared*w)/2 + shared*wd*wd/(2*(1+shared*w))
}
