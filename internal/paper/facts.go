package paper

import (
	"fmt"
	"io"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/papertext"
	"plumbrule/internal/review"
	"plumbrule/internal/wording"
)

// FactsMarkdown writes the facts sheet as Markdown: the stated values that governed,
// by the sheet that each should stand on, with a box for whoever compared it.
func FactsMarkdown(w io.Writer, r *review.Review, o Options) error {
	m := &markdown{}
	m.facts(makeFacts(r, o))
	m.line("\n<small>", wording.Markdown(wording.Sentence(wording.MadeWith(o.Version, r.Book))), "</small>")
	_, err := w.Write(m.Bytes())
	return err
}

// factsView is the facts sheet.
type factsView struct {
	Head     []field
	Says     string
	Sheets   []factsOfSheet
	Papers   []field // the files the review was made beside
	Notice   string
	Cautions []string
}

// factsOfSheet is what should stand on one sheet.
type factsOfSheet struct {
	Title string
	Says  string // why there is no sheet; "" where there is one
	File  string // of the paper; "" where the job names none
	Lines []factLine
}

type factLine struct{ Key, Means, Value, Why, Text string }

func makeFacts(r *review.Review, o Options) *factsView {
	say := wording.LanguageOf(r)
	v := &factsView{Notice: say.Say(wording.Notice), Cautions: say.SayAll(wording.Cautions), Papers: papersOf(r)}
	if o.Date != "" {
		v.Head = append(v.Head, field{"Date", o.Date})
	}
	for _, f := range []struct {
		label string
		g     job.Text
	}{{"Project", r.Job.Project.Name}, {"Site address", r.Job.Project.Address}, {"Permit", r.Job.Project.Permit}, {"Revision", r.Job.Project.Revision}} {
		if f.g.Known {
			v.Head = append(v.Head, field{f.label, f.g.Value})
		}
	}
	facts := r.Facts()
	v.Says = say.Say(fmt.Sprintf("The review rests on the values in the job file. These %s governed: their checks are the nearest to their limits, or the most outcomes rest on them. "+
		"Tick each once it is seen on the sheet as it stands here. What follows from other values is not listed.", wording.Plural(len(facts), "value", "values")))
	var last *job.Document
	for i, f := range facts {
		if i == 0 || f.Document != last {
			v.Sheets = append(v.Sheets, sheetFor(f, say))
			last = f.Document
		}
		s := &v.Sheets[len(v.Sheets)-1]
		line := factLine{Key: f.Keys[0], Means: say.Say(f.Field.Doc), Value: say.Say(f.Text)}
		if n := len(f.Keys) - 1; n > 0 {
			line.Key += fmt.Sprintf(" and %d more", n)
		}
		line.Why = wording.Plural(f.Rests, "outcome", "outcomes")
		if f.Utilisation != nil {
			line.Why += fmt.Sprintf(", utilisation %.2f", *f.Utilisation)
		}
		if f.Document != nil && f.Document.Paper != nil {
			line.Text = say.Say(lookWords(r.Look(f)))
		}
		s.Lines = append(s.Lines, line)
	}
	return v
}

// sheetFor begins the part of a paper.
func sheetFor(f *review.Fact, say *wording.Language) factsOfSheet {
	d := f.Document
	if d == nil {
		return factsOfSheet{Title: "No sheet listed", Says: say.Say("The job lists no paper that these should stand on.")}
	}
	title := d.Kind.Value
	if d.Sheet.Known {
		title = "Sheet " + d.Sheet.Value + ", " + title
	}
	if d.For.Known {
		title += " for " + d.For.Value
	}
	s := factsOfSheet{Title: title}
	if d.Paper != nil {
		s.File = d.Paper.Name
	}
	return s
}

// lookWords says what the text of a paper has of a value.
func lookWords(l review.Look) string {
	switch {
	case l.Why != "":
		return l.Why
	case len(l.Pages) > 0:
		return "found on " + papertext.Where(l.Pages)
	case l.Other != "":
		return "not found; in " + l.Other
	}
	return "not found"
}

// papersOf names the files of the documents with their hashes, each once.
func papersOf(r *review.Review) []field {
	var out []field
	seen := map[string]bool{}
	for i := range r.Job.Documents {
		if p := r.Job.Documents[i].Paper; p != nil && !seen[p.Name] {
			seen[p.Name] = true
			out = append(out, field{p.Name, p.Sum})
		}
	}
	return out
}

func (m *markdown) facts(v *factsView) {
	m.line("# Facts sheet\n")
	for _, f := range v.Head {
		m.item(f.Label, f.Text)
	}
	m.line("\n", wording.Markdown(v.Says))
	for _, s := range v.Sheets {
		m.heading(2, s.Title)
		switch {
		case s.Says != "":
			m.line(wording.Markdown(s.Says), "\n")
		case s.File != "":
			m.line("File: ", wording.Markdown(s.File), "\n")
		}
		heads := []string{"Seen", "Value", "What it is", "Key", "Rests on it"}
		if s.File != "" {
			heads = append(heads, "In the text of the file")
		}
		m.table(heads...)
		for _, l := range s.Lines {
			cells := []string{l.Value, l.Means, l.Key, l.Why}
			if s.File != "" {
				cells = append(cells, l.Text)
			}
			m.line("| [ ] | " + strings.Join(wording.Each(cells, wording.Markdown), " | ") + " |")
		}
	}
	if len(v.Papers) > 0 {
		m.heading(2, "Papers beside the job")
		for _, p := range v.Papers {
			m.item(p.Label, "SHA-256 "+p.Text)
		}
	}
	m.line("\nCompared by, date: ____________________")
	m.line("\n", wording.Markdown(v.Notice), "\n")
	for _, c := range v.Cautions {
		m.line("- ", wording.Markdown(c))
	}
}
