package format

import (
	"bytes"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/BurntSushi/toml"
)

func TestText(t *testing.T) {
	for _, test := range []struct{ name, in, want string }{
		{"nothing", "", ""},
		{"empty lines", "\n\n\n", ""},
		{"equals signs in a column", "a=1\nlong_key   =  2\n\nb =3", "a        = 1\nlong_key = 2\n\nb = 3\n"},
		{"a long key may stick out of a column", "a   = 1\nbb  = 2\nccc = 2\nd=3\nlonger_key = 4\n", "a   = 1\nbb  = 2\nccc = 2\nd   = 3\nlonger_key = 4\n"},
		{"a column is no wider than its keys", "a     = 1\nbb    = 2\n", "a  = 1\nbb = 2\n"},
		{"alike by chance is no column", "ab = 1\ncd = 2\nefgh = 3\n", "ab   = 1\ncd   = 2\nefgh = 3\n"},
		{"tables", "[a]\nx = 1\n\n\n[[b.c]]\n[ d ]\n", "[a]\nx = 1\n\n[[b.c]]\n\n[d]\n"},
		{"comments above a table stay with it", "x = 1\n# of b\n[b]\n", "x = 1\n\n# of b\n[b]\n"},
		{"indents go", "[a]\n  x = 1\n\t# said\n\ty = 2\n", "[a]\nx = 1\n# said\ny = 2\n"},
		{"comments stay where they stood", "a = 1      # one\nbb = 2     # two\nccc = \"a long value\" # three\n", "a   = 1    # one\nbb  = 2    # two\nccc = \"a long value\"  # three\n"},
		{"spaces at the ends", "a = 1   \n# x  \t\n[b]  \n", "a = 1\n\n# x\n[b]\n"},
		{"lines of a list", "a = [\n  1, # one  \n  2,  \n]\nlong = 1\n", "a = [\n  1, # one\n  2,\n]\nlong = 1\n"},
		{"a list of rows is no value of a column", "a = 1\nlonger = 2\nrows    = [   # all\n    { x = 1 },\n]\nb = 3\n", "a      = 1\nlonger = 2\nrows = [   # all\n    { x = 1 },\n]\nb = 3\n"},
		{"lines below the first", "a = [1,\n     2]\nlong = 1\n", "a    = [1,\n        2]\nlong = 1\n"},
		{"lines below the first, back", "a     = [1,\n         2]\nb = 1\n", "a = [1,\n     2]\nb = 1\n"},
		{"texts over lines", "a = \"\"\"\n  x = 1  \n # no comment\n\\\"\"\"\"\"\nb = '''\n[c]  '''   # said\n", "a = \"\"\"\n  x = 1  \n # no comment\n\\\"\"\"\"\"\nb = '''\n[c]  '''   # said\n"},
		{"signs in texts", "\"a = #\" = '= # ['\nb.'c]' = { x = \"}\" } # {\n", "\"a = #\" = '= # ['\nb.'c]'  = { x = \"}\" }  # {\n"},
		{"windows line ends", "a=1\r\n\r\n\r\n[b]\r\nc=[\r\n1]", "a = 1\r\n\r\n[b]\r\nc = [\r\n1]\r\n"},
		{"a byte order mark", "\uFEFFa=1", "\uFEFFa = 1\n"},
		{"characters and not bytes", "\"°🏠\" = 1\nabcd = 2\n", "\"°🏠\" = 1\nabcd = 2\n"},
	} {
		got, err := Text("job.toml", []byte(test.in))
		if err != nil || string(got) != test.want {
			t.Errorf("%s: %v\n got %q\nwant %q", test.name, err, got, test.want)
		}
		holds(t, []byte(test.in))
	}
}

func TestWhatIsNoTOMLStays(t *testing.T) {
	for _, text := range []string{"[a", "a = ", "a = 1\na = 2", "a = \"", "\x00", "a = \xff"} {
		got, err := Text("job.toml", []byte(text))
		if err == nil || string(got) != text {
			t.Errorf("%q: %q, %v", text, got, err)
		}
	}
}

// The jobs of the project stay what they are.
func TestJobsKeepTheirMeaning(t *testing.T) {
	n := 0
	for _, pattern := range []string{"../../testdata/jobs/*.toml", "../../testdata/ordinary/*.toml", "../../testdata/editors/*/*.toml", "../../rules/*/*.toml"} {
		paths, err := filepath.Glob(pattern)
		if err != nil {
			t.Fatal(err)
		}
		for _, path := range paths {
			text, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			n++
			holds(t, text)
		}
	}
	if n < 50 {
		t.Errorf("%d files", n)
	}
}

// holds asserts of a text what must be so of every one.
func holds(t *testing.T, text []byte) {
	t.Helper()
	got, err := Text("job.toml", text)
	if err != nil {
		if !bytes.Equal(got, text) {
			t.Errorf("%q is refused and becomes %q", text, got)
		}
		return
	}
	again, err := Text("job.toml", got)
	if err != nil || !bytes.Equal(again, got) {
		t.Errorf("%q\nbecomes %q\nand then %q, %v", text, got, again, err)
	}
	if a, b := withoutSpace(text), withoutSpace(got); a != b {
		t.Errorf("%q\nbecomes %q: more than space is changed", text, got)
	}
	var before, after map[string]any
	errBefore, errAfter := toml.Unmarshal(text, &before), toml.Unmarshal(got, &after)
	if (errBefore == nil) != (errAfter == nil) || errBefore == nil && !reflect.DeepEqual(before, after) {
		t.Errorf("%q\nbecomes %q\nwhich reads as %v, not %v (%v, %v)", text, got, after, before, errBefore, errAfter)
	}
}

func withoutSpace(text []byte) string {
	return strings.Join(strings.Fields(strings.ReplaceAll(string(bytes.TrimPrefix(text, []byte("\uFEFF"))), "=", " = ")), "")
}

func FuzzText(f *testing.F) {
	f.Add([]byte("a = [1, # x\n  {b='''\r\n'''}]\r\n[[c.\"d\"]]\n#"))
	f.Add([]byte("a.b = \"\"\"\\\n  x\"\"\"\"\n\n\n[t]#\n"))
	f.Fuzz(func(t *testing.T, text []byte) { holds(t, text) })
}
