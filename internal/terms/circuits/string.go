package circuits

import (
	"fmt"
	"math"

	"plumbrule/internal/electrical"
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/terms"
)

var _ = terms.Derive(stringKind, "is_mixed", terms.YesNo, "whether it has modules of several types", "the job", "",
	func(c *terms.Call, s *job.String) bool { return len(s.Extra) > 0 || len(parts(c, s)) > 1 })

var stringModuleCount = terms.Derive(stringKind, "module_count", terms.WholeNumber, "modules in series, of all types", "the job", "",
	func(c *terms.Call, s *job.String) int {
		n := terms.Get(c, s.Modules)
		for _, x := range s.Extra {
			n += x.Modules
		}
		terms.Drive(c, s.Modules)
		return n
	})

var stringConverterCount = terms.Derive(stringKind, "converter_count", terms.WholeNumber, "DC-to-DC converters in series", "the job", "",
	func(c *terms.Call, s *job.String) int {
		n, each := stringModuleCount.Of(c, s), terms.Get(c, s.ModulesEach)
		if c.Stop() {
			return 0
		}
		terms.Drive(c, s.Modules)
		return (n + each - 1) / each
	})

var stringPower = terms.Derive(stringKind, "power", terms.Quantity(quantity.Power), "rated power of its modules", "the job", "",
	func(c *terms.Call, s *job.String) float64 {
		sum := 0.0
		for _, p := range parts(c, s) {
			sum += float64(p.n) * c.Q(p.t.Power)
		}
		terms.Drive(c, s.Modules)
		return sum
	})

var _ = terms.Derive(stringKind, "voltage_method", terms.Word, "how its largest voltage is found: coefficient, table, converter or engineered", "NEC 690.7(A) and (B)", "",
	func(c *terms.Call, s *job.String) string {
		if terms.Stated(c, s.Converter) {
			return "converter"
		}
		if engineered(c) {
			return "engineered"
		}
		method := electrical.ByCoefficient
		for _, p := range parts(c, s) {
			if coldFactor(c, p.t).Method == electrical.ByTable {
				method = electrical.ByTable
			}
		}
		return method
	})

var stringMaximumVoltage = terms.Derive(stringKind, "maximum_voltage", terms.Quantity(quantity.Voltage), "largest voltage: of the modules in the cold, or of the converters", "NEC 690.7(A) and (B)", "cold-voltage", stringVoltage)

var _ = terms.Derive(stringKind, "module_voltage", terms.Quantity(quantity.Voltage), "open-circuit voltage of its modules in series in the cold, whatever converts it", "NEC 690.7(A)", "cold-voltage",
	func(c *terms.Call, s *job.String) float64 { return coldVoltage(c, s) })

var stringConverterInput = terms.Derive(stringKind, "converter_input_voltage", terms.Quantity(quantity.Voltage), "open-circuit voltage in the cold of the modules on each of its converters, in series", "NEC 690.7(A)", "cold-voltage",
	func(c *terms.Call, s *job.String) float64 {
		terms.Drive(c, s.Converter)
		each, most := terms.Get(c, s.ModulesEach), 0.0
		for _, p := range parts(c, s) {
			most = max(most, moduleTypeColdVoltage.Of(c, p.t))
		}
		line(c, "%d modules of %.4g V on each converter", each, most)
		return float64(each) * most
	})

var stringCodeVoltageLimit = terms.Derive(stringKind, "code_voltage_limit", terms.Quantity(quantity.Voltage), "largest voltage that the code allows by what its array and its circuits touch", "NEC 690.7", "", codeVoltageLimit)

var stringModuleVoltageLimit = terms.Derive(stringKind, "module_voltage_limit", terms.Quantity(quantity.Voltage), "smallest maximum system voltage of its module types", "NEC 690.7(D), 110.3(B)", "",
	func(c *terms.Call, s *job.String) float64 {
		return leastOfParts(c, s, func(t *job.ModuleType) job.Quantity { return t.MaximumVoltage })
	})

var _ = terms.Derive(stringKind, "connector_voltage_limit", terms.Quantity(quantity.Voltage), "smallest voltage rating of the connectors of its module types", "NEC 690.33, 110.3(B)", "",
	func(c *terms.Call, s *job.String) float64 {
		return leastOfParts(c, s, func(t *job.ModuleType) job.Quantity { return t.ConnectorVoltage })
	})

