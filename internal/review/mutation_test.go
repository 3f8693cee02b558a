package review

import (
	"maps"
	"slices"
	"strings"
	"testing"

	"github.com/BurntSushi/toml"

	"plumbrule/internal/mutation"
	"plumbrule/internal/terms"
)

// exceptions is testdata/exceptions.toml: what the tests below except, each
// with its reason. An exception that is no longer needed is a failure.
type exceptions struct {
	Values  []exceptedValue  `toml:"value"`
	Entries []exceptedEntry  `toml:"entry"`
	Numbers []exceptedNumber `toml:"number"`
	Changes []exceptedChange `toml:"change"`
}

type exceptedValue struct {
	Field  string // the key without names, "stated.qh"
	Check  string // that loses sight of its subjects without it; "" where nothing reads the value
	Reason string
}

type exceptedEntry struct {
	Kinds  []string
	What   []string // "left out", "given twice"
	Only   []string // "house: label.L4": of those kinds just these; none: all
	Reason string
}

type exceptedNumber struct {
	Of     []string // the fields, "plane.framing.span of a wood rafter"
	Ways   []string // of "left out", "halved", "doubled"; none: each
	Reason string
}

// exceptedChange is an absurd change that nothing notices.
type exceptedChange struct {
	Of     []string // the fields, "circuit.place", or of some things only, "circuit.place of a branch"
	Ways   []string // "x1000", "/1000", "thickest", "thinnest", "turned", "as outside"; none: each
	Reason string
}

func (x *exceptions) value(field, check string) bool {
	return slices.ContainsFunc(x.Values, func(v exceptedValue) bool { return v.Field == field && v.Check == check })
}

func (x *exceptions) entry(kind, what string) bool {
	return slices.ContainsFunc(x.Entries, func(e exceptedEntry) bool {
		return slices.Contains(e.Kinds, kind) && slices.Contains(e.What, what) && len(e.Only) == 0
	})
}

// besides lists the entries of a kind that no exception names one by one.
func (x *exceptions) besides(kind, what string, list []string) []string {
	for _, e := range x.Entries {
		if slices.Contains(e.Kinds, kind) && slices.Contains(e.What, what) {
			list = slices.DeleteFunc(slices.Clone(list), func(name string) bool { return slices.Contains(e.Only, name) })
		}
	}
	return list
}

const (
	mostValues  = 65
	mostEntries = 10
	mostNumbers = 80  // fields
	mostChanges = 168 // fields
)

func excepted(t *testing.T) *exceptions {
	t.Helper()
	var x exceptions
	md, err := toml.DecodeFile("../../testdata/exceptions.toml", &x)
	if err != nil {
		t.Fatal(err)
	}
	if u := md.Undecoded(); len(u) > 0 {
		t.Errorf("testdata/exceptions.toml: unknown key %s", u[0])
	}
	if len(x.Values) > mostValues || len(x.Entries) > mostEntries {
		t.Errorf("%d values and %d entries are excepted, at most %d and %d may be", len(x.Values), len(x.Entries), mostValues, mostEntries)
	}
	fields := 0
	for _, n := range x.Numbers {
		if fields += len(n.Of); n.Reason == "" {
			t.Errorf("%v are excepted without a reason", n.Of)
		}
	}
	if fields > mostNumbers {
		t.Errorf("the numbers of %d fields are excepted, at most %d may be", fields, mostNumbers)
	}
	fields = 0
	for _, c := range x.Changes {
		if fields += len(c.Of); c.Reason == "" || len(c.Of) == 0 {
			t.Errorf("%v are excepted without a reason", c.Of)
		}
	}
	if fields > mostChanges {
		t.Errorf("absurd changes of %d fields are excepted, at most %d may be", fields, mostChanges)
	}
	for _, v := range x.Values {
		if v.Reason == "" {
			t.Errorf("%s is excepted without a reason", v.Field)
		}
	}
	for _, e := range x.Entries {
		if e.Reason == "" || len(e.Kinds) == 0 || len(e.What) == 0 {
			t.Errorf("%v: an exception says its kinds, what is done and the reason", e.Kinds)
		}
	}
	return &x
}

