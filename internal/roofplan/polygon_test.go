package roofplan

import (
	"math"
	"math/rand"
	"slices"
	"testing"
)

// partition checks that shapes are a net area, are convex, do not overlap, and hold exactly the points that the rings hold.
func partition(t *testing.T, name string, rings [][]Point, shapes []Shape, rng *rand.Rand) {
	t.Helper()
	var sum float64
	for i, s := range shapes {
		sum += s.Area()
		for k := range s.n {
			if turn(s.points[(k+s.n-1)%s.n], s.points[k], s.points[(k+1)%s.n]) < -1e-9 {
				t.Errorf("%s: piece %v is not convex", name, s.Corners())
			}
		}
		for _, o := range shapes[:i] {
			if d := penetration(&s, &o); d > 1e-7 {
				t.Errorf("%s: pieces %v and %v overlap by %g m", name, s.Corners(), o.Corners(), d)
			}
		}
	}
	near(t, name+" area", sum, netArea(rings), 1e-6*max(1, sum))
	b := boxOf(rings[0])
	for range 300 {
		p := Point{b.minX + rng.Float64()*(b.maxX-b.minX), b.minY + rng.Float64()*(b.maxY-b.minY)}
		inside := true
		for k, ring := range rings {
			var corners []complex128
			for _, q := range ring {
				corners = append(corners, complex(q.X, q.Y))
			}
			if insideOf(corners, complex(p.X, p.Y)) != (k == 0) {
				inside = false
			}
		}
		edge := math.Inf(1)
		for _, ring := range rings {
			for i, a := range ring {
				edge = min(edge, p.DistanceTo(nearestOnSegment(p, a, ring[(i+1)%len(ring)])))
			}
		}
		held := slices.ContainsFunc(shapes, func(s Shape) bool { return s.hullHolds(p) })
		if edge > 1e-6 && held != inside {
			t.Errorf("%s: %v is inside: %v, on a piece: %v", name, p, inside, held)
		}
	}
}

func TestPolygon(t *testing.T) {
	rng := rand.New(rand.NewSource(1))
	ell := []Point{{0, 0}, {6, 0}, {6, 2}, {2, 2}, {2, 5}, {0, 5}}
	cases := []struct {
		name   string
		rings  [][]Point
		pieces int
	}{
		{"square clockwise", [][]Point{{{0, 0}, {0, 1}, {1, 1}, {1, 0}}}, 1},
		{"triangle", [][]Point{{{0, 0}, {3, 0}, {1, 2}}}, 1},
		{"dart", [][]Point{{{0, 0}, {4, 0}, {1, 1}, {0, 4}}}, 2},
		{"L", [][]Point{ell}, 4},
		{"a corner on a straight edge", [][]Point{{{0, 0}, {2, 0}, {4, 0}, {4, 2}, {4, 4}, {0, 4}}}, 4},
		{"a court in the middle", [][]Point{{{0, 0}, {9, 0}, {9, 9}, {0, 9}}, {{3, 3}, {6, 3}, {6, 6}, {3, 6}}}, 8},
		{"two courts", [][]Point{{{0, 0}, {20, 0}, {20, 9}, {0, 9}}, {{3, 3}, {6, 3}, {6, 6}, {3, 6}}, {{12, 2}, {11, 7}, {17, 6}}}, 13},
	}
	for _, c := range cases {
		got := pieces(c.rings)
		if len(got) != c.pieces {
			t.Errorf("%s: %d pieces, want %d", c.name, len(got), c.pieces)
		}
		partition(t, c.name, c.rings, got, rng)
	}
	for _, bad := range [][]Point{nil, {{0, 0}, {1, 1}}, {{0, 0}, {1, 1}, {2, 2}}, {{0, 0}, {math.NaN(), 1}, {2, 2}}} {
		if got := Polygon(bad); got != nil {
			t.Errorf("corners %v give %d pieces", bad, len(got))
		}
	}
}

func TestPolygonOnRandomStars(t *testing.T) {
	for seed := int64(1); seed <= 200; seed++ {
		rng := rand.New(rand.NewSource(seed))
		n := 3 + rng.Intn(14)
		centre := Point{rng.Float64() * 50, 1e5 * float64(seed%2)}
		var ring []Point
		for k := range n {
			sin, cos := math.Sincos(2 * math.Pi * (float64(k) + 0.6*rng.Float64()) / float64(n))
			ring = append(ring, centre.add(Point{cos, sin}.mul(1+9*rng.Float64())))
		}
		if seed%3 == 0 {
			slices.Reverse(ring)
		}
		if math.Abs(signedArea(ring)) < 0.5 {
			continue
		}
		partition(t, "star", [][]Point{ring}, Polygon(ring), rng)
	}
}
