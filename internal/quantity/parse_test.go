package quantity

import (
	"errors"
	"math"
	"strings"
	"testing"
)

func TestParse(t *testing.T) {
	for _, c := range []struct {
		text string
		want Dimension
		si   float64
		unit string
	}{
		// Lengths as drawings give them.
		{"39.4 in", Length, 1.00076, "in"},
		{"12 ft 6 in", Length, 3.81, "ft in"},
		{"12 ft. 6 in.", Length, 3.81, "ft in"},
		{"12ft6in", Length, 3.81, "ft in"},
		{`12'-6"`, Length, 3.81, "ft in"},
		{`12' 6"`, Length, 3.81, "ft in"},
		{`12'-6 1/2"`, Length, 3.8227, "ft in"},
		{`12'-6-1/2"`, Length, 3.8227, "ft in"},
		{`12'-6½"`, Length, 3.8227, "ft in"},
		{"12′−6½″", Length, 3.8227, "ft in"},
		{"12’–6”", Length, 3.81, "ft in"},
		{`0'-8"`, Length, 0.2032, "ft in"},
		{`-1'-6"`, Length, -0.4572, "ft in"},
		{`-0'-6"`, Length, -0.1524, "ft in"},
		{"5/16 in", Length, 0.0079375, "in"},
		{"-5/16 in", Length, -0.0079375, "in"},
		{"1-1/2 in", Length, 0.0381, "in"},
		{"1 1/2 in", Length, 0.0381, "in"},
		{"½ in", Length, 0.0127, "in"},
		{"3/2 in", Length, 0.0381, "in"},
		{`6''`, Length, 0.1524, "in"},
		{".5 in", Length, 0.0127, "in"},
		{"1.0 m", Length, 1, "m"},
		{"  1.0\u00a0m ", Length, 1, "m"},
		{"+1 m", Length, 1, "m"},
		{"1e3 mm", Length, 1, "mm"},
		{"1E-2m", Length, 0.01, "m"},
		{"-0 m", Length, 0, "m"},
		// Angles and slopes.
		{"18.4 deg", Angle, 18.4, "deg"},
		{"18.4°", Angle, 18.4, "deg"},
		{"4:12", Angle, 18.43494882292201, ":12"},
		{"4 : 12", Angle, 18.43494882292201, ":12"},
		{"1/4:12", Angle, 1.193489423982035, ":12"},
		{"1:1", Angle, 45, ":12"},
		{"0:12", Angle, 0, ":12"},
		// Temperatures and their coefficients.
		{"-14 degF", Temperature, -230.0 / 9, "degF"},
		{"−14 °F", Temperature, -230.0 / 9, "degF"},
		{"-5 degC", Temperature, -5, "degC"},
		{"300 K", Temperature, 26.85, "K"},
		{"18 degF", TemperatureDifference, 10, "degF"},
		{"30 K", TemperatureDifference, 30, "K"},
		{"-0.28 %/degC", RatioPerTemperature, -0.0028, "%/degC"},
		{"-0.28%/°C", RatioPerTemperature, -0.0028, "%/degC"},
		{"0.003 1/K", RatioPerTemperature, 0.003, "/K"},
		{"3 1/K", RatioPerTemperature, 3, "/K"},
		{"3/K", RatioPerTemperature, 3, "/K"},
		{"-138 mV/°C", VoltagePerTemperature, -0.138, "mV/degC"},
		// Loads.
		{"35 psf", Pressure, 1675.8090643117546, "psf"},
		{"2.4 kPa", Pressure, 2400, "kPa"},
		{"10 kg/m2", Pressure, 98.0665, "kg/m2"},
		{"266 lb/in", ForcePerLength, 46583.73817556272, "lb/in"},
		{"48 lb", Mass, 21.77243376, "lb"},
		{"48 lb", Force, 213.514637532504, "lb"},
		{"20 in·lb", Torque, 2.259696580552334, "in-lb"},
		// Electrical.
		{"49.5 V", Voltage, 49.5, "V"},
		{"600Vdc", Voltage, 600, "V"},
		{"7.6 kW", Power, 7600, "kW"},
		{"290 VA", Power, 290, "VA"},
		{"1.24 ohm/kft", ResistancePerLength, 0.00406824146981627, "ohm/kft"},
		// Ratios.
		{"0.33", Ratio, 0.33, ""},
		{"1/3", Ratio, 1.0 / 3, ""},
		{"33 %", Ratio, 0.33, "%"},
		{"33 percent", Ratio, 0.33, "%"},
	} {
		v, err := Parse(c.text, c.want)
		if err != nil {
			t.Error(err)
			continue
		}
		if !within(v.SI, c.si, 1e-14) || v.Dim != c.want || v.Unit != c.unit {
			t.Errorf("Parse(%q, %s) = %v in %q as %s, want %v in %q", c.text, c.want, v.SI, v.Unit, v.Dim, c.si, c.unit)
		}
		if v.SI == 0 && math.Signbit(v.SI) {
			t.Errorf("Parse(%q) is minus zero", c.text)
		}
	}
}

