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

// safety is the safety factor of a screw: that of the standard, or the
// maker's where it is larger.
func safety(c *terms.Call, s *structural.AISI, f *job.FastenerType) float64 {
	if terms.Stated(c, f.SafetyFactor) {
		return math.Max(s.Safety(), terms.Peek(c, f.SafetyFactor))
	}
	return s.Safety()
}

// steelOf is the steel that the screws of an array hold in: the framing, or the
// sheet where the feet are made for the sheet alone. Sheet of low ductility does
// not count in full: one that is stronger than such sheet ever counts has to show
// its yield strength.
func steelOf(c *terms.Call, code *structural.AISI, a *job.Array, p *job.Plane) (thickness, tensile float64, steel arrays.Steel) {
	steel = arrays.Holding(c, a, p)
	if suits.Of(c, a); c.Stop() {
		return 0, 0, steel
	}
	thickness, tensile = c.Q(steel.Thickness), c.Q(steel.Tensile)
	if c.Stop() {
		return 0, 0, steel
	}
	if terms.Stated(c, steel.Yield) || steel.Name == arrays.Sheet && tensile > code.DuctilityCap() {
		tensile = code.Tensile(tensile, c.Q(steel.Yield))
	}
	return thickness, tensile, steel
}

// engaged is how much of a steel thickness the thread of a screw is in: a screw
// that ends inside the steel, or whose shank does, is in less of it.
func engaged(c *terms.Call, a *job.Array, f *job.FastenerType, thickness float64) float64 {
	out := arrays.ScrewOut.Of(c, a)
	if c.Stop() {
		return 0
	}
	to := out + thickness // from the end of the screw up
	if terms.Stated(c, f.Thread) {
		to = math.Min(to, terms.Peek(c, f.Thread).SI)
	}
	return math.Max(0, to-math.Max(0, out))
}

// ofAluminum reports whether the feet that a screw holds are of aluminum, to
// which the standard of steel does not reach; the lesser of both standards counts.
func ofAluminum(c *terms.Call, f *job.FastenerType) bool {
	return terms.Peek(c, f.SideMaterial) == "aluminum"
}

// prying tells whether the load on the feet of an array stands beside their
// screws, and whether the job says so.
func prying(c *terms.Call, a *job.Array) (yes, known bool) {
	t, ok := terms.Seek(c, mountingTypeKind, a.Mounting)
	if !ok || !terms.Stated(c, t.Eccentric) {
		return false, false
	}
	return terms.Peek(c, t.Eccentric), true
}

// byReport is what the fasteners of a foot hold by a value that the submittal
// states of one of them. It never raises what is computed.
func byReport(c *terms.Call, stated job.Quantity, of string, count int) []structural.Capacity {
	if !terms.Stated(c, stated) {
		return nil
	}
	return []structural.Capacity{{Mode: of + " that the submittal states", Allowable: terms.Peek(c, stated).SI * float64(count)}}
}

