package cli

import (
	"flag"
	"fmt"
	"runtime"
	"slices"
	"testing"
	"time"

	"plumbrule/internal/paper"
	"plumbrule/internal/report"
	"plumbrule/internal/reporttest/depot"
	"plumbrule/internal/review"
	"plumbrule/rules"
)

var large = flag.Bool("large", false, "review jobs of up to 10,000 modules in one array")

var everything = flag.Bool("all", false, "with -large: every outcome in what machines read")

// A job of many modules is reviewed and written in time that grows with it.
// Without -large only a small one is tried, so that the test itself stays sound.
func TestLargeJobs(t *testing.T) {
	long(t)
	type size struct {
		side int
		job  string
		set  map[string]any
	}
	sizes := []size{{5, "commercial", nil}}
	if *large {
		sizes = []size{{10, "commercial", nil}, {32, "commercial", nil}, {100, "commercial", nil},
			{44, "commercial-faulty", depot.FeetFarApart}, {100, "commercial-faulty", depot.WidthUnsure}}
	}
	for _, x := range sizes {
		side := x.side
		start := time.Now()
		j := depot.Job(t, x.job, side, side, x.set)
		p := &program{rules: rules.FS}
		book, err := p.loadBook()
		if err != nil {
			t.Fatal(err)
		}
		tables, err := p.loadTables()
		if err != nil {
			t.Fatal(err)
		}
		loaded := time.Now()
		r, err := review.Run(j, book, tables, review.Options{})
		if err != nil {
			t.Fatal(err)
		}
		reviewed := time.Now()
		comments := len(r.Comments())
		line := fmt.Sprintf("%s, %d modules: %d outcomes, %d comments, loaded in %v, reviewed in %v, commented in %v;", x.job, side*side, len(r.Outcomes), comments,
			ms(loaded.Sub(start)), ms(reviewed.Sub(loaded)), ms(time.Since(reviewed)))
		if d := r.Defects(); len(d) > 0 {
			t.Errorf("%d modules: %d defects, the first: %s", side*side, len(d), d[0])
		}
		if len(r.Outcomes) < side*side {
			t.Errorf("%d modules give %d outcomes only", side*side, len(r.Outcomes))
		}
		scope, err := book.Scope(rules.FS)
		if err != nil {
			t.Fatal(err)
		}
		for _, w := range writers {
			start := time.Now()
			var size counter
			if err := w.write(&size, slices.Values([]*review.Review{r}), options{paper: paper.Options{Scope: scope}, data: report.Options{All: *everything, Gate: review.Gates[0]}}); err != nil {
				t.Errorf("%s: %v", w.ending, err)
			}
			took := time.Since(start)
			line += fmt.Sprintf(" %s %v %.1f MB,", w.ending, ms(took), float64(size)/1e6)
			if most := 2 * time.Second; *large && w.ending == ".html" && side*side < 2000 && took > most {
				t.Errorf("%s, %d modules: the page takes %v, more than %v", x.job, side*side, took, most)
			}
		}
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		t.Logf("%s %d MB taken from the system", line, m.Sys>>20)
	}
}

// counter counts what is written to it.
type counter int

func (c *counter) Write(b []byte) (int, error) { *c += counter(len(b)); return len(b), nil }

func ms(d time.Duration) time.Duration { return d.Round(time.Millisecond) }
