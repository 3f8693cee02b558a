package roofplan

import (
	"math"
	"slices"
)

// Section is a group of items over all planes that join, with no way between them.
type Section struct {
	Items  []int      // indexes as given
	Planes []int      // planes that they stand on, in order
	Length [2]float64 // extents, metres: along the sides of its rectangles, or along x and y of the plane; the way across first
}

// Extent is the larger of its extents, metres.
func (s *Section) Extent() float64 { return max(s.Length[0], s.Length[1]) }

// Sections parts the items into groups between which a way of a width, metres, is open: items nearer to each other than the width, over breaks,
// ridges, hips and valleys, are of one section. Sections are in the order of their first items.
//
// A section is measured laid flat: its faces beside each other as the planes of most of its area see them, joined at breaks first, then at
// ridges, valleys and hips, longer joints first. Around a corner at which hips meet no flat picture is true in all directions; the extents
// are then those of this picture, or of the plan view where they are larger.
func (s *Spread) Sections(width float64) []Section {
	g := newGroups(len(s.items))
	limit := width * (1 - limitSlack)
	for k := range s.on {
		s.within(k, limit, func(i, j int) {
			if g.find(i) == g.find(j) {
				return
			}
			if d, _, _ := separation(&s.shapes[i], &s.shapes[j]); d < limit {
				g.join(i, j)
			}
		})
	}
	s.across(limit, func(i, j int, w *sleeve) {
		if g.find(i) == g.find(j) {
			return
		}
		other := s.shapes[j].carried(w.place)
		if d, _, _ := w.through(&s.shapes[i], &other, limit); d < limit {
			g.join(i, j)
		}
	})
	return s.gather(g.find)
}

// Together takes all items on planes that join as one section each, however far apart they are.
func (s *Spread) Together() []Section {
	f := s.roof.joined()
	g := newGroups(len(f.all))
	for k := range f.all {
		for _, j := range f.all[k].folds {
			g.join(k, j.beyond)
		}
	}
	return s.gather(func(i int) int { return g.find(f.of[s.items[i].Plane]) })
}

// gather makes a section of the items of each group.
func (s *Spread) gather(group func(i int) int) []Section {
	f := s.roof.joined()
	at := map[int]int{}
	var all []Section
	for i := range s.items {
		if s.shapes[i].Empty() {
			continue
		}
		k, known := at[group(i)]
		if !known {
			k = len(all)
			at[group(i)] = k
			all = append(all, Section{})
		}
		all[k].Items = append(all[k].Items, i)
	}
	for k := range all {
		section := &all[k]
		on := map[int]float64{} // area by face
		for _, i := range section.Items {
			on[f.of[s.items[i].Plane]] += s.shapes[i].Area()
			section.Planes = append(section.Planes, s.items[i].Plane)
		}
		section.Planes = sorted(section.Planes)
		section.Length = s.extents(section.Items, mostArea(on))
	}
	return all
}

// mostArea is the face with the largest area, the first of equals.
func mostArea(on map[int]float64) int {
	best := -1
	for k, area := range on {
		if best < 0 || area > on[best]*(1+limitSlack) || area >= on[best]*(1-limitSlack) && k < best {
			best = k
		}
	}
	return best
}

// within offers the pairs of items on a face whose boxes are within a distance, each once.
func (s *Spread) within(face int, distance float64, offer func(i, j int)) {
	list := s.on[face]
	for n, i := range list {
		s.index[face].within(s.index[face].boxes[n].grown(distance), func(m int) {
			if m > n {
				offer(i, list[m])
			}
		})
	}
}

// across offers the pairs of items on two faces, with the sleeves through which they may be nearer to each other than a distance.
func (s *Spread) across(distance float64, offer func(i, j int, w *sleeve)) {
	f := s.roof.joined()
	for k := range s.on {
		if len(s.on[k]) == 0 {
			continue
		}
		f.walk(k, Joints, func(w *sleeve) bool {
			if len(w.folds) == 0 {
				return true
			}
			if w.length() >= distance {
				return false
			}
			if w.last > k && len(s.on[w.last]) > 0 {
				s.acrossOne(w, distance, offer)
			}
			return true
		})
	}
}

// acrossOne offers the pairs of items at the two ends of a sleeve whose boxes, laid flat, are within a distance.
func (s *Spread) acrossOne(w *sleeve, distance float64, offer func(i, j int, w *sleeve)) {
	back := w.place.inverse()
	first := w.folds[0].shape()
	last := w.folds[len(w.folds)-1].shape().carried(back)
	s.index[w.first].within(first.box().grown(distance), func(n int) {
		i := s.on[w.first][n]
		d, _, _ := separation(&s.shapes[i], &first)
		if d >= distance {
			return
		}
		reach := s.shapes[i].carried(back).box().grown(distance)
		s.index[w.last].within(reach, func(m int) {
			j := s.on[w.last][m]
			if e, _, _ := separation(&s.shapes[j], &last); d+e < distance {
				offer(i, j, w)
			}
		})
	})
}

