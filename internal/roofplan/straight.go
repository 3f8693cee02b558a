package roofplan

import (
	"math"
	"slices"
)

// StraightWay is the widest straight way to a place.
type StraightWay struct {
	Width       float64 // metres, measured up to the bound of the Walk; 0 where there is none
	From, To    Point   // its middle line from the open edge to the place, flat frame
	Left, Right Place   // what bounds it as seen on the way to the place; without a name where nothing does below the bound
}

// Straight finds the widest straight way from the open edges to a target: a strip that keeps clear of every item and of every edge that is not open,
// whose end serves the target. It serves the target when it covers the target's whole breadth across the way, or when it lies within that
// breadth. Its end is where it first meets the target, or, where whole is set, so far on that it holds all of it. The target itself is not in the way.
//
// Seen from the target, each thing hides an angle, the directions in which the shadow of the target falls on it; in between the width of the strip over
// the angle is a sum of sines, of which the greatest is found to rounding. So the way is exact for a target that it covers. For a
// target broader than wanted, of which part may be hidden, strips are sought about places on a grid of five by five on the target, so that a
// way can be missed there. The width is never too great.
func (w *Walk) Straight(target Item, wanted float64, whole bool) StraightWay {
	m, ok := w.flat.place[target.Plane]
	if !ok || target.Shape.Empty() {
		return StraightWay{}
	}
	v := w.view(target, target.Shape.carried(m), whole)
	best := corridor{}
	for _, aim := range v.aims(wanted) {
		v.search(aim, &best)
	}
	return v.way(best)
}

// view is what stands round a target from which a straight way is sought.
type view struct {
	walk   *Walk
	target Shape
	whole  bool
	skip   func(shape int) bool
	sides  []float64 // directions of the sides of what stands there, angles of half a turn
	reflex bool      // a line may leave the planes over an open edge and come back to them
}

func (w *Walk) view(target Item, s Shape, whole bool) *view {
	v := &view{walk: w, target: s, whole: whole, reflex: !w.bulges()}
	v.skip = func(j int) bool { return w.own(j, target) }
	seen := map[int]bool{}
	for j := range w.shapes {
		for i := range w.shapes[j].sides() {
			p, q := w.shapes[j].side(i)
			at := math.Mod(math.Atan2(q.Y-p.Y, q.X-p.X)+2*math.Pi, math.Pi)
			if key := int(math.Round(at * 1e6)); !seen[key] && len(seen) < 32 {
				seen[key] = true
				v.sides = append(v.sides, at)
			}
		}
	}
	return v
}

// corridor is a straight way in a direction.
type corridor struct {
	width       float64
	angle       float64 // from the target outward
	lo, hi      float64 // across
	front       float64 // along, where it ends at the target
	left, right int     // shapes that bound it, -1 for none
}

// aims lists the parts of a target that a strip may be laid over: the whole of it, and discs within it where it is broader than wanted.
func (v *view) aims(wanted float64) []Shape {
	all := []Shape{v.target}
	s := v.target
	if s.n != 4 {
		return all
	}
	c := s.Centre()
	right, up := s.points[1].sub(s.points[0]), s.points[3].sub(s.points[0])
	x, y := right.length()-wanted, up.length()-wanted
	if min(x, y) < 0 {
		return all
	}
	for i := -2; i <= 2; i++ {
		for k := -2; k <= 2; k++ {
			at := c.add(right.unit().mul(float64(i) * x / 4)).add(up.unit().mul(float64(k) * y / 4))
			all = append(all, Disc(at, wanted/2))
		}
	}
	return all
}

// angles is a range of directions, counter-clockwise.
type angles struct{ from, to float64 }

// search looks for a wider strip over an aim in every direction in which nothing hides it.
func (v *view) search(aim Shape, best *corridor) {
	for _, gap := range v.clearAngles(aim) {
		if best.width >= v.walk.most {
			return
		}
		v.searchGap(aim, gap, best)
	}
}

