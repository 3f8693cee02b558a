package circuits

import (
	"fmt"
	"slices"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/terms"
	"plumbrule/internal/wiring"
)

var (
	systemPanelKind       = terms.KindFor[job.Panel]()
	systemTransformerKind = terms.KindFor[job.Transformer]()
)

// noGap is what a gap says where there is none.
const noGap = "none"

// system is the wiring of a job as it could be traced. What is missing to trace
// it further is kept by what it could change.
type system struct {
	*wiring.Trace
	dc, ac []terms.Need // circuits and combiners of which it is not known what they carry
}

var traced = terms.Analyse(submittalKind, "the connected system", func(c *terms.Call, j *job.Job) *system {
	var s wiring.System
	out := &system{}
	need := func(list *[]terms.Need, key job.Texts) { *list = append(*list, terms.Need{Key: key.Key, At: key.At}) }
	for i := range j.Strings {
		x := &j.Strings[i]
		if !terms.Stated(c, x.Inverter) {
			out.dc = append(out.dc, terms.Need{Key: x.Inverter.Key, At: x.Inverter.At})
		}
		s.Strings = append(s.Strings, wiring.StringOf{Name: x.Name.Value, Inverter: terms.Peek(c, x.Inverter), Factory: terms.Peek(c, x.Factory)})
	}
	for i := range j.Combiners {
		x := &j.Combiners[i]
		if !terms.Stated(c, x.Strings) {
			need(&out.dc, x.Strings)
		}
		s.Boxes = append(s.Boxes, wiring.Box{Name: x.Name.Value, Strings: terms.Peek(c, x.Strings), Factory: terms.Peek(c, x.Factory)})
	}
	for i := range j.Inverters {
		s.Inverters = append(s.Inverters, j.Inverters[i].Name.Value)
	}
	for i := range j.Circuits {
		x := &j.Circuits[i]
		r := wiring.Run{Name: x.Name.Value, Rank: ranks[terms.Peek(c, x.Kind)]}
		carried, open := x.Inverters, &out.ac
		if isDC(c, x) {
			carried, open = x.Strings, &out.dc
		}
		if r.Unknown = !terms.Stated(c, carried); r.Unknown {
			need(open, carried)
		}
		r.Carries = terms.Peek(c, carried)
		r.From = nodeOf(c, x.From, wiring.String, wiring.Inverter, wiring.Combiner, wiring.Disconnect, wiring.Panel, wiring.Transformer, wiring.Circuit)
		r.To = nodeOf(c, x.To, wiring.Combiner, wiring.Inverter, wiring.Disconnect, wiring.Panel, wiring.Transformer, wiring.Circuit, wiring.Service)
		s.Runs = append(s.Runs, r)
	}
	for i := range j.Panels {
		x := &j.Panels[i]
		s.Boards = append(s.Boards, wiring.Board{Node: wiring.Node{Kind: wiring.Panel, Name: x.Name.Value}, Supply: supplyNode(c, x.Supply), Feeder: terms.Peek(c, x.Feeder)})
	}
	for i := range j.Transformers {
		x := &j.Transformers[i]
		s.Boards = append(s.Boards, wiring.Board{Node: wiring.Node{Kind: wiring.Transformer, Name: x.Name.Value}, Supply: supplyNode(c, x.Supply), Feeder: terms.Peek(c, x.Feeder)})
	}
	s.Point = point(c)
	out.Trace = wiring.New(s)
	return out
})

// point is where the system meets the premises wiring.
func point(c *terms.Call) wiring.Node {
	if p := c.Job().Interconnection.Panel; terms.Stated(c, p) {
		return wiring.Node{Kind: wiring.Panel, Name: terms.Peek(c, p)}
	}
	return wiring.TheService // left out: the panel of the service
}

func supplyNode(c *terms.Call, supply job.Text) wiring.Node {
	return nodeOf(c, supply, wiring.Panel, wiring.Transformer, wiring.Service)
}

