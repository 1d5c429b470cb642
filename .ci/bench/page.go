package main

import (
	"fmt"
	"os"
	"runtime"
	"strings"
)

// size is what was measured on the logs of one size.
type size struct {
	casts   int
	runs    map[string]run // by program
	answers map[string]answers
	truth   answers // what of the law has an answer's name
	stages  []stage // of the last report from CSV
}

// page is the whole bench.
type page struct {
	machine machine
	set     settings
	demo    run
	sizes   []size
}

func (p page) write(path string) error {
	if path == "" {
		return nil
	}
	return os.WriteFile(path, []byte(p.text()), 0o644)
}

func (p page) text() string {
	var b strings.Builder
	m := p.machine
	b.WriteString("# The report beside R and Python\n\n")
	fmt.Fprintf(&b, "Measured on %s by `go run ./.ci/bench` on %s, %s, %s, load %s at the start; %s; %s; %s.\n", m.day, m.cpu, m.memory, m.system, m.load,
		strings.Replace(runtime.Version(), "go", "Go ", 1), m.r, m.python)
	for _, what := range m.missing {
		fmt.Fprintf(&b, "Not there, and so left out: %s.\n", what)
	}
	fmt.Fprintf(&b, "Logs by `go run ./fixtures/generate factory -law %s -seed %d`. Every run is a fresh process, the programs in turns; up to 100,000 casts the fastest of %d, above one run. ", p.set.law, p.set.seed, p.set.repeats)
	fmt.Fprintf(&b, "R and Python are stopped at %.0f min, and are given %s casts at most.\n\n", p.set.limit.Minutes(), grouped(p.set.peersTo))
	b.WriteString("R and Python give the law of walls, lives by kind, a table of waste, five charts and a workbook. \"The same answers only\" is our own stages for these (`fixtures/answers`); \"the whole report\" adds two more laws of walls, forecasts, their replay on the past, the watch list, the run plan, sixteen charts, the page and all tables.\n\n")
	p.times(&b)
	fmt.Fprintf(&b, "\nThe demo's report, start included, the fastest of %d: %.2f s of wall time, %.2f s of processor time, %.0f MiB.\n", p.set.repeats, p.demo.wall, p.demo.cpu, p.demo.peakMiB)
	p.agreement(&b)
	p.stageTimes(&b)
	return b.String()
}

func (p page) times(b *strings.Builder) {
	b.WriteString("| casts | program | wall time, s | processor time, s | peak memory, MiB | bytes a cast | µs a cast | times the wall time of our report from such files | of our same answers |\n| --- | --- | --- | --- | --- | --- | --- | --- | --- |\n")
	for _, s := range p.sizes {
		for _, k := range kinds() {
			r, ran := s.runs[k.key()]
			switch {
			case !ran:
				continue
			case r.failed != "":
				fmt.Fprintf(b, "| %s | %s | %s | | | | | | |\n", grouped(s.casts), k, r.failed)
				continue
			}
			report, same := s.runs[kind{"report", k.format}.key()], s.runs[kind{"answers", k.format}.key()]
			fmt.Fprintf(b, "| %s | %s | %s | %s | %.0f | %.0f | %s | %s | %s |\n", grouped(s.casts), k, seconds(r.wall), seconds(r.cpu), r.peakMiB,
				r.peakMiB*1024*1024/float64(s.casts), seconds(1e6*r.wall/float64(s.casts)), ratio(r, report), ratio(r, same))
		}
	}
}

// ratio is how many times another run's wall time a run took.
func ratio(r, other run) string {
	if other.wall == 0 || other.failed != "" {
		return ""
	}
	return fmt.Sprintf("%.2f", r.wall/other.wall)
}

func (p page) agreement(b *strings.Builder) {
	b.WriteString("\nWhether the answers agree: \"apart\" is the largest distance of any program from our report, as a share of its value. The truth is what the log was drawn by, where the answer estimates a number of it.\n\n| casts | answer | truth | our report | our same answers | R | Python | apart | allowed | |\n| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |\n")
	for _, s := range p.sizes {
		for _, d := range compare(s.answers, s.casts) {
			cell := func(from answers, key string) string {
				if x, ok := from[key]; ok {
					return fmt.Sprintf("%.6g", x)
				}
				return ""
			}
			verdict := "agree"
			if !(d.share <= d.most) {
				verdict = "**differ**"
			}
			fmt.Fprintf(b, "| %s | %s | %s | %s | %s | %s | %s | %.2g | %.2g | %s |\n", grouped(s.casts), d.name, cell(s.truth, d.name),
				cell(d.values, "report"), cell(d.values, "answers"), cell(d.values, "r"), cell(d.values, "python"), d.share, d.most, verdict)
		}
	}
}

// stageTimes tells how long the stages of our report took.
func (p page) stageTimes(b *strings.Builder) {
	var names []string
	times := map[string]map[int]float64{}
	for _, s := range p.sizes {
		for _, t := range s.stages {
			if times[t.Stage] == nil {
				times[t.Stage] = map[int]float64{}
				names = append(names, t.Stage)
			}
			times[t.Stage][s.casts] += t.Seconds
		}
	}
	if len(names) == 0 {
		return
	}
	b.WriteString("\nHow long the report's stages took, in s, from `run.json` of the last run from CSV. Plaster and the watch list run beside other stages; drawing and writing come behind them:\n\n| stage |")
	for _, s := range p.sizes {
		fmt.Fprintf(b, " %s casts |", grouped(s.casts))
	}
	b.WriteString("\n| --- |" + strings.Repeat(" --- |", len(p.sizes)) + "\n")
	for _, name := range names {
		fmt.Fprintf(b, "| %s |", name)
		for _, s := range p.sizes {
			if t, ok := times[name][s.casts]; ok {
				fmt.Fprintf(b, " %s |", seconds(t))
			} else {
				b.WriteString(" |")
			}
		}
		b.WriteString("\n")
	}
}

// sound reports whether all programs ran, or were stopped at their limit, and
// their answers agree.
func (p page) sound() bool {
	for _, s := range p.sizes {
		for _, r := range s.runs {
			if r.failed != "" && !strings.HasPrefix(r.failed, "stopped") {
				return false
			}
		}
		for _, d := range compare(s.answers, s.casts) {
			if !(d.share <= d.most) {
				return false
			}
		}
	}
	return true
}

// seconds are rounded to what a second measurement would repeat.
func seconds(s float64) string {
	switch {
	case s >= 100:
		return fmt.Sprintf("%.0f", s)
	case s >= 10:
		return fmt.Sprintf("%.1f", s)
	}
	return fmt.Sprintf("%.2f", s)
}

// grouped writes a whole number with commas.
func grouped(n int) string {
	s := fmt.Sprint(n)
	for i := len(s) - 3; i > 0; i -= 3 {
		s = s[:i] + "," + s[i:]
	}
	return s
}
