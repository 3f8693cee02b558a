package structural

import (
	"fmt"
	"math"

	"plumbrule/internal/quantity"
	"plumbrule/internal/table"
)

// driftFactors are the numbers of snow that wind moves or that slides. The
// height of a drift has one form up to 7-16, by ground snow, fetch and
// importance, and another in 7-22, by the winter wind of the place too.
type driftFactors struct {
	low, high, narrow, windward                                            float64
	coefficient, ground, loss, importancePower, ridgeFetch, fetch          float64
	scale, groundPower, fetchPower, windPower, wind                        float64 // scale is 0 in the older form
	densitySlope, densityBase, densityCap, reach                           float64
	against, leeWidth, leeWidthMost, againstWidth, againstWidthMost, least float64
	valleySlope, valley, crest                                             float64
	side, slideShare, slideWidth, slideSlippery, slideOther                float64
}

func readDrift(f func(key string) float64, or func(key string, absent float64) float64) driftFactors {
	d := driftFactors{low: f("unbalanced-low"), high: f("unbalanced-high"), narrow: f("unbalanced-narrow"), windward: f("windward"),
		densitySlope: f("density-slope"), densityBase: f("density-base"), densityCap: f("density-cap"), reach: f("drift-reach"),
		against: f("windward-drift"), leeWidth: f("leeward-width"), leeWidthMost: f("leeward-width-most"), againstWidth: f("windward-width"),
		againstWidthMost: or("windward-width-most", math.Inf(1)), least: f("drift-least"), side: f("projection-side"),
		slideShare: f("slide-share"), slideWidth: f("slide-width"), slideSlippery: f("slide-slope-slippery"), slideOther: f("slide-slope"),
		valleySlope: f("valley-slope"), valley: f("valley"), crest: f("valley-crest")}
	if d.scale = or("drift-scale", 0); d.scale > 0 {
		d.groundPower, d.fetchPower, d.windPower, d.wind = f("drift-ground-power"), f("drift-fetch-power"), f("drift-wind-power"), f("winter-wind")
		return d
	}
	d.coefficient, d.ground, d.loss, d.importancePower = f("drift-coefficient"), f("drift-ground"), f("drift-loss"), f("drift-importance-power")
	d.ridgeFetch, d.fetch = f("ridge-fetch"), f("drift-fetch")
	return d
}

// TakesWinterWind reports whether drifts of the edition go by the winter wind.
func (w *ASCE7) TakesWinterWind() bool { return w.snow.drift.scale > 0 }

// DriftSide is the length of a side of a projection from which it makes a
// drift, m.
func (w *ASCE7) DriftSide() float64 { return w.snow.drift.side }

// winterWind is the parameter that a snow load is computed with.
func (d *driftFactors) winterWind(s Snow) float64 {
	if s.WinterWind > 0 {
		return s.WinterWind
	}
	return d.wind
}

// density is the density of snow, N/m3.
func (d *driftFactors) density(ground float64) float64 {
	return math.Min(d.densityCap, d.densitySlope*ground+d.densityBase)
}

// height is the height of a drift in m behind a length of roof, of which the
// older form counts no less than least. The formulas are empirical, in feet and
// psf.
func (d *driftFactors) height(s Snow, fetch, least float64) float64 {
	pg := s.Ground / quantity.PSF
	if d.scale > 0 {
		density := d.density(s.Ground) / (quantity.PSF / quantity.Foot)
		return d.scale * quantity.Foot * math.Sqrt(math.Pow(pg, d.groundPower)*math.Pow(fetch/quantity.Foot, d.fetchPower)*math.Pow(d.winterWind(s), d.windPower)/density)
	}
	bare := d.coefficient*math.Cbrt(math.Max(fetch, least)/quantity.Foot)*math.Pow(pg+d.ground/quantity.PSF, 0.25)*quantity.Foot - d.loss
	return math.Max(0, math.Pow(s.Importance, d.importancePower)*bare)
}

// Ridge is what the unbalanced snow of a gable or hip roof depends on, besides
// its balanced snow. Lengths are in plan, m.
type Ridge struct {
	Run    float64 // from the eave to the ridge of the side that the snow lands on
	Upwind float64 // the same of the other side, from which it comes
	// OneSpan tells that simply supported prismatic members may span from ridge
	// to eave, which on a narrow roof take an even load in place of the drift.
	OneSpan bool
}

// UnbalancedSnow is the unbalanced load of a gable or hip roof, Pa on the
// horizontal projection, in the level of the edition's ground snow.
type UnbalancedSnow struct {
	Ridge
	Applies   bool
	Windward  float64
	Even      float64 // on a narrow roof whose members span from ridge to eave; 0 otherwise
	Leeward   float64 // uniform part
	Surcharge float64 // added beside the ridge
	Height    float64 // of the drift, m
	Reach     float64 // horizontal length of the surcharge from the ridge, m
	Wind      float64 // winter wind parameter; 0 in editions without one
	Refs      []table.Ref
}

