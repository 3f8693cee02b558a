package circuits

import (
	"fmt"
	"math"

	"plumbrule/internal/electrical"
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
)

func defineStrings() {
	volt, amp := measured(quantity.Voltage), measured(quantity.Current)

	derive("string", "has_converters", flag, "whether its modules have DC-to-DC converters", "the job", "",
		func(c *Call, s *job.String) any { return s.Converter.Known })
	derive("string", "is_mixed", flag, "whether it has modules of several types", "the job", "",
		func(c *Call, s *job.String) any { return len(s.Extra) > 0 })
	derive("string", "has_fuse", flag, "whether it has an overcurrent device of its own", "the job", "",
		func(c *Call, s *job.String) any {
			c.Drive(s.Fuse.At)
			return s.Fuse.Known
		})
	derive("string", "module_count", count, "modules in series, of all types", "the job", "",
		func(c *Call, s *job.String) any {
			n := Get(c, s.Modules)
			for _, x := range s.Extra {
				n += x.Modules
			}
			c.Drive(s.Modules.At)
			return n
		})
	derive("string", "converter_count", count, "DC-to-DC converters in series", "the job", "",
		func(c *Call, s *job.String) any {
			n, each := Self[int](c, "module_count"), Get(c, s.ModulesEach)
			if c.Stop() {
				return nil
			}
			c.Drive(s.Modules.At)
			return (n + each - 1) / each
		})
	derive("string", "power", measured(quantity.Power), "rated power of its modules", "the job", "",
		func(c *Call, s *job.String) any {
			sum := 0.0
			for _, p := range c.parts(s) {
				sum += float64(p.n) * c.Q(p.t.Power)
			}
			c.Drive(s.Modules.At)
			return sum
		})
	derive("string", "voltage_method", text, "how its largest voltage is found: coefficient, table, converter or engineered", "NEC 690.7(A) and (B)", "",
		func(c *Call, s *job.String) any {
			if s.Converter.Known {
				return "converter"
			}
			if c.engineered() {
				return "engineered"
			}
			method := electrical.ByCoefficient
			for _, p := range c.parts(s) {
				if c.coldFactor(p.t).Method == electrical.ByTable {
					method = electrical.ByTable
				}
			}
			return method
		})
	derive("string", "maximum_voltage", volt, "largest voltage: of the modules in the cold, or of the converters", "NEC 690.7(A) and (B)", "cold-voltage", stringVoltage)
	derive("string", "module_voltage", volt, "open-circuit voltage of its modules in series in the cold, whatever converts it", "NEC 690.7(A)", "cold-voltage",
		func(c *Call, s *job.String) any { return c.coldVoltage(s) })
	derive("string", "converter_input_voltage", volt, "open-circuit voltage in the cold of the modules on each of its converters, in series", "NEC 690.7(A)", "cold-voltage",
		func(c *Call, s *job.String) any {
			c.Drive(s.Converter.At)
			each, most := Get(c, s.ModulesEach), 0.0
			for _, p := range c.parts(s) {
				most = max(most, Of[float64](c, c.Subject("module_type", p.t), "cold_voltage"))
			}
			c.line("%d modules of %.4g V on each converter", each, most)
			return float64(each) * most
		})
	derive("string", "code_voltage_limit", volt, "largest voltage that the code allows where its array stands", "NEC 690.7", "",
		func(c *Call, s *job.String) any {
			a := c.arrayOf(s)
			if a == nil {
				return nil
			}
			row := c.voltageRow(a)
			if c.Stop() {
				return nil
			}
			return c.named("690.7", row)
		})
	derive("string", "module_voltage_limit", volt, "smallest maximum system voltage of its module types", "NEC 690.7(D), 110.3(B)", "",
		func(c *Call, s *job.String) any {
			return c.leastOfParts(s, func(t *job.ModuleType) job.Quantity { return t.MaximumVoltage })
		})
	derive("string", "connector_voltage_limit", volt, "smallest voltage rating of the connectors of its module types", "NEC 690.33, 110.3(B)", "",
		func(c *Call, s *job.String) any {
			return c.leastOfParts(s, func(t *job.ModuleType) job.Quantity { return t.ConnectorVoltage })
		})
	derive("string", "series_fuse_limit", amp, "smallest maximum series fuse rating of its module types", "NEC 690.9(A), 110.3(B)", "",
		func(c *Call, s *job.String) any {
			return c.leastOfParts(s, func(t *job.ModuleType) job.Quantity { return t.MaximumFuse })
		})
	derive("string", "longest", count, "most like modules in series within the limits of the code, the inverter and the modules", "NEC 690.7(A)", "longest-string", longestString)
	derive("string", "hot_voltage", volt, "voltage at maximum power on a hot day", "common practice of string design; NEC 110.3(B)", "hot-voltage", hotVoltage)
	derive("string", "shutdown_voltage", volt, "voltage of its converters in series after shutdown", "NEC 690.12(B)", "",
		func(c *Call, s *job.String) any {
			t := c.converterOf(s)
			n := Self[int](c, "converter_count")
			if t == nil {
				return nil
			}
			return float64(n) * c.Q(t.ShutdownVoltage)
		})

	derive("string", "short_circuit", amp, "largest rated short-circuit current of its modules, with the gain from the rear", "NEC 690.8(A)", "",
		func(c *Call, s *job.String) any {
			most := 0.0
			for _, p := range c.parts(s) {
				most = max(most, Of[float64](c, c.Subject("module_type", p.t), "mounted_short_circuit"))
			}
			return most
		})
	derive("string", "operating_current", amp, "current at maximum power: of the modules with the gain from the rear, or the most that the converters give", "the job", "",
		func(c *Call, s *job.String) any {
			if s.Converter.Known {
				return Self[float64](c, "maximum_current")
			}
			most := 0.0
			for _, p := range c.parts(s) {
				most = max(most, c.Q(p.t.Imp)*(1+c.Q(p.t.RearGain)))
			}
			return most
		})
	derive("string", "maximum_current", amp, "largest current: of the modules raised for irradiance, or the most that the converters give", "NEC 690.8(A)", "circuit-current",
		func(c *Call, s *job.String) any {
			i := c.stringCurrent(s)
			if c.Stop() {
				return nil
			}
			c.Explain(i.work, nil)
			c.Drive(i.at.At)
			return i.maximum
		})
	derive("string", "parallel", things("string"), "strings on the same input of the same inverter, itself included", "the job", "",
		func(c *Call, s *job.String) any {
			var list []*Subject
			for _, other := range c.parallel(s) {
				list = append(list, c.Subject("string", other))
			}
			return list
		})
	derive("string", "fuse_needed", flag, "whether the other strings in parallel can drive more current into a fault than its modules withstand", "NEC 690.9(A)", "string-fuse",
		func(c *Call, s *job.String) any {
			f := c.stringFuse(s)
			if c.Stop() {
				return nil
			}
			return f.Required
		})
	derive("string", "backfeed", amp, "current that the other strings in parallel can drive into a fault in it", "NEC 690.9(A)", "string-fuse",
		func(c *Call, s *job.String) any {
			f := c.stringFuse(s)
			if c.Stop() {
				return nil
			}
			return f.Backfeed
		})
	derive("string", "fuse_exists", flag, "whether a standard fuse is large enough for it and small enough for its modules", "NEC 690.9, 240.6(A)", "string-fuse",
		func(c *Call, s *job.String) any {
			f := c.stringFuse(s)
			if c.Stop() {
				return nil
			}
			return f.Exists
		})
	derive("string", "fuse_smallest", amp, "smallest rating of its overcurrent device", "NEC 690.9(B)", "string-fuse",
		func(c *Call, s *job.String) any {
			i := c.stringCurrent(s)
			factor := c.named("690.9", "rating factor")
			code := c.nec()
			if c.Stop() {
				return nil
			}
			smallest, err := code.Rounded(i.exact * factor)
			if err != nil {
				return c.Err(err)
			}
			c.Explain(func(sys quantity.System) []string {
				return append(i.work(sys), fmt.Sprintf("smallest device = %s x %s = %s", ampere(i.exact, sys), number4(factor), ampere(smallest, sys)))
			}, nil)
			c.Drive(i.at.At)
			return smallest
		})
}

