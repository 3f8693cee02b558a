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
	Elevation *float64   // height of the lowest point of the plane above any common datum, metres; nil when not known
}

// PlaneError tells what is wrong with a plane and where.
type PlaneError struct {
	Plane string // name of the plane
	Edge  int    // edge of the outline, from corner Edge to the next, counted from 0; -1 when the whole plane is meant
	Text  string
}

func (e *PlaneError) Error() string {
	if e.Edge < 0 {
		return fmt.Sprintf("plane %q: %s", e.Plane, e.Text)
	}
	return fmt.Sprintf("plane %q, edge %d: %s", e.Plane, e.Edge, e.Text)
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

// Check reports everything wrong with the plane by itself, as joined *PlaneError: a slope out of range, values that are not finite,
// fewer than three corners, repeated corners, an outline that crosses or touches itself, no area, a list of edge kinds of the wrong length.
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
	if len(p.Kinds) > 0 && len(p.Kinds) != len(p.Outline) {
		fault(-1, "%d edge kinds stated for %d edges", len(p.Kinds), len(p.Outline))
	}
	for i, k := range p.Kinds {
		if k >= edgeKinds {
			fault(i, "unknown edge kind %d", k)
		}
	}
	n := len(p.Outline)
	if n < 3 {
		fault(-1, "outline has %d corners, at least 3 are needed", n)
		return errors.Join(errs...)
	}
	for i, c := range p.Outline {
		if !c.finite() {
			fault(i, "corner (%g, %g) is not a place", c.X, c.Y)
		}
	}
	if len(errs) == 0 {
		p.checkOutline(fault)
	}
	return errors.Join(errs...)
}

func (p Plane) checkOutline(fault func(edge int, format string, args ...any)) {
	n := len(p.Outline)
	repeated := false
	for i := range n {
		if p.Outline[i].DistanceTo(p.Outline[(i+1)%n]) < Tolerance/10 {
			fault(i, "corner (%g, %g) is repeated", p.Outline[i].X, p.Outline[i].Y)
			repeated = true
		}
	}
	if repeated {
		return
	}
	crossed := false
	for i := range n {
		for j := i + 1; j < n; j++ {
			if where, bad := edgesClash(p.Outline, i, j); bad {
				fault(i, "outline meets itself at (%.3f, %.3f), on edge %d", where.X, where.Y, j)
				crossed = true
			}
		}
	}
	if !crossed && math.Abs(signedArea(p.Outline)) < Tolerance*Tolerance {
		fault(-1, "outline has no area")
	}
}

// edgesClash tells whether two edges of an outline meet elsewhere than at the corner between neighbours.
func edgesClash(outline []Point, i, j int) (Point, bool) {
	n := len(outline)
	a, b := outline[i], outline[(i+1)%n]
	c, d := outline[j], outline[(j+1)%n]
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
