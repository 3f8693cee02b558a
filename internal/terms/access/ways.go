package access

import (
	"math"
	"slices"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/roofplan"
)

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
