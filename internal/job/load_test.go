package job

import (
	"errors"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"plumbrule/internal/source"
)

const malformed = "../../testdata/malformed"

// TestMalformedJobs holds every malformed job to its golden text.
// go test ./internal/job -update rewrites the texts; read the difference.
func TestMalformedJobs(t *testing.T) {
	t.Chdir(malformed)
	files, err := filepath.Glob("job-*.toml")
	if err != nil || len(files) == 0 {
		t.Fatalf("no malformed jobs: %v", err)
	}
	for _, file := range files {
		t.Run(strings.TrimSuffix(file, ".toml"), func(t *testing.T) {
			job, err := Load(file)
			if err == nil || job != nil {
				t.Fatalf("want faults and no job, got %v and %v", err, job)
			}
			golden(t, strings.TrimSuffix(file, ".toml")+".txt", err.Error()+"\n")
		})
	}
}

func golden(t *testing.T, file, got string) {
	t.Helper()
	if *update {
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("%s:\n got:\n%s\nwant:\n%s", file, got, want)
	}
}

// TestFaultsHavePlaces checks what every fault of a malformed job must have.
func TestFaultsHavePlaces(t *testing.T) {
	t.Chdir(malformed)
	files, err := filepath.Glob("job-*.toml")
	if err != nil {
		t.Fatal(err)
	}
	for _, file := range files {
		_, err := Load(file)
		var faults source.Faults
		if !errors.As(err, &faults) || len(faults) == 0 {
			t.Errorf("%s: the error is %T, want source.Faults", file, err)
		}
		for _, f := range faults {
			if p := f.At.Position(); p.Line < 1 || p.Column < 1 || f.Message == "" {
				t.Errorf("%s: %+v has no place or no message", file, f)
			}
			if _, ok := SplitKey(f.Path); f.Path != "" && !ok {
				t.Errorf("%s: %q is no key", file, f.Path)
			}
			if key, _, named := strings.Cut(f.Message, ": "); named && strings.Contains(key, ".") && f.Path == "" {
				t.Errorf("%s: %v names a key and has no path", file, f)
			}
			for _, further := range f.Also {
				if p := further.At.Position(); p.Line < 1 || p.Column < 1 || further.Note == "" {
					t.Errorf("%s: %+v has a further place without a line or a note", file, f)
				}
			}
		}
	}
}

func parseOnly(t *testing.T, text string) error {
	t.Helper()
	_, err := Parse("job.toml", []byte(text), func(string) ([]byte, error) { return nil, os.ErrNotExist })
	return err
}

// TestHostileJobs checks inputs that are made here because of their size.
func TestHostileJobs(t *testing.T) {
	tests := []struct{ name, text, want string }{
		{"20 MB", "# " + strings.Repeat("x", 20<<20), "job.toml:1:1: the file has 20971522 bytes; at most 8 MiB are read"},
		{"lists in lists", "x = " + strings.Repeat("[", 5000) + strings.Repeat("]", 5000), "nested too deeply"},
		{"unclosed lists", "x = " + strings.Repeat("[", 1<<20), "not TOML"},
		{"tables in tables", "x = " + strings.Repeat("{a = ", 5000) + "1" + strings.Repeat("}", 5000), "nested too deeply"},
		{"dotted keys", strings.Repeat("a.", 5000) + "a = 1", "nested too deeply"},
		{"dotted header", "[" + strings.Repeat("a.", 5000) + "a]\n", "nested too deeply"},
		{"long key", strings.Repeat("k", 1<<20) + " = 1", "unknown key"},
		{"long text", "[project]\nname = \"x\"\n[site]\nrecord_low = \"" + strings.Repeat("9", 1<<20) + "\"", "at most 4000 are read"},
		{"many keys", strings.Repeat("[[label]]\n", 100_000), "label: the list has 100000 entries, at most 10000 are read"},
		{"huge array", "[project]\nname = \"x\"\n[[plane]]\nname = \"p\"\n[[array]]\nname = \"a\"\nplane = \"p\"\nrows = 1000\ncolumns = 1000", "at most 150000 modules"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			err := parseOnly(t, test.text)
			if err == nil || !strings.Contains(err.Error(), test.want) {
				t.Errorf("got %.300v, want %q", err, test.want)
			}
			if err != nil && len(err.Error()) > 4000 {
				t.Errorf("the message has %d bytes", len(err.Error()))
			}
		})
	}
}

func TestUnreadableJobs(t *testing.T) {
	folder := t.TempDir()
	large := filepath.Join(folder, "large.toml")
	if err := os.WriteFile(large, make([]byte, 20<<20), 0o644); err != nil {
		t.Fatal(err)
	}
	tests := []struct{ path, want string }{
		{folder, folder + ": it is a folder, not a file"},
		{filepath.Join(folder, "none.toml"), filepath.Join(folder, "none.toml") + ": there is no such file"},
		{large, large + ":1:1: the file has 8388609 bytes; at most 8 MiB are read"},
	}
	for _, test := range tests {
		_, err := Load(test.path)
		if err == nil || err.Error() != test.want {
			t.Errorf("Load(%s) = %v, want %s", test.path, err, test.want)
		}
	}
}

