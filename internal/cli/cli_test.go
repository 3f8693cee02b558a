package cli

import (
	"bytes"
	"encoding/json"
	"errors"
	"flag"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/xeipuuv/gojsonschema"

	"plumbrule/internal/calculator"
	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
	"plumbrule/internal/terms"
	"plumbrule/rules"
	"plumbrule/schema"
)

// Run `go test ./internal/cli -update` to rewrite the golden files, and read
// the difference before keeping it.
var update = flag.Bool("update", false, "rewrite the golden files")

// long leaves a test to the run without -short, which the race detector is given:
// it does much, and what runs side by side in it others do too.
func long(t *testing.T) {
	t.Helper()
	if testing.Short() {
		t.Skip("in the run without -short")
	}
}

// ran is one command line that was run.
type ran struct {
	t              *testing.T
	line           string
	code           int
	stdout, stderr string
}

// run runs a command line with the project's own rules.
func run(t *testing.T, args ...string) *ran { return runWith(t, rules.FS, args...) }

func runWith(t *testing.T, f fs.FS, args ...string) *ran {
	t.Helper()
	var out, errs bytes.Buffer
	p := &program{rules: f}
	code := p.main(args, strings.NewReader(""), &out, &errs)
	return &ran{t, "plumbrule " + strings.Join(args, " "), code, out.String(), errs.String()}
}

func (r *ran) exits(code int) *ran {
	r.t.Helper()
	if r.code != code {
		r.t.Errorf("%s: exit %d, expected %d\n%s%s", r.line, r.code, code, r.stdout, r.stderr)
	}
	return r
}

func (r *ran) prints(words ...string) *ran { r.t.Helper(); return r.has("output", r.stdout, words) }

func (r *ran) complains(words ...string) *ran {
	r.t.Helper()
	return r.has("complaint", r.stderr, words)
}

func (r *ran) has(what, text string, words []string) *ran {
	r.t.Helper()
	for _, w := range words {
		if !strings.Contains(text, w) {
			r.t.Errorf("%s: no %q in the %s:\n%s", r.line, w, what, text)
		}
	}
	return r
}

func (r *ran) printsNothing() *ran    { r.t.Helper(); return r.empty("output", r.stdout) }
func (r *ran) complainsNothing() *ran { r.t.Helper(); return r.empty("complaint", r.stderr) }

func (r *ran) empty(what, text string) *ran {
	r.t.Helper()
	if text != "" {
		r.t.Errorf("%s: unexpected %s:\n%s", r.line, what, text)
	}
	return r
}

func (r *ran) golden(name string) *ran {
	r.t.Helper()
	compare(r.t, filepath.Join("testdata", "golden", name), r.stdout)
	return r
}

// compare holds a text against a golden file.
func compare(t *testing.T, path, got string) {
	t.Helper()
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("%s differs; run with -update and read the difference\n--- got\n%s--- want\n%s", path, got, want)
	}
}

// few is a small codebook, so that these tests do not move with the rules.
func few() fstest.MapFS {
	check := func(title, severity, body string) *fstest.MapFile {
		return &fstest.MapFile{Data: []byte("title = \"" + title + "\"\nseverity = \"" + severity + "\"\n" + body + `
because = "for the tests"
[[cite]]
code = "common practice"
section = ""
[[example]]
job = "trial"
expect = "met"
[[example]]
job = "trial"
expect = "not met"
`)}
	}
	return fstest.MapFS{
		"electrical/fuse.toml":  check("Fuse at most 15 A", "correction", "each = \"overcurrent\"\nmeasure = \"overcurrent.rating\"\nat_most = 'q(\"15 A\")'"),
		"electrical/rated.toml": check("Fuse rated for its voltage", "verify", "each = \"overcurrent\"\nmeasure = \"overcurrent.voltage\"\nat_least = 'q(\"600 V\")'"),
		"paper/named.toml":      check("Owner named", "advisory", "each = \"project\"\nrequire = 'project.owner != \"\"'"),
		"scope.toml":            {Data: []byte("[[row]]\nid = \"DC-1\"\nrequirement = \"fuses fit\"\n")},
		"tables/x/one.toml": {Data: []byte(`name = "one"
code = "X"
title = "one"
columns = ["a", "b"]
units = ["", ""]
`)},
	}
}

