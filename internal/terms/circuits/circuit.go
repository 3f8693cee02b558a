package circuits

import (
	"math"
	"slices"

	"plumbrule/internal/electrical"
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/terms"
	"plumbrule/internal/wiring"
)

// dcKinds are the kinds of circuit that carry direct current.
var dcKinds = []string{"string", "source", "converter-output"}

func isDC(c *terms.Call, x *job.Circuit) bool { return slices.Contains(dcKinds, terms.Peek(c, x.Kind)) }

var _ = terms.Derive(circuitKind, "is_dc", terms.YesNo, "whether it carries direct current", "the job", "",
	func(c *terms.Call, x *job.Circuit) bool { return isDC(c, x) })

var circuitHighestVoltage = terms.Derive(circuitKind, "highest_voltage", terms.Quantity(quantity.Voltage), "largest voltage: of its strings in the cold, or the nominal one of an AC circuit", "NEC 690.7", "",
	func(c *terms.Call, x *job.Circuit) float64 {
		if !isDC(c, x) {
			terms.Drive(c, x.Voltage)
			return circuitVoltage.Of(c, x)
		}
		terms.Drive(c, x.Strings)
		return highest(c, stringsOf(c, x))
	})

var circuitMaximumCurrent = terms.Derive(circuitKind, "maximum_current", terms.Quantity(quantity.Current), "largest current", "NEC 690.8(A), 705.28(A)", "circuit-current",
	func(c *terms.Call, x *job.Circuit) float64 {
		i := circuitCurrent(c, x)
		if c.Stop() {
			return 0
		}
		c.Explain(i.work, nil)
		return i.maximum
	})

var _ = terms.Derive(circuitKind, "required_ampacity", terms.Quantity(quantity.Current), "ampacity that it needs before conditions of use: for continuous duty, or its current where the device is listed for 100 %", "NEC 690.8(B), 705.28(B)", "circuit-current",
	func(c *terms.Call, x *job.Circuit) float64 {
		i := circuitCurrent(c, x)
		if c.Stop() {
			return 0
		}
		c.Explain(i.work, nil)
		if fullRated(c, x) {
			return i.maximum
		}
		return i.required
	})

// fullRated is whether the device of a circuit is listed with its assembly for
// continuous duty at 100 %, which leaves out the continuous factor.
func fullRated(c *terms.Call, x *job.Circuit) bool {
	d, ok := terms.Seek(c, overcurrentKind, x.Overcurrent)
	return ok && terms.Get(c, d.FullRated)
}

var _ = terms.Derive(circuitKind, "corrected_ampacity", terms.Quantity(quantity.Current), "ampacity after correction for ambient temperature and adjustment for the count of conductors", "NEC 310.15, 690.31", "ampacity",
	func(c *terms.Call, x *job.Circuit) float64 {
		a, ok := ampacity(c, x)
		if !ok {
			return 0
		}
		return a.Corrected
	})

var _ = terms.Derive(circuitKind, "terminal_ampacity", terms.Quantity(quantity.Current), "ampacity in the column of its terminals, before conditions of use", "NEC 110.14(C)", "ampacity",
	func(c *terms.Call, x *job.Circuit) float64 {
		a, ok := ampacity(c, x)
		if !ok {
			return 0
		}
		return a.TerminalAmpacity
	})

var circuitUsableAmpacity = terms.Derive(circuitKind, "usable_ampacity", terms.Quantity(quantity.Current), "smaller of the corrected ampacity and that of the terminals", "NEC 110.14(C), 310.15", "ampacity",
	func(c *terms.Call, x *job.Circuit) float64 {
		a, ok := ampacity(c, x)
		if !ok {
			return 0
		}
		return a.Usable
	})

var _ = terms.Derive(circuitKind, "rooftop_adder", terms.Quantity(quantity.TemperatureDifference), "what sunlight on the roof adds to its ambient temperature", "NEC 310.15(B)(2); 310.15(B)(3)(c) in 2017", "ampacity",
	func(c *terms.Call, x *job.Circuit) float64 {
		a, ok := ampacity(c, x)
		if !ok {
			return 0
		}
		return a.Adder
	})

var _ = terms.Derive(circuitKind, "smallest_conductor", terms.WireSize, "smallest size of its conductors by both tests, its terminals and its overcurrent device", "NEC 690.8(B), 110.14(C), 240.4", "conductor",
	func(c *terms.Call, x *job.Circuit) quantity.Size {
		s, ok := smallest(c, x)
		if !ok {
			return 0
		}
		return s.Size
	})

