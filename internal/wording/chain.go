package wording

import (
	"cmp"
	"slices"
	"strings"

	"plumbrule/internal/review"
)

// ChainLine is one value behind an outcome.
type ChainLine struct {
	Level int
	Text  string   // what it is, and its value; of a key of the job, its place
	Notes []string // what it means, its calculation, the rows of tables behind it and what is not known
}

// ChainOf is the chain behind an outcome, as plumbrule why shows it, down to a
// number of levels and of lines: what decides it, and what that is made of.
func ChainOf(r *review.Review, o *review.Outcome, levels, most int, say *Language) (out []ChainLine, more bool) {
	_, decided := r.Why(o)
	lines, ahead := 0, len(decided)
	var walk func(steps []*review.Step, level int)
	walk = func(steps []*review.Step, level int) {
		for _, s := range steps {
			l := ChainLine{Level: level, Text: s.Of}
			if s.Text != "" {
				l.Text += " = " + s.Text
			}
			switch {
			case s.Key != "" && s.At.Known():
				l.Text += ", " + s.At.Position().String()
			case s.Key == "" && !s.Above:
				if s.Term != nil {
					l.Notes = append(l.Notes, say.Say(s.Term.Meaning))
				}
				l.Notes = append(l.Notes, say.SayAll(s.Work)...)
				for _, ref := range s.Refs {
					l.Notes = append(l.Notes, "table: "+ref.String())
				}
				for _, need := range s.Needs {
					l.Notes = append(l.Notes, "not known: "+need)
				}
				l.Text = say.Say(l.Text)
			}
			if level == 0 {
				ahead--
			}
			if lines += 1 + len(l.Notes); lines+ahead > most { // what decides it comes before what that is made of
				lines -= 1 + len(l.Notes)
				more = true
				return
			}
			out = append(out, l)
			switch {
			case s.Above || len(s.From) == 0:
			case level+1 == levels:
				more = true
			default:
				walk(s.From, level+1)
			}
		}
	}
	walk(decided, 0)
	return out, more
}

// NumbersOf names the comments that outcomes are of or come of: "comment 10",
// "comments 9, 10"; "" for none.
func NumbersOf(r *review.Review, outcomes []*review.Outcome) string {
	var numbers []string
	for _, o := range outcomes {
		number, _, _ := strings.Cut(r.Number(o), ".")
		if !slices.Contains(numbers, number) {
			numbers = append(numbers, number)
		}
	}
	slices.SortFunc(numbers, func(a, b string) int { return cmp.Or(cmp.Compare(len(a), len(b)), cmp.Compare(a, b)) })
	switch len(numbers) {
	case 0:
		return ""
	case 1:
		return "comment " + numbers[0]
	}
	return "comments " + strings.Join(numbers, ", ")
}
