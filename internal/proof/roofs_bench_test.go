package proof

import (
	"fmt"
	"testing"

	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
	"plumbrule/internal/review"
	"plumbrule/internal/table"
	"plumbrule/rules"
)

// The checks of the roof are held against a hip roof with two dormers, 40
// modules and 12 obstructions, which must take less than 50 ms, and against
// 10,000 modules over 40 joined planes, which must take less than a second.

func BenchmarkHipRoofWithDormers(b *testing.B) { benchmarkRoof(b, dormeredHip()) }

func BenchmarkFortyPlanes(b *testing.B) { benchmarkRoof(b, sawtooth()) }

func benchmarkRoof(b *testing.B, r roof) {
	book, err := codebook.Load(rules.FS)
	if err != nil {
		b.Fatal(err)
	}
	tables, err := table.Load(rules.FS, "tables")
	if err != nil {
		b.Fatal(err)
	}
	var only []string
	for _, c := range book.Checks {
		if c.Discipline == "fire" || c.Discipline == "layout" && c.Each.Name == "plane" || c.Each.Name == "obstruction" {
			only = append(only, c.ID)
		}
	}
	tree, err := r.tree()
	if err != nil {
		b.Fatal(err)
	}
	j, err := tree.Job()
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := review.Run(j, book, tables, review.Options{Only: only}); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(modules(j)), "modules")
}

func modules(j *job.Job) (n int) {
	for i := range j.Arrays {
		n += j.Arrays[i].Rows.Value * j.Arrays[i].Columns.Value
	}
	return n
}

// feet writes corners given in feet.
func feet(corners ...[2]float64) []any {
	var out []any
	for _, c := range corners {
		out = append(out, []any{fmt.Sprintf("%g ft", c[0]), fmt.Sprintf("%g ft", c[1])})
	}
	return out
}

func slope(name string, downslope, eave float64, corners ...[2]float64) map[string]any {
	return map[string]any{"name": name, "outline": feet(corners...), "slope": "9:12", "downslope": fmt.Sprintf("%g deg", downslope),
		"eave_elevation": fmt.Sprintf("%g ft", eave), "below_escape_opening": false}
}

// dormeredHip is a hip roof of 60 ft by 32 ft with two dormers in its south
// slope.
func dormeredHip() roof {
	r := roof{Job: "dwelling", Planes: []map[string]any{
		slope("south", 180, 9, [2]float64{0, 0}, [2]float64{60, 0}, [2]float64{44, 16}, [2]float64{16, 16}),
		slope("east", 90, 9, [2]float64{60, 0}, [2]float64{60, 32}, [2]float64{44, 16}),
		slope("north", 0, 9, [2]float64{60, 32}, [2]float64{0, 32}, [2]float64{16, 16}, [2]float64{44, 16}),
		slope("west", 270, 9, [2]float64{0, 32}, [2]float64{0, 0}, [2]float64{16, 16}),
	}}
	var holes []map[string]any
	for i, x := range []float64{16, 36} {
		holes = append(holes, map[string]any{"outline": feet([2]float64{x, 3}, [2]float64{x + 8, 3}, [2]float64{x + 8, 5}, [2]float64{x + 4, 9}, [2]float64{x, 5})})
		r.Planes = append(r.Planes,
			slope(fmt.Sprint("dormer ", i+1, " west"), 270, 12.75, [2]float64{x, 3}, [2]float64{x + 4, 3}, [2]float64{x + 4, 9}, [2]float64{x, 5}),
			slope(fmt.Sprint("dormer ", i+1, " east"), 90, 12.75, [2]float64{x + 4, 3}, [2]float64{x + 8, 3}, [2]float64{x + 8, 5}, [2]float64{x + 4, 9}))
	}
	r.Planes[0]["hole"] = holes
	array := func(plane string, x, y float64, rows, columns int64) {
		r.Arrays = append(r.Arrays, map[string]any{"plane": plane, "origin": feet([2]float64{x, y})[0], "rows": rows, "columns": columns})
	}
	array("south", 27, 2, 3, 2)
	array("north", 18, 2, 2, 8)
	array("east", 10, 2, 1, 4)
	array("west", 10, 2, 1, 4)
	array("south", 24, 12, 1, 4)
	array("north", 18, 12, 1, 6)
	for i := range 12 {
		r.Obstructions = append(r.Obstructions, map[string]any{"name": fmt.Sprint("vent ", i+1), "plane": "north", "kind": "vent",
			"at": feet([2]float64{4 + 4.5*float64(i), 1})[0], "diameter": "4 in", "clearance": "6 in"})
	}
	return r
}

// sawtooth is 20 gables beside each other, with valleys between them, and 252
// modules on each of their 40 slopes.
func sawtooth() roof {
	r := roof{Job: "warehouse"}
	for i := range 20 {
		y := 40 * float64(i)
		for k, downslope := range []float64{180, 0} {
			name, low := fmt.Sprint("slope ", 2*i+k+1), y+20*float64(k)
			r.Planes = append(r.Planes, slope(name, downslope, 20, [2]float64{0, low}, [2]float64{200, low}, [2]float64{200, low + 20}, [2]float64{0, low + 20}))
			r.Arrays = append(r.Arrays, map[string]any{"plane": name, "origin": feet([2]float64{5, 2})[0], "rows": int64(4), "columns": int64(63)})
		}
	}
	return r
}
