package from

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"plumbrule/internal/bound"
	"plumbrule/internal/draft"
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/source"
)

// modules reads a schedule of modules, each line of which is one module or one
// row of an array. Its columns are array and
//
//   - row and column, one line a module, counted as in an array: row 1 is the lowest;
//   - row and modules, one line a row, and first, the column of its first module;
//   - x and y, one line a module: its lower left corner on the surface of the plane;
//
// and any key of an array, said in one line of it or alike in all.
func (r *reader) modules(f *source.File) {
	s, ok := r.sheet(f)
	if !ok {
		return
	}
	list, _ := job.Model().Field(arrayKey)
	own := []string{arrayKey, "row", "column", modulesKey, "first", "x", "y"}
	columns, mine, ok := r.columns(s, list.Table, own...)
	if !ok {
		return
	}
	has := func(names ...string) bool {
		return !slices.ContainsFunc(names, func(n string) bool { _, there := mine[n]; return !there })
	}
	m := &moduleSheet{reader: r, columns: columns, mine: mine}
	switch {
	case !has(arrayKey):
		r.fault(s.heading[0].at, "the columns are array with row and column, with row and modules, or with x and y", "the column \"array\" is missing")
		return
	case has("row", "column") && !has(modulesKey) && !has("x") && !has("y"):
		m.places = m.byCell
	case has("row", modulesKey) && !has("column") && !has("x") && !has("y"):
		m.places = m.byRow
	case has("x", "y") && !has("row") && !has("column") && !has(modulesKey):
		m.places = m.byPosition
	default:
		r.fault(s.heading[0].at, "beside array the columns are row and column, or row and modules with first, or x and y", "the columns do not tell where the modules are")
		return
	}
	for _, name := range own {
		if i, there := mine[name]; there && columns[i].unit != "" && name != "x" && name != "y" {
			r.fault(columns[i].at, "", "the column %q takes no unit; found %q", name, columns[i].unit)
		}
	}
	byArray := map[string][][]cell{}
	var names []string
	for _, row := range s.rows {
		name := row[mine[arrayKey]].text
		if name == "" {
			r.fault(row[mine[arrayKey]].at, "the name of its array is expected", "the line has no array")
			continue
		}
		if _, seen := byArray[name]; !seen {
			names = append(names, name)
		}
		byArray[name] = append(byArray[name], row)
	}
	total := 0
	for _, name := range names {
		total += m.array(name, byArray[name])
	}
	r.note("%s: %s in %s", f.Name, counted(total, "module", "modules"), counted(len(names), "array", "arrays"))
}

// moduleSheet is a schedule of modules while it is read.
type moduleSheet struct {
	*reader
	columns []*column
	mine    map[string]int
	places  func(name string, lines [][]cell, t *draft.Table) map[job.Cell]source.Span
}

// array makes one array of its lines, and counts its modules.
func (m *moduleSheet) array(name string, lines [][]cell) int {
	before := len(m.faults)
	tables := m.entry(arrayKey, m.columns, m.alike(name, lines))
	t := tables[0]
	at := lines[0][m.mine[arrayKey]].at
	t.From = at
	grid := &draft.Table{Entries: []draft.Entry{{Key: "name", Value: job.Quote(name), From: at}}}
	occupied := m.places(name, lines, grid)
	if len(m.faults) > before {
		return 0
	}
	rows, columns := 0, 0
	for c := range occupied {
		rows, columns = max(rows, c.Row), max(columns, c.Column)
	}
	if rows > mostGrid || columns > mostGrid {
		m.fault(at, fmt.Sprintf("at most %d are read", mostGrid), "the array %q has a grid of %d rows and %d columns", name, rows, columns)
		return 0
	}
	grid.Entries = append(grid.Entries,
		draft.Entry{Key: "rows", Value: strconv.Itoa(rows), From: at},
		draft.Entry{Key: "columns", Value: strconv.Itoa(columns), From: at})
	var omit []string
	for row := 1; row <= rows; row++ {
		for column := 1; column <= columns; column++ {
			if _, there := occupied[job.Cell{Row: row, Column: column}]; !there {
				omit = append(omit, fmt.Sprintf("[%d, %d]", row, column))
			}
		}
	}
	if len(omit) > 0 {
		grid.Entries = append(grid.Entries, draft.Entry{Key: "omit", Value: "[" + strings.Join(omit, ", ") + "]", From: at})
	}
	for _, e := range t.Entries {
		if i := slices.IndexFunc(grid.Entries, func(g draft.Entry) bool { return g.Key == e.Key }); i >= 0 {
			if e.Value != "" && e.Value != grid.Entries[i].Value {
				m.fault(e.From, "the schedule's own lines tell it", "%s of the array %q is %s, and the places of its modules make %s", e.Key, name, e.Value, grid.Entries[i].Value)
			}
			continue
		}
		grid.Entries = append(grid.Entries, e)
	}
	list, _ := job.Model().Field(arrayKey)
	order := list.Table.Keys()
	slices.SortStableFunc(grid.Entries, func(a, b draft.Entry) int { return cmp.Compare(slices.Index(order, a.Key), slices.Index(order, b.Key)) })
	t.Entries = grid.Entries
	m.Tables = append(m.Tables, tables...)
	return len(occupied)
}

