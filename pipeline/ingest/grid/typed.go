package grid

import (
	"math"
	"strconv"
	"time"
)

// Kind is what the values of a typed column are.
type Kind byte

const (
	IsText   Kind = iota
	IsNumber      // a number
	IsDay         // days since 1970-01-01
	IsMoment      // seconds since 1970-01-01 as clocks showed them there
	IsClock       // minutes after midnight
	IsSpan        // a length of time in minutes
	IsTruth       // 1 or 0
)

// Value is a cell of a file that knows its types. The zero Value stands for a text.
type Value struct {
	Kind   Kind
	Number float64
}

// typed are the different values of a column; the first stands for none.
type typed struct {
	kind   Kind
	values []float64
	index  *textIndex // of their bits; nil once hardly any came twice
	hits   int
	last   uint32
	raw    float64 // the last one as it was given
	short  bool    // given in fewer digits than are kept: 4.6 must not become 4.599999904632568
}

func newTyped(k Kind) *column {
	return &column{typed: &typed{kind: k, values: []float64{math.NaN()}, index: newIndex()}}
}

// code is the number of a value; a NaN counts as none.
func (t *typed) code(x float64) uint32 {
	if x != x {
		return 0
	}
	if x == t.raw && t.last > 0 {
		t.hits++
		return t.last
	}
	k, found := uint32(len(t.values)), false
	if t.index != nil {
		k, found = t.index.code(key{lo: math.Float64bits(x)}, "", k)
	}
	t.last, t.raw = k, x
	if found {
		t.hits++
		return k
	}
	if t.short {
		x, _ = strconv.ParseFloat(strconv.FormatFloat(x, 'g', -1, 32), 64)
	}
	t.values = append(t.values, x)
	if t.index != nil && len(t.values)%probation == 0 && t.hits < len(t.values)/2 {
		t.index = nil
	}
	return k
}

// text is a value as a person would write it.
func (t *typed) text(code uint32) string {
	if code == 0 {
		return ""
	}
	x := t.values[code]
	switch t.kind {
	case IsDay:
		return time.Unix(int64(x)*86400, 0).UTC().Format("2006-01-02")
	case IsMoment:
		whole := math.Floor(x)
		at := time.Unix(int64(whole), 0).UTC()
		return at.Format("2006-01-02 15:04:05")
	case IsClock:
		s := int(math.Round(x * 60))
		text := strconv.Itoa(s/3600) + ":" + two(s/60%60)
		if s%60 != 0 {
			text += ":" + two(s%60)
		}
		return text
	case IsSpan:
		return strconv.FormatFloat(x, 'f', -1, 64) + " min"
	case IsTruth:
		if x == 0 {
			return "false"
		}
		return "true"
	}
	if x == math.Trunc(x) && math.Abs(x) < 1<<53 {
		return strconv.FormatInt(int64(x), 10)
	}
	if math.Abs(x) >= 1e21 {
		return strconv.FormatFloat(x, 'g', -1, 64)
	}
	return strconv.FormatFloat(x, 'f', -1, 64)
}

func two(n int) string {
	if n < 10 {
		return "0" + strconv.Itoa(n)
	}
	return strconv.Itoa(n)
}

// Value is the value with a number, see Code; a zero Value where the column
// holds texts.
func (s *Sheet) Value(at int, code uint32) Value {
	if at >= len(s.columns) || s.columns[at].typed == nil || code == 0 {
		return Value{}
	}
	t := s.columns[at].typed
	return Value{t.kind, t.values[code]}
}

// Unit is the unit that the file states for a column, "" for none.
func (s *Sheet) Unit(at int) string {
	if at >= len(s.units) {
		return ""
	}
	return s.units[at]
}

// Kind is what a column holds.
func (s *Sheet) Kind(at int) Kind {
	if at >= len(s.columns) || s.columns[at].typed == nil {
		return IsText
	}
	return s.columns[at].typed.kind
}
