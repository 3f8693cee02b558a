package loads

import (
	"math"
	"slices"
	"strconv"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/structural"
	"plumbrule/internal/table"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/arrays"
)

// onBeams reports whether the members of a plane are computed as beams: purlins,
// rafters and battens, and what is called a deck but stands in lines.
func onBeams(c *terms.Call, p *job.Plane) bool {
	f := &p.Framing
	switch terms.Peek(c, f.Member) {
	case "truss":
		return false
	case "deck":
		return terms.Stated(c, f.Spacing) || terms.Stated(c, f.Positions)
	}
	return true
}

var _ = terms.Derive(planeKind, "on_beams", terms.YesNo, "whether its feet stand on members that are computed as beams: purlins, rafters, battens, or what is called a deck but stands in lines", "the job", "", func(c *terms.Call, p *job.Plane) bool {
	terms.Get(c, p.Framing.Member)
	return onBeams(c, p)
})

// Member is the kind of the members below feet that are computed as beams.
var Member = terms.NewKind("member", "members", "a purlin or rafter that carries feet of an array", func(c *terms.Call, k terms.KindOf[member]) []*terms.Subject {
	var out []*terms.Subject
	for _, p := range planeKind.All(c) {
		if terms.Peek(c, p.Ground) || len(onPlane(c, p)) == 0 || !onBeams(c, p) {
			continue
		}
		key := job.Join(job.KeyPath("plane", &p.Entity), "framing")
		f, needs := framed.Try(c, p)
		if len(needs) > 0 {
			out = append(out, k.Unknown("framing of "+p.Name.Value+" (all)", key, p.At, needs))
			continue
		}
		for i, m := range f.members {
			out = append(out, k.Subject(m.name, job.Join(key, strconv.Itoa(i+1)), p.At, m))
		}
	}
	return out
})

var _ = terms.Derive(Member, "plane", terms.ThingOf(planeKind), "the plane that it carries", "the job", "", func(_ *terms.Call, m *member) *job.Plane { return m.frame.plane })

var _ = terms.Derive(Member, "name", terms.Word, "what it is and where it lies", "geometry", "", func(_ *terms.Call, m *member) string { return m.name })

var _ = terms.Derive(Member, "below_deck", terms.YesNo, "whether a structural deck lies over it and its neighbours, which shares loads among them", "the job", "", func(c *terms.Call, m *member) bool {
	p := m.frame.plane
	if onMembers(c, p) && !terms.Stated(c, p.Covering.Sheathing) {
		return false
	}
	return c.Q(p.Covering.Sheathing) > 0
})

var _ = terms.Derive(Member, "wind_bounded", terms.YesNo, "whether a safe bound stands for the wind on an array that it carries, because no method reaches it", "ASCE 7 29.4", "", func(c *terms.Call, m *member) bool {
	for _, a := range m.arrays {
		if w := Wind.Of(c, a); !c.Stop() && w.bound() {
			return true
		}
	}
	return false
})

var _ = terms.Derive(Member, "load_unsure", terms.YesNo, "whether the readings of exposed rows, a bound on the wind, or the bounds on drifts load a foot on it more than is certain", "ASCE 7 29.4.4 and chapter 7", "", func(c *terms.Call, m *member) bool {
	for _, f := range m.feet {
		if differ := readingsDiffer.Of(c, f.array); c.Stop() || differ[f.i] || Wind.Of(c, f.array).bound() {
			return !c.Stop()
		}
	}
	return false
})

var _ = terms.Derive(Member, "feet", terms.WholeNumber, "feet that stand on it", "geometry", "", func(_ *terms.Call, m *member) int { return len(m.feet) })

var _ = terms.Derive(Member, "load_share", terms.PlainNumber, "module area on its feet over the even share of all members below the modules", "geometry", "", func(_ *terms.Call, m *member) float64 { return m.area / m.frame.even })

var _ = terms.Derive(Member, "settled", terms.YesNo, "whether a sealed letter or an engineer's calculation of the framing covers every array on it", "the job", "", func(c *terms.Call, m *member) bool {
	for _, a := range m.arrays {
		if !framingSettled.Of(c, a) {
			return false
		}
	}
	return !c.Stop()
})

// strained is what the loads do to a member, case by case.
type strained struct {
	cases   []loadCase
	effects []structural.Effects
}

// of is the first case of a kind.
func (s *strained) of(k caseKind) (loadCase, structural.Effects) {
	i := slices.IndexFunc(s.cases, func(l loadCase) bool { return l.kind == k })
	return s.cases[i], s.effects[i]
}

var strains = terms.AnalyseBy(Member, "what the loads do to it", func(c *terms.Call, m *member, r reading) *strained {
	s := &strained{cases: m.cases(c, r)}
	for _, l := range s.cases {
		s.effects = append(s.effects, m.effects(c, l.loads))
	}
	return s
})

