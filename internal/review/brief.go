package review

import (
	"runtime"
	"slices"

	"plumbrule/internal/codebook"
	"plumbrule/internal/parallel"
	"plumbrule/internal/terms"
)

// Tally counts the outcomes of one check. Met, NotMet, Undetermined, NotApplicable and
// Excused add up to Pairs.
type Tally struct {
	Check                                                    *codebook.Check
	Pairs, Met, NotMet, Undetermined, NotApplicable, Excused int
}

func (t *Tally) add(o *Outcome) {
	t.Pairs++
	switch {
	case o.Excused != nil:
		t.Excused++
	case o.Result == Met:
		t.Met++
	case o.Result == NotMet:
		t.NotMet++
	case o.Result == Undetermined:
		t.Undetermined++
	default:
		t.NotApplicable++
	}
}

// Tallies counts the outcomes of each check that was asked for and had any, kept or
// not, in the order of their IDs.
func (r *Review) Tallies() []Tally {
	var out []Tally
	at := 0
	for i, id := range r.ran {
		t := Tally{Check: r.Book.Check(id)}
		if r.counted != nil {
			n := r.counted[i]
			t.Pairs, t.Met, t.NotApplicable = n.met+n.outside, n.met, n.outside
		}
		for ; at < len(r.Outcomes) && r.Outcomes[at].Check == t.Check; at++ {
			t.add(&r.Outcomes[at])
		}
		if t.Pairs > 0 {
			out = append(out, t)
		}
	}
	return out
}

// Cited reports whether an outcome that applies cites a code.
func (r *Review) Cited(code string) bool {
	cites := func(list []Citation) bool {
		return slices.ContainsFunc(list, func(c Citation) bool { return c.Code == code })
	}
	return slices.ContainsFunc(r.counted, func(n counted) bool { return cites(n.cites) }) ||
		slices.ContainsFunc(r.Outcomes, func(o Outcome) bool { return o.Result != NotApplicable && cites(o.Cites) })
}

// counted are the outcomes of one check that were counted and not kept; see
// Options.Brief.
type counted struct {
	met, outside int
	cites        []Citation // of those that are met
}

func (c *counted) add(other counted) {
	c.met += other.met
	c.outside += other.outside
	if len(c.cites) == 0 {
		c.cites = other.cites
	}
}

// batch is how many subjects of a kind are held together at least.
const batch = 256

// brief holds checks against all their subjects and keeps what asks something of
// somebody; what is met or does not apply is counted. A subject is held against all checks of its
// kind before the next, and what was computed for it is let go of where nothing of it is kept,
// so that a large job takes hardly more room than what is to be said of it.
func (r *Review) brief(m *terms.Model, checks []*codebook.Check) {
	type work struct {
		subjects []*terms.Subject
		checks   []int // in the order of checks
		kept     [][]Outcome
		counted  []counted
		twice    bool // several are called the same, and are told apart by their order
	}
	var all []*work
	of := map[*terms.Kind][]int{}
	var kinds []*terms.Kind
	for i, c := range checks {
		if of[c.Each] == nil {
			kinds = append(kinds, c.Each)
		}
		of[c.Each] = append(of[c.Each], i)
	}
	lists := make([][]*terms.Subject, len(kinds))
	parallel.Each(len(kinds), func(i int) { lists[i] = m.Subjects(kinds[i].Name) })
	r.subjects = make([]int, len(checks))
	for i, k := range kinds {
		list := lists[i]
		names := map[string]bool{}
		for _, s := range list {
			names[s.Label()] = true
		}
		twice := len(names) < len(list)
		for _, n := range of[k] {
			r.subjects[n] = len(list)
		}
		size := max(batch, (len(list)+runtime.GOMAXPROCS(0)-1)/runtime.GOMAXPROCS(0))
		for len(list) > 0 {
			n := min(size, len(list))
			all = append(all, &work{subjects: list[:n], checks: of[k], twice: twice})
			list = list[n:]
		}
	}
	parallel.Each(len(all), func(i int) {
		w := all[i]
		holdings := make([]*holding, len(w.checks))
		w.kept, w.counted = make([][]Outcome, len(w.checks)), make([]counted, len(w.checks))
		for n, c := range w.checks {
			holdings[n] = newHolding(m, checks[c], r.Adopted, r.System)
			holdings[n].spares = !w.twice && checks[c].Gathers == "" && !r.departing[checks[c].ID]
		}
		for _, s := range w.subjects {
			kept := false
			for n, h := range holdings {
				if o, keep := h.brief(s, &w.counted[n]); keep {
					w.kept[n] = append(w.kept[n], o)
					kept = true
				}
			}
			if !kept {
				m.Forget(s)
			}
		}
	})
	kept := make([][]Outcome, len(checks))
	r.counted = make([]counted, len(checks))
	for _, w := range all { // those of a check in the order of its subjects
		for n, c := range w.checks {
			kept[c] = append(kept[c], w.kept[n]...)
			r.counted[c].add(w.counted[n])
		}
	}
	for _, list := range kept {
		r.Outcomes = append(r.Outcomes, list...)
	}
}

// brief holds the check against a subject; keep is false for an outcome that was
// only counted.
func (h *holding) brief(s *terms.Subject, n *counted) (o Outcome, keep bool) {
	if h.spares {
		switch settled := h.decisions.Settled(s); {
		case settled == codebook.Outside, settled >= codebook.Applies && h.silent:
			n.outside++
			return Outcome{}, false
		case settled == codebook.Passed:
			n.met++
			return Outcome{}, false
		}
	}
	o = h.hold(s)
	if !h.counts(&o) {
		return o, true
	}
	if o.Result == Met {
		n.met++
		n.cites = o.Cites
	} else {
		n.outside++
	}
	return Outcome{}, false
}

// counts reports whether an outcome is counted only: nothing is asked of anybody by it.
func (h *holding) counts(o *Outcome) bool {
	return h.spares && o.Defect == "" && (o.Result == Met || o.Result == NotApplicable) && !slices.ContainsFunc(o.rests, (*terms.Value).Assumes)
}
