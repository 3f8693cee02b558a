package codebook

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"sync"

	"cel.dev/cel-go/cel"
	"cel.dev/cel-go/common/ast"
	"cel.dev/cel-go/common/operators"
	"cel.dev/cel-go/common/types"
	"cel.dev/cel-go/common/types/ref"
	"cel.dev/cel-go/parser"

	"plumbrule/internal/bound"
	"plumbrule/internal/quantity"
	"plumbrule/internal/source"
)

// Mutant is a check with one small change: a limit or a number shifted, a
// comparison turned, a condition dropped or negated. Its examples prove a check
// only where one of them tells the check from the mutant.
type Mutant struct {
	Check *Check // the changed check; its ID and examples are those of the check
	At    source.Span
	Key   string // where the change is in the rule file: "when", "limit[1].at_most"
	Was   string // the part that is changed, as written
	Is    string // what it is changed into; "" where it is dropped
}

// String names the change, without the check: `when: a < b -> a <= b`.
func (m Mutant) String() string {
	is := m.Is
	if is == "" {
		is = "(dropped)"
	}
	return m.Key + ": " + m.Was + " -> " + is
}

// shift is by how much numbers and limits are made larger and smaller: 5 %,
// which is below what a rule is held to on a drawing and above any tolerance.
const shift = 0.05

// warmer is by how many kelvins temperatures are moved, since a share of a point
// on a scale has no meaning.
const warmer = 2

// Mutants lists every mutant of a check that was loaded in full, in the order of
// its file. A change that the language does not allow is none.
func (c *Check) Mutants() ([]Mutant, error) {
	index, err := source.NewIndex(c.At.File)
	if err != nil {
		return nil, err
	}
	b := &breeder{check: c, place: &loader{file: c.At.File, index: index}, seen: map[string]int{}}
	b.expression("when", c.WhenText, c.when, true, func(m *Check, x *expression) { m.when = x })
	b.expression("measure", c.Measure, c.measure, false, func(m *Check, x *expression) { m.measure = x })
	b.expression("within", c.Within, c.within, true, func(m *Check, x *expression) { m.within = x })
	b.limits()
	b.silences()
	return b.out, b.err
}

// KeyAt is where a key of the rule file stands, "scope"; the start of the file
// where it has no such key.
func (c *Check) KeyAt(key string) source.Span {
	index, err := source.NewIndex(c.At.File)
	if err != nil {
		return c.At
	}
	return (&loader{file: c.At.File, index: index}).at(key)
}

// breeder makes the mutants of one check.
type breeder struct {
	check *Check
	place *loader
	seen  map[string]int // how often a change was made
	out   []Mutant
	err   error
}

// add makes a mutant of a changed copy of the check.
func (b *breeder) add(key string, at source.Span, was, is string, change func(*Check)) {
	m := Mutant{At: at, Key: key, Was: was, Is: is}
	if b.seen[m.String()]++; b.seen[m.String()] > 1 { // the same part stands there more than once
		m.Key = fmt.Sprintf("%s#%d", key, b.seen[m.String()])
	}
	changed := *b.check
	changed.Limits = slices.Clone(b.check.Limits)
	changed.Silent = slices.Clone(b.check.Silent)
	change(&changed)
	m.Check = &changed
	b.out = append(b.out, m)
}

// syntax reads expressions as they are written, with no macro expanded.
var syntax = sync.OnceValues(func() (*cel.Env, error) { return cel.NewCustomEnv(cel.ClearMacros()) })

