package loads

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/layout"
	"plumbrule/internal/quantity"
	"plumbrule/internal/structural"
	"plumbrule/internal/table"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/arrays"
)

// A load path runs from the modules over clamps and rails to a foot, its fasteners,
// the sheet or seam that they hold and the member below, in each direction that a
// load takes. All demands and capacities are
// at allowable level: a maker's ratings are given at it, tested ultimates and
// nominal strengths are brought to it by their safety factors.

// pathPart is one part of the load path of every foot of an array, in one
// direction. Parts are found apart, so that one of which nothing is known does
// not hide the others.
type pathPart struct {
	name      string
	direction structural.Direction
	// between tells that no check of its own holds the part.
	between bool
	// has tells whether the path of an array has the part.
	has  func(c *terms.Call, a *job.Array) bool
	find func(c *terms.Call, a *job.Array, r reading) pathLoad
}

// reading is how the wind is read: as it is certain, or safely, with the safe
// reading of exposed rows and the bounds on wind and drifts.
type reading struct{ certain bool }

// snowed is a reading with the snow or without it.
type snowed struct {
	reading
	snow bool
}

// pathLoad is what a part carries at each foot, beside what it holds.
type pathLoad struct {
	link     structural.Link // but for the demand
	demand   []float64
	capacity []float64                // by foot; nil: that of the link
	by       []structural.Combination // by foot; nil: that of the link
}

func (p *pathLoad) at(i int) structural.Link {
	l := p.link
	l.Demand = p.demand[i]
	if p.capacity != nil {
		l.Capacity = p.capacity[i]
	}
	if p.by != nil {
		l.By = p.by[i]
	}
	return l
}

func always(*terms.Call, *job.Array) bool { return true }

// pathParts are the parts of a load path from the modules to the framing.
var pathParts = []pathPart{
	{name: structural.ModulePart, direction: structural.Upward, has: always, find: modulesUpward},
	{name: structural.ModulePart, direction: structural.Down, has: always, find: modulesDown},
	{name: structural.ClampPart, direction: structural.Upward, between: true, has: hasClamps(func(t *job.MountingType) job.Quantity { return t.ClampUplift }), find: clampUpward},
	{name: structural.ClampPart, direction: structural.Along, between: true, has: func(c *terms.Call, a *job.Array) bool {
		return sloped(c, a) && hasClamps(func(t *job.MountingType) job.Quantity { return t.ClampAlong })(c, a)
	}, find: clampAlong},
	{name: structural.RailPart, direction: structural.Upward, between: true, has: spansFeet, find: railUpward},
	{name: structural.RailPart, direction: structural.Down, between: true, has: spansFeet, find: railDown},
	{name: structural.FootPart, direction: structural.Upward, has: footRated, find: footUpward},
	{name: structural.FootPart, direction: structural.Down, has: always, find: footDown},
	{name: structural.FootPart, direction: structural.Along, has: footRatedAlong, find: footAlong},
	{name: structural.FootPart, direction: structural.Across, has: always, find: footAcross},
	{name: structural.FastenerPart, direction: structural.Upward, has: always, find: fastenersUpward},
	{name: structural.FastenerPart, direction: structural.Along, has: fastenersHoldAlong, find: fastenersDownslope},
	{name: structural.FastenerPart, direction: structural.Together, has: pulledBothWays, find: fastenersTogether},
	{name: structural.SheetPart, direction: structural.Upward, has: onSheet, find: sheetUpward},
	{name: structural.MemberPart, direction: structural.Upward, has: framingOpen, find: memberBy(true)},
	{name: structural.MemberPart, direction: structural.Down, has: framingOpen, find: memberBy(false)},
}

// mountingOf is the mounting of an array, or a missing key.
func mountingOf(c *terms.Call, a *job.Array) *job.MountingType {
	return terms.Follow(c, mountingTypeKind, a.Mounting)
}

// sloped tells whether anything runs down the slope.
func sloped(c *terms.Call, a *job.Array) bool { return c.Q(arrays.PlaneOf(c, a).Slope) > 0 }

// hasClamps tells whether module clamps are parts of their own: on rails they
// are; a foot without a rail grips the frames itself and is rated with its grip,
// unless its maker rates the grip apart.
func hasClamps(rating func(t *job.MountingType) job.Quantity) func(c *terms.Call, a *job.Array) bool {
	return func(c *terms.Call, a *job.Array) bool {
		t := mountingOf(c, a)
		return terms.Get(c, t.Kind) == "rail" || terms.Stated(c, rating(t))
	}
}

// spansFeet tells whether rails or rows span from foot to foot by a maker's table.
func spansFeet(c *terms.Call, a *job.Array) bool {
	kind := terms.Get(c, mountingOf(c, a).Kind)
	return kind == "rail" || kind == "rail-less"
}

// footRated tells whether a foot has a rating beside its fasteners: a seam clamp
// is rated by its own test.
func footRated(c *terms.Call, a *job.Array) bool {
	_, kind, _ := fastenerOf(c, a)
	return kind != "seam-clamp" || terms.Stated(c, mountingOf(c, a).AttachmentUplift)
}