var _ = terms.Derive(circuitKind, "largest_overcurrent", terms.Quantity(quantity.Current), "largest overcurrent device that may protect its conductors", "NEC 240.4(B) and (C)", "ampacity",
	func(c *terms.Call, x *job.Circuit) float64 {
		p, ok := protection(c, x)
		if !ok {
			return 0
		}
		return p.Largest
	})

var _ = terms.Derive(circuitKind, "has_small_limit", terms.YesNo, "whether its conductors are small ones, whose overcurrent device the code limits by size", "NEC 240.4(D)", "",
	func(c *terms.Call, x *job.Circuit) bool {
		p, ok := protection(c, x)
		if !ok {
			return false
		}
		return !math.IsNaN(p.Small)
	})

var _ = terms.Derive(circuitKind, "small_limit", terms.Quantity(quantity.Current), "largest overcurrent device of small conductors, by their size", "NEC 240.4(D)", "",
	func(c *terms.Call, x *job.Circuit) float64 {
		p, ok := protection(c, x)
		if !ok {
			return 0
		}
		if math.IsNaN(p.Small) {
			c.Fail("%s has no limit by its size", terms.Peek(c, x.Conductor))
			return 0
		}
		return p.Small
	})

var _ = terms.Derive(circuitKind, "standard_overcurrent", terms.Quantity(quantity.Current), "smallest standard rating for its current", "NEC 240.6(A), 690.9(B)", "standard-overcurrent",
	func(c *terms.Call, x *job.Circuit) float64 {
		code, i := nec(c), circuitCurrent(c, x)
		kind := electrical.Breaker
		if d, ok := terms.Seek(c, overcurrentKind, x.Overcurrent); ok && terms.Get(c, d.Kind) == "fuse" {
			kind = electrical.Fuse
		}
		if c.Stop() {
			return 0
		}
		s, err := code.StandardOvercurrent(i.required, kind)
		if !took(c, s, s.Refs, err) {
			return 0
		}
		return s.Rating
	})

var _ = terms.Derive(circuitKind, "least_overcurrent", terms.Quantity(quantity.Current), "smallest rating of its overcurrent device: for continuous duty, or its current where the device is listed for 100 %", "NEC 690.9(B), 705.30", "circuit-current",
	func(c *terms.Call, x *job.Circuit) float64 {
		i := circuitCurrent(c, x)
		if c.Stop() {
			return 0
		}
		c.Explain(i.work, nil)
		if fullRated(c, x) {
			return i.maximum
		}
		return i.required
	})

var _ = terms.Derive(circuitKind, "inverter_limit", terms.Quantity(quantity.Current), "smallest overcurrent device that the makers of its inverters allow at most", "NEC 110.3(B), 690.9", "",
	func(c *terms.Call, x *job.Circuit) float64 {
		least := math.Inf(1)
		for _, i := range invertersOf(c, x) {
			if t := typeOf(c, i); t != nil {
				least = min(least, c.Q(t.MaximumOvercurrent))
			}
		}
		return least
	})

var _ = terms.Derive(circuitKind, "branch_limit", terms.WholeNumber, "most microinverters that the maker allows on one branch circuit", "NEC 110.3(B)", "",
	func(c *terms.Call, x *job.Circuit) int {
		terms.Drive(c, x.Units)
		least := 0
		for _, i := range invertersOf(c, x) {
			if t := typeOf(c, i); t != nil {
				if n := terms.Get(c, t.MaximumBranch); least == 0 || n < least {
					least = n
				}
			}
		}
		return least
	})

var _ = terms.Derive(circuitKind, "on_ground", terms.YesNo, "whether it comes from an array on the ground", "the job", "",
	func(c *terms.Call, x *job.Circuit) bool {
		if !isDC(c, x) {
			return false
		}
		for _, s := range stringsOf(c, x) {
			for _, a := range arraysOf(c, s) {
				if p, ok := terms.Seek(c, planeKind, a.Plane); ok && terms.Get(c, p.Ground) {
					return true
				}
			}
		}
		return false
	})

