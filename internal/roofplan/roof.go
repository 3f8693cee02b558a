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
	planes   []Plane
	frames   []Frame
	outlines [][]Point   // surface, counter-clockwise
	holes    [][][]Point // surface, clockwise
	edges    [][]Edge    // of each plane: round its outline counter-clockwise, then round each hole clockwise
	rings    [][]int     // of each plane: the entry of edges at which the outline and each hole begins
	overlaps []PlaneOverlap
	limits   Limits
	doubts   []Doubt
	plan     float64

	facesOnce sync.Once
	faces     *faces // see joined
}

// PlaneOverlap is a fault of the drawing: two planes that cover the same ground in plan view. It may be meant, a roof over a roof, so it is
// reported and not refused.
type PlaneOverlap struct {
	A, B int     // indexes of the planes
	Area float64 // common area in plan view, m2
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

func (r *Roof) classEdges() error {
	sides := sidesOf(r.planes)
	boxes := make([]box, len(sides))
	for i, s := range sides {
		boxes[i] = boxOf([]Point{s.a, s.b})
	}
	stretches := splitSides(sides, newTree(boxes))
	r.edges, r.rings = make([][]Edge, len(r.planes)), make([][]int, len(r.planes))
	place := make([]int, len(stretches)) // entry of each stretch in its plane's edges
	for i, s := range stretches {
		side, f := sides[s.index], r.frames[s.plane]
		a, b := side.at(s.from), side.at(s.to)
		e := Edge{Plane: s.plane, Index: side.index, From: f.ToSurface(a), To: f.ToSurface(b), Neighbour: -1, Beyond: -1, mate: -1}
		if s.other < 0 {
			e.Kind = aloneKind(e.From, e.To, f.cos)
		} else {
			e.Neighbour = stretches[s.other].plane
			e.Kind = sharedKind(f, r.frames[e.Neighbour], a, b, r.step(a, s.plane, e.Neighbour), r.step(b, s.plane, e.Neighbour))
		}
		place[i] = len(r.edges[s.plane])
		if side.ring == len(r.rings[s.plane]) {
			r.rings[s.plane] = append(r.rings[s.plane], place[i])
		}
		r.edges[s.plane] = append(r.edges[s.plane], e)
	}
	for i, s := range stretches {
		if s.other >= 0 {
			r.edges[s.plane][place[i]].mate = place[s.other]
		}
	}
	return r.applyStated()
}

// step is the height of plane p over plane q at a place in plan view, 0 where the heights are not both known.
func (r *Roof) step(at Point, p, q int) float64 {
	zp, zq := r.planes[p].Elevation, r.planes[q].Elevation
	if zp == nil || zq == nil {
		return 0
	}
	return *zp + r.frames[p].Rise(at) - *zq - r.frames[q].Rise(at)
}

func (r *Roof) stated(e Edge) EdgeKind {
	if kinds := r.planes[e.Plane].Kinds; len(kinds) > 0 {
		return kinds[e.Index]
	}
	return Unstated
}

// applyStated puts the kinds stated by the job in place of those found. A kind stated for one side of a shared edge holds for both.
func (r *Roof) applyStated() error {
	var errs []error
	for i := range r.edges {
		for k := range r.edges[i] {
			e := &r.edges[i][k]
			own := r.stated(*e)
			if e.mate >= 0 {
				other := r.stated(r.edges[e.Neighbour][e.mate])
				if own != Unstated && other != Unstated && own != other && i < e.Neighbour {
					errs = append(errs, &PlaneError{r.planes[i].Name, e.Index,
						fmt.Sprintf("stated as %s here and as %s by plane %q", own, other, r.planes[e.Neighbour].Name)})
				}
				if own == Unstated {
					own = other
				}
			} else if own == Hip || own == Valley {
				errs = append(errs, &PlaneError{r.planes[i].Name, e.Index, fmt.Sprintf("stated as %s but no plane lies along it", own)})
			}
			if own != Unstated {
				e.Kind = own
			}
		}
	}
	return errors.Join(errs...)
}

// measurePlan finds planes that overlap and the area of the roof in plan view.
func (r *Roof) measurePlan() error {
	polygons := make([]geom.Geometry, len(r.planes))
	boxes := make([]box, len(r.planes))
	for i, p := range r.planes {
		polygons[i] = polygon(p.rings()...).AsGeometry()
		boxes[i] = boxOf(p.Outline)
		r.plan += r.PlanArea(i)
	}
	index := newTree(boxes)
	for i := range r.planes {
		var near []int
		index.within(boxes[i], func(j int) {
			if j > i {
				near = append(near, j)
			}
		})
		for _, j := range sorted(near) {
			area, err := commonArea(polygons[i], polygons[j])
			if err != nil {
				return fmt.Errorf("planes %q and %q: %w", r.planes[i].Name, r.planes[j].Name, err)
			}
			if area > r.sliver(i, j) {
				r.overlaps = append(r.overlaps, PlaneOverlap{i, j, area})
			}
		}
	}
	if len(r.overlaps) == 0 {
		return nil
	}
	union, err := geom.UnionMany(polygons)
	if err != nil {
		return fmt.Errorf("area of the roof in plan view: %w", err)
	}
	r.plan = union.Area()
	return nil
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

func commonArea(a, b geom.Geometry) (float64, error) {
	common, err := geom.Intersection(a, b)
	if err != nil {
		return 0, err
	}
	return common.Area(), nil
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

// Overlaps lists the planes that cover the same ground.
func (r *Roof) Overlaps() []PlaneOverlap { return append([]PlaneOverlap(nil), r.overlaps...) }

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

// TotalPlanArea is the area of the whole roof in plan view, m2; ground covered by two planes counts once.
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
