package codebook

import (
	"fmt"
	"regexp"
	"strings"
	"sync"
	"unicode/utf8"

	"cel.dev/cel-go/cel"
	"cel.dev/cel-go/common/ast"
	"cel.dev/cel-go/common/types"

	"plumbrule/internal/bound"
	"plumbrule/internal/quantity"
	"plumbrule/internal/source"
	"plumbrule/internal/terms"
)

// expression is one expression of a check, compiled when the rule is loaded or,
// for rules that are proven good, on first use.
type expression struct {
	text    string
	ast     *cel.Ast
	program cel.Program // nil: made compiles it
	made    *programs
	at      source.Span // where it stands, of a third party's rule; see outside
	outside bool        // it is a third party's: what it costs is counted
}

// ready gives the program, compiling it if that was put off.
func (x *expression) ready() (cel.Program, error) {
	if x.program != nil {
		return x.program, nil
	}
	return x.made.of(x.text)
}

// programs compiles expressions on first use, each text once however many
// checks hold it: proven ones to run, and any to see what its parts came to.
// It may be shared.
type programs struct {
	env      *cel.Env
	ready    func() *trees            // what need not be compiled; nil where there is none for this language
	traceEnv func() (*cel.Env, error) // which remembers how macros were written
	plain    sync.Map                 // of func() (cel.Program, error) by text
	traces   sync.Map                 // of func() (*traced, error) by text
}

// newPrograms compiles in an environment. language is the fingerprint of what it
// knows, asked for when the first expression is wanted.
func newPrograms(env *cel.Env, language func() uint64) *programs {
	return &programs{env: env, ready: sync.OnceValue(func() *trees {
		if t := readyTrees(); t != nil && t.Language == language() {
			return t
		}
		return nil
	}), traceEnv: sync.OnceValues(func() (*cel.Env, error) { return env.Extend(cel.EnableMacroCallTracking()) })}
}

func (p *programs) of(text string) (cel.Program, error) {
	return once(&p.plain, text, func() (cel.Program, error) {
		if t := p.ready(); t != nil {
			if tree := t.of(text); tree != nil {
				return p.env.PlanProgram(tree)
			}
		}
		tree, issues := p.env.Compile(text)
		if issues.Err() != nil {
			return nil, issues.Err()
		}
		return p.env.Program(tree)
	})
}

// traced compiles an expression that keeps the value of each part, and how it
// was written before macros.
func (p *programs) traced(text string) (*traced, error) {
	return once(&p.traces, text, func() (*traced, error) {
		env, err := p.traceEnv()
		if err != nil {
			return nil, err
		}
		tree, issues := env.Compile(text)
		if issues.Err() != nil {
			return nil, issues.Err()
		}
		program, err := env.Program(tree, cel.CostLimit(bound.EvaluationCost), cel.EvalOptions(cel.OptExhaustiveEval))
		return &traced{tree, program}, err
	})
}

// once makes what belongs to a text, the first time that it is asked for.
func once[T any](m *sync.Map, text string, make func() (T, error)) (T, error) {
	f, found := m.Load(text)
	if !found {
		f, _ = m.LoadOrStore(text, sync.OnceValues(make))
	}
	return f.(func() (T, error))()
}

// What an expression must give.
type want uint8

const (
	wantFlag       want = iota // a condition
	wantOrdered                // something that can be less or more
	wantComparable             // something that can be held against a limit: ordered, or a text
	wantAny                    // anything that can be printed
)

// compile checks the expression at a key and puts every error at its place in
// the TOML file. It returns nil when there was one.
func (l *loader) compile(key, text string, w want) *expression { return l.compilePart(key, 0, text, w) }

