package roofs_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/terms"
	_ "plumbrule/internal/terms/roofs"
	"plumbrule/internal/terms/termstest"
)

// drawn are the values of the building that its drawing gives too.
var drawn = []string{"building.length", "building.width", "building.eave_height", "building.mean_roof_height", "building.roof_shape"}

// outline turns corners in feet by degrees clockwise about the origin.
func outline(degrees float64, corners ...[2]float64) []any {
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	var out []any
	for _, c := range corners {
		out = append(out, []any{fmt.Sprintf("%.6f ft", c[0]*cos+c[1]*sin), fmt.Sprintf("%.6f ft", -c[0]*sin+c[1]*cos)})
	}
	return out
}

func building(t *testing.T, m *terms.Model, term string) *terms.Value {
	t.Helper()
	return m.Term(termstest.Subject(t, m, "building", ""), term)
}

func feet(t *testing.T, m *terms.Model, term string, want float64) {
	t.Helper()
	v := building(t, m, term)
	if got, ok := v.V.(float64); !ok || math.Abs(got-want*quantity.Foot) > 1e-4 {
		t.Errorf("%s is %v (%v), want %.3f ft", term, v.V, v.Needs, want)
	}
}

func needs(t *testing.T, m *terms.Model, term string, parts ...string) {
	t.Helper()
	v := building(t, m, term)
	var said []string
	for _, n := range v.Needs {
		said = append(said, n.String())
	}
	all := strings.Join(said, "; ")
	if v.V != nil || len(v.Needs) == 0 {
		t.Errorf("%s is %v, and must not be known", term, v.V)
	}
	for _, part := range parts {
		if !strings.Contains(all, part) {
			t.Errorf("%s needs %q, which does not say %q", term, all, part)
		}
	}
}

// A gable of 80 ft by 48 ft at 4 in 12 with its eave at 14 ft: the ridge is at
// 14 + 24/3 = 22 ft, the mean roof height 18 ft. It may stand turned.
func TestDrawingAnswers(t *testing.T) {
	for _, turn := range []float64{0, 33, 90, 200} {
		m := termstest.Model(t, "barn", job.Edits{Set: map[string]any{
			"plane.south.outline":   outline(turn, [2]float64{0, 0}, [2]float64{80, 0}, [2]float64{80, 24}, [2]float64{0, 24}),
			"plane.north.outline":   outline(turn, [2]float64{0, 24}, [2]float64{80, 24}, [2]float64{80, 48}, [2]float64{0, 48}),
			"plane.south.downslope": fmt.Sprintf("%g deg", turn+180-360*math.Floor((turn+180)/360)),
			"plane.north.downslope": fmt.Sprintf("%g deg", turn),
		}})
		feet(t, m, "length", 80)
		feet(t, m, "width", 48)
		feet(t, m, "eave_height", 14)
		feet(t, m, "mean_roof_height", 18)
		feet(t, m, "ridge_height_drawn", 22)
		if v := building(t, m, "roof_shape"); v.V != "gable" || v.Stated {
			t.Errorf("turned by %g: shape %v, stated %v", turn, v.V, v.Stated)
		}
		v := building(t, m, "mean_roof_height")
		if v.Work == nil {
			t.Fatal("a drawn value is shown without its reason")
		}
		if line := v.Work(quantity.US)[0]; !strings.Contains(line, "from the drawing") || !strings.Contains(line, "18 ft") {
			t.Errorf("work %q", line)
		}
	}
}

func TestStatedIsTakenAsStated(t *testing.T) {
	m := termstest.Model(t, "barn", job.Edits{Set: map[string]any{"building.width": "44 ft"}})
	feet(t, m, "width", 44) // 2 ft of overhang on each side
	feet(t, m, "width_drawn", 48)
	if v := building(t, m, "width"); !v.Stated || v.Work != nil || !v.At.Known() {
		t.Errorf("stated %v, with work %v, at line %d", v.Stated, v.Work != nil, v.At.Position().Line)
	}
	m = termstest.Model(t, "barn", job.Edits{Set: map[string]any{"building.width": "40 ft"}})
	needs(t, m, "width", "building.width is stated as 40 ft; the drawing gives 48 ft")
	feet(t, m, "width_stated", 40)
	m = termstest.Model(t, "barn", job.Edits{Set: map[string]any{"building.length": "48 ft", "building.width": "80 ft"}})
	needs(t, m, "length", "shorter side")
	needs(t, m, "width", "shorter side")
}

