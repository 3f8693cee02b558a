package drawing

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"plumbrule/internal/terms/plan"
)

// upliftStep is a step of the scale on which a plan shows how much of the
// capacity of an attachment its uplift uses. Steps grow and darken, so that
// they can be told apart in grey and without colour; the last has another shape.
type upliftStep struct {
	most float64 // utilisation up to which the step goes
	fill string
	size float64 // of the dot, as a multiple of that of a plain attachment
	says string
}

var upliftSteps = []upliftStep{
	{0.25, "#ffffff", 1, "up to 0.25"},
	{0.5, "#b9c4cc", 1.15, "up to 0.50"},
	{0.75, "#7d8f9c", 1.3, "up to 0.75"},
	{1, "#45596a", 1.45, "up to 1.00"},
	{math.Inf(1), "#10181f", 1.8, "more than it holds"},
}

const utilisationSlack = 1e-9 // as quantity.AtMost has it

// upliftClass is the number of the step of an attachment, from 1; 0 where its
// utilisation is not known.
func upliftClass(f *plan.DrawnFoot) int {
	if f.Utilisation == nil {
		return 0
	}
	for i, s := range upliftSteps {
		if *f.Utilisation <= s.most*(1+utilisationSlack) {
			return i + 1
		}
	}
	return len(upliftSteps)
}

// feet draws the attachments of an array by the steps of the scale.
func (p *roofPlan) feet(a *plan.DrawnArray) {
	paths := make([]strings.Builder, len(upliftSteps)+1)
	for i := range a.Feet {
		f := &a.Feet[i]
		q := p.at(f.At)
		k := upliftClass(f)
		upliftDot(&paths[k], q, k, p.dot())
		p.placer.blot(q, 2)
		p.shown[fmt.Sprintf("uplift %d", k)] = true
	}
	for k := range paths {
		if paths[k].Len() > 0 {
			upliftPath(&p.body, paths[k].String(), k, p.dot())
		}
	}
}

// upliftDot adds one attachment to the path of its step: a point for a dot, a
// diamond for one that is overloaded, a cross for one of which nothing is known.
func upliftDot(out *strings.Builder, at svgPoint, class int, dot float64) {
	n := SvgNumber
	switch class {
	case 0:
		r := dot * 0.6
		out.WriteString(svgPath(false, at.plus(-r, -r), at.plus(r, r)) + svgPath(false, at.plus(-r, r), at.plus(r, -r)))
	case len(upliftSteps):
		r := dot * upliftSteps[class-1].size * 0.75
		out.WriteString(svgPath(true, at.plus(0, -r), at.plus(r, 0), at.plus(0, r), at.plus(-r, 0)))
	default:
		out.WriteString("M" + n(at.x) + " " + n(at.y) + "h0")
	}
}

func upliftPath(c *svgCanvas, d string, class int, dot float64) {
	switch class {
	case 0:
		c.put(`<path d="%s" %s/>`, d, svgStroke(inkText, 0.8, ""))
		return
	case len(upliftSteps):
		c.put(`<path d="%s" fill="%s" stroke="%s" stroke-width="0.6"/>`, d, upliftSteps[class-1].fill, inkText)
		return
	}
	s := upliftSteps[class-1]
	rim := math.Min(1.2, dot*0.5)
	c.put(`<path d="%s" fill="none" stroke="%s" stroke-width="%s" stroke-linecap="round"/>`, d, inkText, SvgNumber(dot*s.size))
	c.put(`<path d="%s" fill="none" stroke="%s" stroke-width="%s" stroke-linecap="round"/>`, d, s.fill, SvgNumber(dot*s.size-rim))
}

// dot is the size of a plain attachment on the sheet.
func (p *roofPlan) dot() float64 { return math.Max(1, math.Min(4.2, p.scale*0.15)) }

// upliftNumbers writes the number of the step above an attachment wherever it
// changes along a line, where there is room.
func (p *roofPlan) upliftNumbers(a *plan.DrawnArray) {
	line, class := "", -1
	for i := range a.Feet {
		f := &a.Feet[i]
		on, _, _ := strings.Cut(f.Name, " foot ")
		k := upliftClass(f)
		if on == line && k == class {
			continue
		}
		line, class = on, k
		if k == 0 {
			continue
		}
		t := svgText{at: p.at(f.At).plus(p.dot()+1.5, -p.dot()), text: strconv.Itoa(k), size: sizeText, halo: true}
		if b := t.box(); p.placer.free(b) && p.placer.area.holds(b) {
			p.placer.take(b)
			p.top.text(t)
		}
	}
}

// upliftLegend explains the steps that the sheet shows.
func (p *roofPlan) upliftLegend() []svgEntry {
	var out []svgEntry
	for k := range upliftSteps {
		if p.shown[fmt.Sprintf("uplift %d", k+1)] {
			out = append(out, svgParagraph(fmt.Sprintf("%d: %s", k+1, upliftSteps[k].says), 28, upliftSample(k+1)))
		}
	}
	if p.shown["uplift 0"] {
		out = append(out, svgParagraph("not known", 28, upliftSample(0)))
	}
	return headed("Uplift over capacity of a foot", out...)
}

func upliftSample(class int) func(*svgCanvas, svgPoint) {
	return func(c *svgCanvas, at svgPoint) {
		var d strings.Builder
		upliftDot(&d, at.plus(11, 0), class, 4.2)
		upliftPath(c, d.String(), class, 4.2)
	}
}