var ranks = map[string]wiring.Rank{"string": wiring.StringRun, "converter-output": wiring.StringRun, "source": wiring.Source,
	"branch": wiring.Branch, "inverter-output": wiring.Output, "feeder": wiring.Feeder, "supply-side": wiring.SupplySide}

// nodeOf is the thing that a reference to several kinds names: the first kind
// that has the name.
func nodeOf(c *terms.Call, ref job.Text, kinds ...wiring.Kind) wiring.Node {
	if !terms.Stated(c, ref) {
		return wiring.Node{}
	}
	j, name := c.Job(), terms.Peek(c, ref)
	for _, kind := range kinds {
		has := false
		switch kind {
		case wiring.String:
			_, has = job.ByName(j.Strings, name)
		case wiring.Inverter:
			_, has = job.ByName(j.Inverters, name)
		case wiring.Combiner:
			_, has = job.ByName(j.Combiners, name)
		case wiring.Disconnect:
			_, has = job.ByName(j.Disconnects, name)
		case wiring.Panel:
			_, has = job.ByName(j.Panels, name)
		case wiring.Transformer:
			_, has = job.ByName(j.Transformers, name)
		case wiring.Circuit:
			_, has = job.ByName(j.Circuits, name)
		case wiring.Service:
			has = name == string(wiring.Service)
		}
		if has {
			return wiring.Node{Kind: kind, Name: name}
		}
	}
	return wiring.Node{}
}

// said joins gaps to one text. Where something is missing that could close them,
// the computation needs it.
func said(c *terms.Call, gaps []string, open ...[]terms.Need) string {
	if len(gaps) == 0 {
		return noGap
	}
	for _, needs := range open {
		c.Need(needs...)
	}
	return strings.Join(gaps, "; ")
}

// onward says where the way from a node stops short of the service.
func (s *system) onward(n wiring.Node) (gaps []string) {
	if s.Reaches(n, wiring.TheService) {
		return nil
	}
	var stops []string
	for _, end := range s.LooseEnds(n) {
		if end != n {
			stops = append(stops, fmt.Sprintf("%s %s", end.Kind, end.Name))
		}
	}
	switch {
	case s.Circles(n):
		return []string{"it leads back to itself and not to the service"}
	case len(stops) > 0:
		return []string{"the way to the service stops at " + strings.Join(stops, " and at ")}
	}
	return []string{"nothing leads from it to the service"}
}

var _ = terms.Derive(stringKind, "wiring_gap", terms.Word, "what is wrong with the way from its modules to its inverter; none where it can be traced", "the job", "",
	func(c *terms.Call, x *job.String) string {
		c.Drive(x.At)
		s, n := traced.Of(c, c.Job()), wiring.Node{Kind: wiring.String, Name: x.Name.Value}
		first := s.FirstRuns(n)
		var gaps []string
		switch {
		case len(first) == 0 && !terms.Peek(c, x.Factory):
			gaps = append(gaps, "no circuit begins at its modules")
		case len(first) > 1:
			gaps = append(gaps, "more than one circuit begins at its modules: "+strings.Join(first, ", "))
		}
		inverter := terms.Get(c, x.Inverter)
		if len(s.Next(n)) > 0 && !s.Reaches(n, wiring.Node{Kind: wiring.Inverter, Name: inverter}) {
			path := s.Path(n)
			last := path[len(path)-1]
			gaps = append(gaps, fmt.Sprintf("its wiring does not lead to %s but to %s %s", inverter, last.Kind, last.Name))
		}
		var boxes []string
		for i := range c.Job().Combiners {
			if b := &c.Job().Combiners[i]; slices.Contains(terms.Get(c, b.Strings), x.Name.Value) {
				boxes = append(boxes, b.Name.Value)
			}
		}
		for i, a := range boxes {
			for _, b := range boxes[i+1:] {
				from, to := wiring.Node{Kind: wiring.Combiner, Name: a}, wiring.Node{Kind: wiring.Combiner, Name: b}
				if !s.Reaches(from, to) && !s.Reaches(to, from) {
					gaps = append(gaps, fmt.Sprintf("it is said to end in %s and in %s", a, b))
				}
			}
		}
		return said(c, gaps, s.dc)
	})

