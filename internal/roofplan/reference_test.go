package roofplan

import (
	"math"
	"math/cmplx"
	"math/rand"
	"sort"
	"testing"
)

// The clear path is compared with an independent method: clearance is sampled on a fine grid, and the widest path over the grid is
// found by taking its points in order of falling clearance until start and end hang together. The distances are computed here anew, with
// complex numbers, and share no code with the package.

// gridThing is an obstacle of the grid: a rectangle turned, a disc or a segment.
type gridThing struct {
	kind       byte // 'r', 'd', 's'
	c          complex128
	w, h, turn float64 // of a rectangle; w is the radius of a disc
	from, to   complex128
}

// nearest is the nearest point of the thing.
func (g gridThing) nearest(p complex128) complex128 {
	switch g.kind {
	case 'd':
		v := p - g.c
		if cmplx.Abs(v) <= g.w {
			return p
		}
		return g.c + v*complex(g.w/cmplx.Abs(v), 0)
	case 'r':
		spin := cmplx.Rect(1, g.turn*math.Pi/180)
		l := (p - g.c) / spin
		x := math.Max(-g.w/2, math.Min(g.w/2, real(l)))
		y := math.Max(-g.h/2, math.Min(g.h/2, imag(l)))
		return g.c + complex(x, y)*spin
	}
	d := g.to - g.from
	t := real((p-g.from)*cmplx.Conj(d)) / real(d*cmplx.Conj(d))
	return g.from + d*complex(math.Max(0, math.Min(1, t)), 0)
}

func (g gridThing) distance(p complex128) float64 { return cmplx.Abs(p - g.nearest(p)) }

func (g gridThing) shape() Shape {
	c := Point{real(g.c), imag(g.c)}
	if g.kind == 'd' {
		return Disc(c, g.w)
	}
	return Rect{Centre: c, Width: g.w, Height: g.h, Turn: g.turn}.Shape()
}

// insideOf counts the crossings of a ray to the east; a corner itself counts as inside.
func insideOf(polygon []complex128, p complex128) bool {
	in := false
	for i, a := range polygon {
		b := polygon[(i+1)%len(polygon)]
		if a == p {
			return true
		}
		if (imag(a) <= imag(p)) != (imag(b) <= imag(p)) {
			if s := (b - a) / (p - a); (imag(s) < 0) == (imag(b) > imag(a)) {
				in = !in
			}
		}
	}
	return in
}

// gridField is the field of the grid method.
type gridField struct {
	polygons [][]complex128 // their union is the area
	flanks   []gridThing
	starts   []gridThing
	ends     []gridThing
	things   []gridThing
	bend     complex128 // open corner round which clearance is measured
	bends    bool
}

func (g gridField) inside(p complex128) bool {
	for _, q := range g.polygons {
		if insideOf(q, p) {
			return true
		}
	}
	return false
}

func (g gridField) clearance(p complex128) float64 {
	least := math.Inf(1)
	for _, list := range [2][]gridThing{g.flanks, g.things} {
		for _, t := range list {
			d := t.distance(p)
			if d >= least {
				continue
			}
			if g.bends && g.leaves(p, t.nearest(p)) {
				d = cmplx.Abs(p-g.bend) + t.distance(g.bend)
			}
			least = math.Min(least, d)
		}
	}
	return least
}

// leaves samples a line and tells whether it runs outside the area.
func (g gridField) leaves(p, q complex128) bool {
	for k := 1; k < 40; k++ {
		at := p + (q-p)*complex(float64(k)/40, 0)
		if !g.inside(at) {
			near := math.Inf(1)
			for _, list := range [3][]gridThing{g.flanks, g.starts, g.ends} {
				for _, e := range list {
					near = math.Min(near, e.distance(at))
				}
			}
			if near > 1e-3 {
				return true
			}
		}
	}
	return false
}

