package access

import (
	"math"
	"strconv"
	"testing"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/roofplan"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/roofs"
	"plumbrule/internal/terms/termstest"
)

// demo is a demo job with changes, seen through the vocabulary.
func demo(t *testing.T, name string, set map[string]any, unset ...string) *terms.Model {
	t.Helper()
	return termstest.Model(t, name, job.Edits{Set: set, Unset: unset})
}

// inches is a length term in inches.
func inches(t *testing.T, m *terms.Model, kind, name, term string) float64 {
	t.Helper()
	v := m.Term(termstest.Subject(t, m, kind, name), term)
	if v.V == nil {
		t.Fatalf("%s of %s %s: %v", term, kind, name, v.Needs)
	}
	return v.V.(float64) / quantity.Inch
}

// houseArrays puts the arrays of the house where the arithmetic below has them.
func houseArrays(more map[string]any) map[string]any {
	set := map[string]any{"array.south.origin": []any{"60 in", "12 in"}, "array.north.origin": []any{"105 in", "24 in"}}
	for k, v := range more {
		set[k] = v
	}
	return set
}

// The rules that hold, for every state of what decides it; "?" is
// undetermined.
func TestAccessRules(t *testing.T) {
	for _, c := range []struct {
		about             string
		set               map[string]any
		unset             []string
		dwelling, general any
	}{
		{"dwelling", nil, nil, true, false},
		{"other building", map[string]any{"building.detached_accessory": false, "building.dwelling": false, "building.occupancy": "B"}, nil, false, true},
		{"group in lower case", map[string]any{"building.detached_accessory": false, "building.dwelling": false, "building.occupancy": " s-1 "}, nil, false, true},
		{"group in words of the job's own", map[string]any{"building.occupancy": "single family"}, nil, true, false},
		{"dwelling in a group that has none", map[string]any{"building.occupancy": "S-1"}, nil, "?", "?"},
		{"no dwelling, but R-3", map[string]any{"building.dwelling": false}, nil, "?", "?"},
		{"no dwelling, but R-3, and the official decided", map[string]any{"building.detached_accessory": false, "building.dwelling": false, "adoption.dwelling_access_accepted": "F-2"}, nil, true, false},
		{"group not said", nil, []string{"building.occupancy"}, "?", "?"},
		{"not said which", nil, []string{"building.dwelling"}, "?", "?"},
		{"accessory", map[string]any{"building.detached_accessory": true, "building.dwelling": false, "building.occupancy": "U"}, nil, false, false},
		{"accessory dwelling", map[string]any{"building.detached_accessory": true}, nil, "?", false},
		{"accessory shop", map[string]any{"building.detached_accessory": true, "building.dwelling": false, "building.occupancy": "B"}, nil, false, "?"},
		{"accessory with an escape opening", map[string]any{"building.detached_accessory": true, "building.dwelling": false, "building.occupancy": "U", "obstruction.bath fan.kind": "escape-opening"}, nil, false, "?"},
		{"accessory not said", nil, nil, true, false},
		{"accessory not said of another building", map[string]any{"building.dwelling": false, "building.occupancy": "B"}, nil, false, "?"},
		{"accessory, not said which", map[string]any{"building.detached_accessory": true, "building.occupancy": "U"}, []string{"building.dwelling"}, "?", "?"},
		{"waiver, nothing else said", map[string]any{"adoption.local_fire_waiver": "F-1"}, []string{"building.dwelling", "building.occupancy"}, false, false},
		{"empty waiver", map[string]any{"adoption.local_fire_waiver": ""}, nil, true, false},
		{"other building under the dwelling rules", map[string]any{"building.detached_accessory": false, "building.dwelling": false, "building.occupancy": "R-2", "adoption.dwelling_access_accepted": "F-2"}, nil, true, false},
	} {
		m := demo(t, "house", c.set, c.unset...)
		building := m.Subjects("building")[0]
		for term, want := range map[string]any{"dwelling_access": c.dwelling, "general_access": c.general} {
			got := m.Term(building, term).V
			if got == nil {
				got = "?"
			}
			if got != want {
				t.Errorf("%s: %s is %v, want %v", c.about, term, got, want)
			}
		}
	}
}

