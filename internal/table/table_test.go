package table

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"testing/fstest"

	"plumbrule/internal/quantity"
	"plumbrule/rules"
)

const small = `name = "sizes"
code = "X"
title = "sizes"
columns = ["size", "area", "use"]
units = ["", "in2", ""]

[[edition]]
editions = ["1", "2"]
section = "7"
provenance = "published"
from_memory = ["b"]
rows = [["a", 1, "yes"], ["b", 2.5, "no"], ["c", nan, ""]]
[[edition.source]]
title = "t"
publisher = "p"
`

func TestGet(t *testing.T) {
	for name, load := range map[string]func(fstest.MapFS) (*Set, error){
		"strictly": func(f fstest.MapFS) (*Set, error) { return Load(f, "t") },
		"proven":   func(f fstest.MapFS) (*Set, error) { return LoadProven(f, "t") },
	} {
		s, err := load(fstest.MapFS{"t/x/sizes.toml": {Data: []byte(small)}})
		if err != nil {
			t.Fatal(err)
		}
		if got := s.Editions("X"); !slices.Equal(got, []string{"1", "2"}) {
			t.Errorf("%s: editions %q", name, got)
		}
		tab, err := s.Get("X", "2", "sizes")
		if err != nil {
			t.Fatal(err)
		}
		if v, ok := tab.Quantity("b", "area"); !ok || v != 2.5*0.00064516 {
			t.Errorf("%s: quantity %v %v", name, v, ok)
		}
		if v, ok := tab.Text("a", "use"); !ok || v != "yes" {
			t.Errorf("%s: text %q %v", name, v, ok)
		}
		for _, absent := range [][2]string{{"c", "area"}, {"d", "area"}, {"a", "use"}, {"a", "size"}, {"a", "none"}} {
			if v, ok := tab.Number(absent[0], absent[1]); ok {
				t.Errorf("%s: row %s column %s is a number: %v", name, absent[0], absent[1], v)
			}
			if v, ok := tab.Quantity(absent[0], absent[1]); ok {
				t.Errorf("%s: row %s column %s is a quantity: %v", name, absent[0], absent[1], v)
			}
		}
		if a, b := tab.Ref("a"), tab.Ref("b"); a.Provenance != Published || b.String() != "X 2 7, row b (from memory)" {
			t.Errorf("%s: places %v, %v", name, a, b)
		}
		for want, ask := range map[string][3]string{
			`no table X none`: {"X", "1", "none"},
			`table X sizes is not known for edition "3" (known: 1, 2)`: {"X", "3", "sizes"},
		} {
			var missing *MissingError
			if _, err := s.Get(ask[0], ask[1], ask[2]); !errors.As(err, &missing) || err.Error() != want {
				t.Errorf("%s: %v, expected %s", name, err, want)
			}
		}
	}
}

// A row that names its section stands there, another in its table's.
func TestRefOfARow(t *testing.T) {
	s, err := Load(fstest.MapFS{"t/x/own.toml": {Data: []byte(`name = "own"
code = "X"
title = "rows of two sections"
columns = ["name", "value", "section"]
units = ["", "", ""]
[[edition]]
editions = ["1"]
section = "7"
provenance = "from memory"
rows = [["a", 1, "7(A)"], ["b", 2, ""]]
`)}}, "t")
	if err != nil {
		t.Fatal(err)
	}
	tab, err := s.Get("X", "1", "own")
	if err != nil {
		t.Fatal(err)
	}
	for row, want := range map[string]string{"a": "7(A)", "b": "7", "": "7"} {
		if got := tab.Ref(row); got.Section != want || got.Table != "own" {
			t.Errorf("row %q stands in %q of %q, expected %q", row, got.Section, got.Table, want)
		}
	}
}

