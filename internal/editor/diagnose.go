package editor

import (
	"fmt"
	"slices"
	"strings"

	"plumbrule/internal/codebook"
	"plumbrule/internal/review"
	"plumbrule/internal/source"
	"plumbrule/internal/wording"
)

const (
	sourceName = "plumbrule"

	mostRelated  = 12  // further places of a diagnostic
	mostSubjects = 8   // names in a diagnostic
	mostFaults   = 500 // diagnostics of faults
)

// diagnostics are those of several files, by path.
type diagnostics map[string][]Diagnostic

// add puts a diagnostic at a place.
func (d diagnostics) add(w *Workspace, at source.Span, x Diagnostic) {
	x.Range, x.Source = w.Range(visible(at)), sourceName
	d[at.File.Name] = append(d[at.File.Name], x)
}

// visible widens a place between two characters to one of them, so that there
// is something to see.
func visible(at source.Span) source.Span {
	text := at.File.Text
	if at.Start < at.End || len(text) == 0 {
		return at
	}
	switch isBreak := func(i int) bool { return text[i] == '\n' || text[i] == '\r' }; {
	case at.Start < len(text) && !isBreak(at.Start):
		at.End = at.Start + 1
		for at.End < len(text) && text[at.End]&0xC0 == 0x80 {
			at.End++
		}
	case at.Start > 0 && !isBreak(at.Start-1):
		for at.Start--; at.Start > 0 && text[at.Start]&0xC0 == 0x80; {
			at.Start--
		}
	}
	return at
}

// faults shows what keeps a job from being read. A fault without a place
// stands at the start of file.
func (d diagnostics) faults(w *Workspace, faults source.Faults, file *source.File) {
	for i, f := range faults {
		if !f.At.Known() || f.At.File.Text == nil {
			f.At = file.Start()
		}
		x := Diagnostic{Severity: SeverityError, Message: wording.Plain(f.Text())}
		if i == mostFaults {
			x.Message = fmt.Sprintf("And %d more faults.", len(faults)-i)
			d.add(w, f.At, x)
			break
		}
		if f.Path != "" || f.Nearest != "" {
			x.Data = &Data{Path: f.Path, Nearest: f.Nearest}
		}
		for _, also := range f.Also {
			x.relate(w, also.At, also.Note)
		}
		d.add(w, f.At, x)
	}
}

// relate adds a further place.
func (x *Diagnostic) relate(w *Workspace, at source.Span, note string) {
	if w.Client.TextDocument.PublishDiagnostics.RelatedInformation && at.Known() && len(x.Related) < mostRelated {
		x.Related = append(x.Related, Related{w.Location(at), note})
	}
}

var severities = map[codebook.Severity]int{
	codebook.Correction: SeverityError, codebook.Verify: SeverityWarning, codebook.Advisory: SeverityInfo}

// severityOf is how grave a result is shown. What is only undetermined is never
// shown as an error.
func severityOf(s codebook.Severity, r review.Result) int {
	if r == review.Undetermined {
		return max(severities[s], SeverityWarning)
	}
	return severities[s]
}

// findings shows what a review asks for: one diagnostic for each comment, at its
// worst place. What comes of a comment is counted in it and shown nowhere else.
func (d diagnostics) findings(w *Workspace, r *review.Review) {
	for _, c := range r.Comments() {
		if c.Check == nil {
			d.missing(w, r, c)
			continue
		}
		at := c.Worst().At
		if !at.Known() {
			at = r.Job.Files[0].Start()
		}
		d.add(w, at, finding(w, c))
	}
	for _, u := range r.Deviations {
		switch {
		case u.Finding != "":
			d.add(w, u.Check.At, Diagnostic{Severity: SeverityInfo, Code: u.Check.Value, Message: wording.Plain(wording.Unfounded(u))})
		case u.Claim && !u.Counts:
			d.add(w, u.Check.At, Diagnostic{Severity: SeverityInfo, Code: u.Check.Value, Message: "A claim: it counts once it is granted in the authority's own file (plumbrule check --deviations FILE)."})
		}
	}
}

