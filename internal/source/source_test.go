package source

import (
	"errors"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/BurntSushi/toml"

	"plumbrule/internal/bound"
)

func TestPosition(t *testing.T) {
	// U+00B0 is one rune, two bytes, one UTF-16 unit; U+1F527 is one rune, four
	// bytes, two units (The Unicode Standard, chapter 3, tables 3-5 and 3-6).
	f := NewFile("job.toml", []byte("\uFEFFa = 1\r\n# 4\u00b0 \U0001F527 x\n\nend"))
	tests := []struct {
		text string
		want Position
	}{
		{"a = 1", Position{"job.toml", 1, 1, 1, 1}},
		{"1\r", Position{"job.toml", 1, 5, 5, 5}},
		{"x\n", Position{"job.toml", 2, 8, 12, 9}},
		{"\nend", Position{"job.toml", 3, 1, 1, 1}},
		{"end", Position{"job.toml", 4, 1, 1, 1}},
	}
	for _, test := range tests {
		start := strings.Index(string(f.Text), test.text)
		span := Span{f, start, start + len(test.text)}
		if got := span.Position(); got != test.want {
			t.Errorf("%q stands at %+v, want %+v", test.text, got, test.want)
		}
		if span.Text() != test.text {
			t.Errorf("the text of the span is %q, want %q", span.Text(), test.text)
		}
	}
	if got := f.All().EndPosition(); got.Line != 4 || got.Column != 4 {
		t.Errorf("the end is at %v", got)
	}
	if got, want := f.Line(2), "# 4\u00b0 \U0001F527 x"; got != want {
		t.Errorf("line 2 is %q, want %q", got, want)
	}
	if got := f.Line(1); got != "a = 1" {
		t.Errorf("line 1 is %q, its carriage return must be gone", got)
	}
	if f.Lines() != 4 || f.Line(0) != "" || f.Line(5) != "" {
		t.Errorf("the file has %d lines, %q, %q", f.Lines(), f.Line(0), f.Line(5))
	}
}

func TestNoPlace(t *testing.T) {
	if got := (Span{}).Position().String(); got != "" {
		t.Errorf("no place prints as %q", got)
	}
	if got := (Span{File: &File{Name: "none.toml"}}).Position().String(); got != "none.toml" {
		t.Errorf("an unread file prints as %q", got)
	}
	if got := NewFile("empty.toml", nil).Start().Position().String(); got != "empty.toml:1:1" {
		t.Errorf("an empty file starts at %q", got)
	}
	beyond := Span{NewFile("a", []byte("ab")), 5, 9}
	if beyond.Text() != "" || beyond.Position().Column != 3 {
		t.Errorf("a span beyond the file gives %q at %v", beyond.Text(), beyond.Position())
	}
}

func TestAt(t *testing.T) {
	f := NewFile("feet.csv", []byte("x,y\n1,2\n"))
	tests := []struct{ line, column, want int }{{1, 1, 0}, {2, 3, 6}, {3, 1, 8}, {9, 9, 8}, {0, 0, 0}}
	for _, test := range tests {
		if got := f.At(test.line, test.column).Start; got != test.want {
			t.Errorf("At(%d, %d) = %d, want %d", test.line, test.column, got, test.want)
		}
	}
}

func TestFaultsAreSortedAndSingle(t *testing.T) {
	a, b := NewFile("a.toml", []byte("x\ny\n")), NewFile("b.toml", []byte("z\n"))
	var faults Faults
	faults.Add(Span{b, 0, 1}, "third")
	faults.Add(Span{a, 2, 3}, "second")
	faults.Add(Span{a, 0, 1}, "first")
	faults.Add(Span{a, 2, 3}, "second")
	faults = append(faults, Fault{Message: "zeroth", Expected: "something is expected", Nearest: "zero"})
	err := faults.Err()
	want := "zeroth; something is expected; did you mean \"zero\"?\na.toml:1:1: first\na.toml:2:1: second\nb.toml:1:1: third"
	if err.Error() != want {
		t.Errorf("got:\n%v\nwant:\n%s", err, want)
	}
	var one Fault
	if !errors.As(err, &one) || one.Message != "zeroth" {
		t.Errorf("errors.As gives %+v", one)
	}
	if (Faults{}).Err() != nil {
		t.Error("no faults are an error")
	}
}

// A fault of two places prints the further one below it.
func TestFurtherPlaces(t *testing.T) {
	f := NewFile("a.toml", []byte("x\ny\n"))
	fault := Fault{At: Span{f, 2, 3}, Path: "y", Message: "y is given twice", Also: []Further{{Span{f, 0, 1}, FirstHere}, {Span{}, "and nowhere"}}}
	if got, want := fault.Error(), "a.toml:2:1: y is given twice\n  a.toml:1:1: it is given here first\n  and nowhere"; got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	if fault.Text() != "y is given twice" {
		t.Errorf("its text is %q", fault.Text())
	}
}

