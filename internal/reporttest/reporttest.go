// Package reporttest holds the jobs, rules and golden files that the tests of
// the reports share.
package reporttest

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"sync"
	"testing"

	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
	"plumbrule/internal/review"
	"plumbrule/internal/table"
)

// root is a place in the project, whichever package is tested.
func root(path string) string {
	_, file, _, _ := runtime.Caller(0)
	return filepath.Join(filepath.Dir(file), "../..", path)
}

// own reads a job of this package under its short name, which golden files
// show.
func own(name string) (*job.Tree, error) {
	read := func(path string) ([]byte, error) { return os.ReadFile(root("internal/reporttest/" + path)) }
	text, err := read(name)
	if err != nil {
		return nil, err
	}
	return job.Read(name, text, func(path string) ([]byte, error) { return read(path) })
}

// DemoJobs are demo jobs of the project; in short tests two of them.
func DemoJobs() []string {
	if testing.Short() {
		return []string{"house-faulty", "barn"}
	}
	return []string{"house", "house-faulty", "barn", "barn-faulty"}
}

// Demo reviews a demo job under the project's own rules.
func Demo(t testing.TB, name string) *review.Review {
	t.Helper()
	j, err := job.Load(root("testdata/jobs/" + name + ".toml"))
	if err != nil {
		t.Fatal(err)
	}
	return Reviewed(t, j)
}

// Reviewed reviews a job under the project's own rules.
func Reviewed(t testing.TB, j *job.Job) *review.Review {
	t.Helper()
	r, err := review.Run(j, OwnRules(t), OwnTables(t), review.Options{Leave: review.Leave{Stated: true}})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Roof reviews the small roof of the papers, some of it altered first.
func Roof(t testing.TB, edits job.Edits) *review.Review {
	t.Helper()
	tree, err := own("testdata/papers/job.toml")
	if err != nil {
		t.Fatal(err)
	}
	if tree, err = tree.With(edits); err != nil {
		t.Fatal(err)
	}
	j, err := tree.Job()
	if err != nil {
		t.Fatal(err)
	}
	b, err := codebook.Load(os.DirFS(root("internal/reporttest/testdata/papers/rules")))
	if err != nil {
		t.Fatal(err)
	}
	r, err := review.Run(j, b, OwnTables(t), review.Options{Leave: review.Leave{Stated: true}})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// hostile is put in place of names and texts of a job.
const hostile = "<script>alert(1)</script><img src=x onerror=alert(2)> | `pipe` [a](javascript:x) *b* \"q\" 'r' &amp; https://x.test\n# head\n| --- |\u202e"

// HostileRoof is the small roof with hostile text wherever a job has text.
func HostileRoof(t *testing.T) *review.Review {
	t.Helper()
	text, err := os.ReadFile(root("internal/reporttest/testdata/papers/job.toml"))
	if err != nil {
		t.Fatal(err)
	}
	for _, word := range []string{
		"Trial roof", "2 Test Lane", "Trial County", "Trial Drafting", "Trial Electric", "T-1", "B",
		"south", "later", "M410", "rails", "lag", "S1", "inverter 1", "I1", "L1", "disconnect", "roof plan", "manual", "PV-2",
		"looked at on site", "J. Plans Examiner",
	} {
		text = bytes.ReplaceAll(text, []byte(`"`+word+`"`), []byte(strconv.Quote(word+hostile)))
	}
	south := strings.TrimSuffix(strconv.Quote("south"+hostile), `"`)
	text = bytes.ReplaceAll(text, []byte(`"south line`), []byte(south+" line"))
	j, err := job.Parse("<b>|x`.toml", text, nil)
	if err != nil {
		t.Fatal(err)
	}
	b, err := codebook.Load(os.DirFS(root("internal/reporttest/testdata/papers/rules")))
	if err != nil {
		t.Fatal(err)
	}
	r, err := review.Run(j, b, OwnTables(t), review.Options{Leave: review.Leave{Stated: true}})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Run `go test ./internal/report -update` to rewrite the golden files, and
// read the difference before keeping it.
var update = flag.Bool("update", false, "rewrite the golden files")

// Trial reviews the job of the tests, some of it altered first.
func Trial(t testing.TB, edits job.Edits) *review.Review {
	t.Helper()
	tree, err := own("testdata/job.toml")
	if err != nil {
		t.Fatal(err)
	}
	if tree, err = tree.With(edits); err != nil {
		t.Fatal(err)
	}
	j, err := tree.Job()
	if err != nil {
		t.Fatal(err)
	}
	r, err := review.Run(j, Book(t), OwnTables(t), review.Options{Leave: review.Leave{Stated: true}})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func Book(t testing.TB) *codebook.Codebook {
	t.Helper()
	b, err := codebook.Load(os.DirFS(root("internal/reporttest/testdata/rules")))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// Find gives the outcome of a check for a subject.
func Find(t *testing.T, r *review.Review, check, subject string) *review.Outcome {
	t.Helper()
	for i := range r.Outcomes {
		if o := &r.Outcomes[i]; o.Check.ID == check && o.Subject.Label() == subject {
			return o
		}
	}
	t.Fatalf("no outcome of %s for %s", check, subject)
	return nil
}

// Clear alters the job so that nothing is outstanding.
var Clear = job.Edits{
	Set: map[string]any{
		"site.record_low":          "-5 degC",
		"overcurrent.F1.rating":    "15 A",
		"overcurrent.F2.rating":    "15 A",
		"overcurrent.F3 大門.rating": "15 A",
		"label.DC placard.place":   "disconnect",
	},
	Unset: []string{"overcurrent.F4", "overcurrent.F5", "deviation"},
}

func Golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", "golden", name)
	if *update {
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("%s differs; run with -update and read the difference\n--- got\n%s\n--- want\n%s", path, got, want)
	}
}

var loadRules = sync.OnceValues(func() (*codebook.Codebook, error) { return codebook.Load(os.DirFS(root("rules"))) })

var loadTables = sync.OnceValues(func() (*table.Set, error) { return table.Load(os.DirFS(root("rules")), "tables") })

// OwnRules are the project's own checks, ownTables its tables; loaded once.
func OwnRules(t testing.TB) *codebook.Codebook {
	t.Helper()
	b, err := loadRules()
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func OwnTables(t testing.TB) *table.Set {
	t.Helper()
	s, err := loadTables()
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// Drawn reviews a demo job by the project's own rules.
func Drawn(t testing.TB, name string, edits job.Edits, only []string) *review.Review {
	t.Helper()
	tree, err := job.LoadTree(root("testdata/jobs/" + name + ".toml"))
	if err != nil {
		t.Fatal(err)
	}
	if tree, err = tree.With(edits); err != nil {
		t.Fatal(err)
	}
	j, err := tree.Job()
	if err != nil {
		t.Fatal(err)
	}
	r, err := review.Run(j, OwnRules(t), OwnTables(t), review.Options{Only: only, Leave: review.Leave{Stated: true}})
	if err != nil {
		t.Fatal(err)
	}
	return r
}
