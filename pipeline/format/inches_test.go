package format

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// An inch is 25.4 mm by definition.
func TestInchesAreRoundedDownToTheMark(t *testing.T) {
	for _, c := range []struct {
		mm          float64
		denominator int
		want        string
	}{
		{25.4, 16, "1 in"}, {25.3, 16, "15/16 in"}, {40, 16, "1 9/16 in"}, {40, 8, "1 1/2 in"}, {25.4 * 1.3125, 16, "1 5/16 in"},
		{12.7, 16, "1/2 in"}, {12.69, 16, "7/16 in"}, {12.69, 8, "3/8 in"}, {1.5, 16, "0 in"}, {0, 16, "0 in"}, {1.6, 16, "1/16 in"},
		{-1, 16, Dash}, {math.NaN(), 16, Dash}, {math.Inf(1), 8, Dash}, {10, 0, Dash},
	} {
		require.Equal(t, c.want, InchesDown(c.mm, c.denominator), "%v mm in 1/%d", c.mm, c.denominator)
	}
}
