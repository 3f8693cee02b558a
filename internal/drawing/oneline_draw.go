package drawing

import (
	"fmt"
	"math"

	"plumbrule/internal/job"
)

// The pens of a one-line diagram.
var (
	penWire   = svgStroke(inkLine, 0.9, "")
	penHeavy  = svgStroke(inkLine, 1.2, "")
	penBus    = svgStroke(inkLine, 3, "")
	penGround = svgStroke(inkCopper, 1, "")
)

// draw draws a node and what feeds it, and tells the placer what it takes.
func (p *oneLine) draw(n *lineNode, l *lineColumns) {
	for _, c := range n.children {
		p.draw(c, l)
	}
	if n.board != nil {
		p.boardOf(n)
		return
	}
	if len(n.children) > 1 {
		first, last := n.children[0], n.children[len(n.children)-1]
		p.wire(svgPoint{n.x0, first.y}, svgPoint{n.x0, last.y})
		for _, c := range n.children {
			p.body.circle(svgPoint{n.x0, c.y}, 1.6, `fill="`+inkLine+`"`)
		}
		p.body.circle(svgPoint{n.x0, n.y}, 1.6, `fill="`+inkLine+`"`)
	}
	x, from := n.x0+4, n.x0
	for i, s := range n.parts {
		w := l.parts[n.level][i]
		left, right := p.symbol(s, svgPoint{x + w/2, n.y}, n.merged)
		if i > 0 || len(n.children) > 0 {
			p.wire(svgPoint{from, n.y}, svgPoint{left, n.y})
		}
		from = right
		x += w
	}
	p.wire(svgPoint{from, n.y}, svgPoint{n.x1, n.y})
}

// looseEnd marks a line that leads nowhere.
func (p *oneLine) looseEnd(n *lineNode) {
	at := svgPoint{n.x1 + 5, n.y}
	p.body.circle(at, 3, svgStroke(inkBrick, 1.2, ""))
	p.take(svgBox{at.x - 4, at.y - 4, at.x + 4, at.y + 4})
	p.symbols["loose"] = true
}

func (p *oneLine) wire(a, b svgPoint) {
	p.body.line(a, b, penWire)
	p.placer.stroke(a, b, 1)
}

// lines writes texts below each other about a middle and keeps flags off them.
func (p *oneLine) lines(lines []string, at svgPoint, anchor string, bold bool) {
	for i, l := range lines {
		t := svgText{at: at.plus(0, lineHeight*float64(i)), text: l, size: sizeText, anchor: anchor, bold: bold}
		if t.text == "" {
			continue
		}
		p.body.text(t)
		p.placer.take(t.box())
	}
}

func (p *oneLine) anchor(at svgPoint, keys ...string) {
	for _, k := range keys {
		if _, seen := p.anchors[k]; !seen {
			p.anchors[k] = lineAnchor{at, p.placer}
		}
	}
}

func (p *oneLine) take(b svgBox) { p.placer.take(b) }

// symbol draws one symbol about a centre with its texts, and gives its two ends
// on the line.
func (p *oneLine) symbol(s *linePart, c svgPoint, merged int) (left, right float64) {
	half, more := s.half(), ""
	if merged > 0 {
		more = fmt.Sprintf(" + %d", merged)
	}
	left, right = c.x-8, c.x+8
	bold := true
	switch s.symbol {
	case "modules":
		left, right = c.x-12, p.modules(c)
	case "micros":
		p.modules(c.plus(-16, 0))
		p.wire(c.plus(-4, 0), c.plus(6, 0))
		p.symbols["inverter"] = true
		left, right = c.x-28, p.converterBox(c.plus(14, 0), 8)
	case "inverter":
		left, right = c.x-half, p.converterBox(c, half)
		p.symbols["inverter"] = true
	case "tag":
		text := s.tag + more
		w := svgWidth(text, sizeText, true) + 6
		b := svgBox{c.x - w/2, c.y - half, c.x + w/2, c.y + half}
		p.body.rect(b, fmt.Sprintf(`fill="%s" stroke="%s" stroke-width="0.7"`, inkPaper, inkLine))
		p.body.text(svgText{at: c.plus(0, 2.9), text: text, size: sizeText, anchor: "middle", bold: true})
		p.take(b)
		p.symbols["tag"] = true
		left, right = b.x0, b.x1
	default:
		bold = false
		p.deviceSymbol(&p.body, s.symbol, c)
		p.take(svgBox{c.x - 8, c.y - 7, c.x + 8, c.y + 4})
		p.symbols[s.symbol] = true
	}
	above := s.above
	if len(above) > 0 && s.symbol != "tag" && more != "" {
		above = append(above[:len(above)-1:len(above)-1], above[len(above)-1]+more)
	}
	p.lines(above, c.plus(0, -half-4-lineHeight*float64(max(0, len(above)-1))), "middle", bold)
	p.lines(s.below, c.plus(0, half+10), "middle", false)
	p.anchor(c.plus(0, -half), s.keys...)
	return left, right
}

