package cli

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"plumbrule/internal/bound"
	"plumbrule/internal/codebook"
	"plumbrule/internal/proof"
	"plumbrule/internal/source"
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
func loadRules(base *codebook.Codebook, paths []string) (*codebook.Codebook, error) {
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
	book, err := base.Add(files)
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
	case info.Size() > bound.FileBytes:
		return nil, ruleFault(name, fmt.Sprintf("the file is larger than %d MB", bound.FileBytes>>20))
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

// prove loads rule files strictly and, given a folder of jobs, runs their
// examples. An example that does not hold is outstanding. A file that is one of
// the project's own stands in its place.
func (p *program) prove(out io.Writer, paths []string, jobs string) error {
	book, err := p.loadBook()
	if err != nil {
		return err
	}
	more, err := loadRules(book, paths)
	if err != nil {
		return err
	}
	if jobs == "" {
		fmt.Fprintf(out, "%s loaded; --jobs DIR runs the examples\n", count(len(more.Checks), "check"))
		return nil
	}
	tables, err := p.loadTables()
	if err != nil {
		return err
	}
	faults := proof.New(jobs, book.With(more), tables).Faults(more.Checks)
	for _, f := range faults {
		fmt.Fprintln(out, visible(f.String()))
	}
	ran := 0
	for _, c := range more.Checks {
		ran += len(c.Examples)
	}
	fmt.Fprintf(out, "%s, %s run, %d wanting\n", count(len(more.Checks), "check"), count(ran, "example"), len(faults))
	if len(faults) > 0 {
		return &exit{code: exitOutstanding}
	}
	return nil
}

func count(n int, what string) string {
	if n != 1 {
		what += "s"
	}
	return fmt.Sprintf("%d %s", n, what)
}
