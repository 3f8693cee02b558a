package review

import (
	"os"
	"path/filepath"
	"sync"
	"testing"

	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
	"plumbrule/internal/table"
	"plumbrule/rules"
)

var loadOnce = sync.OnceValues(func() (*codebook.Codebook, error) { return codebook.Load(rules.FS) })

func book(t testing.TB) (*codebook.Codebook, *table.Set) {
	t.Helper()
	b, err := loadOnce()
	if err != nil {
		t.Fatal(err)
	}
	tables, err := table.Load(rules.FS, "tables")
	if err != nil {
		t.Fatal(err)
	}
	return b, tables
}

const jobs = "../../testdata/jobs"

// edited reads a demo job with an example's changes.
func edited(t testing.TB, name string, edits job.Edits) *job.Job {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(jobs, name+".toml"))
	if err != nil {
		t.Fatal(err)
	}
	j, err := job.ParseWith(name+".toml", text, func(p string) ([]byte, error) { return os.ReadFile(filepath.Join(jobs, p)) }, edits)
	if err != nil {
		t.Fatal(err)
	}
	return j
}

// Every check proves itself: each example is a demo job with a change, and the
// outcome that the check must give for it.
func TestExamples(t *testing.T) {
	b, tables := book(t)
	for _, c := range b.Checks {
		t.Run(c.ID, func(t *testing.T) {
			seen := map[string]bool{}
			for _, x := range c.Examples {
				seen[x.Expect] = true
				at := x.At.Position()
				j := edited(t, x.Job, job.Edits{Set: x.Set, Unset: x.Unset})
				r, err := Run(j, b, tables, Options{Only: []string{c.ID}})
				if err != nil {
					t.Errorf("%s: %v", at, err)
					continue
				}
				found := 0
				for _, o := range r.Outcomes {
					if x.Subject != "" && o.Subject.Name != x.Subject {
						continue
					}
					found++
					if o.Defect != "" {
						t.Errorf("%s: %s: defect: %s", at, o.Subject.Label(), o.Defect)
					}
					if string(o.Result) != x.Expect {
						t.Errorf("%s: %s is %s, want %s\n%s\n%s", at, o.Subject.Label(), o.Result, x.Expect, o.Why(), o.Work())
					}
				}
				if found == 0 {
					t.Errorf("%s: no subject %q", at, x.Subject)
				}
			}
			if !seen["met"] || !(seen["not met"] || seen["undetermined"]) {
				t.Errorf("%s needs an example that is met and one that is not", c.At.Position())
			}
		})
	}
}
