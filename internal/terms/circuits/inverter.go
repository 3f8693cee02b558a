package circuits

import (
	"fmt"
	"math"
	"strconv"

	"plumbrule/internal/electrical"
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/terms"
)

// inputMark is one direct-current input of an inverter with its strings.
type inputMark struct {
	inverter *job.Inverter
	number   int
	strings  []*job.String
}

var inverterIsMicro = terms.Derive(inverterKind, "is_micro", terms.YesNo, "whether it is a group of microinverters", "the job", "",
	func(c *terms.Call, i *job.Inverter) bool {
		t := typeOf(c, i)
		if t == nil {
			return false
		}
		return terms.Get(c, t.Kind) == "micro"
	})

var inverterUnitCount = terms.Derive(inverterKind, "unit_count", terms.WholeNumber, "how many units it stands for; one where it is no group of microinverters", "the job", "",
	func(c *terms.Call, i *job.Inverter) int {
		terms.Drive(c, i.Count)
		if terms.Stated(c, i.Count) {
			return terms.Get(c, i.Count)
		}
		if inverterIsMicro.Of(c, i) {
			return inverterCount.Of(c, i)
		}
		return 1
	})

var _ = terms.Derive(inverterKind, "strings", terms.ListOf(stringKind), "strings that feed it", "the job", "",
	func(c *terms.Call, i *job.Inverter) []*job.String {
		return stringsInto(c, i)
	})

var inverterModuleCount = terms.Derive(inverterKind, "module_count", terms.WholeNumber, "modules that feed it", "the job", "",
	func(c *terms.Call, i *job.Inverter) int {
		terms.Drive(c, i.Count)
		if inverterIsMicro.Of(c, i) {
			t := typeOf(c, i)
			return inverterUnitCount.Of(c, i) * terms.Get(c, t.ModulesEach)
		}
		n := 0
		for _, s := range stringsInto(c, i) {
			n += stringModuleCount.Of(c, s)
		}
		return n
	})

var inverterDcPower = terms.Derive(inverterKind, "dc_power", terms.Quantity(quantity.Power), "rated power of the modules that feed it", "the job", "",
	func(c *terms.Call, i *job.Inverter) float64 {
		c.Drive(i.At)
		if inverterIsMicro.Of(c, i) {
			t := moduleBehind(c, i)
			if t == nil {
				return 0
			}
			return float64(inverterModuleCount.Of(c, i)) * c.Q(t.Power)
		}
		list := stringsInto(c, i)
		if len(list) == 0 && !c.Stop() {
			c.Fail("no string feeds %s", i.Name.Value)
		}
		sum := 0.0
		for _, s := range list {
			sum += stringPower.Of(c, s)
		}
		return sum
	})

var inverterAcPower = terms.Derive(inverterKind, "ac_power", terms.Quantity(quantity.Power), "rated continuous output of all its units", "the job", "",
	func(c *terms.Call, i *job.Inverter) float64 {
		t := typeOf(c, i)
		if t == nil {
			return 0
		}
		return float64(inverterUnitCount.Of(c, i)) * c.Q(t.Output)
	})

var inverterModuleVoltage = terms.Derive(inverterKind, "module_voltage", terms.Quantity(quantity.Voltage), "open-circuit voltage in the cold of the module on each microinverter input", "NEC 690.7(A)", "cold-voltage",
	func(c *terms.Call, i *job.Inverter) float64 {
		t, m := typeOf(c, i), moduleBehind(c, i)
		if t == nil || m == nil {
			return 0
		}
		if each := terms.Get(c, t.ModulesEach); !c.Stop() && each > 1 { // one module stands on an input of its own
			if inputs := terms.Get(c, t.Inputs); !c.Stop() && each > inputs {
				c.Fail("%d modules on %d inputs of a microinverter: in series or in parallel is not stated", each, inputs)
				return 0
			}
		}
		terms.Drive(c, m.Voc)
		return moduleTypeColdVoltage.Of(c, m)
	})

var _ = terms.Derive(inverterKind, "module", terms.ThingOf(moduleTypeKind), "module type on each microinverter", "the job", "",
	func(c *terms.Call, i *job.Inverter) *job.ModuleType {
		if m := moduleBehind(c, i); m != nil {
			return m
		}
		return nil
	})

