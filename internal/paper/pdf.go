package paper

import (
	"bytes"
	"fmt"
	"io"
	"slices"
	"strings"

	"plumbrule/internal/drawing"
	"plumbrule/internal/pdf"
	"plumbrule/internal/quantity"
	"plumbrule/internal/review"
	"plumbrule/internal/wording"
)

// LetterPDF writes the letter as PDF, laid out from its Markdown.
func LetterPDF(w io.Writer, r *review.Review, o Options) error {
	d := newPDF(r, o)
	if err := addLetter(d, r, o); err != nil {
		return err
	}
	return deliver(w, d)
}

// PDF writes letter, drawings to scale and calculations into one document.
func PDF(w io.Writer, r *review.Review, o Options) error {
	d := newPDF(r, o)
	if err := addLetter(d, r, o); err != nil {
		return err
	}
	for _, x := range []struct {
		title string
		write func(io.Writer, *review.Review, drawing.Options) error
	}{{"Roof plan", drawing.RoofPlan}, {"One-line diagram", drawing.OneLine}} {
		var svg bytes.Buffer
		if err := x.write(&svg, r, drawing.Options{Version: o.Version}); err != nil {
			return fmt.Errorf("%s: %w", x.title, err)
		}
		if err := d.Drawing(x.title, svg.Bytes()); err != nil {
			return fmt.Errorf("%s: %w", x.title, err)
		}
	}
	m := &markdown{}
	m.calculations(makeCalculations(r), wording.LanguageOf(r))
	d.Flow(pdf.Markdown(m.String()), 0)
	return deliver(w, d)
}

func newPDF(r *review.Review, o Options) *pdf.Document {
	_, title := titleOf(r)
	p := r.Job.Project
	footer := title
	for _, s := range []string{p.Name.Value, p.Permit.Value, o.Date} {
		if s != "" {
			footer += ", " + s
		}
	}
	return pdf.New(pdf.Info{Title: title + ", " + p.Name.Value, Footer: footer, Metric: r.System == quantity.SI, Plain: o.plainPDF})
}

func addLetter(d *pdf.Document, r *review.Review, o Options) error {
	text, err := letterText(r, o)
	if err != nil {
		return err
	}
	d.Flow(pdf.Markdown(text), 0)
	return nil
}

func deliver(w io.Writer, d *pdf.Document) error {
	out, err := d.Bytes()
	if err != nil {
		return err
	}
	_, err = w.Write(out)
	return err
}

// calculations writes the package of calculations for paper: what governs, then
// each discipline, each check with its work; what is plainly met stands in one
// table at the end of its discipline.
func (m *markdown) calculations(v *calculationView, say *wording.Language) {
	m.line("# Calculations\n")
	m.heading(2, "What governs")
	m.table("check", "at", "measure and limit", ">"+say.Say("utilisation"), "result")
	lesser := 0
	for _, g := range v.Governs {
		if !g.governs {
			lesser++
			continue
		}
		m.row(say.Say(g.Title), g.Subject, say.Say(g.Held), g.Utilisation, g.Result)
	}
	if lesser > 0 {
		m.line("\n", wording.Markdown(wording.Plural(lesser, "further check uses", "further checks use")+" less than half of the limit; they stand below."))
	}
	for _, d := range v.Disciplines {
		m.heading(2, capital(d.Name))
		for _, s := range d.Checks {
			m.sheet(s, say)
		}
		if len(d.Conditions) > 0 {
			m.heading(3, "Conditions that are met")
			m.table("check", "at", "under")
			for _, s := range d.Conditions {
				m.row(say.Say(s.Title), s.Subjects, say.Say(s.Under))
			}
		}
	}
	if len(v.Sources) > 0 {
		m.heading(2, "Tables")
		for _, f := range v.Sources {
			m.item(f.Label, f.Text)
		}
	}
	m.line("\n<small>", wording.Markdown(v.Notice), " ", wording.Markdown(strings.Join(v.Cautions, " ")), "</small>")
}

// sheet writes one check with what was held against it.
func (m *markdown) sheet(s calculationSheet, say *wording.Language) {
	m.heading(3, say.Say(s.Title))
	about := wording.Markdown(s.Check + ", " + s.Severity + ", " + s.Result + ".")
	for _, f := range []field{{"Under", say.Say(s.Under)}, {"Formula", s.Formula}, {"Values", s.Sureness}} {
		if f.Text != "" {
			about += " **" + f.Label + ":** " + wording.Markdown(f.Text) + "."
		}
	}
	m.line(about, "\n")
	for _, text := range s.Missing {
		m.item("Open", say.Say(text))
	}
	if len(s.Work) > 0 {
		m.item("Worked for", s.Worst.Subject)
		for _, step := range s.Work {
			m.line("  - ", wording.Markdown(say.Say(step)))
		}
	}
	for _, r := range s.Rows {
		m.item(r.Place, say.Say(r.Values))
	}
	lines := s.Lines
	if len(lines) == 0 {
		lines = []calculationLine{s.Worst}
	}
	m.line()
	titles := []string{"at", ">measure", ">limit", ">" + say.Say("utilisation"), "result"}
	commented := slices.ContainsFunc(lines, func(l calculationLine) bool { return l.Comment != "" })
	if commented {
		titles = append(titles, ">comment")
	}
	m.table(titles...)
	for _, l := range alike(lines) {
		row := []string{strings.Join(wording.Blocks(wording.Ranges(l.subjects)), "; "), say.Say(l.Measure), say.Say(wording.Signs(l.Limit)), l.Utilisation, l.Result}
		if commented {
			row = append(row, l.number)
		}
		m.row(row...)
	}
	if s.More != "" {
		m.line("\n", wording.Markdown(s.More))
	}
}

// likeLine is the lines of a sheet that say the same of several subjects.
type likeLine struct {
	calculationLine
	number   string
	subjects []string
}

// alike draws neighbouring lines together that differ in their subject alone.
func alike(lines []calculationLine) []likeLine {
	var out []likeLine
	for _, l := range lines {
		if n := len(out); n > 0 {
			last := &out[n-1]
			if last.Measure == l.Measure && last.Limit == l.Limit && last.Utilisation == l.Utilisation && last.Result == l.Result && commentNumber(last.Comment) == commentNumber(l.Comment) {
				last.subjects = append(last.subjects, l.Subject)
				last.number = commentNumber(last.Comment)
				continue
			}
		}
		out = append(out, likeLine{l, l.Comment, []string{l.Subject}})
	}
	return out
}
