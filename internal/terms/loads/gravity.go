package loads

import (
	"math"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/structural"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/arrays"
)

// moduleDown declares the pressure into the modules of an array, as it is
// certain or with the bound on the wind.
func moduleDown(name, meaning string, bound bool) terms.TermOf[job.Array, float64] {
	return terms.Derive(arrayKind, name, terms.Quantity(quantity.Pressure), meaning, "ASCE 7 2.4, chapter 7 and 29.4.4", "", func(c *terms.Call, a *job.Array) float64 {
		g, w := downOn.Of(c, a), Wind.Of(c, a)
		l := arrays.Modules.Of(c, a)
		if c.Stop() {
			return 0
		}
		modules, _ := w.modulesUnder(l)
		d := worstModule(c, w, modules, g.load, w.bound() && !bound, func(d *structural.Demand) float64 { return d.DownASD })
		if c.Stop() {
			return 0
		}
		c.Explain(chainWork(g.snow.Work, w.work(d, g.load)), w.refsOf(d))
		return d.DownASD / d.Tributary
	})
}

var _ = moduleDown("module_down", "largest downward pressure on any of its modules, normal to it: dead load, snow and wind together; allowable level. Without the wind where no method gives it", false)

var _ = moduleDown("module_down_bound", "the same with the bound on the wind where no method gives it", true)

// ofDown declares a force on a foot that follows from its downward demand, as it
// is certain or with the bound on the wind.
func ofDown(name, meaning, source string, bound bool, value func(c *terms.Call, f *arrays.Foot, d *structural.Demand) float64) terms.TermOf[arrays.Foot, float64] {
	return terms.Derive(arrays.Attachment, name, terms.Quantity(quantity.Force), meaning, source, "", func(c *terms.Call, f *arrays.Foot) float64 {
		terms.Drive(c, f.Array.Attachments.Spacing)
		g, w := downOn.Of(c, f.Array), Wind.Of(c, f.Array)
		if c.Stop() {
			return 0
		}
		d := &g.demands[f.I]
		if bound {
			d = &g.bound[f.I]
		}
		c.Explain(chainWork(g.snow.Work, w.work(d, g.load)), w.refsOf(d))
		return value(c, f, d)
	})
}

// downASD is the load into the roof at a foot. Where a sealed calculation takes
// the place of the bound, it is no less than what that gives.
func downASD(c *terms.Call, f *arrays.Foot, d *structural.Demand) float64 {
	w := Wind.Of(c, f.Array)
	if w.method != noMethod || w.sealed == nil {
		return d.DownASD
	}
	return math.Max(d.DownASD, most(c, w.sealed, func(e *job.Engineered) job.Quantity { return e.Down }))
}

func downslopeASD(c *terms.Call, f *arrays.Foot, d *structural.Demand) float64 {
	load, _ := downslope(c, f.Array, d)
	if w := Wind.Of(c, f.Array); w.method == noMethod && w.sealed != nil {
		load = math.Max(load, most(c, w.sealed, func(e *job.Engineered) job.Quantity { return e.Downslope }))
	}
	return load
}

var _ = ofDown("down_load", "load into the roof: dead load with balanced snow, with wind, or with both; allowable level. Without the wind where no method gives it", "ASCE 7 2.4", false, downASD)

var _ = ofDown("down_bound", "load into the roof with the bound on the wind where no method gives it; allowable level", "ASCE 7 2.4", true, downASD)

var _ = ofDown("downslope_load", "load along the slope that governs its lateral capacity: dead load alone, or with snow, and with wind on tilted modules; allowable level. Without the wind where no method gives it", "ASCE 7 2.4, statics", false, downslopeASD)

var _ = ofDown("downslope_bound", "load along the slope with the bound on the wind on tilted modules where no method gives it; allowable level", "ASCE 7 2.4, statics", true, downslopeASD)

var _ = ofDown("point_load", "vertical load on the framing under it: dead load and snow, allowable level", "ASCE 7 2.4", false, func(_ *terms.Call, _ *arrays.Foot, d *structural.Demand) float64 { return d.PointASD })

// gravityState is the downward demand on the feet of one array.
type gravityState struct {
	snow    structural.RoofSnow
	load    float64             // of the snow on the horizontal projection
	demands []structural.Demand // without the wind where it is only bounded
	bound   []structural.Demand // with it
}

// downOn computes the feet of an array with its snow. The snow is looked up
// apart from the wind, so that uplift does not wait for it.
var downOn = terms.Analyse(arrayKind, "gravity on the feet", func(c *terms.Call, a *job.Array) *gravityState {
	g := &gravityState{}
	w, _ := windOf(c, a)
	g.snow = roofSnow(c, arrays.PlaneOf(c, a))
	g.load = snowLoad(c, a)
	if !c.Stop() {
		g.demands = withSnow(c, w, g.load, w.bound())
		g.bound = withSnow(c, w, g.load, false)
	}
	c.Cite(g.snow.Refs...)
	return g
})

// withSnow computes the feet with a snow load.
func withSnow(c *terms.Call, w *windState, snow float64, calm bool) []structural.Demand {
	demands, err := w.demandsOf(w.feet, snow, calm)
	if err != nil {
		c.Err(err)
	}
	return demands
}

// downslope is the load of a foot along the slope that governs its lateral
// capacity, with the word of its duration. Dead load alone is of permanent
// duration, so wood carries less of it than of dead load with snow.
func downslope(c *terms.Call, a *job.Array, d *structural.Demand) (load float64, lasting string) {
	total, dead := d.DownslopeASD, d.DeadDownslope
	if total <= dead {
		return dead, "permanent"
	}
	f, ok := terms.Seek(c, fastenerTypeKind, a.Attachments.Fastener)
	if !ok || terms.Peek(c, f.Kind) != "lag" {
		return total, "snow"
	}
	n := nds(c)
	if c.Stop() {
		return total, "snow"
	}
	if dead/duration(c, n, "permanent") > total/duration(c, n, "snow") {
		return dead, "permanent"
	}
	return total, "snow"
}
