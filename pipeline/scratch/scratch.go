// Package scratch makes folders for work in progress, and clears those that a
// killed process left behind.
//
// Where the system has locks on folders, the folder of a living process is
// locked by it: a lock ends with its process, however that ends, and says
// nothing wrong when the number of a dead process is given to another. Elsewhere
// the number in the folder's name tells whether its process still runs.
package scratch

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
)

// Dir is a folder of this process's own, until Release.
type Dir struct {
	path string
	lock lock
}

// Path is where the folder is.
func (d *Dir) Path() string { return d.path }

// Release gives the folder up without removing it: it may have got another name
// meanwhile. From now on it is litter to the next Clear, under a name of ours.
func (d *Dir) Release() { d.lock.release() }

// Remove removes the folder with what is in it.
func (d *Dir) Remove() error {
	err := os.RemoveAll(d.path)
	d.Release()
	return err
}

// Make makes a new folder in parent with those permissions, less the user's mask.
// Its name is the prefix, the number of this process, and a number that makes it new.
func Make(parent, prefix string, perm os.FileMode) (*Dir, error) {
	for i := range mostOfOne {
		path := filepath.Join(parent, fmt.Sprintf("%s%d-%d", prefix, os.Getpid(), i))
		err := os.Mkdir(path, perm)
		if errors.Is(err, os.ErrExist) {
			continue
		}
		if err != nil {
			return nil, err
		}
		if held, free := take(path); free {
			return &Dir{path, held}, nil
		}
		// Another process took it for litter before it was locked.
	}
	return nil, fmt.Errorf("there are too many folders named %s… in %s", prefix, parent)
}

// mostOfOne is how many folders of one prefix a process may have in one place.
const mostOfOne = 1000

// Clear removes the folders of that prefix in parent whose processes have ended.
// What cannot be removed stays.
func Clear(parent, prefix string) {
	for _, path := range Left(parent, prefix) {
		if held, free := take(path); free {
			os.RemoveAll(path)
			held.release()
		}
	}
}

// Left lists the folders of that prefix in parent whose processes have ended,
// by name.
func Left(parent, prefix string) []string {
	entries, err := os.ReadDir(parent)
	if err != nil {
		return nil // whoever writes there next will say so
	}
	var left []string
	for _, e := range entries {
		pid, ours := processOf(e.Name(), prefix)
		if !ours || !e.IsDir() { // a link is no folder here, and is not followed
			continue
		}
		path := filepath.Join(parent, e.Name())
		if ended(path, pid) {
			left = append(left, path)
		}
	}
	return left
}

// processOf is the number of the process in the name of a folder of ours.
func processOf(name, prefix string) (pid int, ours bool) {
	rest, found := strings.CutPrefix(name, prefix)
	if !found {
		return 0, false
	}
	number, _, _ := strings.Cut(rest, "-")
	pid, err := strconv.Atoi(number)
	return pid, err == nil && pid > 0
}

// ended reports whether the process that made a folder has ended.
func ended(path string, pid int) bool {
	held, free := take(path)
	held.release()
	if free && !held.sure() {
		return !running(pid)
	}
	return free
}

// Temporary makes a folder for this user alone among the system's temporary
// files, after it has cleared those of that prefix that killed processes left.
func Temporary(prefix string) (*Dir, error) {
	Clear(os.TempDir(), prefix)
	return Make(os.TempDir(), prefix, 0o700)
}
