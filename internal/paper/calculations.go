package paper

import (
	"cmp"
	"fmt"
	"html/template"
	"math"
	"slices"
	"strings"

	"plumbrule/internal/codebook"
	"plumbrule/internal/parallel"
	"plumbrule/internal/review"
	"plumbrule/internal/table"
	"plumbrule/internal/wording"
)

// calculationView is the package of calculations.
type calculationView struct {
	Governs     []governing
	Curves      []curve
	Ladders     []curve
	Disciplines []calculationPart
	Sources     []field // how sure the values of each table used are
	Notice      string
	Cautions    []string
}

// governing is the subject that a check hangs on.
type governing struct {
	Discipline, Check, Title, Subject, Held, Utilisation, Result string
	Bar                                                          template.HTML
	governs                                                      bool // it is not met, or uses half of its limit and more
}

type calculationPart struct {
	Name       string
	Checks     []calculationSheet
	Conditions []calculationSheet // plain conditions that are met, with nothing computed
	Outside    []field            // checks that do not apply, and to how many subjects
}

// NotMet and Open count the checks of a part by how their worst subject came out.
func (p calculationPart) NotMet() int { return p.count(review.NotMet) }

// Open counts the checks of a part that could not be determined at their worst.
func (p calculationPart) Open() int { return p.count(review.Undetermined) }

func (p calculationPart) count(result review.Result) int {
	n := 0
	for _, s := range p.Checks {
		if s.Result == string(result) {
			n++
		}
	}
	return n
}

// calculationSheet is one check with every subject it was held against.
type calculationSheet struct {
	Check, Title, Discipline, Severity, Result string
	Formula, Under, Why, Sureness              string
	Worst                                      calculationLine
	Work                                       []string
	Missing                                    []string
	Rows                                       []tableRow
	Lines                                      []calculationLine // the governing one and those of comments, worst first; empty for a single subject
	More                                       string            // how many lines are not listed, and how they came out
	Of                                         int               // how many subjects it was held against
	Subjects                                   string            // everything the check was held against, like ones drawn together
	Histogram                                  template.HTML
}

// plain tells whether a row of a table says all there is: a condition that is
// met, without a measure, work or table behind it.
func (s calculationSheet) plain() bool {
	return s.Result == string(review.Met) && s.Worst.Measure == "" && len(s.Work) == 0 && len(s.Rows) == 0
}

type calculationLine struct {
	Comment                             string // number within the comments; "" for none
	Subject, Measure, Limit, Result     string
	Utilisation, Place, Finding, Reason string
	Bar                                 template.HTML
}

// tableRow is a row of a code table that a calculation read.
type tableRow struct{ Place, Values string }

func makeCalculations(r *review.Review) *calculationView {
	v := &calculationView{Curves: stringCurves(r), Ladders: ladders(r), Notice: wording.Notice, Cautions: wording.Cautions}
	in := r.Adopted
	library := newLibrary(r)
	parts := map[string]*calculationPart{}
	var governs []*review.Outcome
	lists := byCheck(r)
	held, outside := make([][]*review.Outcome, len(lists)), make([][]field, len(lists))
	parallel.Each(len(lists), func(i int) { held[i], outside[i] = split(lists[i]) }) // a large job has thousands of reasons to put into words
	for i, list := range lists {
		check, held := list[0].Check, held[i]
		part := parts[check.Discipline]
		if part == nil {
			part = &calculationPart{Name: check.Discipline}
			parts[check.Discipline] = part
		}
		part.Outside = append(part.Outside, outside[i]...)
		if len(held) == 0 {
			continue
		}
		s := makeSheet(r, held, in, library)
		if s.plain() {
			part.Conditions = append(part.Conditions, s)
		} else {
			part.Checks = append(part.Checks, s)
		}
		if held[0].Utilisation != nil {
			governs = append(governs, held[0])
		}
	}
	v.Sources = library.sources()
	for _, p := range parts {
		v.Disciplines = append(v.Disciplines, *p)
	}
	slices.SortFunc(v.Disciplines, func(a, b calculationPart) int { return strings.Compare(a.Name, b.Name) })
	slices.SortStableFunc(governs, func(a, b *review.Outcome) int { return cmp.Compare(*b.Utilisation, *a.Utilisation) })
	for _, o := range governs {
		l := line(o, "")
		v.Governs = append(v.Governs, governing{o.Check.Discipline, o.Check.ID, o.Check.Title, o.Subject.Label(), l.Measure + ", " + l.Limit, l.Utilisation, l.Result, l.Bar, o.Result != review.Met || *o.Utilisation >= 0.5})
	}
	return v
}

