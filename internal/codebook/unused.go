package codebook

import (
	"slices"
	"strings"

	"plumbrule/internal/source"
	"plumbrule/internal/terms"
)

// Unread is a term that a file adds and nothing uses.
type Unread struct {
	*terms.Term
	At source.Span // start of its file
}

// UnusedTerms lists the terms of files that were loaded in full and that no check
// of the codebook and no other term uses.
func (b *Codebook) UnusedTerms() (out []Unread) {
	used := map[*terms.Term]bool{}
	note := func(words *Vocabulary, list ...*expression) {
		for _, x := range list {
			if x != nil {
				for _, t := range words.termsIn(x.ast) {
					used[t] = true
				}
			}
		}
	}
	for _, c := range b.Checks {
		note(c.words, c.when, c.measure, c.within, c.governs)
		for _, l := range c.Limits {
			note(c.words, l.expr)
		}
		for _, t := range []*template{c.finding, c.remedy} {
			if t != nil {
				for _, part := range t.parts {
					x, _ := part.(*expression)
					note(c.words, x)
				}
			}
		}
	}
	for _, list := range b.Words.added {
		for _, d := range list {
			note(b.Words, d.value)
		}
	}
	for _, list := range b.Words.added {
		for _, d := range list {
			if d.value != nil && d.value.ast != nil && !used[d.term] { // loaded in full: not the project's own
				out = append(out, Unread{d.term, d.file.Start()})
			}
		}
	}
	slices.SortFunc(out, func(x, y Unread) int { return strings.Compare(x.At.Position().String(), y.At.Position().String()) })
	return out
}
