package terms

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"plumbrule/internal/quantity"
)

// Made tells what a value is of, and how it came about.
type Made struct {
	Subject *Subject
	Term    *Term  // nil for an analysis that is no word of the vocabulary
	What    string // the name of the term, or what the analysis is
	Keys    []Read // keys of the job that it read itself
	Inputs  []*Value
}

// Made tells how the value came about. One that stands for things of which
// nothing is known has no subject.
func (v *Value) Made() Made {
	m := Made{Keys: v.keys, Inputs: v.inputs}
	if v.by != nil {
		m.Subject, m.What = v.by.subject, v.by.what
		if t := v.by.subject.Kind.terms[v.by.what]; t != nil && !t.shared {
			m.Term = t
		}
	}
	return m
}

// Print gives the value of a term as a report shows it, in the units of a
// system: "12.4 A", "yes", the names of things; "not known" for none.
func (v *Value) Print(t Type, sys quantity.System) string {
	switch x := v.V.(type) {
	case nil:
		return "not known"
	case float64:
		if t.Kind == Measured {
			return quantity.Value{SI: x, Dim: t.Dim}.Format(sys)
		}
		return strconv.FormatFloat(x, 'g', 4, 64)
	case bool:
		if x {
			return "yes"
		}
		return "no"
	case *Subject:
		return x.Label()
	case []*Subject:
		if len(x) > mostNamed {
			return fmt.Sprintf("%d of them", len(x))
		}
		names := make([]string, len(x))
		for i, s := range x {
			names[i] = s.Label()
		}
		return strings.Join(names, ", ")
	case []string:
		return strings.Join(slices.Clone(x), ", ")
	default:
		return fmt.Sprint(x)
	}
}

// mostNamed is how many things of a list are named.
const mostNamed = 6
