package job

import (
	"io/fs"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/BurntSushi/toml"

	"plumbrule/rules"
)

// A job that uses standard sets is the one that writes their entries out.
func TestStandardSets(t *testing.T) {
	const apart = "conductor = \"10 AWG\"\nmaterial = \"copper\"\ninsulation = \"THWN-2\"\nground = \"10 AWG\"\nraceway = \"EMT\"\ntrade_size = \"3/4\"\n"
	const first, heir = "[[circuit]]\nname = \"A\"\nkind = \"branch\"\n", "[[circuit]]\nname = \"B\"\nlike = \"A\"\n"
	const wired = first + "wires = \"10 AWG copper THWN-2, 10 AWG ground, 3/4 EMT\"\n" + heir
	const wiredApart = first + apart + heir
	const wiredFull = first + apart + "[[circuit]]\nname = \"B\"\nkind = \"branch\"\n"
	const used = "[[array]]\nname = \"a\"\nplane = \"south\"\nmodule = \"M\"\nmounting = \"rail\"\n"
	for _, c := range []struct{ name, sets, full string }{
		{"a set", "standard = [\"labels NEC 2023 load side\"]\n" + patternBase,
			"[[label]]\nname = \"dual source\"\nkind = \"dual-source\"\nplace = \"service equipment\"\ndurable = true\n"},
		{"an entry adds and says otherwise", "standard = [\"labels NEC 2023 load side\"]\n" + patternBase + "[[label]]\nname = \"dual source\"\nplace = \"meter\"\nletter = \"3/8 in\"\n",
			"[[label]]\nname = \"dual source\"\nkind = \"dual-source\"\nplace = \"meter\"\nletter = \"3/8 in\"\ndurable = true\n"},
		{"an entry left out", "standard = [\"papers existing service\"]\nwithout = [\"document.load calculation\"]\n" + patternBase,
			"[[document]]\nname = \"service photographs\"\nkind = \"photos\"\nfor = \"service\"\n"},
		{"a value left out", "standard = [\"labels NEC 2023 load side\"]\n" + patternBase + "[[label]]\nname = \"dual source\"\nwithout = [\"durable\"]\n",
			"[[label]]\nname = \"dual source\"\nkind = \"dual-source\"\nplace = \"service equipment\"\n"},
		{"like an entry of a set", "standard = [\"papers existing service\"]\nwithout = [\"document.load calculation\"]\n" + patternBase + "[[document]]\nname = \"more\"\nlike = \"service photographs\"\nfor = \"roof\"\n",
			"[[document]]\nname = \"more\"\nkind = \"photos\"\nfor = \"roof\"\n[[document]]\nname = \"service photographs\"\nkind = \"photos\"\nfor = \"service\"\n"},
		{"each type in use", "standard = [\"papers of equipment\"]\nwithout = [\"document.rail attachment detail\"]\n" + patternBase + used,
			used + "[[document]]\nname = \"M data sheet\"\nkind = \"cut-sheet\"\nfor = \"M\"\n[[document]]\nname = \"T data sheet\"\nkind = \"cut-sheet\"\nfor = \"T\"\n" +
				"[[document]]\nname = \"rail manual\"\nkind = \"installation-manual\"\nfor = \"rail\"\n[[document]]\nname = \"rail listing\"\nkind = \"listing\"\nfor = \"rail\"\n"},
		{"without beside like", patternBase + "[[label]]\nname = \"L\"\nkind = \"directory\"\nplace = \"meter\"\nletter = \"3/8 in\"\n[[label]]\nname = \"M\"\nlike = \"L\"\nwithout = [\"letter\"]\nplace = \"wall\"\n",
			"[[label]]\nname = \"L\"\nkind = \"directory\"\nplace = \"meter\"\nletter = \"3/8 in\"\n[[label]]\nname = \"M\"\nkind = \"directory\"\nplace = \"wall\"\n"},
		{"without in a table", patternBase + used + "[array.attachments]\nlines = [\"1 ft\"]\nspacing = \"4 ft\"\n[[array]]\nname = \"b\"\nlike = \"a\"\nwithout = [\"attachments.spacing\", \"mounting\"]\n",
			used + "[array.attachments]\nlines = [\"1 ft\"]\nspacing = \"4 ft\"\n[[array]]\nname = \"b\"\nplane = \"south\"\nmodule = \"M\"\nattachments = { lines = [\"1 ft\"] }\n"},
		{"without what the giver does not state", patternBase + "[[label]]\nname = \"L\"\nkind = \"directory\"\n[[label]]\nname = \"M\"\nlike = \"L\"\nwithout = [\"letter\", \"durable\"]\n",
			"[[label]]\nname = \"L\"\nkind = \"directory\"\n[[label]]\nname = \"M\"\nkind = \"directory\"\n"},
		{"without a text of several keys", patternBase + wired + "without = [\"wires\"]\n", wiredFull},
		{"a text is left however its keys are said", patternBase + wiredApart + "without = [\"wires\"]\n", wiredFull},
		{"without a part of a text, and whoever is like that", patternBase + wired + "without = [\"conductor\", \"trade_size\", \"material\"]\n[[circuit]]\nname = \"C\"\nlike = \"B\"\nraceway = \"RMC\"\n",
			wiredFull + "insulation = \"THWN-2\"\nground = \"10 AWG\"\nraceway = \"EMT\"\n[[circuit]]\nname = \"C\"\nkind = \"branch\"\ninsulation = \"THWN-2\"\nground = \"10 AWG\"\nraceway = \"RMC\"\n"},
		{"without a pattern", patternBase + "[[string]]\nname = \"S\"\ncount = 2\nmodules = 4\n[[string]]\nname = \"U\"\nlike = \"S\"\nwithout = [\"count\"]\n",
			"[[string]]\nname = \"S 1\"\nmodules = 4\n[[string]]\nname = \"S 2\"\nmodules = 4\n[[string]]\nname = \"U\"\nmodules = 4\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := Parse("job.toml", []byte(c.sets), nil)
			if err != nil {
				t.Fatal(err)
			}
			same(t, got, parsePattern(t, c.full))
		})
	}
}

