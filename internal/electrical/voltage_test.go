package electrical

import (
	"errors"
	"math"
	"strings"
	"testing"

	"plumbrule/internal/quantity"
	"plumbrule/internal/table"
)

func TestNECNamesTheKnownEditions(t *testing.T) {
	_, err := NEC("2014", tables(t))
	var domain *DomainError
	if !errors.As(err, &domain) || !strings.Contains(err.Error(), "2017, 2020, 2023, 2026") {
		t.Errorf("error %v, want one that names the known editions", err)
	}
}

// TestPartlyKnownEdition wants of 2026 what is known and a named table for
// what is not.
func TestPartlyKnownEdition(t *testing.T) {
	c := edition(t, "2026")
	f := must[ColdFactor](t)(c.ColdByCoefficient(-10, -0.0027))
	v := must[StringVoltage](t)(c.ColdVoltage(Series{49.5, 11, f}))
	near(t, "rounded voltage", v.Voltage, 596)
	for what, err := range map[string]error{
		"690.7(A)": second(c.ColdByTable(-10)),
		"240.6(A)": second(c.StandardOvercurrent(17, Fuse)),
		"250.122":  second(c.EquipmentGround(GroundInput{Overcurrent: 20, Material: Copper, Sets: 1})),
		"705.12":   second(c.Busbar(BusbarInput{Option: OptionSum, Busbar: 200, Main: 100, Sources: []float64{16}})),
	} {
		var missing *table.MissingError
		if !errors.As(err, &missing) || missing.Name != what || len(missing.Known) == 0 {
			t.Errorf("%s: error %v, want a missing table that names the known editions", what, err)
		}
	}
}

func second[T any](_ T, err error) error { return err }

func TestColdByTableBands(t *testing.T) {
	c := edition(t, "2020")
	// Band edges of Table 690.7(A); between two bands the colder one.
	for _, tc := range []struct{ low, want float64 }{
		{40, 1}, {25, 1}, {24.999, 1.02}, {24, 1.02}, {20, 1.02}, {19.9, 1.04}, {19, 1.04},
		{0, 1.10}, {-0.1, 1.12}, {-5, 1.12}, {-5.01, 1.14}, {-5.5, 1.14}, {-10, 1.14}, {-10.5, 1.16}, {-40, 1.25},
	} {
		f := must[ColdFactor](t)(c.ColdByTable(tc.low))
		near(t, degC(tc.low), f.Value, tc.want)
	}
	for _, low := range []float64{-40.01, math.NaN(), math.Inf(-1)} {
		if _, err := c.ColdByTable(low); err == nil {
			t.Errorf("%v degC: no error", low)
		}
	}
}

// TestColdByTableFahrenheit holds record lows in whole degF against the
// Fahrenheit bands that the table prints beside the Celsius ones.
func TestColdByTableFahrenheit(t *testing.T) {
	c := edition(t, "2017")
	bands := [][2]float64{{76, 68}, {67, 59}, {58, 50}, {49, 41}, {40, 32}, {31, 23}, {22, 14}, {13, 5}, {4, -4}, {-5, -13}, {-14, -22}, {-23, -31}, {-32, -40}}
	factors := []float64{1.02, 1.04, 1.06, 1.08, 1.10, 1.12, 1.14, 1.16, 1.18, 1.20, 1.21, 1.23, 1.25}
	for i, b := range bands {
		for f := b[1]; f <= b[0]; f++ {
			v, err := quantity.Parse(plain(f, 0)+" degF", quantity.Temperature)
			if err != nil {
				t.Fatal(err)
			}
			got := must[ColdFactor](t)(c.ColdByTable(v.SI))
			near(t, plain(f, 0)+" degF", got.Value, factors[i])
		}
	}
}

func TestVoltageRisesAsItGetsColder(t *testing.T) {
	for _, ed := range editionsInFull {
		c := edition(t, ed)
		lastC, lastT := 0.0, 0.0
		for low := 30.0; low >= -40; low -= 0.25 {
			byC := must[ColdFactor](t)(c.ColdByCoefficient(low, -0.0029))
			byT := must[ColdFactor](t)(c.ColdByTable(low))
			if byC.Value < lastC || byT.Value < lastT || byC.Value < 1 || byT.Value < 1 {
				t.Fatalf("%s: factors %v and %v at %v degC fall below the warmer ones", ed, byC.Value, byT.Value, low)
			}
			lastC, lastT = byC.Value, byT.Value
		}
	}
}

func TestColdCoefficientDomain(t *testing.T) {
	c := edition(t, "2023")
	near(t, "factor above 25 degC", must[ColdFactor](t)(c.ColdByCoefficient(30, -0.003)).Value, 1)
	for _, tc := range [][2]float64{{-10, 0.003}, {math.NaN(), -0.003}, {-10, math.NaN()}, {-10, math.Inf(-1)}} {
		if _, err := c.ColdByCoefficient(tc[0], tc[1]); err == nil {
			t.Errorf("low %v, coefficient %v: no error", tc[0], tc[1])
		}
	}
}

// TestMixedString sums unlike modules: 8 x 49.5 V x 1.0945 + 2 x 40 V x 1.105,
// worked by hand.
func TestMixedString(t *testing.T) {
	c := edition(t, "2023")
	a := must[ColdFactor](t)(c.ColdByCoefficient(-10, -0.0027))
	b := must[ColdFactor](t)(c.ColdByCoefficient(-10, -0.003))
	v := must[StringVoltage](t)(c.ColdVoltage(Series{49.5, 8, a}, Series{40, 2, b}))
	near(t, "mixed string", v.Voltage, 433.422+88.4)
	if work := strings.Join(v.Work(quantity.US), "\n"); !strings.Contains(work, "8 modules x 49.5 V") || !strings.Contains(work, "sum = ") {
		t.Errorf("calculation lacks its steps:\n%s", work)
	}
	if _, err := c.ColdVoltage(); err == nil {
		t.Error("a string without modules: no error")
	}
}

