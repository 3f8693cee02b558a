package report

import (
	"encoding/xml"
	"fmt"
	"io"
	"iter"
	"slices"
	"strings"

	"plumbrule/internal/codebook"
	"plumbrule/internal/review"
	"plumbrule/internal/wording"
)

// The elements of a JUnit log, after the description that build servers check
// theirs against: junit-10.xsd of the xunit-plugin of jenkinsci.
type junitLog struct {
	XMLName  xml.Name     `xml:"testsuites"`
	Name     string       `xml:"name,attr"`
	Tests    int          `xml:"tests,attr"`
	Failures int          `xml:"failures,attr"`
	Errors   int          `xml:"errors,attr"`
	Suites   []junitSuite `xml:"testsuite"`
}

type junitSuite struct {
	Name       string          `xml:"name,attr"`
	Tests      int             `xml:"tests,attr"`
	Failures   int             `xml:"failures,attr"`
	Errors     int             `xml:"errors,attr"`
	Skipped    int             `xml:"skipped,attr"`
	Properties []junitProperty `xml:"properties>property"`
	Cases      []junitCase     `xml:"testcase"`
}

type junitProperty struct {
	Name  string `xml:"name,attr"`
	Value string `xml:"value,attr"`
}

type junitCase struct {
	Name    string     `xml:"name,attr"`
	Class   string     `xml:"classname,attr"`
	Error   *junitText `xml:"error"`
	Failure *junitText `xml:"failure"`
	Skipped *junitText `xml:"skipped"`
	Out     string     `xml:"system-out,omitempty"`
}

type junitText struct {
	Message string `xml:"message,attr"`
	Type    string `xml:"type,attr,omitempty"`
	Text    string `xml:",chardata"`
}

// keysSuite holds the comments that ask for keys left out, which are no check's.
const keysSuite = "left out"

// JUnit writes the reviews for build servers that read nothing else: a suite
// for each discipline of a job, in it a case for each check that ran. A comment
// that fails the gate is a failure, one below it is told of in a case that
// passes. A case is skipped where nothing was decided: where the check had nothing
// to look at or does not apply, or where all that is outstanding comes of comments
// elsewhere.
func JUnit(w io.Writer, reviews iter.Seq[*review.Review], o Options) error {
	log := junitLog{Name: "plumbrule"}
	for r := range reviews {
		log.Suites = append(log.Suites, junitSuites(r, o)...)
	}
	for _, s := range log.Suites {
		log.Tests += s.Tests
		log.Failures += s.Failures
		log.Errors += s.Errors
	}
	if _, err := io.WriteString(w, xml.Header); err != nil {
		return err
	}
	e := xml.NewEncoder(w)
	e.Indent("", " ")
	if err := e.Encode(log); err != nil {
		return err
	}
	_, err := io.WriteString(w, "\n")
	return err
}

func junitSuites(r *review.Review, o Options) []junitSuite {
	var out []junitSuite
	add := func(discipline string, x junitCase) {
		name := wording.Plain(wording.JobFile(r) + ": " + discipline)
		i := slices.IndexFunc(out, func(s junitSuite) bool { return s.Name == name })
		if i < 0 {
			i = len(out)
			out = append(out, junitSuite{Name: name, Properties: junitProperties(r, o)})
		}
		s := &out[i]
		s.Tests++
		x.Class = "plumbrule." + wording.Plain(discipline)
		switch {
		case x.Error != nil:
			s.Errors++
		case x.Failure != nil:
			s.Failures++
		case x.Skipped != nil:
			s.Skipped++
		}
		s.Cases = append(s.Cases, x)
	}
	comments := map[*codebook.Check][]*review.Comment{}
	for _, c := range r.Comments() {
		if c.Check == nil {
			add(keysSuite, junitComment(r, c, c.Key(), o))
		}
		comments[c.Check] = append(comments[c.Check], c)
	}
	of := causes(r)
	stand := map[string]*junitStanding{}
	for _, n := range r.Tallies() {
		stand[n.Check.ID] = &junitStanding{check: n.Check, met: n.Met, excused: n.Excused}
	}
	for i := range r.Outcomes {
		x := &r.Outcomes[i]
		stand[x.Check.ID].add(x, of[x])
	}
	for _, id := range r.Checks() {
		s := stand[id]
		if s == nil {
			discipline, _, _ := strings.Cut(id, "/")
			add(discipline, junitCase{Name: id, Skipped: &junitText{Message: "there is nothing to look at in this job"}})
			continue
		}
		mine := comments[s.check]
		if len(mine) == 0 {
			add(s.check.Discipline, s.junit())
		}
		for i, c := range mine {
			name := id
			if i > 0 { // a case has one failure at most
				name += ", " + string(c.Result)
			}
			add(s.check.Discipline, junitComment(r, c, name, o))
		}
	}
	for _, d := range r.Deviations {
		if x, told := junitDeviation(d, o); told {
			add(deviationsSuite, x)
		}
	}
	return out
}

