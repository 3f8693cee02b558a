package codebook

import (
	"fmt"
	"slices"
	"strings"

	"cel.dev/cel-go/common/types"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/terms"
)

// Vary says what of a job may be varied to put a finding of a check right, and
// through which values. A remedy is searched among them; see package remedy.
type Vary struct {
	Key       string   `toml:"key"`       // expression whose last term is a stated value of the job: circuit.conductor
	Direction string   `toml:"direction"` // Down, Up or Either
	Step      string   `toml:"step"`      // expression; values are its multiples: 'q("1 in")', 'plane.framing.spacing'
	Values    []string `toml:"values"`    // standard values from small to large, as a job writes them; for a text, in the order of trying
	Code      string   `toml:"code"`      // of a table of standard values, under the adopted edition
	Table     string   `toml:"table"`
	Column    string   `toml:"column"`
	Field     string   `toml:"field"` // key below the thing of the job that Key leads to, where no term has it: origin
	Part      int      `toml:"part"`  // which of the two coordinates of a point, from 1; 0 where it is none

	key, step *expression
}

// The directions in which a value may be varied.
const (
	Down   = "down"
	Up     = "up"
	Either = "either"
)

// String says what may vary and how, for the sheet of a check.
func (v *Vary) String() string {
	s := v.Name()
	if v.Part > 0 {
		s += fmt.Sprintf(" (coordinate %d)", v.Part)
	}
	switch v.Direction {
	case Either:
		s += ", up or down"
	default:
		s += ", " + v.Direction
	}
	switch {
	case v.Step != "":
		return s + " by " + v.Step
	case v.Table != "":
		return fmt.Sprintf("%s through %s %s, %s", s, v.Code, v.Table, v.Column)
	case len(v.Values) > 0:
		return fmt.Sprintf("%s through %s to %s", s, v.Values[0], v.Values[len(v.Values)-1])
	}
	return s + " through the series of conductor sizes"
}

// Varied is what may be varied for one subject of a check.
type Varied struct {
	*Vary
	Key  string       // of the job: "circuit.branch A.conductor"; "" where the value follows from others
	By   Result       // the step in the base unit, where Step says one
	Rest *terms.Value // the value that may be varied; nil where it cannot be told
	Why  string       // why nothing can be varied; "" where something can
}

// Varied gives what may be varied for a subject, one for each of Varies. It reads
// for the search of a remedy only, and no outcome rests on it.
func (c *Check) Varied(m *terms.Model, s *terms.Subject) []Varied {
	out := make([]Varied, len(c.Varies))
	for i, v := range c.Varies {
		x := &out[i]
		x.Vary = v
		if x.Key, x.Why = c.keyOf(v, m, s); x.Why != "" {
			continue
		}
		if v.Part > 0 {
			x.Key = job.Join(x.Key, fmt.Sprint(v.Part))
		}
		if v.step == nil {
			continue
		}
		e := c.Evaluate(m, s)
		by, err := e.eval(v.step)
		switch {
		case err != nil:
			x.Key, x.Why = "", "the step "+v.Step+" has no value here"
		case by.Form > IsCount || by.Number <= 0:
			x.Key, x.Why = "", "the step "+v.Step+" is not above zero here"
		}
		x.By = by
	}
	return out
}

// keyOf is the key of the job that may be varied for a subject, or why there is none.
func (c *Check) keyOf(v *Vary, m *terms.Model, s *terms.Subject) (key, why string) {
	run := newRun(c.words, m.Ask(s, c.ID))
	out, err := run.eval(v.key, s)
	if v.Field != "" {
		x, leads := out.(*thing)
		if err != nil || !leads {
			return "", v.Key + " leads to nothing here"
		}
		key = job.Join(job.Join(x.subject.Kind.Name, x.subject.Name), v.Field)
		if slot, known := m.Job.Slot(key); !known || !slot.Stated() {
			return "", v.Name() + " is not stated"
		}
		return key, ""
	}
	if err != nil || len(run.reads) == 0 {
		return "", v.Key + " has no value here"
	}
	last := run.reads[len(run.reads)-1]
	if last.Leads() {
		return "", v.Key + " leads to nothing here"
	}
	key, given := last.Value.Given()
	if !given {
		return "", v.Key + " is not stated: it follows from other values, or is left out"
	}
	return key, ""
}

// Name is what may vary, as a rule file writes it.
func (v *Vary) Name() string {
	if v.Field != "" {
		return v.Key + "." + v.Field
	}
	return v.Key
}

