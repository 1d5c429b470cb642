package page

import (
	"bytes"
	"errors"
	"fmt"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"

	"moldwright/pipeline"
	"moldwright/pipeline/advice"
	"moldwright/pipeline/history"
	"moldwright/pipeline/tables"
	"moldwright/pipeline/wall"
	"moldwright/reports/charts"
)

func render(t *testing.T, res pipeline.Result, pics ...charts.Chart) (string, *html.Node) {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, Write(&b, res, pics))
	doc, err := html.Parse(bytes.NewReader(b.Bytes()))
	require.NoError(t, err)
	return b.String(), doc
}

func walk(n *html.Node, visit func(*html.Node)) {
	visit(n)
	for c := range n.ChildNodes() {
		walk(c, visit)
	}
}

func elements(n *html.Node, name string) []*html.Node {
	var found []*html.Node
	walk(n, func(n *html.Node) {
		if n.Type == html.ElementNode && n.Data == name {
			found = append(found, n)
		}
	})
	return found
}

func attr(n *html.Node, name string) string {
	for _, a := range n.Attr {
		if a.Key == name {
			return a.Val
		}
	}
	return ""
}

// text is what a person reads: without styles.
func text(n *html.Node) string {
	var b strings.Builder
	var read func(*html.Node)
	read = func(n *html.Node) {
		if n.Type == html.ElementNode && n.Data == "style" {
			return
		}
		if n.Type == html.TextNode {
			b.WriteString(n.Data)
		}
		for c := range n.ChildNodes() {
			read(c)
		}
		if n.Data == "td" || n.Data == "th" || n.Data == "title" || n.Data == "desc" {
			b.WriteString(" ")
		}
	}
	read(n)
	return strings.Join(strings.Fields(b.String()), " ")
}

// pages are results of every kind: each must make a sound page.
func pages(t *testing.T) map[string]func() (string, *html.Node) {
	hostile := hostileSample()
	return map[string]func() (string, *html.Node){
		"sample": func() (string, *html.Node) {
			return render(t, sample(), drawn(t, "wall_against_dwell", charts.SectionWall, "wall, mm"), drawn(t, "lives", charts.SectionLife, "casts"),
				drawn(t, "waste", charts.SectionPlaster, "kg"), drawn(t, "new", "a later section", "x"))
		},
		"empty":    func() (string, *html.Node) { return render(t, pipeline.Result{}) },
		"defaults": func() (string, *html.Node) { return render(t, pipeline.Result{Settings: pipeline.Defaults()}) },
		"hostile": func() (string, *html.Node) {
			return render(t, hostile, drawn(t, "bad", charts.SectionWall, attack))
		},
	}
}

func TestEveryPageIsSound(t *testing.T) {
	for name, page := range pages(t) {
		t.Run(name, func(t *testing.T) {
			raw, doc := page()
			require.Equal(t, "en", attr(elements(doc, "html")[0], "lang"))
			require.NotEmpty(t, text(elements(doc, "title")[0]))
			headingsInOrder(t, doc)
			idsAndTargets(t, doc)
			tablesAreAccessible(t, doc)
			picturesHaveText(t, doc)
			nothingLoads(t, raw, doc)
			read := text(doc)
			require.Empty(t, regexp.MustCompile(`.{0,40}(NaN|Inf\b|\d[eE][+-]\d|<nil>|%!).{0,40}`).FindString(read))
			require.NotContains(t, read, "ZgotmplZ", "html/template refused a value")
		})
	}
}

func headingsInOrder(t *testing.T, doc *html.Node) {
	level := 0
	walk(doc, func(n *html.Node) {
		if n.Type != html.ElementNode || !regexp.MustCompile(`^h[1-6]$`).MatchString(n.Data) {
			return
		}
		here := int(n.Data[1] - '0')
		require.LessOrEqual(t, here, level+1, "%q skips a level", text(n))
		require.NotEmpty(t, text(n))
		level = here
	})
	require.Len(t, elements(doc, "h1"), 1)
}

