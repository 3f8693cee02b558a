package structural

import (
	"fmt"
	"math"

	"plumbrule/internal/quantity"
	"plumbrule/internal/table"
)

// boundFactors bound the wind on an array that no method reaches.
type boundFactors struct {
	gust, openUplift, openDown  float64
	exposed, down, equalization float64
}

func (w *ASCE7) readBound(s *source) {
	f := w.factors(s, "wind-bound")
	w.bound = boundFactors{f("gust"), f("open-uplift"), f("open-down"), f("edge-exposed"), f("edge-down"), f("equalization")}
}

type parallelFactors struct {
	exposed, other                                             float64
	ofHeight, gap, strip                                       float64 // exposed panels
	tolerance, heightLimit, gapLeast, gapSpacing, edgeDistance float64 // limits
	heightsGap, heightsStrip                                   float64 // limbs counted in heights above the roof; NaN where the edition has none
}

func (w *ASCE7) readParallel(s *source) {
	f := w.factors(s, "solar-parallel")
	w.parallel = parallelFactors{f("edge-exposed"), f("edge-other"), f("exposed-of-height"), f("exposed-gap"), f("end-strip"),
		f("parallel-tolerance"), f("height-limit"), f("gap-least"), f("gap-spacing"), f("edge-distance"), math.NaN(), math.NaN()}
	if t := s.table("solar-parallel"); t.Has("heights-exposed-gap") {
		w.parallel.heightsGap, w.parallel.heightsStrip = f("heights-exposed-gap"), f("heights-end-strip")
	}
	t := s.table("equalization")
	w.refs["equalization"] = t.Ref("")
	for _, r := range t.Rows {
		w.refs["equalization"] = t.Ref(r.Key)
		w.equalize = append(w.equalize, s.curve(t, r.Key))
	}
}

// Equalization is the pressure equalization factor gammaA of a tributary area
// in m2 (Figure 29.4-8). Where an edition has several curves the largest
// factor is taken.
func (w *ASCE7) Equalization(area float64) (float64, error) {
	if err := positive("area", area); err != nil {
		return 0, err
	}
	return w.equalizationAt(area), nil
}

func (w *ASCE7) equalizationAt(area float64) float64 {
	most := 0.0
	for _, c := range w.equalize {
		most = math.Max(most, c.At(area))
	}
	return most
}

// Edge is what decides whether a panel is exposed (29.4.4), lengths in m.
type Edge struct {
	Height       float64 // mean roof height h
	EdgeDistance float64 // from the panel to the roof edge
	GapToArray   float64 // to the next array; +Inf if there is none
	GapToNext    float64 // to the next panel; +Inf if there is none
	EndDistance  float64 // from the panel to the end of its row at that edge
	Chord        float64 // panel chord Lp
	AboveRoof    float64 // height of the panel above the roof; NaN if not known
}

// EdgeFactor is gammaE with what decided it.
type EdgeFactor struct {
	Edge
	Exposed, InStrip bool
	FarFromEdge      float64 // the distance beyond which the panel can be exposed
	Gap, Strip       float64 // limits used
	Factor           float64
	Refs             []table.Ref
}

// EdgeFactor computes gammaE for uplift; downward it is always the other
// factor. In an edition that also states limits counted in heights above the
// roof, the more severe limit is used where that height is known.
func (w *ASCE7) EdgeFactor(e Edge) (EdgeFactor, error) {
	if err := positive("height", e.Height, "chord", e.Chord); err != nil {
		return EdgeFactor{}, err
	}
	for _, d := range []struct {
		name string
		v    float64
	}{{"edge distance", e.EdgeDistance}, {"gap to array", e.GapToArray}, {"gap to next", e.GapToNext}, {"end distance", e.EndDistance}} {
		if !(d.v >= 0) {
			return EdgeFactor{}, fmt.Errorf("%s must be zero or more", d.name)
		}
	}
	r := EdgeFactor{Edge: e, FarFromEdge: w.parallel.ofHeight * e.Height, Gap: w.parallel.gap, Strip: w.EndStrip(e.Chord, e.AboveRoof), Refs: w.EdgeRefs()}
	if !math.IsNaN(w.parallel.heightsGap) && e.AboveRoof > 0 {
		r.Gap = math.Min(r.Gap, w.parallel.heightsGap*e.AboveRoof)
	}
	r.Exposed = !Meets(e.EdgeDistance, r.FarFromEdge) && (!Meets(e.GapToArray, r.Gap) || !Meets(e.GapToNext, r.Gap))
	r.InStrip = Meets(e.EndDistance, r.Strip)
	r.Factor = w.parallel.other
	if r.Exposed && r.InStrip {
		r.Factor = w.parallel.exposed
	}
	return r, nil
}