// The house is 480 in long. Its south array leaves 60 in at the west and
// 480 - 60 - 360.67 = 59.33 in at the east rake. Seen looking up the north
// slope, left is east: its array leaves 105 in at the east and 104.62 in at the
// west rake, where a fan at 396 in, 10 in wide and above the array, leaves
// 480 - 401 = 79 in to the rake.
func TestStreetSide(t *testing.T) {
	for _, c := range []struct {
		street string
		want   float64
	}{
		{"180 deg", 60},  // the whole south plane
		{"-180 deg", 60}, // the same, written otherwise
		{"0 deg", 105},   // the whole north plane
		{"45 deg", 105},  // still the whole north plane
		{"90 deg", 105},  // the eastern halves of both
		{"270 deg", 79},  // the western halves of both: past the fan
	} {
		m := demo(t, "house", houseArrays(map[string]any{"site.street_bearing": c.street}))
		if got := inches(t, m, "roof", "", "street_pathway"); math.Abs(got-c.want) > 1e-6 {
			t.Errorf("street at %s: %.4f in, want %.4f in", c.street, got, c.want)
		}
	}
	m := demo(t, "house", nil, "site.street_bearing")
	if v := m.Term(m.Subjects("roof")[0], "street_pathway"); v.V != nil || len(v.Needs) != 1 || v.Needs[0].Key != "site.street_bearing" {
		t.Errorf("without a bearing: %v, needs %v", v.V, v.Needs)
	}
}

