package job

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"plumbrule/internal/quantity"
	"plumbrule/internal/source"
)

// patternBase is a job around which the patterns stand: two planes, a rail on
// rafters and a sheet with ribs.
const patternBase = `
[project]
name = "patterns"
[[plane]]
name = "south"
outline = [["0 ft", "0 ft"], ["40 ft", "0 ft"], ["40 ft", "14 ft"], ["0 ft", "14 ft"]]
slope = "6:12"
downslope = "180 deg"
[plane.covering]
kind = "trapezoidal"
rib_pitch = "12 in"
rib_offset = "6 in"
[plane.framing]
member = "rafter"
runs = "up-slope"
spacing = "16 in"
offset = "4 in"
[[plane]]
name = "hip"
outline = [["0 m", "20 m"], ["-10 m", "20 m"], ["-6 m", "16 m"], ["-4 m", "16 m"]]
slope = "0 deg"
downslope = "0 deg"
[[module_type]]
name = "M"
length = "80 in"
width = "40 in"
[[mounting_type]]
name = "rail"
kind = "rail"
maximum_cantilever = "16 in"
[[inverter_type]]
name = "T"
[[inverter]]
name = "I"
type = "T"
`

func parsePattern(t *testing.T, text string) *Job {
	t.Helper()
	j, err := Parse("job.toml", []byte(patternBase+text), nil)
	if err != nil {
		t.Fatalf("%v", err)
	}
	return j
}

// same wants two jobs to say the same, within the tolerance of limits.
func same(t *testing.T, got, want *Job) {
	t.Helper()
	a, b := *got, *want
	a.Files, b.Files, a.Sections, b.Sections = nil, nil, nil, nil // where they stand is no matter
	keys, comparable := Changes(&a, &b)
	if !comparable {
		t.Error("the jobs do not have the same things")
	}
	for _, key := range keys {
		t.Errorf("%s differs", key)
	}
}

func array(text string) string {
	return "[[array]]\nname = \"a\"\nplane = \"south\"\nmodule = \"M\"\nmounting = \"rail\"\nrows = 1\ncolumns = 10\norientation = \"portrait\"\ngap_x = \"1 in\"\n" + text
}

