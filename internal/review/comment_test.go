package review

import (
	"fmt"
	"maps"
	"slices"
	"testing"

	"plumbrule/internal/job"
	"plumbrule/internal/mutation"
)

// held gives every outcome by check and subject.
func held(r *Review) map[string]*Outcome {
	out := map[string]*Outcome{}
	for i := range r.Outcomes {
		o := &r.Outcomes[i]
		out[o.Check.ID+" "+o.Subject.Key+o.Subject.Name] = o
	}
	return out
}

func nameOf(o *Outcome) string { return o.Check.ID + " " + o.Subject.Key + o.Subject.Name }

// said is all that an outcome says that a change of the job can change.
func said(o *Outcome) string {
	if o == nil {
		return ""
	}
	s := fmt.Sprint(o.Result, o.Needs, o.Reasons, o.Utilisation != nil)
	if o.Measure != nil && o.Limit != nil {
		s += fmt.Sprint(*o.Measure, *o.Limit)
	}
	return s
}

// holdComments wants every outstanding outcome in the comments: once as a
// subject, or as what comes of a comment, with a number; and the numbers in
// order.
func holdComments(t *testing.T, name string, r *Review) {
	t.Helper()
	subjects, follows := map[*Outcome]int{}, map[*Outcome]int{}
	for i, c := range r.Comments() {
		if c.Number != i+1 {
			t.Errorf("%s: comment %d has number %d", name, i+1, c.Number)
		}
		if (c.Check == nil) == (c.Missing == nil) || c.Count() == 0 || c.Worst() == nil || c.Worst().Check.Severity != c.Severity {
			t.Errorf("%s: comment %d is not whole: %+v", name, c.Number, c)
		}
		for _, o := range c.Subjects {
			subjects[o]++
			if o.Check != c.Check || o.Result != c.Result {
				t.Errorf("%s: %s, %s stands in comment %s, %s", name, nameOf(o), o.Result, c.Key(), c.Result)
			}
		}
		for _, f := range c.Follows {
			for _, o := range f.Subjects {
				follows[o]++
				if o.Check.Severity.Rank() < c.Severity.Rank() {
					t.Errorf("%s: %s, a %s, stands below comment %s, %s", name, nameOf(o), o.Check.Severity, c.Key(), c.Severity)
				}
			}
		}
	}
	for i := range r.Outcomes {
		o := &r.Outcomes[i]
		switch n := subjects[o] + follows[o]; {
		case !o.Outstanding():
			if n > 0 || r.Number(o) != "" {
				t.Errorf("%s: %s asks for nothing and stands in the comments", name, nameOf(o))
			}
		case n == 0 || subjects[o] > 1 || subjects[o] == 1 && follows[o] > 0 || r.Number(o) == "":
			t.Errorf("%s: %s is %d times a subject and comes %d times of a comment, number %q", name, nameOf(o), subjects[o], follows[o], r.Number(o))
		}
	}
}

func TestCommentsHoldAllThatIsOutstanding(t *testing.T) {
	for _, name := range demoJobs(t) {
		holdComments(t, name, session(t, name).Review())
	}
}

// A key left out is one comment, below which stands exactly what supplying it
// changes.
func TestWhatAKeyLeftOutLeavesOpen(t *testing.T) {
	for _, name := range []string{"barn", "house", "commercial"} {
		s := session(t, name)
		whole := held(s.Review())
		for _, m := range step(mutation.Removals(s.Review().Job), 15) {
			next, err := s.With(m.Edits)
			if err != nil {
				continue // not a key that can be left out
			}
			r := next.Review()
			holdComments(t, name+" "+m.Says, r)
			for _, c := range r.Comments() {
				for _, missing := range c.Missing {
					if !slices.Contains(missing.Need.Keys, m.Key) {
						continue
					}
					for _, o := range missing.outcomes {
						if said(o) == said(whole[nameOf(o)]) {
							t.Errorf("%s %s: %s stands below the key and says the same with it", name, m.Says, nameOf(o))
						}
					}
				}
			}
		}
	}
}

// Of two faults in one job, mending the one changes what stands below its
// comment, and settles nothing that stands below the other alone.
func TestWhatComesOfAFinding(t *testing.T) {
	mended, comments := 0, 0
	for _, name := range []string{"barn", "house", "commercial"} {
		s := session(t, name)
		nth := 60
		if testing.Short() {
			nth /= 4 // step takes a quarter of it, and fewer pairs tell nothing
		}
		changes := step(mutation.Changes(s.Review().Job, 0.5, 2), nth)
		for i, m := range changes {
			other := changes[(i+len(changes)/2)%len(changes)]
			if other.Field == m.Field {
				continue
			}
			both := job.Edits{Set: maps.Clone(m.Edits.Set)}
			maps.Copy(both.Set, other.Edits.Set)
			two, err := s.With(both)
			if err != nil {
				continue
			}
			one, err := s.With(other.Edits)
			if err != nil {
				continue
			}
			mended++
			says := fmt.Sprintf("%s with %s and %s", name, m.Says, other.Says)
			comments += holdMended(t, says, two.Review(), one.Review())
		}
	}
	if mended < 20 || comments < 3 {
		t.Errorf("only %d pairs and %d comments with followers were tried", mended, comments)
	}
}

// holdMended holds a review with two faults against the one with one of them put
// right, and counts the comments that were put right with something below them.
// What comes of both may wait for the other.
func holdMended(t *testing.T, says string, two, one *Review) (comments int) {
	t.Helper()
	holdComments(t, says, two)
	after := held(one)
	changed := func(o *Outcome) bool { return said(o) != said(after[nameOf(o)]) }
	below := map[*Outcome]bool{} // that come of a comment of which a part changed
	under := map[*Outcome]int{}  // the comments that one comes of
	for _, c := range two.Comments() {
		for _, f := range c.Follows {
			for _, o := range f.Subjects {
				under[o]++
			}
		}
	}
	for _, c := range two.Comments() {
		if c.Check == nil {
			for _, missing := range c.Missing {
				for _, o := range missing.outcomes {
					below[o] = true // see TestWhatAKeyLeftOutLeavesOpen
				}
			}
			continue
		}
		right, any := true, false
		for _, o := range c.Subjects {
			right = right && after[nameOf(o)] != nil && !after[nameOf(o)].Outstanding()
			any = any || changed(o)
		}
		for _, f := range c.Follows {
			for _, o := range f.Subjects {
				below[o] = below[o] || any
				if right && !changed(o) && under[o] == 1 {
					t.Errorf("%s: mended, and %s, which comes of %s, says the same", says, nameOf(o), c.Key())
				}
			}
		}
		if right && len(c.Follows) > 0 {
			comments++
		}
		for _, o := range c.Subjects {
			below[o] = true
		}
	}
	for _, o := range held(two) {
		// What is not asked any more is no answer to what was open about it.
		if now := after[nameOf(o)]; o.Outstanding() && now != nil && !now.Outstanding() && now.Result != NotApplicable && !below[o] {
			t.Errorf("%s: mended, and %s is settled, though nothing changed of what it comes of", says, nameOf(o))
		}
	}
	return comments
}
