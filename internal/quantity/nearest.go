package quantity

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

// longestWord bounds the work of a comparison; no word of the trade is longer.
const longestWord = 64

// DidYouMean gives `, did you mean "x"?` for the word nearest to text, or ""
// when none is near enough to be what the writer meant.
func DidYouMean(text string, words []string) string {
	word, ok := Nearest(text, words)
	if !ok {
		return ""
	}
	return fmt.Sprintf(", did you mean %q?", word)
}

// Nearest gives the word that takes the fewest typing slips to turn into
// text. Capitals do not count. At most one slip in three letters is forgiven,
// three in all; of equally near words the first in the list wins.
func Nearest(text string, words []string) (string, bool) {
	letters := utf8.RuneCountInString(text)
	if letters == 0 || letters > longestWord {
		return "", false
	}
	written := []rune(strings.ToLower(text))
	best, fewest := "", min((letters+2)/3, 3, letters-1)+1
	for _, word := range words {
		if word == "" || utf8.RuneCountInString(word) > longestWord {
			continue
		}
		if n := slips(written, []rune(strings.ToLower(word))); n < fewest {
			best, fewest = word, n
		}
	}
	return best, best != ""
}

// slips counts the letters to insert, delete, replace or swap with their
// neighbour to turn a into b (the optimal string alignment distance, a
// restricted form of the Damerau-Levenshtein distance).
func slips(a, b []rune) int {
	before, last, row := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := range a {
		row[0] = i + 1
		for j := range b {
			replace := last[j]
			if a[i] != b[j] {
				replace++
			}
			row[j+1] = min(replace, last[j+1]+1, row[j]+1)
			if i > 0 && j > 0 && a[i] == b[j-1] && a[i-1] == b[j] {
				row[j+1] = min(row[j+1], before[j-1]+1)
			}
		}
		before, last, row = last, row, before
	}
	return last[len(b)]
}