// Each pattern says what the job beside it says by hand.
func TestPatternsExpand(t *testing.T) {
	for _, c := range []struct{ name, pattern, written string }{
		{"like takes what is not stated", `
[[overcurrent]]
name = "A"
kind = "breaker"
rating = "20 A"
voltage = "240 V"
[[overcurrent]]
name = "B"
like = "A"
rating = "30 A"
`, `
[[overcurrent]]
name = "A"
kind = "breaker"
rating = "20 A"
voltage = "240 V"
[[overcurrent]]
name = "B"
kind = "breaker"
rating = "30 A"
voltage = "240 V"
`},
		{"like merges tables, takes lists whole, and goes on along a chain, in any order", `
[[circuit]]
name = "C"
like = "B"
length = "9 ft"
[[circuit]]
name = "B"
like = "A"
stated.ampacity = "30 A"
shares = []
[[circuit]]
name = "A"
kind = "branch"
shares = ["B"]
stated = { ampacity = "20 A", voltage = "240 V" }
`, `
[[circuit]]
name = "C"
kind = "branch"
length = "9 ft"
shares = []
stated = { ampacity = "30 A", voltage = "240 V" }
[[circuit]]
name = "B"
kind = "branch"
shares = []
stated = { ampacity = "30 A", voltage = "240 V" }
[[circuit]]
name = "A"
kind = "branch"
shares = ["B"]
stated = { ampacity = "20 A", voltage = "240 V" }
`},
		{"like makes a list of others mutual", `
[[circuit]]
name = "A"
kind = "branch"
shares = ["B", "C"]
[[circuit]]
name = "B"
like = "A"
[[circuit]]
name = "C"
like = "B"
`, `
[[circuit]]
name = "A"
kind = "branch"
shares = ["B", "C"]
[[circuit]]
name = "B"
kind = "branch"
shares = ["A", "C"]
[[circuit]]
name = "C"
kind = "branch"
shares = ["A", "B"]
`},
		{"like takes no second way to say a thing", array(`across = "from_left"
setback_left = "10 in"
above_eave = "20 in"
attachments = { every = 3, on = "members" }
lug = [{ row = 1, column = 1 }]
[[array]]
name = "b"
like = "a"
origin = ["12 in", "20 in"]
attachments = { spacing = "48 in", first_offset = "8 in" }
`), array(`origin = ["10 in", "20 in"]
attachments = { spacing = "48 in", first_offset = "10 in" }
lug = [{ row = 1, column = 1 }]
`) + strings.Replace(array(`origin = ["12 in", "20 in"]
attachments = { spacing = "48 in", first_offset = "8 in" }
lug = [{ row = 1, column = 1 }]
`), `"a"`, `"b"`, 1)},
		{"strings by count", `
[[string]]
name = "S"
count = 3
inverter = "I"
input = 2
modules = 9
[[string]]
name = "T"
like = "S"
input = 5
[[circuit]]
name = "C"
kind = "source"
strings = ["S", "T 1"]
`, `
[[string]]
name = "S 1"
inverter = "I"
input = 2
modules = 9
[[string]]
name = "S 2"
inverter = "I"
input = 3
modules = 9
[[string]]
name = "S 3"
inverter = "I"
input = 4
modules = 9
[[string]]
name = "T 1"
inverter = "I"
input = 5
modules = 9
[[string]]
name = "T 2"
inverter = "I"
input = 6
modules = 9
[[string]]
name = "T 3"
inverter = "I"
input = 7
modules = 9
[[circuit]]
name = "C"
kind = "source"
strings = ["S 1", "S 2", "S 3", "T 1"]
`},
		{"strings that share inputs", `
[[string]]
name = "S"
count = 3
per_input = 2
input = 1
`, `
[[string]]
name = "S 1"
input = 1
[[string]]
name = "S 2"
input = 1
[[string]]
name = "S 3"
input = 2
`},
		{"strings over arrays", array("omit = [[1, 1]]\n") + strings.Replace(array(""), "\"a\"", "\"b\"", 1) + `
[[string]]
name = "S"
count = 3
modules = 6
over = ["a", "b"]
`, array("omit = [[1, 1]]\n") + strings.Replace(array(""), "\"a\"", "\"b\"", 1) + `
[[string]]
name = "S 1"
modules = 6
array = "a"
[[string]]
name = "S 2"
modules = 6
array = "a"
other_arrays = ["3 x b"]
[[string]]
name = "S 3"
modules = 6
array = "b"
`},
		// The row is 409 in wide; the plane 480 in wide and 168 in / cos(26.565 deg) = 187.830 in high.
		{"centred below the ridge", array("across = \"centred\"\nbelow_ridge = \"18 in\"\n"),
			array("origin = [\"35.5 in\", \"89.8297100762 in\"]\n")},
		{"centred between setbacks, above the eave", array("across = \"centred\"\nsetback_left = \"36 in\"\nabove_eave = \"36 in\"\n"),
			array("origin = [\"53.5 in\", \"36 in\"]\n")},
		{"from the right", array("across = \"from_right\"\nsetback_right = \"1 ft\"\nabove_eave = \"0.5 m\"\n"),
			array("origin = [\"1.4986 m\", \"0.5 m\"]\n")},
		{"the modules that are there count", array("across = \"from_left\"\nsetback_left = \"18 in\"\nomit = [[1, 1]]\nabove_eave = \"36 in\"\n"),
			array("origin = [\"-23 in\", \"36 in\"]\nomit = [[1, 1]]\n")},
		// Seen from its eave, the hip has x from h to 10 m - h at the height h: about
		// 5 m, less half of 81 in.
		{"on a hip", strings.ReplaceAll(strings.Replace(array("across = \"centred\"\nabove_eave = \"1 m\"\n"), "south", "hip", 1), "columns = 10\norientation = \"portrait\"", "columns = 2\norientation = \"portrait\""),
			strings.ReplaceAll(strings.Replace(array("origin = [\"3.9713 m\", \"1 m\"]\n"), "south", "hip", 1), "columns = 10\norientation = \"portrait\"", "columns = 2\norientation = \"portrait\"")},
		{"feet on ribs, staggered", array(`origin = ["20 in", "36 in"]
attachments = { every = 5, on = "ribs", staggered = true }
`), array(`origin = ["20 in", "36 in"]
attachments = { spacing = "60 in", first_offset = "10 in", stagger = "24 in" }
`)},
		{"a foot on the very edge", array(`origin = ["30 in", "36 in"]
attachments = { every = 2, on = "ribs" }
`), array(`origin = ["30 in", "36 in"]
attachments = { spacing = "24 in", first_offset = "0 in" }
`)},
		{"both ends within the overhang", array(`origin = ["30 in", "36 in"]
attachments = { every = 4, on = "ribs" }
`), array(`origin = ["30 in", "36 in"]
attachments = { spacing = "48 in", first_offset = "12 in" }
`)},
		{"feet on rafters of an array placed by setbacks", array(`across = "from_left"
setback_left = "19 in"
above_eave = "36 in"
attachments = { every = 3, on = "members" }
`), array(`origin = ["19 in", "36 in"]
attachments = { spacing = "48 in", first_offset = "1 in" }
`)},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, want := parsePattern(t, c.pattern), parsePattern(t, c.written)
			rounded(got)
			rounded(want)
			same(t, got, want)
		})
	}
}

