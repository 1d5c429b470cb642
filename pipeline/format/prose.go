package format

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"time"
)

// Prose writes the quantities and days in sentences of the pipeline, which are SI
// and ISO, as a report writes them. What people wrote stays as it is: whatever
// stands in “quotation marks”, and the names from the inputs.
type Prose struct {
	units Units
	days  Days
	names []string // those with something in them that could be taken for a quantity or a day
}

// NewProse makes the writer; the names are those that may stand in a sentence.
func NewProse(u Units, d Days, names []string) Prose {
	p := Prose{units: u, days: d}
	seen := map[string]bool{}
	for _, n := range names {
		if maybe(n) && !seen[n] && (siQuantity.MatchString(n) || isoDay.MatchString(n)) {
			seen[n] = true
			p.names = append(p.names, n)
		}
	}
	return p
}

// maybe reports whether a text can hold a quantity or a day at all. Few names do, and an
// expression takes a hundred times as long to find that out.
func maybe(s string) bool {
	digits := strings.ContainsAny(s, "0123456789")
	return digits && (strings.Contains(s, " ") || strings.Count(s, "-") >= 2)
}

// Idle reports whether every sentence stays as it is.
func (p Prose) Idle() bool { return p.units != US && (p.days == "" || p.days == ISO) }

var (
	// A number, or two joined as a range, with a unit of length, mass, volume or temperature.
	siQuantity = regexp.MustCompile(`(−?\d+(?:\.\d+)?)(?:( to | and | or |–)(−?\d+(?:\.\d+)?))? (mm²/min|mm|kg/L|kg|L|°C)`)
	isoDay     = regexp.MustCompile(`\d{4}-\d\d-\d\d`)
	// What is said of each kilogram is said of each pound, its masses with the same number.
	aKilogram = regexp.MustCompile(`\b(a|each|per|spare) kilogram\b`)
	// How something was read at ingest, where SI is the point.
	conversion = regexp.MustCompile(`per kg|to the lit`)
)

// Text writes a sentence, or several.
func (p Prose) Text(s string) string {
	s = p.Units(s)
	if p.days == "" || p.days == ISO || !maybe(s) {
		return s
	}
	return p.replaced(s, isoDay, func(m []string) string {
		day, err := time.Parse("2006-01-02", m[0])
		if err != nil {
			return m[0]
		}
		return day.Format(p.days.layout())
	})
}

// Units writes the quantities of a sentence only: one that says how to write a day
// in a spreadsheet must keep its example.
func (p Prose) Units(s string) string {
	if p.units != US || !maybe(s) && !strings.Contains(s, "kilogram") {
		return s
	}
	sentences := strings.SplitAfter(s, ". ")
	for i, one := range sentences {
		perMass := aKilogram.MatchString(one)
		one = p.replaced(one, siQuantity, func(m []string) string { return p.units.spoken(m[1], m[2], m[3], m[4], perMass) })
		if perMass {
			one = aKilogram.ReplaceAllString(one, "$1 pound")
		}
		sentences[i] = one
	}
	return strings.Join(sentences, "")
}

// Texts writes a list into a new one.
func (p Prose) Texts(list []string) []string {
	if p.Idle() || list == nil {
		return list
	}
	out := make([]string, len(list))
	for i, s := range list {
		out[i] = p.Text(s)
	}
	return out
}

func (p Prose) replaced(s string, find *regexp.Regexp, write func([]string) string) string {
	var b strings.Builder
	done := 0
	for _, at := range find.FindAllStringSubmatchIndex(s, -1) {
		if !p.ours(s, at[0], at[1]) {
			continue
		}
		m := make([]string, len(at)/2)
		for i := range m {
			if at[2*i] >= 0 {
				m[i] = s[at[2*i]:at[2*i+1]]
			}
		}
		b.WriteString(s[done:at[0]])
		b.WriteString(write(m))
		done = at[1]
	}
	return b.String() + s[done:]
}

// ours reports whether the part of s was written by the pipeline and stands for itself.
func (p Prose) ours(s string, from, to int) bool {
	before, after := s[:from], s[to:]
	if joins(before[max(0, len(before)-1):]) || joins(after[:min(1, len(after))]) || strings.HasPrefix(after, "²") || strings.HasPrefix(after, "/") {
		return false // a part of a longer word, such as a file's name, or of another unit
	}
	if strings.Count(before, "“") > strings.Count(before, "”") {
		return false
	}
	if conversion.MatchString(s) {
		return false
	}
	for _, n := range p.names {
		for at := strings.Index(s, n); at >= 0; {
			if at < to && from < at+len(n) {
				return false
			}
			next := strings.Index(s[at+1:], n)
			if next < 0 {
				break
			}
			at += 1 + next
		}
	}
	return true
}

// joins reports whether a byte continues a word or number.
func joins(c string) bool {
	return c != "" && (c[0] >= '0' && c[0] <= '9' || c[0] >= 'A' && c[0] <= 'Z' || c[0] >= 'a' && c[0] <= 'z' || c[0] == '_' || c[0] == '-')
}

// spoken writes one or two numbers with as many digits in the other unit as they
// had: 0.1 mm is as good as 0.001 in. With perMass they are what goes with a kilogram.
func (u Units) spoken(first, join, second, unitName string, perMass bool) string {
	numbers, decimals := []float64{}, 0
	for _, text := range []string{first, second} {
		if x, err := strconv.ParseFloat(strings.Replace(text, "−", "-", 1), 64); err == nil {
			numbers = append(numbers, x)
			_, behind, _ := strings.Cut(text, ".")
			decimals = max(decimals, len(behind))
		}
	}
	if unitName == "mm" && decimals == 0 && numbers[len(numbers)-1] >= 10 {
		return u.onMarks(numbers, join)
	}
	to := u.named(unitName, perMass)
	if unitName == "°C" {
		for i, c := range numbers {
			numbers[i] = c*9/5 + 32
		}
	}
	step := to.Of(math.Pow(10, -float64(decimals)))
	const nearly = 0.15 // a step of 0.14 is as good as one of 0.1
	decimals = max(0, int(math.Ceil(-math.Log10(step)-nearly)))
	var parts []string
	for _, x := range numbers {
		parts = append(parts, Fixed(to.Of(x), decimals))
	}
	return strings.Join(parts, join) + " " + to.Name
}

// named is the unit that stands in for an SI unit of that name.
func (u Units) named(si string, perMass bool) Unit {
	switch si {
	case "mm":
		return u.Length()
	case "kg":
		if perMass {
			return Plain(u.MassUnit().Name)
		}
		return u.MassUnit()
	case "L":
		if perMass {
			return Unit{u.Liquid().Name, u.Liquid().size / u.MassUnit().size}
		}
		return u.Liquid()
	case "kg/L":
		return Unit{u.MassUnit().Name + "/" + u.Liquid().Name, u.MassUnit().size / u.Liquid().size}
	case "mm²/min":
		return u.CastingRate()
	case "°C":
		return Plain("°F")
	}
	return Plain(si)
}

// onMarks writes lengths of whole mm as on a ruler: to 1/8 in where they are
// multiples of 5 mm, as round figures are, else to 1/16.
func (u Units) onMarks(mm []float64, join string) string {
	var parts []string
	for _, x := range mm {
		denominator := 16
		if math.Mod(x, 5) == 0 {
			denominator = 8
		}
		parts = append(parts, strings.TrimSuffix(inches(x, denominator, math.Round), " in"))
	}
	return strings.Join(parts, join) + " in"
}