// widest is the widest path over a grid of step h. A point belongs to a start or end when it lies within reach of it.
func (g gridField) widest(h, reach float64) float64 {
	minX, minY, maxX, maxY := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, q := range g.polygons {
		for _, p := range q {
			minX, maxX = math.Min(minX, real(p)), math.Max(maxX, real(p))
			minY, maxY = math.Min(minY, imag(p)), math.Max(maxY, imag(p))
		}
	}
	nx, ny := int(math.Round((maxX-minX)/h))+1, int(math.Round((maxY-minY)/h))+1
	clear := make([]float64, nx*ny)
	at := func(i int) complex128 { return complex(minX+float64(i%nx)*h, minY+float64(i/nx)*h) }
	var order []int
	for i := range clear {
		clear[i] = -1
		p := at(i)
		ok := g.inside(p)
		for _, list := range [2][]gridThing{g.starts, g.ends} {
			for _, e := range list {
				ok = ok || e.distance(p) <= 1e-9
			}
		}
		if ok {
			clear[i] = g.clearance(p)
			order = append(order, i)
		}
	}
	sort.SliceStable(order, func(a, b int) bool { return clear[order[a]] > clear[order[b]] })
	parent := make([]int, nx*ny+2)
	for i := range parent {
		parent[i] = -1
	}
	find := func(i int) int {
		for parent[i] >= 0 {
			if parent[parent[i]] >= 0 {
				parent[i] = parent[parent[i]]
			}
			i = parent[i]
		}
		return i
	}
	join := func(i, j int) {
		if a, b := find(i), find(j); a != b {
			parent[a] = b
		}
	}
	from, to := nx*ny, nx*ny+1
	taken := make([]bool, nx*ny)
	for _, i := range order {
		taken[i] = true
		for dy := -1; dy <= 1; dy++ {
			for dx := -1; dx <= 1; dx++ {
				x, y := i%nx+dx, i/nx+dy
				if x >= 0 && x < nx && y >= 0 && y < ny && taken[y*nx+x] {
					join(i, y*nx+x)
				}
			}
		}
		for _, e := range g.starts {
			if e.distance(at(i)) <= reach {
				join(i, from)
			}
		}
		for _, e := range g.ends {
			if e.distance(at(i)) <= reach {
				join(i, to)
			}
		}
		if find(from) == find(to) {
			return 2 * clear[i]
		}
	}
	return 0
}

// randomFlank is a chain of corners from the eave up, strictly rising, within a band of x.
func randomFlank(rng *rand.Rand, lo, hi, height float64) []complex128 {
	chain := []complex128{complex(lo+rng.Float64()*(hi-lo), 0)}
	for y := 0.0; ; {
		y += 0.4 + rng.Float64()*height
		if y > height-0.4 {
			break
		}
		chain = append(chain, complex(lo+rng.Float64()*(hi-lo), y))
		if rng.Intn(3) == 0 { // a level shoulder, as of a notch
			chain = append(chain, complex(lo+rng.Float64()*(hi-lo), y))
		}
	}
	return append(chain, complex(lo+rng.Float64()*(hi-lo), height))
}

func randomThings(rng *rand.Rand, n int, polygon []complex128, width, height float64) []gridThing {
	var things []gridThing
	for len(things) < n {
		c := complex(rng.Float64()*width, rng.Float64()*height)
		g := gridThing{kind: 'r', c: c, w: 0.2 + rng.Float64()*1.6, h: 0.2 + rng.Float64()*1.6, turn: rng.Float64() * 360}
		switch rng.Intn(3) {
		case 0:
			g = gridThing{kind: 'd', c: c, w: 0.05 + rng.Float64()*0.6}
		case 1:
			g.turn = 0
		}
		if insideOf(polygon, c) && imag(c)-g.reach() > 0 && imag(c)+g.reach() < height {
			things = append(things, g)
		}
	}
	return things
}

func (g gridThing) reach() float64 {
	if g.kind == 'd' {
		return g.w
	}
	return math.Hypot(g.w, g.h) / 2
}

// planOf carries a polygon drawn on the surface to plan view: a plane of a slope and downslope bearing, put at a place.
func planOf(polygon []complex128, slope, bearing float64, at complex128) []Point {
	// Looking up the slope is looking against the bearing; a bearing b points to exp(i(90-b)) in the plane of x east and y north.
	up := -cmplx.Rect(1, (90-bearing)*math.Pi/180)
	var out []Point
	for _, p := range polygon {
		q := at + up*complex(imag(p)*math.Cos(slope*math.Pi/180), -real(p))
		out = append(out, Point{real(q), imag(q)})
	}
	return out
}

