package roofplan

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// Flat is a set of planes laid flat beside each other by turning each about the edge that joins it to the rest, as a paper model
// is opened. Its frame is the surface frame of the first plane. Distances that cross only the joining edges are true.
type Flat struct {
	roof   *Roof
	planes []int
	place  map[int]motion
	hinges map[hinge]bool // joining edges that lie together in the flat frame
	loose  []hinge        // those that do not, because the surface is not flat round an end of theirs; one of the two entries of each
}

// hinge is a joining edge: an entry of the edges of a plane.
type hinge struct{ plane, entry int }

// Unfold lays planes flat, starting with the first. Planes are joined across edges of the given kinds, hips and valleys and breaks when
// none is given; where they would close a ring that is not flat, the last joint stays open.
//
// Errors: a plane that does not exist or occurs twice, planes that do not hang together, a shared edge that has not the same length on both
// surfaces, planes that would lie over each other.
func (r *Roof) Unfold(planes []int, kinds ...EdgeKind) (*Flat, error) {
	if len(kinds) == 0 {
		kinds = walked
	}
	f, err := r.lay(planes, kinds)
	if err != nil {
		return nil, err
	}
	return f, f.checkApart()
}

// walked are the kinds of joints over which a way goes.
var walked = []EdgeKind{Hip, Valley, Break}

// lay lays planes flat as Unfold does, without regard to whether they come to lie over each other.
func (r *Roof) lay(planes []int, kinds []EdgeKind) (*Flat, error) {
	if len(planes) == 0 {
		return nil, errors.New("no plane to lay flat")
	}
	f := &Flat{roof: r, place: map[int]motion{}, hinges: map[hinge]bool{}}
	wanted := map[int]bool{}
	for _, p := range planes {
		if p < 0 || p >= len(r.planes) {
			return nil, fmt.Errorf("there is no plane %d", p)
		}
		if wanted[p] {
			return nil, fmt.Errorf("plane %q is named twice", r.planes[p].Name)
		}
		wanted[p] = true
	}
	f.planes = []int{planes[0]}
	f.place[planes[0]] = motion{cos: 1}
	for next := 0; next < len(f.planes); next++ {
		p := f.planes[next]
		for k, e := range r.edges[p] {
			if _, placed := f.place[e.Neighbour]; placed || !wanted[e.Neighbour] || e.mate < 0 || !contains(kinds, e.Kind) {
				continue
			}
			if !r.sameLength(e) {
				text := fmt.Sprintf("is %.3f m long on this plane and %.3f m on plane %q: slopes and outlines do not agree",
					e.Length(), r.edges[e.Neighbour][e.mate].Length(), r.planes[e.Neighbour].Name)
				return nil, &PlaneError{r.planes[p].Name, e.Index, text}
			}
			f.place[e.Neighbour] = f.place[p].after(r.across(e))
			f.hinges[hinge{p, k}], f.hinges[hinge{e.Neighbour, e.mate}] = true, true
			f.planes = append(f.planes, e.Neighbour)
		}
	}
	if len(f.planes) < len(planes) {
		for _, p := range planes {
			if _, placed := f.place[p]; !placed {
				return nil, fmt.Errorf("plane %q is not joined to plane %q by a hip, valley or other edge that can be laid flat",
					r.planes[p].Name, r.planes[planes[0]].Name)
			}
		}
	}
	f.close(kinds)
	return f, nil
}

// sameLength tells whether a shared edge has the same length on both surfaces.
func (r *Roof) sameLength(e Edge) bool {
	return math.Abs(e.Length()-r.edges[e.Neighbour][e.mate].Length()) <= levelSlack(e.Length())
}

// across carries the neighbour beyond a shared edge beside the edge's own plane.
func (r *Roof) across(e Edge) motion {
	m := r.edges[e.Neighbour][e.mate]
	return onto(m.To, m.From, e.From, e.To)
}

