package outdir

import (
	"errors"
	"fmt"
	"hash/fnv"
	"io/fs"
	"os"
	"path/filepath"
	"unicode/utf8"

	"moldwright/pipeline/scratch"
)

// What the folders that stand beside the final place for a while are for.
const (
	unfinished = "unfinished"
	formerly   = "former"
)

// longest is how many bytes of a name stand in the names beside it; file systems
// take 255, of which ours need 40 more.
const longest = 200

// beside is the beginning of the names of folders beside the final place.
func beside(final, role string) string {
	base := filepath.Base(final)
	if len(base) > longest {
		h := fnv.New64a()
		h.Write([]byte(base))
		cut := longest - 20
		for cut > 0 && !utf8.RuneStart(base[cut]) {
			cut--
		}
		base = fmt.Sprintf("%s-%x", base[:cut], h.Sum64())
	}
	return "." + base + "." + role + "-"
}

// bringBack gives a former report its name again where a run was killed after
// it had put it aside and before the new one was in place.
func bringBack(final string) error {
	if _, err := os.Lstat(final); !errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	for _, former := range scratch.Left(filepath.Dir(final), beside(final, formerly)) {
		kept := filepath.Join(former, aside)
		if _, err := os.Stat(kept); err != nil {
			continue
		}
		if err := os.Rename(kept, final); err != nil {
			return fmt.Errorf("a run was killed while it replaced %s: the former report is in %s and cannot be put back: %w", final, kept, err)
		}
		return nil
	}
	return nil
}

// clearLitter removes what a killed run left beside the final place. Folders
// of runs that still go on are kept.
func clearLitter(final string) {
	for _, role := range []string{unfinished, formerly} {
		scratch.Clear(filepath.Dir(final), beside(final, role))
	}
}
