package review

import (
	"path/filepath"
	"sync"
	"testing"

	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
	"plumbrule/internal/table"
	"plumbrule/rules"
)

var tablesOnce = sync.OnceValues(func() (*table.Set, error) { return table.Load(rules.FS, "tables") })

var loadOnce = sync.OnceValues(func() (*codebook.Codebook, error) { return codebook.Load(rules.FS) })

func book(t testing.TB) (*codebook.Codebook, *table.Set) {
	t.Helper()
	b, err := loadOnce()
	if err != nil {
		t.Fatal(err)
	}
	tables, err := tablesOnce()
	if err != nil {
		t.Fatal(err)
	}
	return b, tables
}

const jobs = "../../testdata/jobs"

// edited reads a demo job with an example's changes.
func edited(t testing.TB, name string, edits job.Edits) *job.Job {
	t.Helper()
	tree, err := job.LoadTree(filepath.Join(jobs, name+".toml"))
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
	return j
}
