package circuits

import (
	"fmt"
	"math"

	"plumbrule/internal/electrical"
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
)

// inputMark is one direct-current input of an inverter with its strings.
type inputMark struct {
	inverter *job.Inverter
	number   int
	strings  []*job.String
}

func defineInverters() {
	amp, watt := measured(quantity.Current), measured(quantity.Power)

	derive("inverter", "is_micro", flag, "whether it is a group of microinverters", "the job", "",
		func(c *Call, i *job.Inverter) any {
			t := c.typeOf(i)
			if t == nil {
				return nil
			}
			return Get(c, t.Kind) == "micro"
		})
	derive("inverter", "unit_count", count, "how many units it stands for; one where it is no group of microinverters", "the job", "",
		func(c *Call, i *job.Inverter) any {
			c.Drive(i.Count.At)
			if i.Count.Known {
				return Get(c, i.Count)
			}
			if Self[bool](c, "is_micro") {
				Get(c, i.Count)
			}
			return 1
		})
	derive("inverter", "strings", things("string"), "strings that feed it", "the job", "",
		func(c *Call, i *job.Inverter) any {
			list := []*Subject{}
			for _, s := range c.stringsInto(i) {
				list = append(list, c.Subject("string", s))
			}
			return list
		})
	derive("inverter", "module_count", count, "modules that feed it", "the job", "",
		func(c *Call, i *job.Inverter) any {
			c.Drive(i.Count.At)
			if Self[bool](c, "is_micro") {
				t := c.typeOf(i)
				return Self[int](c, "unit_count") * Get(c, t.ModulesEach)
			}
			n := 0
			for _, s := range c.stringsInto(i) {
				n += Of[int](c, c.Subject("string", s), "module_count")
			}
			return n
		})
	derive("inverter", "dc_power", watt, "rated power of the modules that feed it", "the job", "",
		func(c *Call, i *job.Inverter) any {
			c.Drive(i.At)
			if Self[bool](c, "is_micro") {
				t := c.moduleBehind(i)
				if t == nil {
					return nil
				}
				return float64(Self[int](c, "module_count")) * c.Q(t.Power)
			}
			sum := 0.0
			for _, s := range c.stringsInto(i) {
				sum += Of[float64](c, c.Subject("string", s), "power")
			}
			return sum
		})
	derive("inverter", "ac_power", watt, "rated continuous output of all its units", "the job", "",
		func(c *Call, i *job.Inverter) any {
			t := c.typeOf(i)
			if t == nil {
				return nil
			}
			return float64(Self[int](c, "unit_count")) * c.Q(t.Output)
		})
	derive("inverter", "module_voltage", measured(quantity.Voltage), "open-circuit voltage in the cold of the module on each microinverter input", "NEC 690.7(A)", "cold-voltage",
		func(c *Call, i *job.Inverter) any {
			t, m := c.typeOf(i), c.moduleBehind(i)
			if t == nil || m == nil {
				return nil
			}
			if each, inputs := Get(c, t.ModulesEach), Get(c, t.Inputs); !c.Stop() && each > inputs {
				return c.Fail("%d modules on %d inputs of a microinverter: in series or in parallel is not stated", each, inputs)
			}
			c.Drive(m.Voc.At)
			return Of[float64](c, c.Subject("module_type", m), "cold_voltage")
		})
	derive("inverter", "module", thing("module_type"), "module type on each microinverter", "the job", "",
		func(c *Call, i *job.Inverter) any {
			if m := c.moduleBehind(i); m != nil {
				return c.Subject("module_type", m)
			}
			return nil
		})
	derive("inverter", "highest_voltage", measured(quantity.Voltage), "largest direct-current voltage at its inputs", "NEC 690.7", "cold-voltage",
		func(c *Call, i *job.Inverter) any {
			if Self[bool](c, "is_micro") {
				return Self[float64](c, "module_voltage")
			}
			strings := c.stringsInto(i)
			if len(strings) == 0 && !c.Stop() {
				return c.Fail("no string feeds %s", i.Name.Value)
			}
			return c.highest(strings)
		})
	derive("inverter", "dc_power_each", watt, "rated power of the modules that feed one unit", "the job", "",
		func(c *Call, i *job.Inverter) any {
			power, n := Self[float64](c, "dc_power"), Self[int](c, "unit_count")
			if c.Stop() {
				return nil
			}
			return power / float64(n)
		})
	derive("inverter", "has_disconnect", flag, "whether a disconnecting means is named for its direct-current side", "NEC 690.15", "",
		func(c *Call, i *job.Inverter) any {
			for n := range c.m.Job.Disconnects {
				d := &c.m.Job.Disconnects[n]
				if d.Inverter.Known && d.Inverter.Value == i.Name.Value {
					c.Drive(d.At)
					return true
				}
			}
			return false
		})
	derive("inverter", "depth_needed", measured(quantity.Length), "least depth of the working space in front", "NEC 110.26(A)(1)", "working-space",
		func(c *Call, i *job.Inverter) any {
			w, ok := c.workingSpace(i)
			if !ok {
				return nil
			}
			return w.Depth
		})
	derive("inverter", "width_needed", measured(quantity.Length), "least width of the working space in front", "NEC 110.26(A)(2)", "working-space",
		func(c *Call, i *job.Inverter) any {
			return c.named("110.26(A)", "width")
		})
	derive("inverter", "height_needed", measured(quantity.Length), "least height of the working space in front", "NEC 110.26(A)(3)", "working-space",
		func(c *Call, i *job.Inverter) any {
			return c.named("110.26(A)", "height")
		})
	derive("inverter_type", "computed_current", amp, "output current by its output power and voltage", "Ohm's law", "",
		func(c *Call, t *job.InverterType) any {
			p, v, system := c.Q(t.Output), c.Q(t.OutputVoltage), Get(c, t.System)
			if c.Stop() {
				return nil
			}
			c.Drive(t.OutputCurrent.At)
			if system == string(electrical.ThreePhase) {
				v *= math.Sqrt(3)
			}
			return p / v
		})
	derive("module_type", "computed_power", watt, "power by its voltage and current at maximum power", "Ohm's law", "",
		func(c *Call, t *job.ModuleType) any {
			c.Drive(t.Power.At)
			return c.Q(t.Vmp) * c.Q(t.Imp)
		})

	k := newKind("dc_input", "dc_inputs", "inputs of inverters with the strings on them")
	k.all = dcInputs
	derive("dc_input", "inverter", thing("inverter"), "inverter it belongs to", "the job", "",
		func(c *Call, p *inputMark) any { return c.Subject("inverter", p.inverter) })
	derive("dc_input", "string_count", count, "strings in parallel on it", "the job", "",
		func(c *Call, p *inputMark) any {
			c.Drive(p.strings[0].Input.At)
			return len(p.strings)
		})
	derive("dc_input", "number", count, "its number on the inverter", "the job", "",
		func(c *Call, p *inputMark) any {
			c.Drive(p.strings[0].Input.At)
			return p.number
		})
	derive("dc_input", "operating_current", amp, "sum of its strings' currents at maximum power", "the job", "",
		func(c *Call, p *inputMark) any {
			sum := 0.0
			for _, s := range p.strings {
				sum += Of[float64](c, c.Subject("string", s), "operating_current")
			}
			c.line("%d strings together: %.4g A at maximum power", len(p.strings), sum)
			return sum
		})
	derive("dc_input", "maximum_current", amp, "sum of its strings' largest currents", "NEC 690.8(A)", "circuit-current",
		func(c *Call, p *inputMark) any {
			i := c.directCurrent(p.strings)
			if c.Stop() {
				return nil
			}
			c.Explain(i.work, nil)
			return i.maximum
		})
	derive("dc_input", "alike", flag, "whether its strings have modules of the same types and count", "common practice of string design", "",
		func(c *Call, p *inputMark) any {
			first, last := c.parts(p.strings[0]), []part{}
			alike := true
			for _, s := range p.strings[1:] {
				last = c.parts(s)
				alike = alike && sameParts(first, last)
			}
			c.Drive(p.strings[len(p.strings)-1].Modules.At)
			return alike
		})
}

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
func dcInputs(m *Model) []*Subject {
	k := kinds["dc_input"]
	var list []*Subject
	var strays []Need
	seen := map[string]*inputMark{}
	for n := range m.Job.Strings {
		s := &m.Job.Strings[n]
		i, number, need := inputOf(m.Job, s)
		if need != nil {
			strays = append(strays, *need)
			list = append(list, unknownSubject(k, "of "+s.Name.Value, "string."+s.Name.Value, s.At, []Need{*need}))
			continue
		}
		name := fmt.Sprintf("%s input %d", i.Name.Value, number)
		if p := seen[name]; p != nil {
			p.strings = append(p.strings, s)
			continue
		}
		p := &inputMark{inverter: i, number: number, strings: []*job.String{s}}
		seen[name] = p
		list = append(list, &Subject{Kind: k, Name: name, Key: "string." + s.Name.Value, At: s.At, data: p})
	}
	if len(strays) > 0 {
		for n, s := range list {
			if s.needs == nil {
				list[n] = unknownSubject(k, s.Name, s.Key, s.At, strays)
			}
		}
	}
	return list
}

