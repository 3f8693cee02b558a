package circuits

import (
	"math"

	"plumbrule/internal/electrical"
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/terms"
)

var _ = terms.Derive(interconnectionKind, "output_current", terms.Quantity(quantity.Current), "continuous output current of all inverters at the service's system", "NEC 705.28(A)", "output-current",
	func(c *terms.Call, p *job.Interconnection) float64 {
		o := allOutput(c)
		if c.Stop() {
			return 0
		}
		c.Explain(o.work, nil)
		return o.maximum
	})

var _ = terms.Derive(interconnectionKind, "required_current", terms.Quantity(quantity.Current), "output current of all inverters raised for continuous duty", "NEC 705.28(B), 690.9(B)", "output-current",
	func(c *terms.Call, p *job.Interconnection) float64 {
		o := allOutput(c)
		if c.Stop() {
			return 0
		}
		c.Explain(o.work, nil)
		return o.required
	})

var _ = terms.Derive(interconnectionKind, "standard_overcurrent", terms.Quantity(quantity.Current), "smallest standard device for the output of all inverters", "NEC 240.6(A), 690.9(B)", "standard-overcurrent",
	func(c *terms.Call, p *job.Interconnection) float64 {
		code, o, kind := nec(c), allOutput(c), electrical.Breaker
		if d, ok := terms.Seek(c, overcurrentKind, c.Job().Interconnection.Overcurrent); ok && terms.Get(c, d.Kind) == "fuse" {
			kind = electrical.Fuse
		}
		if c.Stop() {
			return 0
		}
		s, err := code.StandardOvercurrent(o.required, kind)
		if !took(c, s, s.Refs, err) {
			return 0
		}
		return s.Rating
	})

var _ = terms.Derive(interconnectionKind, "busbar_rating", terms.Quantity(quantity.Current), "rating of the busbar that the source is connected to", "the job", "",
	func(c *terms.Call, p *job.Interconnection) float64 { return busbarRating(c, p) })

var _ = terms.Derive(interconnectionKind, "supply_rating", terms.Quantity(quantity.Current), "rating of the device that supplies that busbar", "the job", "",
	func(c *terms.Call, p *job.Interconnection) float64 { return supplyRating(c, p) })

var _ = terms.Derive(interconnectionKind, "option_known", terms.YesNo, "whether the adopted edition has the busbar option that the design relies on", "NEC 705.12", "busbar",
	func(c *terms.Call, p *job.Interconnection) bool {
		code, option := nec(c), terms.Get(c, p.Option)
		terms.Drive(c, p.Option)
		if c.Stop() {
			return false
		}
		_, ref, ok := code.BusbarOptionSection(option)
		if ok {
			c.Cite(ref)
		}
		return ok
	})

var _ = terms.Derive(interconnectionKind, "busbar_required", terms.Quantity(quantity.Current), "current that the busbar has to carry by the option relied on", "NEC 705.12", "busbar",
	func(c *terms.Call, p *job.Interconnection) float64 {
		b, ok := busbar(c, p)
		if !ok {
			return 0
		}
		return b.Required
	})

var _ = terms.Derive(interconnectionKind, "busbar_allowed", terms.Quantity(quantity.Current), "current that the busbar may carry by the option relied on", "NEC 705.12", "busbar",
	func(c *terms.Call, p *job.Interconnection) float64 {
		b, ok := busbar(c, p)
		if !ok {
			return 0
		}
		return b.Allowed
	})

var _ = terms.Derive(interconnectionKind, "busbar_share", terms.Quantity(quantity.Ratio), "share of the busbar's rating that the option relied on allows", "NEC 705.12", "busbar",
	func(c *terms.Call, p *job.Interconnection) float64 {
		b, ok := busbar(c, p)
		if !ok {
			return 0
		}
		return b.Share
	})

