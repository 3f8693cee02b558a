package editor

import (
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"plumbrule/internal/codebook"
	"plumbrule/internal/format"
	"plumbrule/internal/job"
	"plumbrule/internal/reporttest"
	"plumbrule/internal/review"
	"plumbrule/internal/source"
)

// desk opens a text as the job of a path and reviews it, where it can be read.
func desk(t testing.TB, path, text string) (*Workspace, *Document) {
	t.Helper()
	var client ClientCapabilities
	client.TextDocument.CodeAction.Literal = &struct{}{}
	client.TextDocument.DocumentSymbol.Hierarchical = true
	w := newWorkspace(client)
	w.Book, w.Tables = reporttest.OwnRules(t), reporttest.OwnTables(t)
	d := NewDocument("file://"+path, path, 1, []byte(text))
	w.documents[path] = d
	reviewed(w, d)
	return w, d
}

func reviewed(w *Workspace, d *Document) {
	j, err := job.Parse(d.Path, d.File.Text, w.Read)
	if err != nil {
		return
	}
	if r, err := review.Run(j, w.Book, w.Tables, review.Options{}); err == nil {
		d.Job, d.Review = j, r
	}
}

// demo is the text of a job of the project and its path.
func demo(t testing.TB, name string) (path, text string) {
	t.Helper()
	path, err := filepath.Abs("../../testdata/jobs/" + name + ".toml")
	if err != nil {
		t.Fatal(err)
	}
	read, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return filepath.ToSlash(path), string(read)
}

// find is the position a number of bytes into the first place of a text.
func find(t testing.TB, d *Document, text string, into int) AtPosition {
	t.Helper()
	i := strings.Index(string(d.File.Text), text)
	if i < 0 {
		t.Fatalf("%q is not in the text", text)
	}
	return AtPosition{Position: d.Range(d.File.All()).Start}.to(d, i+into)
}

func (p AtPosition) to(d *Document, offset int) AtPosition {
	at := d.File.All()
	at.Start, at.End = offset, offset
	p.Position = d.Range(at).Start
	return p
}

// applied makes edits of one text.
func applied(t testing.TB, d *Document, edits []TextEdit) string {
	t.Helper()
	edits = slices.Clone(edits)
	slices.SortFunc(edits, func(a, b TextEdit) int { return d.Offset(b.Range.Start) - d.Offset(a.Range.Start) })
	text, last := string(d.File.Text), len(d.File.Text)
	for _, e := range edits {
		from, to := d.Offset(e.Range.Start), d.Offset(e.Range.End)
		if to > last || from > to {
			t.Fatalf("edits overlap at %v", e.Range)
		}
		last = from
		text = text[:from] + e.NewText + text[to:]
	}
	return text
}

// offered completes at the mark of a text that is put at the end of a job, and
// gives what is offered, best first, and the place.
func offered(t *testing.T, w *Workspace, d *Document, more string) (next *Document, items []CompletionItem, at int) {
	t.Helper()
	whole, at := marked(t, string(d.File.Text)+more)
	next = NewDocument(d.URI, d.Path, 2, []byte(whole))
	next.Job, next.Review, next.Old = d.Job, d.Review, true
	list, err := complete(w, next, AtPosition{}.to(next, at))
	if err != nil {
		t.Fatal(err)
	}
	slices.SortStableFunc(list.Items, func(a, b CompletionItem) int { return strings.Compare(a.SortText, b.SortText) })
	return next, list.Items, at
}

