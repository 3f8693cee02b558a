package drawing

import (
	"fmt"
	"math"

	"plumbrule/internal/quantity"
	"plumbrule/internal/wording"
)

// mostRows is how many rows are drawn before like parts are drawn as one.
const mostRows = 8

// lineGap is between the texts of one row of the diagram and the next.
const lineGap = 10.0

// largerPapers are the formats that a diagram takes, the smallest first.
func largerPapers(sys quantity.System) []svgSheet {
	sheet := func(w, h float64, unitWidth, unit string, side float64) svgSheet {
		return svgSheet{width: w, height: h, unitWidth: unitWidth + unit, unitHeight: func(n int) string { return SvgNumber(side*float64(n)) + unit }}
	}
	if sys == quantity.SI {
		return []svgSheet{svgPaper(sys), sheet(1190.55, 841.89, "420", "mm", 297), sheet(1683.78, 1190.55, "594", "mm", 420)}
	}
	return []svgSheet{svgPaper(sys), sheet(1224, 792, "17", "in", 11), sheet(1584, 1224, "22", "in", 17)}
}

// rollPaper is as wide as a diagram needs that no format takes.
func rollPaper(sys quantity.System, width float64) svgSheet {
	list := largerPapers(sys)
	last := list[len(list)-1]
	inches := math.Ceil(width / 72)
	return svgSheet{width: inches * 72, height: last.height, unitWidth: SvgNumber(inches) + "in", unitHeight: func(n int) string { return SvgNumber(last.height/72*float64(n)) + "in" }}
}

// wide is the part of a sheet above the title block.
func (s svgSheet) wide() svgBox {
	return svgBox{sheetMargin, sheetMargin, s.width - sheetMargin, s.height - sheetMargin - titleHeight}
}

// halves are how far the symbols reach above and below their line.
var halves = map[string]float64{"modules": 8, "micros": 8, "inverter": 13, "transformer": 6, "tag": 6}

func (x *linePart) half() float64 {
	if h, ok := halves[x.symbol]; ok {
		return h
	}
	return 8
}

func (x *linePart) up() float64 { return x.half() + 4 + lineHeight*float64(len(x.above)) }

func (x *linePart) down() float64 { return x.half() + 4 + lineHeight*float64(len(x.below)) }

// The inside of an enclosure.
const (
	boardInset = 6.0  // of the enclosure in its column
	busGap     = 12.0 // between the devices and the busbar
	mainAbove  = 58.0 // of the main of the service above the lines that reach its busbar
)

func (b *lineBoard) mainWidth() float64 {
	if b.main == nil {
		return busGap
	}
	return b.main.width + 4
}

// boxWidth is that of the enclosure itself.
func (b *lineBoard) boxWidth() float64 {
	w := b.entries + 2*busGap + b.mainWidth()
	for _, l := range b.name {
		w = math.Max(w, svgWidth(l, sizeText, true)/1.6)
	}
	return math.Max(w, 76)
}

// beside is what stands at the right of the service's enclosure.
const beside = 128.0

func (n *lineNode) boardUp() float64 {
	up := 12.0
	for _, c := range n.children {
		if c.entry != nil {
			up = math.Max(up, c.entry.up())
		}
	}
	if n.board.main != nil && !n.board.service {
		up = math.Max(up, n.board.main.up())
	}
	return up + 6
}

func (n *lineNode) boardDown() float64 {
	down := 14.0
	for _, c := range n.children {
		if c.entry != nil {
			down = math.Max(down, c.entry.down())
		}
	}
	if n.board.main != nil && !n.board.service {
		down = math.Max(down, n.board.main.down())
	}
	return down + 4
}

// lineColumns is how a diagram is laid out across.
type lineColumns struct {
	parts  [][]float64 // widths by level and place in the line
	boards []float64   // width of the widest enclosure by level, 0 where there is none
	up     float64     // room above a line
	down   float64     // and below
}

func (l *lineColumns) width(level int) float64 {
	w := 0.0
	for _, x := range l.parts[level] {
		w += x
	}
	return math.Max(w+8, l.boards[level])
}

func (l *lineColumns) total() float64 {
	sum := 0.0
	for i := range l.parts {
		sum += l.width(i)
	}
	return sum
}

func (l *lineColumns) pitch() float64 { return math.Max(44, l.up+l.down+lineGap) }

