package electrical

import (
	"fmt"
	"math"
	"slices"

	"plumbrule/internal/quantity"
)

// CircuitCurrent is the current of a photovoltaic direct-current circuit.
type CircuitCurrent struct {
	Basis
	ShortCircuit     []float64 // rated short-circuit currents of the strings in parallel, A
	RearGain         float64   // fraction
	Irradiance       float64   // the code's factor for irradiance
	Continuous       float64   // the code's factor for continuous current
	Sum              float64   // A
	Maximum          float64   // A, 690.8(A)
	RequiredAmpacity float64   // A, before conditions of use, 690.8(B)
}

// CircuitCurrent gives the largest current of strings in parallel from their
// modules' rated short-circuit currents in A and the gain of bifacial modules
// from their rear as a fraction, and the ampacity that conductors need before
// conditions of use. Source: NEC 690.8(A)(1) and 690.8(B)(1); rounding
// 690.4(G) from 2026, each result once from the unrounded calculation.
func (c *Code) CircuitCurrent(shortCircuit []float64, rearGain float64) (CircuitCurrent, error) {
	r := c.reader()
	if len(shortCircuit) == 0 {
		r.fail(outside("a circuit carries at least one string"))
	}
	i := CircuitCurrent{ShortCircuit: shortCircuit, RearGain: rearGain, Sum: r.needAll("the short-circuit current", shortCircuit)}
	if r.needFinite("the gain from the rear", rearGain); r.err == nil && rearGain < 0 {
		r.fail(outside("the gain from the rear is zero or more, not %v", rearGain))
	}
	i.Irradiance = r.value(tableCurrent, "irradiance")
	i.Continuous = r.value(tableCurrent, "continuous")
	exact := i.Sum * (1 + rearGain) * i.Irradiance
	i.Maximum = r.rounded(exact)
	i.RequiredAmpacity = r.rounded(exact * i.Continuous)
	i.Basis = r.basis()
	return i, r.err
}

// Work gives the calculation.
func (i CircuitCurrent) Work(quantity.System) []string {
	sum := list(i.ShortCircuit, amps)
	if n := len(i.ShortCircuit); n > 1 && slices.Max(i.ShortCircuit) == slices.Min(i.ShortCircuit) {
		sum = fmt.Sprintf("%d x %s", n, amps(i.ShortCircuit[0]))
	}
	if len(i.ShortCircuit) > 1 {
		sum += " = " + amps(i.Sum)
	}
	gain := ""
	if i.RearGain > 0 {
		gain = fmt.Sprintf(" x (1 + %s)", factor(i.RearGain))
	}
	exact := i.Sum * (1 + i.RearGain) * i.Irradiance
	lines := []string{
		"short-circuit current = " + sum,
		fmt.Sprintf("maximum current = %s%s x %s = %s", amps(i.Sum), gain, factor(i.Irradiance), amps(exact)),
		fmt.Sprintf("required ampacity before conditions of use = %s x %s = %s", amps(exact), factor(i.Continuous), amps(exact*i.Continuous)),
	}
	lines = append(lines, roundingWork("maximum current", exact, i.Maximum, amps)...)
	return append(lines, roundingWork("required ampacity", exact*i.Continuous, i.RequiredAmpacity, amps)...)
}

// OutputCurrent is the alternating current of inverters on one circuit.
type OutputCurrent struct {
	Basis
	Output           float64 // rated continuous output of one unit, A
	Units            int
	Unit, System     System
	Pairs            [3]int  // units on each pair of lines, most first; only for single-phase units on three phases
	Continuous       float64 // the code's factor for continuous current
	Line             float64 // A
	RequiredAmpacity float64 // A, before conditions of use
}

// OutputCurrent gives the line current of like units on one circuit, and the
// ampacity that it needs before conditions of use. Units of the circuit's own
// system add up. Single-phase units on a three-phase circuit are connected
// line to line and spread over the three pairs as evenly as their count
// allows; the current of the line that two of the fullest pairs, holding x and
// y units, share is sqrt(x2 + xy + y2) units' current (phasors 120 degrees
// apart). Source: NEC 690.8(A) and 705.28(B); 690.8(B) in 2017.
func (c *Code) OutputCurrent(output float64, units int, unit, system System) (OutputCurrent, error) {
	r := c.reader()
	r.need("the continuous output current", output)
	r.needCount("the count of units", units)
	for _, s := range []System{unit, system} {
		if r.failIf(s.check()); s == DC {
			r.fail(outside("the output of an inverter is not direct current"))
		}
	}
	if unit == ThreePhase && system != ThreePhase {
		r.fail(outside("a three-phase unit needs a three-phase circuit"))
	}
	o := OutputCurrent{Output: output, Units: units, Unit: unit, System: system}
	o.Continuous = r.value(tableOutput, "continuous")
	exact := float64(units) * output
	if system == ThreePhase && unit != ThreePhase {
		o.Pairs = [3]int{(units + 2) / 3, (units + 1) / 3, units / 3}
		x, y := float64(o.Pairs[0]), float64(o.Pairs[1])
		exact = output * math.Sqrt(x*x+x*y+y*y)
	}
	o.Line = r.rounded(exact)
	o.RequiredAmpacity = r.rounded(exact * o.Continuous)
	o.Basis = r.basis()
	return o, r.err
}

// Work gives the calculation.
func (o OutputCurrent) Work(quantity.System) []string {
	line := fmt.Sprintf("line current = %d x %s = %s", o.Units, amps(o.Output), amps(o.Line))
	if o.Pairs[0] > 0 {
		line = fmt.Sprintf("%d units on three pairs of lines: %d, %d and %d; line current = %s x sqrt(%d^2 + %d x %d + %d^2) = %s", o.Units,
			o.Pairs[0], o.Pairs[1], o.Pairs[2], amps(o.Output), o.Pairs[0], o.Pairs[0], o.Pairs[1], o.Pairs[1], amps(o.Line))
	}
	return []string{line, fmt.Sprintf("required ampacity before conditions of use = %s x %s = %s", amps(o.Line), factor(o.Continuous), amps(o.RequiredAmpacity))}
}