var _ = terms.Derive(interconnectionKind, "busbar_applies", terms.YesNo, "whether the adopted edition's busbar options reach equipment with so few connections", "NEC 705.12", "busbar",
	func(c *terms.Call, p *job.Interconnection) bool {
		if !terms.Stated(c, p.Connections) { // left out: more than three
			return true
		}
		n, several, few := terms.Get(c, p.Connections), named(c, "705.12 scope", "several loads only"), named(c, "705.12 scope", "connections")
		return several == 0 || float64(n) > few
	})

var _ = terms.Derive(interconnectionKind, "feeder_required", terms.Quantity(quantity.Current), "ampacity that the feeder needs with the source on it", "NEC 705.12", "feeder-connection",
	func(c *terms.Call, p *job.Interconnection) float64 {
		terms.Drive(c, p.FeederAmpacity)
		in := electrical.FeederInput{Ampacity: c.Q(p.FeederAmpacity), Overcurrent: c.Q(p.FeederOvercurrent), Sources: sources(c, p)}
		if terms.Stated(c, p.LoadSideOvercurrent) { // left out: none, which allows less
			in.LoadSide = c.Q(p.LoadSideOvercurrent)
		}
		code := nec(c)
		if c.Stop() {
			return 0
		}
		f, err := code.FeederConnection(in)
		if !took(c, f, f.Refs, err) {
			return 0
		}
		return f.Required
	})

var _ = terms.Derive(interconnectionKind, "tap_required", terms.Quantity(quantity.Current), "ampacity that the tap conductors need", "NEC 705.12, 240.21(B)", "feeder-tap",
	func(c *terms.Call, p *job.Interconnection) float64 {
		terms.Drive(c, p.TapAmpacity)
		in := electrical.TapInput{Length: c.Q(p.TapLength), Overcurrent: c.Q(p.FeederOvercurrent), Sources: sources(c, p), Ampacity: c.Q(p.TapAmpacity)}
		if len(terms.Peek(c, p.OtherSources)) == 0 {
			terms.Get(c, p.Overcurrent)
			if d, ok := terms.Seek(c, overcurrentKind, c.Job().Interconnection.Overcurrent); ok {
				in.SourceBreakers = []float64{c.Q(d.Rating)}
			}
		}
		code := nec(c)
		if c.Stop() {
			return 0
		}
		t, err := code.FeederTap(in)
		if !took(c, t, t.Refs, err) {
			return 0
		}
		return t.Required
	})

var _ = terms.Derive(interconnectionKind, "supply_smallest", terms.WireSize, "smallest supply-side conductor", "NEC 705.11, 705.28; 230.31 in 2017", "supply-side",
	func(c *terms.Call, p *job.Interconnection) quantity.Size {
		terms.Drive(c, p.Conductor)
		s, ok := supplySide(c, p)
		if !ok {
			return 0
		}
		return s.MinimumSize
	})

var _ = terms.Derive(interconnectionKind, "supply_has_length_limit", terms.YesNo, "whether the adopted edition limits the length to the first overcurrent device there", "NEC 705.11(C); 705.31 in 2017", "supply-side",
	func(c *terms.Call, p *job.Interconnection) bool {
		s, ok := supplySide(c, p)
		if !ok {
			return false
		}
		return !math.IsNaN(s.LengthLimit)
	})

var _ = terms.Derive(interconnectionKind, "supply_length_limit", terms.Quantity(quantity.Length), "longest run of supply-side conductors to the first overcurrent device", "NEC 705.11(C); 705.31 in 2017", "supply-side",
	func(c *terms.Call, p *job.Interconnection) float64 {
		s, ok := supplySide(c, p)
		if !ok {
			return 0
		}
		if math.IsNaN(s.LengthLimit) {
			c.Fail("the adopted edition states no length for this place")
			return 0
		}
		return s.LengthLimit
	})

