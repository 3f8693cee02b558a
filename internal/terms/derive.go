package terms

import (
	"fmt"
	"reflect"

	"plumbrule/internal/quantity"
	"plumbrule/internal/source"
)

// KindOf is a kind whose things are *T in Go.
type KindOf[T any] struct{ kind *Kind }

// KindFor is the kind of a section or a repeated table of the job file.
func KindFor[T any]() KindOf[T] {
	k := byType[reflect.TypeFor[T]()]
	if k == nil {
		panic(fmt.Sprintf("terms: %v is no kind of the job file", reflect.TypeFor[T]()))
	}
	return KindOf[T]{k}
}

// NewKind declares a kind that is not in the job file but follows from it, such
// as the feet of an array. The list gives all things of the kind in the order
// of the job, made with Subject or Unknown; what it reads is kept with it. A
// kind without a plural has exactly one thing.
func NewKind[T any](name, plural, meaning string, list func(c *Call, k KindOf[T]) []*Subject) KindOf[T] {
	k := KindOf[T]{newKind(name, plural, meaning)}
	k.kind.list = func(c *Call) []*Subject { return list(c, k) }
	return k
}

// Kind gives the kind as the codebook sees it.
func (k KindOf[T]) Kind() *Kind { return k.kind }

// Subject makes the subject that stands for a thing.
func (k KindOf[T]) Subject(name string, key string, at source.Span, x *T) *Subject {
	return &Subject{Kind: k.kind, Name: name, Key: key, At: at, data: x}
}

// Unknown stands for things that cannot be listed because something is missing
// (the feet of an array without spacing, say): each of its terms is
// undetermined with the given needs, so that no check disappears with them.
func (k KindOf[T]) Unknown(name string, key string, at source.Span, needs []Need) *Subject {
	return &Subject{Kind: k.kind, Name: name, Key: key, At: at, unknown: &Value{Needs: needs}, data: new(int)}
}

// All gives every known thing of the kind in the order of the job. Where some
// are unknown the call needs what they need.
func (k KindOf[T]) All(c *Call) []*T {
	list := c.things(k.kind).list
	out := make([]*T, 0, len(list))
	for _, s := range list {
		if s.unknown != nil {
			c.Need(s.unknown.Needs...)
			continue
		}
		out = append(out, s.data.(*T))
	}
	return out
}

// Of gives the subject that stands for a thing.
func (k KindOf[T]) Of(m *Model, x *T) *Subject { return m.subjectOf(k.kind, x) }

// Thing gives the thing that a subject of the kind stands for; false where it
// stands for unknown ones, or is of another kind.
func (k KindOf[T]) Thing(s *Subject) (*T, bool) {
	x, ok := s.data.(*T)
	return x, ok && s.Kind == k.kind && s.unknown == nil
}

// TypeOf is the type of a term together with its Go type, so that a derivation
// that returns another type does not compile.
type TypeOf[V any] struct {
	Type
	store func(m *Model, v V) any // as values are kept: things as subjects
	load  func(v any) V
}

func plainType[V any](t Type) TypeOf[V] {
	return TypeOf[V]{t, func(_ *Model, v V) any { return v }, func(v any) V { return v.(V) }}
}

// The types of terms.
var (
	PlainNumber = plainType[float64](Type{Kind: Number})
	WholeNumber = plainType[int](Type{Kind: Count})
	YesNo       = plainType[bool](Type{Kind: Flag})
	Word        = plainType[string](Type{Kind: Text})
	WordList    = plainType[[]string](Type{Kind: Texts})
	WireSize    = plainType[quantity.Size](Type{Kind: Size})
)

// Quantity is a dimensioned quantity, in the base unit of its dimension.
func Quantity(d quantity.Dimension) TypeOf[float64] {
	return plainType[float64](Type{Kind: Measured, Dim: d})
}

// ThingOf is another thing; nil is no answer.
func ThingOf[T any](k KindOf[T]) TypeOf[*T] {
	return TypeOf[*T]{Type{Kind: Thing, Thing: k.kind.Name},
		func(m *Model, x *T) any {
			if x == nil {
				return nil
			}
			return m.subjectOf(k.kind, x)
		},
		func(v any) *T { return v.(*Subject).data.(*T) }}
}

// ListOf is several things; an empty list is an answer.
func ListOf[T any](k KindOf[T]) TypeOf[[]*T] {
	return TypeOf[[]*T]{Type{Kind: Things, Thing: k.kind.Name},
		func(m *Model, list []*T) any {
			out := make([]*Subject, len(list))
			for i, x := range list {
				out[i] = m.subjectOf(k.kind, x)
			}
			return out
		},
		func(v any) []*T {
			list := v.([]*Subject)
			out := make([]*T, len(list))
			for i, s := range list {
				out[i] = s.data.(*T)
			}
			return out
		}}
}

