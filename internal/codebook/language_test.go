package codebook

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"cel.dev/cel-go/common/operators"
)

// What the list of the language says can be said, and it lists what is there.
func TestLanguage(t *testing.T) {
	words, err := newVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	var listed []string
	for _, f := range Language() {
		if _, issues := words.env.Compile(f.Example); issues.Err() != nil {
			t.Errorf("%s: the example %s does not compile: %v", f.Form, f.Example, issues.Err())
		}
		if name := regexp.MustCompile(`(\w+)\(`).FindStringSubmatch(f.Form); name != nil {
			listed = append(listed, name[1])
			if !strings.Contains(f.Example, name[1]+"(") {
				t.Errorf("%s: the example %s does not show it", f.Form, f.Example)
			}
		}
	}
	for _, m := range macros() {
		if name := m.Function(); name != operators.Has && !slices.Contains(listed, name) {
			t.Errorf("%s is not listed", name)
		}
	}
	for _, d := range append(listFunctions(), constants()...) {
		if name := d.Name(); !strings.HasPrefix(name, "@") && !strings.HasPrefix(name, "constant_") && !slices.Contains(listed, name) {
			t.Errorf("%s is not listed", name)
		}
	}
}
