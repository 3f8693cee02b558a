package structural

import (
	"slices"
	"strings"
	"unicode"
)

// SameName tells whether two trade names, of a profile or of a species, are the
// same but for case, spaces and what parts words and figures: "Rib-36" and
// "rib 36".
func SameName(a, b string) bool {
	x, y := nameWords(a), nameWords(b)
	return len(x) > 0 && slices.Equal(x, y)
}

// nameWords parts a name into words and figures.
func nameWords(name string) (words []string) {
	last := ' '
	for _, r := range strings.ToLower(name) {
		switch {
		case unicode.IsSpace(r) || strings.ContainsRune(`-–_/.,'"()`, r):
			r = ' '
		case unicode.IsLetter(r) && unicode.IsLetter(last), unicode.IsDigit(r) && unicode.IsDigit(last):
			words[len(words)-1] += string(r)
		default:
			words = append(words, string(r))
		}
		last = r
	}
	return words
}
