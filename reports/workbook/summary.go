package workbook

import (
	"fmt"
	"strings"

	"moldwright/pipeline/advice"
	"moldwright/pipeline/ingest"
)

// Columns of the summary: when, what is the case, what to do, its chief figure
// and where that stands.
const (
	whenCol = 1 + iota
	findingCol
	doCol
	figureCol
	sheetCol
)

// summary answers the three readers on one screen: what this week, the run and
// the term call for, and below it what that rests on.
func (b *book) summary() {
	s := b.sheet(summarySheet, true, []float64{8, 60, 50, 11, 20})
	s.printed()
	s.repeated(titleRow)
	s.line(titleRow, titleHeight, titleLook(), words(b.title()))
	s.paragraph(s.next, noteLook(), "Three answers, each with what to do about it. The last column is a link to the cell that the figure beside it is taken from. Below: key figures, cautions, what was read, and what could not be answered.")
	s.frozen(s.next - 1)
	s.advice()
	s.figuresOfAll()
	s.moreAdvice()
	s.cautions()
	s.contents()
	s.filesInShort()
	s.notGiven()
	s.close()
}

const (
	// mostAtFirst is how much advice on a topic stands on the first screen; what
	// is beyond stands further down.
	mostAtFirst = 6
	// mostOfAll bounds the advice on a topic; the sheets have all.
	mostOfAll = 100
)

// advice answers each topic and lists what to do, what is urgent first.
func (s *sheet) advice() {
	topics := s.b.topics()
	if len(topics) == 0 {
		s.section("What to do next")
		s.entry(row{finding: "No advice could be given from what was read: see “Not given” below."})
		return
	}
	for _, t := range topics {
		s.tight(t.heading)
		if t.answer != "" {
			s.entry(row{finding: t.answer, strong: true, where: top(t.sheet)})
		}
		for _, it := range t.items[:min(len(t.items), mostAtFirst)] {
			s.item(it)
		}
		if more := len(t.items) - mostAtFirst; more > 0 {
			s.entry(row{finding: fmt.Sprintf("and %d more: see “%s” below", more, moreToDo)})
		}
	}
}

const moreToDo = "More to do"

// moreAdvice lists the advice that did not stand on the first screen.
func (s *sheet) moreAdvice() {
	begun := false
	for _, t := range s.b.topics() {
		if len(t.items) <= mostAtFirst {
			continue
		}
		if !begun {
			s.section(moreToDo)
			begun = true
		}
		s.tight(t.heading)
		for _, it := range t.items[mostAtFirst:min(len(t.items), mostOfAll)] {
			s.item(it)
		}
		if more := len(t.items) - mostOfAll; more > 0 {
			s.entry(row{finding: fmt.Sprintf("and %d more: see the sheets", more)})
		}
	}
}

func (s *sheet) item(it advice.Item) {
	when := ""
	if it.Urgent {
		when = "NOW"
	}
	p, _ := s.b.behind(it)
	s.entry(row{when: when, finding: it.Finding, do: it.Do, figure: p.value, where: p})
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
	s.keepTogether(60)
	s.line(s.next, 18, l, words(text), value{}, words("What to do"), words("Figure"), words("Where it stands"))
}

// row is a row of the summary.
type row struct {
	when, finding, do string
	figure            value
	where             place // the zero value for a row without a link
	strong            bool  // the answer of a topic
}

// entry writes a row of the summary, with a link to the place behind it.
func (s *sheet) entry(r row) {
	at := s.next
	text := ofTable(words(r.finding), bodySize)
	text.up = "top"
	finding, mark, shown := text, text, text
	finding.bold = r.strong
	mark.bold = true
	if r.when != "" {
		mark.fill, mark.ink = actFill, actInk
	}
	shown.bold, shown.across = true, "right"
	shown.wrap = r.figure.is == isText
	link := value{}
	linked := text
	if s.b.has(r.where.sheet) {
		link = words(r.where.sheet)
		if r.figure.is != isEmpty {
			link = words(r.where.sheet + " " + r.where.cell)
		}
		linked.ink, linked.under = linkInk, true
		s.leadTo(sheetCol, at, r.where)
	}
	values, looks := []value{words(r.when), words(r.finding), words(r.do), r.figure, link}, []look{mark, finding, text, shown, linked}
	s.row(at, rowHeight(values, looks, s.widths), looks, values)
}

// figuresOfAll lists the key figures of all sheets: formulas, so that they
// follow what the reader changes there.
func (s *sheet) figuresOfAll() {
	if len(s.b.figures) == 0 {
		return
	}
	s.section(figuresHeading)
	for _, f := range s.b.figures {
		if !f.quiet {
			v := f.value.by(f.name)
			s.entry(row{finding: f.what, figure: v, where: f.place})
		}
	}
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
		s.entry(row{finding: firstSentence(s.b.res.Cautions[i]), do: second})
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
			s.entry(row{finding: p.question, where: top(p.sheet)})
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
		s.entry(row{finding: fmt.Sprintf("All %d files", len(files)), do: rowsInWords(s.b.res.Reading.Rows()), where: top(filesSheet)})
	}
	for _, f := range files[:min(len(files), most)] {
		text := f.Unreadable
		if text == "" {
			text = rowsInWords(ingest.Reading{Files: []ingest.File{f}}.Rows())
		}
		s.entry(row{finding: f.Name, do: text, where: top(filesSheet)})
	}
	if len(files) > most {
		s.entry(row{finding: fmt.Sprintf("and %d more files", len(files)-most), where: top(filesSheet)})
	}
	if n := len(s.b.res.Problems); n > 0 {
		s.entry(row{finding: "Problems found in them: " + number(n), do: "Each with its cell and how to mend it.", where: top(problemsSheet)})
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
		s.entry(row{finding: why, do: do})
	}
}
