package loads

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/structural"
	"plumbrule/internal/terms/arrays"
	"plumbrule/internal/terms/termstest"
)

// The clamp between two modules of the barn by hand: half a module at the worst
// uplift pressure of one, less 0.6 of its weight.
func TestClampsByHand(t *testing.T) {
	m := termstest.Model(t, "barn", job.Edits{})
	s, needs := paths.Known(m, &m.Job.Arrays[0])
	if len(needs) > 0 {
		t.Fatal(needs)
	}
	area := 1.722 * 1.134 // of a module, m2
	clamp := s.links(nil, 4)[2]
	dead := termstest.Value[float64](t, m, "array", "west", "dead_load")
	want := (termstest.Value[float64](t, m, "array", "west", "module_uplift") - 0.6*dead*math.Cos(math.Atan(4.0/12))) * area / 2
	if clamp.Part != "module clamp" || !near(clamp.Demand, want, 2e-2) {
		t.Errorf("%s: %.1f lb, want %.1f", clamp.Name(), clamp.Demand/quantity.PoundForce, want/quantity.PoundForce)
	}
}

// What a rail hands on: never less than the tributary of a foot nor more than a
// quarter above it away from the ends, and a foot behind no overhang in between.
func TestLoadedAreas(t *testing.T) {
	m := termstest.Model(t, "barn", job.Edits{})
	l, needs := arrays.Carried.Known(m, &m.Job.Arrays[0])
	if len(needs) > 0 {
		t.Fatal(needs)
	}
	for i, area := range l.Areas {
		if share := l.Loaded[i] / area; share < 1-1e-9 || share > 1.25 {
			t.Errorf("%s: %v of its tributary", l.Feet[i].Name, share)
		}
	}
}

// A path names what governs and lists what is not known without hiding the rest.
func TestPathNamesWhatGoverns(t *testing.T) {
	const foot = "west line 1 foot 4"
	for _, c := range []struct {
		edits    job.Edits
		governs  string
		unknown  string
		atLeast1 bool
	}{
		{job.Edits{Set: map[string]any{"mounting_type.crest rail.clamp_uplift": "40 lb"}}, "module clamp in uplift", "", true},
		{job.Edits{Set: map[string]any{"mounting_type.crest rail.span_down": "5 psf"}}, "rail in downward load", "", true},
		{job.Edits{Set: map[string]any{"mounting_type.crest rail.attachment_lateral": "20 lb"}}, "foot in load down the slope", "", true},
		{job.Edits{Set: map[string]any{"mounting_type.crest rail.attachment_across": "1 lb"}}, "foot in load across the slope", "", true},
		{job.Edits{Set: map[string]any{"mounting_type.crest rail.attachment_uplift": "30 lb"}, Unset: []string{"mounting_type.crest rail.clamp_uplift"}}, "foot in uplift", "module clamp in uplift (", true},
		{job.Edits{Unset: []string{"mounting_type.crest rail.attachment_uplift"}}, "", "foot in uplift (", false},
	} {
		m := termstest.Model(t, "barn", c.edits)
		if got := termstest.Value[string](t, m, "attachment", foot, "path_governs"); c.governs != "" && got != c.governs {
			t.Errorf("%v: %s governs", c.edits, got)
		}
		if got := termstest.Value[float64](t, m, "attachment", foot, "path_utilisation"); got > 1 != c.atLeast1 {
			t.Errorf("%v: utilisation %v", c.edits, got)
		}
		got := termstest.Value[string](t, m, "attachment", foot, "path_unknown")
		if c.unknown == "" && got != "" || !strings.Contains(got, c.unknown) {
			t.Errorf("%v: unknown %q, want %q", c.edits, got, c.unknown)
		}
	}
}

