// Package mutation alters a job one thing at a time: a value left out, a value
// changed, an entry left out, an entry given twice. Tests hold a review to what
// must be so whatever a submittal gets wrong.
package mutation

import (
	"cmp"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
)

// Mutation is one alteration of a job.
type Mutation struct {
	Key   string // of the value or the entry
	Field string // the key without names: "circuit.length"; for an entry its kind, "circuit"
	Way   string // what was done, in a word or two: "x1000", "turned", "left out", "as " and another word
	Says  string // what was done, in words
	Kind  string // what the thing is that has the value, as it says itself ("lag", "pv-system"); "bare" of a plane without an array, "idle" of a type that nothing has
	Edits job.Edits
	// Names are what a finding about an altered entry can call it by: its name;
	// of one given twice both names; of one left out also the things that it
	// names, and what it says that it is for.
	Names []string
}

// value is one value that a job states.
type value struct {
	key, field string
	kind       string // see Mutation.Kind
	f          *job.Field
	given      reflect.Value
}

// values lists every value that a job states, in the order of the model.
func values(j *job.Job) []value {
	var out []value
	named := namedBy(j)
	var walk func(t *job.Table, owner reflect.Value, field, kind string)
	walk = func(t *job.Table, owner reflect.Value, field, kind string) {
		for _, f := range t.Fields {
			v, name := f.Of(owner), job.Join(field, f.Key)
			switch f.Kind {
			case job.KindTable:
				walk(f.Table, v, name, kind)
			case job.KindTables:
				for i := range v.Len() {
					of := kind
					if field == "" {
						of = kindOf(f, v.Index(i), named)
					}
					walk(f.Table, v.Index(i), name, of)
				}
			default:
				if v.FieldByName("Known").Bool() {
					out = append(out, value{v.FieldByName("Key").String(), name, kind, f, v})
				}
			}
		}
	}
	walk(job.Model(), reflect.ValueOf(j).Elem(), "", "")
	return out
}

// kindOf tells what an entry of a list is.
func kindOf(list *job.Field, entry reflect.Value, named map[[2]string]bool) string {
	word := func(key string) string {
		f, has := list.Table.Field(key)
		if !has {
			return ""
		}
		return f.Of(entry).Interface().(job.Text).Value
	}
	alone := !named[[2]string{list.Key, word("name")}]
	switch {
	case alone && list.Key == "plane":
		return "bare"
	case alone && strings.HasSuffix(list.Key, "_type"):
		return "idle"
	}
	return cmp.Or(word("kind"), word("purpose"))
}

