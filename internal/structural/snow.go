package structural

import (
	"fmt"
	"math"

	"plumbrule/internal/quantity"
	"plumbrule/internal/table"
)

type snowFactors struct {
	unheated, flat, lowSlope, rain, rainGround, rainRun, zeroSlope, minimumCap float64 // NaN where the risk category tells
	drift                                                                      driftFactors
	slope                                                                      []snowClass
	risk                                                                       *table.Table
	exposure                                                                   *table.Table
	thermal                                                                    *table.Table // nil where the edition gives Ct by the use of the building alone
}

type snowClass struct {
	name                        string
	thermalTo, slippery, others float64
}

func (w *ASCE7) readSnow(s *source) {
	f, t := w.factors(s, "snow"), s.table("snow")
	or := func(key string, absent float64) float64 {
		if t.Has(key) {
			return f(key)
		}
		return absent
	}
	w.snow = snowFactors{flat: f("flat"), lowSlope: f("low-slope"), rain: f("rain-on-snow"), rainGround: or("rain-on-snow-ground", math.NaN()), rainRun: f("rain-on-snow-run"),
		zeroSlope: f("zero-slope"), minimumCap: or("minimum-cap", math.NaN()), risk: s.table("snow-risk"), exposure: s.table("snow-exposure")}
	w.snow.drift = readDrift(f, or)
	w.snow.thermal, _ = s.set.Get(s.code, s.edition, "snow-thermal")
	u := s.table("snow-unheated")
	w.snow.unheated, w.refs["snow-unheated"] = s.cell(u, "unheated", "value"), u.Ref("")
	c := s.table("snow-slope")
	w.refs["snow-slope"] = c.Ref("")
	for _, r := range c.Rows {
		w.snow.slope = append(w.snow.slope, snowClass{r.Key, s.cell(c, r.Key, "thermal-to"), s.cell(c, r.Key, "slippery"), s.cell(c, r.Key, "other")})
	}
}

// SnowRisk gives the importance factor of a risk category (I to IV), and
// whether the edition has one: 7-22 has it in the ground snow map.
func (w *ASCE7) SnowRisk(category string) (importance float64, ok bool) {
	return w.snow.risk.Number(category, "importance")
}

// SnowExposure gives Ce of a surface roughness (B, C, D) and roof exposure
// (fully, partially, sheltered), Table 7.3-1.
func (w *ASCE7) SnowExposure(roughness, roof string) (float64, error) {
	ce, ok := w.snow.exposure.Number(roughness, roof)
	if !ok {
		return 0, fmt.Errorf("no exposure factor for roughness %q and a roof that is %q", roughness, roof)
	}
	return ce, nil
}

// MostSnowExposure is the largest Ce of the table.
func (w *ASCE7) MostSnowExposure() (float64, table.Ref) {
	most := 0.0
	for _, r := range w.snow.exposure.Rows {
		for _, roof := range []string{"fully", "partially", "sheltered"} {
			if ce, ok := w.snow.exposure.Number(r.Key, roof); ok {
				most = math.Max(most, ce)
			}
		}
	}
	return most, w.snow.exposure.Ref("")
}

// UnheatedThermal is Ct of an unheated, open or cold ventilated building.
func (w *ASCE7) UnheatedThermal() (float64, table.Ref) {
	return w.snow.unheated, w.refs["snow-unheated"]
}

// thermalColumns are the resistances that Ct is tabulated for.
var thermalColumns = []struct {
	name       string
	resistance float64 // h ft2 degF / Btu
}{{"r20", 20}, {"r30", 30}, {"r40", 40}, {"r50", 50}}

