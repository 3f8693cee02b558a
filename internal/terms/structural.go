package terms

import (
	"errors"
	"math"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/layout"
	"plumbrule/internal/quantity"
	"plumbrule/internal/roofplan"
	"plumbrule/internal/structural"
	"plumbrule/internal/table"
)

// loaded is an engineering code under an edition, or why it cannot be had.
type loaded[T any] struct {
	code T
	err  error
}

func codeOf[T any](c *Call, name string, edition job.Text, load func(string, *table.Set) (T, error)) T {
	e := Get(c, edition)
	var none T
	if c.Stop() {
		return none
	}
	l := shared(c.m, name, func() loaded[T] {
		code, err := load(e, c.m.Tables)
		return loaded[T]{code, err}
	})
	if l.err != nil {
		c.Err(l.err)
	}
	return l.code
}

func (c *Call) asce() *structural.ASCE7 {
	return codeOf(c, "ASCE 7", c.m.Job.Adoption.ASCE7, structural.NewASCE7)
}

func (c *Call) nds() *structural.NDS {
	return codeOf(c, "NDS", c.m.Job.Adoption.NDS, structural.NewNDS)
}

func (c *Call) aisi() *structural.AISI {
	return codeOf(c, "AISI S100", c.m.Job.Adoption.S100, structural.NewAISI)
}

// velocityPressure computes qh from the site and the mean roof height.
func (c *Call) velocityPressure() structural.VelocityPressure {
	s, b := &c.m.Job.Site, &c.m.Job.Building
	speed, exposure, height := c.Q(s.WindSpeed), Get(c, s.Exposure), c.Q(b.MeanRoofHeight)
	kzt, elevation := Get(c, s.TopographicFactor), c.Q(s.Elevation)
	w := c.asce()
	if c.Stop() {
		return structural.VelocityPressure{}
	}
	v, err := w.VelocityPressure(speed, exposure, height, kzt, elevation)
	if err != nil {
		c.Err(err)
	}
	return v
}

// zoneWidth computes a. On roofs of 10 degrees or less the height is that of
// the eave (ASCE 7 Figure 30.3-1, note).
func (c *Call) zoneWidth(slope float64) structural.ZoneWidth {
	b := &c.m.Job.Building
	width := c.Q(b.Width)
	height := 0.0
	if slope <= eaveHeightSlope {
		height = c.Q(b.EaveHeight)
	} else {
		height = c.Q(b.MeanRoofHeight)
	}
	w := c.asce()
	if c.Stop() {
		return structural.ZoneWidth{}
	}
	z, err := w.ZoneWidth(width, height)
	if err != nil {
		c.Err(err)
	}
	return z
}

// eaveHeightSlope is the slope, in degrees, up to which the height for zone
// widths is taken at the eave.
const eaveHeightSlope = 10

// figure finds the coefficient figure for the roof over an array.
func (c *Call) figure(slope float64) *structural.Figure {
	b := &c.m.Job.Building
	shape, width, height := Get(c, b.RoofShape), c.Q(b.Width), c.Q(b.MeanRoofHeight)
	w := c.asce()
	if c.Stop() {
		return nil
	}
	if err := w.CheckHeight(height); err != nil {
		c.Err(err)
		return nil
	}
	f, err := w.Figure(structural.Roof(shape), slope, height/width)
	if err != nil {
		c.Err(err)
	}
	return f
}

var windEdges = map[roofplan.EdgeKind]structural.EdgeKind{
	roofplan.Eave: structural.EaveEdge, roofplan.HighEave: structural.HighEaveEdge, roofplan.Rake: structural.RakeEdge,
	roofplan.Ridge: structural.RidgeEdge, roofplan.Hip: structural.HipEdge,
}

// windEdgesOf are the edges of the roof that begin wind zones, in plan view.
func (s *roofState) windEdgesOf() []structural.RoofEdge {
	var out []structural.RoofEdge
	for i := range s.roof.Len() {
		frame := s.roof.Frame(i)
		for _, e := range s.roof.Edges(i) {
			kind, ok := windEdges[e.Kind]
			if !ok || (e.Neighbour >= 0 && e.Neighbour < i) {
				continue // an inner edge is given once
			}
			a, b := frame.ToPlan(e.From), frame.ToPlan(e.To)
			out = append(out, structural.RoofEdge{A: structural.Point(a), B: structural.Point(b), Kind: kind})
		}
	}
	return out
}

