package calculator

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"plumbrule/internal/electrical"
	"plumbrule/internal/quantity"
	"plumbrule/internal/table"
)

// electricalCalculators declares the desk calculators of the electrical code.
func electricalCalculators() []*Calculator {
	return slices.Concat(voltageCalculators(), currentCalculators(), conductorCalculators(),
		groundCalculators(), interconnectionCalculators(), racewayCalculators())
}

// The choices of the inputs that several calculators share.
var (
	materials = []string{string(electrical.Copper), string(electrical.Aluminum)}
	systems   = []string{string(electrical.SinglePhase), string(electrical.SplitPhase), string(electrical.ThreePhase)}
	devices   = []string{string(electrical.Fuse), string(electrical.Breaker)}
	editions  = []string{"2017", "2020", "2023", "2026"}
)

// necInput is the edition, wanted where the contract has it.
func necInput() Input { return choice("nec", "edition of the NEC", editions...) }

// necOptional is the edition for calculators whose rule no edition changes,
// save for the rounding of 2026.
func necOptional() Input { return optional(necInput(), "2023") }

// necRun adapts a function over one edition to a Run: it finds the edition and
// turns what the engineering refuses into a fault of the inputs.
func necRun(f func(c *electrical.Code, in *Args, r *Result) error) func(*Args, *table.Set) (*Result, error) {
	return func(in *Args, tables *table.Set) (*Result, error) {
		r := &Result{system: in.system}
		c, err := electrical.NEC(in.Text("nec"), tables)
		if err == nil {
			err = f(c, in, r)
		}
		var domain *electrical.DomainError
		var missing *table.MissingError
		if errors.As(err, &domain) || errors.As(err, &missing) {
			return nil, Faultf("%v", err)
		}
		return r, err
	}
}

// answer is what every result of the engineering can say of itself.
type answer interface {
	Work(quantity.System) []string
	Cite() []string
}

// explain adds the calculation and its sources to a result.
func (r *Result) explain(a answer) {
	r.Work = append(r.Work, a.Work(r.system)...)
	r.Cite = append(r.Cite, a.Cite()...)
}

// numOr gives an optional number, or otherwise where it is absent.
func (a *Args) numOr(name string, otherwise float64) float64 {
	if a.Has(name) {
		return a.Num(name)
	}
	return otherwise
}

// setOr adds a numeric result, or a word where it has no value.
func (r *Result) setOr(key string, v float64, word string) {
	if math.IsNaN(v) {
		r.Set(key, word)
		return
	}
	r.Set(key, v)
}

func voltageCalculators() []*Calculator {
	voc := amount("voc", "rated open-circuit voltage of one module", quantity.Voltage).from("5 V", "400 V")
	modules := count("modules", "modules in series").from("1", "200")
	coefficient := without(free("voc-coefficient", `temperature coefficient of open-circuit voltage, such as "-0.28 %/degC" or "-0.13 V/degC"`), "the table method, for crystalline silicon")
	low := amount("record-low", "lowest expected ambient temperature", quantity.Temperature).from("-70 degC", "30 degC")
	method := out("method", "coefficient or table", "")
	factor := out("factor", "factor on the rated open-circuit voltage", "")
	exact := out("exact-voltage", "voltage before the rounding of the 2026 edition", "V")
	return []*Calculator{
		{
			Name: "cold-voltage", Gives: "largest open-circuit voltage of a string on the coldest morning", Source: "NEC 690.7(A), Table 690.7(A); 690.4(G) in 2026",
			Inputs:  []Input{voc, modules, low, coefficient, necInput()},
			Outputs: []Output{out("voltage", "largest voltage of the string", "V"), factor, method, exact},
			Example: []string{"voc=49.5 V", "modules=12", "record-low=-5 degC", "voc-coefficient=-0.28 %/degC", "nec=2023"},
			Run: necRun(func(c *electrical.Code, in *Args, r *Result) error {
				f, err := coldFactor(c, in)
				if err != nil {
					return err
				}
				v, err := c.ColdVoltage(electrical.Series{Voc: in.Num("voc"), Modules: in.Int("modules"), Factor: f})
				if err != nil {
					return err
				}
				r.Set("voltage", v.Voltage)
				r.Set("factor", f.Value)
				r.Set("method", f.Method)
				r.Set("exact-voltage", v.Exact)
				r.explain(v)
				return nil
			}),
		},
		{
			Name: "longest-string", Gives: "most modules in series within a voltage limit", Source: "NEC 690.7(A), Table 690.7(A); 690.4(G) in 2026",
			Inputs: []Input{voc, low, coefficient, amount("limit", "voltage that the string may not exceed", quantity.Voltage).from("30 V", "2000 V"), necInput()},
			Outputs: []Output{out("modules", "most modules in series; 0 where not even one fits", ""), out("voltage", "largest voltage of that string", "V"),
				factor, method, exact},
			Example: []string{"voc=49.5 V", "record-low=-10 degC", "voc-coefficient=-0.27 %/degC", "limit=600 V", "nec=2023"},
			Run: necRun(func(c *electrical.Code, in *Args, r *Result) error {
				f, err := coldFactor(c, in)
				if err != nil {
					return err
				}
				l, err := c.LongestString(in.Num("voc"), f, in.Num("limit"))
				if err != nil {
					return err
				}
				r.Set("modules", l.Modules)
				r.Set("voltage", l.Voltage)
				r.Set("factor", f.Value)
				r.Set("method", f.Method)
				r.Set("exact-voltage", l.Exact)
				r.explain(l)
				return nil
			}),
		},
		{
			Name: "hot-voltage", Gives: "voltage at maximum power of a string on a hot day", Source: "common practice of string design; NEC 110.3(B) for the inverter's window",
			Inputs: []Input{amount("vmp", "rated voltage at maximum power of one module", quantity.Voltage).from("4 V", "350 V"), modules,
				amount("ambient-high", "design high ambient temperature", quantity.Temperature).from("-10 degC", "60 degC"),
				amount("rise", "rise of the cells above the ambient temperature", quantity.TemperatureDifference).from("0 degC", "60 degC"),
				free("vmp-coefficient", `temperature coefficient of the voltage at maximum power, such as "-0.35 %/degC" or "-0.17 V/degC"`), necOptional()},
			Outputs: []Output{out("voltage", "voltage of the string", "V"), out("cell-temperature", "temperature of the cells", "degC")},
			Example: []string{"vmp=36.4 V", "modules=10", "ambient-high=40 degC", "rise=30 degC", "vmp-coefficient=-0.17 V/degC"},
			Run: necRun(func(c *electrical.Code, in *Args, r *Result) error {
				b, err := coefficientOf(in, "vmp-coefficient", in.Num("vmp"))
				if err != nil {
					return err
				}
				v, err := c.HotVoltage(in.Num("vmp"), in.Int("modules"), in.Num("ambient-high"), in.Num("rise"), b)
				if err != nil {
					return err
				}
				r.Set("voltage", v.Voltage)
				r.Set("cell-temperature", v.CellTemperature)
				r.explain(v)
				return nil
			}),
		},
		{
			Name: "converter-voltage", Gives: "largest voltage of DC-to-DC converters in series", Source: "NEC 690.7(B); 690.4(G) in 2026",
			Inputs: []Input{count("converters", "converters in series").from("1", "100"),
				amount("output", "largest rated output voltage of one converter", quantity.Voltage).from("1 V", "600 V"), necInput()},
			Outputs: []Output{out("voltage", "largest voltage of the string; a voltage that the converters' instructions state stands instead", "V")},
			Example: []string{"converters=8", "output=60 V", "nec=2023"},
			Run: necRun(func(c *electrical.Code, in *Args, r *Result) error {
				v, err := c.ConverterVoltage(in.Int("converters"), in.Num("output"))
				if err != nil {
					return err
				}
				r.Set("voltage", v.Voltage)
				r.explain(v)
				return nil
			}),
		},
	}
}

