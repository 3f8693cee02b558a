package codebook

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"maps"
	"path"
	"regexp"
	"slices"
	"strings"

	"cel.dev/cel-go/cel"
	"github.com/BurntSushi/toml"
	"github.com/xeipuuv/gojsonschema"

	"plumbrule/internal/bound"
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/source"
	"plumbrule/internal/terms"
	"plumbrule/schema"
)

// Amendment is what a layer of an authority changed of a check.
type Amendment struct {
	Layer string   // the layer's name
	By    string   // where it says so: an ordinance and its section
	Says  []string // what is changed, each with what stood before
	At    source.Span
}

// String is the amendment in a line, without its layer.
func (a Amendment) String() string { return strings.Join(a.Says, "; ") }

// Authority is the word of an authority that a codebook stands under, for the
// record of a review.
type Authority struct {
	Layers  []Layer        // the widest first
	Files   []*source.File // all that was read for it
	Decided []Decided
	Applied string // date of the application by which it was decided; "" where nothing is dated
	RuleSet int    // version of the rule set that it holds to; 0 for the newest
	Added   []Added
	Later   []string // what it says for applications of a later date, in words
}

// Added is a check that a layer brought.
type Added struct{ Check, Layer string }

// Layer is one pack of an authority.
type Layer struct{ Name, Level, Ordinance, File string }

// Decided is an edition that is in force, and which layer says so, where.
type Decided struct {
	Code, Edition, Layer, By, From string // Edition is "" for a code that is not adopted
	At                             source.Span
}

// Part is where the keys of a check stand in a file that holds more than one.
type Part struct {
	File  *source.File
	Index *source.Index
	Under string // path of the table: "amends[2]"
}

// LimitText is a limit as a file writes it: at most one of the four, for editions of
// one code or, without a code, for all.
type LimitText = limitFile

// Change is what an amendment changes of a check, as it is written; what is left
// out stays.
type Change struct {
	Title                            string
	When, AlsoWhen                   string // a condition in the place of the check's, or one more
	AtMost, AtLeast, Equals, Require string // a limit in the place of all others
	Limits                           []LimitText
	Finding, Remedy, Because         string
	Provenance                       string // how sure another limit is
	Severity                         Severity
	Editions                         map[string][]string // the editions for which the check holds, by code
	Withdrawn                        bool
	Examples                         []Example
}

// Amended is the codebook with a check as an amendment has it. The faults name what
// of the change cannot be, at its place in the file.
func (b *Codebook) Amended(id string, change Change, at Part, by Amendment) (*Codebook, source.Faults) {
	was := b.Check(id)
	c := *was
	l := &loader{words: b.Words, env: b.Words.env, file: at.File, index: at.Index, under: at.Under, programs: b.Words.programs, each: was.Each.Name, outside: true}
	c.words = b.Words
	l.condition(&c, change, &by)
	l.newLimits(&c, change, &by)
	l.newEditions(&c, change.Editions, &by)
	if change.Title != "" {
		c.Title = change.Title
	}
	for _, s := range []struct {
		key, text string
		to        **template
	}{{"finding", change.Finding, &c.finding}, {"remedy", change.Remedy, &c.remedy}} {
		if s.text != "" {
			*s.to = l.template(s.key, s.text)
			by.Says = append(by.Says, "another "+s.key)
		}
	}
	if change.Because != "" {
		c.Because = change.Because
	}
	if change.otherLimits() {
		c.Provenance = change.Provenance
		l.saysNumbers(was, change)
	} else if change.Provenance != "" {
		l.fault("provenance", "provenance is about a limit, and the amendment gives none")
	}
	if change.Severity != "" && change.Severity != was.Severity {
		c.Severity = change.Severity
		by.Says = append(by.Says, fmt.Sprintf("severity %s, before %s", c.Severity, was.Severity))
	}
	if change.Withdrawn {
		by.Says = append(by.Says, "withdrawn")
		c.Off = fmt.Sprintf("withdrawn by %s, %s", by.Layer, by.By)
	}
	if len(by.Says) == 0 && len(l.faults) == 0 {
		l.fault("", "the amendment of %s changes nothing", id)
	}
	if len(l.faults) > 0 {
		return b, l.faults
	}
	c.Examples = change.Examples
	for i := range c.Examples {
		c.Examples[i].At = l.at(fmt.Sprintf("example[%d]", i))
	}
	c.later = nil // what was put off is compiled by the check before
	c.Amended = append(slices.Clone(was.Amended), by)
	return b.replaced(&c), nil
}

