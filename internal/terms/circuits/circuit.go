package circuits

import (
	"math"
	"slices"

	"plumbrule/internal/electrical"
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
)

// dcKinds are the kinds of circuit that carry direct current.
var dcKinds = []string{"string", "source", "converter-output"}

func isDC(x *job.Circuit) bool { return slices.Contains(dcKinds, x.Kind.Value) }

func defineCircuits() {
	volt, amp := measured(quantity.Voltage), measured(quantity.Current)
	size, ratio := Type{Kind: Size}, measured(quantity.Ratio)

	derive("circuit", "is_dc", flag, "whether it carries direct current", "the job", "",
		func(c *Call, x *job.Circuit) any { return isDC(x) })
	derive("circuit", "has_overcurrent", flag, "whether an overcurrent device is named for it", "the job", "",
		func(c *Call, x *job.Circuit) any {
			c.Drive(x.Overcurrent.At)
			return x.Overcurrent.Known
		})
	derive("circuit", "in_raceway", flag, "whether it runs in a raceway", "the job", "",
		func(c *Call, x *job.Circuit) any {
			r := Get(c, x.Raceway)
			return r != "cable" && r != "free-air"
		})
	derive("circuit", "highest_voltage", volt, "largest voltage: of its strings in the cold, or the nominal one of an AC circuit", "NEC 690.7", "",
		func(c *Call, x *job.Circuit) any {
			if !isDC(x) {
				v := c.Q(x.Voltage)
				c.Drive(x.Voltage.At)
				return v
			}
			c.Drive(x.Strings.At)
			return c.highest(c.stringsOf(x))
		})
	derive("circuit", "maximum_current", amp, "largest current", "NEC 690.8(A), 705.28(A)", "circuit-current",
		func(c *Call, x *job.Circuit) any {
			i := c.circuitCurrent(x)
			if c.Stop() {
				return nil
			}
			c.Explain(i.work, nil)
			return i.maximum
		})
	derive("circuit", "required_ampacity", amp, "ampacity that it needs before conditions of use", "NEC 690.8(B), 705.28(B)", "circuit-current",
		func(c *Call, x *job.Circuit) any {
			i := c.circuitCurrent(x)
			if c.Stop() {
				return nil
			}
			c.Explain(i.work, nil)
			return i.required
		})
	derive("circuit", "corrected_ampacity", amp, "ampacity after correction for ambient temperature and adjustment for the count of conductors", "NEC 310.15, 690.31", "ampacity",
		func(c *Call, x *job.Circuit) any {
			a, ok := c.ampacity(x)
			if !ok {
				return nil
			}
			return a.Corrected
		})
	derive("circuit", "terminal_ampacity", amp, "ampacity in the column of its terminals, before conditions of use", "NEC 110.14(C)", "ampacity",
		func(c *Call, x *job.Circuit) any {
			a, ok := c.ampacity(x)
			if !ok {
				return nil
			}
			return a.TerminalAmpacity
		})
	derive("circuit", "usable_ampacity", amp, "smaller of the corrected ampacity and that of the terminals", "NEC 110.14(C), 310.15", "ampacity",
		func(c *Call, x *job.Circuit) any {
			a, ok := c.ampacity(x)
			if !ok {
				return nil
			}
			return a.Usable
		})
	derive("circuit", "rooftop_adder", measured(quantity.TemperatureDifference), "what sunlight on the roof adds to its ambient temperature", "NEC 310.15(B)(2); 310.15(B)(3)(c) in 2017", "ampacity",
		func(c *Call, x *job.Circuit) any {
			a, ok := c.ampacity(x)
			if !ok {
				return nil
			}
			return a.Adder
		})
	derive("circuit", "smallest_conductor", size, "smallest size of its conductors by both tests, its terminals and its overcurrent device", "NEC 690.8(B), 110.14(C), 240.4", "conductor",
		func(c *Call, x *job.Circuit) any {
			s, ok := c.smallest(x)
			if !ok {
				return nil
			}
			return s.Size
		})
	derive("circuit", "largest_overcurrent", amp, "largest overcurrent device that may protect its conductors", "NEC 240.4(B) and (C)", "ampacity",
		func(c *Call, x *job.Circuit) any {
			p, ok := c.protection(x)
			if !ok {
				return nil
			}
			return p.Largest
		})
	derive("circuit", "has_small_limit", flag, "whether its conductors are small ones, whose overcurrent device the code limits by size", "NEC 240.4(D)", "",
		func(c *Call, x *job.Circuit) any {
			p, ok := c.protection(x)
			if !ok {
				return nil
			}
			return !math.IsNaN(p.Small)
		})
	derive("circuit", "small_limit", amp, "largest overcurrent device of small conductors, by their size", "NEC 240.4(D)", "",
		func(c *Call, x *job.Circuit) any {
			p, ok := c.protection(x)
			if !ok {
				return nil
			}
			if math.IsNaN(p.Small) {
				return c.Fail("%s has no limit by its size", x.Conductor.Value)
			}
			return p.Small
		})
	derive("circuit", "standard_overcurrent", amp, "smallest standard rating for its current", "NEC 240.6(A), 690.9(B)", "standard-overcurrent",
		func(c *Call, x *job.Circuit) any {
			code, i := c.nec(), c.circuitCurrent(x)
			kind := electrical.Breaker
			if d, ok := c.m.Job.OvercurrentOf(x); ok && Get(c, d.Kind) == "fuse" {
				kind = electrical.Fuse
			}
			if c.Stop() {
				return nil
			}
			s, err := code.StandardOvercurrent(i.required, kind)
			if !c.took(s, s.Refs, err) {
				return nil
			}
			return s.Rating
		})
	derive("circuit", "least_overcurrent", amp, "smallest rating of its overcurrent device: for continuous duty, or its current where the device is listed for 100 %", "NEC 690.9(B), 705.30", "circuit-current",
		func(c *Call, x *job.Circuit) any {
			i := c.circuitCurrent(x)
			if c.Stop() {
				return nil
			}
			c.Explain(i.work, nil)
			if d, ok := c.m.Job.OvercurrentOf(x); ok && d.FullRated.Known && d.FullRated.Value { // left out: not known to be, which asks for more
				return i.maximum
			}
			return i.required
		})
	derive("circuit", "ends_at_inverters", flag, "whether it leads from inverters to the first device", "the job", "",
		func(c *Call, x *job.Circuit) any {
			return x.Kind.Value == "inverter-output" || x.Kind.Value == "branch"
		})
	derive("circuit", "inverter_limit", amp, "smallest overcurrent device that the makers of its inverters allow at most", "NEC 110.3(B), 690.9", "",
		func(c *Call, x *job.Circuit) any {
			least := math.Inf(1)
			for _, i := range c.invertersOf(x) {
				if t := c.typeOf(i); t != nil {
					least = min(least, c.Q(t.MaximumOvercurrent))
				}
			}
			return least
		})
	derive("circuit", "branch_limit", count, "most microinverters that the maker allows on one branch circuit", "NEC 110.3(B)", "",
		func(c *Call, x *job.Circuit) any {
			c.Drive(x.Units.At)
			least := 0
			for _, i := range c.invertersOf(x) {
				if t := c.typeOf(i); t != nil {
					if n := Get(c, t.MaximumBranch); least == 0 || n < least {
						least = n
					}
				}
			}
			return least
		})
	derive("circuit", "on_ground", flag, "whether it comes from an array on the ground", "the job", "",
		func(c *Call, x *job.Circuit) any {
			if !isDC(x) {
				return false
			}
			for _, s := range c.stringsOf(x) {
				if a := c.arrayOf(s); a != nil {
					if p, ok := c.m.Job.PlaneOf(a); ok && p.Ground.Value { // left out: a roof
						return true
					}
				}
			}
			return false
		})
	for name, of := range map[string]func(*job.Circuit) job.Quantity{
		"states_current":      func(x *job.Circuit) job.Quantity { return x.Stated.Current },
		"states_ampacity":     func(x *job.Circuit) job.Quantity { return x.Stated.Ampacity },
		"states_voltage":      func(x *job.Circuit) job.Quantity { return x.Stated.Voltage },
		"states_voltage_drop": func(x *job.Circuit) job.Quantity { return x.Stated.Drop },
	} {
		derive("circuit", name, flag, "whether a schedule on the drawings states this value for it", "the job", "",
			func(c *Call, x *job.Circuit) any { return of(x).Known })
	}
	derive("circuit", "least_carrying", count, "fewest current-carrying conductors that its raceway can have by what is listed in it", "NEC 310.15(C) and (E)", "",
		leastCarrying)
	derive("circuit", "contents_agree", flag, "whether conductors of its size and its equipment ground are among what is listed in its raceway", "the job", "",
		func(c *Call, x *job.Circuit) any {
			c.Drive(x.Contents.At)
			list, conductor, ground := c.contents(x), Get(c, x.Conductor), Get(c, x.Ground)
			has := func(size quantity.Size) bool {
				return slices.ContainsFunc(list, func(p electrical.Content) bool { return p.Size == size || p.Diameter != 0 })
			}
			return has(conductor) && has(ground)
		})
	derive("circuit", "insulation_suits_wet", flag, "whether its insulation is for wet places", "NEC 310.10(C), Table 310.4(1)", "",
		func(c *Call, x *job.Circuit) any {
			code, name := c.nec(), Get(c, x.Insulation)
			c.Drive(x.Insulation.At)
			if c.Stop() {
				return nil
			}
			if _, err := code.Insulation(name, electrical.Unstated); err != nil {
				return c.Err(err)
			}
			_, err := code.Insulation(name, electrical.Wet)
			return err == nil
		})
	derive("circuit", "fill", ratio, "share of the raceway's area that its conductors take", "NEC Chapter 9 Tables 1, 4, 5 and 8", "raceway-fill",
		func(c *Call, x *job.Circuit) any {
			f, ok := c.fill(x)
			if !ok {
				return nil
			}
			return f.Share
		})
	derive("circuit", "fill_limit", ratio, "largest share of the raceway's area that its conductors may take", "NEC Chapter 9 Table 1", "raceway-fill",
		func(c *Call, x *job.Circuit) any {
			f, ok := c.fill(x)
			if !ok {
				return nil
			}
			return f.Limit
		})
	derive("circuit", "voltage_drop", ratio, "voltage drop at operating current as a share of the operating voltage", "NEC Chapter 9 Table 8", "voltage-drop", voltageDrop)
	derive("circuit", "ground_smallest", size, "smallest equipment grounding conductor", "NEC 250.122, 690.45", "equipment-ground", groundSmallest)
	derive("circuit", "ground_needs_protection", flag, "whether its equipment grounding conductor is too small to be exposed to damage", "NEC 250.120(C), 690.46", "",
		func(c *Call, x *job.Circuit) any {
			c.Drive(x.Ground.At)
			return c.needsProtection(Get(c, x.Ground))
		})
}

