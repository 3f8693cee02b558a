package editor

import (
	"unicode/utf8"

	"plumbrule/internal/source"
)

// Position is a place as the protocol counts it: line and 16-bit units of the
// line, both from 0.
type Position struct {
	Line      int `json:"line"`
	Character int `json:"character"`
}

// Range is a stretch of a text; its end is not part of it.
type Range struct {
	Start Position `json:"start"`
	End   Position `json:"end"`
}

// Offset is the byte of the text at a position; one beyond the end of its line
// is the end of the line, as the protocol asks.
func (d *Document) Offset(p Position) int {
	if p.Line >= d.File.Lines() {
		return len(d.File.Text)
	}
	line := d.File.Line(p.Line + 1)
	offset := d.File.At(p.Line+1, 1).Start
	units := 0
	for _, r := range line {
		if units >= p.Character {
			break
		}
		units++
		if r > 0xFFFF {
			units++
		}
		offset += utf8.RuneLen(r)
	}
	return offset
}

// Range is where a place of the file stands.
func (d *Document) Range(at source.Span) Range { return rangeOf(d.File, at) }

func rangeOf(f *source.File, at source.Span) Range {
	from := source.Span{File: f, Start: at.Start, End: at.Start}.Position()
	to := source.Span{File: f, Start: at.End, End: at.End}.Position()
	return Range{Position{from.Line - 1, from.UTF16 - 1}, Position{to.Line - 1, to.UTF16 - 1}}
}
