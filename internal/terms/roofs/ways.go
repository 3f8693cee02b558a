package roofs

import (
	"cmp"
	"slices"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/roofplan"
	"plumbrule/internal/terms"
)

// Way is the widest way from the lowest edge to the ridge over one side of the
// roof, or over two that meet. Err tells why there can be none at all: no edge
// to begin at or to end at, or sides that cannot be laid flat together.
type Way struct {
	Sides []int  // of the roof, one or two
	Over  string // the same in words
	Path  roofplan.Path
	Needs []terms.Need // what is not known of what stands on them, and of what they meet
	Err   error
}

// Width is the width of the way, metres; zero where there is none.
func (w Way) Width() float64 {
	if w.Err != nil || len(w.Needs) > 0 {
		return 0
	}
	return w.Path.Widest
}

// Apart tells whether two ways share no side of the roof.
func (w Way) Apart(other Way) bool {
	return !slices.ContainsFunc(w.Sides, func(k int) bool { return slices.Contains(other.Sides, k) })
}

// pair is one side, or two that meet; second is -1 for one.
type pair struct{ first, second int }

var wayOver = terms.AnalyseBy(submittalKind, "way up", func(c *terms.Call, _ *job.Job, p pair) Way {
	sides := []int{p.first}
	if p.second >= 0 {
		sides = append(sides, p.second)
	}
	return FindWay(c, sides, nil)
})

// FindWay finds the widest way over sides taken together, round everything that
// stands on them and round more items besides.
func FindWay(c *terms.Call, sides []int, more []roofplan.Item) Way {
	s, l := Geometry.Of(c, c.Job()), Sides.Of(c, c.Job())
	w := Way{Sides: sides}
	if c.Stop() {
		w.Needs = c.Needs()
		return w
	}
	var planes []int
	var names []string
	for _, k := range sides {
		planes = append(planes, l.List[k]...)
		names = append(names, l.Name(s, k))
	}
	w.Over = strings.Join(names, " and ")
	part := c.Part()
	items, needs := s.Items(planes...)
	part.Need(needs...)
	Certain(part, planes...)
	if w.Needs = part.Needs(); len(w.Needs) == 0 {
		w.Path, w.Err = s.Roof.Path(planes, slices.Concat(items, more), PathProbe)
	}
	return w
}

// WayUp finds the widest way over one side of the roof.
func WayUp(c *terms.Call, side int) Way { return wayOver.Of(c, c.Job(), pair{side, -1}) }

// WayOver finds the widest way over two sides that meet.
func WayOver(c *terms.Call, a, b int) Way { return wayOver.Of(c, c.Job(), pair{min(a, b), max(a, b)}) }

// widest sorts several ways by width, the widest first; it fails when what
// stands on any of their sides is not known, or when there is no way at all.
func widest(c *terms.Call, ways []Way) ([]Way, bool) {
	for _, w := range ways {
		c.Need(w.Needs...)
	}
	if c.Stop() {
		return nil, false
	}
	found := slices.DeleteFunc(slices.Clone(ways), func(w Way) bool { return w.Err != nil })
	if len(found) == 0 {
		c.Err(ways[0].Err)
		return nil, false
	}
	slices.SortStableFunc(found, func(a, b Way) int { return cmp.Compare(b.Width(), a.Width()) })
	return found, true
}

// PathProbe is the width asked of the geometry when only the widest way
// matters; the widest way does not depend on it.
const PathProbe = 36 * quantity.Inch

var _ = terms.Derive(planeKind, "widest_path", terms.Quantity(quantity.Length), "widest way that a crew can travel from the lowest edge to the ridge over the side of the roof that this plane belongs to", "geometry: chains of obstacles that close the side", "",
	func(c *terms.Call, p *job.Plane) float64 {
		return way(c, p, func(own int) []Way { return []Way{WayUp(c, own)} })
	})

