package plan

import (
	"math"
	"slices"
	"strings"
	"testing"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/terms/termstest"
)

// drawingOf draws a demo job with changes.
func drawingOf(t *testing.T, name string, unset ...string) *Drawing {
	t.Helper()
	return Of(termstest.Model(t, name, job.Edits{Unset: unset}))
}

func same(t *testing.T, what string, got, want float64) {
	t.Helper()
	if !(math.Abs(got-want) < 1e-6) {
		t.Errorf("%s is %v, want %v", what, got, want)
	}
}

func planeArea(outline []Spot) float64 {
	sum := 0.0
	for i, a := range outline {
		b := outline[(i+1)%len(outline)]
		sum += a.X*b.Y - b.X*a.Y
	}
	return sum / 2
}

// The house is 40 ft by 28 ft in plan with a ridge at 14 ft; every number here
// is worked by hand from the job file.
func TestDrawingOfTheHouse(t *testing.T) {
	const ft, in = quantity.Foot, quantity.Inch
	d := Of(termstest.Model(t, "house", job.Edits{Set: map[string]any{"array.south.origin": []any{"5 ft", "12 in"}}}))
	if len(d.Missing) > 0 {
		t.Errorf("missing: %q", d.Missing)
	}
	same(t, "the width of the drawing", d.High.X-d.Low.X, 40*ft)
	same(t, "its height", d.High.Y-d.Low.Y, 28*ft)
	if len(d.Planes) != 2 || len(d.Arrays) != 2 || len(d.Obstructions) != 2 {
		t.Fatalf("%d planes, %d arrays, %d obstructions", len(d.Planes), len(d.Arrays), len(d.Obstructions))
	}
	south := d.Planes[0]
	same(t, "the plan area of the south plane", planeArea(south.Outline), 40*14*ft*ft)

	kinds := map[string]int{}
	for _, e := range south.Edges {
		kinds[e.Kind]++
		switch e.Kind {
		case "rake": // 14 ft in plan at 6:12
			same(t, "a rake on the slope", e.Length, 14*ft*math.Sqrt(1.25))
		default:
			same(t, "the "+e.Kind, e.Length, 40*ft)
		}
		if e.Shared != (e.Kind == "ridge") {
			t.Errorf("the %s is shared: %v", e.Kind, e.Shared)
		}
	}
	if kinds["eave"] != 1 || kinds["ridge"] != 1 || kinds["rake"] != 2 {
		t.Errorf("edges %v", kinds)
	}

	// Rafters at 4 in, 20 in ... below 480 in: 30 of them, each 14 ft in plan.
	if len(south.Framing) != 30 {
		t.Errorf("%d rafters, want 30", len(south.Framing))
	}
	same(t, "the place of the third rafter", south.Framing[2].From.X, 36*in)
	for _, r := range south.Framing {
		same(t, "a rafter", math.Hypot(r.To.X-r.From.X, r.To.Y-r.From.Y), 14*ft)
	}
	if len(south.Ribs) > 0 {
		t.Error("a shingle roof has rib crests")
	}

	total := 0.0
	for _, z := range south.Zones {
		total += planeArea(z.Outline)
	}
	same(t, "the area of all wind zones", total, 40*14*ft*ft)
	if len(d.Ways) != 2 || len(d.Ways[0].Centre) < 2 || d.Ways[0].Widest < 36*in || !slices.Equal(d.Ways[0].Planes, []int{0}) {
		t.Errorf("ways up: %+v", d.Ways)
	} else if next := d.Ways[0].Next; next == nil || len(next.Centre) < 2 || !(next.Widest > 0 && next.Widest <= d.Ways[0].Widest) {
		t.Errorf("the next best way up the south plane: %+v", next)
	}

	array := d.Arrays[0]
	if len(array.Modules) != 16 || len(array.Feet) != 32 || len(array.Lugs) != 2 || len(array.Groups) != 2 {
		t.Fatalf("south: %d modules, %d feet, %d lugs, %d groups", len(array.Modules), len(array.Feet), len(array.Lugs), len(array.Groups))
	}
	same(t, "the left edge of the array", array.Modules[0].Corners[0].X, 5*ft)
	same(t, "its lower edge, 12 in up the slope", array.Modules[0].Corners[0].Y, 12*in*2/math.Sqrt(5))
	for _, f := range array.Feet {
		if f.Zone == "" || f.Utilisation == nil || !(*f.Utilisation > 0 && *f.Utilisation < 1) {
			t.Errorf("foot %s is in zone %q with %v", f.Name, f.Zone, f.Utilisation)
		}
		if !strings.HasPrefix(f.Subject.Label(), "attachment south ") {
			t.Errorf("foot %s belongs to %q", f.Name, f.Subject.Label())
		}
	}
	grouped := 0
	for _, g := range array.Groups {
		grouped += len(g.Modules)
		if !g.Lugged {
			t.Errorf("%s has no lug", g.Subject.Label())
		}
	}
	if grouped != 16 {
		t.Errorf("%d modules are in groups", grouped)
	}
	// Lugs sit on column 8 of both rows; modules run row by row.
	if array.Lugs[0].Module != 7 || array.Lugs[1].Module != 15 {
		t.Errorf("lugs %+v", array.Lugs)
	}
	if fan := d.Obstructions[1]; fan.Name != "bath fan" || fan.Round || fan.WalkedOver || len(fan.Outline) != 4 {
		t.Errorf("bath fan: %+v", fan)
	}
	if vent := d.Obstructions[0]; !vent.Round || !vent.WalkedOver {
		t.Errorf("vent: %+v", vent)
	}
}

