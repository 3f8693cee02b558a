package review

import (
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
	"plumbrule/internal/table"
)

// givenKeys lists the key of every value that a job states.
func givenKeys(j *job.Job) []string {
	var keys []string
	var walk func(v reflect.Value)
	walk = func(v reflect.Value) {
		switch v.Kind() {
		case reflect.Slice:
			for i := range v.Len() {
				walk(v.Index(i))
			}
		case reflect.Struct:
			if known := v.FieldByName("Known"); known.IsValid() {
				if key := v.FieldByName("Key").String(); known.Bool() && key != "" {
					keys = append(keys, key)
				}
				return
			}
			for i := range v.NumField() {
				f := v.Type().Field(i)
				if f.IsExported() && f.Tag.Get("key") != "-" && (f.Tag.Get("key") != "" || f.Anonymous) {
					walk(v.Field(i))
				}
			}
		}
	}
	walk(reflect.ValueOf(j).Elem())
	return keys
}

// meansNotThere names, for a check, the keys that a job leaves out to say that
// the thing the check looks at is not there.
var meansNotThere = map[string][]string{
	// The check asks which of two adopted rule sets a dwelling follows; with one
	// adopted there is nothing to choose.
	"fire/rule-set-of-dwelling": {"adoption.ifc", "adoption.irc"},
	// A letter that quotes no velocity pressure has none to compare; the pressures
	// themselves are computed either way.
	"structural/stated-velocity-pressure": {"stated.qh"},
}

// Taking any value out of a demo job never turns an outcome to met, and never
// makes a check lose sight of what it looked at: what is missing is asked for.
func TestRemovingAValueNeverPasses(t *testing.T) {
	b, tables := book(t)
	paths, err := filepath.Glob(filepath.Join(jobs, "*.toml"))
	if err != nil {
		t.Fatal(err)
	}
	for _, path := range paths {
		name := strings.TrimSuffix(filepath.Base(path), ".toml")
		if name == "equipment" {
			continue
		}
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			tree, err := job.LoadTree(path)
			if err != nil {
				t.Fatal(err)
			}
			j, err := tree.Job()
			if err != nil {
				t.Fatal(err)
			}
			before := outcomes(t, j, b, tables)
			keys := givenKeys(j)
			if len(keys) < 100 {
				t.Fatalf("only %d keys found", len(keys))
			}
			tried := 0
			for i, key := range keys {
				if i%keyStep != 0 {
					continue
				}
				altered, err := tree.With(job.Edits{Unset: []string{key}})
				if err != nil {
					t.Fatalf("%s: %v", key, err)
				}
				less, err := altered.Job()
				if err != nil {
					continue // the job cannot be read without it: refused, not passed
				}
				tried++
				after := outcomes(t, less, b, tables)
				for pair, was := range before {
					now := after[pair]
					if now == Met && was != Met && was != NotApplicable {
						t.Errorf("without %s, %s turns from %s into met", key, pair, was)
					}
				}
				for id := range looked(before) {
					if !looked(after)[id] && !slices.Contains(meansNotThere[id], key) {
						t.Errorf("without %s, %s has nothing left to look at", key, id)
					}
				}
			}
			if tried < len(keys)/keyStep/2 {
				t.Errorf("only %d of %d keys could be tried", tried, len(keys))
			}
		})
	}
}

// outcomes reviews a job and gives the result of each pair of check and
// subject.
func outcomes(t *testing.T, j *job.Job, b *codebook.Codebook, tables *table.Set) map[string]Result {
	t.Helper()
	r, err := Run(j, b, tables, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if d := r.Defects(); len(d) > 0 {
		t.Fatalf("defects: %v", d)
	}
	out := map[string]Result{}
	for _, o := range r.Outcomes {
		out[o.Check.ID+" for "+o.Subject.Label()] = o.Result
	}
	return out
}

// looked lists the checks that said something of at least one subject.
func looked(results map[string]Result) map[string]bool {
	out := map[string]bool{}
	for pair, r := range results {
		if r != NotApplicable {
			id, _, _ := strings.Cut(pair, " for ")
			out[id] = true
		}
	}
	return out
}