func steelUplift(c *terms.Call, a *job.Array, p *job.Plane, f *job.FastenerType, s *capacityState) []structural.Capacity {
	code := aisi(c)
	suits.Of(c, a)
	diameter, tension := c.Q(f.Diameter), c.Q(f.Tension)
	thickness, tensile, steel := steelOf(c, code, a, p)
	aside, _ := prying(c, a)
	s.hasHead = terms.Stated(c, f.Head)
	var head, side, sideTensile float64
	if s.hasHead { // left out: nothing to pull the foot over
		head, side, sideTensile = terms.Peek(c, f.Head).SI, c.Q(f.SideThickness), c.Q(f.SideTensile)
	}
	holding := engaged(c, a, f, thickness)
	if c.Stop() {
		return nil
	}
	s.code = "AISI S100 " + code.Edition
	factor := safety(c, code, f)
	var modes []structural.Capacity
	add := func(mode string, screw structural.Screw, err error) structural.Screw {
		if err != nil {
			c.Err(err)
			return screw
		}
		s.upliftWork = chainWork(s.upliftWork, screw.Work)
		modes = append(modes, structural.Capacity{Mode: mode, Allowable: screw.Allowable * float64(s.count), Refs: screw.Refs})
		return screw
	}
	pullout := "pull-out from the " + steel.Name
	if holding > 0 {
		screw, err := code.Pullout(diameter, holding, tensile, factor)
		s.pullout = add(pullout, screw, err)
	} else {
		modes = append(modes, structural.Capacity{Mode: pullout + ", which its thread does not reach"})
	}
	switch {
	case s.hasHead && head <= diameter:
		modes = append(modes, structural.Capacity{Mode: "pull-over of the foot, whose holes the heads do not cover"})
	case s.hasHead:
		where := func(screw structural.Screw, err error) (structural.Screw, error) {
			if aside && err == nil {
				screw = code.Eccentric(screw)
			}
			return screw, err
		}
		screw, err := where(code.Pullover(head, side, sideTensile, factor))
		s.pullover = add("pull-over of the foot", screw, err)
		if ofAluminum(c, f) {
			over, _, err := code.AluminumFoot(diameter, head, side, sideTensile, factor)
			over, err = where(over, err)
			if over = add("pull-over of the aluminum foot", over, err); over.Nominal < s.pullover.Nominal {
				s.pullover = over
			}
		}
	}
	screw, err := code.Tested("tension of the screw itself", tension, factor)
	s.tension = add("tension of the screw itself", screw, err)
	modes = append(modes, byReport(c, f.Allowable, "the withdrawal of the screws", s.count)...)
	if steel.Name == arrays.Sheet {
		modes = append(modes, roofHolds(c, a, s)...)
	}
	return modes
}

func screwShear(c *terms.Call, a *job.Array, p *job.Plane, f *job.FastenerType, count int, s *lateralState) []structural.Capacity {
	code := aisi(c)
	suits.Of(c, a)
	diameter, strength, tension := c.Q(f.Diameter), c.Q(f.Shear), c.Q(f.Tension)
	thickness, tensile, steel := steelOf(c, code, a, p)
	hollow, bend := arrays.OverHollow.Of(c, a), screwsBend.Of(c, a)
	if c.Stop() {
		return nil
	}
	s.code, s.bends = "AISI S100 "+code.Edition, bend
	factor := safety(c, code, f)
	var modes []structural.Capacity
	add := func(mode string, screw structural.Screw, err error) structural.Screw {
		if err != nil {
			c.Err(err)
			return screw
		}
		s.work = chainWork(s.work, screw.Work)
		modes = append(modes, structural.Capacity{Mode: mode, Allowable: screw.Allowable * float64(count), Refs: screw.Refs})
		return screw
	}
	screw, err := code.Tested("shear of the screw itself", strength, factor)
	s.own = add("shear of the screw itself", screw, err)
	modes = append(modes, byReport(c, f.Lateral, "the lateral value of the screws", count)...)
	switch {
	case bend:
		screw, err := code.Bending(diameter, arrays.FreeLength(c, a), tension, factor)
		add("bending of the screws below the foot", screw, err)
	case !hollow:
		side, sideTensile := c.Q(f.SideThickness), c.Q(f.SideTensile)
		if c.Stop() {
			return nil
		}
		screw, err := code.Shear(diameter, side, sideTensile, thickness, tensile, factor)
		s.shear = add("screw in shear in the "+steel.Name, screw, err)
		if ofAluminum(c, f) {
			_, bears, err := code.AluminumFoot(diameter, math.Max(c.Q(f.Head), 1.01*diameter), side, sideTensile, factor)
			if bears = add("bearing of the aluminum foot", bears, err); bears.Nominal < s.shear.Nominal {
				s.shear = bears
			}
		}
	}
	return modes
}

var _ = terms.Derive(arrayKind, "screw_safety", terms.PlainNumber, "safety factor of screw connections in steel", "AISI S100 J4", "", func(c *terms.Call, _ *job.Array) float64 {
	s := aisi(c)
	if c.Stop() {
		return 0
	}
	return s.Safety()
})

// overAllowable is what a strength is over the allowable load by: a screw in shear
// holds at most six tenths of what its steel bears, over a safety factor of three.
const overAllowable = 3 / 0.6

