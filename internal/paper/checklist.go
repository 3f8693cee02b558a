package paper

import (
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/review"
	"plumbrule/internal/terms"
	"plumbrule/internal/wording"
)

// ChecklistMarkdown writes the field checklist as Markdown.
func ChecklistMarkdown(w io.Writer, r *review.Review, o Options) error {
	m := &markdown{}
	m.checklist(makeChecklist(r, o))
	_, err := w.Write(m.Bytes())
	return err
}

// checklistView is the field checklist: what to count, measure and look at on
// the roof.
type checklistView struct {
	Head     []field
	Open     string // what the review left open
	Arrays   []arrayList
	Measures []measureList
	Makers   []string // torque and sealing by the makers' papers
	Labels   []labelLine
	Look     []lookLine
	Accepted []field
	Notice   string
	Cautions []string
}

// arrayList is what to count and set out on one array.
type arrayList struct {
	Name  string
	Items []field
}

// measureList is the distances of one discipline to measure on the roof.
type measureList struct {
	Title string
	Lines []measureLine
}

type measureLine struct {
	What, Subject, Drawn, Limit string
	Outside                     bool // the drawing itself does not meet the limit, or it is not known
}

type labelLine struct{ Name, Kind, Place, Says, Computed, Review string }

type lookLine struct{ ID, Discipline, What string }

func makeChecklist(r *review.Review, o Options) *checklistView {
	v := &checklistView{
		Makers: makers(r), Labels: labels(r), Measures: measures(r),
		Notice: wording.Notice, Cautions: wording.Cautions,
	}
	p := r.Job.Project
	if o.Date != "" {
		v.Head = append(v.Head, field{"Date", o.Date})
	}
	for _, f := range []struct {
		label string
		g     job.Text
	}{{"Project", p.Name}, {"Site address", p.Address}, {"Permit", p.Permit}, {"Revision", p.Revision}, {"Contractor", p.Contractor}} {
		if f.g.Known {
			v.Head = append(v.Head, field{f.label, f.g.Value})
		}
	}
	if list := wording.BySeverity(r.Totals.Outstanding); list != "" {
		v.Open = "The review of these drawings left open: " + list + ". Ask for the answers before work starts."
	}
	for i := range r.Job.Arrays {
		v.Arrays = append(v.Arrays, arrayItems(r, &r.Job.Arrays[i]))
	}
	for _, row := range o.Scope {
		if row.Field != "" {
			v.Look = append(v.Look, lookLine{row.ID, row.Discipline, row.Field})
		}
	}
	for _, x := range r.Worst() {
		if e := x.Excused; e != nil {
			v.Accepted = append(v.Accepted, field{x.Check.Title + ", " + x.Subject.Label(), e.Reason + " (" + e.By + ")"})
		}
	}
	return v
}

// notStated stands for a value that the job leaves out: somebody has to ask.
const notStated = "not stated: ask"

// items collects what to look at on one array.
type items struct {
	list []field
	sys  quantity.System
}

func (x *items) add(label, text string) { x.list = append(x.list, field{label, text}) }

func (x *items) count(label string, g job.Count) {
	if !g.Known {
		x.add(label, notStated)
		return
	}
	x.add(label, strconv.Itoa(g.Value))
}

func (x *items) length(label string, g job.Quantity) {
	if !g.Known {
		x.add(label, notStated)
		return
	}
	x.add(label, g.Value.Format(x.sys))
}

func (x *items) metres(v float64) string { return quantity.Of(v, quantity.Length).Format(x.sys) }

