package pdf

import (
	"math"
	"strings"
)

// The measures of a page of text, in points.
const (
	marginSide = 50.0
	marginTop  = 46.0
	marginFoot = 50.0
	textSize   = 9.5
	smallSize  = 7.5
	cellSize   = 8.5
	leading    = 1.25
	padding    = 3.0
)

var headingSizes = []float64{16, 12, 10.5, 9.5}

// flow is where the next block goes.
type flow struct {
	d             *Document
	y             float64
	width, height float64
}

// Flow sets blocks from a new page on. Headings make the outline: those of the
// first level at the level given, the others below it.
func (d *Document) Flow(blocks []Block, level int) {
	f := &flow{d: d}
	f.page()
	for i, b := range blocks {
		switch b.Kind {
		case Heading:
			need := 60.0 // a heading never stands alone at the foot
			if i+1 < len(blocks) && blocks[i+1].Kind == Table {
				need = 110
			}
			size := headingSizes[min(b.Level, len(headingSizes))-1]
			if f.y > marginTop {
				f.y += size * 0.7
			}
			f.room(need)
			d.bookmark(bare(b.Text), level+b.Level-1, f.y)
			f.lines(f.wrap(b.Text, true, size, f.width), marginSide, size)
			f.y += size * 0.25
		case Paragraph:
			size := textSize
			if b.Small {
				size = smallSize
			}
			f.lines(f.wrap(b.Text, false, size, f.width), marginSide, size)
			f.y += size * 0.45
		case Item:
			indent := 12 * float64(b.Level+1)
			f.room(textSize * leading)
			d.font(false, textSize)
			d.out.SetTextColor(31, 43, 51)
			d.out.Text(marginSide+indent-8, f.y+textSize, "\u2022")
			f.lines(f.wrap(b.Text, false, textSize, f.width-indent), marginSide+indent, textSize)
			f.y += textSize * 0.1
			if i+1 < len(blocks) && blocks[i+1].Kind != Item {
				f.y += textSize * 0.4
			}
		case Table:
			f.table(b)
			f.y += textSize * 0.6
		case Rule:
			f.room(8)
			d.out.SetDrawColor(116, 128, 138)
			d.out.SetLineWidth(0.5)
			d.out.Line(marginSide, f.y+4, marginSide+f.width, f.y+4)
			f.y += 8
		}
	}
}

func (f *flow) page() {
	f.d.out.AddPage()
	w, h := f.d.out.GetPageSize()
	f.y, f.width, f.height = marginTop, w-2*marginSide, h
}

// room turns the page where less than a height is left; it tells whether it did.
func (f *flow) room(height float64) bool {
	if f.y+height <= f.height-marginFoot {
		return false
	}
	f.page()
	return true
}

// lines sets wrapped lines, over as many pages as they need.
func (f *flow) lines(lines [][]span, x, size float64) {
	for _, l := range lines {
		f.room(size * leading)
		f.line(l, x, f.y+size, size)
		f.y += size * leading
	}
}

// line sets one line on its base line.
func (f *flow) line(l []span, x, base, size float64) {
	f.d.out.SetTextColor(31, 43, 51)
	for _, s := range l {
		f.d.font(s.bold, size)
		f.d.out.Text(x, base, s.text)
		x += f.d.out.GetStringWidth(s.text)
	}
}

// wrap breaks a text into lines of a width. A word that is wider than a line is
// broken.
func (f *flow) wrap(text string, bold bool, size, width float64) [][]span {
	var out [][]span
	for _, hard := range spans(text) {
		var line []span
		used := 0.0
		turn := func() { out, line, used = append(out, line), nil, 0 }
		for _, s := range hard {
			s.bold = s.bold || bold
			f.d.font(s.bold, size)
			wide := f.d.out.GetStringWidth
			add := func(word string) {
				if n := len(line); n > 0 && line[n-1].bold == s.bold {
					line[n-1].text += word
				} else {
					line = append(line, span{word, s.bold})
				}
				used += wide(word)
			}
			for _, word := range words(printable(s.text)) {
				w := wide(strings.TrimRight(word, " "))
				if used+w > width && used > 0 {
					turn()
				}
				if used == 0 {
					word = strings.TrimLeft(word, " ")
				}
				for wide(strings.TrimRight(word, " ")) > width {
					runes := []rune(word)
					n := 1
					for n < len(runes)-1 && wide(string(runes[:n+1])) <= width {
						n++
					}
					add(string(runes[:n]))
					turn()
					word = string(runes[n:])
				}
				if word != "" {
					add(word)
				}
			}
		}
		turn()
	}
	return out
}

// words parts a text behind its spaces, which stay with the word before.
func words(s string) []string {
	var out []string
	start := 0
	for i := 1; i < len(s); i++ {
		if s[i-1] == ' ' && s[i] != ' ' {
			out = append(out, s[start:i])
			start = i
		}
	}
	if start < len(s) {
		out = append(out, s[start:])
	}
	return out
}

