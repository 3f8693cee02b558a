package table

import (
	"errors"
	"reflect"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/fstest"

	"plumbrule/rules"
)

// The project's own tables load, and the plain scan of a header finds in each
// file what the decoded file has. LoadProven rests on this.
func TestOwnTablesAreFoundByTheirHeaders(t *testing.T) {
	strict, err := Load(rules.FS, "tables")
	if err != nil {
		t.Fatal(err)
	}
	proven, err := LoadProven(rules.FS, "tables")
	if err != nil {
		t.Fatal(err)
	}
	if len(strict.files) == 0 || len(proven.files) != len(strict.files) {
		t.Fatalf("%d tables by their headers, %d decoded", len(proven.files), len(strict.files))
	}
	for key, f := range strict.files {
		if p := proven.files[key]; p == nil || !reflect.DeepEqual(p.header, f.header) {
			t.Errorf("%s: the scan of the header finds %+v, the file has %+v", f.path, p, f.header)
		}
	}
	if !reflect.DeepEqual(proven.All(), strict.All()) {
		t.Error("the two ways of loading give different tables")
	}
}

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
		if v, ok := tab.Number("b", "area"); !ok || v != 2.5 {
			t.Errorf("%s: number %v %v", name, v, ok)
		}
		if v, ok := tab.Text("a", "use"); !ok || v != "yes" {
			t.Errorf("%s: text %q %v", name, v, ok)
		}
		for _, absent := range [][2]string{{"c", "area"}, {"d", "area"}, {"a", "use"}, {"a", "size"}, {"a", "none"}} {
			if v, ok := tab.Number(absent[0], absent[1]); ok {
				t.Errorf("%s: row %s column %s is a number: %v", name, absent[0], absent[1], v)
			}
		}
		if a, b := tab.Ref("a"), tab.Ref("b"); a.Provenance != Published || b.String() != "X 2 7, row b (verify: value from memory)" {
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
	s, err := LoadProven(broken, "t")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.Get("X", "1", "sizes"); err == nil {
		t.Error("a table that cannot be decoded was given")
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
