package cli

import (
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"plumbrule/internal/bound"
	"plumbrule/internal/job"
	"plumbrule/internal/source"
)

// fromInput is the name of the job that stands on standard input, in commands and
// in reports.
const fromInput = "-"

// gathered is what the names on the command line lead to.
type gathered struct {
	many   bool     // there are several jobs
	input  []byte   // the job of standard input
	passed []string // what folders hold besides jobs, with what it is
}

// gather lists the jobs that the names lead to: files, folders with all jobs below
// them in the order of their paths, and standard input. A job that is named twice
// is reviewed once.
func (g *gathered) gather(names []string, stdin io.Reader) ([]string, error) {
	var jobs []string
	var faults source.Faults
	refuse := func(name, message string) {
		faults = append(faults, source.Fault{At: source.Span{File: &source.File{Name: filepath.ToSlash(name)}}, Message: message})
	}
	add := func(path string) {
		if !slices.Contains(jobs, path) {
			jobs = append(jobs, path)
		}
	}
	for _, name := range names {
		if name == fromInput {
			if g.input != nil {
				return nil, wrong("standard input holds one job, and - stands twice")
			}
			text, err := io.ReadAll(io.LimitReader(stdin, bound.FileBytes+1)) // one byte more shows that it is too large
			if err != nil {
				return nil, wrong("standard input cannot be read")
			}
			g.input = append([]byte{}, text...)
			add(name)
			continue
		}
		if info, err := os.Stat(name); err != nil || !info.IsDir() {
			add(name) // what is wrong with it is said when it is read
			continue
		}
		found, err := tomlBelow(name)
		if err != nil {
			refuse(name, "the folder cannot be read")
			continue
		}
		mine, passed := job.Sort(found, job.ReadFile)
		for _, path := range mine {
			add(path)
		}
		g.passed = append(g.passed, passed...)
		if len(mine) == 0 {
			message := "no job in this folder or below it"
			if len(passed) > 0 {
				message += "; passed over: " + strings.Join(passed, ", ")
			}
			refuse(name, message)
		}
	}
	if err := faults.Err(); err != nil {
		return nil, &exit{exitInput, err}
	}
	return jobs, nil
}

// tomlBelow lists the TOML files in a folder and below it, in the order of their
// paths, without what begins with a dot. Links to folders are not followed.
func tomlBelow(dir string) (files []string, err error) {
	err = filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case path != dir && strings.HasPrefix(d.Name(), "."):
			if d.IsDir() {
				return fs.SkipDir
			}
		case !d.IsDir() && strings.EqualFold(filepath.Ext(path), ".toml"):
			files = append(files, filepath.ToSlash(filepath.Clean(path)))
		}
		return nil
	})
	slices.Sort(files)
	return files, err
}

// load reads a job of the command line.
func (o *checkFlags) load(path string) (*job.Job, error) {
	if path != fromInput || o.input == nil {
		return o.outside.load(path)
	}
	tree, err := job.LoadConfined(path, o.outside, func(name string) ([]byte, error) {
		if name == fromInput {
			return o.input, nil
		}
		return job.ReadFile(name)
	})
	if err != nil {
		return nil, err
	}
	return tree.Job()
}
