package layout

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// Worked by hand: two rows of two modules, 1 m by 2 m, gaps of 20 mm; three
// lines of feet at the seams.
func TestClampsByHand(t *testing.T) {
	p := plain(2, 2)
	p.GapX, p.GapY = 0.02, 0.02
	a := mustArray(t, p)
	mount := Mount{Support: Seams}
	feet, err := PlaceMarks(a, []Mark{
		{At: Point{0.3, -0.02}, Line: "1"},  // the lower side of r1c1
		{At: Point{1.01, 0}, Line: "1"},     // in the gap: corners of r1c1 and r1c2
		{At: Point{0.5, 2.01}, Line: "2"},   // between r1c1 and r2c1
		{At: Point{1.52, 2.01}, Line: "2"},  // between r1c2 and r2c2
		{At: Point{1.01, 3.0}, Line: "3"},   // between the long sides of r2c1 and r2c2
		{At: Point{0.5, 3.0}, Line: "3"},    // below the middle of r2c1
		{At: Point{0.049, 3.0}, Line: "3"},  // within reach of its left side
		{At: Point{1.979, 4.02}, Line: "4"}, // near the upper right corner of r2c2
	}, 0)
	if err != nil {
		t.Fatal(err)
	}
	got, off := mustCarry(t, a, feet, mount).Clamps()
	want := []Clamp{
		{0, 0, true, 0.3}, {1, 0, true, 0}, {2, 0, true, 0.5},
		{1, 1, true, 0}, {3, 1, true, 0.5},
		{2, 2, true, 0.5}, {6, 2, false, 0.98}, {4, 2, false, 0.98},
		{3, 3, true, 0.5}, {4, 3, false, 0.98}, {7, 3, true, 0.041},
	}
	if len(got) != len(want) {
		t.Fatalf("%d clamps, want %d: %+v", len(got), len(want), got)
	}
	for i, w := range want {
		g := got[i]
		if g.Foot != w.Foot || g.Module != w.Module || g.AlongRow != w.AlongRow || !near(g.Corner, w.Corner, 1e-9) {
			t.Errorf("clamp %d is %+v, want %+v", i, g, w)
		}
	}
	if !slices.Equal(off, []int{5}) {
		t.Errorf("feet %v hold no side, want foot 5 alone", off)
	}
	if got, off := mustCarry(t, a, feet, Mount{Support: Rails}).Clamps(); got != nil || off != nil {
		t.Errorf("feet of rails hold %v, %v", got, off)
	}
}

// Turning an array, or moving it, changes no clamp; a clamp stands within reach
// of its side and no farther from the corner than half of the side.
func TestClampsTurned(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 1))
	for range 200 {
		s := randomSupports(t, random)
		if s.Mount.Support != Seams {
			continue
		}
		clamps, off := s.Clamps()
		frame := Frame{Point{-3, 5}, s.Array.Frame.Rotation + 37}
		turned := *s.Array
		turned.Frame = frame
		feet := slices.Clone(s.Feet)
		for i, f := range feet {
			feet[i].At = frame.ToSurface(s.Array.Frame.ToArray(f.At))
		}
		again, offAgain := mustCarry(t, &turned, feet, s.Mount).Clamps()
		if len(clamps) != len(again) || !slices.Equal(off, offAgain) {
			t.Fatalf("%d clamps and %v off, turned %d and %v", len(clamps), off, len(again), offAgain)
		}
		for i, k := range clamps {
			if k.Foot != again[i].Foot || k.Module != again[i].Module || k.AlongRow != again[i].AlongRow || !near(k.Corner, again[i].Corner, 1e-9) {
				t.Fatalf("%+v is %+v in a turned array", k, again[i])
			}
			side := s.Array.Height
			if k.AlongRow {
				side = s.Array.Width
			}
			if k.Corner < 0 || k.Corner > side/2+1e-9 {
				t.Fatalf("%+v on a side of %g m", k, side)
			}
			if slices.Contains(off, k.Foot) {
				t.Fatalf("foot %d holds module %d and is off all sides", k.Foot, k.Module)
			}
		}
	}
}

// Worked by hand: a rail of 6 m with feet at 0.5, 2.0, 3.5 and 5.0 m.
func TestUnsplicedByHand(t *testing.T) {
	rail := Rail{From: 0, To: 6, Feet: []float64{0.5, 2, 3.5, 5}}
	for _, c := range []struct {
		name string
		rule SpliceRule
		want float64
	}{
		// Places 2.1 to 2.5 and 3.0 to 3.4: 2.1 before, 0.5 between, 2.6 after.
		{"inner span, near the feet", SpliceRule{0.1, 0.5, false}, 2.6},
		// The whole of the inner span, 2.0 to 3.5.
		{"anywhere in the inner span", SpliceRule{0, 0.75, false}, 2.5},
		// From 0.6 to 4.9 but the middles of spans and the feet: 1.1 after.
		{"end spans too", SpliceRule{0.1, 0.5, true}, 1.1},
		// At exactly half a span there is one place in each span.
		{"mid-span only", SpliceRule{0.75, 0.75, true}, 1.75},
		// No span is so long.
		{"nowhere", SpliceRule{0.8, 1, true}, 6},
	} {
		got, err := rail.Unspliced(c.rule)
		if err != nil || !near(got, c.want, 1e-9) {
			t.Errorf("%s: %g m, %v; want %g m", c.name, got, err, c.want)
		}
	}
	for name, r := range map[string]SpliceRule{"crossed": {0.5, 0.1, false}, "none": {}, "no number": {0, math.NaN(), false}, "negative": {-1, 1, false}} {
		if v, err := rail.Unspliced(r); err == nil {
			t.Errorf("%s: %g m and no error", name, v)
		}
	}
	if _, err := (Rail{To: 3, Feet: []float64{2, 1}}).Unspliced(SpliceRule{0, 1, true}); err == nil {
		t.Error("feet out of order are no error")
	}
}

