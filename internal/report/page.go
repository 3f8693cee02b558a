package report

import (
	"bytes"
	"strings"
	"unicode"

	"github.com/fatih/color"
)

// The layout of a page, in columns.
const (
	usualWidth = 96
	leastWidth = 48
	margin     = 4  // where the text of a finding starts
	labelWidth = 11 // of the row labels inside a finding
	tabStop    = 4
)

// palette is what may be coloured. Colour repeats what words say already.
type palette struct {
	heading, correction, verify, advisory, excused, label, mark *color.Color
}

// newPalette has the colours of building materials: brick, brass, slate and
// verdigris, from the 256-colour table.
func newPalette(on bool) palette {
	tone := func(n color.Attribute, more ...color.Attribute) *color.Color {
		c := color.New(append([]color.Attribute{38, 5, n}, more...)...)
		if on {
			c.EnableColor()
		} else {
			c.DisableColor()
		}
		return c
	}
	return palette{
		heading:    tone(67, color.Bold),
		correction: tone(167, color.Bold),
		verify:     tone(172, color.Bold),
		advisory:   tone(67),
		excused:    tone(72),
		label:      tone(245),
		mark:       tone(167),
	}
}

// page collects the lines of a report.
type page struct {
	bytes.Buffer
	palette
	width int
}

func newPage(o TextOptions) *page {
	width := o.Width
	if width == 0 {
		width = usualWidth
	}
	return &page{palette: newPalette(o.Color), width: max(width, leastWidth)}
}

func (p *page) line(s string) {
	p.WriteString(strings.TrimRight(s, " "))
	p.WriteByte('\n')
}

// paragraph writes wrapped text, every line indented.
func (p *page) paragraph(indent int, text string) {
	for _, l := range wrap(plain(text), p.width-indent) {
		p.line(spaces(indent) + l)
	}
}

// row writes a label and wrapped text beside it. A row without text is left
// out.
func (p *page) row(label, text string) {
	if text == "" {
		return
	}
	indent := margin + labelWidth
	for i, l := range wrap(plain(text), p.width-indent) {
		if i > 0 {
			label = ""
		}
		p.line(p.margin(label) + l)
	}
}

// rows writes one label and one wrapped text for each line.
func (p *page) rows(label string, lines []string) {
	for i, l := range lines {
		if i > 0 {
			label = " "
		}
		p.row(label, l)
	}
}

// margin is the space left of a row's text, with the label in it.
func (p *page) margin(label string) string {
	label = strings.TrimSpace(label)
	if label == "" {
		return spaces(margin + labelWidth)
	}
	return spaces(margin) + p.label.Sprint(label) + spaces(labelWidth-len(label))
}

// heading writes the name of a part, with a remark at the right edge.
func (p *page) head(name, remark string) {
	name = strings.ToUpper(name)
	gap := max(2, p.width-columns(name)-columns(remark))
	p.line("")
	p.line(p.heading.Sprint(name) + spaces(gap) + remark)
	p.line(p.label.Sprint(strings.Repeat("-", p.width)))
}

func spaces(n int) string { return strings.Repeat(" ", max(n, 0)) }

// wrap breaks text between words. A word that is wider than the line stays
// whole, so that a path can be copied.
func wrap(text string, width int) []string {
	var lines []string
	line, used := "", 0
	for _, word := range strings.Fields(text) {
		w := columns(word)
		if used > 0 && used+1+w > width {
			lines = append(lines, line)
			line, used = "", 0
		}
		if used > 0 {
			line += " "
			used++
		}
		line += word
		used += w
	}
	return append(lines, line)
}

// plain makes text from a job safe to print: characters that steer a terminal
// or turn the direction of writing are shown as "?".
func plain(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\t':
			return ' '
		case unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r):
			return '?'
		}
		return r
	}, s)
}

// columns is the width of text on a terminal.
func columns(s string) int {
	n := 0
	for _, r := range s {
		n += runeColumns(r)
	}
	return n
}

// runeColumns is the width of a character: none for marks that sit on the one
// before, two for the wide scripts and pictures, else one (the wide ranges of
// Unicode Standard Annex 11, East Asian Width, simplified to whole blocks).
func runeColumns(r rune) int {
	switch {
	case unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf):
		return 0
	case r < 0x1100:
		return 1
	case r <= 0x115F,
		r >= 0x2E80 && r <= 0x303E, r >= 0x3041 && r <= 0x33FF, r >= 0x3400 && r <= 0x4DBF, r >= 0x4E00 && r <= 0xA4CF,
		r >= 0xA960 && r <= 0xA97F, r >= 0xAC00 && r <= 0xD7A3, r >= 0xF900 && r <= 0xFAFF, r >= 0xFE30 && r <= 0xFE6F,
		r >= 0xFF01 && r <= 0xFF60, r >= 0xFFE0 && r <= 0xFFE6,
		r >= 0x1F300 && r <= 0x1F64F, r >= 0x1F680 && r <= 0x1F6FF, r >= 0x1F900 && r <= 0x1F9FF, r >= 0x20000 && r <= 0x3FFFD:
		return 2
	}
	return 1
}
