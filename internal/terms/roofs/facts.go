package roofs

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/roofplan"
	"plumbrule/internal/source"
	"plumbrule/internal/terms"
)

// What the drawing of a roof says of the building: its plan dimensions, the
// shape of its roof and its heights. Each answers for the value of the building
// that the job leaves out. One that the job states is held against it; where
// the two contradict each other neither is taken, so that no check passes by
// the wrong one.

// roofPlanes gives the roof and its planes that are no open ground.
func roofPlanes(c *terms.Call) (*roofplan.Roof, []int) {
	s, needs := laid.Try(c, c.Job())
	if s == nil || s.Roof == nil {
		c.Need(needs...)
		if !c.Stop() {
			c.Fail("the roof cannot be laid out")
		}
		return nil, nil
	}
	var planes []int
	for i := range s.Roof.Len() {
		if !s.Ground[i] {
			planes = append(planes, i)
		}
	}
	if len(planes) == 0 {
		c.Fail("no plane of the job is a roof")
	}
	return s.Roof, planes
}

// fact reads a number of the table that says how far a building may differ from
// its roof as drawn.
func fact(c *terms.Call, row string) float64 { return terms.Practice(c, "building", row, "value") }

// length formats a length in the units of the job.
func length(c *terms.Call, v float64) string {
	return quantity.Of(v, quantity.Length).Format(c.Job().System())
}

// contradicts makes a stated value undetermined that the drawing contradicts.
func contradicts(c *terms.Call, key string, at source.Span, stated, drawn string) {
	c.Need(terms.Need{Why: fmt.Sprintf("%s is stated as %s; the drawing gives %s", key, stated, drawn), At: at})
}

// drawnLine explains a value that the drawing answers for.
func drawnLine(c *terms.Call, text func(sys quantity.System) string) {
	if c.Stop() {
		return
	}
	c.Drive(c.Job().SectionAt("plane"))
	c.Explain(func(sys quantity.System) []string { return []string{text(sys) + ", from the drawing"} }, nil)
}

// DrawnWork is how the drawing answers for the dimensions and the shape of the
// building that the job leaves out; no line where it states them.
func DrawnWork(c *terms.Call) func(quantity.System) []string {
	b := &c.Job().Building
	works := []func(quantity.System) []string{MeanRoofHeight.Work(c, b), EaveHeight.Work(c, b), Width.Work(c, b), Shape.Work(c, b)}
	return func(sys quantity.System) (out []string) {
		for _, work := range works {
			if work != nil {
				out = append(out, work(sys)...)
			}
		}
		return out
	}
}

// extents are the sizes of the roof in plan: of all planes together, and then,
// where planes stand apart as of several buildings, of each of these.
var extents = terms.Analyse(submittalKind, "extents of the roof", func(c *terms.Call, _ *job.Job) []roofplan.Extent {
	roof, planes := roofPlanes(c)
	apart := fact(c, "apart")
	if c.Stop() {
		return nil
	}
	out := []roofplan.Extent{roof.Extent(planes)}
	if buildings := roof.Buildings(planes, apart); len(buildings) > 1 {
		for _, b := range buildings {
			out = append(out, roof.Extent(b))
		}
	}
	return out
})

// planSide is one plan dimension of the building.
type planSide struct {
	name   string
	stated func(b *job.Building) job.Quantity
	drawn  func(e roofplan.Extent) float64
}

var (
	longSide  = planSide{"length", func(b *job.Building) job.Quantity { return b.Length }, func(e roofplan.Extent) float64 { return e.Length }}
	shortSide = planSide{"width", func(b *job.Building) job.Quantity { return b.Width }, func(e roofplan.Extent) float64 { return e.Width }}
)

// fits tells whether a stated dimension is that of the roof, or of one of the
// buildings that it shows, less the overhangs of both sides.
func (p planSide) fits(c *terms.Call, v float64) bool {
	all, over, beyond := extents.Of(c, c.Job()), fact(c, "overhang"), fact(c, "plan")
	return slices.ContainsFunc(all, func(e roofplan.Extent) bool {
		d := p.drawn(e)
		return quantity.AtMost(v, d+beyond) && quantity.AtMost(d, v+2*over)
	})
}