// expression makes the mutants of an expression, each put in its place by put.
// Where it may be dropped as a whole, it is.
func (b *breeder) expression(key, text string, x *expression, whole bool, put func(*Check, *expression)) {
	if x == nil || b.err != nil {
		return
	}
	env, err := syntax()
	if err != nil {
		b.err = err
		return
	}
	tree, issues := env.Parse(text)
	if issues.Err() != nil {
		b.err = issues.Err()
		return
	}
	info := tree.NativeRep().SourceInfo()
	root := tree.NativeRep().Expr()
	if whole && !isLogic(root) {
		b.add(key, b.place.at(key), write(root), "", func(m *Check) { put(m, nil) })
	}
	made := map[string]bool{write(root): true}
	for _, e := range edits(root, true) {
		changed := write(with(root, e.part, e.by))
		if made[changed] {
			continue
		}
		made[changed] = true
		y := b.compile(changed, x)
		if y == nil {
			continue
		}
		was, is := e.part, ""
		if e.dropped != nil {
			was = e.dropped
		} else {
			is = write(e.by)
		}
		b.add(key, b.place.inside(key, first(text, info, was)), write(was), is, func(m *Check) { put(m, y) })
	}
}

// compile compiles a changed expression; nil where it is none of the language,
// or of another type.
func (b *breeder) compile(text string, was *expression) *expression {
	env := b.check.words.env
	tree, issues := env.Compile(text)
	if issues.Err() != nil {
		return nil
	}
	if was.ast != nil && tree.OutputType().TypeName() != was.ast.OutputType().TypeName() {
		return nil
	}
	program, err := env.Program(tree, cel.CostLimit(bound.EvaluationCost))
	if err != nil {
		return nil
	}
	return &expression{text: text, ast: tree, program: program, made: b.check.words.programs}
}

// limits shifts each limit, turns it, and takes the one of other editions for it.
func (b *breeder) limits() {
	nth := map[string]int{"": -1}
	table := -1
	for i, l := range b.check.Limits {
		prefix := ""
		if l.Code != "" {
			if table++; table >= 0 {
				prefix = fmt.Sprintf("limit[%d].", table)
			}
		}
		nth[prefix] = i
		key := prefix + limitKeys[l.Kind]
		at := b.place.at(key)
		put := func(m *Check, x *expression) { m.Limits[i].expr = x }
		if l.Kind == Require && l.Text != "true" && !b.logic(l.Text) {
			if yes := b.compile("true", l.expr); yes != nil {
				b.add(key, at, b.written(l.Text), "true", func(m *Check) { put(m, yes) })
			}
		}
		b.expression(key, l.Text, l.expr, false, put)
		for _, text := range b.shifted(l) {
			if y := b.compile(text, l.expr); y != nil && !b.has(key, text) {
				b.add(key, at, b.written(l.Text), text, func(m *Check) { put(m, y) })
			}
		}
		if other, turns := map[LimitKind]LimitKind{AtMost: AtLeast, AtLeast: AtMost}[l.Kind]; turns {
			b.add(key, at, string(l.Kind), string(other), func(m *Check) { m.Limits[i].Kind = other })
		}
		if next := b.otherLimit(i); next != nil {
			b.add(key, at, b.written(l.Text), b.written(next.Text)+", that of "+editionsNamed(next), func(m *Check) {
				m.Limits[i].expr, m.Limits[i].Kind, m.Limits[i].Text = next.expr, next.Kind, next.Text
			})
		}
	}
}

// limitKeys are the keys of a rule file by the kind of the limit.
var limitKeys = map[LimitKind]string{AtMost: "at_most", AtLeast: "at_least", Equals: "equals", Require: "require"}

// otherLimit is the next limit that says something else, nil where there is none.
func (b *breeder) otherLimit(i int) *Limit {
	all := b.check.Limits
	for n := 1; n < len(all); n++ {
		if l := &all[(i+n)%len(all)]; b.written(l.Text) != b.written(all[i].Text) || l.Kind != all[i].Kind {
			return l
		}
	}
	return nil
}

func editionsNamed(l *Limit) string {
	if l.Code == "" {
		return "all editions"
	}
	return l.Code + " " + strings.Join(l.Editions, ", ")
}

// isLogic reports whether a condition has several parts, of which each is dropped
// in turn.
func isLogic(e ast.Expr) bool {
	name, _ := call(e)
	return name == operators.LogicalAnd || name == operators.LogicalOr
}

// written is an expression in one way, whatever its lines.
func (b *breeder) written(text string) string {
	if e := b.parse(text); e != nil {
		return write(e)
	}
	return text
}

