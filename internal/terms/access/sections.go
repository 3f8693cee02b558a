package access

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/roofplan"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/arrays"
	"plumbrule/internal/terms/roofs"
)

// parted is the modules on planes that join, parted into sections, and the
// aisles between these.
type parted struct {
	first    int // the first plane, by which the surface is known
	planes   []int
	modules  *roofplan.Spread
	whole    float64 // extent of all modules together
	sections []*sectionMark
	aisles   []*aisleMark
}

// sectionMark is one section of the modules on planes that join.
type sectionMark struct {
	surface   int // first plane of the surface
	name      string
	number    int // among the sections of its first plane
	plane     *job.Plane
	planes    []*job.Plane
	arrays    []*job.Array
	extent    float64
	narrowest *aisleMark // of the aisles beside it; nil where there is none
}

// partedAt parts the modules on the planes that join a plane, which is the
// first of them, where a way of the code's width opens.
var partedAt = terms.AnalyseBy(submittalKind, "sections", func(c *terms.Call, j *job.Job, first int) *parted {
	s := roofs.Geometry.Of(c, j)
	if c.Stop() {
		return nil
	}
	p := &parted{first: first, planes: s.Roof.JoinedTo(first)}
	p.settleJoints(c, s)
	for _, plane := range p.planes {
		c.Need(s.ModuleNeeds[s.Roof.Plane(plane).Name]...)
	}
	sizes := roofplan.AisleSizes{
		Way:    accessSize(c, "between sections", "width"),
		Cutout: [2]float64{accessSize(c, "venting cutout", "width"), accessSize(c, "venting cutout", "length")},
		// A way that vents by itself is to be seen to do so, not only the narrower ones.
		Reach: 2 * accessSize(c, "venting way", "width"),
	}
	if c.Stop() {
		return nil
	}
	p.modules = s.Roof.Spread(p.itemsOn(s.Modules))
	for _, whole := range p.modules.Together() {
		p.whole = max(p.whole, whole.Extent())
	}
	sections := p.modules.Sections(sizes.Way)
	for k := range sections {
		p.addSection(j, s, &sections[k])
	}
	p.addAisles(p.modules.Aisles(sections, sizes, s.Roof.Spread(p.itemsOn(s.Obstacles))))
	return p
})

// settleJoints needs what would settle whether the modules of this surface are
// joined to those of another, or of the same one elsewhere.
func (p *parted) settleJoints(c *terms.Call, s *roofs.State) {
	for _, d := range s.Roof.Doubts() {
		a, b := slices.Contains(p.planes, d.A), slices.Contains(p.planes, d.B)
		if (a || b) && carriesAny(c, s, s.Roof.JoinedTo(d.A)) && carriesAny(c, s, s.Roof.JoinedTo(d.B)) {
			roofs.Certain(c, d.A)
		}
	}
}

// carriesAny tells whether an array lies on any of some planes.
func carriesAny(c *terms.Call, s *roofs.State, planes []int) bool {
	return slices.ContainsFunc(planes, func(p int) bool { return carries(c, s, p) })
}

// itemsOn keeps the place of each item, and empties those on other surfaces.
func (p *parted) itemsOn(items []roofplan.Item) []roofplan.Item {
	own := slices.Clone(items)
	for i := range own {
		if !slices.Contains(p.planes, own[i].Plane) {
			own[i] = roofplan.Item{Plane: -1}
		}
	}
	return own
}

func (p *parted) addSection(j *job.Job, s *roofs.State, section *roofplan.Section) {
	x := &sectionMark{surface: p.first, number: 1, extent: section.Extent()}
	for _, plane := range section.Planes {
		x.planes = append(x.planes, &j.Planes[plane])
	}
	x.plane = x.planes[0]
	for _, i := range section.Items {
		if a := s.ArrayOf[i]; !slices.Contains(x.arrays, a) {
			x.arrays = append(x.arrays, a)
		}
	}
	for _, other := range p.sections {
		if other.plane == x.plane {
			x.number++
		}
	}
	x.name = fmt.Sprint(x.plane.Name.Value, " ", x.number)
	p.sections = append(p.sections, x)
}

// surfaces calls visit with each surface of the roof that carries arrays: the
// plane by which it is known, the first plane with arrays, and what is not
// known of it. Where the roof is not known each plane stands by itself.
func surfaces(c *terms.Call, visit func(p *parted, plane *job.Plane, needs []terms.Need)) {
	s, needs := roofs.Geometry.Try(c, c.Job())
	done := map[int]bool{}
	for i := range c.Job().Planes {
		plane := &c.Job().Planes[i]
		if len(arrays.On(c, plane.Name.Value)) == 0 {
			continue
		}
		if len(needs) > 0 {
			visit(nil, plane, needs)
			continue
		}
		if first := s.Roof.JoinedTo(i)[0]; !done[first] {
			done[first] = true
			p, missing := partedAt.Try(c, c.Job(), first)
			visit(p, plane, missing)
		}
	}
}