// The feet of the demo jobs stand on every third rafter and on every fourth rib,
// and their strings are alike.
func TestDemoJobsByPatterns(t *testing.T) {
	for name, edits := range map[string]Edits{
		"house": {
			Set: map[string]any{
				"array.south.attachments.every": 3, "array.south.attachments.on": "members",
				"array.north.attachments.every": 3, "array.north.attachments.on": "members",
				"array.south.across": "from_left", "array.south.setback_left": "56 in", "array.south.above_eave": "1 ft",
				"plane.north.like": "south",
			},
			Unset: []string{
				"array.south.attachments.spacing", "array.south.attachments.first_offset", "array.south.origin",
				"array.north.attachments.spacing", "array.north.attachments.first_offset",
				"plane.north.slope", "plane.north.framing", "plane.north.covering.kind", "plane.north.eave_elevation",
			},
		},
		"barn": {
			Set: map[string]any{
				"array.west.attachments.every": 4, "array.west.attachments.on": "ribs",
				"array.east.like": "west",
			},
			Unset: []string{
				"array.west.attachments.spacing", "array.west.attachments.first_offset",
				"array.east.attachments.spacing", "array.east.attachments.first_offset", "array.east.attachments.fastener",
				"array.east.plane", "array.east.module", "array.east.rows", "array.east.gap_y",
			},
		},
	} {
		path := "../../testdata/jobs/" + name + ".toml"
		tree, err := LoadTree(path)
		if err != nil {
			t.Fatal(err)
		}
		if tree, err = tree.With(edits); err != nil {
			t.Fatal(err)
		}
		got, err := tree.Job()
		if err != nil {
			t.Fatal(err)
		}
		want := load(t, path)
		rounded(got)
		rounded(want)
		same(t, got, want)
	}
}

// rounded takes from lengths what is below the tolerance of limits, and the
// places from what Changes compares with them.
func rounded(j *Job) {
	round := func(x *float64) { *x = float64(int64(*x*1e8+0.5)) / 1e8 }
	for i := range j.Strings {
		for k := range j.Strings[i].Apart {
			j.Strings[i].Apart[k].At = source.Span{}
		}
	}
	for i := range j.Arrays {
		a := &j.Arrays[i]
		round(&a.Origin.Value.X)
		round(&a.Origin.Value.Y)
		for _, q := range []*Quantity{&a.Attachments.Spacing, &a.Attachments.FirstOffset, &a.Attachments.Stagger} {
			q.Value = quantity.Of(q.Value.SI, quantity.Length)
			round(&q.Value.SI)
		}
	}
}

