package access

import (
	"math"
	"slices"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/roofplan"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/arrays"
	"plumbrule/internal/terms/roofs"
)

var _ = terms.Derive(planeKind, "side_has_ridge", terms.YesNo, "whether the side of the roof that the plane belongs to ends at a level ridge that it shares with another", "geometry", "",
	func(c *terms.Call, p *job.Plane) bool {
		s, l, side := sideOf(c, p.Name.Value)
		return !c.Stop() && l.Has(s, side, roofplan.Ridge)
	})

var _ = terms.Derive(planeKind, "side_coverage", terms.Quantity(quantity.Ratio), "share of the side of the roof that the plane belongs to that is under modules, in plan view", "a stricter reading that some reviewers use", "",
	func(c *terms.Call, p *job.Plane) float64 {
		cov, ok := roofs.Coverage(c)
		s, l, side := sideOf(c, p.Name.Value)
		if !ok || c.Stop() {
			return 0
		}
		covered, area := 0.0, 0.0
		for _, i := range l.List[side] {
			own := s.Roof.PlanArea(i)
			covered, area = covered+cov.Planes[i]*own, area+own
		}
		return covered / area
	})

var _ = terms.Derive(arrayKind, "clearance_to_side_ridge", terms.Quantity(quantity.Length), "distance on the surface from the array to the nearest level ridge of its side of the roof, over changes of pitch", "geometry", "",
	func(c *terms.Call, a *job.Array) float64 {
		return sideClearance(c, a, func(e roofplan.Edge) bool { return e.Kind == roofplan.Ridge })
	})

var _ = terms.Derive(arrayKind, "modules_across_side_ridge", terms.YesNo, "whether modules lie on a side of the roof across the ridge of the array's own", "geometry", "",
	func(c *terms.Call, a *job.Array) bool {
		s, l, side := sideOf(c, terms.Peek(c, a.Plane))
		return !c.Stop() && slices.ContainsFunc(l.Beside(s, side, roofplan.Ridge), func(k int) bool { return sideCarries(c, s, l, k) })
	})

var _ = terms.Derive(arrayKind, "side_shares_hip", terms.YesNo, "whether a hip or valley of the array's side of the roof has modules on its other side too", "geometry", "",
	func(c *terms.Call, a *job.Array) bool {
		s, l, side := sideOf(c, terms.Peek(c, a.Plane))
		return !c.Stop() && slices.ContainsFunc(l.Beside(s, side, roofplan.Hip, roofplan.Valley), func(k int) bool { return sideCarries(c, s, l, k) })
	})

var _ = terms.Derive(arrayKind, "clearance_to_side_hip", terms.Quantity(quantity.Length), "distance on the surface from the array to the nearest hip or valley of its side of the roof that has modules on its other side too", "geometry", "",
	func(c *terms.Call, a *job.Array) float64 {
		s, l := roofs.Geometry.Of(c, c.Job()), roofs.Sides.Of(c, c.Job())
		return sideClearance(c, a, func(e roofplan.Edge) bool {
			return (e.Kind == roofplan.Hip || e.Kind == roofplan.Valley) && e.Neighbour >= 0 && sideCarries(c, s, l, l.Of[e.Neighbour])
		})
	})

// sideCarries tells whether an array lies on a side of the roof.
func sideCarries(c *terms.Call, s *roofs.State, l *roofs.Slopes, side int) bool {
	return slices.ContainsFunc(l.List[side], func(p int) bool { return carries(c, s, p) })
}

// sideClearance is the least distance of an array's modules to edges of its side
// of the roof, over the planes of the side laid flat.
func sideClearance(c *terms.Call, a *job.Array, counts func(roofplan.Edge) bool) float64 {
	s, l, side := sideOf(c, terms.Peek(c, a.Plane))
	modules := arrays.Modules.Of(c, a)
	if c.Stop() {
		return 0
	}
	flat, err := s.Roof.Unfold(l.List[side], roofplan.Break)
	if err != nil {
		c.Err(err)
		return 0
	}
	items := s.ModuleItems(c, modules, a)
	least, at, to := math.Inf(1), 0, roofplan.Edge{}
	for _, p := range l.List[side] {
		for _, e := range s.Roof.Edges(p) {
			if !counts(e) {
				continue
			}
			edge, err := flat.Shape(p, e.Shape())
			if err != nil {
				c.Err(err)
				return 0
			}
			for i, it := range items {
				module, err := flat.Shape(it.Plane, it.Shape)
				if err != nil {
					c.Err(err)
					return 0
				}
				if d, _, _ := roofplan.Distance(module, edge); d < least {
					least, at, to = d, i, e
				}
			}
		}
	}
	if math.IsInf(least, 1) {
		c.Fail("the side of plane %s has no such edge", terms.Peek(c, a.Plane))
		return 0
	}
	terms.Drive(c, a.Origin)
	c.Explain(func(sys quantity.System) []string {
		return []string{"nearest: " + modules.Modules[at].Name() + " to the " + to.Kind.String() + " of plane " + s.Roof.Plane(to.Plane).Name + ", " + length(least, sys) + " on the surface"}
	}, nil)
	return least
}
