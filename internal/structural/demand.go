package structural

import (
	"errors"
	"fmt"
	"math"

	"plumbrule/internal/quantity"
	"plumbrule/internal/table"
)

// Level is the level of a load combination.
type Level string

// The two levels.
const (
	ASD  Level = "asd"  // allowable
	LRFD Level = "lrfd" // strength
)

// Uplift is the net uplift of one attachment, N.
type Uplift struct {
	Pressure, Tributary, Dead, Slope float64
	Level                            Level
	DeadFactor, WindFactor           float64
	Wind                             float64 // away from the roof, unfactored, strength-level wind
	DeadNormal, DeadDownslope        float64 // unfactored
	Net                              float64 // positive away from the roof
	Refs                             []table.Ref
}

// AttachmentUplift combines strength-level uplift pressure (negative, Pa) on a
// tributary area (m2) with dead load given as weight per area of the slope
// (Pa): only its part normal to the slope holds down. A negative net force
// means that dead load alone holds the array down.
func (w *ASCE7) AttachmentUplift(pressure, tributary, dead, slope float64, level Level) (Uplift, error) {
	if err := positive("tributary area", tributary); err != nil {
		return Uplift{}, err
	}
	if err := notNegative("dead load", dead); err != nil {
		return Uplift{}, err
	}
	if err := within("slope", slope, 0, 90); err != nil {
		return Uplift{}, err
	}
	if !(pressure <= 0) || math.IsInf(pressure, 0) {
		return Uplift{}, fmt.Errorf("an uplift pressure is negative (away from the roof); got %.4g Pa", pressure)
	}
	u := Uplift{Pressure: pressure, Tributary: tributary, Dead: dead, Slope: slope, Level: level,
		DeadFactor: w.combine.DeadAgainstASD, WindFactor: w.combine.WindASD, Refs: []table.Ref{w.refs["combinations"]}}
	switch level {
	case ASD:
	case LRFD:
		u.DeadFactor, u.WindFactor = w.combine.DeadAgainstLRFD, w.combine.WindLRFD
	default:
		return Uplift{}, fmt.Errorf("combination %q is none of asd, lrfd", level)
	}
	sin, cos := math.Sincos(slope * math.Pi / 180)
	u.Wind = -pressure * tributary
	u.DeadNormal, u.DeadDownslope = dead*tributary*cos, dead*tributary*sin
	u.Net = u.WindFactor*u.Wind - u.DeadFactor*u.DeadNormal
	return u, nil
}

// Work gives the calculation with numbers put in.
func (u Uplift) Work(sys quantity.System) []string {
	f := func(v float64) string { return show(sys, v, quantity.Force) }
	name := map[Level]string{ASD: "allowable level", LRFD: "strength level"}[u.Level]
	return []string{
		fmt.Sprintf("wind: %s x %s = %s away from the roof", show(sys, -u.Pressure, quantity.Pressure), show(sys, u.Tributary, quantity.Area), f(u.Wind)),
		fmt.Sprintf("dead: %s x %s x cos %.1f deg = %s normal to the slope, %s down the slope", show(sys, u.Dead, quantity.Pressure), show(sys, u.Tributary, quantity.Area), u.Slope, f(u.DeadNormal), f(u.DeadDownslope)),
		fmt.Sprintf("net uplift = %.1f x %s - %.1f x %s = %s (%s)", u.WindFactor, f(u.Wind), u.DeadFactor, f(u.DeadNormal), f(u.Net), name),
	}
}

// ArrayLoads is what all attachments of one array share. Pressures in Pa.
type ArrayLoads struct {
	Qh     float64     // of the edition, strength level
	Dead   float64     // modules and mounting per area of the slope
	Snow   float64     // sloped roof snow on the horizontal projection, in the edition's own level; 0 where there is none
	Scope  ScopeResult // the array must be in the scope of 29.4.4, or Bound be set
	Figure *Figure
	Bound  bool         // outside of every method: no relief by the array
	Free   bool         // with Bound: the wind reaches both faces, as on a free roof
	Calm   bool         // without the wind into the roof and along it
	Tilt   float64      // degrees of the modules against the roof
	Rows   *TiltedLoads // with Bound, of modules tilted on a nearly flat roof: no less counts than their own method gives
}

