package wall

import (
	"math"

	"moldwright/pipeline/stats/mixed"
	"moldwright/pipeline/tables"
)

// terms are the coefficients of every fitted law; the chosen one comes first
// and says so. Intervals of fixed effects are t intervals with degrees of
// freedom by the containment rule; those of standard deviations are the engine's.
func terms(f fitted) []tables.WallFit {
	var out []tables.WallFit
	ordered := append([]fit{f.best}, f.all...)
	for i, c := range ordered {
		if i > 0 && c.law.name() == f.best.law.name() {
			continue
		}
		name := c.law.name()
		if i == 0 {
			name += " (chosen)"
		}
		out = append(out, fixedTerms(name, c)...)
		out = append(out, randomTerms(name, c)...)
	}
	return out
}

func fixedTerms(name string, f fit) []tables.WallFit {
	var out []tables.WallFit
	prefix := ""
	if !linear(f.law) {
		prefix = "log a: " // cake resistance a in min/mm², mold resistance b in min/mm
	}
	df := f.model.DF()
	cov := f.model.BetaCov()
	for j, c := range f.design.columns {
		b, se, t := f.model.Beta[j], math.Sqrt(cov[j][j]), quantile(0.975, df[j])
		term := prefix + c.term
		if prefix != "" && c.ages {
			term = "b per cast: " + c.term
		}
		out = append(out, tables.WallFit{Model: name, Term: term, Estimate: b, StdError: se, Lower95: b - t*se, Upper95: b + t*se})
	}
	if f.law == (powerLaw{}) {
		out = append(out, tables.WallFit{Model: name, Term: exponentTerm + " (fixed)", Estimate: 0.5, StdError: tables.Absent(), Lower95: tables.Absent(), Upper95: tables.Absent()})
	}
	if f.tau > 0 {
		out = append(out, tables.WallFit{Model: name, Term: "drying time of wetness (hours, by likelihood)", Estimate: f.tau, StdError: tables.Absent(), Lower95: tables.Absent(), Upper95: tables.Absent()})
	}
	return out
}

// manyMolds tell variances so well that their logs are normal, and the inverse
// hyperbolic tangent of a correlation is; the profile would say the same.
const manyMolds = 1000

// componentsOf are the standard deviations and the correlation with 95 % limits,
// quick ones for a law that was fitted to a part of the log only.
func componentsOf(m *mixed.Model, part bool) []mixed.Component {
	if m.Groups >= manyMolds || part && !m.Singular {
		out := m.Components()
		z := 1.959963984540054
		for i := range out {
			c := &out[i]
			if c.Kind == mixed.Correlation {
				half := z * c.StdErr / (1 - c.Estimate*c.Estimate)
				c.Lower, c.Upper = math.Tanh(math.Atanh(c.Estimate)-half), math.Tanh(math.Atanh(c.Estimate)+half)
				continue
			}
			c.Lower, c.Upper = c.Estimate*math.Exp(-z*c.StdErr/c.Estimate), c.Estimate*math.Exp(z*c.StdErr/c.Estimate)
		}
		return out
	}
	components, err := m.Profile(0.95)
	if err != nil {
		return m.Components()
	}
	return components
}

// randomTerms are the standard deviations between molds, their correlation and
// the residual standard deviation, with profile-likelihood limits where the
// profile can be followed, else without.
func randomTerms(name string, f fit) []tables.WallFit {
	components := componentsOf(f.model, f.part)
	var out []tables.WallFit
	for _, c := range components {
		out = append(out, tables.WallFit{Model: name, Term: componentTerm(f.law, c), Estimate: c.Estimate, StdError: c.StdErr, Lower95: c.Lower, Upper95: c.Upper})
	}
	return out
}

func componentTerm(l law, c mixed.Component) string {
	switch {
	case c.Kind == mixed.Residual:
		return "sd of one cast (log wall)"
	case c.Kind == mixed.Correlation:
		return "correlation of the molds' level and wear"
	case c.I == 0 && linear(l):
		return "sd between molds, level at age 0 (log wall)"
	case c.I == 0:
		return "sd between molds, log a"
	case !linear(l):
		return "sd between molds, b per cast"
	}
	return "sd between molds, wear (log wall per cast)"
}