// part is like modules of one type within a string.
type part struct {
	t *job.ModuleType
	n int
}

// parts lists the modules of a string by type.
func (c *Call) parts(s *job.String) []part {
	n := Get(c, s.Modules)
	a := c.arrayOf(s)
	if a == nil {
		return nil
	}
	Get(c, a.Module)
	t, ok := c.m.Job.ModuleOf(a)
	if !ok {
		return nil
	}
	list := []part{{t, n}}
	for _, x := range s.Extra {
		if t, ok := job.ByName(c.m.Job.ModuleTypes, x.Module); ok {
			list = append(list, part{t, x.Modules})
		}
	}
	return list
}

func (c *Call) arrayOf(s *job.String) *job.Array {
	Get(c, s.Array)
	a, ok := c.m.Job.ArrayOf(s)
	if !ok {
		return nil
	}
	return a
}

func (c *Call) converterOf(s *job.String) *job.ConverterType {
	Get(c, s.Converter)
	t, ok := c.m.Job.ConverterTypeOf(s)
	if !ok {
		return nil
	}
	return t
}

func (c *Call) leastOfParts(s *job.String, rating func(*job.ModuleType) job.Quantity) any {
	least := math.Inf(1)
	for _, p := range c.parts(s) {
		r := rating(p.t)
		c.Drive(r.At)
		least = min(least, c.Q(r))
	}
	if c.Stop() {
		return nil
	}
	return least
}

