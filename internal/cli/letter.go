package cli

import (
	"errors"
	"os"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/spf13/cobra"

	"plumbrule/internal/paper"
	"plumbrule/internal/source"
)

// letterFlags is what the command line says of the letter.
type letterFlags struct {
	reviewer  string
	round     int
	templates []string
	own       []*paper.LetterTemplate // read from the templates
}

func (l *letterFlags) add(c *cobra.Command) {
	c.Flags().StringVar(&l.reviewer, "reviewer", "", "print this `NAME` on the letter as who signs it")
	c.Flags().IntVar(&l.round, "round", 1, "print this `NUMBER` on the letter as the round of review; from 2 on it is a resubmittal")
	c.Flags().StringArrayVar(&l.templates, "letter-template", nil, "take the wording of the letter from this `FILE`: .md for Markdown and PDF, .html for .letter.html; see: plumbrule guide letter")
}

// letterEndings are the files that hold a letter with the wording of a
// template, by whether that is in HTML.
var letterEndings = map[bool][]string{true: {".letter.html"}, false: {".md", ".letter.pdf", ".pdf"}}

// read reads the templates, and refuses what could not be used.
func (l *letterFlags) read(targets []writer) error {
	if l.round < 1 {
		return wrong("--round %d: rounds are counted from 1", l.round)
	}
	var faults source.Faults
	for _, path := range l.templates {
		name := strings.ToLower(path)
		inHTML := strings.HasSuffix(name, ".html")
		if !inHTML && !strings.HasSuffix(name, ".md") {
			return wrong("--letter-template %s: the ending says how it is written; expected .md or .html", path)
		}
		if !slices.ContainsFunc(targets, func(w writer) bool { return slices.Contains(letterEndings[inHTML], w.ending) }) {
			return wrong("--letter-template %s: no file of --write is made from it; add one that ends in %s", path, strings.Join(letterEndings[inHTML], " or "))
		}
		if slices.ContainsFunc(l.own, func(t *paper.LetterTemplate) bool { return t.HTML == inHTML }) {
			return wrong("--letter-template %s: there is another of this kind already", path)
		}
		text, err := os.ReadFile(path)
		switch {
		case errors.Is(err, os.ErrNotExist):
			return wrong("--letter-template %s: there is no such file", path)
		case err != nil:
			return wrong("--letter-template %s: it cannot be read", path)
		case !utf8.Valid(text):
			return wrong("--letter-template %s: not a text in UTF-8", path)
		}
		t, err := paper.ReadLetterTemplate(&source.File{Name: path, Text: text})
		if err != nil {
			faults = append(faults, faultsOf(err)...)
			continue
		}
		l.own = append(l.own, t)
	}
	if err := faults.Err(); err != nil {
		return &exit{exitInput, err}
	}
	return nil
}

// put gives the papers what the letter says.
func (l *letterFlags) put(o *paper.Options) {
	o.Reviewer, o.Round = l.reviewer, l.round
	for _, t := range l.own {
		if t.HTML {
			o.LetterHTML = t
		} else {
			o.Letter = t
		}
	}
}
