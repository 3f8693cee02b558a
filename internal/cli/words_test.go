package cli

import (
	"encoding/json"
	"io/fs"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/BurntSushi/toml"
	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"plumbrule/internal/guide"
	"plumbrule/rules"
	"plumbrule/schema"
)

// avoided is a row of the list of words in DEVELOPERS.md: what to say, what
// that is said in place of, and phrases in which the other word is right.
type avoided struct {
	say   string
	not   *regexp.Regexp
	right []string
}

// avoidedWords reads the list of words. A word stands for its plural too, a
// space for what parts the words of a key.
func avoidedWords(t *testing.T) (list []avoided) {
	t.Helper()
	_, text, found := strings.Cut(read(t, "../../DEVELOPERS.md"), "\n| say | not | ")
	if !found {
		t.Fatal("DEVELOPERS.md has no list of words")
	}
	text, _, _ = strings.Cut(text, "\n\n")
	for _, line := range strings.Split(text, "\n")[2:] {
		cells := strings.Split(strings.TrimSuffix(strings.TrimPrefix(line, "|"), "|"), "|")
		if len(cells) != 3 {
			t.Fatalf("a row of the list of words has %d cells: %s", len(cells), line)
		}
		words := commaParted(cells[1])
		for i, w := range words {
			words[i] = strings.ReplaceAll(regexp.QuoteMeta(w), " ", "[ _-]") + "s?"
		}
		list = append(list, avoided{strings.TrimSpace(cells[0]), regexp.MustCompile(`(?i)\b(` + strings.Join(words, "|") + `)\b`), commaParted(cells[2])})
	}
	return list
}

func commaParted(cell string) (out []string) {
	for part := range strings.SplitSeq(cell, ",") {
		if part = strings.TrimSpace(part); part != "" {
			out = append(out, part)
		}
	}
	return out
}

var inBraces = regexp.MustCompile(`\{[^}]*\}`)

// One word for each concept, wherever a user reads or types it: the sentences
// of rule files, commands with their flags, and the keys of jobs, rules and
// reviews.
func TestOneWordForEachConcept(t *testing.T) {
	long(t)
	list := avoidedWords(t)
	if len(list) < 10 {
		t.Fatalf("only %d rows in the list of words", len(list))
	}
	texts := 0
	look := func(where, text string) {
		texts++
		for _, row := range list {
			rest := text
			for _, phrase := range row.right {
				rest = regexp.MustCompile(`(?i)`+regexp.QuoteMeta(phrase)).ReplaceAllString(rest, "")
			}
			if word := row.not.FindString(rest); word != "" {
				t.Errorf("%s says %q: say %s\n\t%s", where, word, row.say, text)
			}
		}
	}

	names, err := fs.Glob(rules.FS, "*/*.toml")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range names {
		var rule struct{ Title, Because, Finding, Remedy string }
		if _, err := toml.DecodeFS(rules.FS, name, &rule); err != nil {
			t.Fatal(err)
		}
		for key, text := range map[string]string{"title": rule.Title, "because": rule.Because, "finding": rule.Finding, "remedy": rule.Remedy} {
			if text != "" {
				look(name+" "+key, inBraces.ReplaceAllString(text, "")) // expressions are no sentences
			}
		}
	}

	root := (&program{}).newRoot()
	for _, c := range append([]*cobra.Command{root}, root.Commands()...) {
		look("plumbrule "+c.Name(), c.Use+"\n"+c.Short+"\n"+c.Long)
		c.Flags().VisitAll(func(f *pflag.Flag) { look("plumbrule "+c.Name()+" --"+f.Name, f.Name+" "+f.Usage) })
	}

	for _, page := range guide.Pages() {
		for i, part := range strings.Split(page.Text, "\n```") {
			if i%2 == 0 { // the prose between the examples
				look("guide "+page.Name, part)
			}
		}
	}

	schemas, err := fs.Glob(schema.FS, "*.json")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range schemas {
		text, err := schema.FS.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		var doc any
		if err := json.Unmarshal(text, &doc); err != nil {
			t.Fatal(err)
		}
		for _, key := range keysOf(doc) {
			look(filepath.Join("schema", name), strings.ReplaceAll(key, "_", " "))
		}
	}
	if texts < 1500 {
		t.Errorf("only %d texts were looked at", texts)
	}
}

// keysOf lists the properties that a JSON Schema names.
func keysOf(doc any) (out []string) {
	switch v := doc.(type) {
	case []any:
		for _, e := range v {
			out = append(out, keysOf(e)...)
		}
	case map[string]any:
		if properties, ok := v["properties"].(map[string]any); ok {
			for key := range properties {
				out = append(out, key)
			}
		}
		for _, e := range v {
			out = append(out, keysOf(e)...)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}
