package from

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"plumbrule/internal/draft"
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/source"
)

// column is what one column of a schedule holds.
type column struct {
	below string     // table below the entry that it stands in, "covering"; "" for the entry itself
	field *job.Field // nil for one that is left out
	axis  byte       // 'x' or 'y' of a point; 0 for what is none
	unit  string     // of all its cells; "" where each has its own
	at    source.Span
}

// reference is the name of a thing in a schedule.
type reference struct {
	kind, name string
	at         source.Span
}

// columns reads a heading. own are columns beside the keys of the table, which
// are left out of the answer.
func (r *reader) columns(s *sheet, of *job.Table, own ...string) (columns []*column, mine map[string]int, ok bool) {
	before := len(r.faults)
	mine, seen := map[string]int{}, map[string]source.Span{}
	for i, h := range s.heading {
		name, unit := parted(h.text)
		if key, mapped := r.mapping(h.text); mapped {
			name, _ = parted(key)
			if key == "-" {
				columns = append(columns, &column{at: h.at})
				continue
			}
		}
		c := &column{unit: unit, at: h.at}
		columns = append(columns, c)
		if slices.Contains(own, name) {
			mine[name] = i
			c.find(of, "") // which leaves it without a field
		} else if !c.find(of, name) {
			r.unknownColumn(h, name, of, own)
			continue
		}
		if first, twice := seen[name]; twice {
			r.faults = append(r.faults, source.Fault{At: h.at, Message: fmt.Sprintf("the column %q stands twice", name), Also: []source.Further{{At: first, Note: source.FirstHere}}})
		}
		seen[name] = h.at
		r.headingUnit(c, name)
	}
	for i, c := range columns {
		if c.field != nil && c.axis != 0 && !slices.ContainsFunc(columns, func(o *column) bool {
			return o.field == c.field && o.below == c.below && o.axis != c.axis
		}) {
			r.fault(s.heading[i].at, "a point takes the columns "+c.field.Key+" x and "+c.field.Key+" y", "%q has no other half", s.heading[i].text)
			c.field = nil
		}
	}
	return columns, mine, len(r.faults) == before
}

// parted splits "Length (ft)" into its key and its unit.
func parted(heading string) (key, unit string) {
	name, unit, _ := strings.Cut(heading, "(")
	return keyOf(strings.TrimSpace(name)), strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(unit), ")"))
}

// mapping is the key that the command line gives a heading, with its unit or without.
func (r *reader) mapping(heading string) (string, bool) {
	name, _, _ := strings.Cut(heading, "(")
	for given, key := range r.options.Columns {
		if strings.EqualFold(given, heading) || strings.EqualFold(given, strings.TrimSpace(name)) {
			if r.mapped == nil {
				r.mapped = map[string]bool{}
			}
			r.mapped[strings.ToLower(given)] = true
			return key, true
		}
	}
	return "", false
}

// find looks a column up in a table of the model: "length", "stated.current",
// "origin_x".
func (c *column) find(of *job.Table, name string) bool {
	if name == "" {
		return false
	}
	if table, rest, below := strings.Cut(name, "."); below {
		f, known := of.Field(table)
		if !known || f.Kind != job.KindTable {
			return false
		}
		c.below = table
		of, name = f.Table, rest
	}
	for _, f := range slices.Concat(of.Fields, of.Patterns) {
		x, isX := strings.CutSuffix(name, "_x")
		y, isY := strings.CutSuffix(name, "_y")
		switch {
		case f.Kind == job.KindPoint && isX && x == f.Key:
			c.field, c.axis = f, 'x'
		case f.Kind == job.KindPoint && isY && y == f.Key:
			c.field, c.axis = f, 'y'
		case f.Key == name && inCell(f):
			c.field = f
		}
	}
	return c.field != nil
}

// inCell reports whether one cell can hold a value of the key.
func inCell(f *job.Field) bool {
	switch f.Kind {
	case job.KindPoint, job.KindPoints, job.KindCells, job.KindTable, job.KindTables:
		return false
	}
	return true
}

// columnNames lists what a heading may say.
func columnNames(of *job.Table, before string) (names []string) {
	for _, f := range slices.Concat(of.Fields, of.Patterns) {
		switch {
		case inCell(f):
			names = append(names, before+f.Key)
		case f.Kind == job.KindPoint:
			names = append(names, before+f.Key+" x", before+f.Key+" y")
		case f.Kind == job.KindTable && before == "":
			names = append(names, columnNames(f.Table, f.Key+".")...)
		}
	}
	return names
}

func (r *reader) unknownColumn(h cell, name string, of *job.Table, own []string) {
	names := slices.Concat(own, columnNames(of, ""))
	near, found := quantity.Nearest(name, names)
	expected := `a column that is not to be read is left out by --column "` + h.text + `=-"`
	if !found {
		expected += "; the columns are " + strings.Join(names, ", ")
	}
	r.faults = append(r.faults, source.Fault{At: h.at, Message: fmt.Sprintf("unknown column %q", h.text), Expected: expected, Nearest: near})
}

