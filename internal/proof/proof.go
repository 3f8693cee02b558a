// Package proof runs the examples of checks: each is a job of a folder with
// changes, and the outcome that the check must give for it. The command that
// proves a rule file, the sheets and the tests of the project's own rules all
// run them here.
package proof

import (
	"fmt"
	"path/filepath"
	"strings"
	"sync"

	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
	"plumbrule/internal/parallel"
	"plumbrule/internal/review"
	"plumbrule/internal/source"
	"plumbrule/internal/table"
)

// Bench holds what examples are run with. It may be shared.
type Bench struct {
	dir    string
	book   *codebook.Codebook
	tables *table.Set
	under  func(*job.Job) *job.Job // the job under the word of an authority; nil: as it is

	mu    sync.Mutex
	trees map[string]*job.Tree
}

// New makes a bench with the jobs of a folder. The checks that are proven must
// be in the codebook.
func New(dir string, book *codebook.Codebook, tables *table.Set) *Bench {
	return &Bench{dir: dir, book: book, tables: tables, trees: map[string]*job.Tree{}}
}

// Under has every example run under the word of an authority.
func (b *Bench) Under(word func(*job.Job) *job.Job) *Bench {
	b.under = word
	return b
}

// Run gives the outcomes of an example for the subjects that it looks at. The
// error says why it cannot be run.
func (b *Bench) Run(c *codebook.Check, x codebook.Example) ([]*review.Outcome, error) {
	_, out, err := b.run(b.book, c, x)
	return out, err
}

// run is Run with a codebook, and with the review that the outcomes are of.
func (b *Bench) run(book *codebook.Codebook, c *codebook.Check, x codebook.Example) (*review.Review, []*review.Outcome, error) {
	tree, err := b.tree(x.Job)
	if err != nil {
		return nil, nil, err
	}
	if tree, err = tree.With(job.Edits{Set: x.Set, Unset: x.Unset, Added: x.Add}); err != nil {
		return nil, nil, err
	}
	j, err := tree.Job()
	if err != nil {
		return nil, nil, err
	}
	if b.under != nil {
		j = b.under(j)
	}
	r, err := review.Run(j, book, b.tables, review.Options{Only: []string{c.ID}})
	if err != nil {
		return nil, nil, err
	}
	var out []*review.Outcome
	for i := range r.Outcomes {
		if o := &r.Outcomes[i]; x.Subject == "" || o.Subject.Name == x.Subject {
			out = append(out, o)
		}
	}
	if len(out) == 0 {
		return nil, nil, fmt.Errorf("the job has no %s %q", c.Each.Name, x.Subject)
	}
	return r, out, nil
}

// RunAll gives the outcomes of every example of some checks, by check and
// example; the errors stand beside them.
func (b *Bench) RunAll(checks []*codebook.Check) (outcomes [][][]*review.Outcome, errs [][]error) {
	type slot struct{ check, example int }
	var slots []slot
	outcomes, errs = make([][][]*review.Outcome, len(checks)), make([][]error, len(checks))
	for i, c := range checks {
		outcomes[i], errs[i] = make([][]*review.Outcome, len(c.Examples)), make([]error, len(c.Examples))
		for n := range c.Examples {
			slots = append(slots, slot{i, n})
		}
	}
	parallel.Each(len(slots), func(i int) {
		s := slots[i]
		c := checks[s.check]
		outcomes[s.check][s.example], errs[s.check][s.example] = b.Run(c, c.Examples[s.example])
	})
	return outcomes, errs
}

// tree reads a job of the folder, once.
func (b *Bench) tree(name string) (*job.Tree, error) {
	if !filepath.IsLocal(name) {
		return nil, fmt.Errorf("the job %q is not in the folder of jobs", name)
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	if t := b.trees[name]; t != nil {
		return t, nil
	}
	t, err := job.LoadTree(filepath.Join(b.dir, name+".toml"))
	if err == nil {
		b.trees[name] = t
	}
	return t, err
}

// Fault is something that keeps a check from being proven, at a place of its
// rule file.
type Fault struct {
	At   source.Span
	Says string
}

// String gives the fault with its place.
func (f Fault) String() string { return fmt.Sprintf("%s: %s", f.At.Position(), f.Says) }

// Faults lists what keeps the examples of some checks from proving them, in the
// order of the checks.
func (b *Bench) Faults(checks []*codebook.Check) []Fault {
	outcomes, errs := b.RunAll(checks)
	var faults []Fault
	for i, c := range checks {
		faults = append(faults, faultsOf(c, outcomes[i], errs[i])...)
	}
	return faults
}

// faultsOf lists what keeps the examples of a check from proving it.
func faultsOf(c *codebook.Check, outcomes [][]*review.Outcome, errs []error) (faults []Fault) {
	seen := map[string]bool{}
	for n, x := range c.Examples {
		seen[x.Expect] = true
		if err := errs[n]; err != nil {
			faults = append(faults, Fault{x.At, "the example cannot be run: " + strings.ReplaceAll(err.Error(), "\n", "; ")})
		}
		for _, o := range outcomes[n] {
			if string(o.Result) != x.Expect || o.Defect != "" {
				faults = append(faults, Fault{x.At, fmt.Sprintf("%s is %s, expected %s%s", o.Subject.Label(), o.Result, x.Expect, why(o))})
			}
		}
	}
	at := c.At
	if n := len(c.Amended); n > 0 {
		at = c.Amended[n-1].At
	}
	switch {
	case c.Off != "" && !seen[string(review.NotApplicable)]:
		faults = append(faults, Fault{at, c.ID + " holds nowhere, and no example is not applicable"})
	case c.Off == "" && (!seen[string(review.Met)] || !seen[string(review.NotMet)] && !seen[string(review.Undetermined)]):
		faults = append(faults, Fault{at, "no example that is met, or none that is not"})
	}
	return faults
}

// why tells what an outcome found, with the numbers.
func why(o *review.Outcome) string {
	if o.Measure != nil && o.Limit != nil {
		return fmt.Sprintf(": %s, %s %s", o.Measure.Text, o.LimitKind, o.Limit.Text)
	}
	for _, reason := range []string{o.Finding, o.Why()} {
		if first, _, _ := strings.Cut(reason, "\n"); first != "" {
			return ": " + first
		}
	}
	return ""
}