// namedBy tells which things of a kind something in the job names; of a plane, an
// array.
func namedBy(j *job.Job) map[[2]string]bool {
	named := map[[2]string]bool{}
	var walk func(t *job.Table, owner reflect.Value, in string)
	walk = func(t *job.Table, owner reflect.Value, in string) {
		for _, f := range t.Fields {
			switch v := f.Of(owner); f.Kind {
			case job.KindTable:
				walk(f.Table, v, cmp.Or(in, f.Key))
			case job.KindTables:
				for i := range v.Len() {
					walk(f.Table, v.Index(i), cmp.Or(in, f.Key))
				}
			case job.KindText:
				if f.Ref != "" && (f.Ref != "plane" || in == "array") {
					named[[2]string{f.Ref, v.Interface().(job.Text).Value}] = true
				}
			}
		}
	}
	walk(job.Model(), reflect.ValueOf(j).Elem(), "")
	return named
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

// Absurd makes of each value that a job states what it cannot sensibly be, one
// at a time: of a number that is not zero, with a unit or without, and of a list
// of lengths or of points a multiple by, and a part as small; of a conductor size
// the thickest and the thinnest; of a yes no; of a word each other word that may
// stand there. Types that nothing in the job has are left alone.
func Absurd(j *job.Job, by float64) []Mutation {
	var out []Mutation
	add := func(v value, way string, to any) {
		out = append(out, Mutation{Key: v.key, Field: v.field, Way: way, Kind: v.kind, Says: fmt.Sprintf("%s = %v", v.key, to), Edits: job.Edits{Set: map[string]any{v.key: to}}})
	}
	sizes := quantity.Sizes()
	thinnest, thickest := sizes[0], sizes[len(sizes)-1]
	for _, v := range values(j) {
		if v.kind == "idle" {
			continue
		}
		for _, f := range []struct {
			way string
			by  float64
		}{{fmt.Sprintf("x%g", by), by}, {fmt.Sprintf("/%g", by), 1 / by}} {
			if to := multiple(v, f.by); to != nil {
				add(v, f.way, to)
			}
		}
		switch g := v.given.Interface().(type) {
		case job.Size:
			if g.Value != thinnest {
				add(v, "thinnest", thinnest.String())
			}
			if g.Value != thickest {
				add(v, "thickest", thickest.String())
			}
		case job.Flag:
			add(v, "turned", !g.Value)
		case job.Text:
			for _, word := range v.f.Choice {
				if word != g.Value {
					add(v, "as "+word, word)
				}
			}
		}
	}
	return out
}

// multiple is a multiple of a value as a job has it; nil of a value that has
// none, or is zero.
func multiple(v value, by float64) any {
	switch g := v.given.Interface().(type) {
	case job.Quantity:
		if g.Value.SI != 0 {
			return scaled(g.Value, by)
		}
	case job.Number:
		if g.Value != 0 {
			return g.Value * by
		}
	case job.Count:
		if g.Value != 0 {
			return int64(math.Round(float64(g.Value) * by))
		}
	case job.Lengths:
		if slices.ContainsFunc(g.Value, func(x float64) bool { return x != 0 }) {
			return each(g.Value, func(x float64) any { return scaled(quantity.Value{SI: x, Dim: v.f.Dim}, by) })
		}
	case job.PointAt:
		if g.Value != (job.Point{}) {
			return point(g.Value, by)
		}
	case job.Points:
		if len(g.Value) > 0 {
			return each(g.Value, func(p job.Point) any { return point(p, by) })
		}
	}
	return nil
}

func each[T any](list []T, of func(T) any) []any {
	out := make([]any, len(list))
	for i := range list {
		out[i] = of(list[i])
	}
	return out
}

// point writes a multiple of a point.
func point(p job.Point, by float64) []any {
	return []any{scaled(quantity.Value{SI: p.X, Dim: quantity.Length}, by), scaled(quantity.Value{SI: p.Y, Dim: quantity.Length}, by)}
}

// scaled writes a multiple of a quantity in its base unit.
func scaled(q quantity.Value, by float64) string {
	return strconv.FormatFloat(q.SI*by, 'g', -1, 64) + " " + q.Dim.BaseUnit()
}

// entry is one named entry of a repeated table.
type entry struct {
	kind, name string
	is         string   // see Mutation.Kind
	tied       []string // what it names, and the kind and the purpose it is for
}

// entries lists every named entry of a job, in the order of the model.
func entries(j *job.Job) []entry {
	var out []entry
	owner, named := reflect.ValueOf(j).Elem(), namedBy(j)
	for _, f := range job.Model().Fields {
		if f.Kind != job.KindTables || !f.Table.Named() {
			continue
		}
		list := f.Of(owner)
		for i := range list.Len() {
			name, _ := f.Table.Field("name")
			out = append(out, entry{f.Key, name.Of(list.Index(i)).Interface().(job.Text).Value, kindOf(f, list.Index(i), named), tied(f.Key, f.Table, list.Index(i))})
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
		out = append(out, Mutation{Key: key, Field: e.kind, Way: "left out", Kind: e.is, Says: "without " + key, Edits: job.Edits{Unset: []string{key}}, Names: append([]string{e.name}, e.tied...)})
	}
	return out
}

// EntryDoublings gives each named entry of a job a second time, under another
// name.
func EntryDoublings(j *job.Job) []Mutation {
	var out []Mutation
	for _, e := range entries(j) {
		key, name := job.Join(e.kind, e.name), e.name+" again"
		out = append(out, Mutation{Key: key, Field: e.kind, Way: "given twice", Kind: e.is, Says: strings.Join([]string{key, "twice, as", name}, " "),
			Edits: job.Edits{Doubled: map[string]string{key: name}}, Names: []string{name, e.name}})
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
