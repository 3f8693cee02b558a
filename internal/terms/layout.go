package terms

import (
	"fmt"
	"math"

	"plumbrule/internal/bonding"
	"plumbrule/internal/job"
	"plumbrule/internal/layout"
	"plumbrule/internal/quantity"
)

// layoutState is one array laid out. Modules may be known where feet are not.
type layoutState struct {
	array       *layout.Array
	moduleNeeds []Need

	feet      []layout.Foot
	supports  *layout.Supports
	areas     []float64 // tributary area of each foot, simple beam, m2
	spans     []float64 // largest distance to a neighbouring foot on its line; 0 for none
	overhangs []float64 // overhang at this foot; 0 for none
	besides   []float64 // span beside that overhang
	hasSpan   []bool
	hasOver   []bool
	feetNeeds []Need
}

func (m *Model) layout(a *job.Array) *layoutState {
	return shared(m, "layout/"+a.Name.Value, func() *layoutState { return m.buildLayout(a) })
}

// laidOut gives a derived term the modules of an array, or fails it.
func (c *Call) laidOut(a *job.Array) *layoutState {
	l := c.m.layout(a)
	c.out.Needs = append(c.out.Needs, l.moduleNeeds...)
	return l
}

// footed gives a derived term the feet of an array, or fails it.
func (c *Call) footed(a *job.Array) *layoutState {
	l := c.laidOut(a)
	if !c.Stop() {
		c.out.Needs = append(c.out.Needs, l.feetNeeds...)
	}
	return l
}

func (m *Model) buildLayout(a *job.Array) *layoutState {
	l := &layoutState{}
	c := &Call{m: m, subject: m.subjectOf("array", a)}
	l.array = c.placeModules(a)
	if l.moduleNeeds = c.out.Needs; len(l.moduleNeeds) > 0 {
		return l
	}
	c = &Call{m: m, subject: m.subjectOf("array", a)}
	c.placeFeet(a, l)
	l.feetNeeds = c.out.Needs
	return l
}

func (c *Call) placeModules(a *job.Array) *layout.Array {
	origin := Get(c, a.Origin)
	p := layout.Pattern{Name: a.Name.Value, Rows: Get(c, a.Rows), Columns: Get(c, a.Columns)}
	p.Frame.Origin = layout.Point{X: origin.X, Y: origin.Y}
	if a.Rotation.Known { // left out: square to the plane
		p.Frame.Rotation = a.Rotation.Value.SI
	}
	orientation := layout.Portrait
	if Get(c, a.Orientation) == "landscape" {
		orientation = layout.Landscape
	}
	Get(c, a.Module)
	if t, ok := c.m.Job.ModuleOf(a); ok {
		p.Width, p.Height = orientation.Size(c.Q(t.Length), c.Q(t.Width))
	}
	if p.Columns > 1 || !a.Columns.Known {
		p.GapX = c.Q(a.GapX)
	}
	if p.Rows > 1 || !a.Rows.Known {
		p.GapY = c.Q(a.GapY)
	}
	if a.Omit.Known { // left out: every place has a module
		for _, cell := range a.Omit.Value {
			p.Omit = append(p.Omit, layout.Cell{Row: cell.Row, Column: cell.Column})
		}
	}
	if c.Stop() {
		return nil
	}
	array, err := p.New()
	if err != nil {
		c.Err(err)
		return nil
	}
	return array
}

// mount says how the array is carried.
func (c *Call) mount(a *job.Array) layout.Mount {
	m := layout.Mount{}
	Get(c, a.Mounting)
	if t, ok := c.m.Job.MountingOf(a); ok {
		if Get(c, t.Kind) == "rail" {
			m.Support = layout.Rails
		} else {
			m.Support = layout.Seams
		}
	}
	m.BreakAfter = a.ThermalBreakAfter.Value
	return m
}

