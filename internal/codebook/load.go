package codebook

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"slices"
	"sort"
	"strings"

	"cel.dev/cel-go/cel"
	"github.com/BurntSushi/toml"
	"github.com/xeipuuv/gojsonschema"

	"plumbrule/internal/job"
	"plumbrule/internal/parallel"
	"plumbrule/internal/quantity"
	"plumbrule/internal/source"
	"plumbrule/internal/terms"
	"plumbrule/schema"
)

// ruleFile is a check as its TOML file writes it.
type ruleFile struct {
	Title      string      `toml:"title"`
	Severity   Severity    `toml:"severity"`
	Each       string      `toml:"each"`
	When       string      `toml:"when"`
	Measure    string      `toml:"measure"`
	AtMost     string      `toml:"at_most"`
	AtLeast    string      `toml:"at_least"`
	Equals     string      `toml:"equals"`
	Within     string      `toml:"within"`
	Require    string      `toml:"require"`
	Draws      Drawn       `toml:"draws"`
	Paper      string      `toml:"paper"`
	Mends      []string    `toml:"mends"`
	Gathers    Gathered    `toml:"gathers"`
	Excusable  *bool       `toml:"excusable"`
	Governs    string      `toml:"governs"`
	Because    string      `toml:"because"`
	Finding    string      `toml:"finding"`
	Remedy     string      `toml:"remedy"`
	Provenance string      `toml:"provenance"`
	Scope      []string    `toml:"scope"`
	Limits     []limitFile `toml:"limit"`
	Cites      []Citation  `toml:"cite"`
	Silent     []Silence   `toml:"silent"`
	Since      int         `toml:"since"`
	Vary       []Vary      `toml:"vary"`
	Examples   []Example   `toml:"example"`
}

// limitFile is a limit for some editions of a code, as TOML writes it.
type limitFile struct {
	Code     string   `toml:"code"`
	Editions []string `toml:"editions"`
	AtMost   string   `toml:"at_most"`
	AtLeast  string   `toml:"at_least"`
	Equals   string   `toml:"equals"`
	Require  string   `toml:"require"`
}

// Load reads every check below the folders of fsys, except tables/, and
// compiles it. All faults of all files are returned at once, as source.Faults.
func Load(fsys fs.FS) (*Codebook, error) { return load(fsys, false) }

// LoadProven reads rules that Load is known to accept, as the tests prove of
// the embedded ones: it leaves out the schema and the examples, takes what is ready
// made, and compiles the rest of the expressions when they are first used.
func LoadProven(fsys fs.FS) (*Codebook, error) { return load(fsys, true) }

// Edition tells which rules LoadProven reads, by their hash, and how many checks they
// are; it reads no more than it needs for that.
func Edition(fsys fs.FS) (sum string, checks int, err error) {
	if sum, err = hash(fsys); err != nil {
		return "", 0, err
	}
	if parts, err := readyParts(); err == nil && parts.Hash == sum {
		return sum, parts.Checks, nil
	}
	b, err := LoadProven(fsys)
	if err != nil {
		return "", 0, err
	}
	return b.Hash, len(b.Checks), nil
}

func load(fsys fs.FS, proven bool) (*Codebook, error) {
	var sum string
	var words *Vocabulary
	var errs [2]error
	parallel.Each(2, func(i int) {
		if i == 0 {
			sum, errs[i] = hash(fsys)
		} else {
			words, errs[i] = newVocabulary()
		}
	})
	if err := errors.Join(errs[:]...); err != nil {
		return nil, err
	}
	var err error
	var is *readyRules
	if proven {
		is = readyFor(sum)
	}
	var added, files []*source.File
	if is != nil {
		added, files = is.files()
	} else {
		if added, err = readAll(fsys, "terms/*/*.toml"); err != nil {
			return nil, err
		}
		if files, err = readAll(fsys, "*/*.toml"); err != nil {
			return nil, err
		}
	}
	b, err := compileFiles(words, added, files, is, proven, false)
	if err != nil {
		return nil, err
	}
	b.Hash = sum
	return b, nil
}

// readAll reads the files that a pattern names, sorted.
func readAll(fsys fs.FS, pattern string) ([]*source.File, error) {
	names, err := fs.Glob(fsys, pattern)
	if err != nil {
		return nil, err
	}
	sort.Strings(names)
	names = slices.DeleteFunc(names, func(name string) bool { return strings.HasPrefix(name, "packs/") }) // which holds no checks of its own
	files := make([]*source.File, len(names))
	for i, name := range names {
		text, err := fs.ReadFile(fsys, name)
		if err != nil {
			return nil, err
		}
		files[i] = source.NewFile(name, text)
	}
	return files, nil
}

