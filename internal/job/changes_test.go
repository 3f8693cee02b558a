package job

import (
	"slices"
	"strings"
	"testing"

	"plumbrule/internal/source"
)

const changed = `
[project]
name = "x"
[site]
record_low = "-10 degF"
[[circuit]]
name = "a"
kind = "string"
length = "10 ft"
[[circuit]]
name = "b"
kind = "string"
length = "20 ft"
`

// Changes names exactly the keys that an edit changed, and says so where the
// things themselves are no longer the same.
func TestChanges(t *testing.T) {
	tree, err := Read("job.toml", []byte(changed), nil)
	if err != nil {
		t.Fatal(err)
	}
	before, err := tree.Job()
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		edits Edits
		want  string // "" and same false: not comparable
		same  bool
	}{
		{Edits{}, "", true},
		{Edits{Set: map[string]any{"circuit.a.length": "10 ft"}}, "", true},
		{Edits{Set: map[string]any{"circuit.a.length": "11 ft"}}, "circuit.a.length circuit.a.raceway_length", true},
		{Edits{Set: map[string]any{"circuit.b.wet": true, "site.elevation": "100 ft"}}, "site.elevation circuit.b.wet", true},
		{Edits{Unset: []string{"site.record_low"}}, "site.record_low", true},
		{Edits{Unset: []string{"circuit.a"}}, "", false},
		{Edits{Doubled: map[string]string{"circuit.a": "c"}}, "", false},
		{Edits{Set: map[string]any{"circuit.a.name": "c"}}, "", false},
	} {
		altered, err := tree.With(c.edits)
		if err != nil {
			t.Fatal(err)
		}
		after, err := altered.Job()
		if err != nil {
			t.Fatal(err)
		}
		keys, same := Changes(before, after)
		if same != c.same || same && strings.Join(keys, " ") != c.want {
			t.Errorf("%+v: changed %q, comparable %v; expected %q, %v", c.edits, keys, same, c.want, c.same)
		}
	}
}

// A doubled entry is a copy under another name; the original is left alone.
func TestDoubled(t *testing.T) {
	tree, err := Read("job.toml", []byte(changed), nil)
	if err != nil {
		t.Fatal(err)
	}
	twice, err := tree.With(Edits{Doubled: map[string]string{"circuit.a": "a again"}, Set: map[string]any{`circuit."a again".length`: "12 ft"}})
	if err != nil {
		t.Fatal(err)
	}
	j, err := twice.Job()
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, c := range j.Circuits {
		got = append(got, c.Name.Value+" "+c.Length.Value.String())
	}
	if want := []string{"a 10 ft", "b 20 ft", "a again 12 ft"}; !slices.Equal(got, want) {
		t.Errorf("the job has %q, expected %q", got, want)
	}
	for _, key := range []string{"site", "circuit", "circuit.z", "site.record_low"} {
		if _, err := tree.With(Edits{Doubled: map[string]string{key: "n"}}); err == nil {
			t.Errorf("doubling %s is accepted", key)
		}
	}
}

// Added entries join their list, or make it.
func TestAdded(t *testing.T) {
	tree, err := Read("job.toml", []byte(changed), nil)
	if err != nil {
		t.Fatal(err)
	}
	more, err := tree.With(Edits{Added: map[string][]map[string]any{"circuit": {{"name": "c", "kind": "string", "length": "5 ft"}}, "panel": {{"name": "sub", "busbar": "125 A"}}}, Set: map[string]any{"circuit.c.length": "6 ft"}})
	if err != nil {
		t.Fatal(err)
	}
	j, err := more.Job()
	if err != nil {
		t.Fatal(err)
	}
	if n := len(j.Circuits); n != 3 || j.Circuits[2].Length.Value.String() != "6 ft" {
		t.Errorf("the job has %d circuits", n)
	}
	if len(j.Panels) != 1 || j.Panels[0].Name.Value != "sub" || j.Panels[0].Busbar.Value.SI != 125 {
		t.Errorf("the job has the panels %+v", j.Panels)
	}
	for _, key := range []string{"site", "circuit.a.length", "nothing.here"} {
		if _, err := tree.With(Edits{Added: map[string][]map[string]any{key: {{"name": "n"}}}}); err == nil {
			t.Errorf("adding to %s is accepted", key)
		}
	}
}

// Places follow what is the same through lines that were put in and taken out;
// a place where one thing stays and another leaves is told of neither.
func TestMoved(t *testing.T) {
	read := func(text string) *Job {
		j, err := Parse("j.toml", []byte(text), nil)
		if err != nil {
			t.Fatal(err)
		}
		return j
	}
	before := read("[project]\nname = \"a\"\n[site]\nwind_speed = \"100 mph\"\nexposure = \"C\"\n")
	after := read("# −14 °F\n[project]\nname = \"a\"\nowner = \"o\"\n[site]\nexposure = \"C\"\nwind_speed = \"101 mph\"\n")
	d := Compare(before, after)
	if !d.Comparable || !slices.Equal(d.Keys, []string{"project.owner", "site.wind_speed"}) {
		t.Errorf("comparable %v, differ %q", d.Comparable, d.Keys)
	}
	for _, test := range []struct {
		of   source.Span
		want string
	}{
		{before.Site.Exposure.At, `j.toml:6:12`},
		{before.Site.Elevation.At, "j.toml:5:1"},
		{source.Span{}, ""},
	} {
		if now, known := d.Moved(test.of); !known || now.Position().String() != test.want {
			t.Errorf("%s went to %s (%v), want %s", test.of.Position(), now.Position(), known, test.want)
		}
	}
	if now, known := d.Moved(before.Site.WindSpeed.At); known {
		t.Errorf("a changed value is said to stand at %s", now.Position())
	}
	if at := d.Place("site.wind_speed").Position().String(); at != "j.toml:7:14" {
		t.Errorf("the wind speed stands at %s", at)
	}
	if at := d.Place("site.elevation"); at.Known() {
		t.Errorf("what is left out stands at %s", at.Position())
	}
}