// modules draws a frame with the wedge of a photovoltaic generator and gives its
// right side.
func (p *oneLine) modules(c svgPoint) float64 {
	b := svgBox{c.x - 12, c.y - 8, c.x + 12, c.y + 8}
	p.body.rect(b, penHeavy)
	p.body.put(`<path d="%s" %s/>`, svgPath(false, svgPoint{b.x0, b.y0}, svgPoint{b.x0 + 7, c.y}, svgPoint{b.x0, b.y1}), penWire)
	p.take(b)
	p.symbols["modules"] = true
	return b.x1
}

// boardOf draws an enclosure: the devices at the ends of the lines that reach
// it, its busbar, and its main.
func (p *oneLine) boardOf(n *lineNode) {
	b := n.board
	left := n.x0 + boardInset
	bus := left + b.entries + busGap
	joined := p.joinsBus(n)
	box, main := p.boardBox(n)
	first, last := n.y, n.y
	if len(n.children) > 0 {
		first, last = n.children[0].y, n.children[len(n.children)-1].y
	}
	if b.service && !joined {
		first, last = main, main+28
	}
	p.body.rect(box, svgStroke(inkLine, 1, "5 2.5"))
	p.body.line(svgPoint{bus, math.Min(first, main) - 9}, svgPoint{bus, last + 9}, penBus)
	p.take(svgBox{bus - 2, math.Min(first, main) - 9, bus + 2, last + 9})
	p.symbols["panel"], p.symbols["busbar"] = true, true
	for _, c := range n.children {
		if !joined {
			break
		}
		at := svgPoint{left + b.entries/2, c.y}
		from := n.x0
		if c.entry != nil {
			l, r := p.symbol(c.entry, at, 0)
			p.wire(svgPoint{from, c.y}, svgPoint{l, c.y})
			from = r
		}
		p.wire(svgPoint{from, c.y}, svgPoint{bus, c.y})
		p.body.circle(svgPoint{bus, c.y}, 2, `fill="`+inkLine+`"`)
	}
	out := bus
	if b.main != nil {
		l, r := p.symbol(b.main, svgPoint{bus + busGap + b.main.width/2, main}, 0)
		p.wire(svgPoint{bus, main}, svgPoint{l, main})
		out = r
	}
	p.lines(b.name, svgPoint{box.x0, box.y0 - 4 - lineHeight*float64(len(b.name)-1)}, "start", true)
	p.anchor(svgPoint{box.x0 + 10, box.y0}, b.keys...)
	if !b.service {
		p.lines(b.foot, svgPoint{box.x0, box.y1 + 10}, "start", false)
		p.wire(svgPoint{out, n.y}, svgPoint{n.x1, n.y})
		return
	}
	p.utility(n, box, svgPoint{out, main}, bus, joined)
}

// joinsBus tells whether the lines of its children end at the busbar of an
// enclosure.
func (p *oneLine) joinsBus(n *lineNode) bool {
	return len(n.children) > 0 && !n.tap && (!n.board.service || knownConnection(p.j))
}

