package terms

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/layout"
	"plumbrule/internal/quantity"
	"plumbrule/internal/roofplan"
)

// defineFire adds what the rules of roof access ask of a building: which rule
// set it is under, the ways that a crew needs up and over the roof, and the
// sections that ways part an array into.
func defineFire() {
	defineAccessRules()
	defineWays()
	defineStrips()
	defineOpenings()
	defineSections()
}

func defineAccessRules() {
	derive("building", "access_waived", flag, "whether roof access rules are set aside: by a written decision of the fire official, or for a detached accessory structure that nobody lives in", "IFC 2021 1205.2 exceptions", "",
		func(c *Call, b *job.Building) any {
			if w := c.m.Job.Adoption.LocalFireWaiver; decided(w) {
				c.Drive(w.At)
				return true
			}
			c.Drive(b.DetachedAccessory.At)
			return Get(c, b.DetachedAccessory)
		})
	derive("building", "dwelling_access", flag, "whether the roof access rules for dwellings hold: for a dwelling, or for another building by written decision of the fire official", "IFC 2021 1205.2.1 and 1205.3 exception 1; IRC 2021 R324.6", "",
		func(c *Call, b *job.Building) any { return c.accessRules(b, true) })
	derive("building", "general_access", flag, "whether the roof access rules for buildings other than dwellings hold", "IFC 2021 1205.3", "",
		func(c *Call, b *job.Building) any { return c.accessRules(b, false) })
	derive("adoption", "has_fire_waiver", flag, "whether a written decision of the fire official sets roof access rules aside, or has a building follow those for dwellings", "the job", "",
		func(c *Call, a *job.Adoption) any { return decided(a.LocalFireWaiver) || decided(a.DwellingRules) })
	derive("adoption", "fire_decision_in_submittal", flag, "whether each written decision of the fire official that the job relies on is among its papers, by its number", "the job", "",
		func(c *Call, a *job.Adoption) any {
			for _, d := range []job.Text{a.LocalFireWaiver, a.DwellingRules} {
				if decided(d) && !slices.ContainsFunc(c.m.Job.Documents, func(p job.Document) bool { return p.Name.Value == d.Value }) {
					c.Drive(d.At)
					return false
				}
			}
			return true
		})
	derive("adoption", "has_irc_and_ifc", flag, "whether both the IRC and the IFC are adopted", "the job", "",
		func(c *Call, a *job.Adoption) any { return a.IRC.Known && a.IFC.Known })
	derive("array", "module_listing_in_submittal", flag, "whether a listing of its module type is among the papers", "the job", "",
		func(c *Call, a *job.Array) any {
			c.Drive(a.BuildingIntegrated.At)
			module := Get(c, a.Module)
			return slices.ContainsFunc(c.m.Job.Documents, func(d job.Document) bool { return d.Kind.Value == "listing" && d.For.Value == module })
		})
	derive("submittal", "access_point_drawn", flag, "whether a drawing shows the roof access point", "the job", "",
		func(c *Call, j *job.Job) any {
			return slices.ContainsFunc(j.Documents, func(d job.Document) bool { return slices.Contains(d.Shows.Value, "roof access point") })
		})
	derive("submittal", "elevations_drawn", flag, "whether a drawing shows elevations", "the job", "",
		func(c *Call, j *job.Job) any {
			return slices.ContainsFunc(j.Documents, func(d job.Document) bool { return slices.Contains(d.Shows.Value, "elevations") })
		})
	derive("adoption", "dwelling_access_edition", text, "edition whose access rules a dwelling follows: the later of the adopted editions of the IRC and the IFC, which read alike from 2018 on", "IFC 2021 1205.2.1 exception 1", "",
		func(c *Call, a *job.Adoption) any {
			later := a.IRC
			if a.IFC.Known && (!a.IRC.Known || a.IFC.Value > a.IRC.Value) {
				later = a.IFC
			}
			if !later.Known {
				Get(c, a.IFC)
			}
			c.Drive(later.At)
			return Get(c, later)
		})
}

