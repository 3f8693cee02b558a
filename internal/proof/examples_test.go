package proof

import (
	"testing"

	"plumbrule/internal/codebook"
	"plumbrule/internal/table"
	"plumbrule/rules"
)

const jobs = "../../testdata/jobs"

// Every check of the project proves itself.
func TestExamples(t *testing.T) {
	book, err := codebook.Load(rules.FS)
	if err != nil {
		t.Fatal(err)
	}
	tables, err := table.Load(rules.FS, "tables")
	if err != nil {
		t.Fatal(err)
	}
	bench := New(jobs, book, tables)
	for _, c := range book.Checks {
		t.Run(c.ID, func(t *testing.T) {
			t.Parallel()
			p := bench.Prove(c)
			for _, line := range p.Wanting() {
				t.Error(line)
			}
			if len(p.Trials) != len(c.Examples) || len(p.Trials) == 0 {
				t.Errorf("%d of %d examples were run", len(p.Trials), len(c.Examples))
			}
		})
	}
}