// windState is the wind on the feet of one array, computed for all at once.
type windState struct {
	loads   structural.ArrayLoads
	demands []structural.Demand // uplift side; without snow
	scope   structural.ScopeResult
	code    *structural.ASCE7
	needs   []Need
	refs    []table.Ref
}

func (m *Model) wind(a *job.Array) *windState {
	return shared(m, "wind/"+a.Name.Value, func() *windState {
		c := &Call{m: m, subject: m.subjectOf("array", a)}
		w := &windState{}
		c.computeWind(a, w)
		w.needs = c.out.Needs
		w.refs = c.out.Refs
		return w
	})
}

// deadLoad is the weight of modules and mounting per area of the slope.
func (c *Call) deadLoad(a *job.Array) float64 {
	Get(c, a.Module)
	Get(c, a.Mounting)
	total := 0.0
	if t, ok := c.m.Job.ModuleOf(a); ok {
		weight, length, width := c.Q(t.Weight), c.Q(t.Length), c.Q(t.Width)
		if length > 0 && width > 0 {
			total += weight * quantity.StandardGravity / (length * width)
		}
	}
	if t, ok := c.m.Job.MountingOf(a); ok {
		total += c.Q(t.Weight)
	}
	return total
}

// scopeOf is the geometry that decides whether the roof-parallel method holds.
// What is left out stays NaN, which leaves the array out of scope.
func (c *Call) parallelScope(a *job.Array, w *structural.ASCE7) structural.ScopeResult {
	l := c.laidOut(a)
	s := structural.Scope{SlopeDifference: 0, AboveRoof: c.Q(a.Height)}
	if a.Tilt.Known { // left out: parallel to the plane
		s.SlopeDifference = a.Tilt.Value.SI
	}
	s.EdgeDistance = Of[float64](c, c.Subject("array", a), "clearance_to_wind_edge")
	if c.Stop() {
		return structural.ScopeResult{}
	}
	s.Gap, s.GapSpacing = math.Inf(1), l.array.Width
	for _, g := range l.array.Gaps() {
		s.Gap = math.Min(s.Gap, g.Width)
	}
	s.GapSpacing = math.Min(l.array.Width, l.array.Height)
	if math.IsInf(s.Gap, 1) { // a single module has open edges all around
		s.Gap = l.array.Width
	}
	return w.ParallelScope(s, c.m.Job.System())
}

func (c *Call) computeWind(a *job.Array, state *windState) {
	plane := c.planeOf(a)
	slope := c.Q(plane.Slope)
	roof := c.geometry()
	l := c.footed(a)
	qh := c.velocityPressure()
	width := c.zoneWidth(slope)
	figure := c.figure(slope)
	w := c.asce()
	dead := c.deadLoad(a)
	height := c.Q(c.m.Job.Building.MeanRoofHeight)
	if c.Stop() {
		return
	}
	state.code = w
	state.scope = c.parallelScope(a, w)
	if c.Stop() {
		return
	}
	if err := state.scope.Err(w.Edition); err != nil {
		var scope *structural.ScopeError
		if errors.As(err, &scope) {
			c.Fail("array %s is outside the prescriptive method of ASCE %s 29.4.4 (%s); a licensed engineer decides", a.Name.Value, w.Edition, strings.Join(scope.Reasons, "; "))
			return
		}
		c.Err(err)
		return
	}
	factors, refs := c.edgeFactors(a, l, roof, w, height)
	if c.Stop() {
		return
	}
	c.out.Refs = append(c.out.Refs, qh.Refs...)
	c.out.Refs = append(c.out.Refs, width.Refs...)
	c.out.Refs = append(c.out.Refs, refs...)
	edges := roof.windEdgesOf()
	frame := roof.roof.Frame(roof.index[a.Plane.Value])
	feet := make([]structural.Attachment, len(l.feet))
	for i := range l.feet {
		if !(l.areas[i] > 0) {
			c.Fail("foot %s of array %s carries nothing", l.feet[i].Name, a.Name.Value)
			return
		}
		var zones []string
		for _, p := range l.reach(i) {
			plan := frame.ToPlan(roofplan.Point(p))
			zones = append(zones, figure.Zone(structural.PlaceOf(structural.Point(plan), edges), width.Edge, height))
		}
		zone, err := figure.Severest(l.areas[i], zones...)
		if err != nil {
			c.Err(err)
			return
		}
		feet[i] = structural.Attachment{Zone: zone, Tributary: l.areas[i], EdgeFactor: factors[i]}
	}
	state.loads = structural.ArrayLoads{Qh: qh.Q, Dead: dead, Scope: state.scope, Figure: figure}
	demands, err := w.Demands(nil, state.loads, feet)
	if err != nil {
		c.Err(err)
		return
	}
	state.demands = demands
}