// swapped tells whether the stated length is shorter than the stated width.
func swapped(c *terms.Call, b *job.Building) bool {
	return terms.Stated(c, b.Length) && terms.Stated(c, b.Width) && !quantity.AtMost(terms.Peek(c, b.Width).SI, terms.Peek(c, b.Length).SI)
}

func (p planSide) term() terms.TermOf[job.Building, float64] {
	return terms.Fill(buildingKind, p.name, terms.Quantity(quantity.Length), func(c *terms.Call, b *job.Building, stated bool, v float64) float64 {
		part := c.Part()
		all := extents.Of(part, c.Job())
		if !stated {
			c.Need(part.Needs()...)
			if len(all) > 1 {
				c.Fail("the planes of the roof stand apart, as of several buildings, so that the drawing does not say the %s of this one", p.name)
			}
			if c.Stop() {
				return 0
			}
			e := all[0]
			drawnLine(c, func(sys quantity.System) string {
				return fmt.Sprintf("%s of the building = %s of a roof of %s by %s", p.name, quantity.Of(p.drawn(e), quantity.Length).Format(sys),
					quantity.Of(e.Length, quantity.Length).Format(sys), quantity.Of(e.Width, quantity.Length).Format(sys))
			})
			return p.drawn(e)
		}
		given := p.stated(b)
		if swapped(c, b) {
			c.Need(terms.Need{Why: "building.length is stated as the shorter side", At: b.Length.At})
		}
		if !part.Stop() && !p.fits(part, v) {
			contradicts(c, "building."+p.name, given.At, length(c, v), length(c, p.drawn(all[0])))
		}
		return v
	})
}

// Length and Width are the plan dimensions of the building as stated, else as
// drawn; WidthDrawn is that of the drawing alone.
var (
	Length     = longSide.term()
	Width      = shortSide.term()
	_          = longSide.drawnTerm()
	WidthDrawn = shortSide.drawnTerm()
)

// drawnTerm declares what the drawing gives alone.
func (p planSide) drawnTerm() terms.TermOf[job.Building, float64] {
	return terms.Derive(buildingKind, p.name+"_drawn", terms.Quantity(quantity.Length), p.name+" of the roof as drawn, along the sides of the smallest rectangle around it", "geometry", "",
		func(c *terms.Call, _ *job.Building) float64 {
			all := extents.Of(c, c.Job())
			if c.Stop() {
				return 0
			}
			return p.drawn(all[0])
		})
}

// declare gives the terms of what the job states alone, and whether the drawing
// agrees with it.
func (p planSide) declare() {
	statedTerm(p.name, terms.Quantity(quantity.Length), func(c *terms.Call, b *job.Building) float64 { return c.Q(p.stated(b)) })
	agreesTerm(p.name, func(c *terms.Call, b *job.Building) { terms.Drive(c, p.stated(b)) }, func(c *terms.Call, b *job.Building) bool { return p.fits(c, c.Q(p.stated(b))) })
}

// statedTerm declares the term of a value as the job states it.
func statedTerm[V any](name string, t terms.TypeOf[V], value func(c *terms.Call, b *job.Building) V) {
	terms.Derive(buildingKind, name+"_stated", t, strings.ReplaceAll(name, "_", " ")+" as the job states it", "the job", "", value)
}

// agreesTerm declares whether a stated value agrees with the drawing.
func agreesTerm(name string, drive func(c *terms.Call, b *job.Building), value func(c *terms.Call, b *job.Building) bool) {
	terms.Derive(buildingKind, name+"_agrees", terms.YesNo, "whether the stated "+strings.ReplaceAll(name, "_", " ")+" is that of the roof as drawn, within what walls, overhangs and rounding make", "common practice", "",
		func(c *terms.Call, b *job.Building) bool {
			drive(c, b)
			return value(c, b)
		})
}

