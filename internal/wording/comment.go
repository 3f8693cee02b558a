package wording

import (
	"fmt"
	"slices"
	"sort"
	"strconv"
	"strings"

	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
	"plumbrule/internal/review"
	"plumbrule/internal/source"
)

// Verdict is how a review came out, in a few words. It is never an approval,
// which is the authority's.
func Verdict(r *review.Review) string {
	notMet, open, lesser := false, false, len(r.Unfounded()) > 0
	for _, c := range r.Comments() {
		switch {
		case c.Severity != codebook.Correction:
			lesser = true
		case c.Result == review.NotMet:
			notMet = true
		default:
			open = true
		}
	}
	words := "nothing is outstanding"
	switch {
	case notMet && open:
		words = "corrections and more information needed"
	case notMet:
		words = "corrections needed"
	case open:
		words = "more information needed"
	case lesser:
		words = "nothing to correct, some things to look at"
	}
	if ran, all := r.Ran(); ran < all {
		words += fmt.Sprintf(" in the %d of %d checks that ran", ran, all)
	}
	return words
}

// CommentsBySeverity counts the comments of a review.
func CommentsBySeverity(r *review.Review) map[codebook.Severity]int {
	out := map[codebook.Severity]int{}
	for _, c := range r.Comments() {
		out[c.Severity]++
	}
	return out
}

// Status says in a word how a comment stands: "not met", "undetermined", or
// "left out" where it asks for keys.
func Status(c *review.Comment) string {
	if c.Check == nil {
		return "left out"
	}
	return string(c.Result)
}

// Heading is what a comment is about: the title of its check, or what the keys
// that are left out mean. A check of a folder of rules that was added is marked.
func Heading(c *review.Comment) string {
	if c.Check != nil && c.Check.Local {
		return c.Check.Title + " (local rule)"
	}
	if c.Check != nil {
		return c.Check.Title
	}
	means, _ := MeansAndFound(Asked(c)[0])
	return Capital(means)
}

// Asked are the needs that a comment asks for: without those that one of the
// others settles too.
func Asked(c *review.Comment) []*review.Missing { return c.Asked() }

// Capital begins a text with a capital.
func Capital(text string) string { return strings.TrimSuffix(Sentence(text), ".") }

// Found says what a comment found, in a sentence: of its worst subject, or which
// keys are left out.
func Found(c *review.Comment) string {
	if c.Check == nil {
		return "not stated: " + strings.Join(SubjectsOf(c), ", ")
	}
	if c.Result == review.Undetermined {
		return Open(c.Worst())
	}
	return c.Worst().Finding
}

// ToPass says what would satisfy a comment.
func ToPass(c *review.Comment) string {
	switch o := c.Worst(); {
	case c.Check == nil:
		return "state " + strings.Join(SubjectsOf(c), ", ")
	case c.Result == review.Undetermined:
		return "settle what is said to be open, or have a licensed professional decide it"
	default:
		return o.Remedy
	}
}

// SubjectsOf names the subjects of a comment, like ones drawn together.
func SubjectsOf(c *review.Comment) []string {
	if c.Check == nil {
		return Ranges(Each(Asked(c), func(m *review.Missing) string { return m.Need.String() }))
	}
	return Ranges(Each(c.Subjects, func(o *review.Outcome) string { return o.Subject.Label() }))
}

// Shortly names the subjects of a comment behind its heading: the only one, or
// how many there are.
func Shortly(c *review.Comment) string {
	names := SubjectsOf(c)
	switch {
	case c.Check != nil && len(c.Subjects) > 1:
		return fmt.Sprintf(" (%d)", len(c.Subjects))
	case len(names) > 2:
		return fmt.Sprintf(": %s and %d more", names[0], len(names)-1)
	}
	return ": " + strings.Join(names, ", ")
}

// Comes says what comes of a comment: "12 outcomes of 4 checks"; "" for nothing.
func Comes(c *review.Comment) string {
	if len(c.Follows) == 0 {
		return ""
	}
	checks := map[string]bool{}
	for _, f := range c.Follows {
		checks[f.Check.ID] = true
	}
	return Plural(c.Followers(), "outcome", "outcomes") + " of " + Plural(len(checks), "check", "checks")
}

// SheetOf names the sheet of the submittal that a comment concerns, "" where the
// job does not number it.
func SheetOf(j *job.Job, c *review.Comment) string {
	for _, kind := range review.PapersOf(c.Worst().Check) {
		for _, d := range j.DocumentsOf(kind) {
			if d.Sheet.Known {
				return d.Sheet.Value
			}
		}
	}
	return ""
}

// PlaceOf is the place in the job that a comment is about: the value that drives
// its worst subject, or the table that the first key left out belongs to.
func PlaceOf(c *review.Comment) source.Span {
	if c.Check != nil {
		return c.Worst().At
	}
	return Belonging(Asked(c)[0])
}

// Belonging is the table that what is missing belongs to, or else what would
// hold that table.
func Belonging(m *review.Missing) source.Span {
	for _, s := range m.Slots {
		if s.At.Known() {
			return s.At
		}
	}
	return m.Need.At
}

// Ranges lists names with the numbers they end in drawn together, so that no
// name is hidden and none is repeated: "attachment west line 1 foot 3 to 12".
// A common beginning is written once for each run of numbers.
func Ranges(names []string) []string {
	type named struct {
		stem   string
		number int // -1 for a name that ends in no number
	}
	list := make([]named, len(names))
	for i, n := range names {
		stem := strings.TrimRight(n, "0123456789")
		number, err := strconv.Atoi(n[len(stem):])
		if err != nil || strconv.Itoa(number) != n[len(stem):] {
			stem, number = n, -1
		}
		list[i] = named{stem, number}
	}
	sort.SliceStable(list, func(i, j int) bool {
		if list[i].stem != list[j].stem {
			return list[i].stem < list[j].stem
		}
		return list[i].number < list[j].number
	})
	var out []string
	for i := 0; i < len(list); {
		j := i
		for j+1 < len(list) && list[i].number >= 0 && list[j+1].stem == list[i].stem && list[j+1].number == list[j].number+1 {
			j++
		}
		switch {
		case list[i].number < 0:
			out = append(out, list[i].stem)
		case j == i:
			out = append(out, list[i].stem+strconv.Itoa(list[i].number))
		case j == i+1:
			out = append(out, list[i].stem+strconv.Itoa(list[i].number)+" and "+strconv.Itoa(list[j].number))
		default:
			out = append(out, list[i].stem+strconv.Itoa(list[i].number)+" to "+strconv.Itoa(list[j].number))
		}
		i = j + 1
	}
	return slices.Compact(out)
}
