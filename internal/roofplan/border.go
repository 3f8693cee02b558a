package roofplan

import (
	"math"
	"slices"
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
	arcs  []arc   // of the outer border
	walls []int   // the rims that are flanks: they are the first shapes among the obstacles
	cuts  int     // number of corners cut back
	plain bool    // starts at the bottom and ends at the top of a single plane: no straight line between shapes can leave it and miss the flanks
	bends []Point // open corners round which a link may bend
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
	b.findBends()
	return b, nil
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

// findBends lists the corners between two starts or two ends at which the planes stand back by more than half a turn, as at the foot of
// a valley.
func (b *border) findBends() {
	if b.plain {
		return
	}
	n := b.outer
	for i, r := range b.rims[:n] {
		next := b.rims[(i+1)%n]
		turns := r.to.sub(r.from).unit().cross(next.to.sub(next.from).unit())
		if b.roles[i] != flank && b.roles[(i+1)%n] != flank && turns < -1e-9 {
			b.bends = append(b.bends, r.to)
		}
	}
}

// seaming is how far apart two edges may lie that join when flat: drawn edges agree within Tolerance only.
const seaming = 3 * Tolerance

// holds tells whether a point lies on the planes, within the accuracy of seams.
func (b *border) holds(p Point) bool {
	for _, plane := range b.flat.planes {
		if planeDistance(b.flat.roof.surface(plane), b.flat.place[plane].inverse().apply(p)) <= seaming {
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
	cut := b.rims[b.walls[i]].cut
	return cut != 0 && cut == -b.rims[b.walls[j]].cut
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
