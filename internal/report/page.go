package report

import (
	"bytes"
	"strings"

	"github.com/fatih/color"

	"plumbrule/internal/wording"
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
	again string // flags that a further run of the program needs, each with a space after it
}

func newPage(o TextOptions) *page {
	width := o.Width
	if width == 0 {
		width = usualWidth
	}
	return &page{palette: newPalette(o.Color), width: max(width, leastWidth), again: o.Again}
}

func (p *page) line(s string) {
	p.WriteString(strings.TrimRight(s, " "))
	p.WriteByte('\n')
}

// paragraph writes wrapped text, every line indented.
func (p *page) paragraph(indent int, text string) {
	for _, l := range wrap(wording.Plain(text), p.width-indent) {
		p.line(wording.Spaces(indent) + l)
	}
}

// row writes a label and wrapped text beside it. A row without text is left
// out.
func (p *page) row(label, text string) {
	if text == "" {
		return
	}
	indent := margin + labelWidth
	for i, l := range wrap(wording.Plain(text), p.width-indent) {
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
		return wording.Spaces(margin + labelWidth)
	}
	return wording.Spaces(margin) + p.label.Sprint(label) + wording.Spaces(labelWidth-len(label))
}

// heading writes the name of a part, with a remark at the right edge.
func (p *page) head(name, remark string) {
	name = strings.ToUpper(name)
	gap := max(2, p.width-wording.Columns(name)-wording.Columns(remark))
	p.line("")
	p.line(p.heading.Sprint(name) + wording.Spaces(gap) + remark)
	p.line(p.label.Sprint(strings.Repeat("-", p.width)))
}

// wrap breaks text between words. A word that is wider than the line stays
// whole, so that a path can be copied.
func wrap(text string, width int) []string {
	var lines []string
	line, used := "", 0
	for _, word := range strings.Fields(text) {
		w := wording.Columns(word)
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