func (c *Call) placeFeet(a *job.Array, l *layoutState) {
	t := a.Attachments
	mount := c.mount(a)
	var err error
	switch {
	case t.File.Known:
		if c.Stop() {
			return
		}
		marks := make([]layout.Mark, len(t.Points.Value))
		for i, p := range t.Points.Value {
			marks[i] = layout.Mark{At: layout.Point{X: p.X, Y: p.Y}}
			if t.PointLines.Known {
				marks[i].Line = t.PointLines.Value[i]
			}
			if t.PointNames.Known {
				marks[i].Name = t.PointNames.Value[i]
			}
		}
		l.feet, err = layout.PlaceMarks(l.array, marks, 0)
	default:
		p := layout.FootPattern{Lines: Get(c, t.Lines), First: c.Q(t.FirstOffset), Spacing: c.Q(t.Spacing)}
		if t.Stagger.Known { // left out: lines are not shifted
			p.Stagger = t.Stagger.Value.SI
		}
		if t.PerLine.Known {
			p.Count = t.PerLine.Value
		}
		if c.Stop() {
			return
		}
		l.feet, err = layout.PlaceFeet(l.array, p.Expand(), mount)
	}
	if err != nil {
		c.Err(err)
		return
	}
	if len(l.feet) == 0 {
		c.Fail("array %s has no feet", a.Name.Value)
		return
	}
	if l.supports, err = layout.Carry(l.array, l.feet, mount); err != nil {
		c.Err(err)
		return
	}
	if l.areas, err = l.supports.Tributary(layout.SimpleBeam); err != nil {
		c.Err(err)
		return
	}
	n := len(l.feet)
	l.spans, l.hasSpan = make([]float64, n), make([]bool, n)
	l.overhangs, l.besides, l.hasOver = make([]float64, n), make([]float64, n), make([]bool, n)
	for _, s := range l.supports.Spans() {
		for _, f := range []int{s.From, s.To} {
			l.spans[f], l.hasSpan[f] = math.Max(l.spans[f], s.Length), true
		}
	}
	for _, o := range l.supports.Overhangs() {
		if !l.hasOver[o.Foot] || o.Length > l.overhangs[o.Foot] {
			l.overhangs[o.Foot], l.besides[o.Foot], l.hasOver[o.Foot] = o.Length, o.Beside, true
		}
	}
}

// stated is a given quantity, or nil where it is left out.
func stated(g job.Quantity) *float64 {
	if !g.Known {
		return nil
	}
	return &g.Value.SI
}

// footMark is one attachment of an array.
type footMark struct {
	array *job.Array
	l     *layoutState
	i     int
}

func (f *footMark) foot() layout.Foot { return f.l.feet[f.i] }

