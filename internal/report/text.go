// Package report writes a finished review for machines and for the terminal:
// text, JSON, SARIF, CSV, JUnit and the sheets of checks. Every writer is a pure
// function of the review: it computes nothing that the review does not hold,
// reads no clock and no environment, and gives the same bytes for the same review.
package report

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"github.com/fatih/color"

	"plumbrule/internal/codebook"
	"plumbrule/internal/review"
	"plumbrule/internal/wording"
)

// TextOptions say how the report looks.
type TextOptions struct {
	Color   bool
	Width   int    // in columns; zero is the usual width
	Full    bool   // everything about each comment, instead of a line each
	Version string // of the program
	Again   string // flags that a further run needs to review alike, each with a space after it; "" for none
}

// Text writes the review on one screen of a terminal: how it came out, each
// comment on a line, what to do next, and the cautions. In full each comment has
// its worst subject with place, numbers and source, then the others by name, and
// what comes of it; then follow what is missing, the totals, and the checks that
// had nothing to look at.
func Text(w io.Writer, r *review.Review, o TextOptions) error {
	t := &letter{page: newPage(o), r: r, version: o.Version}
	t.opening()
	t.rounds()
	for _, s := range codebook.Severities {
		if o.Full {
			t.comments(s)
		} else {
			t.list(s)
		}
	}
	if o.Full {
		t.accepted()
		t.missing()
		t.totals(wording.Disciplines(r))
		t.remarks(wording.Remarks(r))
	} else {
		t.totalsInBrief()
		t.remarks(wording.Remarks(r)[1:]) // without the checks that had nothing to look at
	}
	t.next()
	t.closing()
	_, err := w.Write(t.Bytes())
	return err
}

// letter is one text report in the making.
type letter struct {
	*page
	r       *review.Review
	version string          // of the program
	states  *wording.Rounds // of the comments, once asked
}

func (t *letter) opening() {
	t.line(t.heading.Sprint("PLAN REVIEW") + "  " + wording.Plain(wording.JobFile(t.r)))
	verdict, count := strings.ToUpper(wording.Verdict(t.r)), wording.BySeverity(wording.CommentsBySeverity(t.r))
	if count != "" {
		count = ": " + count
	}
	t.line(t.verdictTone().Sprint(verdict) + count)
	p := t.r.Job.Project
	var who []string
	for _, g := range []struct {
		known bool
		text  string
	}{{p.Name.Known, p.Name.Value}, {p.Address.Known, p.Address.Value}, {p.Permit.Known, "permit " + p.Permit.Value}, {p.Revision.Known, "revision " + p.Revision.Value}} {
		if g.known {
			who = append(who, g.text)
		}
	}
	editions := "no edition of any code is stated"
	if list := wording.EditionNames(t.r); len(list) > 0 {
		editions = "held against " + strings.Join(list, ", ")
	}
	if p.Authority.Known {
		editions = "for " + p.Authority.Value + ", " + editions
	}
	t.paragraph(0, strings.Join(append(who, editions), ", "))
}

// verdictTone is the colour of the gravest comment.
func (t *letter) verdictTone() *color.Color {
	for _, s := range codebook.Severities {
		if wording.CommentsBySeverity(t.r)[s] > 0 {
			return t.tone(s)
		}
	}
	return t.excused
}

func (t *letter) tone(s codebook.Severity) *color.Color {
	switch s {
	case codebook.Correction:
		return t.correction
	case codebook.Verify:
		return t.verify
	}
	return t.advisory
}

// severityNames head the comments of each severity.
var severityNames = map[codebook.Severity]string{
	codebook.Correction: "corrections", codebook.Verify: "to verify", codebook.Advisory: "advisories",
}

// of gives the comments of a severity.
func (t *letter) of(s codebook.Severity) []*review.Comment {
	var out []*review.Comment
	for _, c := range t.r.Comments() {
		if c.Severity == s {
			out = append(out, c)
		}
	}
	return out
}

// numberWidth is the column of a comment's number.
const numberWidth = 3

