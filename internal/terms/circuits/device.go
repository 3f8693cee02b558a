package circuits

import (
	"slices"

	"plumbrule/internal/electrical"
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/terms"
)

var _ = terms.Derive(overcurrentKind, "is_standard", terms.YesNo, "whether its rating is a standard one", "NEC 240.6(A)", "standard-overcurrent",
	func(c *terms.Call, d *job.Overcurrent) bool {
		code, rating, kind := nec(c), c.Q(d.Rating), terms.Get(c, d.Kind)
		terms.Drive(c, d.Rating)
		if c.Stop() {
			return false
		}
		is, err := code.IsStandard(rating, electrical.Device(kind))
		if err != nil {
			c.Err(err)
			return false
		}
		return is
	})

var _ = terms.Derive(overcurrentKind, "circuits", terms.ListOf(circuitKind), "circuits that it protects", "the job", "",
	func(c *terms.Call, d *job.Overcurrent) []*job.Circuit {
		return circuitsBehind(c, d)
	})

var _ = terms.Derive(overcurrentKind, "strings", terms.ListOf(stringKind), "strings that it protects", "the job", "",
	func(c *terms.Call, d *job.Overcurrent) []*job.String {
		return stringsBehind(c, d)
	})

var _ = terms.Derive(overcurrentKind, "on_dc", terms.YesNo, "whether it protects a direct-current circuit or a string", "the job", "",
	func(c *terms.Call, d *job.Overcurrent) bool { return onDC(c, d) })

var _ = terms.Derive(overcurrentKind, "in_use", terms.YesNo, "whether a circuit, a string, a transformer or the interconnection names it", "the job", "",
	func(c *terms.Call, d *job.Overcurrent) bool {
		return slices.Contains(sourceDevices(c), d) || namedByEquipment(c, d) || len(circuitsBehind(c, d))+len(stringsBehind(c, d)) > 0
	})

var _ = terms.Derive(overcurrentKind, "of_source", terms.YesNo, "whether the sources connect through it", "the job", "",
	func(c *terms.Call, d *job.Overcurrent) bool {
		list := sourceDevices(c)
		if len(list) == 0 { // any of them could be the one
			sourceDevice.Of(c, &c.Job().Interconnection)
		}
		return slices.Contains(list, d)
	})

var _ = terms.Derive(overcurrentKind, "highest_voltage", terms.Quantity(quantity.Voltage), "largest voltage of what it protects", "NEC 690.9(C), 240.60, 240.83", "",
	func(c *terms.Call, d *job.Overcurrent) float64 {
		terms.Drive(c, d.Voltage)
		most := 0.0
		for _, x := range circuitsBehind(c, d) {
			most = max(most, circuitHighestVoltage.Of(c, x))
		}
		for _, s := range stringsBehind(c, d) {
			most = max(most, stringMaximumVoltage.Of(c, s))
		}
		if most == 0 && !c.Stop() {
			if slices.Contains(sourceDevices(c), d) || namedByEquipment(c, d) {
				return c.Q(c.Job().Service.Voltage)
			}
			c.Fail("no circuit or string names %s", d.Name.Value)
			return 0
		}
		return most
	})

var _ = terms.Derive(overcurrentKind, "fault_current", terms.Quantity(quantity.Current), "current that it may have to interrupt: from the service, or from the strings in parallel", "NEC 110.9", "",
	func(c *terms.Call, d *job.Overcurrent) float64 {
		terms.Drive(c, d.Interrupting)
		if !onDC(c, d) {
			return c.Q(c.Job().Site.FaultCurrent)
		}
		strings := stringsBehind(c, d)
		for _, x := range circuitsBehind(c, d) {
			if isDC(c, x) {
				strings = append(strings, stringsOf(c, x)...)
			}
		}
		most := 0.0
		for _, s := range strings {
			i := directCurrent(c, parallel(c, s))
			if i.maximum > most {
				most = i.maximum
				c.Explain(i.work, nil)
			}
		}
		return most
	})

var _ = terms.Derive(combinerKind, "string_count", terms.WholeNumber, "strings that end in it", "the job", "",
	func(c *terms.Call, b *job.Combiner) int {
		terms.Drive(c, b.Strings)
		return len(stringsIn(c, b))
	})

var _ = terms.Derive(combinerKind, "highest_voltage", terms.Quantity(quantity.Voltage), "largest voltage of its strings", "NEC 690.7", "cold-voltage",
	func(c *terms.Call, b *job.Combiner) float64 {
		terms.Drive(c, b.Voltage)
		return highest(c, stringsIn(c, b))
	})

var _ = terms.Derive(combinerKind, "maximum_current", terms.Quantity(quantity.Current), "largest current of its strings together", "NEC 690.8", "circuit-current",
	func(c *terms.Call, b *job.Combiner) float64 {
		terms.Drive(c, b.Rating)
		strings := stringsIn(c, b)
		if c.Stop() {
			return 0
		}
		i := directCurrent(c, strings)
		if c.Stop() {
			return 0
		}
		c.Explain(i.work, nil)
		return i.maximum
	})

var _ = terms.Derive(disconnectKind, "isolates_dc", terms.YesNo, "whether it opens direct current", "the job", "",
	func(c *terms.Call, d *job.Disconnect) bool { return opensDC(c, d) })

