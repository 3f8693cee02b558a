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
)

// roofState is the roof of a job as geometry, or what keeps it from being one.
type roofState struct {
	roof  *roofplan.Roof
	needs []Need
	index map[string]int // plane name -> index in roof
	// ground marks the planes that are open ground: they carry arrays, but are
	// no part of the roof; area is that of the others in plan view.
	ground []bool
	area   float64
	// modules and obstacles are every item that a crew goes around; what is not
	// known of them is in itemNeeds by plane, so that no way is found past a
	// thing whose place is not known, and in moduleNeeds for modules alone.
	modules   []roofplan.Item
	obstacles []roofplan.Item
	arrayOf   []*job.Array // for each entry of modules
	itemNeeds map[string][]Need

	moduleNeeds map[string][]Need
}

func (m *Model) roof() *roofState {
	return shared(m, "roof", func() *roofState { return m.buildRoof() })
}

func (m *Model) buildRoof() *roofState {
	s := &roofState{index: map[string]int{}, itemNeeds: map[string][]Need{}, moduleNeeds: map[string][]Need{}}
	c := &Call{m: m, subject: m.Subjects("submittal")[0]}
	var planes []roofplan.Plane
	for i := range m.Job.Planes {
		p := &m.Job.Planes[i]
		outline := Get(c, p.Outline)
		plane := roofplan.Plane{Name: p.Name.Value, Outline: points(outline), Slope: c.Q(p.Slope)}
		if p.Slope.Known && p.Slope.Value.SI > 0 {
			plane.Downslope = c.Q(p.Downslope)
		} else if p.Downslope.Known {
			plane.Downslope = p.Downslope.Value.SI
		}
		if p.EaveElevation.Known {
			plane.Elevation = &p.EaveElevation.Value.SI
		}
		s.index[plane.Name] = i
		s.ground = append(s.ground, p.Ground.Known && p.Ground.Value)
		planes = append(planes, plane)
	}
	if len(planes) == 0 {
		c.Missing("plane", m.Job.SectionAt("plane"))
	}
	if c.Stop() {
		s.needs = c.out.Needs
		return s
	}
	roof, err := roofplan.New(planes)
	if err != nil {
		at := c.subject.At
		var fault *roofplan.PlaneError
		if errors.As(err, &fault) {
			if i, ok := s.index[fault.Plane]; ok {
				at = m.Job.Planes[i].At
			}
		}
		s.needs = []Need{{Why: err.Error(), At: at}}
		return s
	}
	s.roof = roof
	s.area = roofArea(roof, s.ground)
	for i := range m.Job.Arrays {
		a := &m.Job.Arrays[i]
		l := m.layout(a)
		if len(l.moduleNeeds) > 0 {
			s.itemNeeds[a.Plane.Value] = append(s.itemNeeds[a.Plane.Value], l.moduleNeeds...)
			s.moduleNeeds[a.Plane.Value] = append(s.moduleNeeds[a.Plane.Value], l.moduleNeeds...)
			continue
		}
		for j := range l.array.Modules {
			s.modules = append(s.modules, roofplan.Item{Name: l.array.Modules[j].Name(), Plane: s.index[a.Plane.Value], Shape: l.shape(j)})
			s.arrayOf = append(s.arrayOf, a)
		}
	}
	for i := range m.Job.Obstructions {
		o := &m.Job.Obstructions[i]
		if o.WalkedOver.Known && o.WalkedOver.Value {
			continue
		}
		shape, needs := obstructionShape(m, o)
		if len(needs) > 0 {
			s.itemNeeds[o.Plane.Value] = append(s.itemNeeds[o.Plane.Value], needs...)
			continue
		}
		s.obstacles = append(s.obstacles, roofplan.Item{Name: o.Name.Value, Plane: s.index[o.Plane.Value], Shape: shape})
	}
	return s
}

// roofArea is the area in plan view of the planes that are roof.
func roofArea(all *roofplan.Roof, ground []bool) float64 {
	if !slices.Contains(ground, true) {
		return all.TotalPlanArea()
	}
	var planes []roofplan.Plane
	for i := range all.Len() {
		if !ground[i] {
			planes = append(planes, all.Plane(i))
		}
	}
	roof, err := roofplan.New(planes)
	if err != nil {
		return 0 // every plane is ground
	}
	return roof.TotalPlanArea()
}

