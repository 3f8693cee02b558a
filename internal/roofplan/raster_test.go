package roofplan

import (
	"container/heap"
	"fmt"
	"math"
	"math/cmplx"
	"math/rand"
	"sort"
	"testing"
)

// Ways over joined planes are compared with an independent method: a raster in plan view over all planes, on which the distance to the nearest
// thing is carried from point to point, folded over each joint that is crossed, and the widest way found by taking points in order of falling
// clearance. It is written in complex numbers and shares with the package only the random things of the grid method; joints, roles, unfoldings and
// distances are its own, and it knows no layout.

// rasterPlane is a plane in plan view.
type rasterPlane struct {
	name           string
	outline        []complex128 // counter-clockwise
	slope, bearing float64
}

func (p rasterPlane) up() complex128 { return -cmplx.Rect(1, (90-p.bearing)*math.Pi/180) }

func dotOf(a, b complex128) float64 { return real(a * cmplx.Conj(b)) }

// local carries a point in plan view to the plane: right and up the slope.
func (p rasterPlane) local(z complex128) complex128 {
	up := p.up()
	return complex(dotOf(z, -1i*up), dotOf(z, up)/math.Cos(p.slope*math.Pi/180))
}

func (p rasterPlane) plan(z complex128) complex128 {
	up := p.up()
	return complex(real(z), 0)*(-1i*up) + complex(imag(z)*math.Cos(p.slope*math.Pi/180), 0)*up
}

// rasterLine is a line along the border of a plane, in plan view.
type rasterLine struct {
	plane int
	a, b  complex128
}

type rasterThing struct {
	plane int
	gridThing
}

// rasterScene is a roof with a set of planes, and where ways begin and end on them.
type rasterScene struct {
	kind         string
	planes       []rasterPlane
	set          []int
	starts, ends []rasterLine
	peaks        []rasterLine // plane and apex: the way ends at the corner, cut back
	things       []rasterThing
}

// rasterFold carries the local frame of one plane to that of another.
type rasterFold struct{ spin, shift complex128 }

func (f rasterFold) apply(z complex128) complex128 { return f.spin*z + f.shift }
func (f rasterFold) back(z complex128) complex128  { return (z - f.shift) / f.spin }
func (f rasterFold) after(g rasterFold) rasterFold {
	return rasterFold{f.spin * g.spin, f.spin*g.shift + f.shift}
}

// rasterCommon is the part that two edges of different planes share in plan view.
func rasterCommon(a, b, c, d complex128) (p, q complex128, ok bool) {
	u := (b - a) / complex(cmplx.Abs(b-a), 0)
	along := func(z complex128) (float64, float64) { w := (z - a) * cmplx.Conj(u); return real(w), imag(w) }
	c0, c1 := along(c)
	d0, d1 := along(d)
	if math.Abs(c1) > 1e-6 || math.Abs(d1) > 1e-6 || d0 > c0 {
		return 0, 0, false
	}
	lo, hi := math.Max(0, d0), math.Min(cmplx.Abs(b-a), c0)
	return a + u*complex(lo, 0), a + u*complex(hi, 0), hi-lo > 1e-6
}

// joint is a line over which two planes of the set meet.
type rasterJoint struct {
	other int
	a, b  complex128
	fold  rasterFold // from the other plane's frame to this one's
}

func (s *rasterScene) joints() map[int][]rasterJoint {
	all := map[int][]rasterJoint{}
	for _, p := range s.set {
		for _, q := range s.set {
			if p == q {
				continue
			}
			P, Q := s.planes[p], s.planes[q]
			for i, a := range P.outline {
				for j, c := range Q.outline {
					f, t, ok := rasterCommon(a, P.outline[(i+1)%len(P.outline)], c, Q.outline[(j+1)%len(Q.outline)])
					if !ok || s.endsAt(p, (f+t)/2) {
						continue
					}
					spin := (P.local(t) - P.local(f)) / (Q.local(t) - Q.local(f))
					spin /= complex(cmplx.Abs(spin), 0)
					all[p] = append(all[p], rasterJoint{q, f, t, rasterFold{spin, P.local(f) - spin*Q.local(f)}})
				}
			}
		}
	}
	return all
}

