package job

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"plumbrule/internal/bound"
	"plumbrule/internal/quantity"
	"plumbrule/internal/schedule"
	"plumbrule/internal/source"
)

// readFiles reads the files beside the job that it names.
func (b *binder) readFiles() {
	for i := range b.job.Arrays {
		b.attachments(&b.job.Arrays[i].Attachments)
	}
	b.survey(&b.job.AsBuilt)
	b.papers()
}

// attachments reads feet given one by one.
func (b *binder) attachments(a *Attachments) {
	rows := b.csv(a.File, []string{"x", "y"}, []string{"line", "name"})
	if len(rows) == 0 {
		return
	}
	at := source.Span{File: rows[0].file}
	a.Points = Points{Known: true, Key: a.File.Key, At: at}
	a.PointLines = Texts{Key: a.File.Key, At: at, Known: rows[0].has("line")}
	a.PointNames = Texts{Key: a.File.Key, At: at, Known: rows[0].has("name")}
	for _, row := range rows {
		a.Points.Value = append(a.Points.Value, Point{b.cellLength(row, "x"), b.cellLength(row, "y")})
		a.PointLines.Value = append(a.PointLines.Value, row.text("line"))
		a.PointNames.Value = append(a.PointNames.Value, row.text("name"))
		a.PointPlaces = append(a.PointPlaces, row.place("x"))
	}
}

// survey reads the surveyed points.
func (b *binder) survey(s *AsBuilt) {
	for _, row := range b.csv(s.File, []string{"array", "x", "y"}, []string{"height"}) {
		p := SurveyPoint{
			Array:   row.text("array"),
			ArrayAt: row.place("array"),
			X:       b.cellLength(row, "x"),
			Y:       b.cellLength(row, "y"),
			At:      row.place("x"),
		}
		if row.text("height") != "" {
			p.Height, p.HeightKnown = b.cellLength(row, "height"), true
		}
		if !slices.Contains(b.names["array"], p.Array) {
			near := b.nearest(p.Array, b.names["array"])
			b.fault(source.Fault{At: row.place("array"), Message: fmt.Sprintf("no array is named %q", shorten(p.Array)), Nearest: near})
		}
		s.Points = append(s.Points, p)
	}
}

// csvRow is one line of a CSV file by its columns.
type csvRow struct {
	file    *source.File
	columns map[string]int
	units   map[string]string // unit of a column whose heading carries one
	fields  []string
	places  []source.Span
}

func (r *csvRow) has(column string) bool { _, ok := r.columns[column]; return ok }

// text is the field of a column; "" where the file has no such column.
func (r *csvRow) text(column string) string {
	if i, ok := r.columns[column]; ok {
		return strings.TrimSpace(r.fields[i])
	}
	return ""
}

func (r *csvRow) place(column string) source.Span {
	if i, ok := r.columns[column]; ok {
		return r.places[i]
	}
	return r.places[0]
}

// cellLength reads a length. A heading such as "x (ft)" gives the unit of all
// numbers below it.
func (b *binder) cellLength(r *csvRow, column string) float64 {
	text := r.text(column)
	if unit := r.units[column]; unit != "" && text != "" {
		text += " " + unit
	}
	v, err := quantity.Parse(text, quantity.Length)
	var told *quantity.Error
	switch {
	case errors.As(err, &told):
		b.fault(source.Fault{At: r.place(column), Message: fmt.Sprintf("%s: %q: %s", column, told.Text, told.Problem), Expected: told.Expected, Nearest: told.Nearest})
	case err == nil && (v.SI > farthest || v.SI < -farthest):
		b.fault(source.Fault{At: r.place(column), Message: fmt.Sprintf("%s: %s is out of range", column, shorten(text)), Expected: fmt.Sprintf("at most %d m are expected", farthest)})
	}
	return v.SI
}