// highest is the largest voltage among strings, with the calculation of the
// string that has it.
func (c *Call) highest(strings []*job.String) any {
	most := 0.0
	for _, s := range strings {
		of := c.Subject("string", s)
		if v := Of[float64](c, of, "maximum_voltage"); v > most {
			most = v
			c.out.Work = c.m.term(of, "maximum_voltage", c).Work
		}
	}
	if c.Stop() {
		return nil
	}
	return most
}

// stringsOf lists the strings of a circuit; none is a fault of the job.
func (c *Call) stringsOf(x *job.Circuit) []*job.String {
	Get(c, x.Strings)
	list, _ := c.m.Job.StringsOf(x)
	if x.Strings.Known && len(list) == 0 {
		c.Fail("circuit %s carries no string", x.Name.Value)
	}
	return list
}

// invertersOf lists the inverters of a circuit, in the same way.
func (c *Call) invertersOf(x *job.Circuit) []*job.Inverter {
	Get(c, x.Inverters)
	list, _ := c.m.Job.InvertersOf(x)
	if x.Inverters.Known && len(list) == 0 {
		c.Fail("circuit %s carries no inverter", x.Name.Value)
	}
	return list
}

func (c *Call) circuitCurrent(x *job.Circuit) dcCurrent {
	if isDC(x) {
		c.Drive(x.Strings.At)
		return c.directCurrent(c.stringsOf(x))
	}
	c.Drive(x.Inverters.At)
	return c.outputCurrent(c.invertersOf(x), x)
}

