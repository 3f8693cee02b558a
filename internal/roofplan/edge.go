package roofplan

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
)

// EdgeKind is what an edge of a plane is to a roofer.
type EdgeKind uint8

const (
	Unstated EdgeKind = iota // as input: geometry decides
	Eave                     // level lower edge with nothing below
	Ridge                    // level upper edge shared with a plane that falls away on the other side
	HighEave                 // level upper edge with nothing beyond: the high side of a single-pitch roof
	Rake                     // sloped edge with nothing beyond
	Hip                      // sloped shared edge from which both planes fall away
	Valley                   // shared edge toward which both planes fall
	Break                    // shared edge where the pitch changes, or does not, without a ridge or valley
	Step                     // edge along another plane that lies higher or lower
	Wall                     // edge against a wall, stated by the job
	Parapet                  // edge that ends at a parapet, stated by the job
	edgeKinds
)

var edgeKindNames = [edgeKinds]string{"unstated", "eave", "ridge", "high eave", "rake", "hip", "valley", "break", "step", "wall", "parapet"}

func (k EdgeKind) String() string {
	if k < edgeKinds {
		return edgeKindNames[k]
	}
	return fmt.Sprintf("edge kind %d", uint8(k))
}

// EdgeKindNamed is the kind of a name as String gives it, with hyphens for spaces; Unstated for any other.
func EdgeKindNamed(name string) EdgeKind {
	name = strings.ReplaceAll(name, "-", " ")
	return EdgeKind(max(0, slices.Index(edgeKindNames[:], name)))
}

// joins tells whether planes on both sides of such an edge are one surface on which a crew can walk across it.
func (k EdgeKind) joins() bool { return k == Ridge || k == Hip || k == Valley || k == Break }

// Edge is a stretch of the border of a plane of one kind: a whole edge of its outline or of a hole, or the part of it along one neighbour.
type Edge struct {
	Plane     int      // index of the plane
	Index     int      // edge as given: of the outline from corner Index to the next, those of the holes counted on
	Kind      EdgeKind // never Unstated
	From, To  Point    // surface of the plane, which lies on the left as seen from above
	Neighbour int      // plane on the other side, -1 for none
	Beyond    int      // plane that lies in plan view just beyond the edge, over or under it or meeting it; -1 for none
	Rise      *float64 // height of the plane beyond over this one at the middle of the edge, metres; nil where it or the plane is not known
	Doubt     *Doubt   // why the kind is not certain; nil where it is
	mate      int      // entry of the neighbour's edges that is the same stretch seen from there, -1 for none
}

// Length is the length of the edge on the surface, metres.
func (e Edge) Length() float64 { return e.From.DistanceTo(e.To) }

// Shape is the edge as a segment on the surface.
func (e Edge) Shape() Shape { return Segment(e.From, e.To) }

// stretch is an edge being found, in plan view.
type stretch struct {
	plane, index int
	from, to     float64 // along the side, metres from its first corner
	other        int     // partner in the list of stretches, -1 for none
	beyond       int     // plane just beyond a stretch without partner, -1 for none
}

// side is an edge of an outline or hole in plan view, with its plane on the left.
type side struct {
	plane, index int
	ring         int // 0 of the outline, then those of the holes
	a, b         Point
}

func (s side) at(t float64) Point { return s.a.toward(s.b, t/s.a.DistanceTo(s.b)) }

// sidesOf lists the edges of all planes, plane after plane: the outline counter-clockwise, then each hole clockwise.
func sidesOf(planes []Plane) []side {
	var all []side
	for i, p := range planes {
		first := 0
		for r, ring := range p.rings() {
			n := len(ring)
			forward := (signedArea(ring) > 0) == (r == 0)
			for k := range n {
				if !forward {
					k = n - 1 - k
				}
				s := side{i, first + k, r, ring[k], ring[(k+1)%n]}
				if !forward {
					s.a, s.b = s.b, s.a
				}
				all = append(all, s)
			}
			first += n
		}
	}
	return all
}

// shared finds the common part of two sides that run against each other along one line: its range on each of them.
func shared(s, t side) (s0, s1, t0, t1 float64, ok bool) {
	ls, lt := s.a.DistanceTo(s.b), t.a.DistanceTo(t.b)
	us, ut := s.b.sub(s.a).unit(), t.b.sub(t.a).unit()
	if us.dot(ut) > -0.99 {
		return
	}
	s0, s1 = t.b.sub(s.a).dot(us), t.a.sub(s.a).dot(us)
	s0, s1 = snap(max(s0, 0), ls), snap(min(s1, ls), ls)
	if s1-s0 <= 2*Tolerance {
		return
	}
	t0, t1 = s.at(s1).sub(t.a).dot(ut), s.at(s0).sub(t.a).dot(ut)
	t0, t1 = snap(t0, lt), snap(t1, lt)
	for _, at := range [2]float64{s0, s1} {
		if math.Abs(s.at(at).sub(t.a).cross(ut)) > Tolerance {
			return
		}
	}
	return s0, s1, t0, t1, true
}