// ofIncrease declares what the array adds to a member by one reading.
func ofIncrease(name, by string, r reading) terms.TermOf[member, float64] {
	return terms.Derive(Member, name, terms.Quantity(quantity.Ratio), "share by which the array makes the largest moment or shear of gravity in it greater; never under zero"+by, "IBC 1607, IEBC 503", "member", func(c *terms.Call, m *member) float64 {
		terms.Drive(c, m.frame.plane.Framing.Span)
		s := strains.Of(c, m, r)
		if c.Stop() {
			return 0
		}
		_, without := s.of(gravityAlone)
		with := structural.Effects{}
		for i, l := range s.cases {
			if l.kind == gravityWith && l.duration != "wind" {
				e := s.effects[i]
				with.Sagging, with.Hogging, with.Shear = max(with.Sagging, e.Sagging), max(with.Hogging, e.Hogging), max(with.Shear, e.Shear)
			}
		}
		moment, before := max(with.Sagging, with.Hogging), max(without.Sagging, without.Hogging)
		c.Explain(chainWork(func(sys quantity.System) []string {
			return []string{m.carries(sys), "moment " + show(sys, before, quantity.Torque) + " without and " + show(sys, moment, quantity.Torque) + " with the array, shear " +
				show(sys, without.Shear, quantity.Force) + " and " + show(sys, with.Shear, quantity.Force) + " (gravity, allowable level)"}
		}, loadStandard(c)), nil)
		return max(0, moment/before-1, with.Shear/without.Shear-1)
	})
}

var memberIncrease = ofIncrease("increase", "", reading{certain: true})

var _ = ofIncrease("increase_bound", "; with the safe bounds of drifts", reading{})

var _ = terms.Derive(Member, "weighed", terms.YesNo, "whether what gravity asks of it is known against what it holds, or the tables of the code reach it, or the array is known to add no more than existing framing may take", "the job", "", func(c *terms.Call, m *member) bool {
	if _, known := memberGravity.Try(c, m); known {
		return true
	}
	if table, known := memberByTable.Try(c, m); known && table {
		return true
	}
	more, known := memberIncrease.Try(c, m)
	return known && structural.Meets(more, gravityScreen.Of(c, c.Job()))
})

var _ = terms.Derive(Member, "strength_known", terms.YesNo, "whether what it holds is stated or follows from what is stated, and no table of the code stands for it", "the job", "", func(c *terms.Call, m *member) bool {
	_, known := memberGravity.Try(c, m)
	return known && !framedByTable(c, m.frame.plane)
})

// adds reports whether an effect with the array is more than existing framing may
// take beside the same without.
func adds(c *terms.Call, with, without float64) bool {
	return !structural.Meets(with, (1+gravityScreen.Of(c, c.Job()))*without)
}

var _ = terms.Derive(Member, "uplift_spared", terms.YesNo, "whether it is a rafter of a dwelling within the tables of the code that the wind on array and roof bends up no more than the wind on the roof alone", "IBC 2308.7, IRC R802.4.1; common practice", "", func(c *terms.Call, m *member) bool {
	p := m.frame.plane
	if !framedByTable(c, p) {
		return false
	}
	span, most := c.Q(p.Framing.Span), rafterSpan.Of(c, p)
	s := strains.Of(c, m, reading{})
	if c.Stop() || !structural.Meets(span, most) {
		return false
	}
	_, without := s.of(upliftAlone)
	_, with := s.of(upliftWith)
	return !adds(c, max(with.Sagging, with.Hogging), max(without.Sagging, without.Hogging)) && !adds(c, with.Shear, without.Shear) && !c.Stop()
})

// used is what a member is asked for against what it holds.
type used struct {
	structural.Use
	what string // the loads
	by   structural.Combination
	work func(quantity.System) []string
	refs []table.Ref
}

func (u used) words() string { return u.What + " by " + u.what }

// asked is what a member is asked for in one direction, by one reading.
type asked struct {
	reading
	uplift bool
}

// held is the use that governs of the load cases of one direction.
var held = terms.AnalyseBy(Member, "strength of it", func(c *terms.Call, m *member, a asked) (worst used) {
	s := strains.Of(c, m, a.reading)
	if c.Stop() {
		return worst
	}
	for i, l := range s.cases {
		if l.kind == upliftAlone || (l.kind == upliftWith) != a.uplift {
			continue
		}
		for _, u := range m.uses(c, l, s.effects[i]) {
			if worst.work == nil || u.Share() > worst.Share() {
				worst = u
			}
		}
	}
	return worst
})