func coldFactor(c *electrical.Code, in *Args) (electrical.ColdFactor, error) {
	if !in.Has("voc-coefficient") {
		return c.ColdByTable(in.Num("record-low"))
	}
	b, err := coefficientOf(in, "voc-coefficient", in.Num("voc"))
	if err != nil {
		return electrical.ColdFactor{}, err
	}
	return c.ColdByCoefficient(in.Num("record-low"), b)
}

// coefficientOf reads a coefficient that data sheets give relative to the
// rated voltage or in volts, and gives it relative.
func coefficientOf(in *Args, name string, rated float64) (float64, error) {
	v, err := quantity.ParseAny(in.Text(name))
	switch {
	case err != nil:
		return 0, Faultf("%s: %v", name, err)
	case v.Dim == quantity.RatioPerTemperature:
		return v.SI, coefficientWithin(name, in.Text(name), v.SI)
	case v.Dim == quantity.VoltagePerTemperature && rated > 0:
		return v.SI / rated, coefficientWithin(name, in.Text(name), v.SI/rated)
	}
	return 0, Faultf("%s: %q: a ratio or a voltage per degree is expected, such as -0.28 %%/degC", name, in.Text(name))
}

// coefficientWithin refuses a coefficient that no module has: the voltage of
// every cell falls as it warms, silicon by 0.25 to 0.5 % a degree.
func coefficientWithin(name, text string, relative float64) error {
	const least, most = -0.01, -0.0005
	if relative >= least && relative <= most {
		return nil
	}
	return Faultf("%s: %s is out of range: -1 %%/degC to -0.05 %%/degC of the rated voltage is expected", name, text)
}

