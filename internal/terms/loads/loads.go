package loads

import (
	"math"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/layout"
	"plumbrule/internal/quantity"
	"plumbrule/internal/structural"
	"plumbrule/internal/table"
)

// defineStructural adds the loads on an array, what holds it down, and what it
// asks of the roof. Forces and pressures say their level; each rests on the
// adopted edition, which the worked lines name.
func defineStructural() {
	defineWind()
	defineDemand()
	defineCapacity()
	defineSnow()
	defineFraming()
	defineStated()
}

func defineWind() {
	derive("building", "velocity_pressure", measured(quantity.Pressure), "velocity pressure qh at the mean roof height, strength level (7-16 counts Kd in it, 7-22 does not)", "ASCE 7 26.10", "velocity-pressure",
		func(c *Call, _ *job.Building) any {
			c.Drive(c.m.Job.Site.WindSpeed.At)
			v := c.velocityPressure()
			if c.Stop() {
				return nil
			}
			c.Explain(chainWork(v.Work, c.loadStandard()), v.Refs)
			return v.Q
		})
	derive("plane", "zone_width", measured(quantity.Length), "width a of the edge zones of a sloped roof", "ASCE 7 Figure 30.3-1", "zone-width",
		func(c *Call, p *job.Plane) any {
			z := c.zoneWidth(c.Q(p.Slope))
			if c.Stop() {
				return nil
			}
			c.Explain(z.Work, z.Refs)
			return z.Edge
		})
	scope := func(name string, t Type, meaning string, value func(s *scopeState) any) {
		derive("array", name, t, meaning, "ASCE 7 29.4.3 and 29.4.4", "", func(c *Call, a *job.Array) any {
			c.Drive(a.Height.At)
			s := c.m.scope(a)
			if !c.take(s.needs) {
				return nil
			}
			c.Explain(nil, s.parallel.Refs)
			return value(s)
		})
	}
	scope("wind_scope", flag, "whether a prescriptive wind method reaches it: roof-parallel, or tilted on a low slope", func(s *scopeState) any { return s.method != noMethod })
	scope("wind_method", text, "the prescriptive wind method that reaches it", func(s *scopeState) any { return string(s.method) })
	scope("wind_scope_reasons", text, "every limit of the prescriptive wind methods that it is outside of", func(s *scopeState) any { return strings.Join(s.reasons, "; ") })
	scope("roof_parallel", flag, "whether the roof-parallel wind method reaches it", func(s *scopeState) any { return s.method == parallelMethod })

	derive("array", "module_uplift", measured(quantity.Pressure), "largest uplift pressure on any of its modules, each its own wind area; allowable level (0.6W), without the module's own weight", "ASCE 7 29.4.4", "array-pressure",
		func(c *Call, a *job.Array) any {
			w, state, ok := c.moduleWind(a, 0)
			if !ok {
				return nil
			}
			loads := state.loads
			c.Explain(chainWork(func(sys quantity.System) []string { return w.up.Work(state.code, loads, sys) }, state.editionLine), append(w.up.Refs(state.code, loads), state.refs...))
			return -state.code.Combinations().WindASD * w.up.UpliftPressure
		})
	derive("array", "module_down", measured(quantity.Pressure), "largest downward pressure on any of its modules, normal to it: dead load, snow and wind together; allowable level", "ASCE 7 2.4, chapter 7 and 29.4.4", "",
		func(c *Call, a *job.Array) any {
			g := c.m.gravity(a)
			if !c.take(g.needs) {
				return nil
			}
			w, state, ok := c.moduleWind(a, g.loads.Snow)
			if !ok {
				return nil
			}
			c.Explain(chainWork(g.snow.Work, func(sys quantity.System) []string { return w.down.Work(state.code, g.loads, sys) }, state.editionLine), append(w.down.Refs(state.code, g.loads), g.refs...))
			return w.down.DownASD / w.area
		})
}

