package codebook

import (
	"slices"

	"plumbrule/internal/quantity"
	"plumbrule/internal/terms"
)

// Decisions remembers how the condition of one check came out in one model, so that
// it is worked out once for all subjects of which it reads the same: for the array,
// and not for each of its feet, where it is about the array. An evaluation depends on
// nothing but what it reads, and reads the next term by what it read before; so the
// decisions are a tree of the terms that it reads of the subject itself, with a
// branch for each value. It is used by one goroutine.
type Decisions struct {
	check *Check
	model *terms.Model
	root  *branch
	off   bool // the condition looks at the subject in other ways than by its terms
}

// branch is what follows once some terms of a subject are read: the term that is
// read next, or the answer.
type branch struct {
	term  *terms.Term // of the subject; nil at the answer
	asked bool        // whether it is stated, and not what it is
	next  map[any]*branch

	answer *answer
}

// answer is how a condition came out.
type answer struct {
	applies bool
	rest    *terms.Value   // what the evaluation that came here rests on
	own     []*terms.Value // the terms of its subject among that
	shared  bool           // none of these rests on anything of the job, so that rest is that of every subject
}

// Decisions begins to remember for a model.
func (c *Check) Decisions(m *terms.Model) *Decisions {
	return &Decisions{check: c, model: m, off: c.when == nil || c.when.outside || c.governs != nil}
}

// When is Evaluation.When for a subject, with what the answer rests on. The
// evaluation is nil where the answer was remembered, which is never an error.
func (d *Decisions) When(s *terms.Subject) (applies bool, rest *terms.Value, e *Evaluation, err error) {
	remembers := !d.off && !s.Unknown()
	if remembers {
		if a, own := d.recall(s); a != nil {
			if a.shared {
				return a.applies, a.rest, nil, nil
			}
			return a.applies, a.rest.Like(a.own, own), nil, nil
		}
	}
	e = d.check.Evaluate(d.model, s)
	applies, err = e.When()
	if remembers && err == nil {
		d.keep(e, applies)
	}
	return applies, e.Rest(), e, err
}

// recall follows the terms of a subject to an answer; nil where there is none yet.
// The terms are given where the answer needs them.
func (d *Decisions) recall(s *terms.Subject) (*answer, []*terms.Value) {
	var buffer [8]*terms.Value
	own := buffer[:0]
	b := d.root
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
	if b.answer.shared {
		return b.answer, nil
	}
	return b.answer, slices.Clone(own)
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
func (d *Decisions) keep(e *Evaluation, applies bool) {
	if e.run.aside {
		d.off, d.root = true, nil
		return
	}
	a := &answer{applies: applies, rest: e.Rest(), shared: true}
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
		a.own = append(a.own, v)
		a.shared = a.shared && v.Plain()
	}
	if d.root == nil {
		d.root = &branch{}
	}
	b := d.root
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