// beside runs the test in a new folder with some files in it.
func beside(t *testing.T, files map[string]string) {
	t.Helper()
	dir := t.TempDir()
	for name, text := range files {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	t.Chdir(dir)
}

const (
	shed = "[project]\nname = \"Shed\"\nowner = \"A. Owner\"\n"
	fuse = "[[overcurrent]]\nname = \"F1\"\nrating = \"15 A\"\nvoltage = \"1000 V\"\n"
	big  = "[[overcurrent]]\nname = \"F2\"\nrating = \"30 A\"\nvoltage = \"1000 V\"\n"
	low  = "[[overcurrent]]\nname = \"F3\"\nrating = \"15 A\"\nvoltage = \"300 V\"\n"
	bare = "[[overcurrent]]\nname = \"F4\"\nvoltage = \"1000 V\"\n"
)

func TestExitCodes(t *testing.T) {
	beside(t, map[string]string{
		"clear.toml":        shed + fuse,
		"faulty.toml":       shed + fuse + big,
		"unrated.toml":      shed + fuse + low,
		"undetermined.toml": shed + bare,
		"ownerless.toml":    "[project]\nname = \"Shed\"\n" + fuse,
		"excused.toml":      shed + big + "[[deviation]]\ncheck = \"electrical/fuse\"\nsubject = \"F2\"\nreason = \"old\"\nby = \"J. Examiner\"\ndate = 2026-03-02\nreference = \"letter\"\n",
		"stray.toml":        shed + fuse + "[[deviation]]\ncheck = \"electrical/fuze\"\nsubject = \"F2\"\nreason = \"old\"\nby = \"J. Examiner\"\ndate = 2026-03-02\nreference = \"letter\"\n",
		"wrong.toml":        shed + "nmae = 1\n",
	})
	if err := os.Mkdir("empty", 0o777); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		args  string
		code  int
		words string // in the output, or in the complaint for code 2
	}{
		{"check clear.toml", exitClear, "NOTHING IS OUTSTANDING"},
		{"check faulty.toml", exitOutstanding, "overcurrent F2"},
		{"check --gate advisory clear.toml", exitClear, "NOTHING IS OUTSTANDING"},
		{"check unrated.toml", exitClear, "LOOK AT: 1 to verify"},
		{"check --gate verify unrated.toml", exitOutstanding, "to pass: at least 600 V"},
		{"check --gate verify ownerless.toml", exitClear, "project.owner"},
		{"check --gate advisory ownerless.toml", exitOutstanding, "project.owner"},
		{"check undetermined.toml", exitOutstanding, "overcurrent.F4.rating"},
		{"check --accept-stated excused.toml", exitClear, "1 excused"},
		{"check --only electrical faulty.toml", exitOutstanding, "IN THE 2 OF 3 CHECKS THAT RAN"},
		{"check --only paper --only electrical/rated faulty.toml", exitClear, "IN THE 2 OF 3 CHECKS THAT RAN"},
		{"check --only papers faulty.toml", exitInput, "there is no check \"papers\", did you mean \"paper\"?\n"},
		{"check --only electrical/ faulty.toml", exitInput, "there is no check \"electrical/\""},
		{"check --only electrical/rated faulty.toml", exitClear, "NOTHING IS OUTSTANDING"},
		{"check clear.toml faulty.toml", exitOutstanding, "PLAN REVIEW  faulty.toml"},
		{"check stray.toml", exitInput, "stray.toml:9:9: there is no check \"electrical/fuze\"; did you mean \"electrical/fuse\"?\n"},
		{"check wrong.toml", exitInput, "wrong.toml:4:1: unknown key \"nmae\""},
		{"check clear.toml wrong.toml none.toml", exitInput, "none.toml: there is no such file\nwrong.toml:4:1: "},
		{"check empty", exitInput, "empty: no job in this folder or below it\n"},
		{"check", exitInput, "plumbrule: check needs the name of at least one job file\n"},
		{"check --only fuse clear.toml", exitInput, "plumbrule: --only: there is no check \"fuse\", did you mean \"electrical/fuse\"?\n"},
		{"check --only electrical/raited clear.toml", exitInput, "did you mean \"electrical/rated\"?\n"},
		{"check --only nothing/like-it clear.toml", exitInput, "there is no check \"nothing/like-it\"; they are listed by: plumbrule rules\n"},
		{"check --gate corection clear.toml", exitInput, "did you mean \"correction\"?\n"},
		{"check --format jsn clear.toml", exitInput, "did you mean \"json\"?\n"},
		{"check --fromat json clear.toml", exitInput, "did you mean \"format\"?\n"},
		{"chekc", exitInput, "plumbrule: unknown command \"chekc\", did you mean \"check\"?\n"},
		{"help chekc", exitInput, "did you mean \"check\"?\n"},
		{"version now", exitInput, "plumbrule: version takes no names; found \"now\"\n"},
		{"rules a b", exitInput, "plumbrule: rules takes one name at most; found \"b\" as well\n"},
		{"help check", exitClear, "--gate"},
		{"", exitClear, "Exit codes"},
	} {
		r := runWith(t, few(), strings.Fields(c.args)...).exits(c.code)
		if c.code == exitInput {
			r.complains(c.words).printsNothing()
		} else {
			r.prints(c.words).complainsNothing()
		}
	}
}

