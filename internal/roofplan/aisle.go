package roofplan

import (
	"cmp"
	"math"
	"slices"
)

// AisleSizes are the sizes by which aisles are found, metres.
type AisleSizes struct {
	Reach  float64    // sections farther apart are not neighbours
	Way    float64    // least width of a way
	Cutout [2]float64 // sides of a venting cutout
}

// Aisle is the way between two sections whose sides face each other with no other section between.
type Aisle struct {
	A, B   int     // sections, A less than B
	Width  float64 // least, metres, over the surface
	Length float64 // metres, of all its stretches together
	OnA    Point   // the narrowest place, in plan view, at the items of A
	OnB    Point   // and of B
	legs   []leg   // stretches along which the sections face each other, straight each
}

// leg is one straight stretch of an aisle. Its frame has s along it and h from section A to section B.
type leg struct {
	along, to Point // unit vectors of s and h in the flat frame of the aisle
	from, end float64
	sides     [2][]laid // items of A and B that face each other
	openings  []opening // cutouts that border it, in order
}

// laid is an item in the flat frame of an aisle.
type laid struct {
	item  int
	place motion // from the frame of its face
	shape Shape
}

// opening is a place for cutouts beside a stretch: where it is along the stretch, and how far its middle may lie.
type opening struct {
	far       bool // on the side of B
	from, end float64
	use       float64 // length along the aisle that a cutout takes there
}

// facing is the shortest line between two items of two sections.
type facing struct {
	i, j     int
	d        float64
	p, q     Point  // in the frame of the face of i
	place    motion // from the frame of the face of j to that of i
	straight bool   // the line is square to a side of one of them, so that sides face each other
}

// Aisles finds the ways between the sections of a spread that face each other within reach, every one, in the order of the sections. Items of
// obstacles stand in the way of cutouts.
//
// An aisle is looked at in the flat picture of its narrowest place; a stretch that turns round a corner of a section is several stretches.
func (s *Spread) Aisles(sections []Section, sizes AisleSizes, obstacles *Spread) []Aisle {
	section := make([]int, len(s.items))
	for k := range sections {
		for _, i := range sections[k].Items {
			section[i] = k
		}
	}
	pairs := map[[2]int][]facing{}
	for _, x := range (&sight{s, section, sizes.Way, sizes.Reach * (1 + limitSlack)}).facings() {
		a, b := section[x.i], section[x.j]
		pairs[[2]int{min(a, b), max(a, b)}] = append(pairs[[2]int{min(a, b), max(a, b)}], x)
	}
	var all []Aisle
	for pair, list := range pairs {
		if a, ok := s.aisle(pair, list, section, sizes, obstacles); ok {
			all = append(all, a)
		}
	}
	slices.SortFunc(all, func(x, y Aisle) int { return cmp.Or(x.A-y.A, x.B-y.B) })
	return all
}

// sight is what lines of sight between sections are found by.
type sight struct {
	*Spread
	section []int   // of each item
	way     float64 // least width of a way
	reach   float64 // longest line
}

// facings lists the lines of sight between items of different sections.
func (s *sight) facings() []facing {
	var all []facing
	for k := range s.on {
		w := &sleeve{first: k, last: k, place: motion{cos: 1}}
		s.within(k, s.reach, func(i, j int) {
			if s.section[i] != s.section[j] {
				s.face(&all, i, j, w)
			}
		})
	}
	s.across(s.reach, func(i, j int, w *sleeve) {
		if s.section[i] != s.section[j] {
			s.face(&all, i, j, w)
		}
	})
	return all
}

// face adds the shortest line between two items if it is short enough and they see each other.
func (s *sight) face(all *[]facing, i, j int, w *sleeve) {
	a, b := &s.shapes[i], s.shapes[j].carried(w.place)
	d, p, q := w.through(a, &b, s.reach)
	if d > s.reach || d == 0 {
		return
	}
	x := facing{i: i, j: j, d: d, p: p, q: q, place: w.place}
	x.straight = w.crosses(p, q, 0, len(w.folds)) && (squareTo(a, q.sub(p)) || squareTo(&b, q.sub(p)))
	if s.seen(x, w, a, &b) {
		*all = append(*all, x)
	}
}

// seen tries the shortest line between two shapes at a few places along facing sides, and where it is when sides do not face each other.
func (s *sight) seen(x facing, w *sleeve, a, b *Shape) bool {
	along := x.q.sub(x.p).unit().left()
	a0, a1 := a.reach(along)
	b0, b1 := b.reach(along)
	from, end := max(a0, b0), min(a1, b1)
	moved := false
	for _, part := range [3]float64{1. / 2, 1. / 6, 5. / 6} {
		shift := along.mul(from + (end-from)*part - x.p.dot(along))
		if end <= from || !touches(a, x.p.add(shift)) || !touches(b, x.q.add(shift)) {
			continue
		}
		moved = true
		if s.open(x, w, x.p.add(shift), x.q.add(shift)) {
			return true
		}
	}
	return !moved && s.open(x, w, x.p, x.q)
}