// list writes each comment of a severity on a line: number, sheet, status, and
// what it is about.
func (t *letter) list(s codebook.Severity) {
	comments := t.of(s)
	if len(comments) == 0 {
		return
	}
	status, sheet := 0, 0 // widths over all comments, so that the columns of all severities agree
	for _, c := range t.r.Comments() {
		status = max(status, len(t.status(c)))
		sheet = max(sheet, wording.Columns(wording.SheetOf(t.r.Job, c)))
	}
	if s == t.r.Comments()[0].Severity {
		t.line("")
	}
	t.line(t.tone(s).Sprint(strings.ToUpper(severityNames[s])))
	cell := func(text string, width int) string {
		if width == 0 {
			return ""
		}
		return text + wording.Spaces(width-wording.Columns(text)+2)
	}
	for _, c := range comments {
		number := strconv.Itoa(c.Number)
		word := t.status(c)
		lead := wording.Spaces(numberWidth-len(number)) + number + "  " + cell(wording.SheetOf(t.r.Job, c), sheet)
		indent := wording.Columns(lead) + status + 2
		for i, l := range wrap(wording.Plain(wording.Heading(c)+wording.Shortly(c)), t.width-indent) {
			if i > 0 {
				t.line(wording.Spaces(indent) + l)
				continue
			}
			t.line(lead + t.statusTone(c).Sprint(word) + wording.Spaces(status-len(word)+2) + l)
		}
		if len(t.r.Comments()) <= fewComments {
			t.inShort(c, indent)
		}
	}
}

// fewComments is how many comments are told with what was found and what would
// pass, and still fit on a screen.
const fewComments = 8

// inShort writes what a comment found, where, and what would pass.
func (t *letter) inShort(c *review.Comment, indent int) {
	at := c.Worst().At
	if c.Check == nil {
		at = wording.Asked(c)[0].Slots[0].At
	}
	if found := wording.Found(c); c.Check != nil {
		if len(c.Subjects) > 1 {
			found = c.Worst().Subject.Label() + ": " + found
		}
		t.paragraph(indent, found)
		t.paragraph(indent, "to pass: "+wording.ToPass(c))
	}
	if at.Known() {
		t.paragraph(indent, at.Position().String())
	}
	if comes := wording.Comes(c); comes != "" {
		t.paragraph(indent, "with it: "+comes)
	}
}

// statusTone tells what is not met from what is not known.
func (t *letter) statusTone(c *review.Comment) *color.Color {
	if c.Result == review.NotMet {
		return t.tone(c.Severity)
	}
	return t.label
}

// comments writes the comments of a severity in full.
func (t *letter) comments(s codebook.Severity) {
	comments := t.of(s)
	if len(comments) == 0 {
		return
	}
	t.head(severityNames[s], wording.Plural(len(comments), "comment", "comments"))
	for _, c := range comments {
		t.line("")
		t.title(strconv.Itoa(c.Number)+".", strings.ToUpper(t.status(c)), t.statusTone(c), wording.Heading(c))
		if c.Check == nil {
			t.keys(c)
		} else {
			t.subjects(c)
			t.finding(c.Worst())
			t.others(c.Worst(), c.Subjects)
		}
		t.follows(c)
	}
}

// title writes the number, the status and the heading of a comment.
func (t *letter) title(number, status string, tone *color.Color, heading string) {
	indent := max(margin, len(number)+1)
	title := wrap(wording.Plain(heading), t.width-indent-len(status)-2)
	t.line(number + wording.Spaces(indent-len(number)) + tone.Sprint(status) + "  " + title[0])
	for _, l := range title[1:] {
		t.line(wording.Spaces(indent+len(status)+2) + l)
	}
}

// subjects names the worst subject and how many there are.
func (t *letter) subjects(c *review.Comment) {
	subject := c.Worst().Subject.Label()
	if n := len(c.Subjects) - 1; n > 0 {
		subject = fmt.Sprintf("%s, and %d more listed below, %s to %s", subject, n, c.NumberOf(0, n+1), c.NumberOf(n, n+1))
	}
	t.paragraph(margin, subject)
	t.row("Sheet", wording.SheetOf(t.r.Job, c))
}

