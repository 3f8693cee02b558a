package cli

import (
	"bytes"
	"strings"
	"testing"
)

// Every key of the job file is listed, with its meaning, its words and what leaving
// it out says.
func TestKeysPrintsEverything(t *testing.T) {
	keys := 0
	for _, s := range sections() {
		var b bytes.Buffer
		listSection(&b, s)
		listed := map[string]string{}
		for line := range strings.Lines(b.String()) {
			if key, _, _ := strings.Cut(strings.TrimSpace(line), " "); strings.HasPrefix(line, "  ") {
				if listed[key] != "" {
					t.Errorf("%s %s is listed twice", s.header(), key)
				}
				listed[key] = line
			}
		}
		for _, f := range s.keys() {
			keys++
			for _, part := range append([]string{f.Doc, f.LeftOut()}, f.Choice...) {
				if !strings.Contains(listed[f.Key], part) {
					t.Errorf("%s %s is not listed with %q", s.header(), f.Key, part)
				}
			}
			if f.Required && !strings.Contains(listed[f.Key], "; required") {
				t.Errorf("%s %s is not said to be required", s.header(), f.Key)
			}
		}
	}
	if keys < 600 {
		t.Errorf("only %d keys are listed", keys)
	}
}
