// Package editor is the language server of job files: what an editor asks
// about a job while it is typed, over the Language Server Protocol (an open
// standard, version 3.17).
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
	// there was one. Old says that it was another version than this: its places
	// may be off.
	Job    *job.Job
	Review *review.Review
	Old    bool
}

// mostMended bounds the lines that are blanked before a text counts as no job
// at all.
const mostMended = 20

// NewDocument takes a text apart.
func NewDocument(uri, path string, version int, text []byte) *Document {
	d := &Document{URI: uri, Path: path, Version: version, File: source.NewFile(path, text)}
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
	return source.NewFile(f.Name, text)
}
