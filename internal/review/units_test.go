package review

import (
	"path/filepath"
	"reflect"
	"strconv"
	"testing"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
)

// The same job written in base units gives the same outcomes: the units a
// writer chooses change nothing.
func TestUnitsChangeNothing(t *testing.T) {
	b, tables := book(t)
	for _, name := range []string{"barn", "barn-faulty", "house", "house-faulty"} {
		t.Run(name, func(t *testing.T) {
			tree, err := job.LoadTree(filepath.Join(jobs, name+".toml"))
			if err != nil {
				t.Fatal(err)
			}
			j, err := tree.Job()
			if err != nil {
				t.Fatal(err)
			}
			edits := job.Edits{Set: map[string]any{}}
			eachQuantity(reflect.ValueOf(j).Elem(), func(g job.Quantity) {
				unit := g.Value.Dim.BaseUnit()
				text := strconv.FormatFloat(g.Value.SI, 'g', -1, 64)
				if unit != "" {
					text += " " + unit
				}
				edits.Set[g.Key] = text
			})
			if len(edits.Set) < 80 {
				t.Fatalf("only %d quantities rewritten", len(edits.Set))
			}
			rewritten, err := tree.With(edits)
			if err != nil {
				t.Fatal(err)
			}
			in, err := rewritten.Job()
			if err != nil {
				t.Fatal(err)
			}
			before, after := outcomes(t, j, b, tables), outcomes(t, in, b, tables)
			for pair, was := range before {
				if now := after[pair]; now != was {
					t.Errorf("%s is %s as written and %s in base units", pair, was, now)
				}
			}
			if len(before) != len(after) {
				t.Errorf("%d outcomes as written, %d in base units", len(before), len(after))
			}
		})
	}
}

func eachQuantity(v reflect.Value, f func(job.Quantity)) {
	switch v.Kind() {
	case reflect.Slice:
		for i := range v.Len() {
			eachQuantity(v.Index(i), f)
		}
	case reflect.Struct:
		if g, ok := v.Interface().(job.Quantity); ok {
			if g.Known && g.Value.Dim != quantity.Ratio {
				f(g)
			}
			return
		}
		if v.FieldByName("Known").IsValid() {
			return
		}
		for i := range v.NumField() {
			field := v.Type().Field(i)
			if field.IsExported() && field.Tag.Get("key") != "-" && (field.Tag.Get("key") != "" || field.Anonymous) {
				eachQuantity(v.Field(i), f)
			}
		}
	}
}
