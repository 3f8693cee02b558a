package roofplan

import (
	"math"
	"slices"
	"testing"
)

func TestClearanceAndStrip(t *testing.T) {
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

	strip := r.Strip(0, items, 0.9144, Ridge)
	if len(strip) != 1 || strip[0].Item != 1 {
		t.Errorf("in the strip below the ridge: %v", strip)
	}
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
	near3 := r.Around(vent, items, 1.2192)
	if len(near3) != 2 || near3[0].Item != 1 || near3[1].Item != 3 {
		t.Fatalf("around the vent: %+v", near3)
	}
	near(t, "over the ridge", near3[1].Distance, 0.3+0.4-0.1, 1e-9)
	if got := r.Around(Item{"", 7, Disc(Point{}, 1)}, items, 1); got != nil {
		t.Errorf("around nothing: %v", got)
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

func TestSections(t *testing.T) {
	r := mustRoof(t, level(Point{0, 0}, Point{100, 0}, Point{100, 60}, Point{0, 60}))
	var items []Item
	block := func(x, y float64, columns, rows int) {
		for c := range columns {
			for k := range rows {
				items = append(items, Item{"m", 0, rect(x+float64(c)*1.02, y+float64(k)*1.7, 1, 1.68)})
			}
		}
	}
	block(2, 2, 40, 8)            // to x 42.78, y 15.58
	block(2, 15.58+1.2192, 40, 4) // a way of the very width above it
	block(42.78+1.0, 2, 10, 8)    // too near to the first: one section with it
	block(42.78+30, 2+1.5, 5, 2)  // far off
	items = append(items, Item{"elsewhere", 1, rect(0, 0, 90, 1)})
	got := r.Sections(0, items, 1.2192)
	if len(got) != 3 {
		t.Fatalf("%d sections", len(got))
	}
	near(t, "first section across", got[0].Length[0], 42.78-2+1.0+9*1.02+1, 1e-9)
	near(t, "first section up", got[0].Length[1], 7*1.7+1.68, 1e-9)
	near(t, "gap of the first", got[0].Gap, 1.2192, 1e-9)
	if got[0].Next != 1 || got[1].Next != 0 || got[2].Next != 0 {
		t.Errorf("nearest sections %d, %d, %d", got[0].Next, got[1].Next, got[2].Next)
	}
	total := 0
	for _, s := range got {
		total += len(s.Items)
	}
	if total != len(items)-1 {
		t.Errorf("%d items in sections, want %d", total, len(items)-1)
	}
	if one := r.Sections(0, items[:1], 1); len(one) != 1 || one[0].Next != -1 || one[0].Gap != 0 {
		t.Errorf("one module: %+v", one)
	}
	if none := r.Sections(0, nil, 1); len(none) != 0 {
		t.Errorf("no module: %v", none)
	}
	turned := []Item{{"t", 0, Rect{Centre: Point{50, 30}, Width: 6, Height: 2, Turn: 30}.Shape()}}
	near(t, "along a turned module", r.Sections(0, turned, 1)[0].Length[0], 6, 1e-9)
	near(t, "across a turned module", r.Sections(0, turned, 1)[0].Length[1], 2, 1e-9)
}
