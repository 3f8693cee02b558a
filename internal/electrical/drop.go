package electrical

import (
	"fmt"
	"math"
	"strings"

	"plumbrule/internal/quantity"
)

// DropInput is a run of conductors under load.
type DropInput struct {
	Size        quantity.Size
	Material    Material
	Solid       bool    // solid wire; else stranded
	Length      float64 // one way, m
	Current     float64 // A
	Voltage     float64 // V; between lines for three-phase
	System      System
	Temperature float64 // of the conductor, degC
	Sets        int     // parallel sets, one or more
	PowerFactor float64 // 0 < pf <= 1, lagging; zero: resistance alone by Table 8
	Conduit     string  // with a power factor: one of Conduits, or "" for the worst of them
}

// Conduits lists the materials that Table 9 tells apart.
var Conduits = []string{"PVC", "aluminum", "steel"}

// conduitOf is the column of Table 9 for a type of raceway.
var conduitOf = map[string]string{
	"PVC": "PVC", "PVC-40": "PVC", "PVC-80": "PVC", "aluminum": "aluminum", "steel": "steel",
	"EMT": "steel", "IMC": "steel", "RMC": "steel", "FMC": "steel", "LFMC": "steel",
}

// ConduitOf gives the conduit material that Table 9 has for a raceway type
// such as EMT or PVC-40; false for other wiring methods.
func ConduitOf(raceway string) (string, bool) {
	c, ok := conduitOf[raceway]
	return c, ok
}

// VoltageDrop is the drop along a run.
type VoltageDrop struct {
	Basis
	Input      DropInput
	Resistance float64 // of one conductor of one set, ohm/m at the temperature
	Reactance  float64 // ohm/m; zero without a power factor
	Conduit    string  // that of Table 9; empty without a power factor
	Impedance  float64 // effective, ohm/m
	Paths      float64 // conductors in the loop: 2, or sqrt(3) between lines
	Drop       float64 // V
	Share      float64 // of the voltage
}

// VoltageDrop gives the drop of a direct-current or single-phase run, out and
// back, and of a three-phase run between lines. Without a power factor it uses
// the direct-current resistance of Chapter 9 Table 8 at the conductor's
// temperature; with one the effective impedance R cos + X sin of Table 9, its
// resistance corrected for the temperature alike. Source: NEC Chapter 9 Table
// 8 note 2 and Table 9 note 2.
func (c *Code) VoltageDrop(in DropInput) (VoltageDrop, error) {
	r := c.reader()
	r.failIf(in.Material.check())
	r.failIf(in.System.check())
	r.need("the length", in.Length)
	r.need("the current", in.Current)
	r.need("the voltage", in.Voltage)
	r.needFinite("the temperature of the conductor", in.Temperature)
	r.needCount("the count of parallel sets", in.Sets)
	v := VoltageDrop{Input: in, Paths: 2}
	if in.System == ThreePhase {
		v.Paths = math.Sqrt(3)
	}
	base, k := r.amount(tableResistanceCorrected, "base"), r.amount(tableResistanceCorrected, string(in.Material))
	warm := 1 + k*(in.Temperature-base)
	if r.err == nil && !(warm > 0) {
		r.fail(outside("the resistance is not known at %s", degC(in.Temperature)))
	}
	if in.PowerFactor == 0 {
		v.Resistance = r.resistance(in) * warm
		v.Impedance = v.Resistance
	} else {
		r.impedance(&v, warm)
	}
	v.Drop = v.Paths * in.Current * v.Impedance * in.Length / float64(in.Sets)
	v.Share = v.Drop / in.Voltage
	v.Basis = r.basis()
	return v, r.err
}

// resistance is that of Table 8 in ohm/m.
func (r *reader) resistance(in DropInput) float64 {
	strand := " stranded"
	if in.Solid {
		strand = " solid"
	}
	return r.quantity(tableProperties, in.Size.Key(), string(in.Material)+strand)
}

// impedance fills in the values of Table 9 for the conduit, or for the one
// that gives the largest drop.
func (r *reader) impedance(v *VoltageDrop, warm float64) {
	in := v.Input
	if in.System == DC || !(in.PowerFactor > 0) || in.PowerFactor > 1 {
		r.fail(outside("a power factor is above 0, at most 1, and belongs to alternating current"))
		return
	}
	conduits := Conduits
	if in.Conduit != "" {
		conduits = []string{in.Conduit}
	}
	for _, conduit := range conduits {
		if !contains(Conduits, conduit) {
			r.fail(outside("conduit %q is none of %s", conduit, strings.Join(Conduits, ", ")))
			return
		}
		reactance := "reactance PVC" // holds for aluminum too
		if conduit == "steel" {
			reactance = "reactance steel"
		}
		x := r.quantity(tableImpedance, in.Size.Key(), reactance)
		res := r.quantity(tableImpedance, in.Size.Key(), string(in.Material)+" "+conduit) * warm
		if r.err != nil {
			return
		}
		z := res*in.PowerFactor + x*math.Sqrt(1-in.PowerFactor*in.PowerFactor)
		if z > v.Impedance {
			v.Resistance, v.Reactance, v.Conduit, v.Impedance = res, x, conduit, z
		}
	}
}

// Work gives the calculation.
func (v VoltageDrop) Work(sys quantity.System) []string {
	in := v.Input
	perLength := func(x float64) string { return quantity.Of(x, quantity.ResistancePerLength).Format(sys) }
	lines := []string{fmt.Sprintf("%s %s at %s: resistance %s", in.Size, in.Material, degC(in.Temperature), perLength(v.Resistance))}
	if v.Conduit != "" {
		lines = append(lines, fmt.Sprintf("in %s conduit: effective impedance = %s x %s + %s x %s = %s", v.Conduit,
			perLength(v.Resistance), factor(in.PowerFactor), perLength(v.Reactance), factor(math.Sqrt(1-in.PowerFactor*in.PowerFactor)), perLength(v.Impedance)))
	}
	sets := ""
	if in.Sets > 1 {
		sets = fmt.Sprintf(" / %d sets", in.Sets)
	}
	return append(lines,
		fmt.Sprintf("drop = %s x %s x %s x %s%s = %s", factor(v.Paths), amps(in.Current), perLength(v.Impedance), length(in.Length, sys), sets, volts(v.Drop)),
		fmt.Sprintf("%s / %s = %s", volts(v.Drop), volts(in.Voltage), plain(100*v.Share, 2)+" %"))
}
