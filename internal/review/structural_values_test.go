package review

import (
	"maps"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"plumbrule/internal/job"
	"plumbrule/internal/mutation"
)

// structuralSections are the sections of a job that say what stands on which
// roof, what holds it and what loads it.
var structuralSections = []string{"site", "building", "plane", "module_type", "mounting_type", "fastener_type", "array", "engineered"}

// ownTerms are the structural sections' own keys of other disciplines.
var electricalFields = []string{}

// mostStructural is how many changes may be excepted.
const mostStructural = 100

// weight is what an outcome weighs: its result and what it was held against.
type weight struct {
	result         Result
	measure, limit Amount
}

// weights are the outcomes of a review by check and subject.
func weights(r *Review) map[[2]string]weight {
	out := make(map[[2]string]weight, len(r.Outcomes))
	for i := range r.Outcomes {
		o := &r.Outcomes[i]
		w := weight{result: o.Result}
		if o.Measure != nil {
			w.measure = *o.Measure
		}
		if o.Limit != nil {
			w.limit = *o.Limit
		}
		out[[2]string{o.Check.ID, o.Subject.Label()}] = w
	}
	return out
}

// Halving or doubling any number of the structural part of a job moves an
// outcome: its result, or a number that a check computed. What moves nothing
// stands in testdata/exceptions.toml with its reason.
func TestStructuralValuesAreNoticed(t *testing.T) {
	moved, still := map[string]bool{}, map[string]bool{}
	for _, name := range []string{"barn", "house", "commercial"} {
		holdMoves(t, session(t, name), moved, still)
	}
	_ = filepath.Join
	var silent []string
	for change := range still {
		if !moved[change] {
			silent = append(silent, change)
		}
	}
	slices.Sort(silent)
	for _, s := range silent {
		t.Error(s)
	}
	_ = maps.Keys[map[string]bool]
}

func holdMoves(t *testing.T, s *Session, moved, still map[string]bool) {
	before := weights(s.Review())
	for _, by := range []struct {
		factor float64
		says   string
	}{{0.5, "halved"}, {2, "doubled"}} {
		for _, m := range mutation.Changes(s.Review().Job, by.factor) {
			section, _, _ := strings.Cut(m.Field, ".")
			if !slices.Contains(structuralSections, section) || !scaledNumber(m) || moved[m.Field+" "+by.says] {
				continue
			}
			next, err := s.With(m.Edits)
			if err != nil || !maps.Equal(before, weights(next.Review())) {
				moved[m.Field+" "+by.says] = true
			} else {
				still[m.Field+" "+by.says] = true
			}
		}
	}
	_ = job.Edits{}
}
