// Package paper writes the papers of a finished review: the letter, the
// calculations, the field checklist and the page that holds them all. Every
// writer is a pure function of the review.
package paper

import (
	"bytes"
	"strings"

	"plumbrule/internal/codebook"
	"plumbrule/internal/wording"
)

// Options are what the papers (letter, calculations, checklist and the
// page that holds them all) print beside the review itself.
type Options struct {
	Version string              // of the program, for the basis of review; "" is left out
	Date    string              // printed as given; "" is left out
	Scope   []codebook.ScopeRow // rows of the review scope; their field entries go to the checklist

	Reviewer   string          // who signs the letter; "" leaves the line free
	Round      int             // of the review, from 1; 0 is the first
	Letter     *LetterTemplate // the authority's own in Markdown; nil is the built-in one
	LetterHTML *LetterTemplate // the same in HTML

	plainPDF bool // for tests: streams of PDF can be read
}

// field is a label with what stands beside it.
type field struct{ Label, Text string }

// markdown collects the lines of a Markdown paper.
type markdown struct{ bytes.Buffer }

func (m *markdown) line(parts ...string) {
	for _, p := range parts {
		m.WriteString(p)
	}
	m.WriteByte('\n')
}

func (m *markdown) heading(level int, text string) {
	m.line("\n", strings.Repeat("#", level), " ", wording.Markdown(text), "\n")
}

// item writes a list entry with a label; without text it is left out.
func (m *markdown) item(label, text string) {
	if text != "" {
		m.line("- **", wording.Markdown(label), ":** ", wording.Markdown(text))
	}
}

func (m *markdown) row(cells ...string) {
	for _, c := range cells {
		m.WriteString("| " + wording.Markdown(c) + " ")
	}
	m.line("|")
}

// table starts a table; columns whose title begins with ">" are set to the
// right.
func (m *markdown) table(titles ...string) {
	rule := ""
	for i, t := range titles {
		name, right := strings.CutPrefix(t, ">")
		titles[i] = name
		rule += "| ---"
		if right {
			rule += ":"
		}
		rule += " "
	}
	m.row(titles...)
	m.line(rule, "|")
}

// capital begins a heading.
func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
