package quantity

import (
	"math"
	"strings"
)

// unit is one way to write a quantity: a written number x stands for
// (x + zero) x times / over in the base unit of the dimension. The size of the
// unit is kept as a fraction of whole numbers where there is one, so that a
// conversion rounds once: 39.4 in is 1.00076 m to the last digit.
type unit struct {
	dim         Dimension
	system      System
	times, over float64
	zero        float64  // what a temperature scale adds before it is scaled; 0 elsewhere
	names       []string // the name it is printed under, then the other spellings that are read
}

// newUnit makes the unit whose size in the base unit is given.
func newUnit(d Dimension, s System, size float64, names ...string) *unit {
	u := &unit{dim: d, system: s, names: names}
	u.times, u.over = fraction(size)
	return u
}

// from sets what a temperature scale adds before it is scaled.
func (u *unit) from(zero float64) *unit {
	u.zero = zero
	return u
}

// fraction writes x as times/over: over a power of ten for a decimal factor,
// over nine for the degree Fahrenheit, over one where neither is whole.
func fraction(x float64) (times, over float64) {
	for _, over := range []float64{1, 9, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8} {
		if times := math.Round(x * over); times > 0 && times/over == x {
			return times, over
		}
	}
	return x, 1
}

// either marks a unit that writers of both systems use, such as V or deg.
const either System = 255

// Two written forms are not a number with a unit behind it. Value.Unit names
// them as follows.
const (
	feetInches = "ft in" // 12 ft 6 in
	pitch      = ":12"   // 4:12, a rise over a run of 12
)

// Factors that the table needs beside those of dimension.go. The knot is the
// international one, 1852 m/h; the kelvin and the degree Celsius differ by
// 273.15 exactly (NIST SP 811, 2008, appendix B.8).
const (
	yard           = 3 * Foot
	ounce          = Pound / 16
	hour           = 3600.0
	knot           = 1852 / hour
	fahrenheitSize = 5.0 / 9.0
	celsiusZero    = 273.15
	absoluteZero   = -celsiusZero // degC
)