func TestDrawingDoesNotSay(t *testing.T) {
	without := func(set map[string]any, unset ...string) *terms.Model {
		t.Helper()
		return termstest.Model(t, "barn", job.Edits{Unset: unset, Set: set})
	}
	m := without(nil, "plane.north.outline")
	for _, key := range drawn {
		needs(t, m, strings.TrimPrefix(key, "building."), key, "plane.north.outline")
	}
	m = without(nil, "plane.north.eave_elevation")
	needs(t, m, "mean_roof_height", "building.mean_roof_height", "plane.north.eave_elevation")
	needs(t, m, "eave_height", "building.eave_height", "plane.north.eave_elevation")
	feet(t, m, "width", 48) // heights have no part in it

	// Elevations that count from the attic floor say nothing of the ground.
	m = without(map[string]any{"plane.south.eave_elevation": "0 ft", "plane.north.eave_elevation": "0 ft"})
	needs(t, m, "mean_roof_height", "does not count from the ground")
	m = without(map[string]any{"plane.south.eave_elevation": "0 ft", "plane.north.eave_elevation": "0 ft", "building.mean_roof_height": "18 ft"})
	feet(t, m, "mean_roof_height", 18) // what is stated is all that is known

	// The south slope stands 5 ft higher than the north slope would have it.
	m = without(map[string]any{"plane.south.eave_elevation": "19 ft", "plane.north.eave_elevation": "14 ft"})
	needs(t, m, "eave_height", "planes south and north differ by", "in height where they meet")

	// A porch below: of two eaves the drawing does not say which counts.
	porch := map[string]any{"name": "porch", "outline": outline(0, [2]float64{0, -10}, [2]float64{80, -10}, [2]float64{80, 0}, [2]float64{0, 0}),
		"slope": "1:12", "downslope": "180 deg", "eave_elevation": "8 ft"}
	m = termstest.Model(t, "barn", job.Edits{Added: map[string][]map[string]any{"plane": {porch}}})
	needs(t, m, "mean_roof_height", "the eaves are drawn from 8 ft to 14 ft high")
	feet(t, m, "eave_height", 8)
	feet(t, m, "width", 58)
	needs(t, m, "roof_shape", "gable and monoslope")
	m = termstest.Model(t, "barn", job.Edits{Added: map[string][]map[string]any{"plane": {porch}}, Set: map[string]any{"building.eave_height": "8 ft", "building.width": "57 ft", "building.mean_roof_height": "18 ft", "building.roof_shape": "gable"}})
	feet(t, m, "mean_roof_height", 18) // within (8 + 22) / 2 and (14 + 22) / 2
	if v := building(t, m, "roof_shape"); v.V != "gable" {
		t.Errorf("shape %v, %v", v.V, v.Needs)
	}

	// A second building on the plan.
	shed := map[string]any{"name": "shed", "outline": outline(0, [2]float64{100, 0}, [2]float64{120, 0}, [2]float64{120, 10}, [2]float64{100, 10}),
		"slope": "4:12", "downslope": "180 deg", "eave_elevation": "14 ft"}
	m = termstest.Model(t, "barn", job.Edits{Added: map[string][]map[string]any{"plane": {shed}}})
	needs(t, m, "length", "building.length", "several buildings")
	m = termstest.Model(t, "barn", job.Edits{Added: map[string][]map[string]any{"plane": {shed}}, Set: map[string]any{"building.length": "80 ft"}})
	feet(t, m, "length", 80)
	shed["ground"] = true // open ground is no roof
	m = termstest.Model(t, "barn", job.Edits{Added: map[string][]map[string]any{"plane": {shed}}})
	feet(t, m, "length", 80)
}

// A gambrel has no figure of its own: the job must say what it is taken for,
// and a gable is what may be said.
func TestGambrel(t *testing.T) {
	strip := func(from, to float64) []any {
		return outline(0, [2]float64{0, from}, [2]float64{80, from}, [2]float64{80, to}, [2]float64{0, to})
	}
	set := map[string]any{
		"plane.south.outline": strip(0, 24), "plane.north.outline": strip(24, 48),
		"plane.south.eave_elevation": "24 ft", "plane.north.eave_elevation": "24 ft",
	}
	lower := func(name string, from, to float64, downslope string) map[string]any {
		return map[string]any{"name": name, "outline": strip(from, to), "slope": "12:12", "downslope": downslope, "eave_elevation": "14 ft"}
	}
	added := map[string][]map[string]any{"plane": {lower("lower south", -10, 0, "180 deg"), lower("lower north", 48, 58, "0 deg")}}
	m := termstest.Model(t, "barn", job.Edits{Set: set, Added: added})
	needs(t, m, "roof_shape", "building.roof_shape", "drawn as gambrel")
	feet(t, m, "mean_roof_height", (14+24+8)/2.0)
	set["building.roof_shape"] = "gable"
	m = termstest.Model(t, "barn", job.Edits{Set: set, Added: added})
	if v := building(t, m, "roof_shape"); v.V != "gable" {
		t.Errorf("shape %v, %v", v.V, v.Needs)
	}
	set["building.roof_shape"] = "hip"
	m = termstest.Model(t, "barn", job.Edits{Set: set, Added: added})
	needs(t, m, "roof_shape", "stated as hip; the drawing gives gambrel")
}
