package ingest

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"moldwright/pipeline/ingest/mapping"
	"moldwright/pipeline/ingest/quantity"
	"moldwright/pipeline/tables"
)

// CheckMapping finds entries that no sheet can make right: columns, units and
// words that are not known. Its error says which entry and what to write.
func CheckMapping(m *mapping.Mapping) error {
	if m == nil {
		return nil
	}
	for i, r := range m.Sheets {
		some := (&finder{hints: hints{rule: r}}).vocabularies()
		for _, key := range slices.Sorted(maps.Keys(r.Columns)) {
			if err := knownHeader(some, r.Columns[key]); err != nil {
				return fmt.Errorf("[[sheet]] number %d, column %q: %w", i+1, key, err)
			}
		}
		for _, key := range slices.Sorted(maps.Keys(r.Words)) {
			if choices := choicesOf(some); !slices.ContainsFunc(choices, func(c string) bool { return strings.EqualFold(c, strings.TrimSpace(r.Words[key])) }) {
				return fmt.Errorf("[[sheet]] number %d, word %q: %q is no word that is known; write one of: %s", i+1, key, r.Words[key], strings.Join(choices, ", "))
			}
		}
	}
	return nil
}

// knownHeader holds that a header of a mapping names a column of one of the
// tables, and that all that stands in its brackets is understood: left as a
// comment, a misspelt unit would be guessed in silence.
func knownHeader(some []vocabulary, as string) error {
	if as == "" {
		return nil
	}
	h := newHeading(as)
	odd := ""
	for _, v := range some {
		m, misfit, ok := v.match(h)
		if !ok {
			odd = max(odd, misfit)
			continue
		}
		part := strangePart(v.table, m, h)
		if part == "" {
			return nil
		}
		odd = part
	}
	if odd != "" {
		return fmt.Errorf("%q: %q is no unit that fits; write it as in \"wall (mm)\", \"dwell (min)\" or \"date (dd.mm.yyyy)\"", as, odd)
	}
	return fmt.Errorf("no column is called %q; moldwright check lists those that are known below the mapping file that it prints, write \"\" to leave a column out", as)
}

// strangePart is what stands in a header's brackets and says nothing of the
// column, "" where all is understood.
func strangePart(t tables.Table, m match, h heading) string {
	if h.comma {
		return "" // the part may be words of the name
	}
	c := t.Columns[m.column]
	dim := quantity.DimensionOf(c)
	for _, part := range h.parts {
		if _, ok := quantity.LookUnit(part, dim); ok {
			continue
		}
		if _, wet := quantity.Fluids[c.Name]; wet && dim == quantity.Mass {
			if _, ok := quantity.LookUnit(part, quantity.Volume); ok {
				continue
			}
		}
		if again := (&match{column: m.column}); !again.takePart(t, c, part) {
			return strings.TrimSpace(part)
		}
	}
	return ""
}

func choicesOf(some []vocabulary) []string {
	var out []string
	for _, v := range some {
		for _, c := range v.table.Columns {
			if c.Kind == tables.KindChoice {
				out = append(out, c.Choices...)
			}
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}
