package paper

import (
	"bytes"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/reporttest"
	"plumbrule/internal/wording"
)

// lineOf is what a step says of one thing.
func lineOf(t *testing.T, v *checklistView, part, what string) string {
	t.Helper()
	for _, s := range v.Steps {
		for _, p := range s.Parts {
			for _, l := range p.Lines {
				if p.Title == part && strings.HasPrefix(l.What, what) {
					return l.Text
				}
			}
		}
	}
	t.Fatalf("%q has no line %q", part, what)
	return ""
}

func TestChecklistOfAnArray(t *testing.T) {
	v := makeChecklist(reporttest.Roof(t, job.Edits{}), trialOptions)
	for what, want := range map[string]string{
		"Modules counted":          "8: 1 row of 8 columns, portrait",
		"Lower left corner":        "60 in from the left end, 40 in up the slope",
		"Length and depth":         "363 1/2 in (30 ft 3 1/2 in) by 68 in", // 8 x 45 + 7 x 1/2
		"Gap between columns":      "1/2 in; the maker asks for 1/2 in, give or take 1/8 in",
		"Feet counted":             "16 on 2 lines",
		"Lines of feet":            "14; 54 in",
		"Line 1 and 2, all from":   "14; 62; 110; 158; 206; 254; 302; 350 in",
		"Lugs":                     "1: row 1 column 8",
		"Bonding parts":            notStated,
		"Framing found and hit at": "rafter at 16 in",
	} {
		if got := lineOf(t, v, "Array south", what); got != want {
			t.Errorf("%s: %q, expected %q", what, got, want)
		}
	}
	if got := lineOf(t, v, "Array later", "Modules"); got != notStated {
		t.Errorf("an array that is not known has %q modules", got)
	}
}

// By hand: 9.88 in is 9 7/8 in and 0.005 in; 25.4 mm to the inch.
func TestTape(t *testing.T) {
	for _, c := range []struct {
		inches  float64
		towards int
		us, si  string
	}{
		{9.88, 0, "9 7/8 in", "251 mm"}, {9.88, 1, "9 15/16 in", "251 mm"}, {9.88, -1, "9 7/8 in", "250 mm"},
		{36, 1, "36 in", "915 mm"}, {36, -1, "36 in", "914 mm"}, {0.03, 0, "0 in", "1 mm"}, {0.0625, 0, "1/16 in", "2 mm"},
		{120, 0, "120 in (10 ft)", "3048 mm"}, {130.5, 0, "130 1/2 in (10 ft 10 1/2 in)", "3315 mm"}, {-0.5, 0, "-1/2 in", "-13 mm"},
	} {
		if got := tape(c.inches*0.0254, c.towards, quantity.US); got != c.us {
			t.Errorf("%v in, %d: %q, expected %q", c.inches, c.towards, got, c.us)
		}
		if got := tape(c.inches*0.0254, c.towards, quantity.SI); got != c.si {
			t.Errorf("%v in, %d: %q, expected %q", c.inches, c.towards, got, c.si)
		}
	}
}

// Marks every 48.04 in: each is rounded from its own place, so that the tenth
// stands where it should, and not ten roundings off it.
func TestRunningDimensionsDoNotDrift(t *testing.T) {
	var list []float64
	for i := range 11 {
		list = append(list, float64(i)*48.04*0.0254)
	}
	s := strings.Split(strings.TrimSuffix(running(list, quantity.US), " in"), "; ")
	if s[1] != "48 1/16" || s[10] != "480 3/8" { // 480.4 in; ten times 48 1/16 would be 480 5/8
		t.Errorf("%v", s)
	}
}

// No length on any checklist is one that a tape does not have.
func TestChecklistLengthsAreOnATape(t *testing.T) {
	decimal := regexp.MustCompile(`\d\.\d+ (in|ft|mm)\b`)
	for _, name := range reporttest.DemoJobs() {
		v := makeChecklist(reporttest.Demo(t, name), trialOptions)
		for _, s := range v.Steps[:3] {
			for _, p := range s.Parts {
				for _, l := range p.Lines {
					if m := decimal.FindString(l.Text); m != "" && !strings.Contains(l.Text, "comment") {
						t.Errorf("%s: %s: %s", name, l.What, l.Text)
					}
				}
			}
		}
	}
}

