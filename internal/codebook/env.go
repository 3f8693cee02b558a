package codebook

import (
	"strings"
	"sync"

	"cel.dev/cel-go/cel"
	"cel.dev/cel-go/common/ast"
	"cel.dev/cel-go/common/decls"
	"cel.dev/cel-go/common/operators"
	"cel.dev/cel-go/common/stdlib"
	"cel.dev/cel-go/common/types"
	"cel.dev/cel-go/common/types/ref"

	"plumbrule/internal/bound"
	"plumbrule/internal/quantity"
	"plumbrule/internal/terms"
)

// kindTypes holds the CEL object type of each kind of thing.
var kindTypes = sync.OnceValue(func() map[string]*types.Type {
	out := map[string]*types.Type{}
	for _, k := range terms.Kinds() {
		out[k.Name] = types.NewObjectType("thing." + k.Name)
	}
	return out
})

func kindType(kind string) *types.Type {
	if t := kindTypes()[kind]; t != nil {
		return t
	}
	return types.NewObjectType("thing." + kind)
}

func celType(t terms.Type) *types.Type {
	switch t.Kind {
	case terms.Measured:
		return dimensionTypes[t.Dim]
	case terms.Number:
		return types.DoubleType
	case terms.Count:
		return types.IntType
	case terms.Flag:
		return types.BoolType
	case terms.Text:
		return types.StringType
	case terms.Texts:
		return types.NewListType(types.StringType)
	case terms.Size:
		return sizeType
	case terms.Thing:
		return kindType(t.Thing)
	default:
		return types.NewListType(kindType(t.Thing))
	}
}

// provider answers the type checker's questions about things and their terms.
type provider struct {
	types.Provider
	words *Vocabulary
}

func (p provider) FindStructType(name string) (*types.Type, bool) {
	if kind, ok := strings.CutPrefix(name, "thing."); ok && terms.KindByName(kind) != nil {
		return types.NewTypeTypeWithParam(kindType(kind)), true
	}
	return p.Provider.FindStructType(name)
}

func (p provider) FindStructFieldType(name, field string) (*types.FieldType, bool) {
	kind := terms.KindByName(strings.TrimPrefix(name, "thing."))
	if kind == nil {
		return nil, false
	}
	t := p.words.Term(kind, field)
	if t == nil {
		return nil, false
	}
	return &types.FieldType{
		Type:  celType(t.Type),
		IsSet: func(any) bool { return true }, // every term of a thing is there
		GetFrom: func(of any) (any, error) {
			if of, ok := of.(*thing); ok {
				return of.read(t), nil
			}
			return of, nil // not known, or an error: so is every term of it
		},
	}, true
}

// newEnv makes the one environment that every expression is checked in. It is
// CEL's standard one with two changes: the type name "string" is left out,
// because a string is a set of modules in series here, and the operators know
// dimensions and compare with a tolerance.
func newEnv(words *Vocabulary) (*cel.Env, error) {
	registry, err := types.NewRegistry()
	if err != nil {
		return nil, err
	}
	options := []cel.EnvOption{
		cel.CustomTypeProvider(provider{registry, words}),
		cel.CustomTypeAdapter(types.DefaultTypeAdapter),
		cel.Macros(macros()...),
		cel.ExpressionNestingDepthLimit(64),
		cel.ParserExpressionSizeLimit(bound.Expression),
	}
	var functions []*decls.FunctionDecl
	for _, f := range stdlib.Functions() {
		if f.Name() == operators.Negate {
			continue // unary: declared by negation
		}
		op, ok := dimensional[f.Name()]
		if !ok {
			functions = append(functions, f)
			continue
		}
		opts := []decls.FunctionOpt{decls.SingletonBinaryBinding(op.bind)}
		for _, o := range f.OverloadDecls() {
			if keep(o) {
				opts = append(opts, decls.Overload(o.ID(), o.ArgTypes(), o.ResultType()))
			}
		}
		g, err := decls.NewFunction(f.Name(), append(opts, op.overloads()...)...)
		if err != nil {
			return nil, err
		}
		functions = append(functions, g)
	}
	negate, err := negation()
	if err != nil {
		return nil, err
	}
	functions = append(functions, negate)
	options = append(options, cel.FunctionDecls(functions...), cel.FunctionDecls(constants()...), cel.FunctionDecls(listFunctions()...), cel.FunctionDecls(listingFunctions()...))
	for _, k := range terms.Kinds() {
		options = append(options, cel.Variable(k.Name, kindType(k.Name)))
		if k.Plural != "" {
			options = append(options, cel.Variable(k.Plural, types.NewListType(kindType(k.Name))))
		}
	}
	return cel.NewCustomEnv(options...)
}

// keep drops the standard overloads that dimensional operators cannot serve:
// they work on plain numbers, text and lists.
func keep(o *decls.OverloadDecl) bool {
	for _, a := range o.ArgTypes() {
		switch a.Kind() {
		case types.DoubleKind, types.IntKind, types.StringKind, types.ListKind, types.TypeParamKind:
		default:
			return false
		}
	}
	return true
}

