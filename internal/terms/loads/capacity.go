package loads

import (
	"fmt"
	"math"
	"slices"

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
	fastener   structural.Capacity // of the fasteners alone
	roof       structural.Capacity // of what the sheet or a seam hands on; nothing where feet stand on framing
	upliftWork func(quantity.System) []string

	withdrawal structural.Withdrawal // lag or wood screw
	thread     structural.Thread     // of a lag whose length is known
	hasThread  bool
	pullout    structural.Screw // metal screw
	pullover   structural.Screw // where the head is given
	hasHead    bool
	tension    structural.Screw // of the screw itself

	grip structural.Capacity // seam clamps, by their test alone

	engineered bool // an engineer's calculation alone says what it holds

	sealed []structural.Capacity // what an engineer's calculation says beside the computed one
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
	part := c.Part()
	modes := fastenersUp(part, a, plane, f, s)
	byEngineer := engineeredHolds(c, a, part.Needs(), func(e *job.Engineered) job.Quantity { return e.HoldsUplift })
	if s.engineered = part.Stop(); s.engineered {
		modes, byEngineer, s.code = byEngineer, nil, "engineer's calculation"
	}
	s.sealed = byEngineer
	s.fastener = weakest(c, slices.DeleteFunc(slices.Clone(modes), func(m structural.Capacity) bool { return m.Mode == s.roof.Mode }))
	t, ok := terms.Seek(c, mountingTypeKind, a.Mounting)
	if !ok {
		c.Missing(a.Mounting.Key, a.Mounting.At)
		return
	}
	// A clamp's own test is its maker's rating, and an engineer's calculation is of
	// the whole foot; every other foot needs a rating beside its fasteners.
	if terms.Stated(c, t.AttachmentUplift) || s.kind != "seam-clamp" && !s.engineered {
		modes = append(modes, structural.Capacity{Mode: "the maker's rating of the foot", Allowable: c.Q(t.AttachmentUplift)})
	}
	modes = append(modes, byEngineer...)
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

// fastenersUp finds what the fasteners of a foot hold in uplift.
func fastenersUp(c *terms.Call, a *job.Array, p *job.Plane, f *job.FastenerType, s *capacityState) []structural.Capacity {
	switch s.kind {
	case "lag", "wood-screw":
		return woodUplift(c, a, p, f, s)
	case "metal-screw":
		return steelUplift(c, a, p, f, s)
	case "seam-clamp":
		return clampUplift(c, a, p, f, s)
	}
	suits.Of(c, a)
	return nil
}

// weakest is what limits the fasteners of a foot by themselves; nothing where only
// the maker's rating of the foot says what it holds, or where something is
// missing.
func weakest(c *terms.Call, modes []structural.Capacity) structural.Capacity {
	if c.Stop() || len(modes) == 0 {
		return structural.Capacity{}
	}
	w, err := structural.Governing(modes...)
	if err != nil {
		c.Err(err)
	}
	return w
}

// engineeredHolds is what engineers' sealed calculations say that a foot of an
// array holds, given what is missing to compute its fasteners. They stand in for
// fasteners that are outside the standards; what the job leaves out they do not
// make good.
func engineeredHolds(c *terms.Call, a *job.Array, missing []terms.Need, value func(e *job.Engineered) job.Quantity) []structural.Capacity {
	list := slices.DeleteFunc(settled(c, a, ofFastening), func(e *job.Engineered) bool { return !terms.Stated(c, value(e)) })
	if len(list) == 0 || slices.ContainsFunc(missing, func(n terms.Need) bool { return n.Key != "" }) {
		c.Need(missing...)
	}
	if len(list) == 0 {
		return nil
	}
	return []structural.Capacity{{Mode: "the engineer's calculation", Allowable: least(c, list, value)}}
}

// lateralState is what one foot holds along the roof, at allowable level.
type lateralState struct {
	fastener structural.Capacity // of the fasteners alone
	least    structural.Capacity // with the maker's rating
	shear    structural.Screw    // metal screw, in plies that touch
	own      structural.Screw    // metal screw itself
	code     string              // what the capacity follows, with its edition
	work     func(quantity.System) []string

	bends      bool // metal screws over a hollow rib: what their bending leaves is a bound
	overRib    bool // wood fasteners that cross a hollow rib: what the maker's rating of the foot is for
	engineered bool // an engineer's calculation alone says what it holds

	sealed []structural.Capacity // what an engineer's calculation says beside the computed one
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
	part := c.Part()
	modes := fastenersAlong(part, a, plane, f, kind, count, load, s)
	holds := func(e *job.Engineered) job.Quantity { return e.HoldsDownslope }
	byEngineer := engineeredHolds(c, a, part.Needs(), holds)
	free := (s.bends || s.overRib) && fasteningEngineered.Of(c, a)
	if free { // bending is a bound; the calculation has to say what they hold
		byEngineer = []structural.Capacity{{Mode: "the engineer's calculation", Allowable: least(c, settled(c, a, ofFastening), holds)}}
	}
	if s.engineered = free || part.Stop(); s.engineered {
		modes, byEngineer, s.code = byEngineer, nil, "engineer's calculation"
	}
	s.sealed = byEngineer
	s.fastener = weakest(c, modes)
	t, ok := terms.Seek(c, mountingTypeKind, a.Mounting)
	if !ok {
		c.Missing(a.Mounting.Key, a.Mounting.At)
		return
	}
	if terms.Stated(c, t.AttachmentLateral) || kind != "seam-clamp" && !s.engineered {
		modes = append(modes, structural.Capacity{Mode: "the maker's rating of the foot", Allowable: c.Q(t.AttachmentLateral)})
	}
	modes = append(modes, byEngineer...)
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

// fastenersAlong finds what the fasteners of a foot hold along the roof.
func fastenersAlong(c *terms.Call, a *job.Array, p *job.Plane, f *job.FastenerType, kind string, count int, load string, s *lateralState) []structural.Capacity {
	switch kind {
	case "lag", "wood-screw":
		return woodLateral(c, a, p, f, kind, load, s)
	case "metal-screw":
		return screwShear(c, a, p, f, count, s)
	case "seam-clamp":
		if suits.Of(c, a); c.Stop() {
			return nil
		}
		// holds by friction on the seam: the maker's test alone says how much
		s.code = "maker's test"
		return []structural.Capacity{byTest(c, "seam clamp along its seam by its maker's test", f, f.TestedAlong, count, &s.work)}
	}
	suits.Of(c, a)
	return nil
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
	if up.engineered || side.engineered || arrays.OverHollow.Of(c, a) {
		return added(up.uplift, side.least, uplift, downslope)
	}
	share, work, refs := computedTogether(c, a, up, side, uplift, downslope)
	if c.Stop() || len(up.sealed)+len(side.sealed) == 0 {
		return share, work, refs
	}
	// The worse of the two counts, here as for each load alone.
	least := func(own structural.Capacity, sealed []structural.Capacity) structural.Capacity {
		return weakest(c, append(sealed[:len(sealed):len(sealed)], own))
	}
	if worse, w, r := added(least(up.fastener, up.sealed), least(side.fastener, side.sealed), uplift, downslope); worse > share {
		return worse, chainWork(work, func(quantity.System) []string { return []string{"the engineer's calculation says less:"} }, w), append(refs[:len(refs):len(refs)], r...)
	}
	return share, work, refs
}

// computedTogether is combined of fasteners that can be computed.
func computedTogether(c *terms.Call, a *job.Array, up *capacityState, side *lateralState, uplift, downslope float64) (float64, func(quantity.System) []string, []table.Ref) {
	switch up.kind {
	case "seam-clamp":
		grip := up.grip
		if t := mountingOf(c, a); terms.Stated(c, t.AttachmentUplift) {
			grip.Allowable = math.Min(grip.Allowable, terms.Peek(c, t.AttachmentUplift).SI)
		}
		return added(grip, side.least, uplift, downslope)
	case "lag", "wood-screw":
		return woodCombined(c, up, side, uplift, downslope)
	case "metal-screw":
		return steelCombined(c, a, up, side, uplift, downslope)
	}
	c.Fail("uplift and lateral load together are not computed for a %s; a licensed engineer decides", up.kind)
	return 0, nil, nil
}

// added adds the shares of uplift and of the load along the roof in what a foot
// holds of each alone, which no interaction exceeds.
func added(up, side structural.Capacity, uplift, downslope float64) (float64, func(quantity.System) []string, []table.Ref) {
	share := uplift/up.Allowable + downslope/side.Allowable
	return share, func(sys quantity.System) []string {
		return []string{fmt.Sprintf("%s / %s + %s / %s = %.3f (allowable level)", show(sys, uplift, quantity.Force), show(sys, up.Allowable, quantity.Force), show(sys, downslope, quantity.Force), show(sys, side.Allowable, quantity.Force), share)}
	}, slices.Concat(up.Refs, side.Refs)
}

var arrayUpliftCapacity = terms.Derive(arrayKind, "uplift_capacity", terms.Quantity(quantity.Force), "allowable uplift of one of its feet: the least of its fasteners in the framing and the maker's rating", "NDS 12.2, AISI S100 J4.4, maker's test", "", upliftCapacity)

var AttachmentUpliftCapacity = terms.Derive(arrays.Attachment, "uplift_capacity", terms.Quantity(quantity.Force), "allowable uplift of the foot: the least of its fasteners in the framing and the maker's rating", "NDS 12.2, AISI S100 J4.4, maker's test", "",
	func(c *terms.Call, f *arrays.Foot) float64 { return upliftCapacity(c, f.Array) })

var _ = terms.Derive(arrayKind, "capacity_mode", terms.Word, "what limits the uplift capacity of its feet", "NDS 12.2, AISI S100 J4.4, maker's test", "", func(c *terms.Call, a *job.Array) string {
	s := holds.Of(c, a)
	if c.Stop() {
		return ""
	}
	return s.uplift.Mode
})

var _ = terms.Derive(arrays.Attachment, "lateral_capacity", terms.Quantity(quantity.Force), "allowable load of the foot along the roof: the least of its fasteners in the framing and the maker's rating, for the duration of the governing load", "NDS 12.3, AISI S100 J4.3, maker's test", "",
	func(c *terms.Call, f *arrays.Foot) float64 {
		g := downOn.Of(c, f.Array)
		if c.Stop() {
			return 0
		}
		_, duration := downslope(c, f.Array, &g.demands[f.I])
		return lateralCapacity(c, f.Array, duration)
	})

var _ = terms.Derive(arrayKind, "lateral_capacity", terms.Quantity(quantity.Force), "allowable load along the roof of one of its feet, for loads of permanent duration", "NDS 12.3, AISI S100 J4.3, maker's test", "",
	func(c *terms.Call, a *job.Array) float64 { return lateralCapacity(c, a, "permanent") })

// ofFasteners declares a term of an array that follows from what its feet hold.
func ofFasteners(name string, t terms.TypeOf[float64], meaning, source, calculator string, value func(c *terms.Call, s *capacityState) float64) terms.TermOf[job.Array, float64] {
	return terms.Derive(arrayKind, name, t, meaning, source, calculator, func(c *terms.Call, a *job.Array) float64 {
		s := holds.Of(c, a)
		if f, ok := terms.Seek(c, fastenerTypeKind, a.Attachments.Fastener); ok {
			terms.Drive(c, f.Length)
		}
		if c.Stop() {
			return 0
		}
		return value(c, s)
	})
}

func upliftCapacity(c *terms.Call, a *job.Array) float64 {
	terms.Drive(c, a.Attachments.Fastener)
	s := holds.Of(c, a)
	if c.Stop() {
		return 0
	}
	c.Explain(s.upliftWork, s.uplift.Refs)
	return s.uplift.Allowable
}

func lateralCapacity(c *terms.Call, a *job.Array, duration string) float64 {
	terms.Drive(c, a.Attachments.Fastener)
	s := holdsAlong.Of(c, a, duration)
	if c.Stop() {
		return 0
	}
	c.Explain(s.work, s.least.Refs)
	return s.least.Allowable
}
