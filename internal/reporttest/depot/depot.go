// Package depot makes jobs of thousands of modules for the tests.
package depot

import (
	"fmt"
	"maps"
	"path/filepath"
	"runtime"
	"testing"

	"plumbrule/internal/job"
)

// Job is a commercial demo job whose western array has so many rows and columns,
// on a roof of that size, with feet on two lines of each row; some of it altered.
func Job(t testing.TB, name string, rows, columns int, set map[string]any) *job.Job {
	t.Helper()
	_, file, _, _ := runtime.Caller(0)
	tree, err := job.LoadTree(filepath.Join(filepath.Dir(file), "../../../testdata/jobs", name+".toml"))
	if err != nil {
		t.Fatal(err)
	}
	const pitch = 78.875 // in, from row to row
	var lines []any
	for row := range rows {
		lines = append(lines, fmt.Sprintf("%g in", 15.75+pitch*float64(row)), fmt.Sprintf("%g in", 62.5+pitch*float64(row)))
	}
	along, up := fmt.Sprintf("%d ft", 200+5*columns), fmt.Sprintf("%d ft", 80+7*rows)
	point := func(x, y string) []any { return []any{x, y} }
	edits := map[string]any{
		"building.length":              along,
		"building.width":               up,
		"plane.roof.outline":           []any{point("0 ft", "0 ft"), point(along, "0 ft"), point(along, up), point("0 ft", up)},
		"array.west.origin":            point("10 ft 6 in", "50 ft"),
		"array.west.rows":              rows,
		"array.west.columns":           columns,
		"array.west.modules":           rows * columns,
		"array.west.attachments.lines": lines,
	}
	maps.Copy(edits, set)
	if tree, err = tree.With(job.Edits{Set: edits}); err != nil {
		t.Fatal(err)
	}
	j, err := tree.Job()
	if err != nil {
		t.Fatal(err)
	}
	return j
}

// Faults of a job: feet too far apart in every row, or a width of the building
// that the drawing contradicts, so that nothing of the wind can be known.
var (
	FeetFarApart = map[string]any{"array.west.attachments.spacing": "60 in"}
	WidthUnsure  = map[string]any{"building.width": "60 ft"}
)
