// Package terms is the machinery of the vocabulary that checks may use: kinds
// of things, their terms, and one job seen through them. It knows no
// discipline; each discipline is a package below this one that declares its
// terms as typed handles.
//
// A kind is one sort of thing that a job holds (array, circuit). A term is one
// word about such a thing: a given one is read from the job file, a derived
// one is computed by a function of the discipline, when it is first asked for,
// and once. A term whose inputs the job leaves out is undetermined and knows
// which keys are missing; it never falls back on a value that would pass. Every
// value remembers the values and the keys that it was computed from.
package terms

import (
	"fmt"
	"reflect"
	"sort"

	"plumbrule/internal/job"
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
	Source     string   // section, standard or paper behind a derived term; "" for a given one
	Calculator string   // desk calculator that runs the same function, "" if none
	Given      bool     // read from the job file
	LeftOut    string   // for a given one: what leaving it out says, "" where it is then unknown
	Words      []string // for a given text: the words it may take; nil for any

	kind    *Kind
	slot    int  // its place among the kept values of a subject
	shared  bool // an analysis: not a word of the vocabulary
	compute func(c *Call, data any) any
}

// Kind returns the kind of thing that the term is about.
func (t *Term) Kind() *Kind { return t.kind }

// Kind is one kind of thing that checks may hold to account.
type Kind struct {
	Name    string // "array"
	Plural  string // "arrays", the name of the list of all; "" where there is just one
	Meaning string
	Table   *job.Table // the table of the job file that gives it; nil for a derived kind

	terms map[string]*Term
	slots int // terms and analyses, each with a place for its value
	list  func(c *Call) []*Subject
}

// Single reports whether a job has one thing of this kind, which expressions
// then reach by the kind's name.
func (k *Kind) Single() bool { return k.Plural == "" && k.list != nil }

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
func (k *Kind) add(t *Term) *Term {
	if k.terms[t.Name] != nil {
		panic(fmt.Sprintf("terms: %s.%s is defined twice", k.Name, t.Name))
	}
	k.terms[t.Name] = t
	return k.hold(t)
}

// hold gives a term a place among the values of a subject.
func (k *Kind) hold(t *Term) *Term {
	t.kind, t.slot = k, k.slots
	k.slots++
	return t
}

// The vocabulary by name. It is complete once the packages of the disciplines
// are initialised, and only read after that.
var (
	kinds   = map[string]*Kind{}
	plurals = map[string]*Kind{}
	byType  = map[reflect.Type]*Kind{} // kinds of the job file by their Go type
)

// NewTerm makes a term of a kind that is data and not Go, such as the codebook
// reads from a file. It is no part of the vocabulary of this package; who made
// it keeps it. The function gives nil where the call already needs something.
func NewTerm(k *Kind, name string, t Type, meaning, source string, f func(c *Call, s *Subject) any) *Term {
	return &Term{Name: name, Type: t, Meaning: meaning, Source: source, kind: k, slot: -1,
		compute: func(c *Call, _ any) any { return f(c, c.subject) }}
}

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

// KindByPlural returns the kind whose list has that name, or nil.
func KindByPlural(plural string) *Kind { return plurals[plural] }

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