func idsAndTargets(t *testing.T, doc *html.Node) {
	ids := map[string]bool{}
	walk(doc, func(n *html.Node) {
		if id := attr(n, "id"); id != "" {
			require.False(t, ids[id], "id %q stands twice", id)
			ids[id] = true
		}
	})
	walk(doc, func(n *html.Node) {
		if n.Data == "a" && n.Type == html.ElementNode {
			require.True(t, ids[strings.TrimPrefix(attr(n, "href"), "#")], "link to %q leads nowhere", attr(n, "href"))
		}
		for _, id := range strings.Fields(attr(n, "aria-labelledby")) {
			require.True(t, ids[id], "no label %q", id)
		}
	})
	first := elements(doc, "a")[0]
	require.Equal(t, "#main", attr(first, "href"), "the first link skips to the report")
}

func tablesAreAccessible(t *testing.T, doc *html.Node) {
	for _, table := range elements(doc, "table") {
		captions := elements(table, "caption")
		require.Len(t, captions, 1)
		require.NotEmpty(t, text(captions[0]))
		for _, th := range elements(table, "th") {
			require.Contains(t, []string{"col", "row"}, attr(th, "scope"))
			require.NotEmpty(t, text(th), "a header cell of %q is empty", text(captions[0]))
		}
		width := len(elements(elements(table, "thead")[0], "th"))
		for _, tr := range elements(elements(table, "tbody")[0], "tr") {
			require.Equal(t, width, len(elements(tr, "td"))+len(elements(tr, "th")), "a row of %q: %s", text(captions[0]), text(tr))
		}
	}
}

func picturesHaveText(t *testing.T, doc *html.Node) {
	require.Empty(t, elements(doc, "img"))
	for _, svg := range elements(doc, "svg") {
		require.Equal(t, "img", attr(svg, "role"))
		require.NotEmpty(t, attr(svg, "aria-labelledby"))
		require.NotEmpty(t, text(elements(svg, "desc")[0]))
	}
	for _, fig := range elements(doc, "figure") {
		require.NotEmpty(t, text(elements(fig, "figcaption")[0]))
	}
}

// nothingLoads: the page stands alone, and nothing of it runs.
func nothingLoads(t *testing.T, raw string, doc *html.Node) {
	for _, name := range []string{"script", "link", "iframe", "object", "embed", "base", "form", "foreignobject", "foreignObject", "audio", "video"} {
		require.Empty(t, elements(doc, name), name)
	}
	walk(doc, func(n *html.Node) {
		for _, a := range n.Attr {
			require.False(t, strings.HasPrefix(strings.ToLower(a.Key), "on"), "%s has %s", n.Data, a.Key)
			switch a.Key {
			case "src", "href", "srcset", "action", "data", "poster":
				require.Regexp(t, `^(#|data:image/png;base64,)`, a.Val)
			}
		}
	})
	for _, style := range elements(doc, "style") {
		require.NotRegexp(t, `(?i)url\(|@import|https?:`, style.FirstChild.Data)
	}
	require.NotContains(t, raw, "<?xml")
}

// attack is a name that would run, were it not escaped.
const attack = `"><script>alert('x')</script><img src=http://evil.invalid/a onerror=alert(1)>&amp;`

func hostileSample() pipeline.Result {
	res := sample()
	for i := range res.Wall.States {
		res.Wall.States[i].Mold = attack + fmt.Sprint(i)
		res.Wall.States[i].Form = attack
		res.Log.Molds[i].Mold, res.Log.Molds[i].Form = attack+fmt.Sprint(i), attack
	}
	for i := range res.Wall.Guide {
		res.Wall.Guide[i].Mold = attack + fmt.Sprint(i%2)
	}
	for i := range res.Plaster.Pours {
		res.Plaster.Pours[i].Pour, res.Plaster.Pours[i].Class = attack, attack
	}
	for i := range res.Plaster.Cuts {
		res.Plaster.Cuts[i].Pour = attack
	}
	res.Watch.Molds[0].Mold = "javascript:alert(1)"
	res.Problems[0].Value = strings.Repeat("\x00\xff<script>", 400)
	res.Advice[0].Finding, res.Advice[0].Sheet, res.Advice[0].For = attack, attack, attack
	res.NotGiven = append(res.NotGiven, advice.Missing{Answer: attack, Because: attack, Add: attack})
	res.Reading.Files[0].Name = attack
	res.Cautions = append(res.Cautions, attack)
	return res
}