// outputCurrent sums the outputs of inverters on one circuit. Groups of unlike
// units are summed as if their currents were in phase, which errs to the safe
// side.
func (c *Call) outputCurrent(inverters []*job.Inverter, x *job.Circuit) dcCurrent {
	system := electrical.System(Get(c, x.System))
	if x.Kind.Value != "branch" {
		return c.outputSum(inverters, system)
	}
	units := Get(c, x.Units)
	var most *job.InverterType
	for _, i := range inverters {
		if t := c.typeOf(i); t != nil && (most == nil || c.Q(t.OutputCurrent) > c.Q(most.OutputCurrent)) {
			most = t
		}
	}
	if most == nil || c.Stop() {
		return dcCurrent{}
	}
	return c.output(most, units, system)
}

func (c *Call) outputSum(inverters []*job.Inverter, system electrical.System) dcCurrent {
	var sum dcCurrent
	var work []func(quantity.System) []string
	for _, i := range inverters {
		t, n := c.typeOf(i), Of[int](c, c.Subject("inverter", i), "unit_count")
		if c.Stop() || t == nil {
			continue
		}
		o := c.output(t, n, system)
		sum.maximum += o.maximum
		sum.required += o.required
		sum.exact += o.exact
		sum.at = o.at
		work = append(work, o.work)
	}
	sum.work = func(sys quantity.System) []string {
		var lines []string
		for _, w := range work {
			if w != nil {
				lines = append(lines, w(sys)...)
			}
		}
		if len(work) > 1 {
			lines = append(lines, "together: "+ampere(sum.maximum, sys)+", required ampacity "+ampere(sum.required, sys))
		}
		return lines
	}
	return sum
}

