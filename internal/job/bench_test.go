package job

import (
	"os"
	"testing"
)

const barn = "../../testdata/jobs/barn.toml"

// BenchmarkParse reads the barn from its text: index, decode, schema, model.
func BenchmarkParse(b *testing.B) {
	text, err := os.ReadFile(barn)
	if err != nil {
		b.Fatal(err)
	}
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Parse(barn, text, ReadFile); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkEdit reads the barn from its tree with one value altered, as a rule
// example does.
func BenchmarkEdit(b *testing.B) {
	tree, err := LoadTree(barn)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		altered, err := tree.With(Edits{Set: map[string]any{"string.S1.modules": int64(11)}})
		if err != nil {
			b.Fatal(err)
		}
		if _, err := altered.Job(); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkSchema compiles the schema, which each process does once.
func BenchmarkSchema(b *testing.B) {
	for b.Loop() {
		if _, err := compileSchema(); err != nil {
			b.Fatal(err)
		}
	}
}