func TestNothingToLookAt(t *testing.T) {
	beside(t, map[string]string{"clear.toml": shed})
	runWith(t, few(), "check", "--only", "electrical/fuse", "clear.toml").exits(exitInput).
		complains("clear.toml: no check found anything to look at in this job\n").printsNothing()
}

// A fault in the project's own rules is the tool's, whatever the job.
func TestBrokenRulesFailTheTool(t *testing.T) {
	beside(t, map[string]string{"clear.toml": shed + fuse})
	broken := few()
	broken["electrical/fuse.toml"] = &fstest.MapFile{Data: []byte("title = 1\n")}
	runWith(t, broken, "check", "clear.toml").exits(exitFailed).complains("electrical/fuse.toml:1:").printsNothing()
	runWith(t, broken, "rules").exits(exitFailed)
	runWith(t, broken, "version").exits(exitFailed)
	broken = few()
	broken["tables/x/one.toml"] = &fstest.MapFile{Data: []byte("name = \"one\"\n")}
	runWith(t, broken, "check", "clear.toml").exits(exitFailed).complains("tables/x/one.toml").printsNothing()
	runWith(t, broken, "calc", "cold-voltage").exits(exitFailed)
}

// A check that cannot be evaluated is undetermined, is named, and cannot pass;
// the rest of the review is printed.
func TestDefectOfACheck(t *testing.T) {
	beside(t, map[string]string{"faulty.toml": shed + big})
	dividing := few()
	dividing["paper/named.toml"].Data = bytes.ReplaceAll(dividing["paper/named.toml"].Data, []byte(`project.owner != ""`), []byte(`1 / (size(project.owner) - 8) == 1`))
	r := runWith(t, dividing, "check", "faulty.toml").exits(exitFailed)
	r.complains("plumbrule: defect in check paper/named for project: ")
	r.prints("undetermined  Owner named: project", "Defect of the program, not of the job: paper/named", "overcurrent F2")
}

// A panic is never a review.
func TestPanicFailsTheTool(t *testing.T) {
	beside(t, map[string]string{"clear.toml": shed + fuse})
	runWith(t, panics{}, "check", "clear.toml").exits(exitFailed).complains("plumbrule: defect: no rules today").printsNothing()
	runWith(t, panics{}, "rules").exits(exitFailed).complains("plumbrule: defect: no rules today").printsNothing()
}

