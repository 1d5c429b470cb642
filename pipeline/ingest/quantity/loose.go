package quantity

import (
	"errors"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// ErrBound says that a text bounds a number and gives none: >6, at least 20.
var ErrBound = errors.New("a bound and no value")

// roughly and bounds are words and signs before a number, longest first where
// one begins with another.
var (
	roughly = []string{"approximately", "approx.", "approx", "circa", "about", "around", "roughly", "abt.", "abt", "ca.", "ca", "c.", "etwa", "environ", "~", "≈", "∼", "≅"}
	bounds  = []string{"more than", "less than", "at least", "at most", "up to", "over", "under", "above", "below", "min.", "max.", "min", "max", ">=", "<=", ">", "<", "≥", "≤"}
)

// loose reads a quantity that is not written plainly, from a text that is not
// one as it stands.
func (in scale) loose(s string) (Quantity, error) {
	if t, ok := afterWord(s, bounds); ok && numeric(t) {
		return Quantity{}, ErrBound
	}
	if t, ok := strings.CutSuffix(s, "+"); ok && numeric(t) {
		if _, err := in.exact(Clean(t)); err == nil {
			return Quantity{}, ErrBound
		}
	}
	core, approximate, note := peel(s)
	q, err := in.exact(core)
	switch {
	case err == nil && core == s:
	case err == nil:
		q.Approximate, q.Note = approximate, note
		return q, nil
	case err != ErrUnreadable:
		return Quantity{}, err
	}
	for _, read := range []func(string) (Quantity, error){in.between, in.withTolerance, in.noted} {
		q, err := read(core)
		if err == nil {
			q.Approximate = q.Approximate || approximate
			q.Note = join(note, q.Note)
			return q, nil
		}
		if err != ErrUnreadable {
			return Quantity{}, err
		}
	}
	return Quantity{}, ErrUnreadable
}

// peel takes the signs of doubt off a number: ~6, 6?, (6), 6*. A star means
// something that only its writer knows, and becomes the note.
func peel(s string) (core string, approximate bool, note string) {
	for range 4 {
		t, rough := afterWord(s, roughly)
		switch {
		case rough && numeric(t):
			s, approximate = t, true
		case strings.HasSuffix(s, "?"):
			s, approximate = Clean(strings.TrimRight(s, "?")), true
		case strings.HasSuffix(s, "*"):
			s, note = Clean(strings.TrimRight(s, "*")), "*"
		case len(s) > 2 && (s[0] == '(' && s[len(s)-1] == ')' || s[0] == '[' && s[len(s)-1] == ']') && !strings.ContainsAny(s[1:len(s)-1], "()[]"):
			s, note = Clean(s[1:len(s)-1]), join("in brackets", note)
			approximate = true
		default:
			return s, approximate, note
		}
	}
	return s, approximate, note
}

// afterWord gives what follows one of the words with which s begins.
func afterWord(s string, words []string) (rest string, ok bool) {
	for _, w := range words {
		if len(s) > len(w) && strings.EqualFold(s[:len(w)], w) {
			rest = s[len(w):]
			if last, _ := utf8.DecodeLastRuneInString(w); unicode.IsLetter(last) && !strings.HasPrefix(rest, " ") && !numeric(rest) {
				continue // a longer word
			}
			return Clean(rest), true
		}
	}
	return "", false
}

// numeric reports whether s begins as a number does.
func numeric(s string) bool {
	s = strings.TrimLeft(s, " -.+")
	return s != "" && s[0] >= '0' && s[0] <= '9'
}

// widest is how many times the low end of a range its high end may be for the
// middle to say something: 5-6 does, 1-10 does not.
const widest = 2

// between reads a range as its middle: 5-6, 5 to 6 mm, 0:20–0:25.
func (in scale) between(s string) (Quantity, error) {
	for _, dash := range []string{" to ", " bis ", " - ", "–", "—", "..", "…", "-"} {
		low, high, ok := strings.Cut(s, dash)
		low, high = Clean(low), Clean(high)
		if !ok || !numeric(low) || !numeric(high) || strings.HasPrefix(high, "-") || strings.HasPrefix(low, "-") {
			continue
		}
		b, err := in.exact(high)
		if err != nil {
			continue
		}
		a, err := in.exact(low)
		if err == nil && a.Plain && !b.Plain && !strings.Contains(high, ":") {
			a, err = in.exact(low + " " + lastUnit(high))
		}
		if err != nil || a.By != b.By || a.Plain != b.Plain || !(b.Base > a.Base) || b.Written > widest*a.Written || b.Base > widest*a.Base && b.By != Temperature {
			continue
		}
		b.Base, b.Written = (a.Base+b.Base)/2, (a.Written+b.Written)/2
		b.Approximate, b.Note = true, "the middle of "+low+" to "+high
		return b, nil
	}
	return Quantity{}, ErrUnreadable
}

// lastUnit is what stands behind the last digit.
func lastUnit(s string) string {
	return s[strings.LastIndexAny(s, "0123456789")+1:]
}

// withTolerance reads 6±0.2 as 6 with a note.
func (in scale) withTolerance(s string) (Quantity, error) {
	for _, sign := range []string{"±", "+/-", "+-"} {
		value, tolerance, ok := strings.Cut(s, sign)
		value, tolerance = Clean(value), Clean(tolerance)
		if !ok || value == "" || !numeric(tolerance) {
			continue
		}
		t, err := in.exact(tolerance)
		if err != nil {
			return Quantity{}, err
		}
		q, err := in.exact(value)
		if err == nil && q.Plain && !t.Plain {
			q, err = in.exact(value + " " + lastUnit(tolerance))
		}
		q.Note = "±" + tolerance
		return q, err
	}
	return Quantity{}, ErrUnreadable
}

// notNotes are words that behind a number are no note: they change its size or
// are units that are not known here. In lower case, without an s at the end.
var notNotes = []string{
	"dozen", "hundred", "thousand", "million", "half", "quarter", "third", "score", "k", "x", "time", "fold", "power",
	"to", "or", "by", "per", "each", "a", "of", "plu", "minu", "les", "more", "over", "under", "and", "not", "between",
	"mil", "thou", "stone", "ton", "cwt", "week", "wk", "month", "year", "yr", "bag", "sack", "bucket", "pail", "jug", "scoop", "batch", "batche", "drop", "spoon",
	"tbsp", "tsp", "gauge", "ga", "bar", "psi", "pound/force", "micron", "um", "µm", "nm", "mg", "dl", "hl", "tick", "degree", "°", "deg", "part",
}

// noted reads a number with words behind it: 5.2 thin at foot, 22 (rushed).
// The words must be parted from the number and hold no further number outside of
// brackets. Behind a bare number of a mass or volume, words without a bracket
// or comma before them may be its unit (2 bags), so that it is not read.
func (in scale) noted(s string) (Quantity, error) {
	for at := 1; at < len(s) && at <= longestNumber; at++ {
		if strings.IndexByte(" ,;([", s[at]) < 0 {
			continue
		}
		note := strings.TrimLeft(s[at:], " ,;-–:")
		first, _ := utf8.DecodeRuneInString(note)
		if !unicode.IsLetter(first) && first != '(' && first != '[' {
			continue
		}
		q, err := in.exact(Clean(s[:at]))
		if err != nil {
			continue
		}
		parted := strings.IndexByte(",;([", s[at]) >= 0 || first == '(' || first == '['
		if q.Plain && !parted && slices.ContainsFunc(in.dims, func(d Dimension) bool { return d == Mass || d == Volume }) {
			continue
		}
		if q, ok := q.withNote(note); ok {
			return q, nil
		}
	}
	return Quantity{}, ErrUnreadable
}

// withNote keeps the note, unless it is none.
func (q Quantity) withNote(note string) (Quantity, bool) {
	bare := strings.Trim(note, " ()[].!")
	words := strings.FieldsFunc(strings.ToLower(bare), func(r rune) bool { return unicode.IsSpace(r) || strings.ContainsRune(",;:()", r) })
	if len(words) == 0 {
		return Quantity{}, false
	}
	if start, _ := utf8.DecodeRuneInString(words[0]); !unicode.IsLetter(start) || strings.ContainsAny(outside(note), "0123456789") {
		return Quantity{}, false
	}
	if _, known := LookAnyUnit(words[0]); known {
		return Quantity{}, false
	}
	if slices.Contains(notNotes, strings.TrimSuffix(words[0], "s")) {
		return Quantity{}, false
	}
	if len(words) == 1 && slices.ContainsFunc(roughly, func(w string) bool { return strings.Trim(w, ".") == words[0] }) {
		q.Approximate = true
		return q, true
	}
	if n := strings.Count(bare, "("); n == strings.Count(bare, ")") {
		q.Note = bare
	} else {
		q.Note = note
	}
	return q, true
}

// outside is what stands outside of the brackets.
func outside(s string) string {
	var b strings.Builder
	depth := 0
	for _, r := range s {
		switch r {
		case '(', '[':
			depth++
		case ')', ']':
			depth = max(0, depth-1)
		default:
			if depth == 0 {
				b.WriteRune(r)
			}
		}
	}
	return b.String()
}

func join(a, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return a + "; " + b
}

// Several parts a cell that holds several readings of one thing: 5.2; 5.4 or
// 5.2, 5.4, 5.1 mm. A unit behind the last is that of all. It gives nil where
// the cell is one reading or cannot be parted.
func Several(s string, dims ...Dimension) []string {
	if len(s) > longest || len(s) < 3 || strings.Trim(s, "0123456789.") == "" {
		return nil
	}
	parts := strings.FieldsFunc(s, func(r rune) bool { return r == ';' || r == '|' || r == '\n' })
	if len(parts) < 2 {
		s = normal(s)
		if len(dims) > 0 {
			if _, err := (scale{Unit{Dim: dims[0], Scale: 1}, MarkUnknown, dims}).exact(s); err == nil || err == ErrAmbiguous {
				return nil
			}
		}
		parts = apart(s)
	}
	var out []string
	for _, p := range parts {
		if p = Clean(p); p != "" {
			out = append(out, p)
		}
	}
	if len(out) < 2 {
		return nil
	}
	if _, plain := Plain(out[0]); plain {
		if unit := Clean(lastUnit(out[len(out)-1])); unit != "" {
			if _, ok := LookAnyUnit(unit); ok {
				for i := range out[:len(out)-1] {
					if _, bare := Plain(out[i]); bare {
						out[i] += " " + unit
					}
				}
			}
		}
	}
	return out
}

// apart parts numbers at commas with a space behind them, at slashes between
// decimals, and at spaces or commas between numbers with a point.
func apart(s string) []string {
	for _, sep := range []string{", ", " / ", " + ", " & ", "/", ",", " "} {
		parts := strings.Split(s, sep)
		if len(parts) < 2 || len(parts) > 24 {
			continue
		}
		ok := true
		for _, p := range parts {
			p = Clean(p)
			decimals := strings.ContainsAny(p, ".") || sep != "," && strings.ContainsAny(p, ",")
			ok = ok && numeric(p) && p[0] != '-' && (len(sep) > 1 || decimals)
			unit := lastUnit(p)
			ok = ok && strings.Trim(p[:len(p)-len(unit)], "0123456789., /") == ""
			if unit = Clean(unit); ok && unit != "" {
				_, ok = LookAnyUnit(unit)
			}
		}
		if ok {
			return parts
		}
	}
	return nil
}