func TestHostileNamesAreShownAsTheyAre(t *testing.T) {
	_, doc := render(t, hostileSample(), drawn(t, "bad", charts.SectionWall, attack))
	require.Contains(t, text(elements(doc, "tbody")[0]), strings.Join(strings.Fields(attack), " "))
	require.Contains(t, text(elements(doc, "svg")[0]), "<script>alert('x')</script>")
}

func TestBytesRepeat(t *testing.T) {
	first, _ := render(t, sample(), drawn(t, "a", charts.SectionWall, "x"))
	res := sample()
	res.Stages = []pipeline.StageTime{{Stage: "reading", Seconds: 1.25}}
	second, _ := render(t, res, drawn(t, "a", charts.SectionWall, "x"))
	require.Equal(t, first, second)
}

func sectionOf(t *testing.T, doc *html.Node, id string) *html.Node {
	t.Helper()
	for _, s := range elements(doc, "section") {
		if attr(s, "id") == id {
			return s
		}
	}
	t.Fatalf("no section %q", id)
	return nil
}

func TestUrgentAdviceComesFirst(t *testing.T) {
	_, doc := render(t, sample())
	next := sectionOf(t, doc, "next")
	var names []string
	for _, h := range elements(next, "h3") {
		names = append(names, text(h))
	}
	require.Equal(t, []string{advice.ForPotter, advice.ForShelf, advice.ForInstructor}, names)
	items := elements(next, "li")
	require.Len(t, items, 3)
	require.True(t, strings.HasPrefix(text(items[0]), "Now M-03 now needs"), text(items[0]))
	require.True(t, strings.HasPrefix(text(items[1]), "mug: for a wet wall"), text(items[1]))
	require.Contains(t, text(next), "Nothing that this log calls for", "the shelf has no advice")
}

func TestMoldsAreJoinedByName(t *testing.T) {
	_, doc := render(t, sample())
	rows := elements(sectionOf(t, doc, "molds"), "tr")
	var third string
	for _, r := range rows {
		if strings.HasPrefix(text(r), "M-03") {
			third = text(r)
		}
	}
	require.Equal(t, "M-03 mug · split 40 0.93 0.93 % 0.71 to 1.1 % 4.5 mm 4.1 to 5.0 mm at 22 min 1 cast 0 to 9 casts 21 %, 7 %, <1 % too slow Wearing early since age 31 re-dry", third)
	require.Contains(t, text(sectionOf(t, doc, "molds")), "3 molds in use, 1 retired or broken.")
}

func TestEachLawHasItsSentence(t *testing.T) {
	for _, c := range []struct {
		law          string
		exponent, se float64
		says         string
	}{
		{wall.Parabolic, 0.5, 0, "square root of the dwell, so that twice the wall takes four times the dwell."},
		{wall.Power, 0.534, 0.0121, "to the power 0.53 (standard error 0.01;"},
		{wall.Filtration, tables.Absent(), 0, "a·L² + b·L"},
	} {
		a := sampleWall(0)
		a.Chosen, a.Exponent, a.ExponentSE = c.law, c.exponent, c.se
		require.Contains(t, lawSentence(a), "“"+c.law+"”: ")
		require.Contains(t, lawSentence(a), c.says)
		require.Contains(t, lawSentence(a), "lands off it by about 5 %")
	}
}