// arrayItems lists an array from its lower left corner on.
func arrayItems(r *review.Review, a *job.Array) arrayList {
	x := &items{sys: r.System}
	modules := term[int](r.Model, "array", a.Name.Value, "module_count")
	x.add("Modules", counted(modules, r.Job, a))
	x.add("Module type", orAsk(a.Module))
	x.add("Mounting", orAsk(a.Mounting))
	if a.Origin.Known {
		x.add("Lower left corner", fmt.Sprintf("%s from the left end, %s up the slope", x.metres(a.Origin.Value.X), x.metres(a.Origin.Value.Y)))
	} else {
		x.add("Lower left corner", notStated)
	}
	x.gaps(r.Job, a)
	x.length("Clear gap below the modules", a.StandOff)
	x.length("Top of the modules above the roof", a.Height)
	x.feet(r, a)
	x.count("Wire clips", a.Clips)
	x.count("Bonding parts", a.BondingParts)
	x.lugs(a)
	if a.ThermalBreakAfter.Known {
		x.add("Thermal breaks", "after column "+joinInts(a.ThermalBreakAfter.Value))
	}
	return arrayList{a.Name.Value, x.list}
}

// counted gives the number of modules with its grid.
func counted(modules *int, j *job.Job, a *job.Array) string {
	if modules == nil {
		return notStated
	}
	s := strconv.Itoa(*modules)
	if a.Rows.Known && a.Columns.Known {
		s += fmt.Sprintf(": %s of %s", wording.Plural(a.Rows.Value, "row", "rows"), wording.Plural(a.Columns.Value, "column", "columns"))
	}
	if n := len(a.Omit.Value); n > 0 {
		s += ", " + wording.Plural(n, "place", "places") + " left out"
	}
	if a.Orientation.Known {
		s += ", " + a.Orientation.Value
	}
	return s
}

// gaps gives the drawn gaps with the tolerance of the maker.
func (x *items) gaps(j *job.Job, a *job.Array) {
	asks := ""
	if m, ok := j.MountingOf(a); ok && m.ModuleGap.Known {
		asks = "; the maker asks for " + m.ModuleGap.Value.Format(x.sys)
		if m.ModuleGapTolerance.Known {
			asks += " within " + m.ModuleGapTolerance.Value.Format(x.sys)
		}
	}
	for _, g := range []struct {
		label string
		gap   job.Quantity
	}{{"Gap between columns", a.GapX}, {"Gap between rows", a.GapY}} {
		text := notStated
		if g.gap.Known {
			text = g.gap.Value.Format(x.sys)
		}
		x.add(g.label, text+asks)
	}
}

// feet gives number, lines, spacing and fasteners of the attachments.
func (x *items) feet(r *review.Review, a *job.Array) {
	n := term[int](r.Model, "array", a.Name.Value, "attachment_count")
	if n == nil {
		x.add("Feet", notStated)
	} else {
		text := strconv.Itoa(*n)
		if lines := term[int](r.Model, "array", a.Name.Value, "line_count"); lines != nil {
			text += " on " + wording.Plural(*lines, "line", "lines")
		}
		x.add("Feet", text)
	}
	t := a.Attachments
	if t.Lines.Known {
		heights := wording.Each(t.Lines.Value, x.metres)
		x.add("Lines of feet above the lower edge", strings.Join(heights, ", "))
	}
	if t.Spacing.Known {
		text := x.metres(t.Spacing.Value.SI)
		if t.FirstOffset.Known {
			text += ", the first " + x.metres(t.FirstOffset.Value.SI) + " from the left edge of the array"
		}
		if t.Stagger.Known {
			text += ", every second line shifted by " + x.metres(t.Stagger.Value.SI)
		}
		x.add("Spacing of feet", text)
	}
	text := orAsk(t.Fastener)
	if t.FastenersEach.Known {
		text = fmt.Sprintf("%d in each foot, %s", t.FastenersEach.Value, text)
	}
	x.add("Fasteners", text)
	if p, ok := r.Job.PlaneOf(a); ok && p.Framing.Member.Known && p.Framing.Spacing.Known {
		x.add("Framing to hit", fmt.Sprintf("%s at %s", p.Framing.Member.Value, p.Framing.Spacing.Value.Format(x.sys)))
	}
}

func (x *items) lugs(a *job.Array) {
	if len(a.Lugs) == 0 {
		x.add("Lugs", "none drawn: ask")
		return
	}
	places := make([]string, len(a.Lugs))
	for i, l := range a.Lugs {
		places[i] = "module place not stated"
		if l.Row.Known && l.Column.Known {
			places[i] = fmt.Sprintf("row %d column %d", l.Row.Value, l.Column.Value)
		}
	}
	x.add("Lugs", fmt.Sprintf("%d: %s", len(a.Lugs), strings.Join(places, "; ")))
}