var inverterHighestVoltage = terms.Derive(inverterKind, "highest_voltage", terms.Quantity(quantity.Voltage), "largest direct-current voltage at its inputs", "NEC 690.7", "cold-voltage",
	func(c *terms.Call, i *job.Inverter) float64 {
		if inverterIsMicro.Of(c, i) {
			return inverterModuleVoltage.Of(c, i)
		}
		strings := stringsInto(c, i)
		if len(strings) == 0 && !c.Stop() {
			c.Fail("no string feeds %s", i.Name.Value)
			return 0
		}
		return highest(c, strings)
	})

var _ = terms.Derive(inverterKind, "dc_power_each", terms.Quantity(quantity.Power), "rated power of the modules that feed one unit", "the job", "",
	func(c *terms.Call, i *job.Inverter) float64 {
		power, n := inverterDcPower.Of(c, i), inverterUnitCount.Of(c, i)
		if c.Stop() {
			return 0
		}
		return power / float64(n)
	})

var _ = terms.Derive(inverterKind, "has_disconnect", terms.YesNo, "whether a disconnecting means is named for its direct-current side", "NEC 690.15", "",
	func(c *terms.Call, i *job.Inverter) bool {
		for n := range c.Job().Disconnects {
			d := &c.Job().Disconnects[n]
			if isolatesInput(c, d, i) {
				c.Drive(d.At)
				return true
			}
		}
		return false
	})

var _ = terms.Derive(inverterKind, "depth_needed", terms.Quantity(quantity.Length), "least depth of the working space in front", "NEC 110.26(A)(1)", "working-space",
	func(c *terms.Call, i *job.Inverter) float64 {
		return workingSpace(c, i)
	})

var _ = terms.Derive(inverterKind, "width_needed", terms.Quantity(quantity.Length), "least width of the working space in front", "NEC 110.26(A)(2)", "working-space",
	func(c *terms.Call, i *job.Inverter) float64 {
		return named(c, "110.26(A)", "width")
	})

var _ = terms.Derive(inverterKind, "height_needed", terms.Quantity(quantity.Length), "least height of the working space in front", "NEC 110.26(A)(3)", "working-space",
	func(c *terms.Call, i *job.Inverter) float64 {
		return named(c, "110.26(A)", "height")
	})

var _ = terms.Derive(inverterTypeKind, "computed_current", terms.Quantity(quantity.Current), "output current by its output power and voltage", "Ohm's law", "",
	func(c *terms.Call, t *job.InverterType) float64 {
		p, v, system := c.Q(t.Output), c.Q(t.OutputVoltage), terms.Get(c, t.System)
		if c.Stop() {
			return 0
		}
		terms.Drive(c, t.OutputCurrent)
		if system == string(electrical.ThreePhase) {
			v *= math.Sqrt(3)
		}
		return p / v
	})

// Input is the kind of DC inputs of inverters.
var Input = terms.NewKind("dc_input", "dc_inputs", "inputs of inverters with the strings on them", dcInputs)

var _ = terms.Derive(Input, "inverter", terms.ThingOf(inverterKind), "inverter it belongs to", "the job", "",
	func(c *terms.Call, p *inputMark) *job.Inverter { return p.inverter })

var _ = terms.Derive(Input, "string_count", terms.WholeNumber, "strings in parallel on it", "the job", "",
	func(c *terms.Call, p *inputMark) int {
		terms.Drive(c, p.strings[0].Input)
		return len(p.strings)
	})

var _ = terms.Derive(Input, "number", terms.WholeNumber, "its number on the inverter", "the job", "",
	func(c *terms.Call, p *inputMark) int {
		terms.Drive(c, p.strings[0].Input)
		return p.number
	})

var _ = terms.Derive(Input, "operating_current", terms.Quantity(quantity.Current), "sum of its strings' currents at maximum power", "the job", "",
	func(c *terms.Call, p *inputMark) float64 {
		sum := 0.0
		for _, s := range p.strings {
			sum += stringOperatingCurrent.Of(c, s)
		}
		line(c, "%d strings together: %.4g A at maximum power", len(p.strings), sum)
		return sum
	})

var _ = terms.Derive(Input, "maximum_current", terms.Quantity(quantity.Current), "sum of its strings' largest currents", "NEC 690.8(A)", "circuit-current",
	func(c *terms.Call, p *inputMark) float64 {
		i := directCurrent(c, p.strings)
		if c.Stop() {
			return 0
		}
		c.Explain(i.work, nil)
		return i.maximum
	})

