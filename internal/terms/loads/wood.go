package loads

import (
	"errors"
	"math"

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
		of, ok := n.SpecificGravity(terms.Peek(c, p.Framing.Species))
		if !ok && !terms.Stated(c, g) {
			unknownSpecies(c, terms.Peek(c, p.Framing.Species))
		}
		if ok {
			least = math.Min(least, of)
		}
	}
	return least
}

func unknownSpecies(c *terms.Call, species string) {
	c.Fail("no specific gravity is known for %q: name the species combination as the standard does, or state specific_gravity", species)
}

// suits fails fasteners of a kind that is not computed here, or in a roof that
// they are not made for, once for all that they would hold.
var suits = terms.Analyse(arrayKind, "whether the fasteners suit the roof", func(c *terms.Call, a *job.Array) bool {
	p := arrays.PlaneOf(c, a)
	f, kind, _ := fastenerOf(c, a)
	if c.Stop() {
		return false
	}
	terms.Peek(c, p.Covering.Kind)
	terms.Peek(c, p.Framing.Material)
	switch kind {
	case "lag", "wood-screw":
		needsMaterial(c, p, "wood", kind)
		needsSteel(c, f, kind)
	case "metal-screw":
		needsSteel(c, f, kind)
		if arrays.Holding(c, a, p).Name != arrays.Sheet {
			needsMaterial(c, p, "steel", "metal screw")
		}
	case "seam-clamp":
		needsSeam(c, p)
	default:
		c.Fail("the capacity of a %s is not computed here; a licensed engineer decides", kind)
	}
	return !c.Stop()
})

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

// woodFasteners are the kinds of fasteners that hold in wood by the standard.
var woodFasteners = []string{"lag", "wood-screw"}

// needsSteel fails a wood fastener of another metal, which the standard has no
// values for.
func needsSteel(c *terms.Call, f *job.FastenerType, kind string) {
	if terms.Peek(c, f.Material) == "aluminum" {
		c.Fail("the standard has no values for a %s of aluminum", kind)
	}
}

// embedded is how the lag or wood screws of an array stand in the member; nil
// where the job states their thread and not the length that it follows from.
var embedded = terms.Analyse(arrayKind, "thread of the fasteners in the member", func(c *terms.Call, a *job.Array) *structural.Thread {
	p, n := arrays.PlaneOf(c, a), nds(c)
	f, kind, _ := fastenerOf(c, a)
	if c.Stop() {
		return nil
	}
	if terms.Stated(c, f.Thread) && !(terms.Stated(c, f.Length) && terms.Stated(c, f.PlateAndFlashing) && terms.Stated(c, p.Covering.Sheathing)) {
		return nil
	}
	diameter, length, depth := c.Q(f.Diameter), c.Q(f.Length), c.Q(p.Framing.Depth)
	plate, sheathing := c.Q(f.PlateAndFlashing)+arrays.Hollow(c, a, p), arrays.Sheathing(c, p)
	if c.Stop() {
		return nil
	}
	var t structural.Thread
	var err error
	if kind == "lag" {
		t, err = n.LagThread(diameter, length, plate, sheathing, depth)
	} else {
		t, err = n.ScrewThread(length, plate, sheathing, depth)
	}
	if err != nil && !errors.Is(err, structural.ErrNoThread) {
		c.Err(err)
		return nil
	}
	return &t
})

// threadIn is the thread in the member that counts, of a lag without the tip: as
// stated, and not more than the length leaves past plate, the hollow of a rib and
// sheathing, and before the screw comes out of the member.
func threadIn(c *terms.Call, a *job.Array, f *job.FastenerType, t *structural.Thread) float64 {
	stated := terms.Peek(c, f.Thread).SI
	if t == nil {
		return stated
	}
	most := lagThread.Of(c, a)
	if !terms.Stated(c, f.Thread) {
		return math.Min(most, t.Effective)
	}
	return math.Min(most, stated)
}

