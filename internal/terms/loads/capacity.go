package loads

import (
	"fmt"
	"math"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/structural"
	"plumbrule/internal/table"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/arrays"
)

// capacityState is what one foot of an array holds, at allowable level. All
// feet of an array are alike. Uplift and lateral load are found apart, so that
// a value that only one needs does not hide the other.
type capacityState struct {
	kind  string // of the fastener
	count int
	code  string // what the capacity follows, with its edition

	uplift     structural.Capacity // least of the fasteners and the maker's rating
	upliftWork func(quantity.System) []string

	withdrawal structural.Withdrawal // lag or wood screw
	thread     structural.Thread     // of a lag whose length is known
	hasThread  bool
	pullout    structural.Screw // metal screw
	pullover   structural.Screw // where the head is given
	hasHead    bool
}

// holds finds what one foot of an array holds in uplift.
var holds = terms.Analyse(arrayKind, "capacity of the feet", func(c *terms.Call, a *job.Array) *capacityState {
	s := &capacityState{}
	findUplift(c, a, s)
	return s
})

// fastenerOf finds the fastener of an array and how many a foot has.
func fastenerOf(c *terms.Call, a *job.Array) (f *job.FastenerType, kind string, count int) {
	terms.Get(c, a.Attachments.Fastener)
	f, ok := terms.Seek(c, fastenerTypeKind, a.Attachments.Fastener)
	if !ok {
		return &job.FastenerType{}, "", 0
	}
	return f, terms.Get(c, f.Kind), terms.Get(c, a.Attachments.FastenersEach)
}

func findUplift(c *terms.Call, a *job.Array, s *capacityState) {
	plane := arrays.PlaneOf(c, a)
	var f *job.FastenerType
	f, s.kind, s.count = fastenerOf(c, a)
	if c.Stop() {
		return
	}
	var modes []structural.Capacity
	switch s.kind {
	case "lag", "wood-screw":
		modes = woodUplift(c, a, plane, f, s)
	case "metal-screw":
		modes = steelUplift(c, a, plane, f, s)
	case "seam-clamp":
		ultimate, safety := c.Q(f.TestedUltimate), terms.Get(c, f.SafetyFactor)
		if c.Stop() {
			return
		}
		one, err := structural.Tested("seam clamp by its maker's test", ultimate*float64(s.count), safety)
		if err != nil {
			c.Err(err)
		}
		s.upliftWork = func(sys quantity.System) []string {
			return []string{fmt.Sprintf("tested ultimate %s x %d / %.2f = %s", show(sys, ultimate, quantity.Force), s.count, safety, show(sys, one.Allowable, quantity.Force))}
		}
		modes, s.code = []structural.Capacity{one}, "maker's test"
	default:
		c.Fail("the capacity of a %s is not computed here; a licensed engineer decides", s.kind)
	}
	t, ok := terms.Seek(c, mountingTypeKind, a.Mounting)
	if !ok {
		c.Missing(a.Mounting.Key, a.Mounting.At)
		return
	}
	// A clamp's own test is its maker's rating; every other foot needs one beside
	// its fasteners.
	if terms.Stated(c, t.AttachmentUplift) || s.kind != "seam-clamp" {
		modes = append(modes, structural.Capacity{Mode: "the maker's rating of the foot", Allowable: c.Q(t.AttachmentUplift)})
	}
	if c.Stop() {
		return
	}
	least, err := structural.Governing(modes...)
	if err != nil {
		c.Err(err)
		return
	}
	s.uplift = least
	s.upliftWork = chainWork(s.upliftWork, func(sys quantity.System) []string {
		return []string{"governs: " + least.Mode + ", " + show(sys, least.Allowable, quantity.Force) + " a foot (allowable level, " + s.code + ")"}
	})
}

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

// lateralState is what one foot holds along the roof, at allowable level.
type lateralState struct {
	fastener structural.Capacity // of the fasteners alone
	least    structural.Capacity // with the maker's rating
	shear    structural.Screw    // metal screw
	code     string              // what the capacity follows, with its edition
	work     func(quantity.System) []string
}

// holdsAlong finds the lateral capacity of a foot of an array for a load of a
// duration, in words of the wood standard: permanent, snow, wind.
var holdsAlong = terms.AnalyseBy(arrayKind, "lateral capacity of the feet", func(c *terms.Call, a *job.Array, load string) *lateralState {
	s := &lateralState{}
	findLateral(c, a, load, s)
	return s
})

func findLateral(c *terms.Call, a *job.Array, load string, s *lateralState) {
	plane := arrays.PlaneOf(c, a)
	f, kind, count := fastenerOf(c, a)
	if c.Stop() {
		return
	}
	var modes []structural.Capacity
	switch kind {
	case "lag":
		s.fastener = lagLateral(c, plane, f, a, load, s)
		modes = []structural.Capacity{s.fastener}
	case "metal-screw":
		s.fastener = screwShear(c, a, plane, f, count, s)
		modes = []structural.Capacity{s.fastener}
	case "seam-clamp": // holds by friction on the seam: the maker's test alone says how much
		s.code = "maker's test"
	default:
		c.Fail("the lateral capacity of a %s is not computed here; a licensed engineer decides", kind)
	}
	t, ok := terms.Seek(c, mountingTypeKind, a.Mounting)
	if !ok {
		c.Missing(a.Mounting.Key, a.Mounting.At)
		return
	}
	modes = append(modes, structural.Capacity{Mode: "the maker's rating of the foot", Allowable: c.Q(t.AttachmentLateral)})
	if c.Stop() {
		return
	}
	least, err := structural.Governing(modes...)
	if err != nil {
		c.Err(err)
		return
	}
	s.least = least
	s.work = chainWork(s.work, func(sys quantity.System) []string {
		return []string{"governs: " + least.Mode + ", " + show(sys, least.Allowable, quantity.Force) + " a foot along the roof (allowable level, " + s.code + ")"}
	})
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

// combined is the utilisation of the fasteners of a foot under uplift and the
// dead load down the slope at once.
func combined(c *terms.Call, a *job.Array, uplift, downslope float64) (float64, func(quantity.System) []string, []table.Ref) {
	up, side := holds.Of(c, a), holdsAlong.Of(c, a, "wind")
	if c.Stop() {
		return 0, nil, nil
	}
	uplift = math.Max(0, uplift)
	if uplift == 0 && downslope == 0 {
		return 0, func(quantity.System) []string { return []string{"neither uplift nor a load down the slope"} }, nil
	}
	switch up.kind {
	case "lag":
		r, err := structural.LagCombined(up.withdrawal.Allowable, side.fastener.Allowable, uplift, downslope)
		if err != nil {
			c.Err(err)
		}
		return r.Utilisation, r.Work, append(up.withdrawal.Refs, side.fastener.Refs...)
	case "metal-screw":
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
	c.Fail("uplift and lateral load together are not computed for a %s; a licensed engineer decides", up.kind)
	return 0, nil, nil
}
