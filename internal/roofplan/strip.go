package roofplan

import (
	"math"
	"slices"
)

// ZoneBelow is the part of a plane straight down the slope from an item, as wide as the item, to the lowest point of the plane. It
// is false when the item does not stand above that point.
func (r *Roof) ZoneBelow(target Item) (Shape, bool) {
	if r.checkItems([]Item{target}) != nil {
		return Shape{}, false
	}
	b, foot := target.Shape.box(), boxOf(r.outlines[target.Plane]).minY
	zone := RectAt(Point{b.minX, foot}, b.maxX-b.minX, b.minY-foot).Shape()
	return zone, !zone.Empty()
}

// Intruders lists the items on a plane that overlap a zone on its surface by more than a depth, metres, in their order.
func (r *Roof) Intruders(plane int, zone Shape, items []Item, depth float64) []int {
	var all []int
	for i := range items {
		if items[i].Plane == plane && Overlap(items[i].Shape, zone, depth) {
			all = append(all, i)
		}
	}
	return all
}

// Stray is an item that is not wholly on its plane.
type Stray struct {
	Item   int
	Beyond float64 // how far it reaches over the outline at least, metres
}

// Strays lists the items that reach over the outline of their plane by more than slack, metres, in their order.
func (r *Roof) Strays(items []Item, slack float64) []Stray {
	var all []Stray
	for i := range items {
		it := &items[i]
		if it.Plane < 0 || it.Plane >= len(r.planes) || it.Shape.Empty() {
			continue // refused elsewhere as an error
		}
		if d := overhang(r.surface(it.Plane), &it.Shape); d > slack {
			all = append(all, Stray{i, d})
		}
	}
	return all
}

// overhang is how far a shape reaches over the border of a plane: the first ring and the holes in it.
func overhang(rings [][]Point, s *Shape) float64 {
	over, near := 0.0, math.Inf(1)
	for _, p := range s.points[:s.n] {
		over = max(over, planeDistance(rings, p))
	}
	for _, ring := range rings {
		for i, a := range ring {
			b := ring[(i+1)%len(ring)]
			over = max(over, s.depthOf(a, b))
			edge := Segment(a, b)
			d, _, _ := hullDistance(s, &edge)
			near = min(near, d)
		}
	}
	if over > 0 {
		return over + s.radius
	}
	return max(0, s.radius-near)
}

// depthOf is how deep the middle of the part of a line inside a rectangle lies, 0 when the line stays outside.
func (s *Shape) depthOf(a, b Point) float64 {
	if s.n < 3 {
		return 0
	}
	t0, t1 := 0.0, 1.0
	for i := range s.n {
		p, q := s.side(i)
		inward := q.sub(p).left()
		from, step := a.sub(p).dot(inward), b.sub(a).dot(inward)
		switch {
		case step > 0:
			t0 = max(t0, -from/step)
		case step < 0:
			t1 = min(t1, -from/step)
		case from < 0:
			return 0
		}
	}
	if t0 >= t1 {
		return 0
	}
	middle, depth := a.toward(b, (t0+t1)/2), math.Inf(1)
	for i := range s.n {
		p, q := s.side(i)
		depth = min(depth, q.sub(p).unit().cross(middle.sub(p)))
	}
	return max(0, depth)
}

// Clash is a pair of items on one plane that overlap.
type Clash struct {
	A, B  int     // indexes, A less than B
	Depth float64 // how far one would have to move to be clear, metres
}

// Clashes lists the pairs of items on one plane that overlap by more than slack, metres, in order.
func (r *Roof) Clashes(items []Item, slack float64) []Clash {
	boxes := make([]box, len(items))
	for i := range items {
		boxes[i] = items[i].Shape.box()
	}
	index := newTree(boxes)
	var all []Clash
	for i := range items {
		if items[i].Shape.Empty() {
			continue
		}
		index.within(boxes[i], func(j int) {
			if j <= i || items[j].Plane != items[i].Plane {
				return
			}
			if d := penetration(&items[i].Shape, &items[j].Shape); d > slack {
				all = append(all, Clash{i, j, d})
			}
		})
	}
	slices.SortFunc(all, func(a, b Clash) int {
		if a.A != b.A {
			return a.A - b.A
		}
		return a.B - b.B
	})
	return all
}

