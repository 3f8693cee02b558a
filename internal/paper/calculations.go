package paper

import (
	"cmp"
	"fmt"
	"html/template"
	"math"
	"slices"
	"strings"

	"plumbrule/internal/codebook"
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
	Outside    []field            // checks that do not apply, by subject
}

// calculationSheet is one check with every subject it was held against.
type calculationSheet struct {
	Check, Title, Discipline, Severity, Result string
	Formula, Under, Why, Sureness              string
	Worst                                      calculationLine
	Work                                       []string
	Missing                                    []string
	Rows                                       []tableRow
	Lines                                      []calculationLine // all, worst first; empty for a single one
	Histogram                                  template.HTML
}

// plain tells whether a row of a table says all there is: a condition that is
// met, without a measure, work or table behind it.
func (s calculationSheet) plain() bool {
	return s.Result == string(review.Met) && s.Worst.Measure == "" && len(s.Work) == 0 && len(s.Rows) == 0
}

// Subjects names everything the check was held against.
func (s calculationSheet) Subjects() string {
	if len(s.Lines) == 0 {
		return s.Worst.Subject
	}
	return strings.Join(wording.Each(s.Lines, func(l calculationLine) string { return l.Subject }), ", ")
}

type calculationLine struct {
	Number                              int    // of the finding; 0 for none
	Comment                             string // number within the comments; "" for none
	Subject, Measure, Limit, Result     string
	Utilisation, Place, Finding, Reason string
	Bar                                 template.HTML
}

// tableRow is a row of a code table that a calculation read.
type tableRow struct{ Place, Values string }

func makeCalculations(r *review.Review) *calculationView {
	v := &calculationView{Curves: stringCurves(r), Ladders: ladders(r), Notice: wording.Notice, Cautions: wording.Cautions}
	number := wording.FindingNumber(r)
	in := r.Adopted
	library := newLibrary(r)
	parts := map[string]*calculationPart{}
	var governs []*review.Outcome
	for _, list := range byCheck(r) {
		check := list[0].Check
		part := parts[check.Discipline]
		if part == nil {
			part = &calculationPart{Name: check.Discipline}
			parts[check.Discipline] = part
		}
		held, outside := split(list)
		part.Outside = append(part.Outside, outside...)
		if len(held) == 0 {
			continue
		}
		s := makeSheet(held, in, number, library)
		s.numbered(held, r)
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
		l := line(o, number)
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

// split parts the outcomes of a check from those it does not apply to.
func split(list []*review.Outcome) (held []*review.Outcome, outside []field) {
	why := map[string]int{}
	for _, o := range list {
		if o.Result != review.NotApplicable {
			held = append(held, o)
			continue
		}
		label := o.Check.ID + ": " + wording.FirstLine(o.Why())
		i, ok := why[label]
		if !ok {
			i = len(outside)
			why[label] = i
			outside = append(outside, field{Label: label})
		} else {
			outside[i].Text += ", "
		}
		outside[i].Text += o.Subject.Label()
	}
	return held, outside
}

// makeSheet shows in full the worst subject that has a measure; what keeps the
// others from having one stands beside it.
func makeSheet(list []*review.Outcome, in map[string]string, number func(*review.Outcome) int, library *library) calculationSheet {
	c, full := list[0].Check, list[0]
	if i := slices.IndexFunc(list, func(o *review.Outcome) bool { return o.Measure != nil && o.Result != review.Undetermined }); i >= 0 {
		full = list[i]
	}
	s := calculationSheet{
		Check: c.ID, Title: c.Title, Discipline: c.Discipline, Severity: string(c.Severity), Result: string(list[0].Result),
		Formula: formula(c, in), Under: strings.Join(wording.Each(full.Cites, wording.Cited), "; "), Why: c.Because, Sureness: c.Provenance,
		Worst: line(full, number), Work: full.Steps(), Rows: library.rows(full), Histogram: histogram(list),
	}
	if i := slices.IndexFunc(list, func(o *review.Outcome) bool { return o.Result == review.Undetermined }); i >= 0 {
		s.Missing = lacking(list[i])
	}
	if len(list) == 1 {
		return s
	}
	s.Lines = wording.Each(list, func(o *review.Outcome) calculationLine { return line(o, number) })
	common := strings.Join(s.Missing, "; ")
	for i := range s.Lines {
		if s.Lines[i].Reason == common {
			s.Lines[i].Reason = "" // said once above
		}
	}
	return s
}

// numbered gives the lines of a sheet the numbers of the comments that they
// belong to.
func (s *calculationSheet) numbered(held []*review.Outcome, r *review.Review) {
	if len(held) == 1 {
		s.Worst.Comment = r.Number(held[0])
	}
	for i := range s.Lines {
		s.Lines[i].Comment = r.Number(held[i])
	}
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

func line(o *review.Outcome, number func(*review.Outcome) int) calculationLine {
	l := calculationLine{Number: number(o), Subject: o.Subject.Label(), Result: string(o.Result), Finding: o.Finding}
	if o.Excused != nil {
		l.Result += ", excused"
	}
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
}

func newLibrary(r *review.Review) *library {
	l := &library{r: r, tables: map[table.Ref]*table.Table{}, used: map[*table.Table]bool{}}
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