// TermOf is the handle of a derived term: of things *T, with values V.
type TermOf[T, V any] struct {
	term *Term
	load func(any) V
}

// Derive declares a derived term: its kind, name, type, meaning, the section,
// standard or paper behind it, the desk calculator that runs the same function
// ("" for none) and the function. The function reads its inputs through the
// call; where one is missing the call already knows, and what the function then
// returns is not looked at.
func Derive[T, V any](k KindOf[T], name string, t TypeOf[V], meaning, source, calculator string, f func(c *Call, x *T) V) TermOf[T, V] {
	term := k.kind.add(&Term{Name: name, Type: t.Type, Meaning: meaning, Source: source, Calculator: calculator})
	term.compute = func(c *Call, data any) any { return t.store(c.m, f(c, data.(*T))) }
	return TermOf[T, V]{term, t.load}
}

// Of reads the term of a thing for a computation. What it needs, the computation
// needs; then the zero value is returned.
func (h TermOf[T, V]) Of(c *Call, x *T) V {
	var zero V
	if x == nil {
		return zero
	}
	v := c.Read(c.m.subjectOf(h.term.kind, x), h.term)
	if c.take(v) {
		return h.load(v.V)
	}
	return zero
}

// Try reads the term of a thing without needing it: known is false where it is
// undetermined.
func (h TermOf[T, V]) Try(c *Call, x *T) (v V, known bool) {
	got := c.Read(c.m.subjectOf(h.term.kind, x), h.term)
	if got.Needs != nil {
		return v, false
	}
	return h.load(got.V), true
}

// Work gives the worked calculation of the term of a thing, nil if there is
// none.
func (h TermOf[T, V]) Work(c *Call, x *T) func(quantity.System) []string {
	return c.Read(c.m.subjectOf(h.term.kind, x), h.term).Work
}

// Analysis is a computation that several terms of a thing share, such as the
// layout of an array. It is kept as a term is, but rules do not see it.
type Analysis[T, V any] struct{ term *Term }

// Analyse declares an analysis of the things of a kind. As in Derive the
// function reads its inputs through the call. An analysis may know a part of
// its result where something is missing: see Try.
func Analyse[T, V any](k KindOf[T], what string, f func(c *Call, x *T) V) Analysis[T, V] {
	term := k.kind.hold(&Term{Name: what, shared: true})
	term.compute = func(c *Call, data any) any { return f(c, data.(*T)) }
	return Analysis[T, V]{term}
}

// Of gives the analysis of a thing; what it needs, the computation needs. The
// result is then what could be found out, which may be the zero value.
func (a Analysis[T, V]) Of(c *Call, x *T) V {
	v := c.Read(c.m.subjectOf(a.term.kind, x), a.term)
	c.take(v)
	return a.result(v)
}

// Try gives the analysis of a thing and what it needs, and leaves it to the
// computation what to make of that.
func (a Analysis[T, V]) Try(c *Call, x *T) (V, []Need) {
	v := c.Read(c.m.subjectOf(a.term.kind, x), a.term)
	c.Cite(v.Refs...)
	return a.result(v), v.Needs
}

// Known gives the analysis of a thing for a reader outside any computation.
func (a Analysis[T, V]) Known(m *Model, x *T) (V, []Need) {
	v := m.value(m.subjectOf(a.term.kind, x), a.term, nil)
	return a.result(v), v.Needs
}

func (a Analysis[T, V]) result(v *Value) V {
	out, _ := v.V.(V)
	return out
}

// AnalysisBy is an analysis that depends on a further key beside the thing.
type AnalysisBy[T any, K comparable, V any] struct {
	kind *Kind
	what string
	f    func(c *Call, x *T, key K) V
}

// memoKey is what an AnalysisBy is kept under.
type memoKey[K comparable] struct {
	subject *Subject
	what    string
	key     K
}

// AnalyseBy declares an analysis by a further key.
func AnalyseBy[T any, K comparable, V any](k KindOf[T], what string, f func(c *Call, x *T, key K) V) AnalysisBy[T, K, V] {
	return AnalysisBy[T, K, V]{k.kind, what, f}
}

// Of is as for an Analysis.
func (a AnalysisBy[T, K, V]) Of(c *Call, x *T, key K) V {
	v := a.value(c, x, key)
	c.take(v)
	out, _ := v.V.(V)
	return out
}

// Try computes without needing it, and gives what is missing.
func (a AnalysisBy[T, K, V]) Try(c *Call, x *T, key K) (V, []Need) {
	v := a.value(c, x, key)
	out, _ := v.V.(V)
	return out, v.Needs
}

func (a AnalysisBy[T, K, V]) value(c *Call, x *T, key K) *Value {
	s := c.m.subjectOf(a.kind, x)
	v := c.m.memo(memoKey[K]{s, a.what, key}, s, a.what, key, c, func(c *Call) any { return a.f(c, x, key) })
	c.note(v)
	return v
}
