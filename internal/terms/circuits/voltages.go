package circuits

import (
	"fmt"
	"math"
	"strings"

	"plumbrule/internal/electrical"
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/terms"
	"plumbrule/internal/wiring"
)

// feed puts a voltage and a system of the job together.
func feed(c *terms.Call, voltage job.Quantity, system job.Text) electrical.Feed {
	return feedOf(c, c.Q(voltage), terms.Get(c, system))
}

// feedOf is a voltage in volts with its system. A three-phase system of the
// service's voltage is connected as the service is, another as is usual.
func feedOf(c *terms.Call, voltage float64, system string) electrical.Feed {
	f := electrical.Feed{Voltage: voltage, System: electrical.System(system)}
	if f.System != electrical.ThreePhase {
		return f
	}
	f.Delta = f.Voltage == terms.Practice(c, "nominal", "delta", "value")
	if service := &c.Job().Service; terms.Stated(c, service.Connection) && terms.Peek(c, service.Voltage).SI == f.Voltage {
		f.Delta = terms.Peek(c, service.Connection) == "delta"
	}
	return f
}

// feedOn is what stands at a node, seen from the side of the inverters; false
// where a node has no voltage of its own, as a circuit that does not state it.
func feedOn(c *terms.Call, n wiring.Node) (electrical.Feed, bool) {
	j := c.Job()
	switch n.Kind {
	case wiring.Circuit:
		if x, ok := job.ByName(j.Circuits, n.Name); ok && terms.Stated(c, x.Voltage) && terms.Stated(c, x.System) {
			return feed(c, x.Voltage, x.System), true
		}
	case wiring.Panel:
		if x, ok := job.ByName(j.Panels, n.Name); ok {
			return feed(c, x.Voltage, x.System), true
		}
	case wiring.Transformer:
		if x, ok := job.ByName(j.Transformers, n.Name); ok {
			return feed(c, x.Voltage, x.System), true
		}
	case wiring.Service:
		return feed(c, j.Service.Voltage, j.Service.System), true
	}
	return electrical.Feed{}, false
}

// voltageGap holds a voltage against all that a node leads to.
func voltageGap(c *terms.Call, own electrical.Feed, n wiring.Node) string {
	s := traced.Of(c, c.Job())
	tolerance := terms.PracticeNumber(c, "nominal", "tolerance", "value")
	var gaps []string
	for _, to := range ahead(c, s, n) {
		if !c.Stop() && !electrical.Fits(own, to.Feed, tolerance) {
			gaps = append(gaps, fmt.Sprintf("%s does not fit %s, which is %s", feedWords(own), to.name, feedWords(to.Feed)))
		}
	}
	return said(c, gaps)
}

func feedWords(f electrical.Feed) string { return fmt.Sprintf("%.4g V %s", f.Voltage, f.System) }

// namedFeed is what stands at a node, with the name of that.
type namedFeed struct {
	electrical.Feed
	name   string
	node   wiring.Node
	unlike string // of what follows from several: which systems differ, where only their voltage is one
}

// ahead are the voltages that a node leads to, past switches and circuits that
// state none.
func ahead(c *terms.Call, s *system, n wiring.Node) []namedFeed {
	return onWay(n, s.Next, func(to wiring.Node) (namedFeed, bool) {
		on, ok := feedOn(c, to)
		if to.Kind == wiring.Service {
			return namedFeed{Feed: on, name: "the service", node: to}, ok
		}
		return namedFeed{Feed: on, name: to.Name, node: to}, ok
	})
}

// behind are the voltages that lead to a node, in the same way: of inverters, and
// of transformers on the side of the utility.
func behind(c *terms.Call, s *system, n wiring.Node) []namedFeed {
	return onWay(n, s.Before, func(from wiring.Node) (namedFeed, bool) {
		on, ok := electrical.Feed{}, false
		switch from.Kind {
		case wiring.Inverter:
			if i, found := job.ByName(c.Job().Inverters, from.Name); found {
				if t := typeOf(c, i); t != nil {
					on, ok = feed(c, t.OutputVoltage, t.System), true
				}
			}
		case wiring.Transformer:
			if x, found := job.ByName(c.Job().Transformers, from.Name); found {
				on, ok = feed(c, x.UtilityVoltage, x.UtilitySystem), true
			}
		default:
			on, ok = feedOn(c, from)
		}
		return namedFeed{Feed: on, name: from.Name, node: from}, ok
	})
}

