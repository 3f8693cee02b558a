package roofplan

import (
	"errors"
	"fmt"
	"math"
	"sync"

	"github.com/peterstace/simplefeatures/geom"
)

// Roof is a set of planes whose edges have been classed. It is not changed after New and may be read by many goroutines.
type Roof struct {
	planes    []Plane
	frames    []Frame
	outlines  [][]Point   // surface, counter-clockwise
	holes     [][][]Point // surface, clockwise
	edges     [][]Edge    // of each plane: round its outline counter-clockwise, then round each hole clockwise
	rings     [][]int     // of each plane: the entry of edges at which the outline and each hole begins
	overlaps  []PlaneOverlap
	limits    Limits
	doubts    []Doubt
	misstated []Misstatement
	plan      float64

	facesOnce sync.Once
	faces     *faces // see joined
}

// Item is a thing on the roof: a module, a vent, a skylight, a chimney.
type Item struct {
	Name  string
	Plane int   // index of its plane
	Shape Shape // on the surface of its plane
}

// New classes the edges of a roof. The error joins every *PlaneError of every plane; names must be given and differ.
func New(planes []Plane, limits Limits) (*Roof, error) {
	var errs []error
	if len(planes) == 0 {
		errs = append(errs, errors.New("a roof needs at least one plane"))
	}
	names := map[string]bool{}
	for i, p := range planes {
		if p.Name == "" {
			errs = append(errs, &PlaneError{fmt.Sprintf("#%d", i+1), -1, "has no name"})
		} else if names[p.Name] {
			errs = append(errs, &PlaneError{p.Name, -1, "another plane has this name"})
		}
		names[p.Name] = true
		if err := p.Check(); err != nil {
			errs = append(errs, err)
		}
	}
	if len(errs) > 0 {
		return nil, errors.Join(errs...)
	}
	r := &Roof{planes: planes, limits: limits}
	for _, p := range planes {
		f := p.frame()
		r.frames = append(r.frames, f)
		rings := surfaceRings(p, f)
		r.outlines, r.holes = append(r.outlines, rings[0]), append(r.holes, rings[1:])
	}
	if err := r.classEdges(); err != nil {
		return nil, err
	}
	r.findNearMisses()
	if err := r.measurePlan(); err != nil {
		return nil, err
	}
	return r, nil
}

// surfaceRings are the outline and the holes of a plane on its surface, the plane on the left.
func surfaceRings(p Plane, f Frame) [][]Point {
	rings := make([][]Point, 1+len(p.Holes))
	for _, s := range sidesOf([]Plane{p}) {
		rings[s.ring] = append(rings[s.ring], f.ToSurface(s.a))
	}
	return rings
}

// surface lists the outline and the holes of a plane on its surface.
func (r *Roof) surface(plane int) [][]Point {
	return append([][]Point{r.outlines[plane]}, r.holes[plane]...)
}

// next is the entry of the edges of a plane that follows another round the same ring.
func (r *Roof) next(plane, entry int) int {
	rings := r.rings[plane]
	for k, first := range rings {
		last := len(r.edges[plane])
		if k+1 < len(rings) {
			last = rings[k+1]
		}
		if entry+1 == last && entry >= first {
			return first
		}
	}
	return entry + 1
}

// polygon is the area inside a ring and outside the others.
func polygon(rings ...[]Point) geom.Polygon {
	lines := make([]geom.LineString, len(rings))
	for k, ring := range rings {
		coordinates := make([]float64, 0, 2*len(ring)+2)
		for _, p := range ring {
			coordinates = append(coordinates, p.X, p.Y)
		}
		coordinates = append(coordinates, ring[0].X, ring[0].Y)
		lines[k] = geom.NewLineString(geom.NewSequence(coordinates, geom.DimXY))
	}
	return geom.NewPolygon(lines)
}

// planeDistance is the distance from a point to the area inside the first ring and outside the others, 0 inside.
func planeDistance(rings [][]Point, p Point) float64 {
	inside := false
	best := math.Inf(1)
	for _, ring := range rings {
		for i, a := range ring {
			b := ring[(i+1)%len(ring)]
			if (a.Y > p.Y) != (b.Y > p.Y) && p.X < a.X+(p.Y-a.Y)/(b.Y-a.Y)*(b.X-a.X) {
				inside = !inside
			}
			best = min(best, p.DistanceTo(nearestOnSegment(p, a, b)))
		}
	}
	if inside {
		return 0
	}
	return best
}

