package electrical

import (
	"math"
	"strings"
	"testing"

	"plumbrule/internal/quantity"
)

func TestCircuitCurrent(t *testing.T) {
	c := edition(t, "2023")
	i := must[CircuitCurrent](t)(c.CircuitCurrent([]float64{11.48}, 0))
	near(t, "maximum", i.Maximum, 14.35)
	if !quantity.AtMost(i.Maximum, 14.35) {
		t.Error("11.48 A x 1.25 does not meet 14.35 A")
	}
	i = must[CircuitCurrent](t)(c.CircuitCurrent([]float64{10, 10, 9}, 0.1))
	near(t, "three strings with 10 % from the rear", i.Maximum, 29*1.1*1.25)
	near(t, "required", i.RequiredAmpacity, 29*1.1*1.25*1.25)
	for _, bad := range []struct {
		isc  []float64
		gain float64
	}{{nil, 0}, {[]float64{0}, 0}, {[]float64{math.NaN()}, 0}, {[]float64{9}, -0.1}, {[]float64{9}, math.NaN()}, {[]float64{math.Inf(1)}, 0}} {
		if _, err := c.CircuitCurrent(bad.isc, bad.gain); err == nil {
			t.Errorf("%v, gain %v: no error", bad.isc, bad.gain)
		}
	}
}

// TestThreePhaseSpread checks the phasor sum against the even case, where the
// line carries sqrt(3) of a pair's current, and against adding phasors.
func TestThreePhaseSpread(t *testing.T) {
	c := edition(t, "2023")
	for n := 1; n <= 30; n++ {
		o := must[OutputCurrent](t)(c.OutputCurrent(1, n, SinglePhase, ThreePhase))
		if n%3 == 0 {
			near(t, "even", o.Line, math.Sqrt(3)*float64(n)/3)
		}
		near(t, "phasors", o.Line, worstLine(o.Pairs))
		if o.Line > float64(n) {
			t.Errorf("%d units: the line carries %v A, more than all of them on one pair", n, o.Line)
		}
	}
	near(t, "three-phase units", must[OutputCurrent](t)(c.OutputCurrent(36, 2, ThreePhase, ThreePhase)).Line, 72)
	near(t, "split-phase", must[OutputCurrent](t)(c.OutputCurrent(1.21, 12, SplitPhase, SplitPhase)).Line, 14.52)
	if _, err := c.OutputCurrent(36, 1, ThreePhase, SplitPhase); err == nil {
		t.Error("a three-phase unit on a split-phase circuit: no error")
	}
	if _, err := c.OutputCurrent(36, 1, DC, DC); err == nil {
		t.Error("direct current: no error")
	}
}

// worstLine adds the phasors of three pairs of lines.
func worstLine(pairs [3]int) float64 {
	phasor := func(k int) complex128 {
		s, c := math.Sincos(2 * math.Pi * float64(k) / 3)
		return complex(float64(pairs[k])*c, float64(pairs[k])*s)
	}
	worst := 0.0
	for k := range 3 {
		d := phasor(k) - phasor((k+1)%3)
		worst = math.Max(worst, math.Hypot(real(d), imag(d)))
	}
	return worst
}

func TestAmpacityFallsWithAmbientAndCount(t *testing.T) {
	for _, ed := range editionsInFull {
		c := edition(t, ed)
		last := math.Inf(1)
		for amb := -20.0; amb <= 85; amb += 0.5 {
			in := onTerms()
			in.Ambient = amb
			a := must[Ampacity](t)(c.Ampacity(size(t, "10"), in))
			if a.Corrected > last || a.Usable > a.Corrected || a.Usable > a.TerminalAmpacity {
				t.Fatalf("%s: %v A at %v degC after %v A", ed, a.Corrected, amb, last)
			}
			last = a.Corrected
		}
		last = math.Inf(1)
		for n := 1; n <= 60; n++ {
			in := onTerms()
			in.CurrentCarrying = n
			a := must[Ampacity](t)(c.Ampacity(size(t, "10"), in))
			if a.Corrected > last {
				t.Fatalf("%s: ampacity rises at %d conductors", ed, n)
			}
			last = a.Corrected
		}
	}
}

