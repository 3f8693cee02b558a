package equipment

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"plumbrule/internal/quantity"
	"plumbrule/internal/schedule"
	"plumbrule/internal/source"
)

// Bounds on a list.
const (
	LargestList = 64 << 20 // bytes
	headLines   = 60       // within which the headings stand
)

// List is a list of equipment that was read.
type List struct {
	*Description
	Titles  []string // what stands above the headings
	Entries []*Entry // in the order of the file
	Lacks   []string // headings of the description that it does not have, and that give a value

	file *source.File
}

// Entry is one line of a list.
type Entry struct {
	Name  string // of the type: the model number, with what tells it from others of that number
	Maker string // "" where the list does not say
	Date  string // of the line; "" where the list does not say
	At    source.Span

	model string
	cells map[*column]cell
	width int // fields beyond those of the headings that hold something
}

// cell is a cell of an entry, cleaned, with its unit as package quantity reads
// it.
type cell struct {
	text, unit string
	at         source.Span
	heading    string
}

// Read reads a list that one of the descriptions fits. The error is
// source.Faults.
func Read(name string, text []byte, descriptions []*Description) (*List, error) {
	f := source.NewFile(name, text)
	switch {
	case len(text) > LargestList:
		return nil, source.Faults{{At: f.Start(), Message: "the file is too large", Expected: fmt.Sprintf("at most %d MiB are read", LargestList>>20)}}
	case !utf8.Valid(text) || bytes.IndexByte(text, 0) >= 0:
		return nil, source.Faults{{At: f.Start(), Message: "the file is not text in UTF-8", Expected: "a list saved as CSV in UTF-8 is expected"}}
	}
	var best *heading
	for _, separator := range []rune{',', ';', '\t'} {
		h := findHeading(f, separator, descriptions)
		if h != nil && (best == nil || h.beats(best)) {
			best = h
		}
	}
	if best == nil || len(best.missing) > 0 || best.rival != nil {
		return nil, source.Faults{best.fault(f, descriptions)}
	}
	r := &reader{List: &List{Description: best.of, Titles: best.titles, file: f}, heading: best}
	for _, c := range r.Columns {
		if _, has := best.columns[c]; !has && c.Key != "" {
			r.Lacks = append(r.Lacks, c.Heading[0])
		}
	}
	r.rows()
	if err := r.faults.Err(); err != nil {
		return nil, err
	}
	return r.List, nil
}

// heading is the line of a list that has its headings, as a description reads it.
type heading struct {
	of        *Description
	rival     *Description // another that fits as well
	separator rune
	line      int // counted from 1, a line of several rows by its first
	width     int // fields
	columns   map[*column]int
	twice     map[*column]int // a second field with the heading of a column
	texts     map[*column]string
	units     map[*column]string // what stands in brackets
	missing   []string           // headings without which it is not that list
	titles    []string
	at        source.Span
}

// beats reports whether a line is more of a heading than another.
func (h *heading) beats(other *heading) bool {
	if (len(h.missing) == 0) != (len(other.missing) == 0) {
		return len(h.missing) == 0
	}
	return len(h.columns) > len(other.columns)
}

// findHeading looks for the line that fits a description best; nil where no line
// has a heading of any.
func findHeading(f *source.File, separator rune, descriptions []*Description) *heading {
	lines := newLines(f, separator)
	var best *heading
	var titles []string
	for range headLines {
		fields, err := lines.Next()
		if err != nil || fields == nil {
			break
		}
		for _, d := range descriptions {
			h := d.heading(fields)
			h.separator, h.line, h.titles, h.at = separator, lines.Line(), slices.Clone(titles), lines.Place(0)
			switch {
			case len(h.columns) == 0:
			case best == nil || h.beats(best):
				best = h
			case !best.beats(h) && best.line == h.line:
				best.rival = d
			}
		}
		if text := clean(strings.Join(fields, " ")); text != "" {
			titles = append(titles, text)
		}
	}
	return best
}

func newLines(f *source.File, separator rune) *schedule.Lines {
	return schedule.Read(f, schedule.Form{Separator: separator, Plain: true})
}

// heading reads a line as that of the headings.
func (d *Description) heading(fields []string) *heading {
	h := &heading{of: d, width: len(fields), columns: map[*column]int{}, twice: map[*column]int{}, texts: map[*column]string{}, units: map[*column]string{}}
	for i, field := range fields {
		whole, bare := fold(field), ""
		name, text, bracketed := unit(field)
		if bracketed {
			bare = fold(name)
		}
		for _, c := range d.Columns {
			exact := slices.Contains(c.headings, whole)
			if whole == "" || !exact && (bare == "" || !slices.Contains(c.headings, bare)) {
				continue
			}
			if _, taken := h.columns[c]; taken {
				h.twice[c] = i
				continue
			}
			h.columns[c], h.texts[c] = i, clean(field)
			if !exact {
				h.units[c] = text
			}
		}
	}
	for _, c := range d.Columns {
		if _, found := h.columns[c]; c.Needed && !found {
			h.missing = append(h.missing, c.Heading[0])
		}
	}
	return h
}

// fault says why no description fits.
func (h *heading) fault(f *source.File, descriptions []*Description) source.Fault {
	var known []string
	for _, d := range descriptions {
		known = append(known, d.Name)
	}
	switch {
	case h == nil:
		return source.Fault{At: f.Start(), Message: "no line has the headings of a list that is known", Expected: "one of these lists is expected: " + strings.Join(known, ", ") + "; another is described by --columns FILE"}
	case len(h.missing) > 0:
		return source.Fault{At: h.at, Message: fmt.Sprintf("of all lines this one is nearest to the headings of the list %q, and it lacks %s", h.of.Name, quoted(h.missing)), Expected: "every one of them is expected; a list with other columns is described by --columns FILE"}
	}
	return source.Fault{At: h.at, Message: fmt.Sprintf("the headings are those of the list %q and of the list %q", h.of.Name, h.rival.Name), Expected: "columns that tell them apart are expected, or --columns FILE"}
}

