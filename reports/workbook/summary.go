package workbook

import (
	"fmt"
	"slices"
	"strings"

	"moldwright/pipeline/advice"
	"moldwright/pipeline/ingest"
)

// Columns of the summary: when, what is the case, what to do, where the figures are.
const (
	whenCol = 1 + iota
	findingCol
	doCol
	sheetCol
)

// summary says on one screen what to do next, and below it what that rests on.
func (b *book) summary() {
	s := &sheet{b: b, name: summarySheet, wide: true, widths: []float64{8, 62, 62, 18}, next: titleRow}
	s.printed()
	s.line(titleRow, 26, titleLook(), words(b.title()))
	s.paragraph(s.next, noteLook(), "What to do next, for each reader, and the sheet with the figures behind it (click its name). Below: key figures, cautions, what was read, and what could not be answered.")
	s.advice()
	s.keyFigures()
	s.moreAdvice()
	s.cautions()
	s.contents()
	s.filesInShort()
	s.notGiven()
	s.close()
}

// mostAtFirst is how much advice a reader gets on the first screen; what is
// beyond stands further down.
const mostAtFirst = 6

// advice lists what to do, grouped by reader, what is urgent first.
func (s *sheet) advice() {
	items := s.b.res.Advice
	if len(items) == 0 {
		s.section("What to do next")
		s.entry("", "No advice could be given from what was read: see “Not given” below.", "", "")
		return
	}
	for _, reader := range readers(items) {
		s.tight(reader)
		own := adviceFor(items, reader)
		for _, it := range own[:min(len(own), mostAtFirst)] {
			s.item(it)
		}
		if more := len(own) - mostAtFirst; more > 0 {
			s.entry("", fmt.Sprintf("and %d more: see “%s” below", more, moreToDo), "", "")
		}
	}
}

const moreToDo = "More to do"

// moreAdvice lists the advice that did not stand on the first screen.
func (s *sheet) moreAdvice() {
	items := s.b.res.Advice
	begun := false
	for _, reader := range readers(items) {
		own := adviceFor(items, reader)
		if len(own) <= mostAtFirst {
			continue
		}
		if !begun {
			s.section(moreToDo)
			begun = true
		}
		s.tight(reader)
		for _, it := range own[mostAtFirst:] {
			s.item(it)
		}
	}
}

// adviceFor is the advice of one reader, what is urgent first.
func adviceFor(items []advice.Item, reader string) []advice.Item {
	var own []advice.Item
	for _, it := range items {
		if it.For == reader {
			own = append(own, it)
		}
	}
	slices.SortStableFunc(own, func(x, y advice.Item) int { return rank(x) - rank(y) })
	return own
}

func (s *sheet) item(it advice.Item) {
	when := ""
	if it.Urgent {
		when = "NOW"
	}
	s.entry(when, it.Finding, it.Do, it.Sheet)
}

// readers lists whom the advice is for: the potter, the shelf, the instructor,
// then any other.
func readers(items []advice.Item) []string {
	var out []string
	for _, known := range []string{advice.ForPotter, advice.ForShelf, advice.ForInstructor} {
		if slices.ContainsFunc(items, func(it advice.Item) bool { return it.For == known }) {
			out = append(out, known)
		}
	}
	for _, it := range items {
		if !slices.Contains(out, it.For) {
			out = append(out, it.For)
		}
	}
	return out
}

func rank(it advice.Item) int {
	if it.Urgent {
		return 0
	}
	return 1
}

// tight is a section's heading without a blank row before it, so that the
// advice of all readers fits on the first screen. Columns are named beside it.
func (s *sheet) tight(text string) {
	l := headLook()
	l.wrap = false
	s.line(s.next, 18, l, words(text), value{}, words("What to do"), words("Figures"))
}

// entry is a row of the summary with a link to the sheet behind it.
func (s *sheet) entry(when, finding, do, sheet string) {
	row := s.next
	text := ofTable(words(finding), bodySize)
	text.up = "top"
	mark := text
	mark.bold = true
	if when != "" {
		mark.fill, mark.ink = actFill, actInk
	}
	link := value{}
	linked := text
	if s.b.has(sheet) {
		link = words(sheet)
		linked.ink, linked.under = linkInk, true
		s.b.fail(s.b.file.SetCellHyperLink(s.name, ref(sheetCol, row), location(sheet, 1), "Location"))
	}
	values, looks := []value{words(when), words(finding), words(do), link}, []look{mark, text, text, linked}
	s.cells(row, rowHeight(values, looks, s.widths), looks, values)
}

// cautions shows the first sentence of each; the Method sheet has them in full.
func (s *sheet) cautions() {
	if len(s.b.res.Cautions) == 0 {
		return
	}
	s.section("Cautions in short (in full on the " + methodSheet + " sheet)")
	for i := 0; i < len(s.b.res.Cautions); i += 2 {
		second := ""
		if i+1 < len(s.b.res.Cautions) {
			second = firstSentence(s.b.res.Cautions[i+1])
		}
		s.entry("", firstSentence(s.b.res.Cautions[i]), second, "")
	}
}

// firstSentence is a text up to the end of its first sentence.
func firstSentence(text string) string {
	if i := strings.IndexAny(text, ".;"); i > 0 && i+1 < len(text) && text[i+1] == ' ' {
		return text[:i] + "."
	}
	return text
}

// cautionsAbout are the cautions that contain a word.
func (b *book) cautionsAbout(word string) []string {
	var out []string
	for _, c := range b.res.Cautions {
		if strings.Contains(strings.ToLower(c), word) {
			out = append(out, c)
		}
	}
	return out
}

// contents lists the sheets with the question that each answers.
func (s *sheet) contents() {
	s.section("Sheets of this workbook")
	for _, p := range purposes() {
		if s.b.has(p.sheet) {
			s.entry("", p.question, "", p.sheet)
		}
	}
}

// filesInShort says what was read, one row a file.
func (s *sheet) filesInShort() {
	const most = 12
	files := s.b.res.Reading.Files
	if len(files) == 0 {
		return
	}
	s.section("What was read")
	if len(files) > 1 {
		s.entry("", fmt.Sprintf("All %d files", len(files)), rowsInWords(s.b.res.Reading.Rows()), filesSheet)
	}
	for _, f := range files[:min(len(files), most)] {
		text := f.Unreadable
		if text == "" {
			text = rowsInWords(ingest.Reading{Files: []ingest.File{f}}.Rows())
		}
		s.entry("", f.Name, text, filesSheet)
	}
	if len(files) > most {
		s.entry("", fmt.Sprintf("and %d more files", len(files)-most), "", filesSheet)
	}
	if n := len(s.b.res.Problems); n > 0 {
		s.entry("", "Problems found in them: "+number(n), "Each with its cell and how to mend it.", problemsSheet)
	}
}

func rowsInWords(read, used, aside, other int) string {
	return fmt.Sprintf("%d rows read: %d used, %d set aside, %d without data", read, used, aside, other)
}

// notGiven lists the answers that could not be given, why, and what would give them.
func (s *sheet) notGiven() {
	missing := s.b.missing()
	if len(missing) == 0 {
		return
	}
	s.section("Not given")
	for _, m := range missing {
		why := m.Answer
		if m.Because != "" {
			why += ": not given, because " + m.Because
		}
		do := m.Add
		if do != "" {
			do = "To get it: " + do
		}
		s.entry("", why, do, "")
	}
}
