package electrical

import (
	"math"
	"strings"
	"testing"

	"plumbrule/internal/quantity"
)

// TestBusbarOptions holds both sides of every option's limit by hand.
func TestBusbarOptions(t *testing.T) {
	base := BusbarInput{Busbar: 200, Main: 200}
	with := func(f func(*BusbarInput)) BusbarInput {
		in := base
		f(&in)
		return in
	}
	for _, tc := range []struct {
		name string
		ed   string
		in   BusbarInput
		req  float64
		all  float64
		met  bool
	}{
		{"120 % met at the limit", "2020", with(func(b *BusbarInput) { b.Option, b.Sources, b.Position = OptionOppositeEnd, []float64{32}, OppositeEnd }), 240, 240, true},
		{"120 % not met", "2020", with(func(b *BusbarInput) {
			b.Option, b.Sources, b.Position = OptionOppositeEnd, []float64{32.1}, OppositeEnd
		}), 240.125, 240, false},
		{"120 % at another place", "2020", with(func(b *BusbarInput) {
			b.Option, b.Sources, b.Position = OptionOppositeEnd, []float64{20}, OtherPosition
		}), 225, 240, false},
		{"sum met", "2017", with(func(b *BusbarInput) { b.Option, b.Main, b.Sources = OptionSum, 150, []float64{20, 20} }), 200, 200, true},
		{"sum not met", "2017", with(func(b *BusbarInput) { b.Option, b.Main, b.Sources = OptionSum, 150, []float64{20, 20.1} }), 200.125, 200, false},
		{"devices met", "2023", with(func(b *BusbarInput) {
			b.Option, b.SourceBreakers, b.LoadBreakers = OptionBreakerSum, []float64{60, 40}, []float64{50, 50}
		}), 200, 200, true},
		{"devices not met", "2023", with(func(b *BusbarInput) {
			b.Option, b.SourceBreakers, b.LoadBreakers = OptionBreakerSum, []float64{60, 40}, []float64{50, 60}
		}), 210, 200, false},
		{"devices met, supply over the busbar", "2023", with(func(b *BusbarInput) {
			b.Option, b.Main, b.SourceBreakers, b.LoadBreakers = OptionBreakerSum, 225, []float64{60}, []float64{50}
		}), 110, 200, false},
		{"centre-fed", "2020", with(func(b *BusbarInput) { b.Option, b.Sources, b.Position = OptionCenterFed, []float64{32}, OppositeEnd }), 240, 240, true},
		{"feed-through", "2023", with(func(b *BusbarInput) {
			b.Option, b.Main, b.Sources, b.FeedThrough = OptionFeedThrough, 160, []float64{32}, &FeedThrough{Ampacity: 200}
		}), 200, 200, true},
		{"power control", "2023", with(func(b *BusbarInput) { b.Option, b.Limit = OptionPowerControl, 200 }), 200, 200, true},
		{"power control over", "2023", with(func(b *BusbarInput) { b.Option, b.Limit = OptionPowerControl, 201 }), 201, 200, false},
	} {
		b, err := edition(t, tc.ed).Busbar(tc.in)
		if err != nil {
			t.Errorf("%s: %v", tc.name, err)
			continue
		}
		near(t, tc.name+" required", b.Required, tc.req)
		near(t, tc.name+" allowed", b.Allowed, tc.all)
		if b.Met != tc.met {
			t.Errorf("%s: met %v\n%s", tc.name, b.Met, strings.Join(b.Work(quantity.US), "\n"))
		}
	}
}

// TestBusbarSections holds the numbers that move between the editions; 2023
// swapped the engineered and the feed-through option.
func TestBusbarSections(t *testing.T) {
	for _, tc := range []struct{ ed, option, want string }{
		{"2017", OptionOppositeEnd, "705.12(B)(2)(3)(b)"}, {"2020", OptionOppositeEnd, "705.12(B)(3)(2)"}, {"2023", OptionOppositeEnd, "705.12(B)(2)"},
		{"2017", OptionBreakerSum, "705.12(B)(2)(3)(c)"}, {"2020", OptionBreakerSum, "705.12(B)(3)(3)"}, {"2023", OptionBreakerSum, "705.12(B)(3)"},
		{"2020", OptionEngineered, "705.12(B)(3)(5)"}, {"2020", OptionFeedThrough, "705.12(B)(3)(6)"},
		{"2023", OptionEngineered, "705.12(B)(6)"}, {"2023", OptionFeedThrough, "705.12(B)(5)"}, {"2017", OptionFeedThrough, ""},
	} {
		got, _, ok := edition(t, tc.ed).BusbarOptionSection(tc.option)
		if got != tc.want || ok != (tc.want != "") {
			t.Errorf("%s %s: %q, want %q", tc.ed, tc.option, got, tc.want)
		}
	}
}