func defineLayout() {
	newKind("attachment", "attachments", "a foot of an array on the roof").all = func(m *Model) []*Subject {
		var out []*Subject
		for i := range m.Job.Arrays {
			a := &m.Job.Arrays[i]
			l := m.layout(a)
			key := "array." + a.Name.Value + ".attachments"
			if needs := append(append([]Need{}, l.moduleNeeds...), l.feetNeeds...); len(needs) > 0 {
				out = append(out, unknownSubject(kinds["attachment"], a.Name.Value+" (all)", key, a.At, needs))
				continue
			}
			for j, f := range l.feet {
				out = append(out, &Subject{Kind: kinds["attachment"], Name: a.Name.Value + " " + f.Line + "/" + f.Name, Key: key,
					At: a.At, data: &footMark{a, l, j}})
			}
		}
		return out
	}
	derive("attachment", "array", thing("array"), "the array it carries", "the job", "", func(c *Call, f *footMark) any {
		return c.Subject("array", f.array)
	})
	derive("attachment", "x", measured(quantity.Length), "its place along the lowest edge of the plane", "geometry", "", func(c *Call, f *footMark) any {
		return f.foot().At.X
	})
	derive("attachment", "y", measured(quantity.Length), "its place up the slope", "geometry", "", func(c *Call, f *footMark) any {
		return f.foot().At.Y
	})
	derive("attachment", "tributary_area", measured(quantity.Area), "module area that it carries, by simple beams between feet and between lines", "statics of simple beams", "", func(c *Call, f *footMark) any {
		c.Drive(f.array.Attachments.Spacing.At)
		return f.l.areas[f.i]
	})
	derive("attachment", "has_span", flag, "whether another foot stands on its line", "geometry", "", func(c *Call, f *footMark) any { return f.l.hasSpan[f.i] })
	derive("attachment", "span", measured(quantity.Length), "largest distance to a neighbouring foot on its line", "geometry", "", func(c *Call, f *footMark) any {
		c.Drive(f.array.Attachments.Spacing.At)
		if !f.l.hasSpan[f.i] {
			return c.Fail("no other foot stands on the line of %s", c.subject.Name)
		}
		return f.l.spans[f.i]
	})
	derive("attachment", "has_cantilever", flag, "whether the rail or row runs past it to an end", "geometry", "", func(c *Call, f *footMark) any { return f.l.hasOver[f.i] })
	derive("attachment", "cantilever", measured(quantity.Length), "overhang of the rail or row past it", "geometry", "", func(c *Call, f *footMark) any {
		c.Drive(f.array.Attachments.FirstOffset.At)
		if !f.l.hasOver[f.i] {
			return c.Fail("nothing runs past %s", c.subject.Name)
		}
		return f.l.overhangs[f.i]
	})
	derive("attachment", "cantilever_limit", measured(quantity.Length), "largest overhang that the maker allows beside the span next to it", "maker's letter: a length, a share of the span, or the smaller of both", "", func(c *Call, f *footMark) any {
		t, ok := c.m.Job.MountingOf(f.array)
		if !ok {
			c.Missing(f.array.Mounting.Key, f.array.Mounting.At)
			return nil
		}
		if !t.MaximumCantilever.Known && !t.CantileverShare.Known {
			c.Missing(t.MaximumCantilever.Key, t.MaximumCantilever.At)
			return nil
		}
		limit, ok := layout.CantileverLimit(stated(t.MaximumCantilever), stated(t.CantileverShare), f.l.besides[f.i])
		if !ok {
			return c.Fail("no span lies beside the overhang at %s to take the maker's share of", c.subject.Name)
		}
		return limit
	})
	derive("attachment", "framing_room", measured(quantity.Length), "room left between its worst fastener and the least edge distance on the framing member; negative where it misses", "geometry", "", framingRoom)
	derive("attachment", "framing_distance", measured(quantity.Length), "distance of its worst fastener from the centre of the nearest framing member", "geometry", "", framingDistance)
	derive("attachment", "rib_distance", measured(quantity.Length), "distance of its worst fastener from the nearest rib crest", "geometry", "", ribDistance)

	derive("array", "module_count", count, "number of modules, from the grid and the places left out", "geometry", "", func(c *Call, a *job.Array) any {
		l := c.laidOut(a)
		if c.Stop() {
			return nil
		}
		c.Drive(a.Rows.At)
		return len(l.array.Modules)
	})
	derive("array", "module_area", measured(quantity.Area), "face area of all modules", "geometry", "", func(c *Call, a *job.Array) any {
		l := c.laidOut(a)
		if c.Stop() {
			return nil
		}
		return l.array.Area()
	})
	derive("array", "attachment_count", count, "number of feet, from the pattern or the list", "geometry", "", func(c *Call, a *job.Array) any {
		l := c.footed(a)
		if c.Stop() {
			return nil
		}
		c.Drive(a.Attachments.Spacing.At)
		return len(l.feet)
	})
	derive("array", "has_neighbours", flag, "whether two modules of the array lie side by side", "geometry", "", func(c *Call, a *job.Array) any {
		l := c.laidOut(a)
		if c.Stop() {
			return nil
		}
		return len(l.array.Gaps()) > 0
	})
	derive("array", "smallest_gap", measured(quantity.Length), "smallest gap between neighbouring modules, measured from their places", "geometry", "", func(c *Call, a *job.Array) any {
		return c.gap(a, math.Min)
	})
	derive("array", "largest_gap", measured(quantity.Length), "largest gap between neighbouring modules, measured from their places", "geometry", "", func(c *Call, a *job.Array) any {
		return c.gap(a, math.Max)
	})
	derive("array", "overlapping_modules", count, "pairs of modules, of this and other arrays on its plane, that lie over each other", "geometry", "", func(c *Call, a *job.Array) any {
		c.laidOut(a)
		var arrays []*layout.Array
		for i := range c.m.Job.Arrays {
			if b := &c.m.Job.Arrays[i]; b.Plane.Value == a.Plane.Value {
				arrays = append(arrays, c.laidOut(b).array)
			}
		}
		if c.Stop() {
			return nil
		}
		c.Drive(a.Origin.At)
		n := 0
		for _, o := range layout.Overlaps(arrays...) {
			if o.First.Array == a.Name.Value || o.Second.Array == a.Name.Value {
				n++
			}
		}
		return n
	})

	newKind("bonding_group", "bonding_groups", "modules of an array that listed parts bond to one another").all = bondingGroups
	derive("bonding_group", "array", thing("array"), "the array it belongs to", "the job", "", func(c *Call, g *groupMark) any { return c.Subject("array", g.array) })
	derive("bonding_group", "module_count", count, "modules in the group", "graph of bonding parts", "", func(c *Call, g *groupMark) any { return g.group().Modules })
	derive("bonding_group", "lug_count", count, "equipment grounding lugs on its modules", "graph of bonding parts", "", func(c *Call, g *groupMark) any {
		if len(g.array.Lugs) > 0 {
			c.Drive(g.array.Lugs[0].Row.At)
		}
		return len(g.group().Lugs)
	})
	derive("array", "isolating_modules", count, "modules whose removal would cut others off from the equipment grounding conductor", "R. Tarjan, SIAM Journal on Computing 1(2), 1972 (articulation points)", "", func(c *Call, a *job.Array) any {
		b := c.m.bonding(a)
		c.out.Needs = append(c.out.Needs, b.needs...)
		if c.Stop() {
			return nil
		}
		if t, ok := c.m.Job.MountingOf(a); ok {
			c.Drive(t.BondsAcross.At)
		}
		return len(b.analysis.Removals)
	})
}

