package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"time"
)

// program is one that is measured.
type program struct {
	kind
	limit   time.Duration
	command func(log, out string) []string
	read    func(out string) (answers, error)
	gaveUp  bool // failed or was stopped on a smaller log
}

// kind is a program and what it reads.
type kind struct {
	who    string // report, answers, r or python
	format string // of the log that it reads: csv, parquet or xlsx
}

// kinds are all of them, in the order of the table.
func kinds() []kind {
	return []kind{
		{"report", "csv"}, {"report", "parquet"}, {"answers", "csv"}, {"r", "csv"}, {"python", "csv"},
		{"report", "xlsx"}, {"answers", "xlsx"}, {"r", "xlsx"}, {"python", "xlsx"},
	}
}

// key names it among runs, and to the option -only: "r", "r-xlsx".
func (k kind) key() string {
	if k.format == "csv" {
		return k.who
	}
	return k.who + "-" + k.format
}

func (k kind) peer() bool { return k.who == "r" || k.who == "python" }

// reads reports whether it is given a log of so many casts.
func (k kind) reads(casts int, set settings) bool {
	switch {
	case !set.wanted(k.key()), k.peer() && casts > set.peersTo:
		return false
	case k.format == "parquet":
		return casts >= set.parquet
	case k.format == "xlsx":
		return casts <= set.workbooks
	}
	return true
}

func (k kind) String() string {
	who := map[string]string{"report": "ours, the whole report", "answers": "ours, the same answers only", "r": "R", "python": "Python"}[k.who]
	return who + ", " + map[string]string{"csv": "CSV", "parquet": "Parquet", "xlsx": "workbooks"}[k.format]
}

// run is what one run of a program took.
type run struct {
	wall, cpu float64 // s
	peakMiB   float64
	failed    string // why there are no answers, "" where there are
}

func (r run) String() string {
	if r.failed != "" {
		return r.failed
	}
	return fmt.Sprintf("%.2f s, %.2f s of processor time, %.0f MiB", r.wall, r.cpu, r.peakMiB)
}

// binaries are those of ours.
type binaries struct{ moldwright, answers, generate string }

// build builds ours as .ci/build does.
func build(ctx context.Context, work string) (binaries, error) {
	b := binaries{filepath.Join(work, "moldwright"), filepath.Join(work, "answers"), filepath.Join(work, "generate")}
	for bin, pkg := range map[string]string{b.moldwright: "./cmd/moldwright", b.answers: "./fixtures/answers", b.generate: "./fixtures/generate"} {
		cmd := exec.CommandContext(ctx, "go", "build", "-trimpath", "-ldflags=-s", "-o", bin, pkg)
		cmd.Env = append(os.Environ(), "CGO_ENABLED=0")
		if out, err := cmd.CombinedOutput(); err != nil {
			return b, fmt.Errorf("building %s, from the root of the repository: %w\n%s", pkg, err, out)
		}
	}
	return b, nil
}

// programsOf are those that can be run here.
func programsOf(b binaries, m machine, set settings) []*program {
	var all []*program
	for _, k := range kinds() {
		p := &program{kind: k, limit: set.limit, read: plainAnswers}
		switch k.who {
		case "report":
			p.limit, p.read = set.oursLimit, reportAnswers
			p.command = func(log, out string) []string { return []string{b.moldwright, "report", "-q", "-o", out, log} }
		case "answers":
			p.limit = set.oursLimit
			p.command = func(log, out string) []string { return []string{b.answers, log, out} }
		case "r":
			p.command = func(log, out string) []string {
				return []string{"Rscript", filepath.Join(".ci", "bench", "answers.R"), log, out}
			}
		case "python":
			p.command = func(log, out string) []string {
				return []string{m.interpreter, filepath.Join(".ci", "bench", "answers.py"), log, out}
			}
		}
		if k.who == "r" && m.r == "" || k.who == "python" && m.python == "" {
			continue
		}
		all = append(all, p)
	}
	return all
}