var stringSeriesFuseLimit = terms.Derive(stringKind, "series_fuse_limit", terms.Quantity(quantity.Current), "largest overcurrent device that its modules allow, or its converters where it has them", "NEC 690.9(A), 110.3(B)", "",
	func(c *terms.Call, s *job.String) float64 {
		if t, ok := terms.Seek(c, converterTypeKind, s.Converter); ok {
			terms.Drive(c, t.MaximumOvercurrent)
			return c.Q(t.MaximumOvercurrent)
		}
		return leastOfParts(c, s, func(t *job.ModuleType) job.Quantity { return t.MaximumFuse })
	})

var _ = terms.Derive(stringKind, "longest", terms.WholeNumber, "most like modules in series within the limits of the code, the inverter and the modules", "NEC 690.7(A)", "longest-string", longestString)

var _ = terms.Derive(stringKind, "hot_voltage", terms.Quantity(quantity.Voltage), "voltage at maximum power on a hot day", "common practice of string design; NEC 110.3(B)", "hot-voltage", hotVoltage)

var stringShutdown = terms.Derive(stringKind, "shutdown_voltage", terms.Quantity(quantity.Voltage), "voltage of its converters in series after shutdown", "NEC 690.12(B)", "",
	func(c *terms.Call, s *job.String) float64 {
		t := converterOf(c, s)
		n := stringConverterCount.Of(c, s)
		if t == nil {
			return 0
		}
		return float64(n) * c.Q(t.ShutdownVoltage)
	})

var stringShortCircuit = terms.Derive(stringKind, "short_circuit", terms.Quantity(quantity.Current), "largest rated short-circuit current of its modules, with the gain from the rear", "NEC 690.8(A)", "",
	func(c *terms.Call, s *job.String) float64 {
		most := 0.0
		for _, p := range parts(c, s) {
			most = max(most, moduleTypeMountedShortCircuit.Of(c, p.t))
		}
		return most
	})

var stringOperatingCurrent = terms.Derive(stringKind, "operating_current", terms.Quantity(quantity.Current), "current at maximum power: of the modules with the gain from the rear, or the most that the converters give", "the job", "",
	func(c *terms.Call, s *job.String) float64 {
		if terms.Stated(c, s.Converter) {
			return stringMaximumCurrent.Of(c, s)
		}
		most := 0.0
		for _, p := range parts(c, s) {
			most = max(most, c.Q(p.t.Imp)*(1+c.Q(p.t.RearGain)))
		}
		return most
	})

var stringMaximumCurrent = terms.Derive(stringKind, "maximum_current", terms.Quantity(quantity.Current), "largest current: of the modules raised for irradiance, or the most that the converters give", "NEC 690.8(A)", "circuit-current",
	func(c *terms.Call, s *job.String) float64 {
		i := stringCurrent(c, s)
		if c.Stop() {
			return 0
		}
		c.Explain(i.work, nil)
		terms.Drive(c, i.at)
		return i.maximum
	})

var _ = terms.Derive(stringKind, "parallel", terms.ListOf(stringKind), "strings on the same input of the same inverter, itself included", "the job", "",
	func(c *terms.Call, s *job.String) []*job.String {
		return parallel(c, s)
	})

var _ = terms.Derive(stringKind, "fuse_needed", terms.YesNo, "whether the other strings in parallel can drive more current into a fault than its conductors and its modules, or converters, withstand", "NEC 690.9(A)", "string-fuse",
	func(c *terms.Call, s *job.String) bool {
		f := stringFuse(c, s)
		if c.Stop() {
			return false
		}
		return f.Required
	})

var _ = terms.Derive(stringKind, "backfeed", terms.Quantity(quantity.Current), "current that the other strings in parallel can drive into a fault in it", "NEC 690.9(A)", "string-fuse",
	func(c *terms.Call, s *job.String) float64 {
		f := stringFuse(c, s)
		if c.Stop() {
			return 0
		}
		return f.Backfeed
	})

