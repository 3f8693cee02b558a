package report

import (
	"strings"

	"plumbrule/internal/source"
	"plumbrule/internal/wording"
)

// excerpt is the source line of a place and the line below it that underlines
// the value. Both are cut to the width around the value; ok is false for a
// place without text.
func excerpt(at source.Span, width int) (line, underline string, ok bool) {
	pos := at.Position()
	if pos.Line == 0 {
		return "", "", false
	}
	raw := at.File.Line(pos.Line)
	if strings.TrimSpace(raw) == "" {
		return "", "", false
	}
	start := min(pos.Byte-1, len(raw))
	stop := min(start+max(at.End-at.Start, 1), len(raw))
	before, marked := expand(raw[:start], 0)
	value, end := expand(raw[start:stop], marked)
	after, _ := expand(raw[stop:], end)
	before = strings.TrimLeft(before, " ")
	return window(before, value, strings.TrimRight(after, " "), width)
}

// expand turns tabs into the spaces they stand for, from a column on, and
// gives the column after the text.
func expand(text string, column int) (string, int) {
	var b strings.Builder
	for _, r := range text {
		if r == '\t' {
			n := tabStop - column%tabStop
			b.WriteString(wording.Spaces(n))
			column += n
			continue
		}
		s := wording.Plain(string(r))
		b.WriteString(s)
		column += wording.Columns(s)
	}
	return b.String(), column
}

const cut = "..."

// window cuts a line so that the value is in sight: first what follows it,
// then the value's own end, then what stands before it.
func window(before, value, after string, width int) (line, underline string, ok bool) {
	if half := width / 2; wording.Columns(before)+min(wording.Columns(value), half) > width && wording.Columns(before) > half {
		before = cut + tail(before, half-len(cut))
	}
	room := width - wording.Columns(before)
	if wording.Columns(value) > room {
		value, after = clip(value, room-len(cut))+cut, ""
	} else if wording.Columns(value)+wording.Columns(after) > room {
		after = clip(after, room-wording.Columns(value)-len(cut)) + cut
		if wording.Columns(value)+wording.Columns(after) > room {
			after = ""
		}
	}
	return before + value + after, wording.Spaces(wording.Columns(before)) + strings.Repeat("¯", max(1, wording.Columns(value))), true
}

// clip keeps the first columns of a text, tail the last.
func clip(s string, width int) string {
	used := 0
	for i, r := range s {
		if used += wording.RuneColumns(r); used > width {
			return s[:i]
		}
	}
	return s
}

func tail(s string, width int) string {
	drop := wording.Columns(s) - width
	for i, r := range s {
		if drop <= 0 {
			return s[i:]
		}
		drop -= wording.RuneColumns(r)
	}
	return ""
}
