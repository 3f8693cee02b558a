// Package guide holds the guide to the job file: pages in Markdown, in the
// order in which they are read, whose examples together are one whole job.
//
// An example is a fenced block of TOML, CSV or JSON. A comment on a line above it says
// what it is where it is not simply a part of that job:
//
//	<!-- instead -->    it can stand in place of the example before it
//	<!-- besides -->    it can be added to the job
//	<!-- first -->      it can be added ahead of the job
//	<!-- file NAME -->  it is a file that another example names
//	<!-- draft NAME --> it is a file that a job is drafted from
//	<!-- drafted NAME --> it is a part of what is drafted from that file alone
//	<!-- pack -->       it is an adoption pack
//
// The tests load the job with each of these, and read from
// `<!-- expect CHECK: RESULT -->`, or `CHECK of SUBJECT: RESULT`, what a
// review must find in it.
package guide

import (
	"embed"
	"regexp"
	"strings"
	"sync"
)

//go:embed pages/*.md
var files embed.FS

// Page is one page of the guide.
type Page struct {
	Name  string // as it is asked for: "roof"
	Title string
	Text  string // Markdown, without the comments

	examples []example
}

// example is one fenced block that belongs to a job.
type example struct {
	page     string
	line     int // of its fence
	language string
	marks    []string // the comments above it, without their brackets
	text     string
}

// part reports whether it is a part of the job that the pages make together.
func (x *example) part() bool {
	return !x.is("instead") && !x.is("besides") && !x.is("first") && !x.is("file") && !x.is("draft") && !x.is("drafted") && !x.is("pack")
}

// is reports whether a comment of the kind stands above it.
func (x *example) is(kind string) bool {
	for _, m := range x.marks {
		if word, _, _ := strings.Cut(m, " "); word == kind {
			return true
		}
	}
	return false
}

// Pages gives the pages in the order of reading.
var Pages = sync.OnceValue(func() []Page {
	entries, err := files.ReadDir("pages")
	if err != nil {
		panic(err) // the folder is embedded
	}
	var pages []Page
	for _, e := range entries {
		text, err := files.ReadFile("pages/" + e.Name())
		if err != nil {
			panic(err)
		}
		_, name, _ := strings.Cut(strings.TrimSuffix(e.Name(), ".md"), "-") // what is before the dash gives the order
		pages = append(pages, read(name, string(text)))
	}
	return pages
})

// Named finds a page by its name.
func Named(name string) (Page, bool) {
	for _, p := range Pages() {
		if p.Name == name {
			return p, true
		}
	}
	return Page{}, false
}

// Job is the job that the examples of all pages make together.
func Job() string { return together(nil) }

// together puts the examples together; one that stands in place of another takes
// its place, any other is added.
func together(other *example) string {
	var parts []string
	for _, p := range Pages() {
		for i := range p.examples {
			switch x := &p.examples[i]; {
			case x.part():
				parts = append(parts, x.text)
			case other == x && x.is("instead"):
				parts[len(parts)-1] = x.text
			}
		}
	}
	switch {
	case other == nil:
	case other.is("first"):
		parts = append([]string{other.text}, parts...)
	case other.is("besides"):
		parts = append(parts, other.text)
	}
	return strings.Join(parts, "\n")
}

var comment = regexp.MustCompile(`^<!-- (.*) -->$`)

// read parts a page into its text and its examples.
func read(name, text string) Page {
	p := Page{Name: name}
	var shown strings.Builder
	var marks []string
	var open *example
	number := 0
	for line := range strings.Lines(text) {
		number++
		bare := strings.TrimSuffix(line, "\n")
		if m := comment.FindStringSubmatch(bare); m != nil && open == nil {
			marks = append(marks, m[1])
			continue
		}
		shown.WriteString(line)
		switch language, fence := strings.CutPrefix(bare, "```"); {
		case fence && open == nil:
			open = &example{language: language, page: name, line: number, marks: marks}
			marks = nil
		case fence:
			if open.language == "toml" || open.language == "csv" || open.language == "json" {
				p.examples = append(p.examples, *open)
			}
			open = nil
		case open != nil:
			open.text += line
		case p.Title == "":
			p.Title = strings.TrimPrefix(bare, "# ")
		}
	}
	p.Text = shown.String()
	return p
}
