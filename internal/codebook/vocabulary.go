package codebook

import (
	"fmt"
	"maps"
	"slices"
	"sort"
	"strings"

	"cel.dev/cel-go/cel"
	"cel.dev/cel-go/common/types"
	"cel.dev/cel-go/common/types/ref"
	"github.com/BurntSushi/toml"

	"plumbrule/internal/quantity"
	"plumbrule/internal/source"
	"plumbrule/internal/terms"
	_ "plumbrule/internal/terms/all"
)

// Vocabulary is what expressions may speak of: the kinds and terms of package
// terms, and the terms that rule files add. A term that is an expression over
// others is data: one file rules/terms/<kind>/<term>.toml with its meaning,
// type, source and value.
type Vocabulary struct {
	env      *cel.Env
	programs *programs
	added    map[*terms.Kind]map[string]*definition
}

// definition is a term that a file adds.
type definition struct {
	term  *terms.Term
	text  string // the value as written
	file  *source.File
	value *expression
}

// definitionFile is such a file as TOML writes it.
type definitionFile struct {
	Meaning string `toml:"meaning"`
	Type    string `toml:"type"`
	Source  string `toml:"source"`
	Value   string `toml:"value"`
}

func newVocabulary() (*Vocabulary, error) {
	v := &Vocabulary{added: map[*terms.Kind]map[string]*definition{}}
	var err error
	if v.env, err = newEnv(v); err != nil {
		return nil, err
	}
	v.programs = newPrograms(v.env, v.fingerprint)
	return v, nil
}

// with is the vocabulary with room for further terms.
func (v *Vocabulary) with() (*Vocabulary, error) {
	more, err := newVocabulary()
	if err != nil {
		return nil, err
	}
	for k, terms := range v.added {
		more.added[k] = maps.Clone(terms)
	}
	return more, nil
}

// Term returns the term of a kind with that name, or nil.
func (v *Vocabulary) Term(k *terms.Kind, name string) *terms.Term {
	if t := k.Term(name); t != nil {
		return t
	}
	if d := v.added[k][name]; d != nil {
		return d.term
	}
	return nil
}

// Terms returns all terms of a kind, sorted by name.
func (v *Vocabulary) Terms(k *terms.Kind) []*terms.Term {
	out := k.Terms()
	for _, d := range v.added[k] {
		out = append(out, d.term)
	}
	sort.Slice(out, func(i, j int) bool { return out[i].Name < out[j].Name })
	return out
}

// Expression gives the value of a term as its file writes it, "" for a term
// that is Go.
func (v *Vocabulary) Expression(t *terms.Term) string {
	if d := v.added[t.Kind()][t.Name]; d != nil && d.term == t {
		return d.text
	}
	return ""
}

// termTypes are the types a term that is data may have, by their words.
var termTypes = func() map[string]terms.Type {
	out := map[string]terms.Type{}
	for _, t := range []terms.Type{{Kind: terms.Number}, {Kind: terms.Count}, {Kind: terms.Flag}, {Kind: terms.Text}, {Kind: terms.Size}} {
		out[t.String()] = t
	}
	for _, d := range quantity.Dimensions() {
		t := terms.Type{Kind: terms.Measured, Dim: d}
		out[t.String()] = t
	}
	return out
}()

// define reads the files of terms, which is gives ready made where it is not nil. A value may read any term of any file, so
// all are known before the first is compiled.
func (v *Vocabulary) define(files []*source.File, is *readyRules, proven, outside bool) source.Faults {
	var faults source.Faults
	loaders := make([]*loader, len(files))
	made := make([]*definition, len(files))
	for i, f := range files {
		l := &loader{words: v, env: v.env, file: f, programs: v.programs, proven: proven, outside: outside}
		var f *definitionFile
		if is != nil {
			f = &is.Terms[i].Is
		}
		loaders[i], made[i] = l, l.definition(f)
		if d := made[i]; d != nil && len(l.faults) == 0 {
			k := d.term.Kind()
			if v.added[k] == nil {
				v.added[k] = map[string]*definition{}
			}
			v.added[k][d.term.Name] = d
		}
	}
	for i, l := range loaders {
		if d := made[i]; d != nil && len(l.faults) == 0 {
			l.value(d)
		}
		faults = append(faults, l.faults...)
	}
	if len(faults) == 0 && !proven {
		faults = v.circles()
	}
	return faults
}

// definition makes a term of one file: rules/terms/<kind>/<term>.toml, which is read
// where it is not given.
func (l *loader) definition(f *definitionFile) *definition {
	if l.index = (&source.Index{}); f == nil {
		if f = l.definitionFile(); f == nil {
			return nil
		}
	}
	return l.term(f)
}

