package electrical

import (
	"fmt"
	"math"

	"plumbrule/internal/quantity"
)

const tableTransformer = "450.3(B)"

// Winding is one side of a transformer: nominal voltage in V, between lines
// where it has several phases.
type Winding struct {
	Voltage float64
	System  System
}

// RatedCurrent is the current in A that a rated apparent power in VA gives on a
// winding.
func (w Winding) RatedCurrent(power float64) float64 {
	if w.System == ThreePhase {
		return power / (math.Sqrt(3) * w.Voltage)
	}
	return power / w.Voltage
}

// TransformerInput is a transformer with its overcurrent devices. Its primary
// is the side with the larger available fault current, which is the utility's.
type TransformerInput struct {
	Power              float64 // VA, rated
	Primary, Secondary Winding
	PrimaryKind        Device
	SecondaryKind      Device
	SecondaryDevice    float64 // A; zero where there is none
}

// TransformerOvercurrent is the largest device on the primary of a transformer.
type TransformerOvercurrent struct {
	Basis
	Primary, Secondary float64 // A, rated currents
	Factor             float64 // of the rated primary current
	Largest            float64 // A
	SecondaryLargest   float64 // A; NaN where there is no device that counts
}

// TransformerOvercurrent gives the largest overcurrent device on the primary of
// a transformer whose windings are within the table's voltage. A device on the
// secondary that is small enough lets that on the primary be larger. Source: NEC
// 450.3(B); which side is the primary: 690.9(D), and 705.30(F) from 2023.
func (c *Code) TransformerOvercurrent(in TransformerInput) (TransformerOvercurrent, error) {
	r := c.reader()
	r.need("the rated power", in.Power)
	for _, w := range []Winding{in.Primary, in.Secondary} {
		r.need("the voltage of a winding", w.Voltage)
		r.failIf(w.System.check())
		if most := r.amount(tableTransformer, "most voltage"); r.err == nil && !quantity.AtMost(w.Voltage, most) {
			r.fail(outside("a winding of %.4g V is over the %.4g V of 450.3(B)", w.Voltage, most))
		}
	}
	if r.err != nil {
		return TransformerOvercurrent{}, r.err
	}
	t := TransformerOvercurrent{Primary: in.Primary.RatedCurrent(in.Power), Secondary: in.Secondary.RatedCurrent(in.Power), SecondaryLargest: math.NaN()}
	large := r.amount(tableTransformer, "large current")
	band := func(current float64) string {
		switch {
		case quantity.AtLeast(current, large):
			return "large"
		case quantity.AtLeast(current, r.amount(tableTransformer, "small current")):
			return "middle"
		}
		return "small"
	}
	// Only the factor of a large current may go to the next standard rating.
	most := func(current, factor float64, kind Device) float64 {
		if !quantity.AtLeast(current, large) {
			return factor * current
		}
		return r.nextStandard(factor*current, kind)
	}
	if in.SecondaryDevice > 0 {
		of := "middle"
		if quantity.AtLeast(t.Secondary, large) {
			of = "large"
		}
		t.SecondaryLargest = most(t.Secondary, r.value(tableTransformer, of+" secondary"), in.SecondaryKind)
	}
	if r.err == nil && in.SecondaryDevice > 0 && quantity.AtMost(in.SecondaryDevice, t.SecondaryLargest) {
		t.Factor = r.value(tableTransformer, "with secondary")
		t.Largest = t.Factor * t.Primary
	} else if r.err == nil {
		t.Factor = r.value(tableTransformer, band(t.Primary)+" alone")
		t.Largest = most(t.Primary, t.Factor, in.PrimaryKind)
	}
	t.Basis = r.basis()
	return t, r.err
}

// Work gives the calculation.
func (t TransformerOvercurrent) Work(quantity.System) []string {
	lines := []string{fmt.Sprintf("rated current %s on the side of the utility, %s on the other", amps(t.Primary), amps(t.Secondary))}
	if !math.IsNaN(t.SecondaryLargest) {
		lines = append(lines, fmt.Sprintf("device on the side of the inverters that counts: at most %s", amps(t.SecondaryLargest)))
	}
	return append(lines, fmt.Sprintf("%s x %.4g: at most %s", amps(t.Primary), t.Factor, amps(t.Largest)))
}
