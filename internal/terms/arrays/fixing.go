package arrays

import (
	"math"
	"slices"

	"plumbrule/internal/job"
	"plumbrule/internal/layout"
	"plumbrule/internal/quantity"
	"plumbrule/internal/terms"
)

// What the feet of an array are fixed to.
const (
	Framing = "framing"
	Sheet   = "sheet"
	Seam    = "seam"
)

// metalSheets are the coverings that a foot can be screwed to by themselves.
var metalSheets = []string{"corrugated", "trapezoidal", "standing-seam"}

// FixedTo is what the feet of an array are fixed to. Seam clamps hold seams. The
// sheet counts only where the maker says so, the roof is of sheet metal and the
// fasteners are screws for metal: what contradicts that is held to framing, as
// everything is of which nothing is said.
var FixedTo = terms.Derive(arrayKind, "fixed_to", terms.Word, "what its feet are fixed to: seam for seam clamps; sheet where the maker of the mounting says so and the screws and the covering are of metal; framing otherwise", "the job", "", func(c *terms.Call, a *job.Array) string {
	terms.Get(c, a.Attachments.Fastener)
	f, _ := terms.Seek(c, fastenerTypeKind, a.Attachments.Fastener)
	terms.Get(c, a.Mounting)
	t, _ := terms.Seek(c, mountingTypeKind, a.Mounting)
	if c.Stop() || f == nil || t == nil {
		return ""
	}
	kind := terms.Get(c, f.Kind)
	if c.Stop() {
		return ""
	}
	if kind == "seam-clamp" {
		return Seam
	}
	if !terms.Stated(c, t.FixedTo) || terms.Peek(c, t.FixedTo) != Sheet || kind != "metal-screw" {
		return Framing
	}
	if slices.Contains(metalSheets, terms.Get(c, PlaneOf(c, a).Covering.Kind)) {
		return Sheet
	}
	return Framing
})

// Steel is what the screws of an array are threaded into.
type Steel struct {
	Thickness, Tensile, Yield job.Quantity
	Name                      string
}

// Holding gives the steel that the screws of an array are threaded into: the
// sheet where its feet are fixed to the sheet alone, the framing otherwise.
func Holding(c *terms.Call, a *job.Array, p *job.Plane) Steel {
	if FixedTo.Of(c, a) == Sheet {
		return Steel{p.Covering.Thickness, p.Covering.Tensile, p.Covering.Yield, Sheet}
	}
	return Steel{p.Framing.Thickness, p.Framing.Tensile, p.Framing.Yield, terms.Get(c, p.Framing.Member)}
}

// ribs are the crests of a ribbed sheet, or the seams of a standing-seam roof.
// They run up the slope, so that water does.
func ribs(c *terms.Call, p *job.Plane) layout.Grid {
	return layout.Grid{Direction: layout.UpSlope, Spacing: c.Q(p.Covering.RibPitch), Offset: c.Q(p.Covering.RibOffset)}
}

// pans are the middles of the pans between the ribs, of which the first may lie
// to the left of the first rib.
func pans(c *terms.Call, p *job.Plane) layout.Grid {
	g := ribs(c, p)
	g.Offset -= g.Spacing / 2
	return g
}

var _ = terms.Derive(Attachment, "rib_distance", terms.Quantity(quantity.Length), "distance of its worst fastener from the nearest rib crest or seam", "geometry", "",
	func(c *terms.Call, f *Foot) float64 { return RibDistance(c, f.Array, f.Foot(c)) })

// RibDistance is the distance of the worst fastener of a foot from the nearest
// crest or seam.
func RibDistance(c *terms.Call, a *job.Array, foot layout.Foot) float64 {
	p := PlaneOf(c, a)
	terms.Drive(c, p.Covering.RibOffset)
	return worstLanding(c, a, foot, ribs(c, p))
}

var _ = terms.Derive(Attachment, "pan_distance", terms.Quantity(quantity.Length), "distance of its worst fastener from the middle of the nearest pan between ribs", "geometry", "",
	func(c *terms.Call, f *Foot) float64 {
		p := PlaneOf(c, f.Array)
		terms.Drive(c, p.Covering.RibOffset)
		return worstLanding(c, f.Array, f.Foot(c), pans(c, p))
	})

