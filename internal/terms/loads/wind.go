package loads

import (
	"errors"
	"math"
	"slices"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/layout"
	"plumbrule/internal/quantity"
	"plumbrule/internal/roofplan"
	"plumbrule/internal/structural"
	"plumbrule/internal/table"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/arrays"
	"plumbrule/internal/terms/roofs"
)

// windMethod is the way in which the wind on an array is found.
type windMethod string

const (
	parallelMethod windMethod = "roof-parallel (29.4.4)"
	tiltedMethod   windMethod = "tilted on a low slope (29.4.3)"
	noMethod       windMethod = "none of the prescriptive methods"
)

// scopeState is which prescriptive method reaches an array, and why not.
type scopeState struct {
	code     *structural.ASCE7
	method   windMethod
	parallel structural.ScopeResult
	reasons  []string // why no method reaches it
}

// windScope finds the wind method of an array. Without the geometry that decides
// it there is none.
var windScope = terms.Analyse(arrayKind, "scope of the wind methods", func(c *terms.Call, a *job.Array) *scopeState {
	s := &scopeState{}
	findScope(c, a, s)
	return s
})

func findScope(c *terms.Call, a *job.Array, s *scopeState) {
	s.code = asce(c)
	slope := c.Q(arrays.PlaneOf(c, a).Slope)
	above := c.Q(a.Height)
	l := arrays.Modules.Of(c, a)
	edge := roofs.ArrayClearanceToWindEdge.Of(c, a)
	if c.Stop() {
		return
	}
	g := structural.Scope{AboveRoof: above, EdgeDistance: edge, SlopeDifference: c.Q(a.Tilt)}
	// The longer side counts: the method asks for gaps both ways. A module
	// without neighbours has open edges all around.
	module := l.Modules[0].Rect
	g.GapSpacing = math.Max(module.Width(), module.Height())
	g.Gap = g.GapSpacing
	for _, x := range l.Gaps() {
		g.Gap = math.Min(g.Gap, x.Width)
	}
	sys := c.Job().System()
	s.parallel = s.code.ParallelScope(g, sys)
	err := s.parallel.Err(s.code.Edition)
	if err == nil {
		s.method = parallelMethod
		return
	}
	if g.SlopeDifference > 0 {
		low := c.Q(a.StandOff)
		if c.Stop() {
			return
		}
		tilted := s.code.TiltedScope(structural.Tilted{RoofSlope: slope, Tilt: g.SlopeDifference, Chord: module.Height(), LowEdge: low, HighEdge: above}, sys)
		if tilted == nil {
			s.method = tiltedMethod
			return
		}
		s.reasons = append(s.reasons, scopeReasons(tilted)...)
	}
	s.method = noMethod
	s.reasons = append(scopeReasons(err), s.reasons...)
}

func scopeReasons(err error) []string {
	var scope *structural.ScopeError
	if errors.As(err, &scope) {
		return scope.Reasons
	}
	return []string{err.Error()}
}

// windState is the wind on the feet of one array, computed for all at once.
type windState struct {
	code    *structural.ASCE7
	method  windMethod
	loads   structural.ArrayLoads // without snow
	feet    []structural.Attachment
	demands []structural.Demand
	tilted  []tiltedFoot // in place of the demands' own work, by the tilted method
	drawn   func(quantity.System) []string

	zones      *zoneState
	edgeFactor []float64 // gammaE of each module
}

type tiltedFoot struct {
	pressure structural.TiltedPressure
	uplift   structural.Uplift
}

// Wind computes the wind on the feet of an array.
var Wind = terms.Analyse(arrayKind, "wind on the feet", func(c *terms.Call, a *job.Array) *windState {
	w := &windState{}
	computeWind(c, a, w)
	return w
})

// windOf gives a derived term the wind on an array, or fails it.
func windOf(c *terms.Call, a *job.Array) (*windState, bool) {
	w := Wind.Of(c, a)
	return w, !c.Stop()
}

// work is the calculation of one foot with numbers put in.
func (w *windState) work(i int) func(quantity.System) []string {
	if w.tilted != nil {
		return chainWork(w.tilted[i].pressure.Work, w.tilted[i].uplift.Work, w.editionLine)
	}
	return chainWork(func(sys quantity.System) []string { return w.demands[i].Work(w.code, w.loads, sys) }, w.editionLine)
}

func (w *windState) editionLine(sys quantity.System) []string {
	return append(w.drawn(sys), "ASCE "+w.code.Edition+", "+string(w.method)+"; a licensed engineer decides")
}