func TestOnlyTheChosenLawsTermsAreShown(t *testing.T) {
	res := sample()
	res.Wall.Terms = append(res.Wall.Terms, tables.WallFit{Model: "square root", Term: "level of another law"})
	_, doc := render(t, res)
	require.Contains(t, text(sectionOf(t, doc, "method")), "log dwell 0.530 0.012 0.506 to 0.554")
	require.NotContains(t, text(sectionOf(t, doc, "method")), "level of another law")
}

func TestGroundsOfForecastsAreGathered(t *testing.T) {
	_, doc := render(t, sample())
	require.Contains(t, text(sectionOf(t, doc, "life")), "Molds Grounds M-01, M-03 Wear and life.")
}

func TestAForecastAloneStillShowsItsMold(t *testing.T) {
	res := pipeline.Result{Life: sampleLife()}
	_, doc := render(t, res)
	require.Contains(t, text(sectionOf(t, doc, "molds")), "M-01 mug · split 22 –")
}

func TestGuideIsAMatrixOfMoldsAndAges(t *testing.T) {
	_, doc := render(t, sample())
	rows := elements(sectionOf(t, doc, "guide"), "tr")
	require.Len(t, rows, 3)
	require.Equal(t, "Mold form Target wall Next cast 5 casts on 10 casts on 15 casts on 20 casts on 25 casts on 30 casts on", text(rows[0]))
	require.True(t, strings.HasPrefix(text(rows[1]), "M-01 mug 5.0 mm 19 16 to 23 age 22 20 17 to 23 age 27"), text(rows[1]))
	require.True(t, strings.HasSuffix(text(rows[2]), "– over a day age 70"), text(rows[2]))
	require.Contains(t, text(sectionOf(t, doc, "guide")), "Not in this table, for want of a target wall or of measured casts: M-04.")
}

func TestAGuideByCommonPracticeSaysSo(t *testing.T) {
	res := sample()
	res.Wall.Fitted, res.Wall.WhyNot = false, "only 3 usable casts"
	_, doc := render(t, res)
	require.Contains(t, text(sectionOf(t, doc, "guide")), "common practice, not from your own casts: Only 3 usable casts.")
	require.Contains(t, text(sectionOf(t, doc, "law")), "Not given. Only 3 usable casts.")
}

func TestMissingAnswersSayWhy(t *testing.T) {
	res := pipeline.Result{NotGiven: []advice.Missing{{Answer: "remaining casts", Because: "no casts", Add: "a casts sheet"}}}
	res.Wall.WhyNot, res.Life.WhyNot, res.Watch.WhyNot, res.Plaster.WhyNot = "no usable casts", "no mold is in service", "no walls", "no pours were read"
	_, doc := render(t, res)
	for id, why := range map[string]string{"law": "No usable casts.", "life": "No mold is in service.", "watch": "No walls.", "plaster": "No pours were read."} {
		s := sectionOf(t, doc, id)
		require.Contains(t, text(s), "Not given. "+why)
		require.Empty(t, elements(s, "table"), id)
	}
	require.Contains(t, text(sectionOf(t, doc, "not-given")), "Remaining casts No casts. A casts sheet.")
}

func TestLongListsSayWhereTheRestIs(t *testing.T) {
	_, doc := render(t, sample())
	problems := sectionOf(t, doc, "problems")
	require.Len(t, elements(problems, "tr"), 1+linesShown)
	require.Contains(t, text(problems), "57 problems: 19 rows set aside, 19 values not used, 19 notes.")
	require.Contains(t, text(problems), "7 lines more. All problems, cell by cell, are in tables/problems.csv")
	plaster := sectionOf(t, doc, "plaster")
	require.Contains(t, text(plaster), "Pour P-15, 2025-06-10", "the newest pour comes first")
	require.Contains(t, text(plaster), "120 mm 4 11/16 in 42 mm do not saw")
	require.Contains(t, text(plaster), "These are the newest 12 pours; those of 3 pours before stand in tables/cut_depth.csv.")
}

