package cli

import (
	"bytes"
	"errors"
	"io"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// onDisk gives every file below this folder with its text.
func onDisk(t *testing.T) map[string]string {
	t.Helper()
	files := map[string]string{}
	err := filepath.WalkDir(".", func(name string, entry os.DirEntry, err error) error {
		if err == nil && entry.Type().IsRegular() {
			files[filepath.ToSlash(name)] = read(t, name)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return files
}

// What a command reads it does not write over, however the name is spelled and
// linked.
func TestInputsAreNoOutputs(t *testing.T) {
	tree(t, map[string]string{
		"jobs/job.toml": "include = [\"part.toml\"]\nequipment = \"types\"\n" + shed + fuse +
			"[[inverter]]\nname = \"I\"\ntype = \"QX\"\n[[plane]]\nname = \"P\"\noutline = [[\"0 ft\", \"0 ft\"], [\"20 ft\", \"0 ft\"], [\"20 ft\", \"20 ft\"]]\n[[array]]\nname = \"A\"\nplane = \"P\"\n[as_built]\nfile = \"survey.csv\"\ntolerance = \"2 in\"\n",
		"jobs/part.toml":     "[site]\nwind_speed = \"105 mph\"\n",
		"jobs/types/qx.toml": "[[inverter_type]]\nname = \"QX\"\n",
		"jobs/survey.csv":    "array, x (in), y (in), height (in)\nA, 77.875, 78.0625, 3.875\n",
		"own/fire/fuse.toml": county,
		"own.md":             "{{.Project}}\n",
		"firm.toml":          "wind-speed = \"105 mph\"\n",
		"kept.toml":          "name = \"Hill house\"\n",
		"modules.csv":        "name, length, width\nQX, 70 in, 40 in\n",
	})
	check := []string{"check", "--rules", "own", "--letter-template", "own.md", "--write", "letter.md", "jobs/job.toml"}
	runWith(t, few(), check...).exits(exitClear)
	if err := os.Remove("letter.md"); err != nil {
		t.Fatal(err)
	}
	draft := []string{"draft", "--replace", "--answers", "kept.toml", "--practice", "firm.toml", "--from", "module_type=modules.csv"}
	for name, command := range map[string][]string{
		"jobs/job.toml": check, "jobs/part.toml": check, "jobs/types/qx.toml": check, "jobs/survey.csv": check, "own/fire/fuse.toml": check, "own.md": check,
		"firm.toml": draft, "kept.toml": draft, "modules.csv": draft,
	} {
		folder, base := filepath.Split(name)
		whole, err := filepath.Abs(name)
		if err != nil {
			t.Fatal(err)
		}
		spellings := []string{name, "./" + name, whole, "own/../" + name, folder + strings.ToUpper(base)}
		if os.Link(name, "hard") == nil {
			spellings = append(spellings, "hard")
		}
		if os.Symlink(name, "soft") == nil {
			spellings = append(spellings, "soft")
		}
		before := onDisk(t)
		for _, spelling := range spellings {
			r := run
			if command[0] == "check" {
				r = func(t *testing.T, args ...string) *ran { return runWith(t, few(), args...) }
			}
			words := "was read for it"
			switch {
			case name == "modules.csv":
				words = "cannot be written over a file that it is drafted from"
			case spelling == "soft":
				words = "a link, which is not written through"
			}
			r(t, slices.Concat(command, []string{"--output", spelling})...).exits(exitInput).complains(words).printsNothing()
			if !maps.Equal(onDisk(t), before) {
				t.Fatalf("%s --output %s changes files", command, spelling)
			}
		}
		_, _ = os.Remove("hard"), os.Remove("soft")
	}
}

// A file or a folder that is not finished leaves nothing behind, whatever ends
// it: an error, a defect, or the word of a person.
func TestNothingIsLeftOfWhatIsNotFinished(t *testing.T) {
	beside(t, map[string]string{"old": "old"})
	begun := make(chan bool)
	endless := func(w io.Writer) error {
		if _, err := w.Write(bytes.Repeat([]byte("text"), 10_000)); err != nil {
			return err
		}
		close(begun)
		select {}
	}
	first := file{"--write", "old", all([]byte("new"))}.product()
	folder := product{"--sheets", "sheets", true, func(s *stage, name string) error {
		return makeFolder(s, "sheets", name, map[string][]byte{"a/b.md": []byte("page")})
	}}
	interrupt := func() {
		<-begun
		if self, err := os.FindProcess(os.Getpid()); err != nil || self.Signal(os.Interrupt) != nil {
			t.Error("this system sends no interrupt")
		}
	}
	for name, c := range map[string]struct {
		write func(io.Writer) error
		says  string
	}{
		"an error":     {func(io.Writer) error { return errors.New("no space left") }, "no space left"},
		"a defect":     {func(io.Writer) error { panic("a nail") }, "defect: a nail"},
		"an interrupt": {endless, "interrupted"},
	} {
		if name == "an interrupt" {
			if os.PathSeparator != '/' {
				continue // such a system sends no signals to a process
			}
			go interrupt()
		}
		err := put(nil, first, folder, file{"--write", "late", c.write}.product())
		if exitOf(err).code != exitFailed || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s ends with %v", name, err)
		}
		if got := onDisk(t); len(got) != 1 || got["old"] != "old" {
			t.Errorf("%s leaves %v", name, got)
		}
	}
	if err := put(nil, first, folder); err != nil {
		t.Fatal(err)
	}
	if got := onDisk(t); len(got) != 2 || got["old"] != "new" || got["sheets/a/b.md"] != "page" {
		t.Errorf("files %v", got)
	}
}

// Of several files that are made together none is changed when one of them
// cannot be put in its place, at whatever turn it comes; a folder neither.
func TestAllOrNothing(t *testing.T) {
	// inTheWay lets something come to stand where a file or a folder was to go, after it
	// was looked at, so that the last step of all fails.
	inTheWay := func(path string) product {
		return file{"--write", path, func(w io.Writer) error {
			if err := os.MkdirAll(filepath.Join(path, "in the way"), 0o777); err != nil {
				t.Fatal(err)
			}
			_, err := w.Write([]byte("new"))
			return err
		}}.product()
	}
	folder := product{"--sheets", "sheets", true, func(s *stage, name string) error {
		return makeFolder(s, "sheets", name, map[string][]byte{"page.md": []byte("page")})
	}}
	for turn := range 4 {
		beside(t, map[string]string{"old": "old", "older": "older"})
		if err := os.Mkdir("sheets", 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.Chmod("older", 0o640); err != nil {
			t.Fatal(err)
		}
		before, err := os.Stat("older")
		if err != nil {
			t.Fatal(err)
		}
		list := []product{folder, file{"--output", "old", all([]byte("new"))}.product(), file{"--write", "first", all([]byte("new"))}.product(), file{"--write", "older", all([]byte("newer"))}.product()}
		err = put(nil, slices.Insert(list, turn, inTheWay("late"))...)
		if exitOf(err).code != exitFailed || !strings.Contains(err.Error(), "late") || !strings.Contains(err.Error(), "no file was changed") {
			t.Errorf("at turn %d it ends with %v", turn, err)
		}
		if got := onDisk(t); !maps.Equal(got, map[string]string{"old": "old", "older": "older"}) {
			t.Errorf("at turn %d there is %v", turn, got)
		}
		if names := folderNames(t); !slices.Equal(names, []string{"late", "old", "older", "sheets"}) {
			t.Errorf("at turn %d there is %v", turn, names)
		}
		if after, err := os.Stat("older"); err != nil || after.Mode() != before.Mode() || !after.ModTime().Equal(before.ModTime()) {
			t.Errorf("at turn %d the file that was put back is %v, before %v: %v", turn, after, before, err)
		}
	}
	beside(t, map[string]string{"old": "old"})
	if err := put(nil, file{"--output", "old", all([]byte("new"))}.product(), folder); err != nil {
		t.Fatal(err)
	}
	if names := folderNames(t); !slices.Equal(names, []string{"old", "sheets"}) {
		t.Errorf("what was kept to be put back is still there: %v", names)
	}
}

// folderNames lists what is in this folder.
func folderNames(t *testing.T) (names []string) {
	t.Helper()
	list, err := os.ReadDir(".")
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range list {
		names = append(names, e.Name())
	}
	return names
}

// A file that is written anew may be read by whom it could be read by before.
func TestPermissionsStay(t *testing.T) {
	beside(t, map[string]string{"clear.toml": shed + fuse, "mine.json": ""})
	if err := os.Chmod("mine.json", 0o600); err != nil {
		t.Fatal(err)
	}
	before, err := os.Stat("mine.json")
	if err != nil {
		t.Fatal(err)
	}
	runWith(t, few(), "check", "--write", "mine.json", "clear.toml").exits(exitClear)
	if after, err := os.Stat("mine.json"); err != nil || after.Mode() != before.Mode() || after.Size() == 0 {
		t.Errorf("%v, before %v: %v", after, before, err)
	}
}

// Files are made in one place of the program, so that what holds there holds for
// every command. Elsewhere are folders of rules and sheets, and pages in a folder
// of the editor's own.
func TestOneWayOfWriting(t *testing.T) {
	making := regexp.MustCompile(`\bos\.(Create|CreateTemp|WriteFile|OpenFile|Mkdir|MkdirAll|MkdirTemp|Rename|Link|Symlink|Truncate|CopyFS|OpenRoot)\(`)
	wanted := map[string]bool{"cli/staging.go": true, "cli/sheets.go": true, "cli/newrule.go": true, "editor/sheets.go": true, "reporttest/reporttest.go": true}
	found := map[string]bool{}
	files := 0
	err := filepath.WalkDir("..", func(name string, entry os.DirEntry, err error) error {
		if err != nil || filepath.Ext(name) != ".go" || strings.HasSuffix(name, "_test.go") {
			return err
		}
		files++
		if making.MatchString(read(t, name)) {
			found[strings.TrimPrefix(filepath.ToSlash(name), "../")] = true
		}
		return nil
	})
	if err != nil || files < 200 {
		t.Fatalf("%d files read: %v", files, err)
	}
	if !maps.Equal(found, wanted) {
		t.Errorf("files are made in %v, expected %v", found, wanted)
	}
}