// reach gives a foot and the ends of what it carries along its line and across
// it, so that a tributary that straddles zones takes the severest.
func (l *layoutState) reach(i int) []layout.Point {
	foot := l.array.Frame.ToArray(l.feet[i].At)
	along := math.Max(l.spans[i]/2, l.overhangs[i])
	if along == 0 {
		along = l.array.Width / 2
	}
	across := l.areas[i] / (2 * along)
	bounds := l.array.Bounds()
	clamp := func(p layout.Point) layout.Point {
		p.X = math.Min(math.Max(p.X, bounds.Min.X), bounds.Max.X)
		p.Y = math.Min(math.Max(p.Y, bounds.Min.Y), bounds.Max.Y)
		return l.array.Frame.ToSurface(p)
	}
	out := []layout.Point{l.feet[i].At}
	for _, d := range [][2]float64{{-1, -1}, {1, -1}, {1, 1}, {-1, 1}} {
		out = append(out, clamp(layout.Point{X: foot.X + d[0]*along, Y: foot.Y + d[1]*across}))
	}
	return out
}

// edgeFactors finds gammaE of each foot: the largest of the modules it
// carries, each looked at to all four sides.
func (c *Call) edgeFactors(a *job.Array, l *layoutState, roof *roofState, w *structural.ASCE7, height float64) ([]float64, []table.Ref) {
	above := c.Q(a.Height)
	if c.Stop() {
		return nil, nil
	}
	outline := roof.roof.Outline(roof.index[a.Plane.Value])
	factors := make([]float64, len(l.feet))
	var refs []table.Ref
	chord := math.Max(l.array.Width, l.array.Height)
	for m := range l.array.Modules {
		worst := 0.0
		for _, side := range [][2]int{{0, -1}, {0, 1}, {-1, 0}, {1, 0}} {
			e := l.exposure(m, side, outline, c.m, a)
			e.Height, e.Chord, e.AboveRoof = height, chord, above
			f, err := w.EdgeFactor(e)
			if err != nil {
				c.Err(err)
				return nil, nil
			}
			worst = math.Max(worst, f.Factor)
			if refs == nil {
				refs = f.Refs
			}
		}
		for _, foot := range l.supports.FeetUnder(m) {
			factors[foot] = math.Max(factors[foot], worst)
		}
	}
	for i := range factors {
		if factors[i] == 0 {
			c.Fail("foot %s of array %s carries no module", l.feet[i].Name, a.Name.Value)
			return nil, nil
		}
	}
	return factors, refs
}

// exposure looks from a module to one side (row, column step): how far it is
// from the end of its run of modules, and what lies beyond.
func (l *layoutState) exposure(m int, side [2]int, outline []roofplan.Point, model *Model, a *job.Array) structural.Edge {
	mod := l.array.Modules[m]
	last := mod
	for {
		next, ok := l.array.At(last.Cell.Row+side[0], last.Cell.Column+side[1])
		if !ok {
			break
		}
		last = l.array.Modules[next]
	}
	e := structural.Edge{GapToArray: math.Inf(1), GapToNext: math.Inf(1)}
	// Distance from this module's own edge on that side to the end of the run.
	e.EndDistance = gapBetween(mod.Rect, last.Rect, side)
	// The next panel past a hole in the same row or column.
	for step := 2; step <= 64; step++ {
		if next, ok := l.array.At(last.Cell.Row+step*side[0], last.Cell.Column+step*side[1]); ok {
			e.GapToNext = clearBetween(last.Rect, l.array.Modules[next].Rect, side)
			break
		}
	}
	start := edgePoint(last.Rect, side)
	from := l.array.Frame.ToSurface(start)
	to := l.array.Frame.ToSurface(layout.Point{X: start.X + float64(side[1]), Y: start.Y + float64(side[0])})
	e.EdgeDistance = rayToOutline(roofplan.Point(from), roofplan.Point(to), outline)
	for i := range model.Job.Arrays {
		b := &model.Job.Arrays[i]
		if b == a || b.Plane.Value != a.Plane.Value {
			continue
		}
		other := model.layout(b)
		if other.array == nil {
			continue
		}
		e.GapToArray = math.Min(e.GapToArray, rayToArray(from, to, other.array))
	}
	return e
}

