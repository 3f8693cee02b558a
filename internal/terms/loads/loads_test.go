package loads

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"testing"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/arrays"
	"plumbrule/internal/terms/termstest"
)

func near(got, want, share float64) bool { return math.Abs(got-want) <= share*math.Abs(want) }

// The first foot of the barn by hand, step by step with the equations of
// ASCE/SEI 7-16 26.10, 29.4.4 and 2.4.1 and the 7-20 degree gable curve of
// zone 1 (-2.0 up to 20 ft2), and the pull-out of AISI S100-16 J4.4.1.
func TestFootByHand(t *testing.T) {
	m := termstest.Model(t, "barn", job.Edits{})
	const foot = "west line 1 foot 1"
	kz := 2.01 * math.Pow(18.0/900, 2/9.5)
	qh := 0.00256 * kz * 0.85 * math.Exp(-0.0000362*900) * 105 * 105
	if got := termstest.Value[float64](t, m, "building", "", "velocity_pressure") / quantity.PSF; !near(got, qh, 2e-3) {
		t.Errorf("qh %.3f psf, want %.3f", got, qh)
	}
	area := termstest.Value[float64](t, m, "attachment", foot, "loaded_area") / quantity.SquareFoot
	if zone := termstest.Value[string](t, m, "attachment", foot, "wind_zone"); zone != "1" {
		t.Errorf("zone %s", zone)
	}
	dead := 47.4/(1.722*1.134/0.09290304) + 0.5
	// To the ridge it is less than half of the height of 18 ft, to the eave beyond it more.
	for reading, gamma := range map[string]float64{"": 1.5, "_certain": 1} {
		if edge := termstest.Value[float64](t, m, "attachment", foot, "edge_factor"+reading); edge != gamma {
			t.Errorf("edge factor%s %v, want %v", reading, edge, gamma)
		}
		want := gamma*0.6*qh*2.0*0.8*area - 0.6*dead*area*math.Cos(math.Atan(4.0/12))
		if got := termstest.Value[float64](t, m, "attachment", foot, "uplift"+reading) / quantity.PoundForce; !near(got, want, 2e-3) {
			t.Errorf("uplift%s %.2f lb, want %.2f", reading, got, want)
		}
	}
	pullout := 2 * 0.85 * 0.0566 * 0.25 * 65000 / 3
	if got := termstest.Value[float64](t, m, "attachment", foot, "uplift_capacity") / quantity.PoundForce; !near(got, pullout, 1e-3) {
		t.Errorf("capacity %.2f lb, want %.2f", got, pullout)
	}
}

// The feet of a roof follow the map of zones of each edition: at 7 to 20
// degrees the strip along the eave is zone 2e in 7-16 and zone 1 in 7-22, and
// the eave corner 3e in 7-16 and 2, as the rake is, in 7-22.
func TestZonesOfFeet(t *testing.T) {
	corner := map[string]any{"array.west.origin": []any{"20 in", "44 1/8 in"}}
	for edition, want := range map[string][2]string{"7-16": {"3e", "2e"}, "7-22": {"2", "1"}} {
		corner["adoption.asce7"] = edition
		m := termstest.Model(t, "barn", job.Edits{Set: corner})
		for i, foot := range []string{"west line 1 foot 1", "west line 1 foot 8"} {
			if got := termstest.Value[string](t, m, "attachment", foot, "wind_zone"); got != want[i] {
				t.Errorf("%s: %s is in zone %s, want %s", edition, foot, got, want[i])
			}
		}
	}
}

