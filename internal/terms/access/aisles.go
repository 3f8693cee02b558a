package access

import (
	"math"
	"slices"
	"strconv"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/roofplan"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/roofs"
)

// aisleMark is the way between two sections that face each other.
type aisleMark struct {
	surface  *parted
	name     string
	number   int // among the aisles of the first section's first plane
	sections []*sectionMark
	roofplan.Aisle
}

// addAisles puts the ways between sections beside them.
func (p *parted) addAisles(all []roofplan.Aisle) {
	for _, a := range all {
		one, other := p.sections[a.A], p.sections[a.B]
		x := &aisleMark{surface: p, name: one.name + " to " + other.name, number: 1, sections: []*sectionMark{one, other}, Aisle: a}
		for _, before := range p.aisles {
			if before.sections[0].plane == one.plane {
				x.number++
			}
		}
		for _, s := range x.sections {
			if s.narrowest == nil || a.Width < s.narrowest.Width {
				s.narrowest = x
			}
		}
		p.aisles = append(p.aisles, x)
	}
}

// Aisle is the kind of ways between sections.
var Aisle = terms.NewKind("aisle", "aisles", "way between two sections of modules that face each other, every one, up to twice the width that vents by itself", func(c *terms.Call, k terms.KindOf[aisleMark]) []*terms.Subject {
	var out []*terms.Subject
	surfaces(c, func(p *parted, plane *job.Plane, needs []terms.Need) {
		if len(needs) > 0 {
			out = append(out, k.Unknown(plane.Name.Value+" (all)", job.KeyPath("plane", &plane.Entity), plane.At, needs))
			return
		}
		for _, x := range p.aisles {
			plane := x.sections[0].plane
			key := job.Join(job.Join(job.KeyPath("plane", &plane.Entity), "aisle"), strconv.Itoa(x.number))
			out = append(out, k.Subject(x.name, key, plane.At, x))
		}
	})
	return out
})

// ofAisle declares a term of aisles, which rests on how the roof is parted.
func ofAisle[V any](name string, t terms.TypeOf[V], meaning, source, calculator string, f func(c *terms.Call, x *aisleMark) V) terms.TermOf[aisleMark, V] {
	return terms.Derive(Aisle, name, t, meaning, source, calculator, func(c *terms.Call, x *aisleMark) V {
		partedAt.Of(c, c.Job(), x.surface.first)
		return f(c, x)
	})
}

var _ = ofAisle("sections", terms.ListOf(Section), "the two sections that it parts", "geometry", "", func(c *terms.Call, x *aisleMark) []*sectionMark { return x.sections })

var _ = ofAisle("plane", terms.ThingOf(planeKind), "the first plane of its first section", "geometry", "", func(c *terms.Call, x *aisleMark) *job.Plane { return x.sections[0].plane })

var _ = ofAisle("arrays", terms.ListOf(arrayKind), "the arrays on both sides of it", "geometry", "", func(c *terms.Call, x *aisleMark) []*job.Array {
	all := slices.Clone(x.sections[0].arrays)
	for _, a := range x.sections[1].arrays {
		if !slices.Contains(all, a) {
			all = append(all, a)
		}
	}
	return all
})

var aisleWidth = ofAisle("width", terms.Quantity(quantity.Length), "its width at the narrowest place, along the surface", "geometry", "", func(c *terms.Call, x *aisleMark) float64 {
	c.Explain(func(sys quantity.System) []string {
		return []string{"the way between " + x.sections[0].name + " and " + x.sections[1].name + " is narrowest from " +
			place(x.OnA, sys) + " to " + place(x.OnB, sys) + " in plan view, and " + length(x.Length, sys) + " long"}
	}, nil)
	return x.Width
})

// place is a point of the plan in words.
func place(p roofplan.Point, sys quantity.System) string {
	return "(" + length(p.X, sys) + ", " + length(p.Y, sys) + ")"
}

var _ = ofAisle("length", terms.Quantity(quantity.Length), "length along which the two sections face each other", "geometry", "", func(c *terms.Call, x *aisleMark) float64 { return x.Length })

var _ = ofAisle("module_extent", terms.Quantity(quantity.Length), "larger of length and depth of all modules together on the planes that join here", "geometry", "", func(c *terms.Call, x *aisleMark) float64 { return x.surface.whole })

var _ = ofAisle("has_vents", terms.YesNo, "whether a gravity smoke vent stands in it", "geometry", "", func(c *terms.Call, x *aisleMark) bool {
	_, found := leftBeside(c, x, gravityVent)
	return found
})

var aisleBesideVents = ofAisle("width_beside_vents", terms.Quantity(quantity.Length), "width left in it beside a gravity smoke vent; zero where none stands in it", "geometry", "", func(c *terms.Call, x *aisleMark) float64 {
	width, _ := leftBeside(c, x, gravityVent)
	return width
})

var aisleBesideSkylights = ofAisle("width_beside_skylights", terms.Quantity(quantity.Length), "width left in it beside a skylight; zero where none stands in it", "geometry", "", func(c *terms.Call, x *aisleMark) float64 {
	width, _ := leftBeside(c, x, func(c *terms.Call, o *job.Obstruction) bool { return terms.Peek(c, o.Kind) == "skylight" })
	return width
})

var aisleCutouts = ofAisle("cutouts", terms.WholeNumber, "openings of a venting cutout's size that border it", "geometry: rectangles of roof without modules and obstructions beside the way", "", func(c *terms.Call, x *aisleMark) int {
	if !x.surface.obstaclesKnown(c) {
		return 0
	}
	return x.Cutouts()
})