// searchGap looks for a wider strip in a range of directions: at the directions of sides, where corridors are widest, and between steps of two degrees.
func (v *view) searchGap(aim Shape, gap angles, best *corridor) {
	var tries []float64
	for _, side := range v.sides {
		for at := side - 2*math.Pi; at <= gap.to+angleSlack; at += math.Pi / 2 {
			if at >= gap.from-angleSlack {
				tries = append(tries, at)
			}
		}
	}
	n := max(int((gap.to-gap.from)/(2*math.Pi/180)), 2)
	for k := 0; k <= n; k++ {
		tries = append(tries, gap.from+(gap.to-gap.from)*float64(k)/float64(n))
	}
	slices.Sort(tries)
	found := make([]corridor, len(tries))
	for k, at := range tries {
		found[k] = v.strip(aim, at)
		if found[k].width > best.width {
			*best = found[k]
		}
	}
	for k := range tries {
		if best.width >= v.walk.most {
			return
		}
		lo, hi := tries[max(k-1, 0)], tries[min(k+1, len(tries)-1)]
		if k > 0 && found[k-1].width > found[k].width || k+1 < len(tries) && found[k+1].width > found[k].width {
			continue
		}
		for hi-lo > 1e-12 {
			p, q := lo+(hi-lo)/3, hi-(hi-lo)/3
			a, b := v.strip(aim, p), v.strip(aim, q)
			for _, s := range [2]corridor{a, b} {
				if s.width > best.width {
					*best = s
				}
			}
			if a.width < b.width {
				lo = p
			} else {
				hi = q
			}
		}
	}
}

const (
	angleSlack  = 1e-9 // rad
	shadowSlack = 1e-7 // metres by which a shadow may reach into the aim by rounding
)

// clearAngles lists the directions in which the aim can be moved without end and meets nothing.
func (v *view) clearAngles(aim Shape) []angles {
	var hidden []angles
	for j := range v.walk.shapes {
		if v.skip(j) {
			continue
		}
		h, covered := hides(aim, v.walk.shapes[j])
		if covered {
			return nil
		}
		if v.reflex {
			// What is out of sight may lie beyond an open edge and hide nothing: strips are measured there one by one.
			if !v.walk.sees(aim.Centre(), v.walk.shapes[j].Centre()) {
				continue
			}
		}
		from := math.Mod(h.from+4*math.Pi, 2*math.Pi)
		h = angles{from, from + h.to - h.from}
		hidden = append(hidden, h, angles{h.from - 2*math.Pi, h.to - 2*math.Pi})
	}
	slices.SortFunc(hidden, func(a, b angles) int { return cmpFloat(a.from, b.from) })
	var clear []angles
	at := 0.0
	for _, h := range hidden {
		if h.from > 2*math.Pi {
			break
		}
		if h.from >= at-angleSlack {
			clear = append(clear, angles{min(at, h.from), h.from})
		}
		at = max(at, h.to)
	}
	if at <= 2*math.Pi {
		clear = append(clear, angles{at, 2 * math.Pi})
	}
	return clear
}

// hides is the range of directions in which a moved shape meets another, less what rounding may add; covered tells that they overlap.
func hides(aim, s Shape) (h angles, covered bool) {
	if penetration(&aim, &s) > shadowSlack {
		return h, true
	}
	reach := aim.radius + s.radius
	middle := s.Centre().sub(aim.Centre())
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range s.points[:s.n] {
		for _, q := range aim.points[:aim.n] {
			d := p.sub(q)
			l := d.length()
			if l < shadowSlack {
				continue
			}
			at, half := math.Atan2(middle.cross(d), middle.dot(d)), math.Asin(min(reach/l, 1))
			lo, hi = min(lo, at-half), max(hi, at+half)
		}
	}
	if lo > hi {
		return h, true
	}
	about := math.Atan2(middle.Y, middle.X)
	return angles{about + lo + angleSlack, about + max(hi-angleSlack, lo)}, false
}

