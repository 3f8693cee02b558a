package access

import (
	"math"
	"slices"

	"plumbrule/internal/job"
	"plumbrule/internal/layout"
	"plumbrule/internal/quantity"
	"plumbrule/internal/roofplan"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/arrays"
	"plumbrule/internal/terms/roofs"
)

var _ = terms.Derive(planeKind, "coverage", terms.Quantity(quantity.Ratio), "share of the plane that is under modules, in plan view", "a stricter reading that some reviewers use", "",
	func(c *terms.Call, p *job.Plane) float64 {
		cov, ok := roofs.Coverage(c)
		if !ok {
			return 0
		}
		return cov.Planes[roofs.Geometry.Of(c, c.Job()).Index[p.Name.Value]]
	})

var _ = terms.Derive(roofs.Roof, "coverage_with_gaps", terms.Quantity(quantity.Ratio), "share of the roof that is under modules and the gaps between them, in plan view", "a stricter reading: the code does not say whether gaps count", "",
	func(c *terms.Call, _ *roofs.Whole) float64 {
		cov, ok := roofs.Coverage(c)
		if !ok {
			return 0
		}
		s := roofs.Geometry.Of(c, c.Job())
		gaps := 0.0
		for i := range c.Job().Arrays {
			if a := &c.Job().Arrays[i]; !s.Ground[s.Index[terms.Peek(c, a.Plane)]] {
				gaps += gapArea(arrays.Modules.Of(c, a)) * math.Cos(s.Roof.Plane(s.Index[terms.Peek(c, a.Plane)]).Slope*math.Pi/180)
			}
		}
		return cov.Ratio + gaps/cov.Roof
	})

var _ = terms.Derive(arrayKind, "modules_across_ridge", terms.YesNo, "whether modules lie on a plane across the ridge of the array's own", "geometry", "",
	func(c *terms.Call, a *job.Array) bool {
		s := roofs.Geometry.Of(c, c.Job())
		if c.Stop() {
			return false
		}
		return slices.ContainsFunc(s.Roof.Neighbours(s.Index[terms.Peek(c, a.Plane)], roofplan.Ridge), func(plane int) bool { return carries(c, s, plane) })
	})

var _ = terms.Derive(arrayKind, "has_shared_hip", terms.YesNo, "whether a hip or valley of the array's plane has modules on its other side too", "geometry", "",
	func(c *terms.Call, a *job.Array) bool {
		s := roofs.Geometry.Of(c, c.Job())
		if c.Stop() {
			return false
		}
		return len(sharedHips(c, s, a)) > 0
	})

var _ = terms.Derive(arrayKind, "clearance_to_shared_hip", terms.Quantity(quantity.Length), "distance on the surface to the nearest hip or valley that has modules on its other side too", "geometry", "",
	func(c *terms.Call, a *job.Array) float64 {
		s := roofs.Geometry.Of(c, c.Job())
		l := arrays.Modules.Of(c, a)
		if c.Stop() {
			return 0
		}
		terms.Drive(c, a.Origin)
		least := math.Inf(1)
		for _, e := range sharedHips(c, s, a) {
			for _, it := range s.ModuleItems(c, l, a) {
				d, _, _ := roofplan.Distance(it.Shape, e.Shape())
				least = math.Min(least, d)
			}
		}
		return least
	})

var _ = terms.Derive(arrayKind, "has_eave", terms.YesNo, "whether its side of the roof ends at an eave, below its plane or beyond a change of pitch", "geometry", "",
	func(c *terms.Call, a *job.Array) bool {
		s := roofs.Geometry.Of(c, c.Job())
		if c.Stop() {
			return false
		}
		side := s.Roof.JoinedTo(s.Index[terms.Peek(c, a.Plane)], roofplan.Break)
		has := slices.ContainsFunc(side, func(p int) bool {
			return slices.ContainsFunc(s.Roof.Edges(p), func(e roofplan.Edge) bool { return e.Kind == roofplan.Eave && e.Doubt == nil })
		})
		if !has {
			roofs.Certain(c, side...)
		}
		return has
	})

var _ = terms.Derive(arrayKind, "clearance_to_eave", terms.Quantity(quantity.Length), "distance on the surface from the array to the eave of its side of the roof", "geometry", "",
	func(c *terms.Call, a *job.Array) float64 { return roofs.Clearance(c, a, roofplan.Eave) })

