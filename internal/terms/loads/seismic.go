package loads

import (
	"math"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/structural"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/arrays"
	"plumbrule/internal/terms/roofs"
)

var _ = terms.Derive(arrayKind, "seismic_force", terms.Quantity(quantity.Force), "horizontal seismic force of the mass on the foot that carries most, strength level", "ASCE 7 13.3.1", "seismic-force",
	func(c *terms.Call, a *job.Array) float64 {
		terms.Drive(c, c.Job().Site.SDS)
		r := seismic(c, a)
		if c.Stop() {
			return 0
		}
		c.Explain(chainWork(r.Work, loadStandard(c)), r.Refs)
		return r.Force
	})

var _ = terms.Derive(buildingKind, "lateral_increase", terms.Quantity(quantity.Ratio), "weight of all arrays over the dead load of the roof alone, as a share of added seismic weight; walls are not counted, which is the safe side", "IEBC 503.4", "load-increase",
	func(c *terms.Call, b *job.Building) float64 {
		terms.Drive(c, b.RoofDeadLoad)
		r := lateralIncrease(c, b)
		if c.Stop() {
			return 0
		}
		c.Explain(func(quantity.System) []string { return r.Work() }, r.Refs)
		return r.Share
	})

var _ = terms.Derive(buildingKind, "lateral_screen", terms.Quantity(quantity.Ratio), "share of added lateral demand that asks for no check of an existing building", "IEBC 503.4", "",
	func(c *terms.Call, b *job.Building) float64 {
		r := lateralIncrease(c, b)
		if c.Stop() {
			return 0
		}
		return r.Screen
	})

func lateralIncrease(c *terms.Call, b *job.Building) structural.LoadIncrease {
	dead := c.Q(b.RoofDeadLoad)
	roof := roofs.Geometry.Of(c, c.Job())
	added := 0.0
	for i := range c.Job().Arrays {
		a := &c.Job().Arrays[i]
		l := arrays.Modules.Of(c, a)
		if d := deadLoad(c, a); !c.Stop() {
			added += d * l.Area()
		}
	}
	s := screens(c)
	if c.Stop() {
		return structural.LoadIncrease{}
	}
	existing := 0.0
	for i := range roof.Roof.Len() {
		existing += dead * roof.Roof.SurfaceArea(i)
	}
	r, err := s.LateralIncrease(existing, added)
	if err != nil {
		c.Err(err)
	}
	return r
}

// seismic computes the horizontal force of the mass on the foot that carries
// most. The array stands on the roof, so it is at the full height.
func seismic(c *terms.Call, a *job.Array) structural.SeismicForce {
	s := &c.Job().Site
	sds, importance := terms.Get(c, s.SDS), terms.Get(c, s.ComponentImport)
	dead := deadLoad(c, a)
	l := arrays.Carried.Of(c, a)
	w := asce(c)
	if c.Stop() {
		return structural.SeismicForce{}
	}
	most := 0.0
	for _, area := range l.Areas {
		most = math.Max(most, area)
	}
	in := structural.NewSeismic(sds, dead*most, importance, 1)
	if _, inside := w.Kd(); !inside { // the edition that moved Kd also changed the form of Fp
		in.Resonance, in.Strength = terms.Get(c, s.ComponentCAR), terms.Get(c, s.ComponentStrength)
	}
	if c.Stop() {
		return structural.SeismicForce{}
	}
	r, err := w.SeismicForce(in)
	if err != nil {
		c.Err(err)
	}
	return r
}
