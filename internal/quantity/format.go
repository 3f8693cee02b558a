package quantity

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// step is one unit of the scale in which a dimension is printed.
type step struct {
	below  float64 // used for magnitudes below this, in the base unit
	unit   string
	places int // decimals at most; below one, three significant digits are kept
}

var always = math.Inf(1)

// scales gives the units the trade prints each dimension in. US says inches
// up to 8 ft, as modules, spans and pathways are given in inches.
var scales = map[System]map[Dimension][]step{
	US: {
		Length:                {{Inch, "in", 4}, {8 * Foot, "in", 2}, {always, "ft", 2}},
		Area:                  {{SquareInch, "in2", 4}, {SquareFoot, "in2", 2}, {always, "ft2", 2}},
		Temperature:           {{always, "degF", 1}},
		TemperatureDifference: {{always, "degF", 1}},
		Pressure:              {{100 * PSI, "psf", 2}, {10 * KSI, "psi", 0}, {always, "ksi", 1}},
		Force:                 {{always, "lb", 1}},
		Mass:                  {{always, "lb", 1}},
		Speed:                 {{always, "mph", 1}},
		Torque:                {{always, "in-lb", 1}},
		ForcePerLength:        {{always, "lb/in", 2}},
		ResistancePerLength:   {{always, "ohm/kft", 4}},
	},
	SI: {
		Length:                {{1, "mm", 1}, {always, "m", 3}},
		Area:                  {{0.01, "mm2", 1}, {always, "m2", 3}},
		Temperature:           {{always, "degC", 1}},
		TemperatureDifference: {{always, "degC", 1}},
		Pressure:              {{1e6, "kPa", 3}, {always, "MPa", 1}},
		Force:                 {{1e4, "N", 1}, {always, "kN", 2}},
		Mass:                  {{always, "kg", 2}},
		Speed:                 {{always, "m/s", 1}},
		Torque:                {{always, "N m", 2}},
		ForcePerLength:        {{always, "N/mm", 2}},
		ResistancePerLength:   {{always, "ohm/km", 4}},
	},
	either: {
		Ratio:                 {{1, "%", 2}, {always, "", 4}},
		Angle:                 {{always, "deg", 1}},
		Voltage:               {{always, "V", 2}},
		Current:               {{always, "A", 2}},
		Power:                 {{1e4, "W", 1}, {1e7, "kW", 2}, {always, "MW", 2}},
		Time:                  {{120, "s", 1}, {7200, "min", 1}, {always, "h", 1}},
		Resistance:            {{1, "mohm", 2}, {always, "ohm", 3}},
		VoltagePerTemperature: {{always, "mV/degC", 2}},
		RatioPerTemperature:   {{always, "%/degC", 3}},
		CurrentPerTemperature: {{always, "mA/degC", 2}},
	},
}

// percent is the scale of a ratio whose writer used percent.
var percent = []step{{always, "%", 2}}

// Format prints the value in the usual trade unit of the system, rounded as
// the trade rounds; it reads back as the same value within that rounding. A
// ratio under one is printed as a percentage, a larger one too if it was
// written so.
func (v Value) Format(sys System) string {
	if v.Dim == Ratio && v.Unit == "%" {
		return v.print(percent)
	}
	if scale, ok := scales[sys][v.Dim]; ok {
		return v.print(scale)
	}
	return v.print(scales[either][v.Dim])
}

// print uses the first step of the scale that is large enough. A value that no
// step holds is not a finite number, or has no dimension of this package.
func (v Value) print(scale []step) string {
	if v.Unit == "" && math.Abs(v.SI) <= dust { // computed: what rounding leaves of a zero
		v.SI = 0
	}
	for _, s := range scale {
		if math.Abs(v.SI) < s.below {
			return join(round(unitOf(s.unit, v.Dim).written(v.SI), s.places), s.unit)
		}
	}
	return "undefined"
}

// String prints the value in the unit it was written in, to eight significant
// digits, and a computed value as Format(SI) does.
func (v Value) String() string {
	if v.Unit == "" && v.Dim != Ratio {
		return v.Format(SI)
	}
	switch x, err := v.In(v.Unit); {
	case err != nil, !finite(x):
		return v.Format(SI)
	case v.Unit == pitch:
		return significant(x) + pitch
	case v.Unit == feetInches:
		return inFeetInches(v.SI)
	default:
		return join(significant(x), v.Unit)
	}
}

// In gives the magnitude in a unit of the value's dimension, read in any
// spelling that Parse reads. Value.Unit is such a unit; for feet and inches
// the magnitude is in feet, for a rise over a run it is the rise over 12.
func (v Value) In(unit string) (float64, error) {
	switch {
	case unit == pitch && v.Dim == Angle:
		return 12 * math.Tan(v.SI*math.Pi/180), nil
	case unit == feetInches && v.Dim == Length:
		unit = "ft"
	}
	if u := unitOf(unit, v.Dim); u != nil {
		return u.written(v.SI), nil
	}
	r := reader{text: unit, want: v.Dim}
	_, err := r.unknownUnit(unit)
	if found := lookup(unit); found != nil {
		_, err = r.wrongDimension(unit, found[0].dim)
	}
	return 0, err
}

// System gives the system of the unit the value was written in; false for a
// computed value and for a unit that both systems use, such as V or %.
func (v Value) System() (System, bool) {
	if v.Unit == pitch || v.Unit == feetInches {
		return US, true
	}
	if u := unitOf(v.Unit, v.Dim); u != nil && u.system != either {
		return u.system, true
	}
	return US, false
}

// inFeetInches prints a length as "12 ft 6 in", the inches to a thousandth.
func inFeetInches(si float64) string {
	const places = 1000
	total := math.Round(math.Abs(si)/Inch*places) / places
	feet := math.Floor(total / 12)
	inches := trim(strconv.FormatFloat(total-12*feet, 'f', 3, 64))
	sign := ""
	if si < 0 && total > 0 {
		sign = "-"
	}
	if feet == 0 {
		return sign + inches + " in"
	}
	return fmt.Sprintf("%s%.0f ft %s in", sign, feet, inches)
}

// round prints x with at most the given decimals. A magnitude below one keeps
// three significant digits, so that a sheet 0.0179 in thick is not 0.02 in.
func round(x float64, places int) string {
	if size := math.Abs(x); size > 0 && size < 1 {
		places = max(places, 2-int(math.Floor(math.Log10(size))))
	}
	return digitsOf(x, places)
}

// significant prints x to eight significant digits, whole parts always whole.
func significant(x float64) string {
	const most = 8
	places := most
	if size := math.Abs(x); size > 0 {
		places = max(0, most-1-int(math.Floor(math.Log10(size))))
	}
	return digitsOf(x, places)
}

// digitsOf prints x with the given decimals, less trailing zeros, and in
// powers of ten where that takes too many figures.
func digitsOf(x float64, places int) string {
	if places > 12 || math.Abs(x) > largest {
		return strconv.FormatFloat(x, 'g', 8, 64)
	}
	return trim(strconv.FormatFloat(x, 'f', places, 64))
}

// trim takes off the zeros behind the point and the sign of a zero.
func trim(text string) string {
	if strings.Contains(text, ".") {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	if text == "-0" {
		return "0"
	}
	return text
}

func join(number, unit string) string {
	if unit == "" {
		return number
	}
	return number + " " + unit
}