var _ = terms.Derive(arrayKind, "crest_tolerance", terms.Quantity(quantity.Length), "most that a fastener may stand off the middle of a crest: what keeps its shank on the flat, or a quarter inch where the flat width is not given", "geometry; common practice", "", func(c *terms.Call, a *job.Array) float64 {
	p := PlaneOf(c, a)
	if c.Stop() {
		return 0
	}
	if !terms.Stated(c, p.Covering.RibTop) {
		return terms.Practice(c, "feet", "crest", "value")
	}
	terms.Drive(c, p.Covering.RibTop)
	return onFlat(c, a, c.Q(p.Covering.RibTop))
})

var _ = terms.Derive(arrayKind, "pan_tolerance", terms.Quantity(quantity.Length), "most that a fastener may stand off the middle of a pan: what keeps its shank clear of the ribs; a quarter inch in the trough of a corrugated sheet whose ribs have no width of their own", "geometry; common practice", "", func(c *terms.Call, a *job.Array) float64 {
	cover := PlaneOf(c, a).Covering
	kind := terms.Get(c, cover.Kind)
	if c.Stop() {
		return 0
	}
	if kind == "corrugated" && !terms.Stated(c, cover.RibBase) {
		return terms.Practice(c, "feet", "crest", "value")
	}
	terms.Drive(c, cover.RibBase)
	return onFlat(c, a, c.Q(cover.RibPitch)-c.Q(cover.RibBase))
})

// onFlat is how far off the middle of a flat the shank of a fastener lies on it
// entirely; negative where the flat is narrower than the shank.
func onFlat(c *terms.Call, a *job.Array, flat float64) float64 {
	f, ok := terms.Seek(c, fastenerTypeKind, a.Attachments.Fastener)
	if !ok {
		c.Missing(a.Attachments.Fastener.Key, a.Attachments.Fastener.At)
		return 0
	}
	diameter := c.Q(f.Diameter)
	if c.Stop() {
		return 0
	}
	return (flat - diameter) / 2
}

var _ = terms.Derive(arrayKind, "seam_tolerance", terms.Quantity(quantity.Length), "most that a clamp on a plan may stand off its seam", "common practice", "", func(c *terms.Call, a *job.Array) float64 {
	return terms.Practice(c, "feet", "seam", "value")
})

var ScrewOut = terms.Derive(arrayKind, "screw_out", terms.Quantity(quantity.Length), "how far its screws come out below the steel that holds them, past foot, flashing, covering, the hollow of a rib and sheathing; negative where they end above or inside it", "geometry", "", func(c *terms.Call, a *job.Array) float64 {
	f := screwOf(c, a)
	terms.Drive(c, f.Length)
	return c.Q(f.Length) - c.Q(f.PlateAndFlashing) - above(c, a) - c.Q(Holding(c, a, PlaneOf(c, a)).Thickness)
})

// screwOf is the fastener of an array, which its screw terms need.
func screwOf(c *terms.Call, a *job.Array) *job.FastenerType {
	return terms.Follow(c, fastenerTypeKind, a.Attachments.Fastener)
}

// above is what a metal screw passes between the plate of its foot and the steel
// that holds it. The plate ends on top of the sheet or includes it; on a crest the
// rib below is hollow. Feet on the sheet alone stand on what holds them.
func above(c *terms.Call, a *job.Array) float64 {
	if FixedTo.Of(c, a) == Sheet {
		return 0
	}
	p := PlaneOf(c, a)
	return Hollow(c, a, p) + c.Q(p.Covering.Sheathing)
}

var _ = terms.Derive(arrayKind, "thread_due", terms.Quantity(quantity.Length), "length of thread, from the end of its screws up, that reaches through all of the steel that holds them", "geometry", "", func(c *terms.Call, a *job.Array) float64 {
	terms.Drive(c, screwOf(c, a).Thread)
	return ScrewOut.Of(c, a) + c.Q(Holding(c, a, PlaneOf(c, a)).Thickness)
})

var _ = terms.Derive(arrayKind, "steel_drilled", terms.Quantity(quantity.Length), "steel that the points of its screws drill through: sheet and member, or the sheet alone; holes in the feet are taken as made", "geometry", "", func(c *terms.Call, a *job.Array) float64 {
	terms.Drive(c, screwOf(c, a).Drills)
	p := PlaneOf(c, a)
	steel := c.Q(Holding(c, a, p).Thickness)
	if FixedTo.Of(c, a) != Sheet && slices.Contains(metalSheets, terms.Get(c, p.Covering.Kind)) {
		steel += c.Q(p.Covering.Thickness)
	}
	return steel
})