// A key given twice is found with both places, whatever stands between them.
func TestIndexFindsDuplicates(t *testing.T) {
	tests := []struct{ text, path, at, first string }{
		{"a = 1\nb = 2\na = 3\n", "a", "f.toml:3:1", "f.toml:1:1"},
		{"[t]\na = 1\n\"a\" = 2\n", "t.a", "f.toml:3:1", "f.toml:2:1"},
		{"[t]\na = 1\n[u]\n[t]\n", "t", "f.toml:4:1", "f.toml:1:1"},
		{"[[t]]\na = 1\n[[t]]\na = 1\n\ta = 2\n", "t.2.a", "f.toml:5:2", "f.toml:4:1"},
		{"a.b = 1\na = 2\n", "a", "f.toml:2:1", "f.toml:1:1"},
		{"x = {a = 1, a = 2}\n", "x.a", "f.toml:1:13", "f.toml:1:6"},
		{"x = [1, {a = 1, a = 2}]\r\n", "x.2.a", "f.toml:1:17", "f.toml:1:10"},
		{"\"a.b\" = 1\r\n\"a.b\" = 2\r\n", `"a.b"`, "f.toml:2:1", "f.toml:1:1"},
	}
	for _, test := range tests {
		_, err := NewIndex(NewFile("f.toml", []byte(test.text)))
		var faults Faults
		if !errors.As(err, &faults) || len(faults) != 1 || len(faults[0].Also) != 1 {
			t.Errorf("%q: %v", test.text, err)
			continue
		}
		if f := faults[0]; f.Path != test.path || f.At.Position().String() != test.at || f.Also[0].At.Position().String() != test.first {
			t.Errorf("%q: %v (%s), want %s at %s and %s", test.text, f, f.Path, test.path, test.at, test.first)
		}
	}
	for _, fine := range []string{"[a.b]\nx = 1\n[a]\nx = 1\n", "a.b = 1\na.c = 2\n", "[[a]]\n[a.b]\n[[a]]\n[a.b]\n"} {
		if _, err := NewIndex(NewFile("f.toml", []byte(fine))); err != nil {
			t.Errorf("%q: %v", fine, err)
		}
	}
}

func TestDataPath(t *testing.T) {
	for path, want := range map[string]string{"": "", "site.x": "site.x", "a[0].b[11]": "a.1.b.12", `"a[0]".b[1]`: `"a[0]".b.2`, "[": "[", `"`: `"`} {
		if got := DataPath(path); got != want {
			t.Errorf("%q counts as %q, want %q", path, got, want)
		}
	}
}

func TestIndexPlaces(t *testing.T) {
	text := `title = "x" # note
[ site ]
record_low = "-14 degF"
"odd key".b = 1
[[array]]
name = "a"
outline = [ ["1", "2"], # ] [
  [3, true], {k = [7], l = "}"} , ]
[array.attachments]
spacing = "48 in"
[[array]]
name = "b"
[[array.lug]]
row = 1
[[array.lug]]
row = 2
at = { x = 1, y = { z = 2 } }
`
	index, err := NewIndex(NewFile("job.toml", []byte(text)))
	if err != nil {
		t.Fatal(err)
	}
	tests := []struct{ path, key, value, header string }{
		{"title", "title", `"x"`, ""},
		{"site", "site", "", "[ site ]"},
		{"site.record_low", "record_low", `"-14 degF"`, ""},
		{`site."odd key"`, `"odd key"`, "", `"odd key"`},
		{`site."odd key".b`, "b", "1", ""},
		{"array", "array", "", "array"},
		{"array[0]", "", "", "[[array]]"},
		{"array[0].outline[0]", "", `["1", "2"]`, ""},
		{"array[0].outline[0][1]", "", `"2"`, ""},
		{"array[0].outline[1]", "", "[3, true]", ""},
		{"array[0].outline[1][1]", "", "true", ""},
		{"array[0].outline[2]", "", `{k = [7], l = "}"}`, `{k = [7], l = "}"}`},
		{"array[0].outline[2].k[0]", "", "7", ""},
		{"array[0].outline[2].l", "l", `"}"`, ""},
		{"array[0].attachments", "attachments", "", "[array.attachments]"},
		{"array[0].attachments.spacing", "spacing", `"48 in"`, ""},
		{"array[1].name", "name", `"b"`, ""},
		{"array[1].lug[0].row", "row", "1", ""},
		{"array[1].lug[1].row", "row", "2", ""},
		{"array[1].lug[1].at", "at", "{ x = 1, y = { z = 2 } }", "at"},
		{"array[1].lug[1].at.y.z", "z", "2", ""},
		{"array[2]", "", "", ""},
	}
	for _, test := range tests {
		p := index.Of(test.path)
		if p.Key.Text() != test.key || p.Value.Text() != test.value || p.Header.Text() != test.header {
			t.Errorf("%s: key %q, value %q, header %q, want %q, %q, %q", test.path,
				p.Key.Text(), p.Value.Text(), p.Header.Text(), test.key, test.value, test.header)
		}
	}
	if index.Has("array[2]") || !index.Has("array[1]") {
		t.Error("the index has the wrong tables")
	}
}

