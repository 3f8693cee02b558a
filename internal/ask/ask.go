// Package ask puts the questions of a draft to a person at a terminal, one after
// the other: on a screen that is drawn anew, or in plain lines for screen readers
// and terminals that draw nothing. Every answer is saved as it is given, so that
// what was broken off can be gone on with.
package ask

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"plumbrule/internal/draft"
	"plumbrule/internal/source"
	"plumbrule/internal/wording"
)

// ErrInterrupted is returned where the person broke off.
var ErrInterrupted = errors.New("interrupted")

// Options say where and how the questions are put.
type Options struct {
	In    io.Reader
	Out   io.Writer
	Plain bool // in plain lines, without drawing
	// Writes is the file that the answers are for.
	Writes string
	// Questions are what is asked, where they apply.
	Questions []*draft.Question
	// Given are the names of questions that are answered elsewhere and are not
	// asked.
	Given []string
	// Again asks from the first question where all have been asked before, to
	// change answers.
	Again bool
	// Save keeps the answers so far, after each.
	Save func(draft.Answers) error
	// Check says what is wrong with the answers together, when all are given. A
	// fault whose path is the name of a question has that asked again.
	Check func(draft.Answers) source.Faults
}

// Run asks what is not in the answers yet and puts it there, "" for what is left
// open. It gives the answers that count: without those left open, and without
// those to questions that other answers have ruled out since. The error is
// ErrInterrupted, source.Faults that no further question mends, or one of Save or
// of the terminal.
func Run(ctx context.Context, answers draft.Answers, o Options) (draft.Answers, error) {
	v := begin(answers, o)
	if !o.Plain {
		err := v.screen(ctx, o.In, o.Out)
		return v.told(), err
	}
	ended := make(chan error, 1)
	go func() { ended <- v.plain(o.In, o.Out) }() // which waits for a line and does not hear of the interrupt
	select {
	case err := <-ended:
		return v.told(), err
	case <-ctx.Done():
		fmt.Fprintln(o.Out) // the line that was waited for stays open
		return nil, ErrInterrupted
	}
}

// interview is where a person stands in the questions.
type interview struct {
	questions []*draft.Question // that may be asked
	answers   draft.Answers
	at        int           // the question that is asked; their number when all are
	far       int           // the questions before this one are asked again, though they were before
	faults    source.Faults // of the answers together, which the question is asked again for
	options   Options
}

// begin stands at the first question that was not asked yet.
func begin(answers draft.Answers, o Options) *interview {
	v := &interview{answers: answers, options: o}
	for _, q := range o.Questions {
		if !slices.Contains(o.Given, q.Name) {
			v.questions = append(v.questions, q)
		}
	}
	v.at = v.open(func(q *draft.Question) bool { return !v.asked(q) })
	if v.at == len(v.questions) && o.Again {
		v.far = len(v.questions)
		v.at = v.open(func(*draft.Question) bool { return true })
	}
	return v
}

// asked tells whether a question was answered, or left open where it may be.
func (v *interview) asked(q *draft.Question) bool {
	answer, asked := v.answers[q.Name]
	return asked && (answer != "" || !q.Required)
}

// open finds the first question that is put and wanted; the number of them for
// none.
func (v *interview) open(wanted func(*draft.Question) bool) int {
	put := v.put()
	i := slices.IndexFunc(v.questions, func(q *draft.Question) bool { return put(q) && wanted(q) })
	if i < 0 {
		return len(v.questions)
	}
	return i
}

// put tells which questions are put by the answers so far: those that apply and
// whose turn comes.
func (v *interview) put() func(*draft.Question) bool {
	said := v.answers.Said()
	return func(q *draft.Question) bool { return q.Asked(said) && (q.Turn == nil || q.Turn(v.answers)) }
}

func (v *interview) question() *draft.Question { return v.questions[v.at] }

// done finds whether all is asked. Then the answers are held together: where
// they contradict each other the question is asked again that the first of their
// faults is about.
func (v *interview) done() (bool, error) {
	if v.at < len(v.questions) {
		return false, nil
	}
	faults := v.options.Check(v.told())
	if len(faults) == 0 {
		return true, nil
	}
	for _, f := range faults {
		// Its turn may never have come: the answer may be one of the flags' or of a file.
		if i := slices.IndexFunc(v.questions, func(q *draft.Question) bool { return q.Name == f.Path && q.Asked(v.answers.Said()) }); i >= 0 {
			v.at, v.far, v.faults = i, 0, faults
			return false, nil
		}
	}
	return false, faults
}

// told are the answers that count: those that say something, without those that
// were given to a question that another answer has ruled out since.
func (v *interview) told() draft.Answers {
	said := v.answers.Said()
	for _, q := range v.questions {
		if !q.Asked(said) {
			delete(said, q.Name)
		}
	}
	return said
}

// fault says what is wrong with an answer to the question. None at all leaves it
// open, where it may be.
func (v *interview) fault(answer string) error {
	q := v.question()
	answer = strings.TrimSpace(answer)
	switch {
	case answer == "" && q.Required:
		return errors.New("the draft needs an answer")
	case answer == "":
		return nil
	}
	return q.Fault(answer)
}

// answer takes an answer without a fault, saves it and goes on to the next
// question that was not asked, or is asked again.
func (v *interview) answer(text string) error {
	v.answers[v.question().Name] = strings.TrimSpace(text)
	if err := v.options.Save(v.answers); err != nil {
		return err
	}
	v.faults = nil
	put := v.put()
	for v.at++; v.at < len(v.questions); v.at++ {
		if q := v.question(); put(q) && (v.at < v.far || !v.asked(q)) {
			break
		}
	}
	return nil
}

// back goes to the question before; false where there is none.
func (v *interview) back() bool {
	put := v.put()
	for i := v.at - 1; i >= 0; i-- {
		if put(v.questions[i]) {
			v.far = max(v.far, v.at)
			v.at, v.faults = i, nil
			return true
		}
	}
	return false
}

// heading is the file, the section of the question and how far it is.
func (v *interview) heading() string {
	put := v.put()
	n, of := 0, 0
	for i, q := range v.questions {
		if q.Section == v.question().Section && put(q) {
			of++
			if i <= v.at {
				n++
			}
		}
	}
	return fmt.Sprintf("%s: %s, %d of %d", wording.Plain(v.options.Writes), v.question().Section, n, of)
}

// about says what an answer may be, where it is found and what holds without
// one, a line each.
func (v *interview) about() []string {
	q := v.question()
	var out []string
	if q.Form != "" {
		out = append(out, q.Form)
	}
	if q.Help != "" {
		out = append(out, q.Help)
	}
	switch {
	case q.Default != "":
		out = append(out, fmt.Sprintf("left open, %q holds", q.Default))
	case q.Required:
		out = append(out, "the draft needs it")
	}
	return out
}

// option is one of the words that a question is answered with.
type option struct{ text, value string }

// optionsOf are the words of the question, below what answers nothing: to leave
// it open where that is possible, else that nothing was chosen yet.
func (v *interview) optionsOf() []option {
	q := v.question()
	none := option{"leave it open", ""}
	switch {
	case q.Required:
		none.text = "not chosen yet"
	case q.Default != "":
		none.text += " (" + q.Default + ")"
	}
	out := []option{none}
	for _, w := range q.Words {
		out = append(out, option{spoken(w), w})
	}
	return out
}

// spoken is a word of an answer as a person says it.
func spoken(word string) string {
	switch word {
	case "true":
		return "yes"
	case "false":
		return "no"
	}
	return word
}
