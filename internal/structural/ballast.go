package structural

import (
	"fmt"
	"math"
	"strings"

	"plumbrule/internal/quantity"
	"plumbrule/internal/table"
)

// Arrays that lie on a roof by their weight alone: in an earthquake they slide
// and need room, in the wind their weight has to hold them down and in place.

type ballastFactors struct {
	displacement, above, least, array, fixed, edge float64
	stories, height, parapet                       float64
}

func (w *ASCE7) readBallast(s *source) {
	f := w.factors(s, "ballast")
	w.ballast = ballastFactors{f("displacement"), f("above"), f("least"), f("array"), f("fixed"), f("edge"), f("stories"), f("height"), f("parapet-height")}
}

// Displacement is how far an unattached array may slide and the room that it
// needs, m.
type Displacement struct {
	SDS, Importance    float64
	Computed, Distance float64 // as computed, and not under the least
	Array, Fixed, Edge float64 // room to another such array; to what is fixed, or a parapet; to an open edge
	Refs               []table.Ref
}

// Displacement computes the displacement of an unattached array (13.6.12) on a
// building of an importance factor.
func (w *ASCE7) Displacement(sds, importance float64) (Displacement, error) {
	if err := notNegative("SDS", sds); err != nil {
		return Displacement{}, err
	}
	if err := positive("importance factor", importance); err != nil {
		return Displacement{}, err
	}
	f := w.ballast
	over := math.Max(0, sds-f.above)
	d := Displacement{SDS: sds, Importance: importance, Computed: f.displacement * importance * over * over, Refs: []table.Ref{w.refs["ballast"]}}
	d.Distance = math.Max(f.least, d.Computed)
	d.Array, d.Fixed, d.Edge = f.array*d.Distance, f.fixed*d.Distance, f.edge*d.Distance
	return d, nil
}

// Work gives the calculation with numbers put in.
func (d Displacement) Work(sys quantity.System) []string {
	l := func(v float64) string { return show(sys, v, quantity.Length) }
	return []string{
		fmt.Sprintf("displacement for SDS %.3f and Ie %.2f of the building = %s, taken as %s", d.SDS, d.Importance, l(d.Computed), l(d.Distance)),
		fmt.Sprintf("room: %s to another such array, %s to what is fixed and to a parapet, %s to an open edge", l(d.Array), l(d.Fixed), l(d.Edge)),
	}
}

// QualifyingParapet reports whether a parapet is high enough to stop an array.
func (w *ASCE7) QualifyingParapet(height float64) bool { return Meets(w.ballast.parapet, height) }

// Unattached is what the limits of 13.6.12 hold an array to: the building's
// risk category and stories, the height of the array above the roof, m, and
// whether its parts are joined.
type Unattached struct {
	Risk           string
	Stories        int
	Height         float64
	Interconnected bool
}

// BeyondBallast says which limits of 13.6.12 an array passes; "" for none.
func (w *ASCE7) BeyondBallast(u Unattached, sys quantity.System) string {
	var out []string
	if u.Risk == "IV" {
		out = append(out, "risk category IV is over III")
	}
	if float64(u.Stories) > w.ballast.stories {
		out = append(out, fmt.Sprintf("%d stories are over %.0f", u.Stories, w.ballast.stories))
	}
	if !Meets(u.Height, w.ballast.height) {
		out = append(out, fmt.Sprintf("the array is %s high, over %s", show(sys, u.Height, quantity.Length), show(sys, w.ballast.height, quantity.Length)))
	}
	if !u.Interconnected {
		out = append(out, "its parts are not joined to move as one")
	}
	return strings.Join(out, "; ")
}

// BallastLoad is the wind on one module at allowable level and what resists it:
// forces N, slope of the roof in degrees.
type BallastLoad struct{ Uplift, Drag, Slope, Friction float64 }

// BallastNeed is the weight of a module with mounting and ballast, N, that
// holds it down and in place.
type BallastNeed struct {
	BallastLoad
	ForUplift, ForSliding float64
	share                 float64
	Refs                  []table.Ref
}

// BallastNeed computes the weight of which the share that may count against
// wind holds a module down, and in place by friction. The weight itself pulls
// down the slope. Without friction, NaN, sliding is not answered.
func (w *ASCE7) BallastNeed(b BallastLoad) (BallastNeed, error) {
	if err := notNegative("uplift", b.Uplift, "drag", b.Drag, "slope", b.Slope); err != nil {
		return BallastNeed{}, err
	}
	n := BallastNeed{BallastLoad: b, share: w.combine.DeadAgainstASD, ForSliding: math.NaN(), Refs: []table.Ref{w.refs["combinations"]}}
	sin, cos := math.Sincos(b.Slope * math.Pi / 180)
	n.ForUplift = b.Uplift / (n.share * cos)
	if math.IsNaN(b.Friction) {
		return n, nil
	}
	if err := positive("friction", b.Friction); err != nil {
		return BallastNeed{}, err
	}
	grip := b.Friction*cos - sin
	if grip <= 0 {
		return BallastNeed{}, fmt.Errorf("on a slope of %.4g degrees a friction of %.4g does not hold even the weight itself", b.Slope, b.Friction)
	}
	n.ForSliding = (b.Drag + b.Friction*b.Uplift) / (n.share * grip)
	return n, nil
}

// Work gives the calculation with numbers put in.
func (n BallastNeed) Work(sys quantity.System) []string {
	f := func(v float64) string { return show(sys, v, quantity.Force) }
	lines := []string{fmt.Sprintf("against uplift: %.1f of the weight holds %s, so that it is %s", n.share, f(n.Uplift), f(n.ForUplift))}
	if !math.IsNaN(n.ForSliding) {
		lines = append(lines, fmt.Sprintf("against sliding: friction %.2f of what is left after %s of uplift holds a drag of %s on a slope of %s, so that the weight is %s",
			n.Friction, f(n.Uplift), f(n.Drag), show(sys, n.Slope, quantity.Angle), f(n.ForSliding)))
	}
	return lines
}

// WorstUplift is the severest uplift coefficient of a figure for an area.
func (f *Figure) WorstUplift(area float64) float64 {
	worst := 0.0
	for _, c := range f.uplift {
		worst = math.Min(worst, c.At(area))
	}
	return worst
}