// UnbalancedSnow computes 7.6.1. The even load of a narrow roof stands for the
// drift on a member from ridge to eave; what is smaller than that feels the
// drift itself, so that both are given.
func (w *ASCE7) UnbalancedSnow(r RoofSnow, ridge Ridge) (UnbalancedSnow, error) {
	d := &w.snow.drift
	if err := positive("run", ridge.Run, "upwind run", ridge.Upwind); err != nil {
		return UnbalancedSnow{}, err
	}
	out := UnbalancedSnow{Ridge: ridge, Windward: r.Sloped, Leeward: r.Sloped, Refs: []table.Ref{w.refs["snow"]}}
	out.Applies = r.Snow.Slope >= d.low && Meets(r.Snow.Slope, d.high)
	if !out.Applies || r.Ground == 0 {
		return out, nil
	}
	out.Windward = d.windward * r.Sloped
	out.Height = d.height(r.Snow, ridge.Upwind, d.ridgeFetch)
	s := 1 / math.Tan(r.Snow.Slope*math.Pi/180)
	out.Surcharge = out.Height * d.density(r.Ground) / math.Sqrt(s)
	out.Reach = d.reach * out.Height * math.Sqrt(s)
	if d.scale > 0 {
		out.Wind = d.winterWind(r.Snow)
	}
	if ridge.OneSpan && Meets(ridge.Run, d.narrow) {
		out.Windward, out.Even = 0, r.Importance*r.Ground
	}
	return out, nil
}

// Between is the mean lee load between two distances from the ridge in plan;
// of one place where they are the same.
func (u UnbalancedSnow) Between(near, far float64) float64 {
	share := 0.0
	switch {
	case !u.Applies:
	case Meets(far, u.Reach):
		share = 1
	case near < u.Reach:
		share = (u.Reach - near) / (far - near)
	}
	return math.Max(u.Even, u.Leeward+share*u.Surcharge)
}

// Work gives the calculation with numbers put in.
func (u UnbalancedSnow) Work(sys quantity.System) []string {
	if !u.Applies {
		return nil
	}
	p := func(v float64) string { return show(sys, v, quantity.Pressure) }
	l := func(v float64) string { return show(sys, v, quantity.Length) }
	wind := ""
	if u.Wind > 0 {
		wind = fmt.Sprintf(", winter wind W2 %.2f", u.Wind)
	}
	lines := []string{fmt.Sprintf("unbalanced: drift of %s behind %s of roof%s; in the lee %s with %s more within %s of the ridge in plan, to windward %s",
		l(u.Height), l(u.Upwind), wind, p(u.Leeward), p(u.Surcharge), l(u.Reach), p(u.Windward))}
	if u.Even > 0 {
		lines = append(lines, fmt.Sprintf("narrow roof with members from ridge to eave: %s all over the lee side, where it is more", p(u.Even)))
	}
	return lines
}

// ValleySnow is what gathers in a level valley between roofs that fall to it,
// by the distance from it, Pa.
type ValleySnow struct {
	Applies       bool
	Valley, Crest float64
	Run           float64 // from the valley to the ridge in plan, m
	Refs          []table.Ref
}

// ValleySnow computes 7.6.3 for a run from valley to ridge in m: from half the
// flat roof snow at the ridge to twice that without its exposure factor in the
// valley.
func (w *ASCE7) ValleySnow(r RoofSnow, run float64) (ValleySnow, error) {
	if err := positive("run", run); err != nil {
		return ValleySnow{}, err
	}
	d := &w.snow.drift
	return ValleySnow{Applies: !Meets(r.Snow.Slope, d.valleySlope), Valley: d.valley * r.Flat / r.Exposure, Crest: d.crest * r.Flat, Run: run, Refs: []table.Ref{w.refs["snow"]}}, nil
}

// Between is the mean load between two distances from the valley in plan.
func (v ValleySnow) Between(near, far float64) float64 {
	middle := math.Min((near+far)/2, v.Run)
	return v.Valley + (v.Crest-v.Valley)*middle/v.Run
}

// Step is a place at which snow drifts against something higher: the end of a
// higher roof, a wall, a parapet, a projection. Lengths in m.
type Step struct {
	Rise  float64 // height over the roof; +Inf where it is not known
	Upper float64 // length of the higher roof upwind; 0 for a parapet or projection, which has none
	Lower float64 // length of the lower roof upwind
}

// Triangle is a drift: its height at the step, its width, and the load at the
// step in Pa.
type Triangle struct{ Height, Width, Peak float64 }

// Drift is the snow that drifts against a step, on top of the balanced snow:
// in the lee of the higher roof, and against the step itself. Only one of them
// lies there at a time.
type Drift struct {
	Step
	Clear         float64 // height of the step over the balanced snow
	Leeward       Triangle
	Windward      Triangle
	Base, Density float64
	Refs          []table.Ref
}

