// Package termstest lets tests see demo jobs through the vocabulary.
package termstest

import (
	"path/filepath"
	"runtime"
	"testing"

	"plumbrule/internal/job"
	"plumbrule/internal/table"
	"plumbrule/internal/terms"
	"plumbrule/rules"
)

// Jobs is the folder of the demo jobs.
func Jobs() string {
	_, file, _, _ := runtime.Caller(0)
	return filepath.Join(filepath.Dir(file), "../../../testdata/jobs")
}

// Model is a demo job with changes, seen through the vocabulary.
func Model(t testing.TB, name string, edits job.Edits) *terms.Model {
	t.Helper()
	tree, err := job.LoadTree(filepath.Join(Jobs(), name+".toml"))
	if err != nil {
		t.Fatal(err)
	}
	if tree, err = tree.With(edits); err != nil {
		t.Fatal(err)
	}
	j, err := tree.Job()
	if err != nil {
		t.Fatal(err)
	}
	tables, err := table.Load(rules.FS, "tables")
	if err != nil {
		t.Fatal(err)
	}
	return terms.New(j, tables)
}

// Subject is the thing of a kind with that name.
func Subject(t testing.TB, m *terms.Model, kind, name string) *terms.Subject {
	t.Helper()
	for _, s := range m.Subjects(kind) {
		if s.Name == name {
			return s
		}
	}
	t.Fatalf("no %s %q", kind, name)
	return nil
}

// Value reads a term that must be known of the thing with that name.
func Value[T any](t testing.TB, m *terms.Model, kind, name, term string) T {
	t.Helper()
	v := m.Term(Subject(t, m, kind, name), term)
	x, ok := v.V.(T)
	if !ok {
		t.Fatalf("%s.%s of %s is not known: %v", kind, term, name, v.Needs)
	}
	return x
}