// EndStrip is how far from the end of an exposed row its panels count as exposed,
// by the panel chord and, where the edition has such a limb and it is known, the
// height above the roof; m.
func (w *ASCE7) EndStrip(chord, aboveRoof float64) float64 {
	strip := w.parallel.strip * chord
	if !math.IsNaN(w.parallel.heightsStrip) && aboveRoof > 0 {
		strip = math.Max(strip, w.parallel.heightsStrip*aboveRoof)
	}
	return strip
}

// EdgeFactors are gammaE of an exposed panel in the strip, and of any other.
func (w *ASCE7) EdgeFactors() (exposed, other float64) { return w.parallel.exposed, w.parallel.other }

// EdgeRefs are the places that gammaE rests on.
func (w *ASCE7) EdgeRefs() []table.Ref { return []table.Ref{w.refs["solar-parallel"]} }

// Work gives the decision with numbers put in.
func (e EdgeFactor) Work(sys quantity.System) []string {
	l := func(v float64) string {
		if math.IsInf(v, 1) {
			return "none"
		}
		return show(sys, v, quantity.Length)
	}
	return []string{
		fmt.Sprintf("exposed: %v (roof edge at %s, exposed beyond %s; next array %s, next panel %s, exposed beyond %s)",
			e.Exposed, l(e.EdgeDistance), l(e.FarFromEdge), l(e.GapToArray), l(e.GapToNext), l(e.Gap)),
		fmt.Sprintf("within the end strip: %v (%s from the end, strip %s); gammaE = %.2f for uplift", e.InStrip, l(e.EndDistance), l(e.Strip), e.Factor),
	}
}

// Scope is the geometry on which the roof-parallel method depends. NaN marks
// what is not known.
type Scope struct {
	SlopeDifference float64 // degrees between module and roof
	AboveRoof       float64 // height of the module above the roof, m
	Gap             float64 // least gap between modules, m
	GapSpacing      float64 // distance between gaps, m
	EdgeDistance    float64 // to roof edge, ridge and hip, m
}

// ScopeResult lists every limit that fails and every value that is missing.
type ScopeResult struct {
	Scope
	InScope        bool
	NearlyParallel bool // whether module and roof are within the angle of the method
	GapsWide       bool // whether the gaps are as wide as the method asks
	Reasons        []string
	Missing        []string
	Refs           []table.Ref
}

// noMethods is why nothing of an edition before the methods reaches an array.
const noMethods = "the edition has no method for arrays on roofs"

// ParallelScope holds an array against the limits of 29.4.4. A missing value
// leaves the array out of scope until it is known.
func (w *ASCE7) ParallelScope(s Scope, sys quantity.System) ScopeResult {
	if !w.methods {
		return ScopeResult{Scope: s, NearlyParallel: s.SlopeDifference == 0, GapsWide: true, Reasons: []string{noMethods}, Refs: []table.Ref{w.refs["wind-bound"]}}
	}
	p := w.parallel
	r := ScopeResult{Scope: s, NearlyParallel: Meets(math.Abs(s.SlopeDifference), p.tolerance), GapsWide: Meets(p.gapLeast, s.Gap), Refs: []table.Ref{w.refs["solar-parallel"]}}
	hold := func(name string, v, limit float64, atMost bool, d quantity.Dimension) {
		switch {
		case math.IsNaN(v) || math.IsNaN(limit):
			r.Missing = append(r.Missing, name)
		case atMost && !Meets(v, limit):
			r.Reasons = append(r.Reasons, fmt.Sprintf("%s %s is over %s", name, show(sys, v, d), show(sys, limit, d)))
		case !atMost && !Meets(limit, v):
			r.Reasons = append(r.Reasons, fmt.Sprintf("%s %s is under %s", name, show(sys, v, d), show(sys, limit, d)))
		}
	}
	hold("slope difference", math.Abs(s.SlopeDifference), p.tolerance, true, quantity.Angle)
	hold("height above the roof", s.AboveRoof, p.heightLimit, true, quantity.Length)
	hold("gap", s.Gap, p.gapLeast, false, quantity.Length)
	hold("gap spacing", s.GapSpacing, p.gapSpacing, true, quantity.Length)
	hold("edge distance", s.EdgeDistance, p.edgeDistance*s.AboveRoof, false, quantity.Length)
	r.InScope = len(r.Reasons) == 0 && len(r.Missing) == 0
	return r
}

