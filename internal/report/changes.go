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

// Changes writes what differs between a review of a job and the one before: the
// findings that are gone, new or changed, what is missing now and no longer, and
// the totals. Changes of one check from one result to another are told once, by
// the gravest, with how many more there are.
func Changes(w io.Writer, r *review.Review, c *review.Comparison, o TextOptions) error {
	p := newPage(o)
	p.line(p.heading.Sprint("CHANGES") + "  " + wording.Plain(wording.JobFile(r)))
	p.changes("Gone", c.Gone, (*page).goneChange)
	p.changes("New", c.New, (*page).newChange)
	p.changes("Changed", c.Changed, (*page).otherChange)
	p.needs("Missing now", c.NowMissing)
	p.needs("No longer missing", c.NoLongerMissing)
	p.head("Totals", wording.Plural(c.After.Pairs, "outcome", "outcomes"))
	p.tally([]tally{{"before", c.Before}, {"now", c.After}})
	left := wording.BySeverity(c.After.Outstanding)
	if left == "" {
		left = "Nothing is"
	}
	p.paragraph(0, left+" outstanding.")
	_, err := w.Write(p.Bytes())
	return err
}

// changes writes a part of the changes; tell writes what is special to it.
func (p *page) changes(name string, list []review.Change, tell func(*page, review.Change)) {
	if len(list) == 0 {
		return
	}
	p.head(name, wording.Plural(len(list), "finding", "findings"))
	for i, like := range likes(list) {
		if i > 0 {
			p.line("")
		}
		first := like[0]
		o := finding(first)
		p.titled(0, o.Check, false, o.Result)
		p.paragraph(margin, subjectAndMore(o, len(like)-1)+placeNow(first))
		tell(p, first)
	}
}

// finding is the side of a change that is a finding, the later where both are.
func finding(c review.Change) *review.Outcome {
	if c.After != nil && c.After.Outstanding() {
		return c.After
	}
	return c.Before
}

// placeNow is where a change stands in the job as it is now; "" where it no
// longer does.
func placeNow(c review.Change) string {
	if c.After == nil {
		return ""
	}
	return placeOf(c.After)
}

// likes draws together the changes of one check from one state to another.
func likes(list []review.Change) [][]review.Change {
	type kind struct {
		check         *codebook.Check
		before, after string
	}
	var order []kind
	byKind := map[kind][]review.Change{}
	for _, c := range list {
		k := kind{finding(c).Check, state(c.Before), state(c.After)}
		if byKind[k] == nil {
			order = append(order, k)
		}
		byKind[k] = append(byKind[k], c)
	}
	return wording.Each(order, func(k kind) []review.Change { return byKind[k] })
}

// state is how an outcome stands; "" for none.
func state(o *review.Outcome) string {
	switch {
	case o == nil:
		return ""
	case o.Excused != nil:
		return "excused"
	}
	return string(o.Result)
}

// goneChange says what became of a finding.
func (p *page) goneChange(c review.Change) {
	o := c.After
	switch state(o) {
	case "":
		p.paragraph(margin, "now: no longer there")
	case "excused":
		p.paragraph(margin, fmt.Sprintf("now: excused by %s: %s", wording.AcceptedBy(o.Excused), o.Excused.Reason.Value))
	case string(review.NotApplicable):
		p.paragraph(margin, "now: does not apply")
	default:
		p.paragraph(margin, "now: "+held(o))
	}
}

// held says how an outcome that is met was held.
func held(o *review.Outcome) string {
	if o.Measure == nil || o.Limit == nil {
		return string(o.Result)
	}
	return fmt.Sprintf("%s: %s, %s %s", o.Result, o.Measure.Text, o.LimitKind, o.Limit.Text)
}

func (p *page) newChange(c review.Change) {
	p.paragraph(margin, said(c.After))
	p.toPass(c.After)
}

// otherChange tells a finding apart from what it was: by what it says, else by
// its values, what would pass or how severe it is.
func (p *page) otherChange(c review.Change) {
	for _, tell := range []func(*review.Outcome) string{
		said,
		(*review.Outcome).Held,
		func(o *review.Outcome) string { return "to pass: " + o.Remedy },
		func(o *review.Outcome) string { return string(o.Check.Severity) },
	} {
		if was, is := tell(c.Before), tell(c.After); was != is {
			p.paragraph(margin, "was: "+was)
			p.paragraph(margin, "now: "+is)
			break
		}
	}
	p.toPass(c.After)
}

// needs writes what is missing now, or was and is no longer.
func (p *page) needs(name string, list []*review.Missing) {
	if len(list) == 0 {
		return
	}
	p.head(name, wording.Plural(wording.KeysLeftOut(list), "key", "keys"))
	for _, m := range list {
		p.wait("", m)
	}
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
