package arrays

import (
	"fmt"
	"math"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/terms"
)

// Height is the height of the top of the modules above the roof as stated, else
// by stand-off, module and tilt.
var Height = terms.Fill(arrayKind, "height_above_roof", terms.Quantity(quantity.Length), func(c *terms.Call, a *job.Array, stated bool, v float64) float64 {
	if stated {
		return v
	}
	standOff, tilt, chord := c.Q(a.StandOff), c.Q(a.Tilt), 0.0
	thickness := moduleThickness(c, a)
	if tilt > 0 {
		if l := Modules.Of(c, a); !c.Stop() {
			chord = l.Modules[0].Rect.Height()
		}
	}
	top := standOff + thickness + chord*math.Sin(tilt*math.Pi/180)
	c.Explain(func(sys quantity.System) []string {
		show := func(v float64) string { return quantity.Of(v, quantity.Length).Format(sys) }
		raised := ""
		if tilt > 0 {
			raised = fmt.Sprintf(" + sin(%s) x %s", quantity.Of(tilt, quantity.Angle).Format(sys), show(chord))
		}
		return []string{fmt.Sprintf("top of array %s above the roof = stand-off %s + module %s%s = %s", a.Name.Value, show(standOff), show(thickness), raised, show(top))}
	}, nil)
	return top
})

// moduleThickness is the depth of the frame of the modules of an array.
func moduleThickness(c *terms.Call, a *job.Array) float64 {
	terms.Get(c, a.Module)
	if t, ok := terms.Seek(c, moduleTypeKind, a.Module); ok {
		return c.Q(t.Thickness)
	}
	return 0
}

// WoodWet is whether the wood of a plane is wet as stated, else assumed, since
// wet wood holds less.
var WoodWet = terms.Fill(framingKind, "wet", terms.YesNo, func(c *terms.Call, f *job.Framing, stated bool, v bool) bool {
	if stated {
		return v
	}
	c.Assume()
	c.Explain(func(quantity.System) []string {
		return []string{f.Wet.Key + " is left out: wet wood, which holds less"}
	}, nil)
	return true
})

// DetachedAccessory is whether the building is a detached accessory structure as
// stated; a dwelling is none.
var DetachedAccessory = terms.Fill(buildingKind, "detached_accessory", terms.YesNo, func(c *terms.Call, b *job.Building, stated bool, v bool) bool {
	switch {
	case stated:
		return v
	case !terms.Peek(c, b.Dwelling):
		c.Missing(b.DetachedAccessory.Key, b.DetachedAccessory.At)
		return false
	}
	c.Explain(func(quantity.System) []string {
		return []string{"the building is a dwelling, so no detached accessory structure"}
	}, nil)
	return false
})
