package report

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"errors"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"plumbrule/internal/job"
	"plumbrule/internal/reporttest"
	"plumbrule/internal/review"
)

var errFull = errors.New("no space left")

// tight takes so many bytes.
type tight struct{ room int }

func (w *tight) Write(b []byte) (int, error) {
	if w.room -= len(b); w.room < 0 {
		return 0, errFull
	}
	return len(b), nil
}

// heads are the comments of a report: severity and result by number.
type heads map[int]string

// Text, JSON, CSV, SARIF and JUnit of one review have the same comments under the
// same numbers, each with as many subjects.
func TestFormatsAgree(t *testing.T) {
	for name, r := range map[string]*review.Review{
		"trial": reporttest.Trial(t, job.Edits{}),
		"clear": reporttest.Trial(t, reporttest.Clear),
		"house": reporttest.Drawn(t, "house-faulty", job.Edits{}, nil),
		"open":  reporttest.Drawn(t, "house", job.Edits{Unset: []string{"site.exposure", "adoption.nec"}}, nil),
		"some":  reporttest.Drawn(t, "house-faulty", job.Edits{}, []string{"fire/ridge-strip", "electrical/string-fuse", "layout/cantilever"}),
	} {
		want, parts := heads{}, map[string]bool{}
		for _, c := range r.Comments() {
			want[c.Number] = string(c.Severity) + " " + string(c.Result)
			n := len(c.Subjects)
			if c.Check == nil {
				n = len(slices.DeleteFunc(slices.Clone(c.Missing), func(m *review.Missing) bool { return !asked(c, m) }))
			}
			for i := range n {
				parts[c.NumberOf(i, n)] = true
			}
		}
		for _, all := range []bool{false, true} {
			if all && len(r.Outcomes) > 1000 {
				continue // as those of the small jobs, for minutes
			}
			o := Options{All: all, Gate: review.Gates[2]}
			for format, read := range map[string]func(*testing.T, *review.Review, Options) (heads, map[string]bool){
				"text": headsInText, "JSON": headsInJSON, "CSV": headsInCSV, "SARIF": headsInSARIF, "JUnit": headsInJUnit,
			} {
				got, numbers := read(t, r, o)
				if !maps.Equal(got, want) {
					t.Errorf("%s in %s, all %v: comments %v, expected %v", name, format, all, got, want)
				}
				if numbers != nil && !maps.Equal(numbers, parts) {
					t.Errorf("%s in %s, all %v: numbers %v, expected %v", name, format, all, keysOf(numbers), keysOf(parts))
				}
			}
		}
	}
}

func keysOf(m map[string]bool) []string { return slices.Sorted(maps.Keys(m)) }

// asked tells whether no other need of the comment settles this one too.
func asked(c *review.Comment, m *review.Missing) bool {
	return len(m.Need.Keys) == 1 || !slices.ContainsFunc(c.Missing, func(other *review.Missing) bool {
		return len(other.Need.Keys) == 1 && slices.Contains(m.Need.Keys, other.Need.Keys[0])
	})
}

func headsInText(t *testing.T, r *review.Review, _ Options) (heads, map[string]bool) {
	out, severity := heads{}, ""
	for line := range strings.Lines(string(text(t, r, TextOptions{Width: 200}))) {
		line = strings.TrimSpace(line)
		for word, s := range map[string]string{"CORRECTIONS": "correction", "TO VERIFY": "verify", "ADVISORIES": "advisory"} {
			if line == word {
				severity = s
			}
		}
		if m := regexp.MustCompile(`^([0-9]+)  .*?\b(not met|undetermined|left out)  `).FindStringSubmatch(line); m != nil && severity != "" {
			n, _ := strconv.Atoi(m[1])
			out[n] = severity + " " + strings.ReplaceAll(m[2], "left out", "undetermined")
		}
	}
	return out, nil
}

func headsInJSON(t *testing.T, r *review.Review, o Options) (heads, map[string]bool) {
	out, numbers := heads{}, map[string]bool{}
	doc := jsonDoc(t, o, r)
	for _, c := range doc.Comments {
		out[c.Number] = c.Severity + " " + c.Result
		for _, s := range c.Subjects {
			numbers[s.Number] = true
			x := doc.Outcomes[s.Outcome]
			if i := slices.Index(x.Numbers, s.Number); i < 0 || doc.Subjects[x.Subjects[i]].Subject != s.Subject {
				t.Errorf("comment %d has subject %s, %s; the entry of outcomes is number %v", c.Number, s.Number, s.Subject, x.Numbers)
			}
		}
		for _, m := range c.Missing {
			numbers[m.Number] = true
		}
	}
	n := doc.Totals
	counted := countsDoc{}
	for _, c := range doc.Checks {
		counted.Pairs += c.Pairs
		counted.Met += c.Met
		counted.NotMet += c.NotMet
		counted.Undetermined += c.Undetermined
		counted.NotApplicable += c.NotApplicable
		counted.Excused += c.Excused
	}
	if counted != n.countsDoc || n.Comments.Correction+n.Comments.Verify+n.Comments.Advisory != len(doc.Comments) {
		t.Errorf("totals %+v, the checks add up to %+v, %d comments", n, counted, len(doc.Comments))
	}
	return out, numbers
}

