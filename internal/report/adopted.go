package report

import (
	"bytes"
	"encoding/json"
	"io"
	"slices"
	"strings"

	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
	"plumbrule/internal/source"
	"plumbrule/internal/wording"
)

// Adopted writes what is in force for a job under a codebook: each edition with
// whose word it is and where it stands, what each layer changed of which checks, what
// it added, what holds nowhere, and what comes later. The job is under the word of
// the authority, where there is one.
func Adopted(w io.Writer, j *job.Job, b *codebook.Codebook) error {
	p := newPage(TextOptions{})
	p.line("IN FORCE for " + wording.Plain(j.Files[0].Name))
	adopted := inForce(j, b)
	for _, e := range adopted.Editions {
		edition := "not adopted"
		if e.Edition != nil {
			edition = *e.Edition
		}
		by := "the job states it"
		if e.Layer != "" {
			by = e.Layer + ", " + e.By
			if e.From != "" {
				by += ", from " + e.From
			}
		}
		if e.Stated != nil && (e.Edition == nil || *e.Stated != *e.Edition) {
			by += "; the job states " + *e.Stated
		}
		p.row(e.Code, edition+"  ("+by+where(e.At)+")")
	}
	if len(adopted.Editions) == 0 {
		p.line("no edition of any code is stated")
	}
	a := b.Authority
	if a == nil {
		p.line("")
		p.paragraph(0, "No authority is named (--adopt): the checks stand as they come.")
		_, err := w.Write(p.Bytes())
		return err
	}
	for _, l := range a.Layers {
		p.line("")
		p.line(strings.ToUpper(l.Level) + "  " + l.Name + "  (" + wording.Plain(l.File) + ")")
		said := false
		for _, c := range b.Checks {
			for _, m := range c.Amended {
				if m.Layer == l.Name {
					said = true
					p.line("  amends " + c.ID)
					p.paragraph(4, m.String()+" ("+m.By+")")
				}
			}
		}
		for _, x := range a.Added {
			if x.Layer == l.Name {
				said = true
				p.line("  adds   " + x.Check)
			}
		}
		if !said {
			p.line("  changes no check")
		}
	}
	for _, s := range wording.Authority(b) {
		p.line("")
		p.paragraph(0, s)
	}
	if len(a.Later) > 0 {
		p.line("")
		p.line("LATER")
		for _, s := range a.Later {
			p.line("  " + s)
		}
	}
	_, err := w.Write(p.Bytes())
	return err
}

func where(at *placeDoc) string {
	if at == nil {
		return ""
	}
	return ", " + source.Position{File: at.File, Line: at.Line, Column: at.Column}.String()
}

// adoptedDoc is what is in force, for machines.
type adoptedDoc struct {
	Schema    string        `json:"schema"`
	File      string        `json:"file"`
	Rules     rulesInForce  `json:"rules"`
	Editions  []editionDoc  `json:"editions"`
	Authority *authorityDoc `json:"authority"`
}

type rulesInForce struct {
	Hash   string `json:"hash"`
	Checks int    `json:"checks"`
}

type editionDoc struct {
	Code    string    `json:"code"`
	Edition *string   `json:"edition"` // null for a code that is not adopted
	Stated  *string   `json:"stated"`  // by the job; null where it states none
	Layer   string    `json:"layer,omitempty"`
	By      string    `json:"by,omitempty"`
	From    string    `json:"from,omitempty"`
	At      *placeDoc `json:"at"`
}

// AdoptedJSON writes the same for machines.
func AdoptedJSON(w io.Writer, j *job.Job, b *codebook.Codebook) error {
	var out bytes.Buffer
	e := json.NewEncoder(&out)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(inForce(j, b)); err != nil {
		return err
	}
	_, err := w.Write(out.Bytes())
	return err
}

func inForce(j *job.Job, b *codebook.Codebook) adoptedDoc {
	doc := adoptedDoc{"plumbrule adopted", j.Files[0].Name, rulesInForce{b.Hash, len(b.Checks)}, []editionDoc{}, authority(b)}
	var decided []codebook.Decided
	if b.Authority != nil {
		decided = decidedIn(b.Authority)
	}
	stated := j.Adoption.Editions()
	for _, c := range job.Codes {
		var x editionDoc
		if i := slices.IndexFunc(j.Claims(), func(x job.Claim) bool { return x.Code.Name == c.Name }); i >= 0 {
			x.Stated = &j.Claims()[i].Stated.Value
		}
		if i := slices.IndexFunc(decided, func(d codebook.Decided) bool { return d.Code == c.Name }); i >= 0 {
			d := decided[i]
			x.Code, x.Layer, x.By, x.From, x.At = c.Name, d.Layer, d.By, d.From, place(d.At)
			if d.Edition != "" {
				x.Edition = &d.Edition
			}
		} else if i := slices.IndexFunc(stated, func(e job.Edition) bool { return e.Code.Name == c.Name }); i >= 0 {
			x.Code, x.Edition, x.Stated, x.At = c.Name, &stated[i].Edition, &stated[i].Edition, place(stated[i].At)
		}
		if x.Code != "" {
			doc.Editions = append(doc.Editions, x)
		}
	}
	return doc
}
