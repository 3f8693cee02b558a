package roofs

import (
	"math"
	"slices"

	"plumbrule/internal/job"
	"plumbrule/internal/layout"
	"plumbrule/internal/quantity"
	"plumbrule/internal/roofplan"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/arrays"
)

var _ = terms.Derive(obstructionKind, "distance_to_modules", terms.Quantity(quantity.Length), "distance on the surface to the nearest module on its plane; zero below one", "geometry", "", func(c *terms.Call, o *job.Obstruction) float64 {
	d := moduleDistance(c, o)
	if c.Stop() {
		return 0
	}
	terms.Drive(c, o.At)
	return d
})

var _ = terms.Derive(obstructionKind, "below_modules", terms.YesNo, "whether a module lies over it", "geometry", "", func(c *terms.Call, o *job.Obstruction) bool {
	d := moduleDistance(c, o)
	if c.Stop() {
		return false
	}
	return d == 0
})

var _ = terms.Derive(obstructionKind, "modules_on_plane", terms.YesNo, "whether an array lies on its plane", "the job", "", func(c *terms.Call, o *job.Obstruction) bool {
	for i := range c.Job().Arrays {
		if terms.Peek(c, c.Job().Arrays[i].Plane) == terms.Peek(c, o.Plane) {
			return true
		}
	}
	return false
})

var _ = terms.Derive(obstructionKind, "smallest_stand_off", terms.Quantity(quantity.Length), "smallest clear gap below the arrays on its plane", "the job", "", func(c *terms.Call, o *job.Obstruction) float64 {
	least := math.Inf(1)
	for i := range c.Job().Arrays {
		if a := &c.Job().Arrays[i]; terms.Peek(c, a.Plane) == terms.Peek(c, o.Plane) {
			least = math.Min(least, c.Q(a.StandOff))
		}
	}
	return least
})

// moduleDistance is the distance of an obstruction to the nearest module on
// its plane.
func moduleDistance(c *terms.Call, o *job.Obstruction) float64 {
	own := ObstructionShapes.Of(c, o)
	if c.Stop() {
		return 0
	}
	best := math.Inf(1)
	for i := range c.Job().Arrays {
		a := &c.Job().Arrays[i]
		if terms.Peek(c, a.Plane) != terms.Peek(c, o.Plane) {
			continue
		}
		l := arrays.Modules.Of(c, a)
		if c.Stop() {
			return 0
		}
		for _, piece := range own {
			best = math.Min(best, nearestModule(piece, l, best))
		}
	}
	if math.IsInf(best, 1) {
		c.Fail("no module lies on the plane of %s", o.Name.Value)
	}
	return best
}

// nearestModule is the distance of a piece to the nearest module of an array,
// or the best so far where none is nearer. A module that is farther off by the
// sizes of both alone is not measured.
func nearestModule(piece roofplan.Shape, l *layout.Array, best float64) float64 {
	at := piece.Centre()
	reach := math.Hypot(l.Width, l.Height)/2 + piece.Radius()
	for _, p := range piece.Corners() {
		reach = math.Max(reach, at.DistanceTo(p)+piece.Radius()+math.Hypot(l.Width, l.Height)/2)
	}
	for j, m := range l.Modules {
		middle := roofplan.Point{X: (m.Corners[0].X + m.Corners[2].X) / 2, Y: (m.Corners[0].Y + m.Corners[2].Y) / 2}
		if at.DistanceTo(middle)-reach >= best {
			continue
		}
		d, _, _ := roofplan.Distance(piece, shape(l, j))
		best = math.Min(best, d)
	}
	return best
}

var _ = terms.Derive(arrayKind, "fastener_inset", terms.Quantity(quantity.Length), "least distance of a fastener to the edge of the plane; negative outside it", "geometry", "", func(c *terms.Call, a *job.Array) float64 {
	s, screws := Geometry.Of(c, c.Job()), arrays.AllScrews(c, a)
	if c.Stop() {
		return 0
	}
	terms.Drive(c, a.Origin)
	outline := s.Roof.Outline(s.Index[terms.Peek(c, a.Plane)])
	corners := make([]layout.Point, len(outline))
	for i, p := range outline {
		corners[i] = layout.Point(p)
	}
	insets, err := layout.Insets(screws, corners)
	if err != nil {
		c.Err(err)
		return 0
	}
	return slices.Min(insets)
})