// Section is the kind of sections.
var Section = terms.NewKind("section", "sections", "modules on planes of the roof that join, with no pathway between them, as the rules for buildings other than dwellings part them", func(c *terms.Call, k terms.KindOf[sectionMark]) []*terms.Subject {
	var out []*terms.Subject
	surfaces(c, func(p *parted, plane *job.Plane, needs []terms.Need) {
		if len(needs) > 0 {
			out = append(out, k.Unknown(plane.Name.Value+" (all)", job.KeyPath("plane", &plane.Entity), plane.At, needs))
			return
		}
		for _, x := range p.sections {
			key := job.Join(job.Join(job.KeyPath("plane", &x.plane.Entity), "section"), strconv.Itoa(x.number))
			out = append(out, k.Subject(x.name, key, x.plane.At, x))
		}
	})
	return out
})

// ofSection declares a term of sections, which rests on how the roof is parted.
func ofSection[V any](name string, t terms.TypeOf[V], meaning, source, calculator string, f func(c *terms.Call, x *sectionMark) V) terms.TermOf[sectionMark, V] {
	return terms.Derive(Section, name, t, meaning, source, calculator, func(c *terms.Call, x *sectionMark) V {
		partedAt.Of(c, c.Job(), x.surface)
		return f(c, x)
	})
}

var _ = ofSection("plane", terms.ThingOf(planeKind), "the first plane that it lies on", "the job", "", func(c *terms.Call, x *sectionMark) *job.Plane { return x.plane })

var _ = ofSection("planes", terms.ListOf(planeKind), "the planes that it lies on", "geometry", "", func(c *terms.Call, x *sectionMark) []*job.Plane { return x.planes })

var _ = ofSection("arrays", terms.ListOf(arrayKind), "the arrays whose modules make it up", "geometry", "", func(c *terms.Call, x *sectionMark) []*job.Array { return x.arrays })

var _ = ofSection("largest_extent", terms.Quantity(quantity.Length), "larger of its length and depth, along the surface over ridges and other joints", "geometry", "", func(c *terms.Call, x *sectionMark) float64 { return x.extent })

var _ = ofSection("has_next", terms.YesNo, "whether another section faces it", "geometry", "", func(c *terms.Call, x *sectionMark) bool { return x.narrowest != nil })

var _ = ofSection("gap", terms.Quantity(quantity.Length), "width of the narrowest aisle beside it", "geometry", "",
	func(c *terms.Call, x *sectionMark) float64 { return besideSection(c, x, aisleWidth) })

var _ = ofSection("gap_beside_vents", terms.Quantity(quantity.Length), "width of the narrowest aisle beside it that is left beside a gravity smoke vent standing in it; zero where none stands there", "geometry", "",
	func(c *terms.Call, x *sectionMark) float64 { return besideSection(c, x, aisleBesideVents) })

var _ = ofSection("gap_beside_skylights", terms.Quantity(quantity.Length), "width of the narrowest aisle beside it that is left beside a skylight standing in it; zero where none stands there", "geometry", "",
	func(c *terms.Call, x *sectionMark) float64 { return besideSection(c, x, aisleBesideSkylights) })

var _ = ofSection("has_cutouts", terms.YesNo, "whether a venting cutout of the code's size borders the narrowest aisle beside it", "geometry", "",
	func(c *terms.Call, x *sectionMark) bool { return besideSection(c, x, aisleCutouts) > 0 })

var _ = ofSection("cutout_interval", terms.Quantity(quantity.Length), "longest stretch of the narrowest aisle beside it without a venting cutout of the code's size, on alternating sides", "geometry", "",
	func(c *terms.Call, x *sectionMark) float64 { return besideSection(c, x, aisleCutoutInterval) })

// besideSection is a term of the narrowest aisle beside a section.
func besideSection[V any](c *terms.Call, x *sectionMark, term terms.TermOf[aisleMark, V]) (v V) {
	if x.narrowest == nil {
		c.Fail("no other section faces %s", x.name)
		return v
	}
	return term.Of(c, x.narrowest)
}

var _ = terms.Derive(planeKind, "module_extent", terms.Quantity(quantity.Length), "larger of length and depth of all modules on the plane together", "geometry", "", func(c *terms.Call, p *job.Plane) float64 {
	s := roofs.Geometry.Of(c, c.Job())
	c.Need(s.ModuleNeeds[p.Name.Value]...)
	if c.Stop() {
		return 0
	}
	return largestExtent(s.Roof, s.Index[p.Name.Value], s.Modules)
})

// largestExtent is the larger of length and depth of the items on a plane,
// taken together.
func largestExtent(r *roofplan.Roof, plane int, items []roofplan.Item) float64 {
	own := slices.DeleteFunc(slices.Clone(items), func(it roofplan.Item) bool { return it.Plane != plane })
	most := 0.0
	for _, s := range r.Spread(own).Together() {
		most = math.Max(most, s.Extent())
	}
	return most
}

// accessSize reads a size of the table of roof access in the adopted fire
// code, in metres: the IFC, or NFPA 1 where that is adopted alone.
func accessSize(c *terms.Call, row, column string) float64 {
	code, adopted := "IFC", c.Job().Adoption.IFC
	if !terms.Stated(c, adopted) && terms.Stated(c, c.Job().Adoption.NFPA1) {
		code, adopted = "NFPA 1", c.Job().Adoption.NFPA1
	}
	edition := terms.Get(c, adopted)
	if c.Stop() {
		return 0
	}
	t, err := c.Tables().Get(code, edition, "roof-access")
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
