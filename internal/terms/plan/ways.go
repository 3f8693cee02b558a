package plan

import (
	"slices"

	"plumbrule/internal/roofplan"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/roofs"
)

// DrawnWay is the widest way up one side of the roof, from the lowest edge that
// a ladder reaches to the ridge.
type DrawnWay struct {
	Planes  []int // of the side, by their index in the drawing
	Over    string
	Widest  float64 // metres on the surface
	Centre  []Spot  // nil where there is no way to draw
	Clear   float64 // width for which the centre line is clear, metres
	Gate    Stroke  // the narrowest place of the way
	Between [2]string
	Next    *DrawnWay // the widest way that does not pass the same gate; nil for none
}

// drawWays gathers the way up each side of the roof that carries modules.
func drawWays(whole *terms.Call, d *Drawing, s *roofs.State) {
	c := whole.Part()
	sides := roofs.Sides.Of(c, c.Job())
	if c.Stop() {
		d.miss("ways up", c.Needs())
		return
	}
	for k, planes := range sides.List {
		if sides.Ground[k] || !slices.ContainsFunc(planes, func(p int) bool { return carries(whole, d.Planes[p].Name) }) {
			continue
		}
		c := whole.Part()
		way := roofs.WayUp(c, k)
		c.Need(way.Needs...)
		if way.Err != nil {
			c.Err(way.Err)
		}
		if c.Stop() {
			name := "way up plane "
			if len(planes) > 1 {
				name = "way up planes "
			}
			d.miss(name+sides.Name(s, k), c.Needs())
			continue
		}
		drawn := drawnWay(&way.Path)
		drawn.Planes, drawn.Over = planes, way.Over
		if way.Path.Next != nil {
			drawn.Next = drawnWay(way.Path.Next)
			drawn.Next.Planes, drawn.Next.Over = planes, way.Over
		}
		d.Ways = append(d.Ways, *drawn)
	}
}

// carries tells whether an array lies on a plane.
func carries(c *terms.Call, plane string) bool {
	for i := range c.Job().Arrays {
		if terms.Peek(c, c.Job().Arrays[i].Plane) == plane {
			return true
		}
	}
	return false
}

func drawnWay(p *roofplan.Path) *DrawnWay {
	out := &DrawnWay{Widest: p.Widest, Clear: p.Clear, Between: [2]string{p.Gate.A.Name, p.Gate.B.Name}, Gate: Stroke{Spot(p.Gate.A.Plan), Spot(p.Gate.B.Plan)}}
	for _, q := range p.Plan {
		out.Centre = append(out.Centre, Spot(q))
	}
	return out
}