var _ = terms.Derive(arrayKind, "screw_stress", terms.Quantity(quantity.Pressure), "largest stress over the full section of one of its screws that a stated strength means: as it is in shear and tension, an allowable lateral load five times", "statics", "", func(c *terms.Call, a *job.Array) float64 {
	f, _, _ := fastenerOf(c, a)
	terms.Drive(c, f.Tension)
	diameter := c.Q(f.Diameter)
	if c.Stop() {
		return 0
	}
	most := 0.0
	stress := func(stated job.Quantity, over float64) {
		if terms.Stated(c, stated) {
			most = math.Max(most, over*terms.Peek(c, stated).SI/(math.Pi/4*diameter*diameter))
		}
	}
	stress(f.Shear, 1)
	stress(f.Tension, 1)
	stress(f.Lateral, overAllowable)
	return most
})

// testedHere reports whether the maker's test of a clamp or a foot was made on the
// metal roof of a plane, or on a thinner sheet of the same profile, and its report
// is in the submittal.
func testedHere(c *terms.Call, p *job.Plane, f *job.FastenerType) bool {
	cover := &p.Covering
	if !terms.Stated(c, f.TestedProfile) || !terms.Stated(c, cover.Profile) || !terms.Stated(c, f.TestedSheet) || !terms.Stated(c, cover.Thickness) {
		return false
	}
	report, ok := terms.Seek(c, documentKind, f.TestReport)
	return ok && terms.Get(c, report.Kind) == "test-report" && structural.SameName(terms.Peek(c, f.TestedProfile), terms.Peek(c, cover.Profile)) &&
		structural.Meets(terms.Peek(c, f.TestedSheet).SI, terms.Peek(c, cover.Thickness).SI)
}

var _ = ofFasteners("pullout_each", terms.Quantity(quantity.Force), "allowable pull-out of one of its screws from the steel that holds it", "AISI S100 J4.4.1", "screw-pullout", func(c *terms.Call, s *capacityState) float64 {
	if s.pullout.Allowable == 0 {
		c.Fail("no pull-out of screws from steel is computed of its feet")
		return 0
	}
	c.Explain(s.upliftWork, s.pullout.Refs)
	return s.pullout.Allowable
})

var screwsBend = terms.Derive(arrayKind, "screws_bend", terms.YesNo, "whether a load along the roof bends its screws over the hollow of a rib, and no test of the foot on this profile says what it holds", "geometry; maker's test", "", func(c *terms.Call, a *job.Array) bool {
	if !arrays.OverHollow.Of(c, a) || c.Stop() {
		return false
	}
	f, ok := terms.Seek(c, fastenerTypeKind, a.Attachments.Fastener)
	return ok && !testedHere(c, arrays.PlaneOf(c, a), f)
})

// pliesOf is what the screws of an array go through and how they hold it.
var pliesOf = terms.Analyse(arrayKind, "plies at the screws", func(c *terms.Call, a *job.Array) *structural.Plies {
	up, side := holds.Of(c, a), holdsAlong.Of(c, a, "wind")
	f, _ := terms.Seek(c, fastenerTypeKind, a.Attachments.Fastener)
	if c.Stop() {
		return nil
	}
	c.Q(f.Head) // pull-over is half of the interaction
	code := aisi(c)
	_, loadKnown := prying(c, a)
	j := &structural.Plies{Diameter: c.Q(f.Diameter), Thickness1: c.Q(f.SideThickness), Tensile1: c.Q(f.SideTensile), Aluminum: ofAluminum(c, f), LoadKnown: loadKnown,
		Shear: side.shear, Pullover: up.pullover, Pullout: up.pullout, ShearOfScrew: side.own, TensionOfScrew: up.tension}
	if c.Stop() {
		return nil
	}
	var steel arrays.Steel
	j.Thickness2, j.Tensile2, steel = steelOf(c, code, a, arrays.PlaneOf(c, a))
	j.Thickness2, j.Yield2 = engaged(c, a, f, j.Thickness2), c.Q(steel.Yield)
	if j.Thickness2 == 0 && !c.Stop() {
		c.Fail("the thread of the screws does not reach the %s", steel.Name)
	}
	return j
})