// reader reads the lines below the headings.
type reader struct {
	*List
	heading *heading
	faults  source.Faults
}

func (r *reader) fault(at source.Span, expected, message string, a ...any) {
	r.faults = append(r.faults, source.Fault{At: at, Message: fmt.Sprintf(message, a...), Expected: expected})
}

func (r *reader) rows() {
	h, lines := r.heading, newLines(r.file, r.heading.separator)
	first := true
	for {
		fields, err := lines.Next()
		if err != nil {
			var faults source.Faults
			errors.As(err, &faults) // which it is
			r.faults = append(r.faults, faults...)
			return
		}
		if fields == nil {
			break
		}
		line := lines.Line()
		place := func(i int) source.Span { return lines.Place(min(i, len(fields)-1)) }
		switch {
		case line < h.line:
			continue
		case line == h.line:
			for c, i := range h.twice {
				r.fault(place(i), "one of them is expected", "the heading %q stands twice", c.Heading[0])
			}
			for c, i := range h.columns {
				r.unitOf(c, h.units[c], place(i))
			}
			continue
		case blank(fields):
			continue
		}
		if first {
			first = false
			if r.unitLine(fields, place) {
				continue
			}
		}
		r.entry(fields, place)
	}
	if len(r.Entries) == 0 && len(r.faults) == 0 {
		r.fault(h.at, "lines with a model number below the headings are expected", "the list has no entries")
	}
}

func blank(fields []string) bool {
	return !slices.ContainsFunc(fields, func(f string) bool { return clean(f) != "" })
}

// unitLine reads the line below the headings as one of units, where it has units
// and no numbers below headings that take one.
func (r *reader) unitLine(fields []string, place func(int) source.Span) bool {
	found := map[*column]string{}
	for c, i := range r.heading.columns {
		if !c.measured || i >= len(fields) || !r.given(clean(fields[i])) {
			continue
		}
		text := clean(fields[i])
		if _, err := strconv.ParseFloat(text, 64); err == nil {
			return false
		}
		found[c] = text
	}
	readable := false
	for c, text := range found {
		bare := strings.Trim(text, "() ")
		_, ok := r.unit(c, bare)
		readable, found[c] = readable || ok, bare
	}
	if !readable {
		return false
	}
	for c, text := range found {
		at := place(r.heading.columns[c])
		r.unitOf(c, text, at)
		a, _ := r.unit(c, r.heading.units[c])
		if b, _ := r.unit(c, text); a != "" && b != "" && a != b {
			r.fault(at, "one unit is expected", "%s: the heading says %q, the line of units %q", c.Heading[0], r.heading.units[c], text)
		}
		r.heading.units[c] = text
	}
	return true
}

// unitOf holds the unit that a list states for a column against its dimension.
func (r *reader) unitOf(c *column, text string, at source.Span) {
	if _, ok := r.unit(c, text); c.measured && text != "" && !ok {
		r.fault(at, fmt.Sprintf("a unit of %s is expected, such as %s", c.dim, strings.Join(quantity.Units(c.dim), ", ")), "%s: unknown unit %q", c.Heading[0], text)
	}
}

// entry reads a line. One without a model number, or without a value, is a title
// or a footer.
func (r *reader) entry(fields []string, place func(int) source.Span) {
	e := &Entry{At: place(0), cells: map[*column]cell{}}
	for c, i := range r.heading.columns {
		if i >= len(fields) {
			continue
		}
		text := clean(fields[i])
		if !r.given(text) {
			continue
		}
		unit := c.Unit
		if said := r.heading.units[c]; said != "" {
			unit = said
		}
		unit, _ = r.unit(c, unit)
		e.cells[c] = cell{text, unit, place(i), r.heading.texts[c]}
		switch c.Holds {
		case "model":
			e.model, e.At = text, place(i)
		case "maker":
			e.Maker = text
		}
	}
	for _, extra := range fields[min(len(fields), r.heading.width):] {
		if clean(extra) != "" {
			e.width++
		}
	}
	for _, c := range r.Columns {
		if x, ok := e.cells[c]; ok && c.Holds == "date" && e.Date == "" {
			e.Date = day(x.text)
		}
	}
	gives := 0
	for c := range e.cells {
		if c.Holds == "" {
			gives++
		}
	}
	if e.model == "" || gives == 0 { // a footer may stand below the heading of the model numbers
		return
	}
	e.Name = e.model
	for _, key := range r.Apart {
		if x, ok := e.cells[r.column(key)]; ok {
			e.Name += ", " + strings.TrimSpace(x.text+" "+x.unit)
		}
	}
	r.Entries = append(r.Entries, e)
}

// day writes a date as spreadsheet programs count days, from the end of 1899, as
// a date. Any other text stays as it is.
func day(text string) string {
	n, err := strconv.ParseFloat(text, 64)
	if err != nil || n < 20_000 || n > 80_000 { // the years 1954 to 2119
		return text
	}
	return time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC).AddDate(0, 0, int(n)).Format(time.DateOnly)
}

func quoted(words []string) string {
	list := make([]string, len(words))
	for i, w := range words {
		list[i] = strconv.Quote(w)
	}
	return strings.Join(list, ", ")
}
