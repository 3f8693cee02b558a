package structural

import (
	"math"
	"math/rand/v2"
	"testing"

	"plumbrule/internal/quantity"
)

// A beam over any supports with any loads hands all of them on, with the moment
// that they have; the published answers stand in structural-path.toml.
func TestContinuousBeamInEquilibrium(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 11))
	for range 200 {
		b := ContinuousBeam{}
		at := r.Float64()
		for range 1 + r.IntN(9) {
			b.Supports = append(b.Supports, at)
			at += 0.2 + 2*r.Float64()
		}
		force, moment := 0.0, 0.0
		for range r.IntN(12) {
			from := at * r.Float64()
			l := EvenLoad{from, from + float64(r.IntN(2))*r.Float64(), r.Float64()}
			b.Loads = append(b.Loads, l)
			force += l.Total
			moment += l.Total * l.middle()
		}
		f := must(b.Forces())(t)
		for i, v := range f.Reactions {
			force -= v
			moment -= v * b.Supports[i]
		}
		if math.Abs(force) > 1e-9 || len(b.Supports) > 1 && math.Abs(moment) > 1e-9 {
			t.Fatalf("%v: %g and %g are left over", b, force, moment)
		}
	}
}

func TestContinuousBeamRefuses(t *testing.T) {
	for _, b := range []ContinuousBeam{{}, {Supports: []float64{1, 1}}, {Supports: []float64{0, math.NaN()}}, {Supports: []float64{0, 1}, Loads: []EvenLoad{{2, 1, 5}}}} {
		if _, err := b.Forces(); err == nil {
			t.Errorf("%v has an answer", b)
		}
	}
}

// The combinations of a foot by hand, ASCE/SEI 7-16 2.4.1: 10 ft2, slope 0.
func TestCombineByHand(t *testing.T) {
	w := asce(t, "7-16")
	foot := Attachment{Tributary: 10 * ft2}
	for _, c := range []struct {
		up, down, dead, snow float64 // psf
		uplift, onto         float64 // lb
		by                   string
	}{
		{-30, 10, 3, 20, 0.6*300 - 0.6*30, 30 + 200, "D + S"},
		{-30, 50, 3, 20, 0.6*300 - 0.6*30, 30 + 0.75*(300+200), "D + 0.45W + 0.75S"},
		{-30, 50, 3, 0, 0.6*300 - 0.6*30, 30 + 300, "D + 0.6W"},
	} {
		d := must(w.Combine(foot, c.up*psf, c.down*psf, c.dead*psf, c.snow*psf, 0))(t)
		if !close2(d.UpliftASD, c.uplift*lb, 1e-9) || !close2(d.DownASD, c.onto*lb, 1e-9) || w.Combination(d.DownBy) != c.by {
			t.Errorf("%+v: uplift %v lb, down %v lb by %s", c, d.UpliftASD/lb, d.DownASD/lb, w.Combination(d.DownBy))
		}
		if pair := d.Pairs()[1]; !close2(pair.Uplift, math.Max(0, 0.45*300-30-0.75*10*c.snow)*lb, 1e-9) {
			t.Errorf("%+v: %v lb of uplift with snow", c, pair.Uplift/lb)
		}
	}
	more := foot
	more.Loaded = 12.5 * ft2
	if d := must(w.Combine(more, -30*psf, 0, 3*psf, 0, 0))(t); !close2(d.UpliftASD, 1.25*162*lb, 1e-9) {
		t.Errorf("a foot that a rail loads by a quarter more: %v lb", d.UpliftASD/lb)
	}
}

func TestWeakest(t *testing.T) {
	links := []Link{
		{Part: ClampPart, Direction: Upward, Demand: 100, Capacity: 400, Dimension: quantity.Force},
		{Part: RailPart, Direction: Upward, Demand: -5, Capacity: 1, Dimension: quantity.Pressure}, // presses the other way
		{Part: FootPart, Direction: Along, Demand: 30, Capacity: 60, Dimension: quantity.Force},
		{Part: FastenerPart, Direction: Upward, Demand: 100, Capacity: 200, Dimension: quantity.Force},
	}
	if got := Weakest(links); got.Name() != "foot in load down the slope" || got.Utilisation() != 0.5 {
		t.Errorf("%s at %v", got.Name(), got.Utilisation())
	}
}