var circuitSuitsWet = terms.Derive(circuitKind, "insulation_suits_wet", terms.YesNo, "whether its insulation is for wet places", "NEC 310.10(C), Table 310.4(1)", "",
	func(c *terms.Call, x *job.Circuit) bool {
		code, name := nec(c), terms.Get(c, x.Insulation)
		terms.Drive(c, x.Insulation)
		if c.Stop() {
			return false
		}
		if _, err := code.Insulation(name, electrical.Unstated); err != nil {
			c.Err(err)
			return false
		}
		_, err := code.Insulation(name, electrical.Wet)
		return err == nil
	})

var _ = terms.Derive(circuitKind, "insulation_suits_sunlight", terms.YesNo, "whether its insulation may run in the open air within an array", "NEC 690.31(C)", "",
	func(c *terms.Call, x *job.Circuit) bool {
		code, name := nec(c), terms.Get(c, x.Insulation)
		terms.Drive(c, x.Insulation)
		if c.Stop() {
			return false
		}
		may, basis, err := code.Exposed(name)
		if err != nil {
			c.Err(err)
			return false
		}
		c.Cite(basis.Refs...)
		return may
	})

var _ = terms.Derive(circuitKind, "fill", terms.Quantity(quantity.Ratio), "share of the raceway's area that its conductors take", "NEC Chapter 9 Tables 1, 4, 5 and 8", "raceway-fill",
	func(c *terms.Call, x *job.Circuit) float64 {
		f, ok := fill(c, x)
		if !ok {
			return 0
		}
		return f.Share
	})

var _ = terms.Derive(circuitKind, "fill_limit", terms.Quantity(quantity.Ratio), "largest share of the raceway's area that its conductors may take", "NEC Chapter 9 Table 1", "raceway-fill",
	func(c *terms.Call, x *job.Circuit) float64 {
		f, ok := fill(c, x)
		if !ok {
			return 0
		}
		return f.Limit
	})

var _ = terms.Derive(circuitKind, "voltage_drop", terms.Quantity(quantity.Ratio), "voltage drop at operating current as a share of the operating voltage", "NEC Chapter 9 Table 8", "voltage-drop", voltageDrop)

var _ = terms.Derive(circuitKind, "ground_smallest", terms.WireSize, "smallest equipment grounding conductor", "NEC 250.122, 690.45", "equipment-ground", groundSmallest)

var _ = terms.Derive(circuitKind, "ground_needs_protection", terms.YesNo, "whether its equipment grounding conductor is too small to be exposed to damage", "NEC 250.120(C), 690.46", "",
	func(c *terms.Call, x *job.Circuit) bool {
		terms.Drive(c, x.Ground)
		return needsProtection(c, terms.Get(c, x.Ground))
	})

// highest is the largest voltage among strings, with the calculation of the
// string that has it.
func highest(c *terms.Call, strings []*job.String) float64 {
	most := 0.0
	for _, s := range strings {
		of := s
		if v := stringMaximumVoltage.Of(c, of); v > most {
			most = v
			c.Explain(stringMaximumVoltage.Work(c, s), nil)
		}
	}
	if c.Stop() {
		return 0
	}
	return most
}

// stringsOf lists the strings of a circuit; none is a fault of the job.
func stringsOf(c *terms.Call, x *job.Circuit) []*job.String {
	terms.Get(c, x.Strings)
	list := terms.Refs(c, stringKind, x.Strings)
	if terms.Stated(c, x.Strings) && len(list) == 0 {
		c.Fail("circuit %s carries no string", x.Name.Value)
	}
	return list
}

// invertersOf lists the inverters of a circuit, in the same way.
func invertersOf(c *terms.Call, x *job.Circuit) []*job.Inverter {
	terms.Get(c, x.Inverters)
	list := terms.Refs(c, inverterKind, x.Inverters)
	if terms.Stated(c, x.Inverters) && len(list) == 0 {
		c.Fail("circuit %s carries no inverter", x.Name.Value)
	}
	return list
}

func circuitCurrent(c *terms.Call, x *job.Circuit) dcCurrent {
	if isDC(c, x) {
		terms.Drive(c, x.Strings)
		return directCurrent(c, stringsOf(c, x))
	}
	terms.Drive(c, x.Inverters)
	return outputCurrent(c, invertersOf(c, x), x)
}