// endsAt tells whether the way ends at a place on the border of a plane.
func (s *rasterScene) endsAt(plane int, z complex128) bool {
	for _, l := range s.ends {
		if l.plane == plane && (gridThing{kind: 's', from: l.a, to: l.b}).distance(z) < 1e-6 {
			return true
		}
	}
	return false
}

// cutPeaks turns the upper ends of the edges that meet at a peak into ends.
func (s *rasterScene) cutPeaks(width float64) {
	joints := s.joints()
	free := func(plane int, a, b complex128) {
		for _, j := range joints[plane] {
			if (gridThing{kind: 's', from: j.a, to: j.b}).distance((a+b)/2) < 1e-6 {
				return
			}
		}
		s.ends = append(s.ends, rasterLine{plane, a, b})
	}
	for _, k := range s.peaks {
		P := s.planes[k.plane]
		n := len(P.outline)
		for i, z := range P.outline {
			if cmplx.Abs(z-k.a) > 1e-6 {
				continue
			}
			before, after := P.outline[(i+n-1)%n], P.outline[(i+1)%n]
			top, l, r := P.local(z), P.local(before), P.local(after)
			at := func(far complex128, depth float64) complex128 {
				return top + (far-top)*complex(depth/(imag(top)-imag(far)), 0)
			}
			lo, hi := 0.0, math.Min(imag(top)-imag(l), imag(top)-imag(r))
			for range 50 {
				mid := (lo + hi) / 2
				p, q := at(l, mid), at(r, mid)
				left, right := gridThing{kind: 's', from: p, to: l}, gridThing{kind: 's', from: q, to: r}
				if mid > 0.999*math.Min(imag(top)-imag(l), imag(top)-imag(r)) || math.Min(left.distance(q), right.distance(p)) >= width {
					hi = mid
				} else {
					lo = mid
				}
			}
			free(k.plane, P.plan(at(l, hi)), z)
			free(k.plane, z, P.plan(at(r, hi)))
		}
	}
}

// flanks are the parts of the borders that are no joint, start or end.
func (s *rasterScene) flanks(joints map[int][]rasterJoint) []rasterThing {
	var all []rasterThing
	for _, p := range s.set {
		P := s.planes[p]
		for i, a := range P.outline {
			b := P.outline[(i+1)%len(P.outline)]
			type span struct{ lo, hi float64 }
			var taken []span
			take := func(c, d complex128) {
				u := (b - a) / complex(cmplx.Abs(b-a), 0)
				x, y := (c-a)*cmplx.Conj(u), (d-a)*cmplx.Conj(u)
				if math.Abs(imag(x)) < 1e-6 && math.Abs(imag(y)) < 1e-6 {
					taken = append(taken, span{math.Min(real(x), real(y)), math.Max(real(x), real(y))})
				}
			}
			for _, j := range joints[p] {
				take(j.a, j.b)
			}
			for _, list := range [2][]rasterLine{s.starts, s.ends} {
				for _, l := range list {
					if l.plane == p {
						take(l.a, l.b)
					}
				}
			}
			sort.Slice(taken, func(i, j int) bool { return taken[i].lo < taken[j].lo })
			at, length := 0.0, cmplx.Abs(b-a)
			add := func(lo, hi float64) {
				if hi-lo > 1e-6 {
					u := (b - a) / complex(length, 0)
					all = append(all, rasterThing{p, gridThing{kind: 's', from: P.local(a + u*complex(lo, 0)), to: P.local(a + u*complex(hi, 0))}})
				}
			}
			for _, t := range taken {
				if t.hi > at {
					add(at, math.Min(t.lo, length))
					at = math.Max(at, t.hi)
				}
			}
			add(at, length)
		}
	}
	return all
}