// How a plan groups modules into arrays changes no edge factor: one array of
// three rows of 18, the same cut below its second row, and cut after its second
// column. Its rows end 10 ft 6 in from the rake and stand 33 ft from the eave, both
// beyond half of the height of 20 ft, and 7 ft from the high eave. The strip of 1.5
// chords of 1.99 m takes in two rows, and three columns at each end: 36 modules and
// 6 of the third row.
func TestArrayCutOnPaper(t *testing.T) {
	entry := func(name string, x, y string, rows, columns int, lines ...any) map[string]any {
		return map[string]any{"name": name, "plane": "roof", "module": "M550", "mounting": "seam rail", "origin": []any{x, y}, "rows": rows, "columns": columns,
			"orientation": "portrait", "gap_x": "1/2 in", "gap_y": "1/2 in", "stand_off": "4 in", "height_above_roof": "5 3/8 in",
			"attachments": map[string]any{"fastener": "seam clamp", "fasteners_each": 1, "lines": lines, "spacing": "24 in", "first_offset": "6 in"}}
	}
	all := []any{"15 3/4 in", "62 1/2 in", "94 5/8 in", "141 3/8 in", "173 1/2 in", "220 1/4 in"}
	count := func(e job.Edits) map[gamma]int {
		if e.Set == nil {
			e.Set = map[string]any{}
		}
		e.Set["array.west.origin"], e.Set["array.east.origin"] = []any{"10 ft 6 in", "33 ft"}, []any{"94 ft 6 in", "33 ft"}
		e.Unset = []string{"array.west.lug"}
		m := termstest.Model(t, "commercial", e)
		n := map[gamma]int{}
		for i := range m.Job.Arrays {
			w, needs := Wind.Known(m, &m.Job.Arrays[i])
			if len(needs) > 0 {
				t.Fatal(needs)
			}
			for _, g := range w.edges {
				n[g]++
			}
		}
		return n
	}
	whole := count(job.Edits{})
	if want := (map[gamma]int{{1.5, 1.5}: 2 * 42, {1, 1}: 2 * 12}); !maps.Equal(whole, want) {
		t.Fatalf("as one array: %v, want %v", whole, want)
	}
	for name, e := range map[string]job.Edits{
		"below the second row": {Set: map[string]any{"array.west.rows": 1, "array.west.attachments.lines": all[:2]},
			Added: map[string][]map[string]any{"array": {entry("upper", "10 ft 6 in", "474.8465 in", 2, 18, all[:4]...)}}},
		"after the second column": {Set: map[string]any{"array.west.columns": 2},
			Added: map[string][]map[string]any{"array": {entry("right", "225.4252 in", "33 ft", 3, 16, all...)}}},
	} {
		if got := count(e); !maps.Equal(got, whole) {
			t.Errorf("cut %s: %v, want %v", name, got, whole)
		}
	}
}

// A spacing of the table holds, and half an inch more does not: the uplift of a
// foot is proportional to its area where the coefficients are constant.
func TestSpacingTable(t *testing.T) {
	m := termstest.Model(t, "barn", job.Edits{Set: map[string]any{"site.wind_speed": "150 mph"}})
	rows, needs := spacings.Known(m, &m.Job.Arrays[0])
	if len(needs) > 0 {
		t.Fatal(needs)
	}
	capacity := termstest.Value[float64](t, m, "array", "west", "uplift_capacity")
	limits := map[string]float64{}
	for _, r := range rows {
		limits[r.Zone] = r.Limit
		if r.Limit > 0 && r.Demand.UpliftASD > capacity {
			t.Errorf("zone %s: %.0f N at the limit, the foot holds %.0f N", r.Zone, r.Demand.UpliftASD, capacity)
		}
		if r.Limit > 48*quantity.Inch*(1+1e-9) {
			t.Errorf("zone %s: spacing %.3f m is over the maker's 48 in", r.Zone, r.Limit)
		}
	}
	if !(limits["1"] > limits["3e"] && limits["3e"] > 0) {
		t.Errorf("field %v m and corner %v m", limits["1"], limits["3e"])
	}
	m = termstest.Model(t, "barn", job.Edits{Unset: []string{"site.wind_speed"}})
	if _, needs := spacings.Known(m, &m.Job.Arrays[0]); !slices.ContainsFunc(needs, func(n terms.Need) bool { return n.Key == "site.wind_speed" }) {
		t.Errorf("without a wind speed: %v", needs)
	}
}

// The mean strip of a line is exact: two lines a row carry the whole row.
func TestWidestStrip(t *testing.T) {
	m := termstest.Model(t, "barn", job.Edits{})
	l, _ := arrays.Carried.Known(m, &m.Job.Arrays[0])
	module := 1.722
	if got := widestStrip(l); got < module/2*0.999 || got > module/2*1.02 {
		t.Errorf("strip %.3f m, want half a module of %.3f m", got, module)
	}
}

