package roofplan

import (
	"math"
	"slices"
)

// link is the shortest way between two shapes.
type link struct {
	a, b     int
	gap      float64
	onA, onB Point
}

// gapFunc measures the gap between two shapes; it may return anything not below bound when the gap is not below bound. The gap must not be
// less than the distance of the bounding boxes.
type gapFunc func(i, j int, bound float64) link

func boxesOf(shapes []Shape) []box {
	boxes := make([]box, len(shapes))
	for i := range shapes {
		boxes[i] = shapes[i].box()
	}
	return boxes
}

// spanning finds the links of a minimum spanning tree over shapes, shortest first, beginning with the groups that are joined already. It is
// Borůvka's method: in each round every group finds its nearest foreign shape, so that there are at most log n rounds, each one
// search of the index per shape at most.
//
// The largest gap on the way through the tree between two shapes is the least for which a chain of smaller gaps joins them.
func spanning(index *tree, joined groups, gap gapFunc) []link {
	n := len(index.boxes)
	s := search{
		index: index, gap: gap,
		group: make([]int32, n), label: make([]int32, len(index.nodes)),
		best:  make([]link, n),
		floor: make([]float64, n),
	}
	var tree []link
	for s.round(joined) {
		for i := range s.best {
			if l := s.best[i]; l.gap < math.Inf(1) && joined.join(l.a, l.b) {
				tree = append(tree, l)
			}
		}
	}
	slices.SortFunc(tree, func(x, y link) int {
		if c := cmpFloat(x.gap, y.gap); c != 0 {
			return c
		}
		if c := min(x.a, x.b) - min(y.a, y.b); c != 0 {
			return c
		}
		return max(x.a, x.b) - max(y.a, y.b)
	})
	return tree
}

// search is the state of Borůvka's method.
type search struct {
	index *tree
	gap   gapFunc
	group []int32   // group of each shape in this round
	label []int32   // group of everything under a node, -1 when there are several
	best  []link    // for each group, at the number of its root
	floor []float64 // no foreign shape is nearer than this to the shape; it stays true as groups grow
}

// round finds the nearest foreign shape of every group; false when one group is left or no link was found.
func (s *search) round(joined groups) bool {
	for i := range s.group {
		s.group[i] = int32(joined.find(i))
		s.best[i].gap = math.Inf(1)
	}
	nodes := s.index.nodes
	for k := len(nodes) - 1; k >= 0; k-- { // children stand after their parent
		n := &nodes[k]
		if n.left > 0 {
			s.label[k] = s.label[n.left]
			if s.label[n.right] != s.label[k] {
				s.label[k] = -1
			}
			continue
		}
		s.label[k] = s.group[s.index.order[n.first]]
		for _, i := range s.index.order[n.first:n.last] {
			if s.group[i] != s.label[k] {
				s.label[k] = -1
			}
		}
	}
	if len(nodes) == 0 || s.label[0] >= 0 {
		return false
	}
	found := false
	for _, i := range s.index.order {
		best := &s.best[s.group[i]]
		if s.floor[i] < best.gap {
			s.visit(0, i, best)
			s.floor[i] = best.gap
		}
		found = found || best.gap < math.Inf(1)
	}
	return found
}

func (s *search) visit(at, i int, best *link) {
	own, b := s.group[i], &s.index.boxes[i]
	n := &s.index.nodes[at]
	if n.left == 0 {
		for _, j := range s.index.order[n.first:n.last] {
			if s.group[j] == own || b.distance(s.index.boxes[j]) >= best.gap {
				continue
			}
			if l := s.gap(i, j, best.gap); l.gap < best.gap {
				*best = l
			}
		}
		return
	}
	l, r := n.left, n.right
	dl, dr := b.distance(s.index.nodes[l].box), b.distance(s.index.nodes[r].box)
	if dr < dl {
		l, r, dl, dr = r, l, dr, dl
	}
	if s.label[l] != own && dl < best.gap {
		s.visit(l, i, best)
	}
	if s.label[r] != own && dr < best.gap {
		s.visit(r, i, best)
	}
}
