package codebook

import (
	"fmt"
	"slices"

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
	Part      int      `toml:"part"` // which of the two coordinates of a point, from 1; 0 where it is none

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
	s := v.Key
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
		run := newRun(c.words, m.Ask(s, c.ID))
		if _, err := run.eval(v.key, s); err != nil || len(run.reads) == 0 {
			x.Why = v.Key + " has no value here"
			continue
		}
		last := run.reads[len(run.reads)-1]
		if last.Leads() {
			x.Why = v.Key + " leads to nothing here"
			continue
		}
		x.Rest = last.Value
		key, given := last.Value.Given()
		if !given {
			x.Why = v.Key + " is not stated: it follows from other values, or is left out"
			continue
		}
		x.Key = key
		if v.Part > 0 {
			x.Key = job.Join(key, fmt.Sprint(v.Part))
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

// dimensionOf is the dimension of a type of quantities.
func dimensionOf(t *types.Type) (quantity.Dimension, bool) {
	for _, d := range quantity.Dimensions() {
		if dimensionTypes[d].TypeName() == t.TypeName() {
			return d, true
		}
	}
	return 0, false
}
