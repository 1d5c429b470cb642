// Package chunks shares work on many things among all cores without a say of
// their number: the things are cut into chunks of a fixed size, and what comes of
// a chunk is put where its place in the order is.
package chunks

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// Count is how many chunks of a size n things make.
func Count(n, size int) int { return (n + size - 1) / size }

// Each calls do for every chunk from..to of n things, several at a time. Sums of
// floating point must be kept by chunk and added up in order afterwards.
func Each(n, size int, do func(chunk, from, to int)) {
	count := Count(n, size)
	workers := min(runtime.GOMAXPROCS(0), count)
	if workers <= 1 {
		for c := range count {
			do(c, c*size, min(n, (c+1)*size))
		}
		return
	}
	var next atomic.Int64
	var wait sync.WaitGroup
	for range workers {
		wait.Go(func() {
			for {
				c := int(next.Add(1)) - 1
				if c >= count {
					return
				}
				do(c, c*size, min(n, (c+1)*size))
			}
		})
	}
	wait.Wait()
}

// InOrder works out every chunk from..to of n things on all cores, and hands
// what came of them to take in order, on the calling goroutine. Only a few chunks
// a core are worked out ahead of take. It stops where take returns false.
func InOrder[T any](n, size int, work func(from, to int) T, take func(T) bool) {
	count, ahead := Count(n, size), 2*runtime.GOMAXPROCS(0)
	done := make([]chan T, count)
	begin := func(c int) {
		if c < count {
			done[c] = make(chan T, 1)
			go func() { done[c] <- work(c*size, min(n, (c+1)*size)) }()
		}
	}
	for c := range ahead {
		begin(c)
	}
	for c := range count {
		got := <-done[c]
		done[c] = nil
		begin(c + ahead)
		if !take(got) {
			return
		}
	}
}
