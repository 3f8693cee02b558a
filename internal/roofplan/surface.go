package roofplan

import (
	"fmt"
	"math"
	"slices"
)

// surface is a set of joined planes on which distances are measured as they are on the roof.
//
// Where the planes can all be laid flat at once, there is one layout and distances are straight lines in it. Where they cannot, because the
// surface bends round a corner inside it or planes would come to lie over each other, the shortest line between two things is straight in some
// layout of a part of the planes, or bends at a corner round which there is more than a full turn of surface. Each row of planes
// that a straight line can pass through, at most mostJoints joints long, is laid flat together with all others that fit. What lies farther
// away is taken to be as near as the nearest joint where such a row was left off, so that a way is never found too wide.
type surface struct {
	flat    *Flat
	layouts []layout
	views   map[[2]int][]placing
	horizon float64 // nothing beyond the rows left off is nearer than this
}

// mostJoints is how many joints a straight line may cross between two planes where the surface is not flat.
const mostJoints = 8

// layout is a part of the planes laid flat so that all joints between them lie together.
type layout struct {
	place map[int]motion // of each plane, from the flat frame of the set to the frame of the layout
	order []int
	rings map[int][][]Point // of each plane, in the frame of the layout
	boxes map[int]box
	edges []Shape // all that is not a joint between planes of the layout; where lines are followed from plane to plane, those as well
	index *tree   // of the edges
	alone bool    // one convex plane without openings

	// The joints between planes that lie together; nil where no plane lies over another, so that a line on any planes is on the surface.
	joints map[[2]int]bool
}

// placing is one place of a plane beside another.
type placing struct {
	motion  motion // carries the flat frame, for what is on the second plane, beside the first
	same    bool   // motion changes nothing
	layouts []int
}

// newSurface finds the layouts of a set of planes. Its hinges, and the loose joints if they are walked over, hold it together.
func newSurface(f *Flat) (*surface, error) {
	s := &surface{flat: f, views: map[[2]int][]placing{}, horizon: math.Inf(1)}
	apart, err := f.apart()
	if err != nil {
		return nil, err
	}
	if len(f.loose) == 0 && apart {
		place := make(map[int]motion, len(f.planes))
		for _, p := range f.planes {
			place[p] = motion{cos: 1}
		}
		s.layouts = []layout{f.newLayout(f.planes, place, false)}
		return s, nil
	}
	seen := map[string]bool{}
	for _, p := range f.planes {
		r := row{planes: []int{p}, place: map[int]motion{p: f.place[p]}}
		s.grow(r, seen)
	}
	return s, nil
}

// flatAtOnce tells whether one layout holds all planes.
func (s *surface) flatAtOnce() bool {
	return len(s.layouts) == 1 && len(s.layouts[0].order) == len(s.flat.planes)
}

// apart tells whether no two planes lie over each other when flat.
func (f *Flat) apart() (bool, error) {
	for i, p := range f.planes {
		for _, q := range f.planes[:i] {
			if over, err := f.cover(p, q, f.place[p], f.place[q]); over || err != nil {
				return false, err
			}
		}
	}
	return true, nil
}

// row is planes one after the other, laid flat, and the joints between them.
type row struct {
	planes []int
	place  map[int]motion // from the surface of each plane
	joints [][2]Point
}

// grow lays out a row and every longer one that begins with it.
func (s *surface) grow(r row, seen map[string]bool) {
	s.layOut(r, seen)
	last := r.planes[len(r.planes)-1]
	for k, e := range s.flat.roof.edges[last] {
		if !s.flat.hinges[hinge{last, k}] || slices.Contains(r.planes, e.Neighbour) {
			continue
		}
		at := r.place[last]
		joint := [2]Point{at.apply(e.From), at.apply(e.To)}
		joints := append(r.joints[:len(r.joints):len(r.joints)], joint)
		if !stabbed(joints) {
			continue
		}
		if len(r.joints) == mostJoints {
			a, b := Segment(joints[0][0], joints[0][1]), Segment(joint[0], joint[1])
			d, _, _ := separation(&a, &b)
			s.horizon = min(s.horizon, d)
			continue
		}
		longer := row{planes: append(r.planes[:len(r.planes):len(r.planes)], e.Neighbour), place: map[int]motion{}, joints: joints}
		for p, m := range r.place {
			longer.place[p] = m
		}
		longer.place[e.Neighbour] = at.after(s.flat.roof.across(e))
		s.grow(longer, seen)
	}
}

// stabbed tells whether a straight line passes through all joints, within the accuracy of seams. If any does, one does that touches two ends.
func stabbed(joints [][2]Point) bool {
	if len(joints) < 3 {
		return true
	}
	var ends []Point
	for _, j := range joints {
		ends = append(ends, j[0], j[1])
	}
	for i, p := range ends {
		for _, q := range ends[:i] {
			u := q.sub(p).unit()
			if u == (Point{}) {
				continue
			}
			if !slices.ContainsFunc(joints, func(j [2]Point) bool {
				a, b := u.cross(j[0].sub(p)), u.cross(j[1].sub(p))
				return min(a, b) > seaming || max(a, b) < -seaming
			}) {
				return true
			}
		}
	}
	return false
}

