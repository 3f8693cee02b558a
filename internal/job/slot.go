package job

import (
	"reflect"
	"slices"
	"strconv"

	"plumbrule/internal/source"
)

// Slot is the place that the model keeps for a key in a job, whether or not
// the job states it.
type Slot struct {
	Key    string
	Field  *Field
	Tables []Opening // that the key stands in, from the top
	At     source.Span
	Open   bool // the job has the innermost of them, at At; else At is where what would hold it stands

	path  string // the key without the names of things: "plane.covering.kind"
	value any
	job   *Job
}

// Opening is one of the tables that a key stands in: [site], or the [[array]]
// of a name, or of a number counted from 1 where it has none.
type Opening struct {
	Key    string // without names, from the top: "array.attachments"
	Name   string // "" for a table there is one of
	Number int    // of an entry among its like; 0 for a table there is one of
	Table  *Table
}

// Kind is the key without the names of things: "array.attachments.lines".
func (s *Slot) Kind() string { return s.path }

// Value is what the model keeps under the key: a Quantity, a Count, a Text or
// another of the kinds of values; nil for a table.
func (s *Slot) Value() any { return s.value }

// Stated reports whether the job states a value there.
func (s *Slot) Stated() bool {
	v, one := s.value.(interface{ stated() bool })
	return one && v.stated()
}

func (g Given[T]) stated() bool { return g.Known }

// Find says where a person finds the value.
func (s *Slot) Find() string { return WhereFound(s.path) }

// Example is a value that may stand there, as TOML writes it, in the units of
// the job. It shows the form and is no value of this job.
func (s *Slot) Example() string { return s.Field.Example(s.job.System(), s.Names()) }

// Names lists the things of the job and of its folder of equipment that the value
// may name; nil for none.
func (s *Slot) Names() []string {
	var out []string
	for _, kind := range append(slices.Clone(s.Field.AnyOf), s.Field.Ref) {
		of, known := Model().Field(kind)
		if !known || of.Kind != KindTables {
			continue
		}
		name, _ := of.Table.Field("name")
		list := of.Of(reflect.ValueOf(s.job).Elem())
		var names []string
		for i := range list.Len() {
			names = append(names, name.Of(list.Index(i)).Interface().(Text).Value)
		}
		out = append(out, s.job.shelf.known(kind, names)...)
	}
	return out
}

// Slot finds the place of a key ("site.record_low", "array.south.attachments.lines");
// false where the model has no such key or the job has no such thing.
func (j *Job) Slot(key string) (*Slot, bool) {
	parts, ok := SplitKey(key)
	if !ok {
		return nil, false
	}
	s := &Slot{Key: key, At: j.SectionAt(""), job: j}
	t, owner := Model(), reflect.ValueOf(j).Elem()
	for {
		f, known := t.Field(parts[0])
		if !known {
			return nil, false
		}
		v := f.Of(owner)
		s.path, parts = Join(s.path, f.Key), parts[1:]
		if len(parts) == 0 {
			s.Field = f
			if f.Kind != KindTable && f.Kind != KindTables {
				s.settle(v)
				s.value = v.Interface()
			}
			return s, true
		}
		open := Opening{Key: s.path, Table: f.Table}
		switch f.Kind {
		case KindTable:
			at, opened := j.Sections[s.path]
			if opened {
				s.At = at
			}
			s.Open = opened
		case KindTables:
			i, indexed := j.named[s.path][parts[0]]
			if !indexed {
				i = entryOf(v, f, parts[0])
			}
			if i < 0 {
				return nil, false
			}
			v = v.Index(i)
			open.Number = i + 1
			if f.Table.Named() {
				open.Name = parts[0]
			}
			if at, placed := placeOfTable(v); placed {
				s.At, s.Open = at, true
			}
			parts = parts[1:]
		default:
			return nil, false
		}
		if len(parts) == 0 {
			return nil, false
		}
		s.Tables = append(s.Tables, open)
		t, owner = f.Table, v
	}
}

// settle takes the place from the value itself: one that is left out is said to
// stand where its table does. What stands in for a value has another place.
func (s *Slot) settle(v reflect.Value) {
	if v.FieldByName("From").String() != "" || v.FieldByName("Known").Bool() {
		return
	}
	if at := v.FieldByName("At").Interface().(source.Span); at != s.At {
		s.At, s.Open = at, true
	}
}

// entryOf is the index of the entry of a list of tables that a part of a key
// names; -1 for none.
func entryOf(list reflect.Value, f *Field, part string) int {
	if f.Table.Named() {
		for i := range list.Len() {
			if list.Index(i).FieldByName("Name").Interface().(Text).Value == part {
				return i
			}
		}
	}
	if i, err := strconv.Atoi(part); err == nil && i >= 1 && i <= list.Len() {
		return i - 1
	}
	return -1
}

// placeOfTable is where the table of a thing stands, where the thing notes it.
func placeOfTable(owner reflect.Value) (source.Span, bool) {
	if entity := owner.FieldByName("Entity"); entity.IsValid() {
		owner = entity
	}
	at := owner.FieldByName("At")
	if !at.IsValid() || at.Type() != reflect.TypeFor[source.Span]() {
		return source.Span{}, false
	}
	return at.Interface().(source.Span), true
}