// operator is one binary operator that knows dimensions.
type operator struct {
	bind      func(a, b ref.Val) ref.Val
	overloads func() []decls.FunctionOpt
}

var dimensional = map[string]operator{
	operators.Add:      {func(a, b ref.Val) ref.Val { return add(a, b) }, func() []decls.FunctionOpt { return pairs("add", quantity.Sum) }},
	operators.Subtract: {binding('-'), func() []decls.FunctionOpt { return pairs("subtract", quantity.Difference) }},
	operators.Multiply: {binding('*'), func() []decls.FunctionOpt {
		return append(pairs("multiply", quantity.Product), scaled("multiply", true)...)
	}},
	operators.Divide: {binding('/'), func() []decls.FunctionOpt {
		return append(pairs("divide", quantity.Quotient), scaled("divide", false)...)
	}},
	operators.Less:          ordering("less", func(c int) bool { return c < 0 }),
	operators.LessEquals:    ordering("less_equals", func(c int) bool { return c <= 0 }),
	operators.Greater:       ordering("greater", func(c int) bool { return c > 0 }),
	operators.GreaterEquals: ordering("greater_equals", func(c int) bool { return c >= 0 }),
}

// add also joins text and lists, as CEL's own operator does.
func add(a, b ref.Val) ref.Val {
	switch x := a.(type) {
	case types.String:
		return x.Add(b)
	case interface{ Add(ref.Val) ref.Val }:
		if _, isNumber := number(a); !isNumber.ok {
			return x.Add(b)
		}
	}
	return integerOr('+', a, b)
}

func binding(op byte) func(a, b ref.Val) ref.Val {
	return func(a, b ref.Val) ref.Val { return integerOr(op, a, b) }
}

// integerOr keeps counts whole: two counts give a count with CEL's own
// overflow and division rules.
func integerOr(op byte, a, b ref.Val) ref.Val {
	x, xok := a.(types.Int)
	_, yok := b.(types.Int)
	if !xok || !yok {
		return arithmetic(op, a, b)
	}
	switch op {
	case '+':
		return x.Add(b)
	case '-':
		return x.Subtract(b)
	case '*':
		return x.Multiply(b)
	default:
		return x.Divide(b)
	}
}

func ordering(name string, holds func(int) bool) operator {
	return operator{
		bind: func(a, b ref.Val) ref.Val {
			if x, ok := a.(types.String); ok {
				c, ok := x.Compare(b).(types.Int)
				if !ok {
					return types.MaybeNoSuchOverloadErr(b)
				}
				return types.Bool(holds(int(c)))
			}
			c, ok := compare(a, b)
			if !ok {
				return types.MaybeNoSuchOverloadErr(b)
			}
			return types.Bool(holds(c))
		},
		overloads: func() []decls.FunctionOpt {
			out := []decls.FunctionOpt{decls.Overload(name+"_size", args(sizeType, sizeType), types.BoolType),
				decls.Overload(name+"_ratio_double", args(dimensionTypes[quantity.Ratio], types.DoubleType), types.BoolType),
				decls.Overload(name+"_double_ratio", args(types.DoubleType, dimensionTypes[quantity.Ratio]), types.BoolType)}
			for _, d := range quantity.Dimensions() {
				out = append(out, decls.Overload(name+"_"+word(d), args(dimensionTypes[d], dimensionTypes[d]), types.BoolType))
			}
			return out
		},
	}
}

func args(t ...*types.Type) []*types.Type { return t }

func word(d quantity.Dimension) string { return strings.ReplaceAll(d.String(), " ", "_") }

// pairs declares an operator for each pair of dimensions that it makes sense
// for; any other pair is an error when a rule is loaded.
func pairs(name string, result func(a, b quantity.Dimension) (quantity.Dimension, bool)) (out []decls.FunctionOpt) {
	for _, a := range quantity.Dimensions() {
		for _, b := range quantity.Dimensions() {
			if d, ok := result(a, b); ok {
				out = append(out, decls.Overload(name+"_"+word(a)+"_"+word(b), args(dimensionTypes[a], dimensionTypes[b]), dimensionTypes[d]))
			}
		}
	}
	return out
}

// scaled lets plain numbers and counts scale quantities.
func scaled(name string, bothWays bool) (out []decls.FunctionOpt) {
	for _, plain := range []*types.Type{types.DoubleType, types.IntType} {
		for _, d := range quantity.Dimensions() {
			t := dimensionTypes[d]
			if d == quantity.Temperature {
				continue // a point on a scale cannot be scaled
			}
			out = append(out, decls.Overload(name+"_"+word(d)+"_"+plain.String(), args(t, plain), t))
			if bothWays {
				out = append(out, decls.Overload(name+"_"+plain.String()+"_"+word(d), args(plain, t), t))
			}
		}
	}
	out = append(out, decls.Overload(name+"_count_number", args(types.IntType, types.DoubleType), types.DoubleType),
		decls.Overload(name+"_number_count", args(types.DoubleType, types.IntType), types.DoubleType))
	return out
}

