package report

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/xeipuuv/gojsonschema"

	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
	"plumbrule/internal/reporttest"
	"plumbrule/internal/review"
	"plumbrule/internal/table"
	"plumbrule/internal/terms"
)

// sarifSchemaOf is the published schema. Its header names a draft that the
// validator does not know; it uses no keyword that draft-07 has not.
var sarifSchemaOf = sync.OnceValues(func() (*gojsonschema.Schema, error) {
	raw, err := os.ReadFile("../../testdata/sarif/sarif-schema-2.1.0.json")
	if err != nil {
		return nil, err
	}
	var doc map[string]any
	if err := json.Unmarshal(raw, &doc); err != nil {
		return nil, err
	}
	delete(doc, "$schema")
	delete(doc, "$id")
	return gojsonschema.NewSchema(gojsonschema.NewGoLoader(doc))
})

// sarifLog is a log as a program reads it.
type sarifLog struct {
	Version string     `json:"version"`
	Schema  string     `json:"$schema"`
	Runs    []sarifRun `json:"runs"`
}

type sarifRun struct {
	Tool          sarifTool                `json:"tool"`
	Invocations   []sarifInvocation        `json:"invocations"`
	ColumnKind    string                   `json:"columnKind"`
	BaseIDs       map[string]sarifArtifact `json:"originalUriBaseIds"`
	Artifacts     []sarifFile              `json:"artifacts"`
	Results       []sarifResult            `json:"results"`
	AutomationIDs sarifAutomation          `json:"automationDetails"`
	Properties    map[string]any           `json:"properties"`
}

func sarif(t *testing.T, o Options, list ...*review.Review) ([]byte, sarifLog) {
	t.Helper()
	o.Version = "0.1"
	var b bytes.Buffer
	if err := SARIF(&b, slices.Values(list), o); err != nil {
		t.Fatal(err)
	}
	s, err := sarifSchemaOf()
	if err != nil {
		t.Fatal(err)
	}
	result, err := s.Validate(gojsonschema.NewBytesLoader(b.Bytes()))
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range result.Errors() {
		t.Errorf("against the published schema: %s", e)
	}
	var log sarifLog
	if err := json.Unmarshal(b.Bytes(), &log); err != nil {
		t.Fatal(err)
	}
	return b.Bytes(), log
}

func sarifResultOf(t *testing.T, run sarifRun, check, subject string) sarifResult {
	t.Helper()
	for _, r := range run.Results {
		if r.RuleID == check && r.Properties["subject"] == subject {
			return r
		}
	}
	t.Fatalf("no result of %s for %s", check, subject)
	return sarifResult{}
}

func TestSARIF(t *testing.T) {
	for name, edits := range map[string]job.Edits{"full.sarif": {}, "clear.sarif": reporttest.Clear} {
		t.Run(name, func(t *testing.T) {
			text, _ := sarif(t, Options{}, reporttest.Trial(t, edits))
			reporttest.Golden(t, name, text)
		})
	}
}