// number tells whether a field may be changed in a way without notice.
func (x *exceptions) number(field, way string) bool {
	return slices.ContainsFunc(x.Numbers, func(n exceptedNumber) bool {
		return slices.Contains(n.Of, field) && (len(n.Ways) == 0 || slices.Contains(n.Ways, way))
	})
}

// pairs are the results of a review by check and subject.
func pairs(r *Review) map[[2]string]Result {
	out := make(map[[2]string]Result, len(r.Outcomes))
	for i := range r.Outcomes {
		o := &r.Outcomes[i]
		out[[2]string{o.Check.ID, o.Subject.Label()}] = o.Result
	}
	return out
}

// looked lists the checks that said something of at least one subject.
func looked(results map[[2]string]Result) map[string]bool {
	out := map[string]bool{}
	for pair, r := range results {
		if r != NotApplicable {
			out[pair[0]] = true
		}
	}
	return out
}

// filledIn reports whether an outcome says in its work what stands in for a key.
func filledIn(r *Review, key string) bool {
	return slices.ContainsFunc(r.Outcomes, func(o Outcome) bool {
		return slices.ContainsFunc(terms.FillingsOf(o.rests...), func(f *terms.Filling) bool { return f.Key == key })
	})
}

// Taking any value out of a demo job never turns an outcome to met, never makes
// a check lose sight of what it looked at, and is noticed: what is missing is
// asked for, or what it follows from is told.
func TestRemovingAValueNeverPasses(t *testing.T) {
	x := excepted(t)
	lost, silent := map[[2]string]bool{}, map[string]bool{} // exceptions that were needed
	noticed := map[string]bool{}
	for _, name := range demoJobs(t) {
		s := session(t, name)
		before := pairs(s.Review())
		all := mutation.Removals(s.Review().Job)
		if len(all) < 100 {
			t.Fatalf("only %d values found", len(all))
		}
		if strings.HasSuffix(name, "-faulty") {
			all = step(all, 15) // most of it is in the clean job too
		} else {
			all = step(all, 3)
		}
		tried := 0
		for _, m := range all {
			next, err := s.With(m.Edits)
			if err != nil {
				noticed[m.Field] = true
				continue // the job cannot be read without it: refused, not passed
			}
			tried++
			if d := next.Review().Defects(); len(d) > 0 {
				t.Errorf("%s, %s: defects %v", name, m.Says, d)
			}
			after := pairs(next.Review())
			for pair, was := range before {
				if now := after[pair]; now == Met && was != Met && was != NotApplicable {
					t.Errorf("%s, %s: %s for %s turns from %s into met", name, m.Says, pair[0], pair[1], was)
				}
			}
			now := looked(after)
			for id := range looked(before) {
				if now[id] {
					continue
				}
				if x.value(m.Field, id) {
					lost[[2]string{m.Field, id}] = true
				} else {
					t.Errorf("%s, %s: %s has nothing left to look at", name, m.Says, id)
				}
			}
			if !maps.Equal(before, after) || filledIn(next.Review(), m.Key) {
				noticed[m.Field] = true
			} else {
				silent[m.Field] = true
			}
		}
		if tried < len(all)/2 {
			t.Errorf("%s: only %d of %d values could be taken out", name, tried, len(all))
		}
	}
	if !whole() { // a value that one job does not use may be missed in another, which was stepped over
		return
	}
	for _, field := range slices.Sorted(maps.Keys(silent)) {
		if noticed[field] {
			continue // where it is used it is missed
		}
		if !x.value(field, "") {
			t.Errorf("%s: taking it out changes no outcome of any demo job", field)
		}
	}
	for _, v := range x.Values {
		if v.Check == "" && (noticed[v.Field] || !silent[v.Field]) || v.Check != "" && !lost[[2]string{v.Field, v.Check}] {
			t.Errorf("testdata/exceptions.toml: the exception of %s %s is not needed", v.Field, v.Check)
		}
	}
}