// Len is the number of planes.
func (r *Roof) Len() int { return len(r.planes) }

// Plane returns a plane as given.
func (r *Roof) Plane(i int) Plane { return r.planes[i] }

// Frame returns the frame that carries points between plan view and the surface of a plane.
func (r *Roof) Frame(i int) Frame { return r.frames[i] }

// Outline returns the corners of a plane on its surface, counter-clockwise as seen from above.
func (r *Roof) Outline(i int) []Point { return append([]Point(nil), r.outlines[i]...) }

// HoleOutlines returns the corners of the holes of a plane on its surface, clockwise as seen from above.
func (r *Roof) HoleOutlines(i int) [][]Point {
	var all [][]Point
	for _, hole := range r.holes[i] {
		all = append(all, append([]Point(nil), hole...))
	}
	return all
}

// Edges returns the classed edges of a plane: round its outline counter-clockwise as seen from above, then round each hole clockwise.
func (r *Roof) Edges(i int) []Edge { return append([]Edge(nil), r.edges[i]...) }

// Neighbours lists the planes that meet a plane along edges of the given kinds, of any kind that a crew can cross when none is given, in
// order of index.
func (r *Roof) Neighbours(i int, kinds ...EdgeKind) []int {
	var all []int
	for _, e := range r.edges[i] {
		if e.Neighbour >= 0 && (len(kinds) == 0 && e.Kind.joins() || contains(kinds, e.Kind)) {
			all = append(all, e.Neighbour)
		}
	}
	return sorted(all)
}

// PlanArea is the area of a plane in plan view without its holes, m2.
func (r *Roof) PlanArea(i int) float64 { return netArea(r.planes[i].rings()) }

// SurfaceArea is the area of a plane on its surface without its holes, m2.
func (r *Roof) SurfaceArea(i int) float64 { return netArea(r.surface(i)) }

// netArea is the area inside the first ring and outside the others.
func netArea(rings [][]Point) float64 {
	area := math.Abs(signedArea(rings[0]))
	for _, hole := range rings[1:] {
		area -= math.Abs(signedArea(hole))
	}
	return area
}

// TotalPlanArea is the area of the whole roof in plan view, m2; what two planes cover counts once, and open ground is no roof.
func (r *Roof) TotalPlanArea() float64 { return r.plan }

// TotalSurfaceArea is the sum of the areas of all planes on their surface, m2.
func (r *Roof) TotalSurfaceArea() float64 {
	var sum float64
	for i := range r.planes {
		sum += r.SurfaceArea(i)
	}
	return sum
}

// Coverage is the share of a roof that is under modules, as seen in plan view.
type Coverage struct {
	Modules float64   // area of the modules in plan view, m2
	Roof    float64   // area of the roof in plan view, m2
	Ratio   float64   // the first over the second
	Planes  []float64 // the same ratio for each plane by itself
}

// Coverage computes the share of the roof under modules. Gaps between modules do not count as covered. An item with an empty shape or on
// no plane of the roof is an error.
func (r *Roof) Coverage(modules []Item) (Coverage, error) {
	if err := r.checkItems(modules); err != nil {
		return Coverage{}, err
	}
	c := Coverage{Roof: r.plan, Planes: make([]float64, len(r.planes))}
	for _, m := range modules {
		area := m.Shape.Area() * r.frames[m.Plane].cos
		c.Modules += area
		c.Planes[m.Plane] += area
	}
	for i := range c.Planes {
		c.Planes[i] /= r.PlanArea(i)
	}
	c.Ratio = c.Modules / c.Roof
	return c, nil
}

// checkItems reports every item that has an empty shape or is on no plane.
func (r *Roof) checkItems(items []Item) error {
	var errs []error
	for i, it := range items {
		switch {
		case it.Plane < 0 || it.Plane >= len(r.planes):
			errs = append(errs, fmt.Errorf("item %d %q: there is no plane %d", i, it.Name, it.Plane))
		case it.Shape.Empty():
			errs = append(errs, fmt.Errorf("item %d %q: its size or place is not a positive, finite number", i, it.Name))
		}
	}
	return errors.Join(errs...)
}
