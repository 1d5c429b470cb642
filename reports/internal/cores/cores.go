// Package cores shares work among the processor's cores. What comes of the work
// must not depend on their number, nor on the order in which parts are done.
package cores

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// Each calls do once for every number from 0 up to n, on as many goroutines as
// there are cores, and returns when all calls have. A panic of a call is passed on
// to the caller when the others have ended.
func Each(n int, do func(i int)) {
	var wg sync.WaitGroup
	var next atomic.Int64
	var once sync.Once
	var panicked any
	for range min(n, runtime.GOMAXPROCS(0)) {
		wg.Add(1)
		go func() {
			defer wg.Done()
			defer func() {
				if p := recover(); p != nil {
					once.Do(func() { panicked = p })
				}
			}()
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				do(i)
			}
		}()
	}
	wg.Wait()
	if panicked != nil {
		panic(panicked)
	}
}
