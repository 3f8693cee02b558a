package structural

import (
	"fmt"
	"math"

	"plumbrule/internal/quantity"
	"plumbrule/internal/table"
)

// Combination is a load combination that can govern a part of a load path.
type Combination uint8

const (
	DeadAgainstWind Combination = iota // wind lifts, dead load holds down
	DeadOnly
	DeadAndSnow
	DeadAndLive
	DeadAndWind // wind presses down
	DeadWindSnow
	Earthquake
)

// Combination names a load combination by its factors, allowable level.
func (w *ASCE7) Combination(c Combination) string {
	k := &w.combine
	f := func(factor float64, load string) string {
		if factor == 1 {
			return load
		}
		return fmt.Sprintf("%.4g%s", factor, load)
	}
	switch c {
	case DeadAgainstWind:
		return f(k.DeadAgainstASD, "D") + " + " + f(k.WindASD, "W")
	case DeadAndSnow:
		return "D + " + f(k.SnowASD, "S")
	case DeadAndLive:
		return "D + Lr"
	case DeadAndWind:
		return "D + " + f(k.WindASD, "W")
	case DeadWindSnow:
		return "D + " + f(k.CompanionASD*k.WindASD, "W") + " + " + f(k.CompanionASD*k.SnowASD, "S")
	case Earthquake:
		return f(w.seismic.allowable, "E")
	}
	return "D"
}

// CombinationsRef is the place of the load combinations.
func (w *ASCE7) CombinationsRef() table.Ref { return w.refs["combinations"] }

// Direction is a way that a load runs through the parts of a mounting.
type Direction string

// The four directions, and two of them at once. Upward and Down are at a right
// angle to the slope.
const (
	Upward Direction = "uplift"
	Down   Direction = "downward load"
	Along  Direction = "load down the slope"
	Across Direction = "load across the slope"
	// Together is uplift with what runs down the slope beside it.
	Together Direction = "uplift with load down the slope"
)

// The parts of a load path, from the glass to the framing.
const (
	ModulePart   = "module"
	ClampPart    = "module clamp"
	RailPart     = "rail"
	FootPart     = "foot"
	FastenerPart = "fasteners"
	SheetPart    = "sheet"
	MemberPart   = "member"
)

// Link is one part of a load path in one direction: what comes onto it and what
// it holds, both at one level and of one dimension.
type Link struct {
	Part      string
	Direction Direction
	Demand    float64
	By        Combination
	Capacity  float64
	Dimension quantity.Dimension // force, or pressure on what spans
	Reason    string             // why it holds that much
	Refs      []table.Ref
}

// Utilisation is the share of the capacity that the demand takes. What presses
// the other way takes none.
func (l Link) Utilisation() float64 { return math.Max(0, l.Demand) / l.Capacity }

// Name names the part with the direction.
func (l Link) Name() string { return l.Part + " in " + string(l.Direction) }

// Work gives the link in words and numbers.
func (l Link) Work(w *ASCE7, sys quantity.System) string {
	return fmt.Sprintf("%s takes %s (%s) and holds %s, %s: %.3f", l.Name(), show(sys, math.Max(0, l.Demand), l.Dimension), w.Combination(l.By), show(sys, l.Capacity, l.Dimension), l.Reason, l.Utilisation())
}

// Weakest is the link that its demand takes the largest share of: what governs
// the path. Of equals the one nearer to the modules counts.
func Weakest(links []Link) Link {
	var weakest Link
	for i, l := range links {
		if i == 0 || l.Utilisation() > weakest.Utilisation() {
			weakest = l
		}
	}
	return weakest
}

// Pair is an uplift and a load along the slope that act at once, N.
type Pair struct {
	By                Combination
	Uplift, Downslope float64
}

// Pairs are the combinations in which an attachment is pulled out and along the
// slope at once. Dead load counts in full along the slope where it holds down
// with less, which is the safe side.
func (d Demand) Pairs() [2]Pair {
	return [2]Pair{{DeadAgainstWind, math.Max(0, d.UpliftASD), d.DeadDownslope}, {DeadWindSnow, math.Max(0, d.CompanionUplift), d.CompanionDownslope}}
}
