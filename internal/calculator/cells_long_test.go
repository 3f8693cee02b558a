//go:build long

package calculator

import (
	"bytes"
	goflag "flag"
	"fmt"
	"io/fs"
	"maps"
	"math"
	"os"
	"path"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/fstest"

	"github.com/BurntSushi/toml"

	"plumbrule/internal/quantity"
	"plumbrule/internal/table"
	"plumbrule/rules"
)

var update = goflag.Bool("update", false, "rewrite the list of cells that nothing holds")

const unheldCells = "../../testdata/unheld-cells.txt"

// change is by how much a cell or a unit is changed; a zero becomes 0.07.
const change = 1.07

// TestEveryCellIsHeld changes each numeric cell of each table and edition, and
// each unit of a column, in turn. Where no check against the outside notices,
// the cell must stand in the list of unheld cells; a cell that is held must not.
func TestEveryCellIsHeld(t *testing.T) {
	checks := outsides(t)
	var work []*tried
	for _, f := range tableFiles(t) {
		work = append(work, f.cells()...)
		unchanged := f.with(every, func([]any) {})
		for _, c := range checks {
			if d := c.differences(unchanged); len(d) > 0 {
				t.Fatalf("%s written anew without a change: %s", f.path, d)
			}
		}
	}
	readers := readersOf(work, checks)
	inParallel(work, func(w *tried) {
		set := w.file.with(w.edition, w.change)
		for _, i := range readers[w.file.reads(w.edition)] {
			if len(checks[i].differences(set)) > 0 {
				w.held = true
				return
			}
		}
	})
	var unheld []string
	for _, w := range work {
		if !w.held {
			unheld = append(unheld, w.name())
		}
	}
	text := compact(work)
	t.Logf("cells and units: %d tried, %d held, %d in the list", len(work), len(work)-len(unheld), len(unheld))
	if *update {
		if err := os.WriteFile(unheldCells, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	listed, err := os.ReadFile(unheldCells)
	if err != nil {
		t.Fatal(err)
	}
	known := expand(t, work, string(listed))
	for _, name := range unheld {
		if !known[name] {
			t.Errorf("nothing notices a change of %s, and it is not in the list", name)
		}
		delete(known, name)
	}
	for _, name := range slices.Sorted(maps.Keys(known)) {
		t.Errorf("%s is held: shrink the list (-update)", name)
	}
	if string(listed) != text {
		t.Error("the list is not as -update writes it")
	}
}

// tableFile is one file of tables as data that can be changed.
type tableFile struct {
	path string
	body struct {
		Name    string           `toml:"name"`
		Code    string           `toml:"code"`
		Title   string           `toml:"title"`
		Columns []string         `toml:"columns"`
		Units   []string         `toml:"units"`
		Edition []map[string]any `toml:"edition"`
	}
}

func tableFiles(t *testing.T) (list []*tableFile) {
	t.Helper()
	err := fs.WalkDir(rules.FS, "tables", func(p string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || path.Ext(p) != ".toml" {
			return err
		}
		f := &tableFile{path: p}
		list = append(list, f)
		_, err = toml.DecodeFS(rules.FS, p, &f.body)
		return err
	})
	if err != nil || len(list) < 80 {
		t.Fatalf("%d files of tables: %v", len(list), err)
	}
	return list
}

// every stands for all editions, where a column's unit is changed.
const every = "every edition"

// tried is one cell, or the unit of a column (row "unit", every edition). A unit
// that is larger by the change is the same as numbers that are; where each row
// has its own unit, the cell stands for both.
type tried struct {
	file                 *tableFile
	edition, row, column string
	change               func(row []any)
	held                 bool
}

func (w *tried) table() string { return w.file.body.Code + " " + w.file.body.Name }
func (w *tried) name() string {
	return strings.Join([]string{w.table(), w.edition, w.column, w.row}, " | ")
}

// cells lists what can be changed in a file.
func (f *tableFile) cells() (list []*tried) {
	for j, column := range f.body.Columns {
		scale := func(row []any) {
			if v := changed(row[j]); v != nil {
				row[j] = v
			}
		}
		unit := f.body.Units[j]
		if j == 0 && unit == "" {
			continue // a key without a unit is a name
		}
		if unit != "" && !quantity.IsSizeSeries(unit) {
			list = append(list, &tried{file: f, edition: every, row: "unit", column: column, change: scale})
		}
		for _, block := range f.body.Edition {
			for _, edition := range block["editions"].([]any) {
				for _, row := range block["rows"].([]any) {
					row := row.([]any)
					key := fmt.Sprint(row[0])
					if changed(row[j]) == nil {
						continue
					}
					list = append(list, &tried{file: f, edition: edition.(string), row: key, column: column, change: func(row []any) {
						if fmt.Sprint(row[0]) == key {
							scale(row)
						}
					}})
				}
			}
		}
	}
	return list
}

// changed is a number after the change; nil for what is no number.
func changed(cell any) any {
	v := math.NaN()
	switch c := cell.(type) {
	case int64:
		v = float64(c)
	case float64:
		v = c
	}
	switch {
	case math.IsNaN(v):
		return nil
	case v == 0:
		return change - 1
	}
	return v * change
}

// with gives all tables, with the rows of an edition of this file changed; no
// change leaves the edition out.
func (f *tableFile) with(edition string, change func(row []any)) *table.Set {
	body := f.body
	body.Edition = nil
	for _, block := range f.body.Edition {
		var rest []any
		for _, e := range block["editions"].([]any) {
			if edition != every && e != edition {
				rest = append(rest, e)
				continue
			}
			if change == nil {
				continue
			}
			other := maps.Clone(block)
			var rows []any
			for _, row := range block["rows"].([]any) {
				row := slices.Clone(row.([]any))
				change(row)
				rows = append(rows, row)
			}
			other["editions"], other["rows"] = []any{e}, rows
			body.Edition = append(body.Edition, other)
		}
		if len(rest) > 0 {
			other := maps.Clone(block)
			other["editions"] = rest
			body.Edition = append(body.Edition, other)
		}
	}
	var text bytes.Buffer
	if err := toml.NewEncoder(&text).Encode(body); err != nil {
		panic(err)
	}
	return must(table.LoadProven(overlay{rules.FS, f.path, text.Bytes()}, "tables"))
}

// overlay is a file system with another text in one file.
type overlay struct {
	fs.FS
	path string
	text []byte
}

func (o overlay) Open(name string) (fs.File, error) {
	if name == o.path {
		return fstest.MapFS{name: {Data: o.text}}.Open(name)
	}
	return o.FS.Open(name)
}

// reads names what a check may read: a file, or one edition of it.
func (f *tableFile) reads(edition string) string { return f.path + " " + edition }

// readersOf finds which checks read an edition of a file: those that differ
// without it. Only these can notice a change in it.
func readersOf(work []*tried, checks []outside) map[string][]int {
	readers := map[string][]int{}
	var first []*tried
	for _, w := range work {
		if key := w.file.reads(w.edition); readers[key] == nil {
			readers[key] = []int{}
			first = append(first, w)
		}
	}
	var lock sync.Mutex
	inParallel(first, func(w *tried) {
		set := w.file.with(w.edition, nil)
		var list []int
		for i, c := range checks {
			if len(c.differences(set)) > 0 {
				list = append(list, i)
			}
		}
		lock.Lock()
		readers[w.file.reads(w.edition)] = list
		lock.Unlock()
	})
	return readers
}

func inParallel[T any](work []T, do func(T)) {
	next := make(chan T)
	var wg sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		wg.Go(func() {
			for w := range next {
				do(w)
			}
		})
	}
	for _, w := range work {
		next <- w
	}
	close(next)
	wg.Wait()
}

// column is a column of a table under an edition, with what was tried in it in
// the order of the rows.
type column struct{ table, edition, column string }

func byColumn(work []*tried) map[column][]*tried {
	all := map[column][]*tried{}
	for _, w := range work {
		k := column{w.table(), w.edition, w.column}
		all[k] = append(all[k], w)
	}
	return all
}

// compact writes the list: one line a table, column and rows, with the
// editions for which it is so. Rows that follow one another are a range.
func compact(work []*tried) string {
	editions := map[[3]string][]string{} // by table, column and rows
	for k, cells := range byColumn(work) {
		if rows := ranges(cells); rows != "" {
			line := [3]string{k.table, k.column, rows}
			editions[line] = append(editions[line], k.edition)
		}
	}
	var lines []string
	for line, list := range editions {
		slices.Sort(list)
		lines = append(lines, strings.Join([]string{line[0], strings.Join(list, ", "), line[1], line[2]}, " | ")+"\n")
	}
	slices.Sort(lines)
	return "# Cells and units of code tables that no published value holds: table | editions | column | rows.\n" +
		"# Written by the long test of internal/calculator with -update; it may only shrink.\n" + strings.Join(lines, "")
}

// ranges names the rows that nothing holds.
func ranges(cells []*tried) string {
	var list []string
	for i := 0; i < len(cells); i++ {
		if cells[i].held {
			continue
		}
		from := i
		for i+1 < len(cells) && !cells[i+1].held {
			i++
		}
		switch {
		case from == 0 && i == len(cells)-1 && i > 0:
			return "all"
		case from == i:
			list = append(list, cells[i].row)
		default:
			list = append(list, cells[from].row+" .. "+cells[i].row)
		}
	}
	return strings.Join(list, "; ")
}

// expand reads the list back into the names of cells.
func expand(t *testing.T, work []*tried, text string) map[string]bool {
	t.Helper()
	all, names := byColumn(work), map[string]bool{}
	for line := range strings.Lines(text) {
		if strings.HasPrefix(line, "#") {
			continue
		}
		part := strings.Split(strings.TrimSpace(line), " | ")
		if len(part) != 4 {
			t.Errorf("not four parts: %q", line)
			continue
		}
		for _, edition := range strings.Split(part[1], ", ") {
			cells := all[column{part[0], edition, part[2]}]
			for _, rows := range strings.Split(part[3], "; ") {
				from, to, isRange := strings.Cut(rows, " .. ")
				if !isRange {
					to = from
				}
				a := slices.IndexFunc(cells, func(w *tried) bool { return w.row == from })
				b := slices.IndexFunc(cells, func(w *tried) bool { return w.row == to })
				if rows == "all" {
					a, b = 0, len(cells)-1
				}
				if a < 0 || b < a {
					t.Errorf("no such rows: %s", strings.TrimSpace(line))
					continue
				}
				for _, w := range cells[a : b+1] {
					names[w.name()] = true
				}
			}
		}
	}
	return names
}