// A number is plain or a quantity by the unit of its column, of its row where
// the table names units row by row, and of the key where that has one; never
// both.
func TestNumberOrQuantity(t *testing.T) {
	const heads = "name = \"%s\"\ncode = \"X\"\ntitle = \"t\"\ncolumns = [%s]\nunits = [%s]\n[[edition]]\neditions = [\"1\"]\nprovenance = \"from memory\"\nrows = [%s]\n"
	s, err := Load(fstest.MapFS{
		"t/bands.toml": {Data: fmt.Appendf(nil, heads, "bands", `"to", "factor", "rise", "size"`, `"degF", "", "delta degF", "AWG or kcmil"`, `["212", 0.5, 9, "1/0"], ["32", 1, nan, ""]`)},
		"t/named.toml": {Data: fmt.Appendf(nil, heads, "named", `"14", "value", "unit"`, `"", "", ""`, `["share", 0.5, ""], ["gap", 6, "in"], ["12", 50, "%"]`)},
	}, "t")
	if err != nil {
		t.Fatal(err)
	}
	if tab, err := s.Get("X", "1", "bands"); err != nil || !slices.Equal(tab.Units, []string{"degF", "", "degF", "AWG or kcmil"}) {
		t.Errorf("units %q, %v", tab.Units, err)
	}
	for _, c := range []struct {
		table, key, column string
		number, quantity   float64 // NaN where it is the other, or neither
	}{
		{"bands", "212", "to", math.NaN(), 100},
		{"bands", "32", "to", math.NaN(), 0},
		{"bands", "212", "factor", 0.5, math.NaN()},
		{"bands", "212", "rise", math.NaN(), 5},
		{"bands", "32", "rise", math.NaN(), math.NaN()},
		{"bands", "212", "size", math.NaN(), math.NaN()},
		{"named", "share", "value", 0.5, math.NaN()},
		{"named", "gap", "value", math.NaN(), 0.1524},
		{"named", "12", "value", math.NaN(), 0.5},
		{"named", "12", "14", math.NaN(), math.NaN()},
	} {
		tab, err := s.Get("X", "1", c.table)
		if err != nil {
			t.Fatal(err)
		}
		n, plain := tab.Number(c.key, c.column)
		q, measured := tab.Quantity(c.key, c.column)
		if plain == math.IsNaN(c.number) || plain && n != c.number {
			t.Errorf("%s, row %s, column %s: number %v %v, want %v", c.table, c.key, c.column, n, plain, c.number)
		}
		if measured == math.IsNaN(c.quantity) || measured && !quantity.Near(q, c.quantity) {
			t.Errorf("%s, row %s, column %s: quantity %v %v, want %v", c.table, c.key, c.column, q, measured, c.quantity)
		}
	}
}

// The unit of a column is what its numbers are read by: the same number in
// another unit is another quantity.
func TestUnitDecides(t *testing.T) {
	text, err := rules.FS.ReadFile("tables/practice/cell-rise.toml")
	if err != nil {
		t.Fatal(err)
	}
	for unit, want := range map[string]float64{"in": 0.1524, "mm": 0.006} {
		changed := strings.Replace(string(text), `"in"`, strconv.Quote(unit), 1)
		s, err := Load(fstest.MapFS{"t/x.toml": {Data: []byte(changed)}}, "t")
		if err != nil {
			t.Fatal(err)
		}
		tab, err := s.Get("Practice", "common", "cell-rise")
		if err != nil {
			t.Fatal(err)
		}
		if got, ok := tab.Quantity("close", "up to"); !ok || !quantity.Near(got, want) {
			t.Errorf("6 %s: %v %v, want %v m", unit, got, ok, want)
		}
	}
}