// rasterNode is a point of the raster and what is nearest to it.
type rasterNode struct {
	plane    int
	at       complex128 // plan view
	here     complex128 // the plane's own frame
	distance float64
	thing    int        // nearest thing
	offset   float64    // way already gone where the line bends
	to       rasterFold // from the plane's frame to that of the thing
	from     int        // the point it was reached from, -1 for none
	done     bool
}

type rasterEntry struct {
	distance float64
	node     int
}
type rasterHeap []rasterEntry

func (h rasterHeap) Len() int           { return len(h) }
func (h rasterHeap) Less(i, j int) bool { return h[i].distance < h[j].distance }
func (h rasterHeap) Swap(i, j int)      { h[i], h[j] = h[j], h[i] }
func (h *rasterHeap) Push(x any)        { *h = append(*h, x.(rasterEntry)) }
func (h *rasterHeap) Pop() any {
	old := *h
	x := old[len(old)-1]
	*h = old[:len(old)-1]
	return x
}

// raster is the field of the method.
type raster struct {
	scene  *rasterScene
	step   float64
	joints map[int][]rasterJoint
	things []rasterThing
	nodes  []rasterNode
	grid   map[[2]int]int
	where  [][2]int
}

func newRaster(s *rasterScene, step float64) *raster {
	r := &raster{scene: s, step: step, joints: s.joints(), grid: map[[2]int]int{}}
	r.things = append(s.flanks(r.joints), s.things...)
	minX, minY, maxX, maxY := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, p := range s.set {
		for _, z := range s.planes[p].outline {
			minX, maxX = math.Min(minX, real(z)), math.Max(maxX, real(z))
			minY, maxY = math.Min(minY, imag(z)), math.Max(maxY, imag(z))
		}
	}
	for i := 0; minX+float64(i)*step <= maxX; i++ {
		for j := 0; minY+float64(j)*step <= maxY; j++ {
			at := complex(minX+(float64(i)+0.37)*step, minY+(float64(j)+0.41)*step)
			if p := r.planeAt(at); p >= 0 {
				r.grid[[2]int{i, j}] = len(r.nodes)
				r.where = append(r.where, [2]int{i, j})
				r.nodes = append(r.nodes, rasterNode{plane: p, at: at, here: s.planes[p].local(at), distance: math.Inf(1)})
			}
		}
	}
	r.spread()
	return r
}

func (r *raster) planeAt(z complex128) int {
	for _, p := range r.scene.set {
		if insideOf(r.scene.planes[p].outline, z) {
			return p
		}
	}
	return -1
}

func (r *raster) neighbours(n int, visit func(m int)) {
	for dx := -1; dx <= 1; dx++ {
		for dy := -1; dy <= 1; dy++ {
			if m, ok := r.grid[[2]int{r.where[n][0] + dx, r.where[n][1] + dy}]; ok && m != n {
				visit(m)
			}
		}
	}
}

// spread carries the distances from the things over the raster.
func (r *raster) spread() {
	var queue rasterHeap
	offer := func(n int, d float64, thing int, offset float64, to rasterFold, from int) {
		if node := &r.nodes[n]; d < node.distance {
			node.distance, node.thing, node.offset, node.to, node.from = d, thing, offset, to, from
			heap.Push(&queue, rasterEntry{d, n})
		}
	}
	for i, t := range r.things {
		for n := range r.nodes {
			if node := &r.nodes[n]; node.plane == t.plane {
				if d := t.distance(node.here); d < 4*r.step {
					offer(n, d, i, 0, rasterFold{1, 0}, -1)
				}
			}
		}
	}
	for len(queue) > 0 {
		e := heap.Pop(&queue).(rasterEntry)
		node := &r.nodes[e.node]
		if node.done || e.distance > node.distance {
			continue
		}
		if node.from >= 0 && !r.straight(node) {
			// The line leaves the planes over an open edge: it bends near the point it comes from.
			from := &r.nodes[node.from]
			over, _ := r.over(from, node)
			r.things = append(r.things, rasterThing{from.plane, gridThing{kind: 'd', c: from.here}})
			d := from.distance + cmplx.Abs(over.apply(node.here)-from.here)
			node.distance = math.Inf(1)
			offer(e.node, d, len(r.things)-1, from.distance, over, -1)
			continue
		}
		node.done = true
		from := *node
		r.neighbours(e.node, func(m int) {
			node := &r.nodes[m]
			if node.done {
				return
			}
			if over, ok := r.over(&from, node); ok {
				to := from.to.after(over)
				offer(m, from.offset+r.things[from.thing].distance(to.apply(node.here)), from.thing, from.offset, to, e.node)
			}
		})
	}
}