// obstructionShape is an obstruction on the surface of its plane.
func obstructionShape(m *Model, o *job.Obstruction) (roofplan.Shape, []Need) {
	c := &Call{m: m, subject: m.subjectOf("obstruction", o)}
	at := Get(c, o.At)
	centre := roofplan.Point{X: at.X, Y: at.Y}
	if o.Diameter.Known {
		if c.Stop() {
			return roofplan.Shape{}, c.out.Needs
		}
		return roofplan.Disc(centre, o.Diameter.Value.SI/2), nil
	}
	w, h := c.Q(o.Width), c.Q(o.Height)
	if c.Stop() {
		return roofplan.Shape{}, c.out.Needs
	}
	return roofplan.Rect{Centre: centre, Width: w, Height: h}.Shape(), nil
}

func points(list []job.Point) []roofplan.Point {
	out := make([]roofplan.Point, len(list))
	for i, p := range list {
		out[i] = roofplan.Point{X: p.X, Y: p.Y}
	}
	return out
}

// items is everything a crew goes around on the given planes, and what is not
// known of it.
func (s *roofState) items(planes ...int) ([]roofplan.Item, []Need) {
	var needs []Need
	for _, p := range planes {
		needs = append(needs, s.itemNeeds[s.roof.Plane(p).Name]...)
	}
	return slices.Concat(s.modules, s.obstacles), needs
}

// geometry gives a derived term of a plane or array its roof, or fails it.
func (c *Call) geometry() *roofState {
	s := c.m.roof()
	c.out.Needs = append(c.out.Needs, s.needs...)
	return s
}

// wayUp is the widest way from the lowest edge to the ridge over planes taken
// together. err tells why there can be none at all: no edge to begin at, or
// planes that do not meet.
type wayUp struct {
	planes []int
	path   roofplan.Path
	needs  []Need
	err    error
}

// wayUp finds the widest way over the given planes, once.
func (m *Model) wayUp(planes ...int) wayUp {
	planes = slices.Sorted(slices.Values(planes))
	return shared(m, fmt.Sprint("way/", planes), func() wayUp {
		s := m.roof()
		w := wayUp{planes: planes}
		var items []roofplan.Item
		if items, w.needs = s.items(planes...); len(w.needs) == 0 {
			w.path, w.err = s.roof.Path(planes, items, pathProbe)
		}
		return w
	})
}

// widest picks the widest of several ways; it fails when what stands on any of
// their planes is not known, or when there is no way at all.
func (c *Call) widest(ways []wayUp) (roofplan.Path, bool) {
	best := roofplan.Path{Widest: -1}
	for _, w := range ways {
		c.out.Needs = append(c.out.Needs, w.needs...)
		if w.err == nil && w.path.Widest > best.Widest {
			best = w.path
		}
	}
	if !c.Stop() && best.Widest < 0 {
		c.Err(ways[0].err)
	}
	return best, !c.Stop()
}

// pathProbe is the width asked of the geometry when only the widest way
// matters; the widest way does not depend on it.
const pathProbe = 36 * quantity.Inch

