package report

import (
	"fmt"
	"io"
	"sort"
	"strconv"
	"strings"

	"plumbrule/internal/codebook"
	"plumbrule/internal/review"
	"plumbrule/internal/source"
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
	parts := disciplines(r)
	t.opening()
	for _, d := range parts {
		t.discipline(d)
	}
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
	t.line(t.heading.Sprint("PLAN REVIEW") + "  " + plain(jobFile(t.r)))
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
	if list := editionNames(t.r); len(list) > 0 {
		editions = "held against " + strings.Join(list, ", ")
	}
	if p.Authority.Known {
		editions = "for " + p.Authority.Value + ", " + editions
	}
	t.paragraph(0, editions)
}

func (t *letter) discipline(d *discipline) {
	if len(d.groups) == 0 {
		return
	}
	remark := bySeverity(d.outstanding)
	if d.excused > 0 {
		if remark != "" {
			remark += ", "
		}
		remark += fmt.Sprintf("%d excused", d.excused)
	}
	t.head(d.name, remark)
	for _, g := range d.groups {
		t.line("")
		t.group(g)
	}
}

func (t *letter) group(g *group) {
	t.number++
	worst := g.list[0]
	word, tone := string(g.check.Severity), t.advisory
	switch g.check.Severity {
	case codebook.Correction:
		tone = t.correction
	case codebook.Verify:
		tone = t.verify
	}
	if g.excused {
		word, tone = "excused "+word, t.excused
	}
	word = strings.ToUpper(word)
	if g.result == review.Undetermined {
		word += ", undetermined"
	}
	number := strconv.Itoa(t.number) + "."
	title := wrap(plain(g.check.Title), t.width-margin-len(word)-2)
	t.line(number + spaces(margin-len(number)) + tone.Sprint(word) + "  " + title[0])
	for _, l := range title[1:] {
		t.line(spaces(margin+len(word)+2) + l)
	}
	subject := worst.Subject.Label()
	if n := len(g.list) - 1; n > 0 {
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

// summary is a finding in brief; the full report gives the calculation, the
// sources and every subject by name.
func (t *letter) summary(g *group) {
	o := g.list[0]
	subject := o.Subject.Label()
	if n := len(g.list) - 1; n > 0 {
		subject += fmt.Sprintf(" and %d more", n)
	}
	place := ""
	if o.At.Known() {
		place = ", " + o.At.Position().String()
	}
	said := o.Finding
	if o.Result == review.Undetermined {
		said = firstLine(o.Why())
		if len(o.Needs) > 0 {
			said = "missing " + missing(o)
		}
	}
	t.paragraph(margin, subject+place)
	t.paragraph(margin, said)
	if o.Result == review.NotMet {
		t.paragraph(margin, "to pass: "+o.Remedy)
	}
}

// finding writes one outcome in full.
func (t *letter) finding(o *review.Outcome) {
	t.verdict(o)
	t.needs(o)
	t.place(o)
	t.rows("Worked", calculation(o))
	if o.Limit == nil || o.Remedy != string(o.LimitKind)+" "+o.Limit.Text { // which the verdict says
		t.row("To pass", o.Remedy)
	}
	cites := make([]string, len(o.Cites))
	for i, c := range o.Cites {
		cites[i] = cited(c)
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
		used = " (utilisation " + ratio(*o.Utilisation) + ")"
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

// ratio prints a utilisation so that one just past its limit does not read
// as 1.00.
func ratio(u float64) string {
	s := strconv.FormatFloat(u, 'f', 2, 64)
	if s == "1.00" && u != 1 {
		s = strconv.FormatFloat(u, 'f', 4, 64)
	}
	return s
}

// needs says what is missing, or else why the outcome could not be determined.
func (t *letter) needs(o *review.Outcome) {
	if o.Result != review.Undetermined {
		return
	}
	t.rows("Missing", keysOf(o))
	t.rows("Because", each(o.Reasons, firstLine))
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
		t.line(spaces(indent) + line)
		t.line(spaces(indent+len(underline)-len(marks)) + t.mark.Sprint(marks))
	}
	t.row("See also", strings.Join(each(o.Also(), func(at source.Span) string { return relative(at, o.At) }), ", "))
}

// relative is a place as seen from another: the line alone in the same file.
func relative(at, from source.Span) string {
	pos := at.Position()
	if at.File == from.File && pos.Line > 0 {
		return fmt.Sprintf("line %d", pos.Line)
	}
	return pos.String()
}

// calculation is the worked lines without the last, which says again how the
// measure was held against the limit.
func calculation(o *review.Outcome) []string {
	work := o.Work()
	if n := len(work) - 1; n >= 0 && o.Measure != nil && strings.HasPrefix(work[n], o.Measure.Text+" "+string(o.LimitKind)+" ") {
		work = work[:n]
	}
	return work
}

// others names every further finding of a group with what sets it apart from
// the worst.
func (t *letter) others(g *group) {
	worst := g.list[0]
	var order []string // what sets findings apart, in the order of the worst
	names := map[string][]string{}
	for _, o := range g.list[1:] {
		a := apart(o, worst)
		if names[a] == nil {
			order = append(order, a)
		}
		names[a] = append(names[a], o.Subject.Label())
	}
	parts := make([]string, len(order))
	for i, a := range order {
		parts[i] = strings.Join(inRuns(names[a]), ", ") + a
	}
	t.row("Others", strings.Join(parts, "; "))
}

// inRuns lists names with the numbers they end in drawn together, so that no
// name is hidden and none is repeated: "attachment west line 1 foot 3 to 12".
// A common beginning is written once for each run of numbers.
func inRuns(names []string) []string {
	type named struct {
		stem   string
		number int // -1 for a name that ends in no number
	}
	list := make([]named, len(names))
	for i, n := range names {
		stem := strings.TrimRight(n, "0123456789")
		number, err := strconv.Atoi(n[len(stem):])
		if err != nil || strconv.Itoa(number) != n[len(stem):] {
			stem, number = n, -1
		}
		list[i] = named{stem, number}
	}
	sort.SliceStable(list, func(i, j int) bool {
		if list[i].stem != list[j].stem {
			return list[i].stem < list[j].stem
		}
		return list[i].number < list[j].number
	})
	var out []string
	for i := 0; i < len(list); {
		j := i
		for j+1 < len(list) && list[i].number >= 0 && list[j+1].stem == list[i].stem && list[j+1].number == list[j].number+1 {
			j++
		}
		switch {
		case list[i].number < 0:
			out = append(out, list[i].stem)
		case j == i:
			out = append(out, list[i].stem+strconv.Itoa(list[i].number))
		case j == i+1:
			out = append(out, list[i].stem+strconv.Itoa(list[i].number)+" and "+strconv.Itoa(list[j].number))
		default:
			out = append(out, list[i].stem+strconv.Itoa(list[i].number)+" to "+strconv.Itoa(list[j].number))
		}
		i = j + 1
	}
	return out
}

// apart is what a finding has that the worst of its group has not.
func apart(o, worst *review.Outcome) string {
	var parts []string
	if o.Measure != nil && o.Limit != nil {
		s := o.Measure.Text
		if worst.Limit == nil || o.Limit.Text != worst.Limit.Text {
			s += ", " + string(o.LimitKind) + " " + o.Limit.Text
		}
		parts = append(parts, s)
	} else if o.Finding != worst.Finding {
		parts = append(parts, o.Finding)
	}
	if needs := missing(o); needs != missing(worst) {
		parts = append(parts, "missing "+needs)
	} else if len(o.Needs) == 0 && o.Why() != worst.Why() {
		parts = append(parts, firstLine(o.Why()))
	}
	if o.At.Known() && o.At != worst.At {
		parts = append(parts, relative(o.At, worst.At))
	}
	if o.Excused != nil && *o.Excused != *worst.Excused {
		parts = append(parts, "accepted by "+o.Excused.By+": "+o.Excused.Reason)
	}
	if len(parts) == 0 {
		return ""
	}
	return " (" + strings.Join(parts, "; ") + ")"
}

func missing(o *review.Outcome) string {
	return strings.Join(keysOf(o), ", ")
}

// totals is a table whose rows and columns add up.
func (t *letter) totals(parts []*discipline) {
	total := t.r.Totals
	t.head("Totals", plural(total.Pairs, "outcome", "outcomes"))
	name := len("together")
	for _, d := range parts {
		name = max(name, len(d.name))
	}
	titles := []string{"not met", "undetermined", "met", "not applicable", "excused", "together"}
	most := len(strconv.Itoa(total.Pairs)) // no number of the table is wider
	row := func(label string, cells ...string) {
		s := label + spaces(name-columns(label))
		for i, c := range cells {
			s += spaces(2+max(len(titles[i]), most)-len(c)) + c
		}
		t.line(s)
	}
	counts := func(label string, n ...int) {
		cells := make([]string, len(n))
		for i := range n {
			cells[i] = strconv.Itoa(n[i])
		}
		row(label, cells...)
	}
	row("", titles...)
	for _, d := range parts {
		counts(d.name, d.count[review.NotMet], d.count[review.Undetermined], d.count[review.Met], d.count[review.NotApplicable], d.excused, d.pairs)
	}
	counts("together", total.NotMet, total.Undetermined, total.Met, total.NotApplicable, total.Excused, total.Pairs)
}

// remarks name what did nothing: checks without a subject, and deviations that
// excused nothing. Checks that failed are named as defects.
func (t *letter) remarks() {
	for _, group := range remarks(t.r) {
		for i, remark := range group {
			if i == 0 {
				t.line("")
			}
			t.paragraph(0, remark)
		}
	}
}

// next says what to do now.
func (t *letter) next(parts []*discipline) {
	t.head("Next", "")
	n := t.r.Totals
	if bySeverity(n.Outstanding) == "" {
		t.paragraph(0, "Nothing is outstanding.")
	} else {
		var do []string
		if n.NotMet > 0 {
			do = append(do, "change what is not met")
		}
		if n.Undetermined > 0 {
			do = append(do, "state the keys that are missing")
		}
		t.paragraph(0, bySeverity(n.Outstanding)+" outstanding: "+strings.Join(do, ", ")+", then run")
		t.line(spaces(margin) + "plumbrule check " + plain(jobFile(t.r)))
	}
	for _, d := range parts {
		if len(d.groups) > 0 {
			t.paragraph(0, "What a check asks, and why:")
			t.line(spaces(margin) + "plumbrule rules " + d.groups[0].check.ID)
			break
		}
	}
}

func (t *letter) closing() {
	t.line("")
	t.paragraph(0, Notice)
	for _, c := range Cautions {
		t.paragraph(0, c)
	}
}

func firstLine(s string) string {
	line, _, _ := strings.Cut(s, "\n")
	return line
}
