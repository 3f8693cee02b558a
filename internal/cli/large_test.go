package cli

import (
	"flag"
	"fmt"
	"runtime"
	"testing"
	"time"

	"plumbrule/internal/job"
	"plumbrule/internal/paper"
	"plumbrule/internal/report"
	"plumbrule/internal/review"
	"plumbrule/rules"
)

var large = flag.Bool("large", false, "review jobs of up to 10,000 modules in one array")

var everything = flag.Bool("all", false, "with -large: every outcome in what machines read")

// A job of many modules is reviewed and written in time that grows with it.
// Without -large only a small one is tried, so that the test itself stays sound.
func TestLargeJobs(t *testing.T) {
	sides := []int{5}
	if *large {
		sides = []int{10, 32, 100}
	}
	for _, side := range sides {
		start := time.Now()
		j := square(t, side)
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
		line := fmt.Sprintf("%d modules: %d outcomes, loaded in %v, reviewed in %v;", side*side, len(r.Outcomes), ms(loaded.Sub(start)), ms(reviewed.Sub(loaded)))
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
			if err := w.write(&size, []*review.Review{r}, options{paper: paper.Options{Scope: scope}, data: report.Options{All: *everything, Gate: review.Gates[0]}}); err != nil {
				t.Errorf("%s: %v", w.ending, err)
			}
			line += fmt.Sprintf(" %s %v %.1f MB,", w.ending, ms(time.Since(start)), float64(size)/1e6)
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

// square is the commercial job with an array of side x side modules, feet on
// every seam and a roof that holds it.
func square(t *testing.T, side int) *job.Job {
	t.Helper()
	tree, err := job.LoadTree("../../testdata/jobs/commercial.toml")
	if err != nil {
		t.Fatal(err)
	}
	const pitch = 78.875 // in, from row to row
	var lines []any
	for row := range side {
		lines = append(lines, fmt.Sprintf("%g in", 15.75+pitch*float64(row)), fmt.Sprintf("%g in", 62.5+pitch*float64(row)))
	}
	width, height := fmt.Sprintf("%d ft", 200+5*side), fmt.Sprintf("%d ft", 80+7*side)
	point := func(x, y string) []any { return []any{x, y} }
	tree, err = tree.With(job.Edits{Set: map[string]any{
		"plane.roof.outline":           []any{point("0 ft", "0 ft"), point(width, "0 ft"), point(width, height), point("0 ft", height)},
		"array.west.origin":            point("10 ft 6 in", "50 ft"),
		"array.west.rows":              side,
		"array.west.columns":           side,
		"array.west.modules":           side * side,
		"array.west.attachments.lines": lines,
	}})
	if err != nil {
		t.Fatal(err)
	}
	j, err := tree.Job()
	if err != nil {
		t.Fatal(err)
	}
	return j
}
