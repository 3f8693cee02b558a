package loads

import (
	"fmt"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/terms"
)

// What the job need not say of its site, because it follows, or a bound is known
// that nothing exceeds.

// riskCategory is the risk category as stated; a dwelling is an ordinary
// building.
var riskCategory = terms.Fill(siteKind, "risk_category", terms.Word, func(c *terms.Call, s *job.Site, stated bool, v string) string {
	switch {
	case stated:
		return v
	case !terms.Peek(c, c.Job().Building.Dwelling):
		c.Missing(s.RiskCategory.Key, s.RiskCategory.At)
		return ""
	}
	c.Explain(func(quantity.System) []string {
		return []string{"the building is a dwelling, so of risk category II"}
	}, nil)
	return "II"
})

// siteElevation is the elevation of the site; without it the air is taken as
// that at the sea, which presses most.
var siteElevation = terms.Fill(siteKind, "elevation", terms.Quantity(quantity.Length), func(c *terms.Call, _ *job.Site, stated bool, v float64) float64 {
	if stated {
		return v
	}
	c.Assume()
	c.Explain(func(quantity.System) []string {
		return []string{"site.elevation is left out: air as dense as at the sea"}
	}, nil)
	return 0
})

// snowExposure is Ce as stated, else the largest of the table: the wind exposure
// does not tell the roughness on every side, nor what shelters the roof.
var snowExposure = terms.Fill(siteKind, "snow_exposure_factor", terms.PlainNumber, func(c *terms.Call, _ *job.Site, stated bool, v float64) float64 {
	if stated {
		return v
	}
	w := asce(c)
	if c.Stop() {
		return 0
	}
	ce, ref := w.MostSnowExposure()
	c.Assume()
	c.Explain(func(quantity.System) []string {
		return []string{fmt.Sprintf("site.snow_exposure_factor is left out: Ce = %.1f, the largest of the table", ce)}
	}, nil)
	c.Cite(ref)
	return ce
})

// snowThermal is Ct as stated, else that of an unheated building: only one kept
// below freezing has more.
var snowThermal = terms.Fill(siteKind, "snow_thermal_factor", terms.PlainNumber, func(c *terms.Call, _ *job.Site, stated bool, v float64) float64 {
	if stated {
		return v
	}
	w := asce(c)
	if c.Stop() {
		return 0
	}
	ct, ref := w.UnheatedThermal()
	c.Assume()
	c.Explain(func(quantity.System) []string {
		return []string{fmt.Sprintf("site.snow_thermal_factor is left out: Ct = %.1f of an unheated building; one that is kept below freezing has more", ct)}
	}, nil)
	c.Cite(ref)
	return ct
})
