package wander

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
)

// anyUnits draws units of all sorts: without readings, with one, with several
// at one age, in groups, with weights.
func anyUnits(rng *rand.Rand) []Unit {
	units := make([]Unit, 3+rng.IntN(5))
	for i := range units {
		u := &units[i]
		x := rng.NormFloat64()
		u.Level, u.Drift = []float64{1, x}, []float64{1}
		if i%2 == 0 {
			u.Drift = []float64{2}
		}
		age := 0.0
		for range rng.IntN(7) {
			age += float64(rng.IntN(3)) * 0.7
			u.Ages = append(u.Ages, age)
			u.Values = append(u.Values, 100+5*x+0.3*age+2*rng.NormFloat64())
			u.Weights = append(u.Weights, 0.5+rng.Float64())
		}
	}
	for k := range 4 { // enough to settle the means
		units = append(units, Unit{Ages: []float64{1, 3, 8}, Values: []float64{99, 101 + rng.NormFloat64(), 103}, Level: []float64{1, float64(k)}, Drift: []float64{1}})
	}
	return units
}

// dense is the joint normal law of all readings, and of each unit's level at its
// last reading and drift after them, written out: mean = X β, covariance V.
type dense struct {
	y *mat.VecDense
	x *mat.Dense
	v *mat.SymDense
	n int // readings; what follows are two rows a unit
}

func densely(units []Unit, noise, q, levelSD, driftSD, correlation float64) dense {
	type row struct {
		unit         int
		age          float64
		level, drift float64 // how a and b enter
		walk         bool
		noise        float64
	}
	var rows []row
	var y []float64
	for i := range units {
		for j, age := range units[i].Ages {
			rows = append(rows, row{unit: i, age: age, level: 1, drift: age, walk: true, noise: noise * noise / units[i].weight(j)})
			y = append(y, units[i].Values[j])
		}
	}
	d := dense{n: len(rows)}
	for i := range units {
		last := 0.0
		if k := len(units[i].Ages); k > 0 {
			last = units[i].Ages[k-1]
		}
		rows = append(rows, row{unit: i, age: last, level: 1, drift: last, walk: true}, row{unit: i, drift: 1})
	}
	levels, drifts := len(units[0].level()), len(units[0].drift())
	d.y = mat.NewVecDense(len(y), y)
	d.x = mat.NewDense(len(rows), levels+drifts, nil)
	d.v = mat.NewSymDense(len(rows), nil)
	for i, r := range rows {
		for k, x := range units[r.unit].level() {
			d.x.Set(i, k, r.level*x)
		}
		for k, x := range units[r.unit].drift() {
			d.x.Set(i, levels+k, r.drift*x)
		}
		for j := i; j < len(rows); j++ {
			s := rows[j]
			if s.unit != r.unit {
				continue
			}
			c := r.level*s.level*levelSD*levelSD + (r.level*s.drift+r.drift*s.level)*correlation*levelSD*driftSD + r.drift*s.drift*driftSD*driftSD
			if r.walk && s.walk {
				c += q * math.Min(r.age, s.age)
			}
			if i == j {
				c += r.noise
			}
			d.v.SetSym(i, j, c)
		}
	}
	return d
}

