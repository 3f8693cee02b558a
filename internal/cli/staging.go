package cli

import (
	"bufio"
	"crypto/rand"
	"errors"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"plumbrule/internal/review"
	"plumbrule/internal/source"
)

// product is one file or folder that a command makes: by which flag it was
// asked for, where it goes, and what makes it under a name that it is given.
type product struct {
	flag, path string
	make       func(name string) error
}

// put makes every product whole or none at all: each first under another name
// in the folder where it goes, and only when all are there are they renamed.
func put(products ...product) error {
	parts := make([]string, len(products))
	defer func() {
		for _, part := range parts {
			os.RemoveAll(part) // those renamed are gone
		}
	}()
	for i, p := range products {
		parts[i] = place(p.path) + "." + rand.Text() + ".part"
		if err := p.make(parts[i]); err != nil {
			return err
		}
	}
	for i, p := range products {
		if err := os.Rename(parts[i], place(p.path)); err != nil {
			return failed(err)
		}
	}
	return nil
}

// place is where a product goes: what a link leads to is written, and the link
// stays.
func place(path string) string {
	if real, err := filepath.EvalSymlinks(path); err == nil {
		return real
	}
	return filepath.Clean(path)
}

// different refuses two products in one place. Names that differ only in
// capitals are one place on some systems, so they are on all.
func different(paths []string) error {
	for i, p := range paths {
		for _, q := range paths[:i] {
			if strings.EqualFold(place(p), place(q)) {
				return wrong("%s is to be written twice", p)
			}
		}
	}
	return nil
}

// file is one file that a command makes, with what writes it.
type file struct {
	flag, path string
	write      func(io.Writer) error
}

// all writes a text that there is already.
func all(text []byte) func(io.Writer) error {
	return func(w io.Writer) error {
		_, err := w.Write(text)
		return err
	}
}

// writeFiles puts files in their places. It refuses to write over a file that a
// review read.
func writeFiles(files []file, reviews []*review.Review) error {
	products := make([]product, len(files))
	for i, f := range files {
		if err := mayWrite(f, reviews); err != nil {
			return err
		}
		products[i] = product{f.flag, f.path, f.create}
	}
	return put(products...)
}

func mayWrite(f file, reviews []*review.Review) error {
	info, err := os.Stat(f.path)
	if err != nil {
		return nil // there is no such file yet, or making it will say what is wrong
	}
	if !info.Mode().IsRegular() {
		return wrong("%s %s: not a regular file", f.flag, f.path)
	}
	for _, r := range reviews {
		is := func(in *source.File) bool {
			read, err := os.Stat(in.Name)
			return err == nil && os.SameFile(info, read)
		}
		if slices.ContainsFunc(r.Job.Files, is) {
			return wrong("%s %s: this file is part of the job", f.flag, f.path)
		}
		if a := r.Book.Authority; a != nil && slices.ContainsFunc(a.Files, is) {
			return wrong("%s %s: this file is part of what the authority has adopted", f.flag, f.path)
		}
	}
	return nil
}

// create writes the file under a new name.
func (f file) create(name string) error {
	w, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return wrong("%s %s: no file can be made there", f.flag, f.path)
	}
	b := bufio.NewWriter(w)
	if err = errors.Join(f.write(b), b.Flush(), w.Close()); err != nil {
		return failed(err)
	}
	return nil
}