// A rail can be laid of pieces of a length just where no stretch without a place
// for a splice is longer: held against cutting each piece as long as it may be
// over places tried one by one every 5 mm.
func TestUnsplicedAgainstCutting(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 2))
	const step = 0.005
	grid := func(most int) float64 { return step * float64(random.IntN(most)) }
	for range 500 {
		rail := Rail{}
		at := grid(100)
		for range 1 + random.IntN(6) {
			rail.Feet = append(rail.Feet, at)
			at += step + grid(300)
		}
		rail.To = rail.Feet[len(rail.Feet)-1] + grid(100) + step
		rule := SpliceRule{Least: grid(40), EndSpans: random.IntN(2) == 0}
		rule.Most = rule.Least + step + grid(100)
		unspliced, err := rail.Unspliced(rule)
		if err != nil {
			t.Fatal(err)
		}
		stock := step + grid(900)
		if near(stock, unspliced, 2*step) {
			continue // the grid cannot tell
		}
		if got, want := laid(rail, rule, stock, step), unspliced < stock; got != want {
			t.Fatalf("%+v, %+v: pieces of %g m lay it: %v; no stretch over %g m", rail, rule, stock, got, unspliced)
		}
	}
}

// laid tells whether pieces of a length cover a rail with splices on a grid.
func laid(r Rail, rule SpliceRule, stock, step float64) bool {
	allowed := func(u float64) bool {
		for k := 1; k < len(r.Feet); k++ {
			inner := rule.EndSpans || k > 1 && k < len(r.Feet)-1
			if d := min(u-r.Feet[k-1], r.Feet[k]-u); inner && d > rule.Least-1e-9 && d < rule.Most+1e-9 {
				return true
			}
		}
		return false
	}
	for at := r.From; ; {
		if at+stock > r.To-1e-9 {
			return true
		}
		next := at
		for u := at + step; u < at+stock+1e-9; u += step {
			if allowed(u) {
				next = u
			}
		}
		if next == at {
			return false
		}
		at = next
	}
}

// The rails of an array end with its modules, and with what stands out past
// them; a hole or a break ends a rail.
func TestRailsByHand(t *testing.T) {
	a := mustArray(t, plain(1, 4, Cell{1, 3}))
	mount := Mount{Support: Rails, BreakAfter: []int{1}}
	feet := mustFeet(t, a, FootPattern{Lines: []float64{0.5}, First: 0.25, Spacing: 0.5}.Expand(), mount)
	rails, err := mustCarry(t, a, feet, mount).Rails(0.05)
	if err != nil || len(rails) != 3 {
		t.Fatalf("%+v, %v: want three rails", rails, err)
	}
	for i, want := range [][2]float64{{-0.05, 1.05}, {0.95, 2.05}, {2.95, 4.05}} {
		if !near(rails[i].From, want[0], 1e-9) || !near(rails[i].To, want[1], 1e-9) || len(rails[i].Feet) != 2 {
			t.Errorf("rail %d is %+v, want one from %g to %g m on two feet", i, rails[i], want[0], want[1])
		}
	}
	if _, err := mustCarry(t, a, feet, mount).Rails(-1); err == nil {
		t.Error("a negative end is no error")
	}
	if rails, _ := mustCarry(t, a, feet, Mount{Support: Seams}).Rails(0); rails != nil {
		t.Errorf("feet without rails have %v", rails)
	}
}

// Clamps on rails by hand: two rails under three modules carry half of each, so
// that a clamp between two modules holds half a module down and one at an end of
// the row a quarter; a rail off the quarter point carries more by its lever.
func TestRailClamps(t *testing.T) {
	a := mustArray(t, plain(1, 3)) // 1 m by 2 m
	for heights, shares := range map[[2]float64][2]float64{{0.5, 1.5}: {0.5, 0.5}, {0.2, 1.2}: {0.2, 0.8}} {
		lines := FootPattern{Lines: heights[:], First: 0.2, Spacing: 1.3, Count: 3}.Expand()
		s := mustCarry(t, a, mustFeet(t, a, lines, Mount{}), Mount{})
		clamps := s.RailClamps()
		if len(clamps) != 8 {
			t.Fatalf("%d clamps, want four on each rail", len(clamps))
		}
		for k, c := range clamps {
			want := shares[k/4] * a.Modules[0].Rect.Area()
			if end := c.Modules[0] < 0 || c.Modules[1] < 0; end != (k%4 == 0 || k%4 == 3) {
				t.Errorf("clamp %d holds the modules %v", k, c.Modules)
			} else if end {
				want /= 2
			}
			if got := c.Areas[0] + c.Areas[1]; !near(got, want, 1e-9) {
				t.Errorf("lines at %v: clamp %d holds %v m2, want %v", heights, k, got, want)
			}
		}
	}
	if none := mustCarry(t, a, mustFeet(t, a, FootPattern{Lines: []float64{0, 2}, First: 0.2, Spacing: 1.3}.Expand(), Mount{Support: Seams}), Mount{Support: Seams}).RailClamps(); none != nil {
		t.Errorf("clamps without rails: %v", none)
	}
}
