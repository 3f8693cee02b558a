package paper

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"

	"plumbrule/internal/report"
	"plumbrule/internal/reporttest"
	"plumbrule/internal/reporttest/depot"
	"plumbrule/internal/review"
	"plumbrule/internal/wording"
)

// The page of a job of 1,944 modules with faults in thousands of places stays a
// page: it has every comment and the totals, and says where the rest is. What
// other programs read grows no faster.
func TestPageOfALargeJob(t *testing.T) {
	if testing.Short() {
		t.Skip("reviews 1,944 modules")
	}
	r := reporttest.Reviewed(t, depot.Job(t, "commercial-faulty", 36, 54, depot.FeetFarApart))
	if r.Totals.NotMet < 5000 || len(r.Comments()) < 20 {
		t.Fatalf("the faults are not found: %+v, %d comments", r.Totals, len(r.Comments()))
	}
	page := whole(t, r)
	if len(page) > 3_000_000 {
		t.Errorf("the page has %d bytes", len(page))
	}
	text := string(page)
	for _, c := range r.Comments() {
		if !strings.Contains(text, fmt.Sprintf(`id="comment-%d"`, c.Number)) {
			t.Errorf("the page lacks comment %d, %s", c.Number, wording.Heading(c))
		}
	}
	governs := makeCalculations(r).Governs
	list, lesser := nearest(governs)
	if len(list)+lesser != len(governs) || len(list) < 10 {
		t.Errorf("%d govern, %d are lesser, of %d", len(list), lesser, len(governs))
	}
	for _, g := range governs {
		if !strings.Contains(text, `id="calculation-`+slug(g.Check)+`"`) {
			t.Errorf("the page has no calculation of %s", g.Check)
		}
	}
	for _, want := range []string{totalsOf(r), "plumbrule check JOB --all --write review.json"} {
		if !strings.Contains(text, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
	for all, most := range map[bool]int{false: 60, true: 300} { // bytes for each outcome of the review
		var b bytes.Buffer
		if err := report.JSON(&b, slices.Values([]*review.Review{r}), report.Options{All: all, Gate: review.Gates[0]}); err != nil {
			t.Fatal(err)
		}
		if b.Len() > most*len(r.Outcomes) {
			t.Errorf("all %v: JSON has %d bytes for %d outcomes", all, b.Len(), len(r.Outcomes))
		}
	}
}

func BenchmarkPageOfALargeJob(b *testing.B) {
	r := reporttest.Reviewed(b, depot.Job(b, "commercial-faulty", 36, 54, depot.FeetFarApart))
	for b.Loop() {
		whole(b, r)
	}
}