// otherLimits tells whether the change gives a limit.
func (c *Change) otherLimits() bool {
	return c.AtMost+c.AtLeast+c.Equals+c.Require != "" || len(c.Limits) > 0
}

// saysNumbers refuses another limit beside a sentence of the check that speaks of
// the number before.
func (l *loader) saysNumbers(was *Check, change Change) {
	for _, s := range []struct{ key, said, instead string }{
		{"title", was.Title, change.Title}, {"finding", was.finding.plain(), change.Finding}, {"remedy", was.remedy.plain(), change.Remedy},
	} {
		if s.instead == "" && strings.ContainsAny(s.said, "0123456789") {
			l.fault("", "the %s of %s speaks of a number, which the amendment may have changed: %q; give %s", s.key, was.ID, s.said, s.key)
		}
	}
}

// plain is what a sentence says besides the values in it.
func (t *template) plain() string {
	if t == nil {
		return ""
	}
	var out strings.Builder
	for _, part := range t.parts {
		if s, ok := part.(string); ok {
			out.WriteString(s)
		} else {
			out.WriteString("...")
		}
	}
	return out.String()
}

// condition puts another condition in the place of the check's, or one more.
func (l *loader) condition(c *Check, change Change, by *Amendment) {
	before := c.WhenText
	if change.When != "" {
		if c.when = l.compile("when", change.When, wantFlag); c.when != nil {
			c.WhenText = change.When
		}
		by.Says = append(by.Says, "applies when "+onOneLine(change.When)+", before "+orAlways(before))
	}
	if change.AlsoWhen != "" {
		x := l.compile("also_when", change.AlsoWhen, wantFlag)
		if x == nil {
			return
		}
		if c.WhenText == "" {
			c.when, c.WhenText = x, change.AlsoWhen
		} else {
			c.WhenText = "(" + c.WhenText + ") && (" + change.AlsoWhen + ")"
			c.when = l.whole(c.WhenText)
		}
		by.Says = append(by.Says, "applies only when "+onOneLine(change.AlsoWhen)+" besides")
	}
}

func orAlways(when string) string {
	if when == "" {
		return "always"
	}
	return "when " + onOneLine(when)
}

// newLimits puts other limits in the place of those that the change names, and of
// all where it gives one without editions.
func (l *loader) newLimits(c *Check, change Change, by *Amendment) {
	old := c.Limits
	f := &ruleFile{AtMost: change.AtMost, AtLeast: change.AtLeast, Equals: change.Equals, Require: change.Require, Limits: change.Limits}
	if !change.otherLimits() {
		return
	}
	if c.measure != nil {
		c.measure = l.whole(c.Measure) // with its type, which a proven check does not hold
	}
	for i, lf := range f.Limits {
		l.named(fmt.Sprintf("limit[%d]", i), lf.Code, lf.Editions)
	}
	c.Limits = nil
	l.limits(c, f)
	for i := range c.Limits {
		n := &c.Limits[i]
		if !slices.ContainsFunc(old, func(o Limit) bool { return o.Kind == n.Kind }) {
			l.fault("", "%s holds its measure %s; an amendment that has it %s would turn the check round", c.ID, old[0].Kind, n.Kind)
		}
		by.Says = append(by.Says, n.String()+", before "+before(old, n))
	}
	if f.AtMost+f.AtLeast+f.Equals+f.Require != "" {
		return
	}
	for _, o := range old { // those of other editions stay
		o.Editions = slices.DeleteFunc(slices.Clone(o.Editions), func(e string) bool {
			return slices.ContainsFunc(f.Limits, func(n limitFile) bool { return n.Code == o.Code && slices.Contains(n.Editions, e) })
		})
		if o.Code == "" || len(o.Editions) > 0 {
			c.Limits = append(c.Limits, o)
		}
	}
}

// before says which limits stood where a new one does.
func before(old []Limit, n *Limit) string {
	var words []string
	for _, o := range old {
		if n.Code == "" || o.Code == "" || o.Code == n.Code && slices.ContainsFunc(o.Editions, func(e string) bool { return slices.Contains(n.Editions, e) }) {
			words = append(words, o.String())
		}
	}
	if len(words) == 0 {
		return "none"
	}
	return strings.Join(words, ", ")
}

// String is the limit in words: "at most 4 psf", "at least 3 under NEC 2020".
func (l Limit) String() string {
	s := string(l.Kind) + " " + onOneLine(l.Text)
	if l.Code != "" {
		s += " under " + l.Code + " " + strings.Join(l.Editions, ", ")
	}
	return s
}

