package roofplan

import "slices"

// Sides parts the planes into sides of the roof: planes that lie above, below or beside each other with nothing but a change of pitch, or
// none at all, between them. Each side is what a fire crew calls one slope, however many parts it is drawn in. Planes are in order of index,
// sides in the order of their first planes.
func (r *Roof) Sides() [][]int {
	g := newGroups(len(r.planes))
	planes := make([]int, len(r.planes))
	for i := range planes {
		planes[i] = i
		for _, n := range r.Neighbours(i, Break) {
			g.join(i, n)
		}
	}
	return g.lists(planes)
}

// Beside lists the sides (by their number among sides) that meet a side along edges of the given kinds, hips and valleys when none is given.
func (r *Roof) Beside(sides [][]int, side int, kinds ...EdgeKind) []int {
	if len(kinds) == 0 {
		kinds = []EdgeKind{Hip, Valley}
	}
	of := map[int]int{}
	for k, planes := range sides {
		for _, p := range planes {
			of[p] = k
		}
	}
	var all []int
	for _, p := range sides[side] {
		for _, n := range r.Neighbours(p, kinds...) {
			if k := of[n]; k != side && !slices.Contains(all, k) {
				all = append(all, k)
			}
		}
	}
	slices.Sort(all)
	return all
}
