package job

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"plumbrule/internal/quantity"
	"plumbrule/internal/source"
)

const (
	house = "../../testdata/jobs/house.toml"
	inch  = quantity.Inch
)

func load(t *testing.T, path string) *Job {
	t.Helper()
	job, err := Load(path)
	if err != nil {
		t.Fatal(err)
	}
	return job
}

// TestDemoJobs reads every job that the project shows.
func TestDemoJobs(t *testing.T) {
	for _, name := range []string{"barn", "barn-faulty", "house", "house-faulty"} {
		job := load(t, "../../testdata/jobs/"+name+".toml")
		if len(job.Arrays) != 2 || len(job.Planes) != 2 || job.Project.Name.Value == "" {
			t.Errorf("%s: %d arrays, %d planes, name %q", name, len(job.Arrays), len(job.Planes), job.Project.Name.Value)
		}
	}
}

func near(a, b float64) bool { return math.Abs(a-b) <= 1e-9*math.Max(1, math.Abs(b)) }

func TestBarnValues(t *testing.T) {
	job := load(t, barn)
	west, ok := ByName(job.Arrays, "west")
	if !ok {
		t.Fatal("no array west")
	}
	if o := west.Origin.Value; !near(o.X, 71.375*inch) || !near(o.Y, 68.125*inch) {
		t.Errorf("the origin is %v", o)
	}
	if got := west.Attachments.Lines.Value; len(got) != 4 || !near(got[3], 129.875*inch) {
		t.Errorf("the lines are %v", got)
	}
	if got := job.Site.RecordLow; !got.Known || !near(got.Value.SI, (-14-32)/1.8) || got.Value.Unit != "degF" {
		t.Errorf("the record low is %+v", got)
	}
	if got := west.Lugs[1].Row; got.Key != "array.west.lug.2.row" || got.Value != 2 {
		t.Errorf("the row of the second lug is %+v", got)
	}
	circuit, _ := ByName(job.Circuits, "inverter output")
	if got := circuit.Conductor; got.Value.String() != "6 AWG" || got.Key != `circuit."inverter output".conductor` {
		t.Errorf("the conductor is %+v", got)
	}
	if job.System() != quantity.US {
		t.Error("the barn is written in US units")
	}
	if got := job.Project.Date.Value; got != "2024-05-06" {
		t.Errorf("the date is %q", got)
	}
}

func TestAbsentIsUnknown(t *testing.T) {
	job := load(t, barn)
	west, _ := ByName(job.Arrays, "west")
	tilt := west.Tilt
	if tilt.Known || tilt.Key != "array.west.tilt" || tilt.At.Text() != "[[array]]" {
		t.Errorf("the tilt is %+v at %q", tilt, tilt.At.Text())
	}
	if file := west.Attachments.File; file.Known || file.At.Text() != "[array.attachments]" {
		t.Errorf("the file is %+v at %q", file, file.At.Text())
	}
	if survey := job.AsBuilt.File; survey.Known || survey.At.Position().String() != barn+":1:1" {
		t.Errorf("the survey is %+v at %v", survey, survey.At.Position())
	}
	if len(job.Deviations) != 0 {
		t.Errorf("%d deviations", len(job.Deviations))
	}
}

// TestEveryValueHasKeyAndPlace walks the whole model of the demo jobs.
func TestEveryValueHasKeyAndPlace(t *testing.T) {
	for _, path := range []string{barn, house} {
		job := load(t, path)
		values := 0
		walkTable(Model(), reflect.ValueOf(job).Elem(), func(f *Field, v reflect.Value) {
			key, at := v.FieldByName("Key").String(), v.FieldByName("At").Interface().(source.Span)
			if !strings.HasSuffix(key, f.Key) || at.Position().Line < 1 {
				t.Errorf("%s: key %q at %v", f.Key, key, at.Position())
			}
			values++
		})
		if values < 500 {
			t.Errorf("%s: only %d values", path, values)
		}
	}
}

func walkTable(table *Table, owner reflect.Value, visit func(*Field, reflect.Value)) {
	for _, f := range table.Fields {
		v := f.Of(owner)
		switch f.Kind {
		case KindTable:
			walkTable(f.Table, v, visit)
		case KindTables:
			for i := range v.Len() {
				walkTable(f.Table, v.Index(i), visit)
			}
		default:
			visit(f, v)
		}
	}
}