// What a set gives stands where the job names the set.
func TestStandardPlaces(t *testing.T) {
	j, err := Parse("job.toml", []byte("standard = [\"papers utility approval\", \"papers existing service\"]\n"+patternBase), nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range j.Documents {
		want := `"papers existing service"`
		if d.Name.Value == "utility approval" {
			want = `"papers utility approval"`
		}
		if got := d.Kind.At.Text(); got != want {
			t.Errorf("%s stands at %s", d.Name.Value, got)
		}
	}
}

func TestStandardFaults(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{`standard = ["labels NEC 2023 micronverters"]`, `did you mean "labels NEC 2023 microinverters"?`},
		{`standard = "labels NEC 2023 load side"`, "1:12: standard: found the text"},
		{`standard = [3]`, "1:13: standard: found the number 3"},
		{`standard = ["papers utility approval", "papers utility approval"]`, `1:40: standard: "papers utility approval" is given twice`},
		{`standard = ["labels NEC 2020 strings", "labels NEC 2023 converters"]`, `"labels NEC 2023 converters" has label."rapid shutdown", which another of the sets has, too`},
		{`without = ["label.directory"]`, "1:11: without: there is no standard set to leave anything out of"},
		{"standard = [\"labels NEC 2023 load side\"]\nwithout = [\"label.dual sauce\"]", `2:12: without: no standard set of the job has "label.dual sauce"`},
		{"standard = [\"labels NEC 2023 load side\"]\nwithout = [\"label.dual sauce\"]", `did you mean "label.dual source"?`},
		{"standard = [\"labels NEC 2023 load side\"]\nlabel = 3", "label: found the number 3"},
		{"[[label]]\nname = \"a\"\nwithout = [\"kind\"]", `3:12: label.a.without: there is nothing to leave out`},
		{"[[label]]\nname = \"a\"\n[[label]]\nname = \"b\"\nlike = \"a\"\nwithout = [\"knd\"]", `6:12: label.b.knd: there is no such key to leave out; did you mean "kind"?`},
		{"[[circuit]]\nname = \"a\"\nkind = \"branch\"\n[[circuit]]\nname = \"b\"\nlike = \"a\"\nwithout = [\"wirse\"]", `7:12: circuit.b.wirse: there is no such key to leave out; did you mean "wires"?`},
		{"[[circuit]]\nname = \"a\"\nkind = \"branch\"\n[[circuit]]\nname = \"b\"\nlike = \"a\"\nwithout = [\"wires\", \"like\"]", `7:21: circuit.b.like: there is no such key to leave out`},
		{"[[label]]\nname = \"a\"\nkind = \"directory\"\n[[label]]\nname = \"b\"\nlike = \"a\"\nwithout = \"kind\"", `7:11: label.b.without: found the text "kind"`},
	} {
		_, err := Parse("job.toml", []byte(c.text+"\n"+patternBase), nil)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, expected %s", c.text, err, c.want)
		} else if strings.Count(err.Error(), "\n") > 0 {
			t.Errorf("%s: more than one fault:\n%v", c.text, err)
		}
	}
}

