package cli

import (
	"bytes"
	"strings"
	"testing"

	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
	"plumbrule/internal/terms"
	"plumbrule/rules"
)

// Nothing that a job or a rule can say is missing from what terms prints.
func TestTermsPrintsEverything(t *testing.T) {
	long(t)
	book, err := codebook.Load(rules.FS)
	if err != nil {
		t.Fatal(err)
	}
	tables := map[*job.Table]bool{}
	said := func(lines []string, name string, parts ...string) bool {
		for _, line := range lines {
			if strings.HasPrefix(strings.TrimSpace(line), name+" ") {
				for _, part := range parts {
					if !strings.Contains(line, part) {
						return false
					}
				}
				return true
			}
		}
		return false
	}
	for _, k := range terms.Kinds() {
		var b bytes.Buffer
		listTerms(&b, book.Words, k)
		lines := strings.Split(b.String(), "\n")
		for _, term := range book.Words.Terms(k) {
			parts := append([]string{term.Type.String(), term.Meaning, term.Source, term.LeftOut, oneLine(book.Words.Expression(term))}, term.Words...)
			if !said(lines, term.Name, parts...) {
				t.Errorf("%s: the term %s is not listed with %q", k.Name, term.Name, parts)
			}
		}
		var walk func(table *job.Table, prefix string)
		walk = func(table *job.Table, prefix string) {
			tables[table] = true
			for _, f := range table.Fields {
				if !said(lines, prefix+f.Key, append([]string{f.Doc, f.LeftOut()}, f.Choice...)...) {
					t.Errorf("%s: the key %s is not listed", k.Name, prefix+f.Key)
				}
				if f.Kind == job.KindTables {
					walk(f.Table, prefix+f.Key+".")
				}
			}
		}
		if k.Table != nil {
			walk(k.Table, "")
		}
	}
	var every func(table *job.Table, at string)
	every = func(table *job.Table, at string) {
		for _, f := range table.Fields {
			if f.Table == nil {
				continue
			}
			if !tables[f.Table] {
				t.Errorf("no kind lists the keys of %s", at+f.Key)
			}
			every(f.Table, at+f.Key+".")
		}
	}
	every(job.Model(), "")
	if len(tables) < 30 {
		t.Errorf("only %d tables of the job are listed", len(tables))
	}
}
