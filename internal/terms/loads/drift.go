package loads

import (
	"math"
	"slices"

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

// Where snow lies uneven on a roof: below ridges and hips, at steps, walls and
// parapets, at large projections, and under the eaves of higher roofs. Each
// foot and each module takes what lies on its own place.

// unevenSnow is snow that lies by its distance from a line on the roof.
type unevenSnow struct {
	what  string
	line  roofplan.Shape // in plan view
	reach float64        // how far from it more lies than elsewhere, m
	even  float64        // what lies as much everywhere, Pa; 0 for none
	// load is the mean snow between two distances, the balanced snow included,
	// Pa on the horizontal projection.
	load  func(near, far float64) float64
	bound string // what the drawing does not tell, so that a safe bound is taken; empty where it tells all
	work  func(sys quantity.System) []string
	refs  []table.Ref
}

// snowState is the snow on the roof under one array.
type snowState struct {
	roof   structural.RoofSnow
	uneven []unevenSnow
	frame  roofplan.Frame // of its plane
}

// work is the calculation of the even snow and of every uneven one.
func (s *snowState) work(sys quantity.System) []string {
	lines := s.roof.Work(sys)
	for _, u := range s.uneven {
		lines = append(lines, u.work(sys)...)
	}
	return lines
}

// placedSnow is the snow on one foot or module, Pa on the horizontal
// projection, in the level of the edition's map.
type placedSnow struct {
	load  float64
	what  string  // which case governs
	bound float64 // with the safe bounds of what the drawing does not tell; load where it tells all
	why   string  // what that is, where it governs
	cause *unevenSnow
}

// snowOn finds the snow on the roof under an array.
var snowOn = terms.Analyse(arrayKind, "snow on the roof under it", func(c *terms.Call, a *job.Array) *snowState {
	s := &snowState{}
	p := arrays.PlaneOf(c, a)
	if s.roof = roofSnow(c, p); c.Stop() || s.roof.Ground == 0 {
		return s
	}
	roof, w := roofs.Geometry.Of(c, c.Job()), asce(c)
	if c.Stop() {
		return s
	}
	own := roof.Index[p.Name.Value]
	s.frame = roof.Roof.Frame(own)
	if roof.Ground[own] {
		return s
	}
	if roofs.Certain(c, append(roof.Roof.Neighbours(own), own)...); c.Stop() {
		return s
	}
	f := &snowFinder{c: c, code: w, roof: roof.Roof, state: s, own: own, plane: p}
	f.ridges()
	f.valleys()
	f.steps()
	f.projections()
	f.rows(a)
	f.slides()
	return s
})

// snowFinder looks for uneven snow around one plane.
type snowFinder struct {
	c     *terms.Call
	code  *structural.ASCE7
	roof  *roofplan.Roof
	state *snowState
	own   int
	plane *job.Plane
}

func (f *snowFinder) add(u unevenSnow) { f.state.uneven = append(f.state.uneven, u) }

func (f *snowFinder) name(plane int) string { return f.roof.Plane(plane).Name }

// run is the distance in plan from the eave to the top of the slope that a
// plane belongs to, over changes of pitch.
func (f *snowFinder) run(plane int) float64 {
	east, north := math.Sincos(f.roof.Plane(plane).Downslope * math.Pi / 180)
	return f.reach(f.roof.JoinedTo(plane, roofplan.Break), roofplan.Point{}, roofplan.Point{X: east, Y: north}) +
		f.reach(f.roof.JoinedTo(plane, roofplan.Break), roofplan.Point{}, roofplan.Point{X: -east, Y: -north})
}

// reach is how far planes reach from a place in plan in a direction.
func (f *snowFinder) reach(planes []int, from, direction roofplan.Point) float64 {
	most := math.Inf(-1)
	for _, p := range planes {
		for _, q := range f.roof.Plane(p).Outline {
			most = math.Max(most, (q.X-from.X)*direction.X+(q.Y-from.Y)*direction.Y)
		}
	}
	return most
}

// inPlan is an edge in plan view, and the direction away from its plane.
func (f *snowFinder) inPlan(e roofplan.Edge) (a, b, outward roofplan.Point) {
	frame := f.roof.Frame(e.Plane)
	a, b = frame.ToPlan(e.From), frame.ToPlan(e.To)
	length := a.DistanceTo(b)
	return a, b, roofplan.Point{X: (b.Y - a.Y) / length, Y: (a.X - b.X) / length}
}

// ridges adds the unbalanced snow below the ridge and the hips of the plane:
// wind from the other side drops it there. Where no plane of the roof meets
// another at a ridge and the roof is a gable or hip all the same, the top of the
// plane is taken for the ridge.
func (f *snowFinder) ridges() {
	if u := f.behind(f.run(f.own)); !u.Applies {
		return
	}
	drawn := false
	for i := range f.roof.Len() {
		for _, e := range f.roof.Edges(i) {
			if e.Kind != roofplan.Ridge && e.Kind != roofplan.Hip {
				continue
			}
			drawn = true
			if i == f.own && e.Neighbour >= 0 {
				a, b, _ := f.inPlan(e)
				f.addUnbalanced(f.behind(f.run(e.Neighbour)), roofplan.Segment(a, b))
			}
		}
	}
	if drawn {
		return
	}
	if shape := roofs.Shape.Of(f.c, &f.c.Job().Building); shape == "gable" || shape == "hip" {
		f.addUnbalanced(f.behind(f.run(f.own)), f.top())
	}
}

// top is the highest line of the plane, in plan view.
func (f *snowFinder) top() roofplan.Shape {
	low, high := math.Inf(1), roofplan.Point{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, q := range f.roof.Outline(f.own) {
		low, high.X, high.Y = math.Min(low, q.X), math.Max(high.X, q.X), math.Max(high.Y, q.Y)
	}
	return roofplan.Segment(f.state.frame.ToPlan(roofplan.Point{X: low, Y: high.Y}), f.state.frame.ToPlan(high))
}

// behind is the unbalanced snow that wind brings over a run of roof.
func (f *snowFinder) behind(upwind float64) structural.UnbalancedSnow {
	oneSpan := !terms.Stated(f.c, f.plane.Framing.OneSpan) || terms.Peek(f.c, f.plane.Framing.OneSpan)
	u, err := f.code.UnbalancedSnow(f.state.roof, structural.Ridge{Run: f.run(f.own), Upwind: upwind, OneSpan: oneSpan})
	if err != nil {
		f.c.Err(err)
	}
	return u
}

func (f *snowFinder) addUnbalanced(u structural.UnbalancedSnow, line roofplan.Shape) {
	f.add(unevenSnow{what: unbalanced, line: line, reach: u.Reach, even: u.Even, load: u.Between, work: u.Work, refs: u.Refs})
}

// valleys adds the snow that gathers along a level valley that the plane falls
// to.
func (f *snowFinder) valleys() {
	for _, e := range f.roof.Edges(f.own) {
		if e.Kind != roofplan.Valley || math.Abs(e.To.Y-e.From.Y) > math.Abs(e.To.X-e.From.X)*levelSlope {
			continue
		}
		v, err := f.code.ValleySnow(f.state.roof, f.run(f.own))
		if err != nil {
			f.c.Err(err)
			return
		}
		if v.Applies {
			a, b, _ := f.inPlan(e)
			work := func(sys quantity.System) []string {
				return []string{"in the valley: " + show(sys, v.Valley, quantity.Pressure) + ", falling to " + show(sys, v.Crest, quantity.Pressure) + " at the ridge " + show(sys, v.Run, quantity.Length) + " away"}
			}
			f.add(unevenSnow{what: "the snow in the valley", line: roofplan.Segment(a, b), reach: v.Run, load: v.Between, work: work, refs: v.Refs})
		}
	}
}

// levelSlope is how far a level edge may rise over its length: a degree.
const levelSlope = math.Pi / 180

// unbalanced is the word for the snow below a ridge.
const unbalanced = "unbalanced snow"

// steps adds the drifts at what stands higher at an edge of the plane, and of
// the planes that it joins without a ridge between.
func (f *snowFinder) steps() {
	least := terms.Practice(f.c, "roof", "step", "value")
	if f.c.Stop() {
		return
	}
	for _, q := range f.roof.JoinedTo(f.own, roofplan.Break, roofplan.Valley) {
		for _, e := range f.roof.Edges(q) {
			switch {
			case e.Kind == roofplan.Parapet:
				f.drift(e, "the parapet", "", structural.Step{Rise: roofs.ParapetHeight.Of(f.c, &f.c.Job().Building)})
			case e.Kind == roofplan.Wall && planeBeyond(e) < 0:
				f.drift(e, "the wall", "the height of the wall and the length of the roof above it", structural.Step{Rise: math.Inf(1), Upper: f.roof.Extent(f.all()).Length})
			case e.Kind == roofplan.Wall || e.Kind == roofplan.Step || e.Neighbour < 0 && e.Beyond >= 0:
				f.stepTo(e, planeBeyond(e), least)
			}
		}
	}
}

// planeBeyond is the plane at the other side of an edge, -1 for none.
func planeBeyond(e roofplan.Edge) int { return max(e.Neighbour, e.Beyond) }

func (f *snowFinder) all() (planes []int) {
	for i := range f.roof.Len() {
		if !f.roof.Plane(i).Ground {
			planes = append(planes, i)
		}
	}
	return planes
}

// stepTo adds the drift at an edge beyond which another plane lies higher.
func (f *snowFinder) stepTo(e roofplan.Edge, upper int, least float64) {
	if upper < 0 || f.roof.Plane(upper).Ground {
		return
	}
	a, b, outward := f.inPlan(e)
	step, bound := structural.Step{Rise: math.Inf(1)}, "the height of the step to plane "+f.name(upper)
	if below, above := f.roof.Plane(e.Plane).Elevation, f.roof.Plane(upper).Elevation; below != nil && above != nil {
		rise := func(at roofplan.Point) float64 {
			return *above + f.roof.Frame(upper).Rise(at) - *below - f.roof.Frame(e.Plane).Rise(at)
		}
		if step.Rise, bound = math.Max(rise(a), rise(b)), ""; step.Rise <= least {
			return
		}
	}
	step.Upper = f.reach(f.roof.JoinedTo(upper), a, outward)
	f.drift(e, "the step to plane "+f.name(upper), bound, step)
}

func (f *snowFinder) drift(e roofplan.Edge, what, bound string, step structural.Step) {
	a, b, outward := f.inPlan(e)
	step.Lower = f.reach(f.roof.JoinedTo(f.own), a, roofplan.Point{X: -outward.X, Y: -outward.Y})
	f.driftAt(roofplan.Segment(a, b), what, bound, step)
}

func (f *snowFinder) driftAt(line roofplan.Shape, what, bound string, step structural.Step) {
	if f.c.Stop() {
		return
	}
	d, err := f.code.SnowDrift(f.state.roof, step)
	if err != nil {
		f.c.Err(err)
		return
	}
	if d.Width() > 0 {
		f.add(unevenSnow{what: "the snow drift at " + what, line: line, reach: d.Width(), load: onTop(f.state.roof, d.Between), bound: bound, work: d.Work, refs: d.Refs})
	}
}

// onTop adds the balanced snow below.
func onTop(r structural.RoofSnow, more func(near, far float64) float64) func(near, far float64) float64 {
	return func(near, far float64) float64 { return r.Sloped + more(near, far) }
}

// flush are obstructions that lie so low that snow does not drift at them.
var flush = []string{"conduit", "drain", "escape-opening"}

// projections adds the drifts at large things that stand in the plane.
func (f *snowFinder) projections() {
	fetch := f.roof.Extent(f.roof.JoinedTo(f.own)).Length
	for i := range f.c.Job().Obstructions {
		o := &f.c.Job().Obstructions[i]
		if terms.Peek(f.c, o.Plane) != f.plane.Name.Value || slices.Contains(flush, terms.Peek(f.c, o.Kind)) {
			continue
		}
		pieces := roofs.ObstructionShapes.Of(f.c, o)
		if f.c.Stop() {
			return
		}
		var corners []roofplan.Point
		for _, piece := range pieces {
			corners = append(corners, piece.Corners()...)
		}
		longest := 2 * pieces[0].Radius()
		for k, p := range corners {
			for _, q := range corners[:k] {
				longest = math.Max(longest, p.DistanceTo(q))
			}
		}
		if longest < f.code.DriftSide() {
			continue
		}
		step, bound := structural.Step{Rise: math.Inf(1), Lower: fetch}, "the height of "+o.Name.Value
		if terms.Stated(f.c, o.Rise) {
			step.Rise, bound = f.c.Q(o.Rise), ""
		}
		for k, p := range corners {
			f.driftAt(roofplan.Segment(f.state.frame.ToPlan(p), f.state.frame.ToPlan(corners[(k+1)%len(corners)])), o.Name.Value, bound, step)
		}
	}
}

// rows adds the snow that drifts between the rows of an array tilted against the
// roof. Where in them it comes to lie no rule says: its peak over the whole array
// is a safe bound.
func (f *snowFinder) rows(a *job.Array) {
	tilt := f.c.Q(a.Tilt)
	if f.c.Stop() || f.code.Parallel(tilt) {
		return
	}
	l, high := arrays.Modules.Of(f.c, a), arrays.Height.Of(f.c, a)
	if f.c.Stop() || l.Bounds().Width() < f.code.DriftSide() {
		return
	}
	d, err := f.code.SnowDrift(f.state.roof, structural.Step{Rise: high, Lower: f.roof.Extent(f.roof.JoinedTo(f.own)).Length})
	if err != nil {
		f.c.Err(err)
		return
	}
	if d.Windward.Peak == 0 {
		return
	}
	var outline []roofplan.Point
	for _, p := range l.Corners() {
		outline = append(outline, f.state.frame.ToPlan(roofplan.Point(p)))
	}
	peak := func(near, _ float64) float64 {
		if near > 0 {
			return 0
		}
		return d.Windward.Peak
	}
	f.add(unevenSnow{what: "the snow drift between tilted rows", line: roofplan.Polygon(outline)[0], load: onTop(f.state.roof, peak),
		bound: "how snow drifts between the rows of array " + a.Name.Value, work: d.Work, refs: d.Refs})
}

// slides adds the snow that slides off higher planes whose eaves stand over
// this one.
func (f *snowFinder) slides() {
	for _, u := range f.all() {
		for _, e := range f.roof.Edges(u) {
			if u == f.own || planeBeyond(e) != f.own || !f.sheds(e) {
				continue
			}
			bound := ""
			if e.Rise == nil {
				bound = "the height of plane " + f.name(u)
			} else if *e.Rise >= 0 {
				continue
			}
			s, err := f.code.SlidingSnow(f.state.roof, f.roof.Plane(u).Slope, f.run(u), f.slippery(u))
			if err != nil {
				f.c.Err(err)
				return
			}
			if s.Applies {
				a, b, _ := f.inPlan(e)
				work := func(sys quantity.System) []string {
					return []string{"sliding: " + show(sys, s.Line, quantity.ForcePerLength) + " off plane " + f.name(u) + ", " + show(sys, s.Pressure, quantity.Pressure) + " within " + show(sys, s.Width, quantity.Length) + " of its eave"}
				}
				f.add(unevenSnow{what: "the snow that slides off plane " + f.name(u), line: roofplan.Segment(a, b), reach: s.Width, load: onTop(f.state.roof, s.Between), bound: bound, work: work, refs: s.Refs})
			}
		}
	}
}

// sheds tells whether snow that slides down a plane leaves it over an edge.
func (f *snowFinder) sheds(e roofplan.Edge) bool {
	if e.Neighbour >= 0 && e.Kind != roofplan.Step || e.Kind == roofplan.Parapet || e.Kind == roofplan.Wall {
		return false
	}
	return e.To.X-e.From.X >= math.Abs(e.To.Y-e.From.Y)
}

// slippery tells whether snow may slide off a plane as off glass or metal:
// unless its covering is said to hold it and no array lies there.
func (f *snowFinder) slippery(plane int) bool {
	p := &f.c.Job().Planes[plane]
	if !terms.Stated(f.c, p.Covering.Slippery) || terms.Peek(f.c, p.Covering.Slippery) {
		return true
	}
	for i := range f.c.Job().Arrays {
		if terms.Peek(f.c, f.c.Job().Arrays[i].Plane) == p.Name.Value {
			return true
		}
	}
	return false
}

// at is the snow on a place, given by its corners on the surface: the mean over
// it, or what lies on its worst point.
func (s *snowState) at(corners []layout.Point, worst bool) placedSnow {
	out := placedSnow{load: s.roof.Even(), what: "balanced snow"}
	switch {
	case s.roof.Minimum == out.load && s.roof.Minimum > s.roof.Sloped+s.roof.RainOnSnow:
		out.what = "the least snow of low slopes"
	case s.roof.RainOnSnow > 0:
		out.what = "rain on snow"
	}
	out.bound = out.load
	if len(s.uneven) == 0 {
		return out
	}
	plan := make([]roofplan.Point, len(corners))
	for i, p := range corners {
		plan[i] = s.frame.ToPlan(roofplan.Point(p))
	}
	shape := roofplan.Polygon(plan)[0] // a rectangle is one piece
	for i := range s.uneven {
		u := &s.uneven[i]
		near, _, _ := roofplan.Distance(shape, u.line)
		far := near
		if !worst && near < u.reach {
			for _, p := range plan {
				d, _, _ := roofplan.Distance(roofplan.Disc(p, 0), u.line)
				far = math.Max(far, d)
			}
		}
		load := u.load(near, far)
		if u.bound == "" && load > out.load {
			out.load, out.what, out.cause = load, u.what, u
		}
		if load > out.bound {
			out.bound, out.why = load, u.bound
		}
	}
	return out
}

// footprints are the corners of what each foot of an array carries, on the
// surface: half way to its neighbours along its line, and of each module its
// share of the depth.
func footprints(l *arrays.Footed) [][]layout.Point {
	type strip struct{ low, high float64 }
	strips := make([]strip, len(l.Feet))
	for i := range strips {
		strips[i] = strip{math.Inf(1), math.Inf(-1)}
	}
	lineOf := map[int]int{}
	for k, line := range l.Supports.Lines {
		for _, foot := range line.Feet {
			lineOf[foot] = k
		}
	}
	for m, bearings := range l.Supports.Bearings {
		rect := l.Array.Modules[m].Rect
		for _, foot := range l.Supports.FeetUnder(m) {
			for k, b := range bearings {
				if l.Supports.Runs[b.Run].Line != lineOf[foot] {
					continue
				}
				low, high := rect.Min.Y, rect.Max.Y
				if k > 0 {
					low += (bearings[k-1].FromBottom + b.FromBottom) / 2
				}
				if k+1 < len(bearings) {
					high = rect.Min.Y + (bearings[k+1].FromBottom+b.FromBottom)/2
				}
				strips[foot] = strip{math.Min(strips[foot].low, low), math.Max(strips[foot].high, high)}
			}
		}
	}
	out := make([][]layout.Point, len(l.Feet))
	for i, foot := range l.Feet {
		at := l.Array.Frame.ToArray(foot.At)
		half := math.Max(l.Spans[i]/2, l.Overhangs[i])
		if half == 0 {
			half = l.Array.Width / 2
		}
		s := strips[i]
		if s.low > s.high {
			s = strip{at.Y, at.Y}
		}
		for _, p := range []layout.Point{{X: at.X - half, Y: s.low}, {X: at.X + half, Y: s.low}, {X: at.X + half, Y: s.high}, {X: at.X - half, Y: s.high}} {
			out[i] = append(out[i], l.Array.Frame.ToSurface(p))
		}
	}
	return out
}

var _ = terms.Derive(arrayKind, "slides_onto", terms.Word, "lower planes of the roof that the eave of its plane stands over, onto which snow may slide off its glass; none where there is none", "ASCE 7 7.9", "", func(c *terms.Call, a *job.Array) string {
	s := snowOn.Of(c, a)
	roof, w := roofs.Geometry.Of(c, c.Job()), asce(c)
	if c.Stop() {
		return ""
	}
	f := &snowFinder{c: c, code: w, roof: roof.Roof, state: s, own: roof.Index[terms.Peek(c, a.Plane)]}
	var below []string
	for _, p := range f.roof.JoinedTo(f.own, roofplan.Break) {
		for _, e := range f.roof.Edges(p) {
			lower := planeBeyond(e)
			if !f.sheds(e) || lower < 0 || f.roof.Plane(lower).Ground || e.Rise != nil && *e.Rise >= 0 || slices.Contains(below, f.name(lower)) {
				continue
			}
			if x, err := w.SlidingSnow(s.roof, f.roof.Plane(p).Slope, f.run(p), true); err != nil {
				c.Err(err)
			} else if x.Applies {
				below = append(below, f.name(lower))
			}
		}
	}
	if below == nil {
		return "none"
	}
	return joinWords(below)
})
