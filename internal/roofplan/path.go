package roofplan

import (
	"fmt"
	"math"
	"slices"
)

// Path is the answer to whether a crew can travel over planes from the lowest edge to the ridge.
type Path struct {
	Exists bool    // a way of the asked width exists
	Width  float64 // width asked for, metres
	Widest float64 // the widest way that exists, metres
	Gate   Gate    // the narrowest place of the widest way
	Chain  []Gate  // gaps of the chain through the gate, from the left side to the right as seen on the way up; empty when only the start limits the width; of a next best way the gate it does not pass may be one of them
	Short  float64 // by how much the gate is too narrow, metres; 0 when the way exists

	Centre []Point // a line from start to end, flat frame, clear on both sides; nil when there is none or it could not be drawn
	Plan   []Point // the same line in plan view
	Clear  float64 // width for which the centre line has been measured to be clear, metres
	Flat   *Flat   // the planes as they were laid flat

	Next *Path // the widest way that does not pass the same gate; nil when there is none or no gate limits the way

	Doubts []Doubt // places of the drawing that decide where the way can begin, end or go over, and may be otherwise than taken here
}

// Gate is a gap between two places, metres.
type Gate struct {
	A, B Place
	Gap  float64
}

// Place is a point on an item or on an edge of the roof.
type Place struct {
	Item  int    // index of the item as given, -1 for an edge
	Edge  Edge   // the edge; of no meaning for an item
	Name  string // the item's name, or the edge's kind and plane
	Plane int    // the plane that it belongs to
	Point Point  // flat frame
	Plan  Point  // plan view
}

// Path finds whether a crew of a width, metres, can travel from the lowest edge to the ridge over the given planes joined across hips,
// valleys and breaks. Items on other planes do not matter.
//
// The way is that of a disc, width in diameter, that must keep clear of every item and every side of the planes. Items and sides are joined
// where the gap between them is less than the width; a way exists if and only if no chain of them joins the sides left and right of the way. The
// largest gap that has to be taken into a chain to close the planes is the widest passable width, and that gap is the gate. Both are exact but
// for rounding; a gap of the very width passes. Distances are taken over the flat planes.
//
// A way begins at an eave with no plane under or over it, where a ladder reaches, and ends at the ridge of a side of the roof that has such an
// eave; a side that has no level top ends at its free top corner, from where the edges that meet there are the width apart, and this narrowing
// itself is not taken as a gate. A high eave is an end only where there is neither. Everything else is a side: rakes, walls, steps, parapets,
// joints with planes that are not among those given, and the border of an opening. A change of pitch between the given planes is none of these.
//
// Errors: a width that is not positive, items out of their domain, planes that cannot be laid flat (see Unfold), planes on which no way can
// begin or end, with the reason in words. Doubts are returned beside an error as well.
func (r *Roof) Path(planes []int, items []Item, width float64) (Path, error) {
	if !(width > 0) || math.IsInf(width, 0) {
		return Path{}, fmt.Errorf("width of a path must be positive, not %g m", width)
	}
	if err := r.checkItems(items); err != nil {
		return Path{}, err
	}
	doubts := r.doubtsOf(planes)
	flat, err := r.lay(planes, walked)
	if err != nil {
		return Path{Doubts: doubts}, err
	}
	b, err := r.borderOf(flat, width)
	if err != nil {
		return Path{Doubts: doubts}, err
	}
	f := newField(b, items)
	p := f.answer(f.widest(), width)
	if !b.surface.flatAtOnce() {
		f.drawCut(&p)
	}
	p.Doubts = doubts
	if p.Next != nil {
		p.Next.Doubts = doubts
	}
	return p, nil
}

// answer is what there is to say of a way.
func (f *field) answer(way way, width float64) Path {
	p := Path{Width: width, Widest: way.width, Flat: f.border.flat}
	if way.gate >= 0 {
		p.Gate = f.gate(f.links[way.gate])
		for _, l := range f.chain(way) {
			p.Chain = append(p.Chain, f.gate(l))
		}
	} else {
		p.Gate = f.startGate(way)
	}
	p.Exists = p.Widest >= width*(1-limitSlack)
	if !p.Exists {
		p.Short = width - p.Widest
	}
	f.draw(&p, way)
	if way.gate >= 0 && f.barred < 0 {
		other := *f
		other.barred = way.gate
		if way := other.widest(); way.width > 0 && way.gate != other.barred {
			next := other.answer(way, width)
			p.Next = &next
		}
	}
	return p
}