// Parallel reports whether modules at an angle to the roof, in degrees, count as
// parallel to it.
func (w *ASCE7) Parallel(tilt float64) bool { return Meets(math.Abs(tilt), w.parallel.tolerance) }

// Err is nil in scope, otherwise a *ScopeError with every reason.
func (r ScopeResult) Err(edition string) error {
	if r.InScope {
		return nil
	}
	reasons := append([]string{}, r.Reasons...)
	for _, m := range r.Missing {
		reasons = append(reasons, m+" is not known")
	}
	return &ScopeError{"ASCE " + edition + " 29.4.4", reasons}
}

// ArrayPressure is the net pressure on a roof-parallel array, Pa.
type ArrayPressure struct {
	Qh, Kd, Coefficient, Edge, Equalization float64
	Computed                                float64 // before the minimum, strength level
	Minimum                                 float64
	Strength, Allowable                     float64
	Refs                                    []table.Ref
}

// ArrayPressure computes p = qh Kd GCp gammaE gammaA (29.4.4) with the least
// pressure at strength level. Kd enters here in editions that keep it out of
// qh. The sign is that of the coefficient.
func (w *ASCE7) ArrayPressure(qh, coefficient, edge, equalization float64) (ArrayPressure, error) {
	if err := positive("qh", qh, "edge factor", edge, "equalization factor", equalization); err != nil {
		return ArrayPressure{}, err
	}
	if coefficient == 0 || math.IsNaN(coefficient) || math.IsInf(coefficient, 0) {
		return ArrayPressure{}, fmt.Errorf("the coefficient must be above or below zero")
	}
	p := ArrayPressure{Qh: qh, Kd: w.pressureFactor(), Coefficient: coefficient, Edge: edge, Equalization: equalization, Minimum: w.wind.minimum,
		Refs: []table.Ref{w.refs["wind"], w.refs["solar-parallel"], w.refs["equalization"], w.refs["combinations"]}}
	p.Computed = qh * p.Kd * coefficient * edge * equalization
	p.Strength = w.atLeast(p.Computed)
	p.Allowable = w.combine.WindASD * p.Strength
	return p, nil
}

// atLeast applies the least pressure, keeping the sign.
func (w *ASCE7) atLeast(pressure float64) float64 {
	return math.Copysign(math.Max(math.Abs(pressure), w.wind.minimum), pressure)
}

// Work gives the calculation with numbers put in.
func (p ArrayPressure) Work(sys quantity.System) []string {
	pr := func(v float64) string { return show(sys, v, quantity.Pressure) }
	kd := ""
	if p.Kd != 1 {
		kd = fmt.Sprintf(" x Kd %.2f", p.Kd)
	}
	lines := []string{fmt.Sprintf("p = qh %s%s x GCp %.3f x gammaE %.2f x gammaA %.3f = %s", pr(p.Qh), kd, p.Coefficient, p.Edge, p.Equalization, pr(p.Computed))}
	if p.Strength != p.Computed {
		lines = append(lines, fmt.Sprintf("the least pressure governs: %s", pr(p.Strength)))
	}
	return append(lines, fmt.Sprintf("strength level %s; allowable level %s", pr(p.Strength), pr(p.Allowable)))
}

type tiltedFactors struct {
	chordBase, chordSlope, chordFloor, parapetBase, parapetCap float64
	slope, chord, tilt, low, high                              float64
	areaScale, lengthFloor, lengthCoefficient                  float64
	lowTilt, highTilt                                          float64
	gapLeast, gapSpacing, edgeHeights, edgeFloor, strip        float64
	nominal                                                    map[string]*Curve
}

