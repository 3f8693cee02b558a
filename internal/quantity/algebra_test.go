package quantity

import (
	"math"
	"testing"
)

func TestProductAndQuotient(t *testing.T) {
	for _, c := range []struct{ a, b, product Dimension }{
		{Length, Length, Area},
		{Voltage, Current, Power},
		{Pressure, Area, Force},
		{Pressure, Length, ForcePerLength},
		{ForcePerLength, Length, Force},
		{Force, Length, Torque},
		{Current, Resistance, Voltage},
		{ResistancePerLength, Length, Resistance},
		{Speed, Time, Length},
		{RatioPerTemperature, TemperatureDifference, Ratio},
		{VoltagePerTemperature, TemperatureDifference, Voltage},
		{CurrentPerTemperature, TemperatureDifference, Current},
		{RatioPerTemperature, Voltage, VoltagePerTemperature},
		{RatioPerTemperature, Current, CurrentPerTemperature},
		{Force, Speed, Power},
		{Ratio, Angle, Angle},
	} {
		for _, ab := range [][2]Dimension{{c.a, c.b}, {c.b, c.a}} {
			if got, ok := Product(ab[0], ab[1]); !ok || got != c.product {
				t.Errorf("%s x %s = %s, %v, want %s", ab[0], ab[1], got, ok, c.product)
			}
			if got, ok := Quotient(c.product, ab[0]); !ok || got != ab[1] {
				t.Errorf("%s / %s = %s, %v, want %s", c.product, ab[0], got, ok, ab[1])
			}
		}
	}
}

func TestNoProduct(t *testing.T) {
	for _, c := range [][2]Dimension{
		{Temperature, Ratio}, {Temperature, Length}, {Temperature, RatioPerTemperature}, {Angle, Length}, {Angle, Angle},
		{Power, Time}, {Length, Area}, {Voltage, Voltage}, {dimensionCount, Ratio},
	} {
		for _, ab := range [][2]Dimension{{c[0], c[1]}, {c[1], c[0]}} {
			if got, ok := Product(ab[0], ab[1]); ok {
				t.Errorf("%s x %s = %s", ab[0], ab[1], got)
			}
		}
	}
	for _, c := range [][2]Dimension{
		{Temperature, Ratio}, {Temperature, Temperature}, {Length, Angle}, {Ratio, Angle}, {Torque, Power}, {Torque, Time},
		{Ratio, Length}, {Ratio, dimensionCount},
	} {
		if got, ok := Quotient(c[0], c[1]); ok {
			t.Errorf("%s / %s = %s", c[0], c[1], got)
		}
	}
}

// A ratio scales every dimension but a temperature, and like over like is a
// ratio; no two dimensions share their exponents, or a product would have two
// answers.
func TestRatioAlgebra(t *testing.T) {
	for _, d := range Dimensions() {
		scalable := d != Temperature
		if got, ok := Product(d, Ratio); ok != scalable || ok && got != d {
			t.Errorf("%s x ratio = %s, %v", d, got, ok)
		}
		if got, ok := Quotient(d, Ratio); ok != scalable || ok && got != d {
			t.Errorf("%s / ratio = %s, %v", d, got, ok)
		}
		if got, ok := Quotient(d, d); ok != scalable || ok && got != Ratio {
			t.Errorf("%s / %s = %s, %v", d, d, got, ok)
		}
	}
	if len(composed) != len(composition) || len(composition) != int(dimensionCount)-2 {
		t.Errorf("%d dimensions have %d exponents", len(composition), len(composed))
	}
}

func TestSumAndDifference(t *testing.T) {
	for _, a := range Dimensions() {
		for _, b := range Dimensions() {
			sum, sumOK := Sum(a, b)
			diff, diffOK := Difference(a, b)
			wantSum, wantDiff := a == b, a == b
			sumDim, diffDim := a, a
			switch {
			case a == Temperature && b == Temperature:
				wantSum, diffDim = false, TemperatureDifference
			case a == Temperature && b == TemperatureDifference:
				wantSum, wantDiff = true, true
			case a == TemperatureDifference && b == Temperature:
				wantSum, sumDim = true, Temperature
			}
			if sumOK != wantSum || sumOK && sum != sumDim {
				t.Errorf("%s + %s = %s, %v", a, b, sum, sumOK)
			}
			if diffOK != wantDiff || diffOK && diff != diffDim {
				t.Errorf("%s - %s = %s, %v", a, b, diff, diffOK)
			}
		}
	}
	if _, ok := Sum(dimensionCount, dimensionCount); ok {
		t.Error("an unknown dimension adds")
	}
	if _, ok := Difference(dimensionCount, dimensionCount); ok {
		t.Error("an unknown dimension subtracts")
	}
}

// Dimensions agree with numbers: the product of two base units is the base
// unit of the product, so 35 psf over 21 ft2 is 735 lb.
func TestProductOfMagnitudes(t *testing.T) {
	load := Of(read(t, "35 psf", Pressure).SI*read(t, "21 ft2", Area).SI, Force)
	if x, err := load.In("lb"); err != nil || !Near(x, 735) {
		t.Errorf("35 psf x 21 ft2 = %v lb, %v", x, err)
	}
	drop := Of(read(t, "1.24 ohm/kft", ResistancePerLength).SI*read(t, "200 ft", Length).SI*20, Voltage)
	if !Near(drop.SI, 4.96) {
		t.Errorf("1.24 ohm/kft x 200 ft x 20 A = %v V", drop.SI)
	}
}

func TestComparisons(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range []struct {
		a, limit              float64
		near, atMost, atLeast bool
	}{
		{11.48 * 1.25, 14.35, true, true, true},
		{14.35, 11.48 * 1.25, true, true, true},
		{14.350001, 14.35, false, false, true},
		{14.349999, 14.35, false, true, false},
		{0, 0, true, true, true},
		{0, 1e-30, true, true, true},  // what rounding leaves of a zero
		{-1e-14, 0, true, true, true}, // likewise
		{0, 1e-6, false, true, false}, // a micrometre is no dust
		{-5, -5 * (1 + 1e-12), true, true, true},
		{-6, -5, false, true, false},
		{nan, 5, false, false, false},
		{5, nan, false, false, false},
		{nan, nan, false, false, false},
		{inf, inf, false, false, false},
		{5, inf, false, false, false},
		{-inf, 5, false, false, false},
	} {
		if got := Near(c.a, c.limit); got != c.near {
			t.Errorf("Near(%v, %v) = %v", c.a, c.limit, got)
		}
		if got := AtMost(c.a, c.limit); got != c.atMost {
			t.Errorf("AtMost(%v, %v) = %v", c.a, c.limit, got)
		}
		if got := AtLeast(c.a, c.limit); got != c.atLeast {
			t.Errorf("AtLeast(%v, %v) = %v", c.a, c.limit, got)
		}
	}
}
