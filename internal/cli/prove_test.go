package cli

import (
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"
)

// county is a rule file of a jurisdiction with examples that hold.
const county = `title = "County fuse at most 20 A"
severity = "correction"
each = "overcurrent"
measure = "overcurrent.rating"
at_most = 'q("20 A")'
because = "the county wants it"
[[cite]]
code = "county handout"
section = "4"
[[example]]
job = "shed"
subject = "F1"
expect = "met"
[[example]]
job = "shed"
subject = "F1"
set = {"overcurrent.F1.rating" = "25 A"}
expect = "not met"
[[example]]
job = "shed"
subject = "F1"
unset = ["overcurrent.F1.rating"]
expect = "undetermined"
`

// tree runs the test in a new folder with files in folders.
func tree(t *testing.T, files map[string]string) {
	t.Helper()
	dir := t.TempDir()
	for name, text := range files {
		path := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	t.Chdir(dir)
}

func TestProve(t *testing.T) {
	tree(t, map[string]string{
		"county/fire/fuse.toml":  county,
		"county/fire/false.toml": strings.Replace(county, `expect = "undetermined"`, `expect = "met"`, 1),
		"county/fire/stray.toml": strings.Replace(county, `unset = ["overcurrent.F1.rating"]`, `unset = ["overcurrent.F9"]`, 1),
		"county/fire/vain.toml":  strings.ReplaceAll(strings.ReplaceAll(county, `"25 A"`, `"15 A"`), `expect = "not met"`, `expect = "met"`),
		"county/fire/away.toml":  strings.Replace(county, `job = "shed"`, `job = "../shed"`, 1),
		"county/fire/bad.toml":   strings.ReplaceAll(strings.ReplaceAll(county, "rating\"\nat", "rathing\"\nat"), `severity = "correction"`, "severity = \"correction\"\nextra = 1"),
		"electrical/fuse.toml":   strings.Replace(county, "20 A", "15 A", 2),
		"scoped/fire/fuse.toml":  "scope = [\"NOT-99\"]\n" + county,
		"jobs/shed.toml":         shed + fuse,
		"loose.toml":             county,
	})
	for _, c := range []struct {
		args  string
		code  int
		words string
	}{
		{"", exitClear, "checks loaded; --jobs DIR runs the examples\n"}, // the project's own
		{"county/fire/fuse.toml", exitClear, "1 check loaded; --jobs DIR runs the examples\n"},
		{"--jobs jobs county/fire/fuse.toml", exitClear, "1 check, 3 examples run, 0 wanting\n3 changes made to the checks, 1 noticed by an example, 2 not\n"},
		{"--jobs jobs county/fire/fuse.toml", exitClear, "county/fire/fuse.toml:5:12: no example notices: at_most: q(\"20 A\") -> q(\"20 A\") * 1.05\n"},
		{"--jobs jobs --mutants=false county/fire/fuse.toml", exitClear, "1 check, 3 examples run, 0 wanting\n"},
		{"--jobs jobs electrical/fuse.toml", exitInput, "there is already a check electrical/fuse"},
		{"--jobs jobs scoped/fire/fuse.toml", exitInput, "scoped/fire/fuse.toml:1:9: check fire/fuse answers NOT-99, which scope.toml does not have"},
		{"--jobs jobs county/fire/false.toml", exitOutstanding, "county/fire/false.toml:19:1: overcurrent F1 is undetermined, expected met: needs overcurrent.F1.rating\n"},
		{"--jobs jobs county/fire/fuse.toml county/fire/false.toml", exitOutstanding, "2 checks, 6 examples run, 1 wanting\n"},
		{"--jobs jobs county/fire/stray.toml", exitOutstanding, "county/fire/stray.toml:19:1: the example cannot be run: "},
		{"--jobs jobs county/fire/away.toml", exitOutstanding, `the job "../shed" is not in the folder of jobs`},
		{"--jobs none county/fire/fuse.toml", exitOutstanding, "none/shed.toml: there is no such file"},
		{"county/fire/bad.toml", exitInput, "county/fire/bad.toml:3:9: unknown key \"extra\""},
		{"county/fire/none.toml", exitInput, "county/fire/none.toml: there is no such file\n"},
		{"county/fire", exitInput, "county/fire/false.toml: no rule file is read at this depth; expected <discipline>/<check>.toml"},
		{"loose.toml", exitInput, "loose.toml: a rule file is named with the folder of its discipline"},
		{"county/fire/fuse.toml county/../county/fire/fuse.toml", exitInput, "two files hold the check fire/fuse"},
	} {
		r := runWith(t, few(), append([]string{"rules", "--prove"}, strings.Fields(c.args)...)...).exits(c.code)
		if c.code == exitInput {
			r.complains(c.words).printsNothing()
		} else {
			r.prints(c.words).complainsNothing()
		}
	}
	runWith(t, few(), "rules", "--jobs", "jobs").exits(exitInput).complains("--jobs goes with --prove or --sheets")
	runWith(t, few(), "rules", "--prove", "--coverage", "county/fire/fuse.toml").exits(exitInput).printsNothing()
}

// A malformed rule file is refused with its place, whichever way it comes in.
func TestMalformedRules(t *testing.T) {
	names, err := filepath.Glob("../../testdata/malformed/rule-*.toml")
	if err != nil || len(names) == 0 {
		t.Fatalf("no malformed rules: %v", err)
	}
	dir := t.TempDir()
	for _, name := range names {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		path := filepath.Join(dir, "fire", "malformed.toml")
		if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, text, 0o644); err != nil {
			t.Fatal(err)
		}
		for _, args := range [][]string{{"rules", "--prove", path}, {"check", "--rules", dir, "../../testdata/jobs/barn.toml"}} {
			run(t, args...).exits(exitInput).complains("fire/malformed.toml:").printsNothing()
		}
	}
}

