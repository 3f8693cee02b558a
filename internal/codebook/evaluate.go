package codebook

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"cel.dev/cel-go/cel"
	"cel.dev/cel-go/common/types"
	"cel.dev/cel-go/common/types/ref"

	"plumbrule/internal/bound"
	"plumbrule/internal/quantity"
	"plumbrule/internal/source"
	"plumbrule/internal/terms"
)

// Result is what one expression gave for one subject.
type Result struct {
	Number float64            // of a quantity (base unit), number or count
	Dim    quantity.Dimension // of a quantity
	Unit   string             // as written
	Size   quantity.Size
	Text   string
	Flag   bool
	Form   Form
}

// Form is the shape of a Result.
type Form uint8

const (
	IsQuantity Form = iota
	IsNumber
	IsCount
	IsText
	IsSize
	IsFlag
)

// Print gives the result the way a report shows it.
func (r Result) Print(sys quantity.System) string {
	switch r.Form {
	case IsQuantity:
		return quantity.Value{SI: r.Number, Dim: r.Dim}.Format(sys)
	case IsNumber:
		return strconv.FormatFloat(r.Number, 'g', 4, 64)
	case IsCount:
		return strconv.Itoa(int(r.Number))
	case IsText:
		return r.Text
	case IsSize:
		return r.Size.String()
	}
	if r.Flag {
		return "yes"
	}
	return "no"
}

// Missing is the answer of an expression that needs what the job leaves out.
type Missing struct{ Needs []terms.Need }

func (m *Missing) Error() string {
	words := make([]string, len(m.Needs))
	for i, n := range m.Needs {
		words[i] = n.String()
	}
	return "needs " + strings.Join(words, ", ")
}

// Read is one term that an evaluation read.
type Read struct {
	Subject *terms.Subject
	Term    *terms.Term
	Value   *terms.Value

	asked bool // whether it is stated was asked, and not what it is
}

// Leads reports whether what was read is another thing, on the way to its terms;
// its place is not what a result hangs on.
func (r Read) Leads() bool {
	return r.Term.Type.Kind == terms.Thing && !r.asked
}

// Evaluation holds one check against one subject. It keeps every term read, in
// the order of reading, so that the review can show the work and the places.
type Evaluation struct {
	check   *Check
	run     *run
	subject *terms.Subject
}

// run is the state that things share during one evaluation.
type run struct {
	words *Vocabulary
	call  *terms.Call
	reads []Read
	ids   map[*terms.Value]int64 // places in reads, from 1; nil while they are few
	about *terms.Subject
	aside bool // it came to the subject, or others of its kind, otherwise than by its terms

	listed int // things in the lists that were made
}

func newRun(words *Vocabulary, call *terms.Call) *run {
	return &run{words: words, call: call, about: call.Subject()}
}

// few reads are looked through faster than a map is made.
const few = 16

// note keeps what was read and gives its number.
func (r *run) note(read Read) int64 {
	if r.ids == nil {
		for i := range r.reads {
			if r.reads[i].Value == read.Value {
				return int64(i + 1)
			}
		}
	} else if id, known := r.ids[read.Value]; known {
		return id
	}
	r.reads = append(r.reads, read)
	id := int64(len(r.reads))
	if len(r.reads) == few {
		r.ids = make(map[*terms.Value]int64, 2*few)
		for i := range r.reads {
			r.ids[r.reads[i].Value] = int64(i + 1)
		}
	} else if r.ids != nil {
		r.ids[read.Value] = id
	}
	return id
}

// activation resolves the names an expression may use.
type activation struct {
	run     *run
	subject *terms.Subject
}

func (a activation) Parent() cel.Activation { return nil }

func (a activation) ResolveName(name string) (any, bool) {
	if name == a.subject.Kind.Name {
		return a.run.thing(a.subject), true
	}
	if k := terms.KindByName(name); k != nil {
		if list := a.run.call.List(k); k.Single() && len(list) == 1 {
			return a.run.thing(list[0]), true
		}
		return nil, false
	}
	if k := terms.KindByPlural(name); k != nil {
		a.run.aside = a.run.aside || k == a.subject.Kind
		return a.run.things(a.run.call.List(k)), true
	}
	return nil, false
}

