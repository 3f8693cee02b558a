// Package drawing draws a finished review as SVG: the roof plan and the one-line
// diagram with the marks of findings. It computes no engineering; what it shows
// comes from the review and from package terms/plan.
package drawing

import (
	"bytes"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"plumbrule/internal/quantity"
	"plumbrule/internal/review"
	"plumbrule/internal/wording"
)

// Options say where a drawing is going to stand.
type Options struct {
	// Embedded is for a page that lists the findings itself: the drawing leaves
	// its own list out and its marks lead to the page's #comment-N.
	Embedded bool

	Version string // of the program, for the title block; "" leaves it out with the rule set
}

// The colours of a drawing: ink on paper, and the building materials that the
// text report uses, dark enough to be read when printed in grey.
const (
	inkPaper   = "#fdfcf8"
	inkText    = "#1f2b33"
	inkSoft    = "#4d5a63" // second text
	inkLine    = "#33424d" // edges, devices, conductors
	inkThin    = "#74808a" // ribs, dimension lines, rules
	inkGlass   = "#e2e9ec" // fill of a module
	inkFrame   = "#3c586b" // outline of a module
	inkTimber  = "#7d5a2c" // framing
	inkBrass   = "#8a7434" // border of a wind zone
	inkZone2   = "#f1ecdb" // tints of the wind zones along edges and at corners
	inkZone3   = "#e3dabd"
	inkBrick   = "#97341f" // corrections, strips to be kept clear
	inkAmber   = "#775a00" // to verify
	inkSlate   = "#2f5573" // advisories
	inkGreen   = "#266b58" // the clear way, excused findings
	inkCopper  = "#8c4a1d" // bonding
	inkOnBrick = "#ffffff" // text on a filled flag
)

// The sizes of a sheet in points of 1/72 in. No text is smaller than sizeText
// when the sheet is printed at its own size.
const (
	sizeText    = 8.0 // 0.111 in, what documents/smallest-text asks for
	sizeHead    = 9.5
	sizeJob     = 12.0
	lineHeight  = 10.2
	sheetMargin = 18.0
	titleHeight = 70.0
	sideWidth   = 160.0
)

// svgSheet is one format of paper, landscape.
type svgSheet struct {
	width, height float64
	unitWidth     string
	unitHeight    func(sheets int) string
	column        float64 // width of the column beside the drawing
	name          string
}

// svgPaper is the paper that the writer's system of units goes with.
func svgPaper(sys quantity.System) svgSheet {
	if sys == quantity.SI {
		return svgSheet{841.89, 595.28, "297mm", func(n int) string { return SvgNumber(210*float64(n)) + "mm" }, sideWidth, "A4 paper"}
	}
	return svgSheet{792, 612, "11in", func(n int) string { return SvgNumber(8.5*float64(n)) + "in" }, sideWidth, "letter paper"}
}

// svgLargePaper is twice as large, for drawings with many dimensions.
func svgLargePaper(sys quantity.System) svgSheet {
	if sys == quantity.SI {
		return svgSheet{1190.55, 841.89, "420mm", func(n int) string { return SvgNumber(297*float64(n)) + "mm" }, 236, "A3 paper"}
	}
	return svgSheet{1224, 792, "17in", func(n int) string { return SvgNumber(11*float64(n)) + "in" }, 236, "11 x 17 in paper"}
}

// field is the part of a sheet for the drawing itself, side the column beside
// it, strip the title block below.
func (s svgSheet) field() svgBox {
	return svgBox{sheetMargin, sheetMargin, s.width - sheetMargin - s.column, s.height - sheetMargin - titleHeight}
}

func (s svgSheet) side() svgBox {
	return svgBox{s.width - sheetMargin - s.column, sheetMargin, s.width - sheetMargin, s.height - sheetMargin - titleHeight}
}

func (s svgSheet) strip() svgBox {
	return svgBox{sheetMargin, s.height - sheetMargin - titleHeight, s.width - sheetMargin, s.height - sheetMargin}
}

// svgPoint is a place on the sheet: x to the right, y down.
type svgPoint struct{ x, y float64 }

func (p svgPoint) plus(x, y float64) svgPoint { return svgPoint{p.x + x, p.y + y} }

// svgBox is an upright rectangle on the sheet.
type svgBox struct{ x0, y0, x1, y1 float64 }

func (b svgBox) width() float64 { return b.x1 - b.x0 }

func (b svgBox) height() float64 { return b.y1 - b.y0 }