// StraightWay is a straight way between two places.
type StraightWay struct {
	Exists   bool
	From, To Point   // surface of the plane; when no way exists, the shortest line to the targets
	Width    float64 // clear width about this line, metres: not less than the asked width when a way exists, which need not be the widest
	Target   int     // index of the target reached
}

// Straight finds a straight way of a width, metres, over a plane from a place to any of the targets: edges of the roof, or discs for a
// standpipe or hatch, whose centre is then the aim. Its centre line must stay on the plane, and items on the plane must be half the width away
// from it, so leave out those at both ends. It is false when there is no target or the width is not positive.
//
// Seen from the place, each item grown by half the width hides an angle, and so does an edge of the plane as it is; a way exists where part of
// a target remains in sight.
func (r *Roof) Straight(plane int, from Point, targets []Shape, items []Item, width float64) (StraightWay, bool) {
	if !(width > 0) || math.IsInf(width, 0) || !from.finite() || plane < 0 || plane >= len(r.planes) {
		return StraightWay{}, false
	}
	v := view{from: from, outline: r.outlines[plane], width: width}
	for _, it := range items {
		if it.Plane == plane && !it.Shape.Empty() {
			v.shapes = append(v.shapes, it.Shape)
		}
	}
	v.index = newTree(boxesOf(v.shapes))
	best := StraightWay{From: from, Target: -1}
	shortest := math.Inf(1)
	for k, t := range targets {
		if t.Empty() {
			continue
		}
		for _, to := range v.sightings(t) {
			if w := v.clear(to); w >= width*(1-10*limitSlack) && (!best.Exists || w > best.Width) && v.staysOn(to) {
				best.Exists, best.To, best.Width, best.Target = true, to, w, k
			}
		}
		place := Disc(from, 0)
		if d, _, to := hullDistance(&place, &t); !best.Exists && d < shortest {
			shortest = d
			best.To, best.Width, best.Target = to, v.clear(to), k
		}
	}
	return best, best.Target >= 0
}

// view is what stands round a place from which a straight way is sought.
type view struct {
	from    Point
	outline []Point // of the plane
	shapes  []Shape // in the way
	index   *tree
	width   float64
}

// clear is the clear width about the line to a point, bounded by the extent of the plane.
func (v *view) clear(to Point) float64 {
	b := boxOf(v.outline)
	s := Segment(v.from, to)
	_, d := v.index.nearest(s.box(), math.Hypot(b.maxX-b.minX, b.maxY-b.minY)/2, func(j int, _ float64) float64 {
		d, _, _ := separation(&s, &v.shapes[j])
		return d
	})
	return 2 * d
}

// staysOn tells whether the line to a point does not cross the outline before its end.
func (v *view) staysOn(to Point) bool {
	for i, a := range v.outline {
		t, _, ok := crossing(v.from, to, a, v.outline[(i+1)%len(v.outline)])
		if ok && t > limitSlack && t < 1-limitSlack {
			return false
		}
	}
	return true
}

// sightings lists points of a target that are in sight from the place, one for each open angle.
func (v *view) sightings(target Shape) []Point {
	if target.n == 1 {
		return []Point{target.points[0]}
	}
	var all []Point
	for i := range target.sides() {
		a, b := target.side(i)
		if a.sub(v.from).cross(b.sub(v.from)) < 0 {
			a, b = b, a
		}
		u, w := a.sub(v.from), b.sub(v.from)
		span := math.Atan2(u.cross(w), u.dot(w))
		if span < 1e-12 {
			all = append(all, a, b)
			continue
		}
		for _, angle := range open(span, v.hidden(a, b)) {
			sin, cos := math.Sincos(angle)
			ray := Point{cos*u.X - sin*u.Y, sin*u.X + cos*u.Y}
			t := u.cross(ray) / ray.cross(b.sub(a))
			all = append(all, a.toward(b, min(max(t, 0), 1)))
		}
	}
	return all
}

// angles is a range of angles, counter-clockwise from the direction of the first end of a target.
type angles struct{ from, to float64 }

