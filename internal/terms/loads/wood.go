package loads

import (
	"math"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/structural"
	"plumbrule/internal/table"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/arrays"
)

// gravity is the specific gravity of a wood member: as stated, or of its
// species. Where both are given the lesser counts.
func gravity(c *terms.Call, n *structural.NDS, p *job.Plane) float64 {
	g := p.Framing.Gravity
	if !terms.Stated(c, g) && !terms.Stated(c, p.Framing.Species) {
		c.Missing(p.Framing.Species.Key, p.Framing.Species.At)
		return 0
	}
	least := math.Inf(1)
	if terms.Stated(c, g) {
		least = terms.Peek(c, g)
	}
	if terms.Stated(c, p.Framing.Species) {
		of, ok := n.SpecificGravity(strings.ToLower(terms.Peek(c, p.Framing.Species)))
		if !ok && !terms.Stated(c, g) {
			c.Fail("no specific gravity is known for %q", terms.Peek(c, p.Framing.Species))
		}
		if ok {
			least = math.Min(least, of)
		}
	}
	return least
}

// needsMaterial fails a fastener in framing that it is not made for.
func needsMaterial(c *terms.Call, p *job.Plane, material, kind string) {
	if m := terms.Get(c, p.Framing.Material); m != "" && m != material {
		c.Fail("a %s holds in %s, not in %s", kind, material, m)
	}
}

func duration(c *terms.Call, n *structural.NDS, load string) float64 {
	d, ok := n.Duration(load)
	if !ok {
		c.Fail("no load duration factor for %s", load)
	}
	return d
}

// threadOf is the thread of a lag or wood screw in the member, without the
// tip: as stated, and not more than the length leaves past plate, the hollow of a
// rib, and sheathing.
func threadOf(c *terms.Call, n *structural.NDS, a *job.Array, p *job.Plane, f *job.FastenerType, kind string, s *capacityState) float64 {
	if kind == "wood-screw" {
		return c.Q(f.Thread)
	}
	if !terms.Stated(c, f.Thread) || (terms.Stated(c, f.Length) && terms.Stated(c, f.PlateAndFlashing) && terms.Stated(c, p.Covering.Sheathing)) {
		diameter, length, plate, sheathing := c.Q(f.Diameter), c.Q(f.Length), c.Q(f.PlateAndFlashing)+arrays.Hollow(c, a, p), c.Q(p.Covering.Sheathing)
		if c.Stop() {
			return 0
		}
		t, err := n.LagThread(diameter, length, plate, sheathing)
		if err != nil {
			c.Err(err)
			return 0
		}
		s.thread, s.hasThread = t, true
		if !terms.Stated(c, f.Thread) {
			return t.Effective
		}
		return math.Min(t.Effective, terms.Peek(c, f.Thread).SI)
	}
	return terms.Peek(c, f.Thread).SI
}

func woodUplift(c *terms.Call, a *job.Array, p *job.Plane, f *job.FastenerType, s *capacityState) []structural.Capacity {
	n := nds(c)
	needsMaterial(c, p, "wood", s.kind)
	diameter, wet := c.Q(f.Diameter), terms.Get(c, p.Framing.Wet)
	if c.Stop() {
		return nil
	}
	gravity := gravity(c, n, p)
	conditions := structural.Conditions{Duration: duration(c, n, "wind"), Wet: wet}
	thread := threadOf(c, n, a, p, f, s.kind, s)
	if c.Stop() {
		return nil
	}
	withdraw := n.LagWithdrawal
	if s.kind == "wood-screw" {
		withdraw = n.ScrewWithdrawal
	}
	w, err := withdraw(gravity, diameter, thread, s.count, conditions)
	if err != nil {
		c.Err(err)
		return nil
	}
	s.withdrawal, s.code = w, "NDS "+n.Edition
	if s.hasThread {
		s.upliftWork = s.thread.Work
	}
	s.upliftWork = chainWork(s.upliftWork, w.Work)
	return []structural.Capacity{{Mode: "withdrawal from the " + terms.Peek(c, p.Framing.Member), Allowable: w.Allowable, Refs: append(w.Refs, s.thread.Refs...)}}
}

