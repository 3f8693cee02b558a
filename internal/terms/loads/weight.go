package loads

import (
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