// decided reports a written decision. One that is not stated was not made: the
// rules then hold.
func decided(number job.Text) bool { return number.Known && number.Value != "" }

// accessRules tells whether the rules for dwellings, or for all others, hold.
// Each answer that settles it is taken before any is found missing.
func (c *Call) accessRules(b *job.Building, forDwellings bool) any {
	accepted := decided(c.m.Job.Adoption.DwellingRules)
	c.Drive(b.Dwelling.At)
	if accepted && !forDwellings || !accepted && b.Dwelling.Known && b.Dwelling.Value != forDwellings {
		return false
	}
	waived := c.m.term(c.subject, "access_waived", c)
	if waived.V == true {
		return false
	}
	if !accepted {
		Get(c, b.Dwelling)
	}
	Self[bool](c, "access_waived")
	return true
}

func defineWays() {
	derive("plane", "on_roof", flag, "whether it is a roof and not open ground", "the job", "",
		func(c *Call, p *job.Plane) any { return !p.Ground.Known || !p.Ground.Value }) // left out: a roof
	derive("plane", "arrays", things("array"), "the arrays that lie on the plane", "the job", "",
		func(c *Call, p *job.Plane) any { return c.arraysOn(p) })
	derive("plane", "has_hip", flag, "whether the plane meets another at a hip", "geometry", "",
		func(c *Call, p *job.Plane) any {
			s := c.geometry()
			if c.Stop() {
				return nil
			}
			return len(s.roof.Neighbours(s.index[p.Name.Value], roofplan.Hip)) > 0
		})
	derive("roof", "second_pathway", measured(quantity.Length), "the narrower of the two widest ways from the lowest edge to the ridge that lie on separate planes; a way that straddles two planes takes both", "geometry: chains of obstacles that close the planes", "",
		func(c *Call, _ *roofMark) any {
			s := c.geometry()
			if c.Stop() {
				return nil
			}
			return c.secondPathway(s)
		})
	derive("roof", "street_pathway", measured(quantity.Length), "widest way from the lowest edge to the ridge on the street or driveway side: on a plane that falls toward the street within 45 degrees, or in the nearer half of one that falls within 90", "geometry: chains of obstacles that close the plane", "",
		func(c *Call, _ *roofMark) any {
			s := c.geometry()
			street := c.Q(c.m.Job.Site.StreetBearing)
			if c.Stop() {
				return nil
			}
			return c.streetPathway(s, street)
		})
	derive("plane", "second_path", measured(quantity.Length), "the narrower of two ways from the lowest edge to the ridge on this plane, one on either side of an array or side by side in one way", "geometry: chains of obstacles that close the plane", "",
		func(c *Call, p *job.Plane) any {
			s := c.geometry()
			if c.Stop() {
				return nil
			}
			return c.secondPath(s, s.index[p.Name.Value])
		})
	derive("plane", "widest_path_off_overhang", measured(quantity.Length), "widest way up this plane that keeps off the weak overhang along its rakes", "geometry: chains of obstacles that close the plane", "",
		func(c *Call, p *job.Plane) any {
			s := c.geometry()
			c.Drive(p.WeakRake.At)
			weak := c.Q(p.WeakRake)
			if c.Stop() {
				return nil
			}
			own := s.index[p.Name.Value]
			items, needs := s.items(own)
			for _, e := range s.roof.Edges(own) {
				if e.Kind == roofplan.Rake {
					items = append(items, roofplan.Item{Name: "weak overhang", Plane: own, Shape: e.Shape().Grown(weak)})
				}
			}
			if c.out.Needs = append(c.out.Needs, needs...); c.Stop() {
				return nil
			}
			path, err := s.roof.Path([]int{own}, items, pathProbe)
			if err != nil {
				return c.Err(err)
			}
			c.Explain(pathWork(path), nil)
			return path.Widest
		})
	derive("roof", "level_changes", count, "places where one plane ends along another that lies higher or lower", "geometry", "",
		func(c *Call, _ *roofMark) any {
			s := c.geometry()
			if c.Stop() {
				return nil
			}
			n := 0
			for i := range s.roof.Len() {
				for _, e := range s.roof.Edges(i) {
					if e.Kind == roofplan.Step {
						n++
					}
				}
			}
			return (n + 1) / 2 // each is seen from both planes
		})
}