func currentCalculators() []*Calculator {
	required := out("required-ampacity", "ampacity that the conductors need before conditions of use", "A")
	return []*Calculator{
		{
			Name: "circuit-current", Gives: "largest current of a photovoltaic DC circuit", Source: "NEC 690.8(A)(1), 690.8(B)(1); 690.4(G) in 2026",
			Inputs: []Input{amount("isc", "rated short-circuit current of one string", quantity.Current).from("0.1 A", "100 A"), optional(count("strings", "like strings in parallel").from("1", "1000"), "1"),
				optional(amount("rear-gain", "current gain of bifacial modules from their rear, such as 10 %", quantity.Ratio).from("0 %", "50 %"), "0"), necOptional()},
			Outputs: []Output{out("maximum-current", "largest current of the circuit", "A"), required},
			Example: []string{"isc=11.48 A", "strings=2"},
			Run: necRun(func(c *electrical.Code, in *Args, r *Result) error {
				if in.Int("strings") < 1 {
					return Faultf("strings: at least one is needed")
				}
				i, err := c.CircuitCurrent(slices.Repeat([]float64{in.Num("isc")}, in.Int("strings")), in.Num("rear-gain"))
				if err != nil {
					return err
				}
				r.Set("maximum-current", i.Maximum)
				r.Set("required-ampacity", i.RequiredAmpacity)
				r.explain(i)
				return nil
			}),
		},
		{
			Name: "output-current", Gives: "line current of inverters on one AC circuit", Source: "NEC 690.8(A), 705.28(B) (690.8(B) in 2017)",
			Inputs: []Input{amount("continuous-output", "rated continuous output current of one unit", quantity.Current).from("0.1 A", "5000 A"), optional(count("units", "units on the circuit").from("1", "1000"), "1"),
				optional(choice("system", "system of the circuit; single-phase units on three-phase are connected line to line and spread as evenly as their count allows", systems...), "single-phase"),
				optional(choice("unit-system", "system of one unit; three-phase units on a three-phase circuit add up", systems...), "single-phase"), necOptional()},
			Outputs: []Output{out("line-current", "current of the most loaded line", "A"), required},
			Example: []string{"continuous-output=1.21 A", "units=12", "system=three-phase"},
			Run: necRun(func(c *electrical.Code, in *Args, r *Result) error {
				o, err := c.OutputCurrent(in.Num("continuous-output"), in.Int("units"), electrical.System(in.Text("unit-system")), electrical.System(in.Text("system")))
				if err != nil {
					return err
				}
				r.Set("line-current", o.Line)
				r.Set("required-ampacity", o.RequiredAmpacity)
				r.explain(o)
				return nil
			}),
		},
		{
			Name: "standard-overcurrent", Gives: "smallest standard overcurrent device for a current", Source: "NEC 240.6(A)",
			Inputs: []Input{amount("current", "current that the rating may not be below", quantity.Current).from("0.01 A", "6000 A"),
				optional(choice("kind", "kind of device", devices...), string(electrical.Breaker)), necInput()},
			Outputs: []Output{out("rating", "standard rating", "A")},
			Example: []string{"current=17.9 A", "kind=fuse", "nec=2023"},
			Run: necRun(func(c *electrical.Code, in *Args, r *Result) error {
				s, err := c.StandardOvercurrent(in.Num("current"), electrical.Device(in.Text("kind")))
				if err != nil {
					return err
				}
				r.Set("rating", s.Rating)
				r.explain(s)
				return nil
			}),
		},
		{
			Name: "string-fuse", Gives: "whether parallel strings need fuses, and which", Source: "NEC 690.9(A) and (B), 690.8(A), 240.6(A)",
			Inputs: []Input{amount("isc", "rated short-circuit current of one string, with any gain from the rear", quantity.Current).from("0.1 A", "100 A"), count("strings", "like strings in parallel").from("1", "1000"),
				amount("maximum-series-fuse", "maximum series fuse of the module, or the largest overcurrent device that the converter allows", quantity.Current).from("1 A", "100 A"),
				without(amount("conductor-ampacity", "smallest ampacity of the string's conductors", quantity.Current).from("1 A", "1000 A"), "not looked at"), necInput()},
			Outputs: []Output{out("fuse-required", "whether the other strings can feed back more than the module or the conductors withstand", ""),
				out("backfeed-current", "current that the other strings feed into a fault", "A"), out("required-rating", "least rating of a string fuse", "A"),
				out("rating", `smallest standard fuse, or "none" where it would exceed the module's maximum`, "A"), out("fuse-exists", "whether a standard fuse suits the string and its modules", "")},
			Example: []string{"isc=9.5 A", "strings=3", "maximum-series-fuse=20 A", "nec=2023"},
			Run: necRun(func(c *electrical.Code, in *Args, r *Result) error {
				f, err := c.StringFuse(electrical.StringFuseInput{ShortCircuit: in.Num("isc"), Strings: in.Int("strings"), MaximumOvercurrent: in.Num("maximum-series-fuse"), Ampacity: in.Num("conductor-ampacity")})
				if err != nil {
					return err
				}
				r.Set("fuse-required", f.Required)
				r.Set("backfeed-current", f.Backfeed)
				r.Set("required-rating", f.RequiredRating)
				r.setOr("rating", f.Rating, "none")
				r.Set("fuse-exists", f.Exists)
				r.explain(f)
				return nil
			}),
		},
	}
}

// conditionInputs are the conditions of use of conductors. needed lists those
// that have no default in the calculator at hand.
func conditionInputs(needed ...string) []Input {
	inputs := []Input{
		choice("material", "metal of the conductors", materials...),
		free("insulation", "insulation type, such as THWN-2, XHHW-2, USE-2 or PV wire"),
		optional(amount("ambient", "ambient temperature around the conductors", quantity.Temperature).from("-50 degC", "90 degC"), "30 degC"),
		optional(count("current-carrying", "current-carrying conductors in the same raceway or cable; both DC poles count, the ground does not").from("1", "200"), "3"),
		without(amount("above-roof", "height of the raceway above a roof in sunlight", quantity.Length).from("0 ft", "30 ft"), "not on a roof in sunlight"),
		without(amount("raceway-length", "length of the raceway; 24 in or less needs no adjustment", quantity.Length).from("1 in", "10000 ft"), "longer"),
		without(amount("terminal", "temperature rating of the terminals", quantity.Temperature).from("60 degC", "120 degC"), "as equipment that is not marked (60 degC to 1 AWG, 75 degC above)"),
		without(choice("place", "what the insulation meets", string(electrical.Wet), string(electrical.Dry)), "wet, or dry for an insulation that is not for wet places"),
		optional(count("sets", "parallel sets").from("1", "20"), "1"),
		necInput(),
	}
	for i := range inputs {
		if contains(needed, inputs[i].Name) {
			inputs[i].Optional, inputs[i].Default = false, ""
		}
	}
	return inputs
}

