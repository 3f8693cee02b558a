package roofplan

import (
	"math"
	"math/rand"
	"testing"
)

// stairRoof is four planes of different pitch and width above one another, so that straight ways pass beside the joints.
func stairRoof(rng *rand.Rand) []Plane {
	var all []Plane
	y, z, west, east := 0.0, 0.0, 0.0, 12.0
	for k, name := range []string{"one", "two", "three", "four"} {
		slope, depth := 5+rng.Float64()*50, 1+rng.Float64()*3
		all = append(all, Plane{Name: name, Outline: []Point{{west, y}, {east, y}, {east, y + depth}, {west, y + depth}}, Slope: slope, Downslope: 180, Elevation: height(z)})
		y += depth
		z += depth * math.Tan(slope*math.Pi/180)
		if k%2 == 0 {
			west += rng.Float64() * 5
		} else {
			east -= rng.Float64() * 4
			west -= rng.Float64() * 2
		}
	}
	return all
}

// sampled is the shortest way over the surface between two points, along places on the joints that are as fine as n to a joint, measured
// in space: an upper bound that comes down to the truth.
func sampled(r *Roof, from Item, p Point, to Item, q Point, n int) float64 {
	type node struct {
		at     [3]float64
		planes [2]int
	}
	place := func(plane int, p Point) [3]float64 {
		x, y, z := space(r, plane, p)
		if e := r.planes[plane].Elevation; e != nil {
			z += *e
		}
		return [3]float64{x, y, z}
	}
	nodes := []node{{place(from.Plane, p), [2]int{from.Plane, from.Plane}}, {place(to.Plane, q), [2]int{to.Plane, to.Plane}}}
	for i := range r.Len() {
		for _, e := range r.Edges(i) {
			if e.Neighbour < i || !e.Kind.joins() {
				continue
			}
			for k := range n + 1 {
				nodes = append(nodes, node{place(i, e.From.toward(e.To, float64(k)/float64(n))), [2]int{i, e.Neighbour}})
			}
		}
	}
	way := make([]float64, len(nodes))
	done := make([]bool, len(nodes))
	for k := range way {
		way[k] = math.Inf(1)
	}
	way[0] = 0
	for {
		at := -1
		for k := range way {
			if !done[k] && (at < 0 || way[k] < way[at]) {
				at = k
			}
		}
		if at == 1 || math.IsInf(way[at], 1) {
			return way[1]
		}
		done[at] = true
		for k := range nodes {
			a, b := nodes[at], nodes[k]
			if a.planes[0] != b.planes[0] && a.planes[0] != b.planes[1] && a.planes[1] != b.planes[0] && a.planes[1] != b.planes[1] {
				continue
			}
			d := math.Sqrt(math.Pow(a.at[0]-b.at[0], 2) + math.Pow(a.at[1]-b.at[1], 2) + math.Pow(a.at[2]-b.at[2], 2))
			way[k] = math.Min(way[k], way[at]+d)
		}
	}
}

