package papertext

import (
	"testing"

	"plumbrule/internal/quantity"
)

// A value is found however a sheet may write it, and never in what is another.
func TestValuesAsSheetsWriteThem(t *testing.T) {
	for _, c := range []struct {
		value  string
		dim    quantity.Dimension
		found  []string
		others []string
	}{
		{"-14 degF", quantity.Temperature,
			[]string{"RECORD LOW -14 °F", "record low: −14°F", "-14 F", "−14 ° F", "(-14 °F)", "low=-14 deg F", "MIN. -14 DEG F", "–14 ℉", "-14.0 °F", "-14º F."},
			[]string{"14 °F", "-114 °F", "-14.5 °F", "-14", "A-14 °F", "10-14 °F", "10 - 14 °F", "-14 °C", "-14 °F/yr", "- 14 °F", "-14 ft", "-1,14 °F", "-14F2", "- 1 4 °F"}},
		{"95 degF", quantity.Temperature, []string{"95 °F", "from -14 °F to 95 °F", "HIGH 95F"}, []string{"-95 °F", "195 °F", "95.5 °F", "0.95 °F", "90-95 °F", "95", "95 °"}},
		{"3/8 in", quantity.Length,
			[]string{`3/8"`, "3/8 in", "0.375 in", ".375\"", "3/8” lag", "⅜″", "3⁄8 inch", "3/8 IN. DIA", "(2) 3/8 in lags", `2x3/8"`, "3 / 8 in"},
			[]string{`1 3/8"`, `1-3/8"`, `13/8"`, "3/8", `3/80"`, "3/8 ft", "1⅜″", "10.375 in", `1/3/8"`, "0.3751 in", `5 ft 3/8 in`, `5'-3/8"`}},
		{"48 in", quantity.Length,
			[]string{"48 in", `48" O.C.`, "4 ft", "4'-0\"", "4' 0\"", "4 ft 0 in", "MAX 48 IN", "48-in", "4′-0″", "48 inches", "4FT MAX"},
			[]string{"148 in", "48 ft", "4.8 in", "48", "48.5 in", "12 ft 48 in", "1,048 in", `4'-6"`, "4 ft 6 in", "1 048 in", "48 in2", "48 in²", "48/2 in"}},
		{"12 ft 6 in", quantity.Length, []string{`12'-6"`, "12 ft 6 in", "150 in", "12.5 ft", "12′ 6″"}, []string{"12 ft", "6 in", `12'-6 1/2"`, `112'-6"`, "12'"}},
		{"1200 W", quantity.Power, []string{"1200 W", "1,200 W", "1.2 kW", "1200W", "1.20 KW", "1200 WATTS"}, []string{"200 W", "11,200 W", "1 200 kW", "1200 Wh", "1200"}},
		{"200 W", quantity.Power, []string{"200 W"}, []string{"1 200 W", "1,200 W", "1200 W"}},
		{"20 A", quantity.Current, []string{"20 A", "20A", "20-A", "20 AMP", "20 amps", "20 A, 2P", "1 x 20 A"}, []string{"120 A", "20 AWG", "20", "20 AC", "20 A/m", "2.0 A", "PV-20 A"}},
		{"600 V", quantity.Voltage, []string{"600 V", "600V DC", "600 VDC", "0.6 kV"}, []string{"600 VA", "1600 V", "600"}},
		{"115 mph", quantity.Speed, []string{"115 mph", "115 MPH", "Vult = 115 mph"}, []string{"15 mph", "115"}},
		{"240 V", quantity.Voltage, []string{"120/240 V", "120/240V, 1PH, 3W", "240 VAC", "240/120 volts"}, []string{"1240 V", "120/2400 V", "120/240 VA", "5/120/240 V", "120/240"}},
		{"208 V", quantity.Voltage, []string{"208Y/120 V", "208Y/120V 3PH", "120/208Y V"}, []string{"208Y/120", "2208Y/120 V"}},
		{"4:12", quantity.Angle, []string{"SLOPE 4:12", "4/12 pitch", "4 in 12"}, []string{"14:12", "4:120", "4:12:30", "2024/12", "1/4:12", "4/12/24"}},
		{"20 psf", quantity.Pressure, []string{"20 psf", "20 PSF", "20 lb/ft2", "20 lb/ft²"}, []string{"20 psi", "20 lb", "120 psf"}},
		{"450 lb", quantity.Force, []string{"450 lb", "450 LBS", "450 lbf"}, []string{"450 lb/ft", "1450 lb"}},
	} {
		v, err := quantity.Parse(c.value, c.dim)
		if err != nil {
			t.Fatal(err)
		}
		for _, line := range c.found {
			if !Quantity(v)(plain(line)) {
				t.Errorf("%s is not found in %q", c.value, line)
			}
		}
		for _, line := range c.others {
			if Quantity(v)(plain(line)) {
				t.Errorf("%s is found in %q", c.value, line)
			}
		}
	}
}

func TestSizesAsSheetsWriteThem(t *testing.T) {
	for _, c := range []struct {
		size          string
		found, others []string
	}{
		{"12 AWG", []string{"12 AWG", "#12 AWG", "(3) #12 AWG", "AWG 12", "#12 THWN-2", "12AWG CU", "No. 12 AWG", "3-#12 awg", "#12 CU"},
			[]string{"#12", "112 AWG", "12", "1/12 AWG", "#12 screw", "10-12 AWG", "AWG 120", "12 A", "2.12 AWG", "#12 x 1 in"}},
		{"1/0 AWG", []string{"1/0 AWG", "#1/0 AWG", "AWG 1/0", "#1/0 CU"}, []string{"11/0 AWG", "1 AWG", "2/0 AWG", "1/0"}},
		{"250 kcmil", []string{"250 kcmil", "250 MCM", "250kcmil"}, []string{"1250 kcmil", "250"}},
	} {
		s, err := quantity.ParseSize(c.size)
		if err != nil {
			t.Fatal(err)
		}
		for _, line := range c.found {
			if !Size(s)(plain(line)) {
				t.Errorf("%s is not found in %q", c.size, line)
			}
		}
		for _, line := range c.others {
			if Size(s)(plain(line)) {
				t.Errorf("%s is found in %q", c.size, line)
			}
		}
	}
}

func TestNamesStandByThemselves(t *testing.T) {
	find := Name("QX-400 M")
	for line, want := range map[string]bool{"MODULE: qx-400  m, 24 OFF": true, "QX-400 MX": false, "AQX-400 M": false, "QX-400": false, "QX-400 M-2": false} {
		if find(plain(line)) != want {
			t.Errorf("%q: %v", line, !want)
		}
	}
}
