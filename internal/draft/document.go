package draft

import (
	"bytes"
	"fmt"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/source"
)

// Document is a job while it is written: its tables in order.
type Document struct {
	Head     []string // comment lines above everything
	Includes []string // files that the job includes, seen from its folder
	Top      []Entry  // keys before the first table
	Tables   []*Table

	name string // of the file that it is to be written to
}

// Table is a table of a job, or one entry of a list of tables. Those within an
// entry follow it.
type Table struct {
	Key     string // "site", "plane.framing"; of an entry of a list too
	List    bool   // an entry of a list, written with double brackets
	Note    string // comment above it
	Entries []Entry
	From    source.Span // what it was read from; nil File where it follows from answers

	own []string // keys that it is to have of its own, though it is like another
}

// Entry is a key of a table. One without a value is open: it is written as a
// comment with what it means, its words and where a person finds it.
type Entry struct {
	Key   string
	Value string      // as TOML writes it
	Note  string      // comment behind it
	Says  []string    // comment lines above an open key
	From  source.Span // what it was read from; nil File where it follows from answers

	trial string // stands in for an open one in a review of what is asked next
}

// Open reports whether the key has no value.
func (e *Entry) Open() bool { return e.Value == "" }

// Summary says in a line what was written to a file, and what to do next.
func (d *Document) Summary(file string) string {
	stated, open := 0, 0
	for _, t := range d.Tables {
		for i := range t.Entries {
			if t.Entries[i].Open() {
				open++
			} else {
				stated++
			}
		}
	}
	return fmt.Sprintf("wrote %s: %d keys stated, %d open; next: plumbrule check --missing %s", plain(file), stated, open, plain(file))
}

// Add puts a table at the end and gives it.
func (d *Document) Add(t *Table) *Table {
	d.Tables = append(d.Tables, t)
	return t
}

// Set states a key. One without a value is left out.
func (t *Table) Set(key, value string) *Table {
	if value != "" {
		t.Entries = append(t.Entries, Entry{Key: key, Value: value})
	}
	return t
}

// Name is the name of an entry of a list, as TOML writes it; "" for none.
func (t *Table) Name() string {
	for _, e := range t.Entries {
		if e.Key == "name" {
			return e.Value
		}
	}
	return ""
}

// states reports whether the table states a key, or leaves it open by name.
func (t *Table) states(key string) bool {
	for _, e := range t.Entries {
		if e.Key == key {
			return true
		}
	}
	return false
}

// Leave opens keys that the table does not state.
func (t *Table) Leave(keys ...string) {
	for _, key := range keys {
		if !t.states(key) {
			t.Entries = append(t.Entries, Entry{Key: key})
		}
	}
}

// Like makes the table an entry like another, from which it takes every value
// that it does not state. Those that each is to have of its own are open in it
// too.
func (t *Table) Like(name string, own ...string) *Table {
	t.own = own
	return t.Set("like", job.Quote(name))
}

// TOML writes the job. Every open key is a comment: to fill it in, take off its
// # and put its value behind the sign.
func (d *Document) TOML() []byte {
	var b bytes.Buffer
	for _, line := range d.Head {
		comment(&b, line)
	}
	if len(d.Includes) > 0 {
		var names []string
		for _, name := range d.Includes {
			names = append(names, job.Quote(name))
		}
		fmt.Fprintf(&b, "\ninclude = [%s]\n", strings.Join(names, ", "))
	}
	if len(d.Top) > 0 {
		b.WriteByte('\n')
		entries(&b, d.Top)
	}
	for _, t := range d.Tables {
		b.WriteByte('\n')
		if t.Note != "" {
			comment(&b, t.Note)
		}
		open, close := "[", "]"
		if t.List {
			open, close = "[[", "]]"
		}
		fmt.Fprintln(&b, open+t.Key+close)
		entries(&b, t.Entries)
	}
	return b.Bytes()
}

// entries writes what is stated, then what is open.
func entries(b *bytes.Buffer, list []Entry) {
	width := 0
	for i := range list {
		if !list[i].Open() {
			width = max(width, len(list[i].Key))
		}
	}
	for i := range list {
		if e := &list[i]; !e.Open() {
			line := fmt.Sprintf("%-*s = %s", width, e.Key, e.Value)
			if e.Note != "" {
				line += "  # " + plain(e.Note)
			}
			fmt.Fprintln(b, line)
		}
	}
	for i := range list {
		if e := &list[i]; e.Open() {
			for _, line := range e.Says {
				comment(b, line)
			}
			line := "#" + e.Key + " = "
			if e.Note != "" {
				line += "# " + plain(e.Note)
			}
			fmt.Fprintln(b, strings.TrimRight(line, " "))
		}
	}
}

// comment writes a remark, on as many lines as it has.
func comment(b *bytes.Buffer, text string) {
	for _, line := range strings.Split(text, "\n") {
		fmt.Fprintln(b, strings.TrimRight("# "+plain(line), " "))
	}
}

// plain leaves out of a remark what TOML does not allow in one and what steers
// a terminal.
func plain(text string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7F || r >= 0x80 && r < 0xA0 || r >= 0x202A && r <= 0x202E || r >= 0x2066 && r <= 0x2069 {
			return -1
		}
		return r
	}, text)
}
