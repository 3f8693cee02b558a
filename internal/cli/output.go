package cli

import (
	"bytes"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"plumbrule/internal/drawing"
	"plumbrule/internal/paper"
	"plumbrule/internal/quantity"
	"plumbrule/internal/report"
	"plumbrule/internal/review"
)

// writer makes one file of finished reviews.
type writer struct {
	ending string
	makes  string
	many   bool // one file takes several jobs
	write  func(w io.Writer, list []*review.Review, o paper.Options) error
}

// writers lists the kinds of files that check --write makes. Where one ending
// is the end of another the longer comes first.
var writers = []writer{
	{".json", "the review as data", true, plain(writeJSON)},
	{".sarif", "annotations for build servers and editors", true, func(w io.Writer, list []*review.Review, o paper.Options) error {
		return report.SARIF(w, list, o.Version)
	}},
	{".csv", "a table of the outcomes", true, plain(report.CSV)},
	{".checklist.md", "the field checklist", false, alone(paper.ChecklistMarkdown)},
	{".md", "the correction letter", false, alone(paper.LetterMarkdown)},
	{".html", "letter, drawings, calculations and field checklist in one page", false, alone(paper.HTML)},
	{".oneline.svg", "the one-line diagram", false, drawn(drawing.OneLine)},
	{".svg", "the roof plan", false, drawn(drawing.RoofPlan)},
}

// plain, alone and drawn fit the writers of package report.
func plain(f func(io.Writer, []*review.Review) error) func(io.Writer, []*review.Review, paper.Options) error {
	return func(w io.Writer, list []*review.Review, _ paper.Options) error { return f(w, list) }
}

func alone(f func(io.Writer, *review.Review, paper.Options) error) func(io.Writer, []*review.Review, paper.Options) error {
	return func(w io.Writer, list []*review.Review, o paper.Options) error { return f(w, list[0], o) }
}

func drawn(f func(io.Writer, *review.Review, drawing.Options) error) func(io.Writer, []*review.Review, paper.Options) error {
	return func(w io.Writer, list []*review.Review, _ paper.Options) error {
		return f(w, list[0], drawing.Options{})
	}
}

// writerFor finds the writer of a file by its ending.
func writerFor(path string, jobs int) (writer, error) {
	name := strings.ToLower(filepath.Base(path))
	for _, w := range writers {
		if !strings.HasSuffix(name, w.ending) {
			continue
		}
		if jobs > 1 && !w.many {
			return writer{}, wrong("--write %s: a %s file is about one job; name one job, or run once for each", path, w.ending)
		}
		return w, nil
	}
	known := make([]string, len(writers))
	for i, w := range writers {
		known[i] = w.ending
	}
	return writer{}, wrong("--write %s: the ending says what is written; expected one of %s%s", path, strings.Join(known, ", "), quantity.DidYouMean(filepath.Ext(name), known))
}

// endings says, a line of help each, what the endings make.
func endings() string {
	var b strings.Builder
	aligned(&b, func(line func(...string)) {
		for _, w := range writers {
			note := ""
			if w.many {
				note = " (several jobs in one file)"
			}
			line("  "+w.ending, w.makes+note)
		}
	})
	return b.String()
}

func writeJSON(w io.Writer, list []*review.Review) error {
	if len(list) == 1 {
		return report.JSON(w, list[0])
	}
	return report.JSONAll(w, list)
}

func writeText(w io.Writer, list []*review.Review, o report.TextOptions) error {
	for i, r := range list {
		if i > 0 {
			fmt.Fprint(w, "\n\n")
		}
		if err := report.Text(w, r, o); err != nil {
			return err
		}
	}
	return nil
}

// file is one file to be written: by which flag it was asked for, where it
// goes and what it holds.
type file struct {
	flag, path string
	data       []byte
}

// makeFile runs a writer in memory.
func makeFile(flag, path string, write func(io.Writer) error) (file, error) {
	var b bytes.Buffer
	if err := write(&b); err != nil {
		return file{}, failed(err)
	}
	return file{flag, path, b.Bytes()}, nil
}

// different refuses two files in one place.
func different(paths []string) error {
	for i, p := range paths {
		for _, q := range paths[:i] {
			if filepath.Clean(p) == filepath.Clean(q) {
				return wrong("%s is to be written twice", p)
			}
		}
	}
	return nil
}

// writeFiles writes every file whole or not at all: each first under another
// name in the same folder, and only when all are there are they renamed. It
// refuses to write over a file that a review read.
func writeFiles(files []file, reviews []*review.Review) (err error) {
	for _, f := range files {
		if err := mayWrite(f, reviews); err != nil {
			return err
		}
	}
	var staged []string
	defer func() {
		for _, s := range staged { // those renamed are gone
			os.Remove(s)
		}
	}()
	for _, f := range files {
		s, err := stage(f)
		if err != nil {
			return err
		}
		staged = append(staged, s)
	}
	for i, f := range files {
		if err := os.Rename(staged[i], f.path); err != nil {
			return failed(err)
		}
	}
	return nil
}

func mayWrite(f file, reviews []*review.Review) error {
	info, err := os.Stat(f.path)
	if err != nil {
		return nil // there is no such file yet, or staging will say what is wrong
	}
	if !info.Mode().IsRegular() {
		return wrong("%s %s: not a regular file", f.flag, f.path)
	}
	for _, r := range reviews {
		for _, in := range r.Job.Files {
			if read, err := os.Stat(in.Name); err == nil && os.SameFile(info, read) {
				return wrong("%s %s: this file is part of the job", f.flag, f.path)
			}
		}
	}
	return nil
}

// stage writes a file beside its place and gives the name it has there.
func stage(f file) (string, error) {
	name := f.path + "." + rand.Text() + ".part"
	w, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return "", wrong("%s %s: no file can be made there", f.flag, f.path)
	}
	_, err = w.Write(f.data)
	if err = errors.Join(err, w.Close()); err != nil {
		os.Remove(name)
		return "", failed(err)
	}
	return name, nil
}