// over is the fold from the frame of one point to that of another beside it.
func (r *raster) over(to, from *rasterNode) (rasterFold, bool) {
	if to.plane == from.plane {
		return rasterFold{1, 0}, true
	}
	best, far := rasterFold{}, math.Inf(1)
	for _, j := range r.joints[to.plane] {
		if j.other != from.plane {
			continue
		}
		line := gridThing{kind: 's', from: j.a, to: j.b}
		if d := line.distance((to.at + from.at) / 2); d < far {
			best, far = j.fold, d
		}
	}
	return best, far < 1.5*r.step
}

// straight follows the line from a point to the thing nearest to it and tells whether it stays on the planes and gets there.
func (r *raster) straight(n *rasterNode) bool {
	z := n.to.apply(n.here)
	nearest := r.things[n.thing].nearest(z)
	left := cmplx.Abs(nearest-z) - 1.5*r.step
	plane, at := n.plane, n.here
	way := (n.to.back(nearest) - n.here) / complex(cmplx.Abs(nearest-z), 0)
	for ; left > 0; left -= r.step {
		at += way * complex(r.step, 0)
		P := r.scene.planes[plane]
		plan := P.plan(at)
		if insideOf(P.outline, plan) {
			continue
		}
		over, far := rasterJoint{}, math.Inf(1)
		for _, j := range r.joints[plane] {
			d := (gridThing{kind: 's', from: j.a, to: j.b}).distance(plan)
			if d < far && d < 1.5*r.step {
				over, far = j, d
			}
		}
		if !math.IsInf(far, 1) {
			at, way, plane = over.fold.back(at), way/over.fold.spin, over.other
			continue
		}
		border := math.Inf(1)
		for i, a := range P.outline {
			border = math.Min(border, (gridThing{kind: 's', from: a, to: P.outline[(i+1)%len(P.outline)]}).distance(plan))
		}
		if border > 0.3*r.step {
			return false
		}
	}
	// Round a corner inside the surface the line may have come another way, and ends elsewhere.
	return plane != r.things[n.thing].plane || cmplx.Abs(at-nearest) < 3*r.step
}

// widest is the widest way over the raster.
func (r *raster) widest() float64 {
	order := make([]int, len(r.nodes))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(a, b int) bool { return r.nodes[order[a]].distance > r.nodes[order[b]].distance })
	parent := make([]int, len(r.nodes)+2)
	for i := range parent {
		parent[i] = i
	}
	find := func(i int) int {
		for parent[i] != i {
			parent[i] = parent[parent[i]]
			i = parent[i]
		}
		return i
	}
	from, to := len(r.nodes), len(r.nodes)+1
	at := func(n int, lines []rasterLine) bool {
		for _, l := range lines {
			P := r.scene.planes[l.plane]
			if l.plane == r.nodes[n].plane && (gridThing{kind: 's', from: P.local(l.a), to: P.local(l.b)}).distance(r.nodes[n].here) <= 1.2*r.step/math.Cos(P.slope*math.Pi/180) {
				return true
			}
		}
		return false
	}
	taken := make([]bool, len(r.nodes))
	for _, n := range order {
		taken[n] = true
		r.neighbours(n, func(m int) {
			if taken[m] {
				parent[find(n)] = find(m)
			}
		})
		if at(n, r.scene.starts) {
			parent[find(n)] = find(from)
		}
		if at(n, r.scene.ends) {
			parent[find(n)] = find(to)
		}
		if find(from) == find(to) {
			return 2 * r.nodes[n].distance
		}
	}
	return 0
}