// TestOutsideTheOptions: before 2023 equipment that can supply one circuit only
// is outside the options, from 2023 equipment listed for combining.
func TestOutsideTheOptions(t *testing.T) {
	for _, tc := range []struct {
		ed             string
		single, listed bool
		want           bool
	}{{"2017", true, false, false}, {"2020", true, false, false}, {"2023", true, false, true}, {"2017", false, true, true}, {"2020", false, true, true}, {"2023", false, true, false}, {"2020", false, false, true}} {
		b := must[Busbar](t)(edition(t, tc.ed).Busbar(BusbarInput{Option: OptionSum, Busbar: 60, Main: 60, Sources: []float64{32}, SingleCircuit: tc.single, Listed: tc.listed}))
		if b.Applies != tc.want {
			t.Errorf("%s, one circuit %v, listed %v: applies %v", tc.ed, tc.single, tc.listed, b.Applies)
		}
	}
}

// TestPositions: the 120 % option needs the far end; a centre-fed busbar takes
// sources at one end, from 2023 at both.
func TestPositions(t *testing.T) {
	for _, tc := range []struct {
		ed, option, position string
		want                 bool
	}{
		{"2017", OptionOppositeEnd, BothEnds, false}, {"2023", OptionOppositeEnd, BothEnds, false}, {"2023", OptionOppositeEnd, OppositeEnd, true},
		{"2017", OptionCenterFed, BothEnds, false}, {"2020", OptionCenterFed, BothEnds, false}, {"2023", OptionCenterFed, BothEnds, true},
		{"2017", OptionCenterFed, OppositeEnd, true}, {"2023", OptionCenterFed, OtherPosition, false}, {"2017", OptionSum, BothEnds, true},
	} {
		b := must[Busbar](t)(edition(t, tc.ed).Busbar(BusbarInput{Option: tc.option, Busbar: 200, Main: 150, Sources: []float64{32}, Position: tc.position}))
		if b.PositionFits != tc.want || b.Met != tc.want {
			t.Errorf("%s %s %s: fits %v, met %v", tc.ed, tc.option, tc.position, b.PositionFits, b.Met)
		}
	}
}

// TestFeedThrough: the conductors are sized as a feeder with the sources on it,
// 2023 NEC 705.12(B)(5); the busbar by the plain sum, or by an option of its own
// where a device protects them.
func TestFeedThrough(t *testing.T) {
	in := BusbarInput{Option: OptionFeedThrough, Busbar: 225, Main: 200, Sources: []float64{32}, Position: OppositeEnd}
	for _, tc := range []struct {
		through            FeedThrough
		conductors, wanted float64 // ampacity of the conductors, share of the busbar
		met                bool
	}{
		{FeedThrough{Ampacity: 240}, 240, 225, false}, // 240 A on the busbar itself
		{FeedThrough{Ampacity: 240, Overcurrent: 200, Option: OptionOppositeEnd}, 200, 270, true},
		{FeedThrough{Ampacity: 199, Overcurrent: 200, Option: OptionOppositeEnd}, 200, 270, false},
		{FeedThrough{Ampacity: 200, LoadSide: 200, Option: OptionOppositeEnd}, 200, 225, false}, // no device at the supply end
		{FeedThrough{Ampacity: 100, Overcurrent: 100, Option: OptionSum}, 100, 225, false},
	} {
		in := in
		in.FeedThrough = &tc.through
		b := must[Busbar](t)(edition(t, "2023").Busbar(in))
		near(t, "conductors", b.Conductors, tc.conductors)
		near(t, "allowed", b.Allowed, tc.wanted)
		if b.Met != tc.met {
			t.Errorf("%+v: met %v", tc.through, b.Met)
		}
	}
	if _, err := edition(t, "2023").Busbar(in); err == nil {
		t.Error("feed-through conductors of no ampacity: no error")
	}
}

