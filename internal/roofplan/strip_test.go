package roofplan

import (
	"slices"
	"testing"
)

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
