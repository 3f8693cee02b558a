// Package table holds code tables as data: rows, units, the editions that a
// row set holds for, and where each value was seen. Engineering packages reach
// a table by code, edition and name; no number of a code stands in Go. A number
// in a column with a unit is a quantity and is given out in its base unit.
//
// A table file is TOML, one table a file:
//
//	name  = "310.16"            # how it is asked for
//	code  = "NEC"
//	title = "what the table gives, in our own words"
//	columns = ["size", "60", "75", "90"]       # the first column is the key
//	units   = ["", "A", "A", "A"]
//
//	[[edition]]
//	editions    = ["2020", "2023"]
//	section     = "310.16"
//	provenance  = "published"                  # published | second-hand | from memory
//	from_memory = ["700", "750"]               # keys of rows weaker than the rest
//	note        = "..."
//	rows        = [["14", 15, 20, 25], ["12", 20, 25, 30]]
//	  [[edition.source]]
//	  title = "..."
//	  publisher = "..."
//	  year = 2023
//	  section = "..."
//
// A unit is one that package quantity reads (quantity.ParseScale), "" for plain
// numbers and texts, or a series of conductor sizes ("AWG or kcmil"), whose
// cells are texts. A column with the name "unit" gives the unit of the column
// before it row by row, for tables of named values.
package table

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"path"
	"slices"
	"sort"
	"strconv"
	"strings"
	"sync"

	"github.com/BurntSushi/toml"

	"plumbrule/internal/packed"
	"plumbrule/internal/quantity"
)

// Provenance says how sure a value is.
type Provenance string

const (
	Published  Provenance = "published"   // seen in a published source that is named
	SecondHand Provenance = "second-hand" // a published value quoted by a third party
	FromMemory Provenance = "from memory" // not seen; findings that rest on it say "verify"
)

// Source names where values were seen.
type Source struct {
	Title     string `toml:"title" json:"title"`
	Publisher string `toml:"publisher" json:"publisher"`
	Year      int    `toml:"year" json:"year,omitempty"`
	Section   string `toml:"section" json:"section,omitempty"`
}

// Table is the row set of one table under one edition.
type Table struct {
	Code, Name, Title string
	Edition           string   // the edition asked for
	Section           string   // the number the table has in that edition
	Columns, Units    []string // units as they are printed, "" where there is none
	Rows              []Row
	Provenance        Provenance
	Note              string
	Sources           []Source

	index map[string]int
}

// Row is one row: its key, the cells after the key and how sure it is.
type Row struct {
	Key        string
	Cells      []any // as written: float64, string or nil where the table has no value
	Provenance Provenance

	scales []quantity.Scale // of each column, the key's first
}

// Ref is a value's place, for citations and for the "verify" mark.
type Ref struct {
	Code, Edition, Section string
	Table                  string // name of the table; "" where the place is in none
	Row                    string
	Provenance             Provenance
}

// Class is how sure the value is in words for a reader, who needs to know what to
// verify and not where it was read: "code text seen", "secondary", "from memory",
// or "common practice" for what no code says.
func (r Ref) Class() string {
	switch {
	case r.Code == "Practice":
		return "common practice"
	case r.Provenance == Published:
		return "code text seen"
	case r.Provenance == SecondHand:
		return "secondary"
	}
	return string(FromMemory)
}

// String gives the place the way a calculation sheet cites it, with how sure a
// value is that was not seen in print.
func (r Ref) String() string {
	s := r.Code + " " + r.Edition + " " + r.Section
	if r.Row != "" {
		s += ", row " + r.Row
	}
	if class := r.Class(); r.Provenance != Published {
		s += " (" + class + ")"
	}
	return s
}

// Ref gives the place of the row with the given key ("" for the whole table).
// A row that names its own section in a column "section" stands there.
func (t *Table) Ref(key string) Ref {
	ref := Ref{Code: t.Code, Edition: t.Edition, Section: t.Section, Table: t.Name, Row: key, Provenance: t.Provenance}
	if i, ok := t.index[key]; ok {
		ref.Provenance = t.Rows[i].Provenance
	}
	if own, ok := t.Text(key, "section"); ok && own != "" {
		ref.Section = own
	}
	return ref
}