// defineDemand adds what each foot must carry. The worked lines are made only
// when a report asks for them.
func defineDemand() {
	demand := func(name string, t Type, meaning, source string, value func(d *structural.Demand) any) {
		derive("attachment", name, t, meaning, source, "", func(c *Call, f *footMark) any {
			c.Drive(f.array.Attachments.Spacing.At)
			w, ok := c.windOf(f.array)
			if !ok {
				return nil
			}
			c.Explain(w.work(f.i), w.refsOf(f.i))
			return value(&w.demands[f.i])
		})
	}
	derive("attachment", "wind_zone", text, "wind zone of the roof that its tributary area touches; the severest of several", "ASCE 7 Figures 30.3-2 to 30.3-5", "roof-zone",
		func(c *Call, f *footMark) any {
			c.Drive(f.array.Attachments.Spacing.At)
			z := c.m.windZones(f.array)
			if !c.take(z.needs) {
				return nil
			}
			c.Explain(z.width.Work, append([]table.Ref{z.figure.Ref}, z.width.Refs...))
			return structural.ZoneName(z.feet[f.i])
		})
	demand("uplift_pressure", measured(quantity.Pressure), "net uplift pressure, strength level, not under the least pressure; as a positive number", "ASCE 7 29.4.4", func(d *structural.Demand) any { return -d.UpliftPressure })
	demand("edge_factor", number, "array edge factor gammaE for uplift", "ASCE 7 29.4.4", func(d *structural.Demand) any { return d.EdgeFactor })
	demand("uplift", measured(quantity.Force), "net uplift away from the roof, allowable level (0.6D + 0.6W); never under zero", "ASCE 7 2.4 and 29.4.4", func(d *structural.Demand) any { return math.Max(0, d.UpliftASD) })
	demand("dead_downslope", measured(quantity.Force), "dead load along the slope, unfactored", "statics", func(d *structural.Demand) any { return d.DeadDownslope })

	down := func(name, meaning, source string, value func(c *Call, f *footMark, d *structural.Demand) float64) {
		derive("attachment", name, measured(quantity.Force), meaning, source, "", func(c *Call, f *footMark) any {
			c.Drive(f.array.Attachments.Spacing.At)
			g := c.m.gravity(f.array)
			if !c.take(g.needs) {
				return nil
			}
			d, w := &g.demands[f.i], c.m.wind(f.array)
			c.Explain(chainWork(g.snow.Work, func(sys quantity.System) []string { return d.Work(w.code, g.loads, sys) }, w.editionLine), append(d.Refs(w.code, g.loads), g.refs...))
			return value(c, f, d)
		})
	}
	down("down_load", "load into the roof: dead load with balanced snow, with wind, or with both; allowable level", "ASCE 7 2.4", func(_ *Call, _ *footMark, d *structural.Demand) float64 { return d.DownASD })
	down("downslope_load", "load along the slope that governs its lateral capacity: dead load alone, or with snow; allowable level", "ASCE 7 2.4, statics", func(c *Call, f *footMark, d *structural.Demand) float64 {
		load, _ := c.downslope(f.array, d)
		return load
	})
	down("point_load", "vertical load on the framing under it: dead load and snow, allowable level", "ASCE 7 2.4", func(_ *Call, _ *footMark, d *structural.Demand) float64 { return d.PointASD })

	derive("attachment", "largest_spacing", measured(quantity.Length), "largest distance between feet in its zone that the loads allow for the widest strip and the largest edge factor of the array; zero where none does", "ASCE 7 29.4.4", "",
		func(c *Call, f *footMark) any {
			zone := Self[string](c, "wind_zone")
			rows := c.spacingTable(f.array)
			if c.Stop() {
				return nil
			}
			for _, r := range rows {
				if r.Zone == zone {
					return r.Limit
				}
			}
			return c.Fail("no spacing is known for zone %s", zone)
		})
	derive("attachment", "span_limit", measured(quantity.Length), "largest distance between attachments that the maker's letter allows in its zone and orientation", "maker's letter", "", spanLimit)

	worst := func(name string, t Type, meaning string, value func(d *structural.Demand) float64) {
		derive("array", name, t, meaning, "ASCE 7 29.4.3 and 29.4.4", "", func(c *Call, a *job.Array) any {
			w, ok := c.windOf(a)
			if !ok {
				return nil
			}
			i := w.worst(value)
			c.Explain(w.work(i), w.refsOf(i))
			return value(&w.demands[i])
		})
	}
	worst("largest_uplift", measured(quantity.Force), "largest net uplift of its feet, allowable level", func(d *structural.Demand) float64 { return math.Max(0, d.UpliftASD) })
	worst("largest_uplift_pressure", measured(quantity.Pressure), "largest uplift pressure on what any of its feet carries, strength level, as a positive number", func(d *structural.Demand) float64 { return -d.UpliftPressure })

	derive("array", "seismic_force", measured(quantity.Force), "horizontal seismic force of the mass on the foot that carries most, strength level", "ASCE 7 13.3.1", "seismic-force",
		func(c *Call, a *job.Array) any {
			c.Drive(c.m.Job.Site.SDS.At)
			r := c.seismic(a)
			if c.Stop() {
				return nil
			}
			c.Explain(chainWork(r.Work, c.loadStandard()), r.Refs)
			return r.Force
		})
}

