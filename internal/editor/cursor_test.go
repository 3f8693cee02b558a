package editor

import (
	"bytes"
	"fmt"
	"math/rand"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"plumbrule/internal/source"
)

// demoJobs are the texts of all jobs of the project.
func demoJobs(t testing.TB) map[string][]byte {
	t.Helper()
	out := map[string][]byte{}
	for _, pattern := range []string{"../../testdata/jobs/*.toml", "../../testdata/ordinary/*.toml"} {
		paths, err := filepath.Glob(pattern)
		if err != nil {
			t.Fatal(err)
		}
		for _, path := range paths {
			text, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			out[path] = text
		}
	}
	if len(out) < 10 {
		t.Fatalf("found %d jobs", len(out))
	}
	return out
}

// marked takes the mark "|" out of a text and gives its place.
func marked(t *testing.T, text string) (string, int) {
	t.Helper()
	before, after, ok := strings.Cut(text, "|")
	if !ok {
		t.Fatalf("no mark in %q", text)
	}
	return before + after, len(before)
}

func (c cursor) String() string {
	spot := [...]string{"empty", "comment", "header", "key", "value", "beyond"}[c.spot]
	text := spot + " in " + c.table.Key()
	if n := c.node(); n != nil {
		text += " at " + n.Key()
	}
	if c.value != nil {
		text += " = " + c.value.text
	}
	if len(c.path) > 0 {
		text += fmt.Sprint(" ", c.path)
	}
	return text
}

func TestCursorTellsWhereAPlaceIs(t *testing.T) {
	const plane = "[[plane]]\nname = \"a\"\n[[plane]]\nname = \"south\"\n"
	for _, test := range []struct{ text, want string }{
		{"|", "empty in "},
		{"[|", "header in "},
		{"[pl|", "header in pl at pl"},
		{"[[array.|", "header in array"},
		{"[[pl|ane]]\n", "header in plane.1 at plane.1"},
		{"[[plane]]|\n", "beyond in plane.1"},
		{"# [si|te]", "comment in "},
		{"[site]\n|\nwind_speed = 1", "empty in site"},
		{"[site]\nwind|", "key in site at site.wind"},
		{"[site]\nwind|_speed = \"105 mph\"", "key in site at site.wind_speed"},
		{"[site]\nwind_speed | = \"105 mph\"", "beyond in site"},
		{"[site]\nwind_speed = |", "value in site at site.wind_speed"},
		{"[site]\nwind_speed =|\nexposure = \"C\"", "value in site at site.wind_speed"},
		{"[site]\nwind_speed = |  # later", "value in site at site.wind_speed"},
		{"[site]\nwind_speed = \"10|5 mph\"", "value in site at site.wind_speed = 105 mph"},
		{"[site]\nwind_speed = \"10|", "value in site at site.wind_speed = 10"},
		{"[site]\nwind_speed = \"105 mph\" |# said", "beyond in site"},
		{plane + "slope = \"4|:12\"", "value in plane.south at plane.south.slope = 4:12"},
		{plane + "[plane.covering]\nkind = \"|\"", "value in plane.south.covering at plane.south.covering.kind = "},
		{plane + "covering.ki|", "key in plane.south at plane.south.covering.ki"},
		{plane + "covering.|", "key in plane.south"},
		{plane + "covering.kind = \"trap|ezoidal\"", "value in plane.south at plane.south.covering.kind = trapezoidal"},
		{plane + "covering = { kind = \"trap|", "value in plane.south.covering at plane.south.covering.kind = trap"},
		{plane + "covering = { ki| }", "key in plane.south.covering at plane.south.covering.ki"},
		{plane + "covering = { kind = \"flat\", | }", "empty in plane.south.covering"},
		{plane + "outline = [[\"0 ft\", \"|24 ft\"], [", "value in plane.south at plane.south.outline = 24 ft [0 1]"},
		{plane + "outline = [\n  [\"0 ft\", \"24 ft\"],\n  [\"8|0 ft\"\n", "value in plane.south at plane.south.outline = 80 ft [1 0]"},
		{"[[circuit]]\nname = \"C\"\nstrings = [\"S1\", |]", "value in circuit.C at circuit.C.strings [1]"},
		{"[[circuit]]\nname = \"C\"\nstrings = [\"S1\", \"S|\nlength = \"1 ft\"", "value in circuit.C at circuit.C.strings = S [1]"},
		{"[[circuit]]\nname = \"C\"\nstrings = [\"S1\",\n[site]\nwi|", "key in site at site.wi"},
		{"[[circuit]]\r\nname = \"°🏠|\"\r\n", "value in circuit.°🏠 at circuit.°🏠.name = °🏠"},
		{"name = '''\nit is [site]|\n'''", "value in  at name = \nit is [site]\n"},
	} {
		text, offset := marked(t, test.text)
		if got := newOutline(source.NewFile("job.toml", []byte(text))).cursorAt(offset).String(); got != test.want {
			t.Errorf("%q:\n got %s\nwant %s", test.text, got, test.want)
		}
	}
}

