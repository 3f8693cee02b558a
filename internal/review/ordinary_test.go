package review

import (
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/BurntSushi/toml"

	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
)

const ordinaries = "../../testdata/ordinary"

// leastOrdinaries is how many ordinary jobs are settled.
const leastOrdinaries = 8

// settling is what a designer states of an ordinary job once its review has
// asked for it, by the tables of a job file, and what may be said even then.
type settling struct {
	Settle map[string]any              `toml:"settle"`
	Add    map[string][]map[string]any `toml:"add"`
	Never  []string                    `toml:"never"` // keys that this roof does not have
	Stays  []struct {
		Check, Reason string
	} `toml:"stays"`

	keys map[string]any // what is settled, by its keys
}

// ordinary gives the names of the ordinary jobs.
func ordinary(t testing.TB) (names []string) {
	t.Helper()
	paths, err := filepath.Glob(filepath.Join(ordinaries, "*.toml"))
	if err != nil {
		t.Fatal(err)
	}
	for _, path := range paths {
		names = append(names, strings.TrimSuffix(filepath.Base(path), ".toml"))
	}
	if len(names) < leastOrdinaries {
		t.Errorf("%d ordinary jobs, at least %d are wanted", len(names), leastOrdinaries)
	}
	return names
}

// settled reviews an ordinary job as it is, and with what settles it.
func settled(t testing.TB, name string, o Options) (bare, whole *Session, s *settling) {
	t.Helper()
	s = &settling{keys: map[string]any{}}
	md, err := toml.DecodeFile(filepath.Join(ordinaries, "settle", name+".toml"), s)
	if err != nil {
		t.Fatal(err)
	}
	for _, key := range md.Undecoded() {
		if len(key) == 1 { // what stands in a table is the job's, which says so itself
			t.Errorf("settle/%s.toml: unknown key %s", name, key)
		}
	}
	s.flatten("", s.Settle)
	bare = sessionOf(t, filepath.Join(ordinaries, name+".toml"), o)
	whole, err = bare.With(job.Edits{Set: s.keys, Added: s.Add})
	if err != nil {
		t.Fatal(err)
	}
	return bare, whole, s
}

func (s *settling) flatten(owner string, table map[string]any) {
	for key, value := range table {
		key = job.Join(owner, key)
		if inner, ok := value.(map[string]any); ok {
			s.flatten(key, inner)
		} else {
			s.keys[key] = value
		}
	}
}

// stays tells whether a check may say something even of the settled job.
func (s *settling) stays(check string) bool {
	return slices.ContainsFunc(s.Stays, func(x struct{ Check, Reason string }) bool { return x.Check == check })
}

// The review of an ordinary job can be brought to its end: stating the values
// that it asks for leaves nothing undetermined and nothing not met, and it never
// asks for a value that such a roof does not have.
func TestOrdinaryJobsCanBeSettled(t *testing.T) {
	for _, name := range ordinary(t) {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			bare, whole, s := settled(t, name, Options{})
			if len(asked(bare.Review())) == 0 {
				t.Error("its first review asks for nothing")
			}
			s.hold(t, "as it is", bare.Review())
			s.hold(t, "settled", whole.Review())
			said := map[string]bool{}
			for i := range whole.Review().Outcomes {
				o := &whole.Review().Outcomes[i]
				if o.Result == Met || o.Result == NotApplicable || said[o.Check.ID] {
					continue
				}
				said[o.Check.ID] = true
				if !s.stays(o.Check.ID) || o.Result == Undetermined || o.Check.Severity == codebook.Correction {
					t.Errorf("settled, %s for %s is %s: %s", o.Check.ID, o.Subject.Label(), o.Result, o.Finding+o.Why())
				}
			}
			for _, x := range s.Stays {
				if !said[x.Check] || x.Reason == "" {
					t.Errorf("%s says nothing more, or without a reason", x.Check)
				}
			}
			for key := range s.keys {
				without, err := whole.With(job.Edits{Unset: []string{key}})
				if err != nil {
					t.Fatal(err)
				}
				s.hold(t, "without "+key, without.Review())
				if !asked(without.Review())[key] {
					t.Errorf("nothing asks for %s", key)
				}
			}
		})
	}
}

// hold refuses a review that asks for a value that the roof does not have.
func (s *settling) hold(t *testing.T, how string, r *Review) {
	t.Helper()
	for _, d := range r.Defects() {
		t.Errorf("%s: %s", how, d)
	}
	keys := asked(r)
	for _, key := range s.Never {
		if keys[key] {
			t.Errorf("%s, it asks for %s, which this roof does not have", how, key)
		}
	}
}

// asked are the keys that a review asks for.
func asked(r *Review) map[string]bool {
	keys := map[string]bool{}
	for i := range r.Outcomes {
		for _, n := range r.Outcomes[i].Needs {
			for _, key := range n.Keys {
				keys[key] = true
			}
		}
	}
	return keys
}
