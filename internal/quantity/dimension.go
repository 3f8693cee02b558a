// Package quantity holds dimensioned values: it reads what people write on
// drawings ("12 ft 6 in", "5/16 in", "-14 degF", "4:12"), keeps the value in
// one base unit for each dimension, and prints it back in the writer's own
// system of units.
//
// It knows units and dimensions only; it knows nothing of photovoltaics.
package quantity

import (
	"fmt"
	"math"
	"strings"
)

// Dimension is one kind of quantity. Values of different dimensions are never
// added, compared or printed as one another.
type Dimension uint8

// The dimensions, each with the base unit in which Value.SI is kept. Angles
// are kept in degrees and temperatures in degrees Celsius because the codes
// state their bands in those units, so a band edge stays exact.
const (
	Ratio                 Dimension = iota // plain fraction of one (33 % is 0.33)
	Length                                 // m
	Area                                   // m2
	Angle                                  // deg
	Temperature                            // degC, a point on the scale
	TemperatureDifference                  // K
	Voltage                                // V
	Current                                // A
	Power                                  // W (VA reads as the same dimension)
	Pressure                               // Pa; also weight or load per area
	Force                                  // N
	Mass                                   // kg
	Speed                                  // m/s
	Time                                   // s
	Torque                                 // N m
	Resistance                             // ohm
	ForcePerLength                         // N/m
	ResistancePerLength                    // ohm/m
	VoltagePerTemperature                  // V/K
	RatioPerTemperature                    // 1/K (percent per degree is 0.01/K)
	CurrentPerTemperature                  // A/K
	dimensionCount
)

// Exact conversion factors to the base units (NIST Special Publication 811,
// 2008, appendix B.8).
const (
	Inch            = 0.0254
	Foot            = 0.3048
	SquareFoot      = Foot * Foot
	SquareInch      = Inch * Inch
	CircularMil     = math.Pi / 4 * SquareInch * 1e-6
	Pound           = 0.45359237 // mass
	StandardGravity = 9.80665    // m/s2
	PoundForce      = Pound * StandardGravity
	PSF             = PoundForce / SquareFoot // Pa
	PSI             = PoundForce / SquareInch // Pa
	KSI             = 1000 * PSI
	MPH             = 0.44704           // m/s
	PoundPerInch    = PoundForce / Inch // N/m
	InchPound       = PoundForce * Inch // N m
	PoundPerFoot    = PoundForce / Foot // N/m
)

// nouns names each dimension in the trade's word, with a base unit and an
// example of how it is written.
var nouns = [dimensionCount]struct{ name, base, example string }{
	Ratio:                 {"ratio", "", "33 %"},
	Length:                {"length", "m", "12 ft"},
	Area:                  {"area", "m2", "21 ft2"},
	Angle:                 {"angle", "deg", "18.4 deg"},
	Temperature:           {"temperature", "degC", "-14 degF"},
	TemperatureDifference: {"temperature difference", "K", "30 degC"},
	Voltage:               {"voltage", "V", "600 V"},
	Current:               {"current", "A", "20 A"},
	Power:                 {"power", "W", "7.6 kW"},
	Pressure:              {"pressure", "Pa", "35 psf"},
	Force:                 {"force", "N", "500 lb"},
	Mass:                  {"mass", "kg", "48 lb"},
	Speed:                 {"speed", "m/s", "115 mph"},
	Time:                  {"time", "s", "30 s"},
	Torque:                {"torque", "N m", "20 in-lb"},
	Resistance:            {"resistance", "ohm", "25 ohm"},
	ForcePerLength:        {"force per length", "N/m", "266 lb/in"},
	ResistancePerLength:   {"resistance per length", "ohm/m", "1.24 ohm/kft"},
	VoltagePerTemperature: {"voltage per temperature", "V/K", "-138 mV/degC"},
	RatioPerTemperature:   {"ratio per temperature", "/K", "-0.28 %/degC"},
	CurrentPerTemperature: {"current per temperature", "A/K", "5 mA/degC"},
}

// Dimensions lists every dimension.
func Dimensions() []Dimension {
	list := make([]Dimension, dimensionCount)
	for i := range list {
		list[i] = Dimension(i)
	}
	return list
}

// DimensionByName finds a dimension by its trade name, as String gives it.
func DimensionByName(name string) (Dimension, bool) {
	for d := range dimensionCount {
		if nouns[d].name == name {
			return d, true
		}
	}
	return 0, false
}

// String is the trade name: "length", "temperature difference".
func (d Dimension) String() string {
	if d >= dimensionCount {
		return fmt.Sprintf("unknown dimension %d", d)
	}
	return nouns[d].name
}

// BaseUnit is the unit of Value.SI, "" for a ratio.
func (d Dimension) BaseUnit() string {
	if d >= dimensionCount {
		return ""
	}
	return nouns[d].base
}

// Example is a value of the dimension as a job would write it.
func (d Dimension) Example() string {
	if d >= dimensionCount {
		return ""
	}
	return nouns[d].example
}

// withArticle is the name in a sentence: "a length", "an area".
func (d Dimension) withArticle() string {
	if strings.HasPrefix(d.String(), "a") || strings.HasPrefix(d.String(), "u") {
		return "an " + d.String()
	}
	return "a " + d.String()
}