// hash fingerprints every rule and table file with its name.
func hash(fsys fs.FS) (string, error) {
	h := sha256.New()
	var text bytes.Buffer // of one file after the other: the texts of all would be memory for nothing
	err := fs.WalkDir(fsys, ".", func(p string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || path.Ext(p) != ".toml" {
			return err
		}
		f, err := fsys.Open(p)
		if err != nil {
			return err
		}
		defer f.Close()
		text.Reset()
		if _, err := text.ReadFrom(f); err != nil {
			return err
		}
		fingerprint(h, p, text.Bytes())
		return nil
	})
	return hex.EncodeToString(h.Sum(nil)), err
}

func fingerprint(w io.Writer, name string, text []byte) {
	fmt.Fprintf(w, "%s %d\n", name, len(text))
	w.Write(text)
}

// Add compiles further rule files against the vocabulary of a codebook, and
// gives them as a codebook of their own. The ID of a check is the file's
// folder and name; a file terms/<kind>/<term>.toml adds a term that these files
// may use.
func (b *Codebook) Add(files []*source.File) (*Codebook, error) {
	words, err := b.Words.with()
	if err != nil {
		return nil, err
	}
	var added, checks []*source.File
	for _, f := range files {
		if parts := strings.Split(f.Name, "/"); len(parts) >= 3 && parts[len(parts)-3] == "terms" {
			added = append(added, f)
		} else {
			checks = append(checks, f)
		}
	}
	more, err := compileFiles(words, added, checks, nil, false, true)
	if err != nil {
		return nil, err
	}
	for _, c := range more.Checks {
		c.Local = true
	}
	h := sha256.New()
	for _, f := range files {
		fingerprint(h, within(f.Name), f.Text)
	}
	more.Hash = hex.EncodeToString(h.Sum(nil))
	return more, nil
}

// within is the name of a rule file below the folder that was added, however that
// is spelt: the folder of its discipline, or terms and its kind, and its own name.
func within(name string) string {
	parts := strings.Split(name, "/")
	if n := len(parts); n >= 3 && parts[n-3] == "terms" {
		return strings.Join(parts[n-3:], "/")
	} else if n >= 2 {
		return strings.Join(parts[n-2:], "/")
	}
	return name
}

// compileFiles makes the checks of files, which is gives ready made where it is not nil.
func compileFiles(words *Vocabulary, added, files []*source.File, is *readyRules, proven, outside bool) (*Codebook, error) {
	var validator *gojsonschema.Schema
	if !proven {
		var err error
		if validator, err = ruleSchema(); err != nil {
			return nil, err
		}
	}
	before := words.define(added, is, proven, outside)
	b := &Codebook{Checks: make([]*Check, len(files)), Words: words}
	// Each worker fills its own slots, so the result does not depend on how
	// many there are.
	faults := make([]source.Faults, len(files))
	parallel.Each(len(files), func(i int) {
		l := &loader{words: words, env: words.env, schema: validator, file: files[i], programs: words.programs, proven: proven, outside: outside}
		if is != nil {
			l.ready = &is.Checks[i].Is
		}
		b.Checks[i] = l.load()
		faults[i] = l.faults
	})
	if all := append(before, slices.Concat(faults...)...); len(all) > 0 {
		return nil, all.Sorted()
	}
	sort.SliceStable(b.Checks, func(i, j int) bool { return b.Checks[i].ID < b.Checks[j].ID })
	var twice source.Faults
	for i := 1; i < len(b.Checks); i++ {
		if b.Checks[i].ID == b.Checks[i-1].ID {
			twice = append(twice, source.Fault{At: b.Checks[i].At, Message: fmt.Sprintf("two files hold the check %s", b.Checks[i].ID),
				Also: []source.Further{{At: b.Checks[i-1].At, Note: "the other file"}}})
		}
	}
	if err := twice.Err(); err != nil {
		return nil, err
	}
	return b, nil
}

func ruleSchema() (*gojsonschema.Schema, error) {
	text, err := schema.FS.ReadFile("rules.schema.json")
	if err != nil {
		return nil, err
	}
	return gojsonschema.NewSchema(gojsonschema.NewBytesLoader(text))
}

