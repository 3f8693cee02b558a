package quantity

import (
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
)

// within reports whether a and b agree to the given relative tolerance.
func within(a, b, tolerance float64) bool {
	return math.Abs(a-b) <= tolerance*max(math.Abs(a), math.Abs(b))
}

func read(t *testing.T, text string, d Dimension) Value {
	t.Helper()
	v, err := Parse(text, d)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// Every unit is compared with GNU units, to the eleven digits that the data
// file carries. testdata/gnu-units.sh says how to make the file anew.
func TestUnitsAgreeWithGNUUnits(t *testing.T) {
	data, err := os.ReadFile("testdata/gnu-units.txt")
	if err != nil {
		t.Fatal(err)
	}
	compared := map[*unit]bool{}
	for line := range strings.Lines(string(data)) {
		if strings.HasPrefix(line, "#") {
			continue
		}
		field := strings.Split(line, "|")
		if len(field) != 4 {
			t.Fatalf("not four fields: %q", line)
		}
		d, ok := DimensionByName(field[0])
		if !ok {
			t.Fatalf("unknown dimension in %q", line)
		}
		want, err := strconv.ParseFloat(field[2], 64)
		if err != nil {
			t.Fatal(err)
		}
		v := read(t, field[1], d)
		if !within(v.SI, want, 1e-11) {
			t.Errorf("%s is %.12g %s here and %.12g in GNU units", field[1], v.SI, d.BaseUnit(), want)
		}
		compared[unitOf(v.Unit, d)] = true
	}
	for _, u := range units {
		if !compared[u] {
			t.Errorf("%s %q has no line in the data file", u.dim, u.name())
		}
	}
}

// The factors that NIST Special Publication 811, Guide for the Use of the
// International System of Units (National Institute of Standards and
// Technology, 2008), appendix B.8, prints with seven digits or exactly; read in
// transcriptions of the table. The radian follows from its definition.
func TestUnitsAgreeWithNIST(t *testing.T) {
	for text, want := range map[string]float64{
		"1 in":         2.54e-2,
		"1 ft":         3.048e-1,
		"1 yd":         9.144e-1,
		"1 in2":        6.4516e-4,
		"1 ft2":        9.290304e-2,
		"1 mph":        4.4704e-1,
		"1 km/h":       2.777778e-1,
		"1 kn":         5.144444e-1,
		"1 ft/s":       3.048e-1,
		"1 lb":         4.448222,
		"1 kip":        4.448222e3,
		"1 kgf":        9.80665,
		"1 lbm":        4.535924e-1,
		"1 oz":         2.834952e-2,
		"1 psf":        4.788026e1,
		"1 psi":        6.894757e3,
		"1 ksi":        6.894757e6,
		"1 kg/m2":      9.80665,
		"1 in-lb":      1.129848e-1,
		"1 ft-lb":      1.355818,
		"1 lb/in":      1.751268e2,
		"1 lb/ft":      1.459390e1,
		"1 h":          3.6e3,
		"0 K":          -273.15,
		"1 delta degF": 5.555556e-1,
		"1 rad":        180 / math.Pi,
		"212 degF":     100,
		"-459.67 degF": -273.15,
	} {
		v, err := ParseAny(text)
		if err != nil {
			t.Error(err)
			continue
		}
		if !within(v.SI, want, 5e-7) {
			t.Errorf("%s is %.8g in the base unit, want %.8g", text, v.SI, want)
		}
	}
}

// Codes state the same limits in both systems; a temperature band whose edges
// are whole degrees in both must come out exact.
func TestWholeDegreesConvertExactly(t *testing.T) {
	for c := -270; c <= 500; c += 5 {
		f := c*9/5 + 32
		text := strconv.Itoa(f) + " degF"
		if v := read(t, text, Temperature); v.SI != float64(c) {
			t.Errorf("%s = %v degC, want %d", text, v.SI, c)
		}
	}
}

// A decimal factor rounds once: the magnitude read equals the constant that
// Go computes exactly.
func TestDecimalFactorsRoundOnce(t *testing.T) {
	for text, want := range map[string]float64{
		"39.4 in": 39.4 * Inch, "1-1/2 in": 1.5 * Inch, "36 in": 36 * Inch, "7/8 in": 0.875 * Inch,
		"12 ft 6 in": 12.5 * Foot, "0.0507 in2": 0.0507 * SquareInch, "115 mph": 115 * MPH, "48 lbm": 48 * Pound,
	} {
		v, err := ParseAny(text)
		if err != nil || v.SI != want {
			t.Errorf("%s = %v, %v, want %v", text, v.SI, err, want)
		}
	}
}

// No spelling may mean two units of one dimension, and none may be printed in
// a form that is read as another unit.
func TestSpellingsAreUnambiguous(t *testing.T) {
	seen := map[string]*unit{}
	for _, u := range units {
		for _, n := range u.names {
			key := u.dim.String() + "|" + plain(n)
			if other := seen[key]; other != nil && other != u {
				t.Errorf("%q is both %s and %s", n, other.name(), u.name())
			}
			seen[key] = u
			if unitOf(n, u.dim) != u {
				t.Errorf("%q of %s is read as another unit", n, u.dim)
			}
		}
	}
}

func TestSpellings(t *testing.T) {
	for _, c := range []struct {
		dim   Dimension
		name  string
		alike []string
	}{
		{Length, "in", []string{"in.", "IN", "Inch", "inches", `"`, "''", "″", "”"}},
		{Length, "ft", []string{"ft.", "FT", "Feet", "foot", "'", "′", "’"}},
		{Area, "ft2", []string{"sq ft", "sq. ft.", "SF", "ft²", "ft^2"}},
		{Angle, "deg", []string{"°", "degrees"}},
		{Temperature, "degF", []string{"°F", "° F", "deg F", "F", "℉", "DEGF"}},
		{Temperature, "degC", []string{"°C", "ºC", "deg C", "C", "℃"}},
		{Pressure, "psf", []string{"PSF", "lb/ft2", "lb/ft²", "lb / sq ft", "lb per sq ft"}},
		{Torque, "in-lb", []string{"in lb", "in·lb", "in.-lb", "in*lb", "lb-in", "lbf·in", "lbf-in", "lbf in", "lb·in", "IN-LBS"}},
		{Torque, "ft-lb", []string{"lbf·ft", "lbf-ft", "lb·ft", "ft·lb", "ft lb", "FT-LBS", "ft. lbs."}},
		{Torque, "N m", []string{"N-m", "N·m", "N⋅m", "Nm"}},
		{Resistance, "ohm", []string{"Ω", "ohms"}},
		{RatioPerTemperature, "%/degC", []string{"% / °C", "%/ºC", "% per deg C"}},
		{RatioPerTemperature, "/degC", []string{"1/°C", "/ °C"}},
		{TemperatureDifference, "degF", []string{"°F", "ΔF", "Δ°F"}},
	} {
		for _, spelling := range c.alike {
			if v := read(t, "3 "+spelling, c.dim); v.Unit != c.name {
				t.Errorf("%q is read as %q, want %q", spelling, v.Unit, c.name)
			}
		}
	}
}

// Capitals are free in US units and matter in metric ones, where they tell
// milli from mega.
func TestCapitals(t *testing.T) {
	for _, text := range []string{"3 mw", "3 Mv", "3 MA", "3 mPa", "3 M"} {
		if v, err := ParseAny(text); err == nil {
			t.Errorf("%q is read as %v", text, v)
		}
	}
	for _, text := range []string{"3 Psf", "3 KSI", "3 MPH", "3 LB/IN", "3 Ft"} {
		if _, err := ParseAny(text); err != nil {
			t.Error(err)
		}
	}
}