func TestCompletionOffersWhatMayStandThere(t *testing.T) {
	path, text := demo(t, "barn-faulty")
	w, job := desk(t, path, text)
	for _, test := range []struct {
		more     string
		label    string // of the item that is taken
		want     string // what the last lines become
		snippets bool
	}{
		{more: "\n[pl|", label: "[[plane]]", want: "[[plane]]"},
		{more: "\n[[pl|]]", label: "[[plane]]", want: "[[plane]]"},
		{more: "\n[[array]]\nname = \"new\"\n[array.|", label: "[array.attachments]", want: "[array.attachments]"},
		{more: "\n[[array]]\nna|", label: "name", want: "name = "},
		{more: "\n[[array]]\nna|", label: "name", want: `name = "$1"$0`, snippets: true},
		{more: "\n[[array]]\nname = \"n\"\nrows|   = 2", label: "rows", want: "rows   = 2"},
		{more: "\n[[array]]\nname        = \"n\"\n|", label: "plane", want: "plane       = "},
		{more: "\n[[array]]\nname = \"n\"\nattachments.sp|", label: "spacing", want: "attachments.spacing = "},
		{more: "\n[[array]]\nname = \"n\"\n|", label: "like", want: "like = "},
		{more: "\n[[array]]\nname = \"n\"\nplane = |", label: "south", want: `plane = "south"`},
		{more: "\n[[array]]\nname = \"n\"\nplane = \"|", label: "south", want: `plane = "south"`},
		{more: "\n[[array]]\nname = \"n\"\nplane = \"so|\"  # °🏠", label: "south", want: `plane = "south"  # °🏠`},
		{more: "\n[[array]]\nname = \"°🏠\" \nlike = 'w|'", label: "west", want: `like = "west"`},
		{more: "\n[[string]]\nname = \"n\"\nother_arrays = [\"4 x |\"]", label: "4 x west", want: `other_arrays = ["4 x west"]`},
		{more: "\n[[circuit]]\nname = \"n\"\nstrings = |", label: "S1", want: `strings = ["S1"]`},
		{more: "\n[[circuit]]\nname = \"n\"\nstrings = [\"S1\", |]", label: "S2", want: `strings = ["S1", "S2"]`},
		{more: "\n[[circuit]]\nname = \"n\"\nto = \"|\"", label: "service", want: `to = "service"`},
		{more: "\n[[circuit]]\nname = \"n\"\nlength = \"12|\"", label: "12 ft", want: `length = "12 ft"`},
		{more: "\n[[circuit]]\nname = \"n\"\nlength = 12|", label: "12 m", want: `length = "12 m"`},
		{more: "\n[[plane]]\nslope = \"4|\"", label: "4:12", want: `slope = "4:12"`},
		{more: "\n[[circuit]]\nname = \"n\"\non_roof = |", label: "true", want: "on_roof = true"},
		{more: "\n[[circuit]]\nname = \"n\"\nconductor = \"|\"", label: "10 AWG", want: `conductor = "10 AWG"`},
		{more: "\n[[plane]]\ncovering = { kind = \"|\" }", label: "trapezoidal", want: `covering = { kind = "trapezoidal" }`},
		{more: "\n[[plane]]\ncovering = { kind = \"flat\", | }", label: "slippery", want: "covering = { kind = \"flat\", slippery =  }"},
		{more: "\n[[deviation]]\ncheck = \"fire/ridge|\"", label: "fire/ridge-strip", want: `check = "fire/ridge-strip"`},
	} {
		w.Client.TextDocument.Completion.CompletionItem.SnippetSupport = test.snippets
		d, items, at := offered(t, w, job, test.more)
		i := slices.IndexFunc(items, func(item CompletionItem) bool { return item.Label == test.label })
		if i < 0 {
			t.Errorf("%q: %q is not offered, of %d", test.more, test.label, len(items))
			continue
		}
		edited := applied(t, d, []TextEdit{*items[i].TextEdit})
		if got := edited[strings.LastIndexByte(edited, '\n')+1:]; got != test.want {
			t.Errorf("%q: becomes %q, not %q", test.more, got, test.want)
		}
		if typed := string(d.File.Text[d.Offset(items[i].TextEdit.Range.Start):at]); !strings.HasPrefix(items[i].FilterText, typed) {
			t.Errorf("%q: a client that has %q would drop %q", test.more, typed, items[i].FilterText)
		}
	}
}

func TestCompletionLeavesOutWhatIsThere(t *testing.T) {
	path, text := demo(t, "barn-faulty")
	w, job := desk(t, path, text)
	for _, test := range []struct{ more, not string }{
		{"\n[|", "[site]"},
		{"\n[[array]]\nname = \"n\"\nna|", "name"},
		{"\n[[array]]\nname = \"n\"\nlike = \"|\"", "n"},
		{"\n[[circuit]]\nstrings = [\"S1\", |]", "S1"},
		{"\n# [pl|", "[[plane]]"},
		{"\n[[array]]\nrows = 2 |", "name"},
		{"\n[[array]]\nsize = |", "10 AWG"},
		{"\n[[nothing]]\n|", "name"},
	} {
		_, items, _ := offered(t, w, job, test.more)
		if slices.ContainsFunc(items, func(item CompletionItem) bool { return item.Label == test.not }) {
			t.Errorf("%q: %q is offered", test.more, test.not)
		}
	}
}

func TestCompletionOffersFirstWhatIsMissing(t *testing.T) {
	path, text := demo(t, "barn-faulty")
	text = strings.Replace(text, "record_low          = \"-14 degF\"\n", "", 1)
	w, d := desk(t, path, text)
	list, err := complete(w, d, find(t, d, "[site]\n", len("[site]\n")))
	if err != nil || d.Review == nil {
		t.Fatal(err, d.Review)
	}
	first := slices.MinFunc(list.Items, func(a, b CompletionItem) int { return strings.Compare(a.SortText, b.SortText) })
	if first.Label != "record_low" || !strings.HasPrefix(first.Detail, "missing: ") {
		t.Errorf("the first is %q: %q", first.Label, first.Detail)
	}
}