// loader reads one rule file.
type loader struct {
	words   *Vocabulary
	env     *cel.Env
	schema  *gojsonschema.Schema
	file    *source.File
	index   *source.Index
	faults  source.Faults
	each    string
	under   string                   // the table of the file that holds the keys of the check; "" for the whole file
	keys    func(at string) []string // the keys that the table at a path may hold; nil: those of a rule file
	proven  bool                     // the file is known to be good: its expressions are compiled on first use
	outside bool                     // the file is a third party's: what its expressions cost is bounded

	ready    *ruleFile // what the file says, where it need not be read
	programs *programs
	later    []*expression // those that are compiled on first use
}

func (l *loader) load() *Check {
	if l.index = (&source.Index{}); l.ready != nil {
		return l.check(l.ready)
	}
	if !l.proven {
		var err error
		if l.index, err = source.NewIndex(l.file); err != nil {
			l.faults = append(l.faults, asFaults(err, l.file)...)
			return nil
		}
		var tree map[string]any
		if _, err := toml.Decode(string(l.file.Text), &tree); err != nil {
			l.faults = append(l.faults, asFaults(err, l.file)...)
			return nil
		}
		if l.validate(tree); len(l.faults) > 0 {
			return nil
		}
	}
	var f ruleFile
	if _, err := toml.Decode(string(l.file.Text), &f); err != nil {
		l.faults = append(l.faults, asFaults(err, l.file)...)
		return nil
	}
	if l.proven {
		f.Examples = nil
	}
	return l.check(&f)
}

// asFaults places an error of a parser in the file.
func asFaults(err error, f *source.File) source.Faults {
	if faults, ok := err.(source.Faults); ok {
		return faults
	}
	var parse toml.ParseError
	if errors.As(err, &parse) {
		start := min(max(parse.Position.Start, 0), len(f.Text))
		return source.Faults{{At: source.Span{File: f, Start: start, End: min(start+max(parse.Position.Len, 0), len(f.Text))}, Message: "not TOML: " + parse.Message}}
	}
	return source.Faults{{At: f.Start(), Message: err.Error()}}
}

// validate holds the file against the JSON Schema of rule files.
func (l *loader) validate(tree map[string]any) {
	encoded, err := json.Marshal(tree)
	if err != nil {
		l.faults.Add(l.file.Start(), "the file holds a value that a rule cannot: %v", err)
		return
	}
	result, err := l.schema.Validate(gojsonschema.NewBytesLoader(encoded))
	if err != nil {
		l.faults.Add(l.file.Start(), "%v", err)
		return
	}
	for _, e := range result.Errors() {
		at := schemaPath(e.Context().String())
		if e.Type() == "additional_property_not_allowed" {
			word := fmt.Sprint(e.Details()["property"])
			fault := source.Fault{At: l.at(source.Key(at, word)), Path: source.DataPath(source.Key(at, word)), Message: fmt.Sprintf("unknown key %q", word)}
			fault.Nearest, _ = quantity.Nearest(word, l.keysOf(at))
			l.faults = append(l.faults, fault)
			continue
		}
		if e.Type() == "unique" {
			first, second := fmt.Sprintf("%s[%v]", at, e.Details()["i"]), fmt.Sprintf("%s[%v]", at, e.Details()["j"])
			l.clash(second, first, source.FirstHere, "%s lists %s twice", lastKey(at), l.at(second).Text())
			continue
		}
		l.fault(at, "%s", wording(e))
	}
}

// fault notes what is wrong at a path of the file.
func (l *loader) fault(path, format string, a ...any) {
	l.faults = append(l.faults, source.Fault{At: l.at(path), Path: source.DataPath(l.path(path)), Message: fmt.Sprintf(format, a...)})
}

// clash notes what is wrong at a path because of what stands at another.
func (l *loader) clash(path, other, note, format string, a ...any) {
	l.fault(path, format, a...)
	last := &l.faults[len(l.faults)-1]
	last.Also = append(last.Also, source.Further{At: l.at(other), Note: note})
}

