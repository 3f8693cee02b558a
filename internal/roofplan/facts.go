package roofplan

import (
	"math"
	"slices"

	"github.com/peterstace/simplefeatures/geom"
)

// Extent is the size of planes in plan view: the sides of the smallest rectangle, turned as it may be, that holds them.
type Extent struct {
	Length, Width float64 // metres; the length is not the shorter
	Bearing       float64 // of the length, degrees clockwise from north, 0 to under 180
}

// Extent measures planes in plan view. The smallest rectangle around points has a side along their convex hull (H. Freeman and R. Shapira,
// "Determining the minimum-area encasing rectangle for an arbitrary closed curve", Communications of the ACM 18(7), 1975). No plane
// gives zero.
func (r *Roof) Extent(planes []int) Extent {
	var corners []Point
	for _, p := range planes {
		corners = append(corners, r.planes[p].Outline...)
	}
	corners = hull(corners)
	best, least := Extent{}, math.Inf(1)
	for i, a := range corners {
		along := corners[(i+1)%len(corners)].sub(a).unit()
		low, high := Point{math.Inf(1), math.Inf(1)}, Point{math.Inf(-1), math.Inf(-1)}
		for _, c := range corners {
			at := Point{c.dot(along), c.dot(along.left())}
			low, high = Point{min(low.X, at.X), min(low.Y, at.Y)}, Point{max(high.X, at.X), max(high.Y, at.Y)}
		}
		e := Extent{Length: high.X - low.X, Width: high.Y - low.Y}
		if area := e.Length * e.Width; area < least*(1-1e-9) {
			if e.Length < e.Width {
				e.Length, e.Width, along = e.Width, e.Length, along.left()
			}
			e.Bearing = math.Mod(math.Atan2(along.X, along.Y)*180/math.Pi+360, 180)
			best, least = e, area
		}
	}
	return best
}

// hull is the convex hull of points, counter-clockwise, without points on its sides (A. Andrew, "Another efficient algorithm for convex
// hulls in two dimensions", Information Processing Letters 9(5), 1979).
func hull(points []Point) []Point {
	points = slices.Clone(points)
	slices.SortFunc(points, func(a, b Point) int {
		if c := cmpFloat(a.X, b.X); c != 0 {
			return c
		}
		return cmpFloat(a.Y, b.Y)
	})
	points = slices.Compact(points)
	half := func(list []Point) []Point {
		var out []Point
		for _, p := range list {
			for len(out) > 1 && out[len(out)-1].sub(out[len(out)-2]).cross(p.sub(out[len(out)-2])) <= 0 {
				out = out[:len(out)-1]
			}
			out = append(out, p)
		}
		return out[:max(0, len(out)-1)] // its last point is the first of the other half
	}
	lower := half(points)
	slices.Reverse(points)
	return append(lower, half(points)...)
}

// Buildings parts planes into those that stand together in plan view, over each other or no farther apart than near, metres: one group
// for each building that the drawing seems to show. Groups are in the order of their first planes.
func (r *Roof) Buildings(planes []int, near float64) [][]int {
	return r.grouped(planes, func(p, q int) bool {
		if boxOf(r.planes[p].Outline).distance(boxOf(r.planes[q].Outline)) > near {
			return false
		}
		d, ok := geom.Distance(polygon(r.planes[p].Outline).AsGeometry(), polygon(r.planes[q].Outline).AsGeometry())
		return ok && d <= near
	})
}

// Parts parts planes into those that hang together along ridges, hips, valleys and changes of pitch: main roof, porch, garage.
func (r *Roof) Parts(planes []int) [][]int {
	return r.grouped(planes, func(p, q int) bool { return slices.Contains(r.Neighbours(p), q) })
}

func (r *Roof) grouped(planes []int, together func(p, q int) bool) [][]int {
	g := newGroups(len(r.planes))
	for i, p := range planes {
		for _, q := range planes[:i] {
			if g.find(p) != g.find(q) && together(p, q) {
				g.join(p, q)
			}
		}
	}
	return g.lists(planes)
}

// Form is the shape of a part of a roof.
type Form string

// The forms. The first four are those that figures of wind pressure are drawn for.
const (
	FlatForm      Form = "flat"
	GableForm     Form = "gable"
	HipForm       Form = "hip"
	MonoslopeForm Form = "monoslope"
	GambrelForm   Form = "gambrel"         // a gable whose two sides are steeper below than above
	MansardForm   Form = "mansard"         // a hip roof whose sides are steeper below than above
	HipGableForm  Form = "hip and gable"   // hips and gable ends in one part: half hips, wings, gabled dormers
	MultispanForm Form = "multispan gable" // several gables side by side
	ButterflyForm Form = "butterfly"       // two sides that fall toward each other
	OtherForm     Form = "none with a name"
)

