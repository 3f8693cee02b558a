package loads

import (
	"slices"

	"plumbrule/internal/job"
	"plumbrule/internal/layout"
	"plumbrule/internal/quantity"
	"plumbrule/internal/structural"
	"plumbrule/internal/table"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/arrays"
)

var _ = terms.Derive(arrayKind, "module_down", terms.Quantity(quantity.Pressure), "largest downward pressure on any of its modules, normal to it: dead load, snow and wind together, each module with the snow of its own place; allowable level", "ASCE 7 2.4, chapter 7 and 29.4.4", "",
	func(c *terms.Call, a *job.Array) float64 {
		return moduleDown(c, a, func(s placedSnow) float64 { return s.load })
	})

var _ = terms.Derive(arrayKind, "module_down_bound", terms.Quantity(quantity.Pressure), "the same with the safe bounds of drifts that the drawing does not tell", "ASCE 7 2.4, chapter 7 and 29.4.4", "",
	func(c *terms.Call, a *job.Array) float64 {
		return moduleDown(c, a, func(s placedSnow) float64 { return s.bound })
	})

// moduleDown is the largest downward pressure on a module.
func moduleDown(c *terms.Call, a *job.Array, load func(placedSnow) float64) float64 {
	s := snowOn.Of(c, a)
	l := arrays.Modules.Of(c, a)
	if c.Stop() {
		return 0
	}
	places := make([]placedSnow, len(l.Modules))
	snow := make([]float64, len(places))
	for i := range l.Modules {
		places[i] = s.at(l.Modules[i].Corners[:], true)
		snow[i] = load(places[i])
	}
	w, state, ok := windOnModules(c, a, snow)
	if !ok {
		return 0
	}
	loads := state.loads
	loads.Snow = snow[w.downAt]
	c.Explain(chainWork(s.roof.Work, places[w.downAt].explain, func(sys quantity.System) []string { return w.down.Work(state.code, loads, sys) }, state.editionLine), w.down.Refs(state.code, loads))
	return w.down.DownASD / w.area
}

// ofDown declares a term of a foot that follows from its downward demand. Where
// no computation reaches the array, what a sealed calculation gives settles it.
func ofDown(name, meaning, source string, sealed func(e *job.Engineered) job.Quantity, value func(c *terms.Call, f *arrays.Foot, d *structural.Demand) float64) terms.TermOf[arrays.Foot, float64] {
	return terms.Derive(arrays.Attachment, name, terms.Quantity(quantity.Force), meaning, source, "", func(c *terms.Call, f *arrays.Foot) float64 {
		terms.Drive(c, f.Array.Attachments.Spacing)
		if list := beyondMethod(c, f.Array); sealed != nil && len(list) > 0 {
			c.Explain(func(quantity.System) []string { return []string{"by the engineer's sealed calculation"} }, nil)
			return most(c, list, sealed)
		}
		g, w := downOn.Of(c, f.Array), Wind.Of(c, f.Array)
		if c.Stop() {
			return 0
		}
		d := &g.demands[f.I]
		c.Explain(g.work(w, f.I), append(d.Refs(w.code, g.loads), g.refs(f.I)...))
		return value(c, f, d)
	})
}

// beyondMethod lists the sealed calculations of snow of an array that the
// roof-parallel method does not reach.
func beyondMethod(c *terms.Call, a *job.Array) []*job.Engineered {
	if len(c.Job().Engineered) == 0 {
		return nil
	}
	list := settled(c, a, ofSnow)
	if len(list) == 0 || windScope.Of(c, a).method == parallelMethod {
		return nil
	}
	return list
}

var _ = ofDown("down_load", "load into the roof: dead load with the snow of its own place, with wind, or with both; allowable level", "ASCE 7 2.4 and chapter 7",
	func(e *job.Engineered) job.Quantity { return e.Down }, func(_ *terms.Call, _ *arrays.Foot, d *structural.Demand) float64 { return d.DownASD })

var _ = ofDown("downslope_load", "load along the slope that governs its lateral capacity: dead load alone, or with snow; allowable level", "ASCE 7 2.4, statics",
	func(e *job.Engineered) job.Quantity { return e.Downslope }, func(c *terms.Call, f *arrays.Foot, d *structural.Demand) float64 {
		load, _ := downslope(c, f.Array, d)
		return load
	})

var _ = ofDown("point_load", "vertical load on the framing under it: dead load and snow, allowable level", "ASCE 7 2.4", nil, func(_ *terms.Call, _ *arrays.Foot, d *structural.Demand) float64 { return d.PointASD })

// ofPlacedSnow declares a term of the snow on what a foot carries.
func ofPlacedSnow[V any](name string, t terms.TypeOf[V], meaning string, value func(g *gravityState, s placedSnow) V) terms.TermOf[arrays.Foot, V] {
	return terms.Derive(arrays.Attachment, name, t, meaning, "ASCE 7 chapter 7", "", func(c *terms.Call, f *arrays.Foot) V {
		terms.Drive(c, f.Array.Attachments.Spacing)
		g := downOn.Of(c, f.Array)
		if c.Stop() {
			var none V
			return none
		}
		c.Explain(chainWork(g.snow.roof.Work, g.places[f.I].explain), append(g.refs(f.I), g.snow.roof.Refs...))
		return value(g, g.places[f.I])
	})
}

var _ = ofPlacedSnow("snow_case", terms.Word, "the snow that governs on what it carries: balanced, rain on snow, the least of low slopes, unbalanced, a drift, or snow that slides off a higher roof", func(_ *gravityState, s placedSnow) string { return s.what })