func orAsk(g job.Text) string {
	if !g.Known {
		return notStated
	}
	return g.Value
}

func joinInts(list []int) string {
	return strings.Join(wording.Each(list, strconv.Itoa), ", ")
}

// term reads a term of one thing; nil where it is not known.
func term[T any](m *terms.Model, kind, name, of string) *T {
	for _, s := range m.Subjects(kind) {
		if s.Name != name {
			continue
		}
		if v, ok := m.Term(s, of).V.(T); ok {
			return &v
		}
	}
	return nil
}

// roofKinds are the things that stand on a roof and can be measured there.
var roofKinds = []string{"array", "plane", "attachment", "obstruction", "lug", "roof", "building"}

// measures lists the distances that the adopted checks hold, by discipline;
// of many like subjects the one nearest to its limit.
func measures(r *review.Review) []measureList {
	var out []measureList
	for _, list := range byCheck(r) {
		held, _ := split(list)
		held = slices.DeleteFunc(held, func(o *review.Outcome) bool { return !measurable(o) })
		if len(held) == 0 {
			continue
		}
		o := held[0]
		line := measureLine{What: o.Check.Title, Subject: o.Subject.Label(), Drawn: "not known", Outside: o.Result != review.Met}
		if n := len(held); n > 1 {
			line.Subject += fmt.Sprintf(" (nearest to its limit of %d)", n)
		}
		if o.Measure != nil {
			line.Drawn = o.Measure.Text
		}
		if o.Limit != nil {
			line.Limit = string(o.LimitKind) + " " + o.Limit.Text
		}
		title := capital(o.Check.Discipline)
		if o.Check.Discipline == "fire" {
			title = "Clear paths and strips"
		}
		i := slices.IndexFunc(out, func(l measureList) bool { return l.Title == title })
		if i < 0 {
			i = len(out)
			out = append(out, measureList{Title: title})
		}
		out[i].Lines = append(out[i].Lines, line)
	}
	slices.SortStableFunc(out, func(a, b measureList) int { return strings.Compare(a.Title, b.Title) })
	return out
}

// measurable tells whether a tape on the roof can answer a check: it holds a
// length of something that stands there.
func measurable(o *review.Outcome) bool {
	length := func(a *review.Amount) bool { return a != nil && a.IsNum && a.Unit == quantity.Length.BaseUnit() }
	return slices.Contains(roofKinds, o.Check.Each.Name) && (length(o.Measure) || length(o.Limit))
}

