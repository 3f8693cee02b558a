package job

import (
	"io/fs"
	"os"
	"reflect"
	"testing"

	"github.com/BurntSushi/toml"

	"plumbrule/internal/packed"
	"plumbrule/rules"
)

// TestReady holds ready.bin to the standard sets, and writes it with -update.
func TestReady(t *testing.T) {
	names, err := fs.Glob(rules.FS, "sets/*/*.toml")
	if err != nil {
		t.Fatal(err)
	}
	var list []readySet
	for _, name := range names {
		text, err := rules.FS.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		var f setFile
		if _, err := toml.Decode(string(text), &f); err != nil {
			t.Fatal(err)
		}
		list = append(list, readySet{sumOf(text), f})
		if is := readySets()[sumOf(text)]; !*update && !reflect.DeepEqual(is, &f) {
			t.Errorf("%s is ready as %+v and decoded as %+v: `go generate ./internal/...`", name, is, f)
		}
	}
	want := packed.Encode(list)
	if *update {
		if err := os.WriteFile("ready.bin", []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if readyData != want {
		t.Error("internal/job/ready.bin is of other standard sets: write it anew with `go generate ./internal/...`. Until then they are decoded at every start, with the same results.")
	}
}

// A set that was edited is decoded from its text.
func TestReadySetsAreNeverStale(t *testing.T) {
	text := []byte("names = [\"papers of a test\"]\nmeaning = \"m\"\n")
	f, err := readSet(text)
	if err != nil || len(f.Names) != 1 || f.Names[0] != "papers of a test" {
		t.Errorf("%+v %v", f, err)
	}
	if _, err := readSet([]byte("names = [")); err == nil {
		t.Error("what is no TOML is read as a set")
	}
}