// conditions gathers the conditions of use. The terminal is left for the
// caller where it depends on the size.
func conditions(c *electrical.Code, in *Args) (electrical.Conditions, error) {
	k := electrical.Conditions{
		Material: electrical.Material(in.Text("material")), Insulation: in.Text("insulation"), Place: electrical.Place(in.Text("place")),
		Ambient: in.Num("ambient"), CurrentCarrying: in.Int("current-carrying"), OnRoof: in.Has("above-roof"), AboveRoof: in.Num("above-roof"),
		Terminal: in.Num("terminal"), Sets: in.Int("sets"),
	}
	if !in.Has("raceway-length") {
		return k, nil
	}
	var err error
	k.ShortRaceway, err = c.ShortRaceway(in.Num("raceway-length"))
	return k, err
}

func setAmpacity(r *Result, a electrical.Ampacity) {
	r.Set("table-ampacity", a.Table)
	r.Set("adder", a.Adder)
	r.Set("effective-ambient", a.EffectiveAmbient)
	r.Set("correction", a.Correction)
	r.Set("adjustment", a.Adjustment)
	r.Set("corrected-ampacity", a.Corrected)
	r.Set("terminal-ampacity", a.TerminalAmpacity)
	r.Set("usable-ampacity", a.Usable)
}

func conductorCalculators() []*Calculator {
	ampacityOutputs := []Output{
		out("table-ampacity", "table value of one conductor at the temperature of its insulation", "A"),
		out("adder", "rise of the ambient temperature for sunlight on the roof", "degC"),
		out("effective-ambient", "ambient temperature with the adder", "degC"),
		out("correction", "factor for the ambient temperature", ""),
		out("adjustment", "factor for the count of current-carrying conductors", ""),
		out("corrected-ampacity", "table value x correction x adjustment, all parallel sets", "A"),
		out("terminal-ampacity", "table value in the column of the terminals, all parallel sets", "A"),
		out("usable-ampacity", "the smaller of corrected and terminal ampacity", "A"),
		out("largest-overcurrent", "largest standard device that may protect the conductors by 240.4", "A"),
	}
	return []*Calculator{
		{
			Name: "ampacity", Gives: "ampacity of a conductor under its conditions of use", Source: "NEC 310.15, Table 310.16, 110.14(C), 240.4; 690.31 over 90 degC",
			Inputs:  append([]Input{sizeInput("size", "size of the conductor")}, conditionInputs()...),
			Outputs: ampacityOutputs,
			Example: []string{"size=10 AWG", "material=copper", "insulation=THWN-2", "ambient=38 degC", "current-carrying=4", "above-roof=1/2 in", "terminal=75 degC", "nec=2023"},
			Run: necRun(func(c *electrical.Code, in *Args, r *Result) error {
				k, err := conditions(c, in)
				if err == nil && !in.Has("terminal") {
					k.Terminal, err = c.UnmarkedTerminal(in.Size("size"))
				}
				if err != nil {
					return err
				}
				a, err := c.Ampacity(in.Size("size"), k)
				if err != nil {
					return err
				}
				setAmpacity(r, a)
				r.explain(a)
				return addProtection(c, r, a)
			}),
		},
		{
			Name: "conductor", Gives: "smallest conductor of a circuit", Source: "NEC 690.8(B), 110.14(C), 310.15, Table 310.16, 240.4",
			Inputs: append([]Input{amount("maximum-current", "largest current of the circuit, by 690.8(A)", quantity.Current).from("0.01 A", "6000 A"),
				optional(flag("continuous", "whether the current is continuous, as photovoltaic currents are"), "yes"),
				without(amount("overcurrent", "device that protects the conductors by 240.4", quantity.Current).from("1 A", "6000 A"), "not held against one")},
				conditionInputs("ambient", "current-carrying", "terminal")...),
			Outputs: append([]Output{out("size", "smallest size that passes both tests", ""),
				out("test1-required", "125 % of the maximum current, before conditions of use, at the terminals' column", "A"),
				out("test1-available", "what the size gives for that test: its terminals' column, all parallel sets", "A"),
				out("test2-available", "what the size gives for that test: its insulation's column, all parallel sets", "A"),
				out("test2-required", "maximum current over correction and adjustment: what the table must give at the insulation's column", "A")}, ampacityOutputs...),
			Example: []string{"maximum-current=14.35 A", "material=copper", "insulation=THWN-2", "ambient=45 degC", "current-carrying=6", "terminal=75 degC", "nec=2023"},
			Run: necRun(func(c *electrical.Code, in *Args, r *Result) error {
				k, err := conditions(c, in)
				if err != nil {
					return err
				}
				s, err := c.Conductor(electrical.ConductorInput{Maximum: in.Num("maximum-current"), Continuous: in.Flag("continuous"), Conditions: k, Overcurrent: in.numOr("overcurrent", 0)})
				if err != nil {
					return err
				}
				r.Set("size", s.Size.String())
				r.Set("test1-required", s.RequiredBefore)
				r.Set("test2-required", s.RequiredTableAmpacity)
				r.Set("test1-available", s.Ampacity.TerminalAmpacity)
				r.Set("test2-available", s.Ampacity.Corrected/(s.Ampacity.Correction*s.Ampacity.Adjustment))
				setAmpacity(r, s.Ampacity)
				r.explain(s)
				return addProtection(c, r, s.Ampacity)
			}),
		},
		{
			Name: "voltage-drop", Gives: "voltage drop along a run", Source: "NEC Chapter 9 Tables 8 and 9 with their notes",
			Inputs: []Input{sizeInput("size", "size of the conductors"), choice("material", "metal of the conductors", materials...),
				amount("length", "one-way length", quantity.Length).from("0.1 ft", "20000 ft"), amount("current", "current", quantity.Current).from("0.01 A", "6000 A"),
				amount("voltage", "voltage of the circuit, between lines for three-phase", quantity.Voltage).from("5 V", "2000 V"),
				choice("system", "system of the circuit", append([]string{string(electrical.DC)}, systems...)...),
				optional(amount("temperature", "temperature of the conductors", quantity.Temperature).from("-40 degC", "150 degC"), "75 degC"),
				without(number("power-factor", "power factor, lagging; with one the AC impedance of Table 9 is used").from("0.1", "1"), "1, by the resistance of Table 8 alone"),
				without(choice("raceway", "raceway, for Table 9", "PVC", "aluminum", "steel", "EMT", "IMC", "RMC", "PVC-40", "PVC-80", "FMC", "LFMC"), "the worst"),
				optional(flag("solid", "whether the wire is solid"), "no"), optional(count("sets", "parallel sets").from("1", "20"), "1"), necOptional()},
			Outputs: []Output{out("drop", "voltage drop", "V"), out("percent", "drop as a share of the voltage", "%")},
			Example: []string{"size=10 AWG", "material=copper", "length=120 ft", "current=9.8 A", "voltage=400 V", "system=dc"},
			Run: necRun(func(c *electrical.Code, in *Args, r *Result) error {
				if in.Has("power-factor") && in.Num("power-factor") == 0 {
					return Faultf("power-factor: it must be above 0 and at most 1")
				}
				conduit, _ := electrical.ConduitOf(in.Text("raceway"))
				v, err := c.VoltageDrop(electrical.DropInput{Size: in.Size("size"), Material: electrical.Material(in.Text("material")), Solid: in.Flag("solid"),
					Length: in.Num("length"), Current: in.Num("current"), Voltage: in.Num("voltage"), System: electrical.System(in.Text("system")),
					Temperature: in.Num("temperature"), Sets: in.Int("sets"), PowerFactor: in.numOr("power-factor", 0), Conduit: conduit})
				if err != nil {
					return err
				}
				r.Set("drop", v.Drop)
				r.Set("percent", 100*v.Share)
				r.explain(v)
				return nil
			}),
		},
	}
}

