package from

import (
	"bytes"
	"errors"
	"fmt"
	"strings"

	"plumbrule/internal/bound"
	"plumbrule/internal/schedule"
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

// sheet reads the cells of a CSV file. Its first line that is not blank and no
// remark is the heading; lines without a word in them are passed over, as
// spreadsheet programs write them below a table.
func (r *reader) sheet(f *source.File) (*sheet, bool) {
	before := len(r.faults)
	// A quote may stand for inches in a cell that does not begin with one.
	lines := schedule.Read(f, schedule.Form{Separator: schedule.Separator(f.Text), Inches: true})
	s := &sheet{file: f}
	for {
		fields, err := lines.Next()
		if err != nil {
			var faults source.Faults
			errors.As(err, &faults) // which it is
			r.faults = append(r.faults, faults...)
			return nil, false
		}
		if fields == nil {
			break
		}
		row, blank := make([]cell, len(fields)), true
		for i, text := range fields {
			row[i] = cell{strings.TrimSpace(text), lines.Place(i)}
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
		case len(s.rows) == bound.ListEntries:
			r.fault(row[0].at, "", "the file has more than %d lines", bound.ListEntries)
			return nil, false
		default:
			s.rows = append(s.rows, row)
		}
	}
	remarks := 0
	for line := range bytes.Lines(f.Text) {
		if line[0] == '#' {
			remarks++
		}
	}
	if remarks > 0 {
		r.note("%s: not read: %s (lines that begin with #)", f.Name, counted(remarks, "remark", "remarks"))
	}
	if len(s.rows) == 0 && len(r.faults) == before {
		r.fault(f.Start(), "a heading and lines below it are expected", "the file has no lines to read")
	}
	return s, len(r.faults) == before
}
