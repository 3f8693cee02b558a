// Package terms is the vocabulary that checks may use: every kind of thing a
// job holds, and for each its terms, given ones read from the job file and
// derived ones computed by the engineering packages. A term has a type, a
// meaning, a source and, where there is one, the desk calculator that runs the
// same function. Derived terms are computed when first asked for, and once.
//
// A term whose inputs the job leaves out is undetermined and knows which keys
// are missing; it never falls back on a value that would pass.
package terms

import (
	"fmt"
	"sort"

	"plumbrule/internal/quantity"
)

// Type is the type of a term.
type Type struct {
	Kind  TypeKind
	Dim   quantity.Dimension // for Measured
	Thing string             // for Thing and Things: the kind of thing
}

// TypeKind is the shape of a term's value.
type TypeKind uint8

const (
	Measured TypeKind = iota // a dimensioned quantity; Go value float64 in the base unit
	Number                   // a plain number; float64
	Count                    // a whole number; int
	Flag                     // yes or no; bool
	Text                     // a word; string
	Texts                    // words; []string
	Size                     // a conductor size; quantity.Size
	Thing                    // another thing; *Subject
	Things                   // several; []*Subject
)

// String names the type in trade words.
func (t Type) String() string {
	switch t.Kind {
	case Measured:
		return t.Dim.String()
	case Thing:
		return t.Thing
	case Things:
		return "list of " + t.Thing
	}
	return [...]string{"", "number", "count", "yes or no", "text", "list of text", "conductor size"}[t.Kind]
}

// Term is one word of the vocabulary.
type Term struct {
	Name       string
	Type       Type
	Meaning    string
	Source     string // section, standard or paper behind a derived term; "" for a given one
	Calculator string // desk calculator that runs the same function, "" if none
	Given      bool   // read from the job file

	compute func(c *Call, data any) any
}

// Kind is one kind of thing that checks may hold to account.
type Kind struct {
	Name    string // "array"
	Plural  string // "arrays", the name of the list of all; "" where there is just one
	Meaning string

	terms map[string]*Term
	all   func(m *Model) []*Subject
}

// Single reports whether a job has one thing of this kind, which expressions
// then reach by the kind's name.
func (k *Kind) Single() bool { return k.Plural == "" && k.all != nil }

// Term returns the term with that name, or nil.
func (k *Kind) Term(name string) *Term { return k.terms[name] }

// Terms returns all terms of the kind, sorted by name.
func (k *Kind) Terms() []*Term {
	out := make([]*Term, 0, len(k.terms))
	for _, t := range k.terms {
		out = append(out, t)
	}
	sort.Slice(out, func(i, j int) bool { return out[i].Name < out[j].Name })
	return out
}

// add puts a term into the vocabulary. Two terms of one name are a defect of
// the program, found by the first test that runs.
func (k *Kind) add(t *Term) {
	if k.terms[t.Name] != nil {
		panic(fmt.Sprintf("terms: %s.%s is defined twice", k.Name, t.Name))
	}
	k.terms[t.Name] = t
}

// kinds is the whole vocabulary by name. It is built once, before main, and
// read only after that.
var kinds = map[string]*Kind{}

// Kinds returns every kind of thing, sorted by name.
func Kinds() []*Kind {
	out := make([]*Kind, 0, len(kinds))
	for _, k := range kinds {
		out = append(out, k)
	}
	sort.Slice(out, func(i, j int) bool { return out[i].Name < out[j].Name })
	return out
}

// KindByName returns the kind with that name, or nil.
func KindByName(name string) *Kind { return kinds[name] }

// The given terms come first because derived ones stand on their kinds.
func init() {
	defineGiven()
	defineRoof()
	defineLayout()
	defineBonding()
	defineAsBuilt()
	defineDocuments()
	defineElectrical()
	defineStructural()
	defineFire()
}

// KindByPlural returns the kind whose list has that name, or nil.
func KindByPlural(plural string) *Kind { return plurals[plural] }

var plurals = map[string]*Kind{}

func newKind(name, plural, meaning string) *Kind {
	if kinds[name] != nil {
		panic("terms: kind " + name + " is defined twice")
	}
	k := &Kind{Name: name, Plural: plural, Meaning: meaning, terms: map[string]*Term{}}
	kinds[name] = k
	if plural != "" {
		plurals[plural] = k
	}
	return k
}

// derive adds a derived term whose subject's data is a *T. The function reads
// inputs through the Call; when an input is missing it returns nil and the
// call already knows the missing keys.
func derive[T any](kind, name string, t Type, meaning, source, calculator string, f func(c *Call, x *T) any) {
	k := kinds[kind]
	if k == nil {
		panic("terms: no kind " + kind)
	}
	k.add(&Term{Name: name, Type: t, Meaning: meaning, Source: source, Calculator: calculator,
		compute: func(c *Call, data any) any { return f(c, data.(*T)) }})
}

// Shorthands for the types of terms.
func measured(d quantity.Dimension) Type { return Type{Kind: Measured, Dim: d} }
func thing(kind string) Type             { return Type{Kind: Thing, Thing: kind} }
func things(kind string) Type            { return Type{Kind: Things, Thing: kind} }

var (
	number = Type{Kind: Number}
	count  = Type{Kind: Count}
	flag   = Type{Kind: Flag}
	text   = Type{Kind: Text}
)