var aisleCutoutInterval = ofAisle("cutout_interval", terms.Quantity(quantity.Length), "longest stretch of it without a venting cutout of the code's size, on alternating sides, from the edge of one to the edge of the next", "geometry; the lenient reading", "", func(c *terms.Call, x *aisleMark) float64 {
	if !x.surface.obstaclesKnown(c) {
		return 0
	}
	return x.CutoutInterval(false)
})

var _ = ofAisle("cutout_interval_centres", terms.Quantity(quantity.Length), "longest stretch of it without a venting cutout of the code's size, on alternating sides, from the centre of one to the centre of the next", "geometry; the safer reading", "", func(c *terms.Call, x *aisleMark) float64 {
	if !x.surface.obstaclesKnown(c) {
		return 0
	}
	return x.CutoutInterval(true)
})

var _ = ofAisle("clear_width", terms.Quantity(quantity.Length), "its width past what stands in it: the wider way beside each thing that a crew cannot walk over", "geometry", "", func(c *terms.Call, x *aisleMark) float64 {
	width := aisleWidth.Of(c, x)
	for i := range c.Job().Obstructions {
		o := &c.Job().Obstructions[i]
		if terms.Peek(c, o.WalkedOver) || !x.surface.holds(c, o) {
			continue
		}
		_, it, ok := obstacle(c, o)
		if !ok {
			return 0
		}
		if left, in := x.surface.modules.Beside(&x.Aisle, it); in {
			width = math.Min(width, left)
		}
	}
	return width
})

// obstaclesKnown needs what is not known of what stands on the surface.
func (p *parted) obstaclesKnown(c *terms.Call) bool {
	s := roofs.Geometry.Of(c, c.Job())
	for _, plane := range p.planes {
		c.Need(s.ItemNeeds[s.Roof.Plane(plane).Name]...)
	}
	return !c.Stop()
}

// holds tells whether an obstruction stands on the surface.
func (p *parted) holds(c *terms.Call, o *job.Obstruction) bool {
	return slices.Contains(p.planes, roofs.Geometry.Of(c, c.Job()).Index[terms.Peek(c, o.Plane)])
}

// gravityVent tells whether an obstruction is a smoke vent that drops out by
// itself.
func gravityVent(c *terms.Call, o *job.Obstruction) bool {
	return terms.Peek(c, o.Kind) == "smoke-vent" && opens(c, o) == "gravity"
}

// opens is how a smoke vent opens: as it says itself, else as the building
// says of its vents. A building that is said to have none says nothing.
func opens(c *terms.Call, o *job.Obstruction) string {
	if terms.Stated(c, o.Opens) {
		return terms.Peek(c, o.Opens)
	}
	all := terms.Get(c, c.Job().Building.SmokeVents)
	if all == "none" {
		c.Missing(o.Opens.Key, o.Opens.At)
	}
	return all
}

var _ = terms.Derive(obstructionKind, "opens_by", terms.Word, "how a smoke vent opens: as it says itself, else as the building says of all", "the job", "", func(c *terms.Call, o *job.Obstruction) string {
	terms.Drive(c, o.Opens)
	return opens(c, o)
})

// leftBeside is the widest way left in an aisle beside a thing of some sort
// that stands in it.
func leftBeside(c *terms.Call, x *aisleMark, sort func(c *terms.Call, o *job.Obstruction) bool) (width float64, found bool) {
	for i := range c.Job().Obstructions {
		o := &c.Job().Obstructions[i]
		if !x.surface.holds(c, o) || !sort(c, o) {
			continue
		}
		_, it, ok := obstacle(c, o)
		if !ok {
			return 0, false
		}
		if left, in := x.surface.modules.Beside(&x.Aisle, it); in {
			width, found = math.Max(width, left), true
		}
	}
	return width, found
}

var _ = terms.Derive(obstructionKind, "modules_around", terms.YesNo, "whether an array lies on its plane or on one joined to that", "geometry", "", func(c *terms.Call, o *job.Obstruction) bool {
	s := roofs.Geometry.Of(c, c.Job())
	if c.Stop() {
		return false
	}
	return carriesAny(c, s, surfaceOf(s, s.Index[terms.Peek(c, o.Plane)]))
})

var _ = terms.Derive(obstructionKind, "distance_over_joints", terms.Quantity(quantity.Length), "distance on the surface to the nearest module, over ridges, hips, valleys and changes of pitch; zero below one", "geometry", "", func(c *terms.Call, o *job.Obstruction) float64 {
	s := roofs.Geometry.Of(c, c.Job())
	if c.Stop() {
		return 0
	}
	plane := s.Index[terms.Peek(c, o.Plane)]
	p := &parted{planes: surfaceOf(s, plane)}
	p.settleJoints(c, s)
	for _, plane := range p.planes {
		c.Need(s.ModuleNeeds[s.Roof.Plane(plane).Name]...)
	}
	shape := roofs.ObstructionShape.Of(c, o)
	if c.Stop() {
		return 0
	}
	terms.Drive(c, o.At)
	near, ok := modulesSpread.Of(c, c.Job()).Nearest(roofplan.Item{Name: o.Name.Value, Plane: plane, Shape: shape})
	if !ok {
		c.Fail("no module lies on the planes joined to that of %s", o.Name.Value)
		return 0
	}
	c.Explain(func(sys quantity.System) []string {
		return []string{"nearest: a module of array " + s.ArrayOf[near.Item].Name.Value + " on plane " + s.Roof.Plane(s.Modules[near.Item].Plane).Name + ", " + length(near.Distance, sys) + " on the surface"}
	}, nil)
	return near.Distance
})

// modulesSpread is every module laid out to be searched.
var modulesSpread = terms.Analyse(submittalKind, "modules over the roof", func(c *terms.Call, j *job.Job) *roofplan.Spread {
	s := roofs.Geometry.Of(c, j)
	if c.Stop() {
		return nil
	}
	return s.Roof.Spread(s.Modules)
})
