package roofplan

import (
	"errors"
	"fmt"
	"math"
)

// Plane is one roof plane as a roof plan shows it.
type Plane struct {
	Name      string
	Outline   []Point    // corners in plan view, metres, either way round, the first not repeated at the end
	Holes     [][]Point  // openings inside the outline in plan view, in the same form
	Slope     float64    // degrees from level, 0 to under 90
	Downslope float64    // bearing in plan of the way down, degrees clockwise from north; on a level roof only the way the plane is read
	Kinds     []EdgeKind // kinds stated by the job: entry i is for the edge from corner i to the next, those of the holes counted on; nil or Unstated leaves it to geometry
	Ground    bool       // open ground that carries an array: no part of the roof, joined to no plane of it
	Elevation *float64   // height of the lowest point of the plane above any common datum, metres; nil when not known
}

// PlaneError tells what is wrong with a plane and where.
type PlaneError struct {
	Plane string // name of the plane
	Edge  int    // edge of the outline, from corner Edge to the next, counted from 0, those of the holes counted on; -1 when the whole plane is meant
	Text  string
}

// Error gives the fault in words, edges counted from 1 as a job counts them.
func (e *PlaneError) Error() string {
	if e.Edge < 0 {
		return fmt.Sprintf("plane %q: %s", e.Plane, e.Text)
	}
	return fmt.Sprintf("plane %q, edge %d: %s", e.Plane, e.Edge+1, e.Text)
}

// Frame carries points between plan view and the surface of a plane.
//
// On the surface, x runs level, to the right of someone who stands below and looks up the slope; y runs up the slope and is
// the true distance on the surface, plan distance over the cosine of the slope. The origin is the left end of the lowest edge. Where
// no lowest edge is level (within one degree, or Tolerance), x counts from the leftmost corner and y from the lowest.
type Frame struct {
	origin, right, up Point // plan view
	cos, tan          float64
}

// ToSurface carries a point in plan view to the surface.
func (f Frame) ToSurface(p Point) Point {
	d := p.sub(f.origin)
	return Point{d.dot(f.right), d.dot(f.up) / f.cos}
}

// ToPlan carries a point on the surface to plan view.
func (f Frame) ToPlan(p Point) Point {
	return f.origin.add(f.right.mul(p.X)).add(f.up.mul(p.Y * f.cos))
}

// Rise is the height of a point in plan view above the lowest point of the plane, metres.
func (f Frame) Rise(p Point) float64 { return p.sub(f.origin).dot(f.up) * f.tan }

// gradient is the plan vector along which the plane rises, its length the tangent of the slope.
func (f Frame) gradient() Point { return f.up.mul(f.tan) }

// rings are the outline and the outlines of the holes, as given.
func (p Plane) rings() [][]Point { return append([][]Point{p.Outline}, p.Holes...) }

// edgeCount is the number of edges of all rings.
func (p Plane) edgeCount() int {
	n := 0
	for _, ring := range p.rings() {
		n += len(ring)
	}
	return n
}

// faultFunc notes what is wrong at an edge, -1 for the plane as a whole.
type faultFunc func(edge int, format string, args ...any)

// Check reports everything wrong with the plane by itself, as joined *PlaneError: a slope out of range, values that are not finite,
// an outline or hole of fewer than three corners, with repeated corners, that crosses or touches itself or has no area, a hole that is not inside
// the outline or meets another, a list of edge kinds of the wrong length.
func (p Plane) Check() error {
	var errs []error
	fault := func(edge int, format string, args ...any) {
		errs = append(errs, &PlaneError{p.Name, edge, fmt.Sprintf(format, args...)})
	}
	if !(p.Slope >= 0 && p.Slope < 90) {
		fault(-1, "slope of %g degrees is not within 0 to under 90", p.Slope)
	}
	if !isFinite(p.Downslope) {
		fault(-1, "downslope bearing %g is not a direction", p.Downslope)
	}
	if p.Elevation != nil && !isFinite(*p.Elevation) {
		fault(-1, "elevation %g is not a height", *p.Elevation)
	}
	if n := p.edgeCount(); len(p.Kinds) > 0 && len(p.Kinds) != n {
		fault(-1, "%d edge kinds stated for %d edges", len(p.Kinds), n)
	}
	for i, k := range p.Kinds {
		if k >= edgeKinds {
			fault(i, "unknown edge kind %d", k)
		}
	}
	first, short := 0, false
	for k, ring := range p.rings() {
		if len(ring) < 3 {
			fault(-1, "%s has %d corners, at least 3 are needed", ringName(k), len(ring))
			short = true
		}
		for i, c := range ring {
			if !c.finite() {
				fault(first+i, "corner (%g, %g) is not a place", c.X, c.Y)
			}
		}
		first += len(ring)
	}
	if len(errs) == 0 && !short {
		p.checkRings(fault)
	}
	return errors.Join(errs...)
}

// ringName is what the k-th ring of a plane is called.
func ringName(k int) string {
	if k == 0 {
		return "outline"
	}
	return fmt.Sprintf("hole %d", k)
}

