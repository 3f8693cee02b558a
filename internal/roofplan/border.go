package roofplan

import (
	"maps"
	"math"
)

// arc is a stretch of the border of one role, counter-clockwise round the planes.
type arc struct {
	role role
	rims []int // of the border
}

// border is the rim of a flat set of planes as a crew sees it.
type border struct {
	flat  *Flat
	rims  []rim // of the outer border, then those round openings, which are flanks
	outer int   // number of rims of the outer border
	inner []int // number of the opening that each rim after those of the outer border lies round
	roles []role
	arcs  []arc  // of the outer border
	walls []int  // the rims that are flanks: they are the first shapes among the obstacles
	cuts  int    // number of corners cut back
	plain bool   // starts at the bottom and ends at the top of a single plane: no straight line between shapes can leave it and miss the flanks
	bends []bend // open corners round which a link may bend

	surface *surface
}

// newBorder gives every stretch of the border its role.
func newBorder(f *Flat, width float64) (*border, error) {
	b := &border{flat: f}
	rings := f.rings()
	for k, ring := range rings {
		b.rims = append(b.rims, ring...)
		for range ring {
			if k > 0 {
				b.inner = append(b.inner, k)
			}
		}
	}
	b.outer = len(rings[0])
	b.roles = make([]role, len(b.rims))
	b.plain = len(f.planes) == 1 && len(rings) == 1
	if err := b.giveRoles(width); err != nil {
		return nil, err
	}
	for k, m := range b.rims {
		b.plain = b.plain && (b.roles[k] == flank || b.roles[k] == f.roof.naturalRole(m.edge))
	}
	b.formArcs()
	for k, role := range b.roles {
		if role == flank {
			b.walls = append(b.walls, k)
		}
	}
	var err error
	if b.surface, err = newSurface(f); err != nil {
		return nil, err
	}
	b.findBends()
	return b, nil
}

// borderOf gives the border of planes their roles, as joined over every joint between them, or where the way would then begin on one border and
// end on another, as on four sides of a hip roof with the ridge in their midst, with a joint left open, which may not be passed.
func (r *Roof) borderOf(f *Flat, width float64) (*border, error) {
	if len(f.loose) > 0 {
		closed := *f
		closed.hinges = maps.Clone(f.hinges)
		for _, h := range f.loose {
			e := r.edges[h.plane][h.entry]
			closed.hinges[h], closed.hinges[hinge{e.Neighbour, e.mate}] = true, true
		}
		if len(closed.rings()) > 0 {
			if b, err := newBorder(&closed, width); err == nil {
				return b, nil
			}
		}
	}
	return newBorder(f.cut(), width)
}

// cut is the planes as laid flat, with nothing but the joints that lie together.
func (f *Flat) cut() *Flat {
	open := *f
	open.loose = nil
	return &open
}

// naturalRole is the role of an edge at the bottom or the top of its plane.
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

// formArcs gathers neighbouring rims of one role. There are two roles at least, so that an arc begins somewhere.
func (b *border) formArcs() {
	n := b.outer
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

// findBends lists the open corners of the border at which the planes stand back by more than half a turn, as at the foot of a valley, and the
// corners inside with more than a full turn round them.
func (b *border) findBends() {
	if b.plain {
		return
	}
	n := b.outer
	for i, r := range b.rims[:n] {
		if b.roles[i] != flank && b.roles[(i+1)%n] != flank && r.angle > math.Pi+1e-9 {
			b.bends = append(b.bends, bend{r.plane, r.to})
		}
	}
	if !b.surface.flatAtOnce() {
		b.bends = append(b.bends, b.flat.saddles()...)
	}
}

// seaming is how far apart two edges may lie that join when flat: drawn edges agree within Tolerance only.
const seaming = 3 * Tolerance

// gap measures between shapes over the planes: straight where the straight line stays on them, else round open corners. A line that leaves
// the planes over a flank is no link, since both shapes are nearer to that flank than to each other.
func (b *border) gap(shapes []Shape, planes []int) gapFunc {
	way := b.bendWays()
	flat := b.surface.flatAtOnce()
	return func(i, j int, bound float64) link {
		l := link{i, j, math.Inf(1), Point{}, Point{}}
		if b.parted(i, j) {
			return l
		}
		if b.plain {
			l.gap, l.onA, l.onB = separation(&shapes[i], &shapes[j])
			return l
		}
		l.gap, l.onA, l.onB = b.surface.straight(&shapes[i], &shapes[j], planes[i], planes[j], bound)
		if l.gap == 0 || flat && l.gap < math.Inf(1) {
			return l
		}
		for c, from := range b.bends {
			dc, pc := b.reach(&shapes[i], planes[i], from, min(bound, l.gap))
			if dc >= min(bound, l.gap) {
				continue
			}
			for e, to := range b.bends {
				de, pe := b.reach(&shapes[j], planes[j], to, min(bound, l.gap))
				if g := dc + way[c][e] + de; g < l.gap {
					l = link{i, j, g, pc, pe}
				}
			}
		}
		if h := b.surface.horizon; h < min(l.gap, bound) {
			l = b.beyondHorizon(i, j, &shapes[i], &shapes[j], planes, h, l)
		}
		return l
	}
}

// beyondHorizon is the link between two shapes that may be nearer to each other than was measured: as far apart as in plan view, and
// no nearer than the horizon.
func (b *border) beyondHorizon(i, j int, s, t *Shape, planes []int, horizon float64, measured link) link {
	p, q := b.planShape(s, planes[i]), b.planShape(t, planes[j])
	d, _, _ := separation(&p, &q)
	if d = max(d, horizon); d < measured.gap {
		return link{i, j, d, s.Centre(), t.Centre()}
	}
	return measured
}

// planShape carries a shape on a plane from the flat frame to plan view, where nothing is farther apart than on the roof.
func (b *border) planShape(s *Shape, plane int) Shape {
	f, back := b.flat.roof.frames[plane], b.flat.place[plane].inverse()
	out := *s
	for i := range out.n {
		out.points[i] = f.ToPlan(back.apply(out.points[i]))
	}
	return out
}

// parted tells whether two shapes are the flanks beside one cut corner, whose nearness is that of the corner alone.
func (b *border) parted(i, j int) bool {
	if i >= len(b.walls) || j >= len(b.walls) {
		return false
	}
	cut := b.rims[b.walls[i]].cut
	return cut != 0 && cut == -b.rims[b.walls[j]].cut
}

// reach is the distance from a shape to a bend straight over the planes, and where it begins on the shape.
func (b *border) reach(s *Shape, plane int, to bend, bound float64) (float64, Point) {
	t := Disc(to.at, 0)
	d, p, _ := b.surface.straight(s, &t, plane, to.plane, bound)
	return d, p
}

// bendWays holds the shortest ways over the planes between bends.
func (b *border) bendWays() [][]float64 {
	n := len(b.bends)
	way := make([][]float64, n)
	for i := range way {
		way[i] = make([]float64, n)
		for j := range way[i] {
			if i != j {
				s := Disc(b.bends[i].at, 0)
				way[i][j], _ = b.reach(&s, b.bends[i].plane, b.bends[j], math.Inf(1))
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
