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

// dormered is a hip roof with two dormers in openings of its south side, n modules and some obstructions.
func dormered(n, obstructions int) (*Roof, []Item) {
	planes := hipRoof(30)
	south := &planes[0]
	for k, x := range []float64{4.6, 6.4} {
		south.Holes = append(south.Holes, []Point{{x, 1}, {x, 2.2}, {x + 1, 2.2}, {x + 1, 1}})
		planes = append(planes,
			Plane{Name: fmt.Sprintf("dormer %d west", k), Outline: []Point{{x, 1}, {x + 0.5, 1}, {x + 0.5, 2.2}, {x, 2.2}}, Slope: 30, Downslope: 270},
			Plane{Name: fmt.Sprintf("dormer %d east", k), Outline: []Point{{x + 0.5, 1}, {x + 1, 1}, {x + 1, 2.2}, {x + 0.5, 2.2}}, Slope: 30, Downslope: 90})
	}
	roof, err := New(planes, Limits{})
	if err != nil {
		panic(err)
	}
	var items []Item
	for k := 0; len(items) < n; k++ {
		plane, row, column := []int{0, 2}[k%2], k/2%3, k/6
		items = append(items, Item{"module", plane, RectAt(Point{3 + float64(column)*0.8, 0.3 + float64(row)*1.2}, 0.75, 1.1).Shape()})
	}
	for k := range obstructions {
		items = append(items, Item{"vent", k % 4, Disc(Point{3.2 + float64(k%3)*0.7, 0.5 + float64(k%5)*0.4}, 0.1)})
	}
	return roof, items
}

// BenchmarkReviewOfAHouse finds the way over every side of a hip roof with two dormers, and over every two sides that meet.
func BenchmarkReviewOfAHouse(b *testing.B) {
	roof, items := dormered(40, 12)
	for b.Loop() {
		ways, sides := 0, roof.Sides()
		for k, side := range sides {
			if _, err := roof.Path(side, items, crew); err == nil {
				ways++
			}
			for _, o := range roof.Beside(sides, k) {
				if o > k {
					if _, err := roof.Path(append(append([]int(nil), side...), sides[o]...), items, crew); err == nil {
						ways++
					}
				}
			}
		}
		if ways < 8 {
			b.Fatal(ways)
		}
	}
}

// BenchmarkPathOverManyPlanes finds the way over 10,000 modules on 40 joined planes: two pitches, each in 20 parts.
func BenchmarkPathOverManyPlanes(b *testing.B) {
	const wide, rise, parts = 20.0, 30.0, 20
	var planes []Plane
	for k := range parts {
		x := float64(k) * wide
		planes = append(planes,
			Plane{Name: fmt.Sprintf("lower %d", k), Outline: []Point{{x, 0}, {x + wide, 0}, {x + wide, rise}, {x, rise}}, Slope: 10, Downslope: 180},
			Plane{Name: fmt.Sprintf("upper %d", k), Outline: []Point{{x, rise}, {x + wide, rise}, {x + wide, 2 * rise}, {x, 2 * rise}}, Slope: 4, Downslope: 180})
	}
	roof, err := New(planes, Limits{})
	if err != nil {
		b.Fatal(err)
	}
	var items []Item
	var all []int
	for p := range planes {
		all = append(all, p)
		for k := range 250 {
			items = append(items, Item{"module", p, RectAt(Point{1 + float64(k%15)*1.2, 1 + float64(k/15)*1.65}, 1.05, 1.6).Shape()})
		}
	}
	for b.Loop() {
		if p, err := roof.Path(all, items, crew); err != nil || p.Widest < crew || p.Centre == nil {
			b.Fatal(err, p.Widest)
		}
	}
}
