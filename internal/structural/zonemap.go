package structural

import (
	"fmt"
	"math"
)

// Point is a point in plan view, m.
type Point struct{ X, Y float64 }

// EdgeKind is what an edge is to the wind zones.
type EdgeKind string

// The kinds of edge that begin a zone.
const (
	EaveEdge     EdgeKind = "eave"
	HighEaveEdge EdgeKind = "high eave"
	RakeEdge     EdgeKind = "rake"
	RidgeEdge    EdgeKind = "ridge"
	HipEdge      EdgeKind = "hip"
)

// RoofEdge is one straight edge of a roof in plan view. An edge inside the
// outline (a ridge, a hip) is given once.
type RoofEdge struct {
	A, B Point
	Kind EdgeKind
}

// PlaceOf finds the Place of a point among the edges of a roof, in plan. On a
// flat roof every outer edge is an eave.
func PlaceOf(p Point, edges []RoofEdge) Place {
	place := Anywhere()
	nearest, first := math.Inf(1), -1
	for i, e := range edges {
		d := segment(p.X, p.Y, e.A.X, e.A.Y, e.B.X, e.B.Y)
		switch e.Kind {
		case EaveEdge:
			place.Eave = math.Min(place.Eave, d)
		case HighEaveEdge:
			place.HighEave = math.Min(place.HighEave, d)
		case RakeEdge:
			place.Rake = math.Min(place.Rake, d)
		case RidgeEdge:
			place.Ridge = math.Min(place.Ridge, d)
		case HipEdge:
			place.Hip = math.Min(place.Hip, d)
		}
		if e.Kind != RidgeEdge && e.Kind != HipEdge && d < nearest {
			nearest, first = d, i
		}
	}
	for i, e := range edges {
		if first >= 0 && i != first && e.Kind != RidgeEdge && e.Kind != HipEdge && !parallel(e, edges[first]) {
			place.Adjacent = math.Min(place.Adjacent, segment(p.X, p.Y, e.A.X, e.A.Y, e.B.X, e.B.Y))
		}
	}
	return place
}

// parallel is true within ten degrees: such edges make no corner.
func parallel(a, b RoofEdge) bool {
	ax, ay, bx, by := a.B.X-a.A.X, a.B.Y-a.A.Y, b.B.X-b.A.X, b.B.Y-b.A.Y
	cross := ax*by - ay*bx
	return cross*cross < sinParallel*sinParallel*(ax*ax+ay*ay)*(bx*bx+by*by)
}

var sinParallel = math.Sin(10 * math.Pi / 180)

// ZonePiece is a convex part of the roof that lies in one zone.
type ZonePiece struct {
	Zone    string
	Outline []Point // counter-clockwise, plan view
}

// ZoneMap cuts a roof outline (plan view, no holes, the first corner not
// repeated) into the zones of a figure. Neighbouring pieces may be of the same
// zone. a is the strip width of sloped roofs, height the mean roof height.
// Strips are bounded by lines along the edges; where a strip would round the
// end of an edge it ends square.
func (f *Figure) ZoneMap(outline []Point, edges []RoofEdge, a, height float64) ([]ZonePiece, error) {
	if err := positive("strip width", a, "height", height); err != nil {
		return nil, err
	}
	pieces, err := convexPieces(outline)
	if err != nil {
		return nil, err
	}
	for _, e := range edges {
		l := math.Hypot(e.B.X-e.A.X, e.B.Y-e.A.Y)
		if !(l > 0) {
			return nil, fmt.Errorf("an edge of the roof has no length")
		}
		nx, ny := -(e.B.Y-e.A.Y)/l, (e.B.X-e.A.X)/l
		for _, strip := range f.Strips(a, height) {
			for _, side := range []float64{-strip, strip} {
				pieces = cutAll(pieces, nx, ny, nx*e.A.X+ny*e.A.Y+side, around(e, strip))
			}
		}
	}
	out := make([]ZonePiece, 0, len(pieces))
	for _, p := range pieces {
		out = append(out, ZonePiece{f.Zone(PlaceOf(centre(p), edges), a, height), p})
	}
	return out, nil
}

// box is a rectangle along the axes.
type box struct{ low, high Point }

// around is the box that holds all that is within a distance of an edge.
func around(e RoofEdge, d float64) box {
	return box{Point{min(e.A.X, e.B.X) - d, min(e.A.Y, e.B.Y) - d}, Point{max(e.A.X, e.B.X) + d, max(e.A.Y, e.B.Y) + d}}
}