// OverHollow reports whether metal screws stand free below the foot.
var OverHollow = terms.Derive(arrayKind, "over_hollow", terms.YesNo, "whether its metal screws pass the hollow of a rib into framing without a solid spacer, so that they bend under a load along the roof", "geometry", "", func(c *terms.Call, a *job.Array) bool {
	f := screwOf(c, a)
	if terms.Get(c, f.Kind) != "metal-screw" || FixedTo.Of(c, a) != Framing {
		return false
	}
	return Hollow(c, a, PlaneOf(c, a)) > 0 && !terms.Get(c, f.Spacer)
})

// FreeLength is the length over which such screws stand free.
func FreeLength(c *terms.Call, a *job.Array) float64 { return above(c, a) }

// SeamOf is the rib or seam, by number, that a foot stands on or next to.
func SeamOf(c *terms.Call, p *job.Plane, foot layout.Foot) int {
	g := ribs(c, p)
	if c.Stop() {
		return 0
	}
	return int(math.Round((foot.At.X - g.Offset) / g.Spacing))
}

// Hollow is the height of rib that a screw into framing passes: all of it on a
// ribbed sheet, unless the maker wants the screw in the pan.
func Hollow(c *terms.Call, a *job.Array, p *job.Plane) float64 {
	switch terms.Get(c, p.Covering.Kind) {
	case "corrugated", "trapezoidal":
	default:
		return 0
	}
	t, ok := terms.Seek(c, mountingTypeKind, a.Mounting)
	if !ok {
		c.Missing(a.Mounting.Key, a.Mounting.At)
		return 0
	}
	if terms.Peek(c, t.FastenerPlace) == "pan" {
		return 0
	}
	return c.Q(p.Covering.RibHeight)
}

// Sheathing is the deck that a screw into framing passes. A deck that is itself
// the member may be stated as both.
func Sheathing(c *terms.Call, p *job.Plane) float64 {
	deck := c.Q(p.Covering.Sheathing)
	if terms.Peek(c, p.Framing.Member) == "deck" && terms.Stated(c, p.Framing.Depth) && terms.Peek(c, p.Framing.Depth).SI == deck {
		return 0
	}
	return deck
}

var _ = terms.Derive(arrayKind, "wood_screw_reach", terms.Quantity(quantity.Length), "how far its wood screws reach into the member, tip included, past foot, flashing, covering, the hollow of a rib and sheathing; no more than its depth, negative where they end above it", "geometry", "", func(c *terms.Call, a *job.Array) float64 {
	f, ok := terms.Seek(c, fastenerTypeKind, a.Attachments.Fastener)
	if !ok {
		c.Missing(a.Attachments.Fastener.Key, a.Attachments.Fastener.At)
		return 0
	}
	terms.Drive(c, f.Length)
	p := PlaneOf(c, a)
	return math.Min(c.Q(f.Length)-c.Q(f.PlateAndFlashing)-Hollow(c, a, p)-Sheathing(c, p), c.Q(p.Framing.Depth))
})

var _ = terms.Derive(arrayKind, "three_threads", terms.Quantity(quantity.Length), "length of three threads of its screws, or one diameter where their pitch is not given", "geometry; three threads of common self-drilling screws take about one diameter", "", func(c *terms.Call, a *job.Array) float64 {
	f := screwOf(c, a)
	if terms.Stated(c, f.ThreadPitch) {
		return 3 * c.Q(f.ThreadPitch)
	}
	return c.Q(f.Diameter)
})

var _ = ofFeet("clamp_room", terms.Quantity(quantity.Length), "room left between the worst clamp and the ends of the maker's clamp zone, on rails or at the sides that feet hold; negative outside it", byLines, clampRoom)

// zones are the maker's clamp zones of a module.
type zones struct {
	module *job.ModuleType
	across bool // the long sides run along the row
}

func zonesOf(c *terms.Call, a *job.Array) (zones, bool) {
	terms.Get(c, a.Module)
	t, ok := terms.Seek(c, moduleTypeKind, a.Module)
	return zones{t, terms.Get(c, a.Orientation) == "landscape"}, ok && !c.Stop()
}

// corners are the least and the largest distance of clamps from the nearer
// corner of their module, along sides of one direction.
type corners struct{ least, most float64 }

var noCorners = corners{math.Inf(1), math.Inf(-1)}

func (k *corners) add(corner float64) {
	k.least, k.most = math.Min(k.least, corner), math.Max(k.most, corner)
}