func TestHoverTells(t *testing.T) {
	path, text := demo(t, "barn-faulty")
	w, d := desk(t, path, text)
	for _, test := range []struct {
		at   string
		into int
		want []string
	}{
		{`record_low          = "-14`, 2, []string{"`site.record_low`", "temperature", "-14 degF = -25.6 degC", "Found: ", "Checks that read it: ", "not met", "and "}},
		{`"-14 degF"`, 3, []string{"-14 degF = -25.6 degC"}},
		{"[[array]]", 3, []string{"array", "Checks of it: ", "not met"}},
		{`plane       = "south"`, 16, []string{"Names the plane `south`", "barn-faulty.toml:"}},
		{`kind       = "trapezoidal"`, 16, []string{"one of ", "trapezoidal"}},
	} {
		h, err := hover(w, d, find(t, d, test.at, test.into))
		if err != nil || h == nil {
			t.Errorf("%q: %v, %v", test.at, h, err)
			continue
		}
		for _, want := range test.want {
			if !strings.Contains(strings.ReplaceAll(h.Contents.Value, `\`, ""), want) {
				t.Errorf("%q: %q is not in\n%s", test.at, want, h.Contents.Value)
			}
		}
	}
	for _, nothing := range []string{"# The feed barn", "\n\n[site]"} {
		if h, err := hover(w, d, find(t, d, nothing, 1)); h != nil || err != nil {
			t.Errorf("%q: %v, %v", nothing, h, err)
		}
	}
}

// Over a key and over an entry the chain behind the worst outcome is told, down to
// the keys of the job with their lines, and bounded in lines.
func TestHoverTellsTheChain(t *testing.T) {
	path, text := demo(t, "barn-faulty")
	w, d := desk(t, path, text)
	for _, test := range []struct {
		at   string
		into int
		want []string
	}{
		{`record_low          = "-14`, 2, []string{"How `electrical/string-voltage-inverter` for string S1 came about, 635.87 V at most 600 V: NOT met:",
			"- string S1 maximum_voltage = 635.87 V; ", "  - ", "module_type.M410.voc = \"37.3 V\", ", "other outcomes rest on this key, outstanding in comment 8."}},
		{"[[string]]", 3, []string{"How `electrical/", "string.S1.modules = 15, ", "barn-faulty.toml:"}},
		{`maximum_input_voltage = "600 V"`, 2, []string{"inverter_type.S11.maximum_input_voltage = \"600 V\", "}},
	} {
		h, err := hover(w, d, find(t, d, test.at, test.into))
		if err != nil || h == nil {
			t.Errorf("%q: %v, %v", test.at, h, err)
			continue
		}
		told := strings.ReplaceAll(h.Contents.Value, `\`, "")
		for _, want := range test.want {
			if !strings.Contains(told, want) {
				t.Errorf("%q: %q is not in\n%s", test.at, want, told)
			}
		}
		_, chain, _ := strings.Cut(told, "How `")
		chain, _, _ = strings.Cut(chain, "\n\nC")
		if n := strings.Count(chain, "\n"); n > mostChain+4 {
			t.Errorf("%q: the chain has %d lines", test.at, n)
		}
	}
}

func TestHoverTellsHowALeftOutValueComesAbout(t *testing.T) {
	path, text := demo(t, "barn-faulty")
	text = strings.Replace(text, "snow_exposure_factor = 1.0\n", "", 1) + "\n[site]\nsnow_exposure_factor"
	w, d := desk(t, path, strings.TrimSuffix(text, "\n[site]\nsnow_exposure_factor"))
	typed := strings.Replace(string(d.File.Text), "[site]\n", "[site]\nsnow_exposure_factor\n", 1)
	next := NewDocument(d.URI, path, 2, []byte(typed))
	next.Job, next.Review, next.Old = d.Job, d.Review, true
	h, err := hover(w, next, find(t, next, "snow_exposure_factor", 1))
	if err != nil || h == nil || !strings.Contains(h.Contents.Value, "assumed: ") || !strings.Contains(h.Contents.Value, "of an earlier text") {
		t.Errorf("%v, %v", h, err)
	}
}

func TestDefinitionAndReferencesGoThroughIncludes(t *testing.T) {
	path, text := demo(t, "house")
	w, d := desk(t, path, text)
	if d.Review == nil || len(d.Job.Files) < 2 {
		t.Fatal("the house includes a file")
	}
	equipment := d.Job.Files[1]
	i := strings.Index(string(equipment.Text), "[[module_type]]")
	name := newOutline(equipment).root.get("module_type").entries[0].name()
	if i < 0 || name == "" {
		t.Fatal("no module type in the included file")
	}
	at := find(t, d, job.Quote(name), 2)
	list, err := definition(w, d, at)
	if err != nil || len(list) != 1 || list[0].URI != uriOf(equipment.Name) {
		t.Fatalf("%v, %v", list, err)
	}
	if got := equipment.Line(list[0].Range.Start.Line + 1); !strings.Contains(got, job.Quote(name)) {
		t.Errorf("the name is on %q", got)
	}
	var p ReferenceParams
	p.AtPosition = at
	without, err := references(w, d, p)
	if err != nil || len(without) == 0 {
		t.Fatal(without, err)
	}
	p.Context.IncludeDeclaration = true
	with, err := references(w, d, p)
	if err != nil || len(with) != len(without)+1 {
		t.Errorf("%d with and %d without the declaration, %v", len(with), len(without), err)
	}
	list, err = definition(w, d, find(t, d, `"equipment.toml"`, 3))
	if err != nil || len(list) != 1 || !strings.HasSuffix(list[0].URI, "/equipment.toml") {
		t.Errorf("the include: %v, %v", list, err)
	}
}

// Things by other names are the same things: the review says the same of them,
// up to the names.
func TestRenameChangesNothingButTheName(t *testing.T) {
	for _, jobName := range []string{"house-faulty", "barn"} {
		path, text := demo(t, jobName)
		w, d := desk(t, path, text)
		if d.Review == nil {
			t.Fatalf("%s has no review", jobName)
		}
		before, kinds := saidOf(d.Review), 0
		for _, f := range job.Model().Fields {
			list := newOutline(d.File).listOf(f.Key)
			if list == nil || !f.Table.Named() {
				continue
			}
			var edit *WorkspaceEdit
			var err error
			for _, e := range list.entries {
				_, v := e.text("name")
				edit, err = rename(w, d, RenameParams{AtPosition{}.to(d, v.at.Start+1), `Zz "top" °🏠 ` + f.Key})
				if err == nil || !strings.Contains(err.Error(), "standard set") {
					break
				}
			}
			switch {
			case err != nil && strings.Contains(err.Error(), "standard set"):
				continue // each of them adds to an entry of a set
			case err != nil:
				t.Errorf("%s: %s %q: %v", jobName, f.Key, list.entries[0].name(), err)
				continue
			}
			kinds++
			for uri, edits := range edit.Changes {
				file := pathOf(uri)
				was := w.At(file)
				if was == nil {
					read, err := os.ReadFile(file)
					if err != nil {
						t.Fatal(err)
					}
					was = NewDocument(uri, file, 1, read)
				}
				next := NewDocument(uri, file, 2, []byte(applied(t, was, edits)))
				next.Job, next.Review = was.Job, was.Review
				w.documents[file] = next
			}
			d = w.documents[path]
		}
		if kinds < 8 {
			t.Errorf("%s: only %d kinds were renamed", jobName, kinds)
		}
		reviewed(w, d)
		after := saidOf(d.Review)
		if len(after) != len(before) {
			t.Errorf("%s: %d outcomes, %d before", jobName, len(after), len(before))
			continue
		}
		for i := range after {
			if after[i] != before[i] {
				t.Errorf("%s: %q, before %q", jobName, after[i], before[i])
				break
			}
		}
	}
}

// An entry that adds to one of a standard set by its name keeps that name.
func TestRenameKeepsToStandardSets(t *testing.T) {
	w, d := desk(t, "/job.toml", `standard = ["labels NEC 2020 strings"]
project.name = "x"
adoption.nec = "2020"
[[label]]
name = "DC voltage"
voltage = "509 V"
[[label]]
name = "extra"
`)
	if d.Job == nil {
		t.Fatal("the job cannot be read")
	}
	for _, test := range []struct{ from, to string }{{`"DC voltage"`, "other"}, {`"extra"`, "rapid shutdown switch"}} {
		edit, err := rename(w, d, RenameParams{find(t, d, test.from, 1), test.to})
		if err == nil {
			t.Fatalf("%s: %v", test.from, edit)
		}
		if !strings.Contains(err.Error(), "standard set") {
			t.Errorf("%s: %v", test.from, err)
		}
	}
	if _, err := rename(w, d, RenameParams{find(t, d, `"extra"`, 1), "another"}); err != nil {
		t.Error(err)
	}
}

// saidOf is what a review says but for names.
func saidOf(r *review.Review) []string {
	var out []string
	for i := range r.Outcomes {
		o := &r.Outcomes[i]
		text := fmt.Sprint(o.Check.ID, " ", o.Result, " ", o.Excused != nil, " ", o.At.Position().Line)
		if o.Measure != nil && o.Measure.IsNum {
			text += " " + o.Measure.Text
		}
		out = append(out, text)
	}
	return out
}

func TestRenameRefuses(t *testing.T) {
	const small = `[[plane]]
name = "south"
[[plane]]
name = "north"
[[string]]
name = "S"
count = 2
[[string]]
name = "T"
[[circuit]]
name = "C"
from = "S 1"
strings = ["S"]
[[panel]]
name = "P"
supply = "service"
[[deviation]]
check = "fire/ridge-strip"
subject = "south east"
reason = "r"
by = "b"
date = 2026-03-02
reference = "l"
[project]
name = "small"
`
	w, d := desk(t, "/job.toml", small)
	for _, test := range []struct{ at, name, want string }{
		{`"south"`, "north", `plane "north" is there already: /job.toml:4:8`},
		{`"north"`, " ", "a name is expected"},
		{`"north"`, " x", "begins or ends with space"},
		{`"south"`, "x", "it cannot be told whether the deviation"},
		{`"S 1"`, "x", `one of the strings that count makes of "S"`},
		{`"T"`, "S 2", `string "S" is there already`},
		{`"P"`, "service", "could mean either"},
		{`"fire/ridge-strip"`, "x", "no thing of the job is named here"},
		{`[[plane]]`, "x", "no thing of the job is named here"},
	} {
		_, err := rename(w, d, RenameParams{find(t, d, test.at, 1), test.name})
		if err == nil && test.want != "" || err != nil && (test.want == "" || !strings.Contains(err.Error(), test.want)) {
			t.Errorf("%s to %q: %v", test.at, test.name, err)
		}
	}
	edit, err := rename(w, d, RenameParams{find(t, d, `"S"`, 1), "Z"})
	if err != nil {
		t.Fatal(err)
	}
	got := applied(t, d, edit.Changes[d.URI])
	if !strings.Contains(got, `from = "Z 1"`) || !strings.Contains(got, `strings = ["Z"]`) || strings.Contains(got, `"S"`) {
		t.Errorf("a string that count makes several of:\n%s", got)
	}
	half := NewDocument(d.URI, d.Path, 2, []byte(small+"\n[site"))
	if _, err := rename(w, half, RenameParams{find(t, half, `"north"`, 1), "x"}); err == nil || !strings.Contains(err.Error(), "cannot be read now") {
		t.Errorf("of a text that is not read: %v", err)
	}
	prepared, err := prepareRename(w, d, find(t, d, `"north"`, 1))
	if err != nil || prepared.Placeholder != "north" || prepared.Range.Start.Character != 8 {
		t.Errorf("%v, %v", prepared, err)
	}
}

func TestFixesPutTheNearestWord(t *testing.T) {
	for _, test := range []struct{ text, message, nearest, want string }{
		{"[site]\nwind_sped = \"105 mph\"", "unknown key", "wind_speed", "[site]\nwind_speed = \"105 mph\""},
		{"[sitte]\n", "unknown key", "site", "[site]\n"},
		{"[site]\nwind_speed = \"105 mhp\"", "no unit", "mph", "[site]\nwind_speed = \"105 mph\""},
		{"[site]\nwind_speed = \"105mhp\"", "no unit", "mph", "[site]\nwind_speed = \"105mph\""},
		{"[site]\nexposure = \"c\"  # °🏠", "no choice", "C", "[site]\nexposure = \"C\"  # °🏠"},
		{"[[string]]\nother_arrays = [\"4 x wset\", \"2 x east\"]", `no array is named "wset"`, "west", "[[string]]\nother_arrays = [\"4 x west\", \"2 x east\"]"},
		{"[[circuit]]\nstrings = [\"S1\", \"T2\"]", `no string is named "T2"`, "S2", "[[circuit]]\nstrings = [\"S1\", \"S2\"]"},
	} {
		w, d := desk(t, "/job.toml", test.text)
		line := strings.Index(test.text, "=")
		at := Range{Position{0, 0}, Position{0, 8}}
		if line > 0 {
			start := strings.IndexAny(test.text[line+2:], "\"[") + line + 2
			if test.message == "unknown key" {
				start = strings.IndexByte(test.text, '\n') + 1
			}
			p := AtPosition{}.to(d, start).Position
			at = Range{p, AtPosition{}.to(d, start+3).Position}
		}
		var p CodeActionParams
		p.Context.Diagnostics = []Diagnostic{{Range: at, Message: test.message, Data: &Data{Nearest: test.nearest}}}
		list, err := fixes(w, d, p)
		if err != nil || len(list) != 1 {
			t.Errorf("%q: %v, %v", test.text, list, err)
			continue
		}
		if got := applied(t, d, list[0].Edit.Changes[d.URI]); got != test.want {
			t.Errorf("%q becomes %q", test.text, got)
		}
	}
}

func TestFixesPutInWhatIsMissingAsComments(t *testing.T) {
	path, text := demo(t, "barn-faulty")
	for _, ending := range []string{"\n", "\r\n"} {
		w, d := desk(t, path, strings.ReplaceAll(text, "\n", ending))
		if d.Review == nil {
			t.Fatal("no review")
		}
		var p CodeActionParams
		p.Range.Start = find(t, d, "[adoption]", 2).Position
		p.Context.Diagnostics = []Diagnostic{{Data: &Data{Missing: []string{"adoption.ibc"}}}}
		list, err := fixes(w, d, p)
		if err != nil || len(list) == 0 {
			t.Fatal(list, err)
		}
		got := applied(t, d, list[0].Edit.Changes[d.URI])
		added := ending + "# ibc = "
		if i := strings.Index(got, added); i < 0 || i < strings.Index(got, "[adoption]") || i > strings.Index(got, "[site]") {
			t.Errorf("%q is not in the table", added)
		}
		start := strings.Index(got, added)
		end := start + len(ending) + strings.Index(got[start+len(ending):], ending)
		if got[:start]+got[end:] != string(d.File.Text) {
			t.Error("the rest of the file is not what it was")
		}
		if _, err := job.Parse(path, []byte(got), w.Read); err != nil {
			t.Error(err)
		}
		again := NewDocument(d.URI, path, 2, []byte(got))
		again.Job, again.Review, again.Old = d.Job, d.Review, true
		list, err = fixes(w, again, p)
		for _, a := range list {
			if strings.Contains(applied(t, again, a.Edit.Changes[d.URI]), "# ibc = "+"\"2018\""+"# ibc") {
				t.Error("a comment is put in twice")
			}
		}
		if err != nil {
			t.Error(err)
		}
	}
}

func TestSymbolsAreNested(t *testing.T) {
	path, text := demo(t, "barn-faulty")
	w, d := desk(t, path, text)
	answer, err := symbols(w, d, InDocument{})
	if err != nil {
		t.Fatal(err)
	}
	list := answer.([]DocumentSymbol)
	i := slices.IndexFunc(list, func(s DocumentSymbol) bool { return s.Name == "south" && s.Detail == "plane" })
	if i < 0 || !slices.ContainsFunc(list[i].Children, func(s DocumentSymbol) bool { return s.Name == "covering" }) {
		t.Fatalf("no plane south with its covering in %d symbols", len(list))
	}
	var inside func(s DocumentSymbol)
	inside = func(s DocumentSymbol) {
		for _, c := range s.Children {
			if c.Range.Start.Line < s.Range.Start.Line || c.Range.End.Line > s.Range.End.Line {
				t.Errorf("%s is not within %s", c.Name, s.Name)
			}
			inside(c)
		}
	}
	for _, s := range list {
		inside(s)
	}
	if text, err := json.Marshal(list); err != nil || strings.Contains(string(text), "null") {
		t.Errorf("%v", err)
	}
}

func TestClientsThatCanLess(t *testing.T) {
	var client ClientCapabilities
	client.TextDocument.Hover.ContentFormat = []string{PlainText}
	w := newWorkspace(client)
	d := NewDocument("file:///job.toml", "/job.toml", 1, []byte("[[plane]]\nname = \"a\"\n[plane.covering]\nkind = \"flat\"\n[site]\nrecord_low = \"-14 degF\"\n"))
	w.documents[d.Path] = d
	h, err := hover(w, d, find(t, d, "record_low", 1))
	if err != nil || h.Contents.Kind != PlainText || !strings.HasPrefix(h.Contents.Value, "site.record_low temperature\n") || !strings.Contains(h.Contents.Value, "Value: -14 degF = -25.6 degC") {
		t.Errorf("%v, %v", h, err)
	}
	answer, err := symbols(w, d, InDocument{})
	list, ok := answer.([]SymbolInformation)
	if err != nil || !ok || len(list) != 3 || list[1].ContainerName != "a" || list[1].Location.URI != d.URI {
		t.Errorf("%v, %v", answer, err)
	}
	var p CodeActionParams
	p.Context.Diagnostics = []Diagnostic{{Range: Range{Position{4, 1}, Position{4, 5}}, Data: &Data{Nearest: "sites"}}}
	if list, err := fixes(w, d, p); err != nil || len(list) != 0 {
		t.Errorf("%v, %v", list, err)
	}
}

func TestFixesPutInWhatIsRequired(t *testing.T) {
	w, d := desk(t, "/job.toml", "[[array]]\nname = \"a\" # said\n\n[site]\n")
	var p CodeActionParams
	p.Context.Diagnostics = []Diagnostic{{Data: &Data{Path: "array.a.plane"}}, {Data: &Data{Path: "array.a.name"}}, {Data: &Data{Path: "array.b.plane"}}, {Data: &Data{Path: "nothing"}}}
	list, err := fixes(w, d, p)
	if err != nil || len(list) != 1 {
		t.Fatal(list, err)
	}
	if got, want := applied(t, d, list[0].Edit.Changes[d.URI]), "[[array]]\nname = \"a\" # said\n# plane = \"...\"  # plane it lies on\n\n[site]\n"; got != want {
		t.Errorf("%q", got)
	}
}

func FuzzQuestions(f *testing.F) {
	f.Add("[[array]]\nname = \"a\"\nlike = \"b\"\n[array.attachments]\nspacing = \"4", 30, "x")
	f.Add("[[string]]\nname = \"S\"\ncount = 2\nother_arrays = [\"4 x a\"]\n[[circuit]]\nfrom = \"S 1\"\nstrings = [\"S\"]", 20, "S 2")
	f.Fuzz(func(t *testing.T, text string, offset int, name string) {
		var client ClientCapabilities
		client.TextDocument.CodeAction.Literal = &struct{}{}
		w := newWorkspace(client)
		d := NewDocument("file:///job.toml", "/job.toml", 1, []byte(text))
		w.documents[d.Path] = d
		at := AtPosition{}.to(d, max(0, min(offset, len(d.File.Text))))
		var p CodeActionParams
		p.Range = Range{at.Position, at.Position}
		p.Context.Diagnostics = []Diagnostic{{Range: p.Range, Message: name, Data: &Data{Path: name, Nearest: name, Missing: []string{name}}}}
		list, err := complete(w, d, at)
		_, err2 := hover(w, d, at)
		_, err3 := definition(w, d, at)
		_, err4 := references(w, d, ReferenceParams{AtPosition: at})
		_, err5 := symbols(w, d, InDocument{})
		actions, err6 := fixes(w, d, p)
		for _, err := range []error{err, err2, err3, err4, err5, err6} {
			if err != nil {
				t.Error(err)
			}
		}
		for _, item := range list.Items {
			applied(t, d, []TextEdit{*item.TextEdit})
		}
		for _, a := range actions {
			applied(t, d, a.Edit.Changes[d.URI])
		}
		if edit, err := rename(w, d, RenameParams{at, name}); err == nil {
			applied(t, d, edit.Changes[d.URI])
		}
	})
}

// Whatever is asked of whatever is half typed has an answer.
func TestNoQuestionFails(t *testing.T) {
	path, text := demo(t, "barn-faulty")
	w, d := desk(t, path, text)
	lines := strings.SplitAfter(text, "\n")
	for n := 0; n < len(lines); n += 11 {
		line := strings.TrimRight(lines[n], "\n")
		cut := line[:len(line)*2/3]
		half := strings.Join(lines[:n], "") + cut + "\n" + strings.Join(lines[n+1:], "")
		next := NewDocument(d.URI, path, 2, []byte(half))
		next.Job, next.Review, next.Old = d.Job, d.Review, true
		at := AtPosition{}.to(next, len(strings.Join(lines[:n], ""))+len(cut))
		_, errs := complete(w, next, at)
		_, err := hover(w, next, at)
		_, err2 := definition(w, next, at)
		_, err3 := references(w, next, ReferenceParams{AtPosition: at})
		_, err4 := symbols(w, next, InDocument{})
		_, err5 := fixes(w, next, CodeActionParams{Range: Range{at.Position, at.Position}})
		for _, err := range []error{errs, err, err2, err3, err4, err5} {
			if err != nil {
				t.Errorf("%q: %v", cut, err)
			}
		}
	}
}

func TestLayoutEditsLines(t *testing.T) {
	for _, text := range []string{"", "\n\n", "a=1", "a = 1\n", "\n\na=1\nlonger = [1,\n  2] # °🏠\n\n\n\n[b]\n[c]\nx=1  \n\n", "a=1\r\n\r\n\r\n[b]\r\nc=\"\"\"x  \r\n  y\"\"\"\r\n"} {
		w, d := desk(t, "/part.toml", text)
		edits, err := layout(w, d, FormattingParams{})
		if err != nil {
			t.Fatal(err)
		}
		want, err := format.Text("part.toml", []byte(text))
		if err != nil {
			t.Fatal(err)
		}
		// One after the other, from the end: edits at one place stay in their order.
		got := text
		for _, e := range slices.Backward(edits) {
			got = got[:d.Offset(e.Range.Start)] + e.NewText + got[d.Offset(e.Range.End):]
		}
		if got != string(want) {
			t.Errorf("%q becomes %q, not %q, by %v", text, got, want, edits)
		}
	}
	_, text := demo(t, "barn")
	neat, err := format.Text("barn.toml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	once := strings.NewReplacer("[site]", "\n\n[site]  ", "\nadoption = ", "\nadoption=").Replace(string(neat))
	w, d := desk(t, "/part.toml", once)
	edits, err := layout(w, d, FormattingParams{})
	if n := len(edits); err != nil || n < 1 || n > 4 {
		t.Errorf("%d edits of a job that is nearly laid out, %v", n, err)
	}
	w, d = desk(t, "/half.toml", "[a")
	if edits, err := layout(w, d, FormattingParams{}); err == nil {
		t.Errorf("what is no TOML gets %v", edits)
	}
}

func TestDefinitionOfACheckIsItsSheet(t *testing.T) {
	w, d := desk(t, "/job.toml", "[[deviation]]\ncheck = \"fire/ridge-strip\"\n")
	w.sheets = &sheets{write: func(to io.Writer, c *codebook.Check) error {
		_, err := fmt.Fprint(to, "# ", c.Title)
		return err
	}}
	at := find(t, d, "ridge", 1)
	for range 2 {
		list, err := definition(w, d, at)
		if err != nil || len(list) != 1 {
			t.Fatal(list, err)
		}
		if text, err := os.ReadFile(filepath.FromSlash(pathOf(list[0].URI))); err != nil || string(text) != "# "+w.Book.Check("fire/ridge-strip").Title {
			t.Errorf("%s, %v", text, err)
		}
	}
	folder := w.sheets.folder
	w.sheets.remove()
	if _, err := os.Stat(folder); !os.IsNotExist(err) {
		t.Errorf("the folder of sheets stays: %v", err)
	}
	h, err := hover(w, d, at)
	if err != nil || h == nil || !strings.Contains(h.Contents.Value, "`fire/ridge-strip`") {
		t.Errorf("%v, %v", h, err)
	}
	w.sheets = nil
	if list, err := definition(w, d, at); err == nil {
		t.Errorf("without sheets: %v", list)
	}
}

// What two open jobs include is renamed in both.
func TestRenameReachesEveryOpenJob(t *testing.T) {
	path, text := demo(t, "house")
	w, d := desk(t, path, text)
	otherPath := strings.TrimSuffix(path, "house.toml") + "house-faulty.toml"
	read, err := os.ReadFile(filepath.FromSlash(otherPath))
	if err != nil {
		t.Fatal(err)
	}
	other := NewDocument(uriOf(otherPath), otherPath, 1, read)
	w.documents[otherPath] = other
	reviewed(w, other)
	name := newOutline(d.Job.Files[1]).root.get("module_type").entries[0].name()
	edit, err := rename(w, d, RenameParams{find(t, d, job.Quote(name), 1), "new name"})
	if err != nil {
		t.Fatal(err)
	}
	for _, file := range []string{path, otherPath, d.Job.Files[1].Name} {
		if len(edit.Changes[uriOf(file)]) == 0 {
			t.Errorf("%s is not changed", file)
		}
	}
	part := d.Job.Files[1]
	alone := newWorkspace(ClientCapabilities{})
	alone.documents[part.Name] = NewDocument(uriOf(part.Name), part.Name, 1, part.Text)
	at := find(t, alone.documents[part.Name], job.Quote(name), 1)
	if _, err := rename(alone, alone.documents[part.Name], RenameParams{at, "x"}); err == nil || !strings.Contains(err.Error(), "part of jobs") {
		t.Errorf("a part without its job: %v", err)
	}
}

func TestCellOfASurvey(t *testing.T) {
	for text, want := range map[string]string{"west, 1": "west", "\"we,\"\"st\" , 1": "\"we,\"\"st\"", "west": "west", "west\t;2": "west", "\"open": "\"open"} {
		f := &source.File{Name: "survey.csv", Text: []byte(text)}
		if got := cellAt(f.Start()).Text(); got != want {
			t.Errorf("%q: %q, not %q", text, got, want)
		}
	}
	for name, want := range map[string]string{"a b": "a b", "a,b": `"a,b"`, `a"b`: `"a""b"`} {
		if got := cell(name, "x"); got != want {
			t.Errorf("%q: %s", name, got)
		}
	}
}
