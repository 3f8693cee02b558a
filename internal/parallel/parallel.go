// Package parallel spreads work over the processors.
package parallel

import (
	"runtime"
	"sync"
)

// Each calls f once for each number from 0 to n-1, on as many processors as
// Go may use, and returns when every call has. Calls come in no set order, so
// each writes to its own slot. A panic in f ends the process unless f recovers.
func Each(n int, f func(i int)) {
	workers := min(runtime.GOMAXPROCS(0), n)
	if workers <= 1 {
		for i := range n {
			f(i)
		}
		return
	}
	next := make(chan int)
	var wg sync.WaitGroup
	for range workers {
		wg.Go(func() {
			for i := range next {
				f(i)
			}
		})
	}
	for i := range n {
		next <- i
	}
	close(next)
	wg.Wait()
}
