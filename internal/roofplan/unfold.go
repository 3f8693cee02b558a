package roofplan

import (
	"errors"
	"fmt"
)

// Flat is a set of planes laid flat beside each other by turning each about the edge that joins it to the rest, as a paper model
// is opened. Its frame is the surface frame of the first plane. Distances that cross only the joining edges are true.
type Flat struct {
	roof   *Roof
	planes []int
	place  map[int]motion
	hinges map[hinge]bool
}

// hinge is a joining edge: an entry of the edges of a plane.
type hinge struct{ plane, entry int }

// Unfold lays planes flat, starting with the first. Planes are joined across edges of the given kinds, hips and valleys and breaks when
// none is given; where they would close a ring, the last joint stays open.
//
// Errors: a plane that does not exist or occurs twice, planes that do not hang together, a shared edge that has not the same length on both
// surfaces, planes that would lie over each other.
func (r *Roof) Unfold(planes []int, kinds ...EdgeKind) (*Flat, error) {
	if len(planes) == 0 {
		return nil, errors.New("no plane to lay flat")
	}
	if len(kinds) == 0 {
		kinds = []EdgeKind{Hip, Valley, Break}
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
			m := r.edges[e.Neighbour][e.mate]
			if d := e.Length() - m.Length(); d > levelSlack(e.Length()) || -d > levelSlack(e.Length()) {
				text := fmt.Sprintf("is %.3f m long on this plane and %.3f m on plane %q: slopes and outlines do not agree",
					e.Length(), m.Length(), r.planes[e.Neighbour].Name)
				return nil, &PlaneError{r.planes[p].Name, e.Index, text}
			}
			f.place[e.Neighbour] = f.place[p].after(onto(m.To, m.From, e.From, e.To))
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
	return f, f.checkApart()
}

// checkApart refuses planes that lie over each other when flat.
func (f *Flat) checkApart() error {
	for i, p := range f.planes {
		for _, q := range f.planes[:i] {
			area, err := commonArea(polygon(f.Outline(p)).AsGeometry(), polygon(f.Outline(q)).AsGeometry())
			if err != nil {
				return fmt.Errorf("planes %q and %q laid flat: %w", f.roof.planes[q].Name, f.roof.planes[p].Name, err)
			}
			if area > 3*f.roof.sliver(p, q) {
				return fmt.Errorf("planes %q and %q lie over each other when laid flat: take fewer planes together", f.roof.planes[q].Name, f.roof.planes[p].Name)
			}
		}
	}
	return nil
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
	var out []Point
	for _, p := range f.roof.outlines[plane] {
		out = append(out, m.apply(p))
	}
	return out
}

// Surface carries a point of the flat frame back to the plane it lies on and that plane's surface. Within Tolerance of a plane
// counts as on it; ok is false farther out.
func (f *Flat) Surface(p Point) (plane int, on Point, ok bool) {
	for _, i := range f.planes {
		q := f.place[i].inverse().apply(p)
		if outlineDistance(f.roof.outlines[i], q) <= Tolerance {
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
	edge           Edge
	from, to       Point
	fromCut, toCut int // number of the corner cut back at that end, 0 for none
}

// rims walks round the border of the set counter-clockwise, over the joining edges from plane to plane.
func (f *Flat) rims() []rim {
	total := 0
	var at hinge
	found := false
	for _, p := range f.planes {
		for k := range f.roof.edges[p] {
			if !f.hinges[hinge{p, k}] {
				total++
				if !found {
					at, found = hinge{p, k}, true
				}
			}
		}
	}
	all := make([]rim, 0, total)
	for len(all) < total {
		edges := f.roof.edges[at.plane]
		e, m := edges[at.entry], f.place[at.plane]
		all = append(all, rim{edge: e, from: m.apply(e.From), to: m.apply(e.To)})
		at.entry = (at.entry + 1) % len(edges)
		for f.hinges[at] {
			e := f.roof.edges[at.plane][at.entry]
			at = hinge{e.Neighbour, (e.mate + 1) % len(f.roof.edges[e.Neighbour])}
		}
	}
	return all
}

// outlineDistance is the distance from a point to the area inside an outline, 0 inside.
func outlineDistance(outline []Point, p Point) float64 {
	inside := false
	best := -1.0
	for i, a := range outline {
		b := outline[(i+1)%len(outline)]
		if (a.Y > p.Y) != (b.Y > p.Y) && p.X < a.X+(p.Y-a.Y)/(b.Y-a.Y)*(b.X-a.X) {
			inside = !inside
		}
		if d := p.DistanceTo(nearestOnSegment(p, a, b)); best < 0 || d < best {
			best = d
		}
	}
	if inside {
		return 0
	}
	return best
}
