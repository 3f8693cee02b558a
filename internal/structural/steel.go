package structural

import (
	"errors"
	"fmt"
	"math"

	"plumbrule/internal/quantity"
	"plumbrule/internal/table"
)

// AISI is one edition of AISI S100 as far as screws in sheet and purlins need
// it. It is built once and safe for concurrent use.
type AISI struct {
	Edition string

	pullout, pullover, washerCap, tilting, bearing, ratioLow, ratioHigh float64
	safety, pulloverTension, pulloverSum, pulloutSum                    float64
	ductilityShare, ductilityCap, diameterLeast, diameterMost           float64
	deliveredShare                                                      float64
	sizes, gauges, mils, deck                                           *table.Table
	ref                                                                 table.Ref
}

// deckEdition is the deck standard whose thickness table is used.
const deckEdition = "RD-2017"

// NewAISI reads an edition ("2016", "2020") from the tables.
func NewAISI(edition string, tables *table.Set) (*AISI, error) {
	s := &source{set: tables, code: "AISI", edition: edition}
	if _, err := tables.Get(s.code, edition, "screws"); err != nil {
		return nil, err
	}
	t := s.table("screws")
	f := func(key string) float64 { return s.factor(t, key) }
	a := &AISI{Edition: edition, pullout: f("pullout"), pullover: f("pullover"), washerCap: f("washer-cap"), tilting: f("tilting"), bearing: f("bearing"),
		ratioLow: f("ratio-low"), ratioHigh: f("ratio-high"), safety: f("safety"), pulloverTension: f("pullover-tension"), pulloverSum: f("pullover-sum"), pulloutSum: f("pullout-sum"),
		ductilityShare: f("ductility-share"), ductilityCap: f("ductility-cap"), diameterLeast: f("diameter-least"), diameterMost: f("diameter-most"), ref: t.Ref("")}
	d := s.table("delivered")
	a.deliveredShare = s.factor(d, "minimum-share")
	a.sizes, a.gauges, a.mils = s.table("screw-sizes"), s.table("sheet-gauge"), s.table("mils")
	deck := &source{set: tables, code: "SDI", edition: deckEdition}
	a.deck = deck.table("deck-gage")
	return a, errors.Join(s.err(), deck.err())
}

// Safety is the safety factor Omega of screw connections.
func (a *AISI) Safety() float64 { return a.safety }

// ScrewDiameter gives the diameter of a numbered screw in m.
func (a *AISI) ScrewDiameter(number string) (float64, bool) {
	return a.sizes.Quantity(number, "diameter")
}

// Tensile is the tensile strength that a connection may count on: sheet of
// low ductility (Grade 80) counts a share of it, up to a cap. Pa.
func (a *AISI) Tensile(fu float64, lowDuctility bool) float64 {
	if !lowDuctility {
		return fu
	}
	return math.Min(a.ductilityShare*fu, a.ductilityCap)
}

// Screw is the strength of one screw in one mode, N.
type Screw struct {
	Mode                       string
	Nominal, Safety, Allowable float64
	Terms                      []float64 // of shear: tilting and the two bearing terms
	Refs                       []table.Ref
	work                       func(sys quantity.System) string
}

func (a *AISI) screw(mode string, nominal, safety float64, work func(sys quantity.System) string) (Screw, error) {
	if math.IsNaN(safety) {
		safety = a.safety
	}
	if err := positive("safety factor", safety); err != nil {
		return Screw{}, err
	}
	if safety < 1 {
		return Screw{}, fmt.Errorf("a safety factor under one is no safety factor")
	}
	return Screw{Mode: mode, Nominal: nominal, Safety: safety, Allowable: nominal / safety, Refs: []table.Ref{a.ref}, work: work}, nil
}

func (a *AISI) checkDiameter(d float64) error {
	return within("screw diameter in inches", d/quantity.Inch, a.diameterLeast/quantity.Inch-1e-9, a.diameterMost/quantity.Inch+1e-9)
}

// Pullout computes J4.4.1: Pnot from the thickness of the sheet that the
// screw is threaded into. Lengths m, strength Pa; NaN safety takes Omega.
func (a *AISI) Pullout(diameter, thickness, tensile, safety float64) (Screw, error) {
	if err := errors.Join(positive("thickness", thickness, "tensile strength", tensile), a.checkDiameter(diameter)); err != nil {
		return Screw{}, err
	}
	n := a.pullout * thickness * diameter * tensile
	return a.screw("pull-out", n, safety, func(sys quantity.System) string {
		return fmt.Sprintf("Pnot = %.2f x t %s x d %s x Fu %s = %s", a.pullout, length(sys, thickness), length(sys, diameter), show(sys, tensile, quantity.Pressure), show(sys, n, quantity.Force))
	})
}

// Pullover computes J4.4.2: Pnov from the head or washer and the sheet under
// it.
func (a *AISI) Pullover(head, thickness, tensile, safety float64) (Screw, error) {
	if err := positive("head", head, "thickness", thickness, "tensile strength", tensile); err != nil {
		return Screw{}, err
	}
	counted := math.Min(head, a.washerCap)
	n := a.pullover * thickness * counted * tensile
	return a.screw("pull-over", n, safety, func(sys quantity.System) string {
		return fmt.Sprintf("Pnov = %.2f x t %s x dw %s x Fu %s = %s", a.pullover, length(sys, thickness), length(sys, counted), show(sys, tensile, quantity.Pressure), show(sys, n, quantity.Force))
	})
}

