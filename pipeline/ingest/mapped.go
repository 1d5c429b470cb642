package ingest

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"moldwright/pipeline/ingest/grid"
	"moldwright/pipeline/ingest/mapping"
	"moldwright/pipeline/tables"
)

// What a mapping file settles.

// hintsFor gathers what is known of a sheet from elsewhere.
func (r *reader) hintsFor(file int, s *grid.Sheet, molds map[string]bool) hints {
	h := hints{molds: molds}
	rule := r.opt.Mapping.For(r.problems.files[file].Name, s.Name)
	if rule == nil {
		return h
	}
	h.rule = rule
	if len(rule.Columns) > 0 {
		h.rename = func(at int, header string) (string, bool) { return rule.Rename(grid.Letters(at), header) }
	}
	return h
}

// vocabularies are those of the tables that the sheet may hold.
func (f *finder) vocabularies() []vocabulary {
	all := vocabularies()
	if f.hints.rule == nil || f.hints.rule.Table == "" {
		return all
	}
	return slices.DeleteFunc(slices.Clone(all), func(v vocabulary) bool { return v.table.Name != f.hints.rule.Table })
}

// settled lists the values that a mapping gives all rows of the sheet.
func (f *finder) settled(v vocabulary, has []bool) []given {
	var out []given
	if f.hints.rule == nil || f.hints.rule.Table != v.table.Name {
		return nil
	}
	for _, column := range slices.Sorted(maps.Keys(f.hints.rule.Given)) {
		if i := v.columnNamed(column); i >= 0 && !has[i] {
			out = append(out, given{column: i, text: f.hints.rule.Given[column], from: "the mapping file", mapped: true})
		}
	}
	return out
}

// applyMapping reads what the mapping gives the rows of the block and the words
// that it knows, and says that it was used. It fails with a fault where a given
// value cannot be read.
func (b *block) applyMapping(rule *mapping.Rule) {
	if rule == nil {
		return
	}
	for i, v := range b.given {
		decl := b.table.Columns[i]
		text, given := rule.Given[decl.Name]
		if !v.has || !given || rule.Table != b.table.Name {
			continue
		}
		read, fault := b.read(&column{at: -1, match: match{column: i}, habit: habit{middle: tables.Absent()}}, text)
		if fault != nil {
			read = absent()
			b.noteOnce(-1, tables.Problem{
				Code: fault.code, Severity: tables.ValueIgnored, Value: text,
				Message: fmt.Sprintf("the %s that the mapping file gives all rows cannot be used: %s", decl.Name, fault.message), Mend: fault.mend,
			})
		} else if decl.Kind == tables.KindLengths {
			read.nums = []float64{read.num}
		}
		b.given[i] = read
	}
	for k := range b.columns {
		if col := &b.columns[k]; col.used && b.table.Columns[col.match.column].Kind == tables.KindChoice {
			b.mapWords(col, rule)
		}
	}
	if !b.follower {
		b.noteOnce(-1, tables.Problem{
			Code: CodeMappingUsed, Severity: tables.Notice, Value: b.table.Name,
			Message: "the mapping file settled what this sheet holds", Mend: "nothing to do if that is right; otherwise correct the mapping file",
		})
	}
}

// mapWords reads the words of a column as the mapping says.
func (b *block) mapWords(col *column, rule *mapping.Rule) {
	decl := b.table.Columns[col.match.column]
	b.each(col, func(text string) {
		as, ok := rule.Word(text)
		if !ok {
			return
		}
		for _, choice := range decl.Choices {
			if strings.EqualFold(strings.TrimSpace(as), choice) {
				col.remember(text, value{has: true, text: choice, num: tables.Absent(), day: tables.NoDate})
			}
		}
	})
}

// unusedMapping tells of entries of the mapping that fit nothing that was read.
func (r *reader) unusedMapping() {
	if len(r.problems.files) == 0 {
		return
	}
	for _, what := range r.opt.Mapping.Unused() {
		r.tell(len(r.problems.files)-1, CodeMappingUnused, tables.Notice, "an entry of the mapping file is not used: "+what, "correct it, or remove it")
	}
}
