package structural

import (
	"math"
	"testing"
)

func closeTo(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if math.Abs(got-want) > tolerance*math.Abs(want) {
		t.Errorf("%s = %.6g, want %.6g", what, got, want)
	}
}

// The closed forms are those of the beam diagrams of handbooks.
func TestSpansByClosedForms(t *testing.T) {
	uniform := Loaded{Lines: []LineLoad{{0, 20, 3}}}
	e, err := uniform.WorstSpan(0, 20, 10)
	if err != nil {
		t.Fatal(err)
	}
	closeTo(t, "w l2 / 8", e.Sagging, 3*100/8.0, 0.001)
	closeTo(t, "w l / 2", e.Shear, 15, 0.001)
	closeTo(t, "5 w l4 / 384", e.Deflection, 5*3*1e4/384.0, 0.002)

	one := Loaded{Points: []PointLoad{{7.3, 10}}}
	e, _ = one.WorstSpan(0, 40, 10)
	closeTo(t, "P l / 4", e.Sagging, 25, 1e-9)
	closeTo(t, "shear of a load beside a support", e.Shear, 10, 1e-9)

	e, _ = Loaded{Points: []PointLoad{{0.5, 10}, {12, -4}}}.WorstSpan(0, 12, 10)
	closeTo(t, "an end that hangs over", e.Hogging, 15, 1e-9)
	closeTo(t, "the other end, pulled up", e.Sagging, 8, 1e-9)

	e, _ = one.OnSupports([]float64{0, 10, 20}, true)
	a, b := 7.3, 2.7 // two equal spans, a load anywhere on one of them
	closeTo(t, "P a b (l + a) / 4 l2", e.Hogging, 10*a*b*(10+a)/400, 1e-9)
	closeTo(t, "reaction beyond", e.Up, 10*a*b*(10+a)/4000, 1e-9)
	closeTo(t, "P a b (4 l2 - a (l + a)) / 4 l3", e.Sagging, 10*a*b*(400-a*(10+a))/4000, 1e-9)

	e, _ = Loaded{Lines: []LineLoad{{0, 20, 3}}}.OnSupports([]float64{0, 10, 20}, true)
	closeTo(t, "w l2 / 8 over the middle support", e.Hogging, 3*100/8.0, 0.001)
	closeTo(t, "9 w l2 / 128", e.Sagging, 9*3*100/128.0, 1e-9)
	closeTo(t, "10 w l / 8", e.Down, 37.5, 0.001)

	for spans, want := range map[int][3]float64{3: {0.1, 0.08, 1.1}, 4: {3.0 / 28, 0.0772, 32.0 / 28}, 5: {4.0 / 38, 0.0779, 43.0 / 38}} {
		at := make([]float64, spans+1)
		for i := range at {
			at[i] = 10 * float64(i)
		}
		e, _ := Loaded{Lines: []LineLoad{{0, at[spans], 3}}}.OnSupports(at, true)
		closeTo(t, "w l2 over a support of equal spans", e.Hogging, want[0]*300, 1e-6)
		closeTo(t, "w l2 in the outer of equal spans", e.Sagging, want[1]*300, 0.0007)
		closeTo(t, "w l on the first inner support", e.Down, want[2]*30, 1e-6)
	}

	e, _ = Loaded{Points: []PointLoad{{12, 4}}}.OnSupports([]float64{0, 10}, false)
	closeTo(t, "overhang", e.Hogging, 8, 1e-9)
	closeTo(t, "pull at the far end", e.Up, 0.8, 1e-9)
}

func BenchmarkMembers(b *testing.B) { // 6,000 feet on 100 members
	var members []Loaded
	for range 100 {
		m := Loaded{Lines: []LineLoad{{0, 75, 100}}}
		for i := range 60 {
			m.Points = append(m.Points, PointLoad{1.2 * float64(i), -800})
		}
		members = append(members, m)
	}
	for b.Loop() {
		for i := range members {
			if _, err := members[i].WorstSpan(0, 75, 7.6); err != nil {
				b.Fatal(err)
			}
		}
	}
}

// Lumber 4 in thick has size and flat use factors of its own, and a member rolls
// over sooner under feet than under an even load, where its free length is long.
func TestThickLumberAndFreeEdges(t *testing.T) {
	n := must(NewSawn("2018", load(t)))(t)
	strength := func(width, depth, free float64, even bool) BendingStrength {
		l := Lumber{Species: "Douglas Fir-Larch", Grade: "No. 2", Width: width * inc, Depth: depth * inc, Even: even}
		return must(n.Bending(l, 1, free*12*inc))(t)
	}
	for _, c := range []struct{ width, depth, cf, cfu float64 }{
		{1.5, 7.25, 1.2, 1}, {2.5, 7.25, 1.2, 1}, {3.5, 7.25, 1.3, 1}, {3.5, 5.5, 1.3, 1}, {5.5, 1.5, 1.3, 1.15}, {5.5, 3.5, 1.3, 1.05}, {11.25, 3.5, 1.1, 1.1},
	} {
		b := strength(c.width, c.depth, 0, true)
		closeTo(t, "CF", b.CF, c.cf, 1e-9)
		closeTo(t, "Cfu", b.Cfu, c.cfu, 1e-9)
	}
	if short, feet := strength(1.5, 9.25, 4, true), strength(1.5, 9.25, 4, false); short.CL != feet.CL {
		t.Errorf("over a short length CL is %g under an even load, %g under feet", short.CL, feet.CL)
	}
	if long, feet := strength(1.5, 9.25, 16, true), strength(1.5, 9.25, 16, false); feet.CL >= long.CL {
		t.Errorf("over a long length CL is %g under an even load, %g under feet", long.CL, feet.CL)
	}
}
