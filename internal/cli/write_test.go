package cli

import (
	"encoding/csv"
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

func folder(t *testing.T) string {
	t.Helper()
	list, err := filepath.Glob("*")
	if err != nil {
		t.Fatal(err)
	}
	return strings.Join(list, " ")
}

func TestWrite(t *testing.T) {
	beside(t, map[string]string{"faulty.toml": shed + fuse + big + low + bare})
	printed := runWith(t, few(), "check", "faulty.toml").exits(exitOutstanding).stdout
	r := runWith(t, few(), "check", "--write", "a.json", "--write", "a.sarif", "--write", "a.CSV", "faulty.toml").exits(exitOutstanding).complainsNothing()
	if r.stdout != printed {
		t.Errorf("--write changes what is printed:\n%s", r.stdout)
	}
	if got, want := folder(t), "a.CSV a.json a.sarif faulty.toml"; got != want {
		t.Errorf("files %s, expected %s", got, want)
	}
	if asked := runWith(t, few(), "check", "--format", "json", "faulty.toml").stdout; read(t, "a.json") != asked {
		t.Error("--write of a .json file differs from --format json")
	}
}

// All files of one run tell of the same review: their counts agree.
func TestWrittenFilesAgree(t *testing.T) {
	beside(t, map[string]string{
		"faulty.toml": shed + fuse + big + low + bare + "[[deviation]]\ncheck = \"electrical/fuse\"\nsubject = \"F2\"\nreason = \"old\"\nby = \"J. Examiner\"\ndate = 2026-03-02\nreference = \"letter\"\n",
	})
	runWith(t, few(), "check", "--all", "--accept-stated", "--write", "a.json", "--write", "a.sarif", "--write", "a.csv", "faulty.toml").exits(exitOutstanding)
	var doc struct {
		Totals   map[string]any
		Subjects []struct{ Subject string }
		Outcomes []struct {
			Check, Outcome string
			Subjects       []int
			Excused        any
		}
	}
	if err := json.Unmarshal([]byte(read(t, "a.json")), &doc); err != nil {
		t.Fatal(err)
	}
	var log struct {
		Runs []struct {
			Results []struct {
				RuleID       string
				Properties   struct{ Subject, Outcome string }
				Suppressions []any
			}
		}
	}
	if err := json.Unmarshal([]byte(read(t, "a.sarif")), &log); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(strings.NewReader(read(t, "a.csv"))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var inJSON, inSARIF, inCSV []string
	line := func(check, subject, outcome string, excused bool) string {
		if excused {
			outcome = "excused " + outcome
		}
		return check + " " + subject + " " + outcome
	}
	for _, o := range doc.Outcomes {
		for _, i := range o.Subjects {
			inJSON = append(inJSON, line(o.Check, doc.Subjects[i].Subject, o.Outcome, o.Excused != nil))
		}
	}
	for _, o := range log.Runs[0].Results {
		if o.Properties.Subject != "" { // else it asks for a key
			inSARIF = append(inSARIF, line(o.RuleID, o.Properties.Subject, o.Properties.Outcome, len(o.Suppressions) > 0))
		}
	}
	column := func(row []string, name string) string { return row[slices.Index(rows[0], name)] }
	for _, row := range rows[1:] {
		if column(row, "check") != "" {
			inCSV = append(inCSV, line(column(row, "check"), column(row, "subject"), column(row, "outcome"), column(row, "excused") != ""))
		}
	}
	slices.Sort(inCSV) // what is asked for comes first
	slices.Sort(inJSON)
	slices.Sort(inSARIF)
	if len(inJSON) != 9 || !slices.Equal(inJSON, inSARIF) || !slices.Equal(inJSON, inCSV) {
		t.Errorf("the files differ:\n%q\n%q\n%q", inJSON, inSARIF, inCSV)
	}
	if doc.Totals["pairs"] != 9.0 || doc.Totals["excused"] != 1.0 {
		t.Errorf("totals %v", doc.Totals)
	}
}

// A gate that counts only what is not met lets what is undetermined pass, and
// says so in the files.
func TestGateOfWhatIsNotMet(t *testing.T) {
	beside(t, map[string]string{"open.toml": shed + bare, "faulty.toml": shed + big, "unrated.toml": shed + fuse + low})
	for _, c := range []struct {
		gate, job string
		code      int
	}{
		{"correction", "open.toml", exitOutstanding},
		{"correction:not-met", "open.toml", exitClear},
		{"advisory:not-met", "open.toml", exitClear},
		{"correction:not-met", "faulty.toml", exitOutstanding},
		{"correction:not-met", "unrated.toml", exitClear},
		{"verify:not-met", "unrated.toml", exitOutstanding},
	} {
		runWith(t, few(), "check", "--gate", c.gate, "--write", "a.json", c.job).exits(c.code)
		var doc struct {
			Gate struct {
				Gate  string
				Fails bool
			}
		}
		if err := json.Unmarshal([]byte(read(t, "a.json")), &doc); err != nil {
			t.Fatal(err)
		}
		if doc.Gate.Gate != c.gate || doc.Gate.Fails != (c.code == exitOutstanding) {
			t.Errorf("%s at the gate %s: the document has %+v", c.job, c.gate, doc.Gate)
		}
	}
	runWith(t, few(), "check", "--gate", "correction:notmet", "open.toml").exits(exitInput).complains(`did you mean "correction:not-met"?`)
}

func TestWriteTakesSeveralJobs(t *testing.T) {
	beside(t, map[string]string{"a.toml": shed + fuse, "b.toml": shed + big})
	runWith(t, few(), "check", "--all", "--write", "x.json", "--write", "x.sarif", "--write", "x.csv", "a.toml", "b.toml").exits(exitOutstanding)
	if text := read(t, "x.json"); !strings.Contains(text, `"plumbrule reviews"`) {
		t.Errorf("document %s", text)
	}
	if text := read(t, "x.sarif"); strings.Count(text, `"executionSuccessful":true`) != 2 {
		t.Error("the log has no run for each job")
	}
	if text := read(t, "x.csv"); !strings.Contains(text, "\na.toml,") || !strings.Contains(text, "\nb.toml,") {
		t.Errorf("table %s", text)
	}
	for _, w := range writers {
		r := runWith(t, few(), "check", "--write", "y"+w.ending, "a.toml", "b.toml")
		if !w.many {
			r.exits(exitInput).complains("a " + w.ending + " file is about one job").printsNothing()
		}
	}
}

// Every kind of file is made for every demo job, whole and the same each time.
func TestWriteDemoJobs(t *testing.T) {
	jobs := demoJobs(t)
	for i, j := range jobs {
		var err error
		if jobs[i], err = filepath.Abs(j); err != nil {
			t.Fatal(err)
		}
	}
	if testing.Short() {
		jobs = jobs[:1]
	}
	for _, j := range jobs {
		t.Chdir(t.TempDir())
		args := []string{"check"}
		for _, w := range writers {
			args = append(args, "--write", "a"+w.ending)
		}
		for range 2 {
			if r := run(t, append(args, j)...); r.code > exitOutstanding {
				t.Fatalf("%s: exit %d\n%s", r.line, r.code, r.stderr)
			}
			for _, w := range writers {
				now, before := read(t, "a"+w.ending), "b"+w.ending
				if now == "" {
					t.Errorf("%s: the %s file is empty", j, w.ending)
				}
				if old, err := os.ReadFile(before); err == nil && string(old) != now {
					t.Errorf("%s: the %s file differs from run to run", j, w.ending)
				}
				if err := os.Rename("a"+w.ending, before); err != nil {
					t.Fatal(err)
				}
			}
		}
	}
}

// If anything is wrong, no file is written at all.
func TestWriteIsAllOrNothing(t *testing.T) {
	beside(t, map[string]string{"a.toml": shed + fuse, "wrong.toml": "x = 1\n", "old.json": "old"})
	for _, c := range []struct{ args, words string }{
		{"--write x.json --write x.jsn a.toml", `the ending says what is written; expected one of .json, `},
		{"--write x.jsn a.toml", `did you mean ".json"?`},
		{"--write x a.toml", "the ending says what is written"},
		{"--write x.json --write ./x.json a.toml", "./x.json is to be written twice"},
		{"--write x.json --output x.json a.toml", "x.json is to be written twice"},
		{"--write x.json wrong.toml", "wrong.toml:1:1: "},
		{"--write x.json a.toml wrong.toml", "wrong.toml:1:1: "},
		{"--write x.json --write none/x.csv a.toml", "--write none/x.csv: no file can be made there"},
		{"--write old.json --write none/x.csv a.toml", "no file can be made there"},
		{"--write x.json --only nothing a.toml", "there is no check"},
	} {
		runWith(t, few(), append([]string{"check"}, strings.Fields(c.args)...)...).exits(exitInput).complains(c.words).printsNothing()
		if got := folder(t); got != "a.toml old.json wrong.toml" {
			t.Fatalf("check %s leaves %s", c.args, got)
		}
	}
	if read(t, "old.json") != "old" {
		t.Error("an old file was written over")
	}
}

// A defect of a check is in every file, and the exit code says so.
func TestWriteOfADefect(t *testing.T) {
	beside(t, map[string]string{"a.toml": shed + fuse})
	dividing := few()
	dividing["paper/named.toml"].Data = []byte(strings.ReplaceAll(string(dividing["paper/named.toml"].Data), `project.owner != ""`, `1 / (size(project.owner) - 8) == 1`))
	runWith(t, dividing, "check", "--write", "a.sarif", "a.toml").exits(exitFailed)
	if text := read(t, "a.sarif"); !strings.Contains(text, `"executionSuccessful":false`) {
		t.Errorf("log %s", text)
	}
}
