package structural

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"plumbrule/internal/quantity"
	"plumbrule/internal/table"
)

// AISI is one edition of AISI S100 as far as screws in sheet and purlins need
// it. It is built once and safe for concurrent use.
type AISI struct {
	Edition string

	pullout, pullover, washerCap, tilting, bearing, ratioLow, ratioHigh          float64
	safety, pulloverTension, eccentric, screwSum                                 float64
	ductilityShare, ductilityCap, ductilityRatio, diameterLeast, diameterMost    float64
	deliveredShare, rootShare, aluminumPullover, aluminumBearing, clampOf, usual float64
	withPullover, withPullout                                                    combination
	screws, sizes, gauges, mils, deck                                            *table.Table
	ref, combinedRef, clampRef                                                   table.Ref
}

// combination is one of the two interactions of shear with tension: its limit,
// its own safety factor and the range in which it was tested.
type combination struct {
	sum, safety                float64
	thickness, diameter, ratio span
	tensileMost                float64
}

// span is a range, ends included.
type span struct{ least, most float64 }

func (r span) has(v float64) bool { return v >= r.least*(1-epsilon) && v <= r.most*(1+epsilon) }

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
	combined := s.table("screw-combined")
	g := func(key string) float64 { return s.factor(combined, key) }
	a := &AISI{Edition: edition, pullout: f("pullout"), pullover: f("pullover"), washerCap: f("washer-cap"), tilting: f("tilting"), bearing: f("bearing"),
		ratioLow: f("ratio-low"), ratioHigh: f("ratio-high"), safety: f("safety"), pulloverTension: g("pullover-tension"), eccentric: g("pullover-eccentric"), screwSum: g("screw-sum"),
		ductilityShare: f("ductility-share"), ductilityCap: f("ductility-cap"), ductilityRatio: f("ductility-ratio"), diameterLeast: f("diameter-least"), diameterMost: f("diameter-most"),
		screws: t, rootShare: f("root-share"), aluminumPullover: f("aluminum-pullover"), aluminumBearing: f("aluminum-bearing"), ref: t.Ref(""), combinedRef: combined.Ref("")}
	a.withPullover = combination{g("pullover-sum"), g("pullover-safety"), span{g("pullover-t1-least"), g("pullover-t1-most")}, span{g("pullover-diameter-least"), g("pullover-diameter-most")},
		span{g("pullover-ratio-least"), math.Inf(1)}, g("pullover-fu1-most")}
	a.withPullout = combination{g("pullout-sum"), g("pullout-safety"), span{g("pullout-t2-least"), g("pullout-t2-most")}, span{g("pullout-diameter-least"), g("pullout-diameter-most")},
		span{g("pullout-ratio-least"), g("pullout-ratio-most")}, g("pullout-fu2-most")}
	clamps := s.table("seam-clamps")
	a.clampOf, a.usual, a.clampRef = s.factor(clamps, "least"), s.factor(clamps, "usual"), clamps.Ref("")
	d := s.table("delivered")
	a.deliveredShare = s.factor(d, "minimum-share")
	a.sizes, a.gauges, a.mils = s.table("screw-sizes"), s.table("sheet-gauge"), s.table("mils")
	deck := &source{set: tables, code: "SDI", edition: deckEdition}
	a.deck = deck.table("deck-gage")
	return a, errors.Join(s.err(), deck.err())
}

// Safety is the safety factor Omega of screw connections.
func (a *AISI) Safety() float64 { return a.safety }

// ClampSafety is the least safety factor of a seam clamp that a test can lead to,
// and the one that is commonly asked for.
func (a *AISI) ClampSafety() (least, usual float64, refs []table.Ref) {
	return a.clampOf, a.usual, []table.Ref{a.clampRef}
}

// ScrewDiameter gives the diameter of a numbered screw in m.
func (a *AISI) ScrewDiameter(number string) (float64, bool) {
	return a.sizes.Quantity(number, "diameter")
}