// Evaluate prepares to hold a check against a subject of a model.
func (c *Check) Evaluate(m *terms.Model, s *terms.Subject) *Evaluation {
	return &Evaluation{check: c, run: newRun(c.words, m.Ask(s, c.ID)), subject: s}
}

// Rest is all that the evaluation rests on so far, as a value that knows the
// keys of the job behind it.
func (e *Evaluation) Rest() *terms.Value { return e.run.call.Rest() }

// Reads lists the terms read so far.
func (e *Evaluation) Reads() []Read { return e.run.reads }

// When gives the condition of the check; a check without one applies.
func (e *Evaluation) When() (bool, error) {
	if e.check.when == nil {
		return true, nil
	}
	r, err := e.eval(e.check.when)
	return r.Flag, err
}

// Governs names the code whose words hold for the subject; "" where every
// adopted code's do.
func (e *Evaluation) Governs() (string, error) {
	if e.check.governs == nil {
		return "", nil
	}
	r, err := e.eval(e.check.governs)
	return r.Text, err
}

// Mended gives the values that the remedy of the check asks to change: for each
// expression of mends the last term that it reads. It reads for the order of
// comments only, and nothing rests on it.
func (c *Check) Mended(m *terms.Model, s *terms.Subject) []*terms.Value {
	var out []*terms.Value
	for _, x := range c.mends {
		run := newRun(c.words, m.Ask(s, c.ID))
		if _, err := run.eval(x, s); err != nil || len(run.reads) == 0 {
			continue
		}
		if last := run.reads[len(run.reads)-1]; !last.Leads() || len(last.Value.Needs) > 0 {
			out = append(out, last.Value)
		}
	}
	return out
}

// Measure gives the measure of the check; ok is false for a plain condition.
func (e *Evaluation) Measure() (r Result, ok bool, err error) {
	if e.check.measure == nil {
		return Result{}, false, nil
	}
	r, err = e.eval(e.check.measure)
	return r, true, err
}

// Limit gives the value of a limit of the check.
func (e *Evaluation) Limit(l *Limit) (Result, error) { return e.eval(l.expr) }

// Within gives how far the measure may be from what it must equal; ok is
// false where the check leaves no room.
func (e *Evaluation) Within() (r Result, ok bool, err error) {
	if e.check.within == nil {
		return Result{}, false, nil
	}
	r, err = e.eval(e.check.within)
	return r, true, err
}

// Finding and Remedy give the sentences of the check, or "" where the check
// has none or a part of it cannot be computed.
func (e *Evaluation) Finding(sys quantity.System) string { return e.sentence(e.check.finding, sys) }
func (e *Evaluation) Remedy(sys quantity.System) string  { return e.sentence(e.check.remedy, sys) }

func (e *Evaluation) sentence(t *template, sys quantity.System) string {
	if t == nil {
		return ""
	}
	// A sentence reads for the reader's sake only; what it reads must not
	// count as part of the calculation.
	before := len(e.run.reads)
	defer func() { e.run.reads = e.run.reads[:before] }()
	var b strings.Builder
	for _, part := range t.parts {
		switch part := part.(type) {
		case string:
			b.WriteString(part)
		case *expression:
			text, err := e.print(part, sys)
			if err != nil {
				return ""
			}
			b.WriteString(text)
		}
	}
	return b.String()
}

// print says the value of a part of a sentence: a thing by its name, and what
// the job leaves out as such.
func (e *Evaluation) print(part *expression, sys quantity.System) (string, error) {
	out, err := e.run.eval(part, e.subject)
	if err != nil {
		return "", err
	}
	switch x := out.(type) {
	case *thing:
		return x.subject.Name, nil
	case *types.Unknown:
		return "(not stated)", nil
	}
	r, err := e.result(part, out)
	return r.Print(sys), err
}

