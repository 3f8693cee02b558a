package drawing

import (
	"fmt"
	"math"
	"strings"

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
func (p *oneLine) draw(n *lineNode) {
	for _, c := range n.children {
		p.draw(c)
	}
	if len(n.children) > 1 {
		first, last := n.children[0], n.children[len(n.children)-1]
		p.wire(svgPoint{n.x0, first.y}, svgPoint{n.x0, last.y})
		for _, c := range n.children {
			p.body.circle(svgPoint{n.x0, c.y}, 1.6, `fill="`+inkLine+`"`)
		}
		p.body.circle(svgPoint{n.x0, n.y}, 1.6, `fill="`+inkLine+`"`)
	}
	switch n.kind {
	case lineStrings:
		p.source(n, false)
	case lineMicros:
		p.source(n, true)
	case lineInverter:
		p.inverterSymbol(n)
	case lineCircuit:
		p.line(n)
	}
}

func (p *oneLine) wire(a, b svgPoint) {
	p.body.line(a, b, penWire)
	p.placer.stroke(a, b, 1)
}

// caption writes lines of text about a middle, cut to a width, and keeps
// flags off them.
func (p *oneLine) caption(lines []string, at svgPoint, width float64, bold bool) {
	for i, l := range lines {
		t := svgText{at: at.plus(0, lineHeight*float64(i)), text: svgClip(l, sizeText, width, bold), size: sizeText, anchor: "middle", bold: bold, halo: true}
		if t.text == "" {
			continue
		}
		p.body.text(t)
		p.placer.take(t.box())
	}
}

func (p *oneLine) head(n *lineNode) string {
	if n.merged > 0 {
		return fmt.Sprintf("%s + %d", n.head, n.merged)
	}
	return n.head
}

// above writes a name in at most two lines that end over a point.
func (p *oneLine) above(name string, at svgPoint, width float64, bold bool) {
	lines := svgWrap(name, sizeText, width, bold)
	if len(lines) > 2 {
		lines = []string{lines[0], svgClip(strings.Join(lines[1:], " "), sizeText, width, bold)}
	}
	p.caption(lines, at.plus(0, -lineHeight*float64(max(0, len(lines)-1))), width, bold)
}

func (p *oneLine) anchor(at svgPoint, keys ...string) {
	for _, k := range keys {
		if _, seen := p.anchors[k]; !seen {
			p.anchors[k] = lineAnchor{at, p.placer}
		}
	}
}

func (p *oneLine) take(b svgBox) { p.placer.take(b) }

// source draws modules: a frame with the wedge of a photovoltaic generator, and
// beside it the microinverters where there are any.
func (p *oneLine) source(n *lineNode, micro bool) {
	at := svgPoint{n.x0 + 8, n.y}
	b := svgBox{at.x, at.y - 8, at.x + 24, at.y + 8}
	p.body.rect(b, penHeavy)
	p.body.put(`<path d="%s" %s/>`, svgPath(false, svgPoint{b.x0, b.y0}, svgPoint{b.x0 + 7, at.y}, svgPoint{b.x0, b.y1}), penWire)
	p.take(b)
	p.symbols["modules"] = true
	x := b.x1
	if micro {
		x = p.converterBox(svgPoint{b.x1 + 14, n.y}, 8)
		p.wire(svgPoint{b.x1, n.y}, svgPoint{x - 16, n.y})
		p.symbols["inverter"] = true
	}
	p.along(n, x)
	width := n.x1 - n.x0 - 4
	mid := (n.x0 + n.x1 - p.slot*float64(len(n.devices))) / 2
	p.above(p.head(n), svgPoint{mid, n.y - 12}, width, true)
	p.caption(n.foot, svgPoint{mid, n.y + 16}, width, false)
	p.anchor(at.plus(12, 0), n.keys...)
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

func (p *oneLine) inverterSymbol(n *lineNode) {
	x := n.x0
	for _, d := range n.devices {
		p.device(d, svgPoint{x + p.slot/2, n.y}, p.slot-2)
		x += p.slot
	}
	c := svgPoint{x + (n.x1-x)/2, n.y}
	right := p.converterBox(c, 13)
	p.wire(svgPoint{x, n.y}, svgPoint{c.x - 13, n.y})
	p.wire(svgPoint{right, n.y}, svgPoint{n.x1, n.y})
	p.symbols["inverter"] = true
	p.above(p.head(n), svgPoint{c.x, n.y - 17}, n.x1-x, true)
	p.caption(n.foot, svgPoint{c.x, n.y + 22}, n.x1-x, false)
	p.anchor(c, n.keys...)
}

// line draws a circuit: what it begins at, its tag and size, then its devices.
func (p *oneLine) line(n *lineNode) {
	x, start := n.x0, n.x1-p.slot*float64(len(n.devices)-n.ahead)
	for _, d := range n.devices[:n.ahead] {
		p.device(d, svgPoint{x + p.slot/2, n.y}, p.slot-2)
		x += p.slot
	}
	mid := (x + start) / 2
	p.wire(svgPoint{x, n.y}, svgPoint{start, n.y})
	text := n.tag
	if n.merged > 0 {
		text += fmt.Sprintf(" + %d", n.merged)
	}
	w := svgWidth(text, sizeText, true) + 6
	b := svgBox{mid - w/2, n.y - 5.5, mid + w/2, n.y + 5.5}
	p.body.rect(b, fmt.Sprintf(`fill="%s" stroke="%s" stroke-width="0.7"`, inkPaper, inkLine))
	p.body.text(svgText{at: svgPoint{mid, n.y + 2.6}, text: text, size: sizeText, anchor: "middle", bold: true})
	p.take(b)
	p.symbols["tag"] = true
	p.caption(n.foot, svgPoint{mid, n.y + 15}, start-x-2, false)
	p.anchor(svgPoint{mid, n.y - 5.5}, n.keys...)
	p.along(n, start)
}

// along draws the devices of a node from a place to its right end.
func (p *oneLine) along(n *lineNode, from float64) {
	devices := n.devices[n.ahead:]
	start := n.x1 - p.slot*float64(len(devices))
	p.wire(svgPoint{from, n.y}, svgPoint{math.Max(from, start), n.y})
	for i, d := range devices {
		p.device(d, svgPoint{start + p.slot*(float64(i)+0.5), n.y}, p.slot-2)
	}
}

// device draws a device in a horizontal line about a centre, with its name
// above and its rating below.
func (p *oneLine) device(d lineDevice, c svgPoint, width float64) {
	const half = 8.0
	p.wire(c.plus(-width/2-1, 0), c.plus(-half, 0))
	p.wire(c.plus(half, 0), c.plus(width/2+1, 0))
	p.deviceSymbol(&p.body, d.symbol, c)
	p.symbols[d.symbol] = true
	p.take(svgBox{c.x - half, c.y - 7, c.x + half, c.y + 4})
	p.above(d.name, c.plus(0, -10), width, false)
	rating := d.rating
	if rating == "" {
		rating = "no rating"
	}
	p.caption([]string{rating}, c.plus(0, 15), width, false)
	p.anchor(c, d.keys...)
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
		c.rect(svgBox{at.x - 8, at.y - 5, at.x + 8, at.y + 5}, svgStroke(inkThin, 0.7, "4 2"))
		c.line(at.plus(-8, 0), at.plus(8, 0), penWire)
		c.line(at.plus(0, -4), at.plus(0, 4), penBus)
	case "transformer":
		c.circle(at.plus(-3, 0), 5, penHeavy)
		c.circle(at.plus(3, 0), 5, penHeavy)
	default:
		c.circle(at.plus(-6.5, 0), 1.4, penHeavy)
		c.circle(at.plus(6.5, 0), 1.4, penHeavy)
		c.line(at.plus(-5.5, -1), at.plus(5, -6.5), penHeavy)
	}
}

// service draws the service from the utility down to the busbar and the
// electrode, and joins the diagram to it where the interconnection says.
func (p *oneLine) service(root *lineNode, top float64) {
	x := root.x1 + 34
	utility, meter, tap, main, busbar, feeder := top+8, top+36, top+56, top+80, top+106, top+126
	join := busbar
	switch p.j.Interconnection.Kind.Value {
	case "supply-side":
		join = tap
	case "feeder", "feeder-tap":
		join = feeder
	}
	at := func(y float64) svgPoint { return svgPoint{x, y} }
	p.body.circle(at(utility), 8, penHeavy)
	n := SvgNumber
	p.body.put(`<path d="M%s %sq2.5 -6 5 0t5 0" %s/>`, n(x-5), n(utility), penWire)
	p.wire(at(utility+8), at(meter-9))
	p.body.circle(at(meter), 9, penHeavy)
	p.body.text(svgText{at: at(meter + 2.6), text: "M", size: sizeText, anchor: "middle", bold: true})
	p.wire(at(meter+9), at(main-7))
	p.body.circle(at(main-6), 1.4, penHeavy)
	p.body.circle(at(main+6), 1.4, penHeavy)
	p.body.put(`<path d="M%s %sQ%s %s %s %s" %s/>`, n(x+2.5), n(main-7), n(x+9), n(main), n(x+2.5), n(main+7), penHeavy)
	p.wire(at(main+7), at(busbar))
	p.body.line(svgPoint{x - 20, busbar}, svgPoint{x + 20, busbar}, penBus)
	p.body.rect(svgBox{x - 26, main - 14, x + 26, busbar + 8}, svgStroke(inkThin, 0.7, "4 2"))
	p.wire(at(busbar), at(feeder+8))
	p.body.put(`<path d="%s" fill="%s"/>`, svgPath(true, svgPoint{x - 3, feeder + 8}, svgPoint{x + 3, feeder + 8}, svgPoint{x, feeder + 15}), inkLine)
	p.earth(svgPoint{x - 22, busbar + 8})
	p.take(svgBox{x - 26, utility - 9, x + 26, feeder + 24})
	for _, s := range []string{"utility", "meter", "busbar", "breaker", "ground"} {
		p.symbols[s] = true
	}
	// The line of the system, with the source device where it is not drawn yet.
	joinX := x
	if join == busbar {
		joinX = x - 20
	}
	from := root.x0
	if knownConnection(p.j) {
		turn := root.x1 + 4
		p.wire(svgPoint{from, root.y}, svgPoint{turn, root.y})
		p.wire(svgPoint{turn, root.y}, svgPoint{turn, join})
		p.wire(svgPoint{turn, join}, svgPoint{joinX, join})
		p.body.circle(svgPoint{joinX, join}, 2, `fill="`+inkLine+`"`)
		p.anchor(svgPoint{joinX, join}, "interconnection")
	} else {
		p.anchor(svgPoint{from, root.y}, "interconnection")
	}
	p.anchor(at(main), "service")
	p.anchor(svgPoint{x - 22, busbar + 18}, "grounding")
	s := &p.j.Service
	side := func(y float64, lines ...string) {
		for i, l := range lines {
			t := svgText{at: svgPoint{x + 31, y + lineHeight*float64(i)}, text: svgClip(l, sizeText, p.placer.area.x1-x-34, i == 0), size: sizeText, bold: i == 0}
			if l == "" {
				continue
			}
			p.body.text(t)
			p.take(t.box())
		}
	}
	side(utility+2, "utility", labelled("fault current", p.text(p.j.Site.FaultCurrent)))
	side(meter+2, "meter")
	side(main-10, "service", joinKnown(", ", p.text(s.Rating), p.text(s.Voltage)), labelled("main", p.text(s.Main)), labelled("busbar", p.text(s.Busbar)))
	side(feeder+6, "loads")
	g := &p.j.Grounding
	electrode := labelled("grounding electrode", g.Electrode.Value)
	if g.ElectrodeConductor.Known {
		electrode = joinKnown(", ", electrode, g.ElectrodeConductor.Value.String())
	}
	p.caption([]string{electrode}, svgPoint{x, feeder + 34}, 140, false)
}

// earth draws an earth symbol on a short stem.
func (p *oneLine) earth(at svgPoint) {
	n := SvgNumber
	p.body.put(`<path d="M%s %sv10M%s %sh10M%s %sh6M%s %sh2" %s/>`, n(at.x), n(at.y), n(at.x-5), n(at.y+10), n(at.x-3), n(at.y+12), n(at.x-1), n(at.y+14), penGround)
}

// unplaced notes the devices that the job ties to no line.
func (p *oneLine) unplaced() {
	note := func(kind, name string) {
		if !p.drawn[job.Join(kind, name)] {
			p.notes = append(p.notes, fmt.Sprintf("Not in the diagram, as the job names no circuit for it: %s %s.", kind, name))
		}
	}
	for i := range p.j.Disconnects {
		note("disconnect", p.j.Disconnects[i].Name.Value)
	}
	for i := range p.j.Panels {
		note("panel", p.j.Panels[i].Name.Value)
	}
	for i := range p.j.Transformers {
		note("transformer", p.j.Transformers[i].Name.Value)
	}
	for i := range p.j.Overcurrents {
		note("overcurrent", p.j.Overcurrents[i].Name.Value)
	}
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
	add("panel", "panel", device("panel"))
	add("transformer", "transformer", device("transformer"))
	add("tag", "conductors, see the schedule", mini(func(q *oneLine, at svgPoint) {
		q.body.rect(svgBox{at.x + 4, at.y - 4, at.x + 18, at.y + 4}, svgStroke(inkLine, 0.7, ""))
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
func (p *oneLine) schedules() []svgEntry {
	var circuits, devices, inverters, strs [][]string
	for _, c := range p.tags {
		size := conductorText(c)
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
	out := schedule("Circuits", []svgColumn{{"tag", 4}, {"circuit", 15}, {"kind", 11}, {"conductors", 18}, {"ground", 9}, {"raceway", 9}, {"length", 8}, {"device", 8}}, circuits)
	out = append(out, schedule("Overcurrent devices and disconnects", []svgColumn{{"name", 20}, {"kind", 22}, {"rating", 12}, {"voltage", 12}, {"interrupting", 14}}, devices)...)
	out = append(out, schedule("Inverters", []svgColumn{{"name", 18}, {"type", 14}, {"units", 7}, {"output", 11}, {"current", 11}, {"voltage", 11}, {"place", 10}}, inverters)...)
	return append(out, schedule("Strings", []svgColumn{{"name", 12}, {"array", 14}, {"modules", 9}, {"module", 14}, {"converter", 13}, {"inverter", 20}, {"fuse", 9}}, strs)...)
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