// keys writes the keys that a comment asks for.
func (t *letter) keys(c *review.Comment) {
	t.row("State", strings.Join(wording.SubjectsOf(c), ", "))
	for _, s := range wording.Asked(c)[0].Slots {
		t.row("Holds", wording.Holds(s))
		t.row("Found", s.Find())
	}
	for _, m := range wording.Asked(c) {
		for _, s := range m.Slots {
			t.row("Belongs", wording.Belongs(s))
		}
	}
}

// follows lists what comes of a comment, by check.
func (t *letter) follows(c *review.Comment) {
	for i, f := range c.Follows {
		label := "Of it"
		if i > 0 {
			label = " "
		}
		t.row(label, fmt.Sprintf("%s, %s: %s", f.Check.ID, f.Result, strings.Join(wording.Ranges(wording.Each(f.Subjects, func(o *review.Outcome) string { return o.Subject.Label() })), ", ")))
	}
}

// accepted lists what accepted deviations excuse.
func (t *letter) accepted() {
	first := true
	for _, d := range wording.Disciplines(t.r) {
		for _, g := range d.Groups {
			if !g.Excused {
				continue
			}
			if first {
				t.head("accepted deviations", wording.Plural(t.r.Totals.Excused, "outcome", "outcomes"))
				first = false
			}
			t.line("")
			t.title("", "EXCUSED", t.excused, g.Check.Title)
			t.paragraph(margin, g.List[0].Subject.Label())
			t.finding(g.List[0])
			t.others(g.List[0], g.List)
		}
	}
}

// finding writes one outcome in full.
func (t *letter) finding(o *review.Outcome) {
	t.verdict(o)
	t.needs(o)
	t.place(o)
	t.rows("Worked", o.Steps())
	if o.Limit == nil || o.Remedy != string(o.LimitKind)+" "+o.Limit.Text { // which the verdict says
		t.row("To pass", o.Remedy)
	}
	t.row("Under", strings.Join(wording.Each(o.Cites, wording.Cited), "; "))
	if o.Check.Local {
		t.row("Check", o.Check.ID+", local rule of "+o.Check.At.File.Name)
	} else {
		t.row("Check", o.Check.ID)
	}
	for _, u := range o.Unconfirmed {
		t.row("verify:", u)
	}
	if e := o.Excused; e != nil {
		t.row("Accepted", fmt.Sprintf("by %s: %s (%s)", wording.AcceptedBy(e), e.Reason.Value, e.At.Position()))
	}
	if e := o.Claimed; e != nil {
		t.row("Claimed", fmt.Sprintf("as accepted by %s: %s (%s)", wording.AcceptedBy(e), e.Reason.Value, e.At.Position()))
	}
}

// verdict says what was found against what is allowed. A finding that does not
// give both values itself is followed by them.
func (t *letter) verdict(o *review.Outcome) {
	used := ""
	if o.Utilisation != nil {
		used = " (utilisation " + wording.Ratio(*o.Utilisation) + ")"
	}
	if o.Measure == nil || o.Limit == nil {
		t.row("Finding", o.Finding)
		return
	}
	if strings.Contains(o.Finding, o.Measure.Text) && strings.Contains(o.Finding, o.Limit.Text) {
		t.row("Finding", o.Finding+used)
		return
	}
	t.row("Finding", o.Finding)
	t.row("Held", fmt.Sprintf("%s, %s %s%s", o.Measure.Text, o.LimitKind, o.Limit.Text, used))
}

// needs says what is missing, or else why the outcome could not be determined.
func (t *letter) needs(o *review.Outcome) {
	if o.Result != review.Undetermined {
		return
	}
	t.rows("Missing", wording.NeedsOf(o))
	t.rows("Because", wording.Each(o.Reasons, wording.FirstLine))
}

// place points into the job file at the value that drives the finding, and
// names the further places.
func (t *letter) place(o *review.Outcome) {
	if !o.At.Known() {
		return
	}
	t.row("Place", o.At.Position().String())
	indent := margin + labelWidth
	if line, underline, ok := excerpt(o.At, t.width-indent); ok {
		marks := strings.TrimLeft(underline, " ")
		t.line(wording.Spaces(indent) + line)
		t.line(wording.Spaces(indent+len(underline)-len(marks)) + t.mark.Sprint(marks))
	}
	t.row("See also", wording.Also(o))
}

