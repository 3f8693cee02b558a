package electrical

import (
	"fmt"
	"math"

	"plumbrule/internal/quantity"
	"plumbrule/internal/table"
)

// ratedTemperature is the cell temperature at which modules are rated: the
// standard test condition of 25 degC (IEC 60904-3, 2019, section 4).
const ratedTemperature = 25.0

// The ways to find the factor of ColdFactor.
const (
	ByCoefficient = "coefficient"
	ByTable       = "table"
)

// ColdFactor is the factor on the rated open-circuit voltage of a module at
// the lowest expected ambient temperature.
type ColdFactor struct {
	Basis
	RecordLow   float64 // degC
	Coefficient float64 // 1/K; NaN by table
	Method      string  // ByCoefficient or ByTable
	Band        string  // band of the table; empty by coefficient
	Value       float64
}

// ColdByCoefficient gives the factor 1 + b (T - 25 degC) from the module's
// coefficient b of open-circuit voltage in 1/K, which is negative, at the
// record low T in degC. Above 25 degC the factor is 1, as the rated voltage is
// reached at rated temperature. Source: NEC 690.7(A)(1).
func (c *Code) ColdByCoefficient(recordLow, coefficient float64) (ColdFactor, error) {
	r := c.reader()
	r.needFinite("the record low temperature", recordLow)
	r.needFinite("the coefficient of open-circuit voltage", coefficient)
	if r.err == nil && coefficient > 0 {
		r.fail(outside("the coefficient of open-circuit voltage is negative for a voltage that rises in the cold, not %s", perK(coefficient)))
	}
	return ColdFactor{
		Basis:       Basis{[]table.Ref{{Code: code, Edition: c.Edition, Section: "690.7(A)(1)", Provenance: table.Published}}},
		RecordLow:   recordLow,
		Coefficient: coefficient,
		Method:      ByCoefficient,
		Value:       max(1, 1+coefficient*(recordLow-ratedTemperature)),
	}, r.err
}

// ColdByTable gives the factor for crystalline silicon modules from the table
// of whole-degree bands. A temperature between two bands takes the colder one,
// 25 degC and above give 1, and below the coldest band there is no value.
// Source: NEC Table 690.7(A).
func (c *Code) ColdByTable(recordLow float64) (ColdFactor, error) {
	r := c.reader()
	r.needFinite("the record low temperature", recordLow)
	f := ColdFactor{RecordLow: recordLow, Coefficient: math.NaN(), Method: ByTable, Value: 1}
	t := r.table(tableColdFactor)
	if r.err != nil {
		return f, r.err
	}
	if recordLow >= ratedTemperature {
		r.use(t, "")
		f.Basis = r.basis()
		return f, nil
	}
	for _, row := range t.Rows { // from warm to cold
		if low, ok := t.Quantity(row.Key, "cold end"); ok && quantity.AtLeast(recordLow, low) {
			f.Value = orNaN(t.Number(row.Key, "factor"))
			f.Band = row.Key
			r.use(t, row.Key)
			f.Basis = r.basis()
			return f, nil
		}
	}
	return f, outside("%s %s has no factor for %s", t.Code, t.Section, degC(recordLow))
}

// Work gives the calculation of the factor.
func (f ColdFactor) Work(quantity.System) []string {
	switch {
	case f.Method == ByCoefficient && f.RecordLow > ratedTemperature:
		return []string{fmt.Sprintf("record low %s is above %s: factor 1", degC(f.RecordLow), degC(ratedTemperature))}
	case f.Method == ByCoefficient:
		return []string{fmt.Sprintf("factor = 1 + (%s) x (%s - %s) = %s", perK(f.Coefficient), degC(f.RecordLow), degC(ratedTemperature), factor(f.Value))}
	case f.Band == "":
		return []string{fmt.Sprintf("record low %s is not below %s: factor 1", degC(f.RecordLow), degC(ratedTemperature))}
	}
	return []string{fmt.Sprintf("factor for %s, in the band %s degC = %s", degC(f.RecordLow), f.Band, factor(f.Value))}
}

// Series is like modules in series within a string.
type Series struct {
	Voc     float64 // rated open-circuit voltage of one module, V
	Modules int
	Factor  ColdFactor
}

// StringVoltage is the largest open-circuit voltage of a string.
type StringVoltage struct {
	Basis
	Series  []Series
	Exact   float64 // V, before the edition's rounding
	Voltage float64 // V
}

