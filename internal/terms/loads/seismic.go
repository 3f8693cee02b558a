package loads

import (
	"fmt"
	"math"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/structural"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/arrays"
	"plumbrule/internal/terms/roofs"
)

// componentImportance is Ip as stated, else by the risk category.
var componentImportance = terms.Fill(siteKind, "component_importance", terms.PlainNumber, func(c *terms.Call, s *job.Site, stated bool, v float64) float64 {
	if stated {
		return v
	}
	risk := riskCategory.Of(c, s)
	w := asce(c)
	if c.Stop() {
		return 0
	}
	_, component, refs, err := w.Importance(risk)
	if err != nil {
		c.Err(err)
		return 0
	}
	c.Explain(func(quantity.System) []string {
		return []string{fmt.Sprintf("Ip is not stated: %.1f for a component of a building in risk category %s", component, risk)}
	}, refs)
	return component
})

// ofEarthquake declares a force on the foot that carries most.
func ofEarthquake(name, meaning, source string, value func(c *terms.Call, r *seismicState) float64) terms.TermOf[job.Array, float64] {
	return terms.Derive(arrayKind, name, terms.Quantity(quantity.Force), meaning, source, "seismic-force", func(c *terms.Call, a *job.Array) float64 {
		terms.Drive(c, c.Job().Site.SDS)
		r := seismicOn.Of(c, a)
		if c.Stop() {
			return 0
		}
		c.Explain(chainWork(r.force.Work, r.force.FootWork(r.slope), loadStandard(c)), r.force.Refs)
		return value(c, r)
	})
}

var _ = ofEarthquake("seismic_force", "horizontal seismic force of the mass on the foot that carries most, strength level", "ASCE 7 13.3.1",
	func(_ *terms.Call, r *seismicState) float64 { return r.force.Force })

var _ = ofEarthquake("seismic_along", "what an earthquake asks of the foot that carries most along the roof, with the weight down the slope and the vertical force; allowable level", "ASCE 7 13.3.1 and 2.4",
	func(_ *terms.Call, r *seismicState) float64 { return r.force.OnFoot(r.slope).Along })

var _ = ofEarthquake("seismic_uplift", "net uplift by an earthquake on the foot that carries most, allowable level; below zero the weight holds", "ASCE 7 13.3.1 and 2.4",
	func(_ *terms.Call, r *seismicState) float64 { return r.force.OnFoot(r.slope).Uplift })

var _ = terms.Derive(arrayKind, "seismic_capacity", terms.Quantity(quantity.Force), "allowable load along the roof of one of its feet in an earthquake", "NDS 12.3 and 2.3.2, AISI S100 J4.3, maker's test", "",
	func(c *terms.Call, a *job.Array) float64 { return lateralCapacity(c, a, "seismic") })

var _ = terms.Derive(buildingKind, "lateral_increase", terms.Quantity(quantity.Ratio), "weight of all arrays over the dead load of the roof alone, as a share of added seismic weight, with what was added before; walls are not counted, which is the safe side", "IEBC 503.4", "load-increase",
	func(c *terms.Call, b *job.Building) float64 {
		terms.Drive(c, b.RoofDeadLoad)
		r := lateralIncrease(c, b)
		if c.Stop() {
			return 0
		}
		before := terms.Peek(c, b.AddedLateral).SI
		c.Explain(func(quantity.System) []string {
			lines := r.Work()
			if before > 0 {
				lines = append(lines, fmt.Sprintf("with %.1f %% added since it was built: %.1f %%", 100*before, 100*(before+r.Share)))
			}
			return lines
		}, r.Refs)
		return before + r.Share
	})

var _ = terms.Derive(buildingKind, "lateral_screen", terms.Quantity(quantity.Ratio), "share of added lateral demand that asks for no check of an existing building", "IEBC 503.4", "",
	func(c *terms.Call, b *job.Building) float64 {
		r := lateralIncrease(c, b)
		if c.Stop() {
			return 0
		}
		return r.Screen
	})

var _ = terms.Derive(buildingKind, "has_tilted_arrays", terms.YesNo, "whether an array on its roof stands at an angle to it, so that the wind finds more to push against", "the job", "",
	func(c *terms.Call, _ *job.Building) bool { return len(tiltedArrays(c)) > 0 })

