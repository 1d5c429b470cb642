package mixed

import "fmt"

// Criterion is what is maximised.
type Criterion int

const (
	REML Criterion = iota // restricted likelihood: variances unbiased by the fixed effects
	ML                    // ordinary likelihood: for comparing fixed effects
)

func (c Criterion) String() string {
	if c == ML {
		return "ML"
	}
	return "REML"
}

// Fit finds the variances that maximise the criterion, and the fixed effects
// with them. The search runs in Λ without bounds (the criterion is the same for
// −λ as for λ, column by column), then tries optima of lower rank whenever G
// comes near one, and takes such an optimum if it is no worse and M has no
// negative eigenvalue there: its zeros are then exact. s may be used further;
// the model does not refer to it.
//
// Few groups with several random effects can have several optima. Up to 500
// groups the search starts from five places; of random designs with 3 to 12
// groups about three in a thousand then still had a better optimum elsewhere.
// From 2,000 groups on it starts from the optimum of 500 of them.
//
// With q = 0 it is least squares: REML gives σ² its n − p degrees of freedom.
//
// Errors are about the data, in words: RowError, AliasedError, and the values
// ErrNoRows … ErrNoOptimum of this package.
func Fit(s *Sums, c Criterion) (*Model, error) { return FitFrom(s, c, nil) }

// FitFrom is Fit with a search that begins at the variances of a model of nearly
// the same data, which takes a tenth of the time. It finds the optimum near
// those, so that where there may be several the last word is Fit's. A nil model,
// or one with another number of random effects, is no help: then it is Fit.
func FitFrom(s *Sums, c Criterion, like *Model) (*Model, error) {
	k, b, err := prepare(s, c)
	if err != nil {
		return nil, fmt.Errorf("mixed model not fitted: %w", err)
	}
	hunt := &hunt{k: k, st: k.newState()}
	var best found // without random effects there is nothing to search for
	if s.q > 0 {
		if best, err = hunt.near(b, like); err != nil {
			return nil, fmt.Errorf("mixed model not fitted: %w", err)
		}
	}
	return newModel(s, c, k, b, hunt, best), nil
}

func prepare(s *Sums, c Criterion) (*kernel, *basis, error) {
	if err := enough(s); err != nil {
		return nil, nil, err
	}
	b, err := newBasis(s)
	if err != nil {
		return nil, nil, err
	}
	k := newKernel(s, b, c)
	if s.n <= k.rankZ {
		return nil, nil, fmt.Errorf("%w (%d rows, %d groups, %d random effects)", ErrNoSpare, s.n, k.groups, s.q)
	}
	if err := b.scatter(s.n); err != nil {
		return nil, nil, err
	}
	return k, b, nil
}

// enough reports, in words, what the rows and groups cannot carry.
func enough(s *Sums) error {
	groups := 0
	each(s, func(int, []float64) { groups++ })
	if s.wrong != nil {
		return s.wrong
	}
	return enoughOf(s.n, s.p, s.q, groups)
}

func enoughOf(n, p, q, groups int) error {
	switch {
	case n == 0:
		return ErrNoRows
	case p == 0:
		return ErrNoFixed
	case n <= p:
		return fmt.Errorf("%w: %d for %d fixed effects", ErrTooFewRows, n, p)
	case groups < 2 && q > 0:
		return ErrOneGroup
	}
	return nil
}