// mostGrid bounds the rows and the columns of an array.
const mostGrid = 1000

// alike gives one line with the keys that the lines of an array say, which must
// agree.
func (m *moduleSheet) alike(name string, lines [][]cell) []cell {
	one := slices.Clone(lines[0])
	for i, c := range m.columns {
		if c.field == nil {
			continue
		}
		for _, line := range lines {
			switch {
			case line[i].text == "":
			case one[i].text == "":
				one[i] = line[i]
			case one[i].text != line[i].text:
				m.faults = append(m.faults, source.Fault{At: line[i].at, Message: fmt.Sprintf("%s of the array %q is %q here", c.field.Key, name, line[i].text), Expected: "one array has one value",
					Also: []source.Further{{At: one[i].at, Note: fmt.Sprintf("here it is %q", one[i].text)}}})
			}
		}
	}
	return one
}

// count reads a whole number of one or more from a column of the schedule's own.
func (m *moduleSheet) count(line []cell, name string) (int, bool) {
	c := line[m.mine[name]]
	n, err := strconv.Atoi(c.text)
	if err != nil || n < 1 || n > bound.ListEntries {
		m.fault(c.at, "a whole number of one or more is expected", "%s: found %q", name, c.text)
		return 0, false
	}
	return n, true
}

// occupy notes a module at a place of the grid, where only one can be.
func (m *moduleSheet) occupy(taken map[job.Cell]source.Span, at job.Cell, span source.Span, name string) {
	if first, twice := taken[at]; twice {
		m.faults = append(m.faults, source.Fault{At: span, Message: fmt.Sprintf("two modules of the array %q are at row %d, column %d", name, at.Row, at.Column), Also: []source.Further{{At: first, Note: source.FirstHere}}})
		return
	}
	taken[at] = span
}

func (m *moduleSheet) byCell(name string, lines [][]cell, _ *draft.Table) map[job.Cell]source.Span {
	taken := map[job.Cell]source.Span{}
	for _, line := range lines {
		row, rowFine := m.count(line, "row")
		column, columnFine := m.count(line, "column")
		if rowFine && columnFine {
			m.occupy(taken, job.Cell{Row: row, Column: column}, line[m.mine["row"]].at, name)
		}
	}
	return taken
}

func (m *moduleSheet) byRow(name string, lines [][]cell, _ *draft.Table) map[job.Cell]source.Span {
	taken := map[job.Cell]source.Span{}
	_, placed := m.mine["first"]
	least, most := math.MaxInt, 0
	for _, line := range lines {
		row, rowFine := m.count(line, "row")
		modules, modulesFine := m.count(line, modulesKey)
		first, firstFine := 1, true
		if placed {
			first, firstFine = m.count(line, "first")
		}
		if !rowFine || !modulesFine || !firstFine {
			continue
		}
		if modules > mostGrid {
			m.fault(line[m.mine[modulesKey]].at, fmt.Sprintf("at most %d are read", mostGrid), "the row has %d modules", modules)
			continue
		}
		least, most = min(least, modules), max(most, modules)
		for i := range modules {
			m.occupy(taken, job.Cell{Row: row, Column: first + i}, line[m.mine["row"]].at, name)
		}
	}
	if !placed && least < most {
		m.fault(lines[0][m.mine["row"]].at, `the column "first" is expected: the column, counted from the left seen looking up the slope, that a row begins in`,
			"the rows of the array %q have from %d to %d modules, and nothing says where they begin", name, least, most)
	}
	return taken
}

// offGrid is how far a module may stand off the grid that the others make, in
// metres: 3 mm, an eighth of an inch.
const offGrid = 0.003

