package codebook

import (
	"fmt"
	"strings"
	"testing"

	"plumbrule/internal/job"
	"plumbrule/internal/source"
	"plumbrule/internal/table"
	"plumbrule/internal/terms"
)

// termFile is a file of a term.
func termFile(kind, name, typ, value string) *source.File {
	text := fmt.Sprintf("meaning = \"m\"\ntype = %q\nsource = \"the job\"\nvalue = '''%s'''\n", typ, value)
	return source.NewFile("terms/"+kind+"/"+name+".toml", []byte(text))
}

// smallJob is a job with what the tests below read.
func smallJob(t *testing.T, text string) *job.Job {
	t.Helper()
	j, err := job.Parse("job.toml", []byte("[project]\nname = \"x\"\n"+text), nil)
	if err != nil {
		t.Fatal(err)
	}
	return j
}

const threeCircuits = `
[[circuit]]
name = "a"
kind = "string"
length = "10 ft"
sets = 2
[[circuit]]
name = "b"
kind = "string"
length = "20 ft"
[[circuit]]
name = "c"
kind = "string"
length = "30 ft"
`

// Terms that are data give what the expression says, know what they read and
// are unknown where a value they need is left out.
func TestTermsThatAreData(t *testing.T) {
	for _, c := range []struct {
		typ, value, job string
		want            any // nil: undetermined
	}{
		{"length", `circuits.sum(c, c.length)`, threeCircuits, 60 * 0.3048},
		{"length", `circuits.sum(c, c.length)`, "", 0.0},
		{"length", `circuits.sum(c, c.length)`, threeCircuits + "[[circuit]]\nname = \"d\"\nkind = \"string\"\n", nil},
		{"length", `circuits.max(c, c.length)`, threeCircuits, 30 * 0.3048},
		{"length", `circuits.min(c, c.length)`, threeCircuits, 10 * 0.3048},
		{"length", `circuits.max(c, c.length)`, "", nil}, // of nothing there is no largest
		{"count", `circuits.count(c, c.length > q("15 ft"))`, threeCircuits, 2},
		{"count", `circuits.count(c, c.length > q("15 ft"))`, threeCircuits + "[[circuit]]\nname = \"d\"\nkind = \"string\"\n", nil},
		{"count", `circuits.count(c, stated(c.length))`, threeCircuits + "[[circuit]]\nname = \"d\"\nkind = \"string\"\n", 3},
		{"count", `circuits.sum(c, size(c.strings))`, "", 0},
		{"number", `circuits.sum(c, 0.5)`, threeCircuits, 1.5},
		{"yes or no", `stated(site.record_low)`, "[site]\nrecord_low = \"-10 degF\"\n", true},
		{"yes or no", `stated(site.record_low)`, "", false},
		{"yes or no", `stated(site.record_low) && site.record_low < q("0 degF")`, "", false},
		{"yes or no", `circuits.exists(c, stated(c.stated.current))`, threeCircuits, false},
		{"yes or no", `circuits.exists(c, stated(c.stated.current))`, threeCircuits + "[circuit.stated]\ncurrent = \"3 A\"\n", true},
		{"length", `max(q("1 ft"), q("2 ft"))`, "", 2 * 0.3048},
	} {
		t.Run(c.value, func(t *testing.T) {
			words, err := newVocabulary()
			if err != nil {
				t.Fatal(err)
			}
			b, err := (&Codebook{Words: words}).Add([]*source.File{termFile("submittal", "tried", c.typ, c.value)})
			if err != nil {
				t.Fatal(err)
			}
			m := terms.New(smallJob(t, c.job), &table.Set{})
			s := m.Subjects("submittal")[0]
			v := m.Value(s, b.Words.Term(s.Kind, "tried"))
			if c.want == nil {
				if v.V != nil || len(v.Needs) == 0 {
					t.Fatalf("gives %v, expected it to be undetermined", v.V)
				}
				return
			}
			if f, ok := c.want.(float64); ok {
				if got, isFloat := v.V.(float64); !isFloat || got < f-1e-9 || got > f+1e-9 {
					t.Fatalf("gives %v, expected %v (needs %v)", v.V, f, v.Needs)
				}
			} else if v.V != c.want {
				t.Fatalf("gives %v, expected %v (needs %v)", v.V, c.want, v.Needs)
			}
			if strings.Contains(c.value, "c.length") && c.job == threeCircuits {
				var keys []string
				for _, r := range v.Reads() {
					keys = append(keys, r.Key)
				}
				if got := strings.Join(keys, " "); got != "circuit.a.length circuit.b.length circuit.c.length" {
					t.Errorf("it says that it read %s", got)
				}
			}
		})
	}
}