// strip is the widest strip over an aim in a direction.
func (v *view) strip(aim Shape, angle float64) corridor {
	sin, cos := math.Sincos(angle)
	along, across := Point{cos, sin}, Point{-sin, cos}
	s0, s1 := aim.reachAlong(across)
	near, far := aim.reachAlong(along)
	front := far
	if v.whole {
		front = near
	}
	middle := (s0 + s1) / 2
	most := v.walk.most
	s := corridor{angle: angle, lo: min(s0, middle-most), hi: max(s1, middle+most), front: front, left: -1, right: -1}
	v.stayOn(&s, along, across, s0, s1)
	closed := false
	v.walk.index.ahead(along, across, front, s.lo, s.hi, func(j int) bool {
		if v.skip(j) {
			return true
		}
		a, b, ok := v.walk.shapes[j].shadow(along, across, front+shadowSlack)
		if !ok {
			return true
		}
		for _, part := range v.unscreened(angles{a, b}, &v.walk.shapes[j], along, across, front) {
			switch {
			case part.to <= s0+shadowSlack:
				if part.to > s.lo {
					s.lo, s.right = part.to, j
				}
			case part.from >= s1-shadowSlack:
				if part.from < s.hi {
					s.hi, s.left = part.from, j
				}
			default:
				closed = true
				return false
			}
		}
		return true
	})
	if closed {
		return corridor{}
	}
	t0, t1 := v.target.reachAlong(across)
	if s.lo <= t0+shadowSlack && s.hi >= t1-shadowSlack {
		s.width = s.hi - s.lo
	} else {
		s.lo, s.hi = max(s.lo, t0), min(s.hi, t1)
		s.width = s.hi - s.lo
	}
	s.width = min(s.width, most)
	return s
}

// stayOn keeps a strip within the open edges beside its end.
func (v *view) stayOn(s *corridor, along, across Point, s0, s1 float64) {
	for _, r := range v.walk.open {
		a, b := r.from.dot(along)-s.front, r.to.dot(along)-s.front
		if (a < 0) == (b < 0) {
			continue
		}
		switch at := r.from.toward(r.to, a/(a-b)).dot(across); {
		case at <= s0+shadowSlack:
			s.lo = max(s.lo, at)
		case at >= s1-shadowSlack:
			s.hi = min(s.hi, at)
		}
	}
}

// unscreened is what remains of the shadow of a shape where no open edge lies before the shape, beyond which a strip does not go.
func (v *view) unscreened(shadow angles, s *Shape, along, across Point, front float64) []angles {
	if !v.reflex {
		return []angles{shadow}
	}
	left := []angles{shadow}
	for _, r := range v.walk.open {
		a, b := r.from.dot(across), r.to.dot(across)
		from, to := max(min(a, b), shadow.from), min(max(a, b), shadow.to)
		if to-from <= shadowSlack {
			continue
		}
		middle := (from + to) / 2
		line := Segment(r.from, r.to)
		if overlapDistance(&line, s) == 0 {
			continue // it stands on the edge, or hangs over it
		}
		edge := r.from.toward(r.to, (middle-a)/(b-a)).dot(along)
		at, ok := s.nearestAlong(along, across, middle, front)
		if edge <= front || ok && edge > at {
			continue
		}
		var rest []angles
		for _, p := range left {
			if p.from < from {
				rest = append(rest, angles{p.from, min(p.to, from)})
			}
			if p.to > to {
				rest = append(rest, angles{max(p.from, to), p.to})
			}
		}
		left = rest
	}
	return slices.DeleteFunc(left, func(p angles) bool { return p.to-p.from <= shadowSlack })
}

// reachAlong is the range of a shape along a direction.
func (s *Shape) reachAlong(direction Point) (lo, hi float64) {
	lo, hi = s.extent(direction)
	return lo - s.radius, hi + s.radius
}