// outside reports whether a polygon lies outside of the box by its extent.
func (b box) outside(p []Point) bool {
	left, right, below, above := true, true, true, true
	for _, q := range p {
		left, right = left && q.X <= b.low.X, right && q.X >= b.high.X
		below, above = below && q.Y <= b.low.Y, above && q.Y >= b.high.Y
	}
	return left || right || below || above
}

// cutAll cuts the pieces that reach into a box along a line. What is outside lies
// beyond the strip altogether, and cutting it there would only make many pieces of
// one zone: their number would grow as the square of the edges.
func cutAll(pieces [][]Point, nx, ny, c float64, reach box) [][]Point {
	var out [][]Point
	for _, p := range pieces {
		if reach.outside(p) {
			out = append(out, p)
			continue
		}
		for _, sign := range []float64{1, -1} {
			if half := keep(p, sign*nx, sign*ny, sign*c); Area(half) > sliver {
				out = append(out, half)
			}
		}
	}
	return out
}

// sliver is an area, m2, under which a piece is a rounding of the cut.
const sliver = 1e-9

// keep is the part of a convex polygon where n.p >= c.
func keep(p []Point, nx, ny, c float64) []Point {
	var out []Point
	for i := range p {
		q := p[(i+1)%len(p)]
		d1, d2 := nx*p[i].X+ny*p[i].Y-c, nx*q.X+ny*q.Y-c
		if d1 >= 0 {
			out = append(out, p[i])
		}
		if (d1 > 0 && d2 < 0) || (d1 < 0 && d2 > 0) {
			t := d1 / (d1 - d2)
			out = append(out, Point{p[i].X + t*(q.X-p[i].X), p[i].Y + t*(q.Y-p[i].Y)})
		}
	}
	return out
}

// Area is the area of a polygon, m2; positive if it runs counter-clockwise.
func Area(p []Point) float64 {
	sum := 0.0
	for i := range p {
		q := p[(i+1)%len(p)]
		sum += p[i].X*q.Y - q.X*p[i].Y
	}
	return sum / 2
}

func centre(p []Point) Point {
	var c Point
	for _, q := range p {
		c.X += q.X / float64(len(p))
		c.Y += q.Y / float64(len(p))
	}
	return c
}

// convexPieces cuts a simple polygon into convex ones: itself if it is convex,
// otherwise triangles by ear clipping.
func convexPieces(outline []Point) ([][]Point, error) {
	p := append([]Point{}, outline...)
	if len(p) < 3 || math.Abs(Area(p)) <= sliver {
		return nil, fmt.Errorf("the outline encloses no area")
	}
	if crosses(p) {
		return nil, fmt.Errorf("the outline crosses itself")
	}
	if Area(p) < 0 {
		for i, j := 0, len(p)-1; i < j; i, j = i+1, j-1 {
			p[i], p[j] = p[j], p[i]
		}
	}
	var out [][]Point
	for len(p) > 3 && !convex(p) {
		i := ear(p)
		if i < 0 {
			return nil, fmt.Errorf("the outline cannot be cut into triangles")
		}
		n := len(p)
		out = append(out, []Point{p[(i+n-1)%n], p[i], p[(i+1)%n]})
		p = append(p[:i:i], p[i+1:]...)
	}
	return append(out, p), nil
}

// crosses reports whether two edges of a polygon that do not meet cross.
func crosses(p []Point) bool {
	n := len(p)
	for i := range p {
		a, b := p[i], p[(i+1)%n]
		for j := i + 2; j < n; j++ {
			c, d := p[j], p[(j+1)%n]
			if (j+1)%n != i && turn(a, b, c)*turn(a, b, d) < 0 && turn(c, d, a)*turn(c, d, b) < 0 {
				return true
			}
		}
	}
	return false
}

func turn(a, b, c Point) float64 { return (b.X-a.X)*(c.Y-a.Y) - (b.Y-a.Y)*(c.X-a.X) }

func convex(p []Point) bool {
	n := len(p)
	for i := range p {
		if turn(p[i], p[(i+1)%n], p[(i+2)%n]) < 0 {
			return false
		}
	}
	return true
}

// ear finds a corner that can be cut off without leaving the polygon; -1 if
// there is none.
func ear(p []Point) int {
	n := len(p)
	for i := range p {
		a, b, c := p[(i+n-1)%n], p[i], p[(i+1)%n]
		if turn(a, b, c) <= 0 {
			continue
		}
		free := true
		for _, q := range p {
			if q != a && q != b && q != c && turn(a, b, q) >= 0 && turn(b, c, q) >= 0 && turn(c, a, q) >= 0 {
				free = false
				break
			}
		}
		if free {
			return i
		}
	}
	return -1
}
