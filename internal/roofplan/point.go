package roofplan

import "math"

// Tolerance is the distance in metres within which two drawn points or lines count as the same: the accuracy to which
// roof plans are drawn and measured.
const Tolerance = 0.01

// limitSlack is the relative slack granted to a measure that is held against a limit, so that a gap of exactly the asked width passes
// in spite of rounding.
const limitSlack = 1e-9

// Point is a place in plan view, on the surface of a plane, or in a flat frame; metres.
type Point struct{ X, Y float64 }

func (p Point) add(q Point) Point               { return Point{p.X + q.X, p.Y + q.Y} }
func (p Point) sub(q Point) Point               { return Point{p.X - q.X, p.Y - q.Y} }
func (p Point) mul(k float64) Point             { return Point{p.X * k, p.Y * k} }
func (p Point) dot(q Point) float64             { return p.X*q.X + p.Y*q.Y }
func (p Point) cross(q Point) float64           { return p.X*q.Y - p.Y*q.X }
func (p Point) length() float64                 { return math.Sqrt(p.X*p.X + p.Y*p.Y) }
func (p Point) left() Point                     { return Point{-p.Y, p.X} }
func (p Point) toward(q Point, t float64) Point { return Point{p.X + t*(q.X-p.X), p.Y + t*(q.Y-p.Y)} }
func (p Point) finite() bool                    { return isFinite(p.X) && isFinite(p.Y) }

func (p Point) unit() Point {
	l := p.length()
	if l == 0 {
		return Point{}
	}
	return p.mul(1 / l)
}

// DistanceTo is the straight distance between two points, in metres.
func (p Point) DistanceTo(q Point) float64 { return p.sub(q).length() }

func isFinite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// sinCos returns sine and cosine of an angle in degrees, exact at multiples of a right angle, so that a roof drawn along the axes
// keeps its round coordinates.
func sinCos(degrees float64) (sin, cos float64) {
	switch math.Mod(math.Mod(degrees, 360)+360, 360) {
	case 0:
		return 0, 1
	case 90:
		return 1, 0
	case 180:
		return 0, -1
	case 270:
		return -1, 0
	}
	return math.Sincos(degrees * math.Pi / 180)
}

// nearestOnSegment is the point of segment ab nearest to p.
func nearestOnSegment(p, a, b Point) Point {
	d := b.sub(a)
	t := p.sub(a).dot(d)
	if t <= 0 {
		return a
	}
	l := d.dot(d)
	if t >= l {
		return b
	}
	return a.toward(b, t/l)
}

// crossing tells where segments ab and cd cross, as fractions of each; ok is false for parallel or apart segments.
func crossing(a, b, c, d Point) (t, u float64, ok bool) {
	r, s := b.sub(a), d.sub(c)
	den := r.cross(s)
	if den == 0 {
		return 0, 0, false
	}
	t = c.sub(a).cross(s) / den
	u = c.sub(a).cross(r) / den
	return t, u, t >= 0 && t <= 1 && u >= 0 && u <= 1
}

// box is an axis-aligned bounding box.
type box struct{ minX, minY, maxX, maxY float64 }

func emptyBox() box { return box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)} }

func (b box) with(o box) box {
	return box{min(b.minX, o.minX), min(b.minY, o.minY), max(b.maxX, o.maxX), max(b.maxY, o.maxY)}
}

func (b box) withPoint(p Point) box { return b.with(box{p.X, p.Y, p.X, p.Y}) }

func (b box) grown(d float64) box { return box{b.minX - d, b.minY - d, b.maxX + d, b.maxY + d} }

// distance is the distance between two boxes, 0 where they meet.
func (b box) distance(o box) float64 {
	dx := max(b.minX-o.maxX, o.minX-b.maxX, 0)
	dy := max(b.minY-o.maxY, o.minY-b.maxY, 0)
	return math.Sqrt(dx*dx + dy*dy)
}

func boxOf(points []Point) box {
	b := emptyBox()
	for _, p := range points {
		b = b.withPoint(p)
	}
	return b
}
