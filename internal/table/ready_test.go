package table

import (
	"bytes"
	"flag"
	"io/fs"
	"os"
	"path"
	"reflect"
	"testing"
	"testing/fstest"

	"github.com/BurntSushi/toml"

	"plumbrule/internal/packed"
	"plumbrule/rules"
)

var update = flag.Bool("update", false, "write ready.bin")

// TestReady holds ready.bin to the tables, and writes it with -update.
func TestReady(t *testing.T) {
	var list []readyFile
	err := fs.WalkDir(rules.FS, "tables", func(p string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || path.Ext(p) != ".toml" {
			return err
		}
		text, err := rules.FS.ReadFile(p)
		if err != nil {
			return err
		}
		var c contents
		if _, err := toml.Decode(string(text), &c); err != nil {
			return err
		}
		h := c.header()
		list = append(list, readyFile{Sum: sumOf(text), Code: h.code, Name: h.name, Editions: h.editions, Contents: packed.Encode(c)})
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	want := packed.Encode(list)
	if *update {
		if err := os.WriteFile("ready.bin", []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if readyData != want {
		t.Error("internal/table/ready.bin is of other tables: write it anew with `go generate ./internal/...`. Until then tables are decoded at every start, with the same results.")
	}
}

// The project's own tables load, and they are ready exactly as they are decoded.
// LoadProven rests on this.
func TestOwnTablesAreReady(t *testing.T) {
	strict, err := Load(rules.FS, "tables")
	if err != nil {
		t.Fatal(err)
	}
	proven, err := LoadProven(rules.FS, "tables")
	if err != nil {
		t.Fatal(err)
	}
	if len(strict.files) == 0 || len(proven.files) != len(strict.files) {
		t.Fatalf("%d tables are ready, %d decoded", len(proven.files), len(strict.files))
	}
	for key, f := range strict.files {
		p := proven.files[key]
		if p == nil || !reflect.DeepEqual(p.header, f.header) {
			t.Fatalf("%s: ready as %+v, the file has %+v", f.path, p, f.header)
		}
		if p.packed == "" {
			t.Errorf("%s is not ready: `go generate ./internal/...`", f.path)
		}
	}
	if !reflect.DeepEqual(proven.All(), strict.All()) {
		t.Error("the two ways of loading give different tables")
	}
}

// A table that was edited is decoded from its file.
func TestReadyIsNeverStale(t *testing.T) {
	const name = "tables/practice/cell-rise.toml"
	text, err := rules.FS.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	for _, edited := range []bool{false, true} {
		data := text
		if edited {
			data = bytes.Replace(text, []byte(`= "rise`), []byte(`= "Another: rise`), 1)
		}
		s, err := LoadProven(fstest.MapFS{name: {Data: data}}, "tables")
		if err != nil {
			t.Fatal(err)
		}
		all := s.All()
		if len(all) == 0 || (all[0].Title[:8] == "Another:") != edited {
			t.Errorf("edited: %v, and the tables are %+v", edited, all)
		}
	}
}

func BenchmarkLoadProven(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := LoadProven(rules.FS, "tables"); err != nil {
			b.Fatal(err)
		}
	}
}
