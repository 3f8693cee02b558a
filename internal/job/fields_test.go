package job

import (
	"reflect"
	"testing"
)

// The description of the model is made at every start of the program.
func BenchmarkDescribe(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if len(describe(reflect.TypeFor[Job]()).Fields) == 0 {
			b.Fatal("no fields")
		}
	}
}

// The keys of every table are those that reflect finds, in its order and at its places.
func TestFieldsAreThoseOfTheTypes(t *testing.T) {
	tables := 0
	var walk func(of reflect.Type, table *Table)
	walk = func(of reflect.Type, table *Table) {
		tables++
		n := 0
		for _, sf := range reflect.VisibleFields(of) {
			key, tagged := sf.Tag.Lookup("key")
			if !tagged || key == "-" {
				continue
			}
			if n >= len(table.Fields) || table.Fields[n].Key != key || !reflect.DeepEqual(table.Fields[n].index, sf.Index) || table.Fields[n].Doc != sf.Tag.Get("doc") {
				t.Fatalf("%s.%s is not described in its place", of, sf.Name)
			}
			if f := table.Fields[n]; f.Table != nil {
				inner := sf.Type
				if inner.Kind() == reflect.Slice {
					inner = inner.Elem()
				}
				walk(inner, f.Table)
			}
			n++
		}
		if n != len(table.Fields) {
			t.Errorf("%s: %d keys, %d described", of, n, len(table.Fields))
		}
	}
	walk(reflect.TypeFor[Job](), Model())
	if tables < 20 {
		t.Errorf("%d tables only", tables)
	}
}

// A tag is read as reflect reads it.
func TestTags(t *testing.T) {
	const tag = reflect.StructTag(`key:"a" doc:"with \"quotes\" and: a colon" empty:""`)
	for _, key := range []string{"key", "doc", "empty", "none"} {
		want, wantThere := tag.Lookup(key)
		if got, there := tagsOf(tag).lookup(key); got != want || there != wantThere {
			t.Errorf("%s: %q %v, expected %q %v", key, got, there, want, wantThere)
		}
	}
}
