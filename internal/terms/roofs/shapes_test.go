package roofs

import (
	"math"
	"strings"
	"testing"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/termstest"
)

func corner(x, y string) []any { return []any{x, y} }

// fan is the bath fan of the house with its size said otherwise.
func fan(t *testing.T, set map[string]any, unset ...string) *terms.Model {
	t.Helper()
	edits := job.Edits{Set: map[string]any{}, Unset: nil}
	for k, v := range set {
		edits.Set["obstruction.bath fan."+k] = v
	}
	for _, k := range unset {
		edits.Unset = append(edits.Unset, "obstruction.bath fan."+k)
	}
	return termstest.Model(t, "house", edits)
}

// The parts of an outline have its area and its name, and all of them stand in
// the way.
func TestOutlineOfAnObstruction(t *testing.T) {
	m := fan(t, map[string]any{"outline": []any{corner("2 ft", "2 ft"), corner("6 ft", "2 ft"), corner("6 ft", "6 ft"), corner("4 ft", "4 ft"), corner("2 ft", "6 ft")}}, "at", "width", "height")
	s, needs := Geometry.Known(m, m.Job)
	if len(needs) > 0 {
		t.Fatalf("needs %v", needs)
	}
	area := 0.0
	for _, it := range s.Obstacles {
		if it.Name == "bath fan" {
			area += it.Shape.Area()
		}
	}
	// 4 ft by 4 ft without a triangle of 4 ft by 2 ft
	if want := 12 * quantity.Foot * quantity.Foot; math.Abs(area-want) > 1e-9 {
		t.Errorf("the parts cover %v m2, want %v", area, want)
	}
}

func TestSizesThatAreNoSize(t *testing.T) {
	for name, c := range map[string]struct {
		set   map[string]any
		unset []string
		want  string
	}{
		"two ways":    {map[string]any{"diameter": "10 in"}, nil, "said by a diameter and by a centre with width and height"},
		"an outline":  {map[string]any{"outline": []any{corner("2 ft", "2 ft"), corner("6 ft", "2 ft"), corner("6 ft", "6 ft")}}, []string{"width", "height"}, "said by an outline and by a centre"},
		"no size":     {nil, []string{"width"}, "obstruction.\"bath fan\".width"},
		"crossing":    {map[string]any{"outline": []any{corner("2 ft", "2 ft"), corner("6 ft", "6 ft"), corner("6 ft", "2 ft"), corner("2 ft", "6 ft")}}, []string{"at", "width", "height"}, "the outline of obstruction bath fan"},
		"two corners": {map[string]any{"outline": []any{corner("2 ft", "2 ft"), corner("6 ft", "6 ft")}}, []string{"at", "width", "height"}, "the outline of obstruction bath fan"},
	} {
		m := fan(t, c.set, c.unset...)
		s, _ := Geometry.Known(m, m.Job)
		text := ""
		for _, n := range s.ItemNeeds["north"] {
			text += n.String() + " " + n.Key
		}
		if !strings.Contains(text, c.want) {
			t.Errorf("%s: the plane needs %q, want %q", name, text, c.want)
		}
	}
}

// A crew steps over what is low and small, whatever else is said to be so
// stays in the way; only what can be in a wall is taken for an opening there.
func TestWhatStandsInTheWay(t *testing.T) {
	for _, c := range []struct {
		set                map[string]any
		obstacles, stepped int
	}{
		{nil, 1, 0},
		{map[string]any{"walked_over": true, "rise": "8 in"}, 0, 1},
		{map[string]any{"walked_over": true}, 1, 0},
		{map[string]any{"walked_over": true, "rise": "9 in"}, 1, 0},
		{map[string]any{"walked_over": true, "rise": "4 in", "height": "13 in"}, 1, 0},
		{map[string]any{"walked_over": true, "rise": "4 in", "kind": "skylight"}, 1, 0},
		{map[string]any{"walked_over": true, "kind": "conduit", "width": "10 ft"}, 0, 1},
		{map[string]any{"in_wall": true}, 0, 0},
		{map[string]any{"in_wall": true, "kind": "escape-opening"}, 0, 0},
		{map[string]any{"in_wall": true, "kind": "skylight"}, 1, 0},
	} {
		m := fan(t, c.set)
		s, _ := Geometry.Known(m, m.Job)
		var obstacles, stepped int
		for _, it := range s.Obstacles {
			if it.Name == "bath fan" {
				obstacles++
			}
		}
		for _, it := range s.Stepped {
			if it.Name == "bath fan" {
				stepped++
			}
		}
		if obstacles != c.obstacles || stepped != c.stepped {
			t.Errorf("%v: %d in the way and %d stepped over, want %d and %d", c.set, obstacles, stepped, c.obstacles, c.stepped)
		}
	}
}
