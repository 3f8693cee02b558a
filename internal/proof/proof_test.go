package proof

import (
	"os"
	"strings"
	"sync"
	"testing"

	"plumbrule/internal/codebook"
	"plumbrule/internal/source"
	"plumbrule/internal/table"
	"plumbrule/rules"
)

const jobs = "../../testdata/jobs"

var (
	ownBook   = sync.OnceValues(func() (*codebook.Codebook, error) { return codebook.Load(rules.FS) })
	ownTables = sync.OnceValues(func() (*table.Set, error) { return table.Load(rules.FS, "tables") })
)

func own(t *testing.T) (*codebook.Codebook, *table.Set) {
	t.Helper()
	book, err := ownBook()
	if err != nil {
		t.Fatal(err)
	}
	tables, err := ownTables()
	if err != nil {
		t.Fatal(err)
	}
	return book, tables
}

// Every check of the project proves itself.
func TestExamples(t *testing.T) {
	book, tables := own(t)
	ran := 0
	for _, c := range book.Checks {
		ran += len(c.Examples)
	}
	if ran < 2*len(book.Checks) {
		t.Errorf("%d examples for %d checks", ran, len(book.Checks))
	}
	for _, f := range New(jobs, book, tables).Faults(part(book.Checks, 1)) {
		t.Error(f)
	}
}

// part takes every nth of a list: all where the long tests are asked for, an
// eighth of those in short tests.
func part[T any](list []T, n int) (out []T) {
	switch {
	case os.Getenv("PLUMBRULE_LONG") != "":
		return list
	case testing.Short():
		n *= 8
	}
	for i := 0; i < len(list); i += n {
		out = append(out, list[i])
	}
	return out
}

// An example that does not hold, cannot be run or is missing is told, with the
// numbers that it gave.
func TestFaults(t *testing.T) {
	book, tables := own(t)
	const head = "title = \"t\"\nseverity = \"advisory\"\neach = \"surveyed_foot\"\nmeasure = \"surveyed_foot.moved\"\nat_most = 'q(\"1 in\")'\nbecause = \"b\"\n" +
		"[[cite]]\ncode = \"common practice\"\nsection = \"s\"\n"
	example := func(lines string) string { return "[[example]]\n" + lines + "\n" }
	for _, c := range []struct{ name, text, want string }{
		{"holds", head + example("job = \"barn\"\nset = {\"as_built.file\" = \"barn-survey.csv\", \"as_built.tolerance\" = \"6 in\", \"as_built.straightness\" = \"1 in\"}\nsubject = \"west line 1 foot 1\"\nexpect = \"met\"") +
			example("job = \"barn\"\nset = {\"as_built.file\" = \"barn-survey.csv\"}\nexpect = \"undetermined\""), ""},
		{"wrong outcome", head + example("job = \"barn\"\nset = {\"as_built.file\" = \"barn-survey.csv\", \"as_built.tolerance\" = \"6 in\"}\nsubject = \"west line 1 foot 1\"\nexpect = \"not met\"") +
			example("job = \"barn\"\nexpect = \"met\""), "is met, expected not met: "},
		{"no such subject", head + example("job = \"barn\"\nset = {\"as_built.file\" = \"barn-survey.csv\", \"as_built.tolerance\" = \"6 in\"}\nsubject = \"1\"\nexpect = \"met\"") +
			example("job = \"barn\"\nexpect = \"not met\""), `the job has no surveyed_foot "1"`},
		{"no such job", head + example("job = \"castle\"\nexpect = \"met\"") + example("job = \"barn\"\nexpect = \"not met\""), "the example cannot be run"},
		{"elsewhere", head + example("job = \"../jobs/barn\"\nexpect = \"met\"") + example("job = \"barn\"\nexpect = \"not met\""), "is not in the folder of jobs"},
		{"one side only", head + strings.Repeat(example("job = \"castle\"\nexpect = \"met\""), 2), "none that is not"},
	} {
		t.Run(c.name, func(t *testing.T) {
			more, err := book.Add([]*source.File{source.NewFile("county/moved.toml", []byte(c.text))})
			if err != nil {
				t.Fatal(err)
			}
			faults := New(jobs, book.With(more), tables).Faults(more.Checks)
			var said []string
			for _, f := range faults {
				said = append(said, f.String())
			}
			all := strings.Join(said, "\n")
			if c.want == "" && all != "" || !strings.Contains(all, c.want) {
				t.Errorf("says %q, expected %q", all, c.want)
			}
		})
	}
}

// A sentence says a thing by its name.
func TestSentences(t *testing.T) {
	book, tables := own(t)
	bench := New(jobs, book, tables)
	for _, c := range []struct {
		check, want string
		x           codebook.Example
	}{
		{"layout/obstruction-inside-plane", "over the border of plane north", codebook.Example{Job: "house", Subject: "bath fan", Set: map[string]any{"obstruction.bath fan.at": []any{"39 ft 8 in", "11 ft"}}}},
	} {
		outcomes, err := bench.Run(book.Check(c.check), c.x)
		if err != nil {
			t.Fatal(err)
		}
		if got := outcomes[0].Finding; !strings.Contains(got, c.want) {
			t.Errorf("%s says %q, expected %q in it", c.check, got, c.want)
		}
	}
}
