package access

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"

	"plumbrule/internal/job"
	"plumbrule/internal/layout"
	"plumbrule/internal/quantity"
	"plumbrule/internal/roofplan"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/arrays"
	"plumbrule/internal/terms/roofs"
)

// parted is the modules of a plane parted into sections.
type parted struct {
	roof *roofs.State
	all  []roofplan.Section
}

// partedOn parts the modules on a plane where a way of the code's width opens.
var partedOn = terms.Analyse(planeKind, "sections", func(c *terms.Call, p *job.Plane) *parted {
	s := roofs.Geometry.Of(c, c.Job())
	c.Need(s.ModuleNeeds[p.Name.Value]...)
	width := accessSize(c, "between sections", "width")
	if c.Stop() {
		return nil
	}
	return &parted{s, s.Roof.Sections(s.Index[p.Name.Value], s.Modules, width)}
})

// sectionMark is one section of the modules on a plane.
type sectionMark struct {
	*parted
	plane   *job.Plane
	section roofplan.Section
}

// Section is the kind of sections.
var Section = terms.NewKind("section", "sections", "modules on one plane of the roof with no pathway between them, as the rules for buildings other than dwellings part them", func(c *terms.Call, k terms.KindOf[sectionMark]) []*terms.Subject {
	var out []*terms.Subject
	for _, p := range planeKind.All(c) {
		if len(arraysOn(c, p.Name.Value)) == 0 {
			continue
		}
		key := job.KeyPath("plane", &p.Entity)
		s, needs := partedOn.Try(c, p)
		if len(needs) > 0 {
			out = append(out, k.Unknown(p.Name.Value+" (all)", key, p.At, needs))
			continue
		}
		for i, section := range s.all {
			own := job.Join(job.Join(key, "section"), strconv.Itoa(i+1))
			out = append(out, k.Subject(fmt.Sprint(p.Name.Value, " ", i+1), own, p.At, &sectionMark{s, p, section}))
		}
	}
	return out
})

// ofSection declares a term of sections, which rests on how the plane is parted.
func ofSection[V any](name string, t terms.TypeOf[V], meaning, source, calculator string, f func(c *terms.Call, x *sectionMark) V) terms.TermOf[sectionMark, V] {
	return terms.Derive(Section, name, t, meaning, source, calculator, func(c *terms.Call, x *sectionMark) V {
		partedOn.Of(c, x.plane)
		return f(c, x)
	})
}

var _ = ofSection("plane", terms.ThingOf(planeKind), "the plane it lies on", "the job", "", func(c *terms.Call, x *sectionMark) *job.Plane { return x.plane })

var _ = ofSection("largest_extent", terms.Quantity(quantity.Length), "larger of its length and depth", "geometry", "", func(c *terms.Call, x *sectionMark) float64 {
	return math.Max(x.section.Length[0], x.section.Length[1])
})

var _ = ofSection("has_next", terms.YesNo, "whether another section lies on the plane", "geometry", "", func(c *terms.Call, x *sectionMark) bool { return x.section.Next >= 0 })

var _ = ofSection("gap", terms.Quantity(quantity.Length), "width of the way to the nearest other section", "geometry", "", func(c *terms.Call, x *sectionMark) float64 {
	if x.section.Next < 0 {
		c.Fail("%s has no other section beside it", c.Name())
		return 0
	}
	return x.section.Gap
})

var _ = ofSection("gap_beside_vents", terms.Quantity(quantity.Length), "width of the way to the nearest other section that is left beside a smoke vent standing between them; zero where none stands there", "geometry", "",
	func(c *terms.Call, x *sectionMark) float64 { return gapBeside(c, x, "smoke-vent") })

var _ = ofSection("gap_beside_skylights", terms.Quantity(quantity.Length), "width of the way to the nearest other section that is left beside a skylight standing between them; zero where none stands there", "geometry", "",
	func(c *terms.Call, x *sectionMark) float64 { return gapBeside(c, x, "skylight") })

var _ = ofSection("has_cutouts", terms.YesNo, "whether a venting cutout of the code's size borders the way to the nearest other section", "geometry", "", func(c *terms.Call, x *sectionMark) bool {
	holes, ok := cutouts(c, x)
	if !ok {
		return false
	}
	return len(holes) > 0
})

var _ = ofSection("cutout_interval", terms.Quantity(quantity.Length), "longest stretch of the way to the nearest other section without a venting cutout of the code's size, on alternating sides", "geometry", "", func(c *terms.Call, x *sectionMark) float64 {
	holes, ok := cutouts(c, x)
	if !ok {
		return 0
	}
	return x.longestStretch(holes)
})