// refsOf are the table values that one foot rests on.
func (w *windState) refsOf(i int) []table.Ref {
	if w.tilted != nil {
		return w.tilted[i].pressure.Refs
	}
	return w.demands[i].Refs(w.code, w.loads)
}

// worst is the foot with the largest value.
func (w *windState) worst(value func(d *structural.Demand) float64) int {
	most := 0
	for i := range w.demands {
		if value(&w.demands[i]) > value(&w.demands[most]) {
			most = i
		}
	}
	return most
}

func computeWind(c *terms.Call, a *job.Array, state *windState) {
	slope := c.Q(arrays.PlaneOf(c, a).Slope)
	roof := roofs.Geometry.Of(c, c.Job())
	l := arrays.Carried.Of(c, a)
	qh := velocityPressure(c)
	dead := deadLoad(c, a)
	height := roofs.MeanRoofHeight.Of(c, &c.Job().Building)
	scope := windScope.Of(c, a)
	if c.Stop() {
		return
	}
	state.code, state.method, state.drawn = scope.code, scope.method, roofs.DrawnWork(c)
	if scope.method == noMethod {
		c.Fail("array %s is outside the prescriptive methods of ASCE %s chapter 29 (%s); a licensed engineer decides",
			a.Name.Value, scope.code.Edition, strings.Join(scope.reasons, "; "))
		return
	}
	edgeFactors(c, a, l, roof, height, state)
	if c.Stop() {
		return
	}
	factors := make([]float64, len(l.Feet))
	for m := range l.Array.Modules {
		for _, foot := range l.Supports.FeetUnder(m) {
			factors[foot] = math.Max(factors[foot], state.edgeFactor[m])
		}
	}
	for i := range l.Feet {
		if !(l.Areas[i] > 0 && factors[i] > 0) {
			c.Fail("foot %s of array %s carries no module", l.Feet[i].Name, a.Name.Value)
			return
		}
	}
	c.Cite(qh.Refs...)
	if scope.method == tiltedMethod {
		tiltedWind(c, a, l, qh.Q, dead, slope, factors, state)
		return
	}
	zones := zonesOf.Of(c, a)
	if c.Stop() {
		return
	}
	c.Cite(zones.width.Refs...)
	state.zones = zones
	state.feet = make([]structural.Attachment, len(l.Feet))
	for i := range l.Feet {
		state.feet[i] = structural.Attachment{Zone: zones.feet[i], Tributary: l.Areas[i], EdgeFactor: factors[i]}
	}
	state.loads = structural.ArrayLoads{Qh: qh.Q, Dead: dead, Scope: scope.parallel, Figure: zones.figure}
	demands, err := state.code.Demands(nil, state.loads, state.feet)
	if err != nil {
		c.Err(err)
		return
	}
	state.demands = demands
}

// tiltedWind computes the feet of a tilted array on a low slope. Every foot is
// taken to stand in zone 3, the severest, because the zones of that figure are
// not drawn on the roof here.
func tiltedWind(c *terms.Call, a *job.Array, l *arrays.Footed, qh, dead, slope float64, factors []float64, state *windState) {
	b := &c.Job().Building
	height, longest, shortest, parapet := roofs.MeanRoofHeight.Of(c, b), roofs.Length.Of(c, b), roofs.Width.Of(c, b), c.Q(b.ParapetHeight)
	if c.Stop() {
		return
	}
	const severest = "3"
	for i, area := range l.Areas {
		nominal, _, err := state.code.TiltedNominal(terms.Peek(c, a.Tilt).SI, severest, area, height, longest, shortest)
		var foot tiltedFoot
		if err == nil {
			foot.pressure, err = state.code.TiltedPressure(qh, nominal, factors[i], l.Array.Height, parapet, height)
		}
		if err == nil {
			foot.uplift, err = state.code.AttachmentUplift(-math.Abs(foot.pressure.Design), area, dead, slope+terms.Peek(c, a.Tilt).SI, structural.ASD)
		}
		if err != nil {
			c.Err(err)
			return
		}
		feet := structural.Attachment{Zone: severest, Tributary: area, EdgeFactor: factors[i]}
		state.feet = append(state.feet, feet)
		state.tilted = append(state.tilted, foot)
		state.demands = append(state.demands, structural.Demand{Attachment: feet, Coefficient: foot.pressure.Coefficient,
			UpliftPressure: -foot.pressure.Design, DeadNormal: foot.uplift.DeadNormal, DeadDownslope: foot.uplift.DeadDownslope, UpliftASD: foot.uplift.Net})
	}
}

// zoneState is where the feet and modules of an array lie among the wind zones
// of the roof. It depends on the building alone, so that it is known also for
// an array that no wind method reaches.
type zoneState struct {
	figure  *structural.Figure
	width   structural.ZoneWidth
	feet    []string
	modules []string
}

