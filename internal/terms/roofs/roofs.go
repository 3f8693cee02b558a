// Package roofs is the vocabulary of roof planes and what stands in them: areas,
// clearances and ways up. Package roofplan computes it.
package roofs

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"plumbrule/internal/job"
	"plumbrule/internal/layout"
	"plumbrule/internal/quantity"
	"plumbrule/internal/roofplan"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/arrays"
)

// State is the roof of a job as geometry.
type State struct {
	Roof  *roofplan.Roof
	Index map[string]int // plane name -> index in Roof
	// Ground marks the planes that are open ground: they carry arrays, but are
	// no part of the roof.
	Ground []bool
	// Modules and Obstacles are every item that a crew goes around; what is not
	// known of them is in ItemNeeds by plane, so that no way is found past a
	// thing whose place is not known, and in ModuleNeeds for modules alone.
	Modules   []roofplan.Item
	Obstacles []roofplan.Item // an obstruction of several pieces is several items of one name
	Stepped   []roofplan.Item // obstructions that a crew steps over, in no way of a way
	ArrayOf   []*job.Array    // for each entry of Modules
	ItemNeeds map[string][]terms.Need

	ModuleNeeds map[string][]terms.Need
}

// laid are the planes of the roof alone, without what stands on them, so that
// what follows from them hangs on no module.
var laid = terms.Analyse(submittalKind, "planes of the roof", func(c *terms.Call, j *job.Job) *State {
	s := &State{Index: map[string]int{}}
	var planes []roofplan.Plane
	for i := range j.Planes {
		p := &j.Planes[i]
		outline := terms.Get(c, p.Outline)
		// On a level plane the bearing tells which way places on it are counted.
		plane := roofplan.Plane{Name: p.Name.Value, Outline: points(outline), Slope: c.Q(p.Slope), Downslope: c.Q(p.Downslope)}
		plane.Elevation = arrays.WhereStated(c, p.EaveElevation)
		plane.Ground = terms.Peek(c, p.Ground)
		for k := range p.Holes {
			plane.Holes = append(plane.Holes, points(terms.Get(c, p.Holes[k].Outline)))
		}
		plane.Kinds = statedKinds(c, p, plane)
		s.Index[plane.Name] = i
		s.Ground = append(s.Ground, plane.Ground)
		planes = append(planes, plane)
	}
	if len(planes) == 0 {
		c.Missing("plane", j.SectionAt("plane"))
	}
	if c.Stop() {
		return s
	}
	roof, err := roofplan.New(planes, limits(c))
	if err != nil {
		at := j.Project.Name.At
		var fault *roofplan.PlaneError
		if errors.As(err, &fault) {
			if i, ok := s.Index[fault.Plane]; ok {
				at = j.Planes[i].At
			}
		}
		c.Need(terms.Need{Why: err.Error(), At: at})
		return s
	}
	s.Roof = roof
	return s
})

// Geometry is the roof of the job; its Roof is nil where it is not known.
var Geometry = terms.Analyse(submittalKind, "geometry of the roof", func(c *terms.Call, j *job.Job) *State {
	planes := *laid.Of(c, j)
	s := &planes
	s.ItemNeeds, s.ModuleNeeds = map[string][]terms.Need{}, map[string][]terms.Need{}
	if s.Roof == nil {
		return s
	}
	for i := range j.Arrays {
		a := &j.Arrays[i]
		plane := terms.Peek(c, a.Plane)
		l, needs := arrays.Modules.Try(c, a)
		if len(needs) > 0 {
			s.ItemNeeds[plane] = append(s.ItemNeeds[plane], needs...)
			s.ModuleNeeds[plane] = append(s.ModuleNeeds[plane], needs...)
			continue
		}
		for _, item := range s.ModuleItems(c, l, a) {
			s.Modules = append(s.Modules, item)
			s.ArrayOf = append(s.ArrayOf, a)
		}
	}
	for i := range j.Obstructions {
		s.addObstruction(c, &j.Obstructions[i])
	}
	s.Obstacles = append(s.Obstacles, s.Roof.Covered()...) // nobody walks under a roof
	return s
})

