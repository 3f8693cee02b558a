package roofs

import (
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/roofplan"
	"plumbrule/internal/terms"
)

var _ = terms.Derive(planeKind, "walked_over", terms.Word, "what a crew steps over on the side of the roof that this plane belongs to; none where there is nothing", "the job", "",
	func(c *terms.Call, p *job.Plane) string {
		s, l := Geometry.Of(c, c.Job()), Sides.Of(c, c.Job())
		if c.Stop() {
			return ""
		}
		var names []string
		for i := range c.Job().Obstructions {
			o := &c.Job().Obstructions[i]
			plane, ok := s.Index[terms.Peek(c, o.Plane)]
			if !ok || l.Of[plane] != l.Of[s.Index[p.Name.Value]] || !terms.Peek(c, o.WalkedOver) {
				continue
			}
			ObstructionShapes.Of(c, o)
			if ObstructionStepped.Of(c, o) {
				names = append(names, o.Name.Value)
			}
		}
		if c.Stop() {
			return ""
		}
		if len(names) == 0 {
			return "none"
		}
		return strings.Join(names, ", ")
	})

var _ = terms.Derive(planeKind, "widest_path_unstepped", terms.Quantity(quantity.Length), "widest way up that serves this plane, round what a crew would step over as well", "geometry: chains of obstacles that close the sides, laid flat", "",
	func(c *terms.Call, p *job.Plane) float64 {
		return way(c, p, func(own int) []Way {
			stepped := Geometry.Of(c, c.Job()).Stepped
			ways := waysBeside(c, own, roofplan.Ridge, roofplan.Hip, roofplan.Valley)
			for i, w := range ways {
				ways[i] = FindWay(c, w.Sides, stepped)
			}
			return ways
		})
	})
