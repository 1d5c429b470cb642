// Bench measures, in one go on one machine, this pipeline beside what a person
// would otherwise write in R and in Python (answers.R and answers.py beside
// it): wall time, processor time and peak memory of fresh processes on invented
// logs of 10³ to 10⁷ casts, and whether their answers agree. It prints a page in
// Markdown, rewritten after each size, so that an interrupted run leaves what it has.
//
//	go run ./.ci/bench -o bench.md
//
// R needs data.table, readxl, lme4, survival, ggplot2 and openxlsx; Python needs pandas,
// statsmodels, scipy, matplotlib and openpyxl. What is missing is left out, with
// a word. Linux only, as peak memory is read in its unit.
package main

import (
	"context"
	"flag"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// settings of a bench.
type settings struct {
	sizes     []int
	repeats   int
	limit     time.Duration // of a peer
	oursLimit time.Duration
	seed      uint64
	law       string
	peersTo   int // casts of the largest log that R and Python are given
	parquet   int // least casts of a log that is read as Parquet, too
	workbooks int // most casts of a log that is read as workbooks, too
	out       string
	work      string
	keep      bool
	only      []string
}

func main() {
	set := settings{}
	from := flag.Int("from", 1000, "casts of the smallest log")
	to := flag.Int("to", 10_000_000, "casts of the largest log; each is ten times the one before")
	flag.IntVar(&set.repeats, "repeats", 3, "runs of each program up to 100,000 casts, the fastest counts; above there is one")
	flag.DurationVar(&set.limit, "limit", 10*time.Minute, "wall time after which R and Python are stopped and not tried on larger logs")
	flag.DurationVar(&set.oursLimit, "ours-limit", 30*time.Minute, "the same for ours")
	flag.Uint64Var(&set.seed, "seed", 1, "seed of the logs")
	flag.StringVar(&set.law, "law", "power", "law of the walls: power, which all programs fit, or filtration")
	flag.IntVar(&set.parquet, "parquet", 100_000, "casts from which on our report reads the log as Parquet, too")
	flag.IntVar(&set.workbooks, "workbooks", 100_000, "casts up to which all read the log as workbooks, too")
	flag.IntVar(&set.peersTo, "peers-to", 1_000_000, "casts of the largest log that R and Python are given; more may not fit into memory")
	flag.StringVar(&set.out, "o", "", "file for the page; standard output if empty")
	flag.StringVar(&set.work, "work", "", "folder for logs and reports, 3 GB of room for 10 million casts; a temporary one if empty")
	flag.BoolVar(&set.keep, "keep", false, "leave logs and reports in the folder")
	only := flag.String("only", "", "programs to run, separated by commas: report, answers, r, python, report-parquet, and the first four with -xlsx behind; all if empty")
	flag.Parse()
	for n := max(*from, 100); n <= *to; n *= 10 {
		set.sizes = append(set.sizes, n)
	}
	if *only != "" {
		set.only = strings.Split(*only, ",")
	}
	if flag.NArg() > 0 || len(set.sizes) == 0 || set.repeats < 1 {
		fmt.Fprintln(os.Stderr, "bench: there is nothing to do; -h shows the options")
		os.Exit(2)
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	ok, err := bench(ctx, set)
	if err != nil {
		fmt.Fprintln(os.Stderr, "bench:", err)
		os.Exit(1)
	}
	if !ok {
		os.Exit(1) // a program failed or its answers differ, as the page says
	}
}

func bench(ctx context.Context, set settings) (ok bool, err error) {
	work, err := workFolder(set.work)
	if err != nil {
		return false, err
	}
	if !set.keep && set.work == "" {
		defer os.RemoveAll(work)
	}
	bins, err := build(ctx, work)
	if err != nil {
		return false, err
	}
	m := lookAt(ctx)
	programs := programsOf(bins, m, set)
	p := page{machine: m, set: set}
	say("%d programs on %d sizes, in %s", len(programs), len(set.sizes), work)
	p.demo, err = timeDemo(ctx, bins, work, set)
	if err != nil {
		return false, err
	}
	for _, casts := range set.sizes {
		s, err := measure(ctx, set, bins, work, programs, casts)
		if err != nil {
			return false, err
		}
		p.sizes = append(p.sizes, s)
		if err := p.write(set.out); err != nil {
			return false, err
		}
		if ctx.Err() != nil {
			return false, ctx.Err()
		}
	}
	if set.out == "" {
		fmt.Print(p.text())
	}
	return p.sound(), nil
}

// measure generates the logs of one size and runs every program on them, in turns.
func measure(ctx context.Context, set settings, bins binaries, work string, programs []*program, casts int) (size, error) {
	s := size{casts: casts, runs: map[string]run{}, answers: map[string]answers{}}
	logs, err := generate(ctx, set, bins, work, casts)
	if err != nil {
		return s, err
	}
	if !set.keep {
		defer logs.remove()
	}
	s.truth = truthOf(logs["csv"])
	repeats := set.repeats
	if casts > 100_000 {
		repeats = 1
	}
	for turn := range repeats {
		for i := range programs {
			p := programs[(i+turn)%len(programs)]
			if p.gaveUp || !p.reads(casts, set) {
				continue
			}
			log, key := logs[p.format], p.key()
			out := filepath.Join(work, "out-"+key)
			os.RemoveAll(out)
			r := p.start(ctx, log, out)
			if ctx.Err() != nil {
				return s, ctx.Err()
			}
			say("%d casts, %s: %s", casts, p, r)
			if best, done := s.runs[key]; !done || r.failed == "" && (best.failed != "" || r.wall < best.wall) {
				r.peakMiB = max(r.peakMiB, best.peakMiB)
				s.runs[key] = r
			}
			if r.failed != "" {
				p.gaveUp = true // larger logs, and more turns, would not do better
				continue
			}
			if s.answers[key], err = p.read(out); err != nil {
				s.runs[key] = run{failed: "its answers cannot be read: " + err.Error()}
			}
			if key == "report" {
				s.stages = stagesOf(out)
			}
			if !set.keep {
				os.RemoveAll(out)
			}
		}
	}
	return s, nil
}

// workFolder is an absolute folder that is there.
func workFolder(dir string) (string, error) {
	if dir == "" {
		return os.MkdirTemp("", "bench")
	}
	full, err := filepath.Abs(dir)
	if err != nil {
		return "", err
	}
	return full, os.MkdirAll(full, 0o755)
}

func say(format string, values ...any) {
	fmt.Fprintf(os.Stderr, time.Now().Format("15:04:05 ")+format+"\n", values...)
}

// wanted reports whether a program is among those asked for.
func (s settings) wanted(key string) bool { return len(s.only) == 0 || slices.Contains(s.only, key) }