// footRatedAlong tells whether something runs along a foot and a rating beside its
// fasteners holds it: a seam clamp may have a test along its seam instead.
func footRatedAlong(c *terms.Call, a *job.Array) bool {
	f, kind, _ := fastenerOf(c, a)
	return sloped(c, a) && (kind != "seam-clamp" || terms.Stated(c, mountingOf(c, a).AttachmentLateral) || !terms.Stated(c, f.TestedAlong))
}

// fastenersHoldAlong tells whether something runs along the fasteners of a foot
// and they hold it by themselves.
func fastenersHoldAlong(c *terms.Call, a *job.Array) bool {
	f, kind, _ := fastenerOf(c, a)
	return sloped(c, a) && (kind != "seam-clamp" || terms.Stated(c, f.TestedAlong))
}

// onSheet tells whether the sheet or a seam hands on what its feet pull at, and no
// calculation of the fastening has followed the load that far.
func onSheet(c *terms.Call, a *job.Array) bool {
	return arrays.FixedTo.Of(c, a) != arrays.Framing && len(settled(c, a, ofFastening)) == 0
}

// framingOpen tells whether no sealed letter or calculation settles the framing.
func framingOpen(c *terms.Call, a *job.Array) bool { return !framingSettled.Of(c, a) }

// pulledBothWays tells whether the fasteners of a foot are held in both directions
// at once: screws, which a load along the roof bends, and clamps where one runs
// along their seam. Metal screws that stand free over a rib have checks of their
// own, unless an engineer's calculation says what they hold.
func pulledBothWays(c *terms.Call, a *job.Array) bool {
	_, kind, _ := fastenerOf(c, a)
	if kind == "seam-clamp" {
		return sloped(c, a)
	}
	return !arrays.OverHollow.Of(c, a) || fasteningEngineered.Of(c, a)
}

// onEachModule are the loads on each module, its own wind area.
var onEachModule = terms.AnalyseBy(arrayKind, "loads on each module", func(c *terms.Call, a *job.Array, k snowed) []structural.Demand {
	w, _ := windOf(c, a)
	l := arrays.Modules.Of(c, a)
	var snow []float64
	if k.snow {
		s := snowOn.Of(c, a)
		for i := range l.Modules {
			if !c.Stop() {
				snow = append(snow, s.at(l.Modules[i].Corners[:], true).pick(!k.certain))
			}
		}
	}
	if c.Stop() {
		return nil
	}
	modules, lenient := w.modulesUnder(l)
	if k.certain {
		modules = lenient
	}
	demands, err := w.onModules(modules, snow, k.certain)
	if err != nil {
		c.Err(err)
	}
	return demands
})

// onEachFoot are the loads on each foot. The wind on modules that a calculation
// gives comes onto the feet too.
func onEachFoot(c *terms.Call, a *job.Array, k snowed) []structural.Demand {
	w, _ := windOf(c, a)
	if w.given != nil {
		return givenOnFeet(c, a, w, k)
	}
	switch {
	case !k.snow && k.certain:
		return w.certain
	case !k.snow:
		return w.demands
	}
	g := downOn.Of(c, a)
	if k.certain {
		return g.demands
	}
	return g.bound
}

func givenOnFeet(c *terms.Call, a *job.Array, w *windState, k snowed) []structural.Demand {
	var snow []float64
	if k.snow {
		g := downOn.Of(c, a)
		for _, s := range g.places {
			snow = append(snow, s.pick(!k.certain))
		}
	}
	if c.Stop() {
		return nil
	}
	demands, err := w.onModules(w.feet, snow, k.certain)
	if err != nil {
		c.Err(err)
	}
	return demands
}

// sealedUplift is what stands in for the net uplift of a foot where a sealed
// calculation of the wind gives it.
func sealedUplift(c *terms.Call, w *windState, uplift float64) float64 {
	if w.sealed == nil {
		return uplift
	}
	stated := most(c, w.sealed, func(e *job.Engineered) job.Quantity { return e.Uplift })
	if w.method == noMethod {
		return stated
	}
	return math.Max(stated, uplift)
}

// upliftOnFeet is the net uplift of each foot.
func upliftOnFeet(c *terms.Call, a *job.Array, r reading) []float64 {
	w, _ := windOf(c, a)
	demands := onEachFoot(c, a, snowed{reading{r.certain || w.sealed != nil}, false})
	out := make([]float64, len(demands))
	for i := range demands {
		out[i] = sealedUplift(c, w, demands[i].UpliftASD)
	}
	return out
}

// worstUnder gives each foot the largest of a value of the modules that it stands
// under.
func worstUnder(c *terms.Call, a *job.Array, value func(module int) float64) []float64 {
	l := arrays.Carried.Of(c, a)
	if c.Stop() {
		return nil
	}
	out := make([]float64, len(l.Feet))
	for i := range out {
		out[i] = math.Inf(-1)
	}
	for m := range l.Array.Modules {
		v := value(m)
		for _, foot := range l.Supports.FeetUnder(m) {
			out[foot] = math.Max(out[foot], v)
		}
	}
	return out
}

func moduleTypeOf(c *terms.Call, a *job.Array) *job.ModuleType {
	return terms.Follow(c, moduleTypeKind, a.Module)
}

const byModuleMaker, byMountingMaker = "as the maker of the module rates it", "as the maker of the mounting rates it"

