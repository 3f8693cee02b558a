// Package layout is the geometry of one array on its roof plane: where the
// modules lie, where the feet stand, what each foot carries, how far apart
// they are, whether each fastener meets something that holds, and how the
// surveyed feet compare with the plan.
//
// Two frames are used, both in metres on the surface of the plane.
//
//   - Surface: x along the lowest edge from its left end seen looking up the
//     slope, y up the slope. Point is always in this frame unless a field says
//     otherwise.
//   - Array: u along the rows and v up the columns from the array's lower left
//     corner. It is the surface frame moved to the array's origin and turned by
//     the array's rotation. Everything that runs "along a row" is measured
//     here, so a turned array is computed exactly like a square one.
//
// The data flows one way: Pattern -> Array -> feet -> Supports -> areas, spans
// and the bill. Feet stand on lines, lines run along the rows, and a line is
// divided into runs wherever modules are missing. All functions are pure; input
// outside their domain (not finite, not positive, nothing to carry) is an error
// that names the place, never a number.
package layout

import (
	"fmt"
	"math"
)

// touch is the distance, in metres, below which two positions are the same
// place: a micrometre, far above rounding error and far below any dimension on
// a drawing.
const touch = 1e-6

// maxPlaces bounds the places of one grid or one line of feet, so that a
// mistyped spacing is an error and not an exhausted memory.
const maxPlaces = 2_000_000

// Point is a place on the surface of a plane, in metres.
type Point struct{ X, Y float64 }

func (p Point) sub(q Point) Point        { return Point{p.X - q.X, p.Y - q.Y} }
func (p Point) add(q Point) Point        { return Point{p.X + q.X, p.Y + q.Y} }
func (p Point) scale(k float64) Point    { return Point{p.X * k, p.Y * k} }
func (p Point) dot(q Point) float64      { return p.X*q.X + p.Y*q.Y }
func (p Point) cross(q Point) float64    { return p.X*q.Y - p.Y*q.X }
func (p Point) distance(q Point) float64 { return math.Hypot(p.X-q.X, p.Y-q.Y) }
func (p Point) finite() bool             { return finite(p.X) && finite(p.Y) }

// String gives the point in metres to the millimetre.
func (p Point) String() string { return fmt.Sprintf("(%.3f, %.3f) m", p.X, p.Y) }

// Frame places an array on the surface: its lower left corner and its rotation
// in degrees, anticlockwise, about that corner.
type Frame struct {
	Origin   Point
	Rotation float64
}

// ToSurface carries a point of the array frame to the surface.
func (f Frame) ToSurface(local Point) Point {
	sin, cos := sincos(f.Rotation)
	return Point{f.Origin.X + local.X*cos - local.Y*sin, f.Origin.Y + local.X*sin + local.Y*cos}
}

// ToArray carries a point of the surface to the array frame.
func (f Frame) ToArray(surface Point) Point {
	sin, cos := sincos(f.Rotation)
	d := surface.sub(f.Origin)
	return Point{d.X*cos + d.Y*sin, -d.X*sin + d.Y*cos}
}

// sincos is exact at the quarter turns, so that a square array stays square.
func sincos(degrees float64) (sin, cos float64) {
	switch math.Mod(degrees, 360) {
	case 0:
		return 0, 1
	case 90, -270:
		return 1, 0
	case 180, -180:
		return 0, -1
	case 270, -90:
		return -1, 0
	}
	return math.Sincos(degrees * math.Pi / 180)
}

// Rect is a rectangle square to the frame it is given in.
type Rect struct{ Min, Max Point }

// Area is the area in m2.
func (r Rect) Area() float64 { return (r.Max.X - r.Min.X) * (r.Max.Y - r.Min.Y) }

// Width is the extent along the first axis, m.
func (r Rect) Width() float64 { return r.Max.X - r.Min.X }

// Height is the extent along the second axis, m.
func (r Rect) Height() float64 { return r.Max.Y - r.Min.Y }

// Centre is the middle of the rectangle.
func (r Rect) Centre() Point { return r.Min.add(r.Max).scale(0.5) }

func (r Rect) union(s Rect) Rect {
	return Rect{
		Point{min(r.Min.X, s.Min.X), min(r.Min.Y, s.Min.Y)},
		Point{max(r.Max.X, s.Max.X), max(r.Max.Y, s.Max.Y)},
	}
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

func wantPositive(what string, v float64) error {
	if !finite(v) || v <= 0 {
		return fmt.Errorf("%s is %g, want more than zero", what, v)
	}
	return nil
}

func wantAtLeastZero(what string, v float64) error {
	if !finite(v) || v < 0 {
		return fmt.Errorf("%s is %g, want zero or more", what, v)
	}
	return nil
}
