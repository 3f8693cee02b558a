package loads

import (
	"fmt"
	"math"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/roofplan"
	"plumbrule/internal/structural"
	"plumbrule/internal/table"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/arrays"
	"plumbrule/internal/terms/roofs"
)

// ballasted reports whether an array is held on the roof by its weight alone.
func ballasted(c *terms.Call, a *job.Array) bool {
	t, ok := terms.Seek(c, mountingTypeKind, a.Mounting)
	return ok && terms.Stated(c, t.Kind) && terms.Peek(c, t.Kind) == "ballast"
}

// displacement is how far unattached arrays slide on the building.
var displacement = terms.Analyse(submittalKind, "displacement of unattached arrays", func(c *terms.Call, j *job.Job) structural.Displacement {
	sds, risk := terms.Get(c, j.Site.SDS), riskCategory.Of(c, &j.Site)
	w := asce(c)
	if c.Stop() {
		return structural.Displacement{}
	}
	importance, _, refs, err := w.Importance(risk)
	if err != nil {
		c.Err(err)
		return structural.Displacement{}
	}
	d, err := w.Displacement(sds, importance)
	if err != nil {
		c.Err(err)
	}
	d.Refs = append(d.Refs, refs...)
	return d
})

// room declares what an unattached array has to be away from something.
func room(name, meaning string, value func(d *structural.Displacement) float64) terms.TermOf[job.Array, float64] {
	return terms.Derive(arrayKind, name, terms.Quantity(quantity.Length), meaning, "ASCE 7 13.6.12", "ballast-displacement", func(c *terms.Call, _ *job.Array) float64 {
		terms.Drive(c, c.Job().Site.SDS)
		d := displacement.Of(c, c.Job())
		if c.Stop() {
			return 0
		}
		c.Explain(chainWork(d.Work, loadStandard(c)), d.Refs)
		return value(&d)
	})
}

var (
	_ = room("ballast_displacement", "how far it may slide in an earthquake where its weight alone holds it", func(d *structural.Displacement) float64 { return d.Distance })
	_ = room("room_to_edge", "room that it needs to an edge without a parapet where its weight alone holds it", func(d *structural.Displacement) float64 { return d.Edge })
	_ = room("room_to_fixed", "room that it needs to what is fixed, and to an edge with a parapet, where its weight alone holds it", func(d *structural.Displacement) float64 { return d.Fixed })
	_ = room("room_to_array", "room that it needs to another array that its weight alone holds, where its own does", func(d *structural.Displacement) float64 { return d.Array })
)

// What an array that slides comes to: an edge that it falls over, or something
// that it runs against.

// openKinds and stopKinds part the ends of a roof. A parapet stops an array where it is high enough.
func openKinds(c *terms.Call) (open, stop []roofplan.EdgeKind) {
	open, stop = []roofplan.EdgeKind{roofplan.Eave, roofplan.HighEave, roofplan.Rake, roofplan.Step}, []roofplan.EdgeKind{roofplan.Wall}
	s, w := roofs.Geometry.Of(c, c.Job()), asce(c)
	if c.Stop() {
		return nil, nil
	}
	parapets := false
	for i := range s.Roof.Len() {
		for _, e := range s.Roof.Edges(i) {
			parapets = parapets || e.Kind == roofplan.Parapet
		}
	}
	if !parapets {
		return open, stop
	}
	height := roofs.ParapetHeight.Of(c, &c.Job().Building)
	if !c.Stop() && w.QualifyingParapet(height) {
		return open, append(stop, roofplan.Parapet)
	}
	return append(open, roofplan.Parapet), stop
}

// endsAt declares whether a plane's roof ends at edges of some kinds, and how far an array
// stands from them.
func endsAt(name, what string, kinds func(c *terms.Call) []roofplan.EdgeKind) (there terms.TermOf[job.Array, bool], distance terms.TermOf[job.Array, float64]) {
	there = terms.Derive(arrayKind, "has_"+name, terms.YesNo, "whether the roof below it ends at "+what, "geometry", "", func(c *terms.Call, a *job.Array) bool {
		s, l, k := roofs.Geometry.Of(c, c.Job()), arrays.Modules.Of(c, a), kinds(c)
		if c.Stop() {
			return false
		}
		_, ok := s.Roof.ClearanceOver(roofplan.Joints, s.Index[terms.Peek(c, a.Plane)], s.ModuleItems(c, l, a), k...)
		return ok
	})
	distance = terms.Derive(arrayKind, "clearance_to_"+name, terms.Quantity(quantity.Length), "distance on the surface from the array to "+what, "geometry", "", func(c *terms.Call, a *job.Array) float64 {
		k := kinds(c)
		if c.Stop() {
			return 0
		}
		return roofs.ClearanceOver(c, a, roofplan.Joints, k...)
	})
	return there, distance
}

