package roofplan

import (
	"math"
	"math/rand"
	"slices"
	"testing"
)

func TestZoneBelow(t *testing.T) {
	r := mustRoof(t, hipRoof(30)...)
	window := Item{"window", 0, rect(5, 3, 1, 1.2)}
	zone, ok := r.ZoneBelow(window)
	if !ok {
		t.Fatal("no zone below the window")
	}
	near(t, "area of the zone", zone.Area(), 3, 1e-12)
	items := []Item{
		{"in it", 0, rect(5.5, 1, 2, 1)}, {"beside it", 0, rect(6, 1, 2, 1)}, {"above", 0, rect(5, 4.2, 1, 0.3)},
		{"on another plane", 1, rect(5.5, 1, 2, 1)}, {"a corner in it", 0, rect(3, 2, 2.05, 1)},
	}
	if got := r.Intruders(0, zone, items, 0.001); !slices.Equal(got, []int{0, 4}) {
		t.Errorf("in the zone: %v", got)
	}
	if _, ok := r.ZoneBelow(Item{"sill at the eave", 0, rect(5, 0, 1, 1)}); ok {
		t.Error("a zone below the eave")
	}
	if _, ok := r.ZoneBelow(Item{"nowhere", -1, rect(5, 0, 1, 1)}); ok {
		t.Error("a zone on no plane")
	}
}

func TestStraysAndClashes(t *testing.T) {
	ell := mustRoof(t, level(Point{0, 0}, Point{4, 0}, Point{4, 3}, Point{10, 3}, Point{10, 6}, Point{0, 6}))
	items := []Item{
		{"inside", 0, rect(0.5, 0.5, 1, 2)},
		{"flush with two edges", 0, rect(0, 0, 1, 2)},
		{"over the eave", 0, rect(1, -0.2, 1, 1)},
		{"over the notch", 0, rect(3, 2, 2, 2)},
		{"disc over the rake", 0, Disc(Point{0.3, 4}, 0.5)},
		{"disc outside", 0, Disc(Point{8, 1}, 0.5)},
		{"across the notch's arm", 0, Rect{Centre: Point{7, 4.5}, Width: 1, Height: 4}.Shape()},
		{"lies on the first", 0, rect(1.4, 0.5, 1, 2)},
		{"beside it", 0, rect(2.4, 0.5, 1, 1)},
	}
	var got []int
	for _, s := range ell.Strays(items, 0.001) {
		got = append(got, s.Item)
		switch s.Item {
		case 2, 4:
			near(t, items[s.Item].Name, s.Beyond, 0.2, 1e-9)
		case 5:
			near(t, items[s.Item].Name, s.Beyond, 2.5, 1e-9)
		}
	}
	if !slices.Equal(got, []int{2, 3, 4, 5, 6}) {
		t.Errorf("strays: %v", got)
	}
	clashes := ell.Clashes(items[:1], 0.001)
	if len(clashes) != 0 {
		t.Errorf("one item clashes: %v", clashes)
	}
	clashes = ell.Clashes([]Item{items[0], items[7], items[8], {"other plane", 3, items[0].Shape}}, 0.001)
	if len(clashes) != 1 || clashes[0].A != 0 || clashes[0].B != 1 {
		t.Fatalf("clashes: %v", clashes)
	}
	near(t, "depth of the clash", clashes[0].Depth, 0.1, 1e-9)
}