// Shear computes J4.3.1: tilting and bearing by the ratio of the thicknesses;
// sheet 1 is under the head.
func (a *AISI) Shear(diameter, thickness1, tensile1, thickness2, tensile2, safety float64) (Screw, error) {
	if err := errors.Join(positive("thickness 1", thickness1, "tensile strength 1", tensile1, "thickness 2", thickness2, "tensile strength 2", tensile2), a.checkDiameter(diameter)); err != nil {
		return Screw{}, err
	}
	tilt := a.tilting * math.Sqrt(thickness2*thickness2*thickness2*diameter) * tensile2
	bear1, bear2 := a.bearing*thickness1*diameter*tensile1, a.bearing*thickness2*diameter*tensile2
	bearing := math.Min(bear1, bear2)
	ratio := thickness2 / thickness1
	share := math.Min(1, math.Max(0, (ratio-a.ratioLow)/(a.ratioHigh-a.ratioLow)))
	n := math.Min(tilt, bearing)
	n += share * (bearing - n)
	s, err := a.screw("shear", n, safety, func(sys quantity.System) string {
		return fmt.Sprintf("t2/t1 = %.2f: tilting %s, bearing %s and %s; Pns = %s", ratio, show(sys, tilt, quantity.Force), show(sys, bear1, quantity.Force), show(sys, bear2, quantity.Force), show(sys, n, quantity.Force))
	})
	s.Terms = []float64{tilt, bear1, bear2}
	return s, err
}

// length prints a sheet thickness, which needs more places than a span.
func length(sys quantity.System, v float64) string {
	if sys == quantity.SI {
		return fmt.Sprintf("%.3f mm", v*1000)
	}
	return fmt.Sprintf("%.4f in", v/quantity.Inch)
}

// Work gives the calculation with numbers put in.
func (s Screw) Work(sys quantity.System) []string {
	return []string{s.work(sys), fmt.Sprintf("allowable %s = %s / %.2f", show(sys, s.Allowable, quantity.Force), show(sys, s.Nominal, quantity.Force), s.Safety)}
}

// Interaction is shear and tension on a screw together; at most 1 is met.
type Interaction struct {
	Pullover, Pullout float64 // utilisation of each interaction
	Utilisation       float64
	Refs              []table.Ref
}

// Interaction computes J4.5: allowable-level shear and tension against the
// nominal shear, pull-over and pull-out strengths, N.
func (a *AISI) Interaction(shear, tension float64, nominalShear, pullover, pullout Screw) (Interaction, error) {
	if err := errors.Join(notNegative("shear", shear, "tension", tension), positive("shear strength", nominalShear.Nominal, "pull-over strength", pullover.Nominal, "pull-out strength", pullout.Nominal)); err != nil {
		return Interaction{}, err
	}
	q := shear / nominalShear.Nominal
	i := Interaction{Refs: []table.Ref{a.ref}}
	i.Pullover = (q + a.pulloverTension*tension/pullover.Nominal) * pullover.Safety / a.pulloverSum
	i.Pullout = (q + tension/pullout.Nominal) * pullout.Safety / a.pulloutSum
	i.Utilisation = math.Max(i.Pullover, i.Pullout)
	return i, nil
}

// Thickness is a sheet thickness by its gauge, m.
type Thickness struct {
	Design, Minimum float64 // base steel; least delivered
	Coated          float64 // with zinc; NaN where not tabulated
	Refs            []table.Ref
}

// DeckThickness reads steel deck thickness by gage (SDI).
func (a *AISI) DeckThickness(gage string) (Thickness, error) {
	d, ok := a.deck.Quantity(gage, "design")
	m, ok2 := a.deck.Quantity(gage, "minimum")
	if !ok || !ok2 {
		return Thickness{}, fmt.Errorf("no deck of gage %q (16 to 22)", gage)
	}
	return Thickness{d, m, math.NaN(), []table.Ref{a.deck.Ref(gage)}}, nil
}

// SheetThickness reads sheet thickness by manufacturers' gauge. Strength uses
// the bare steel also of galvanized sheet.
func (a *AISI) SheetThickness(gauge string) (Thickness, error) {
	return a.thickness(a.gauges, gauge, "bare", "coated")
}

// FramingThickness reads cold-formed framing thickness by mils.
func (a *AISI) FramingThickness(mils string) (Thickness, error) {
	return a.thickness(a.mils, mils, "design", "")
}

func (a *AISI) thickness(t *table.Table, key, column, coated string) (Thickness, error) {
	d, ok := t.Quantity(key, column)
	if !ok {
		return Thickness{}, fmt.Errorf("%q is not in the table: %s", key, t.Title)
	}
	out := Thickness{Design: d, Minimum: a.deliveredShare * d, Coated: math.NaN(), Refs: []table.Ref{t.Ref(key)}}
	if c, ok := t.Quantity(key, coated); ok {
		out.Coated = c
	}
	return out, nil
}

// Capacity is one way in which a fixing can fail, at allowable level, N.
type Capacity struct {
	Mode      string
	Allowable float64
	Refs      []table.Ref
}

// Tested is a maker's tested ultimate over a safety factor, as both are given.
func Tested(mode string, ultimate, safety float64) (Capacity, error) {
	if err := positive("tested ultimate", ultimate, "safety factor", safety); err != nil {
		return Capacity{}, err
	}
	if safety < 1 {
		return Capacity{}, fmt.Errorf("a safety factor under one is no safety factor")
	}
	return Capacity{Mode: mode, Allowable: ultimate / safety}, nil
}

// Governing is the least of the modes; its name says what governs.
func Governing(modes ...Capacity) (Capacity, error) {
	if len(modes) == 0 {
		return Capacity{}, fmt.Errorf("no capacity is known")
	}
	least := modes[0]
	for _, m := range modes {
		if math.IsNaN(m.Allowable) {
			return Capacity{}, fmt.Errorf("the capacity %s is not known", m.Mode)
		}
		if m.Allowable < least.Allowable {
			least = m
		}
	}
	return least, nil
}