func (b svgBox) centre() svgPoint { return svgPoint{(b.x0 + b.x1) / 2, (b.y0 + b.y1) / 2} }

func (b svgBox) grown(d float64) svgBox {
	return svgBox{b.x0 - d, b.y0 - d, b.x1 + d, b.y1 + d}
}

func (b svgBox) meets(c svgBox) bool {
	return b.x0 < c.x1 && c.x0 < b.x1 && b.y0 < c.y1 && c.y0 < b.y1
}

// distance is how far a point is from the box, 0 inside.
func (b svgBox) distance(p svgPoint) float64 {
	return math.Hypot(math.Max(0, math.Max(b.x0-p.x, p.x-b.x1)), math.Max(0, math.Max(b.y0-p.y, p.y-b.y1)))
}

func (b svgBox) holds(c svgBox) bool {
	return b.x0 <= c.x0 && c.x1 <= b.x1 && b.y0 <= c.y0 && c.y1 <= b.y1
}

// svgCanvas collects the elements of a drawing.
type svgCanvas struct{ bytes.Buffer }

// put writes one line; every text in it has been escaped before.
func (c *svgCanvas) put(format string, a ...any) {
	fmt.Fprintf(&c.Buffer, format, a...)
	c.WriteByte('\n')
}

// SvgNumber is a coordinate: two decimals, no trailing zeros.
func SvgNumber(v float64) string {
	s := strconv.FormatFloat(math.Round(v*100)/100, 'f', -1, 64)
	if s == "-0" {
		return "0"
	}
	return s
}