var _ = terms.Derive(stringKind, "backfeed_limit", terms.Quantity(quantity.Current), "current from the other strings that it bears without a fuse: the smaller of the ampacity of its conductors and the largest overcurrent device of its modules or converters", "NEC 690.9(A)", "string-fuse",
	func(c *terms.Call, s *job.String) float64 {
		f := stringFuse(c, s)
		if c.Stop() {
			return 0
		}
		return f.Limit
	})

var _ = terms.Derive(stringKind, "fuse_exists", terms.YesNo, "whether a standard fuse is large enough for it and small enough for its modules or converters", "NEC 690.9, 240.6(A)", "string-fuse",
	func(c *terms.Call, s *job.String) bool {
		f := stringFuse(c, s)
		if c.Stop() {
			return false
		}
		return f.Exists
	})

var _ = terms.Derive(stringKind, "fuse_smallest", terms.Quantity(quantity.Current), "smallest rating of its overcurrent device", "NEC 690.9(B)", "string-fuse",
	func(c *terms.Call, s *job.String) float64 {
		i := stringCurrent(c, s)
		factor := named(c, "690.9", "rating factor")
		code := nec(c)
		if c.Stop() {
			return 0
		}
		smallest, err := code.Rounded(i.exact * factor)
		if err != nil {
			c.Err(err)
			return 0
		}
		c.Explain(func(sys quantity.System) []string {
			return append(i.work(sys), fmt.Sprintf("smallest device = %s x %s = %s", ampere(i.exact, sys), number4(factor), ampere(smallest, sys)))
		}, nil)
		terms.Drive(c, i.at)
		return smallest
	})

// part is like modules of one type within a string.
type part struct {
	t *job.ModuleType
	n int
}

// parts lists the modules of a string by type.
func parts(c *terms.Call, s *job.String) []part {
	n := terms.Get(c, s.Modules)
	a := arrayOf(c, s)
	if a == nil {
		return nil
	}
	terms.Get(c, a.Module)
	t, ok := terms.Seek(c, moduleTypeKind, a.Module)
	if !ok {
		return nil
	}
	list := []part{{t, n}}
	more := func(t *job.ModuleType, n int) {
		for i := range list {
			if list[i].t == t {
				list[i].n += n
				return
			}
		}
		list = append(list, part{t, n})
	}
	for _, x := range s.Apart {
		a, ok := job.ByName(c.Job().Arrays, x.Array)
		if !ok {
			continue
		}
		terms.Get(c, a.Module)
		if t, ok := terms.Seek(c, moduleTypeKind, a.Module); ok {
			list[0].n -= x.Modules
			more(t, x.Modules)
		}
	}
	for _, x := range s.Extra {
		if t, ok := job.ByName(c.Job().ModuleTypes, x.Module); ok {
			more(t, x.Modules)
		}
	}
	return list
}

// arraysOf lists the arrays that the modules of a string belong to.
func arraysOf(c *terms.Call, s *job.String) []*job.Array {
	terms.Get(c, s.Array)
	terms.Stated(c, s.OtherArrays)
	var list []*job.Array
	for _, name := range s.Arrays() {
		if a, ok := terms.Seek(c, arrayKind, name); ok {
			list = append(list, a)
		}
	}
	return list
}

// modulesFrom is how many modules of a string belong to an array. Those of
// other types are of the array that the string names.
func modulesFrom(c *terms.Call, s *job.String, a *job.Array) int {
	own := terms.Get(c, s.Array) == a.Name.Value
	n := 0
	if own {
		n = stringModuleCount.Of(c, s)
	}
	terms.Stated(c, s.OtherArrays)
	for _, x := range s.Apart {
		switch {
		case x.Array == a.Name.Value:
			n += x.Modules
		case own:
			n -= x.Modules
		}
	}
	return n
}

var _ = terms.Derive(stringKind, "module_types", terms.ListOf(moduleTypeKind), "types of its modules", "the job", "",
	func(c *terms.Call, s *job.String) []*job.ModuleType {
		var list []*job.ModuleType
		for _, p := range parts(c, s) {
			list = append(list, p.t)
		}
		return list
	})