// What is wrong with a term's file is said at its place.
func TestFaultsOfTerms(t *testing.T) {
	for _, c := range []struct {
		name  string
		files []*source.File
		want  string
	}{
		{"wrong type", []*source.File{termFile("submittal", "x", "voltage", "size(strings)")}, "terms/submittal/x.toml:4:9: the term is a voltage but its value is a count"},
		{"unknown type", []*source.File{termFile("submittal", "x", "voltag", "size(strings)")}, `terms/submittal/x.toml:2:8: there is no type "voltag"`},
		{"unknown kind", []*source.File{termFile("submital", "x", "count", "1")}, `there is no kind of thing called "submital"`},
		{"taken name", []*source.File{termFile("circuit", "length", "length", `q("1 ft")`)}, "circuit already has a term length"},
		{"given twice", []*source.File{termFile("circuit", "x", "count", "1"), termFile("circuit", "x", "count", "2")}, "circuit already has a term x"},
		{"misspelt term", []*source.File{termFile("circuit", "x", "length", "circuit.lenght")}, `terms/circuit/x.toml:4:19: there is no term "lenght"`},
		{"circle", []*source.File{termFile("circuit", "x", "count", "circuit.y"), termFile("circuit", "y", "count", "circuit.x")}, "of circuit depends on itself"},
		{"sum of temperatures", []*source.File{termFile("submittal", "x", "temperature", "circuits.sum(c, c.ambient)")}, "sum does not work on"},
		{"stated of a derived term", []*source.File{termFile("array", "x", "yes or no", "stated(array.y)"), termFile("array", "y", "count", "1")}, `terms/array/x.toml:4:19: stated asks about a value that the job file gives: array has no such value "y"`},
		{"stated of nothing", []*source.File{termFile("array", "x", "yes or no", "stated(array.orign_x)")}, "stated asks about a value that the job file gives"},
		{"stated of a whole", []*source.File{termFile("array", "x", "yes or no", "stated(array)")}, "stated takes a value of a thing"},
		{"has", []*source.File{termFile("array", "x", "yes or no", "has(array.rows)")}, "stated(...) asks whether the job states a value"},
		{"no meaning", []*source.File{source.NewFile("terms/array/x.toml", []byte("type = \"count\"\nsource = \"s\"\nvalue = \"1\"\n"))}, "a term needs its meaning"},
		{"unknown key", []*source.File{source.NewFile("terms/array/x.toml", []byte("meaning = \"m\"\ntype = \"count\"\nsource = \"s\"\nvalu = \"1\"\nvalue = \"1\"\n"))}, `terms/array/x.toml:4:8: unknown key "valu"`},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := New(c.files)
			if err == nil {
				t.Fatal("accepted")
			}
			if !strings.Contains(err.Error(), c.want) {
				t.Errorf("says\n%v\nexpected\n%s", err, c.want)
			}
		})
	}
}

// A term that leads in a circle at run time only, by way of a term that is Go,
// is undetermined and says why.
func TestTermOfItself(t *testing.T) {
	words, err := newVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	files := []*source.File{termFile("circuit", "x", "count", "circuit.y"), termFile("circuit", "y", "count", "circuit.x")}
	if faults := words.define(files, nil, true, false); len(faults) > 0 {
		t.Fatal(faults)
	}
	m := terms.New(smallJob(t, threeCircuits), &table.Set{})
	s := m.Subjects("circuit")[0]
	if v := m.Value(s, words.Term(s.Kind, "x")); len(v.Needs) != 1 || !strings.Contains(v.Needs[0].Why, "depends on itself") {
		t.Errorf("gives %v and needs %v", v.V, v.Needs)
	}
}
