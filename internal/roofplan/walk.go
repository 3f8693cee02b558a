package roofplan

import (
	"errors"
	"fmt"
	"math"
)

// Walk is the part of a roof over which a crew can come to a place: planes laid flat beside each other, the edges from which the crew
// comes, and everything that it goes around. It is not changed after Roof.Walk and may be read by many goroutines.
type Walk struct {
	flat   *Flat
	layout layout
	rims   []rim   // every edge of the planes that is no joint between them
	open   []rim   // those from which the crew comes
	bends  []Point // corners between open edges round which the shortest line between two things can bend
	most   float64

	shapes []Shape // the edges that may not be passed, then the items
	walls  []rim
	items  []int // number of the item behind each shape after the walls
	planes []int // plane of each shape
	given  []Item
	index  *tree
	convex map[int]bool // planes in which every straight line between two of their points stays
	whole  bool         // every straight line between two points of the planes stays on them
	bonds  []bond       // shortest first
}

// Entry says from which edges a crew comes.
type Entry struct {
	Kinds  []EdgeKind
	Ladder bool // only where no roof lies beyond the edge, so that a ladder stands on the ground
}

// Walk lays flat the planes that hang together with a plane over joints of the given kinds, so far as that can be done, and finds what
// stands on them. A crew comes neither from an edge with a higher roof beyond, nor from that of a hole. Every edge from which it does not
// come may not be passed, and neither may a joint that could not be laid flat: a way can come out too narrow by that, never too wide. Widths
// are measured up to most, metres.
//
// Errors: a plane that does not exist, items out of their domain, a width that is not positive.
func (r *Roof) Walk(plane int, joints []EdgeKind, from Entry, items []Item, most float64) (*Walk, error) {
	if plane < 0 || plane >= len(r.planes) {
		return nil, fmt.Errorf("there is no plane %d", plane)
	}
	if !(most > 0) || math.IsInf(most, 0) {
		return nil, errors.New("the width up to which ways are measured must be positive")
	}
	if err := r.checkItems(items); err != nil {
		return nil, err
	}
	flat, err := r.unfoldAround(plane, joints)
	if err != nil {
		return nil, err
	}
	w := &Walk{flat: flat, most: most, given: items, convex: map[int]bool{}}
	place := make(map[int]motion, len(flat.planes))
	for _, p := range flat.planes {
		place[p] = motion{cos: 1}
	}
	w.layout = flat.newLayout(flat.planes, place, false)
	w.findRims(from)
	for i, it := range items {
		if m, ok := flat.place[it.Plane]; ok {
			w.shapes = append(w.shapes, it.Shape.carried(m))
			w.items = append(w.items, i)
			w.planes = append(w.planes, it.Plane)
		}
	}
	w.index = newTree(boxesOf(w.shapes))
	w.findBonds()
	return w, nil
}

// unfoldAround lays flat every plane that hangs together with one over joints of the given kinds. Where they would lie over each other, those
// are left out that come later on the way outward.
func (r *Roof) unfoldAround(plane int, joints []EdgeKind) (*Flat, error) {
	all := []int{plane}
	if len(joints) > 0 {
		seen := map[int]bool{plane: true}
		for next := 0; next < len(all); next++ {
			for _, q := range r.Neighbours(all[next], joints...) {
				if !seen[q] {
					seen[q] = true
					all = append(all, q)
				}
			}
		}
	}
	if flat, err := r.Unfold(all, joints...); err == nil {
		return flat, nil
	}
	flat, err := r.Unfold(all[:1])
	if err != nil {
		return nil, err
	}
	taken := all[:1:1]
	for _, q := range all[1:] {
		if more, err := r.Unfold(append(taken, q), joints...); err == nil {
			flat, taken = more, append(taken, q)
		}
	}
	return flat, nil
}

// findRims parts the edges of the planes into those from which a crew comes and those that may not be passed.
func (w *Walk) findRims(from Entry) {
	f := w.flat
	for _, p := range f.planes {
		for k, e := range f.roof.edges[p] {
			if f.hinges[hinge{p, k}] {
				continue
			}
			m := rim{edge: e, from: f.place[p].apply(e.From), to: f.place[p].apply(e.To)}
			w.rims = append(w.rims, m)
			if f.roof.comesFrom(e, from) {
				w.open = append(w.open, m)
				continue
			}
			w.walls = append(w.walls, m)
			w.shapes = append(w.shapes, Segment(m.from, m.to))
			w.planes = append(w.planes, p)
		}
		w.convex[p] = len(f.roof.holes[p]) == 0 && convexRing(f.roof.outlines[p])
	}
	w.whole = len(f.planes) == 1 && w.convex[f.planes[0]]
	w.bends = w.openCorners()
}