// finding is the diagnostic of a comment that a check makes, its worst subject
// first.
func finding(w *Workspace, c *review.Comment) Diagnostic {
	worst := c.Worst()
	word := string(c.Severity)
	subject := worst.Subject.Label()
	if n := len(c.Subjects) - 1; n > 0 {
		subject += fmt.Sprintf(" and %d more", n)
	}
	if c.Result == review.Undetermined {
		word += ", undetermined"
	}
	said := []string{subject + ": " + wording.Found(c), "To pass: " + wording.ToPass(c)}
	if cites := wording.Each(worst.Cites, wording.Cited); len(cites) > 0 {
		said = append(said, "Under "+strings.Join(cites, "; "))
	}
	if others := others(c); len(others) > 0 {
		names := wording.Each(others[:min(len(others), mostSubjects)], func(o *review.Outcome) string { return o.Subject.Label() + wording.Apart(o, worst) })
		if n := len(others) - len(names); n > 0 {
			names = append(names, fmt.Sprintf("and %d more", n))
		}
		said = append(said, "Others: "+strings.Join(names, "; "))
	}
	x := Diagnostic{Severity: severityOf(c.Severity, c.Result), Code: c.Check.ID, Message: headed(c, word+": "+c.Check.Title)}
	x.say(said...)
	x.comes(c)
	for _, o := range others(c) {
		if o.At != worst.At {
			x.relate(w, o.At, wording.Plain(o.Subject.Label()))
		}
	}
	keys := map[source.Span]string{}
	for _, r := range worst.Reads() {
		keys[r.At] = r.Key
	}
	for _, at := range worst.Also() {
		note := keys[at]
		if note == "" {
			note = "this value contributes"
		}
		x.relate(w, at, note)
	}
	return x
}

// others are the subjects of a comment besides the worst one.
func others(c *review.Comment) []*review.Outcome {
	return slices.DeleteFunc(slices.Clone(c.Subjects), func(o *review.Outcome) bool { return o == c.Worst() })
}

// headed begins the message of a comment with its number, as every report has it.
func headed(c *review.Comment, text string) string {
	return wording.Plain(fmt.Sprintf("%d. %s", c.Number, text))
}

// say adds sentences, each in a line of its own.
func (x *Diagnostic) say(sentences ...string) {
	for _, s := range sentences {
		x.Message += "\n" + wording.Sentence(wording.Plain(s))
	}
}

// comes adds what comes of a comment and goes with it.
func (x *Diagnostic) comes(c *review.Comment) {
	if n := wording.Comes(c); n != "" {
		x.say("Comes of it: " + n + " (" + checksOf(c) + ")")
	}
}

// checksOf names the checks of what comes of a comment.
func checksOf(c *review.Comment) string {
	var ids []string
	for _, f := range c.Follows {
		if !slices.Contains(ids, f.Check.ID) {
			ids = append(ids, f.Check.ID)
		}
	}
	list := strings.Join(ids[:min(len(ids), mostSubjects)], ", ")
	if n := len(ids) - mostSubjects; n > 0 {
		list += fmt.Sprintf(" and %d more", n)
	}
	return list
}

// missingCode is the code of a diagnostic of missing keys, which is no check's.
const missingCode = "missing"

// missing shows the keys of one kind that the job leaves out, at the first table
// that one of them belongs in.
func (d diagnostics) missing(w *Workspace, r *review.Review, c *review.Comment) {
	asked := wording.Asked(c)
	x := Diagnostic{Severity: severityOf(c.Severity, review.Undetermined), Code: missingCode, Data: &Data{}}
	x.Message = headed(c, "missing: "+strings.Join(wording.SubjectsOf(c), ", "))
	if means, found := wording.MeansAndFound(asked[0]); means != "" {
		x.say(means)
		if len(asked) == 1 && len(asked[0].Slots) > 0 {
			x.say("It belongs in " + wording.TableOf(asked[0].Slots[0]))
		}
		x.say("Found in: " + found)
	}
	x.comes(c)
	places := make([]source.Span, len(asked))
	for i, m := range asked {
		places[i] = m.Need.At
		if len(m.Slots) > 0 {
			places[i] = m.Slots[0].At
		}
		if !places[i].Known() {
			places[i] = r.Job.Files[0].Start()
		}
		x.Data.Missing = append(x.Data.Missing, m.Need.Keys...)
		if places[i] != places[0] {
			x.relate(w, places[i], wording.Plain(m.Need.String()))
		}
	}
	d.add(w, places[0], x)
}