// inputOf is where a string goes, or what is missing to say so.
func inputOf(j *job.Job, s *job.String) (*job.Inverter, int, *Need) {
	i, ok := j.InverterOf(s)
	if !ok {
		return nil, 0, &Need{Key: s.Inverter.Key, At: s.Inverter.At}
	}
	if s.Input.Known {
		return i, s.Input.Value, nil
	}
	if t, ok := j.InverterTypeOf(i); ok && t.Inputs.Known && t.Inputs.Value == 1 {
		return i, 1, nil // the inverter has just one
	}
	return nil, 0, &Need{Key: s.Input.Key, At: s.Input.At}
}

// workingSpace takes the larger of the direct-current voltage and the voltage
// of the service as the voltage to ground, which errs to the safe side.
func (c *Call) workingSpace(i *job.Inverter) (electrical.WorkingSpace, bool) {
	c.Drive(i.Depth.At)
	voltage := max(Self[float64](c, "highest_voltage"), c.Q(c.m.Job.Service.Voltage))
	condition, code := Get(c, i.Condition), c.nec()
	if c.Stop() {
		return electrical.WorkingSpace{}, false
	}
	w, err := code.WorkingSpace(voltage, condition, 0, 0)
	return w, c.took(w, w.Refs, err)
}

func (c *Call) typeOf(i *job.Inverter) *job.InverterType {
	Get(c, i.Type)
	t, ok := c.m.Job.InverterTypeOf(i)
	if !ok {
		return nil
	}
	return t
}

// moduleBehind is the module type of the array that a group of microinverters
// carries.
func (c *Call) moduleBehind(i *job.Inverter) *job.ModuleType {
	Get(c, i.Array)
	a, ok := c.m.Job.ArrayOfInverter(i)
	if !ok {
		return nil
	}
	Get(c, a.Module)
	t, ok := c.m.Job.ModuleOf(a)
	if !ok {
		return nil
	}
	return t
}

// stringsInto lists the strings of an inverter. A string that names none could
// belong to it, so it is asked for.
func (c *Call) stringsInto(i *job.Inverter) []*job.String {
	for n := range c.m.Job.Strings {
		Get(c, c.m.Job.Strings[n].Inverter)
	}
	return c.m.Job.StringsInto(i)
}
