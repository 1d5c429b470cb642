package mixed

import (
	"fmt"
	"math"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
)

// dense is the same model in n×n matrices, straight from its definition.
type dense struct {
	r       *rows
	x, y    *mat.Dense
	vInv    *mat.Dense // (σ²W⁻¹ + Z G Z')⁻¹
	logDetV float64
	info    *mat.Dense // (X'V⁻¹X)⁻¹
	logDetX float64
	beta    *mat.Dense
}

func newDense(r *rows, g [][]float64, sigma float64) *dense {
	n := len(r.y)
	v := mat.NewDense(n, n, nil)
	d := &dense{r: r, x: mat.NewDense(n, r.p, nil), y: mat.NewDense(n, 1, r.y)}
	for i := range n {
		d.x.SetRow(i, r.x[i])
		for j := range n {
			if r.group[i] == r.group[j] {
				v.Set(i, j, form(r.z[i], g, r.z[j]))
			}
		}
		v.Set(i, i, v.At(i, i)+sigma*sigma/r.w[i])
	}
	d.logDetV, _ = mat.LogDet(v)
	d.vInv = new(mat.Dense)
	if err := d.vInv.Inverse(v); err != nil {
		panic(err)
	}
	xv := product(d.x.T(), d.vInv)
	xvx := product(xv, d.x)
	d.logDetX, _ = mat.LogDet(xvx)
	d.info = new(mat.Dense)
	if err := d.info.Inverse(xvx); err != nil {
		panic(err)
	}
	d.beta = product(d.info, product(xv, d.y))
	return d
}

func form(a []float64, g [][]float64, b []float64) (v float64) {
	for i := range a {
		for j := range b {
			v += a[i] * g[i][j] * b[j]
		}
	}
	return v
}

func product(a, b mat.Matrix) *mat.Dense {
	out := new(mat.Dense)
	out.Mul(a, b)
	return out
}

// deviance is −2 log likelihood, or restricted likelihood.
func (d *dense) deviance(c Criterion) float64 {
	n, p := float64(len(d.r.y)), float64(d.r.p)
	res := new(mat.Dense)
	res.Sub(d.y, product(d.x, d.beta))
	quad := product(product(res.T(), d.vInv), res).At(0, 0)
	if c == ML {
		return n*math.Log(2*math.Pi) + d.logDetV + quad
	}
	return (n-p)*math.Log(2*math.Pi) + d.logDetV + d.logDetX + quad
}

// joint is the mean of (β, b) of a group and the covariance of its errors, by
// the theory of best linear unbiased prediction:
//
//	b̂ = C V⁻¹ (y − Xβ̂),  C = cov(b, y) = G Z'
//	cov(b̂−b) = G − C P C',  P = V⁻¹ − V⁻¹X(X'V⁻¹X)⁻¹X'V⁻¹
//	cov(β̂, b̂−b) = −(X'V⁻¹X)⁻¹ X'V⁻¹ C'
func (d *dense) joint(group int, g [][]float64) ([]float64, *mat.Dense) {
	n, p, q := len(d.r.y), d.r.p, d.r.q
	c := mat.NewDense(q, n, nil)
	for i := range n {
		if d.r.group[i] != group {
			continue
		}
		for a := range q {
			for b := range q {
				c.Set(a, i, c.At(a, i)+g[a][b]*d.r.z[i][b])
			}
		}
	}
	vx := product(d.vInv, d.x)
	pMat := new(mat.Dense)
	pMat.Sub(d.vInv, product(product(vx, d.info), vx.T()))
	cpc := product(product(c, pMat), c.T())
	cross := product(product(d.info, vx.T()), c.T())
	mode := product(product(c, pMat), d.y)
	mean := append([]float64(nil), d.beta.RawMatrix().Data...)
	cov := mat.NewDense(p+q, p+q, nil)
	for i := range q {
		mean = append(mean, mode.At(i, 0))
		for j := range q {
			cov.Set(p+i, p+j, g[i][j]-cpc.At(i, j))
		}
		for j := range p {
			cov.Set(j, p+i, -cross.At(j, i))
			cov.Set(p+i, j, -cross.At(j, i))
		}
	}
	for i := range p {
		for j := range p {
			cov.Set(i, j, d.info.At(i, j))
		}
	}
	return mean, cov
}

