package review

import (
	"testing"

	"plumbrule/internal/codebook"
)

// A review fails a gate exactly where one of its comments does, so that every
// report, whether it counts outcomes or comments, tells the same.
func TestGate(t *testing.T) {
	outcome := func(s codebook.Severity, r Result, e *Deviation) Outcome {
		return Outcome{Check: &codebook.Check{ID: "x/" + string(s), Severity: s}, Result: r, Excused: e}
	}
	for _, c := range []struct {
		outcome Outcome
		fails   map[string]bool // by gate
	}{
		{outcome(codebook.Correction, NotMet, nil), map[string]bool{"correction": true, "verify": true, "advisory": true, "correction:not-met": true, "verify:not-met": true, "advisory:not-met": true}},
		{outcome(codebook.Correction, Undetermined, nil), map[string]bool{"correction": true, "verify": true, "advisory": true}},
		{outcome(codebook.Verify, NotMet, nil), map[string]bool{"verify": true, "advisory": true, "verify:not-met": true, "advisory:not-met": true}},
		{outcome(codebook.Advisory, Undetermined, nil), map[string]bool{"advisory": true}},
		{outcome(codebook.Correction, Met, nil), nil},
		{outcome(codebook.Correction, NotApplicable, nil), nil},
		{outcome(codebook.Correction, NotMet, &Deviation{}), nil},
	} {
		for _, g := range Gates {
			r := &Review{Outcomes: []Outcome{c.outcome}}
			if got := r.Exceeds(g); got != c.fails[g.String()] {
				t.Errorf("%s %s at the gate %s: fails %v", c.outcome.Check.Severity, c.outcome.Result, g, got)
			}
			comment := &Comment{Severity: c.outcome.Check.Severity, Result: c.outcome.Result}
			if c.outcome.Outstanding() && g.Fails(comment) != c.fails[g.String()] {
				t.Errorf("a comment, %s %s, at the gate %s: fails %v", comment.Severity, comment.Result, g, g.Fails(comment))
			}
		}
	}
}