// spanLimit looks a foot up in the maker's span table, by the wind zone's own
// name or the letter's word for it.
func spanLimit(c *Call, f *footMark) any {
	t, ok := c.m.Job.MountingOf(f.array)
	if !ok {
		c.Missing(f.array.Mounting.Key, f.array.Mounting.At)
		return nil
	}
	if len(t.ZoneSpans) == 0 {
		c.Drive(t.MaximumSpan.At)
		if !t.MaximumSpan.Known {
			return c.Q(t.MaximumSpan)
		}
		return t.MaximumSpan.Value.SI
	}
	zone, orientation := Self[string](c, "wind_zone"), Get(c, f.array.Orientation)
	limits := make([]layout.Limit, len(t.ZoneSpans))
	for i := range t.ZoneSpans {
		z := &t.ZoneSpans[i]
		limits[i] = layout.Limit{Zone: z.Zone.Value, Orientation: Get(c, z.Orientation), Span: c.Q(z.Span), Cantilever: stated(z.Cantilever)}
	}
	if c.Stop() {
		return nil
	}
	c.Drive(t.ZoneSpans[0].Span.At)
	const anyExposure = "" // the letter's rows are for the exposure of the job
	limit, err := layout.FindLimit(limits, zone, anyExposure, orientation)
	if err != nil {
		limit, err = layout.FindLimit(limits, layoutZone(zone), anyExposure, orientation)
	}
	if err != nil {
		return c.Err(err)
	}
	return limit.Span
}

