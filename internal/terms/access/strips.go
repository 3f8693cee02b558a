package access

import (
	"math"
	"slices"

	"plumbrule/internal/job"
	"plumbrule/internal/layout"
	"plumbrule/internal/quantity"
	"plumbrule/internal/roofplan"
)

func defineStrips() {
	derive("plane", "coverage", measured(quantity.Ratio), "share of the plane that is under modules, in plan view", "a stricter reading that some reviewers use", "",
		func(c *Call, p *job.Plane) any {
			cov, ok := c.coverage()
			if !ok {
				return nil
			}
			return cov.Planes[c.m.roof().index[p.Name.Value]]
		})
	derive("roof", "coverage_with_gaps", measured(quantity.Ratio), "share of the roof that is under modules and the gaps between them, in plan view", "a stricter reading: the code does not say whether gaps count", "",
		func(c *Call, _ *roofMark) any {
			cov, ok := c.coverage()
			if !ok {
				return nil
			}
			s := c.m.roof()
			gaps := 0.0
			for i := range c.m.Job.Arrays {
				if a := &c.m.Job.Arrays[i]; !s.ground[s.index[a.Plane.Value]] {
					gaps += gapArea(c.m.layout(a).array) * math.Cos(s.roof.Plane(s.index[a.Plane.Value]).Slope*math.Pi/180)
				}
			}
			return cov.Ratio + gaps/cov.Roof
		})
	derive("array", "modules_across_ridge", flag, "whether modules lie on a plane across the ridge of the array's own", "geometry", "",
		func(c *Call, a *job.Array) any {
			s := c.geometry()
			if c.Stop() {
				return nil
			}
			return slices.ContainsFunc(s.roof.Neighbours(s.index[a.Plane.Value], roofplan.Ridge), c.m.carries)
		})
	derive("array", "has_shared_hip", flag, "whether a hip or valley of the array's plane has modules on its other side too", "geometry", "",
		func(c *Call, a *job.Array) any {
			s := c.geometry()
			if c.Stop() {
				return nil
			}
			return len(c.sharedHips(s, a)) > 0
		})
	derive("array", "clearance_to_shared_hip", measured(quantity.Length), "distance on the surface to the nearest hip or valley that has modules on its other side too", "geometry", "",
		func(c *Call, a *job.Array) any {
			s := c.geometry()
			l := c.laidOut(a)
			if c.Stop() {
				return nil
			}
			c.Drive(a.Origin.At)
			least := math.Inf(1)
			for _, e := range c.sharedHips(s, a) {
				for _, it := range s.moduleItems(c.m, l, a) {
					d, _, _ := roofplan.Distance(it.Shape, e.Shape())
					least = math.Min(least, d)
				}
			}
			return least
		})
	derive("array", "clearance_to_eave", measured(quantity.Length), "distance on the surface from the array to the eave of its plane", "geometry", "",
		func(c *Call, a *job.Array) any { return c.clearance(a, roofplan.Eave) })
	derive("array", "clearance_to_roof_axes", measured(quantity.Length), "distance in plan view from the array to the nearer centre line of the roof, along and across its longest edge", "geometry", "",
		func(c *Call, a *job.Array) any {
			s := c.geometry()
			l := c.laidOut(a)
			if c.Stop() {
				return nil
			}
			c.Drive(a.Origin.At)
			return s.axisClearance(s.moduleItems(c.m, l, a))
		})
	derive("array", "largest_extent", measured(quantity.Length), "larger of the length and the depth of the array", "geometry", "",
		func(c *Call, a *job.Array) any {
			s := c.geometry()
			l := c.laidOut(a)
			if c.Stop() {
				return nil
			}
			c.Drive(a.Columns.At)
			return largestExtent(s.roof, s.index[a.Plane.Value], s.moduleItems(c.m, l, a))
		})
}

// carries tells whether an array lies on a plane.
func (m *Model) carries(plane int) bool {
	name := m.roof().roof.Plane(plane).Name
	return slices.ContainsFunc(m.Job.Arrays, func(a job.Array) bool { return a.Plane.Value == name })
}