// TestIndexAgreesWithDecoder reads each value of the demo jobs at its place
// alone and compares it with what the decoder makes of the whole file.
func TestIndexAgreesWithDecoder(t *testing.T) {
	files, err := filepath.Glob("../../testdata/jobs/*.toml")
	if err != nil || len(files) == 0 {
		t.Fatalf("no demo jobs: %v", err)
	}
	values := 0
	for _, name := range files {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		index, err := NewIndex(NewFile(name, text))
		if err != nil {
			t.Fatal(err)
		}
		var top map[string]any
		if err := toml.Unmarshal(text, &top); err != nil {
			t.Fatal(err)
		}
		values += agree(t, index, "", top)
	}
	if values < 1000 {
		t.Errorf("only %d values were compared", values)
	}
}

func agree(t *testing.T, index *Index, path string, value any) (values int) {
	t.Helper()
	if !index.Has(path) && path != "" {
		t.Errorf("%s is not in the index", path)
	}
	switch v := value.(type) {
	case map[string]any:
		for key, child := range v {
			values += agree(t, index, Key(path, key), child)
		}
		return values
	case []map[string]any:
		for i, child := range v {
			values += agree(t, index, Item(path, i), child)
		}
		return values
	case []any:
		for i, child := range v {
			values += agree(t, index, Item(path, i), child)
		}
	}
	var alone struct{ V any }
	if _, err := toml.Decode("V = "+index.Of(path).Value.Text(), &alone); err != nil || !reflect.DeepEqual(alone.V, value) {
		t.Errorf("%s: %q reads as %v, want %v (%v)", path, index.Of(path).Value.Text(), alone.V, value, err)
	}
	return values + 1
}

func TestIndexRefuses(t *testing.T) {
	tests := []struct{ name, text, want string }{
		{"large", strings.Repeat("#", bound.FileBytes+1), "f.toml:1:1: the file has 8388609 bytes; at most 8 MiB are read"},
		{"zero byte", "a = 1\n\x00", "f.toml:2:1: a zero byte: this is no text file; a TOML file is expected"},
		{"encoding", "a = \"\xff\"", "f.toml:1:6: the byte 0xFF is not UTF-8; the file must be saved as UTF-8"},
		{"deep list", "a = " + strings.Repeat("[", 40) + strings.Repeat("]", 40), "nested too deeply"},
		{"deep key", strings.Repeat("a.", 40) + "a = 1", "nested too deeply"},
		{"syntax", "a = 1\nb = \n", "f.toml:2:5: not TOML"},
		{"unfinished", "a = [1,", "f.toml:1:7: not TOML: array is incomplete"},
	}
	for _, test := range tests {
		_, err := NewIndex(NewFile("f.toml", []byte(test.text)))
		if err == nil || !strings.Contains(err.Error(), test.want) {
			t.Errorf("%s: got %v, want %q", test.name, err, test.want)
		}
	}
}

// FuzzIndex checks that no text makes the index panic and that every place
// lies inside the file.
func FuzzIndex(f *testing.F) {
	for _, seed := range []string{"a = 1", "[[a]]\nb = [[1], {c = true}]\n", "a.b.\"c d\" = '''x'''", "[", "a = [[", "\xef\xbb\xbf[x]\r\n"} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		file := NewFile("f.toml", text)
		index, err := NewIndex(file)
		if err != nil {
			_ = err.Error()
			return
		}
		for path, p := range index.places {
			for _, s := range []Span{p.Key, p.Value, p.Header} {
				if s.Known() && (s.Start < 0 || s.End < s.Start || s.End > len(file.Text)) {
					t.Errorf("%s stands at %d to %d of %d bytes", path, s.Start, s.End, len(file.Text))
				}
			}
		}
	})
}

func BenchmarkIndex(b *testing.B) {
	text, err := os.ReadFile("../../testdata/jobs/barn.toml")
	if err != nil {
		b.Fatal(err)
	}
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := NewIndex(NewFile("barn.toml", text)); err != nil {
			b.Fatal(err)
		}
	}
}
