package cli

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
	"plumbrule/internal/review"
	"plumbrule/internal/source"
	"plumbrule/internal/table"
)

// ruleFilesIn lists the rule files in the folders of a folder.
func ruleFilesIn(dir string) ([]string, error) {
	names, err := fs.Glob(os.DirFS(dir), "*/*.toml")
	if err == nil && len(names) == 0 {
		_, err = os.Stat(dir)
	}
	switch {
	case err != nil:
		return nil, ruleFault(dir, "there is no such folder")
	case len(names) == 0:
		return nil, ruleFault(dir, "no rule files; they stand in a folder for each discipline, such as "+filepath.ToSlash(filepath.Join(dir, "fire", "setback.toml")))
	}
	for i, n := range names {
		names[i] = filepath.Join(dir, filepath.FromSlash(n))
	}
	return names, nil
}

func ruleFault(name, message string) error {
	return &exit{exitInput, source.Faults{{At: source.Span{File: &source.File{Name: name}}, Message: message}}}
}

// loadRules reads rule files that nobody has proven: each in full, with the
// schema and every expression. Every fault of every file is given.
func loadRules(paths []string) (*codebook.Codebook, error) {
	var files []*source.File
	var errs []error
	for _, p := range paths {
		f, err := readRule(p)
		files, errs = append(files, f), append(errs, err)
	}
	if err := errors.Join(errs...); err != nil {
		var faults source.Faults
		for _, err := range errs {
			faults = append(faults, faultsOf(err)...)
		}
		return nil, &exit{exitInput, faults.Err()}
	}
	book, err := codebook.New(files)
	if err != nil {
		return nil, &exit{exitInput, err}
	}
	return book, nil
}

func readRule(path string) (*source.File, error) {
	name := filepath.ToSlash(filepath.Clean(path))
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, ruleFault(name, "there is no such file")
	case err != nil:
		return nil, ruleFault(name, "the file cannot be read")
	case info.IsDir():
		return nil, ruleFault(name, "it is a folder, not a file")
	case info.Size() > source.MaxSize:
		return nil, ruleFault(name, fmt.Sprintf("the file is larger than %d MB", source.MaxSize>>20))
	case !strings.Contains(name, "/") || !strings.HasSuffix(name, ".toml"):
		return nil, ruleFault(name, "a rule file is named with the folder of its discipline and ends in .toml, such as fire/setback.toml")
	}
	text, err := os.ReadFile(path)
	if err != nil {
		return nil, ruleFault(name, "the file cannot be read")
	}
	return source.NewFile(name, text), nil
}

// clashes refuses added checks that have the name of one that is there.
func clashes(book, more *codebook.Codebook) error {
	var faults source.Faults
	for _, c := range more.Checks {
		if book.Check(c.ID) != nil {
			faults.Add(c.At, "there is already a check %s; an added check has a name of its own", c.ID)
		}
	}
	if err := faults.Err(); err != nil {
		return &exit{exitInput, err}
	}
	return nil
}

// bench runs the examples of checks against the jobs of a folder.
type bench struct {
	dir    string
	book   *codebook.Codebook
	tables *table.Set
	trees  map[string]*job.Tree
}

// run gives the outcomes of an example: the check held against its job with
// the changes made, for the subjects that the example looks at.
func (b *bench) run(c *codebook.Check, x codebook.Example) ([]*review.Outcome, error) {
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
	var out []*review.Outcome
	for i := range r.Outcomes {
		if o := &r.Outcomes[i]; x.Subject == "" || o.Subject.Name == x.Subject {
			out = append(out, o)
		}
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("the job has no %s %q", c.Each.Name, x.Subject)
	}
	return out, nil
}

func (b *bench) tree(name string) (*job.Tree, error) {
	if t := b.trees[name]; t != nil {
		return t, nil
	}
	if !filepath.IsLocal(name) {
		return nil, fmt.Errorf("the job %q is not in the folder of jobs", name)
	}
	t, err := job.LoadTree(filepath.Join(b.dir, name+".toml"))
	if err == nil {
		b.trees[name] = t
	}
	return t, err
}

// prove loads rule files strictly and, given a folder of jobs, runs their
// examples. An example that does not hold is outstanding.
func (p *program) prove(out io.Writer, paths []string, jobs string) error {
	more, err := loadRules(paths)
	if err != nil {
		return err
	}
	if jobs == "" {
		fmt.Fprintf(out, "%s loaded; --jobs DIR runs the examples\n", count(len(more.Checks), "check"))
		return nil
	}
	book, err := p.loadBook()
	if err != nil {
		return err
	}
	tables, err := p.loadTables()
	if err != nil {
		return err
	}
	b := &bench{jobs, book.With(more), tables, map[string]*job.Tree{}}
	ran, wanting := 0, 0
	for _, c := range more.Checks {
		for _, fault := range b.proof(c) {
			wanting++
			fmt.Fprintln(out, visible(fault))
		}
		ran += len(c.Examples)
	}
	fmt.Fprintf(out, "%s, %s run, %d wanting\n", count(len(more.Checks), "check"), count(ran, "example"), wanting)
	if wanting > 0 {
		return &exit{code: exitOutstanding}
	}
	return nil
}

// proof lists what keeps the examples of a check from proving it.
func (b *bench) proof(c *codebook.Check) (faults []string) {
	seen := map[string]bool{}
	for _, x := range c.Examples {
		seen[x.Expect] = true
		outcomes, err := b.run(c, x)
		if err != nil {
			faults = append(faults, fmt.Sprintf("%s: the example cannot be run: %s", x.At.Position(), strings.ReplaceAll(err.Error(), "\n", "; ")))
		}
		for _, o := range outcomes {
			if string(o.Result) != x.Expect || o.Defect != "" {
				faults = append(faults, fmt.Sprintf("%s: %s is %s, expected %s%s", x.At.Position(), o.Subject.Label(), o.Result, x.Expect, why(o)))
			}
		}
	}
	if !seen[string(review.Met)] || !seen[string(review.NotMet)] && !seen[string(review.Undetermined)] {
		faults = append(faults, fmt.Sprintf("%s: no example that is met, or none that is not", c.At.Position()))
	}
	return faults
}

func why(o *review.Outcome) string {
	for _, reason := range []string{o.Finding, o.Why()} {
		if first, _, _ := strings.Cut(reason, "\n"); first != "" {
			return ": " + first
		}
	}
	return ""
}

func count(n int, what string) string {
	if n != 1 {
		what += "s"
	}
	return fmt.Sprintf("%d %s", n, what)
}