func svgPath(closed bool, points ...svgPoint) string {
	var b strings.Builder
	for i, p := range points {
		b.WriteByte("LM"[btoi(i == 0)])
		b.WriteString(SvgNumber(p.x) + " " + SvgNumber(p.y))
	}
	if closed {
		b.WriteByte('Z')
	}
	return b.String()
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

func (c *svgCanvas) line(a, b svgPoint, style string) {
	c.put(`<path d="%s" %s/>`, svgPath(false, a, b), style)
}

func (c *svgCanvas) rect(b svgBox, style string) {
	c.put(`<rect x="%s" y="%s" width="%s" height="%s" %s/>`, SvgNumber(b.x0), SvgNumber(b.y0), SvgNumber(b.width()), SvgNumber(b.height()), style)
}

func (c *svgCanvas) circle(at svgPoint, r float64, style string) {
	c.put(`<circle cx="%s" cy="%s" r="%s" %s/>`, SvgNumber(at.x), SvgNumber(at.y), SvgNumber(r), style)
}

func svgStroke(colour string, width float64, dash string) string {
	s := fmt.Sprintf(`fill="none" stroke="%s" stroke-width="%s"`, colour, SvgNumber(width))
	if dash != "" {
		s += ` stroke-dasharray="` + dash + `"`
	}
	return s
}

// svgText is one line of text.
type svgText struct {
	at     svgPoint // on the base line
	text   string
	size   float64
	anchor string // start, middle or end; "" is start
	fill   string // "" is inkText
	bold   bool
	turn   float64 // degrees, clockwise
	halo   bool    // a plate of paper below it, where lines and hatches would cross it
}

func (c *svgCanvas) text(t svgText) {
	if t.text == "" {
		return
	}
	if t.fill == "" {
		t.fill = inkText
	}
	more := ""
	if t.anchor != "" && t.anchor != "start" {
		more += ` text-anchor="` + t.anchor + `"`
	}
	if t.bold {
		more += ` font-weight="bold"`
	}
	if t.turn != 0 {
		more += fmt.Sprintf(` transform="rotate(%s %s %s)"`, SvgNumber(t.turn), SvgNumber(t.at.x), SvgNumber(t.at.y))
	}
	if t.halo {
		c.put(`<path d="%s" fill="%s"/>`, svgPath(true, t.corners(0.8)...), inkPaper)
	}
	c.put(`<text x="%s" y="%s" font-size="%s" fill="%s"%s>%s</text>`, SvgNumber(t.at.x), SvgNumber(t.at.y), SvgNumber(t.size), t.fill, more, wording.XML(t.text))
}

// corners are those of the room that a text takes, grown by a rim.
func (t svgText) corners(rim float64) []svgPoint {
	w := svgWidth(t.text, t.size, t.bold)
	b := svgBox{0, -t.size * 0.8, w, t.size * 0.25}
	switch t.anchor {
	case "middle":
		b.x0, b.x1 = -w/2, w/2
	case "end":
		b.x0, b.x1 = -w, 0
	}
	b = b.grown(rim)
	sin, cos := math.Sincos(t.turn * math.Pi / 180)
	out := []svgPoint{{b.x0, b.y0}, {b.x1, b.y0}, {b.x1, b.y1}, {b.x0, b.y1}}
	for i, p := range out {
		out[i] = t.at.plus(p.x*cos-p.y*sin, p.x*sin+p.y*cos)
	}
	return out
}

// box is the room that a text takes.
func (t svgText) box() svgBox { return boundsOf(t.corners(0)) }

// svgAdvance are the advance widths of printable ASCII in thousandths of the
// size, as a wide sans-serif face has them: a page does not bring its own font,
// so room is kept for the widest that is usual.
var svgAdvance = [95]int{
	318, 401, 460, 838, 636, 950, 780, 275, 390, 390, 500, 838, 318, 361, 318, 337,
	636, 636, 636, 636, 636, 636, 636, 636, 636, 636, 337, 337, 838, 838, 838, 531,
	1000, 684, 686, 698, 770, 632, 575, 775, 752, 295, 295, 656, 557, 863, 748, 787,
	603, 787, 695, 635, 611, 732, 684, 989, 685, 611, 685, 390, 337, 390, 838, 500,
	500, 613, 635, 550, 635, 615, 352, 635, 634, 278, 278, 579, 278, 974, 634, 612,
	635, 635, 411, 521, 392, 634, 592, 818, 592, 592, 525, 636, 337, 636, 838,
}

// svgWidth is the room a text takes along its line, in points.
func svgWidth(s string, size float64, bold bool) float64 {
	sum := 0.0
	for _, r := range wording.Plain(s) {
		switch {
		case r >= ' ' && r <= '~':
			sum += float64(svgAdvance[r-' '])
		default:
			sum += 700 * float64(wording.RuneColumns(r))
		}
	}
	if bold {
		sum *= 1.12
	}
	return sum * size / 1000
}

// svgClip shortens a text to a width.
func svgClip(s string, size, width float64, bold bool) string {
	s = wording.Plain(s)
	if svgWidth(s, size, bold) <= width {
		return s
	}
	runes := []rune(s)
	for len(runes) > 0 && svgWidth(string(runes)+"...", size, bold) > width {
		runes = runes[:len(runes)-1]
	}
	return strings.TrimRight(string(runes), " ") + "..."
}

// unbroken are the words of a text, a number together with its unit.
func unbroken(s string) []string {
	var out []string
	for _, word := range strings.Fields(s) {
		if n := len(out); n > 0 && isUnit(word) && strings.IndexByte("0123456789", out[n-1][len(out[n-1])-1]) >= 0 {
			out[n-1] += " " + word
			continue
		}
		out = append(out, word)
	}
	return out
}

// isUnit tells whether a word is a unit of length or temperature, with what may
// stand behind it in a sentence.
func isUnit(word string) bool {
	switch strings.TrimRight(word, ".,;:)") {
	case "in", "ft", "mm", "m", "degF", "degC":
		return true
	}
	return false
}

// svgWrap breaks a text into lines of a width. A word that is wider than a
// line is broken.
func svgWrap(s string, size, width float64, bold bool) []string {
	var lines []string
	line := ""
	for _, word := range unbroken(wording.Plain(s)) {
		for {
			joined := strings.TrimSpace(line + " " + word)
			if svgWidth(joined, size, bold) <= width {
				line = joined
				break
			}
			if line != "" {
				lines, line = append(lines, line), ""
				continue
			}
			n := 1
			runes := []rune(word)
			for n < len(runes)-1 && svgWidth(string(runes[:n+1]), size, bold) <= width {
				n++
			}
			lines, word = append(lines, string(runes[:n])), string(runes[n:])
			if word == "" {
				break
			}
		}
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

// svgDrawing is a drawing on one or more sheets.
type svgDrawing struct {
	r      *review.Review
	sheet  svgSheet
	id     string // what the ids of this drawing start with
	title  string
	body   svgCanvas
	sheets int
	note   string // beside the title: scale, or "no scale"
	bar    func(at svgPoint, c *svgCanvas)
	extra  []string // texts of the description
}

func newSVGDrawing(r *review.Review, id, title string) *svgDrawing {
	return &svgDrawing{r: r, sheet: svgPaper(r.System), id: id, title: title}
}

// write puts the sheets together. A sheet is white paper in any surroundings.
func (d *svgDrawing) write(o Options, defs string) []byte {
	var out svgCanvas
	role := `role="img"`
	if o.Embedded {
		role = `role="group"` // so that the links on it can be reached
	}
	height := d.sheet.height * float64(d.sheets)
	out.put(`<svg xmlns="http://www.w3.org/2000/svg" width="%s" height="%s" viewBox="0 0 %s %s" %s aria-labelledby="%s-title %s-desc" font-family="sans-serif">`,
		d.sheet.unitWidth, d.sheet.unitHeight(d.sheets), SvgNumber(d.sheet.width), SvgNumber(height), role, d.id, d.id)
	name := d.r.Job.Project.Name.Value
	out.put(`<title id="%s-title">%s</title>`, d.id, wording.XML(d.title+": "+name))
	out.put(`<desc id="%s-desc">%s</desc>`, d.id, wording.XML(strings.Join(d.extra, " ")))
	if defs != "" {
		out.put("<defs>\n%s</defs>", defs)
	}
	for i := range d.sheets {
		out.rect(svgBox{0, d.sheet.height * float64(i), d.sheet.width, d.sheet.height * float64(i+1)}, `fill="`+inkPaper+`"`)
	}
	out.Write(d.body.Bytes())
	for i := range d.sheets {
		d.titleBlock(&out, i, o.Version)
	}
	out.put(`</svg>`)
	return inLanguage(out.Bytes(), wording.LanguageOf(d.r))
}

// words are the elements of a drawing that people read.
var words = regexp.MustCompile(`(<(?:text|title|desc)\b[^>]*>)([^<]*)(</)`)

// inLanguage puts all that people read on a drawing into the spelling, signs and
// fractions of the job's system of units.
func inLanguage(svg []byte, say *wording.Language) []byte {
	return words.ReplaceAllFunc(svg, func(m []byte) []byte {
		p := words.FindSubmatch(m)
		return slices.Concat(p[1], []byte(say.Say(string(p[2]))), p[3])
	})
}

// titleBlock draws the border of a sheet and the strip along its lower edge.
func (d *svgDrawing) titleBlock(c *svgCanvas, sheet int, version string) {
	up := d.sheet.height * float64(sheet)
	frame := svgBox{sheetMargin, up + sheetMargin, d.sheet.width - sheetMargin, up + d.sheet.height - sheetMargin}
	c.rect(frame, svgStroke(inkLine, 1.2, ""))
	s := d.sheet.strip()
	s.y0, s.y1 = s.y0+up, s.y1+up
	c.line(svgPoint{s.x0, s.y0}, svgPoint{s.x1, s.y0}, svgStroke(inkLine, 1.2, ""))
	// A plumb line parts the fields, its own mark in place of a logotype.
	field := func(x float64) {
		c.line(svgPoint{x, s.y0}, svgPoint{x, s.y1 - 9}, svgStroke(inkThin, 0.5, ""))
		c.put(`<path d="%s" fill="%s"/>`, svgPath(true, svgPoint{x - 2, s.y1 - 9}, svgPoint{x + 2, s.y1 - 9}, svgPoint{x, s.y1 - 2}), inkThin)
	}
	p := d.r.Job.Project
	left, mid, right := s.x0+8, s.x0+0.37*s.width(), s.x0+0.72*s.width()
	field(mid)
	field(right)
	row := func(x, w, y, size float64, bold bool, fill, text string) {
		c.text(svgText{at: svgPoint{x, s.y0 + y}, text: svgClip(text, size, w-14, bold), size: size, bold: bold, fill: fill})
	}
	w := mid - left
	row(left, w, 16, sizeJob, true, inkText, p.Name.Value)
	row(left, w, 28, sizeText, false, inkText, p.Address.Value)
	row(left, w, 39, sizeText, false, inkSoft, labelled("authority", p.Authority.Value))
	row(left, w, 50, sizeText, false, inkSoft, joinKnown(", ", labelled("permit", p.Permit.Value), labelled("submittal by", p.Designer.Value)))
	row(left, w, 61, sizeText, false, inkSoft, labelled("built by", p.Contractor.Value))
	x := mid + 8
	row(x, right-mid, 16, sizeJob, true, inkText, d.title)
	note := d.note
	if sheet > 0 {
		note = "continued"
	}
	row(x, right-mid, 28, sizeText, false, inkText, note)
	if d.bar != nil && sheet == 0 {
		d.bar(svgPoint{x, s.y0 + 38}, c)
	}
	row(x, right-mid, 61, sizeText, false, inkSoft, drawingSet)
	x = right + 8
	w = s.x1 - right
	number := fmt.Sprintf("sheet %d of %d", sheet+1, d.sheets)
	row(x, w, 14, sizeText, true, inkText, number)
	past := svgWidth(number, sizeText, true) + 10
	row(x+past, w-past, 14, sizeText, false, inkSoft, joinKnown(", ", labelled("revision", p.Revision.Value), p.Date.Value))
	lines := svgWrap(madeBy+" "+wording.Notice, sizeText, w-14, false)
	if version != "" {
		lines = append(lines, svgWrap(wording.MadeWith(version, d.r.Book), sizeText, w-14, false)...)
	}
	for i, l := range lines {
		row(x, w, 25+lineHeight*float64(i), sizeText, false, inkSoft, l)
	}
}

// madeBy says whose drawing a sheet is: not that of who drew the submittal.
const madeBy = "A drawing for checking, made by plumbrule from the job file."

// drawingSet lists the drawings that belong together.
const drawingSet = "set: roof plan, attachment section, one-line diagram"

// labelled is a value behind its name, "" where there is none.
func labelled(name, value string) string {
	if value == "" {
		return ""
	}
	return name + " " + value
}

func joinKnown(sep string, parts ...string) string {
	var out []string
	for _, p := range parts {
		if p != "" {
			out = append(out, p)
		}
	}
	return strings.Join(out, sep)
}

// svgEntry is a paragraph of the column beside a drawing or of a list. It is
// laid out for a width and knows then how high it is.
type svgEntry func(width float64) (height float64, draw func(c *svgCanvas, at svgPoint))

// headed puts a heading above the first of some entries, so that it never
// stands alone at the foot of a column.
func headed(text string, entries ...svgEntry) []svgEntry {
	const h = 17.0
	if len(entries) == 0 {
		return nil
	}
	first := entries[0]
	return append([]svgEntry{func(width float64) (float64, func(*svgCanvas, svgPoint)) {
		below, draw := first(width)
		return h + below, func(c *svgCanvas, at svgPoint) {
			c.text(svgText{at: at.plus(0, 11), text: text, size: sizeHead, bold: true})
			draw(c, at.plus(0, h))
		}
	}}, entries[1:]...)
}

// svgParagraph is wrapped text beside a small picture of a width, which may be
// none.
func svgParagraph(text string, pictureWidth float64, picture func(c *svgCanvas, at svgPoint)) svgEntry {
	return func(width float64) (float64, func(*svgCanvas, svgPoint)) {
		lines := svgWrap(text, sizeText, width-pictureWidth, false)
		return lineHeight*float64(max(1, len(lines))) + 2.5, func(c *svgCanvas, at svgPoint) {
			if picture != nil {
				picture(c, at.plus(0, lineHeight/2))
			}
			for i, l := range lines {
				c.text(svgText{at: at.plus(pictureWidth, lineHeight*float64(i)+7.6), text: l, size: sizeText})
			}
		}
	}
}

// flow fills the column beside the drawing; what has no room goes on to
// further sheets, in columns. Nothing is left out.
func (d *svgDrawing) flow(side, further []svgEntry) {
	d.sheets = max(1, d.sheets)
	const inset = 8.0
	box := d.sheet.side()
	d.body.line(svgPoint{box.x0, box.y0}, svgPoint{box.x0, box.y1}, svgStroke(inkThin, 0.6, ""))
	y, width := box.y0+4, box.width()-2*inset
	for len(side) > 0 {
		h, draw := side[0](width)
		if y+h > box.y1-4 {
			break
		}
		draw(&d.body, svgPoint{box.x0 + inset, y})
		y, side = y+h, side[1:]
	}
	rest := append(side[:len(side):len(side)], further...)
	if len(rest) == 0 {
		return
	}
	columns := max(3, int(d.sheet.width/300))
	page := svgBox{sheetMargin, sheetMargin, d.sheet.width - sheetMargin, d.sheet.height - sheetMargin - titleHeight}
	pitch := page.width() / float64(columns)
	width = pitch - 2*inset
	column, y := columns, 0.0
	for _, e := range rest {
		h, draw := e(width)
		bottom := d.sheet.height*float64(d.sheets-1) + page.y1 - 4
		if column == columns || y+h > bottom {
			if column++; column >= columns {
				column = 0
				d.sheets++
			}
			y = d.sheet.height*float64(d.sheets-1) + page.y0 + 4
		}
		draw(&d.body, svgPoint{page.x0 + float64(column)*pitch + inset, y})
		y += h
	}
}