func eachDesign(t *testing.T, check func(t *testing.T, r *rows, m *Model)) {
	records := table(t, filepath.Join(testdata, "random_designs.csv"))
	shapes := [][2]int{{1, 1}, {2, 1}, {5, 1}, {3, 1}, {2, 2}, {4, 2}, {2, 2}, {1, 2}, {3, 2}, {3, 3}, {5, 3}, {1, 3}, {2, 2}}
	for i, s := range shapes {
		r := design(t, records, i+1, s[0], s[1])
		for _, c := range []Criterion{REML, ML} {
			m := r.fit(t, c)
			t.Run(fmt.Sprint(i+1, c), func(t *testing.T) { check(t, r, m) })
		}
	}
}

// Everything a Model says, against the definitions in dense matrices at the
// same variances: agreement is to rounding of the n×n inverse.
func TestAgainstDenseMatrices(t *testing.T) {
	eachDesign(t, func(t *testing.T, r *rows, m *Model) {
		g := m.G()
		d := newDense(r, g, m.Sigma)
		near(t, d.deviance(m.Criterion), m.Deviance, 1e-9, 1)
		for _, group := range []int{0, 1, m.Groups - 1, m.Groups + 5, New} {
			mean, cov := d.joint(group, g)
			gotMean, gotCov := m.Joint(group)
			p := m.P
			for i := range mean {
				near(t, mean[i], gotMean[i], 1e-8, math.Sqrt(cov.At(i, i))+1e-9, "mean %d", i)
				for j := range mean {
					size := math.Sqrt(cov.At(i, i)*cov.At(j, j)) + 1e-12
					near(t, cov.At(i, j), gotCov[i][j], 1e-7, size, "covariance %d %d", i, j)
				}
			}
			mode := m.Mode(group)
			for i := range mode {
				require.Equal(t, mode[i], gotMean[p+i])
			}
			x, z := r.x[3], r.z[5]
			row := append(append([]float64(nil), x...), z...)
			wantMean, wantVar := 0.0, 0.0
			for i := range row {
				wantMean += row[i] * mean[i]
				for j := range row {
					wantVar += row[i] * cov.At(i, j) * row[j]
				}
			}
			gotM, gotV := m.Predict(group, x, z)
			near(t, wantMean, gotM, 1e-8, m.Sigma)
			near(t, wantVar, gotV, 1e-7, 0)
		}
		cov := m.BetaCov()
		for i := range cov {
			for j := range cov {
				near(t, d.info.At(i, j), cov[i][j], 1e-7, m.BetaSE()[i]*m.BetaSE()[j])
			}
		}
	})
}

// LeaveOut against generalised least squares on the rows that remain.
func TestLeaveOut(t *testing.T) {
	eachDesign(t, func(t *testing.T, r *rows, m *Model) {
		for group := range m.Groups {
			rest := &rows{}
			for i, g := range r.group {
				if g != group {
					rest.add(g, r.x[i], r.z[i], r.y[i], r.w[i])
				}
			}
			d := newDense(rest, m.G(), m.Sigma)
			beta, cov, err := m.LeaveOut(group)
			require.NoError(t, err)
			for i := range beta {
				size := math.Sqrt(d.info.At(i, i))
				near(t, d.beta.At(i, 0), beta[i], 1e-8, size)
				near(t, d.info.At(i, i), cov[i][i], 1e-7, 0)
			}
		}
		beta, _, err := m.LeaveOut(m.Groups + 1)
		require.NoError(t, err)
		require.Equal(t, m.Beta, beta)
	})
}

// One group holds nearly all that is known about a column: subtraction alone
// would lose digits, so the others are added up afresh. One that holds all is
// an error.
func TestLeaveOutDominatingGroup(t *testing.T) {
	build := func(elsewhere float64) *rows {
		r := &rows{}
		for i := range 40 {
			group := i % 5
			u := elsewhere * float64(i%7-3)
			if group == 2 {
				u = 1e6 * float64(i%3-1)
			}
			r.add(group, []float64{1, u}, []float64{1}, math.Sin(float64(i*i))+float64(group)+1e-3*u, 1)
		}
		return r
	}
	r := build(1e-3)
	m := r.fit(t, REML)
	rest := &rows{}
	for i, g := range r.group {
		if g != 2 {
			rest.add(g, r.x[i], r.z[i], r.y[i], r.w[i])
		}
	}
	d := newDense(rest, m.G(), m.Sigma)
	beta, cov, err := m.LeaveOut(2)
	require.NoError(t, err)
	near(t, d.beta.At(1, 0), beta[1], 1e-6, math.Sqrt(d.info.At(1, 1)))
	near(t, d.info.At(1, 1), cov[1][1], 1e-6, 0)

	_, _, err = build(0).fit(t, REML).LeaveOut(2)
	var aliased *AliasedError
	require.ErrorAs(t, err, &aliased)
	require.Equal(t, []int{1}, aliased.Columns)
	require.ErrorContains(t, err, "without group 2")
}
