package roofplan

import (
	"math"
	"slices"
)

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
