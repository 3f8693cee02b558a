package roofplan

import (
	"math"
	"strings"
	"testing"
)

// The next best way leaves the gate of the best one aside.
func TestNextBestWay(t *testing.T) {
	box := []Point{{0, 0}, {10, 0}, {10, 6}, {0, 6}}
	for _, c := range []struct {
		name   string
		things []Shape
		widest float64 // of the next best, 0 for none
		gate   [2]string
	}{
		{"no gate", nil, 0, [2]string{}},
		{"one way only", []Shape{rect(0, 1, 8, 1)}, 0, [2]string{}},
		{"both sides of an array", []Shape{rect(1.5, 1, 7.5, 4)}, 1, [2]string{"rake", "thing 0"}},
		{"three ways", []Shape{rect(1, 1, 3, 4), rect(5.2, 1, 3, 4)}, 1.2, [2]string{"thing 0", "thing 1"}},
		{"two gates on one way: the way up the other side", []Shape{rect(1, 1, 7, 1), rect(0.8, 3, 7.4, 1)}, 0.8, [2]string{"rake", "thing 1"}},
	} {
		r := mustRoof(t, level(box...))
		items := itemsOf(c.things...)
		p, err := r.Path([]int{0}, items, crew)
		if err != nil {
			t.Fatal(err)
		}
		if c.widest == 0 {
			if p.Next != nil {
				t.Errorf("%s: next best %g wide between %q and %q", c.name, p.Next.Widest, p.Next.Gate.A.Name, p.Next.Gate.B.Name)
			}
			continue
		}
		if p.Next == nil {
			t.Errorf("%s: no next best way", c.name)
			continue
		}
		near(t, c.name, p.Next.Widest, c.widest, 1e-9)
		a, b := p.Next.Gate.A.Name, p.Next.Gate.B.Name
		is := func(a, b string) bool { return strings.HasPrefix(a, c.gate[0]) && strings.HasPrefix(b, c.gate[1]) }
		if !is(a, b) && !is(b, a) {
			t.Errorf("%s: gate between %q and %q", c.name, a, b)
		}
		checkPath(t, r, *p.Next, items, crew, p.Gate)
	}
}

// Barring the gate by hand, with a thin line across it, never leaves a wider way than the next best, and one that does not pass close by the line
// is as wide.
func TestNextBestWayAgainstABarredGate(t *testing.T) {
	same := 0
	for seed := int64(2000); seed < 2000+few(int64(60)); seed++ {
		plane, items := randomScene(seed)
		r := mustRoof(t, plane)
		p, err := r.Path([]int{0}, items, crew)
		if err != nil {
			t.Fatal(err)
		}
		if len(p.Chain) == 0 {
			continue
		}
		barred, err := r.Path([]int{0}, append(items, Item{"bar", 0, Segment(p.Gate.A.Point, p.Gate.B.Point)}), crew)
		if err != nil {
			t.Fatal(err)
		}
		next := 0.0
		if p.Next != nil {
			next = p.Next.Widest
			if next > p.Widest {
				t.Errorf("roof %d: the next best way is %g wide, the best %g", seed, next, p.Widest)
			}
			if c := p.Next.Centre; c != nil {
				for i := 1; i < len(c); i++ {
					if _, _, ok := crossing(c[i-1], c[i], p.Gate.A.Point, p.Gate.B.Point); ok {
						t.Errorf("roof %d: the next best way passes the gate of the best", seed)
					}
				}
			}
		}
		if barred.Widest > next+1e-9 {
			t.Errorf("roof %d: next best %g wide, with the gate barred %g", seed, next, barred.Widest)
		}
		if math.Abs(barred.Widest-next) < 1e-9 {
			same++
		}
	}
	if same < few(30) {
		t.Errorf("only %d of the roofs have the same next best way with the gate barred", same)
	}
}
