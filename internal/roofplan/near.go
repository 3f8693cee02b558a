package roofplan

import (
	"math"
	"slices"
)

// OuterKinds are the kinds of edges at which the roof, as far as a crew can walk, comes to its end.
var OuterKinds = []EdgeKind{Eave, HighEave, Rake, Step, Wall, Parapet}

// Joints are the kinds of edges over which the surface of the roof goes on.
var Joints = []EdgeKind{Break, Ridge, Valley, Hip}

// Near is how near an item comes to an edge or to another item, over the surface: straight over planes laid flat beside each other, and
// bent round the end of a joint where the straight line passes beside it. Where a plane stands back or has a hole the line may leave it,
// so that the way on foot can be longer, never shorter.
type Near struct {
	Item     int     // index of the item as given
	Distance float64 // metres, 0 where they meet
	Edge     Edge    // the edge that is near; of no meaning between items
	OnItem   Point   // nearest point of the item, on the surface of its plane
	OnOther  Point   // nearest point of the edge or target, on the surface of its plane
}

// Clearance finds the item on a plane that comes nearest to edges of the given kinds, of all kinds but Break when none is given: those of the
// plane, and those of others beyond joints at which nothing but the pitch changes, if that. It is false when there is no such
// edge or no item: absence of a measure, not a clearance.
func (r *Roof) Clearance(plane int, items []Item, kinds ...EdgeKind) (Near, bool) {
	return r.ClearanceOver([]EdgeKind{Break}, plane, items, kinds...)
}

// ClearanceOver is Clearance where the joints over which it is measured are those of the given kinds.
func (r *Roof) ClearanceOver(over []EdgeKind, plane int, items []Item, kinds ...EdgeKind) (Near, bool) {
	best := Near{Distance: math.Inf(1)}
	if plane < 0 || plane >= len(r.planes) {
		return best, false
	}
	borders := r.borders(kinds)
	for i := range items {
		if items[i].Plane == plane {
			r.nearer(&best, borders, over, i, &items[i])
		}
	}
	return best, !math.IsInf(best.Distance, 1)
}

// frontier is an edge of a face in its frame.
type frontier struct {
	edge  Edge
	shape Shape
	box   box
}

// borders lists the edges of the given kinds by face, of all but Break when none is given.
func (r *Roof) borders(kinds []EdgeKind) [][]frontier {
	f := r.joined()
	all := make([][]frontier, len(f.all))
	for i := range r.planes {
		for _, e := range r.edges[i] {
			if e.Kind == Break && len(kinds) == 0 || len(kinds) > 0 && !contains(kinds, e.Kind) {
				continue
			}
			s := e.Shape().carried(f.place[i])
			all[f.of[i]] = append(all[f.of[i]], frontier{e, s, s.box()})
		}
	}
	return all
}

// nearer puts the nearest edge of an item in the place of the best so far; false when none is nearer.
func (r *Roof) nearer(best *Near, borders [][]frontier, over []EdgeKind, i int, it *Item) bool {
	if it.Shape.Empty() {
		return false
	}
	f, found := r.joined(), false
	own := f.shape(it)
	f.walk(f.of[it.Plane], over, func(s *sleeve) bool {
		if len(s.folds) > 0 && s.reaches(&own) >= best.Distance {
			return false
		}
		back := s.place.inverse()
		moved := own.carried(back).box()
		for k := range borders[s.last] {
			b := &borders[s.last][k]
			if moved.distance(b.box) >= best.Distance {
				continue
			}
			edge := b.shape.carried(s.place)
			if d, p, q := s.through(&own, &edge, best.Distance); d < best.Distance {
				*best = Near{i, d, b.edge, f.place[it.Plane].inverse().apply(p), f.place[b.edge.Plane].inverse().apply(back.apply(q))}
				found = true
			}
		}
		return true
	})
	return found
}