var _ = terms.Derive(combinerKind, "wiring_gap", terms.Word, "what is wrong with the circuits that end and begin in it; none where they can be traced", "the job", "",
	func(c *terms.Call, x *job.Combiner) string {
		c.Drive(x.At)
		s, n := traced.Of(c, c.Job()), wiring.Node{Kind: wiring.Combiner, Name: x.Name.Value}
		stated, arriving := terms.Get(c, x.Strings), s.Upstream(n, wiring.String)
		var gaps []string
		for _, name := range stated {
			if !slices.Contains(arriving, name) {
				gaps = append(gaps, fmt.Sprintf("no circuit of %s ends in it", name))
			}
		}
		for _, name := range arriving {
			if !slices.Contains(stated, name) {
				gaps = append(gaps, fmt.Sprintf("a circuit of %s ends in it, which it does not list", name))
			}
		}
		switch first := s.FirstRuns(n); {
		case len(first) == 0 && !terms.Peek(c, x.Factory):
			gaps = append(gaps, "no circuit carries its output")
		case len(first) > 1:
			gaps = append(gaps, "more than one circuit carries its output: "+strings.Join(first, ", "))
		}
		return said(c, gaps, s.dc)
	})

var _ = terms.Derive(inverterKind, "wiring_gap", terms.Word, "what is wrong with the way from it to the service; none where it can be traced", "the job", "",
	func(c *terms.Call, x *job.Inverter) string {
		c.Drive(x.At)
		s, n := traced.Of(c, c.Job()), wiring.Node{Kind: wiring.Inverter, Name: x.Name.Value}
		micro, first := inverterIsMicro.Of(c, x), s.FirstRuns(n)
		var gaps []string
		if !micro && len(stringsInto(c, x)) == 0 {
			gaps = append(gaps, "no string feeds it")
		}
		switch {
		case len(first) == 0:
			gaps = append(gaps, "no branch or inverter output circuit begins at it")
		case len(first) > 1 && !micro:
			gaps = append(gaps, "more than one circuit begins at it: "+strings.Join(first, ", "))
		default:
			gaps = append(gaps, s.onward(n)...)
		}
		if micro && len(first) > 0 {
			if a, wrong := unseated.Of(c, c.Job())[x.Name.Value]; wrong {
				gaps = append(gaps, fmt.Sprintf("%s together have %d units, and %s take %d", strings.Join(a.Groups, ", "), a.Units, strings.Join(a.Branches, ", "), a.Seats))
			}
		}
		return said(c, gaps, s.ac)
	})

// unseated are the groups of microinverters whose units do not find room on the
// branches that carry them.
var unseated = terms.Analyse(submittalKind, "microinverters without room on a branch", func(c *terms.Call, j *job.Job) map[string]wiring.Among {
	var groups []wiring.Group
	units := map[string]int{}
	for i := range j.Inverters {
		if x := &j.Inverters[i]; inverterIsMicro.Of(c, x) {
			n := inverterUnitCount.Of(c, x)
			groups = append(groups, wiring.Group{Name: x.Name.Value, Units: n})
			units[x.Name.Value] = n
		}
	}
	s := traced.Of(c, j)
	var branches []wiring.Seats
	for i := range j.Circuits {
		x := &j.Circuits[i]
		b := wiring.Seats{Name: x.Name.Value}
		for _, from := range s.Before(wiring.Node{Kind: wiring.Circuit, Name: x.Name.Value}) {
			if _, micro := units[from.Name]; from.Kind == wiring.Inverter && micro {
				b.Groups = append(b.Groups, from.Name)
				b.Units += units[from.Name]
			}
		}
		if len(b.Groups) == 0 {
			continue
		}
		if terms.Peek(c, x.Kind) == "branch" {
			b.Units = circuitUnits.Of(c, x)
		}
		branches = append(branches, b)
	}
	if c.Stop() {
		return nil
	}
	return wiring.Unseated(groups, branches)
})

