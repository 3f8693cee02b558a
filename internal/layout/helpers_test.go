package layout

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

const (
	inch = 0.0254
	foot = 0.3048
)

func near(a, b, tolerance float64) bool { return math.Abs(a-b) <= tolerance }

func mustArray(t testing.TB, p Pattern) *Array {
	t.Helper()
	a, err := p.New()
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func mustFeet(t testing.TB, a *Array, lines []LinePattern, m Mount) []Foot {
	t.Helper()
	feet, err := PlaceFeet(a, lines, m)
	if err != nil {
		t.Fatal(err)
	}
	return feet
}

func mustCarry(t testing.TB, a *Array, feet []Foot, m Mount) *Supports {
	t.Helper()
	s, err := Carry(a, feet, m)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func mustAreas(t testing.TB, s *Supports, m Method) []float64 {
	t.Helper()
	areas, err := s.Tributary(m)
	if err != nil {
		t.Fatal(err)
	}
	return areas
}

func sum(values []float64) float64 {
	total := 0.0
	for _, v := range values {
		total += v
	}
	return total
}

// plain is an array of modules 1 m wide and 2 m high without gaps, so that
// areas can be worked by hand.
func plain(rows, columns int, omit ...Cell) Pattern {
	return Pattern{Name: "south", Rows: rows, Columns: columns, Width: 1, Height: 2, Omit: omit}
}

// randomSupports makes an array with holes, perhaps turned and shifted, with
// feet on rails or seams, some moved a little.
func randomSupports(t testing.TB, random *rand.Rand) *Supports {
	p := Pattern{
		Name: "a", Frame: Frame{Point{10 * random.Float64(), 10 * random.Float64()}, 360*random.Float64() - 180},
		Rows: 1 + random.IntN(4), Columns: 1 + random.IntN(6),
		Width: 0.9 + 0.3*random.Float64(), Height: 1.5 + random.Float64(),
		GapX: 0.03 * random.Float64(), GapY: 0.03 * random.Float64(),
	}
	for r := 1; r <= p.Rows; r++ {
		for c := 1; c <= p.Columns; c++ {
			if random.IntN(5) == 0 && len(p.Omit) < p.Rows*p.Columns-1 {
				p.Omit = append(p.Omit, Cell{r, c})
			}
		}
	}
	if random.IntN(2) == 0 {
		for range p.Rows {
			p.RowShift = append(p.RowShift, 0.5*random.Float64())
		}
	}
	a := mustArray(t, p)
	mount := Mount{Support: Support(random.IntN(2))}
	heights := a.SeamLines()
	if mount.Support == Rails {
		heights = a.RailLines(0.25*p.Height, 0.7*p.Height)
	}
	var marks []Mark
	for k, h := range heights {
		first := 0.4 * random.Float64()
		for u := first; u < a.Bounds().Width(); u += 0.6 + 0.6*random.Float64() {
			marks = append(marks, Mark{
				At:   a.Frame.ToSurface(Point{a.Bounds().Min.X + u, h + 0.02*(random.Float64()-0.5)}),
				Line: string(rune('A' + k)),
			})
		}
	}
	feet, err := PlaceMarks(a, marks, 0)
	if err != nil {
		t.Fatal(err)
	}
	return mustCarry(t, a, feet, mount)
}

// supportedArea is the area of the modules that something carries.
func supportedArea(s *Supports) float64 {
	return s.Array.Area() - float64(len(s.Unsupported))*s.Array.Width*s.Array.Height
}

func lengths(spans []Span) []float64 {
	l := make([]float64, len(spans))
	for i, s := range spans {
		l[i] = s.Length
	}
	return l
}

func sameSet(t *testing.T, what string, got, want []float64) {
	t.Helper()
	got, want = slices.Clone(got), slices.Clone(want)
	slices.Sort(got)
	slices.Sort(want)
	if len(got) != len(want) {
		t.Fatalf("%s: %d values, want %d", what, len(got), len(want))
	}
	for i := range got {
		if !near(got[i], want[i], 1e-9) {
			t.Fatalf("%s: value %d is %.12g, want %.12g", what, i, got[i], want[i])
		}
	}
}
