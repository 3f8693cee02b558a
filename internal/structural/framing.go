package structural

import (
	"errors"
	"fmt"
	"math"

	"plumbrule/internal/quantity"
	"plumbrule/internal/table"
)

// Existing is one edition of the existing building code: what may be added to a
// member without a check of it.
type Existing struct {
	Edition                                 string
	Gravity, Lateral, SecondCovering, Units float64
	Ref                                     table.Ref
}

// NewExisting reads an edition ("2012" to "2024") from the tables.
func NewExisting(edition string, tables *table.Set) (*Existing, error) {
	s := &source{set: tables, code: "IEBC", edition: edition}
	t := s.table("increase")
	e := &Existing{edition, s.factor(t, "gravity"), s.factor(t, "lateral"), s.factor(t, "second-covering"), s.factor(t, "dwelling-units"), t.Ref("gravity")}
	return e, s.err()
}

// NewRoofSag reads how small a share of its span a roof member may sag under all
// loads: one over the number that it gives.
func NewRoofSag(edition string, tables *table.Set) (share float64, ref table.Ref, err error) {
	s := &source{set: tables, code: "IBC", edition: edition}
	t := s.table("deflection")
	share = s.factor(t, "roof-total")
	return share, t.Ref("roof-total"), s.err()
}

// Practice holds rules of thumb and the screens of the simple routes; none is
// a limit of a structural standard.
type Practice struct {
	gravity, lateral, liveLoadGap float64
	MemberShare                   float64 // load of one member over its even share from which it has to be shown to hold
	thermal                       *table.Table
	ref                           table.Ref
}

// NewPractice reads the rules of thumb from the tables.
func NewPractice(tables *table.Set) (*Practice, error) {
	s := &source{set: tables, code: "Practice", edition: "common"}
	t := s.table("screens")
	p := &Practice{s.factor(t, "gravity-increase"), s.factor(t, "lateral-increase"), s.factor(t, "live-load-gap"), s.factor(t, "member-share"), s.table("thermal"), t.Ref("")}
	return p, s.err()
}

// LoadIncrease is a change of load as a share of what is there, against a
// screen. A change below zero relieves.
type LoadIncrease struct {
	Existing, Change, Share, Screen float64
	Met                             bool
	Refs                            []table.Ref
}

func (p *Practice) increase(existing, change, screen float64) (LoadIncrease, error) {
	if err := positive("existing load", existing); err != nil {
		return LoadIncrease{}, err
	}
	if !(change >= -existing) || math.IsInf(change, 0) {
		return LoadIncrease{}, errors.New("no more load can be taken away than there is")
	}
	share := change / existing
	return LoadIncrease{existing, change, share, screen, Meets(share, screen), []table.Ref{p.ref}}, nil
}

// GravityIncrease holds a change of gravity load on a member against the screen
// of existing buildings; both in the same unit. Not meeting it is a question for
// a licensed engineer, not a failure of the roof.
func (p *Practice) GravityIncrease(existing, change float64) (LoadIncrease, error) {
	return p.increase(existing, change, p.gravity)
}

// LateralIncrease holds a change of seismic weight or wind demand against the
// lateral screen.
func (p *Practice) LateralIncrease(existing, change float64) (LoadIncrease, error) {
	return p.increase(existing, change, p.lateral)
}

// Work gives the calculation with numbers put in.
func (l LoadIncrease) Work() []string {
	return []string{fmt.Sprintf("change over existing = %.1f %%, screen %.0f %%", 100*l.Share, 100*l.Screen)}
}

// LiveLoadOffset reports whether roof live load may be dropped on the area
// that modules cover: the clear gap (m) must be small enough that nobody can
// stand there.
func (p *Practice) LiveLoadOffset(gap float64) (bool, error) {
	if err := notNegative("gap", gap); err != nil {
		return false, err
	}
	return Meets(gap, p.liveLoadGap), nil
}

// Framing is the load of one member under an array, N/m along the slope.
type Framing struct {
	Without, With float64 // allowable level: roof dead and live or snow; roof and array dead and snow
	Increase      float64 // share; negative where the array relieves the member
	Governs       string  // which case governs
}

// FramingLoad compares the two cases of a roof with and without modules: dead
// load with the greater of live load and the snow it was designed for, and dead
// load of roof and array with snow, live load dropped under the modules where
// offset is true. Loads per area in Pa of the slope, member spacing m.
func FramingLoad(roofDead, arrayDead, live, design, snow, spacing float64, offset bool) (Framing, error) {
	if err := errors.Join(positive("roof dead load", roofDead, "spacing", spacing), notNegative("array dead load", arrayDead, "live load", live, "design snow", design, "snow", snow)); err != nil {
		return Framing{}, err
	}
	covered := math.Max(live, snow)
	if offset {
		covered = snow
	}
	f := Framing{Without: (roofDead + math.Max(live, design)) * spacing, With: (roofDead + arrayDead + covered) * spacing}
	f.Increase = f.With/f.Without - 1
	f.Governs = "without array"
	if f.With > f.Without {
		f.Governs = "with array"
	}
	return f, nil
}

// ThermalCoefficient gives the coefficient of a material (aluminum, steel,
// stainless, glass, wood), 1/K.
func (p *Practice) ThermalCoefficient(material string) (float64, table.Ref, error) {
	c, ok := p.thermal.Quantity(material, "coefficient")
	if !ok {
		return 0, table.Ref{}, fmt.Errorf("no coefficient of expansion for material %q", material)
	}
	return c, p.thermal.Ref(material), nil
}

// ThermalMovement is the change of a free length (m) over a temperature change
// (K) for a coefficient (1/K), m. A falling temperature shortens.
func ThermalMovement(length, change, coefficient float64) (float64, error) {
	if err := positive("length", length, "coefficient", coefficient); err != nil {
		return 0, err
	}
	if math.IsNaN(change) || math.IsInf(change, 0) {
		return 0, fmt.Errorf("the temperature change must be a number")
	}
	return length * change * coefficient, nil
}

// MovementWork gives the calculation with numbers put in.
func MovementWork(length, change, coefficient, movement float64, sys quantity.System) []string {
	return []string{fmt.Sprintf("movement = %s x %s x %.3g per K = %s", show(sys, length, quantity.Length), show(sys, change, quantity.TemperatureDifference), coefficient, show(sys, movement, quantity.Length))}
}
