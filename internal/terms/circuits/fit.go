package circuits

import (
	"fmt"
	"strings"

	"plumbrule/internal/electrical"
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/terms"
	"plumbrule/internal/wiring"
)

// supply is the nominal voltage and system of a part of the AC system.
type supply struct {
	name   string
	volts  float64
	system electrical.System
}

func (s supply) String() string {
	return fmt.Sprintf("%s (%s %s)", s.name, quantity.Of(s.volts, quantity.Voltage).Format(quantity.US), s.system)
}

func supplyOf(c *terms.Call, name string, volts job.Quantity, system job.Text) supply {
	return supply{name, c.Q(volts), electrical.System(terms.Get(c, system))}
}

// ordinary reads a number of the table of nominal voltages.
func ordinary(c *terms.Call, row string) float64 {
	t, err := c.Tables().Get("Practice", "common", "nominal-voltages")
	if err != nil {
		c.Err(err)
		return 0
	}
	v, ok := t.Number(row, "value")
	if !ok {
		c.Fail("the table of nominal voltages has no %s", row)
	}
	return v
}

// fits reports whether one part may be joined to another.
func fits(c *terms.Call, a, b supply) bool {
	within, delta := ordinary(c, "within"), ordinary(c, "delta")
	connection := electrical.Connection(terms.Peek(c, c.Job().Service.Connection))
	if !terms.Stated(c, c.Job().Service.Connection) { // left out: what is usual for the voltage
		connection = electrical.Wye
		if b.volts == delta {
			connection = electrical.Delta
		}
	}
	return c.Stop() || electrical.Fits(a.system, a.volts, b.system, b.volts, connection, within)
}

// sideOf is a node as what leads to it finds it; false for what has no voltage
// of its own.
func sideOf(c *terms.Call, n wiring.Node) (supply, bool) {
	j := c.Job()
	switch n.Kind {
	case wiring.Circuit:
		if x, ok := job.ByName(j.Circuits, n.Name); ok {
			return supplyOf(c, "circuit "+n.Name, x.Voltage, x.System), true
		}
	case wiring.Panel:
		if x, ok := job.ByName(j.Panels, n.Name); ok {
			return supplyOf(c, n.Name, x.Voltage, x.System), true
		}
	case wiring.Transformer:
		if x, ok := job.ByName(j.Transformers, n.Name); ok {
			return supplyOf(c, n.Name, x.Voltage, x.System), true
		}
	case wiring.Service:
		return supplyOf(c, "the service", j.Service.Voltage, j.Service.System), true
	}
	return supply{}, false
}

// misfits holds a part against everything that it leads to, past disconnects.
func misfits(c *terms.Call, s *system, own supply, n wiring.Node) string {
	var gaps []string
	seen := map[wiring.Node]bool{}
	var look func(n wiring.Node)
	look = func(n wiring.Node) {
		for _, to := range s.Next(n) {
			if seen[to] {
				continue
			}
			seen[to] = true
			if to.Kind == wiring.Disconnect {
				look(to)
			} else if side, ok := sideOf(c, to); ok && !fits(c, own, side) {
				gaps = append(gaps, fmt.Sprintf("%s does not fit %s", own, side))
			}
		}
	}
	look(n)
	if len(gaps) == 0 {
		return noGap
	}
	return strings.Join(gaps, "; ")
}

var inverterMisfit = terms.Derive(inverterKind, "voltage_gap", terms.Word, "what does not agree in voltage and system between it and its circuits; none where all does", "NEC 110.3(B), 110.4", "",
	func(c *terms.Call, i *job.Inverter) string {
		t, s := typeOf(c, i), traced.Of(c, c.Job())
		if t == nil {
			return ""
		}
		terms.Drive(c, t.OutputVoltage)
		return misfits(c, s, supplyOf(c, i.Name.Value, t.OutputVoltage, t.System), wiring.Node{Kind: wiring.Inverter, Name: i.Name.Value})
	})

var circuitMisfit = terms.Derive(circuitKind, "voltage_gap", terms.Word, "what does not agree in voltage and system between it and what it leads to; none where all does", "NEC 110.4", "",
	func(c *terms.Call, x *job.Circuit) string {
		if isDC(c, x) {
			return noGap
		}
		terms.Drive(c, x.Voltage)
		return misfits(c, traced.Of(c, c.Job()), supplyOf(c, x.Name.Value, x.Voltage, x.System), wiring.Node{Kind: wiring.Circuit, Name: x.Name.Value})
	})

var panelMisfit = terms.Derive(systemPanelKind, "voltage_gap", terms.Word, "what does not agree in voltage and system between it and its supply; none where all does", "NEC 110.4", "",
	func(c *terms.Call, x *job.Panel) string {
		terms.Drive(c, x.Voltage)
		return misfits(c, traced.Of(c, c.Job()), supplyOf(c, x.Name.Value, x.Voltage, x.System), wiring.Node{Kind: wiring.Panel, Name: x.Name.Value})
	})

var transformerMisfit = terms.Derive(systemTransformerKind, "voltage_gap", terms.Word, "what does not agree in voltage and system between its utility side and its supply; none where all does", "NEC 110.4", "",
	func(c *terms.Call, x *job.Transformer) string {
		terms.Drive(c, x.UtilityVoltage)
		return misfits(c, traced.Of(c, c.Job()), supplyOf(c, x.Name.Value, x.UtilityVoltage, x.UtilitySystem), wiring.Node{Kind: wiring.Transformer, Name: x.Name.Value})
	})

var _ = terms.Derive(submittalKind, "voltages_agree", terms.YesNo, "whether inverters, circuits, panels, transformers and service agree in voltage and system", "NEC 110.4", "",
	func(c *terms.Call, j *job.Job) bool {
		agree := true
		for i := range j.Inverters {
			agree = inverterMisfit.Of(c, &j.Inverters[i]) == noGap && agree
		}
		for i := range j.Circuits {
			agree = circuitMisfit.Of(c, &j.Circuits[i]) == noGap && agree
		}
		for i := range j.Panels {
			agree = panelMisfit.Of(c, &j.Panels[i]) == noGap && agree
		}
		for i := range j.Transformers {
			agree = transformerMisfit.Of(c, &j.Transformers[i]) == noGap && agree
		}
		return agree
	})