func TestPathAgainstGridOnRandomRoofs(t *testing.T) {
	const step = 0.05
	blocked, open := 0, 0
	for seed := int64(1); seed <= few(int64(220)); seed++ {
		rng := rand.New(rand.NewSource(seed))
		height := float64(60+rng.Intn(50)) * step
		const width = 8.0
		left, right := randomFlank(rng, 0, 1.5, height), randomFlank(rng, width-2.5, width, height)
		var polygon []complex128
		polygon = append(polygon, right...)
		for i := len(left) - 1; i >= 0; i-- {
			polygon = append(polygon, left[i])
		}
		g := gridField{polygons: [][]complex128{polygon}, things: randomThings(rng, 3+rng.Intn(22), polygon, width, height)}
		for i, a := range polygon {
			e := gridThing{kind: 's', from: a, to: polygon[(i+1)%len(polygon)]}
			switch {
			case imag(e.from) == 0 && imag(e.to) == 0:
				g.starts = append(g.starts, e)
			case imag(e.from) == height && imag(e.to) == height:
				g.ends = append(g.ends, e)
			default:
				g.flanks = append(g.flanks, e)
			}
		}
		slope, bearing := rng.Float64()*60, rng.Float64()*360
		roof, err := New([]Plane{{Name: "p", Outline: planOf(polygon, slope, bearing, complex(rng.Float64()*50, rng.Float64()*50)), Slope: slope, Downslope: bearing, Kinds: shoulders(polygon, height)}}, Limits{})
		if err != nil {
			t.Fatalf("roof %d: %v", seed, err)
		}
		// The frame begins at the left end of the lowest edge, the drawing at its own zero.
		shift := Point{-real(left[0]), 0}
		var items []Item
		for _, thing := range g.things {
			items = append(items, Item{Name: "thing", Shape: thing.shape().Moved(0, shift)})
		}
		want := 0.9144
		p, err := roof.Path([]int{0}, items, want)
		if err != nil {
			t.Fatalf("roof %d: %v", seed, err)
		}
		got := g.widest(step, 1e-9)
		// A way of the plane is followed on the grid within 0.71 steps, and the other way round.
		if math.Abs(got-p.Widest) > 1.5*step {
			t.Errorf("roof %d: widest path %.4f m, on the grid %.4f m", seed, p.Widest, got)
		}
		checkPath(t, roof, p, items, want)
		if p.Exists {
			open++
		} else {
			blocked++
		}
	}
	if blocked < few(40) || open < few(40) {
		t.Errorf("%d roofs blocked and %d open: the sample says little", blocked, open)
	}
}

// checkPath checks what must hold for any answer: consistency of its numbers, a gate and a chain that reach across, and a centre line from
// start to end that is clear. A gate that the way may not pass may be in the chain.
func checkPath(t *testing.T, roof *Roof, p Path, items []Item, width float64, shut ...Gate) {
	t.Helper()
	if p.Exists != (p.Widest >= width*(1-1e-9)) || p.Exists != (p.Short == 0) {
		t.Errorf("exists %v, widest %g, short %g of %g", p.Exists, p.Widest, p.Short, width)
	}
	for i, gate := range p.Chain {
		if gate.Gap > p.Widest+1e-12 && (len(shut) == 0 || gate.Gap != shut[0].Gap) {
			t.Errorf("link %d of the chain is %g wide, the gate %g", i, gate.Gap, p.Widest)
		}
		if i > 0 && gate.A.Item != p.Chain[i-1].B.Item {
			t.Errorf("link %d of the chain begins at item %d, the one before ends at %d", i, gate.A.Item, p.Chain[i-1].B.Item)
		}
	}
	if n := len(p.Chain); n > 0 && (p.Chain[0].A.Item >= 0 || p.Chain[n-1].B.Item >= 0) {
		t.Errorf("the chain does not run from edge to edge: %v", p.Chain)
	}
	if p.Widest < 2*Tolerance {
		return
	}
	if p.Centre == nil {
		t.Errorf("no centre line for a way %g wide", p.Widest)
		return
	}
	if p.Clear < 0.98*min(p.Widest, width) {
		t.Errorf("centre line clear for %g, widest %g", p.Clear, p.Widest)
	}
	if len(p.Plan) != len(p.Centre) {
		t.Errorf("centre line has %d points, in plan view %d", len(p.Centre), len(p.Plan))
	}
	for i := 1; i < len(p.Centre); i++ { // measured once more, with sampled points
		for k := 0; k <= 20; k++ {
			at := p.Centre[i-1].toward(p.Centre[i], float64(k)/20)
			if _, _, ok := p.Flat.Surface(at); !ok {
				t.Errorf("centre line leaves the planes at %v", at)
				return
			}
			for j, it := range items {
				s, err := p.Flat.Shape(it.Plane, it.Shape)
				if err != nil {
					continue
				}
				if d, _, _ := Distance(Disc(at, 0), s); d < p.Clear/2-1e-9 {
					t.Errorf("centre line is %g m from item %d, half its width is %g", d, j, p.Clear/2)
					return
				}
			}
		}
	}
}