// modulesUpward holds modules against their rating without their own weight, as
// they are tested.
func modulesUpward(c *terms.Call, a *job.Array, r reading) pathLoad {
	demands, rating, w := onEachModule.Of(c, a, snowed{r, false}), c.Q(moduleTypeOf(c, a).UpliftRating), asce(c)
	if c.Stop() {
		return pathLoad{}
	}
	return pathLoad{link: structural.Link{By: structural.DeadAgainstWind, Capacity: rating, Dimension: quantity.Pressure, Reason: byModuleMaker + "; its own weight is not counted against the wind"},
		demand: worstUnder(c, a, func(m int) float64 { return -w.Combinations().WindASD * demands[m].UpliftPressure })}
}

func modulesDown(c *terms.Call, a *job.Array, r reading) pathLoad {
	demands, rating := onEachModule.Of(c, a, snowed{r, true}), c.Q(moduleTypeOf(c, a).DownRating)
	if c.Stop() {
		return pathLoad{}
	}
	return pathLoad{link: structural.Link{By: demands[0].DownBy, Capacity: rating, Dimension: quantity.Pressure, Reason: byModuleMaker},
		demand: worstUnder(c, a, func(m int) float64 { return demands[m].DownASD / demands[m].Tributary })}
}

// onClamps is what comes onto the worst module clamp of the modules that each
// foot stands under: on rails the halves of what two modules lay on the rail, of
// one at the end of a row; without rails what comes onto the foot, which is the
// clamp.
func onClamps(c *terms.Call, a *job.Array, demands, feet []structural.Demand, force func(d *structural.Demand) float64) []float64 {
	l := arrays.Carried.Of(c, a)
	if c.Stop() {
		return nil
	}
	clamps := l.Supports.RailClamps()
	if clamps == nil {
		out := make([]float64, len(feet))
		for i := range feet {
			out[i] = force(&feet[i])
		}
		return out
	}
	worst := make([]float64, len(demands))
	for _, k := range clamps {
		sum := 0.0
		for side, m := range k.Modules {
			if m >= 0 {
				sum += force(&demands[m]) / demands[m].Tributary * k.Areas[side]
			}
		}
		for _, m := range k.Modules {
			if m >= 0 {
				worst[m] = math.Max(worst[m], sum)
			}
		}
	}
	return worstUnder(c, a, func(m int) float64 { return worst[m] })
}

func clampUpward(c *terms.Call, a *job.Array, r reading) pathLoad {
	feet, demands, holds := onEachFoot(c, a, snowed{r, false}), onEachModule.Of(c, a, snowed{r, false}), c.Q(mountingOf(c, a).ClampUplift)
	if c.Stop() {
		return pathLoad{}
	}
	return pathLoad{link: structural.Link{By: structural.DeadAgainstWind, Capacity: holds, Dimension: quantity.Force, Reason: byMountingMaker + ", one clamp"},
		demand: onClamps(c, a, demands, feet, func(d *structural.Demand) float64 { return d.UpliftASD })}
}

func clampAlong(c *terms.Call, a *job.Array, r reading) pathLoad {
	feet, demands, holds := onEachFoot(c, a, snowed{r, true}), onEachModule.Of(c, a, snowed{r, true}), c.Q(mountingOf(c, a).ClampAlong)
	if c.Stop() {
		return pathLoad{}
	}
	return pathLoad{link: structural.Link{By: structural.DeadAndSnow, Capacity: holds, Dimension: quantity.Force, Reason: byMountingMaker + ", one clamp"},
		demand: onClamps(c, a, demands, feet, func(d *structural.Demand) float64 { return d.DownslopeASD })}
}

// spanRow is the row of the maker's span table for a wind zone, by the zone's own
// name or the letter's word for it.
var spanRow = terms.AnalyseBy(arrayKind, "row of the maker's spans", func(c *terms.Call, a *job.Array, zone string) layout.Limit {
	t := mountingOf(c, a)
	row := layout.Limit{}
	switch {
	case c.Stop():
	case len(t.ZoneSpans) == 0:
		terms.Drive(c, t.MaximumSpan)
		row.Span = c.Q(t.MaximumSpan)
	default:
		row = zoneRow(c, a, t, zone)
	}
	if c.Stop() {
		return layout.Limit{}
	}
	row.Cantilever = cmp.Or(row.Cantilever, arrays.WhereStated(c, t.MaximumCantilever))
	row.Uplift = cmp.Or(row.Uplift, arrays.WhereStated(c, t.SpanUplift))
	row.Down = cmp.Or(row.Down, arrays.WhereStated(c, t.SpanDown))
	return row
})

func zoneRow(c *terms.Call, a *job.Array, t *job.MountingType, zone string) layout.Limit {
	orientation := terms.Get(c, a.Orientation)
	limits := make([]layout.Limit, len(t.ZoneSpans))
	for i := range t.ZoneSpans {
		z := &t.ZoneSpans[i]
		limits[i] = layout.Limit{Zone: terms.Peek(c, z.Zone), Orientation: terms.Get(c, z.Orientation), Span: c.Q(z.Span),
			Cantilever: arrays.WhereStated(c, z.Cantilever), Uplift: arrays.WhereStated(c, z.Uplift), Down: arrays.WhereStated(c, z.Down)}
	}
	if c.Stop() {
		return layout.Limit{}
	}
	terms.Drive(c, t.ZoneSpans[0].Span)
	const anyExposure = "" // the letter's rows are for the exposure of the job
	limit, err := layout.FindLimit(limits, zone, anyExposure, orientation)
	if err != nil {
		limit, err = layout.FindLimit(limits, layoutZone(zone), anyExposure, orientation)
	}
	if err != nil {
		c.Err(err)
	}
	return limit
}

