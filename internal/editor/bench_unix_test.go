//go:build unix

package editor

import (
	"fmt"
	"syscall"
	"testing"
	"time"
)

// processor gives how long the program has run on processors, client included: a
// machine that is shared tells little by the clock.
func processor(t testing.TB) time.Duration {
	t.Helper()
	var used syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &used); err != nil {
		t.Fatal(err)
	}
	return time.Duration(used.Utime.Nano())
}

// BenchmarkFirstFindings is the time from the opening of the barn to its
// findings, in a session that was idle before.
func BenchmarkFirstFindings(b *testing.B) {
	var spent time.Duration
	for b.Loop() {
		b.StopTimer()
		loadRules = freshRules()
		c := start(b, related)
		time.Sleep(time.Second) // a person looks for the file
		before := processor(b)
		b.StartTimer()
		c.of(c.demo("barn-faulty"))
		b.StopTimer()
		spent += processor(b) - before
		c.conn.Close()
		b.StartTimer()
	}
	b.ReportMetric(float64(spent.Microseconds())/1000/float64(b.N), "cpu-ms/op")
}

// BenchmarkChange is the time from a change of the barn to its findings: of a
// value that few checks read, of one that most of the structural ones read, and
// of a remark.
func BenchmarkChange(b *testing.B) {
	for _, test := range []struct{ name, was, now string }{
		{"few", `record_low          = "-14 degF"`, `record_low          = "-%d degF"`},
		{"many", `wind_speed          = "105 mph"`, `wind_speed          = "1%02d mph"`},
		{"remark", `# The feed barn at Larkmoor`, `# %d The feed barn at Larkmoor`},
	} {
		b.Run(test.name, func(b *testing.B) {
			c := start(b, related)
			uri := c.demo("barn-faulty")
			c.of(uri)
			time.Sleep(time.Second)
			was, before := test.was, processor(b)
			for i := 0; b.Loop(); i++ {
				now := fmt.Sprintf(test.now, 15+i%5)
				c.replace(uri, was, now)
				was = now
				c.of(uri)
			}
			b.ReportMetric(float64((processor(b)-before).Microseconds())/1000/float64(b.N), "cpu-ms/op")
		})
	}
}