// layOut adds the layout of a row and of all planes that fit beside it, unless it is known.
func (s *surface) layOut(r row, seen map[string]bool) {
	f := s.flat
	place := make(map[int]motion, len(f.planes))
	order := slices.Clone(r.planes)
	for p, m := range r.place {
		place[p] = m
	}
	for i := 0; i < len(order); i++ {
		p := order[i]
		for k, e := range f.roof.edges[p] {
			if _, placed := place[e.Neighbour]; placed || !f.hinges[hinge{p, k}] {
				continue
			}
			if m := place[p].after(f.roof.across(e)); f.fits(e.Neighbour, m, order, place) {
				place[e.Neighbour] = m
				order = append(order, e.Neighbour)
			}
		}
	}
	slices.Sort(order)
	key := f.keyOf(order, place)
	if seen[key] {
		return
	}
	seen[key] = true
	for p, m := range place {
		place[p] = m.after(f.place[p].inverse())
	}
	s.layouts = append(s.layouts, f.newLayout(order, place, true))
}

// keyOf names a layout by its planes and by the joints that lie together in it.
func (f *Flat) keyOf(order []int, place map[int]motion) string {
	key := fmt.Sprint(order)
	for _, p := range order {
		for k, e := range f.roof.edges[p] {
			if p < e.Neighbour && f.hinges[hinge{p, k}] {
				if q, placed := place[e.Neighbour]; placed && f.together(e, place[p], q) {
					key += fmt.Sprint(" ", p, ":", k)
				}
			}
		}
	}
	return key
}

// together tells whether both sides of a joint lie in one place.
func (f *Flat) together(e Edge, own, other motion) bool {
	m := f.roof.edges[e.Neighbour][e.mate]
	gap := max(own.apply(e.From).DistanceTo(other.apply(m.To)), own.apply(e.To).DistanceTo(other.apply(m.From)))
	return gap <= seaming+math.Abs(e.Length()-m.Length())
}

// fits tells whether a plane can be added to a layout: every joint with it lies together, and it lies over none.
func (f *Flat) fits(plane int, at motion, order []int, place map[int]motion) bool {
	for k, e := range f.roof.edges[plane] {
		if other, placed := place[e.Neighbour]; placed && f.hinges[hinge{plane, k}] && !f.together(e, at, other) {
			return false
		}
	}
	for _, p := range order {
		if over, err := f.cover(plane, p, at, place[p]); over || err != nil {
			return false
		}
	}
	return true
}

// newLayout prepares a layout for lines of sight.
func (f *Flat) newLayout(order []int, place map[int]motion, follow bool) layout {
	l := layout{place: place, order: order, rings: map[int][][]Point{}, boxes: map[int]box{}}
	if follow {
		l.joints = map[[2]int]bool{}
	}
	for _, p := range order {
		m := place[p].after(f.place[p])
		rings := carriedRings(f.roof.surface(p), m)
		l.rings[p], l.boxes[p] = rings, boxOf(rings[0]).grown(seaming)
		for k, e := range f.roof.edges[p] {
			if f.hinges[hinge{p, k}] {
				if q, placed := place[e.Neighbour]; placed && f.together(e, m, q.after(f.place[e.Neighbour])) {
					if !follow {
						continue
					}
					l.joints[[2]int{p, e.Neighbour}], l.joints[[2]int{e.Neighbour, p}] = true, true
				}
			}
			l.edges = append(l.edges, Segment(m.apply(e.From), m.apply(e.To)))
		}
	}
	l.index = newTree(boxesOf(l.edges))
	if len(order) == 1 && len(l.rings[order[0]]) == 1 {
		l.alone = convexRing(l.rings[order[0]][0])
	}
	return l
}

func convexRing(ring []Point) bool {
	n := len(ring)
	for i, p := range ring {
		if turn(p, ring[(i+1)%n], ring[(i+2)%n]) < 0 {
			return false
		}
	}
	return true
}

// holds tells whether a point lies on the planes of a layout, within the accuracy of seams.
func (l *layout) holds(p Point) bool {
	return slices.ContainsFunc(l.order, func(k int) bool { return l.holdsOn(k, p) })
}

func (l *layout) holdsOn(plane int, p Point) bool {
	b := l.boxes[plane]
	return p.X >= b.minX && p.X <= b.maxX && p.Y >= b.minY && p.Y <= b.maxY && planeDistance(l.rings[plane], p) <= seaming
}

