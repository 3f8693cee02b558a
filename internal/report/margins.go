package report

import (
	"encoding/json"
	"fmt"
	"io"

	"plumbrule/internal/margins"
	"plumbrule/internal/quantity"
	"plumbrule/internal/review"
	"plumbrule/internal/wording"
)

// Margins writes what a job can stand: the checks nearest to their limits, as many as
// first says, and how far values may move before an outcome turns.
func Margins(w io.Writer, r *review.Review, nearest []*review.Outcome, values []*margins.Value, first int) error {
	p := newPage(TextOptions{})
	p.paragraph(0, "MARGINS  "+wording.JobFile(r))
	p.line("")
	p.paragraph(0, "Nearest to their limits, of the checks that are met")
	for _, o := range nearest[:min(first, len(nearest))] {
		p.paragraph(2, fmt.Sprintf("%s  %s: %s: %s %s %s", fmt.Sprintf("%.0f %%", *o.Utilisation*100), o.Check.ID, o.Subject.Label(), o.Measure.Text, o.LimitKind, o.Limit.Text))
	}
	if len(nearest) == 0 {
		p.paragraph(2, "no check that is met has a share of its limit")
	}
	p.line("")
	p.paragraph(0, "Where the first outcome of each check turns, a value moved by itself")
	for _, v := range values {
		p.paragraph(2, fmt.Sprintf("%s, %s now (%s)", v.Key, v.Print(v.Now, r.System), v.Doc))
		for _, x := range ways(v) {
			p.paragraph(4, x.name)
			for _, t := range x.reach.Turns {
				p.paragraph(6, turnLine(v, t, r.System))
			}
			if end := endLine(v, x.reach, r.System); end != "" {
				p.paragraph(6, end)
			}
		}
	}
	if len(values) == 0 {
		p.paragraph(2, "the job states none of the values that are moved")
	}
	p.line("")
	p.paragraph(0, "Every value above was reviewed. Steps are tried one after the other: what turns and turns back within a step is not seen. "+wording.Notice)
	_, err := w.Write(p.Bytes())
	return err
}

type way struct {
	name  string
	reach *margins.Reach
}

func ways(v *margins.Value) []way {
	var out []way
	for _, x := range []way{{"down", v.Down}, {"up", v.Up}} {
		if x.reach != nil {
			out = append(out, x)
		}
	}
	return out
}

// turnLine says which outcomes of a check turn where.
func turnLine(v *margins.Value, t margins.Turn, sys quantity.System) string {
	o := t.Changes[0].After
	s := fmt.Sprintf("%s: %s, %s: %s", v.Print(t.Outside, sys), o.Check.ID, o.Result, o.Subject.Label())
	if n := len(t.Changes); n > 1 {
		s += fmt.Sprintf(" and %d more", n-1)
	}
	return s
}

// endLine says as far as what the value was moved.
func endLine(v *margins.Value, m *margins.Reach, sys quantity.System) string {
	switch {
	case m.Bounded:
		return "further checks turn"
	case m.Refused != "" && len(m.Turns) == 0:
		return fmt.Sprintf("nothing turns as far as %s; beyond, the job is refused", v.Print(m.End, sys))
	case len(m.Turns) == 0:
		return fmt.Sprintf("nothing turns as far as %s, where the trial ends", v.Print(m.End, sys))
	}
	return ""
}

type marginsDoc struct {
	Job     string       `json:"job"`
	Nearest []nearestDoc `json:"nearest"`
	Values  []movedDoc   `json:"values"`
}

type nearestDoc struct {
	Check       string  `json:"check"`
	Subject     string  `json:"subject"`
	Utilisation float64 `json:"utilisation"`
	Measure     string  `json:"measure"`
	LimitKind   string  `json:"limit_kind"`
	Limit       string  `json:"limit"`
}

type movedDoc struct {
	Key  string    `json:"key"`
	Unit string    `json:"unit"`
	Now  float64   `json:"now"`
	Down *reachDoc `json:"down"`
	Up   *reachDoc `json:"up"`
}

type reachDoc struct {
	Step    float64   `json:"step"`
	End     float64   `json:"end"`
	Turns   []turnDoc `json:"turns"`
	Refused string    `json:"refused,omitempty"`
	Bounded bool      `json:"bounded"`
	Tried   int       `json:"tried"`
}

type turnDoc struct {
	Check    string   `json:"check"`
	Severity string   `json:"severity"`
	Result   string   `json:"result"`
	Inside   float64  `json:"inside"`
	Outside  float64  `json:"outside"`
	Subjects []string `json:"subjects"`
}

// MarginsJSON is Margins for programs, with every subject that turns; numbers are in
// base units.
func MarginsJSON(w io.Writer, r *review.Review, nearest []*review.Outcome, values []*margins.Value, first int) error {
	doc := marginsDoc{Job: wording.JobFile(r), Nearest: []nearestDoc{}, Values: []movedDoc{}}
	for _, o := range nearest[:min(first, len(nearest))] {
		doc.Nearest = append(doc.Nearest, nearestDoc{o.Check.ID, o.Subject.Label(), *o.Utilisation, o.Measure.Text, string(o.LimitKind), o.Limit.Text})
	}
	reach := func(m *margins.Reach) *reachDoc {
		if m == nil {
			return nil
		}
		out := &reachDoc{Step: m.Step, End: m.End, Turns: []turnDoc{}, Refused: m.Refused, Bounded: m.Bounded, Tried: m.Tried}
		for _, t := range m.Turns {
			doc := turnDoc{Check: t.Check().ID, Severity: string(t.Check().Severity), Result: string(t.Changes[0].After.Result), Inside: t.Inside, Outside: t.Outside}
			for _, c := range t.Changes {
				doc.Subjects = append(doc.Subjects, c.After.Subject.Label())
			}
			out.Turns = append(out.Turns, doc)
		}
		return out
	}
	for _, v := range values {
		unit := v.Dim.BaseUnit()
		if v.Count {
			unit = ""
		}
		doc.Values = append(doc.Values, movedDoc{v.Key, unit, v.Now, reach(v.Down), reach(v.Up)})
	}
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	return e.Encode(doc)
}
