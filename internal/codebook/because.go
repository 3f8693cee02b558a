package codebook

import (
	"fmt"
	"strings"

	"cel.dev/cel-go/cel"
	"cel.dev/cel-go/common/ast"
	"cel.dev/cel-go/common/operators"
	"cel.dev/cel-go/common/types"
	"cel.dev/cel-go/common/types/ref"
	"cel.dev/cel-go/interpreter"
	"cel.dev/cel-go/parser"

	"plumbrule/internal/quantity"
)

// Because says why the check does not apply to the subject: the parts of its
// condition that are false, with the values that they read, "building.dwelling
// is no; plane.slope is 9.46 deg, not above 10 deg". Parts that are not known
// to be false are not named. It is "" where the condition is not false.
//
// It evaluates the condition anew, so it costs nothing where nobody asks.
func (e *Evaluation) Because(sys quantity.System) string {
	if e.check.when == nil {
		return ""
	}
	x, err := e.check.when.traced()
	if err != nil {
		return ""
	}
	vars := activation{newRun(e.check.words, e.run.call.Model().Ask(e.subject, e.check.ID)), e.subject}
	_, details, _ := x.program.Eval(vars) // what failed is not known, and the other parts tell
	if details == nil || details.State() == nil {
		return ""
	}
	t := &teller{state: details.State(), info: x.ast.NativeRep().SourceInfo(), sys: sys}
	root := x.ast.NativeRep().Expr()
	if t.truth(root) != no {
		return ""
	}
	return t.tell(root, no)
}

// traced is an expression compiled so that the value of each of its parts can
// be asked for.
type traced struct {
	ast     *cel.Ast
	program cel.Program
}

func (x *expression) traced() (*traced, error) { return x.made.traced(x.text) }

// truth is what a condition, or a part of it, came to.
type truth uint8

const (
	unknown truth = iota
	no
	yes
)

func (t truth) not() truth {
	switch t {
	case yes:
		return no
	case no:
		return yes
	}
	return unknown
}

// teller puts an evaluated condition into words.
type teller struct {
	state interpreter.EvalState
	info  *ast.SourceInfo
	sys   quantity.System
}

func call(e ast.Expr) (name string, args []ast.Expr) {
	if e.Kind() != ast.CallKind {
		return "", nil
	}
	return e.AsCall().FunctionName(), e.AsCall().Args()
}

// truth gives what a condition came to. Logic is worked here from its parts, so
// that it holds whichever of them the evaluator needed.
func (t *teller) truth(e ast.Expr) truth {
	name, args := call(e)
	switch name {
	case operators.LogicalAnd:
		return t.all(args, yes)
	case operators.LogicalOr:
		return t.all(args, no)
	case operators.LogicalNot:
		return t.truth(args[0]).not()
	}
	switch t.value(e) {
	case types.True:
		return yes
	case types.False:
		return no
	}
	return unknown
}

// all is want where all parts are want, its opposite where one is that.
func (t *teller) all(parts []ast.Expr, want truth) truth {
	out := want
	for _, p := range parts {
		switch t.truth(p) {
		case want.not():
			return want.not()
		case unknown:
			out = unknown
		}
	}
	return out
}

// value is what a part came to; nil where the evaluator did not work it out.
func (t *teller) value(e ast.Expr) ref.Val {
	if e.Kind() == ast.LiteralKind {
		return e.AsLiteral()
	}
	v, _ := t.state.Value(e.ID())
	return v
}

// tell says why a condition is what it is.
func (t *teller) tell(e ast.Expr, is truth) string {
	name, args := call(e)
	switch {
	case name == operators.LogicalNot:
		return t.tell(args[0], is.not())
	case name == operators.LogicalAnd, name == operators.LogicalOr:
		return t.tellLogic(e, name, is)
	case len(args) == 2 && comparison[name] != [2]string{}:
		return t.compare(name, args[0], args[1], is)
	case name == operators.In:
		return t.among(args[0], args[1], is)
	case e.Kind() == ast.SelectKind && !e.AsSelect().IsTestOnly():
		return t.text(e) + " is " + is.String()
	case e.Kind() == ast.ComprehensionKind && is != unknown:
		if said := t.tellList(e, is); said != "" {
			return said
		}
	}
	return t.whole(e, is)
}

// quantified holds how a condition over a list reads when it is false, and
// when it is true.
var quantified = map[string][2]string{operators.Exists: {"no", "one"}, operators.All: {"not every", "every"}}

// tellList says of a list that none, not all, one or all of it is so; "" for
// any other comprehension.
func (t *teller) tellList(e ast.Expr, is truth) string {
	written, ok := t.info.GetMacroCall(e.ID())
	if !ok || written.Kind() != ast.CallKind || !written.AsCall().IsMemberFunction() {
		return ""
	}
	name, args := call(written)
	words, known := quantified[name]
	if !known || len(args) != 2 {
		return ""
	}
	return fmt.Sprintf("%s %s in %s has %s", words[is-no], t.text(args[0]), t.text(written.AsCall().Target()), t.text(args[1]))
}

// String is the word for a truth.
func (t truth) String() string {
	switch t {
	case yes:
		return "yes"
	case no:
		return "no"
	}
	return "not known"
}

// tellLogic names the parts that make an "and" or an "or" what it is. Where
// each part is needed for that they are joined by "and".
func (t *teller) tellLogic(e ast.Expr, name string, is truth) string {
	parts := flat(e, name)
	if name == operators.LogicalOr && is == no {
		if said := t.noneOf(parts); said != "" {
			return said
		}
	}
	var said []string
	for _, p := range parts {
		if t.truth(p) == is {
			said = append(said, t.tell(p, is))
		}
	}
	decisive := name == operators.LogicalAnd && is == no || name == operators.LogicalOr && is == yes
	if decisive {
		return strings.Join(said, "; ")
	}
	return strings.Join(said, " and ")
}

