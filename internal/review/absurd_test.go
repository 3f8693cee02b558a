package review

import (
	"flag"
	"maps"
	"os"
	"slices"
	"strings"
	"testing"

	"plumbrule/internal/mutation"
)

var writeAbsurd = flag.Bool("absurd", false, "rewrite testdata/absurd.txt from every value")

const absurdList = "../../testdata/absurd.txt"

// absurdSections are the electrical sections of a job, its site, and what its
// modules are held by.
var absurdSections = []string{"site", "module_type", "inverter_type", "converter_type", "string", "inverter", "combiner", "circuit", "overcurrent",
	"disconnect", "panel", "transformer", "service", "interconnection", "rapid_shutdown", "grounding", "label", "one_line", "stated", "fastener_type", "mounting_type"}

// A thousand times and a thousandth of each number in those sections of the
// clean demo jobs is refused, or leaves a finding. What is noticed by
// neither stands in testdata/absurd.txt with the reason; the long test wants each
// of these still to be needed.
func TestAbsurdValuesAreNoticed(t *testing.T) {
	text, err := os.ReadFile(absurdList)
	if err != nil && !*writeAbsurd {
		t.Fatal(err)
	}
	reasons := map[string]string{}
	for line := range strings.Lines(string(text)) {
		key, reason, _ := strings.Cut(strings.TrimSpace(line), ": ")
		reasons[key] = reason
		if reason == "" {
			t.Errorf("%s: %s stands without a reason", absurdList, key)
		}
	}
	passed, tried := map[string]bool{}, 0
	every := *writeAbsurd || whole()
	for _, name := range []string{"barn", "house", "commercial"} {
		s := session(t, name)
		for _, factor := range []struct {
			by   float64
			says string
		}{{1000, "x1000"}, {0.001, "/1000"}} {
			all := mutation.Changes(s.Review().Job, factor.by)
			all = slices.DeleteFunc(all, func(m mutation.Mutation) bool {
				section, _, _ := strings.Cut(m.Field, ".")
				return !slices.Contains(absurdSections, section) || !scaledNumber(m)
			})
			if !every {
				all = step(all, 9)
			}
			for _, m := range all {
				tried++
				next, err := s.With(m.Edits)
				if err == nil && !outstanding(next.Review()) {
					passed[m.Field+" "+factor.says] = true
				}
			}
		}
	}
	if tried < 20 {
		t.Fatalf("only %d values were tried", tried)
	}
	found := slices.Sorted(maps.Keys(passed))
	if *writeAbsurd {
		var lines strings.Builder
		for _, p := range found {
			lines.WriteString(p + ": " + reasons[p] + "\n")
		}
		if err := os.WriteFile(absurdList, []byte(lines.String()), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	for _, p := range found {
		if reasons[p] == "" {
			t.Errorf("%s keeps a clean exit", p)
		}
	}
	if every {
		for k := range reasons {
			if !passed[k] {
				t.Errorf("%s is noticed: take it out of %s", k, absurdList)
			}
		}
	}
}

// scaledNumber reports whether a mutation scales a number or a quantity: it is
// not a word or a count.
func scaledNumber(m mutation.Mutation) bool {
	switch v := m.Edits.Set[m.Key].(type) {
	case float64:
		return true
	case string:
		return strings.ContainsAny(v[:min(1, len(v))], "-0123456789")
	}
	return false
}

// outstanding reports whether anything is not met or undetermined.
func outstanding(r *Review) bool {
	return slices.ContainsFunc(r.Outcomes, func(o Outcome) bool {
		return (o.Result == NotMet || o.Result == Undetermined) && o.Excused == nil
	})
}
