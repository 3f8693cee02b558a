package loads

import (
	"math"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/structural"
	"plumbrule/internal/table"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/arrays"
	"plumbrule/internal/terms/roofs"
)

var _ = terms.Derive(buildingKind, "velocity_pressure", terms.Quantity(quantity.Pressure), "velocity pressure qh at the mean roof height, strength level (7-16 counts Kd in it, 7-22 does not)", "ASCE 7 26.10", "velocity-pressure",
	func(c *terms.Call, b *job.Building) float64 {
		terms.Drive(c, c.Job().Site.WindSpeed)
		v := velocityPressure(c)
		if c.Stop() {
			return 0
		}
		c.Explain(chainWork(roofs.MeanRoofHeight.Work(c, b), v.Work, loadStandard(c)), v.Refs)
		return v.Q
	})

var _ = terms.Derive(planeKind, "zone_width", terms.Quantity(quantity.Length), "width a of the edge zones of a sloped roof", "ASCE 7 Figure 30.3-1", "zone-width",
	func(c *terms.Call, p *job.Plane) float64 {
		z := ZoneWidth(c, c.Q(p.Slope))
		if c.Stop() {
			return 0
		}
		c.Explain(chainWork(roofs.DrawnWork(c), z.Work), z.Refs)
		return z.Edge
	})

// ofScope declares a term that follows from which wind method reaches an array.
func ofScope[V any](name string, t terms.TypeOf[V], meaning string, value func(s *scopeState) V) terms.TermOf[job.Array, V] {
	return terms.Derive(arrayKind, name, t, meaning, "ASCE 7 29.4.3 and 29.4.4", "", func(c *terms.Call, a *job.Array) V {
		terms.Drive(c, a.Height)
		s := windScope.Of(c, a)
		if c.Stop() {
			var none V
			return none
		}
		c.Explain(nil, s.parallel.Refs)
		return value(s)
	})
}

var _ = ofScope("wind_scope", terms.YesNo, "whether a prescriptive wind method reaches it: roof-parallel, or tilted on a low slope", func(s *scopeState) bool { return s.method != noMethod })

var _ = ofScope("wind_method", terms.Word, "the prescriptive wind method that reaches it", func(s *scopeState) string { return string(s.method) })

var _ = ofScope("wind_scope_reasons", terms.Word, "every limit of the prescriptive wind methods that it is outside of", func(s *scopeState) string { return strings.Join(s.reasons, "; ") })

var _ = ofScope("roof_parallel", terms.YesNo, "whether the roof-parallel wind method reaches it", func(s *scopeState) bool { return s.method == parallelMethod })

var windSettled = terms.Derive(arrayKind, "wind_settled", terms.YesNo, "whether a prescriptive wind method or an engineer's sealed calculation gives the wind on it, so that it is not only bounded", "ASCE 7 29.4.3 and 29.4.4", "", func(c *terms.Call, a *job.Array) bool {
	s := windScope.Of(c, a)
	if c.Stop() {
		return false
	}
	if s.method == noMethod && !s.parallel.GapsWide { // the gap that the maker asks for may be wide enough
		arrays.GapDeparture.Try(c, a)
	}
	return s.method != noMethod || windEngineered.Of(c, a)
})

var _ = terms.Derive(arrayKind, "module_wind_given", terms.YesNo, "whether no wind method reaches it and an engineer's sealed calculation gives the wind on its modules", "the job", "", func(c *terms.Call, a *job.Array) bool {
	w := Wind.Of(c, a)
	return !c.Stop() && w.given != nil
})

// moduleUplift declares the uplift on the modules of an array by one reading.
func moduleUplift(name, meaning string, pick func(safe, lenient []structural.Attachment) []structural.Attachment) terms.TermOf[job.Array, float64] {
	return terms.Derive(arrayKind, name, terms.Quantity(quantity.Pressure), meaning, "ASCE 7 29.4.4", "array-pressure", func(c *terms.Call, a *job.Array) float64 {
		w, _ := windOf(c, a)
		l := arrays.Modules.Of(c, a)
		if c.Stop() {
			return 0
		}
		d, _ := worstModule(c, w, pick(w.modulesUnder(l)), nil, false, func(d *structural.Demand) float64 { return -d.UpliftPressure })
		if c.Stop() {
			return 0
		}
		c.Explain(w.work(d, 0), w.refsOf(d))
		return -w.code.Combinations().WindASD * d.UpliftPressure
	})
}

var _ = moduleUplift("module_uplift", "largest uplift pressure on any of its modules, each its own wind area, by the safe reading of exposed rows, by the bound, or by a sealed calculation; allowable level (0.6W), without the module's own weight", func(safe, _ []structural.Attachment) []structural.Attachment { return safe })

var _ = moduleUplift("module_uplift_certain", "the same with ridges and hips taken as edges of the roof, which shelters most", func(_, lenient []structural.Attachment) []structural.Attachment { return lenient })

// ofDemand declares a term of a foot that follows from the wind on it.
func ofDemand[V any](name string, t terms.TypeOf[V], meaning, source string, value func(d *structural.Demand) V) terms.TermOf[arrays.Foot, V] {
	return terms.Derive(arrays.Attachment, name, t, meaning, source, "", func(c *terms.Call, f *arrays.Foot) V {
		terms.Drive(c, f.Array.Attachments.Spacing)
		w, ok := windOf(c, f.Array)
		if !ok {
			var none V
			return none
		}
		d := &w.demands[f.I]
		c.Explain(w.work(d, 0), w.refsOf(d))
		return value(d)
	})
}