// units is every unit that is read. A spelling may stand under more than one
// dimension ("lb", "degF"): the wanted dimension decides, and where none is
// wanted the first line wins. The factors are those of NIST SP 811 (2008),
// appendix B.8; decimal prefixes are exact by definition.
var units = []*unit{
	newUnit(Ratio, either, 1, ""),
	newUnit(Ratio, either, 0.01, "%", "percent", "pct"),

	newUnit(Length, US, Inch, "in", `"`, "inch", "inches"),
	newUnit(Length, US, Foot, "ft", "'", "foot", "feet"),
	newUnit(Length, US, yard, "yd", "yard", "yards"),
	newUnit(Length, SI, 1e-3, "mm", "millimetre", "millimetres", "millimeter", "millimeters"),
	newUnit(Length, SI, 1e-2, "cm", "centimetre", "centimetres", "centimeter", "centimeters"),
	newUnit(Length, SI, 1, "m", "metre", "metres", "meter", "meters"),

	newUnit(Area, US, SquareInch, "in2", "sq in", "square inch", "square inches"),
	newUnit(Area, US, SquareFoot, "ft2", "sq ft", "sqft", "sf", "square foot", "square feet"),
	newUnit(Area, either, CircularMil, "cmil", "circular mil", "circular mils"),
	newUnit(Area, SI, 1e-6, "mm2", "sq mm"),
	newUnit(Area, SI, 1e-4, "cm2", "sq cm"),
	newUnit(Area, SI, 1, "m2", "sq m", "square metre", "square metres", "square meter", "square meters"),

	newUnit(Angle, either, 1, "deg", "degree", "degrees"),
	newUnit(Angle, either, 57.295779513082320876798154814105, "rad", "radian", "radians"), // 180/pi

	newUnit(Temperature, US, fahrenheitSize, "degF", "deg F", "F", "degrees F", "fahrenheit").from(-32),
	newUnit(Temperature, SI, 1, "degC", "deg C", "C", "degrees C", "celsius"),
	newUnit(Temperature, SI, 1, "K", "kelvin").from(-celsiusZero),

	newUnit(TemperatureDifference, US, fahrenheitSize, "degF", "deg F", "F", "degrees F", "delta degF", "delta F"),
	newUnit(TemperatureDifference, SI, 1, "degC", "deg C", "C", "degrees C", "delta degC", "delta C"),
	newUnit(TemperatureDifference, SI, 1, "K", "kelvin", "delta K"),

	newUnit(Voltage, either, 1, "V", "volt", "volts", "Vdc", "Vac", "VDC", "VAC"),
	newUnit(Voltage, either, 1e-3, "mV"),
	newUnit(Voltage, either, 1e3, "kV", "KV"),

	newUnit(Current, either, 1, "A", "amp", "amps", "ampere", "amperes", "Adc", "Aac"),
	newUnit(Current, either, 1e-3, "mA"),
	newUnit(Current, either, 1e3, "kA", "KA"),

	newUnit(Power, either, 1, "W", "watt", "watts", "Wdc", "Wac"),
	newUnit(Power, either, 1e3, "kW", "KW", "kWdc", "kWac"),
	newUnit(Power, either, 1e6, "MW"),
	newUnit(Power, either, 1, "VA"),
	newUnit(Power, either, 1e3, "kVA", "KVA"),

	newUnit(Pressure, US, PSF, "psf", "lb/ft2", "lbf/ft2", "lb/sq ft", "lbs/sq ft"),
	newUnit(Pressure, US, PSI, "psi", "lb/in2", "lbf/in2", "lb/sq in", "lbs/sq in"),
	newUnit(Pressure, US, KSI, "ksi", "kip/in2"),
	newUnit(Pressure, SI, 1, "Pa", "N/m2"),
	newUnit(Pressure, SI, 1e3, "kPa", "kN/m2"),
	newUnit(Pressure, SI, 1e6, "MPa", "N/mm2"),
	newUnit(Pressure, SI, StandardGravity, "kg/m2", "kgf/m2"), // a weight under standard gravity

	newUnit(Force, US, PoundForce, "lb", "lbs", "lbf", "pound", "pounds"),
	newUnit(Force, US, 1000*PoundForce, "kip", "kips"),
	newUnit(Force, SI, 1, "N", "newton", "newtons"),
	newUnit(Force, SI, 1e3, "kN"),
	newUnit(Force, SI, StandardGravity, "kgf"),

	newUnit(Mass, US, Pound, "lb", "lbs", "lbm", "pound", "pounds"),
	newUnit(Mass, US, ounce, "oz", "ounce", "ounces"),
	newUnit(Mass, SI, 1e-3, "g", "gram", "grams"),
	newUnit(Mass, SI, 1, "kg", "kilogram", "kilograms"),

	newUnit(Speed, US, MPH, "mph", "mi/h", "miles per hour"),
	newUnit(Speed, US, Foot, "ft/s", "fps"),
	newUnit(Speed, SI, 1, "m/s"),
	newUnit(Speed, SI, 1/3.6, "km/h", "kph"),
	newUnit(Speed, either, knot, "kn", "knot", "knots", "kt"),

	newUnit(Time, either, 1e-3, "ms"),
	newUnit(Time, either, 1, "s", "sec", "second", "seconds"),
	newUnit(Time, either, 60, "min", "minute", "minutes"),
	newUnit(Time, either, hour, "h", "hr", "hour", "hours"),

	newUnit(Torque, US, InchPound, "in-lb", "in-lbs", "in-lbf", "lb-in", "lbf-in", "inlb", "inch-pound", "inch-pounds"),
	newUnit(Torque, US, PoundForce*Foot, "ft-lb", "ft-lbs", "ft-lbf", "lb-ft", "lbf-ft", "ftlb", "foot-pound", "foot-pounds"),
	newUnit(Torque, US, 1000*InchPound, "in-kip", "kip-in", "k-in", "in-kips"),
	newUnit(Torque, US, 1000*PoundForce*Foot, "ft-kip", "kip-ft", "k-ft", "ft-kips"),
	newUnit(Torque, SI, 1, "N m", "Nm"),
	newUnit(Torque, SI, 1e3, "kN m", "kNm"),

	newUnit(Resistance, either, 1, "ohm", "ohms"),
	newUnit(Resistance, either, 1e-3, "mohm", "milliohm", "milliohms"),
	newUnit(Resistance, either, 1e3, "kohm", "kilohm", "kilohms"),

	newUnit(ForcePerLength, US, PoundPerInch, "lb/in", "lbs/in", "lbf/in", "pli"),
	newUnit(ForcePerLength, US, PoundPerFoot, "lb/ft", "lbs/ft", "lbf/ft", "plf"),
	newUnit(ForcePerLength, SI, 1, "N/m"),
	newUnit(ForcePerLength, SI, 1e3, "N/mm"),
	newUnit(ForcePerLength, SI, 1e3, "kN/m"),

	newUnit(ResistancePerLength, US, 1/(1000*Foot), "ohm/kft", "ohms/kft", "ohm/1000 ft"),
	newUnit(ResistancePerLength, US, 1/Foot, "ohm/ft", "ohms/ft"),
	newUnit(ResistancePerLength, SI, 1e-3, "ohm/km", "ohms/km"),
	newUnit(ResistancePerLength, SI, 1, "ohm/m", "ohms/m"),

	// Module data sheets state temperature coefficients per degree Celsius
	// whatever the system of the drawings, so these name no system.
	newUnit(VoltagePerTemperature, either, 1, "V/degC", "V/deg C", "V/C"),
	newUnit(VoltagePerTemperature, either, 1, "V/K"),
	newUnit(VoltagePerTemperature, either, 1e-3, "mV/degC", "mV/deg C", "mV/C"),
	newUnit(VoltagePerTemperature, either, 1e-3, "mV/K"),
	newUnit(VoltagePerTemperature, US, 1/fahrenheitSize, "V/degF", "V/deg F", "V/F"),
	newUnit(VoltagePerTemperature, US, 1e-3/fahrenheitSize, "mV/degF", "mV/deg F", "mV/F"),

	newUnit(RatioPerTemperature, either, 0.01, "%/degC", "%/deg C", "%/C"),
	newUnit(RatioPerTemperature, either, 0.01, "%/K"),
	newUnit(RatioPerTemperature, US, 0.01/fahrenheitSize, "%/degF", "%/deg F", "%/F"),
	newUnit(RatioPerTemperature, either, 1, "/degC", "/deg C", "/C", "1/degC", "1/deg C", "1/C"),
	newUnit(RatioPerTemperature, either, 1, "/K", "1/K"),
	newUnit(RatioPerTemperature, US, 1/fahrenheitSize, "/degF", "/deg F", "/F", "1/degF", "1/deg F", "1/F"),

	newUnit(CurrentPerTemperature, either, 1, "A/degC", "A/deg C", "A/C"),
	newUnit(CurrentPerTemperature, either, 1, "A/K"),
	newUnit(CurrentPerTemperature, either, 1e-3, "mA/degC", "mA/deg C", "mA/C"),
	newUnit(CurrentPerTemperature, either, 1e-3, "mA/K"),
	newUnit(CurrentPerTemperature, US, 1/fahrenheitSize, "A/degF", "A/deg F", "A/F"),
	newUnit(CurrentPerTemperature, US, 1e-3/fahrenheitSize, "mA/degF", "mA/deg F", "mA/F"),
}

