// Package codebook holds the codes as data: checks, the editions they hold
// for and the tables they use, read from TOML files. It compiles every
// expression of a check when it is loaded and refuses a bad one with the file,
// line and column of the TOML file. It knows the vocabulary and what the codes
// are called; it reads no job.
package codebook

import (
	"crypto/sha256"
	"encoding/hex"
	"slices"
	"strings"

	"plumbrule/internal/source"
	"plumbrule/internal/terms"
)

// Severity is how much a finding weighs.
type Severity string

const (
	Correction Severity = "correction" // must change before approval
	Verify     Severity = "verify"     // the reviewer must confirm what the file cannot prove, or sources disagree
	Advisory   Severity = "advisory"   // good practice
)

// Severities in order, gravest first.
var Severities = []Severity{Correction, Verify, Advisory}

// Rank orders severities, gravest first.
func (s Severity) Rank() int { return slices.Index(Severities, s) }

// Citation is where a rule stands: a code, the editions in which the section
// has this number, and the section. A citation with no editions holds always.
type Citation struct {
	Code     string   `toml:"code" json:"code"`
	Editions []string `toml:"editions" json:"editions,omitempty"`
	Section  string   `toml:"section" json:"section"`
	Note     string   `toml:"note" json:"note,omitempty"`
}

// Silence names editions of a code in which there is no such rule, so that the
// check does not apply under them.
type Silence struct {
	Code     string   `toml:"code"`
	Editions []string `toml:"editions"`
	Why      string   `toml:"why"`
}

// LimitKind is how a measure is held against its limit.
type LimitKind string

const (
	AtMost  LimitKind = "at most"
	AtLeast LimitKind = "at least"
	Equals  LimitKind = "equal to"
	Require LimitKind = "required" // a plain condition, no measure
)

// Limit is one limit of a check, for all editions or for some of one code.
type Limit struct {
	Code     string
	Editions []string // empty: all
	Kind     LimitKind
	Text     string // the expression as written
	expr     *expression
}

// Example proves a check: the job it is held against, what is changed in it,
// and the outcome it must give.
type Example struct {
	Job     string                      `toml:"job"`
	Set     map[string]any              `toml:"set"`
	Unset   []string                    `toml:"unset"`
	Add     map[string][]map[string]any `toml:"add"`     // entries that join lists of the job
	Subject string                      `toml:"subject"` // name of the subject looked at; "" where there is one
	Expect  string                      `toml:"expect"`
	At      source.Span                 `toml:"-"`
}

// Gathered is what a check says at once of the outcomes of all checks; "" for
// nothing.
type Gathered string

const (
	Unwritten Gathered = "unwritten" // which checks are not written for an adopted edition; theirs do not apply then
	Assumed   Gathered = "assumed"   // which values outcomes rest on that the job leaves out and a safe bound stands in for
	Sheets    Gathered = "sheets"    // which values that govern are not found in the text of the paper they should stand on
)

// Check is one rule.
type Check struct {
	ID         string // discipline and file name: "fire/ridge-strip"
	Discipline string
	Title      string
	Severity   Severity
	Each       *terms.Kind
	WhenText   string
	Measure    string // the expression as written, "" for a plain condition
	Limits     []Limit
	Within     string   // how far a measure may be from what it must equal, as written; "" for not at all
	Draws      Drawn    // what the limit is on a drawing; "" for nothing
	Paper      string   // kind of paper on which its matter stands, where it is not that of its discipline; "" where it is
	Mends      []string // what its remedy asks to change, as written, where that is not the measure; see Mended
	Varies     []*Vary  // what may be varied to put a finding right, in the order of trying
	Gathers    Gathered
	Binding    bool   // no deviation excuses what it finds: life hangs on it
	Governs    string // names the code whose words hold where several adopted codes have the rule, as written; "" for all of them
	Because    string // why the rule exists, in our words
	Provenance string // how sure the limit is, where not every value was seen published
	Scope      []string
	Cites      []Citation
	Silent     []Silence
	Since      int // version of the rule set with which it came; 0 for a check that is not the project's own
	Examples   []Example
	At         source.Span // start of its file
	Amended    []Amendment // what layers of an authority changed of it, in their order
	Off        string      // why it holds nowhere under the authority; "" where it does
	Local      bool        // of a folder of rules that was added, and not the project's own

	words         *Vocabulary
	when, measure *expression
	within        *expression
	governs       *expression
	mends         []*expression
	finding       *template
	remedy        *template
	later         []*expression // all that are compiled on first use
}

// LimitFor gives the limit that holds under an adoption: the first that names
// an adopted edition, else the one for all editions.
func (c *Check) LimitFor(adopted map[string]string) *Limit {
	var general *Limit
	for i := range c.Limits {
		l := &c.Limits[i]
		if l.Code == "" {
			general = l
		} else if slices.Contains(l.Editions, adopted[l.Code]) {
			return l
		}
	}
	return general
}

// Codebook is a set of checks.
type Codebook struct {
	Checks []*Check // sorted by ID
	Hash   string   // SHA-256 of all rule and table files, for the record of a review
	Words  *Vocabulary

	Authority *Authority // whose word amended it; nil where it stands as it is
}

// Compile compiles what is otherwise compiled on first use, such as while there
// is nothing else to do, for as long as more says so. It tells whether it came to
// the end; it may be called again to go on.
func (b *Codebook) Compile(more func() bool) bool {
	var all []*expression
	for _, c := range b.Checks {
		all = append(all, c.later...)
	}
	for _, terms := range b.Words.added {
		for _, d := range terms {
			all = append(all, d.value)
		}
	}
	for _, x := range all {
		if !more() {
			return false
		}
		_, _ = x.ready() // which says at its use what is wrong
	}
	return true
}

// With is the codebook with the checks of another, which stand in place of
// those with the same ID. Its hash names both.
func (b *Codebook) With(more *Codebook) *Codebook {
	sum := sha256.Sum256([]byte(b.Hash + " " + more.Hash))
	out := &Codebook{Hash: hex.EncodeToString(sum[:]), Checks: slices.Clone(more.Checks), Words: more.Words}
	for _, c := range b.Checks {
		if more.Check(c.ID) == nil {
			out.Checks = append(out.Checks, c)
		}
	}
	slices.SortFunc(out.Checks, func(x, y *Check) int { return strings.Compare(x.ID, y.ID) })
	return out
}

// Check returns the check with that ID, or nil.
func (b *Codebook) Check(id string) *Check {
	i, ok := slices.BinarySearchFunc(b.Checks, id, func(c *Check, id string) int {
		if c.ID < id {
			return -1
		} else if c.ID > id {
			return 1
		}
		return 0
	})
	if !ok {
		return nil
	}
	return b.Checks[i]
}

// IDs lists every check by its ID.
func (b *Codebook) IDs() []string {
	out := make([]string, len(b.Checks))
	for i, c := range b.Checks {
		out[i] = c.ID
	}
	return out
}
