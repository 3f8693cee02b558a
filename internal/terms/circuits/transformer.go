package circuits

import (
	"plumbrule/internal/electrical"
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/terms"
	"plumbrule/internal/wiring"
)

// utilityDevice is the overcurrent device of a transformer on the side of the
// utility: the one that it names, else that of its feeder.
func utilityDevice(c *terms.Call, t *job.Transformer) *job.Overcurrent {
	if !terms.Stated(c, t.Overcurrent) {
		if x, ok := terms.Seek(c, circuitKind, t.Feeder); ok && terms.Stated(c, x.Overcurrent) {
			d, _ := terms.Seek(c, overcurrentKind, x.Overcurrent)
			return d
		}
	}
	terms.Drive(c, t.Overcurrent)
	terms.Get(c, t.Overcurrent)
	d, _ := terms.Seek(c, overcurrentKind, t.Overcurrent)
	return d
}

var _ = terms.Derive(transformerKind, "overcurrent_rating", terms.Quantity(quantity.Current), "rating of its overcurrent device on the side of the utility", "the job", "",
	func(c *terms.Call, t *job.Transformer) float64 {
		d := utilityDevice(c, t)
		if d == nil {
			return 0
		}
		return c.Q(d.Rating)
	})

var _ = terms.Derive(transformerKind, "largest_overcurrent", terms.Quantity(quantity.Current), "largest overcurrent device on the side of the utility, with what stands on the side of the inverters", "NEC 450.3(B)", "",
	func(c *terms.Call, t *job.Transformer) float64 {
		code := nec(c)
		in := electrical.TransformerInput{
			Power:     c.Q(t.Power),
			Primary:   electrical.Winding{Voltage: c.Q(t.UtilityVoltage), System: electrical.System(terms.Get(c, t.UtilitySystem))},
			Secondary: electrical.Winding{Voltage: c.Q(t.Voltage), System: electrical.System(terms.Get(c, t.System))},
		}
		device := func(d *job.Overcurrent) electrical.Device { return electrical.Device(terms.Get(c, d.Kind)) }
		if d := utilityDevice(c, t); d != nil {
			in.PrimaryKind = device(d)
		}
		if d, ok := terms.Seek(c, overcurrentKind, t.InverterSide); ok {
			in.SecondaryKind, in.SecondaryDevice = device(d), c.Q(d.Rating)
		}
		if c.Stop() {
			return 0
		}
		o, err := code.TransformerOvercurrent(in)
		if !took(c, o, o.Refs, err) {
			return 0
		}
		return o.Largest
	})

var _ = terms.Derive(transformerKind, "inverter_power", terms.Quantity(quantity.Power), "rated output of all inverters that lead to it", "the job", "",
	func(c *terms.Call, t *job.Transformer) float64 {
		terms.Drive(c, t.Power)
		s := traced.Of(c, c.Job())
		c.Need(s.ac...)
		list := s.Upstream(wiring.Node{Kind: wiring.Transformer, Name: t.Name.Value}, wiring.Inverter)
		if len(list) == 0 && !c.Stop() {
			c.Fail("no inverter leads to %s", t.Name.Value)
		}
		sum := 0.0
		for _, name := range list {
			if i, ok := job.ByName(c.Job().Inverters, name); ok {
				sum += inverterAcPower.Of(c, i)
			}
		}
		return sum
	})

var _ = terms.Derive(serviceKind, "line_difference", terms.Quantity(quantity.Current), "difference between the most and the least loaded line of a three-phase service by the outputs of the inverters", "sum of phasors", "",
	func(c *terms.Call, s *job.Service) float64 {
		j := c.Job()
		if len(j.Transformers) > 0 {
			c.Fail("currents of single lines are not followed through a transformer")
			return 0
		}
		if len(j.Inverters) == 0 {
			c.Fail("the job has no inverter")
			return 0
		}
		terms.Drive(c, s.System)
		var list []electrical.OnLines
		for n := range j.Inverters {
			i := &j.Inverters[n]
			t, units := typeOf(c, i), inverterUnitCount.Of(c, i)
			if t == nil {
				continue
			}
			on, lines := electrical.ThreePhase, ""
			if terms.Get(c, t.System) != string(electrical.ThreePhase) {
				if lines = terms.Get(c, i.Lines); lines == "spread" {
					lines = ""
				} else {
					on = electrical.SinglePhase
				}
			}
			if c.Stop() {
				continue
			}
			list = append(list, electrical.OnLines{Lines: lines, Current: limited(c, i, output(c, t, units, on)).exact})
		}
		if c.Stop() {
			return 0
		}
		lines, _, err := electrical.LineCurrents(list)
		if err != nil {
			c.Err(err)
			return 0
		}
		line(c, "lines A, B and C carry %.4g A, %.4g A and %.4g A", lines[0], lines[1], lines[2])
		return max(lines[0], lines[1], lines[2]) - min(lines[0], lines[1], lines[2])
	})
