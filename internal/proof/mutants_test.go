package proof

import (
	"slices"
	"strings"
	"testing"

	"plumbrule/internal/source"
)

// What is changed in a check is what the language allows, each change once, and
// only examples that tell a change from the check take it off the list.
func TestMutants(t *testing.T) {
	book, tables := own(t)
	const text = `title = "t"
severity = "advisory"
each = "overcurrent"
when = 'overcurrent.rating > q("5 A") && !(overcurrent.name in ["F8", "F9"])'
measure = "overcurrent.rating"
at_most = 'true ? q("20 A") : q("40 A")'
because = "b"
[[cite]]
code = "common practice"
section = "s"
[[example]]
job = "barn"
subject = "F1"
set = {"overcurrent.F1.rating" = "20.5 A"}
expect = "not met"
[[example]]
job = "barn"
subject = "F1"
set = {"overcurrent.F1.rating" = "20 A"}
expect = "met"
[[example]]
job = "barn"
subject = "F1"
set = {"overcurrent.F1.rating" = "5 A"}
expect = "not applicable"
`
	more, err := book.Add([]*source.File{source.NewFile("county/size.toml", []byte(text))})
	if err != nil {
		t.Fatal(err)
	}
	proofs, err := New(jobs, book.With(more), tables).Prove(more.Checks, true)
	if err != nil {
		t.Fatal(err)
	}
	p := proofs[0]
	if len(p.Faults) > 0 {
		t.Error(p.Faults)
	}
	all, err := more.Checks[0].Mutants()
	if err != nil {
		t.Fatal(err)
	}
	var made, left []string
	for _, m := range all {
		made = append(made, m.String())
	}
	for _, m := range p.Survivors {
		left = append(left, m.At.Position().String()+" "+m.String())
	}
	if len(made) != p.Mutants || len(slices.Compact(slices.Sorted(slices.Values(made)))) != len(made) {
		t.Errorf("%d mutants, and made %q", p.Mutants, made)
	}
	for _, want := range []string{
		`when: overcurrent.rating > q("5 A") -> (dropped)`, `when: overcurrent.rating > q("5 A") -> overcurrent.rating >= q("5 A")`,
		`when: overcurrent.rating > q("5 A") -> overcurrent.rating < q("5 A")`, `when: q("5 A") -> q("5 A") * 1.05`, `when: "F9" -> (dropped)`,
		`at_most: q("20 A") -> q("20 A") * 1.05`, `at_most: q("40 A") -> q("40 A") * 0.95`, `at_most: true -> false`, `at_most: at most -> at least`,
		`at_most: true ? q("20 A") : q("40 A") -> (true ? q("20 A") : q("40 A")) * 1.05`,
	} {
		if !slices.Contains(made, want) {
			t.Errorf("no mutant %s in\n%s", want, strings.Join(made, "\n"))
		}
	}
	// The examples stand at 5, 20 and 20.5 A, and no fuse is F8 or F9.
	for _, want := range []string{
		`county/size.toml:4:65 when: "F8" -> (dropped)`, `county/size.toml:4:71 when: "F9" -> (dropped)`,
		`county/size.toml:6:31 at_most: q("40 A") -> q("40 A") * 1.05`,
	} {
		if !slices.Contains(left, want) {
			t.Errorf("%s does not survive: %s", want, strings.Join(left, "\n"))
		}
	}
	for _, told := range []string{`rating > q("5 A") -> (dropped)`, `rating >= q("5 A")`, `q("20 A") * 0.95`, `q("20 A") * 1.05`, "at least", "true -> false"} {
		if strings.Contains(strings.Join(left, "\n"), told) {
			t.Errorf("%s survives its example", told)
		}
	}
	if len(p.Open) != 1 || !strings.Contains(p.Open[0].Says, "undetermined") {
		t.Errorf("open is %v", p.Open)
	}
}
