// Package draft writes a job for a person who begins: from answers to a few
// questions it makes the planes, arrays, circuits and papers of a job that
// already reviews, and leaves open what it was not told. It never makes up an
// engineering value.
package draft

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/source"
)

// Question is one thing that a draft is made from. It is asked on a terminal,
// and is a flag of the same name.
type Question struct {
	Name     string // "eave-height"; the name of the flag
	Asks     string // the question, for a person
	Help     string // where a person finds the answer, or what it decides
	Words    []string
	Form     string // form of an answer that is not one of Words: "a length, as \"12 ft\""
	Default  string // what holds where it is not answered; "" leaves it open
	Section  string // heading that it is asked under
	Many     bool   // whether it may be answered several times; the answers are then parted by semicolons
	Required bool   // whether there is no draft without it, where it is asked
	// Applies says whether the question is asked, from the answers before it;
	// nil is always.
	Applies func(Answers) bool
	// Turn says whether its turn comes when a person is asked, from all answers,
	// those to questions of More too; nil is always. An answer that is given
	// counts without its turn.
	Turn func(Answers) bool
	// Check says what is wrong with an answer; nil lets all pass. Words are held
	// by Fault.
	Check func(answer string) error

	key   string              // of the job that the answer is the value of; "" where more is made of it
	side  string              // of a key of circuits: "dc" or "ac", whose circuits the answer is for; "" for all
	value func(string) string // that value as TOML writes it; nil where it is what was said
}

// Answers are what was said, by the names of the questions. An open question
// has no entry.
type Answers map[string]string

// Asked reports whether the question is asked, from the answers before it.
func (q *Question) Asked(a Answers) bool { return q.Applies == nil || q.Applies(a) }

// Longest is how many bytes an answer may have.
const Longest = 1000

// Fault says what is wrong with an answer and what is expected; nil for nothing.
func (q *Question) Fault(answer string) error {
	if strings.TrimSpace(answer) == "" {
		return fmt.Errorf("found nothing; %s is expected", q.expected())
	}
	if !utf8.ValidString(answer) || strings.ContainsFunc(answer, unicode.IsControl) {
		return errors.New("the answer has characters that cannot be printed")
	}
	if len(answer) > Longest {
		return fmt.Errorf("the answer has more than %d characters", Longest)
	}
	if len(q.Words) > 0 && !slices.Contains(q.Words, answer) {
		return fmt.Errorf("found %q; %s is expected%s", answer, q.expected(), quantity.DidYouMean(answer, q.Words))
	}
	if q.Check != nil {
		return q.Check(answer)
	}
	return nil
}

// expected says in words what an answer may be.
func (q *Question) expected() string {
	if len(q.Words) > 0 {
		return "one of " + strings.Join(q.Words, ", ")
	}
	if q.Form != "" {
		return q.Form
	}
	return "text"
}

// Check gives every fault of a set of answers, as source.Faults without places:
// names that are no question, answers that are ill-formed or to a question that
// the others rule out, and what is left out and needed.
func (a Answers) Check() error {
	var faults source.Faults
	var names []string
	for _, q := range Questions() {
		names = append(names, q.Name)
		answer, given := a[q.Name]
		switch {
		case given && !q.Asked(a):
			faults = append(faults, fault(q.Name, "is not asked here, by what the other answers say", ""))
		case given:
			if err := q.Fault(answer); err != nil {
				faults = append(faults, fault(q.Name, err.Error(), ""))
			}
		case q.Required && q.Asked(a):
			faults = append(faults, fault(q.Name, "is left out", q.expected()+" is expected"))
		}
	}
	for _, name := range slices.Sorted(maps.Keys(a)) {
		if !slices.Contains(names, name) {
			faults = append(faults, fault(name, "is no question"+quantity.DidYouMean(name, names), ""))
		}
	}
	return faults.Err()
}

// fault is a fault of one answer; its path is the name of the question.
func fault(name, message, expected string) source.Fault {
	return source.Fault{Path: name, Message: "--" + name + ": " + message, Expected: expected}
}

// of gives the answer to a question, or what holds without one.
func (a Answers) of(name string) string {
	if answer, given := a[name]; given {
		return strings.TrimSpace(answer)
	}
	if q := find(name); q.Asked(a) {
		return q.Default
	}
	return ""
}

// find gives the question of a name. One that there is not is a defect of this
// package, which every test would show.
func find(name string) *Question {
	for _, q := range Questions() {
		if q.Name == name {
			return q
		}
	}
	panic("draft: there is no question " + name)
}

// is makes a condition of an answer that is one of several words.
func is(name string, words ...string) func(Answers) bool {
	return func(a Answers) bool { return slices.Contains(words, a.of(name)) }
}

// stated makes a question whose answer is the value of a key of the job, with the words, the
// form, the meaning and the bounds that the model has of the key. A list of
// tables in the key stands for its first entry.
func stated(name, key string) *Question {
	f, ok := fieldOf(key)
	if !ok {
		panic("draft: the model has no key " + key) // every test would show it
	}
	q := &Question{Name: name, Asks: upper(f.Doc), Help: job.WhereFound(key), Words: f.Choice, key: key}
	if f.Kind == job.KindFlag {
		q.Words = []string{"true", "false"}
	}
	if len(q.Words) == 0 {
		q.Form = formOf(f)
		q.Check = func(answer string) error {
			_, err := f.Said(answer)
			return err
		}
	}
	return q
}

// toml is the answer to the question as a job writes the value of its key.
func (q *Question) toml(answer string) string {
	if q.value != nil {
		return q.value(answer)
	}
	f, _ := fieldOf(q.key)
	text, _ := f.Said(answer) // what is wrong with it is said before
	return text
}

// fieldOf finds a key of the model, given without the names of things.
func fieldOf(key string) (*job.Field, bool) {
	t := job.Model()
	for {
		first, rest, more := strings.Cut(key, ".")
		f, ok := t.Field(first)
		if !ok || !more {
			return f, ok
		}
		t, key = f.Table, rest
	}
}