// plainQuantity is an expression that is one quantity and nothing else.
var plainQuantity = regexp.MustCompile(`^q\("([^"]*)"\)$`)

// onOneLine is an expression on one line; a quantity as it is written.
func onOneLine(text string) string {
	text = strings.Join(strings.Fields(text), " ")
	if m := plainQuantity.FindStringSubmatch(text); m != nil {
		return m[1]
	}
	return text
}

// whole compiles an expression that is known to be good, at once.
func (l *loader) whole(text string) *expression {
	tree, issues := l.env.Compile(text)
	if issues.Err() != nil {
		l.fault("", "%s: %v", text, issues.Err())
		return nil
	}
	program, err := l.env.Program(tree, cel.CostLimit(bound.EvaluationCost), cel.InterruptCheckFrequency(100))
	if err != nil {
		l.fault("", "%s: %v", text, err)
		return nil
	}
	return &expression{text: text, ast: tree, program: program, made: l.programs, at: l.at(""), outside: true}
}

// newEditions has a check hold for other editions of codes that it cites.
func (l *loader) newEditions(c *Check, editions map[string][]string, by *Amendment) {
	for _, code := range slices.Sorted(maps.Keys(editions)) {
		hold, key := editions[code], source.Key("editions", code)
		if !l.named(key, code, hold) {
			continue
		}
		var cites []Citation
		var cited, gone []string
		for _, x := range c.Cites {
			if x.Code == code {
				cited = append(cited, x.Editions...)
				gone = append(gone, slices.DeleteFunc(slices.Clone(x.Editions), func(e string) bool { return slices.Contains(hold, e) })...)
				x.Editions = slices.DeleteFunc(slices.Clone(x.Editions), func(e string) bool { return !slices.Contains(hold, e) })
				if len(x.Editions) == 0 {
					continue
				}
			}
			cites = append(cites, x)
		}
		if len(cited) == 0 {
			l.fault(key, "%s does not stand under the %s; a check of the layer's own can", c.ID, code)
			continue
		}
		if more := slices.DeleteFunc(slices.Clone(hold), func(e string) bool { return slices.Contains(cited, e) }); len(more) > 0 {
			cites = append(cites, Citation{Code: code, Editions: more, Section: by.By})
		}
		c.Cites = cites
		c.Silent = slices.DeleteFunc(slices.Clone(c.Silent), func(s Silence) bool { return s.Code == code })
		if len(gone) > 0 {
			c.Silent = append(c.Silent, Silence{Code: code, Editions: gone, Why: by.Layer + ", " + by.By})
		}
		by.Says = append(by.Says, fmt.Sprintf("holds for %s %s, before %s", code, strings.Join(hold, ", "), strings.Join(cited, ", ")))
	}
}

// named refuses a code that nobody adopts, and editions that it does not have.
func (l *loader) named(path, name string, editions []string) bool {
	code, ok := job.CodeNamed(name)
	if !ok {
		at := path
		if l.index.Has(l.path(path + ".code")) {
			at += ".code"
		}
		l.near(at, name, job.CodeNames(), "%q is not a code that a job adopts", name)
		return false
	}
	for i, e := range editions {
		if !slices.Contains(code.Known(), e) {
			at := fmt.Sprintf("%s.editions[%d]", path, i)
			if !l.index.Has(l.path(at)) {
				at = fmt.Sprintf("%s[%d]", path, i)
			}
			l.near(at, e, code.Known(), "the %s has no edition %q here", name, e)
			ok = false
		}
	}
	return ok
}

// near is a fault about a word that is none of those that there are.
func (l *loader) near(path, word string, words []string, format string, a ...any) {
	l.fault(path, format, a...)
	last := &l.faults[len(l.faults)-1]
	last.Expected = "one of " + strings.Join(words, ", ")
	last.Nearest, _ = quantity.Nearest(word, words)
}

// replaced is the codebook with a check in the place of the one of its ID.
func (b *Codebook) replaced(c *Check) *Codebook {
	out := *b
	out.Checks = slices.Clone(b.Checks)
	out.Checks[slices.IndexFunc(out.Checks, func(x *Check) bool { return x.ID == c.ID })] = c
	return &out
}

// Made is a check that a table of a file stands for, as the keys of a rule file
// would say it.
type Made struct {
	ID, Title, Each, When, Measure, AtMost, AtLeast, Equals, Require, Because, Finding, Remedy, Paper string
	Severity                                                                                          Severity
	Cites                                                                                             []Citation
	Examples                                                                                          []Example
}

