package roofs_test

import (
	"strings"
	"testing"

	"plumbrule/internal/job"
	"plumbrule/internal/terms"
	_ "plumbrule/internal/terms/all"
	"plumbrule/internal/terms/termstest"
)

// northAt is the house with the ridge edge of its north plane moved.
func northAt(y string) map[string]any {
	corner := func(x, y string) any { return []any{x, y} }
	return map[string]any{"plane.north.outline": []any{corner("0 ft", y), corner("40 ft", y), corner("40 ft", "28 ft"), corner("0 ft", "28 ft")}}
}

func values(m *terms.Model, s *terms.Subject, names ...string) (all []any, needs string) {
	for _, name := range names {
		v := m.Term(s, name)
		all = append(all, v.V)
		for _, n := range v.Needs {
			needs += name + ": " + n.String() + "\n"
		}
	}
	return all, needs
}

// What concludes from a ridge says why it cannot where the drawing does not
// settle it.
func TestRidgeInDoubt(t *testing.T) {
	stated := map[string][]map[string]any{"plane.south.edge": {{"number": 3, "kind": "ridge"}}}
	for _, c := range []struct {
		about string
		edits job.Edits
		known bool
		why   string
	}{
		{"as drawn", job.Edits{}, true, ""},
		{"a height left out", job.Edits{Unset: []string{"plane.north.eave_elevation"}}, false, "plane.north.eave_elevation"},
		{"both heights left out", job.Edits{Unset: []string{"plane.south.eave_elevation", "plane.north.eave_elevation"}}, false, "plane.south.eave_elevation"},
		{"a height left out and the ridge stated", job.Edits{Unset: []string{"plane.north.eave_elevation"}, Added: stated}, true, ""},
		{"half an inch apart", job.Edits{Set: northAt("14 ft 0.5 in")}, false, "edge 3 of plane south and edge 1 of plane north lie 0.5 in apart in plan view and do not meet, at (20 ft, 14 ft) and (20 ft, 14.04 ft)"},
		{"a foot and a half too low", job.Edits{Set: map[string]any{"plane.north.eave_elevation": "7 ft 6 in"}}, false, "edge 3 of plane south and edge 1 of plane north lie 18 in apart in height"},
		{"too low and stated as a ridge", job.Edits{Set: map[string]any{"plane.north.eave_elevation": "7 ft 6 in"}, Added: stated}, false, "plane south: edge 3, stated as ridge, does not meet plane \"north\""},
	} {
		m := termstest.Model(t, "house", c.edits)
		ridge, needs := values(m, termstest.Subject(t, m, "plane", "south"), "has_ridge")
		clear, more := values(m, termstest.Subject(t, m, "array", "south"), "clearance_to_ridge", "clearance_to_roof_edge")
		if c.known != (ridge[0] == true && clear[0] != nil && clear[1] != nil) {
			t.Errorf("%s: ridge %v, clearances %v", c.about, ridge, clear)
		}
		if !c.known && (ridge[0] != nil || clear[0] != nil || clear[1] != nil) {
			t.Errorf("%s: ridge %v, clearances %v are known", c.about, ridge, clear)
		}
		for _, text := range []string{needs, more} {
			if c.why == "" && text != "" || !strings.Contains(text, c.why) {
				t.Errorf("%s: needs %q, want %q", c.about, text, c.why)
			}
		}
	}
}

func TestJointsOfTheHouse(t *testing.T) {
	m := termstest.Model(t, "house", job.Edits{Set: northAt("14 ft 0.5 in")})
	s := termstest.Subject(t, m, "joint", "south and north")
	got, needs := values(m, s, "kind", "kind_stated", "shares_line", "edges")
	if got[0] != "near miss" || got[1] != false || got[2] != false || got[3] != "edge 3 of plane south and edge 1 of plane north" {
		t.Errorf("half an inch apart: %v, needs %q", got, needs)
	}
	m = termstest.Model(t, "house", job.Edits{Set: map[string]any{"plane.north.eave_elevation": "9 ft 6 in"}})
	s = termstest.Subject(t, m, "joint", "south and north")
	got, needs = values(m, s, "kind", "heights_disagree", "places", "level_difference")
	if got[0] != "ridge" || got[1] != false || got[2] != "(20 ft, 14 ft)" || got[3].(float64) < 0.1523 || got[3].(float64) > 0.1525 {
		t.Errorf("half a foot apart in height: %v, needs %q", got, needs)
	}
}

// A dormer drawn over the slope leaves no way through it, and none is found
// past one whose height is not known.
func TestNoWayUnderADormer(t *testing.T) {
	dormer := func(keys map[string]any) map[string][]map[string]any {
		d := map[string]any{"name": "dormer", "slope": "1:12", "downslope": "180 deg",
			"outline": []any{[]any{"1 ft", "3 ft"}, []any{"39 ft", "3 ft"}, []any{"39 ft", "11 ft"}, []any{"1 ft", "11 ft"}}}
		for k, v := range keys {
			d[k] = v
		}
		return map[string][]map[string]any{"plane": {d}}
	}
	for _, c := range []struct {
		about  string
		keys   map[string]any
		closed bool
	}{
		{"above", map[string]any{"eave_elevation": "13 ft 10 in"}, true},
		{"height left out", nil, true},
		{"a roof far below", map[string]any{"eave_elevation": "1 ft"}, false},
	} {
		m := termstest.Model(t, "house", job.Edits{Added: dormer(c.keys)})
		v := m.Term(termstest.Subject(t, m, "plane", "south"), "widest_path")
		width, ok := v.V.(float64)
		if !ok || (width < 0.4) != c.closed {
			t.Errorf("dormer %s: widest way %v, closed %v wanted; needs %v", c.about, v.V, c.closed, v.Needs)
		}
		over, _ := values(m, termstest.Subject(t, m, "plane", "south"), "lies_over", "common_ground")
		if over[0] != "dormer" || !strings.Contains(over[1].(string), "304 ft2 of plane dormer about (20 ft, 84 in), ") {
			t.Errorf("dormer %s: %v", c.about, over)
		}
	}
}