func (c *Call) gap(a *job.Array, pick func(x, y float64) float64) any {
	l := c.laidOut(a)
	if c.Stop() {
		return nil
	}
	gaps := l.array.Gaps()
	if len(gaps) == 0 {
		return c.Fail("array %s has no two modules side by side", a.Name.Value)
	}
	g := gaps[0].Width
	for _, x := range gaps[1:] {
		g = pick(g, x.Width)
	}
	if gaps[0].AcrossRow {
		c.Drive(a.GapY.At)
	} else {
		c.Drive(a.GapX.At)
	}
	return g
}

func direction(word string) layout.Direction {
	if word == "up-slope" {
		return layout.UpSlope
	}
	return layout.AlongEave
}

// screws are the fasteners of one foot.
func (c *Call) screws(f *footMark) []layout.Point {
	t := f.array.Attachments
	s := layout.Screws{Count: Get(c, t.FastenersEach)}
	if s.Count > 1 {
		s.Spacing = c.Q(t.FastenerSpacing)
		s.Direction = direction(Get(c, t.FastenerDirection))
	}
	if c.Stop() {
		return nil
	}
	out, err := s.Of([]layout.Foot{f.foot()})
	if err != nil {
		c.Err(err)
	}
	return out
}

func (c *Call) planeOf(a *job.Array) *job.Plane {
	p, ok := c.m.Job.PlaneOf(a)
	if !ok {
		c.Missing(a.Plane.Key, a.Plane.At)
		return &job.Plane{}
	}
	return p
}

// members are the framing lines under an array.
func (c *Call) members(p *job.Plane) layout.Grid {
	g := layout.Grid{Direction: direction(Get(c, p.Framing.Runs))}
	if p.Framing.Positions.Known {
		g.Positions = p.Framing.Positions.Value
		return g
	}
	g.Spacing, g.Offset = c.Q(p.Framing.Spacing), c.Q(p.Framing.Offset)
	return g
}

func framingRoom(c *Call, f *footMark) any {
	p := c.planeOf(f.array)
	members := c.members(p)
	width := c.Q(p.Framing.Width)
	edge := 0.0
	if t, ok := c.m.Job.FastenerOf(f.array); ok {
		edge = c.Q(t.EdgeDistance)
	} else {
		c.Missing(f.array.Attachments.Fastener.Key, f.array.Attachments.Fastener.At)
	}
	screws := c.screws(f)
	if c.Stop() {
		return nil
	}
	bites, err := members.Bites(screws, width, edge)
	if err != nil {
		return c.Err(err)
	}
	c.Drive(p.Framing.Offset.At)
	room := math.Inf(1)
	for _, b := range bites {
		room = math.Min(room, b.Room)
	}
	return room
}

func framingDistance(c *Call, f *footMark) any {
	p := c.planeOf(f.array)
	c.Drive(p.Framing.Offset.At)
	return c.worstLanding(f, c.members(p))
}

func ribDistance(c *Call, f *footMark) any {
	p := c.planeOf(f.array)
	c.Drive(p.Covering.RibOffset.At)
	// Ribs run up the slope, so that water does.
	return c.worstLanding(f, layout.Grid{Direction: layout.UpSlope, Spacing: c.Q(p.Covering.RibPitch), Offset: c.Q(p.Covering.RibOffset)})
}

func (c *Call) worstLanding(f *footMark, g layout.Grid) any {
	screws := c.screws(f)
	if c.Stop() {
		return nil
	}
	landings, err := g.Land(screws)
	if err != nil {
		return c.Err(err)
	}
	worst := 0.0
	for _, l := range landings {
		worst = math.Max(worst, math.Abs(l.Distance))
	}
	return worst
}