func (c *Call) output(t *job.InverterType, units int, system electrical.System) dcCurrent {
	code, one, own := c.nec(), c.Q(t.OutputCurrent), Get(c, t.System)
	if c.Stop() {
		return dcCurrent{}
	}
	o, err := code.OutputCurrent(one, units, electrical.System(own), system)
	if err != nil {
		c.Err(err)
		return dcCurrent{}
	}
	c.out.Refs = append(c.out.Refs, o.Refs...)
	return dcCurrent{at: t.OutputCurrent, exact: o.Line, maximum: o.Line, required: o.RequiredAmpacity, work: o.Work}
}

// conditions are the conditions of use of a circuit's conductors.
func (c *Call) conditions(x *job.Circuit) electrical.Conditions {
	in := electrical.Conditions{
		Material:        electrical.Material(Get(c, x.Material)),
		Insulation:      Get(c, x.Insulation),
		Place:           electrical.Dry,
		CurrentCarrying: Get(c, x.CurrentCarrying),
		OnRoof:          Get(c, x.OnRoof),
		Terminal:        c.Q(x.Terminal),
		Sets:            c.sets(x),
		ShortRaceway:    c.shortRaceway(x),
	}
	if Get(c, x.Wet) {
		in.Place = electrical.Wet
	}
	if in.OnRoof {
		in.AboveRoof = c.Q(x.AboveRoof)
	}
	if x.Ambient.Known { // left out: the design high
		in.Ambient = c.Q(x.Ambient)
	} else {
		in.Ambient = c.Q(c.m.Job.Site.DesignHigh)
	}
	return in
}

// sets is the count of parallel sets; left out: one.
func (c *Call) sets(x *job.Circuit) int {
	if x.Sets.Known {
		return Get(c, x.Sets)
	}
	return 1
}

