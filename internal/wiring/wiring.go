// Package wiring traces an electrical system as a graph of plain names: from
// each string to the service, along circuits, combiners, inverters, in-line
// disconnects, panels and transformers. It finds the ends of circuits that say
// only what they carry, and lists what cannot be traced.
package wiring

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Kind is what a node of the graph is; the words are those of a job file.
type Kind string

// The kinds of nodes.
const (
	String      Kind = "string"
	Combiner    Kind = "combiner"
	Inverter    Kind = "inverter"
	Circuit     Kind = "circuit"
	Disconnect  Kind = "disconnect"
	Panel       Kind = "panel"
	Transformer Kind = "transformer"
	Service     Kind = "service"
)

// Node is one thing of the system. The zero node is nothing.
type Node struct {
	Kind Kind
	Name string
}

// TheService is the node at the utility's end.
var TheService = Node{Service, "service"}

// Rank orders circuits from the modules to the utility.
type Rank int

// The ranks. Those from Branch on carry alternating current.
const (
	StringRun Rank = iota
	Source
	Branch
	Output
	Feeder
	SupplySide
)

// Run is a circuit: what it carries (strings, or inverters on alternating
// current) and what it says of its ends; the zero node where it says nothing.
type Run struct {
	Name     string
	Rank     Rank
	Carries  []string
	Unknown  bool // what it carries is not stated
	From, To Node
}

// StringOf is a string with the inverter it feeds; Factory where no circuit
// stands for its wiring.
type StringOf struct {
	Name, Inverter string
	Factory        bool
}

// Box is a combiner with the strings that end in it; Factory where no circuit
// stands for its output.
type Box struct {
	Name    string
	Strings []string
	Factory bool
}

// Board is a panel or transformer: what it is joined to on the side of the
// utility, and the circuit that joins it, where one is named.
type Board struct {
	Node
	Supply Node
	Feeder string
}

// System is what a submittal says of the wiring.
type System struct {
	Strings   []StringOf
	Boxes     []Box
	Inverters []string
	Runs      []Run
	Boards    []Board
	Point     Node // where the system meets the premises wiring; the zero node where that is not known
}

// Trace is the graph of a system, with what could not be traced.
type Trace struct {
	system   System
	runs     map[string]*Run
	boxes    map[string]*Box
	strings  map[string]*StringOf
	feederOf map[string]*Board   // by the circuit
	goesOn   map[Node][]*Run     // circuits by what they say they begin at
	ends     map[string]*end     // by the circuit
	gaps     map[string][]string // of circuits, in words
	next     map[Node][]Node
	before   map[Node][]Node
}

// end is where a circuit ends: through what, if a disconnect stands in line.
type end struct {
	at  Node
	via Node
	gap string
}

// New traces a system.
func New(s System) *Trace {
	t := &Trace{system: s, runs: map[string]*Run{}, boxes: map[string]*Box{}, strings: map[string]*StringOf{}, feederOf: map[string]*Board{},
		goesOn: map[Node][]*Run{}, ends: map[string]*end{}, gaps: map[string][]string{}, next: map[Node][]Node{}, before: map[Node][]Node{}}
	for i := range s.Strings {
		t.strings[s.Strings[i].Name] = &s.Strings[i]
	}
	for i := range s.Boxes {
		t.boxes[s.Boxes[i].Name] = &s.Boxes[i]
	}
	for i := range s.Boards {
		if b := &s.Boards[i]; b.Feeder != "" {
			t.feederOf[b.Feeder] = b
		}
	}
	for i := range s.Runs {
		r := &s.Runs[i]
		t.runs[r.Name] = r
		if r.From == (Node{}) {
			if b := t.feederOf[r.Name]; b != nil {
				r.From = b.Node
			}
		}
		if r.To == (Node{}) {
			if b := t.feederOf[r.Name]; b != nil {
				r.To = b.Supply
			}
		}
		if r.From != (Node{}) {
			t.goesOn[r.From] = append(t.goesOn[r.From], r)
		}
	}
	for i := range s.Runs {
		t.endOf(&s.Runs[i])
	}
	for i := range s.Runs {
		t.joinEnd(&s.Runs[i])
	}
	for i := range s.Runs {
		t.joinBeginning(&s.Runs[i])
	}
	t.joinRest()
	return t
}

func (r *Run) node() Node { return Node{Circuit, r.Name} }

func (r *Run) alternating() bool { return r.Rank >= Branch }

// join adds an edge, once.
func (t *Trace) join(from, to Node) {
	if from == to || slices.Contains(t.next[from], to) {
		return
	}
	t.next[from] = append(t.next[from], to)
	t.before[to] = append(t.before[to], from)
}