func init() {
	longSide.declare()
	shortSide.declare()
	statedTerm("eave_height", terms.Quantity(quantity.Length), func(c *terms.Call, b *job.Building) float64 { return c.Q(b.EaveHeight) })
	statedTerm("mean_roof_height", terms.Quantity(quantity.Length), func(c *terms.Call, b *job.Building) float64 { return c.Q(b.MeanRoofHeight) })
	statedTerm("roof_shape", terms.Word, func(c *terms.Call, b *job.Building) string { return terms.Get(c, b.RoofShape) })
	agreesTerm("eave_height", func(c *terms.Call, b *job.Building) { terms.Drive(c, b.EaveHeight) }, func(c *terms.Call, b *job.Building) bool { return eaveFits(c, c.Q(b.EaveHeight)) })
	agreesTerm("mean_roof_height", func(c *terms.Call, b *job.Building) { terms.Drive(c, b.MeanRoofHeight) }, func(c *terms.Call, b *job.Building) bool { return meanFits(c, c.Q(b.MeanRoofHeight)) })
	agreesTerm("roof_shape", func(c *terms.Call, b *job.Building) { terms.Drive(c, b.RoofShape) }, func(c *terms.Call, b *job.Building) bool {
		return slices.Contains(shapeOf.Of(c, c.Job()).words, terms.Get(c, b.RoofShape))
	})
}

var _ = terms.Derive(buildingKind, "largest_overhang", terms.Quantity(quantity.Length), "overhang on each side by which a building may be smaller than its roof", "common practice", "",
	func(c *terms.Call, _ *job.Building) float64 { return fact(c, "overhang") })

// heights are the levels of the roof above the ground, as drawn.
type heights struct {
	roofplan.Levels
	low bool // every slope is so low that the eave may stand for the mean height
}

// levels measures the roof in height. It is not known where an elevation is
// missing, where elevations count from another datum than the ground, or where
// planes do not meet at the heights that they have.
var levels = terms.Analyse(submittalKind, "levels of the roof", func(c *terms.Call, j *job.Job) heights {
	roof, planes := roofPlanes(c)
	least, slack, gentle := fact(c, "least eave"), fact(c, "height"), fact(c, "low slope")
	if c.Stop() {
		return heights{}
	}
	l, missing := roof.Levels(planes)
	if missing >= 0 {
		c.Missing(j.Planes[missing].EaveElevation.Key, j.Planes[missing].At)
		return heights{}
	}
	if !quantity.AtMost(least, l.LowestEave) {
		c.Fail("the lowest eave is drawn at %s, so that eave_elevation does not count from the ground", length(c, l.LowestEave))
	}
	h := heights{Levels: l, low: true}
	for _, p := range planes {
		h.low = h.low && quantity.AtMost(roof.Plane(p).Slope, gentle)
		for _, m := range roof.Meetings(p) {
			if gap := math.Abs(m.Own - m.Across); p < m.Other && !quantity.AtMost(gap, slack) {
				readJoint(c, p, m.Other)
				c.Fail("planes %s and %s differ by %s in height where they meet", roof.Plane(p).Name, roof.Plane(m.Other).Name, length(c, gap))
			}
		}
	}
	for _, d := range roof.Doubts() {
		if d.Kind == roofplan.HeightsDisagree && slices.Contains(planes, d.A) && slices.Contains(planes, d.B) {
			readJoint(c, d.A, d.B)
			c.Fail("%s", d.Text)
		}
	}
	return h
})

func eaveFits(c *terms.Call, v float64) bool {
	h, slack := levels.Of(c, c.Job()), fact(c, "height")
	return quantity.AtMost(math.Abs(v-h.LowestEave), slack)
}

// meanBand is what the mean roof height may be by the drawing: the mean of an
// eave and the highest point, and on low slopes the height of the eave too.
func (h heights) meanBand() (least, most float64) {
	least, most = (h.LowestEave+h.Top)/2, (h.HighestEave+h.Top)/2
	if h.low {
		least = h.LowestEave
	}
	return least, most
}

func meanFits(c *terms.Call, v float64) bool {
	h, slack := levels.Of(c, c.Job()), fact(c, "height")
	least, most := h.meanBand()
	return quantity.AtMost(least, v+slack) && quantity.AtMost(v, most+slack)
}

