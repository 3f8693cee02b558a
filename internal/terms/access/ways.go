package access

import (
	"math"
	"slices"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/roofplan"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/arrays"
	"plumbrule/internal/terms/roofs"
)

var _ = terms.Derive(planeKind, "arrays", terms.ListOf(arrayKind), "the arrays that lie on the plane", "the job", "",
	func(c *terms.Call, p *job.Plane) []*job.Array { return arraysOn(c, p.Name.Value) })

var _ = terms.Derive(planeKind, "has_hip", terms.YesNo, "whether the plane meets another at a hip", "geometry", "",
	func(c *terms.Call, p *job.Plane) bool {
		s := roofs.Geometry.Of(c, c.Job())
		if c.Stop() {
			return false
		}
		return len(s.Roof.Neighbours(s.Index[p.Name.Value], roofplan.Hip)) > 0
	})

var _ = terms.Derive(roofs.Roof, "second_pathway", terms.Quantity(quantity.Length), "the narrower of the two widest ways from the lowest edge to the ridge that lie on separate planes; a way that straddles two planes takes both", "geometry: chains of obstacles that close the planes", "",
	func(c *terms.Call, _ *roofs.Whole) float64 {
		s := roofs.Geometry.Of(c, c.Job())
		if c.Stop() {
			return 0
		}
		return secondPathway(c, s)
	})

var _ = terms.Derive(roofs.Roof, "street_pathway", terms.Quantity(quantity.Length), "widest way from the lowest edge to the ridge on the street or driveway side: on a plane that falls toward the street within 45 degrees, or in the nearer half of one that falls within 90", "geometry: chains of obstacles that close the plane", "",
	func(c *terms.Call, _ *roofs.Whole) float64 {
		s := roofs.Geometry.Of(c, c.Job())
		street := c.Q(c.Job().Site.StreetBearing)
		if c.Stop() {
			return 0
		}
		return streetPathway(c, s, street)
	})

var _ = terms.Derive(planeKind, "second_path", terms.Quantity(quantity.Length), "the narrower of two ways from the lowest edge to the ridge on this plane, one on either side of an array or side by side in one way", "geometry: chains of obstacles that close the plane", "",
	func(c *terms.Call, p *job.Plane) float64 {
		s := roofs.Geometry.Of(c, c.Job())
		if c.Stop() {
			return 0
		}
		return secondPath(c, s, s.Index[p.Name.Value])
	})

var _ = terms.Derive(planeKind, "widest_path_off_overhang", terms.Quantity(quantity.Length), "widest way up this plane that keeps off the weak overhang along its rakes", "geometry: chains of obstacles that close the plane", "",
	func(c *terms.Call, p *job.Plane) float64 {
		s := roofs.Geometry.Of(c, c.Job())
		terms.Drive(c, p.WeakRake)
		weak := c.Q(p.WeakRake)
		if c.Stop() {
			return 0
		}
		own := s.Index[p.Name.Value]
		items, needs := s.Items(own)
		for _, e := range s.Roof.Edges(own) {
			if e.Kind == roofplan.Rake {
				items = append(items, roofplan.Item{Name: "weak overhang", Plane: own, Shape: e.Shape().Grown(weak)})
			}
		}
		if c.Need(needs...); c.Stop() {
			return 0
		}
		path, err := s.Roof.Path([]int{own}, items, roofs.PathProbe)
		if err != nil {
			c.Err(err)
			return 0
		}
		c.Explain(roofs.PathWork(path), nil)
		return path.Widest
	})

var _ = terms.Derive(roofs.Roof, "level_changes", terms.WholeNumber, "places where one plane ends along another that lies higher or lower", "geometry", "",
	func(c *terms.Call, _ *roofs.Whole) int { return roofs.LevelChanges(c) })

// arraysOn lists the arrays that lie on a plane.
func arraysOn(c *terms.Call, plane string) []*job.Array {
	return terms.Pointing(c, arrayKind, func(a *job.Array) job.Text { return a.Plane }, plane)
}

// sloped lists the planes of the roof that fall one way.
func sloped(s *roofs.State) []int {
	var out []int
	for i := range s.Roof.Len() {
		if !s.Ground[i] && s.Roof.Plane(i).Slope > 0 {
			out = append(out, i)
		}
	}
	return out
}