func (m *moduleSheet) byPosition(name string, lines [][]cell, t *draft.Table) map[job.Cell]source.Span {
	read := func(axis string) (places []float64, least string, fine bool) {
		fine = true
		for _, line := range lines {
			text, at, ok := m.length(m.columns[m.mine[axis]], line[m.mine[axis]])
			fine = fine && ok
			if len(places) == 0 || at < slices.Min(places) {
				least = text
			}
			places = append(places, at)
		}
		return places, least, fine
	}
	x, left, fineX := read("x")
	y, low, fineY := read("y")
	if !fineX || !fineY {
		return nil
	}
	columns, across, offX := steps(x)
	rows, up, offY := steps(y)
	for axis, off := range map[string]int{"x": offX, "y": offY} {
		if off >= 0 {
			m.fault(lines[off][m.mine[axis]].at, fmt.Sprintf("places within %g mm of one grid are expected; a block that is shifted is an array of its own", offGrid*1000),
				"the module stands off the grid of the array %q in %s", name, axis)
		}
	}
	if offX >= 0 || offY >= 0 {
		return nil
	}
	taken := map[job.Cell]source.Span{}
	for i, line := range lines {
		m.occupy(taken, job.Cell{Row: rows[i], Column: columns[i]}, line[m.mine["x"]].at, name)
	}
	at := lines[0][m.mine["x"]].at
	t.Entries = append(t.Entries, draft.Entry{Key: "origin", Value: "[" + job.Quote(left) + ", " + job.Quote(low) + "]", From: at})
	m.pitches = append(m.pitches, pitch{array: name, across: across, up: up, at: at})
	return taken
}

// steps numbers places along an axis by the grid that they make, from 1, and
// gives its step, 0 where all stand at one place; off is a place that is not on
// the grid, -1 for none.
func steps(places []float64) (numbers []int, step float64, off int) {
	sorted := slices.Sorted(slices.Values(places))
	first, last := sorted[0], sorted[len(sorted)-1]
	for i := 1; i < len(sorted); i++ {
		if gap := sorted[i] - sorted[i-1]; gap > offGrid && (step == 0 || gap < step) {
			step = gap
		}
	}
	numbers = make([]int, len(places))
	if step > 0 { // the mean over the whole array is the better step
		step = (last - first) / math.Max(1, math.Round((last-first)/step))
	}
	for i, p := range places {
		n := 0.0
		if step > 0 {
			n = math.Round((p - first) / step)
		}
		if math.Abs(p-first-n*step) > offGrid {
			return nil, 0, i
		}
		numbers[i] = int(n) + 1
	}
	return numbers, step, -1
}

// pitch is how far apart the modules of an array stand, from corner to corner,
// in metres; 0 across a single column or up a single row.
type pitch struct {
	array      string
	across, up float64
	at         source.Span
}

// gaps works out the gaps between modules that were placed by their corners,
// where the size of their type and their orientation are known; else they are
// left open, with the distances as a remark.
func (r *Reading) gaps(tables []*draft.Table) (faults source.Faults) {
	for _, p := range r.pitches {
		i := slices.IndexFunc(r.Tables, func(t *draft.Table) bool { return t.Key == arrayKey && named(t) == p.array })
		array := r.Tables[i]
		across, up := size(tables, said(array, "module"))
		switch said(array, "orientation") {
		case "portrait":
			across, up = up, across
		case "landscape":
		default:
			across, up = 0, 0
		}
		for _, g := range []struct {
			key, way   string
			step, side float64
		}{{"gap_x", "along the eave", p.across, across}, {"gap_y", "up the slope", p.up, up}} {
			gap := g.step - g.side
			switch {
			case g.step == 0 || said(array, g.key) != "":
			case g.side == 0:
				array.Note = strings.TrimPrefix(array.Note+"\n"+fmt.Sprintf("its modules stand %s apart %s, from corner to corner: %s is that less their side", millimetres(g.step), g.way, g.key), "\n")
			case gap < -offGrid:
				faults = append(faults, source.Fault{At: p.at, Message: fmt.Sprintf("the modules of the array %q stand %s apart %s, from corner to corner, and are %s long that way", p.array, millimetres(g.step), g.way, millimetres(g.side))})
			default:
				array.Entries = append(array.Entries, draft.Entry{Key: g.key, Value: job.Quote(millimetres(max(gap, 0))), Note: "by the places of the modules", From: p.at})
			}
		}
	}
	return faults
}

func millimetres(m float64) string { return scale{unit: "mm", places: 1, factor: 1000}.length(m) }

// size is the long and the short side of a module type, in metres; 0 for what
// is not stated.
func size(tables []*draft.Table, name string) (long, short float64) {
	for _, t := range tables {
		if t.Key == "module_type" && named(t) == name && name != "" {
			l, _ := quantity.Parse(said(t, "length"), quantity.Length)
			w, _ := quantity.Parse(said(t, "width"), quantity.Length)
			return l.SI, w.SI
		}
	}
	return 0, 0
}

// said is a text of a table, "" where it is open or no text.
func said(t *draft.Table, key string) string {
	for _, e := range t.Entries {
		if e.Key == key {
			return unquoted(e.Value)
		}
	}
	return ""
}

func named(t *draft.Table) string { return said(t, "name") }