// draw adds the centre line of a way. A line clear for the widest way is clear for the asked width as well, and the better drawing. It can fail
// near a cut corner, and where the rolling disc, which measures straight, would reach across an open corner.
func (f *field) draw(p *Path, way way) {
	if !f.border.surface.flatAtOnce() {
		return // see drawCut
	}
	if way.gate >= 0 {
		p.Centre, p.Clear = f.centreLine(way, p.Widest)
	}
	if p.Centre == nil {
		p.Centre, p.Clear = f.centreLine(way, min(p.Widest, p.Width))
	}
	p.Plan = p.Flat.planLine(p.Centre)
}

// drawCut adds the centre lines where the planes cannot all be laid flat at once: in a flat frame in which another joint is left open, beside which
// the way has room, or from which a plane is left out, for the widest way if there is such a frame and else for the asked width.
func (f *field) drawCut(p *Path) {
	var best *Path
	planes := f.border.flat.planes
	var tries [][]int
	for k := range planes {
		tries = append(tries, slices.Concat(planes[k:], planes[:k]))
	}
	for k := range planes {
		tries = append(tries, slices.Concat(planes[k+1:], planes[:k]))
	}
	for _, try := range tries {
		q := f.answerOver(try, p.Width)
		if q == nil || q.Centre == nil || q.Clear < worstLine*min(p.Widest, p.Width) || best != nil && q.Clear <= best.Clear {
			continue
		}
		if best = q; q.Clear >= worstLine*p.Widest {
			break
		}
	}
	if best == nil {
		return
	}
	p.Centre, p.Plan, p.Clear = best.Centre, best.Plan, best.Clear
	if n, m := p.Next, best.Next; n != nil && m != nil && m.Clear >= worstLine*min(n.Widest, n.Width) && m.Gate.A.Name == n.Gate.A.Name && m.Gate.B.Name == n.Gate.B.Name {
		n.Centre, n.Plan, n.Clear = m.Centre, m.Plan, m.Clear
		n.relay(best.Flat)
	}
	p.relay(best.Flat)
}

// answerOver is the answer over planes laid flat in an order, with the joints that do not lie together left open; nil when there is none.
func (f *field) answerOver(planes []int, width float64) *Path {
	flat, err := f.border.flat.roof.lay(planes, walked)
	if err != nil || flat.checkApart() != nil {
		return nil
	}
	b, err := newBorder(flat.cut(), width)
	if err != nil {
		return nil
	}
	g := newField(b, f.given)
	p := g.answer(g.widest(), width)
	return &p
}

// complete gives the planes of another set, which were left out, a place beside those that they join.
func (f *Flat) complete(all *Flat) {
	for range all.planes {
		for _, p := range all.planes {
			at, placed := f.place[p]
			if !placed {
				continue
			}
			for k, e := range f.roof.edges[p] {
				if _, known := f.place[e.Neighbour]; !known && all.hinges[hinge{p, k}] {
					f.place[e.Neighbour] = at.after(f.roof.across(e))
				}
			}
		}
	}
}

// relay gives the gates of a path their places in another flat frame of the same planes.
func (p *Path) relay(to *Flat) {
	to.complete(p.Flat)
	move := func(g *Gate) {
		for _, at := range [2]*Place{&g.A, &g.B} {
			at.Point = to.place[at.Plane].apply(p.Flat.place[at.Plane].inverse().apply(at.Point))
		}
	}
	move(&p.Gate)
	for i := range p.Chain {
		move(&p.Chain[i])
	}
	p.Flat = to
}

// field is the border with everything in the way inside it.
type field struct {
	border *border
	shapes []Shape // the flanks, then the items
	planes []int   // of each shape
	items  []int   // number of the item behind each shape after the flanks
	given  []Item
	index  *tree
	links  []link // of the spanning tree, shortest first
	barred int    // the link that a way may not pass, as if it had no width; -1 for none
}

func newField(b *border, items []Item) *field {
	f := &field{border: b, given: items, barred: -1}
	for _, k := range b.walls {
		f.shapes = append(f.shapes, Segment(b.rims[k].from, b.rims[k].to))
		f.planes = append(f.planes, b.rims[k].plane)
	}
	for i, it := range items {
		if m, ok := b.flat.place[it.Plane]; ok {
			f.shapes = append(f.shapes, it.Shape.carried(m))
			f.planes = append(f.planes, it.Plane)
			f.items = append(f.items, i)
		}
	}
	f.index = newTree(boxesOf(f.shapes))
	f.links = spanning(f.nearness(), f.flanks(), b.gap(f.shapes, f.planes))
	return f
}