// EaveHeight is the height of the lowest eave as stated, else as drawn.
var EaveHeight = terms.Fill(buildingKind, "eave_height", terms.Quantity(quantity.Length), func(c *terms.Call, b *job.Building, stated bool, v float64) float64 {
	part := c.Part()
	h := levels.Of(part, c.Job())
	if stated {
		if !part.Stop() && !eaveFits(part, v) {
			contradicts(c, "building.eave_height", b.EaveHeight.At, length(c, v), length(c, h.LowestEave))
		}
		return v
	}
	c.Need(part.Needs()...)
	drawnLine(c, func(sys quantity.System) string {
		return "eave height = " + quantity.Of(h.LowestEave, quantity.Length).Format(sys) + " of the lowest eave"
	})
	return h.LowestEave
})

// MeanRoofHeight is the mean roof height as stated, else as drawn. On low
// slopes the drawing answers with the mean too, which asks for more than the
// height of the eave.
var MeanRoofHeight = terms.Fill(buildingKind, "mean_roof_height", terms.Quantity(quantity.Length), func(c *terms.Call, b *job.Building, stated bool, v float64) float64 {
	part := c.Part()
	h := levels.Of(part, c.Job())
	if stated {
		if !part.Stop() && !meanFits(part, v) {
			contradicts(c, "building.mean_roof_height", b.MeanRoofHeight.At, length(c, v), h.meanWords(c))
		}
		return v
	}
	c.Need(part.Needs()...)
	if spread := fact(part, "eave spread"); !part.Stop() && !quantity.AtMost(h.HighestEave-h.LowestEave, spread) {
		c.Fail("the eaves are drawn from %s to %s high, so that the drawing does not say which counts for the mean roof height", length(c, h.LowestEave), length(c, h.HighestEave))
	}
	_, mean := h.meanBand()
	drawnLine(c, func(sys quantity.System) string {
		show := func(v float64) string { return quantity.Of(v, quantity.Length).Format(sys) }
		return "mean roof height = (eave " + show(h.HighestEave) + " + highest point " + show(h.Top) + ") / 2 = " + show(mean)
	})
	return mean
})

func (h heights) meanWords(c *terms.Call) string {
	least, most := h.meanBand()
	if quantity.AtMost(most, least) {
		return length(c, most)
	}
	return length(c, least) + " to " + length(c, most)
}

// ofLevels declares a term of the building that the heights of the drawing give.
func ofLevels(name, meaning string, value func(h heights) float64) terms.TermOf[job.Building, float64] {
	return terms.Derive(buildingKind, name, terms.Quantity(quantity.Length), meaning, "geometry", "", func(c *terms.Call, _ *job.Building) float64 {
		h := levels.Of(c, c.Job())
		if c.Stop() {
			return 0
		}
		return value(h)
	})
}

// EaveHeightDrawn is the height of the lowest eave that the drawing gives.
var EaveHeightDrawn = ofLevels("eave_height_drawn", "height of the lowest eave above the ground as drawn", func(h heights) float64 { return h.LowestEave })

var _ = ofLevels("ridge_height_drawn", "height of the highest point of the roof above the ground as drawn", func(h heights) float64 { return h.Top })

var _ = terms.Derive(buildingKind, "mean_roof_height_range", terms.Word, "mean roof height as drawn, in words: from that of the lowest eave to that of the highest; on low slopes from the eave itself", "geometry", "",
	func(c *terms.Call, _ *job.Building) string {
		h := levels.Of(c, c.Job())
		if c.Stop() {
			return ""
		}
		return h.meanWords(c)
	})

// MeanRoofHeightDrawn is the largest mean roof height that the drawing gives.
var MeanRoofHeightDrawn = ofLevels("mean_roof_height_drawn", "mean roof height as drawn: of the highest eave and the highest point", func(h heights) float64 { _, most := h.meanBand(); return most })

// shapeState is the shape of the roof as drawn.
type shapeState struct {
	drawn string   // in words: gable, gambrel, gable and monoslope
	words []string // the words of roof_shape that may stand for it
	plain bool     // drawn is itself one of them
}