// close finds the joints that lie together in the flat frame, and those that do not.
func (f *Flat) close(kinds []EdgeKind) {
	for _, p := range f.planes {
		for k, e := range f.roof.edges[p] {
			if e.mate < 0 || !contains(kinds, e.Kind) || f.hinges[hinge{p, k}] {
				continue
			}
			other, placed := f.place[e.Neighbour]
			if !placed || !f.roof.sameLength(e) {
				continue
			}
			m := f.roof.edges[e.Neighbour][e.mate]
			from, to := f.place[p].apply(e.From), f.place[p].apply(e.To)
			switch {
			case from.DistanceTo(other.apply(m.To)) <= seaming && to.DistanceTo(other.apply(m.From)) <= seaming:
				f.hinges[hinge{p, k}], f.hinges[hinge{e.Neighbour, e.mate}] = true, true
			case p < e.Neighbour:
				f.loose = append(f.loose, hinge{p, k})
			}
		}
	}
}

// checkApart refuses planes that lie over each other when flat.
func (f *Flat) checkApart() error {
	for i, p := range f.planes {
		for _, q := range f.planes[:i] {
			over, err := f.cover(p, q, f.place[p], f.place[q])
			if err != nil {
				return err
			}
			if over {
				return fmt.Errorf("planes %q and %q lie over each other when laid flat: take fewer planes together", f.roof.planes[q].Name, f.roof.planes[p].Name)
			}
		}
	}
	return nil
}

// cover tells whether two planes lie over each other in the given places.
func (f *Flat) cover(p, q int, atP, atQ motion) (bool, error) {
	a, b := carriedOutline(f.roof.outlines[p], atP), carriedOutline(f.roof.outlines[q], atQ)
	if boxOf(a).distance(boxOf(b)) > 0 || parts(a, b) || parts(b, a) {
		return false, nil
	}
	area, err := commonArea(polygon(carriedRings(f.roof.surface(p), atP)...).AsGeometry(), polygon(carriedRings(f.roof.surface(q), atQ)...).AsGeometry())
	if err != nil {
		return false, fmt.Errorf("planes %q and %q laid flat: %w", f.roof.planes[q].Name, f.roof.planes[p].Name, err)
	}
	return area > 3*f.roof.sliver(p, q), nil
}

func carriedOutline(outline []Point, m motion) []Point {
	out := make([]Point, len(outline))
	for i, p := range outline {
		out[i] = m.apply(p)
	}
	return out
}

func carriedRings(rings [][]Point, m motion) [][]Point {
	out := make([][]Point, len(rings))
	for i, ring := range rings {
		out[i] = carriedOutline(ring, m)
	}
	return out
}

// parts tells whether the line of an edge of a has all of a on one side and all of b on the other.
func parts(a, b []Point) bool {
	for i, from := range a {
		to := a[(i+1)%len(a)]
		u := to.sub(from).unit()
		beyond := func(p Point) float64 { return -u.cross(p.sub(from)) }
		if !slices.ContainsFunc(a, func(p Point) bool { return beyond(p) > Tolerance }) &&
			!slices.ContainsFunc(b, func(p Point) bool { return beyond(p) < -Tolerance }) {
			return true
		}
	}
	return false
}

// Planes lists the planes in the order in which they were laid.
func (f *Flat) Planes() []int { return append([]int(nil), f.planes...) }

// Point carries a point on the surface of one of the planes to the flat frame. A plane that is not in the set is an error.
func (f *Flat) Point(plane int, p Point) (Point, error) {
	m, ok := f.place[plane]
	if !ok {
		return Point{}, fmt.Errorf("plane %d is not laid flat here", plane)
	}
	return m.apply(p), nil
}

// Shape carries a shape on the surface of one of the planes to the flat frame. A plane that is not in the set is an error.
func (f *Flat) Shape(plane int, s Shape) (Shape, error) {
	m, ok := f.place[plane]
	if !ok {
		return Shape{}, fmt.Errorf("plane %d is not laid flat here", plane)
	}
	return s.carried(m), nil
}

