package bound

import (
	"flag"
	"os"
	"regexp"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write the page of the guide anew")

const page = "../guide/pages/18-bounds.md"

// The guide's page lists every bound with its reason, as this package has them.
func TestTheGuideListsEveryBound(t *testing.T) {
	text, err := os.ReadFile(page)
	if err != nil {
		t.Fatal(err)
	}
	head, _, found := strings.Cut(string(text), "| of | at most |")
	if !found {
		t.Fatalf("%s has no table", page)
	}
	want := head + "| of | at most | because |\n| --- | --- | --- |\n"
	for _, b := range All() {
		if b.Of == "" || b.Most == "" || b.Why == "" {
			t.Errorf("incomplete: %+v", b)
		}
		want += "| " + b.Of + " | " + b.Most + " | " + b.Why + " |\n"
	}
	if *update {
		if err := os.WriteFile(page, []byte(want), 0o666); err != nil {
			t.Fatal(err)
		}
	} else if string(text) != want {
		t.Errorf("%s does not list the bounds as they are; -update writes it", page)
	}
}

// Every constant stands in the list.
func TestEveryBoundIsListed(t *testing.T) {
	text, err := os.ReadFile("bound.go")
	if err != nil {
		t.Fatal(err)
	}
	constants, list, _ := strings.Cut(string(text), "func All()")
	names := regexp.MustCompile(`(?m)^\t([A-Z]\w+) += `).FindAllStringSubmatch(constants, -1)
	if len(names) < 20 {
		t.Fatalf("only %d bounds found", len(names))
	}
	for _, n := range names {
		if !regexp.MustCompile(`\b` + n[1] + `\b`).MatchString(list) {
			t.Errorf("%s is not listed", n[1])
		}
	}
}
