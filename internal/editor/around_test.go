package editor

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

func TestFoldingFoldsTablesListsAndComments(t *testing.T) {
	w, d := desk(t, "/job.toml", "# one\n# two\n\n[site]\nwind_speed = \"105 mph\"  # said\n# not folded\n\nrecord_low = \"0 degF\"\n\n[[plane]]\nname = \"a\"\r\noutline = [\n  [\"0 ft\", \"0 ft\"],\n  [\"1 ft\"\n")
	got, err := folding(w, d, InDocument{})
	want := []FoldingRange{{3, 7, ""}, {9, 13, ""}, {11, 13, ""}, {0, 1, FoldComment}}
	if err != nil || !slices.Equal(got, want) {
		t.Errorf("%v, %v, expected %v", got, err, want)
	}
	path, text := demo(t, "house")
	w, d = desk(t, path, text)
	if got, err := folding(w, d, InDocument{}); err != nil || len(got) < 20 {
		t.Errorf("%d folds of a whole job, %v", len(got), err)
	}
}

func TestHighlightsOfAName(t *testing.T) {
	w, d := desk(t, "/job.toml", "[[plane]]\nname = \"a\"\n[[array]]\nname = \"a\"\nplane = \"a\"\n")
	got, err := highlights(w, d, find(t, d, "plane = \"a\"", 9))
	if err != nil || len(got) != 2 || got[0].Kind != HighlightWrite || got[0].Range.Start.Line != 1 || got[1].Kind != HighlightRead || got[1].Range.Start.Line != 4 {
		t.Errorf("%v, %v", got, err)
	}
	if got, err := highlights(w, d, find(t, d, "[[plane]]", 3)); err != nil || got == nil || len(got) != 0 {
		t.Errorf("of a header: %v, %v", got, err)
	}
}

// Standard sets are offered with their meaning, once each, and tell what they give;
// like tells what an entry takes.
func TestStandardSetsAndLike(t *testing.T) {
	const text = `standard = ["labels NEC 2020 strings", ""]
[[string]]
name = "S1"
modules = 12
input = 1
array = "west"
[[string]]
name = "S2"
like = "S1"
without = ["array"]
input = 2
`
	w, d := desk(t, "/job.toml", text)
	list, err := complete(w, d, find(t, d, `""]`, 1))
	if err != nil || len(list.Items) < 3 {
		t.Fatal(list, err)
	}
	for _, item := range list.Items {
		if item.Label == "labels NEC 2020 strings" || item.Detail == "" {
			t.Errorf("%+v", item)
		}
	}
	h, err := hover(w, d, find(t, d, "NEC 2020", 1))
	if err != nil || h == nil || !strings.Contains(h.Contents.Value, "Gives:") || !strings.Contains(h.Contents.Value, "- `label.directory`") {
		t.Errorf("%v, %v", h, err)
	}
	h, err = hover(w, d, find(t, d, `like = "S1"`, 9))
	if err != nil || h == nil || !strings.Contains(h.Contents.Value, "Takes:\n\n- `modules = 12`") {
		t.Errorf("%v, %v", h, err)
	}
}

// A folder of equipment is offered, and the names of what its files hold.
func TestFolderOfEquipment(t *testing.T) {
	dir := t.TempDir()
	stock := filepath.Join(dir, "stock", "inner")
	if err := os.MkdirAll(stock, 0o777); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "stock", "modules.toml"), []byte("[[module_type]]\nname = \"M410 °\"\n[[module_type]]\nname = \"M500\"\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	path := filepath.ToSlash(filepath.Join(dir, "job.toml"))
	labels := func(text, at string, into int) []string {
		t.Helper()
		w, d := desk(t, path, text)
		list, err := complete(w, d, find(t, d, at, into))
		if err != nil {
			t.Fatal(err)
		}
		var out []string
		for _, item := range list.Items {
			out = append(out, item.Label)
		}
		return out
	}
	if got := labels("equipment = \"\"\n", `""`, 1); !slices.Equal(got, []string{"stock"}) {
		t.Errorf("folders: %q", got)
	}
	if got := labels("equipment = \"stock/\"\n", `/"`, 1); !slices.Equal(got, []string{"stock/inner"}) {
		t.Errorf("folders inside: %q", got)
	}
	if got := labels("equipment = \"stock\"\n[[array]]\nname = \"a\"\nmodule = \"\"\n", `""`, 1); !slices.Equal(got, []string{"M410 °", "M500"}) {
		t.Errorf("modules: %q", got)
	}
	if got := labels("equipment = \"stock\"\n[[array]]\nname = \"a\"\nmodule = \"M500\"\n", `M500`, 1); !slices.Equal(got, []string{"M410 °", "M500"}) {
		t.Errorf("modules, one of them in use: %q", got)
	}
}

// The places of comments say so: their number, and what comes of them.
func TestHoverTellsTheComment(t *testing.T) {
	path, text := demo(t, "barn-faulty")
	w, d := desk(t, path, text)
	for _, c := range d.Review.Comments() {
		at := c.Worst().At
		if c.Check == nil || at.File == nil || at.File.Name != path || c.Number > 10 {
			continue
		}
		h, err := hover(w, d, AtPosition{}.to(d, at.Start+1))
		if err != nil {
			t.Fatal(err)
		}
		if h != nil && strings.Contains(h.Contents.Value, fmt.Sprintf("**Comment %d** ", c.Number)) {
			return
		}
	}
	t.Error("no place of the first comments tells of them")
}
