package codebook

import (
	"slices"

	"plumbrule/internal/quantity"
	"plumbrule/internal/terms"
)

// Decisions remembers how one check came out in one model, so that what is the same
// for several subjects is worked out once: for the array, and not for each of its
// feet, where a condition is about the array. An evaluation depends on nothing but what
// it reads, and reads the next term by what it read before; so what is remembered is a
// tree of the terms that are read of the subject itself, with a branch for each value.
// It is used by one goroutine.
type Decisions struct {
	check      *Check
	model      *terms.Model
	conditions branch
	passes     branch // of the measure and the limit, where they were met; what that rests on is not kept
	answers    int
	off        bool // the check looks at its subject in other ways than by its terms
}

// mostAnswers are remembered of a check: where there are more, hardly two subjects are
// alike.
const mostAnswers = 1000

// branch is what follows once some terms of a subject are read: the term that is
// read next, or the answer.
type branch struct {
	term  *terms.Term // of the subject; nil at the answer
	asked bool        // whether it is stated, and not what it is
	next  map[any]*branch

	answer *answer
}

// answer is what an evaluation came to.
type answer struct {
	applies bool           // of a condition
	rest    *terms.Value   // what the evaluation rests on
	own     []*terms.Value // the terms of its subject among that
	shared  bool           // none of these rests on anything of the job, so that rest is that of every subject
}

// Settled is how a check is known to come out for a subject without an evaluation.
type Settled uint8

const (
	Unsettled Settled = iota
	Outside           // its condition is false
	Applies           // its condition is true, and no more is known
	Passed            // and it is met
)

// Decisions begins to remember for a model.
func (c *Check) Decisions(m *terms.Model) *Decisions {
	return &Decisions{check: c, model: m, off: c.when != nil && c.when.outside || c.measure != nil && c.measure.outside || c.governs != nil}
}

// When is Evaluation.When for a subject, with what the answer rests on. The
// evaluation is nil where the answer was remembered, which is never an error.
func (d *Decisions) When(s *terms.Subject) (applies bool, rest *terms.Value, e *Evaluation, err error) {
	remembers := !d.off && d.check.when != nil && !s.Unknown()
	if remembers {
		var buffer [8]*terms.Value
		if a, own := d.recall(&d.conditions, s, buffer[:0]); a != nil {
			if a.shared {
				return a.applies, a.rest, nil, nil
			}
			return a.applies, a.rest.Like(a.own, own), nil, nil
		}
	}
	e = d.check.Evaluate(d.model, s)
	applies, err = e.When()
	if remembers && err == nil {
		a := &answer{applies: applies, rest: e.Rest(), shared: true}
		for _, r := range e.run.reads {
			if r.Subject == s {
				v := d.model.Value(s, r.Term)
				a.own = append(a.own, v)
				a.shared = a.shared && v.Plain()
			}
		}
		d.keep(&d.conditions, e, a)
	}
	return applies, e.Rest(), e, err
}

// Settled tells how the check comes out for a subject, where that is remembered and
// rests on nothing that is assumed.
func (d *Decisions) Settled(s *terms.Subject) Settled {
	if d.off || s.Unknown() {
		return Unsettled
	}
	var buffer [8]*terms.Value
	if d.check.when != nil {
		a, own := d.recall(&d.conditions, s, buffer[:0])
		switch {
		case a == nil || a.rest.Assumes() || slices.ContainsFunc(own, (*terms.Value).Assumes):
			return Unsettled
		case !a.applies:
			return Outside
		}
	}
	if a, own := d.recall(&d.passes, s, buffer[:0]); a != nil && !slices.ContainsFunc(own, (*terms.Value).Assumes) {
		return Passed
	}
	return Applies
}

// Pass remembers that what an evaluation read of its subject was met.
func (d *Decisions) Pass(e *Evaluation) {
	if !d.off && !e.subject.Unknown() && !e.Rest().Assumes() {
		d.keep(&d.passes, e, &answer{applies: true, shared: true})
	}
}

// recall follows the terms of a subject from a branch to an answer, nil where there is
// none yet, and appends them to a list.
func (d *Decisions) recall(b *branch, s *terms.Subject, own []*terms.Value) (*answer, []*terms.Value) {
	for b != nil && b.term != nil {
		v := d.model.Value(s, b.term)
		key, ok := remembered(v, b.asked)
		if !ok {
			return nil, nil
		}
		own = append(own, v)
		b = b.next[key]
	}
	if b == nil {
		return nil, nil
	}
	return b.answer, own
}

// remembered is the value of a term as a key of a branch; false for one that is not
// known, and for a list.
func remembered(v *terms.Value, asked bool) (key any, ok bool) {
	if asked {
		return v.Stated, true
	}
	if len(v.Needs) > 0 {
		return nil, false
	}
	switch v.V.(type) {
	case float64, int, bool, string, quantity.Size, *terms.Subject:
		return v.V, true
	}
	return nil, false
}

// keep remembers the answer of an evaluation.
func (d *Decisions) keep(b *branch, e *Evaluation, a *answer) {
	if e.run.aside {
		d.off = true
		return
	}
	if d.answers == mostAnswers {
		return
	}
	d.answers++
	var own []Read
	var keys []any
	for _, r := range e.run.reads {
		if r.Subject != e.subject {
			continue
		}
		v := d.model.Value(r.Subject, r.Term)
		key, ok := remembered(v, r.asked)
		if !ok {
			return
		}
		own, keys = append(own, r), append(keys, key)
	}
	for i, r := range own {
		if b.term == nil {
			b.term, b.asked, b.next = r.Term, r.asked, map[any]*branch{}
		}
		next := b.next[keys[i]]
		if next == nil {
			next = &branch{}
			b.next[keys[i]] = next
		}
		b = next
	}
	b.answer = a
}
