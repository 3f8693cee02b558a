package access

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"plumbrule/internal/job"
	"plumbrule/internal/layout"
	"plumbrule/internal/quantity"
	"plumbrule/internal/roofplan"
)

// sectionMark is one section of the modules on a plane.
type sectionMark struct {
	plane   *job.Plane
	roof    *roofState
	section roofplan.Section
	all     []roofplan.Section // on the plane
}

func defineSections() {
	newKind("section", "sections", "modules on one plane of the roof with no pathway between them, as the rules for buildings other than dwellings part them").all = func(m *Model) []*Subject {
		var out []*Subject
		for i := range m.Job.Planes {
			if p := &m.Job.Planes[i]; slices.ContainsFunc(m.Job.Arrays, func(a job.Array) bool { return a.Plane.Value == p.Name.Value }) {
				out = append(out, m.sections(p)...)
			}
		}
		return out
	}
	derive("section", "plane", thing("plane"), "the plane it lies on", "the job", "", func(c *Call, x *sectionMark) any { return c.Subject("plane", x.plane) })
	derive("section", "largest_extent", measured(quantity.Length), "larger of its length and depth", "geometry", "", func(c *Call, x *sectionMark) any {
		return math.Max(x.section.Length[0], x.section.Length[1])
	})
	derive("section", "has_next", flag, "whether another section lies on the plane", "geometry", "", func(c *Call, x *sectionMark) any { return x.section.Next >= 0 })
	derive("section", "gap", measured(quantity.Length), "width of the way to the nearest other section", "geometry", "", func(c *Call, x *sectionMark) any {
		if x.section.Next < 0 {
			return c.Fail("%s has no other section beside it", c.subject.Name)
		}
		return x.section.Gap
	})
	derive("section", "gap_beside_vents", measured(quantity.Length), "width of the way to the nearest other section that is left beside a smoke vent standing between them; zero where none stands there", "geometry", "",
		func(c *Call, x *sectionMark) any { return c.gapBeside(x, "smoke-vent") })
	derive("section", "gap_beside_skylights", measured(quantity.Length), "width of the way to the nearest other section that is left beside a skylight standing between them; zero where none stands there", "geometry", "",
		func(c *Call, x *sectionMark) any { return c.gapBeside(x, "skylight") })
	derive("section", "has_cutouts", flag, "whether a venting cutout of the code's size borders the way to the nearest other section", "geometry", "", func(c *Call, x *sectionMark) any {
		holes, ok := c.cutouts(x)
		if !ok {
			return nil
		}
		return len(holes) > 0
	})
	derive("section", "cutout_interval", measured(quantity.Length), "longest stretch of the way to the nearest other section without a venting cutout of the code's size, on alternating sides", "geometry", "", func(c *Call, x *sectionMark) any {
		holes, ok := c.cutouts(x)
		if !ok {
			return nil
		}
		return x.longestStretch(holes)
	})
	derive("plane", "module_extent", measured(quantity.Length), "larger of length and depth of all modules on the plane together", "geometry", "", func(c *Call, p *job.Plane) any {
		s := c.geometry()
		c.out.Needs = append(c.out.Needs, s.moduleNeeds[p.Name.Value]...)
		if c.Stop() {
			return nil
		}
		return largestExtent(s.roof, s.index[p.Name.Value], s.modules)
	})
}

// sections parts the modules on a plane where a way of the code's width opens.
func (m *Model) sections(p *job.Plane) []*Subject {
	k, key := kinds["section"], "plane."+p.Name.Value
	c := &Call{m: m, subject: m.subjectOf("plane", p)}
	s := c.geometry()
	c.out.Needs = append(c.out.Needs, s.moduleNeeds[p.Name.Value]...)
	width := c.accessSize("between sections", "width")
	if c.Stop() {
		return []*Subject{unknownSubject(k, p.Name.Value+" (all)", key, p.At, c.out.Needs)}
	}
	all := s.roof.Sections(s.index[p.Name.Value], s.modules, width)
	out := make([]*Subject, len(all))
	for n, section := range all {
		out[n] = &Subject{Kind: k, Name: fmt.Sprint(p.Name.Value, " ", n+1), Key: key, At: p.At,
			data: &sectionMark{plane: p, roof: s, section: section, all: all}}
	}
	return out
}

// gapBeside is the widest way left beside an obstruction of a kind that stands
// between a section and the next.
func (c *Call) gapBeside(x *sectionMark, kind string) any {
	if x.section.Next < 0 {
		return c.Fail("%s has no other section beside it", c.subject.Name)
	}
	best := 0.0
	for i := range c.m.Job.Obstructions {
		o := &c.m.Job.Obstructions[i]
		if o.Plane.Value != x.plane.Name.Value || o.Kind.Value != kind {
			continue
		}
		_, it, ok := c.obstacle(o)
		if !ok {
			return nil
		}
		own := x.roof.nearest(it.Shape, x.section.Items)
		other := x.roof.nearest(it.Shape, x.all[x.section.Next].Items)
		if wider := math.Max(own, other); wider <= x.section.Gap {
			best = math.Max(best, wider)
		}
	}
	return best
}

