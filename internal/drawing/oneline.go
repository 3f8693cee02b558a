package drawing

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/review"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/circuits"
	"plumbrule/internal/wiring"
	"plumbrule/internal/wording"
)

// OneLine draws the electrical system of a job from the modules to the utility
// as a one-line diagram: panels and combiners as enclosures with the devices
// inside them, the conductors of each run in words, what hangs loose apart from
// the rest. Its schedules stand below. It is not to scale; its paper is as large
// as its texts ask for. Findings that are not on the roof are marked on it, in
// the same way as RoofPlan does. The same review gives the same bytes.
func OneLine(w io.Writer, r *review.Review, o Options) error {
	p := &oneLine{svgDrawing: newSVGDrawing(r, "oneline", "One-line diagram"), j: r.Job, anchors: map[string]lineAnchor{},
		drawn: map[string]bool{}, seen: map[wiring.Node]bool{}, symbols: map[string]bool{}, wires: circuits.Wiring(r.Model)}
	p.note = "no scale"
	for i := range p.j.Circuits {
		p.tags = append(p.tags, &p.j.Circuits[i])
	}
	bottom := p.schematics(p.trees())
	p.markings()
	p.body.Write(p.top.Bytes())
	bottom = p.columns(p.column(), bottom)
	bottom = p.stack(p.schedules(), bottom)
	p.columns(findingList(p.r, p.groups, o.Embedded), bottom+4)
	p.describe()
	_, err := w.Write(p.write(o, ""))
	return err
}