// Attachment is one attachment of the array.
type Attachment struct {
	Zone       string  // zone of the figure; the severest that its tributary touches
	Tributary  float64 // m2 of the slope
	EdgeFactor float64 // gammaE for uplift
	Loaded     float64 // area of even load that comes onto it, m2; 0: its tributary
}

// loaded is the area whose load comes onto the attachment.
func (a Attachment) loaded() float64 {
	if a.Loaded == 0 {
		return a.Tributary
	}
	return a.Loaded
}

// Demand is what one attachment must carry, N and Pa. Normal forces are at a
// right angle to the slope, down-slope forces along it.
type Demand struct {
	Attachment
	Coefficient, CoefficientDown, Equalization float64
	UpliftPressure, DownPressure               float64 // strength level, not under the least pressure
	WindAlong                                  float64 // share of the wind into the roof that acts along it, of modules tilted against it
	DeadNormal, DeadDownslope                  float64 // unfactored
	SnowNormal, SnowDownslope                  float64 // unfactored
	UpliftASD, UpliftLRFD                      float64 // net, positive away from the roof
	DownASD, DownLRFD                          float64 // into the roof, the governing combination
	DownslopeASD, DownslopeLRFD                float64 // along the slope, dead and snow, with wind on tilted modules
	DownBy                                     Combination
	CompanionUplift, CompanionDownslope        float64 // of dead load with wind and snow together, allowable level: uplift and what runs along the slope beside it
	PointASD                                   float64 // vertical load on the framing, dead and snow
}

// Demands computes every attachment of an array. It appends to dst, which may
// be nil. An array outside the scope of 29.4.4 is a *ScopeError, unless the
// bound is asked for. The tributary of the attachment is its effective wind
// area.
func (w *ASCE7) Demands(dst []Demand, loads ArrayLoads, attachments []Attachment) ([]Demand, error) {
	if err := loads.Scope.Err(w.Edition); err != nil && !loads.Bound {
		return dst, err
	}
	if loads.Figure == nil {
		return dst, fmt.Errorf("no roof figure given")
	}
	if err := positive("qh", loads.Qh); err != nil {
		return dst, err
	}
	if err := notNegative("dead load", loads.Dead, "snow", loads.Snow); err != nil {
		return dst, err
	}
	sin, cos := math.Sincos(loads.Figure.Slope * math.Pi / 180)
	along := math.Sin(math.Abs(loads.Tilt) * math.Pi / 180)
	q := loads.Qh * w.pressureFactor()
	for i := range attachments {
		a := &attachments[i]
		c := loads.Figure.uplift[a.Zone]
		if c == nil {
			if _, err := loads.Figure.Curve(a.Zone); err != nil {
				return dst, fmt.Errorf("attachment %d: %w", i+1, err)
			}
			c = loads.Figure.uplift[ZoneName(a.Zone)]
		}
		if err := positive("tributary area", a.Tributary, "edge factor", a.EdgeFactor); err != nil {
			return dst, fmt.Errorf("attachment %d: %w", i+1, err)
		}
		d := Demand{Attachment: *a, Coefficient: c.At(a.Tributary), CoefficientDown: loads.Figure.down.At(a.Tributary), Equalization: w.equalizationAt(a.Tributary)}
		edgeDown := w.parallel.other
		if loads.Bound {
			edgeDown = w.bound.down
			d.EdgeFactor, d.Equalization, d.WindAlong = w.bound.exposed, w.bound.equalization, along
			if loads.Free {
				d.Coefficient = math.Min(d.Coefficient, -w.bound.gust*w.bound.openUplift/w.bound.exposed)
				d.CoefficientDown = math.Max(d.CoefficientDown, w.bound.gust*w.bound.openDown)
			}
			if loads.Rows != nil {
				own, err := w.tiltedBound(loads.Rows, a.Tributary)
				if err != nil {
					return dst, err
				}
				d.Coefficient, d.CoefficientDown = math.Min(d.Coefficient, -own/w.bound.exposed), math.Max(d.CoefficientDown, own)
			}
		}
		d.UpliftPressure = w.atLeast(q * d.Coefficient * d.EdgeFactor * d.Equalization)
		d.DownPressure = w.atLeast(q * d.CoefficientDown * edgeDown * d.Equalization)
		w.combineLoads(&d, loads.Dead, loads.Snow, loads.Calm, sin, cos)
		dst = append(dst, d)
	}
	return dst, nil
}