func defineCapacity() {
	derive("array", "uplift_capacity", measured(quantity.Force), "allowable uplift of one of its feet: the least of its fasteners in the framing and the maker's rating", "NDS 12.2, AISI S100 J4.4, maker's test", "", upliftCapacity)
	derive("attachment", "uplift_capacity", measured(quantity.Force), "allowable uplift of the foot: the least of its fasteners in the framing and the maker's rating", "NDS 12.2, AISI S100 J4.4, maker's test", "",
		func(c *Call, f *footMark) any { return upliftCapacity(c, f.array) })
	derive("array", "capacity_mode", text, "what limits the uplift capacity of its feet", "NDS 12.2, AISI S100 J4.4, maker's test", "", func(c *Call, a *job.Array) any {
		s := c.m.capacity(a)
		if !c.take(s.upliftNeeds) {
			return nil
		}
		return s.uplift.Mode
	})
	derive("attachment", "lateral_capacity", measured(quantity.Force), "allowable load of the foot along the roof: the least of its fasteners in the framing and the maker's rating, for the duration of the governing load", "NDS 12.3, AISI S100 J4.3, maker's test", "",
		func(c *Call, f *footMark) any {
			g := c.m.gravity(f.array)
			if !c.take(g.needs) {
				return nil
			}
			_, duration := c.downslope(f.array, &g.demands[f.i])
			return lateralCapacity(c, f.array, duration)
		})
	derive("array", "lateral_capacity", measured(quantity.Force), "allowable load along the roof of one of its feet, for loads of permanent duration", "NDS 12.3, AISI S100 J4.3, maker's test", "",
		func(c *Call, a *job.Array) any { return lateralCapacity(c, a, "permanent") })
	derive("attachment", "combined_utilisation", measured(quantity.Ratio), "share of its fasteners' capacity that uplift and the dead load down the slope take together", "NDS 12.4.1, AISI S100 J4.5", "lag-combined",
		func(c *Call, f *footMark) any {
			c.Drive(f.array.Attachments.Fastener.At)
			w, ok := c.windOf(f.array)
			if !ok {
				return nil
			}
			d := &w.demands[f.i]
			u, work, refs := c.combined(f.array, d.UpliftASD, d.DeadDownslope)
			if c.Stop() {
				return nil
			}
			c.Explain(work, append(refs, w.refsOf(f.i)...))
			return u
		})

	lag := func(name string, t Type, meaning, source, calculator string, value func(c *Call, s *capacityState) any) {
		derive("array", name, t, meaning, source, calculator, func(c *Call, a *job.Array) any {
			s := c.m.capacity(a)
			if f, ok := c.m.Job.FastenerOf(a); ok {
				c.Drive(f.Length.At)
			}
			if !c.take(s.upliftNeeds) {
				return nil
			}
			return value(c, s)
		})
	}
	lag("lag_thread", measured(quantity.Length), "thread of its lag screws in the member that their length leaves past foot, covering and deck, without the tapered tip", "NDS 12.2.1, ANSI B18.2.1", "", func(c *Call, s *capacityState) any {
		if !s.hasThread {
			return lengthUnknown(c)
		}
		c.Explain(s.thread.Work, s.thread.Refs)
		return s.thread.Effective
	})
	lag("lag_penetration", measured(quantity.Length), "length of its lag screws in the member, without the tapered tip", "NDS 12.1.4", "", func(c *Call, s *capacityState) any {
		if !s.hasThread {
			return lengthUnknown(c)
		}
		c.Explain(s.thread.Work, s.thread.Refs)
		return s.thread.InMember - s.thread.Tip
	})
	lag("withdrawal_each", measured(quantity.Force), "allowable withdrawal of one of its wood fasteners, for wind", "NDS 12.2", "lag-withdrawal", func(c *Call, s *capacityState) any {
		if s.withdrawal.Allowable == 0 {
			return c.Fail("its feet have no wood fasteners")
		}
		c.Explain(s.upliftWork, s.uplift.Refs)
		return s.withdrawal.Each
	})
	place := func(name, meaning string, value func(p structural.Placement) float64) {
		derive("array", name, measured(quantity.Length), meaning, "NDS 12.5", "", func(c *Call, a *job.Array) any {
			f, _, _ := c.fastenerOf(a)
			diameter := c.Q(f.Diameter)
			n := c.nds()
			if c.Stop() {
				return nil
			}
			p, err := n.LagPlacement(diameter)
			if err != nil {
				return c.Err(err)
			}
			c.Explain(nil, p.Refs)
			return value(p)
		})
	}
	place("lag_edge_distance", "least distance of its lag screws, loaded in withdrawal, from the edge of the member", func(p structural.Placement) float64 { return p.Edge })
	place("lag_spacing", "least distance between its lag screws, loaded in withdrawal", func(p structural.Placement) float64 { return p.Spacing })
	derive("array", "screw_safety", number, "safety factor of screw connections in steel", "AISI S100 J4", "", func(c *Call, _ *job.Array) any {
		s := c.aisi()
		if c.Stop() {
			return nil
		}
		return s.Safety()
	})
	derive("plane", "species_gravity", number, "specific gravity assigned to the species of its framing", "NDS Table 12.3.3A", "", func(c *Call, p *job.Plane) any {
		n, species := c.nds(), Get(c, p.Framing.Species)
		if c.Stop() {
			return nil
		}
		g, ok := n.SpecificGravity(strings.ToLower(species))
		if !ok {
			return c.Fail("no specific gravity is known for %q", species)
		}
		return g
	})
	derive("plane", "gravity_stated", flag, "whether the specific gravity of its framing is stated", "the job", "", func(c *Call, p *job.Plane) any {
		c.Drive(p.Framing.Gravity.At)
		return p.Framing.Gravity.Known
	})
}