// shortRaceway is whether the raceway is too short to need an adjustment. One
// of unknown length is taken as long, which allows less.
func (c *Call) shortRaceway(x *job.Circuit) bool {
	length := x.Length
	if x.RacewayLength.Known {
		length = x.RacewayLength
	}
	code := c.nec()
	if !length.Known || code == nil || length.Value.SI == 0 {
		return false
	}
	short, err := code.ShortRaceway(length.Value.SI)
	if err != nil {
		c.Err(err)
	}
	return short
}

func (c *Call) ampacity(x *job.Circuit) (electrical.Ampacity, bool) {
	c.Drive(x.Conductor.At)
	size, in, code := Get(c, x.Conductor), c.conditions(x), c.nec()
	if c.Stop() {
		return electrical.Ampacity{}, false
	}
	a, err := code.Ampacity(size, in)
	return a, c.took(a, a.Refs, err)
}

// smallest finds the smallest conductor for a circuit behind its device.
func (c *Call) smallest(x *job.Circuit) (electrical.Conductor, bool) {
	in := electrical.ConductorInput{Continuous: true, Maximum: c.circuitCurrent(x).maximum, Conditions: c.conditions(x)}
	if d, ok := c.m.Job.OvercurrentOf(x); ok {
		in.Overcurrent = c.Q(d.Rating)
	}
	code := c.nec()
	if c.Stop() {
		return electrical.Conductor{}, false
	}
	s, err := code.Conductor(in)
	return s, c.took(s, s.Refs, err)
}

func (c *Call) protection(x *job.Circuit) (electrical.Protection, bool) {
	a, ok := c.ampacity(x)
	if !ok {
		return electrical.Protection{}, false
	}
	p, err := c.nec().Protection(a.Size, a.Conditions.Material, a.Usable)
	if err != nil {
		c.Err(err)
		return p, false
	}
	c.Explain(workOf([]worked{a, p}), append(slices.Clone(a.Refs), p.Refs...))
	return p, true
}

// contents reads what a circuit's raceway holds.
func (c *Call) contents(x *job.Circuit) []electrical.Content {
	text := Get(c, x.Contents)
	if c.Stop() {
		return nil
	}
	list, err := electrical.ParseContents(text)
	if err != nil {
		c.Err(err)
	}
	return list
}

// leastCarrying counts the conductors of a raceway that must carry current: all
// but one equipment ground, and but the neutrals that the system can have.
func leastCarrying(c *Call, x *job.Circuit) any {
	c.Drive(x.CurrentCarrying.At)
	list := c.contents(x)
	ground := groundIn(list, Get(c, x.Ground))
	n := 0
	for i, part := range list {
		if i != ground && part.Insulation != "bare" && part.Insulation != "bare solid" {
			n += part.Count
		}
	}
	system := "dc"
	if !isDC(x) {
		system = Get(c, x.System)
	}
	if c.Stop() {
		return nil
	}
	all := n
	switch system {
	case string(electrical.SplitPhase): // two of three, where each circuit brings a neutral
		n = (2*all + 2) / 3
	case string(electrical.ThreePhase): // three of four
		n = (3*all + 3) / 4
	}
	c.line("%s: %d conductors besides the ground; at least %d of them carry current (%s)", x.Contents.Value, all, n, system)
	return n
}

// groundIn finds the equipment ground among the contents of a raceway: a single
// conductor of its size, else any single conductor; -1 where there is none.
func groundIn(list []electrical.Content, size quantity.Size) int {
	single := func(of quantity.Size) int {
		return slices.IndexFunc(list, func(p electrical.Content) bool { return p.Count == 1 && (p.Size == of || !of.Known()) })
	}
	if i := single(size); i >= 0 {
		return i
	}
	return single(0)
}

func (c *Call) fill(x *job.Circuit) (electrical.Fill, bool) {
	c.Drive(x.Contents.At)
	code, list := c.nec(), c.contents(x)
	raceway, trade := Get(c, x.Raceway), Get(c, x.TradeSize)
	if c.Stop() {
		return electrical.Fill{}, false
	}
	f, err := code.RacewayFill(raceway, trade, list, c.shortRaceway(x))
	return f, c.took(f, f.Refs, err)
}