// TestLongestStringIsLongest wants the limit kept by the string found and
// passed by the next one, also where 2026 rounds.
func TestLongestStringIsLongest(t *testing.T) {
	for _, ed := range []string{"2017", "2026"} {
		c := edition(t, ed)
		for _, voc := range []float64{9.98, 37.3, 49.5, 54.54, 60.04} {
			for _, limit := range []float64{80, 480, 600, 1000, 1500} {
				f := must[ColdFactor](t)(c.ColdByCoefficient(-12, -0.0027))
				l := must[LongestString](t)(c.LongestString(voc, f, limit))
				if l.Modules > 0 && !quantity.AtMost(l.Voltage, limit) {
					t.Errorf("%s: %d x %v V reach %v V over %v V", ed, l.Modules, voc, l.Voltage, limit)
				}
				next := must[StringVoltage](t)(c.ColdVoltage(Series{voc, l.Modules + 1, f}))
				if quantity.AtMost(next.Voltage, limit) {
					t.Errorf("%s: %d x %v V still keep within %v V", ed, l.Modules+1, voc, limit)
				}
			}
		}
	}
	c := edition(t, "2023")
	f := must[ColdFactor](t)(c.ColdByCoefficient(25, -0.003))
	near(t, "exactly at the limit", float64(must[LongestString](t)(c.LongestString(60, f, 600)).Modules), 10)
	if l := must[LongestString](t)(c.LongestString(700, f, 600)); l.Modules != 0 || l.Voltage != 0 {
		t.Errorf("no module fits, got %d at %v V", l.Modules, l.Voltage)
	}
}

func TestHotVoltageFallsAsItGetsHotter(t *testing.T) {
	c := edition(t, "2023")
	last := math.Inf(1)
	for amb := -10.0; amb <= 50; amb += 5 {
		h := must[HotVoltage](t)(c.HotVoltage(41, 10, amb, 30, -0.0035))
		if h.Voltage >= last {
			t.Fatalf("%v degC: %v V is not below %v V", amb, h.Voltage, last)
		}
		last = h.Voltage
	}
	for _, rise := range []float64{-1, math.NaN()} {
		if _, err := c.HotVoltage(41, 10, 40, rise, -0.0035); err == nil {
			t.Errorf("rise %v: no error", rise)
		}
	}
	if _, err := c.HotVoltage(41, 10, 400, 30, -0.0035); err == nil {
		t.Error("a voltage below zero: no error")
	}
}

// TestConverterVoltage sums outputs (NEC 690.7(B)): eight converters of 60 V.
func TestConverterVoltage(t *testing.T) {
	c := edition(t, "2020")
	near(t, "converters", must[ConverterVoltage](t)(c.ConverterVoltage(8, 60)).Voltage, 480)
	if _, err := c.ConverterVoltage(0, 60); err == nil {
		t.Error("no converters: no error")
	}
}

func TestVoltageLimit(t *testing.T) {
	c := edition(t, "2023")
	for place, want := range map[string]float64{OnDwelling: 600, OnBuilding: 1000, OnGround: 1500} {
		v, basis, err := c.VoltageLimit(place)
		if err != nil || v != want || len(basis.Refs) == 0 {
			t.Errorf("%s: %v, %v", place, v, err)
		}
	}
	if _, _, err := c.VoltageLimit("roof"); err == nil {
		t.Error("unknown place: no error")
	}
	if _, _, err := edition(t, "2026").VoltageLimit(OnGround); err == nil {
		t.Error("the limit away from buildings in 2026 is not known: no error")
	}
	near(t, "engineered", must[StringVoltage](t)(c.EngineeredVoltage(100e3, 983)).Voltage, 983)
	if _, err := c.EngineeredVoltage(99.9e3, 983); err == nil {
		t.Error("an array under 100 kW: no error")
	}
}

// TestRounding holds the rule of 2026: a fraction below one half is dropped.
func TestRounding(t *testing.T) {
	for ed, want := range map[string][]float64{"2023": {600.4, 15.03, 15.5}, "2026": {600, 15, 16}} {
		c := edition(t, ed)
		for i, x := range []float64{600.4, 15.03, 15.5} {
			near(t, ed, must[float64](t)(c.Rounded(x)), want[i])
		}
	}
}

func TestValue(t *testing.T) {
	c := edition(t, "2023")
	for _, tc := range []struct {
		table, row string
		want       float64
	}{
		{"690.12", "boundary", quantity.Foot},
		{"690.12", "inside voltage", 80},
		{"690.12", "time", 30},
		{"690.13", "disconnects", 6},
		{"310.15(B)(2)", "height", 0.75 * quantity.Inch},
	} {
		v, ref, err := c.Value(tc.table, tc.row)
		if err != nil || ref.Section == "" {
			t.Errorf("%s %s: %v %v %v", tc.table, tc.row, v, ref, err)
			continue
		}
		near(t, tc.table+" "+tc.row, v, tc.want)
	}
	if _, _, err := c.Value("690.12", "colour"); err == nil {
		t.Error("unknown row: no error")
	}
}