// A square plane of 10 m falls to the south. The half away from a street in the
// south-east, x - y = 10 m and beyond at its far corner, begins at the diagonal
// from the south-west to the north-east corner.
func TestHalfAwayFromStreet(t *testing.T) {
	roof, err := roofplan.New([]roofplan.Plane{{Name: "square", Slope: 60, Downslope: 180,
		Outline: []roofplan.Point{{}, {X: 10}, {X: 10, Y: 10}, {Y: 10}}}}, roofplan.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	far := farHalf(&roofs.State{Roof: roof}, []int{0}, 135)
	for _, c := range []struct {
		x, y float64 // in plan
		in   bool
	}{{1, 2, true}, {4, 9, true}, {5, 5.001, true}, {5, 4.999, false}, {9, 2, false}, {2, 1, false}, {0.1, 9.9, true}} {
		spot := roofplan.Disc(roof.Frame(0).ToSurface(roofplan.Point{X: c.x, Y: c.y}), 0)
		d := math.Inf(1)
		for _, piece := range far {
			each, _, _ := roofplan.Distance(spot, piece.Shape)
			d = math.Min(d, each)
		}
		if (d == 0) != c.in {
			t.Errorf("(%g, %g) is %g m from the far half, want inside %v", c.x, c.y, d, c.in)
		}
	}
}

// Two ways on the south plane of the house: one on either side of the array,
// or both on one side when nothing is left on the other.
func TestTwoWaysOnOnePlane(t *testing.T) {
	for _, c := range []struct {
		x    string
		want float64
	}{
		{"60 in", 480 - 60 - 8*1134/25.4 - 3.5},
		{"40 in", 40},
		{"0 in", (480 - 8*1134/25.4 - 3.5) / 2},
	} {
		m := demo(t, "house", map[string]any{"array.south.origin": []any{c.x, "12 in"}})
		if got := inches(t, m, "plane", "south", "second_path"); math.Abs(got-c.want) > 1e-6 {
			t.Errorf("array at %s: %.4f in, want %.4f in", c.x, got, c.want)
		}
	}
}

// Taken together, the ways on the south (60 in) and north (105 in) plane are
// two of 60 in.
func TestSecondPathway(t *testing.T) {
	m := demo(t, "house", houseArrays(nil))
	if got := inches(t, m, "roof", "", "second_pathway"); math.Abs(got-60) > 1e-6 {
		t.Errorf("%.4f in, want 60 in", got)
	}
}

// Sixteen modules of the house in two rows of eight with gaps of 1/2 in: gaps
// of 14 x 67.80 x 0.5 + 8 x 44.65 x 0.5 + 7 x 0.25 in2 on the surface.
func TestCoverageWithGaps(t *testing.T) {
	m := demo(t, "house", houseArrays(nil))
	roof := m.Subjects("roof")[0]
	w, h, cos := 1134/25.4, 1722/25.4, 1/math.Sqrt(1.25)
	gaps := 14*h*0.5 + 8*w*0.5 + 7*0.25 + 5*h*0.5 // the north array has one row of six
	want := (22*w*h + gaps) * cos / (480 * 336)
	if got := m.Term(roof, "coverage_with_gaps").V.(float64); math.Abs(got-want) > 1e-9 {
		t.Errorf("%.6f, want %.6f", got, want)
	}
	if got, want := m.Term(roof, "coverage").V.(float64), 22*w*h*cos/(480*336); math.Abs(got-want) > 1e-9 {
		t.Errorf("without gaps %.6f, want %.6f", got, want)
	}
}

// Open ground that carries an array is no part of the roof.
func TestGroundIsNoRoof(t *testing.T) {
	m := demo(t, "house", map[string]any{"plane.north.ground": true})
	roof := m.Subjects("roof")[0]
	w, h, cos := 1134/25.4, 1722/25.4, 1/math.Sqrt(1.25)
	if got, want := m.Term(roof, "coverage").V.(float64), 16*w*h*cos/(480*168); math.Abs(got-want) > 1e-9 {
		t.Errorf("coverage %.6f, want %.6f", got, want)
	}
	m = demo(t, "house", map[string]any{"plane.north.ground": true, "plane.south.ground": true})
	if v := m.Term(m.Subjects("roof")[0], "coverage"); v.V != nil {
		t.Errorf("coverage of no roof is %v", v.V)
	}
}

// The feed barn is 960 in by 576 in in plan with its ridge along the middle. A
// module row whose upper edge lies 200 in up a slope of 4:12 is 576/2 - 200 cos
// from the ridge line in plan.
func TestClearanceToRoofAxes(t *testing.T) {
	cos := 12 / math.Sqrt(160)
	top := 200.0
	y := top - 2*1722/25.4 - 4.2
	for _, c := range []struct {
		x       float64
		columns int
		want    float64
	}{
		{60, 3, 288 - top*cos},                         // far from the middle of the length
		{480 - 30 - 3*1134/25.4 - 1, 3, 30},            // ends 30 in short of it
		{400, 3, 0},                                    // across it
		{480 + 25, 3, 25},                              // begins 25 in beyond it
		{960 - 50 - 3*1134/25.4 - 1, 3, 288 - top*cos}, // at the other end
	} {
		m := demo(t, "barn", map[string]any{
			"array.west.origin":  []any{inchText(c.x), inchText(y)},
			"array.west.columns": c.columns,
			"array.west.gap_y":   "4.2 in",
			"array.west.gap_x":   "1/2 in",
		})
		if got := inches(t, m, "array", "west", "clearance_to_roof_axes"); math.Abs(got-c.want) > 1e-6 {
			t.Errorf("array at %.2f in: %.4f in, want %.4f in", c.x, got, c.want)
		}
	}
}

func inchText(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) + " in" }

