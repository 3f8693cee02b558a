package terms

import (
	"fmt"
	"slices"

	"plumbrule/internal/quantity"
)

// Fill lets something else of the job, such as the drawing, answer for a given
// value that the job leaves out, and hold one that it states against it. The
// function gets what the job states, if it does, and gives what the term is;
// what it needs, the term needs, and where nothing is stated the key itself as
// well. What the function explains is how the value came about: every outcome
// that rests on it says so. The handle reads the term as that of a derived one does.
func Fill[T, V any](k KindOf[T], key string, t TypeOf[V], f func(c *Call, x *T, stated bool, v V) V) TermOf[T, V] {
	term := k.kind.terms[key]
	if term == nil || !term.Given || term.Type != t.Type {
		panic(fmt.Sprintf("terms: %s has no given value %q of that type", k.kind.Name, key))
	}
	given := term.compute
	term.compute = func(c *Call, data any) any {
		part := c.Part()
		own := given(part, data)
		c.out.Stated, c.out.Unit = part.out.Stated, part.out.Unit
		var v V
		if part.out.Stated {
			c.Drive(part.out.At)
			if own != nil {
				v = t.load(own)
			}
		}
		out := t.store(c.m, f(c, data.(*T), part.out.Stated, v))
		if !part.out.Stated && c.Stop() {
			needs := c.out.Needs
			c.out.Needs, c.needed = nil, nil
			c.Need(besides(part.out.Needs, needs)...)
		} else if !part.out.Stated {
			c.fillIn(part.out.Needs[0], out)
		}
		return out
	}
	return TermOf[T, V]{term, t.load}
}

// besides is what is needed where neither a key is stated nor something else
// answers for it: of the key and each key that the answer lacks one is enough.
// An answer that fails for another reason leaves the key itself to be stated, or
// what contradicts itself to be put right.
func besides(own, answer []Need) []Need {
	if len(own) != 1 || own[0].Key == "" {
		return append(slices.Clone(own), answer...)
	}
	left, contradicted := own[0], false
	var out []Need
	for _, n := range answer {
		switch {
		case n.Why != "":
			contradicted = true
			out = append(out, n)
		case slices.Contains(n.Keys(), left.Key): // it cannot do without the key
			return own
		default:
			n.Or, n.Filled = append(slices.Clone(n.Or), left.Key), false
			out = append(out, n)
		}
	}
	if contradicted {
		left.Filled = true
		return append([]Need{left}, slices.DeleteFunc(out, func(n Need) bool { return n.Why == "" })...)
	}
	return out
}

// fillIn notes that what was computed answers for a key that the job leaves out.
func (c *Call) fillIn(left Need, v any) {
	work := c.out.Work
	if work == nil {
		work = func(quantity.System) []string { return []string{left.Key + " is left out"} }
	}
	c.out.filled = true
	c.rest([]*Filling{{Key: left.Key, At: left.At, V: v, Assumed: c.assumed, Work: work}})
}