// arraysOn lists the arrays that lie on a plane.
func (c *Call) arraysOn(p *job.Plane) []*Subject {
	out := []*Subject{}
	for i := range c.m.Job.Arrays {
		if a := &c.m.Job.Arrays[i]; a.Plane.Value == p.Name.Value {
			out = append(out, c.Subject("array", a))
		}
	}
	return out
}

// sloped lists the planes of the roof that fall one way.
func (s *roofState) sloped() []int {
	var out []int
	for i := range s.roof.Len() {
		if !s.ground[i] && s.roof.Plane(i).Slope > 0 {
			out = append(out, i)
		}
	}
	return out
}

// secondPathway finds the two ways that share no plane whose narrower one is
// the widest, and gives its width; zero where there are no two.
func (c *Call) secondPathway(s *roofState) any {
	var ways []wayUp
	for _, i := range s.sloped() {
		ways = append(ways, c.m.wayUp(i))
		for _, n := range s.roof.Neighbours(i, roofplan.Hip, roofplan.Valley, roofplan.Break) {
			if n > i && !s.ground[n] {
				ways = append(ways, c.m.wayUp(i, n))
			}
		}
	}
	for _, w := range ways {
		c.out.Needs = append(c.out.Needs, w.needs...)
	}
	if c.Stop() {
		return nil
	}
	best := 0.0
	var pair []wayUp
	for i, v := range ways {
		for _, w := range ways[:i] {
			narrower := math.Min(v.path.Widest, w.path.Widest)
			if v.err == nil && w.err == nil && narrower > best && apart(v.planes, w.planes) {
				best, pair = narrower, []wayUp{w, v}
			}
		}
	}
	c.Explain(func(sys quantity.System) []string {
		var lines []string
		for _, w := range pair {
			names := make([]string, len(w.planes))
			for i, p := range w.planes {
				names[i] = s.roof.Plane(p).Name
			}
			lines = append(lines, "way up "+strings.Join(names, " and ")+": "+length(w.path.Widest, sys))
		}
		return lines
	}, nil)
	return best
}

func apart(a, b []int) bool {
	return !slices.ContainsFunc(a, func(i int) bool { return slices.Contains(b, i) })
}

func length(m float64, sys quantity.System) string {
	return quantity.Of(m, quantity.Length).Format(sys)
}

// streetPathway gives the widest way on the street side, zero where no plane
// lies on that side.
func (c *Call) streetPathway(s *roofState, street float64) any {
	const quarter, half, drawn = 45, 90, 1e-6 // degrees: whole plane, nearer half, accuracy of stated bearings
	c.Drive(c.m.Job.Site.StreetBearing.At)
	best, on := 0.0, ""
	for _, i := range s.sloped() {
		plane := s.roof.Plane(i)
		turn := math.Abs(math.Remainder(plane.Downslope-street, 360))
		if turn > half+drawn {
			continue
		}
		items, needs := s.items(i)
		if turn > quarter+drawn {
			items = append(items, s.farHalf(i, street))
		}
		c.out.Needs = append(c.out.Needs, needs...)
		if c.Stop() {
			continue
		}
		if path, err := s.roof.Path([]int{i}, items, pathProbe); err == nil && path.Widest > best {
			best, on = path.Widest, plane.Name
		}
	}
	if c.Stop() {
		return nil
	}
	c.Explain(func(sys quantity.System) []string {
		if on == "" {
			return []string{"no way up lies on the street side"}
		}
		return []string{"widest way on the street side, on plane " + on + ": " + length(best, sys)}
	}, nil)
	return best
}