// secondPathway finds the two ways that share no plane whose narrower one is
// the widest, and gives its width; zero where there are no two.
func secondPathway(c *terms.Call, s *roofs.State) float64 {
	var ways []roofs.Way
	for _, i := range sloped(s) {
		ways = append(ways, roofs.WayUp(c, i))
		for _, n := range s.Roof.Neighbours(i, roofplan.Hip, roofplan.Valley, roofplan.Break) {
			if n > i && !s.Ground[n] {
				ways = append(ways, roofs.WayOver(c, i, n))
			}
		}
	}
	for _, w := range ways {
		c.Need(w.Needs...)
	}
	if c.Stop() {
		return 0
	}
	best := 0.0
	var pair []roofs.Way
	for i, v := range ways {
		for _, w := range ways[:i] {
			narrower := math.Min(v.Path.Widest, w.Path.Widest)
			if v.Err == nil && w.Err == nil && narrower > best && apart(v.Planes, w.Planes) {
				best, pair = narrower, []roofs.Way{w, v}
			}
		}
	}
	c.Explain(func(sys quantity.System) []string {
		var lines []string
		for _, w := range pair {
			names := make([]string, len(w.Planes))
			for i, p := range w.Planes {
				names[i] = s.Roof.Plane(p).Name
			}
			lines = append(lines, "way up "+strings.Join(names, " and ")+": "+length(w.Path.Widest, sys))
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
func streetPathway(c *terms.Call, s *roofs.State, street float64) float64 {
	const quarter, half, drawn = 45, 90, 1e-6 // degrees: whole plane, nearer half, accuracy of stated bearings
	terms.Drive(c, c.Job().Site.StreetBearing)
	best, on := 0.0, ""
	for _, i := range sloped(s) {
		plane := s.Roof.Plane(i)
		turn := math.Abs(math.Remainder(plane.Downslope-street, 360))
		if turn > half+drawn {
			continue
		}
		items, needs := s.Items(i)
		if turn > quarter+drawn {
			items = append(items, farHalf(s, i, street))
		}
		c.Need(needs...)
		if c.Stop() {
			continue
		}
		if path, err := s.Roof.Path([]int{i}, items, roofs.PathProbe); err == nil && path.Widest > best {
			best, on = path.Widest, plane.Name
		}
	}
	if c.Stop() {
		return 0
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
func farHalf(s *roofs.State, plane int, bearing float64) roofplan.Item {
	f, outline := s.Roof.Frame(plane), s.Roof.Plane(plane).Outline
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
func secondPath(c *terms.Call, s *roofs.State, plane int) float64 {
	whole := roofs.WayUp(c, plane)
	c.Need(whole.Needs...)
	if c.Stop() {
		return 0
	}
	if whole.Err != nil {
		c.Err(whole.Err)
		return 0
	}
	best := whole.Path.Widest / 2
	items, _ := s.Items(plane)
	var reach float64
	for _, p := range s.Roof.Outline(plane) {
		reach = math.Max(reach, 2*math.Hypot(p.X, p.Y))
	}
	for i := range c.Job().Arrays {
		a := &c.Job().Arrays[i]
		if terms.Peek(c, a.Plane) != s.Roof.Plane(plane).Name {
			continue
		}
		modules := s.ModuleItems(c, arrays.Modules.Of(c, a), a)
		m := modules[len(modules)/2].Shape.Centre()
		narrower := math.Inf(1)
		for _, to := range []float64{-reach, reach} {
			bar := roofplan.Item{Name: "array " + a.Name.Value, Plane: plane, Shape: roofplan.Segment(m, roofplan.Point{X: m.X + to, Y: m.Y})}
			path, err := s.Roof.Path([]int{plane}, append(slices.Clone(items), bar), roofs.PathProbe)
			if err != nil {
				c.Err(err)
				return 0
			}
			narrower = math.Min(narrower, path.Widest)
		}
		best = math.Max(best, narrower)
	}
	c.Explain(func(sys quantity.System) []string {
		return []string{"the narrower of two ways up " + s.Roof.Plane(plane).Name + ": " + length(best, sys)}
	}, nil)
	return best
}
