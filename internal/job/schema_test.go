package job

import (
	"bytes"
	"flag"
	"os"
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