// nameOutstanding reports whether something outstanding of a review calls a thing by one
// of its names: as its subject, in the key that it asks for, in its words, or in
// those of its check.
func nameOutstanding(r *Review, of []string) bool {
	plain := func(text string) string { return strings.ToLower(strings.ReplaceAll(text, "-", " ")) }
	for i := range r.Outcomes {
		o := &r.Outcomes[i]
		if o.Result != NotMet && o.Result != Undetermined {
			continue
		}
		said := []string{o.Check.ID, o.Subject.Key, o.Finding, o.Why()}
		for _, n := range o.Needs {
			said = append(said, n.Keys...)
		}
		for _, text := range said {
			if slices.ContainsFunc(of, func(name string) bool { return strings.Contains(plain(text), plain(name)) }) {
				return true
			}
		}
	}
	return false
}

// Taking a whole entry out of a demo job, or giving it a second time under
// another name, is refused or leaves something outstanding that names it. What
// is left out is named by its own name or by what it was tied to.
func TestEntriesLeftOutOrTwice(t *testing.T) {
	x := excepted(t)
	for _, what := range []struct {
		name      string
		mutations func(*Review) []mutation.Mutation
	}{
		{"left out", func(r *Review) []mutation.Mutation { return mutation.EntryRemovals(r.Job) }},
		{"given twice", func(r *Review) []mutation.Mutation { return mutation.EntryDoublings(r.Job) }},
	} {
		t.Run(what.name, func(t *testing.T) {
			passed, tried := map[string][]string{}, 0
			for _, name := range demoJobs(t) {
				if strings.HasSuffix(name, "-faulty") {
					continue // something is outstanding there anyway
				}
				s := session(t, name)
				all := step(what.mutations(s.Review()), 2)
				for _, m := range all {
					tried++
					next, err := s.With(m.Edits)
					if err != nil {
						continue // refused
					}
					r := next.Review()
					if d := r.Defects(); len(d) > 0 {
						t.Errorf("%s, %s: defects %v", name, m.Says, d)
					}
					if !nameOutstanding(r, m.Names) {
						passed[m.Field] = append(passed[m.Field], name+": "+m.Key)
					}
				}
			}
			if tried < 100 && whole() {
				t.Errorf("only %d entries", tried)
			}
			for _, kind := range slices.Sorted(maps.Keys(passed)) {
				if left := x.besides(kind, what.name, passed[kind]); len(left) > 0 && !x.entry(kind, what.name) {
					t.Errorf("%s %s passes: %s", kind, what.name, strings.Join(left, ", "))
				}
			}
			for _, e := range x.Entries {
				for _, kind := range e.Kinds {
					if whole() && slices.Contains(e.What, what.name) && passed[kind] == nil {
						t.Errorf("testdata/exceptions.toml: the exception of a %s %s is not needed", kind, what.name)
					}
				}
			}
		})
	}
}

// No changed value brings the program down: each demo job is reviewed with its
// values a thousand times too large and too small, and its words swapped.
func TestAbsurdValues(t *testing.T) {
	for n, name := range demoJobs(t) {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := session(t, name)
			tried := 0
			for _, m := range step(mutation.Changes(s.Review().Job, 1000, 0.001)[n%7:], 37) {
				next, err := s.With(m.Edits)
				if err != nil {
					continue // refused
				}
				tried++
				if d := next.Review().Defects(); len(d) > 0 {
					t.Errorf("%s: defects %v", m.Says, d)
				}
			}
			if tried < 5 {
				t.Fatalf("only %d changes could be tried", tried)
			}
		})
	}
}
