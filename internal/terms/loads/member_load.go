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
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/arrays"
	"plumbrule/internal/terms/roofs"
)

// frame is the framing of a plane with the feet that its members carry.
type frame struct {
	plane   *job.Plane
	upSlope bool
	low     float64 // both ends of the members, along them on the surface, m
	high    float64
	members []*member
	even    float64 // module area that a member would carry if all below the modules took the same
}

// member is one line of framing that carries feet.
type member struct {
	frame  *frame
	name   string
	at     float64 // its centre across the members
	strip  float64 // width of roof that it carries
	feet   []landed
	area   float64 // module area on its feet
	arrays []*job.Array
	bare   []bareStretch // without modules above, of the two halves of its strip
}

// bareStretch is a part of one half of the strip of a member, whose middle lies at a
// place across.
type bareStretch struct{ from, to, across float64 }

// landed is the part of a foot that a member carries: 1, or less where the foot
// stands on the roof between two members.
type landed struct {
	array *job.Array
	i     int
	along float64
	share float64
}

// framed finds the members of a plane that carry feet, and what stands on them.
var framed = terms.Analyse(planeKind, "members under the feet", func(c *terms.Call, p *job.Plane) *frame {
	f := &frame{plane: p}
	list := onPlane(c, p)
	if len(list) == 0 {
		return f
	}
	grid := arrays.Members(c, p)
	word := terms.Get(c, p.Framing.Member)
	f.upSlope = grid.Direction == layout.UpSlope
	roof := roofs.Geometry.Of(c, c.Job())
	if c.Stop() {
		return f
	}
	f.low, f.high = math.Inf(1), math.Inf(-1)
	for _, q := range roof.Roof.Outline(roof.Index[p.Name.Value]) {
		along, _ := f.along(layout.Point(q))
		f.low, f.high = math.Min(f.low, along), math.Max(f.high, along)
	}
	lines := map[int]*member{}
	for _, a := range list {
		f.land(c, grid, word, a, lines)
	}
	if c.Stop() {
		return f
	}
	for _, m := range lines {
		f.members = append(f.members, m)
	}
	slices.SortFunc(f.members, func(a, b *member) int { return cmp.Compare(a.at, b.at) })
	if f.share(c, grid, list); c.Stop() {
		return f
	}
	f.uncover(c, list)
	return f
})

// onPlane lists the arrays that stand on a plane by feet.
func onPlane(c *terms.Call, p *job.Plane) (list []*job.Array) {
	for _, a := range arrays.On(c, p.Name.Value) {
		if mounted(c, a) {
			list = append(list, a)
		}
	}
	return list
}

// along gives the place of a point along the members and across them.
func (f *frame) along(p layout.Point) (along, across float64) {
	if f.upSlope {
		return p.Y, p.X
	}
	return p.X, p.Y
}

// place is the point of the surface at a place along the members and across them.
func (f *frame) place(along, across float64) layout.Point {
	if f.upSlope {
		return layout.Point{X: across, Y: along}
	}
	return layout.Point{X: along, Y: across}
}

