//go:build unix

package scratch

import (
	"errors"
	"os"
	"syscall"
)

// running reports whether another process has that number.
func running(pid int) bool {
	if pid == os.Getpid() {
		return false
	}
	p, err := os.FindProcess(pid)
	if err != nil {
		return false
	}
	err = p.Signal(syscall.Signal(0))
	return err == nil || errors.Is(err, os.ErrPermission)
}