func TestAmpacityGrowsWithSize(t *testing.T) {
	c := edition(t, "2023")
	for _, m := range []Material{Copper, Aluminum} {
		last := 0.0
		for _, s := range quantity.Sizes() {
			in := onTerms()
			in.Material = m
			a, err := c.Ampacity(s, in)
			if err != nil {
				continue // sizes that the table does not have
			}
			if a.Usable <= last {
				t.Errorf("%s %s: %v A is not above the thinner size", s, m, a.Usable)
			}
			last = a.Usable
		}
		if last == 0 {
			t.Errorf("no size of %s has an ampacity", m)
		}
	}
}

// TestAmbientBetweenBands takes the hotter band: 40 A x 0.91 at 40 degC, x
// 0.87 above it (Table 310.15(B)(1)(1)).
func TestAmbientBetweenBands(t *testing.T) {
	c := edition(t, "2023")
	for amb, want := range map[float64]float64{35: 0.96, 35.5: 0.91, 40: 0.91, 40.01: 0.87, 10: 1.15, 10.2: 1.12, 30: 1} {
		in := onTerms()
		in.Ambient = amb
		near(t, degC(amb), must[Ampacity](t)(c.Ampacity(size(t, "10"), in)).Correction, want)
	}
	in := onTerms()
	in.Insulation, in.Ambient = "TW", 56
	if _, err := c.Ampacity(size(t, "10"), in); err == nil || !strings.Contains(err.Error(), "may not be used") {
		t.Errorf("60 degC insulation at 56 degC: error %v", err)
	}
}

// TestRoofAdderByEdition holds both sides of the height under each edition.
func TestRoofAdderByEdition(t *testing.T) {
	for _, tc := range []struct {
		ed, insulation string
		inches, adder  float64
	}{
		{"2017", "THWN-2", 0.874, 33}, {"2017", "THWN-2", 0.875, 0}, {"2020", "THWN-2", 0.874, 33}, {"2020", "THWN-2", 0.875, 0},
		{"2023", "THWN-2", 0.749, 33}, {"2023", "THWN-2", 0.75, 0}, {"2023", "THWN-2", 0.8, 0}, {"2020", "THWN-2", 0.8, 33},
		{"2017", "XHHW-2", 0, 0}, {"2020", "XHHW-2", 0.5, 0}, {"2023", "XHHW-2", 0.5, 0}, {"2023", "XHHW", 0.5, 33}, {"2023", "THWN-2", 0, 33},
	} {
		in := onTerms()
		in.Insulation, in.OnRoof, in.AboveRoof = tc.insulation, true, tc.inches*quantity.Inch
		a := must[Ampacity](t)(edition(t, tc.ed).Ampacity(size(t, "10"), in))
		near(t, tc.ed+" "+tc.insulation+" "+plain(tc.inches, 3)+" in", a.Adder, tc.adder)
		near(t, "effective ambient", a.EffectiveAmbient, 30+tc.adder)
	}
	in := onTerms()
	in.OnRoof, in.AboveRoof = true, math.NaN()
	if _, err := edition(t, "2023").Ampacity(size(t, "10"), in); err == nil {
		t.Error("unknown height above the roof: no error")
	}
}

func TestShortRaceway(t *testing.T) {
	c := edition(t, "2023")
	for inches, want := range map[float64]bool{23.9: true, 24: true, 24.1: false} {
		if got := must[bool](t)(c.ShortRaceway(inches * quantity.Inch)); got != want {
			t.Errorf("%v in: %v", inches, got)
		}
	}
	in := onTerms()
	in.CurrentCarrying, in.ShortRaceway = 9, true
	near(t, "adjustment", must[Ampacity](t)(c.Ampacity(size(t, "10"), in)).Adjustment, 1)
}