// Tensile is the tensile strength that a connection may count on: sheet of
// low ductility (Grade 80) counts a share of it, up to a cap. Pa.
func (a *AISI) Tensile(fu, fy float64) float64 {
	if fu >= a.ductilityRatio*fy {
		return fu
	}
	return math.Min(a.ductilityShare*fu, a.ductilityCap)
}

// DuctilityCap is the tensile strength that no sheet of low ductility counts
// more than, Pa.
func (a *AISI) DuctilityCap() float64 { return a.ductilityCap }

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

// AluminumFoot is the strength of a foot of aluminum under a screw head, by the
// aluminum standard: pull-over less the hole, and bearing.
func (a *AISI) AluminumFoot(diameter, head, thickness, tensile, safety float64) (pullover, bearing Screw, err error) {
	if err := errors.Join(positive("thickness", thickness, "tensile strength", tensile, "diameter", diameter), a.checkDiameter(diameter)); err != nil {
		return Screw{}, Screw{}, err
	}
	if !(head > diameter) {
		return Screw{}, Screw{}, fmt.Errorf("the head must be wider than the screw")
	}
	counted := math.Min(head, a.washerCap)
	over, bears := a.aluminumPullover*thickness*(counted-diameter)*tensile, a.aluminumBearing*thickness*diameter*tensile
	pullover, err1 := a.screw("pull-over of the aluminum foot", over, safety, func(sys quantity.System) string {
		return fmt.Sprintf("Pnov = %.2f x t %s x (dw %s - d %s) x Fu %s = %s", a.aluminumPullover, length(sys, thickness), length(sys, counted), length(sys, diameter), show(sys, tensile, quantity.Pressure), show(sys, over, quantity.Force))
	})
	bearing, err2 := a.screw("bearing of the aluminum foot", bears, safety, func(sys quantity.System) string {
		return fmt.Sprintf("bearing = %.2f x t %s x d %s x Fu %s = %s", a.aluminumBearing, length(sys, thickness), length(sys, diameter), show(sys, tensile, quantity.Pressure), show(sys, bears, quantity.Force))
	})
	pullover.Refs, bearing.Refs = append(pullover.Refs, a.screws.Ref("aluminum-pullover")), append(bearing.Refs, a.screws.Ref("aluminum-bearing"))
	return pullover, bearing, errors.Join(err1, err2)
}

// Eccentric is the pull-over of a foot whose load stands beside its screws.
func (a *AISI) Eccentric(pullover Screw) Screw {
	centric := pullover.work
	pullover.Nominal, pullover.Allowable = a.eccentric*pullover.Nominal, a.eccentric*pullover.Allowable
	pullover.Refs = append(slices.Clone(pullover.Refs), a.combinedRef)
	pullover.work = func(sys quantity.System) string {
		return fmt.Sprintf("%s, of which %.2f counts for a load beside the screw", centric(sys), a.eccentric)
	}
	return pullover
}

// Tested is the strength of the screw itself by its maker's test (J4.3.2 in
// shear, J4.4.3 in tension).
func (a *AISI) Tested(mode string, nominal, safety float64) (Screw, error) {
	if err := positive("tested strength", nominal); err != nil {
		return Screw{}, err
	}
	return a.screw(mode, nominal, safety, func(sys quantity.System) string {
		return fmt.Sprintf("%s: %s by its maker's test", mode, show(sys, nominal, quantity.Force))
	})
}

// Bending is the load across the shank of a screw that stands free over an arm
// (m), as a cantilever: the moment at its root by the stress at which it breaks
// in tension, elastic over the root section.
func (a *AISI) Bending(diameter, arm, tension, safety float64) (Screw, error) {
	if err := errors.Join(positive("arm", arm, "tension strength", tension), a.checkDiameter(diameter)); err != nil {
		return Screw{}, err
	}
	root := a.rootShare * diameter
	n := tension * root / 8 / arm // (pi root^3 / 32) over (pi root^2 / 4)
	s, err := a.screw("bending of the screw", n, safety, func(sys quantity.System) string {
		return fmt.Sprintf("bending over %s: tension %s x root %s / 8 / %s = %s", length(sys, arm), show(sys, tension, quantity.Force), length(sys, root), length(sys, arm), show(sys, n, quantity.Force))
	})
	s.Refs = append(s.Refs, a.screws.Ref("root-share"))
	return s, err
}

