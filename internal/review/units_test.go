package review

import (
	"maps"
	"testing"

	"plumbrule/internal/job"
	"plumbrule/internal/mutation"
)

// A job says the same in any unit: each demo job with all its quantities
// written in base units gives the same outcomes.
func TestUnitsDoNotMatter(t *testing.T) {
	for _, name := range demoJobs(t) {
		t.Run(name, func(t *testing.T) {
			s, err := session(t, name).With(job.Edits{Set: map[string]any{"project.units": "US"}}) // else it is what most are written in
			if err != nil {
				t.Fatal(err)
			}
			edits := mutation.InBaseUnits(s.Review().Job)
			if len(edits.Set) < 80 {
				t.Fatalf("only %d quantities rewritten", len(edits.Set))
			}
			in, err := s.With(edits)
			if err != nil {
				t.Fatal(err)
			}
			before, after := pairs(s.Review()), pairs(in.Review())
			if !maps.Equal(before, after) {
				for pair, was := range before {
					if now := after[pair]; now != was {
						t.Errorf("%s for %s is %s as written and %q in base units", pair[0], pair[1], was, now)
					}
				}
				t.Errorf("%d outcomes as written, %d in base units", len(before), len(after))
			}
		})
	}
}
