// Package pdftest reads what a PDF of package pdf says, for tests.
package pdftest

import (
	"regexp"
	"unicode/utf16"
)

var (
	set     = regexp.MustCompile(`(?s) Td \((.*?[^\\]|)((?:\\\\)*)\) Tj ET`)
	escapes = regexp.MustCompile(`(?s)\\(.)`)
)

// Shown gives the text of a document whose streams are not compressed (Info.Plain),
// a string for each piece that was set.
func Shown(doc []byte) []string {
	var out []string
	for _, m := range set.FindAllSubmatch(doc, -1) {
		raw := escapes.ReplaceAllFunc(append(m[1], m[2]...), func(b []byte) []byte {
			if b[1] == 'r' {
				return []byte{'\r'}
			}
			return b[1:]
		})
		var units []uint16
		for i := 0; i+1 < len(raw); i += 2 {
			units = append(units, uint16(raw[i])<<8|uint16(raw[i+1]))
		}
		out = append(out, string(utf16.Decode(units)))
	}
	return out
}
