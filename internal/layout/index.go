package layout

import (
	"cmp"
	"math"
	"slices"
)

// tree is a k-d tree over points: the middle of each range is its node, split
// along x and y in turn.
type tree struct {
	points []Point
	order  []int
}

func newTree(points []Point) *tree {
	t := &tree{points: points, order: make([]int, len(points))}
	for i := range t.order {
		t.order[i] = i
	}
	t.build(t.order, true)
	return t
}

func (t *tree) build(order []int, byX bool) {
	if len(order) < 2 {
		return
	}
	middle := len(order) / 2
	t.pick(order, middle, byX)
	t.build(order[:middle], !byX)
	t.build(order[middle+1:], !byX)
}

// before is a total order, so that the tree is the same on every run.
func (t *tree) before(i, j int, byX bool) bool {
	p, q := t.points[i], t.points[j]
	if byX {
		return cmp.Or(cmp.Compare(p.X, q.X), cmp.Compare(p.Y, q.Y), cmp.Compare(i, j)) < 0
	}
	return cmp.Or(cmp.Compare(p.Y, q.Y), cmp.Compare(p.X, q.X), cmp.Compare(i, j)) < 0
}

// pick moves the entry of rank n to its place, with none after it on its left
// and none before it on its right (quickselect, middle entry as pivot).
func (t *tree) pick(order []int, n int, byX bool) {
	for low, high := 0, len(order)-1; low < high; {
		pivot := order[low+(high-low)/2]
		i, j := low, high
		for i <= j {
			for t.before(order[i], pivot, byX) {
				i++
			}
			for t.before(pivot, order[j], byX) {
				j--
			}
			if i <= j {
				order[i], order[j] = order[j], order[i]
				i, j = i+1, j-1
			}
		}
		switch {
		case n <= j:
			high = j
		case n >= i:
			low = i
		default:
			return
		}
	}
}

// near calls visit for every point within the radius that visit last returned,
// starting from radius. Returning a smaller radius narrows the search.
func (t *tree) near(at Point, radius float64, visit func(i int, distance float64) float64) {
	var walk func(order []int, byX bool)
	walk = func(order []int, byX bool) {
		if len(order) == 0 {
			return
		}
		middle := len(order) / 2
		i := order[middle]
		if d := at.distance(t.points[i]); d <= radius {
			radius = visit(i, d)
		}
		offset := at.Y - t.points[i].Y
		if byX {
			offset = at.X - t.points[i].X
		}
		first, second := order[:middle], order[middle+1:]
		if offset > 0 {
			first, second = second, first
		}
		walk(first, !byX)
		if math.Abs(offset) <= radius {
			walk(second, !byX)
		}
	}
	walk(t.order, true)
}

// Closer gives every pair of points at a distance of limit or less, in order of
// their indices. Points that are not numbers are near nothing.
func Closer(points []Point, limit float64) []Pair {
	t := newTree(points)
	var pairs []Pair
	for i, p := range points {
		t.near(p, limit, func(j int, d float64) float64 {
			if j > i {
				pairs = append(pairs, Pair{i, j, d})
			}
			return limit
		})
	}
	slices.SortFunc(pairs, func(p, q Pair) int {
		return cmp.Or(cmp.Compare(p.First, q.First), cmp.Compare(p.Second, q.Second))
	})
	return pairs
}

// Nearest gives, for each point, the nearest other point and its distance. With
// fewer than two points there is none, and the result is nil. Of equally near
// points the first is taken.
func Nearest(points []Point) []Pair {
	if len(points) < 2 {
		return nil
	}
	t := newTree(points)
	nearest := make([]Pair, len(points))
	for i, p := range points {
		best := Pair{i, -1, math.Inf(1)}
		t.near(p, best.Distance, func(j int, d float64) float64 {
			if j != i && (d < best.Distance || d == best.Distance && j < best.Second) {
				best = Pair{i, j, d}
			}
			return best.Distance
		})
		nearest[i] = best
	}
	return nearest
}