// headingUnit refuses, once for the whole column, a unit that its values cannot have.
func (r *reader) headingUnit(c *column, name string) {
	f := c.field
	if f == nil || c.unit == "" || f.Kind == job.KindSize {
		return
	}
	switch f.Kind {
	case job.KindQuantity, job.KindQuantities, job.KindPoint:
	default:
		r.fault(c.at, "", "the column %q takes no unit; found %q", name, c.unit)
		c.field = nil
		return
	}
	_, err := quantity.Parse("1 "+c.unit, f.Dim)
	if err != nil && f.Rated != "" {
		_, err = quantity.Parse("1 "+c.unit, quantity.VoltagePerTemperature)
	}
	var told *quantity.Error
	if errors.As(err, &told) {
		r.faults = append(r.faults, source.Fault{At: c.at, Message: fmt.Sprintf("the column %q: %s", name, told.Problem), Expected: told.Expected, Nearest: told.Nearest})
		c.field = nil
	}
}

// schedule reads a CSV file of which each line is an entry of a list of the job.
func (r *reader) schedule(f *source.File, list *job.Field) {
	s, ok := r.sheet(f)
	if !ok {
		return
	}
	columns, _, _ := r.columns(s, list.Table) // what is wrong with a column is noted, and the others are read
	for _, row := range s.rows {
		r.Tables = append(r.Tables, r.entry(list.Key, columns, row)...)
	}
	r.note("%s: %s", f.Name, counted(len(s.rows), "entry of "+list.Key, "entries of "+list.Key))
}

func counted(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}

// entry makes the tables of one entry of a list: its own, then those below it
// of which a cell says something.
func (r *reader) entry(list string, columns []*column, row []cell) []*draft.Table {
	own := &draft.Table{Key: list, List: true, From: row[0].at}
	tables := []*draft.Table{own}
	for i, c := range columns {
		if c.field == nil || c.axis == 'y' {
			continue
		}
		t := own
		if c.below != "" {
			key := list + "." + c.below
			if t = tables[len(tables)-1]; t.Key != key {
				if at := slices.IndexFunc(tables, func(t *draft.Table) bool { return t.Key == key }); at >= 0 {
					t = tables[at]
				} else {
					t = &draft.Table{Key: key, From: row[i].at}
					tables = append(tables, t)
				}
			}
		}
		if value := r.value(c, columns, row, i); value != "" {
			t.Entries = append(t.Entries, draft.Entry{Key: c.field.Key, Value: value, From: row[i].at})
		}
	}
	return slices.DeleteFunc(tables, func(t *draft.Table) bool { return t != own && len(t.Entries) == 0 })
}

// value is a cell as TOML writes it; "" for an empty one, which is left out.
func (r *reader) value(c *column, columns []*column, row []cell, i int) string {
	text := row[i].text
	if c.axis == 'x' {
		j := slices.IndexFunc(columns, func(o *column) bool { return o.field == c.field && o.below == c.below && o.axis == 'y' })
		y := row[j]
		switch {
		case text == "" && y.text == "":
			return ""
		case text == "" || y.text == "":
			r.fault(row[i].at, "both of its coordinates are expected, or neither", "%s has one coordinate", c.field.Key)
			return ""
		}
		east, _, _ := r.length(c, row[i])
		north, _, _ := r.length(columns[j], y)
		return "[" + job.Quote(east) + ", " + job.Quote(north) + "]"
	}
	if text == "" {
		return ""
	}
	members := []string{text}
	switch c.field.Kind {
	case job.KindTexts, job.KindCounts, job.KindQuantities:
		members = strings.FieldsFunc(text, func(r rune) bool { return r == ',' || r == ';' })
	case job.KindFlag:
		if yes, known := flags[strings.ToLower(text)]; known {
			members = []string{strconv.FormatBool(yes)}
		}
	}
	for k, m := range members {
		members[k] = withUnit(strings.TrimSpace(m), c.unit)
		r.refer(c.field, members[k], row[i].at)
	}
	said, err := c.field.Said(strings.Join(members, ", "))
	if err != nil {
		r.fault(row[i].at, "", "%s: %v", c.field.Key, err)
	}
	return said
}

var flags = map[string]bool{"yes": true, "no": false}

// length reads a cell of a column of lengths: as it is written, and in metres.
func (r *reader) length(c *column, at cell) (text string, metres float64, ok bool) {
	text = withUnit(at.text, c.unit)
	v, err := quantity.Parse(text, quantity.Length)
	var told *quantity.Error
	if errors.As(err, &told) {
		r.faults = append(r.faults, source.Fault{At: at.at, Message: fmt.Sprintf("%q: %s", told.Text, told.Problem), Expected: told.Expected, Nearest: told.Nearest})
	}
	return text, v.SI, err == nil
}

func withUnit(text, unit string) string {
	if unit == "" || text == "" {
		return text
	}
	return text + " " + unit
}

// refer notes what a cell names.
func (r *reader) refer(f *job.Field, name string, at source.Span) {
	if f.Ref != "" {
		r.opened = append(r.opened, reference{f.Ref, name, at})
	}
}
