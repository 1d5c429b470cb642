package quantity

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Factors of NIST Special Publication 811 (2008), appendix B.8, to the digits
// printed there (from memory); exact ones, which are bold there, to all digits.
func TestUnitsAgainstNIST(t *testing.T) {
	for _, c := range []struct {
		unit  string
		dim   Dimension
		want  float64 // in the base of the dimension
		exact bool
	}{
		{"in", Length, 25.4, true},
		{"ft", Length, 304.8, true},
		{"lb", Mass, 0.45359237, true},
		{"oz", Mass, 0.02834952, false},
		{"in3", Volume, 0.01638706, false},
		{"ft3", Volume, 28.31685, false},
		{"gal", Volume, 3.785412, false},
		{"qt", Volume, 0.9463529, false},
		{"pt", Volume, 0.4731765, false},
		{"cup", Volume, 0.2365882, false},
		{"fl oz", Volume, 0.02957353, false},
		{"imp gal", Volume, 4.54609, true},
		{"L", Volume, 1, true},
		{"h", Duration, 60, true},
		{"d", Duration, 1440, true},
		{"t", Mass, 1000, true},
	} {
		u, ok := LookUnit(c.unit, c.dim)
		require.True(t, ok, c.unit)
		if c.exact {
			require.Equal(t, c.want, u.Base(1), c.unit)
		} else {
			require.InEpsilon(t, c.want, u.Base(1), 3e-7, c.unit)
		}
	}
	// t/°C = (t/°F − 32)/1.8 and t/°C = T/K − 273.15.
	f, _ := LookUnit("°F", Temperature)
	for fahrenheit, celsius := range map[float64]float64{32: 0, 212: 100, -40: -40, 68: 20} {
		require.InDelta(t, celsius, f.Base(fahrenheit), 1e-12)
	}
	k, _ := LookUnit("K", Temperature)
	require.InDelta(t, 0, k.Base(273.15), 1e-12)
}

// Each spelling of a unit stands for one unit of its dimension.
func TestNoSpellingOfAUnitTwice(t *testing.T) {
	seen := map[unitKey]string{}
	for _, u := range unitTable {
		for _, name := range spellingsOf(u.names) {
			key := unitKey{u.dim, foldUnit(name)}
			require.NotEmpty(t, key.word, name)
			if before, twice := seen[key]; twice && before != u.names {
				t.Errorf("%s stands for two units: %s, %s", name, before, u.names)
			}
			seen[key] = u.names
		}
	}
}
