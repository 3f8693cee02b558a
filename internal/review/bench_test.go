package review

import (
	"path/filepath"
	"testing"

	"plumbrule/internal/job"
)

// BenchmarkBarn is the review of the barn with every check, the job and the
// codebook at hand; what comes before is measured beside packages job, table
// and codebook.
func BenchmarkBarn(b *testing.B) {
	codebook, tables := book(b)
	j, err := job.Load(filepath.Join(jobs, "barn.toml"))
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		r, err := Run(j, codebook, tables, Options{})
		if err != nil {
			b.Fatal(err)
		}
		if r.Totals.Met == 0 {
			b.Fatal("nothing was met")
		}
	}
}