var _ = terms.Derive(planeKind, "module_extent", terms.Quantity(quantity.Length), "larger of length and depth of all modules on the plane together", "geometry", "", func(c *terms.Call, p *job.Plane) float64 {
	s := roofs.Geometry.Of(c, c.Job())
	c.Need(s.ModuleNeeds[p.Name.Value]...)
	if c.Stop() {
		return 0
	}
	return largestExtent(s.Roof, s.Index[p.Name.Value], s.Modules)
})

// gapBeside is the widest way left beside an obstruction of a kind that stands
// between a section and the next.
func gapBeside(c *terms.Call, x *sectionMark, kind string) float64 {
	if x.section.Next < 0 {
		c.Fail("%s has no other section beside it", c.Name())
		return 0
	}
	best := 0.0
	for i := range c.Job().Obstructions {
		o := &c.Job().Obstructions[i]
		if terms.Peek(c, o.Plane) != x.plane.Name.Value || terms.Peek(c, o.Kind) != kind {
			continue
		}
		_, it, ok := obstacle(c, o)
		if !ok {
			return 0
		}
		own := nearest(x.roof, it.Shape, x.section.Items)
		other := nearest(x.roof, it.Shape, x.all[x.section.Next].Items)
		if wider := math.Max(own, other); wider <= x.section.Gap {
			best = math.Max(best, wider)
		}
	}
	return best
}

// accessSize reads a size of the table of roof access, in metres.
func accessSize(c *terms.Call, row, column string) float64 {
	edition := terms.Get(c, c.Job().Adoption.IFC)
	if c.Stop() {
		return 0
	}
	t, err := c.Tables().Get("IFC", edition, "roof-access")
	if err != nil {
		c.Err(err)
		return 0
	}
	size, ok := t.Quantity(row, column)
	if !ok {
		c.Fail("table %s has no %s of %s", t.Name, column, row)
	}
	c.Cite(t.Ref(row))
	return size
}

// hole is an opening in an array that borders the way between two sections.
type hole struct {
	far      bool    // on the side of the other section
	from, to float64 // along the way
}

// cutouts lists the openings of the code's size on both sides of the way to
// the nearest other section, in order along it.
func cutouts(c *terms.Call, x *sectionMark) ([]hole, bool) {
	if x.section.Next < 0 {
		c.Fail("%s has no other section beside it", c.Name())
		return nil, false
	}
	least, most := accessSize(c, "venting cutout", "width"), accessSize(c, "venting cutout", "length")
	if c.Stop() {
		return nil, false
	}
	next := x.all[x.section.Next]
	along := x.along()
	var out []hole
	for far, sides := range [2][2]roofplan.Section{{x.section, next}, {next, x.section}} {
		for _, a := range x.arraysOf(sides[0]) {
			for _, r := range openings(c, a, arrays.Modules.Of(c, a)) {
				short, long := math.Min(r.Width, r.Height), math.Max(r.Width, r.Height)
				borders := nearest(x.roof, r.Shape(), sides[1].Items) <= x.section.Gap+roofplan.Tolerance
				if borders && quantity.AtLeast(short, least) && quantity.AtLeast(long, most) {
					from, to := extent(r.Shape(), along)
					out = append(out, hole{far == 1, from, to})
				}
			}
		}
	}
	slices.SortFunc(out, func(a, b hole) int { return cmp.Compare(a.from, b.from) })
	return out, true
}

// along is the direction of the way between the section and the next one:
// square to the shortest line between their modules.
func (x *sectionMark) along() roofplan.Point {
	own, other := x.section.Items, x.all[x.section.Next].Items
	own, other = facing(x.roof, own, other, x.section.Gap), facing(x.roof, other, own, x.section.Gap)
	least := math.Inf(1)
	var d roofplan.Point
	for _, i := range own {
		for _, j := range other {
			if gap, p, q := roofplan.Distance(x.roof.Modules[i].Shape, x.roof.Modules[j].Shape); gap < least {
				least, d = gap, roofplan.Point{X: (q.X - p.X) / gap, Y: (q.Y - p.Y) / gap}
			}
		}
	}
	return roofplan.Point{X: -d.Y, Y: d.X}
}

// facing keeps of some modules those that others, as far as these reach along
// and up the plane, can be as near to as a distance.
func facing(s *roofs.State, modules, others []int, distance float64) []int {
	minX, maxX, minY, maxY := reach(s, others)
	distance += roofplan.Tolerance
	return slices.DeleteFunc(slices.Clone(modules), func(i int) bool {
		x0, x1, y0, y1 := reach(s, []int{i})
		return math.Hypot(max(minX-x1, x0-maxX, 0), max(minY-y1, y0-maxY, 0)) > distance
	})
}