// With all, every outcome is a result, and each has the kind and the level that
// the standard has for it (3.27.9, 3.27.10): what is undetermined fails at its
// severity.
func TestSARIFHoldsEveryOutcome(t *testing.T) {
	r := reporttest.Trial(t, job.Edits{})
	text, log := sarif(t, Options{All: true}, r)
	reporttest.Golden(t, "all.sarif", text)
	run := log.Runs[0]
	results := map[string]int{}
	for _, x := range run.Results {
		what := x.Properties["outcome"].(string)
		switch {
		case x.RuleID == unfoundedRule:
			results["deviations"]++
		case strings.HasPrefix(x.RuleID, keyRule):
			results["keys"]++
		case len(x.Suppressions) > 0:
			results["excused"]++
		default:
			results[what]++
		}
		wantKind, wantLevel := "fail", sarifLevels[codebook.Severity(x.Properties["severity"].(string))]
		switch what {
		case "met":
			wantKind, wantLevel = "pass", "none"
		case "not applicable":
			wantKind, wantLevel = "notApplicable", "none"
		}
		if x.Kind != wantKind || x.Level != wantLevel {
			t.Errorf("%s: kind %s, level %s; expected %s and %s", x.Message.Text, x.Kind, x.Level, wantKind, wantLevel)
		}
		if got := run.Tool.Driver.Rules[x.RuleIndex].ID; got != x.RuleID {
			t.Errorf("the index of rule %s leads to %s", x.RuleID, got)
		}
	}
	n := r.Totals
	for what, want := range map[string]int{"met": n.Met, "not met": n.NotMet, "undetermined": n.Undetermined, "not applicable": n.NotApplicable, "excused": n.Excused, "keys": 1, "deviations": 1} {
		if results[what] != want {
			t.Errorf("%d results are %s, the review has %d", results[what], what, want)
		}
	}
	if want := len(r.Book.Checks) + 2; len(run.Tool.Driver.Rules) != want {
		t.Errorf("%d rules, expected %d: the checks, the key left out and the deviation that excuses nothing", len(run.Tool.Driver.Rules), want)
	}
}

// A comment is one result, with its subjects as related places under their
// numbers; an undetermined one has the level of its severity.
func TestSARIFHasAResultForEachComment(t *testing.T) {
	r := reporttest.Trial(t, job.Edits{Set: map[string]any{"overcurrent.F6.rating": "35 A"}})
	_, log := sarif(t, Options{}, r)
	byComment := map[int]sarifResult{}
	for _, x := range log.Runs[0].Results {
		if len(x.Suppressions) == 0 && x.RuleID != unfoundedRule {
			byComment[int(x.Properties["comment"].(float64))] = x
		}
	}
	if len(byComment) != len(r.Comments()) {
		t.Errorf("%d results for %d comments", len(byComment), len(r.Comments()))
	}
	several, open := 0, 0
	for _, c := range r.Comments() {
		x := byComment[c.Number]
		if x.Kind != "fail" || x.Level != sarifLevels[c.Severity] || x.Properties["outcome"] != string(c.Result) {
			t.Errorf("comment %d is of kind %s, level %s, %v", c.Number, x.Kind, x.Level, x.Properties["outcome"])
		}
		if c.Result == review.Undetermined {
			open++
		}
		if len(c.Subjects) < 2 {
			continue
		}
		several++
		for i, o := range c.Subjects {
			if got := x.Related[i].Message.Text; !strings.HasPrefix(got, r.Number(o)+" "+o.Subject.Label()+": ") {
				t.Errorf("comment %d names subject %d %q", c.Number, i+1, got)
			}
		}
	}
	if several == 0 || open == 0 {
		t.Errorf("%d comments of several subjects, %d undetermined", several, open)
	}
}

// A key that is left out is a result at the table where it belongs.
func TestSARIFPlacesKeysWhereTheyBelong(t *testing.T) {
	r := reporttest.Trial(t, job.Edits{})
	_, log := sarif(t, Options{}, r)
	found := 0
	for _, x := range log.Runs[0].Results {
		if !strings.HasPrefix(x.RuleID, keyRule) {
			continue
		}
		found++
		if x.RuleID != "left-out/overcurrent.rating" || len(x.Related) != 2 {
			t.Fatalf("result %+v", x)
		}
		for i, name := range []string{"F4", "F5"} {
			slot, known := r.Job.Slot("overcurrent." + name + ".rating")
			if at := x.Related[i]; !known || at.Physical.Region.StartLine != slot.At.Position().Line || at.Logical[0].FullName != slot.Key {
				t.Errorf("%s belongs to line %d, the result has %+v", name, slot.At.Position().Line, at)
			}
		}
	}
	if found != 1 {
		t.Errorf("%d results of keys left out, expected 1", found)
	}
}

