package job

import (
	"reflect"

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
		if a.FieldByName("Known").IsValid() {
			d.given(a, b, inName)
			return
		}
		if a.Type() == reflect.TypeFor[source.Span]() {
			return
		}
		for i := range a.NumField() {
			f := a.Type().Field(i)
			switch {
			case f.Anonymous: // the entity
				d.walk(a.Field(i), b.Field(i), false)
			case !f.IsExported() || f.Tag.Get("key") == "":
			case f.Tag.Get("key") == "-":
				d.beside(a.Field(i), b.Field(i))
			default:
				d.walk(a.Field(i), b.Field(i), f.Tag.Get("key") == "name")
			}
		}
	}
}

// given compares two readings of one value.
func (d *differ) given(a, b reflect.Value, inName bool) {
	for _, part := range []string{"Known", "Default", "Value"} {
		if reflect.DeepEqual(a.FieldByName(part).Interface(), b.FieldByName(part).Interface()) {
			continue
		}
		if inName {
			d.comparable = false
		}
		d.keys = append(d.keys, a.FieldByName("Key").String())
		return
	}
}

// beside compares what was read from files beside the job.
func (d *differ) beside(a, b reflect.Value) {
	if a.Type() != reflect.TypeFor[source.Span]() && !reflect.DeepEqual(a.Interface(), b.Interface()) {
		d.comparable = false
	}
}
