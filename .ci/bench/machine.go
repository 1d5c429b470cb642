package main

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"runtime"
	"strings"
	"time"
)

// machine is where the bench runs, and with what.
type machine struct {
	cpu, memory, system, load string
	r, python                 string // versions, "" where it or one of its packages is missing
	interpreter               string // of Python
	missing                   []string
	day                       string
}

func lookAt(ctx context.Context) machine {
	m := machine{
		cpu: fmt.Sprintf("%s, %d cores", after("/proc/cpuinfo", "model name"), runtime.NumCPU()), memory: memory(),
		system: strings.Trim(after("/etc/os-release", "PRETTY_NAME"), `"`), day: time.Now().Format("2006-01-02"),
	}
	if load, err := os.ReadFile("/proc/loadavg"); err == nil {
		m.load = strings.Fields(string(load))[0]
	}
	const rVersions = `for (p in c("data.table", "readxl", "lme4", "survival", "ggplot2", "openxlsx")) if (!requireNamespace(p, quietly = TRUE)) quit(status = 1)
cat(R.version.string, paste(c("data.table", "readxl", "lme4", "survival", "ggplot2", "openxlsx"), sapply(c("data.table", "readxl", "lme4", "survival", "ggplot2", "openxlsx"), function(p) as.character(packageVersion(p)))), sep = ", ")`
	if m.r = versions(ctx, "Rscript", "-e", rVersions); m.r == "" {
		m.missing = append(m.missing, "R with data.table, readxl, lme4, survival, ggplot2 and openxlsx")
	}
	const pythonVersions = `import sys, pandas, statsmodels, scipy, matplotlib, openpyxl, numpy
print(", ".join(["Python " + sys.version.split()[0]] + [m.__name__ + " " + m.__version__ for m in (numpy, pandas, statsmodels, scipy, matplotlib, openpyxl)]))`
	for _, p := range []string{"python3", "/usr/bin/python3"} { // the first may lack what the system's own has
		if m.python = versions(ctx, p, "-c", pythonVersions); m.python != "" {
			m.interpreter = p
			break
		}
	}
	if m.python == "" {
		m.missing = append(m.missing, "Python with pandas, statsmodels, scipy, matplotlib and openpyxl")
	}
	return m
}

// versions is what a program says, "" where it cannot.
func versions(ctx context.Context, words ...string) string {
	out, err := exec.CommandContext(ctx, words[0], words[1:]...).Output()
	if err != nil {
		return ""
	}
	return strings.TrimSpace(string(out))
}

// after is the value of a key in a file of keys and values.
func after(file, key string) string {
	data, _ := os.ReadFile(file) // absent elsewhere than on Linux
	for line := range strings.Lines(string(data)) {
		if rest, ok := strings.CutPrefix(line, key); ok {
			return strings.TrimLeft(strings.TrimSpace(rest), ":= \t")
		}
	}
	return "unknown"
}

func memory() string {
	var kb float64
	if _, err := fmt.Sscan(after("/proc/meminfo", "MemTotal:"), &kb); err != nil {
		return "unknown memory"
	}
	return fmt.Sprintf("%.0f GiB of memory", kb/1024/1024)
}
