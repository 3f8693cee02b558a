package review

import (
	"fmt"
	"slices"

	"plumbrule/internal/source"
	"plumbrule/internal/table"
	"plumbrule/internal/terms"
)

// Step is one value behind an outcome with what it was computed from: a tree,
// down to the keys of the job.
type Step struct {
	Of    string // "string S1 cold_voltage", or a key of the job
	Text  string // the value; as written, of a key of the job
	Term  *terms.Term
	At    source.Span // of a key of the job; zero where it is left out, or for a computed value
	Key   string      // of the job; "" for a computed value
	Work  []string    // the calculation with numbers put in
	Refs  []table.Ref // rows of tables
	Needs []string    // why it is not known
	From  []*Step
	Above bool // told further up already, and not again
}

// Why is the chain behind an outcome: what the condition rests on, then what the
// measure and the limit do.
func (r *Review) Why(o *Outcome) (applies, decided []*Step) {
	w := &whyer{r: r, told: map[*terms.Value]bool{}}
	for _, v := range o.held() {
		decided = add(decided, w.value(v))
	}
	if len(o.rests) > 1 {
		applies = w.of(o.rests[:len(o.rests)-1])
	}
	return applies, decided
}

// AlsoRead gives, of the outcomes that rest on a key besides one, how many there
// are, and those of them that are outstanding.
func (r *Review) AlsoRead(key string, besides *Outcome) (n int, outstanding []*Outcome) {
	for _, o := range r.Resting(key) {
		if o == besides {
			continue
		}
		n++
		if o.Outstanding() {
			outstanding = append(outstanding, o)
		}
	}
	return n, outstanding
}

type whyer struct {
	r    *Review
	told map[*terms.Value]bool
}

// of gives the steps of what evaluations read, without the evaluations.
func (w *whyer) of(rests []*terms.Value) []*Step {
	var out []*Step
	for _, v := range rests {
		out = add(out, w.inputs(v.Made()))
	}
	return out
}

// add puts steps behind others, each key of the job once.
func add(list, more []*Step) []*Step {
	for _, s := range more {
		if !slices.ContainsFunc(list, func(o *Step) bool { return o.Key != "" && o.Key == s.Key }) {
			list = append(list, s)
		}
	}
	return list
}

// inputs gives the steps of what a value was made from: keys of the job that it
// read itself, then other values.
func (w *whyer) inputs(m terms.Made) []*Step {
	var out []*Step
	for _, read := range m.Keys {
		s := &Step{Of: read.Key, Key: read.Key, At: read.At, Text: "left out"}
		if read.At.Known() {
			s.Text = read.At.Text()
		}
		out = add(out, []*Step{s})
	}
	for _, v := range m.Inputs {
		out = add(out, w.value(v))
	}
	return out
}

// value is the step of a value. One that only leads to another thing, or passes
// on what others gave, is not told: what it was made from stands in its place.
func (w *whyer) value(v *terms.Value) []*Step {
	m := v.Made()
	if m.Term != nil && m.Term.Given && len(m.Keys) == 1 && len(m.Inputs) == 0 {
		return w.inputs(m)
	}
	leads := m.Term != nil && (m.Term.Type.Kind == terms.Thing || m.Term.Type.Kind == terms.Things)
	if leads || m.Subject == nil || m.Term == nil && v.Work == nil && len(v.Refs) == 0 {
		if w.told[v] {
			return nil
		}
		w.told[v] = true
		return w.inputs(m)
	}
	s := &Step{Of: m.Subject.Label() + " " + m.What, Term: m.Term, Refs: v.Refs}
	if m.Term != nil {
		s.Text = v.Print(m.Term.Type, w.r.System)
	}
	for _, n := range v.Needs {
		s.Needs = append(s.Needs, n.String())
	}
	if w.told[v] {
		s.Above = true
		return []*Step{s}
	}
	w.told[v] = true
	if v.Work != nil {
		s.Work = v.Work(w.r.System)
	}
	s.From = w.inputs(m)
	return []*Step{s}
}

// ByNumber finds the comment of a number, and the outcome that it names: "12.3" is
// the third subject of comment 12, "12" its worst. Of a comment that asks for keys
// it is the gravest outcome that waits.
func (r *Review) ByNumber(number string) (*Comment, *Outcome, error) {
	for _, c := range r.Comments() {
		if number == fmt.Sprint(c.Number) {
			return c, c.Worst(), nil
		}
		for _, o := range c.Subjects {
			if r.Number(o) == number {
				return c, o, nil
			}
		}
	}
	return nil, nil, fmt.Errorf("there is no comment %s; the review has %d", number, len(r.Comments()))
}