// ColdVoltage sums the cold open-circuit voltages of modules in series; a
// string of unlike modules has one Series for each type. Source: NEC 690.7(A);
// rounding 690.4(G) from 2026.
func (c *Code) ColdVoltage(series ...Series) (StringVoltage, error) {
	r := c.reader()
	v := StringVoltage{Series: series}
	if len(series) == 0 {
		r.fail(outside("a string has at least one module"))
	}
	for _, s := range series {
		r.need("the open-circuit voltage", s.Voc)
		r.needCount("the count of modules", s.Modules)
		r.need("the factor for cold", s.Factor.Value)
		r.refs = append(r.refs, s.Factor.Refs...)
		v.Exact += float64(s.Modules) * s.Voc * s.Factor.Value
	}
	v.Voltage = r.rounded(v.Exact)
	v.Basis = r.basis()
	return v, r.err
}

// Work gives the calculation.
func (v StringVoltage) Work(sys quantity.System) []string {
	var lines []string
	for _, s := range v.Series {
		lines = append(lines, s.Factor.Work(sys)...)
		lines = append(lines, fmt.Sprintf("%d modules x %s x %s = %s", s.Modules, volts(s.Voc), factor(s.Factor.Value), volts(float64(s.Modules)*s.Voc*s.Factor.Value)))
	}
	if len(v.Series) > 1 {
		lines = append(lines, "sum = "+volts(v.Exact))
	}
	return append(lines, roundingWork("voltage", v.Exact, v.Voltage, volts)...)
}

func roundingWork(what string, exact, rounded float64, f func(float64) string) []string {
	if exact == rounded {
		return nil
	}
	return []string{fmt.Sprintf("%s rounded to the nearest whole number: %s -> %s", what, f(exact), f(rounded))}
}

// LongestString is the most modules that keep within a voltage limit.
type LongestString struct {
	StringVoltage         // at Modules; zero voltage where not even one module fits
	Limit         float64 // V
	Modules       int
}

// LongestString gives the most like modules in series whose cold voltage does
// not exceed limit, in V. Not even one is a valid answer: Modules is then 0.
// Source: NEC 690.7(A).
func (c *Code) LongestString(voc float64, f ColdFactor, limit float64) (LongestString, error) {
	r := c.reader()
	r.need("the open-circuit voltage", voc)
	r.need("the factor for cold", f.Value)
	r.need("the voltage limit", limit)
	if r.err != nil {
		return LongestString{}, r.err
	}
	one, err := c.ColdVoltage(Series{voc, 1, f})
	longest := LongestString{Limit: limit, StringVoltage: StringVoltage{Basis: one.Basis, Series: []Series{{voc, 0, f}}}}
	// Rounding may let one more module pass than the plain quotient.
	for n := int(limit / (voc * f.Value)); err == nil; n++ {
		if n < 1 {
			continue
		}
		var v StringVoltage
		v, err = c.ColdVoltage(Series{voc, n, f})
		if err != nil || !quantity.AtMost(v.Voltage, limit) {
			break
		}
		longest.StringVoltage, longest.Modules = v, n
	}
	return longest, err
}

// Work gives the calculation.
func (l LongestString) Work(sys quantity.System) []string {
	s := l.Series[0]
	one := s.Voc * s.Factor.Value
	lines := append(s.Factor.Work(sys),
		fmt.Sprintf("%s x %s = %s for one module", volts(s.Voc), factor(s.Factor.Value), volts(one)),
		fmt.Sprintf("%s / %s = %s, so %d modules", volts(l.Limit), volts(one), plain(l.Limit/one, 2), l.Modules))
	if l.Modules > 0 {
		lines = append(lines, fmt.Sprintf("%d x %s = %s", l.Modules, volts(one), volts(l.Exact)))
	}
	return append(lines, roundingWork("voltage", l.Exact, l.Voltage, volts)...)
}

// HotVoltage is the voltage at maximum power of a string on a hot day.
type HotVoltage struct {
	Basis
	Vmp, AmbientHigh, Rise, Coefficient float64
	Modules                             int
	CellTemperature                     float64 // degC
	Voltage                             float64 // V
}

