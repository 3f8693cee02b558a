// Package proof runs the examples of checks. An example is a job with a few
// changes and the outcome that the check must give for it; the jobs are the
// files of one folder.
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
	"plumbrule/internal/table"
)

// Bench runs examples against the jobs of a folder. It reads each job once and
// may be used from several goroutines.
type Bench struct {
	folder string
	book   *codebook.Codebook
	tables *table.Set

	mu    sync.Mutex
	trees map[string]func() (*job.Tree, error) // by the name of the job
}

// New makes a bench. Every check that will be proven is one of the codebook.
func New(folder string, book *codebook.Codebook, tables *table.Set) *Bench {
	return &Bench{folder: folder, book: book, tables: tables, trees: map[string]func() (*job.Tree, error){}}
}

// Proof is what the examples of one check gave.
type Proof struct {
	Check  *codebook.Check
	Trials []Trial // one for each example, in the order of the rule file
}

// Trial is what one example gave: the outcomes for the subjects that it looks
// at, or why it cannot be run.
type Trial struct {
	Example  codebook.Example
	Outcomes []*review.Outcome
	Err      error
}

// ProveAll runs the examples of each check, side by side.
func (b *Bench) ProveAll(checks []*codebook.Check) []*Proof {
	out := make([]*Proof, len(checks))
	parallel.Each(len(checks), func(i int) { out[i] = b.Prove(checks[i]) })
	return out
}

// Prove runs the examples of one check.
func (b *Bench) Prove(c *codebook.Check) *Proof {
	p := &Proof{Check: c}
	for _, x := range c.Examples {
		outcomes, err := b.run(c, x)
		p.Trials = append(p.Trials, Trial{x, outcomes, err})
	}
	return p
}

// run holds one check against the job of an example with its changes.
func (b *Bench) run(c *codebook.Check, x codebook.Example) ([]*review.Outcome, error) {
	tree, err := b.tree(x.Job)
	if err != nil {
		return nil, err
	}
	if tree, err = tree.With(job.Edits{Set: x.Set, Unset: x.Unset}); err != nil {
		return nil, err
	}
	j, err := tree.Job()
	if err != nil {
		return nil, err
	}
	r, err := review.Run(j, b.book, b.tables, review.Options{Only: []string{c.ID}})
	if err != nil {
		return nil, err
	}
	// One check gives one outcome for each subject of its kind, in their order.
	subjects := r.Model.Subjects(c.Each.Name)
	var out []*review.Outcome
	for i := range r.Outcomes {
		if x.Subject == "" || subjects[i].Name == x.Subject {
			out = append(out, &r.Outcomes[i])
		}
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("the job has no %s %q", c.Each.Name, x.Subject)
	}
	return out, nil
}

// tree gives a job of the folder by its name without ".toml".
func (b *Bench) tree(name string) (*job.Tree, error) {
	if !filepath.IsLocal(name) {
		return nil, fmt.Errorf("the job %q is not in the folder of jobs", name)
	}
	b.mu.Lock()
	load := b.trees[name]
	if load == nil {
		load = sync.OnceValues(func() (*job.Tree, error) { return job.LoadTree(filepath.Join(b.folder, name+".toml")) })
		b.trees[name] = load
	}
	b.mu.Unlock()
	return load()
}

// Wanting lists what keeps the examples from proving the check, a line each,
// with its place in the rule file; nothing when they do.
func (p *Proof) Wanting() []string {
	var lines []string
	seen := map[string]bool{}
	for _, t := range p.Trials {
		x := t.Example
		seen[x.Expect] = true
		if t.Err != nil {
			lines = append(lines, fmt.Sprintf("%s: the example cannot be run: %s", x.At.Position(), strings.ReplaceAll(t.Err.Error(), "\n", "; ")))
		}
		for _, o := range t.Outcomes {
			if string(o.Result) != x.Expect || o.Defect != "" {
				lines = append(lines, fmt.Sprintf("%s: %s is %s, expected %s%s", x.At.Position(), o.Subject, o.Result, x.Expect, why(o)))
			}
		}
	}
	if !seen[string(review.Met)] || !seen[string(review.NotMet)] && !seen[string(review.Undetermined)] {
		lines = append(lines, fmt.Sprintf("%s: no example that is met, or none that is not", p.Check.At.Position()))
	}
	return lines
}

func why(o *review.Outcome) string {
	for _, reason := range []string{o.Finding, o.Reason} {
		if first, _, _ := strings.Cut(reason, "\n"); first != "" {
			return ": " + first
		}
	}
	return ""
}