// eval runs one expression. The error is *Missing when the answer hangs on
// what the job leaves out.
func (e *Evaluation) eval(x *expression) (Result, error) {
	out, err := e.run.eval(x, e.subject)
	if err != nil {
		return Result{}, fmt.Errorf("%s: %w", x.text, err)
	}
	return e.result(x, out)
}

// result is what an expression came to, in the terms of a check.
func (e *Evaluation) result(x *expression, out ref.Val) (Result, error) {
	switch v := out.(type) {
	case *types.Unknown:
		return Result{}, &Missing{e.run.missing(v)}
	case *types.Err:
		return Result{}, fmt.Errorf("%s: %w", x.text, v)
	}
	return result(out)
}

// eval runs an expression about a subject.
func (r *run) eval(x *expression, s *terms.Subject) (ref.Val, error) {
	program, err := x.ready()
	if err != nil {
		return nil, err
	}
	if !x.outside {
		out, _, err := program.Eval(activation{r, s})
		return out, err
	}
	m := r.call.Model()
	if m.Spent() {
		return nil, errSpent
	}
	listed := r.listed
	within, done := context.WithTimeout(context.Background(), bound.EvaluationTime)
	out, details, err := program.ContextEval(within, activation{r, s})
	done()
	cost := uint64(r.listed - listed)
	if details != nil && details.ActualCost() != nil {
		cost += *details.ActualCost()
	}
	if err != nil {
		m.Blame(x.blame(err, s))
		if within.Err() == context.DeadlineExceeded {
			m.Spend(x.at, bound.CheckCost+1) // the next subject would take as long
		}
		return out, err
	}
	if !m.Spend(x.at, cost) {
		return nil, errSpent
	}
	return out, nil
}

// errSpent is why a rule of a third party is not evaluated any more; the review
// says at which rule and does not stand.
var errSpent = errors.New("the rules from outside take too many steps")

// blame is what went wrong with a subject in a rule of a third party.
func (x *expression) blame(err error, s *terms.Subject) source.Fault {
	said := err.Error()
	if strings.Contains(said, "cost limit exceeded") {
		return source.Fault{At: x.at, Message: fmt.Sprintf("for %s it takes more than %d steps", s.Label(), bound.EvaluationCost),
			Expected: "a rule that looks at what its own subject is about"}
	}
	if strings.Contains(said, "interrupted") {
		return source.Fault{At: x.at, Message: fmt.Sprintf("for %s it takes longer than %s", s.Label(), bound.EvaluationTime),
			Expected: "a rule that looks at what its own subject is about"}
	}
	return source.Fault{At: x.at, Message: fmt.Sprintf("for %s it has no value: %s", s.Label(), said)}
}

// missing lists what an unknown answer hangs on, in the order of reading.
func (r *run) missing(u *types.Unknown) []terms.Need {
	var needs []terms.Need
	have := map[string]bool{} // a job of thousands of circuits has as many needs
	for i, read := range r.reads {
		if !u.Contains(types.NewUnknown(int64(i+1), nil)) {
			continue
		}
		for _, n := range read.Value.Needs {
			if words := n.String(); !have[words] {
				have[words] = true
				needs = append(needs, n)
			}
		}
	}
	return needs
}

func result(v ref.Val) (Result, error) {
	switch v := v.(type) {
	case measure:
		return Result{Form: IsQuantity, Number: v.si, Dim: v.dim, Unit: v.unit}, nil
	case types.Double:
		return Result{Form: IsNumber, Number: float64(v)}, nil
	case types.Int:
		return Result{Form: IsCount, Number: float64(v)}, nil
	case types.String:
		return Result{Form: IsText, Text: string(v)}, nil
	case types.Bool:
		return Result{Form: IsFlag, Flag: bool(v)}, nil
	case wire:
		return Result{Form: IsSize, Size: quantity.Size(v), Number: float64(v)}, nil
	}
	return Result{}, fmt.Errorf("a %s cannot be held against a limit", v.Type().TypeName())
}