// Combine gives what an attachment must carry under pressures that are known:
// strength-level wind away from the roof (negative) and onto it, dead load per
// area of the slope, and snow on the horizontal projection, all in Pa. The slope
// is in degrees.
func (w *ASCE7) Combine(a Attachment, up, down, dead, snow, slope float64) (Demand, error) {
	if err := errors.Join(positive("tributary area", a.Tributary), notNegative("loaded area", a.Loaded, "pressure onto the roof", down, "dead load", dead, "snow", snow), within("slope", slope, 0, 90)); err != nil {
		return Demand{}, err
	}
	if !(up <= 0) || math.IsInf(up, 0) {
		return Demand{}, fmt.Errorf("an uplift pressure is negative (away from the roof); got %.4g Pa", up)
	}
	d := Demand{Attachment: a, UpliftPressure: up, DownPressure: down}
	sin, cos := math.Sincos(slope * math.Pi / 180)
	w.combineLoads(&d, dead, snow, false, sin, cos)
	return d, nil
}

func (w *ASCE7) combineLoads(d *Demand, deadLoad, snowLoad float64, calm bool, sin, cos float64) {
	k := &w.combine
	area := d.loaded()
	dead := deadLoad * area
	snow := snowLoad * area * cos // the projection carries the snow
	d.DeadNormal, d.DeadDownslope = dead*cos, dead*sin
	d.SnowNormal, d.SnowDownslope = snow*cos, snow*sin
	up, down := -d.UpliftPressure*area, d.DownPressure*area
	if calm {
		down = 0
	}
	along := d.WindAlong * down
	d.UpliftASD = k.WindASD*up - k.DeadAgainstASD*d.DeadNormal
	d.UpliftLRFD = k.WindLRFD*up - k.DeadAgainstLRFD*d.DeadNormal
	d.DownASD, d.DownBy = d.DeadNormal+k.SnowASD*d.SnowNormal, DeadAndSnow
	if v := d.DeadNormal + k.WindASD*down; v > d.DownASD {
		d.DownASD, d.DownBy = v, DeadAndWind
	}
	if v := d.DeadNormal + k.CompanionASD*(k.WindASD*down+k.SnowASD*d.SnowNormal); v > d.DownASD {
		d.DownASD, d.DownBy = v, DeadWindSnow
	}
	d.CompanionUplift = k.CompanionASD*(k.WindASD*up-k.SnowASD*d.SnowNormal) - d.DeadNormal
	d.CompanionDownslope = d.DeadDownslope + k.CompanionASD*k.SnowASD*d.SnowDownslope
	d.DownLRFD = k.DeadLRFD*d.DeadNormal + max(k.SnowLRFD*d.SnowNormal+k.WindCompanionLRFD*down, k.WindLRFD*down+k.SnowCompanionLRFD*d.SnowNormal)
	d.DownslopeASD = d.DeadDownslope + max(k.SnowASD*d.SnowDownslope, k.WindASD*along, k.CompanionASD*(k.WindASD*along+k.SnowASD*d.SnowDownslope))
	d.DownslopeLRFD = k.DeadLRFD*d.DeadDownslope + max(k.SnowLRFD*d.SnowDownslope+k.WindCompanionLRFD*along, k.WindLRFD*along+k.SnowCompanionLRFD*d.SnowDownslope)
	d.PointASD = dead + k.SnowASD*snow
}