// spanLimit is the largest span that the maker's letter allows at a foot.
func spanLimit(c *terms.Call, f *arrays.Foot) float64 {
	t := mountingOf(c, f.Array)
	zone := "" // without rows by zone, every zone has the one span
	if len(t.ZoneSpans) > 0 {
		zone = AttachmentWindZone.Of(c, f)
	}
	if c.Stop() {
		return 0
	}
	return spanRow.Of(c, f.Array, zone).Span
}

// railLoad holds the net pressure on what spans from foot to foot against that
// of the maker's spans. A span shorter than the maker's holds more, at least in
// proportion, since it is its shear that falls least; an overhang likewise.
func railLoad(c *terms.Call, a *job.Array, demands []structural.Demand, key job.Quantity, pressure func(row layout.Limit) *float64, force func(d *structural.Demand) float64) pathLoad {
	l, z := arrays.Carried.Of(c, a), zonesOf.Of(c, a)
	if c.Stop() {
		return pathLoad{}
	}
	p := pathLoad{link: structural.Link{Dimension: quantity.Pressure, Reason: "as the spans of its maker do, shorter ones more in proportion"},
		demand: make([]float64, len(demands)), capacity: make([]float64, len(demands))}
	rows := map[string]layout.Limit{}
	for i := range demands {
		d := &demands[i]
		zone := structural.ZoneName(z.feet[i].figure)
		row, known := rows[zone]
		if !known {
			if row = spanRow.Of(c, a, zone); c.Stop() { // a row that is not found lacks no load of its own
				return pathLoad{}
			}
			rows[zone] = row
		}
		holds := pressure(row)
		if holds == nil {
			c.Missing(key.Key, key.At)
		}
		if c.Stop() {
			return pathLoad{}
		}
		p.demand[i] = force(d) / cmp.Or(d.Loaded, d.Tributary)
		p.capacity[i] = *holds / spanShare(l, i, row)
	}
	return p
}

// spanShare is the share that the spans and the overhang at a foot are of those
// that the maker allows; 1 where no span or no limit says so.
func spanShare(l *arrays.Footed, i int, row layout.Limit) float64 {
	if !l.HasSpan[i] {
		return 1
	}
	share := l.Spans[i] / row.Span
	if l.HasOver[i] && l.Overhangs[i] > 0 {
		if row.Cantilever == nil || *row.Cantilever == 0 {
			return 1
		}
		share = math.Max(share, l.Overhangs[i] / *row.Cantilever)
	}
	return math.Min(1, share) // the distances themselves have checks of their own
}

func railUpward(c *terms.Call, a *job.Array, r reading) pathLoad {
	demands := onEachFoot(c, a, snowed{r, false})
	if c.Stop() {
		return pathLoad{}
	}
	p := railLoad(c, a, demands, mountingOf(c, a).SpanUplift, func(row layout.Limit) *float64 { return row.Uplift }, func(d *structural.Demand) float64 { return d.UpliftASD })
	p.link.By = structural.DeadAgainstWind
	return p
}

func railDown(c *terms.Call, a *job.Array, r reading) pathLoad {
	demands := onEachFoot(c, a, snowed{r, true})
	if c.Stop() {
		return pathLoad{}
	}
	p := railLoad(c, a, demands, mountingOf(c, a).SpanDown, func(row layout.Limit) *float64 { return row.Down }, func(d *structural.Demand) float64 { return d.DownASD })
	p.by = downBy(demands)
	return p
}

func downBy(demands []structural.Demand) []structural.Combination {
	by := make([]structural.Combination, len(demands))
	for i := range demands {
		by[i] = demands[i].DownBy
	}
	return by
}

// onFeet lists a value of the demand on each foot.
func onFeet(demands []structural.Demand, value func(d *structural.Demand) float64) []float64 {
	out := make([]float64, len(demands))
	for i := range demands {
		out[i] = value(&demands[i])
	}
	return out
}

func footUpward(c *terms.Call, a *job.Array, r reading) pathLoad {
	uplift, holds := upliftOnFeet(c, a, r), c.Q(mountingOf(c, a).AttachmentUplift)
	if c.Stop() {
		return pathLoad{}
	}
	return pathLoad{link: structural.Link{By: structural.DeadAgainstWind, Capacity: holds, Dimension: quantity.Force, Reason: byMountingMaker},
		demand: uplift}
}

func footDown(c *terms.Call, a *job.Array, r reading) pathLoad {
	demands, holds := onEachFoot(c, a, snowed{r, true}), c.Q(mountingOf(c, a).AttachmentDown)
	if c.Stop() {
		return pathLoad{}
	}
	return pathLoad{link: structural.Link{Capacity: holds, Dimension: quantity.Force, Reason: byMountingMaker},
		demand: onFeet(demands, func(d *structural.Demand) float64 { return d.DownASD }), by: downBy(demands)}
}

