package report

import (
	"bytes"
	"encoding/json"
	"os"
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

func sarif(t *testing.T, list ...*review.Review) ([]byte, sarifLog) {
	t.Helper()
	var b bytes.Buffer
	if err := SARIF(&b, list, "0.1"); err != nil {
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
			text, _ := sarif(t, reporttest.Trial(t, edits))
			reporttest.Golden(t, name, text)
		})
	}
}

// Every outcome is a result, of the kind and the level that the standard has
// for it (3.27.9, 3.27.10).
func TestSARIFHoldsEveryOutcome(t *testing.T) {
	r := reporttest.Trial(t, job.Edits{})
	_, log := sarif(t, r)
	run := log.Runs[0]
	if len(run.Results) != r.Totals.Pairs {
		t.Errorf("%d results for %d outcomes", len(run.Results), r.Totals.Pairs)
	}
	kinds := map[string]int{}
	for _, x := range run.Results {
		if len(x.Suppressions) == 0 {
			kinds[x.Kind]++
		} else {
			kinds["suppressed"]++
		}
		if (x.Kind == "fail") == (x.Level == "none") {
			t.Errorf("%s: kind %s has level %s", x.Message.Text, x.Kind, x.Level)
		}
		if got := run.Tool.Driver.Rules[x.RuleIndex].ID; got != x.RuleID {
			t.Errorf("the index of rule %s leads to %s", x.RuleID, got)
		}
	}
	n := r.Totals
	for kind, want := range map[string]int{"pass": n.Met, "fail": n.NotMet, "open": n.Undetermined, "notApplicable": n.NotApplicable, "suppressed": n.Excused} {
		if kinds[kind] != want {
			t.Errorf("%d results are %s, the review has %d", kinds[kind], kind, want)
		}
	}
	if len(run.Tool.Driver.Rules) != len(r.Book.Checks) {
		t.Errorf("%d rules for %d checks", len(run.Tool.Driver.Rules), len(r.Book.Checks))
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
	_, log := sarif(t, r)
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
	prints := func(text string) map[string]string {
		j, err := job.Parse("job.toml", []byte(text), nil)
		if err != nil {
			t.Fatal(err)
		}
		r, err := review.Run(j, reporttest.Book(t), reporttest.OwnTables(t), review.Options{})
		if err != nil {
			t.Fatal(err)
		}
		_, log := sarif(t, r)
		out := map[string]string{}
		for _, x := range log.Runs[0].Results {
			p := x.Fingerprints["checkAndSubject/v2"]
			if p == "" || out[p] != "" {
				t.Errorf("the fingerprint of %s is empty or that of %s", x.Message.Text, out[p])
			}
			out[p] = x.RuleID + " for " + x.Properties["subject"].(string)
		}
		return out
	}
	before, after := prints(string(raw)), prints("# moved\n\n"+strings.Replace(string(raw), `"30 A"`, `"31 A"`, 1))
	for p, what := range before {
		if after[p] != what {
			t.Errorf("the fingerprint of %s changed when its line moved", what)
		}
	}
}

// An accepted deviation suppresses its result, with its reason; the result
// itself stays what it is.
func TestSARIFSuppressions(t *testing.T) {
	_, log := sarif(t, reporttest.Trial(t, job.Edits{}))
	x := sarifResultOf(t, log.Runs[0], "electrical/fuse", "overcurrent F2")
	if x.Kind != "fail" || x.Level != "error" || len(x.Suppressions) != 1 {
		t.Fatalf("result %+v", x)
	}
	s := x.Suppressions[0]
	if want := "Existing device, to be changed at the next shutdown. Accepted by J. Plans Examiner on 2024-05-06."; s.Justification != want {
		t.Errorf("justification %q, expected %q", s.Justification, want)
	}
	if s.Kind != "inSource" || s.Status != "accepted" || s.Location == nil || s.Location.Physical.Region.Snippet.Text != `"electrical/fuse"` {
		t.Errorf("suppression %+v", s)
	}
}

// A deviation that excuses nothing and a check that failed are notifications
// of the run; only the second makes it a failed one.
func TestSARIFNotifications(t *testing.T) {
	r := reporttest.Trial(t, job.Edits{})
	_, log := sarif(t, r)
	said := log.Runs[0].Invocations[0]
	if !said.Successful || len(said.Notifications) != 1 {
		t.Fatalf("invocation %+v", said)
	}
	n := said.Notifications[0]
	if n.Level != "warning" || n.Message.Text != "The accepted deviation from fire/waiver excuses nothing in this job." || n.Rule == nil || n.Rule.ID != "fire/waiver" || len(n.Locations) != 1 {
		t.Errorf("notification %+v", n)
	}
	o := reporttest.Find(t, r, "electrical/low", "site")
	o.Result, o.Defect, o.Reason = review.Undetermined, "index out of range\ngoroutine 7 [running]", "check electrical/low failed: index out of range"
	text, log := sarif(t, r)
	said = log.Runs[0].Invocations[0]
	if said.Successful || len(said.Notifications) != 2 || said.Notifications[0].Level != "error" ||
		said.Notifications[0].Message.Text != "The check failed for site: index out of range." || said.Notifications[0].Rule.ID != "electrical/low" {
		t.Errorf("invocation %+v", said)
	}
	if bytes.Contains(text, []byte("goroutine")) {
		t.Error("the stack of a defect stands in the log")
	}
}

func TestSARIFOfSeveralJobs(t *testing.T) {
	_, log := sarif(t, reporttest.Trial(t, job.Edits{}), reporttest.Trial(t, reporttest.Clear))
	if len(log.Runs) != 2 || len(log.Runs[0].Results) == len(log.Runs[1].Results) {
		t.Errorf("%d runs", len(log.Runs))
	}
}

func TestSARIFHasNoNull(t *testing.T) {
	for _, edits := range []job.Edits{{}, reporttest.Clear} {
		text, _ := sarif(t, reporttest.Trial(t, edits))
		if bytes.Contains(text, []byte("null")) {
			t.Errorf("the log holds a null:\n%s", text)
		}
	}
}

// A name of the job cannot be read as a placeholder or as a link into the log
// (3.11.5, 3.11.6), nor as Markdown.
func TestSARIFEscapesNames(t *testing.T) {
	hostile := "a {0} [b](sarif:/runs/0) <script>`x`"
	_, log := sarif(t, reporttest.Trial(t, job.Edits{Set: map[string]any{"overcurrent.F1.name": hostile}}))
	got := sarifResultOf(t, log.Runs[0], "electrical/fuse", "overcurrent "+hostile)
	if !strings.HasPrefix(got.Message.Text, "Overcurrent a {{0}} [b] (sarif:/runs/0) <script>`x`: ") || got.Message.Markdown != "" {
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
		if err := SARIF(&bytes.Buffer{}, []*review.Review{r}, "0.1"); err != nil {
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
