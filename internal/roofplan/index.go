package roofplan

import "slices"

// tree is a hierarchy of bounding boxes over numbered things, split at the median of the longer side; it is built in n log n. It
// exists beside the R-tree of the geometry library because the search for nearest foreign neighbours (see spanning.go) prunes by a label kept
// for each node.
type tree struct {
	boxes []box  // of the things
	order []int  // the things in leaf order
	nodes []node // node 0 is the root; empty when there is nothing
}

type node struct {
	box         box
	first, last int // range of order
	left, right int // children, 0 for a leaf
}

const leafSize = 4

func newTree(boxes []box) *tree {
	t := &tree{boxes: boxes, order: make([]int, len(boxes))}
	for i := range t.order {
		t.order[i] = i
	}
	if len(boxes) > 0 {
		t.nodes = make([]node, 0, 2*len(boxes)/leafSize+1)
		t.build(0, len(boxes))
	}
	return t
}

func (t *tree) build(first, last int) int {
	b := emptyBox()
	for _, i := range t.order[first:last] {
		b = b.with(t.boxes[i])
	}
	at := len(t.nodes)
	t.nodes = append(t.nodes, node{box: b, first: first, last: last})
	if last-first <= leafSize {
		return at
	}
	// Middles of the boxes decide; equal middles fall back to the number, so that the tree is the same every time.
	wide := b.maxX-b.minX >= b.maxY-b.minY
	middle := func(i int) float64 {
		if wide {
			return t.boxes[i].minX + t.boxes[i].maxX
		}
		return t.boxes[i].minY + t.boxes[i].maxY
	}
	half := (first + last) / 2
	selectMiddle(t.order[first:last], half-first, func(a, b int) bool {
		x, y := middle(a), middle(b)
		return x < y || x == y && a < b
	})
	left := t.build(first, half)
	right := t.build(half, last)
	t.nodes[at].left, t.nodes[at].right = left, right
	return at
}

// selectMiddle reorders list so that the entry at k is where sorting would put it, with none after it less. It takes time in
// proportion to the length: quickselect with the median of three as pivot, and sorting once the range is short.
func selectMiddle(list []int, k int, less func(a, b int) bool) {
	for len(list) > 12 {
		a, b, c := list[0], list[len(list)/2], list[len(list)-1]
		if less(b, a) {
			a, b = b, a
		}
		if less(c, b) {
			b = c
			if less(b, a) {
				b = a
			}
		}
		i, j := 0, len(list)-1
		for i <= j {
			for less(list[i], b) {
				i++
			}
			for less(b, list[j]) {
				j--
			}
			if i <= j {
				list[i], list[j] = list[j], list[i]
				i++
				j--
			}
		}
		switch {
		case k <= j:
			list = list[:j+1]
		case k >= i:
			list, k = list[i:], k-i
		default:
			return
		}
	}
	slices.SortFunc(list, func(a, b int) int {
		if less(a, b) {
			return -1
		}
		return 1
	})
}

// within calls visit with everything whose box meets b.
func (t *tree) within(b box, visit func(i int)) {
	if len(t.nodes) > 0 {
		t.walk(0, b, visit)
	}
}

func (t *tree) walk(at int, b box, visit func(i int)) {
	n := &t.nodes[at]
	if n.box.distance(b) > 0 {
		return
	}
	if n.left == 0 {
		for _, i := range t.order[n.first:n.last] {
			if t.boxes[i].distance(b) <= 0 {
				visit(i)
			}
		}
		return
	}
	t.walk(n.left, b, visit)
	t.walk(n.right, b, visit)
}

// nearest finds the thing with the least distance below bound to a box, where measure gives the true distance of a
// candidate, never less than that of its box. Of equals the one met first is kept; the search order is fixed by the tree.
func (t *tree) nearest(b box, bound float64, measure func(i int, bound float64) float64) (best int, distance float64) {
	best, distance = -1, bound
	if len(t.nodes) == 0 {
		return best, distance
	}
	var visit func(at int)
	visit = func(at int) {
		n := &t.nodes[at]
		if n.box.distance(b) >= distance {
			return
		}
		if n.left == 0 {
			for _, i := range t.order[n.first:n.last] {
				if t.boxes[i].distance(b) >= distance {
					continue
				}
				if d := measure(i, distance); d < distance {
					best, distance = i, d
				}
			}
			return
		}
		l, r := n.left, n.right
		if t.nodes[r].box.distance(b) < t.nodes[l].box.distance(b) {
			l, r = r, l
		}
		visit(l)
		visit(r)
	}
	visit(0)
	return best, distance
}

// sorted returns the list in order without duplicates.
func sorted(list []int) []int {
	slices.Sort(list)
	return slices.Compact(list)
}

func contains(kinds []EdgeKind, k EdgeKind) bool { return slices.Contains(kinds, k) }

// groups is a union-find structure over numbered things.
type groups struct {
	parent []int32
	size   []int32
}

func newGroups(n int) groups {
	g := groups{parent: make([]int32, n), size: make([]int32, n)}
	for i := range g.parent {
		g.parent[i], g.size[i] = int32(i), 1
	}
	return g
}

func (g groups) find(i int) int {
	k := int32(i)
	for g.parent[k] != k {
		g.parent[k] = g.parent[g.parent[k]]
		k = g.parent[k]
	}
	return int(k)
}

// lists parts some things by their groups, in their order; the lists are in the order of their first things.
func (g groups) lists(things []int) [][]int {
	var all [][]int
	at := map[int]int{}
	for _, i := range things {
		k, known := at[g.find(i)]
		if !known {
			k = len(all)
			at[g.find(i)] = k
			all = append(all, nil)
		}
		all[k] = append(all[k], i)
	}
	return all
}

// join unites the groups of two things; false when they were one already.
func (g groups) join(i, j int) bool {
	a, b := g.find(i), g.find(j)
	if a == b {
		return false
	}
	if g.size[a] < g.size[b] {
		a, b = b, a
	}
	g.parent[b] = int32(a)
	g.size[a] += g.size[b]
	return true
}
