package structural

import (
	"fmt"
	"math"
)

// Cause is a known way to reach a wrong value, with the value it leads to.
type Cause struct {
	Name  string
	Value float64
}

// explained is how near a stated value must be to a cause's value to name it:
// half a unit in the second place, as sheets round.
const explained = 0.006

// Explain names the cause whose value lies nearest to a stated value that
// differs from the computed one. It is "" if the two agree or none fits.
func Explain(stated, computed float64, causes []Cause) string {
	if off(stated, computed) <= explained {
		return ""
	}
	name, nearest := "", explained
	for _, c := range causes {
		if d := off(stated, c.Value); d <= nearest {
			name, nearest = c.Name, d
		}
	}
	return name
}

// off is the relative distance of two values of the same sign.
func off(a, b float64) float64 {
	if b == 0 || math.IsNaN(a) || math.IsNaN(b) {
		return math.Inf(1)
	}
	return math.Abs(a/b - 1)
}

// QhCauses lists the usual wrong velocity pressures beside a computed one: Kd
// in the wrong place, counted twice or never, the envelope floor of Exposure
// B, elevation left out, another exposure.
func (w *ASCE7) QhCauses(v VelocityPressure) []Cause {
	causes := []Cause{}
	add := func(name string, value float64) { causes = append(causes, Cause{name, value}) }
	if v.KdInside {
		add("Kd is left out (as ASCE 7-22 does, where it stands in the pressure equation)", v.Q/v.Kd)
		add("Kd is counted twice", v.Q*v.Kd)
	} else {
		add("Kd is inside qh (as ASCE 7-16 has it) and must not be counted again in the pressure", v.Q*v.Kd)
		add("Kd is counted twice", v.Q*v.Kd*v.Kd)
	}
	if v.Exposure == "B" && v.Kz < w.wind.envelopeFloor {
		floor := v.Q * w.wind.envelopeFloor / v.Kz
		add("the Exposure B floor of the envelope procedure is used; it is not needed here and is on the safe side", floor)
	}
	if v.Ke < 1 {
		add("the elevation factor is left at 1, which is permitted and on the safe side", v.Q/v.Ke)
	}
	for _, other := range []string{"B", "C", "D"} {
		if other == v.Exposure {
			continue
		}
		if o, err := w.VelocityPressure(v.Speed, other, v.Height, v.Kzt, v.Elevation); err == nil {
			add("Exposure "+other+" is used", o.Q)
		}
	}
	return causes
}

// CoefficientCauses lists the usual wrong coefficients of a zone and area: read
// linearly in the area, from another slope band, or another zone.
func (w *ASCE7) CoefficientCauses(f *Figure, zone string, area, heightOverWidth float64) []Cause {
	causes := []Cause{}
	c, err := f.Curve(zone)
	if err != nil || !(area > 0) {
		return causes
	}
	causes = append(causes, Cause{"the curve is read linearly in the area instead of its logarithm", c.LinearAt(area)})
	for _, r := range w.figures.Rows {
		roof, _ := w.figures.Text(r.Key, "roof")
		to, _ := w.figures.Number(r.Key, "slope-to")
		if Roof(roof) != f.Roof || r.Key == f.Ref.Row {
			continue
		}
		other, err := w.figure(r.Key, f.Roof, to, heightOverWidth)
		if err != nil {
			continue
		}
		if o, err := other.Curve(zone); err == nil {
			causes = append(causes, Cause{fmt.Sprintf("the slope band of Figure %s is used", other.Name), o.At(area)})
		}
	}
	for _, z := range f.order {
		if z != ZoneName(zone) {
			causes = append(causes, Cause{"the coefficient of zone " + z + " is used", f.uplift[z].At(area)})
		}
	}
	return causes
}

// EqualizationCauses lists the usual wrong equalization factors: linear in the
// area, none at all, or that of a whole array.
func (w *ASCE7) EqualizationCauses(area float64) []Cause {
	causes := []Cause{{"no equalization is taken, which is on the safe side", 1}}
	for _, c := range w.equalize {
		causes = append(causes, Cause{"the curve is read linearly in the area instead of its logarithm", c.LinearAt(area)},
			Cause{"the area of a whole array is used instead of one attachment's", c.values[len(c.values)-1]})
	}
	return causes
}

// WithdrawalCauses lists the usual wrong withdrawal capacities of a lag screw:
// the tip counted as thread, the whole screw in the member counted, a factor
// left out or used unasked.
func (n *NDS) WithdrawalCauses(w Withdrawal, t Thread) []Cause {
	causes := []Cause{}
	add := func(name string, ratio float64) { causes = append(causes, Cause{name, w.Allowable * ratio}) }
	add("the tapered tip is counted as thread", (w.Thread+t.Tip)/w.Thread)
	if t.InMember > w.Thread+t.Tip {
		add("the whole length in the member is counted as thread", t.InMember/w.Thread)
	}
	if w.Adjustment.CD != 1 {
		add("the load duration factor is left out", 1/w.Adjustment.CD)
	} else if cd, ok := n.Duration("wind"); ok {
		add("the load duration factor of wind is used", cd)
	}
	if w.Adjustment.Ct != 1 {
		add("the temperature factor is left out", 1/w.Adjustment.Ct)
	}
	if w.Adjustment.CM != 1 {
		add("the wet service factor is left out", 1/w.Adjustment.CM)
	}
	return causes
}
