package roofplan

import (
	"math"
	"slices"
)

// Approach is the widest way to a place, which may bend.
type Approach struct {
	Width float64 // metres, measured up to the bound of the Walk; 0 where there is none
	Gate  Gate    // what keeps it from being wider: the narrowest place of the way, or what stands beside the place where it ends
	Bound bool    // nothing keeps it from being wider up to the bound, and Gate is of no meaning
	Stand Point   // where the middle of the way ends, flat frame
}

// Bent finds the widest way from the open edges to a target, round everything in between. The way is that of a circle that keeps clear of
// every item and of every edge that is not open, from where its middle is on an open edge to where its middle is within reach, metres, of the
// target. With half a width as reach, a circle of that width comes to touch the target. The target itself is not in the way.
//
// Two things nearer to each other than the width close the way between them. A circle standing at a place is shut in if and only if a closed chain
// of such things runs round it; the gap that closes the first chain, when gaps are closed in order of their width, is the widest passable
// width, and that gap is the gate. Distances are taken over the flat planes. This is exact but for rounding; where the middle of the circle comes
// within reach is searched along the line round the target at that distance, and a place that opens over less than a sixteenth of the reach can be
// missed there, so that the width may come out too narrow by as much, never too wide.
func (w *Walk) Bent(target Item, reach float64) Approach {
	m, ok := w.flat.place[target.Plane]
	if !ok || target.Shape.Empty() || !(reach >= 0) {
		return Approach{}
	}
	best := Approach{}
	for _, s := range w.stands(target, target.Shape.carried(m), reach) {
		if best.Bound || min(s.clear+s.spare, w.most) <= best.Width {
			continue
		}
		if s.finer != nil {
			s = s.finer()
		}
		width := min(s.clear, w.most)
		if width <= best.Width {
			continue
		}
		got := Approach{Width: width, Stand: s.at, Bound: s.clear >= w.most}
		if s.nearest >= 0 {
			got.Gate = Gate{w.place(s.nearest, s.at), Place{Item: -1, Name: target.Name, Point: s.at}, s.clear}
		}
		if k := w.shutIn(s.at, target, width); k >= 0 {
			b := w.bonds[k]
			got.Width, got.Bound = b.gap, false
			got.Gate = Gate{w.place(b.a, b.line[0]), w.place(b.b, b.line[len(b.line)-1]), b.gap}
		}
		if got.Width > best.Width {
			best = got
		}
	}
	return best
}

// stand is a place where a circle may come within reach of a target.
type stand struct {
	at      Point
	clear   float64 // diameter of the circle that is clear there
	nearest int     // the shape that limits it, -1 for none below the bound
	spare   float64 // by how much more may be clear nearby
	finer   func() stand
}

// stands lists the places at which a circle about a point of a line round the target is widest, the widest first.
func (w *Walk) stands(target Item, s Shape, reach float64) []stand {
	var all []stand
	add := func(line func(t float64) Point, length float64) {
		n := max(int(length/max(reach, Tolerance)*16), 8)
		at := func(k float64) stand { return w.standAt(line(k/float64(n)), target) }
		row := make([]stand, n+1)
		for k := range row {
			row[k] = at(float64(k))
		}
		for k, here := range row {
			before, after := row[max(k-1, 0)], row[min(k+1, n)]
			if here.clear <= 0 || here.clear < before.clear || here.clear < after.clear {
				continue
			}
			here.spare = 2 * length / float64(n)
			here.finer = func() stand { return widestStand(at, float64(max(k-1, 0)), float64(min(k+1, n)), here) }
			all = append(all, here)
		}
	}
	corners := s.Corners()
	around := s.radius + reach
	for i, p := range corners {
		q := corners[(i+1)%len(corners)]
		out := q.sub(p).unit().left().mul(-around)
		if len(corners) > 1 {
			add(func(t float64) Point { return p.toward(q, t).add(out) }, p.DistanceTo(q))
		}
		before := p.sub(corners[(i+len(corners)-1)%len(corners)])
		from, turn := math.Atan2(-before.X, before.Y), 2*math.Pi
		if len(corners) > 1 {
			turn = math.Mod(math.Atan2(before.cross(q.sub(p)), before.dot(q.sub(p)))+2*math.Pi, 2*math.Pi)
		}
		add(func(t float64) Point {
			sin, cos := math.Sincos(from + t*turn)
			return p.add(Point{cos, sin}.mul(around))
		}, turn*around)
	}
	goal := s.Grown(reach)
	for _, r := range w.open { // the crew may stand at the edge itself
		edge := Segment(r.from, r.to)
		if d, _, _ := separation(&edge, &goal); d > 0 {
			continue
		}
		add(func(t float64) Point {
			p := r.from.toward(r.to, t)
			if q := Disc(p, 0); overlapDistance(&q, &goal) > 0 {
				return Point{math.NaN(), math.NaN()}
			}
			return p
		}, r.from.DistanceTo(r.to))
	}
	slices.SortStableFunc(all, func(a, b stand) int { return cmpFloat(b.clear, a.clear) })
	return all
}

