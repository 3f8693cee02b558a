package roofplan

import (
	"math"
	"testing"
)

func TestClearance(t *testing.T) {
	r := mustRoof(t, hipRoof(30)...)
	rise := 4 / math.Cos(30*math.Pi/180)
	items := []Item{
		{"low", 0, rect(5, 0.3, 2, 1)},
		{"high", 0, rect(5, rise-1.5, 2, 1)},
		{"other plane", 2, rect(5, rise-1.2, 2, 1)},
		{"touching the strip", 0, rect(5, rise-1.9144, 1, 1)},
	}
	n, ok := r.Clearance(0, items, Ridge)
	if !ok || n.Item != 1 {
		t.Fatalf("nearest to the ridge: %+v %v", n, ok)
	}
	near(t, "clearance to the ridge", n.Distance, 0.5, 1e-9)
	near(t, "between the nearest points", n.OnItem.DistanceTo(n.OnOther), 0.5, 1e-9)
	if n, ok = r.Clearance(0, items, Eave); !ok || n.Item != 0 || n.Edge.Kind != Eave {
		t.Errorf("nearest to the eave: %+v", n)
	}
	near(t, "clearance to the eave", n.Distance, 0.3, 1e-9)
	if _, ok = r.Clearance(0, items, Valley); ok {
		t.Error("a clearance to valleys where there are none")
	}
	if _, ok = r.Clearance(3, items); ok {
		t.Error("a clearance where there are no items")
	}
	if _, ok = r.Clearance(9, items); ok {
		t.Error("a clearance on a plane that does not exist")
	}
	// The corner (7, rise-0.5) is nearest to the top (8, rise) of the hip, the corner (7, 1.3) to a point along it.
	n, _ = r.Clearance(0, items, Hip)
	near(t, "clearance to the hip", n.Distance, math.Hypot(1, 0.5), 1e-9)
	n, _ = r.Clearance(0, items[:1], Hip)
	near(t, "clearance of the low module to the hip", n.Distance, (5*rise-4*1.3)/math.Hypot(4, rise), 1e-9)
}

func TestAround(t *testing.T) {
	r := mustRoof(t, hipRoof(30)...)
	rise := 4 / math.Cos(30*math.Pi/180)
	vent := Item{"vent", 0, Disc(Point{6, rise - 0.4}, 0.1)}
	items := []Item{
		vent,
		{"near", 0, rect(6.5, rise-1, 1, 0.5)},
		{"at the limit", 0, rect(4, rise-1, 1.9-1.2192, 1)},
		{"over the ridge", 2, rect(5, rise-1.3, 2, 1)}, // its top is 0.3 m below the ridge, the vent's centre 0.4 m
	}
	near3 := r.Spread(items).Around(vent, 1.2192)
	if len(near3) != 2 || near3[0].Item != 1 || near3[1].Item != 3 {
		t.Fatalf("around the vent: %+v", near3)
	}
	near(t, "over the ridge", near3[1].Distance, 0.3+0.4-0.1, 1e-9)
	if got := r.Spread(items).Around(Item{"", 7, Disc(Point{}, 1)}, 1); got != nil {
		t.Errorf("around nothing: %v", got)
	}
}