// TestEntitiesHavePlaces holds the place of each named thing to its header,
// also where a key of the thing is named "at".
func TestEntitiesHavePlaces(t *testing.T) {
	job := load(t, "../../testdata/jobs/barn-faulty.toml")
	if got := job.Obstructions[0].Entity.At.Text(); got != "[[obstruction]]" {
		t.Errorf("the obstruction stands at %q", got)
	}
	if got := job.Circuits[3].At.Text(); got != "[[circuit]]" {
		t.Errorf("the circuit stands at %q", got)
	}
	if got := KeyPath("circuit", &job.Circuits[3].Entity); got != `circuit."inverter output"` {
		t.Errorf("its key is %q", got)
	}
}

func TestLookups(t *testing.T) {
	job := load(t, barn)
	west, _ := ByName(job.Arrays, "west")
	s1, _ := ByName(job.Strings, "S1")
	circuit, _ := ByName(job.Circuits, "string 1")
	output, _ := ByName(job.Circuits, "inverter output")
	name := func(e *Entity, ok bool) string {
		if !ok {
			return ""
		}
		return e.Name.Value
	}
	plane, ok1 := job.PlaneOf(west)
	module, ok2 := job.ModuleOf(west)
	mounting, ok3 := job.MountingOf(west)
	fastener, ok4 := job.FastenerOf(west)
	array, ok5 := job.ArrayOf(s1)
	inverter, ok6 := job.InverterOf(s1)
	kind, ok7 := job.InverterTypeOf(inverter)
	fuse, ok8 := job.FuseOf(s1)
	device, ok9 := job.OvercurrentOf(circuit)
	got := []string{
		name(&plane.Entity, ok1), name(&module.Entity, ok2), name(&mounting.Entity, ok3), name(&fastener.Entity, ok4),
		name(&array.Entity, ok5), name(&inverter.Entity, ok6), name(&kind.Entity, ok7), name(&fuse.Entity, ok8), name(&device.Entity, ok9),
	}
	want := []string{"south", "M410", "crest rail", "quarter-14", "west", "inverter 1", "S11", "F1", "F1"}
	if !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
	if strings, known := job.StringsOf(circuit); !known || len(strings) != 1 || strings[0] != s1 {
		t.Errorf("the strings of the circuit are %v", strings)
	}
	if _, known := job.StringsOf(output); known {
		t.Error("the inverter output says nothing of strings")
	}
	if _, known := job.ConverterTypeOf(s1); known {
		t.Error("S1 has no converter")
	}
	if n := len(job.StringsInto(inverter)); n != 3 {
		t.Errorf("%d strings feed the inverter", n)
	}
	if n := len(job.StringsOn(west)); n != 2 {
		t.Errorf("%d strings on the west array", n)
	}
	if n := len(job.ArraysOn(plane)); n != 2 {
		t.Errorf("%d arrays on the south plane", n)
	}
}

func TestIncludedEquipment(t *testing.T) {
	job := load(t, house)
	if len(job.ModuleTypes) != 1 || filepath.Base(job.ModuleTypes[0].At.File.Name) != "equipment.toml" {
		t.Fatalf("the module type stands in %v", job.ModuleTypes)
	}
	names := []string{}
	for _, f := range job.Files {
		names = append(names, filepath.Base(f.Name))
	}
	if want := []string{"house.toml", "equipment.toml"}; !slices.Equal(names, want) {
		t.Errorf("files %v, want %v", names, want)
	}
}

// TestIncludeTwice reads a file that two others include only once.
func TestIncludeTwice(t *testing.T) {
	files := map[string]string{
		"jobs/a.toml":      `include = ["../common/m.toml"]`,
		"jobs/b.toml":      `include = ["../common/m.toml"]`,
		"common/m.toml":    "[[module_type]]\nname = \"M\"\n[site]\nexposure = \"C\"\n",
		"jobs/job.toml":    "include = [\"a.toml\", \"b.toml\"]\n[project]\nname = \"diamond\"\n[site]\nelevation = \"900 m\"\n",
		"common/none.toml": "",
	}
	open := func(path string) ([]byte, error) {
		text, ok := files[filepath.ToSlash(path)]
		if !ok {
			return nil, os.ErrNotExist
		}
		return []byte(text), nil
	}
	job, err := Parse("jobs/job.toml", []byte(files["jobs/job.toml"]), open)
	if err != nil {
		t.Fatal(err)
	}
	if len(job.ModuleTypes) != 1 || job.Site.Exposure.Value != "C" || !near(job.Site.Elevation.Value.SI, 900) {
		t.Errorf("%d module types, exposure %+v", len(job.ModuleTypes), job.Site.Exposure)
	}
	if job.System() != quantity.SI {
		t.Error("most values are written in SI units")
	}
}

