package roofplan

import (
	"fmt"
	"math"
	"slices"
)

// role is what a stretch of the border means to a crew on its way.
type role uint8

const (
	flank  role = iota // may not be passed
	start              // where the way may begin
	finish             // where it may end
)

// arc is a stretch of the border of one role, counter-clockwise round the planes.
type arc struct {
	role role
	rims []int // of the border
}

// border is the rim of a flat set of planes as a crew sees it.
type border struct {
	flat  *Flat
	rims  []rim
	roles []role // of each rim
	arcs  []arc
	walls []int   // the rims that are flanks: they are the first shapes among the obstacles
	cuts  int     // number of corners cut back
	plain bool    // starts at the bottom and ends at the top of a single plane: no straight line between shapes can leave it and miss the flanks
	bends []Point // open corners round which a link may bend
}

// newBorder gives every stretch of the border its role. The level edges at the very bottom of their plane are starts, those at the very top are
// ends, and every other edge is a flank. Stated kinds come first: an eave is a start, a ridge or high eave an end, a rake a flank, and so is a
// wall at the bottom.
//
// A plane with no level edge at the top, as the triangle between two hips, ends at its top corner: the flanks that meet there are cut back
// from it until the edges are a width apart, and what is cut off is an end. In the same way the first plane begins at its bottom
// corner when nothing else is a start.
func newBorder(f *Flat, width float64) (*border, error) {
	b := &border{flat: f, rims: f.rims(), plain: len(f.planes) == 1}
	for _, r := range b.rims {
		role, stated := f.roof.roleOf(r.edge)
		b.roles = append(b.roles, role)
		b.plain = b.plain && !stated
	}
	for _, p := range f.planes {
		b.cutCorner(p, finish, width)
	}
	if !slices.Contains(b.roles, start) {
		b.cutCorner(f.planes[0], start, width)
	}
	name := f.roof.planes[f.planes[0]].Name
	if !slices.Contains(b.roles, start) {
		return nil, fmt.Errorf("no way can begin on plane %q: it has no open lower edge and no free lowest corner", name)
	}
	if !slices.Contains(b.roles, finish) {
		return nil, fmt.Errorf("no way can end on plane %q: it has no open upper edge and no free highest corner", name)
	}
	b.formArcs()
	for k, role := range b.roles {
		if role == flank {
			b.walls = append(b.walls, k)
		}
	}
	b.findBends()
	return b, nil
}

// naturalRole is the role of an edge by geometry alone.
func (r *Roof) naturalRole(e Edge) role {
	cos := r.frames[e.Plane].cos
	b := boxOf(r.outlines[e.Plane])
	slack := levelSlack(e.Length())
	switch {
	case math.Abs(e.To.Y-e.From.Y)*cos > slack:
	case e.To.X > e.From.X && (max(e.From.Y, e.To.Y)-b.minY)*cos <= slack:
		return start
	case e.To.X < e.From.X && (b.maxY-min(e.From.Y, e.To.Y))*cos <= slack:
		return finish
	}
	return flank
}

// roleOf gives an edge its role, and tells whether the job's stated kind rather than geometry decided.
func (r *Roof) roleOf(e Edge) (decided role, stated bool) {
	natural := r.naturalRole(e)
	decided = natural
	if r.stated(e) != Unstated {
		switch {
		case e.Kind == Eave:
			decided = start
		case e.Kind == Ridge || e.Kind == HighEave:
			decided = finish
		case e.Kind == Rake, (e.Kind == Wall || e.Kind == Step) && natural == start:
			decided = flank
		}
	}
	return decided, decided != natural
}

// cutCorner makes an end or a start out of the top or bottom corner of a plane that has no level edge there.
func (b *border) cutCorner(plane int, as role, width float64) {
	up := 1.0
	if as == start {
		up = -1
	}
	edges := b.flat.roof.edges[plane]
	at, high := 0, math.Inf(-1)
	for k, e := range edges {
		if b.flat.roof.naturalRole(e) == as {
			return
		}
		if up*e.To.Y > high {
			at, high = k, up*e.To.Y
		}
	}
	in, out := edges[at], edges[(at+1)%len(edges)]
	corner := in.To
	// The edges as they remain when both are cut at a depth below the corner; a little always remains.
	cut := func(far Point, depth float64) Point {
		return corner.toward(far, min(depth/(high-up*far.Y), 1-1e-6))
	}
	deepest := high - min(up*in.From.Y, up*out.To.Y)
	lo, hi := 0.0, deepest
	for range 60 {
		depth := (lo + hi) / 2
		s, t := Segment(cut(in.From, depth), in.From), Segment(cut(out.To, depth), out.To)
		if d, _, _ := separation(&s, &t); d >= width {
			hi = depth
		} else {
			lo = depth
		}
	}
	m := b.flat.place[plane]
	b.cuts++
	for i := 0; i < len(b.rims); i++ {
		r := b.rims[i]
		if b.roles[i] != flank || r.edge.Plane != plane {
			continue
		}
		switch r.edge {
		case in:
			p := m.apply(cut(in.From, hi))
			b.split(i, rim{r.edge, r.from, p, r.fromCut, b.cuts}, flank, rim{edge: r.edge, from: p, to: r.to}, as)
			i++
		case out:
			q := m.apply(cut(out.To, hi))
			b.split(i, rim{edge: r.edge, from: r.from, to: q}, as, rim{r.edge, q, r.to, b.cuts, r.toCut}, flank)
			i++
		}
	}
	b.plain = false
}

