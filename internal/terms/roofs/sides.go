package roofs

import (
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/roofplan"
	"plumbrule/internal/terms"
)

// Slopes is the roof by its sides: what a fire crew calls one slope, however
// many planes it is drawn in.
type Slopes struct {
	List   [][]int // the planes of each side, in order of index
	Of     []int   // the side of each plane
	Ground []bool  // of each side: open ground, which is no roof
}

// Sides parts the roof of the job into its sides. Each plane of open ground is
// one by itself. The list is empty where the roof is not known.
var Sides = terms.Analyse(submittalKind, "sides of the roof", func(c *terms.Call, j *job.Job) *Slopes {
	s := Geometry.Of(c, j)
	out := &Slopes{}
	if c.Stop() {
		return out
	}
	out.List, out.Of = s.Roof.Sides(), make([]int, s.Roof.Len())
	for k, planes := range out.List {
		out.Ground = append(out.Ground, s.Ground[planes[0]]) // ground joins nothing
		for _, p := range planes {
			out.Of[p] = k
		}
	}
	return out
})

// Falling gives the bearing toward which a side falls; false for a level one.
// Planes of one side fall the same way, or not at all.
func (l *Slopes) Falling(s *State, side int) (bearing float64, ok bool) {
	for _, p := range l.List[side] {
		if plane := s.Roof.Plane(p); plane.Slope > 0 {
			return plane.Downslope, true
		}
	}
	return 0, false
}

// Beside lists the sides of the roof that meet a side along edges of the given
// kinds.
func (l *Slopes) Beside(s *State, side int, kinds ...roofplan.EdgeKind) []int {
	var out []int
	for _, k := range s.Roof.Beside(l.List, side, kinds...) {
		if !l.Ground[k] {
			out = append(out, k)
		}
	}
	return out
}

// Has tells whether a plane of a side has an edge of one of the given kinds.
func (l *Slopes) Has(s *State, side int, kinds ...roofplan.EdgeKind) bool {
	for _, p := range l.List[side] {
		for _, e := range s.Roof.Edges(p) {
			for _, k := range kinds {
				if e.Kind == k {
					return true
				}
			}
		}
	}
	return false
}

// Name names a side by its planes.
func (l *Slopes) Name(s *State, side int) string {
	names := make([]string, len(l.List[side]))
	for i, p := range l.List[side] {
		names[i] = s.Roof.Plane(p).Name
	}
	return strings.Join(names, " + ")
}
