package electrical

import (
	"math"
	"strings"
	"testing"

	"plumbrule/internal/quantity"
)

// worker is a result that shows its calculation.
type worker interface {
	Work(quantity.System) []string
	Cite() []string
}

// TestWorkShowsItsNumbers wants of every result a calculation in both systems
// of units with its numbers put in, and the places that it rests on.
func TestWorkShowsItsNumbers(t *testing.T) {
	c, later := edition(t, "2020"), edition(t, "2026")
	f := must[ColdFactor](t)(c.ColdByTable(-12))
	hot := onTerms()
	hot.Insulation, hot.OnRoof, hot.AboveRoof, hot.CurrentCarrying, hot.Sets = "THWN-2", true, 0.01, 6, 2
	nm := onTerms()
	nm.Insulation, nm.ShortRaceway = "NM-B", true
	roundedFactor := must[ColdFactor](t)(later.ColdByCoefficient(-12, -0.0027))
	for _, tc := range []struct {
		name string
		got  worker
		says []string
	}{
		{"cold voltage", must[StringVoltage](t)(c.ColdVoltage(Series{49.5, 12, f})), []string{"-11 to -15", "1.16", "689.04 V"}},
		{"rounded voltage", must[StringVoltage](t)(later.ColdVoltage(Series{49.5, 12, roundedFactor})), []string{"rounded", "-> "}},
		{"warm factor", must[ColdFactor](t)(c.ColdByCoefficient(30, -0.003)), []string{"above", "factor 1"}},
		{"longest string", must[LongestString](t)(c.LongestString(49.5, f, 600)), []string{"600 V / 57.42 V = 10.45, so 10 modules"}},
		{"hot voltage", must[HotVoltage](t)(c.HotVoltage(41, 10, 40, 30, -0.0035)), []string{"70 degC"}},
		{"converters", must[ConverterVoltage](t)(c.ConverterVoltage(8, 60)), []string{"8 converters x 60 V = 480 V"}},
		{"circuit current", must[CircuitCurrent](t)(c.CircuitCurrent([]float64{10, 9}, 0.1)), []string{"10 A + 9 A = 19 A", "(1 + 0.1)"}},
		{"output current", must[OutputCurrent](t)(c.OutputCurrent(1.21, 10, SinglePhase, ThreePhase)), []string{"4, 3 and 3"}},
		{"ampacity", must[Ampacity](t)(c.Ampacity(size(t, "1/0"), hot)), []string{"2 sets", "33 K"}},
		{"limited ampacity", must[Ampacity](t)(c.Ampacity(size(t, "12"), nm)), []string{"lower column", "too short"}},
		{"conductor", must[Conductor](t)(c.Conductor(ConductorInput{Maximum: 14.35, Continuous: true, Conditions: onTerms()})), []string{"test 1", "17.94 A", "smallest size = "}},
		{"standard", must[StandardOvercurrent](t)(c.StandardOvercurrent(17.9, Fuse)), []string{"20 A"}},
		{"protection", must[Protection](t)(c.Protection(size(t, "10"), Copper, 35)), []string{"240.4(D)", "30 A"}},
		{"string fuse", must[StringFuse](t)(c.StringFuse(StringFuseInput{ShortCircuit: 9.5, Strings: 3, MaximumOvercurrent: 20, Ampacity: math.NaN()})), []string{"23.75 A", "15 A"}},
		{"ground", must[EquipmentGround](t)(c.EquipmentGround(GroundInput{Overcurrent: 20, Material: Copper, Minimum: size(t, "12"), Installed: size(t, "6"), CircuitMaterial: Copper, Sets: 1, Circuit: ACCircuit})), []string{"4.0184", "26240 cmil"}},
		{"ground that need not grow", must[EquipmentGround](t)(c.EquipmentGround(GroundInput{Overcurrent: 20, Material: Copper, Minimum: size(t, "12"), Installed: size(t, "6"), CircuitMaterial: Copper, Sets: 1, Why: ForVoltageDrop, Circuit: PVCircuit})), []string{"need not grow"}},
		{"capped ground", must[EquipmentGround](t)(c.EquipmentGround(GroundInput{Overcurrent: 30, Material: Copper, Minimum: size(t, "12"), Installed: size(t, "12"), CircuitMaterial: Copper, Sets: 1, Circuit: PVCircuit})), []string{"no larger than"}},
		{"electrode", must[ElectrodeConductor](t)(c.ElectrodeConductor(size(t, "4/0"), Copper, 2, Copper, "rod")), []string{"423200 cmil", "rod"}},
		{"dc electrode", must[ElectrodeConductor](t)(c.DCElectrodeConductor(size(t, "10"), Copper, "")), []string{"8 AWG"}},
		{"busbar", must[Busbar](t)(c.Busbar(BusbarInput{Option: OptionOppositeEnd, Busbar: 200, Main: 225, Sources: []float64{32}, Position: OtherPosition, SingleCircuit: true})), []string{"not met", "does not let", "supply device"}},
		{"busbar by devices", must[Busbar](t)(c.Busbar(BusbarInput{Option: OptionBreakerSum, Busbar: 200, Main: 200, SourceBreakers: []float64{40}, LoadBreakers: []float64{60, 50}})), []string{"40 A + 60 A + 50 A = 150 A"}},
		{"busbar by control", must[Busbar](t)(c.Busbar(BusbarInput{Option: OptionPowerControl, Busbar: 200, Main: 200, Limit: 180})), []string{"180 A"}},
		{"feeder", must[FeederConnection](t)(c.FeederConnection(FeederInput{Ampacity: 115, Overcurrent: 100, Sources: []float64{32}, LoadSide: 110})), []string{"140 A", "110 A"}},
		{"tap", must[FeederTap](t)(c.FeederTap(TapInput{Length: 5, Overcurrent: 200, Sources: []float64{48}, Ampacity: 90})), []string{"260 A / 3"}},
		{"supply side", must[SupplySide](t)(c.SupplySide(SupplyInput{Rating: 200, Sources: []float64{32}, Material: Copper, Place: PlaceDwelling, Size: size(t, "6"), Length: 4})), []string{"6 AWG", "not met"}},
		{"supply side without a limit", must[SupplySide](t)(edition(t, "2023").SupplySide(SupplyInput{Rating: 200, Sources: []float64{32}, Material: Copper, Place: PlaceDwelling})), []string{"no length"}},
		{"bonding jumper", must[BondingJumper](t)(c.BondingJumper(BondingInput{Ungrounded: size(t, "500"), Of: Copper, Sets: 3, Material: Copper})), []string{"3 x 500 kcmil together", "187500 cmil", "4/0"}},
		{"drop", must[VoltageDrop](t)(c.VoltageDrop(DropInput{Size: size(t, "10"), Material: Copper, Length: 30, Current: 10, Voltage: 240, System: SplitPhase, Temperature: 75, Sets: 2, PowerFactor: 0.9})), []string{"conduit", "2 sets"}},
		{"fill", must[Fill](t)(c.RacewayFill("EMT", "1", []Content{{Count: 3, Size: size(t, "10"), Insulation: "THWN-2"}, {Count: 2, Diameter: 0.007}}, true)), []string{"nipple", "diameter"}},
		{"working space", must[WorkingSpace](t)(c.WorkingSpace(480, 2, 0, 0)), []string{"condition 2"}},
	} {
		for _, sys := range []quantity.System{quantity.US, quantity.SI} {
			work := strings.Join(tc.got.Work(sys), "\n")
			for _, want := range tc.says {
				if !strings.Contains(work, want) {
					t.Errorf("%s: the calculation lacks %q:\n%s", tc.name, want, work)
				}
			}
			if strings.Contains(work, "undefined") || strings.Contains(work, "NaN") || strings.Contains(work, "%!") {
				t.Errorf("%s: a number is missing:\n%s", tc.name, work)
			}
		}
		if len(tc.got.Cite()) == 0 {
			t.Errorf("%s rests on nothing", tc.name)
		}
	}
}