// land puts the feet of an array on the members: on the nearest, or on the two
// beside it where the sheet, a seam or a deck carries it between them.
func (f *frame) land(c *terms.Call, grid layout.Grid, word string, a *job.Array, lines map[int]*member) {
	l, fixed := arrays.Carried.Of(c, a), arrays.FixedTo.Of(c, a)
	if c.Stop() {
		return
	}
	places := make([]layout.Point, len(l.Feet))
	for i, foot := range l.Feet {
		places[i] = foot.At
	}
	landings, err := grid.Land(places)
	if err != nil {
		c.Err(err)
		return
	}
	put := func(line int, at, along, share float64, i int) {
		m := lines[line]
		if m == nil {
			m = &member{frame: f, at: at, name: word + " at " + show(c.Job().System(), at, quantity.Length) + " of " + f.plane.Name.Value}
			lines[line] = m
		}
		m.feet = append(m.feet, landed{a, i, along, share})
		m.area += share * l.Areas[i]
		if !slices.Contains(m.arrays, a) {
			m.arrays = append(m.arrays, a)
		}
	}
	for i, at := range landings {
		along, _ := f.along(places[i])
		next, centre := at.Line, at.Centre
		if at.Distance > 0 {
			next++
		} else {
			next--
		}
		if (fixed != arrays.Framing || word == "deck") && at.Distance != 0 {
			centre = lineAt(grid, next)
		}
		if centre == at.Centre || math.IsNaN(centre) {
			put(at.Line, at.Centre, along, 1, i)
			continue
		}
		share := at.Distance / (centre - at.Centre)
		put(at.Line, at.Centre, along, 1-share, i)
		put(next, centre, along, share, i)
	}
}

// lineAt is the place of a line of a grid by its number, NaN where there is none.
func lineAt(grid layout.Grid, line int) float64 {
	if len(grid.Positions) > 0 {
		sorted := slices.Sorted(slices.Values(grid.Positions))
		if line < 1 || line > len(sorted) {
			return math.NaN()
		}
		return sorted[line-1]
	}
	if line < 1 {
		return math.NaN()
	}
	return grid.Offset + float64(line-1)*grid.Spacing
}

// share finds the strip of each member, and the even share of the modules.
func (f *frame) share(c *terms.Call, grid layout.Grid, list []*job.Array) {
	first, last := f.members[0], f.members[len(f.members)-1]
	total := 0.0
	sorted := slices.Sorted(slices.Values(grid.Positions))
	if len(sorted) == 1 {
		c.Fail("one member alone is said to lie below %s, which does not tell how wide a strip of roof it carries", f.plane.Name.Value)
		return
	}
	for _, m := range f.members {
		total += m.area
		m.strip = grid.Spacing
		if len(sorted) < 2 {
			continue
		}
		k, _ := slices.BinarySearch(sorted, m.at)
		below, above := max(k-1, 0), min(k+1, len(sorted)-1)
		m.strip = (sorted[above] - sorted[below]) / float64(above-below)
	}
	count := 1.0
	if len(sorted) > 0 {
		from, _ := slices.BinarySearch(sorted, first.at)
		to, _ := slices.BinarySearch(sorted, last.at)
		count += float64(to - from)
	} else {
		count += math.Round((last.at - first.at) / grid.Spacing)
	}
	least, most := math.Inf(1), math.Inf(-1)
	for _, a := range list {
		for _, module := range arrays.Modules.Of(c, a).Modules {
			for _, corner := range module.Corners {
				_, across := f.along(corner)
				least, most = math.Min(least, across), math.Max(most, across)
			}
		}
	}
	count = max(count, (most-least)/first.strip) // a single line of feet crowds on one member too
	f.even = total / count
}

// halves are the middles of the two halves of the strip of a member.
func (m *member) halves() [2]float64 { return [2]float64{m.at - m.strip/4, m.at + m.strip/4} }

// uncover finds where the two halves of the strip of each member have no modules
// above them.
func (f *frame) uncover(c *terms.Call, list []*job.Array) {
	type half struct {
		m       *member
		at      float64
		covered [][2]float64
	}
	var halves []*half // in order of their places
	for _, m := range f.members {
		for _, at := range m.halves() {
			halves = append(halves, &half{m: m, at: at})
		}
	}
	slices.SortFunc(halves, func(a, b *half) int { return cmp.Compare(a.at, b.at) })
	for _, a := range list {
		for _, module := range arrays.Modules.Of(c, a).Modules {
			least, most := math.Inf(1), math.Inf(-1)
			for _, corner := range module.Corners {
				_, across := f.along(corner)
				least, most = math.Min(least, across), math.Max(most, across)
			}
			first, _ := slices.BinarySearchFunc(halves, least, func(h *half, at float64) int { return cmp.Compare(h.at, at) })
			for _, h := range halves[first:] {
				if h.at > most {
					break
				}
				if from, to, ok := f.under(module.Corners, h.at); ok {
					h.covered = append(h.covered, [2]float64{from, to})
				}
			}
		}
	}
	for _, h := range halves {
		slices.SortFunc(h.covered, func(a, b [2]float64) int { return cmp.Compare(a[0], b[0]) })
		from := f.low
		for _, s := range append(h.covered, [2]float64{f.high, f.high}) {
			if s[0]-from > clampRoom { // narrower is a gap between modules
				h.m.bare = append(h.m.bare, bareStretch{from, s[0], h.at})
			}
			from = math.Max(from, s[1])
		}
	}
}

