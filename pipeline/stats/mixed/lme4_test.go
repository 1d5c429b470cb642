package mixed

import (
	"fmt"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// fitted are lme4's results for one fit.
type fitted struct {
	Criterion, AIC, Sigma float64
	Beta, SE, SD, Theta   []float64
	Corr                  []float64
	Vcov                  [][]float64
	Modes                 [][]float64
	Condvar               [][][]float64
}

// tolerances, relative. lme4's theta is good to about 1e-7 where the criterion
// is well curved; modes and variances follow theta.
type tolerances struct{ criterion, beta, se, sd, mode float64 }

func (want fitted) check(t *testing.T, m *Model, tol tolerances) {
	t.Helper()
	near(t, want.Criterion, m.Deviance, tol.criterion, 1, "criterion")
	require.LessOrEqual(t, m.Deviance, want.Criterion+1e-7, "lme4 found a better optimum")
	near(t, want.AIC, m.AIC(), tol.criterion, 1, "AIC")
	near(t, want.Sigma, m.Sigma, tol.sd, 0, "sigma")
	se := m.BetaSE()
	for j, v := range want.Beta {
		near(t, v, m.Beta[j], tol.beta, want.SE[j], "beta %d", j)
		near(t, want.SE[j], se[j], tol.se, 0, "standard error %d", j)
	}
	for i, row := range want.Vcov {
		for j, v := range row {
			near(t, v, m.BetaCov()[i][j], 2*tol.se, se[i]*se[j], "covariance of beta")
		}
	}
	for k, v := range want.SD {
		near(t, v, m.SD(k), tol.sd, 1e-3*m.Sigma, "SD %d", k)
	}
	for k, v := range want.Corr {
		near(t, v, m.Corr(1, 0), tol.sd, 1, "correlation %d", k)
	}
	for k, v := range want.Theta {
		near(t, v, m.Theta[k], 2*tol.sd, 0.01+m.Theta[0], "theta %d", k)
	}
	for g, mode := range want.Modes {
		cov := m.ModeCov(g)
		for i, v := range mode {
			near(t, v, m.Mode(g)[i], tol.mode, m.SD(i), "mode of group %d", g)
			for j := range mode {
				near(t, want.Condvar[g][i][j], cov[i][j], tol.mode, m.SD(i)*m.SD(j), "conditional variance of group %d", g)
			}
		}
	}
}

// Published data, fitted by lme4 1.1-31 (see testdata/mixed/SOURCES.md): the
// examples of Bates et al. 2015 and of Pinheiro & Bates 2000.
func TestPublishedData(t *testing.T) {
	var file struct {
		Fits []struct {
			fitted
			Name, File string
			REML       bool
			Singular   bool
			Groups     []string
		}
	}
	readJSON(t, "published_fits.json", &file)
	require.Len(t, file.Fits, 11)
	for _, want := range file.Fits {
		c := ML
		if want.REML {
			c = REML
		}
		t.Run(fmt.Sprint(want.Name, " ", c), func(t *testing.T) {
			r := published(t, want.Name, want.File, want.Groups)
			m := r.fit(t, c)
			want.check(t, m, tolerances{criterion: 1e-10, beta: 1e-7, se: 1e-6, sd: 1e-5, mode: 1e-5})
			require.Equal(t, want.Singular, m.Singular)
			require.Equal(t, len(want.Groups), m.Groups)
			require.Equal(t, len(r.y), m.N)
			if want.Name == "dyestuff2" {
				require.Zero(t, m.Theta[0], "the boundary must be reached exactly")
				require.Zero(t, m.SD(0))
				require.Zero(t, m.Rank)
			}
		})
	}
}

// The headline figures of Bates et al. 2015 for these data (from memory).
func TestSleepstudyHeadline(t *testing.T) {
	var groups []string
	seen := map[string]bool{}
	for _, rec := range table(t, filepath.Join(testdata, "sleepstudy.csv")) {
		if g := rec["Subject"]; !seen[g] {
			seen[g] = true
			groups = append(groups, g)
		}
	}
	m := published(t, "sleepstudy", "sleepstudy.csv", groups).fit(t, REML)
	require.InDelta(t, 1743.6, m.Deviance, 0.05)
	require.InDelta(t, 251.405, m.Beta[0], 0.0005)
	require.InDelta(t, 10.467, m.Beta[1], 0.0005)
	require.InDelta(t, 24.740, m.SD(0), 0.001)
	require.InDelta(t, 5.922, m.SD(1), 0.0005)
	require.InDelta(t, 0.07, m.Corr(1, 0), 0.005)
	require.InDelta(t, 25.592, m.Sigma, 0.0005)
}

// Thirteen random designs (testdata/mixed/random_designs.R): q = 1..3,
// p = 1..5, unbalanced, weights, boundaries, against lme4 1.1-31.
func TestRandomDesigns(t *testing.T) {
	var file struct {
		Fits []struct {
			Design, P, Q, Groups int
			Name                 string
			REML, ML             fitted
		}
	}
	readJSON(t, "random_designs.json", &file)
	require.Len(t, file.Fits, 13)
	records := table(t, filepath.Join(testdata, "random_designs.csv"))
	singular := map[int]bool{7: true, 9: true, 12: true} // theta of lme4 has a zero there
	for _, f := range file.Fits {
		t.Run(f.Name, func(t *testing.T) {
			r := design(t, records, f.Design, f.P, f.Q)
			tol := tolerances{criterion: 1e-9, beta: 1e-6, se: 1e-5, sd: 1e-4, mode: 1e-4}
			for c, want := range map[Criterion]fitted{REML: f.REML, ML: f.ML} {
				m := r.fit(t, c)
				want.check(t, m, tol)
				require.Equal(t, f.Groups, m.Groups)
				require.Equal(t, singular[f.Design], m.Singular)
				if m.Singular {
					require.Zero(t, m.Theta[len(m.Theta)-1], "the boundary must be reached exactly")
				}
			}
		})
	}
}

// Profile limits and standard errors of variance components, by ML: lme4's
// profile on a fine grid, and numDeriv's Hessian of lme4's deviance function.
func TestComponentsAgainstLme4(t *testing.T) {
	type limits struct{ Estimate, SE, Lower95, Upper95, Lower90, Upper90 []float64 }
	var file struct {
		Sleepstudy, Dyestuff, Dyestuff2, Design10 limits
		Unbalanced                                limits `json:"sleepstudy_unbalanced"`
	}
	readJSON(t, "components.json", &file)
	records := table(t, filepath.Join(testdata, "random_designs.csv"))
	groupsOf := func(name, column string) (groups []string) {
		seen := map[string]bool{}
		for _, rec := range table(t, filepath.Join(testdata, name)) {
			if g := rec[column]; !seen[g] {
				seen[g] = true
				groups = append(groups, g)
			}
		}
		return groups
	}
	load := func(name, column string) *rows {
		return published(t, name, name+".csv", groupsOf(name+".csv", column))
	}
	// In lme4's order: column by column of the lower triangle, then sigma.
	lines := []Component{{Kind: SD}, {Kind: Correlation, I: 1}, {Kind: SD, I: 1}, {Kind: Residual}}
	for _, c := range []struct {
		name  string
		rows  *rows
		want  limits
		order []Component
		loose map[int]float64
	}{
		{"sleepstudy", load("sleepstudy", "Subject"), file.Sleepstudy, lines, nil},
		{"sleepstudy_unbalanced", load("sleepstudy_unbalanced", "Subject"), file.Unbalanced, lines, nil},
		{"dyestuff", load("dyestuff", "Batch"), file.Dyestuff, []Component{{Kind: SD}, {Kind: Residual}}, nil},
		{"dyestuff2", load("dyestuff2", "Batch"), file.Dyestuff2, []Component{{Kind: SD}, {Kind: Residual}}, nil},
		// lme4 reports bad spline fits for the third effect and its two
		// correlations here and interpolates in straight lines; for the lower
		// limit of the last correlation it gives up and says −1. TestRises
		// checks these profiles another way.
		{"three effects", design(t, records, 10, 3, 3), file.Design10, []Component{
			{Kind: SD}, {Kind: Correlation, I: 1}, {Kind: Correlation, I: 2}, {Kind: SD, I: 1},
			{Kind: Correlation, I: 2, J: 1}, {Kind: SD, I: 2}, {Kind: Residual}}, map[int]float64{2: 0.02, 4: 2, 5: 0.2}},
	} {
		t.Run(c.name, func(t *testing.T) {
			m := c.rows.fit(t, ML)
			at95, err := m.Profile(0.95)
			require.NoError(t, err)
			at90, err := m.Profile(0.90)
			require.NoError(t, err)
			for i, id := range c.order {
				a, b := find(at95, id), find(at90, id)
				tol := 2e-5 // lme4 interpolates its profile by splines
				if v, ok := c.loose[i]; ok {
					tol = v
				}
				size := 0.1
				if id.Kind == SD {
					size = 1e-3 * m.Sigma
				}
				near(t, c.want.Estimate[i], a.Estimate, 2e-6, size, "estimate %d", i)
				near(t, c.want.Lower95[i], a.Lower, tol, size, "lower 95 %% of %d", i)
				near(t, c.want.Upper95[i], a.Upper, tol, size, "upper 95 %% of %d", i)
				near(t, c.want.Lower90[i], b.Lower, tol, size, "lower 90 %% of %d", i)
				near(t, c.want.Upper90[i], b.Upper, tol, size, "upper 90 %% of %d", i)
				if len(c.want.SE) > 0 {
					near(t, c.want.SE[i], a.StdErr, 1e-5, 0, "standard error of %d", i)
				}
			}
		})
	}
}

// Profiles of design 10, three random effects: R's optim over lme4's deviance
// function with one parameter held, from ten starts (random_designs.R).
func TestRises(t *testing.T) {
	var file struct {
		Rises []struct {
			Kind        string
			I, J        int
			Value, Rise float64
		} `json:"design10_rises"`
	}
	readJSON(t, "components.json", &file)
	require.Len(t, file.Rises, 9)
	m := design(t, table(t, filepath.Join(testdata, "random_designs.csv")), 10, 3, 3).fit(t, ML)
	components := m.Components()
	for _, want := range file.Rises {
		id := Component{Kind: SD, I: want.I}
		if want.Kind == "cor" {
			id = Component{Kind: Correlation, I: max(want.I, want.J), J: min(want.I, want.J)}
		}
		rise := func(id Component, value float64) float64 {
			root, err := m.tracer(find(components, id)).rise(value, 0)
			require.NoError(t, err)
			return root * root
		}
		got := rise(id, want.Value)
		if id.Kind == Correlation { // anything, if an effect has no variance
			got = min(got, rise(Component{Kind: SD, I: id.I}, 0), rise(Component{Kind: SD, I: id.J}, 0))
		}
		require.InDelta(t, want.Rise, got, 1e-5, "%s %d,%d at %g", want.Kind, want.I, want.J, want.Value)
	}
}

// find is the component of the same kind and effects; J counts for
// correlations only.
func find(components []Component, id Component) Component {
	for _, c := range components {
		if c.Kind == id.Kind && (c.Kind == Residual || c.I == id.I && (c.Kind == SD || c.J == id.J)) {
			return c
		}
	}
	panic("no such component")
}