// Edits reach into what sets give, as if it were written out.
func TestEditsOfStandardSets(t *testing.T) {
	tree, err := Read("job.toml", []byte("standard = [\"labels NEC 2020 microinverters\"]\n"+patternBase+"[[label]]\nname = \"output\"\ncurrent = \"20 A\"\n"), nil)
	if err != nil {
		t.Fatal(err)
	}
	labels := func(e Edits) map[string]Label {
		t.Helper()
		altered, err := tree.With(e)
		if err != nil {
			t.Fatal(err)
		}
		j, err := altered.Job()
		if err != nil {
			t.Fatal(err)
		}
		out := map[string]Label{}
		for _, l := range j.Labels {
			out[l.Name.Value] = l
		}
		return out
	}
	all := len(labels(Edits{}))
	if got := labels(Edits{Unset: []string{"label.directory"}}); len(got) != all-1 || got["directory"].Kind.Known {
		t.Error("an entry of a set is not taken out")
	}
	if got := labels(Edits{Unset: []string{"label.output"}}); len(got) != all-1 || got["output"].Kind.Known {
		t.Error("an entry to which the job adds is not taken out")
	}
	if got := labels(Edits{Unset: []string{"label.directory.durable"}}); len(got) != all || got["directory"].Durable.Known || !got["directory"].Kind.Known {
		t.Error("a value of a set is not taken out")
	}
	if got := labels(Edits{Unset: []string{"label.output.durable"}}); len(got) != all || got["output"].Durable.Known || !got["output"].Current.Known {
		t.Error("a value beside those of the job is not taken out")
	}
	if got := labels(Edits{Set: map[string]any{"label.directory.letter": "1/4 in", "label.output.durable": false, "label.PV disconnect.place": "wall"}}); len(got) != all ||
		!got["directory"].Letter.Known || got["output"].Durable.Value || got["PV disconnect"].Place.Value != "wall" {
		t.Error("a value of a set is not set")
	}
	if got := labels(Edits{Doubled: map[string]string{"label.directory": "another"}}); len(got) != all+1 || got["another"].Kind.Value != "directory" {
		t.Error("an entry of a set is not doubled")
	}
	if got := labels(Edits{Unset: []string{"label"}}); len(got) != 0 {
		t.Error("the list of a set is not taken out")
	}
	if got := labels(Edits{Set: map[string]any{"label": []any{map[string]any{"name": "only"}}}}); len(got) != 1 || got["only"].Kind.Known {
		t.Error("the list of a set is not replaced")
	}
	if _, err := tree.With(Edits{Unset: []string{"label.directry"}}); err == nil {
		t.Error("an entry that no set has is taken out")
	}
}

// The files of sets say what they may, once each, with a source for each entry.
func TestSetFiles(t *testing.T) {
	regular := regexp.MustCompile(`^(labels NEC 20\d\d|papers) [a-z -]+$`)
	seen := map[string]bool{}
	for _, s := range StandardSets() {
		if !regular.MatchString(s.Name) || seen[s.Name] || s.Meaning == "" || len(s.entries) == 0 {
			t.Errorf("set %q is not named like the others, is there twice or is empty", s.Name)
		}
		seen[s.Name] = true
	}
	names, err := fs.Glob(rules.FS, "sets/*/*.toml")
	if err != nil || len(names) < 10 {
		t.Fatal(names, err)
	}
	for _, name := range names {
		var f setFile
		meta, err := toml.DecodeFS(rules.FS, name, &f)
		if err != nil || len(meta.Undecoded()) > 0 {
			t.Errorf("%s: %v %v", name, err, meta.Undecoded())
		}
		for _, x := range f.Entry {
			if x.Because == "" || (len(f.Editions) == 0) != (x.Source != "") || (len(f.Editions) == 0) != (len(x.Sections) == 0) {
				t.Errorf("%s: %v has no reason or no source", name, x.Values["name"])
			}
			for edition := range x.Sections {
				if !slices.Contains(f.Editions, edition) {
					t.Errorf("%s: %v has a section of %s, and the sets are none of that", name, x.Values["name"], edition)
				}
			}
		}
	}
	for _, s := range StandardSets() {
		if _, err := Parse("job.toml", []byte("standard = [\""+s.Name+"\"]\n"+patternBase), nil); err != nil {
			t.Errorf("%s: %v", s.Name, err)
		}
	}
}