func (t *Trace) gap(r *Run, format string, a ...any) {
	t.gaps[r.Name] = append(t.gaps[r.Name], fmt.Sprintf(format, a...))
}

// Next lists what a node leads to.
func (t *Trace) Next(n Node) []Node { return t.next[n] }

// Before lists what leads to a node.
func (t *Trace) Before(n Node) []Node { return t.before[n] }

// Gaps says in words what could not be traced of a circuit's ends.
func (t *Trace) Gaps(circuit string) []string { return t.gaps[circuit] }

// FirstRuns lists the circuits that begin at a node.
func (t *Trace) FirstRuns(n Node) []string {
	var out []string
	for _, m := range t.next[n] {
		if m.Kind == Circuit {
			out = append(out, m.Name)
		}
	}
	return out
}

// Reaches reports whether the graph leads from one node to another.
func (t *Trace) Reaches(from, to Node) bool {
	return slices.Contains(t.along(t.next, from), to)
}

// LooseEnds lists where the way from a node stops short of the service.
func (t *Trace) LooseEnds(from Node) []Node {
	var out []Node
	for _, n := range t.along(t.next, from) {
		if len(t.next[n]) == 0 && n.Kind != Service {
			out = append(out, n)
		}
	}
	return out
}

// Circles reports whether the way from a node comes back to it.
func (t *Trace) Circles(from Node) bool {
	return slices.ContainsFunc(t.next[from], func(n Node) bool { return t.Reaches(n, from) })
}

// Upstream lists the nodes of a kind that lead to a node, sorted by name.
func (t *Trace) Upstream(n Node, kind Kind) []string {
	var out []string
	for _, m := range t.along(t.before, n) {
		if m.Kind == kind && m != n {
			out = append(out, m.Name)
		}
	}
	slices.Sort(out)
	return out
}

// Path is one way from a node towards the service, the node included.
func (t *Trace) Path(from Node) []Node {
	path := []Node{from}
	for len(t.next[from]) > 0 {
		if from = t.next[from][0]; slices.Contains(path, from) {
			break
		}
		path = append(path, from)
	}
	return path
}

// along lists the nodes in one direction, the first included.
func (t *Trace) along(edges map[Node][]Node, from Node) []Node {
	seen, list := map[Node]bool{from: true}, []Node{from}
	for i := 0; i < len(list); i++ {
		for _, n := range edges[list[i]] {
			if !seen[n] {
				seen[n] = true
				list = append(list, n)
			}
		}
	}
	return list
}

// Beside is another circuit of the same kind that carries the same between the
// same ends; "" where there is none. Branch circuits share their inverters, so
// that two of them are no fault.
func (t *Trace) Beside(circuit string) string {
	r := t.runs[circuit]
	if r == nil || r.Unknown || r.Rank == Branch {
		return ""
	}
	for i := range t.system.Runs {
		o := &t.system.Runs[i]
		if o.Name != r.Name && o.Rank == r.Rank && !o.Unknown && sameSet(o.Carries, r.Carries) && o.From == r.From && o.To == r.To {
			return o.Name
		}
	}
	return ""
}

// Carried compares what a circuit says it carries with what leads to it: the
// names that lead to it and that it does not say, and those it says that do not
// lead to it.
func (t *Trace) Carried(circuit string) (unsaid, missing []string) {
	r := t.runs[circuit]
	if r == nil || r.Unknown {
		return nil, nil
	}
	kind := String
	if r.alternating() {
		kind = Inverter
	}
	up := t.Upstream(r.node(), kind)
	for _, name := range up {
		if !slices.Contains(r.Carries, name) {
			unsaid = append(unsaid, name)
		}
	}
	for _, name := range r.Carries {
		if !slices.Contains(up, name) {
			missing = append(missing, name)
		}
	}
	return unsaid, missing
}

// endOf finds where a circuit ends.
func (t *Trace) endOf(r *Run) *end {
	if e, known := t.ends[r.Name]; known {
		if e == nil {
			return &end{} // it is being looked for: a circle
		}
		return e
	}
	t.ends[r.Name] = nil
	e := t.find(r)
	t.ends[r.Name] = e
	return e
}

func (t *Trace) find(r *Run) *end {
	switch {
	case r.To.Kind == Disconnect:
		if len(t.goesOn[r.To]) > 0 {
			return &end{at: r.To} // what goes on from it says so
		}
		e := *t.inferred(r)
		if e.via == (Node{}) {
			e.via = r.To
		}
		return &e
	case r.To != (Node{}):
		return &end{at: r.To}
	}
	if on := t.goesOn[r.node()]; len(on) > 0 {
		return &end{at: on[0].node()}
	}
	return t.inferred(r)
}