var _ = terms.Derive(circuitKind, "wiring_gap", terms.Word, "what is wrong with its ends and what it carries; none where it can be traced", "the job", "",
	func(c *terms.Call, x *job.Circuit) string {
		c.Drive(x.At)
		s, n := traced.Of(c, c.Job()), wiring.Node{Kind: wiring.Circuit, Name: x.Name.Value}
		dc := isDC(c, x)
		if dc {
			terms.Get(c, x.Strings)
		} else {
			terms.Get(c, x.Inverters)
		}
		gaps := slices.Clone(s.Gaps(x.Name.Value))
		if beside := s.Beside(x.Name.Value); beside != "" {
			gaps = append(gaps, fmt.Sprintf("it carries the same as %s between the same ends", beside))
		}
		if len(gaps) == 0 {
			unsaid, missing := s.Carried(x.Name.Value)
			if len(missing) > 0 {
				gaps = append(gaps, fmt.Sprintf("it is said to carry %s, which does not lead to it", strings.Join(missing, ", ")))
			}
			if len(unsaid) > 0 {
				gaps = append(gaps, fmt.Sprintf("%s leads to it, which it is not said to carry", strings.Join(unsaid, ", ")))
			}
			gaps = append(gaps, s.onward(n)...)
		}
		if dc {
			return said(c, gaps, s.dc, s.ac)
		}
		return said(c, gaps, s.ac)
	})

var _ = terms.Derive(circuitKind, "leads_to", terms.Word, "what it ends at; nothing where that cannot be traced", "the job", "",
	func(c *terms.Call, x *job.Circuit) string {
		s := traced.Of(c, c.Job())
		next := s.Next(wiring.Node{Kind: wiring.Circuit, Name: x.Name.Value})
		if len(next) == 0 {
			return said(c, []string{"nothing"}, s.dc, s.ac)
		}
		return next[0].Name
	})

var _ = terms.Derive(circuitKind, "begins_at", terms.Word, "what it begins at; nothing where that is not one thing or cannot be traced", "the job", "",
	func(c *terms.Call, x *job.Circuit) string {
		s := traced.Of(c, c.Job())
		before := s.Before(wiring.Node{Kind: wiring.Circuit, Name: x.Name.Value})
		if len(before) != 1 {
			return said(c, []string{"nothing"}, s.dc, s.ac)
		}
		return before[0].Name
	})

// boardGap is what is wrong with the place of a panel or transformer in the
// system; fed is whether inverters have to lead to it.
func boardGap(c *terms.Call, n wiring.Node, supply, feeder job.Text, fed bool) string {
	s := traced.Of(c, c.Job())
	terms.Get(c, supply)
	gaps := s.onward(n)
	if to := supplyNode(c, supply); len(gaps) == 0 && to != (wiring.Node{}) {
		path := s.Path(n)[1:]
		board := slices.IndexFunc(path, func(m wiring.Node) bool {
			return m.Kind == wiring.Panel || m.Kind == wiring.Transformer || m.Kind == wiring.Service
		})
		if board < 0 || path[board] != to {
			gaps = append(gaps, fmt.Sprintf("its supply is said to be %s, and the circuits lead elsewhere", to.Name))
		}
	}
	if len(gaps) == 0 && terms.Stated(c, feeder) {
		first := s.FirstRuns(n)
		for _, m := range s.Next(n) {
			if m.Kind == wiring.Disconnect {
				first = append(first, s.FirstRuns(m)...)
			}
		}
		if name := terms.Peek(c, feeder); !slices.Contains(first, name) {
			gaps = append(gaps, fmt.Sprintf("its feeder %s does not begin at it", name))
		}
	}
	if fed && len(s.Upstream(n, wiring.Inverter)) == 0 {
		gaps = append(gaps, "no inverter leads to it")
	}
	return said(c, gaps, s.ac)
}

