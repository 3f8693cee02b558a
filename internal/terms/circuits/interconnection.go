package circuits

import (
	"math"

	"plumbrule/internal/electrical"
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
)

func defineInterconnection() {
	amp, length := measured(quantity.Current), measured(quantity.Length)
	size := Type{Kind: Size}

	derive("interconnection", "output_current", amp, "continuous output current of all inverters at the service's system", "NEC 705.28(A)", "output-current",
		func(c *Call, p *job.Interconnection) any {
			o := c.allOutput()
			if c.Stop() {
				return nil
			}
			c.Explain(o.work, nil)
			return o.maximum
		})
	derive("interconnection", "required_current", amp, "output current of all inverters raised for continuous duty", "NEC 705.28(B), 690.9(B)", "output-current",
		func(c *Call, p *job.Interconnection) any {
			o := c.allOutput()
			if c.Stop() {
				return nil
			}
			c.Explain(o.work, nil)
			return o.required
		})
	derive("interconnection", "standard_overcurrent", amp, "smallest standard device for the output of all inverters", "NEC 240.6(A), 690.9(B)", "standard-overcurrent",
		func(c *Call, p *job.Interconnection) any {
			code, o, kind := c.nec(), c.allOutput(), electrical.Breaker
			if d, ok := c.m.Job.SourceOvercurrent(); ok && Get(c, d.Kind) == "fuse" {
				kind = electrical.Fuse
			}
			if c.Stop() {
				return nil
			}
			s, err := code.StandardOvercurrent(o.required, kind)
			if !c.took(s, s.Refs, err) {
				return nil
			}
			return s.Rating
		})
	derive("interconnection", "busbar_rating", amp, "rating of the busbar that the source is connected to", "the job", "",
		func(c *Call, p *job.Interconnection) any { return c.busbarRating(p) })
	derive("interconnection", "supply_rating", amp, "rating of the device that supplies that busbar", "the job", "",
		func(c *Call, p *job.Interconnection) any { return c.supplyRating(p) })
	derive("interconnection", "option_known", flag, "whether the adopted edition has the busbar option that the design relies on", "NEC 705.12", "busbar",
		func(c *Call, p *job.Interconnection) any {
			code, option := c.nec(), Get(c, p.Option)
			c.Drive(p.Option.At)
			if c.Stop() {
				return nil
			}
			_, ref, ok := code.BusbarOptionSection(option)
			if ok {
				c.out.Refs = append(c.out.Refs, ref)
			}
			return ok
		})
	derive("interconnection", "busbar_required", amp, "current that the busbar has to carry by the option relied on", "NEC 705.12", "busbar",
		func(c *Call, p *job.Interconnection) any {
			b, ok := c.busbar(p)
			if !ok {
				return nil
			}
			return b.Required
		})
	derive("interconnection", "busbar_allowed", amp, "current that the busbar may carry by the option relied on", "NEC 705.12", "busbar",
		func(c *Call, p *job.Interconnection) any {
			b, ok := c.busbar(p)
			if !ok {
				return nil
			}
			return b.Allowed
		})
	derive("interconnection", "busbar_share", measured(quantity.Ratio), "share of the busbar's rating that the option relied on allows", "NEC 705.12", "busbar",
		func(c *Call, p *job.Interconnection) any {
			b, ok := c.busbar(p)
			if !ok {
				return nil
			}
			return b.Share
		})

	derive("interconnection", "busbar_applies", flag, "whether the adopted edition's busbar options reach equipment with so few connections", "NEC 705.12", "busbar",
		func(c *Call, p *job.Interconnection) any {
			if !p.Connections.Known { // left out: more than three
				return true
			}
			n, several, few := Get(c, p.Connections), c.named("705.12 scope", "several loads only"), c.named("705.12 scope", "connections")
			return several == 0 || float64(n) > few
		})
	derive("rapid_shutdown", "applies", flag, "whether the adopted edition asks for rapid shutdown where the arrays stand", "NEC 690.12", "",
		func(c *Call, _ *job.RapidShutdown) any {
			if !Of[bool](c, c.Subject("submittal", c.m.Job), "on_building") {
				return false
			}
			open := Get(c, c.m.Job.Building.DetachedAccessory) && Get(c, c.m.Job.Building.Enclosure) == "open"
			return !(open && c.named("690.12 scope", "open detached structures exempt") == 1)
		})
	derive("interconnection", "feeder_required", amp, "ampacity that the feeder needs with the source on it", "NEC 705.12", "feeder-connection",
		func(c *Call, p *job.Interconnection) any {
			c.Drive(p.FeederAmpacity.At)
			in := electrical.FeederInput{Ampacity: c.Q(p.FeederAmpacity), Overcurrent: c.Q(p.FeederOvercurrent), Sources: c.sources(p)}
			if p.LoadSideOvercurrent.Known { // left out: none, which allows less
				in.LoadSide = c.Q(p.LoadSideOvercurrent)
			}
			code := c.nec()
			if c.Stop() {
				return nil
			}
			f, err := code.FeederConnection(in)
			if !c.took(f, f.Refs, err) {
				return nil
			}
			return f.Required
		})
	derive("interconnection", "tap_required", amp, "ampacity that the tap conductors need", "NEC 705.12, 240.21(B)", "feeder-tap",
		func(c *Call, p *job.Interconnection) any {
			c.Drive(p.TapAmpacity.At)
			in := electrical.TapInput{Length: c.Q(p.TapLength), Overcurrent: c.Q(p.FeederOvercurrent), Sources: c.sources(p), Ampacity: c.Q(p.TapAmpacity)}
			if len(p.OtherSources.Value) == 0 {
				Get(c, p.Overcurrent)
				if d, ok := c.m.Job.SourceOvercurrent(); ok {
					in.SourceBreakers = []float64{c.Q(d.Rating)}
				}
			}
			code := c.nec()
			if c.Stop() {
				return nil
			}
			t, err := code.FeederTap(in)
			if !c.took(t, t.Refs, err) {
				return nil
			}
			return t.Required
		})

	derive("interconnection", "supply_smallest", size, "smallest supply-side conductor", "NEC 705.11, 705.28; 230.31 in 2017", "supply-side",
		func(c *Call, p *job.Interconnection) any {
			c.Drive(p.Conductor.At)
			s, ok := c.supplySide(p)
			if !ok {
				return nil
			}
			return s.MinimumSize
		})
	derive("interconnection", "supply_has_length_limit", flag, "whether the adopted edition limits the length to the first overcurrent device there", "NEC 705.11(C); 705.31 in 2017", "supply-side",
		func(c *Call, p *job.Interconnection) any {
			s, ok := c.supplySide(p)
			if !ok {
				return nil
			}
			return !math.IsNaN(s.LengthLimit)
		})
	derive("interconnection", "supply_length_limit", length, "longest run of supply-side conductors to the first overcurrent device", "NEC 705.11(C); 705.31 in 2017", "supply-side",
		func(c *Call, p *job.Interconnection) any {
			s, ok := c.supplySide(p)
			if !ok {
				return nil
			}
			if math.IsNaN(s.LengthLimit) {
				return c.Fail("the adopted edition states no length for this place")
			}
			return s.LengthLimit
		})
	derive("interconnection", "supply_sum", amp, "sum of the outputs of all sources on the supply side", "NEC 705.11(A); 705.12(A) in 2017", "supply-side",
		func(c *Call, p *job.Interconnection) any {
			sum := 0.0
			for _, x := range c.sources(p) {
				sum += x
			}
			if c.Stop() {
				return nil
			}
			c.line("outputs on the supply side together: %.4g A", sum)
			return sum
		})
}

