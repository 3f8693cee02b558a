package roofplan

import (
	"math"
	"math/rand"
	"slices"
	"testing"
)

func randomShapes(rng *rand.Rand, n int, extent float64) []Shape {
	var shapes []Shape
	for range n {
		c := Point{rng.Float64() * extent, rng.Float64() * extent}
		switch rng.Intn(3) {
		case 0:
			shapes = append(shapes, Disc(c, rng.Float64()*0.4))
		case 1:
			shapes = append(shapes, Segment(c, Point{c.X + rng.Float64()*2, c.Y + rng.Float64()*2}))
		default:
			shapes = append(shapes, Rect{Centre: c, Width: 0.1 + rng.Float64(), Height: 0.1 + rng.Float64()*2, Turn: rng.Float64() * 90}.Shape())
		}
	}
	return shapes
}

func TestTreeAgainstTrying(t *testing.T) {
	for seed := int64(1); seed <= 30; seed++ {
		rng := rand.New(rand.NewSource(seed))
		shapes := randomShapes(rng, rng.Intn(200), 20)
		boxes := boxesOf(shapes)
		index := newTree(boxes)
		for range 20 {
			probe := randomShapes(rng, 1, 20)[0]
			var got, want []int
			index.within(probe.box(), func(i int) { got = append(got, i) })
			nearest := math.Inf(1)
			for i, b := range boxes {
				if b.distance(probe.box()) <= 0 {
					want = append(want, i)
				}
				d, _, _ := Distance(probe, shapes[i])
				nearest = min(nearest, d)
			}
			if slices.Sort(got); !slices.Equal(got, want) {
				t.Errorf("tree %d: within %v, want %v", seed, got, want)
			}
			_, d := index.nearest(probe.box(), math.Inf(1), func(i int, _ float64) float64 {
				d, _, _ := Distance(probe, shapes[i])
				return d
			})
			if d != nearest {
				t.Errorf("tree %d: nearest at %g, want %g", seed, d, nearest)
			}
		}
	}
}

// The spanning tree is compared with Prim's method over all pairs.
func TestSpanningAgainstPrim(t *testing.T) {
	for seed := int64(1); seed <= 40; seed++ {
		rng := rand.New(rand.NewSource(seed))
		n := 1 + rng.Intn(120)
		shapes := randomShapes(rng, n, 5+rng.Float64()*30)
		if seed%4 == 0 { // a grid, in which very many gaps are equal
			shapes = nil
			for i := range n {
				shapes = append(shapes, rect(float64(i%10)*1.5, float64(i/10)*2, 1, 1.5))
			}
		}
		var got []float64
		for _, l := range spanning(newTree(boxesOf(shapes)), newGroups(n), shapeGap(shapes)) {
			got = append(got, l.gap)
		}
		var want []float64
		in := make([]bool, n)
		near := make([]float64, n)
		for i := range near {
			near[i] = math.Inf(1)
		}
		for at := 0; ; {
			in[at] = true
			next := -1
			for i := range n {
				if in[i] {
					continue
				}
				d, _, _ := Distance(shapes[at], shapes[i])
				near[i] = min(near[i], d)
				if next < 0 || near[i] < near[next] {
					next = i
				}
			}
			if next < 0 {
				break
			}
			want = append(want, near[next])
			at = next
		}
		slices.Sort(want)
		if len(got) != len(want) {
			t.Fatalf("tree %d: %d links, want %d", seed, len(got), len(want))
		}
		for i := range got {
			near := math.Abs(got[i] - want[i])
			if near > 1e-12 {
				t.Errorf("tree %d: link %d is %g long, want %g", seed, i, got[i], want[i])
			}
		}
	}
}

// The number of distances measured, unlike time, is the same on every machine: it must not grow faster than n log n.
func TestSpanningGrowth(t *testing.T) {
	measured := func(n int) float64 {
		_, items := warehouse(n, n/50)
		shapes := make([]Shape, len(items))
		for i := range items {
			shapes[i] = items[i].Shape
		}
		count := 0
		gap := shapeGap(shapes)
		spanning(newTree(boxesOf(shapes)), newGroups(len(shapes)), func(i, j int, bound float64) link {
			count++
			return gap(i, j, bound)
		})
		return float64(count) / (float64(n) * math.Log(float64(n)))
	}
	small, large := measured(1000), measured(100_000)
	if large > 1.2*small {
		t.Errorf("measured per n log n: %.2f at 1,000 modules and %.2f at 100,000", small, large)
	}
}

// shapeGap is the plain distance between shapes.
func shapeGap(shapes []Shape) gapFunc {
	return func(i, j int, _ float64) link {
		d, p, q := separation(&shapes[i], &shapes[j])
		return link{i, j, d, p, q}
	}
}
