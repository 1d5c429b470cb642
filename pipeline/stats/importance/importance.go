// Package importance spreads weighted places over a density that is known but for
// a constant, so that means under it are weighted sums (Geweke 1989, Econometrica
// 57). The places are quasi-random (Halton 1960, Numer. Math. 2): they are the
// same in every call, and even, so that a hundred or two do for a few dimensions.
package importance

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// Place is one draw with its weight; the weights of all places add to 1.
type Place[T any] struct {
	X      []float64
	Weight float64
	With   T // what the density told beside its value
}

// Density is the logarithm of a density but for a constant, with whatever else is
// to be kept of that place. Places where it is not finite are left out.
type Density[T any] func(x []float64) (log float64, with T)

// Spread draws half of count places from a multivariate t with so many degrees of
// freedom (its tails: above 2) about a centre, with a root of its scale matrix,
// and then count places from one with the first ones' mean and covariance. None
// come back where the density is finite nowhere.
func Spread[T any](density Density[T], centre []float64, root *mat.Dense, count int, tails float64) []Place[T] {
	first := sample(density, centre, root, (count+1)/2, tails)
	if len(first) == 0 {
		return nil
	}
	centre, root = moments(first, root)
	return sample(density, centre, root, count, tails)
}

func sample[T any](density Density[T], centre []float64, root *mat.Dense, count int, tails float64) []Place[T] {
	n := len(centre)
	bases := primes(n + 1)
	chi := distuv.ChiSquared{K: tails}
	out, logs := make([]Place[T], 0, count), make([]float64, 0, count)
	z, top := make([]float64, n), math.Inf(-1)
	for i := range count {
		norm := 0.0
		for k := range z {
			z[k] = distuv.UnitNormal.Quantile(halton(i+1, bases[k]))
			norm += z[k] * z[k]
		}
		stretch := math.Sqrt(tails / chi.Quantile(halton(i+1, bases[n])))
		x := make([]float64, n)
		for j := range x {
			x[j] = centre[j]
			for k, v := range z {
				x[j] += stretch * root.At(j, k) * v
			}
		}
		log, with := density(x)
		log += (tails + float64(n)) / 2 * math.Log1p(norm*stretch*stretch/tails)
		if math.IsNaN(log) || math.IsInf(log, 0) {
			continue
		}
		out, logs = append(out, Place[T]{X: x, With: with}), append(logs, log)
		top = max(top, log)
	}
	sum := 0.0
	for i := range out {
		out[i].Weight = math.Exp(logs[i] - top)
		sum += out[i].Weight
	}
	for i := range out {
		out[i].Weight /= sum
	}
	return out
}

// moments are mean and a root of the covariance of weighted places, mixed with
// the former ones as if they were another tenth of the weight.
func moments[T any](places []Place[T], root *mat.Dense) ([]float64, *mat.Dense) {
	n, _ := root.Dims()
	mean := make([]float64, n)
	for _, p := range places {
		for j := range n {
			mean[j] += p.Weight * p.X[j]
		}
	}
	cov := mat.NewSymDense(n, nil)
	for j := range n {
		for k := j; k < n; k++ {
			v := 0.0
			for l := range n {
				v += 0.1 * root.At(j, l) * root.At(k, l)
			}
			for _, p := range places {
				v += p.Weight * (p.X[j] - mean[j]) * (p.X[k] - mean[k])
			}
			cov.SetSym(j, k, v)
		}
	}
	return mean, Root(cov, func(v float64) float64 { return math.Sqrt(max(v, 1e-8)) })
}

// Root is V f(D) for the symmetric matrix V D V': with the square root for f a
// root of a covariance, with one over it a root of an inverse Hessian.
func Root(s *mat.SymDense, f func(float64) float64) *mat.Dense {
	n := s.SymmetricDim()
	var e mat.EigenSym
	root := mat.NewDense(n, n, nil)
	if !e.Factorize(s, true) {
		for i := range n {
			root.Set(i, i, f(1))
		}
		return root
	}
	e.VectorsTo(root)
	for j, v := range e.Values(nil) {
		for i := range n {
			root.Set(i, j, root.At(i, j)*f(v))
		}
	}
	return root
}

// primes are the first n.
func primes(n int) []int {
	var out []int
	for c := 2; len(out) < n; c++ {
		prime := true
		for _, p := range out {
			prime = prime && c%p != 0
		}
		if prime {
			out = append(out, c)
		}
	}
	return out
}

// halton is the radical inverse of i in a base, in (0,1) for i above 0.
func halton(i, base int) float64 {
	out, f := 0.0, 1.0
	for ; i > 0; i /= base {
		f /= float64(base)
		out += f * float64(i%base)
	}
	return out
}