func TestDrawingOfRibs(t *testing.T) {
	d := drawingOf(t, "barn")
	if len(d.Planes[0].Ribs) == 0 {
		t.Error("the sheet roof of the barn has no rib crests")
	}
	d = drawingOf(t, "barn", "plane.south.covering.rib_pitch")
	if want := "ribs of plane south: needs plane.south.covering.rib_pitch"; !slices.Contains(d.Missing, want) {
		t.Errorf("%q is not among %q", want, d.Missing)
	}
}

// A strip is as deep on the surface as asked for: on a slope of 6:12 36 in
// below the ridge are 36 in x 2/sqrt 5 in plan, along a rake they stay 36 in.
func TestDrawnStrip(t *testing.T) {
	const ft, in = quantity.Foot, quantity.Inch
	plane := &drawingOf(t, "house").Planes[0]
	ridge := plane.Strip("ridge", 36*in)
	if len(ridge) != 1 {
		t.Fatalf("%d strips along the ridge", len(ridge))
	}
	same(t, "the strip below the ridge", planeArea(ridge[0]), 40*ft*36*in*2/math.Sqrt(5))
	rakes := plane.Strip("rake", 36*in)
	if len(rakes) != 2 {
		t.Fatalf("%d strips along the rakes", len(rakes))
	}
	same(t, "the strip along a rake", planeArea(rakes[0]), 14*ft*36*in)
	if more := plane.Strip("ridge", 100*ft); len(more) != 1 || math.Abs(planeArea(more[0])-40*14*ft*ft) > 1e-6 {
		t.Error("a strip deeper than the plane is not the plane")
	}
	for _, bad := range []float64{0, -1, math.NaN()} {
		if s := plane.Strip("ridge", bad); len(s) > 0 {
			t.Errorf("a depth of %v gives %v", bad, s)
		}
	}
	if s := plane.Strip("hip", 36*in); len(s) > 0 {
		t.Error("a gable roof has a strip along a hip")
	}
}

func TestDrawingSaysWhatIsMissing(t *testing.T) {
	d := drawingOf(t, "house", "plane.south.outline")
	if len(d.Planes) != 0 || len(d.Missing) != 1 || !strings.Contains(d.Missing[0], "plane.south.outline") || d.Low != d.High {
		t.Errorf("a roof without an outline: %+v", d)
	}
	d = drawingOf(t, "house", "array.north.origin", "array.south.attachments.spacing", "obstruction.bath fan.at", "mounting_type.flashed rail.bonding_modules")
	for _, want := range []string{"array north: needs array.north.origin", "attachments of array south: needs array.south.attachments.spacing",
		"obstruction bath fan: needs obstruction.", "bonding groups of array south: needs mounting_type.", "way up plane north: needs "} {
		if !slices.ContainsFunc(d.Missing, func(m string) bool { return strings.HasPrefix(m, want) }) {
			t.Errorf("%q is not among %q", want, d.Missing)
		}
	}
	if slices.ContainsFunc(d.Ways, func(w DrawnWay) bool { return slices.Contains(w.Planes, 1) }) {
		t.Error("a way is found past things whose places are not known")
	}
}
