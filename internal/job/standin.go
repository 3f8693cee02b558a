package job

import (
	"reflect"
	"slices"
)

// standIns fills the values that are left out from the keys that stand in for
// them (tag "or"), in a table and in those below it. What stands in keeps its
// own place, so that a finding points at it.
func (b *binder) standIns(t *Table, owner reflect.Value, key string) {
	for _, f := range t.Fields {
		v := f.Of(owner)
		switch f.Kind {
		case KindTable:
			b.standIns(f.Table, v, Join(key, f.Key))
		case KindTables:
			for i := range v.Len() {
				b.standIns(f.Table, v.Index(i), Join(key, f.Key)) // only siblings and sections stand in, so names need not be told
			}
		default:
			if f.Or == "" || v.FieldByName("Known").Bool() {
				continue
			}
			from := b.standIn(t, owner, f)
			v.FieldByName("From").Set(from.FieldByName("Key"))
			v.FieldByName("At").Set(from.FieldByName("At"))
			if from.FieldByName("Known").Bool() {
				v.FieldByName("Value").Set(from.FieldByName("Value"))
				v.FieldByName("Default").SetBool(true)
			}
		}
	}
}

// standIn is the value that stands in for a field: of the same table, or of a
// section of the job. The model's tests hold that there is one.
func (b *binder) standIn(t *Table, owner reflect.Value, f *Field) reflect.Value {
	parts, _ := SplitKey(f.OrKey(""))
	if len(parts) > 1 {
		t, owner = Model(), reflect.ValueOf(b.job).Elem()
	}
	for len(parts) > 1 {
		section, _ := t.Field(parts[0])
		t, owner, parts = section.Table, section.Of(owner), parts[1:]
	}
	i := slices.IndexFunc(t.Fields, func(f *Field) bool { return f.Key == parts[0] })
	return t.Fields[i].Of(owner)
}