// Plies is a screw through sheet 1, under its head, into sheet 2, as far as
// shear and tension together need it. Lengths m, strengths Pa.
type Plies struct {
	Diameter, Thickness1, Tensile1, Thickness2, Tensile2, Yield2 float64
	Aluminum                                                     bool // sheet 1
	LoadKnown                                                    bool // where the load stands is known, and the pull-over is what counts of it there
	Shear, Pullover, Pullout, ShearOfScrew, TensionOfScrew       Screw
}

// Interaction is shear and tension on a screw together; at most 1 is met.
type Interaction struct {
	Pullover, Pullout, Screw float64 // utilisation of each interaction
	Eccentric                float64 // of shear and pull-over where the load stands beside the screw
	// Why an interaction is outside the range that it was tested in.
	OutsidePullover, OutsidePullout []string
	Utilisation                     float64 // of those within their range
	Bound                           float64 // of all, the load beside the screw
	Refs                            []table.Ref
}

// Outside are all reasons why an interaction is outside its range.
func (i *Interaction) Outside() []string {
	return append(slices.Clone(i.OutsidePullover), i.OutsidePullout...)
}

// pull is one sheet of a joint as an interaction sees it.
type pull struct {
	sheet                      string
	thickness, tensile         float64
	thicknessMost, tensileMost float64 // what the range lets count beside the other sheet and the yield strength
	diameter                   float64
	ratio                      string
	value                      float64
	shear, tension             float64 // strengths
	power                      float64 // of the thickness in the strength in shear
	share                      float64 // of tension
	outside                    []string
}

// outside tells where a joint leaves the range of an interaction.
func (c *combination) outside(p *pull, sys quantity.System) (why []string) {
	if !c.thickness.has(p.thickness) {
		why = append(why, fmt.Sprintf("%s, %s thick, is not within %s to %s", p.sheet, length(sys, p.thickness), length(sys, c.thickness.least), length(sys, c.thickness.most)))
	}
	if !c.diameter.has(p.diameter) {
		why = append(why, fmt.Sprintf("a screw of %s is not within %s to %s", length(sys, p.diameter), length(sys, c.diameter.least), length(sys, c.diameter.most)))
	}
	if p.tensile > c.tensileMost*(1+epsilon) {
		why = append(why, fmt.Sprintf("Fu of %s is over %s", p.sheet, show(sys, c.tensileMost, quantity.Pressure)))
	}
	if !c.ratio.has(p.value) {
		why = append(why, fmt.Sprintf("%s is %.2f", p.ratio, p.value))
	}
	return why
}

// share is the utilisation of an interaction, a screw's shear and tension
// given. Outside the range both add up in full, with the general safety factor
// and the lesser shear strength; or, of a sheet that is too thick or too strong
// for it, what the range lets count of it holds.
func (a *AISI) share(c *combination, p *pull, shear, tension, general, factor float64) float64 {
	thickness, tensile := min(p.thickness, c.thickness.most, p.thicknessMost)/p.thickness, min(p.tensile, c.tensileMost, p.tensileMost)/p.tensile
	own := math.Inf(1)
	if c.thickness.has(thickness*p.thickness) && c.diameter.has(p.diameter) {
		own = (shear/(p.shear*math.Pow(thickness, p.power)*tensile) + p.share*tension/(p.tension*thickness*tensile)) * c.safety * factor / c.sum
	}
	if len(p.outside) == 0 {
		return own
	}
	return math.Min(own, (shear/math.Min(p.shear, general)+tension/p.tension)*a.safety*factor)
}

