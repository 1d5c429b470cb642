package scratch

import "os"

// running reports whether another process has that number; on Windows finding
// a process opens it, and fails where there is none.
func running(pid int) bool {
	if pid == os.Getpid() {
		return false
	}
	p, err := os.FindProcess(pid)
	if err != nil {
		return false
	}
	p.Release()
	return true
}