// definitionFile reads the file of a term, or notes its faults.
func (l *loader) definitionFile() *definitionFile {
	if !l.proven {
		var err error
		if l.index, err = source.NewIndex(l.file); err != nil {
			l.faults = append(l.faults, asFaults(err, l.file)...)
			return nil
		}
	}
	f := &definitionFile{}
	md, err := toml.Decode(string(l.file.Text), f)
	if err != nil {
		l.faults = append(l.faults, asFaults(err, l.file)...)
		return nil
	}
	keys := []string{"meaning", "type", "source", "value"}
	for _, k := range md.Undecoded() {
		fault := source.Fault{At: l.at(k.String()), Message: fmt.Sprintf("unknown key %q", k)}
		fault.Nearest, _ = quantity.Nearest(k.String(), keys)
		l.faults = append(l.faults, fault)
	}
	for i, text := range []string{f.Meaning, f.Type, f.Source, f.Value} {
		if strings.TrimSpace(text) == "" {
			l.faults.Add(l.at(keys[i]), "a term needs its %s", keys[i])
		}
	}
	return f
}

// term makes the term that a file says.
func (l *loader) term(f *definitionFile) *definition {
	parts := strings.Split(strings.TrimSuffix(l.file.Name, ".toml"), "/")
	if len(parts) < 2 {
		l.faults.Add(l.file.Start(), "a term stands in a folder named after its kind: terms/<kind>/<term>.toml")
		return nil
	}
	kind, name := parts[len(parts)-2], parts[len(parts)-1]
	k := l.kind(kind, l.file.Start())
	t, known := termTypes[f.Type]
	if !known && f.Type != "" {
		words := slices.Sorted(maps.Keys(termTypes))
		fault := source.Fault{At: l.at("type"), Message: fmt.Sprintf("there is no type %q", f.Type), Expected: "one of " + strings.Join(words, ", ")}
		fault.Nearest, _ = quantity.Nearest(f.Type, words)
		l.faults = append(l.faults, fault)
	}
	if k == nil {
		return nil
	}
	if l.words.Term(k, name) != nil {
		l.faults.Add(l.file.Start(), "%s already has a term %s", kind, name)
		return nil
	}
	d := &definition{text: f.Value, file: l.file}
	d.term = terms.NewTerm(k, name, t, f.Meaning, f.Source, func(c *terms.Call, s *terms.Subject) any { return d.compute(l.words, c, s) })
	return d
}

// value compiles the value of a term and holds it to the stated type.
func (l *loader) value(d *definition) {
	l.each = d.term.Kind().Name
	d.value = l.compile("value", d.text, wantAny)
	if d.value == nil || d.value.ast == nil {
		return
	}
	if got, want := d.value.ast.OutputType(), celType(d.term.Type); got.TypeName() != want.TypeName() {
		l.faults.Add(l.at("value"), "the term is a %s but its value is a %s", d.term.Type, typeName(got))
	}
}

// circles refuses terms that depend on themselves by way of their files.
func (v *Vocabulary) circles() (faults source.Faults) {
	done, under := map[*definition]bool{}, map[*definition]bool{}
	var walk func(d *definition)
	walk = func(d *definition) {
		if done[d] || d.value == nil {
			return
		}
		if under[d] {
			faults.Add(d.file.Start(), "%s of %s depends on itself", d.term.Name, d.term.Kind().Name)
			done[d] = true
			return
		}
		under[d] = true
		for _, t := range v.termsIn(d.value.ast) {
			if inner := v.added[t.Kind()][t.Name]; inner != nil && inner.term == t {
				walk(inner)
			}
		}
		done[d] = true
	}
	for _, k := range terms.Kinds() {
		for _, name := range slices.Sorted(maps.Keys(v.added[k])) {
			walk(v.added[k][name])
		}
	}
	return faults
}

// compute evaluates the value of a term for a subject.
func (d *definition) compute(words *Vocabulary, c *terms.Call, s *terms.Subject) any {
	r := newRun(words, c)
	out, err := r.eval(d.value, s)
	if err != nil {
		c.Fail("%s of %s: %v", d.term.Name, s.Label(), err)
		return nil
	}
	var work []func(quantity.System) []string
	for _, read := range r.reads {
		c.Cite(read.Value.Refs...)
		if !read.Leads() {
			c.Drive(read.Value.At)
		}
		if read.Value.Work != nil {
			work = append(work, read.Value.Work)
		}
	}
	if u, ok := out.(*types.Unknown); ok {
		c.Need(r.missing(u)...)
		return nil
	}
	if e, ok := out.(*types.Err); ok {
		c.Fail("%s of %s: %v", d.term.Name, s.Label(), e)
		return nil
	}
	c.Explain(func(sys quantity.System) []string {
		var lines []string
		for _, w := range work {
			lines = append(lines, w(sys)...)
		}
		if shown, err := result(out); err == nil && shown.Form != IsFlag {
			lines = append(lines, d.term.Name+" = "+d.text+" = "+shown.Print(sys))
		}
		return lines
	}, nil)
	return native(out)
}

// native is a value of CEL as package terms keeps it.
func native(v ref.Val) any {
	switch v := v.(type) {
	case measure:
		return v.si
	case types.Double:
		return float64(v)
	case types.Int:
		return int(v)
	case types.Bool:
		return bool(v)
	case types.String:
		return string(v)
	case wire:
		return quantity.Size(v)
	}
	return nil
}
