package codebook

import (
	"strings"

	"cel.dev/cel-go/cel"
	"cel.dev/cel-go/common/ast"
	"cel.dev/cel-go/common/types"

	"plumbrule/internal/quantity"
	"plumbrule/internal/source"
	"plumbrule/internal/terms"
)

// kindAt is the kind of thing that a part of a checked expression gives, or
// nil.
func kindAt(tree *cel.Ast, e ast.Expr) *terms.Kind {
	t := tree.NativeRep().GetType(e.ID())
	if t == nil {
		return nil
	}
	name, _ := strings.CutPrefix(t.TypeName(), "thing.")
	return terms.KindByName(name)
}

// termsIn lists the terms that a checked expression reads.
func (v *Vocabulary) termsIn(tree *cel.Ast) (out []*terms.Term) {
	if tree == nil {
		return nil
	}
	ast.PostOrderVisit(tree.NativeRep().Expr(), ast.NewExprVisitor(func(e ast.Expr) {
		if e.Kind() != ast.SelectKind {
			return
		}
		s := e.AsSelect()
		if k := kindAt(tree, s.Operand()); k != nil {
			if t := v.Term(k, s.FieldName()); t != nil {
				out = append(out, t)
			}
		}
	}))
	return out
}

// statedOf refuses stated() of what a job cannot state.
func (l *loader) statedOf(key string, from int, text string, tree *cel.Ast) {
	info := tree.NativeRep().SourceInfo()
	ast.PostOrderVisit(tree.NativeRep().Expr(), ast.NewExprVisitor(func(e ast.Expr) {
		if e.Kind() != ast.CallKind || e.AsCall().FunctionName() != statedName {
			return
		}
		a := e.AsCall().Args()
		k := kindAt(tree, a[0])
		if k == nil {
			return
		}
		name := string(a[1].AsLiteral().(types.String))
		t := l.words.Term(k, name)
		if t != nil && t.Given && t.Type.Thing != k.Name+"_"+name { // a table inside a thing is no value
			return
		}
		where := info.GetStartLocation(a[0].ID())
		fault := source.Fault{Path: source.DataPath(l.path(key)), At: l.inside(key, from+offset(text, where.Line(), where.Column())), Message: "stated asks about a value that the job file gives: " + k.Name + " has no such value \"" + name + "\""}
		var words []string
		for _, t := range k.Terms() {
			if t.Given {
				words = append(words, t.Name)
			}
		}
		fault.Nearest, _ = quantity.Nearest(name, words)
		l.faults = append(l.faults, fault)
	}))
}