// accessSize reads a size of the table of roof access, in metres.
func (c *Call) accessSize(row, column string) float64 {
	edition := Get(c, c.m.Job.Adoption.IFC)
	if c.Stop() {
		return 0
	}
	t, err := c.m.Tables.Get("IFC", edition, "roof-access")
	if err != nil {
		c.Err(err)
		return 0
	}
	feet, ok := t.Number(row, column)
	if !ok {
		c.Fail("table %s has no %s of %s", t.Name, column, row)
	}
	c.out.Refs = append(c.out.Refs, t.Ref(row))
	return feet * quantity.Foot
}

// hole is an opening in an array that borders the way between two sections.
type hole struct {
	far      bool    // on the side of the other section
	from, to float64 // along the way
}

// cutouts lists the openings of the code's size on both sides of the way to
// the nearest other section, in order along it.
func (c *Call) cutouts(x *sectionMark) ([]hole, bool) {
	if x.section.Next < 0 {
		c.Fail("%s has no other section beside it", c.subject.Name)
		return nil, false
	}
	least, most := c.accessSize("venting cutout", "width"), c.accessSize("venting cutout", "length")
	if c.Stop() {
		return nil, false
	}
	next := x.all[x.section.Next]
	along := x.along()
	var out []hole
	for far, sides := range [2][2]roofplan.Section{{x.section, next}, {next, x.section}} {
		for _, a := range x.arraysOf(sides[0]) {
			for _, r := range openings(a, c.m.layout(a).array) {
				short, long := math.Min(r.Width, r.Height), math.Max(r.Width, r.Height)
				borders := x.roof.nearest(r.Shape(), sides[1].Items) <= x.section.Gap+roofplan.Tolerance
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
	own, other = x.roof.facing(own, other, x.section.Gap), x.roof.facing(other, own, x.section.Gap)
	least := math.Inf(1)
	var d roofplan.Point
	for _, i := range own {
		for _, j := range other {
			if gap, p, q := roofplan.Distance(x.roof.modules[i].Shape, x.roof.modules[j].Shape); gap < least {
				least, d = gap, roofplan.Point{X: (q.X - p.X) / gap, Y: (q.Y - p.Y) / gap}
			}
		}
	}
	return roofplan.Point{X: -d.Y, Y: d.X}
}

// facing keeps of some modules those that others, as far as these reach along
// and up the plane, can be as near to as a distance.
func (s *roofState) facing(modules, others []int, distance float64) []int {
	minX, maxX, minY, maxY := s.reach(others)
	distance += roofplan.Tolerance
	return slices.DeleteFunc(slices.Clone(modules), func(i int) bool {
		x0, x1, y0, y1 := s.reach([]int{i})
		return math.Hypot(max(minX-x1, x0-maxX, 0), max(minY-y1, y0-maxY, 0)) > distance
	})
}

// reach is how far modules reach along and up their plane.
func (s *roofState) reach(modules []int) (minX, maxX, minY, maxY float64) {
	minX, maxX, minY, maxY = math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	for _, i := range modules {
		x0, x1 := extent(s.modules[i].Shape, roofplan.Point{X: 1})
		y0, y1 := extent(s.modules[i].Shape, roofplan.Point{Y: 1})
		minX, maxX, minY, maxY = min(minX, x0), max(maxX, x1), min(minY, y0), max(maxY, y1)
	}
	return minX, maxX, minY, maxY
}

// arraysOf lists the arrays whose modules make up a section.
func (x *sectionMark) arraysOf(s roofplan.Section) []*job.Array {
	var out []*job.Array
	for _, i := range s.Items {
		if a := x.roof.arrayOf[i]; !slices.Contains(out, a) {
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
			a, b := extent(x.roof.modules[i].Shape, along)
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
func openings(a *job.Array, l *layout.Array) []roofplan.Rect {
	free := map[layout.Cell]bool{}
	for _, o := range a.Omit.Value {
		free[layout.Cell{Row: o.Row, Column: o.Column}] = true
	}
	rows, columns := a.Rows.Value, a.Columns.Value
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
func (s *roofState) nearest(shape roofplan.Shape, modules []int) float64 {
	least := math.Inf(1)
	for _, i := range modules {
		d, _, _ := roofplan.Distance(shape, s.modules[i].Shape)
		least = math.Min(least, d)
	}
	return least
}