var _ = terms.Derive(interconnectionKind, "supply_sum", terms.Quantity(quantity.Current), "sum of the outputs of all sources on the supply side", "NEC 705.11(A); 705.12(A) in 2017", "supply-side",
	func(c *terms.Call, p *job.Interconnection) float64 {
		sum := 0.0
		for _, x := range sources(c, p) {
			sum += x
		}
		if c.Stop() {
			return 0
		}
		line(c, "outputs on the supply side together: %.4g A", sum)
		return sum
	})

// allOutput is the output of every inverter of the job on the service's system.
func allOutput(c *terms.Call) dcCurrent {
	var list []*job.Inverter
	for n := range c.Job().Inverters {
		list = append(list, &c.Job().Inverters[n])
	}
	if len(list) == 0 {
		c.Fail("the job has no inverter")
	}
	return outputSum(c, list, electrical.System(terms.Get(c, c.Job().Service.System)))
}

// sources are the output currents of the inverters and of other sources; left
// out: no other.
func sources(c *terms.Call, p *job.Interconnection) []float64 {
	list := []float64{allOutput(c).maximum}
	return append(list, terms.Get(c, p.OtherSources)...)
}

func busbarRating(c *terms.Call, p *job.Interconnection) float64 {
	terms.Drive(c, p.Busbar)
	return c.Q(p.Busbar)
}

func supplyRating(c *terms.Call, p *job.Interconnection) float64 {
	terms.Drive(c, p.Main)
	return c.Q(p.Main)
}

// busbar holds the busbar against the option relied on. The place of the
// source device is a check of its own.
func busbar(c *terms.Call, p *job.Interconnection) (electrical.Busbar, bool) {
	if d, ok := terms.Seek(c, overcurrentKind, c.Job().Interconnection.Overcurrent); ok {
		terms.Drive(c, d.Rating)
	}
	in := electrical.BusbarInput{Option: terms.Get(c, p.Option), Busbar: busbarRating(c, p), Main: supplyRating(c, p)}
	switch in.Option {
	case electrical.OptionBreakerSum:
		in.LoadBreakers = terms.Get(c, p.LoadBreakers)
		in.SourceBreakers = sourceBreakers(c, p)
	case electrical.OptionPowerControl:
		in.Limit = c.Q(p.PowerControlLimit)
	default:
		in.Sources = sources(c, p)
	}
	code := nec(c)
	if c.Stop() {
		return electrical.Busbar{}, false
	}
	b, err := code.Busbar(in)
	return b, took(c, b, b.Refs, err)
}

// sourceBreakers are the ratings of the sources' devices on a busbar. Those of
// other sources are known by their outputs only.
func sourceBreakers(c *terms.Call, p *job.Interconnection) []float64 {
	terms.Get(c, p.Overcurrent)
	d, ok := terms.Seek(c, overcurrentKind, c.Job().Interconnection.Overcurrent)
	if !ok {
		return nil
	}
	list := []float64{c.Q(d.Rating)}
	code := nec(c)
	for _, x := range terms.Get(c, p.OtherSources) {
		if c.Stop() {
			return nil
		}
		s, err := code.StandardOvercurrent(x*named(c, "705.28", "continuous"), electrical.Breaker)
		if err != nil {
			c.Err(err)
		}
		list = append(list, s.Rating)
	}
	return list
}

func supplySide(c *terms.Call, p *job.Interconnection) (electrical.SupplySide, bool) {
	in := electrical.SupplyInput{Rating: c.Q(c.Job().Service.Rating), Sources: sources(c, p), Material: electrical.Material(terms.Get(c, p.Material)), Place: electrical.PlaceOther}
	if terms.Stated(c, p.Inside) && !terms.Peek(c, p.Inside) {
		in.Place = electrical.PlaceOutside
	} else if terms.Get(c, p.Inside); terms.Get(c, c.Job().Building.Dwelling) {
		in.Place = electrical.PlaceDwelling
	}
	code := nec(c)
	if c.Stop() {
		return electrical.SupplySide{}, false
	}
	s, err := code.SupplySide(in)
	return s, took(c, s, s.Refs, err)
}
