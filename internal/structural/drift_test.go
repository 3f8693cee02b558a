package structural

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Snow by the rules of 7.6.1: what carries it on a narrow roof, how far the
// drift lies, and that a steep or nearly level roof has none. Numbers against
// published cases stand in testdata/published.
func TestUnbalancedSnow(t *testing.T) {
	w := asce(t, "7-16")
	snow := func(slope, pg, importance float64) RoofSnow {
		return must(w.RoofSnow(Snow{Ground: pg * psf, Exposure: 1, Thermal: 1.1, Importance: importance, Slope: slope}))(t)
	}
	run := func(v float64, oneSpan bool) Ridge { return Ridge{Run: v * ft, Upwind: v * ft, OneSpan: oneSpan} }
	r := snow(26.565, 40, 1)
	// pg 40 psf, W 15 ft, 6 in 12: 28 psf and 21.8 psf more near the ridge for a part, 40 psf for a member (structural review notes; W under 20 ft counts as 20 ft).
	u := must(w.UnbalancedSnow(r, run(15, true)))(t)
	near, far := u.Between(0, 0), u.Between(14*ft, 14*ft)
	if math.Abs(near/psf-(0.7*1.1*40+u.Surcharge/psf)) > 1e-9 || !close2(far, 40*psf, 1e-9) || !close2(u.Surcharge, 21.8*psf, 0.005) {
		t.Errorf("narrow roof: %.1f psf near, %.1f psf far, surcharge %.2f psf", near/psf, far/psf, u.Surcharge/psf)
	}
	if u := must(w.UnbalancedSnow(r, run(15, false)))(t); u.Even != 0 || u.Between(14*ft, 14*ft) != r.Sloped {
		t.Errorf("without members from ridge to eave: %+v", u)
	}
	if u := must(w.UnbalancedSnow(r, run(20.1, true)))(t); u.Even != 0 || !close2(u.Windward, 0.3*r.Sloped, 1e-12) {
		t.Errorf("wide roof: %+v", u)
	}
	// importance counts with its root
	plain, grave := must(w.UnbalancedSnow(snow(20, 30, 1), run(40, false)))(t), must(w.UnbalancedSnow(snow(20, 30, 1.2), run(40, false)))(t)
	if !close2(grave.Height, math.Sqrt(1.2)*plain.Height, 1e-12) {
		t.Errorf("importance 1.2: %v, plain %v", grave.Height, plain.Height)
	}
	seven := math.Atan(7.0/12) * 180 / math.Pi
	for slope, want := range map[float64]bool{2.37: false, 2.38: true, seven: true, 30.3: false} {
		if u := must(w.UnbalancedSnow(snow(slope, 30, 1), run(40, false)))(t); u.Applies != want {
			t.Errorf("at %v deg: %v", slope, u.Applies)
		}
	}
	// the mean over what reaches past the drift
	u = must(w.UnbalancedSnow(snow(20, 30, 1), run(40, false)))(t)
	if got := u.Between(u.Reach-1, u.Reach+1); !close2(got, u.Leeward+u.Surcharge/2, 1e-12) {
		t.Errorf("half in the drift: %v", got)
	}
}