// boardBox is the enclosure of a node that was placed, and the height of its
// main.
func (p *oneLine) boardBox(n *lineNode) (box svgBox, main float64) {
	b := n.board
	first, last := n.y, n.y
	if len(n.children) > 0 {
		first, last = n.children[0].y, n.children[len(n.children)-1].y
	}
	box = svgBox{n.x0 + boardInset, first - n.boardUp(), n.x0 + boardInset + b.boxWidth(), last + n.boardDown()}
	main = n.y
	if b.service {
		if main = first - mainAbove; !p.joinsBus(n) {
			main = n.y - mainAbove
			box.y1 = main + 40
		}
		box.y0 = main - b.main.up() - 2
	}
	return box, main
}

// utility draws what stands beside and below the enclosure of the service: the
// meter and the utility, the loads, the electrode, and the line of a system that
// joins ahead of the main or along a feeder.
func (p *oneLine) utility(n *lineNode, box svgBox, out svgPoint, bus float64, joined bool) {
	y := out.y
	tap, meter, utility := box.x1+14, box.x1+40, box.x1+84
	p.wire(out, svgPoint{meter - 9, y})
	p.body.circle(svgPoint{meter, y}, 9, penHeavy)
	p.body.text(svgText{at: svgPoint{meter, y + 2.9}, text: "M", size: sizeText, anchor: "middle", bold: true})
	p.wire(svgPoint{meter + 9, y}, svgPoint{utility - 8, y})
	p.body.circle(svgPoint{utility, y}, 8, penHeavy)
	c := SvgNumber
	p.body.put(`<path d="M%s %sq2.5 -6 5 0t5 0" %s/>`, c(utility-5), c(y), penWire)
	p.take(svgBox{meter - 9, y - 9, utility + 8, y + 9})
	p.lines([]string{"meter"}, svgPoint{meter, y - 13}, "middle", false)
	p.lines([]string{"utility"}, svgPoint{utility, y - 13}, "middle", true)
	if fault := p.text(p.j.Site.FaultCurrent); fault != "" {
		p.lines([]string{"fault current", fault}, svgPoint{utility, y + 20}, "middle", false)
	}
	// The loads leave the busbar between the main and its other end.
	load := y + 28
	tip := box.x1 + 8
	p.wire(svgPoint{bus, load}, svgPoint{tip - 7, load})
	p.body.put(`<path d="%s" fill="%s"/>`, svgPath(true, svgPoint{tip - 7, load - 3}, svgPoint{tip - 7, load + 3}, svgPoint{tip, load}), inkLine)
	if n.tap {
		p.lines([]string{"loads"}, svgPoint{tip + 14, load + 3}, "start", false)
	} else {
		p.lines([]string{"loads"}, svgPoint{tip + 4, load + 3}, "start", false)
	}
	p.anchor(svgPoint{box.x0 + box.width()/2, box.y0}, "service")
	// The line of the system where it does not end at the busbar.
	switch kind := p.j.Interconnection.Kind.Value; {
	case joined:
		p.anchor(svgPoint{bus, n.y}, "interconnection")
	case len(n.children) == 0:
		p.anchor(svgPoint{bus, y}, "interconnection")
	default:
		if first, last := n.children[0].y, n.children[len(n.children)-1].y; last > first {
			p.wire(svgPoint{n.x0, first}, svgPoint{n.x0, last})
		}
		if !knownConnection(p.j) {
			p.looseEnd(&lineNode{x1: n.x0, y: n.y})
			p.anchor(svgPoint{n.x0, n.y}, "interconnection")
			break
		}
		if kind != "supply-side" { // a feeder of the service
			tap = bus
			p.wire(svgPoint{bus, y + 37}, svgPoint{bus, n.y + 14})
			p.body.put(`<path d="%s" fill="%s"/>`, svgPath(true, svgPoint{bus - 3, n.y + 14}, svgPoint{bus + 3, n.y + 14}, svgPoint{bus, n.y + 21}), inkLine)
			p.lines([]string{"feeder to loads"}, svgPoint{bus + 7, n.y + 20}, "start", false)
		} else {
			p.wire(svgPoint{tap, n.y}, svgPoint{tap, y})
			p.body.circle(svgPoint{tap, y}, 2, `fill="`+inkLine+`"`)
		}
		p.wire(svgPoint{n.x0, n.y}, svgPoint{tap, n.y})
		p.body.circle(svgPoint{tap, n.y}, 2, `fill="`+inkLine+`"`)
		p.anchor(svgPoint{tap, n.y}, "interconnection")
	}
	p.symbols["utility"], p.symbols["meter"], p.symbols["ground"] = true, true, true
	at := svgPoint{box.x0 + 8, box.y1}
	foot := box.y1 + 10
	if !joined && len(n.children) > 0 { // below the line of the system
		at.y, foot = box.y1, n.y+30
		p.body.line(at, svgPoint{at.x, n.y - 4}, penGround)
		p.body.line(svgPoint{at.x, n.y + 4}, svgPoint{at.x, n.y + 20}, penGround)
		p.body.put(`<path d="M%s %sa4 4 0 0 1 0 8" %s/>`, c(at.x), c(n.y-4), penGround)
		at.y = n.y + 20
	}
	p.earth(at)
	p.take(svgBox{at.x - 6, at.y, at.x + 6, at.y + 15})
	p.anchor(at.plus(0, 12), "grounding")
	wide := n.x1 - box.x0 - 24
	p.lines(append(wrapAll(n.board.foot, wide, false), wrapAll([]string{p.electrode()}, wide, false)...), svgPoint{box.x0 + 20, foot}, "start", false)
}