// TestInsulations holds ratings by place: plain THWN is 75 degC wet or dry,
// THHN is not for wet places (Table 310.4(1)).
func TestInsulations(t *testing.T) {
	c := edition(t, "2020")
	for _, tc := range []struct {
		name  string
		place Place
		want  float64
	}{
		{"THWN", Wet, 75}, {"THWN", Dry, 75}, {"thwn-2", Wet, 90}, {"THHN", Unstated, 90}, {"THHN", Dry, 90}, {"THHN/THWN", Wet, 75},
		{"THHN/THWN", Dry, 90}, {"XHHW", Unstated, 75}, {"XHHW-2", Wet, 90}, {"USE-2", Wet, 90}, {"PV Wire", Wet, 90}, {"PV wire 125", Wet, 125},
	} {
		near(t, tc.name, must[Insulation](t)(c.Insulation(tc.name, tc.place)).Temperature, tc.want)
	}
	if _, err := c.Insulation("THHN", Wet); err == nil {
		t.Error("THHN in a wet place: no error")
	}
	if _, err := c.Insulation("THWN-3", Wet); err == nil || !strings.Contains(err.Error(), "THWN-2") {
		t.Errorf("unknown insulation: error %v does not name the nearest", err)
	}
}

// TestHighTemperatureInsulation: 10 AWG of 105 degC at 60 degC is 46 A x 0.77
// from 2020 (690.31(A)) and, without that ampacity table, 40 A x 0.77 in 2017;
// terminals still limit.
func TestHighTemperatureInsulation(t *testing.T) {
	for ed, want := range map[string]float64{"2017": 40 * 0.77, "2020": 46 * 0.77, "2023": 46 * 0.77} {
		in := onTerms()
		in.Insulation, in.Ambient = "PV wire 105", 60
		a := must[Ampacity](t)(edition(t, ed).Ampacity(size(t, "10"), in))
		near(t, ed, a.Corrected, want)
		near(t, "terminal", a.TerminalAmpacity, 35)
	}
	in := onTerms()
	in.Insulation = "PV wire 125"
	if _, err := edition(t, "2017").Ampacity(size(t, "10"), in); err == nil {
		t.Error("2017 has no 125 degC column: no error")
	}
	in.Material = Aluminum
	if _, err := edition(t, "2023").Ampacity(size(t, "10"), in); err == nil {
		t.Error("aluminum at 125 degC: no error")
	}
}

// TestCableOfLimitedColumn: NM-B is corrected from 90 degC but never passes
// its 60 degC ampacity (334.80): 12 AWG 30 A x 0.8 = 24 A, capped at 20 A.
func TestCableOfLimitedColumn(t *testing.T) {
	in := onTerms()
	in.Insulation, in.CurrentCarrying = "NM-B", 4
	near(t, "NM-B", must[Ampacity](t)(edition(t, "2023").Ampacity(size(t, "12"), in)).Corrected, 20)
}

func TestTerminalColumns(t *testing.T) {
	c := edition(t, "2023")
	for terminal, want := range map[float64]float64{60: 30, 70: 30, 75: 35, 80: 35, 90: 40, 105: 40} {
		in := onTerms()
		in.Terminal = terminal
		near(t, degC(terminal), must[Ampacity](t)(c.Ampacity(size(t, "10"), in)).TerminalAmpacity, want)
	}
	in := onTerms()
	in.Insulation, in.Terminal = "THWN", 90
	near(t, "75 degC insulation on 90 degC terminals", must[Ampacity](t)(c.Ampacity(size(t, "10"), in)).TerminalAmpacity, 35)
	in.Terminal = 50
	if _, err := c.Ampacity(size(t, "10"), in); err == nil {
		t.Error("terminals at 50 degC: no error")
	}
	for s, want := range map[string]float64{"14": 60, "1": 60, "1/0": 75, "500": 75} {
		near(t, "unmarked "+s, must[float64](t)(c.UnmarkedTerminal(size(t, s))), want)
	}
}

