package drawing

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/review"
	"plumbrule/internal/wording"
)

// OneLine draws the circuits of a job from the modules to the service as a
// one-line diagram with general symbols, and their schedules below it. It is
// not to scale. Findings that are not on the roof are marked on it, in the same
// way as RoofPlan does. The same review gives the same bytes.
func OneLine(w io.Writer, r *review.Review, o Options) error {
	p := &oneLine{svgDrawing: newSVGDrawing(r, "oneline", "One-line diagram"), j: r.Job, anchors: map[string]lineAnchor{}, drawn: map[string]bool{}}
	p.note = "no scale"
	bottom := p.schematics(p.tree())
	p.markings()
	p.body.Write(p.top.Bytes())
	p.stack(p.schedules(), bottom)
	p.describe()
	p.flow(p.column(), findingList(p.groups, o.Embedded))
	_, err := w.Write(p.write(o.Embedded, ""))
	return err
}

// oneLine is a one-line diagram in the making.
type oneLine struct {
	*svgDrawing
	j      *job.Job
	placer *svgPlacer // of the part that is being drawn
	top    svgCanvas  // flags, above all lines

	slot    float64        // of a device, along a line
	tags    []*job.Circuit // circuits in the order of their tags
	anchors map[string]lineAnchor
	drawn   map[string]bool // devices that have their symbol, by key
	symbols map[string]bool // what the legend explains
	notes   []string

	groups []*svgFindings
	places []string
	loose  []*svgCluster // without a place in the diagram
}

// lineAnchor is where a part of the job has its symbol.
type lineAnchor struct {
	at     svgPoint
	placer *svgPlacer
}

// lineKind is what a node of the diagram is.
type lineKind int

const (
	lineService lineKind = iota
	lineCircuit
	lineInverter
	lineMicros
	lineStrings
)

// lineNode is a part of the diagram with what feeds it.
type lineNode struct {
	kind     lineKind
	keys     []string // keys of the job parts that it stands for
	head     string   // name, above the symbol
	foot     []string // ratings, below it
	tag      string   // of a circuit
	devices  []lineDevice
	ahead    int // of the devices, how many the circuit begins at
	children []*lineNode
	merged   int // further like parts that it stands for

	level  int     // from the service
	x0, x1 float64 // column
	y      float64
}

// lineDevice is a disconnect, overcurrent device, panel or transformer in a
// line.
type lineDevice struct {
	keys                 []string // of the device, and of like ones that are drawn as one with it
	symbol, name, rating string
}

// circuitRank orders the kinds of AC circuits from the inverters to the
// service.
var circuitRank = map[string]int{"branch": 1, "inverter-output": 1, "feeder": 2, "supply-side": 3}

// tree builds the diagram from the service outward. A circuit feeds the
// narrowest one nearer to the service that carries all of its inverters.
func (p *oneLine) tree() *lineNode {
	root := &lineNode{kind: lineService, keys: []string{"service"}}
	var ac []*job.Circuit
	for i := range p.j.Circuits {
		c := &p.j.Circuits[i]
		p.tags = append(p.tags, c)
		if circuitRank[c.Kind.Value] > 0 {
			ac = append(ac, c)
		}
	}
	slices.SortStableFunc(ac, func(a, b *job.Circuit) int { return circuitRank[a.Kind.Value] - circuitRank[b.Kind.Value] })
	nodes := make([]*lineNode, len(ac))
	for i, c := range ac {
		nodes[i] = p.circuit(c)
	}
	fed := map[string]bool{} // inverters that a circuit takes
	for i, c := range ac {
		best := -1
		for k := i + 1; k < len(ac); k++ {
			rank := circuitRank[ac[k].Kind.Value]
			further := rank > circuitRank[c.Kind.Value] || rank > 1
			if further && carries(ac[k], c) && (best < 0 || len(ac[k].Inverters.Value) < len(ac[best].Inverters.Value)) {
				best = k
			}
		}
		parent := root
		if best >= 0 {
			parent = nodes[best]
		}
		parent.children = append(parent.children, nodes[i])
	}
	for i, c := range ac {
		if c.Kind.Value == "branch" {
			nodes[i].children = append(nodes[i].children, p.micros(c))
			for _, name := range c.Inverters.Value {
				fed[name] = true
			}
			continue
		}
		for _, name := range c.Inverters.Value {
			if inverter, ok := job.ByName(p.j.Inverters, name); ok && !fed[name] {
				fed[name] = true
				nodes[i].children = append(nodes[i].children, p.inverter(inverter))
			}
		}
	}
	for i := range p.j.Inverters {
		if inverter := &p.j.Inverters[i]; !fed[inverter.Name.Value] {
			root.children = append(root.children, p.inverter(inverter))
			p.notes = append(p.notes, fmt.Sprintf("No AC circuit of inverter %s is stated.", inverter.Name.Value))
		}
	}
	return root
}