// electrode says what the service is grounded to.
func (p *oneLine) electrode() string {
	g := &p.j.Grounding
	if !g.Electrode.Known {
		return "grounding electrode not stated"
	}
	s := "grounding electrode: " + g.Electrode.Value
	if g.Rods.Known && g.Rods.Value > 1 {
		s += fmt.Sprintf(", %d of them", g.Rods.Value)
	}
	if g.ElectrodeConductor.Known {
		s += ", " + joinKnown(" ", sizeShort(g.ElectrodeConductor.Value), materialShort(g.ElectrodeMaterial.Value))
	}
	return s
}

// converterBox draws an inverter about a centre: direct current in, alternating
// current out. It gives its right side.
func (p *oneLine) converterBox(c svgPoint, half float64) float64 {
	b := svgBox{c.x - half, c.y - half, c.x + half, c.y + half}
	p.body.rect(b, penHeavy)
	p.body.line(svgPoint{b.x0, b.y1}, svgPoint{b.x1, b.y0}, penWire)
	q := half / 2
	dc, ac := c.plus(-q, -q), c.plus(q, q)
	p.body.line(dc.plus(-q*0.6, -q*0.25), dc.plus(q*0.6, -q*0.25), penWire)
	p.body.line(dc.plus(-q*0.6, q*0.3), dc.plus(q*0.6, q*0.3), svgStroke(inkLine, 0.9, "1.2 0.8"))
	n := SvgNumber
	p.body.put(`<path d="M%s %sq%s %s %s 0t%s 0" %s/>`, n(ac.x-q*0.7), n(ac.y), n(q*0.35), n(-q*0.9), n(q*0.7), n(q*0.7), penWire)
	p.take(b)
	return b.x1
}

// deviceSymbol draws the general symbols: a fuse as a frame on the line, a
// circuit breaker as an arc over a gap, a disconnect as an open blade, a panel
// as a busbar across the line, a transformer as two rings.
func (p *oneLine) deviceSymbol(c *svgCanvas, symbol string, at svgPoint) {
	n := SvgNumber
	switch symbol {
	case "fuse":
		c.rect(svgBox{at.x - 8, at.y - 3, at.x + 8, at.y + 3}, penHeavy)
		c.line(at.plus(-8, 0), at.plus(8, 0), penWire)
	case "breaker":
		c.circle(at.plus(-6.5, 0), 1.4, penHeavy)
		c.circle(at.plus(6.5, 0), 1.4, penHeavy)
		c.put(`<path d="M%s %sQ%s %s %s %s" %s/>`, n(at.x-7), n(at.y-2.5), n(at.x), n(at.y-9), n(at.x+7), n(at.y-2.5), penHeavy)
	case "panel":
		c.rect(svgBox{at.x - 8, at.y - 5, at.x + 8, at.y + 5}, svgStroke(inkLine, 1, "5 2.5"))
	case "transformer":
		c.circle(at.plus(-3, 0), 5, penHeavy)
		c.circle(at.plus(3, 0), 5, penHeavy)
	default:
		c.circle(at.plus(-6.5, 0), 1.4, penHeavy)
		c.circle(at.plus(6.5, 0), 1.4, penHeavy)
		c.line(at.plus(-5.5, -1), at.plus(5, -6.5), penHeavy)
	}
}