// TestGatheringPanel: three branches of 20 A on a 60 A busbar without loads.
func TestGatheringPanel(t *testing.T) {
	in := BusbarInput{Option: OptionBreakerSum, Busbar: 60, Main: 60, SourceBreakers: []float64{20, 20, 20}, NoLoads: true}
	if b := must[Busbar](t)(edition(t, "2020").Busbar(in)); b.Required != 60 || !b.Met {
		t.Errorf("required %v, met %v", b.Required, b.Met)
	}
	in.LoadBreakers = []float64{15}
	if _, err := edition(t, "2020").Busbar(in); err == nil {
		t.Error("a load device without loads: no error")
	}
}

// TestBondingJumper: Table 250.102(C)(1) stops at 1100 kcmil copper; beyond it
// 12.5 % of the area. Three 500 kcmil: 187.5 kcmil, 4/0 AWG; each in a raceway
// of its own 500 kcmil, 1/0 AWG.
func TestBondingJumper(t *testing.T) {
	for _, tc := range []struct {
		size  string
		of    Material
		sets  int
		apart bool
		m     Material
		want  string
	}{
		{"6", Copper, 1, false, Copper, "8"}, {"500", Copper, 3, false, Copper, "4/0"}, {"500", Copper, 3, true, Copper, "1/0"},
		{"500", Copper, 2, false, Copper, "2/0"}, {"600", Copper, 2, false, Copper, "3/0"}, {"750", Aluminum, 3, false, Aluminum, "300"},
		{"250", Aluminum, 1, false, Copper, "4"},
	} {
		b := must[BondingJumper](t)(edition(t, "2020").BondingJumper(BondingInput{Ungrounded: size(t, tc.size), Of: tc.of, Sets: tc.sets, Apart: tc.apart, Material: tc.m}))
		if b.Size != size(t, tc.want) {
			t.Errorf("%d x %s %s: %s, expected %s\n%s", tc.sets, tc.size, tc.of, b.Size, tc.want, strings.Join(b.Work(quantity.US), "\n"))
		}
	}
	if _, err := edition(t, "2020").BondingJumper(BondingInput{Ungrounded: size(t, "500"), Of: Copper, Sets: 3, Material: Aluminum}); err == nil {
		t.Error("another metal beyond the table: no error")
	}
	e := must[ElectrodeConductor](t)(edition(t, "2020").ElectrodeConductor(size(t, "500"), Copper, 3, Copper, "building"))
	if e.Size != size(t, "3/0") {
		t.Errorf("the electrode conductor grew to %s", e.Size)
	}
}

func TestBusbarRefusals(t *testing.T) {
	c := edition(t, "2023")
	for name, in := range map[string]BusbarInput{
		"unknown option":    {Option: "120", Busbar: 200, Main: 200, Sources: []float64{32}},
		"engineered":        {Option: OptionEngineered, Busbar: 200, Main: 200, Sources: []float64{32}},
		"no sources":        {Option: OptionSum, Busbar: 200, Main: 200},
		"no load devices":   {Option: OptionBreakerSum, Busbar: 200, Main: 200, SourceBreakers: []float64{40}},
		"no limit":          {Option: OptionPowerControl, Busbar: 200, Main: 200},
		"busbar of nothing": {Option: OptionSum, Busbar: math.NaN(), Main: 200, Sources: []float64{32}},
		"source of nothing": {Option: OptionSum, Busbar: 200, Main: 200, Sources: []float64{32, math.NaN()}},
		"unknown position":  {Option: OptionOppositeEnd, Busbar: 200, Main: 200, Sources: []float64{32}, Position: "top"},
	} {
		if b, err := c.Busbar(in); err == nil {
			t.Errorf("%s: no error, met %v", name, b.Met)
		}
	}
	b := must[Busbar](t)(c.Busbar(BusbarInput{Option: OptionOppositeEnd, Busbar: 200, Main: 200, Sources: []float64{32}}))
	if b.PositionKnown {
		t.Error("no position is given but it counts as known")
	}
}