func lagLateral(c *terms.Call, p *job.Plane, f *job.FastenerType, a *job.Array, load string, s *lateralState) structural.Capacity {
	n := nds(c)
	needsMaterial(c, p, "wood", "lag")
	diameter, side, wet, runs := c.Q(f.Diameter), c.Q(f.SideThickness), terms.Get(c, p.Framing.Wet), terms.Get(c, p.Framing.Runs)
	if c.Stop() {
		return structural.Capacity{}
	}
	gravity := gravity(c, n, p)
	conditions := structural.Conditions{Duration: duration(c, n, load), Wet: wet}
	var up capacityState
	penetration := threadOf(c, n, a, p, f, "lag", &up)
	if up.hasThread { // the shank in the member bears as well
		penetration = up.thread.InMember - up.thread.Tip
	}
	bearing, err := n.SidePlateBearing("", side)
	if err != nil {
		c.Err(err)
	}
	if c.Stop() {
		return structural.Capacity{}
	}
	r, err := n.LagLateral(gravity, diameter, side, bearing, penetration, conditions)
	if err != nil {
		c.Err(err)
		return structural.Capacity{}
	}
	s.work, s.code = r.Work, "NDS "+n.Edition
	one := r.Perpendicular
	if runs == "up-slope" { // the load runs down the slope, along the grain
		one = r.Parallel
	}
	return structural.Capacity{Mode: "lag screw in shear in the " + terms.Peek(c, p.Framing.Member), Allowable: one * float64(terms.Get(c, a.Attachments.FastenersEach)), Refs: r.Refs}
}

var _ = ofFasteners("lag_thread", terms.Quantity(quantity.Length), "thread of its lag screws in the member that their length leaves past foot, covering and deck, without the tapered tip", "NDS 12.2.1, ANSI B18.2.1", "", func(c *terms.Call, s *capacityState) float64 {
	if !s.hasThread {
		return lengthUnknown(c)
	}
	c.Explain(s.thread.Work, s.thread.Refs)
	return s.thread.Effective
})

var _ = ofFasteners("lag_penetration", terms.Quantity(quantity.Length), "length of its lag screws in the member, without the tapered tip", "NDS 12.1.4", "", func(c *terms.Call, s *capacityState) float64 {
	if !s.hasThread {
		return lengthUnknown(c)
	}
	c.Explain(s.thread.Work, s.thread.Refs)
	return s.thread.InMember - s.thread.Tip
})

var _ = ofFasteners("withdrawal_each", terms.Quantity(quantity.Force), "allowable withdrawal of one of its wood fasteners, for wind", "NDS 12.2", "lag-withdrawal", func(c *terms.Call, s *capacityState) float64 {
	if s.withdrawal.Allowable == 0 {
		c.Fail("its feet have no wood fasteners")
		return 0
	}
	c.Explain(s.upliftWork, s.uplift.Refs)
	return s.withdrawal.Each
})

// ofPlacement declares a least distance of the lag screws of an array.
func ofPlacement(name, meaning string, value func(p structural.Placement) float64) terms.TermOf[job.Array, float64] {
	return terms.Derive(arrayKind, name, terms.Quantity(quantity.Length), meaning, "NDS 12.5", "", func(c *terms.Call, a *job.Array) float64 {
		f, _, _ := fastenerOf(c, a)
		diameter := c.Q(f.Diameter)
		n := nds(c)
		if c.Stop() {
			return 0
		}
		p, err := n.LagPlacement(diameter)
		if err != nil {
			c.Err(err)
			return 0
		}
		c.Explain(nil, p.Refs)
		return value(p)
	})
}

var _ = ofPlacement("lag_edge_distance", "least distance of its lag screws, loaded in withdrawal, from the edge of the member", func(p structural.Placement) float64 { return p.Edge })

var _ = ofPlacement("lag_spacing", "least distance between its lag screws, loaded in withdrawal", func(p structural.Placement) float64 { return p.Spacing })

var _ = terms.Derive(planeKind, "species_gravity", terms.PlainNumber, "specific gravity assigned to the species of its framing", "NDS Table 12.3.3A", "", func(c *terms.Call, p *job.Plane) float64 {
	n, species := nds(c), terms.Get(c, p.Framing.Species)
	if c.Stop() {
		return 0
	}
	g, ok := n.SpecificGravity(strings.ToLower(species))
	if !ok {
		c.Fail("no specific gravity is known for %q", species)
		return 0
	}
	return g
})

func lengthUnknown(c *terms.Call) float64 {
	c.Fail("the thread is stated without the length, the foot and the deck that the screw passes")
	return 0
}

// woodCombined is the utilisation of the lag screws of a foot under withdrawal
// and lateral load at once.
func woodCombined(c *terms.Call, up *capacityState, side *lateralState, uplift, downslope float64) (float64, func(quantity.System) []string, []table.Ref) {
	r, err := structural.LagCombined(up.withdrawal.Allowable, side.fastener.Allowable, uplift, downslope)
	if err != nil {
		c.Err(err)
	}
	return r.Utilisation, r.Work, append(up.withdrawal.Refs, side.fastener.Refs...)
}