// allOutput is the output of every inverter of the job on the service's system.
func (c *Call) allOutput() dcCurrent {
	var list []*job.Inverter
	for n := range c.m.Job.Inverters {
		list = append(list, &c.m.Job.Inverters[n])
	}
	if len(list) == 0 {
		c.Fail("the job has no inverter")
	}
	return c.outputSum(list, electrical.System(Get(c, c.m.Job.Service.System)))
}

// sources are the output currents of the inverters and of other sources; left
// out: no other.
func (c *Call) sources(p *job.Interconnection) []float64 {
	list := []float64{c.allOutput().maximum}
	return append(list, Get(c, p.OtherSources)...)
}

func (c *Call) busbarRating(p *job.Interconnection) float64 {
	if p.Busbar.Known { // left out: the service's
		c.Drive(p.Busbar.At)
		return c.Q(p.Busbar)
	}
	c.Drive(c.m.Job.Service.Busbar.At)
	return c.Q(c.m.Job.Service.Busbar)
}

func (c *Call) supplyRating(p *job.Interconnection) float64 {
	if p.Main.Known { // left out: the service's
		c.Drive(p.Main.At)
		return c.Q(p.Main)
	}
	c.Drive(c.m.Job.Service.Main.At)
	return c.Q(c.m.Job.Service.Main)
}

// busbar holds the busbar against the option relied on. The place of the
// source device is a check of its own.
func (c *Call) busbar(p *job.Interconnection) (electrical.Busbar, bool) {
	if d, ok := c.m.Job.SourceOvercurrent(); ok {
		c.Drive(d.Rating.At)
	}
	in := electrical.BusbarInput{Option: Get(c, p.Option), Busbar: c.busbarRating(p), Main: c.supplyRating(p)}
	switch in.Option {
	case electrical.OptionBreakerSum:
		in.LoadBreakers = Get(c, p.LoadBreakers)
		in.SourceBreakers = c.sourceBreakers(p)
	case electrical.OptionPowerControl:
		in.Limit = c.Q(p.PowerControlLimit)
	default:
		in.Sources = c.sources(p)
	}
	code := c.nec()
	if c.Stop() {
		return electrical.Busbar{}, false
	}
	b, err := code.Busbar(in)
	return b, c.took(b, b.Refs, err)
}

// sourceBreakers are the ratings of the sources' devices on a busbar. Those of
// other sources are known by their outputs only.
func (c *Call) sourceBreakers(p *job.Interconnection) []float64 {
	Get(c, p.Overcurrent)
	d, ok := c.m.Job.SourceOvercurrent()
	if !ok {
		return nil
	}
	list := []float64{c.Q(d.Rating)}
	code := c.nec()
	for _, x := range Get(c, p.OtherSources) {
		if c.Stop() {
			return nil
		}
		s, err := code.StandardOvercurrent(x*c.named("705.28", "continuous"), electrical.Breaker)
		if err != nil {
			c.Err(err)
		}
		list = append(list, s.Rating)
	}
	return list
}

func (c *Call) supplySide(p *job.Interconnection) (electrical.SupplySide, bool) {
	in := electrical.SupplyInput{Rating: c.Q(c.m.Job.Service.Rating), Sources: c.sources(p), Material: electrical.Material(Get(c, p.Material)), Place: electrical.PlaceOther}
	if p.Inside.Known && !p.Inside.Value {
		in.Place = electrical.PlaceOutside
	} else if Get(c, p.Inside); Get(c, c.m.Job.Building.Dwelling) {
		in.Place = electrical.PlaceDwelling
	}
	code := c.nec()
	if c.Stop() {
		return electrical.SupplySide{}, false
	}
	s, err := code.SupplySide(in)
	return s, c.took(s, s.Refs, err)
}