// The rows of the faulty barn are 4.2 in apart on rails of their own, which the
// check of the maker's gap leaves alone; so does the checklist.
func TestChecklistExemptsWhatTheCheckDoes(t *testing.T) {
	v := makeChecklist(reporttest.Demo(t, "barn-faulty"), trialOptions)
	if got := lineOf(t, v, "Array west", "Gap between rows"); got != "4 3/16 in" {
		t.Errorf("gap between rows: %q", got)
	}
	if got := lineOf(t, v, "Array west", "Gap between columns"); !strings.Contains(got, "the maker asks for 1/2 in") {
		t.Errorf("gap between columns: %q", got)
	}
	var b bytes.Buffer
	if err := ChecklistMarkdown(&b, reporttest.Demo(t, "barn-faulty"), trialOptions); err != nil {
		t.Fatal(err)
	}
	if strings.Contains(b.String(), "nearest to its limit") {
		t.Error("it names subjects by how near they are to a limit")
	}
}

func TestChecklistMeasures(t *testing.T) {
	v := makeChecklist(reporttest.Roof(t, job.Edits{Unset: []string{"array.later"}}), trialOptions)
	const part = "Measure, where it is tightest"
	if got := lineOf(t, v, part, "Clear strip below the ridge (array south)"); got != "drawn 40 in; at least 36 in" {
		t.Errorf("%q", got)
	}
	if got := lineOf(t, v, part, "Feet stand close enough (attachment south"); !strings.HasPrefix(got, "drawn 48 in; at most 40 in; see comment ") {
		t.Errorf("%q", got)
	}
}

// Strings of 15, 12 and 10 modules, by hand for 15 at 77 degF (25 degC): 15 x
// 37.3 V = 559.5 V; at 140 degF (60 degC): 559.5 x (1 - 0.0027 x 35) = 506.6 V.
func TestChecklistExpectedVoltages(t *testing.T) {
	v := makeChecklist(reporttest.Demo(t, "barn-faulty"), trialOptions)
	var table *stepTable
	for _, s := range v.Steps {
		for _, p := range s.Parts {
			if p.Table != nil {
				table = p.Table
			}
		}
	}
	if table == nil || strings.Join(table.Heads, "|") != "modules at|S1|S2|S3" {
		t.Fatalf("%+v", table)
	}
	for _, row := range table.Rows {
		f, err := strconv.ParseFloat(strings.TrimSuffix(row[0], " °F"), 64)
		if err != nil {
			t.Fatal(err)
		}
		for i, n := range []float64{15, 12, 10} {
			want := n * 37.3 * (1 - 0.0027*((f-32)*5/9-25))
			if got, _ := strconv.ParseFloat(row[i+1], 64); math.Abs(got-want) > 0.51 {
				t.Errorf("%v modules at %v degF: %v V, expected %v V", n, f, got, want)
			}
		}
	}
	lineOf(t, v, "", "String S1: polarity right")
}

// Every comment stands at one step, and holds it up.
func TestChecklistHoldsUpWhatIsOpen(t *testing.T) {
	for _, name := range reporttest.DemoJobs() {
		r := reporttest.Demo(t, name)
		v := makeChecklist(r, trialOptions)
		n, last := 0, -1
		for _, s := range v.Steps {
			n += len(s.Open)
			for _, o := range s.Open {
				if !strings.HasPrefix(o, "Comment ") || !strings.Contains(o, "until settled") && !strings.Contains(o, "look at it first") {
					t.Errorf("%s: %q", name, o)
				}
			}
		}
		if n != len(r.Comments()) {
			t.Errorf("%s: %d of %d comments stand at a step", name, n, len(r.Comments()))
		}
		order := newSteps()
		for _, s := range v.Steps {
			at := 0
			for wording.LanguageOf(r).Say(order[at].Title) != s.Title {
				at++
			}
			if at <= last {
				t.Errorf("%s: %s is out of order", name, s.Title)
			}
			last = at
		}
	}
}

