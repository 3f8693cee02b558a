// Package report writes a finished review for machines and for the terminal:
// text, JSON, SARIF, CSV and the sheets of checks. Every writer is a pure
// function of the review: it computes nothing that the review does not hold,
// reads no clock and no environment, and gives the same bytes for the same review.
package report

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"plumbrule/internal/codebook"
	"plumbrule/internal/review"
	"plumbrule/internal/wording"
)

// TextOptions say how the letter looks.
type TextOptions struct {
	Color bool
	Width int  // in columns; zero is the usual width
	Brief bool // three lines a finding: what, where, what would pass
}

// Text writes the review as a letter to a terminal: what was reviewed under
// which editions, then the findings numbered through, by discipline and worst
// first, then the totals, what to do next, and the cautions. Findings of one
// check and one result share a number: the worst in full, then every other by
// name.
func Text(w io.Writer, r *review.Review, o TextOptions) error {
	t := &letter{page: newPage(o), r: r, brief: o.Brief}
	parts := wording.Disciplines(r)
	t.opening()
	for _, d := range parts {
		t.discipline(d)
	}
	t.missing()
	t.totals(parts)
	t.remarks()
	t.next(parts)
	t.closing()
	_, err := w.Write(t.Bytes())
	return err
}

// letter is one text report in the making.
type letter struct {
	*page
	r      *review.Review
	number int // of the last finding
	brief  bool
}

func (t *letter) opening() {
	t.line(t.heading.Sprint("PLAN REVIEW") + "  " + wording.Plain(wording.JobFile(t.r)))
	p := t.r.Job.Project
	var who []string
	for _, g := range []struct {
		known bool
		text  string
	}{{p.Name.Known, p.Name.Value}, {p.Address.Known, p.Address.Value}, {p.Revision.Known, "revision " + p.Revision.Value}} {
		if g.known {
			who = append(who, g.text)
		}
	}
	t.paragraph(0, strings.Join(who, ", "))
	editions := "no edition of any code is stated"
	if list := wording.EditionNames(t.r); len(list) > 0 {
		editions = "held against " + strings.Join(list, ", ")
	}
	if p.Authority.Known {
		editions = "for " + p.Authority.Value + ", " + editions
	}
	t.paragraph(0, editions)
}

func (t *letter) discipline(d *wording.Discipline) {
	if len(d.Groups) == 0 {
		return
	}
	remark := wording.BySeverity(d.Outstanding)
	if d.Excused > 0 {
		if remark != "" {
			remark += ", "
		}
		remark += fmt.Sprintf("%d excused", d.Excused)
	}
	t.head(d.Name, remark)
	for _, g := range d.Groups {
		t.line("")
		t.group(g)
	}
}

func (t *letter) group(g *wording.Group) {
	t.number++
	t.titled(t.number, g.Check, g.Excused, g.Result)
	worst := g.List[0]
	subject := worst.Subject.Label()
	if n := len(g.List) - 1; n > 0 {
		subject += fmt.Sprintf(", and %d more listed below", n)
	}
	if t.brief {
		t.summary(g)
		return
	}
	t.paragraph(margin, subject)
	t.finding(worst)
	t.others(g)
}

// titled writes how severe a finding is and the title of its check, behind a
// number unless that is 0.
func (p *page) titled(number int, c *codebook.Check, excused bool, result review.Result) {
	word, tone := string(c.Severity), p.advisory
	switch c.Severity {
	case codebook.Correction:
		tone = p.correction
	case codebook.Verify:
		tone = p.verify
	}
	if excused {
		word, tone = "excused "+word, p.excused
	}
	word = strings.ToUpper(word)
	if result == review.Undetermined {
		word += ", undetermined"
	}
	lead := ""
	if number > 0 {
		lead = strconv.Itoa(number) + "."
		lead += wording.Spaces(margin - len(lead))
	}
	title := wrap(wording.Plain(c.Title), p.width-margin-len(word)-2)
	p.line(lead + tone.Sprint(word) + "  " + title[0])
	for _, l := range title[1:] {
		p.line(wording.Spaces(len(lead)+len(word)+2) + l)
	}
}

// summary is a finding in brief; the full report gives the calculation, the
// sources and every subject by name.
func (t *letter) summary(g *wording.Group) {
	o := g.List[0]
	t.paragraph(margin, subjectAndMore(o, len(g.List)-1)+placeOf(o))
	t.paragraph(margin, said(o))
	t.toPass(o)
}

// subjectAndMore names what a finding is about, with how many more there are.
func subjectAndMore(o *review.Outcome, more int) string {
	if more > 0 {
		return fmt.Sprintf("%s and %d more", o.Subject.Label(), more)
	}
	return o.Subject.Label()
}

// placeOf is where an outcome stands, behind what it is about.
func placeOf(o *review.Outcome) string {
	if !o.At.Known() {
		return ""
	}
	return ", " + o.At.Position().String()
}

// said is what a finding says in one line.
func said(o *review.Outcome) string {
	if o.Result == review.Undetermined {
		return wording.Open(o)
	}
	return o.Finding
}

// toPass says what would pass, of what is not met.
func (p *page) toPass(o *review.Outcome) {
	if o.Result == review.NotMet {
		p.paragraph(margin, "to pass: "+o.Remedy)
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
	cites := make([]string, len(o.Cites))
	for i, c := range o.Cites {
		cites[i] = wording.Cited(c)
	}
	t.row("Under", strings.Join(cites, "; "))
	t.row("Check", o.Check.ID)
	for _, u := range o.Unconfirmed {
		t.row("verify:", u)
	}
	if e := o.Excused; e != nil {
		by := e.By
		if e.Date != "" {
			by += ", " + e.Date
		}
		t.row("Accepted", fmt.Sprintf("by %s: %s (%s)", by, e.Reason, e.At.Position()))
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

// others names every further finding of a group with what sets it apart from
// the worst.
func (t *letter) others(g *wording.Group) {
	worst := g.List[0]
	var order []string // what sets findings apart, in the order of the worst
	names := map[string][]string{}
	for _, o := range g.List[1:] {
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
func (t *letter) remarks() {
	for _, group := range wording.Remarks(t.r) {
		for i, remark := range group {
			if i == 0 {
				t.line("")
			}
			t.paragraph(0, remark)
		}
	}
}

// next says what to do now.
func (t *letter) next(parts []*wording.Discipline) {
	t.head("Next", "")
	n := t.r.Totals
	if wording.BySeverity(n.Outstanding) == "" {
		t.paragraph(0, "Nothing is outstanding.")
	} else {
		var do []string
		if n.NotMet > 0 {
			do = append(do, "change what is not met")
		}
		if n.Undetermined > 0 {
			do = append(do, "state the keys that are missing")
		}
		t.paragraph(0, wording.BySeverity(n.Outstanding)+" outstanding: "+strings.Join(do, ", ")+", then run")
		t.line(wording.Spaces(margin) + "plumbrule check " + wording.Plain(wording.JobFile(t.r)))
	}
	for _, d := range parts {
		if len(d.Groups) > 0 {
			t.paragraph(0, "What a check asks, and why:")
			t.line(wording.Spaces(margin) + "plumbrule rules " + d.Groups[0].Check.ID)
			break
		}
	}
}

func (t *letter) closing() {
	t.line("")
	t.paragraph(0, wording.Notice)
	for _, c := range wording.Cautions {
		t.paragraph(0, c)
	}
}