// oneLine is a one-line diagram in the making.
type oneLine struct {
	*svgDrawing
	j      *job.Job
	wires  *wiring.Trace
	placer *svgPlacer // of the part that is being drawn
	top    svgCanvas  // flags, above all lines

	tags    []*job.Circuit // circuits in the order of their tags
	anchors map[string]lineAnchor
	drawn   map[string]bool      // devices that have their symbol, by key
	seen    map[wiring.Node]bool // nodes that a tree has
	symbols map[string]bool      // what the legend explains
	derived bool                 // whether a value is marked as derived
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

// lineNode is a part of the diagram with what feeds it: symbols along a line, or
// an enclosure with a busbar that the lines of its children end at.
type lineNode struct {
	parts    []*linePart
	board    *lineBoard
	entry    *linePart // in the enclosure of what it leads to, at the end of its line
	tap      bool      // of the service: joined ahead of the main, or to a feeder, and not to the busbar
	children []*lineNode
	merged   int // further like parts that it stands for

	level  int     // from the service
	x0, x1 float64 // column
	y      float64
}

// linePart is one symbol in a line, with texts above and below it.
type linePart struct {
	symbol       string
	keys         []string // of the job parts that it stands for
	above, below []string
	tag          string // of a run
	width        float64
}

// lineBoard is the enclosure of a panel, a combiner or the service.
type lineBoard struct {
	keys       []string
	name, foot []string
	entries    float64   // width of the devices that stand in it at the ends of lines
	main       *linePart // on the side of the utility; nil for main lugs
	service    bool
}

// text is a given value as the drawing prints it, "" where it is left out.
func (p *oneLine) text(q job.Quantity) string {
	if !q.Known {
		return ""
	}
	return q.Value.Format(p.r.System)
}

// derivedMark stands behind a value that the job leaves out and that follows
// from others.
const derivedMark = "*"

// term is a term of a part of the job as the drawing prints it, "" where it is
// not known.
func term[T any](p *oneLine, x *T, name string, dim quantity.Dimension) string {
	v := p.r.Model.Term(terms.KindFor[T]().Of(p.r.Model, x), name)
	var s string
	switch n := v.V.(type) {
	case float64:
		s = quantity.Of(n, dim).Format(p.r.System)
	case int:
		s = fmt.Sprint(n)
	case string:
		s = n
	default:
		return ""
	}
	if v.Fills() {
		p.derived = true
		s += derivedMark
	}
	return s
}

// trees builds the diagram: that of the service outward from it, then what does
// not lead there.
func (p *oneLine) trees() []*lineNode {
	out := []*lineNode{p.grow(wiring.TheService, nil)}
	var rest []wiring.Node
	add := func(kind wiring.Kind, e *job.Entity) {
		rest = append(rest, wiring.Node{Kind: kind, Name: e.Name.Value})
	}
	for i := range p.j.Panels {
		add(wiring.Panel, &p.j.Panels[i].Entity)
	}
	for i := range p.j.Transformers {
		add(wiring.Transformer, &p.j.Transformers[i].Entity)
	}
	for i := range p.j.Circuits {
		add(wiring.Circuit, &p.j.Circuits[i].Entity)
	}
	for i := range p.j.Inverters {
		add(wiring.Inverter, &p.j.Inverters[i].Entity)
	}
	for i := range p.j.Combiners {
		add(wiring.Combiner, &p.j.Combiners[i].Entity)
	}
	for i := range p.j.Strings {
		add(wiring.String, &p.j.Strings[i].Entity)
	}
	apart := func(n wiring.Node) {
		if !p.seen[n] {
			root := p.grow(n, nil)
			out = append(out, root)
			text := fmt.Sprintf("%s %s is drawn apart", n.Kind, n.Name)
			if g := p.gap(n); g != "" {
				text += ": " + g
			}
			p.notes = append(p.notes, text+".")
		}
	}
	for _, n := range rest { // first those that other loose parts lead to
		if len(p.wires.Next(n)) == 0 {
			apart(n)
		}
	}
	for _, n := range rest {
		apart(n)
	}
	p.unplaced()
	return out
}

// gap says in words what hangs loose about a node, "" for nothing.
func (p *oneLine) gap(n wiring.Node) string {
	for _, s := range p.r.Model.Subjects(string(n.Kind)) {
		if s.Name == n.Name {
			if g, ok := p.r.Model.Term(s, "wiring_gap").V.(string); ok && g != "none" {
				return g
			}
		}
	}
	return strings.Join(p.wires.Gaps(n.Name), "; ")
}

// grow makes a node and what leads to it, each part once.
func (p *oneLine) grow(at wiring.Node, leadsTo *lineNode) *lineNode {
	p.seen[at] = true
	n := &lineNode{}
	switch at.Kind {
	case wiring.Service:
		p.service(n)
	case wiring.Panel:
		if b, ok := job.ByName(p.j.Panels, at.Name); ok {
			n.board = p.panel(b)
		}
	case wiring.Combiner:
		if b, ok := job.ByName(p.j.Combiners, at.Name); ok {
			n.board = p.combiner(b)
		}
	}
	p.children(at, n)
	switch at.Kind {
	case wiring.Circuit:
		if c, ok := job.ByName(p.j.Circuits, at.Name); ok {
			p.run(n, c, leadsTo)
		}
	case wiring.Disconnect:
		if d, ok := job.ByName(p.j.Disconnects, at.Name); ok {
			n.parts = append(n.parts, p.disconnect(d)...)
		}
	case wiring.Transformer:
		if t, ok := job.ByName(p.j.Transformers, at.Name); ok {
			p.transformer(n, t)
		}
	case wiring.Inverter:
		if i, ok := job.ByName(p.j.Inverters, at.Name); ok {
			p.inverter(n, i)
		}
	case wiring.String:
		if s, ok := job.ByName(p.j.Strings, at.Name); ok {
			p.string(n, s)
		}
	}
	if n.board != nil {
		for _, c := range n.children {
			if c.entry != nil {
				n.board.entries = max(n.board.entries, c.entry.width)
			}
		}
	}
	return n
}

// children grows what leads to a node. Microinverters on a branch are one
// symbol, also where a group stands on several branches.
func (p *oneLine) children(at wiring.Node, n *lineNode) {
	var micros []*job.Inverter
	for _, before := range p.wires.Before(at) {
		if before.Kind == wiring.Inverter && at.Kind == wiring.Circuit {
			if i, ok := job.ByName(p.j.Inverters, before.Name); ok && p.micro(i) {
				micros = append(micros, i)
				p.seen[before] = true
				continue
			}
		}
		if !p.seen[before] {
			n.children = append(n.children, p.grow(before, n))
		}
	}
	if len(micros) > 0 {
		c, _ := job.ByName(p.j.Circuits, at.Name)
		n.children = append(n.children, p.micros(c, micros))
	}
}

func (p *oneLine) micro(i *job.Inverter) bool {
	t, ok := p.j.InverterTypeOf(i)
	return ok && t.Kind.Value == "micro"
}

// part makes a symbol whose texts are wrapped between words, the whole as wide as
// they need.
func part(symbol string, most float64, above, below []string, keys ...string) *linePart {
	x := &linePart{symbol: symbol, keys: keys, width: 26}
	x.above, x.below = wrapAll(above, most, symbol != "device"), wrapAll(below, most, false)
	for _, l := range x.above {
		x.width = max(x.width, svgWidth(l, sizeText, true)+8)
	}
	for _, l := range x.below {
		x.width = max(x.width, svgWidth(l, sizeText, false)+8)
	}
	return x
}

// longestWord is how wide a word may be before it is broken.
const longestWord = 130.0

// wrapAll wraps texts to a width, wider where a single word asks for it.
func wrapAll(texts []string, most float64, bold bool) []string {
	var out []string
	for _, t := range texts {
		w := most
		for _, word := range strings.Fields(wording.Plain(t)) {
			w = max(w, min(longestWord, svgWidth(word, sizeText, bold)))
		}
		out = append(out, svgWrap(t, sizeText, w, bold)...)
	}
	return out
}

// panel is the enclosure of a panel.
func (p *oneLine) panel(b *job.Panel) *lineBoard {
	key := job.KeyPath("panel", &b.Entity)
	p.drawn[key] = true
	out := &lineBoard{keys: []string{key}, name: []string{b.Name.Value}, foot: []string{orNot("busbar", p.text(b.Busbar))}, entries: 36}
	if b.Main.Known {
		out.main = part("breaker", 44, []string{"main"}, []string{p.text(b.Main)})
	}
	if b.Option.Known {
		out.foot = append(out.foot, "option "+b.Option.Value)
	}
	return out
}

// orNot is a labelled value, which says so where there is none.
func orNot(name, value string) string {
	if value == "" {
		return name + " not stated"
	}
	return name + " " + value
}

func (p *oneLine) combiner(b *job.Combiner) *lineBoard {
	key := job.KeyPath("combiner", &b.Entity)
	return &lineBoard{keys: []string{key}, name: []string{b.Name.Value}, foot: []string{"combiner", joinKnown(", ", p.text(b.Rating), p.text(b.Voltage))}, entries: 36}
}

// service is the enclosure at the utility's end.
func (p *oneLine) service(n *lineNode) {
	s := &p.j.Service
	foot := []string{orNot("busbar", p.text(s.Busbar))}
	i := &p.j.Interconnection
	switch {
	case i.Kind.Value == "supply-side", i.Kind.Value != "busbar" && i.Kind.Known && !i.Panel.Known:
		n.tap = true
	case i.Kind.Value == "busbar" && !i.Panel.Known:
		foot = append(foot, labelled("option", i.Option.Value), labelled("sources at", i.Position.Value))
	}
	foot = slices.DeleteFunc(foot, func(s string) bool { return s == "" })
	n.board = &lineBoard{keys: []string{"service"}, service: true, foot: foot,
		name: []string{joinKnown(" ", "service", p.text(s.Rating)), joinKnown(", ", p.text(s.Voltage), s.System.Value)},
		main: part("breaker", 60, []string{"main"}, []string{orRating(p.text(s.Main))}), entries: 36}
}

func (p *oneLine) tag(c *job.Circuit) string {
	return fmt.Sprintf("C%d", 1+slices.Index(p.tags, c))
}

// run is a circuit: its conductors, then the devices in its line. A device that
// stands in the panel or combiner it ends at is drawn inside that.
func (p *oneLine) run(n *lineNode, c *job.Circuit, leadsTo *lineNode) {
	x := &linePart{symbol: "tag", keys: []string{job.KeyPath("circuit", &c.Entity)}, tag: p.tag(c), below: p.conductors(c)}
	x.below = wrapAll(x.below, 110, false)
	x.width = 40
	for _, l := range x.below {
		x.width = max(x.width, svgWidth(l, sizeText, false)+10)
	}
	n.parts = append(n.parts, x)
	for i := range p.j.Disconnects {
		if d := &p.j.Disconnects[i]; d.Circuit.Known && d.Circuit.Value == c.Name.Value {
			n.parts = append(n.parts, p.disconnect(d)...)
		}
	}
	d, ok := p.j.OvercurrentOf(c)
	if !ok && len(c.Strings.Value) == 1 {
		if s, known := job.ByName(p.j.Strings, c.Strings.Value[0]); known {
			d, ok = p.j.FuseOf(s)
		}
	}
	if !ok || p.drawn[job.KeyPath("overcurrent", &d.Entity)] {
		return
	}
	device := p.overcurrent(d)
	in := leadsTo != nil && leadsTo.board != nil && !leadsTo.tap && (d.Kind.Value == "breaker" || !leadsTo.board.service)
	if in {
		n.entry = device
	} else {
		n.parts = append(n.parts, device)
	}
}

func (p *oneLine) disconnect(d *job.Disconnect) []*linePart {
	key := job.KeyPath("disconnect", &d.Entity)
	if p.drawn[key] {
		return nil
	}
	p.drawn[key] = true
	return []*linePart{part("disconnect", 60, []string{d.Name.Value}, []string{orRating(p.text(d.Rating)), p.text(d.Voltage)}, key)}
}

func orRating(s string) string {
	if s == "" {
		return "no rating"
	}
	return s
}

func (p *oneLine) overcurrent(d *job.Overcurrent) *linePart {
	key := job.KeyPath("overcurrent", &d.Entity)
	p.drawn[key] = true
	symbol := "breaker"
	if d.Kind.Value == "fuse" {
		symbol = "fuse"
	}
	below := []string{orRating(p.text(d.Rating))}
	v := p.r.Model.Term(terms.KindFor[job.Overcurrent]().Of(p.r.Model, d), "backfed")
	if backfed, ok := v.V.(bool); ok && backfed {
		below = append(below, "backfed"+p.mark(v))
	}
	return part(symbol, 50, []string{d.Name.Value}, below, key)
}

// mark stands behind a value that is derived.
func (p *oneLine) mark(v *terms.Value) string {
	if !v.Fills() {
		return ""
	}
	p.derived = true
	return derivedMark
}

// conductors says what a circuit is run in, a line each: "3 #8 THWN-2 Cu",
// "+ 1 #10 G", "in 3/4 in EMT", "15 ft".
func (p *oneLine) conductors(c *job.Circuit) []string {
	var out []string
	count := ""
	if w := circuits.WiresOf(p.r.Model, c); w != nil {
		count = fmt.Sprint(w.Count)
		if !w.Listed {
			count += derivedMark
			p.derived = true
		}
	}
	size := "size not stated"
	if c.Conductor.Known {
		size = sizeShort(c.Conductor.Value)
	}
	line := joinKnown(" ", count, size, c.Insulation.Value, materialShort(c.Material.Value))
	if c.Sets.Known && c.Sets.Value > 1 {
		line = fmt.Sprintf("%d sets of %s", c.Sets.Value, line)
	}
	out = append(out, line)
	switch {
	case c.GroundPath.Value == "raceway":
		out = append(out, "ground: the raceway")
	case c.Ground.Known:
		material := materialShort(c.GroundMaterial.Value)
		out = append(out, joinKnown(" ", "+ 1 "+sizeShort(c.Ground.Value), material, "G"))
	default:
		out = append(out, "ground not stated")
	}
	switch raceway := c.Raceway.Value; {
	case !c.Raceway.Known:
	case raceway == "free-air":
		out = append(out, "in free air")
	case c.TradeSize.Known:
		out = append(out, "in "+tradeSize(c.TradeSize.Value)+" "+raceway)
	default:
		out = append(out, "in "+raceway)
	}
	if length := p.text(c.Length); length != "" {
		out = append(out, length)
	}
	if current := term(p, c, "maximum_current", quantity.Current); current != "" {
		out = append(out, current+" max")
	}
	return out
}

// tradeSize is a trade size with its unit, which may stand in the job or not.
func tradeSize(s string) string {
	if strings.ContainsFunc(s, func(r rune) bool { return r >= 'a' && r <= 'z' || r == '"' }) {
		return s
	}
	return s + " in"
}

// sizeShort is a size as schedules have it: "#8", "#1/0", "250 kcmil".
func sizeShort(s quantity.Size) string {
	if name, ok := strings.CutSuffix(s.String(), " AWG"); ok {
		return "#" + name
	}
	return s.String()
}

func materialShort(s string) string {
	switch s {
	case "copper":
		return "Cu"
	case "aluminum":
		return "Al"
	}
	return s
}

// transformer is drawn with the devices on its two sides.
func (p *oneLine) transformer(n *lineNode, t *job.Transformer) {
	key := job.KeyPath("transformer", &t.Entity)
	p.drawn[key] = true
	device := func(name job.Text) {
		if d, ok := job.ByName(p.j.Overcurrents, name.Value); ok && !p.drawn[job.KeyPath("overcurrent", &d.Entity)] {
			n.parts = append(n.parts, p.overcurrent(d))
		}
	}
	device(t.InverterSide)
	n.parts = append(n.parts, part("transformer", 70, []string{t.Name.Value}, []string{p.text(t.Power), joinKnown(" to ", p.text(t.Voltage), p.text(t.UtilityVoltage))}, key))
	device(t.Overcurrent)
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

// micros is the microinverters on a branch circuit.
func (p *oneLine) micros(c *job.Circuit, list []*job.Inverter) *lineNode {
	var names, keys, foot []string
	units := term(p, c, "units", quantity.Ratio)
	for _, i := range list {
		names = append(names, i.Name.Value)
		keys = append(keys, job.KeyPath("inverter", &i.Entity))
		if units == "" && len(list) == 1 {
			units = term(p, i, "count", quantity.Ratio)
		}
		if t, ok := p.j.InverterTypeOf(i); ok && len(foot) == 0 {
			keys = append(keys, job.KeyPath("inverter_type", &t.Entity))
			foot = append(foot, "type "+t.Name.Value, joinKnown(", ", p.text(t.Output), p.text(t.OutputCurrent))+" each")
		}
	}
	if units == "" {
		units = "number of units not stated"
	} else if units += " units"; units == "1 units" {
		units = "1 unit"
	}
	return &lineNode{parts: []*linePart{part("micros", 90, []string{strings.Join(names, ", ")}, append([]string{units}, foot...), keys...)}}
}

// inverter is an inverter with its disconnect on the side of the modules.
func (p *oneLine) inverter(n *lineNode, i *job.Inverter) {
	keys := []string{job.KeyPath("inverter", &i.Entity)}
	var foot []string
	symbol := "inverter"
	if t, ok := p.j.InverterTypeOf(i); ok {
		keys = append(keys, job.KeyPath("inverter_type", &t.Entity))
		foot = []string{"type " + t.Name.Value, joinKnown(", ", p.text(t.Output), p.text(t.OutputVoltage)), labelled("output", p.text(t.OutputCurrent)), labelled("input to", p.text(t.MaximumInputVoltage))}
		if t.Kind.Value == "micro" {
			symbol = "micros"
			foot = append([]string{"units: " + term(p, i, "count", quantity.Ratio)}, foot...)
		}
	}
	for k := range p.j.Disconnects {
		if d := &p.j.Disconnects[k]; !d.Circuit.Known && d.Inverter.Known && d.Inverter.Value == i.Name.Value {
			n.parts = append(n.parts, p.disconnect(d)...)
		}
	}
	n.parts = append(n.parts, part(symbol, 80, []string{i.Name.Value}, foot, keys...))
}

func (p *oneLine) string(n *lineNode, s *job.String) {
	keys := []string{job.KeyPath("string", &s.Entity)}
	foot := []string{"modules not stated"}
	if count := term(p, s, "module_count", quantity.Ratio); count != "" {
		foot[0] = count + " modules"
		if count == "1" {
			foot[0] = "1 module"
		}
	}
	switch {
	case s.Array.Known && len(s.Apart) > 0:
		foot = append(foot, "arrays "+arraysText(s))
	case s.Array.Known:
		foot = append(foot, "array "+arraysText(s))
	}
	if t, ok := p.j.ModuleTypeOf(s); ok {
		keys = append(keys, job.KeyPath("module_type", &t.Entity))
	}
	if s.Converter.Known {
		foot = append(foot, "converters "+s.Converter.Value, labelled("at most", term(p, s, "maximum_voltage", quantity.Voltage)))
	} else if v := term(p, s, "module_voltage", quantity.Voltage); v != "" {
		foot = append(foot, "Voc "+v, labelled("at", p.text(p.j.Site.RecordLow)))
	}
	foot = append(foot, labelled("Isc", term(p, s, "short_circuit", quantity.Current)))
	n.parts = append(n.parts, part("modules", 96, []string{s.Name.Value}, foot, keys...))
	// A fuse that no circuit has shown stands with its string.
	for i := range p.j.Circuits {
		if slices.Contains(p.j.Circuits[i].Strings.Value, s.Name.Value) {
			return
		}
	}
	if d, ok := p.j.FuseOf(s); ok && !p.drawn[job.KeyPath("overcurrent", &d.Entity)] {
		n.parts = append(n.parts, p.overcurrent(d))
	}
}

// arraysText names the arrays that the modules of a string belong to.
func arraysText(s *job.String) string {
	var names []string
	for _, a := range s.Arrays() {
		names = append(names, a.Value)
	}
	return strings.Join(names, ", ")
}

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

// all lists the symbols of a node, with those of its enclosure.
func (n *lineNode) all() []*linePart {
	list := slices.Clone(n.parts)
	if n.entry != nil {
		list = append(list, n.entry)
	}
	return list
}

// likeness is equal for parts that differ by name only.
func (n *lineNode) likeness() string {
	var b strings.Builder
	if n.board != nil {
		fmt.Fprint(&b, "[", n.board.foot, "]")
	}
	for _, x := range n.all() {
		fmt.Fprint(&b, x.symbol, x.below)
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
			f.count(1)
			continue
		}
		first[like] = c
		kept = append(kept, c)
	}
	n.children = kept
}

// count notes that a node and what feeds it stand for more like ones.
func (n *lineNode) count(by int) {
	n.merged += by
	for _, c := range n.children {
		c.count(by)
	}
}

// absorb takes over the keys of a like part and of all that feeds it.
func (n *lineNode) absorb(like *lineNode) {
	if n.board != nil {
		n.board.keys = append(n.board.keys, like.board.keys...)
	}
	own, other := n.all(), like.all()
	for i := range own {
		own[i].keys = append(own[i].keys, other[i].keys...)
	}
	for i, c := range n.children {
		c.absorb(like.children[i])
	}
}

// rows keeps the rows from one to another only. The line to the service is
// repeated on every part.
func (n *lineNode) rows(from, to int) *lineNode {
	only := *n
	only.children = nil
	row := 0
	for _, c := range n.children {
		rows := c.leaves()
		if row < to && row+rows > from {
			only.children = append(only.children, c.rows(from-row, to-row))
		}
		row += rows
	}
	return &only
}

// column is what stands below the diagram beside its schedules.
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
// at it, all others stand named below.
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
	for i := range p.j.Overcurrents {
		note("overcurrent", p.j.Overcurrents[i].Name.Value)
	}
}

func (p *oneLine) describe() {
	p.extra = append(p.extra, fmt.Sprintf("Not to scale. %s, %s, %s, %s.",
		wording.Plural(len(p.j.Strings), "string", "strings"), wording.Plural(len(p.j.Inverters), "entry of inverters", "entries of inverters"),
		wording.Plural(len(p.j.Circuits), "circuit", "circuits"), wording.Plural(len(p.j.Overcurrents), "overcurrent device", "overcurrent devices")))
	if k := p.j.Interconnection.Kind; k.Known {
		p.extra = append(p.extra, "Interconnection: "+k.Value+".")
	}
}

// knownConnection tells whether the job says where the system connects.
func knownConnection(j *job.Job) bool { return j.Interconnection.Kind.Known }