func addProtection(c *electrical.Code, r *Result, a electrical.Ampacity) error {
	p, err := c.Protection(a.Size, a.Conditions.Material, a.Usable)
	var missing *table.MissingError
	if errors.As(err, &missing) {
		r.Workf("largest overcurrent device not given: %v", err)
		return nil
	}
	if err != nil {
		return err
	}
	r.Set("largest-overcurrent", p.Largest)
	r.explain(p)
	return nil
}

func groundCalculators() []*Calculator {
	electrode := without(choice("electrode", "electrode that the conductor runs to alone", electrical.Electrodes...), "no limit by electrode")
	material := choice("material", "metal of this conductor", materials...)
	return []*Calculator{
		{
			Name: "equipment-ground", Gives: "smallest equipment grounding conductor", Source: "NEC 250.122, Table 250.122, 690.45",
			Inputs: []Input{amount("overcurrent", "rating of the overcurrent device ahead", quantity.Current).from("1 A", "6000 A"), material,
				without(sizeInput("minimum-size", "true smallest size of the circuit conductors, ambient temperature and count of conductors included"), "no increase in size"),
				without(sizeInput("installed-size", "size of the circuit conductors as installed"), "no increase in size"),
				without(choice("why", "why they are larger", electrical.ForVoltageDrop, electrical.ForCorrection), "any increase counts"),
				optional(choice("circuit", "kind of circuit; a photovoltaic one need not grow its ground for voltage drop; pv-ac: alternating current up to the PV system disconnect", electrical.PVCircuit, electrical.PVACCircuit, electrical.ACCircuit), electrical.ACCircuit),
				without(choice("circuit-material", "metal of the circuit conductors", materials...), "that of the ground"),
				optional(count("sets", "parallel sets in raceways of their own; each gets the full ground").from("1", "20"), "1"), necInput()},
			Outputs: []Output{out("size", "smallest equipment grounding conductor", ""), out("required-area", "area that it needs", "cmil")},
			Example: []string{"overcurrent=20 A", "material=copper", "minimum-size=12 AWG", "installed-size=6 AWG", "nec=2023"},
			Run: necRun(func(c *electrical.Code, in *Args, r *Result) error {
				if in.Has("minimum-size") && in.Has("installed-size") && in.Size("installed-size") < in.Size("minimum-size") {
					return Faultf("installed-size: %s is smaller than minimum-size, %s: at least that is expected", in.Size("installed-size"), in.Size("minimum-size"))
				}
				circuit := in.Text("circuit-material")
				if circuit == "" {
					circuit = in.Text("material")
				}
				g, err := c.EquipmentGround(electrical.GroundInput{Overcurrent: in.Num("overcurrent"), Material: electrical.Material(in.Text("material")),
					Minimum: in.Size("minimum-size"), Installed: in.Size("installed-size"), CircuitMaterial: electrical.Material(circuit),
					Sets: in.Int("sets"), Why: in.Text("why"), Circuit: in.Text("circuit")})
				if err != nil {
					return err
				}
				r.Set("size", g.Size.String())
				r.Set("required-area", g.RequiredArea/quantity.CircularMil)
				r.explain(g)
				return nil
			}),
		},
		{
			Name: "electrode-conductor", Gives: "smallest grounding electrode conductor of an AC service", Source: "NEC Table 250.66, 250.66(A) to (C)",
			Inputs: []Input{sizeInput("service-size", "largest ungrounded service conductor"), optional(choice("service-material", "its metal", materials...), string(electrical.Copper)),
				optional(count("sets", "parallel sets; their areas add").from("1", "20"), "1"), material, electrode, necOptional()},
			Outputs: []Output{out("size", "smallest grounding electrode conductor", "")},
			Example: []string{"service-size=2/0 AWG", "material=copper"},
			Run: necRun(func(c *electrical.Code, in *Args, r *Result) error {
				e, err := c.ElectrodeConductor(in.Size("service-size"), electrical.Material(in.Text("service-material")), in.Int("sets"), electrical.Material(in.Text("material")), in.Text("electrode"))
				if err != nil {
					return err
				}
				r.Set("size", e.Size.String())
				r.explain(e)
				return nil
			}),
		},
		{
			Name: "bonding-jumper", Gives: "smallest supply-side bonding jumper, and smallest grounded conductor of a service", Source: "NEC 250.102(C)(1) and (2), Table 250.102(C)(1), 250.24(C)",
			Inputs: []Input{sizeInput("size", "size of the largest ungrounded conductor"), choice("material", "metal of this conductor", materials...),
				optional(choice("ungrounded-material", "metal of the ungrounded conductors", materials...), string(electrical.Copper)), optional(count("sets", "parallel sets").from("1", "50"), "1"),
				optional(flag("apart", "whether each set has a raceway, and such a conductor, of its own"), "no"), necOptional()},
			Outputs: []Output{out("size", "smallest size, for each raceway", "")},
			Example: []string{"size=500 kcmil", "sets=3", "material=copper"},
			Run: necRun(func(c *electrical.Code, in *Args, r *Result) error {
				b, err := c.BondingJumper(electrical.BondingInput{Ungrounded: in.Size("size"), Of: electrical.Material(in.Text("ungrounded-material")), Sets: in.Int("sets"), Apart: in.Flag("apart"), Material: electrical.Material(in.Text("material"))})
				if err != nil {
					return err
				}
				r.Set("size", b.Size.String())
				r.explain(b)
				return nil
			}),
		},
		{
			Name: "dc-electrode-conductor", Gives: "smallest grounding electrode conductor of a DC system", Source: "NEC 250.166",
			Inputs:  []Input{sizeInput("largest-size", "largest conductor of the system"), material, electrode, necOptional()},
			Outputs: []Output{out("size", "smallest grounding electrode conductor", "")},
			Example: []string{"largest-size=10 AWG", "material=copper"},
			Run: necRun(func(c *electrical.Code, in *Args, r *Result) error {
				e, err := c.DCElectrodeConductor(in.Size("largest-size"), electrical.Material(in.Text("material")), in.Text("electrode"))
				if err != nil {
					return err
				}
				r.Set("size", e.Size.String())
				r.explain(e)
				return nil
			}),
		},
	}
}

