package proof

import (
	"fmt"
	"maps"
	"math"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/BurntSushi/toml"

	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
	"plumbrule/internal/mutation"
	"plumbrule/internal/quantity"
	"plumbrule/internal/review"
	"plumbrule/internal/table"
)

const roofs = "../../testdata/roofs"

// leastRoofs is how many whole roofs are held against verdicts worked by hand.
const leastRoofs = 60

// roof is a whole roof with the verdicts that somebody worked out by hand. Its
// planes, arrays and obstructions are those of a job file; an array takes what
// it leaves out from plainArray.
type roof struct {
	Name string `toml:"name"`
	Job  string `toml:"job"` // the job without a roof that it is put on
	Why  string `toml:"why"` // how the verdicts follow

	Planes       []map[string]any `toml:"plane"`
	Arrays       []map[string]any `toml:"array"`
	Obstructions []map[string]any `toml:"obstruction"`
	Streets      []map[string]any `toml:"street"`
	Set          map[string]any   `toml:"set"`
	Unset        []string         `toml:"unset"`

	// Expect gives the outcome of checks, each by its name and, after a space,
	// the subject it looks at; without a subject all have the same outcome. A
	// measure may follow the outcome: "not met, 6 in".
	Expect map[string]string `toml:"expect"`
}

// plainArray has modules of 3 ft by 5 ft without gaps, so that sizes can be
// added up by hand.
var plainArray = map[string]any{
	"module": "3 by 5", "mounting": "plain", "orientation": "portrait", "gap_x": "0 in", "gap_y": "0 in",
	"stand_off": "4 in", "skirt": false, "building_integrated": false, "rows": int64(1), "columns": int64(1),
}

// TestRoofs holds whole roofs of several planes against verdicts worked by
// hand.
func TestRoofs(t *testing.T) {
	book, tables := own(t)
	all := allRoofs(t)
	for _, r := range all {
		t.Run(r.Job+"/"+r.Name, func(t *testing.T) {
			t.Parallel()
			if r.Why == "" || len(r.Expect) == 0 {
				t.Fatal("a roof needs the outcomes it expects, and why")
			}
			for _, way := range drawings {
				drawn := r
				way.change(&drawn)
				tree, err := drawn.tree()
				if err != nil {
					t.Fatal(err)
				}
				j, err := tree.Job()
				if err != nil {
					t.Fatal(err)
				}
				r.hold(t, way.name, j, book, tables)
			}
		})
	}
	if len(all) < leastRoofs {
		t.Errorf("%d roofs, at least %d are wanted", len(all), leastRoofs)
	}
}

// allRoofs reads every roof.
func allRoofs(t *testing.T) (all []roof) {
	t.Helper()
	paths, err := filepath.Glob(filepath.Join(roofs, "cases", "*.toml"))
	if err != nil {
		t.Fatal(err)
	}
	for _, path := range paths {
		var file struct {
			Roofs []roof `toml:"roof"`
		}
		md, err := toml.DecodeFile(path, &file)
		if err != nil {
			t.Fatal(err)
		}
		for _, k := range md.Undecoded() {
			if len(k) <= 2 { // what stands in an entry is the job's, which says so itself
				t.Errorf("%s: unknown key %q", path, k.String())
			}
		}
		all = append(all, file.Roofs...)
	}
	return all
}

// TestRoofsWithoutAValue leaves out each value of each roof, one at a time: no
// outcome turns to met by it.
func TestRoofsWithoutAValue(t *testing.T) {
	book, tables := own(t)
	tried := 0
	for _, r := range allRoofs(t) {
		checks := map[string]bool{}
		for at := range r.Expect {
			check, _, _ := strings.Cut(at, " ")
			checks[check] = true
		}
		only := review.Options{Only: slices.Sorted(maps.Keys(checks))}
		tree, err := r.tree()
		if err != nil {
			t.Fatal(err)
		}
		j, err := tree.Job()
		if err != nil {
			t.Fatal(err)
		}
		before := results(t, j, book, tables, only)
		for _, m := range part(mutation.Removals(j), 3) {
			if strings.HasPrefix(m.Field, "adoption.") {
				continue // a code that is not adopted asks nothing
			}
			without, err := tree.With(m.Edits)
			if err != nil {
				t.Fatal(err)
			}
			j, err := without.Job()
			if err != nil {
				continue // refused, not passed
			}
			tried++
			for pair, now := range results(t, j, book, tables, only) {
				if was, ok := before[pair]; ok && now == review.Met && was != review.Met && was != review.NotApplicable {
					t.Errorf("%s %s: %s turns from %s into met", r.Name, m.Says, pair, was)
				}
			}
		}
	}
	if tried < 300 && !testing.Short() {
		t.Errorf("only %d values were left out", tried)
	}
}

// results are the outcomes of some checks, by check and subject.
func results(t *testing.T, j *job.Job, book *codebook.Codebook, tables *table.Set, only review.Options) map[string]review.Result {
	t.Helper()
	r, err := review.Run(j, book, tables, only)
	if err != nil {
		return nil // nothing to look at: nothing is met
	}
	out := map[string]review.Result{}
	for i := range r.Outcomes {
		o := &r.Outcomes[i]
		out[o.Check.ID+" "+o.Subject.Name] = o.Result
	}
	return out
}

