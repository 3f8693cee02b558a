package paper

import (
	"maps"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"plumbrule/internal/job"
	"plumbrule/internal/reporttest"
	"plumbrule/internal/review"
	"plumbrule/internal/terms/circuits"
	"plumbrule/internal/wording"
)

// No check is left out of the calculations, every outcome is listed or counted,
// and of those that belong to a comment each has a line until the page is full.
func TestCalculationsCountEveryOutcome(t *testing.T) {
	number := regexp.MustCompile(`\d+`)
	for _, name := range reporttest.DemoJobs() {
		r := reporttest.Demo(t, name)
		v := makeCalculations(r)
		shown := map[string]int{}
		for _, d := range v.Disciplines {
			for _, s := range slices.Concat(d.Checks, d.Conditions) {
				shown[s.Check] += s.Of
				n := max(1, len(s.Lines))
				for _, k := range number.FindAllString(s.More, -1) {
					left, err := strconv.Atoi(k)
					if err != nil {
						t.Fatal(err)
					}
					n += left
				}
				if n != s.Of {
					t.Errorf("%s: %s lists or counts %d outcomes of %d", name, s.Check, n, s.Of)
				}
				commented := 0
				for i := range r.Outcomes {
					if o := &r.Outcomes[i]; o.Check.ID == s.Check && r.Number(o) != "" {
						commented++
					}
				}
				if len(s.Lines) > mostLines || s.Of > 1 && len(s.Lines) < min(commented, mostLines) {
					t.Errorf("%s: %s has %d lines for %d outcomes of comments", name, s.Check, len(s.Lines), commented)
				}
			}
		}
		want := map[string]int{}
		for _, o := range r.Outcomes {
			if o.Result != review.NotApplicable {
				want[o.Check.ID]++
			}
		}
		if !maps.Equal(shown, want) {
			t.Errorf("%s: shown %v, expected %v", name, shown, want)
		}
	}
}

func TestCalculationsSortByUtilisation(t *testing.T) {
	r := reporttest.Demo(t, "barn-faulty")
	v := makeCalculations(r)
	utilisation := map[string]float64{}
	for _, o := range r.Outcomes {
		if o.Utilisation != nil {
			utilisation[o.Check.ID] = math.Max(utilisation[o.Check.ID], *o.Utilisation)
		}
	}
	if len(v.Governs) == 0 {
		t.Fatal("nothing governs")
	}
	for i, g := range v.Governs {
		if i > 0 && utilisation[g.Check] > utilisation[v.Governs[i-1].Check] {
			t.Errorf("%s stands behind %s", g.Check, v.Governs[i-1].Check)
		}
		if !strings.HasPrefix(wording.Ratio(utilisation[g.Check]), g.Utilisation) {
			t.Errorf("%s governs with %s, its largest is %g", g.Check, g.Utilisation, utilisation[g.Check])
		}
	}
}

// A check with undetermined subjects still shows the calculation of the worst
// that could be determined.
func TestCalculationsShowAWorkedSubject(t *testing.T) {
	v := makeCalculations(reporttest.Roof(t, job.Edits{}))
	for _, d := range v.Disciplines {
		for _, s := range d.Checks {
			if s.Check != "layout/span" {
				continue
			}
			if s.Worst.Measure != "48 in" || s.Worst.Utilisation != "1.20" {
				t.Errorf("worst %+v", s.Worst)
			}
			if s.Formula != `attachment.span  at most  q("40 in")` {
				t.Errorf("formula %q", s.Formula)
			}
			if len(s.Missing) == 0 || s.Of != 17 || s.Histogram == "" {
				t.Errorf("%d missing, of %d subjects, histogram %q", len(s.Missing), s.Of, s.Histogram)
			}
			return
		}
	}
	t.Error("layout/span is not shown")
}

// Table rows give edition, values and where they were seen.
func TestCalculationsNameTableRows(t *testing.T) {
	v := makeCalculations(reporttest.Demo(t, "barn-faulty"))
	rows := 0
	for _, d := range v.Disciplines {
		for _, s := range d.Checks {
			rows += len(s.Rows)
			for _, r := range s.Rows {
				if strings.Contains(r.Place, "690.7") && strings.Contains(r.Place, "2020") && r.Values == "" && strings.Contains(r.Place, "row") {
					t.Errorf("%s: row %q has no values", s.Check, r.Place)
				}
			}
		}
	}
	if rows == 0 || len(v.Sources) == 0 {
		t.Errorf("%d rows, %d sources", rows, len(v.Sources))
	}
}