// LeastUplift is the net uplift of an attachment under the least wind pressure,
// allowable level, N.
func (w *ASCE7) LeastUplift(d *Demand) float64 {
	return w.combine.WindASD*w.wind.minimum*d.loaded() - w.combine.DeadAgainstASD*d.DeadNormal
}

// Demand computes one attachment.
func (w *ASCE7) Demand(loads ArrayLoads, a Attachment) (Demand, error) {
	d, err := w.Demands(nil, loads, []Attachment{a})
	if err != nil {
		return Demand{}, err
	}
	return d[0], nil
}

// TiltedLoads is what all attachments of an array tilted on a flat roof share:
// Pa, m and degrees.
type TiltedLoads struct {
	Qh, Dead, Snow                    float64 // as in ArrayLoads
	Slope, Tilt, Chord, Parapet       float64 // of the roof, of the modules against it
	Height, LongestSide, ShortestSide float64 // of the building
}

// tiltedBound is the largest coefficient that the method of tilted arrays gives
// an area, m2, for modules that pass its limits: in the corner, in an exposed
// row, behind the highest parapet, at the steepest tilt it has.
func (w *ASCE7) tiltedBound(loads *TiltedLoads, area float64) (float64, error) {
	t := w.tilted
	nominal, _, err := w.TiltedNominal(math.Min(loads.Tilt, t.tilt), "3", area, loads.Height, loads.LongestSide, loads.ShortestSide)
	return t.parapetCap * w.chordFactor(loads.Chord) * w.parallel.exposed * nominal, err
}

// TiltedDemand computes one attachment of a tilted array on a flat roof
// (29.4.3). The pressure acts both ways; all of it is taken square to the roof,
// and its share of the tilt along the roof besides, both the safe side.
func (w *ASCE7) TiltedDemand(loads TiltedLoads, a Attachment) (Demand, TiltedPressure, error) {
	nominal, _, err := w.TiltedNominal(loads.Tilt, a.Zone, a.Tributary, loads.Height, loads.LongestSide, loads.ShortestSide)
	if err != nil {
		return Demand{}, TiltedPressure{}, err
	}
	p, err := w.TiltedPressure(loads.Qh, nominal, a.EdgeFactor, loads.Chord, loads.Parapet, loads.Height)
	if err != nil {
		return Demand{}, p, err
	}
	d := Demand{Attachment: a, Coefficient: -p.Coefficient, CoefficientDown: p.Coefficient, Equalization: 1,
		UpliftPressure: -math.Abs(p.Design), DownPressure: math.Abs(p.Design), WindAlong: math.Sin(loads.Tilt * math.Pi / 180)}
	sin, cos := math.Sincos(loads.Slope * math.Pi / 180)
	w.combineLoads(&d, loads.Dead, loads.Snow, false, sin, cos)
	return d, p, nil
}

