// Package editor is the language server of job files: what an editor asks
// about a job while it is typed, over the Language Server Protocol (an open
// standard, version 3.17).
//
// The text of an open file is the client's from the first message to the last,
// and its messages are taken in the order in which they come. Each change makes
// another Document in another Workspace; neither ever changes, so that questions
// are answered side by side from what was so when they were asked. Reviews run
// one at a time: what changes meanwhile is reviewed next, once, and what was
// found in a text that is not shown any more is never sent.
package editor

import (
	"bytes"

	"plumbrule/internal/job"
	"plumbrule/internal/review"
	"plumbrule/internal/source"
)

// Document is one version of one file in an editor. It does not change: each
// change of the text makes another one. What a person is typing is seldom
// valid, so that questions about a place are answered from Mended, in which
// the lines that the parser stops at are blank; every byte is at its place in
// both.
type Document struct {
	URI     string
	Path    string // name of the file, with forward slashes
	Version int
	File    *source.File // as it is typed
	Mended  *source.File // of the same length
	Index   *source.Index
	Syntax  source.Faults // why File is no TOML; nil where it is

	// Job and Review are of the last version that could be read, nil before
	// there was one; those of an included file are of a job that includes it.
	// Old says that they are of another text than this: their places may be off.
	Job    *job.Job
	Review *review.Review
	Old    bool

	lines *lines
}

// mostMended bounds the lines that are blanked before a text counts as no job
// at all.
const mostMended = 20

// NewDocument takes a text apart. Its positions are counted in 16-bit units.
func NewDocument(uri, path string, version int, text []byte) *Document {
	text, before := withoutMark(text, false)
	return newDocument(uri, path, version, newLines(text, false, before))
}

func newDocument(uri, path string, version int, l *lines) *Document {
	d := &Document{URI: uri, Path: path, Version: version, File: fileOf(path, l.text), lines: l}
	d.Mended = d.File
	for range mostMended {
		index, err := source.NewIndex(d.Mended)
		if err == nil {
			d.Index = index
			return d
		}
		faults, ok := err.(source.Faults)
		if !ok || len(faults) == 0 {
			return d
		}
		if d.Syntax == nil {
			d.Syntax = faults
		}
		d.Mended = blank(d.Mended, faults[0].At)
	}
	return d
}

// blank makes a text whose line at a place is spaces.
func blank(f *source.File, at source.Span) *source.File {
	text := bytes.Clone(f.Text)
	start := bytes.LastIndexByte(text[:min(at.Start, len(text))], '\n') + 1
	for i := start; i < len(text) && text[i] != '\n'; i++ {
		text[i] = ' '
	}
	return fileOf(f.Name, text)
}

// fileOf makes a file of a text from which a byte order mark was taken; a
// second one is part of it, so that every byte stays at its place.
func fileOf(name string, text []byte) *source.File {
	if text == nil {
		text = []byte{} // nil stands for a file that could not be read
	}
	return &source.File{Name: name, Text: text}
}
