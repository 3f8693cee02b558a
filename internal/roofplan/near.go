package roofplan

import "math"

// OuterKinds are the kinds of edges at which the roof, as far as a crew can walk, comes to its end.
var OuterKinds = []EdgeKind{Eave, HighEave, Rake, Step, Wall, Parapet}

// Near is how near an item comes to an edge or to another item, over the surface as the crow flies.
type Near struct {
	Item     int     // index of the item as given
	Distance float64 // metres, 0 where they meet
	Edge     Edge    // the edge that is near; of no meaning between items
	OnItem   Point   // nearest point of the item, on the surface of the edge's plane or of the target's
	OnOther  Point   // nearest point of the edge or target
}

// Clearance finds the item on a plane that comes nearest to the plane's edges of the given kinds, of all kinds when none is given. It is
// false when the plane has no such edge or no item: absence of a measure, not a clearance.
func (r *Roof) Clearance(plane int, items []Item, kinds ...EdgeKind) (Near, bool) {
	best := Near{Distance: math.Inf(1)}
	for i := range items {
		if n, ok := r.nearEdge(plane, i, &items[i], kinds); ok && n.Distance < best.Distance {
			best = n
		}
	}
	return best, !math.IsInf(best.Distance, 1)
}

// Strip lists the items on a plane that stand in the strip of a depth, metres, along the plane's edges of the given kinds, of all kinds when
// none is given, each with its nearest edge, in the order of the items. An item at the very depth is clear of the strip.
func (r *Roof) Strip(plane int, items []Item, depth float64, kinds ...EdgeKind) []Near {
	var all []Near
	for i := range items {
		if n, ok := r.nearEdge(plane, i, &items[i], kinds); ok && n.Distance < depth*(1-limitSlack) {
			all = append(all, n)
		}
	}
	return all
}

func (r *Roof) nearEdge(plane, i int, it *Item, kinds []EdgeKind) (Near, bool) {
	best := Near{Item: i, Distance: math.Inf(1)}
	if it.Plane != plane || plane < 0 || plane >= len(r.planes) {
		return best, false
	}
	for _, e := range r.edges[plane] {
		if len(kinds) > 0 && !contains(kinds, e.Kind) {
			continue
		}
		if d, p, q := Distance(it.Shape, e.Shape()); d < best.Distance {
			best = Near{i, d, e, p, q}
		}
	}
	return best, !math.IsInf(best.Distance, 1)
}

// Around lists the items within a distance, metres, of a target item, in the order of the items: those on its plane and those on planes
// that meet it, laid flat, where that can be done. An item at the very distance is clear. An item with the target's name and shape is the target.
func (r *Roof) Around(target Item, items []Item, distance float64) []Near {
	if r.checkItems([]Item{target}) != nil {
		return nil
	}
	place := map[int]motion{target.Plane: {cos: 1}}
	for _, q := range r.Neighbours(target.Plane) {
		if flat, err := r.Unfold([]int{target.Plane, q}, Ridge, Hip, Valley, Break); err == nil {
			place[q] = flat.place[q]
		}
	}
	var all []Near
	for i, it := range items {
		m, ok := place[it.Plane]
		if !ok || it == target {
			continue
		}
		if d, p, q := Distance(it.Shape.carried(m), target.Shape); d < distance*(1-limitSlack) {
			all = append(all, Near{Item: i, Distance: d, OnItem: p, OnOther: q})
		}
	}
	return all
}
