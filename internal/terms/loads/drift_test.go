package loads

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/termstest"
)

// snowAt lists the snow on each foot of a job in psf on the plan, and its case.
func snowAt(t *testing.T, m *terms.Model, array string) (psf map[string]float64, cases map[string]string) {
	t.Helper()
	psf, cases = map[string]float64{}, map[string]string{}
	for _, s := range m.Subjects("attachment") {
		if strings.HasPrefix(s.Name, array+" ") {
			psf[s.Name] = termstest.Value[float64](t, m, "attachment", s.Name, "snow") / quantity.PSF
			cases[s.Name] = termstest.Value[string](t, m, "attachment", s.Name, "snow_case")
		}
	}
	return psf, cases
}

// Unbalanced snow lies beside the ridge alone; farther down the feet carry what
// lies everywhere. House: 15.4 psf balanced, 20 psf for a member from ridge to
// eave, 14.5 psf more within 4.6 ft of the ridge.
func TestUnbalancedByPlace(t *testing.T) {
	m := termstest.Model(t, "house", job.Edits{})
	psf, _ := snowAt(t, m, "south")
	if psf["south line 3 foot 4"] != psf["south line 1 foot 4"] || math.Abs(psf["south line 1 foot 4"]-20) > 1e-6 {
		t.Errorf("below the drift: %v and %v psf", psf["south line 1 foot 4"], psf["south line 3 foot 4"])
	}
	if got := psf["south line 4 foot 4"]; got <= 20 || got > 15.4+14.5 {
		t.Errorf("in the drift: %v psf", got)
	}
	// no such members, and the lower feet have the balanced snow
	m = termstest.Model(t, "house", job.Edits{Set: map[string]any{"plane.south.framing.ridge_to_eave": false}})
	lower, cases := snowAt(t, m, "south")
	if math.Abs(lower["south line 1 foot 4"]-15.4) > 1e-6 || cases["south line 1 foot 4"] != "balanced snow" || cases["south line 4 foot 4"] != unbalanced {
		t.Errorf("purlins: %v psf of %s", lower["south line 1 foot 4"], cases["south line 1 foot 4"])
	}
	if lower["south line 4 foot 4"] != psf["south line 4 foot 4"] {
		t.Errorf("the drift itself goes by what carries it: %v, %v", lower["south line 4 foot 4"], psf["south line 4 foot 4"])
	}
}

// The roof turned round carries the same.
func TestMirroredSnow(t *testing.T) {
	plain, _ := snowAt(t, termstest.Model(t, "house", job.Edits{}), "south")
	turned, _ := snowAt(t, termstest.Model(t, "house", job.Edits{Set: map[string]any{
		"plane.south.downslope": "0 deg", "plane.north.downslope": "180 deg",
		"plane.south.outline": outlineOf(t, "north"), "plane.north.outline": outlineOf(t, "south")}}), "south")
	for foot, want := range plain {
		if math.Abs(turned[foot]-want) > 1e-6 {
			t.Errorf("%s: %v psf, turned round %v", foot, want, turned[foot])
		}
	}
}

// outlineOf is the outline of a plane of the house.
func outlineOf(t *testing.T, name string) (corners []any) {
	t.Helper()
	j := termstest.Model(t, "house", job.Edits{}).Job
	for i := range j.Planes {
		if j.Planes[i].Name.Value == name {
			for _, p := range j.Planes[i].Outline.Value {
				corners = append(corners, []any{fmt.Sprintf("%v m", p.X), fmt.Sprintf("%v m", p.Y)})
			}
		}
	}
	return corners
}

// leanTo is the barn with its west array on a lean-to of 30 ft below the eave.
func leanTo(set map[string]any) job.Edits {
	e := job.Edits{Set: map[string]any{"array.west.plane": "lean-to", "array.east.plane": "south", "building.width": "78 ft", "building.mean_roof_height": "14 ft", "building.roof_shape": "gable", "building.eave_height": "6 ft"},
		Added: map[string][]map[string]any{"plane": {{"name": "lean-to", "outline": []any{[]any{"0 ft", "-30 ft"}, []any{"80 ft", "-30 ft"}, []any{"80 ft", "0 ft"}, []any{"0 ft", "0 ft"}},
			"slope": "2:12", "downslope": "180 deg", "eave_elevation": "6 ft"}}}}
	for k, v := range set {
		e.Set[k] = v
	}
	return e
}