func TestParseAnyTakesTheDimensionFromTheUnit(t *testing.T) {
	for text, want := range map[string]Dimension{
		"5": Ratio, "5 %": Ratio, "5 lb": Force, "5 lbm": Mass, "5 degF": Temperature, "5 K": Temperature,
		"5 delta degF": TemperatureDifference, "4:12": Angle, `5'-6"`: Length, "5 kg": Mass, "5 kN": Force, "5 kn": Speed,
	} {
		v, err := ParseAny(text)
		if err != nil || v.Dim != want {
			t.Errorf("ParseAny(%q) is a %s, %v; want %s", text, v.Dim, err, want)
		}
	}
}

func TestParseErrors(t *testing.T) {
	const length = `; a length is expected, such as "12 ft"`
	for _, c := range []struct {
		text  string
		want  Dimension
		error string
	}{
		{"", Length, `"": nothing is written` + length},
		{"   ", Length, `"   ": nothing is written` + length},
		{"ft", Length, `"ft": a number is missing` + length},
		{"nan ft", Length, `"nan ft": a number is missing` + length},
		{"inf", Length, `"inf": a number is missing` + length},
		{"12", Length, `"12": no unit is given` + length},
		{"0", Length, `"0": no unit is given` + length},
		{"12 feets", Length, `"12 feets": unknown unit "feets"` + length + `; did you mean "feet"?`},
		{"12 xyzzy", Length, `"12 xyzzy": unknown unit "xyzzy"` + length},
		{"20 a", Current, `"20 a": unknown unit "a"; a current is expected, such as "20 A"; did you mean "A"?`},
		{"30 psff", Pressure, `"30 psff": unknown unit "psff"; a pressure is expected, such as "35 psf"; did you mean "psf"?`},
		{"35 psf", Length, `"35 psf": psf is a pressure` + length},
		{"5 kg", Force, `"5 kg": kg is a mass; a force is expected, such as "500 lb"`},
		{"5 ft", Area, `"5 ft": ft is a length; an area is expected, such as "21 ft2"`},
		{"4:12", Length, `"4:12": 4:12 is an angle` + length},
		{`5'-6"`, Force, `"5'-6\"": ft is a length; a force is expected, such as "500 lb"`},
		{"4/12", Angle, `"4/12": no unit is given; an angle is expected, such as "18.4 deg"`},
		{"1,200 ft", Length, `"1,200 ft": a number is written without commas, as 1200 or 1.5` + length},
		{"1,5 m", Length, `"1,5 m": a number is written without commas, as 1200 or 1.5` + length},
		{"1 000 m", Length, `"1 000 m": "000 m" follows the number` + length},
		{"1e999 m", Length, `"1e999 m": the number 1e999 is out of range` + length},
		{"1e16 m", Length, `"1e16 m": the number 1e16 is out of range` + length},
		{"1e-400 m", Length, `"1e-400 m": the number 1e-400 is out of range` + length},
		{"1/0 in", Length, `"1/0 in": a fraction is divided by zero` + length},
		{"1 1/0 in", Length, `"1 1/0 in": a fraction is divided by zero` + length},
		{"1 5/4 in", Length, `"1 5/4 in": the fraction after a whole number is one or more` + length},
		{"1/2.5 in", Length, `"1/2.5 in": a fraction has whole numbers above and below` + length},
		{"1/2/3 in", Length, `"1/2/3 in": a fraction has whole numbers above and below` + length},
		{"12-6 in", Length, `"12-6 in": "-6 in" follows the number` + length},
		{"1.2.3 m", Length, `"1.2.3 m": ".3 m" follows the number` + length},
		{"5² ft", Length, `"5² ft": unknown unit "² ft"` + length + `; did you mean "ft"?`},
		{"--5 m", Length, `"--5 m": the number has more than one sign` + length},
		{"12 ft 6", Length, `"12 ft 6": the number after the feet has no unit` + length},
		{"12'-", Length, `"12'-": unknown unit "'-"` + length + `; did you mean "'"?`},
		{"12 ft -", Length, `"12 ft -": unknown unit "ft -"` + length + `; did you mean "ft"?`},
		{"12 -", Ratio, `"12 -": unknown unit "-"; a ratio is expected, such as "33 %"`},
		{"12 ft 6 ft", Length, `"12 ft 6 ft": inches are expected after feet, not "ft"` + length},
		{"12 ft 14 in", Length, `"12 ft 14 in": the inches after feet are less than 12` + length},
		{"12.5 ft 6 in", Length, `"12.5 ft 6 in": the feet before inches are a whole number` + length},
		{"12 ft 1/0 in", Length, `"12 ft 1/0 in": after the feet a fraction is divided by zero` + length},
		{"4:", Angle, `"4:": after the colon a number is missing; an angle is expected, such as "18.4 deg"`},
		{"4:0", Angle, `"4:0": a slope has a rise of zero or more over a run above zero; an angle is expected, such as "18.4 deg"`},
		{"-4:12", Angle, `"-4:12": a slope has a rise of zero or more over a run above zero; an angle is expected, such as "18.4 deg"`},
		{"4:12 in", Angle, `"4:12 in": a slope ends after its run, without a unit; an angle is expected, such as "18.4 deg"`},
		{"-500 degF", Temperature, `"-500 degF": no temperature is below absolute zero; a temperature is expected, such as "-14 degF"`},
		{"-1 K", Temperature, `"-1 K": no temperature is below absolute zero; a temperature is expected, such as "-14 degF"`},
	} {
		v, err := Parse(c.text, c.want)
		if err == nil {
			t.Errorf("Parse(%q, %s) = %v, want an error", c.text, c.want, v)
			continue
		}
		if err.Error() != c.error {
			t.Errorf("Parse(%q, %s):\n got %s\nwant %s", c.text, c.want, err, c.error)
		}
		if v != (Value{}) {
			t.Errorf("Parse(%q) gives %v beside its error", c.text, v)
		}
	}
}