// outputCurrent sums the outputs of inverters on one circuit. Groups of unlike
// units are summed as if their currents were in phase, which errs to the safe
// side.
func outputCurrent(c *terms.Call, inverters []*job.Inverter, x *job.Circuit) dcCurrent {
	system := electrical.System(circuitSystem.Of(c, x))
	if terms.Peek(c, x.Kind) != "branch" {
		return outputSum(c, inverters, system)
	}
	units := circuitUnits.Of(c, x)
	var most *job.InverterType
	for _, i := range inverters {
		if t := typeOf(c, i); t != nil && (most == nil || c.Q(t.OutputCurrent) > c.Q(most.OutputCurrent)) {
			most = t
		}
	}
	if most == nil || c.Stop() {
		return dcCurrent{}
	}
	return output(c, most, units, system)
}

func outputSum(c *terms.Call, inverters []*job.Inverter, system electrical.System) dcCurrent {
	var sum dcCurrent
	var work []func(quantity.System) []string
	var placed []electrical.OnLines // those that say which lines they stand on, and those on all three
	unsaid := 0
	for _, i := range inverters {
		t, n := typeOf(c, i), inverterUnitCount.Of(c, i)
		if c.Stop() || t == nil {
			continue
		}
		on, lines := system, terms.Peek(c, i.Lines)
		onPair := system == electrical.ThreePhase && terms.Stated(c, i.Lines) && lines != "spread"
		three := system == electrical.ThreePhase && terms.Peek(c, t.System) == string(electrical.ThreePhase)
		if onPair && !three {
			on = electrical.SinglePhase // its units add up on their pair
		}
		o := limited(c, i, output(c, t, n, on))
		sum.at = o.at
		work = append(work, o.work)
		switch {
		case three:
			placed = append(placed, electrical.OnLines{Current: o.exact})
			continue
		case onPair:
			placed = append(placed, electrical.OnLines{Lines: lines, Current: o.exact})
			continue
		case system == electrical.ThreePhase && lines != "spread":
			unsaid++
		}
		sum.maximum += o.maximum
		sum.required += o.required
		sum.exact += o.exact
	}
	var lines [3]float64
	if len(placed) > 0 && !c.Stop() {
		code, continuous := nec(c), named(c, "705.28", "continuous")
		var err error
		if lines, _, err = electrical.LineCurrents(placed); err != nil {
			c.Err(err)
			return dcCurrent{}
		}
		most := slices.Max(lines[:])
		sum.exact += most
		for _, x := range []struct {
			into *float64
			by   float64
		}{{&sum.maximum, 1}, {&sum.required, continuous}} {
			rounded, err := code.Rounded(most * x.by)
			if err != nil {
				c.Err(err)
			}
			*x.into += rounded
		}
	}
	sum.work = func(sys quantity.System) []string {
		var out []string
		for _, w := range work {
			if w != nil {
				out = append(out, w(sys)...)
			}
		}
		if len(placed) > 1 {
			out = append(out, "by their lines, added as phasors: A "+ampere(lines[0], sys)+", B "+ampere(lines[1], sys)+", C "+ampere(lines[2], sys))
		}
		if len(work) > 1 {
			out = append(out, "together: "+ampere(sum.maximum, sys)+", required ampacity "+ampere(sum.required, sys))
		}
		if unsaid > 0 && len(work) > 1 {
			out = append(out, "single-phase inverters that do not say their lines are added as if in phase; inverter.lines says them")
		}
		return out
	}
	return sum
}

func output(c *terms.Call, t *job.InverterType, units int, system electrical.System) dcCurrent {
	code, one, own := nec(c), c.Q(t.OutputCurrent), terms.Get(c, t.System)
	if c.Stop() {
		return dcCurrent{}
	}
	o, err := code.OutputCurrent(one, units, electrical.System(own), system)
	if err != nil {
		for i := range c.Job().Inverters { // what does not fit is said there, and comes from there
			if x := &c.Job().Inverters[i]; typeOf(c, x) == t {
				if gap := inverterVoltageGap.Of(c, x); gap != noGap {
					c.Fail("%s", gap)
					return dcCurrent{}
				}
			}
		}
		c.Err(err)
		return dcCurrent{}
	}
	c.Cite(o.Refs...)
	return dcCurrent{at: t.OutputCurrent, exact: o.Line, maximum: o.Line, required: o.RequiredAmpacity, work: o.Work}
}