// wording says what the validator found in the words of the other faults.
func wording(e gojsonschema.ResultError) string {
	name := lastKey(schemaPath(e.Context().String()))
	switch d := e.Details(); e.Type() {
	case "array_min_items":
		return fmt.Sprintf("%s needs at least %v entries", name, d["min"])
	case "unique", "array_unique":
		return name + " lists something twice"
	case "string_gte":
		return name + " is empty"
	case "invalid_type":
		return fmt.Sprintf("%s is %s, expected %s", name, typeWords[fmt.Sprint(d["given"])], typeWords[fmt.Sprint(d["expected"])])
	}
	return e.Description()
}

// typeWords names the types of JSON Schema.
var typeWords = map[string]string{"string": "a text", "integer": "a number", "number": "a number", "boolean": "true or false", "array": "a list", "object": "a table", "null": "nothing"}

// schemaPath turns the validator's path "(root).cite.0.code" into ours.
func schemaPath(context string) string {
	out := ""
	for _, part := range strings.Split(context, ".")[1:] {
		if n := strings.Trim(part, "0123456789"); n == "" {
			out += "[" + part + "]"
			continue
		}
		out = source.Key(out, part)
	}
	return out
}

func (l *loader) keysOf(at string) []string {
	if l.keys != nil {
		return l.keys(at)
	}
	return ruleKeys(at)
}

func ruleKeys(at string) []string {
	switch {
	case strings.HasPrefix(at, "cite"):
		return []string{"code", "editions", "section", "note"}
	case strings.HasPrefix(at, "example"):
		return []string{"job", "set", "unset", "add", "subject", "expect"}
	case strings.HasPrefix(at, "limit"):
		return []string{"code", "editions", "at_most", "at_least", "equals", "require"}
	case strings.HasPrefix(at, "silent"):
		return []string{"code", "editions", "why"}
	case strings.HasPrefix(at, "vary"):
		return []string{"key", "field", "part", "direction", "step", "values", "code", "table", "column"}
	}
	return []string{"title", "severity", "each", "when", "measure", "at_most", "at_least", "equals", "within", "require", "draws", "paper", "mends", "gathers", "excusable", "governs", "because",
		"finding", "remedy", "provenance", "scope", "since", "limit", "cite", "silent", "vary", "example"}
}

// path is where a key of the check stands in the file.
func (l *loader) path(key string) string {
	switch {
	case l.under == "":
		return key
	case key == "":
		return l.under
	}
	return l.under + "." + key
}

// at is the place of a path: its value, or the nearest table above it.
func (l *loader) at(p string) source.Span {
	for p = l.path(p); p != ""; {
		if l.index.Has(p) {
			place := l.index.Of(p)
			if place.Value.Known() {
				return place.Value
			}
			return place.Best()
		}
		if i := strings.LastIndexAny(p, ".["); i > 0 {
			p = p[:i]
		} else {
			break
		}
	}
	return l.file.Start()
}

func (l *loader) check(f *ruleFile) *Check {
	id := strings.TrimSuffix(l.file.Name, ".toml")
	if parts := strings.Split(id, "/"); len(parts) > 2 {
		id = strings.Join(parts[len(parts)-2:], "/")
	}
	discipline, _, _ := strings.Cut(id, "/")
	c := &Check{ID: id, Discipline: discipline, Title: f.Title, Severity: f.Severity, WhenText: f.When, Measure: f.Measure, Draws: f.Draws, Paper: f.Paper, Mends: f.Mends, Gathers: f.Gathers,
		Because: f.Because, Provenance: f.Provenance, Scope: f.Scope, Cites: f.Cites, Silent: f.Silent, Since: f.Since, Examples: f.Examples, At: l.file.Start()}
	c.words = l.words
	c.Binding = f.Excusable != nil && !*f.Excusable
	if c.Each = l.kind(f.Each, l.at("each")); c.Each == nil {
		return nil
	}
	l.each = f.Each
	if f.When != "" {
		c.when = l.compile("when", f.When, wantFlag)
	}
	if f.Measure != "" {
		c.measure = l.compile("measure", f.Measure, wantComparable)
	}
	if f.Governs != "" {
		c.Governs = f.Governs
		c.governs = l.compile("governs", f.Governs, wantComparable)
	}
	for i, text := range f.Mends {
		if x := l.compile(fmt.Sprintf("mends[%d]", i), text, wantAny); x != nil {
			c.mends = append(c.mends, x)
		}
	}
	l.varies(c, f)
	l.limits(c, f)
	l.within(c, f)
	l.draws(c, f)
	l.paper(f)
	c.finding = l.template("finding", f.Finding)
	c.remedy = l.template("remedy", f.Remedy)
	c.later = l.later
	if l.proven {
		return c
	}
	cited := map[string]string{} // the path of each edition
	for i, cite := range f.Cites {
		_, adopted := job.CodeNamed(cite.Code)
		if adopted && len(cite.Editions) == 0 {
			l.fault(fmt.Sprintf("cite[%d].code", i), "a citation of %s names the editions it holds for", cite.Code)
		}
		if !adopted && len(cite.Editions) > 0 {
			l.fault(fmt.Sprintf("cite[%d].editions", i), "%s is not a code that a job adopts, so its citation has no editions", cite.Code)
		}
		if !adopted {
			l.meant(fmt.Sprintf("cite[%d].code", i), cite.Code)
		}
		l.knownEditions(fmt.Sprintf("cite[%d]", i), cite.Code, cite.Editions)
		l.editions(fmt.Sprintf("cite[%d]", i), cite.Code, cite.Editions, "citations", cited)
	}
	for i, silent := range f.Silent {
		path := fmt.Sprintf("silent[%d]", i)
		l.adoptable(path+".code", silent.Code)
		l.knownEditions(path, silent.Code, silent.Editions)
	}
	for i := range c.Examples {
		c.Examples[i].At = l.at(fmt.Sprintf("example[%d]", i))
	}
	return c
}