// clampRoom is the width of a gap between modules that clamps and rails take,
// which no snow and nobody reaches through, m.
const clampRoom = 0.05

// under is the stretch of a line along the members that lies below a module.
func (f *frame) under(corners [4]layout.Point, line float64) (from, to float64, ok bool) {
	from, to = math.Inf(1), math.Inf(-1)
	for i := range corners {
		pa, pc := f.along(corners[i])
		qa, qc := f.along(corners[(i+1)%4])
		if (pc-line)*(qc-line) > 0 || pc == qc {
			continue
		}
		at := pa + (qa-pa)*(line-pc)/(qc-pc)
		from, to = math.Min(from, at), math.Max(to, at)
	}
	return from, to, to > from
}

// loadCase is what a member carries at once, at a right angle to the roof and at
// allowable level, with the word of its duration for wood.
type loadCase struct {
	what     string
	duration string
	loads    structural.Loaded
	kind     caseKind
	by       structural.Combination
}

// caseKind tells what a load case counts.
type caseKind uint8

const (
	gravityAlone caseKind = iota // on the roof without the array
	gravityWith
	upliftAlone // on the roof without the array
	upliftWith
)

// roofLoads are the loads of the roof itself per length of a member, N/m at a
// right angle to it.
type roofLoads struct{ dead, live, snow, design float64 }

