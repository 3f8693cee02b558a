package quantity

import "math"

// exponents are the powers of metre, kilogram, second, ampere and kelvin that
// make up a dimension.
type exponents struct{ m, kg, s, a, k int8 }

func (e exponents) plus(f exponents) exponents {
	return exponents{e.m + f.m, e.kg + f.kg, e.s + f.s, e.a + f.a, e.k + f.k}
}

func (e exponents) minus(f exponents) exponents {
	return exponents{e.m - f.m, e.kg - f.kg, e.s - f.s, e.a - f.a, e.k - f.k}
}

// composition gives the exponents of every dimension that can be multiplied.
// Two are left out: a temperature is a point on a scale, and an angle would
// be taken for a ratio.
var composition = map[Dimension]exponents{
	Ratio:                 {},
	Length:                {m: 1},
	Area:                  {m: 2},
	TemperatureDifference: {k: 1},
	Voltage:               {m: 2, kg: 1, s: -3, a: -1},
	Current:               {a: 1},
	Power:                 {m: 2, kg: 1, s: -3},
	Pressure:              {m: -1, kg: 1, s: -2},
	Force:                 {m: 1, kg: 1, s: -2},
	Mass:                  {kg: 1},
	Speed:                 {m: 1, s: -1},
	Time:                  {s: 1},
	Torque:                {m: 2, kg: 1, s: -2},
	Resistance:            {m: 2, kg: 1, s: -3, a: -2},
	ForcePerLength:        {kg: 1, s: -2},
	ResistancePerLength:   {m: 1, kg: 1, s: -3, a: -2},
	VoltagePerTemperature: {m: 2, kg: 1, s: -3, a: -1, k: -1},
	RatioPerTemperature:   {k: -1},
	CurrentPerTemperature: {a: 1, k: -1},
}

// composed finds the dimension that has the given exponents.
var composed = func() map[exponents]Dimension {
	found := make(map[exponents]Dimension, len(composition))
	for d, e := range composition {
		found[e] = d
	}
	return found
}()

// Product gives the dimension of a x b, and false where it has none here.
func Product(a, b Dimension) (Dimension, bool) {
	switch {
	case a == Angle && b == Ratio, a == Ratio && b == Angle:
		return Angle, true
	}
	return combine(a, b, exponents.plus)
}

// Quotient gives the dimension of a / b, and false where it has none here.
func Quotient(a, b Dimension) (Dimension, bool) {
	switch {
	case a == Angle && b == Ratio:
		return Angle, true
	case a == Angle && b == Angle:
		return Ratio, true
	}
	return combine(a, b, exponents.minus)
}

func combine(a, b Dimension, join func(_, _ exponents) exponents) (Dimension, bool) {
	ea, oka := composition[a]
	eb, okb := composition[b]
	result, ok := composed[join(ea, eb)]
	if !oka || !okb || !ok || isEnergy(a, b, result) {
		return 0, false
	}
	return result, true
}

// isEnergy reports whether a product or quotient of power, time and torque is
// meant. Power x time is an energy: it has the exponents of a torque and is
// none.
func isEnergy(dims ...Dimension) bool {
	var power, torque bool
	for _, d := range dims {
		power = power || d == Power
		torque = torque || d == Torque
	}
	return power && torque
}

// Sum gives the dimension of a + b: that of both, but two temperatures cannot
// be added, and a temperature plus a temperature difference is a temperature.
func Sum(a, b Dimension) (Dimension, bool) {
	switch {
	case a == Temperature && b == TemperatureDifference, a == TemperatureDifference && b == Temperature:
		return Temperature, true
	case a == Temperature:
		return 0, false
	}
	return a, a == b && a < dimensionCount
}

// Difference gives the dimension of a - b: that of both, but two temperatures
// differ by a temperature difference.
func Difference(a, b Dimension) (Dimension, bool) {
	switch {
	case a == Temperature && b == Temperature:
		return TemperatureDifference, true
	case a == Temperature && b == TemperatureDifference:
		return Temperature, true
	}
	return a, a == b && a < dimensionCount
}

// tolerance is the relative difference up to which two magnitudes count as
// equal, so that 11.48 A x 1.25 meets 14.35 A.
const tolerance = 1e-9

// dust is the difference in base units up to which two magnitudes count as
// equal whatever their size: what rounding leaves of a zero. A picometre, a
// piconewton or a picovolt decides nothing on a roof.
const dust = 1e-12

// Near reports whether two magnitudes are equal within 1e-9 of the larger, or
// differ by no more than the rounding of a zero. NaN and infinity are near
// nothing.
func Near(a, b float64) bool {
	return finite(a) && finite(b) && math.Abs(a-b) <= max(dust, tolerance*max(math.Abs(a), math.Abs(b)))
}

// AtMost reports whether a demand keeps within a limit: a <= limit, or near
// it. NaN and infinity never pass.
func AtMost(a, limit float64) bool {
	return finite(a) && finite(limit) && (a <= limit || Near(a, limit))
}

// AtLeast reports whether a provision reaches a limit: a >= limit, or near
// it. NaN and infinity never pass.
func AtLeast(a, limit float64) bool { return AtMost(limit, a) }

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