// touches tells whether a point lies in a shape, but for rounding.
func touches(s *Shape, p Point) bool {
	spot := Disc(p, 0)
	d, _, _ := separation(s, &spot)
	return d < 1e-9
}

// open tells whether a line between two items is one of sight.
func (s *sight) open(x facing, w *sleeve, p, q Point) bool {
	if s.hides(w.first, x, p, q) {
		return false
	}
	back := w.place.inverse()
	return len(w.folds) == 0 || !s.hides(w.last, x, back.apply(p), back.apply(q))
}

// hides tells whether something on a face stands in the line from p to q, in its frame: another item of the two sections in the line itself, or a
// third section, through which there is no way, within half a way of it.
func (s *sight) hides(face int, x facing, p, q Point) bool {
	hidden, line := false, Segment(p, q)
	half := s.way / 2 * (1 - limitSlack)
	s.index[face].within(boxOf([]Point{p, q}).grown(half), func(n int) {
		k := s.on[face][n]
		switch {
		case hidden || k == x.i || k == x.j:
		case s.section[k] == s.section[x.i] || s.section[k] == s.section[x.j]:
			hidden = s.shapes[k].depthOf(p, q) > Tolerance/10
		default:
			d, _, _ := separation(&line, &s.shapes[k])
			hidden = d < half
		}
	})
	return hidden
}

// squareTo tells whether a direction is square to a side of a rectangle, or the shape is none and has no sides.
func squareTo(s *Shape, direction Point) bool {
	u := direction.unit()
	for i := range s.sides() {
		a, b := s.side(i)
		if math.Abs(b.sub(a).unit().dot(u)) < 1e-6 {
			return true
		}
	}
	return s.n == 1
}

// aisle looks at the way between two sections; false when only corners of them are near each other.
func (s *Spread) aisle(pair [2]int, list []facing, section []int, sizes AisleSizes, obstacles *Spread) (Aisle, bool) {
	f := s.roof.joined()
	slices.SortFunc(list, func(x, y facing) int { return cmp.Or(cmpFloat(x.d, y.d), x.i-y.i, x.j-y.j) })
	x := list[0]
	a := Aisle{A: pair[0], B: pair[1], Width: x.d}
	ends := [2]Point{s.roof.planOf(s.items[x.i].Plane, x.p), s.roof.planOf(s.items[x.j].Plane, x.place.inverse().apply(x.q))}
	a.OnA, a.OnB = ends[0], ends[1]
	if section[x.i] != a.A {
		a.OnA, a.OnB = ends[1], ends[0]
	}
	place := f.layFlat(f.of[s.items[x.i].Plane])
	var lines []line
	for _, x := range list {
		if !x.straight {
			continue
		}
		at := place[f.of[s.items[x.i].Plane]]
		beyond := at.after(x.place)
		l := line{
			side: [2]laid{{x.i, at, s.shapes[x.i].carried(at)}, {x.j, beyond, s.shapes[x.j].carried(beyond)}},
			to:   at.apply(x.q).sub(at.apply(x.p)).unit(),
			at:   at.apply(x.p),
		}
		if section[x.i] != a.A {
			l.side[0], l.side[1], l.to = l.side[1], l.side[0], l.to.mul(-1)
		}
		lines = append(lines, l)
	}
	for _, r := range straightLegs(lines, sizes) {
		s.findOpenings(&r, sizes, obstacles)
		a.legs = append(a.legs, r.leg)
		a.Length += r.end - r.from
	}
	return a, a.Length > Tolerance
}

// planOf carries a point in the frame of the face of a plane to plan view.
func (r *Roof) planOf(plane int, p Point) Point {
	f := r.joined()
	return r.frames[plane].ToPlan(f.place[plane].inverse().apply(p))
}

// line is a facing in the flat frame of the aisle.
type line struct {
	side [2]laid // of A and B
	to   Point   // unit vector from A to B
	at   Point

	from, end float64 // where the two lie opposite each other, along the stretch
}

// sameWay is the cosine of the angle up to which lines of sight are of one stretch.
const sameWay = 0.94

// wholeLeg is a straight stretch with the parts of it in which a straight lane of the way's width is clear.
type wholeLeg struct {
	leg
	lanes []lane
}

// lane is the clear lane along a part of a stretch: from the front of A to the front of B.
type lane struct {
	from, end float64
	front     [2]float64
}