var _ = terms.Derive(planeKind, "widest_path_serving", terms.Quantity(quantity.Length), "widest way up that serves this plane: on its own side of the roof, on a side that meets it, or straddling the edge between both", "geometry: chains of obstacles that close the sides, laid flat", "",
	func(c *terms.Call, p *job.Plane) float64 {
		return way(c, p, func(own int) []Way { return waysBeside(c, own, roofplan.Ridge, roofplan.Hip, roofplan.Valley) })
	})

var _ = terms.Derive(planeKind, "widest_path_beside", terms.Quantity(quantity.Length), "widest way up that serves this plane, where a side across the ridge does not count as adjacent", "geometry: chains of obstacles that close the sides, laid flat", "",
	func(c *terms.Call, p *job.Plane) float64 {
		return way(c, p, func(own int) []Way { return waysBeside(c, own, roofplan.Hip, roofplan.Valley) })
	})

// way gives the width of the widest of the ways that serve the side of a plane.
func way(c *terms.Call, p *job.Plane, ways func(side int) []Way) float64 {
	s, l := Geometry.Of(c, c.Job()), Sides.Of(c, c.Job())
	if c.Stop() {
		return 0
	}
	found, ok := widest(c, ways(l.Of[s.Index[p.Name.Value]]))
	if !ok {
		return 0
	}
	c.Drive(p.At)
	c.Explain(WaysWork("widest way from the lowest edge to the ridge", found), nil)
	return found[0].Width()
}

// waysBeside lists the ways on a side of the roof, on each side that meets it
// along an edge of the given kinds, and straddling both. Nobody straddles a
// ridge on the way up.
func waysBeside(c *terms.Call, own int, kinds ...roofplan.EdgeKind) []Way {
	s, l := Geometry.Of(c, c.Job()), Sides.Of(c, c.Job())
	ways := []Way{WayUp(c, own)}
	for _, n := range l.Beside(s, own, kinds...) {
		ways = append(ways, WayUp(c, n))
	}
	for _, n := range l.Beside(s, own, roofplan.Hip, roofplan.Valley) {
		ways = append(ways, WayOver(c, own, n))
	}
	return ways
}

// AllWays lists the ways over every side of the roof that falls one way and over
// every two such sides that meet at a hip or valley.
func AllWays(c *terms.Call) []Way {
	s, l := Geometry.Of(c, c.Job()), Sides.Of(c, c.Job())
	if c.Stop() {
		return nil
	}
	var ways []Way
	for k := range l.List {
		if _, falls := l.Falling(s, k); l.Ground[k] || !falls {
			continue
		}
		ways = append(ways, WayUp(c, k))
		for _, n := range l.Beside(s, k, roofplan.Hip, roofplan.Valley) {
			if _, falls := l.Falling(s, n); n > k && falls {
				ways = append(ways, WayOver(c, k, n))
			}
		}
	}
	return ways
}

// WaysWork says which way is the widest, where it is narrowest, and which are the
// next best ones: past another place on the same sides, and over others. The
// ways are sorted, the widest first.
func WaysWork(what string, ways []Way) func(quantity.System) []string {
	return func(sys quantity.System) []string {
		lines := []string{what + ", over " + ways[0].Words(sys)}
		if next := ways[0].Path.Next; next != nil {
			lines = append(lines, "next best on the same side, past another place: "+pathWords(*next, sys))
		}
		if len(ways) > 1 {
			lines = append(lines, "next best elsewhere: over "+ways[1].Words(sys))
		}
		return lines
	}
}

// Words says how wide a way is and what it lies between where it is narrowest.
func (w Way) Words(sys quantity.System) string { return w.Over + ": " + pathWords(w.Path, sys) }

func pathWords(p roofplan.Path, sys quantity.System) string {
	line := quantity.Of(p.Widest, quantity.Length).Format(sys)
	if p.Gate.A.Name != "" && p.Gate.B.Name != "" {
		line += ", narrowest between " + p.Gate.A.Name + " and " + p.Gate.B.Name
	}
	return line
}
