package review

import (
	"slices"
	"strings"

	"plumbrule/internal/codebook"
	"plumbrule/internal/terms"
)

// A value that the job leaves out may be taken at a bound that no value of it
// is less safe than. What such a bound meets is met, and the check that gathers
// what was assumed asks for the value all the same; what it does not meet hangs
// on the value.

// assumed lists the assumed values among what some values rest on.
func assumed(on []*terms.Value) []*terms.Filling {
	return slices.DeleteFunc(terms.FillingsOf(on...), func(f *terms.Filling) bool { return !f.Assumed })
}

// hangsOnAssumed makes an outcome that is not met undetermined where its
// condition, measure or limit rests on an assumed value: the value of this job
// may meet it.
func (o *Outcome) hangsOnAssumed() bool {
	on := assumed(o.rests)
	if len(on) == 0 {
		return false
	}
	o.undetermined(keysOf(on), "it is not met with safe bounds for what is missing")
	o.Reasons = []string{o.Reason}
	return true
}

// keysOf gives the keys of assumed values as needs, each once.
func keysOf(on []*terms.Filling) []terms.Need {
	var out []terms.Need
	for _, f := range on {
		if !slices.ContainsFunc(out, func(n terms.Need) bool { return n.Key == f.Key }) {
			out = append(out, terms.Need{Key: f.Key, At: f.At})
		}
	}
	return out
}

// gatherAssumed asks, in the outcome of the check that gathers what was assumed,
// for every value that an outcome was settled without.
func (r *Review) gatherAssumed(others []Outcome) {
	var rests []*terms.Value
	for _, list := range [][]Outcome{r.Outcomes, others} {
		for i := range list {
			if o := &list[i]; o.Result == Met || o.Result == NotApplicable {
				rests = append(rests, o.rests...)
			}
		}
	}
	on := assumed(rests)
	if len(on) == 0 {
		return
	}
	var said []string
	for _, f := range on {
		said = append(said, f.Lines(r.System)...)
	}
	for i := range r.Outcomes {
		if o := &r.Outcomes[i]; o.Check.Gathers == codebook.Assumed && o.Result == Met {
			o.undetermined(keysOf(on), strings.Join(said, "; "))
			o.Reasons, o.At = said, on[0].At
		}
	}
}