// byCheck gathers the outcomes of each check, worst first, and orders the
// checks by their worst, those without a utilisation by what came out.
func byCheck(r *review.Review) [][]*review.Outcome {
	var out [][]*review.Outcome
	for i := range r.Outcomes {
		o := &r.Outcomes[i]
		if n := len(out); n > 0 && out[n-1][0].Check == o.Check {
			out[n-1] = append(out[n-1], o)
			continue
		}
		out = append(out, []*review.Outcome{o})
	}
	for _, list := range out {
		slices.SortStableFunc(list, worstFirst)
	}
	slices.SortStableFunc(out, func(a, b []*review.Outcome) int { return worstFirst(a[0], b[0]) })
	return out
}

// worstFirst orders outcomes by utilisation; one without any stands before all
// when it is not met, then when it could not be determined, and else behind.
func worstFirst(a, b *review.Outcome) int { return cmp.Compare(weight(b), weight(a)) }

func weight(o *review.Outcome) float64 {
	switch {
	case o.Utilisation != nil:
		return *o.Utilisation
	case o.Result == review.NotMet:
		return math.Inf(1)
	case o.Result == review.Undetermined:
		return math.MaxFloat64
	case o.Result == review.Met:
		return -1
	}
	return -2
}

// split parts the outcomes of a check from those it does not apply to, which it
// counts by the reason.
func split(list []*review.Outcome) (held []*review.Outcome, outside []field) {
	why, count := map[string]int{}, map[string]int{}
	for _, o := range list {
		if o.Result != review.NotApplicable {
			held = append(held, o)
			continue
		}
		label := o.Check.ID + ": " + wording.FirstLine(o.Why())
		if count[label]++; count[label] == 1 {
			why[label] = len(outside)
			outside = append(outside, field{label, o.Subject.Label()})
		}
	}
	for label, n := range count {
		if n > 1 {
			outside[why[label]].Text = fmt.Sprintf("%d subjects", n)
		}
	}
	return held, outside
}

// mostLines is how many lines of one check a page of calculations shows.
const mostLines = 60

// makeSheet shows in full the worst subject that has a measure; what keeps the
// others from having one stands beside it. Lines are made of the governing
// subject and of those that belong to a comment; the others are counted.
func makeSheet(r *review.Review, list []*review.Outcome, in map[string]string, library *library) calculationSheet {
	c, full := list[0].Check, list[0]
	if i := slices.IndexFunc(list, func(o *review.Outcome) bool { return o.Measure != nil && o.Result != review.Undetermined }); i >= 0 {
		full = list[i]
	}
	s := calculationSheet{
		Check: c.ID, Title: c.Title, Discipline: c.Discipline, Severity: string(c.Severity), Result: string(list[0].Result),
		Formula: formula(c, in), Under: strings.Join(wording.Each(full.Cites, wording.Cited), "; "), Why: c.Because, Sureness: c.Provenance,
		Of: len(list), Worst: line(full, r.Number(full)), Work: full.Steps(), Rows: library.rows(full), Histogram: histogram(list, library.say),
	}
	if i := slices.IndexFunc(list, func(o *review.Outcome) bool { return o.Result == review.Undetermined }); i >= 0 {
		s.Missing = lacking(list[i])
	}
	if s.plain() {
		s.Subjects = drawnTogether(list)
	}
	if len(list) == 1 {
		return s
	}
	common := strings.Join(s.Missing, "; ")
	left := map[string]int{}
	var order []string
	for i, o := range list {
		number := r.Number(o)
		if (i == 0 || number != "") && len(s.Lines) < mostLines {
			l := line(o, number)
			if l.Reason == common {
				l.Reason = "" // said once above
			}
			s.Lines = append(s.Lines, l)
			continue
		}
		result := resultOf(o)
		if left[result]++; left[result] == 1 {
			order = append(order, result)
		}
	}
	if len(order) > 0 {
		s.More = "Not listed: " + strings.Join(wording.Each(order, func(result string) string { return fmt.Sprintf("%d %s", left[result], result) }), ", ") +
			". Every outcome is in the JSON report."
	}
	return s
}