// Rows tilted on a nearly flat roof take the other method, with zone 3
// everywhere; too steep a tilt takes none.
func TestTiltedArray(t *testing.T) {
	flat := map[string]any{"building.roof_shape": "flat", "building.parapet_height": "0 in", "building.mean_roof_height": "14 ft", "plane.south.slope": "1 deg", "plane.north.slope": "1 deg", "array.west.tilt": "10 deg", "array.west.height_above_roof": "18 in"}
	m := termstest.Model(t, "barn", job.Edits{Set: flat})
	if got := termstest.Value[string](t, m, "array", "west", "wind_method"); got != string(tiltedMethod) {
		t.Fatalf("method %s", got)
	}
	const foot = "west line 1 foot 1"
	up, pressure := termstest.Value[float64](t, m, "attachment", foot, "uplift"), termstest.Value[float64](t, m, "attachment", foot, "uplift_pressure")
	area := termstest.Value[float64](t, m, "attachment", foot, "tributary_area")
	if !(pressure >= 16*quantity.PSF && up > 0 && up < 0.6*pressure*area) {
		t.Errorf("pressure %.0f Pa, uplift %.0f N of %.0f N wind", pressure, up, 0.6*pressure*area)
	}
	// the pressure acts both ways, and its share of the tilt along the roof
	if down := termstest.Value[float64](t, m, "attachment", foot, "down_load"); !(down > 0.6*pressure*area) {
		t.Errorf("downward %.0f N of %.0f N wind", down, 0.6*pressure*area)
	}
	if along := termstest.Value[float64](t, m, "attachment", foot, "downslope_load"); !(along > 0.6*pressure*area*math.Sin(10*math.Pi/180)) {
		t.Errorf("along the roof %.0f N", along)
	}
	flat["array.west.tilt"] = "40 deg"
	m = termstest.Model(t, "barn", job.Edits{Set: flat})
	if reasons := termstest.Value[string](t, m, "array", "west", "wind_scope_reasons"); !strings.Contains(reasons, "tilt 40") {
		t.Errorf("reasons %q", reasons)
	}
}

// A stated value that is off is explained by its usual cause.
func TestCauses(t *testing.T) {
	qh := 0.00256 * 2.01 * math.Pow(18.0/900, 2/9.5) * math.Exp(-0.0000362*900) * 105 * 105
	for _, c := range []struct {
		name, term, want string
		set              map[string]any
	}{
		{"barn", "qh_cause", "Kd is left out", map[string]any{"stated.qh": fmt.Sprintf("%.2f psf", qh)}},
		{"barn", "qh_cause", "Kd is counted twice", map[string]any{"stated.qh": fmt.Sprintf("%.2f psf", qh*0.85*0.85)}},
		{"barn", "qh_cause", "Kd is inside qh", map[string]any{"stated.qh": "20.5 psf", "adoption.asce7": "7-22"}},
		{"barn", "qh_cause", noCause, map[string]any{"stated.qh": "11 psf"}},
		{"house", "capacity_cause", "tip is counted", map[string]any{"stated.attachment_capacity": "1064 lb"}},
		{"barn", "uplift_cause", "allowable level is quoted as strength", map[string]any{"stated.uplift": "28.8 psf", "stated.uplift_level": "strength"}},
	} {
		m := termstest.Model(t, c.name, job.Edits{Set: c.set})
		if got := termstest.Value[string](t, m, "stated", "", c.term); !strings.Contains(got, c.want) {
			t.Errorf("%s %v: %q, want %q", c.term, c.set, got, c.want)
		}
	}
}

// Ground snow of another edition is never computed with.
func TestSnowEditions(t *testing.T) {
	m := termstest.Model(t, "barn", job.Edits{Set: map[string]any{"adoption.asce7": "7-22"}})
	s := m.Subjects("plane")[0]
	if v := m.Term(s, "roof_snow"); v.V != nil {
		t.Errorf("roof snow %v from a ground snow load of another edition", v.V)
	}
	// pf = 0.7 x 1.0 x 1.2 x 0.8 x 25 psf (ASCE 7-16 7.3-1), Cs = 1 at 18.4 deg on a cold roof that is not slippery.
	m = termstest.Model(t, "barn", job.Edits{})
	if got := termstest.Value[float64](t, m, "plane", "south", "roof_snow") / quantity.PSF; !near(got, 0.7*1.2*0.8*25, 1e-6) {
		t.Errorf("roof snow %.3f psf", got)
	}
}

// large is a roof with one array of some 6,000 feet.
func large(b testing.TB) *terms.Model {
	var lines []any
	for row := range 32 {
		at := float64(row) * 72
		lines = append(lines, fmt.Sprintf("%.3f in", at+9.875), fmt.Sprintf("%.3f in", at+57.875))
	}
	return termstest.Model(b, "barn", job.Edits{Set: map[string]any{
		"plane.south.outline": []any{[]any{"0 ft", "0 ft"}, []any{"400 ft", "0 ft"}, []any{"400 ft", "200 ft"}, []any{"0 ft", "200 ft"}},
		"plane.north.outline": []any{[]any{"0 ft", "200 ft"}, []any{"400 ft", "200 ft"}, []any{"400 ft", "400 ft"}, []any{"0 ft", "400 ft"}},
		"building.length":     "400 ft", "building.width": "400 ft", "building.mean_roof_height": "47 ft 4 in",
		"array.west.rows": 32, "array.west.columns": 100, "array.west.attachments.lines": lines,
		"array.east.plane": "north",
	}})
}