func lengthUnknown(c *Call) any {
	return c.Fail("the thread is stated without the length, the foot and the deck that the screw passes")
}

func upliftCapacity(c *Call, a *job.Array) any {
	c.Drive(a.Attachments.Fastener.At)
	s := c.m.capacity(a)
	if !c.take(s.upliftNeeds) {
		return nil
	}
	c.Explain(s.upliftWork, s.uplift.Refs)
	return s.uplift.Allowable
}

func lateralCapacity(c *Call, a *job.Array, duration string) any {
	c.Drive(a.Attachments.Fastener.At)
	s := c.m.lateral(a, duration)
	if !c.take(s.needs) {
		return nil
	}
	c.Explain(s.work, s.least.Refs)
	return s.least.Allowable
}

func defineSnow() {
	derive("plane", "roof_snow", measured(quantity.Pressure), "balanced roof snow load on the horizontal projection, allowable level of the adopted edition; not counted as slippery", "ASCE 7 7.3 and 7.4", "roof-snow",
		func(c *Call, p *job.Plane) any {
			c.Drive(c.m.Job.Site.GroundSnow.At)
			r := c.roofSnow(p)
			if c.Stop() {
				return nil
			}
			c.Explain(r.Work, r.Refs)
			return r.GoverningAllowable
		})
	derive("array", "unbalanced_down", measured(quantity.Force), "largest load into the roof at a foot with the unbalanced snow of a gable or hip roof all over the array; allowable level", "ASCE 7 7.6.1", "", unbalancedDown)
	derive("site", "snow_importance", number, "snow importance factor of the risk category; 1 in editions that have it in the ground snow map", "ASCE 7 Table 1.5-2", "", func(c *Call, s *job.Site) any {
		w, risk := c.asce(), Get(c, s.RiskCategory)
		if c.Stop() {
			return nil
		}
		if i, ok := w.SnowRisk(risk); ok {
			return i
		}
		return 1.0
	})
	derive("stated", "snow_factor_due", number, "load factor of snow alone in the combinations of the adopted edition, at the stated level", "ASCE 7 2.3 and 2.4", "", func(c *Call, s *job.Stated) any {
		w, level := c.asce(), Get(c, s.SnowLevel)
		if c.Stop() {
			return nil
		}
		if level == "strength" {
			return w.Combinations().SnowLRFD
		}
		return w.Combinations().SnowASD
	})
}

func unbalancedDown(c *Call, a *job.Array) any {
	c.Drive(c.m.Job.Site.GroundSnow.At)
	p := c.planeOf(a)
	r, run := c.roofSnow(p), c.snowRun(p)
	w, _ := c.windOf(a)
	if c.Stop() {
		return nil
	}
	u, err := w.code.UnbalancedSnow(r, run)
	if err != nil {
		return c.Err(err)
	}
	snow := math.Max(u.Windward, u.Leeward+u.Surcharge)
	demands, loads := c.withSnow(w, snow)
	if c.Stop() {
		return nil
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
	}, func(sys quantity.System) []string { return worst.Work(w.code, loads, sys) }, w.editionLine), append(append(u.Refs, r.Refs...), w.refs...))
	return worst.DownASD
}