// Form names the shape of one part of the roof (see Parts); level is the slope up to which a roof is called flat, degrees.
func (r *Roof) Form(part []int, level float64) Form {
	flat := true
	for _, p := range part {
		flat = flat && r.planes[p].Slope <= level
	}
	if flat {
		return FlatForm
	}
	var ridges, hips, rakes, hollows int
	for _, p := range part {
		for _, e := range r.edges[p] {
			switch {
			case e.Kind == Ridge:
				ridges++
			case e.Kind == Hip:
				hips++
			case e.Kind == Rake && e.Neighbour < 0:
				rakes++
			case e.Kind == Valley && math.Abs(e.To.Y-e.From.Y) <= levelSlack(e.Length()):
				hollows++
			}
		}
	}
	steep := r.steepBelow(part)
	switch {
	case hips > 0 && steep:
		return MansardForm
	case hips > 0 && rakes > 0:
		return HipGableForm
	case hips > 0:
		return HipForm
	case ridges > 0 && hollows > 0:
		return MultispanForm
	case ridges > 0 && steep:
		return GambrelForm
	case ridges > 0:
		return GableForm
	case hollows > 0:
		return ButterflyForm
	case r.fallsOneWay(part):
		return MonoslopeForm
	}
	return OtherForm
}

// steepBelow tells whether a part has two changes of pitch or more with the steeper plane below.
func (r *Roof) steepBelow(part []int) bool {
	steep := 0
	for _, p := range part {
		for _, e := range r.edges[p] {
			if e.Kind != Break || e.Neighbour < 0 || e.From.X < e.To.X {
				continue // the upper edges of p run leftward
			}
			if r.planes[p].Slope > r.planes[e.Neighbour].Slope+1 {
				steep++
			}
		}
	}
	return steep > 1
}

// fallsOneWay tells whether the planes of a part all fall the same way, within a degree.
func (r *Roof) fallsOneWay(part []int) bool {
	for _, p := range part {
		if r.frames[p].up.dot(r.frames[part[0]].up) < math.Cos(math.Pi/180) {
			return false
		}
	}
	return true
}

// Levels are heights of planes above the datum of their elevations, metres.
type Levels struct {
	LowestEave  float64
	HighestEave float64
	Top         float64 // the highest point
}

// Levels measures planes in height. Where none of them has an eave the lowest points stand for it. The plane that has no elevation is
// given as missing, -1 where all have one; without it nothing is known.
func (r *Roof) Levels(planes []int) (l Levels, missing int) {
	l = Levels{math.Inf(1), math.Inf(-1), math.Inf(-1)}
	lowest := math.Inf(1)
	for _, p := range planes {
		z := r.planes[p].Elevation
		if z == nil {
			return Levels{}, p
		}
		lowest = min(lowest, *z)
		for _, c := range r.planes[p].Outline {
			l.Top = max(l.Top, *z+r.frames[p].Rise(c))
		}
		for _, e := range r.edges[p] {
			if e.Index >= len(r.planes[p].Outline) || e.Neighbour >= 0 || aloneKind(e.From, e.To, r.frames[p].cos) != Eave {
				continue
			}
			at := *z + e.From.Y*r.frames[p].cos*r.frames[p].tan
			l.LowestEave, l.HighestEave = min(l.LowestEave, at), max(l.HighestEave, at)
		}
	}
	if math.IsInf(l.LowestEave, 1) {
		l.LowestEave, l.HighestEave = lowest, lowest
	}
	return l, -1
}

// Meeting is a place at the top of a plane where another meets it from the other side, so that the height of one tells that of the other.
type Meeting struct {
	Plane, Other int
	Missing      int     // the one of the two whose elevation is not known, which leaves heights and slope unknown; -1 for none
	At           Point   // in plan view
	Run          float64 // plan distance along the fall from there to the height of the lowest edge of the plane, metres
	Own, Across  float64 // height of the place by the plane's own slope and by the other plane, metres above their datum
	Slope        float64 // that the plane would have from its lowest edge to the height across, degrees
}

// Meetings lists where a plane meets others from which both fall away: at ridges and hips, and at edges that would be one if the heights
// agreed. Edges that the job states as another kind are left out, as are those of two planes without elevations.
func (r *Roof) Meetings(plane int) []Meeting {
	z, f := r.planes[plane].Elevation, r.frames[plane]
	var all []Meeting
	for _, e := range r.edges[plane] {
		if e.Neighbour < 0 {
			continue
		}
		across := r.planes[e.Neighbour].Elevation
		if z == nil && across == nil {
			continue
		}
		k := r.stated(e)
		if k == Unstated {
			k = r.stated(r.edges[e.Neighbour][e.mate])
		}
		if k != Unstated && k != Ridge && k != Hip {
			continue
		}
		a, b, g := f.ToPlan(e.From), f.ToPlan(e.To), r.frames[e.Neighbour]
		out := b.sub(a).unit().left().mul(-1)
		if f.up.dot(out) <= 1e-3 || g.gradient().dot(out) >= -1e-3 {
			continue // one of the two does not fall away
		}
		at := a
		if f.Rise(b) > f.Rise(a) {
			at = b
		}
		m := Meeting{Plane: plane, Other: e.Neighbour, Missing: -1, At: at, Run: at.sub(f.origin).dot(f.up)}
		switch {
		case m.Run <= Tolerance:
			continue
		case z == nil:
			m.Missing = plane
		case across == nil:
			m.Missing = e.Neighbour
		default:
			m.Own, m.Across = *z+f.Rise(at), *across+g.Rise(at)
			m.Slope = math.Atan2(m.Across-*z, m.Run) * 180 / math.Pi
		}
		all = append(all, m)
	}
	return all
}