// SnowThermal is Ct of a heated structure with an unventilated roof, by ground
// snow in Pa and the resistance of the roof in h ft2 degF / Btu; ok is false in
// editions that give it by the use of the building alone. The least that any
// roof has is that of the least resistance.
func (w *ASCE7) SnowThermal(ground, resistance float64) (factor float64, refs []table.Ref, ok bool) {
	t := w.snow.thermal
	if t == nil {
		return 0, nil, false
	}
	at := make([]float64, len(t.Rows))
	across := make([]float64, len(thermalColumns))
	steps := make([]float64, len(thermalColumns))
	for k, c := range thermalColumns {
		cells := make([]float64, len(t.Rows))
		for i, r := range t.Rows {
			at[i], _ = t.Quantity(r.Key, "ground")
			cells[i], _ = t.Number(r.Key, c.name)
		}
		across[k], steps[k] = interpolate(at, cells, ground), c.resistance
	}
	return interpolate(steps, across, resistance), []table.Ref{t.Ref("")}, true
}

// interpolate reads a value between the places of a list in order; the ends
// hold beyond them.
func interpolate(at, values []float64, x float64) float64 {
	for i := 1; i < len(at); i++ {
		if x < at[i] {
			share := math.Max(0, (x-at[i-1])/(at[i]-at[i-1]))
			return values[i-1] + share*(values[i]-values[i-1])
		}
	}
	return values[len(values)-1]
}

// Snow is what the roof snow load depends on. Ground snow in Pa, in the level
// of the edition's own map.
type Snow struct {
	Ground, Exposure, Thermal float64
	Importance                float64 // 7-16; 1 or NaN in 7-22
	Risk                      string  // I to IV; "" if not known
	Slope                     float64
	Slippery                  bool    // slippery and unobstructed down to the eave
	Run                       float64 // eave to ridge in plan, m, for rain on snow; NaN or 0 if not known
	WinterWind                float64 // W2 of 7-22; NaN or 0 for the largest outside Alaska
	Bound                     bool    // Exposure and Thermal may be less than they are here
}

// RoofSnow is the roof snow load, Pa on the horizontal projection.
type RoofSnow struct {
	Snow
	Edition             string
	FlatFactor          float64 // ground to flat roof
	Flat                float64
	Class               string // warm, intermediate, cold
	SlopeFactor         float64
	Sloped              float64
	Minimum             float64 // the separate uniform minimum of low slopes; 0 where none holds, NaN where the risk category is needed
	Strength, Allowable float64 // of the sloped load
	StrengthFactor      float64
	AllowableFactor     float64
	// GoverningStrength and GoverningAllowable take rain on snow, or the minimum,
	// where it is more.
	GoverningStrength, GoverningAllowable float64
	RainOnSnow                            float64 // surcharge where ground snow is light and the slope small for the run; 0 otherwise or where the run is not known, NaN where the risk category is needed
	Refs                                  []table.Ref
}

// RoofSnow computes the balanced roof snow load (7.3, 7.4) by the edition's
// own formula and load factors: ground snow of one edition never goes with the
// factors of the other.
func (w *ASCE7) RoofSnow(s Snow) (RoofSnow, error) {
	if err := notNegative("ground snow", s.Ground); err != nil {
		return RoofSnow{}, err
	}
	if err := positive("exposure factor", s.Exposure, "thermal factor", s.Thermal); err != nil {
		return RoofSnow{}, err
	}
	if err := within("slope", s.Slope, 0, 90); err != nil {
		return RoofSnow{}, err
	}
	withImportance := !math.IsNaN(w.snow.minimumCap)
	if !withImportance {
		if !math.IsNaN(s.Importance) && s.Importance != 1 {
			return RoofSnow{}, fmt.Errorf("ASCE %s has no snow importance factor: the risk category is in the ground snow map", w.Edition)
		}
		s.Importance = 1
	} else if err := positive("importance factor", s.Importance); err != nil {
		return RoofSnow{}, err
	}
	r := RoofSnow{Snow: s, Edition: w.Edition, FlatFactor: w.snow.flat, StrengthFactor: w.combine.SnowLRFD, AllowableFactor: w.combine.SnowASD,
		Refs: []table.Ref{w.refs["snow"], w.refs["snow-slope"], w.refs["combinations"]}}
	r.Flat = w.snow.flat * s.Exposure * s.Thermal * s.Importance * s.Ground
	r.Class, r.SlopeFactor = w.slopeFactor(s)
	r.Sloped = r.SlopeFactor * r.Flat
	r.Strength, r.Allowable = r.StrengthFactor*r.Sloped, r.AllowableFactor*r.Sloped
	if err := w.snowMinimum(&r, withImportance); err != nil {
		return RoofSnow{}, err
	}
	r.RainOnSnow = w.rainOnSnow(s)
	governing := r.Even()
	r.GoverningStrength, r.GoverningAllowable = r.StrengthFactor*governing, r.AllowableFactor*governing
	return r, nil
}

