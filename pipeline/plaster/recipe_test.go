package plaster

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// 1.43 of plaster to 1 of water is consistency 70 (definition).
func TestRecipesAsPeopleWriteThem(t *testing.T) {
	for _, c := range []struct {
		text   string
		want   float64
		turned bool
	}{
		{"70", 70, false}, {"0.7", 70, false}, {"0,7", 70, false}, {"70 %", 70, false}, {"100:70", 70, false}, {"70:100", 70, false},
		{"70 to 100 plaster", 70, false}, {"1:0.7", 70, false}, {"1.43", 69.93, true}, {"143", 69.93, true}, {"1.43:1", 69.93, false},
	} {
		got, turned, ok := recipeOf(c.text)
		require.True(t, ok, c.text)
		require.InDelta(t, c.want, got, 0.01, c.text)
		require.Equal(t, c.turned, turned, c.text)
	}
	for _, text := range []string{"casting plaster", "5 parts", "1", "No. 70", "70-B", "0", "100:7:3", "9:1", "500", "1e9:1", ""} {
		_, _, ok := recipeOf(text)
		require.False(t, ok, text)
	}
}

func TestTheMixAgainstItsRecipe(t *testing.T) {
	for recipe, codes := range map[string][]string{"": nil, "70": nil, "72": nil, "78": {"off-recipe"}, "1.43": {"ratio-inverted"}, "1.25": {"ratio-inverted", "off-recipe"}, "No. 1": {"recipe-unreadable"}} {
		var problems problemList
		p := pour("P1", 4)
		p.Recipe = recipe
		tellRecipe(p, Defaults(), &problems)
		var got []string
		for _, r := range problems.rows {
			got = append(got, r.Code)
		}
		require.Equal(t, codes, got, recipe)
	}
	var problems problemList
	p := pour("P1", 4)
	p.Recipe, p.WaterKg = "70", math.NaN()
	tellRecipe(p, Defaults(), &problems)
	require.Empty(t, problems.rows, "the missing water is told elsewhere")
}
