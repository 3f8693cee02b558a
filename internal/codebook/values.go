package codebook

import (
	"fmt"
	"math"
	"reflect"

	"cel.dev/cel-go/common/types"
	"cel.dev/cel-go/common/types/ref"
	"cel.dev/cel-go/common/types/traits"

	"plumbrule/internal/quantity"
	"plumbrule/internal/terms"
)

// dimensionTypes holds one CEL type for each dimension, so that adding volts
// to amps is an error when a rule is loaded.
var dimensionTypes = func() map[quantity.Dimension]*types.Type {
	m := map[quantity.Dimension]*types.Type{}
	for _, d := range quantity.Dimensions() {
		m[d] = types.NewObjectType("quantity."+d.String(), traits.ComparerType)
	}
	return m
}()

// sizeType is the CEL type of conductor sizes, which have an order and no
// arithmetic.
var sizeType = types.NewObjectType("conductor.size", traits.ComparerType)

// measure is a dimensioned value inside an expression.
type measure struct {
	si   float64
	dim  quantity.Dimension
	unit string // as written, for printing; "" once computed with
}

func (m measure) Type() ref.Type { return dimensionTypes[m.dim] }
func (m measure) Value() any     { return m }
func (m measure) Equal(o ref.Val) ref.Val {
	other, ok := o.(measure)
	return types.Bool(ok && other.dim == m.dim && quantity.Near(m.si, other.si))
}
func (m measure) ConvertToNative(t reflect.Type) (any, error) {
	return nil, fmt.Errorf("a %s has no native form %v", m.dim, t)
}
func (m measure) ConvertToType(t ref.Type) ref.Val {
	return types.NewErr("a %s cannot be turned into %s", m.dim, t.TypeName())
}

// wire is a conductor size inside an expression.
type wire quantity.Size

func (w wire) Type() ref.Type          { return sizeType }
func (w wire) Value() any              { return quantity.Size(w) }
func (w wire) Equal(o ref.Val) ref.Val { other, ok := o.(wire); return types.Bool(ok && other == w) }
func (w wire) ConvertToNative(t reflect.Type) (any, error) {
	return nil, fmt.Errorf("a conductor size has no native form %v", t)
}
func (w wire) ConvertToType(t ref.Type) ref.Val {
	return types.NewErr("a conductor size cannot be turned into %s", t.TypeName())
}

// thing is a subject inside an expression. Every read of a term goes through
// it, so that an evaluation knows what it read and what was missing.
type thing struct {
	subject *terms.Subject
	run     *run
	typ     *types.Type
}

func (t *thing) Type() ref.Type { return t.typ }
func (t *thing) Value() any     { return t }
func (t *thing) Equal(o ref.Val) ref.Val {
	other, ok := o.(*thing)
	t.run.aside = t.run.aside || t.subject == t.run.about
	return types.Bool(ok && other.subject == t.subject)
}
func (t *thing) ConvertToNative(rt reflect.Type) (any, error) {
	return nil, fmt.Errorf("a %s has no native form %v", t.subject.Kind.Name, rt)
}
func (t *thing) ConvertToType(rt ref.Type) ref.Val {
	return types.NewErr("a %s cannot be turned into %s", t.subject.Kind.Name, rt.TypeName())
}

// Get reads a term. A missing one is CEL's unknown, never a zero: it spreads
// through arithmetic, and logic still answers where the answer is the same
// whatever the missing value.
func (t *thing) Get(index ref.Val) ref.Val {
	name := string(index.(types.String))
	term := t.run.words.Term(t.subject.Kind, name)
	if term == nil {
		return types.NewErr("%s has no term %q", t.subject.Kind.Name, name)
	}
	return t.read(term)
}

// read is Get of a term that was found when the expression was compiled.
func (t *thing) read(term *terms.Term) ref.Val {
	return t.run.value(t.subject, term, t.run.call.Read(t.subject, term))
}