func TestSnowDriftShape(t *testing.T) {
	w := asce(t, "7-16")
	r := must(w.RoofSnow(Snow{Ground: 30 * psf, Exposure: 1, Thermal: 1, Importance: 1}))(t)
	d := must(w.SnowDrift(r, Step{Rise: math.Inf(1), Upper: 100 * ft, Lower: 50 * ft}))(t)
	if got := d.Between(0, d.Width()); !close2(got, d.Leeward.Peak/2, 1e-9) || d.Between(d.Width(), 2*d.Width()) != 0 {
		t.Errorf("mean of a triangle %v of %v", got, d.Leeward.Peak)
	}
	// no drift where the step is all but buried, no lee at a parapet
	if d := must(w.SnowDrift(r, Step{Rise: 1.19 * d.Base, Upper: 100 * ft, Lower: 50 * ft}))(t); d.Width() != 0 {
		t.Errorf("a buried step: %+v", d)
	}
	bound := r
	bound.Bound = true // with less snow it would not be buried
	if d := must(w.SnowDrift(bound, Step{Rise: 1.19 * d.Base, Upper: 100 * ft, Lower: 50 * ft}))(t); d.Width() == 0 {
		t.Errorf("a step that may not be buried: %+v", d)
	}
	if d := must(w.SnowDrift(r, Step{Rise: 0, Lower: 50 * ft}))(t); d.Width() != 0 {
		t.Errorf("no step: %+v", d)
	}
	if d := must(w.SnowDrift(r, Step{Rise: 5, Lower: 50 * ft}))(t); d.Leeward.Peak != 0 || d.Windward.Peak == 0 {
		t.Errorf("a parapet: %+v", d)
	}
	for name, s := range map[string]Step{"no lower roof": {Rise: 1, Upper: 1}, "a rise NaN": {Rise: math.NaN(), Lower: 1}, "upper NaN": {Rise: 1, Lower: 1, Upper: math.NaN()}} {
		if _, err := w.SnowDrift(r, s); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
	if s := must(w.SlidingSnow(r, 9, 20*ft, false))(t); s.Applies || s.Between(0, 1) != 0 {
		t.Errorf("rough roof of 9 deg: %+v", s)
	}
	if s := must(w.SlidingSnow(r, 9, 20*ft, true))(t); !close2(s.Between(14*ft, 16*ft), s.Pressure/2, 1e-9) {
		t.Errorf("slippery roof of 9 deg: %+v", s)
	}
}

// A level valley: 2 pf/Ce there, half the flat roof snow at the ridges (7.6.3, from memory).
func TestValleySnow(t *testing.T) {
	w := asce(t, "7-16")
	r := must(w.RoofSnow(Snow{Ground: 40 * psf, Exposure: 0.9, Thermal: 1, Importance: 1, Slope: 20}))(t)
	v := must(w.ValleySnow(r, 24*ft))(t)
	for at, want := range map[float64]float64{0: 2 * 28, 24: 12.6, 12: (56 + 12.6) / 2, 30: 12.6} {
		if got := v.Between(at*ft, at*ft); !v.Applies || !close2(got, want*psf, 1e-9) {
			t.Errorf("%v ft from the valley: %v psf, want %v", at, got/psf, want)
		}
	}
	if v := must(w.ValleySnow(must(w.RoofSnow(Snow{Ground: 40 * psf, Exposure: 0.9, Thermal: 1, Importance: 1, Slope: 1.79}))(t), 24*ft))(t); v.Applies {
		t.Error("a roof of 1.79 deg gathers snow in its valley")
	}
}

// More ground snow, more fetch and more wind never make less; the lee side is
// never under the balanced load.
func TestSnowGrows(t *testing.T) {
	for _, edition := range editions {
		w := asce(t, edition)
		random := rand.New(rand.NewPCG(3, 4))
		for range 300 {
			s := Snow{Ground: (5 + 95*random.Float64()) * psf, Exposure: 0.8 + 0.4*random.Float64(), Thermal: 1 + 0.3*random.Float64(), Importance: 1, Risk: "II",
				Slope: 30 * random.Float64(), Run: 100 * random.Float64(), WinterWind: 0.25 + 0.4*random.Float64()}
			ridge := Ridge{Run: 3 + 30*random.Float64(), Upwind: 3 + 30*random.Float64(), OneSpan: random.Float64() < 0.5}
			step := Step{Rise: 5 * random.Float64(), Upper: 50 * random.Float64(), Lower: 1 + 50*random.Float64()}
			at := 10 * random.Float64()
			loads := func(s Snow, ridge Ridge, step Step) (out [3]float64) {
				r := must(w.RoofSnow(s))(t)
				u := must(w.UnbalancedSnow(r, ridge))(t)
				out = [3]float64{r.Sloped, u.Between(at, at+1), must(w.SnowDrift(r, step))(t).Leeward.Height}
				if u.Between(at, at+1) < r.Sloped {
					t.Fatalf("%s: lee side %v under the balanced %v", edition, u.Between(at, at+1), r.Sloped)
				}
				return out
			}
			base := loads(s, ridge, step)
			more := s
			more.Ground *= 1.1
			longer, wider := ridge, step
			longer.Upwind *= 1.2
			wider.Upper *= 1.2
			for name, got := range map[string][3]float64{"ground snow": loads(more, ridge, Step{math.Inf(1), step.Upper, step.Lower}), "fetch": loads(s, longer, wider)} {
				for k := range got[:2] {
					if got[k] < base[k]*(1-1e-12) {
						t.Fatalf("%s: %s made less of %d: %v, %v", edition, name, k, got, base)
					}
				}
				if got[2] < base[2]*(1-1e-12) {
					t.Fatalf("%s: %s made a lower drift: %v, %v", edition, name, got, base)
				}
			}
			if w.TakesWinterWind() {
				windy, calm := s, s
				windy.WinterWind, calm.WinterWind = 0, 0.25
				if loads(windy, ridge, step)[1] < base[1] || loads(calm, ridge, step)[1] > base[1] {
					t.Fatalf("winter wind: the value that is taken where none is stated is not the largest")
				}
			}
		}
	}
}

// Rain on snow holds up to the limit of the risk category in 7-22, and counts
// in what governs.
func TestRainOnSnow(t *testing.T) {
	w := asce(t, "7-22")
	for risk, most := range map[string]float64{"I": 25, "II": 30, "III": 35, "IV": 40} {
		for pg, want := range map[float64]float64{most: 8, most + 0.1: 0} {
			r := must(w.RoofSnow(Snow{Ground: pg * psf, Exposure: 1, Thermal: 1, Importance: 1, Slope: 1, Run: 100 * ft, Risk: risk}))(t)
			if !close2(r.RainOnSnow+psf, (want+1)*psf, 1e-12) || !close2(r.GoverningStrength, math.Max(r.Sloped+r.RainOnSnow, r.Minimum), 1e-12) {
				t.Errorf("%s at %v psf: %+v", risk, pg, r)
			}
		}
	}
	// 15 psf, risk category II: 10.5 psf with 8 more govern over a minimum of 15 psf
	r := must(w.RoofSnow(Snow{Ground: 15 * psf, Exposure: 1, Thermal: 1, Importance: 1, Slope: 1, Run: 100 * ft, Risk: "II"}))(t)
	if !close2(r.GoverningStrength, 18.5*psf, 1e-12) {
		t.Errorf("%v psf govern, 18.5 do", r.GoverningStrength/psf)
	}
	if r := must(w.RoofSnow(Snow{Ground: 15 * psf, Exposure: 1, Thermal: 1, Importance: 1, Slope: 1, Run: 100 * ft}))(t); !math.IsNaN(r.RainOnSnow) {
		t.Errorf("without a risk category: %v", r.RainOnSnow)
	}
}
