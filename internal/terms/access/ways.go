package access

import (
	"fmt"
	"math"
	"slices"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/roofplan"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/arrays"
	"plumbrule/internal/terms/roofs"
)

var _ = terms.Derive(planeKind, "arrays", terms.ListOf(arrayKind), "the arrays that lie on the plane", "the job", "",
	func(c *terms.Call, p *job.Plane) []*job.Array { return arrays.On(c, p.Name.Value) })

var _ = terms.Derive(planeKind, "has_hip", terms.YesNo, "whether the side of the roof that the plane belongs to meets another at a hip", "geometry", "",
	func(c *terms.Call, p *job.Plane) bool {
		s, l, side := sideOf(c, p.Name.Value)
		return !c.Stop() && l.Has(s, side, roofplan.Hip)
	})

var _ = terms.Derive(roofs.Roof, "slopes", terms.WholeNumber, "sides of the roof that fall one way and have a top: a ridge, a hip or a high edge with nothing beyond", "geometry", "",
	func(c *terms.Call, _ *roofs.Whole) int { return len(slopesWithTop(c)) })

var _ = terms.Derive(roofs.Roof, "second_pathway", terms.Quantity(quantity.Length), "the narrower of the two widest ways from the lowest edge to the ridge that lie on separate sides of the roof; a way that straddles two sides takes both", "geometry: chains of obstacles that close the sides", "",
	func(c *terms.Call, _ *roofs.Whole) float64 { return secondPathway(c) })

var _ = terms.Derive(roofs.Roof, "second_pathway_on_slope", terms.Quantity(quantity.Length), "the narrower of two ways up the only slope of a roof of a single pitch; zero where the roof has more slopes, or none", "geometry: chains of obstacles that close the side", "",
	func(c *terms.Call, _ *roofs.Whole) float64 {
		if slopes := slopesWithTop(c); len(slopes) == 1 {
			return secondPath(c, slopes[0])
		}
		return 0
	})

var _ = terms.Derive(roofs.Roof, "widest_pathway", terms.Quantity(quantity.Length), "widest way from a lowest edge to a ridge anywhere on the roof", "geometry: chains of obstacles that close the sides", "",
	func(c *terms.Call, _ *roofs.Whole) float64 {
		best := roofs.Way{}
		for _, w := range roofs.AllWays(c) {
			c.Need(w.Needs...)
			if w.Width() > best.Width() {
				best = w
			}
		}
		return best.Width()
	})

var _ = terms.Derive(planeKind, "second_path", terms.Quantity(quantity.Length), "the narrower of two ways from the lowest edge to the ridge on the side of the roof that this plane belongs to, one on either side of an array or side by side in one way", "geometry: chains of obstacles that close the side", "",
	func(c *terms.Call, p *job.Plane) float64 {
		if _, _, side := sideOf(c, p.Name.Value); !c.Stop() {
			return secondPath(c, side)
		}
		return 0
	})

var _ = terms.Derive(planeKind, "widest_path_off_overhang", terms.Quantity(quantity.Length), "widest way up the side of this plane that keeps off the weak overhang along its rakes", "geometry: chains of obstacles that close the side", "",
	func(c *terms.Call, p *job.Plane) float64 {
		s, l, side := sideOf(c, p.Name.Value)
		terms.Drive(c, p.WeakRake)
		if c.Stop() {
			return 0
		}
		w := roofs.FindWay(c, []int{side}, weakRakes(c, s, l.List[side]))
		if c.Need(w.Needs...); c.Stop() {
			return 0
		}
		if w.Err != nil {
			c.Err(w.Err)
			return 0
		}
		c.Explain(roofs.WaysWork("widest way off the overhang", []roofs.Way{w}), nil)
		return w.Width()
	})

var _ = terms.Derive(roofs.Roof, "level_changes", terms.WholeNumber, "places where one plane ends along another that lies higher or lower", "geometry", "",
	func(c *terms.Call, _ *roofs.Whole) int { return roofs.LevelChanges(c) })

// sideOf is the side of the roof that a plane belongs to. What the side meets
// must be certain.
func sideOf(c *terms.Call, plane string) (*roofs.State, *roofs.Slopes, int) {
	s, l := roofs.Geometry.Of(c, c.Job()), roofs.Sides.Of(c, c.Job())
	i, known := s.Index[plane]
	if c.Stop() || !known {
		return s, l, -1
	}
	roofs.Certain(c, l.List[l.Of[i]]...)
	return s, l, l.Of[i]
}

// slopesWithTop lists the sides that fall one way and end at a top of their own.
// A roof that leans against a wall, as a porch does, has none.
func slopesWithTop(c *terms.Call) []int {
	s, l := roofs.Geometry.Of(c, c.Job()), roofs.Sides.Of(c, c.Job())
	var out []int
	for k, planes := range l.List {
		if l.Ground[k] {
			continue
		}
		roofs.Certain(c, planes...)
		if _, falls := l.Falling(s, k); falls && (l.Has(s, k, roofplan.Ridge, roofplan.Hip) || openTop(s, planes)) {
			out = append(out, k)
		}
	}
	return out
}

