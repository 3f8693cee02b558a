package loads

import (
	"cmp"
	"errors"
	"math"
	"slices"
	"strings"
	"sync"

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

// scopeState is which prescriptive method reaches an array, and every limit that
// it passes where none does.
type scopeState struct {
	code     *structural.ASCE7
	method   windMethod
	parallel structural.ScopeResult
	reasons  []string // why no method reaches it
	free     bool     // the wind reaches both faces of the roof or of the modules
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
	above := arrays.Height.Of(c, a)
	l := arrays.Modules.Of(c, a)
	edge := roofs.ArrayClearanceToWindEdge.Of(c, a)
	enclosure := terms.Get(c, c.Job().Building.Enclosure)
	_, outside := figureOrEnvelope(c, slope)
	if c.Stop() {
		return
	}
	if enclosure == "open" {
		outside = append(outside, "the building is open")
		s.free = true
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
	g.Gap = math.Min(g.Gap, gapToOthers(c, a, l))
	if c.Stop() {
		return
	}
	sys := c.Job().System()
	s.parallel = s.code.ParallelScope(g, sys)
	err := s.parallel.Err(s.code.Edition)
	if err == nil && outside == nil {
		s.method = parallelMethod
		return
	}
	s.method, s.reasons = noMethod, append(outside, scopeReasons(err)...)
	s.free = s.free || !s.parallel.NearlyParallel
	if !s.code.TiltedSlope(slope) {
		return
	}
	low, parapet := c.Q(a.StandOff), roofs.ParapetHeight.Of(c, &c.Job().Building)
	toEdge := roofs.ArrayClearanceToRoofEdge.Of(c, a)
	if c.Stop() {
		return
	}
	tilted := s.code.TiltedScope(structural.Tilted{RoofSlope: slope, Tilt: g.SlopeDifference, Chord: module.Height(), LowEdge: low, HighEdge: above,
		Gap: g.Gap, GapSpacing: g.GapSpacing, EdgeDistance: toEdge, Parapet: parapet}, sys)
	if tilted == nil && enclosure != "open" { // it holds for roofs of any height
		s.method, s.reasons, s.free = tiltedMethod, nil, false
		return
	}
	s.reasons = append(s.reasons, scopeReasons(tilted)...)
}

// farApart is a distance between arrays, m, beyond which they are not looked at
// closer for the gap between their modules.
const farApart = 0.05

// gapToOthers is the least gap between the modules of an array and those of others
// on its plane; +Inf where they stand far apart.
func gapToOthers(c *terms.Call, a *job.Array, l *layout.Array) float64 {
	least := math.Inf(1)
	apart := func(p, q [4]layout.Point) float64 {
		if boxesApart(p, q) > farApart {
			return math.Inf(1)
		}
		d, _, _ := roofplan.Distance(quadrangle(p), quadrangle(q))
		return d
	}
	for i := range c.Job().Arrays {
		b := &c.Job().Arrays[i]
		if b == a || terms.Peek(c, b.Plane) != terms.Peek(c, a.Plane) {
			continue
		}
		other := arrays.Modules.Of(c, b)
		if c.Stop() {
			return 0
		}
		outline := other.Corners()
		if apart(l.Corners(), outline) > farApart {
			continue
		}
		for _, m := range l.Modules {
			if apart(m.Corners, outline) > farApart {
				continue
			}
			for _, n := range other.Modules {
				least = math.Min(least, apart(m.Corners, n.Corners))
			}
		}
	}
	return least
}

// boxesApart is how far the bounds of two quadrangles stand apart along the axis
// on which they do so most; at or below zero where they overlap.
func boxesApart(p, q [4]layout.Point) float64 {
	bounds := func(corners [4]layout.Point) (least, most layout.Point) {
		least, most = layout.Point{X: math.Inf(1), Y: math.Inf(1)}, layout.Point{X: math.Inf(-1), Y: math.Inf(-1)}
		for _, c := range corners {
			least.X, least.Y = math.Min(least.X, c.X), math.Min(least.Y, c.Y)
			most.X, most.Y = math.Max(most.X, c.X), math.Max(most.Y, c.Y)
		}
		return least, most
	}
	p0, p1 := bounds(p)
	q0, q1 := bounds(q)
	return math.Max(math.Max(p0.X-q1.X, q0.X-p1.X), math.Max(p0.Y-q1.Y, q0.Y-p1.Y))
}

func quadrangle(corners [4]layout.Point) roofplan.Shape {
	points := make([]roofplan.Point, len(corners))
	for i, p := range corners {
		points[i] = roofplan.Point(p)
	}
	return roofplan.Polygon(points)[0]
}

func scopeReasons(err error) []string {
	if err == nil {
		return nil
	}
	var scope *structural.ScopeError
	if errors.As(err, &scope) {
		return slices.Clone(scope.Reasons)
	}
	return []string{err.Error()}
}

// figureOrEnvelope is the coefficient figure of the roof under an array. Where
// the figures do not reach the roof it is the envelope of them all, with the
// limits that the roof passes.
func figureOrEnvelope(c *terms.Call, slope float64) (f *structural.Figure, outside []string) {
	b := &c.Job().Building
	shape, width, height := roofs.Shape.Of(c, b), roofs.Width.Of(c, b), roofs.MeanRoofHeight.Of(c, b)
	w := asce(c)
	if c.Stop() {
		return nil, nil
	}
	f, err := w.Figure(structural.Roof(shape), slope, height/width)
	for _, err := range []error{w.CheckHeight(height), err} {
		var scope *structural.ScopeError
		switch {
		case errors.As(err, &scope):
			if f, err = w.Envelope(structural.Roof(shape), slope, height/width); err != nil {
				c.Err(err)
			}
			outside = append(outside, scope.Reasons...)
		case err != nil:
			c.Err(err)
		}
	}
	return f, outside
}

// windState is the wind on the feet of one array, computed for all at once.
type windState struct {
	code   *structural.ASCE7
	method windMethod
	zones  *zoneState
	drawn  func(quantity.System) []string

	loads  structural.ArrayLoads   // without snow
	tilted *structural.TiltedLoads // in place of them, by the tilted method
	feet   []structural.Attachment // by the safe reading of exposed rows
	sealed []*job.Engineered       // the calculations that settle the wind
	given  *modulePressures        // on modules, by those of them that take the place of the bound

	demands []structural.Demand // of the feet, by the safe reading or the bound
	certain []structural.Demand // by the lenient reading: what every reading asks
	edges   []gamma             // of each module

	rows sync.Map // the table values of refsOf, by the zone
}

// gamma is the edge factor gammaE by two readings of what an edge of the roof
// is to an exposed row. The standard's words name the edge of the building, so
// that the safe one looks past ridges and hips, over which the roof goes on; the
// lenient one takes them for edges.
type gamma struct{ safe, lenient float64 }

// Wind computes the wind on the feet of an array.
var Wind = terms.Analyse(arrayKind, "wind on the feet", func(c *terms.Call, a *job.Array) *windState {
	w := &windState{}
	computeWind(c, a, w)
	return w
})

// windOf gives a derived term the wind on an array, or fails it.
func windOf(c *terms.Call, a *job.Array) (*windState, bool) {
	w := Wind.Of(c, a)
	if !c.Stop() && w.method == noMethod {
		windSettled.Of(c, a) // what is only bounded is so because nothing settles it
	}
	return w, !c.Stop()
}

// modulePressures is the wind off and onto a module, strength level, Pa.
type modulePressures struct{ up, down float64 }

// findGiven takes the wind on modules from the calculations where no method gives
// it and all of them state it.
func (w *windState) findGiven(c *terms.Call) {
	if w.method != noMethod || w.sealed == nil {
		return
	}
	for _, e := range w.sealed {
		if !terms.Stated(c, e.ModuleUplift) || !terms.Stated(c, e.ModuleDown) {
			return
		}
	}
	asd := w.code.Combinations().WindASD
	w.given = &modulePressures{most(c, w.sealed, func(e *job.Engineered) job.Quantity { return e.ModuleUplift }) / asd,
		most(c, w.sealed, func(e *job.Engineered) job.Quantity { return e.ModuleDown }) / asd}
}

// onModules computes modules, each with the snow of its own place; nil for none.
// Without what is only bounded the wind into them is left out.
func (w *windState) onModules(modules []structural.Attachment, snow []float64, certain bool) ([]structural.Demand, error) {
	if w.given == nil {
		return w.demandsOf(modules, snow, certain && w.method == noMethod)
	}
	list := make([]structural.Demand, len(modules))
	for i, a := range modules {
		at := 0.0
		if snow != nil {
			at = snow[i]
		}
		var err error
		if list[i], err = w.code.Combine(a, -w.given.up, w.given.down, w.loads.Dead, at, w.loads.Figure.Slope); err != nil {
			return nil, err
		}
	}
	return list, nil
}

// bound reports whether the wind is bounded only, and no calculation settles it.
func (w *windState) bound() bool { return w.method == noMethod && w.sealed == nil }

// demand computes one attachment with a snow load. Calm leaves out what the wind
// adds to the load into the roof.
func (w *windState) demand(a structural.Attachment, snow float64, calm bool) (structural.Demand, error) {
	if w.tilted != nil {
		loads := *w.tilted
		loads.Snow = snow
		d, _, err := w.code.TiltedDemand(loads, a)
		return d, err
	}
	loads := w.loads
	loads.Snow, loads.Calm = snow, calm
	return w.code.Demand(loads, a)
}

// demandsOf computes attachments, each with the snow of its own place; nil for none.
func (w *windState) demandsOf(feet []structural.Attachment, snow []float64, calm bool) ([]structural.Demand, error) {
	if w.tilted == nil && snow == nil {
		loads := w.loads
		loads.Calm = calm
		return w.code.Demands(make([]structural.Demand, 0, len(feet)), loads, feet)
	}
	list := make([]structural.Demand, len(feet))
	for i, a := range feet {
		at := 0.0
		if snow != nil {
			at = snow[i]
		}
		var err error
		if list[i], err = w.demand(a, at, calm); err != nil {
			return nil, err
		}
	}
	return list, nil
}

// work is the calculation of one demand with numbers put in.
func (w *windState) work(d *structural.Demand, snow float64) func(quantity.System) []string {
	return chainWork(func(sys quantity.System) []string {
		if w.given != nil && d.Coefficient == 0 {
			return []string{"by the sealed calculation of the wind: " + show(sys, -d.UpliftPressure, quantity.Pressure) + " off the module and " + show(sys, d.DownPressure, quantity.Pressure) + " onto it (strength level)"}
		}
		if w.tilted == nil {
			loads := w.loads
			loads.Snow = snow
			return d.Work(w.code, loads, sys)
		}
		_, p, err := w.code.TiltedDemand(*w.tilted, d.Attachment)
		if err != nil {
			return nil
		}
		f := func(v float64) string { return show(sys, v, quantity.Force) }
		return append(p.Work(sys), "zone "+d.Zone+" of Figure 29.4-7, tributary area "+show(sys, d.Tributary, quantity.Area)+": net uplift "+f(d.UpliftASD)+", downward "+f(d.DownASD)+", down the slope "+f(d.DownslopeASD)+" (allowable level)")
	}, w.editionLine)
}

func (w *windState) editionLine(sys quantity.System) []string {
	return append(w.drawn(sys), "ASCE "+w.code.Edition+", "+string(w.method)+"; a licensed engineer decides")
}

// refsOf are the table values that one demand rests on.
func (w *windState) refsOf(d *structural.Demand) []table.Ref {
	if w.tilted == nil {
		rows, known := w.rows.Load(d.Zone)
		if !known {
			rows, _ = w.rows.LoadOrStore(d.Zone, slices.Clip(d.Refs(w.code, w.loads)))
		}
		return rows.([]table.Ref)
	}
	_, p, err := w.code.TiltedDemand(*w.tilted, d.Attachment)
	if err != nil {
		return nil
	}
	return p.Refs
}

// worst is the one of a list with the largest value.
func worst(list []structural.Demand, value func(d *structural.Demand) float64) int {
	most := 0
	for i := range list {
		if value(&list[i]) > value(&list[most]) {
			most = i
		}
	}
	return most
}

func computeWind(c *terms.Call, a *job.Array, state *windState) {
	slope := c.Q(arrays.PlaneOf(c, a).Slope)
	l := arrays.Carried.Of(c, a)
	qh := velocityPressure(c)
	dead := deadLoad(c, a)
	scope := windScope.Of(c, a)
	zones := zonesOf.Of(c, a)
	if c.Stop() {
		return
	}
	state.code, state.method, state.zones, state.drawn = scope.code, scope.method, zones, roofs.DrawnWork(c)
	state.sealed = settled(c, a, ofWind)
	state.findGiven(c)
	edgeFactors(c, a, l, state)
	if c.Stop() {
		return
	}
	c.Cite(append(qh.Refs, zones.width.Refs...)...)
	var rows *structural.TiltedLoads
	if scope.method == tiltedMethod || scope.method == noMethod && scope.code.TiltedSlope(slope) {
		b := &c.Job().Building
		rows = &structural.TiltedLoads{Qh: qh.Q, Dead: dead, Slope: slope, Tilt: c.Q(a.Tilt), Chord: l.Array.Height, Parapet: roofs.ParapetHeight.Of(c, b),
			Height: roofs.MeanRoofHeight.Of(c, b), LongestSide: roofs.Length.Of(c, b), ShortestSide: roofs.Width.Of(c, b)}
		if c.Stop() {
			return
		}
	}
	if scope.method == tiltedMethod {
		state.tilted = rows
	}
	state.loads = structural.ArrayLoads{Qh: qh.Q, Dead: dead, Scope: scope.parallel, Figure: zones.figure, Bound: scope.method == noMethod, Free: scope.free, Tilt: c.Q(a.Tilt), Rows: rows}
	feet := make([]gamma, len(l.Feet))
	for m := range l.Array.Modules {
		for _, foot := range l.Supports.FeetUnder(m) {
			feet[foot].safe = math.Max(feet[foot].safe, state.edges[m].safe)
			feet[foot].lenient = math.Max(feet[foot].lenient, state.edges[m].lenient)
		}
	}
	lenient := make([]structural.Attachment, len(l.Feet))
	state.feet = make([]structural.Attachment, len(l.Feet))
	for i := range l.Feet {
		if !(l.Areas[i] > 0 && feet[i].safe > 0) {
			c.Fail("foot %s of array %s carries no module", l.Feet[i].Name, a.Name.Value)
			return
		}
		state.feet[i] = structural.Attachment{Zone: state.zoneOf(zones.feet[i]), Tributary: l.Areas[i], EdgeFactor: feet[i].safe, Loaded: l.Loaded[i]}
		lenient[i] = state.feet[i]
		lenient[i].EdgeFactor = feet[i].lenient
	}
	var err error
	if state.demands, err = state.demandsOf(state.feet, nil, false); err == nil {
		state.certain, err = state.demandsOf(lenient, nil, false)
	}
	if err != nil {
		c.Err(err)
	}
}

// zoneOf is the zone that the method of the array goes by.
func (w *windState) zoneOf(z zone) string {
	if w.tilted != nil {
		return z.tilted
	}
	return z.figure
}

// zoneState is where the feet and modules of an array lie among the wind zones
// of the roof. It depends on the building alone, so that it is known also for
// an array that no wind method reaches.
type zoneState struct {
	figure  *structural.Figure
	width   structural.ZoneWidth
	feet    []zone
	modules []zone
}

// zone is a place in the figure of the roof, and in that of tilted arrays.
type zone struct{ figure, tilted string }

var zonesOf = terms.Analyse(arrayKind, "wind zones", func(c *terms.Call, a *job.Array) *zoneState {
	s := &zoneState{}
	findZones(c, a, s)
	return s
})

func findZones(c *terms.Call, a *job.Array, s *zoneState) {
	slope := c.Q(arrays.PlaneOf(c, a).Slope)
	roof := roofs.Geometry.Of(c, c.Job())
	l := arrays.Carried.Of(c, a)
	s.width = ZoneWidth(c, slope)
	s.figure, _ = figureOrEnvelope(c, slope)
	height := roofs.MeanRoofHeight.Of(c, &c.Job().Building)
	w := asce(c)
	if c.Stop() {
		return
	}
	own := roof.Index[terms.Peek(c, a.Plane)]
	if roofs.Certain(c, append(roof.Roof.Neighbours(own), own)...); c.Stop() {
		return
	}
	z := &zoner{code: w, figure: s.figure, edges: WindEdgesOf(roof), frame: roof.Roof.Frame(own), width: s.width.Edge, height: height}
	add := func(list *[]zone, area float64, places []layout.Point) {
		at, err := z.severest(area, places)
		if err != nil {
			c.Err(err)
		}
		*list = append(*list, at)
	}
	for i, r := range l.Supports.Reach() {
		places := []layout.Point{l.Feet[i].At}
		if r != (layout.Rect{}) {
			for _, p := range []layout.Point{r.Min, {X: r.Max.X, Y: r.Min.Y}, r.Max, {X: r.Min.X, Y: r.Max.Y}} {
				places = append(places, l.Array.Frame.ToSurface(p))
			}
		}
		add(&s.feet, l.Areas[i], places)
	}
	for _, m := range l.Array.Modules {
		add(&s.modules, m.Rect.Width()*m.Rect.Height(), m.Corners[:])
	}
}

// zoner finds wind zones on one plane.
type zoner struct {
	code          *structural.ASCE7
	figure        *structural.Figure
	edges         []structural.RoofEdge
	frame         roofplan.Frame
	width, height float64
}

func (z *zoner) place(p layout.Point) structural.Place {
	return structural.PlaceOf(structural.Point(z.frame.ToPlan(roofplan.Point(p))), z.edges)
}

// zoneAt is the zone of the roof at a place on the surface.
func (z *zoner) zoneAt(p layout.Point) string {
	return z.figure.Zone(z.place(p), z.width, z.height)
}

// severest is the severest zone that any of the places on the surface lies in.
// Of zones with one coefficient the corner counts before the edge and the edge
// before the field, because a maker's letter may tell them apart.
func (z *zoner) severest(area float64, places []layout.Point) (zone, error) {
	var zones []string
	tilted := ""
	for _, p := range places {
		place := z.place(p)
		if at := z.figure.Zone(place, z.width, z.height); !slices.Contains(zones, at) {
			zones = append(zones, at)
		}
		tilted = max(tilted, z.code.TiltedZone(place, z.height)) // zone 3 is the severest
	}
	slices.SortFunc(zones, func(a, b string) int { return strings.Compare(b, a) })
	figure, err := z.figure.Severest(area, zones...)
	return zone{figure, tilted}, err
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

// sides are the steps (row, column) to the four sides of a module.
var sides = [4][2]int{{0, -1}, {0, 1}, {-1, 0}, {1, 0}}

// edgeFactors finds gammaE of each module: the largest of its four sides.
func edgeFactors(c *terms.Call, a *job.Array, l *arrays.Footed, state *windState) {
	roof := roofs.Geometry.Of(c, c.Job())
	height := roofs.MeanRoofHeight.Of(c, &c.Job().Building)
	above := arrays.Height.Of(c, a)
	if c.Stop() {
		return
	}
	if state.method == noMethod { // the bound takes every row as exposed
		state.edges = slices.Repeat([]gamma{{1, 1}}, len(l.Array.Modules))
		return
	}
	chord := math.Max(l.Array.Width, l.Array.Height)
	if c.Stop() {
		return
	}
	s := &surroundings{code: state.code, l: l, roof: roof, plane: roof.Index[terms.Peek(c, a.Plane)], others: map[int][]neighbour{}, seen: map[endKey]exposedEnds{},
		edge: structural.Edge{Height: height, Chord: chord, AboveRoof: above}, strip: state.code.EndStrip(chord, above)}
	for i := range c.Job().Arrays {
		if b := &c.Job().Arrays[i]; b != a {
			plane := roof.Index[terms.Peek(c, b.Plane)]
			if l := arrays.Modules.Of(c, b); l != nil {
				s.others[plane] = append(s.others[plane], neighbour{l, l.Corners()})
			}
		}
	}
	if c.Stop() {
		return
	}
	c.Cite(state.code.EdgeRefs()...)
	exposed, other := state.code.EdgeFactors()
	state.edges = slices.Repeat([]gamma{{other, other}}, len(l.Array.Modules))
	for m := range l.Array.Modules {
		for _, side := range sides {
			ends, from, err := s.exposure(m, side)
			if err != nil {
				c.Err(err)
				return
			}
			if ends.safe.within(s.strip - from) {
				state.edges[m].safe = exposed
			}
			if ends.lenient.within(s.strip - from) {
				state.edges[m].lenient = exposed
			}
		}
	}
	roofs.Certain(c, s.crossed...)
}

// surroundings is what lies around the runs of modules of one array.
type surroundings struct {
	code    *structural.ASCE7
	l       *arrays.Footed
	roof    *roofs.State
	plane   int
	others  map[int][]neighbour    // by plane
	seen    map[endKey]exposedEnds // by the last module of a run
	crossed []int                  // planes that a look went over
	edge    structural.Edge        // what all edges of the array share
	strip   float64                // how far from the end of an exposed row its panels count as exposed
}

// exposedEnds are the exposed ends of rows beyond the end of a run, by the two
// readings: how far beyond it they lie.
type exposedEnds struct{ safe, lenient distances }

type distances []float64

// neighbour is another array with the corners of what it takes in.
type neighbour struct {
	*layout.Array
	corners [4]layout.Point
}

// within reports whether one of the distances is at most a limit.
func (d distances) within(limit float64) bool {
	return slices.ContainsFunc(d, func(v float64) bool { return structural.Meets(v, limit) })
}

type endKey struct {
	module int
	side   [2]int
}

// longestHole is how many places a look past the end of a run goes on to find
// the next module; what lies farther gives no shelter.
const longestHole = 64

// exposure looks from a module to one side: the exposed ends of rows beyond its
// run of modules, and how far the end of the run is. A run that goes on for
// longer than the strip has none that counts.
func (s *surroundings) exposure(m int, side [2]int) (e exposedEnds, from float64, err error) {
	modules := s.l.Array.Modules
	last := m
	for {
		next, ok := s.l.Array.At(modules[last].Cell.Row+side[0], modules[last].Cell.Column+side[1])
		if !ok {
			break
		}
		last = next
		if from = gapBetween(modules[m].Rect, modules[last].Rect, side); !structural.Meets(from, s.strip) {
			return exposedEnds{}, from, nil
		}
	}
	key := endKey{last, side}
	e, ok := s.seen[key]
	if !ok {
		if e, err = s.ends(modules[last], side); err != nil {
			return e, from, err
		}
		s.seen[key] = e
	}
	return e, from, nil
}

// stretch is where panels lie along a look: from one distance to another.
type stretch struct {
	from, to float64
	array    *layout.Array
}

// ends finds the exposed ends of rows at and beyond the last module of a run. A
// row that a narrow gap parts goes on beyond it, in the same array or another
// one: how a plan groups modules changes nothing. An array beyond a ridge, a hip
// or a valley shelters by the lenient reading alone, and so does the same array
// beyond a place that is left open in it. Distances are measured on
// the surface, on which they are longer than in plan and rows sooner exposed.
func (s *surroundings) ends(last layout.Module, side [2]int) (out exposedEnds, err error) {
	none := math.Inf(1)
	var ahead []stretch // on the same side of every ridge
	for step := 2; step <= longestHole; step++ {
		if i, ok := s.l.Array.At(last.Cell.Row+step*side[0], last.Cell.Column+step*side[1]); ok {
			next := s.l.Array.Modules[i].Rect
			ahead = append(ahead, stretch{clearBetween(last.Rect, next, side), gapBetween(last.Rect, next, side), s.l.Array})
		}
	}
	start := edgePoint(last.Rect, side)
	from := s.l.Array.Frame.ToSurface(start)
	to := s.l.Array.Frame.ToSurface(layout.Point{X: start.X + float64(side[1]), Y: start.Y + float64(side[0])})
	edge := struct{ safe, lenient float64 }{none, none}
	folded := none // the nearest array beyond a ridge
	for _, leg := range s.look(from, to) {
		for _, other := range s.others[leg.plane] {
			for _, x := range panelsAlong(leg.from, leg.to, other) {
				x.from, x.to = x.from+leg.before, x.to+leg.before
				if leg.folded {
					folded = math.Min(folded, x.from)
				} else {
					ahead = append(ahead, x)
				}
			}
		}
		if leg.ends || leg.atRidge {
			edge.lenient = math.Min(edge.lenient, leg.before+leg.length)
		}
		if leg.ends {
			edge.safe = leg.before + leg.length
		}
	}
	ahead = runsOf(ahead)
	own := s.l.Array
	for at, i := 0.0, 0; structural.Meets(at, s.strip); i++ {
		array, panel := none, none
		for _, x := range ahead[i:] {
			gap := math.Max(0, x.from-at)
			panel = math.Min(panel, gap)
			if x.array != own {
				array = math.Min(array, gap)
			}
		}
		beyond := math.Min(panel, math.Max(0, folded-at))
		for _, reading := range []struct {
			edge, array, panel float64
			ends               *distances
		}{{edge.safe, array, panel, &out.safe}, {edge.lenient, beyond, beyond, &out.lenient}} {
			e := s.edge
			e.EdgeDistance, e.GapToArray, e.GapToNext = math.Max(0, reading.edge-at), reading.array, reading.panel
			f, err := s.code.EdgeFactor(e)
			if err != nil {
				return out, err
			}
			if f.Exposed {
				*reading.ends = append(*reading.ends, at)
			}
		}
		if i == len(ahead) {
			break
		}
		at, own = math.Max(at, ahead[i].to), ahead[i].array
	}
	return out, nil
}

// runsOf joins the stretches of neighbouring modules of one array, in order.
func runsOf(list []stretch) (runs []stretch) {
	slices.SortFunc(list, func(a, b stretch) int { return cmp.Compare(a.from, b.from) })
	for _, x := range list {
		if n := len(runs) - 1; n >= 0 && runs[n].array == x.array && x.from-runs[n].to <= math.Max(x.array.GapX, x.array.GapY)+joint {
			runs[n].to = math.Max(runs[n].to, x.to)
			continue
		}
		runs = append(runs, x)
	}
	return runs
}

// leg is the part of a look over the roof that lies on one plane.
type leg struct {
	plane          int
	from, to       layout.Point // on the surface: where it begins, and a metre on
	before, length float64      // on the surface, of the legs before it and of itself
	folded         bool         // a ridge, a hip or a valley lies before it
	atRidge        bool         // it comes to a ridge or a hip
	ends           bool         // it comes to the edge of the building
}

// look goes straight on in plan view from a point of the array's plane, through
// another a metre away, over joints with other planes to the edge of the
// building. A look that finds no edge ends at once on its own plane, because the
// array reaches over it, and is endless beyond.
func (s *surroundings) look(from, to layout.Point) (legs []leg) {
	roof := s.roof.Roof
	plane, before, folded := s.plane, 0.0, false
	frame := roof.Frame(plane)
	at, next := frame.ToPlan(roofplan.Point(from)), frame.ToPlan(roofplan.Point(to))
	dx, dy := next.X-at.X, next.Y-at.Y
	for len(legs) <= roof.Len() {
		frame = roof.Frame(plane)
		start, ahead := frame.ToSurface(at), frame.ToSurface(roofplan.Point{X: at.X + dx, Y: at.Y + dy})
		metre := start.DistanceTo(ahead)
		ahead = roofplan.Point{X: start.X + (ahead.X-start.X)/metre, Y: start.Y + (ahead.Y-start.Y)/metre}
		l := leg{plane: plane, from: layout.Point(start), to: layout.Point(ahead), before: before, folded: folded, length: math.Inf(1)}
		var over roofplan.Edge
		for _, e := range roof.Edges(plane) {
			if e.Index >= len(roof.Outline(plane)) {
				continue // an opening in the roof is not its edge
			}
			if t, ok := rayHit(start, ahead, e.From, e.To); ok && t < l.length && (legs == nil || t > joint) {
				l.length, over = t, e
			}
		}
		joins := over.Neighbour >= 0 && slices.Contains(roofplan.Joints, over.Kind)
		switch {
		case math.IsInf(l.length, 1):
			if l.ends = legs == nil; l.ends {
				l.length = 0
			}
			return append(legs, l)
		case !joins:
			l.ends = true
			return append(legs, l)
		}
		l.atRidge = over.Kind == roofplan.Ridge || over.Kind == roofplan.Hip
		legs = append(legs, l)
		s.crossed = append(s.crossed, plane, over.Neighbour)
		folded = folded || over.Kind != roofplan.Break
		before += l.length
		at = frame.ToPlan(roofplan.Point{X: start.X + (ahead.X-start.X)*l.length, Y: start.Y + (ahead.Y-start.Y)*l.length})
		plane = over.Neighbour
	}
	return legs
}

// joint is how near the edge just crossed a look does not meet it again, m.
const joint = 1e-3

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

// panelsAlong are the stretches of a ray that run over the modules of an array,
// which a gap between them does not let through.
func panelsAlong(from, to layout.Point, a neighbour) (out []stretch) {
	dx, dy := to.X-from.X, to.Y-from.Y
	for _, aside := range []float64{0, betweenModules, -betweenModules} {
		near := roofplan.Point{X: from.X - dy*aside, Y: from.Y + dx*aside}
		far := roofplan.Point{X: near.X + dx, Y: near.Y + dy}
		if _, ok := across(near, far, a.corners); !ok {
			continue
		}
		for i := range a.Modules {
			if x, ok := across(near, far, a.Modules[i].Corners); ok {
				x.array = a.Array
				out = append(out, x)
			}
		}
		if out != nil {
			break
		}
	}
	return out
}

// betweenModules is how far beside a ray a module still stands in its way, m:
// half of the widest usual gap between modules.
const betweenModules = 0.08

// across is the stretch of a ray within a rectangle.
func across(from, to roofplan.Point, corners [4]layout.Point) (x stretch, ok bool) {
	x = stretch{from: math.Inf(1), to: math.Inf(-1)}
	for i := range corners {
		if t, ok := rayHit(from, to, roofplan.Point(corners[i]), roofplan.Point(corners[(i+1)%4])); ok {
			x.from, x.to = math.Min(x.from, t), math.Max(x.to, t)
		}
	}
	return x, x.to >= x.from
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

// modulesUnder lists every module of an array as its own wind area, with its
// edge factor by the safe reading and by the lenient one.
func (w *windState) modulesUnder(l *layout.Array) (safe, lenient []structural.Attachment) {
	for i, m := range l.Modules {
		at := structural.Attachment{Zone: w.zoneOf(w.zones.modules[i]), Tributary: m.Rect.Width() * m.Rect.Height(), EdgeFactor: w.edges[i].safe}
		safe = append(safe, at)
		at.EdgeFactor = w.edges[i].lenient
		lenient = append(lenient, at)
	}
	return safe, lenient
}

// worstModule is the module with the largest value, with the snow on each, and
// which it is.
func worstModule(c *terms.Call, w *windState, modules []structural.Attachment, snow []float64, certain bool, value func(d *structural.Demand) float64) (*structural.Demand, int) {
	list, err := w.onModules(modules, snow, certain)
	if err != nil {
		c.Err(err)
		return nil, 0
	}
	i := worst(list, value)
	return &list[i], i
}

// spacings gives, for each wind zone of the roof over an array, the largest
// distance between feet along a rail or row at which the whole load path holds,
// as far as it is known: see spacingHolds. Each foot is taken to carry the widest
// strip that any foot of the array carries, with the largest edge factor and the
// largest share beyond its tributary found. The spacing never exceeds the largest
// in the maker's letter. It is allowable level.
var spacings = terms.Analyse(arrayKind, "largest spacings", largestSpacings)

func largestSpacings(c *terms.Call, a *job.Array) []structural.Spacing {
	w, _ := windOf(c, a)
	capacity := holds.Of(c, a)
	l := arrays.Carried.Of(c, a)
	t := mountingOf(c, a)
	if c.Stop() {
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
	holds, snow := spacingHolds(c, a, t, capacity)
	if c.Stop() {
		return nil
	}
	zones := w.loads.Figure.Zones()
	if w.tilted != nil {
		zones = []string{"1", "2", "3"}
	}
	rows, err := structural.LargestSpacing(func(at structural.Attachment) (structural.Demand, error) { return w.demand(at, snow, false) }, zones, edge, structural.Strip{Width: strip, Share: largestShare(l)}, most, holds)
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