// nearness is an index in which no two shapes are farther apart than over the planes: the flat frame, or where that does not hold all
// distances, plan view turned as the first plane is.
func (f *field) nearness() *tree {
	b := f.border
	if b.surface.flatAtOnce() {
		return f.index
	}
	first := b.flat.roof.frames[b.flat.planes[0]]
	boxes := make([]box, len(f.shapes))
	for i := range f.shapes {
		s := b.planShape(&f.shapes[i], f.planes[i])
		for k := range s.n {
			p := s.points[k]
			s.points[k] = Point{p.dot(first.right), p.dot(first.up)}
		}
		boxes[i] = s.box().grown(seaming)
	}
	return newTree(boxes)
}

// flanks joins the shapes of each flank to one group.
func (f *field) flanks() groups {
	g := newGroups(len(f.shapes))
	wall := f.wallNumbers()
	for i, opening := range f.border.inner {
		if i > 0 && opening == f.border.inner[i-1] {
			g.join(wall[f.border.outer+i-1], wall[f.border.outer+i])
		}
	}
	for _, a := range f.border.arcs {
		if a.role == flank {
			for _, k := range a.rims {
				g.join(wall[a.rims[0]], wall[k])
			}
		}
	}
	return g
}

// wallNumbers gives the number among the shapes of each rim that is a flank.
func (f *field) wallNumbers() map[int]int {
	wall := make(map[int]int, len(f.border.walls))
	for i, k := range f.border.walls {
		wall[k] = i
	}
	return wall
}

// way is a start and an end with the widest passable width between them.
type way struct {
	from, to int // arcs
	width    float64
	gate     int // link that closes the planes, -1 when none does
}

// widest finds the start and end with the widest passable width between them: links are taken shortest first until a chain separates the
// two, which can only happen when a link joins two flanks.
func (f *field) widest() way {
	arcs := f.border.arcs
	wall := f.wallNumbers()
	var ways []way
	for i, a := range arcs {
		for k, c := range arcs {
			if a.role == start && c.role == finish {
				ways = append(ways, way{i, k, math.Inf(1), -1})
			}
		}
	}
	g := f.flanks()
	walled := make([]bool, len(f.shapes))
	for i := range f.border.walls {
		walled[g.find(i)] = true
	}
	group := func(a int) int { return g.find(wall[arcs[a].rims[0]]) }
	open := len(ways)
	take := func(k int) {
		l := f.links[k]
		a, b := g.find(l.a), g.find(l.b)
		g.join(a, b)
		walled[g.find(a)] = walled[a] || walled[b]
		if !walled[a] || !walled[b] {
			return
		}
		for i := range ways {
			if w := &ways[i]; w.gate < 0 && f.border.separated(w.from, w.to, group) {
				w.gate, w.width = k, l.gap
				if k == f.barred {
					w.width = 0
				}
				open--
			}
		}
	}
	if f.barred >= 0 {
		take(f.barred)
	}
	for k := range f.links {
		if open == 0 {
			break
		}
		if k != f.barred {
			take(k)
		}
	}
	best := way{width: -1}
	for _, w := range ways {
		if m := f.border.mouth(w); m < w.width*(1-limitSlack) {
			w.width, w.gate = m, -1
		}
		if w.width > best.width {
			best = w
		}
	}
	return best
}

// separated tells whether a flank on one side of the way from one arc to another belongs to the group of a flank on the other side.
func (b *border) separated(from, to int, group func(arc int) int) bool {
	right := map[int]bool{}
	n := len(b.arcs)
	for k := (from + 1) % n; k != to; k = (k + 1) % n {
		if b.arcs[k].role == flank {
			right[group(k)] = true
		}
	}
	for k := (to + 1) % n; k != from; k = (k + 1) % n {
		if b.arcs[k].role == flank && right[group(k)] {
			return true
		}
	}
	return false
}

// mouth bounds the width of a way that no chain closes: by the start where flanks stand on both sides of it, else by the extent
// of the planes.
func (b *border) mouth(w way) float64 {
	n := len(b.arcs)
	if b.arcs[(w.from+1)%n].role == flank && b.arcs[(w.from+n-1)%n].role == flank {
		var length float64
		for _, k := range b.arcs[w.from].rims {
			length += b.rims[k].from.DistanceTo(b.rims[k].to)
		}
		return length
	}
	all := emptyBox()
	for _, r := range b.rims {
		all = all.withPoint(r.from)
	}
	return math.Hypot(all.maxX-all.minX, all.maxY-all.minY)
}

func (f *field) gate(l link) Gate { return Gate{f.place(l.a, l.onA), f.place(l.b, l.onB), l.gap} }

func (f *field) place(shape int, at Point) Place {
	if walls := f.border.walls; shape < len(walls) {
		return f.border.edgePlace(walls[shape], at)
	}
	i := f.items[shape-len(f.border.walls)]
	return f.border.placeAt(Place{Item: i, Name: f.given[i].Name, Plane: f.planes[shape], Point: at})
}