// value turns a term's value into CEL's.
func (r *run) value(s *terms.Subject, term *terms.Term, v *terms.Value) ref.Val {
	id := r.note(Read{s, term, v, false})
	r.aside = r.aside || term.Type.Thing == r.about.Kind.Name
	if len(v.Needs) > 0 {
		return types.NewUnknown(id, nil)
	}
	switch term.Type.Kind {
	case terms.Measured:
		return measure{v.V.(float64), term.Type.Dim, v.Unit}
	case terms.Number:
		return types.Double(v.V.(float64))
	case terms.Count:
		return types.Int(v.V.(int))
	case terms.Flag:
		return types.Bool(v.V.(bool))
	case terms.Text:
		return types.String(v.V.(string))
	case terms.Texts:
		return types.NewStringList(types.DefaultTypeAdapter, v.V.([]string))
	case terms.Size:
		return wire(v.V.(quantity.Size))
	case terms.Thing:
		return r.thing(v.V.(*terms.Subject))
	default:
		return r.things(v.V.([]*terms.Subject))
	}
}

func (r *run) thing(s *terms.Subject) ref.Val { return &thing{s, r, kindType(s.Kind.Name)} }

func (r *run) things(list []*terms.Subject) ref.Val {
	r.listed += len(list)
	out := make([]ref.Val, len(list))
	for i, s := range list {
		out[i] = r.thing(s)
	}
	return types.NewRefValList(types.DefaultTypeAdapter, out)
}

// arithmetic works the operators + - * / on quantities, plain numbers and
// both. A result that is not finite is an error: it must not pass a limit.
func arithmetic(op byte, a, b ref.Val) ref.Val {
	x, xm := number(a)
	y, ym := number(b)
	if !xm.ok || !ym.ok {
		return types.MaybeNoSuchOverloadErr(b)
	}
	var si float64
	var dim quantity.Dimension
	ok := true
	switch op {
	case '+':
		si = x + y
		dim, ok = quantity.Sum(xm.dim, ym.dim)
	case '-':
		si = x - y
		dim, ok = quantity.Difference(xm.dim, ym.dim)
	case '*':
		si = x * y
		dim, ok = quantity.Product(xm.dim, ym.dim)
	case '/':
		if y == 0 {
			return types.NewErr("division by zero")
		}
		si = x / y
		dim, ok = quantity.Quotient(xm.dim, ym.dim)
	}
	if !ok {
		return types.NewErr("no such overload: %s %c %s", xm.dim, op, ym.dim)
	}
	if math.IsInf(si, 0) || math.IsNaN(si) {
		return types.NewErr("the result of %c is not finite", op)
	}
	if xm.plain && ym.plain {
		return types.Double(si)
	}
	return measure{si: si, dim: dim}
}

// form says what an operand of arithmetic is.
type form struct {
	ok, plain bool
	dim       quantity.Dimension
}

func number(v ref.Val) (float64, form) {
	switch v := v.(type) {
	case measure:
		return v.si, form{ok: true, dim: v.dim}
	case types.Double:
		return float64(v), form{ok: true, plain: true}
	case types.Int:
		return float64(v), form{ok: true, plain: true}
	}
	return 0, form{}
}

// compare orders two quantities or plain numbers: -1, 0 or 1. Values within
// the relative tolerance of package quantity are equal, so that a demand that
// meets its limit on paper meets it here.
func compare(a, b ref.Val) (int, bool) {
	if x, ok := a.(wire); ok {
		y, ok := b.(wire)
		return quantity.Size(x).Compare(quantity.Size(y)), ok
	}
	x, xm := number(a)
	y, ym := number(b)
	if !xm.ok || !ym.ok || xm.dim != ym.dim || math.IsNaN(x) || math.IsNaN(y) {
		return 0, false
	}
	switch {
	case quantity.Near(x, y):
		return 0, true
	case x < y:
		return -1, true
	}
	return 1, true
}