// carries tells whether a circuit carries all inverters of another.
func carries(c, other *job.Circuit) bool {
	for _, name := range other.Inverters.Value {
		if !slices.Contains(c.Inverters.Value, name) {
			return false
		}
	}
	return len(other.Inverters.Value) > 0
}

// text is a given value as the drawing prints it, "" where it is left out.
func (p *oneLine) text(q job.Quantity) string {
	if !q.Known {
		return ""
	}
	return q.Value.Format(p.r.System)
}

// circuit is the node of a circuit with the devices in it, from the modules to
// the service.
func (p *oneLine) circuit(c *job.Circuit) *lineNode {
	n := &lineNode{kind: lineCircuit, keys: []string{job.KeyPath("circuit", &c.Entity)}, tag: p.tag(c), head: c.Name.Value}
	begins := func(feeder job.Text, name job.Text) bool {
		return feeder.Known && feeder.Value == c.Name.Value || !feeder.Known && c.From.Known && c.From.Value == name.Value
	}
	for i := range p.j.Transformers {
		if t := &p.j.Transformers[i]; begins(t.Feeder, t.Name) {
			n.devices = append(n.devices, p.board("transformer", &t.Entity, p.text(t.Power)))
		}
	}
	for i := range p.j.Panels {
		if b := &p.j.Panels[i]; begins(b.Feeder, b.Name) {
			n.devices = append(n.devices, p.board("panel", &b.Entity, p.text(b.Busbar)))
		}
	}
	n.ahead = len(n.devices)
	for i := range p.j.Disconnects {
		if d := &p.j.Disconnects[i]; d.Circuit.Known && d.Circuit.Value == c.Name.Value {
			n.devices = append(n.devices, p.disconnect(d))
		}
	}
	if d, ok := p.j.OvercurrentOf(c); ok && !p.drawn[job.KeyPath("overcurrent", &d.Entity)] {
		n.devices = append(n.devices, p.overcurrent(d))
	}
	if n.foot = []string{conductorText(c)}; n.foot[0] == "" {
		n.foot[0] = "size not stated"
	}
	return n
}

func (p *oneLine) tag(c *job.Circuit) string {
	return fmt.Sprintf("C%d", 1+slices.Index(p.tags, c))
}

// board is a panel or transformer at the beginning of a circuit.
func (p *oneLine) board(kind string, e *job.Entity, rating string) lineDevice {
	key := job.KeyPath(kind, e)
	p.drawn[key] = true
	return lineDevice{[]string{key}, kind, e.Name.Value, rating}
}

func (p *oneLine) disconnect(d *job.Disconnect) lineDevice {
	key := job.KeyPath("disconnect", &d.Entity)
	p.drawn[key] = true
	return lineDevice{[]string{key}, "disconnect", d.Name.Value, p.text(d.Rating)}
}

func (p *oneLine) overcurrent(d *job.Overcurrent) lineDevice {
	key := job.KeyPath("overcurrent", &d.Entity)
	p.drawn[key] = true
	symbol := "breaker"
	if d.Kind.Value == "fuse" {
		symbol = "fuse"
	}
	return lineDevice{[]string{key}, symbol, d.Name.Value, p.text(d.Rating)}
}

// conductorText is the size and material of the conductors of a circuit.
func conductorText(c *job.Circuit) string {
	if !c.Conductor.Known {
		return ""
	}
	s := c.Conductor.Value.String()
	if c.Sets.Known && c.Sets.Value > 1 {
		s = fmt.Sprintf("%d sets of %s", c.Sets.Value, s)
	}
	return s
}

