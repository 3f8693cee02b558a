package report

import (
	"bytes"
	"fmt"
	"io"
	"strings"

	"plumbrule/internal/codebook"
	"plumbrule/internal/review"
	"plumbrule/internal/wording"
)

// SheetFile is the place of a check's page within a folder of sheets.
func SheetFile(c *codebook.Check) string { return c.ID + ".md" }

// SheetPage writes the sheet of a check as a page in Markdown, for a folder of
// sheets. rows is the scope of a plan review; ran holds what each example gave,
// nothing for one that was not run.
func SheetPage(w io.Writer, c *codebook.Check, rows []codebook.ScopeRow, ran [][]*review.Outcome, made string) error {
	var p sheetPage
	p.line("# %s", wording.Markdown(c.Title))
	p.line("`%s`: %s, looks at each %s (%s)", c.ID, c.Severity, c.Each.Name, wording.Markdown(c.Each.Meaning))
	p.line("%s", wording.Markdown(wording.Sentence(c.Because)))
	p.line("## Formula")
	if c.WhenText != "" {
		p.code("Applies when", c.WhenText)
	}
	if c.Measure != "" {
		p.code("Measure", c.Measure)
	}
	for _, l := range c.Limits {
		p.code(limitLabel(l.Kind)+onlyUnder(l), l.Text)
	}
	if c.Within != "" {
		p.code("Within", c.Within)
	}
	p.line("## Where it stands")
	p.list(wording.Each(sections(c), wording.Markdown))
	if c.Binding {
		p.line("No deviation sets this check aside, since life hangs on it.")
	}
	if c.Provenance != "" {
		p.line("How sure the limit is: %s", wording.Markdown(wording.Sentence(c.Provenance)))
	}
	if len(c.Scope) > 0 {
		p.line("## What it answers in a plan review")
		p.list(wording.Each(c.Scope, func(id string) string { return id + requirement(rows, id) }))
	}
	p.line("## Examples")
	for i, x := range c.Examples {
		p.line("%d. %s", i+1, wording.Markdown(exampleText(x)))
		if i < len(ran) {
			p.list(wording.Each(ran[i], exampleOutcome))
		}
	}
	if c.Since > 0 {
		p.line("In the rule set since version %d.", c.Since)
	}
	p.line("[All checks](../index.md)")
	if made != "" {
		p.line("%s", wording.Markdown(wording.Sentence(made)))
	}
	return p.writeTo(w)
}

// exampleOutcome says what an example gave for one subject.
func exampleOutcome(o *review.Outcome) string {
	s := "   " + wording.Markdown(o.Subject.Label()) + ": **" + string(o.Result) + "**"
	if o.Measure != nil && o.Limit != nil {
		s += ", " + wording.Markdown(o.Measure.Text+" held to "+string(o.LimitKind)+" "+o.Limit.Text)
	}
	if o.Utilisation != nil {
		s += ", utilisation " + wording.Ratio(*o.Utilisation)
	}
	for _, text := range []string{o.Finding, wording.FirstLine(o.Why())} {
		if text != "" {
			s += ". " + wording.Markdown(wording.Sentence(text))
		}
	}
	return s
}

func requirement(rows []codebook.ScopeRow, id string) string {
	for _, r := range rows {
		if r.ID == id {
			return ": " + wording.Markdown(r.Requirement)
		}
	}
	return ""
}

// SheetIndex writes the page that leads to every sheet: the checks by
// discipline, then what a plan review looks at with what answers it.
func SheetIndex(w io.Writer, b *codebook.Codebook, rows []codebook.ScopeRow, version string) error {
	var p sheetPage
	p.line("# Checks")
	p.line("%d checks of rule set `%s`, made with plumbrule %s. %s", len(b.Checks), b.Hash, wording.Markdown(version), wording.Notice)
	discipline := ""
	var list []string
	flush := func() {
		if len(list) > 0 {
			p.line("## %s", wording.Markdown(discipline))
			p.list(list)
			list = nil
		}
	}
	for _, c := range b.Checks {
		if c.Discipline != discipline {
			flush()
			discipline = c.Discipline
		}
		list = append(list, fmt.Sprintf("%s %s (%s)", sheetLink(c), wording.Markdown(c.Title), c.Severity))
	}
	flush()
	p.line("## Coverage")
	p.line("What a plan review looks at, and what answers it.")
	fmt.Fprintf(&p, "| row | looks at | answer |\n| --- | --- | --- |\n")
	for _, r := range rows {
		fmt.Fprintf(&p, "| %s | %s | %s |\n", r.ID, wording.Markdown(r.Requirement), coverage(r))
	}
	return p.writeTo(w)
}

func coverage(r codebook.ScopeRow) string {
	switch {
	case len(r.Checks) > 0:
		return strings.Join(wording.Each(r.Checks, sheetLink), ", ")
	case r.Field != "":
		return "on site: " + wording.Markdown(r.Field)
	case r.Why != "":
		return "no check: " + wording.Markdown(r.Why)
	}
	return "open"
}

func sheetLink(c *codebook.Check) string { return "[" + c.ID + "](" + SheetFile(c) + ")" }

// sheetPage is a page of Markdown in the making.
type sheetPage struct{ bytes.Buffer }

// writeTo writes the page, which ends in one line break.
func (p *sheetPage) writeTo(w io.Writer) error {
	_, err := w.Write(append(bytes.TrimRight(p.Bytes(), "\n"), '\n'))
	return err
}

// line writes a paragraph or a heading.
func (p *sheetPage) line(format string, a ...any) { fmt.Fprintf(p, format+"\n\n", a...) }

func (p *sheetPage) list(items []string) {
	for _, s := range items {
		trimmed := strings.TrimLeft(s, " ")
		fmt.Fprintf(p, "%s- %s\n", s[:len(s)-len(trimmed)], trimmed)
	}
	if len(items) > 0 {
		p.WriteByte('\n')
	}
}

// code shows an expression of the rule file as it is written.
func (p *sheetPage) code(label, text string) {
	fence := "```"
	for strings.Contains(text, fence) {
		fence += "`"
	}
	lines := wording.Each(strings.Split(strings.TrimSpace(text), "\n"), strings.TrimSpace)
	p.line("%s:\n\n%s\n%s\n%s", label, fence, strings.Join(lines, "\n  "), fence)
}