// makers lists what to do by the makers' papers. The values stand in those
// papers, not here; where the submittal holds none the list says so.
func makers(r *review.Review) []string {
	var out []string
	add := func(s string) {
		if !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	for i := range r.Job.Arrays {
		a := &r.Job.Arrays[i]
		if a.Mounting.Known {
			paper := manual(r.Job, a.Mounting.Value)
			add("Torque of clamps, rail joints and feet of " + a.Mounting.Value + ": by " + paper + "; written value and tool at hand")
			add("Flashing and sealing at each penetration for " + a.Mounting.Value + ": by " + paper + "; missed pilot holes sealed")
		}
		if t := a.Attachments.Fastener; t.Known {
			add("Fastener " + t.Value + ": pilot hole, seating and torque by its maker's paper; none overdriven, none beside the member")
		}
		if len(a.Lugs) > 0 {
			add("Grounding lugs: torque and surface by their maker's paper, each marked when done")
		}
	}
	if len(r.Job.Circuits) > 0 {
		add("Terminals of inverters, disconnects, combiners and breakers: torque by the value on the equipment, with a calibrated tool, written down")
	}
	return out
}

// manual names the installation manual that the submittal holds for a part.
func manual(j *job.Job, part string) string {
	for _, d := range j.DocumentsOf("installation-manual") {
		if d.For.Value == part {
			if d.Sheet.Known {
				return d.Name.Value + ", sheet " + d.Sheet.Value
			}
			return d.Name.Value
		}
	}
	return "its maker's manual (the submittal holds none: get it first)"
}

// onLabels are the terms that give the values a kind of label carries.
var onLabels = map[string]struct {
	kind, term string
	dim        quantity.Dimension
}{
	"dc-voltage": {"submittal", "maximum_voltage", quantity.Voltage},
	"ac-output":  {"interconnection", "output_current", quantity.Current},
}

// labels lists the label sheet with what each label says, the value that the
// review computed for it, and what the checks found of it.
func labels(r *review.Review) []labelLine {
	var out []labelLine
	for i := range r.Job.Labels {
		l := &r.Job.Labels[i]
		line := labelLine{Name: l.Name.Value, Kind: orAsk(l.Kind), Place: orAsk(l.Place), Review: labelFindings(r, l)}
		var says []string
		for _, g := range []job.Quantity{l.Voltage, l.Current} {
			if g.Known {
				says = append(says, g.Value.Format(r.System))
			}
		}
		line.Says = strings.Join(says, ", ")
		if t, ok := onLabels[l.Kind.Value]; ok {
			line.Computed = "not known"
			if v := term[float64](r.Model, t.kind, "", t.term); v != nil {
				line.Computed = quantity.Of(*v, t.dim).Format(r.System)
			}
		}
		out = append(out, line)
	}
	return out
}

// labelFindings says what the checks found of one label.
func labelFindings(r *review.Review, l *job.Label) string {
	var out []string
	met := 0
	for i := range r.Outcomes {
		o := &r.Outcomes[i]
		if o.Check.Each.Name != "label" || o.Subject.Name != l.Name.Value {
			continue
		}
		switch o.Result {
		case review.NotMet:
			out = append(out, "change: "+o.Finding+"; "+o.Remedy)
		case review.Undetermined:
			out = append(out, o.Check.Title+": open")
		case review.Met:
			met++
		}
	}
	if met > 0 {
		out = append(out, wording.Plural(met, "check", "checks")+" met")
	}
	return strings.Join(out, "; ")
}

func (m *markdown) checklist(v *checklistView) {
	m.line("# Field checklist\n")
	for _, f := range v.Head {
		m.item(f.Label, f.Text)
	}
	if v.Open != "" {
		m.line("\n", wording.Markdown(v.Open))
	}
	m.heading(2, "Before anybody goes up")
	for _, c := range v.Cautions {
		m.box(c)
	}
	for _, a := range v.Arrays {
		m.heading(2, "Array "+a.Name)
		for _, f := range a.Items {
			m.box(f.Label + ": " + f.Text)
		}
	}
	for _, l := range v.Measures {
		m.heading(2, "Measure: "+l.Title)
		m.table("what", "where", ">drawn", ">limit", "found")
		for _, x := range l.Lines {
			m.row(x.What, x.Subject, x.Shown(), x.Limit, "")
		}
	}
	if len(v.Makers) > 0 {
		m.heading(2, "Torque and sealing")
		for _, s := range v.Makers {
			m.box(s)
		}
	}
	if len(v.Labels) > 0 {
		m.heading(2, "Labels")
		m.table("label", "kind", "place", "says", "computed", "review", "found")
		for _, l := range v.Labels {
			m.row(l.Name, l.Kind, l.Place, l.Says, l.Computed, l.Review, "")
		}
	}
	if len(v.Look) > 0 {
		m.heading(2, "Look at")
		for _, l := range v.Look {
			m.box(l.What + " (" + l.ID + ")")
		}
	}
	if len(v.Accepted) > 0 {
		m.heading(2, "Accepted deviations")
		for _, f := range v.Accepted {
			m.item(f.Label, f.Text)
		}
	}
	m.heading(2, "Done")
	m.line("Name, date, signature: ____________________")
	m.line("\n", wording.Markdown(v.Notice))
}

// box is an entry to tick off.
func (m *markdown) box(text string) { m.line("- [ ] ", wording.Markdown(text)) }

// Shown is the drawn value, marked where it is not in order.
func (l measureLine) Shown() string {
	if l.Outside {
		return l.Drawn + " (not in order)"
	}
	return l.Drawn
}
