// Package draft writes a job for a person who begins: from answers to a few
// questions it makes the planes, arrays, circuits and papers of a job that
// already reviews, and leaves open what it was not told. It never makes up an
// engineering value.
package draft

import "plumbrule/internal/source"

// Question is one thing that a draft is made from. It is asked on a terminal,
// and is a flag of the same name.
type Question struct {
	Name    string // "ridge-height"; the name of the flag
	Asks    string // the question, for a person
	Help    string // where a person finds the answer
	Words   []string
	Form    string // form of an answer that is not one of Words: "length, as \"12 ft\""
	Default string // what holds where it is not answered; "" leaves it open
	Section string // heading that it is asked under
	// Applies says whether the question is asked, from the answers before it;
	// nil is always.
	Applies func(Answers) bool
	// Check says what is wrong with an answer; nil lets all pass.
	Check func(answer string) error
}

// Answers are what was said, by the names of the questions. An open question
// has no entry.
type Answers map[string]string

// Document is a job while it is written: its tables in order.
type Document struct {
	Head   []string // comment lines above everything
	Tables []*Table
}

// Table is a table of a job, or one entry of a list of tables.
type Table struct {
	Key     string // "site", "plane.framing"; of an entry of a list too
	List    bool   // an entry of a list, written with double brackets
	Note    string // comment above it
	Entries []Entry
	From    source.Span // what it was read from; nil File where it follows from answers
}

// Entry is a key of a table. One without a value is open: it is written as a
// comment with what it means, its words and where a person finds it.
type Entry struct {
	Key   string
	Value string      // as TOML writes it
	Note  string      // comment behind it
	From  source.Span // what it was read from; nil File where it follows from answers
}
