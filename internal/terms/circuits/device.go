package circuits

import (
	"slices"

	"plumbrule/internal/electrical"
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
)

func defineDevices() {
	volt, amp := measured(quantity.Voltage), measured(quantity.Current)

	derive("overcurrent", "is_standard", flag, "whether its rating is a standard one", "NEC 240.6(A)", "standard-overcurrent",
		func(c *Call, d *job.Overcurrent) any {
			code, rating, kind := c.nec(), c.Q(d.Rating), Get(c, d.Kind)
			c.Drive(d.Rating.At)
			if c.Stop() {
				return nil
			}
			is, err := code.IsStandard(rating, electrical.Device(kind))
			if err != nil {
				return c.Err(err)
			}
			return is
		})
	derive("overcurrent", "circuits", things("circuit"), "circuits that it protects", "the job", "",
		func(c *Call, d *job.Overcurrent) any {
			list := []*Subject{}
			for _, x := range c.circuitsBehind(d) {
				list = append(list, c.Subject("circuit", x))
			}
			return list
		})
	derive("overcurrent", "strings", things("string"), "strings that it protects", "the job", "",
		func(c *Call, d *job.Overcurrent) any {
			list := []*Subject{}
			for _, s := range c.stringsBehind(d) {
				list = append(list, c.Subject("string", s))
			}
			return list
		})
	derive("overcurrent", "on_dc", flag, "whether it protects a direct-current circuit or a string", "the job", "",
		func(c *Call, d *job.Overcurrent) any { return c.onDC(d) })
	derive("overcurrent", "in_use", flag, "whether a circuit, a string or the interconnection names it", "the job", "",
		func(c *Call, d *job.Overcurrent) any {
			source, ok := c.m.Job.SourceOvercurrent()
			return ok && source == d || len(c.circuitsBehind(d))+len(c.stringsBehind(d)) > 0
		})
	derive("overcurrent", "highest_voltage", volt, "largest voltage of what it protects", "NEC 690.9(C), 240.60, 240.83", "",
		func(c *Call, d *job.Overcurrent) any {
			c.Drive(d.Voltage.At)
			most := 0.0
			for _, x := range c.circuitsBehind(d) {
				most = max(most, Of[float64](c, c.Subject("circuit", x), "highest_voltage"))
			}
			for _, s := range c.stringsBehind(d) {
				most = max(most, Of[float64](c, c.Subject("string", s), "maximum_voltage"))
			}
			if most == 0 && !c.Stop() {
				if source, ok := c.m.Job.SourceOvercurrent(); ok && source == d {
					return c.Q(c.m.Job.Service.Voltage)
				}
				return c.Fail("no circuit or string names %s", d.Name.Value)
			}
			return most
		})
	derive("overcurrent", "fault_current", amp, "current that it may have to interrupt: from the service, or from the strings in parallel", "NEC 110.9", "",
		func(c *Call, d *job.Overcurrent) any {
			c.Drive(d.Interrupting.At)
			if !c.onDC(d) {
				return c.Q(c.m.Job.Site.FaultCurrent)
			}
			strings := c.stringsBehind(d)
			for _, x := range c.circuitsBehind(d) {
				if isDC(x) {
					strings = append(strings, c.stringsOf(x)...)
				}
			}
			most := 0.0
			for _, s := range strings {
				i := c.directCurrent(c.parallel(s))
				if i.maximum > most {
					most = i.maximum
					c.Explain(i.work, nil)
				}
			}
			return most
		})
	derive("combiner", "string_count", count, "strings that end in it", "the job", "",
		func(c *Call, b *job.Combiner) any {
			c.Drive(b.Strings.At)
			return len(Get(c, b.Strings))
		})
	derive("combiner", "highest_voltage", volt, "largest voltage of its strings", "NEC 690.7", "cold-voltage",
		func(c *Call, b *job.Combiner) any {
			c.Drive(b.Voltage.At)
			return c.highest(c.stringsIn(b))
		})
	derive("combiner", "maximum_current", amp, "largest current of its strings together", "NEC 690.8", "circuit-current",
		func(c *Call, b *job.Combiner) any {
			c.Drive(b.Rating.At)
			strings := c.stringsIn(b)
			if c.Stop() {
				return nil
			}
			i := c.directCurrent(strings)
			if c.Stop() {
				return nil
			}
			c.Explain(i.work, nil)
			return i.maximum
		})
	derive("disconnect", "isolates_dc", flag, "whether it opens direct current", "the job", "",
		func(c *Call, d *job.Disconnect) any { return c.opensDC(d) })
	derive("disconnect", "highest_voltage", volt, "largest voltage of what it opens", "NEC 690.13, 690.15", "",
		func(c *Call, d *job.Disconnect) any {
			c.Drive(d.Voltage.At)
			if x, ok := c.m.Job.CircuitOf(d); ok {
				return Of[float64](c, c.Subject("circuit", x), "highest_voltage")
			}
			if !c.opensDC(d) {
				if d.Purpose.Value == "pv-system" || d.Purpose.Value == "inverter" {
					Get(c, d.Circuit)
				}
				return c.Q(c.m.Job.Service.Voltage)
			}
			return c.highest(c.stringsOpened(d))
		})
	derive("disconnect", "largest_current", amp, "largest current of what it opens", "NEC 690.8(A), 690.13, 690.15", "",
		func(c *Call, d *job.Disconnect) any {
			c.Drive(d.Rating.At)
			if x, ok := c.m.Job.CircuitOf(d); ok {
				return Of[float64](c, c.Subject("circuit", x), "maximum_current")
			}
			if !c.opensDC(d) {
				Get(c, d.Circuit)
				return nil
			}
			i := c.directCurrent(c.stringsOpened(d))
			if c.Stop() {
				return nil
			}
			c.Explain(i.work, nil)
			return i.maximum
		})
}

