package editor

import (
	"strings"
	"testing"
	"time"
)

// No text holds the server up, however large or odd it is.
func TestHostileTextsAreAnsweredSoon(t *testing.T) {
	const n = 6_000
	var keys strings.Builder
	for i := range n {
		keys.WriteString(strings.Repeat("k", 1+i%7))
		keys.WriteString(strings.TrimLeft(strings.Repeat("0", 6)+string(rune('a'+i%26)), "-"))
		keys.WriteString(strings.ReplaceAll(time.Duration(i).String(), ".", "_"))
		keys.WriteString(" = 1\n")
	}
	for name, text := range map[string]string{
		"keys":             "[site]\n" + keys.String(),
		"brackets":         "a = " + strings.Repeat("[", n),
		"braces":           "a = " + strings.Repeat("{b=", n),
		"tables":           strings.Repeat("[[plane]]\nname = \"a\"\n", n),
		"headers":          strings.Repeat("[a", n),
		"quotes":           "a = " + strings.Repeat("\"\"\"", n),
		"lists over lines": "a = [\n" + strings.Repeat("[1,\n", n),
		"dots":             strings.Repeat("a.", n),
		"references":       "[[circuit]]\nname = \"a\"\nshares = [" + strings.Repeat("\"a\",", n/10) + "]",
		"comments":         strings.Repeat("#\n", n),
	} {
		w := newWorkspace(ClientCapabilities{})
		d := NewDocument("file:///job.toml", "/job.toml", 1, []byte(text))
		w.documents[d.Path] = d
		begun := time.Now()
		for _, offset := range []int{0, len(text) / 2, len(text)} {
			at := AtPosition{}.to(d, offset)
			_, err := complete(w, d, at)
			_, err2 := hover(w, d, at)
			_, err3 := references(w, d, ReferenceParams{AtPosition: at})
			_, err4 := symbols(w, d, InDocument{})
			if err != nil || err2 != nil || err3 != nil || err4 != nil {
				t.Errorf("%s: %v %v %v %v", name, err, err2, err3, err4)
			}
		}
		if took := time.Since(begun); took > 6*time.Second {
			t.Errorf("%s: twelve questions take %s", name, took)
		} else {
			t.Logf("%s: %s", name, took.Round(time.Millisecond))
		}
	}
}