func TestStraight(t *testing.T) {
	r := mustRoof(t, level(Point{0, 0}, Point{20, 0}, Point{20, 12}, Point{0, 12}))
	hatch := Point{10, 6}
	var edges []Shape
	for _, e := range r.Edges(0) {
		edges = append(edges, e.Shape())
	}
	const way = 1.2192
	ring := func(gap float64) []Item { // four arrays round the hatch with gaps between
		g := gap / 2
		return []Item{
			{"", 0, rect(5, 6+g, 5-g, 4)}, {"", 0, rect(10+g, 6+g, 5-g, 4)},
			{"", 0, rect(5, 2, 5-g, 4-g)}, {"", 0, rect(10+g, 2, 5-g, 4-g)},
		}
	}
	cases := []struct {
		name    string
		targets []Shape
		items   []Item
		exists  bool
	}{
		{"bare roof", edges, nil, true},
		{"lanes of the very width", edges, ring(way), true},
		{"lanes too narrow", edges, ring(way - 0.001), false},
		{"one lane shut", edges, append(ring(2), Item{"", 0, Disc(Point{10, 9}, 0.2)}), true},
		{"three lanes shut", edges, append(ring(2), Item{"", 0, Disc(Point{10, 9}, 0.2)}, Item{"", 0, Disc(Point{10, 3}, 0.5)}, Item{"", 0, Disc(Point{7, 6}, 0.5)}), true},
		{"all lanes shut", edges, append(ring(2), Item{"", 0, Disc(Point{10, 9}, 0.4)}, Item{"", 0, Disc(Point{10, 3}, 0.5)}, Item{"", 0, Disc(Point{7, 6}, 0.5)}, Item{"", 0, Disc(Point{13, 6}, 0.5)}), false},
		{"standpipe in line", []Shape{Disc(Point{10, 11}, 0.1)}, ring(way), true},
		{"standpipe out of line", []Shape{Disc(Point{14, 11}, 0.1)}, ring(way), false},
		{"slanting way only", edges[:1], []Item{{"", 0, rect(0, 3, 12, 1)}, {"", 0, rect(16, 3, 4, 1)}}, true},
		{"hatch covered", edges, []Item{{"", 0, rect(9, 5, 2, 2)}}, false},
	}
	for _, c := range cases {
		got, ok := r.Straight(0, hatch, c.targets, c.items, way)
		if !ok || got.Exists != c.exists {
			t.Errorf("%s: %+v %v", c.name, got, ok)
			continue
		}
		if math.IsInf(got.Width, 0) || got.Exists && got.Width < way*(1-1e-8) || !got.Exists && got.Width >= way {
			t.Errorf("%s: width %g", c.name, got.Width)
		}
		if d, _, _ := Distance(Disc(got.To, 0), c.targets[got.Target]); d > 1e-9 {
			t.Errorf("%s: ends %g m from its target", c.name, d)
		}
	}
	if _, ok := r.Straight(0, hatch, nil, nil, way); ok {
		t.Error("a way to nowhere")
	}
	if _, ok := r.Straight(0, hatch, edges, nil, math.NaN()); ok {
		t.Error("a way of no width")
	}
	ell := mustRoof(t, level(Point{0, 0}, Point{4, 0}, Point{4, 6}, Point{10, 6}, Point{10, 8}, Point{0, 8}))
	end := []Shape{Segment(Point{10, 6}, Point{10, 8})}
	if got, _ := ell.Straight(0, Point{2, 7}, end, nil, 1); !got.Exists {
		t.Error("no way along the arm")
	}
	if got, _ := ell.Straight(0, Point{2, 1}, end, nil, 1); got.Exists {
		t.Errorf("a way through the air: %+v", got)
	}
}

// Straight is compared with trying many directions.
func TestStraightAgainstSampling(t *testing.T) {
	r := mustRoof(t, level(Point{0, 0}, Point{20, 0}, Point{20, 12}, Point{0, 12}))
	var edges []Shape
	for _, e := range r.Edges(0) {
		edges = append(edges, e.Shape())
	}
	open, shut := 0, 0
	for seed := int64(1); seed <= 150; seed++ {
		rng := rand.New(rand.NewSource(seed))
		from := Point{4 + rng.Float64()*12, 3 + rng.Float64()*6}
		var items []Item
		for range 15 + rng.Intn(25) {
			c := Point{rng.Float64() * 20, rng.Float64() * 12}
			s := Rect{Centre: c, Width: 0.5 + rng.Float64()*4, Height: 0.5 + rng.Float64()*2, Turn: rng.Float64() * 180}.Shape()
			if d, _, _ := Distance(s, Disc(from, 0.7)); d > 0 {
				items = append(items, Item{"", 0, s})
			}
		}
		got, _ := r.Straight(0, from, edges, items, 1.2)
		best := 0.0
		for k := range 1440 {
			sin, cos := math.Sincos(float64(k) * 2 * math.Pi / 1440)
			reach := math.Inf(1)
			for _, d := range [4]float64{(20 - from.X) / cos, -from.X / cos, (12 - from.Y) / sin, -from.Y / sin} {
				if d > 0 {
					reach = math.Min(reach, d)
				}
			}
			line := Segment(from, Point{from.X + cos*reach, from.Y + sin*reach})
			clear := math.Inf(1)
			for _, it := range items {
				d, _, _ := Distance(line, it.Shape)
				clear = math.Min(clear, 2*d)
			}
			best = math.Max(best, clear)
		}
		// A direction lies within an eighth of a degree of one tried, so that over 15 m a width is missed by up to 0.07 m.
		if got.Exists && best < 1.2-0.07 || !got.Exists && best >= 1.2 {
			t.Errorf("roof %d: %+v, widest of those tried %g", seed, got, best)
		}
		if got.Exists {
			open++
		} else {
			shut++
		}
	}
	if open < 20 || shut < 20 {
		t.Errorf("%d open and %d shut: the sample says little", open, shut)
	}
}