// limits are the sizes by which joints are judged. They are cited where a
// joint hangs on them, not by everything that reads the roof.
func limits(c *terms.Call) (l roofplan.Limits) {
	t, err := c.Tables().Get("Practice", "common", "roof")
	if err != nil {
		c.Err(err)
		return l
	}
	for row, into := range map[string]*float64{"step": &l.Step, "near": &l.Near} {
		v, ok := t.Quantity(row, "value")
		if !ok {
			c.Fail("the table roof has no value for %s", row)
		}
		*into = v
	}
	return l
}

// statedKinds are the kinds of edges that a plane states, by the edge; nil
// where it states none.
func statedKinds(c *terms.Call, p *job.Plane, plane roofplan.Plane) []roofplan.EdgeKind {
	if len(p.Edges) == 0 {
		return nil
	}
	n := len(plane.Outline)
	for _, h := range plane.Holes {
		n += len(h)
	}
	kinds := make([]roofplan.EdgeKind, n)
	for i := range p.Edges {
		e := &p.Edges[i]
		number := terms.Get(c, e.Number)
		if number < 1 || number > n {
			c.Need(terms.Need{Why: fmt.Sprintf("plane %s has no edge %d: its outline and holes have %d", p.Name.Value, number, n), At: e.Number.At})
			continue
		}
		kind := roofplan.EdgeKindNamed(terms.Get(c, e.Kind))
		if had := kinds[number-1]; had != roofplan.Unstated && had != kind {
			c.Need(terms.Need{Why: fmt.Sprintf("edge %d of plane %s is stated as %s and as %s", number, p.Name.Value, had, kind), At: e.Kind.At})
		}
		kinds[number-1] = kind
	}
	return kinds
}

func points(list []job.Point) []roofplan.Point {
	out := make([]roofplan.Point, len(list))
	for i, p := range list {
		out[i] = roofplan.Point{X: p.X, Y: p.Y}
	}
	return out
}

// Items is everything a crew goes around on the given planes, and what is not
// known of it.
func (s *State) Items(planes ...int) ([]roofplan.Item, []terms.Need) {
	var needs []terms.Need
	for _, p := range planes {
		needs = append(needs, s.ItemNeeds[s.Roof.Plane(p).Name]...)
	}
	return slices.Concat(s.Modules, s.Obstacles), needs
}

// Whole lets the roof as a whole be a thing.
type Whole struct{ *job.Job }

// Roof is the kind of the whole roof.
var Roof = terms.NewKind("roof", "", "all planes of the roof together", func(c *terms.Call, k terms.KindOf[Whole]) []*terms.Subject {
	return []*terms.Subject{k.Subject("", "plane", c.Job().SectionAt("plane"), &Whole{c.Job()})}
})

var _ = terms.Derive(Roof, "plan_area", terms.Quantity(quantity.Area), "area of the whole roof in plan view; ground under two planes counts once", "geometry", "",
	func(c *terms.Call, _ *Whole) float64 {
		s := Geometry.Of(c, c.Job())
		if c.Stop() {
			return 0
		}
		return s.Roof.TotalPlanArea()
	})

var _ = terms.Derive(Roof, "module_plan_area", terms.Quantity(quantity.Area), "area of all modules in plan view", "geometry", "",
	func(c *terms.Call, _ *Whole) float64 {
		cov, ok := Coverage(c)
		if !ok {
			return 0
		}
		return cov.Modules
	})

var _ = terms.Derive(Roof, "coverage", terms.Quantity(quantity.Ratio), "area of all modules over the area of the whole roof, both in plan view", "IFC 2021 1205.2.1.2 (both areas in plan view)", "",
	func(c *terms.Call, _ *Whole) float64 {
		cov, ok := Coverage(c)
		if !ok {
			return 0
		}
		c.Explain(func(sys quantity.System) []string {
			return []string{"coverage = modules " + quantity.Of(cov.Modules, quantity.Area).Format(sys) + " / roof " +
				quantity.Of(cov.Roof, quantity.Area).Format(sys) + " (in plan) = " + quantity.Of(cov.Ratio, quantity.Ratio).Format(sys)}
		}, nil)
		return cov.Ratio
	})