var _ = terms.Derive(systemPanelKind, "wiring_gap", terms.Word, "what is wrong with its place between inverters and service; none where it can be traced", "the job", "",
	func(c *terms.Call, x *job.Panel) string {
		terms.Drive(c, x.Supply)
		n := wiring.Node{Kind: wiring.Panel, Name: x.Name.Value}
		fed := false
		if len(traced.Of(c, c.Job()).Upstream(n, wiring.Inverter)) == 0 { // a panel of loads needs no inverter
			fed = !terms.Get(c, x.Loads)
		}
		return boardGap(c, n, x.Supply, x.Feeder, fed)
	})

var _ = terms.Derive(systemTransformerKind, "wiring_gap", terms.Word, "what is wrong with its place between inverters and service; none where it can be traced", "the job", "",
	func(c *terms.Call, x *job.Transformer) string {
		terms.Drive(c, x.Supply)
		return boardGap(c, wiring.Node{Kind: wiring.Transformer, Name: x.Name.Value}, x.Supply, x.Feeder, true)
	})

var _ = terms.Derive(interconnectionKind, "wiring_gap", terms.Word, "what is wrong with the circuits that reach it; none where they can be traced", "the job", "",
	func(c *terms.Call, x *job.Interconnection) string {
		s, at := traced.Of(c, c.Job()), point(c)
		last := circuitsInto(c, s, at)
		var gaps []string
		if len(last) == 0 && len(s.Upstream(at, wiring.Circuit)) == 0 {
			gaps = append(gaps, fmt.Sprintf("no circuit reaches the %s", at.Name))
		}
		if terms.Get(c, x.Kind) == "supply-side" && !slices.ContainsFunc(c.Job().Circuits, func(y job.Circuit) bool { return terms.Peek(c, y.Kind) == "supply-side" }) {
			gaps = append(gaps, "the connection is on the supply side, and no supply-side circuit reaches it")
		}
		device := ""
		if d := sourceDevice.Of(c, x); d != nil {
			device = d.Name.Value
		}
		on := slices.ContainsFunc(last, func(y *job.Circuit) bool {
			return terms.Stated(c, y.Overcurrent) && terms.Peek(c, y.Overcurrent) == device
		})
		for _, y := range last {
			if on || terms.Peek(c, y.Kind) != "supply-side" {
				continue
			}
			for _, before := range circuitsInto(c, s, wiring.Node{Kind: wiring.Circuit, Name: y.Name.Value}) {
				on = on || terms.Stated(c, before.Overcurrent) && terms.Peek(c, before.Overcurrent) == device
			}
		}
		if !on && len(gaps) == 0 {
			for _, y := range last {
				if !terms.Stated(c, y.Overcurrent) {
					c.Missing(y.Overcurrent.Key, y.Overcurrent.At)
				}
			}
			gaps = append(gaps, fmt.Sprintf("%s protects no circuit that ends there", device))
		}
		terms.Drive(c, x.Overcurrent)
		return said(c, gaps, s.ac)
	})

// circuitsInto lists the circuits that end at a node, or at a disconnect that
// stands before it.
func circuitsInto(c *terms.Call, s *system, n wiring.Node) []*job.Circuit {
	var out []*job.Circuit
	for _, from := range s.Before(n) {
		switch from.Kind {
		case wiring.Circuit:
			if x, ok := job.ByName(c.Job().Circuits, from.Name); ok {
				out = append(out, x)
			}
		case wiring.Disconnect:
			out = append(out, circuitsInto(c, s, from)...)
		}
	}
	return out
}