func TestCheckWithRulesOfAJurisdiction(t *testing.T) {
	tree(t, map[string]string{
		"county/fire/fuse.toml":      county,
		"town/paper/owner.toml":      strings.NewReplacer("overcurrent.rating", "project.owner", `at_most = 'q("20 A")'`, `equals = '"A. Owner"'`, `"overcurrent"`, `"project"`).Replace(county),
		"clash/electrical/fuse.toml": county,
		"empty/readme.txt":           "",
		"scoped/fire/fuse.toml":      "scope = [\"NOT-99\"]\n" + county,
		"job.toml":                   shed + "[[overcurrent]]\nname = \"F1\"\nrating = \"25 A\"\nvoltage = \"1000 V\"\n",
		"excused.toml":               shed + big + "[[deviation]]\ncheck = \"fire/fuse\"\nsubject = \"F2\"\nreason = \"old\"\nby = \"J. Examiner\"\ndate = 2026-03-02\nreference = \"letter\"\n[[deviation]]\ncheck = \"electrical/fuse\"\nsubject = \"F2\"\nreason = \"old\"\nby = \"J. Examiner\"\ndate = 2026-03-02\nreference = \"letter\"\n",
	})
	r := runWith(t, few(), "check", "--rules", "county", "--rules", "town", "job.toml").exits(exitOutstanding)
	r.prints("Fuse at most 15 A", "with it: 1 outcome of 1 check")
	runWith(t, few(), "check", "--format", "full", "--rules", "county", "--rules", "town", "job.toml").prints("fire/fuse, not met: overcurrent F1")
	runWith(t, few(), "check", "--rules", "county", "--only", "fire/fuse", "job.toml").exits(exitOutstanding).prints("County fuse")
	runWith(t, few(), "check", "--rules", "county", "--accept-stated", "excused.toml").exits(exitClear)
	runWith(t, few(), "check", "--rules", "clash", "job.toml").exits(exitInput).printsNothing().
		complains("clash/electrical/fuse.toml:1:1: there is already a check electrical/fuse")
	runWith(t, few(), "check", "--rules", "scoped", "job.toml").exits(exitInput).complains("scoped/fire/fuse.toml:1:9: check fire/fuse answers NOT-99")
	runWith(t, few(), "check", "--rules", "empty", "job.toml").exits(exitInput).complains("empty/readme.txt: no rule file")
	runWith(t, few(), "check", "--rules", "none", "job.toml").exits(exitInput).complains("none: there is no such folder")
	runWith(t, few(), "check", "--rules", "none", "none.toml").exits(exitInput).complains("none: there is no such folder\n", "none.toml: there is no such file\n")

	plain := runWith(t, few(), "check", "--format", "json", "job.toml").stdout
	added := runWith(t, few(), "check", "--format", "json", "--rules", "county", "job.toml").stdout
	if hashOf(t, plain) == hashOf(t, added) {
		t.Error("the rule set has the same hash with added checks")
	}
}