// measure finds the widths and heights that a tree needs.
func measure(root *lineNode) *lineColumns {
	l := &lineColumns{}
	boards := map[int]int{}
	head, foot := 0.0, 0.0 // of enclosures above their first line and below their last
	var walk func(n *lineNode, level int)
	walk = func(n *lineNode, level int) {
		n.level = level
		for len(l.parts) <= level {
			l.parts, l.boards = append(l.parts, nil), append(l.boards, 0)
		}
		for i, x := range n.parts {
			if i == len(l.parts[level]) {
				l.parts[level] = append(l.parts[level], 0)
			}
			l.parts[level][i] = math.Max(l.parts[level][i], x.width)
			l.up, l.down = math.Max(l.up, x.up()), math.Max(l.down, x.down())
		}
		if n.entry != nil {
			l.up, l.down = math.Max(l.up, n.entry.up()), math.Max(l.down, n.entry.down())
		}
		if b := n.board; b != nil {
			w := b.boxWidth() + 2*boardInset
			b.name = wrapAll(b.name, w-4, true)
			b.foot = wrapAll(b.foot, w-4, false)
			if b.service {
				w += beside
			}
			l.boards[level] = math.Max(l.boards[level], w)
			boards[level]++
			names, foots := lineHeight*float64(len(b.name))+6, lineHeight*float64(len(b.foot))+6
			head, foot = math.Max(head, n.boardUp()+names), math.Max(foot, n.boardDown()+foots)
		}
		for _, c := range n.children {
			walk(c, level+1)
		}
	}
	walk(root, 0)
	for _, n := range boards {
		if n > 1 {
			l.up, l.down = math.Max(l.up, head), math.Max(l.down, foot)
		}
	}
	return l
}

// schematics draws the trees, on as many sheets as their rows need, and gives
// the height at which they end.
func (p *oneLine) schematics(trees []*lineNode) float64 {
	rows, width := 0, 0.0
	for _, t := range trees {
		rows += t.leaves()
	}
	if rows > mostRows {
		for _, t := range trees {
			t.merge()
		}
		p.notes = append(p.notes, "Like parts are drawn as one; the schedules list each.")
	}
	for _, t := range trees {
		width = math.Max(width, measure(t).total())
	}
	p.sheet = rollPaper(p.r.System, width+2*sheetMargin+24)
	for _, s := range largerPapers(p.r.System) {
		if s.wide().width() >= width+16 {
			p.sheet = s
			break
		}
	}
	const top = 16.0 // for flags
	field := p.sheet.wide()
	p.sheets = 1
	y := field.y0
	repeated := false
	for _, t := range trees {
		for from := 0; from < t.leaves(); {
			start, end := p.sheet.height*float64(p.sheets-1)+field.y0, p.sheet.height*float64(p.sheets-1)+field.y1
			// As many rows as there is room for, one at least on a sheet of its own.
			to := t.leaves()
			var part *lineNode
			var l *lineColumns
			var up, down float64
			for ; to > from; to-- {
				part = t.rows(from, to)
				l = measure(part)
				l.place(part, field.x0+8+math.Max(0, (field.width()-16-l.total())/2)+l.total())
				up, down = p.extent(part)
				if y+top+down-up <= end || to == from+1 && y == start {
					break
				}
			}
			if to == from {
				p.sheets++
				y = p.sheet.height*float64(p.sheets-1) + field.y0
				continue
			}
			repeated = repeated || from > 0
			part.move(y + top - up)
			area := svgBox{field.x0, y, field.x1, math.Min(end, y+top+down-up+6)}
			p.schematic(part, l, area, t != trees[0])
			y, from = area.y1, to
		}
	}
	if repeated {
		p.notes = append(p.notes, fmt.Sprintf("The diagram is on %s; the line to the service is repeated on each.", wording.Plural(p.sheets, "sheet", "sheets")))
	}
	if !knownConnection(p.j) {
		p.notes = append(p.notes, "Where the system connects is not stated; its line ends open.")
	}
	if p.derived {
		p.notes = append(p.notes, derivedMark+" derived: the job leaves the value out, and it follows from others.")
	}
	return y
}

// schematic draws a part of the diagram that was placed.
func (p *oneLine) schematic(root *lineNode, l *lineColumns, area svgBox, apart bool) {
	p.placer = newSVGPlacer(area) // flags keep off what follows below
	p.draw(root, l)
	if apart {
		p.looseEnd(root)
	}
}