// A log that would be too long says how many results it leaves out, and where
// they are.
func TestSARIFLeavesOutWhatIsTooMuch(t *testing.T) {
	r := reporttest.Trial(t, job.Edits{})
	runOf := func(most int) (run sarifRun) {
		var b bytes.Buffer
		s := &stream{w: bufio.NewWriter(&b)}
		s.sarifRun(r, Options{}, most)
		if err := errors.Join(s.err, s.w.Flush(), json.Unmarshal(b.Bytes(), &run)); err != nil {
			t.Fatal(err)
		}
		return run
	}
	whole, run := runOf(mostResults), runOf(2)
	if len(run.Results) != 3 {
		t.Fatalf("%d results, expected two and what is left out", len(run.Results))
	}
	last := run.Results[2]
	left := len(whole.Results) - 2
	if last.RuleID != moreRule || last.Properties["leftOut"] != float64(left) || !strings.Contains(last.Message.Text, "check --all") {
		t.Errorf("the last result is %+v", last)
	}
	if run.Tool.Driver.Rules[last.RuleIndex].ID != moreRule {
		t.Error("its rule is not in the list")
	}
	said := run.Invocations[0].Notifications
	if got := said[len(said)-1].Message.Text; got != last.Message.Text {
		t.Errorf("the last notification is %q", got)
	}
}

// Columns are counted in 16-bit units, from 1, the end just past the value.
func TestSARIFCountsColumnsInUTF16(t *testing.T) {
	text := "[project]\nname = \"x\"\n[adoption]\nnec = \"2020\"\n" +
		"overcurrent = [{name = \"🏠 大門\", rating = \"25 A\"}]\n"
	text = strings.Replace(text, "overcurrent", "[[overcurrent]]\n\"name\" = \"🏠\"\nrating = \"25 A\"\n#", 1)
	inline := "label = [{name = \"🏠大門\", voltage = \"480 V\", kind = \"dc-voltage\", place = \"x\"}]\n"
	j, err := job.Parse("wide.toml", []byte(inline+text), nil)
	if err != nil {
		t.Fatal(err)
	}
	r, err := review.Run(j, reporttest.Book(t), &table.Set{}, review.Options{Only: []string{"paper/placard-place"}})
	if err != nil {
		t.Fatal(err)
	}
	_, log := sarif(t, Options{All: true}, r)
	got := *log.Runs[0].Results[0].Locations[0].Physical.Region
	from := strings.Index(inline, `"x"`)
	units := 1 + from - (4 - 2) - 2*(3-1) // the house: 4 bytes, 2 units; each of the other two: 3 bytes, 1 unit
	if got.StartLine != 1 || got.EndLine != 1 || got.StartColumn != units || got.EndColumn != units+len(`"x"`) {
		t.Errorf("region %+v, expected columns %d to %d", got, units, units+3)
	}
	if got.Snippet.Text != `"x"` {
		t.Errorf("snippet %q", got.Snippet.Text)
	}
}

// A fingerprint names one outcome of a run, and stays when the value moves.
func TestSARIFFingerprintsAreStable(t *testing.T) {
	raw, err := os.ReadFile("../reporttest/testdata/job.toml")
	if err != nil {
		t.Fatal(err)
	}
	prints := func(text string, all bool) map[string]string {
		j, err := job.Parse("job.toml", []byte(text), nil)
		if err != nil {
			t.Fatal(err)
		}
		r, err := review.Run(j, reporttest.Book(t), reporttest.OwnTables(t), review.Options{})
		if err != nil {
			t.Fatal(err)
		}
		_, log := sarif(t, Options{All: all}, r)
		out := map[string]string{}
		for _, x := range log.Runs[0].Results {
			p := x.Fingerprints[fingerprintName]
			if p == "" || out[p] != "" {
				t.Errorf("the fingerprint of %s is empty or that of %s", x.Message.Text, out[p])
			}
			out[p] = fmt.Sprint(x.RuleID, " for ", x.Properties["subject"])
		}
		return out
	}
	for _, all := range []bool{false, true} {
		before, after := prints(string(raw), all), prints("# moved\n\n"+strings.Replace(string(raw), `"30 A"`, `"31 A"`, 1), all)
		if len(before) < 3 {
			t.Errorf("%d fingerprints", len(before))
		}
		for p, what := range before {
			if after[p] != what {
				t.Errorf("the fingerprint of %s changed when its line moved", what)
			}
		}
	}
}