// scatter puts random modules and obstructions on the planes of the set.
func (s *rasterScene) scatter(rng *rand.Rand, n int) {
	for try := 0; len(s.things) < n && try < 40*n; try++ {
		p := s.set[rng.Intn(len(s.set))]
		P := s.planes[p]
		a, b := P.outline[rng.Intn(len(P.outline))], P.outline[rng.Intn(len(P.outline))]
		c := P.local(a + (b-a)*complex(rng.Float64(), 0) + (P.outline[rng.Intn(len(P.outline))]-a)*complex(rng.Float64(), 0))
		g := gridThing{kind: 'r', c: c, w: 0.4 + rng.Float64()*2.2, h: 0.3 + rng.Float64()*1.2}
		switch rng.Intn(4) {
		case 0:
			g = gridThing{kind: 'd', c: c, w: 0.05 + rng.Float64()*0.5}
		case 1:
			g.turn = rng.Float64() * 360
		}
		if g.within(P) {
			s.things = append(s.things, rasterThing{p, g})
		}
	}
}

// within tells whether a thing lies on a plane, by points round it.
func (g gridThing) within(P rasterPlane) bool {
	for k := range 32 {
		t := float64(k) / 32 * 2 * math.Pi
		z := g.c + cmplx.Rect(g.w, t)
		if g.kind == 'r' {
			x, y := math.Cos(t), math.Sin(t)
			m := math.Max(math.Abs(x), math.Abs(y))
			z = g.c + complex(x/m*g.w/2, y/m*g.h/2)*cmplx.Rect(1, g.turn*math.Pi/180)
		}
		if !insideOf(P.outline, P.plan(z)) {
			return false
		}
	}
	return true
}

// turned turns, shifts and reorders the scene.
func (s *rasterScene) turned(rng *rand.Rand) {
	angle, shift := rng.Float64()*360, complex(rng.Float64()*40-20, rng.Float64()*40-20)
	move := func(z complex128) complex128 { return z*cmplx.Rect(1, angle*math.Pi/180) + shift }
	for i := range s.planes {
		p := &s.planes[i]
		before := *p
		for k, z := range p.outline {
			p.outline[k] = move(z)
		}
		p.bearing -= angle
		for k := range s.things {
			if g := &s.things[k]; g.plane == i {
				g.c = p.local(move(before.plan(g.c)))
			}
		}
	}
	for _, list := range [3][]rasterLine{s.starts, s.ends, s.peaks} {
		for i := range list {
			list[i].a, list[i].b = move(list[i].a), move(list[i].b)
		}
	}
	rng.Shuffle(len(s.set), func(i, j int) { s.set[i], s.set[j] = s.set[j], s.set[i] })
}

// roof builds the scene for the package.
func (s *rasterScene) roof(t *testing.T) (*Roof, []Item) {
	t.Helper()
	var planes []Plane
	for _, p := range s.planes {
		q := Plane{Name: p.name, Slope: p.slope, Downslope: p.bearing}
		for _, z := range p.outline {
			q.Outline = append(q.Outline, Point{real(z), imag(z)})
		}
		planes = append(planes, q)
	}
	r := mustRoof(t, planes...)
	var items []Item
	for i, g := range s.things {
		P := s.planes[g.plane]
		z := P.outline[0]
		here, there := P.local(z), r.Frame(g.plane).ToSurface(Point{real(z), imag(z)})
		shift := Point{there.X - real(here), there.Y - imag(here)}
		items = append(items, Item{fmt.Sprintf("thing %d", i), g.plane, g.shape().Moved(0, shift)})
	}
	return r, items
}

func ring(points ...complex128) []complex128 { return points }

func box4(x0, y0, x1, y1 float64) []complex128 {
	return ring(complex(x0, y0), complex(x1, y0), complex(x1, y1), complex(x0, y1))
}