// spoken are the words of roof_shape that may stand for a form.
var spoken = map[roofplan.Form][]string{
	roofplan.FlatForm: {"flat"}, roofplan.GableForm: {"gable"}, roofplan.HipForm: {"hip"}, roofplan.MonoslopeForm: {"monoslope"},
	roofplan.GambrelForm: {"gable"}, roofplan.MansardForm: {"hip"}, roofplan.HipGableForm: {"hip", "gable"}, roofplan.MultispanForm: {"gable"},
}

// shapeOf names the shape of the roof. It is not known where the drawing leaves
// in doubt which planes meet.
var shapeOf = terms.Analyse(submittalKind, "shape of the roof", func(c *terms.Call, _ *job.Job) shapeState {
	roof, planes := roofPlanes(c)
	level, figure := fact(c, "level"), fact(c, "flat figure")
	if c.Stop() {
		return shapeState{}
	}
	for _, d := range roof.Doubts() {
		if slices.Contains(planes, d.A) && slices.Contains(planes, d.B) {
			readJoint(c, d.A, d.B)
			c.Fail("%s", d.Text)
		}
	}
	var names, words []string
	for _, part := range roof.Parts(planes) {
		f := roof.Form(part, level)
		names = append(names, string(f))
		words = append(words, spoken[f]...)
		steep := slices.ContainsFunc(part, func(p int) bool { return !quantity.AtMost(roof.Plane(p).Slope, figure) })
		if !steep && !slices.Contains(spoken[f], string(f)) {
			words = append(words, string(roofplan.FlatForm))
		}
	}
	slices.Sort(names)
	names = slices.Compact(names)
	s := shapeState{drawn: strings.Join(names, " and "), words: words}
	s.plain = len(names) == 1 && slices.Contains(words, names[0])
	if s.plain && names[0] == string(roofplan.FlatForm) {
		s.words = []string{"flat", "gable", "hip", "monoslope"} // one figure for all of them
	}
	return s
})

// ShapeDrawn is the shape of the roof that the drawing gives.
var ShapeDrawn = terms.Derive(buildingKind, "roof_shape_drawn", terms.Word, "shape of the roof as drawn; several words where its parts differ", "geometry", "", func(c *terms.Call, _ *job.Building) string {
	s := shapeOf.Of(c, c.Job())
	if c.Stop() {
		return ""
	}
	return s.drawn
})

// Shape is the shape of the roof for wind as stated, else as drawn.
var Shape = terms.Fill(buildingKind, "roof_shape", terms.Word, func(c *terms.Call, b *job.Building, stated bool, v string) string {
	part := c.Part()
	s := shapeOf.Of(part, c.Job())
	if stated {
		if !part.Stop() && !slices.Contains(s.words, v) {
			contradicts(c, "building.roof_shape", b.RoofShape.At, v, s.drawn)
		}
		return v
	}
	c.Need(part.Needs()...)
	if !c.Stop() && !s.plain {
		c.Fail("the roof is drawn as %s, for which the job must say the shape that the wind pressures are taken for", s.drawn)
	}
	drawnLine(c, func(quantity.System) string { return "shape of the roof: " + s.drawn })
	return s.drawn
})

var _ = terms.Derive(Roof, "has_parapet", terms.YesNo, "whether an edge of the roof is said to end at a parapet", "the job", "", func(c *terms.Call, _ *Whole) bool {
	roof, planes := roofPlanes(c)
	if c.Stop() {
		return false
	}
	return slices.ContainsFunc(planes, func(p int) bool {
		return slices.ContainsFunc(roof.Edges(p), func(e roofplan.Edge) bool { return e.Kind == roofplan.Parapet })
	})
})

// meetings are where planes that fall the other way tell the height of the top
// of a plane.
var meetings = terms.Analyse(planeKind, "meetings with planes across", func(c *terms.Call, p *job.Plane) []roofplan.Meeting {
	roof, _ := roofPlanes(c)
	if roof == nil {
		return nil
	}
	return roof.Meetings(laid.Of(c, c.Job()).Index[p.Name.Value])
})

