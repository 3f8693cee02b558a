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

func defineGiven() {
	newKind("submittal", "", "the whole job, for totals and agreements between its parts").all = func(m *Model) []*Subject {
		s := &Subject{Kind: kinds["submittal"], Key: "", data: m.Job}
		s.At = m.Job.Project.Name.At
		return []*Subject{s}
	}
	t := reflect.TypeFor[job.Job]()
	for i := range t.NumField() {
		f := t.Field(i)
		key := f.Tag.Get("key")
		if key == "" {
			continue
		}
		if f.Type.Kind() == reflect.Slice {
			k := newKind(key, plural(key), f.Tag.Get("doc"))
			addGiven(k, f.Type.Elem())
			k.all = func(m *Model) []*Subject {
				list := reflect.ValueOf(m.Job).Elem().Field(i)
				out := make([]*Subject, list.Len())
				for n := range out {
					out[n] = subjectFor(k, list.Index(n), key)
				}
				return out
			}
			continue
		}
		k := newKind(key, "", f.Tag.Get("doc"))
		addGiven(k, f.Type)
		k.all = func(m *Model) []*Subject {
			return []*Subject{{Kind: k, Key: key, At: m.Job.SectionAt(key), data: reflect.ValueOf(m.Job).Elem().Field(i).Addr().Interface()}}
		}
	}
}

// subjectFor makes the subject of one element of a repeated table.
func subjectFor(k *Kind, v reflect.Value, key string) *Subject {
	s := &Subject{Kind: k, Key: key, data: v.Addr().Interface()}
	if e := v.FieldByName("Entity"); e.IsValid() {
		entity := e.Interface().(job.Entity)
		s.Name, s.At = entity.Name.Value, entity.At
		s.Key = key + "." + s.Name
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
		path := f.Index
		field := func(data any) reflect.Value {
			v := reflect.ValueOf(data).Elem()
			if e := v.FieldByName(f.Name); e.IsValid() {
				return e // also finds the fields of an embedded Entity
			}
			return v.FieldByIndex(path)
		}
		switch {
		case f.Type.Kind() == reflect.Slice:
			continue // repeated rows inside a thing are read by derived terms
		case f.Type.Kind() == reflect.Struct && !isGiven(f.Type):
			sub := kinds[k.Name+"_"+key]
			if sub == nil {
				sub = newKind(k.Name+"_"+key, "", doc)
				addGiven(sub, f.Type)
			}
			k.add(&Term{Name: key, Type: thing(sub.Name), Meaning: doc, Given: true, compute: func(c *Call, data any) any {
				owner := c.subject
				return c.m.subjectFor(field(data).Addr().Interface(), func() *Subject {
					return &Subject{Kind: sub, Key: owner.Key + "." + key, Name: owner.Name, At: owner.At}
				})
			}})
		default:
			if term := givenTerm(f, key, doc, field); term != nil {
				k.add(term)
			}
		}
	}
}

func isGiven(t reflect.Type) bool { _, ok := t.FieldByName("Known"); return ok }

func givenTerm(f reflect.StructField, key, doc string, field func(any) reflect.Value) *Term {
	t := &Term{Name: key, Meaning: doc, Given: true}
	ref := f.Tag.Get("ref")
	switch reflect.New(f.Type).Interface().(type) {
	case *job.Quantity:
		d, ok := quantity.DimensionByName(f.Tag.Get("dim"))
		if !ok {
			panic("terms: job field " + f.Name + " has no known dimension")
		}
		t.Type = measured(d)
		t.compute = func(c *Call, data any) any {
			g := field(data).Interface().(job.Quantity)
			v := Get(c, g)
			c.out.Unit = v.Unit
			return drive(c, g, v.SI)
		}
	case *job.Number:
		t.Type = number
		t.compute = given[float64](field)
	case *job.Count:
		t.Type = count
		t.compute = given[int](field)
	case *job.Flag:
		t.Type = flag
		t.compute = given[bool](field)
	case *job.Size:
		t.Type = Type{Kind: Size}
		t.compute = given[quantity.Size](field)
	case *job.Text:
		if ref == "" {
			t.Type = text
			t.compute = given[string](field)
			break
		}
		t.Type = thing(ref)
		t.compute = func(c *Call, data any) any {
			g := field(data).Interface().(job.Text)
			name := Get(c, g)
			c.Drive(g.At)
			if c.Stop() {
				return nil
			}
			for _, s := range c.m.Subjects(ref) {
				if s.Name == name {
					return s
				}
			}
			return c.Fail("no %s is named %q", ref, name)
		}
	case *job.Texts:
		if ref == "" {
			t.Type = Type{Kind: Texts}
			t.compute = given[[]string](field)
			break
		}
		t.Type = things(ref)
		t.compute = func(c *Call, data any) any {
			g := field(data).Interface().(job.Texts)
			names := Get(c, g)
			c.Drive(g.At)
			out := []*Subject{}
			for _, name := range names {
				for _, s := range c.m.Subjects(ref) {
					if s.Name == name {
						out = append(out, s)
					}
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
	return func(c *Call, data any) any {
		g := field(data).Interface().(job.Given[T])
		return drive(c, g, Get(c, g))
	}
}

func drive[T any](c *Call, g job.Given[T], v any) any {
	c.Drive(g.At)
	if !g.Known {
		return nil
	}
	return v
}
