package structural

import (
	"fmt"
	"math"

	"plumbrule/internal/quantity"
	"plumbrule/internal/table"
)

type seismicFactors struct {
	coefficient, height, minimum, maximum, vertical float64
	allowable, deadAgainst                          float64
	amplification, response                         float64 // before 7-22; NaN elsewhere
	ductility, shortPeriod, power                   float64 // 7-22; NaN elsewhere
	resonance, strength                             float64 // 7-22; NaN elsewhere
}

func (w *ASCE7) readSeismic(s *source) {
	w.importance = s.table("importance")
	f := w.factors(s, "seismic")
	t := s.table("seismic")
	ofForm := func(name string) float64 {
		if t.Has(name) {
			return f(name)
		}
		return math.NaN()
	}
	w.seismic = seismicFactors{
		coefficient: f("coefficient"), height: f("height"), minimum: f("minimum"), maximum: f("maximum"), vertical: f("vertical"),
		allowable: f("allowable"), deadAgainst: f("dead-against"),
		amplification: ofForm("amplification"), response: ofForm("response"),
		ductility: ofForm("ductility"), shortPeriod: ofForm("short-period"), power: ofForm("height-power"),
		resonance: ofForm("resonance"), strength: ofForm("strength"),
	}
}

// Importance gives the factor Ie of a building in a risk category (I to IV),
// and Ip of the components of one, where no other is stated.
func (w *ASCE7) Importance(risk string) (building, component float64, refs []table.Ref, err error) {
	building, ok := w.importance.Number(risk, "building")
	component, also := w.importance.Number(risk, "component")
	if !ok || !also {
		return 0, 0, nil, fmt.Errorf("risk category %q is none of I, II, III, IV", risk)
	}
	return building, component, []table.Ref{w.importance.Ref(risk)}, nil
}

// LeastPressure is the least net wind pressure at strength level, Pa.
func (w *ASCE7) LeastPressure() float64 { return w.wind.minimum }

// Seismic is what the seismic demand of a component depends on. NaN marks an
// optional value that is not given; the edition's own default then holds.
type Seismic struct {
	SDS, Weight, Importance float64 // weight N
	HeightRatio             float64 // z/h of the place of attachment; above the roof counts as at it
	Amplification, Response float64 // before 7-22: ap and Rp
	HeightFactor            float64 // 7-22: Hf
	Period                  float64 // 7-22: period Ta of the building, s, from which Hf follows
	Ductility               float64 // 7-22: Rmu
	Resonance, Strength     float64 // 7-22: CAR and Rpo
}

// NewSeismic has every optional value absent.
func NewSeismic(sds, weight, importance, heightRatio float64) Seismic {
	nan := math.NaN()
	return Seismic{sds, weight, importance, heightRatio, nan, nan, nan, nan, nan, nan, nan}
}

// SeismicForce is the horizontal strength-level force, N.
type SeismicForce struct {
	Seismic
	Computed, Minimum, Maximum, Force, Vertical float64
	factors                                     seismicFactors
	Refs                                        []table.Ref
}

// ByResonance reports whether Fp goes by CAR and Rpo instead of ap and Rp.
func (w *ASCE7) ByResonance() bool { return math.IsNaN(w.seismic.amplification) }

// SeismicForce computes Fp with its bounds (13.3.1). ap and Rp with 7-22, or
// the factors of 7-22 before it, are an error: the pairing is a finding.
func (w *ASCE7) SeismicForce(s Seismic) (SeismicForce, error) {
	if err := notNegative("SDS", s.SDS, "height ratio", s.HeightRatio); err != nil {
		return SeismicForce{}, err
	}
	if err := positive("weight", s.Weight, "importance factor", s.Importance); err != nil {
		return SeismicForce{}, err
	}
	s.HeightRatio = math.Min(1, s.HeightRatio)
	given := func(v ...float64) bool {
		for _, x := range v {
			if !math.IsNaN(x) {
				return true
			}
		}
		return false
	}
	or := func(v *float64, standing float64) {
		if math.IsNaN(*v) {
			*v = standing
		}
	}
	f := w.seismic
	r := SeismicForce{factors: f, Refs: []table.Ref{w.refs["seismic"]}}
	base := f.coefficient * s.SDS * s.Weight * s.Importance
	if !w.ByResonance() {
		if given(s.HeightFactor, s.Period, s.Ductility, s.Resonance, s.Strength) {
			return SeismicForce{}, fmt.Errorf("the factors Hf, Rmu, CAR and Rpo are of ASCE 7-22, not of %s", w.Edition)
		}
		or(&s.Amplification, f.amplification)
		or(&s.Response, f.response)
		if err := positive("ap", s.Amplification, "Rp", s.Response); err != nil {
			return SeismicForce{}, err
		}
		r.Computed = base * s.Amplification / s.Response * (1 + f.height*s.HeightRatio)
	} else {
		if given(s.Amplification, s.Response) {
			return SeismicForce{}, fmt.Errorf("ap and Rp are of ASCE 7-16, not of %s", w.Edition)
		}
		if given(s.HeightFactor) && given(s.Period) {
			return SeismicForce{}, fmt.Errorf("give either Hf or the period, from which it follows")
		}
		or(&s.HeightFactor, f.heightFactor(s.HeightRatio, s.Period))
		or(&s.Ductility, f.ductility)
		or(&s.Resonance, f.resonance)
		or(&s.Strength, f.strength)
		if err := positive("Hf", s.HeightFactor, "Rmu", s.Ductility, "CAR", s.Resonance, "Rpo", s.Strength); err != nil {
			return SeismicForce{}, err
		}
		r.Computed = base * s.HeightFactor / s.Ductility * s.Resonance / s.Strength
	}
	r.Seismic = s
	bound := s.SDS * s.Importance * s.Weight
	r.Minimum, r.Maximum = f.minimum*bound, f.maximum*bound
	r.Force = math.Min(r.Maximum, math.Max(r.Minimum, r.Computed))
	r.Vertical = f.vertical * s.SDS * s.Weight
	return r, nil
}

