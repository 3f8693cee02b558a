package roofplan

import "testing"

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
	got := r.Spread(items).Sections(1.2192)
	if len(got) != 3 {
		t.Fatalf("%d sections", len(got))
	}
	near(t, "first section across", got[0].Length[0], 42.78-2+1.0+9*1.02+1, 1e-9)
	near(t, "first section up", got[0].Length[1], 7*1.7+1.68, 1e-9)
	total := 0
	for _, s := range got {
		total += len(s.Items)
	}
	if total != len(items)-1 {
		t.Errorf("%d items in sections, want %d", total, len(items)-1)
	}
	if one := r.Spread(items[:1]).Sections(1); len(one) != 1 || len(one[0].Items) != 1 {
		t.Errorf("one module: %+v", one)
	}
	if none := r.Spread(nil).Sections(1); len(none) != 0 {
		t.Errorf("no module: %v", none)
	}
	turned := []Item{{"t", 0, Rect{Centre: Point{50, 30}, Width: 6, Height: 2, Turn: 30}.Shape()}}
	near(t, "along a turned module", r.Spread(turned).Sections(1)[0].Length[0], 6, 1e-9)
	near(t, "across a turned module", r.Spread(turned).Sections(1)[0].Length[1], 2, 1e-9)
}
