package review

import (
	"cmp"
	"slices"

	"plumbrule/internal/job"
)

// Missing is one thing that the job leaves out, or several of which one is
// enough, with what waits for it.
type Missing struct {
	Need    Need
	Slots   []*job.Slot // where each of its keys belongs
	Waiting int         // outstanding outcomes that are undetermined without it
	Alone   int         // those of them that lack nothing else
	Checks  []string    // of those outcomes, in order

	outcomes []*Outcome // that wait for it
}

// Missing lists what the job leaves out and a check asks for, each once however
// many things need it, by the outcomes that wait for it: first what most wait
// for, and of these what settles more by itself.
func (r *Review) Missing() []*Missing {
	return r.missing(func(*Outcome, Need) bool { return true })
}

// missing lists what is left out of those needs of outcomes that count.
func (r *Review) missing(counts func(*Outcome, Need) bool) []*Missing {
	var out []*Missing
	byNeed := map[string]*Missing{}
	for i := range r.Outcomes {
		o := &r.Outcomes[i]
		if o.Result != Undetermined || !o.Outstanding() {
			continue
		}
		for _, n := range o.Needs {
			if !counts(o, n) {
				continue
			}
			m := byNeed[n.String()]
			if m == nil {
				m = &Missing{Need: n}
				for _, key := range n.Keys {
					if s, ok := r.Job.Slot(key); ok {
						m.Slots = append(m.Slots, s)
					}
				}
				byNeed[n.String()] = m
				out = append(out, m)
			}
			m.Waiting++
			m.outcomes = append(m.outcomes, o)
			if len(o.Needs) == 1 && len(o.Reasons) == 0 {
				m.Alone++
			}
			if !slices.Contains(m.Checks, o.Check.ID) {
				m.Checks = append(m.Checks, o.Check.ID)
			}
		}
	}
	slices.SortStableFunc(out, func(a, b *Missing) int {
		return cmp.Or(cmp.Compare(b.Waiting, a.Waiting), cmp.Compare(b.Alone, a.Alone), cmp.Compare(a.Need.String(), b.Need.String()))
	})
	return out
}

// Waiting counts the outcomes that keys left out leave undetermined.
func (r *Review) Waiting() int {
	n := 0
	for i := range r.Outcomes {
		if o := &r.Outcomes[i]; o.Result == Undetermined && o.Outstanding() && len(o.Needs) > 0 {
			n++
		}
	}
	return n
}