func TestPointFiles(t *testing.T) {
	text := `[project]
name = "points"
[[plane]]
name = "south"
[[array]]
name = "west"
plane = "south"
[array.attachments]
file = "data/feet.csv"
[as_built]
file = "survey.csv"
`
	files := map[string]string{
		"data/feet.csv": "x,y,line\n1 ft,10 in,a\n# a note\n\"2 ft 6 in\",10 in,b\n",
		"survey.csv":    "\uFEFFarray,x (ft),y (in),height (mm)\nwest,1.5,10,4\nwest,2,10,\n",
	}
	job, err := Parse("job.toml", []byte(text), func(path string) ([]byte, error) { return []byte(files[filepath.ToSlash(path)]), nil })
	if err != nil {
		t.Fatal(err)
	}
	feet := job.Arrays[0].Attachments
	if want := []Point{{0.3048, 0.254}, {0.762, 0.254}}; !feet.Points.Known || !slices.Equal(feet.Points.Value, want) {
		t.Errorf("feet at %v, want %v", feet.Points.Value, want)
	}
	if !feet.PointLines.Known || feet.PointNames.Known || feet.PointLines.Value[1] != "b" {
		t.Errorf("lines %+v, names %+v", feet.PointLines, feet.PointNames)
	}
	if got := feet.PointPlaces[1].Position().String(); got != "data/feet.csv:4:1" {
		t.Errorf("the second foot stands at %s", got)
	}
	points := job.AsBuilt.Points
	if len(points) != 2 || !near(points[0].X, 1.5*0.3048) || !near(points[0].Height, 0.004) || points[1].HeightKnown {
		t.Errorf("surveyed points %+v", points)
	}
	if len(job.Files) != 3 {
		t.Errorf("%d files", len(job.Files))
	}
}

func TestExtraModules(t *testing.T) {
	text := "[project]\nname = \"x\"\n[[module_type]]\nname = \"M\"\n[[string]]\nname = \"S\"\nextra_modules = [\"2 x M\"]\n"
	job, err := Parse("job.toml", []byte(text), nil)
	if err != nil {
		t.Fatal(err)
	}
	if extra := job.Strings[0].Extra; len(extra) != 1 || extra[0].Modules != 2 || extra[0].Module != "M" {
		t.Errorf("extra modules %+v", extra)
	}
}

func TestOtherArrays(t *testing.T) {
	text := "[project]\nname = \"x\"\n[[plane]]\nname = \"P\"\n[[array]]\nname = \"A\"\nplane = \"P\"\n[[array]]\nname = \"B\"\nplane = \"P\"\n[[string]]\nname = \"S\"\narray = \"A\"\nmodules = 6\nother_arrays = %s\n"
	job, err := Parse("job.toml", fmt.Appendf(nil, text, `["2 x B"]`), nil)
	if err != nil {
		t.Fatal(err)
	}
	s := &job.Strings[0]
	if len(s.Apart) != 1 || s.Apart[0].Modules != 2 || s.Apart[0].Array != "B" {
		t.Errorf("modules of other arrays %+v", s.Apart)
	}
	if names := s.Arrays(); len(names) != 2 || names[0].Value != "A" || names[1].Value != "B" {
		t.Errorf("arrays %+v", names)
	}
	for entry, want := range map[string]string{
		`["B"]`: "cannot be read", `["0 x B"]`: "cannot be read", `["2 x C"]`: "no array", `["6 x B"]`: "all modules",
		`["2 x A"]`: "twice", `["1 x B", "1 x B"]`: "twice",
	} {
		_, err := Parse("job.toml", fmt.Appendf(nil, text, entry), nil)
		if err == nil || !strings.Contains(err.Error(), want) || !strings.Contains(err.Error(), "job.toml:15:") {
			t.Errorf("%s: %v, want %q at its place", entry, err, want)
		}
	}
}

