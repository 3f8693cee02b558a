package paper

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"plumbrule/internal/codebook"
	"plumbrule/internal/review"
	"plumbrule/internal/wording"
)

// commentPart is the comments of one severity as the page lists them.
type commentPart struct {
	Title, Class string
	Entries      []entry
}

// entry is a comment of the page: a line that opens to what was found, what
// would pass and what comes of it.
type entry struct {
	LetterComment
	Bases     []wording.Basis // what its check rests on
	Class     string          // "not-met", "undetermined" or "left-out"
	Sheet     string
	Short     string // its subjects behind the heading
	Place     string // in the job file
	Belongs   []string
	Runs      []subjectRun
	More      string // how many subjects are not listed
	Check     string // "" where keys are left out
	Follows   []field
	Why       []wording.ChainLine
	Verify    []string // table values behind it that nobody has confirmed
	HasMark   bool
	Farthest  string // the subject that Why is about
	WhyIsMore bool
}

// subjectRun is subjects whose names and numbers run on.
type subjectRun struct {
	Names, Numbers string
	Mark           string // the number of the first of them that has a mark; "" for none
}

var severityTitles = map[codebook.Severity]string{
	codebook.Correction: "Corrections", codebook.Verify: "To verify", codebook.Advisory: "Advisories",
}

var aMark = regexp.MustCompile(`id="mark-([0-9.]+)"`)

// markedOn lists the numbers that have marks on drawings.
func markedOn(drawings []picture) map[string]bool {
	out := map[string]bool{}
	for _, d := range drawings {
		for _, m := range aMark.FindAllStringSubmatch(string(d.SVG), -1) {
			out[m[1]] = true
		}
	}
	return out
}

func commentParts(r *review.Review, marked map[string]bool) []commentPart {
	say := wording.LanguageOf(r)
	var out []commentPart
	for _, s := range codebook.Severities {
		part := commentPart{Title: severityTitles[s], Class: string(s)}
		for _, c := range r.Comments() {
			if c.Severity == s {
				part.Entries = append(part.Entries, makeEntry(r, c, marked, say))
			}
		}
		if len(part.Entries) > 0 {
			out = append(out, part)
		}
	}
	return out
}

func makeEntry(r *review.Review, c *review.Comment, marked map[string]bool, say *wording.Language) entry {
	e := entry{
		LetterComment: letterComment(c, "", say), Class: strings.ReplaceAll(wording.Status(c), " ", "-"),
		Sheet: wording.SheetOf(r.Job, c), Short: wording.Shortly(c), HasMark: marked[strconv.Itoa(c.Number)],
	}
	if at := wording.PlaceOf(c); at.Known() {
		e.Place = at.Position().String()
	}
	for _, f := range c.Follows {
		e.Follows = append(e.Follows, field{f.Check.Title, wording.Plural(len(f.Subjects), "outcome", "outcomes") + " " + string(f.Result)})
	}
	if c.Check == nil {
		for _, m := range wording.Asked(c) {
			for _, s := range m.Slots {
				e.Belongs = append(e.Belongs, wording.Belongs(s))
			}
		}
		return e
	}
	worst := c.Worst()
	e.Bases = wording.BasesOf(worst.Cites)
	e.Check, e.Farthest, e.Verify = c.Check.ID, worst.Subject.Label(), worst.Unconfirmed
	e.Runs, e.More = runs(c, marked)
	e.Why, e.WhyIsMore = wording.ChainOf(r, worst, chainDepth, mostChain, say)
	return e
}

// mostRuns is how many runs of subjects a comment names.
const mostRuns = 24

// runs draws the subjects of a comment together whose names end in numbers that
// run on, so that their own numbers do too.
func runs(c *review.Comment, marked map[string]bool) (out []subjectRun, more string) {
	n := len(c.Subjects)
	for i := 0; i < n; {
		if len(out) == mostRuns {
			return out, fmt.Sprintf("and %s more, to %s", wording.Plural(n-i, "subject", "subjects"), c.NumberOf(n-1, n))
		}
		stem, number := ending(c.Subjects[i].Subject.Label())
		names := []string{c.Subjects[i].Subject.Label()}
		j := i + 1
		for ; j < n && number >= 0; j++ {
			name := c.Subjects[j].Subject.Label()
			if s, k := ending(name); s != stem || k != number+j-i {
				break
			}
			names = append(names, name)
		}
		run := subjectRun{Names: strings.Join(wording.Ranges(names), ", "), Numbers: c.NumberOf(i, n)}
		if j > i+1 {
			run.Numbers += " to " + c.NumberOf(j-1, n)
		}
		for k := i; k < j && run.Mark == ""; k++ {
			if number := c.NumberOf(k, n); marked[number] {
				run.Mark = number
			}
		}
		out = append(out, run)
		i = j
	}
	return out, ""
}

// ending parts a name from the number that it ends in; -1 for none.
func ending(name string) (stem string, number int) {
	stem = strings.TrimRight(name, "0123456789")
	number, err := strconv.Atoi(name[len(stem):])
	if err != nil {
		return name, -1
	}
	return stem, number
}

const (
	chainDepth = 2
	mostChain  = 40
)
