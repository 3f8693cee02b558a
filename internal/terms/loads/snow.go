package loads

import (
	"fmt"
	"math"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/structural"
	"plumbrule/internal/terms"
)

var _ = terms.Derive(planeKind, "roof_snow", terms.Quantity(quantity.Pressure), "even roof snow load on the horizontal projection, allowable level of the adopted edition: balanced, with rain on it where that counts, or the minimum of low slopes; not counted as slippery", "ASCE 7 7.3, 7.4 and 7.10", "roof-snow",
	func(c *terms.Call, p *job.Plane) float64 {
		terms.Drive(c, c.Job().Site.GroundSnow)
		r := roofSnow(c, p)
		if c.Stop() {
			return 0
		}
		c.Explain(r.Work, r.Refs)
		return r.GoverningAllowable
	})

var _ = terms.Derive(siteKind, "snow_importance", terms.PlainNumber, "snow importance factor of the risk category; 1 in editions that have it in the ground snow map", "ASCE 7 Table 1.5-2", "", func(c *terms.Call, s *job.Site) float64 {
	w, risk := asce(c), riskCategory.Of(c, s)
	if c.Stop() {
		return 0
	}
	if i, ok := w.SnowRisk(risk); ok {
		return i
	}
	return 1.0
})

var _ = terms.Derive(siteKind, "least_thermal_factor", terms.PlainNumber, "least thermal factor Ct that a building other than a heated greenhouse has under the ground snow: by the table of 7-22, or 1 in earlier editions", "ASCE 7 7.3.2", "snow-thermal", func(c *terms.Call, s *job.Site) float64 {
	w, ground := asce(c), c.Q(s.GroundSnow)
	if c.Stop() {
		return 0
	}
	ct, refs, ok := w.SnowThermal(ground, 0)
	if !ok {
		return 1
	}
	c.Explain(func(sys quantity.System) []string {
		return []string{fmt.Sprintf("Ct of the least insulated heated roof under %s of ground snow: %.2f", show(sys, ground, quantity.Pressure), ct)}
	}, refs)
	return ct
})

var _ = terms.Derive(statedKind, "snow_factor_due", terms.PlainNumber, "load factor of snow alone in the combinations of the adopted edition, at the stated level", "ASCE 7 2.3 and 2.4", "", func(c *terms.Call, s *job.Stated) float64 {
	w, level := asce(c), terms.Get(c, s.SnowLevel)
	if c.Stop() {
		return 0
	}
	if level == "strength" {
		return w.Combinations().SnowLRFD
	}
	return w.Combinations().SnowASD
})

// roofSnow computes the balanced snow load of the plane under an array by the
// adopted edition. The surface is not counted as slippery: snow guards, arrays
// below and rails stop it, and the larger load is the safe one.
func roofSnow(c *terms.Call, p *job.Plane) structural.RoofSnow {
	s := &c.Job().Site
	ground, edition := c.Q(s.GroundSnow), terms.Get(c, s.GroundSnowEdition)
	in := structural.Snow{Ground: ground, Exposure: snowExposure.Of(c, s), Thermal: snowThermal.Of(c, s), Risk: riskCategory.Of(c, s), Slope: c.Q(p.Slope),
		Importance: math.NaN(), Run: snowRun(c, p), Bound: !terms.Stated(c, s.SnowExposure) || !terms.Stated(c, s.SnowThermal)}
	w := asce(c)
	if c.Stop() {
		return structural.RoofSnow{}
	}
	if w.TakesWinterWind() && terms.Stated(c, s.WinterWind) {
		in.WinterWind = terms.Get(c, s.WinterWind)
	}
	if edition != w.Edition {
		c.Fail("the ground snow load is of ASCE %s while %s is adopted: the two maps are not of one level", edition, w.Edition)
		return structural.RoofSnow{}
	}
	if i, ok := w.SnowRisk(in.Risk); ok {
		in.Importance = i
	}
	r, err := w.RoofSnow(in)
	if err != nil {
		c.Err(err)
	}
	if math.IsNaN(r.Minimum + r.RainOnSnow) {
		c.Missing(s.RiskCategory.Key, s.RiskCategory.At)
	}
	return r
}

// snowRun is the horizontal distance from the eave to the top of a plane.
func snowRun(c *terms.Call, p *job.Plane) float64 {
	outline, downslope := terms.Get(c, p.Outline), c.Q(p.Downslope)
	if c.Stop() || len(outline) == 0 {
		return math.NaN()
	}
	east, north := math.Sincos(downslope * math.Pi / 180)
	low, high := math.Inf(1), math.Inf(-1)
	for _, q := range outline {
		d := q.X*east + q.Y*north
		low, high = math.Min(low, d), math.Max(high, d)
	}
	return high - low
}

// snowLoad is the largest even snow on an array, on the horizontal projection
// and in the level of the edition's map: balanced, the minimum of low slopes,
// rain on snow where it adds, and the even load of a narrow roof.
func snowLoad(c *terms.Call, a *job.Array) float64 {
	s := snowOn.Of(c, a)
	most := s.roof.Even()
	for _, u := range s.uneven {
		most = math.Max(most, u.even)
	}
	return most
}
