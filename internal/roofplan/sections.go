package roofplan

import "math"

// Section is a group of items with no way between them.
type Section struct {
	Items  []int      // indexes as given, in order
	Length [2]float64 // extents, metres: along the sides of its first rectangle, or along x and y of the plane; the way across first
	Gap    float64    // to the nearest other section, metres; 0 when there is no other
	Next   int        // that section, -1 when there is no other
}

// Sections parts the items on a plane into groups between which a way of a width, metres, is open: items nearer to each other than the
// width are of one section. Sections are in the order of their first items.
func (r *Roof) Sections(plane int, items []Item, width float64) []Section {
	var numbers []int
	var shapes []Shape
	for i, it := range items {
		if it.Plane == plane && !it.Shape.Empty() {
			numbers, shapes = append(numbers, i), append(shapes, it.Shape)
		}
	}
	links := spanning(newTree(boxesOf(shapes)), newGroups(len(shapes)), shapeGap(shapes))
	g := newGroups(len(shapes))
	cut := 0
	for cut < len(links) && links[cut].gap < width*(1-limitSlack) {
		g.join(links[cut].a, links[cut].b)
		cut++
	}
	section := map[int]int{}
	var all []Section
	for k, i := range numbers {
		at, ok := section[g.find(k)]
		if !ok {
			at = len(all)
			section[g.find(k)] = at
			all = append(all, Section{Next: -1})
		}
		all[at].Items = append(all[at].Items, i)
	}
	for _, l := range links[cut:] { // shortest first
		a, b := section[g.find(l.a)], section[g.find(l.b)]
		for _, p := range [2][2]int{{a, b}, {b, a}} {
			if s := &all[p[0]]; s.Next < 0 {
				s.Next, s.Gap = p[1], l.gap
			}
		}
	}
	for k := range all {
		all[k].Length = extents(items, all[k].Items)
	}
	return all
}

// extents measures a group of items along the sides of its first rectangle.
func extents(items []Item, group []int) [2]float64 {
	across := Point{1, 0}
	for _, i := range group {
		if s := &items[i].Shape; s.n == 4 {
			across = s.points[1].sub(s.points[0]).unit()
			break
		}
	}
	var length [2]float64
	for k, direction := range [2]Point{across, across.left()} {
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, i := range group {
			s := &items[i].Shape
			a, b := s.extent(direction)
			lo, hi = min(lo, a-s.radius), max(hi, b+s.radius)
		}
		length[k] = hi - lo
	}
	return length
}