// kind finds a kind of thing by its name.
func (l *loader) kind(name string, at source.Span) *terms.Kind {
	k := terms.KindByName(name)
	if k == nil {
		var words []string
		for _, k := range terms.Kinds() {
			words = append(words, k.Name)
		}
		near, _ := quantity.Nearest(name, words)
		l.faults = append(l.faults, source.Fault{At: at, Message: fmt.Sprintf("there is no kind of thing called %q", name),
			Expected: "`plumbrule terms` lists them", Nearest: near})
	}
	return k
}

// paper refuses a kind of paper that a job cannot list.
func (l *loader) paper(f *ruleFile) {
	words := Papers()
	if f.Paper == "" || slices.Contains(words, f.Paper) {
		return
	}
	fault := source.Fault{At: l.at("paper"), Message: fmt.Sprintf("no paper of a submittal is of kind %q", f.Paper), Expected: "one of " + strings.Join(words, ", ")}
	fault.Nearest, _ = quantity.Nearest(f.Paper, words)
	l.faults = append(l.faults, fault)
}

// within compiles how far a measure may be from what it must equal.
func (l *loader) within(c *Check, f *ruleFile) {
	if f.Within == "" {
		return
	}
	c.Within = f.Within
	c.within = l.compile("within", f.Within, wantOrdered)
	if f.Equals == "" {
		l.fault("within", "within goes with equals")
	} else if !l.proven && c.within != nil && c.measure != nil && !sameType(c.within.ast.OutputType(), c.measure.ast.OutputType()) {
		l.fault("within", "within is a %s but the measure is a %s", typeName(c.within.ast.OutputType()), typeName(c.measure.ast.OutputType()))
	}
}

// editions refuses a second table for an edition of a code. seen holds the
// path of each edition so far.
func (l *loader) editions(path, code string, editions []string, what string, seen map[string]string) {
	for i, e := range editions {
		here, name := fmt.Sprintf("%s.editions[%d]", path, i), code+" "+e
		if first, twice := seen[name]; twice {
			l.clash(here, first, source.FirstHere, "%s has two %s", name, what)
			continue
		}
		seen[name] = here
	}
}

// codeNames are the codes that a job adopts.
func codeNames() (names []string) {
	for _, c := range job.Codes {
		names = append(names, c.Name)
	}
	return names
}

// adoptable refuses a code that no job adopts.
func (l *loader) adoptable(path, code string) {
	if _, adopted := job.CodeNamed(code); adopted {
		return
	}
	fault := source.Fault{At: l.at(path), Path: source.DataPath(path), Message: fmt.Sprintf("%q is not a code that a job adopts", code), Expected: "one of " + strings.Join(codeNames(), ", ")}
	fault.Nearest, _ = quantity.Nearest(code, codeNames())
	l.faults = append(l.faults, fault)
}