// add adds a plane to the scene and its set.
func (s *rasterScene) add(name string, slope, bearing float64, in bool, outline []complex128) int {
	k := len(s.planes)
	s.planes = append(s.planes, rasterPlane{name, append([]complex128(nil), outline...), slope, bearing})
	if in {
		s.set = append(s.set, k)
	}
	return k
}

func (s *rasterScene) start(plane int, a, b complex128) {
	s.starts = append(s.starts, rasterLine{plane, a, b})
}
func (s *rasterScene) end(plane int, a, b complex128) {
	s.ends = append(s.ends, rasterLine{plane, a, b})
}

// gambrelScene is one to three pitches one above the other, each in one part or cut into two or three, and the plane behind the ridge.
func gambrelScene(rng *rand.Rand) *rasterScene {
	s := &rasterScene{kind: "gambrel"}
	w, y := 5+rng.Float64()*4, 0.0
	slope := 45 + rng.Float64()*20
	rows := 1 + rng.Intn(3)
	for k := range rows {
		d := 1.5 + rng.Float64()*2
		parts := 1 + rng.Intn(3)
		x := 0.0
		for i := range parts {
			to := w
			if i < parts-1 {
				to = x + (w-x)*(0.3+0.4*rng.Float64())
			}
			p := s.add(fmt.Sprintf("row %d part %d", k, i), slope, 180, true, box4(x, y, to, y+d))
			if k == 0 {
				s.start(p, complex(x, 0), complex(to, 0))
			}
			if k == rows-1 {
				s.end(p, complex(to, y+d), complex(x, y+d))
			}
			x = to
		}
		y += d
		if k < rows-1 {
			slope -= 10 + rng.Float64()*8
		}
	}
	s.add("back", slope, 0, false, box4(0, y, w, y+3))
	return s
}

// cutScene is one slope in two parts on either side of a slanted line.
func cutScene(rng *rand.Rand) *rasterScene {
	s := &rasterScene{kind: "cut slope"}
	w, d := 6+rng.Float64()*4, 3+rng.Float64()*3
	slope := 5 + rng.Float64()*50
	if rng.Intn(2) == 0 {
		a, b := w*(0.2+0.6*rng.Float64()), w*(0.2+0.6*rng.Float64())
		l := s.add("left", slope, 180, true, ring(0, complex(a, 0), complex(b, d), complex(0, d)))
		r := s.add("right", slope, 180, true, ring(complex(a, 0), complex(w, 0), complex(w, d), complex(b, d)))
		s.start(l, 0, complex(a, 0))
		s.start(r, complex(a, 0), complex(w, 0))
		s.end(l, complex(b, d), complex(0, d))
		s.end(r, complex(w, d), complex(b, d))
	} else {
		a, b := d*(0.2+0.6*rng.Float64()), d*(0.2+0.6*rng.Float64())
		l := s.add("lower", slope, 180, true, ring(0, complex(w, 0), complex(w, b), complex(0, a)))
		u := s.add("upper", slope, 180, true, ring(complex(0, a), complex(w, b), complex(w, d), complex(0, d)))
		s.start(l, 0, complex(w, 0))
		s.end(u, complex(w, d), complex(0, d))
	}
	s.add("back", slope, 0, false, box4(0, d, w, d+3))
	return s
}

