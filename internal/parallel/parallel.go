// Package parallel spreads work over the processors.
package parallel

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// Each calls f for 0 to n-1, as many at once as there are processors. Each call
// fills a slot of its own, so that the result does not depend on how many run
// together.
func Each(n int, f func(i int)) {
	var next atomic.Int64
	var wg sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), n) {
		wg.Go(func() {
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				f(i)
			}
		})
	}
	wg.Wait()
}
