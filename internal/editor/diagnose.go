package editor

import (
	"fmt"
	"strings"

	"plumbrule/internal/codebook"
	"plumbrule/internal/review"
	"plumbrule/internal/source"
	"plumbrule/internal/wording"
)

const (
	sourceName = "plumbrule"

	mostRelated  = 8   // further places of a diagnostic
	mostSubjects = 8   // names in a diagnostic
	mostPlaces   = 50  // diagnostics of one check
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

// findings shows what a review found: one diagnostic for each check, result and
// place, however many things it is about, and one for each key that is missing,
// however many outcomes wait for it.
func (d diagnostics) findings(w *Workspace, r *review.Review) {
	type place struct {
		check  *codebook.Check
		result review.Result
		at     source.Span
	}
	type check struct {
		check  *codebook.Check
		result review.Result
	}
	var order []place
	groups := map[place][]*review.Outcome{}
	places, left := map[check]int{}, map[check]int{}
	for _, o := range r.Worst() {
		if !o.Outstanding() || o.Result == review.Undetermined && len(o.Needs) > 0 && len(o.Reasons) == 0 {
			continue // accepted, or it stands at the key that is missing
		}
		p := place{o.Check, o.Result, o.At}
		if !p.at.Known() {
			p.at = r.Job.Files[0].Start()
		}
		of := check{o.Check, o.Result}
		if groups[p] == nil {
			if places[of] == mostPlaces {
				left[of]++
				continue
			}
			places[of]++
			order = append(order, p)
		}
		groups[p] = append(groups[p], o)
	}
	for _, p := range order {
		of := check{p.check, p.result}
		d.add(w, p.at, finding(w, groups[p], left[of]))
		delete(left, of) // said once, at the worst place
	}
	d.missing(w, r)
	for _, u := range r.Unused {
		d.add(w, u.Check.At, Diagnostic{Severity: SeverityInfo, Code: u.Check.Value, Message: "This accepted deviation excused nothing."})
	}
}

// finding is the diagnostic of outcomes of one check at one place, the worst
// first. elsewhere are those at places that are not shown.
func finding(w *Workspace, list []*review.Outcome, elsewhere int) Diagnostic {
	worst := list[0]
	word := string(worst.Check.Severity)
	subject := worst.Subject.Label()
	if n := len(list) - 1; n > 0 {
		subject += fmt.Sprintf(" and %d more", n)
	}
	var said []string
	if worst.Result == review.Undetermined {
		word += ", undetermined"
		said = append(said, subject+": "+wording.Open(worst))
	} else {
		said = append(said, subject+": "+worst.Finding, "To pass: "+worst.Remedy)
	}
	if cites := wording.Each(worst.Cites, wording.Cited); len(cites) > 0 {
		said = append(said, "Under "+strings.Join(cites, "; "))
	}
	if len(list) > 1 {
		var names []string
		for _, o := range list[1:min(len(list), mostSubjects+1)] {
			names = append(names, o.Subject.Label()+wording.Apart(o, worst))
		}
		if n := len(list) - 1 - len(names); n > 0 {
			names = append(names, fmt.Sprintf("and %d more", n))
		}
		said = append(said, "Others: "+strings.Join(names, "; "))
	}
	if elsewhere > 0 {
		said = append(said, fmt.Sprintf("And for %d more at other places", elsewhere))
	}
	x := Diagnostic{Severity: severityOf(worst.Check.Severity, worst.Result), Code: worst.Check.ID,
		Message: wording.Plain(word + ": " + worst.Check.Title)}
	for _, s := range said {
		x.Message += "\n" + wording.Sentence(wording.Plain(s))
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
	if keys := wording.KeysOf(worst); len(keys) > 0 {
		x.Data = &Data{Missing: keys}
	}
	return x
}

// missingCode is the code of a diagnostic of a missing key, which is no check's.
const missingCode = "missing"

// missing shows each key that the job leaves out and outcomes wait for, at the
// table that it belongs in.
func (d diagnostics) missing(w *Workspace, r *review.Review) {
	for _, m := range r.Missing() {
		at := m.Need.At
		belongs := ""
		if len(m.Slots) > 0 {
			at = m.Slots[0].At
			belongs = " It belongs in " + wording.TableOf(m.Slots[0]) + "."
		}
		if !at.Known() {
			at = r.Job.Files[0].Start()
		}
		severity := SeverityHint
		for _, id := range m.Checks {
			severity = min(severity, severityOf(r.Book.Check(id).Severity, review.Undetermined))
		}
		x := Diagnostic{Severity: severity, Code: missingCode, Data: &Data{Missing: m.Need.Keys}}
		x.Message = "missing: " + m.Need.String() + "\n"
		if means, found := wording.MeansAndFound(m); means != "" {
			x.Message += wording.Sentence(means) + belongs + "\nFound in: " + wording.Sentence(found) + "\n"
		}
		checks := strings.Join(m.Checks[:min(len(m.Checks), mostSubjects)], ", ")
		if n := len(m.Checks) - mostSubjects; n > 0 {
			checks += fmt.Sprintf(" and %d more", n)
		}
		x.Message += "Waiting: " + wording.WaitingFor(m) + " (" + checks + ")."
		d.add(w, at, x)
	}
}