func TestParseBoundsTheText(t *testing.T) {
	_, err := Parse(strings.Repeat("9", 1<<20)+" ft", Length)
	var e *Error
	if !errors.As(err, &e) || len(err.Error()) > 200 {
		t.Errorf("got %.300v", err)
	}
	if _, err := ParseSize(strings.Repeat("0", 1<<20)); err == nil || len(err.Error()) > 300 {
		t.Errorf("got %.300v", err)
	}
}

func TestParseAnyError(t *testing.T) {
	const want = `"5 KN": unknown unit "KN"; a number with a unit is expected, such as "12 ft"; did you mean "kN"?`
	if _, err := ParseAny("5 KN"); err == nil || err.Error() != want {
		t.Errorf("got %v", err)
	}
}

// FuzzParse holds Parse to its word for any text: no panic, a finite value of
// the wanted dimension or an error, and print-outs that read back.
func FuzzParse(f *testing.F) {
	for _, text := range []string{"39.4 in", `12'-6 1/2"`, "1-1/2 in", "-14 degF", "-0.28 %/degC", "4:12", "1e3 m", "12 feets",
		"1,200 ft", "nan", "1/0 in", "−14 °F", "12′−6½″", "20 in·lb", "0.003 1/K", "1e999 m", "33 %", "12 ft 6", "", "5² ft", "0 ft 1/11 in"} {
		for _, d := range Dimensions() {
			f.Add(text, uint8(d))
		}
	}
	f.Fuzz(func(t *testing.T, text string, dim uint8) {
		d := Dimension(dim) % dimensionCount
		v, err := Parse(text, d)
		if err != nil {
			var e *Error
			if v != (Value{}) || !errors.As(err, &e) || len(err.Error()) > 600 {
				t.Fatalf("Parse(%q, %s) = %v, %v", text, d, v, err)
			}
			return
		}
		if v.Dim != d || !finite(v.SI) {
			t.Fatalf("Parse(%q, %s) = %v", text, d, v.SI)
		}
		// A difference may be larger than any temperature, which ParseAny reads.
		if _, err := ParseAny(text); err != nil && d != TemperatureDifference {
			t.Fatalf("%q is %s and nothing at all: %v", text, d, err)
		}
		readsBack(t, v)
	})
}

func BenchmarkParse(b *testing.B) {
	for _, text := range []string{"39.4 in", `12'-6 1/2"`, "-14 °F", "-0.28 %/degC", "12 feets"} {
		b.Run(text, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				ParseAny(text)
			}
		})
	}
}