var _ = terms.Derive(overcurrentKind, "protects", terms.WholeNumber, "how many circuits, strings, transformers and interconnections name it", "the job", "",
	func(c *terms.Call, d *job.Overcurrent) int {
		c.Drive(d.At)
		n := len(circuitsBehind(c, d)) + len(stringsBehind(c, d))
		names := []job.Text{c.Job().Interconnection.Overcurrent}
		for i := range c.Job().Transformers {
			t := &c.Job().Transformers[i]
			names = append(names, t.Overcurrent, t.InverterSide)
		}
		for _, ref := range names {
			if terms.Stated(c, ref) && terms.Peek(c, ref) == d.Name.Value {
				n++
			}
		}
		if n > 0 {
			return n
		}
		for i := range c.Job().Circuits { // one that names no device could be behind it
			if x := &c.Job().Circuits[i]; !isDC(c, x) {
				terms.Get(c, x.Overcurrent)
			}
		}
		sourceDevice.Of(c, &c.Job().Interconnection)
		return 0
	})

var _ = terms.Derive(overcurrentKind, "currents_agree", terms.YesNo, "whether the circuits that name it carry the same current", "NEC 240.4, 690.9", "",
	func(c *terms.Call, d *job.Overcurrent) bool {
		var first float64
		agree := true
		for i, x := range circuitsBehind(c, d) {
			current := circuitMaximumCurrent.Of(c, x)
			if i == 0 {
				first = current
			}
			agree = agree && quantity.AtMost(current, first) && quantity.AtLeast(current, first)
		}
		return agree
	})

var _ = terms.Derive(disconnectKind, "suits_purpose", terms.YesNo, "whether it names a circuit or an inverter, of direct current where it is for an array or a combiner", "the job", "",
	func(c *terms.Call, d *job.Disconnect) bool {
		c.Drive(d.At)
		if x, ok := terms.Seek(c, circuitKind, d.Circuit); ok {
			purpose := terms.Get(c, d.Purpose)
			return isDC(c, x) || purpose != "array" && purpose != "combiner"
		}
		if terms.Stated(c, d.Inverter) {
			return true
		}
		terms.Get(c, d.Circuit)
		return false
	})

var _ = terms.Derive(disconnectKind, "twin", terms.Word, "another disconnect of the same purpose for the same thing; none where there is none", "the job", "",
	func(c *terms.Call, d *job.Disconnect) string {
		c.Drive(d.At)
		same := func(a, b job.Text) bool {
			return terms.Stated(c, a) == terms.Stated(c, b) && terms.Peek(c, a) == terms.Peek(c, b)
		}
		terms.Get(c, d.Purpose)
		for i := range c.Job().Disconnects {
			o := &c.Job().Disconnects[i]
			if o != d && same(o.Purpose, d.Purpose) && same(o.Circuit, d.Circuit) && same(o.Inverter, d.Inverter) && (terms.Stated(c, d.Circuit) || terms.Stated(c, d.Inverter)) {
				return o.Name.Value
			}
		}
		return noGap
	})

var _ = terms.DeriveTwin(combinerKind)

var _ = terms.Derive(combinerKind, "output_opens", terms.YesNo, "whether a disconnect is named for a circuit of its output", "NEC 690.15", "",
	func(c *terms.Call, x *job.Combiner) bool {
		c.Drive(x.At)
		s := traced.Of(c, c.Job())
		first := s.FirstRuns(wiring.Node{Kind: wiring.Combiner, Name: x.Name.Value})
		for i := range c.Job().Disconnects {
			d := &c.Job().Disconnects[i]
			if terms.Stated(c, d.Circuit) && slices.Contains(first, terms.Peek(c, d.Circuit)) {
				return true
			}
			if s.Reaches(wiring.Node{Kind: wiring.Combiner, Name: x.Name.Value}, wiring.Node{Kind: wiring.Disconnect, Name: d.Name.Value}) {
				return true
			}
		}
		for i := range c.Job().Disconnects { // one that does not say what it opens could open it
			if d := &c.Job().Disconnects[i]; terms.Peek(c, d.Purpose) == "combiner" {
				terms.Get(c, d.Circuit)
			}
		}
		return false
	})
