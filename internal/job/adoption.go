package job

import "strings"

// Code is a document that a job adopts by its edition.
type Code struct {
	Name   string // as citations write it: "ASCE 7"
	Key    string // of [adoption]: "asce7"
	stated func(*Adoption) *Text
}

// Codes are the documents that a job can adopt, in the order of the job file.
// Any other document (a standard a part is listed to, "common practice") has
// no edition to adopt.
var Codes = []Code{
	{"NEC", "nec", func(a *Adoption) *Text { return &a.NEC }},
	{"IFC", "ifc", func(a *Adoption) *Text { return &a.IFC }},
	{"NFPA 1", "nfpa1", func(a *Adoption) *Text { return &a.NFPA1 }},
	{"IRC", "irc", func(a *Adoption) *Text { return &a.IRC }},
	{"IBC", "ibc", func(a *Adoption) *Text { return &a.IBC }},
	{"ASCE 7", "asce7", func(a *Adoption) *Text { return &a.ASCE7 }},
	{"NDS", "nds", func(a *Adoption) *Text { return &a.NDS }},
	{"AISI S100", "s100", func(a *Adoption) *Text { return &a.S100 }},
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
			out = append(out, Edition{c, g.Value})
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