func TestParallelSets(t *testing.T) {
	c := edition(t, "2020")
	in := onTerms()
	one := must[Ampacity](t)(c.Ampacity(size(t, "250"), in))
	in.Sets = 3
	three := must[Ampacity](t)(c.Ampacity(size(t, "250"), in))
	near(t, "three sets", three.Usable, 3*one.Usable)
	if _, err := c.Ampacity(size(t, "1"), in); err == nil {
		t.Error("1 AWG in parallel: no error")
	}
	if _, err := c.Ampacity(size(t, "1/0"), in); err != nil {
		t.Errorf("1/0 AWG in parallel: %v", err)
	}
	in.Sets = 0
	if _, err := c.Ampacity(size(t, "1/0"), in); err == nil {
		t.Error("no sets: no error")
	}
}

// TestConductorIsSmallest wants both tests of 690.8(B) passed by the size
// found and at least one failed by the next thinner size.
func TestConductorIsSmallest(t *testing.T) {
	for _, ed := range editionsInFull {
		c := edition(t, ed)
		for _, current := range []float64{3, 12.5, 14.35, 28.7, 44, 80, 130} {
			for _, amb := range []float64{30, 45, 63, 71} {
				for _, n := range []int{2, 6, 12} {
					in := onTerms()
					in.Ambient, in.CurrentCarrying = amb, n
					got := must[Conductor](t)(c.Conductor(ConductorInput{Maximum: current, Continuous: true, Conditions: in}))
					passes := func(s quantity.Size) bool {
						a, err := c.Ampacity(s, in)
						return err == nil && quantity.AtMost(1.25*current, a.TerminalAmpacity) && quantity.AtMost(current, a.Corrected)
					}
					if !passes(got.Size) {
						t.Fatalf("%s: %s does not pass for %v A at %v degC, %d conductors", ed, got.Size, current, amb, n)
					}
					if thinner := got.Size - 1; passes(thinner) {
						t.Fatalf("%s: %s passes too for %v A at %v degC, %d conductors", ed, thinner, current, amb, n)
					}
				}
			}
		}
	}
}

// TestConductorNeverCompounds: 690.8(B) applies 156 % or the corrected
// ampacity, never both. 12.8 A x 1.25 = 16 A at 71 degC and six conductors:
// 10 AWG has 40 A x 0.5 x 0.8 = 16 A and passes; compounding would ask for 8.
func TestConductorNeverCompounds(t *testing.T) {
	in := onTerms()
	in.Ambient, in.CurrentCarrying = 71, 6
	got := must[Conductor](t)(edition(t, "2023").Conductor(ConductorInput{Maximum: 16, Continuous: true, Conditions: in}))
	if got.Size != size(t, "10") {
		t.Errorf("size %s, want 10 AWG", got.Size)
	}
	near(t, "test 1", got.RequiredBefore, 20)
	near(t, "test 2", got.RequiredTableAmpacity, 40)
}

func TestConductorHeldAgainstDevice(t *testing.T) {
	c := edition(t, "2020")
	in := ConductorInput{Maximum: 24, Continuous: true, Conditions: onTerms()}
	if got := must[Conductor](t)(c.Conductor(in)); got.Size != size(t, "10") {
		t.Errorf("30 A: %s, want 10 AWG", got.Size)
	}
	in.Overcurrent = 35 // 10 AWG may have no more than 30 A (240.4(D))
	if got := must[Conductor](t)(c.Conductor(in)); got.Size != size(t, "8") {
		t.Errorf("35 A device: %s, want 8 AWG", got.Size)
	}
	in.Maximum = 5000
	if _, err := c.Conductor(in); err == nil || !strings.Contains(err.Error(), "parallel") {
		t.Errorf("5000 A: error %v", err)
	}
	in = ConductorInput{Maximum: 24, Conditions: onTerms()}
	near(t, "not continuous", must[Conductor](t)(c.Conductor(in)).RequiredBefore, 24)
}

