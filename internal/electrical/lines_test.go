package electrical

import (
	"math"
	"testing"
)

// One source on each pair of lines: the line current is the square root of three
// times that of one, as of any balanced delta. Two pairs that share a line: the
// same on that line and one source's current on the others. From lines to a
// neutral three equal currents leave none in it (W. D. Stevenson, Elements of
// Power System Analysis, chapter on balanced three-phase circuits).
func TestLineCurrents(t *testing.T) {
	near := func(a, b float64) bool { return math.Abs(a-b) < 0.01 }
	for _, x := range []struct {
		sources []OnLines
		lines   [3]float64
		neutral float64
	}{
		{[]OnLines{{"A-B", 22.87}, {"B-C", 22.87}, {"C-A", 22.87}}, [3]float64{39.61, 39.61, 39.61}, 0},
		{[]OnLines{{"A-B", 10}}, [3]float64{10, 10, 0}, 0},
		{[]OnLines{{"A-B", 10}, {"B-C", 10}}, [3]float64{10, 17.32, 10}, 0},
		{[]OnLines{{"A-N", 10}, {"B-N", 10}, {"C-N", 10}}, [3]float64{10, 10, 10}, 0},
		{[]OnLines{{"A-N", 10}, {"B-N", 10}}, [3]float64{10, 10, 0}, 10},
		{[]OnLines{{"", 20}, {"", 5}}, [3]float64{25, 25, 25}, 0},
	} {
		lines, neutral, err := LineCurrents(x.sources)
		if err != nil {
			t.Fatal(err)
		}
		for n := range lines {
			if !near(lines[n], x.lines[n]) {
				t.Errorf("%v: lines %v, want %v", x.sources, lines, x.lines)
				break
			}
		}
		if !near(neutral, x.neutral) {
			t.Errorf("%v: neutral %v, want %v", x.sources, neutral, x.neutral)
		}
	}
	if _, _, err := LineCurrents([]OnLines{{"B-A", 1}}); err == nil {
		t.Error("lines B-A are taken")
	}
}

// The nominal systems of ANSI C84.1: 120/240, 208Y/120, 480Y/277, and 240 delta.
func TestFits(t *testing.T) {
	split, wye208, wye480 := Feed{Voltage: 240, System: SplitPhase}, Feed{Voltage: 208, System: ThreePhase}, Feed{Voltage: 480, System: ThreePhase}
	delta := Feed{Voltage: 240, System: ThreePhase, Delta: true}
	one := func(v float64) Feed { return Feed{Voltage: v, System: SinglePhase} }
	three := func(v float64) Feed { return Feed{Voltage: v, System: ThreePhase} }
	for _, x := range []struct {
		source, on Feed
		want       bool
	}{
		{one(240), split, true}, {one(120), split, true}, {split, split, true}, {one(208), split, false}, {one(480), split, false}, {three(240), split, false},
		{one(208), wye208, true}, {one(120), wye208, true}, {one(240), wye208, false}, {split, wye208, false}, {three(480), wye208, false}, {three(208), wye208, true},
		{one(277), wye480, true}, {one(240), wye480, false}, {three(480), wye480, true},
		{one(240), delta, true}, {one(120), delta, true}, {three(240), delta, true}, {one(139), delta, false},
	} {
		if got := Fits(x.source, x.on, 0.01); got != x.want {
			t.Errorf("%+v on %+v: %v", x.source, x.on, got)
		}
	}
}
