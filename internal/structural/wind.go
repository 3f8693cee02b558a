package structural

import (
	"fmt"
	"math"

	"plumbrule/internal/quantity"
	"plumbrule/internal/table"
)

// ASCE7 is one edition of ASCE/SEI 7 as far as arrays on roofs need it. It is
// built once and safe for concurrent use.
type ASCE7 struct {
	Edition string

	exposures  map[string]exposure
	internal   map[string]float64 // pressure coefficient by enclosure
	wind       windFactors
	widths     zoneFactors
	combine    Combinations
	methods    bool // whether the edition has methods for arrays on roofs
	bound      boundFactors
	parallel   parallelFactors
	equalize   []*Curve
	tilted     tiltedFactors
	snow       snowFactors
	seismic    seismicFactors
	ballast    ballastFactors
	importance *table.Table
	figures    *table.Table
	zones      *table.Table
	gcp        *table.Table
	refs       map[string]table.Ref
}

type exposure struct {
	alpha, gradient, lowest float64
	ref                     table.Ref
}

type windFactors struct {
	coefficient, kz, elevation, kd, minimum, heightLimit, envelopeFloor float64
	kdInside                                                            bool
}

type zoneFactors struct {
	ofWidth, ofHeight, floorOfWidth, floor float64
	flatEdge, flatCorner, flatInterior     float64
	monoLow, monoEdge, monoCorner          float64
	eaveHeightSlope                        float64 // degrees
}

// Combinations are the load factors of one edition.
type Combinations struct {
	DeadAgainstASD, WindASD, DeadAgainstLRFD, WindLRFD float64
	DeadLRFD, CompanionASD, SnowASD, SnowLRFD          float64
	SnowCompanionLRFD, WindCompanionLRFD               float64
}

// NewASCE7 reads an edition ("7-10", "7-16", "7-22") from the tables. An edition
// that the tables do not hold is a *table.MissingError; one without methods for
// arrays on roofs has the bound alone.
func NewASCE7(edition string, tables *table.Set) (*ASCE7, error) {
	s := &source{set: tables, code: "ASCE", edition: edition}
	if _, err := tables.Get(s.code, edition, "wind"); err != nil {
		return nil, err
	}
	w := &ASCE7{Edition: edition, exposures: map[string]exposure{}, refs: map[string]table.Ref{}}
	t := s.table("exposure")
	for _, r := range t.Rows {
		w.exposures[r.Key] = exposure{s.cell(t, r.Key, "alpha"), s.cell(t, r.Key, "zg"), s.cell(t, r.Key, "lowest"), t.Ref(r.Key)}
	}
	inside := s.table("internal-pressure")
	w.internal, w.refs["internal-pressure"] = map[string]float64{}, inside.Ref("")
	for _, r := range inside.Rows {
		w.internal[r.Key] = s.cell(inside, r.Key, "coefficient")
	}
	w.readWind(s)
	w.readBound(s)
	if _, err := tables.Get(s.code, edition, "solar-parallel"); err == nil {
		w.methods = true
		w.readParallel(s)
		w.readTilted(s)
	}
	w.readSnow(s)
	w.readSeismic(s)
	w.readBallast(s)
	w.figures, w.zones, w.gcp = s.table("roof-figures"), s.table("zone-map"), s.table("gcp")
	return w, s.err()
}

// factors returns a reader of one table of factors and keeps its place.
func (w *ASCE7) factors(s *source, name string) func(key string) float64 {
	t := s.table(name)
	w.refs[name] = t.Ref("")
	return func(key string) float64 { return s.factor(t, key) }
}

func (w *ASCE7) readWind(s *source) {
	f := w.factors(s, "wind")
	w.wind = windFactors{f("velocity-coefficient"), f("kz-coefficient"), f("elevation-coefficient"),
		f("kd"), f("minimum-pressure"), f("height-limit"), f("envelope-floor-b"), f("kd-in-velocity-pressure") == 1}
	z := w.factors(s, "zone-widths")
	w.widths = zoneFactors{z("a-of-width"), z("a-of-height"), z("a-floor-of-width"), z("a-floor"),
		z("flat-edge"), z("flat-corner-width"), z("flat-interior"), z("monoslope-low"), z("monoslope-edge"), z("monoslope-corner"), z("eave-height-slope")}
	c := w.factors(s, "combinations")
	w.combine = Combinations{c("asd-dead-against"), c("asd-wind"), c("lrfd-dead-against"), c("lrfd-wind"), c("lrfd-dead"),
		c("asd-companion"), c("asd-snow"), c("lrfd-snow"), c("lrfd-snow-companion"), c("lrfd-wind-companion")}
}