func TestFeederConnection(t *testing.T) {
	for _, ed := range editionsInFull {
		c := edition(t, ed)
		f := must[FeederConnection](t)(c.FeederConnection(FeederInput{Ampacity: 140, Overcurrent: 100, Sources: []float64{32}}))
		near(t, "required", f.Required, 140)
		if !f.Met {
			t.Errorf("%s: 140 A against 140 A is not met", ed)
		}
		f = must[FeederConnection](t)(c.FeederConnection(FeederInput{Ampacity: 139, Overcurrent: 100, Sources: []float64{32}}))
		if f.Met {
			t.Errorf("%s: 140 A against 139 A is met", ed)
		}
		f = must[FeederConnection](t)(c.FeederConnection(FeederInput{Ampacity: 115, Overcurrent: 100, Sources: []float64{32}, LoadSide: 110}))
		if !f.Met || f.Required != 110 {
			t.Errorf("%s: load-side device: required %v, met %v", ed, f.Required, f.Met)
		}
	}
	end := must[FeederConnection](t)(edition(t, "2023").FeederConnection(FeederInput{Ampacity: 100, Overcurrent: 100, Sources: []float64{32}, Position: OppositeEnd}))
	if end.Required != 40 || !end.Met {
		t.Errorf("at the opposite end: required %v, met %v", end.Required, end.Met)
	}
	if f := must[FeederConnection](t)(edition(t, "2023").FeederConnection(FeederInput{Ampacity: 100, Overcurrent: 100, Sources: []float64{96}, LoadSide: 60})); f.Required != 120 || f.Met {
		t.Errorf("a feeder below 125 %% of its sources: required %v, met %v", f.Required, f.Met)
	}
	if _, err := edition(t, "2020").FeederConnection(FeederInput{Ampacity: 115, Overcurrent: 100}); err == nil {
		t.Error("no sources: no error")
	}
}

// TestFeederTap: a tenth to 10 ft, a third to 25 ft, the whole beyond; the
// sources add 125 % of their output, in 2023 over 10 ft their devices. No tap is
// below 125 % of its sources or the device that it ends in.
func TestFeederTap(t *testing.T) {
	for _, tc := range []struct {
		ed       string
		feet     float64
		breakers []float64
		want     float64
	}{
		{"2017", 10, nil, 60}, {"2017", 10.1, nil, 260.0 / 3}, {"2020", 25, nil, 260.0 / 3}, {"2020", 25.1, nil, 260},
		{"2023", 10, []float64{70}, 70}, {"2023", 20, []float64{70}, 90}, {"2023", 20, nil, 260.0 / 3}, {"2023", 26, []float64{70}, 260},
	} {
		tap := must[FeederTap](t)(edition(t, tc.ed).FeederTap(TapInput{Length: tc.feet * quantity.Foot, Overcurrent: 200, Sources: []float64{48}, SourceBreakers: tc.breakers, Ampacity: 90}))
		near(t, tc.ed+" "+plain(tc.feet, 1)+" ft", tap.Required, tc.want)
		if tap.Met != (tc.want <= 90) {
			t.Errorf("%s %v ft: met %v for %v A against 90 A", tc.ed, tc.feet, tap.Met, tap.Required)
		}
	}
}