var _ = ofPlacedSnow("snow", terms.Quantity(quantity.Pressure), "that snow on the horizontal projection, allowable level", func(g *gravityState, s placedSnow) float64 { return g.snow.roof.AllowableFactor * s.load })

// gravityState is the downward demand on the feet of one array.
type gravityState struct {
	snow    *snowState
	places  []placedSnow // of each foot
	demands []structural.Demand
	loads   structural.ArrayLoads
}

// work is the calculation of one foot.
func (g *gravityState) work(w *windState, i int) func(quantity.System) []string {
	loads := g.loads
	loads.Snow = g.places[i].load
	return chainWork(g.snow.roof.Work, g.places[i].explain, func(sys quantity.System) []string { return g.demands[i].Work(w.code, loads, sys) }, w.editionLine)
}

func (g *gravityState) refs(i int) []table.Ref {
	if cause := g.places[i].cause; cause != nil {
		return cause.refs
	}
	return nil
}

// explain names the snow that governs on a place.
func (s placedSnow) explain(sys quantity.System) (lines []string) {
	if s.cause != nil {
		lines = s.cause.work(sys)
	}
	return append(lines, "snow here: "+show(sys, s.load, quantity.Pressure)+" on the plan, of "+s.what)
}

// downOn computes the feet of an array, each with the snow of its own place.
// The snow is looked up apart from the wind, so that uplift does not wait for it.
var downOn = terms.Analyse(arrayKind, "gravity on the feet", func(c *terms.Call, a *job.Array) *gravityState {
	g := &gravityState{}
	w, _ := windOf(c, a)
	g.snow = snowOn.Of(c, a)
	l := arrays.Carried.Of(c, a)
	if !c.Stop() {
		snow := make([]float64, len(l.Feet))
		for i, corners := range footprints(l) {
			g.places = append(g.places, g.snow.at(corners, false))
			snow[i] = g.places[i].load
		}
		g.demands, g.loads = withSnow(c, w, snow)
	}
	c.Cite(g.snow.roof.Refs...)
	return g
})

// withSnow computes the feet of an array with the snow on each.
func withSnow(c *terms.Call, w *windState, snow []float64) ([]structural.Demand, structural.ArrayLoads) {
	loads := w.loads
	loads.SnowAt = snow
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

// largestDown declares the largest load into the roof at any foot with the
// snow that is picked for each.
func largestDown(name, meaning string, snow func(g *gravityState, s placedSnow, corners []layout.Point) float64) terms.TermOf[job.Array, float64] {
	return terms.Derive(arrayKind, name, terms.Quantity(quantity.Force), meaning, "ASCE 7 chapter 7", "", func(c *terms.Call, a *job.Array) float64 {
		terms.Drive(c, c.Job().Site.GroundSnow)
		g, l := downOn.Of(c, a), arrays.Carried.Of(c, a)
		w, _ := windOf(c, a)
		if c.Stop() {
			return 0
		}
		at := make([]float64, len(g.places))
		for i, corners := range footprints(l) {
			at[i] = snow(g, g.places[i], corners)
		}
		demands, loads := withSnow(c, w, at)
		if c.Stop() {
			return 0
		}
		worst := 0
		for i := range demands {
			if demands[i].DownASD > demands[worst].DownASD {
				worst = i
			}
		}
		loads.Snow = at[worst]
		c.Explain(chainWork(g.snow.work, func(sys quantity.System) []string {
			return append([]string{"at foot " + l.Feet[worst].Name + ": " + show(sys, at[worst], quantity.Pressure) + " on the plan"}, demands[worst].Work(w.code, loads, sys)...)
		}, w.editionLine), g.snow.roof.Refs)
		return demands[worst].DownASD
	})
}

var _ = largestDown("unbalanced_down", "largest load into the roof at a foot with the unbalanced snow of a gable or hip roof, each by its place; allowable level", func(g *gravityState, _ placedSnow, corners []layout.Point) float64 {
	only := *g.snow
	only.uneven = slices.DeleteFunc(slices.Clone(only.uneven), func(u unevenSnow) bool { return u.what != unbalanced })
	return only.at(corners, false).load
})

var _ = largestDown("down_bound", "largest load into the roof at a foot with the safe bounds of drifts that the drawing does not tell; allowable level", func(_ *gravityState, s placedSnow, _ []layout.Point) float64 { return s.bound })

var _ = terms.Derive(arrayKind, "has_unbalanced_snow", terms.YesNo, "whether wind drops more snow on its side of a gable or hip roof than lies there evenly", "ASCE 7 7.6.1", "", func(c *terms.Call, a *job.Array) bool {
	s := snowOn.Of(c, a)
	return slices.ContainsFunc(s.uneven, func(u unevenSnow) bool { return u.what == unbalanced })
})

var _ = terms.Derive(arrayKind, "snow_unsure", terms.Word, "what the drawing does not tell of drifts that reach a foot or module of it, so that a safe bound is taken; none where it tells all", "ASCE 7 7.7 to 7.9", "", func(c *terms.Call, a *job.Array) string {
	s := snowOn.Of(c, a)
	l := arrays.Modules.Of(c, a)
	if c.Stop() {
		return ""
	}
	var why []string
	for i := range l.Modules {
		if p := s.at(l.Modules[i].Corners[:], true); p.why != "" && !slices.Contains(why, p.why) {
			why = append(why, p.why)
		}
	}
	if why == nil {
		return "none"
	}
	return joinWords(why)
})

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