// room is what those clamps have in the zone of the sides that run along the
// row, or up the slope; without a clamp there nothing is asked of the zone.
func (z zones) room(c *terms.Call, alongRow bool, k corners) float64 {
	if k == noCorners {
		return math.Inf(1)
	}
	from, to := z.module.ClampShortFrom, z.module.ClampShortTo
	if alongRow == z.across {
		from, to = z.module.ClampLongFrom, z.module.ClampLongTo
	}
	return math.Min(k.least-c.Q(from), c.Q(to)-k.most)
}

// clampRoom holds clamps against the maker's clamp zone. A rail along the row
// passes below the sides that stand across it, which are the long ones in
// portrait; a foot without a rail grips the side that it stands at.
func clampRoom(c *terms.Call, a *job.Array, l *Footed) float64 {
	z, ok := zonesOf(c, a)
	if !ok {
		return 0
	}
	alongRow, upSlope := noCorners, noCorners
	if l.Supports.Mount.Support == layout.Rails {
		for _, bearings := range l.Supports.Bearings {
			for _, b := range bearings {
				upSlope.add(math.Min(b.FromBottom, b.FromTop))
			}
		}
	} else {
		clamps, _ := l.Supports.Clamps()
		for _, k := range clamps {
			if k.AlongRow {
				alongRow.add(k.Corner)
			} else {
				upSlope.add(k.Corner)
			}
		}
	}
	room := math.Min(z.room(c, true, alongRow), z.room(c, false, upSlope))
	if c.Stop() {
		return 0
	}
	if math.IsInf(room, 1) {
		c.Fail("nothing clamps a module of array %s", a.Name.Value)
		return 0
	}
	return Settled(room)
}

var _ = ofFeet("feet_off_sides", terms.WholeNumber, "feet that stand below a module and hold none of its sides, on a mounting without rails", byLines, func(c *terms.Call, a *job.Array, l *Footed) int {
	_, off := l.Supports.Clamps()
	return len(off)
})

var _ = ofFeet("fewest_clamps", terms.WholeNumber, "fewest feet that hold one module by its sides, on a mounting without rails", bySpacing, func(c *terms.Call, a *job.Array, l *Footed) int {
	held := make([]int, len(l.Array.Modules))
	clamps, _ := l.Supports.Clamps()
	for _, k := range clamps {
		held[k.Module]++
	}
	return slices.Min(held)
})

// RailPast is how far the rails of an array stand out past their last module;
// zero without rails.
func RailPast(c *terms.Call, a *job.Array) float64 {
	t, ok := terms.Seek(c, mountingTypeKind, a.Mounting)
	if !ok || terms.Get(c, t.Kind) != "rail" {
		return 0
	}
	return c.Q(t.RailPast)
}

// rails are the rails of an array.
func rails(c *terms.Call, a *job.Array, l *Footed) []layout.Rail {
	past := RailPast(c, a)
	if c.Stop() {
		return nil
	}
	list, err := l.Supports.Rails(past)
	switch {
	case err != nil:
		c.Err(err)
	case len(list) == 0:
		c.Fail("array %s has no rail on feet", a.Name.Value)
	}
	return list
}

var _ = ofFeet("rails_on_one_foot", terms.WholeNumber, "rails, or pieces between holes and thermal breaks, that one foot alone carries", bySpacing, func(c *terms.Call, a *job.Array, l *Footed) int {
	n := 0
	for _, r := range rails(c, a, l) {
		if len(r.Feet) == 1 {
			n++
		}
	}
	return n
})

var _ = ofFeet("longest_rail", terms.Quantity(quantity.Length), "longest rail, from end to end", byLines, func(c *terms.Call, a *job.Array, l *Footed) float64 {
	longest := 0.0
	for _, r := range rails(c, a, l) {
		longest = math.Max(longest, r.To-r.From)
	}
	return longest
})

var _ = ofFeet("longest_unspliced", terms.Quantity(quantity.Length), "longest stretch of a rail that has no place where its maker allows a splice", bySpacing, func(c *terms.Call, a *job.Array, l *Footed) float64 {
	t, ok := terms.Seek(c, mountingTypeKind, a.Mounting)
	if !ok {
		c.Missing(a.Mounting.Key, a.Mounting.At)
		return 0
	}
	rule := layout.SpliceRule{Least: c.Q(t.SpliceFrom), Most: c.Q(t.SpliceTo), EndSpans: terms.Get(c, t.SpliceEndSpans)}
	list := rails(c, a, l)
	if c.Stop() {
		return 0
	}
	longest := 0.0
	for _, r := range list {
		unspliced, err := r.Unspliced(rule)
		if err != nil {
			c.Err(err)
			return 0
		}
		longest = math.Max(longest, unspliced)
	}
	return longest
})