// What cannot be expanded is refused in words, and no further fault follows.
func TestPatternsRefused(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"[[circuit]]\nname = \"A\"\nlike = \"B\"\n[[circuit]]\nname = \"B\"\nlike = \"C\"\n[[circuit]]\nname = \"C\"\nlike = \"A\"\n",
			"job.toml:38:8: circuit.A.like: like goes in a circle: \"A\", like \"B\", like \"C\", like \"A\"; one of them must state its values itself\n  job.toml:41:8: and here\n  job.toml:44:8: and here"},
		{"[[circuit]]\nname = \"A\"\nlike = \"A\"\n", `job.toml:38:8: circuit.A.like: like goes in a circle: "A", like "A"; one of them must state its values itself`},
		{"[[circuit]]\nname = \"D\"\nlike = \"A\"\n[[circuit]]\nname = \"A\"\nlike = \"B\"\n[[circuit]]\nname = \"B\"\nlike = \"A\"\n",
			"job.toml:41:8: circuit.A.like: like goes in a circle: \"A\", like \"B\", like \"A\"; one of them must state its values itself\n  job.toml:44:8: and here"},
		{"[[circuit]]\nname = \"branch A\"\nkind = \"branch\"\n[[circuit]]\nname = \"B\"\nlike = \"brunch A\"\n[[circuit]]\nname = \"C\"\nlike = \"B\"\n",
			`job.toml:41:8: circuit.B.like: no circuit is named "brunch A"; one of "branch A", "C" is expected; did you mean "branch A"?`},
		{"[[circuit]]\nname = \"B\"\nlike = \"A\"\n", `job.toml:38:8: circuit.B.like: no circuit is named "A"; the job has no other circuit`},
		{array("across = 5\n") + "[[array]]\nname = \"b\"\nlike = \"a\"\n", "array.a.across: found the number 5; a text in quotes is expected, such as \"5\"\n  job.toml:48:8: array \"b\" takes it by like of \"a\""},
		{"[[circuit]]\nname = \"B\"\nlike = 3\n", `job.toml:38:8: circuit.B.like: found the number 3; the name of a circuit is expected`},
		{"[[circuit]]\nname = \"A\"\nlength = \"3 cows\"\nkind = \"branch\"\n[[circuit]]\nname = \"B\"\nlike = \"A\"\n",
			"job.toml:38:10: circuit.A.length: \"3 cows\": unknown unit \"cows\"; a length is expected, such as \"12 ft\"\n  job.toml:42:8: circuit \"B\" takes it by like of \"A\""},
		{"[site]\nlike = \"x\"\n", `unknown key "like" in site`},
		{"[[string]]\nname = \"S\"\ncount = 0\n", `string.S.count: 0 is out of range`},
		{array("") + "[[string]]\nname = \"S\"\ncount = 3\nmodules = 6\nover = [\"a\"]\n", `string.S.over: 3 strings of 6 take 18 modules, and the arrays have 10`},
		{array("") + "[[string]]\nname = \"S\"\ncount = 3\nmodules = 6\narray = \"a\"\nover = [\"a\"]\n", `string.S.array: the strings take the modules of arrays over which they go, too; one of the two is expected`},
		{array("") + "[[string]]\nname = \"S\"\ncount = 3\nmodules = 6\nover = [\"a\", \"a\"]\n", `string.S.over: "a" is given twice; each array is expected once`},
		{array("") + "[[string]]\nname = \"S\"\ncount = 1\nmodules = 6\nover = [\"A\"]\n", `string.S.over: no array is named "A"; did you mean "a"?`},
		{"[[string]]\nname = \"S\"\nper_input = 2\n", `string.S.count: per_input and over need count`},
		{"[[string]]\nname = \"S\"\ncount = 2\nmodules = 0\n", `string."S 1".modules: 0 is out of range; a whole number from 1 to 200 is expected`},
		{array("across = \"centred\"\nabove_eave = \"1 ft\"\norigin = [\"1 ft\", \"1 ft\"]\n"), "array.a.origin: the array is placed by its setbacks too; one of the two is expected"},
		{array("above_eave = \"1 ft\"\n"), "array.a.across: the array has setbacks and does not say where it stands across"},
		{array("across = \"centred\"\n"), "array.a.across: how high the array stands is stated nowhere; one of below_ridge and above_eave is expected"},
		{array("across = \"centred\"\nabove_eave = \"1 ft\"\nbelow_ridge = \"1 ft\"\n"), "array.a.across: how high the array stands is stated twice"},
		{array("across = \"from_left\"\nabove_eave = \"1 ft\"\n"), "array.a.across: from_left needs array.a.setback_left"},
		{array("across = \"center\"\nabove_eave = \"1 ft\"\n"), `array.a.across: "center" is not a choice`},
		{array("across = \"centred\"\nsetback_left = \"4 ft\"\nsetback_right = \"3 ft\"\nabove_eave = \"1 ft\"\n"), `array.a.across: the array is 34.08 ft wide, and plane "south" has 33 ft for it between the setbacks`},
		{array("across = \"centred\"\nbelow_ridge = \"120 in\"\n"), `array.a.below_ridge: the array is 80 in high and does not fit on plane "south"`},
		{array("across = \"centred\"\nbelow_ridge = \"1 ft\"\nrotation = \"5 deg\"\n"), `array.a.across: the array is turned on its plane`},
		{array("origin = [\"0 in\", \"0 in\"]\nattachments = { every = 4 }\n"), "array.a.attachments.on: feet by ribs or members need"},
		{array("origin = [\"0 in\", \"0 in\"]\nattachments = { every = 4, on = \"ribs\", spacing = \"48 in\" }\n"), "array.a.attachments.spacing: the feet are placed by every too"},
		{array("origin = [\"0 in\", \"0 in\"]\nattachments = { every = 1, on = \"ribs\", staggered = true }\n"), "array.a.attachments.staggered: feet on every rib cannot be staggered"},
	} {
		_, err := Parse("job.toml", []byte(patternBase+c.text), nil)
		if err == nil {
			t.Errorf("read:\n%s", c.text)
			continue
		}
		if got := err.Error(); !strings.Contains(got, c.want) || strings.Count(got, "\n") != strings.Count(c.want, "\n") {
			t.Errorf("%s\ngave %s\nwant %s", c.text, got, c.want)
		}
	}
}

