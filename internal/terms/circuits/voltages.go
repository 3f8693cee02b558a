package circuits

import (
	"fmt"

	"plumbrule/internal/electrical"
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/terms"
	"plumbrule/internal/wiring"
)

// feed puts a voltage and a system of the job together. A three-phase system of
// the service's voltage is connected as the service is, another as is usual.
func feed(c *terms.Call, voltage job.Quantity, system job.Text) electrical.Feed {
	f := electrical.Feed{Voltage: c.Q(voltage), System: electrical.System(terms.Get(c, system))}
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
// where a node has no voltage of its own.
func feedOn(c *terms.Call, n wiring.Node) (electrical.Feed, bool) {
	j := c.Job()
	switch n.Kind {
	case wiring.Circuit:
		if x, ok := job.ByName(j.Circuits, n.Name); ok {
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
	for _, to := range s.Next(n) {
		for to.Kind == wiring.Disconnect && len(s.Next(to)) > 0 {
			to = s.Next(to)[0]
		}
		if on, ok := feedOn(c, to); ok && !c.Stop() && !electrical.Fits(own, on, tolerance) {
			name := to.Name
			if to.Kind == wiring.Service {
				name = "the service"
			}
			gaps = append(gaps, fmt.Sprintf("%.4g V %s does not fit %s, which is %.4g V %s", own.Voltage, own.System, name, on.Voltage, on.System))
		}
	}
	return said(c, gaps)
}

var _ = terms.Derive(inverterKind, "voltage_gap", terms.Word, "what does not fit between its output voltage and the circuit that begins at it; none where they fit", "NEC 110.3(B), 110.4", "",
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
		return voltageGap(c, feed(c, x.Voltage, x.System), wiring.Node{Kind: wiring.Circuit, Name: x.Name.Value})
	})

var _ = terms.Derive(panelKind, "voltage_gap", terms.Word, "what does not fit between its nominal voltage and what it leads to; none where they fit", "NEC 110.3(B), 110.4", "",
	func(c *terms.Call, x *job.Panel) string {
		terms.Drive(c, x.Voltage)
		return voltageGap(c, feed(c, x.Voltage, x.System), wiring.Node{Kind: wiring.Panel, Name: x.Name.Value})
	})

var _ = terms.Derive(systemTransformerKind, "voltage_gap", terms.Word, "what does not fit between its voltage on the side of the utility and what it leads to; none where they fit", "NEC 110.3(B), 110.4", "",
	func(c *terms.Call, x *job.Transformer) string {
		terms.Drive(c, x.UtilityVoltage)
		return voltageGap(c, feed(c, x.UtilityVoltage, x.UtilitySystem), wiring.Node{Kind: wiring.Transformer, Name: x.Name.Value})
	})

var _ = terms.Derive(interconnectionKind, "voltage", terms.Quantity(quantity.Voltage), "nominal voltage of the circuit that reaches it, where that fits what it is joined to", "the job", "",
	func(c *terms.Call, _ *job.Interconnection) float64 {
		v := c.Q(c.Job().Service.Voltage)
		for i, x := range circuitsInto(c, traced.Of(c, c.Job()), point(c)) {
			terms.Drive(c, x.Voltage)
			own := c.Q(x.Voltage)
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