// The roof of the house is 40 ft by 28 ft with its middle at (20 ft, 14 ft). The
// ways are those of TestStreetSide: 60 in on the south, 105 in on the north.
func TestStreets(t *testing.T) {
	street := func(kind string, more map[string]any) map[string]any {
		s := map[string]any{"name": kind + " A", "kind": kind}
		for k, v := range more {
			s[k] = v
		}
		return s
	}
	south := []any{[]any{"-100 ft", "-30 ft"}, []any{"200 ft", "-30 ft"}}
	north := []any{[]any{"0 ft", "60 ft"}, []any{"40 ft", "60 ft"}, []any{"200 ft", "300 ft"}}
	for _, c := range []struct {
		about       string
		streets     []map[string]any
		none        bool // site.street_bearing is left out
		want, alley float64
		needs       string // a key that is missing
	}{
		{about: "by its bearing", streets: []map[string]any{street("street", map[string]any{"bearing": "180 deg"})}, none: true, want: 60, alley: 60},
		{about: "by its line in the south", streets: []map[string]any{street("street", map[string]any{"line": south})}, none: true, want: 60, alley: 60},
		{about: "by its line in the north", streets: []map[string]any{street("driveway", map[string]any{"line": north})}, none: true, want: 105, alley: 105},
		{about: "driveway besides the street", streets: []map[string]any{street("driveway", map[string]any{"bearing": "0 deg"})}, want: 105, alley: 105},
		{about: "alley besides the street", streets: []map[string]any{street("alley", map[string]any{"bearing": "0 deg"})}, want: 60, alley: 105},
		{about: "line and bearing disagree", streets: []map[string]any{street("street", map[string]any{"bearing": "180 deg", "line": north})}, none: true, want: 60, alley: 60},
		{about: "alley alone", streets: []map[string]any{street("alley", map[string]any{"bearing": "0 deg"})}, none: true, needs: "site.street_bearing"},
		{about: "no street", none: true, needs: "site.street_bearing"},
		{about: "street without a place", streets: []map[string]any{street("street", nil)}, needs: `street."street A".bearing`},
	} {
		edits := job.Edits{Set: houseArrays(nil), Added: map[string][]map[string]any{"street": c.streets}}
		if c.none {
			edits.Unset = []string{"site.street_bearing"}
		}
		m := termstest.Model(t, "house", edits)
		for term, want := range map[string]float64{"street_pathway": c.want, "street_or_alley_pathway": c.alley} {
			v := m.Term(m.Subjects("roof")[0], term)
			if c.needs != "" {
				if len(v.Needs) != 1 || v.Needs[0].Key != c.needs {
					t.Errorf("%s: %s needs %v, want %s", c.about, term, v.Needs, c.needs)
				}
				continue
			}
			if got, ok := v.V.(float64); !ok || math.Abs(got/quantity.Inch-want) > 1e-6 {
				t.Errorf("%s: %s is %.4f in with needs %v, want %.4f in", c.about, term, got/quantity.Inch, v.Needs, want)
			}
		}
	}
}

// Half the roof on either side of a street's line has no bearing; a line beside
// the house has that of its nearest point, here the corner (40 ft, 60 ft).
func TestBearingOfDrawnStreet(t *testing.T) {
	for _, c := range []struct {
		line []any
		want float64 // below 0: undetermined
	}{
		{[]any{[]any{"-10 ft", "-30 ft"}, []any{"90 ft", "-30 ft"}}, 180},
		{[]any{[]any{"60 ft", "-30 ft"}, []any{"60 ft", "90 ft"}}, 90},
		{[]any{[]any{"40 ft", "60 ft"}, []any{"90 ft", "90 ft"}}, math.Atan2(20, 46) * 180 / math.Pi},
		{[]any{[]any{"-10 ft", "14 ft"}, []any{"90 ft", "14 ft"}}, -1},
	} {
		m := termstest.Model(t, "house", job.Edits{Added: map[string][]map[string]any{"street": {{"name": "A", "kind": "street", "line": c.line}}}})
		v := m.Term(m.Subjects("street")[0], "drawn_bearing")
		got, ok := v.V.(float64)
		if ok != (c.want >= 0) || ok && math.Abs(got-c.want) > 1e-6 {
			t.Errorf("%v: %v with needs %v, want %v", c.line, v.V, v.Needs, c.want)
		}
	}
}