// Even is the largest even load over the whole roof: balanced, with rain on
// it where that counts, or the minimum of low slopes.
func (r RoofSnow) Even() float64 {
	even := r.Sloped
	for _, v := range [2]float64{r.Sloped + r.RainOnSnow, r.Minimum} {
		if v > even { // not where it is not known
			even = v
		}
	}
	return even
}

// rainOnSnow is the surcharge of rain on the balanced snow. Where the ground
// snow that it holds up to goes by a risk category that is not given, it is NaN.
func (w *ASCE7) rainOnSnow(s Snow) float64 {
	if !(s.Run > 0 && s.Slope < s.Run/w.snow.rainRun && s.Ground > 0) {
		return 0
	}
	most := w.snow.rainGround
	if math.IsNaN(most) {
		v, ok := w.snow.risk.Quantity(s.Risk, "minimum-cap")
		if !ok {
			return math.NaN()
		}
		most = v
	}
	if Meets(s.Ground, most) {
		return w.snow.rain
	}
	return 0
}

func (w *ASCE7) slopeFactor(s Snow) (class string, factor float64) {
	c := w.snow.slope[len(w.snow.slope)-1]
	for _, x := range w.snow.slope {
		if Meets(s.Thermal, x.thermalTo) {
			c = x
			break
		}
	}
	start := c.others
	if s.Slippery {
		start = c.slippery
	}
	return c.name, math.Min(1, math.Max(0, 1-(s.Slope-start)/(w.snow.zeroSlope-start)))
}

func (w *ASCE7) snowMinimum(r *RoofSnow, withImportance bool) error {
	switch {
	case r.Slope >= w.snow.lowSlope:
		return nil
	case withImportance:
		r.Minimum = r.Importance * math.Min(r.Ground, w.snow.minimumCap)
	case r.Risk == "":
		r.Minimum = math.NaN()
	default:
		most, ok := w.snow.risk.Quantity(r.Risk, "minimum-cap")
		if !ok {
			return fmt.Errorf("risk category %q is none of I, II, III, IV", r.Risk)
		}
		r.Minimum = math.Min(r.Ground, most)
		r.Refs = append(r.Refs, w.snow.risk.Ref(r.Risk))
	}
	return nil
}

// Work gives the calculation with numbers put in.
func (r RoofSnow) Work(sys quantity.System) []string {
	p := func(v float64) string { return show(sys, v, quantity.Pressure) }
	importance := ""
	if r.Importance != 1 {
		importance = fmt.Sprintf(" x Is %.2f", r.Importance)
	}
	lines := []string{
		fmt.Sprintf("pf = %.2f x Ce %.2f x Ct %.2f%s x pg %s = %s (ASCE %s)", r.FlatFactor, r.Exposure, r.Thermal, importance, p(r.Ground), p(r.Flat), r.Edition),
		fmt.Sprintf("Cs = %.3f at %.1f deg (%s roof, slippery and unobstructed: %v); ps = %s", r.SlopeFactor, r.Snow.Slope, r.Class, r.Slippery, p(r.Sloped)),
		fmt.Sprintf("strength level %.1f x ps = %s; allowable level %.1f x ps = %s", r.StrengthFactor, p(r.Strength), r.AllowableFactor, p(r.Allowable)),
	}
	if r.Minimum > 0 {
		lines = append(lines, fmt.Sprintf("minimum on low slopes %s, a load case of its own", p(r.Minimum)))
	}
	if math.IsNaN(r.Minimum) {
		lines = append(lines, "the minimum on low slopes needs the risk category")
	}
	if r.RainOnSnow > 0 {
		lines = append(lines, fmt.Sprintf("rain on snow adds %s to the balanced load", p(r.RainOnSnow)))
	}
	return lines
}