func interconnectionCalculators() []*Calculator {
	sources := listOf(amount("sources", "rated continuous output currents of the sources, parted by commas", quantity.Current).from("0.1 A", "6000 A"))
	sourceBreakers := without(listOf(amount("source-breakers", "ratings of the sources' devices, parted by commas", quantity.Current).from("1 A", "6000 A")), "the least standard device of each source, where the option asks")
	others := without(listOf(amount("other-sources", "output currents of further sources with devices of their own, parted by commas", quantity.Current).from("0.1 A", "6000 A")), "none")
	isMet := out("met", "whether the requirement is met", "")
	return []*Calculator{
		{
			Name: "busbar", Gives: "a busbar with sources against one option of the code", Source: "NEC 705.12(B)(2)(3) in 2017, 705.12(B)(3) in 2020, 705.12(B) in 2023; 408.36",
			Inputs: []Input{amount("busbar", "rating of the busbar", quantity.Current).from("15 A", "10000 A"), amount("main", "rating of the device that supplies the busbar", quantity.Current).from("10 A", "10000 A"),
				without(sources, "none"), sourceBreakers,
				without(listOf(amount("load-breakers", "ratings of all load devices on the busbar, parted by commas", quantity.Current).from("1 A", "6000 A")), "none"),
				without(choice("position", "place of the source devices; of a busbar fed at its centre, opposite-end is one end", electrical.Positions...), "as the option needs it"),
				choice("option", "sum: supply + 125 % of sources within the busbar; opposite-end: the same within 120 %; breaker-sum: all devices but the supply's within the busbar; center-fed: 120 %, at the ends of a centre-fed busbar that the edition names; feed-through: as sum, or as feed-through-option where a device protects the feed-through conductors; engineered: nothing to compute; power-control: limit of the power control system within the busbar", electrical.BusbarOptions...),
				without(count("connections", "all connections to the busbar, supply and sources included; decides nothing: see single-circuit").from("2", "200"), "not said"),
				optional(flag("single-circuit", "whether the equipment can supply one branch circuit or feeder only, with no place for another: outside the scope before 2023"), "no"),
				optional(flag("listed", "whether the equipment is listed for combining sources and loads as it is used: outside the options from 2023"), "no"),
				optional(flag("loads", "whether the busbar supplies loads; one that only gathers sources does not"), "yes"),
				without(amount("feed-through-ampacity", "ampacity of the feed-through conductors", quantity.Current).from("10 A", "10000 A"), "none"),
				without(amount("feed-through-overcurrent", "device at the supply end of the feed-through conductors", quantity.Current).from("10 A", "10000 A"), "none"),
				without(amount("feed-through-load-side", "device at their far end, such as the main of the panel that they feed", quantity.Current).from("10 A", "10000 A"), "none"),
				without(choice("feed-through-option", "option that the busbar itself relies on where such a device stands", electrical.FeedThroughOptions...), "none"),
				without(amount("power-control-limit", "current that a listed power control system holds the busbar to", quantity.Current).from("1 A", "10000 A"), "none"), necInput()},
			Outputs: []Output{out("required", "sum that the option asks about", "A"), out("allowed", "share of the busbar's rating that the option allows", "A"), isMet,
				out("applies", "whether the edition's busbar options reach this equipment", ""), out("feed-through-required", `ampacity that feed-through conductors need, or "none" for another option`, "A"), out("section", "section of the option in the edition", "")},
			Example: []string{"busbar=200 A", "main=200 A", "sources=32 A", "position=opposite-end", "option=opposite-end", "nec=2023"},
			Run: necRun(func(c *electrical.Code, in *Args, r *Result) error {
				var through *electrical.FeedThrough
				if in.Has("feed-through-ampacity") {
					through = &electrical.FeedThrough{Ampacity: in.Num("feed-through-ampacity"), Overcurrent: in.numOr("feed-through-overcurrent", 0), LoadSide: in.numOr("feed-through-load-side", 0), Option: in.Text("feed-through-option")}
				}
				b, err := c.Busbar(electrical.BusbarInput{Option: in.Text("option"), Busbar: in.Num("busbar"), Main: in.Num("main"), Sources: in.Nums("sources"),
					SourceBreakers: in.Nums("source-breakers"), LoadBreakers: in.Nums("load-breakers"), Position: in.Text("position"),
					SingleCircuit: in.Flag("single-circuit"), Listed: in.Flag("listed"), NoLoads: !in.Flag("loads"), FeedThrough: through, Limit: in.Num("power-control-limit")})
				if err != nil {
					return err
				}
				r.Set("required", b.Required)
				r.Set("allowed", b.Allowed)
				r.Set("met", b.Met)
				r.Set("applies", b.Applies)
				if b.Conductors > 0 {
					r.Set("feed-through-required", b.Conductors)
				} else {
					r.Set("feed-through-required", "none")
				}
				r.Set("section", b.Section)
				r.explain(b)
				return nil
			}),
		},
		{
			Name: "feeder-connection", Gives: "ampacity that a feeder needs with a source on it", Source: "NEC 705.12(B)(2)(1) in 2017, 705.12(B)(1) in 2020, 705.12(A)(2) in 2023",
			Inputs: []Input{amount("feeder-ampacity", "ampacity of the feeder", quantity.Current).from("10 A", "10000 A"), amount("feeder-overcurrent", "device that supplies the feeder", quantity.Current).from("10 A", "10000 A"), sources,
				without(amount("load-side-overcurrent", "device on the load side of the connection", quantity.Current).from("10 A", "10000 A"), "none"),
				optional(choice("position", "place of the connection on the feeder: at the end opposite its supply, or elsewhere", electrical.OppositeEnd, electrical.OtherPosition), electrical.OtherPosition), necInput()},
			Outputs: []Output{out("required", "ampacity that the feeder needs", "A"), isMet},
			Example: []string{"feeder-ampacity=200 A", "feeder-overcurrent=150 A", "sources=32 A", "nec=2023"},
			Run: necRun(func(c *electrical.Code, in *Args, r *Result) error {
				f, err := c.FeederConnection(electrical.FeederInput{Ampacity: in.Num("feeder-ampacity"), Overcurrent: in.Num("feeder-overcurrent"),
					Sources: in.Nums("sources"), LoadSide: in.numOr("load-side-overcurrent", 0), Position: in.Text("position")})
				if err != nil {
					return err
				}
				r.Set("required", f.Required)
				r.Set("met", f.Met)
				r.explain(f)
				return nil
			}),
		},
		{
			Name: "feeder-tap", Gives: "ampacity that tap conductors need on a feeder with sources", Source: "NEC 705.12(B)(2)(2) in 2017, 705.12(B)(2) in 2020, 705.12(A)(3) in 2023; 240.21(B)",
			Inputs: []Input{amount("tap-length", "length of the tap conductors", quantity.Length).from("0.1 ft", "1000 ft"), amount("feeder-overcurrent", "device that supplies the feeder", quantity.Current).from("10 A", "10000 A"), sources, sourceBreakers,
				others, without(amount("tap-overcurrent", "device that the tap ends in", quantity.Current).from("1 A", "10000 A"), "the source device, where one is given"),
				amount("tap-ampacity", "ampacity of the tap conductors", quantity.Current).from("10 A", "10000 A"), necInput()},
			Outputs: []Output{out("required", "ampacity that the tap conductors need", "A"), isMet},
			Example: []string{"tap-length=20 ft", "feeder-overcurrent=200 A", "sources=48 A", "source-breakers=60 A", "tap-ampacity=100 A", "nec=2023"},
			Run: necRun(func(c *electrical.Code, in *Args, r *Result) error {
				t, err := c.FeederTap(electrical.TapInput{Length: in.Num("tap-length"), Overcurrent: in.Num("feeder-overcurrent"), Sources: in.Nums("sources"),
					SourceBreakers: in.Nums("source-breakers"), OtherSources: in.Nums("other-sources"), Device: in.numOr("tap-overcurrent", 0), Ampacity: in.Num("tap-ampacity")})
				if err != nil {
					return err
				}
				r.Set("required", t.Required)
				r.Set("met", t.Met)
				r.explain(t)
				return nil
			}),
		},
		{
			Name: "supply-side", Gives: "conductors and length of a connection ahead of the service disconnect", Source: "NEC 705.12(A), 705.31, 230.31 in 2017; 705.11, 705.28 from 2020",
			Inputs: []Input{amount("service-rating", "rating of the service", quantity.Current).from("15 A", "10000 A"), sources, sourceBreakers, others, without(sizeInput("size", "size of the conductors as installed"), "not held against one"),
				without(count("sets", "parallel sets of the conductors").from("1", "50"), "not said"), optional(flag("limiters", "whether cable limiters or current-limiting breakers stand at the connection"), "no"),
				optional(choice("material", "metal of the conductors", materials...), string(electrical.Copper)),
				without(amount("length", "length of the conductors to the first overcurrent device", quantity.Length).from("0.1 ft", "1000 ft"), "not held against the limit"),
				optional(choice("place", "where the connection is made: inside a dwelling, inside another building, the same under engineering supervision, outside", electrical.SupplyPlaces...), electrical.PlaceDwelling), necInput()},
			Outputs: []Output{out("minimum-size", "smallest conductors, by rule and by 125 % of the output", ""),
				out("length-limit", `longest run to the first overcurrent device, or "none" where the edition states none`, "ft"), isMet,
				out("required-ampacity", "125 % of the sources' output", "A")},
			Example: []string{"service-rating=200 A", "sources=32 A", "size=6 AWG", "length=8 ft", "nec=2020"},
			Run: necRun(func(c *electrical.Code, in *Args, r *Result) error {
				s, err := c.SupplySide(electrical.SupplyInput{Rating: in.Num("service-rating"), Sources: in.Nums("sources"), SourceBreakers: in.Nums("source-breakers"), OtherSources: in.Nums("other-sources"), Sets: in.Int("sets"), Limiters: in.Flag("limiters"), Material: electrical.Material(in.Text("material")),
					Place: in.Text("place"), Size: in.Size("size"), Length: in.numOr("length", 0)})
				if err != nil {
					return err
				}
				r.Set("minimum-size", s.MinimumSize.String())
				r.setOr("length-limit", s.LengthLimit/quantity.Foot, "none")
				r.Set("met", s.Met)
				r.Set("required-ampacity", s.Required)
				r.explain(s)
				return nil
			}),
		},
	}
}

