package electrical

import (
	"math"
	"math/cmplx"
)

// OnLines is a source with its current in A and where it stands on a
// three-phase system: "A-B", "B-C" or "C-A" between two lines, "A-N", "B-N" or
// "C-N" from a line to neutral, "" on all three lines evenly.
type OnLines struct {
	Lines   string
	Current float64
}

// turned is the direction of a voltage, in degrees ahead of that of line A to
// neutral.
func turned(degrees float64) complex128 { return cmplx.Rect(1, degrees*math.Pi/180) }

// LineCurrents adds the currents of sources on a three-phase system as phasors
// and gives those of lines A, B and C and of the neutral in A. Each source feeds
// at unity power factor, in phase with the voltage that it stands on. Three
// equal sources, one on each pair of lines, give the square root of three times
// the current of one. Lines of another name are a DomainError. Source: sum of
// phasors, as for the line current of a delta-connected source in any text on
// three-phase circuits.
func LineCurrents(sources []OnLines) (lines [3]float64, neutral float64, err error) {
	var sum [3]complex128
	var back complex128
	for _, s := range sources {
		i := complex(s.Current, 0)
		switch s.Lines {
		case "":
			for n := range sum {
				sum[n] += i * turned(-120*float64(n))
			}
		case "A-B", "B-C", "C-A":
			from := int(s.Lines[0] - 'A')
			i *= turned(30 - 120*float64(from))
			sum[from] += i
			sum[(from+1)%3] -= i
		case "A-N", "B-N", "C-N":
			at := int(s.Lines[0] - 'A')
			i *= turned(-120 * float64(at))
			sum[at] += i
			back -= i
		default:
			return lines, 0, outside("%q are no lines of a three-phase system", s.Lines)
		}
	}
	for n := range sum {
		lines[n] = cmplx.Abs(sum[n])
	}
	return lines, cmplx.Abs(back), nil
}

// Feed is the voltage of a source or of what it stands on, in V: between lines,
// where it is of several phases.
type Feed struct {
	Voltage float64
	System  System
	Delta   bool // of three phases: without a neutral in the middle of all lines
}

// Fits reports whether a source may stand on a circuit, busbar or service. It
// fits where phases and voltage are the same, and of one phase where its voltage
// is that between two lines, or from a line to neutral. Voltages agree within a
// share of tolerance. Source: nominal system voltages, ANSI C84.1.
func Fits(source, on Feed, tolerance float64) bool {
	same := func(v float64) bool { return math.Abs(source.Voltage-v) <= tolerance*v }
	toNeutral := math.NaN() // no such voltage
	switch {
	case on.System == SplitPhase, on.System == ThreePhase && on.Delta: // the middle of a winding
		toNeutral = on.Voltage / 2
	case on.System == ThreePhase:
		toNeutral = on.Voltage / math.Sqrt(3)
	}
	switch source.System {
	case ThreePhase:
		return on.System == ThreePhase && same(on.Voltage)
	case SinglePhase:
		return same(on.Voltage) || same(toNeutral)
	}
	return same(on.Voltage)
}
