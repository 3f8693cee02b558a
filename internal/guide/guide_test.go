package guide

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"

	"plumbrule/internal/adoption"
	"plumbrule/internal/codebook"
	"plumbrule/internal/draft"
	"plumbrule/internal/draft/from"
	"plumbrule/internal/job"
	"plumbrule/internal/proof"
	"plumbrule/internal/quantity"
	"plumbrule/internal/review"
	"plumbrule/internal/source"
	"plumbrule/internal/table"
	"plumbrule/rules"
	"plumbrule/schema"
)

var loaded = sync.OnceValues(func() (*codebook.Codebook, *table.Set) {
	book, bookErr := codebook.LoadProven(rules.FS)
	tables, tableErr := table.LoadProven(rules.FS, "tables")
	if err := errors.Join(bookErr, tableErr); err != nil {
		panic(err)
	}
	return book, tables
})

func examples() (list []*example) {
	for _, p := range Pages() {
		for i := range p.examples {
			list = append(list, &p.examples[i])
		}
	}
	return list
}

// open gives the files that examples name, and the names of those in a folder.
func open(path string) ([]byte, error) {
	var names []byte
	for _, x := range examples() {
		for _, m := range x.marks {
			if m == "file "+path {
				return []byte(x.text), nil
			}
			if name, ok := strings.CutPrefix(m, "file "+path); ok && strings.HasSuffix(path, "/") {
				names = append(append(names, name...), '\n')
			}
		}
	}
	if names != nil {
		return names, nil
	}
	return nil, fs.ErrNotExist
}

func load(t *testing.T, other *example) *job.Job {
	t.Helper()
	j, err := job.Parse("guide.toml", []byte(together(other)), open)
	if err != nil {
		t.Fatal(err)
	}
	return j
}

var expectation = regexp.MustCompile(`^expect ([a-z/-]+)(?: of (.+))?: (met|not met|undetermined|not applicable|excused|claimed)$`)

// Every example can be read with the job that the others make, and a review
// finds in it what the page says.
func TestExamples(t *testing.T) {
	book, tables := loaded()
	ran, expected := 0, 0
	for _, x := range examples() {
		t.Run(fmt.Sprintf("%s:%d", x.page, x.line), func(t *testing.T) {
			ran++
			var with *example
			if !x.part() {
				with = x
			}
			j := load(t, with)
			for _, m := range x.marks {
				kind, _, _ := strings.Cut(m, " ")
				if kind != "expect" {
					if !strings.Contains(" instead besides first file draft drafted pack ", " "+kind+" ") {
						t.Errorf("the comment %q says nothing", m)
					}
					continue
				}
				e := expectation.FindStringSubmatch(m)
				if e == nil || book.Check(e[1]) == nil {
					t.Errorf("the expectation %q cannot be read, or has no such check", m)
					continue
				}
				expected++
				r, err := review.Run(j, book, tables, review.Options{Only: []string{e[1]}})
				if err != nil {
					t.Fatal(err)
				}
				expect(t, r, e[2], e[3])
			}
		})
	}
	if ran < 40 || expected < 15 {
		t.Errorf("only %d examples were read, and %d expectations", ran, expected)
	}
}

// expect wants a result of every outcome about a subject. What stands on an
// array counts as the array's: its feet.
func expect(t *testing.T, r *review.Review, subject, want string) {
	t.Helper()
	seen := 0
	for i := range r.Outcomes {
		o := &r.Outcomes[i]
		if subject != "" && o.Subject.Name != subject && !strings.HasPrefix(o.Subject.Name, subject+" ") {
			continue
		}
		seen++
		got := string(o.Result)
		if o.Excused != nil {
			got = "excused"
		} else if o.Claimed != nil {
			got = "claimed"
		}
		if got != want {
			t.Errorf("%s is %s, expected %s: %s%s", o.Subject.Label(), got, want, o.Finding, o.Why())
		}
	}
	if seen == 0 {
		t.Errorf("nothing was found about %q", cmp.Or(subject, "anything"))
	}
}

// The job of the guide is a good one: nothing in it is left to say or to change.
func TestJob(t *testing.T) {
	book, tables := loaded()
	r, err := review.Run(load(t, nil), book, tables, review.Options{Leave: review.Leave{Stated: true}})
	if err != nil {
		t.Fatal(err)
	}
	for i := range r.Outcomes {
		if o := &r.Outcomes[i]; o.Outstanding() {
			t.Errorf("%s of %s is %s: %s%s", o.Check.ID, o.Subject.Label(), o.Result, o.Finding, o.Why())
		}
	}
}