// Every place of every job has an answer, and the keys that the parser finds are
// those that the outline finds, at the same places.
func TestOutlineAgreesWithTheParser(t *testing.T) {
	for path, text := range demoJobs(t) {
		f := source.NewFile(path, text)
		index, err := source.NewIndex(f)
		if err != nil {
			t.Fatal(err)
		}
		o := newOutline(f)
		keys := 0
		for _, p := range o.pairs {
			keys++
			place := index.Of(p.node.indexPath())
			if last := p.words[len(p.words)-1]; place.Key != last.at {
				t.Errorf("%s: %s: key at %d, the parser says %d", path, p.node.indexPath(), last.at.Start, place.Key.Start)
			}
			if p.value == nil || place.Value != p.value.at {
				t.Errorf("%s: %s: value %q, the parser says %q", path, p.node.indexPath(), p.value.at.Text(), place.Value.Text())
			}
		}
		for _, h := range o.headers {
			if place := index.Of(h.opens.indexPath()); place.Header != h.at {
				t.Errorf("%s: %s: header %q, the parser says %q", path, h.opens.indexPath(), h.at.Text(), place.Header.Text())
			}
		}
		if keys < 10 {
			t.Errorf("%s: %d keys", path, keys)
		}
		for offset := range len(text) + 1 {
			_ = o.cursorAt(offset).String()
		}
	}
}

func (n *node) indexPath() string {
	switch {
	case n.parent == nil:
		return ""
	case n.number > 0:
		return source.Item(n.parent.indexPath(), n.number-1)
	}
	return source.Key(n.parent.indexPath(), n.key)
}

// What a person has not finished typing has an answer at every place, and what
// stands on the other lines is still found.
func TestEveryPlaceOfCutLinesHasAnAnswer(t *testing.T) {
	random := rand.New(rand.NewSource(1))
	for path, text := range demoJobs(t) {
		lines := bytes.SplitAfter(text, []byte("\n"))
		whole := newOutline(source.NewFile(path, text))
		for n := range lines {
			line := bytes.TrimRight(lines[n], "\r\n")
			if len(line) == 0 || n%7 > 0 {
				continue
			}
			cut := line[:random.Intn(len(line))]
			half := bytes.Join([][]byte{bytes.Join(lines[:n], nil), cut, []byte("\n"), bytes.Join(lines[n+1:], nil)}, nil)
			o := newOutline(source.NewFile(path, half))
			start := len(bytes.Join(lines[:n], nil))
			for offset := start; offset <= start+len(cut); offset++ {
				_ = o.cursorAt(offset).String()
			}
			goesOn := bytes.Count(line, []byte("[")) != bytes.Count(line, []byte("]")) // and the rows below are of no key without it
			if lost := len(whole.pairs) - len(o.pairs); bytes.Count(line, []byte(" = ")) < 2 && !goesOn && (lost > 1 || lost < -1) {
				t.Errorf("%s:%d: cut to %q, %d keys are lost", path, n+1, cut, lost)
			}
		}
	}
}

func FuzzCursor(f *testing.F) {
	f.Add([]byte("[[plane]]\nname = \"a\"\noutline = [[\"0 ft\", {a = [1,2"), 12)
	f.Add([]byte("a.b.'c'.\"d\" = \"\"\"\n\"\"\"\r\n[[x.y]]\n[x.y.z]\n= 1"), 30)
	f.Fuzz(func(t *testing.T, text []byte, offset int) {
		o := newOutline(source.NewFile("job.toml", text))
		c := o.cursorAt(offset)
		if at := c.at(o); at.Start < 0 || at.End > len(o.file.Text) || at.Start > at.End {
			t.Errorf("the place is %d to %d of %d", at.Start, at.End, len(o.file.Text))
		}
		_ = c.String()
	})
}