// shadow is the range across a direction of the part of a shape that lies ahead of a line; false where none does.
func (s *Shape) shadow(along, across Point, front float64) (lo, hi float64, ok bool) {
	if s.n == 1 && s.radius > 0 {
		c := s.points[0].dot(across)
		half, back := s.radius, front-s.points[0].dot(along)
		if back >= half {
			return 0, 0, false
		}
		if back > 0 {
			half = math.Sqrt(half*half - back*back)
		}
		return c - half, c + half, true
	}
	front -= s.radius
	lo, hi = math.Inf(1), math.Inf(-1)
	take := func(x float64) { lo, hi = min(lo, x), max(hi, x) }
	for i, p := range s.points[:s.n] {
		u := p.dot(along)
		if u >= front {
			take(p.dot(across))
		}
		q := s.points[(i+1)%s.n]
		if w := q.dot(along); (u < front) != (w < front) {
			take(p.toward(q, (front-u)/(w-u)).dot(across))
		}
	}
	return lo - s.radius, hi + s.radius, lo <= hi
}

// nearestAlong is how far along a direction a line at an offset across it first meets the hull of a shape grown by its radius, no nearer
// than a front.
func (s *Shape) nearestAlong(along, across Point, offset, front float64) (float64, bool) {
	best := math.Inf(1)
	for i, p := range s.points[:s.n] {
		q := s.points[(i+1)%s.n]
		a, b := p.dot(across)-offset, q.dot(across)-offset
		u := p.dot(along)
		switch {
		case math.Abs(a) <= s.radius+shadowSlack:
			best = min(best, u-s.radius)
		case (a < 0) != (b < 0):
			best = min(best, u+(q.dot(along)-u)*a/(a-b)-s.radius)
		}
	}
	return max(best, front), !math.IsInf(best, 1)
}

// ahead visits everything whose box reaches beyond a front along a direction and into a range across it, until visit says no.
func (t *tree) ahead(along, across Point, front, lo, hi float64, visit func(i int) bool) {
	misses := func(b box) bool {
		c := Point{(b.minX + b.maxX) / 2, (b.minY + b.maxY) / 2}
		hx, hy := (b.maxX-b.minX)/2, (b.maxY-b.minY)/2
		if c.dot(along)+math.Abs(along.X)*hx+math.Abs(along.Y)*hy < front {
			return true
		}
		at, half := c.dot(across), math.Abs(across.X)*hx+math.Abs(across.Y)*hy
		return at-half > hi || at+half < lo
	}
	var walk func(at int) bool
	walk = func(at int) bool {
		n := &t.nodes[at]
		if misses(n.box) {
			return true
		}
		if n.left > 0 {
			return walk(n.left) && walk(n.right)
		}
		for _, i := range t.order[n.first:n.last] {
			if !misses(t.boxes[i]) && !visit(i) {
				return false
			}
		}
		return true
	}
	if len(t.nodes) > 0 {
		walk(0)
	}
}

// way names what bounds a strip and finds where it begins.
func (v *view) way(s corridor) StraightWay {
	if s.width <= 0 {
		return StraightWay{}
	}
	sin, cos := math.Sincos(s.angle)
	along, across := Point{cos, sin}, Point{-sin, cos}
	middle := (s.lo + s.hi) / 2
	out := StraightWay{Width: s.width, To: along.mul(s.front).add(across.mul(middle))}
	out.From = out.To
	begin := math.Inf(1)
	for _, r := range v.walk.open {
		a, b := r.from.dot(across)-middle, r.to.dot(across)-middle
		if (a < 0) == (b < 0) {
			continue
		}
		if u := r.from.toward(r.to, a/(a-b)).dot(along); u >= s.front && u < begin {
			begin = u
			out.From = along.mul(u).add(across.mul(middle))
		}
	}
	// The strip is seen from the target outward; a crew comes the other way.
	if s.left >= 0 {
		out.Right = v.walk.place(s.left, out.To)
	}
	if s.right >= 0 {
		out.Left = v.walk.place(s.right, out.To)
	}
	return out
}