// onWay goes on from a node in one direction until a voltage is met.
func onWay(n wiring.Node, on func(wiring.Node) []wiring.Node, at func(wiring.Node) (namedFeed, bool)) []namedFeed {
	var out []namedFeed
	seen := map[wiring.Node]bool{n: true}
	var walk func(n wiring.Node)
	walk = func(n wiring.Node) {
		for _, m := range on(n) {
			if seen[m] {
				continue
			}
			seen[m] = true
			if f, ok := at(m); ok {
				out = append(out, f)
			} else {
				walk(m)
			}
		}
	}
	walk(n)
	return out
}

// gapAt is what does not fit between the voltage at a node, which is no circuit,
// and what it leads to.
func gapAt(c *terms.Call, n wiring.Node) string {
	j := c.Job()
	switch n.Kind {
	case wiring.Inverter:
		if x, ok := job.ByName(j.Inverters, n.Name); ok {
			return inverterVoltageGap.Of(c, x)
		}
	case wiring.Panel:
		if x, ok := job.ByName(j.Panels, n.Name); ok {
			return panelVoltageGap.Of(c, x)
		}
	case wiring.Transformer:
		if x, ok := job.ByName(j.Transformers, n.Name); ok {
			return transformerVoltageGap.Of(c, x)
		}
	}
	return noGap
}

// followed is the voltage and the system of an AC circuit by what leads to it and
// what it leads to. Where the two are not alike nothing follows: one of them is
// wrong, or it has fewer lines than what it ends at. One voltage may follow from
// two systems.
var followed = terms.Analyse(circuitKind, "voltage and system of an AC circuit by its ends", func(c *terms.Call, x *job.Circuit) namedFeed {
	s, n := traced.Of(c, c.Job()), wiring.Node{Kind: wiring.Circuit, Name: x.Name.Value}
	from, to := behind(c, s, n), ahead(c, s, n)
	tolerance := terms.PracticeNumber(c, "nominal", "tolerance", "value")
	switch {
	case c.Stop():
		return namedFeed{}
	case len(from) == 0 || len(to) == 0:
		said(c, []string{""}, s.ac)
		c.Fail("the voltage of %s follows from nothing, as its ends cannot be traced", x.Name.Value)
		return namedFeed{}
	}
	own := namedFeed{Feed: to[0].Feed}
	if from[0].System == electrical.SinglePhase && own.System == electrical.SplitPhase {
		own.System = electrical.SinglePhase // its two lines
	}
	hold := func(f namedFeed, like electrical.Feed) {
		said := fmt.Sprintf("%s is %s, and %s is %s", f.name, feedWords(f.Feed), to[0].name, feedWords(to[0].Feed))
		switch {
		case math.Abs(f.Voltage-like.Voltage) > tolerance*like.Voltage:
			c.Fail("%s", said)
		case f.System != like.System && own.unlike == "":
			own.unlike = said
		}
	}
	for _, f := range from { // what does not fit is said there, and comes from there
		if gap := gapAt(c, f.node); !c.Stop() && gap != noGap {
			c.Fail("%s", gap)
			return namedFeed{}
		}
	}
	for _, f := range to {
		hold(f, to[0].Feed)
	}
	for _, f := range from {
		hold(f, own.Feed)
	}
	own.name = fmt.Sprintf("%s leads from %s to %s: %s", x.Name.Value, namesOf(from), namesOf(to), feedWords(own.Feed))
	return own
})

func namesOf(list []namedFeed) string {
	var names []string
	for _, f := range list {
		names = append(names, f.name)
	}
	return strings.Join(names, ", ")
}