func overlapDistance(a, b *Shape) float64 {
	d, _, _ := separation(a, b)
	return d
}

// widestStand finds the widest place between two along a line, beginning with the best known.
func widestStand(at func(k float64) stand, lo, hi float64, best stand) stand {
	for range 80 { // two thirds remain each time, in the end less than rounding
		p, q := lo+(hi-lo)/3, hi-(hi-lo)/3
		a, b := at(p), at(q)
		for _, s := range [2]stand{a, b} {
			if s.clear > best.clear {
				best = s
			}
		}
		if a.clear < b.clear {
			lo = p
		} else {
			hi = q
		}
	}
	return best
}

// standAt measures the circle that is clear about a point; none off the planes.
func (w *Walk) standAt(p Point, target Item) stand {
	if !p.finite() || !w.layout.holds(p) {
		return stand{at: p, nearest: -1}
	}
	spot := Disc(p, 0)
	// What is clear beyond the bound is told apart no longer.
	nearest, d := w.index.nearest(spot.box(), w.most/2*(1+limitSlack), func(j int, _ float64) float64 {
		if w.own(j, target) {
			return math.Inf(1)
		}
		return overlapDistance(&spot, &w.shapes[j])
	})
	return stand{at: p, clear: 2 * d, nearest: nearest}
}

// findBonds measures between all shapes that are nearer to each other than the bound.
func (w *Walk) findBonds() {
	corners := newDetours(w)
	for i := range w.shapes {
		w.index.within(w.shapes[i].box().grown(w.most), func(j int) {
			if j <= i {
				return
			}
			d, p, q := separation(&w.shapes[i], &w.shapes[j])
			if d >= w.most {
				return
			}
			straight := d == 0 || w.whole || w.planes[i] == w.planes[j] && w.convex[w.planes[i]] || w.sees(p, q)
			if straight {
				w.bonds = append(w.bonds, bond{i, j, d, []Point{p, q}})
			} else if line, length := corners.around(&w.shapes[i], &w.shapes[j]); length < w.most {
				w.bonds = append(w.bonds, bond{i, j, length, line})
			}
		})
	}
	slices.SortFunc(w.bonds, func(x, y bond) int {
		if c := cmpFloat(x.gap, y.gap); c != 0 {
			return c
		}
		if x.a != y.a {
			return x.a - y.a
		}
		return x.b - y.b
	})
}

// shutIn finds the bond that closes the first chain round a point, of those below a width; -1 when there is none. Each shape keeps how often
// the chain from the first shape of its group to it runs over a ray from the point, and a bond within a group for which that number does not
// come out even closes a chain round the point.
func (w *Walk) shutIn(at Point, target Item, width float64) int {
	g := newWindings(len(w.shapes))
	for k := range w.bonds {
		b := &w.bonds[k]
		if b.gap >= width*(1-limitSlack) {
			break
		}
		if w.own(b.a, target) || w.own(b.b, target) {
			continue
		}
		turns, last := 0, w.shapes[b.a].Centre()
		for _, p := range b.line {
			turns += passes(at, last, p)
			last = p
		}
		turns += passes(at, last, w.shapes[b.b].Centre())
		if !g.join(b.a, b.b, turns) {
			return k
		}
	}
	return -1
}