func footAlong(c *terms.Call, a *job.Array, r reading) pathLoad {
	demands, holds := onEachFoot(c, a, snowed{r, true}), c.Q(mountingOf(c, a).AttachmentLateral)
	if c.Stop() {
		return pathLoad{}
	}
	return pathLoad{link: structural.Link{By: structural.DeadAndSnow, Capacity: holds, Dimension: quantity.Force, Reason: byMountingMaker},
		demand: onFeet(demands, func(d *structural.Demand) float64 { return d.DownslopeASD })}
}

// footAcross holds a foot against the earthquake along the row, which is what
// loads a flush array that way: its edges are thin against the wind.
func footAcross(c *terms.Call, a *job.Array, _ reading) pathLoad {
	t := mountingOf(c, a)
	earthquake, l := seismicOn.Of(c, a), arrays.Carried.Of(c, a)
	rating := t.AttachmentLateral
	if terms.Stated(c, t.AttachmentAcross) {
		rating = t.AttachmentAcross
	}
	holds := c.Q(rating)
	if c.Stop() {
		return pathLoad{}
	}
	across := earthquake.force.OnFoot(0).Along // along the row nothing slopes
	most := slices.Max(l.Loaded)
	demand := make([]float64, len(l.Feet))
	for i := range demand {
		demand[i] = across * l.Loaded[i] / most
	}
	return pathLoad{link: structural.Link{By: structural.Earthquake, Capacity: holds, Dimension: quantity.Force, Reason: byMountingMaker}, demand: demand}
}

// bareKnown needs what the fasteners of a foot hold without its maker's rating.
func bareKnown(c *terms.Call, known bool, needs []terms.Need) {
	if known {
		return
	}
	c.Need(needs...)
	if len(needs) == 0 {
		c.Fail("what the fasteners hold by themselves is not computed here")
	}
}

func fastenersUpward(c *terms.Call, a *job.Array, r reading) pathLoad {
	uplift := upliftOnFeet(c, a, r)
	s, needs := holds.Try(c, a) // known without the maker's rating of the foot
	bareKnown(c, s != nil && s.fastener.Allowable > 0, needs)
	if c.Stop() {
		return pathLoad{}
	}
	return pathLoad{link: structural.Link{By: structural.DeadAgainstWind, Capacity: s.fastener.Allowable, Dimension: quantity.Force, Reason: "by " + s.fastener.Mode, Refs: s.fastener.Refs},
		demand: uplift}
}

// fastenersDownslope holds fasteners against dead load with snow and against dead
// load alone, which wood carries less of.
func fastenersDownslope(c *terms.Call, a *job.Array, r reading) pathLoad {
	demands := onEachFoot(c, a, snowed{r, true})
	snowy, needs := holdsAlong.Try(c, a, "snow")
	lasting, _ := holdsAlong.Try(c, a, "permanent")
	bareKnown(c, snowy != nil && snowy.fastener.Allowable > 0, needs)
	if c.Stop() {
		return pathLoad{}
	}
	p := pathLoad{link: structural.Link{Dimension: quantity.Force, Reason: "by " + snowy.fastener.Mode, Refs: snowy.fastener.Refs}}
	for i := range demands {
		load, holds, by := demands[i].DownslopeASD, snowy.fastener.Allowable, structural.DeadAndSnow
		if dead := demands[i].DeadDownslope; dead/lasting.fastener.Allowable > load/holds {
			load, holds, by = dead, lasting.fastener.Allowable, structural.DeadOnly
		}
		p.demand, p.capacity, p.by = append(p.demand, load), append(p.capacity, holds), append(p.by, by)
	}
	return p
}

// sheetUpward holds what a foot pulls against the clips of the seams, or the
// screws of the sheet, that hand it on to the framing.
func sheetUpward(c *terms.Call, a *job.Array, r reading) pathLoad {
	uplift, roof := upliftOnFeet(c, a, r), roofPasses.Of(c, a)
	if c.Stop() {
		return pathLoad{}
	}
	return pathLoad{link: structural.Link{By: structural.DeadAgainstWind, Capacity: roof.Allowable, Dimension: quantity.Force, Reason: "by " + roof.Mode}, demand: uplift}
}

// memberBy gives each foot the utilisation of the member that it stands on, or of
// the worse of two, with all else that the member carries.
func memberBy(uplift bool) func(c *terms.Call, a *job.Array, r reading) pathLoad {
	return func(c *terms.Call, a *job.Array, r reading) pathLoad {
		l, p := arrays.Carried.Of(c, a), arrays.PlaneOf(c, a)
		if word := terms.Get(c, p.Framing.Member); !onBeams(c, p) {
			c.Fail("what a %s holds is not computed here", word)
		}
		f := framed.Of(c, p)
		if c.Stop() {
			return pathLoad{}
		}
		load := pathLoad{link: structural.Link{Capacity: 1, Dimension: quantity.Ratio, Reason: "the whole of its strength"}, demand: make([]float64, len(l.Feet)), by: make([]structural.Combination, len(l.Feet))}
		for _, m := range f.members {
			if !slices.Contains(m.arrays, a) {
				continue
			}
			u := held.Of(c, m, asked{r, uplift})
			if c.Stop() {
				return pathLoad{}
			}
			for _, foot := range m.feet {
				if foot.array == a && u.Share() >= load.demand[foot.i] {
					load.demand[foot.i], load.by[foot.i] = u.Share(), u.by
				}
			}
		}
		return load
	}
}

