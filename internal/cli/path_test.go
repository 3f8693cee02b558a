package cli

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func working(t *testing.T) string {
	t.Helper()
	dir, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	return dir
}

// Nothing is written through a link, nor in its place.
func TestOutputsAreNoLinks(t *testing.T) {
	beside(t, map[string]string{"clear.toml": shed + fuse, "old.txt": "old"})
	for name, to := range map[string]string{"link.txt": "old.txt", "job.json": "clear.toml", "far.json": "none/far", "folder": "."} {
		if err := os.Symlink(to, name); err != nil {
			t.Skip("this system makes no links: ", err)
		}
	}
	for _, name := range []string{"link.txt", "folder/link.txt", "far.json", "job.json"} {
		runWith(t, few(), "check", "--output", name, "clear.toml").exits(exitInput).complains("a link, which is not written through").printsNothing()
	}
	runWith(t, scoped(), "rules", "--sheets", "folder").exits(exitInput)
	if read(t, "old.txt") != "old" {
		t.Error("what a link leads to was written")
	}
	for _, twice := range [][2]string{{"new.TXT.json", "NEW.txt.json"}, {"new.json", "folder/new.json"}, {"folder/../" + filepath.Base(working(t)) + "/new.json", "new.json"}} {
		runWith(t, few(), "check", "--write", twice[0], "--write", twice[1], "clear.toml").exits(exitInput).complains(twice[1] + " is to be written twice")
	}
	if got := folder(t); got != "clear.toml far.json folder job.json link.txt old.txt" {
		t.Errorf("files left behind: %s", got)
	}
}

// Sheets go into an empty folder that is there already.
func TestSheetsIntoAnEmptyFolder(t *testing.T) {
	t.Chdir(t.TempDir())
	if err := os.Mkdir("empty", 0o777); err != nil {
		t.Fatal(err)
	}
	runWith(t, scoped(), "rules", "--sheets", "empty").exits(exitClear)
	if _, err := os.Stat(filepath.Join("empty", "index.md")); err != nil {
		t.Error(err)
	}
	if got := folder(t); got != "empty" {
		t.Errorf("folders left behind: %s", got)
	}
}

// A job, its equipment and its survey give the same outcomes at the same places
// whatever ends their lines and whether a byte order mark stands before them.
func TestLineEndsAndMarksChangeNothing(t *testing.T) {
	const mark = "\uFEFF"
	const jobs = "../../testdata/jobs"
	survey := "\n[as_built]\nfile = \"barn-survey.csv\"\ntolerance = \"2 in\"\n"
	var plain string
	for name, change := range map[string]*strings.Replacer{
		"carriage returns": strings.NewReplacer("\n", "\r\n"),
		"none":             strings.NewReplacer(),
	} {
		for _, before := range []string{"", mark} {
			dir := t.TempDir()
			for _, file := range []string{"barn.toml", "equipment.toml", "barn-survey.csv"} {
				text := read(t, filepath.Join(jobs, file))
				if file == "barn.toml" {
					text += survey
				}
				text = before + change.Replace(text)
				if err := os.WriteFile(filepath.Join(dir, file), []byte(text), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			got := outcomesOf(t, dir, "barn.toml")
			if plain == "" {
				plain = got
			}
			if got != plain {
				t.Errorf("with %s and mark %q the outcomes differ", name, before)
			}
		}
	}
}

// outcomesOf reviews a job in its folder and gives the outcomes as the JSON
// document has them.
func outcomesOf(t *testing.T, dir, name string) string {
	t.Helper()
	home, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(dir)
	r := run(t, "check", "--format", "json", name)
	t.Chdir(home)
	var doc struct{ Outcomes json.RawMessage }
	if err := json.Unmarshal([]byte(r.stdout), &doc); err != nil {
		t.Fatalf("%s: %v\n%s", r.line, err, r.stderr)
	}
	if len(doc.Outcomes) < 1000 {
		t.Fatalf("hardly any outcomes: %s", doc.Outcomes)
	}
	if !strings.Contains(r.stdout, "layout/survey-level") {
		t.Fatal("the survey was not looked at")
	}
	return string(doc.Outcomes)
}
