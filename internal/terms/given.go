package terms

import (
	"reflect"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
)

// The given part of the vocabulary is read from the model of package job: each
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
	root := reflect.TypeFor[job.Job]()
	byType[root] = whole
	for _, f := range job.Model().Fields {
		of := func(c *Call) reflect.Value { return f.Of(reflect.ValueOf(c.Job()).Elem()) }
		t := f.Of(reflect.Zero(root)).Type()
		if f.Kind == job.KindTables {
			k := newKind(f.Key, plural(f.Key), f.Doc)
			addGiven(k, t.Elem(), f.Table)
			k.list = func(c *Call) []*Subject {
				list := of(c)
				out := make([]*Subject, list.Len())
				for n := range out {
					out[n] = givenSubject(k, list.Index(n), f.Key)
				}
				return out
			}
			continue
		}
		k := newKind(f.Key, "", f.Doc)
		addGiven(k, t, f.Table)
		k.list = func(c *Call) []*Subject {
			return []*Subject{{Kind: k, Key: f.Key, At: c.Job().SectionAt(f.Key), data: of(c).Addr().Interface()}}
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

// addGiven adds a term for each key of a table, which fills structs of type t.
func addGiven(k *Kind, t reflect.Type, table *job.Table) {
	byType[t], k.Table = k, table
	for _, f := range table.Fields {
		switch f.Kind {
		case job.KindTables: // repeated rows inside a thing are read by derived terms
		case job.KindTable:
			addPart(k, f.Of(reflect.Zero(t)).Type(), f)
		default:
			if term := givenTerm(f); term != nil {
				k.add(term)
			}
		}
	}
}

// addPart adds the term that leads to a table inside a thing, such as the
// covering of a plane.
func addPart(k *Kind, t reflect.Type, f *job.Field) {
	part := kinds[k.Name+"_"+f.Key]
	if part == nil {
		part = newKind(k.Name+"_"+f.Key, "", f.Doc)
		addGiven(part, t, f.Table)
	}
	k.add(&Term{Name: f.Key, Type: Type{Kind: Thing, Thing: part.Name}, Meaning: f.Doc, Given: true, compute: func(c *Call, data any) any {
		owner := c.subject
		return c.m.subjectFor(f.Of(reflect.ValueOf(data).Elem()).Addr().Interface(), func() *Subject {
			return &Subject{Kind: part, Key: job.Join(owner.Key, f.Key), Name: owner.Name, At: owner.At}
		})
	}})
}

func givenTerm(f *job.Field) *Term {
	t := &Term{Name: f.Key, Meaning: f.Doc, LeftOut: f.LeftOut(), Words: f.Choice, Given: true}
	switch f.Kind {
	case job.KindQuantity:
		t.Type = Type{Kind: Measured, Dim: f.Dim}
		t.compute = func(c *Call, data any) any {
			v := driven[quantity.Value](c, f, data)
			c.out.Unit = v.Unit
			return v.SI
		}
	case job.KindNumber:
		t.Type, t.compute = PlainNumber.Type, given[float64](f)
	case job.KindCount:
		t.Type, t.compute = WholeNumber.Type, given[int](f)
	case job.KindFlag:
		t.Type, t.compute = YesNo.Type, given[bool](f)
	case job.KindSize:
		t.Type, t.compute = WireSize.Type, given[quantity.Size](f)
	case job.KindText:
		if f.Ref == "" {
			t.Type, t.compute = Word.Type, given[string](f)
			break
		}
		t.Type = Type{Kind: Thing, Thing: f.Ref}
		t.compute = func(c *Call, data any) any {
			name := driven[string](c, f, data)
			if c.Stop() {
				return nil
			}
			if s := c.named(kinds[f.Ref], name); s != nil {
				return s
			}
			c.Fail("no %s is named %q", f.Ref, name)
			return nil
		}
	case job.KindTexts:
		if f.Ref == "" {
			t.Type, t.compute = WordList.Type, given[[]string](f)
			break
		}
		t.Type = Type{Kind: Things, Thing: f.Ref}
		t.compute = func(c *Call, data any) any {
			out := []*Subject{}
			for _, name := range driven[[]string](c, f, data) {
				if s := c.named(kinds[f.Ref], name); s != nil {
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

func given[T any](f *job.Field) func(*Call, any) any {
	return func(c *Call, data any) any { return driven[T](c, f, data) }
}

// driven reads a given value that drives the result.
func driven[T any](c *Call, f *job.Field, data any) T {
	g := f.Of(reflect.ValueOf(data).Elem()).Interface().(job.Given[T])
	c.Drive(g.At)
	c.out.Stated = g.Known
	return Get(c, g)
}
