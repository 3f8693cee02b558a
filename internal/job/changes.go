package job

import (
	"reflect"
	"slices"
	"sync"

	"plumbrule/internal/source"
)

// Changes lists the keys whose values differ between two readings of a job, in
// the order of the model. It is false where the two do not have the same
// things under the same names, or differ in what stands in files beside the
// job: then nothing can be said key by key.
func Changes(before, after *Job) (keys []string, comparable bool) {
	d := Compare(before, after)
	return d.Keys, d.Comparable
}

// Difference is what differs between two readings of a job.
type Difference struct {
	Keys       []string // whose values differ, in the order of the model
	Comparable bool     // see Changes

	still  bool                        // both were read from the same texts
	moved  map[source.Span]source.Span // where what is the same stood and stands
	split  map[source.Span]bool        // places of which one part went here and one there
	places map[string]source.Span      // where each stated value stands in the later one
}

// Compare finds what differs between two readings of a job.
func Compare(before, after *Job) *Difference {
	d := &Difference{Comparable: true, still: slices.Equal(before.Files, after.Files),
		moved: map[source.Span]source.Span{}, split: map[source.Span]bool{}, places: map[string]source.Span{}}
	if len(before.Files) != len(after.Files) || len(before.Sections) != len(after.Sections) {
		d.Comparable = false
		return d
	}
	for i, f := range before.Files {
		d.move(f.Start(), after.Files[i].Start())
	}
	for key, at := range before.Sections {
		now, opened := after.Sections[key]
		if !opened {
			d.Comparable = false
			return d
		}
		d.move(at, now)
	}
	d.walk(reflect.ValueOf(before).Elem(), reflect.ValueOf(after).Elem(), false)
	return d
}

// Moved is where a place of the earlier reading stands in the later one; false
// where that cannot be told, since nothing of the job that is the same in both
// stands there.
func (d *Difference) Moved(at source.Span) (source.Span, bool) {
	if d.still || !at.Known() {
		return at, true
	}
	now, known := d.moved[at]
	return now, known && !d.split[at]
}

// Place is where the stated value of a key stands in the later reading.
func (d *Difference) Place(key string) source.Span { return d.places[key] }

func (d *Difference) move(from, to source.Span) {
	if was, known := d.moved[from]; known && was != to {
		d.split[from] = true
	}
	d.moved[from] = to
}

// walk compares two parts of a job; inName is true for the name of a thing.
func (d *Difference) walk(a, b reflect.Value, inName bool) {
	switch a.Kind() {
	case reflect.Slice:
		if a.Len() != b.Len() {
			d.Comparable = false
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
	place() (at source.Span, stated bool)
}

func (g *Given[T]) same(other any) bool {
	o := other.(*Given[T])
	return g.Known == o.Known && g.Default == o.Default && reflect.DeepEqual(g.Value, o.Value)
}

func (g *Given[T]) key() string { return g.Key }

func (g *Given[T]) place() (source.Span, bool) { return g.At, g.Known }

// given compares two readings of one value.
func (d *Difference) given(v value, b reflect.Value, inName bool) {
	w := b.Addr().Interface().(value)
	now, stated := w.place()
	if stated {
		d.places[w.key()] = now
	}
	if v.same(w) {
		was, _ := v.place()
		d.move(was, now)
		return
	}
	if inName {
		d.Comparable = false
	}
	d.Keys = append(d.Keys, v.key())
}

// beside compares what has no key of its own, most of it read from files beside
// the job: all but the places in it has to be the same.
func (d *Difference) beside(a, b reflect.Value) {
	switch {
	case a.Type() == reflect.TypeFor[source.Span]():
		d.move(a.Interface().(source.Span), b.Interface().(source.Span))
	case a.Kind() == reflect.Slice && a.Len() != b.Len():
		d.Comparable = false
	case a.Kind() == reflect.Slice:
		for i := range a.Len() {
			d.beside(a.Index(i), b.Index(i))
		}
	case a.Kind() == reflect.Struct:
		if v, ok := a.Addr().Interface().(value); ok && !v.same(b.Addr().Interface()) {
			d.Comparable = false
		}
		for i := range a.NumField() {
			d.beside(a.Field(i), b.Field(i))
		}
	default:
		if !reflect.DeepEqual(a.Interface(), b.Interface()) {
			d.Comparable = false
		}
	}
}

// part is a field of a part of a job that is compared.
type part struct {
	index        int
	name, beside bool // the name of a thing; without a key of its own
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
