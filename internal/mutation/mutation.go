// Package mutation alters a job one thing at a time: a value left out, a value
// changed, an entry left out, an entry given twice. Tests hold a review to what
// must be so whatever a submittal gets wrong.
package mutation

import (
	"fmt"
	"reflect"
	"strconv"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
)

// Mutation is one alteration of a job.
type Mutation struct {
	Key   string // of the value or the entry
	Field string // the key without names: "circuit.length"; for an entry its kind, "circuit"
	Says  string // what was done, in words
	Edits job.Edits
	// Names are what a finding about an altered entry can call it by: its name;
	// of one given twice both names; of one left out also the things that it
	// names, and what it says that it is for.
	Names []string
}

// value is one value that a job states.
type value struct {
	key, field string
	f          *job.Field
	given      reflect.Value
}

// values lists every value that a job states, in the order of the model.
func values(j *job.Job) []value {
	var out []value
	var walk func(t *job.Table, owner reflect.Value, field string)
	walk = func(t *job.Table, owner reflect.Value, field string) {
		for _, f := range t.Fields {
			v, name := f.Of(owner), job.Join(field, f.Key)
			switch f.Kind {
			case job.KindTable:
				walk(f.Table, v, name)
			case job.KindTables:
				for i := range v.Len() {
					walk(f.Table, v.Index(i), name)
				}
			default:
				if v.FieldByName("Known").Bool() {
					out = append(out, value{v.FieldByName("Key").String(), name, f, v})
				}
			}
		}
	}
	walk(job.Model(), reflect.ValueOf(j).Elem(), "")
	return out
}

// Removals leaves out each value that a job states, one at a time.
func Removals(j *job.Job) []Mutation {
	var out []Mutation
	for _, v := range values(j) {
		out = append(out, Mutation{Key: v.key, Field: v.field, Says: "without " + v.key, Edits: job.Edits{Unset: []string{v.key}}})
	}
	return out
}

// Changes alters each value that a job states, one at a time: a quantity or a
// number to each of the given multiples, a count by one both ways, a yes to no,
// a word to each other word that may stand there. Names, texts without a list of
// words, and places are left alone.
func Changes(j *job.Job, multiples ...float64) []Mutation {
	var out []Mutation
	add := func(v value, to any) {
		out = append(out, Mutation{Key: v.key, Field: v.field, Says: fmt.Sprintf("%s = %v", v.key, to), Edits: job.Edits{Set: map[string]any{v.key: to}}})
	}
	for _, v := range values(j) {
		switch g := v.given.Interface().(type) {
		case job.Quantity:
			for _, m := range multiples {
				add(v, scaled(g.Value, m))
			}
		case job.Number:
			for _, m := range multiples {
				add(v, g.Value*m)
			}
		case job.Count:
			add(v, g.Value+1)
			add(v, g.Value-1)
		case job.Flag:
			add(v, !g.Value)
		case job.Text:
			for _, word := range v.f.Choice {
				if word != g.Value {
					add(v, word)
				}
			}
		}
	}
	return out
}

// scaled writes a multiple of a quantity in its base unit.
func scaled(q quantity.Value, by float64) string {
	return strconv.FormatFloat(q.SI*by, 'g', -1, 64) + " " + q.Dim.BaseUnit()
}

// entry is one named entry of a repeated table.
type entry struct {
	kind, name string
	tied       []string // what it names, and the kind and the purpose it is for
}

// entries lists every named entry of a job, in the order of the model.
func entries(j *job.Job) []entry {
	var out []entry
	owner := reflect.ValueOf(j).Elem()
	for _, f := range job.Model().Fields {
		if f.Kind != job.KindTables || !f.Table.Named() {
			continue
		}
		list := f.Of(owner)
		for i := range list.Len() {
			name, _ := f.Table.Field("name")
			out = append(out, entry{f.Key, name.Of(list.Index(i)).Interface().(job.Text).Value, tied(f.Key, f.Table, list.Index(i))})
		}
	}
	return out
}

// tied lists what an entry names, and the words by which a label, a paper or a
// disconnect is asked for.
func tied(kind string, t *job.Table, of reflect.Value) []string {
	var out []string
	switch kind {
	case "label":
		out = append(out, "labels/")
	case "disconnect":
		out = append(out, kind)
	}
	for _, f := range t.Fields {
		asked := f.Key == "kind" && (kind == "label" || kind == "document") || f.Key == "purpose" || f.Key == "for"
		switch g := f.Of(of).Interface().(type) {
		case job.Text:
			if g.Known && (f.Ref != "" || len(f.AnyOf) > 0 || asked) {
				out = append(out, strings.TrimSuffix(g.Value, "s"))
			}
		case job.Texts:
			if f.Ref != "" {
				out = append(out, g.Value...)
			}
		}
	}
	return out
}

// EntryRemovals leaves out each named entry of a job, one at a time.
func EntryRemovals(j *job.Job) []Mutation {
	var out []Mutation
	for _, e := range entries(j) {
		key := job.Join(e.kind, e.name)
		out = append(out, Mutation{key, e.kind, "without " + key, job.Edits{Unset: []string{key}}, append([]string{e.name}, e.tied...)})
	}
	return out
}

// EntryDoublings gives each named entry of a job a second time, under another
// name.
func EntryDoublings(j *job.Job) []Mutation {
	var out []Mutation
	for _, e := range entries(j) {
		key, name := job.Join(e.kind, e.name), e.name+" again"
		out = append(out, Mutation{key, e.kind, strings.Join([]string{key, "twice, as", name}, " "), job.Edits{Doubled: map[string]string{key: name}}, []string{name, e.name}})
	}
	return out
}

// InBaseUnits writes every quantity of a job in the base unit of its dimension.
// It says the same job in other words.
func InBaseUnits(j *job.Job) job.Edits {
	e := job.Edits{Set: map[string]any{}}
	for _, v := range values(j) {
		if q, ok := v.given.Interface().(job.Quantity); ok && q.Value.Dim != quantity.Ratio {
			e.Set[v.key] = scaled(q.Value, 1)
		}
	}
	return e
}

// Emptied makes each list of words that a job states an empty one, one at a
// time.
func Emptied(j *job.Job) []Mutation {
	var out []Mutation
	for _, v := range values(j) {
		if g, ok := v.given.Interface().(job.Texts); ok && len(g.Value) > 0 {
			out = append(out, Mutation{Key: v.key, Field: v.field, Says: v.key + " = []", Edits: job.Edits{Set: map[string]any{v.key: []any{}}}})
		}
	}
	return out
}