type panics struct{}

func (panics) Open(string) (fs.File, error) { panic("no rules today") }

func TestOutputThatCannotBeWrittenFailsTheTool(t *testing.T) {
	p := &program{rules: few()}
	var errs bytes.Buffer
	if code := p.main([]string{"terms"}, strings.NewReader(""), full{}, &errs); code != exitFailed {
		t.Errorf("exit %d, expected %d", code, exitFailed)
	}
	if errs.String() != "plumbrule: no space left\n" {
		t.Errorf("complaint %q", errs.String())
	}
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("no space left") }

func TestOutputFile(t *testing.T) {
	beside(t, map[string]string{"clear.toml": shed + fuse, "faulty.toml": shed + big, "wrong.toml": "x = 1\n", "old.txt": "old"})
	runWith(t, few(), "check", "--output", "new.txt", "faulty.toml").exits(exitOutstanding).printsNothing().complainsNothing()
	printed := runWith(t, few(), "check", "faulty.toml").stdout
	if got := read(t, "new.txt"); got != printed {
		t.Errorf("the file differs from what is printed:\n%s", got)
	}
	runWith(t, few(), "check", "--output", "old.txt", "--format", "json", "clear.toml").exits(exitClear)
	if got := read(t, "old.txt"); !strings.HasPrefix(got, "{\n  \"schema\": \"plumbrule review\",\n  \"format\": 3") {
		t.Errorf("the old file was not replaced: %s", got)
	}

	runWith(t, few(), "check", "--output", "never.txt", "wrong.toml").exits(exitInput)
	runWith(t, few(), "check", "--output", "never.txt", "clear.toml", "wrong.toml").exits(exitInput)
	runWith(t, few(), "check", "--output", "clear.toml", "clear.toml").exits(exitInput).complains("this file is part of the job")
	runWith(t, few(), "check", "--output", ".", "clear.toml").exits(exitInput).complains("not a regular file")
	runWith(t, few(), "check", "--output", "none/x.txt", "clear.toml").exits(exitInput).complains("no file can be made there")
	if got := read(t, "clear.toml"); got != shed+fuse {
		t.Errorf("the job was written over: %s", got)
	}
	left, err := filepath.Glob("*")
	if err != nil {
		t.Fatal(err)
	}
	if got := strings.Join(left, " "); got != "clear.toml faulty.toml new.txt old.txt wrong.toml" {
		t.Errorf("files left behind: %s", got)
	}
}

