package arrays

import (
	"cmp"
	"math"
	"slices"

	"plumbrule/internal/job"
	"plumbrule/internal/layout"
	"plumbrule/internal/quantity"
	"plumbrule/internal/roofplan"
	"plumbrule/internal/source"
	"plumbrule/internal/structural"
	"plumbrule/internal/table"
)

// layoutState is one array laid out. Modules may be known where feet are not,
// and feet where it is not known what they carry.
type layoutState struct {
	array       *layout.Array
	moduleNeeds []Need

	feet       []layout.Foot
	placeNeeds []Need // why the feet are not known

	supports  *layout.Supports
	areas     []float64 // tributary area of each foot, simple beam, m2
	spans     []float64 // largest distance to a neighbouring foot on its line; 0 for none
	overhangs []float64 // overhang at this foot; 0 for none
	besides   []float64 // span beside that overhang
	hasSpan   []bool
	hasOver   []bool
	feetNeeds []Need // why it is not known what the feet carry; placeNeeds among them
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

// footed gives a derived term the feet of an array and what they carry, or
// fails it.
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
	l.feet = c.placeFeet(a, l.array)
	l.placeNeeds = slices.Clone(c.out.Needs)
	if !c.Stop() {
		c.carry(a, l)
	}
	l.feetNeeds = c.out.Needs
	return l
}