// gapBetween is the distance from the edge of one rectangle on a side to the
// same edge of a rectangle farther on.
func gapBetween(r, s layout.Rect, side [2]int) float64 {
	a, b := edgePoint(r, side), edgePoint(s, side)
	return math.Abs((b.X-a.X)*float64(side[1])) + math.Abs((b.Y-a.Y)*float64(side[0]))
}

// clearBetween is the clear distance from a rectangle to one beyond it.
func clearBetween(r, s layout.Rect, side [2]int) float64 {
	a, b := edgePoint(r, side), edgePoint(s, [2]int{-side[0], -side[1]})
	return math.Abs((b.X-a.X)*float64(side[1])) + math.Abs((b.Y-a.Y)*float64(side[0]))
}

// edgePoint is the middle of the edge of a rectangle on a side.
func edgePoint(r layout.Rect, side [2]int) layout.Point {
	c := r.Centre()
	switch side {
	case [2]int{0, -1}:
		c.X = r.Min.X
	case [2]int{0, 1}:
		c.X = r.Max.X
	case [2]int{-1, 0}:
		c.Y = r.Min.Y
	default:
		c.Y = r.Max.Y
	}
	return c
}

// rayToOutline is the distance from a point, in the direction of another a
// metre away, to the outline; zero when the ray meets none.
func rayToOutline(from, to roofplan.Point, outline []roofplan.Point) float64 {
	best := math.Inf(1)
	for i := range outline {
		if t, ok := rayHit(from, to, outline[i], outline[(i+1)%len(outline)]); ok {
			best = math.Min(best, t)
		}
	}
	if math.IsInf(best, 1) {
		return 0
	}
	return best
}

// rayToArray is the distance along a ray to the bounds of another array; +Inf
// when it passes by.
func rayToArray(from, to layout.Point, other *layout.Array) float64 {
	best := math.Inf(1)
	corners := other.Corners()
	for i := range corners {
		if t, ok := rayHit(roofplan.Point(from), roofplan.Point(to), roofplan.Point(corners[i]), roofplan.Point(corners[(i+1)%4])); ok {
			best = math.Min(best, t)
		}
	}
	return best
}

// rayHit is where a ray (from, through to) meets a segment, in lengths of
// from-to.
func rayHit(from, to, a, b roofplan.Point) (float64, bool) {
	dx, dy := to.X-from.X, to.Y-from.Y
	ex, ey := b.X-a.X, b.Y-a.Y
	den := dx*ey - dy*ex
	if math.Abs(den) < 1e-12 {
		return 0, false
	}
	t := ((a.X-from.X)*ey - (a.Y-from.Y)*ex) / den
	u := ((a.X-from.X)*dy - (a.Y-from.Y)*dx) / den
	return t, t >= -1e-9 && u >= -1e-9 && u <= 1+1e-9
}

// capacityOf is the allowable uplift capacity of a foot: the least of what its
// fasteners hold and what the maker rates the foot for.
func (c *Call) capacityOf(a *job.Array) (structural.Capacity, func(quantity.System) []string) {
	plane := c.planeOf(a)
	Get(c, a.Attachments.Fastener)
	f, ok := c.m.Job.FastenerOf(a)
	if !ok {
		return structural.Capacity{}, nil
	}
	count := Get(c, a.Attachments.FastenersEach)
	kind := Get(c, f.Kind)
	if c.Stop() {
		return structural.Capacity{}, nil
	}
	var modes []structural.Capacity
	var work func(quantity.System) []string
	switch kind {
	case "lag", "wood-screw":
		modes, work = c.woodCapacity(plane, f, kind, count)
	case "metal-screw":
		modes, work = c.steelCapacity(plane, f, count)
	case "seam-clamp":
		ultimate, safety := c.Q(f.TestedUltimate), Get(c, f.SafetyFactor)
		if !c.Stop() {
			one, err := structural.Tested("seam clamp by its maker's test", ultimate*float64(count), safety)
			if err != nil {
				c.Err(err)
			}
			modes = append(modes, one)
		}
	default:
		c.Fail("the capacity of a %s is not computed here; a licensed engineer decides", kind)
	}
	if t, ok := c.m.Job.MountingOf(a); ok && t.AttachmentUplift.Known {
		modes = append(modes, structural.Capacity{Mode: "the maker's rating of the foot", Allowable: t.AttachmentUplift.Value.SI})
	}
	if c.Stop() {
		return structural.Capacity{}, nil
	}
	least, err := structural.Governing(modes...)
	if err != nil {
		c.Err(err)
	}
	return least, work
}