// layFlat places every face that is joined to one of them beside it: over the joints that a crew would call the roof going on, breaks first, then
// ridges, valleys and hips, longer ones first, each face once.
func (f *faces) layFlat(base int) map[int]motion {
	place := map[int]motion{base: {cos: 1}}
	next := []int{base}
	for len(next) > 0 {
		at := next[0]
		next = next[1:]
		for _, j := range f.tree[at] {
			if _, placed := place[j.beyond]; !placed {
				place[j.beyond] = place[at].after(j.place)
				next = append(next, j.beyond)
			}
		}
	}
	return place
}

// spanningFolds picks the folds that join all faces without a ring, by face.
func (f *faces) spanningFolds() [][]fold {
	type joint struct {
		face int
		fold
	}
	var all []joint
	for k := range f.all {
		for _, j := range f.all[k].folds {
			all = append(all, joint{k, j})
		}
	}
	slices.SortStableFunc(all, func(x, y joint) int {
		if c := slices.Index(Joints, x.kind) - slices.Index(Joints, y.kind); c != 0 {
			return c
		}
		return cmpFloat(math.Round(y.a.DistanceTo(y.b)/Tolerance), math.Round(x.a.DistanceTo(x.b)/Tolerance))
	})
	g := newGroups(len(f.all))
	tree := make([][]fold, len(f.all))
	for _, j := range all {
		if g.join(j.face, j.beyond) {
			back := fold{kind: j.kind, beyond: j.face, place: j.place.inverse()}
			tree[j.face], tree[j.beyond] = append(tree[j.face], j.fold), append(tree[j.beyond], back)
		}
	}
	return tree
}

// extents measures a group of items along the sides of most of its rectangles, laid flat beside a face.
func (s *Spread) extents(group []int, base int) [2]float64 {
	f := s.roof.joined()
	place := f.layFlat(base)
	laid := make([]Shape, len(group))
	for n, i := range group {
		laid[n] = s.shapes[i].carried(place[f.of[s.items[i].Plane]])
	}
	across := sidesAlong(laid)
	frame := s.roof.frames[f.all[base].planes[0]]
	var length [2]float64
	for k, direction := range [2]Point{across, across.left()} {
		length[k] = span(laid, direction)
		if len(place) > 1 {
			onPlan := frame.right.mul(direction.X).add(frame.up.mul(direction.Y))
			length[k] = max(length[k], s.planSpan(group, onPlan))
		}
	}
	return length
}

// span is how far shapes reach along a direction.
func span(shapes []Shape, direction Point) float64 {
	lo, hi := math.Inf(1), math.Inf(-1)
	for n := range shapes {
		a, b := shapes[n].reach(direction)
		lo, hi = min(lo, a), max(hi, b)
	}
	return hi - lo
}

// planSpan is how far the corners of items reach along a direction in plan view.
func (s *Spread) planSpan(group []int, direction Point) float64 {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, i := range group {
		it := &s.items[i]
		for _, p := range it.Shape.points[:it.Shape.n] {
			v := s.roof.frames[it.Plane].ToPlan(p).dot(direction)
			lo, hi = min(lo, v), max(hi, v)
		}
	}
	return hi - lo
}

// reach is the range of a shape along a direction, its radius included.
func (s *Shape) reach(direction Point) (lo, hi float64) {
	lo, hi = s.extent(direction)
	return lo - s.radius, hi + s.radius
}

// sidesAlong is the direction, of those of the lower sides of rectangles, along whose right angles the most area of rectangles lies; x when
// there is no rectangle.
func sidesAlong(shapes []Shape) Point {
	type heading struct {
		along Point
		area  float64
	}
	var all []heading
	best := heading{along: Point{1, 0}}
	for i := range shapes {
		s := &shapes[i]
		if s.n != 4 {
			continue
		}
		u := s.points[1].sub(s.points[0]).unit()
		k := slices.IndexFunc(all, func(h heading) bool { return min(math.Abs(u.dot(h.along)), math.Abs(u.cross(h.along))) < 1e-6 })
		if k < 0 {
			k = len(all)
			all = append(all, heading{along: u})
		}
		all[k].area += s.Area()
		if all[k].area > best.area*(1+limitSlack) {
			best = all[k]
		}
	}
	return best.along
}