// bondingState is the bonding of one array as a graph.
type bondingState struct {
	analysis *bonding.Analysis
	needs    []Need
}

type groupMark struct {
	array *job.Array
	b     *bondingState
	i     int
}

func (g *groupMark) group() bonding.Group { return g.b.analysis.Groups[g.i] }

func (m *Model) bonding(a *job.Array) *bondingState {
	return shared(m, "bonding/"+a.Name.Value, func() *bondingState {
		c := &Call{m: m, subject: m.subjectOf("array", a)}
		b := &bondingState{analysis: c.bond(a)}
		b.needs = c.out.Needs
		return b
	})
}

// bond builds the graph of an array: modules, the rails or the neighbours that
// listed parts bond them to, and lugs. A mounting that is not listed as a
// bonding path bonds nothing, so that each module is a group of its own.
func (c *Call) bond(a *job.Array) *bonding.Analysis {
	l := c.laidOut(a)
	Get(c, a.Mounting)
	t, ok := c.m.Job.MountingOf(a)
	if !ok || c.Stop() {
		return nil
	}
	listed, across := Get(c, t.BondingListed), Get(c, t.BondsAcross)
	if c.Stop() {
		return nil
	}
	cells := make([]bonding.Cell, len(l.array.Modules))
	for i, m := range l.array.Modules {
		cells[i] = bonding.Cell{Row: m.Cell.Row, Column: m.Cell.Column, Name: m.Name()}
	}
	breaks := c.mount(a).BreakAfter
	var g bonding.Graph
	var numbers []int
	var err error
	switch {
	case !listed:
		for _, cell := range cells {
			numbers = append(numbers, g.Add(bonding.Part{Name: cell.Name}))
		}
	case across == "rails":
		numbers, _, err = g.AddRailed(cells, rails(cells, breaks))
	case across == "both":
		numbers, err = g.AddArray(cells, bonding.Both, breaks...)
	default:
		numbers, err = g.AddArray(cells, bonding.Rows, breaks...)
	}
	if err != nil {
		c.Err(err)
		return nil
	}
	for i := range a.Lugs {
		lug := &a.Lugs[i]
		row, column := Get(c, lug.Row), Get(c, lug.Column)
		if c.Stop() {
			return nil
		}
		m, ok := l.array.At(row, column)
		if !ok {
			c.Fail("lug %d of array %s sits on row %d, column %d, where there is no module", i+1, a.Name.Value, row, column)
			return nil
		}
		if err := g.AddLug(bonding.Lug{Name: fmt.Sprintf("lug %d", i+1), Part: numbers[m]}); err != nil {
			c.Err(err)
			return nil
		}
	}
	return g.Analyse()
}

// rails are the pairs of rails under each row, cut at thermal breaks.
func rails(cells []bonding.Cell, breaks []int) []bonding.RailPart {
	type piece struct{ row, part int }
	byPiece := map[piece][]int{}
	var order []piece
	for i, c := range cells {
		k := piece{row: c.Row}
		for _, b := range breaks {
			if c.Column > b {
				k.part++
			}
		}
		if byPiece[k] == nil {
			order = append(order, k)
		}
		byPiece[k] = append(byPiece[k], i)
	}
	var out []bonding.RailPart
	for _, k := range order {
		for _, side := range []string{"lower", "upper"} {
			out = append(out, bonding.RailPart{Name: fmt.Sprintf("row %d %s rail %d", k.row, side, k.part+1), Modules: byPiece[k]})
		}
	}
	return out
}

func bondingGroups(m *Model) []*Subject {
	var out []*Subject
	k := kinds["bonding_group"]
	for i := range m.Job.Arrays {
		a := &m.Job.Arrays[i]
		b := m.bonding(a)
		key := "array." + a.Name.Value
		if len(b.needs) > 0 || b.analysis == nil {
			out = append(out, unknownSubject(k, a.Name.Value+" (all)", key, a.At, b.needs))
			continue
		}
		for j, g := range b.analysis.Groups {
			name := a.Name.Value
			if len(b.analysis.Groups) > 1 {
				name = fmt.Sprintf("%s group %d (%d modules)", a.Name.Value, j+1, g.Modules)
			}
			out = append(out, &Subject{Kind: k, Name: name, Key: key, At: a.At, data: &groupMark{a, b, j}})
		}
	}
	return out
}