// What a pattern lacks is what is missing of the values that it was to make.
func TestPatternsLeaveOpen(t *testing.T) {
	for _, c := range []struct{ text, origin, spacing string }{
		{array("origin = [\"1 in\", \"1 in\"]\nattachments = { every = 4, on = \"ribs\" }\n"), "", ""},
		{array("attachments = { every = 4, on = \"ribs\" }\n"), "", "array.a.origin"},
		{strings.Replace(array("origin = [\"1 in\", \"1 in\"]\nattachments = { every = 4, on = \"ribs\" }\n"), "south", "hip", 1), "", "plane.hip.covering.rib_pitch"},
		{strings.Replace(array("origin = [\"1 in\", \"1 in\"]\nattachments = { every = 4, on = \"members\" }\n"), "south", "hip", 1), "", "plane.hip.framing.runs"},
		{strings.Replace(array("across = \"centred\"\nabove_eave = \"1 ft\"\nattachments = { every = 4, on = \"members\" }\n"), "gap_x", "# gap_x", 1), "array.a.gap_x", "array.a.gap_x"},
	} {
		j := parsePattern(t, c.text)
		a := j.Arrays[0]
		if a.Origin.From != c.origin || a.Attachments.Spacing.From != c.spacing || a.Attachments.FirstOffset.From != c.spacing {
			t.Errorf("%s\norigin lacks %q, spacing %q", c.text, a.Origin.From, a.Attachments.Spacing.From)
		}
		tree, err := Read("job.toml", []byte(patternBase+c.text), nil)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := tree.Expanded(); (err != nil) != (c.origin+c.spacing != "") {
			t.Errorf("%s\nin full: %v", c.text, err)
		}
	}
}

// A value that came by like stands where its giver states it.
func TestLikePlaces(t *testing.T) {
	j := parsePattern(t, "[[circuit]]\nname = \"A\"\nkind = \"branch\"\nlength = \"9 ft\"\n[[circuit]]\nname = \"B\"\nlike = \"A\"\n")
	length := j.Circuits[1].Length
	if at := length.At.Position(); length.Key != "circuit.B.length" || at.Line != 39 || j.Circuits[1].At.Position().Line != 40 {
		t.Errorf("%s stands in line %d, its circuit in line %d", length.Key, at.Line, j.Circuits[1].At.Position().Line)
	}
}