// Number returns the plain number of the row with the given key in the named
// column; ok is false when the row, the column or the number is not there, and
// where the number has a unit: that is a Quantity.
func (t *Table) Number(key, column string) (v float64, ok bool) {
	v, scale, ok := t.number(key, column)
	return v, ok && scale.Plain()
}

// Quantity returns the number of a row in the base unit of its dimension, as
// package quantity keeps it, by the unit of the column. ok is false as for
// Number, and where the number has no unit.
func (t *Table) Quantity(key, column string) (v float64, ok bool) {
	v, scale, ok := t.number(key, column)
	return scale.Base(v), ok && !scale.Plain()
}

// number gives a number as written, and its unit.
func (t *Table) number(key, column string) (v float64, scale quantity.Scale, ok bool) {
	i, j := t.place(key, column)
	switch {
	case j < 0:
		return 0, scale, false
	case j > 0:
		v, ok = t.Rows[i].Cells[j-1].(float64)
	case t.Units[0] != "": // a key without a unit is a name, even if it is "14"
		v, ok = keyNumber(key)
	}
	if !ok {
		return 0, scale, false
	}
	return v, t.Rows[i].scales[j], true
}

// keyNumber reads the key of a row as a number.
func keyNumber(key string) (float64, bool) {
	v, err := strconv.ParseFloat(key, 64)
	return v, err == nil
}

// Text returns the text cell of a row, as Number does for numbers.
func (t *Table) Text(key, column string) (v string, ok bool) {
	if i, j := t.place(key, column); j > 0 {
		v, ok = t.Rows[i].Cells[j-1].(string)
	}
	return v, ok
}

// Has reports whether the table has a row with that key.
func (t *Table) Has(key string) bool { _, ok := t.index[key]; return ok }

// place finds a cell; j is below zero where there is none.
func (t *Table) place(key, column string) (i, j int) {
	i, ok := t.index[key]
	if !ok {
		return 0, -1
	}
	return i, slices.Index(t.Columns, column)
}

// Set holds all tables. The zero Set has none.
type Set struct {
	files map[string]*file // by "CODE/name"
}

// file is one table file. What it holds is built when it is first read.
type file struct {
	path   string
	text   string
	packed string // what the text says, ready made; "" where the text is decoded
	header

	once  sync.Once
	errs  []error
	built map[string]*Table // by edition
}

// header is what a file is found by.
type header struct {
	code, name string
	editions   []string
}

// contents is a file as TOML gives it.
type contents struct {
	Name     string    `toml:"name"`
	Code     string    `toml:"code"`
	Title    string    `toml:"title"`
	Columns  []string  `toml:"columns"`
	Units    []string  `toml:"units"`
	Editions []edition `toml:"edition"`
}

// header is what the file is found by.
func (c *contents) header() header {
	h := header{code: c.Code, name: c.Name}
	for _, e := range c.Editions {
		h.editions = append(h.editions, e.Editions...)
	}
	return h
}

type edition struct {
	Editions   []string   `toml:"editions"`
	Section    string     `toml:"section"`
	Provenance Provenance `toml:"provenance"`
	FromMemory []string   `toml:"from_memory"`
	Note       string     `toml:"note"`
	Rows       [][]any    `toml:"rows"`
	Sources    []Source   `toml:"source"`
}

// MissingError says that a table is not known for an edition, and which
// editions are.
type MissingError struct {
	Code, Name, Edition string
	Known               []string
}

func (e *MissingError) Error() string {
	if len(e.Known) == 0 {
		return fmt.Sprintf("no table %s %s", e.Code, e.Name)
	}
	return fmt.Sprintf("table %s %s is not known for edition %q (known: %s)", e.Code, e.Name, e.Edition, strings.Join(e.Known, ", "))
}

// Load reads every .toml file below root. All faults are returned at once,
// joined, each with its file.
func Load(fsys fs.FS, root string) (*Set, error) { return load(fsys, root, false) }

// LoadProven reads files that Load is known to accept, as the tests prove of
// the embedded ones: a file that is ready made is not decoded, and what it holds is
// built when its table is first asked for, which a start of the program feels.
func LoadProven(fsys fs.FS, root string) (*Set, error) { return load(fsys, root, true) }

