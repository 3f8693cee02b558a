package paper

import (
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"plumbrule/internal/codebook"
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

// checklistView is the field checklist: what the crew does, in order of work,
// with what to set out, measure, test and photograph.
type checklistView struct {
	Head     []field
	Open     string // what the review left open
	Steps    []*step
	Accepted []field
	Notice   string
	MadeWith string // program and rule set
	Cautions []string
}

// step is one step of the work.
type step struct {
	Title    string
	Cautions []string // what is dangerous about it
	Open     []string // comments to settle before it is built
	Parts    []stepPart
}

// stepPart is the lines of a step about one thing.
type stepPart struct {
	Title string // "" for the step as a whole
	Lines []stepLine
	Table *stepTable
}

// stepLine is something to do with a box to tick and a line to fill in.
type stepLine struct {
	What, Text string
	Fill       string // what stands before the line: initials, found
}

type stepTable struct {
	Says  string
	Heads []string
	Rows  [][]string
}

// The steps in order of work, by what they are called in stepOf.
const (
	stepBefore = iota
	stepLayout
	stepFeet
	stepRails
	stepModules
	stepWiring
	stepBonding
	stepInverter
	stepService
	stepTests
	stepLabels
	stepPhotographs
	stepCount
)

// stepOf is the step that a comment holds up.
func stepOf(c *review.Comment) int {
	check := c.Worst().Check
	switch check.Discipline {
	case "labels":
		return stepLabels
	case "grounding":
		return stepBonding
	case "interconnection":
		return stepService
	case "fire":
		return stepLayout
	case "structural":
		return stepFeet
	}
	switch check.Each.Name {
	case "array", "plane", "obstruction", "roof", "section", "aisle", "joint", "street":
		return stepLayout
	case "attachment", "fastener_type", "array_attachments", "surveyed_foot", "surveyed_array", "surveyed_row", "member":
		return stepFeet
	case "mounting_type":
		return stepRails
	case "module_type":
		return stepModules
	case "lug", "bonding_group":
		return stepBonding
	case "string", "circuit", "circuit_stated", "combiner", "dc_input", "converter_type":
		return stepWiring
	case "inverter", "inverter_type", "rapid_shutdown":
		return stepInverter
	case "panel", "busbar", "feeder", "service", "overcurrent", "disconnect", "transformer":
		return stepService
	}
	return stepBefore
}

const (
	cautionFalls   = "Falls: nobody on the roof without fall protection; keep off skylights and old sheet; stop in wind, rain and frost. A competent person decides whether the roof can be worked on."
	cautionStrings = "Shock and arc: modules and strings are live in any daylight, whatever is switched off. Only qualified persons handle leads and connectors; never open a connector under load, and cap open ends."
	cautionMains   = "Shock and arc flash: the conductors ahead of the main stay live when it is off. Only qualified persons open the equipment, de-energised, locked out and proven dead."
	cautionTests   = "Shock and arc flash: these are measurements on live parts. Only qualified persons, with instruments and protection rated for the voltage below."
)

func newSteps() []*step {
	return []*step{
		stepBefore:      {Title: "Before the roof", Cautions: []string{cautionFalls}},
		stepLayout:      {Title: "Set out", Cautions: []string{cautionFalls}},
		stepFeet:        {Title: "Feet and flashings", Cautions: []string{cautionFalls}},
		stepRails:       {Title: "Rails and mounting"},
		stepModules:     {Title: "Modules", Cautions: []string{cautionFalls, cautionStrings}},
		stepWiring:      {Title: "Wiring", Cautions: []string{cautionStrings}},
		stepBonding:     {Title: "Bonding and grounding"},
		stepInverter:    {Title: "Inverters, combiners and disconnects", Cautions: []string{cautionStrings}},
		stepService:     {Title: "Panels and service", Cautions: []string{cautionMains}},
		stepTests:       {Title: "Tests before energising", Cautions: []string{cautionTests}},
		stepLabels:      {Title: "Labels"},
		stepPhotographs: {Title: "Photographs"},
	}
}

// lookAt is the part of a step that is left to the eye.
const lookAt = "Look at"

// makeChecklist puts the checklist together. What it prints comes from the same
// terms and outcomes as the checks.
func makeChecklist(r *review.Review, o Options) *checklistView {
	v := &checklistView{Steps: newSteps(), Notice: wording.Notice, MadeWith: wording.Sentence(wording.MadeWith(o.Version, r.Book)), Cautions: wording.Cautions}
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
	comments, say := r.Comments(), wording.LanguageOf(r)
	if len(comments) > 0 {
		v.Open = "The review of these drawings left " + wording.Plural(len(comments), "comment", "comments") + " open. Each stands at the step that it holds up."
	}
	for _, c := range comments {
		s := v.Steps[stepOf(c)]
		last := "do not build until settled."
		if c.Severity == codebook.Advisory {
			last = "look at it first."
		}
		s.Open = append(s.Open, "Comment "+strconv.Itoa(c.Number)+", "+string(c.Severity)+", "+wording.Status(c)+": "+say.OnTape(wording.Heading(c)+wording.Shortly(c), c.Worst())+": "+last)
	}
	x := &work{r: r, sys: r.System, v: v}
	x.before(o)
	for i := range r.Job.Arrays {
		x.array(&r.Job.Arrays[i])
	}
	x.measures()
	x.makers()
	x.wiring()
	x.equipment()
	x.tests()
	x.labels()
	x.photographs()
	x.scope(o)
	for _, x := range r.Worst() {
		if e := x.Excused; e != nil {
			v.Accepted = append(v.Accepted, field{x.Check.Title + ", " + x.Subject.Label(), e.Reason.Value + " (" + wording.AcceptedBy(e) + ")"})
		}
	}
	// What is about the step as a whole comes first, what is left to the eye last.
	order := map[string]int{"": -1, lookAt: 1}
	for _, s := range v.Steps {
		slices.SortStableFunc(s.Parts, func(a, b stepPart) int { return order[a.Title] - order[b.Title] })
	}
	v.Steps = slices.DeleteFunc(v.Steps, func(s *step) bool { return len(s.Parts) == 0 && len(s.Open) == 0 })
	v.speak(wording.LanguageOf(r))
	return v
}

// speak puts all that the checklist says into the language of its job.
func (v *checklistView) speak(say *wording.Language) {
	fields := func(list []field) {
		for i := range list {
			list[i].Text = say.Say(list[i].Text)
			list[i].Label = say.Say(list[i].Label)
		}
	}
	fields(v.Accepted)
	v.Open, v.Notice, v.Cautions = say.Say(v.Open), say.Say(v.Notice), say.SayAll(v.Cautions)
	for _, s := range v.Steps {
		s.Title, s.Cautions, s.Open = say.Say(s.Title), say.SayAll(s.Cautions), say.SayAll(s.Open)
		for i := range s.Parts {
			p := &s.Parts[i]
			p.Title = say.Say(p.Title)
			for k := range p.Lines {
				l := &p.Lines[k]
				l.What, l.Text, l.Fill = say.Say(l.What), say.Say(l.Text), say.Say(l.Fill)
			}
			if t := p.Table; t != nil {
				t.Says, t.Heads = say.Say(t.Says), say.SayAll(t.Heads)
				for k := range t.Rows {
					t.Rows[k] = say.SayAll(t.Rows[k])
				}
			}
		}
	}
}

// notStated stands for a value that the job leaves out: somebody has to ask.
const notStated = "not stated: ask"

// work collects the lines of the steps.
type work struct {
	r   *review.Review
	sys quantity.System
	v   *checklistView
}

// part begins a part of a step, or goes on with that of the title.
func (x *work) part(at int, title string) *stepPart {
	s := x.v.Steps[at]
	for i := range s.Parts {
		if s.Parts[i].Title == title {
			return &s.Parts[i]
		}
	}
	s.Parts = append(s.Parts, stepPart{Title: title})
	return &s.Parts[len(s.Parts)-1]
}

// do adds something to do, signed by who did it.
func (p *stepPart) do(what, text string) { p.Lines = append(p.Lines, stepLine{what, text, "initials"}) }

// find adds something to measure or read off.
func (p *stepPart) find(what, text, fill string) {
	p.Lines = append(p.Lines, stepLine{what, text, fill})
}

// tape is a length as a tape has it: inches and sixteenths, with feet where it is
// long; millimetres in SI. towards rounds down below zero, up above it, and to
// the nearest at zero.
func tape(metres float64, towards int, sys quantity.System) string {
	const perSixteenth = 0.0254 / 16
	round := math.Round
	switch {
	case towards < 0:
		round = func(v float64) float64 { return math.Floor(v + 1e-6) }
	case towards > 0:
		round = func(v float64) float64 { return math.Ceil(v - 1e-6) }
	}
	if sys == quantity.SI {
		return strconv.Itoa(int(round(metres*1000))) + " mm"
	}
	n := int(round(metres / perSixteenth))
	if n < 0 {
		return "-" + inches(-n)
	}
	s := inches(n)
	if n >= 16*100 {
		if rest := n % (16 * 12); rest == 0 {
			s += " (" + strconv.Itoa(n/(16*12)) + " ft)"
		} else {
			s += " (" + strconv.Itoa(n/(16*12)) + " ft " + inches(rest) + ")"
		}
	}
	return s
}

// inches prints sixteenths of an inch in lowest terms.
func inches(sixteenths int) string {
	whole, part := sixteenths/16, sixteenths%16
	if part == 0 {
		return strconv.Itoa(whole) + " in"
	}
	of := 16
	for part%2 == 0 {
		part, of = part/2, of/2
	}
	s := strconv.Itoa(part) + "/" + strconv.Itoa(of) + " in"
	if whole > 0 {
		s = strconv.Itoa(whole) + " " + s
	}
	return s
}

// running prints distances from one end, each rounded by itself, so that no
// rounding adds up along the line.
func running(list []float64, sys quantity.System) string {
	unit := " in"
	if sys == quantity.SI {
		unit = " mm"
	}
	return strings.Join(wording.Each(list, func(v float64) string {
		s, _, _ := strings.Cut(tape(v, 0, sys), " (")
		return strings.TrimSuffix(s, unit)
	}), "; ") + unit
}

func orAsk(g job.Text) string {
	if !g.Known {
		return notStated
	}
	return g.Value
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

func (m *markdown) checklist(v *checklistView) {
	m.line("# Field checklist\n")
	for _, f := range v.Head {
		m.item(f.Label, f.Text)
	}
	if v.Open != "" {
		m.line("\n", wording.Markdown(v.Open))
	}
	m.line()
	for _, c := range v.Cautions {
		m.line("- ", wording.Markdown(c))
	}
	for i, s := range v.Steps {
		m.heading(2, strconv.Itoa(i+1)+". "+s.Title)
		for _, c := range s.Cautions {
			m.line("> **Caution.** ", wording.Markdown(c), "\n")
		}
		for _, c := range s.Open {
			m.line("- **", wording.Markdown(c), "**")
		}
		for _, p := range s.Parts {
			if p.Title != "" {
				m.heading(3, p.Title)
			} else if len(s.Open) > 0 {
				m.line()
			}
			for _, l := range p.Lines {
				text := l.What
				if l.Text != "" {
					text += ": " + l.Text
				}
				m.line("- [ ] ", wording.Markdown(text), " (", l.Fill, ": \\_\\_\\_\\_\\_\\_)")
			}
			if t := p.Table; t != nil {
				m.line("\n", wording.Markdown(t.Says), "\n")
				m.table(t.Heads...)
				for _, row := range t.Rows {
					m.row(row...)
				}
			}
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
	m.line("\n<small>", wording.Markdown(v.MadeWith), "</small>")
}
