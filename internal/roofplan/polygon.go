package roofplan

import "slices"

// Polygon is the area inside a polygon that does not cross itself, given either way round, as convex shapes that only touch: the polygon itself
// where it is convex and has four corners at most, else triangles. Fewer than three corners, corners that are no places, or no area give nil.
func Polygon(corners []Point) []Shape { return pieces([][]Point{corners}) }

// pieces is the area inside the first ring and outside the others as convex shapes.
func pieces(rings [][]Point) []Shape {
	for _, ring := range rings {
		if len(ring) < 3 || slices.ContainsFunc(ring, func(p Point) bool { return !p.finite() }) || signedArea(ring) == 0 {
			return nil
		}
	}
	ring := wound(rings[0], true)
	for _, hole := range rings[1:] {
		ring = bridged(ring, wound(hole, false))
	}
	if s, ok := convex(ring); ok {
		return []Shape{s}
	}
	return clipEars(ring)
}

// wound is a ring counter-clockwise or clockwise.
func wound(ring []Point, counter bool) []Point {
	ring = slices.Clone(ring)
	if (signedArea(ring) > 0) != counter {
		slices.Reverse(ring)
	}
	return ring
}

// convex is a counter-clockwise ring as one shape, if it is convex and has four corners at most.
func convex(ring []Point) (Shape, bool) {
	n := len(ring)
	if n > 4 {
		return Shape{}, false
	}
	s := Shape{n: n}
	for i, p := range ring {
		if turn(ring[(i+n-1)%n], p, ring[(i+1)%n]) < 0 {
			return Shape{}, false
		}
		s.points[i] = p
	}
	return s, true
}

// turn is twice the area of the triangle abc, positive where it runs counter-clockwise.
func turn(a, b, c Point) float64 { return b.sub(a).cross(c.sub(a)) }

// bridged joins a hole, clockwise, to the ring round it by a line there and back between the two corners in sight of each other that are nearest.
func bridged(ring, hole []Point) []Point {
	type bridge struct {
		at, to int
		length float64
	}
	var all []bridge
	for i, p := range ring {
		for j, q := range hole {
			all = append(all, bridge{i, j, p.DistanceTo(q)})
		}
	}
	slices.SortStableFunc(all, func(a, b bridge) int { return cmpFloat(a.length, b.length) })
	for _, b := range all {
		if blocked(ring[b.at], hole[b.to], ring) || blocked(ring[b.at], hole[b.to], hole) {
			continue
		}
		out := slices.Clone(ring[:b.at+1])
		out = append(out, hole[b.to:]...)
		out = append(out, hole[:b.to+1]...)
		return append(out, ring[b.at:]...)
	}
	return ring // rings that cross one another, which no plane has
}

// blocked tells whether the line between two points runs through an edge of a ring that does not end at either.
func blocked(p, q Point, ring []Point) bool {
	for i, a := range ring {
		b := ring[(i+1)%len(ring)]
		if a == p || a == q || b == p || b == q {
			continue
		}
		if _, _, ok := crossing(p, q, a, b); ok {
			return true
		}
	}
	return false
}

// clipEars cuts a counter-clockwise ring into triangles: a corner whose triangle with its neighbours holds no other corner is cut off, until
// three are left.
func clipEars(ring []Point) []Shape {
	var all []Shape
	cut := func(i int) {
		n := len(ring)
		a, b, c := ring[(i+n-1)%n], ring[i], ring[(i+1)%n]
		if turn(a, b, c) > 0 {
			all = append(all, Shape{points: [4]Point{a, b, c}, n: 3})
		}
		ring = slices.Delete(ring, i, i+1)
	}
	for len(ring) > 2 {
		cut(bestEar(ring))
	}
	return all
}

// bestEar is the corner to cut off next: of those whose triangle is empty the one that makes the least slender triangle. Where rounding leaves
// none it is the corner at which the ring turns least.
func bestEar(ring []Point) int {
	n := len(ring)
	best, plump := -1, 0.0
	flattest, least := 0, 0.0
	for i, b := range ring {
		a, c := ring[(i+n-1)%n], ring[(i+1)%n]
		area := turn(a, b, c)
		longest := max(b.sub(a).dot(b.sub(a)), c.sub(b).dot(c.sub(b)), a.sub(c).dot(a.sub(c)))
		if longest == 0 || a == b || b == c {
			return i
		}
		if share := max(area, -area) / longest; i == 0 || share < least {
			flattest, least = i, share
		}
		if share := area / longest; share > max(plump, 1e-12) && !occupied(a, b, c, ring) {
			best, plump = i, share
		}
	}
	if best < 0 {
		return flattest
	}
	return best
}

// occupied tells whether a triangle holds a corner of the ring other than its own.
func occupied(a, b, c Point, ring []Point) bool {
	t := Shape{points: [4]Point{a, b, c}, n: 3}
	return slices.ContainsFunc(ring, func(p Point) bool { return p != a && p != b && p != c && t.hullHolds(p) })
}