// The barn's strings of 15 modules reach 15 x 37.3 V x (1 + 0.0027 x 50.6) =
// 636 V at -25.6 degC (by hand), over the 600 V of the inverter.
func TestStringCurves(t *testing.T) {
	curves := stringCurves(reporttest.Roof(t, job.Edits{}))
	if len(curves) != 1 || curves[0].Title != "string S1" {
		t.Fatalf("curves %+v", curves)
	}
	want := []field{{"at the record low of -14 °F", "635.87 V"}, {"code, inverter input limit", "600 V"}}
	if !slices.Equal(curves[0].Limits, want) {
		t.Errorf("limits %v, expected %v", curves[0].Limits, want)
	}
	for _, key := range []string{"site.record_low", "module_type.M410.voc_coefficient", "string.S1.modules"} {
		if left := stringCurves(reporttest.Roof(t, job.Edits{Unset: []string{key}})); len(left) != 0 {
			t.Errorf("without %s a curve is drawn", key)
		}
	}
}

func TestMergedLimits(t *testing.T) {
	got := merged([]ceiling{{"code", 600}, {"module", 1000}, {"inverter input", 600}})
	want := []ceiling{{"module", 1000}, {"code, inverter input", 600}}
	if !slices.Equal(got, want) {
		t.Errorf("%v, expected %v", got, want)
	}
}

func TestTicks(t *testing.T) {
	for _, c := range []struct {
		from, to float64
		want     []float64
	}{
		{0, 1.1, []float64{0, 0.2, 0.4, 0.6, 0.8, 1}},
		{-40, 70, []float64{-40, -20, 0, 20, 40, 60}},
		{0, 3, []float64{0, 0.5, 1, 1.5, 2, 2.5, 3}},
	} {
		got := axis{from: c.from, to: c.to}.ticks()
		if len(got) != len(c.want) {
			t.Errorf("%g to %g: %v", c.from, c.to, got)
			continue
		}
		for i := range got {
			if math.Abs(got[i]-c.want[i]) > 1e-9 {
				t.Errorf("%g to %g: %v", c.from, c.to, got)
			}
		}
	}
}

// The bins of a histogram hold their upper ends: what meets its limit exactly
// stands before the limit.
func TestHistogram(t *testing.T) {
	var list []*review.Outcome
	for _, u := range []float64{0.05, 0.1, 0.95, 1, 1 + 1e-12, 1.01, 2.5, 30} {
		list = append(list, &review.Outcome{Utilisation: &u})
	}
	say := wording.LanguageOf(reporttest.Roof(t, job.Edits{Set: map[string]any{"project.units": "SI"}}))
	got := string(histogram(list, say))
	if !strings.Contains(got, "Utilisation of 8 subjects in steps of 0.1: 5 up to the limit, 3 over it, the largest 30.00.") {
		t.Errorf("%s", got)
	}
	if n := strings.Count(got, `class="bar met"`); n != 2 { // 0 to 0.1, 0.9 to 1
		t.Errorf("%d bars up to the limit", n)
	}
	if n := strings.Count(got, `class="bar over"`); n != 2 { // 1 to 1.1, the last
		t.Errorf("%d bars over the limit", n)
	}
	if histogram(list[:7], say) != "" {
		t.Error("a picture of seven subjects")
	}
}

func TestBar(t *testing.T) {
	for _, c := range []struct {
		u    float64
		met  bool
		want string
	}{
		{0, true, `class="bar met" x="0.5" y="1.5" width="0.5"`},
		{0.75, true, `class="bar met" x="0.5" y="1.5" width="49"`},
		{1.2, false, `class="bar over" x="0.5" y="1.5" width="79"`},
		{40, false, `width="99" height="7"/><path class="notch"`},
	} {
		if got := string(bar(c.u, c.met)); !strings.Contains(got, c.want) {
			t.Errorf("%g: %s", c.u, got)
		}
	}
}