func (c *Call) woodCapacity(p *job.Plane, f *job.FastenerType, kind string, count int) ([]structural.Capacity, func(quantity.System) []string) {
	n := c.nds()
	diameter := c.Q(f.Diameter)
	gravity := 0.0
	if p.Framing.Gravity.Known { // left out: from the species
		gravity = p.Framing.Gravity.Value
	} else if species := Get(c, p.Framing.Species); n != nil && !c.Stop() {
		g, ok := n.SpecificGravity(strings.ToLower(species))
		if !ok {
			c.Fail("no specific gravity is known for %q", species)
		}
		gravity = g
	}
	if c.Stop() {
		return nil, nil
	}
	wet := Get(c, p.Framing.Wet)
	duration, ok := n.Duration("wind")
	if !ok {
		c.Fail("no load duration factor for wind")
	}
	var lines []func(quantity.System) []string
	thread := f.Thread.Value.SI
	if !f.Thread.Known {
		length, plate, sheathing := c.Q(f.Length), c.Q(f.PlateAndFlashing), c.Q(p.Covering.Sheathing)
		if c.Stop() {
			return nil, nil
		}
		t, err := n.LagThread(diameter, length, plate, sheathing)
		if err != nil {
			c.Err(err)
			return nil, nil
		}
		thread = t.Effective
		lines = append(lines, t.Work)
	}
	if c.Stop() {
		return nil, nil
	}
	conditions := structural.Conditions{Duration: duration, Wet: wet}
	var w structural.Withdrawal
	var err error
	if kind == "lag" {
		w, err = n.LagWithdrawal(gravity, diameter, thread, count, conditions)
	} else {
		w, err = n.ScrewWithdrawal(gravity, diameter, thread, count, conditions)
	}
	if err != nil {
		c.Err(err)
		return nil, nil
	}
	lines = append(lines, w.Work)
	return []structural.Capacity{{Mode: "withdrawal from the " + p.Framing.Member.Value, Allowable: w.Allowable, Refs: w.Refs}}, chainWork(lines)
}

func (c *Call) steelCapacity(p *job.Plane, f *job.FastenerType, count int) ([]structural.Capacity, func(quantity.System) []string) {
	s := c.aisi()
	diameter, thickness, tensile := c.Q(f.Diameter), c.Q(p.Framing.Thickness), c.Q(p.Framing.Tensile)
	if c.Stop() {
		return nil, nil
	}
	pull, err := s.Pullout(diameter, thickness, tensile, math.NaN())
	if err != nil {
		c.Err(err)
		return nil, nil
	}
	return []structural.Capacity{{Mode: "pull-out from the " + p.Framing.Member.Value, Allowable: pull.Allowable * float64(count), Refs: pull.Refs}}, pull.Work
}

func chainWork(lines []func(quantity.System) []string) func(quantity.System) []string {
	return func(sys quantity.System) (out []string) {
		for _, f := range lines {
			out = append(out, f(sys)...)
		}
		return out
	}
}