// farHalf is an obstacle over the half of a plane that lies away from a
// bearing.
func (s *roofState) farHalf(plane int, bearing float64) roofplan.Item {
	f, outline := s.roof.Frame(plane), s.roof.Plane(plane).Outline
	sin, cos := math.Sincos(bearing * math.Pi / 180)
	lo, hi, reach := math.Inf(1), math.Inf(-1), 0.0
	for _, p := range outline {
		d := p.X*sin + p.Y*cos
		lo, hi = math.Min(lo, d), math.Max(hi, d)
		reach = math.Max(reach, 4*p.DistanceTo(outline[0]))
	}
	// Two points of the line through the middle, and one beyond it.
	middle := (lo + hi) / 2
	along := outline[0].X*cos - outline[0].Y*sin
	at := func(d, t float64) roofplan.Point {
		return f.ToSurface(roofplan.Point{X: d*sin + t*cos, Y: d*cos - t*sin})
	}
	a, b, far := at(middle, along), at(middle, along+1), at(lo, along)
	ux, uy := b.X-a.X, b.Y-a.Y
	norm := math.Hypot(ux, uy)
	ux, uy = ux/norm, uy/norm
	side := math.Copysign(reach, ux*(far.Y-a.Y)-uy*(far.X-a.X))
	centre := roofplan.Point{X: a.X - uy*side, Y: a.Y + ux*side}
	return roofplan.Item{Name: "the half away from the street", Plane: plane,
		Shape: roofplan.Rect{Centre: centre, Width: 2 * reach, Height: 2 * reach, Turn: math.Atan2(uy, ux) * 180 / math.Pi}.Shape()}
}

// secondPath gives the narrower of two ways on one plane: on either side of an
// array, which a line from the array to one flank stands for, or both in one
// way of twice the width.
func (c *Call) secondPath(s *roofState, plane int) any {
	whole := c.m.wayUp(plane)
	c.out.Needs = append(c.out.Needs, whole.needs...)
	if c.Stop() {
		return nil
	}
	if whole.err != nil {
		return c.Err(whole.err)
	}
	best := whole.path.Widest / 2
	items, _ := s.items(plane)
	var reach float64
	for _, p := range s.roof.Outline(plane) {
		reach = math.Max(reach, 2*math.Hypot(p.X, p.Y))
	}
	for i := range c.m.Job.Arrays {
		a := &c.m.Job.Arrays[i]
		if a.Plane.Value != s.roof.Plane(plane).Name {
			continue
		}
		modules := s.moduleItems(c.m, c.m.layout(a), a)
		m := modules[len(modules)/2].Shape.Centre()
		narrower := math.Inf(1)
		for _, to := range []float64{-reach, reach} {
			bar := roofplan.Item{Name: "array " + a.Name.Value, Plane: plane, Shape: roofplan.Segment(m, roofplan.Point{X: m.X + to, Y: m.Y})}
			path, err := s.roof.Path([]int{plane}, append(slices.Clone(items), bar), pathProbe)
			if err != nil {
				return c.Err(err)
			}
			narrower = math.Min(narrower, path.Widest)
		}
		best = math.Max(best, narrower)
	}
	c.Explain(func(sys quantity.System) []string {
		return []string{"the narrower of two ways up " + s.roof.Plane(plane).Name + ": " + length(best, sys)}
	}, nil)
	return best
}