func TestStandardRatings(t *testing.T) {
	for _, ed := range editionsInFull {
		c := edition(t, ed)
		for _, kind := range []Device{Fuse, Breaker} {
			last := 0.0
			for x := 0.5; x <= 6000; x *= 1.07 {
				s := must[StandardOvercurrent](t)(c.StandardOvercurrent(x, kind))
				if s.Rating < x || s.Rating < last || !must[bool](t)(c.IsStandard(s.Rating, kind)) {
					t.Fatalf("%s %s: %v A for %v A", ed, kind, s.Rating, x)
				}
				last = s.Rating
			}
		}
	}
	for _, tc := range []struct {
		ed      string
		kind    Device
		current float64
		want    float64
	}{
		{"2017", Breaker, 9, 15}, {"2020", Breaker, 9, 15}, {"2023", Breaker, 9, 10}, {"2017", Fuse, 9, 10}, {"2023", Fuse, 0.4, 1},
		{"2023", Fuse, 5, 6}, {"2023", Fuse, 600.2, 601}, {"2023", Breaker, 600.2, 700}, {"2023", Breaker, 40, 40}, {"2023", Breaker, 40.0001, 45},
	} {
		near(t, tc.ed, must[StandardOvercurrent](t)(edition(t, tc.ed).StandardOvercurrent(tc.current, tc.kind)).Rating, tc.want)
	}
	if _, err := edition(t, "2023").StandardOvercurrent(10, "switch"); err == nil {
		t.Error("unknown device: no error")
	}
}

// TestProtection holds 240.4(B) to (D): next size up to 800 A, none above it,
// small conductors never past their limit.
func TestProtection(t *testing.T) {
	c := edition(t, "2023")
	for _, tc := range []struct {
		size     string
		m        Material
		ampacity float64
		want     float64
		rule     string
	}{
		{"8", Copper, 50, 50, "240.4(B)"}, {"6", Copper, 65, 70, "240.4(B)"}, {"10", Copper, 35, 30, "240.4(D)"}, {"10", Copper, 22, 25, "240.4(B)"},
		{"12", Copper, 25, 20, "240.4(D)"}, {"14", Copper, 20, 15, "240.4(D)"}, {"12", Aluminum, 20, 15, "240.4(D)"}, {"10", Aluminum, 30, 25, "240.4(D)"},
		{"500", Copper, 760, 800, "240.4(B)"}, {"500", Copper, 800, 800, "240.4(B)"}, {"500", Copper, 850, 800, "240.4(C)"}, {"500", Copper, 1000, 1000, "240.4(C)"},
	} {
		p := must[Protection](t)(c.Protection(size(t, tc.size), tc.m, tc.ampacity))
		near(t, tc.size+" "+string(tc.m), p.Largest, tc.want)
		if p.Rule != tc.rule {
			t.Errorf("%s at %v A: rule %s, want %s", tc.size, tc.ampacity, p.Rule, tc.rule)
		}
	}
}