func TestProblemsThatReadTheSameShareALine(t *testing.T) {
	res := sample()
	for i := range res.Problems {
		res.Problems[i].Severity, res.Problems[i].Value = tables.SetAside, ""
	}
	res.Problems[1].Sheet = "Old casts"
	_, doc := render(t, res)
	rows := elements(sectionOf(t, doc, "problems"), "tr")
	require.Len(t, rows, 3)
	require.Contains(t, text(rows[1]), "Casts · F12, F14, F15")
	require.Contains(t, text(rows[1]), "F36 and 32 more studio-log.xlsx")
	require.Contains(t, text(rows[2]), "Old casts · F13 studio-log.xlsx")
}

func TestCautionsStandBeforeTheFigures(t *testing.T) {
	raw, _ := render(t, sample())
	require.Less(t, strings.Index(raw, `id="cautions"`), strings.Index(raw, `id="molds"`))
}

func TestUnknownWasteIsSaidInWords(t *testing.T) {
	res := sample()
	_, doc := render(t, res)
	require.Contains(t, text(sectionOf(t, doc, "plaster")), "15 pours took 240 kg of dry plaster; 61.2 kg is in no usable mold: 26 % of the plaster")
	res.Plaster.By[0].WasteKg, res.Plaster.By[0].WasteShare, res.Plaster.By[0].Cost = tables.Absent(), tables.Absent(), tables.Absent()
	_, doc = render(t, res)
	require.Contains(t, text(sectionOf(t, doc, "plaster")), "15 pours took 240 kg of dry plaster; how much of it is in no usable mold is not known. Where it went")
}

func TestChartsStandWhereTheyBelong(t *testing.T) {
	_, doc := render(t, sample(), drawn(t, "wall_against_dwell", charts.SectionWall, "x"), drawn(t, chartResiduals, charts.SectionWall, "x"),
		drawn(t, chartBudget, charts.SectionPlaster, "x"), drawn(t, "later", "a section of its own", "x"))
	for _, id := range []string{"law", "method", "plaster", "charts"} {
		require.Len(t, elements(sectionOf(t, doc, id), "figure"), 1, id)
	}
}

func TestCostsWithoutAPriceAreNotGiven(t *testing.T) {
	res := sample()
	res.Plaster.Priced = false
	_, doc := render(t, res)
	require.Contains(t, text(sectionOf(t, doc, "plaster")), "Costs are not given: there is no price of plaster on file.")
	require.NotContains(t, text(sectionOf(t, doc, "plaster")), "That cost")
}

type brokenWriter struct{}

func (brokenWriter) Write([]byte) (int, error) { return 0, errors.New("disk full") }

func TestErrorsSayWhat(t *testing.T) {
	require.ErrorContains(t, Write(brokenWriter{}, sample(), nil), "disk full")
	var b bytes.Buffer
	for _, svg := range []string{"", "<html></html>", "<svg><g></svg>", "plain text"} {
		err := Write(&b, sample(), []charts.Chart{{Name: "broken", SVG: []byte(svg)}})
		require.ErrorContains(t, err, `chart "broken"`, svg)
	}
	require.Zero(t, b.Len(), "nothing is written where a chart is broken")
}

func TestAMoldWithoutAnswersIsListed(t *testing.T) {
	res := pipeline.Result{}
	res.Log.Molds = []history.Mold{{Mold: "N-1", Status: history.StatusInUse, Kind: history.UnknownKind, EndedOn: tables.NoDate}}
	_, doc := render(t, res)
	require.Contains(t, text(sectionOf(t, doc, "molds")), "N-1 0 –")
}

func TestWhatEndedMoldsIsTold(t *testing.T) {
	_, doc := render(t, sample())
	shown := text(sectionOf(t, doc, "life"))
	require.Contains(t, shown, "split worn 5 of 11 44 casts 58 % 20 to 80 %")
	require.Contains(t, shown, "split broken 1 of 11 44 casts 9 % 1 to 30 %")
	require.NotContains(t, shown, "too slow 0")
}