var zonesOf = terms.Analyse(arrayKind, "wind zones", func(c *terms.Call, a *job.Array) *zoneState {
	s := &zoneState{}
	findZones(c, a, s)
	return s
})

func findZones(c *terms.Call, a *job.Array, s *zoneState) {
	slope := c.Q(arrays.PlaneOf(c, a).Slope)
	roof := roofs.Geometry.Of(c, c.Job())
	l := arrays.Carried.Of(c, a)
	s.width, s.figure = ZoneWidth(c, slope), Figure(c, slope)
	height := roofs.MeanRoofHeight.Of(c, &c.Job().Building)
	if c.Stop() {
		return
	}
	own := roof.Index[terms.Peek(c, a.Plane)]
	if roofs.Certain(c, append(roof.Roof.Neighbours(own), own)...); c.Stop() {
		return
	}
	z := &zoner{figure: s.figure, edges: WindEdgesOf(roof), frame: roof.Roof.Frame(own), width: s.width.Edge, height: height}
	bounds := l.Array.Bounds()
	for i := range l.Feet {
		zone, err := z.severest(l.Areas[i], reach(l, i, bounds)...)
		if err != nil {
			c.Err(err)
			return
		}
		s.feet = append(s.feet, zone)
	}
	for _, m := range l.Array.Modules {
		zone, err := z.severest(m.Rect.Width()*m.Rect.Height(), m.Corners[:]...)
		if err != nil {
			c.Err(err)
			return
		}
		s.modules = append(s.modules, zone)
	}
}

// zoner finds wind zones on one plane.
type zoner struct {
	figure        *structural.Figure
	edges         []structural.RoofEdge
	frame         roofplan.Frame
	width, height float64
}

// severest is the severest zone that any of the places on the surface lies in.
// Of zones with one coefficient the corner counts before the edge and the edge
// before the field, because a maker's letter may tell them apart.
func (z *zoner) severest(area float64, places ...layout.Point) (string, error) {
	var zones []string
	for _, p := range places {
		plan := z.frame.ToPlan(roofplan.Point(p))
		zone := z.figure.Zone(structural.PlaceOf(structural.Point(plan), z.edges), z.width, z.height)
		if !slices.Contains(zones, zone) {
			zones = append(zones, zone)
		}
	}
	slices.SortFunc(zones, func(a, b string) int { return strings.Compare(b, a) })
	return z.figure.Severest(area, zones...)
}

// WindEdgesOf are the edges of the roof that begin wind zones, in plan view.
// Beside a wall, a parapet or a step the roof is taken to end, which is the
// safe side.
func WindEdgesOf(s *roofs.State) []structural.RoofEdge {
	var out []structural.RoofEdge
	for i := range s.Roof.Len() {
		frame := s.Roof.Frame(i)
		for _, e := range s.Roof.Edges(i) {
			kind, ok := windEdge(e)
			if !ok || (e.Neighbour >= 0 && e.Neighbour < i) {
				continue // an inner edge is given once
			}
			a, b := frame.ToPlan(e.From), frame.ToPlan(e.To)
			out = append(out, structural.RoofEdge{A: structural.Point(a), B: structural.Point(b), Kind: kind})
		}
	}
	return out
}

func windEdge(e roofplan.Edge) (structural.EdgeKind, bool) {
	switch e.Kind {
	case roofplan.Eave:
		return structural.EaveEdge, true
	case roofplan.HighEave:
		return structural.HighEaveEdge, true
	case roofplan.Rake:
		return structural.RakeEdge, true
	case roofplan.Ridge:
		return structural.RidgeEdge, true
	case roofplan.Hip:
		return structural.HipEdge, true
	case roofplan.Wall, roofplan.Step, roofplan.Parapet:
		if math.Abs(e.To.Y-e.From.Y) < math.Abs(e.To.X-e.From.X) {
			return structural.EaveEdge, true
		}
		return structural.RakeEdge, true
	}
	return "", false
}

// reach gives a foot and the ends of what it carries along its line and across
// it, not beyond the bounds of the array, so that a tributary that straddles
// zones takes the severest.
func reach(l *arrays.Footed, i int, bounds layout.Rect) []layout.Point {
	foot := l.Array.Frame.ToArray(l.Feet[i].At)
	along := math.Max(l.Spans[i]/2, l.Overhangs[i])
	if along == 0 {
		along = l.Array.Width / 2
	}
	across := l.Areas[i] / (2 * along)
	clamp := func(p layout.Point) layout.Point {
		p.X = math.Min(math.Max(p.X, bounds.Min.X), bounds.Max.X)
		p.Y = math.Min(math.Max(p.Y, bounds.Min.Y), bounds.Max.Y)
		return l.Array.Frame.ToSurface(p)
	}
	out := []layout.Point{l.Feet[i].At}
	for _, d := range [][2]float64{{-1, -1}, {1, -1}, {1, 1}, {-1, 1}} {
		out = append(out, clamp(layout.Point{X: foot.X + d[0]*along, Y: foot.Y + d[1]*across}))
	}
	return out
}

