// Package parallel spreads work over the processors.
package parallel

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// Each calls f for 0 to n-1, as many at once as there are processors. Each call
// fills a slot of its own, so that the result does not depend on how many run
// together. A panic in one of them is the caller's, once no other runs.
func Each(n int, f func(i int)) {
	var next atomic.Int64
	var wg sync.WaitGroup
	var panicked atomic.Pointer[any]
	for range min(runtime.GOMAXPROCS(0), n) {
		wg.Go(func() {
			defer func() {
				if p := recover(); p != nil {
					panicked.CompareAndSwap(nil, &p)
					next.Store(int64(n))
				}
			}()
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				f(i)
			}
		})
	}
	wg.Wait()
	if p := panicked.Load(); p != nil {
		panic(*p)
	}
}
