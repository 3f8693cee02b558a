package roofplan

import (
	"math"
	"slices"
)

// faces are the planes of a roof as they lie in space: planes that join without a change of pitch are one face, however many parts it is
// drawn in, and a crease is where two faces join.
type faces struct {
	of    []int    // face of each plane
	place []motion // from the surface of each plane to the frame of its face, which is that of the face's first plane
	all   []face
	tree  [][]crease // the folds by which all faces are laid flat beside each other, by face
}

type face struct {
	planes []int
	folds  []crease
}

// crease is a stretch along which a face joins another.
type crease struct {
	kind   EdgeKind
	a, b   Point  // ends, in the frame of the face
	beyond int    // the face on the other side
	place  motion // from the frame of that face to this one, laid flat beside it
}

// even is the largest difference of two gradients that counts as none.
const even = 1e-3

// joined gives the faces of the roof, which are found once.
func (r *Roof) joined() *faces {
	r.facesOnce.Do(func() { r.faces = r.findFaces() })
	return r.faces
}

func (r *Roof) findFaces() *faces {
	n := len(r.planes)
	g := newGroups(n)
	planes := make([]int, n)
	for i := range planes {
		planes[i] = i
		for _, e := range r.edges[i] {
			if r.isSeam(e) {
				g.join(i, e.Neighbour)
			}
		}
	}
	f := &faces{of: make([]int, n), place: make([]motion, n)}
	for k, own := range g.lists(planes) {
		f.all = append(f.all, face{planes: own})
		for _, i := range own {
			f.of[i] = k
			f.place[i] = r.frames[i].into(r.frames[own[0]])
		}
	}
	for i := range n {
		for _, e := range r.edges[i] {
			if e.mate < 0 || !e.Kind.joins() || f.of[e.Neighbour] == f.of[i] {
				continue
			}
			m := r.edges[e.Neighbour][e.mate]
			beside := f.place[i].after(onto(m.To, m.From, e.From, e.To)).after(f.place[e.Neighbour].inverse())
			own := &f.all[f.of[i]]
			own.folds = append(own.folds, crease{e.Kind, f.place[i].apply(e.From), f.place[i].apply(e.To), f.of[e.Neighbour], beside})
		}
	}
	f.tree = f.spanningFolds()
	return f
}

// isSeam tells whether an edge is a joint without a change of pitch.
func (r *Roof) isSeam(e Edge) bool {
	return e.mate >= 0 && e.Kind == Break && r.frames[e.Plane].gradient().DistanceTo(r.frames[e.Neighbour].gradient()) < even
}

// into is the motion from the surface of a plane to that of another which lies in the same plane in space.
func (f Frame) into(g Frame) motion {
	m := motion{cos: g.right.dot(f.right), sin: g.right.cross(f.right)}
	m.shift = g.ToSurface(f.origin)
	return m
}

// shape carries an item to the frame of its face.
func (f *faces) shape(it *Item) Shape { return it.Shape.carried(f.place[it.Plane]) }

// sleeve is the faces that a way crosses one after the other, laid flat: a paper strip without branches.
type sleeve struct {
	first, last int    // faces
	place       motion // from the frame of the last face to that of the first
	folds       []portal
	used        []bool // faces of the sleeve
}

// portal is a stretch that the way must cross, in the frame of the first face.
type portal struct{ a, b Point }

func (p portal) shape() Shape { return Segment(p.a, p.b) }

// walk visits the sleeves that begin on a face and cross joints of the given kinds, the face by itself first, and each longer one after the
// one it continues. No face occurs twice in a sleeve: no shortest way over flat faces comes back to one. A sleeve that visit refuses is not continued.
func (f *faces) walk(from int, over []EdgeKind, visit func(s *sleeve) bool) {
	s := &sleeve{first: from, last: from, place: motion{cos: 1}, used: make([]bool, len(f.all))}
	f.continueWalk(s, over, visit)
}

func (f *faces) continueWalk(s *sleeve, over []EdgeKind, visit func(s *sleeve) bool) {
	if !visit(s) {
		return
	}
	at, place := s.last, s.place
	s.used[at] = true
	for _, j := range f.all[at].folds {
		if s.used[j.beyond] || !contains(over, j.kind) {
			continue
		}
		s.folds = append(s.folds, portal{place.apply(j.a), place.apply(j.b)})
		s.last, s.place = j.beyond, place.after(j.place)
		f.continueWalk(s, over, visit)
		s.folds = s.folds[:len(s.folds)-1]
	}
	s.last, s.place, s.used[at] = at, place, false
}