// circuitVoltage is the nominal voltage of an AC circuit as stated, else that of
// its ends.
var circuitVoltage = terms.Fill(circuitKind, "voltage", terms.Quantity(quantity.Voltage), func(c *terms.Call, x *job.Circuit, stated bool, v float64) float64 {
	if f, ok := byEnds(c, x, stated); ok {
		return f.Voltage
	}
	return v
})

// circuitSystem is the system of an AC circuit as stated, else that of its ends.
var circuitSystem = terms.Fill(circuitKind, "system", terms.Word, func(c *terms.Call, x *job.Circuit, stated bool, v string) string {
	if f, ok := byEnds(c, x, stated); ok {
		if f.unlike != "" {
			c.Fail("%s", f.unlike)
		}
		return string(f.System)
	}
	return v
})

// byEnds is what follows for an AC circuit that does not state it.
func byEnds(c *terms.Call, x *job.Circuit, stated bool) (namedFeed, bool) {
	if stated {
		return namedFeed{}, false
	}
	if isDC(c, x) {
		c.Fail("%s carries direct current", x.Name.Value)
		return namedFeed{}, false
	}
	f := followed.Of(c, x)
	if c.Stop() {
		return namedFeed{}, false
	}
	line(c, "%s", f.name)
	return f, true
}

var inverterVoltageGap = terms.Derive(inverterKind, "voltage_gap", terms.Word, "what does not fit between its output voltage and the circuit that begins at it; none where they fit", "NEC 110.3(B), 110.4", "",
	func(c *terms.Call, x *job.Inverter) string {
		t := typeOf(c, x)
		if t == nil {
			return noGap
		}
		terms.Drive(c, t.OutputVoltage)
		return voltageGap(c, feed(c, t.OutputVoltage, t.System), wiring.Node{Kind: wiring.Inverter, Name: x.Name.Value})
	})

var circuitVoltageGap = terms.Derive(circuitKind, "voltage_gap", terms.Word, "what does not fit between its nominal voltage and what it leads to; none where they fit", "NEC 110.3(B), 110.4", "",
	func(c *terms.Call, x *job.Circuit) string {
		if isDC(c, x) {
			return noGap
		}
		terms.Drive(c, x.Voltage)
		return voltageGap(c, feedOf(c, circuitVoltage.Of(c, x), circuitSystem.Of(c, x)), wiring.Node{Kind: wiring.Circuit, Name: x.Name.Value})
	})

var panelVoltageGap = terms.Derive(panelKind, "voltage_gap", terms.Word, "what does not fit between its nominal voltage and what it leads to; none where they fit", "NEC 110.3(B), 110.4", "",
	func(c *terms.Call, x *job.Panel) string {
		terms.Drive(c, x.Voltage)
		return voltageGap(c, feed(c, x.Voltage, x.System), wiring.Node{Kind: wiring.Panel, Name: x.Name.Value})
	})

var transformerVoltageGap = terms.Derive(systemTransformerKind, "voltage_gap", terms.Word, "what does not fit between its voltage on the side of the utility and what it leads to; none where they fit", "NEC 110.3(B), 110.4", "",
	func(c *terms.Call, x *job.Transformer) string {
		terms.Drive(c, x.UtilityVoltage)
		return voltageGap(c, feed(c, x.UtilityVoltage, x.UtilitySystem), wiring.Node{Kind: wiring.Transformer, Name: x.Name.Value})
	})

var _ = terms.Derive(interconnectionKind, "voltage", terms.Quantity(quantity.Voltage), "nominal voltage of the circuit that reaches it, where that fits what it is joined to", "the job", "",
	func(c *terms.Call, _ *job.Interconnection) float64 {
		v := c.Q(c.Job().Service.Voltage)
		for i, x := range circuitsInto(c, traced.Of(c, c.Job()), point(c)) {
			terms.Drive(c, x.Voltage)
			own := circuitVoltage.Of(c, x)
			if gap := circuitVoltageGap.Of(c, x); !c.Stop() && gap != noGap {
				c.Fail("%s: %s", x.Name.Value, gap)
			}
			if i > 0 && own != v {
				c.Fail("circuits of %.4g V and %.4g V reach it", v, own)
			}
			v = own
		}
		return v
	})