// inferred finds the end of a circuit by what it carries.
func (t *Trace) inferred(r *Run) *end {
	if r.Unknown {
		return &end{gap: "what it carries is not stated"}
	}
	if r.alternating() {
		return t.inferredAC(r)
	}
	return t.inferredDC(r)
}

// inferredDC: strings end at the smallest combiner that holds them all, else
// where their circuit goes on, else at their inverter.
func (t *Trace) inferredDC(r *Run) *end {
	own := t.boxOf(r)
	var boxes []*Box
	partly := ""
	for i := range t.system.Boxes {
		b := &t.system.Boxes[i]
		switch {
		case own != nil && len(b.Strings) <= len(own.Strings) && r.Rank == Source:
		case r.Rank == Source && sameSet(b.Strings, r.Carries):
		case within(r.Carries, b.Strings):
			boxes = append(boxes, b)
		case r.Rank == StringRun && slices.ContainsFunc(r.Carries, func(s string) bool { return slices.Contains(b.Strings, s) }):
			partly = b.Name
		}
	}
	if len(boxes) > 0 {
		least := smallest(boxes, func(b *Box) int { return len(b.Strings) })
		if len(least) > 1 {
			return &end{gap: fmt.Sprintf("it could end at %s or at %s", least[0].Name, least[1].Name)}
		}
		return &end{at: Node{Combiner, least[0].Name}}
	}
	if partly != "" {
		return &end{gap: fmt.Sprintf("it carries %s, of which only some end in %s", list(r.Carries), partly)}
	}
	if y, e := t.following(r); y != nil || e != nil {
		if e != nil {
			return e
		}
		return t.towards(y)
	}
	inverter := ""
	for _, name := range r.Carries {
		s := t.strings[name]
		switch {
		case s == nil || s.Inverter == "":
			return &end{gap: fmt.Sprintf("%s names no inverter", name)}
		case inverter != "" && inverter != s.Inverter:
			return &end{gap: fmt.Sprintf("its strings feed %s and %s", inverter, s.Inverter)}
		}
		inverter = s.Inverter
	}
	if inverter == "" {
		return &end{gap: "it carries no string"}
	}
	return &end{at: Node{Inverter, inverter}}
}

// inferredAC: the output goes on along the circuit further on that carries the
// fewest more inverters; the last circuit ends where the system meets the
// premises wiring.
func (t *Trace) inferredAC(r *Run) *end {
	if len(r.Carries) == 0 {
		return &end{gap: "it carries no inverter"}
	}
	if y, e := t.following(r); e != nil {
		return e
	} else if y != nil {
		return t.towards(y)
	}
	for i := range t.system.Runs {
		y := &t.system.Runs[i]
		if y.Rank <= r.Rank || y.Unknown || within(r.Carries, y.Carries) {
			continue
		}
		if slices.ContainsFunc(r.Carries, func(name string) bool { return slices.Contains(y.Carries, name) }) {
			return &end{gap: fmt.Sprintf("it carries %s, of which only some go on along %s", list(r.Carries), y.Name)}
		}
	}
	if t.system.Point == (Node{}) {
		return &end{gap: "nothing says where the system meets the premises wiring"}
	}
	return &end{at: t.system.Point}
}

// following is the circuit that the power of another goes on along, nil where
// there is none; an end with a gap where there are several.
func (t *Trace) following(r *Run) (*Run, *end) {
	var list []*Run
	for i := range t.system.Runs {
		y := &t.system.Runs[i]
		if y == r || y.Unknown || y.alternating() != r.alternating() || !within(r.Carries, y.Carries) {
			continue
		}
		switch y.From.Kind {
		case String, Inverter, Circuit, Combiner:
			continue
		}
		inLine := y.From != (Node{}) && r.From == (Node{}) // said to go on from a disconnect, panel or transformer
		if y.Rank > r.Rank || inLine && y.Rank == r.Rank {
			list = append(list, y)
		}
	}
	least := smallest(list, func(y *Run) int { return len(y.Carries)*10 + int(y.Rank) })
	if len(least) == 0 {
		return nil, nil
	}
	for _, y := range least {
		if t.leadsToAll(y, least) {
			return y, nil
		}
	}
	return nil, &end{gap: fmt.Sprintf("it could go on along %s or along %s", least[0].Name, least[1].Name)}
}

// leadsToAll reports whether the known ends of circuits lead from one to all
// others.
func (t *Trace) leadsToAll(y *Run, others []*Run) bool {
	on := map[string]bool{}
	for at := y; at != nil && !on[at.Name]; {
		on[at.Name] = true
		to := at.To
		at = nil
		if to.Kind == Circuit {
			at = t.runs[to.Name]
		} else if from := t.goesOn[to]; len(from) > 0 {
			at = from[0]
		}
	}
	return !slices.ContainsFunc(others, func(o *Run) bool { return !on[o.Name] })
}

