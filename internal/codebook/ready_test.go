package codebook

import (
	"encoding/binary"
	"io/fs"
	"maps"
	"math"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"cel.dev/cel-go/cel"
	"cel.dev/cel-go/common/ast"
	"cel.dev/cel-go/common/operators"
	"cel.dev/cel-go/common/types"
	"github.com/BurntSushi/toml"
	"google.golang.org/protobuf/proto"

	"plumbrule/internal/packed"
	"plumbrule/internal/source"
	"plumbrule/rules"
)

// TestReady holds ready.bin to the rules, and writes it with -update.
func TestReady(t *testing.T) {
	want := makeReady(t)
	if *update {
		if err := os.WriteFile("ready.bin", []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if readyData != want {
		t.Error("internal/codebook/ready.bin is of other rules or of another language: write it anew with `go generate ./internal/...`. Until then the rules are read and compiled at every start, with the same results.")
	}
}

// readAnew reads the project's rules from their files.
func readAnew(t testing.TB) (b *Codebook, r readyRules) {
	t.Helper()
	sum, err := hash(rules.FS)
	if err != nil {
		t.Fatal(err)
	}
	words, err := newVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	words.programs = newPrograms(words.env, func() uint64 { return 0 }) // nothing is ready
	read := func(pattern string) []*source.File {
		files, err := readAll(rules.FS, pattern)
		if err != nil {
			t.Fatal(err)
		}
		return files
	}
	added, checks := read("terms/*/*.toml"), read("*/*.toml")
	for _, f := range added {
		var is definitionFile
		if _, err := toml.Decode(string(f.Text), &is); err != nil {
			t.Fatal(err)
		}
		r.Terms = append(r.Terms, readyTerm{f.Name, is})
	}
	for _, f := range checks {
		var is ruleFile
		if _, err := toml.Decode(string(f.Text), &is); err != nil {
			t.Fatal(err)
		}
		is.Examples = nil
		r.Checks = append(r.Checks, readyCheck{f.Name, is})
	}
	if b, err = compileFiles(words, added, checks, nil, true, false); err != nil {
		t.Fatal(err)
	}
	b.Hash = sum
	return b, r
}

// textsOf are all expressions of a codebook whose expressions are put off, each once.
func textsOf(b *Codebook) []string {
	texts := map[string]bool{}
	for _, c := range b.Checks {
		for _, x := range c.later {
			texts[x.text] = true
		}
	}
	for _, terms := range b.Words.added {
		for _, d := range terms {
			texts[d.value.text] = true
		}
	}
	return slices.Sorted(maps.Keys(texts))
}

func compiled(t testing.TB, v *Vocabulary, text string) *ast.AST {
	t.Helper()
	tree, issues := v.env.Compile(text)
	if issues.Err() != nil {
		t.Fatalf("%s: %v", text, issues.Err())
	}
	return tree.NativeRep()
}

// makeReady gives what ready.bin must be.
func makeReady(t testing.TB) string {
	t.Helper()
	b, r := readAnew(t)
	w := &treeWriter{names: map[string]int{}, types: map[string]int{}, refs: map[string]int{}}
	w.Language = b.Words.fingerprint()
	for _, text := range textsOf(b) {
		if tree, ok := w.tree(compiled(t, b.Words, text)); ok {
			w.Texts, w.Trees = append(w.Texts, text), append(w.Trees, tree)
		}
	}
	return packed.Encode(ready{Hash: b.Hash, Checks: len(r.Checks), Rules: packed.Encode(r), Expressions: packed.Encode(w.readyExpressions)})
}

// typeForm is a type as a text; "" for one that no expression of a rule has.
func typeForm(t *types.Type) string {
	if t.Kind() == types.ListKind && len(t.Parameters()) == 1 {
		if of := typeForm(t.Parameters()[0]); of != "" {
			return formOfList + of
		}
		return ""
	}
	if made := typeOfForm(t.TypeName()); made != nil && made.IsExactType(t) {
		return t.TypeName()
	}
	return ""
}

// treeWriter writes what treeReader reads.
type treeWriter struct {
	readyExpressions
	names, types, refs map[string]int

	from                   *ast.AST
	out                    []byte
	asked                  map[int64]bool
	typed, referred, wrong int
}

// tree writes a tree; not ok where it has what no tree reader knows.
func (w *treeWriter) tree(a *ast.AST) (tree string, ok bool) {
	w.from, w.out, w.asked, w.typed, w.referred, w.wrong = a, nil, asked(a), 0, 0, 0
	w.expr(a.Expr())
	head := binary.AppendUvarint(binary.AppendUvarint(nil, uint64(w.typed)), uint64(w.referred))
	return string(head) + string(w.out), w.wrong == 0
}

// asked are the nodes whose types planning asks for: what a term or an entry is
// taken from, and identifiers that may be names of types.
func asked(a *ast.AST) map[int64]bool {
	out := map[int64]bool{}
	ast.PostOrderVisit(a.Expr(), ast.NewExprVisitor(func(e ast.Expr) {
		switch e.Kind() {
		case ast.SelectKind:
			out[e.AsSelect().Operand().ID()] = true
		case ast.CallKind:
			if call := e.AsCall(); call.FunctionName() == operators.Index {
				out[call.Args()[0].ID()] = true
			}
		}
		if a.ReferenceMap()[e.ID()] != nil && a.GetType(e.ID()).Kind() == types.TypeKind {
			out[e.ID()] = true
		}
	}))
	return out
}

func (w *treeWriter) count(n int) { w.out = binary.AppendUvarint(w.out, uint64(n)) }

// numbered numbers a word, and says whether it is new.
func numbered(m map[string]int, word string) (n int, isNew bool) {
	n, known := m[word]
	if !known {
		n = len(m)
		m[word] = n
	}
	return n, !known
}

func (w *treeWriter) name(s string) {
	n, isNew := numbered(w.names, s)
	if isNew {
		w.Names = append(w.Names, s)
	}
	w.count(n)
}

func (w *treeWriter) expr(e ast.Expr) {
	w.count(int(e.Kind()))
	w.count(int(e.ID()))
	if w.asked[e.ID()] {
		w.typed++
		form := typeForm(w.from.GetType(e.ID()))
		if form == "" {
			w.wrong++
		}
		n, isNew := numbered(w.types, form)
		if isNew {
			w.Types = append(w.Types, form)
		}
		w.count(1)
		w.count(n)
	} else {
		w.count(0)
	}
	if r := w.from.ReferenceMap()[e.ID()]; r != nil {
		w.referred++
		names := []string{r.Name}
		if r.Name == "" {
			names = append(names, r.OverloadIDs...)
		} else if len(r.OverloadIDs) > 0 {
			w.wrong++
		}
		if r.Value != nil {
			w.wrong++
		}
		n, isNew := numbered(w.refs, strings.Join(names, "\n"))
		if isNew {
			w.Refs = append(w.Refs, names)
		}
		w.count(1)
		w.count(n)
	} else {
		w.count(0)
	}
	switch e.Kind() {
	case ast.LiteralKind:
		switch v := e.AsLiteral().(type) {
		case types.Null:
			w.count(literalNull)
		case types.Bool:
			w.count(literalFlag)
			w.count(map[types.Bool]int{true: 1}[v])
		case types.Int:
			w.count(literalCount)
			w.out = binary.AppendVarint(w.out, int64(v))
		case types.Double:
			w.count(literalNumber)
			w.out = binary.LittleEndian.AppendUint64(w.out, math.Float64bits(float64(v)))
		case types.String:
			w.count(literalText)
			w.count(len(v))
			w.out = append(w.out, v...)
		default:
			w.wrong++
		}
	case ast.IdentKind:
		w.name(e.AsIdent())
	case ast.SelectKind:
		s := e.AsSelect()
		if s.IsTestOnly() {
			w.wrong++
		}
		w.name(s.FieldName())
		w.expr(s.Operand())
	case ast.CallKind:
		c := e.AsCall()
		w.name(c.FunctionName())
		if c.IsMemberFunction() {
			w.count(1)
			w.expr(c.Target())
		} else {
			w.count(0)
		}
		w.exprs(c.Args()...)
	case ast.ListKind:
		if len(e.AsList().OptionalIndices()) > 0 {
			w.wrong++
		}
		w.exprs(e.AsList().Elements()...)
	case ast.ComprehensionKind:
		c := e.AsComprehension()
		if c.HasIterVar2() {
			w.wrong++
		}
		w.name(c.IterVar())
		w.name(c.AccuVar())
		w.exprs(c.IterRange(), c.AccuInit(), c.LoopCondition(), c.LoopStep(), c.Result())
	default:
		w.wrong++
	}
}

func (w *treeWriter) exprs(list ...ast.Expr) {
	w.count(len(list))
	for _, e := range list {
		w.expr(e)
	}
}

// Every expression of the rules is ready, and what is ready is what compiling it
// gives: the same nodes with the same ids, all that identifiers and functions refer to,
// and the types that planning asks for.
func TestReadyTreesAreWhatCompilingGives(t *testing.T) {
	b, _ := readAnew(t)
	for _, text := range textsOf(b) {
		want := compiled(t, b.Words, text)
		ready := readyTrees()
		if ready == nil {
			t.Fatal("ready.bin cannot be read: write it anew with `go generate ./internal/...`")
		}
		got := ready.of(text)
		if got == nil {
			t.Errorf("not ready: %s", text)
			continue
		}
		a, errA := ast.ExprToProto(got.Expr())
		w, errW := ast.ExprToProto(want.Expr())
		if errA != nil || errW != nil || !proto.Equal(a, w) {
			t.Errorf("%s\nis ready as %v\ncompiled  %v", text, a, w)
		}
		if !reflect.DeepEqual(got.ReferenceMap(), want.ReferenceMap()) {
			t.Errorf("%s: other references", text)
		}
		ids := asked(want)
		if len(got.TypeMap()) != len(ids) {
			t.Errorf("%s: %d types, planning asks for %d", text, len(got.TypeMap()), len(ids))
		}
		for id := range ids {
			if !got.GetType(id).IsExactType(want.GetType(id)) {
				t.Errorf("%s: node %d is ready as a %v and compiled as a %v", text, id, got.GetType(id), want.GetType(id))
			}
		}
		if _, err := b.Words.env.PlanProgram(got); err != nil {
			t.Errorf("%s: %v", text, err)
		}
	}
}

// The rules are ready exactly as they are read.
func TestReadyRulesAreWhatReadingGives(t *testing.T) {
	b, want := readAnew(t)
	got := readyFor(b.Hash)
	if got == nil {
		t.Fatal("ready.bin is not of these rules: write it anew with `go generate ./internal/...`")
	}
	if !reflect.DeepEqual(got.Terms, want.Terms) {
		t.Error("the terms differ")
	}
	for i := range want.Checks {
		if !reflect.DeepEqual(got.Checks[i], want.Checks[i]) {
			t.Errorf("%s is ready as\n%+v\nread as\n%+v", want.Checks[i].Name, got.Checks[i], want.Checks[i])
		}
	}
	proven, err := LoadProven(rules.FS)
	if err != nil {
		t.Fatal(err)
	}
	if hash, checks, err := Edition(rules.FS); err != nil || hash != proven.Hash || checks != len(proven.Checks) {
		t.Errorf("%s, %d checks, %v; expected %s, %d checks", hash, checks, err, proven.Hash, len(proven.Checks))
	}
	for i, c := range b.Checks {
		if got := proven.Checks[i]; !reflect.DeepEqual(written(got), written(c)) || got.At.File.Name != c.At.File.Name || got.At.Start != c.At.Start {
			t.Errorf("%s is another check when it is ready", c.ID)
		}
	}
}

// A rule that was edited is read from its file: nothing that is ready of the rules
// before stands in for it.
func TestReadyIsNeverStale(t *testing.T) {
	const name = "fire/ridge-strip.toml"
	text, err := rules.FS.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	b, err := LoadProven(changed{rules.FS, name, []byte(strings.Replace(string(text), `"Clear`, `"Another: clear`, 1))})
	if err != nil {
		t.Fatal(err)
	}
	if got := b.Check("fire/ridge-strip").Title; !strings.HasPrefix(got, "Another: clear") {
		t.Errorf("the title is %q", got)
	}
	if own, err := LoadProven(rules.FS); err != nil || own.Hash == b.Hash || strings.HasPrefix(own.Check("fire/ridge-strip").Title, "Another: clear") {
		t.Errorf("the project's own: %v", err)
	}
}

// A vocabulary with a term more, or with another type of a term, is another language.
func TestAnotherLanguageIsNotReady(t *testing.T) {
	b, err := LoadProven(rules.FS)
	if err != nil {
		t.Fatal(err)
	}
	if b.Words.programs.ready() == nil {
		t.Fatal("nothing is ready for the project's own language: `go generate ./internal/...`")
	}
	file := func(of string) []*source.File {
		return []*source.File{source.NewFile("terms/string/another_word.toml", []byte("meaning = \"m\"\ntype = \""+of+"\"\nsource = \"s\"\nvalue = '"+map[string]string{"count": "1", "number": "1.0"}[of]+"'\n"))}
	}
	sums := map[uint64]bool{b.Words.fingerprint(): true}
	for _, of := range []string{"count", "number"} {
		more, err := b.Add(file(of))
		if err != nil {
			t.Fatal(err)
		}
		if more.Words.programs.ready() != nil {
			t.Errorf("with a term that is a %s, trees of the language without it are used", of)
		}
		sums[more.Words.fingerprint()] = true
	}
	if len(sums) != 3 {
		t.Errorf("%d fingerprints of three languages", len(sums))
	}
}

// What is cut off or changed is not used, and never ends the program.
func TestDamagedTrees(t *testing.T) {
	all := readyTrees()
	if all == nil {
		t.Fatal("ready.bin cannot be read")
	}
	i := len(all.Texts) / 2
	for n := range all.Trees[i] {
		damaged := *all
		damaged.Trees = slices.Clone(all.Trees)
		damaged.Trees[i] = all.Trees[i][:n]
		if damaged.of(all.Texts[i]) != nil {
			t.Errorf("the first %d bytes of a tree are read as a tree", n)
		}
	}
	if all.of("no expression of a rule") != nil {
		t.Error("a tree for a text that has none")
	}
}

// changed is a file system with one file in the place of another.
type changed struct {
	fs.FS
	name string
	text []byte
}

func (c changed) Open(name string) (fs.File, error) {
	if name == c.name {
		return fstest.MapFS{name: {Data: c.text}}.Open(name)
	}
	return c.FS.Open(name)
}

// Start of the program: the vocabulary and the rules, ready made.
func BenchmarkLoadProven(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := LoadProven(rules.FS); err != nil {
			b.Fatal(err)
		}
	}
}

// One expression after the other, from its ready tree and from its text.
func BenchmarkProgram(b *testing.B) {
	book, _ := readAnew(b)
	texts, ready := textsOf(book), readyTrees()
	if ready == nil {
		b.Fatal("ready.bin cannot be read")
	}
	i := 0
	next := func() string { i++; return texts[i%len(texts)] }
	b.Run("ready", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := book.Words.env.PlanProgram(ready.of(next())); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("compiled", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			var tree *cel.Ast
			tree, issues := book.Words.env.Compile(next())
			if issues.Err() != nil {
				b.Fatal(issues.Err())
			}
			if _, err := book.Words.env.Program(tree); err != nil {
				b.Fatal(err)
			}
		}
	})
}
