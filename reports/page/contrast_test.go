package page

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Contrast as the Web Content Accessibility Guidelines 2.2 define it (relative
// luminance and contrast ratio, glossary): text needs 4.5 to 1 at level AA,
// and parts that carry meaning 3 to 1.
func TestColoursHaveEnoughContrast(t *testing.T) {
	css, err := files.ReadFile("page.css")
	require.NoError(t, err)
	light, rest, ok := strings.Cut(string(css), "@media screen and (prefers-color-scheme: dark)")
	require.True(t, ok)
	dark, _, _ := strings.Cut(rest, "* {")
	for name, part := range map[string]string{"light": light, "dark": dark} {
		colour := map[string]float64{}
		for _, m := range regexp.MustCompile(`--([a-z-]+): #([0-9a-f]{6});`).FindAllStringSubmatch(part, -1) {
			colour[m[1]] = luminance(t, m[2])
		}
		require.Len(t, colour, 13, name)
		check := func(ink, ground string, least float64) {
			t.Helper()
			a, b := colour[ink], colour[ground]
			require.GreaterOrEqual(t, (max(a, b)+0.05)/(min(a, b)+0.05), least, "%s: %s on %s", name, ink, ground)
		}
		for _, ground := range []string{"ground", "card", "band", "good-ground", "urgent-ground"} {
			check("ink", ground, 4.5)
			check("soft", ground, 4.5)
		}
		for _, ground := range []string{"ground", "card", "band"} {
			check("link", ground, 4.5)
			check("urgent-ink", ground, 4.5)
		}
		check("urgent-ink", "urgent-ground", 4.5)
		check("caution-ink", "caution-ground", 4.5)
		check("caution-rule", "ground", 3)
	}
}

func luminance(t *testing.T, hex string) float64 {
	var l float64
	for i, weight := range []float64{0.2126, 0.7152, 0.0722} {
		n, err := strconv.ParseUint(hex[2*i:2*i+2], 16, 8)
		require.NoError(t, err)
		c := float64(n) / 255
		if c <= 0.04045 {
			c /= 12.92
		} else {
			c = math.Pow((c+0.055)/1.055, 2.4)
		}
		l += weight * c
	}
	return l
}