func racewayCalculators() []*Calculator {
	return []*Calculator{
		{
			Name: "raceway-fill", Gives: "how full a raceway is", Source: "NEC Chapter 9 Tables 1, 4, 5 and 8 with the notes",
			Inputs: []Input{free("raceway", "EMT, PVC-40, PVC-80, FMC, LFMC, RMC or IMC"), free("trade-size", "trade size, such as 3/4 or 1-1/4"),
				free("conductors", `all conductors, the ground too: "4x10 THWN-2,1x10 bare", or by outside diameter "4x0.28 in"`),
				without(amount("raceway-length", "length of the raceway; 24 in or less is a nipple", quantity.Length).from("1 in", "10000 ft"), "longer"), necOptional()},
			Outputs: []Output{out("conductor-area", "area of all conductors", "in2"), out("raceway-area", "whole inside area of the raceway", "in2"),
				out("fill", "share of the raceway that is filled", "%"), out("limit", "share that may be filled", "%"), out("met", "whether the limit is kept", "")},
			Example: []string{"raceway=EMT", "trade-size=3/4", "conductors=4x10 THWN-2,1x10 THWN-2"},
			Run: necRun(func(c *electrical.Code, in *Args, r *Result) error {
				contents, err := electrical.ParseContents(in.Text("conductors"))
				nipple := false
				if err == nil && in.Has("raceway-length") {
					nipple, err = c.ShortRaceway(in.Num("raceway-length"))
				}
				if err != nil {
					return err
				}
				f, err := c.RacewayFill(inAnyCase(in.Text("raceway"), c.RacewayTypes()), in.Text("trade-size"), contents, nipple)
				if err != nil {
					return err
				}
				r.Set("conductor-area", f.ConductorArea/quantity.SquareInch)
				r.Set("raceway-area", f.RacewayArea/quantity.SquareInch)
				r.Set("fill", 100*f.Share)
				r.Set("limit", 100*f.Limit)
				r.Set("met", f.Met)
				r.explain(f)
				return nil
			}),
		},
		{
			Name: "working-space", Gives: "clear space in front of equipment", Source: "NEC 110.26(A), Table 110.26(A)(1)",
			Inputs: []Input{amount("voltage-to-ground", "voltage to ground", quantity.Voltage).from("1 V", "1000 V"),
				choice("condition", "what faces the live parts: 1 nothing grounded, 2 grounded parts, 3 live parts", "1", "2", "3"),
				without(amount("equipment-width", "width of the equipment", quantity.Length).from("1 in", "50 ft"), "none wider than the least width"), without(amount("equipment-height", "height of the equipment", quantity.Length).from("1 in", "20 ft"), "none higher than the least height"), necInput()},
			Outputs: []Output{out("depth", "least depth", "ft"), out("width", "least width", "in"), out("height", "least height", "ft")},
			Example: []string{"voltage-to-ground=480 V", "condition=2", "nec=2023"},
			Run: necRun(func(c *electrical.Code, in *Args, r *Result) error {
				var condition int
				if _, err := fmt.Sscan(in.Text("condition"), &condition); err != nil {
					return err
				}
				w, err := c.WorkingSpace(in.Num("voltage-to-ground"), condition, in.numOr("equipment-width", 0), in.numOr("equipment-height", 0))
				if err != nil {
					return err
				}
				r.Set("depth", w.Depth/quantity.Foot)
				r.Set("width", w.Width/quantity.Inch)
				r.Set("height", w.Height/quantity.Foot)
				r.explain(w)
				return nil
			}),
		},
	}
}