// Edits apply to the job as it is written, and to what its patterns make.
func TestEditsOfPatterns(t *testing.T) {
	text := patternBase + array("across = \"centred\"\nabove_eave = \"36 in\"\nlug = [{ row = 1, column = 1 }]\n") +
		"[[array]]\nname = \"b\"\nlike = \"a\"\n" +
		"[[circuit]]\nname = \"A\"\nkind = \"branch\"\nlength = \"9 ft\"\nstated.ampacity = \"20 A\"\n[[circuit]]\nname = \"B\"\nlike = \"A\"\n" +
		"[[string]]\nname = \"S\"\ncount = 3\nmodules = 9\n"
	tree, err := Read("job.toml", []byte(text), nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		edits Edits
		holds func(*Job) bool
	}{
		{Edits{Set: map[string]any{"circuit.A.length": "3 ft"}}, func(j *Job) bool {
			return near(j.Circuits[0].Length.Value.SI, 36*inch) && near(j.Circuits[1].Length.Value.SI, 36*inch)
		}},
		{Edits{Set: map[string]any{"circuit.B.length": "3 ft", "circuit.A.units": 4}}, func(j *Job) bool {
			return near(j.Circuits[0].Length.Value.SI, 108*inch) && near(j.Circuits[1].Length.Value.SI, 36*inch) && j.Circuits[1].Units.Value == 4
		}},
		{Edits{Unset: []string{"circuit.A.length"}}, func(j *Job) bool { return !j.Circuits[0].Length.Known && !j.Circuits[1].Length.Known }},
		{Edits{Unset: []string{"circuit.B.length"}}, func(j *Job) bool {
			return j.Circuits[0].Length.Known && !j.Circuits[1].Length.Known && j.Circuits[1].Stated.Ampacity.Known
		}},
		{Edits{Unset: []string{"circuit.A.stated.ampacity", "circuit.B.stated.ampacity"}}, func(j *Job) bool {
			return !j.Circuits[0].Stated.Ampacity.Known && !j.Circuits[1].Stated.Ampacity.Known
		}},
		{Edits{Set: map[string]any{"circuit.B.stated.voltage": "240 V"}}, func(j *Job) bool {
			return j.Circuits[1].Stated.Voltage.Known && j.Circuits[1].Stated.Ampacity.Known && !j.Circuits[0].Stated.Voltage.Known
		}},
		{Edits{Unset: []string{"array.b.lug.1.row"}}, func(j *Job) bool { return j.Arrays[0].Lugs[0].Row.Known && !j.Arrays[1].Lugs[0].Row.Known }},
		{Edits{Set: map[string]any{"array.b.lug.1.column": 3}}, func(j *Job) bool {
			return j.Arrays[0].Lugs[0].Column.Value == 1 && j.Arrays[1].Lugs[0].Column.Value == 3
		}},
		{Edits{Set: map[string]any{"array.a.origin.1": "2 in"}}, func(j *Job) bool {
			return near(j.Arrays[0].Origin.Value.X, 2*inch) && near(j.Arrays[0].Origin.Value.Y, 36*inch)
		}},
		{Edits{Unset: []string{"array.a.origin"}}, func(j *Job) bool { return !j.Arrays[0].Origin.Known }},
		{Edits{Set: map[string]any{"string.S 2.modules": 8}}, func(j *Job) bool {
			return len(j.Strings) == 3 && j.Strings[0].Modules.Value == 9 && j.Strings[1].Modules.Value == 8
		}},
		{Edits{Set: map[string]any{"string.S.count": 2}}, func(j *Job) bool { return len(j.Strings) == 2 }},
		{Edits{Unset: []string{"string.S 3"}}, func(j *Job) bool { return len(j.Strings) == 2 }},
		{Edits{Unset: []string{"array.a.gap_x", "array.a.origin"}, Set: map[string]any{"array.a.rows": 2}}, func(j *Job) bool {
			a := j.Arrays[0]
			return !a.GapX.Known && a.Rows.Value == 2
		}},
		{Edits{Unset: []string{"circuit.A"}}, func(j *Job) bool { return len(j.Circuits) == 1 && j.Circuits[0].Length.Known }},
		{Edits{Unset: []string{"array.a"}}, func(j *Job) bool { return len(j.Arrays) == 1 && j.Arrays[0].Origin.Known }},
		{Edits{Doubled: map[string]string{"string.S 3": "S 4"}}, func(j *Job) bool { return len(j.Strings) == 4 }},
		{Edits{Doubled: map[string]string{"circuit.B": "C"}}, func(j *Job) bool { return len(j.Circuits) == 3 && j.Circuits[2].Length.Known }},
	} {
		edited, err := tree.With(c.edits)
		if err != nil {
			t.Errorf("%+v: %v", c.edits, err)
			continue
		}
		if j, err := edited.Job(); err != nil || !c.holds(j) {
			t.Errorf("%+v: %v: %+v", c.edits, err, j)
		}
	}
	if _, err := tree.With(Edits{Unset: []string{"circuit.B.ambient"}}); err == nil {
		t.Error("a value that nobody states was unset")
	}
}