// compilePart is compile for an expression that begins at a character, counted
// from 0, of the text at a key.
func (l *loader) compilePart(key string, from int, text string, w want) *expression {
	if l.proven {
		x := &expression{text: text, made: l.programs}
		l.later = append(l.later, x)
		return x
	}
	tree, issues := l.env.Compile(text)
	if issues != nil && issues.Err() != nil {
		for _, e := range issues.Errors() {
			fault := l.explain(e.Message)
			fault.At = l.inside(key, from+offset(text, e.Location.Line(), e.Location.Column()))
			fault.Path = source.DataPath(l.path(key))
			l.faults = append(l.faults, fault)
		}
		return nil
	}
	before := len(l.faults)
	l.scopeOf(key, from, text, tree)
	l.statedOf(key, from, text, tree)
	t := tree.OutputType()
	switch {
	case w == wantFlag && t.Kind() != types.BoolKind:
		l.fault(key, "%s is a condition, but this gives a %s", lastKey(key), typeName(t))
	case w == wantOrdered && t.Kind() == types.StringKind:
		l.fault(key, "%s needs something that can be less or more, but this gives a text; equals compares texts", lastKey(key))
	case (w == wantOrdered || w == wantComparable) && !limitable(t):
		l.fault(key, "%s is a quantity, a number, a count, a conductor size or a text, but this gives a %s", lastKey(key), typeName(t))
	}
	if len(l.faults) > before {
		return nil
	}
	var options []cel.ProgramOption
	if l.outside {
		options = append(options, cel.CostLimit(bound.EvaluationCost), cel.InterruptCheckFrequency(100))
	}
	program, err := l.env.Program(tree, options...)
	if err != nil {
		l.fault(key, "%v", err)
		return nil
	}
	return &expression{text: text, ast: tree, program: program, made: l.programs, at: l.at(key), outside: l.outside}
}

func lastKey(key string) string { return key[strings.LastIndex(key, ".")+1:] }

// explain puts the type checker's message into the words of rule writers.
func (l *loader) explain(message string) source.Fault {
	fault := source.Fault{Message: message}
	if said, ok := strings.CutPrefix(message, "Syntax error: "); ok {
		fault.Message = "the expression cannot be read: " + said
		_, found, _ := strings.Cut(said, " input '")
		if word, _, quoted := strings.Cut(found, "'"); word == "<EOF>" {
			fault.Message = "the expression ends too early"
		} else if quoted {
			fault.Message = fmt.Sprintf("the expression cannot be read from %q on", word)
		}
	} else if field, ok := strings.CutPrefix(message, "undefined field '"); ok {
		field = strings.TrimSuffix(field, "'")
		fault.Message = fmt.Sprintf("there is no term %q", field)
		var words []string
		for _, k := range terms.Kinds() {
			for _, t := range l.words.Terms(k) {
				words = append(words, t.Name)
			}
		}
		if near, _ := quantity.Nearest(field, words); near != field { // the word may be another kind's
			fault.Nearest = near
		}
	} else if rest, ok := strings.CutPrefix(message, "undeclared reference to '"); ok {
		name, _, _ := strings.Cut(rest, "'")
		fault.Message = fmt.Sprintf("there is nothing called %q", name)
		var words []string
		for _, k := range terms.Kinds() {
			words = append(words, k.Name)
			if k.Plural != "" {
				words = append(words, k.Plural)
			}
		}
		fault.Nearest, _ = quantity.Nearest(name, words)
	} else if rest, ok := strings.CutPrefix(message, "found no matching overload for '"); ok {
		op, operands, _ := strings.Cut(rest, "' applied to ")
		fault.Message = fmt.Sprintf("%s does not work on %s", strings.Trim(op, "_@"), operandTypes.ReplaceAllStringFunc(strings.Trim(operands, "'"), typeWord))
	}
	return fault
}

// operandTypes finds the names of types in a message of the type checker.
var operandTypes = regexp.MustCompile(`[a-z_][a-z_.]*`)