// count is a count as the job states it, else as it follows from other values.
func (p *oneLine) count(c job.Count) (n int, known bool) {
	if c.Known {
		return c.Value, true
	}
	v, _ := p.r.Derived(c.Key)
	n, known = v.(int)
	return n, known
}

// micros is the group of microinverters on a branch circuit.
func (p *oneLine) micros(c *job.Circuit) *lineNode {
	n := &lineNode{kind: lineMicros, head: strings.Join(c.Inverters.Value, ", ")}
	units := "number of units not stated"
	if n, known := p.count(c.Units); known {
		units = wording.Plural(n, "unit", "units")
	}
	n.foot = []string{units}
	for _, name := range c.Inverters.Value {
		n.keys = append(n.keys, job.Join("inverter", name))
		if i, ok := job.ByName(p.j.Inverters, name); ok {
			if t, ok := p.j.InverterTypeOf(i); ok && len(n.foot) == 1 {
				n.foot = append(n.foot, "type "+t.Name.Value)
				n.keys = append(n.keys, job.KeyPath("inverter_type", &t.Entity))
			}
		}
	}
	return n
}

// inverter is an inverter with the strings that feed it.
func (p *oneLine) inverter(i *job.Inverter) *lineNode {
	n := &lineNode{kind: lineInverter, keys: []string{job.KeyPath("inverter", &i.Entity)}, head: i.Name.Value}
	if t, ok := p.j.InverterTypeOf(i); ok {
		n.keys = append(n.keys, job.KeyPath("inverter_type", &t.Entity))
		n.foot = append(n.foot, "type "+t.Name.Value, joinKnown(", ", p.text(t.Output), p.text(t.OutputVoltage)))
		if t.Kind.Value == "micro" {
			n.kind = lineMicros
			if units, known := p.count(i.Count); known {
				n.foot[1] = wording.Plural(units, "unit", "units")
			}
			return n
		}
	}
	for k := range p.j.Disconnects {
		if d := &p.j.Disconnects[k]; !d.Circuit.Known && d.Inverter.Known && d.Inverter.Value == i.Name.Value {
			n.devices = append(n.devices, p.disconnect(d))
		}
	}
	made := map[*job.Circuit]*lineNode{}
	for _, s := range p.j.StringsInto(i) {
		at, leaf := n, p.stringNode(s)
		dc := p.j.CircuitsOf(s)
		order := []string{"source", "converter-output", "string"}
		slices.SortStableFunc(dc, func(a, b *job.Circuit) int {
			return slices.Index(order, a.Kind.Value) - slices.Index(order, b.Kind.Value)
		})
		for _, c := range dc {
			if made[c] == nil {
				made[c] = p.circuit(c)
				at.children = append(at.children, made[c])
			}
			at = made[c]
		}
		// A fuse that no circuit has shown stands with its string.
		if d, ok := p.j.FuseOf(s); ok && !p.drawn[job.KeyPath("overcurrent", &d.Entity)] {
			leaf.devices = append(leaf.devices, p.overcurrent(d))
		}
		at.children = append(at.children, leaf)
	}
	if len(n.children) == 0 {
		p.notes = append(p.notes, fmt.Sprintf("No string of inverter %s is stated.", i.Name.Value))
	}
	return n
}

func (p *oneLine) stringNode(s *job.String) *lineNode {
	n := &lineNode{kind: lineStrings, keys: []string{job.KeyPath("string", &s.Entity)}, head: s.Name.Value}
	if s.Modules.Known {
		n.foot = append(n.foot, wording.Plural(s.Modules.Value, "module", "modules"))
	} else {
		n.foot = append(n.foot, "modules not stated")
	}
	if s.Array.Known {
		if len(s.Apart) > 0 {
			n.foot = append(n.foot, "arrays "+arraysText(s))
		} else {
			n.foot = append(n.foot, "array "+arraysText(s))
		}
	}
	if t, ok := p.j.ModuleTypeOf(s); ok {
		n.keys = append(n.keys, job.KeyPath("module_type", &t.Entity))
	}
	if s.Converter.Known {
		n.foot = append(n.foot, "converters "+s.Converter.Value)
	}
	return n
}