// Combinations gives the load factors of the edition (sections 2.3 and 2.4).
func (w *ASCE7) Combinations() Combinations { return w.combine }

// Kd gives the wind directionality factor and whether the edition counts it
// in the velocity pressure (7-16) or in the pressure equation (7-22).
func (w *ASCE7) Kd() (factor float64, insideVelocityPressure bool) { return w.wind.kd, w.wind.kdInside }

// pressureFactor is what the pressure equation multiplies qh with.
func (w *ASCE7) pressureFactor() float64 {
	if w.wind.kdInside {
		return 1
	}
	return w.wind.kd
}

// VelocityPressure is qh with all it was made from. Speed m/s, lengths m,
// Q in Pa at strength level.
type VelocityPressure struct {
	Speed, Height, Elevation float64
	Exposure                 string
	Kz, Kzt, Ke, Kd          float64
	KdInside                 bool    // whether Q contains Kd
	Coefficient              float64 // pressure of a unit speed, Pa/(m/s)2
	Q                        float64
	Refs                     []table.Ref
}

// TakesElevation reports whether the edition thins the air with the elevation of
// the ground.
func (w *ASCE7) TakesElevation() bool { return w.wind.elevation != 0 }

// VelocityPressure computes qh at the mean roof height (26.10): the edition's
// own Kz constants and place of Kd. Kzt is given, 1 on flat ground. Elevation
// is that of the ground above the sea.
func (w *ASCE7) VelocityPressure(speed float64, exposureName string, height, topographic, elevation float64) (VelocityPressure, error) {
	e, ok := w.exposures[exposureName]
	if !ok {
		return VelocityPressure{}, fmt.Errorf("exposure %q is none of B, C, D", exposureName)
	}
	if err := positive("wind speed", speed, "height", height, "topographic factor", topographic); err != nil {
		return VelocityPressure{}, err
	}
	if height > e.gradient {
		return VelocityPressure{}, fmt.Errorf("height %.4g m is above the gradient height %.4g m of exposure %s", height, e.gradient, exposureName)
	}
	if math.IsNaN(elevation) || math.IsInf(elevation, 0) {
		return VelocityPressure{}, fmt.Errorf("elevation must be a number")
	}
	v := VelocityPressure{Speed: speed, Height: height, Elevation: elevation, Exposure: exposureName,
		Kz:  w.wind.kz * math.Pow(math.Max(height, e.lowest)/e.gradient, 2/e.alpha),
		Kzt: topographic, Ke: math.Exp(-w.wind.elevation * elevation), Kd: w.wind.kd, KdInside: w.wind.kdInside, Coefficient: w.wind.coefficient,
		Refs: []table.Ref{w.refs["wind"], e.ref}}
	v.Q = w.wind.coefficient * v.Kz * v.Kzt * v.Ke * speed * speed
	if v.KdInside {
		v.Q *= v.Kd
	}
	return v, nil
}

// Work gives the calculation with numbers put in.
func (v VelocityPressure) Work(sys quantity.System) []string {
	kd, where := "", fmt.Sprintf("Kd %.2f stands in the pressure equation, not in qh", v.Kd)
	if v.KdInside {
		kd, where = fmt.Sprintf(" x Kd %.2f", v.Kd), "Kd is inside qh"
	}
	coefficient := fmt.Sprintf("%.5f", v.Coefficient*quantity.MPH*quantity.MPH/quantity.PSF) // psf and mph
	if sys == quantity.SI {
		coefficient = fmt.Sprintf("%.3f", v.Coefficient) // Pa and m/s
	}
	return []string{
		fmt.Sprintf("Kz = %.3f at %s, Exposure %s; Ke = %.3f at %s", v.Kz, show(sys, v.Height, quantity.Length), v.Exposure, v.Ke, show(sys, v.Elevation, quantity.Length)),
		fmt.Sprintf("qh = %s x Kz %.3f x Kzt %.3f%s x Ke %.3f x (%s)^2 = %s (strength level; %s)",
			coefficient, v.Kz, v.Kzt, kd, v.Ke, show(sys, v.Speed, quantity.Speed), show(sys, v.Q, quantity.Pressure), where),
	}
}