// sees tells whether the straight line between points of two planes stays on the layout. From a point beyond the border of the planes, as on
// a module that reaches over it, everything is in sight.
func (l *layout) sees(p, q Point, from, to int) bool {
	if l.alone {
		return true
	}
	length := p.DistanceTo(q)
	cuts := []float64{0, 1}
	l.index.within(boxOf([]Point{p, q}), func(i int) {
		if t, _, ok := crossing(p, q, l.edges[i].points[0], l.edges[i].points[1]); ok {
			cuts = append(cuts, t)
		}
	})
	slices.Sort(cuts)
	reached := []int{from}
	if l.joints != nil {
		reached = append(reached, l.reaching(p, reached)...)
	}
	for i := 1; i < len(cuts); i++ {
		if (cuts[i]-cuts[i-1])*length <= Tolerance && len(cuts) > 2 {
			continue
		}
		at := p.toward(q, (cuts[i]+cuts[i-1])/2)
		seen := l.holds(at)
		if l.joints != nil {
			reached = l.reaching(at, reached)
			seen = len(reached) > 0
		}
		if !seen {
			return !l.holds(p) || !l.holds(q)
		}
	}
	return l.joints == nil || slices.Contains(reached, to) || slices.Contains(l.reaching(q, reached), to) || !l.holds(q)
}

// reaching lists the planes that hold a point and are those from which a line comes, or joined to them by way of others that hold it.
func (l *layout) reaching(p Point, from []int) []int {
	var held []int
	for _, k := range l.order {
		if l.holdsOn(k, p) {
			held = append(held, k)
		}
	}
	var all []int
	for _, k := range held {
		if slices.ContainsFunc(from, func(o int) bool { return o == k || l.joints[[2]int{o, k}] }) {
			all = append(all, k)
		}
	}
	for i := 0; i < len(all); i++ {
		for _, k := range held {
			if l.joints[[2]int{all[i], k}] && !slices.Contains(all, k) {
				all = append(all, k)
			}
		}
	}
	return all
}

// viewsOf lists the places of a plane beside another.
func (s *surface) viewsOf(p, q int) []placing {
	key := [2]int{p, q}
	all, known := s.views[key]
	if known {
		return all
	}
	for k := range s.layouts {
		l := &s.layouts[k]
		atP, ok := l.place[p]
		atQ, also := l.place[q]
		if !ok || !also {
			continue
		}
		m := atP.inverse().after(atQ)
		i := slices.IndexFunc(all, func(v placing) bool { return s.alike(v.motion, m, q) })
		if i < 0 {
			i = len(all)
			all = append(all, placing{motion: m, same: p == q || s.alike(motion{cos: 1}, m, q)})
		}
		all[i].layouts = append(all[i].layouts, k)
	}
	s.views[key] = all
	return all
}

// alike tells whether two motions put a plane in the same place but for rounding.
func (s *surface) alike(a, b motion, plane int) bool {
	return !slices.ContainsFunc(s.flat.roof.outlines[plane], func(p Point) bool {
		p = s.flat.place[plane].apply(p)
		return a.apply(p).DistanceTo(b.apply(p)) > 1e-9
	})
}

// straight is the shortest straight line over the planes between two shapes, both in the flat frame, if it is shorter than bound. Otherwise
// it is not below bound: infinite if there is none.
func (s *surface) straight(a, b *Shape, p, q int, bound float64) (d float64, onA, onB Point) {
	d = math.Inf(1)
	far := false
	for _, v := range s.viewsOf(p, q) {
		other := *b
		if !v.same {
			other = b.carried(v.motion)
		}
		gap, from, to := separation(a, &other)
		if gap >= min(bound, d) {
			far = true
			continue
		}
		if !slices.ContainsFunc(v.layouts, func(k int) bool {
			l := &s.layouts[k]
			return gap == 0 && l.joints == nil || l.sees(l.place[p].apply(from), l.place[p].apply(to), p, q)
		}) {
			continue
		}
		d, onA, onB = gap, from, to
		if !v.same {
			onB = v.motion.inverse().apply(to)
		}
	}
	if far && math.IsInf(d, 1) {
		d = bound
	}
	return d, onA, onB
}

// bend is a corner of the surface round which the shortest line between two things can bend, in the flat frame.
type bend struct {
	plane int
	at    Point
}

// saddles are the corners inside the surface with more than a full turn round them.
func (f *Flat) saddles() []bend {
	var all []bend
	seen := map[hinge]bool{}
	for _, p := range f.planes {
		for k := range f.roof.edges[p] {
			first := hinge{p, k}
			if !f.hinges[first] || seen[first] {
				continue
			}
			angle := 0.0
			at := first
			for f.hinges[at] {
				seen[at] = true
				next := f.roof.following(at)
				angle += f.roof.cornerAngle(at, next)
				if !f.hinges[next] {
					angle = 0
					break
				}
				e := f.roof.edges[next.plane][next.entry]
				if at = (hinge{e.Neighbour, e.mate}); at == first {
					break
				}
			}
			if angle > 2*math.Pi+1e-6 {
				all = append(all, bend{p, f.place[p].apply(f.roof.edges[p][k].To)})
			}
		}
	}
	return all
}

// cornerAngle is the angle on a plane between an edge and the one that follows it.
func (r *Roof) cornerAngle(at, next hinge) float64 {
	e, n := r.edges[at.plane][at.entry], r.edges[next.plane][next.entry]
	u, v := e.To.sub(e.From), n.To.sub(n.From)
	return math.Pi - math.Atan2(u.cross(v), u.dot(v))
}
