package roofplan

import (
	"fmt"
	"math"
	"testing"
)

// warehouse is a low-slope roof with n modules in blocks of about a thousand, service ways between the blocks, and smoke vents scattered over
// the ways and left-out places.
func warehouse(n, vents int) (*Roof, []Item) {
	blocks := max(1, n/1000)
	cols := int(math.Ceil(math.Sqrt(float64(blocks))))
	rows := (blocks + cols - 1) / cols
	perBlock := (n + blocks - 1) / blocks
	across := int(math.Ceil(math.Sqrt(float64(perBlock) * 1.7)))
	up := (perBlock + across - 1) / across
	const w, h, gap, lane, edge = 1.05, 1.75, 0.02, 2.5, 2.0
	bw, bh := float64(across)*(w+gap), float64(up)*(h+gap)
	width := 2*edge + float64(cols)*bw + float64(cols-1)*lane
	depth := 2*edge + float64(rows)*bh + float64(rows-1)*lane
	roof, err := New([]Plane{{Name: "deck", Outline: []Point{{0, 0}, {width, 0}, {width, depth}, {0, depth}}, Slope: 0, Downslope: 180}}, Limits{})
	if err != nil {
		panic(err)
	}
	items := make([]Item, 0, n+vents)
	for k := range n {
		b, m := k/perBlock, k%perBlock
		corner := Point{
			edge + float64(b%cols)*(bw+lane) + float64(m%across)*(w+gap),
			edge + float64(b/cols)*(bh+lane) + float64(m/across)*(h+gap),
		}
		items = append(items, Item{"module", 0, RectAt(corner, w, h).Shape()})
	}
	for k := range vents {
		golden := 0.6180339887498949
		at := Point{math.Mod(float64(k)*golden, 1) * width, (float64(k) + 0.5) / float64(vents) * depth}
		items = append(items, Item{"vent", 0, Disc(at, 0.15)})
	}
	return roof, items
}

func BenchmarkPath(b *testing.B) {
	for _, n := range []int{1000, 10_000, 100_000} {
		roof, items := warehouse(n, n/50)
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				p, err := roof.Path([]int{0}, items, 1.2192)
				if err != nil || p.Centre == nil {
					b.Fatal(err, p.Exists, p.Widest, p.Clear)
				}
			}
		})
	}
}

// BenchmarkAnalysis is everything that this package has to say about a roof with modules, vents and a hatch.
func BenchmarkAnalysis(b *testing.B) {
	for _, n := range []int{1000, 10_000, 100_000} {
		roof, items := warehouse(n, n/50)
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				p, err := roof.Path([]int{0}, items, 1.2192)
				if err != nil || p.Widest <= 0 {
					b.Fatal(err, p.Widest)
				}
				if c, err := roof.Coverage(items[:n]); err != nil || c.Ratio <= 0 {
					b.Fatal(err, c)
				}
				if s := roof.Strays(items[:n], Tolerance); len(s) > 0 {
					b.Fatal(s)
				}
				if c := roof.Clashes(items[:n], Tolerance); len(c) > 0 {
					b.Fatal(c)
				}
				if _, ok := roof.Clearance(0, items[:n]); !ok {
					b.Fatal("no clearance")
				}
				if s := roof.Spread(items[:n]).Sections(1.2192); len(s) == 0 {
					b.Fatal("no sections")
				}
				walk, err := roof.Walk(0, nil, Entry{Kinds: OuterKinds}, items, 2.4384)
				if err != nil {
					b.Fatal(err)
				}
				for i := range 12 { // in a gap, over a module, at the border
					place := Item{"standpipe", 0, Disc(Point{0.3 + float64(i)*2, 0.3 + float64(i)}, 0.05)}
					if way := walk.Straight(place, 1.2192, true); way.Width < 0 {
						b.Fatal("no straight way sought")
					}
					if way := walk.Bent(place, 0.6096); way.Width < 0 {
						b.Fatal("no way sought")
					}
				}
			}
		})
	}
}