// together is the utilisation of the fasteners of one foot in the combination of
// uplift and load along the slope that takes most of them.
type together struct {
	structural.Pair
	utilisation float64
	work        func(quantity.System) []string
	refs        []table.Ref
}

// pulledTogether holds the fasteners of a foot in every combination that pulls
// them out and along the slope at once.
func pulledTogether(c *terms.Call, a *job.Array, pairs []structural.Pair) (worst together) {
	for k, pair := range pairs {
		u, work, refs := combined(c, a, pair.Uplift, pair.Downslope)
		if k == 0 || u > worst.utilisation {
			worst = together{pair, u, work, refs}
		}
	}
	return worst
}

// pairsOn are the combinations of one foot with an uplift that is found beside
// it. Wind with snow is not computed where a calculation gives the wind.
func pairsOn(c *terms.Call, a *job.Array, i int, uplift float64, r reading) []structural.Pair {
	w, _ := windOf(c, a)
	g := downOn.Of(c, a)
	if c.Stop() {
		return nil
	}
	at := w.demands[i].Attachment
	if r.certain || w.sealed != nil {
		at = w.certain[i].Attachment
	}
	d, err := w.demand(at, g.places[i].pick(!r.certain), true)
	if err != nil {
		c.Err(err)
		return nil
	}
	pairs := d.Pairs()
	pairs[0].Uplift = math.Max(0, uplift)
	if w.method == noMethod && w.sealed != nil {
		return pairs[:1]
	}
	return pairs[:]
}

func fastenersTogether(c *terms.Call, a *job.Array, r reading) pathLoad {
	uplift := upliftOnFeet(c, a, r)
	if c.Stop() {
		return pathLoad{}
	}
	p := pathLoad{link: structural.Link{Capacity: 1, Dimension: quantity.Ratio, Reason: "the whole of what both may take"}}
	alike := map[[2]structural.Pair]together{} // most feet of a grid carry the same
	for i := range uplift {
		pairs := pairsOn(c, a, i, uplift[i], r)
		var key [2]structural.Pair
		copy(key[:], pairs)
		t, known := alike[key]
		if !known {
			t = pulledTogether(c, a, pairs)
			alike[key] = t
		}
		if c.Stop() {
			return pathLoad{}
		}
		p.demand, p.by = append(p.demand, t.utilisation), append(p.by, t.By)
	}
	return p
}

// ofCombined declares the utilisation of a foot's fasteners under uplift and the
// load down the slope at once, by one of the terms of its uplift.
func ofCombined(name, meaning string, uplift terms.TermOf[arrays.Foot, float64], r reading) terms.TermOf[arrays.Foot, float64] {
	return terms.Derive(arrays.Attachment, name, terms.Quantity(quantity.Ratio), meaning, "ASCE 7 2.4, NDS 12.4.1, AISI S100 J4.5", "lag-combined", func(c *terms.Call, f *arrays.Foot) float64 {
		terms.Drive(c, f.Array.Attachments.Fastener)
		up := uplift.Of(c, f)
		w, _ := windOf(c, f.Array)
		if c.Stop() {
			return 0
		}
		t := pulledTogether(c, f.Array, pairsOn(c, f.Array, f.I, up, r))
		if c.Stop() {
			return 0
		}
		c.Explain(chainWork(func(sys quantity.System) []string {
			return []string{fmt.Sprintf("together (%s): uplift %s with %s down the slope", w.code.Combination(t.By), show(sys, t.Uplift, quantity.Force), show(sys, t.Downslope, quantity.Force))}
		}, t.work), append(t.refs, w.refsOf(&w.demands[f.I])...))
		return t.utilisation
	})
}

var _ = ofCombined("combined_utilisation", "share of its fasteners' capacity that uplift and the load down the slope take together, in the combination that takes most: wind against dead load, or wind with snow; with the uplift of the safe reading or of the bound", AttachmentUplift, reading{})

var _ = ofCombined("combined_certain", "share of its fasteners' capacity that uplift and the load down the slope take together, in the combination that takes most, with the uplift of the lenient reading of exposed rows", AttachmentUpliftCertain, reading{certain: true})

// pathState is the load path of each foot of an array.
type pathState struct {
	code    *structural.ASCE7
	system  quantity.System
	parts   []pathLoad
	weakest []structural.Link // by foot
	unknown []string          // parts of which nothing is known, with what is missing
}

// links appends the known parts of the path of a foot.
func (s *pathState) links(dst []structural.Link, i int) []structural.Link {
	for k := range s.parts {
		dst = append(dst, s.parts[k].at(i))
	}
	return dst
}

func (s *pathState) work(i int) func(quantity.System) []string {
	return func(sys quantity.System) (lines []string) {
		for _, l := range s.links(nil, i) {
			lines = append(lines, l.Work(s.code, sys))
		}
		return append(lines, "governs: "+s.weakest[i].Name())
	}
}