func defineStrips() {
	derive("plane", "coverage", measured(quantity.Ratio), "share of the plane that is under modules, in plan view", "a stricter reading that some reviewers use", "",
		func(c *Call, p *job.Plane) any {
			cov, ok := c.coverage()
			if !ok {
				return nil
			}
			return cov.Planes[c.m.roof().index[p.Name.Value]]
		})
	derive("roof", "coverage_with_gaps", measured(quantity.Ratio), "share of the roof that is under modules and the gaps between them, in plan view", "a stricter reading: the code does not say whether gaps count", "",
		func(c *Call, _ *roofMark) any {
			cov, ok := c.coverage()
			if !ok {
				return nil
			}
			s := c.m.roof()
			gaps := 0.0
			for i := range c.m.Job.Arrays {
				if a := &c.m.Job.Arrays[i]; !s.ground[s.index[a.Plane.Value]] {
					gaps += gapArea(c.m.layout(a).array) * math.Cos(s.roof.Plane(s.index[a.Plane.Value]).Slope*math.Pi/180)
				}
			}
			return cov.Ratio + gaps/cov.Roof
		})
	derive("array", "modules_across_ridge", flag, "whether modules lie on a plane across the ridge of the array's own", "geometry", "",
		func(c *Call, a *job.Array) any {
			s := c.geometry()
			if c.Stop() {
				return nil
			}
			return slices.ContainsFunc(s.roof.Neighbours(s.index[a.Plane.Value], roofplan.Ridge), c.m.carries)
		})
	derive("array", "has_shared_hip", flag, "whether a hip or valley of the array's plane has modules on its other side too", "geometry", "",
		func(c *Call, a *job.Array) any {
			s := c.geometry()
			if c.Stop() {
				return nil
			}
			return len(c.sharedHips(s, a)) > 0
		})
	derive("array", "clearance_to_shared_hip", measured(quantity.Length), "distance on the surface to the nearest hip or valley that has modules on its other side too", "geometry", "",
		func(c *Call, a *job.Array) any {
			s := c.geometry()
			l := c.laidOut(a)
			if c.Stop() {
				return nil
			}
			c.Drive(a.Origin.At)
			least := math.Inf(1)
			for _, e := range c.sharedHips(s, a) {
				for _, it := range s.moduleItems(c.m, l, a) {
					d, _, _ := roofplan.Distance(it.Shape, e.Shape())
					least = math.Min(least, d)
				}
			}
			return least
		})
	derive("array", "clearance_to_eave", measured(quantity.Length), "distance on the surface from the array to the eave of its plane", "geometry", "",
		func(c *Call, a *job.Array) any { return c.clearance(a, roofplan.Eave) })
	derive("array", "clearance_to_roof_axes", measured(quantity.Length), "distance in plan view from the array to the nearer centre line of the roof, along and across its longest edge", "geometry", "",
		func(c *Call, a *job.Array) any {
			s := c.geometry()
			l := c.laidOut(a)
			if c.Stop() {
				return nil
			}
			c.Drive(a.Origin.At)
			return s.axisClearance(s.moduleItems(c.m, l, a))
		})
	derive("array", "largest_extent", measured(quantity.Length), "larger of the length and the depth of the array", "geometry", "",
		func(c *Call, a *job.Array) any {
			s := c.geometry()
			l := c.laidOut(a)
			if c.Stop() {
				return nil
			}
			c.Drive(a.Columns.At)
			return largestExtent(s.roof, s.index[a.Plane.Value], s.moduleItems(c.m, l, a))
		})
}

// carries tells whether an array lies on a plane.
func (m *Model) carries(plane int) bool {
	name := m.roof().roof.Plane(plane).Name
	return slices.ContainsFunc(m.Job.Arrays, func(a job.Array) bool { return a.Plane.Value == name })
}

// sharedHips lists the hips and valleys of an array's plane beyond which
// modules lie.
func (c *Call) sharedHips(s *roofState, a *job.Array) []roofplan.Edge {
	return slices.DeleteFunc(s.roof.Edges(s.index[a.Plane.Value]), func(e roofplan.Edge) bool {
		return e.Kind != roofplan.Hip && e.Kind != roofplan.Valley || !c.m.carries(e.Neighbour)
	})
}

// gapArea is the area of the gaps between neighbouring modules of an array, on
// the surface.
func gapArea(a *layout.Array) float64 {
	there := map[layout.Cell]bool{}
	for _, m := range a.Modules {
		there[m.Cell] = true
	}
	area := 0.0
	for _, m := range a.Modules {
		right := there[layout.Cell{Row: m.Cell.Row, Column: m.Cell.Column + 1}]
		above := there[layout.Cell{Row: m.Cell.Row + 1, Column: m.Cell.Column}]
		if right {
			area += a.GapX * a.Height
		}
		if above {
			area += a.GapY * a.Width
		}
		if right && above && there[layout.Cell{Row: m.Cell.Row + 1, Column: m.Cell.Column + 1}] {
			area += a.GapX * a.GapY
		}
	}
	return area
}