// through finds the shortest way between shapes at the two ends of the sleeve, both in the frame of the first face: straight where the straight
// line crosses every fold, else bent round ends of folds. That is exact for shapes that do not reach over the border of their faces, or over a single
// fold at that. The line may leave a face that stands back or has a hole, so that the true way can be longer, never shorter. What is not nearer than bound is not looked
// for further, and the distance given is then not less than bound.
func (s *sleeve) through(a, b *Shape, bound float64) (float64, Point, Point) {
	d, p, q := separation(a, b)
	if d >= bound || s.crosses(p, q, 0, len(s.folds)) {
		return d, p, q
	}
	if len(s.folds) == 1 && (s.folds[0].under(a) || s.folds[0].under(b)) {
		return s.over(a, b)
	}
	return s.bent(a, b)
}

// crosses tells whether the line from p to q goes through the folds from one to before another.
func (s *sleeve) crosses(p, q Point, from, to int) bool {
	for _, f := range s.folds[from:to] {
		side := f.b.sub(f.a)
		length := side.length()
		hp, hq := side.cross(p.sub(f.a))/length, side.cross(q.sub(f.a))/length
		at := p
		switch {
		case math.Abs(hp) < 1e-9:
		case math.Abs(hq) < 1e-9:
			at = q
		case hp*hq > 0 && min(math.Abs(hp), math.Abs(hq)) > seaming:
			return false
		case hp*hq > 0: // a shape reaches over its face by the accuracy of drawing
			if at = p; math.Abs(hq) < math.Abs(hp) {
				at = q
			}
		default:
			at = p.toward(q, hp/(hp-hq))
		}
		if t := side.dot(at.sub(f.a)) / length; t < -1e-9 || t > length+1e-9 {
			return false
		}
	}
	return true
}

// under tells whether a shape lies on both sides of the line of a portal.
func (p portal) under(s *Shape) bool {
	across := p.b.sub(p.a).unit().left()
	lo, hi := s.reach(across)
	h := p.a.dot(across)
	return lo < h-1e-9 && hi > h+1e-9
}

// over is the way across one fold between shapes that meet when laid flat, the least sum of the distances to a place on the fold: the sum is
// convex along it.
func (s *sleeve) over(a, b *Shape) (float64, Point, Point) {
	f := s.folds[0]
	at := func(t float64) (float64, Point, Point) {
		spot := Disc(f.a.toward(f.b, t), 0)
		d, p, _ := separation(a, &spot)
		e, q, _ := separation(b, &spot)
		return d + e, p, q
	}
	lo, hi := 0.0, 1.0
	for range 80 {
		t, u := lo+(hi-lo)/3, hi-(hi-lo)/3
		dt, _, _ := at(t)
		du, _, _ := at(u)
		if dt <= du {
			hi = u
		} else {
			lo = t
		}
	}
	return at((lo + hi) / 2)
}

// bent is the shortest way round ends of folds. Such a way is straight from end to end, and the first and last part are the nearest to the shapes.
func (s *sleeve) bent(a, b *Shape) (float64, Point, Point) {
	type stop struct {
		at    Point
		after int // folds crossed
		way   float64
		start Point
	}
	var stops []stop
	best, onA, onB := math.Inf(1), Point{}, Point{}
	for i, f := range s.folds {
		for _, end := range [2]Point{f.a, f.b} {
			spot := Disc(end, 0)
			here := stop{at: end, after: i + 1, way: math.Inf(1)}
			if d, p, _ := separation(a, &spot); s.crosses(p, end, 0, i) {
				here.way, here.start = d, p
			}
			for _, before := range stops {
				if way := before.way + before.at.DistanceTo(end); way < here.way && before.after <= i && s.crosses(before.at, end, before.after, i) {
					here.way, here.start = way, before.start
				}
			}
			stops = append(stops, here)
			if d, q, _ := separation(b, &spot); here.way+d < best && s.crosses(end, q, i+1, len(s.folds)) {
				best, onA, onB = here.way+d, here.start, q
			}
		}
	}
	return best, onA, onB
}

// length is the least way from the first fold to the last.
func (s *sleeve) length() float64 {
	n := len(s.folds)
	if n < 2 {
		return 0
	}
	inner := sleeve{folds: s.folds[1 : n-1]}
	a, b := s.folds[0].shape(), s.folds[n-1].shape()
	d, _, _ := inner.through(&a, &b, math.Inf(1))
	return d
}

// JoinedTo lists the planes of the surface that a plane is part of, itself included, in order: over joints of the given kinds, of all kinds when none
// is given.
func (r *Roof) JoinedTo(plane int, kinds ...EdgeKind) []int {
	all := []int{plane}
	for next := 0; next < len(all); next++ {
		for _, n := range r.Neighbours(all[next], kinds...) {
			if !slices.Contains(all, n) {
				all = append(all, n)
			}
		}
	}
	return sorted(all)
}