// reach is how far modules reach along and up their plane.
func reach(s *roofs.State, modules []int) (minX, maxX, minY, maxY float64) {
	minX, maxX, minY, maxY = math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	for _, i := range modules {
		x0, x1 := extent(s.Modules[i].Shape, roofplan.Point{X: 1})
		y0, y1 := extent(s.Modules[i].Shape, roofplan.Point{Y: 1})
		minX, maxX, minY, maxY = min(minX, x0), max(maxX, x1), min(minY, y0), max(maxY, y1)
	}
	return minX, maxX, minY, maxY
}

// arraysOf lists the arrays whose modules make up a section.
func (x *sectionMark) arraysOf(s roofplan.Section) []*job.Array {
	var out []*job.Array
	for _, i := range s.Items {
		if a := x.roof.ArrayOf[i]; !slices.Contains(out, a) {
			out = append(out, a)
		}
	}
	return out
}

// longestStretch is the longest part of the way, where both sections lie along
// it, that no hole borders. A hole on the same side as the one before it does
// not count: the sides alternate.
func (x *sectionMark) longestStretch(holes []hole) float64 {
	along := x.along()
	from, to := math.Inf(-1), math.Inf(1)
	for _, s := range []roofplan.Section{x.section, x.all[x.section.Next]} {
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, i := range s.Items {
			a, b := extent(x.roof.Modules[i].Shape, along)
			lo, hi = math.Min(lo, a), math.Max(hi, b)
		}
		from, to = math.Max(from, lo), math.Min(to, hi)
	}
	longest, at := 0.0, from
	for i, h := range holes {
		if i > 0 && h.far == holes[i-1].far {
			continue
		}
		longest, at = math.Max(longest, h.from-at), math.Max(at, h.to)
	}
	return math.Max(longest, to-at)
}

// extent is the range of a shape's corners along a direction.
func extent(s roofplan.Shape, along roofplan.Point) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, p := range s.Corners() {
		d := p.X*along.X + p.Y*along.Y
		lo, hi = math.Min(lo, d), math.Max(hi, d)
	}
	return lo, hi
}

// openings lists the rectangular groups of places without a module in an
// array, on the surface. The gap to the module beside a group belongs to it.
func openings(call *terms.Call, a *job.Array, l *layout.Array) []roofplan.Rect {
	free := map[layout.Cell]bool{}
	for _, o := range terms.Peek(call, a.Omit) {
		free[layout.Cell{Row: o.Row, Column: o.Column}] = true
	}
	rows, columns := terms.Peek(call, a.Rows), terms.Peek(call, a.Columns)
	var out []roofplan.Rect
	for r := 1; r <= rows; r++ {
		for c := 1; c <= columns; c++ {
			if !free[layout.Cell{Row: r, Column: c}] {
				continue
			}
			top, right := r, c // the last row and column of the group
			for free[layout.Cell{Row: r, Column: right + 1}] {
				right++
			}
			for full(free, top+1, c, right) {
				top++
			}
			for i := r; i <= top; i++ {
				for j := c; j <= right; j++ {
					delete(free, layout.Cell{Row: i, Column: j})
				}
			}
			left, end := side(c-1, right, columns, l.Width, l.GapX)
			low, high := side(r-1, top, rows, l.Height, l.GapY)
			middle := l.Frame.ToSurface(layout.Point{X: (left + end) / 2, Y: (low + high) / 2})
			out = append(out, roofplan.Rect{Centre: roofplan.Point{X: middle.X, Y: middle.Y}, Width: end - left, Height: high - low, Turn: l.Frame.Rotation})
		}
	}
	return out
}

// full tells whether a row of places is free from one column to another.
func full(free map[layout.Cell]bool, row, from, to int) bool {
	for c := from; c <= to; c++ {
		if !free[layout.Cell{Row: row, Column: c}] {
			return false
		}
	}
	return true
}

// side is the range in the frame of the array that is clear between before and
// after places of last, with the gaps to the modules on either side.
func side(before, after, last int, module, gap float64) (from, to float64) {
	from, to = float64(before)*(module+gap), float64(after)*(module+gap)-gap
	if before > 0 {
		from -= gap
	}
	if after < last {
		to += gap
	}
	return from, to
}

// nearest is the distance of a shape to the nearest of some modules.
func nearest(s *roofs.State, shape roofplan.Shape, modules []int) float64 {
	least := math.Inf(1)
	for _, i := range modules {
		d, _, _ := roofplan.Distance(shape, s.Modules[i].Shape)
		least = math.Min(least, d)
	}
	return least
}
