package job

import (
	"reflect"
	"strings"

	"plumbrule/internal/source"
)

// Code is a document that a job adopts by its edition.
type Code struct {
	Name     string // as citations write it: "ASCE 7"
	Key      string // of [adoption]: "asce7"
	Referred bool   // a standard that other codes refer to, by its edition
	stated   func(*Adoption) *Text
}

// Codes are the documents that a job can adopt, in the order of the job file.
// Any other document (a standard a part is listed to, "common practice") has
// no edition to adopt.
var Codes = []Code{
	{"NEC", "nec", false, func(a *Adoption) *Text { return &a.NEC }},
	{"IFC", "ifc", false, func(a *Adoption) *Text { return &a.IFC }},
	{"NFPA 1", "nfpa1", false, func(a *Adoption) *Text { return &a.NFPA1 }},
	{"IRC", "irc", false, func(a *Adoption) *Text { return &a.IRC }},
	{"IBC", "ibc", false, func(a *Adoption) *Text { return &a.IBC }},
	{"ASCE 7", "asce7", true, func(a *Adoption) *Text { return &a.ASCE7 }},
	{"NDS", "nds", true, func(a *Adoption) *Text { return &a.NDS }},
	{"AISI S100", "s100", true, func(a *Adoption) *Text { return &a.S100 }},
}

// CodeNamed finds a code by the name that citations use.
func CodeNamed(name string) (Code, bool) {
	for _, c := range Codes {
		if c.Name == name {
			return c, true
		}
	}
	return Code{}, false
}

// Edition is an adopted edition of a code.
type Edition struct {
	Code    Code
	Edition string
	At      source.Span // where it stands
}

// String names an edition as the trade does: "NEC 2023", "ASCE 7-16".
func (e Edition) String() string { return EditionName(e.Code.Name, e.Edition) }

// EditionName names an edition of a document as the trade does. Without an
// edition it is the document's own name.
func EditionName(code, edition string) string {
	if edition == "" {
		return code
	}
	if rest, numbered := strings.CutPrefix(edition, "7-"); numbered && code == "ASCE 7" {
		return code + "-" + rest
	}
	return code + " " + edition
}

// Editions lists the editions that a job states, in the order of the job file.
func (a *Adoption) Editions() []Edition {
	var out []Edition
	for _, c := range Codes {
		if g := c.stated(a); g.Known {
			out = append(out, Edition{c, g.Value, g.At})
		}
	}
	return out
}

// Adopting is the job as if its authority had adopted further editions, in the
// place of those that it leaves out; what it states stays. The job itself is not
// changed.
func (j *Job) Adopting(editions []Edition) *Job {
	as := *j
	as.stated = &values{}
	for _, e := range editions {
		if g := e.Code.stated(&as.Adoption); !g.Known {
			g.Value, g.Known = e.Edition, true
		}
	}
	return &as
}

// CodeNames lists the documents that a job can adopt, as citations write them.
func CodeNames() []string {
	out := make([]string, len(Codes))
	for i, c := range Codes {
		out[i] = c.Name
	}
	return out
}

// Known lists the editions of a code that a job may state.
func (c Code) Known() []string {
	t := reflect.TypeFor[Adoption]()
	for i := range t.NumField() {
		if t.Field(i).Tag.Get("key") == c.Key {
			return strings.Split(t.Field(i).Tag.Get("choice"), "|")
		}
	}
	return nil
}

// Ruling is what an authority says of the edition of a code.
type Ruling struct {
	Edition string // "" where the code is not adopted at all
	At      source.Span
}

// Claim is an edition that a job states where its authority has the word.
type Claim struct {
	Code    Code
	Stated  Text
	Ruled   bool   // whether the authority says which edition is in force
	InForce string // what it says; "" where the code is not adopted
}

// Claims lists what the job states of editions that its authority decides; none
// where nobody has decided.
func (j *Job) Claims() []Claim { return j.claims }

// Under is the job under the word of its authority: the editions that are ruled,
// by the names of their codes, are in force whatever the job states, which is kept
// as claims. A standard that other codes refer to is no claim where nothing is
// ruled of it: the code that refers to it settles it. The job itself is not changed.
func (j *Job) Under(rulings map[string]Ruling) *Job {
	as := *j
	as.claims = nil
	for _, c := range Codes {
		g := c.stated(&as.Adoption)
		ruling, ruled := rulings[c.Name]
		if g.Known && (ruled || !c.Referred) {
			as.claims = append(as.claims, Claim{c, *g, ruled, ruling.Edition})
		}
		if !ruled {
			continue
		}
		if ruling.Edition == "" {
			*g = Text{Key: g.Key, At: g.At}
			continue
		}
		g.Value, g.Known, g.At = ruling.Edition, true, ruling.At
	}
	return &as
}