// straightLegs parts the lines of sight of an aisle, shortest first, by their direction and by where they are.
func straightLegs(lines []line, sizes AisleSizes) []wholeLeg {
	var all []wholeLeg
	for len(lines) > 0 {
		to := lines[0].to
		var own, rest []line
		for _, l := range lines {
			if l.to.dot(to) >= sameWay {
				own = append(own, l)
			} else {
				rest = append(rest, l)
			}
		}
		lines = rest
		all = append(all, along(own, to, sizes)...)
	}
	return all
}

// along parts lines of sight of one direction into stretches, where none is seen for longer than the reach.
func along(lines []line, to Point, sizes AisleSizes) []wholeLeg {
	axis := to.left().mul(-1)
	for k := range lines {
		l := &lines[k]
		a0, a1 := l.side[0].shape.reach(axis)
		b0, b1 := l.side[1].shape.reach(axis)
		l.from, l.end = max(a0, b0), min(a1, b1)
		if l.from > l.end { // turned against each other
			l.from = l.at.dot(axis)
			l.end = l.from
		}
	}
	slices.SortStableFunc(lines, func(x, y line) int { return cmp.Or(cmpFloat(x.from, y.from), cmpFloat(x.end, y.end)) })
	var all []wholeLeg
	for first := 0; first < len(lines); {
		end, last := lines[first].end, first+1
		for last < len(lines) && lines[last].from <= end+sizes.Reach {
			end = max(end, lines[last].end)
			last++
		}
		w := wholeLeg{leg: leg{along: axis, to: to, from: lines[first].from, end: end}}
		w.lanes = lanes(lines[first:last], to, sizes.Way)
		seen := map[int]bool{}
		for _, l := range lines[first:last] {
			for k, x := range l.side {
				if !seen[x.item] {
					seen[x.item] = true
					w.sides[k] = append(w.sides[k], x)
				}
			}
		}
		all = append(all, w)
		first = last
	}
	return all
}

// lanes follows the fronts of both sections along a stretch and begins anew where no straight lane of the way's width is left.
func lanes(lines []line, to Point, way float64) []lane {
	var all []lane
	for _, l := range lines {
		_, a := l.side[0].shape.reach(to)
		b, _ := l.side[1].shape.reach(to)
		n := len(all) - 1
		if n >= 0 && min(all[n].front[1], b)-max(all[n].front[0], a) >= way*(1-limitSlack) {
			t := &all[n]
			t.front = [2]float64{max(t.front[0], a), min(t.front[1], b)}
			t.end = max(t.end, l.end)
			continue
		}
		from := l.from
		if n >= 0 {
			from = max(from, all[n].end)
		}
		if b-a >= way*(1-limitSlack) && l.end > from {
			all = append(all, lane{from: from, end: l.end, front: [2]float64{a, b}})
		}
	}
	return all
}

// findOpenings lists the places beside the clear lanes of a stretch that are large enough for a cutout.
func (s *Spread) findOpenings(w *wholeLeg, sizes AisleSizes, obstacles *Spread) {
	for _, t := range w.lanes {
		for far := range 2 {
			for k, deep := range sizes.Cutout {
				w.addOpenings(s, t, far == 1, deep, sizes.Cutout[1-k], obstacles)
			}
		}
	}
	slices.SortFunc(w.openings, func(x, y opening) int { return cmp.Or(cmpFloat(x.from, y.from), cmpFloat(x.end, y.end)) })
}

// addOpenings lists the openings of a depth that are at least a length long, on one side of a lane.
func (w *wholeLeg) addOpenings(s *Spread, t lane, far bool, deep, long float64, obstacles *Spread) {
	lo, hi := t.front[0]-deep, t.front[0]
	side := w.sides[0]
	if far {
		lo, hi, side = t.front[1], t.front[1]+deep, w.sides[1]
	}
	at := func(along, h float64) Point { return w.along.mul(along).add(w.to.mul(h)) }
	band := [4]Point{at(t.from, lo), at(t.end, lo), at(t.end, hi), at(t.from, hi)}
	const skin = Tolerance / 10
	var taken [][2]float64
	faces := map[int]motion{}
	for _, x := range side {
		faces[s.roof.joined().of[s.items[x.item].Plane]] = x.place
	}
	for face, place := range faces {
		back := place.inverse()
		b := boxOf([]Point{back.apply(band[0]), back.apply(band[1]), back.apply(band[2]), back.apply(band[3])})
		for _, spread := range [2]*Spread{s, obstacles} {
			if spread == nil {
				continue
			}
			spread.index[face].within(b, func(n int) {
				shape := spread.shapes[spread.on[face][n]].carried(place)
				h0, h1 := shape.reach(w.to)
				if h1 > lo+skin && h0 < hi-skin {
					a0, a1 := shape.reach(w.along)
					taken = append(taken, [2]float64{a0, a1})
				}
			})
		}
	}
	for _, free := range gaps(t.from, t.end, taken) {
		if free[1]-free[0] < long*(1-limitSlack) {
			continue
		}
		middle := (free[0] + free[1]) / 2
		onRoof := true
		for _, p := range [5]Point{at(free[0], lo), at(free[1], lo), at(free[1], hi), at(free[0], hi), at(middle, (lo+hi)/2)} {
			onRoof = onRoof && s.roof.holds(faces, p)
		}
		within := slices.ContainsFunc(w.openings, func(o opening) bool { return o.far == far && o.from <= free[0] && o.end >= free[1] })
		if onRoof && !within {
			w.openings = append(w.openings, opening{far, free[0], free[1], long})
		}
	}
}

