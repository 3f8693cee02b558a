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
		for _, d := range sourceDevices(c) {
			if terms.Get(c, d.Kind) == "fuse" {
				kind = electrical.Fuse
			}
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
	func(c *terms.Call, p *job.Interconnection) float64 { return firstBus(c, p).rating(c) })

var _ = terms.Derive(interconnectionKind, "supply_rating", terms.Quantity(quantity.Current), "rating of the device that supplies that busbar", "the job", "",
	func(c *terms.Call, p *job.Interconnection) float64 { return firstBus(c, p).supply(c) })

var _ = terms.Derive(interconnectionKind, "option_known", terms.YesNo, "whether the adopted edition has the busbar option that the design relies on", "NEC 705.12", "busbar",
	func(c *terms.Call, p *job.Interconnection) bool { return firstBus(c, p).known(c) })

var _ = terms.Derive(interconnectionKind, "busbar_option", terms.Word, "busbar option that the design relies on, said of the interconnection or of its panel", "the job", "",
	func(c *terms.Call, p *job.Interconnection) string {
		b := firstBus(c, p)
		return b.option(c, keysOf(c, b))
	})

var _ = terms.Derive(interconnectionKind, "position_matters", terms.YesNo, "whether that option asks where the source devices stand", "NEC 705.12", "busbar",
	func(c *terms.Call, p *job.Interconnection) bool { return len(firstBus(c, p).positions(c)) > 0 })

var _ = terms.Derive(interconnectionKind, "position_fits", terms.YesNo, "whether the source devices stand where that option lets them", "NEC 705.12", "busbar",
	func(c *terms.Call, p *job.Interconnection) bool { return firstBus(c, p).fits(c) })

var _ = terms.Derive(interconnectionKind, "busbar_required", terms.Quantity(quantity.Current), "current that the busbar has to carry by the option relied on", "NEC 705.12", "busbar",
	func(c *terms.Call, p *job.Interconnection) float64 {
		b, ok := firstBus(c, p).hold(c)
		if !ok {
			return 0
		}
		return b.Required
	})

var _ = terms.Derive(interconnectionKind, "busbar_allowed", terms.Quantity(quantity.Current), "current that the busbar may carry by the option relied on", "NEC 705.12", "busbar",
	func(c *terms.Call, p *job.Interconnection) float64 {
		b, ok := firstBus(c, p).hold(c)
		if !ok {
			return 0
		}
		return b.Allowed
	})

var _ = terms.Derive(interconnectionKind, "busbar_share", terms.Quantity(quantity.Ratio), "share of the busbar's rating that the option relied on allows", "NEC 705.12", "busbar",
	func(c *terms.Call, p *job.Interconnection) float64 {
		b, ok := firstBus(c, p).hold(c)
		if !ok {
			return 0
		}
		return b.Share
	})

var _ = terms.Derive(interconnectionKind, "busbar_applies", terms.YesNo, "whether the adopted edition's busbar options reach the equipment", "NEC 705.12", "busbar",
	func(c *terms.Call, p *job.Interconnection) bool { return firstBus(c, p).applies(c) })

var _ = terms.Derive(interconnectionKind, "feeder_has", terms.Quantity(quantity.Current), "ampacity of the feeder that the interconnection is made to, said of it or of its panel", "the job", "",
	func(c *terms.Call, p *job.Interconnection) float64 { return joinedFeeder(c, p).ampacity(c) })

var _ = terms.Derive(interconnectionKind, "feeder_required", terms.Quantity(quantity.Current), "ampacity that the feeder needs with the source on it", "NEC 705.12", "feeder-connection",
	func(c *terms.Call, p *job.Interconnection) float64 {
		terms.Drive(c, p.FeederAmpacity)
		f := joinedFeeder(c, p)
		in := electrical.FeederInput{Ampacity: f.ampacity(c), Overcurrent: f.device(c), Sources: sources(c, p)}
		if terms.Stated(c, p.Position) { // left out: elsewhere than at the opposite end, which asks more
			in.Position = terms.Get(c, p.Position)
		}
		if terms.Stated(c, p.LoadSideOvercurrent) { // left out: none, which allows less
			in.LoadSide = c.Q(p.LoadSideOvercurrent)
		}
		code := nec(c)
		if c.Stop() {
			return 0
		}
		held, err := code.FeederConnection(in)
		if !took(c, held, held.Refs, err) {
			return 0
		}
		return held.Required
	})