// drawings are ways to draw one roof. None of them changes anything.
var drawings = []struct {
	name   string
	change func(*roof)
}{
	{"as drawn", func(*roof) {}},
	{"in the other order", func(r *roof) {
		r.Planes = slices.Clone(r.Planes)
		slices.Reverse(r.Planes)
	}},
	{"from another origin", func(r *roof) {
		r.redraw(0, func(x, y float64) (float64, float64) { return x + 1234.5, y - 987.25 })
	}},
	{"turned by a quarter", func(r *roof) { r.redraw(-90, func(x, y float64) (float64, float64) { return -y, x }) }},
	{"turned askew", func(r *roof) {
		r.redraw(-math.Atan2(3, 4)*180/math.Pi, func(x, y float64) (float64, float64) { return 0.8*x - 0.6*y, 0.6*x + 0.8*y })
	}},
}

// redraw moves every point of the plan, and turns every bearing by an angle in
// degrees.
func (r *roof) redraw(bearing float64, move func(x, y float64) (float64, float64)) {
	feet := func(text any) float64 {
		v, err := quantity.Parse(text.(string), quantity.Length)
		if err != nil {
			panic(err)
		}
		return v.SI / quantity.Foot
	}
	points := func(in any) any {
		var out []any
		for _, p := range in.([]any) {
			x, y := move(feet(p.([]any)[0]), feet(p.([]any)[1]))
			out = append(out, []any{fmt.Sprintf("%.9f ft", x), fmt.Sprintf("%.9f ft", y)})
		}
		return out
	}
	turn := func(text any) any {
		v, err := quantity.Parse(text.(string), quantity.Angle)
		if err != nil {
			panic(err)
		}
		return fmt.Sprintf("%.12f deg", math.Remainder(v.SI+bearing, 360))
	}
	r.Planes = cloned(r.Planes)
	for _, p := range r.Planes {
		p["outline"], p["downslope"] = points(p["outline"]), turn(p["downslope"])
		if holes, ok := p["hole"].([]any); ok {
			var moved []any
			for _, h := range holes {
				moved = append(moved, map[string]any{"outline": points(h.(map[string]any)["outline"])})
			}
			p["hole"] = moved
		}
	}
	r.Streets = cloned(r.Streets)
	for _, s := range r.Streets {
		if line, ok := s["line"]; ok {
			s["line"] = points(line)
		}
		if at, ok := s["bearing"]; ok {
			s["bearing"] = turn(at)
		}
	}
	r.Set = maps.Clone(r.Set)
	if r.Set == nil {
		r.Set = map[string]any{}
	}
	street, ok := r.Set["site.street_bearing"]
	if !ok {
		street = "180 deg" // of the jobs without a roof
	}
	r.Set["site.street_bearing"] = turn(street)
}

func cloned(entries []map[string]any) []map[string]any {
	out := make([]map[string]any, len(entries))
	for i, e := range entries {
		out[i] = maps.Clone(e)
	}
	return out
}

// hold holds a job against what is expected of the roof.
func (r roof) hold(t *testing.T, drawn string, j *job.Job, book *codebook.Codebook, tables *table.Set) {
	for at, want := range r.Expect {
		check, subject, _ := strings.Cut(at, " ")
		result, err := review.Run(j, book, tables, review.Options{Only: []string{check}})
		if err != nil {
			t.Errorf("%s: %s: %v", drawn, check, err)
			continue
		}
		seen := 0
		for i := range result.Outcomes {
			o := &result.Outcomes[i]
			if subject != "" && o.Subject.Name != subject {
				continue
			}
			seen++
			if err := agree(o, want); err != nil {
				t.Errorf("%s: %s %s: %v", drawn, check, o.Subject.Name, err)
			}
		}
		if seen == 0 {
			t.Errorf("%s: %s does not look at %q", drawn, check, subject)
		}
	}
}

// tree puts the roof on its job.
func (r roof) tree() (*job.Tree, error) {
	tree, err := job.LoadTree(filepath.Join(roofs, r.Job+".toml"))
	if err != nil {
		return nil, err
	}
	arrays := make([]map[string]any, len(r.Arrays))
	for i, a := range r.Arrays {
		arrays[i] = maps.Clone(plainArray)
		arrays[i]["name"] = fmt.Sprint("array ", i+1)
		maps.Copy(arrays[i], a)
	}
	added := map[string][]map[string]any{}
	for key, list := range map[string][]map[string]any{"plane": r.Planes, "array": arrays, "obstruction": r.Obstructions, "street": r.Streets} {
		if len(list) > 0 {
			added[key] = list
		}
	}
	return tree.With(job.Edits{Added: added, Set: r.Set, Unset: r.Unset})
}

// agree compares an outcome with what is expected of it.
func agree(o *review.Outcome, want string) error {
	outcome, measure, measured := strings.Cut(want, ", ")
	if string(o.Result) != outcome {
		return fmt.Errorf("is %s, expected %s (%s)", o.Result, want, o.Finding+o.Why())
	}
	if !measured {
		return nil
	}
	if o.Measure == nil || !o.Measure.IsNum {
		return fmt.Errorf("measures nothing, expected %s", measure)
	}
	value, err := quantity.ParseAny(measure)
	if err != nil {
		return err
	}
	// The amounts of the file are round; the geometry is exact but for rounding.
	if d := o.Measure.Value - value.SI; d > 1e-6 || d < -1e-6 {
		return fmt.Errorf("measures %s, expected %s", o.Measure.Text, measure)
	}
	return nil
}