var AttachmentWindZone = terms.Derive(arrays.Attachment, "wind_zone", terms.Word, "wind zone of the roof that its tributary area touches; the severest of several", "ASCE 7 Figures 30.3-2 to 30.3-5", "roof-zone",
	func(c *terms.Call, f *arrays.Foot) string {
		terms.Drive(c, f.Array.Attachments.Spacing)
		z := zonesOf.Of(c, f.Array)
		if c.Stop() {
			return ""
		}
		c.Explain(z.width.Work, append([]table.Ref{z.figure.Ref}, z.width.Refs...))
		return structural.ZoneName(z.feet[f.I].figure)
	})

var _ = ofDemand("uplift_pressure", terms.Quantity(quantity.Pressure), "net uplift pressure, strength level, not under the least pressure; as a positive number", "ASCE 7 29.4.4", func(d *structural.Demand) float64 { return -d.UpliftPressure })

var _ = ofDemand("edge_factor", terms.PlainNumber, "array edge factor gammaE for uplift, with the distance to the edge of the building taken past ridges and hips: the safe reading", "ASCE 7 29.4.4", func(d *structural.Demand) float64 { return d.EdgeFactor })

var _ = terms.Derive(arrays.Attachment, "edge_factor_certain", terms.PlainNumber, "array edge factor gammaE for uplift with ridges and hips taken as edges of the roof: the lenient reading", "ASCE 7 29.4.4", "", func(c *terms.Call, f *arrays.Foot) float64 {
	terms.Drive(c, f.Array.Attachments.Spacing)
	w, ok := windOf(c, f.Array)
	if !ok {
		return 0
	}
	return w.certain[f.I].EdgeFactor
})

// footUplift is the net uplift of one foot, by the safe reading or by what every
// reading asks. A sealed calculation of the wind settles between the readings,
// and takes the place of the bound.
func footUplift(c *terms.Call, f *arrays.Foot, certain bool) float64 {
	w, ok := windOf(c, f.Array)
	if !ok {
		return 0
	}
	d := &w.demands[f.I]
	if certain || w.sealed != nil {
		d = &w.certain[f.I]
	}
	uplift := math.Max(0, d.UpliftASD)
	if w.sealed == nil {
		c.Explain(w.work(d, 0), w.refsOf(d))
		return uplift
	}
	stated := most(c, w.sealed, func(e *job.Engineered) job.Quantity { return e.Uplift })
	if c.Stop() {
		return 0
	}
	if w.method == noMethod || stated > uplift {
		c.Explain(func(sys quantity.System) []string {
			return []string{"by the sealed calculation of the wind: " + show(sys, stated, quantity.Force) + " on one foot (allowable level)"}
		}, nil)
		return stated
	}
	c.Explain(w.work(d, 0), w.refsOf(d))
	return uplift
}

func ofUplift(name, meaning string, certain bool) terms.TermOf[arrays.Foot, float64] {
	return terms.Derive(arrays.Attachment, name, terms.Quantity(quantity.Force), meaning, "ASCE 7 2.4 and 29.4.4", "", func(c *terms.Call, f *arrays.Foot) float64 {
		terms.Drive(c, f.Array.Attachments.Spacing)
		arrays.LoadedArea.Of(c, f)
		return footUplift(c, f, certain)
	})
}

var AttachmentUplift = ofUplift("uplift", "net uplift away from the roof, allowable level (0.6D + 0.6W), by the safe reading of exposed rows, outside of every method its bound, or by a sealed calculation; never under zero", false)

var AttachmentUpliftCertain = ofUplift("uplift_certain", "net uplift by the lenient reading of exposed rows, in which ridges and hips are edges of the roof, or by a sealed calculation; outside of every method its bound", true)

var _ = ofDemand("dead_downslope", terms.Quantity(quantity.Force), "dead load along the slope, unfactored", "statics", func(d *structural.Demand) float64 { return d.DeadDownslope })

var _ = terms.Derive(arrays.Attachment, "largest_spacing", terms.Quantity(quantity.Length), "largest distance between feet in its zone that the loads allow for the widest strip and the largest edge factor of the array; zero where none does", "ASCE 7 29.4.4", "",
	func(c *terms.Call, f *arrays.Foot) float64 {
		zone := AttachmentWindZone.Of(c, f)
		rows := spacings.Of(c, f.Array)
		if c.Stop() {
			return 0
		}
		for _, r := range rows {
			if r.Zone == zone {
				return r.Limit
			}
		}
		c.Fail("no spacing is known for zone %s", zone)
		return 0
	})

var _ = terms.Derive(arrays.Attachment, "span_limit", terms.Quantity(quantity.Length), "largest distance between attachments that the maker's letter allows in its zone and orientation", "maker's letter", "", spanLimit)

// heaviest is the foot of an array with the largest net uplift by the safe
// reading.
func (w *windState) heaviest() int {
	return worst(w.demands, func(d *structural.Demand) float64 { return d.UpliftASD })
}

var arrayLargestUplift = terms.Derive(arrayKind, "largest_uplift", terms.Quantity(quantity.Force), "largest net uplift of its feet, allowable level, by the safe reading, the bound, or a sealed calculation", "ASCE 7 29.4.3 and 29.4.4", "", func(c *terms.Call, a *job.Array) float64 {
	w, ok := windOf(c, a)
	if !ok {
		return 0
	}
	return footUplift(c, &arrays.Foot{Array: a, I: w.heaviest()}, false)
})

var _ = terms.Derive(arrayKind, "largest_uplift_pressure", terms.Quantity(quantity.Pressure), "uplift pressure on what the foot with the largest net uplift carries, strength level, as a positive number", "ASCE 7 29.4.3 and 29.4.4", "", func(c *terms.Call, a *job.Array) float64 {
	w, ok := windOf(c, a)
	if !ok {
		return 0
	}
	d := &w.demands[w.heaviest()]
	c.Explain(w.work(d, 0), w.refsOf(d))
	return -d.UpliftPressure
})
