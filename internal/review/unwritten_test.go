package review

import (
	"slices"
	"strings"
	"testing"

	"plumbrule/internal/job"
)

const notCovered = "documents/edition-not-covered"

// underEdition reviews a demo job with one value changed.
func underEdition(t *testing.T, name, key string, value any, only ...string) *Review {
	t.Helper()
	s := session(t, name)
	s, err := NewSession(s.Tree(), s.book, s.tables, Options{Only: only, Leave: Leave{Stated: true}})
	if err != nil {
		t.Fatal(err)
	}
	if s, err = s.With(job.Edits{Set: map[string]any{key: value}}); err != nil {
		t.Fatal(err)
	}
	return s.Review()
}

// Under an edition that checks are not written for, one outcome lists them all,
// and nothing that was reviewed before is lost from sight.
func TestAnEditionThatIsNotCoveredIsSaidOnce(t *testing.T) {
	for _, c := range []struct{ job, key, edition, says string }{
		{"barn", "adoption.nec", "2026", "NEC 2026"},
		{"house", "adoption.nec", "2014", "NEC 2014"},
	} {
		r := underEdition(t, c.job, c.key, c.edition)
		var head *Outcome
		silent := map[string]bool{}
		for i := range r.Outcomes {
			o := &r.Outcomes[i]
			if o.Check.ID == notCovered {
				head = o
			}
			if o.unwritten != "" {
				silent[o.Check.ID] = true
				if o.Result != NotApplicable || !strings.Contains(o.Why(), "not written for "+c.says) {
					t.Errorf("%s %s: %s is %s: %s", c.job, c.edition, o.Check.ID, o.Result, o.Why())
				}
			}
			if o.Result == Undetermined && strings.Contains(o.Reason, "the check is not written") {
				t.Errorf("%s %s: %s says so by itself", c.job, c.edition, o.Check.ID)
			}
		}
		if head.Result != Undetermined || !r.Exceeds(Gate{Severity: head.Check.Severity}) {
			t.Errorf("%s %s: %s is %s", c.job, c.edition, notCovered, head.Result)
		}
		if len(silent) == 0 {
			t.Errorf("%s %s: no check is silent", c.job, c.edition)
		}
		for id := range silent {
			if !strings.Contains(head.Reason, id) {
				t.Errorf("%s %s: %s is not listed", c.job, c.edition, id)
			}
		}
		if alone := underEdition(t, c.job, c.key, c.edition, notCovered); alone.Outcomes[0].Reason != head.Reason {
			t.Errorf("%s %s: asked for alone the list is %q, with all %q", c.job, c.edition, alone.Outcomes[0].Reason, head.Reason)
		}
	}
}

// A silent check that is asked for without the one that gathers says so itself.
func TestAnUnwrittenCheckAloneStaysUndetermined(t *testing.T) {
	r := underEdition(t, "barn", "adoption.nec", "2026", "labels/directory")
	if o := r.Outcomes[0]; o.Result != Undetermined || !strings.Contains(o.Reason, "not written for NEC 2026") {
		t.Errorf("%s: %s", o.Result, o.Reason)
	}
}

// A deviation that names a silent check excuses that check and no other.
func TestADeviationFromAnUnwrittenCheck(t *testing.T) {
	s := session(t, "barn")
	s, err := s.With(job.Edits{
		Set:   map[string]any{"adoption.nec": "2026"},
		Added: map[string][]map[string]any{"deviation": {{"check": "labels/directory", "subject": "submittal", "date": "2026-03-02", "reference": "letter", "reason": "seen on site", "by": "plan reviewer"}}},
	})
	if err != nil {
		t.Fatal(err)
	}
	at := slices.IndexFunc(s.Review().Outcomes, func(o Outcome) bool { return o.Check.ID == "labels/directory" })
	if o := s.Review().Outcomes[at]; o.Result != Undetermined || o.Excused == nil {
		t.Errorf("labels/directory is %s, excused %v", o.Result, o.Excused != nil)
	}
	if !outstanding(s.Review()) {
		t.Error("one deviation excuses every silent check")
	}
	for _, o := range s.Review().Outcomes {
		if o.Check.ID == notCovered && strings.Contains(o.Reason, "labels/directory") {
			t.Error("the excused check is listed as well")
		}
	}
}

// Edits after the edition was changed keep the list as a fresh review makes it.
func TestTheListOfUnwrittenChecksFollowsEdits(t *testing.T) {
	s, err := session(t, "house").With(job.Edits{Set: map[string]any{"adoption.nec": "2026"}})
	if err != nil {
		t.Fatal(err)
	}
	if s, err = s.With(job.Edits{Set: map[string]any{"interconnection.length": "3 ft"}}); err != nil {
		t.Fatal(err)
	}
	fresh, err := NewSession(s.Tree(), s.book, s.tables, Options{})
	if err != nil {
		t.Fatal(err)
	}
	for i, o := range s.Review().Outcomes {
		if f := fresh.Review().Outcomes[i]; o.Result != f.Result || o.Why() != f.Why() {
			t.Errorf("%s: %s %q, afresh %s %q", o.Check.ID, o.Result, o.Why(), f.Result, f.Why())
		}
	}
}

// One deviation does not excuse all checks that the list stands for.
func TestADeviationFromTheListExcusesNothing(t *testing.T) {
	s := session(t, "barn")
	s, err := s.With(job.Edits{
		Set:   map[string]any{"adoption.nec": "2026"},
		Added: map[string][]map[string]any{"deviation": {{"check": notCovered, "subject": "submittal", "date": "2026-03-02", "reference": "letter", "reason": "known", "by": "plan checker"}}},
	})
	if err != nil {
		t.Fatal(err)
	}
	r := s.Review()
	found := false
	for i := range r.Outcomes {
		if o := &r.Outcomes[i]; o.Check.ID == notCovered && o.Outstanding() {
			found = found || o.Excused == nil
		}
	}
	if !found || len(r.Unfounded()) != 1 {
		t.Errorf("the list is excused, or the deviation is not reported: %d unused", len(r.Unfounded()))
	}
}