// sides are the steps (row, column) to the four sides of a module.
var sides = [4][2]int{{0, -1}, {0, 1}, {-1, 0}, {1, 0}}

// edgeFactors finds gammaE of each module: the largest of its four sides.
func edgeFactors(c *terms.Call, a *job.Array, l *arrays.Footed, roof *roofs.State, height float64, state *windState) {
	s := &surroundings{l: l, outline: roof.Roof.Outline(roof.Index[terms.Peek(c, a.Plane)]), seen: map[endKey]structural.Edge{}}
	for i := range c.Job().Arrays {
		b := &c.Job().Arrays[i]
		if b == a || terms.Peek(c, b.Plane) != terms.Peek(c, a.Plane) {
			continue
		}
		s.others = append(s.others, arrays.Modules.Of(c, b))
	}
	above, chord := c.Q(a.Height), math.Max(l.Array.Width, l.Array.Height)
	if c.Stop() {
		return
	}
	for m := range l.Array.Modules {
		worst := 0.0
		for _, side := range sides {
			e := s.exposure(m, side)
			e.Height, e.Chord, e.AboveRoof = height, chord, above
			f, err := state.code.EdgeFactor(e)
			if err != nil {
				c.Err(err)
				return
			}
			if worst == 0 && m == 0 {
				c.Cite(f.Refs...)
			}
			worst = math.Max(worst, f.Factor)
		}
		state.edgeFactor = append(state.edgeFactor, worst)
	}
}

// surroundings is what lies around the runs of modules of one array.
type surroundings struct {
	l       *arrays.Footed
	outline []roofplan.Point
	others  []*layout.Array
	seen    map[endKey]structural.Edge // by the last module of a run
}

type endKey struct {
	module int
	side   [2]int
}

// longestHole is how many places a look past the end of a run goes on to find
// the next module; what lies farther gives no shelter.
const longestHole = 64

// exposure looks from a module to one side: how far it is from the end of its
// run of modules, and what lies beyond.
func (s *surroundings) exposure(m int, side [2]int) structural.Edge {
	modules := s.l.Array.Modules
	last := m
	for {
		next, ok := s.l.Array.At(modules[last].Cell.Row+side[0], modules[last].Cell.Column+side[1])
		if !ok {
			break
		}
		last = next
	}
	key := endKey{last, side}
	e, ok := s.seen[key]
	if !ok {
		e = s.end(modules[last], side)
		s.seen[key] = e
	}
	e.EndDistance = gapBetween(modules[m].Rect, modules[last].Rect, side)
	return e
}