func load(fsys fs.FS, root string, proven bool) (*Set, error) {
	s := &Set{files: map[string]*file{}}
	var ready map[string]*readyFile
	if proven {
		ready = readyFiles()
	}
	var errs []error
	var text bytes.Buffer // of one file after the other
	err := fs.WalkDir(fsys, root, func(p string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || path.Ext(p) != ".toml" {
			return err
		}
		opened, err := fsys.Open(p)
		if err != nil {
			return err
		}
		defer opened.Close()
		text.Reset()
		if _, err := text.ReadFrom(opened); err != nil {
			return err
		}
		f := &file{path: p}
		if is := ready[sumOf(text.Bytes())]; is != nil {
			f.header, f.packed = header{is.Code, is.Name, is.Editions}, is.Contents
		} else {
			f.text = text.String()
			errs = append(errs, f.read()...)
		}
		key := f.code + "/" + f.name
		if old := s.files[key]; old != nil {
			errs = append(errs, fmt.Errorf("%s: table %s %s already stands in %s", p, f.code, f.name, old.path))
			return nil
		}
		s.files[key] = f
		return nil
	})
	return s, errors.Join(append(errs, err)...)
}

// decode gives what the file says.
func (f *file) decode() (c contents, err error) {
	if f.packed != "" {
		return packed.Decode[contents](f.packed)
	}
	md, err := toml.Decode(f.text, &c)
	for _, k := range md.Undecoded() {
		f.errs = append(f.errs, fmt.Errorf("%s: unknown key %q", f.path, k.String()))
	}
	return c, err
}

// read decodes and builds the file, once.
func (f *file) read() []error {
	f.once.Do(func() {
		c, err := f.decode()
		if err != nil {
			f.errs = []error{fmt.Errorf("%s: %w", f.path, err)}
			return
		}
		if f.packed == "" { // else it is known from the start, and others read it meanwhile
			f.header = c.header()
		}
		f.errs = append(f.errs, f.build(&c)...)
		f.text = ""
	})
	return f.errs
}

func (f *file) build(c *contents) (errs []error) {
	fail := func(format string, a ...any) { errs = append(errs, fmt.Errorf(f.path+": "+format, a...)) }
	if c.Name == "" || c.Code == "" || c.Title == "" {
		fail("name, code and title are needed")
	}
	if len(c.Columns) < 2 || len(c.Units) != len(c.Columns) {
		fail("needs at least two columns and one unit for each column (empty for none)")
	}
	heads, units := make([]quantity.Scale, len(c.Columns)), make([]string, len(c.Columns))
	for j := range copy(units, c.Units) {
		if unit := units[j]; !readUnit(unit, &heads[j]) {
			fail("column %q: unknown unit %q", c.Columns[j], unit)
		}
	}
	printed := slices.Clone(units)
	for j, scale := range heads {
		if !scale.Plain() {
			printed[j] = scale.String()
		}
	}
	named := slices.Index(c.Columns, "unit") // gives the unit of the column before it
	if named >= 0 && (named < 2 || units[named] != "" || units[named-1] != "") {
		fail("a column unit follows the column that it is for, and neither has a unit of its own")
		named = -1
	}
	f.built = map[string]*Table{}
	for _, e := range c.Editions {
		if e.Provenance != Published && e.Provenance != SecondHand && e.Provenance != FromMemory {
			fail("edition %v: provenance %q is none of published, second-hand, from memory", e.Editions, e.Provenance)
		}
		if e.Provenance == Published && len(e.Sources) == 0 {
			fail("edition %v: published values need a source", e.Editions)
		}
		rows := make([]Row, 0, len(e.Rows))
		index := map[string]int{}
		for i, r := range e.Rows {
			if len(r) != len(c.Columns) {
				fail("edition %v row %d: %d cells for %d columns", e.Editions, i+1, len(r), len(c.Columns))
				continue
			}
			row := Row{Key: fmt.Sprint(r[0]), Provenance: e.Provenance, scales: heads}
			if named >= 0 {
				unit, _ := r[named].(string)
				row.scales = slices.Clone(heads)
				if units[named-1] = unit; !readUnit(unit, &row.scales[named-1]) {
					fail("edition %v row %q, column %q: unknown unit %q", e.Editions, row.Key, c.Columns[named-1], unit)
				}
			}
			if _, ok := keyNumber(row.Key); !ok && units[0] != "" {
				fail("edition %v: the key %q is no number of the unit %q", e.Editions, row.Key, c.Units[0])
			}
			if slices.Contains(e.FromMemory, row.Key) {
				row.Provenance = FromMemory
			}
			for j, v := range r[1:] {
				if !fits(v, units[j+1]) {
					fail("edition %v row %q, column %q: %v does not go with the unit %q", e.Editions, row.Key, c.Columns[j+1], v, units[j+1])
				}
				switch v := v.(type) {
				case int64:
					row.Cells = append(row.Cells, float64(v))
				case float64:
					if math.IsNaN(v) { // nan marks a cell that the table leaves empty
						row.Cells = append(row.Cells, nil)
						continue
					}
					row.Cells = append(row.Cells, v)
				case string:
					row.Cells = append(row.Cells, v)
				default:
					fail("edition %v row %d: a cell is neither number nor text", e.Editions, i+1)
				}
			}
			if _, dup := index[row.Key]; dup {
				fail("edition %v: two rows with key %q", e.Editions, row.Key)
			}
			index[row.Key] = len(rows)
			rows = append(rows, row)
		}
		for _, k := range e.FromMemory {
			if _, ok := index[k]; !ok {
				fail("edition %v: from_memory names no row %q", e.Editions, k)
			}
		}
		for _, ed := range e.Editions {
			if f.built[ed] != nil {
				fail("edition %q is given twice", ed)
			}
			f.built[ed] = &Table{Code: c.Code, Name: c.Name, Title: c.Title, Edition: ed, Section: e.Section,
				Columns: c.Columns, Units: printed, Rows: rows, Provenance: e.Provenance, Note: e.Note,
				Sources: e.Sources, index: index}
		}
	}
	return errs
}