// Below a higher roof lies the snow that slides off it, 0.4 x 16.8 psf x 24 ft
// over 15 ft, and beside the wall the drift behind 48 ft of roof.
func TestSnowBelowAHigherRoof(t *testing.T) {
	m := termstest.Model(t, "barn", leanTo(nil))
	psf, cases := snowAt(t, m, "west")
	if got := cases["west line 1 foot 3"]; got != "balanced snow" {
		t.Errorf("16 ft from the wall: %s", got)
	}
	if got := cases["west line 4 foot 3"]; got != "the snow that slides off plane south" || psf["west line 4 foot 3"] <= 16.8 || psf["west line 4 foot 3"] > 16.8+10.76 {
		t.Errorf("nearer: %s, %v psf", got, psf["west line 4 foot 3"])
	}
	if got := termstest.Value[string](t, m, "array", "east", "slides_onto"); got != "lean-to" {
		t.Errorf("the array above slides onto %q", got)
	}
	// Up against the wall the drift counts: 24.3 in high, 35 psf at the step.
	m = termstest.Model(t, "barn", leanTo(map[string]any{"array.west.origin": []any{"71 3/8 in", "214 in"}}))
	psf, cases = snowAt(t, m, "west")
	if got := cases["west line 4 foot 3"]; got != "the snow drift at the step to plane south" || psf["west line 4 foot 3"] < 16.8+10.76 || psf["west line 4 foot 3"] > 16.8+35 {
		t.Errorf("at the wall: %s, %v psf", got, psf["west line 4 foot 3"])
	}
	if got := termstest.Value[string](t, m, "array", "west", "snow_unsure"); got != "none" {
		t.Errorf("all of it is drawn, and %q is not told", got)
	}
	// A height that is not told is a safe bound, which no finding takes for sure.
	m = termstest.Model(t, "barn", job.Edits{Set: map[string]any{"plane.south.edge": []any{map[string]any{"number": 4, "kind": "wall"}}}})
	if got := termstest.Value[string](t, m, "array", "west", "snow_unsure"); !strings.Contains(got, "wall") {
		t.Errorf("a wall that nobody measured: %q", got)
	}
	sure, bound := termstest.Value[float64](t, m, "attachment", "west line 1 foot 1", "down_load"), termstest.Value[float64](t, m, "array", "west", "down_bound")
	if bound <= 1.5*sure {
		t.Errorf("bound %v N, for sure %v N", bound, sure)
	}
	if got := termstest.Value[string](t, m, "attachment", "west line 1 foot 1", "snow_case"); got != "balanced snow" {
		t.Errorf("at a wall that nobody measured: %s", got)
	}
}

// A parapet whose height is not stated leaves the load open, one that is low
// adds nothing.
func TestSnowAtParapets(t *testing.T) {
	edge := []any{map[string]any{"number": 4, "kind": "parapet"}}
	m := termstest.Model(t, "barn", job.Edits{Set: map[string]any{"plane.south.edge": edge}})
	if v := m.Term(termstest.Subject(t, m, "attachment", "west line 1 foot 1"), "down_load"); v.V != nil || len(v.Needs) == 0 {
		t.Errorf("without the height of the parapet: %v", v.V)
	}
	for height, want := range map[string]string{"1 ft": "balanced snow", "4 ft": "the snow drift at the parapet"} {
		m := termstest.Model(t, "barn", job.Edits{Set: map[string]any{"plane.south.edge": edge, "building.parapet_height": height}})
		if got := termstest.Value[string](t, m, "attachment", "west line 1 foot 1", "snow_case"); got != want {
			t.Errorf("parapet of %s: %s", height, got)
		}
	}
}

// Under 7-22 all of it is known, and less wind in winter drifts less.
func TestSnowByWinterWind(t *testing.T) {
	set := map[string]any{"adoption.asce7": "7-22", "site.ground_snow_edition": "7-22"}
	most := termstest.Value[float64](t, termstest.Model(t, "house", job.Edits{Set: set}), "array", "south", "unbalanced_down")
	set["site.winter_wind"] = 0.35
	if calm := termstest.Value[float64](t, termstest.Model(t, "house", job.Edits{Set: set}), "array", "south", "unbalanced_down"); calm >= most {
		t.Errorf("calm %v N, windiest %v N", calm, most)
	}
}

// On a hip roof the drift lies below the hips as below the ridge, on a roof of
// one slope there is none.
func TestUnbalancedOnHips(t *testing.T) {
	corners := func(list ...[2]int) (out []any) {
		for _, p := range list {
			out = append(out, []any{fmt.Sprintf("%d ft", p[0]), fmt.Sprintf("%d ft", p[1])})
		}
		return out
	}
	end := func(name, bearing string, outline []any) map[string]any {
		return map[string]any{"name": name, "outline": outline, "slope": "4:12", "downslope": bearing, "eave_elevation": "14 ft"}
	}
	m := termstest.Model(t, "barn", job.Edits{Set: map[string]any{"building.roof_shape": "hip",
		"plane.south.outline": corners([2]int{0, 0}, [2]int{80, 0}, [2]int{56, 24}, [2]int{24, 24}),
		"plane.north.outline": corners([2]int{24, 24}, [2]int{56, 24}, [2]int{80, 48}, [2]int{0, 48})},
		Added: map[string][]map[string]any{"plane": {end("west end", "270 deg", corners([2]int{0, 0}, [2]int{24, 24}, [2]int{0, 48})), end("east end", "90 deg", corners([2]int{80, 0}, [2]int{80, 48}, [2]int{56, 24}))}}})
	psf, cases := snowAt(t, m, "west")
	if got := cases["west line 4 foot 1"]; got != unbalanced || psf["west line 4 foot 1"] <= 16.8 {
		t.Errorf("below the hip: %s, %v psf", got, psf["west line 4 foot 1"])
	}
	if got := cases["west line 1 foot 10"]; got != "balanced snow" {
		t.Errorf("far from hip and ridge: %s", got)
	}
	m = termstest.Model(t, "barn", job.Edits{Set: map[string]any{"building.roof_shape": "monoslope", "building.width": "24 ft", "building.mean_roof_height": "18 ft", "plane.north.ground": true}})
	if v := m.Term(termstest.Subject(t, m, "array", "west"), "has_unbalanced_snow"); v.V != false {
		t.Errorf("a roof of one slope: %v %v", v.V, v.Needs)
	}
}