func (w *ASCE7) readTilted(s *source) {
	f := w.factors(s, "solar-tilted")
	w.tilted = tiltedFactors{f("chord-base"), f("chord-slope"), f("chord-floor"), f("parapet-base"), f("parapet-cap"),
		f("slope-limit"), f("chord-limit"), f("tilt-limit"), f("low-limit"), f("high-limit"),
		f("area-scale"), f("length-floor"), f("length-coefficient"), f("low-tilt"), f("high-tilt"),
		f("gap-least"), f("gap-spacing"), f("edge-heights"), f("edge-floor"), f("zone-strip"), map[string]*Curve{}}
	t := s.table("solar-tilted-nominal")
	for _, r := range t.Rows {
		w.tilted.nominal[r.Key] = s.curve(t, r.Key)
	}
	w.refs["solar-tilted-nominal"] = t.Ref("")
}

// TiltedPressure is the net pressure on a tilted array on a flat roof, Pa.
type TiltedPressure struct {
	Qh, Kd, Nominal, Edge, ChordFactor, ParapetFactor float64
	Coefficient                                       float64 // GCrn
	Strength                                          float64 // as computed, without the least pressure
	Design                                            float64 // not under the least pressure
	Refs                                              []table.Ref
}

// chordFactor is gammaC of a panel chord in m.
func (w *ASCE7) chordFactor(chord float64) float64 {
	return math.Max(w.tilted.chordBase+w.tilted.chordSlope*chord, w.tilted.chordFloor)
}

// TiltedPressure computes 29.4.3 from a nominal coefficient: p = qh Kd gammaP
// gammaC gammaE GCrn. The pressure acts both ways; the sign is that of the
// coefficient. Lengths in m.
func (w *ASCE7) TiltedPressure(qh, nominal, edge, chord, parapet, height float64) (TiltedPressure, error) {
	if err := positive("qh", qh, "edge factor", edge, "chord", chord, "height", height); err != nil {
		return TiltedPressure{}, err
	}
	if err := notNegative("parapet", parapet); err != nil {
		return TiltedPressure{}, err
	}
	if nominal == 0 || math.IsNaN(nominal) || math.IsInf(nominal, 0) {
		return TiltedPressure{}, fmt.Errorf("the nominal coefficient must be above or below zero")
	}
	t := w.tilted
	if !Meets(chord, t.chord) {
		return TiltedPressure{}, &ScopeError{"ASCE " + w.Edition + " 29.4.3", []string{fmt.Sprintf("chord %s is over %s", show(quantity.US, chord, quantity.Length), show(quantity.US, t.chord, quantity.Length))}}
	}
	p := TiltedPressure{Qh: qh, Kd: w.pressureFactor(), Nominal: nominal, Edge: edge,
		ChordFactor:   w.chordFactor(chord),
		ParapetFactor: math.Min(t.parapetCap, t.parapetBase+parapet/height),
		Refs:          []table.Ref{w.refs["wind"], w.refs["solar-tilted"]}}
	p.Coefficient = p.ParapetFactor * p.ChordFactor * edge * nominal
	p.Strength = qh * p.Kd * p.Coefficient
	p.Design = w.atLeast(p.Strength)
	return p, nil
}

// Work gives the calculation with numbers put in.
func (p TiltedPressure) Work(sys quantity.System) []string {
	return []string{
		fmt.Sprintf("GCrn = gammaP %.3f x gammaC %.3f x gammaE %.2f x nominal %.3f = %.3f", p.ParapetFactor, p.ChordFactor, p.Edge, p.Nominal, p.Coefficient),
		fmt.Sprintf("p = qh %s x Kd %.2f x GCrn %.3f = %s (strength level), not under the least pressure %s",
			show(sys, p.Qh, quantity.Pressure), p.Kd, p.Coefficient, show(sys, p.Strength, quantity.Pressure), show(sys, p.Design, quantity.Pressure)),
	}
}

// Tilted is the geometry of a tilted array on a flat roof: degrees and m.
type Tilted struct {
	RoofSlope, Tilt, Chord, LowEdge, HighEdge float64
	Gap, GapSpacing                           float64 // least gap between modules, distance between gaps
	EdgeDistance, Parapet                     float64 // from the array to the edge of the roof; height of the parapet there
}

