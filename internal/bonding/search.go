package bonding

// search is a depth-first search over all vertices. Vertices are in order of
// their discovery, so each subtree is a range of order.
type search struct {
	order   []int // vertices in order of discovery
	found   []int // place of each vertex in order
	low     []int // lowest place that the subtree of a vertex is bonded to
	end     []int // place after the last of its subtree
	root    []int // vertex that its search started from
	modules []int // modules among the first entries of order
}

// piece is a part of a group that hangs together when one vertex is removed.
type piece struct {
	spans   [][2]int // ranges of order
	modules int
}

// explore searches from start first, if there is one, then from every vertex not
// yet found.
func (g *Graph) explore(bonds [][2]int, vertices, start int) search {
	next, neighbours := adjacency(bonds, vertices)
	s := search{
		order: make([]int, 0, vertices), found: make([]int, vertices), low: make([]int, vertices),
		end: make([]int, vertices), root: make([]int, vertices), modules: make([]int, 1, vertices+1),
	}
	for v := range s.found {
		s.found[v] = -1
	}
	at := make([]int, vertices) // next neighbour to look at
	copy(at, next)
	discover := func(v, root int) {
		s.found[v], s.low[v], s.root[v] = len(s.order), len(s.order), root
		count := s.modules[len(s.order)]
		if v < len(g.parts) && g.parts[v].Kind == Module {
			count++
		}
		s.order = append(s.order, v)
		s.modules = append(s.modules, count)
	}
	var path []int
	from := func(root int) {
		discover(root, root)
		path = append(path[:0], root)
		for len(path) > 0 {
			v := path[len(path)-1]
			if at[v] == next[v+1] {
				s.end[v] = len(s.order)
				path = path[:len(path)-1]
				if len(path) > 0 {
					up := path[len(path)-1]
					s.low[up] = min(s.low[up], s.low[v])
				}
				continue
			}
			w := neighbours[at[v]]
			at[v]++
			if s.found[w] < 0 {
				discover(w, root)
				path = append(path, w)
			} else {
				s.low[v] = min(s.low[v], s.found[w])
			}
		}
	}
	if start >= 0 {
		from(start)
	}
	for v := range vertices {
		if s.found[v] < 0 {
			from(v)
		}
	}
	return s
}

// adjacency lists the neighbours of v in neighbours[next[v]:next[v+1]].
func adjacency(bonds [][2]int, vertices int) (next, neighbours []int) {
	next = make([]int, vertices+1)
	for _, b := range bonds {
		next[b[0]+1]++
		next[b[1]+1]++
	}
	for v := range vertices {
		next[v+1] += next[v]
	}
	fill := make([]int, vertices)
	copy(fill, next)
	neighbours = make([]int, 2*len(bonds))
	for _, b := range bonds {
		neighbours[fill[b[0]]], neighbours[fill[b[1]]] = b[1], b[0]
		fill[b[0]]++
		fill[b[1]]++
	}
	return next, neighbours
}

// cuts tells whether the group of v falls into pieces without it, or v is the
// vertex that its search started from.
func (s *search) cuts(v int) bool {
	if s.root[v] == v {
		return true
	}
	for at := s.found[v] + 1; at < s.end[v]; at = s.end[s.order[at]] {
		if s.low[s.order[at]] >= s.found[v] {
			return true
		}
	}
	return false
}

// pieces gives what the group of v falls into without v, or nothing where it
// hangs together. The piece with the root is the first, unless v is the root
// itself.
func (s *search) pieces(v int) []piece {
	if !s.cuts(v) {
		return nil
	}
	var pieces []piece
	root := s.root[v]
	if root != v {
		pieces = append(pieces, piece{spans: [][2]int{{s.found[root], s.found[v]}, {s.end[v], s.end[root]}}})
	}
	for at := s.found[v] + 1; at < s.end[v]; {
		child := s.order[at]
		span := [2]int{at, s.end[child]}
		if root == v || s.low[child] >= s.found[v] {
			pieces = append(pieces, piece{spans: [][2]int{span}})
		} else {
			pieces[0].spans = append(pieces[0].spans, span)
		}
		at = span[1]
	}
	for k := range pieces {
		for _, span := range pieces[k].spans {
			pieces[k].modules += s.modules[span[1]] - s.modules[span[0]]
		}
	}
	return pieces
}