func TestSupplySide(t *testing.T) {
	in := SupplyInput{Rating: 200, Sources: []float64{24}, Material: Copper, Place: PlaceDwelling}
	for ed, want := range map[string]string{"2017": "8", "2020": "6", "2023": "6", "2026": "6"} {
		s := must[SupplySide](t)(edition(t, ed).SupplySide(in))
		if s.MinimumSize != size(t, want) {
			t.Errorf("%s: %s, want %s", ed, s.MinimumSize, want)
		}
	}
	for _, tc := range []struct {
		ed, place string
		want      float64
	}{
		{"2017", PlaceDwelling, 10}, {"2017", PlaceOther, 10}, {"2020", PlaceDwelling, 10}, {"2020", PlaceOther, 16.5}, {"2020", PlaceEngineered, 66},
		{"2023", PlaceDwelling, math.NaN()}, {"2026", PlaceDwelling, 10}, {"2026", PlaceOther, 16.5}, {"2026", PlaceEngineered, 66}, {"2026", PlaceOutside, math.NaN()},
	} {
		in := in
		in.Place = tc.place
		got := must[SupplySide](t)(edition(t, tc.ed).SupplySide(in)).LengthLimit / quantity.Foot
		if math.IsNaN(got) != math.IsNaN(tc.want) || math.Abs(got-tc.want) > 1e-9 {
			t.Errorf("%s %s: %v ft, want %v", tc.ed, tc.place, got, tc.want)
		}
	}
	in.Sources, in.Size, in.Length = []float64{48}, size(t, "6"), 10*quantity.Foot
	s := must[SupplySide](t)(edition(t, "2020").SupplySide(in))
	if !s.Met || s.MinimumSize != size(t, "6") { // 60 A: 6 AWG has 65 A at 75 degC
		t.Errorf("48 A on 6 AWG over 10 ft: met %v, minimum %s", s.Met, s.MinimumSize)
	}
	in.Length = 10.1 * quantity.Foot
	if s = must[SupplySide](t)(edition(t, "2020").SupplySide(in)); s.Met || s.LengthMet {
		t.Error("10.1 ft in a dwelling is met")
	}
	in.Length, in.Size = 0, size(t, "8")
	if s = must[SupplySide](t)(edition(t, "2020").SupplySide(in)); s.Met || s.SizeMet {
		t.Error("8 AWG is met")
	}
	in.Place = "yard"
	if _, err := edition(t, "2020").SupplySide(in); err == nil {
		t.Error("unknown place: no error")
	}
}

// TestSumAgainstService: 2017 sums the sources' devices, from 2020 their
// outputs.
func TestSumAgainstService(t *testing.T) {
	in := SupplyInput{Rating: 200, Sources: []float64{96, 96}, SourceBreakers: []float64{125, 125}, Material: Copper, Place: PlaceOther}
	for ed, want := range map[string]float64{"2017": 250, "2020": 192, "2023": 192} {
		s := must[SupplySide](t)(edition(t, ed).SupplySide(in))
		near(t, ed, s.Sum, want)
		if s.SumMet != (want <= 200) {
			t.Errorf("%s: sum met %v", ed, s.SumMet)
		}
	}
	in.SourceBreakers, in.Sources, in.OtherSources = []float64{60}, []float64{47.5}, []float64{152.5} // 60 A and 200 A
	near(t, "2017 with another source", must[SupplySide](t)(edition(t, "2017").SupplySide(in)).Sum, 260)
	near(t, "2020 with another source", must[SupplySide](t)(edition(t, "2020").SupplySide(in)).Sum, 200)
	in.SourceBreakers = []float64{40}
	if _, err := edition(t, "2017").SupplySide(in); err == nil {
		t.Error("a device below the output of its sources: no error")
	}
	in.Sources, in.OtherSources = []float64{96, 96}, nil
	in.SourceBreakers = nil // 96 A x 1.25 = 120 A, next standard 125 A
	near(t, "2017 without devices", must[SupplySide](t)(edition(t, "2017").SupplySide(in)).Sum, 250)
}

// TestVoltageDrop checks by hand: 10 AWG copper 1.24 ohm/kft at 75 degC, at 50
// degC x (1 - 25 x 0.00323).
func TestVoltageDrop(t *testing.T) {
	c := edition(t, "2023")
	in := DropInput{Size: size(t, "10"), Material: Copper, Length: 100 * quantity.Foot, Current: 10, Voltage: 400, System: DC, Temperature: 75, Sets: 1}
	v := must[VoltageDrop](t)(c.VoltageDrop(in))
	near(t, "drop", v.Drop, 2*10*1.24*0.1)
	near(t, "share", v.Share, 2.48/400)
	in.Temperature = 50
	near(t, "cooler", must[VoltageDrop](t)(c.VoltageDrop(in)).Drop, 2.48*(1-25*0.00323))
	in.Temperature, in.System = 75, ThreePhase
	near(t, "three-phase", must[VoltageDrop](t)(c.VoltageDrop(in)).Drop, 1.24*math.Sqrt(3))
	in.System, in.Sets = SplitPhase, 2
	near(t, "two sets", must[VoltageDrop](t)(c.VoltageDrop(in)).Drop, 1.24)
	in.Sets, in.Solid = 1, true
	near(t, "solid", must[VoltageDrop](t)(c.VoltageDrop(in)).Drop, 2*1.21)
}