// readUnit reads the unit of a column; one of plain numbers, texts or conductor
// sizes leaves the scale plain. It reports whether the unit is known.
func readUnit(unit string, scale *quantity.Scale) (ok bool) {
	if unit == "" || quantity.IsSizeSeries(unit) {
		return true
	}
	*scale, ok = quantity.ParseScale(unit)
	return ok
}

// fits reports whether a cell is what the unit asks for: numbers in units,
// sizes in a series of sizes, anything where there is no unit.
func fits(cell any, unit string) bool {
	text, isText := cell.(string)
	number, isNumber := cell.(float64)
	switch {
	case unit == "" || text == "" && isText || math.IsNaN(number) && isNumber:
		return true
	case quantity.IsSizeSeries(unit):
		_, err := quantity.ParseSize(text)
		return isText && err == nil
	}
	return !isText
}

// Get returns a table under one edition, or a *MissingError.
func (s *Set) Get(code, edition, name string) (*Table, error) {
	f := s.files[code+"/"+name]
	if f == nil {
		return nil, &MissingError{Code: code, Name: name, Edition: edition}
	}
	if errs := f.read(); len(errs) > 0 {
		return nil, errors.Join(errs...)
	}
	if t := f.built[edition]; t != nil {
		return t, nil
	}
	known := slices.Clone(f.editions)
	slices.Sort(known)
	return nil, &MissingError{Code: code, Name: name, Edition: edition, Known: known}
}

// Editions lists the editions of a code that any of its tables is known for,
// sorted. It decodes nothing.
func (s *Set) Editions(code string) []string {
	var known []string
	for _, f := range s.files {
		if f.code == code {
			known = append(known, f.editions...)
		}
	}
	slices.Sort(known)
	return slices.Compact(known)
}

// All returns every table under every edition, sorted by code, name, edition.
// A file that cannot be read has none.
func (s *Set) All() []*Table {
	var all []*Table
	for _, f := range s.files {
		f.read()
		for _, t := range f.built {
			all = append(all, t)
		}
	}
	sort.Slice(all, func(i, j int) bool {
		a, b := all[i], all[j]
		return a.Code+"\x00"+a.Name+"\x00"+a.Edition < b.Code+"\x00"+b.Name+"\x00"+b.Edition
	})
	return all
}