// stringsIn lists the strings that end in a combiner.
func (c *Call) stringsIn(b *job.Combiner) []*job.String {
	var list []*job.String
	for _, name := range Get(c, b.Strings) {
		if s, ok := job.ByName(c.m.Job.Strings, name); ok {
			list = append(list, s)
		}
	}
	if len(list) == 0 && !c.Stop() {
		c.Fail("no string ends in %s", b.Name.Value)
	}
	return list
}

func (c *Call) circuitsBehind(d *job.Overcurrent) []*job.Circuit {
	var list []*job.Circuit
	for n := range c.m.Job.Circuits {
		if x := &c.m.Job.Circuits[n]; x.Overcurrent.Known && x.Overcurrent.Value == d.Name.Value {
			list = append(list, x)
		}
	}
	return list
}

func (c *Call) stringsBehind(d *job.Overcurrent) []*job.String {
	var list []*job.String
	for n := range c.m.Job.Strings {
		if s := &c.m.Job.Strings[n]; s.Fuse.Known && s.Fuse.Value == d.Name.Value {
			list = append(list, s)
		}
	}
	return list
}

func (c *Call) onDC(d *job.Overcurrent) bool {
	return len(c.stringsBehind(d)) > 0 || slices.ContainsFunc(c.circuitsBehind(d), isDC)
}

// opensDC is whether a disconnect opens direct current: it names such a
// circuit, or equipment that strings feed.
func (c *Call) opensDC(d *job.Disconnect) bool {
	if x, ok := c.m.Job.CircuitOf(d); ok {
		return isDC(x)
	}
	switch Get(c, d.Purpose) {
	case "array", "combiner":
		return true
	case "inverter":
		Get(c, d.Inverter)
		i, ok := c.m.Job.InverterBehind(d)
		return ok && len(c.stringsInto(i)) > 0
	}
	return false
}

// stringsOpened lists the strings behind a disconnect that names no circuit.
func (c *Call) stringsOpened(d *job.Disconnect) []*job.String {
	Get(c, d.Inverter)
	i, ok := c.m.Job.InverterBehind(d)
	if !ok {
		return nil
	}
	return c.stringsInto(i)
}