var _ = terms.Derive(buildingKind, "wind_increase", terms.Quantity(quantity.Ratio), "wind along the roof on tilted arrays over that on the narrower side of the building, with what was added before; rows do not shelter each other and the building takes the least pressure, which is the safe side", "IEBC 503.4, ASCE 7 29.4.3", "load-increase",
	func(c *terms.Call, b *job.Building) float64 {
		height, longest, shortest := roofs.MeanRoofHeight.Of(c, b), roofs.Length.Of(c, b), roofs.Width.Of(c, b)
		parapet, before := roofs.ParapetHeight.Of(c, b), terms.Peek(c, b.AddedLateral).SI
		qh, w, s := velocityPressure(c), asce(c), screens(c)
		if c.Stop() {
			return 0
		}
		added := 0.0
		for _, a := range tiltedArrays(c) {
			l := arrays.Modules.Of(c, a)
			if c.Stop() {
				return 0
			}
			tilt := terms.Peek(c, a.Tilt).SI
			nominal, _, err := w.TiltedNominal(tilt, "3", l.Area(), height, longest, shortest)
			var p structural.TiltedPressure
			if err == nil {
				p, err = w.TiltedPressure(qh.Q, nominal, 1, l.Modules[0].Rect.Height(), parapet, height)
			}
			if err != nil {
				c.Err(err)
				return 0
			}
			added += math.Abs(p.Design) * l.Area() * math.Sin(tilt*math.Pi/180)
		}
		existing := w.LeastPressure() * height * shortest
		r, err := s.LateralIncrease(existing, added)
		if err != nil {
			c.Err(err)
			return 0
		}
		c.Explain(func(sys quantity.System) []string {
			return append([]string{fmt.Sprintf("wind along the roof: %s on the arrays, %s on the narrower side of the building at the least pressure", show(sys, added, quantity.Force), show(sys, existing, quantity.Force))}, r.Work()...)
		}, append(qh.Refs, r.Refs...))
		return before + r.Share
	})

// tiltedArrays are the arrays that stand at an angle to the roof below them.
func tiltedArrays(c *terms.Call) (out []*job.Array) {
	for i := range c.Job().Arrays {
		a := &c.Job().Arrays[i]
		p, ok := terms.Seek(c, planeKind, a.Plane)
		if ok && !terms.Peek(c, p.Ground) && terms.Peek(c, a.Tilt).SI > 0 {
			out = append(out, a)
		}
	}
	return out
}

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

var _ = terms.Derive(arrayKind, "seismic_assumed", terms.YesNo, "whether its factors for earthquakes are those of other electrical components because the job states none (editions with CAR and Rpo)", "ASCE 7 Table 13.6-1", "",
	func(c *terms.Call, _ *job.Array) bool {
		s := &c.Job().Site
		w := asce(c)
		return !c.Stop() && w.ByResonance() && !(terms.Stated(c, s.ComponentCAR) && terms.Stated(c, s.ComponentStrength))
	})

// seismicState is the earthquake on the foot of an array that carries most.
type seismicState struct {
	force structural.SeismicForce
	slope float64 // degrees
}

// seismicOn computes the horizontal force of the mass on the foot that carries
// most. The array stands on the roof, so it is at the full height.
var seismicOn = terms.Analyse(arrayKind, "earthquake on the feet", func(c *terms.Call, a *job.Array) *seismicState {
	s := &c.Job().Site
	r := &seismicState{slope: c.Q(arrays.PlaneOf(c, a).Slope)}
	sds, importance := terms.Get(c, s.SDS), componentImportance.Of(c, s)
	dead := deadLoad(c, a)
	l := arrays.Carried.Of(c, a)
	w := asce(c)
	if c.Stop() {
		return r
	}
	most := 0.0
	for _, area := range l.Loaded {
		most = math.Max(most, area)
	}
	in := structural.NewSeismic(sds, dead*most, importance, 1)
	if w.ByResonance() {
		if terms.Stated(c, s.ComponentCAR) {
			in.Resonance = terms.Peek(c, s.ComponentCAR)
		}
		if terms.Stated(c, s.ComponentStrength) {
			in.Strength = terms.Peek(c, s.ComponentStrength)
		}
	}
	var err error
	if r.force, err = w.SeismicForce(in); err != nil {
		c.Err(err)
	}
	return r
})
