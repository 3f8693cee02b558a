package loads

import (
	"slices"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/structural"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/arrays"
)

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

// gravityState is the downward demand on the feet of one array.
type gravityState struct {
	snow    structural.RoofSnow
	demands []structural.Demand
	loads   structural.ArrayLoads
}

// downOn computes the feet of an array with its snow. The snow is looked up
// apart from the wind, so that uplift does not wait for it.
var downOn = terms.Analyse(arrayKind, "gravity on the feet", func(c *terms.Call, a *job.Array) *gravityState {
	g := &gravityState{}
	w, _ := windOf(c, a)
	g.snow = roofSnow(c, arrays.PlaneOf(c, a))
	snow := snowLoad(c, a)
	if !c.Stop() {
		g.demands, g.loads = withSnow(c, w, snow)
	}
	c.Cite(g.snow.Refs...)
	return g
})

func withSnow(c *terms.Call, w *windState, snow float64) ([]structural.Demand, structural.ArrayLoads) {
	loads := w.loads
	loads.Snow = snow
	if w.tilted != nil {
		c.Fail("downward load is computed for roof-parallel arrays only; a licensed engineer decides")
		return nil, loads
	}
	demands, err := w.code.Demands(nil, loads, w.feet)
	if err != nil {
		c.Err(err)
	}
	return demands, loads
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
	if !ok || !slices.Contains(woodFasteners, terms.Peek(c, f.Kind)) {
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