// An accepted deviation suppresses its result, with its reason; the result
// itself stays what it is.
func TestSARIFSuppressions(t *testing.T) {
	_, log := sarif(t, Options{}, reporttest.Trial(t, job.Edits{}))
	x := sarifResultOf(t, log.Runs[0], "electrical/fuse", "overcurrent F2")
	if x.Kind != "fail" || x.Level != "error" || len(x.Suppressions) != 1 {
		t.Fatalf("result %+v", x)
	}
	s := x.Suppressions[0]
	if want := "Existing device, to be changed at the next shutdown. Accepted by J. Plans Examiner, 2024-05-06, letter 12."; s.Justification != want {
		t.Errorf("justification %q, expected %q", s.Justification, want)
	}
	if s.Kind != "inSource" || s.Status != "accepted" || s.Location == nil || s.Location.Physical.Region.Snippet.Text != `"electrical/fuse"` {
		t.Errorf("suppression %+v", s)
	}
}

// A deviation that excuses nothing is a result, which build servers show, at its
// own place; a check that failed is a notification of the run and makes it a failed one.
func TestSARIFNotifications(t *testing.T) {
	r := reporttest.Trial(t, job.Edits{})
	_, log := sarif(t, Options{}, r)
	said := log.Runs[0].Invocations[0]
	if !said.Successful || len(said.Notifications) != 0 {
		t.Fatalf("invocation %+v", said)
	}
	at := slices.IndexFunc(log.Runs[0].Results, func(x sarifResult) bool { return x.RuleID == unfoundedRule })
	if at < 0 {
		t.Fatal("no result tells of the deviation that excuses nothing")
	}
	n := log.Runs[0].Results[at]
	if n.Level != "warning" || !strings.Contains(n.Message.Text, "from fire/waiver for adoption excuses nothing: there is nothing to excuse") || len(n.Locations) != 1 || n.Locations[0].Physical.Region.Snippet.Text != `"fire/waiver"` {
		t.Errorf("result %+v", n)
	}
	o := reporttest.Find(t, r, "electrical/low", "site")
	o.Result, o.Defect, o.Reason = review.Undetermined, "index out of range\ngoroutine 7 [running]", "check electrical/low failed: index out of range"
	text, log := sarif(t, Options{}, r)
	said = log.Runs[0].Invocations[0]
	if said.Successful || len(said.Notifications) != 1 || said.Notifications[0].Level != "error" ||
		said.Notifications[0].Message.Text != "The check failed for site: index out of range." || said.Notifications[0].Rule.ID != "electrical/low" {
		t.Errorf("invocation %+v", said)
	}
	if bytes.Contains(text, []byte("goroutine")) {
		t.Error("the stack of a defect stands in the log")
	}
}

func TestSARIFOfSeveralJobs(t *testing.T) {
	_, log := sarif(t, Options{}, reporttest.Trial(t, job.Edits{}), reporttest.Trial(t, reporttest.Clear))
	if len(log.Runs) != 2 || len(log.Runs[0].Results) == len(log.Runs[1].Results) {
		t.Errorf("%d runs", len(log.Runs))
	}
}

func TestSARIFHasNoNull(t *testing.T) {
	for _, edits := range []job.Edits{{}, reporttest.Clear} {
		text, _ := sarif(t, Options{}, reporttest.Trial(t, edits))
		if bytes.Contains(text, []byte("null")) {
			t.Errorf("the log holds a null:\n%s", text)
		}
	}
}

