package drawing

import (
	"regexp"
	"strings"
	"testing"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/reporttest"
	"plumbrule/internal/terms/plan"
)

func TestTape(t *testing.T) {
	for _, c := range []struct {
		inches   float64
		us, down string
	}{
		{0, "0 in", "0 in"}, {0.5, "1/2 in", "1/2 in"}, {9.88, "9 7/8 in", "9 7/8 in"}, {11.99, "1 ft", "11 15/16 in"},
		{12, "1 ft", "1 ft"}, {41.5, "3 ft 5 1/2 in", "3 ft 5 1/2 in"}, {12.25, "1 ft 0 1/4 in", "1 ft 0 1/4 in"}, {-3, "-3 in", "-3 in"},
	} {
		if got := tape(c.inches*quantity.Inch, quantity.US); got != c.us {
			t.Errorf("%v in is %q on a tape, want %q", c.inches, got, c.us)
		}
		if got := tapeDown(c.inches*quantity.Inch, quantity.US); got != c.down {
			t.Errorf("%v in is at least %q on a tape, want %q", c.inches, got, c.down)
		}
	}
	if got := tape(1.7204, quantity.SI); got != "1720 mm" {
		t.Errorf("1.7204 m is %q, want 1720 mm", got)
	}
}

// The rows of dimensions of the house, whose south array lies 56 in from the
// left rake and 12 in above the eave: the slope of 14 ft in plan at 6:12 is
// 14 x sqrt(1.25) = 15.652 ft, 187.83 in. Two rows of modules of the job with a
// gap of 1/2 in are 2 x 67.8 + 0.5 in high and leave the rest below the ridge.
func TestRoofPlanDimensions(t *testing.T) {
	r := reporttest.Drawn(t, "house", job.Edits{}, nil)
	d := plan.Of(r.Model)
	for _, a := range d.Arrays {
		if a.Name != "south" {
			continue
		}
		sum := 0.0
		for _, l := range a.Size.Across.Lengths {
			sum += l
		}
		if got := tape(a.Size.Across.Lengths[0], quantity.US) + ", " + tape(sum, quantity.US); got != "4 ft 8 in, 40 ft" {
			t.Errorf("along the eave: %s", got)
		}
		up := a.Size.Up
		if got := tape(up.Lengths[0], quantity.US) + ", " + tape(up.Lengths[0]+up.Lengths[1]+up.Lengths[2], quantity.US); got != "1 ft, 15 ft 7 13/16 in" {
			t.Errorf("up the slope: %s", got)
		}
		if got := tape(a.Size.Feet.Lengths[0], quantity.US) + ", " + tape(a.Size.Even, quantity.US); got != "1 ft, 4 ft" || len(a.Size.Lines) != 4 {
			t.Errorf("feet: %s on %d lines", got, len(a.Size.Lines))
		}
		if n := a.Size.Rails; len(n) != 1 {
			t.Errorf("rails of %v", n)
		}
	}
	svg := string(svgOf(t, RoofPlan, r, Options{}))
	mustHold(t, svg, ">4 ft 8 in<", ">7 x 4 ft = 28 ft<", ">branch A: 11 to B1<", "16 modules in 2 x 8", "first foot 1 ft from the left edge, then every 4 ft")
	if strings.Contains(svg, "drawn by") {
		t.Error("the drawing says that somebody else drew it")
	}
	mustHold(t, svg, "made by plumbrule from the job file")
	si := string(svgOf(t, RoofPlan, reporttest.Drawn(t, "house", job.Edits{Set: map[string]any{"project.units": "SI"}}, nil), Options{}))
	mustHold(t, si, ">1422 mm<", ">7 x 1219 mm = 8534 mm<", "A3 paper", "in mm.")
}

// Strings take as many modules as the job says, and what is too much is said.
func TestRoofPlanStrings(t *testing.T) {
	r := reporttest.Drawn(t, "barn-faulty", job.Edits{}, steadyChecks)
	d := plan.Of(r.Model)
	taken := map[string]int{}
	for _, a := range d.Arrays {
		seen := map[int]bool{}
		for _, s := range a.Strings {
			taken[s.Name] += len(s.Modules)
			for _, m := range s.Modules {
				if seen[m] {
					t.Errorf("module %d of array %s is in two strings", m, a.Name)
				}
				seen[m] = true
			}
		}
	}
	for i := range r.Job.Strings {
		s := &r.Job.Strings[i]
		if got := taken[s.Name.Value]; got > s.Modules.Value {
			t.Errorf("string %s has %d modules on the plan and %d in the job", s.Name.Value, got, s.Modules.Value)
		}
	}
	if taken["S1"] != 15 {
		t.Errorf("S1 has %d modules on the plan, want the 15 that the job says", taken["S1"])
	}
	mustHold(t, strings.Join(d.Missing, "; "), "the array has no more")
}

