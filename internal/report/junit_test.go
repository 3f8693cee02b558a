package report

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"plumbrule/internal/job"
	"plumbrule/internal/reporttest"
	"plumbrule/internal/review"
)

// junitElement is what junit-10.xsd (of the xunit-plugin of jenkinsci, the
// description most build servers refer to) lets an element have.
type junitElement struct {
	needs, may []string // attributes
	holds      []string // elements
	text       bool
}

var junitElements = map[string]junitElement{
	"testsuites": {may: []string{"name", "time", "tests", "failures", "errors"}, holds: []string{"testsuite"}},
	"testsuite": {needs: []string{"name", "tests", "failures", "errors"},
		may:   []string{"group", "time", "skipped", "timestamp", "hostname", "id", "package", "file", "log", "url"},
		holds: []string{"testsuite", "properties", "testcase", "system-out", "system-err"}},
	"properties": {holds: []string{"property"}},
	"property":   {needs: []string{"name", "value"}},
	"testcase":   {needs: []string{"name"}, may: []string{"time", "classname", "group"}, holds: []string{"skipped", "error", "failure", "system-out", "system-err"}},
	"failure":    {may: []string{"type", "message"}, text: true},
	"error":      {may: []string{"type", "message"}, text: true},
	"skipped":    {may: []string{"type", "message"}, text: true},
	"system-out": {text: true},
}

func validJUnit(t *testing.T, text []byte) {
	t.Helper()
	if !utf8.Valid(text) {
		t.Error("the log is not UTF-8")
	}
	d := xml.NewDecoder(bytes.NewReader(text))
	var open []string
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatalf("%v:\n%s", err, text)
		}
		switch x := token.(type) {
		case xml.StartElement:
			e, known := junitElements[x.Name.Local]
			switch {
			case !known:
				t.Errorf("there is no element %s", x.Name.Local)
			case len(open) == 0 && x.Name.Local != "testsuites":
				t.Errorf("the log begins with %s", x.Name.Local)
			case len(open) > 0 && !slices.Contains(junitElements[open[len(open)-1]].holds, x.Name.Local):
				t.Errorf("%s stands in %s", x.Name.Local, open[len(open)-1])
			}
			var has []string
			for _, a := range x.Attr {
				has = append(has, a.Name.Local)
				if !slices.Contains(append(e.needs, e.may...), a.Name.Local) {
					t.Errorf("%s has no attribute %s", x.Name.Local, a.Name.Local)
				}
			}
			for _, a := range e.needs {
				if !slices.Contains(has, a) {
					t.Errorf("%s lacks %s", x.Name.Local, a)
				}
			}
			open = append(open, x.Name.Local)
		case xml.EndElement:
			open = open[:len(open)-1]
		case xml.CharData:
			if len(open) > 0 && !junitElements[open[len(open)-1]].text && strings.TrimSpace(string(x)) != "" {
				t.Errorf("%s holds the text %q", open[len(open)-1], x)
			}
		}
	}
}

func TestJUnit(t *testing.T) {
	for name, edits := range map[string]job.Edits{"full.junit.xml": {}, "clear.junit.xml": reporttest.Clear} {
		var b bytes.Buffer
		if err := JUnit(&b, slices.Values([]*review.Review{reporttest.Trial(t, edits)}), Options{Gate: review.Gates[0]}); err != nil {
			t.Fatal(err)
		}
		validJUnit(t, b.Bytes())
		reporttest.Golden(t, name, b.Bytes())
	}
}

// The counts are those of the cases; every check that ran has one.
func TestJUnitCounts(t *testing.T) {
	r := reporttest.Drawn(t, "house", job.Edits{Unset: []string{"site.exposure"}}, nil)
	log := junit(t, Options{Gate: review.Gates[0]}, r)
	checks := map[string]bool{}
	var tests, failures, skipped int
	for _, s := range log.Suites {
		var f, k int
		for _, x := range s.Cases {
			id, _, _ := strings.Cut(x.Name, ",")
			checks[id] = true
			if x.Failure != nil {
				f++
			}
			if x.Skipped != nil {
				k++
			}
		}
		if s.Tests != len(s.Cases) || s.Failures != f || s.Skipped != k || s.Errors != 0 {
			t.Errorf("%s counts %d tests, %d failures, %d skipped; it has %d, %d, %d", s.Name, s.Tests, s.Failures, s.Skipped, len(s.Cases), f, k)
		}
		tests, failures, skipped = tests+s.Tests, failures+s.Failures, skipped+s.Skipped
	}
	if log.Tests != tests || log.Failures != failures || failures == 0 || skipped == 0 {
		t.Errorf("the log counts %d tests and %d failures, its suites %d and %d", log.Tests, log.Failures, tests, failures)
	}
	for _, id := range r.Checks() {
		if !checks[id] {
			t.Errorf("%s has no case", id)
		}
	}
	// No case passes whose check has something outstanding.
	for _, s := range log.Suites {
		for _, x := range s.Cases {
			if x.Failure != nil || x.Skipped != nil || x.Out != "" {
				continue
			}
			for i := range r.Outcomes {
				if o := &r.Outcomes[i]; o.Check.ID == x.Name && o.Outstanding() {
					t.Errorf("%s passes although %s is %s", x.Name, o.Subject.Label(), o.Result)
				}
			}
		}
	}
}

// A check that failed is an error, and names of the job do no harm.
func TestJUnitOfADefectAndOfHostileNames(t *testing.T) {
	r := reporttest.Trial(t, job.Edits{Set: map[string]any{"overcurrent.F1.name": "]]><x a=\"&#0;\"> \u0001 \uFFFE 大門 🏠", "project.name": "<!DOCTYPE x>"}})
	o := reporttest.Find(t, r, "electrical/low", "site")
	o.Result, o.Defect, o.Reasons, o.Measure = review.Undetermined, "index out of range\ngoroutine 7 [running]", []string{"check electrical/low failed: index out of range"}, nil
	log := junit(t, Options{Gate: review.Gates[0]}, r)
	if log.Errors != 1 {
		t.Errorf("%d errors, expected 1", log.Errors)
	}
	var b bytes.Buffer
	if err := JUnit(&b, slices.Values([]*review.Review{r}), Options{Gate: review.Gates[0]}); err != nil {
		t.Fatal(err)
	}
	if strings.Contains(b.String(), "goroutine") || !strings.Contains(b.String(), "大門 🏠") {
		t.Errorf("the log:\n%s", b.String())
	}
}

func TestJUnitTellsThatItCannotBeWritten(t *testing.T) {
	r := reporttest.Trial(t, job.Edits{})
	for _, room := range []int{0, 200} {
		if err := JUnit(&tight{room}, slices.Values([]*review.Review{r}), Options{}); !errors.Is(err, errFull) {
			t.Errorf("with room for %d bytes the error is %v", room, err)
		}
	}
}
