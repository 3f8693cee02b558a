package loads

import (
	"fmt"
	"math"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/structural"
	"plumbrule/internal/table"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/arrays"
)

// safety is the safety factor of a screw: that of the standard, or the
// maker's where it is larger.
func safety(c *terms.Call, s *structural.AISI, f *job.FastenerType) float64 {
	if terms.Stated(c, f.SafetyFactor) {
		return math.Max(s.Safety(), terms.Peek(c, f.SafetyFactor))
	}
	return s.Safety()
}

// steelOf is the steel that the screws of an array hold in: the framing, or the
// sheet where the feet are made for the sheet alone.
func steelOf(c *terms.Call, a *job.Array, p *job.Plane) (thickness, tensile float64, name string) {
	t, fu, name := arrays.Holding(c, a, p)
	if name != arrays.Sheet {
		needsMaterial(c, p, "steel", "metal screw")
	}
	return c.Q(t), c.Q(fu), name
}

func steelUplift(c *terms.Call, a *job.Array, p *job.Plane, f *job.FastenerType, s *capacityState) []structural.Capacity {
	code := aisi(c)
	diameter := c.Q(f.Diameter)
	thickness, tensile, steel := steelOf(c, a, p)
	s.hasHead = terms.Stated(c, f.Head)
	var head, side, sideTensile float64
	if s.hasHead { // left out: nothing to pull the foot over
		head, side, sideTensile = terms.Peek(c, f.Head).SI, c.Q(f.SideThickness), c.Q(f.SideTensile)
	}
	if c.Stop() {
		return nil
	}
	var err error
	if s.pullout, err = code.Pullout(diameter, thickness, tensile, safety(c, code, f)); err != nil {
		c.Err(err)
		return nil
	}
	s.upliftWork, s.code = s.pullout.Work, "AISI S100 "+code.Edition
	each := float64(s.count)
	modes := []structural.Capacity{{Mode: "pull-out from the " + steel, Allowable: s.pullout.Allowable * each, Refs: s.pullout.Refs}}
	if s.hasHead {
		if s.pullover, err = code.Pullover(head, side, sideTensile, safety(c, code, f)); err != nil {
			c.Err(err)
			return nil
		}
		s.upliftWork = chainWork(s.upliftWork, s.pullover.Work)
		modes = append(modes, structural.Capacity{Mode: "pull-over of the foot", Allowable: s.pullover.Allowable * each, Refs: s.pullover.Refs})
	}
	return modes
}

func screwShear(c *terms.Call, a *job.Array, p *job.Plane, f *job.FastenerType, count int, s *lateralState) structural.Capacity {
	code := aisi(c)
	diameter, side, sideTensile := c.Q(f.Diameter), c.Q(f.SideThickness), c.Q(f.SideTensile)
	thickness, tensile, steel := steelOf(c, a, p)
	if c.Stop() {
		return structural.Capacity{}
	}
	var err error
	if s.shear, err = code.Shear(diameter, side, sideTensile, thickness, tensile, safety(c, code, f)); err != nil {
		c.Err(err)
		return structural.Capacity{}
	}
	s.work, s.code = s.shear.Work, "AISI S100 "+code.Edition
	return structural.Capacity{Mode: "screw in shear in the " + steel, Allowable: s.shear.Allowable * float64(count), Refs: s.shear.Refs}
}

var _ = terms.Derive(arrayKind, "screw_safety", terms.PlainNumber, "safety factor of screw connections in steel", "AISI S100 J4", "", func(c *terms.Call, _ *job.Array) float64 {
	s := aisi(c)
	if c.Stop() {
		return 0
	}
	return s.Safety()
})

// steelCombined is the utilisation of the screws of a foot under tension and
// shear at once.
func steelCombined(c *terms.Call, a *job.Array, up *capacityState, side *lateralState, uplift, downslope float64) (float64, func(quantity.System) []string, []table.Ref) {
	f, _ := terms.Seek(c, fastenerTypeKind, a.Attachments.Fastener)
	c.Q(f.Head) // pull-over is half of the interaction
	code := aisi(c)
	if c.Stop() {
		return 0, nil, nil
	}
	n := float64(up.count)
	r, err := code.Interaction(downslope/n, uplift/n, side.shear, up.pullover, up.pullout)
	if err != nil {
		c.Err(err)
	}
	return r.Utilisation, func(sys quantity.System) []string {
		return []string{fmt.Sprintf("shear %s and tension %s on each screw: %.3f with pull-over, %.3f with pull-out (allowable level)",
			show(sys, downslope/n, quantity.Force), show(sys, uplift/n, quantity.Force), r.Pullover, r.Pullout)}
	}, r.Refs
}