// passes counts the crossing of a line over a ray from a point to the east: 1 upward, -1 downward.
func passes(from, p, q Point) int {
	below, after := p.Y <= from.Y, q.Y <= from.Y
	if below == after {
		return 0
	}
	side := q.sub(p).cross(from.sub(p))
	switch {
	case below && side > 0:
		return 1
	case after && side < 0:
		return -1
	}
	return 0
}

// windings is a union-find structure in which each member keeps a number relative to the first of its group.
type windings struct {
	parent []int32
	turns  []int32 // relative to the parent
	size   []int32
}

func newWindings(n int) *windings {
	g := &windings{make([]int32, n), make([]int32, n), make([]int32, n)}
	for i := range g.parent {
		g.parent[i], g.size[i] = int32(i), 1
	}
	return g
}

func (g *windings) find(i int) (root, turns int32) {
	k := int32(i)
	for g.parent[k] != k {
		up := g.parent[k]
		if g.parent[up] != up {
			g.turns[k] += g.turns[up]
			g.parent[k] = g.parent[up]
		}
		turns += g.turns[k]
		k = g.parent[k]
	}
	return k, turns
}

// join unites the groups of two members between which a line makes a number of turns; false when they are one already and the numbers differ.
func (g *windings) join(i, j, turns int) bool {
	a, ta := g.find(i)
	b, tb := g.find(j)
	d := ta + int32(turns) - tb // of b relative to a
	if a == b {
		return d == 0
	}
	if g.size[a] < g.size[b] {
		a, b, d = b, a, -d
	}
	g.parent[b], g.turns[b] = a, d
	g.size[a] += g.size[b]
	return true
}

// detours are the shortest ways between the open corners of planes.
type detours struct {
	walk   *Walk
	length [][]float64
	next   [][]int
}

func newDetours(w *Walk) *detours {
	n := len(w.bends)
	d := &detours{w, make([][]float64, n), make([][]int, n)}
	for i := range n {
		d.length[i], d.next[i] = make([]float64, n), make([]int, n)
		for j := range n {
			d.next[i][j] = j
			if i != j {
				d.length[i][j] = math.Inf(1)
				if w.sees(w.bends[i], w.bends[j]) {
					d.length[i][j] = w.bends[i].DistanceTo(w.bends[j])
				}
			}
		}
	}
	for k := range n {
		for i := range n {
			for j := range n {
				if l := d.length[i][k] + d.length[k][j]; l < d.length[i][j] {
					d.length[i][j], d.next[i][j] = l, d.next[i][k]
				}
			}
		}
	}
	return d
}

// around is the shortest line between two shapes that bends round open corners, +Inf long where there is none.
func (d *detours) around(s, t *Shape) (line []Point, length float64) {
	length = math.Inf(1)
	for i, from := range d.walk.bends {
		ds, ps := d.reach(s, from)
		for j, to := range d.walk.bends {
			if ds+d.length[i][j] >= length {
				continue
			}
			dt, pt := d.reach(t, to)
			l := ds + d.length[i][j] + dt
			if l >= length {
				continue
			}
			length, line = l, []Point{ps, from}
			for k := i; k != j; {
				k = d.next[k][j]
				line = append(line, d.walk.bends[k])
			}
			line = append(line, pt)
		}
	}
	return line, length
}

// reach is the distance from a shape to a point in sight, and where it begins on the shape.
func (d *detours) reach(s *Shape, to Point) (float64, Point) {
	t := Disc(to, 0)
	length, p, _ := separation(s, &t)
	if length > 0 && !d.walk.sees(p, to) {
		return math.Inf(1), p
	}
	return length, p
}
