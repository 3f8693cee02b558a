package drawing

import "math"

// svgPlacer finds room for texts: none may lie over another, and they keep off
// what is drawn where they can.
type svgPlacer struct {
	area    svgBox
	taken   []svgBox      // texts and flags; nothing else may stand there
	leaders [][2]svgPoint // lines to flags; better not crossed
	ink     []float64     // how much is drawn in each cell, then summed
	columns int
	summed  bool
}

const (
	svgCell    = 4.0 // side of an ink cell
	svgStep    = 4.0 // between the places that are tried
	inkPenalty = 2.0 // distance, in points, that one unit of ink on a cell is worth
	labelGap   = 4.0 // between texts
)

func newSVGPlacer(area svgBox) *svgPlacer {
	columns := int(area.width()/svgCell) + 2
	rows := int(area.height()/svgCell) + 2
	return &svgPlacer{area: area, columns: columns, ink: make([]float64, columns*rows)}
}

// blot adds ink at a point.
func (p *svgPlacer) blot(at svgPoint, amount float64) {
	x, y := int((at.x-p.area.x0)/svgCell)+1, int((at.y-p.area.y0)/svgCell)+1
	if i := y*p.columns + x; x > 0 && x < p.columns && y > 0 && i < len(p.ink) {
		p.ink[i] += amount
	}
}

// stroke adds the ink of a line.
func (p *svgPlacer) stroke(a, b svgPoint, amount float64) {
	n := math.Ceil(math.Hypot(b.x-a.x, b.y-a.y)/svgCell) + 1
	for i := 0.0; i <= n; i++ {
		p.blot(svgPoint{a.x + (b.x-a.x)*i/n, a.y + (b.y-a.y)*i/n}, amount)
	}
}

// fill adds ink all over a shape.
func (p *svgPlacer) fill(shape []svgPoint, amount float64) {
	b := boundsOf(shape)
	for y := b.y0 + svgCell/2; y < b.y1; y += svgCell {
		for x := b.x0 + svgCell/2; x < b.x1; x += svgCell {
			if q := (svgPoint{x, y}); within(shape, q) {
				p.blot(q, amount)
			}
		}
	}
}

func boundsOf(list []svgPoint) svgBox {
	b := svgBox{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for _, q := range list {
		b = svgBox{math.Min(b.x0, q.x), math.Min(b.y0, q.y), math.Max(b.x1, q.x), math.Max(b.y1, q.y)}
	}
	return b
}

// within tells whether a point lies inside an outline.
func within(outline []svgPoint, q svgPoint) bool {
	in := false
	for i, a := range outline {
		b := outline[(i+1)%len(outline)]
		if (a.y <= q.y) != (b.y <= q.y) && q.x < a.x+(b.x-a.x)*(q.y-a.y)/(b.y-a.y) {
			in = !in
		}
	}
	return in
}

// sum turns the ink into sums over all cells above and to the left, so that
// the ink below a box is four look-ups. No ink is added later.
func (p *svgPlacer) sum() {
	for i := range p.ink {
		if i%p.columns > 0 {
			p.ink[i] += p.ink[i-1]
		}
	}
	for i := p.columns; i < len(p.ink); i++ {
		p.ink[i] += p.ink[i-p.columns]
	}
	p.summed = true
}

func (p *svgPlacer) inkBelow(b svgBox) float64 {
	cell := func(x, y float64) float64 {
		i, j := int((x-p.area.x0)/svgCell), int((y-p.area.y0)/svgCell)
		i, j = min(max(i, 0), p.columns-1), min(max(j, 0), len(p.ink)/p.columns-1)
		return p.ink[j*p.columns+i]
	}
	x1, y1 := b.x1+svgCell, b.y1+svgCell
	return cell(x1, y1) - cell(b.x0, y1) - cell(x1, b.y0) + cell(b.x0, b.y0)
}

func (p *svgPlacer) free(b svgBox) bool {
	for _, t := range p.taken {
		if t.meets(b) {
			return false
		}
	}
	return true
}

func (p *svgPlacer) take(b svgBox) { p.taken = append(p.taken, b) }

// near finds the best place for a box of a size close to a point and inside a
// region, and takes it. Where it is led to, the leader keeps off other texts.
// It is false when there is no room at all.
func (p *svgPlacer) near(w, h float64, at svgPoint, region svgBox, led bool) (svgBox, bool) {
	if !p.summed {
		p.sum()
	}
	region = svgBox{math.Max(region.x0, p.area.x0), math.Max(region.y0, p.area.y0), math.Min(region.x1, p.area.x1), math.Min(region.y1, p.area.y1)}
	best, found, least := svgBox{}, false, math.Inf(1)
	try := func(x, y float64) {
		b := svgBox{x, y, x + w, y + h}
		if !region.holds(b) {
			return
		}
		c := b.centre()
		cost := math.Hypot(c.x-at.x, c.y-at.y)
		if led && cost < 16 {
			return // a leader needs some length to be seen
		}
		if cost >= least {
			return
		}
		if cost += inkPenalty * p.inkBelow(b); cost >= least {
			return
		}
		if !p.free(b.grown(labelGap)) {
			return
		}
		for _, l := range p.leaders {
			if crossesBox(l[0], l[1], b) {
				cost += 80
			}
		}
		if led {
			for _, t := range p.taken {
				if crossesBox(at, c, t) {
					cost += 80
				}
			}
		}
		if cost < least {
			best, found, least = b, true, cost
		}
	}
	try(at.x-w/2, at.y-h/2)
	for y := region.y0; y+h <= region.y1; y += svgStep {
		for x := region.x0; x+w <= region.x1; x += svgStep {
			try(x, y)
		}
	}
	if !found {
		return svgBox{}, false
	}
	p.take(best)
	if led {
		p.leaders = append(p.leaders, [2]svgPoint{at, best.centre()})
	}
	return best, true
}

// crossesBox tells whether a line passes through a box.
func crossesBox(a, b svgPoint, box svgBox) bool {
	_, _, ok := box.clip(a, b)
	return ok
}

// clip is the part of a line that lies in the box; false where none does (Y.
// Liang and B. Barsky, "A new concept and method for line clipping", ACM
// Transactions on Graphics 3(1), 1984).
func (box svgBox) clip(a, b svgPoint) (svgPoint, svgPoint, bool) {
	from, to := 0.0, 1.0
	for _, s := range [4][2]float64{{a.x - b.x, a.x - box.x0}, {b.x - a.x, box.x1 - a.x}, {a.y - b.y, a.y - box.y0}, {b.y - a.y, box.y1 - a.y}} {
		switch {
		case s[0] == 0 && s[1] < 0:
			return a, b, false
		case s[0] < 0:
			from = math.Max(from, s[1]/s[0])
		case s[0] > 0:
			to = math.Min(to, s[1]/s[0])
		}
	}
	return a.plus(from*(b.x-a.x), from*(b.y-a.y)), a.plus(to*(b.x-a.x), to*(b.y-a.y)), from < to
}

// edgeToward is the point on the border of a box in the direction of another
// point.
func (b svgBox) edgeToward(p svgPoint) svgPoint {
	c := b.centre()
	dx, dy := p.x-c.x, p.y-c.y
	t := 1.0
	if dx != 0 {
		t = math.Min(t, b.width()/2/math.Abs(dx))
	}
	if dy != 0 {
		t = math.Min(t, b.height()/2/math.Abs(dy))
	}
	return svgPoint{c.x + dx*t, c.y + dy*t}
}