// Every foot is on the plan in the step of its utilisation, and the legend says
// what the steps are that the plan has.
func TestRoofPlanUpliftSteps(t *testing.T) {
	for u, want := range map[float64]int{0: 1, 0.25: 1, 0.2501: 2, 0.75: 3, 1: 4, 1 + 1e-12: 4, 1.001: 5, 40: 5} {
		if got := upliftClass(&plan.DrawnFoot{Utilisation: &u}); got != want {
			t.Errorf("a utilisation of %v is in step %d, want %d", u, got, want)
		}
	}
	if got := upliftClass(&plan.DrawnFoot{}); got != 0 {
		t.Errorf("an unknown utilisation is in step %d", got)
	}
	r := reporttest.Drawn(t, "barn-faulty", job.Edits{}, nil)
	svg := string(svgOf(t, RoofPlan, r, Options{}))
	feet, steps := 0, map[int]bool{}
	for _, a := range plan.Of(r.Model).Arrays {
		for i := range a.Feet {
			steps[upliftClass(&a.Feet[i])] = true
		}
		feet += len(a.Feet)
	}
	for k := range upliftSteps {
		if on := strings.Contains(svg, ": "+upliftSteps[k].says+"<"); on != steps[k+1] {
			t.Errorf("step %d is in the legend: %v, on the plan: %v", k+1, on, steps[k+1])
		}
	}
	dots := 0
	for _, m := range regexp.MustCompile(`<path d="((?:M[\d. ]+h0)+)" fill="none" stroke="`+inkText+`"`).FindAllStringSubmatch(svg, -1) {
		dots += strings.Count(m[1], "M")
	}
	for _, m := range regexp.MustCompile(`<path d="([^"]+)" fill="`+upliftSteps[4].fill+`"`).FindAllStringSubmatch(svg, -1) {
		dots += strings.Count(m[1], "Z")
	}
	legend := len(steps) // a sample each
	if dots != feet+legend {
		t.Errorf("%d feet are drawn with %d in the legend, the arrays have %d", dots, legend, feet)
	}
}

// No hatch lies below a text: labels have a plate, and wind zones are tints. A
// hatch that lies over another hides it.
func TestRoofPlanHatches(t *testing.T) {
	svg := string(svgOf(t, RoofPlan, reporttest.Drawn(t, "barn-faulty", job.Edits{}, nil), Options{}))
	if n := strings.Count(svg, "<pattern"); n != 2 {
		t.Errorf("%d hatches", n)
	}
	last := strings.LastIndex(svg, "><title>to be kept clear")
	first := strings.Index(svg, ">array west, 24 modules, 48 feet<")
	if last < 0 || first < last {
		t.Error("a hatch is drawn over the name of an array")
	}
}

// The section shows what the job states and names what it does not.
func TestAttachmentSection(t *testing.T) {
	house := string(svgOf(t, AttachmentSection, reporttest.Drawn(t, "house", job.Edits{}, steadyChecks), Options{}))
	// A lag of 4 in passes 3/8 in and a deck of 15/32 in: 3.16 in are left.
	mustHold(t, house, ">3 1/8 in<", ">stand-off<", "scale 4 in = 1 ft (1:3)", "seal as its maker", "wood rafter")
	if strings.Contains(house, "Not stated in the job") {
		t.Error("the house states all that its section shows")
	}
	barn := string(svgOf(t, AttachmentSection, reporttest.Drawn(t, "barn", job.Edits{}, steadyChecks), Options{}))
	mustHold(t, barn, "trapezoidal sheet 0.0179 in", "steel purlin", "past the steel")
	open := reporttest.Drawn(t, "house", job.Edits{Unset: []string{"fastener_type.lag 5/16 x 4.length", "array.south.stand_off", "array.north.stand_off"}}, steadyChecks)
	svg := svgOf(t, AttachmentSection, open, Options{})
	checkSheet(t, svg, open, false)
	mustHold(t, string(svg), "Not stated in the job", "length of the fastener", ">not stated<", "stand-off (array.south.stand_off)", "stroke-dasharray")
	none := reporttest.Drawn(t, "house", job.Edits{Set: map[string]any{"mounting_type.flashed rail.kind": "ballast"}}, steadyChecks)
	mustHold(t, string(svgOf(t, AttachmentSection, none, Options{})), "No array of the job has feet that are fixed to a roof.")
}

// The smallest text is one that the check of the tool itself asks for: 8 points
// are 0.111 in.
func TestTextSizes(t *testing.T) {
	if sizeText/72 < 0.111 || sizeHead < sizeText || lineHeight < sizeText*1.2 {
		t.Errorf("text is %v in high, %v in a line", sizeText/72, lineHeight)
	}
}
