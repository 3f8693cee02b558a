package review_test

import (
	"fmt"
	"os"
	"runtime"
	"testing"

	"plumbrule/internal/reporttest"
	"plumbrule/internal/reporttest/depot"
	"plumbrule/internal/review"
)

// Reviews of roofs of many modules, whole and brief: time, and the memory that is
// live at the end.
func BenchmarkModules(b *testing.B) {
	sizes := []struct{ rows, columns int }{{6, 6}, {20, 50}, {50, 200}}
	if os.Getenv("PLUMBRULE_LONG") != "" {
		sizes = append(sizes, struct{ rows, columns int }{160, 625})
	}
	for _, size := range sizes {
		for _, brief := range []bool{true, false} {
			n := size.rows * size.columns
			if !brief && n > 10_000 {
				continue // some 25 GB
			}
			b.Run(fmt.Sprintf("%d/brief=%v", n, brief), func(b *testing.B) {
				j := depot.Job(b, "commercial", size.rows, size.columns, nil)
				book, tables := reporttest.OwnRules(b), reporttest.OwnTables(b)
				var live uint64
				for b.Loop() {
					r, err := review.Run(j, book, tables, review.Options{Brief: brief})
					if err != nil {
						b.Fatal(err)
					}
					b.StopTimer()
					var m runtime.MemStats
					runtime.GC()
					runtime.ReadMemStats(&m)
					live = m.HeapAlloc
					runtime.KeepAlive(r)
					b.StartTimer()
				}
				b.ReportMetric(float64(live)/(1<<20), "MB-live")
				b.ReportMetric(float64(b.Elapsed().Microseconds())/float64(b.N)/float64(n), "us/module")
			})
		}
	}
}