var _ = terms.Derive(stringKind, "faces_alike", terms.YesNo, "whether all its modules have the same slope and face the same way", "the job", "",
	func(c *terms.Call, s *job.String) bool {
		terms.Drive(c, s.OtherArrays)
		list, alike := arraysOf(c, s), true
		for _, a := range list[min(1, len(list)):] {
			alike = facesLike(c, list[0], a) && alike
		}
		return alike
	})

// facesLike is whether the modules of two arrays lie in the same direction.
func facesLike(c *terms.Call, a, b *job.Array) bool {
	like := func(x, y job.Quantity) bool { return quantity.Near(c.Q(x), c.Q(y)) }
	alike := like(a.Tilt, b.Tilt)
	if terms.Get(c, a.Plane) == terms.Get(c, b.Plane) {
		return alike && (c.Q(a.Tilt) == 0 || like(a.Rotation, b.Rotation))
	}
	p, ok := terms.Seek(c, planeKind, a.Plane)
	q, also := terms.Seek(c, planeKind, b.Plane)
	if !ok || !also || !alike {
		return false
	}
	turned := c.Q(a.Tilt) == 0 || like(a.Rotation, b.Rotation)
	return like(p.Slope, q.Slope) && like(p.Downslope, q.Downslope) && turned
}

var _ = terms.Derive(stringKind, "converter_hot_voltage", terms.Quantity(quantity.Voltage), "voltage at maximum power on a hot day of the modules on the converter that has the fewest", "common practice of string design; NEC 110.3(B)", "hot-voltage",
	func(c *terms.Call, s *job.String) float64 {
		terms.Drive(c, s.Converter)
		n, each := stringModuleCount.Of(c, s), terms.Get(c, s.ModulesEach)
		if c.Stop() {
			return 0
		}
		if rest := n % each; rest > 0 {
			each = rest
		}
		least := math.Inf(1)
		for _, p := range parts(c, s) {
			if h, ok := hotPart(c, s, part{p.t, each}); ok && h.Voltage < least {
				least = h.Voltage
				c.Explain(h.Work, h.Refs)
			}
		}
		if c.Stop() {
			return 0
		}
		return least
	})

func arrayOf(c *terms.Call, s *job.String) *job.Array {
	terms.Get(c, s.Array)
	a, ok := terms.Seek(c, arrayKind, s.Array)
	if !ok {
		return nil
	}
	return a
}

func converterOf(c *terms.Call, s *job.String) *job.ConverterType {
	terms.Get(c, s.Converter)
	t, ok := terms.Seek(c, converterTypeKind, s.Converter)
	if !ok {
		return nil
	}
	return t
}

func leastOfParts(c *terms.Call, s *job.String, rating func(*job.ModuleType) job.Quantity) float64 {
	least := math.Inf(1)
	for _, p := range parts(c, s) {
		r := rating(p.t)
		terms.Drive(c, r)
		least = min(least, c.Q(r))
	}
	if c.Stop() {
		return 0
	}
	return least
}

// coldVoltage sums the modules of a string.
func coldVoltage(c *terms.Call, s *job.String) float64 {
	terms.Drive(c, s.Modules)
	var series []electrical.Series
	for _, p := range parts(c, s) {
		series = append(series, alike(c, p.t, p.n))
	}
	if c.Stop() {
		return 0
	}
	v, err := nec(c).ColdVoltage(series...)
	if !took(c, v, v.Refs, err) {
		return 0
	}
	return v.Voltage
}

// engineered is whether the voltage of an engineer's calculation stands: one is
// stated, and the system is large enough for it.
func engineered(c *terms.Call) bool { return byEngineer(c, c.Job().Stated.DCVoltage, "690.7") }

// byEngineer is whether an engineer's value stands by a section of the code.
func byEngineer(c *terms.Call, value job.Quantity, section string) bool {
	if !terms.Stated(c, value) { // left out: none is relied on
		return false
	}
	power, from := submittalAcPower.Of(c, c.Job()), named(c, section, "engineered from")
	return !c.Stop() && quantity.AtLeast(power, from)
}

