package cli

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/spf13/cobra/doc"

	"plumbrule/rules"
)

// .ci/release writes the pages with -man FOLDER, from this test so that what
// makes them is no part of the program.
var man = flag.String("man", "", "write the manual pages to this folder")

// Each command has a manual page, with every flag of it.
func TestManualPages(t *testing.T) {
	folder := *man
	if folder == "" {
		folder = t.TempDir()
	}
	root := (&program{rules: rules.FS}).newRoot()
	root.DisableAutoGenTag = true
	day := time.Unix(0, 0).UTC() // else the day on which they are made; SOURCE_DATE_EPOCH goes before it
	if err := doc.GenManTree(root, &doc.GenManHeader{Section: "1", Source: "plumbrule", Manual: "plumbrule", Date: &day}, folder); err != nil {
		t.Fatal(err)
	}
	for _, c := range root.Commands() {
		if !c.IsAvailableCommand() {
			continue
		}
		page, err := os.ReadFile(filepath.Join(folder, "plumbrule-"+c.Name()+".1"))
		if err != nil {
			t.Error(err)
			continue
		}
		for line := range strings.Lines(c.Flags().FlagUsages()) {
			if _, name, ok := strings.Cut(line, "--"); ok {
				name = strings.FieldsFunc(name, func(r rune) bool { return r == ' ' || r == '[' })[0]
				if !strings.Contains(strings.ReplaceAll(string(page), `\-`, "-"), "--"+name) {
					t.Errorf("the page of %s lacks --%s", c.Name(), name)
				}
				break // the text of another flag may name flags too
			}
		}
	}
	if _, err := os.Stat(filepath.Join(folder, "plumbrule.1")); err != nil {
		t.Error(err)
	}
}
