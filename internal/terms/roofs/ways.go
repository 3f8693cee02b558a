package roofs

import (
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/roofplan"
	"plumbrule/internal/terms"
)

// Way is the widest way from the lowest edge to the ridge over planes taken
// together. Err tells why there can be none at all: no edge to begin at, or
// planes that do not meet.
type Way struct {
	Planes []int
	Path   roofplan.Path
	Needs  []terms.Need // what is not known of what stands on them
	Err    error
}

// pair is one plane, or two that meet; second is -1 for one.
type pair struct{ first, second int }

var wayOver = terms.AnalyseBy(submittalKind, "way up", func(c *terms.Call, j *job.Job, p pair) Way {
	planes := []int{p.first}
	if p.second >= 0 {
		planes = append(planes, p.second)
	}
	s := Geometry.Of(c, j)
	w := Way{Planes: planes}
	if c.Stop() {
		return w
	}
	var items []roofplan.Item
	if items, w.Needs = s.Items(planes...); len(w.Needs) == 0 {
		w.Path, w.Err = s.Roof.Path(planes, items, PathProbe)
	}
	return w
})

// WayUp finds the widest way over one plane.
func WayUp(c *terms.Call, plane int) Way { return wayOver.Of(c, c.Job(), pair{plane, -1}) }

// WayOver finds the widest way over two planes that meet.
func WayOver(c *terms.Call, a, b int) Way { return wayOver.Of(c, c.Job(), pair{min(a, b), max(a, b)}) }

// widest picks the widest of several ways; it fails when what stands on any of
// their planes is not known, or when there is no way at all.
func widest(c *terms.Call, ways []Way) (roofplan.Path, bool) {
	best := roofplan.Path{Widest: -1}
	for _, w := range ways {
		c.Need(w.Needs...)
		if w.Err == nil && w.Path.Widest > best.Widest {
			best = w.Path
		}
	}
	if !c.Stop() && best.Widest < 0 {
		c.Err(ways[0].Err)
	}
	return best, !c.Stop()
}

// PathProbe is the width asked of the geometry when only the widest way
// matters; the widest way does not depend on it.
const PathProbe = 36 * quantity.Inch

var _ = terms.Derive(planeKind, "widest_path", terms.Quantity(quantity.Length), "widest way that a crew can travel from the lowest edge to the ridge on this plane alone", "geometry: chains of obstacles that close the plane", "",
	func(c *terms.Call, p *job.Plane) float64 {
		return way(c, p, func(own int) []Way { return []Way{WayUp(c, own)} })
	})

var _ = terms.Derive(planeKind, "widest_path_serving", terms.Quantity(quantity.Length), "widest way up that serves this plane: on itself, on a plane that meets it, or straddling the edge between both", "geometry: chains of obstacles that close the planes, laid flat", "",
	func(c *terms.Call, p *job.Plane) float64 {
		return way(c, p, func(own int) []Way { return waysBeside(c, own) })
	})

var _ = terms.Derive(planeKind, "widest_path_beside", terms.Quantity(quantity.Length), "widest way up that serves this plane, where a plane across the ridge does not count as adjacent", "geometry: chains of obstacles that close the planes, laid flat", "",
	func(c *terms.Call, p *job.Plane) float64 {
		return way(c, p, func(own int) []Way { return waysBeside(c, own, roofplan.Hip, roofplan.Valley, roofplan.Break) })
	})

// way gives the width of the widest of the ways that serve a plane.
func way(c *terms.Call, p *job.Plane, ways func(own int) []Way) float64 {
	s := Geometry.Of(c, c.Job())
	if c.Stop() {
		return 0
	}
	best, ok := widest(c, ways(s.Index[p.Name.Value]))
	if !ok {
		return 0
	}
	c.Drive(p.At)
	c.Explain(PathWork(best), nil)
	return best.Widest
}

// waysBeside lists the ways on a plane, on each plane that meets it along an
// edge of the given kinds (any that a crew can cross when none is given), and
// straddling both.
func waysBeside(c *terms.Call, own int, kinds ...roofplan.EdgeKind) []Way {
	ways := []Way{WayUp(c, own)}
	for _, n := range Geometry.Of(c, c.Job()).Roof.Neighbours(own, kinds...) {
		ways = append(ways, WayUp(c, n), WayOver(c, own, n))
	}
	return ways
}

func PathWork(p roofplan.Path) func(quantity.System) []string {
	return func(sys quantity.System) []string {
		line := "widest way from the lowest edge to the ridge: " + quantity.Of(p.Widest, quantity.Length).Format(sys)
		if p.Gate.A.Name != "" && p.Gate.B.Name != "" {
			line += ", narrowest between " + p.Gate.A.Name + " and " + p.Gate.B.Name
		}
		return []string{line}
	}
}