var _, _ = endsAt("open_edge", "the nearest end of the roof that would not stop it: one without a wall, and without a parapet of the height that counts", func(c *terms.Call) []roofplan.EdgeKind {
	open, _ := openKinds(c)
	return open
})

var _, _ = endsAt("stop", "the nearest wall, or parapet of the height that counts, that would stop it", func(c *terms.Call) []roofplan.EdgeKind {
	_, stop := openKinds(c)
	return stop
})

// beside declares whether something else stands on an array's plane, and how far the
// array stands from it.
func beside(name, what string, shapes func(c *terms.Call, a *job.Array) []roofplan.Shape) (there terms.TermOf[job.Array, bool], distance terms.TermOf[job.Array, float64]) {
	there = terms.Derive(arrayKind, "beside_"+name, terms.YesNo, "whether there is "+what+" on its plane", "the job", "", func(c *terms.Call, a *job.Array) bool {
		return len(shapes(c, a)) > 0
	})
	distance = terms.Derive(arrayKind, "distance_to_"+name, terms.Quantity(quantity.Length), "distance on the surface from the array to the nearest "+what+" on its plane", "geometry", "", func(c *terms.Call, a *job.Array) float64 {
		others := shapes(c, a)
		own := moduleShapes(c, a)
		if c.Stop() {
			return 0
		}
		if len(others) == 0 {
			c.Fail("there is no %s on the plane of %s", what, a.Name.Value)
			return 0
		}
		terms.Drive(c, a.Origin)
		least := math.Inf(1)
		for _, x := range own {
			for _, y := range others {
				if x.Centre().DistanceTo(y.Centre())-reachOf(x)-reachOf(y) < least {
					d, _, _ := roofplan.Distance(x, y)
					least = math.Min(least, d)
				}
			}
		}
		return least
	})
	return there, distance
}

// reachOf is how far a shape reaches from its centre.
func reachOf(s roofplan.Shape) float64 {
	most := 0.0
	for _, p := range s.Corners() {
		most = math.Max(most, s.Centre().DistanceTo(p))
	}
	return most + s.Radius()
}

func moduleShapes(c *terms.Call, a *job.Array) []roofplan.Shape {
	s, l := roofs.Geometry.Of(c, c.Job()), arrays.Modules.Of(c, a)
	if c.Stop() {
		return nil
	}
	items := s.ModuleItems(c, l, a)
	out := make([]roofplan.Shape, len(items))
	for i := range items {
		out[i] = items[i].Shape
	}
	return out
}

// arraysBeside are the modules of other arrays on a plane, of those that slide or of those that do not.
func arraysBeside(slides bool) func(c *terms.Call, a *job.Array) []roofplan.Shape {
	return func(c *terms.Call, a *job.Array) (out []roofplan.Shape) {
		for i := range c.Job().Arrays {
			if b := &c.Job().Arrays[i]; b != a && terms.Peek(c, b.Plane) == terms.Peek(c, a.Plane) && ballasted(c, b) == slides {
				out = append(out, moduleShapes(c, b)...)
			}
		}
		return out
	}
}

// fixedBeside are the obstructions and the attached arrays on a plane. What lies below
// modules, such as a drain or a conduit, stands in no array's way.
func fixedBeside(c *terms.Call, a *job.Array) []roofplan.Shape {
	out := arraysBeside(false)(c, a)
	for i := range c.Job().Obstructions {
		o := &c.Job().Obstructions[i]
		if kind := terms.Peek(c, o.Kind); terms.Peek(c, o.Plane) == terms.Peek(c, a.Plane) && kind != "drain" && kind != "conduit" {
			out = append(out, roofs.ObstructionShapes.Of(c, o)...)
		}
	}
	return out
}