func hashOf(t *testing.T, document string) string {
	t.Helper()
	_, after, found := strings.Cut(document, `"hash":"`)
	hash, _, _ := strings.Cut(after, `"`)
	if !found || len(hash) != 64 {
		t.Fatalf("no hash: %s", document)
	}
	return hash
}

// scoped is the small codebook with a scope and examples that can be run.
func scoped() fstest.MapFS {
	f := few()
	f["electrical/fuse.toml"] = &fstest.MapFile{Data: []byte("scope = [\"DC-1\"]\nwhen = 'overcurrent.voltage > q(\"0 V\")'\nprovenance = \"second-hand\"\n" + strings.Replace(county, "County fuse", "Fuse | `at` <most>", 1))}
	f["scope.toml"] = &fstest.MapFile{Data: []byte("[[row]]\nid = \"DC-1\"\nrequirement = \"fuses fit\"\n[[row]]\nid = \"DC-2\"\nrequirement = \"parts are sound | whole\"\nfield = \"look\"\n")}
	return f
}

func TestSheets(t *testing.T) {
	golden, err := filepath.Abs("testdata/golden")
	if err != nil {
		t.Fatal(err)
	}
	tree(t, map[string]string{"jobs/shed.toml": shed + fuse, "jobs/trial.toml": shed + big, "held/old.md": "old"})
	runWith(t, scoped(), "rules", "--sheets", "plain").exits(exitClear).prints("26 pages in plain\n")
	for name, file := range map[string]string{"plain/electrical/fuse.md": "sheet-fuse.md", "plain/index.md": "sheet-index.md"} {
		compare(t, filepath.Join(golden, file), read(t, name))
	}
	runWith(t, scoped(), "rules", "--sheets", "again/").exits(exitClear)
	for _, name := range pages(t, "plain") {
		if read(t, filepath.Join("plain", name)) != read(t, filepath.Join("again", name)) {
			t.Errorf("%s differs from run to run", name)
		}
	}
	runWith(t, scoped(), "rules", "--sheets", "real", "--jobs", "jobs").exits(exitClear)
	compare(t, filepath.Join(golden, "sheet-fuse-run.md"), read(t, "real/electrical/fuse.md"))

	runWith(t, scoped(), "rules", "--sheets", "held").exits(exitInput).complains("the folder holds something already")
	runWith(t, scoped(), "rules", "--sheets", "held/old.md").exits(exitInput).complains("not a folder")
	runWith(t, scoped(), "rules", "--sheets", "none/deep").exits(exitInput).complains("no folder can be made there")
	runWith(t, scoped(), "rules", "--sheets", "never", "--jobs", "none").exits(exitInput).complains("none/shed.toml: there is no such file")
	unscoped := few()
	delete(unscoped, "scope.toml")
	runWith(t, unscoped, "rules", "--sheets", "never").exits(exitFailed).complains("scope.toml")
	if got := folder(t); got != "again held jobs plain real" {
		t.Errorf("folders left behind: %s", got)
	}
	if read(t, "held/old.md") != "old" {
		t.Error("an old page was written over")
	}
}

func pages(t *testing.T, dir string) (out []string) {
	t.Helper()
	err := fs.WalkDir(os.DirFS(dir), ".", func(name string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			out = append(out, name)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// The project's own rules give a page each, and the index leads to all.
func TestOwnSheets(t *testing.T) {
	long(t)
	t.Chdir(t.TempDir())
	run(t, "rules", "--sheets", "sheets").exits(exitClear)
	index := read(t, "sheets/index.md")
	for _, c := range bookOf(t).Checks {
		page := read(t, filepath.FromSlash("sheets/"+c.ID+".md"))
		for _, want := range []string{"# ", string(c.Severity), "## Formula", "## Where it stands", "## Examples"} {
			if !strings.Contains(page, want) {
				t.Errorf("%s: no %q on the page", c.ID, want)
			}
		}
		if !strings.Contains(index, "]("+c.ID+".md)") {
			t.Errorf("the index does not lead to %s", c.ID)
		}
	}
}