// steelInteraction is the tension and shear on each screw of a foot at once.
func steelInteraction(c *terms.Call, a *job.Array, up *capacityState, uplift, downslope float64) (structural.Interaction, func(quantity.System) []string) {
	code, j := aisi(c), pliesOf.Of(c, a)
	if c.Stop() {
		return structural.Interaction{}, nil
	}
	n := float64(up.count)
	r, err := code.Interaction(downslope/n, uplift/n, *j, c.Job().System())
	if err != nil {
		c.Err(err)
	}
	return r, func(sys quantity.System) []string {
		lines := []string{fmt.Sprintf("shear %s and tension %s on each screw: %.3f with pull-over (%.3f where the load stands beside the screw), %.3f with pull-out, %.3f of the screw itself (allowable level)",
			show(sys, downslope/n, quantity.Force), show(sys, uplift/n, quantity.Force), r.Pullover, r.Eccentric, r.Pullout, r.Screw)}
		if why := r.Outside(); len(why) > 0 {
			lines = append(lines, "outside the range of the tests: "+strings.Join(why, "; "))
		}
		return lines
	}
}

// rated is the share of the maker's rating of a foot along the roof that a load
// takes.
func rated(c *terms.Call, a *job.Array, along float64) float64 {
	t, ok := terms.Seek(c, mountingTypeKind, a.Mounting)
	if !ok || !terms.Stated(c, t.AttachmentLateral) {
		return 0
	}
	return along / terms.Peek(c, t.AttachmentLateral).SI
}

// steelCombined is the utilisation of the screws of a foot under tension and
// shear at once, as far as the standard's tests reach.
func steelCombined(c *terms.Call, a *job.Array, up *capacityState, side *lateralState, uplift, downslope float64) (float64, func(quantity.System) []string, []table.Ref) {
	r, work := steelInteraction(c, a, up, uplift, downslope)
	if c.Stop() {
		return 0, nil, nil
	}
	return math.Max(r.Utilisation, rated(c, a, downslope)), work, r.Refs
}

// boundState is what tension and shear at once take of the screws of a foot by a
// bound that is safe where the standard's tests do not reach.
type boundState struct {
	share float64
	why   string // what is not certain
	work  func(quantity.System) []string
	refs  []table.Ref
}

var boundOf = terms.Analyse(arrays.Attachment, "uplift and lateral load together", func(c *terms.Call, f *arrays.Foot) *boundState {
	s, a := &boundState{}, f.Array
	uplift := AttachmentUplift.Of(c, f)
	up, side, hollow := holds.Of(c, a), holdsAlong.Of(c, a, "wind"), arrays.OverHollow.Of(c, a)
	if c.Stop() {
		return s
	}
	pairs := pairsOn(c, a, f.I, uplift, reading{})
	for k, pair := range pairs {
		next := boundState{}
		if hollow || up.engineered || side.engineered {
			next.share, next.work, next.refs = added(up.uplift, side.least, math.Max(0, pair.Uplift), pair.Downslope)
			next.why = "the screws stand free over the hollow of a rib, so that shares of both capacities are added"
		} else {
			r, work := steelInteraction(c, a, up, math.Max(0, pair.Uplift), pair.Downslope)
			next.share, next.work, next.refs = math.Max(r.Bound, rated(c, a, pair.Downslope)), work, r.Refs
			why := r.Outside()
			if _, known := prying(c, a); !known {
				why = append(why, "a load beside the screw counts half of the pull-over")
			}
			next.why = strings.Join(why, "; ")
		}
		if k == 0 || next.share > s.share {
			*s = next
		}
	}
	return s
})

var _ = terms.Derive(arrays.Attachment, "combined_bound", terms.Quantity(quantity.Ratio), "share of its screws' capacity that uplift and the load down the slope beside it take together by a safe bound: the general safety factor outside the range of the standard's tests, half of the pull-over, and shares added where screws stand free over a rib", "AISI S100 J4.5", "screw-combined",
	func(c *terms.Call, f *arrays.Foot) float64 {
		terms.Drive(c, f.Array.Attachments.Fastener)
		s := boundOf.Of(c, f)
		if c.Stop() {
			return 0
		}
		c.Explain(s.work, s.refs)
		return s.share
	})

var _ = terms.Derive(arrays.Attachment, "combined_limits", terms.Word, "what is not certain of uplift and lateral load together on its screws", "AISI S100 J4.5", "", func(c *terms.Call, f *arrays.Foot) string {
	s := boundOf.Of(c, f)
	if c.Stop() {
		return ""
	}
	return s.why
})
