package roofplan

import (
	"fmt"
	"math"

	"github.com/peterstace/simplefeatures/geom"
)

// PlaneOverlap is ground in plan view that two planes cover. It may be meant, a roof over a roof, so it is reported and not refused.
type PlaneOverlap struct {
	A, B   int         // indexes of the planes, A less than B
	Area   float64     // common area in plan view, m2
	Common [][][]Point // the common parts in plan view: of each the outline, then holes in it
	Above  int         // the plane that lies above the other there, by more than a step somewhere; -1 where heights are missing, or the planes cross or lie in one
	Rise   *[2]float64 // least and largest height of A over B at the corners of the common parts, metres; nil where a height is missing
}

// Overlaps lists the planes that cover the same ground.
func (r *Roof) Overlaps() []PlaneOverlap { return append([]PlaneOverlap(nil), r.overlaps...) }

// Covered lists what other planes cover of the planes, as things in the way on their surface: a part under another plane on the lower one, and
// on both where it is not known which is above. Each is named after the covering plane and convex, so that a part may be several.
func (r *Roof) Covered() []Item {
	var all []Item
	for _, o := range r.overlaps {
		for _, under := range [2][2]int{{o.A, o.B}, {o.B, o.A}} {
			if lower, upper := under[0], under[1]; o.Above != lower {
				for _, s := range r.CommonPart(o, lower) {
					all = append(all, Item{Name: "roof plane " + r.planes[upper].Name, Plane: lower, Shape: s})
				}
			}
		}
	}
	return all
}

// CommonPart is the ground of an overlap on the surface of one of its planes, as convex shapes that only touch.
func (r *Roof) CommonPart(o PlaneOverlap, plane int) []Shape {
	var all []Shape
	for _, part := range o.Common {
		all = append(all, pieces(r.onSurface(plane, part))...)
	}
	return all
}

// onSurface carries rings in plan view to the surface of a plane.
func (r *Roof) onSurface(plane int, rings [][]Point) [][]Point {
	out := make([][]Point, len(rings))
	for k, ring := range rings {
		for _, p := range ring {
			out[k] = append(out[k], r.frames[plane].ToSurface(p))
		}
	}
	return out
}

// measurePlan finds planes that overlap and the area of the roof in plan view.
func (r *Roof) measurePlan() error {
	// Coordinates far from their origin would cost the common areas their accuracy.
	origin := r.planes[0].Outline[0]
	polygons := make([]geom.Geometry, len(r.planes))
	var roof []geom.Geometry // those that are no open ground
	boxes := make([]box, len(r.planes))
	for i, p := range r.planes {
		polygons[i] = polygon(shifted(p.rings(), origin.mul(-1))...).AsGeometry()
		boxes[i] = boxOf(p.Outline)
		if !p.Ground {
			r.plan += r.PlanArea(i)
			roof = append(roof, polygons[i])
		}
	}
	index := newTree(boxes)
	for i := range r.planes {
		var near []int
		index.within(boxes[i], func(j int) {
			if j > i && r.planes[i].Ground == r.planes[j].Ground {
				near = append(near, j)
			}
		})
		for _, j := range sorted(near) {
			common, err := geom.Intersection(polygons[i], polygons[j])
			if err != nil {
				return fmt.Errorf("planes %q and %q: %w", r.planes[i].Name, r.planes[j].Name, err)
			}
			if common.Area() > r.sliver(i, j) {
				r.overlap(i, j, partsOf(common, origin))
			}
		}
	}
	if len(r.overlaps) == 0 || len(roof) == 0 {
		return nil
	}
	union, err := geom.UnionMany(roof)
	if err != nil {
		return fmt.Errorf("area of the roof in plan view: %w", err)
	}
	r.plan = union.Area()
	return nil
}

// overlap notes an overlap and which plane is above.
func (r *Roof) overlap(i, j int, parts [][][]Point) {
	o := PlaneOverlap{A: i, B: j, Above: -1}
	least, most := math.Inf(1), math.Inf(-1)
	known := true
	for _, part := range parts {
		if girth(part[0])*Tolerance/2 > netArea(part) {
			continue // a sliver along an edge
		}
		o.Common = append(o.Common, part)
		o.Area += netArea(part)
		for _, p := range part[0] {
			rise := r.riseOf(i, j, p)
			if rise == nil {
				known = false
				break
			}
			least, most = min(least, *rise), max(most, *rise)
		}
	}
	if len(o.Common) == 0 {
		return
	}
	if known {
		o.Rise = &[2]float64{least, most}
		// Planes that meet at the border of the common part differ there by what the drawing is accurate to.
		slack := max(r.limits.Step, 5*Tolerance)
		switch {
		case most > slack && least >= -slack:
			o.Above = i
		case least < -slack && most <= slack:
			o.Above = j
		}
	}
	r.overlaps = append(r.overlaps, o)
}

// partsOf lists the polygons of a geometry as rings, shifted by a vector.
func partsOf(g geom.Geometry, by Point) [][][]Point {
	var parts [][][]Point
	for _, one := range g.Dump() {
		p, ok := one.AsPolygon()
		if !ok {
			continue // planes that touch along a line or at a corner
		}
		var rings [][]Point
		for _, line := range p.DumpRings() {
			var ring []Point
			s := line.Coordinates()
			for k := range s.Length() - 1 { // the first corner stands at the end again
				xy := s.GetXY(k)
				ring = append(ring, Point{xy.X, xy.Y}.add(by))
			}
			rings = append(rings, ring)
		}
		parts = append(parts, rings)
	}
	return parts
}

func shifted(rings [][]Point, by Point) [][]Point {
	out := make([][]Point, len(rings))
	for k, ring := range rings {
		for _, p := range ring {
			out[k] = append(out[k], p.add(by))
		}
	}
	return out
}

// sliver is the largest common area in plan view that inaccurate drawing of a shared edge can make.
func (r *Roof) sliver(i, j int) float64 {
	return Tolerance * min(girth(r.planes[i].Outline), girth(r.planes[j].Outline))
}

func girth(outline []Point) float64 {
	var sum float64
	for i, p := range outline {
		sum += p.DistanceTo(outline[(i+1)%len(outline)])
	}
	return sum
}

func commonArea(a, b geom.Geometry) (float64, error) {
	common, err := geom.Intersection(a, b)
	if err != nil {
		return 0, err
	}
	return common.Area(), nil
}