// openTop tells whether a high edge of one of the planes has nothing beyond.
func openTop(s *roofs.State, planes []int) bool {
	for _, p := range planes {
		for _, e := range s.Roof.Edges(p) {
			if e.Kind == roofplan.HighEave && e.Beyond < 0 {
				return true
			}
		}
	}
	return false
}

// weakRakes is the overhang along the rakes of planes that does not carry a
// crew.
func weakRakes(c *terms.Call, s *roofs.State, planes []int) []roofplan.Item {
	var out []roofplan.Item
	for _, i := range planes {
		for _, e := range s.Roof.Edges(i) {
			if e.Kind == roofplan.Rake {
				weak := c.Q(c.Job().Planes[i].WeakRake)
				out = append(out, roofplan.Item{Name: "weak overhang", Plane: i, Shape: e.Shape().Grown(weak)})
			}
		}
	}
	return out
}

// secondPathway finds the two ways that share no side whose narrower one is
// the widest, and gives its width; zero where there are no two.
func secondPathway(c *terms.Call) float64 {
	ways := roofs.AllWays(c)
	for _, w := range ways {
		c.Need(w.Needs...)
	}
	if c.Stop() {
		return 0
	}
	best := 0.0
	var pair [2]roofs.Way
	for i, v := range ways {
		for _, w := range ways[:i] {
			if narrower := math.Min(v.Width(), w.Width()); narrower > best && v.Apart(w) {
				best, pair = narrower, [2]roofs.Way{w, v}
			}
		}
	}
	c.Explain(func(sys quantity.System) []string {
		if best == 0 {
			return append([]string{"no two ways up lie on separate sides of the roof"}, shut(ways)...)
		}
		lines := []string{"way up over " + pair[0].Words(sys), "way up over " + pair[1].Words(sys)}
		if third, ok := nextBest(ways, pair[:]); ok {
			lines = append(lines, "next best elsewhere: over "+third.Words(sys))
		}
		return lines
	}, nil)
	return best
}

// nextBest is the widest of the ways that are none of those taken.
func nextBest(ways, taken []roofs.Way) (best roofs.Way, ok bool) {
	for _, w := range ways {
		if w.Width() > best.Width() && !slices.ContainsFunc(taken, func(t roofs.Way) bool { return slices.Equal(t.Sides, w.Sides) }) {
			best, ok = w, true
		}
	}
	return best, ok
}

// shut says why there is no way at all over the sides that have none.
func shut(ways []roofs.Way) []string {
	var lines []string
	for _, w := range ways {
		if w.Err != nil && len(w.Sides) == 1 {
			lines = append(lines, fmt.Sprintf("over %s: %v", w.Over, w.Err))
		}
	}
	return lines
}

func length(m float64, sys quantity.System) string {
	return quantity.Of(m, quantity.Length).Format(sys)
}

// secondPath gives the narrower of two ways on one side of the roof: on either
// side of an array, which a line from the array to one flank stands for, or
// both in one way of twice the width.
func secondPath(c *terms.Call, side int) float64 {
	s, l := roofs.Geometry.Of(c, c.Job()), roofs.Sides.Of(c, c.Job())
	whole := roofs.WayUp(c, side)
	c.Need(whole.Needs...)
	if c.Stop() {
		return 0
	}
	if whole.Err != nil {
		c.Err(whole.Err)
		return 0
	}
	best := whole.Path.Widest / 2
	var reach float64
	for _, plane := range l.List[side] {
		for _, p := range s.Roof.Plane(plane).Outline {
			reach = math.Max(reach, 4*p.DistanceTo(s.Roof.Plane(l.List[side][0]).Outline[0]))
		}
	}
	reach = reach / math.Cos(steepest(s, l.List[side])*math.Pi/180)
	for i := range c.Job().Arrays {
		a := &c.Job().Arrays[i]
		plane := s.Index[terms.Peek(c, a.Plane)]
		if l.Of[plane] != side {
			continue
		}
		modules := s.ModuleItems(c, arrays.Modules.Of(c, a), a)
		m := modules[len(modules)/2].Shape.Centre()
		narrower := math.Inf(1)
		for _, to := range []float64{-reach, reach} {
			bar := roofplan.Item{Name: "array " + a.Name.Value, Plane: plane, Shape: roofplan.Segment(m, roofplan.Point{X: m.X + to, Y: m.Y})}
			w := roofs.FindWay(c, []int{side}, []roofplan.Item{bar})
			if w.Err != nil {
				c.Err(w.Err)
				return 0
			}
			narrower = math.Min(narrower, w.Width())
		}
		best = math.Max(best, narrower)
	}
	c.Explain(func(sys quantity.System) []string {
		return []string{"the narrower of two ways up " + l.Name(s, side) + ": " + length(best, sys), "the widest: over " + whole.Words(sys)}
	}, nil)
	return best
}

func steepest(s *roofs.State, planes []int) float64 {
	most := 0.0
	for _, p := range planes {
		most = math.Max(most, s.Roof.Plane(p).Slope)
	}
	return most
}
