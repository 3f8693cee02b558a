package structural

import (
	"fmt"
	"math"

	"plumbrule/internal/quantity"
	"plumbrule/internal/table"
)

type seismicFactors struct {
	coefficient, height, minimum, maximum, vertical float64
	amplification, response                         float64 // 7-16; NaN elsewhere
	ductility                                       float64 // 7-22; NaN elsewhere
}

func (w *ASCE7) readSeismic(s *source) {
	f := w.factors(s, "seismic")
	nan := math.NaN()
	w.seismic = seismicFactors{f("coefficient"), f("height"), f("minimum"), f("maximum"), f("vertical"), nan, nan, nan}
	if s.table("seismic").Has("amplification") {
		w.seismic.amplification, w.seismic.response = f("amplification"), f("response")
	} else {
		w.seismic.ductility = f("ductility")
	}
}

// Seismic is what the seismic demand of a component depends on. NaN marks an
// optional value that is not given; the edition's own default then holds.
type Seismic struct {
	SDS, Weight, Importance float64 // weight N
	HeightRatio             float64 // z/h of the place of attachment, 0 to 1
	Amplification, Response float64 // 7-16: ap and Rp
	HeightFactor            float64 // 7-22: Hf
	Ductility               float64 // 7-22: Rmu
	Resonance, Strength     float64 // 7-22: CAR and Rpo, needed
}

// NewSeismic has every optional value absent.
func NewSeismic(sds, weight, importance, heightRatio float64) Seismic {
	nan := math.NaN()
	return Seismic{sds, weight, importance, heightRatio, nan, nan, nan, nan, nan, nan}
}

// SeismicForce is the horizontal strength-level force, N.
type SeismicForce struct {
	Seismic
	Computed, Minimum, Maximum, Force, Vertical float64
	Refs                                        []table.Ref
}

// SeismicForce computes Fp with its bounds (13.3.1). ap and Rp with 7-22, or
// the factors of 7-22 with 7-16, are an error: the pairing is a finding.
func (w *ASCE7) SeismicForce(s Seismic) (SeismicForce, error) {
	if err := positive("SDS", s.SDS, "weight", s.Weight, "importance factor", s.Importance); err != nil {
		return SeismicForce{}, err
	}
	if err := within("height ratio", s.HeightRatio, 0, 1); err != nil {
		return SeismicForce{}, err
	}
	old := !math.IsNaN(w.seismic.amplification)
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
	r := SeismicForce{Refs: []table.Ref{w.refs["seismic"]}}
	f := w.seismic
	base := f.coefficient * s.SDS * s.Weight * s.Importance
	if old {
		if given(s.HeightFactor, s.Ductility, s.Resonance, s.Strength) {
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
		or(&s.HeightFactor, 1+f.height*s.HeightRatio)
		or(&s.Ductility, f.ductility)
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