// uses holds the effects of one case against the strength of the member.
func (m *member) uses(c *terms.Call, l loadCase, e structural.Effects) []used {
	var none []used
	f := &m.frame.plane.Framing
	material := terms.Get(c, f.Material)
	if c.Stop() {
		return none
	}
	use := func(what string, demand, holds float64, d quantity.Dimension, work func(quantity.System) []string, refs []table.Ref) used {
		return used{structural.Use{What: what, Demand: demand, Holds: holds}, l.what, l.by, chainWork(func(sys quantity.System) []string {
			return []string{m.carries(sys), l.what + ": " + what + " " + show(sys, demand, d) + " of " + show(sys, holds, d) + " (allowable level)"}
		}, work, loadStandard(c)), refs}
	}
	free := m.free(c)
	if c.Stop() {
		return none
	}
	if material == "steel" {
		if free {
			c.Fail("no deck and no screwed sheet holds %s against the slope, and its strength that way is not computed here; a licensed engineer decides", m.name)
			return none
		}
		maker := func(quantity.System) []string { return []string{"strength by the maker's table of the member"} }
		list := []used{use("shear", e.Shear, c.Q(f.Shear), quantity.Force, maker, nil)}
		if e.Sagging > 0 {
			list = append(list, use("bending", e.Sagging, c.Q(f.Moment), quantity.Torque, maker, nil))
		}
		if e.Hogging > 0 {
			list = append(list, use("bending with the lower flange in compression", e.Hogging, c.Q(f.MomentUp), quantity.Torque, maker, nil))
		}
		if c.Stop() {
			return none
		}
		return list
	}
	n, wood := sawn(c), m.lumber(c)
	span := m.unbraced(c)
	if c.Stop() {
		return none
	}
	if terms.Stated(c, f.Braced) {
		span = min(span, terms.Peek(c, f.Braced).SI)
	}
	if n.HeldByEnds(wood) {
		span = 0
	}
	above, err := n.Bending(wood, n.Duration(l.duration), 0)
	if err != nil {
		c.Err(err)
		return none
	}
	list := []used{use("bending", e.Sagging, above.Moment, quantity.Torque, above.Work, above.Refs), use("shear", e.Shear, above.Shear, quantity.Force, above.Work, above.Refs)}
	if l.kind == gravityWith && !terms.Get(c, f.Continues) { // a member over its supports sags less than is known here
		share, ref, err := structural.NewRoofSag(codeEdition(c, &c.Job().Adoption), c.Tables())
		if err != nil {
			c.Err(err)
			return none
		}
		list = append(list, use("deflection", e.Deflection/above.Stiffness, m.unbraced(c)/share, quantity.Length, above.Work, append(slices.Clone(above.Refs), ref)))
	}
	if free && l.duration != "wind" {
		wood.Width, wood.Depth = wood.Depth, wood.Width
		side, err := n.Bending(wood, n.Duration(l.duration), 0)
		if err != nil {
			c.Err(err)
			return none
		}
		wood.Width, wood.Depth = wood.Depth, wood.Width
		moment := max(e.Sagging, e.Hogging)
		along := moment * math.Tan(terms.Peek(c, m.frame.plane.Slope).SI*math.Pi/180)
		list = append(list, use("bending both ways, because nothing holds it against the slope", moment/above.Moment+along/side.Moment, 1, quantity.Ratio, chainWork(above.Work, side.Work), above.Refs))
	}
	if e.Hogging > 0 {
		below, err := n.Bending(wood, n.Duration(l.duration), span)
		if err != nil {
			c.Err(err)
			return none
		}
		list = append(list, use("bending with the lower edge in compression", e.Hogging, below.Moment, quantity.Torque, below.Work, below.Refs))
	}
	return list
}

// free reports whether nothing keeps a purlin from bending down the slope: a deck
// or a screwed sheet takes what acts along the roof.
func (m *member) free(c *terms.Call) bool {
	p := m.frame.plane
	if m.frame.upSlope || terms.Peek(c, p.Slope).SI == 0 || terms.Stated(c, p.Covering.Sheathing) && terms.Peek(c, p.Covering.Sheathing).SI > 0 {
		return false
	}
	switch terms.Get(c, p.Covering.Kind) {
	case "corrugated", "trapezoidal":
		return false
	case "standing-seam":
		return terms.Get(c, p.Covering.Floats)
	}
	return c.Q(p.Covering.Sheathing) == 0
}

// lumber is a wood member as it lies.
func (m *member) lumber(c *terms.Call) structural.Lumber {
	f := &m.frame.plane.Framing
	l := lumberOf(c, m.frame.plane)
	if spacing := terms.Peek(c, f.Spacing).SI; spacing > 0 && len(m.frame.members) > 2 {
		deck := terms.Peek(c, m.frame.plane.Covering.Sheathing).SI
		if n := sawn(c); n != nil {
			l.Repetitive = deck > 0 && structural.Meets(spacing, n.RepetitiveSpacing())
		}
	}
	return l
}

