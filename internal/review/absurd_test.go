package review

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
	"sync"
	"testing"

	"plumbrule/internal/mutation"
)

// leastNoticed is the share of absurd changes of each kind that must be refused
// or make an outcome worse, of the whole run.
var leastNoticed = map[string]float64{
	"numbers x1000": 0.99, "numbers /1000": 0.86, "conductor sizes": 0.85, "words": 0.87, "flags": 0.64, "entries left out": 0.96, "entries given twice": 0.85,
}

// kindOfChange is the kind of an absurd change by its way.
func kindOfChange(way string) string {
	switch way {
	case "x1000", "/1000":
		return "numbers " + way
	case "thickest", "thinnest":
		return "conductor sizes"
	case "turned":
		return "flags"
	case "left out", "given twice":
		return "entries " + way
	}
	return "words"
}

// tallied counts changes of a kind.
type tallied struct{ tried, refused, worse int }

func (t tallied) share() float64 { return float64(t.refused+t.worse) / float64(max(1, t.tried)) }

// passing is a way of changing the values of a field that something kept a
// clean exit with.
type passing struct{ field, kind, way string }

func (p passing) String() string {
	if p.kind == "" {
		return p.field + " " + p.way
	}
	return p.field + " of a " + p.kind + " " + p.way
}

// absurdity gathers what became of absurd changes.
type absurdity struct {
	sync.Mutex
	kinds  map[string]tallied
	passed map[passing][]string // the changes, by the jobs
}

// try makes changes of a job, and notes which are refused, and with which an outcome
// gets worse.
func (a *absurdity) try(t *testing.T, name string, s *Session, all []mutation.Mutation) {
	before := s.Review()
	was := results(before)
	for _, m := range all {
		next, err := s.With(m.Edits)
		worse := false
		if err == nil {
			r := next.Review()
			if d := r.Defects(); len(d) > 0 {
				t.Errorf("%s, %s: defects %v", name, m.Says, d)
			}
			worse = worsened(was, r)
		}
		a.Lock()
		k := a.kinds[kindOfChange(m.Way)]
		k.tried++
		switch {
		case err != nil:
			k.refused++
		case worse:
			k.worse++
		default:
			p := passing{m.Field, m.Kind, m.Way}
			a.passed[p] = append(a.passed[p], name+": "+m.Says)
		}
		a.kinds[kindOfChange(m.Way)] = k
		a.Unlock()
	}
}

// results are the results of a review by check and subject.
func results(r *Review) map[[2]string]Result {
	out := make(map[[2]string]Result, len(r.Outcomes))
	for i := range r.Outcomes {
		o := &r.Outcomes[i]
		out[[2]string{o.Check.ID, o.Subject.Key}] = o.Result
	}
	return out
}

// worsened reports whether something is outstanding that was not before.
func worsened(was map[[2]string]Result, r *Review) bool {
	return slices.ContainsFunc(r.Outcomes, func(o Outcome) bool {
		return (o.Result == NotMet || o.Result == Undetermined) && o.Excused == nil && was[[2]string{o.Check.ID, o.Subject.Key}] != o.Result
	})
}

