package paper

import (
	"math"
	"slices"
	"strings"
	"testing"

	"plumbrule/internal/job"
	"plumbrule/internal/reporttest"
	"plumbrule/internal/review"
	"plumbrule/internal/wording"
)

// Nothing is left out of the calculations: each outcome stands under its check.
func TestCalculationsHoldEveryOutcome(t *testing.T) {
	for _, name := range reporttest.DemoJobs {
		r := reporttest.Demo(t, name)
		v := makeCalculations(r)
		shown := map[string]int{}
		for _, d := range v.Disciplines {
			for _, s := range slices.Concat(d.Checks, d.Conditions) {
				shown[s.Check] += max(1, len(s.Lines))
			}
		}
		want := map[string]int{}
		for _, o := range r.Outcomes {
			if o.Result != review.NotApplicable {
				want[o.Check.ID]++
			}
		}
		for id, n := range want {
			if shown[id] != n {
				t.Errorf("%s: %s shows %d outcomes of %d", name, id, shown[id], n)
			}
		}
		if len(shown) != len(want) {
			t.Errorf("%s: %d checks shown, %d have outcomes", name, len(shown), len(want))
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
			if len(s.Missing) == 0 || len(s.Lines) != 17 || s.Histogram == "" {
				t.Errorf("%d missing, %d lines, histogram %q", len(s.Missing), len(s.Lines), s.Histogram)
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
	want := []field{{"at the record low of -14 degF", "635.87 V"}, {"code, inverter input limit", "600 V"}}
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
	got := string(histogram(list))
	if !strings.Contains(got, "Utilisation of 8 subjects in steps of 0.1: 5 up to the limit, 3 over it, the largest 30.00.") {
		t.Errorf("%s", got)
	}
	if n := strings.Count(got, `class="bar met"`); n != 2 { // 0 to 0.1, 0.9 to 1
		t.Errorf("%d bars up to the limit", n)
	}
	if n := strings.Count(got, `class="bar over"`); n != 2 { // 1 to 1.1, the last
		t.Errorf("%d bars over the limit", n)
	}
	if histogram(list[:7]) != "" {
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
