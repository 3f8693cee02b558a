package from

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"

	"plumbrule/internal/source"
)

// sheet is a CSV file by its cells.
type sheet struct {
	file    *source.File
	heading []cell
	rows    [][]cell
}

// cell is one field of a line.
type cell struct {
	text string // without blanks around it
	at   source.Span
}

// mostRows bounds a schedule.
const mostRows = 10_000

// sheet reads the cells of a CSV file. Its first line that is not blank and no
// remark is the heading; lines without a word in them are passed over, as
// spreadsheet programs write them below a table.
func (r *reader) sheet(f *source.File) (*sheet, bool) {
	before := len(r.faults)
	// A quote may stand for inches in a cell that does not begin with one.
	lines := csv.NewReader(bytes.NewReader(f.Text))
	lines.Comma, lines.FieldsPerRecord, lines.TrimLeadingSpace, lines.Comment, lines.LazyQuotes = separator(f.Text), -1, true, '#', true
	s := &sheet{file: f}
	for {
		fields, err := lines.Read()
		if err == io.EOF {
			break
		}
		if err != nil {
			r.unreadable(f, err)
			return nil, false
		}
		row, blank := make([]cell, len(fields)), true
		for i, text := range fields {
			line, column := lines.FieldPos(i)
			row[i] = cell{strings.TrimSpace(text), f.At(line, column)}
			blank = blank && row[i].text == ""
			if strings.ContainsAny(row[i].text, "\r\n") {
				r.fault(row[i].at, "each is on one line; is a quote left open?", "the cell runs over several lines")
			}
		}
		switch {
		case blank:
		case s.heading == nil:
			s.heading = row
		case len(row) != len(s.heading):
			r.fault(row[0].at, fmt.Sprintf("the heading has %d", len(s.heading)), "the line has %d fields", len(row))
		case len(s.rows) == mostRows:
			r.fault(row[0].at, "", "the file has more than %d lines", mostRows)
			return nil, false
		default:
			s.rows = append(s.rows, row)
		}
	}
	if len(s.rows) == 0 && len(r.faults) == before {
		r.fault(f.Start(), "a heading and lines below it are expected", "the file has no lines to read")
	}
	return s, len(r.faults) == before
}

func (r *reader) unreadable(f *source.File, err error) {
	var parse *csv.ParseError
	if errors.As(err, &parse) {
		r.fault(f.At(parse.Line, max(parse.Column, 1)), "", "the line cannot be read: %v", parse.Err)
		return
	}
	r.fault(f.Start(), "", "the file cannot be read: %v", err)
}

// separator is what parts the fields of a file: a semicolon where the heading
// has one, as spreadsheet programs write it where a comma is the decimal mark,
// else a comma. A number with a comma is refused in both.
func separator(text []byte) rune {
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