func defineRoof() {
	newKind("roof", "", "all planes of the roof together").all = func(m *Model) []*Subject {
		return []*Subject{{Kind: kinds["roof"], Key: "plane", At: m.Job.SectionAt("plane"), data: &roofMark{m}}}
	}
	derive("roof", "plan_area", measured(quantity.Area), "area of the whole roof in plan view; ground under two planes counts once", "geometry", "",
		func(c *Call, _ *roofMark) any {
			s := c.geometry()
			if c.Stop() {
				return nil
			}
			return s.area
		})
	derive("roof", "module_plan_area", measured(quantity.Area), "area of all modules in plan view", "geometry", "",
		func(c *Call, _ *roofMark) any {
			cov, ok := c.coverage()
			if !ok {
				return nil
			}
			return cov.Modules
		})
	derive("roof", "coverage", measured(quantity.Ratio), "area of all modules over the area of the whole roof, both in plan view", "IFC 2021 1205.2.1.2 (both areas in plan view)", "",
		func(c *Call, _ *roofMark) any {
			cov, ok := c.coverage()
			if !ok {
				return nil
			}
			c.Explain(func(sys quantity.System) []string {
				return []string{"coverage = modules " + quantity.Of(cov.Modules, quantity.Area).Format(sys) + " / roof " +
					quantity.Of(cov.Roof, quantity.Area).Format(sys) + " (in plan) = " + quantity.Of(cov.Ratio, quantity.Ratio).Format(sys)}
			}, nil)
			return cov.Ratio
		})
	derive("roof", "steepest_coverage", measured(quantity.Ratio), "largest share of any one plane that is under modules, in plan view", "a stricter reading that some reviewers use", "",
		func(c *Call, _ *roofMark) any {
			cov, ok := c.coverage()
			if !ok {
				return nil
			}
			most := 0.0
			for _, r := range cov.Planes {
				most = math.Max(most, r)
			}
			return most
		})

	derive("plane", "plan_area", measured(quantity.Area), "area in plan view", "geometry", "", func(c *Call, p *job.Plane) any {
		s := c.geometry()
		if c.Stop() {
			return nil
		}
		return s.roof.PlanArea(s.index[p.Name.Value])
	})
	derive("plane", "surface_area", measured(quantity.Area), "area on the surface", "geometry", "", func(c *Call, p *job.Plane) any {
		s := c.geometry()
		if c.Stop() {
			return nil
		}
		return s.roof.SurfaceArea(s.index[p.Name.Value])
	})
	derive("plane", "has_ridge", flag, "whether the plane ends at a level ridge that it shares with another", "geometry", "", func(c *Call, p *job.Plane) any {
		s := c.geometry()
		if c.Stop() {
			return nil
		}
		for _, e := range s.roof.Edges(s.index[p.Name.Value]) {
			if e.Kind == roofplan.Ridge {
				return true
			}
		}
		return false
	})
	derive("plane", "carries_modules", flag, "whether an array lies on the plane", "the job", "", func(c *Call, p *job.Plane) any {
		for i := range c.m.Job.Arrays {
			if c.m.Job.Arrays[i].Plane.Value == p.Name.Value {
				return true
			}
		}
		return false
	})
	derive("plane", "widest_path", measured(quantity.Length), "widest way that a crew can travel from the lowest edge to the ridge on this plane alone", "geometry: chains of obstacles that close the plane", "",
		func(c *Call, p *job.Plane) any {
			return c.way(p, func(own int) []wayUp { return []wayUp{c.m.wayUp(own)} })
		})
	derive("plane", "widest_path_serving", measured(quantity.Length), "widest way up that serves this plane: on itself, on a plane that meets it, or straddling the edge between both", "geometry: chains of obstacles that close the planes, laid flat", "",
		func(c *Call, p *job.Plane) any { return c.way(p, func(own int) []wayUp { return c.waysBeside(own) }) })
	derive("plane", "widest_path_beside", measured(quantity.Length), "widest way up that serves this plane, where a plane across the ridge does not count as adjacent", "geometry: chains of obstacles that close the planes, laid flat", "",
		func(c *Call, p *job.Plane) any {
			return c.way(p, func(own int) []wayUp { return c.waysBeside(own, roofplan.Hip, roofplan.Valley, roofplan.Break) })
		})

	derive("array", "clearance_to_ridge", measured(quantity.Length), "distance on the surface from the array to the nearest level ridge of its plane", "geometry", "",
		func(c *Call, a *job.Array) any { return c.clearance(a, roofplan.Ridge) })
	derive("array", "clearance_to_roof_edge", measured(quantity.Length), "distance on the surface from the array to the nearest eave, rake or other end of the roof", "geometry", "",
		func(c *Call, a *job.Array) any { return c.clearance(a, roofplan.OuterKinds...) })
	derive("array", "clearance_to_wind_edge", measured(quantity.Length), "distance on the surface from the array to the nearest roof edge, ridge or hip", "geometry", "",
		func(c *Call, a *job.Array) any {
			return c.clearance(a, append([]roofplan.EdgeKind{roofplan.Ridge, roofplan.Hip}, roofplan.OuterKinds...)...)
		})
	derive("array", "beyond_plane", measured(quantity.Length), "how far the array reaches over the edge of its plane (zero when it lies inside)", "geometry", "",
		func(c *Call, a *job.Array) any {
			s := c.geometry()
			l := c.laidOut(a)
			if c.Stop() {
				return nil
			}
			most := 0.0
			for _, stray := range s.roof.Strays(s.moduleItems(c.m, l, a), roofplan.Tolerance/10) {
				most = math.Max(most, stray.Beyond)
			}
			c.Drive(a.Origin.At)
			return most
		})
}

