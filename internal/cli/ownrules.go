package cli

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"plumbrule/internal/bound"
	"plumbrule/internal/codebook"
	"plumbrule/internal/quantity"
	"plumbrule/internal/source"
)

// Own rules of a firm or an authority stand in a folder that is laid out as the
// project's: <discipline>/<check>.toml and terms/<kind>/<term>.toml. Every file
// in it is read, or refused: one that was passed over in silence would be a check
// that is not made. Names that begin with a dot, backups of editors (~) and notes
// (.md) are passed over.

const ruleLayout = "expected <discipline>/<check>.toml or terms/<kind>/<term>.toml"

// ruleFilesIn lists the rule files of a folder, in the order of their names. The
// error is source.Faults with every file that has no place there.
func ruleFilesIn(dir string) ([]string, error) {
	info, err := os.Stat(dir)
	switch {
	case err != nil:
		return nil, ruleFault(dir, "there is no such folder")
	case !info.IsDir():
		return nil, ruleFault(dir, "it is a file, not a folder of rules")
	}
	var l ruleList
	l.walk(dir, nil)
	if len(l.files) == 0 && len(l.faults) == 0 {
		return nil, ruleFault(dir, "no rule files; they stand in a folder for each discipline, such as "+filepath.ToSlash(filepath.Join(dir, "fire", "setback.toml")))
	}
	if err := l.faults.Err(); err != nil {
		return nil, &exit{exitInput, err}
	}
	if n := len(l.files); n > bound.RuleFiles {
		return nil, ruleFault(dir, fmt.Sprintf("%d rule files, at most %d are read", n, bound.RuleFiles))
	}
	return l.files, nil
}

type ruleList struct {
	files  []string
	faults source.Faults
}

func (l *ruleList) refuse(name, message, expected, nearest string) {
	l.faults = append(l.faults, source.Fault{At: source.Span{File: &source.File{Name: filepath.ToSlash(name)}}, Message: message, Expected: expected, Nearest: nearest})
}

// walk looks through a folder; below are the names that lead to it from the
// folder of the rules. It tells how many rule files it found.
func (l *ruleList) walk(dir string, below []string) {
	list, err := os.ReadDir(dir)
	if err != nil {
		l.refuse(dir, "the folder cannot be read", "", "")
		return
	}
	before := len(l.files) + len(l.faults)
	for _, entry := range list {
		name := entry.Name()
		if strings.HasPrefix(name, ".") || strings.HasSuffix(name, "~") || strings.HasSuffix(name, ".md") {
			continue
		}
		place := filepath.Join(dir, name)
		info, err := os.Stat(place) // of what a link leads to
		switch {
		case err != nil:
			l.refuse(place, "the file cannot be read", "", "")
		case info.IsDir():
			l.folder(place, name, below)
		default:
			l.file(place, name, below)
		}
	}
	if len(below) > 0 && len(l.files)+len(l.faults) == before {
		l.refuse(dir, "the folder holds no rule file", ruleLayout, "")
	}
}

func (l *ruleList) folder(place, name string, below []string) {
	switch {
	case len(below) == 0 && name == "tables":
		l.refuse(place, "expressions read no tables, so that a table of one's own would not be used", "expected limits as expressions, or terms in terms/<kind>/<term>.toml", "")
	case len(below) == 0 && (name == "sets" || name == "lists"):
		l.refuse(place, "only the project's own rules have "+name, ruleLayout, "")
	case len(below) >= 2 || len(below) == 1 && below[0] != "terms":
		near := ""
		if len(below) == 1 {
			near, _ = quantity.Nearest(below[0], []string{"terms"})
		}
		l.refuse(place, "no rule file is read at this depth", ruleLayout, near)
	default:
		l.walk(place, append(slices.Clone(below), name))
	}
}

func (l *ruleList) file(place, name string, below []string) {
	depth := 1
	if len(below) > 0 && below[0] == "terms" {
		depth = 2
	}
	switch {
	case path.Ext(name) != ".toml":
		near := ""
		if n, ok := quantity.Nearest(path.Ext(name), []string{".toml"}); ok {
			near = strings.TrimSuffix(name, path.Ext(name)) + n
		}
		l.refuse(place, "no rule file: its name does not end in .toml", ruleLayout+"; notes end in .md", near)
	case len(below) != depth && name == "scope.toml" && len(below) == 0:
		l.refuse(place, "only the project's own rules have a scope", ruleLayout, "")
	case len(below) != depth:
		l.refuse(place, "no rule file is read at this depth", ruleLayout, "")
	default:
		l.files = append(l.files, place)
	}
}

func ruleFault(name, message string) error {
	return &exit{exitInput, source.Faults{{At: source.Span{File: &source.File{Name: name}}, Message: message}}}
}

// join adds rule files to a codebook: what results, and what was added. It
// refuses what no review would take.
func (p *program) join(book *codebook.Codebook, files []string) (whole, more *codebook.Codebook, err error) {
	if more, err = loadRules(book, files); err != nil {
		return nil, nil, err
	}
	faults := clashes(book, more)
	whole = book.With(more)
	if len(faults) == 0 && slices.ContainsFunc(more.Checks, func(c *codebook.Check) bool { return len(c.Scope) > 0 }) {
		rows, err := book.Scope(p.rules)
		if err != nil {
			return nil, nil, failed(err)
		}
		faults = unscoped(rows, more)
	}
	if err := faults.Err(); err != nil {
		return nil, nil, &exit{exitInput, err}
	}
	return whole, more, nil
}

// unscoped refuses a row of the scope that is not there.
func unscoped(rows []codebook.ScopeRow, more *codebook.Codebook) (faults source.Faults) {
	ids := make([]string, len(rows))
	for i, r := range rows {
		ids[i] = r.ID
	}
	for _, c := range more.Checks {
		for _, id := range c.Scope {
			if !slices.Contains(ids, id) {
				near, _ := quantity.Nearest(id, ids)
				faults = append(faults, source.Fault{At: c.KeyAt("scope"), Message: fmt.Sprintf("check %s answers %s, which scope.toml does not have", c.ID, id), Nearest: near})
			}
		}
	}
	return faults
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
func clashes(book, more *codebook.Codebook) (faults source.Faults) {
	for _, c := range more.Checks {
		if book.Check(c.ID) != nil {
			faults.Add(c.At, "there is already a check %s; an added check has a name of its own", c.ID)
		}
	}
	return faults
}