// Distances over joints are compared with walking over sampled places of the joints in space, for points and for discs on random roofs.
func TestDistanceOverJointsAgainstSampling(t *testing.T) {
	bent, far := 0, 0
	for seed := int64(1); seed <= few(int64(120)); seed++ {
		rng := rand.New(rand.NewSource(seed))
		var planes []Plane
		switch seed % 3 {
		case 0:
			planes = hipRoof(10 + rng.Float64()*50)
		case 1:
			planes = stairRoof(rng)
		default:
			planes = valleyRoof(10 + rng.Float64()*50)
		}
		r := mustRoof(t, planes...)
		spot := func() Item {
			plane := rng.Intn(r.Len())
			b := boxOf(r.outlines[plane])
			for {
				p := Point{b.minX + rng.Float64()*(b.maxX-b.minX), b.minY + rng.Float64()*(b.maxY-b.minY)}
				if outlineDistance(r.outlines[plane], p) == 0 {
					return Item{"spot", plane, Disc(p, 0)}
				}
			}
		}
		a, b := spot(), spot()
		if a.Plane == b.Plane {
			continue
		}
		got, ok := r.Spread([]Item{b}).Nearest(a)
		if !ok {
			t.Fatalf("roof %d: no distance", seed)
		}
		want := sampled(r, a, a.Shape.Centre(), b, b.Shape.Centre(), 150)
		if got.Distance > want+1e-6 || got.Distance < want-0.01 {
			t.Errorf("roof %d, %s to %s: %.4f m, sampled %.4f m", seed, r.Plane(a.Plane).Name, r.Plane(b.Plane).Name, got.Distance, want)
		}
		// A disc is nearer by its radius, where the radius does not reach the next plane.
		small := Item{"disc", b.Plane, Disc(b.Shape.Centre(), min(0.05, got.Distance/2))}
		disc, _ := r.Spread([]Item{small}).Nearest(a)
		if got.Distance-disc.Distance > small.Shape.radius+0.02 || disc.Distance > got.Distance {
			t.Errorf("roof %d: disc at %.4f m, its centre at %.4f m", seed, disc.Distance, got.Distance)
		}
		f := r.joined()
		f.walk(f.of[a.Plane], Joints, func(s *sleeve) bool {
			if s.last == f.of[b.Plane] {
				if straight := b.Shape.carried(s.place).Centre().DistanceTo(a.Shape.Centre()); straight < got.Distance-0.01 {
					bent++
				}
			}
			return true
		})
		if r.Edges(a.Plane) != nil && got.Distance > 4 {
			far++
		}
	}
	if bent < few(10) || far < few(20) {
		t.Errorf("%d bent and %d far ways: the sample says little", bent, far)
	}
}

// One plane drawn in coplanar parts is one face: distances in it are those on the plane as it was.
func TestCoplanarPartsAreOneFace(t *testing.T) {
	for _, slope := range []float64{0, 20} {
		whole := mustRoof(t, Plane{Name: "p", Outline: []Point{{0, 0}, {12, 0}, {12, 8}, {0, 8}}, Slope: slope, Downslope: 180})
		rise := 3 * math.Tan(slope*math.Pi/180)
		parts := mustRoof(t,
			Plane{Name: "upper", Outline: []Point{{0, 3}, {12, 3}, {12, 8}, {0, 8}}, Slope: slope, Downslope: 180, Elevation: height(rise)},
			Plane{Name: "left", Outline: []Point{{0, 0}, {5, 0}, {5, 3}, {0, 3}}, Slope: slope, Downslope: 180, Elevation: height(0)},
			Plane{Name: "right", Outline: []Point{{5, 0}, {12, 0}, {12, 3}, {5, 3}}, Slope: slope, Downslope: 180, Elevation: height(0)})
		if n := len(parts.joined().all); n != 1 {
			t.Fatalf("slope %g: %d faces", slope, n)
		}
		on := func(r *Roof, plane int, x, y float64) Item {
			return Item{"spot", plane, Disc(r.Frame(plane).ToSurface(Point{x, y}), 0.1)}
		}
		a, b := on(whole, 0, 1, 1), on(whole, 0, 9, 7)
		want, _, _ := Distance(a.Shape, b.Shape)
		got, _ := parts.Spread([]Item{on(parts, 0, 9, 7)}).Nearest(on(parts, 1, 1, 1))
		near(t, "over two joints", got.Distance, want, 1e-9)
		edge, ok := parts.Clearance(2, []Item{on(parts, 2, 6, 2)}, OuterKinds...)
		if !ok {
			t.Fatal("no edge")
		}
		full, _ := whole.Clearance(0, []Item{on(whole, 0, 6, 2)}, OuterKinds...)
		near(t, "to the outer edge", edge.Distance, full.Distance, 1e-9)
	}
}