// checkRings reports what is wrong with the shape of the outline and of the holes.
func (p Plane) checkRings(fault faultFunc) {
	sound := true
	noting := func(edge int, format string, args ...any) {
		sound = false
		fault(edge, format, args...)
	}
	first := 0
	for k, ring := range p.rings() {
		checkRing(ring, first, ringName(k), noting)
		first += len(ring)
	}
	if sound && len(p.Holes) > 0 {
		p.checkHoles(fault)
	}
}

// checkRing reports what is wrong with one ring, whose edges are counted from first.
func checkRing(ring []Point, first int, name string, fault faultFunc) {
	n := len(ring)
	repeated := false
	for i := range n {
		if ring[i].DistanceTo(ring[(i+1)%n]) < Tolerance/10 {
			fault(first+i, "corner (%g, %g) is repeated", ring[i].X, ring[i].Y)
			repeated = true
		}
	}
	if repeated {
		return
	}
	crossed := false
	for i := range n {
		for j := i + 1; j < n; j++ {
			if where, bad := edgesClash(ring, i, j); bad {
				fault(first+i, "%s meets itself at (%.3f, %.3f), on edge %d", name, where.X, where.Y, first+j+1)
				crossed = true
			}
		}
	}
	if !crossed && math.Abs(signedArea(ring)) < Tolerance*Tolerance {
		fault(-1, "%s has no area", name)
	}
}

// checkHoles reports holes that are not inside the outline, or meet or hold one another. The rings are sound by themselves.
func (p Plane) checkHoles(fault faultFunc) {
	rings := p.rings()
	first := 0
	for k, ring := range rings {
		before := 0
		for l, other := range rings[:k] {
			i, j, where, meet := ringsMeet(ring, other)
			within, around := outlineDistance(other, ring[0]) == 0, outlineDistance(ring, other[0]) == 0
			switch {
			case meet:
				fault(first+i, "%s meets %s at (%.3f, %.3f), on edge %d", ringName(k), ringName(l), where.X, where.Y, before+j+1)
			case l == 0 && !within:
				fault(-1, "%s does not lie inside the outline", ringName(k))
			case l > 0 && within:
				fault(-1, "%s lies inside %s", ringName(k), ringName(l))
			case l > 0 && around:
				fault(-1, "%s lies inside %s", ringName(l), ringName(k))
			}
			before += len(other)
		}
		first += len(ring)
	}
}

// ringsMeet finds edges of two rings that meet, and where.
func ringsMeet(a, b []Point) (i, j int, at Point, meet bool) {
	for i := range a {
		for j := range b {
			s, t := Segment(a[i], a[(i+1)%len(a)]), Segment(b[j], b[(j+1)%len(b)])
			if distance, at, _ := separation(&s, &t); distance < 1e-9 {
				return i, j, at, true
			}
		}
	}
	return 0, 0, Point{}, false
}

// edgesClash tells whether two edges of a ring meet elsewhere than at the corner between neighbours.
func edgesClash(ring []Point, i, j int) (Point, bool) {
	n := len(ring)
	a, b := ring[i], ring[(i+1)%n]
	c, d := ring[j], ring[(j+1)%n]
	switch {
	case (i+1)%n == j: // b and c are one corner
		return b, foldsBack(a, b, d)
	case (j+1)%n == i: // d and a are one corner
		return a, foldsBack(c, a, b)
	}
	s, t := Segment(a, b), Segment(c, d)
	distance, at, _ := separation(&s, &t)
	return at, distance < 1e-9
}

// foldsBack tells whether the way from a over b to c turns straight back on itself.
func foldsBack(a, b, c Point) bool {
	u, v := b.sub(a).unit(), c.sub(b).unit()
	return u.dot(v) < 0 && math.Abs(u.cross(v)) < 1e-9
}

func signedArea(outline []Point) float64 {
	var sum float64
	o := outline[0]
	for i := range outline {
		sum += outline[i].sub(o).cross(outline[(i+1)%len(outline)].sub(o))
	}
	return sum / 2
}

// levelSlack is how far an edge may rise over its length and still count as level: Tolerance, or one degree.
func levelSlack(length float64) float64 { return max(Tolerance, length*math.Sin(math.Pi/180)) }

// frame lays the surface frame on a plane that passed Check.
func (p Plane) frame() Frame {
	sin, cos := sinCos(p.Downslope)
	up := Point{-sin, -cos}
	f := Frame{right: Point{up.Y, -up.X}, up: up}
	s, c := sinCos(p.Slope)
	f.cos, f.tan = c, s/c

	n := len(p.Outline)
	low, leftmost := math.Inf(1), math.Inf(1)
	for _, q := range p.Outline {
		low, leftmost = min(low, q.dot(up)), min(leftmost, q.dot(f.right))
	}
	edge := math.Inf(1)
	for i := range n {
		a, b := p.Outline[i], p.Outline[(i+1)%n]
		slack := levelSlack(a.DistanceTo(b))
		if max(a.dot(up), b.dot(up)) <= low+slack {
			edge = min(edge, a.dot(f.right), b.dot(f.right))
		}
	}
	if !math.IsInf(edge, 1) {
		leftmost = edge
	}
	f.origin = f.right.mul(leftmost).add(up.mul(low))
	return f
}