func (b *breeder) parse(text string) ast.Expr {
	env, err := syntax()
	if err != nil {
		return nil
	}
	tree, issues := env.Parse(text)
	if issues.Err() != nil {
		return nil
	}
	return tree.NativeRep().Expr()
}

func (b *breeder) logic(text string) bool {
	e := b.parse(text)
	return e != nil && isLogic(e)
}

// has reports whether a change of the whole of a limit was made as one of its parts.
func (b *breeder) has(key, text string) bool {
	return slices.ContainsFunc(b.out, func(m Mutant) bool { return m.Key == key && m.Is == text })
}

// shifted gives a limit a little larger and a little smaller; nothing for a
// text, a size and a condition.
func (b *breeder) shifted(l Limit) []string {
	if l.expr == nil || l.Kind == Require {
		return nil
	}
	text := b.written(l.Text)
	t := l.expr.ast.OutputType()
	switch {
	case t.Kind() == types.IntKind:
		return []string{bracketed(text) + " + 1", bracketed(text) + " - 1"}
	case t.TypeName() == dimensionTypes[quantity.Temperature].TypeName():
		return []string{fmt.Sprintf(`%s + q("%d K")`, bracketed(text), warmer), fmt.Sprintf(`%s - q("%d K")`, bracketed(text), warmer)}
	case t.Kind() == types.DoubleKind || strings.HasPrefix(t.TypeName(), "quantity."):
		return []string{fmt.Sprintf("%s * %g", bracketed(text), 1+shift), fmt.Sprintf("%s * %g", bracketed(text), 1-shift)}
	}
	return nil
}

func bracketed(text string) string {
	if strings.ContainsAny(text, " ?") && !(strings.HasPrefix(text, "q(") && strings.Count(text, "(") == 1) {
		return "(" + text + ")"
	}
	return text
}

// silences takes away each statement that editions have no such rule.
func (b *breeder) silences() {
	for i, s := range b.check.Silent {
		key := fmt.Sprintf("silent[%d]", i)
		b.add(key, b.place.at(key), s.Code+" "+strings.Join(s.Editions, ", "), "", func(m *Check) { m.Silent = slices.Delete(m.Silent, i, i+1) })
	}
}

// edit puts a part of an expression in place of another.
type edit struct {
	part, by ast.Expr
	dropped  ast.Expr // what is not there any more in by, where that is the change; nil where part is another
}

var fac = ast.NewExprFactory()

