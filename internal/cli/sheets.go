package cli

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"plumbrule/internal/guide"
	"plumbrule/internal/proof"
	"plumbrule/internal/report"
	"plumbrule/internal/review"
	"plumbrule/internal/wording"
)

// writeSheets writes a page for each check, those of the guide and an index into
// a new folder, whole or not at all. Given a folder of jobs, the examples are run against
// them and the pages show what came out.
func (p *program) writeSheets(out io.Writer, dir, jobs string, folders []string) error {
	if err := isNew(dir); err != nil {
		return err
	}
	book, err := p.loadSheets(folders...)
	if err != nil {
		return err
	}
	rows, err := book.Scope(p.rules)
	if err != nil {
		return failed(err)
	}
	ran := make([][][]*review.Outcome, len(book.Checks))
	if jobs != "" {
		tables, err := p.loadTables()
		if err != nil {
			return err
		}
		var errs [][]error
		ran, errs = proof.New(jobs, book, tables).RunAll(book.Checks)
		for i, c := range book.Checks {
			for n, err := range errs[i] {
				if err != nil {
					return wrong("--jobs %s: %s: %w", jobs, c.Examples[n].At.Position(), err)
				}
			}
		}
	}
	pages := map[string][]byte{}
	for i, c := range book.Checks {
		var page bytes.Buffer
		if err := report.SheetPage(&page, c, rows, ran[i], wording.MadeWith(shortVersion(), book)); err != nil {
			return failed(err)
		}
		pages[report.SheetFile(c)] = page.Bytes()
	}
	var index bytes.Buffer
	if err := report.SheetIndex(&index, book, rows, shortVersion()); err != nil {
		return failed(err)
	}
	fmt.Fprint(&index, "\n## The job file\n\n")
	for _, page := range guide.Pages() {
		file := "guide/" + page.Name + ".md"
		pages[file] = []byte(page.Text)
		fmt.Fprintf(&index, "- [%s](%s)\n", page.Title, file)
	}
	pages["index.md"] = index.Bytes()
	if err := put(nil, product{"--sheets", dir, true, func(s *stage, name string) error { return makeFolder(s, dir, name, pages) }}); err != nil {
		return err
	}
	fmt.Fprintf(out, "%s in %s\n", count(len(pages), "page"), filepath.ToSlash(dir))
	return nil
}

// isNew refuses a folder that holds anything: what is there stays.
func isNew(dir string) error {
	list, err := os.ReadDir(dir)
	switch {
	case err == nil && len(list) > 0:
		return wrong("--sheets %s: the folder holds something already; name a new one", dir)
	case err != nil && !os.IsNotExist(err):
		return wrong("--sheets %s: not a folder", dir)
	}
	return nil
}

// makeFolder makes a folder of pages under the given name, and takes away the
// empty one that stands where it goes, which not every system renames over.
func makeFolder(s *stage, dir, name string, pages map[string][]byte) error {
	if err := s.step(func() error { return os.Mkdir(name, 0o777) }); err != nil {
		return wrong("--sheets %s: no folder can be made there", dir)
	}
	for page, text := range pages {
		path := filepath.Join(name, filepath.FromSlash(page))
		err := s.step(func() error {
			return errors.Join(os.MkdirAll(filepath.Dir(path), 0o777), os.WriteFile(path, text, 0o666))
		})
		if err != nil {
			return failed(err)
		}
	}
	return nil
}
