package job

import (
	"reflect"
	"slices"
	"testing"

	"github.com/BurntSushi/toml"

	"plumbrule/internal/quantity"
	"plumbrule/internal/source"
)

// eachField calls f for every key of the model with its path without names and
// the type that holds it.
func eachField(t *Table, owner reflect.Type, path string, f func(string, *Field, reflect.Type)) {
	for _, field := range t.Fields {
		at, holds := Join(path, field.Key), field.Of(reflect.Zero(owner)).Type()
		f(at, field, holds)
		if field.Kind == KindTables {
			holds = holds.Elem()
		}
		if field.Table != nil {
			eachField(field.Table, holds, at, f)
		}
	}
}

// Every key is found somewhere, and the list names no key that the model lacks.
func TestEveryKeyIsFoundSomewhere(t *testing.T) {
	var known []string
	eachField(Model(), reflect.TypeFor[Job](), "", func(path string, _ *Field, _ reflect.Type) {
		known = append(known, path)
		if WhereFound(path) == "" {
			t.Errorf("nothing says where %s is found", path)
		}
	})
	for path := range whereabouts {
		if !slices.Contains(known, path) {
			t.Errorf("%s is no key of a job", path)
		}
	}
}

// The example of every key is a value that the key takes, in both systems of
// units.
func TestExamplesCanBeRead(t *testing.T) {
	for _, sys := range []quantity.System{quantity.US, quantity.SI} {
		eachField(Model(), reflect.TypeFor[Job](), "", func(path string, f *Field, holds reflect.Type) {
			if f.Table != nil {
				return
			}
			example := f.Example(sys, nil)
			var decoded struct{ Value any }
			if _, err := toml.Decode("Value = "+example, &decoded); err != nil {
				t.Errorf("%s: %s: %v", path, example, err)
				return
			}
			b, target := &binder{}, reflect.New(holds).Elem()
			b.given(f, plant(decoded.Value, source.Place{}), target, path, source.Span{})
			if err := b.faults.Err(); err != nil || !target.FieldByName("Known").Bool() {
				t.Errorf("%s: the example %s is not read: %v", path, example, err)
			}
		})
	}
}

// The place of a key is the table that it would be added to.
func TestSlots(t *testing.T) {
	j, err := Parse("job.toml", []byte(`[project]
name = "Shed"
[site]
elevation = "10 ft"
[[plane]]
name = "south"
[plane.covering]
kind = "shingle"
[[array]]
name = "the south"
plane = "south"
[[array.lug]]
row = 1
[[circuit]]
name = "C1"
kind = "branch"
`), nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		key  string
		line int
		open bool
	}{
		{"site.record_low", 3, true},
		{"building.stories", 1, false},
		{"plane.south.slope", 5, true},
		{"plane.south.covering.sheathing", 7, true},
		{"plane.south.framing.member", 5, false},
		{`array."the south".attachments.spacing`, 9, false},
		{`array."the south".lug.1.column`, 12, true},
		{"circuit.C1.ambient", 14, true}, // the design high of the site, which is left out too, stands in
		{"circuit.C1.stated.current", 14, false},
		{"obstruction", 1, false},
	} {
		s, ok := j.Slot(c.key)
		if !ok {
			t.Errorf("%s has no place", c.key)
			continue
		}
		if line := s.At.Position().Line; line != c.line || s.Open != c.open {
			t.Errorf("%s belongs to line %d, open %t; expected %d, %t", c.key, line, s.Open, c.line, c.open)
		}
	}
	for _, key := range []string{"", "site", "site.", "sight.elevation", "plane.north.slope", "plane.south", "array.\"the south\".lug.2.row", "site.elevation.1"} {
		if s, ok := j.Slot(key); ok && key != "site" {
			t.Errorf("%q has a place: %+v", key, s)
		}
	}
}