// name is the spelling under which the unit is printed.
func (u *unit) name() string { return u.names[0] }

// base converts a written number to the base unit, and written converts back.
// No product is followed by a sum, which some machines would fuse and round
// differently from others.
func (u *unit) base(x float64) float64     { return (x + u.zero) * u.times / u.over }
func (u *unit) written(si float64) float64 { return si*u.over/u.times - u.zero }

// spellings finds the units that a spelling may mean. US units are found in
// any case (PSF, Ft); in metric ones a capital tells mega from milli.
var spellings, looseSpellings = index(units)

func index(units []*unit) (exact, loose map[string][]*unit) {
	exact, loose = map[string][]*unit{}, map[string][]*unit{}
	for _, u := range units {
		for _, n := range u.names {
			key := plain(n)
			exact[key] = append(exact[key], u)
			if u.system == US {
				lower := strings.ToLower(key)
				loose[lower] = append(loose[lower], u)
			}
		}
	}
	return exact, loose
}

// lookup gives every unit that text may mean, in the order of the table. A
// sign at either end belongs to no unit: 12'- lacks its inches.
func lookup(text string) []*unit {
	if found, ok := spellings[text]; ok {
		return found
	}
	if strings.Trim(text, "-*·⋅") != text {
		return nil
	}
	key := plain(text)
	if found, ok := spellings[key]; ok {
		return found
	}
	return looseSpellings[strings.ToLower(key)]
}

// unitOf gives the unit of dimension d that text names, or nil.
func unitOf(text string, d Dimension) *unit {
	for _, u := range lookup(text) {
		if u.dim == d {
			return u
		}
	}
	return nil
}

// plain brings the spellings of one unit together: signs become words, a
// product is written with a space ("in lb" for in-lb, in·lb and in*lb), and a
// quotient with a bare slash.
func plain(text string) string {
	text = strings.Join(strings.Fields(signs.Replace(text)), " ")
	text = strings.TrimSuffix(strings.ReplaceAll(text, ". ", " "), ".")
	return slashes.Replace(text)
}

var (
	signs = strings.NewReplacer(
		"°", "deg", "º", "deg", "˚", "deg", "℃", "degC", "℉", "degF",
		"²", "2", "^2", "2", "Ω", "ohm", "\u2126", "ohm", "Δ", "delta ",
		"·", " ", "⋅", " ", "*", " ", "-", " ", "/", " / ", " per ", " / ")
	slashes = strings.NewReplacer(" / ", "/", "/ ", "/", " /", "/")
)

// Units lists the units that are read for the dimension, each under the name
// it is printed with.
func (d Dimension) Units() []string {
	var list []string
	for _, u := range units {
		if u.dim == d && u.name() != "" {
			list = append(list, u.name())
		}
	}
	return list
}

// unitWords lists every spelling of the units of the given dimensions, for
// the offer of the nearest one.
func unitWords(wanted func(Dimension) bool) []string {
	var list []string
	for _, u := range units {
		if wanted(u.dim) {
			list = append(list, u.names...)
		}
	}
	return list
}

// Units lists the units that a dimension is written in, each under the name it
// is printed with; a ratio may also have none.
func Units(d Dimension) (names []string) {
	for _, u := range units {
		if u.dim == d && u.names[0] != "" {
			names = append(names, u.names[0])
		}
	}
	switch d {
	case Length:
		names = append(names, feetInches)
	case Angle:
		names = append(names, pitch)
	}
	return names
}
