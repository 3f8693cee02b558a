package cli

import (
	"fmt"
	"io"
	"iter"
	"path/filepath"
	"strings"

	"plumbrule/internal/drawing"
	"plumbrule/internal/paper"
	"plumbrule/internal/quantity"
	"plumbrule/internal/report"
	"plumbrule/internal/review"
)

// writer makes one file of finished reviews.
type writer struct {
	ending string
	makes  string
	many   bool // one file takes several jobs
	all    bool // --all puts every outcome into it
	// Nothing of it is about an outcome that is met, unless by --all, but for how many there are.
	outstanding bool
	write       func(w io.Writer, reviews iter.Seq[*review.Review], o options) error
}

// options are what the writers are told besides the reviews.
type options struct {
	paper paper.Options
	data  report.Options // of what machines read
}

// writers lists the kinds of files that check --write makes. Where one ending
// is the end of another the longer comes first.
var writers = []writer{
	{".json", "the review as data", true, true, true, data(report.JSON)},
	{".sarif", "annotations for build servers and editors", true, true, true, data(report.SARIF)},
	{".csv", "a table of what is outstanding", true, true, true, data(report.CSV)},
	{".junit.xml", "a case for each check, for build servers that read nothing else", true, false, true, data(report.JUnit)},
	{".checklist.md", "the field checklist", false, false, false, alone(paper.ChecklistMarkdown)},
	{".facts.md", "the facts sheet: the stated values that governed, by sheet, to be ticked off", false, false, false, alone(paper.FactsMarkdown)},
	{".letter.html", "the letter by itself, to be printed", false, false, false, alone(paper.LetterHTML)},
	{".letter.pdf", "the letter as PDF", false, false, false, alone(paper.LetterPDF)},
	{".pdf", "letter, drawings to scale and calculations in one PDF", false, false, false, alone(paper.PDF)},
	{".md", "the letter in Markdown, also as .letter.md", false, false, false, alone(paper.LetterMarkdown)},
	{".html", "comments, drawings, what governs, calculations and field checklist in one page", false, false, false, alone(paper.HTML)},
	{".oneline.svg", "the one-line diagram", false, false, false, drawn(drawing.OneLine)},
	{".placards.svg", "the labels at their own size", false, false, false, drawn(drawing.Placards)},
	{".section.svg", "the sections through the feet", false, false, false, drawn(drawing.AttachmentSection)},
	{".svg", "the roof plan", false, false, false, drawn(drawing.RoofPlan)},
}

// data, alone and drawn fit the writers of the other packages.
func data(f func(io.Writer, iter.Seq[*review.Review], report.Options) error) func(io.Writer, iter.Seq[*review.Review], options) error {
	return func(w io.Writer, reviews iter.Seq[*review.Review], o options) error { return f(w, reviews, o.data) }
}

func alone(f func(io.Writer, *review.Review, paper.Options) error) func(io.Writer, iter.Seq[*review.Review], options) error {
	return func(w io.Writer, reviews iter.Seq[*review.Review], o options) error {
		return first(reviews, func(r *review.Review) error { return f(w, r, o.paper) })
	}
}

func drawn(f func(io.Writer, *review.Review, drawing.Options) error) func(io.Writer, iter.Seq[*review.Review], options) error {
	return func(w io.Writer, reviews iter.Seq[*review.Review], o options) error {
		return first(reviews, func(r *review.Review) error { return f(w, r, drawing.Options{Version: o.paper.Version}) })
	}
}

// writerFor finds the writer of a file by its ending.
func writerFor(path string, jobs int) (writer, error) {
	name := strings.ToLower(filepath.Base(path))
	for _, w := range writers {
		if !strings.HasSuffix(name, w.ending) {
			continue
		}
		if jobs > 1 && !w.many {
			return writer{}, wrong("--write %s: a %s file is about one job; name one job, or run once for each", path, w.ending)
		}
		return w, nil
	}
	known := make([]string, len(writers))
	for i, w := range writers {
		known[i] = w.ending
	}
	return writer{}, wrong("--write %s: the ending says what is written; expected one of %s%s", path, strings.Join(known, ", "), quantity.DidYouMean(filepath.Ext(name), known))
}

// endingsOfAll lists the endings of the files that --all puts every outcome into.
func endingsOfAll() []string {
	var out []string
	for _, w := range writers {
		if w.all {
			out = append(out, w.ending)
		}
	}
	return out
}

// endings says, a line of help each, what the endings make.
func endings() string {
	var b strings.Builder
	aligned(&b, func(line func(...string)) {
		for _, w := range writers {
			note := ""
			if w.many {
				note = " (several jobs in one file)"
			}
			line("  "+w.ending, w.makes+note)
		}
	})
	return b.String()
}

// first writes of the one review that there is.
func first(reviews iter.Seq[*review.Review], write func(*review.Review) error) error {
	for r := range reviews {
		return write(r)
	}
	return nil // there is none: why is told elsewhere
}

// writeText writes one text after the other.
func writeText(w io.Writer, reviews iter.Seq[*review.Review], write func(io.Writer, *review.Review) error) error {
	between := ""
	for r := range reviews {
		fmt.Fprint(w, between)
		between = "\n\n"
		if err := write(w, r); err != nil {
			return err
		}
	}
	return nil
}
