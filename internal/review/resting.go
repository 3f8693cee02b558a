package review

import (
	"slices"

	"plumbrule/internal/terms"
)

// Resting lists the outcomes that rest on a key of the job, stated or left out,
// in the order of the review.
func (r *Review) Resting(key string) []*Outcome {
	rests := r.readers().Resting([]string{key})
	var out []*Outcome
	for i := range r.Outcomes {
		if o := &r.Outcomes[i]; slices.ContainsFunc(o.rests, rests) {
			out = append(out, o)
		}
	}
	return out
}

// FilledIn tells how something else answers for a key that the job leaves out,
// a line a step, beginning with whether it is derived or assumed; nil where
// nothing does, or no outcome asked.
func (r *Review) FilledIn(key string) []string {
	if f := r.filling(key); f != nil {
		return f.Lines(r.System)
	}
	return nil
}

// Derived is what a key that the job leaves out is by something else of the job;
// false where nothing says so, where no outcome asked, or where it is assumed.
func (r *Review) Derived(key string) (any, bool) {
	if f := r.filling(key); f != nil && !f.Assumed {
		return f.V, true
	}
	return nil, false
}

func (r *Review) filling(key string) *terms.Filling {
	for i := range r.Outcomes {
		for _, f := range terms.FillingsOf(r.Outcomes[i].rests...) {
			if f.Key == key {
				return f
			}
		}
	}
	return nil
}