// Work gives the demand of one attachment with numbers put in. loads are those
// that the demand was computed with.
func (d Demand) Work(w *ASCE7, loads ArrayLoads, sys quantity.System) []string {
	p := ArrayPressure{Qh: loads.Qh, Kd: w.pressureFactor(), Coefficient: d.Coefficient, Edge: d.EdgeFactor, Equalization: d.Equalization,
		Computed: loads.Qh * w.pressureFactor() * d.Coefficient * d.EdgeFactor * d.Equalization, Strength: d.UpliftPressure, Allowable: w.combine.WindASD * d.UpliftPressure}
	u := Uplift{Pressure: d.UpliftPressure, Tributary: d.loaded(), Dead: loads.Dead, Slope: loads.Figure.Slope, Level: ASD,
		DeadFactor: w.combine.DeadAgainstASD, WindFactor: w.combine.WindASD, Wind: -d.UpliftPressure * d.loaded(), DeadNormal: d.DeadNormal, DeadDownslope: d.DeadDownslope, Net: d.UpliftASD}
	f := func(v float64) string { return show(sys, v, quantity.Force) }
	lines := []string{fmt.Sprintf("zone %s of Figure %s, tributary area %s: GCp %.3f", d.Zone, loads.Figure.Name, show(sys, d.Tributary, quantity.Area), d.Coefficient)}
	if loads.Bound {
		lines = append(lines, "outside of every method: no relief by the array, which bounds the wind on it")
	}
	if loads.Bound && loads.Free {
		lines = append(lines, fmt.Sprintf("the wind reaches both faces: not under the net coefficient %.2f of a free roof with the gust factor %.2f (%.2f into the roof)", -w.bound.openUplift, w.bound.gust, w.bound.openDown))
	}
	lines = append(lines, p.Work(sys)...)
	if d.loaded() != d.Tributary {
		lines = append(lines, fmt.Sprintf("the load of %s comes onto the foot, by its overhang or by a rail without a joint over several feet", show(sys, d.loaded(), quantity.Area)))
	}
	lines = append(lines, u.Work(sys)...)
	return append(lines, fmt.Sprintf("downward %s (%s), down the slope %s, vertical on the framing %s (allowable level)", f(d.DownASD), w.Combination(d.DownBy), f(d.DownslopeASD), f(d.PointASD)))
}

// Refs are the places that the demand rests on.
func (d Demand) Refs(w *ASCE7, loads ArrayLoads) []table.Ref {
	refs := []table.Ref{w.refs["wind"], loads.Figure.Ref}
	if c, err := loads.Figure.Curve(d.Zone); err == nil {
		refs = append(refs, c.Ref)
	}
	if loads.Bound {
		return append(refs, w.refs["wind-bound"], w.refs["combinations"])
	}
	return append(refs, w.refs["solar-parallel"], w.refs["equalization"], w.refs["combinations"])
}

// Spacing is the largest distance between attachments along a rail or row.
type Spacing struct {
	Zone   string
	Limit  float64 // the spacing, m; 0 if even the closest is too far
	Demand Demand  // at that spacing
}

// spacingStep is how finely spacings are tried, and given: 1 in or 25 mm
// would be read off a tape, half of that is fine enough.
const spacingStep = 0.5 * quantity.Inch

// Strip is what attachments along one rail carry: a width of the array (m), and
// the load that comes onto one of them over that of its tributary, 1 or more.
type Strip struct{ Width, Share float64 }

// LargestSpacing finds, for each zone, the largest spacing along the rail at
// which an attachment of a strip holds. Every closer spacing holds too:
// coefficients fall with area, so the force is not always largest at the widest
// spacing. most is the largest spacing tried, m; at gives the demand of an
// attachment.
func LargestSpacing(at func(a Attachment) (Demand, error), zones []string, edgeFactor float64, strip Strip, most float64, holds func(zone string, d *Demand) bool) ([]Spacing, error) {
	if err := positive("width", strip.Width, "share of the load", strip.Share, "greatest spacing", most); err != nil {
		return nil, err
	}
	out := make([]Spacing, 0, len(zones))
	for _, z := range zones {
		s := Spacing{Zone: ZoneName(z)}
		for i := 1; float64(i)*spacingStep <= most*(1+epsilon); i++ {
			spacing := float64(i) * spacingStep
			d, err := at(Attachment{s.Zone, spacing * strip.Width, edgeFactor, spacing * strip.Width * strip.Share})
			if err != nil {
				return nil, err
			}
			if !holds(s.Zone, &d) {
				break
			}
			s.Limit, s.Demand = spacing, d
		}
		out = append(out, s)
	}
	return out, nil
}