// Every fault of the units is told at once, each with its file and column.
func TestFaultsOfUnits(t *testing.T) {
	const file = `name = "sizes"
code = "X"
title = "sizes"
columns = ["size", "area", "length", "use", "value", "unit"]
units = ["in", "in22", "ft", "AWG", "", ""]
[[edition]]
editions = ["1"]
provenance = "from memory"
rows = [["a", 1, "long", "12", 5, "in"], ["2", 2, nan, 12, 6, "psff"], ["3", 2, nan, "13 1/2", nan, ""]]
`
	_, err := Load(fstest.MapFS{"t/x.toml": {Data: []byte(file)}}, "t")
	if err == nil {
		t.Fatal("a file of faults was taken")
	}
	want := []string{
		`t/x.toml: column "area": unknown unit "in22"`,
		`t/x.toml: edition [1]: the key "a" is no number of the unit "in"`,
		`t/x.toml: edition [1] row "a", column "length": long does not go with the unit "ft"`,
		`t/x.toml: edition [1] row "2", column "value": unknown unit "psff"`,
		`t/x.toml: edition [1] row "2", column "use": 12 does not go with the unit "AWG"`,
		`t/x.toml: edition [1] row "3", column "use": 13 1/2 does not go with the unit "AWG"`,
	}
	if got := strings.Split(err.Error(), "\n"); !slices.Equal(got, want) {
		t.Errorf("faults\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

// A table may be asked for by many at once, and is the same for all.
func TestGetAtOnce(t *testing.T) {
	s, err := LoadProven(fstest.MapFS{"t/x/sizes.toml": {Data: []byte(small)}}, "t")
	if err != nil {
		t.Fatal(err)
	}
	got := make([]*Table, 8)
	var wg sync.WaitGroup
	for i := range got {
		wg.Go(func() { got[i], _ = s.Get("X", "1", "sizes"); s.Editions("X") })
	}
	wg.Wait()
	for _, tab := range got {
		if tab == nil || tab != got[0] {
			t.Fatalf("tables %v", got)
		}
	}
}

func TestFaults(t *testing.T) {
	for name, c := range map[string]struct{ old, new, want string }{
		"unknown key":    {"section =", "secton =", `t/x.toml: unknown key "edition.secton"`},
		"no title":       {"title = \"sizes\"\n", "", "name, code and title are needed"},
		"units":          {`"in2", ""]`, `"in2"]`, "one unit for each column"},
		"row unit":       {`"size", "area", "use"`, `"size", "area", "unit"`, "a column unit follows the column that it is for, and neither has a unit"},
		"short row":      {`["a", 1, "yes"]`, `["a", 1]`, "row 1: 2 cells for 3 columns"},
		"cell":           {`["a", 1, "yes"]`, `["a", true, "yes"]`, "a cell is neither number nor text"},
		"provenance":     {`"published"`, `"sure"`, `provenance "sure" is none of`},
		"two keys":       {`["b", 2.5`, `["a", 2.5`, `two rows with key "a"`},
		"from memory":    {`from_memory = ["b"]`, `from_memory = ["z"]`, `from_memory names no row "z"`},
		"edition twice":  {`["1", "2"]`, `["1", "1"]`, `edition "1" is given twice`},
		"no source":      {"[[edition.source]]\ntitle = \"t\"\npublisher = \"p\"\n", "", "published values need a source"},
		"not TOML":       {"name =", "name", "t/x.toml: toml: line 1"},
		"the same table": {"", "", "table X sizes already stands in t/x.toml"},
	} {
		files := fstest.MapFS{"t/x.toml": {Data: []byte(strings.Replace(small, c.old, c.new, 1))}}
		if c.old == "" {
			files["t/y.toml"] = files["t/x.toml"]
		}
		if _, err := Load(files, "t"); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, expected %q", name, err, c.want)
		}
	}
	broken := fstest.MapFS{"t/x.toml": {Data: []byte(strings.Replace(small, "rows = [", "rows = [[", 1))}}
	if _, err := LoadProven(broken, "t"); err == nil {
		t.Error("a table that cannot be decoded was taken")
	}
	if _, err := LoadProven(fstest.MapFS{"t/x.toml": {Data: []byte("name = \"one\"\n")}}, "t"); err == nil {
		t.Error("a file without a code was taken")
	}
}

func BenchmarkLoad(b *testing.B) {
	for name, load := range map[string]func() (*Set, error){
		"strict": func() (*Set, error) { return Load(rules.FS, "tables") },
		"proven": func() (*Set, error) { return LoadProven(rules.FS, "tables") },
	} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if _, err := load(); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
