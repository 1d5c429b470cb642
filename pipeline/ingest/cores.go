package ingest

import (
	"runtime"
	"sync"
)

// inTurns does n things on all cores, each once.
func inTurns(n int, do func(k int)) {
	next := make(chan int)
	var wait sync.WaitGroup
	for range min(n, runtime.GOMAXPROCS(0)) {
		wait.Go(func() {
			for k := range next {
				do(k)
			}
		})
	}
	for k := range n {
		next <- k
	}
	close(next)
	wait.Wait()
}

// inOrder makes count things on all cores, each with what a worker prepares once, and
// takes them over in order. They are begun in order, so that what a worker has noted
// already was noted in an earlier thing; and not many more than are taken over, which
// bounds memory.
func inOrder[T any](count int, worker func() func(k int) T, take func(T)) {
	done := make([]chan T, count)
	for k := range done {
		done[k] = make(chan T, 1)
	}
	begin := make(chan int)
	ahead := make(chan struct{}, 2*runtime.GOMAXPROCS(0))
	go func() {
		defer close(begin)
		for k := range count {
			ahead <- struct{}{}
			begin <- k
		}
	}()
	var wait sync.WaitGroup
	for range min(count, runtime.GOMAXPROCS(0)) {
		wait.Go(func() {
			do := worker()
			for k := range begin {
				done[k] <- do(k)
			}
		})
	}
	for k := range done {
		take(<-done[k])
		<-ahead
	}
	wait.Wait()
}