var _, _ = beside("fixed", "obstruction or attached array", fixedBeside)

var _, _ = beside("ballasted", "other array that its weight alone holds", arraysBeside(true))

var _ = terms.Derive(arrayKind, "beyond_ballast", terms.Word, "limits of the method for arrays held by their weight alone that it passes; empty for none", "ASCE 7 13.6.12", "",
	func(c *terms.Call, a *job.Array) string {
		u := structural.Unattached{Risk: riskCategory.Of(c, &c.Job().Site), Stories: terms.Get(c, c.Job().Building.Stories), Height: arrays.Height.Of(c, a), Interconnected: terms.Get(c, a.Interconnected)}
		w := asce(c)
		if c.Stop() {
			return ""
		}
		return w.BeyondBallast(u, c.Job().System())
	})

// ballastWind is the wind on one module of an array that its weight holds, at allowable
// level, N. The module is taken alone at the worst place of the roof, with the edge of
// an exposed row: how much of an array acts together is a matter of its tests.
type ballastWind struct {
	weight       float64 // of a module with mounting and ballast
	pressure     float64 // on the module, either way, Pa
	uplift, drag float64
	slope        float64
	work         func(quantity.System) []string
	refs         []table.Ref
}

var windOnBallast = terms.Analyse(arrayKind, "wind on a ballasted module", func(c *terms.Call, a *job.Array) *ballastWind {
	r := &ballastWind{slope: c.Q(arrays.PlaneOf(c, a).Slope)}
	dead, tilt, above := deadLoad(c, a), c.Q(a.Tilt), arrays.Height.Of(c, a)
	l := arrays.Modules.Of(c, a)
	b := &c.Job().Building
	height, longest, shortest := roofs.MeanRoofHeight.Of(c, b), roofs.Length.Of(c, b), roofs.Width.Of(c, b)
	qh := velocityPressure(c)
	w := asce(c)
	if c.Stop() {
		return r
	}
	module := l.Modules[0].Rect
	area, chord := module.Width()*module.Height(), module.Height()
	r.weight, r.refs = dead*area, qh.Refs
	asd := w.Combinations().WindASD
	exposed, _ := w.EdgeFactors()
	var pressure structural.TiltedPressure
	var flush structural.ArrayPressure
	var err error
	if tilt > 0 {
		parapet := roofs.ParapetHeight.Of(c, b)
		if c.Stop() {
			return r
		}
		const severest = "3"
		var nominal float64
		if nominal, _, err = w.TiltedNominal(tilt, severest, area, height, longest, shortest); err == nil {
			pressure, err = w.TiltedPressure(qh.Q, nominal, exposed, chord, parapet, height)
		}
		sin, cos := math.Sincos(tilt * math.Pi / 180)
		r.pressure = asd * math.Abs(pressure.Design)
		r.uplift, r.drag = r.pressure*area*cos, r.pressure*area*sin
		r.refs = append(r.refs, pressure.Refs...)
		r.work = chainWork(qh.Work, pressure.Work)
	} else {
		f := Figure(c, r.slope)
		if c.Stop() {
			return r
		}
		flush, err = w.ArrayPressure(qh.Q, f.WorstUplift(area), exposed, 1)
		// Along the roof the wind meets the edge of the array alone; no less than the
		// least pressure, and no less than qh, is taken there.
		r.pressure = -flush.Allowable
		r.uplift = r.pressure * area
		r.drag = asd * math.Max(flush.Minimum, qh.Q) * above * math.Max(module.Width(), module.Height())
		r.refs = append(append(r.refs, flush.Refs...), f.Ref)
		r.work = chainWork(qh.Work, flush.Work)
	}
	if err != nil {
		c.Err(err)
	}
	return r
})

// onBallast declares a force on one module of an array that its weight holds.
func onBallast(name, meaning string, value func(c *terms.Call, a *job.Array, r *ballastWind) (float64, func(quantity.System) []string)) terms.TermOf[job.Array, float64] {
	return terms.Derive(arrayKind, name, terms.Quantity(quantity.Force), meaning, "ASCE 7 29.4.3, 29.4.4 and 2.4", "ballast", func(c *terms.Call, a *job.Array) float64 {
		terms.Drive(c, a.BallastEach)
		r := windOnBallast.Of(c, a)
		if c.Stop() {
			return 0
		}
		v, work := value(c, a, r)
		if c.Stop() {
			return 0
		}
		c.Explain(chainWork(r.work, func(sys quantity.System) []string {
			return []string{fmt.Sprintf("on one module at the worst place, allowable level: %s up, %s along the roof", show(sys, r.uplift, quantity.Force), show(sys, r.drag, quantity.Force))}
		}, work, loadStandard(c)), r.refs)
		return v
	})
}