// arraysText names the arrays that the modules of a string belong to.
func arraysText(s *job.String) string {
	var names []string
	for _, a := range s.Arrays() {
		names = append(names, a.Value)
	}
	return strings.Join(names, ", ")
}

const (
	rowPitch   = 54.0
	mostRows   = 8    // before like parts are drawn as one
	deviceSlot = 44.0 // along a line
)

// leaves counts the rows of the diagram.
func (n *lineNode) leaves() int {
	if len(n.children) == 0 {
		return 1
	}
	sum := 0
	for _, c := range n.children {
		sum += c.leaves()
	}
	return sum
}

// likeness is equal for parts that differ by name only.
func (n *lineNode) likeness() string {
	var b strings.Builder
	fmt.Fprint(&b, n.kind, n.foot)
	for _, d := range n.devices {
		fmt.Fprint(&b, d.symbol, d.rating)
	}
	for _, c := range n.children {
		fmt.Fprint(&b, "(", c.likeness(), ")", c.merged)
	}
	return b.String()
}

// merge draws like parts side by side as one.
func (n *lineNode) merge() {
	for _, c := range n.children {
		c.merge()
	}
	first := map[string]*lineNode{}
	var kept []*lineNode
	for _, c := range n.children {
		like := c.likeness()
		if f := first[like]; f != nil {
			f.absorb(c)
			f.merged++
			continue
		}
		first[like] = c
		kept = append(kept, c)
	}
	n.children = kept
}

// absorb takes over the keys of a like part and of all that feeds it.
func (n *lineNode) absorb(like *lineNode) {
	n.keys = append(n.keys, like.keys...)
	for i := range n.devices {
		n.devices[i].keys = append(n.devices[i].keys, like.devices[i].keys...)
	}
	for i, c := range n.children {
		c.absorb(like.children[i])
	}
}

// width is the length of a node's column.
func (n *lineNode) width() float64 {
	w := deviceSlot * float64(len(n.devices))
	switch n.kind {
	case lineCircuit:
		return w + 44
	case lineInverter:
		return w + 62
	}
	return w + 72
}

// part is the diagram with the rows from one to another only. The line to the
// service is repeated on every part.
func (n *lineNode) part(from, to int) *lineNode {
	only := *n
	only.children = nil
	row := 0
	for _, c := range n.children {
		rows := c.leaves()
		if row < to && row+rows > from {
			only.children = append(only.children, c.part(from-row, to-row))
		}
		row += rows
	}
	return &only
}

// schematics draws the diagram, on as many sheets as its rows need, and gives
// the height at which it ends.
func (p *oneLine) schematics(root *lineNode) float64 {
	p.symbols = map[string]bool{}
	if root.leaves() > mostRows {
		root.merge()
		p.notes = append(p.notes, "Like parts are drawn as one; the schedules list each.")
	}
	bottom := 0.0
	for from := 0; from < root.leaves(); from += mostRows {
		field := p.sheet.field()
		up := p.sheet.height * float64(p.sheets)
		field.y0, field.y1 = field.y0+up, field.y1+up
		p.sheets++
		bottom = p.schematic(root.part(from, from+mostRows), field)
	}
	if p.sheets > 1 {
		p.notes = append(p.notes, fmt.Sprintf("The diagram is in %d parts, a sheet each; the line to the service is repeated on each.", p.sheets))
	}
	p.unplaced()
	if !knownConnection(p.j) {
		p.notes = append(p.notes, "Where the system connects is not stated; its line ends open.")
	}
	return bottom
}

// knownConnection tells whether the job says where the system connects.
func knownConnection(j *job.Job) bool { return j.Interconnection.Kind.Known }

