package loads

import (
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/arrays"
)

var _ = terms.Derive(arrays.Attachment, "dead_weight", terms.Quantity(quantity.Force), "weight of the modules and of the mounting on its tributary area", "datasheets; statics of simple beams", "", deadWeight)

// deadWeight is the weight that one foot carries.
func deadWeight(c *terms.Call, f *arrays.Foot) float64 {
	terms.Drive(c, f.Array.Attachments.Spacing)
	area, perArea := f.On(c).Areas[f.I], deadLoad(c, f.Array)
	if c.Stop() {
		return 0
	}
	c.Explain(func(sys quantity.System) []string {
		return []string{"weight on the foot = " + quantity.Of(perArea, quantity.Pressure).Format(sys) + " x " +
			quantity.Of(area, quantity.Area).Format(sys) + " = " + quantity.Of(perArea*area, quantity.Force).Format(sys)}
	}, nil)
	return perArea * area
}

var arrayDeadLoad = terms.Derive(arrayKind, "dead_load", terms.Quantity(quantity.Pressure), "weight of modules, mounting and ballast per area of the slope", "datasheets", "",
	func(c *terms.Call, a *job.Array) float64 {
		d := weightOnRoof(c, a)
		if c.Stop() {
			return 0
		}
		if t, ok := terms.Seek(c, moduleTypeKind, a.Module); ok {
			terms.Drive(c, t.Weight)
		}
		c.Explain(func(sys quantity.System) []string {
			return []string{"modules over their area and mounting: " + show(sys, d, quantity.Pressure) + " of the slope"}
		}, nil)
		return d
	})

// weightOnRoof is the dead load with ballast that is stated for an array on feet:
// it does not count against the wind, but lies on the roof.
func weightOnRoof(c *terms.Call, a *job.Array) float64 {
	total := deadLoad(c, a)
	t, ok := terms.Seek(c, moduleTypeKind, a.Module)
	if !ok || c.Stop() || ballasted(c, a) || !terms.Stated(c, a.BallastEach) {
		return total
	}
	return total + c.Q(a.BallastEach)*quantity.StandardGravity/(c.Q(t.Length)*c.Q(t.Width))
}

// deadLoad is the weight of modules and mounting, and of the ballast that holds an
// array, per area of the slope.
func deadLoad(c *terms.Call, a *job.Array) float64 {
	terms.Get(c, a.Module)
	terms.Get(c, a.Mounting)
	total := 0.0
	if t, ok := terms.Seek(c, moduleTypeKind, a.Module); ok {
		weight, length, width := c.Q(t.Weight), c.Q(t.Length), c.Q(t.Width)
		if length > 0 && width > 0 {
			if ballasted(c, a) {
				weight += c.Q(a.BallastEach)
			}
			total += weight * quantity.StandardGravity / (length * width)
		}
	}
	if t, ok := terms.Seek(c, mountingTypeKind, a.Mounting); ok {
		total += c.Q(t.Weight)
	}
	return total
}
