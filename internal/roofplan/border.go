package roofplan

import (
	"errors"
	"fmt"
	"math"
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

// newBorder gives every stretch of the border its role. The level edges at the very bottom of their plane are starts, those at the very top are ends,
// and every other edge is a flank. Stated kinds come first: an eave is a start, a ridge or high eave an end, a rake or wall a flank, unless
// the wall is at the top.
//
// Where no plane has a level edge at the top, the end is the top corner of the first plane: the flanks are cut back
// from it until they are a width apart. In the same way for a bottom corner.
func newBorder(f *Flat, width float64) (*border, error) {
	b := &border{flat: f, rims: f.rims(), plain: len(f.planes) == 1}
	has := [3]bool{}
	for _, r := range b.rims {
		role, stated := f.roof.roleOf(r.edge)
		b.roles = append(b.roles, role)
		b.plain = b.plain && !stated
		has[role] = true
	}
	if !has[start] {
		if err := b.cutCorner(start, width); err != nil {
			return nil, err
		}
	}
	if !has[finish] {
		if err := b.cutCorner(finish, width); err != nil {
			return nil, err
		}
	}
	if !b.formArcs() {
		return nil, errors.New("the planes have no start or no end of a way")
	}
	for k, role := range b.roles {
		if role == flank {
			b.walls = append(b.walls, k)
		}
	}
	b.findBends()
	return b, nil
}

// roleOf gives an edge its role as a border, and tells whether the job's stated kind rather than geometry decided.
func (r *Roof) roleOf(e Edge) (role, bool) {
	cos := r.frames[e.Plane].cos
	b := boxOf(r.outlines[e.Plane])
	slack := levelSlack(e.Length())
	level := math.Abs(e.To.Y-e.From.Y)*cos <= slack
	bottom := level && e.To.X > e.From.X && (max(e.From.Y, e.To.Y)-b.minY)*cos <= slack
	top := level && e.To.X < e.From.X && (b.maxY-min(e.From.Y, e.To.Y))*cos <= slack

	natural := flank
	switch {
	case bottom:
		natural = start
	case top:
		natural = finish
	}
	decided := natural
	if r.stated(e) != Unstated {
		switch e.Kind {
		case Eave:
			decided = start
		case Ridge, HighEave:
			decided = finish
		case Rake:
			decided = flank
		case Wall, Step:
			if bottom {
				decided = flank
			}
		}
	}
	return decided, decided != natural
}

// cutCorner makes the end or start of a way out of the top or bottom corner of the first plane.
func (b *border) cutCorner(as role, width float64) error {
	base := b.flat.planes[0]
	up, word := 1.0, "top"
	if as == start {
		up, word = -1, "bottom"
	}
	at, high := -1, math.Inf(-1)
	for _, p := range b.flat.roof.outlines[base] {
		high = max(high, up*p.Y)
	}
	n := len(b.rims)
	for i, r := range b.rims {
		next := b.rims[(i+1)%n]
		if r.edge.Plane == base && next.edge.Plane == base && up*r.to.Y >= high-Tolerance && b.roles[i] == flank && b.roles[(i+1)%n] == flank {
			at = i
			break
		}
	}
	if at < 0 {
		return fmt.Errorf("plane %q has neither an open level edge nor a free corner at the %s", b.flat.roof.planes[base].Name, word)
	}
	b.plain = false
	in, out := b.rims[at], b.rims[(at+1)%n]
	corner := in.to
	// The flanks as they remain when both are cut at a depth below the corner; a flank that ends above the cut is gone.
	cut := func(far Point, depth float64) (Point, bool) {
		fall := up * (corner.Y - far.Y)
		if fall <= depth {
			return far, false
		}
		return corner.toward(far, depth/fall), true
	}
	apart := func(depth float64) bool {
		p, left := cut(in.from, depth)
		q, right := cut(out.to, depth)
		if !left || !right {
			return true
		}
		s, t := Segment(p, in.from), Segment(q, out.to)
		d, _, _ := separation(&s, &t)
		return d >= width
	}
	lo, hi := 0.0, max(up*(corner.Y-in.from.Y), up*(corner.Y-out.to.Y))
	for range 60 {
		if mid := (lo + hi) / 2; apart(mid) {
			hi = mid
		} else {
			lo = mid
		}
	}
	p, left := cut(in.from, hi)
	q, right := cut(out.to, hi)

	id := b.cuts + 1
	b.cuts = id
	var rims []rim
	var roles []role
	put := func(r rim, as role) {
		rims, roles = append(rims, r), append(roles, as)
	}
	for i := range n { // from the rim after the corner round to the one before
		k := (at + 1 + i) % n
		r := b.rims[k]
		switch {
		case k == (at+1)%n:
			put(rim{edge: r.edge, from: r.from, to: q}, as)
			if right {
				put(rim{r.edge, q, r.to, id, r.toCut}, flank)
			}
		case k == at:
			if left {
				put(rim{r.edge, r.from, p, r.fromCut, id}, flank)
			}
			put(rim{edge: r.edge, from: p, to: r.to}, as)
		default:
			put(r, b.roles[k])
		}
	}
	b.rims, b.roles = rims, roles
	return nil
}

// formArcs gathers neighbouring rims of one role; false when there is no start or no end.
func (b *border) formArcs() bool {
	n := len(b.rims)
	turn := -1
	for i := range n {
		if b.roles[i] != b.roles[(i+n-1)%n] {
			turn = i
			break
		}
	}
	if turn < 0 {
		return false
	}
	has := [3]bool{}
	for i := range n {
		k := (turn + i) % n
		if i == 0 || b.roles[k] != b.roles[(k+n-1)%n] {
			b.arcs = append(b.arcs, arc{role: b.roles[k]})
		}
		last := &b.arcs[len(b.arcs)-1]
		last.rims = append(last.rims, k)
		has[b.roles[k]] = true
	}
	return has[start] && has[finish]
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
	sortFloats(cuts)
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
