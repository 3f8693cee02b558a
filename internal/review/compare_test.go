package review

import (
	"maps"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"testing"

	"plumbrule/internal/job"
	"plumbrule/internal/mutation"
)

// label names a change for the tests: check, subject, and the results.
func label(c Change) string {
	o, text := c.After, ""
	if o == nil {
		o = c.Before
	}
	text = o.Check.ID + " " + o.Subject.Label()
	for _, side := range []*Outcome{c.Before, c.After} {
		switch {
		case side == nil:
			text += " | -"
		case side.Excused != nil:
			text += " | excused"
		default:
			text += " | " + string(side.Result)
		}
	}
	return text
}

func labels(list []Change) (out []string) {
	for _, c := range list {
		out = append(out, label(c))
	}
	return out
}

func needs(list []*Missing) (out []string) {
	for _, m := range list {
		out = append(out, m.Need.String())
	}
	return out
}

func TestCompare(t *testing.T) {
	only := Options{Only: []string{"electrical/string-voltage-inverter"}, Leave: Leave{Stated: true}}
	const check = "electrical/string-voltage-inverter"
	before := sessionOf(t, filepath.Join(jobs, "barn.toml"), only)
	with := func(s *Session, e job.Edits) *Session {
		t.Helper()
		next, err := s.With(e)
		if err != nil {
			t.Fatal(err)
		}
		return next
	}
	set := func(key string, value any) job.Edits { return job.Edits{Set: map[string]any{key: value}} }
	long := with(before, set("string.S2.modules", 36))
	longer := with(long, set("string.S2.modules", 37))
	unsaid := with(long, job.Edits{Unset: []string{"site.record_low"}})
	excused := with(long, job.Edits{Added: map[string][]map[string]any{"deviation": {{
		"check": check, "subject": "string S2", "reason": "looked at", "by": "the authority", "date": "2026-03-02", "reference": "letter"}}}})
	twice := with(long, job.Edits{Doubled: map[string]string{"string.S2": "S9"}})

	for name, c := range map[string]struct {
		before, after        *Session
		gone, added, changed []string
		nowMissing, noLonger []string
		sameTotals           bool
	}{
		"nothing": {before: long, after: long, sameTotals: true},
		"a string made longer": {before: before, after: long,
			added: []string{check + " string S2 | met | not met"}},
		"and longer still": {before: long, after: longer, sameTotals: true,
			changed: []string{check + " string S2 | not met | not met"}},
		"and short again": {before: longer, after: before,
			gone: []string{check + " string S2 | not met | met"}},
		"a value left out": {before: long, after: unsaid,
			added:      []string{check + " string S1 | met | undetermined", check + " string S3 | met | undetermined"},
			changed:    []string{check + " string S2 | not met | undetermined"},
			nowMissing: []string{"site.record_low"}},
		"and stated": {before: unsaid, after: before,
			gone:     []string{check + " string S1 | undetermined | met", check + " string S2 | undetermined | met", check + " string S3 | undetermined | met"},
			noLonger: []string{"site.record_low"}},
		"accepted": {before: long, after: excused,
			gone: []string{check + " string S2 | not met | excused"}},
		"no longer accepted": {before: excused, after: long,
			added: []string{check + " string S2 | excused | not met"}},
		"put in": {before: long, after: twice,
			added: []string{check + " string S9 | - | not met"}},
		"taken out": {before: twice, after: long,
			gone: []string{check + " string S9 | not met | -"}},
	} {
		t.Run(name, func(t *testing.T) {
			got := Compare(c.before.Review(), c.after.Review())
			for what, pair := range map[string][2][]string{
				"gone":              {labels(got.Gone), c.gone},
				"new":               {labels(got.New), c.added},
				"changed":           {labels(got.Changed), c.changed},
				"now missing":       {needs(got.NowMissing), c.nowMissing},
				"no longer missing": {needs(got.NoLongerMissing), c.noLonger},
			} {
				if !slices.Equal(pair[0], pair[1]) {
					t.Errorf("%s: %q, expected %q", what, pair[0], pair[1])
				}
			}
			if got.Same() != (name == "nothing") {
				t.Errorf("Same is %v", got.Same())
			}
			if same := reflect.DeepEqual(got.Before, got.After); same != c.sameTotals {
				t.Errorf("totals %+v and %+v", got.Before, got.After)
			}
		})
	}
}

// Lines put in above everything move each value and change nothing.
func TestCompareLooksPastPlaces(t *testing.T) {
	b, tables := book(t)
	before := session(t, "house-faulty").Review()
	path := filepath.Join(jobs, "house-faulty.toml")
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	j, err := job.Parse(path, append([]byte("# moved\n\n"), text...), job.ReadFile)
	if err != nil {
		t.Fatal(err)
	}
	after, err := Run(j, b, tables, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if before.Worst()[0].At.Position() == after.Worst()[0].At.Position() {
		t.Fatal("the findings did not move")
	}
	if c := Compare(before, after); !c.Same() {
		t.Errorf("gone %q, new %q, changed %q", labels(c.Gone), labels(c.New), labels(c.Changed))
	}
}

// Whatever changes in a job, the findings before, less those gone and with the
// new ones, are the findings after; seen the other way round the two change
// places.
func TestCompareAddsUp(t *testing.T) {
	for n, name := range demoJobs(t) {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := session(t, name)
			all := append(mutation.Removals(s.Review().Job), mutation.Changes(s.Review().Job, 0.9, 1.1)...)
			differ := 0
			for _, m := range step(all[n%7:], 97) {
				next, err := s.With(m.Edits)
				if err != nil {
					continue // the job cannot be read: refused
				}
				before, after := s.Review(), next.Review()
				c, back := Compare(before, after), Compare(after, before)
				left := findingsOf(before)
				for _, g := range c.Gone {
					delete(left, before.pairs()[g.Before])
				}
				for _, g := range c.New {
					left[after.pairs()[g.After]] = true
				}
				if want := findingsOf(after); !maps.Equal(left, want) {
					t.Errorf("%s: the findings come to %d, expected %d", m.Says, len(left), len(want))
				}
				if len(c.Gone) != len(back.New) || len(c.New) != len(back.Gone) || len(c.Changed) != len(back.Changed) ||
					!slices.Equal(needs(c.NowMissing), needs(back.NoLongerMissing)) || !slices.Equal(needs(c.NoLongerMissing), needs(back.NowMissing)) {
					t.Errorf("%s: not the same seen the other way round", m.Says)
				}
				if !c.Same() {
					differ++
				}
			}
			if differ == 0 {
				t.Error("no change made a difference")
			}
		})
	}
}

func findingsOf(r *Review) map[pair]bool {
	out := map[pair]bool{}
	for o, p := range r.pairs() {
		if o.Outstanding() {
			out[p] = true
		}
	}
	return out
}
