// Package schedule reads tables that are saved as CSV, a line at a time with the
// place of each field.
package schedule

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"

	"plumbrule/internal/source"
)

// Form is how a table is written.
type Form struct {
	Separator rune // of fields
	Plain     bool // as the standard has it: without remarks, and blanks before a field belong to it
	Inches    bool // a quote in a field that does not begin with one stands for inches
}

// Lines are the lines of a table that are left to read.
type Lines struct {
	file   *source.File
	reader *csv.Reader
}

// Read begins at the first line of a file. Lines that begin with # are remarks and
// passed over, unless the form is plain.
func Read(f *source.File, form Form) *Lines {
	reader := csv.NewReader(bytes.NewReader(f.Text))
	reader.Comma, reader.FieldsPerRecord, reader.LazyQuotes = form.Separator, -1, form.Inches
	if !form.Plain {
		reader.Comment, reader.TrimLeadingSpace = '#', true
	}
	return &Lines{f, reader}
}

// Next gives the fields of the next line; none at the end of the file. The error
// is source.Faults with the place at which the line cannot be read.
func (l *Lines) Next() ([]string, error) {
	fields, err := l.reader.Read()
	var parse *csv.ParseError
	switch {
	case err == io.EOF:
		return nil, nil
	case errors.As(err, &parse):
		at := l.file.At(parse.Line, max(parse.Column, 1))
		if parse.StartLine != parse.Line { // a quote that is open to the end of the file
			at = l.file.At(parse.StartLine, 1)
		}
		return nil, source.Faults{{At: at, Message: fmt.Sprintf("the line cannot be read: %v", parse.Err)}}
	case err != nil:
		return nil, source.Faults{{At: l.file.Start(), Message: fmt.Sprintf("the file cannot be read: %v", err)}}
	}
	return fields, nil
}

// Place is where a field of the line just read stands.
func (l *Lines) Place(field int) source.Span {
	line, column := l.reader.FieldPos(field)
	return l.file.At(line, column)
}

// Line is the number of the line just read, counted from 1.
func (l *Lines) Line() int {
	line, _ := l.reader.FieldPos(0)
	return line
}

// Separator is what parts the fields of a text: a semicolon where the heading has
// one, as spreadsheet programs write it where a comma is the decimal mark, else a
// comma. A number with a comma is for its reader to refuse in both: it could be a
// decimal mark or part thousands.
func Separator(text []byte) rune {
	for line := range bytes.Lines(text) {
		line = bytes.TrimSpace(line)
		if len(line) == 0 || line[0] == '#' {
			continue
		}
		if bytes.IndexByte(line, ';') >= 0 {
			return ';'
		}
		break
	}
	return ','
}
