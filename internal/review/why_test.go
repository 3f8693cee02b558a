package review

import (
	"slices"
	"testing"

	"plumbrule/internal/terms"
)

// keysIn lists the keys of the job in steps.
func keysIn(steps []*Step) (keys []string) {
	for _, s := range steps {
		if s.Key != "" {
			keys = append(keys, s.Key)
		}
		keys = append(keys, keysIn(s.From)...)
	}
	return keys
}

// The chain of an outcome ends in exactly the keys that it rests on, and tells
// what a value is and how it came about.
func TestWhyEndsInTheKeysOfTheJob(t *testing.T) {
	for _, name := range []string{"barn-faulty", "house"} {
		r := session(t, name).Review()
		tried, computed := 0, 0
		for i := range r.Outcomes {
			o := &r.Outcomes[i]
			if o.Result == NotApplicable || i%7 != 0 && !o.Outstanding() {
				continue
			}
			tried++
			applies, decided := r.Why(o)
			var want []string
			for _, read := range terms.ReadsOf(o.held()...) {
				want = append(want, read.Key)
			}
			got := keysIn(decided)
			for _, key := range want {
				if !slices.Contains(got, key) {
					t.Errorf("%s: the chain of %s for %s lacks %s", name, o.Check.ID, o.Subject.Label(), key)
				}
			}
			more := keysIn(applies)
			for _, key := range append(got, more...) {
				if !slices.ContainsFunc(o.Reads(), func(read terms.Read) bool { return read.Key == key }) {
					t.Errorf("%s: the chain of %s for %s has %s, on which it does not rest", name, o.Check.ID, o.Subject.Label(), key)
				}
			}
			for _, s := range decided {
				if s.Key == "" && s.Term != nil && s.Text != "" {
					computed++
				}
			}
		}
		if tried < 100 || computed < 100 {
			t.Errorf("%s: %d outcomes and %d computed values tried", name, tried, computed)
		}
	}
}
