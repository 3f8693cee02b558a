package loads

import (
	"fmt"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/structural"
	"plumbrule/internal/terms"
)

// clampUplift is what the seam clamps of a foot hold by their maker's test.
func clampUplift(c *terms.Call, f *job.FastenerType, s *capacityState) []structural.Capacity {
	ultimate, safety := c.Q(f.TestedUltimate), terms.Get(c, f.SafetyFactor)
	if c.Stop() {
		return nil
	}
	one, err := structural.Tested("seam clamp by its maker's test", ultimate*float64(s.count), safety)
	if err != nil {
		c.Err(err)
	}
	s.upliftWork = func(sys quantity.System) []string {
		return []string{fmt.Sprintf("tested ultimate %s x %d / %.2f = %s", show(sys, ultimate, quantity.Force), s.count, safety, show(sys, one.Allowable, quantity.Force))}
	}
	s.code = "maker's test"
	return []structural.Capacity{one}
}
