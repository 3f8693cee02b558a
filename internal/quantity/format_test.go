package quantity

import (
	"math"
	"strings"
	"testing"
)

// readsBack checks that what is printed for v is read as v again, within the
// rounding of the print-out, and never shows a minus zero.
func readsBack(t *testing.T, v Value) {
	t.Helper()
	size := math.Abs(v.SI)
	if size != 0 && (size < 1e-9 || size > 1e9) || v.Dim == Temperature && v.SI < -270 {
		return // beyond what is read, or rounded past absolute zero
	}
	for _, text := range []string{v.String(), v.Format(US), v.Format(SI)} {
		back, err := Parse(text, v.Dim)
		if err != nil {
			t.Fatalf("%v %s prints as %q: %v", v.SI, v.Dim.BaseUnit(), text, err)
		}
		want, _ := v.In(back.Unit)
		got, _ := back.In(back.Unit)
		// Three significant digits below one, a tenth of a unit above.
		loss := 0.0051 * math.Abs(want)
		if math.Abs(want) >= 1 {
			loss = max(loss, 0.051)
		}
		switch {
		case text != v.String() || v.Unit == "":
		case v.Unit == feetInches:
			loss = 5.1e-4 // half a thousandth of an inch
		default:
			loss = max(1e-7*math.Abs(want), 1e-12)
		}
		if math.Abs(got-want) > loss {
			t.Errorf("%v %s prints as %q, which is %v", v.SI, v.Dim.BaseUnit(), text, back.SI)
		}
		if strings.HasPrefix(text, "-0 ") || text == "-0" {
			t.Errorf("%v prints as %q", v.SI, text)
		}
	}
}

func TestFormat(t *testing.T) {
	for _, c := range []struct {
		text         string
		dim          Dimension
		asIs, us, si string
	}{
		{"39.4 in", Length, "39.4 in", "39.4 in", "1.001 m"},
		{"5/16 in", Length, "0.3125 in", "0.3125 in", "7.9 mm"},
		{"0.0179 in", Length, "0.0179 in", "0.0179 in", "0.455 mm"},
		{`12'-6"`, Length, "12 ft 6 in", "12.5 ft", "3.81 m"},
		{`12'-6 1/2"`, Length, "12 ft 6.5 in", "12.54 ft", "3.823 m"},
		{`-0'-6"`, Length, "-6 in", "-6 in", "-152.4 mm"},
		{`-2'-0"`, Length, "-2 ft 0 in", "-24 in", "-609.6 mm"},
		{"95.999 in", Length, "95.999 in", "96 in", "2.438 m"},
		{"1e3 m", Length, "1000 m", "3280.84 ft", "1000 m"},
		{"-0 ft", Length, "0 ft", "0 in", "0 mm"},
		{"21 ft2", Area, "21 ft2", "21 ft2", "1.951 m2"},
		{"0.0507 in2", Area, "0.0507 in2", "0.0507 in2", "32.7 mm2"},
		{"4:12", Angle, "4:12", "18.4 deg", "18.4 deg"},
		{"1:4", Angle, "3:12", "14 deg", "14 deg"},
		{"-14 degF", Temperature, "-14 degF", "-14 degF", "-25.6 degC"},
		{"300 K", Temperature, "300 K", "80.3 degF", "26.9 degC"},
		{"18 degF", TemperatureDifference, "18 degF", "18 degF", "10 degC"},
		{"599.96 V", Voltage, "599.96 V", "599.96 V", "599.96 V"},
		{"2 mA", Current, "2 mA", "0.002 A", "0.002 A"},
		{"7600 W", Power, "7600 W", "7600 W", "7600 W"},
		{"125 kW", Power, "125 kW", "125 kW", "125 kW"},
		{"290 VA", Power, "290 VA", "290 W", "290 W"},
		{"35 psf", Pressure, "35 psf", "35 psf", "1.676 kPa"},
		{"50 ksi", Pressure, "50 ksi", "50 ksi", "344.7 MPa"},
		{"2.4 kPa", Pressure, "2.4 kPa", "50.13 psf", "2.4 kPa"},
		{"500 lb", Force, "500 lb", "500 lb", "2224.1 N"},
		{"48 lb", Mass, "48 lb", "48 lb", "21.77 kg"},
		{"115 mph", Speed, "115 mph", "115 mph", "51.4 m/s"},
		{"30 s", Time, "30 s", "30 s", "30 s"},
		{"3 h", Time, "3 h", "3 h", "3 h"},
		{"20 in-lb", Torque, "20 in-lb", "20 in-lb", "2.26 N m"},
		{"25 ohm", Resistance, "25 ohm", "25 ohm", "25 ohm"},
		{"266 lb/in", ForcePerLength, "266 lb/in", "266 lb/in", "46.58 N/mm"},
		{"1.24 ohm/kft", ResistancePerLength, "1.24 ohm/kft", "1.24 ohm/kft", "4.0682 ohm/km"},
		{"-0.138 V/degC", VoltagePerTemperature, "-0.138 V/degC", "-138 mV/degC", "-138 mV/degC"},
		{"-0.28 %/K", RatioPerTemperature, "-0.28 %/K", "-0.28 %/degC", "-0.28 %/degC"},
		{"5 mA/degC", CurrentPerTemperature, "5 mA/degC", "5 mA/degC", "5 mA/degC"},
		{"33 %", Ratio, "33 %", "33 %", "33 %"},
		{"1/3", Ratio, "0.33333333", "33.33 %", "33.33 %"},
	} {
		v := read(t, c.text, c.dim)
		if v.String() != c.asIs || v.Format(US) != c.us || v.Format(SI) != c.si {
			t.Errorf("%s prints as %q, %q, %q; want %q, %q, %q",
				c.text, v.String(), v.Format(US), v.Format(SI), c.asIs, c.us, c.si)
		}
		readsBack(t, v)
	}
}