// TiltedScope holds a tilted array against the limits of 29.4.3.
func (w *ASCE7) TiltedScope(g Tilted, sys quantity.System) error {
	e := &ScopeError{Method: "ASCE " + w.Edition + " 29.4.3"}
	if !w.methods {
		e.Reasons = []string{noMethods}
		return e
	}
	t := w.tilted
	const atLeast = true
	for _, l := range []struct {
		name     string
		v, limit float64
		atLeast  bool
		d        quantity.Dimension
	}{{"roof slope", g.RoofSlope, t.slope, !atLeast, quantity.Angle}, {"tilt", g.Tilt, t.tilt, !atLeast, quantity.Angle}, {"chord", g.Chord, t.chord, !atLeast, quantity.Length},
		{"height of the low edge", g.LowEdge, t.low, !atLeast, quantity.Length}, {"height of the high edge", g.HighEdge, t.high, !atLeast, quantity.Length},
		{"gap", g.Gap, t.gapLeast, atLeast, quantity.Length}, {"gap spacing", g.GapSpacing, t.gapSpacing, !atLeast, quantity.Length},
		{"distance to the roof edge", g.EdgeDistance, math.Max(t.edgeHeights*(g.HighEdge-g.Parapet), t.edgeFloor), atLeast, quantity.Length}} {
		switch {
		case math.IsNaN(l.v) || math.IsNaN(l.limit):
			e.Reasons = append(e.Reasons, l.name+" is not known")
		case l.atLeast && !Meets(l.limit, l.v):
			e.Reasons = append(e.Reasons, fmt.Sprintf("%s %s is under %s", l.name, show(sys, l.v, l.d), show(sys, l.limit, l.d)))
		case !l.atLeast && !Meets(l.v, l.limit):
			e.Reasons = append(e.Reasons, fmt.Sprintf("%s %s is over %s", l.name, show(sys, l.v, l.d), show(sys, l.limit, l.d)))
		}
	}
	if len(e.Reasons) > 0 {
		return e
	}
	return nil
}

// TiltedSlope reports whether a roof of a slope (degrees) is flat enough for
// 29.4.3.
func (w *ASCE7) TiltedSlope(slope float64) bool { return w.methods && Meets(slope, w.tilted.slope) }

// TiltedZone is the zone of a place on a flat roof in the figure of tilted
// arrays (Figure 29.4-7): strips along the edges, and the corners where they
// cross. height is the mean roof height, m.
func (w *ASCE7) TiltedZone(p Place, height float64) string {
	strip := w.tilted.strip * height
	switch flatPlace(p, strip, strip, math.Inf(1)) {
	case "eave-corner":
		return "3"
	case "eave":
		return "2"
	}
	return "1"
}

// TiltedNominal reads the nominal coefficient by tilt (degrees), zone (1, 2,
// 3) and area (m2) on a building of mean roof height, longest and shortest
// side in m. Between the low and the high curves it is linear in the tilt.
func (w *ASCE7) TiltedNominal(tilt float64, zone string, area, height, longest, shortest float64) (coefficient, normalizedArea float64, err error) {
	if err := positive("area", area, "height", height, "longest side", longest, "shortest side", shortest); err != nil {
		return 0, 0, err
	}
	t := w.tilted
	low, high := t.nominal["low "+zone], t.nominal["high "+zone]
	if low == nil || high == nil {
		return 0, 0, fmt.Errorf("zone %q is none of 1, 2, 3", zone)
	}
	if err := within("tilt", tilt, 0, t.tilt); err != nil {
		return 0, 0, err
	}
	lb := math.Max(math.Min(math.Min(t.lengthCoefficient*math.Sqrt(height*longest), height), shortest), t.lengthFloor)
	normalizedArea = t.areaScale * area / (lb * lb)
	share := math.Min(1, math.Max(0, (tilt-t.lowTilt)/(t.highTilt-t.lowTilt)))
	return low.blend(high, share).At(normalizedArea), normalizedArea, nil
}

// EqualizationRefs are the places that gammaA rests on.
func (w *ASCE7) EqualizationRefs() []table.Ref { return []table.Ref{w.refs["equalization"]} }
