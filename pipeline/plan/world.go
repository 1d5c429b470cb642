package plan

import (
	"hash/fnv"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"sync"

	"gonum.org/v1/gonum/stat/distuv"

	"moldwright/pipeline/tables"
)

// world holds what the draws have in common for all alternatives: what is not
// known of the studio as a whole. Molds take their own draws from it, each from a
// stream of its own, named after it.
type world struct {
	seed    uint64
	draws   int
	rejects rejects
	kinds   map[string]kindDraws
}

// kindDraws are what is not known of a kind of mold, by draw.
type kindDraws struct {
	life  []float64 // standard normal: how the kind's lives differ from the estimate
	fails []float64 // chance that one of its pours fails
}

// kindOf draws what is not known of a kind.
func (w *world) kindOf(kind string, pours pourRecord) kindDraws {
	if k, ok := w.kinds[kind]; ok {
		return k
	}
	k := kindDraws{life: make([]float64, w.draws), fails: make([]float64, w.draws)}
	rng := w.stream("lives of " + kind)
	for d := range k.life {
		k.life[d] = rng.NormFloat64()
	}
	a, b := pours.belief(kind)
	law := distuv.Beta{Alpha: a, Beta: b, Src: w.stream("pours of " + kind)}
	for d := range k.fails {
		k.fails[d] = law.Rand()
	}
	w.kinds[kind] = k
	return k
}

// stream is a source of random numbers of that name's own.
func (w *world) stream(name string) *rand.Rand {
	h := fnv.New64a()
	h.Write([]byte("plan: " + name))
	return rand.New(rand.NewPCG(w.seed, h.Sum64()))
}

// moldLaw is what a mold's draws are taken from.
type moldLaw struct {
	remaining []float64 // predictive sample of further casts, ascending
	shared    float64   // part of the variance, on the normal scale, that molds of its kind share
	kept      float64   // share of good pieces that come through the stages after casting
	most      int       // casts beyond which none is made in the plan
	lead      []int     // days from pour to service as seen; nil for a mold in hand
	parts     int       // pours that a new mold takes
	retries   retries   // a pour that fails is given up where they are empty
}

// drawMold fills in a mold's draws.
//
// The remaining casts are the quantile, in the predictive sample, of
// Φ(√ρ·Z + √(1−ρ)·ε) with Z the kind's and ε the mold's own: the sample's law
// for each mold, and molds of a kind go together as far as the kind's law is not
// known (a Gaussian copula).
func (w *world) drawMold(m *mold, law moldLaw, kind kindDraws) {
	rng := w.stream("mold " + m.name)
	m.life = make([]int32, w.draws)
	common, own := math.Sqrt(law.shared), math.Sqrt(1-law.shared)
	n := len(law.remaining)
	m.median = law.remaining[n/2]
	for d := range w.draws {
		u := 0.5 * math.Erfc(-(common*kind.life[d]+own*rng.NormFloat64())/math.Sqrt2)
		life := int(law.remaining[min(n-1, int(u*float64(n)))])
		life = min(life, law.most)
		m.life[d] = int32(life)
	}
	// No more words than the longest life takes: what is not touched need not be
	// fetched.
	m.words = max(1, int(slices.Max(m.life)+63)/64)
	m.good = make([]uint64, w.draws*m.words)
	results := w.stream("results of " + m.name)
	for d := range w.draws {
		odds := w.rejects.odds(d, m, results)
		w.rejects.cast(m.good[d*m.words:(d+1)*m.words], 0, int(m.life[d]), odds, d, law.kept, results)
	}
	if law.lead == nil {
		return
	}
	made := w.stream("making of " + m.name)
	m.lead = make([]int32, w.draws)
	for d := range w.draws {
		m.lead[d] = law.makes(kind.fails[d], made)
	}
}

// makes draws the days from a mold's first pour to its service, pours that fail
// being made again; −1 where it does not come off.
func (law *moldLaw) makes(fails float64, rng *rand.Rand) int32 {
	days := law.lead[rng.IntN(len(law.lead))]
	tries := 0
	for part := range law.parts {
		if part > 0 && len(law.retries.between) > 0 {
			days += law.retries.between[rng.IntN(len(law.retries.between))]
		}
		for ; rng.Float64() < fails; tries++ {
			if tries == mostPours || len(law.retries.again) == 0 {
				return -1
			}
			days += law.retries.again[rng.IntN(len(law.retries.again))]
		}
	}
	return int32(days)
}

// extended is the mold with results for the casts of longer lives; those that it
// had stay. It is a mold of the log, whose own level of rejects is drawn already.
func (w *world) extended(m *mold, life []int32, kept float64) *mold {
	out := *m
	out.words = max(m.words, int(slices.Max(life)+63)/64)
	out.good = make([]uint64, w.draws*out.words)
	for d := range w.draws {
		copy(out.good[d*out.words:], m.good[d*m.words:(d+1)*m.words])
	}
	rng := w.stream("later results of " + m.name)
	for d := range w.draws {
		odds := w.rejects.odds(d, m, rng)
		w.rejects.cast(out.good[d*out.words:(d+1)*out.words], int(m.life[d]), int(life[d]), odds, d, kept, rng)
	}
	return &out
}

// drawAll draws many molds on all cores.
func (w *world) drawAll(molds []*mold, laws []moldLaw, pours pourRecord) {
	kinds := make([]kindDraws, len(molds))
	for i, m := range molds {
		kinds[i] = w.kindOf(m.kind, pours)
	}
	var wg sync.WaitGroup
	turns := make(chan struct{}, runtime.GOMAXPROCS(0))
	for i := range molds {
		wg.Go(func() {
			turns <- struct{}{}
			defer func() { <-turns }()
			w.drawMold(molds[i], laws[i], kinds[i])
		})
	}
	wg.Wait()
}

// sharedPart is the part of the variance of log life that comes from not knowing
// the kind's Weibull law: molds of a kind share it. With the standard error of the
// scale s, relative, and the variance π²/(6·shape²) of the log of a life,
//
//	ρ = s² / (s² + π²/(6·shape²))
//
// times the chance that the mold ends by that law at all.
func sharedPart(fit tables.LifeFit, chanceWorn float64) float64 {
	if !tables.Has(fit.ScaleSE) || !(fit.Scale > 0) || !(fit.Shape > 0) || !tables.Has(chanceWorn) {
		return 0
	}
	s := fit.ScaleSE / fit.Scale
	own := math.Pi * math.Pi / 6 / (fit.Shape * fit.Shape)
	return s * s / (s*s + own) * min(max(chanceWorn, 0), 1)
}