// snap moves a place along an edge to the edge's end when it is within Tolerance of it.
func snap(at, length float64) float64 {
	switch {
	case at < Tolerance:
		return 0
	case at > length-Tolerance:
		return length
	}
	return at
}

// pair is the common part of two sides that run against each other along one line.
type pair struct {
	a, b           int     // sides, a less than b
	a0, a1, b0, b1 float64 // its range on each
}

// pairs finds the common parts of the sides of different planes. Where several sides run along the same stretch it takes the part
// that comes first in the given order.
func pairs(sides []side, index *tree, order func(p, q pair) int) []pair {
	var all []pair
	for k, s := range sides {
		index.within(boxOf([]Point{s.a, s.b}).grown(Tolerance), func(j int) {
			if j > k && sides[j].plane != s.plane {
				if s0, s1, t0, t1, ok := shared(s, sides[j]); ok {
					all = append(all, pair{k, j, s0, s1, t0, t1})
				}
			}
		})
	}
	slices.SortFunc(all, func(p, q pair) int {
		return cmp.Or(order(p, q), p.a-q.a, p.b-q.b)
	})
	taken := make([][][2]float64, len(sides))
	free := func(k int, from, to float64) bool {
		return !slices.ContainsFunc(taken[k], func(t [2]float64) bool { return from < t[1]-Tolerance && to > t[0]+Tolerance })
	}
	return slices.DeleteFunc(all, func(p pair) bool {
		if !free(p.a, p.a0, p.a1) || !free(p.b, p.b0, p.b1) {
			return true
		}
		taken[p.a] = append(taken[p.a], [2]float64{p.a0, p.a1})
		taken[p.b] = append(taken[p.b], [2]float64{p.b0, p.b1})
		return false
	})
}

// splitSides cuts every side into stretches along one partner each, or none, in order round each plane. A stretch without partner is cut
// further into the pieces that cut makes of it.
func splitSides(sides []side, joined []pair, cut func(side int, from, to float64) []stretch) []stretch {
	type claim struct {
		from, to float64
		pair     int
	}
	claims := make([][]claim, len(sides))
	for i, p := range joined {
		claims[p.a] = append(claims[p.a], claim{p.a0, p.a1, i})
		claims[p.b] = append(claims[p.b], claim{p.b0, p.b1, i})
	}
	var all []stretch
	first := make([]int, len(joined)) // the stretch that opened the pair, counted from 1
	for k, s := range sides {
		length := s.a.DistanceTo(s.b)
		slices.SortFunc(claims[k], func(a, b claim) int { return cmpFloat(a.from, b.from) })
		at := 0.0
		for _, c := range claims[k] {
			if c.from > at+Tolerance {
				all = append(all, cut(k, at, c.from)...)
				at = c.from
			}
			piece := stretch{s.plane, k, at, c.to, -1, -1}
			if o := first[c.pair]; o > 0 {
				piece.other = o - 1
				all[o-1].other = len(all)
			} else {
				first[c.pair] = len(all) + 1
			}
			all = append(all, piece)
			at = c.to
		}
		if at < length-Tolerance || len(claims[k]) == 0 {
			all = append(all, cut(k, at, length)...)
		}
	}
	return all
}

func cmpFloat(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// aloneKind classes an edge with no neighbour by its direction on the surface, counter-clockwise round the plane.
func aloneKind(from, to Point, cos float64) EdgeKind {
	d := to.sub(from)
	rise := math.Abs(d.Y) * cos
	switch {
	case rise > levelSlack(math.Hypot(d.X, rise)):
		return Rake
	case d.X > 0:
		return Eave
	}
	return HighEave
}

// metKind classes the edge from a to b, in plan view and with the plane p on its left, beyond which lies the plane q, as if both met at its
// middle: Step where they then part by more than apart, metres, toward its ends.
func metKind(p, q Frame, a, b Point, apart float64) EdgeKind {
	d := b.sub(a)
	length := d.length()
	along := d.mul(1 / length)
	inward := along.left()
	risesP, risesQ := p.gradient().dot(along), q.gradient().dot(along)
	intoP, intoQ := p.gradient().dot(inward), -q.gradient().dot(inward)
	if math.Abs(risesP-risesQ)*length/2 > apart {
		return Step
	}
	level := math.Abs(risesP+risesQ)/2*length <= levelSlack(length)*max(p.tan, q.tan)
	const flat = 1e-3
	switch bend := intoP + intoQ; {
	case level && intoP < -flat && intoQ < -flat:
		return Ridge
	case level && intoP > flat && intoQ > flat:
		return Valley
	case level || math.Abs(bend) < flat:
		return Break
	case bend < 0:
		return Hip
	}
	return Valley
}
