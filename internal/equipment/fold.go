// Package equipment reads public lists of equipment, saved as CSV, and gives
// their entries as types of a job. What a list has in which column is data: a
// description (rules/lists, or a file of the user's own). A list is told by its
// headings, wherever its columns and lines stand.
//
// Nothing is made up: a value that the list does not give is left open, one that
// contradicts another of its line too, and a line whose values cannot be in the
// units that the list states is refused.
package equipment

import (
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// clean writes a cell plainly: compatible characters in one way, breaks and
// spaces of every kind as one space, minus signs as a hyphen, what is not seen
// left out.
func clean(text string) string {
	text = strings.Map(func(r rune) rune {
		switch {
		case r == '\u2212' || r == '\u2012' || r == '\u2013':
			return '-'
		case unicode.IsSpace(r):
			return ' '
		case unicode.IsControl(r) || unicode.Is(unicode.Cf, r):
			return -1
		}
		return r
	}, norm.NFKC.String(text))
	return strings.Join(strings.Fields(text), " ")
}

// fold is the form in which headings, words and names are compared: capitals
// do not count.
func fold(text string) string { return norm.NFKC.String(strings.ToLower(clean(text))) }

// unit takes the unit in brackets off the end of a heading: "Pmax ((W))" has
// the heading "Pmax" and the unit "W". ok is false where it has none.
func unit(heading string) (name, text string, ok bool) {
	whole := clean(heading)
	if !strings.HasSuffix(whole, ")") {
		return whole, "", false
	}
	inner := strings.TrimRight(whole, " )")
	open := strings.LastIndexByte(inner, '(')
	if open < 0 {
		return whole, "", false
	}
	return strings.TrimRight(inner[:open], " ("), strings.TrimSpace(inner[open+1:]), true
}
