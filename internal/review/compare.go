package review

import (
	"reflect"
	"slices"
)

// Change is one check for one subject in two reviews. Before or After is nil
// where that review does not have the pair.
type Change struct {
	Before, After *Outcome
}

// Comparison is what differs between two reviews of a job: in findings, which
// are the outstanding outcomes, in what is missing, and in the totals.
type Comparison struct {
	Gone    []Change // outstanding before and no longer, in the order of Worst of the review before
	New     []Change // outstanding now and not before, in the order of Worst of the review after
	Changed []Change // outstanding in both and saying something else, in the same order

	NowMissing      []*Missing // what outcomes wait for now and did not before
	NoLongerMissing []*Missing // what outcomes waited for before and do not now, as it was then

	Before, After Totals
}

// Compare tells what differs between two reviews. Outcomes belong together
// where the check and the exact name of the subject are the same; of several
// such, the first with the first. It makes no difference where in the file a
// value stands, nor which sections are cited.
func Compare(before, after *Review) *Comparison {
	c := &Comparison{Before: before.Totals, After: after.Totals}
	was, is := before.pairs(), after.pairs()
	then, now := was.outcomes(), is.outcomes()
	for _, o := range before.Worst() {
		if other := now[was[o]]; o.Outstanding() && (other == nil || !other.Outstanding()) {
			c.Gone = append(c.Gone, Change{o, other})
		}
	}
	for _, o := range after.Worst() {
		switch other := then[is[o]]; {
		case !o.Outstanding():
		case other == nil || !other.Outstanding():
			c.New = append(c.New, Change{other, o})
		case !sameFinding(other, o):
			c.Changed = append(c.Changed, Change{other, o})
		}
	}
	missed, misses := before.Missing(), after.Missing()
	c.NowMissing = without(misses, missed)
	c.NoLongerMissing = without(missed, misses)
	return c
}

// Same tells whether nothing differs.
func (c *Comparison) Same() bool {
	return len(c.Gone)+len(c.New)+len(c.Changed)+len(c.NowMissing)+len(c.NoLongerMissing) == 0 &&
		reflect.DeepEqual(c.Before, c.After)
}

// pair is a check and a subject, the same in every review of a job.
type pair struct {
	check, subject string
	number         int // of several subjects with one name
}

// pairing is which pair each outcome is about.
type pairing map[*Outcome]pair

func (r *Review) pairs() pairing {
	out, number := pairing{}, map[pair]int{}
	for i := range r.Outcomes {
		o := &r.Outcomes[i]
		p := pair{check: o.Check.ID, subject: o.Subject.Label()}
		number[p]++
		out[o] = pair{p.check, p.subject, number[p]}
	}
	return out
}

func (p pairing) outcomes() map[pair]*Outcome {
	out := make(map[pair]*Outcome, len(p))
	for o, pair := range p {
		out[pair] = o
	}
	return out
}

// sameFinding tells whether two findings of one check and subject say the same.
func sameFinding(a, b *Outcome) bool {
	return a.Result == b.Result && a.Check.Severity == b.Check.Severity &&
		a.Finding == b.Finding && a.Remedy == b.Remedy && a.Held() == b.Held() &&
		slices.EqualFunc(a.Needs, b.Needs, func(a, b Need) bool { return a.String() == b.String() }) &&
		slices.Equal(a.Reasons, b.Reasons)
}

// without lists what is missing in one list and not in another.
func without(list, other []*Missing) []*Missing {
	var out []*Missing
	for _, m := range list {
		if !slices.ContainsFunc(other, func(o *Missing) bool { return o.Need.String() == m.Need.String() }) {
			out = append(out, m)
		}
	}
	return out
}