// dormerScene is a slope of four to six parts round the place of a dormer.
func dormerScene(rng *rand.Rand) *rasterScene {
	s := &rasterScene{kind: "slope round a dormer"}
	w, d := 7+rng.Float64()*3, 5+rng.Float64()*2
	slope := 10 + rng.Float64()*40
	x0, x1 := 1+rng.Float64()*(w/2-1.5), w-1-rng.Float64()*(w/2-1.5)
	y0, y1 := 1+rng.Float64()*(d/2-1.5), d-1-rng.Float64()*(d/2-1.5)
	for _, row := range [2]bool{true, false} { // below and above, each in one part or two
		cuts := []float64{0, w}
		if rng.Intn(2) == 0 {
			cuts = []float64{0, w * (0.2 + 0.6*rng.Float64()), w}
		}
		for i := 1; i < len(cuts); i++ {
			if row {
				p := s.add(fmt.Sprintf("below %d", i), slope, 180, true, box4(cuts[i-1], 0, cuts[i], y0))
				s.start(p, complex(cuts[i-1], 0), complex(cuts[i], 0))
			} else {
				p := s.add(fmt.Sprintf("above %d", i), slope, 180, true, box4(cuts[i-1], y1, cuts[i], d))
				s.end(p, complex(cuts[i], d), complex(cuts[i-1], d))
			}
		}
	}
	s.add("left", slope, 180, true, box4(0, y0, x0, y1))
	s.add("right", slope, 180, true, box4(x1, y0, w, y1))
	s.add("back", slope, 0, false, box4(0, d, w, d+3))
	return s
}

// hippedScene is two or three sides of a hip roof of one or two pitches; where there are two the surface bends round the corners inside it.
func hippedScene(rng *rand.Rand, sides, pitches int) *rasterScene {
	s := &rasterScene{kind: fmt.Sprintf("%d sides of a hip roof of %d pitches", sides, pitches)}
	d := 3 + rng.Float64()*2 // half the depth
	w := 2*d + 2 + rng.Float64()*4
	slope := 30 + rng.Float64()*25
	m := 0.0
	inner := d
	if pitches == 2 {
		inner = d * (0.3 + 0.4*rng.Float64())
	}
	for k := range pitches {
		n := m + inner
		if k == pitches-1 {
			n = d
		}
		names := []string{"south", "east", "north", "west"}
		corners := func(in float64) []complex128 {
			return ring(complex(in, in), complex(w-in, in), complex(w-in, 2*d-in), complex(in, 2*d-in))
		}
		out, up := corners(m), corners(n)
		for i, name := range names {
			j := (i + 1) % 4
			outline := ring(out[i], out[j], up[j], up[i])
			if n == d && i%2 == 1 {
				outline = ring(out[i], out[j], up[i])
			}
			p := s.add(fmt.Sprintf("%s %d", name, k), slope, 180-90*float64(i), i < sides, outline)
			if i < sides && k == 0 {
				s.start(p, out[i], out[j])
			}
			if i < sides && n == d && i%2 == 0 {
				s.end(p, up[j], up[i])
			}
			if n == d && i == 1 && sides == 2 && pitches == 1 {
				s.peaks = append(s.peaks, rasterLine{p, up[i], up[i]})
			}
		}
		m = n
		slope -= 12 + rng.Float64()*8
	}
	if pitches == 2 && sides == 2 {
		s.kind += ", with its end"
		s.peaks = nil
	}
	return s
}

// wingScene is the inner corner of two wings of one or two pitches.
func wingScene(rng *rand.Rand, pitches int) *rasterScene {
	s := &rasterScene{kind: fmt.Sprintf("valley of %d pitches", pitches)}
	d := 3 + rng.Float64()*2
	l, m := 3+rng.Float64()*3, 3+rng.Float64()*3 // of the wings
	slope := 25 + rng.Float64()*25
	cuts := []float64{0, d}
	if pitches == 2 {
		cuts = []float64{0, d * (0.3 + 0.4*rng.Float64()), d}
	}
	for k := 1; k < len(cuts); k++ {
		a, b := cuts[k-1], cuts[k]
		main := s.add(fmt.Sprintf("main %d", k), slope, 180, true, ring(complex(-l, a), complex(a, a), complex(b, b), complex(-l, b)))
		wing := s.add(fmt.Sprintf("wing %d", k), slope, 270, true, ring(complex(a, -m), complex(b, -m), complex(b, b), complex(a, a)))
		if a == 0 {
			s.start(main, complex(-l, 0), 0)
			s.start(wing, complex(0, -m), 0)
		}
		if b == d {
			s.end(main, complex(d, d), complex(-l, d))
			s.end(wing, complex(d, -m), complex(d, d))
		}
		slope -= 8 + rng.Float64()*8
	}
	return s
}

