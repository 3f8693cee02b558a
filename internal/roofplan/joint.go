package roofplan

import (
	"cmp"
	"math"
	"slices"
)

// Limits are the sizes of common practice by which joints between planes are judged, metres.
type Limits struct {
	Step float64 // least height of a step that ends a way; what is lower is stepped over
	Near float64 // distance up to which edges that do not meet are taken as meant to meet; 0 looks for none
}

// DoubtKind is why the drawing does not settle what lies between two planes.
type DoubtKind uint8

const (
	NearMiss        DoubtKind = iota // edges that nearly meet in plan view, or overlap by a little
	HeightMissing                    // edges that meet in plan view, of which one height at least is not known
	HeightsDisagree                  // edges that meet in plan view at different heights, where they would otherwise be a ridge or hip
)

// Doubt is a place where two planes may or may not meet.
type Doubt struct {
	Kind     DoubtKind
	A, B     int     // planes, A less than B
	EdgeA    int     // edge of A, as given
	EdgeB    int     // edge of B
	Distance float64 // between the edges in plan view (NearMiss) or in height (HeightsDisagree), metres; 0 where a height is missing
	AtA, AtB Point   // where that distance is, in plan view
	Text     string  // the same in words, both planes and the place included; edges counted from 1
}

// Doubts lists the places where planes may or may not meet, in the order of their planes.
func (r *Roof) Doubts() []Doubt { return append([]Doubt(nil), r.doubts...) }

// Misstatement is a kind of edge that the job states and its geometry does not allow.
type Misstatement struct {
	Plane  int
	Edge   int // as given
	Stated EdgeKind
	Found  string // what geometry says of the edge, in words
	At     Point  // middle of the edge, in plan view
}

// Misstatements lists the stated kinds of edges that geometry does not allow, in the order of the planes.
func (r *Roof) Misstatements() []Misstatement { return append([]Misstatement(nil), r.misstated...) }

// Misstates tells whether the job states a kind of an edge that geometry does not allow.
func (r *Roof) Misstates(e Edge) bool {
	m := r.Mate(e)
	return slices.ContainsFunc(r.misstated, func(x Misstatement) bool {
		return x.Plane == e.Plane && x.Edge == e.Index || e.mate >= 0 && x.Plane == m.Plane && x.Edge == m.Index
	})
}

// Measures of what runs against each other: parallel within ten degrees, and side by side over this length at least.
const (
	besideLength = 0.3 // metres
	besideCosine = 0.985
)

// findNearMisses notes the edges without partner that run against each other so close that they may be meant to meet.
func (r *Roof) findNearMisses() {
	defer r.sortDoubts()
	near := r.limits.Near
	if near <= 0 {
		return
	}
	runs := r.freeRuns()
	boxes := make([]box, len(runs))
	for i, f := range runs {
		boxes[i] = boxOf([]Point{f.line.a, f.line.b})
	}
	index := newTree(boxes)
	for i, f := range runs {
		index.within(boxes[i].grown(near), func(j int) {
			if j <= i || runs[j].line.plane == f.line.plane || r.settled(f.edges[0], runs[j].edges[0]) {
				return
			}
			if d, lo, hi, ok := r.nearMiss(f.line, runs[j].line); ok {
				r.doubt(&d, r.beside(f, lo, hi), r.beside(runs[j], lo, hi))
			}
		})
	}
}

// run is a part of a side without partner in plan view, whatever lies beyond it, and the edges that it is in parts.
type run struct {
	line  side
	edges []*Edge
}

// freeRuns lists the runs of all planes of the roof.
func (r *Roof) freeRuns() []run {
	var all []run
	for p := range r.edges {
		open := false
		for k := range r.edges[p] {
			e := &r.edges[p][k]
			if e.Neighbour >= 0 || r.planes[p].Ground {
				open = false
				continue
			}
			s := r.planSide(*e)
			if n := len(all) - 1; open && all[n].line.index == e.Index {
				all[n].line.b = s.b
				all[n].edges = append(all[n].edges, e)
				continue
			}
			all = append(all, run{s, []*Edge{e}})
			open = true
		}
	}
	return all
}

// beside lists the edges of a run that lie along its part between two places.
func (r *Roof) beside(f run, p, q Point) []*Edge {
	along := f.line.b.sub(f.line.a).unit()
	at := func(p Point) float64 { return p.sub(f.line.a).dot(along) }
	lo, hi := min(at(p), at(q)), max(at(p), at(q))
	var all []*Edge
	for _, e := range f.edges {
		s := r.planSide(*e)
		if min(at(s.b), hi)-max(at(s.a), lo) > Tolerance {
			all = append(all, e)
		}
	}
	if len(all) == 0 {
		return f.edges
	}
	return all
}

