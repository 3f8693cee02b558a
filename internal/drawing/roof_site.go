package drawing

import (
	"fmt"
	"math"

	"plumbrule/internal/terms/plan"
)

// streetStyle is the line of a street's near edge.
var streetStyle = svgStroke(inkThin, 1.4, "16 3")

// siteName is the name of what lies beside the building, written once
// everything is drawn.
type siteName struct {
	text     string
	at, near svgPoint
}

// streets draws each street where its line passes the roof, and else an arrow
// toward it at the border of the drawing.
func (p *roofPlan) streets() {
	if len(p.d.Planes) == 0 {
		return
	}
	for _, s := range p.d.Streets {
		name := joinKnown(" ", s.Kind, s.Name)
		if name == "" {
			name = "street"
		}
		if at, ok := p.streetLine(&s); ok {
			p.beyond = append(p.beyond, siteName{name, at, at.plus(0, -8)})
			continue
		}
		if s.Bearing == nil {
			p.notes = append(p.notes, fmt.Sprintf("%s lies off the drawing.", name))
			continue
		}
		sin, cos := math.Sincos(*s.Bearing * math.Pi / 180)
		to := svgPoint{sin, -cos}
		at := p.beside(to)
		streetArrow(&p.body, at, to)
		p.shown["street"] = true
		p.placer.take(svgBox{at.x, at.y, at.x, at.y}.grown(9))
		p.beyond = append(p.beyond, siteName{name, at, at.plus(-14*to.x, -14*to.y)})
	}
}

// streetLine draws the parts of a street's line that lie on the drawing, and
// gives the middle of the longest.
func (p *roofPlan) streetLine(s *plan.DrawnStreet) (middle svgPoint, ok bool) {
	longest := 0.0
	for i := 1; i < len(s.Line); i++ {
		from, to, on := p.placer.area.clip(p.at(s.Line[i-1]), p.at(s.Line[i]))
		if !on {
			continue
		}
		p.body.line(from, to, streetStyle)
		p.placer.stroke(from, to, 1)
		p.shown["street line"] = true
		if l := math.Hypot(to.x-from.x, to.y-from.y); l > longest {
			longest, middle, ok = l, svgPoint{(from.x + to.x) / 2, (from.y + to.y) / 2}, true
		}
	}
	return middle, ok
}

// beside is the place just inside the border of the drawing in a direction
// from its middle.
func (p *roofPlan) beside(to svgPoint) svgPoint {
	c := p.placer.area.centre()
	far := math.Hypot(p.placer.area.width(), p.placer.area.height())
	return p.placer.area.grown(-10).edgeToward(c.plus(to.x*far, to.y*far))
}

// streetArrow is an open arrow in a direction.
func streetArrow(c *svgCanvas, at, to svgPoint) {
	tip := at.plus(8*to.x, 8*to.y)
	c.line(at.plus(-8*to.x, -8*to.y), tip, svgStroke(inkSoft, 1.6, ""))
	c.put(`<path d="%s" %s/>`, svgPath(false, tip.plus(-5*to.x-3.5*to.y, -5*to.y+3.5*to.x), tip, tip.plus(-5*to.x+3.5*to.y, -5*to.y-3.5*to.x)), svgStroke(inkSoft, 1.6, ""))
}

// doubts marks where planes may or may not meet, and says why beside the
// drawing.
func (p *roofPlan) doubts() {
	for _, d := range p.d.Doubts {
		a, b := p.at(d.From), p.at(d.To)
		mid := svgPoint{(a.x + b.x) / 2, (a.y + b.y) / 2}
		p.shown["doubt"] = true
		doubtMark(&p.top, mid)
		p.placer.take(svgBox{mid.x, mid.y, mid.x, mid.y}.grown(4.5))
		p.notes = append(p.notes, "In doubt: "+d.Text+".")
	}
}

// doubtMark is a question mark in a ring.
func doubtMark(c *svgCanvas, at svgPoint) {
	c.circle(at, 4.2, fmt.Sprintf(`fill="%s" stroke="%s" stroke-width="0.8"`, inkPaper, inkAmber))
	c.text(svgText{at: at.plus(0, 2.5), text: "?", size: sizeText, anchor: "middle", fill: inkAmber, bold: true})
}