// trace follows the load paths of an array over the parts that are asked for.
func trace(c *terms.Call, a *job.Array, r reading, asked func(p *pathPart) bool) (s *pathState, needs []terms.Need) {
	s = &pathState{code: asce(c), system: c.Job().System()}
	l := arrays.Carried.Of(c, a)
	if c.Stop() {
		return s, nil
	}
	for k := range pathParts {
		p := &pathParts[k]
		part := c.Part()
		if !asked(p) || !p.has(part, a) && !part.Stop() {
			continue
		}
		load := p.find(part, a, r)
		load.link.Part, load.link.Direction = p.name, p.direction
		if part.Stop() {
			needs = append(needs, part.Needs()...)
			s.unknown = append(s.unknown, fmt.Sprintf("%s (%s)", load.link.Name(), part.Needs()[0]))
			continue
		}
		s.parts = append(s.parts, load)
	}
	if len(s.parts) == 0 {
		return s, needs
	}
	var links []structural.Link
	for i := range l.Feet {
		links = s.links(links[:0], i)
		s.weakest = append(s.weakest, structural.Weakest(links))
	}
	return s, needs
}

// paths follows the whole load path of each foot, as far as it is known, by the
// safe reading.
var paths = terms.Analyse(arrayKind, "load paths", func(c *terms.Call, a *job.Array) *pathState {
	s, needs := trace(c, a, reading{}, func(*pathPart) bool { return true })
	if len(s.parts) == 0 {
		c.Need(needs...)
	}
	return s
})

// between follows the parts between modules and feet that no other check holds:
// all that the mounting has must be known.
var between = terms.AnalyseBy(arrayKind, "load paths between modules and feet", func(c *terms.Call, a *job.Array, r reading) *pathState {
	s, needs := trace(c, a, r, func(p *pathPart) bool { return p.between })
	c.Need(needs...)
	if len(s.parts) == 0 && !c.Stop() {
		c.Fail("array %s has no part between its modules and its feet", a.Name.Value)
	}
	return s
})

var _ = terms.Derive(arrayKind, "parts_between", terms.YesNo, "whether parts of their own, clamps or what spans from foot to foot, carry its modules to its feet", "the job", "", func(c *terms.Call, a *job.Array) bool {
	return slices.ContainsFunc(pathParts, func(p pathPart) bool { return p.between && p.has(c, a) })
})

// ofPath declares a term of a foot that follows from its load path.
func ofPath[V any](name string, t terms.TypeOf[V], meaning string, of func(c *terms.Call, a *job.Array) *pathState, value func(s *pathState, i int) V) terms.TermOf[arrays.Foot, V] {
	return terms.Derive(arrays.Attachment, name, t, meaning, "statics; ASCE 7 2.4", "load-path", func(c *terms.Call, f *arrays.Foot) V {
		terms.Drive(c, f.Array.Mounting)
		s := of(c, f.Array)
		if c.Stop() {
			var none V
			return none
		}
		if s.weakest[f.I].Part == structural.RailPart { // what spans from foot to foot takes less of feet closer together
			arrays.LoadedArea.Of(c, f)
		}
		c.Explain(s.work(f.I), s.weakest[f.I].Refs)
		return value(s, f.I)
	})
}

var _ = ofPath("path_governs", terms.Word, "weakest of the known parts of its load path, from the modules to its fasteners, with the direction of the load", paths.Of, func(s *pathState, i int) string { return s.weakest[i].Name() })

var _ = ofPath("path_utilisation", terms.Quantity(quantity.Ratio), "largest share that is taken of any known part of its load path; allowable level", paths.Of, func(s *pathState, i int) float64 { return s.weakest[i].Utilisation() })

var _ = ofPath("path_unknown", terms.Word, "parts of its load path of which nothing is known, each with what is missing; empty where all is known", paths.Of, func(s *pathState, _ int) string { return strings.Join(s.unknown, ", ") })

// readingsDiffer tells of each foot whether the readings of the wind, or the bounds
// on drifts, load it or a module that it stands under more than is certain.
var readingsDiffer = terms.Analyse(arrayKind, "loads that are read in two ways", func(c *terms.Call, a *job.Array) []bool {
	w, _ := windOf(c, a)
	l := arrays.Carried.Of(c, a)
	if c.Stop() {
		return nil
	}
	differ := make([]bool, len(l.Feet))
	part := c.Part() // without the snow the certain load is not known either
	safe, certain := onEachModule.Of(part, a, snowed{reading{}, true}), onEachModule.Of(part, a, snowed{reading{certain: true}, true})
	for m := range l.Array.Modules {
		more := w.edges[m].safe > w.edges[m].lenient || !part.Stop() && safe[m].DownASD > certain[m].DownASD
		for _, foot := range l.Supports.FeetUnder(m) {
			differ[foot] = differ[foot] || more
		}
	}
	return differ
})

var _ = terms.Derive(arrays.Attachment, "load_unsure", terms.YesNo, "whether the readings of exposed rows, or the bounds on drifts, load it or a module above it more than is certain", "ASCE 7 29.4.4 and chapter 7", "", func(c *terms.Call, f *arrays.Foot) bool {
	differ := readingsDiffer.Of(c, f.Array)
	return !c.Stop() && differ[f.I]
})