// earth draws an earth symbol on a short stem.
func (p *oneLine) earth(at svgPoint) {
	n := SvgNumber
	p.body.put(`<path d="M%s %sv10M%s %sh10M%s %sh6M%s %sh2" %s/>`, n(at.x), n(at.y), n(at.x-5), n(at.y+10), n(at.x-3), n(at.y+12), n(at.x-1), n(at.y+14), penGround)
}

func (p *oneLine) legend() []svgEntry {
	var out []svgEntry
	add := func(key, text string, picture func(c *svgCanvas, at svgPoint)) {
		if p.symbols[key] {
			out = append(out, svgParagraph(text, 28, picture))
		}
	}
	// The symbols are drawn by the same functions as in the diagram.
	mini := func(f func(q *oneLine, at svgPoint)) func(*svgCanvas, svgPoint) {
		return func(c *svgCanvas, at svgPoint) {
			q := &oneLine{svgDrawing: &svgDrawing{}, placer: newSVGPlacer(svgBox{})}
			f(q, at)
			c.Write(q.body.Bytes())
		}
	}
	device := func(symbol string) func(*svgCanvas, svgPoint) {
		return mini(func(q *oneLine, at svgPoint) { q.deviceSymbol(&q.body, symbol, at.plus(11, 1.5)) })
	}
	add("modules", "photovoltaic modules", mini(func(q *oneLine, at svgPoint) {
		b := svgBox{at.x + 3, at.y - 4, at.x + 19, at.y + 4}
		q.body.rect(b, penHeavy)
		q.body.put(`<path d="%s" %s/>`, svgPath(false, svgPoint{b.x0, b.y0}, svgPoint{b.x0 + 5, at.y}, svgPoint{b.x0, b.y1}), penWire)
	}))
	add("inverter", "inverter", mini(func(q *oneLine, at svgPoint) { q.converterBox(at.plus(11, 0), 4.4) }))
	add("fuse", "fuse", device("fuse"))
	add("breaker", "circuit breaker", device("breaker"))
	add("disconnect", "disconnect", device("disconnect"))
	add("panel", "enclosure of a panel or combiner", device("panel"))
	add("transformer", "transformer", device("transformer"))
	add("tag", "conductors, with their circuit in the schedule", mini(func(q *oneLine, at svgPoint) {
		q.body.rect(svgBox{at.x + 4, at.y - 4, at.x + 18, at.y + 4}, svgStroke(inkLine, 0.7, ""))
	}))
	add("loose", "loose end", mini(func(q *oneLine, at svgPoint) {
		q.body.line(at, at.plus(12, 0), penWire)
		q.body.circle(at.plus(15, 0), 3, svgStroke(inkBrick, 1.2, ""))
	}))
	add("busbar", "busbar", mini(func(q *oneLine, at svgPoint) { q.body.line(at, at.plus(22, 0), penBus) }))
	add("ground", "grounding electrode", mini(func(q *oneLine, at svgPoint) {
		n := SvgNumber
		q.body.put(`<path d="M%s %sv5M%s %sh10M%s %sh6M%s %sh2" %s/>`, n(at.x+11), n(at.y-5), n(at.x+6), n(at.y), n(at.x+8), n(at.y+2), n(at.x+10), n(at.y+4), penGround)
	}))
	return out
}

// svgColumn is one column of a schedule with its share of the width.
type svgColumn struct {
	head  string
	share float64
}

