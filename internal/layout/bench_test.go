package layout

import (
	"fmt"
	"testing"
)

// benchmarkArray is a square array of about n modules with 0.6 feet for each.
func benchmarkArray(b *testing.B, n int) (*Array, []Foot, Mount) {
	side := 1
	for side*side < n {
		side++
	}
	p := Pattern{Name: "roof", Rows: side, Columns: side, Width: 1.134, Height: 1.722, GapX: 0.012, GapY: 0.012}
	for k := 7; k < side; k += 13 {
		p.Omit = append(p.Omit, Cell{k, k})
	}
	a, err := p.New()
	if err != nil {
		b.Fatal(err)
	}
	mount := Mount{Support: Seams}
	feet, err := PlaceFeet(a, FootPattern{Lines: a.SeamLines(), First: 0.4, Spacing: 1.9, Stagger: 0.6}.Expand(), mount)
	if err != nil {
		b.Fatal(err)
	}
	return a, feet, mount
}

// BenchmarkAnalyse is all that a plan review asks of a layout: the grid, feet,
// supports, areas, spans, fasteners on framing, outline and overlaps.
func BenchmarkAnalyse(b *testing.B) {
	for _, n := range []int{1_000, 10_000, 100_000} {
		a, feet, mount := benchmarkArray(b, n)
		bounds := a.Bounds()
		outline := []Point{{-1, -1}, {bounds.Max.X + 1, -1}, {bounds.Max.X + 1, bounds.Max.Y + 1}, {-1, bounds.Max.Y + 1}}
		b.Run(fmt.Sprintf("modules=%d/feet=%d", len(a.Modules), len(feet)), func(b *testing.B) {
			for b.Loop() {
				a, feet, _ := benchmarkArray(b, n)
				s, err := Carry(a, feet, mount)
				if err != nil {
					b.Fatal(err)
				}
				for _, m := range []Method{SimpleBeam, BeamReaction} {
					if _, err := s.Tributary(m); err != nil {
						b.Fatal(err)
					}
				}
				screws, err := Screws{2, 0.06, UpSlope}.Of(feet)
				if err != nil {
					b.Fatal(err)
				}
				if _, err := (Grid{Direction: UpSlope, Spacing: 0.61}).Bites(screws, 0.038, 0.01); err != nil {
					b.Fatal(err)
				}
				if _, err := a.Insets(outline); err != nil {
					b.Fatal(err)
				}
				if bill := s.Bill(Parts{2, 2, 2}); bill.LongestSpan == nil {
					b.Fatal("no span")
				}
				if len(Nearest(screws)) != len(screws) || len(Overlaps(a)) != 0 {
					b.Fatal("modules overlap")
				}
			}
		})
	}
}

func BenchmarkAreaOfInfluence(b *testing.B) {
	for _, n := range []int{1_000, 10_000, 100_000} {
		a, feet, mount := benchmarkArray(b, n)
		s, err := Carry(a, feet, mount)
		if err != nil {
			b.Fatal(err)
		}
		b.Run(fmt.Sprintf("modules=%d", len(a.Modules)), func(b *testing.B) {
			for b.Loop() {
				if _, err := s.Tributary(AreaOfInfluence); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkAsBuilt(b *testing.B) {
	for _, n := range []int{1_000, 10_000, 100_000} {
		a, feet, _ := benchmarkArray(b, n)
		survey := make([]Surveyed, len(feet))
		for i, f := range feet {
			survey[i] = Surveyed{f.At.add(Point{0.01, -0.005}), float64(i%7) / 1000, true}
		}
		b.Run(fmt.Sprintf("feet=%d", len(feet)), func(b *testing.B) {
			for b.Loop() {
				built, err := Compare(a, feet, survey, 0.05)
				if err != nil {
					b.Fatal(err)
				}
				if _, _, err := built.Rows(); err != nil || len(built.Missing) > 0 {
					b.Fatal(err, built.Missing)
				}
				if _, err := built.Level(); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