// Make adds a check that a table of a file stands for. An expression that the table
// itself gives has its faults there, under the same key.
func (b *Codebook) Make(m Made, at Part) (*Codebook, source.Faults) {
	l := &loader{words: b.Words, env: b.Words.env, file: at.File, index: at.Index, under: at.Under, programs: b.Words.programs, outside: true}
	f := &ruleFile{Title: m.Title, Severity: m.Severity, Each: m.Each, When: m.When, Measure: m.Measure, AtMost: m.AtMost, AtLeast: m.AtLeast, Equals: m.Equals,
		Require: m.Require, Because: m.Because, Finding: m.Finding, Remedy: m.Remedy, Paper: m.Paper, Cites: m.Cites, Examples: m.Examples}
	c := l.check(f)
	if len(l.faults) > 0 {
		return b, l.faults
	}
	c.ID = m.ID
	c.Discipline, _, _ = strings.Cut(m.ID, "/")
	c.At = l.at("")
	return b.With(&Codebook{Checks: []*Check{c}, Words: b.Words}), nil
}

// Pinned is the codebook held to a version of the rule set: checks that came later
// hold nowhere, and say so.
func (b *Codebook) Pinned(version int, by string) *Codebook {
	out := *b
	out.Checks = slices.Clone(b.Checks)
	for i, c := range out.Checks {
		if c.Since > version && c.Off == "" {
			late := *c
			late.Off = fmt.Sprintf("came with rule set %d, and %s holds to rule set %d", c.Since, by, version)
			out.Checks[i] = &late
		}
	}
	return &out
}

// Newest is the version of the rule set: that of its newest check.
func (b *Codebook) Newest() int {
	newest := 1
	for _, c := range b.Checks {
		newest = max(newest, c.Since)
	}
	return newest
}

// Under is the codebook with the authority that amended it, and a hash of the one
// before with the texts of the authority's files.
func (b *Codebook) Under(a *Authority, before *Codebook, files []*source.File) *Codebook {
	out := *b
	a.Files = files
	out.Authority = a
	h := sha256.New()
	h.Write([]byte(before.Hash))
	for _, f := range files {
		fingerprint(h, path.Base(f.Name), f.Text) // without the folder, which may be spelt in more than one way
	}
	out.Hash = hex.EncodeToString(h.Sum(nil))
	return &out
}

// Conform reads a TOML file and holds it against one of the project's schemas; every
// fault has its place, a key that is not known the nearest that is.
func Conform(file *source.File, name string, into any) (*source.Index, source.Faults) {
	l := &loader{file: file}
	text, err := schema.FS.ReadFile(name)
	if err != nil {
		return nil, asFaults(err, file)
	}
	if l.schema, err = gojsonschema.NewSchema(gojsonschema.NewBytesLoader(text)); err != nil {
		return nil, asFaults(err, file)
	}
	if l.index, err = source.NewIndex(file); err != nil {
		return nil, asFaults(err, file)
	}
	var tree map[string]any
	if _, err := toml.Decode(string(file.Text), &tree); err != nil {
		return nil, asFaults(err, file)
	}
	var whole map[string]any
	if err := json.Unmarshal(text, &whole); err != nil {
		return nil, asFaults(err, file)
	}
	l.keys = func(at string) []string { return schemaKeys(whole, at) }
	if l.validate(tree); len(l.faults) > 0 {
		return nil, l.faults.Sorted()
	}
	if _, err := toml.Decode(string(file.Text), into); err != nil {
		return nil, asFaults(err, file)
	}
	return l.index, nil
}

// schemaKeys lists the keys that a schema has for the table at a path.
func schemaKeys(whole map[string]any, at string) []string {
	node := whole
	for _, key := range strings.FieldsFunc(at, func(r rune) bool { return r == '.' }) {
		name, _, list := strings.Cut(key, "[")
		properties, _ := node["properties"].(map[string]any)
		if node, _ = properties[name].(map[string]any); list {
			node, _ = node["items"].(map[string]any)
		}
		if ref, ok := node["$ref"].(string); ok {
			definitions, _ := whole["definitions"].(map[string]any)
			node, _ = definitions[strings.TrimPrefix(ref, "#/definitions/")].(map[string]any)
		}
	}
	properties, _ := node["properties"].(map[string]any)
	return slices.Sorted(maps.Keys(properties))
}

// Papers lists the kinds of paper that a job may list.
func Papers() []string { return terms.KindByName("document").Term("kind").Words }