// comesFrom tells whether a crew comes from an edge.
func (r *Roof) comesFrom(e Edge, from Entry) bool {
	switch {
	case !contains(from.Kinds, e.Kind) || e.Index >= len(r.planes[e.Plane].Outline):
		return false
	case e.Beyond < 0:
		return true
	}
	return !from.Ladder && e.Rise != nil && *e.Rise < 0
}

// bulges tells whether the planes lie on one side of every edge of theirs, so that a line that leaves them does not come back.
func (w *Walk) bulges() bool {
	for _, r := range w.rims {
		u := r.to.sub(r.from).unit()
		for _, s := range w.rims {
			if u.cross(s.from.sub(r.from)) < -Tolerance {
				return false
			}
		}
	}
	return true
}

// openCorners lists the corners between two open edges at which the planes stand back by more than half a turn.
func (w *Walk) openCorners() []Point {
	var all []Point
	if w.whole {
		return nil
	}
	for i, a := range w.open {
		for k, b := range w.open {
			turns := a.to.sub(a.from).unit().cross(b.to.sub(b.from).unit())
			if i != k && turns < -1e-9 && a.to.DistanceTo(b.from) <= seaming {
				all = append(all, a.to)
			}
		}
	}
	return all
}

// sees tells whether the straight line between two points stays on the planes.
func (w *Walk) sees(p, q Point) bool { return w.layout.sees(p, q, 0, 0) }

// Flat is the set of planes as they were laid flat.
func (w *Walk) Flat() *Flat { return w.flat }

// own tells whether a shape is part of a target itself.
func (w *Walk) own(shape int, target Item) bool {
	if shape < len(w.walls) {
		return false
	}
	it := w.given[w.items[shape-len(w.walls)]]
	return it.Plane == target.Plane && it.Name == target.Name
}

// place names a point on a shape.
func (w *Walk) place(shape int, at Point) Place {
	if shape < len(w.walls) {
		e := w.walls[shape].edge
		return Place{Item: -1, Edge: e, Name: w.flat.roof.edgeName(e), Point: at}
	}
	i := w.items[shape-len(w.walls)]
	return Place{Item: i, Name: w.given[i].Name, Point: at}
}

// bond is the shortest line over the planes between two shapes.
type bond struct {
	a, b int
	gap  float64
	line []Point // from a to b
}

// Nearest finds the item nearest to a target over the planes, of those that count; false where there is none. A line that leaves the planes is
// no distance.
func (w *Walk) Nearest(target Item, counts func(item int) bool) (Near, bool) {
	best := Near{Distance: math.Inf(1)}
	m, ok := w.flat.place[target.Plane]
	if !ok || target.Shape.Empty() {
		return best, false
	}
	shape := target.Shape.carried(m)
	for k, i := range w.items {
		j := len(w.walls) + k
		if w.own(j, target) || !counts(i) || w.shapes[j].box().distance(shape.box()) >= best.Distance {
			continue
		}
		d, p, q := separation(&w.shapes[j], &shape)
		if d < best.Distance && (d == 0 || w.whole || w.sees(p, q)) {
			best = Near{Item: i, Distance: d, OnItem: p, OnOther: q}
		}
	}
	return best, !math.IsInf(best.Distance, 1)
}

// Below lists the items that lie straight down the slope of a target's plane from it, as far as the planes hang together, in their order.
func (w *Walk) Below(target Item) []int {
	f := w.flat
	m, ok := f.place[target.Plane]
	if !ok || target.Shape.Empty() {
		return nil
	}
	back := m.inverse()
	foot := math.Inf(1)
	for _, p := range f.planes {
		for _, q := range f.Outline(p) {
			foot = min(foot, back.apply(q).Y)
		}
	}
	b := target.Shape.box()
	zone := RectAt(Point{b.minX, foot}, b.maxX-b.minX, b.minY-foot).Shape()
	var all []int
	for k, i := range w.items {
		if !w.own(len(w.walls)+k, target) && Overlap(w.shapes[len(w.walls)+k].carried(back), zone, Tolerance/10) {
			all = append(all, i)
		}
	}
	return all
}