// SnowDrift computes 7.7.1 and 7.8 for the balanced snow of the lower roof.
func (w *ASCE7) SnowDrift(r RoofSnow, s Step) (Drift, error) {
	d := &w.snow.drift
	if err := positive("length of the lower roof", s.Lower); err != nil {
		return Drift{}, err
	}
	if err := notNegative("length of the higher roof", s.Upper); err != nil {
		return Drift{}, err
	}
	if !(s.Rise >= 0) {
		return Drift{}, fmt.Errorf("the rise of the step must be zero or more")
	}
	out := Drift{Step: s, Density: d.density(r.Ground), Refs: []table.Ref{w.refs["snow"]}}
	out.Base = r.Sloped / out.Density
	out.Clear = math.Max(0, s.Rise-out.Base)
	if r.Ground == 0 || out.Clear == 0 || out.Clear < d.least*out.Base && !r.Bound { // less snow below would leave room for a drift
		return out, nil
	}
	if s.Upper > 0 {
		out.Leeward = out.triangle(d.height(r.Snow, s.Upper, d.fetch), d.leeWidth, d.leeWidthMost)
	}
	out.Windward = out.triangle(d.against*d.height(r.Snow, s.Lower, d.fetch), d.againstWidth, d.againstWidthMost)
	return out, nil
}

// triangle is a drift of a height that the step may cut off, which makes it
// wider.
func (x *Drift) triangle(height, width, most float64) Triangle {
	t := Triangle{height, width * height, height * x.Density}
	if height > x.Clear {
		t = Triangle{x.Clear, math.Min(width*height*height/x.Clear, most*x.Clear), x.Clear * x.Density}
	}
	return t
}

// Between is the mean load between two distances from the step in plan; of one
// place where they are the same.
func (x Drift) Between(near, far float64) float64 {
	return math.Max(x.Leeward.between(near, far), x.Windward.between(near, far))
}

// Width is how far from the step the drift lies.
func (x Drift) Width() float64 { return math.Max(x.Leeward.Width, x.Windward.Width) }

func (t Triangle) between(near, far float64) float64 {
	if near >= t.Width {
		return 0
	}
	at := func(v float64) float64 { return t.Peak * (1 - v/t.Width) }
	end := math.Min(far, t.Width)
	if far <= near {
		return at(near)
	}
	return (at(near) + at(end)) / 2 * (end - near) / (far - near)
}

// Work gives the calculation with numbers put in.
func (x Drift) Work(sys quantity.System) []string {
	l := func(v float64) string { return show(sys, v, quantity.Length) }
	if x.Width() == 0 {
		return []string{fmt.Sprintf("drift: the step stands %s over balanced snow of %s, too little for a drift", l(x.Clear), l(x.Base))}
	}
	line := func(where string, fetch float64, t Triangle) string {
		return fmt.Sprintf("drift %s: %s of roof upwind, height %s, width %s, %s at the step", where, l(fetch), l(t.Height), l(t.Width), show(sys, t.Peak, quantity.Pressure))
	}
	var lines []string
	if x.Upper > 0 {
		lines = append(lines, line("in the lee", x.Upper, x.Leeward))
	}
	return append(lines, line("against the step", x.Lower, x.Windward))
}

// Slide is snow that slides off a higher roof, on top of the balanced snow of
// the lower one.
type Slide struct {
	Applies  bool
	Pressure float64 // Pa
	Width    float64 // from the eave of the higher roof in plan, m
	Line     float64 // the same as a load per length of eave, N/m
	Refs     []table.Ref
}

// SlidingSnow computes 7.9 for a higher roof of a slope and a run from eave to
// ridge. Its snow is counted by the flat roof snow of the place.
func (w *ASCE7) SlidingSnow(r RoofSnow, slope, run float64, slippery bool) (Slide, error) {
	d := &w.snow.drift
	if err := positive("run", run); err != nil {
		return Slide{}, err
	}
	if err := within("slope", slope, 0, 90); err != nil {
		return Slide{}, err
	}
	from := d.slideOther
	if slippery {
		from = d.slideSlippery
	}
	out := Slide{Applies: !Meets(slope, from), Width: d.slideWidth, Refs: []table.Ref{w.refs["snow"]}}
	if out.Applies {
		out.Line = d.slideShare * r.Flat * run
		out.Pressure = out.Line / out.Width
	}
	return out, nil
}

// Between is the mean load between two distances from the eave in plan; of one
// place where they are the same.
func (s Slide) Between(near, far float64) float64 {
	switch {
	case Meets(far, s.Width):
		return s.Pressure
	case near < s.Width:
		return s.Pressure * (s.Width - near) / (far - near)
	}
	return 0
}