// schedule is a table with a heading. A cell that is too narrow is wrapped.
func schedule(title string, columns []svgColumn, rows [][]string) []svgEntry {
	if len(rows) == 0 {
		return nil
	}
	sum := 0.0
	for _, c := range columns {
		sum += c.share
	}
	line := func(cells []string, bold bool) svgEntry {
		return func(width float64) (float64, func(*svgCanvas, svgPoint)) {
			wrapped, most := make([][]string, len(cells)), 1
			for i, cell := range cells {
				if cell == "" {
					cell = "-"
				}
				wrapped[i] = svgWrap(cell, sizeText, width*columns[i].share/sum-5, bold)
				most = max(most, len(wrapped[i]))
			}
			h := lineHeight*float64(most) + 2.5
			return h, func(c *svgCanvas, at svgPoint) {
				x := at.x
				for i, lines := range wrapped {
					for k, l := range lines {
						c.text(svgText{at: svgPoint{x, at.y + lineHeight*float64(k) + 7}, text: l, size: sizeText, bold: bold})
					}
					x += width * columns[i].share / sum
				}
				c.line(svgPoint{at.x, at.y + h - 0.5}, svgPoint{at.x + width, at.y + h - 0.5}, svgStroke(inkThin, 0.4, ""))
			}
		}
	}
	heads := make([]string, len(columns))
	for i, c := range columns {
		heads[i] = c.head
	}
	out := []svgEntry{line(heads, true)}
	for _, r := range rows {
		out = append(out, line(r, false))
	}
	return headed(title, out...)
}

// schedules list every circuit, device, inverter and string of the job.
func (p *oneLine) schedules() [][]svgEntry {
	var circuits, devices, inverters, strs [][]string
	for _, c := range p.tags {
		size := ""
		if c.Conductor.Known {
			size = c.Conductor.Value.String()
		}
		circuits = append(circuits, []string{p.tag(c), c.Name.Value, c.Kind.Value, joinKnown(" ", size, c.Material.Value, c.Insulation.Value),
			sizeName(c.Ground), joinKnown(" ", c.Raceway.Value, c.TradeSize.Value), p.text(c.Length), c.Overcurrent.Value})
	}
	for i := range p.j.Overcurrents {
		d := &p.j.Overcurrents[i]
		devices = append(devices, []string{d.Name.Value, d.Kind.Value, p.text(d.Rating), p.text(d.Voltage), p.text(d.Interrupting)})
	}
	for i := range p.j.Disconnects {
		d := &p.j.Disconnects[i]
		devices = append(devices, []string{d.Name.Value, joinKnown(", ", "disconnect", d.Purpose.Value), p.text(d.Rating), p.text(d.Voltage), p.text(d.InterruptingRating)})
	}
	for i := range p.j.Inverters {
		v := &p.j.Inverters[i]
		row := []string{v.Name.Value, v.Type.Value, p.countText(v.Count), "", "", "", v.Place.Value}
		if t, ok := p.j.InverterTypeOf(v); ok {
			row[3], row[4], row[5] = p.text(t.Output), p.text(t.OutputCurrent), p.text(t.OutputVoltage)
		}
		inverters = append(inverters, row)
	}
	for i := range p.j.Strings {
		s := &p.j.Strings[i]
		row := []string{s.Name.Value, arraysText(s), p.countText(s.Modules), "", s.Converter.Value, joinKnown(", input ", s.Inverter.Value, p.countText(s.Input)), s.Fuse.Value}
		if t, ok := p.j.ModuleTypeOf(s); ok {
			row[3] = t.Name.Value
		}
		strs = append(strs, row)
	}
	return [][]svgEntry{
		schedule("Circuits", []svgColumn{{"tag", 4}, {"circuit", 15}, {"kind", 11}, {"conductors", 18}, {"ground", 9}, {"raceway", 9}, {"length", 8}, {"device", 8}}, circuits),
		schedule("Overcurrent devices and disconnects", []svgColumn{{"name", 20}, {"kind", 22}, {"rating", 12}, {"voltage", 12}, {"interrupting", 14}}, devices),
		schedule("Inverters", []svgColumn{{"name", 18}, {"type", 14}, {"units", 7}, {"output", 11}, {"current", 11}, {"voltage", 11}, {"place", 10}}, inverters),
		schedule("Strings", []svgColumn{{"name", 12}, {"array", 14}, {"modules", 9}, {"module", 14}, {"converter", 13}, {"inverter", 20}, {"fuse", 9}}, strs),
	}
}

func (p *oneLine) countText(c job.Count) string {
	n, known := p.count(c)
	if !known {
		return ""
	}
	return SvgNumber(float64(n))
}

func sizeName(s job.Size) string {
	if !s.Known {
		return ""
	}
	return s.Value.String()
}