// towards is the end at a circuit, or at what stands ahead of it.
func (t *Trace) towards(y *Run) *end {
	switch y.From.Kind {
	case Disconnect, Panel, Transformer:
		return &end{at: y.From}
	}
	return &end{at: y.node()}
}

// boxOf is the combiner whose output a circuit is, nil where there is none.
func (t *Trace) boxOf(r *Run) *Box {
	if r.From.Kind == Combiner {
		return t.boxes[r.From.Name]
	}
	if r.Rank != Source || r.From != (Node{}) {
		return nil
	}
	for i := range t.system.Boxes {
		if b := &t.system.Boxes[i]; sameSet(b.Strings, r.Carries) {
			return b
		}
	}
	return nil
}

func (t *Trace) joinEnd(r *Run) {
	if r.From != (Node{}) {
		t.join(r.From, r.node())
	}
	e := t.endOf(r)
	if e.gap != "" {
		t.gap(r, "%s", e.gap)
		return
	}
	from := r.node()
	if e.via != (Node{}) {
		t.join(from, e.via)
		from = e.via
	}
	t.join(from, e.at)
}

func (t *Trace) joinBeginning(r *Run) {
	if r.From != (Node{}) || r.Unknown {
		return
	}
	if b := t.boxOf(r); b != nil {
		for i := range t.system.Boxes {
			if o := &t.system.Boxes[i]; o != b && sameSet(o.Strings, b.Strings) {
				t.gap(r, "it could begin at %s or at %s", b.Name, o.Name)
				return
			}
		}
		t.join(Node{Combiner, b.Name}, r.node())
		return
	}
	into := t.before[r.node()]
	kind := String
	if r.alternating() {
		kind = Inverter
	}
	covered := map[string]bool{}
	for _, circuit := range t.Upstream(r.node(), Circuit) {
		if p := t.runs[circuit]; p.alternating() == r.alternating() {
			for _, name := range p.Carries {
				covered[name] = true
			}
		}
	}
	var bare []string
	for _, name := range r.Carries {
		if !covered[name] {
			bare = append(bare, name)
		}
	}
	switch {
	case r.Rank >= Feeder && len(bare) > 0:
		t.gap(r, "no branch or inverter output circuit brings %s to it", list(bare))
		return
	case r.Rank == Source && len(into)+len(bare) > 1:
		t.gap(r, "nothing says where %s meet: no combiner holds just these strings", list(r.Carries))
	}
	for _, name := range bare {
		t.join(Node{kind, name}, r.node())
	}
}

// joinRest joins what no circuit stands for: factory wiring, and panels and
// transformers without a circuit to their supply.
func (t *Trace) joinRest() {
	for i := range t.system.Strings {
		s := &t.system.Strings[i]
		if !s.Factory {
			continue
		}
		to := Node{Inverter, s.Inverter}
		for _, b := range t.system.Boxes {
			if slices.Contains(b.Strings, s.Name) {
				to = Node{Combiner, b.Name}
				break
			}
		}
		if to.Name != "" {
			t.join(Node{String, s.Name}, to)
		}
	}
	for _, b := range t.system.Boxes {
		if !b.Factory {
			continue
		}
		for _, name := range b.Strings {
			if s := t.strings[name]; s != nil && s.Inverter != "" {
				t.join(Node{Combiner, b.Name}, Node{Inverter, s.Inverter})
			}
		}
	}
	for _, b := range t.system.Boards {
		if r := t.runs[b.Feeder]; r != nil && r.From.Kind == Disconnect && len(t.before[r.From]) == 0 {
			t.join(b.Node, r.From) // a switch at the panel, ahead of its feeder
		}
		if b.Feeder == "" && b.Supply != (Node{}) && len(t.FirstRuns(b.Node)) == 0 {
			t.join(b.Node, b.Supply)
		}
	}
}

func list(names []string) string { return strings.Join(names, ", ") }

// within reports whether all of the first stand in the second.
func within(a, b []string) bool {
	return !slices.ContainsFunc(a, func(x string) bool { return !slices.Contains(b, x) })
}

func sameSet(a, b []string) bool { return within(a, b) && within(b, a) }

// smallest lists those of the least measure, in their order.
func smallest[T any](all []T, measure func(T) int) []T {
	var out []T
	for _, x := range all {
		c := -1
		if len(out) > 0 {
			c = cmp.Compare(measure(x), measure(out[0]))
		}
		switch {
		case c < 0:
			out = []T{x}
		case c == 0:
			out = append(out, x)
		}
	}
	return out
}