// mostBlocks is how many groups of like names a list of subjects shows.
const mostBlocks = 24

// drawnTogether names subjects, like ones together.
func drawnTogether(list []*review.Outcome) string {
	blocks := wording.Blocks(wording.Ranges(wording.Each(list, func(o *review.Outcome) string { return o.Subject.Label() })))
	if n := len(blocks) - mostBlocks; n > 0 {
		blocks = append(blocks[:mostBlocks], fmt.Sprintf("and %d groups more", n))
	}
	return strings.Join(blocks, "; ")
}

// resultOf is how an outcome came out, with whether it is excused.
func resultOf(o *review.Outcome) string {
	if o.Excused != nil {
		return string(o.Result) + ", excused"
	}
	return string(o.Result)
}

// formula is the check as its rule file writes it, with the limit that holds
// under the adopted editions.
func formula(c *codebook.Check, in map[string]string) string {
	l := c.LimitFor(in)
	switch {
	case l == nil:
		return c.Measure
	case c.Measure == "":
		return "required: " + l.Text
	}
	f := c.Measure + "  " + string(l.Kind) + "  " + l.Text
	if c.Within != "" {
		f += "  within  " + c.Within
	}
	return f
}

func line(o *review.Outcome, comment string) calculationLine {
	l := calculationLine{Comment: comment, Subject: o.Subject.Label(), Result: resultOf(o), Finding: o.Finding}
	if o.Measure != nil {
		l.Measure = o.Measure.Text
	}
	if o.Limit != nil {
		l.Limit = string(o.LimitKind) + " " + o.Limit.Text
	}
	if o.Utilisation != nil {
		l.Utilisation, l.Bar = wording.Ratio(*o.Utilisation), bar(*o.Utilisation, o.Result == review.Met)
	}
	if o.Result == review.Undetermined {
		l.Reason = strings.Join(lacking(o), "; ")
	}
	if o.At.Known() {
		l.Place = o.At.Position().String()
	}
	return l
}

// library finds the table rows that outcomes rest on.
type library struct {
	r      *review.Review
	tables map[table.Ref]*table.Table // by code, edition and name
	used   map[*table.Table]bool
	say    *wording.Language
}

func newLibrary(r *review.Review) *library {
	l := &library{r: r, tables: map[table.Ref]*table.Table{}, used: map[*table.Table]bool{}, say: wording.LanguageOf(r)}
	for _, t := range r.Model.Tables.All() {
		l.tables[table.Ref{Code: t.Code, Edition: t.Edition, Table: t.Name}] = t
	}
	return l
}

// rows lists the table rows that the measure and the limit of an outcome read.
func (l *library) rows(o *review.Outcome) []tableRow {
	var out []tableRow
	seen := map[string]bool{}
	for _, ref := range o.Refs() {
		if place := ref.String(); !seen[place] {
			seen[place] = true
			out = append(out, l.row(ref))
		}
	}
	return out
}

func (l *library) row(ref table.Ref) tableRow {
	out := tableRow{Place: ref.String()}
	t := l.tables[table.Ref{Code: ref.Code, Edition: ref.Edition, Table: ref.Table}]
	if t == nil {
		return out
	}
	var values []string
	for _, row := range t.Rows {
		if row.Key != ref.Row {
			continue
		}
		for i, cell := range row.Cells {
			if cell != nil {
				values = append(values, strings.TrimSpace(fmt.Sprintf("%s %v %s", t.Columns[i+1], cell, t.Units[i+1])))
			}
		}
	}
	out.Values = strings.Join(values, ", ")
	l.used[t] = true
	return out
}

// sources tells of each table that a row was taken from how sure its values are.
func (l *library) sources() []field {
	var out []field
	for _, t := range l.r.Model.Tables.All() {
		if !l.used[t] {
			continue
		}
		place := table.Ref{Code: t.Code, Edition: t.Edition, Section: t.Section, Provenance: table.Published}
		out = append(out, field{place.String(), t.Ref("").Class()})
	}
	return out
}

// lacking lists why an outcome could not be determined.
func lacking(o *review.Outcome) []string {
	if o.Result != review.Undetermined {
		return nil
	}
	out := wording.Each(wording.NeedsOf(o), func(need string) string { return need + " is not stated" })
	return append(out, wording.Each(o.Reasons, wording.FirstLine)...)
}