// edits lists what may be changed in an expression. logical says that it is a
// condition, or may be one.
func edits(root ast.Expr, logical bool) (out []edit) {
	replace := func(part, by ast.Expr) { out = append(out, edit{part: part, by: by}) }
	var walk func(e ast.Expr, condition bool)
	walk = func(e ast.Expr, condition bool) {
		name, args := call(e)
		switch {
		case name == operators.LogicalAnd, name == operators.LogicalOr:
			parts := flat(e, name)
			for i := range parts {
				left := slices.Delete(slices.Clone(parts), i, i+1)
				out = append(out, edit{part: e, by: joined(name, left), dropped: parts[i]})
			}
			other := operators.LogicalOr
			if name == operators.LogicalOr {
				other = operators.LogicalAnd
			}
			replace(e, joined(other, parts))
			for _, p := range parts {
				walk(p, true)
			}
			return
		case name == operators.LogicalNot:
			walk(args[0], true)
			return
		case turned[name] != nil:
			for _, other := range turned[name] {
				replace(e, fac.NewCall(e.ID(), other, args...))
			}
			editionEdits(e, args, replace)
		case name == operators.In:
			replace(e, fac.NewCall(e.ID(), operators.LogicalNot, e))
			if args[1].Kind() == ast.ListKind {
				list := args[1].AsList().Elements()
				for i := range list {
					if len(list) > 1 {
						out = append(out, edit{part: e, by: fac.NewCall(e.ID(), name, args[0], fac.NewList(args[1].ID(), slices.Delete(slices.Clone(list), i, i+1), nil)), dropped: list[i]})
					}
				}
				walk(args[0], false)
				return
			}
		case name == operators.Conditional:
			walk(args[0], true)
			walk(args[1], condition)
			walk(args[2], condition)
			return
		case name == "q" && len(args) == 1:
			for _, by := range quantities(e, args[0]) {
				replace(e, by)
			}
			return
		case name == "size_of" && len(args) == 1:
			for _, by := range sizes(e, args[0]) {
				replace(e, by)
			}
			return
		case name == "stated" && len(args) == 1:
			if condition {
				replace(e, fac.NewCall(e.ID(), operators.LogicalNot, e))
			}
			return
		case predicates[name] && len(args) == 2 && e.AsCall().IsMemberFunction():
			if condition && (name == "all" || name == "exists" || name == "exists_one") {
				replace(e, fac.NewCall(e.ID(), operators.LogicalNot, e))
			}
			walk(e.AsCall().Target(), false)
			walk(args[1], name != "map" && name != "sum" && name != "max" && name != "min")
			return
		case e.Kind() == ast.LiteralKind:
			for _, by := range numbers(e) {
				replace(e, by)
			}
			return
		case condition && (e.Kind() == ast.SelectKind || e.Kind() == ast.CallKind) && !strings.HasPrefix(name, "_"):
			replace(e, fac.NewCall(e.ID(), operators.LogicalNot, e)) // which the type checker refuses of all but conditions
		}
		switch e.Kind() {
		case ast.CallKind:
			if e.AsCall().IsMemberFunction() {
				walk(e.AsCall().Target(), false)
			}
			for _, a := range args {
				walk(a, false)
			}
		case ast.SelectKind:
			walk(e.AsSelect().Operand(), false)
		case ast.ListKind:
			for _, x := range e.AsList().Elements() {
				walk(x, false)
			}
		}
	}
	walk(root, logical)
	return out
}

// turned are the comparisons that each is changed into: on the other side of
// the boundary, and the other way round.
var turned = map[string][]string{
	operators.Less:          {operators.LessEquals, operators.Greater},
	operators.LessEquals:    {operators.Less, operators.GreaterEquals},
	operators.Greater:       {operators.GreaterEquals, operators.Less},
	operators.GreaterEquals: {operators.Greater, operators.LessEquals},
	operators.Equals:        {operators.NotEquals},
	operators.NotEquals:     {operators.Equals},
}

// predicates are the macros over lists, whose first argument is a name.
var predicates = map[string]bool{"all": true, "exists": true, "exists_one": true, "filter": true, "map": true, "sum": true, "count": true, "max": true, "min": true}

// editionEdits moves an edition that another is compared with to the ones
// before and after it, three years away.
func editionEdits(e ast.Expr, args []ast.Expr, replace func(part, by ast.Expr)) {
	for i, a := range args {
		text, ok := literal(a)
		year, err := strconv.Atoi(text)
		if !ok || err != nil || len(text) != 4 {
			continue
		}
		name := e.AsCall().FunctionName()
		if name == operators.Equals || name == operators.NotEquals {
			continue // turning it tells the edition from every other
		}
		for _, by := range []int{3, -3} {
			other := slices.Clone(args)
			other[i] = fac.NewLiteral(a.ID(), types.String(strconv.Itoa(year+by)))
			replace(e, fac.NewCall(e.ID(), name, other...))
		}
	}
}

// quantities are a constant with a unit, a little larger and smaller.
func quantities(e, arg ast.Expr) []ast.Expr {
	text, ok := literal(arg)
	v, err := quantity.ParseAny(text)
	if !ok || err != nil {
		return nil
	}
	sum := func(op, q string) ast.Expr {
		return fac.NewCall(e.ID(), op, e, fac.NewCall(0, "q", fac.NewLiteral(0, types.String(q))))
	}
	switch {
	case v.Dim == quantity.Temperature:
		kelvins := fmt.Sprintf("%d K", warmer)
		return []ast.Expr{sum(operators.Add, kelvins), sum(operators.Subtract, kelvins)}
	case v.SI == 0:
		_, number, found := strings.Cut(text, "0")
		one := "1" + number
		if w, err := quantity.ParseAny(one); !found || err != nil || w.Dim != v.Dim {
			return nil
		}
		return []ast.Expr{sum(operators.Add, one), sum(operators.Subtract, one)}
	}
	var out []ast.Expr
	for _, by := range []float64{1 + shift, 1 - shift} {
		out = append(out, fac.NewCall(e.ID(), operators.Multiply, e, fac.NewLiteral(0, types.Double(by))))
	}
	return out
}