// Outline returns the corners of a plane of the set in the flat frame, nil for any other.
func (f *Flat) Outline(plane int) []Point {
	m, ok := f.place[plane]
	if !ok {
		return nil
	}
	return carriedOutline(f.roof.outlines[plane], m)
}

// Surface carries a point of the flat frame back to the plane it lies on and that plane's surface. Within Tolerance of a plane
// counts as on it; ok is false farther out.
func (f *Flat) Surface(p Point) (plane int, on Point, ok bool) {
	for _, i := range f.planes {
		q := f.place[i].inverse().apply(p)
		if planeDistance(f.roof.surface(i), q) <= Tolerance {
			return i, q, true
		}
	}
	return 0, Point{}, false
}

// Plan carries a point of the flat frame to plan view; ok is false outside the planes.
func (f *Flat) Plan(p Point) (plan Point, ok bool) {
	i, q, ok := f.Surface(p)
	if !ok {
		return Point{}, false
	}
	return f.roof.frames[i].ToPlan(q), true
}

func (m motion) inverse() motion {
	back := motion{cos: m.cos, sin: -m.sin}
	back.shift = back.apply(m.shift).mul(-1)
	return back
}

// rim is a stretch of the border of a flat set: an edge that joins nothing, in the flat frame.
type rim struct {
	hinge    // where the edge stands in the roof
	edge     Edge
	from, to Point
	angle    float64 // of the planes at the end of the rim, from it to the next
	cut      int     // number of the cut corner that the rim runs up to, negative for one that it runs down from; 0 for none
}

// rings walks round every border of the set over the joining edges from plane to plane, with the planes on the left. The outer border, which
// has the most area in plan view, comes first.
func (f *Flat) rings() [][]rim {
	var all [][]rim
	seen := map[hinge]bool{}
	for _, p := range f.planes {
		for k := range f.roof.edges[p] {
			at := hinge{p, k}
			if f.hinges[at] || seen[at] {
				continue
			}
			var ring []rim
			for !seen[at] {
				seen[at] = true
				e, m := f.roof.edges[at.plane][at.entry], f.place[at.plane]
				next := f.roof.following(at)
				angle := f.roof.cornerAngle(at, next)
				for f.hinges[next] {
					e := f.roof.edges[next.plane][next.entry]
					mate := hinge{e.Neighbour, e.mate}
					next = f.roof.following(mate)
					angle += f.roof.cornerAngle(mate, next)
				}
				ring = append(ring, rim{hinge: at, edge: e, from: m.apply(e.From), to: m.apply(e.To), angle: angle})
				at = next
			}
			all = append(all, ring)
		}
	}
	outer := 0
	for i := range all {
		if f.roof.planAreaWithin(all[i]) > f.roof.planAreaWithin(all[outer]) {
			outer = i
		}
	}
	if len(all) > 0 {
		all[0], all[outer] = all[outer], all[0]
	}
	return all
}

// following is the next edge round the same ring of a plane.
func (r *Roof) following(at hinge) hinge { return hinge{at.plane, r.next(at.plane, at.entry)} }

// planAreaWithin is the area in plan view that a ring lies round, negative for the border of an opening.
func (r *Roof) planAreaWithin(ring []rim) float64 {
	var sum float64
	origin := r.frames[ring[0].plane].ToPlan(ring[0].edge.From)
	for _, m := range ring {
		f := r.frames[m.plane]
		sum += f.ToPlan(m.edge.From).sub(origin).cross(f.ToPlan(m.edge.To).sub(origin))
	}
	return sum / 2
}

// outlineDistance is the distance from a point to the area inside an outline, 0 inside.
func outlineDistance(outline []Point, p Point) float64 { return planeDistance([][]Point{outline}, p) }