// csv reads the rows of a CSV file with a heading; none when the job names no
// file or the file cannot be read.
func (b *binder) csv(name Text, required, optional []string) []*csvRow {
	if !name.Known {
		return nil
	}
	path, problem := beside(name.At.File, name.Value, ".csv")
	if problem != "" {
		b.add(name.At, name.Key, "a CSV file beside the job is expected", "%s: %q %s", name.Key, shorten(name.Value), problem)
		return nil
	}
	text, err := b.open(path)
	if err != nil {
		b.add(name.At, name.Key, "", "%s: %q: %s", name.Key, shorten(name.Value), reason(err))
		return nil
	}
	file := source.NewFile(path, text)
	switch {
	case len(text) > bound.FileBytes:
		b.add(file.Start(), "", fmt.Sprintf("at most %d MiB are read", bound.FileBytes>>20), "the file is too large")
		return nil
	case !utf8.Valid(text) || bytes.IndexByte(text, 0) >= 0:
		b.add(file.Start(), "", "a CSV file in UTF-8 is expected", "the file is not text")
		return nil
	}
	b.job.Files = append(b.job.Files, file)
	return b.rows(file, required, optional)
}

func (b *binder) rows(file *source.File, required, optional []string) []*csvRow {
	lines := schedule.Read(file, schedule.Form{Separator: schedule.Separator(file.Text)})
	var rows []*csvRow
	var heading *csvRow
	for len(rows) <= bound.CSVRows {
		fields, err := lines.Next()
		if err != nil {
			var faults source.Faults
			errors.As(err, &faults) // which it is
			b.faults = append(b.faults, faults...)
			return rows
		}
		if fields == nil {
			break
		}
		row := &csvRow{file: file, fields: fields, places: places(lines, len(fields))}
		if heading == nil {
			heading = row
			if !b.heading(heading, required, optional) {
				return nil
			}
			continue
		}
		if len(fields) != len(heading.fields) {
			b.add(row.places[0], "", fmt.Sprintf("the heading has %d", len(heading.fields)), "the line has %d fields", len(fields))
			continue
		}
		row.columns, row.units = heading.columns, heading.units
		rows = append(rows, row)
	}
	switch {
	case len(rows) > bound.CSVRows:
		b.add(file.Start(), "", "", "the file has more than %d lines", bound.CSVRows)
		return nil
	case len(rows) == 0:
		b.add(file.Start(), "", "a heading with the columns "+strings.Join(required, ", ")+" and lines below it are expected", "the file has no lines to read")
	}
	return rows
}

// heading reads the names of the columns and their units.
func (b *binder) heading(row *csvRow, required, optional []string) bool {
	row.columns, row.units = map[string]int{}, map[string]string{}
	known := slices.Concat(required, optional)
	fine := true
	for i, text := range row.fields {
		name, unit, _ := strings.Cut(strings.TrimSpace(text), "(")
		name, unit = strings.ToLower(strings.TrimSpace(name)), strings.TrimSpace(strings.TrimSuffix(unit, ")"))
		first, twice := row.columns[name]
		switch {
		case !slices.Contains(known, name):
			near := b.nearest(name, known)
			b.fault(source.Fault{At: row.places[i], Message: fmt.Sprintf("unknown column %q", shorten(name)), Expected: "the columns are " + strings.Join(known, ", "), Nearest: near})
			fine = false
		case twice:
			b.fault(source.Fault{At: row.places[i], Message: fmt.Sprintf("the column %q stands twice", name),
				Also: []source.Further{{At: row.places[first], Note: source.FirstHere}}})
			fine = false
		}
		row.columns[name], row.units[name] = i, unit
	}
	for _, name := range required {
		if !row.has(name) {
			b.add(row.places[0], "", "the columns are "+strings.Join(known, ", "), "the column %q is missing", name)
			fine = false
		}
	}
	return fine
}

// places gives where the fields of the line just read stand.
func places(lines *schedule.Lines, n int) []source.Span {
	list := make([]source.Span, n)
	for i := range list {
		list[i] = lines.Place(i)
	}
	return list
}