func stringVoltage(c *terms.Call, s *job.String) float64 {
	if engineered(c) {
		v := c.Q(c.Job().Stated.DCVoltage)
		line(c, "by the engineer's calculation: %g V", v)
		return v
	}
	if !terms.Stated(c, s.Converter) { // left out: none
		return coldVoltage(c, s)
	}
	terms.Drive(c, s.Modules)
	code, t := nec(c), converterOf(c, s)
	if c.Stop() || t == nil {
		return 0
	}
	if terms.Stated(c, t.StringVoltage) {
		v, err := code.Rounded(terms.Peek(c, t.StringVoltage).SI)
		if err != nil {
			c.Err(err)
			return 0
		}
		line(c, "the listed system holds the string at %g V", v)
		return v
	}
	n, most := stringConverterCount.Of(c, s), c.Q(t.MaximumOutputVoltage)
	if c.Stop() {
		return 0
	}
	v, err := code.ConverterVoltage(n, most)
	if !took(c, v, v.Refs, err) {
		return 0
	}
	return v.Voltage
}

func longestString(c *terms.Call, s *job.String) int {
	parts := parts(c, s)
	if terms.Stated(c, s.Converter) || len(s.Extra) > 0 || len(parts) > 1 {
		c.Fail("the longest string is computed for like modules without converters")
		return 0
	}
	limit := min(stringCodeVoltageLimit.Of(c, s), stringModuleVoltageLimit.Of(c, s), inverterLimit(c, s))
	if c.Stop() {
		return 0
	}
	one := alike(c, parts[0].t, 1)
	if c.Stop() {
		return 0
	}
	l, err := nec(c).LongestString(one.Voc, one.Factor, limit)
	if !took(c, l, l.Refs, err) {
		return 0
	}
	return l.Modules
}

// inverterLimit is the largest input voltage of the inverter of a string.
func inverterLimit(c *terms.Call, s *job.String) float64 {
	terms.Get(c, s.Inverter)
	if i, ok := terms.Seek(c, inverterKind, s.Inverter); ok {
		if t, ok := terms.Seek(c, inverterTypeKind, i.Type); ok {
			return c.Q(t.MaximumInputVoltage)
		}
	}
	return 0
}

func hotVoltage(c *terms.Call, s *job.String) float64 {
	terms.Drive(c, s.Modules)
	var lines []worked
	sum := 0.0
	for _, p := range parts(c, s) {
		h, ok := hotPart(c, s, p)
		if !ok {
			return 0
		}
		c.Cite(h.Refs...)
		lines = append(lines, h)
		sum += h.Voltage
	}
	if c.Stop() {
		return 0
	}
	c.Explain(workOf(lines), nil)
	return sum
}

// hotPart is the voltage at maximum power of like modules of a string on a hot
// day, with the rise of the hottest of its arrays.
func hotPart(c *terms.Call, s *job.String, p part) (electrical.HotVoltage, bool) {
	code, high, rise := nec(c), c.Q(c.Job().Site.DesignHigh), 0.0
	for _, a := range arraysOf(c, s) {
		rise = max(rise, cellRise(c, a))
	}
	vmp, g := c.Q(p.t.Vmp), c.Q(p.t.VmpCoefficient)
	if c.Stop() {
		return electrical.HotVoltage{}, false
	}
	h, err := code.HotVoltage(vmp, p.n, high, rise, g)
	if err != nil {
		c.Err(err)
		return h, false
	}
	return h, true
}