// conditions are the conditions of use of a circuit's conductors.
func conditions(c *terms.Call, x *job.Circuit) electrical.Conditions {
	in := electrical.Conditions{
		Material:        electrical.Material(terms.Get(c, x.Material)),
		Insulation:      terms.Get(c, x.Insulation),
		Place:           electrical.Dry,
		CurrentCarrying: currentCarrying.Of(c, x),
		OnRoof:          circuitOnRoof.Of(c, x),
		Terminal:        terminal.Of(c, x),
		Sets:            terms.Get(c, x.Sets),
		ShortRaceway:    shortRaceway(c, x),
	}
	if circuitIsWet.Of(c, x) {
		// An insulation that is not for wet places is a finding of its own; its
		// ampacity is still held against the current, by its rating in dry ones.
		in.Place = electrical.Unstated
		if circuitSuitsWet.Of(c, x) {
			in.Place = electrical.Wet
		}
	}
	switch {
	case in.OnRoof && !terms.Stated(c, x.OnRoof) && terms.Peek(c, x.Place) != "roof":
		in.AboveRoof = terms.Peek(c, x.AboveRoof).SI // assumed to be there, so that its height is not asked
	case in.OnRoof:
		in.AboveRoof = aboveRoof.Of(c, x)
	}
	in.Ambient = c.Q(x.Ambient)
	return in
}

// shortRaceway is whether the raceway is too short to need an adjustment. One
// of unknown length is taken as long, which allows less.
func shortRaceway(c *terms.Call, x *job.Circuit) bool {
	length, code := terms.Peek(c, x.RacewayLength).SI, nec(c)
	if code == nil || length == 0 {
		return false
	}
	short, err := code.ShortRaceway(length)
	if err != nil {
		c.Err(err)
	}
	return short
}

func ampacity(c *terms.Call, x *job.Circuit) (electrical.Ampacity, bool) {
	terms.Drive(c, x.Conductor)
	size, in, code := terms.Get(c, x.Conductor), conditions(c, x), nec(c)
	if c.Stop() {
		return electrical.Ampacity{}, false
	}
	a, err := code.Ampacity(size, in)
	return a, took(c, a, a.Refs, err)
}

// smallest finds the smallest conductor for a circuit behind its device.
func smallest(c *terms.Call, x *job.Circuit) (electrical.Conductor, bool) {
	in := electrical.ConductorInput{Continuous: !fullRated(c, x), Maximum: circuitCurrent(c, x).maximum, Conditions: conditions(c, x)}
	if d, ok := terms.Seek(c, overcurrentKind, x.Overcurrent); ok {
		in.Overcurrent = c.Q(d.Rating)
	}
	code := nec(c)
	if c.Stop() {
		return electrical.Conductor{}, false
	}
	s, err := code.Conductor(in)
	return s, took(c, s, s.Refs, err)
}

func protection(c *terms.Call, x *job.Circuit) (electrical.Protection, bool) {
	a, ok := ampacity(c, x)
	if !ok {
		return electrical.Protection{}, false
	}
	p, err := nec(c).Protection(a.Size, a.Conditions.Material, a.Usable)
	if err != nil {
		c.Err(err)
		return p, false
	}
	c.Explain(workOf([]worked{a, p}), append(slices.Clone(a.Refs), p.Refs...))
	return p, true
}

func fill(c *terms.Call, x *job.Circuit) (electrical.Fill, bool) {
	terms.Drive(c, x.Contents)
	code, list := nec(c), contents(c, x)
	raceway, trade := terms.Get(c, x.Raceway), terms.Get(c, x.TradeSize)
	if c.Stop() {
		return electrical.Fill{}, false
	}
	f, err := code.RacewayFill(raceway, trade, list, shortRaceway(c, x))
	return f, took(c, f, f.Refs, err)
}

// voltageDrop takes the operating current over the whole length, direct
// current at the operating voltage under standard test conditions.
func voltageDrop(c *terms.Call, x *job.Circuit) float64 {
	terms.Drive(c, x.Length)
	in := electrical.DropInput{
		Size:     terms.Get(c, x.Conductor),
		Material: electrical.Material(terms.Get(c, x.Material)),
		Length:   c.Q(x.Length),
		Sets:     terms.Get(c, x.Sets),
		System:   electrical.DC,
	}
	if isDC(c, x) {
		in.Current, in.Voltage = operating(c, x)
	} else {
		in.System = electrical.System(circuitSystem.Of(c, x))
		in.Current, in.Voltage = circuitCurrent(c, x).maximum, circuitVoltage.Of(c, x)
	}
	in.Temperature = named(c, "Chapter 9 Table 8 note", "base")
	code := nec(c)
	if c.Stop() {
		return 0
	}
	v, err := code.VoltageDrop(in)
	if !took(c, v, v.Refs, err) {
		return 0
	}
	return v.Share
}