var _ = terms.Derive(Input, "alike", terms.YesNo, "whether its strings have modules of the same types and count; those with converters, which hold the voltage, may differ", "common practice of string design", "",
	func(c *terms.Call, p *inputMark) bool {
		alike := true
		plain := withoutConverters(c, p.strings)
		if len(plain) < 2 {
			return alike
		}
		first := parts(c, plain[0])
		for _, s := range plain[1:] {
			alike = sameParts(first, parts(c, s)) && alike
		}
		terms.Drive(c, p.strings[len(p.strings)-1].Modules)
		return alike
	})

func sameParts(a, b []part) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}

// dcInputs groups the strings of a job by the input they go to. A string that
// does not say where it goes stands for an input of which nothing is known, and
// as it could be on any other, nothing is known of those either.
func dcInputs(c *terms.Call, k terms.KindOf[inputMark]) []*terms.Subject {
	var list []*terms.Subject
	var strays []terms.Need
	seen := map[string]*inputMark{}
	for _, s := range stringKind.All(c) {
		key := job.KeyPath("string", &s.Entity)
		i, number, need := inputOf(c, s)
		if need != nil {
			strays = append(strays, *need)
			list = append(list, k.Unknown("of "+s.Name.Value, key, s.At, []terms.Need{*need}))
			continue
		}
		name := fmt.Sprintf("%s input %d", i.Name.Value, number)
		if p := seen[name]; p != nil {
			p.strings = append(p.strings, s)
			continue
		}
		p := &inputMark{inverter: i, number: number, strings: []*job.String{s}}
		seen[name] = p
		own := job.Join(job.Join(job.KeyPath("inverter", &i.Entity), "input"), strconv.Itoa(number))
		list = append(list, k.Subject(name, own, s.At, p))
	}
	if len(strays) > 0 {
		for n, s := range list {
			if !s.Unknown() {
				list[n] = k.Unknown(s.Name, s.Key, s.At, strays)
			}
		}
	}
	return list
}

// inputOf is where a string goes, or what is missing to say so.
func inputOf(c *terms.Call, s *job.String) (*job.Inverter, int, *terms.Need) {
	i, ok := terms.Seek(c, inverterKind, s.Inverter)
	if !ok {
		return nil, 0, &terms.Need{Key: s.Inverter.Key, At: s.Inverter.At}
	}
	if terms.Stated(c, s.Input) {
		return i, terms.Peek(c, s.Input), nil
	}
	if t, ok := terms.Seek(c, inverterTypeKind, i.Type); ok && terms.Peek(c, t.Inputs) == 1 {
		return i, 1, nil // the inverter has just one
	}
	return nil, 0, &terms.Need{Key: s.Input.Key, At: s.Input.At}
}

// workingSpace takes the larger of the direct-current voltage and the voltage
// to ground of the service, which errs to the safe side.
func workingSpace(c *terms.Call, i *job.Inverter) float64 {
	terms.Drive(c, i.Depth)
	service := &c.Job().Service
	return depthNeeded(c, max(inverterHighestVoltage.Of(c, i), equipmentToGround(c, service.Voltage, service.System)), i.Condition)
}

func typeOf(c *terms.Call, i *job.Inverter) *job.InverterType {
	terms.Get(c, i.Type)
	t, ok := terms.Seek(c, inverterTypeKind, i.Type)
	if !ok {
		return nil
	}
	return t
}

// moduleBehind is the module type of the array that a group of microinverters
// carries.
func moduleBehind(c *terms.Call, i *job.Inverter) *job.ModuleType {
	terms.Get(c, i.Array)
	a, ok := terms.Seek(c, arrayKind, i.Array)
	if !ok {
		return nil
	}
	terms.Get(c, a.Module)
	t, ok := terms.Seek(c, moduleTypeKind, a.Module)
	if !ok {
		return nil
	}
	return t
}

// stringsInto lists the strings of an inverter. A string that names none could
// belong to it, so it is asked for.
func stringsInto(c *terms.Call, i *job.Inverter) []*job.String {
	return stringsByInverter.Of(c, c.Job())[i.Name.Value]
}