// pyramidScene is one side of a pyramid, or two beside each other.
func pyramidScene(rng *rand.Rand) *rasterScene {
	s := &rasterScene{kind: "pyramid"}
	d := 3 + rng.Float64()*2
	slope := 20 + rng.Float64()*35
	sides := 1 + rng.Intn(2)
	if sides == 1 {
		s.kind = "side of a pyramid"
	}
	corner := []complex128{complex(-d, -d), complex(d, -d), complex(d, d), complex(-d, d)}
	for i := range 4 {
		p := s.add(fmt.Sprintf("side %d", i), slope, 180-90*float64(i), i < sides, ring(corner[i], corner[(i+1)%4], 0))
		if i < sides {
			s.start(p, corner[i], corner[(i+1)%4])
			s.peaks = append(s.peaks, rasterLine{p, 0, 0})
		}
	}
	return s
}

// rasterScenes are the kinds of roofs that are compared.
var rasterScenes = []func(rng *rand.Rand) *rasterScene{
	gambrelScene, cutScene, dormerScene, pyramidScene,
	func(rng *rand.Rand) *rasterScene { return hippedScene(rng, 2+rng.Intn(2), 1) },
	func(rng *rand.Rand) *rasterScene { return hippedScene(rng, 3, 2) },
	func(rng *rand.Rand) *rasterScene { return wingScene(rng, 1) },
	func(rng *rand.Rand) *rasterScene { return wingScene(rng, 2) },
}

// compareWithRaster compares a number of random roofs on a raster.
// few is how often a random test goes round: a fifth in short tests.
func few[T int | int64](n T) T {
	if testing.Short() {
		return n / 5
	}
	return n
}

func compareWithRaster(t *testing.T, seeds int, step float64) {
	narrow, drawn, gated, open := 0, 0, 0, 0
	for seed := range seeds {
		rng := rand.New(rand.NewSource(int64(seed)))
		s := rasterScenes[seed%len(rasterScenes)](rng)
		s.turned(rng)
		s.scatter(rng, 4+rng.Intn(8*len(s.set)))
		s.cutPeaks(crew)
		r, items := s.roof(t)
		p, err := r.Path(s.set, items, crew)
		if err != nil {
			t.Errorf("roof %d, %s: %v", seed, s.kind, err)
			continue
		}
		if len(p.Chain) == 0 {
			continue // only the start limits the way, which the raster does not measure
		}
		gated++
		steep := 1.0
		for _, k := range s.set {
			steep = math.Max(steep, 1/math.Cos(s.planes[k].slope*math.Pi/180))
		}
		want := p.Widest
		if s.kind == "side of a pyramid" { // between the edges that are cut back it is no wider than was asked
			want = math.Min(want, crew)
		}
		if got := newRaster(s, step).widest(); math.Abs(got-want) > 4*step*steep {
			t.Errorf("roof %d, %s: widest way %.4f m, on the raster %.4f m (gate %q to %q)", seed, s.kind, p.Widest, got, p.Gate.A.Name, p.Gate.B.Name)
		}
		if p.Widest < crew {
			narrow++
		}
		if p.Widest >= 2*Tolerance {
			open++
		}
		if p.Centre != nil {
			drawn++
			checkPath(t, r, p, items, crew)
		} else {
			t.Logf("roof %d, %s: way %g wide not drawn", seed, s.kind, p.Widest)
		}
	}
	t.Logf("%d roofs, %d gated, %d too narrow, %d drawn", seeds, gated, narrow, drawn)
	if gated < seeds*3/4 || narrow < seeds/5 || narrow > seeds*4/5 {
		t.Errorf("%d of %d roofs have a gate and %d are too narrow: the sample says little", gated, seeds, narrow)
	}
	if drawn < open*9/10 {
		t.Errorf("a centre line is drawn on %d of %d roofs", drawn, open)
	}
}

func TestPathAgainstRasterOverJoinedPlanes(t *testing.T) {
	compareWithRaster(t, few(240), 0.12)
}