var _ = terms.Derive(interconnectionKind, "tap_required", terms.Quantity(quantity.Current), "ampacity that the tap conductors need", "NEC 705.12, 240.21(B)", "feeder-tap",
	func(c *terms.Call, p *job.Interconnection) float64 {
		terms.Drive(c, p.TapAmpacity)
		in := electrical.TapInput{Length: c.Q(p.TapLength), Overcurrent: joinedFeeder(c, p).device(c), Sources: []float64{allOutput(c).maximum},
			OtherSources: otherOutputs(c, p), Ampacity: c.Q(p.TapAmpacity), SourceBreakers: sourceRatings(c)}
		if d, ok := terms.Seek(c, overcurrentKind, p.TapOvercurrent); ok {
			in.Device = c.Q(d.Rating)
		} else if len(in.SourceBreakers) > 1 {
			terms.Get(c, p.TapOvercurrent)
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

var _ = terms.Derive(interconnectionKind, "supply_sum", terms.Quantity(quantity.Current), "sum of all sources on the supply side: of their outputs, in 2017 of the ratings of their devices", "NEC 705.11; 705.12(A) in 2017", "supply-side",
	func(c *terms.Call, p *job.Interconnection) float64 {
		for _, d := range sourceDevices(c) {
			terms.Drive(c, d.Rating)
		}
		var devices []float64
		if code := nec(c); code != nil {
			byDevice, err := code.SupplyByDevice()
			if err != nil {
				c.Err(err)
			}
			if byDevice {
				devices = sourceRatings(c)
			}
		}
		s, ok := supplySide(c, p, devices...)
		if !ok {
			return 0
		}
		return s.Sum
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
// out: not known.
func sources(c *terms.Call, p *job.Interconnection) []float64 {
	return append([]float64{allOutput(c).maximum}, otherOutputs(c, p)...)
}

func otherOutputs(c *terms.Call, p *job.Interconnection) []float64 {
	return terms.Get(c, p.OtherSources)
}

// joinedFeeder is the feeder that the interconnection is made to.
func joinedFeeder(c *terms.Call, p *job.Interconnection) *feederMark {
	at, _ := terms.Seek(c, panelKind, p.Panel)
	return &feederMark{panel: at, joined: true}
}

// supplySide holds the connection on the supply side against the code, with the
// ratings of the source devices where the sum goes by them.
func supplySide(c *terms.Call, p *job.Interconnection, devices ...float64) (electrical.SupplySide, bool) {
	in := electrical.SupplyInput{Rating: c.Q(c.Job().Service.Rating), Sources: []float64{allOutput(c).maximum}, OtherSources: otherOutputs(c, p), SourceBreakers: devices,
		Sets: terms.Get(c, p.Sets), Limiters: terms.Get(c, p.CableLimiters), Material: electrical.Material(terms.Get(c, p.Material)), Place: electrical.PlaceOther}
	if terms.Stated(c, p.Inside) && !terms.Peek(c, p.Inside) {
		in.Place = electrical.PlaceOutside
	} else if terms.Get(c, p.Inside); terms.Get(c, c.Job().Building.Dwelling) {
		in.Place = electrical.PlaceDwelling
	} else if terms.Get(c, p.EngineeringSupervision) {
		in.Place = electrical.PlaceEngineered
	}
	code := nec(c)
	if c.Stop() {
		return electrical.SupplySide{}, false
	}
	s, err := code.SupplySide(in)
	return s, took(c, s, s.Refs, err)
}