// heightFactor is Hf of 7-22. Without a period the building is taken as stiff,
// which gives the most at the roof.
func (f seismicFactors) heightFactor(ratio, period float64) float64 {
	if math.IsNaN(period) {
		return 1 + f.height*ratio
	}
	a1 := math.Min(f.height, 1/period)
	a2 := math.Max(0, 1-(f.shortPeriod/period)*(f.shortPeriod/period))
	return 1 + a1*ratio + a2*math.Pow(ratio, f.power)
}

// SeismicFoot is what an earthquake asks of a foot on a slope, at allowable
// level, N. Uplift is normal to the roof; at or below zero the weight holds.
type SeismicFoot struct{ Along, Uplift float64 }

// OnFoot puts the force on a foot that carries the weight on a slope, degrees:
// along it with the weight and the vertical force down, off it with what is
// left of the weight. The force comes from any side.
func (r SeismicForce) OnFoot(slope float64) SeismicFoot {
	sin, cos := math.Sincos(slope * math.Pi / 180)
	f := r.factors
	horizontal, vertical := f.allowable*r.Force, f.allowable*r.Vertical
	down := (r.Weight + vertical) * sin
	return SeismicFoot{
		Along:  math.Max(horizontal*cos+down, math.Hypot(horizontal, down)),
		Uplift: horizontal*sin - (f.deadAgainst*r.Weight-vertical)*cos,
	}
}

// FootWork gives that calculation with numbers put in.
func (r SeismicForce) FootWork(slope float64) func(quantity.System) []string {
	foot := r.OnFoot(slope)
	return func(sys quantity.System) []string {
		f := func(v float64) string { return show(sys, v, quantity.Force) }
		h, v := f(r.factors.allowable*r.Force), f(r.factors.allowable*r.Vertical)
		return []string{
			fmt.Sprintf("allowable level: %.1f Fp = %s in any direction, vertical +/- %s", r.factors.allowable, h, v),
			fmt.Sprintf("along a slope of %s: with the weight %s and %s down, %s", show(sys, slope, quantity.Angle), f(r.Weight), v, f(foot.Along)),
			fmt.Sprintf("off it: against %.1f x %s less %s, %s", r.factors.deadAgainst, f(r.Weight), v, f(foot.Uplift)),
		}
	}
}

// Work gives the calculation with numbers put in.
func (r SeismicForce) Work(sys quantity.System) []string {
	f := func(v float64) string { return show(sys, v, quantity.Force) }
	terms := fmt.Sprintf("ap %.2f, Rp %.2f", r.Amplification, r.Response)
	if math.IsNaN(r.Amplification) {
		terms = fmt.Sprintf("Hf %.2f, Rmu %.2f, CAR %.2f, Rpo %.2f", r.HeightFactor, r.Ductility, r.Resonance, r.Strength)
	}
	return []string{
		fmt.Sprintf("Fp from SDS %.3f, Wp %s, Ip %.2f, z/h %.2f, %s = %s", r.SDS, f(r.Weight), r.Importance, r.HeightRatio, terms, f(r.Computed)),
		fmt.Sprintf("not under %s, not over %s: Fp = %s horizontal; vertical +/- %s (strength level)", f(r.Minimum), f(r.Maximum), f(r.Force), f(r.Vertical)),
	}
}