// The hot end of the faulty barn's string of 15 modules: cells at 35 degC + 35 K
// = 70 degC by the job's own values, 15 x Vmp x (1 + g (T - 25)), by hand from
// the module's sheet; and the window of its inverter. A US job has degrees F.
func TestVoltageChartHasBothEndsAndTheWindow(t *testing.T) {
	r := reporttest.Demo(t, "barn-faulty")
	curves := stringCurves(r)
	if len(curves) != 3 {
		t.Fatalf("%d curves of strings of 15, 12 and 10 modules", len(curves))
	}
	m := r.Job.ModuleTypes[0]
	said := map[string]string{}
	for _, f := range curves[0].Limits {
		said[f.Label] = f.Text
	}
	if said["at the record low of -14 °F"] != "635.87 V" {
		t.Errorf("cold end: %v", said)
	}
	op := circuits.StringOperating(r.Model, &r.Job.Strings[0])
	want := 15 * m.Vmp.Value.SI * (1 + m.VmpCoefficient.Value.SI*(op.HotAt-25))
	if math.Abs(op.Hot-want) > 1e-6 || op.HotAt <= r.Job.Site.DesignHigh.Value.SI {
		t.Errorf("hot end %v V at %v degC, expected %v V above the air", op.Hot, op.HotAt, want)
	}
	for _, label := range []string{"inverter tracks power up to", "inverter tracks power from", "inverter starts at", "operating, cells at 158 °F on a hot day"} {
		if said[label] == "" {
			t.Errorf("%q is not said: %v", label, said)
		}
	}
	si := stringCurves(reporttest.Drawn(t, "barn-faulty", job.Edits{Set: map[string]any{"project.units": "SI"}}, nil))
	if !strings.Contains(string(si[0].Plot), "cell temperature, °C") || !strings.Contains(string(curves[0].Plot), "cell temperature, °F") {
		t.Error("the axis is not in the units of the job")
	}
}

// What is drawn of a busbar adds up to what the check holds against it. The
// house: 200 A + 125 % of 22 x 1.19 A = 232.725 A against 120 % of 200 A; its
// combiner panel by the sum of its devices, 20 A + 20 A against 125 A.
func TestBusbarLaddersAddUp(t *testing.T) {
	for _, name := range []string{"house", "commercial", "house-faulty", "commercial-faulty"} {
		r := reporttest.Demo(t, name)
		list := circuits.BusbarsHeld(r.Model)
		if len(list) == 0 {
			t.Fatalf("%s has no busbar that is held", name)
		}
		for _, b := range list {
			sum := 0.0
			for _, s := range sharesOf(&b.Busbar) {
				sum += s.amps
			}
			if math.Abs(sum-b.Required) > 1e-9*b.Required {
				t.Errorf("%s, busbar of %s: the parts come to %v, required is %v", name, b.Name, sum, b.Required)
			}
		}
	}
	var got []string
	for _, c := range busbarLadders(reporttest.Demo(t, "house")) {
		for _, f := range c.Limits {
			got = append(got, f.Label+": "+f.Text)
		}
	}
	want := []string{"main: 200 A", "source output x 1.25: 32.73 A", "has to carry: 232.72 A", "may carry, 120 % of its 200 A: 240 A",
		"source device: 20 A + 20 A", "has to carry: 40 A", "may carry, 100 % of its 125 A: 125 A"}
	if !slices.Equal(got, want) {
		t.Errorf("%q\nexpected %q", got, want)
	}
}

// Of the barn's inverter output: 47.5 A, needed 59.4 A, device 60 A, and the most
// that 6 AWG copper at 75 degC may have after the code's step up, 70 A.
func TestCircuitLadderNamesEveryRung(t *testing.T) {
	c := circuitLadder(reporttest.Demo(t, "barn"))
	if c == nil {
		t.Fatal("no ladder")
	}
	i := slices.IndexFunc(c.Limits, func(f field) bool { return strings.Contains(f.Label, "inverter output") })
	if i < 0 || c.Limits[i].Text != "47.5 A, 59.38 A, 60 A, 70 A" {
		t.Errorf("%v", c.Limits)
	}
	if c := circuitLadder(reporttest.Drawn(t, "barn", job.Edits{Unset: []string{"overcurrent.F1.rating", "overcurrent.F2.rating", "overcurrent.F3.rating", "overcurrent.F4.rating"}}, nil)); c != nil {
		t.Errorf("without ratings there is a ladder of %v", c.Limits)
	}
}