func TestCoefficientsInVolts(t *testing.T) {
	text := "[project]\nname = \"x\"\n[[module_type]]\nname = \"M\"\n%s\n"
	for given, want := range map[string]float64{
		"voc = \"40 V\"\nvoc_coefficient = \"-0.108 V/degC\"": -0.0027,
		"voc = \"40 V\"\nvoc_coefficient = \"-108 mV/degC\"":  -0.0027,
		"voc_coefficient = \"-0.27 %%/degC\"":                 -0.0027,
		"voc = \"40 V\"\nvoc_coefficient = \"-0.27 %%/degC\"": -0.0027,
	} {
		job, err := Parse("job.toml", fmt.Appendf(nil, text, strings.ReplaceAll(given, "%%", "%")), nil)
		if err != nil {
			t.Errorf("%s: %v", given, err)
			continue
		}
		c := job.ModuleTypes[0].VocCoefficient
		if !c.Known || c.Value.Dim != quantity.RatioPerTemperature || !near(c.Value.SI, want) {
			t.Errorf("%s: %+v", given, c)
		}
	}
	job, err := Parse("job.toml", fmt.Appendf(nil, text, "vmp_coefficient = \"-0.1 V/degC\""), nil)
	if err != nil {
		t.Fatal(err)
	}
	if c := job.ModuleTypes[0].VmpCoefficient; c.Known || c.Key != "module_type.M.vmp" {
		t.Errorf("without the voltage: %+v", c)
	}
	for _, given := range []string{"voc = \"40 V\"\nvoc_coefficient = \"0.108 V/degC\"", "voc = \"40 V\"\nvoc_coefficient = \"-1 V/degC\"", "voc = \"40 V\"\nvoc_coefficient = \"-1 mV/degC\""} {
		if _, err := Parse("job.toml", fmt.Appendf(nil, text, given), nil); err == nil || !strings.Contains(err.Error(), "out of range") {
			t.Errorf("%s: %v", given, err)
		}
	}
}

func TestEdits(t *testing.T) {
	tree, err := LoadTree(barn)
	if err != nil {
		t.Fatal(err)
	}
	altered, err := tree.With(Edits{
		Set: map[string]any{
			"array.west.origin.2":       "14 ft",
			"string.S1.modules":         int64(15),
			"site.record_low":           "-20 degC",
			`circuit."string 1"`:        map[string]any{"name": "string 1", "kind": "string"},
			"deviation":                 []any{map[string]any{"check": "fire/ridge-strip", "subject": "array a", "reason": "r", "by": "b", "date": "2026-03-02", "reference": "l"}},
			"as_built.tolerance":        "1 in",
			"array.west.lug.2.row":      1,
			"array.east.wire_clips":     int64(0),
			`circuit."string 3".shares`: []any{"string 1"},
			"module_type.M410.power":    "0.5 kW",
		},
		Unset: []string{"adoption.ibc", "string.S2", "circuit.\"string 2\"", "array.east.attachments", "array.east.lug.1"},
	})
	if err != nil {
		t.Fatal(err)
	}
	job, err := altered.Job()
	if err != nil {
		t.Fatal(err)
	}
	west, east := &job.Arrays[0], &job.Arrays[1]
	s1, _ := ByName(job.Strings, "S1")
	checks := map[string]bool{
		"origin":       near(west.Origin.Value.Y, 14*0.3048) && near(west.Origin.Value.X, 71.375*inch),
		"modules":      s1.Modules.Value == 15,
		"place":        s1.Modules.At.Text() == "12",
		"record low":   near(job.Site.RecordLow.Value.SI, -20),
		"circuit":      !job.Circuits[0].Conductor.Known,
		"deviation":    len(job.Deviations) == 1 && job.Deviations[0].By.Value == "b",
		"new table":    near(job.AsBuilt.Tolerance.Value.SI, inch),
		"lug":          west.Lugs[1].Row.Value == 1,
		"zero known":   east.Clips.Known && east.Clips.Value == 0,
		"unset key":    !job.Adoption.IBC.Known,
		"unset thing":  len(job.Strings) == 2,
		"unset table":  !east.Attachments.Spacing.Known,
		"unset number": len(east.Lugs) == 1 && east.Lugs[0].Row.Value == 2,
	}
	for name, ok := range checks {
		if !ok {
			t.Errorf("%s is not as edited", name)
		}
	}
	before, err := tree.Job()
	if err != nil || before.Strings[0].Modules.Value != 12 || len(before.Strings) != 3 {
		t.Errorf("the edits changed the tree itself: %v", err)
	}
}

