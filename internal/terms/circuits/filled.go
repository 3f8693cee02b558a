package circuits

import (
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/terms"
)

// What the job need not say of the conditions of a circuit, because its place
// or its raceway tells, or a bound is known that nothing exceeds.

// circuitOnRoof is whether a circuit runs in sunlight on the roof as stated, else by
// its place. Outside, or under an array, it can be either, and the sun is assumed.
var circuitOnRoof = terms.Fill(circuitKind, "on_roof", terms.YesNo, func(c *terms.Call, x *job.Circuit, stated bool, v bool) bool {
	if stated {
		return v
	}
	switch place := terms.Get(c, x.Place); place {
	case "roof":
		line(c, "%s has the place roof, in sunlight", x.Name.Value)
		return true
	case "inside", "attic", "underground":
		line(c, "%s has the place %s, out of the sun", x.Name.Value, place)
		return false
	}
	c.Assume()
	line(c, "%s is left out: in sunlight on the roof, where it is hottest", x.OnRoof.Key)
	return true
})

// aboveRoof is the height of a raceway above the roof as stated, else none,
// where it is hottest.
var aboveRoof = terms.Fill(circuitKind, "above_roof", terms.Quantity(quantity.Length), func(c *terms.Call, x *job.Circuit, stated bool, v float64) float64 {
	if !stated {
		c.Assume()
		line(c, "%s is left out: on the roof itself, where it is hottest", x.AboveRoof.Key)
	}
	return v
})

// terminal is the temperature rating of the terminals of a circuit as stated,
// else that of equipment without a mark.
var terminal = terms.Fill(circuitKind, "terminal", terms.Quantity(quantity.Temperature), func(c *terms.Call, x *job.Circuit, stated bool, v float64) float64 {
	if stated {
		return v
	}
	code, size := nec(c), terms.Get(c, x.Conductor)
	if c.Stop() {
		return 0
	}
	column, err := code.UnmarkedTerminal(size)
	if err != nil {
		c.Err(err)
		return 0
	}
	c.Assume()
	line(c, "%s is left out: %.0f degC, as of terminals without a mark", x.Terminal.Key, column)
	return column
})

// currentCarrying is the count of current-carrying conductors in the raceway of
// a circuit as stated, else that of all that are listed in it but the ground:
// none of them can be more than that, and a neutral may not count.
var currentCarrying = terms.Fill(circuitKind, "current_carrying", terms.WholeNumber, func(c *terms.Call, x *job.Circuit, stated bool, v int) int {
	if stated {
		return v
	}
	if terms.Get(c, x.Raceway); terms.Peek(c, x.Raceway) == "cable" {
		c.Missing(x.CurrentCarrying.Key, x.CurrentCarrying.At)
	}
	list := contents(c, x)
	if c.Stop() {
		return 0
	}
	all := besideGround(c, x, list)
	if c.Stop() {
		return 0
	}
	if leastCarrying(c, x) != all {
		c.Assume()
	}
	line(c, "%s: all %d conductors besides the ground are counted", terms.Peek(c, x.Contents), all)
	return all
})