// need is the weight that the wind asks of a module; friction NaN for uplift alone.
func (r *ballastWind) need(c *terms.Call, friction float64) structural.BallastNeed {
	n, err := asce(c).BallastNeed(structural.BallastLoad{Uplift: r.uplift, Drag: r.drag, Slope: r.slope, Friction: friction})
	if err != nil {
		c.Err(err)
	}
	return n
}

var (
	_ = onBallast("module_weight", "weight of one module with its mounting and ballast", func(_ *terms.Call, _ *job.Array, r *ballastWind) (float64, func(quantity.System) []string) {
		return r.weight, nil
	})
	_ = onBallast("weight_for_uplift", "weight of one module with mounting and ballast that holds it down in the wind by itself, at the worst place of the roof", func(c *terms.Call, _ *job.Array, r *ballastWind) (float64, func(quantity.System) []string) {
		n := r.need(c, math.NaN())
		return n.ForUplift, n.Work
	})
	_ = onBallast("weight_for_sliding", "weight of one module with mounting and ballast that holds it in place in the wind by friction, by itself, at the worst place of the roof", func(c *terms.Call, a *job.Array, r *ballastWind) (float64, func(quantity.System) []string) {
		friction := terms.Get(c, a.Friction)
		if c.Stop() {
			return 0, nil
		}
		n := r.need(c, friction)
		return n.ForSliding, n.Work
	})
)

// onBallastedModule declares a pressure on a module of an array that its weight holds.
func onBallastedModule(name, meaning, source string, value func(c *terms.Call, a *job.Array, r *ballastWind) (float64, func(quantity.System) []string)) terms.TermOf[job.Array, float64] {
	return terms.Derive(arrayKind, name, terms.Quantity(quantity.Pressure), meaning, source, "", func(c *terms.Call, a *job.Array) float64 {
		r := windOnBallast.Of(c, a)
		if c.Stop() {
			return 0
		}
		v, work := value(c, a, r)
		if c.Stop() {
			return 0
		}
		c.Explain(chainWork(r.work, work, loadStandard(c)), r.refs)
		return v
	})
}

var (
	_ = onBallastedModule("ballasted_module_uplift", "wind off a module of an array that its weight holds, at the worst place of the roof, allowable level", "ASCE 7 29.4.3 and 29.4.4",
		func(_ *terms.Call, _ *job.Array, r *ballastWind) (float64, func(quantity.System) []string) {
			return r.pressure, nil
		})
	_ = onBallastedModule("ballasted_module_down", "weight, snow and wind onto a module of an array that its weight holds, at the worst place of the roof, allowable level; the wind down is taken as strong as up", "ASCE 7 2.4, chapter 7 and 29.4.3",
		func(c *terms.Call, a *job.Array, r *ballastWind) (float64, func(quantity.System) []string) {
			snow := roofSnow(c, arrays.PlaneOf(c, a))
			t, ok := terms.Seek(c, moduleTypeKind, a.Module)
			if !ok {
				c.Missing(a.Module.Key, a.Module.At)
				return 0, nil
			}
			weight := c.Q(t.Weight) * quantity.StandardGravity
			l, w := arrays.Modules.Of(c, a), asce(c)
			if c.Stop() {
				return 0, nil
			}
			dead := weight / (l.Modules[0].Rect.Width() * l.Modules[0].Rect.Height())
			both := w.Combinations().CompanionASD * (snow.GoverningAllowable + r.pressure)
			live := math.Max(both, math.Max(snow.GoverningAllowable, r.pressure))
			return dead + live, func(sys quantity.System) []string {
				p := func(v float64) string { return show(sys, v, quantity.Pressure) }
				return []string{fmt.Sprintf("module %s with the most of snow %s, wind %s and both together %s: %s", p(dead), p(snow.GoverningAllowable), p(r.pressure), p(both), p(dead+live))}
			}
		})
)