// TestImpedance checks R cos + X sin by hand for 250 kcmil copper in steel at
// 0.85: 0.054 x 0.85 + 0.052 x 0.527 = 0.0733 ohm/kft, and that without a
// conduit the worst of them is taken.
func TestImpedance(t *testing.T) {
	c := edition(t, "2023")
	in := DropInput{Size: size(t, "250"), Material: Copper, Length: 1000 * quantity.Foot, Current: 100, Voltage: 480, System: ThreePhase, Temperature: 75, Sets: 1, PowerFactor: 0.85, Conduit: "steel"}
	v := must[VoltageDrop](t)(c.VoltageDrop(in))
	near(t, "steel", v.Drop, math.Sqrt(3)*100*(0.054*0.85+0.052*math.Sqrt(1-0.85*0.85)))
	worst := 0.0
	for _, conduit := range Conduits {
		in.Conduit = conduit
		worst = math.Max(worst, must[VoltageDrop](t)(c.VoltageDrop(in)).Drop)
	}
	in.Conduit = ""
	near(t, "worst conduit", must[VoltageDrop](t)(c.VoltageDrop(in)).Drop, worst)
	for _, bad := range []func(*DropInput){
		func(d *DropInput) { d.PowerFactor = 1.1 }, func(d *DropInput) { d.PowerFactor = -0.5 }, func(d *DropInput) { d.System = DC },
		func(d *DropInput) { d.Conduit = "lead" }, func(d *DropInput) { d.Temperature = -400 }, func(d *DropInput) { d.Length = 0 },
		func(d *DropInput) { d.Size = 0 }, func(d *DropInput) { d.Sets = 0 }, func(d *DropInput) { d.Voltage = math.NaN() },
	} {
		d := in
		bad(&d)
		if got, err := c.VoltageDrop(d); err == nil {
			t.Errorf("%+v: no error, %v V", d, got.Drop)
		}
	}
}

func TestParseContents(t *testing.T) {
	got := must[[]Content](t)(ParseContents("4x10 THWN-2, 1 x 8 AWG bare,2x250 kcmil XHHW-2,3x0.28 in,1x10 bare solid"))
	want := []Content{
		{Count: 4, Size: size(t, "10"), Insulation: "THWN-2"}, {Count: 1, Size: size(t, "8"), Insulation: "bare"}, {Count: 2, Size: size(t, "250"), Insulation: "XHHW-2"},
		{Count: 3, Diameter: 0.28 * quantity.Inch}, {Count: 1, Size: size(t, "10"), Insulation: "bare solid"},
	}
	if len(got) != len(want) {
		t.Fatalf("%+v", got)
	}
	for i := range want {
		if got[i].Count != want[i].Count || got[i].Size != want[i].Size || got[i].Insulation != want[i].Insulation || math.Abs(got[i].Diameter-want[i].Diameter) > 1e-12 {
			t.Errorf("part %d: %+v, want %+v", i+1, got[i], want[i])
		}
	}
	for _, bad := range []string{"", "4x", "x10 THWN-2", "0x10 THWN-2", "4x10", "4x11 THWN-2", "four x 10 THWN-2", "4x-0.3 in", "4x10 THWN-2,"} {
		if c, err := ParseContents(bad); err == nil {
			t.Errorf("%q: read as %+v", bad, c)
		}
	}
}

