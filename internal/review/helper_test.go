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
