package roofplan

import (
	"math"
	"slices"
)

// beyondReach is how far beyond an edge a plane counts as lying just beyond it, metres.
const beyondReach = 3 * Tolerance

// shortestPart is the least length of a part of an edge that is told apart by what lies beyond it, metres.
const shortestPart = 10 * Tolerance

// cutter cuts sides without partner into the parts beyond which one plane lies, or none.
type cutter struct {
	roof  *Roof
	sides []side
	index *tree
	boxes []box // of the planes in plan view
}

func newCutter(r *Roof, sides []side, index *tree) *cutter {
	c := &cutter{roof: r, sides: sides, index: index}
	for _, p := range r.planes {
		c.boxes = append(c.boxes, boxOf(p.Outline))
	}
	return c
}

// cut parts the stretch of a side, by where a line just beyond it passes the sides of other planes.
func (c *cutter) cut(k int, from, to float64) []stretch {
	s := c.sides[k]
	out := s.b.sub(s.a).unit().left().mul(-beyondReach)
	p, q := s.at(from).add(out), s.at(to).add(out)
	cuts := []float64{from, to}
	c.index.within(boxOf([]Point{p, q}), func(j int) {
		o := c.sides[j]
		if o.plane == s.plane {
			return
		}
		if t, _, ok := crossing(p, q, o.a, o.b); ok {
			cuts = append(cuts, from+t*(to-from))
		}
	})
	slices.Sort(cuts)
	var parts []stretch
	for i := 1; i < len(cuts); i++ {
		part := stretch{s.plane, k, cuts[i-1], cuts[i], -1, -1}
		if part.to-part.from > shortestPart || len(cuts) == 2 {
			part.beyond = c.beyond(s.plane, s.at((part.from+part.to)/2), out)
		} else if n := len(parts); n > 0 { // too short to tell apart
			part.beyond = parts[n-1].beyond
		} else {
			cuts[i] = part.from
			continue
		}
		if n := len(parts); n > 0 && parts[n-1].beyond == part.beyond {
			parts[n-1].to = part.to
			continue
		}
		parts = append(parts, part)
	}
	if len(parts) == 0 { // all of it in short pieces
		parts = []stretch{{s.plane, k, from, to, -1, c.beyond(s.plane, s.at((from+to)/2), out)}}
	}
	return parts
}

// beyond is the plane that lies at a place moved out by a little, the highest of several where heights are known, -1 for none.
func (c *cutter) beyond(own int, at, out Point) int {
	best := -1
	for j, b := range c.boxes {
		p := at.add(out)
		if j == own || c.roof.planes[j].Ground != c.roof.planes[own].Ground || b.distance(box{p.X, p.Y, p.X, p.Y}) > 0 ||
			planeDistance(c.roof.planes[j].rings(), p) > 0 {
			continue
		}
		if best < 0 || c.nearer(j, best, p) {
			best = j
		}
	}
	return best
}

// nearer tells whether plane p rather than q is what is seen at a place from above; where heights do not tell, the first by name.
func (c *cutter) nearer(p, q int, at Point) bool {
	if rise := c.roof.riseOf(p, q, at); rise != nil && math.Abs(*rise) > Tolerance {
		return *rise > 0
	}
	return c.roof.planes[p].Name < c.roof.planes[q].Name
}
