package drawing

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"plumbrule/internal/terms/plan"
	"plumbrule/internal/wording"
)

// detailLimit is the number of modules above which a plan says of an array what
// it says of its modules and feet otherwise.
const detailLimit = 400

// strings draws a line through the modules of each string or branch, with its
// name where it begins.
func (p *roofPlan) strings(a *plan.DrawnArray) {
	if p.coarse || len(a.Strings) == 0 {
		return
	}
	p.shown["string"] = true
	for i, s := range a.Strings {
		centres := make([]svgPoint, len(s.Modules))
		for k, m := range s.Modules {
			centres[k] = middle(p.all(a.Modules[m].Corners[:]))
		}
		dash := ""
		if i%2 == 1 {
			dash = "5 2"
		}
		if len(centres) > 1 {
			p.body.put(`<path d="%s" %s><title>%s</title></path>`, svgPath(false, centres...), svgStroke(inkSlate, 1, dash), wording.XML(stringName(&s)))
		}
		for k := 1; k < len(centres); k++ {
			p.placer.stroke(centres[k-1], centres[k], 0.3)
		}
		p.body.circle(centres[0], 2, fmt.Sprintf(`fill="%s"`, inkSlate))
		last := centres[len(centres)-1]
		p.body.circle(last, 2, fmt.Sprintf(`fill="%s" stroke="%s" stroke-width="0.9"`, inkPaper, inkSlate))
	}
}

func stringName(s *plan.DrawnString) string {
	text := fmt.Sprintf("%s: %d", s.Name, len(s.Modules))
	if s.To != "" {
		text += " to " + s.To
	}
	return text
}

// stringNames names the strings of an array on their modules.
func (p *roofPlan) stringNames(a *plan.DrawnArray) {
	if p.coarse {
		return
	}
	for i := range a.Strings {
		s := &a.Strings[i]
		at := middle(p.all(a.Modules[s.Modules[len(s.Modules)/2]].Corners[:]))
		p.label([]string{stringName(s)}, at, at, p.bounds(a), inkSlate, true)
	}
}

func (p *roofPlan) bounds(a *plan.DrawnArray) svgBox {
	var all []svgPoint
	for i := range a.Modules {
		all = append(all, p.all(a.Modules[i].Corners[:])...)
	}
	return boundsOf(all)
}

// schedule says in figures, array by array, what the drawing shows.
func (p *roofPlan) schedule() []svgEntry {
	var out []svgEntry
	for i := range p.d.Arrays {
		a := &p.d.Arrays[i]
		if a.Size == nil {
			continue
		}
		out = append(out, svgHeadLine("array "+a.Name))
		for _, text := range p.figures(a) {
			out = append(out, svgParagraph(text, 0, nil))
		}
	}
	return headed("Arrays", out...)
}

// figures are the dimensions of an array in words.
func (p *roofPlan) figures(a *plan.DrawnArray) []string {
	s, sys := a.Size, p.r.System
	out := []string{fmt.Sprintf("%s in %d x %d, each %s along the row, %s up the slope", wording.Plural(len(a.Modules), "module", "modules"), s.Rows, s.Columns, tape(s.Width, sys), tape(s.Height, sys))}
	if len(s.Lines) > 0 {
		const most = 8
		lines := wording.Each(s.Lines[:min(most, len(s.Lines))], func(h float64) string { return tape(h, sys) })
		text := fmt.Sprintf("%s on %s, %s above the lower edge", wording.Plural(len(a.Feet), "foot", "feet"), wording.Plural(len(s.Lines), "line", "lines"), strings.Join(lines, "; "))
		if n := len(s.Lines) - most; n > 0 {
			text += fmt.Sprintf("; and %d more lines", n)
		}
		out = append(out, text)
		if s.Even > 0 {
			out = append(out, fmt.Sprintf("first foot %s from the left edge, then every %s", tape(s.Feet.Lengths[0], sys), tape(s.Even, sys)))
		}
	}
	if len(s.Rails) > 0 {
		var lengths []float64
		for l := range s.Rails {
			lengths = append(lengths, l)
		}
		slices.Sort(lengths)
		rails := wording.Each(lengths, func(l float64) string { return fmt.Sprintf("%d of %s", s.Rails[l], tape(l, sys)) })
		over := tape(s.Overhangs[0], sys)
		if far := tape(s.Overhangs[1], sys); far != over {
			over += " to " + far
		}
		out = append(out, "rails: "+strings.Join(rails, ", ")+"; overhang "+over)
	}
	for i := range a.Strings {
		out = append(out, stringName(&a.Strings[i]))
	}
	worst := -1
	for i := range a.Feet {
		if u := a.Feet[i].Utilisation; u != nil && (worst < 0 || *u > *a.Feet[worst].Utilisation) {
			worst = i
		}
	}
	if worst >= 0 {
		f := &a.Feet[worst]
		out = append(out, fmt.Sprintf("uplift on the worst foot %s of its capacity (%d), zone %s", wording.Ratio(*f.Utilisation), upliftClass(f), f.Zone))
	}
	return out
}

// svgHeadLine is a line of the column in bold.
func svgHeadLine(text string) svgEntry {
	return func(width float64) (float64, func(*svgCanvas, svgPoint)) {
		lines := svgWrap(text, sizeText, width, true)
		return lineHeight*math.Max(1, float64(len(lines))) + 1, func(c *svgCanvas, at svgPoint) {
			for i, l := range lines {
				c.text(svgText{at: at.plus(0, lineHeight*float64(i)+7.6), text: l, size: sizeText, bold: true})
			}
		}
	}
}
