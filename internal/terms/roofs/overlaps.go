package roofs

import (
	"fmt"
	"slices"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/roofplan"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/arrays"
)

var _ = terms.Derive(planeKind, "lies_over", terms.Word, "other planes that cover the same ground in plan view; none where there is none", "geometry", "",
	func(c *terms.Call, p *job.Plane) string {
		return overlapsOf(c, p, func(_ *State, _ roofplan.PlaneOverlap, other string) string { return other }, ", ")
	})

var _ = terms.Derive(planeKind, "common_ground", terms.Word, "each other plane that covers the same ground, with the area, where it is, and how the heights lie; none where there is none", "geometry", "",
	func(c *terms.Call, p *job.Plane) string {
		return overlapsOf(c, p, func(s *State, o roofplan.PlaneOverlap, other string) string {
			sys := system(c)
			return fmt.Sprintf("%s of plane %s about %s, %s", quantity.Of(o.Area, quantity.Area).Format(sys), other, place(middle(o), sys), levelsApart(s, o, sys))
		}, "; ")
	})

// overlapsOf puts the planes that cover the same ground as a plane in words.
func overlapsOf(c *terms.Call, p *job.Plane, words func(s *State, o roofplan.PlaneOverlap, other string) string, between string) string {
	terms.Drive(c, p.Outline)
	s := laid.Of(c, c.Job())
	if c.Stop() {
		return ""
	}
	own := s.Index[p.Name.Value]
	var all []string
	for _, o := range s.Roof.Overlaps() {
		if o.A == own || o.B == own {
			all = append(all, words(s, o, s.Roof.Plane(o.A+o.B-own).Name))
		}
	}
	if len(all) == 0 {
		return "none"
	}
	return strings.Join(all, between)
}

// middle is the middle of the corners of the first common part.
func middle(o roofplan.PlaneOverlap) roofplan.Point {
	var sum roofplan.Point
	corners := o.Common[0][0]
	for _, p := range corners {
		sum.X, sum.Y = sum.X+p.X, sum.Y+p.Y
	}
	n := float64(len(corners))
	return roofplan.Point{X: sum.X / n, Y: sum.Y / n}
}

// levelsApart says how the heights of two planes lie where they cover the same
// ground.
func levelsApart(s *State, o roofplan.PlaneOverlap, sys quantity.System) string {
	if o.Rise == nil {
		return "at heights that are not stated"
	}
	least, most := o.Rise[0], o.Rise[1]
	a, b := s.Roof.Plane(o.A).Name, s.Roof.Plane(o.B).Name
	if o.Above == o.B || o.Above < 0 && -least > most {
		a, b, least, most = b, a, -most, -least
	}
	length := func(v float64) string { return quantity.Of(v, quantity.Length).Format(sys) }
	return fmt.Sprintf("where %s lies %s to %s above %s", a, length(least), length(most), b)
}

// modulesUnder counts the modules of an array that lie under another plane, more
// than at its border, and names the planes. It needs what would settle which of
// two planes is above the other.
func modulesUnder(c *terms.Call, a *job.Array) (modules int, planes []string) {
	s := laid.Of(c, c.Job())
	l := arrays.Modules.Of(c, a)
	if c.Stop() {
		return 0, nil
	}
	items := s.ModuleItems(c, l, a)
	own := s.Index[terms.Peek(c, a.Plane)]
	below := map[int]bool{}
	var needs []terms.Need
	for _, o := range s.Roof.Overlaps() {
		if o.A != own && o.B != own || o.Above == own {
			continue
		}
		part := s.Roof.CommonPart(o, own)
		var hit []int
		for i, it := range items {
			if slices.ContainsFunc(part, func(x roofplan.Shape) bool { return roofplan.Overlap(it.Shape, x, roofplan.Tolerance) }) {
				hit = append(hit, i)
			}
		}
		other := o.A + o.B - own
		switch {
		case len(hit) == 0:
		case o.Above < 0:
			needs = append(needs, unsettled(c, s, own, other, len(hit), a)...)
		default:
			planes = append(planes, s.Roof.Plane(other).Name)
			for _, i := range hit {
				below[i] = true
			}
		}
	}
	if len(below) == 0 {
		c.Need(needs...)
	}
	terms.Drive(c, a.Origin)
	return len(below), planes
}

// unsettled is what would tell which of two planes that cover the same ground
// is above the other, where modules lie in it.
func unsettled(c *terms.Call, s *State, own, other, modules int, a *job.Array) []terms.Need {
	if missing := missingHeights(c, own, other); len(missing) > 0 {
		return missing
	}
	why := fmt.Sprintf("plane %s covers the ground of %d modules on plane %s, and neither lies above the other throughout",
		s.Roof.Plane(other).Name, modules, s.Roof.Plane(own).Name)
	return []terms.Need{{Why: why, At: a.At}}
}

var _ = terms.Derive(arrayKind, "modules_under_plane", terms.WholeNumber, "modules that lie under another plane of the roof", "geometry", "",
	func(c *terms.Call, a *job.Array) int {
		modules, _ := modulesUnder(c, a)
		return modules
	})

var _ = terms.Derive(arrayKind, "lies_under", terms.Word, "other planes of the roof that its modules lie under; none where there is none", "geometry", "",
	func(c *terms.Call, a *job.Array) string {
		_, planes := modulesUnder(c, a)
		if len(planes) == 0 {
			return "none"
		}
		return strings.Join(planes, ", ")
	})

var _ = terms.DeriveTwin(obstructionKind)