// HotVoltage gives the voltage at maximum power of modules in series when the
// cells stand rise (K) above the hot ambient temperature (degC):
// n Vmp (1 + g (T - 25 degC)), with the coefficient g in 1/K. Practice of
// string design; the code asks only that the maker's window be kept
// (NEC 110.3(B)).
func (c *Code) HotVoltage(vmp float64, modules int, ambientHigh, rise, coefficient float64) (HotVoltage, error) {
	r := c.reader()
	r.need("the voltage at maximum power", vmp)
	r.needCount("the count of modules", modules)
	r.needFinite("the hot ambient temperature", ambientHigh)
	r.needFinite("the coefficient of voltage at maximum power", coefficient)
	if r.needFinite("the rise of cell temperature", rise); r.err == nil && rise < 0 {
		r.fail(outside("cells in the sun are no colder than the air; a rise of %v is not possible", rise))
	}
	h := HotVoltage{Vmp: vmp, Modules: modules, AmbientHigh: ambientHigh, Rise: rise, Coefficient: coefficient, CellTemperature: ambientHigh + rise}
	h.Basis = Basis{[]table.Ref{{Code: code, Edition: c.Edition, Section: "110.3(B)", Provenance: table.Published}}}
	h.Voltage = float64(modules) * vmp * (1 + coefficient*(h.CellTemperature-ratedTemperature))
	if r.err == nil && !(h.Voltage > 0) {
		r.fail(outside("the voltage falls to zero at %s", degC(h.CellTemperature)))
	}
	return h, r.err
}

// Work gives the calculation.
func (h HotVoltage) Work(quantity.System) []string {
	return []string{
		fmt.Sprintf("cell temperature = %s + %s K = %s", degC(h.AmbientHigh), plain(h.Rise, 1), degC(h.CellTemperature)),
		fmt.Sprintf("%d x %s x (1 + (%s) x (%s - %s)) = %s", h.Modules, volts(h.Vmp), perK(h.Coefficient), degC(h.CellTemperature), degC(ratedTemperature), volts(h.Voltage)),
	}
}

// ConverterVoltage is the largest voltage of DC-to-DC converters in series.
type ConverterVoltage struct {
	Basis
	Converters    int
	MaximumOutput float64 // V, of one converter
	Exact         float64 // V
	Voltage       float64 // V
}

// ConverterVoltage sums the largest rated outputs of converters in series.
// Where the converters' instructions state the voltage that the string is held
// at, that value stands instead of this sum. Source: NEC 690.7(B).
func (c *Code) ConverterVoltage(converters int, maximumOutput float64) (ConverterVoltage, error) {
	r := c.reader()
	r.needCount("the count of converters", converters)
	r.need("the largest output voltage", maximumOutput)
	v := ConverterVoltage{Converters: converters, MaximumOutput: maximumOutput, Exact: float64(converters) * maximumOutput}
	r.refs = append(r.refs, table.Ref{Code: code, Edition: c.Edition, Section: "690.7(B)", Provenance: table.Published})
	v.Voltage = r.rounded(v.Exact)
	v.Basis = r.basis()
	return v, r.err
}

// Work gives the calculation.
func (v ConverterVoltage) Work(quantity.System) []string {
	lines := []string{fmt.Sprintf("%d converters x %s = %s", v.Converters, volts(v.MaximumOutput), volts(v.Exact))}
	return append(lines, roundingWork("voltage", v.Exact, v.Voltage, volts)...)
}

// Rounded rounds a computed voltage or current as the edition has it, so that
// values computed elsewhere are held against a limit in the same way. Source:
// NEC 690.4(G) from 2026; before, a value stands as computed.
func (c *Code) Rounded(x float64) (float64, error) {
	r := c.reader()
	r.needFinite("the value", x)
	return r.rounded(x), r.err
}

// Places that limit the voltage of direct-current circuits.
const (
	OnDwelling = "dwelling" // on or in a one- or two-family dwelling
	OnBuilding = "building" // on or in another building
	OnGround   = "ground"   // neither on nor in a building
)

// VoltageLimit gives the largest voltage, in V, of photovoltaic direct-current
// circuits by place. Every part of a circuit has its own rating besides.
// Source: NEC 690.7.
func (c *Code) VoltageLimit(place string) (float64, Basis, error) {
	r := c.reader()
	if place != OnDwelling && place != OnBuilding && place != OnGround {
		r.fail(outside("place %q is none of dwelling, building, ground", place))
	}
	v := r.amount(tableVoltage, place+" limit")
	return v, r.basis(), r.err
}

// EngineeredVoltage takes the voltage that a licensed engineer's document
// gives for an array of a rated power in W. Below the code's power such a
// document does not stand. Source: NEC 690.7(A)(3).
func (c *Code) EngineeredVoltage(power, documented float64) (StringVoltage, error) {
	r := c.reader()
	r.need("the power of the array", power)
	r.need("the documented voltage", documented)
	from := r.amount(tableVoltage, "engineered from")
	if r.err == nil && !quantity.AtLeast(power, from) {
		r.fail(outside("an engineer's voltage needs an array of %s kW or more", plain(from/kilowatt, 0)))
	}
	v := StringVoltage{Exact: documented, Voltage: r.rounded(documented)}
	v.Basis = r.basis()
	return v, r.err
}

const kilowatt = 1000 // W