// holds tells whether a point in a flat frame lies on a plane of one of the faces, within the accuracy of drawn edges.
func (r *Roof) holds(faces map[int]motion, p Point) bool {
	f := r.joined()
	for k, place := range faces {
		for _, plane := range f.all[k].planes {
			if planeDistance(r.surface(plane), f.place[plane].inverse().apply(place.inverse().apply(p))) <= seaming {
				return true
			}
		}
	}
	return false
}

// gaps lists what is left of a range when others are taken out of it.
func gaps(from, end float64, taken [][2]float64) [][2]float64 {
	slices.SortFunc(taken, func(a, b [2]float64) int { return cmpFloat(a[0], b[0]) })
	var free [][2]float64
	for _, t := range taken {
		if t[0] > from {
			free = append(free, [2]float64{from, min(t[0], end)})
		}
		if from = max(from, t[1]); from >= end {
			return free
		}
	}
	return append(free, [2]float64{from, end})
}

// Cutouts is the number of openings of a cutout's size that border the aisle.
func (a *Aisle) Cutouts() int {
	n := 0
	for k := range a.legs {
		n += len(a.legs[k].openings)
	}
	return n
}

// CutoutInterval is the longest part of the aisle that no cutout borders, where cutouts lie on alternating sides as well as the openings
// allow, metres: from the edge of one to the edge of the next, or between their middles, and from the ends of each stretch.
func (a *Aisle) CutoutInterval(middles bool) float64 {
	longest := 0.0
	for k := range a.legs {
		longest = max(longest, a.legs[k].interval(middles))
	}
	return longest
}

// interval picks, of all rows of openings on alternating sides, the one whose largest interval is least.
func (r *leg) interval(middles bool) float64 {
	best := r.end - r.from
	worst := make([]float64, len(r.openings)) // least largest interval up to the opening
	for k, o := range r.openings {
		from, end := o.from, o.end
		if middles {
			from, end = o.from+o.use/2, o.end-o.use/2
		}
		worst[k] = max(0, from-r.from)
		for m, before := range r.openings[:k] {
			if before.far == o.far {
				continue
			}
			last := before.end
			if middles {
				last -= before.use / 2
			}
			worst[k] = min(worst[k], max(worst[m], from-last))
		}
		best = min(best, max(worst[k], r.end-end))
	}
	return best
}

// Beside is the wider of the two ways left between an item and the sections, metres, where it stands in the aisle; ok is false where it does not.
func (s *Spread) Beside(a *Aisle, it Item) (width float64, ok bool) {
	if s.roof.checkItems([]Item{it}) != nil {
		return 0, false
	}
	f := s.roof.joined()
	own := f.shape(&it)
	for k := range a.legs {
		r := &a.legs[k]
		for face, place := range s.faces(r) {
			if face != f.of[it.Plane] {
				continue
			}
			if w, in := r.beside(own.carried(place)); in && (!ok || w > width) {
				width, ok = w, true
			}
		}
	}
	return width, ok
}

// faces are the faces on which the items of a stretch stand, and their places.
func (s *Spread) faces(r *leg) map[int]motion {
	all := map[int]motion{}
	for _, side := range r.sides {
		for _, x := range side {
			all[s.roof.joined().of[s.items[x.item].Plane]] = x.place
		}
	}
	return all
}

// beside is the wider way between a shape and the two sides, where it stands between what of them lies opposite it.
func (r *leg) beside(shape Shape) (float64, bool) {
	from, end := shape.reach(r.along)
	lo, hi := shape.reach(r.to)
	if from < r.from-Tolerance || end > r.end+Tolerance {
		return 0, false
	}
	width, between := 0.0, true
	for k, side := range r.sides {
		least, opposite := math.Inf(1), false
		for _, x := range side {
			d, _, _ := separation(&shape, &x.shape)
			least = min(least, d)
			a0, a1 := x.shape.reach(r.along)
			if a1 <= from || a0 >= end {
				continue
			}
			opposite = true
			h0, h1 := x.shape.reach(r.to)
			between = between && (k == 0 && h1 <= lo+Tolerance || k == 1 && h0 >= hi-Tolerance)
		}
		between = between && opposite
		width = max(width, least)
	}
	return width, between
}