// Each of 6,000 feet has its own demand; together they take no longer than a
// breath.
func BenchmarkUplift6000(b *testing.B) {
	m := large(b)
	tables, parsed := m.Tables, m.Job
	for b.Loop() {
		m := terms.New(parsed, tables)
		n := 0
		for _, s := range m.Subjects("attachment") {
			if v := m.Term(s, "uplift"); v.V != nil {
				n++
			}
		}
		if n < 6000 {
			b.Fatalf("%d feet known of %d", n, len(m.Subjects("attachment")))
		}
	}
}

// readings lists the zone and both edge factors of every module of an array,
// sorted, so that arrays can be compared whichever way they lie.
func readings(t *testing.T, m *terms.Model, array string) []string {
	t.Helper()
	for i := range m.Job.Arrays {
		a := &m.Job.Arrays[i]
		if a.Name.Value != array {
			continue
		}
		w, needs := Wind.Known(m, a)
		if len(needs) > 0 {
			t.Fatal(needs)
		}
		var list []string
		for i, z := range w.zones.modules {
			if w.edges[i].safe < w.edges[i].lenient {
				t.Errorf("module %d: the safe reading is below the lenient one", i)
			}
			list = append(list, fmt.Sprint(z, w.edges[i]))
		}
		for i := range w.demands {
			if w.demands[i].UpliftASD < w.certain[i].UpliftASD {
				t.Errorf("foot %d: the safe reading is below the lenient one", i)
			}
		}
		slices.Sort(list)
		return list
	}
	t.Fatalf("no array %s", array)
	return nil
}

// The readings of exposed rows and the zones do not depend on how the roof is
// drawn: mirrored, turned, or with a plane parted along a contour.
func TestReadingsDoNotDependOnTheDrawing(t *testing.T) {
	base := termstest.Model(t, "barn", job.Edits{})
	want := readings(t, base, "west")
	if len(want) == 0 || !strings.Contains(strings.Join(want, ""), "{1.5 1}") {
		t.Fatalf("the ridge decides nothing here: %v", want)
	}
	mirrored := map[string]any{}
	for i := range base.Job.Arrays {
		l, _ := arrays.Modules.Known(base, &base.Job.Arrays[i])
		b := l.Bounds()
		corner := l.Frame.ToSurface(b.Max)
		name := base.Job.Arrays[i].Name.Value
		mirrored["array."+name+".origin"] = []any{fmt.Sprintf("%.6f m", 80*quantity.Foot-corner.X), fmt.Sprintf("%.6f m", l.Frame.Origin.Y)}
	}
	for name, edits := range map[string]job.Edits{
		"mirrored": {Set: mirrored},
		"turned":   {Set: map[string]any{"array.west.plane": "north", "array.east.plane": "north"}},
		"parted": {
			Set: map[string]any{"plane.south.outline": []any{[]any{"0 ft", "0 ft"}, []any{"80 ft", "0 ft"}, []any{"80 ft", "20 ft"}, []any{"0 ft", "20 ft"}}},
			Added: map[string][]map[string]any{"plane": {{"name": "top", "outline": []any{[]any{"0 ft", "20 ft"}, []any{"80 ft", "20 ft"}, []any{"80 ft", "24 ft"}, []any{"0 ft", "24 ft"}},
				"slope": "4:12", "downslope": "180 deg", "eave_elevation": "20 ft 8 in"}}},
		},
	} {
		if got := readings(t, termstest.Model(t, "barn", edits), "west"); !slices.Equal(got, want) {
			t.Errorf("%s:\n%v\nwant\n%v", name, got, want)
		}
	}
}

// A foot takes the zones of what it carries: its half of the distance to each
// neighbour, and no more.
func TestZonesOfWhatAFootCarries(t *testing.T) {
	m := termstest.Model(t, "barn", job.Edits{})
	l, needs := arrays.Carried.Known(m, &m.Job.Arrays[0])
	if len(needs) > 0 {
		t.Fatal(needs)
	}
	for i, r := range l.Supports.Reach() {
		if area := r.Width() * r.Height(); area < l.Areas[i]*(1-1e-9) || area > l.Areas[i]*1.05 { // gaps carry nothing
			t.Errorf("foot %s: %.3f m2 in the bounds of %.3f m2", l.Feet[i].Name, area, l.Areas[i])
		}
	}
}