// voltageRow names the limit of 690.7 that holds where an array stands.
func (c *Call) voltageRow(a *job.Array) string {
	p, ok := c.m.Job.PlaneOf(a)
	if ok && p.Ground.Known && p.Ground.Value {
		return "ground limit"
	}
	if Get(c, c.m.Job.Building.Dwelling) {
		return "dwelling limit"
	}
	return "building limit"
}

// coldVoltage sums the modules of a string.
func (c *Call) coldVoltage(s *job.String) any {
	c.Drive(s.Modules.At)
	var series []electrical.Series
	for _, p := range c.parts(s) {
		series = append(series, c.series(p.t, p.n))
	}
	if c.Stop() {
		return nil
	}
	v, err := c.nec().ColdVoltage(series...)
	if !c.took(v, v.Refs, err) {
		return nil
	}
	return v.Voltage
}

// engineered is whether the voltage of an engineer's calculation stands: one is
// stated, and the system is large enough for it.
func (c *Call) engineered() bool {
	if !c.m.Job.Stated.DCVoltage.Known { // left out: none is relied on
		return false
	}
	power, from := Of[float64](c, c.Subject("submittal", c.m.Job), "ac_power"), c.named("690.7", "engineered from")
	return !c.Stop() && quantity.AtLeast(power, from)
}

func stringVoltage(c *Call, s *job.String) any {
	if c.engineered() {
		v := c.Q(c.m.Job.Stated.DCVoltage)
		c.line("by the engineer's calculation: %g V", v)
		return v
	}
	if !s.Converter.Known { // left out: none
		return c.coldVoltage(s)
	}
	c.Drive(s.Modules.At)
	code, t := c.nec(), c.converterOf(s)
	if c.Stop() || t == nil {
		return nil
	}
	if t.StringVoltage.Known {
		v, err := code.Rounded(t.StringVoltage.Value.SI)
		if err != nil {
			return c.Err(err)
		}
		c.line("the listed system holds the string at %g V", v)
		return v
	}
	n, most := Self[int](c, "converter_count"), c.Q(t.MaximumOutputVoltage)
	if c.Stop() {
		return nil
	}
	v, err := code.ConverterVoltage(n, most)
	if !c.took(v, v.Refs, err) {
		return nil
	}
	return v.Voltage
}