// sizes are the conductor sizes beside a constant one.
func sizes(e, arg ast.Expr) (out []ast.Expr) {
	text, ok := literal(arg)
	s, err := quantity.ParseSize(text)
	if !ok || err != nil {
		return nil
	}
	for _, other := range []quantity.Size{s + 1, s - 1} {
		if other.Known() {
			out = append(out, fac.NewCall(e.ID(), "size_of", fac.NewLiteral(arg.ID(), types.String(other.String()))))
		}
	}
	return out
}

// numbers are a plain number or a count, a little larger and smaller, and a truth
// turned.
func numbers(e ast.Expr) []ast.Expr {
	make := func(v ref.Val) ast.Expr { return fac.NewLiteral(e.ID(), v) }
	switch v := e.AsLiteral().(type) {
	case types.Int:
		return []ast.Expr{make(v + 1), make(v - 1)}
	case types.Double:
		if v == 0 {
			return []ast.Expr{make(types.Double(shift)), make(types.Double(-shift))}
		}
		round := func(x float64) types.Double { // so that it is written short
			y, err := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 12, 64), 64)
			if err != nil || math.IsNaN(y) {
				return types.Double(x)
			}
			return types.Double(y)
		}
		return []ast.Expr{make(round(float64(v) * (1 + shift))), make(round(float64(v) * (1 - shift)))}
	case types.Bool:
		return []ast.Expr{make(!v)}
	}
	return nil
}

func joined(name string, parts []ast.Expr) ast.Expr {
	out := parts[0]
	for _, p := range parts[1:] {
		out = fac.NewCall(0, name, out, p)
	}
	return out
}

// with is an expression with a part of it in place of another.
func with(e, part, by ast.Expr) ast.Expr {
	if e == part {
		return by
	}
	list := func(in []ast.Expr) []ast.Expr {
		out := make([]ast.Expr, len(in))
		for i, x := range in {
			out[i] = with(x, part, by)
		}
		return out
	}
	switch e.Kind() {
	case ast.CallKind:
		c := e.AsCall()
		if c.IsMemberFunction() {
			return fac.NewMemberCall(e.ID(), c.FunctionName(), with(c.Target(), part, by), list(c.Args())...)
		}
		return fac.NewCall(e.ID(), c.FunctionName(), list(c.Args())...)
	case ast.SelectKind:
		return fac.NewSelect(e.ID(), with(e.AsSelect().Operand(), part, by), e.AsSelect().FieldName())
	case ast.ListKind:
		return fac.NewList(e.ID(), list(e.AsList().Elements()), e.AsList().OptionalIndices())
	}
	return e
}

// write puts an expression into text, on one line.
func write(e ast.Expr) string {
	text, err := parser.Unparse(e, ast.NewSourceInfo(nil), parser.WrapOnColumn(1<<20), parser.WrapAfterColumnLimit(false))
	if err != nil {
		return fmt.Sprintf("(not writable: %v)", err) // which does not compile
	}
	return text
}

// first is the character, counted from 0, at which a part of an expression begins.
func first(text string, info *ast.SourceInfo, part ast.Expr) int {
	at := math.MaxInt
	ast.PostOrderVisit(part, ast.NewExprVisitor(func(e ast.Expr) {
		if where := info.GetStartLocation(e.ID()); where.Line() > 0 {
			n := offset(text, where.Line(), where.Column())
			if name, _ := call(e); name != "" && !e.AsCall().IsMemberFunction() && !strings.ContainsAny(name, "_!@") || name == "size_of" {
				n -= len(name) // whose place is its bracket
			}
			at = min(at, n)
		}
	}))
	if at == math.MaxInt {
		return 0
	}
	return at
}