// scopeOf refuses a thing that is not the subject of the check: inside a check
// of each string there is no single array to speak of.
func (l *loader) scopeOf(key string, from int, text string, tree *cel.Ast) {
	bound := map[string]bool{}
	ast.PostOrderVisit(tree.NativeRep().Expr(), ast.NewExprVisitor(func(e ast.Expr) {
		if e.Kind() == ast.ComprehensionKind {
			bound[e.AsComprehension().IterVar()] = true
		}
	}))
	info := tree.NativeRep().SourceInfo()
	ast.PostOrderVisit(tree.NativeRep().Expr(), ast.NewExprVisitor(func(e ast.Expr) {
		if e.Kind() != ast.IdentKind {
			return
		}
		name := e.AsIdent()
		k := terms.KindByName(name)
		if k == nil || bound[name] || name == l.each || k.Single() {
			return
		}
		where := info.GetStartLocation(e.ID())
		l.faults = append(l.faults, source.Fault{
			At:      l.inside(key, from+offset(text, where.Line(), where.Column())),
			Path:    source.DataPath(l.path(key)),
			Message: fmt.Sprintf("%q is not the subject of this check, which looks at each %s; reach it from there, or use the list %q", name, l.each, k.Plural),
		})
	}))
}

// inside finds the place of a character, counted from 0, of the text at a key.
func (l *loader) inside(key string, n int) source.Span {
	value := l.index.Of(l.path(key)).Value
	if !value.Known() {
		return l.at(key)
	}
	return source.Inside(value, n)
}

// offset is the character, counted from 0, at a line counted from 1 and a
// column counted from 0 of an expression.
func offset(text string, line, column int) int {
	n := 0
	for ; line > 1; line-- {
		before, after, found := strings.Cut(text, "\n")
		if !found {
			break
		}
		n += utf8.RuneCountInString(before) + 1
		text = after
	}
	return n + column
}

// limitable reports whether values of a type can be held against a limit.
func limitable(t *types.Type) bool {
	switch t.Kind() {
	case types.DoubleKind, types.IntKind, types.StringKind:
		return true
	}
	return t.TypeName() == sizeType.TypeName() || strings.HasPrefix(t.TypeName(), "quantity.")
}

// sameType lets a ratio be held against a plain number and a count against a
// number; all else must be of one dimension.
func sameType(a, b *types.Type) bool {
	plain := func(t *types.Type) bool {
		return t.Kind() == types.DoubleKind || t.TypeName() == dimensionTypes[quantity.Ratio].TypeName()
	}
	return a.TypeName() == b.TypeName() || (plain(a) && plain(b))
}

func typeName(t *types.Type) string { return typeWord(t.TypeName()) }

// typeWord names a type in the words of rule writers. A text is no "string",
// which is a set of modules here.
func typeWord(name string) string {
	switch name {
	case "bool":
		return "yes or no"
	case "double":
		return "number"
	case "int":
		return "count"
	case "string":
		return "text"
	case "thing.string":
		return "string of modules"
	case sizeType.TypeName():
		return "conductor size"
	}
	return strings.TrimPrefix(strings.TrimPrefix(name, "quantity."), "thing.")
}

// template is a sentence with expressions in braces: "use {string.longest} or
// fewer modules".
type template struct {
	parts []any // string or *expression
}

func (l *loader) template(key, text string) *template {
	if text == "" {
		return nil
	}
	t, whole := &template{}, true
	at := 0 // character of text at which rest begins
	for rest := text; rest != ""; {
		before, inner, found := strings.Cut(rest, "{")
		if before != "" {
			t.parts = append(t.parts, before)
		}
		if !found {
			break
		}
		at += utf8.RuneCountInString(before)
		inner, after, closed := strings.Cut(inner, "}")
		if !closed {
			l.faults = append(l.faults, source.Fault{At: l.inside(key, at), Path: source.DataPath(l.path(key)), Message: key + ": the brace is not closed"})
			return nil
		}
		if e := l.compilePart(key, at+1, inner, wantAny); e != nil {
			t.parts = append(t.parts, e)
		} else {
			whole = false
		}
		at += utf8.RuneCountInString(inner) + 2
		rest = after
	}
	if !whole {
		return nil
	}
	return t
}
