package ask

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"strings"

	"charm.land/huh/v2"

	"plumbrule/internal/draft"
	"plumbrule/internal/wording"
)

// What a person types in plain lines instead of an answer.
const (
	goBack    = "<"
	leaveOpen = "-"
)

// plain asks in plain lines, with the form library's prompts for screen readers.
func (v *interview) plain(in io.Reader, out io.Writer) error {
	lines := &lines{in: bufio.NewReader(in)}
	fmt.Fprintf(out, "Questions for %s. Enter takes what stands in brackets, or else leaves the question open.\n"+
		"%s leaves it open, %s goes back. The end of the input (Ctrl-D) stops; the answers so far are kept.\n", wording.Plain(v.options.Writes), leaveOpen, goBack)
	section := ""
	for {
		if end, err := v.done(); end || err != nil {
			return err
		}
		for _, f := range v.faults {
			fmt.Fprintf(out, "\n%s\n", wording.Plain(f.Text()))
		}
		if q := v.question(); q.Section != section {
			section = q.Section
			fmt.Fprintf(out, "\n%s\n", strings.ToUpper(section))
		}
		answer, err := v.prompt(lines, out)
		switch {
		case err != nil:
			return err
		case answer == goBack:
			if !v.back() {
				fmt.Fprintln(out, "This is the first question.")
			}
			continue
		case answer == leaveOpen:
			answer = ""
		}
		if err := v.answer(answer); err != nil {
			return err
		}
	}
}

// prompt asks the question until it has an answer without a fault.
func (v *interview) prompt(in *lines, out io.Writer) (string, error) {
	q := v.question()
	fmt.Fprintf(out, "\n%s\n", q.Asks)
	for _, line := range v.about() {
		fmt.Fprintln(out, "  "+line)
	}
	for i, w := range q.Words {
		fmt.Fprintf(out, "  %d. %s\n", i+1, spoken(w))
	}
	answer := v.answers[q.Name]
	title := ">"
	if answer != "" {
		title = "[" + wording.Plain(answer) + "] >"
		if len(q.Words) > 0 {
			title = "[" + spoken(answer) + "] >"
		}
	}
	field := huh.NewInput().Title(title).Value(&answer).Validate(func(text string) error {
		text = v.chosen(strings.TrimSpace(text))
		switch {
		case in.ended != nil || text == goBack:
			return nil
		case text == "" && v.answers[q.Name] != "": // which Enter keeps
			return nil
		case text == leaveOpen:
			text = ""
		}
		return v.fault(text)
	})
	if err := field.WithTheme(bare()).RunAccessible(out, in); err != nil {
		return "", err
	}
	if in.ended != nil {
		if errors.Is(in.ended, io.EOF) {
			return "", ErrInterrupted
		}
		return "", in.ended
	}
	return v.chosen(answer), nil
}

// chosen is the word that its number or how it is said stands for, or the answer
// as it is.
func (v *interview) chosen(answer string) string {
	for i, w := range v.question().Words {
		if answer == fmt.Sprint(i+1) || answer == spoken(w) {
			return w
		}
	}
	return answer
}

// lines gives a line at a time, since each prompt reads with a buffer of its own.
type lines struct {
	in    *bufio.Reader
	rest  []byte // of the line that is being given
	ended error  // the error that ended the input
}

func (l *lines) Read(into []byte) (int, error) {
	if len(l.rest) == 0 {
		line, err := l.in.ReadBytes('\n')
		if err != nil && len(line) == 0 {
			l.ended = err
			return 0, err
		}
		if err != nil { // the last line, which does not end
			line = append(line, '\n')
		}
		if len(line) > 2*draft.Longest { // too long for an answer, which is told of it
			line = append(line[:2*draft.Longest], '\n')
		}
		l.rest = line
	}
	n := copy(into, l.rest)
	l.rest = l.rest[n:]
	return n, nil
}