// What a page says is drafted from a file is what comes of it.
func TestDrafts(t *testing.T) {
	files, seen := map[string]string{}, 0
	for _, x := range examples() {
		for _, m := range x.marks {
			if name, is := strings.CutPrefix(m, "draft "); is {
				files[name] = x.text
			}
			name, is := strings.CutPrefix(m, "drafted ")
			if !is {
				continue
			}
			seen++
			r, err := from.Read([]from.Source{{File: source.NewFile(name, []byte(files[name]))}}, from.Options{System: quantity.US})
			if err != nil {
				t.Fatal(err)
			}
			d, err := draft.Begin(nil, "guide")
			if err != nil {
				t.Fatal(err)
			}
			if err := r.Into(d, "."); err != nil {
				t.Fatal(err)
			}
			if !strings.Contains(string(d.TOML()), x.text) {
				t.Errorf("from %s is drafted\n%s\nand the page says\n%s", name, d.TOML(), x.text)
			}
			if _, err := job.Parse("guide.toml", d.TOML(), open); err != nil {
				t.Errorf("what is drafted from %s is no job: %v", name, err)
			}
		}
	}
	if seen < 3 || seen != len(files) {
		t.Errorf("%d drafts of %d files", seen, len(files))
	}
}

// Every section of a job is explained, and every key that the text names is one.
func TestPagesNameWhatIsThere(t *testing.T) {
	var all strings.Builder
	for _, p := range Pages() {
		if p.Title == "" || p.Name == "" || !strings.HasPrefix(p.Text, "# ") {
			t.Errorf("the page %q has no title", p.Name)
		}
		if strings.Contains(p.Text, "<!--") {
			t.Errorf("the page %s shows a comment", p.Name)
		}
		all.WriteString(p.Text)
	}
	text := all.String()
	known := map[string]bool{"true": true, "false": true, "include": true, "equipment": true, "x": true, "y": true, "like": true}
	for _, file := range []string{".csv", ".geojson", ".json", ".dxf", "circuits.csv", "feet.csv", ".md", ".html", ".pdf", ".letter.md", ".letter.html", ".letter.pdf",
		"--date", "--deviations", "--accept-stated", "--round", "--responses", "--standing-may-grow", "--only", "why", "check", "response", "excusable"} {
		known[file] = true
	}
	var walk func(table *job.Table, prefix string)
	walk = func(table *job.Table, prefix string) {
		for _, f := range slices.Concat(table.Fields, table.Patterns) {
			known[f.Key], known[prefix+f.Key] = true, true
			for _, word := range f.Choice {
				known[word] = true
			}
			if f.Table == nil {
				continue
			}
			if !strings.Contains(text, "["+prefix+f.Key+"]") {
				t.Errorf("no page explains [%s]", prefix+f.Key)
			}
			walk(f.Table, prefix+f.Key+".")
		}
	}
	walk(job.Model(), "")
	for _, name := range adoption.Names(rules.FS) {
		known[name] = true
	}
	pack, err := schema.FS.ReadFile("pack.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	for _, key := range regexp.MustCompile(`"([a-z_]+)": *\{`).FindAllStringSubmatch(string(pack), -1) {
		known[key[1]], known["amends."+key[1]] = true, true
	}
	known["--adopt"], known["--applied"], known["--date"] = true, true, true
	for _, named := range regexp.MustCompile("`\\[*([a-z_0-9.-]+)(\\]*| = [^`]*)`").FindAllStringSubmatch(text, -1) {
		if !known[named[1]] {
			t.Errorf("the pages name %s, which is no key and no word", named[0])
		}
	}
}

// A pack that a page shows can be put into force, and proves itself.
func TestPacks(t *testing.T) {
	book, tables := loaded()
	ran := 0
	for _, x := range examples() {
		if !x.is("pack") {
			continue
		}
		ran++
		file := filepath.Join(t.TempDir(), "saltmere.toml")
		if err := os.WriteFile(file, []byte(x.text), 0o666); err != nil {
			t.Fatal(err)
		}
		stack, err := adoption.Load(file, rules.FS)
		if err != nil {
			t.Fatal(err)
		}
		force, err := stack.In(book, adoption.Options{Applied: "2026-02-01"})
		if err != nil {
			t.Fatal(err)
		}
		c := force.Book.Check("layout/stand-off")
		for _, fault := range proof.New("../../testdata/jobs", force.Book, tables).Under(force.Job).Faults([]*codebook.Check{c}) {
			t.Error(fault)
		}
	}
	if ran == 0 {
		t.Error("no page shows a pack")
	}
}
