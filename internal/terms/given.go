package terms

import (
	"reflect"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
)

// The given part of the vocabulary is read from the types of package job: each
// section and each repeated table is a kind, each value in it a term, each
// reference a term that leads to the thing referred to. Nothing is listed
// twice.

// plural names the list of all things of a repeated table.
func plural(name string) string {
	if before, ok := strings.CutSuffix(name, "y"); ok && !strings.HasSuffix(before, "a") && !strings.HasSuffix(before, "e") && !strings.HasSuffix(before, "o") {
		return before + "ies"
	}
	return name + "s"
}

func init() {
	whole := newKind("submittal", "", "the whole job, for totals and agreements between its parts")
	whole.list = func(c *Call) []*Subject {
		return []*Subject{{Kind: whole, At: c.Job().Project.Name.At, data: c.Job()}}
	}
	t := reflect.TypeFor[job.Job]()
	byType[t] = whole
	for i := range t.NumField() {
		f := t.Field(i)
		key := f.Tag.Get("key")
		if key == "" {
			continue
		}
		if f.Type.Kind() == reflect.Slice {
			k := newKind(key, plural(key), f.Tag.Get("doc"))
			byType[f.Type.Elem()] = k
			addGiven(k, f.Type.Elem())
			k.list = func(c *Call) []*Subject {
				list := reflect.ValueOf(c.Job()).Elem().Field(i)
				out := make([]*Subject, list.Len())
				for n := range out {
					out[n] = givenSubject(k, list.Index(n), key)
				}
				return out
			}
			continue
		}
		k := newKind(key, "", f.Tag.Get("doc"))
		byType[f.Type] = k
		addGiven(k, f.Type)
		k.list = func(c *Call) []*Subject {
			return []*Subject{{Kind: k, Key: key, At: c.Job().SectionAt(key), data: reflect.ValueOf(c.Job()).Elem().Field(i).Addr().Interface()}}
		}
	}
}

// givenSubject makes the subject of one element of a repeated table.
func givenSubject(k *Kind, v reflect.Value, key string) *Subject {
	s := &Subject{Kind: k, Key: key, data: v.Addr().Interface()}
	if e := v.FieldByName("Entity"); e.IsValid() {
		entity := e.Interface().(job.Entity)
		s.Name, s.At = entity.Name.Value, entity.At
		s.Key = job.Join(key, s.Name)
	} else if e := v.FieldByName("At"); e.IsValid() {
		reflect.ValueOf(&s.At).Elem().Set(e)
	}
	return s
}

// addGiven adds a term for each tagged field of a struct of package job.
func addGiven(k *Kind, t reflect.Type) {
	for i := range t.NumField() {
		f := t.Field(i)
		key, doc := f.Tag.Get("key"), f.Tag.Get("doc")
		if f.Anonymous {
			addGiven(k, f.Type)
			continue
		}
		if key == "" || key == "-" {
			continue
		}
		field := fieldOf(f)
		switch {
		case f.Type.Kind() == reflect.Slice:
			continue // repeated rows inside a thing are read by derived terms
		case f.Type.Kind() == reflect.Struct && !isGiven(f.Type):
			addPart(k, f, field)
		default:
			if term := givenTerm(f, key, doc, field); term != nil {
				k.add(term)
			}
		}
	}
}

// fieldOf reads a field of a struct, also one of an embedded Entity.
func fieldOf(f reflect.StructField) func(data any) reflect.Value {
	return func(data any) reflect.Value {
		v := reflect.ValueOf(data).Elem()
		if e := v.FieldByName(f.Name); e.IsValid() {
			return e
		}
		return v.FieldByIndex(f.Index)
	}
}

// addPart adds the term that leads to a table inside a thing, such as the
// covering of a plane.
func addPart(k *Kind, f reflect.StructField, field func(any) reflect.Value) {
	key, doc := f.Tag.Get("key"), f.Tag.Get("doc")
	part := kinds[k.Name+"_"+key]
	if part == nil {
		part = newKind(k.Name+"_"+key, "", doc)
		byType[f.Type] = part
		addGiven(part, f.Type)
	}
	k.add(&Term{Name: key, Type: Type{Kind: Thing, Thing: part.Name}, Meaning: doc, Given: true, compute: func(c *Call, data any) any {
		owner := c.subject
		return c.m.subjectFor(field(data).Addr().Interface(), func() *Subject {
			return &Subject{Kind: part, Key: job.Join(owner.Key, key), Name: owner.Name, At: owner.At}
		})
	}})
}

func isGiven(t reflect.Type) bool { _, ok := t.FieldByName("Known"); return ok }

func givenTerm(f reflect.StructField, key, doc string, field func(any) reflect.Value) *Term {
	t := &Term{Name: key, Meaning: doc, Given: true}
	if choice := f.Tag.Get("choice"); choice != "" {
		t.Words = strings.Split(choice, "|")
	}
	ref := f.Tag.Get("ref")
	switch reflect.New(f.Type).Interface().(type) {
	case *job.Quantity:
		d, ok := quantity.DimensionByName(f.Tag.Get("dim"))
		if !ok {
			panic("terms: job field " + f.Name + " has no known dimension")
		}
		t.Type = Type{Kind: Measured, Dim: d}
		t.compute = func(c *Call, data any) any {
			v := driven(c, field(data).Interface().(job.Quantity))
			c.out.Unit = v.Unit
			return v.SI
		}
	case *job.Number:
		t.Type, t.compute = PlainNumber.Type, given[float64](field)
	case *job.Count:
		t.Type, t.compute = WholeNumber.Type, given[int](field)
	case *job.Flag:
		t.Type, t.compute = YesNo.Type, given[bool](field)
	case *job.Size:
		t.Type, t.compute = WireSize.Type, given[quantity.Size](field)
	case *job.Text:
		if ref == "" {
			t.Type, t.compute = Word.Type, given[string](field)
			break
		}
		t.Type = Type{Kind: Thing, Thing: ref}
		t.compute = func(c *Call, data any) any {
			name := driven(c, field(data).Interface().(job.Text))
			if c.Stop() {
				return nil
			}
			if s := c.named(kinds[ref], name); s != nil {
				return s
			}
			c.Fail("no %s is named %q", ref, name)
			return nil
		}
	case *job.Texts:
		if ref == "" {
			t.Type, t.compute = WordList.Type, given[[]string](field)
			break
		}
		t.Type = Type{Kind: Things, Thing: ref}
		t.compute = func(c *Call, data any) any {
			out := []*Subject{}
			for _, name := range driven(c, field(data).Interface().(job.Texts)) {
				if s := c.named(kinds[ref], name); s != nil {
					out = append(out, s)
				}
			}
			return out
		}
	default:
		return nil // points and lists of lengths are read by derived terms
	}
	return t
}

func given[T any](field func(any) reflect.Value) func(*Call, any) any {
	return func(c *Call, data any) any { return driven(c, field(data).Interface().(job.Given[T])) }
}

// driven reads a given value that drives the result.
func driven[T any](c *Call, g job.Given[T]) T {
	c.Drive(g.At)
	c.out.Stated = g.Known
	return Get(c, g)
}
