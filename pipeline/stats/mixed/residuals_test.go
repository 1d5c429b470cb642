package mixed

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// Sleepstudy, subject 308 on day 3, 321.4398 ms: the published fixed effects
// 251.405105 and 10.467286 and modes 2.258566 and 9.198972 (lme4 1.1-31; Belenky
// et al. 2003) give what is left by hand.
func TestResidualsByHand(t *testing.T) {
	s := NewSums(2, 2)
	subjects := map[string]int{}
	for _, record := range table(t, filepath.Join(testdata, "sleepstudy.csv")) {
		if _, ok := subjects[record["Subject"]]; !ok {
			subjects[record["Subject"]] = len(subjects)
		}
		line := []float64{1, number(t, record, "Days")}
		s.Add(subjects[record["Subject"]], line, line, number(t, record, "Reaction"), 1)
	}
	m, err := Fit(s, REML)
	require.NoError(t, err)
	marginal, conditional := m.Residuals(0, []float64{1, 3}, []float64{1, 3}, 321.4398)
	require.InDelta(t, 321.4398-251.405105-3*10.467286, marginal, 1e-5)
	require.InDelta(t, marginal-2.258566-3*9.198972, conditional, 1e-5)
	again, same := m.Residuals(New, []float64{1, 3}, []float64{1, 3}, 321.4398)
	require.Equal(t, again, same)
}