// axisClearance is the least distance of items to the centre lines of the
// roof in plan view. The axes of a roof run along and across its longest edge.
func (s *roofState) axisClearance(items []roofplan.Item) float64 {
	var along roofplan.Point
	longest := 0.0
	for i := range s.roof.Len() {
		outline := s.roof.Plane(i).Outline
		for k, p := range outline {
			q := outline[(k+1)%len(outline)]
			if d := p.DistanceTo(q); !s.ground[i] && d > longest {
				longest, along = d, roofplan.Point{X: (q.X - p.X) / d, Y: (q.Y - p.Y) / d}
			}
		}
	}
	least := math.Inf(1)
	for _, axis := range []roofplan.Point{along, {X: -along.Y, Y: along.X}} {
		lo, hi := math.Inf(1), math.Inf(-1)
		for i := range s.roof.Len() {
			for _, p := range s.roof.Plane(i).Outline {
				if d := p.X*axis.X + p.Y*axis.Y; !s.ground[i] {
					lo, hi = math.Min(lo, d), math.Max(hi, d)
				}
			}
		}
		for _, it := range items {
			from, to := math.Inf(1), math.Inf(-1)
			for _, p := range it.Shape.Corners() {
				p = s.roof.Frame(it.Plane).ToPlan(p)
				d := p.X*axis.X + p.Y*axis.Y - (lo+hi)/2
				from, to = math.Min(from, d), math.Max(to, d)
			}
			least = math.Min(least, math.Max(0, math.Max(from, -to)))
		}
	}
	return least
}

// largestExtent is the larger of length and depth of items on a plane, taken
// together.
func largestExtent(r *roofplan.Roof, plane int, items []roofplan.Item) float64 {
	most := 0.0
	for _, s := range r.Sections(plane, items, math.MaxFloat32) {
		most = math.Max(most, math.Max(s.Length[0], s.Length[1]))
	}
	return most
}

func defineOpenings() {
	derive("plane", "has_escape_opening", flag, "whether an emergency escape and rescue opening is drawn on the plane", "the job", "",
		func(c *Call, p *job.Plane) any {
			return slices.ContainsFunc(c.m.Job.Obstructions, func(o job.Obstruction) bool {
				return o.Plane.Value == p.Name.Value && o.Kind.Value == "escape-opening"
			})
		})
	derive("obstruction", "modules_below", count, "modules on the part of the plane straight down the slope from it", "geometry", "",
		func(c *Call, o *job.Obstruction) any {
			s, target, ok := c.obstacle(o)
			if !ok {
				return nil
			}
			zone, ok := s.roof.ZoneBelow(target)
			if !ok {
				return 0 // it stands at the lowest edge
			}
			c.Drive(o.At.At)
			return len(s.roof.Intruders(target.Plane, zone, s.modules, roofplan.Tolerance/10))
		})
	derive("obstruction", "way_to_lowest_edge", measured(quantity.Length), "widest straight way over its plane from an eave to it", "geometry", "",
		func(c *Call, o *job.Obstruction) any { return c.straightWay(o, roofplan.Eave) })
	derive("obstruction", "way_to_roof_edge", measured(quantity.Length), "widest straight way over its plane from a roof edge to it", "geometry", "",
		func(c *Call, o *job.Obstruction) any { return c.straightWay(o, roofplan.OuterKinds...) })
}

// obstacle is an obstruction as an item of the roof, with all modules on its
// plane known.
func (c *Call) obstacle(o *job.Obstruction) (*roofState, roofplan.Item, bool) {
	s := c.geometry()
	if c.Stop() {
		return s, roofplan.Item{}, false
	}
	shape, needs := obstructionShape(c.m, o)
	c.out.Needs = append(append(c.out.Needs, needs...), s.itemNeeds[o.Plane.Value]...)
	return s, roofplan.Item{Name: o.Name.Value, Plane: s.index[o.Plane.Value], Shape: shape}, !c.Stop()
}