// A few lines cannot stand for more than a machine holds.
func TestPatternsAreBounded(t *testing.T) {
	var text strings.Builder
	text.WriteString(patternBase + "[[plane]]\nname = \"long\"\noutline = [")
	for i := range 2000 {
		fmt.Fprintf(&text, "[\"%d m\", \"%d m\"], ", i, i*i%1000)
	}
	text.WriteString("]\n")
	for i := range 2000 {
		fmt.Fprintf(&text, "[[plane]]\nname = \"%d\"\nlike = \"long\"\n", i)
	}
	_, err := Parse("job.toml", []byte(text.String()), nil)
	if err == nil || !strings.Contains(err.Error(), "patterns stand for more than 500000 values") {
		t.Errorf("%.300v", err)
	}
}

// A job that is printed in full reads back as the same, without patterns.
func TestExpanded(t *testing.T) {
	texts := map[string][]byte{}
	for _, name := range []string{"barn", "house", "commercial", "house-faulty"} {
		texts["../../testdata/jobs/"+name+".toml"] = nil
	}
	texts["job.toml"] = []byte(patternBase + array("across = \"centred\"\nbelow_ridge = \"18 in\"\nattachments = { every = 4, on = \"ribs\" }\nlug = []\n") +
		"[[array]]\nname = \"b \\\"\\u00e9\\\"\"\nlike = \"a\"\n[[string]]\nname = \"S\"\ncount = 3\nmodules = 9\narray = \"a\"\n")
	for name, text := range texts {
		var err error
		if text == nil {
			if text, err = os.ReadFile(name); err != nil {
				t.Fatal(err)
			}
		}
		tree, err := Read(name, text, ReadFile)
		if err != nil {
			t.Fatal(err)
		}
		before, err := tree.Job()
		if err != nil {
			t.Fatal(err)
		}
		full, err := tree.Expanded()
		if err != nil {
			t.Fatal(err)
		}
		back, err := Read(name, full, ReadFile)
		if err != nil {
			t.Fatalf("%s: %v\n%s", name, err, full)
		}
		if hasPatterns(Model(), back.root) || len(back.files) != 1 {
			t.Errorf("%s: patterns or includes are left", name)
		}
		after, err := back.Job()
		if err != nil {
			t.Fatalf("%s: %v\n%s", name, err, full)
		}
		same(t, after, before)
		if before.System() != after.System() {
			t.Errorf("%s: reports print in other units", name)
		}
	}
}

// A CSV file that an include of another folder names is found from the job that
// is printed in full.
func TestExpandedFiles(t *testing.T) {
	open := func(path string) ([]byte, error) {
		return []byte(map[string]string{
			"jobs/parts/a.toml":    "[as_built]\nfile = \"../feet/survey.csv\"\n",
			"jobs/feet/survey.csv": "array, x (in), y (in)\na, 1, 2\n",
		}[path]), nil
	}
	tree, err := Read("jobs/job.toml", []byte("include = [\"parts/a.toml\"]\n"+patternBase+array("")), open)
	if err != nil {
		t.Fatal(err)
	}
	full, err := tree.Expanded()
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(full), `file = "feet/survey.csv"`) {
		t.Errorf("%s", full)
	}
	if _, err := Parse("jobs/job.toml", full, open); err != nil {
		t.Error(err)
	}
}