func negation() (*decls.FunctionDecl, error) {
	opts := []decls.FunctionOpt{
		decls.Overload("negate_number", args(types.DoubleType), types.DoubleType),
		decls.Overload("negate_count", args(types.IntType), types.IntType),
		decls.SingletonUnaryBinding(func(v ref.Val) ref.Val {
			switch v := v.(type) {
			case measure:
				return measure{si: -v.si, dim: v.dim}
			case types.Double:
				return v.Negate()
			case types.Int:
				return v.Negate()
			}
			return types.MaybeNoSuchOverloadErr(v)
		}),
	}
	for _, d := range quantity.Dimensions() {
		if d == quantity.Temperature {
			continue // -q("1 degF") would be another point than q("-1 degF")
		}
		opts = append(opts, decls.Overload("negate_"+word(d), args(dimensionTypes[d]), dimensionTypes[d]))
	}
	return decls.NewFunction(operators.Negate, opts...)
}

// Constants. q("36 in") is read when a rule is loaded and expands to a call
// that carries the dimension in its name, so that the type checker sees a
// length and not a text.
var quantityMacro = cel.GlobalMacro("q", 1, func(h cel.MacroExprFactory, _ ast.Expr, a []ast.Expr) (ast.Expr, *cel.Error) {
	text, ok := literal(a[0])
	if !ok {
		return nil, h.NewError(a[0].ID(), `q takes a text such as q("36 in")`)
	}
	v, err := quantity.ParseAny(text)
	if err != nil {
		return nil, h.NewError(a[0].ID(), err.Error())
	}
	return h.NewCall(constantName(v.Dim), h.NewLiteral(types.Double(v.SI)), h.NewLiteral(types.String(v.Unit))), nil
})

var sizeMacro = cel.GlobalMacro("size_of", 1, func(h cel.MacroExprFactory, _ ast.Expr, a []ast.Expr) (ast.Expr, *cel.Error) {
	text, ok := literal(a[0])
	if !ok {
		return nil, h.NewError(a[0].ID(), `size_of takes a text such as size_of("10 AWG")`)
	}
	s, err := quantity.ParseSize(text)
	if err != nil {
		return nil, h.NewError(a[0].ID(), err.Error())
	}
	return h.NewCall("constant_size", h.NewLiteral(types.Int(s))), nil
})

func literal(e ast.Expr) (string, bool) {
	if e.Kind() != ast.LiteralKind {
		return "", false
	}
	s, ok := e.AsLiteral().(types.String)
	return string(s), ok
}

func constantName(d quantity.Dimension) string { return "constant_" + word(d) }

func constants() []*decls.FunctionDecl {
	var out []*decls.FunctionDecl
	add := func(name string, opts ...decls.FunctionOpt) { out = append(out, function(name, opts...)) }
	for _, d := range quantity.Dimensions() {
		add(constantName(d), decls.Overload(constantName(d)+"_overload", args(types.DoubleType, types.StringType), dimensionTypes[d],
			decls.BinaryBinding(func(si, unit ref.Val) ref.Val {
				return measure{float64(si.(types.Double)), d, string(unit.(types.String))}
			})))
	}
	add("constant_size", decls.Overload("constant_size_overload", args(types.IntType), sizeType,
		decls.UnaryBinding(func(v ref.Val) ref.Val { return wire(v.(types.Int)) })))
	for _, f := range []struct {
		name string
		sign int
	}{{"max", 1}, {"min", -1}} {
		opts := []decls.FunctionOpt{decls.SingletonBinaryBinding(larger(f.sign))}
		for _, t := range append(orderedTypes(), sizeType) {
			opts = append(opts, decls.Overload(f.name+"_"+t.TypeName(), args(t, t), t))
		}
		add(f.name, opts...)
	}
	opts := []decls.FunctionOpt{decls.SingletonUnaryBinding(func(v ref.Val) ref.Val {
		switch v := v.(type) {
		case measure:
			if v.si < 0 {
				return measure{si: -v.si, dim: v.dim}
			}
		case types.Double:
			if v < 0 {
				return -v
			}
		case types.Int:
			if v < 0 {
				return v.Negate()
			}
		}
		return v
	})}
	for _, t := range orderedTypes() {
		opts = append(opts, decls.Overload("abs_"+t.TypeName(), args(t), t))
	}
	add("abs", opts...)
	return out
}

func orderedTypes() []*types.Type {
	out := []*types.Type{types.DoubleType, types.IntType}
	for _, d := range quantity.Dimensions() {
		out = append(out, dimensionTypes[d])
	}
	return out
}