// others names every subject besides the worst with what sets it apart.
func (t *letter) others(worst *review.Outcome, all []*review.Outcome) {
	var order []string // what sets findings apart, as it comes first
	names := map[string][]string{}
	for _, o := range all {
		if o == worst {
			continue
		}
		a := wording.Apart(o, worst)
		if names[a] == nil {
			order = append(order, a)
		}
		names[a] = append(names[a], o.Subject.Label())
	}
	parts := make([]string, len(order))
	for i, a := range order {
		parts[i] = strings.Join(wording.Ranges(names[a]), ", ") + a
	}
	t.row("Others", strings.Join(parts, "; "))
}

// totalsInBrief says in a line how the outcomes came out.
func (t *letter) totalsInBrief() {
	n := t.r.Totals
	parts := []string{fmt.Sprintf("%d met", n.Met), fmt.Sprintf("%d not met", n.NotMet), fmt.Sprintf("%d undetermined", n.Undetermined)}
	if n.Excused > 0 {
		parts = append(parts, fmt.Sprintf("%d excused", n.Excused))
	}
	if n.Claimed > 0 {
		parts = append(parts, fmt.Sprintf("%d of these claimed as deviations", n.Claimed))
	}
	parts = append(parts, fmt.Sprintf("%d do not apply", n.NotApplicable))
	t.line("")
	t.paragraph(0, wording.Plural(n.Pairs, "outcome", "outcomes")+": "+strings.Join(parts, ", ")+".")
}

// totals is a table whose rows and columns add up.
func (t *letter) totals(parts []*wording.Discipline) {
	t.head("Totals", wording.Plural(t.r.Totals.Pairs, "outcome", "outcomes"))
	rows := wording.Each(parts, func(d *wording.Discipline) tally {
		return tally{d.Name, review.Totals{NotMet: d.Count[review.NotMet], Undetermined: d.Count[review.Undetermined],
			Met: d.Count[review.Met], NotApplicable: d.Count[review.NotApplicable], Excused: d.Excused, Pairs: d.Pairs}}
	})
	t.tally(append(rows, tally{"together", t.r.Totals}))
}

// tally is a row of a table of totals.
type tally struct {
	name string
	of   review.Totals
}

// tally writes a table of totals.
func (p *page) tally(rows []tally) {
	titles := []string{"not met", "undetermined", "met", "not applicable", "excused", "together"}
	name, widths := 0, wording.Each(titles, func(s string) int { return len(s) })
	cells := wording.Each(rows, func(r tally) []string {
		t := r.of
		return wording.Each([]int{t.NotMet, t.Undetermined, t.Met, t.NotApplicable, t.Excused, t.Pairs}, strconv.Itoa)
	})
	for i, r := range rows {
		name = max(name, wording.Columns(r.name))
		for k, c := range cells[i] {
			widths[k] = max(widths[k], len(c))
		}
	}
	row := func(label string, cells []string) {
		s := label + wording.Spaces(name-wording.Columns(label))
		for i, c := range cells {
			s += wording.Spaces(2+widths[i]-len(c)) + c
		}
		p.line(s)
	}
	row("", titles)
	for i, r := range rows {
		row(r.name, cells[i])
	}
}

// remarks name what did nothing: checks without a subject, and deviations that
// excused nothing. Checks that failed are named as defects.
func (t *letter) remarks(groups [][]string) {
	for _, group := range groups {
		for i, remark := range group {
			if i == 0 {
				t.line("")
			}
			t.paragraph(0, remark)
		}
	}
}

// next says what to do now.
func (t *letter) next() {
	comments := t.r.Comments()
	job := wording.Plain(wording.JobFile(t.r))
	if len(comments) == 0 {
		return
	}
	t.line("")
	t.line("each in full:   plumbrule check --format full " + t.again + job)
	t.line("what to state:  plumbrule check --missing " + t.again + job)
}

func (t *letter) closing() {
	t.line("")
	t.paragraph(0, wording.MadeWith(t.version, t.r.Book))
	t.paragraph(0, wording.Notice)
	for _, c := range wording.Cautions {
		t.paragraph(0, c)
	}
}