// ofBetween declares what the parts between modules and feet carry, by one reading
// of the wind.
func ofBetween(suffix, by string, r reading) terms.TermOf[arrays.Foot, float64] {
	of := func(c *terms.Call, a *job.Array) *pathState { return between.Of(c, a, r) }
	utilisation := ofPath("between_utilisation"+suffix, terms.Quantity(quantity.Ratio), "largest share that is taken of the parts between modules and feet: module clamps, and rails or rows by the pressures of their maker's spans; allowable level, "+by, of, func(s *pathState, i int) float64 { return s.weakest[i].Utilisation() })
	ofPath("between_load"+suffix, terms.Word, "load on the weakest of the parts between modules and feet beside what it holds, with its load combination, "+by, of, func(s *pathState, i int) string {
		return s.weakest[i].Work(s.code, s.system)
	})
	terms.Derive(arrays.Attachment, "between_remedy"+suffix, terms.Word, "what would hold the load on the weakest of the parts between modules and feet, "+by, "statics; ASCE 7 2.4", "", func(c *terms.Call, f *arrays.Foot) string {
		s := of(c, f.Array)
		if c.Stop() {
			return ""
		}
		l := s.weakest[f.I]
		if l.Part == structural.ClampPart {
			return "use module clamps that their maker rates for " + show(s.system, l.Demand, quantity.Force) + " in this direction"
		}
		remedy := "use rails whose spans hold " + show(s.system, l.Demand, quantity.Pressure)
		zone, rows := AttachmentWindZone.Of(c, f), spacings.Of(c.Part(), f.Array)
		for _, r := range rows {
			if r.Zone == zone && r.Limit > 0 {
				remedy += ", or set the feet at most " + show(s.system, r.Limit, quantity.Length) + " apart"
			}
		}
		return remedy
	})
	return utilisation
}

var _ = ofBetween("", "by the safe reading of exposed rows and with the bounds on wind and drifts", reading{})

var _ = ofBetween("_certain", "by the lenient reading of exposed rows, as it is certain", reading{certain: true})

// ofWorstPath declares a term of an array that follows from the load path that
// is used most.
func ofWorstPath[V any](name string, t terms.TypeOf[V], meaning string, value func(s *pathState, i int) V) terms.TermOf[job.Array, V] {
	return terms.Derive(arrayKind, name, t, meaning, "statics; ASCE 7 2.4", "load-path", func(c *terms.Call, a *job.Array) V {
		terms.Drive(c, a.Mounting)
		s := paths.Of(c, a)
		if c.Stop() {
			var none V
			return none
		}
		worst := 0
		for i := range s.weakest {
			if s.weakest[i].Utilisation() > s.weakest[worst].Utilisation() {
				worst = i
			}
		}
		c.Explain(s.work(worst), s.weakest[worst].Refs)
		return value(s, worst)
	})
}

var _ = ofWorstPath("path_governs", terms.Word, "weakest of the known parts of the load paths of its feet, with the direction of the load", func(s *pathState, i int) string { return s.weakest[i].Name() })

var _ = ofWorstPath("path_utilisation", terms.Quantity(quantity.Ratio), "largest share that is taken of any known part of the load paths of its feet; allowable level", func(s *pathState, i int) float64 { return s.weakest[i].Utilisation() })

var _ = ofWorstPath("path_unknown", terms.Word, "parts of the load paths of its feet of which nothing is known, each with what is missing; empty where all is known", func(s *pathState, _ int) string { return strings.Join(s.unknown, ", ") })

// spacingHolds gives what a foot has to hold at a spacing: uplift, and as far as
// they are known its other ratings, its fasteners in both directions at once, and
// the rails by the pressures of their spans. The snow is zero where it is not
// known.
func spacingHolds(c *terms.Call, a *job.Array, t *job.MountingType, up *capacityState) (holds func(zone string, d *structural.Demand) bool, snow float64) {
	rating := func(q job.Quantity) float64 {
		if terms.Stated(c, q) {
			return c.Q(q)
		}
		return math.Inf(1)
	}
	down, along := rating(t.AttachmentDown), rating(t.AttachmentLateral)
	known := func(f func(c *terms.Call)) bool {
		part := c.Part()
		f(part)
		return !part.Stop()
	}
	if !known(func(c *terms.Call) { snow = snowLoad(c, a) }) {
		snow = 0
	}
	interacts := pulledBothWays(c, a) && known(func(c *terms.Call) { combined(c, a, 1, 1) })
	rails := map[string]layout.Limit{}
	if spansFeet(c, a) {
		for _, zone := range zonesOf.Of(c, a).figure.Zones() {
			name := structural.ZoneName(zone)
			var row layout.Limit
			if known(func(c *terms.Call) { row = spanRow.Of(c, a, name) }) {
				rails[name] = row
			}
		}
	}
	width := widestStrip(arrays.Carried.Of(c, a))
	return func(zone string, d *structural.Demand) bool {
		pairs := d.Pairs()
		switch {
		case !structural.Meets(d.UpliftASD, up.uplift.Allowable), !structural.Meets(d.DownASD, down), !structural.Meets(d.DownslopeASD, along):
			return false
		case interacts && !structural.Meets(pulledTogether(c, a, pairs[:]).utilisation, 1):
			return false
		}
		row, known := rails[zone]
		if !known {
			return true
		}
		span := d.Tributary / width
		within := func(force float64, pressure *float64) bool {
			return pressure == nil || structural.Meets(force/cmp.Or(d.Loaded, d.Tributary)*math.Min(span, row.Span), *pressure*row.Span)
		}
		return within(d.UpliftASD, row.Uplift) && within(d.DownASD, row.Down)
	}, snow
}

// largestShare is the largest load of a foot over that of its tributary.
func largestShare(l *arrays.Footed) float64 {
	share := 1.0
	for i, area := range l.Areas {
		share = math.Max(share, l.Loaded[i]/area)
	}
	return share
}