func TestStringFuse(t *testing.T) {
	c := edition(t, "2023")
	// Both sides of the limit: two others of 8 A feed back exactly 20 A.
	for isc, want := range map[float64]bool{8: false, 8.01: true} {
		if f := must[StringFuse](t)(c.StringFuse(StringFuseInput{ShortCircuit: isc, Strings: 3, MaximumOvercurrent: 20, Ampacity: math.NaN()})); f.Required != want {
			t.Errorf("3 x %v A: required %v", isc, f.Required)
		}
	}
	// Conductors of 19.9 A bear less than the 20 A, those of 20 A as much.
	for ampacity, want := range map[float64]bool{19.9: true, 20: false, 30: false} {
		f := must[StringFuse](t)(c.StringFuse(StringFuseInput{ShortCircuit: 8, Strings: 3, MaximumOvercurrent: 20, Ampacity: ampacity}))
		if f.Required != want || f.ByConductors != want {
			t.Errorf("conductors of %v A: required %v, by conductors %v", ampacity, f.Required, f.ByConductors)
		}
		if work := strings.Join(f.Work(quantity.US), "\n"); !strings.Contains(work, "govern") {
			t.Errorf("calculation does not say what governs:\n%s", work)
		}
	}
	if f := must[StringFuse](t)(c.StringFuse(StringFuseInput{ShortCircuit: 12, Strings: 1, MaximumOvercurrent: 20, Ampacity: math.NaN()})); f.Required || f.Backfeed != 0 {
		t.Errorf("a single string: %v, %v A", f.Required, f.Backfeed)
	}
	// 13.5 A x 1.5625 = 21.09 A: the next fuse is 25 A, over the module's 20 A.
	f := must[StringFuse](t)(c.StringFuse(StringFuseInput{ShortCircuit: 13.5, Strings: 4, MaximumOvercurrent: 20, Ampacity: math.NaN()}))
	if f.Exists || !math.IsNaN(f.Rating) || !f.Required {
		t.Errorf("no fuse can exist, got %v A, exists %v", f.Rating, f.Exists)
	}
	if work := strings.Join(f.Work(quantity.US), "\n"); !strings.Contains(work, "no standard fuse") {
		t.Errorf("calculation does not say so:\n%s", work)
	}
	near(t, "exactly 20 A", must[StringFuse](t)(c.StringFuse(StringFuseInput{ShortCircuit: 12.8, Strings: 3, MaximumOvercurrent: 20, Ampacity: math.NaN()})).Rating, 20)
}

func TestEquipmentGroundNeverShrinks(t *testing.T) {
	for _, ed := range editionsInFull {
		c := edition(t, ed)
		for _, m := range []Material{Copper, Aluminum} {
			var last quantity.Size
			for a := 10.0; a <= 6000; a += 7 {
				g := must[EquipmentGround](t)(c.EquipmentGround(GroundInput{Overcurrent: a, Material: m, Sets: 1}))
				if g.Size < last {
					t.Fatalf("%s: %s at %v A after %s", ed, g.Size, a, last)
				}
				last = g.Size
			}
		}
	}
}

// The exemption reaches the AC circuits of a PV system where the edition speaks
// of PV system circuits.
func TestEquipmentGroundBeforeDisconnect(t *testing.T) {
	for ed, want := range map[string]string{"2017": "6", "2020": "10", "2023": "10"} {
		in := GroundInput{Overcurrent: 60, Material: Copper, Minimum: size(t, "6"), Installed: size(t, "4"), CircuitMaterial: Copper, Sets: 1, Why: ForVoltageDrop, Circuit: PVACCircuit}
		if g := must[EquipmentGround](t)(edition(t, ed).EquipmentGround(in)); g.Size != size(t, want) {
			t.Errorf("%s: %s, want %s", ed, g.Size, want)
		}
		in.Why = ForAnything
		if g := must[EquipmentGround](t)(edition(t, ed).EquipmentGround(in)); g.Size != size(t, "6") {
			t.Errorf("%s for another reason: %s", ed, g.Size)
		}
	}
}

