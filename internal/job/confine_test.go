package job

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A job reads what stands in its folder or in one that is allowed, and nothing
// that a link or dots lead to besides; the error tells nothing of what is there.
func TestConfined(t *testing.T) {
	dir := t.TempDir()
	put := func(name, text string) {
		t.Helper()
		path := filepath.Join(dir, filepath.FromSlash(name))
		if err := errors.Join(os.MkdirAll(filepath.Dir(path), 0o777), os.WriteFile(path, []byte(text), 0o666)); err != nil {
			t.Fatal(err)
		}
	}
	const secret = "password = \"hunter\"\n"
	put("jobs/parts/site.toml", "[site]\nexposure = \"C\"\n")
	put("store/equipment/m.toml", "[[module_type]]\nname = \"M\"\n")
	put("secret/key.toml", secret)
	put("jobs-besides/x.toml", secret)
	put("secret/feet.csv", "password\nhunter\n")
	for link, to := range map[string]string{"jobs/link.toml": "../secret/key.toml", "jobs/folder": "../secret", "jobs/inside.toml": "parts/site.toml", "jobs/feet.csv": "../secret/feet.csv", "jobs/nothing.toml": "../secret/none.toml"} {
		if err := os.Symlink(filepath.FromSlash(to), filepath.Join(dir, filepath.FromSlash(link))); err != nil {
			t.Skip("no links can be made here")
		}
	}
	for _, c := range []struct {
		text    string
		allowed []string
		fine    bool
	}{
		{`include = ["parts/site.toml"]`, nil, true},
		{`include = ["inside.toml"]`, nil, true},
		{`include = ["parts/../parts/site.toml"]`, nil, true},
		{`include = ["../secret/key.toml"]`, nil, false},
		{`include = ["../secret/none.toml"]`, nil, false},
		{`include = ["../jobs-besides/x.toml"]`, nil, false},
		{`include = ["link.toml"]`, nil, false},
		{`include = ["nothing.toml"]`, nil, false},
		{`include = ["folder/key.toml"]`, nil, false},
		{`equipment = "folder"`, nil, false},
		{`equipment = ".."`, nil, false},
		{`equipment = "../store/equipment"`, nil, false},
		{`equipment = "../store/equipment"`, []string{"store"}, true},
		{`equipment = "../store/equipment"`, []string{"secret"}, false},
		{`as_built.file = "feet.csv"`, nil, false},
		{`as_built.file = "../secret/feet.csv"`, nil, false},
	} {
		path := filepath.Join(dir, "jobs", "job.toml")
		put("jobs/job.toml", c.text+"\nproject.name = \"x\"\n")
		var allowed []string
		for _, a := range c.allowed {
			allowed = append(allowed, filepath.Join(dir, a))
		}
		tree, err := LoadConfined(path, allowed, ReadFile)
		if err == nil {
			_, err = tree.Job()
		}
		outside := err != nil && strings.Contains(err.Error(), "leads out of the folder of the job; --allow-outside DIR")
		if outside == c.fine || err != nil && strings.Contains(err.Error(), "password") {
			t.Errorf("%s, allowed %q: %v", c.text, c.allowed, err)
		}
	}
}

// What a few lines describe is counted before it is made.
func TestWhatAJobDescribesIsBounded(t *testing.T) {
	base := "project.name = \"x\"\n[[module_type]]\nname = \"M\"\nlength = \"72 in\"\nwidth = \"40 in\"\n[[plane]]\nname = \"p\"\n"
	array := func(name, rows, feet string) string {
		return "[[array]]\nname = \"" + name + "\"\nplane = \"p\"\nmodule = \"M\"\norientation = \"portrait\"\n" + rows + "\nattachments = { " + feet + " }\n"
	}
	lines := "lines = [" + strings.Repeat("\"1 in\", ", 200) + "]"
	for _, c := range []struct{ what, text, want string }{
		{"modules of several arrays", base + array("a", "rows = 100\ncolumns = 1000", "") + array("b", "rows = 100\ncolumns = 1000", ""), "with this array the job has 200000 modules"},
		{"feet by spacing", base + array("a", "rows = 100\ncolumns = 100", lines+", spacing = \"1 in\""), "with the feet of array \"a\" the job has 800200"},
		{"feet by number", base + array("a", "rows = 100\ncolumns = 100", lines+", per_line = 5000"), "with the feet of array \"a\" the job has 1000000"},
		{"corners", base + "outline = [" + strings.Repeat("[\"1 ft\", \"2 ft\"], ", 5000) + "]\n", "the outline has 5000 corners"},
		{"a long name", strings.Replace(base, "\"x\"", "\""+strings.Repeat("x", 20000)+"\"", 1), "the name has 20000 characters, at most 200 are read"},
		{"strings on an input", base + "[[inverter]]\nname = \"i\"\n" + strings.Repeat("[[string]]\ninverter = \"i\"\n", 300), "more than 250 strings come to one input"},
		{"keys", base + "[site]\n" + strings.Repeat("x = [1, 2, 3, 4, 5, 6, 7, 8, 9]\n", 30000), "the file has more than 200000 keys and values"},
	} {
		if _, err := Parse("job.toml", []byte(c.text), nil); err == nil || !strings.Contains(err.Error(), c.want) || !strings.HasPrefix(err.Error(), "job.toml:") {
			t.Errorf("%s: %.300v, want %q", c.what, err, c.want)
		}
	}
	whole := base
	for _, n := range []string{"a", "b", "c", "d"} { // 100,000 modules with their feet
		whole += array(n, "rows = 25\ncolumns = 1000", "lines = ["+strings.Repeat("\"1 in\", ", 50)+"], spacing = \"48 in\"")
	}
	if _, err := Parse("job.toml", []byte(whole), nil); err != nil {
		t.Errorf("a large job: %.300v", err)
	}
}
