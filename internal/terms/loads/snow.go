package loads

import (
	"math"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/structural"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/arrays"
)

var _ = terms.Derive(planeKind, "roof_snow", terms.Quantity(quantity.Pressure), "balanced roof snow load on the horizontal projection, allowable level of the adopted edition; not counted as slippery", "ASCE 7 7.3 and 7.4", "roof-snow",
	func(c *terms.Call, p *job.Plane) float64 {
		terms.Drive(c, c.Job().Site.GroundSnow)
		r := roofSnow(c, p)
		if c.Stop() {
			return 0
		}
		c.Explain(r.Work, r.Refs)
		return r.GoverningAllowable
	})

var _ = terms.Derive(arrayKind, "unbalanced_down", terms.Quantity(quantity.Force), "largest load into the roof at a foot with the unbalanced snow of a gable or hip roof all over the array; allowable level", "ASCE 7 7.6.1", "", unbalancedDown)

var _ = terms.Derive(siteKind, "snow_importance", terms.PlainNumber, "snow importance factor of the risk category; 1 in editions that have it in the ground snow map", "ASCE 7 Table 1.5-2", "", func(c *terms.Call, s *job.Site) float64 {
	w, risk := asce(c), terms.Get(c, s.RiskCategory)
	if c.Stop() {
		return 0
	}
	if i, ok := w.SnowRisk(risk); ok {
		return i
	}
	return 1.0
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

func unbalancedDown(c *terms.Call, a *job.Array) float64 {
	terms.Drive(c, c.Job().Site.GroundSnow)
	p := arrays.PlaneOf(c, a)
	r, run := roofSnow(c, p), snowRun(c, p)
	w, _ := windOf(c, a)
	if c.Stop() {
		return 0
	}
	u, err := w.code.UnbalancedSnow(r, run)
	if err != nil {
		c.Err(err)
		return 0
	}
	snow := math.Max(u.Windward, u.Leeward+u.Surcharge)
	demands := withSnow(c, w, snow, w.bound())
	if c.Stop() {
		return 0
	}
	d := &demands[worst(demands, func(d *structural.Demand) float64 { return d.DownASD })]
	c.Explain(chainWork(r.Work, func(sys quantity.System) []string {
		return []string{"unbalanced: leeward " + show(sys, u.Leeward, quantity.Pressure) + " with " + show(sys, u.Surcharge, quantity.Pressure) + " more within " +
			show(sys, u.Reach, quantity.Length) + " of the ridge; taken over the whole array"}
	}, w.work(d, snow)), append(u.Refs, r.Refs...))
	return d.DownASD
}

// roofSnow computes the balanced snow load of the plane under an array by the
// adopted edition. The surface is not counted as slippery: snow guards, arrays
// below and rails stop it, and the larger load is the safe one.
func roofSnow(c *terms.Call, p *job.Plane) structural.RoofSnow {
	s := &c.Job().Site
	ground, edition := c.Q(s.GroundSnow), terms.Get(c, s.GroundSnowEdition)
	in := structural.Snow{Ground: ground, Exposure: terms.Get(c, s.SnowExposure), Thermal: terms.Get(c, s.SnowThermal), Risk: terms.Get(c, s.RiskCategory), Slope: c.Q(p.Slope),
		Importance: math.NaN(), Run: snowRun(c, p)}
	w := asce(c)
	if c.Stop() {
		return structural.RoofSnow{}
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
	if math.IsNaN(r.Minimum) {
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

// snowLoad is the largest uniform snow on the horizontal projection, in the
// level of the edition's map: balanced, the minimum of low slopes, and rain on
// snow where it adds.
func snowLoad(c *terms.Call, a *job.Array) float64 {
	r := roofSnow(c, arrays.PlaneOf(c, a))
	return math.Max(r.Sloped+r.RainOnSnow, r.Minimum)
}