// TestRacewayFill: limits by count (Chapter 9 Table 1) on both sides, bare and
// round cables by their own area.
func TestRacewayFill(t *testing.T) {
	c := edition(t, "2023")
	fill := func(raceway, trade, contents string, nipple bool) Fill {
		t.Helper()
		return must[Fill](t)(c.RacewayFill(raceway, trade, must[[]Content](t)(ParseContents(contents)), nipple))
	}
	for contents, want := range map[string]float64{"1x10 THWN-2": 0.53, "2x10 THWN-2": 0.31, "3x10 THWN-2": 0.40} {
		near(t, contents, fill("EMT", "1", contents, false).Limit, want)
	}
	near(t, "nipple", fill("EMT", "1", "9x10 THWN-2", true).Limit, 0.6)
	// 3/4 EMT takes 0.213 in2: ten 10 AWG THWN-2 have 0.211.
	if f := fill("EMT", "3/4", "10x10 THWN-2", false); !f.Met {
		t.Errorf("ten fill %v", f.Share)
	}
	if f := fill("EMT", "3/4", "11x10 THWN-2", false); f.Met {
		t.Errorf("eleven fill %v", f.Share)
	}
	near(t, "bare", fill("EMT", "1", "1x10 bare", false).ConductorArea/quantity.SquareInch, 0.011)
	near(t, "bare solid", fill("EMT", "1", "1x10 bare solid", false).ConductorArea/quantity.SquareInch, 0.008)
	near(t, "round", fill("PVC-40", "1-1/4", "4x0.28 in", false).ConductorArea/quantity.SquareInch, math.Pi*0.28*0.28)
	near(t, "RHW-2", fill("PVC-80", "1 1/4 in", "1x8 RHW-2", false).ConductorArea/quantity.SquareInch, 0.0835)
	for _, bad := range [][2]string{{"GRC", "1"}, {"EMT", "9"}} {
		if _, err := c.RacewayFill(bad[0], bad[1], []Content{{Count: 1, Size: size(t, "10"), Insulation: "THWN-2"}}, false); err == nil {
			t.Errorf("%v: no error", bad)
		}
	}
	if _, err := c.RacewayFill("EMT", "1", nil, false); err == nil {
		t.Error("an empty raceway: no error")
	}
	if _, err := c.RacewayFill("EMT", "1", []Content{{Count: 1, Size: size(t, "10"), Insulation: "USE-2"}}, false); err == nil {
		t.Error("USE-2 without a diameter: no error")
	}
}

// TestWorkingSpace holds both sides of each voltage band.
func TestWorkingSpace(t *testing.T) {
	c := edition(t, "2020")
	for _, tc := range []struct {
		volts     float64
		condition int
		feet      float64
	}{{120, 1, 3}, {150, 3, 3}, {150.5, 3, 4}, {151, 2, 3.5}, {600, 3, 4}, {601, 3, 5}, {1000, 2, 4}, {600.5, 2, 4}} {
		w := must[WorkingSpace](t)(c.WorkingSpace(tc.volts, tc.condition, 0, 0))
		near(t, volts(tc.volts), w.Depth/quantity.Foot, tc.feet)
		near(t, "width", w.Width/quantity.Inch, 30)
		near(t, "height", w.Height/quantity.Foot, 6.5)
	}
	near(t, "tall equipment", must[WorkingSpace](t)(c.WorkingSpace(120, 1, 0, 7*quantity.Foot)).Height/quantity.Foot, 7)
	for _, bad := range []struct {
		v float64
		k int
		w float64
	}{{1000.1, 1, 0}, {0, 1, 0}, {120, 0, 0}, {120, 4, 0}, {math.NaN(), 1, 0}, {120, 1, -1}, {120, 1, math.NaN()}} {
		if _, err := c.WorkingSpace(bad.v, bad.k, bad.w, 0); err == nil {
			t.Errorf("%+v: no error", bad)
		}
	}
}

// TestVerifyMarksWeakValues: a result that rests on a value from memory says
// so, one on published values alone does not.
func TestVerifyMarksWeakValues(t *testing.T) {
	c := edition(t, "2023")
	in := onTerms()
	if a := must[Ampacity](t)(c.Ampacity(size(t, "10"), in)); a.Verify() {
		t.Errorf("published values are marked: %v", a.Cite())
	}
	in.Insulation = "PV wire 125"
	if a := must[Ampacity](t)(c.Ampacity(size(t, "10"), in)); !a.Verify() || !strings.Contains(strings.Join(a.Cite(), "\n"), "(from memory)") {
		t.Errorf("values from memory are not marked: %v", a.Cite())
	}
}