// varies compiles what may be varied and refuses what could not be searched.
func (l *loader) varies(c *Check, f *ruleFile) {
	for i := range f.Vary {
		v := &f.Vary[i]
		at := fmt.Sprintf("vary[%d]", i)
		v.key = l.compile(at+".key", v.Key, wantAny)
		if v.Step != "" {
			v.step = l.compile(at+".step", v.Step, wantOrdered)
		}
		c.Varies = append(c.Varies, v)
		if l.proven {
			continue
		}
		l.varyForm(at, v)
		if v.key != nil && (v.Step == "" || v.step != nil) {
			l.varyType(at, v)
		}
	}
}

// varyForm refuses a declaration with several ways of varying, or half of one.
func (l *loader) varyForm(at string, v *Vary) {
	var ways []string
	for _, way := range []struct {
		key  string
		used bool
	}{{"step", v.Step != ""}, {"values", len(v.Values) > 0}, {"table", v.Table != ""}} {
		if way.used {
			ways = append(ways, way.key)
		}
	}
	if len(ways) > 1 {
		l.clash(at+"."+ways[1], at+"."+ways[0], "the other", "%s stands beside %s; give one of step, values and table", ways[1], ways[0])
	}
	if (v.Table != "") != (v.Column != "") || (v.Table != "") != (v.Code != "") {
		l.fault(at, "a table of standard values is named by code, table and column")
	}
	if v.Code != "" {
		l.adoptable(at+".code", v.Code)
	}
	if !slices.Contains([]string{Down, Up, Either}, v.Direction) {
		l.fault(at, "direction is one of down, up and either")
	}
}

// varyType holds the step or the values against what the key is.
func (l *loader) varyType(at string, v *Vary) {
	t := v.key.ast.OutputType()
	if v.Field != "" {
		l.varyField(at, v)
		return
	}
	point := t.Kind() == types.ListKind
	switch {
	case v.Part > 0:
		if v.Step == "" {
			l.fault(at, "a coordinate of a point varies by a step")
		} else if by := typeName(v.step.ast.OutputType()); by != quantity.Length.String() {
			l.fault(at+".step", "the step is a %s but a coordinate is a length", by)
		}
	case v.Step != "" && !sameType(t, v.step.ast.OutputType()):
		l.fault(at+".step", "the step is a %s but %s is a %s", typeName(v.step.ast.OutputType()), v.Key, typeName(t))
	case point || t.Kind() == types.BoolKind || v.Step != "" && !limitable(t):
		l.fault(at+".key", "a %s cannot be varied", typeName(t))
	case v.Step == "" && v.Table == "" && len(v.Values) == 0 && typeName(t) != typeWord(sizeType.TypeName()):
		l.fault(at, "it says no step, values or table; only conductor sizes have a series of their own")
	}
	dim, quantities := dimensionOf(t)
	for i, text := range v.Values {
		if !quantities {
			break
		}
		if _, err := quantity.Parse(text, dim); err != nil {
			l.fault(fmt.Sprintf("%s.values[%d]", at, i), "%v", err)
		}
	}
}

// varyField holds a key of the job below a thing against the model.
func (l *loader) varyField(at string, v *Vary) {
	name, leads := strings.CutPrefix(v.key.ast.OutputType().TypeName(), "thing.")
	if !leads {
		l.fault(at+".key", "field stands below a thing, but this gives a %s", typeName(v.key.ast.OutputType()))
		return
	}
	of, known := job.Model().Field(name)
	if !known || of.Table == nil {
		l.fault(at+".key", "a job has no tables of %s", name)
		return
	}
	f, known := of.Table.Field(v.Field)
	switch {
	case !known:
		l.fault(at+".field", "%s has no key %q", name, v.Field)
	case (f.Kind == job.KindPoint) != (v.Part > 0):
		l.fault(at+".field", "part names the coordinate of a point, and of nothing else")
	case f.Kind != job.KindPoint && f.Kind != job.KindQuantity || v.Step == "":
		l.fault(at+".field", "by field a quantity or a point is varied, by a step")
	case typeName(v.step.ast.OutputType()) != dimensionOfField(f).String():
		l.fault(at+".step", "the step is a %s but %s is a %s", typeName(v.step.ast.OutputType()), v.Name(), dimensionOfField(f))
	}
}

// dimensionOfField is the dimension of a key of the job; of a point that of its
// coordinates.
func dimensionOfField(f *job.Field) quantity.Dimension {
	if f.Kind == job.KindPoint {
		return quantity.Length
	}
	return f.Dim
}

// dimensionOf is the dimension of a type of quantities.
func dimensionOf(t *types.Type) (quantity.Dimension, bool) {
	for _, d := range quantity.Dimensions() {
		if dimensionTypes[d].TypeName() == t.TypeName() {
			return d, true
		}
	}
	return 0, false
}