// cases lists what the feet and the roof do to a member by one reading of the
// wind.
func (m *member) cases(c *terms.Call, r reading) []loadCase {
	b := &c.Job().Building
	p := m.frame.plane
	dead, live, slope := c.Q(b.RoofDeadLoad), c.Q(b.RoofLiveLoad), c.Q(p.Slope)
	snow, s := roofSnow(c, p), screens(c)
	if c.Stop() {
		return nil
	}
	cos := math.Cos(slope * math.Pi / 180)
	design := snow.GoverningAllowable
	if terms.Stated(c, b.DesignSnow) {
		design = terms.Peek(c, b.DesignSnow).SI
	}
	of := roofLoads{dead: dead * cos * m.strip, live: live * cos * cos * m.strip, snow: snow.GoverningAllowable * cos * cos * m.strip, design: design * cos * cos * m.strip}
	whole := func(force float64) []structural.LineLoad {
		return []structural.LineLoad{{From: m.frame.low, To: m.frame.high, Force: force}}
	}
	bare := func(force float64) []structural.LineLoad {
		lines := whole(of.dead)
		for _, s := range m.bare {
			lines = append(lines, structural.LineLoad{From: s.from, To: s.to, Force: force / 2})
		}
		return lines
	}
	offset := true
	for _, a := range m.arrays {
		clear, err := s.LiveLoadOffset(c.Q(a.StandOff))
		if err != nil {
			c.Err(err)
		}
		offset = offset && clear
	}
	var permanent, snowy, windy, up []structural.PointLoad
	against := 0.0
	roof := roofUplift.Of(c, m)
	for _, f := range m.feet {
		down, lift := onEachFoot(c, f.array, snowed{r, true}), netUplift.Of(c, f.array, r)
		if c.Stop() {
			return nil
		}
		d, combine := &down[f.i], asce(c).Combinations()
		against = combine.DeadAgainstASD
		on := func(force float64) structural.PointLoad {
			return structural.PointLoad{At: f.along, Force: f.share * force}
		}
		permanent = append(permanent, on(d.DeadNormal))
		snowy = append(snowy, on(d.DeadNormal+combine.SnowASD*d.SnowNormal))
		windy = append(windy, on(downASD(c, &arrays.Foot{Array: f.array, I: f.i}, d)))
		up = append(up, on(-lift[f.i]))
	}
	live2 := bare(of.live)
	if !offset {
		live2 = whole(of.dead + of.live)
	}
	heavier, lasting, heavy := of.live, "roof-live", structural.DeadAndLive
	if of.design > of.live {
		heavier, lasting, heavy = of.design, "snow", structural.DeadAndSnow
	}
	list := []loadCase{
		{what: "the roof without the array", duration: lasting, by: heavy, loads: structural.Loaded{Lines: whole(of.dead + heavier)}},
		{what: "dead load", duration: "permanent", kind: gravityWith, by: structural.DeadOnly, loads: structural.Loaded{Points: permanent, Lines: whole(of.dead)}},
		{what: "dead load and roof live load beside the array", duration: "roof-live", kind: gravityWith, by: structural.DeadAndLive, loads: structural.Loaded{Points: permanent, Lines: live2}},
		{what: "dead load with wind on the array and snow beside it", duration: "wind", kind: gravityWith, by: structural.DeadAndWind, loads: structural.Loaded{Points: windy, Lines: bare(of.snow)}},
	}
	if of.snow > 0 {
		list = append(list, loadCase{what: "dead load and snow", duration: "snow", kind: gravityWith, by: structural.DeadAndSnow, loads: structural.Loaded{Points: snowy, Lines: bare(of.snow)}})
	}
	lifts := func(wind []structural.LineLoad) []structural.LineLoad { return append(whole(against*of.dead), wind...) }
	return append(list,
		loadCase{what: "wind uplift of the roof without the array, against dead load", duration: "wind", kind: upliftAlone, loads: structural.Loaded{Lines: lifts(roof.whole)}},
		loadCase{what: "wind uplift of the feet and of the bare roof beside the array, against dead load", duration: "wind", kind: upliftWith, loads: structural.Loaded{Points: up, Lines: lifts(roof.bare)}})
}

// netUplift is the net uplift of each foot by one reading.
var netUplift = terms.AnalyseBy(arrayKind, "net uplift of the feet", upliftOnFeet)

// bareWind is what the wind on a roof without modules depends on.
type bareWind struct {
	*zoner
	qh        float64
	enclosure string
}

var windOnRoof = terms.Analyse(planeKind, "wind on the bare roof", func(c *terms.Call, p *job.Plane) *bareWind {
	slope, roof, qh := c.Q(p.Slope), roofs.Geometry.Of(c, c.Job()), velocityPressure(c)
	b := &bareWind{qh: qh.Q, enclosure: terms.Get(c, c.Job().Building.Enclosure)}
	width, height := ZoneWidth(c, slope), roofs.MeanRoofHeight.Of(c, &c.Job().Building)
	figure, _ := figureOrEnvelope(c, slope)
	if c.Stop() {
		return b
	}
	b.zoner = &zoner{code: asce(c), figure: figure, edges: WindEdgesOf(roof), frame: roof.Roof.Frame(roof.Index[p.Name.Value]), width: width.Edge, height: height}
	return b
})

// upliftOn is the wind on the strip of a member, zone by zone, per length of it:
// on the roof without the array, and on the parts that stay bare. Below the
// modules the roof is spared what lifts them, so that no place counts twice.
type upliftOn struct{ whole, bare []structural.LineLoad }