// end is what lies beyond the last module of a run. An array beyond it is also
// where the next panel is.
func (s *surroundings) end(last layout.Module, side [2]int) structural.Edge {
	e := structural.Edge{GapToArray: math.Inf(1), GapToNext: math.Inf(1)}
	for step := 2; step <= longestHole; step++ {
		if next, ok := s.l.Array.At(last.Cell.Row+step*side[0], last.Cell.Column+step*side[1]); ok {
			e.GapToNext = clearBetween(last.Rect, s.l.Array.Modules[next].Rect, side)
			break
		}
	}
	start := edgePoint(last.Rect, side)
	from := s.l.Array.Frame.ToSurface(start)
	to := s.l.Array.Frame.ToSurface(layout.Point{X: start.X + float64(side[1]), Y: start.Y + float64(side[0])})
	e.EdgeDistance = rayToOutline(roofplan.Point(from), roofplan.Point(to), s.outline)
	for _, other := range s.others {
		e.GapToArray = math.Min(e.GapToArray, rayToArray(from, to, other))
	}
	e.GapToNext = math.Min(e.GapToNext, e.GapToArray)
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
	case sides[0]:
		c.X = r.Min.X
	case sides[1]:
		c.X = r.Max.X
	case sides[2]:
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
	return math.Max(t, 0), t >= -1e-9 && u >= -1e-9 && u <= 1+1e-9
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

// moduleWind is the wind on the worst module of an array.
type moduleWind struct {
	up, down structural.Demand // worst each way; the module is its own wind area
	downAt   int               // which module that is downward
	area     float64
}

// windOnModules computes every module as its own wind area, with the snow on
// each; nil for none.
func windOnModules(c *terms.Call, a *job.Array, snow []float64) (moduleWind, *windState, bool) {
	w, ok := windOf(c, a)
	if !ok {
		return moduleWind{}, w, false
	}
	if w.tilted != nil {
		c.Fail("the pressure on single modules is not computed for tilted arrays; a licensed engineer decides")
		return moduleWind{}, w, false
	}
	l := arrays.Modules.Of(c, a)
	r := l.Modules[0].Rect
	out := moduleWind{area: r.Width() * r.Height()}
	modules := make([]structural.Attachment, len(w.zones.modules))
	for i := range modules {
		modules[i] = structural.Attachment{Zone: w.zones.modules[i], Tributary: out.area, EdgeFactor: w.edgeFactor[i]}
	}
	loads := w.loads
	loads.SnowAt = snow
	demands, err := w.code.Demands(nil, loads, modules)
	if err != nil {
		c.Err(err)
		return out, w, false
	}
	out.up, out.down = demands[0], demands[0]
	for i, d := range demands {
		if d.UpliftPressure < out.up.UpliftPressure {
			out.up = d
		}
		if d.DownASD > out.down.DownASD {
			out.down, out.downAt = d, i
		}
	}
	return out, w, true
}

// spacings gives, for each wind zone of the roof over an array, the largest
// distance between feet along a rail or row that the loads allow: the allowable
// uplift of a foot, and downward the mounting's rating where its maker gives
// one. Each foot is taken to carry the widest strip that any foot of the array
// carries, with the largest edge factor found. The spacing never exceeds the
// largest in the maker's letter. It is allowable level.
var spacings = terms.Analyse(arrayKind, "largest spacings", largestSpacings)

func largestSpacings(c *terms.Call, a *job.Array) []structural.Spacing {
	w, _ := windOf(c, a)
	capacity := holds.Of(c, a)
	l := arrays.Carried.Of(c, a)
	t, ok := terms.Seek(c, mountingTypeKind, a.Mounting)
	if !ok {
		c.Missing(a.Mounting.Key, a.Mounting.At)
	}
	if c.Stop() {
		return nil
	}
	if w.tilted != nil {
		c.Fail("spacings from loads are computed for roof-parallel arrays only")
		return nil
	}
	most := 0.0
	if terms.Stated(c, t.MaximumSpan) {
		most = terms.Peek(c, t.MaximumSpan).SI
	}
	for i := range t.ZoneSpans {
		most = math.Max(most, c.Q(t.ZoneSpans[i].Span))
	}
	if most == 0 {
		c.Missing(t.MaximumSpan.Key, t.MaximumSpan.At)
	}
	edge := 0.0
	for i := range w.feet {
		edge = math.Max(edge, w.feet[i].EdgeFactor)
	}
	strip := widestStrip(l)
	if strip == 0 {
		c.Fail("no line of array %s has two feet", a.Name.Value)
	}
	if c.Stop() {
		return nil
	}
	down := math.Inf(1)
	loads := w.loads
	if terms.Stated(c, t.AttachmentDown) {
		down = terms.Peek(c, t.AttachmentDown).SI
		loads.Snow = snowLoad(c, a)
		if c.Stop() {
			return nil
		}
	}
	rows, err := w.code.LargestSpacing(loads, w.loads.Figure.Zones(), edge, strip, most, capacity.uplift.Allowable, down)
	if err != nil {
		c.Err(err)
	}
	return rows
}

// widestStrip is the widest strip of modules that a line of feet carries, m:
// the larger of what single feet carry by their spans and of the mean of each
// line. It is zero where no line has two feet.
func widestStrip(l *arrays.Footed) float64 {
	type line struct{ area, from, to float64 }
	lines := map[string]*line{}
	widest := 0.0
	for i, f := range l.Feet {
		if !l.HasSpan[i] {
			continue
		}
		reach := l.Spans[i]
		if l.HasOver[i] {
			reach = l.Overhangs[i] + l.Spans[i]/2
		}
		widest = math.Max(widest, l.Areas[i]/reach)
		x := l.Array.Frame.ToArray(f.At).X
		n := lines[f.Line]
		if n == nil {
			n = &line{from: x, to: x}
			lines[f.Line] = n
		}
		n.area += l.Areas[i]
		n.from, n.to = math.Min(n.from, x-l.Overhangs[i]), math.Max(n.to, x+l.Overhangs[i])
	}
	for _, n := range lines {
		widest = math.Max(widest, n.area/(n.to-n.from))
	}
	return widest
}