// hidden lists the ranges of angle in which the segment ab cannot be reached from the place: behind items grown by half the width, and behind
// edges of the outline that reach into the triangle between.
func (v *view) hidden(a, b Point) []angles {
	triangle := Shape{points: [4]Point{v.from, a, b}, n: 3}
	u := a.sub(v.from)
	grow := v.width / 2 * (1 - limitSlack)
	var all []angles
	v.index.within(triangle.box().grown(grow), func(j int) {
		s := &v.shapes[j]
		if d, _, _ := separation(&triangle, s); d >= grow {
			return
		}
		if at, across := meets(s, a, b, grow); across {
			all = append(all, v.hiddenAt(s, a, b, at, grow)...)
			return
		}
		h := behind(v.from, u, s.Grown(grow))
		all = append(all, h, angles{h.from + 2*math.Pi, h.to + 2*math.Pi})
	})
	for i, p := range v.outline {
		q := v.outline[(i+1)%len(v.outline)]
		if triangle.depthOf(p, q) > Tolerance/10 {
			all = append(all, behind(v.from, u, Segment(p, q)))
		}
	}
	return all
}

// behind is the range of angles from direction u that a shape hides from a place.
func behind(from, u Point, s Shape) angles {
	// Angles are counted from the direction of the shape's middle, so that they do not wrap.
	place := Disc(from, 0)
	if d, _, _ := hullDistance(&place, &s); d <= s.radius {
		return angles{-math.Pi, math.Pi} // the place itself is covered
	}
	c := s.Centre().sub(from)
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range s.points[:s.n] {
		d := p.sub(from)
		at, half := math.Atan2(c.cross(d), c.dot(d)), math.Asin(s.radius/d.length())
		lo, hi = min(lo, at-half), max(hi, at+half)
	}
	middle := math.Atan2(u.cross(c), u.dot(c))
	return angles{middle + lo, middle + hi}
}

// meets finds where the line through a and b comes nearest to a shape, as a fraction of ab, and whether it comes within a distance.
func meets(s *Shape, a, b Point, distance float64) (at float64, within bool) {
	d := b.sub(a)
	length := d.length()
	var first, last Point // the corners farthest right and left of the line
	for i, p := range s.points[:s.n] {
		if i == 0 || d.cross(p.sub(a)) < d.cross(first.sub(a)) {
			first = p
		}
		if i == 0 || d.cross(p.sub(a)) > d.cross(last.sub(a)) {
			last = p
		}
	}
	lo, hi := d.cross(first.sub(a))/length, d.cross(last.sub(a))/length
	nearest := first
	switch {
	case lo < 0 && hi > 0:
		nearest = first.toward(last, lo/(lo-hi))
		lo = 0
	case hi <= 0:
		nearest, lo = last, -hi
	}
	return nearest.sub(a).dot(d) / (length * length), lo < distance+s.radius
}

// hiddenAt is the range of angle in which a shape that stands across a target line, or close to it, keeps the way from ending on the target.
// What stands beyond the line does not matter then. The ends of the way that are closed are one range of the line, since the grown shape is
// convex; at, where the line is nearest to the shape, is one of them.
func (v *view) hiddenAt(s *Shape, a, b Point, at, grow float64) []angles {
	closed := func(t float64) bool {
		way := Segment(v.from, a.toward(b, t))
		d, _, _ := separation(&way, s)
		return d < grow
	}
	start := min(max(at, 0), 1)
	if !closed(start) {
		return nil // closed beyond the ends of the target only
	}
	limit := func(open float64) float64 {
		if closed(open) {
			return open
		}
		inside := start
		for range 60 {
			if middle := (inside + open) / 2; closed(middle) {
				inside = middle
			} else {
				open = middle
			}
		}
		return open
	}
	u := a.sub(v.from)
	angle := func(t float64) float64 {
		w := a.toward(b, t).sub(v.from)
		return math.Atan2(u.cross(w), u.dot(w))
	}
	return []angles{{angle(limit(0)), angle(limit(1))}}
}

// open lists the middle of each part of the angle from 0 to span that is not hidden.
func open(span float64, hidden []angles) []float64 {
	slices.SortFunc(hidden, func(a, b angles) int { return cmpFloat(a.from, b.from) })
	var middles []float64
	at := 0.0
	for _, h := range hidden {
		if h.from > span {
			break
		}
		if h.from >= at {
			middles = append(middles, (at+h.from)/2)
		}
		at = max(at, h.to)
	}
	if at <= span {
		middles = append(middles, (at+span)/2)
	}
	return middles
}
