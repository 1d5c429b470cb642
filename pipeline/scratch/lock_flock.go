//go:build linux || darwin || freebsd || netbsd || openbsd || dragonfly

package scratch

import (
	"errors"
	"os"

	"golang.org/x/sys/unix"
)

// lock is a lock on a folder; the zero lock is none.
type lock struct{ folder *os.File }

// take locks a folder. It is not free where another process holds it or where it
// is gone. On a file system without locks it is free, but the lock isn't sure.
func take(path string) (l lock, free bool) {
	folder, err := os.Open(path)
	if err != nil {
		return lock{}, !errors.Is(err, os.ErrNotExist)
	}
	err = unix.Flock(int(folder.Fd()), unix.LOCK_EX|unix.LOCK_NB)
	if errors.Is(err, unix.EWOULDBLOCK) {
		folder.Close()
		return lock{}, false
	}
	if err != nil {
		folder.Close()
		return lock{}, true
	}
	mine, err := folder.Stat()
	now, err2 := os.Lstat(path)
	if err != nil || err2 != nil || !os.SameFile(mine, now) {
		folder.Close() // removed, or another took its name, before the lock
		return lock{}, false
	}
	return lock{folder}, true
}

// sure reports whether the system vouches for the lock.
func (l lock) sure() bool { return l.folder != nil }

func (l lock) release() {
	if l.folder != nil {
		l.folder.Close()
	}
}