func read(t *testing.T, name string) string {
	t.Helper()
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// Every malformed job gives the errors that package job is tested for, and no
// review.
func TestMalformedJobs(t *testing.T) {
	t.Chdir("../../testdata/malformed")
	names, err := filepath.Glob("job-*.toml")
	if err != nil || len(names) == 0 {
		t.Fatalf("no malformed jobs: %v", err)
	}
	for _, name := range names {
		r := run(t, "check", name).exits(exitInput).printsNothing()
		for _, l := range strings.Split(strings.TrimSuffix(r.stderr, "\n"), "\n") {
			if !strings.HasPrefix(l, name+":") && !strings.Contains(l, ".toml:") && !strings.Contains(l, ".csv:") {
				t.Errorf("%s: a complaint without a place: %q", name, l)
			}
		}
	}
}

// demoJobs lists the demo jobs; in short tests without the commercial one, which
// takes as long as all others.
func demoJobs(t testing.TB) []string {
	t.Helper()
	names, err := filepath.Glob("../../testdata/jobs/*.toml")
	if err != nil {
		t.Fatal(err)
	}
	var jobs []string
	for _, n := range names {
		base := filepath.Base(n)
		if base != "equipment.toml" /* which the jobs include */ && !(testing.Short() && strings.HasPrefix(base, "commercial")) {
			jobs = append(jobs, n)
		}
	}
	if len(jobs) == 0 {
		t.Fatal("no demo jobs")
	}
	return jobs
}

func TestDemoJobsFollowTheSchema(t *testing.T) {
	long(t)
	raw, err := schema.FS.ReadFile("review.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	s, err := gojsonschema.NewSchema(gojsonschema.NewBytesLoader(raw))
	if err != nil {
		t.Fatal(err)
	}
	jobs := demoJobs(t)
	lines := [][]string{append([]string{"check", "--format", "json"}, jobs[:2]...)}
	for _, j := range jobs {
		lines = append(lines, []string{"check", "--format", "json", j})
	}
	for _, line := range lines {
		r := run(t, line...)
		if r.code > exitOutstanding {
			t.Errorf("%s: exit %d\n%s", r.line, r.code, r.stderr)
			continue
		}
		result, err := s.Validate(gojsonschema.NewStringLoader(r.stdout))
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range result.Errors() {
			t.Errorf("%s: %s", r.line, e)
		}
	}
}

// The same input gives the same bytes, whatever the cores and the folder.
func TestSameBytes(t *testing.T) {
	home, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	copies := t.TempDir()
	if err := os.CopyFS(copies, os.DirFS("../../testdata/jobs")); err != nil {
		t.Fatal(err)
	}
	for _, path := range demoJobs(t) {
		name := filepath.Base(path)
		for _, format := range []string{"text", "json"} {
			var first string
			for i, place := range []struct {
				cores  int
				folder string
			}{{1, "../../testdata/jobs"}, {8, copies}} {
				before := runtime.GOMAXPROCS(place.cores)
				t.Chdir(place.folder)
				r := run(t, "check", "--format", format, name)
				t.Chdir(home)
				runtime.GOMAXPROCS(before)
				if r.stdout == "" {
					t.Fatalf("%s: nothing printed\n%s", r.line, r.stderr)
				}
				if i == 0 {
					first = r.stdout
				} else if r.stdout != first {
					t.Errorf("%s differs with %d cores in %s", r.line, place.cores, place.folder)
				}
			}
		}
	}
}

func TestSeveralJobs(t *testing.T) {
	beside(t, map[string]string{"a.toml": shed + fuse, "b.toml": shed + big})
	var doc struct {
		Schema  string
		Reviews []struct{ Job struct{ File string } }
	}
	r := runWith(t, few(), "check", "--format", "json", "b.toml", "a.toml")
	if err := json.Unmarshal([]byte(r.stdout), &doc); err != nil {
		t.Fatal(err)
	}
	if doc.Schema != "plumbrule reviews" || len(doc.Reviews) != 2 || doc.Reviews[0].Job.File != "b.toml" || doc.Reviews[1].Job.File != "a.toml" {
		t.Errorf("document %+v", doc)
	}
}

func TestRules(t *testing.T) {
	runWith(t, few(), "rules").exits(exitClear).golden("rules.txt")
	runWith(t, few(), "rules", "electrical/fuse").exits(exitClear).golden("rules-fuse.txt")
	runWith(t, few(), "rules", "fuse").exits(exitInput).complains(`did you mean "electrical/fuse"?`).printsNothing()
	list := run(t, "rules").exits(exitClear)
	for _, c := range bookOf(t).Checks {
		list.prints(c.ID, string(c.Severity), c.Title)
	}
}

func TestCoverage(t *testing.T) {
	covered := few()
	covered["electrical/fuse.toml"].Data = append([]byte("scope = [\"DC-1\"]\n"), covered["electrical/fuse.toml"].Data...)
	covered["scope.toml"] = &fstest.MapFile{Data: []byte(`
[[row]]
id = "DC-1"
requirement = "fuses fit"
[[row]]
id = "DC-2"
requirement = "parts are sound"
field = "look at them"
[[row]]
id = "DC-3"
requirement = "drawings are legible"
why = "a file cannot show it"
[[row]]
id = "DC-4"
requirement = "the rest"
`)}
	runWith(t, covered, "rules", "--coverage").exits(exitClear).golden("coverage.txt")
	runWith(t, covered, "rules", "--coverage", "electrical/fuse").exits(exitInput)
}

func TestTerms(t *testing.T) {
	long(t)
	list := run(t, "terms").exits(exitClear)
	for _, k := range terms.Kinds() {
		list.prints(k.Name, k.Meaning)
		sheet := run(t, "terms", k.Name).exits(exitClear)
		for _, term := range k.Terms() {
			sheet.prints(term.Name, term.Type.String(), term.Meaning, term.Source, term.Calculator)
		}
	}
}

func TestCalc(t *testing.T) {
	list := run(t, "calc").exits(exitClear)
	for _, c := range calculator.All() {
		list.prints(c.Name, c.Gives)
		sheet := run(t, "calc", c.Name).exits(exitClear).prints(c.Source, "Example")
		for _, in := range c.Inputs {
			sheet.prints(inputName(in), in.Meaning, in.Default)
		}
		for _, o := range c.Outputs {
			sheet.prints(o.Name, o.Unit, o.Meaning)
		}
	}
	run(t, "calc", "cold-voltage", "voc=49.5 A", "modulse=12").exits(exitInput).printsNothing().complains(
		"plumbrule: calc cold-voltage: unknown input \"modulse\", did you mean \"modules\"?\n",
		"plumbrule: calc cold-voltage: missing input \"nec\"",
		"plumbrule: calc cold-voltage: voc: ",
	)
}

// The example that a calculator shows has to run as it is printed.
func TestCalcExamplesRunAsPrinted(t *testing.T) {
	for _, c := range calculator.All() {
		want := run(t, append([]string{"calc", c.Name}, c.Example...)...).exits(exitClear).stdout
		shown := run(t, "calc", c.Name).stdout
		_, shown, _ = strings.Cut(shown, "\nExample\n")
		for _, l := range strings.Split(strings.TrimSpace(want), "\n") {
			if !strings.Contains(shown, strings.TrimSpace(l)) {
				t.Errorf("calc %s: the example does not show %q:\n%s", c.Name, l, shown)
			}
		}
	}
}

func TestQuoted(t *testing.T) {
	for arg, want := range map[string]string{
		"a=1": "a=1", "a=1 V": `a="1 V"`, "a=-5": "a=-5", `a=12'-6"`: `a="12'-6\""`, "a=$x": `a="\$x"`,
	} {
		if got := quoted(arg); got != want {
			t.Errorf("%s is written %s, expected %s", arg, got, want)
		}
	}
}

func bookOf(t testing.TB) *codebook.Codebook {
	t.Helper()
	b, err := codebook.Load(rules.FS)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// The time from the start of the process to the report of the barn, and its
// parts.

func BenchmarkStart(b *testing.B) {
	binary := filepath.Join(b.TempDir(), "plumbrule")
	if out, err := exec.Command("go", "build", "-o", binary, "../../cmd/plumbrule").CombinedOutput(); err != nil {
		b.Fatalf("%v\n%s", err, out)
	}
	for b.Loop() {
		err := exec.Command(binary, "check", "../../testdata/jobs/barn-faulty.toml").Run()
		var exit *exec.ExitError
		if err != nil && (!errors.As(err, &exit) || exit.ExitCode() > exitOutstanding) {
			b.Fatal(err)
		}
	}
}

func BenchmarkCodebook(b *testing.B) {
	for name, load := range map[string]func(fs.FS) (*codebook.Codebook, error){"strict": codebook.Load, "proven": codebook.LoadProven} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				book, err := load(rules.FS)
				if err != nil {
					b.Fatal(err)
				}
				b.ReportMetric(float64(len(book.Checks)), "checks")
			}
		})
	}
}

func BenchmarkJob(b *testing.B) {
	for b.Loop() {
		if _, err := job.Load("../../testdata/jobs/barn-faulty.toml"); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkCheck(b *testing.B) {
	for b.Loop() {
		if code := Main([]string{"check", "../../testdata/jobs/barn-faulty.toml"}, strings.NewReader(""), io.Discard, io.Discard); code > exitOutstanding {
			b.Fatalf("exit %d", code)
		}
	}
}