// TestIncludesAreBounded checks a chain of includes without end.
func TestIncludesAreBounded(t *testing.T) {
	endless := func(path string) ([]byte, error) {
		return []byte(`include = ["x` + filepath.Base(path) + `"]`), nil
	}
	_, err := Parse("a.toml", []byte(`include = ["b.toml"]`), endless)
	if err == nil || !strings.Contains(err.Error(), "more than 8 includes") {
		t.Errorf("got %v", err)
	}
	var wide strings.Builder
	wide.WriteString("include = [")
	for i := range 100 {
		wide.WriteString(`"` + strings.Repeat("b", i+1) + `.toml", `)
	}
	wide.WriteString("]\n[project]\nname = \"wide\"\n")
	_, err = Parse("a.toml", []byte(wide.String()), func(string) ([]byte, error) { return nil, nil })
	if err == nil || !strings.Contains(err.Error(), "more than 32 files") {
		t.Errorf("got %v", err)
	}
}

// TestFilesOfEditors reads a job as editors and spreadsheet programs of other
// systems save it: byte order marks, line breaks of two characters, semicolons.
// Values and places are those of the same job saved plainly.
func TestFilesOfEditors(t *testing.T) {
	t.Chdir("../../testdata/editors")
	j := load(t, "windows.toml")
	if j.Project.Name.Value != "4\u00b0 \U0001F527 roof" || j.Project.Scope.Value != "first line\r\nsecond line" {
		t.Errorf("the texts are %q and %q", j.Project.Name.Value, j.Project.Scope.Value)
	}
	at := func(what string, span source.Span, place, text string) {
		t.Helper()
		if got := filepath.ToSlash(span.Position().String()); got != place || span.Text() != text {
			t.Errorf("%s stands at %s (%q), want %s (%q)", what, got, span.Text(), place, text)
		}
	}
	at("the name", j.Project.Name.At, "windows.toml:6:8", "\"4\u00b0 \U0001F527 roof\"")
	at("the plane", j.Planes[0].At, "windows.toml:12:1", "[[plane]]")
	at("the rows", j.Arrays[0].Rows.At, "windows.toml:24:8", "2")
	module := &j.ModuleTypes[0]
	at("the voltage", module.Voc.At, "parts/equipment.toml:3:7", `"49.5 V"`)
	if module.Voc.Value.SI != 49.5 || len(j.Planes[0].Outline.Value) != 3 {
		t.Errorf("the module is %+v, the plane %+v", module.Voc, j.Planes[0].Outline)
	}

	west, east := &j.Arrays[0].Attachments, &j.Arrays[1].Attachments
	if want := []Point{{0.5, 0.25}, {1.5, 0.25}}; !reflect.DeepEqual(west.Points.Value, want) {
		t.Errorf("the feet stand at %v, want %v", west.Points.Value, want)
	}
	if want := []string{"foot; the first", "2"}; !reflect.DeepEqual(west.PointNames.Value, want) {
		t.Errorf("the feet are named %q, want %q", west.PointNames.Value, want)
	}
	at("the second foot", west.PointPlaces[1], "feet-semicolon.csv:3:1", "")
	at("the first foot after a byte order mark", east.PointPlaces[0], "feet-mark.csv:2:1", "")
	if got := east.Points.Value; len(got) != 1 || got[0].X != 12*inch || got[0].Y != 10*inch {
		t.Errorf("the foot stands at %v", got)
	}
	points := j.AsBuilt.Points
	if len(points) != 2 || points[0].X != 1.5 || points[0].Y != 0.25 || points[0].Height != 0.004 || points[1].HeightKnown {
		t.Errorf("the survey has %+v", points)
	}
	at("the second surveyed point", points[1].At, "survey-semicolon.csv:4:6", "")
}

// TestNamesOfFiles checks that a name in a job means the same on every system.
func TestNamesOfFiles(t *testing.T) {
	from := source.NewFile("jobs/job.toml", nil)
	for name, want := range map[string]string{
		"a.toml": "jobs/a.toml", "parts/a.toml": "jobs/parts/a.toml", "./a.TOML": "jobs/a.TOML",
		`parts\a.toml`: "", `\a.toml`: "", "C:/a.toml": "", "C:a.toml": "", "/a.toml": "", "": "", "a.csv": "", "a\x00.toml": "",
	} {
		got, problem := beside(from, name, ".toml")
		if filepath.ToSlash(got) != want || (problem == "") != (want != "") {
			t.Errorf("%q is %q (%s), want %q", name, got, problem, want)
		}
	}
}

// A part of jobs has the faults that no other file can mend.
func TestPartFaults(t *testing.T) {
	for text, want := range map[string]string{
		"[[module_type]]\nname = \"M\"\nwidth = \"40 in\"\n":                             "",
		"[[string]]\nname = \"S1\"\narray = \"elsewhere\"\nmodules = 3\n":                "",
		"[[array]]\nlike = \"elsewhere\"\nname = \"a\"\nplane = \"p\"\nmodule = \"M\"\n": "",
		"[[module_type]]\nname = \"M\"\nwidht = \"40 in\"\nvoc = \"3 ft\"\n":             "part.toml:3:1: unknown key \"widht\" in module_type.M; did you mean \"width\"?\npart.toml:4:7: ",
		"[project]\nowner = \"o\"\n":                                                     "part.toml:1:1: project.name is missing",
	} {
		tree, err := Read("part.toml", []byte(text), nil)
		if err != nil {
			t.Fatal(err)
		}
		got := tree.PartFaults().Error()
		if want == "" && got != "" || !strings.HasPrefix(got, want) {
			t.Errorf("%s\ngives\n%s\nand not\n%s", text, got, want)
		}
	}
}
