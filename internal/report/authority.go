package report

import (
	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
)

// authorityDoc is the authority whose word a review stands under.
type authorityDoc struct {
	Layers  []layerDoc   `json:"layers"` // the widest first
	Applied string       `json:"applied,omitempty"`
	RuleSet int          `json:"rule_set"` // the version that was held to
	Newest  int          `json:"newest"`   // the version that there is
	Adopted []decidedDoc `json:"adopted"`
	Amended []amendedDoc `json:"amended"`
	Added   []addedDoc   `json:"added"`
	Off     []offDoc     `json:"off"`
	Later   []string     `json:"later"`
}

type layerDoc struct {
	Name      string `json:"name"`
	Level     string `json:"level"`
	Ordinance string `json:"ordinance,omitempty"`
	File      string `json:"file"`
}

type decidedDoc struct {
	Code    string    `json:"code"`
	Edition *string   `json:"edition"` // null for a code that is not adopted
	Layer   string    `json:"layer"`
	By      string    `json:"by"`
	From    string    `json:"from,omitempty"`
	At      *placeDoc `json:"at"`
}

type amendedDoc struct {
	Check string    `json:"check"`
	Layer string    `json:"layer"`
	By    string    `json:"by"`
	Says  []string  `json:"says"`
	At    *placeDoc `json:"at"`
}

type addedDoc struct {
	Check string `json:"check"`
	Layer string `json:"layer"`
}

type offDoc struct {
	Check string `json:"check"`
	Why   string `json:"why"`
}

// authority is nil where nobody's word was given.
func authority(b *codebook.Codebook) *authorityDoc {
	a := b.Authority
	if a == nil {
		return nil
	}
	doc := &authorityDoc{Layers: []layerDoc{}, Applied: a.Applied, RuleSet: a.RuleSet, Newest: b.Newest(), Adopted: []decidedDoc{}, Amended: []amendedDoc{},
		Added: []addedDoc{}, Off: []offDoc{}, Later: append([]string{}, a.Later...)}
	if doc.RuleSet == 0 {
		doc.RuleSet = doc.Newest
	}
	for _, l := range a.Layers {
		doc.Layers = append(doc.Layers, layerDoc(l))
	}
	for _, d := range decidedIn(a) {
		x := decidedDoc{Code: d.Code, Layer: d.Layer, By: d.By, From: d.From, At: place(d.At)}
		if d.Edition != "" {
			x.Edition = &d.Edition
		}
		doc.Adopted = append(doc.Adopted, x)
	}
	for _, c := range b.Checks {
		for _, m := range c.Amended {
			doc.Amended = append(doc.Amended, amendedDoc{c.ID, m.Layer, m.By, m.Says, place(m.At)})
		}
		if c.Off != "" {
			doc.Off = append(doc.Off, offDoc{c.ID, c.Off})
		}
	}
	for _, x := range a.Added {
		doc.Added = append(doc.Added, addedDoc(x))
	}
	return doc
}

// decidedIn lists what is decided in the order of the job file.
func decidedIn(a *codebook.Authority) []codebook.Decided {
	var out []codebook.Decided
	for _, c := range job.Codes {
		for _, d := range a.Decided {
			if d.Code == c.Name {
				out = append(out, d)
			}
		}
	}
	return out
}