func defineStructural() {
	derive("building", "velocity_pressure", measured(quantity.Pressure), "velocity pressure qh at the mean roof height, strength level (7-16 counts Kd in it, 7-22 does not)", "ASCE 7 26.10", "velocity-pressure",
		func(c *Call, _ *job.Building) any {
			c.Drive(c.m.Job.Site.WindSpeed.At)
			v := c.velocityPressure()
			if c.Stop() {
				return nil
			}
			c.Explain(v.Work, v.Refs)
			return v.Q
		})
	derive("plane", "zone_width", measured(quantity.Length), "width a of the edge zones of a sloped roof", "ASCE 7 Figure 30.3-1", "zone-width",
		func(c *Call, p *job.Plane) any {
			z := c.zoneWidth(c.Q(p.Slope))
			if c.Stop() {
				return nil
			}
			c.Explain(z.Work, z.Refs)
			return z.Edge
		})
	derive("array", "dead_load", measured(quantity.Pressure), "weight of modules and mounting per area of the slope", "datasheets", "",
		func(c *Call, a *job.Array) any {
			d := c.deadLoad(a)
			if c.Stop() {
				return nil
			}
			if t, ok := c.m.Job.ModuleOf(a); ok {
				c.Drive(t.Weight.At)
			}
			return d
		})
	demand := func(name string, t Type, meaning, source string, value func(d *structural.Demand) any) {
		derive("attachment", name, t, meaning, source, "", func(c *Call, f *footMark) any {
			w := c.m.wind(f.array)
			c.out.Needs = append(c.out.Needs, w.needs...)
			c.Drive(f.array.Attachments.Spacing.At)
			if c.Stop() {
				return nil
			}
			c.Explain(func(sys quantity.System) []string { return w.demands[f.i].Work(w.code, w.loads, sys) }, w.refs)
			return value(&w.demands[f.i])
		})
	}
	demand("wind_zone", text, "wind zone of the roof that its tributary area touches; the severest of several", "ASCE 7 Figures 30.3-2 to 30.3-5", func(d *structural.Demand) any { return structural.ZoneName(d.Zone) })
	demand("uplift_pressure", measured(quantity.Pressure), "net uplift pressure, strength level, not under the least pressure; as a positive number", "ASCE 7 29.4.4", func(d *structural.Demand) any { return -d.UpliftPressure })
	demand("edge_factor", number, "array edge factor gammaE for uplift", "ASCE 7 29.4.4", func(d *structural.Demand) any { return d.EdgeFactor })
	demand("uplift", measured(quantity.Force), "net uplift away from the roof, allowable level (0.6D + 0.6W); never under zero", "ASCE 7 2.4 and 29.4.4", func(d *structural.Demand) any { return math.Max(0, d.UpliftASD) })
	derive("attachment", "uplift_capacity", measured(quantity.Force), "allowable uplift of the foot: the least of its fasteners in the framing and the maker's rating", "NDS 12.2, AISI S100 J4.4, maker's test", "",
		func(c *Call, f *footMark) any {
			type result struct {
				least structural.Capacity
				work  func(quantity.System) []string
				needs []Need
			}
			r := shared(c.m, "capacity/"+f.array.Name.Value, func() result {
				inner := &Call{m: c.m, subject: c.subject}
				least, work := inner.capacityOf(f.array)
				return result{least, work, inner.out.Needs}
			})
			c.out.Needs = append(c.out.Needs, r.needs...)
			if c.Stop() {
				return nil
			}
			c.Drive(f.array.Attachments.Fastener.At)
			c.Explain(func(sys quantity.System) (out []string) {
				if r.work != nil {
					out = r.work(sys)
				}
				return append(out, "governs: "+r.least.Mode+", "+quantity.Of(r.least.Allowable, quantity.Force).Format(sys)+" allowable")
			}, r.least.Refs)
			return r.least.Allowable
		})
	derive("attachment", "span_limit", measured(quantity.Length), "largest distance between attachments that the maker's letter allows in its zone and orientation", "maker's letter", "",
		func(c *Call, f *footMark) any {
			t, ok := c.m.Job.MountingOf(f.array)
			if !ok {
				c.Missing(f.array.Mounting.Key, f.array.Mounting.At)
				return nil
			}
			if len(t.ZoneSpans) == 0 {
				return c.Q(t.MaximumSpan)
			}
			zone := Self[string](c, "wind_zone")
			orientation := Get(c, f.array.Orientation)
			var limits []layout.Limit
			for i := range t.ZoneSpans {
				z := &t.ZoneSpans[i]
				limits = append(limits, layout.Limit{Zone: z.Zone.Value, Orientation: z.Orientation.Value, Span: c.Q(z.Span), Cantilever: stated(z.Cantilever)})
			}
			if c.Stop() {
				return nil
			}
			c.Drive(t.ZoneSpans[0].Span.At)
			limit, err := layout.FindLimit(limits, zone, Get(c, c.m.Job.Site.Exposure), orientation)
			if err != nil {
				limit, err = layout.FindLimit(limits, layoutZone(zone), Get(c, c.m.Job.Site.Exposure), orientation)
			}
			if err != nil {
				return c.Err(err)
			}
			return limit.Span
		})
}

// layoutZone is the word a maker's letter uses for a wind zone: field, edge or
// corner.
func layoutZone(zone string) string {
	switch zone[0] {
	case '3':
		return "corner"
	case '2':
		return "edge"
	}
	return "field"
}