func longestString(c *Call, s *job.String) any {
	if s.Converter.Known || len(s.Extra) > 0 {
		return c.Fail("the longest string is computed for like modules without converters")
	}
	parts := c.parts(s)
	limit := min(Self[float64](c, "code_voltage_limit"), Self[float64](c, "module_voltage_limit"), c.inverterLimit(s))
	if c.Stop() {
		return nil
	}
	one := c.series(parts[0].t, 1)
	if c.Stop() {
		return nil
	}
	l, err := c.nec().LongestString(one.Voc, one.Factor, limit)
	if !c.took(l, l.Refs, err) {
		return nil
	}
	return l.Modules
}

// inverterLimit is the largest input voltage of the inverter of a string.
func (c *Call) inverterLimit(s *job.String) float64 {
	Get(c, s.Inverter)
	if i, ok := c.m.Job.InverterOf(s); ok {
		if t, ok := c.m.Job.InverterTypeOf(i); ok {
			return c.Q(t.MaximumInputVoltage)
		}
	}
	return 0
}

func hotVoltage(c *Call, s *job.String) any {
	c.Drive(s.Modules.At)
	code, a := c.nec(), c.arrayOf(s)
	if a == nil {
		return nil
	}
	high := c.Q(c.m.Job.Site.DesignHigh)
	rise := c.cellRise(a)
	var lines []worked
	sum := 0.0
	for _, p := range c.parts(s) {
		vmp, g := c.Q(p.t.Vmp), c.Q(p.t.VmpCoefficient)
		if c.Stop() {
			return nil
		}
		h, err := code.HotVoltage(vmp, p.n, high, rise, g)
		if err != nil {
			return c.Err(err)
		}
		c.out.Refs = append(c.out.Refs, h.Refs...)
		lines = append(lines, h)
		sum += h.Voltage
	}
	if c.Stop() {
		return nil
	}
	c.Explain(workOf(lines), nil)
	return sum
}

// cellRise is how far cells stand above the hot ambient temperature, by how
// the array stands: close to the roof, farther above it, or in the open.
func (c *Call) cellRise(a *job.Array) float64 {
	p, ok := c.m.Job.PlaneOf(a)
	if ok && p.Ground.Known && p.Ground.Value {
		return c.practice("cell-rise", "open", "rise")
	}
	gap := c.Q(a.StandOff)
	limit := c.practice("cell-rise", "close", "up to") * quantity.Inch
	if gap <= limit {
		return c.practice("cell-rise", "close", "rise")
	}
	return c.practice("cell-rise", "raised", "rise")
}

func workOf(list []worked) func(quantity.System) []string {
	return func(sys quantity.System) []string {
		var lines []string
		for _, w := range list {
			lines = append(lines, w.Work(sys)...)
		}
		return lines
	}
}

// dcCurrent is the direct current of strings in parallel.
type dcCurrent struct {
	at       job.Quantity // the value it hangs on most
	exact    float64      // maximum current before the edition's rounding
	maximum  float64      // the same, rounded as the edition has it
	required float64      // ampacity before conditions of use
	work     func(quantity.System) []string
}

// stringCurrent is the current of one string.
func (c *Call) stringCurrent(s *job.String) dcCurrent { return c.directCurrent([]*job.String{s}) }