func TestWrongEdits(t *testing.T) {
	text, err := os.ReadFile(barn)
	if err != nil {
		t.Fatal(err)
	}
	tests := []struct {
		edits Edits
		want  string
	}{
		{Edits{Set: map[string]any{"array.wset.rows": 2}}, `edit of "array.wset.rows": the job has no "wset" there; did you mean "west"?`},
		{Edits{Unset: []string{"site.record_lo"}}, `edit of "site.record_lo": the job has no "record_lo" there; did you mean "record_low"?`},
		{Edits{Unset: []string{"array.west.lug.3"}}, `edit of "array.west.lug.3": the job has no "3" there`},
		{Edits{Set: map[string]any{"site.record_low.x": 1}}, `edit of "site.record_low.x": the job has no "x" there`},
		{Edits{Set: map[string]any{`circuit."x`: 1}}, `the key cannot be read`},
		{Edits{Set: map[string]any{"site.record_lo": "1 degC"}}, `unknown key "record_lo" in site; did you mean "record_low"?`},
		{Edits{Set: map[string]any{"site.record_low": "1 psf"}}, `: site.record_low: "1 psf": psf is a pressure`},
		{Edits{Set: map[string]any{"array.west.plane": "wset"}}, `no plane is named "wset"`},
	}
	for _, test := range tests {
		_, err := altered(t, text, test.edits)
		if err == nil || !strings.Contains(err.Error(), test.want) {
			t.Errorf("%v: got %v, want %q", test.edits, err, test.want)
		}
	}
}

func TestKeys(t *testing.T) {
	tests := []struct {
		parts []string
		key   string
	}{
		{[]string{"site", "record_low"}, "site.record_low"},
		{[]string{"circuit", "string 1", "length"}, `circuit."string 1".length`},
		{[]string{"label", `a"b.c`}, `label."a\"b.c"`},
		{[]string{"array", "Süd"}, "array.Süd"},
		{[]string{"array", ""}, `array.""`},
	}
	for _, test := range tests {
		key := ""
		for _, part := range test.parts {
			key = Join(key, part)
		}
		parts, ok := SplitKey(test.key)
		if key != test.key || !ok || !slices.Equal(parts, test.parts) {
			t.Errorf("%q joins to %s and splits to %q, want %s", test.parts, key, parts, test.key)
		}
	}
	for _, bad := range []string{"", "a..b", `a."b`, `a."b"c`, "a."} {
		if parts, ok := SplitKey(bad); ok {
			t.Errorf("%q splits to %q", bad, parts)
		}
	}
}

// TestModel checks what every key of the model must have.
func TestModel(t *testing.T) {
	kinds := Model().Keys()
	// of finds the field that a key without names of things leads to.
	of := func(key string) *Field {
		table, field := Model(), (*Field)(nil)
		for part := range strings.SplitSeq(key, ".") {
			if table == nil {
				return nil
			}
			found, ok := table.Field(part)
			if !ok {
				return nil
			}
			field, table = found, found.Table
		}
		return field
	}
	var visit func(path string, table *Table)
	visit = func(path string, table *Table) {
		seen := map[string]bool{}
		for _, f := range table.Fields {
			here := path + "." + f.Key
			if f.Doc == "" {
				t.Errorf("%s says nothing of what it means", here)
			}
			if f.Ref != "" && !slices.Contains(kinds, f.Ref) {
				t.Errorf("%s refers to %q, which is no kind of thing", here, f.Ref)
			}
			for _, kind := range f.AnyOf {
				if kind != sectionService && !slices.Contains(kinds, kind) {
					t.Errorf("%s refers to %q, which is no kind of thing", here, kind)
				}
			}
			if strings.Contains(f.Doc, "left out") {
				t.Errorf("%s says in its doc what leaving it out means; a tag says so", here)
			}
			if f.Or != "" {
				switch other := of(f.OrKey(strings.TrimPrefix(path, "."))); {
				case other == nil:
					t.Errorf("%s falls back on %s, which is no key", here, f.Or)
				case other.Kind != f.Kind || other.Dim != f.Dim:
					t.Errorf("%s falls back on %s, which is of another kind", here, f.Or)
				}
			}
			if seen[f.Key] {
				t.Errorf("%s stands twice", here)
			}
			seen[f.Key] = true
			if f.Kind == KindQuantity && f.Dim == quantity.Ratio && f.Max == nil && f.Min == nil {
				t.Errorf("%s has no bound", here)
			}
			if f.Table != nil {
				visit(here, f.Table)
			}
		}
	}
	visit("", Model())
}

