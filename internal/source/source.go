// Package source knows where each key and value of a TOML file stands.
//
// Inside the program a place is a stretch of bytes (Span). Lines and columns
// are worked out at the edge, when a place is printed, from one table of line
// starts that each file computes once.
package source

import (
	"bytes"
	"fmt"
	"slices"
	"sync"
	"unicode/utf8"
)

// File is one text with its name. It is used through a pointer; its text does
// not change. A File without text (nil) stands for one that could not be read.
type File struct {
	Name string
	Text []byte

	once   sync.Once
	starts []int // offset of the first byte of each line
}

// byteOrderMark is what some editors put before a text in UTF-8.
var byteOrderMark = []byte("\uFEFF")

// NewFile makes a file of a text. A byte order mark before it is no part of
// it.
func NewFile(name string, text []byte) *File {
	text = bytes.TrimPrefix(text, byteOrderMark)
	if text == nil {
		text = []byte{}
	}
	return &File{Name: name, Text: text}
}

// Line gives the text of line n, counted from 1, without its line break; ""
// when there is no such line.
func (f *File) Line(n int) string {
	starts := f.lines()
	if n < 1 || n > len(starts) {
		return ""
	}
	end := len(f.Text)
	if n < len(starts) {
		end = starts[n]
	}
	return string(bytes.TrimRight(f.Text[starts[n-1]:end], "\r\n"))
}

// Lines is the number of lines; an empty file has one.
func (f *File) Lines() int { return len(f.lines()) }

// All is the whole text as one place.
func (f *File) All() Span { return Span{File: f, End: len(f.Text)} }

// At is the place of the byte at a line and a column in bytes, both counted
// from 1.
func (f *File) At(line, column int) Span {
	starts := f.lines()
	line = min(max(line, 1), len(starts))
	offset := min(starts[line-1]+max(column, 1)-1, len(f.Text))
	return Span{File: f, Start: offset, End: offset}
}

// Start is the place before the first byte.
func (f *File) Start() Span { return Span{File: f} }

func (f *File) lines() []int {
	f.once.Do(func() {
		f.starts = append(make([]int, 0, 1+bytes.Count(f.Text, []byte{'\n'})), 0)
		for i, c := range f.Text {
			if c == '\n' {
				f.starts = append(f.starts, i+1)
			}
		}
	})
	return f.starts
}

// position finds the line and the columns of a byte.
func (f *File) position(offset int) Position {
	starts := f.lines()
	offset = min(max(offset, 0), len(f.Text))
	line, exact := slices.BinarySearch(starts, offset)
	if exact {
		line++
	}
	before := f.Text[starts[line-1]:offset]
	return Position{
		File:   f.Name,
		Line:   line,
		Column: utf8.RuneCount(before) + 1,
		Byte:   len(before) + 1,
		UTF16:  utf16Length(before) + 1,
	}
}

// utf16Length counts the 16-bit units of a text: two for a character beyond
// the basic plane, one for any other and for each byte that is no character.
func utf16Length(text []byte) int {
	n := 0
	for _, r := range string(text) {
		n++
		if r > 0xFFFF {
			n++
		}
	}
	return n
}

// Position is a place as people and editors count it; everything is counted
// from 1. Column counts characters (runes), Byte counts bytes and UTF16 counts
// 16-bit units.
type Position struct {
	File   string
	Line   int
	Column int
	Byte   int
	UTF16  int
}

// String is "file:line:column", and the file alone where no line is known.
func (p Position) String() string {
	if p.Line == 0 {
		return p.File
	}
	return fmt.Sprintf("%s:%d:%d", p.File, p.Line, p.Column)
}

// Span is a stretch of bytes of one file; the zero Span is no place.
type Span struct {
	File       *File
	Start, End int
}

// Known reports whether the span is a place at all.
func (s Span) Known() bool { return s.File != nil }

// Position is where the span starts. It is the zero Position for no place,
// and has no line where the file could not be read.
func (s Span) Position() Position { return s.at(s.Start) }

// EndPosition is the position just past the span.
func (s Span) EndPosition() Position { return s.at(s.End) }

func (s Span) at(offset int) Position {
	switch {
	case s.File == nil:
		return Position{}
	case s.File.Text == nil:
		return Position{File: s.File.Name}
	}
	return s.File.position(offset)
}

// Text is what stands in the span.
func (s Span) Text() string {
	if s.File == nil || s.Start < 0 || s.End > len(s.File.Text) || s.Start > s.End {
		return ""
	}
	return string(s.File.Text[s.Start:s.End])
}
