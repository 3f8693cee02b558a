package editor

import (
	"bytes"
	"cmp"
	"slices"
	"sort"
	"unicode/utf8"

	"plumbrule/internal/source"
)

// Position is a place as the protocol counts it: line and units of the line,
// both from 0. A unit is one of 16 bits, or a byte where the client and the
// server have agreed on that.
type Position struct {
	Line      int `json:"line"`
	Character int `json:"character"`
}

// Range is a stretch of a text; its end is not part of it.
type Range struct {
	Start Position `json:"start"`
	End   Position `json:"end"`
}

// lines turns positions of a text into bytes and back. Lines end as the
// protocol has it: with a line feed, a carriage return, or both; a TOML file
// with a lone carriage return is none, but has to be followed all the same
// while it is typed.
type lines struct {
	text   []byte
	starts []int          // first byte of each line
	stops  map[int][]stop // of the long lines: one in each stride of bytes
	utf8   bool
	before int // units of the first line that the client counts and the text lacks: a byte order mark
}

func newLines(text []byte, utf8 bool, before int) *lines {
	starts := append(make([]int, 0, 1+bytes.Count(text, []byte{'\n'})), 0)
	for i, c := range text {
		if c == '\n' || c == '\r' && (i+1 == len(text) || text[i+1] != '\n') {
			starts = append(starts, i+1)
		}
	}
	l := &lines{text: text, starts: starts, utf8: utf8, before: before}
	for line, start := range starts {
		if l.end(line)-start > stride {
			l.measure(line)
		}
	}
	return l
}

// stride is how much of a line is counted through for one position, so that many
// positions on a long line take no longer than on many lines.
const stride = 1024

// stop is a character of a line and the units before it.
type stop struct{ at, units int }

// measure counts through a long line once.
func (l *lines) measure(line int) {
	start, end := l.starts[line], l.end(line)
	stops := []stop{{start, 0}}
	for at, units := start, 0; at < end; {
		r, size := utf8.DecodeRune(l.text[at:end])
		if at+size > start+len(stops)*stride {
			stops = append(stops, stop{at, units})
		}
		units += l.width(r, size)
		at += size
	}
	if l.stops == nil {
		l.stops = map[int][]stop{}
	}
	l.stops[line] = stops
}

// Offset is the byte at a position. One beyond the end of its line is the end
// of the line, one beyond the text the end of the text, and one inside a
// character the start of that.
func (l *lines) Offset(p Position) int {
	if p.Line < 0 {
		return 0
	}
	if p.Line >= len(l.starts) {
		return len(l.text)
	}
	start, units := l.starts[p.Line], p.Character
	if p.Line == 0 {
		units -= l.before
	}
	offset, end := start, l.end(p.Line)
	if stops := l.stops[p.Line]; stops != nil && units > 0 {
		n := sort.Search(len(stops), func(i int) bool { return stops[i].units > units })
		offset, units = stops[n-1].at, units-stops[n-1].units
	}
	for offset < end {
		r, size := utf8.DecodeRune(l.text[offset:end])
		if units -= l.width(r, size); units < 0 {
			break
		}
		offset += size
	}
	return offset
}

// end is where the text of a line ends, before its line break.
func (l *lines) end(line int) int {
	if line+1 == len(l.starts) {
		return len(l.text)
	}
	end := l.starts[line+1] - 1
	if end > l.starts[line] && l.text[end] == '\n' && l.text[end-1] == '\r' {
		end--
	}
	return end
}

// width is the number of units of a character.
func (l *lines) width(r rune, size int) int {
	switch {
	case l.utf8:
		return size
	case r > 0xFFFF:
		return 2
	}
	return 1
}

// Position is where a byte stands.
func (l *lines) Position(offset int) Position {
	offset = min(max(offset, 0), len(l.text))
	line, exact := slices.BinarySearch(l.starts, offset)
	if !exact {
		line--
	}
	from := stop{at: l.starts[line]}
	if stops := l.stops[line]; stops != nil {
		from = stops[min((offset-from.at)/stride, len(stops)-1)]
	}
	units := from.units
	for at := from.at; at < offset; {
		r, size := utf8.DecodeRune(l.text[at:])
		units += l.width(r, size)
		at += size
	}
	if line == 0 {
		units += l.before
	}
	return Position{line, units}
}

// Range is where the bytes from start to end stand.
func (l *lines) Range(start, end int) Range { return Range{l.Position(start), l.Position(end)} }

// Offset is the byte of the text at a position; one beyond the end of its line
// is the end of the line, as the protocol asks.
func (d *Document) Offset(p Position) int { return d.lines.Offset(p) }

// Range is where a place of the file stands.
func (d *Document) Range(at source.Span) Range { return d.lines.Range(at.Start, at.End) }

// changed gives a text with changes made in their order. bom says that the
// client's text begins with a byte order mark, which text has not; before is
// its width.
func changed(text []byte, changes []ContentChange, utf8 bool, before int) ([]byte, int) {
	for _, c := range changes {
		if c.Range == nil {
			text, before = withoutMark([]byte(c.Text), utf8)
			continue
		}
		l := newLines(text, utf8, before)
		start, end := l.Offset(c.Range.Start), l.Offset(c.Range.End)
		if start > end {
			start, end = end, start
		}
		text = slices.Concat(text[:start], []byte(c.Text), text[end:])
	}
	return text, before
}

// edited gives a text with edits made that do not overlap, each of a stretch as
// the text is.
func edited(l *lines, edits []TextEdit) []byte {
	edits = slices.Clone(edits)
	slices.SortStableFunc(edits, func(a, b TextEdit) int { return cmp.Compare(l.Offset(a.Range.Start), l.Offset(b.Range.Start)) })
	var out []byte
	at := 0
	for _, e := range edits {
		out = append(append(out, l.text[at:max(at, l.Offset(e.Range.Start))]...), e.NewText...)
		at = max(at, l.Offset(e.Range.End))
	}
	return append(out, l.text[at:]...)
}

// withoutMark takes the byte order mark off a text and gives the units that the
// client counts for it.
func withoutMark(text []byte, utf8 bool) ([]byte, int) {
	rest, marked := bytes.CutPrefix(text, []byte("\uFEFF"))
	switch {
	case !marked:
		return text, 0
	case utf8:
		return rest, len(text) - len(rest)
	}
	return rest, 1
}