// given is −2 log likelihood and, for what follows the readings, mean and
// covariance given them, with beliefs in the means.
func (d *dense) given(t *testing.T, beliefs []Normal, criterion Criterion) (float64, *mat.VecDense, *mat.Dense) {
	t.Helper()
	total, p := d.v.SymmetricDim(), len(beliefs)
	vyy := mat.NewSymDense(d.n, nil)
	for i := range d.n {
		for j := i; j < d.n; j++ {
			vyy.SetSym(i, j, d.v.At(i, j))
		}
	}
	var chol mat.Cholesky
	require.True(t, chol.Factorize(vyy))
	x := d.x.Slice(0, d.n, 0, p)
	var vx, info, after mat.Dense
	require.NoError(t, chol.SolveTo(&vx, x))
	info.Mul(x.T(), &vx)
	var score mat.VecDense
	score.MulVec(vx.T(), d.y)
	free, quad, penalty := 0, 0.0, 0.0
	for j, b := range beliefs {
		if b.SD == 0 {
			free++
			continue
		}
		w := 1 / (b.SD * b.SD)
		info.Set(j, j, info.At(j, j)+w)
		score.SetVec(j, score.AtVec(j)+w*b.Mean)
		quad += w * b.Mean * b.Mean
		penalty += 2 * math.Log(b.SD)
	}
	var beta mat.VecDense
	require.NoError(t, beta.SolveVec(&info, &score))
	var cov mat.Dense
	require.NoError(t, cov.Inverse(&info))
	var vy mat.VecDense
	require.NoError(t, chol.SolveVecTo(&vy, d.y))
	quad += mat.Dot(d.y, &vy) - mat.Dot(&beta, &score)
	out := float64(d.n)*math.Log(2*math.Pi) + chol.LogDet() + quad
	if criterion == REML {
		det, _ := mat.LogDet(&info)
		out += det + penalty - float64(free)*math.Log(2*math.Pi)
	}
	// mean = Xo β + Voy Vyy⁻¹ (y − X β); covariance with β's own.
	xo, voy := d.x.Slice(d.n, total, 0, p), d.v.SliceSym(0, total).(mat.Matrix)
	k := total - d.n
	cross := mat.NewDense(k, d.n, nil)
	for i := range k {
		for j := range d.n {
			cross.Set(i, j, voy.At(d.n+i, j))
		}
	}
	var gain mat.Dense
	require.NoError(t, chol.SolveTo(&gain, cross.T())) // n×k
	var rest, fitted, mean, moved mat.VecDense
	fitted.MulVec(x, &beta)
	rest.SubVec(d.y, &fitted)
	mean.MulVec(xo, &beta)
	moved.MulVec(gain.T(), &rest)
	mean.AddVec(&mean, &moved)
	var gx, lever, tmp mat.Dense
	gx.Mul(gain.T(), x)
	lever.Sub(xo, &gx)
	tmp.Mul(&lever, &cov)
	after.Mul(&tmp, lever.T())
	var less mat.Dense
	less.Mul(cross, &gain)
	for i := range k {
		for j := range k {
			after.Set(i, j, after.At(i, j)+voy.At(d.n+i, d.n+j)-less.At(i, j))
		}
	}
	return out, &mean, &after
}

// Likelihood and states against dense matrices, for any units, spreads (some of
// them 0) and beliefs.
func TestAgainstDenseMatrices(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 1))
	for range 200 {
		units := anyUnits(rng)
		sd := func(zero bool) float64 {
			if zero && rng.IntN(4) == 0 {
				return 0
			}
			return math.Exp(rng.NormFloat64())
		}
		noise, q, a, b, c := sd(false), sd(true), sd(true), 0.3*sd(true), 0.0
		opt := Options{Criterion: Criterion(rng.IntN(2))}
		if a > 0 && b > 0 && rng.IntN(2) == 0 {
			c = 2*rng.Float64() - 1
			opt.Spreads = Correlated
		}
		if rng.IntN(2) == 0 {
			opt.LevelMeans, opt.DriftMeans = []Normal{{95, 4}, {}}, []Normal{{0.2, 0.3}}
		}
		beliefs := append(append([]Normal{}, opt.LevelMeans...), opt.DriftMeans...)
		if len(beliefs) == 0 {
			beliefs = make([]Normal, 3)
		}
		p, err := newProblem(units, opt)
		require.NoError(t, err)
		size := p.sizes()
		x := spread{math.Log(noise / size[0]), math.Log(math.Sqrt(q) / size[1]), math.Log(a / size[2]), math.Log(b / size[3]), math.Atanh(c)}
		s := x.shape()
		sol, ok := p.solve(&s, opt.Criterion)
		require.True(t, ok)
		d := densely(units, noise, q, a, b, c)
		want, mean, cov := d.given(t, beliefs, opt.Criterion)
		require.InDelta(t, want, sol.criterion, 1e-6*(1+math.Abs(want)))
		for i := range units {
			u := &p.units[i]
			d := &p.designs[u.design]
			w := u.whiten(&s)
			mean0, cov0 := p.stateAt(&w, d, &s, &sol, meanCov(sol.info, d))
			l := p.natural(u, d, &w, mean0, cov0, q)
			m, v := [2]float64{}, l.todayCov()
			m[0], m[1] = l.today()
			for k := range 2 {
				require.InDelta(t, mean.AtVec(2*i+k), m[k], 1e-6*(1+math.Abs(m[k])))
			}
			for k, at := range [3][2]int{{0, 0}, {0, 1}, {1, 1}} {
				require.InDelta(t, cov.At(2*i+at[0], 2*i+at[1]), v[k], 1e-6*(1+math.Abs(v[k])))
			}
		}
	}
}