// roofMark lets the roof as a whole be a subject.
type roofMark struct{ m *Model }

// way gives the width of the widest of the ways that serve a plane.
func (c *Call) way(p *job.Plane, ways func(own int) []wayUp) any {
	s := c.geometry()
	if c.Stop() {
		return nil
	}
	best, ok := c.widest(ways(s.index[p.Name.Value]))
	if !ok {
		return nil
	}
	c.Drive(p.At)
	c.Explain(pathWork(best), nil)
	return best.Widest
}

// waysBeside lists the ways on a plane, on each plane that meets it along an
// edge of the given kinds (any that a crew can cross when none is given), and
// straddling both.
func (c *Call) waysBeside(own int, kinds ...roofplan.EdgeKind) []wayUp {
	ways := []wayUp{c.m.wayUp(own)}
	for _, n := range c.m.roof().roof.Neighbours(own, kinds...) {
		ways = append(ways, c.m.wayUp(n), c.m.wayUp(own, n))
	}
	return ways
}

// coverage is the share of the roof under modules; ground and what stands on
// it does not count.
func (c *Call) coverage() (roofplan.Coverage, bool) {
	s := c.geometry()
	for i := range c.m.Job.Planes { // in the order of the job
		c.out.Needs = append(c.out.Needs, s.moduleNeeds[c.m.Job.Planes[i].Name.Value]...)
	}
	if c.Stop() {
		return roofplan.Coverage{}, false
	}
	if s.area == 0 {
		c.Fail("no plane of the job is a roof")
		return roofplan.Coverage{}, false
	}
	onRoof := slices.DeleteFunc(slices.Clone(s.modules), func(it roofplan.Item) bool { return s.ground[it.Plane] })
	cov, err := s.roof.Coverage(onRoof)
	if err != nil {
		c.Err(err)
		return cov, false
	}
	cov.Roof, cov.Ratio = s.area, cov.Modules/s.area
	return cov, true
}

func pathWork(p roofplan.Path) func(quantity.System) []string {
	return func(sys quantity.System) []string {
		line := "widest way from the lowest edge to the ridge: " + quantity.Of(p.Widest, quantity.Length).Format(sys)
		if p.Gate.A.Name != "" && p.Gate.B.Name != "" {
			line += ", narrowest between " + p.Gate.A.Name + " and " + p.Gate.B.Name
		}
		return []string{line}
	}
}

// clearance is the least distance of an array's modules to edges of its plane.
func (c *Call) clearance(a *job.Array, kinds ...roofplan.EdgeKind) any {
	s := c.geometry()
	l := c.laidOut(a)
	if c.Stop() {
		return nil
	}
	plane := s.index[a.Plane.Value]
	near, ok := s.roof.Clearance(plane, s.moduleItems(c.m, l, a), kinds...)
	if !ok {
		return c.Fail("plane %s has no such edge", a.Plane.Value)
	}
	c.Drive(a.Origin.At)
	c.Explain(func(sys quantity.System) []string {
		return []string{"nearest: " + l.array.Modules[near.Item].Name() + " to the " + near.Edge.Kind.String() + ", " +
			quantity.Of(near.Distance, quantity.Length).Format(sys) + " on the surface"}
	}, nil)
	return near.Distance
}

// moduleItems are the modules of one array as items of the roof.
func (s *roofState) moduleItems(m *Model, l *layoutState, a *job.Array) []roofplan.Item {
	out := make([]roofplan.Item, len(l.array.Modules))
	for i := range out {
		out[i] = roofplan.Item{Name: l.array.Modules[i].Name(), Plane: s.index[a.Plane.Value], Shape: l.shape(i)}
	}
	return out
}

// shape is a module as a shape on the surface of its plane.
func (l *layoutState) shape(i int) roofplan.Shape {
	m := l.array.Modules[i]
	c := layout.Point{X: (m.Corners[0].X + m.Corners[2].X) / 2, Y: (m.Corners[0].Y + m.Corners[2].Y) / 2}
	return roofplan.Rect{Centre: roofplan.Point{X: c.X, Y: c.Y}, Width: m.Rect.Width(), Height: m.Rect.Height(), Turn: l.array.Frame.Rotation}.Shape()
}
