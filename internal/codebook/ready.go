package codebook

import (
	_ "embed"
	"slices"
	"strings"
	"sync"

	"cel.dev/cel-go/common/ast"
	"cel.dev/cel-go/common/types"
	"cel.dev/cel-go/common/types/ref"

	"plumbrule/internal/packed"
	"plumbrule/internal/source"
	"plumbrule/internal/terms"
)

// What is ready made. A start of the program reads none of the rule files: what
// they say stands in ready.bin, and so do their expressions as the type checker
// leaves them. A test writes that file (go generate) and holds it to the rules.
//
// Neither part is used where it would not say what the rules say: the files by a
// hash of them all, an expression by its text and by a fingerprint of what
// expressions may speak of. What is not ready is read and compiled, which takes
// longer and gives the same.

//go:generate go test -count=1 . -run TestReady$ -update

//go:embed ready.bin
var readyData string

// ready is ready.bin: each part packed for itself, so that one is read without
// the other.
type ready struct {
	Hash        string // of the files that the rules were read from
	Checks      int    // how many there are
	Rules       string // readyRules
	Expressions string // readyExpressions
}

// readyRules are the rule files without their examples.
type readyRules struct {
	Terms  []readyTerm
	Checks []readyCheck
}

type readyTerm struct {
	Name string
	Is   definitionFile
}

type readyCheck struct {
	Name string
	Is   ruleFile
}

// readyExpressions are expressions with what the checker found of them.
type readyExpressions struct {
	Language uint64     // fingerprint of what they may speak of
	Names    []string   // of functions, variables and terms
	Types    []string   // as typeOfForm reads them
	Refs     [][]string // an identifier's name, or what a function's name stands for after a leading ""
	Texts    []string   // as written, sorted
	Trees    []string   // of each, as treeReader reads it
}

var readyParts = sync.OnceValues(func() (ready, error) { return packed.Decode[ready](readyData) })

// readyFor gives the rules ready made, where they are those with that hash.
func readyFor(hash string) *readyRules {
	parts, err := readyParts()
	if err != nil || parts.Hash != hash {
		return nil
	}
	r, err := packed.Decode[readyRules](parts.Rules)
	if err != nil {
		return nil
	}
	return &r
}

// files are those that the ready rules stand for, without their texts.
func (r *readyRules) files() (added, checks []*source.File) {
	for i := range r.Terms {
		added = append(added, source.NewFile(r.Terms[i].Name, nil))
	}
	for i := range r.Checks {
		checks = append(checks, source.NewFile(r.Checks[i].Name, nil))
	}
	return added, checks
}

// trees gives expressions ready made.
type trees struct {
	readyExpressions
	types []*types.Type
	refs  []*ast.ReferenceInfo
}

// readyTrees are all trees, for the one language that they are of.
var readyTrees = sync.OnceValue(func() *trees {
	parts, err := readyParts()
	if err != nil {
		return nil
	}
	of, err := packed.Decode[readyExpressions](parts.Expressions)
	if err != nil || len(of.Trees) != len(of.Texts) {
		return nil
	}
	t := &trees{readyExpressions: of, types: make([]*types.Type, len(of.Types)), refs: make([]*ast.ReferenceInfo, len(of.Refs))}
	for i, form := range of.Types {
		if t.types[i] = typeOfForm(form); t.types[i] == nil {
			return nil
		}
	}
	for i, names := range of.Refs {
		if names[0] == "" {
			t.refs[i] = ast.NewFunctionReference(names[1:]...)
		} else {
			t.refs[i] = ast.NewIdentReference(names[0], nil)
		}
	}
	return t
})

// of gives the tree of an expression, or nil where it is not ready.
func (t *trees) of(text string) *ast.AST {
	i, found := slices.BinarySearch(t.Texts, text)
	if !found {
		return nil
	}
	r := treeReader{Reader: packed.Reader{Rest: t.Trees[i]}, trees: t}
	r.typed, r.referred = make(map[int64]*types.Type, r.Count()), make(map[int64]*ast.ReferenceInfo, r.Count())
	root := r.expr()
	if r.Failed || r.Rest != "" {
		return nil
	}
	return ast.NewCheckedAST(ast.NewAST(root, noSource), r.typed, r.referred)
}

// noSource is where a ready tree was written: places in it are asked of a tree
// that was compiled.
var noSource = ast.NewSourceInfo(nil)

var factory = ast.NewExprFactory()