// A name of the job cannot be read as a placeholder or as a link into the log
// (3.11.5, 3.11.6), nor as Markdown.
func TestSARIFEscapesNames(t *testing.T) {
	hostile := "a {0} [b](sarif:/runs/0) <script>`x`"
	_, log := sarif(t, Options{All: true}, reporttest.Trial(t, job.Edits{Set: map[string]any{"overcurrent.F1.name": hostile}}))
	got := sarifResultOf(t, log.Runs[0], "electrical/fuse", "overcurrent "+hostile)
	if !strings.HasPrefix(got.Message.Text, "1.1. overcurrent a {{0}} [b] (sarif:/runs/0) <script>`x`: ") || got.Message.Markdown != "" {
		t.Errorf("message %+v", got.Message)
	}
	if got.Locations[0].Logical[0].Name != "overcurrent "+hostile {
		t.Errorf("logical location %+v", got.Locations[0].Logical)
	}
}

// A file is named relative to the folder of the command, with what a URI
// cannot hold escaped; an absolute name is a file URI.
func TestSARIFFileNames(t *testing.T) {
	s := &sarifWriter{}
	for name, want := range map[string]sarifURI{
		"jobs/a b.toml": {URI: "jobs/a%20b.toml", BaseID: sarifBase},
		"大門#1?.toml":    {URI: "%E5%A4%A7%E9%96%80%231%3F.toml", BaseID: sarifBase},
		"c:x.toml":      {URI: "./c:x.toml", BaseID: sarifBase},
		"../a.toml":     {URI: "../a.toml", BaseID: sarifBase},
		"/x/a b.toml":   {URI: "file:///x/a%20b.toml"},
	} {
		if got := s.uri(name); got != want {
			t.Errorf("%s is named %+v, expected %+v", name, got, want)
		}
	}
}

func TestSARIFVersionBeginsWithADigit(t *testing.T) {
	for version, want := range map[string]string{"v1.2.0": "1.2.0", "(devel), go1.26": "0.0.0 (devel), go1.26", "": "0.0.0", "0.1": "0.1"} {
		if got := sarifRelease(version); got != want {
			t.Errorf("%q is given as %q, expected %q", version, got, want)
		}
	}
}

func BenchmarkSARIF(b *testing.B) {
	r := reporttest.Trial(b, job.Edits{})
	for b.Loop() {
		if err := SARIF(&bytes.Buffer{}, slices.Values([]*review.Review{r}), Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

// Names with the signs of a key in them do not run into one another.
func TestSARIFFingerprintsKeepSubjectsApart(t *testing.T) {
	seen := map[string]string{}
	for _, x := range [][4]string{
		{"electrical/fuse", "overcurrent", "F1", "overcurrent.F1"},
		{"electrical/fuse", "overcurrent", "F1.overcurrent", `overcurrent."F1.overcurrent"`},
		{"electrical/fuse", "overcurrent", "F1 x", `overcurrent."F1 x"`},
		{"electrical/fuse", "overcurrent", `F1" x`, `overcurrent."F1\" x"`},
		{"electrical/fuse", "overcurrent", "", "overcurrent.F1"},
		{"electrical/fuse", "circuit", "F1", "overcurrent.F1"},
		{"electrical/fuse", "overcurrent", "overcurrent.F1", ""},
		{"electrical/fuse.overcurrent", "overcurrent", "F1", ""},
		{"electrical/low", "overcurrent", "F1", "overcurrent.F1"},
	} {
		p := fingerprint(&review.Outcome{Check: &codebook.Check{ID: x[0]}, Subject: &terms.Subject{Kind: &terms.Kind{Name: x[1]}, Name: x[2], Key: x[3]}})
		if seen[p] != "" {
			t.Errorf("%q has the fingerprint of %s", x, seen[p])
		}
		seen[p] = strings.Join(x[:], " ")
	}
}