// RoofPressure is the net uplift pressure on the roof itself, Pa, negative.
type RoofPressure struct {
	Qh, Kd, Coefficient, Internal float64
	Strength, Allowable           float64
	Refs                          []table.Ref
}

// RoofPressure computes the components and cladding pressure on a bare roof in a
// zone, of an area in m2: what an array adds to or takes away is not in it.
func (w *ASCE7) RoofPressure(qh float64, f *Figure, zone string, area float64, enclosure string) (RoofPressure, error) {
	if err := positive("qh", qh); err != nil {
		return RoofPressure{}, err
	}
	internal, ok := w.internal[enclosure]
	if !ok {
		return RoofPressure{}, fmt.Errorf("enclosure %q is none of enclosed, partially-enclosed, open", enclosure)
	}
	c, err := f.Uplift(zone, area)
	if err != nil {
		return RoofPressure{}, err
	}
	p := RoofPressure{Qh: qh, Kd: w.pressureFactor(), Coefficient: c, Internal: internal, Refs: []table.Ref{f.Ref, w.refs["wind"], w.refs["internal-pressure"], w.refs["combinations"]}}
	p.Strength = w.atLeast(qh * p.Kd * (c - internal))
	p.Allowable = w.combine.WindASD * p.Strength
	return p, nil
}

// Work gives the calculation with numbers put in.
func (p RoofPressure) Work(sys quantity.System) []string {
	pr := func(v float64) string { return show(sys, v, quantity.Pressure) }
	return []string{fmt.Sprintf("p = qh %s x Kd %.2f x (GCp %.3f - GCpi %.2f) = %s (strength level), %s (allowable level); Kd is 1 where qh counts it",
		pr(p.Qh), p.Kd, p.Coefficient, p.Internal, pr(p.Strength), pr(p.Allowable))}
}

// ZoneWidth is the strip width a of sloped roofs with its parts, in m.
type ZoneWidth struct {
	LeastWidth, Height             float64
	OfWidth, OfHeight, Floor, Edge float64 // a tenth of the width, 0.4 h, the floor that governs, the result a
	Refs                           []table.Ref
}

// ZoneWidth computes a from the least plan dimension and the height (the eave
// height on roofs of 10 degrees or less), Figure 30.3-1.
func (w *ASCE7) ZoneWidth(leastWidth, height float64) (ZoneWidth, error) {
	if err := positive("least width", leastWidth, "height", height); err != nil {
		return ZoneWidth{}, err
	}
	z := ZoneWidth{LeastWidth: leastWidth, Height: height, OfWidth: w.widths.ofWidth * leastWidth, OfHeight: w.widths.ofHeight * height,
		Floor: math.Max(w.widths.floorOfWidth*leastWidth, w.widths.floor), Refs: []table.Ref{w.refs["zone-widths"]}}
	z.Edge = math.Max(math.Min(z.OfWidth, z.OfHeight), z.Floor)
	return z, nil
}

// Work gives the calculation with numbers put in.
func (z ZoneWidth) Work(sys quantity.System) []string {
	l := func(v float64) string { return show(sys, v, quantity.Length) }
	return []string{fmt.Sprintf("a = the lesser of %s (%.2f x least width %s) and %s (%.2f x height %s), not under %s = %s",
		l(z.OfWidth), z.OfWidth/z.LeastWidth, l(z.LeastWidth), l(z.OfHeight), z.OfHeight/z.Height, l(z.Height), l(z.Floor), l(z.Edge))}
}

// TakesEaveHeight reports whether the zone width of a roof of a slope (degrees)
// goes by the height of its eave instead of the mean roof height.
func (w *ASCE7) TakesEaveHeight(slope float64) bool { return Meets(slope, w.widths.eaveHeightSlope) }

// EffectiveArea is the effective wind area of a span and its width (26.2):
// the width counts as a third of the span at least. Give the third itself
// where no width is known. m2.
func EffectiveArea(span, width float64) (float64, error) {
	if err := positive("span", span, "width", width); err != nil {
		return 0, err
	}
	return span * math.Max(width, span/3), nil
}
