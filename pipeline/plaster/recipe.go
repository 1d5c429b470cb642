package plaster

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"moldwright/pipeline/tables"
)

var (
	recipeNumber = regexp.MustCompile(`\d+(?:[.,]\d+)?`)
	// Words beside a single number that leave it a mix; others make it a name.
	recipeWords = regexp.MustCompile(`(?i)^(\s|%|\d|[.,]|parts?|of|water|to|plaster|consistency|c\b)*$`)
)

// Recipes ask for no less and no more: common practice, no source.
const leastRecipe, mostRecipe = 40, 95

// recipeOf reads the mix that a recipe asks for as parts of water per 100 parts
// of plaster: "70", "0.7", "70 %", "100:70", "70 to 100". There is always less
// water than plaster, so that two numbers tell which is which, and one number
// above 115 (or 1.15) is plaster to water, as some handbooks write it; turned
// tells so. ok is false where no mix can be read.
func recipeOf(text string) (consistency float64, turned, ok bool) {
	var numbers []float64
	for _, m := range recipeNumber.FindAllString(text, -1) {
		x, err := strconv.ParseFloat(strings.ReplaceAll(m, ",", "."), 64)
		if err != nil || !(x > 0) || math.IsInf(x, 0) {
			return 0, false, false
		}
		numbers = append(numbers, x)
	}
	switch len(numbers) {
	case 2:
		consistency = 100 * min(numbers[0], numbers[1]) / max(numbers[0], numbers[1])
	case 1:
		if !recipeWords.MatchString(text) {
			return 0, false, false
		}
		x := numbers[0]
		if x < leastMix { // parts of one, not of a hundred
			x *= 100
		}
		if turned = x > exchangedFrom; turned {
			x = 100 * 100 / x
		}
		consistency = x
	}
	return consistency, turned, consistency >= leastRecipe && consistency <= mostRecipe
}

// tellRecipe compares the consistency as mixed with that of the recipe.
func tellRecipe(p tables.Pour, set Settings, problems *problemList) {
	if strings.TrimSpace(p.Recipe) == "" {
		return
	}
	asked, turned, ok := recipeOf(p.Recipe)
	if !ok {
		problems.add(p.Origin, "recipe", tables.Problem{Code: "recipe-unreadable", Severity: tables.ValueIgnored, Value: p.Recipe,
			Message: fmt.Sprintf("pour %s: no mix of plaster and water can be read from its recipe", p.Pour), Mend: "write parts of water to 100 parts of plaster by mass, such as 70"})
		return
	}
	if turned {
		problems.add(p.Origin, "recipe", tables.Problem{Code: "ratio-inverted", Severity: tables.Notice, Value: p.Recipe,
			Message: fmt.Sprintf("pour %s: the recipe looks like plaster to water; it is taken as %.0f parts of water to 100 of plaster", p.Pour, asked),
			Mend:    "write parts of water to 100 parts of plaster by mass"})
	}
	mixed := consistencyOf(p)
	// Both masses were weighed.
	if off := math.Abs(mixed - asked); off > oddErrors*math.Sqrt2*set.WeighingShare*asked && off >= 1 {
		problems.add(p.Origin, "water", tables.Problem{Code: "off-recipe", Severity: tables.Notice, Value: show(mixed),
			Message: fmt.Sprintf("pour %s has %.0f parts of water per 100 parts of plaster; its recipe asks for %.0f", p.Pour, mixed, asked),
			Mend:    "weigh both, or correct the recipe; molds of unlike mixes cast at unlike rates"})
	}
}