// split puts two rims in the place of one.
func (b *border) split(i int, first rim, firstRole role, second rim, secondRole role) {
	b.rims = slices.Replace(b.rims, i, i+1, first, second)
	b.roles = slices.Replace(b.roles, i, i+1, firstRole, secondRole)
}

// formArcs gathers neighbouring rims of one role. There are two roles at least, so that an arc begins somewhere.
func (b *border) formArcs() {
	n := len(b.rims)
	turn := 0
	for b.roles[turn] == b.roles[(turn+n-1)%n] {
		turn++
	}
	for i := range n {
		k := (turn + i) % n
		if i == 0 || b.roles[k] != b.roles[(k+n-1)%n] {
			b.arcs = append(b.arcs, arc{role: b.roles[k]})
		}
		last := &b.arcs[len(b.arcs)-1]
		last.rims = append(last.rims, k)
	}
}

// findBends lists the corners between two starts or two ends at which the planes stand back by more than half a turn, as at the foot of
// a valley.
func (b *border) findBends() {
	if b.plain {
		return
	}
	n := len(b.rims)
	for i, r := range b.rims {
		next := b.rims[(i+1)%n]
		turns := r.to.sub(r.from).unit().cross(next.to.sub(next.from).unit())
		if b.roles[i] != flank && b.roles[i] == b.roles[(i+1)%n] && turns < -1e-9 {
			b.bends = append(b.bends, r.to)
		}
	}
}

// seaming is how far apart two edges may lie that join when flat: drawn edges agree within Tolerance only.
const seaming = 3 * Tolerance

// holds tells whether a point lies on the planes, within the accuracy of seams.
func (b *border) holds(p Point) bool {
	for _, plane := range b.flat.planes {
		if outlineDistance(b.flat.roof.outlines[plane], b.flat.place[plane].inverse().apply(p)) <= seaming {
			return true
		}
	}
	return false
}

// sees tells whether the straight line between two points stays on the planes.
func (b *border) sees(p, q Point) bool {
	length := p.DistanceTo(q)
	cuts := []float64{0, 1}
	for _, r := range b.rims {
		if t, _, ok := crossing(p, q, r.from, r.to); ok {
			cuts = append(cuts, t)
		}
	}
	if len(cuts) == 2 {
		return b.holds(p.toward(q, 0.5))
	}
	slices.Sort(cuts)
	for i := 1; i < len(cuts); i++ {
		if (cuts[i]-cuts[i-1])*length > Tolerance && !b.holds(p.toward(q, (cuts[i]+cuts[i-1])/2)) {
			return false
		}
	}
	return true
}

// gap measures between shapes over the planes: straight where the straight line stays on them, else round open corners. A line that leaves
// the planes over a flank is no link, since both shapes are nearer to that flank than to each other.
func (b *border) gap(shapes []Shape) gapFunc {
	way := b.bendWays()
	return func(i, j int, bound float64) link {
		d, p, q := separation(&shapes[i], &shapes[j])
		l := link{i, j, d, p, q}
		switch {
		case b.parted(i, j):
			l.gap = math.Inf(1)
		case d >= bound || d == 0 || b.plain || b.sees(p, q):
		default:
			l.gap = math.Inf(1)
			for c, from := range b.bends {
				dc, pc := b.reach(&shapes[i], from)
				if dc >= bound {
					continue
				}
				for e, to := range b.bends {
					de, pe := b.reach(&shapes[j], to)
					if g := dc + way[c][e] + de; g < l.gap {
						l = link{i, j, g, pc, pe}
					}
				}
			}
		}
		return l
	}
}

// parted tells whether two shapes are the flanks beside one cut corner, whose nearness is that of the corner alone.
func (b *border) parted(i, j int) bool {
	if i >= len(b.walls) || j >= len(b.walls) {
		return false
	}
	r, s := b.rims[b.walls[i]], b.rims[b.walls[j]]
	return r.toCut > 0 && r.toCut == s.fromCut || s.toCut > 0 && s.toCut == r.fromCut
}

// reach is the distance from a shape to a point in sight, and where it begins on the shape.
func (b *border) reach(s *Shape, to Point) (float64, Point) {
	t := Disc(to, 0)
	d, p, _ := separation(s, &t)
	if d > 0 && !b.sees(p, to) {
		return math.Inf(1), p
	}
	return d, p
}

// bendWays holds the shortest ways over the planes between open corners.
func (b *border) bendWays() [][]float64 {
	n := len(b.bends)
	way := make([][]float64, n)
	for i := range way {
		way[i] = make([]float64, n)
		for j := range way[i] {
			if i == j {
				continue
			}
			way[i][j] = math.Inf(1)
			if b.sees(b.bends[i], b.bends[j]) {
				way[i][j] = b.bends[i].DistanceTo(b.bends[j])
			}
		}
	}
	for k := range way {
		for i := range way {
			for j := range way {
				way[i][j] = min(way[i][j], way[i][k]+way[k][j])
			}
		}
	}
	return way
}