// A thousand times and a thousandth of each number, the thickest and the
// thinnest of each conductor, each other word of each choice, each turned yes
// and no, and each entry left out or given twice, of the clean demo jobs and of
// the settled ordinary ones, is refused, or leaves something outstanding that was
// not before. What is noticed by neither stands in testdata/exceptions.toml with
// the reason; the long test tries all, wants each exception to be needed, and
// holds the share that is noticed.
func TestAbsurdChangesAreNoticed(t *testing.T) {
	x := excepted(t)
	a := absurdity{kinds: map[string]tallied{}, passed: map[passing][]string{}}
	clean := map[string]int{"house": 12, "barn": 60, "commercial": 80} // every nth of the changes, where not all are tried
	for _, name := range ordinary(t) {
		clean[name] = 60
	}
	t.Run("jobs", func(t *testing.T) {
		for _, name := range slices.Sorted(maps.Keys(clean)) {
			demo := clean[name] != 60 || name == "barn"
			if !whole() && (testing.Short() && name != "house" || !demo && name != "pole-barn" && name != "ballasted") {
				continue
			}
			t.Run(name, func(t *testing.T) {
				t.Parallel()
				var s *Session
				if demo {
					s = session(t, name)
				} else {
					_, s, _ = settled(t, name, Options{})
				}
				j := s.Review().Job
				all := slices.Concat(mutation.Absurd(j, 1000), mutation.EntryRemovals(j), mutation.EntryDoublings(j))
				all = slices.DeleteFunc(all, func(m mutation.Mutation) bool { return m.Kind == "idle" }) // of a list of equipment
				a.try(t, name, s, step(all, clean[name]))
			})
		}
	})
	unneeded := x.changes()
	byName := func(p, q passing) int { return cmp.Compare(p.String(), q.String()) }
	for _, p := range slices.SortedFunc(maps.Keys(a.passed), byName) {
		changes := a.passed[p]
		if p.way == "left out" || p.way == "given twice" {
			changes = entryOf(changes)
			if x.entry(p.field, p.way) || len(x.besides(p.field, p.way, changes)) == 0 {
				continue
			}
		} else if x.change(p, unneeded) {
			continue
		}
		t.Errorf("%s keeps a clean exit: %s", p, strings.Join(changes, "; "))
	}
	tried := 0
	for _, kind := range slices.Sorted(maps.Keys(a.kinds)) {
		k := a.kinds[kind]
		tried += k.tried
		t.Logf("%-20s %6d tried %6d refused %6d worse %6d pass: %.1f %% noticed", kind, k.tried, k.refused, k.worse, k.tried-k.refused-k.worse, 100*k.share())
		if whole() && k.share() < leastNoticed[kind] {
			t.Errorf("%s: %.1f %% of the changes are noticed, at least %.1f %% must be", kind, 100*k.share(), 100*leastNoticed[kind])
		}
	}
	if tried < 20 {
		t.Errorf("only %d changes were tried", tried)
	}
	if whole() {
		for _, u := range slices.Sorted(maps.Keys(unneeded)) {
			t.Errorf("testdata/exceptions.toml: the exception of %s is not needed", u)
		}
		if len(a.kinds) != len(leastNoticed) {
			t.Errorf("%d kinds of changes, %d have a least share", len(a.kinds), len(leastNoticed))
		}
	}
}

// entryOf gives changes of entries as exceptions name them: "house: label.L4".
func entryOf(changes []string) []string {
	out := slices.Clone(changes)
	for i := range out {
		out[i] = strings.Replace(out[i], ": without ", ": ", 1)
	}
	return out
}

// changes lists what the exceptions of absurd changes have: each field and each
// way of each.
func (x *exceptions) changes() map[string]bool {
	all := map[string]bool{}
	for i, c := range x.Changes {
		for _, of := range c.Of {
			all[fmt.Sprint("change ", i+1, ", ", of)] = true
		}
		for _, way := range c.Ways {
			all[fmt.Sprint("change ", i+1, ", ", c.Of[0], "..., ", way)] = true
		}
	}
	return all
}

// change tells whether an absurd change is excepted, and takes what it needs from
// what is not needed.
func (x *exceptions) change(p passing, unneeded map[string]bool) bool {
	excepted := false
	for i, c := range x.Changes {
		for _, of := range c.Of {
			if of != p.field && of != p.field+" of a "+p.kind || len(c.Ways) > 0 && !slices.Contains(c.Ways, p.way) {
				continue
			}
			excepted = true
			delete(unneeded, fmt.Sprint("change ", i+1, ", ", of))
			delete(unneeded, fmt.Sprint("change ", i+1, ", ", c.Of[0], "..., ", p.way))
		}
	}
	return excepted
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
func outstanding(r *Review) bool { return worsened(nil, r) }