// The label of the faulty barn says 448 V; its longest string reaches 635.87 V.
func TestChecklistLabelsCarryTheComputedValue(t *testing.T) {
	r := reporttest.Demo(t, "barn-faulty")
	got := lineOf(t, makeChecklist(r, trialOptions), "", "Label L1")
	if !strings.Contains(got, "says 448 V, 52.1 A; computed 635.87 V; change: ") {
		t.Errorf("%q", got)
	}
}

func TestChecklistNamesTheMakersPaper(t *testing.T) {
	said := func(edits job.Edits) string {
		return lineOf(t, makeChecklist(reporttest.Roof(t, edits), trialOptions), "", "Module clamps of rails")
	}
	if got := said(job.Edits{}); got != "torque not stated: see the maker's instructions (manual)" {
		t.Errorf("%s", got)
	}
	if got := said(job.Edits{Unset: []string{"document.manual"}}); !strings.Contains(got, "the submittal holds none") {
		t.Errorf("%s", got)
	}
}

// A torque stands as the job writes it, in the job's unit beside it where that is
// another one: 11 lbf ft are 132 lbf in. What is left out is said to be.
func TestChecklistTorques(t *testing.T) {
	v := makeChecklist(reporttest.Demo(t, "barn"), trialOptions)
	for what, want := range map[string]string{
		"Module clamps of crest rail":                "torque 11 ft-lb (132 in-lb) (crest rail manual)",
		"Rail bolts, splices and feet of crest rail": "torque 30 ft-lb (360 in-lb) (crest rail manual)",
		"Grounding lugs":                             "surface by their maker's paper, torque 35 in-lb, with a calibrated tool, each marked when done",
		"Inverter inverter 1: terminals":             "torque 31 in-lb, with a calibrated tool",
		"Disconnect PV disconnect: terminals":        "torque 35 in-lb, with a calibrated tool",
		"Fuse F1: terminals":                         "torque 20 in-lb, with a calibrated tool",
		"Connection: lugs or connectors":             "torque 25 ft-lb (300 in-lb), with a calibrated tool",
		"Fastener quarter-14":                        "pilot hole and seating by its maker's paper, " + torqueLine + "; washers flat and none overdriven, none beside the member",
	} {
		if got := lineOf(t, v, "", what); got != want {
			t.Errorf("%s: %q, expected %q", what, got, want)
		}
	}
	// The fuses of strings are landed with the strings, not at the service.
	for _, s := range v.Steps {
		for _, p := range s.Parts {
			for _, l := range p.Lines {
				if strings.HasPrefix(l.What, "Fuse F1") && s.Title != newSteps()[stepInverter].Title {
					t.Errorf("%s stands at %q", l.What, s.Title)
				}
			}
		}
	}
	v = makeChecklist(reporttest.Demo(t, "commercial"), trialOptions)
	if got := lineOf(t, v, "", "Combiner CB1: terminals"); !strings.HasPrefix(got, torqueLine) {
		t.Errorf("%q", got)
	}
	if got := lineOf(t, v, "", "Fastener seam clamp"); strings.Contains(got, "pilot") || !strings.Contains(got, torqueLine) {
		t.Errorf("%q", got)
	}
}

func TestChecklistTakesTheFieldRowsOfTheScope(t *testing.T) {
	v := makeChecklist(reporttest.Roof(t, job.Edits{}), trialOptions)
	lineOf(t, v, "Look at", "Every foot sealed before its row is covered.")
	if len(v.Accepted) != 1 || !strings.Contains(v.Accepted[0].Text, "J. Plans Examiner") {
		t.Errorf("accepted %v", v.Accepted)
	}
}
