package review

import (
	"strings"
	"testing"

	"plumbrule/internal/mutation"
)

// A circuit or combiner that carries nothing is no pass: emptying the list of
// what one carries leaves something outstanding, and no measure of it that falls
// to zero is met by that.
func TestNothingIsMetOnNothing(t *testing.T) {
	for _, name := range demoJobs(t) {
		if strings.HasSuffix(name, "-faulty") {
			continue
		}
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := session(t, name)
			measured := map[[2]string]float64{}
			for i := range s.Review().Outcomes {
				o := &s.Review().Outcomes[i]
				if o.Result == Met && o.Measure != nil && o.Measure.IsNum {
					measured[[2]string{o.Check.ID, o.Subject.Label()}] = o.Measure.Value
				}
			}
			tried := 0
			for _, m := range mutation.Emptied(s.Review().Job) {
				switch m.Field {
				case "circuit.strings", "circuit.inverters", "combiner.strings":
				default:
					continue
				}
				next, err := s.With(m.Edits)
				if err != nil {
					t.Errorf("%s: %v", m.Says, err)
					continue
				}
				tried++
				r := next.Review()
				if r.Totals.NotMet+r.Totals.Undetermined == 0 {
					t.Errorf("%s: nothing is outstanding", m.Says)
				}
				for i := range r.Outcomes {
					o := &r.Outcomes[i]
					was, known := measured[[2]string{o.Check.ID, o.Subject.Label()}]
					if known && was != 0 && o.Result == Met && o.Measure != nil && o.Measure.Value == 0 {
						t.Errorf("%s: %s for %s is met by nothing", m.Says, o.Check.ID, o.Subject.Label())
					}
				}
			}
			if tried < 3 {
				t.Fatalf("only %d lists could be emptied", tried)
			}
		})
	}
}