func TestEquipmentGroundIncrease(t *testing.T) {
	for _, tc := range []struct {
		name         string
		device       float64
		minimum, in  string
		why, circuit string
		want         string
	}{
		{"no increase", 40, "8", "8", "", ACCircuit, "10"},
		{"smaller than the minimum is no increase", 40, "8", "10", "", ACCircuit, "10"},
		// 10380 x 26240/16510 = 16497 cmil: 8 AWG has 16510.
		{"8 to 6 AWG", 40, "8", "6", ForVoltageDrop, ACCircuit, "8"},
		// 10380 x 41740/26240 = 16512 cmil: just over the 16510 of 8 AWG, so 6 AWG, without tolerance.
		{"6 to 4 AWG", 60, "6", "4", ForVoltageDrop, ACCircuit, "6"},
		{"photovoltaic, voltage drop", 40, "8", "4", ForVoltageDrop, PVCircuit, "10"},
		{"photovoltaic, other reason", 60, "6", "4", ForAnything, PVCircuit, "6"},
		{"correction belongs to the minimum", 60, "6", "4", ForCorrection, ACCircuit, "10"},
		// A 20 A fuse on conductors that 60 A would need: the smallest size is that
		// for 20 A, so 6530 x 26240/6530 = 26240 cmil.
		{"fuse reduced", 20, "12", "6", ForAnything, ACCircuit, "6"},
		// 6530 x 105600/6530 is 1/0, no larger than the circuit's own.
		{"never larger than the circuit", 20, "12", "1/0", ForAnything, ACCircuit, "1/0"},
	} {
		for _, ed := range editionsInFull {
			g, err := edition(t, ed).EquipmentGround(GroundInput{Overcurrent: tc.device, Material: Copper, Minimum: size(t, tc.minimum), Installed: size(t, tc.in),
				CircuitMaterial: Copper, Sets: 1, Why: tc.why, Circuit: tc.circuit})
			if err != nil || g.Size != size(t, tc.want) {
				t.Errorf("%s %s: %s (%s), want %s; %v", ed, tc.name, g.Size, cmil(g.RequiredArea), tc.want, err)
			}
		}
	}
}

// TestEquipmentGroundCap: 250.122(A) caps the ground at the circuit's own size
// of the same metal, and not across metals or for parallel sets.
func TestEquipmentGroundCap(t *testing.T) {
	c := edition(t, "2023")
	in := GroundInput{Overcurrent: 30, Material: Copper, Minimum: size(t, "12"), Installed: size(t, "12"), CircuitMaterial: Copper, Sets: 1, Circuit: PVCircuit}
	g := must[EquipmentGround](t)(c.EquipmentGround(in))
	if !g.Capped || g.Size != size(t, "12") {
		t.Errorf("30 A on 12 AWG: %s, capped %v", g.Size, g.Capped)
	}
	in.CircuitMaterial = Aluminum
	if g = must[EquipmentGround](t)(c.EquipmentGround(in)); g.Capped || g.Size != size(t, "10") {
		t.Errorf("across metals: %s, capped %v", g.Size, g.Capped)
	}
	in = GroundInput{Overcurrent: 400, Material: Copper, Minimum: size(t, "4"), Installed: size(t, "4"), CircuitMaterial: Copper, Sets: 2, Circuit: ACCircuit}
	if g = must[EquipmentGround](t)(c.EquipmentGround(in)); g.Size != size(t, "3") {
		t.Errorf("two sets: %s, want the full 3 AWG in each", g.Size)
	}
	in.Why = "budget"
	if _, err := c.EquipmentGround(in); err == nil {
		t.Error("unknown reason: no error")
	}
}