func defineFraming() {
	derive("array", "dead_load", measured(quantity.Pressure), "weight of modules and mounting per area of the slope", "datasheets", "",
		func(c *Call, a *job.Array) any {
			d := c.deadLoad(a)
			if c.Stop() {
				return nil
			}
			if t, ok := c.m.Job.ModuleOf(a); ok {
				c.Drive(t.Weight.At)
			}
			c.Explain(func(sys quantity.System) []string {
				return []string{"modules over their area and mounting: " + show(sys, d, quantity.Pressure) + " of the slope"}
			}, nil)
			return d
		})
	derive("array", "framing_increase", measured(quantity.Ratio), "load that the array adds to a roof member, over the load without it; roof live load dropped under modules where the gap is small; never under zero", "IBC 1607, IEBC 503", "load-increase",
		func(c *Call, a *job.Array) any {
			c.Drive(c.m.Job.Building.RoofDeadLoad.At)
			f := c.framing(a)
			if c.Stop() {
				return nil
			}
			c.Explain(framingWork(f), nil)
			return math.Max(0, f.Increase)
		})
	derive("array", "gravity_screen", measured(quantity.Ratio), "share of added gravity load that asks for no check of existing framing", "IEBC 503.3", "load-increase",
		func(c *Call, a *job.Array) any {
			f, s := c.framing(a), c.screens()
			if c.Stop() {
				return nil
			}
			r, err := s.GravityIncrease(f.Without, math.Max(0, f.With-f.Without))
			if err != nil {
				return c.Err(err)
			}
			c.Explain(func(quantity.System) []string { return r.Work() }, r.Refs)
			return r.Screen
		})
	derive("building", "lateral_increase", measured(quantity.Ratio), "weight of all arrays over the dead load of the roof alone, as a share of added seismic weight; walls are not counted, which is the safe side", "IEBC 503.4", "load-increase",
		func(c *Call, b *job.Building) any {
			c.Drive(b.RoofDeadLoad.At)
			r := c.lateralIncrease(b)
			if c.Stop() {
				return nil
			}
			c.Explain(func(quantity.System) []string { return r.Work() }, r.Refs)
			return r.Share
		})
	derive("building", "lateral_screen", measured(quantity.Ratio), "share of added lateral demand that asks for no check of an existing building", "IEBC 503.4", "",
		func(c *Call, b *job.Building) any {
			r := c.lateralIncrease(b)
			if c.Stop() {
				return nil
			}
			return r.Screen
		})
	derive("plane", "framing_missing", text, "what the roof plan leaves out of its framing; empty when all is there", "IRC R324.4.1", "",
		func(c *Call, p *job.Plane) any {
			c.Drive(p.Framing.Member.At)
			return framingMissing(p, &c.m.Job.Building)
		})
	derive("submittal", "sealed_letter", flag, "whether a sealed structural letter is among its papers", "the job", "",
		func(c *Call, j *job.Job) any {
			sealed := c.sealedLetter(j)
			if c.Stop() {
				return nil
			}
			return sealed
		})
}

func (c *Call) lateralIncrease(b *job.Building) structural.LoadIncrease {
	dead := c.Q(b.RoofDeadLoad)
	roof := c.geometry()
	added := 0.0
	for i := range c.m.Job.Arrays {
		a := &c.m.Job.Arrays[i]
		l := c.laidOut(a)
		if d := c.deadLoad(a); !c.Stop() {
			added += d * l.array.Area()
		}
	}
	s := c.screens()
	if c.Stop() {
		return structural.LoadIncrease{}
	}
	existing := 0.0
	for i := range roof.roof.Len() {
		existing += dead * roof.roof.SurfaceArea(i)
	}
	r, err := s.LateralIncrease(existing, added)
	if err != nil {
		c.Err(err)
	}
	return r
}