// The path goes on past the fasteners: over the sheet or its seams to the member,
// until a letter settles the framing.
func TestPathReachesTheMember(t *testing.T) {
	purlins := func(moment, uplift string) map[string]any {
		return map[string]any{"document.structural letter.sealed": false, "plane.south.framing.allowable_moment": moment, "plane.south.framing.allowable_moment_uplift": uplift, "plane.south.framing.allowable_shear": "3 kip"}
	}
	for _, c := range []struct {
		job, foot string
		set       map[string]any
		governs   string
		unknown   string
	}{
		{"barn", "west line 1 foot 4", purlins("9 kip-in", "60 kip-in"), "member in downward load", ""},
		{"barn", "west line 1 foot 4", purlins("90 kip-in", "9 kip-in"), "member in uplift", ""},
		{"barn", "west line 1 foot 4", map[string]any{"document.structural letter.sealed": false}, "", "member in uplift (plane.south.framing.allowable_shear), member in downward load (plane.south.framing.allowable_shear)"},
		{"barn", "west line 1 foot 4", map[string]any{"document.structural letter.sealed": false, "plane.south.framing.member": "truss"}, "", "member in uplift (what a truss holds is not computed here), member in downward load (what a truss holds is not computed here)"},
		{"barn", "west line 1 foot 4", nil, "", ""},
		{"commercial", "west line 1 foot 4", map[string]any{"plane.roof.covering.clip_uplift": "60 lb"}, "sheet in uplift", ""},
	} {
		m := termstest.Model(t, c.job, job.Edits{Set: c.set})
		if got := termstest.Value[string](t, m, "attachment", c.foot, "path_governs"); c.governs != "" && got != c.governs {
			t.Errorf("%v: %s governs", c.set, got)
		}
		if got := termstest.Value[string](t, m, "attachment", c.foot, "path_unknown"); got != c.unknown {
			t.Errorf("%v: unknown %q, want %q", c.set, got, c.unknown)
		}
	}
}

// A closer spacing than the one that is named holds with the parts above the feet.
func TestSpacingHoldsTheRails(t *testing.T) {
	edits := job.Edits{Set: map[string]any{"mounting_type.crest rail.span_uplift": "12 psf"}}
	m := termstest.Model(t, "barn", edits)
	rows, needs := spacings.Known(m, &m.Job.Arrays[0])
	if len(needs) > 0 {
		t.Fatal(needs)
	}
	k := slices.IndexFunc(rows, func(r structural.Spacing) bool { return r.Zone == "1" })
	if limit := rows[k].Limit; limit < 20*quantity.Inch || limit > 40*quantity.Inch {
		t.Errorf("zone 1: %v in", limit/quantity.Inch)
	}
}

// railLines are the heights of two rails below each of the rows of the barn's
// modules, by value as a job file gives them.
func railLines(rows int) (lines []any) {
	for r := range rows {
		for _, height := range []float64{9.875, 57.875} {
			lines = append(lines, fmt.Sprintf("%.3f in", height+float64(r)*(1722/25.4+4.2)))
		}
	}
	return lines
}

// field is the outline of a plane between two places up its slope.
func field(low, high int) []any {
	feet := func(v int) string { return fmt.Sprintf("%d ft", v) }
	return []any{[]any{"0 ft", feet(low)}, []any{"800 ft", feet(low)}, []any{"800 ft", feet(high)}, []any{"0 ft", feet(high)}}
}

// BenchmarkPaths is the wind, the snow, what the feet hold and the load path of
// 6,000 feet down to the 100 members that carry them, with their layout at hand.
func BenchmarkPaths(b *testing.B) {
	edits := job.Edits{Set: map[string]any{"array.west.rows": 50, "array.west.columns": 64, "array.west.origin": []any{"10 ft", "10 ft"}, "array.west.attachments.lines": railLines(50), "array.west.gap_y": "4.2 in",
		"document.structural letter.sealed": false, "plane.south.framing.allowable_moment": "90 kip-in", "plane.south.framing.allowable_moment_uplift": "90 kip-in", "plane.south.framing.allowable_shear": "9 kip",
		"plane.south.outline": field(0, 400), "plane.north.outline": field(400, 800), "plane.south.slope": "1.5:12", "plane.north.slope": "1.5:12"},
		Unset: []string{"building.mean_roof_height", "building.eave_height", "building.length", "building.width", "building.roof_shape"}}
	for b.Loop() {
		b.StopTimer()
		m := termstest.Model(b, "barn", edits)
		a := &m.Job.Arrays[0]
		l, needs := arrays.Carried.Known(m, a)
		if len(needs) > 0 || len(l.Feet) < 6000 {
			b.Fatal(needs, len(l.Feet))
		}
		b.StartTimer()
		s, needs := paths.Known(m, a)
		if len(needs) > 0 || len(s.unknown) > 0 {
			b.Fatal(needs, s.unknown)
		}
	}
}
