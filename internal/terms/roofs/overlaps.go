package roofs

import (
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/terms"
)

var _ = terms.Derive(planeKind, "lies_over", terms.Word, "other planes that cover the same ground in plan view; none where there is none", "geometry", "",
	func(c *terms.Call, p *job.Plane) string {
		terms.Drive(c, p.Outline)
		g := Geometry.Of(c, c.Job())
		if g == nil || g.Roof == nil {
			c.Fail("the roof cannot be laid out")
			return ""
		}
		own := g.Index[p.Name.Value]
		var others []string
		for _, o := range g.Roof.Overlaps() {
			switch own {
			case o.A:
				others = append(others, g.Roof.Plane(o.B).Name)
			case o.B:
				others = append(others, g.Roof.Plane(o.A).Name)
			}
		}
		if len(others) == 0 {
			return "none"
		}
		return strings.Join(others, ", ")
	})

var _ = terms.DeriveTwin(obstructionKind)