// deviationsSuite holds the deviations that excuse nothing, and claims.
const deviationsSuite = "deviations"

// junitDeviation is the case of a deviation; false for one that is in order.
func junitDeviation(d *review.Deviation, o Options) (junitCase, bool) {
	x := junitCase{Name: wording.Plain(d.Check.Value + " for " + d.Subject.Value + " (" + d.Check.At.Position().String() + ")")}
	switch {
	case d.Finding != "" && o.Gate.FailsUnfounded():
		x.Failure = &junitText{Message: wording.Plain(wording.Unfounded(d)), Type: string(codebook.Verify)}
	case d.Finding != "":
		x.Out = wording.Plain(wording.Unfounded(d))
	case d.Claim && !d.Counts:
		x.Out = wording.Plain(wording.Claimed(d))
	default:
		return x, false
	}
	return x, true
}

func junitProperties(r *review.Review, o Options) []junitProperty {
	ran, all := r.Ran()
	return []junitProperty{
		{"verdict", wording.Verdict(r)},
		{"gate", o.Gate.String()},
		{"checks that ran", fmt.Sprintf("%d of %d", ran, all)},
		{"program", o.Version},
		{"rule set", r.Book.Hash},
		{"notice", wording.Notice},
	}
}

// junitStanding is how the outcomes of a check that has no comment stand.
type junitStanding struct {
	check     *codebook.Check
	met, open int
	excused   int
	causes    []string // the comments that the open ones come of
}

func (s *junitStanding) add(o *review.Outcome, of []int) {
	if !o.Outstanding() {
		return
	}
	s.open++
	for _, n := range of {
		if text := fmt.Sprint(n); !slices.Contains(s.causes, text) {
			s.causes = append(s.causes, text)
		}
	}
}

func (s *junitStanding) junit() junitCase {
	x := junitCase{Name: s.check.ID}
	switch {
	case s.open > 0:
		x.Skipped = &junitText{Message: wording.Plural(s.open, "outcome comes", "outcomes come") + " of comment " + strings.Join(s.causes, ", ")}
	case s.excused > 0:
		x.Out = wording.Plural(s.excused, "outcome is", "outcomes are") + " excused by an accepted deviation"
	case s.met == 0:
		x.Skipped = &junitText{Message: "it does not apply to anything in this job"}
	}
	return x
}

// junitComment is the case of a comment: failed where the gate is, an error where
// the check itself failed.
func junitComment(r *review.Review, c *review.Comment, name string, o Options) junitCase {
	x := junitCase{Name: wording.Plain(name)}
	text := &junitText{
		Message: wording.Plain(fmt.Sprintf("%d. %s%s", c.Number, wording.Heading(c), wording.Shortly(c))),
		Type:    string(c.Severity) + ", " + wording.Status(c),
		Text:    commentText(r, c),
	}
	switch {
	case slices.ContainsFunc(c.Subjects, func(o *review.Outcome) bool { return o.Defect != "" }):
		x.Error = text
	case o.Gate.Fails(c):
		x.Failure = text
	default:
		x.Out = text.Message + " (" + text.Type + ")\n" + text.Text
	}
	return x
}

// commentText says all of a comment in plain lines.
func commentText(r *review.Review, c *review.Comment) string {
	var lines []string
	states := wording.RoundsOf(r)
	say := func(label, text string) {
		if text != "" {
			lines = append(lines, label+": "+wording.Plain(text))
		}
	}
	say("found", wording.Found(c))
	say("to pass", wording.ToPass(c))
	say("on", strings.Join(wording.SubjectsOf(c), ", "))
	say("sheet", wording.SheetOf(r.Job, c))
	if at := wording.PlaceOf(c); at.Known() {
		say("place", at.Position().String())
	}
	if c.Check != nil {
		say("under", strings.Join(wording.Each(c.Worst().Cites, wording.Cited), "; "))
		say("check", c.Check.ID)
	}
	say("comes of it", wording.Comes(c))
	say("since the earlier review", states.Comment(c.Number))
	say("response", states.Response(r, c.Number))
	if c.Listed() {
		say("on the standing list", "it does not count")
	}
	return strings.Join(lines, "\n")
}