func headsInCSV(t *testing.T, r *review.Review, o Options) (heads, map[string]bool) {
	out, numbers := heads{}, map[string]bool{}
	_, rows := csvTable(t, o, r)
	for _, row := range rows {
		if row["number"] == "" || row["causes"] != "" {
			continue
		}
		whole, _, _ := strings.Cut(row["number"], ".")
		n, _ := strconv.Atoi(whole)
		if has := out[n]; has != "" && has != row["severity"]+" "+row["outcome"] {
			t.Errorf("comment %d is %s and %s %s", n, has, row["severity"], row["outcome"])
		}
		out[n] = row["severity"] + " " + row["outcome"]
		numbers[row["number"]] = true
	}
	return out, numbers
}

func headsInSARIF(t *testing.T, r *review.Review, o Options) (heads, map[string]bool) {
	out := heads{}
	_, log := sarif(t, o, r)
	for _, x := range log.Runs[0].Results {
		number := x.Properties["comment"]
		if number == nil && x.Properties["causes"] == nil {
			number = x.Properties["number"]
		}
		if number == nil {
			continue
		}
		whole, _, _ := strings.Cut(fmt.Sprint(number), ".")
		n, err := strconv.Atoi(whole)
		if err != nil {
			t.Error(err)
		}
		out[n] = fmt.Sprint(x.Properties["severity"], " ", x.Properties["outcome"])
	}
	return out, nil
}

func headsInJUnit(t *testing.T, r *review.Review, o Options) (heads, map[string]bool) {
	out := heads{}
	for _, s := range junit(t, o, r).Suites {
		for _, x := range s.Cases {
			if x.Failure == nil || strings.HasSuffix(s.Name, ": "+deviationsSuite) {
				continue // what is no comment has no number
			}
			number, _, _ := strings.Cut(x.Failure.Message, ".")
			n, err := strconv.Atoi(number)
			if err != nil {
				t.Errorf("a failure begins %q", x.Failure.Message)
			}
			severity, status, _ := strings.Cut(x.Failure.Type, ", ")
			out[n] = severity + " " + strings.ReplaceAll(status, "left out", "undetermined")
		}
	}
	return out, nil
}

// Where only some checks ran, no report says that nothing is outstanding as a
// whole: each says how many ran.
func TestFormatsTellThatSomeChecksRan(t *testing.T) {
	r := reporttest.Drawn(t, "house", job.Edits{}, []string{"fire/ridge-strip"})
	if len(r.Comments()) != 0 {
		t.Fatal("the check finds something")
	}
	_, all := r.Ran()
	csvText, _ := csvTable(t, Options{}, r)
	sarifText, _ := sarif(t, Options{}, r)
	var junitText bytes.Buffer
	if err := JUnit(&junitText, slices.Values([]*review.Review{r}), Options{}); err != nil {
		t.Fatal(err)
	}
	said := fmt.Sprintf("1 of %d checks", all)
	for format, text := range map[string][]byte{"text": text(t, r, TextOptions{}), "JSON": jsonText(t, Options{}, r), "CSV": csvText, "SARIF": sarifText, "JUnit": junitText.Bytes()} {
		words := strings.ToLower(strings.Join(strings.Fields(string(text)), " "))
		if !strings.Contains(words, said) {
			t.Errorf("%s does not say %q:\n%s", format, said, text)
		}
		if strings.Contains(strings.ReplaceAll(words, "nothing is outstanding in the "+said, ""), "nothing is outstanding") {
			t.Errorf("%s says that nothing is outstanding:\n%s", format, text)
		}
	}
	if doc := jsonDoc(t, Options{}, r); doc.Rules.Ran != 1 || doc.Rules.Checks != all {
		t.Errorf("%d of %d checks ran", doc.Rules.Ran, doc.Rules.Checks)
	}
}

// A gate is told of, and what fails it is what the exit code rests on.
func TestFormatsTellTheGate(t *testing.T) {
	r := reporttest.Trial(t, job.Edits{})
	for _, g := range review.Gates {
		o := Options{Gate: g}
		var b bytes.Buffer
		if err := JSON(&b, slices.Values([]*review.Review{r}), o); err != nil {
			t.Fatal(err)
		}
		var doc reviewDoc
		if err := json.Unmarshal(b.Bytes(), &doc); err != nil {
			t.Fatal(err)
		}
		failures := 0
		for _, c := range r.Comments() {
			if g.Fails(c) {
				failures++
			}
		}
		if g.FailsUnfounded() {
			failures += len(r.Unfounded())
		}
		if got := junit(t, o, r).Failures; got != failures {
			t.Errorf("%s: JUnit has %d failures, %d comments fail", g, got, failures)
		}
		if doc.Gate.Gate != g.String() || doc.Gate.Fails != r.Exceeds(g) || doc.Gate.Fails != (failures > 0) {
			t.Errorf("%s: the document has %+v, %d comments fail", g, doc.Gate, failures)
		}
	}
}

// junit reads the log of a review back and holds it against the description
// that build servers check theirs against.
func junit(t *testing.T, o Options, list ...*review.Review) junitLog {
	t.Helper()
	var b bytes.Buffer
	if err := JUnit(&b, slices.Values(list), o); err != nil {
		t.Fatal(err)
	}
	validJUnit(t, b.Bytes())
	var log junitLog
	if err := xml.Unmarshal(b.Bytes(), &log); err != nil {
		t.Fatal(err)
	}
	return log
}