var _ = terms.Derive(Roof, "steepest_coverage", terms.Quantity(quantity.Ratio), "largest share of any one plane that is under modules, in plan view", "a stricter reading that some reviewers use", "",
	func(c *terms.Call, _ *Whole) float64 {
		cov, ok := Coverage(c)
		if !ok {
			return 0
		}
		most := 0.0
		for _, r := range cov.Planes {
			most = math.Max(most, r)
		}
		return most
	})

var _ = terms.Derive(planeKind, "plan_area", terms.Quantity(quantity.Area), "area in plan view", "geometry", "", func(c *terms.Call, p *job.Plane) float64 {
	s := Geometry.Of(c, c.Job())
	if c.Stop() {
		return 0
	}
	return s.Roof.PlanArea(s.Index[p.Name.Value])
})

var _ = terms.Derive(planeKind, "surface_area", terms.Quantity(quantity.Area), "area on the surface", "geometry", "", func(c *terms.Call, p *job.Plane) float64 {
	s := Geometry.Of(c, c.Job())
	if c.Stop() {
		return 0
	}
	return s.Roof.SurfaceArea(s.Index[p.Name.Value])
})

var _ = terms.Derive(planeKind, "has_ridge", terms.YesNo, "whether the plane ends at a level ridge that it shares with another", "geometry", "", func(c *terms.Call, p *job.Plane) bool {
	s := Geometry.Of(c, c.Job())
	if c.Stop() {
		return false
	}
	for _, e := range s.Roof.Edges(s.Index[p.Name.Value]) {
		if e.Kind == roofplan.Ridge && e.Doubt == nil && !s.Roof.Misstates(e) {
			return true
		}
	}
	Certain(c, s.Index[p.Name.Value])
	return false
})

var _ = terms.Derive(planeKind, "carries_modules", terms.YesNo, "whether an array lies on the plane", "the job", "", func(c *terms.Call, p *job.Plane) bool {
	for i := range c.Job().Arrays {
		if terms.Peek(c, c.Job().Arrays[i].Plane) == p.Name.Value {
			return true
		}
	}
	return false
})

var _ = terms.Derive(arrayKind, "clearance_to_ridge", terms.Quantity(quantity.Length), "distance on the surface from the array to the nearest level ridge of its plane", "geometry", "",
	func(c *terms.Call, a *job.Array) float64 { return Clearance(c, a, roofplan.Ridge) })

var ArrayClearanceToRoofEdge = terms.Derive(arrayKind, "clearance_to_roof_edge", terms.Quantity(quantity.Length), "distance on the surface from the array to the nearest eave, rake, parapet or other end of the roof, over ridges and other joints", "geometry", "",
	func(c *terms.Call, a *job.Array) float64 {
		return ClearanceOver(c, a, roofplan.Joints, roofplan.OuterKinds...)
	})

var ArrayClearanceToWindEdge = terms.Derive(arrayKind, "clearance_to_wind_edge", terms.Quantity(quantity.Length), "distance on the surface from the array to the nearest roof edge, ridge or hip", "geometry", "",
	func(c *terms.Call, a *job.Array) float64 {
		return ClearanceOver(c, a, roofplan.Joints, append([]roofplan.EdgeKind{roofplan.Ridge, roofplan.Hip}, roofplan.OuterKinds...)...)
	})

var _ = terms.Derive(arrayKind, "beyond_plane", terms.Quantity(quantity.Length), "how far the array reaches over the edge of its plane (zero when it lies inside)", "geometry", "",
	func(c *terms.Call, a *job.Array) float64 {
		s := Geometry.Of(c, c.Job())
		l := arrays.Modules.Of(c, a)
		if c.Stop() {
			return 0
		}
		most := 0.0
		for _, stray := range s.Roof.Strays(s.ModuleItems(c, l, a), roofplan.Tolerance/10) {
			most = math.Max(most, stray.Beyond)
		}
		terms.Drive(c, a.Origin)
		return most
	})

