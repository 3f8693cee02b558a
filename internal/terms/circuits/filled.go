package circuits

import (
	"slices"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/arrays"
	"plumbrule/internal/wiring"
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
	line(c, "%s: all %d conductors besides the ground are counted", racewayContents.Of(c, x), all)
	return all
})

// inverterCount is how many microinverters a group stands for as stated, else one
// to every modules_each modules of its array, where nothing else takes modules
// of that.
var inverterCount = terms.Fill(inverterKind, "count", terms.WholeNumber, func(c *terms.Call, i *job.Inverter, stated bool, v int) int {
	if stated {
		return v
	}
	if !inverterIsMicro.Of(c, i) {
		c.Missing(i.Count.Key, i.Count.At)
		return 0
	}
	a, t := terms.Follow(c, arrayKind, i.Array), typeOf(c, i)
	if c.Stop() {
		return 0
	}
	for _, other := range inverterKind.All(c) {
		if other != i && inverterIsMicro.Of(c, other) && (!terms.Stated(c, other.Array) || terms.Peek(c, other.Array) == a.Name.Value) {
			c.Fail("%s and %s share the modules of %s", i.Name.Value, other.Name.Value, a.Name.Value)
		}
	}
	for _, s := range stringKind.All(c) {
		if slices.ContainsFunc(arraysNamed(c, s), func(name job.Text) bool { return !terms.Stated(c, name) || terms.Peek(c, name) == a.Name.Value }) {
			c.Fail("%s and string %s share the modules of %s", i.Name.Value, s.Name.Value, a.Name.Value)
		}
	}
	modules, each := arrays.ArrayModuleCount.Of(c, a), terms.Get(c, t.ModulesEach)
	if c.Stop() {
		return 0
	}
	if modules%each != 0 {
		c.Fail("%d modules of %s do not go by %d onto %s", modules, a.Name.Value, each, i.Name.Value)
		return 0
	}
	line(c, "%d modules of %s, %d on each of %s: %d units", modules, a.Name.Value, each, i.Name.Value, modules/each)
	return modules / each
})

// circuitUnits is how many microinverters stand on a branch as stated, else those
// of its groups that stand on no other.
var circuitUnits = terms.Fill(circuitKind, "units", terms.WholeNumber, func(c *terms.Call, x *job.Circuit, stated bool, v int) int {
	if stated {
		return v
	}
	s := traced.Of(c, c.Job())
	c.Need(s.ac...)
	branches, groups := joinedBranches(c, s, x)
	if len(groups) == 0 && !c.Stop() {
		c.Fail("no microinverter leads to %s", x.Name.Value)
	}
	total, elsewhere := 0, 0
	var names, others []string
	for _, i := range groups {
		total += inverterUnitCount.Of(c, i)
		names = append(names, i.Name.Value)
	}
	for _, y := range branches {
		switch {
		case y == x:
			continue
		case terms.Peek(c, y.Kind) != "branch":
			c.Fail("%s leads to %s, which is no branch", names[0], y.Name.Value)
		case !terms.Stated(c, y.Units):
			c.Fail("%s stand on %s and %s, and how many on each is not said", strings.Join(names, ", "), x.Name.Value, y.Name.Value)
		}
		elsewhere += terms.Peek(c, y.Units)
		others = append(others, y.Name.Value)
	}
	if c.Stop() {
		return 0
	}
	if total <= elsewhere {
		c.Fail("%s have %d units, and %s take %d", strings.Join(names, ", "), total, strings.Join(others, ", "), elsewhere)
		return 0
	}
	if len(others) > 0 {
		line(c, "%s: %d units, of which %d on %s: %d on %s", strings.Join(names, ", "), total, elsewhere, strings.Join(others, ", "), total-elsewhere, x.Name.Value)
	} else {
		line(c, "all %d units of %s on %s", total, strings.Join(names, ", "), x.Name.Value)
	}
	return total - elsewhere
})

// joinedBranches are the circuits that carry any of the groups of microinverters
// of a circuit, or of another of them, with all those groups.
func joinedBranches(c *terms.Call, s *system, x *job.Circuit) (branches []*job.Circuit, groups []*job.Inverter) {
	branches = []*job.Circuit{x}
	for n := 0; n < len(branches); n++ {
		for _, from := range s.Before(wiring.Node{Kind: wiring.Circuit, Name: branches[n].Name.Value}) {
			i, ok := job.ByName(c.Job().Inverters, from.Name)
			if from.Kind != wiring.Inverter || !ok || slices.Contains(groups, i) || !inverterIsMicro.Of(c, i) {
				continue
			}
			groups = append(groups, i)
			for _, name := range s.FirstRuns(from) {
				if y, ok := job.ByName(c.Job().Circuits, name); ok && !slices.Contains(branches, y) {
					branches = append(branches, y)
				}
			}
		}
	}
	return branches, groups
}

