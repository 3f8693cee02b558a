// Package loads is the vocabulary of the structure: wind, snow, weight and
// earthquake on each foot, and what its fasteners and the framing carry. Package
// structural computes it.
package loads

import (
	"math"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/layout"
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

var _ = terms.Derive(arrayKind, "module_uplift", terms.Quantity(quantity.Pressure), "largest uplift pressure on any of its modules, each its own wind area; allowable level (0.6W), without the module's own weight", "ASCE 7 29.4.4", "array-pressure",
	func(c *terms.Call, a *job.Array) float64 {
		w, state, ok := windOnModules(c, a, 0)
		if !ok {
			return 0
		}
		loads := state.loads
		c.Explain(chainWork(func(sys quantity.System) []string { return w.up.Work(state.code, loads, sys) }, state.editionLine), w.up.Refs(state.code, loads))
		return -state.code.Combinations().WindASD * w.up.UpliftPressure
	})

var _ = terms.Derive(arrayKind, "module_down", terms.Quantity(quantity.Pressure), "largest downward pressure on any of its modules, normal to it: dead load, snow and wind together; allowable level", "ASCE 7 2.4, chapter 7 and 29.4.4", "",
	func(c *terms.Call, a *job.Array) float64 {
		g := downOn.Of(c, a)
		if c.Stop() {
			return 0
		}
		w, state, ok := windOnModules(c, a, g.loads.Snow)
		if !ok {
			return 0
		}
		c.Explain(chainWork(g.snow.Work, func(sys quantity.System) []string { return w.down.Work(state.code, g.loads, sys) }, state.editionLine), w.down.Refs(state.code, g.loads))
		return w.down.DownASD / w.area
	})

// ofDemand declares a term of a foot that follows from the wind on it.
func ofDemand[V any](name string, t terms.TypeOf[V], meaning, source string, value func(d *structural.Demand) V) terms.TermOf[arrays.Foot, V] {
	return terms.Derive(arrays.Attachment, name, t, meaning, source, "", func(c *terms.Call, f *arrays.Foot) V {
		terms.Drive(c, f.Array.Attachments.Spacing)
		w, ok := windOf(c, f.Array)
		if !ok {
			var none V
			return none
		}
		c.Explain(w.work(f.I), w.refsOf(f.I))
		return value(&w.demands[f.I])
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
		return structural.ZoneName(z.feet[f.I])
	})

var _ = ofDemand("uplift_pressure", terms.Quantity(quantity.Pressure), "net uplift pressure, strength level, not under the least pressure; as a positive number", "ASCE 7 29.4.4", func(d *structural.Demand) float64 { return -d.UpliftPressure })

var _ = ofDemand("edge_factor", terms.PlainNumber, "array edge factor gammaE for uplift", "ASCE 7 29.4.4", func(d *structural.Demand) float64 { return d.EdgeFactor })

var AttachmentUplift = ofDemand("uplift", terms.Quantity(quantity.Force), "net uplift away from the roof, allowable level (0.6D + 0.6W); never under zero", "ASCE 7 2.4 and 29.4.4", func(d *structural.Demand) float64 { return math.Max(0, d.UpliftASD) })

var _ = ofDemand("dead_downslope", terms.Quantity(quantity.Force), "dead load along the slope, unfactored", "statics", func(d *structural.Demand) float64 { return d.DeadDownslope })

// ofDown declares a force on a foot that follows from its downward demand.
func ofDown(name, meaning, source string, value func(c *terms.Call, f *arrays.Foot, d *structural.Demand) float64) terms.TermOf[arrays.Foot, float64] {
	return terms.Derive(arrays.Attachment, name, terms.Quantity(quantity.Force), meaning, source, "", func(c *terms.Call, f *arrays.Foot) float64 {
		terms.Drive(c, f.Array.Attachments.Spacing)
		g, w := downOn.Of(c, f.Array), Wind.Of(c, f.Array)
		if c.Stop() {
			return 0
		}
		d := &g.demands[f.I]
		c.Explain(chainWork(g.snow.Work, func(sys quantity.System) []string { return d.Work(w.code, g.loads, sys) }, w.editionLine), d.Refs(w.code, g.loads))
		return value(c, f, d)
	})
}

var _ = ofDown("down_load", "load into the roof: dead load with balanced snow, with wind, or with both; allowable level", "ASCE 7 2.4", func(_ *terms.Call, _ *arrays.Foot, d *structural.Demand) float64 { return d.DownASD })

var _ = ofDown("downslope_load", "load along the slope that governs its lateral capacity: dead load alone, or with snow; allowable level", "ASCE 7 2.4, statics", func(c *terms.Call, f *arrays.Foot, d *structural.Demand) float64 {
	load, _ := downslope(c, f.Array, d)
	return load
})

var _ = ofDown("point_load", "vertical load on the framing under it: dead load and snow, allowable level", "ASCE 7 2.4", func(_ *terms.Call, _ *arrays.Foot, d *structural.Demand) float64 { return d.PointASD })

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

// ofWorst declares a term of an array that is the largest of its feet's.
func ofWorst(name string, t terms.TypeOf[float64], meaning string, value func(d *structural.Demand) float64) terms.TermOf[job.Array, float64] {
	return terms.Derive(arrayKind, name, t, meaning, "ASCE 7 29.4.3 and 29.4.4", "", func(c *terms.Call, a *job.Array) float64 {
		w, ok := windOf(c, a)
		if !ok {
			return 0
		}
		i := w.worst(value)
		c.Explain(w.work(i), w.refsOf(i))
		return value(&w.demands[i])
	})
}

var arrayLargestUplift = ofWorst("largest_uplift", terms.Quantity(quantity.Force), "largest net uplift of its feet, allowable level", func(d *structural.Demand) float64 { return math.Max(0, d.UpliftASD) })

var _ = ofWorst("largest_uplift_pressure", terms.Quantity(quantity.Pressure), "largest uplift pressure on what any of its feet carries, strength level, as a positive number", func(d *structural.Demand) float64 { return -d.UpliftPressure })

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

// spanLimit looks a foot up in the maker's span table, by the wind zone's own
// name or the letter's word for it.
func spanLimit(c *terms.Call, f *arrays.Foot) float64 {
	t, ok := terms.Seek(c, mountingTypeKind, f.Array.Mounting)
	if !ok {
		c.Missing(f.Array.Mounting.Key, f.Array.Mounting.At)
		return 0
	}
	if len(t.ZoneSpans) == 0 {
		terms.Drive(c, t.MaximumSpan)
		if !terms.Stated(c, t.MaximumSpan) {
			return c.Q(t.MaximumSpan)
		}
		return terms.Peek(c, t.MaximumSpan).SI
	}
	zone, orientation := AttachmentWindZone.Of(c, f), terms.Get(c, f.Array.Orientation)
	limits := make([]layout.Limit, len(t.ZoneSpans))
	for i := range t.ZoneSpans {
		z := &t.ZoneSpans[i]
		limits[i] = layout.Limit{Zone: terms.Peek(c, z.Zone), Orientation: terms.Get(c, z.Orientation), Span: c.Q(z.Span), Cantilever: arrays.WhereStated(c, z.Cantilever)}
	}
	if c.Stop() {
		return 0
	}
	terms.Drive(c, t.ZoneSpans[0].Span)
	const anyExposure = "" // the letter's rows are for the exposure of the job
	limit, err := layout.FindLimit(limits, zone, anyExposure, orientation)
	if err != nil {
		limit, err = layout.FindLimit(limits, layoutZone(zone), anyExposure, orientation)
	}
	if err != nil {
		c.Err(err)
		return 0
	}
	return limit.Span
}

var arrayUpliftCapacity = terms.Derive(arrayKind, "uplift_capacity", terms.Quantity(quantity.Force), "allowable uplift of one of its feet: the least of its fasteners in the framing and the maker's rating", "NDS 12.2, AISI S100 J4.4, maker's test", "", upliftCapacity)

var AttachmentUpliftCapacity = terms.Derive(arrays.Attachment, "uplift_capacity", terms.Quantity(quantity.Force), "allowable uplift of the foot: the least of its fasteners in the framing and the maker's rating", "NDS 12.2, AISI S100 J4.4, maker's test", "",
	func(c *terms.Call, f *arrays.Foot) float64 { return upliftCapacity(c, f.Array) })

var _ = terms.Derive(arrayKind, "capacity_mode", terms.Word, "what limits the uplift capacity of its feet", "NDS 12.2, AISI S100 J4.4, maker's test", "", func(c *terms.Call, a *job.Array) string {
	s := holds.Of(c, a)
	if c.Stop() {
		return ""
	}
	return s.uplift.Mode
})

var _ = terms.Derive(arrays.Attachment, "lateral_capacity", terms.Quantity(quantity.Force), "allowable load of the foot along the roof: the least of its fasteners in the framing and the maker's rating, for the duration of the governing load", "NDS 12.3, AISI S100 J4.3, maker's test", "",
	func(c *terms.Call, f *arrays.Foot) float64 {
		g := downOn.Of(c, f.Array)
		if c.Stop() {
			return 0
		}
		_, duration := downslope(c, f.Array, &g.demands[f.I])
		return lateralCapacity(c, f.Array, duration)
	})

var _ = terms.Derive(arrayKind, "lateral_capacity", terms.Quantity(quantity.Force), "allowable load along the roof of one of its feet, for loads of permanent duration", "NDS 12.3, AISI S100 J4.3, maker's test", "",
	func(c *terms.Call, a *job.Array) float64 { return lateralCapacity(c, a, "permanent") })

var _ = terms.Derive(arrays.Attachment, "combined_utilisation", terms.Quantity(quantity.Ratio), "share of its fasteners' capacity that uplift and the dead load down the slope take together", "NDS 12.4.1, AISI S100 J4.5", "lag-combined",
	func(c *terms.Call, f *arrays.Foot) float64 {
		terms.Drive(c, f.Array.Attachments.Fastener)
		w, ok := windOf(c, f.Array)
		if !ok {
			return 0
		}
		d := &w.demands[f.I]
		u, work, refs := combined(c, f.Array, d.UpliftASD, d.DeadDownslope)
		if c.Stop() {
			return 0
		}
		c.Explain(work, append(refs, w.refsOf(f.I)...))
		return u
	})

// ofFasteners declares a term of an array that follows from what its feet hold.
func ofFasteners(name string, t terms.TypeOf[float64], meaning, source, calculator string, value func(c *terms.Call, s *capacityState) float64) terms.TermOf[job.Array, float64] {
	return terms.Derive(arrayKind, name, t, meaning, source, calculator, func(c *terms.Call, a *job.Array) float64 {
		s := holds.Of(c, a)
		if f, ok := terms.Seek(c, fastenerTypeKind, a.Attachments.Fastener); ok {
			terms.Drive(c, f.Length)
		}
		if c.Stop() {
			return 0
		}
		return value(c, s)
	})
}

var _ = ofFasteners("lag_thread", terms.Quantity(quantity.Length), "thread of its lag screws in the member that their length leaves past foot, covering and deck, without the tapered tip", "NDS 12.2.1, ANSI B18.2.1", "", func(c *terms.Call, s *capacityState) float64 {
	if !s.hasThread {
		return lengthUnknown(c)
	}
	c.Explain(s.thread.Work, s.thread.Refs)
	return s.thread.Effective
})

var _ = ofFasteners("lag_penetration", terms.Quantity(quantity.Length), "length of its lag screws in the member, without the tapered tip", "NDS 12.1.4", "", func(c *terms.Call, s *capacityState) float64 {
	if !s.hasThread {
		return lengthUnknown(c)
	}
	c.Explain(s.thread.Work, s.thread.Refs)
	return s.thread.InMember - s.thread.Tip
})

var _ = ofFasteners("withdrawal_each", terms.Quantity(quantity.Force), "allowable withdrawal of one of its wood fasteners, for wind", "NDS 12.2", "lag-withdrawal", func(c *terms.Call, s *capacityState) float64 {
	if s.withdrawal.Allowable == 0 {
		c.Fail("its feet have no wood fasteners")
		return 0
	}
	c.Explain(s.upliftWork, s.uplift.Refs)
	return s.withdrawal.Each
})

// ofPlacement declares a least distance of the lag screws of an array.
func ofPlacement(name, meaning string, value func(p structural.Placement) float64) terms.TermOf[job.Array, float64] {
	return terms.Derive(arrayKind, name, terms.Quantity(quantity.Length), meaning, "NDS 12.5", "", func(c *terms.Call, a *job.Array) float64 {
		f, _, _ := fastenerOf(c, a)
		diameter := c.Q(f.Diameter)
		n := nds(c)
		if c.Stop() {
			return 0
		}
		p, err := n.LagPlacement(diameter)
		if err != nil {
			c.Err(err)
			return 0
		}
		c.Explain(nil, p.Refs)
		return value(p)
	})
}

var _ = ofPlacement("lag_edge_distance", "least distance of its lag screws, loaded in withdrawal, from the edge of the member", func(p structural.Placement) float64 { return p.Edge })

var _ = ofPlacement("lag_spacing", "least distance between its lag screws, loaded in withdrawal", func(p structural.Placement) float64 { return p.Spacing })

var _ = terms.Derive(arrayKind, "screw_safety", terms.PlainNumber, "safety factor of screw connections in steel", "AISI S100 J4", "", func(c *terms.Call, _ *job.Array) float64 {
	s := aisi(c)
	if c.Stop() {
		return 0
	}
	return s.Safety()
})

var _ = terms.Derive(planeKind, "species_gravity", terms.PlainNumber, "specific gravity assigned to the species of its framing", "NDS Table 12.3.3A", "", func(c *terms.Call, p *job.Plane) float64 {
	n, species := nds(c), terms.Get(c, p.Framing.Species)
	if c.Stop() {
		return 0
	}
	g, ok := n.SpecificGravity(strings.ToLower(species))
	if !ok {
		c.Fail("no specific gravity is known for %q", species)
		return 0
	}
	return g
})

func lengthUnknown(c *terms.Call) float64 {
	c.Fail("the thread is stated without the length, the foot and the deck that the screw passes")
	return 0
}

func upliftCapacity(c *terms.Call, a *job.Array) float64 {
	terms.Drive(c, a.Attachments.Fastener)
	s := holds.Of(c, a)
	if c.Stop() {
		return 0
	}
	c.Explain(s.upliftWork, s.uplift.Refs)
	return s.uplift.Allowable
}

func lateralCapacity(c *terms.Call, a *job.Array, duration string) float64 {
	terms.Drive(c, a.Attachments.Fastener)
	s := holdsAlong.Of(c, a, duration)
	if c.Stop() {
		return 0
	}
	c.Explain(s.work, s.least.Refs)
	return s.least.Allowable
}

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
	demands, loads := withSnow(c, w, snow)
	if c.Stop() {
		return 0
	}
	worst := demands[0]
	for _, d := range demands {
		if d.DownASD > worst.DownASD {
			worst = d
		}
	}
	c.Explain(chainWork(r.Work, func(sys quantity.System) []string {
		return []string{"unbalanced: leeward " + show(sys, u.Leeward, quantity.Pressure) + " with " + show(sys, u.Surcharge, quantity.Pressure) + " more within " +
			show(sys, u.Reach, quantity.Length) + " of the ridge; taken over the whole array"}
	}, func(sys quantity.System) []string { return worst.Work(w.code, loads, sys) }, w.editionLine), append(u.Refs, r.Refs...))
	return worst.DownASD
}

var arrayDeadLoad = terms.Derive(arrayKind, "dead_load", terms.Quantity(quantity.Pressure), "weight of modules and mounting per area of the slope", "datasheets", "",
	func(c *terms.Call, a *job.Array) float64 {
		d := deadLoad(c, a)
		if c.Stop() {
			return 0
		}
		if t, ok := terms.Seek(c, moduleTypeKind, a.Module); ok {
			terms.Drive(c, t.Weight)
		}
		c.Explain(func(sys quantity.System) []string {
			return []string{"modules over their area and mounting: " + show(sys, d, quantity.Pressure) + " of the slope"}
		}, nil)
		return d
	})

var _ = terms.Derive(arrayKind, "framing_increase", terms.Quantity(quantity.Ratio), "load that the array adds to a roof member, over the load without it; roof live load dropped under modules where the gap is small; never under zero", "IBC 1607, IEBC 503", "load-increase",
	func(c *terms.Call, a *job.Array) float64 {
		terms.Drive(c, c.Job().Building.RoofDeadLoad)
		f := framing(c, a)
		if c.Stop() {
			return 0
		}
		c.Explain(framingWork(f), nil)
		return math.Max(0, f.Increase)
	})

var _ = terms.Derive(arrayKind, "gravity_screen", terms.Quantity(quantity.Ratio), "share of added gravity load that asks for no check of existing framing", "IEBC 503.3", "load-increase",
	func(c *terms.Call, a *job.Array) float64 {
		f, s := framing(c, a), screens(c)
		if c.Stop() {
			return 0
		}
		r, err := s.GravityIncrease(f.Without, math.Max(0, f.With-f.Without))
		if err != nil {
			c.Err(err)
			return 0
		}
		c.Explain(func(quantity.System) []string { return r.Work() }, r.Refs)
		return r.Screen
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

var _ = terms.Derive(planeKind, "framing_missing", terms.Word, "what the roof plan leaves out of its framing; empty when all is there", "IRC R324.4.1", "",
	func(c *terms.Call, p *job.Plane) string {
		terms.Drive(c, p.Framing.Member)
		return framingMissing(c, p, &c.Job().Building)
	})

var _ = terms.Derive(submittalKind, "sealed_letter", terms.YesNo, "whether a sealed structural letter is among its papers", "the job", "",
	func(c *terms.Call, j *job.Job) bool {
		sealed := sealedLetter(c, j)
		if c.Stop() {
			return false
		}
		return sealed
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