// planSide is an edge in plan view.
func (r *Roof) planSide(e Edge) side {
	f := r.frames[e.Plane]
	return side{plane: e.Plane, index: e.Index, a: f.ToPlan(e.From), b: f.ToPlan(e.To)}
}

// settled tells whether the stated kinds of two edges leave no doubt between them: one is said not to join anything, or both are stated.
func (r *Roof) settled(e, m *Edge) bool {
	own, other := r.stated(*e), r.stated(*m)
	apart := func(k EdgeKind) bool { return k != Unstated && !k.joins() }
	return apart(own) || apart(other) || own != Unstated && other != Unstated
}

// nearMiss tells whether two lines without partner in plan view run against each other within the limit, between which places of the first, and
// where they are farthest apart as they do.
func (r *Roof) nearMiss(s, t side) (d Doubt, from, to Point, ok bool) {
	near := r.limits.Near
	us, ut := s.b.sub(s.a).unit(), t.b.sub(t.a).unit()
	if us.dot(ut) > -besideCosine {
		return
	}
	// Along s from lo to hi, t lies beyond it by off(u).
	ls := s.a.DistanceTo(s.b)
	u0, u1 := t.b.sub(s.a).dot(us), t.a.sub(s.a).dot(us)
	v0, v1 := us.cross(t.b.sub(s.a)), us.cross(t.a.sub(s.a))
	off := func(u float64) float64 { return -(v0 + (v1-v0)*(u-u0)/(u1-u0)) }
	lo, hi := max(u0, 0), min(u1, ls)
	lo, hi = within(lo, hi, off, near)
	if hi-lo < min(besideLength, ls/2, t.a.DistanceTo(t.b)/2) || hi-lo < 2*Tolerance {
		return
	}
	at := lo
	if math.Abs(off(hi)) > math.Abs(off(lo)) {
		at = hi
	}
	if math.Abs(math.Abs(off(hi))-math.Abs(off(lo))) < Tolerance/10 { // side by side
		at = (lo + hi) / 2
	}
	p := s.at(at)
	q := p.sub(us.left().mul(off(at)))
	from, to = s.at(lo), s.at(hi)
	return Doubt{Kind: NearMiss, Distance: p.DistanceTo(q), AtA: p, AtB: q}, from, to, r.mayMeet(s.plane, t.plane, from, to, p, q)
}

// within narrows a range to the part in which a linear function is not larger than limit, either way.
func within(lo, hi float64, f func(float64) float64, limit float64) (float64, float64) {
	if hi <= lo {
		return lo, lo
	}
	a, b := f(lo), f(hi)
	for _, sign := range [2]float64{1, -1} {
		x, y := sign*a, sign*b
		switch {
		case x > limit && y > limit:
			return lo, lo
		case x > limit:
			lo += (hi - lo) * (x - limit) / (x - y)
		case y > limit:
			hi -= (hi - lo) * (y - limit) / (y - x)
		}
		a, b = f(lo), f(hi)
	}
	return lo, hi
}

// mayMeet tells whether two planes beside the edge of the first from a to b could meet there, as drawn at p on the one and q on the
// other: their slopes allow it, and their heights, carried on to each other, come within the limit. Heights that differ are no excuse where the
// edges would be a ridge or hip.
func (r *Roof) mayMeet(i, j int, a, b, p, q Point) bool {
	near := r.limits.Near
	kind := metKind(r.frames[i], r.frames[j], a, b, near)
	if !kind.joins() {
		return false
	}
	atP, atQ := r.riseOf(j, i, p), r.riseOf(j, i, q)
	switch {
	case atP == nil || kind == Ridge || kind == Hip:
		return true
	case (*atP > 0) != (*atQ > 0):
		return true
	}
	return min(math.Abs(*atP), math.Abs(*atQ)) < near
}

func (r *Roof) sortDoubts() {
	slices.SortStableFunc(r.doubts, func(a, b Doubt) int {
		return cmp.Or(a.A-b.A, a.B-b.B, a.EdgeA-b.EdgeA, a.EdgeB-b.EdgeB)
	})
}

// KindStated tells whether the job states the kind of an edge, on this plane or on the one that shares it.
func (r *Roof) KindStated(e Edge) bool {
	return r.stated(e) != Unstated || e.mate >= 0 && r.stated(r.Mate(e)) != Unstated
}

// Mate is the same stretch of a shared edge as the plane on the other side has it; the edge itself where none shares it.
func (r *Roof) Mate(e Edge) Edge {
	if e.mate < 0 {
		return e
	}
	return r.edges[e.Neighbour][e.mate]
}