// TestDefaults reads a job that leaves out every key with a default: the value
// is there, marked as no value of the job, and the key is still unknown.
func TestDefaults(t *testing.T) {
	text := `[project]
name = "x"
[[plane]]
name = "south"
[[array]]
name = "a"
plane = "south"
[[circuit]]
name = "c"
kind = "branch"
sets = 2
[[circuit]]
name = "d"
kind = "branch"
`
	j, err := Parse("job.toml", []byte(text), nil)
	if err != nil {
		t.Fatal(err)
	}
	a := &j.Arrays[0]
	if r := a.Rotation; r.Known || !r.Default || r.Value.SI != 0 || r.Value.Unit != "deg" || r.Key != "array.a.rotation" || r.At.Position().Line != 5 {
		t.Errorf("the rotation is %+v", r)
	}
	if s := a.Attachments.Stagger; s.Known || !s.Default || s.Value.Unit != "in" {
		t.Errorf("the stagger of a table that is left out is %+v", s)
	}
	if g := j.Planes[0].Ground; g.Known || !g.Default || g.Value {
		t.Errorf("the ground is %+v", g)
	}
	if s := j.Circuits[0].Sets; !s.Known || s.Default || s.Value != 2 {
		t.Errorf("stated sets are %+v", s)
	}
	if s := j.Circuits[1].Sets; s.Known || !s.Default || s.Value != 1 {
		t.Errorf("sets left out are %+v", s)
	}
	if s := j.Service.Sets; s.Known || !s.Default || s.Value != 1 {
		t.Errorf("sets of a service that is left out are %+v", s)
	}
	for _, g := range []Quantity{j.Circuits[1].Ambient, a.GapX, j.Interconnection.Busbar} {
		if g.Known || g.Default || g.Value.SI != 0 {
			t.Errorf("%s has no default and is %+v", g.Key, g)
		}
	}
}

// TestLeftOut prints what leaving a key out says.
func TestLeftOut(t *testing.T) {
	tests := []struct{ table, key, says, or string }{
		{"circuit", "sets", "1", ""},
		{"circuit", "ambient", "as site.design_high", "site.design_high"},
		{"circuit", "raceway_length", "as length", "circuit.c.length"},
		{"plane", "ground", "false, a roof", ""},
		{"string", "fuse", "none", ""},
		{"string", "modules", "", ""},
	}
	for _, test := range tests {
		table, _ := Model().Field(test.table)
		f, ok := table.Table.Field(test.key)
		if !ok || f.LeftOut() != test.says || f.OrKey(test.table+".c") != test.or {
			t.Errorf("%s.%s: %q, %q; want %q, %q", test.table, test.key, f.LeftOut(), f.OrKey(test.table+".c"), test.says, test.or)
		}
		if says := strings.Contains(f.Meaning(), "(left out: "+test.says+")"); says != (test.says != "") {
			t.Errorf("%s.%s means %q", test.table, test.key, f.Meaning())
		}
	}
}