func TestEveryUnitReadsBack(t *testing.T) {
	for _, u := range units {
		for _, x := range []float64{0, 1, -1, 0.123456, 7.25, 12, 480, 98765.4321, -1e-3, 1.0 / 3} {
			v := Of(u.base(x), u.dim)
			readsBack(t, v)
			v.Unit = u.name()
			readsBack(t, v)
		}
	}
}

func TestEveryDimensionIsComplete(t *testing.T) {
	for _, d := range Dimensions() {
		v := read(t, d.Example(), d)
		if v.String() != d.Example() {
			t.Errorf("the example %q of %s prints as %q", d.Example(), d, v)
		}
		if found, ok := DimensionByName(d.String()); !ok || found != d {
			t.Errorf("%s is not found by its name", d)
		}
		if u := unitOf(d.BaseUnit(), d); u == nil || u.base(1) != 1 {
			t.Errorf("%q is not the base unit of %s", d.BaseUnit(), d)
		}
		if len(d.Units()) == 0 {
			t.Errorf("%s lists no units", d)
		}
		for _, sys := range []System{US, SI} {
			if text := Of(1, d).Format(sys); text == "undefined" {
				t.Errorf("%s has no scale", d)
			}
		}
	}
	if _, ok := DimensionByName("weight"); ok {
		t.Error("weight is a dimension")
	}
}

func TestUndefinedValues(t *testing.T) {
	for _, v := range []Value{Of(math.NaN(), Length), Of(math.Inf(1), Voltage), {SI: math.Inf(-1), Dim: Force, Unit: "lb"},
		{SI: math.NaN(), Dim: Length, Unit: "ft in"}, Of(1, dimensionCount)} {
		if v.String() != "undefined" || v.Format(US) != "undefined" {
			t.Errorf("%v prints as %q and %q", v.SI, v.String(), v.Format(US))
		}
	}
	if d := dimensionCount; d.String() != "unknown dimension 21" || d.BaseUnit() != "" || d.Example() != "" {
		t.Errorf("%q %q %q", d, d.BaseUnit(), d.Example())
	}
}

func TestExtremeMagnitudes(t *testing.T) {
	for _, c := range []struct {
		v    Value
		want string
	}{
		{Of(math.Copysign(0, -1), Length), "0 in"},
		{Of(-1e-13*Inch, Length), "0 in"}, // what rounding leaves of a zero
		{Of(-1e-9*Inch, Length), "-0.000000001 in"},
		{Of(1e20*Foot, Length), "1e+20 ft"},
	} {
		if got := c.v.Format(US); got != c.want {
			t.Errorf("%v m prints as %q, want %q", c.v.SI, got, c.want)
		}
	}
}

func TestIn(t *testing.T) {
	for _, c := range []struct {
		text, unit string
		want       float64
	}{
		{"12 ft 6 in", "in", 150},
		{"12 ft 6 in", "ft in", 12.5},
		{"1 m", "inches", 39.37007874015748},
		{"4:12", ":12", 4},
		{"4:12", "°", 18.43494882292201},
		{"-40 degC", "degF", -40},
		{"35 psf", "kPa", 1.6758090643117546},
		{"33 %", "", 0.33},
	} {
		v, err := ParseAny(c.text)
		if err != nil {
			t.Fatal(err)
		}
		if got, err := v.In(c.unit); err != nil || !within(got, c.want, 1e-14) {
			t.Errorf("%s in %s is %v, %v, want %v", c.text, c.unit, got, err, c.want)
		}
	}
	for unit, want := range map[string]string{
		"":       `"": no unit is given; a length is expected, such as "12 ft"`,
		"psf":    `"psf": psf is a pressure; a length is expected, such as "12 ft"`,
		"inchs":  `"inchs": unknown unit "inchs"; a length is expected, such as "12 ft"; did you mean "inch"?`,
		":12":    `":12": unknown unit ":12"; a length is expected, such as "12 ft"`,
		"rugged": `"rugged": unknown unit "rugged"; a length is expected, such as "12 ft"`,
	} {
		if x, err := Of(1, Length).In(unit); err == nil || err.Error() != want || x != 0 {
			t.Errorf("1 m in %q is %v, %v, want %s", unit, x, err, want)
		}
	}
}

func TestSystem(t *testing.T) {
	for text, want := range map[string]System{
		"12 ft": US, `12'-6"`: US, "4:12": US, "-14 degF": US, "35 psf": US, "20 in-lb": US,
		"1 m": SI, "-5 degC": SI, "2.4 kPa": SI, "5 N m": SI,
	} {
		v, err := ParseAny(text)
		if err != nil {
			t.Fatal(err)
		}
		if sys, ok := v.System(); !ok || sys != want {
			t.Errorf("%s is of system %d, %v", text, sys, ok)
		}
	}
	for _, text := range []string{"600 V", "20 A", "18.4 deg", "0.33", "33 %", "-0.28 %/degC", "30 s"} {
		v, err := ParseAny(text)
		if _, ok := v.System(); ok || err != nil {
			t.Errorf("%s names a system, %v", text, err)
		}
	}
	if _, ok := Of(1, Length).System(); ok {
		t.Error("a computed length names a system")
	}
}

func BenchmarkFormat(b *testing.B) {
	v := Of(3.81, Length)
	b.ReportAllocs()
	for b.Loop() {
		v.Format(US)
	}
}
