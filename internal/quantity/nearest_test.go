package quantity

import (
	"strings"
	"testing"
)

func TestDidYouMean(t *testing.T) {
	words := []string{"voltage", "current", "m", "mm", "modules", "module"}
	for text, want := range map[string]string{
		"voltge":   `, did you mean "voltage"?`, // one letter left out
		"voltagee": `, did you mean "voltage"?`, // one too many
		"volatge":  `, did you mean "voltage"?`, // two swapped
		"Voltage":  `, did you mean "voltage"?`, // capitals
		"M":        `, did you mean "m"?`,
		"modul":    `, did you mean "module"?`,  // nearer than modules
		"modulee":  `, did you mean "modules"?`, // as near as module, and first in the list
		"x":        "",
		"":         "",
		"raceway":  "",
		"crt":      "",
	} {
		if got := DidYouMean(text, words); got != want {
			t.Errorf("DidYouMean(%q) = %q, want %q", text, got, want)
		}
	}
	if got := DidYouMean(strings.Repeat("voltage", 1000), words); got != "" {
		t.Errorf("a long text is answered with %q", got)
	}
	if got := DidYouMean("voltage", nil); got != "" {
		t.Errorf("no words are answered with %q", got)
	}
}

func TestSlips(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want int
	}{
		{"", "", 0}, {"a", "", 1}, {"", "ab", 2}, {"feets", "feet", 1}, {"fete", "feet", 1},
		{"kitten", "sitting", 3}, // the textbook pair of the edit distance
		{"ca", "abc", 3},         // 2 in the unrestricted Damerau-Levenshtein distance
		{"Ω", "ω", 1},
	} {
		if got := slips([]rune(c.a), []rune(c.b)); got != c.want {
			t.Errorf("slips(%q, %q) = %d, want %d", c.a, c.b, got, c.want)
		}
		if got := slips([]rune(c.b), []rune(c.a)); got != c.want {
			t.Errorf("slips(%q, %q) = %d, want %d", c.b, c.a, got, c.want)
		}
	}
}