// meant refuses a document that is spelt almost as a code that a job adopts: as
// another document it would hold whatever is adopted.
func (l *loader) meant(path, code string) {
	if l.proven {
		return
	}
	plain := func(s string) string {
		return strings.ToLower(strings.NewReplacer(" ", "", "-", "", ".", "", "_", "").Replace(s))
	}
	for _, name := range codeNames() {
		rest, begins := strings.CutPrefix(plain(code), plain(name))
		if last := name[len(name)-1]; begins && last >= '0' && last <= '9' && rest != "" {
			begins = len(rest) >= 2 && strings.ContainsAny(code, "-") // ASCE 7-16, but not NFPA 13
		}
		if begins && strings.Trim(rest, "0123456789") == "" || slipped(plain(code), plain(name)) {
			l.faults = append(l.faults, source.Fault{At: l.at(path), Path: source.DataPath(path), Message: fmt.Sprintf("%q is not a code that a job adopts, and too like one to be another document", code), Nearest: name})
			return
		}
	}
}

// slipped reports whether a word is another one with two letters beside each other
// in each other's places, or a wrong last letter where no such document is: there
// are many whose names begin with I and end in C.
func slipped(a, b string) bool {
	if len(a) != len(b) || a == b {
		return false
	}
	for i := 0; i+1 < len(a); i++ {
		if a[i] != b[i] {
			return a[:i]+string(a[i+1])+string(a[i])+a[i+2:] == b
		}
	}
	return b[0] != 'i' && strings.Trim(b, "0123456789") == b
}

// knownEditions refuses editions that no job can adopt.
func (l *loader) knownEditions(path, code string, editions []string) {
	c, adopted := job.CodeNamed(code)
	if !adopted || l.proven {
		return
	}
	words := terms.KindByName("adoption").Term(c.Key).Words
	for i, e := range editions {
		if len(words) == 0 || slices.Contains(words, e) {
			continue
		}
		here := fmt.Sprintf("%s.editions[%d]", path, i)
		fault := source.Fault{At: l.at(here), Path: source.DataPath(here), Message: fmt.Sprintf("%s has no edition %q that a job adopts", code, e), Expected: "one of " + strings.Join(words, ", ")}
		fault.Nearest, _ = quantity.Nearest(e, words)
		l.faults = append(l.faults, fault)
	}
}

// limits compiles every limit and sees that the check has exactly one for each
// edition.
func (l *loader) limits(c *Check, f *ruleFile) {
	add := func(prefix, code string, editions []string, forms [4]string) {
		kinds := [4]LimitKind{AtMost, AtLeast, Equals, Require}
		keys := [4]string{"at_most", "at_least", "equals", "require"}
		first := ""
		for i, text := range forms {
			if text == "" {
				continue
			}
			if first == "" {
				first = keys[i]
			} else {
				l.clash(prefix+keys[i], prefix+first, "the other limit", "%s stands beside %s; give one of at_most, at_least, equals and require", keys[i], first)
			}
			want := wantFlag
			if kinds[i] != Require {
				want = wantOrdered
				if kinds[i] == Equals {
					want = wantComparable
				}
				if c.Measure == "" {
					l.fault(prefix+keys[i], "%s needs a measure", keys[i])
				}
			} else if c.Measure != "" {
				l.fault(prefix+keys[i], "a check has a measure with a limit, or require; not both")
			}
			e := l.compile(prefix+keys[i], text, want)
			if !l.proven && e != nil && c.measure != nil && kinds[i] != Require && !sameType(e.ast.OutputType(), c.measure.ast.OutputType()) {
				l.fault(prefix+keys[i], "the limit is a %s but the measure is a %s", typeName(e.ast.OutputType()), typeName(c.measure.ast.OutputType()))
			}
			c.Limits = append(c.Limits, Limit{Code: code, Editions: editions, Kind: kinds[i], Text: text, expr: e})
		}
	}
	add("", "", nil, [4]string{f.AtMost, f.AtLeast, f.Equals, f.Require})
	seen := map[string]string{}
	for i, lf := range f.Limits {
		prefix := fmt.Sprintf("limit[%d].", i)
		l.adoptable(prefix+"code", lf.Code)
		l.knownEditions(fmt.Sprintf("limit[%d]", i), lf.Code, lf.Editions)
		l.editions(fmt.Sprintf("limit[%d]", i), lf.Code, lf.Editions, "limits", seen)
		add(prefix, lf.Code, lf.Editions, [4]string{lf.AtMost, lf.AtLeast, lf.Equals, lf.Require})
	}
	if len(c.Limits) == 0 {
		l.faults.Add(l.at(""), "the check has no limit: give at_most, at_least, equals or require")
	}
}