var roofUplift = terms.Analyse(Member, "wind on the roof that it carries", func(c *terms.Call, m *member) (u upliftOn) {
	w, span := windOnRoof.Of(c, m.frame.plane), m.unbraced(c)
	if c.Stop() {
		return u
	}
	area := span * max(m.strip, span/3) // ASCE 7 26.2
	known := map[string]float64{}       // by zone
	pressure := func(zone string) float64 {
		p, seen := known[zone]
		if !seen {
			on, err := w.code.RoofPressure(w.qh, w.figure, zone, area, w.enclosure)
			if err != nil {
				c.Err(err)
			}
			p = on.Allowable
			known[zone] = p
		}
		return p
	}
	low, pieces := m.frame.low, math.Ceil((m.frame.high-m.frame.low)/w.width)
	step := (m.frame.high - low) / pieces
	for _, across := range m.halves() {
		first, from := len(u.whole), low
		zone := func(along float64) string { return w.zoneAt(m.frame.place(along, across)) }
		at := zone(low)
		for k := range int(pieces) {
			end := low + step*float64(k+1)
			next := zone(end)
			if next == at && k+1 < int(pieces) {
				continue
			}
			to := end
			if next != at { // where the one zone ends and the other begins
				low, high := end-step, end
				for high-low > step/32 {
					if middle := (low + high) / 2; zone(middle) == at {
						low = middle
					} else {
						high = middle
					}
				}
				to = high
			}
			u.whole = append(u.whole, structural.LineLoad{From: from, To: to, Force: pressure(at) * m.strip / 2})
			if next != at && k+1 == int(pieces) {
				u.whole = append(u.whole, structural.LineLoad{From: to, To: end, Force: pressure(next) * m.strip / 2})
			}
			at, from = next, to
		}
		for _, s := range m.bare {
			if s.across != across {
				continue
			}
			for _, l := range u.whole[first:] {
				if from, to := max(l.From, s.from), min(l.To, s.to); to > from {
					u.bare = append(u.bare, structural.LineLoad{From: from, To: to, Force: l.Force})
				}
			}
		}
	}
	return u
})

// effects are what a case does to a member: on its supports where they are
// stated, otherwise on a simple span wherever it is worst.
func (m *member) effects(c *terms.Call, l structural.Loaded) structural.Effects {
	f := &m.frame.plane.Framing
	var e structural.Effects
	var err error
	if terms.Stated(c, f.Supports) {
		e, err = l.OnSupports(terms.Peek(c, f.Supports), terms.Get(c, f.Continues))
	} else {
		span, slope := c.Q(f.Span), c.Q(m.frame.plane.Slope)
		if c.Stop() {
			return e
		}
		if m.frame.upSlope { // the span is measured on the plan
			span /= math.Cos(slope * math.Pi / 180)
		}
		e, err = l.WorstSpan(m.frame.low, m.frame.high, span)
		if terms.Get(c, f.Continues) {
			e = overSupports(e)
		}
	}
	if err != nil {
		c.Err(err)
	}
	return e
}

// overSupports makes of the effects on a simple span those on a member that runs
// over supports whose places are not known. It bends the other way over them by
// no more; two equal spans with a load at the middle of each put 11/16 of one
// load into the shear beside the support and 11/8 on it.
func overSupports(e structural.Effects) structural.Effects {
	e.Sagging = max(e.Sagging, e.Hogging)
	e.Hogging = e.Sagging
	e.Shear *= 11.0 / 8
	e.Down, e.Up = e.Down*11/4, e.Up*11/4
	return e
}

// carries says in words what a member carries.
func (m *member) carries(sys quantity.System) string {
	names := make([]string, len(m.arrays))
	for i, a := range m.arrays {
		names[i] = a.Name.Value
	}
	return fmt.Sprintf("%s carries %d feet of %s with %s of modules, %.2f times its even share", m.name, len(m.feet), strings.Join(names, ", "), show(sys, m.area, quantity.Area), m.area/m.frame.even)
}