// reaches is a distance that no way from a shape through the sleeve is below.
func (s *sleeve) reaches(shape *Shape) float64 {
	n := len(s.folds)
	inner := sleeve{folds: s.folds[:n-1]}
	last := s.folds[n-1].shape()
	d, _, _ := inner.through(shape, &last, math.Inf(1))
	return d
}

// Spread is a set of items on the faces of a roof, laid out to be searched. It is not changed and may be read by many goroutines.
type Spread struct {
	roof   *Roof
	items  []Item
	shapes []Shape // of each item, in the frame of its face
	on     [][]int // items of each face that have a shape
	index  []*tree // of each face, over its entry of on
}

// Spread lays out items. Those with an empty shape or on no plane of the roof are left out.
func (r *Roof) Spread(items []Item) *Spread {
	f := r.joined()
	s := &Spread{roof: r, items: items, shapes: make([]Shape, len(items)), on: make([][]int, len(f.all)), index: make([]*tree, len(f.all))}
	for i := range items {
		it := &items[i]
		if it.Plane >= 0 && it.Plane < len(r.planes) && !it.Shape.Empty() {
			s.shapes[i] = f.shape(it)
			s.on[f.of[it.Plane]] = append(s.on[f.of[it.Plane]], i)
		}
	}
	for k, list := range s.on {
		boxes := make([]box, len(list))
		for n, i := range list {
			boxes[n] = s.shapes[i].box()
		}
		s.index[k] = newTree(boxes)
	}
	return s
}

// Nearest finds the item nearest to a target over joints of the given kinds, of all kinds when none is given. An item with the
// target's name, plane and shape is the target. It is false when there is none on planes joined to the target's.
func (s *Spread) Nearest(target Item, over ...EdgeKind) (Near, bool) {
	best := Near{Distance: math.Inf(1)}
	s.around(&target, over, func() float64 { return best.Distance }, func(n Near) { best = n })
	return best, !math.IsInf(best.Distance, 1)
}

// Around lists the items within a distance, metres, of a target over joints of the given kinds, of all kinds when none is given, in the order
// of the items. An item at the very distance is clear. An item with the target's name, plane and shape is the target.
func (s *Spread) Around(target Item, distance float64, over ...EdgeKind) []Near {
	found := map[int]Near{}
	s.around(&target, over, func() float64 { return distance * (1 - limitSlack) }, func(n Near) {
		if old, known := found[n.Item]; !known || n.Distance < old.Distance {
			found[n.Item] = n
		}
	})
	var all []Near
	for _, n := range found {
		all = append(all, n)
	}
	slices.SortFunc(all, func(a, b Near) int { return a.Item - b.Item })
	return all
}

// Around is what Around of a Spread of the items gives over all joints.
func (r *Roof) Around(target Item, items []Item, distance float64) []Near {
	return r.Spread(items).Around(target, distance)
}

// around offers the items nearer to a target than a bound, which may fall as they are found.
func (s *Spread) around(target *Item, over []EdgeKind, bound func() float64, offer func(n Near)) {
	r := s.roof
	if r.checkItems([]Item{*target}) != nil {
		return
	}
	if len(over) == 0 {
		over = Joints
	}
	f := r.joined()
	own := f.shape(target)
	f.walk(f.of[target.Plane], over, func(w *sleeve) bool {
		if len(w.folds) > 0 && w.reaches(&own) >= bound() {
			return false
		}
		back := w.place.inverse()
		near := own.carried(back)
		list := s.on[w.last]
		s.index[w.last].nearest(near.box(), bound(), func(n int, _ float64) float64 {
			i := list[n]
			if s.items[i] == *target {
				return math.Inf(1)
			}
			other := s.shapes[i].carried(w.place)
			d, p, q := w.through(&own, &other, bound())
			if d < bound() {
				offer(Near{Item: i, Distance: d, OnOther: f.place[target.Plane].inverse().apply(p), OnItem: f.place[s.items[i].Plane].inverse().apply(back.apply(q))})
			}
			return bound()
		})
		return true
	})
}