// flat lists the operands of a chain of one operator.
func flat(e ast.Expr, name string) []ast.Expr {
	if n, args := call(e); n == name {
		return append(flat(args[0], name), flat(args[1], name)...)
	}
	return []ast.Expr{e}
}

// noneOf says of a list of words that a term is none of them; "" where the
// parts do not compare one term with words.
func (t *teller) noneOf(parts []ast.Expr) string {
	term, words := "", []string{}
	var first ast.Expr
	for _, p := range parts {
		name, args := call(p)
		if name != operators.Equals || args[0].Kind() != ast.SelectKind || !constant(args[1]) || term != "" && t.text(args[0]) != term {
			return ""
		}
		term, first, words = t.text(args[0]), args[0], append(words, t.print(args[1]))
	}
	return fmt.Sprintf("%s is %s, none of %s", term, t.print(first), strings.Join(words, ", "))
}

// comparison holds how a comparison reads when it is false, and when it is
// true: the value of the left side, then these words, then the right side.
var comparison = map[string][2]string{
	operators.Less:          {"not below", "below"},
	operators.LessEquals:    {"above", "not above"},
	operators.Greater:       {"not above", "above"},
	operators.GreaterEquals: {"below", "not below"},
	operators.Equals:        {"not", ""},
	operators.NotEquals:     {"", "not"},
}

// mirrored is the comparison with its sides changed.
var mirrored = map[string]string{
	operators.Less: operators.Greater, operators.LessEquals: operators.GreaterEquals,
	operators.Greater: operators.Less, operators.GreaterEquals: operators.LessEquals,
	operators.Equals: operators.Equals, operators.NotEquals: operators.NotEquals,
}

func (t *teller) compare(name string, left, right ast.Expr, is truth) string {
	if constant(left) && !constant(right) {
		name, left, right = mirrored[name], right, left
	}
	words := comparison[name][is-no]
	said := t.text(left) + " is " + t.print(left)
	other := t.printBeside(left, right)
	if !constant(right) {
		other = t.text(right)
		if v := t.printBeside(left, right); v != "" {
			other += " (" + v + ")"
		}
	}
	switch {
	case t.print(left) == "": // a thing or a list, which has no value to print
		return t.whole(left, unknown) + ": " + strings.TrimSpace(words+" "+other)
	case words == "" && constant(right): // the value says it all
		return said
	case words == "":
		return said + ", as is " + other
	}
	return said + ", " + words + " " + other
}

func (t *teller) among(element, list ast.Expr, is truth) string {
	if list.Kind() != ast.ListKind {
		if is == yes {
			return fmt.Sprintf("%s are with %s", t.text(list), t.print(element))
		}
		return fmt.Sprintf("%s are without %s", t.text(list), t.print(element))
	}
	said := t.text(element) + " is " + t.print(element)
	if is == yes {
		return said
	}
	var words []string
	for _, w := range list.AsList().Elements() {
		words = append(words, t.print(w))
	}
	return said + ", none of " + strings.Join(words, ", ")
}

// whole is the fallback: the part as written, what it came to, and what it
// read. What stands inside a comprehension is read many times, so of that only
// the list is named.
func (t *teller) whole(e ast.Expr, is truth) string {
	said := t.text(e)
	if is != unknown {
		said += " is " + is.String()
	}
	var read []string
	seen := map[string]bool{}
	var visit func(e ast.Expr)
	visit = func(e ast.Expr) {
		switch e.Kind() {
		case ast.ComprehensionKind:
			visit(e.AsComprehension().IterRange())
		case ast.CallKind:
			for _, a := range e.AsCall().Args() {
				visit(a)
			}
			if e.AsCall().IsMemberFunction() {
				visit(e.AsCall().Target())
			}
		case ast.ListKind:
			for _, a := range e.AsList().Elements() {
				visit(a)
			}
		case ast.SelectKind:
			if v := t.print(e); v != "" && !seen[t.text(e)] {
				seen[t.text(e)] = true
				read = append(read, t.text(e)+" is "+v)
			}
		}
	}
	if e.Kind() != ast.SelectKind {
		visit(e)
	}
	if len(read) > 0 {
		said += " (" + strings.Join(read, ", ") + ")"
	}
	return said
}

// constant reports whether a part reads nothing of the job.
func constant(e ast.Expr) bool {
	if e.Kind() == ast.LiteralKind {
		return true
	}
	name, _ := call(e)
	return strings.HasPrefix(name, "constant_")
}

// print is the value of a part as a report shows it; "" where it is not known
// or is a thing or a list.
func (t *teller) print(e ast.Expr) string {
	v := t.value(e)
	if v == nil || types.IsUnknownOrError(v) {
		return ""
	}
	r, err := result(v)
	if err != nil {
		return ""
	}
	return r.Print(t.sys)
}

// printBeside is the value of the right side of a comparison. A plain number
// beside a ratio prints as a ratio.
func (t *teller) printBeside(left, right ast.Expr) string {
	m, isMeasure := t.value(left).(measure)
	x, isNumber := t.value(right).(types.Double)
	if isMeasure && isNumber {
		return quantity.Value{SI: float64(x), Dim: m.dim}.Format(t.sys)
	}
	return t.print(right)
}

// text is a part as it is written in the rule.
func (t *teller) text(e ast.Expr) string {
	said, err := parser.Unparse(e, t.info)
	if err != nil {
		return "a part of the condition"
	}
	return strings.Join(strings.Fields(said), " ") // long lines are broken
}