// place gives the nodes of a tree their places, its first line at height zero.
func (l *lineColumns) place(root *lineNode, right float64) {
	row := 0.0
	var place func(n *lineNode, right float64)
	place = func(n *lineNode, right float64) {
		n.x1 = right
		n.x0 = right - l.width(n.level)
		if len(n.children) == 0 {
			n.y = row
			row += l.pitch()
			return
		}
		for _, c := range n.children {
			place(c, n.x0)
		}
		n.y = (n.children[0].y + n.children[len(n.children)-1].y) / 2
	}
	place(root, right)
}

// extent is how far a tree that was placed reaches up and down.
func (p *oneLine) extent(n *lineNode) (top, bottom float64) {
	top, bottom = n.y-14, n.y+14
	for _, x := range n.all() {
		top, bottom = math.Min(top, n.y-x.up()), math.Max(bottom, n.y+x.down())
	}
	if b := n.board; b != nil {
		box, _ := p.boardBox(n)
		top = math.Min(top, box.y0-6-lineHeight*float64(len(b.name)))
		foot := box.y1 + 6 + lineHeight*float64(len(b.foot))
		if b.service {
			foot = math.Max(box.y1, n.y+20) + 14 + lineHeight*float64(len(b.foot)+3)
		}
		bottom = math.Max(bottom, foot)
	}
	for _, c := range n.children {
		t, b := p.extent(c)
		top, bottom = math.Min(top, t), math.Max(bottom, b)
	}
	return top, bottom
}

// move shifts a tree down.
func (n *lineNode) move(by float64) {
	n.y += by
	for _, c := range n.children {
		c.move(by)
	}
}

// columns lays entries below each other in columns of the width of a legend,
// from a height on, and gives the height at which they end. What has no room
// goes on to further sheets.
func (p *oneLine) columns(entries []svgEntry, y float64) float64 {
	const inset = 8.0
	if len(entries) == 0 {
		return y
	}
	box := p.sheet.wide()
	n := math.Max(1, math.Floor(box.width()/180))
	pitch := box.width() / n
	heights := make([]float64, len(entries))
	draws := make([]func(*svgCanvas, svgPoint), len(entries))
	total, most := 0.0, 0.0
	for i, e := range entries {
		heights[i], draws[i] = e(pitch - 2*inset)
		total, most = total+heights[i], math.Max(most, heights[i])
	}
	bottom := func() float64 { return p.sheet.height*float64(p.sheets-1) + box.y1 - 4 }
	newSheet := func() {
		p.sheets++
		y = p.sheet.height*float64(p.sheets-1) + box.y0 + 4
	}
	if y+most > bottom() {
		newSheet()
	}
	for i := 0; i < len(entries); {
		end := math.Min(bottom(), y+fewest(heights[i:], int(n)))
		low := y
		for column := 0.0; column < n && i < len(entries); column++ {
			at := y
			for ; i < len(entries) && (at+heights[i] <= end+0.01 || at == y); i++ {
				draws[i](&p.body, svgPoint{box.x0 + column*pitch + inset, at})
				at += heights[i]
			}
			low = math.Max(low, at)
		}
		y = low
		if i < len(entries) {
			newSheet()
		}
	}
	return y + 4
}

// fewest is the least height at which entries fit in a number of columns.
func fewest(heights []float64, columns int) float64 {
	total, most := 0.0, 0.0
	for _, h := range heights {
		total, most = total+h, math.Max(most, h)
	}
	fits := func(height float64) bool {
		used, at := 1, 0.0
		for _, h := range heights {
			if at+h > height {
				used, at = used+1, 0
			}
			at += h
		}
		return used <= columns
	}
	height := math.Max(most, total/float64(columns))
	for !fits(height) {
		height += 4
	}
	return height
}

// stack lays tables below each other over the width of the sheet, from a height
// on, and on further sheets where that is full. A table that fits on a sheet is
// not parted. It gives where they end.
func (p *oneLine) stack(tables [][]svgEntry, y float64) float64 {
	const inset = 8.0
	box := p.sheet.wide()
	for _, entries := range tables {
		whole := 0.0
		for _, e := range entries {
			h, _ := e(box.width() - 2*inset)
			whole += h
		}
		room := p.sheet.height*float64(p.sheets-1) + box.y1 - 4 - y
		apart := whole > room && whole < box.height()-8
		for i, e := range entries {
			h, draw := e(box.width() - 2*inset)
			up := p.sheet.height * float64(p.sheets-1)
			if (y+h > up+box.y1-4 || i == 0 && apart) && y > up+box.y0+4 {
				p.sheets++
				y = p.sheet.height*float64(p.sheets-1) + box.y0 + 4
			}
			draw(&p.body, svgPoint{box.x0 + inset, y})
			y += h
		}
	}
	return y
}