func lumberOf(c *terms.Call, p *job.Plane) structural.Lumber {
	f := &p.Framing
	l := structural.Lumber{Width: c.Q(f.Width), Depth: c.Q(f.Depth), Species: terms.Get(c, f.Species), Grade: terms.Get(c, f.Grade), Wet: arrays.WoodWet.Of(c, f)}
	if terms.Stated(c, f.Bends) {
		l.Bending = terms.Peek(c, f.Bends).SI
	}
	return l
}

// unbraced is the longest stretch between supports, along the member.
func (m *member) unbraced(c *terms.Call) float64 {
	f := &m.frame.plane.Framing
	span := 0.0
	if terms.Stated(c, f.Span) || !terms.Stated(c, f.Supports) {
		span = c.Q(f.Span)
		if m.frame.upSlope {
			span /= math.Cos(terms.Peek(c, m.frame.plane.Slope).SI * math.Pi / 180)
		}
	}
	if !terms.Stated(c, f.Supports) {
		return span
	}
	at := slices.Sorted(slices.Values(terms.Peek(c, f.Supports)))
	longest := 0.0
	for i := 1; i < len(at); i++ {
		longest = max(longest, at[i]-at[i-1])
	}
	switch {
	case longest == 0:
		c.Fail("%s needs two supports", m.name)
	case !structural.Meets(span, longest): // clear of its supports it spans less than from one to the next
		sys := c.Job().System()
		c.Fail("the supports of %s stand up to %s apart, and its span is said to be %s", m.name, show(sys, longest, quantity.Length), show(sys, span, quantity.Length))
	}
	return longest
}

// ofStrength declares two terms of what governs a member: its utilisation and
// the words for it.
func ofStrength(name, meaning string, a asked) terms.TermOf[member, float64] {
	const by, how, calculator = "statics; NDS chapters 3 and 4, maker's table", "; allowable level", "member"
	find := func(c *terms.Call, m *member) used {
		terms.Drive(c, m.frame.plane.Framing.Span)
		u := held.Of(c, m, a)
		if !c.Stop() {
			c.Explain(u.work, u.refs)
		}
		return u
	}
	terms.Derive(Member, name+"_governs", terms.Word, "what governs "+meaning+", and by which loads", by, calculator, func(c *terms.Call, m *member) string { return find(c, m).words() })
	return terms.Derive(Member, name+"_utilisation", terms.Quantity(quantity.Ratio), meaning+" over what it holds: the greatest of bending, shear and, of wood on single spans, deflection"+how, by, calculator, func(c *terms.Call, m *member) float64 {
		if u := find(c, m); !c.Stop() {
			return u.Share()
		}
		return 0
	})
}

var (
	memberGravity = ofStrength("gravity", "what gravity asks of it, with and without the array", asked{reading{certain: true}, false})
	_             = ofStrength("gravity_bound", "what gravity asks of it with the bound on the wind and the safe bounds of drifts", asked{reading{}, false})
	_             = ofStrength("uplift", "what the wind on the feet and on the bare roof beside them, against dead load, asks of it by the lenient reading of exposed rows", asked{reading{certain: true}, true})
	_             = ofStrength("uplift_bound", "what the wind asks of it by the safe reading of exposed rows, or by its bound", asked{reading{}, true})
)

var memberPull = terms.Derive(Member, "end_pull", terms.Quantity(quantity.Force), "largest net pull of the wind, on the feet and on the bare roof beside them, at one of its supports, against dead load; allowable level. Zero where the roof without the array pulls as much", "statics", "member", func(c *terms.Call, m *member) float64 {
	terms.Drive(c, m.frame.plane.Framing.Span)
	s := strains.Of(c, m, reading{})
	if c.Stop() {
		return 0
	}
	l, e := s.of(upliftWith)
	_, without := s.of(upliftAlone)
	c.Explain(chainWork(func(sys quantity.System) []string {
		return []string{m.carries(sys), l.what + ": a pull of " + show(sys, e.Up, quantity.Force) + " at a support, " + show(sys, without.Up, quantity.Force) + " without the array (allowable level)"}
	}, loadStandard(c)), nil)
	if !adds(c, e.Up, without.Up) {
		return 0
	}
	return e.Up
})

var _ = terms.Derive(planeKind, "end_pull", terms.Quantity(quantity.Force), "largest net pull at a support of any member under the feet on it; allowable level", "statics", "", func(c *terms.Call, p *job.Plane) float64 {
	terms.Drive(c, p.Framing.Span)
	f := framed.Of(c, p)
	if c.Stop() {
		return 0
	}
	var worst *member
	most := 0.0
	for _, m := range f.members {
		if pull := memberPull.Of(c, m); worst == nil || pull > most {
			worst, most = m, pull
		}
	}
	if worst != nil && !c.Stop() {
		c.Explain(memberPull.Work(c, worst), nil)
	}
	return most
})
