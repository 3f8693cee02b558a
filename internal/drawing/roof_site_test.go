package drawing

import (
	"math"
	"regexp"
	"strings"
	"testing"

	"plumbrule/internal/job"
	"plumbrule/internal/reporttest"
)

// houseWith draws the house with entries added to its lists and checks the
// sheet as any other.
func houseWith(t *testing.T, e job.Edits) string {
	t.Helper()
	r := reporttest.Drawn(t, "house", e, steadyChecks)
	svg := svgOf(t, RoofPlan, r, Options{})
	checkSheet(t, svg, r, false)
	return string(svg)
}

func pair(x, y string) []any { return []any{x, y} }

func obstructionOf(name, kind, plane string, more map[string]any) map[string]any {
	out := map[string]any{"name": name, "kind": kind, "plane": plane}
	for k, v := range more {
		out[k] = v
	}
	return out
}

// pathTitled gives the path of an element by its title; it is "" where there is
// none.
func pathTitled(svg, title string) string {
	m := regexp.MustCompile(`<path d="([^"]*)"[^>]*><title>` + regexp.QuoteMeta(title) + `</title>`).FindStringSubmatch(svg)
	if m == nil {
		return ""
	}
	return m[1]
}

func mustHold(t *testing.T, svg string, wants ...string) {
	t.Helper()
	for _, want := range wants {
		if !strings.Contains(svg, want) {
			t.Errorf("%q is not on the sheet", want)
		}
	}
}

// cornersOf counts the corners of a path.
func cornersOf(d string) int { return strings.Count(d, "M") + strings.Count(d, "L") }

// Outlines of any form are drawn corner by corner; a turned rectangle stands
// over its corner.
func TestSVGObstructionsOfAnyForm(t *testing.T) {
	svg := houseWith(t, job.Edits{Added: map[string][]map[string]any{"obstruction": {
		obstructionOf("east dormer", "dormer", "north", map[string]any{"outline": []any{pair("2 ft", "2 ft"), pair("6 ft", "2 ft"), pair("6 ft", "6 ft"), pair("4 ft", "8 ft"), pair("2 ft", "6 ft")}}),
		obstructionOf("saddle", "cricket", "north", map[string]any{"outline": []any{pair("35 ft", "1 ft"), pair("37 ft", "1 ft"), pair("36 ft", "3 ft")}}),
		obstructionOf("light", "skylight", "north", map[string]any{"at": pair("5 ft", "12 ft"), "width": "2 ft", "height": "2 ft", "turn": "45 deg"}),
	}}})
	if n := cornersOf(pathTitled(svg, "east dormer, dormer")); n != 5 {
		t.Errorf("the dormer has %d corners, want 5", n)
	}
	if n := cornersOf(pathTitled(svg, "saddle, cricket")); n != 3 {
		t.Errorf("the cricket has %d corners, want 3", n)
	}
	var xs []float64
	for _, m := range regexp.MustCompile(`[ML]([\d.]+) `).FindAllStringSubmatch(pathTitled(svg, "light, skylight"), -1) {
		xs = append(xs, number(t, m[1]))
	}
	if len(xs) != 4 {
		t.Fatalf("the skylight has corners at %v", xs)
	}
	// 2 ft x sqrt 2 at 1/4 in = 1 ft, 18 points for a foot.
	low, high := math.Min(math.Min(xs[0], xs[1]), math.Min(xs[2], xs[3])), math.Max(math.Max(xs[0], xs[1]), math.Max(xs[2], xs[3]))
	if want := 2 * math.Sqrt2 * 18; math.Abs(high-low-want) > 0.05 {
		t.Errorf("the turned skylight is %v points wide, want %v", high-low, want)
	}
	mustHold(t, svg, ">dormer or cricket<", ">light, skylight<", ">saddle, cricket<", ">east dormer<")
	if plain := houseWith(t, job.Edits{}); strings.Contains(plain, "dormer") {
		t.Error("a house without a dormer has one in its legend")
	}
}

// An opening in a plane is no part of it: framing, wind zones and ways end there.
func TestSVGOpenings(t *testing.T) {
	svg := houseWith(t, job.Edits{Set: map[string]any{"plane.south.hole": []any{map[string]any{"outline": []any{pair("35 ft", "4 ft"), pair("39 ft", "4 ft"), pair("39 ft", "8 ft"), pair("35 ft", "8 ft")}}}, "plane.north.without": []any{"hole"}}})
	if n := cornersOf(pathTitled(svg, "opening in plane south")); n != 4 {
		t.Errorf("the opening has %d corners", n)
	}
	mustHold(t, svg, `clip-rule="evenodd"`, `clip-path="url(#roof-plane0)"`, ">opening in plane south<")
	clip := regexp.MustCompile(`<clipPath id="roof-plane0"><path d="([^"]*)"`).FindStringSubmatch(svg)
	if clip == nil || strings.Count(clip[1], "M") != 2 {
		t.Errorf("the opening is not cut out of its plane: %v", clip)
	}
	if plain := houseWith(t, job.Edits{}); strings.Contains(plain, "opening in plane") {
		t.Error("a plane without an opening shows one")
	}
}