func (b *border) edgePlace(k int, at Point) Place {
	e := b.rims[k].edge
	return b.placeAt(Place{Item: -1, Edge: e, Name: b.flat.roof.edgeName(e), Plane: e.Plane, Point: at})
}

// edgeName names an edge in words.
func (r *Roof) edgeName(e Edge) string {
	return fmt.Sprintf("%s of plane %q", e.Kind, r.planes[e.Plane].Name)
}

// placeAt adds where a place is in plan view.
func (b *border) placeAt(p Place) Place {
	p.Plan = b.flat.roof.frames[p.Plane].ToPlan(b.flat.place[p.Plane].inverse().apply(p.Point))
	return p
}

// startGate is the gate of a way that only its start limits: the two ends of the start.
func (f *field) startGate(w way) Gate {
	rims := f.border.arcs[w.from].rims
	first, last := rims[0], rims[len(rims)-1]
	return Gate{
		A:   f.border.edgePlace(first, f.border.rims[first].from),
		B:   f.border.edgePlace(last, f.border.rims[last].to),
		Gap: w.width,
	}
}

// chain lists the links from the flanks left of the way over its gate to the flanks right of it.
func (f *field) chain(w way) []link {
	next := make([][]int, len(f.shapes)) // links at each shape
	take := func(k int) {
		l := f.links[k]
		next[l.a] = append(next[l.a], k)
		next[l.b] = append(next[l.b], k)
	}
	if f.barred >= 0 {
		take(f.barred)
	}
	for k := range w.gate {
		if k != f.barred {
			take(k)
		}
	}
	gate := f.links[w.gate]
	back, ahead := f.toFlank(gate.a, next, w), f.toFlank(gate.b, next, w)
	if !f.leftOf(back.wall, w) {
		gate.a, gate.b, gate.onA, gate.onB = gate.b, gate.a, gate.onB, gate.onA
		back, ahead = ahead, back
	}
	var all []link
	for i := len(back.links) - 1; i >= 0; i-- {
		l := back.links[i] // runs away from the gate
		all = append(all, link{l.b, l.a, l.gap, l.onB, l.onA})
	}
	return append(append(all, gate), ahead.links...)
}

// trail is a way along links from a shape to a flank.
type trail struct {
	wall  int
	links []link
}

// toFlank follows links from a shape to the nearest flank, counted in links. Flanks of one side are joined, so that the first one met will do.
func (f *field) toFlank(from int, next [][]int, w way) trail {
	const none, alongOpening = -1, -2
	came := map[int]int{from: none} // the link over which each shape was reached, or alongOpening less the shape from which along an opening
	queue := []int{from}
	for len(queue) > 0 {
		at := queue[0]
		queue = queue[1:]
		if f.isOuter(at) {
			t := trail{wall: at}
			for came[at] != none {
				if came[at] <= alongOpening {
					at = alongOpening - came[at]
					continue
				}
				l := f.links[came[at]]
				if l.b != at {
					l = link{l.b, l.a, l.gap, l.onB, l.onA}
				}
				t.links = append([]link{l}, t.links...)
				at = l.a
			}
			return t
		}
		for _, to := range f.sameOpening(at) {
			if _, seen := came[to]; !seen {
				came[to] = alongOpening - at
				queue = append(queue, to)
			}
		}
		for _, k := range next[at] {
			to := f.links[k].a + f.links[k].b - at
			if _, seen := came[to]; !seen {
				came[to] = k
				queue = append(queue, to)
			}
		}
	}
	return trail{wall: none}
}

// isOuter tells whether a shape is a flank of the outer border.
func (f *field) isOuter(shape int) bool {
	return shape < len(f.border.walls) && f.border.walls[shape] < f.border.outer
}

// sameOpening lists the flanks round the opening to which a shape belongs, none for any other shape.
func (f *field) sameOpening(shape int) []int {
	b := f.border
	if shape >= len(b.walls) || f.isOuter(shape) {
		return nil
	}
	var all []int
	for i, k := range b.walls {
		if k >= b.outer && b.inner[k-b.outer] == b.inner[b.walls[shape]-b.outer] && i != shape {
			all = append(all, i)
		}
	}
	return all
}

// leftOf tells whether a flank stands left of a way as seen on the way up. Round the border counter-clockwise, flanks on the
// left come after the end and before the start.
func (f *field) leftOf(wall int, w way) bool {
	n := len(f.border.arcs)
	for k := (w.to + 1) % n; k != w.from; k = (k + 1) % n {
		for _, r := range f.border.arcs[k].rims {
			if wall >= 0 && r == f.border.walls[wall] {
				return true
			}
		}
	}
	return false
}