// TestBadDefaults declares what no job could say.
func TestBadDefaults(t *testing.T) {
	tests := []struct {
		name  string
		model any
		want  string
	}{
		{"no unit", struct {
			X Quantity `key:"x" dim:"length" default:"3"`
		}{}, "unit"},
		{"wrong dimension", struct {
			X Quantity `key:"x" dim:"length" default:"3 A"`
		}{}, `default "3 A"`},
		{"out of range", struct {
			X Count `key:"x" min:"1" default:"0"`
		}{}, "out of range"},
		{"no flag", struct {
			X Flag `key:"x" default:"yes"`
		}{}, `default "yes"`},
		{"no choice", struct {
			X Text `key:"x" choice:"a|b" default:"c"`
		}{}, "not a choice"},
		{"a list", struct {
			X Texts `key:"x" default:"c"`
		}{}, "a list of texts is expected"},
		{"beside or", struct {
			X Count `key:"x" default:"1" or:".y"`
		}{}, "beside"},
		{"required", struct {
			X Count `key:"x" default:"1" required:"yes"`
		}{}, "required"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			defer func() {
				if said := fmt.Sprint(recover()); !strings.Contains(said, test.want) {
					t.Errorf("said %q, want %q", said, test.want)
				}
			}()
			describe(reflect.TypeOf(test.model))
		})
	}
}

// TestSchemaRefuses makes sure that the schema is held against jobs at all:
// what it can know it must refuse by itself.
func TestSchemaRefuses(t *testing.T) {
	tests := []struct {
		edits Edits
		ok    bool
	}{
		{Edits{}, true},
		{Edits{Unset: []string{"project.name"}}, false},
		{Edits{Set: map[string]any{"site.record_low": -14}}, false},
		{Edits{Set: map[string]any{"site.exposure": "E"}}, false},
		{Edits{Set: map[string]any{"site.colour": "grey"}}, false},
		{Edits{Set: map[string]any{"array.west.rows": 0}}, false},
		{Edits{Set: map[string]any{"array.west.origin": []any{"1 ft"}}}, false},
		{Edits{Set: map[string]any{"site.sds": math.NaN()}}, false},
		{Edits{Set: map[string]any{"stated.coverage": 0.2}}, true},
	}
	tree, err := LoadTree(barn)
	if err != nil {
		t.Fatal(err)
	}
	for _, test := range tests {
		altered, err := tree.With(test.edits)
		if err != nil {
			t.Fatal(err)
		}
		b := binder{job: &Job{}}
		b.schema(altered.root)
		if ok := len(b.faults) == 0; ok != test.ok {
			t.Errorf("%v: faults %v", test.edits, b.faults)
		}
		if _, err := altered.Job(); (err == nil) != test.ok {
			t.Errorf("%v: the binder says %v", test.edits, err)
		}
	}
}

// FuzzParse checks that no text makes the reader panic, and that it gives
// either a job or faults.
func FuzzParse(f *testing.F) {
	for _, pattern := range []string{"../../testdata/jobs/*.toml", malformed + "/job-*.toml"} {
		files, err := filepath.Glob(pattern)
		if err != nil {
			f.Fatal(err)
		}
		for _, file := range files {
			text, err := os.ReadFile(file)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(text)
		}
	}
	f.Add([]byte(patternBase + array("across = \"centred\"\nbelow_ridge = \"18 in\"\nattachments = { every = 4, on = \"ribs\", staggered = true }\n") +
		"[[array]]\nname = \"b\"\nlike = \"a\"\n[[string]]\nname = \"S\"\ncount = 3\ninput = 1\n[[circuit]]\nname = \"C\"\nkind = \"source\"\nstrings = [\"S\"]\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		open := func(string) ([]byte, error) { return text, nil }
		job, err := Parse("job.toml", text, open)
		if (job == nil) == (err == nil) {
			t.Errorf("job %v and error %v", job, err)
		}
		if err != nil && err.Error() == "" {
			t.Error("an error without a text")
		}
		if err != nil {
			return
		}
		tree, _ := Read("job.toml", text, open)
		full, err := tree.Expanded()
		if err != nil {
			return // a pattern lacks what it needs
		}
		back, err := Parse("job.toml", full, open)
		if err != nil {
			t.Fatalf("in full it cannot be read: %v\n%s", err, full)
		}
		if keys, comparable := Changes(job, back); len(keys) > 0 || !comparable {
			t.Errorf("in full it says something else of %q\n%s", keys, full)
		}
	})
}

// altered reads the barn with some values altered.
func altered(t *testing.T, text []byte, e Edits) (*Job, error) {
	t.Helper()
	tree, err := Read(barn, text, ReadFile)
	if err != nil {
		return nil, err
	}
	if tree, err = tree.With(e); err != nil {
		return nil, err
	}
	return tree.Job()
}
