package loads

import (
	"fmt"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/structural"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/arrays"
	"plumbrule/internal/terms/roofs"
)

// What the dimensions of the building do to the wind on it, by those that the
// job states and by those of the drawing: what a contradiction between them
// changes.

// dimension is a dimension of the building by one of the two, and by the other
// where that one is silent.
type dimension = func(*terms.Call, *job.Building) float64

func statedFirst(given func(b *job.Building) job.Quantity, drawn terms.TermOf[job.Building, float64]) dimension {
	return func(c *terms.Call, b *job.Building) float64 {
		if terms.Stated(c, given(b)) {
			return c.Q(given(b))
		}
		return drawn.Of(c, b)
	}
}

func drawnFirst(given func(b *job.Building) job.Quantity, drawn terms.TermOf[job.Building, float64]) dimension {
	return func(c *terms.Call, b *job.Building) float64 {
		if v, known := drawn.Try(c, b); known {
			return v
		}
		return c.Q(given(b))
	}
}

func widthGiven(b *job.Building) job.Quantity { return b.Width }
func meanGiven(b *job.Building) job.Quantity  { return b.MeanRoofHeight }
func eaveGiven(b *job.Building) job.Quantity  { return b.EaveHeight }

// edgeZones declares the width of the edge zones by one source of dimensions.
func edgeZones(name, meaning string, width, mean, eave dimension) terms.TermOf[job.Building, float64] {
	return terms.Derive(buildingKind, name, terms.Quantity(quantity.Length), meaning, "ASCE 7 Figure 30.3-1", "zone-width", func(c *terms.Call, _ *job.Building) float64 {
		var most structural.ZoneWidth
		for i := range c.Job().Arrays {
			p := arrays.PlaneOf(c, &c.Job().Arrays[i])
			if c.Stop() || terms.Peek(c, p.Ground) {
				continue
			}
			if z := zoneWidthBy(c, c.Q(p.Slope), width, mean, eave); z.Edge > most.Edge {
				most = z
			}
		}
		if c.Stop() {
			return 0
		}
		if most.Edge == 0 {
			c.Fail("no array stands on the roof")
			return 0
		}
		c.Explain(most.Work, most.Refs)
		return most.Edge
	})
}

var zoneWidthStated = edgeZones("zone_width_stated", "width a of the edge zones by the dimensions that the job states, of the drawing where it states none; the largest of the planes that carry arrays",
	statedFirst(widthGiven, roofs.WidthDrawn), statedFirst(meanGiven, roofs.MeanRoofHeightDrawn), statedFirst(eaveGiven, roofs.EaveHeightDrawn))

var zoneWidthDrawn = edgeZones("zone_width_drawn", "width a of the edge zones by the dimensions that the drawing gives, of the job where it gives none; the largest of the planes that carry arrays",
	drawnFirst(widthGiven, roofs.WidthDrawn), drawnFirst(meanGiven, roofs.MeanRoofHeightDrawn), drawnFirst(eaveGiven, roofs.EaveHeightDrawn))

// pressureBy declares the velocity pressure by one source of the height.
func pressureBy(name, meaning string, mean dimension) terms.TermOf[job.Building, float64] {
	return terms.Derive(buildingKind, name, terms.Quantity(quantity.Pressure), meaning, "ASCE 7 26.10", "velocity-pressure", func(c *terms.Call, b *job.Building) float64 {
		v := velocityPressureAt(c, mean(c, b))
		if c.Stop() {
			return 0
		}
		c.Explain(chainWork(v.Work, loadStandard(c)), v.Refs)
		return v.Q
	})
}

var pressureStated = pressureBy("velocity_pressure_stated", "velocity pressure qh at the mean roof height that the job states, that of the drawing where it states none", statedFirst(meanGiven, roofs.MeanRoofHeightDrawn))

var pressureDrawn = pressureBy("velocity_pressure_drawn", "velocity pressure qh at the mean roof height of the drawing, that of the job where it gives none", drawnFirst(meanGiven, roofs.MeanRoofHeightDrawn))

// roofFigure declares the coefficient figure of the plane that carries the
// first array on the roof, for one source of the shape.
func roofFigure(name, meaning string, shape func(c *terms.Call, b *job.Building) string) terms.TermOf[job.Building, string] {
	return terms.Derive(buildingKind, name, terms.Word, meaning, "ASCE 7 30.3.2", "", func(c *terms.Call, b *job.Building) string {
		word := shape(c, b)
		w := asce(c)
		width, mean := statedFirst(widthGiven, roofs.WidthDrawn)(c, b), statedFirst(meanGiven, roofs.MeanRoofHeightDrawn)(c, b)
		if c.Stop() {
			return ""
		}
		for i := range c.Job().Arrays {
			p := arrays.PlaneOf(c, &c.Job().Arrays[i])
			if c.Stop() || terms.Peek(c, p.Ground) {
				continue
			}
			f, err := w.Figure(structural.Roof(word), c.Q(p.Slope), mean/width)
			if err != nil {
				return "no figure"
			}
			c.Cite(f.Ref)
			return "Figure " + f.Name
		}
		c.Fail("no array stands on the roof")
		return ""
	})
}

var figureStated = roofFigure("figure_stated", "figure of wind coefficients for the shape that the job states, on the plane of its first array", func(c *terms.Call, b *job.Building) string { return terms.Get(c, b.RoofShape) })

var figureDrawn = roofFigure("figure_drawn", "figure of wind coefficients for the shape of the roof as drawn, on the plane of its first array", roofs.ShapeDrawn.Of)

var _ = terms.Derive(buildingKind, "wind_changes", terms.Word, "what the dimensions of the drawing change in the wind on the building, against those that the job states, as far as it can be computed", "ASCE 7 26.10, 30.3.2 and Figure 30.3-1", "", func(c *terms.Call, b *job.Building) string {
	var changes []string
	change := func(what, from, to string) {
		if from != to {
			changes = append(changes, fmt.Sprintf("%s from %s to %s", what, from, to))
		}
	}
	measured := func(what string, d quantity.Dimension, stated, drawn terms.TermOf[job.Building, float64]) {
		from, known := stated.Try(c, b)
		to, both := drawn.Try(c, b)
		if known && both {
			change(what, show(c.Job().System(), from, d), show(c.Job().System(), to, d))
		}
	}
	measured("the edge zones", quantity.Length, zoneWidthStated, zoneWidthDrawn)
	measured("the velocity pressure", quantity.Pressure, pressureStated, pressureDrawn)
	from, known := figureStated.Try(c, b)
	if to, both := figureDrawn.Try(c, b); known && both {
		change("the coefficients", from, to)
	}
	if changes == nil {
		return "nothing in the wind that is computed here"
	}
	return strings.Join(changes, ", ")
})