// directCurrent sums strings in parallel: modules by 690.8(A), raised for
// irradiance; converters by the most that they give.
func (c *Call) directCurrent(strings []*job.String) dcCurrent {
	code := c.nec()
	var out dcCurrent
	var modules []float64
	converters, count := 0.0, 0
	gain, sameGain := 0.0, true
	for _, s := range strings {
		if s.Converter.Known { // left out: none
			if t := c.converterOf(s); t != nil {
				converters += c.Q(t.MaximumOutputCurrent)
				count++
				out.at = t.MaximumOutputCurrent
			}
			continue
		}
		isc, g := 0.0, 0.0
		for _, p := range c.parts(s) { // the largest module drives the string
			i, rear := c.Q(p.t.Isc), c.Q(p.t.RearGain)
			if i*(1+rear) >= isc*(1+g) {
				isc, g = i, rear
				out.at = p.t.Isc
			}
		}
		if len(modules) > 0 && g != gain {
			sameGain = false
		}
		gain = g
		modules = append(modules, isc)
	}
	if !sameGain {
		for i, s := range withoutConverters(strings) {
			modules[i] = Of[float64](c, c.Subject("string", s), "short_circuit")
		}
		gain = 0
	}
	factor := c.named("690.8", "continuous")
	if c.Stop() {
		return out
	}
	var lines []func(quantity.System) []string
	if len(modules) > 0 {
		i, err := code.CircuitCurrent(modules, gain)
		if err != nil {
			c.Err(err)
			return out
		}
		c.out.Refs = append(c.out.Refs, i.Refs...)
		out.exact = i.Sum * (1 + i.RearGain) * i.Irradiance
		out.maximum, out.required = i.Maximum, i.RequiredAmpacity
		lines = append(lines, i.Work)
	}
	if count > 0 {
		out.exact += converters
		out.maximum = c.rounded(out.exact)
		out.required = c.rounded(out.exact * factor)
		lines = append(lines, func(sys quantity.System) []string {
			return []string{fmt.Sprintf("most output of the converters of %d strings: %s; maximum current = %s, x %s = %s", count, ampere(converters, sys), ampere(out.exact, sys), number4(factor), ampere(out.required, sys))}
		})
	}
	out.work = func(sys quantity.System) []string {
		var all []string
		for _, l := range lines {
			all = append(all, l(sys)...)
		}
		return all
	}
	return out
}

func withoutConverters(strings []*job.String) []*job.String {
	var out []*job.String
	for _, s := range strings {
		if !s.Converter.Known {
			out = append(out, s)
		}
	}
	return out
}

// rounded rounds as the edition has it.
func (c *Call) rounded(x float64) float64 {
	code := c.nec()
	if code == nil {
		return 0
	}
	v, err := code.Rounded(x)
	if err != nil {
		c.Err(err)
	}
	return v
}

func ampere(x float64, sys quantity.System) string {
	return quantity.Of(x, quantity.Current).Format(sys)
}

func number4(x float64) string { return fmt.Sprintf("%.4g", x) }

// parallel lists the strings on the input of a string. A string that does not
// say where it goes could be among them, so it is asked for.
func (c *Call) parallel(s *job.String) []*job.String {
	inverter := Get(c, s.Inverter)
	single := false
	if i, ok := c.m.Job.InverterOf(s); ok {
		if t, ok := c.m.Job.InverterTypeOf(i); ok {
			single = t.Inputs.Known && t.Inputs.Value == 1
		}
	}
	input := 1
	if !single {
		input = Get(c, s.Input)
	}
	var list []*job.String
	for i := range c.m.Job.Strings {
		other := &c.m.Job.Strings[i]
		if Get(c, other.Inverter) != inverter {
			continue
		}
		if single || Get(c, other.Input) == input {
			list = append(list, other)
		}
	}
	return list
}

// stringFuse decides on the fuse of a string among those in parallel. Unlike
// strings count as if each drove the current of the largest.
func (c *Call) stringFuse(s *job.String) electrical.StringFuse {
	c.Drive(s.Fuse.At)
	code := c.nec()
	others := c.parallel(s)
	limit := Self[float64](c, "series_fuse_limit")
	most := 0.0
	for _, o := range others {
		if o.Converter.Known {
			if t := c.converterOf(o); t != nil {
				// What converters give is not raised for irradiance; taking it
				// for a short-circuit current errs to the safe side.
				most = max(most, c.Q(t.MaximumOutputCurrent))
			}
			continue
		}
		most = max(most, Of[float64](c, c.Subject("string", o), "short_circuit"))
	}
	if c.Stop() {
		return electrical.StringFuse{}
	}
	f, err := code.StringFuse(most, len(others), limit)
	c.took(f, f.Refs, err)
	return f
}