// straightWay gives the width of the widest straight way from edges of the
// given kinds to an obstruction, zero where there is none. A way of one width
// holds every narrower one, so the widest is found by halving.
func (c *Call) straightWay(o *job.Obstruction, kinds ...roofplan.EdgeKind) any {
	s, target, ok := c.obstacle(o)
	if !ok {
		return nil
	}
	c.Drive(o.At.At)
	var targets []roofplan.Shape
	items := slices.DeleteFunc(slices.Concat(s.modules, s.obstacles), func(it roofplan.Item) bool { return it == target })
	for _, e := range s.roof.Edges(target.Plane) {
		if slices.Contains(kinds, e.Kind) {
			targets = append(targets, e.Shape())
		} else if e.Kind == roofplan.Rake { // half the way may not lie beyond the side of the roof
			items = append(items, roofplan.Item{Name: e.Kind.String(), Plane: target.Plane, Shape: e.Shape()})
		}
	}
	open := func(width float64) bool {
		way, ok := s.roof.Straight(target.Plane, target.Shape.Centre(), targets, items, width)
		return ok && way.Exists
	}
	lo, hi := 0.0, largestExtent(s.roof, target.Plane, outlineItems(s.roof, target.Plane))
	for range 60 {
		if middle := (lo + hi) / 2; open(middle) {
			lo = middle
		} else {
			hi = middle
		}
	}
	c.Explain(func(sys quantity.System) []string {
		return []string{"widest straight way to " + o.Name.Value + ": " + length(lo, sys)}
	}, nil)
	return lo
}

// outlineItems stands for the corners of a plane where its extent is asked.
func outlineItems(r *roofplan.Roof, plane int) []roofplan.Item {
	var out []roofplan.Item
	for _, p := range r.Outline(plane) {
		out = append(out, roofplan.Item{Plane: plane, Shape: roofplan.Disc(p, 0)})
	}
	return out
}

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
	derive("section", "gap_beside_vents", measured(quantity.Length), "width of the way to the nearest other section that is left beside a smoke vent or skylight standing between them; zero where none stands there", "geometry", "", func(c *Call, x *sectionMark) any {
		if x.section.Next < 0 {
			return c.Fail("%s has no other section beside it", c.subject.Name)
		}
		best := 0.0
		for i := range c.m.Job.Obstructions {
			o := &c.m.Job.Obstructions[i]
			if o.Plane.Value != x.plane.Name.Value || o.Kind.Value != "smoke-vent" && o.Kind.Value != "skylight" {
				continue
			}
			_, vent, ok := c.obstacle(o)
			if !ok {
				return nil
			}
			own := x.roof.nearest(vent.Shape, x.section.Items)
			other := x.roof.nearest(vent.Shape, x.all[x.section.Next].Items)
			if math.Max(own, other) <= x.section.Gap {
				best = math.Max(best, math.Max(own, other))
			}
		}
		return best
	})
	derive("plane", "module_extent", measured(quantity.Length), "larger of length and depth of all modules on the plane together", "geometry", "", func(c *Call, p *job.Plane) any {
		s := c.geometry()
		c.out.Needs = append(c.out.Needs, s.itemNeeds[p.Name.Value]...)
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
	c.out.Needs = append(c.out.Needs, s.itemNeeds[p.Name.Value]...)
	edition := Get(c, m.Job.Adoption.IFC)
	var width float64
	if !c.Stop() {
		if t, err := m.Tables.Get("IFC", edition, "roof-access"); err != nil {
			c.Err(err)
		} else if feet, ok := t.Number("between sections", "width"); !ok {
			c.Fail("table %s has no width between sections", t.Name)
		} else {
			width = feet * quantity.Foot
		}
	}
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

// nearest is the distance of a shape to the nearest of some modules.
func (s *roofState) nearest(shape roofplan.Shape, modules []int) float64 {
	least := math.Inf(1)
	for _, i := range modules {
		d, _, _ := roofplan.Distance(shape, s.modules[i].Shape)
		least = math.Min(least, d)
	}
	return least
}
