package parallel

import (
	"runtime"
	"sync/atomic"
	"testing"
)

func TestEachCallsEveryNumberOnce(t *testing.T) {
	for _, cores := range []int{1, 4} {
		before := runtime.GOMAXPROCS(cores)
		for _, n := range []int{0, 1, 3, 1000} {
			calls := make([]atomic.Int32, n)
			Each(n, func(i int) { calls[i].Add(1) })
			for i := range calls {
				if got := calls[i].Load(); got != 1 {
					t.Errorf("%d cores, %d numbers: %d was called %d times", cores, n, i, got)
				}
			}
		}
		runtime.GOMAXPROCS(before)
	}
}

// With two processors, two calls are under way at once: each waits for the
// other.
func TestEachRunsSideBySide(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(2))
	met := make(chan int)
	Each(2, func(i int) {
		if i == 0 {
			met <- i
		} else {
			<-met
		}
	})
}

func TestAPanicIsTheCallers(t *testing.T) {
	for _, cores := range []int{1, 4} {
		before := runtime.GOMAXPROCS(cores)
		func() {
			defer func() {
				if p := recover(); p != "third" {
					t.Errorf("with %d cores: recovered %v", cores, p)
				}
			}()
			Each(1000, func(i int) {
				if i == 3 {
					panic("third")
				}
			})
			t.Errorf("with %d cores: it went on", cores)
		}()
		runtime.GOMAXPROCS(before)
	}
}