func TestSVGStatedEdges(t *testing.T) {
	svg := houseWith(t, job.Edits{Set: map[string]any{"plane.north.edge": []any{map[string]any{"number": 2, "kind": "wall"}, map[string]any{"number": 4, "kind": "parapet"}},
		"obstruction.bath fan.in_wall": true}})
	mustHold(t, svg, ">wall<", ">parapet<", svgStroke(inkLine, 2.6, "8 1.5"), ">opening in a wall<", ">bath fan, vent in the wall<")
}

func TestSVGStreets(t *testing.T) {
	street := func(name, bearing string, line ...any) map[string]any {
		out := map[string]any{"name": name, "kind": "street", "bearing": bearing}
		if len(line) > 0 {
			out["line"] = line
		}
		return out
	}
	svg := houseWith(t, job.Edits{Added: map[string][]map[string]any{"street": {
		street("Alder Close", "180 deg", pair("-50 ft", "-1 ft"), pair("90 ft", "-1 ft")),
		street("Mill Lane", "90 deg"),
	}}})
	mustHold(t, svg, ">street Alder Close<", ">street Mill Lane<", ">street or driveway<", ">its near edge<")
	if n := strings.Count(svg, streetStyle); n != 2 { // the line and the legend
		t.Errorf("%d street lines", n)
	}
}

// What the drawing of the job leaves open is marked where it is and said.
func TestSVGDoubtsAndCoveredGround(t *testing.T) {
	svg := houseWith(t, job.Edits{Set: map[string]any{"plane.north.outline": []any{pair("0 ft", "14 ft 2 in"), pair("40 ft", "14 ft 2 in"), pair("40 ft", "28 ft"), pair("0 ft", "28 ft")}}})
	mustHold(t, svg, ">planes that may or may not", ">?<", "In doubt:")
	dormer := map[string]any{"name": "dormer", "outline": []any{pair("10 ft", "3 ft"), pair("20 ft", "3 ft"), pair("20 ft", "11 ft"), pair("10 ft", "11 ft")}, "slope": "1:12", "downslope": "180 deg", "eave_elevation": "13 ft 10 in"}
	svg = houseWith(t, job.Edits{Added: map[string][]map[string]any{"plane": {dormer}}})
	if n := cornersOf(pathTitled(svg, "planes south and dormer cover the same ground")); n != 4 {
		t.Errorf("the covered ground has %d corners", n)
	}
	mustHold(t, svg, ">ground that two planes cover<")
	if plain := houseWith(t, job.Edits{}); strings.Contains(plain, "may or may not") || strings.Contains(plain, "two planes cover") {
		t.Error("the house itself shows doubts or covered ground")
	}
}

// A slope that is drawn as two planes has one way, in a band on each of them,
// with what its narrowest place lies between, and the next best way.
func TestSVGWaysOverASide(t *testing.T) {
	plain := houseWith(t, job.Edits{})
	mustHold(t, plain, "narrowest place of the widest", "next best way up south", ">next best way, past another place<")
	if !regexp.MustCompile(`>between [^<]+ and [^<]+<`).MatchString(plain) {
		t.Error("the narrowest place does not say what it lies between")
	}
	half := map[string]any{"name": "south upper", "outline": []any{pair("0 ft", "7 ft"), pair("40 ft", "7 ft"), pair("40 ft", "14 ft"), pair("0 ft", "14 ft")},
		"slope": "6:12", "downslope": "180 deg", "eave_elevation": "12 ft 6 in"}
	split := houseWith(t, job.Edits{Set: map[string]any{"plane.south.outline": []any{pair("0 ft", "0 ft"), pair("40 ft", "0 ft"), pair("40 ft", "7 ft"), pair("0 ft", "7 ft")}},
		Added: map[string][]map[string]any{"plane": {half}}})
	for _, index := range []string{"0", "2"} {
		if !regexp.MustCompile(`<g clip-path="url\(#roof-plane` + index + `\)"><path [^>]*><title>way up south \+ south upper`).MatchString(split) {
			t.Errorf("no band of the way lies on plane %s of the side", index)
		}
	}
}
