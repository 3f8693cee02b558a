package review

import (
	"fmt"
	"slices"
	"testing"

	"plumbrule/internal/mutation"
	"plumbrule/internal/terms"
)

// jobsToShare are the demo jobs, and some of them with values changed and left out.
func jobsToShare(t *testing.T, each func(name string, s *Session)) {
	for _, name := range demoJobs(t) {
		s := session(t, name)
		each(name, s)
		j := s.Review().Job
		for _, m := range slices.Concat(step(mutation.Changes(j, 0.5, 2), 1500), step(mutation.Removals(j), 900)) {
			if next, err := s.With(m.Edits); err == nil {
				each(name+" "+m.Says, next)
			}
		}
	}
}

// What is decided once for several subjects is what each comes to by itself, and
// rests on what that reads.
func TestDecidedOnceIsDecidedAlike(t *testing.T) {
	shared := 0
	jobsToShare(t, func(name string, s *Session) {
		r := s.Review()
		for i := range r.Outcomes {
			o := &r.Outcomes[i]
			if o.Check.Gathers != "" {
				continue
			}
			alone := newHolding(r.Model, o.Check, r.Adopted, r.System).hold(o.Subject)
			alone.Excused, alone.Claimed = o.Excused, o.Claimed
			if a, b := told(o)+o.Why(), told(&alone)+alone.Why(); a != b {
				t.Fatalf("%s: %s is\n%s\nand alone\n%s", name, nameOf(o), a, b)
			}
			if a, b := fmt.Sprint(terms.ReadsOf(o.rests...)), fmt.Sprint(terms.ReadsOf(alone.rests...)); a != b {
				t.Fatalf("%s: %s rests on\n%s\nand alone on\n%s", name, nameOf(o), a, b)
			}
			if i > 0 && r.Outcomes[i-1].Check == o.Check && r.Outcomes[i-1].rests[0] == o.rests[0] {
				shared++
			}
		}
	})
	if shared < 1000 {
		t.Errorf("only %d conditions were shared", shared)
	}
}

// A brief review counts what it does not keep, and what it keeps is in a whole one
// the same.
func TestBriefIsTheSame(t *testing.T) {
	spared := 0
	jobsToShare(t, func(name string, s *Session) {
		reviewed := func(brief bool) *Review {
			options := s.options
			options.Brief = brief
			r, err := Run(s.Review().Job, s.book, s.tables, options)
			if err != nil {
				t.Fatal(name, err)
			}
			return r
		}
		whole, brief := reviewed(false), reviewed(true)
		if a, b := fmt.Sprint(brief.Totals, brief.Idle), fmt.Sprint(whole.Totals, whole.Idle); a != b {
			t.Fatalf("%s: brief\n%s\nwhole\n%s", name, a, b)
		}
		if a, b := fmt.Sprint(brief.Tallies()), fmt.Sprint(whole.Tallies()); a != b {
			t.Fatalf("%s: tallies: brief\n%s\nwhole\n%s", name, a, b)
		}
		all := held(whole)
		for i := range brief.Outcomes {
			o := &brief.Outcomes[i]
			if other := all[nameOf(o)]; told(o) != told(other) || brief.Number(o) != whole.Number(other) {
				t.Fatalf("%s: brief\n%s\nwhole\n%s", name, told(o), told(other))
			}
			delete(all, nameOf(o))
		}
		spared += len(all)
		for key, o := range all {
			if o.Outstanding() || o.Excused != nil {
				t.Errorf("%s: %s is left out", name, key)
			}
		}
		if a, b := commented(brief), commented(whole); a != b {
			t.Fatalf("%s: comments: brief\n%s\nwhole\n%s", name, a, b)
		}
	})
	if spared < 3000 {
		t.Errorf("only %d outcomes were only counted", spared)
	}
}
