package job

import (
	"bytes"
	"encoding/json"
	"io/fs"
	"os"
	"reflect"
	"testing"

	"github.com/BurntSushi/toml"

	"plumbrule/internal/packed"
	"plumbrule/rules"
	"plumbrule/schema"
)

// TestReady holds ready.bin to the standard sets, and writes it with -update.
func TestReady(t *testing.T) {
	names, err := fs.Glob(rules.FS, "sets/*/*.toml")
	if err != nil {
		t.Fatal(err)
	}
	var want ready
	for _, name := range names {
		text, err := rules.FS.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		var f setFile
		if _, err := toml.Decode(string(text), &f); err != nil {
			t.Fatal(err)
		}
		want.Sets = append(want.Sets, readySet{sumOf(text), f})
		if is := readySets()[sumOf(text)]; !*update && !reflect.DeepEqual(is, &f) {
			t.Errorf("%s is ready as %+v and decoded as %+v: `go generate ./internal/...`", name, is, f)
		}
	}
	text, err := schema.FS.ReadFile(SchemaFile)
	if err != nil {
		t.Fatal(err)
	}
	d := json.NewDecoder(bytes.NewReader(text))
	d.UseNumber() // as the validator decodes
	var whole any
	if err := d.Decode(&whole); err != nil {
		t.Fatal(err)
	}
	want.SchemaSum, want.Schema = sumOf(text), packed.Encode(bareSchema(whole, false))
	data := packed.Encode(want)
	if *update {
		if err := os.WriteFile("ready.bin", []byte(data), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if readyData != data {
		t.Error("internal/job/ready.bin is of other standard sets or of another schema: write it anew with `go generate ./internal/...`. Until then they are decoded at every start, with the same results.")
	}
}

// bareSchema is a schema without the keys that the validator reads but does not hold
// anything against. In properties those words are keys of jobs.
func bareSchema(v any, properties bool) any {
	switch v := v.(type) {
	case map[string]any:
		out := map[string]any{}
		for key, of := range v {
			if said := key == "description" || key == "title" || key == "examples" || key == "default"; said && !properties {
				continue
			}
			out[key] = bareSchema(of, !properties && (key == "properties" || key == "definitions" || key == "patternProperties"))
		}
		return out
	case []any:
		out := make([]any, len(v))
		for i := range v {
			out[i] = bareSchema(v[i], false)
		}
		return out
	}
	return v
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
