package review

import (
	"fmt"
	"strings"
	"testing"

	"plumbrule/internal/job"
)

// drawnFacts are the values of the building that the drawing of its roof gives
// too, each with the check that holds it against the drawing.
var drawnFacts = map[string]string{
	"building.length":           "structural/length-agrees",
	"building.width":            "structural/width-agrees",
	"building.eave_height":      "structural/eave-height-agrees",
	"building.mean_roof_height": "structural/mean-roof-height-agrees",
	"building.roof_shape":       "structural/roof-shape-agrees",
}

// differences tells where results differ, but for the checks of the facts themselves,
// which have nothing to compare where nothing is stated.
func differences(before, after map[[2]string]Result) []string {
	var out []string
	for pair, was := range before {
		own := pair[0] == "structural/plan-axes"
		for _, check := range drawnFacts {
			own = own || pair[0] == check
		}
		if now := after[pair]; now != was && !(own && was == Met && now == NotApplicable) {
			out = append(out, fmt.Sprintf("%s for %s: %s, was %s", pair[0], pair[1], now, was))
		}
	}
	return out
}

// withFacts opens a demo job and states what its drawing gives.
func withFacts(t *testing.T, name string) *Session {
	t.Helper()
	s := session(t, name)
	building, set := s.Review().Model.Subjects("building")[0], map[string]any{}
	for key := range drawnFacts {
		switch v := s.Review().Model.Term(building, strings.TrimPrefix(key, "building.")).V.(type) {
		case float64:
			set[key] = fmt.Sprintf("%.9f m", v)
		case string:
			set[key] = v
		default:
			t.Fatalf("%s: the drawing gives no %s", name, key)
		}
	}
	next, err := s.With(job.Edits{Set: set})
	if err != nil {
		t.Fatal(err)
	}
	return next
}

// What the drawing gives need not be typed: each fact left out, and all of
// them, gives the verdicts of the job that states them.
func TestDrawnFactsNeedNotBeTyped(t *testing.T) {
	for _, name := range demoJobs(t) {
		s := withFacts(t, name)
		before := pairs(s.Review())
		left := [][]string{nil}
		for key := range drawnFacts {
			left = append(left, []string{key})
			left[0] = append(left[0], key)
		}
		for _, keys := range left {
			next, err := s.With(job.Edits{Unset: keys})
			if err != nil {
				t.Fatal(err)
			}
			if d := differences(before, pairs(next.Review())); len(d) > 0 {
				t.Errorf("%s without %s: %d verdicts differ: %s", name, strings.Join(keys, ", "), len(d), d[0])
			}
		}
	}
}

// contradicted tells whether a check is not met and its finding speaks of both the
// stated and the drawn value.
func contradicted(r *Review, check string) bool {
	for i := range r.Outcomes {
		if o := &r.Outcomes[i]; o.Check.ID == check {
			return o.Result == NotMet && strings.Contains(o.Finding, "stated as") && strings.Contains(o.Finding, "draw")
		}
	}
	return false
}

// A fact that is half or double what is drawn, or another shape, is a finding
// that names it; nothing that was not met, or could not be said, is met by it.
func TestFactsAgainstTheDrawing(t *testing.T) {
	tried := 0
	for _, name := range demoJobs(t) {
		s := withFacts(t, name)
		before, b := pairs(s.Review()), &s.Review().Job.Building
		var edits []job.Edits
		var keys []string
		try := func(key string, value any) {
			keys, edits = append(keys, key), append(edits, job.Edits{Set: map[string]any{key: value}})
		}
		for key, v := range map[string]job.Quantity{"building.length": b.Length, "building.width": b.Width, "building.eave_height": b.EaveHeight, "building.mean_roof_height": b.MeanRoofHeight} {
			for _, factor := range []float64{0.5, 2} {
				try(key, fmt.Sprintf("%.6f m", v.Value.SI*factor))
			}
		}
		for _, shape := range []string{"flat", "gable", "hip", "monoslope"} {
			if shape != b.RoofShape.Value {
				try("building.roof_shape", shape)
			}
		}
		for i, key := range keys {
			next, err := s.With(edits[i])
			if err != nil {
				t.Fatal(err)
			}
			tried++
			if !contradicted(next.Review(), drawnFacts[key]) {
				t.Errorf("%s with %v: %s is no finding of both values", name, edits[i].Set, drawnFacts[key])
			}
			after := pairs(next.Review())
			for pair, was := range before {
				if now := after[pair]; now == Met && was != Met || now == NotApplicable && was != NotApplicable {
					t.Errorf("%s with %v: %s for %s turns from %s into %s", name, edits[i].Set, pair[0], pair[1], was, now)
				}
			}
		}
	}
	if tried < 60/share() {
		t.Errorf("only %d contradictions tried", tried)
	}
}