func woodUplift(c *terms.Call, a *job.Array, p *job.Plane, f *job.FastenerType, s *capacityState) []structural.Capacity {
	n := nds(c)
	if suits.Of(c, a); c.Stop() {
		return nil
	}
	diameter, wet := c.Q(f.Diameter), arrays.WoodWet.Of(c, &p.Framing)
	if c.Stop() {
		return nil
	}
	gravity := gravity(c, n, p)
	conditions := structural.Conditions{Duration: duration(c, n, "wind"), Wet: wet}
	t := embedded.Of(c, a)
	if c.Stop() {
		return nil
	}
	if t != nil {
		s.thread, s.hasThread = *t, true
	}
	withdraw := n.LagWithdrawal
	if s.kind == "wood-screw" {
		withdraw = n.ScrewWithdrawal
	}
	from := "withdrawal from the " + terms.Peek(c, p.Framing.Member)
	thread := threadIn(c, a, f, t)
	if thread <= 0 {
		s.code = "NDS " + n.Edition
		return []structural.Capacity{{Mode: from + ", which its thread does not reach"}}
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
	modes := []structural.Capacity{{Mode: from, Allowable: w.Allowable, Refs: append(w.Refs, s.thread.Refs...)}}
	modes = append(modes, byReport(c, f.Allowable, "the withdrawal of the screws", s.count)...)
	return append(modes, screwItself(c, n, f.Tension, "tension", s.kind, s.count)...)
}

// screwItself is what the metal of the screws of a foot holds by their maker's
// test, where the job states it.
func screwItself(c *terms.Call, n *structural.NDS, nominal job.Quantity, in, kind string, count int) []structural.Capacity {
	if !terms.Stated(c, nominal) {
		return nil
	}
	one, err := structural.Tested("the "+kind+" itself in "+in, terms.Peek(c, nominal).SI, n.ScrewSafety())
	if err != nil {
		c.Err(err)
	}
	one.Allowable *= float64(count)
	return []structural.Capacity{one}
}

// gap is the hollow of a rib that wood fasteners bend over: none where a solid
// spacer fills it.
func gap(c *terms.Call, a *job.Array, p *job.Plane, f *job.FastenerType) float64 {
	if terms.Peek(c, f.Spacer) {
		return 0
	}
	return arrays.Hollow(c, a, p)
}

// woodLateral is what the lag or wood screws of a foot hold along the roof: by the
// report of the screw, or by the yield modes of plies that touch. Where they
// cross the hollow of a rib they do not, and the maker's rating of the foot has to
// stand for it.
func woodLateral(c *terms.Call, a *job.Array, p *job.Plane, f *job.FastenerType, kind, load string, s *lateralState) []structural.Capacity {
	n := nds(c)
	if suits.Of(c, a); c.Stop() {
		return nil
	}
	count := terms.Get(c, a.Attachments.FastenersEach)
	s.overRib = gap(c, a, p, f) > 0
	if c.Stop() {
		return nil
	}
	s.code = "NDS " + n.Edition
	in := structural.Capacity{Mode: kind + " in shear in the " + terms.Peek(c, p.Framing.Member)}
	if terms.Stated(c, f.Lateral) {
		r, err := n.ReportedLateral(terms.Peek(c, f.Lateral).SI, conditionsOf(c, a, p, f, n, load))
		if err != nil {
			c.Err(err)
		}
		in.Allowable, in.Refs, s.work = r.Allowable, r.Refs, r.Work
	} else {
		one, r := oneLateral(c, a, p, f, kind, load, 0)
		in.Allowable, in.Refs, s.work = one, r.Refs, r.Work
	}
	in.Allowable *= float64(count)
	return append([]structural.Capacity{in}, screwItself(c, n, f.Shear, "shear", kind, count)...)
}

// conditionsOf are the conditions of the wood fasteners of a foot under a lateral
// load of a duration.
func conditionsOf(c *terms.Call, a *job.Array, p *job.Plane, f *job.FastenerType, n *structural.NDS, load string) structural.Conditions {
	q := structural.Conditions{Duration: duration(c, n, load), Wet: arrays.WoodWet.Of(c, &p.Framing)}
	if q.Wet && terms.Get(c, a.Attachments.FastenersEach) > 1 && n.Thick(c.Q(f.Diameter)) {
		q.Rows = terms.Get(c, a.Attachments.FastenerDirection) != terms.Get(c, p.Framing.Runs)
	}
	return q
}

// oneLateral is what one lag or wood screw holds down the slope over a gap, by the
// yield modes.
func oneLateral(c *terms.Call, a *job.Array, p *job.Plane, f *job.FastenerType, kind, load string, gap float64) (float64, structural.Lateral) {
	n := nds(c)
	diameter, thickness, runs := c.Q(f.Diameter), c.Q(f.SideThickness), terms.Get(c, p.Framing.Runs)
	t := embedded.Of(c, a)
	if c.Stop() {
		return 0, structural.Lateral{}
	}
	joint := structural.Joint{Gravity: gravity(c, n, p), Gap: gap, Penetration: threadIn(c, a, f, t)}
	if t != nil { // the shank in the member bears as well
		joint.Penetration = lagPenetration.Of(c, a)
	}
	conditions := conditionsOf(c, a, p, f, n, load)
	var err error
	if joint.Side, err = n.SidePlate(terms.Get(c, f.SideMaterial), thickness, terms.Peek(c, f.SideTensile).SI); err != nil {
		c.Err(err)
	}
	if c.Stop() {
		return 0, structural.Lateral{}
	}
	var r structural.Lateral
	if kind == "lag" {
		r, err = n.LagLateral(diameter, joint, conditions)
	} else {
		r, err = n.ScrewLateral(diameter, terms.Peek(c, f.Root).SI, terms.Peek(c, f.BendingYield).SI, joint, conditions)
	}
	if err != nil {
		c.Err(err)
	}
	if runs == "up-slope" { // the load runs down the slope, along the grain
		return r.Parallel, r
	}
	return r.Perpendicular, r
}

// bent is what a foot of an array holds along the roof where its screws bend over
// the hollow of a rib and nothing else helps.
type bent struct {
	one  structural.Lateral
	foot float64 // N
}

var ribBending = terms.AnalyseBy(arrayKind, "bending of the fasteners over a rib", func(c *terms.Call, a *job.Array, load string) *bent {
	p := arrays.PlaneOf(c, a)
	f, kind, count := fastenerOf(c, a)
	if c.Stop() {
		return nil
	}
	each, one := oneLateral(c, a, p, f, kind, load, gap(c, a, p, f))
	return &bent{one, each * float64(count)}
})

var _ = terms.Derive(arrayKind, "rib_bending", terms.Quantity(quantity.Force), "load along the roof that one of its feet holds where its wood fasteners bend over the hollow of a rib and nothing else helps, for permanent load", "AWC Technical Report 12", "wood-screw-lateral", func(c *terms.Call, a *job.Array) float64 {
	b := ribBending.Of(c, a, "permanent")
	if c.Stop() {
		return 0
	}
	c.Explain(b.one.Work, b.one.Refs)
	return b.foot
})

var _ = terms.Derive(arrays.Attachment, "rib_utilisation", terms.Quantity(quantity.Ratio), "share that it takes of what its wood fasteners hold by bending over the hollow of a rib: down the slope, or with uplift, whichever is more", "AWC Technical Report 12, NDS 12.4.1", "wood-screw-lateral", func(c *terms.Call, f *arrays.Foot) float64 {
	terms.Drive(c, f.Array.Attachments.Fastener)
	g, up := downOn.Of(c, f.Array), holds.Of(c, f.Array)
	w, ok := windOf(c, f.Array)
	if !ok || c.Stop() {
		return 0
	}
	load, lasting := downslope(c, f.Array, &g.demands[f.I])
	long, gust := ribBending.Of(c, f.Array, lasting), ribBending.Of(c, f.Array, "wind")
	if c.Stop() {
		return 0
	}
	along, work := load/long.foot, long.one.Work
	d := &w.demands[f.I]
	if uplift := math.Max(0, d.UpliftASD); uplift+d.DeadDownslope > 0 {
		both, err := structural.LagCombined(up.fastener.Allowable, gust.foot, uplift, d.DeadDownslope)
		if err != nil {
			c.Err(err)
			return 0
		}
		if both.Utilisation > along {
			along, work = both.Utilisation, chainWork(gust.one.Work, both.Work)
		}
	}
	c.Explain(work, long.one.Refs)
	return along
})

var _ = terms.Derive(arrayKind, "rib_gap", terms.Quantity(quantity.Length), "hollow of a rib that its fasteners bend over between foot and framing; zero where the maker wants them in the pan or tested the foot on this profile, where a solid spacer fills it, and on a flat covering", "geometry; maker's test", "", func(c *terms.Call, a *job.Array) float64 {
	p := arrays.PlaneOf(c, a)
	f, _, _ := fastenerOf(c, a)
	if c.Stop() || testedHere(c, p, f) {
		return 0
	}
	return gap(c, a, p, f)
})

// lagPenetration is read by whatever a screw that hardly reaches the member makes
// fail, so that all of it is seen to come of that.
var lagPenetration = terms.Derive(arrayKind, "lag_penetration", terms.Quantity(quantity.Length), "length of its lag screws in the member, without the tapered tip", "NDS 12.1.4", "", func(c *terms.Call, a *job.Array) float64 {
	f, _, _ := fastenerOf(c, a)
	terms.Drive(c, f.Length)
	t := embedded.Of(c, a)
	if c.Stop() {
		return 0
	}
	if t == nil {
		c.Fail("the thread is stated without the length, the foot and the deck that the screw passes")
		return 0
	}
	c.Explain(t.Work, t.Refs)
	return t.Penetration()
})

var lagThread = terms.Derive(arrayKind, "lag_thread", terms.Quantity(quantity.Length), "thread in the member that the length of its lag or wood screws leaves past foot, covering and deck, of lag screws without the tapered tip", "NDS 12.2, ANSI B18.2.1", "", func(c *terms.Call, a *job.Array) float64 {
	f, _, _ := fastenerOf(c, a)
	terms.Drive(c, f.Length)
	penetration, t := lagPenetration.Of(c, a), embedded.Of(c, a)
	if c.Stop() {
		return 0
	}
	c.Explain(t.Work, t.Refs)
	return math.Min(t.Most, penetration) // no more thread holds than there is screw in the member
})

var _ = terms.Derive(arrayKind, "thread_counted", terms.Quantity(quantity.Length), "thread in the member that is counted on: as stated, or what the length of its lag or wood screws leaves", "the job, NDS 12.2", "", func(c *terms.Call, a *job.Array) float64 {
	f, _, _ := fastenerOf(c, a)
	terms.Drive(c, f.Thread)
	if terms.Stated(c, f.Thread) {
		return terms.Peek(c, f.Thread).SI
	}
	t := embedded.Of(c, a)
	if c.Stop() {
		return 0
	}
	return t.Effective
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

var _ = ofPlacement("lag_loaded_edge", "least distance of its lag screws from the edge of the member that a load across the grain pushes them to", func(p structural.Placement) float64 { return p.LoadedEdge })

var _ = ofPlacement("lag_spacing", "least distance between its lag screws, loaded in withdrawal", func(p structural.Placement) float64 { return p.Spacing })

var _ = terms.Derive(planeKind, "species_gravity", terms.PlainNumber, "specific gravity assigned to the species of its framing", "NDS Table 12.3.3A", "", func(c *terms.Call, p *job.Plane) float64 {
	n, species := nds(c), terms.Get(c, p.Framing.Species)
	if c.Stop() {
		return 0
	}
	g, ok := n.SpecificGravity(species)
	if !ok {
		unknownSpecies(c, species)
		return 0
	}
	return g
})

// woodCombined is the utilisation of the lag or wood screws of a foot under
// withdrawal and lateral load at once.
func woodCombined(c *terms.Call, up *capacityState, side *lateralState, uplift, downslope float64) (float64, func(quantity.System) []string, []table.Ref) {
	lateral := side.fastener.Allowable
	if side.overRib {
		lateral = side.least.Allowable
	}
	r, err := structural.LagCombined(up.fastener.Allowable, lateral, uplift, downslope)
	if err != nil {
		c.Err(err)
	}
	return r.Utilisation, r.Work, append(up.withdrawal.Refs, side.fastener.Refs...)
}