// Interaction computes J4.5: allowable-level shear and tension against the
// strength in shear with pull-over (J4.5.1), in shear with pull-out (J4.5.2) and
// of the screw itself (J4.5.3), N. A safety factor over that of the standard
// raises those of the interactions alike.
func (a *AISI) Interaction(shear, tension float64, j Plies, sys quantity.System) (Interaction, error) {
	if err := errors.Join(notNegative("shear", shear, "tension", tension), positive("diameter", j.Diameter, "thickness 1", j.Thickness1, "tensile strength 1", j.Tensile1, "thickness 2", j.Thickness2, "tensile strength 2", j.Tensile2, "yield strength 2", j.Yield2),
		positive("shear strength", j.Shear.Nominal, "pull-over strength", j.Pullover.Nominal, "pull-out strength", j.Pullout.Nominal, "shear strength of the screw", j.ShearOfScrew.Nominal, "tension strength of the screw", j.TensionOfScrew.Nominal)); err != nil {
		return Interaction{}, err
	}
	factor := j.TensionOfScrew.Safety / a.safety
	over := pull{sheet: "the foot", thickness: j.Thickness1, tensile: j.Tensile1, thicknessMost: j.Thickness2 / a.withPullover.ratio.least, tensileMost: math.Inf(1), diameter: j.Diameter,
		ratio: "t2/t1", value: j.Thickness2 / j.Thickness1, shear: a.bearing * j.Thickness1 * j.Diameter * j.Tensile1, tension: j.Pullover.Nominal, power: 1, share: a.pulloverTension}
	over.outside = a.withPullover.outside(&over, sys)
	if j.Aluminum {
		over.outside, over.thicknessMost = append(over.outside, "the foot is of aluminum"), 0
	}
	out := pull{sheet: "the steel below", thickness: j.Thickness2, tensile: j.Tensile2, thicknessMost: math.Inf(1), tensileMost: a.withPullout.ratio.most * j.Yield2, diameter: j.Diameter,
		ratio: "Fu/Fy", value: j.Tensile2 / j.Yield2, shear: a.tilting * math.Sqrt(j.Thickness2*j.Thickness2*j.Thickness2*j.Diameter) * j.Tensile2, tension: j.Pullout.Nominal, power: 1.5, share: 1}
	out.outside = a.withPullout.outside(&out, sys)
	if out.value < a.withPullout.ratio.least {
		out.thicknessMost = 0
	}
	i := Interaction{OutsidePullover: over.outside, OutsidePullout: out.outside, Refs: []table.Ref{a.ref, a.combinedRef}}
	i.Pullover = a.share(&a.withPullover, &over, shear, tension, j.Shear.Nominal, factor)
	i.Pullout = a.share(&a.withPullout, &out, shear, tension, j.Shear.Nominal, factor)
	if !j.LoadKnown {
		over.tension *= a.eccentric
	}
	i.Eccentric = a.share(&a.withPullover, &over, shear, tension, j.Shear.Nominal, factor)
	i.Screw = (shear/j.ShearOfScrew.Nominal + tension/j.TensionOfScrew.Nominal) * j.TensionOfScrew.Safety / a.screwSum
	i.Utilisation = i.Screw
	if len(i.OutsidePullover) == 0 {
		i.Utilisation = math.Max(i.Utilisation, i.Pullover)
	}
	if len(i.OutsidePullout) == 0 {
		i.Utilisation = math.Max(i.Utilisation, i.Pullout)
	}
	i.Bound = max(i.Pullover, i.Pullout, i.Screw, i.Eccentric)
	return i, nil
}

// ClipShare is the largest load on one clip of a seam, in loads of one of the
// equal clamps that stand on it: the clips stand a pitch apart, wherever that is
// worst, and the seam spans between them as a simple beam. Places along the
// seam in m.
func ClipShare(clamps []float64, pitch float64) (float64, error) {
	if err := positive("distance between clips", pitch); err != nil {
		return 0, err
	}
	most := 0.0
	for _, clip := range clamps { // the worst clip stands below a clamp
		sum := 0.0
		for _, y := range clamps {
			sum += math.Max(0, 1-math.Abs(y-clip)/pitch)
		}
		most = math.Max(most, sum)
	}
	return most, nil
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
