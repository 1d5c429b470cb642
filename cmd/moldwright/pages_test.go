package main

import (
	"bufio"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/spf13/pflag"
	"github.com/stretchr/testify/require"
)

// commandsOf are the commands that a page tells its reader to run: indented lines,
// and code within a line that begins with a program's name.
func commandsOf(t *testing.T, page string) []string {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", page))
	require.NoError(t, err)
	defer f.Close()
	program := regexp.MustCompile(`^(go (run|test|build|install) |moldwright |\.ci/)`)
	code := regexp.MustCompile("`([^`]+)`")
	var out []string
	lines := bufio.NewScanner(f)
	lines.Buffer(nil, 1<<20)
	for lines.Scan() {
		if line, ok := strings.CutPrefix(lines.Text(), "    "); ok {
			command, _, _ := strings.Cut(line, "#")
			out = append(out, strings.TrimSpace(command))
			continue
		}
		for _, m := range code.FindAllStringSubmatch(lines.Text(), -1) {
			for _, part := range strings.Split(m[1], "; ") {
				if program.MatchString(part) {
					out = append(out, part)
				}
			}
		}
	}
	require.NoError(t, lines.Err())
	return out
}

// TestEveryCommandOnThePagesIsThere holds that each command that README,
// DEVELOPERS and MEASURED name can be run: the program's own with options that it knows, Go's on
// folders that there are. .ci/run runs them; the trials, which take long, by -h alone.
func TestEveryCommandOnThePagesIsThere(t *testing.T) {
	for page, least := range map[string]int{"README.md": 15, "DEVELOPERS.md": 9, "fixtures/trials/MEASURED.md": 9} {
		all := commandsOf(t, page)
		require.GreaterOrEqual(t, len(all), least, page)
		for _, c := range all {
			words := strings.Fields(strings.NewReplacer(`"`, "").Replace(c))
			switch {
			case words[0] == "moldwright":
				knowsCommand(t, page, words[1:])
			case words[0] == "go":
				knowsGo(t, page, words[1:])
			case strings.HasPrefix(words[0], ".ci/"):
				info, err := os.Stat(filepath.Join("..", "..", filepath.FromSlash(words[0])))
				require.NoError(t, err, "%s: %s", page, c)
				require.False(t, info.IsDir(), "%s: %s", page, c)
			default:
				t.Errorf("%s tells to run %q, which nothing checks", page, c)
			}
		}
	}
}

func knowsCommand(t *testing.T, page string, words []string) {
	t.Helper()
	if words[0] == "COMMAND" {
		return // a word that stands for any
	}
	i := slices.IndexFunc(commands(), func(c command) bool { return c.name == words[0] })
	require.GreaterOrEqual(t, i, 0, "%s: no command %q", page, words[0])
	flags := pflag.NewFlagSet(words[0], pflag.ContinueOnError)
	flags.SetOutput(io.Discard)
	commands()[i].setup(flags)
	require.NoError(t, flags.Parse(words[1:]), "%s: %s", page, strings.Join(words, " "))
}

func knowsGo(t *testing.T, page string, words []string) {
	t.Helper()
	at := slices.IndexFunc(words, func(w string) bool { return strings.HasPrefix(w, "./") })
	require.Positive(t, at, "%s: go %s names no package", page, strings.Join(words, " "))
	folder := strings.TrimSuffix(strings.TrimSuffix(words[at], "..."), "/")
	if folder == "./PACKAGE" {
		return // a word that stands for any
	}
	require.DirExists(t, filepath.Join("..", "..", filepath.FromSlash(folder)), page)
	if folder != "./fixtures/trials" || len(words) == at+1 {
		return
	}
	source, err := os.ReadFile(filepath.Join("..", "..", "fixtures", "trials", "main.go"))
	require.NoError(t, err)
	require.Contains(t, string(source), `"`+words[at+1]+`":`, "%s: no trial %q", page, words[at+1])
}

// TestCheapCommandsOfTheReadmeRun runs those that take no time; .ci/readme runs all.
func TestCheapCommandsOfTheReadmeRun(t *testing.T) {
	told := commandsOf(t, "README.md")
	logs := demoStudio(t)
	t.Chdir(filepath.Dir(logs))
	require.NoError(t, os.Rename(logs, "my-logs"))
	for _, c := range []string{"moldwright template -o log.xlsx", "moldwright check my-logs/", "moldwright version"} {
		require.Contains(t, told, c)
		code, _, errOut := moldwright(t, strings.Fields(c)[1:]...)
		require.Equal(t, exitDone, code, "%s: %s", c, errOut)
	}
	require.FileExists(t, "log.xlsx")
}

// TestThePagesLinkToWhatThereIs follows every relative link and picture.
func TestThePagesLinkToWhatThereIs(t *testing.T) {
	link := regexp.MustCompile(`\]\(([^)#]+)(#[^)]*)?\)`)
	for _, page := range []string{"README.md", "DEVELOPERS.md", "pipeline/COLUMNS.md", "pipeline/METHODS.md", "pipeline/PROBLEMS.md", "fixtures/trials/MEASURED.md"} {
		text, err := os.ReadFile(filepath.Join("..", "..", filepath.FromSlash(page)))
		require.NoError(t, err)
		for _, m := range link.FindAllStringSubmatch(string(text), -1) {
			if !strings.Contains(m[1], "://") {
				require.FileExists(t, filepath.Join("..", "..", filepath.Dir(filepath.FromSlash(page)), filepath.FromSlash(m[1])), page)
			}
		}
	}
}