// sharedHips lists the hips and valleys of an array's plane beyond which
// modules lie.
func (c *Call) sharedHips(s *roofState, a *job.Array) []roofplan.Edge {
	return slices.DeleteFunc(s.roof.Edges(s.index[a.Plane.Value]), func(e roofplan.Edge) bool {
		return e.Kind != roofplan.Hip && e.Kind != roofplan.Valley || !c.m.carries(e.Neighbour)
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
func (s *roofState) axisClearance(items []roofplan.Item) float64 {
	var along roofplan.Point
	longest := 0.0
	for i := range s.roof.Len() {
		outline := s.roof.Plane(i).Outline
		for k, p := range outline {
			q := outline[(k+1)%len(outline)]
			if d := p.DistanceTo(q); !s.ground[i] && d > longest {
				longest, along = d, roofplan.Point{X: (q.X - p.X) / d, Y: (q.Y - p.Y) / d}
			}
		}
	}
	least := math.Inf(1)
	for _, axis := range []roofplan.Point{along, {X: -along.Y, Y: along.X}} {
		lo, hi := math.Inf(1), math.Inf(-1)
		for i := range s.roof.Len() {
			for _, p := range s.roof.Plane(i).Outline {
				if d := p.X*axis.X + p.Y*axis.Y; !s.ground[i] {
					lo, hi = math.Min(lo, d), math.Max(hi, d)
				}
			}
		}
		for _, it := range items {
			from, to := math.Inf(1), math.Inf(-1)
			for _, p := range it.Shape.Corners() {
				p = s.roof.Frame(it.Plane).ToPlan(p)
				d := p.X*axis.X + p.Y*axis.Y - (lo+hi)/2
				from, to = math.Min(from, d), math.Max(to, d)
			}
			least = math.Min(least, math.Max(0, math.Max(from, -to)))
		}
	}
	return least
}

// largestExtent is the larger of length and depth of items on a plane, taken
// together.
func largestExtent(r *roofplan.Roof, plane int, items []roofplan.Item) float64 {
	most := 0.0
	for _, s := range r.Sections(plane, items, math.MaxFloat32) {
		most = math.Max(most, math.Max(s.Length[0], s.Length[1]))
	}
	return most
}

func defineOpenings() {
	derive("plane", "has_escape_opening", flag, "whether an emergency escape and rescue opening is drawn on the plane", "the job", "",
		func(c *Call, p *job.Plane) any {
			return slices.ContainsFunc(c.m.Job.Obstructions, func(o job.Obstruction) bool {
				return o.Plane.Value == p.Name.Value && o.Kind.Value == "escape-opening"
			})
		})
	derive("obstruction", "modules_below", count, "modules on the part of the plane straight down the slope from it", "geometry", "",
		func(c *Call, o *job.Obstruction) any {
			s, target, ok := c.obstacle(o)
			if !ok {
				return nil
			}
			zone, ok := s.roof.ZoneBelow(target)
			if !ok {
				return 0 // it stands at the lowest edge
			}
			c.Drive(o.At.At)
			return len(s.roof.Intruders(target.Plane, zone, s.modules, roofplan.Tolerance/10))
		})
	derive("obstruction", "way_to_lowest_edge", measured(quantity.Length), "widest straight way over its plane from an eave to it", "geometry", "",
		func(c *Call, o *job.Obstruction) any { return c.straightWay(o, roofplan.Eave) })
	derive("obstruction", "way_to_roof_edge", measured(quantity.Length), "widest straight way over its plane from a roof edge to it", "geometry", "",
		func(c *Call, o *job.Obstruction) any { return c.straightWay(o, roofplan.OuterKinds...) })
}

// obstacle is an obstruction as an item of the roof, with all modules on its
// plane known.
func (c *Call) obstacle(o *job.Obstruction) (*roofState, roofplan.Item, bool) {
	s := c.geometry()
	if c.Stop() {
		return s, roofplan.Item{}, false
	}
	shape, needs := obstructionShape(c.m, o)
	c.out.Needs = append(append(c.out.Needs, needs...), s.itemNeeds[o.Plane.Value]...)
	return s, roofplan.Item{Name: o.Name.Value, Plane: s.index[o.Plane.Value], Shape: shape}, !c.Stop()
}

// straightWay gives the width of the widest straight way from edges of the
// given kinds to an obstruction, zero where there is none. A way of one width
// holds every narrower one, so the widest is found by halving.
func (c *Call) straightWay(o *job.Obstruction, kinds ...roofplan.EdgeKind) any {
	s, target, ok := c.obstacle(o)
	if !ok {
		return nil
	}
	c.Drive(o.At.At)
	var targets []roofplan.Shape
	items := slices.DeleteFunc(slices.Concat(s.modules, s.obstacles), func(it roofplan.Item) bool { return it == target })
	for _, e := range s.roof.Edges(target.Plane) {
		if slices.Contains(kinds, e.Kind) {
			targets = append(targets, e.Shape())
		} else if e.Kind == roofplan.Rake { // half the way may not lie beyond the side of the roof
			items = append(items, roofplan.Item{Name: e.Kind.String(), Plane: target.Plane, Shape: e.Shape()})
		}
	}
	items = slices.DeleteFunc(items, func(it roofplan.Item) bool { return it.Plane != target.Plane })
	width := s.straight(target, targets, items)
	c.Explain(func(sys quantity.System) []string {
		return []string{"widest straight way to " + o.Name.Value + ": " + length(width, sys)}
	}, nil)
	return width
}

// straight is the width of the widest straight way to a place. It is no wider
// than twice the distance to the nearest item.
func (s *roofState) straight(place roofplan.Item, targets []roofplan.Shape, items []roofplan.Item) float64 {
	centre := place.Shape.Centre()
	open := func(width float64) bool {
		way, ok := s.roof.Straight(place.Plane, centre, targets, items, width)
		return ok && way.Exists
	}
	most := largestExtent(s.roof, place.Plane, outlineItems(s.roof, place.Plane))
	for _, it := range items {
		d, _, _ := roofplan.Distance(roofplan.Disc(centre, 0), it.Shape)
		most = math.Min(most, 2*d)
	}
	if most == 0 || open(most) {
		return most
	}
	least := 0.0
	for most-least > roofplan.Tolerance*1e-8 {
		if middle := (least + most) / 2; open(middle) {
			least = middle
		} else {
			most = middle
		}
	}
	return least
}

// outlineItems stands for the corners of a plane where its extent is asked.
func outlineItems(r *roofplan.Roof, plane int) []roofplan.Item {
	var out []roofplan.Item
	for _, p := range r.Outline(plane) {
		out = append(out, roofplan.Item{Plane: plane, Shape: roofplan.Disc(p, 0)})
	}
	return out
}