// cellRise is how far cells stand above the hot ambient temperature, by how
// the array stands: close to the roof, farther above it, or in the open.
func cellRise(c *terms.Call, a *job.Array) float64 {
	p, ok := terms.Seek(c, planeKind, a.Plane)
	if ok && terms.Get(c, p.Ground) {
		return terms.Practice(c, "cell-rise", "open", "rise")
	}
	gap := c.Q(a.StandOff)
	limit := terms.Practice(c, "cell-rise", "close", "up to")
	if gap <= limit {
		return terms.Practice(c, "cell-rise", "close", "rise")
	}
	return terms.Practice(c, "cell-rise", "raised", "rise")
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
func stringCurrent(c *terms.Call, s *job.String) dcCurrent { return directCurrent(c, []*job.String{s}) }

// directCurrent sums strings in parallel: modules by the engineer's calculation
// where it stands, otherwise as they are computed.
func directCurrent(c *terms.Call, strings []*job.String) dcCurrent {
	own := withoutConverters(c, strings)
	if len(own) == 0 || !byEngineer(c, c.Job().Stated.DCCurrent, "690.8") {
		return computedCurrent(c, strings)
	}
	var out dcCurrent
	if len(own) < len(strings) {
		out = computedCurrent(c, withConverters(c, strings))
	}
	one, factor := c.Q(c.Job().Stated.DCCurrent), named(c, "690.8", "continuous")
	if c.Stop() {
		return out
	}
	before := out.work
	out.at = c.Job().Stated.DCCurrent
	out.exact += float64(len(own)) * one
	out.maximum, out.required = rounded(c, out.exact), rounded(c, out.exact*factor)
	sum := out
	out.work = func(sys quantity.System) []string {
		var lines []string
		if before != nil {
			lines = before(sys)
		}
		return append(lines, fmt.Sprintf("by the engineer's calculation %d x %s; maximum current = %s, x %s = %s", len(own), ampere(one, sys), ampere(sum.maximum, sys), number4(factor), ampere(sum.required, sys)))
	}
	return out
}

var _ = terms.Derive(stringKind, "least_engineered_current", terms.Quantity(quantity.Current), "least that an engineer's calculation may give for its current: a share of what is computed for its modules", "NEC 690.8(A)", "circuit-current",
	func(c *terms.Call, s *job.String) float64 {
		i, share := computedCurrent(c, []*job.String{s}), named(c, "690.8", "engineered least")
		if c.Stop() {
			return 0
		}
		c.Explain(i.work, nil)
		terms.Drive(c, c.Job().Stated.DCCurrent)
		return i.exact * share
	})

// computedCurrent sums strings in parallel: modules by 690.8(A), raised for
// irradiance; converters by the most that they give.
func computedCurrent(c *terms.Call, strings []*job.String) dcCurrent {
	code := nec(c)
	var out dcCurrent
	var modules []float64
	converters, count := 0.0, 0
	gain, sameGain := 0.0, true
	for _, s := range strings {
		if terms.Stated(c, s.Converter) { // left out: none
			if t := converterOf(c, s); t != nil {
				converters += c.Q(t.MaximumOutputCurrent)
				count++
				out.at = t.MaximumOutputCurrent
			}
			continue
		}
		isc, g := 0.0, 0.0
		for _, p := range parts(c, s) { // the largest module drives the string
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
		for i, s := range withoutConverters(c, strings) {
			modules[i] = stringShortCircuit.Of(c, s)
		}
		gain = 0
	}
	factor := named(c, "690.8", "continuous")
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
		c.Cite(i.Refs...)
		out.exact = i.Sum * (1 + i.RearGain) * i.Irradiance
		out.maximum, out.required = i.Maximum, i.RequiredAmpacity
		lines = append(lines, i.Work)
	}
	if count > 0 {
		out.exact += converters
		out.maximum = rounded(c, out.exact)
		out.required = rounded(c, out.exact*factor)
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

func withoutConverters(c *terms.Call, strings []*job.String) []*job.String {
	var out []*job.String
	for _, s := range strings {
		if !terms.Stated(c, s.Converter) {
			out = append(out, s)
		}
	}
	return out
}

func withConverters(c *terms.Call, strings []*job.String) []*job.String {
	var out []*job.String
	for _, s := range strings {
		if terms.Stated(c, s.Converter) {
			out = append(out, s)
		}
	}
	return out
}

// rounded rounds as the edition has it.
func rounded(c *terms.Call, x float64) float64 {
	code := nec(c)
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

// stringsByInverter and the groupings beside it are made once for a job, so that
// what looks for the strings beside each string does not read all of them anew.
var stringsByInverter = terms.Analyse(submittalKind, "strings by the inverter that they feed", func(c *terms.Call, j *job.Job) map[string][]*job.String {
	groups := map[string][]*job.String{}
	for i := range j.Strings {
		s := &j.Strings[i]
		name := terms.Get(c, s.Inverter)
		groups[name] = append(groups[name], s)
	}
	return groups
})

var stringsByInput = terms.Analyse(inverterKind, "its strings by their input", func(c *terms.Call, i *job.Inverter) map[int][]*job.String {
	groups := map[int][]*job.String{}
	for _, s := range stringsByInverter.Of(c, c.Job())[i.Name.Value] {
		input := terms.Get(c, s.Input)
		groups[input] = append(groups[input], s)
	}
	return groups
})

var stringsByFuse = terms.Analyse(submittalKind, "strings by their fuse", func(c *terms.Call, j *job.Job) map[string][]*job.String {
	groups := map[string][]*job.String{}
	for i := range j.Strings {
		if s := &j.Strings[i]; terms.Stated(c, s.Fuse) {
			name := terms.Peek(c, s.Fuse)
			groups[name] = append(groups[name], s)
		}
	}
	return groups
})

var circuitsByDevice = terms.Analyse(submittalKind, "circuits by their overcurrent device", func(c *terms.Call, j *job.Job) map[string][]*job.Circuit {
	groups := map[string][]*job.Circuit{}
	for i := range j.Circuits {
		if x := &j.Circuits[i]; terms.Stated(c, x.Overcurrent) {
			name := terms.Peek(c, x.Overcurrent)
			groups[name] = append(groups[name], x)
		}
	}
	return groups
})

// parallel lists the strings on the input of a string. A string that does not
// say where it goes could be among them, so it is asked for.
func parallel(c *terms.Call, s *job.String) []*job.String {
	inverter := terms.Get(c, s.Inverter)
	if c.Stop() {
		return nil
	}
	i, found := terms.Seek(c, inverterKind, s.Inverter)
	if found {
		if t, ok := terms.Seek(c, inverterTypeKind, i.Type); ok && terms.Stated(c, t.Inputs) && terms.Peek(c, t.Inputs) == 1 {
			return stringsByInverter.Of(c, c.Job())[inverter]
		}
	}
	input := terms.Get(c, s.Input)
	if !found {
		return nil // the inverter is asked for
	}
	return stringsByInput.Of(c, i)[input]
}

// stringFuse decides on the fuse of a string among those in parallel. Unlike
// strings count as if each drove the current of the largest. The conductors are
// asked for only where the equipment bears the current.
func stringFuse(c *terms.Call, s *job.String) electrical.StringFuse {
	terms.Drive(c, s.Fuse)
	code := nec(c)
	others := parallel(c, s)
	if t, ok := terms.Seek(c, converterTypeKind, s.Converter); ok && len(others) == 1 && !c.Stop() && !terms.Stated(c, t.MaximumOvercurrent) {
		line(c, "no other string feeds its input")
		return electrical.StringFuse{}
	}
	in := electrical.StringFuseInput{Strings: len(others), MaximumOvercurrent: stringSeriesFuseLimit.Of(c, s), Ampacity: math.NaN()}
	for _, o := range others {
		if terms.Stated(c, o.Converter) {
			if t := converterOf(c, o); t != nil {
				// What converters give is not raised for irradiance: the
				// short-circuit current that comes to as much stands for it.
				in.ShortCircuit = max(in.ShortCircuit, c.Q(t.MaximumOutputCurrent)/named(c, "690.8", "irradiance"))
			}
			continue
		}
		in.ShortCircuit = max(in.ShortCircuit, stringShortCircuit.Of(c, o))
	}
	if c.Stop() {
		return electrical.StringFuse{}
	}
	f, err := code.StringFuse(in)
	if err == nil && !f.Required && len(others) > 1 {
		in.Ampacity = stringAmpacity(c, s)
		if c.Stop() {
			return electrical.StringFuse{}
		}
		f, err = code.StringFuse(in)
	}
	took(c, f, f.Refs, err)
	return f
}

// stringAmpacity is the smallest usable ampacity of the circuits that carry a
// string by itself; NaN where its wiring is part of listed equipment.
func stringAmpacity(c *terms.Call, s *job.String) float64 {
	least := math.Inf(1)
	for _, x := range carrying(c, s) {
		if list := terms.Get(c, x.Strings); terms.Get(c, x.Kind) == "source" && len(list) > 1 {
			continue
		}
		least = min(least, circuitUsableAmpacity.Of(c, x))
	}
	if !math.IsInf(least, 1) {
		return least
	}
	if !terms.Get(c, s.Factory) {
		c.Need(terms.Need{Why: "no circuit says what the conductors of " + s.Name.Value + " are", At: s.At})
	}
	return math.NaN()
}
