package loads

import (
	"math"
	"slices"

	"plumbrule/internal/job"
	"plumbrule/internal/layout"
	"plumbrule/internal/quantity"
	"plumbrule/internal/structural"
	"plumbrule/internal/table"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/arrays"
)

// moduleDown declares the pressure into the modules of an array, each with the
// snow of its own place: as it is certain, or with the bounds on wind and drifts.
func moduleDown(name, meaning string, bound bool) terms.TermOf[job.Array, float64] {
	return terms.Derive(arrayKind, name, terms.Quantity(quantity.Pressure), meaning, "ASCE 7 2.4, chapter 7 and 29.4.4", "", func(c *terms.Call, a *job.Array) float64 {
		s, w := snowOn.Of(c, a), Wind.Of(c, a)
		l := arrays.Modules.Of(c, a)
		if c.Stop() {
			return 0
		}
		places := make([]placedSnow, len(l.Modules))
		snow := make([]float64, len(places))
		for i := range l.Modules {
			places[i] = s.at(l.Modules[i].Corners[:], true)
			snow[i] = places[i].pick(bound)
		}
		modules, _ := w.modulesUnder(l)
		d, i := worstModule(c, w, modules, snow, !bound, func(d *structural.Demand) float64 { return d.DownASD })
		if c.Stop() {
			return 0
		}
		c.Explain(chainWork(s.roof.Work, places[i].explain, w.work(d, snow[i])), w.refsOf(d))
		return d.DownASD / d.Tributary
	})
}

var _ = moduleDown("module_down", "largest downward pressure on any of its modules, normal to it: dead load, snow and wind together, each module with the snow of its own place; allowable level. Without the wind where no method gives it", false)

var _ = moduleDown("module_down_bound", "the same with the bound on the wind where no method gives it, and with the safe bounds of drifts that the drawing does not tell", true)

// pick is the snow that is certain, or the bound on it.
func (s placedSnow) pick(bound bool) float64 {
	if bound {
		return s.bound
	}
	return s.load
}

// ofDown declares a force on a foot that follows from its downward demand, as it
// is certain or with the bounds on wind and drifts.
func ofDown(name, meaning, source string, bound bool, value func(c *terms.Call, f *arrays.Foot, d *structural.Demand) float64) terms.TermOf[arrays.Foot, float64] {
	return terms.Derive(arrays.Attachment, name, terms.Quantity(quantity.Force), meaning, source, "", func(c *terms.Call, f *arrays.Foot) float64 {
		terms.Drive(c, f.Array.Attachments.Spacing)
		g := downOn.Of(c, f.Array)
		w, _ := windOf(c, f.Array)
		if arrays.LoadedArea.Of(c, f); c.Stop() {
			return 0
		}
		d := &g.demands[f.I]
		if bound {
			d = &g.bound[f.I]
		}
		s := g.places[f.I]
		c.Explain(chainWork(g.snow.roof.Work, s.explain, w.work(d, s.pick(bound))), append(w.refsOf(d), g.refs(f.I)...))
		return value(c, f, d)
	})
}

// orSealed is a load of a foot, no less than what the sealed calculations of its
// snow give, nor than those of its wind where they take the place of the bound.
func orSealed(c *terms.Call, f *arrays.Foot, load float64, value func(e *job.Engineered) job.Quantity) float64 {
	if len(c.Job().Engineered) == 0 {
		return load
	}
	list := settled(c, f.Array, ofSnow)
	if w := Wind.Of(c, f.Array); w.method == noMethod {
		list = append(list, w.sealed...)
	}
	return math.Max(load, most(c, list, value))
}

func downASD(c *terms.Call, f *arrays.Foot, d *structural.Demand) float64 {
	return orSealed(c, f, d.DownASD, func(e *job.Engineered) job.Quantity { return e.Down })
}

func downslopeASD(c *terms.Call, f *arrays.Foot, d *structural.Demand) float64 {
	load, _ := downslope(c, f.Array, d)
	return orSealed(c, f, load, func(e *job.Engineered) job.Quantity { return e.Downslope })
}

var _ = ofDown("down_load", "load into the roof: dead load with the snow of its own place, with wind, or with both; allowable level. Without the wind where no method gives it", "ASCE 7 2.4 and chapter 7", false, downASD)

var _ = ofDown("down_bound", "the same with the bound on the wind where no method gives it, and with the safe bounds of drifts that the drawing does not tell", "ASCE 7 2.4 and chapter 7", true, downASD)

var _ = ofDown("downslope_load", "load along the slope that governs its lateral capacity: dead load alone, or with snow, and with wind on tilted modules; allowable level. Without the wind where no method gives it", "ASCE 7 2.4, statics", false, downslopeASD)

var _ = ofDown("downslope_bound", "the same with the bound on the wind on tilted modules where no method gives it, and with the safe bounds of drifts", "ASCE 7 2.4, statics", true, downslopeASD)

var _ = ofDown("point_load", "vertical load on the framing under it: dead load and snow, allowable level", "ASCE 7 2.4", false, func(_ *terms.Call, _ *arrays.Foot, d *structural.Demand) float64 { return d.PointASD })

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
	places  []placedSnow        // of each foot
	demands []structural.Demand // without what is only bounded
	bound   []structural.Demand // with the bounds
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
		snow, most := make([]float64, len(l.Feet)), make([]float64, len(l.Feet))
		for i, corners := range footprints(l) {
			g.places = append(g.places, g.snow.at(corners, false))
			snow[i], most[i] = g.places[i].load, g.places[i].bound
		}
		g.demands = withSnow(c, w, snow, w.method == noMethod)
		g.bound = withSnow(c, w, most, false)
	}
	c.Cite(g.snow.roof.Refs...)
	return g
})

// withSnow computes the feet of an array with the snow on each.
func withSnow(c *terms.Call, w *windState, snow []float64, calm bool) []structural.Demand {
	demands, err := w.demandsOf(w.feet, snow, calm)
	if err != nil {
		c.Err(err)
	}
	return demands
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
		demands := withSnow(c, w, at, w.method == noMethod)
		if c.Stop() {
			return 0
		}
		i := worst(demands, func(d *structural.Demand) float64 { return d.DownASD })
		c.Explain(chainWork(g.snow.work, func(sys quantity.System) []string {
			return []string{"at foot " + l.Feet[i].Name + ": " + show(sys, at[i], quantity.Pressure) + " on the plan"}
		}, w.work(&demands[i], at[i])), g.snow.roof.Refs)
		return demands[i].DownASD
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
