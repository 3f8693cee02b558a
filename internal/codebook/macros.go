package codebook

import (
	"fmt"

	"cel.dev/cel-go/cel"
	"cel.dev/cel-go/common/ast"
	"cel.dev/cel-go/common/decls"
	"cel.dev/cel-go/common/operators"
	"cel.dev/cel-go/common/types"
	"cel.dev/cel-go/common/types/ref"
	"cel.dev/cel-go/common/types/traits"
	"cel.dev/cel-go/parser"

	"plumbrule/internal/quantity"
	"plumbrule/internal/terms"
)

// What the language has beyond CEL's own: constants with units (see env.go),
// whether a value is stated, and sums over lists.
//
//	stated(circuit.stated.voltage)     whether the job states the value; never unknown for want of it
//	strings.sum(s, s.power)            the sum of a quantity, number or count over a list; of nothing, zero
//	strings.count(s, s.has_fuse)       how many of a list there are for which a condition holds
//	strings.max(s, s.modules)          the largest over a list, and min the smallest; of nothing, an error
//	max(a, b), min(a, b), abs(a)

// statedName is the function that stated() becomes: of a thing and the name of
// one of its terms.
const statedName = "@stated"

var statedMacro = cel.GlobalMacro("stated", 1, func(h cel.MacroExprFactory, _ ast.Expr, a []ast.Expr) (ast.Expr, *cel.Error) {
	if a[0].Kind() != ast.SelectKind {
		return nil, h.NewError(a[0].ID(), "stated takes a value of a thing, such as stated(circuit.length)")
	}
	s := a[0].AsSelect()
	return h.NewCall(statedName, s.Operand(), h.NewLiteral(types.String(s.FieldName()))), nil
})

// hasMacro refuses CEL's own test of presence: every term of a thing is there,
// and whether it is known or stated are other questions.
var hasMacro = cel.GlobalMacro("has", 1, func(h cel.MacroExprFactory, _ ast.Expr, a []ast.Expr) (ast.Expr, *cel.Error) {
	return nil, h.NewError(a[0].ID(), "has does not ask anything here; stated(...) asks whether the job states a value")
})

// listMacro makes list.name(x, e) a function of the list of all e.
func listMacro(name string) cel.Macro {
	return cel.ReceiverMacro(name, 2, func(h cel.MacroExprFactory, list ast.Expr, a []ast.Expr) (ast.Expr, *cel.Error) {
		mapped, err := parser.MakeMap(h, list, a)
		if err != nil {
			return nil, err
		}
		return h.NewCall("@"+name, mapped), nil
	})
}

var countMacro = cel.ReceiverMacro("count", 2, func(h cel.MacroExprFactory, list ast.Expr, a []ast.Expr) (ast.Expr, *cel.Error) {
	kept, err := parser.MakeFilter(h, list, a)
	if err != nil {
		return nil, err
	}
	return h.NewCall("size", kept), nil
})

// macros are all macros of the language: CEL's own but for has, and ours.
func macros() []cel.Macro {
	out := []cel.Macro{quantityMacro, sizeMacro, statedMacro, hasMacro, countMacro, listMacro("sum"), listMacro("max"), listMacro("min")}
	for _, m := range cel.StandardMacros {
		if m.Function() != operators.Has {
			out = append(out, m)
		}
	}
	return out
}

// listFunctions are what the macros over lists become.
func listFunctions() []*decls.FunctionDecl {
	var sums, most, least []decls.FunctionOpt
	for _, t := range orderedTypes() {
		list := types.NewListType(t)
		zero := zeroOf(t)
		if t.TypeName() != dimensionTypes[quantity.Temperature].TypeName() { // points on a scale have no sum
			sums = append(sums, decls.Overload("sum_"+t.TypeName(), args(list), t, decls.UnaryBinding(func(v ref.Val) ref.Val {
				return fold(v, zero, func(a, b ref.Val) ref.Val { return add(a, b) })
			})))
		}
		most = append(most, decls.Overload("max_list_"+t.TypeName(), args(list), t, decls.UnaryBinding(func(v ref.Val) ref.Val { return fold(v, nil, larger(1)) })))
		least = append(least, decls.Overload("min_list_"+t.TypeName(), args(list), t, decls.UnaryBinding(func(v ref.Val) ref.Val { return fold(v, nil, larger(-1)) })))
	}
	var stated []decls.FunctionOpt
	for _, k := range terms.Kinds() {
		stated = append(stated, decls.Overload("stated_"+k.Name, args(kindType(k.Name), types.StringType), types.BoolType, decls.BinaryBinding(isStated)))
	}
	return []*decls.FunctionDecl{function("@sum", sums...), function("@max", most...), function("@min", least...), function(statedName, stated...)}
}

func function(name string, opts ...decls.FunctionOpt) *decls.FunctionDecl {
	f, err := decls.NewFunction(name, opts...)
	if err != nil {
		panic(fmt.Sprintf("codebook: %v", err)) // a defect of this package, seen by every test
	}
	return f
}

func zeroOf(t *types.Type) ref.Val {
	switch t.Kind() {
	case types.DoubleKind:
		return types.Double(0)
	case types.IntKind:
		return types.IntZero
	}
	for d, of := range dimensionTypes {
		if of.TypeName() == t.TypeName() {
			return measure{dim: d}
		}
	}
	return nil
}

// fold takes the values of a list together, from a start or from the first.
func fold(v, start ref.Val, f func(a, b ref.Val) ref.Val) ref.Val {
	list, ok := v.(traits.Lister)
	if !ok {
		return types.MaybeNoSuchOverloadErr(v)
	}
	out := start
	for it := list.Iterator(); it.HasNext() == types.True; {
		if x := it.Next(); out == nil {
			out = x
		} else {
			out = f(out, x)
		}
	}
	if out == nil {
		return types.NewErr("the list is empty: there is no largest or smallest")
	}
	return out
}

// larger picks the larger of two values for sign 1, the smaller for -1.
func larger(sign int) func(a, b ref.Val) ref.Val {
	return func(a, b ref.Val) ref.Val {
		c, ok := compare(a, b)
		switch {
		case !ok:
			return types.MaybeNoSuchOverloadErr(b)
		case c*sign >= 0:
			return a
		}
		return b
	}
}

// isStated asks whether the job states a given term of a thing.
func isStated(of, name ref.Val) ref.Val {
	t, ok := of.(*thing)
	if !ok {
		return types.MaybeNoSuchOverloadErr(of)
	}
	term := t.run.words.Term(t.subject.Kind, string(name.(types.String)))
	if term == nil || !term.Given {
		return types.NewErr("%s has no given value %q", t.subject.Kind.Name, name)
	}
	v := t.run.call.Read(t.subject, term)
	if t.subject.Unknown() {
		return types.NewUnknown(t.run.note(Read{Subject: t.subject, Term: term, Value: v, asked: true}), nil)
	}
	t.run.note(Read{t.subject, term, &terms.Value{V: v.Stated, At: v.At}, true})
	return types.Bool(v.Stated)
}