var _ = terms.Derive(arrayKind, "clearance_to_roof_axes", terms.Quantity(quantity.Length), "distance in plan view from the array to the nearer centre line of the roof, along and across its longest edge", "geometry", "",
	func(c *terms.Call, a *job.Array) float64 {
		s := roofs.Geometry.Of(c, c.Job())
		l := arrays.Modules.Of(c, a)
		if c.Stop() {
			return 0
		}
		terms.Drive(c, a.Origin)
		return axisClearance(s, s.ModuleItems(c, l, a))
	})

var _ = terms.Derive(arrayKind, "largest_extent", terms.Quantity(quantity.Length), "larger of the length and the depth of the array", "geometry", "",
	func(c *terms.Call, a *job.Array) float64 {
		s := roofs.Geometry.Of(c, c.Job())
		l := arrays.Modules.Of(c, a)
		if c.Stop() {
			return 0
		}
		terms.Drive(c, a.Columns)
		return largestExtent(s.Roof, s.Index[terms.Peek(c, a.Plane)], s.ModuleItems(c, l, a))
	})

// carries tells whether an array lies on a plane.
func carries(c *terms.Call, s *roofs.State, plane int) bool {
	return len(arrays.On(c, s.Roof.Plane(plane).Name)) > 0
}

// sharedHips lists the hips and valleys of an array's plane beyond which
// modules lie.
func sharedHips(c *terms.Call, s *roofs.State, a *job.Array) []roofplan.Edge {
	return slices.DeleteFunc(s.Roof.Edges(s.Index[terms.Peek(c, a.Plane)]), func(e roofplan.Edge) bool {
		return e.Kind != roofplan.Hip && e.Kind != roofplan.Valley || !carries(c, s, e.Neighbour)
	})
}

// gapArea is the area of the gaps between neighbouring modules of an array, on
// the surface.
func gapArea(a *layout.Array) float64 {
	there := map[layout.Cell]bool{}
	for _, m := range a.Modules {
		there[m.Cell] = true
	}
	area := 0.0
	for _, m := range a.Modules {
		right := there[layout.Cell{Row: m.Cell.Row, Column: m.Cell.Column + 1}]
		above := there[layout.Cell{Row: m.Cell.Row + 1, Column: m.Cell.Column}]
		if right {
			area += a.GapX * a.Height
		}
		if above {
			area += a.GapY * a.Width
		}
		if right && above && there[layout.Cell{Row: m.Cell.Row + 1, Column: m.Cell.Column + 1}] {
			area += a.GapX * a.GapY
		}
	}
	return area
}

// axisClearance is the least distance of items to the centre lines of the
// roof in plan view. The axes of a roof run along and across its longest edge.
func axisClearance(s *roofs.State, items []roofplan.Item) float64 {
	var along roofplan.Point
	longest := 0.0
	for i := range s.Roof.Len() {
		outline := s.Roof.Plane(i).Outline
		for k, p := range outline {
			q := outline[(k+1)%len(outline)]
			if d := p.DistanceTo(q); !s.Ground[i] && d > longest {
				longest, along = d, roofplan.Point{X: (q.X - p.X) / d, Y: (q.Y - p.Y) / d}
			}
		}
	}
	least := math.Inf(1)
	for _, axis := range []roofplan.Point{along, {X: -along.Y, Y: along.X}} {
		lo, hi := math.Inf(1), math.Inf(-1)
		for i := range s.Roof.Len() {
			for _, p := range s.Roof.Plane(i).Outline {
				if d := p.X*axis.X + p.Y*axis.Y; !s.Ground[i] {
					lo, hi = math.Min(lo, d), math.Max(hi, d)
				}
			}
		}
		for _, it := range items {
			from, to := math.Inf(1), math.Inf(-1)
			for _, p := range it.Shape.Corners() {
				p = s.Roof.Frame(it.Plane).ToPlan(p)
				d := p.X*axis.X + p.Y*axis.Y - (lo+hi)/2
				from, to = math.Min(from, d), math.Max(to, d)
			}
			least = math.Min(least, math.Max(0, math.Max(from, -to)))
		}
	}
	return least
}