// voltageDrop takes the operating current over the whole length, direct
// current at the operating voltage under standard test conditions.
func voltageDrop(c *Call, x *job.Circuit) any {
	c.Drive(x.Length.At)
	in := electrical.DropInput{
		Size:     Get(c, x.Conductor),
		Material: electrical.Material(Get(c, x.Material)),
		Length:   c.Q(x.Length),
		Sets:     c.sets(x),
		System:   electrical.DC,
	}
	if isDC(x) {
		in.Current, in.Voltage = c.operating(x)
	} else {
		in.System = electrical.System(Get(c, x.System))
		in.Current, in.Voltage = c.circuitCurrent(x).maximum, c.Q(x.Voltage)
	}
	in.Temperature = c.named("Chapter 9 Table 8 note", "base")
	code := c.nec()
	if c.Stop() {
		return nil
	}
	v, err := code.VoltageDrop(in)
	if !c.took(v, v.Refs, err) {
		return nil
	}
	return v.Share
}

// operating is the operating current and voltage of a direct-current circuit.
func (c *Call) operating(x *job.Circuit) (current, voltage float64) {
	for _, s := range c.stringsOf(x) {
		current += Of[float64](c, c.Subject("string", s), "operating_current")
		v := 0.0
		if t, ok := c.m.Job.ConverterTypeOf(s); ok {
			v = c.Q(t.StringVoltage)
		} else {
			for _, p := range c.parts(s) {
				v += float64(p.n) * c.Q(p.t.Vmp)
			}
		}
		if voltage == 0 || v < voltage {
			voltage = v
		}
	}
	return current, voltage
}

// groundSmallest sizes the equipment grounding conductor of a circuit by the
// device ahead of it. Conductors that are larger than they need to be, for a
// reason that is not stated, take the ground with them: the safer reading.
func groundSmallest(c *Call, x *job.Circuit) any {
	c.Drive(x.Ground.At)
	in := electrical.GroundInput{
		Overcurrent:     c.deviceAhead(x),
		Material:        electrical.Material(Get(c, x.GroundMaterial)),
		CircuitMaterial: electrical.Material(Get(c, x.Material)),
		Installed:       Get(c, x.Conductor),
		Sets:            c.sets(x),
		Circuit:         electrical.ACCircuit,
	}
	if isDC(x) {
		in.Circuit = electrical.PVCircuit
	}
	if x.UpsizedFor.Known && x.UpsizedFor.Value != "none" {
		in.Why = x.UpsizedFor.Value
	}
	s, ok := c.smallest(x)
	if !ok {
		return nil
	}
	in.Minimum = s.Size
	g, err := c.nec().EquipmentGround(in)
	if !c.took(g, g.Refs, err) {
		return nil
	}
	return g.Size
}

// deviceAhead is the rating of the overcurrent device of a circuit. A
// direct-current circuit without one takes the standard device that its
// current would ask for (690.45), or the fuses of its string if larger.
func (c *Call) deviceAhead(x *job.Circuit) float64 {
	if x.Overcurrent.Known || !isDC(x) {
		Get(c, x.Overcurrent)
		if d, ok := c.m.Job.OvercurrentOf(x); ok {
			return c.Q(d.Rating)
		}
		return 0
	}
	code, i := c.nec(), c.circuitCurrent(x)
	if c.Stop() {
		return 0
	}
	s, err := code.StandardOvercurrent(i.required, electrical.Fuse)
	if err != nil {
		c.Err(err)
		return 0
	}
	rating := s.Rating
	for _, one := range c.stringsOf(x) {
		if f, ok := c.m.Job.FuseOf(one); ok && x.Kind.Value == "string" {
			rating = max(rating, c.Q(f.Rating))
		}
	}
	return rating
}

// needsProtection reports whether a grounding conductor is too small to be
// exposed to damage.
func (c *Call) needsProtection(s quantity.Size) any {
	code := c.nec()
	if c.Stop() {
		return nil
	}
	needs, ref, err := code.GroundNeedsProtection(s)
	if err != nil {
		return c.Err(err)
	}
	c.out.Refs = append(c.out.Refs, ref)
	return needs
}