func TestElectrodeConductorRows(t *testing.T) {
	c := edition(t, "2023")
	for _, tc := range []struct {
		service  string
		m        Material
		sets     int
		of       Material
		sole     string
		wantSize string
	}{
		{"2", Copper, 1, Copper, "", "8"}, {"1", Copper, 1, Copper, "", "6"}, {"1/0", Copper, 1, Copper, "", "6"}, {"2/0", Copper, 1, Copper, "", "4"},
		{"4/0", Copper, 1, Copper, "", "2"}, {"350", Copper, 1, Copper, "", "2"}, {"400", Copper, 1, Copper, "", "1/0"}, {"700", Copper, 1, Copper, "", "2/0"},
		{"600", Copper, 2, Copper, "", "3/0"}, {"1/0", Aluminum, 1, Copper, "", "8"}, {"2/0", Aluminum, 1, Copper, "", "6"}, {"250", Aluminum, 1, Copper, "", "4"},
		{"4/0", Aluminum, 1, Aluminum, "", "2"}, {"4/0", Copper, 1, Copper, "rod", "6"}, {"2", Copper, 1, Copper, "rod", "8"},
		{"4/0", Copper, 1, Copper, "concrete-encased", "4"}, {"4/0", Copper, 1, Copper, "water-pipe", "2"}, {"1/0", Copper, 2, Copper, "", "2"},
	} {
		e := must[ElectrodeConductor](t)(c.ElectrodeConductor(size(t, tc.service), tc.m, tc.sets, tc.of, tc.sole))
		if e.Size != size(t, tc.wantSize) {
			t.Errorf("%d x %s %s, %s to %q: %s, want %s", tc.sets, tc.service, tc.m, tc.of, tc.sole, e.Size, tc.wantSize)
		}
	}
	if _, err := c.ElectrodeConductor(size(t, "4/0"), Copper, 1, Aluminum, "concrete-encased"); err == nil {
		t.Error("aluminum to concrete: no error")
	}
	if _, err := c.ElectrodeConductor(size(t, "4/0"), Copper, 1, Copper, "tree"); err == nil {
		t.Error("unknown electrode: no error")
	}
	for _, tc := range []struct {
		largest string
		m       Material
		sole    string
		want    string
	}{{"10", Copper, "", "8"}, {"4", Copper, "", "4"}, {"500", Copper, "", "3/0"}, {"10", Aluminum, "", "6"}, {"500", Aluminum, "", "250"}, {"4", Copper, "rod", "6"}, {"2", Copper, "concrete-encased", "4"}} {
		e := must[ElectrodeConductor](t)(c.DCElectrodeConductor(size(t, tc.largest), tc.m, tc.sole))
		if e.Size != size(t, tc.want) {
			t.Errorf("direct current, %s %s to %q: %s, want %s", tc.largest, tc.m, tc.sole, e.Size, tc.want)
		}
	}
}

func TestGroundNeedsProtection(t *testing.T) {
	c := edition(t, "2023")
	for s, want := range map[string]bool{"10": true, "8": true, "6": false, "4": false} {
		got, ref, err := c.GroundNeedsProtection(size(t, s))
		if err != nil || got != want || ref.Section == "" {
			t.Errorf("%s: %v %v %v", s, got, ref, err)
		}
	}
	if _, _, err := c.GroundNeedsProtection(0); err == nil {
		t.Error("unknown size: no error")
	}
}

func TestInsulationByMarkings(t *testing.T) {
	c := edition(t, "2020")
	for given, want := range map[string]string{
		"thwn-2": "THWN-2", "THWN-2/THHN": "THHN/THWN-2", "THHN / THWN-2": "THHN/THWN-2", "THHN or THWN-2": "THHN/THWN-2",
		"Type PV": "PV", "PV  WIRE": "PV wire", "PV-Wire": "PV wire", "RHW-2/USE-2": "USE-2/RHW-2", "Type USE-2": "USE-2",
		"USE-2/RHH/RHW-2": "USE-2/RHW-2", "type mc": "MC",
	} {
		if in := must[Insulation](t)(c.Insulation(given, Unstated)); in.Name != want {
			t.Errorf("%q is %s, want %s", given, in.Name, want)
		}
	}
	for _, given := range []string{"", "/", "THHN/THNW-2", "wire", "type"} {
		if in, err := c.Insulation(given, Unstated); err == nil {
			t.Errorf("%q is taken for %s", given, in.Name)
		}
	}
}

func TestExposedInsulation(t *testing.T) {
	for ed, want := range map[string]bool{"2017": true, "2020": false, "2023": false} {
		may, basis, err := edition(t, ed).Exposed("USE-2")
		if err != nil || may != want || len(basis.Refs) == 0 {
			t.Errorf("%s: USE-2 %v, %d references, %v", ed, may, len(basis.Refs), err)
		}
		for name, want := range map[string]bool{"pv wire 125": true, "RHW-2/USE-2": true, "THWN-2": false, "RHW-2": false} {
			if may, _, err := edition(t, ed).Exposed(name); err != nil || may != want {
				t.Errorf("%s: %s %v, %v", ed, name, may, err)
			}
		}
	}
}
