package source

import (
	"strings"
	"testing"

	"github.com/BurntSushi/toml"
)

// Each character of each kind of string is found where it stands. The decoder
// says which characters there are.
func TestInside(t *testing.T) {
	tests := []struct {
		value string
		find  string // in the text
		want  string // what stands there in the file
	}{
		{`"abc"`, "b", `bc"`},
		{`'a\c'`, "c", `c'`},
		{`"a\"b\\c"`, "c", `c"`},
		{`"a\"b"`, `"`, `\"b"`},
		{`"\u00b0\U0001F527\x41b"`, "b", `b"`},
		{"\"\u00b0 \U0001F527 x\"", "x", `x"`},
		{"\"\"\"\nx\ny\"\"\"", "y", `y"""`},
		{"\"\"\"\r\nx\r\ny\"\"\"", "y", `y"""`},
		{"'''\r\nx\r\ny'''", "y", `y'''`},
		{"'''x\\\ny'''", "y", `y'''`},
		{"\"\"\"x \\\n        y\"\"\"", "y", `y"""`},
		{"\"\"\"x \\  \r\n\r\n\t y\"\"\"", "y", `y"""`},
		{"\"\"\"\\\n   x\"\"\"", "x", `x"""`},
		{"\"\"\"x\"\"y\"\"\"", "y", `y"""`},
	}
	for _, test := range tests {
		var decoded struct{ V string }
		if _, err := toml.Decode("V = "+test.value, &decoded); err != nil {
			t.Fatal(err)
		}
		before, _, found := strings.Cut(decoded.V, test.find)
		if !found {
			t.Fatalf("%q is not in %q", test.find, decoded.V)
		}
		file := NewFile("f.toml", []byte("V = "+test.value+" # more"))
		value := Span{file, 4, 4 + len(test.value)}
		if got := Inside(value, len([]rune(before))).Text(); got != test.want {
			t.Errorf("%s: %q is said to stand at %q, want %q", test.value, test.find, got, test.want)
		}
		for _, n := range []int{len([]rune(decoded.V)), 1000} {
			if got := Inside(value, n).Text(); strings.Trim(got, `"'`) != "" || got == "" {
				t.Errorf("%s: beyond its end stands %q", test.value, got)
			}
		}
	}
	if got := Inside(Span{}, 3); got.Known() || got.Text() != "" {
		t.Errorf("no value gives %v", got)
	}
}

// FuzzInside checks that a place stays inside its value, whatever that is.
func FuzzInside(f *testing.F) {
	for _, seed := range []string{`"a\`, `'''`, "\"\"\"\\\n", `"`, "", "\"\\U0"} {
		f.Add(seed, 3)
	}
	f.Fuzz(func(t *testing.T, text string, n int) {
		value := Span{NewFile("f.toml", []byte("v"+text)), 1, 1 + len(text)}
		if len(value.File.Text) != 1+len(text) {
			t.Skip()
		}
		if got := Inside(value, n); got.Start < value.Start || got.Start > value.End || got.End != value.End {
			t.Errorf("%q: character %d at %d of %d", text, n, got.Start, value.End)
		}
	})
}