// operating is the operating current and voltage of a direct-current circuit.
func operating(c *terms.Call, x *job.Circuit) (current, voltage float64) {
	for _, s := range stringsOf(c, x) {
		current += stringOperatingCurrent.Of(c, s)
		v := 0.0
		if t, ok := terms.Seek(c, converterTypeKind, s.Converter); ok {
			v = c.Q(t.StringVoltage)
		} else {
			for _, p := range parts(c, s) {
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
func groundSmallest(c *terms.Call, x *job.Circuit) quantity.Size {
	terms.Drive(c, x.Ground)
	in := electrical.GroundInput{
		Overcurrent:     deviceAhead(c, x),
		Material:        electrical.Material(groundMaterial.Of(c, x)),
		CircuitMaterial: electrical.Material(terms.Get(c, x.Material)),
		Installed:       terms.Get(c, x.Conductor),
		Sets:            terms.Get(c, x.Sets),
		Circuit:         electrical.ACCircuit,
	}
	switch {
	case isDC(c, x):
		in.Circuit = electrical.PVCircuit
	case terms.Stated(c, x.UpsizedFor) && beforeDisconnect(c, x):
		in.Circuit = electrical.PVACCircuit
	}
	if terms.Stated(c, x.UpsizedFor) && terms.Peek(c, x.UpsizedFor) != "none" {
		in.Why = terms.Peek(c, x.UpsizedFor)
	}
	s, ok := smallest(c, x)
	if !ok {
		return 0
	}
	in.Minimum = s.Size
	g, err := nec(c).EquipmentGround(in)
	if !took(c, g, g.Refs, err) {
		return 0
	}
	return g.Size
}

// beforeDisconnect is whether a circuit leads to a PV system disconnect, so that
// all of it belongs to the PV system. A disconnect that names it may stand
// anywhere along it, unless the circuit is said to end there.
func beforeDisconnect(c *terms.Call, x *job.Circuit) bool {
	s, at := traced.Of(c, c.Job()), wiring.Node{Kind: wiring.Circuit, Name: x.Name.Value}
	for _, d := range disconnectKind.All(c) {
		if terms.Peek(c, d.Purpose) != "pv-system" {
			continue
		}
		opened := wiring.Node{Kind: wiring.Circuit, Name: terms.Peek(c, d.Circuit)}
		if s.Reaches(at, wiring.Node{Kind: wiring.Disconnect, Name: d.Name.Value}) || terms.Stated(c, d.Circuit) && opened != at && s.Reaches(at, opened) {
			return true
		}
	}
	return false
}

// deviceAhead is the rating of the overcurrent device of a circuit. A
// direct-current circuit without one takes the standard device that its
// current would ask for (690.45), or the fuses of its string if larger.
func deviceAhead(c *terms.Call, x *job.Circuit) float64 {
	if terms.Stated(c, x.Overcurrent) || !isDC(c, x) {
		terms.Get(c, x.Overcurrent)
		if d, ok := terms.Seek(c, overcurrentKind, x.Overcurrent); ok {
			return c.Q(d.Rating)
		}
		return 0
	}
	code, i := nec(c), circuitCurrent(c, x)
	if c.Stop() {
		return 0
	}
	s, err := code.StandardOvercurrent(i.required, electrical.Fuse)
	if err != nil {
		c.Err(err)
		return 0
	}
	rating := s.Rating
	for _, one := range stringsOf(c, x) {
		if f, ok := terms.Seek(c, overcurrentKind, one.Fuse); ok && terms.Peek(c, x.Kind) == "string" {
			rating = max(rating, c.Q(f.Rating))
		}
	}
	return rating
}

// needsProtection reports whether a grounding conductor is too small to be
// exposed to damage.
func needsProtection(c *terms.Call, s quantity.Size) bool {
	code := nec(c)
	if c.Stop() {
		return false
	}
	needs, ref, err := code.GroundNeedsProtection(s)
	if err != nil {
		c.Err(err)
		return false
	}
	c.Cite(ref)
	return needs
}