// placed gives a derived term the feet of an array, whatever they carry.
func (c *Call) placed(a *job.Array) *layoutState {
	l := c.laidOut(a)
	if !c.Stop() {
		c.out.Needs = append(c.out.Needs, l.placeNeeds...)
	}
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

func (c *Call) placeFeet(a *job.Array, array *layout.Array) []layout.Foot {
	var feet []layout.Foot
	var err error
	if a.Attachments.File.Known {
		feet, err = layout.PlaceMarks(array, marks(&a.Attachments), 0)
	} else {
		t := a.Attachments
		p := layout.FootPattern{Lines: Get(c, t.Lines), First: c.Q(t.FirstOffset), Spacing: c.Q(t.Spacing)}
		if t.Stagger.Known { // left out: lines are not shifted
			p.Stagger = t.Stagger.Value.SI
		}
		if t.PerLine.Known {
			p.Count = t.PerLine.Value
		}
		mount := c.mount(a)
		if c.Stop() {
			return nil
		}
		feet, err = layout.PlaceFeet(array, p.Expand(), mount)
	}
	switch {
	case err != nil:
		c.Err(err)
	case len(feet) == 0:
		c.Fail("array %s has no feet", a.Name.Value)
	}
	return feet
}

// marks are the feet that a file gives one by one.
func marks(t *job.Attachments) []layout.Mark {
	list := make([]layout.Mark, len(t.Points.Value))
	for i, p := range t.Points.Value {
		list[i] = layout.Mark{At: layout.Point{X: p.X, Y: p.Y}}
		if t.PointLines.Known {
			list[i].Line = t.PointLines.Value[i]
		}
		if t.PointNames.Known {
			list[i].Name = t.PointNames.Value[i]
		}
	}
	return list
}

// carry works out what the feet of an array carry.
func (c *Call) carry(a *job.Array, l *layoutState) {
	mount := c.mount(a)
	if c.Stop() {
		return
	}
	var err error
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
				out = append(out, &Subject{Kind: kinds["attachment"], Name: f.Name, Key: key,
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
	derive("attachment", "cantilever_share", measured(quantity.Ratio), "that overhang over the span beside it", "geometry", "", func(c *Call, f *footMark) any {
		c.Drive(f.array.Attachments.FirstOffset.At)
		if !f.l.hasOver[f.i] || f.l.besides[f.i] <= 0 {
			return c.Fail("no span lies beside an overhang at %s", c.subject.Name)
		}
		return math.Max(0, f.l.overhangs[f.i]) / f.l.besides[f.i]
	})
	derive("attachment", "framing_distance", measured(quantity.Length), "distance of its worst fastener from the centre of the nearest framing member", "geometry", "",
		func(c *Call, f *footMark) any { return c.framingDistance(f.array, f.foot()) })
	derive("attachment", "rib_distance", measured(quantity.Length), "distance of its worst fastener from the nearest rib crest", "geometry", "",
		func(c *Call, f *footMark) any {
			p := c.planeOf(f.array)
			c.Drive(p.Covering.RibOffset.At)
			return c.worstLanding(f.array, f.foot(), c.ribs(p))
		})
	derive("attachment", "dead_weight", measured(quantity.Force), "weight of the modules and of the mounting on its tributary area", "datasheets; statics of simple beams", "", deadWeight)

	defineModulePlaces()
	defineFootPlaces()
}

// deadWeight is the weight that one foot carries.
func deadWeight(c *Call, f *footMark) any {
	c.Drive(f.array.Attachments.Spacing.At)
	area, perArea := f.l.areas[f.i], c.deadLoad(f.array)
	if c.Stop() {
		return nil
	}
	c.Explain(func(sys quantity.System) []string {
		return []string{"weight on the foot = " + quantity.Of(perArea, quantity.Pressure).Format(sys) + " x " +
			quantity.Of(area, quantity.Area).Format(sys) + " = " + quantity.Of(perArea*area, quantity.Force).Format(sys)}
	}, nil)
	return perArea * area
}

// defineModulePlaces adds what follows from where the modules of an array lie.
func defineModulePlaces() {
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
		o := c.m.overlaps(a.Plane.Value)
		c.out.Needs = append(c.out.Needs, o.needs...)
		if c.Stop() {
			return nil
		}
		c.Drive(a.Origin.At)
		return o.count[a.Name.Value]
	})

	derive("array", "gap_departure", measured(quantity.Length), "largest departure from the maker's gap of the gaps that parts of the mounting bridge: along rows on rails, both ways without rails", "geometry", "", gapDeparture)
	derive("array", "longest_module_side", measured(quantity.Length), "longest distance over a module from one gap to the next", "geometry", "", func(c *Call, a *job.Array) any {
		l := c.laidOut(a)
		if c.Stop() {
			return nil
		}
		if t, ok := c.m.Job.ModuleOf(a); ok {
			c.Drive(t.Length.At)
		}
		return math.Max(l.array.Width, l.array.Height)
	})
	derive("array", "on_roof", flag, "whether its plane is a roof and not open ground", "the job", "", func(c *Call, a *job.Array) any {
		p := c.planeOf(a)
		if c.Stop() {
			return nil
		}
		return !p.Ground.Known || !p.Ground.Value // left out: a roof
	})
	derive("array", "tilt_against_plane", measured(quantity.Angle), "angle between the modules and the plane", "the job", "", func(c *Call, a *job.Array) any {
		c.Drive(a.Tilt.At)
		if !a.Tilt.Known { // left out: parallel
			return 0.0
		}
		return a.Tilt.Value.SI
	})
	derive("array", "height_from_parts", measured(quantity.Length), "height of the top of a parallel array: its stand-off and the frame of its modules", "geometry", "", func(c *Call, a *job.Array) any {
		c.Drive(a.Height.At)
		h := c.Q(a.StandOff)
		Get(c, a.Module)
		if t, ok := c.m.Job.ModuleOf(a); ok {
			h += c.Q(t.Thickness)
		}
		return h
	})
	derive("array", "longest_stretch", measured(quantity.Length), "longest row, or rail under a row, without a thermal break", "geometry", "", func(c *Call, a *job.Array) any {
		longest := 0.0
		for _, s := range c.stretches(a) {
			longest = math.Max(longest, s.Length)
		}
		if c.Stop() {
			return nil
		}
		c.Drive(a.Columns.At)
		return longest
	})
	derive("array", "has_thermal_break", flag, "whether a row is broken for thermal movement", "the job", "", func(c *Call, a *job.Array) any {
		return a.ThermalBreakAfter.Known && len(a.ThermalBreakAfter.Value) > 0
	})
	derive("array", "season_movement", measured(quantity.Length), "most that a thermal break closes or opens between the record low and the design high, each piece held at its middle", "linear expansion; coefficients of the handbooks", "thermal-movement", seasonMovement)

	defineObstructions()
}

// overlapState is the pairs of modules on one plane that lie over each other,
// counted for each array.
type overlapState struct {
	count map[string]int
	needs []Need
}

func (m *Model) overlaps(plane string) *overlapState {
	return shared(m, "overlaps/"+plane, func() *overlapState {
		o := &overlapState{count: map[string]int{}}
		var arrays []*layout.Array
		for i := range m.Job.Arrays {
			if a := &m.Job.Arrays[i]; a.Plane.Value == plane {
				l := m.layout(a)
				o.needs = append(o.needs, l.moduleNeeds...)
				arrays = append(arrays, l.array)
			}
		}
		if len(o.needs) > 0 {
			return o
		}
		for _, pair := range layout.Overlaps(arrays...) {
			o.count[pair.First.Array]++
			if pair.Second.Array != pair.First.Array {
				o.count[pair.Second.Array]++
			}
		}
		return o
	})
}

// defineObstructions adds how obstructions stand to modules.
func defineObstructions() {
	derive("obstruction", "distance_to_modules", measured(quantity.Length), "distance on the surface to the nearest module on its plane; zero below one", "geometry", "", func(c *Call, o *job.Obstruction) any {
		d := c.moduleDistance(o)
		if c.Stop() {
			return nil
		}
		c.Drive(o.At.At)
		return d
	})
	derive("obstruction", "below_modules", flag, "whether a module lies over it", "geometry", "", func(c *Call, o *job.Obstruction) any {
		d := c.moduleDistance(o)
		if c.Stop() {
			return nil
		}
		return d == 0
	})
	derive("obstruction", "modules_on_plane", flag, "whether an array lies on its plane", "the job", "", func(c *Call, o *job.Obstruction) any {
		for i := range c.m.Job.Arrays {
			if c.m.Job.Arrays[i].Plane.Value == o.Plane.Value {
				return true
			}
		}
		return false
	})
	derive("obstruction", "smallest_stand_off", measured(quantity.Length), "smallest clear gap below the arrays on its plane", "the job", "", func(c *Call, o *job.Obstruction) any {
		least := math.Inf(1)
		for i := range c.m.Job.Arrays {
			if a := &c.m.Job.Arrays[i]; a.Plane.Value == o.Plane.Value {
				least = math.Min(least, c.Q(a.StandOff))
			}
		}
		return least
	})
}

// moduleDistance is the distance of an obstruction to the nearest module on
// its plane. A module farther off than the best so far by its radius alone is
// not measured.
func (c *Call) moduleDistance(o *job.Obstruction) float64 {
	shape, needs := obstructionShape(c.m, o)
	c.out.Needs = append(c.out.Needs, needs...)
	best := math.Inf(1)
	at := roofplan.Point{X: o.At.Value.X, Y: o.At.Value.Y}
	for i := range c.m.Job.Arrays {
		a := &c.m.Job.Arrays[i]
		if a.Plane.Value != o.Plane.Value {
			continue
		}
		l := c.laidOut(a)
		if c.Stop() {
			return 0
		}
		reach := shape.Radius() + math.Hypot(l.array.Width, l.array.Height)/2
		for j, m := range l.array.Modules {
			middle := roofplan.Point{X: (m.Corners[0].X + m.Corners[2].X) / 2, Y: (m.Corners[0].Y + m.Corners[2].Y) / 2}
			if at.DistanceTo(middle)-reach >= best {
				continue
			}
			d, _, _ := roofplan.Distance(shape, l.shape(j))
			best = math.Min(best, d)
		}
	}
	if math.IsInf(best, 1) {
		c.Fail("no module lies on the plane of %s", o.Name.Value)
	}
	return best
}

// stretches are the continuous lengths of the rows of an array. A rail runs on
// below a missing module.
func (c *Call) stretches(a *job.Array) []layout.Stretch {
	l := c.laidOut(a)
	m := c.mount(a)
	if c.Stop() {
		return nil
	}
	return l.array.Stretches(m.BreakAfter, m.Support == layout.Rails)
}

func gapDeparture(c *Call, a *job.Array) any {
	l, mount := c.laidOut(a), c.mount(a)
	nominal := 0.0
	if t, ok := c.m.Job.MountingOf(a); ok {
		nominal = c.Q(t.ModuleGap)
	}
	if c.Stop() {
		return nil
	}
	worst, found := layout.Gap{}, false
	for _, g := range l.array.Gaps() {
		if g.AcrossRow && mount.Support == layout.Rails {
			continue // rails of two rows are set apart, no part bridges them
		}
		if !g.AcrossRow && slices.Contains(mount.BreakAfter, l.array.Modules[g.From].Cell.Column) {
			continue // a thermal break has a gap of its own
		}
		if !found || math.Abs(g.Width-nominal) > math.Abs(worst.Width-nominal) {
			worst, found = g, true
		}
	}
	if !found {
		return c.Fail("array %s has no gap that its mounting bridges", a.Name.Value)
	}
	if worst.AcrossRow {
		c.Drive(a.GapY.At)
	} else {
		c.Drive(a.GapX.At)
	}
	return math.Abs(worst.Width - nominal)
}

func seasonMovement(c *Call, a *job.Array) any {
	c.Drive(a.ThermalBreakAfter.At)
	stretches := c.stretches(a)
	low, high := c.Q(c.m.Job.Site.RecordLow), c.Q(c.m.Job.Site.DesignHigh)
	material := ""
	if t, ok := c.m.Job.MountingOf(a); ok {
		material = Get(c, t.Material)
	}
	if c.Stop() {
		return nil
	}
	most := 0.0 // lengths that move toward one break: half of the piece on either side
	for i := 1; i < len(stretches); i++ {
		if s, before := stretches[i], stretches[i-1]; s.Row == before.Row && s.FromColumn == before.ToColumn+1 {
			most = math.Max(most, (s.Length+before.Length)/2)
		}
	}
	if most == 0 {
		return c.Fail("array %s has no thermal break between two pieces", a.Name.Value)
	}
	practice, err := structural.NewPractice(c.m.Tables)
	if err != nil {
		return c.Err(err)
	}
	coefficient, ref, err := practice.ThermalCoefficient(material)
	if err != nil {
		return c.Err(err)
	}
	moved, err := structural.ThermalMovement(most, high-low, coefficient)
	if err != nil {
		return c.Err(err)
	}
	c.Explain(func(sys quantity.System) []string {
		return []string{"movement = " + quantity.Of(most, quantity.Length).Format(sys) + " x " + quantity.Of(coefficient, quantity.RatioPerTemperature).Format(sys) + " x " +
			quantity.Of(high-low, quantity.TemperatureDifference).Format(sys) + " = " + quantity.Of(moved, quantity.Length).Format(sys)}
	}, []table.Ref{ref})
	return moved
}

// defineFootPlaces adds what follows from where the feet of an array stand.
func defineFootPlaces() {
	footed := func(name string, t Type, meaning string, drive func(a *job.Array) source.Span, f func(c *Call, a *job.Array, l *layoutState) any) {
		derive("array", name, t, meaning, "geometry", "", func(c *Call, a *job.Array) any {
			l := c.footed(a)
			if c.Stop() {
				return nil
			}
			c.Drive(drive(a))
			return f(c, a, l)
		})
	}
	spacing := func(a *job.Array) source.Span { return a.Attachments.Spacing.At }
	lines := func(a *job.Array) source.Span { return a.Attachments.Lines.At }

	footed("attachment_count", count, "number of feet, from the pattern or the list", spacing, func(c *Call, a *job.Array, l *layoutState) any { return len(l.feet) })
	derive("array", "duplicated_feet", count, "pairs of feet that stand on the same place, within half an inch", "geometry", "", func(c *Call, a *job.Array) any {
		l := c.placed(a)
		if c.Stop() {
			return nil
		}
		c.Drive(a.Attachments.File.At)
		return len(layout.Duplicates(l.feet, sameFoot))
	})
	footed("idle_feet", count, "feet that carry no module", spacing, func(c *Call, a *job.Array, l *layoutState) any { return len(l.supports.Idle) })
	footed("unsupported_modules", count, "modules that no foot carries", lines, func(c *Call, a *job.Array, l *layoutState) any { return len(l.supports.Unsupported) })
	footed("modules_on_one_line", count, "modules that only one line of feet carries", lines, func(c *Call, a *job.Array, l *layoutState) any {
		n := 0
		for _, b := range l.supports.Bearings {
			if len(b) == 1 {
				n++
			}
		}
		return n
	})
	footed("largest_span", measured(quantity.Length), "largest distance between two feet next to each other on a line", spacing, func(c *Call, a *job.Array, l *layoutState) any {
		spans := l.supports.Spans()
		if len(spans) == 0 {
			return c.Fail("no line of array %s has two feet", a.Name.Value)
		}
		return slices.MaxFunc(spans, func(s, t layout.Span) int { return cmp.Compare(s.Length, t.Length) }).Length
	})
	footed("fewest_feet_end_module", count, "fewest feet below a module at the end of a row", spacing, func(c *Call, a *job.Array, l *layoutState) any {
		fewest := math.MaxInt
		for i := range l.array.Modules {
			if l.array.Position(i) != layout.Inner {
				fewest = min(fewest, len(l.supports.FeetUnder(i)))
			}
		}
		return fewest
	})
	footed("first_row_fewest_feet", count, "fewest feet at the lower edge of a module of the lowest row", spacing, func(c *Call, a *job.Array, l *layoutState) any { return l.firstRowFeet() })
	footed("bonding_parts_needed", count, "bonding parts that the layout asks for: on rails, one at each seam and each end of a row on each rail; without rails, one at each seam that listed parts bond", spacing, bondingParts)
	footed("repeated_members", measured(quantity.Ratio), "share of the feet above the first line that stand on a member which already carries one of the line below", spacing, func(c *Call, a *job.Array, l *layoutState) any {
		members := c.members(c.planeOf(a))
		if c.Stop() {
			return nil
		}
		s, err := l.supports.Share(members, l.areas)
		if err != nil {
			return c.Err(err)
		}
		return s.Repeated
	})
	footed("line_count", count, "lines of feet", lines, func(c *Call, a *job.Array, l *layoutState) any { return len(l.supports.Lines) })
	footed("clamp_room", measured(quantity.Length), "room left between the worst clamp on rails and the ends of the maker's clamp zone; negative outside it", lines, clampRoom)

	derive("array", "spaced_by_pattern", flag, "whether feet and framing members each stand at one spacing", "the job", "", func(c *Call, a *job.Array) any {
		p := c.planeOf(a)
		if c.Stop() {
			return nil
		}
		return !a.Attachments.File.Known && !p.Framing.Positions.Known
	})
	derive("array", "spacing_off_framing", measured(quantity.Length), "how far the spacing of the feet is off a whole number of framing spacings", "geometry", "", func(c *Call, a *job.Array) any {
		feet, members := c.Q(a.Attachments.Spacing), c.Q(c.planeOf(a).Framing.Spacing)
		if c.Stop() {
			return nil
		}
		c.Drive(a.Attachments.Spacing.At)
		_, off, err := layout.WholeMultiple(feet, members)
		if err != nil {
			return c.Err(err)
		}
		return math.Abs(off)
	})
	derive("array", "closest_fasteners", measured(quantity.Length), "least distance between two fasteners", "geometry", "", func(c *Call, a *job.Array) any {
		screws := c.allScrews(a)
		if c.Stop() {
			return nil
		}
		c.Drive(a.Attachments.FastenerSpacing.At)
		pairs := layout.Nearest(screws)
		if len(pairs) == 0 {
			return c.Fail("array %s has one fastener only", a.Name.Value)
		}
		return slices.MinFunc(pairs, func(p, q layout.Pair) int { return cmp.Compare(p.Distance, q.Distance) }).Distance
	})
	derive("array", "fastener_inset", measured(quantity.Length), "least distance of a fastener to the edge of the plane; negative outside it", "geometry", "", func(c *Call, a *job.Array) any {
		s, screws := c.geometry(), c.allScrews(a)
		if c.Stop() {
			return nil
		}
		c.Drive(a.Origin.At)
		outline := s.roof.Outline(s.index[a.Plane.Value])
		corners := make([]layout.Point, len(outline))
		for i, p := range outline {
			corners[i] = layout.Point(p)
		}
		insets, err := layout.Insets(screws, corners)
		if err != nil {
			return c.Err(err)
		}
		return slices.Min(insets)
	})
	derive("array", "asks_fasteners_outside", flag, "whether the mounting asks for fasteners outside the modules along the lower and upper edge", "maker's instructions", "", func(c *Call, a *job.Array) any {
		Get(c, a.Mounting)
		t, ok := c.m.Job.MountingOf(a)
		if c.Stop() || !ok {
			return nil
		}
		return t.FastenersOutside.Known && t.FastenersOutside.Value // left out: it does not
	})
	footed("fasteners_outside_modules", measured(quantity.Length), "least distance by which the fasteners of the lowest and highest line stand outside the modules; negative below one", lines, func(c *Call, a *job.Array, l *layoutState) any {
		all := l.supports.Lines
		var screws []layout.Point
		for _, line := range []layout.Line{all[0], all[len(all)-1]} {
			for _, f := range line.Feet {
				screws = append(screws, c.screws(a, l.feet[f])...)
			}
		}
		if c.Stop() {
			return nil
		}
		near, err := l.array.OutsideModules(screws)
		if err != nil {
			return c.Err(err)
		}
		return settled(slices.MinFunc(near, func(p, q layout.Nearby) int { return cmp.Compare(p.Distance, q.Distance) }).Distance)
	})
}

// settled takes a length within a nanometre of zero as zero: what differences
// of coordinates leave is no distance, and a limit of zero has no tolerance of
// its own.
func settled(length float64) float64 {
	if math.Abs(length) < 1e-9 {
		return 0
	}
	return length
}

// sameFoot is the distance within which two feet of a drawing are one drawn
// twice: no two feet have room so close together (common practice).
const sameFoot = quantity.Inch / 2

// firstRowFeet is the fewest feet on the lowest line below a module of the
// lowest row.
func (l *layoutState) firstRowFeet() int {
	fewest := math.MaxInt
	for i, m := range l.array.Modules {
		if m.Cell.Row != l.array.Modules[0].Cell.Row {
			break // modules are in order of row
		}
		n := 0
		if bearings := l.supports.Bearings[i]; len(bearings) > 0 {
			lowest := l.supports.Lines[l.supports.Runs[bearings[0].Run].Line].Name
			for _, f := range l.supports.FeetUnder(i) {
				if l.feet[f].Line == lowest {
					n++
				}
			}
		}
		fewest = min(fewest, n)
	}
	return fewest
}

func bondingParts(c *Call, a *job.Array, l *layoutState) any {
	t, ok := c.m.Job.MountingOf(a)
	if !ok {
		c.Missing(a.Mounting.Key, a.Mounting.At)
		return nil
	}
	across := Get(c, t.BondsAcross)
	if c.Stop() {
		return nil
	}
	if across == "rails" {
		n := 0
		for _, r := range l.supports.Runs {
			n += len(r.Modules) + 1
		}
		return n
	}
	parts := layout.Parts{PerSeam: 1}
	if across == "both" {
		parts.PerCrossSeam = 1
	}
	return l.supports.Bill(parts).BondingParts
}

// clampRoom holds the clamps on rails against the maker's clamp zone: a rail
// along the row passes below the sides that stand across it, which are the long
// ones in portrait.
func clampRoom(c *Call, a *job.Array, l *layoutState) any {
	Get(c, a.Module)
	t, ok := c.m.Job.ModuleOf(a)
	if !ok {
		return nil
	}
	from, to := t.ClampLongFrom, t.ClampLongTo
	if Get(c, a.Orientation) == "landscape" {
		from, to = t.ClampShortFrom, t.ClampShortTo
	}
	least, most := c.Q(from), c.Q(to)
	if c.Stop() {
		return nil
	}
	room := math.Inf(1)
	for _, bearings := range l.supports.Bearings {
		for _, b := range bearings {
			place := math.Min(b.FromBottom, b.FromTop)
			room = math.Min(room, math.Min(place-least, most-place))
		}
	}
	if math.IsInf(room, 1) {
		return c.Fail("no rail passes below a module of array %s", a.Name.Value)
	}
	return settled(room)
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
	worst := gaps[0]
	for _, g := range gaps[1:] {
		if g.Width != worst.Width && pick(g.Width, worst.Width) == g.Width {
			worst = g
		}
	}
	if worst.AcrossRow {
		c.Drive(a.GapY.At)
	} else {
		c.Drive(a.GapX.At)
	}
	return worst.Width
}

func direction(word string) layout.Direction {
	if word == "up-slope" {
		return layout.UpSlope
	}
	return layout.AlongEave
}

// screws are the fasteners of one foot.
func (c *Call) screws(a *job.Array, feet ...layout.Foot) []layout.Point {
	t := a.Attachments
	s := layout.Screws{Count: Get(c, t.FastenersEach)}
	if s.Count > 1 {
		s.Spacing = c.Q(t.FastenerSpacing)
		s.Direction = direction(Get(c, t.FastenerDirection))
	}
	if c.Stop() {
		return nil
	}
	out, err := s.Of(feet)
	if err != nil {
		c.Err(err)
	}
	return out
}

// allScrews are the fasteners of all feet of an array.
func (c *Call) allScrews(a *job.Array) []layout.Point {
	l := c.placed(a)
	if c.Stop() {
		return nil
	}
	return c.screws(a, l.feet...)
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

// ribs are the crests of a ribbed sheet. They run up the slope, so that water
// does.
func (c *Call) ribs(p *job.Plane) layout.Grid {
	return layout.Grid{Direction: layout.UpSlope, Spacing: c.Q(p.Covering.RibPitch), Offset: c.Q(p.Covering.RibOffset)}
}

// framingDistance is the distance of the worst fastener of a foot from the
// centre of the nearest framing member.
func (c *Call) framingDistance(a *job.Array, foot layout.Foot) any {
	p := c.planeOf(a)
	c.Drive(p.Framing.Offset.At)
	return c.worstLanding(a, foot, c.members(p))
}

func (c *Call) worstLanding(a *job.Array, foot layout.Foot, g layout.Grid) any {
	screws := c.screws(a, foot)
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