// groundMaterial is the material of the equipment grounding conductor as stated,
// else that of the conductors beside it, which a schedule names once for both.
var groundMaterial = terms.Fill(circuitKind, "ground_material", terms.Word, func(c *terms.Call, x *job.Circuit, stated bool, v string) string {
	if stated {
		return v
	}
	material := terms.Get(c, x.Material)
	line(c, "%s names no other material for its equipment grounding conductor: %s, as its conductors", x.Name.Value, material)
	return material
})

// backfed is whether power flows into the load side of a device as stated, else
// by what it stands in: a breaker in a circuit that carries inverters away from
// the utility's side is, a fuse has no such side.
var _ = terms.Fill(overcurrentKind, "backfed", terms.YesNo, func(c *terms.Call, d *job.Overcurrent, stated bool, v bool) bool {
	if stated {
		return v
	}
	name := d.Name.Value
	if kind := terms.Get(c, d.Kind); kind == "fuse" {
		line(c, "%s is a fuse, without a load side", name)
		return false
	}
	if slices.Contains(sourceDevices(c), d) {
		line(c, "%s is the device through which the sources connect: it is backfed", name)
		return true
	}
	for _, x := range circuitsBehind(c, d) {
		if !isDC(c, x) {
			line(c, "%s stands in %s, which brings power of inverters: it is backfed", name, x.Name.Value)
			return true
		}
	}
	c.Missing(d.Backfed.Key, d.Backfed.At)
	return false
})

// sourceDevice is the device through which the sources connect as stated, else
// that of the one circuit that reaches the point of the interconnection.
var sourceDevice = terms.Fill(interconnectionKind, "overcurrent", terms.ThingOf(overcurrentKind), func(c *terms.Call, _ *job.Interconnection, stated bool, v *job.Overcurrent) *job.Overcurrent {
	if stated {
		return v
	}
	s := traced.Of(c, c.Job())
	c.Need(s.ac...)
	last := circuitsInto(c, s, point(c))
	if len(last) == 1 && terms.Peek(c, last[0].Kind) == "supply-side" && !terms.Stated(c, last[0].Overcurrent) {
		last = circuitsInto(c, s, wiring.Node{Kind: wiring.Circuit, Name: last[0].Name.Value})
	}
	if len(last) != 1 {
		c.Fail("%d circuits reach the %s, and which device is that of the sources is not said", len(last), point(c).Name)
		return nil
	}
	d := terms.Follow(c, overcurrentKind, last[0].Overcurrent)
	line(c, "the sources connect through %s, the device of %s", d.Name.Value, last[0].Name.Value)
	return d
})

// groundExposed is whether an equipment grounding conductor is exposed to damage
// as stated, else by what is around it: a raceway or armour protects it.
var _ = terms.Fill(circuitKind, "ground_exposed", terms.YesNo, func(c *terms.Call, x *job.Circuit, stated bool, v bool) bool {
	if stated {
		return v
	}
	switch raceway := terms.Get(c, x.Raceway); raceway {
	case "cable":
		c.Missing(x.GroundExposed.Key, x.GroundExposed.At)
		return false
	case "free-air", "tray":
		c.Assume()
		line(c, "%s is left out: exposed to damage, as nothing is around it", x.GroundExposed.Key)
		return true
	default:
		line(c, "the equipment grounding conductor of %s runs inside %s, which protects it", x.Name.Value, raceway)
		return false
	}
})

// circuitShares are the other circuits in the raceway or box of a circuit as
// stated, else those of one that names it.
var circuitShares = terms.Fill(circuitKind, "shares", terms.ListOf(circuitKind), func(c *terms.Call, x *job.Circuit, stated bool, v []*job.Circuit) []*job.Circuit {
	if stated {
		return v
	}
	var list []*job.Circuit
	add := func(y *job.Circuit) {
		if y != x && !slices.Contains(list, y) {
			list = append(list, y)
		}
	}
	var by []string
	for _, y := range circuitKind.All(c) {
		if y == x || !terms.Stated(c, y.Shares) || !slices.Contains(terms.Peek(c, y.Shares), x.Name.Value) {
			continue
		}
		by = append(by, y.Name.Value)
		add(y)
		for _, z := range terms.Refs(c, circuitKind, y.Shares) {
			add(z)
		}
	}
	if len(by) == 0 {
		c.Missing(x.Shares.Key, x.Shares.At)
		return nil
	}
	line(c, "%s shares its raceway with %s, and what else is in it", x.Name.Value, strings.Join(by, ", "))
	return list
})

// ratedDC is whether a device is rated for DC as stated; one that is listed for
// photovoltaic circuits is.
var _ = terms.Fill(overcurrentKind, "dc", terms.YesNo, func(c *terms.Call, d *job.Overcurrent, stated bool, v bool) bool {
	switch {
	case stated:
		return v
	case !terms.Stated(c, d.PVListed):
		c.Missing(d.DC.Key, d.DC.At)
		return false
	case !terms.Peek(c, d.PVListed):
		c.Fail("%s is not listed for photovoltaic circuits, and whether it is rated for direct current is not said", d.Name.Value)
		return false
	}
	line(c, "%s is listed for photovoltaic circuits, so rated for direct current", d.Name.Value)
	return true
})