// Coverage is the share of the roof under modules; ground and what stands on
// it does not count.
func Coverage(c *terms.Call) (roofplan.Coverage, bool) {
	s := Geometry.Of(c, c.Job())
	for i := range c.Job().Planes { // in the order of the job
		c.Need(s.ModuleNeeds[c.Job().Planes[i].Name.Value]...)
	}
	if c.Stop() {
		return roofplan.Coverage{}, false
	}
	if s.Roof.TotalPlanArea() == 0 {
		c.Fail("no plane of the job is a roof")
		return roofplan.Coverage{}, false
	}
	onRoof := slices.DeleteFunc(slices.Clone(s.Modules), func(it roofplan.Item) bool { return s.Ground[it.Plane] })
	cov, err := s.Roof.Coverage(onRoof)
	if err != nil {
		c.Err(err)
	}
	return cov, err == nil
}

// Clearance is the least distance of an array's modules to edges of its side of
// the roof: of its plane, and beyond changes of pitch.
func Clearance(c *terms.Call, a *job.Array, kinds ...roofplan.EdgeKind) float64 {
	return ClearanceOver(c, a, []roofplan.EdgeKind{roofplan.Break}, kinds...)
}

// ClearanceOver is the least distance of an array's modules to edges of the
// roof, along the surface over joints of the given kinds.
func ClearanceOver(c *terms.Call, a *job.Array, over []roofplan.EdgeKind, kinds ...roofplan.EdgeKind) float64 {
	s := Geometry.Of(c, c.Job())
	l := arrays.Modules.Of(c, a)
	if c.Stop() {
		return 0
	}
	plane := s.Index[terms.Peek(c, a.Plane)]
	near, ok := s.Roof.ClearanceOver(over, plane, s.ModuleItems(c, l, a), kinds...)
	reached := []int{plane}
	if len(over) > 1 || !ok {
		reached = s.Roof.JoinedTo(plane)
	} else {
		reached = append(reached, near.Edge.Plane)
	}
	if Certain(c, reached...); c.Stop() {
		return 0
	}
	if !ok {
		c.Fail("no such edge is joined to plane %s", terms.Peek(c, a.Plane))
		return 0
	}
	terms.Drive(c, a.Origin)
	c.Explain(func(sys quantity.System) []string {
		where := ""
		if near.Edge.Plane != plane {
			where = " of plane " + s.Roof.Plane(near.Edge.Plane).Name
		}
		return []string{"nearest: " + l.Modules[near.Item].Name() + " to the " + near.Edge.Kind.String() + where + ", " +
			quantity.Of(near.Distance, quantity.Length).Format(sys) + " on the surface"}
	}, nil)
	return near.Distance
}

// ModuleItems are the modules of one array as items of the roof.
func (s *State) ModuleItems(c *terms.Call, l *layout.Array, a *job.Array) []roofplan.Item {
	plane := s.Index[terms.Peek(c, a.Plane)]
	out := make([]roofplan.Item, len(l.Modules))
	for i := range out {
		out[i] = roofplan.Item{Name: l.Modules[i].Name(), Plane: plane, Shape: shape(l, i)}
	}
	return out
}

// shape is a module as a shape on the surface of its plane.
func shape(l *layout.Array, i int) roofplan.Shape {
	m := l.Modules[i]
	c := layout.Point{X: (m.Corners[0].X + m.Corners[2].X) / 2, Y: (m.Corners[0].Y + m.Corners[2].Y) / 2}
	return roofplan.Rect{Centre: roofplan.Point{X: c.X, Y: c.Y}, Width: m.Rect.Width(), Height: m.Rect.Height(), Turn: l.Frame.Rotation}.Shape()
}