var _ = terms.Derive(planeKind, "meets_across", terms.YesNo, "whether its top meets a plane that falls the other way, with the elevation of either stated", "geometry", "", func(c *terms.Call, p *job.Plane) bool {
	return len(meetings.Of(c, p)) > 0
})

var _ = terms.Derive(planeKind, "across", terms.Word, "plane that falls the other way and tells the height of its top", "geometry", "", func(c *terms.Call, p *job.Plane) string {
	if m := meetingOf(c, p); m != nil {
		return laid.Of(c, c.Job()).Roof.Plane(m.Other).Name
	}
	return ""
})

var _ = terms.Derive(planeKind, "slope_by_heights", terms.Quantity(quantity.Angle), "slope from its lowest edge to the height at which the plane across stands where they meet; of several the farthest from its own", "geometry", "", func(c *terms.Call, p *job.Plane) float64 {
	m := meetingOf(c, p)
	if m == nil {
		return 0
	}
	low := m.Own - m.Run*math.Tan(c.Q(p.Slope)*math.Pi/180)
	c.Explain(func(sys quantity.System) []string {
		show := func(v float64) string { return quantity.Of(v, quantity.Length).Format(sys) }
		return []string{fmt.Sprintf("rise from %s to %s over %s in plan: %s", show(low), show(m.Across), show(m.Run), quantity.Of(m.Slope, quantity.Angle).Format(sys))}
	}, nil)
	return m.Slope
})

var _ = terms.Derive(planeKind, "height_gap", terms.Quantity(quantity.Length), "difference in height between the top of the plane and the plane across where they meet", "geometry", "", func(c *terms.Call, p *job.Plane) float64 {
	if m := meetingOf(c, p); m != nil {
		return math.Abs(m.Own - m.Across)
	}
	return 0
})

var _ = terms.Derive(planeKind, "slope_margin", terms.Quantity(quantity.Angle), "how far its slope may differ from that by heights", "common practice", "", func(c *terms.Call, _ *job.Plane) float64 {
	return fact(c, "slope")
})

// meetingOf is the meeting that contradicts the slope of a plane most.
func meetingOf(c *terms.Call, p *job.Plane) *roofplan.Meeting {
	terms.Drive(c, p.Slope)
	slope := c.Q(p.Slope)
	var worst *roofplan.Meeting
	for _, m := range meetings.Of(c, p) {
		if m.Missing >= 0 {
			without := &c.Job().Planes[m.Missing]
			c.Missing(without.EaveElevation.Key, without.At)
		} else if worst == nil || math.Abs(m.Slope-slope) > math.Abs(worst.Slope-slope) {
			worst = &m
		}
	}
	if c.Stop() {
		return nil
	}
	if worst == nil {
		c.Fail("no plane tells the height of the top of %s", p.Name.Value)
		return nil
	}
	readJoint(c, laid.Of(c, c.Job()).Index[p.Name.Value], worst.Other)
	return worst
}

// ParapetHeight is the height of the parapet as stated; a pitched roof of which no
// edge is said to end at one has none.
var ParapetHeight = terms.Fill(buildingKind, "parapet_height", terms.Quantity(quantity.Length), func(c *terms.Call, b *job.Building, stated bool, v float64) float64 {
	if stated {
		return v
	}
	roof, planes := roofPlanes(c)
	figure := fact(c, "flat figure")
	if c.Stop() {
		return 0
	}
	for _, p := range planes {
		said := slices.ContainsFunc(roof.Edges(p), func(e roofplan.Edge) bool { return e.Kind == roofplan.Parapet })
		if said || quantity.AtMost(roof.Plane(p).Slope, figure) {
			c.Missing(b.ParapetHeight.Key, b.ParapetHeight.At)
			return 0
		}
	}
	c.Explain(func(sys quantity.System) []string {
		return []string{"no edge of the roof is said to end at a parapet, and all of it is steeper than " + quantity.Of(figure, quantity.Angle).Format(sys)}
	}, nil)
	return 0
})