// bare is a text without its marks, for the outline.
func bare(text string) string {
	var parts []string
	for _, l := range spans(text) {
		for _, s := range l {
			parts = append(parts, s.text)
		}
	}
	return strings.Join(parts, "")
}

// table sets a table with its head on every page. A row that has no room goes
// to the next page, and is broken only where a page is too short for it.
func (f *flow) table(t Block) {
	widths := f.widths(t)
	head := f.row(t.Head, widths, true)
	f.room(rowHeight(head) + 3*cellSize*leading)
	f.cells(head, widths, nil, true)
	for _, r := range t.Rows {
		row := f.row(r, widths, false)
		whole := f.height - marginTop - marginFoot - rowHeight(head)
		if h := rowHeight(row); f.y+h > f.height-marginFoot && h < whole/2 {
			f.page()
			f.cells(head, widths, nil, true)
		}
		for {
			fits := int((f.height - marginFoot - f.y - 2*padding) / (cellSize * leading))
			if longest(row) <= fits {
				break
			}
			if fits < 3 {
				f.page()
				f.cells(head, widths, nil, true)
				continue
			}
			first := make([][][]span, len(row))
			for i, c := range row {
				n := min(fits, len(c))
				first[i], row[i] = c[:n], c[n:]
			}
			f.cells(first, widths, t.Right, false)
			f.page()
			f.cells(head, widths, nil, true)
		}
		f.cells(row, widths, t.Right, false)
	}
}

// row wraps the cells of a row; one that the head does not have is left out.
func (f *flow) row(texts []string, widths []float64, head bool) [][][]span {
	out := make([][][]span, len(widths))
	for i, w := range widths {
		if i < len(texts) && texts[i] != "" {
			out[i] = f.wrap(texts[i], head, cellSize, w-2*padding)
		}
	}
	return out
}

func longest(row [][][]span) int {
	n := 0
	for _, c := range row {
		n = max(n, len(c))
	}
	return n
}

func rowHeight(row [][][]span) float64 {
	return float64(max(1, longest(row)))*cellSize*leading + 2*padding
}

// cells sets one row with its frame.
func (f *flow) cells(row [][][]span, widths []float64, right []bool, head bool) {
	x, h := marginSide, rowHeight(row)
	out := f.d.out
	for i, w := range widths {
		if head {
			f.d.raw("q 0.886 0.914 0.925 rg %s %s %s %s re f Q", num(x), num(f.height-f.y-h), num(w), num(h))
		}
		out.SetDrawColor(116, 128, 138)
		out.SetLineWidth(0.4)
		out.Rect(x, f.y, w, h, "D")
		for k, l := range row[i] {
			at := x + padding
			if i < len(right) && right[i] {
				at = x + w - padding - f.wide(l)
			}
			f.line(l, at, f.y+padding+cellSize*(0.95+leading*float64(k)), cellSize)
		}
		x += w
	}
	f.y += h
}

func (f *flow) wide(l []span) float64 {
	w := 0.0
	for i, s := range l {
		if i == len(l)-1 {
			s.text = strings.TrimRight(s.text, " ")
		}
		f.d.font(s.bold, cellSize)
		w += f.d.out.GetStringWidth(s.text)
	}
	return w
}

// blankShare is the part of a table's width for a column that is to be written
// in.
const blankShare = 0.24

// widths shares the width among columns: an empty one gets a part to write in,
// the others what their words need, and more the more they hold.
func (f *flow) widths(t Block) []float64 {
	n := len(t.Head)
	least, holds, blank := make([]float64, n), make([]float64, n), make([]bool, n)
	sumLeast, sumHolds, left := 0.0, 0.0, f.width
	for i := range n {
		blank[i] = len(t.Rows) > 0
		column := []string{"**" + t.Head[i] + "**"}
		for _, r := range t.Rows {
			if i < len(r) && r[i] != "" {
				blank[i] = false
				column = append(column, r[i])
			}
		}
		if blank[i] {
			left -= blankShare * f.width
			continue
		}
		for _, c := range column {
			for _, l := range spans(c) {
				all := 0.0
				for _, s := range l {
					f.d.font(s.bold, cellSize)
					for _, w := range words(printable(s.text)) {
						wide := f.d.out.GetStringWidth(strings.TrimRight(w, " "))
						least[i] = max(least[i], wide)
						all += wide + 2
					}
				}
				holds[i] = max(holds[i], min(all, math.Sqrt(all)*10))
			}
		}
		least[i] = min(least[i], f.width/3) + 2*padding + 1
		sumLeast += least[i]
		sumHolds += max(0, holds[i]-least[i])
	}
	out := make([]float64, n)
	for i := range n {
		switch {
		case blank[i]:
			out[i] = blankShare * f.width
		case sumLeast >= left || sumHolds == 0:
			out[i] = least[i] * left / sumLeast
		default:
			out[i] = least[i] + max(0, holds[i]-least[i])*(left-sumLeast)/sumHolds
		}
	}
	return out
}