var disconnectHighestVoltage = terms.Derive(disconnectKind, "highest_voltage", terms.Quantity(quantity.Voltage), "largest voltage of what it opens", "NEC 690.13, 690.15", "",
	func(c *terms.Call, d *job.Disconnect) float64 {
		terms.Drive(c, d.Voltage)
		if x, ok := terms.Seek(c, circuitKind, d.Circuit); ok {
			return circuitHighestVoltage.Of(c, x)
		}
		if !opensDC(c, d) {
			if terms.Peek(c, d.Purpose) == "pv-system" || terms.Peek(c, d.Purpose) == "inverter" {
				terms.Get(c, d.Circuit)
			}
			return c.Q(c.Job().Service.Voltage)
		}
		return highest(c, stringsOpened(c, d))
	})

var _ = terms.Derive(disconnectKind, "largest_current", terms.Quantity(quantity.Current), "largest current of what it opens", "NEC 690.8(A), 690.13, 690.15", "",
	func(c *terms.Call, d *job.Disconnect) float64 {
		terms.Drive(c, d.Rating)
		if x, ok := terms.Seek(c, circuitKind, d.Circuit); ok {
			return circuitMaximumCurrent.Of(c, x)
		}
		if !opensDC(c, d) {
			terms.Get(c, d.Circuit)
			return 0
		}
		strings := stringsOpened(c, d)
		if len(strings) == 0 && !c.Stop() {
			c.Fail("no string leads to what %s opens", d.Name.Value)
			return 0
		}
		if !terms.Get(c, d.PolesPerInput) {
			return explained(c, directCurrent(c, strings))
		}
		var most dcCurrent
		for _, s := range strings { // the input with the largest current
			if i := directCurrent(c, parallel(c, s)); i.maximum > most.maximum {
				most = i
			}
		}
		return explained(c, most)
	})

// explained is the largest current, with its calculation.
func explained(c *terms.Call, i dcCurrent) float64 {
	if c.Stop() || i.work == nil {
		return 0
	}
	c.Explain(i.work, nil)
	return i.maximum
}

// stringsIn lists the strings that end in a combiner.
func stringsIn(c *terms.Call, b *job.Combiner) []*job.String {
	var list []*job.String
	for _, name := range terms.Get(c, b.Strings) {
		if s, ok := job.ByName(c.Job().Strings, name); ok {
			list = append(list, s)
		}
	}
	if len(list) == 0 && !c.Stop() {
		c.Fail("no string ends in %s", b.Name.Value)
	}
	return list
}

func circuitsBehind(c *terms.Call, d *job.Overcurrent) []*job.Circuit {
	return circuitsByDevice.Of(c, c.Job())[d.Name.Value]
}

func stringsBehind(c *terms.Call, d *job.Overcurrent) []*job.String {
	return stringsByFuse.Of(c, c.Job())[d.Name.Value]
}

func onDC(c *terms.Call, d *job.Overcurrent) bool {
	return len(stringsBehind(c, d)) > 0 || slices.ContainsFunc(circuitsBehind(c, d), func(x *job.Circuit) bool { return isDC(c, x) })
}

// opensDC is whether a disconnect opens direct current: it names such a
// circuit, or equipment that strings feed.
func opensDC(c *terms.Call, d *job.Disconnect) bool {
	if x, ok := terms.Seek(c, circuitKind, d.Circuit); ok {
		return isDC(c, x)
	}
	switch terms.Get(c, d.Purpose) {
	case "array", "combiner":
		return true
	case "inverter":
		terms.Get(c, d.Inverter)
		i, ok := terms.Seek(c, inverterKind, d.Inverter)
		return ok && len(stringsInto(c, i)) > 0
	}
	return false
}

// stringsOpened lists the strings behind a disconnect that names no circuit.
func stringsOpened(c *terms.Call, d *job.Disconnect) []*job.String {
	terms.Get(c, d.Inverter)
	i, ok := terms.Seek(c, inverterKind, d.Inverter)
	if !ok {
		return nil
	}
	return stringsInto(c, i)
}

// namedByEquipment is whether a transformer or a tap names the device.
func namedByEquipment(c *terms.Call, d *job.Overcurrent) bool {
	named := func(g job.Text) bool {
		x, ok := terms.Seek(c, overcurrentKind, g)
		return ok && x == d
	}
	for i := range c.Job().Transformers {
		if t := &c.Job().Transformers[i]; named(t.Overcurrent) || named(t.InverterSide) {
			return true
		}
	}
	return named(c.Job().Interconnection.TapOvercurrent)
}

// isolatesInput is whether a disconnect isolates an inverter from its direct
// current: it names the inverter, or a circuit of strings that feed it. A switch
// on the alternating-current side does not, nor does that of a combiner or of
// the array, which stands where those are.
func isolatesInput(c *terms.Call, d *job.Disconnect, i *job.Inverter) bool {
	if p := terms.Get(c, d.Purpose); p == "combiner" || p == "array" {
		return false
	}
	if x, ok := terms.Seek(c, circuitKind, d.Circuit); ok {
		return isDC(c, x) && slices.ContainsFunc(stringsOf(c, x), func(s *job.String) bool {
			return slices.Contains(stringsInto(c, i), s)
		})
	}
	return terms.Stated(c, d.Inverter) && terms.Peek(c, d.Inverter) == i.Name.Value && opensDC(c, d)
}