// start runs the program once in a fresh process and waits for it.
func (p *program) start(ctx context.Context, log, out string) run {
	if p.peer() {
		if err := os.MkdirAll(out, 0o755); err != nil {
			return run{failed: err.Error()}
		}
	}
	return timed(ctx, p.limit, p.command(log, out))
}

// timed runs a command, stopped at the limit with all that it started.
func timed(ctx context.Context, limit time.Duration, words []string) run {
	ctx, cancel := context.WithTimeout(ctx, limit)
	defer cancel()
	cmd := exec.CommandContext(ctx, words[0], words[1:]...)
	cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true}
	cmd.Cancel = func() error { return syscall.Kill(-cmd.Process.Pid, syscall.SIGKILL) }
	var said bytes.Buffer
	cmd.Stderr = &said
	start := time.Now()
	err := cmd.Run()
	r := run{wall: time.Since(start).Seconds()}
	if state := cmd.ProcessState; state != nil {
		r.cpu = (state.UserTime() + state.SystemTime()).Seconds()
		if usage, ok := state.SysUsage().(*syscall.Rusage); ok {
			r.peakMiB = float64(usage.Maxrss) / 1024 // kB on Linux
		}
	}
	switch {
	case errors.Is(ctx.Err(), context.DeadlineExceeded):
		r.failed = fmt.Sprintf("stopped after %.0f min", limit.Minutes())
	case err != nil:
		r.failed = fmt.Sprintf("failed after %.0f s: %s", r.wall, lastLine(said.String(), err))
	}
	return r
}

// lastLine is the last line that a program said, without its folders.
func lastLine(said string, err error) string {
	lines := strings.Split(strings.TrimSpace(said), "\n")
	last := strings.TrimSpace(lines[len(lines)-1])
	for i, line := range lines { // R says what was wrong before it says that it stops
		if strings.HasPrefix(line, "Error") {
			last = strings.Join(lines[i:min(i+2, len(lines))], " ")
		}
	}
	if last == "" || strings.Contains(err.Error(), "killed") {
		return err.Error()
	}
	words := strings.Fields(last)
	for i, w := range words {
		if strings.HasPrefix(w, "/") {
			words[i] = filepath.Base(w)
		}
	}
	return strings.ReplaceAll(strings.Join(words, " "), "|", "/")
}

// logs are the folders of one size's log, by format.
type logs map[string]string

func (l logs) remove() {
	for _, dir := range l {
		os.RemoveAll(dir)
	}
}

// generate writes the log of a size in each format that is read.
func generate(ctx context.Context, set settings, b binaries, work string, casts int) (logs, error) {
	l := logs{}
	parts := 1
	if casts >= 1_000_000 {
		parts = 4
	}
	for _, format := range []string{"csv", "parquet", "xlsx"} {
		read := func(k kind) bool { return k.format == format && k.reads(casts, set) }
		if !slices.ContainsFunc(kinds(), read) {
			continue
		}
		dir := filepath.Join(work, fmt.Sprintf("log-%d-%s", casts, format))
		if err := os.RemoveAll(dir); err != nil {
			return l, err
		}
		cmd := exec.CommandContext(ctx, b.generate, "factory", "-casts", fmt.Sprint(casts), "-seed", fmt.Sprint(set.seed),
			"-law", set.law, "-format", format, "-parts", fmt.Sprint(parts), "-o", dir)
		if out, err := cmd.CombinedOutput(); err != nil {
			return l, fmt.Errorf("generating %d casts: %w\n%s", casts, err, out)
		}
		l[format] = dir
	}
	return l, nil
}

// timeDemo is the demo's report, the fastest of some.
func timeDemo(ctx context.Context, b binaries, work string, set settings) (best run, err error) {
	for i := range set.repeats {
		out := filepath.Join(work, "out-demo")
		os.RemoveAll(out)
		r := timed(ctx, set.oursLimit, []string{b.moldwright, "demo", "-q", "-o", out})
		if r.failed != "" {
			return r, fmt.Errorf("the demo report %s", r.failed)
		}
		say("demo report: %s", r)
		if i == 0 || r.wall < best.wall {
			best = r
		}
	}
	os.RemoveAll(filepath.Join(work, "out-demo"))
	return best, nil
}
