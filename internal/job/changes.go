package job

import (
	"reflect"
	"sync"

	"plumbrule/internal/source"
)

// Changes lists the keys whose values differ between two readings of a job, in
// the order of the model. It is false where the two do not have the same
// things under the same names, or differ in what stands in files beside the
// job: then nothing can be said key by key.
func Changes(before, after *Job) (keys []string, comparable bool) {
	d := differ{comparable: true}
	d.walk(reflect.ValueOf(before).Elem(), reflect.ValueOf(after).Elem(), false)
	return d.keys, d.comparable
}

type differ struct {
	keys       []string
	comparable bool
}

// walk compares two parts of a job; inName is true for the name of a thing.
func (d *differ) walk(a, b reflect.Value, inName bool) {
	switch a.Kind() {
	case reflect.Slice:
		if a.Len() != b.Len() {
			d.comparable = false
			return
		}
		for i := range a.Len() {
			d.walk(a.Index(i), b.Index(i), false)
		}
	case reflect.Struct:
		if v, ok := a.Addr().Interface().(value); ok {
			d.given(v, b, inName)
			return
		}
		for _, p := range partsOf(a.Type()) {
			if p.beside {
				d.beside(a.Field(p.index), b.Field(p.index))
			} else {
				d.walk(a.Field(p.index), b.Field(p.index), p.name)
			}
		}
	}
}

// value is a value of a job, of whatever type.
type value interface {
	same(other any) bool
	key() string
}

func (g *Given[T]) same(other any) bool {
	o := other.(*Given[T])
	return g.Known == o.Known && g.Default == o.Default && reflect.DeepEqual(g.Value, o.Value)
}

func (g *Given[T]) key() string { return g.Key }

// given compares two readings of one value.
func (d *differ) given(v value, b reflect.Value, inName bool) {
	if v.same(b.Addr().Interface()) {
		return
	}
	if inName {
		d.comparable = false
	}
	d.keys = append(d.keys, v.key())
}

// beside compares what was read from files beside the job.
func (d *differ) beside(a, b reflect.Value) {
	if a.Type() != reflect.TypeFor[source.Span]() && !reflect.DeepEqual(a.Interface(), b.Interface()) {
		d.comparable = false
	}
}

// part is a field of a part of a job that is compared.
type part struct {
	index        int
	name, beside bool // the name of a thing; read from a file beside the job
}

var parts sync.Map // by type; looking them up takes longer than comparing them

func partsOf(t reflect.Type) []part {
	if known, ok := parts.Load(t); ok {
		return known.([]part)
	}
	var out []part
	for i := range t.NumField() {
		f := t.Field(i)
		switch key := f.Tag.Get("key"); {
		case f.Anonymous, f.IsExported() && key != "": // the entity, or a field with a key
			out = append(out, part{i, key == "name", key == "-"})
		}
	}
	parts.Store(t, out)
	return out
}