// schematic lays a part of the diagram out and draws it; it gives the height
// at which it ends.
func (p *oneLine) schematic(root *lineNode, field svgBox) float64 {
	const serviceWidth, serviceHeight, top = 150.0, 178.0, 34.0
	var widths []float64
	var measure func(n *lineNode, level int)
	measure = func(n *lineNode, level int) {
		n.level = level
		if level > 0 {
			if len(widths) < level {
				widths = append(widths, 0)
			}
			widths[level-1] = math.Max(widths[level-1], n.width())
		}
		for _, c := range n.children {
			measure(c, level+1)
		}
	}
	measure(root, 0)
	total := serviceWidth
	for _, w := range widths {
		total += w
	}
	squeeze := math.Min(1, (field.width()-16-serviceWidth)/math.Max(1, total-serviceWidth))
	p.slot = deviceSlot * squeeze
	rows := float64(root.leaves())
	height := math.Max(rows*rowPitch, serviceHeight)
	bottom := field.y0 + top + height + 8
	// Flags keep off the schedules that follow below.
	p.placer = newSVGPlacer(svgBox{field.x0, field.y0, field.x1, bottom})
	row := field.y0 + top + (height-rows*rowPitch)/2
	var place func(n *lineNode, right float64)
	place = func(n *lineNode, right float64) {
		n.x1 = right
		n.x0 = right
		if n.level > 0 {
			n.x0 -= widths[n.level-1] * squeeze
		}
		if len(n.children) == 0 {
			n.y = row + rowPitch/2
			row += rowPitch
			return
		}
		for _, c := range n.children {
			place(c, n.x0)
		}
		n.y = (n.children[0].y + n.children[len(n.children)-1].y) / 2
	}
	start := field.x0 + 8 + math.Max(0, (field.width()-16-(total-serviceWidth)*squeeze-serviceWidth)/2)
	place(root, start+(total-serviceWidth)*squeeze)
	p.draw(root)
	p.service(root, field.y0+top+(height-serviceHeight)/2)
	return bottom
}

// column is what stands beside the diagram.
func (p *oneLine) column() []svgEntry {
	out := headed("Legend", p.legend()...)
	out = append(out, flagLegend(p.groups)...)
	out = append(out, looseEntries(p.loose)...)
	notes := slices.Clone(p.notes)
	if m := p.j.RapidShutdown.Method; m.Known {
		notes = append(notes, "Rapid shutdown: "+joinKnown(", ", m.Value, labelled("started by the", p.j.RapidShutdown.Initiator.Value))+".")
	}
	if s := elsewhere(p.r, func(o *review.Outcome) bool { return !OnRoofPlan(o) }, "roof plan"); s != "" {
		notes = append(notes, s)
	}
	out = append(out, noteEntries(notes)...)
	return append(out, cautionEntries()...)
}

// markings places the flags. A finding about a part that has a symbol stands
// at it, all others stand named in the column.
func (p *oneLine) markings() {
	spot := func(o *review.Outcome) string {
		for at := range o.Subject.Places {
			if _, drawn := p.anchors[at]; drawn {
				return at
			}
		}
		return partName(o.Subject.Part())
	}
	p.groups, p.places = groupFindings(p.r, func(o *review.Outcome) bool { return !OnRoofPlan(o) }, spot)
	for _, k := range clusters(p.groups, p.places) {
		a, ok := p.anchors[k.place]
		if !ok || !k.flagAt(a.placer, &p.top, a.at, clusterRow) {
			p.loose = append(p.loose, k)
		}
	}
}

// partName is what the drawing calls parts of the job without a symbol.
func partName(kind string) string {
	switch kind {
	case "", "project", "one_line", "stated", "adoption":
		return "the submittal"
	case "document":
		return "papers"
	case "rapid_shutdown":
		return "rapid shutdown"
	}
	return strings.ReplaceAll(kind, "_", " ") + "s"
}

func (p *oneLine) describe() {
	p.extra = append(p.extra, fmt.Sprintf("Not to scale. %s, %s, %s, %s.",
		wording.Plural(len(p.j.Strings), "string", "strings"), wording.Plural(len(p.j.Inverters), "entry of inverters", "entries of inverters"),
		wording.Plural(len(p.j.Circuits), "circuit", "circuits"), wording.Plural(len(p.j.Overcurrents), "overcurrent device", "overcurrent devices")))
	if k := p.j.Interconnection.Kind; k.Known {
		p.extra = append(p.extra, "Interconnection: "+k.Value+".")
	}
}