// treeReader reads one tree: how many types and references it has, and its root.
// Each node is its kind, its id, its type where planning asks for it, what it refers
// to, and its parts. The writer stands in the tests.
type treeReader struct {
	packed.Reader
	*trees
	typed    map[int64]*types.Type
	referred map[int64]*ast.ReferenceInfo
}

// Kinds of literals.
const (
	literalNull = iota
	literalFlag
	literalCount
	literalNumber
	literalText
)

func (r *treeReader) name() string { return pick(r, r.Names) }

// pick reads the number of an entry.
func pick[T any](r *treeReader, from []T) (of T) {
	i := r.Count()
	if i < 0 || i >= len(from) {
		r.Failed, r.Rest = true, ""
		return of
	}
	return from[i]
}

func (r *treeReader) expr() ast.Expr {
	kind, id := ast.ExprKind(r.Count()), int64(r.Count())
	if r.Failed {
		return nil
	}
	if r.Count() != 0 {
		r.typed[id] = pick(r, r.types)
	}
	if r.Count() != 0 {
		r.referred[id] = pick(r, r.refs)
	}
	switch kind {
	case ast.LiteralKind:
		return factory.NewLiteral(id, r.literal())
	case ast.IdentKind:
		return factory.NewIdent(id, r.name())
	case ast.SelectKind:
		field := r.name()
		return factory.NewSelect(id, r.expr(), field)
	case ast.CallKind:
		function := r.name()
		var of ast.Expr
		member := r.Count() != 0
		if member {
			of = r.expr()
		}
		args := r.exprs()
		if member {
			return factory.NewMemberCall(id, function, of, args...)
		}
		return factory.NewCall(id, function, args...)
	case ast.ListKind:
		return factory.NewList(id, r.exprs(), nil)
	case ast.ComprehensionKind:
		one, accu := r.name(), r.name()
		p := r.exprs()
		if len(p) != 5 {
			r.Failed, r.Rest = true, ""
			return nil
		}
		return factory.NewComprehension(id, p[0], one, accu, p[1], p[2], p[3], p[4])
	}
	r.Failed, r.Rest = true, ""
	return nil
}

func (r *treeReader) exprs() []ast.Expr {
	n := r.Count()
	if n < 0 || n > len(r.Rest) {
		r.Failed, r.Rest = true, ""
		return nil
	}
	out := make([]ast.Expr, n)
	for i := range out {
		out[i] = r.expr()
	}
	return out
}

func (r *treeReader) literal() ref.Val {
	switch r.Count() {
	case literalNull:
		return types.NullValue
	case literalFlag:
		return types.Bool(r.Count() != 0)
	case literalCount:
		return types.Int(r.Whole())
	case literalNumber:
		return types.Double(r.Number())
	case literalText:
		return types.String(r.Text())
	}
	r.Failed, r.Rest = true, ""
	return types.NullValue
}

// A type is kept as a text: its name, or formOfList before that of its entries.
const formOfList = "list of "

// typeOfForm is the type of a form, or nil.
func typeOfForm(form string) *types.Type {
	if of, ok := strings.CutPrefix(form, formOfList); ok {
		if t := typeOfForm(of); t != nil {
			return types.NewListType(t)
		}
		return nil
	}
	if kind, ok := strings.CutPrefix(form, "thing."); ok {
		return kindTypes()[kind]
	}
	return plainTypes()[form]
}

// plainTypes are the types that are no things and no lists, by their names.
var plainTypes = sync.OnceValue(func() map[string]*types.Type {
	out := map[string]*types.Type{}
	for _, t := range []*types.Type{types.BoolType, types.IntType, types.DoubleType, types.StringType, types.NullType, types.DynType, types.ErrorType, sizeType} {
		out[t.TypeName()] = t
	}
	for _, t := range dimensionTypes {
		out[t.TypeName()] = t
	}
	return out
})

// fingerprint is of what expressions may speak of: the kinds and terms with their
// types, and the functions with their forms. It does not depend on the order in
// which they are found.
func (v *Vocabulary) fingerprint() (sum uint64) {
	add := func(words ...string) {
		h := uint64(14695981039346656037) // FNV-1a
		for _, w := range words {
			for i := range len(w) {
				h = (h ^ uint64(w[i])) * 1099511628211
			}
			h = (h ^ 0xFF) * 1099511628211
		}
		sum += h
	}
	for _, k := range terms.Kinds() {
		add("kind", k.Name, k.Plural)
		for _, t := range v.Terms(k) {
			add(k.Name, t.Name, t.Type.String())
		}
	}
	for name, f := range v.env.Functions() {
		for _, o := range f.OverloadDecls() {
			add(name, o.ID(), o.ResultType().TypeName())
		}
	}
	return sum
}
