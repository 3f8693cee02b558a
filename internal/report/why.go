package report

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"plumbrule/internal/review"
	"plumbrule/internal/wording"
)

// WhyOptions say which part of a chain is written.
type WhyOptions struct {
	TextOptions
	Depth int // of the values below the measure and the limit, of which then not each key is named; zero writes all
}

// Why writes the chain behind an outcome as a tree: the check and what came out,
// then each value that it rests on with its formula and table rows, down to the
// keys of the job with their lines; and what else rests on those keys.
func Why(w io.Writer, r *review.Review, c *review.Comment, o *review.Outcome, options WhyOptions) error {
	t := &tree{letter: &letter{page: newPage(options.TextOptions), r: r}, depth: options.Depth}
	t.line(t.heading.Sprint("WHY") + "  " + wording.Plain(wording.JobFile(r)))
	status := string(o.Result)
	if o.Excused != nil {
		status = "excused"
	}
	number := r.Number(o)
	if number != "" {
		number += "."
	}
	t.title(number, strings.ToUpper(status), t.tone(o.Check.Severity), o.Check.Title)
	t.paragraph(margin, o.Subject.Label())
	if c != nil && c.Check == nil {
		t.paragraph(margin, "waits for "+strings.Join(wording.SubjectsOf(c), ", ")+", as "+wording.Comes(c)+" do")
	}
	t.verdict(o)
	t.needs(o)
	t.row("Does not", strings.TrimPrefix(o.Why(), "does not apply: "))
	t.row("Check", o.Check.ID)
	cites := wording.Each(o.Cites, wording.Cited)
	t.row("Under", strings.Join(cites, "; "))
	applies, decided := r.Why(o)
	t.part("what decides it", decided)
	t.part("why the check applies", applies)
	t.alsoRead(o)
	t.closing()
	_, err := w.Write(t.Bytes())
	return err
}

// tree writes steps, each below what it was computed from them.
type tree struct {
	*letter
	depth int
	keys  []string // of the job, in the order of the tree
}

func (t *tree) part(name string, steps []*review.Step) {
	if len(steps) == 0 {
		return
	}
	t.head(name, "")
	t.steps(steps, 0)
}

// stepIndent is how far each step stands inside the one that it is for.
const stepIndent = 3

// mostTold is how many keys of the job a value is told with, unless all is asked
// for.
const mostTold = 12

func (t *tree) steps(steps []*review.Step, level int) {
	keys := 0
	for _, s := range steps {
		if s.Key != "" {
			if keys++; t.depth > 0 && keys > mostTold {
				continue
			}
		}
		t.step(s, level)
	}
	if n := keys - mostTold; t.depth > 0 && n > 0 {
		t.paragraph(level*stepIndent, fmt.Sprintf("and %s more", wording.Plural(n, "key", "keys")))
	}
}

func (t *tree) step(s *review.Step, level int) {
	indent := level * stepIndent
	text := s.Of
	if s.Text != "" {
		text += " = " + s.Text
	}
	switch {
	case s.Key != "":
		if !slices.Contains(t.keys, s.Key) {
			t.keys = append(t.keys, s.Key)
		}
		if s.At.Known() {
			text += "   " + s.At.Position().String()
		}
	case s.Above:
		text += "   (above)"
	}
	t.paragraph(indent, text)
	inner := indent + stepIndent
	if !s.Above && s.Term != nil {
		t.paragraph(inner, s.Term.Meaning)
	}
	for _, line := range s.Work {
		t.paragraph(inner, line)
	}
	for _, ref := range s.Refs {
		t.paragraph(inner, "table: "+ref.String())
	}
	for _, need := range s.Needs {
		t.paragraph(inner, "not known: "+need)
	}
	if s.Above {
		return
	}
	if t.depth > 0 && level+1 >= t.depth && len(s.From) > 0 {
		t.paragraph(inner, fmt.Sprintf("from %s, not shown", wording.Plural(countSteps(s.From), "value", "values")))
		return
	}
	t.steps(s.From, level+1)
}

func countSteps(steps []*review.Step) int {
	n := len(steps)
	for _, s := range steps {
		n += countSteps(s.From)
	}
	return n
}

// mostKeys is how many keys are told with what else rests on them.
const mostKeys = 12

// alsoRead tells what else rests on the keys of the tree.
func (t *tree) alsoRead(o *review.Outcome) {
	if len(t.keys) == 0 {
		return
	}
	t.head("what else rests on these keys", "")
	for _, key := range t.keys[:min(len(t.keys), mostKeys)] {
		n, open := t.r.AlsoRead(key, o)
		text := fmt.Sprintf("%s: %s", key, wording.Plural(n, "other outcome", "other outcomes"))
		if numbers := wording.NumbersOf(t.r, open); numbers != "" {
			text += ", outstanding in " + numbers
		}
		t.paragraph(0, text)
	}
	if n := len(t.keys) - mostKeys; n > 0 {
		t.paragraph(0, fmt.Sprintf("and %d keys more", n))
	}
}
