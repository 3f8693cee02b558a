package review

import (
	"slices"
	"strings"
	"testing"

	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
	"plumbrule/internal/terms"
)

// What the demo house need not say: the key, what it may say, and whether it is
// assumed where it is left out.
var left = map[string]struct {
	value   any
	assumed bool
}{
	"array.south.height_above_roof": {"5 1/4 in", false},
	"building.detached_accessory":   {false, false},
	"building.mean_roof_height":     {"12 ft 6 in", false},
	"building.width":                {"28 ft", false},
	"site.component_importance":     {1.0, false},
	"adoption.asce7":                {"7-16", false},
	"site.elevation":                {"420 ft", true},
	"site.snow_exposure_factor":     {1.0, true},
	"site.snow_thermal_factor":      {1.1, true},
	"plane.south.framing.wet":       {false, true},
}

// An outcome that is settled without a value of the job says in its work how the
// value came about; where it was assumed, one outcome asks for it all the same.
func TestWhatIsLeftOutIsSaid(t *testing.T) {
	stated := map[string]any{}
	for key, l := range left {
		stated[key] = l.value
	}
	s, err := session(t, "house").With(job.Edits{Set: stated})
	if err != nil {
		t.Fatal(err)
	}
	for key, l := range left {
		assumed := l.assumed
		next, err := s.With(job.Edits{Unset: []string{key}})
		if err != nil {
			t.Fatal(err)
		}
		how, settled := "derived: ", 0
		if assumed {
			how = "assumed: "
		}
		for i := range next.Review().Outcomes {
			o := &next.Review().Outcomes[i]
			if o.Check.Gathers == codebook.Assumed {
				asks := slices.ContainsFunc(o.Needs, func(n Need) bool { return n.Keys[0] == key })
				if asks != assumed || assumed != (o.Result == Undetermined) {
					t.Errorf("without %s, %s is %s: %s", key, o.Check.ID, o.Result, o.Why())
				}
				continue
			}
			if o.Result == Undetermined {
				t.Errorf("without %s, %s for %s is undetermined: %s", key, o.Check.ID, o.Subject.Label(), o.Why())
			}
			rests := slices.ContainsFunc(terms.FillingsOf(o.rests...), func(f *terms.Filling) bool { return f.Key == key })
			if o.Result != Met || !rests {
				continue
			}
			settled++
			if !slices.ContainsFunc(o.Work(), func(line string) bool { return strings.HasPrefix(line, how) }) {
				t.Errorf("without %s, %s for %s is met and does not say how: %q", key, o.Check.ID, o.Subject.Label(), o.Work())
			}
		}
		if settled == 0 {
			t.Errorf("no outcome rests on %s", key)
		}
	}
}

// What a safe bound does not meet is not known: the value of the job may meet it.
func TestWhatAnAssumedValueDoesNotMeetIsAsked(t *testing.T) {
	s := session(t, "house")
	edit := func(e job.Edits) *Review {
		t.Helper()
		next, err := s.With(e)
		if err != nil {
			t.Fatal(err)
		}
		return next.Review()
	}
	const check, key = "structural/attachment-downslope", "site.snow_exposure_factor"
	set := map[string]any{"site.ground_snow": "45 psf"}
	count := func(r *Review) (open, unmet int) {
		for i := range r.Outcomes {
			switch o := &r.Outcomes[i]; {
			case o.Check.ID != check:
			case o.Result == NotMet:
				unmet++
			case o.Result == Undetermined:
				open++
				if len(o.Needs) != 1 || o.Needs[0].Keys[0] != key || o.Finding != "" {
					t.Errorf("%s needs %v: %s", o.Subject.Label(), o.Needs, o.Finding)
				}
			}
		}
		return open, unmet
	}
	open, unmet := count(edit(job.Edits{Set: set, Unset: []string{key}}))
	if open == 0 || unmet != 0 {
		t.Errorf("without %s, %d open and %d not met", key, open, unmet)
	}
	set[key] = 1.2
	if o, u := count(edit(job.Edits{Set: set})); o != 0 || u != open {
		t.Errorf("with the bound stated, %d open and %d not met, want 0 and %d", o, u, open)
	}
}
