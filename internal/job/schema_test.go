package job

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "rewrite the schema and the golden files")

const schemaPath = "../../schema/" + SchemaFile

// TestSchemaIsGenerated holds the embedded schema to the model.
func TestSchemaIsGenerated(t *testing.T) {
	want := Schema()
	if *update {
		if err := os.WriteFile(schemaPath, want, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	got, err := os.ReadFile(schemaPath)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Error("the schema is not what the model gives; go test ./internal/job -update rewrites it")
	}
}

// TestJobsNameTheSchema finds the line by which editors know a job.
func TestJobsNameTheSchema(t *testing.T) {
	jobs, err := filepath.Glob("../../testdata/jobs/*.toml")
	if err != nil || len(jobs) < 5 {
		t.Fatalf("%d demo jobs: %v", len(jobs), err)
	}
	for _, name := range jobs {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if !strings.HasPrefix(string(text), "#:schema ../../schema/"+SchemaFile+"\n") {
			t.Errorf("%s does not begin with the line that names the schema to editors", name)
		}
	}
}
