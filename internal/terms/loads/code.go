package loads

import (
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/structural"
	"plumbrule/internal/table"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/roofs"
)

// standard declares an engineering standard under its adopted edition.
func standard[T any](what string, edition terms.TermOf[job.Adoption, string], load func(string, *table.Set) (T, error)) terms.Analysis[job.Job, T] {
	return terms.Analyse(submittalKind, what, func(c *terms.Call, j *job.Job) T {
		var none T
		e := edition.Of(c, &j.Adoption)
		if c.Stop() {
			return none
		}
		code, err := load(e, c.Tables())
		if err != nil {
			c.Err(err)
		}
		return code
	})
}

var (
	asceInForce = standard("adopted ASCE 7", loadEdition, structural.NewASCE7)
	ndsInForce  = standard("adopted NDS", woodEdition, structural.NewNDS)
	sawnInForce = standard("lumber of the adopted NDS", woodEdition, structural.NewSawn)
	aisiInForce = standard("adopted AISI S100", steelEdition, structural.NewAISI)

	// practice are the rules of thumb and simple routes, which have no edition.
	practice = terms.Analyse(submittalKind, "structural practice", func(c *terms.Call, _ *job.Job) *structural.Practice {
		p, err := structural.NewPractice(c.Tables())
		if err != nil {
			c.Err(err)
		}
		return p
	})
)

func asce(c *terms.Call) *structural.ASCE7       { return asceInForce.Of(c, c.Job()) }
func nds(c *terms.Call) *structural.NDS          { return ndsInForce.Of(c, c.Job()) }
func sawn(c *terms.Call) *structural.Sawn        { return sawnInForce.Of(c, c.Job()) }
func aisi(c *terms.Call) *structural.AISI        { return aisiInForce.Of(c, c.Job()) }
func screens(c *terms.Call) *structural.Practice { return practice.Of(c, c.Job()) }

// velocityPressure computes qh from the site and the mean roof height.
func velocityPressure(c *terms.Call) structural.VelocityPressure {
	return velocityPressureAt(c, roofs.MeanRoofHeight.Of(c, &c.Job().Building))
}

// velocityPressureAt computes qh for a mean roof height.
func velocityPressureAt(c *terms.Call, height float64) structural.VelocityPressure {
	s := &c.Job().Site
	speed, exposure := c.Q(s.WindSpeed), terms.Get(c, s.Exposure)
	kzt, elevation := terms.Get(c, s.TopographicFactor), 0.0
	w := asce(c)
	if w != nil && w.TakesElevation() {
		elevation = siteElevation.Of(c, s)
	}
	if c.Stop() {
		return structural.VelocityPressure{}
	}
	v, err := w.VelocityPressure(speed, exposure, height, kzt, elevation)
	if err != nil {
		c.Err(err)
	}
	return v
}

// ZoneWidth computes a for a roof of a slope. On low slopes it goes by the
// eave height, otherwise by the mean roof height.
func ZoneWidth(c *terms.Call, slope float64) structural.ZoneWidth {
	return zoneWidthBy(c, slope, roofs.Width.Of, roofs.MeanRoofHeight.Of, roofs.EaveHeight.Of)
}

// zoneWidthBy computes a with the dimensions of the building as readers give
// them.
func zoneWidthBy(c *terms.Call, slope float64, width, mean, eave func(*terms.Call, *job.Building) float64) structural.ZoneWidth {
	b := &c.Job().Building
	least := width(c, b)
	w := asce(c)
	if c.Stop() {
		return structural.ZoneWidth{}
	}
	height := mean
	if w.TakesEaveHeight(slope) {
		height = eave
	}
	h := height(c, b)
	if c.Stop() {
		return structural.ZoneWidth{}
	}
	z, err := w.ZoneWidth(least, h)
	if err != nil {
		c.Err(err)
	}
	return z
}

// Figure finds the coefficient figure for the roof over an array.
func Figure(c *terms.Call, slope float64) *structural.Figure {
	b := &c.Job().Building
	shape, width, height := roofs.Shape.Of(c, b), roofs.Width.Of(c, b), roofs.MeanRoofHeight.Of(c, b)
	w := asce(c)
	if c.Stop() {
		return nil
	}
	if err := w.CheckHeight(height); err != nil {
		c.Err(err)
		return nil
	}
	f, err := w.Figure(structural.Roof(shape), slope, height/width)
	if err != nil {
		c.Err(err)
	}
	return f
}

// chainWork joins worked calculations one after another.
func chainWork(lines ...func(quantity.System) []string) func(quantity.System) []string {
	return func(sys quantity.System) (out []string) {
		for _, f := range lines {
			if f != nil {
				out = append(out, f(sys)...)
			}
		}
		return out
	}
}

// loadStandard is the line that names the edition of loads.
func loadStandard(c *terms.Call) func(quantity.System) []string {
	edition := loadEdition.Of(c, &c.Job().Adoption)
	if !terms.Stated(c, c.Job().Adoption.ASCE7) {
		edition += " (that of the IRC " + terms.Peek(c, c.Job().Adoption.IRC) + ")"
	}
	return func(quantity.System) []string { return []string{"ASCE " + edition + "; a licensed engineer decides"} }
}

// forces and pressures in the reader's units.
func show(sys quantity.System, si float64, d quantity.Dimension) string {
	return quantity.Of(si, d).Format(sys)
}
