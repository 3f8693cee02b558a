package access

import (
	"slices"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/roofplan"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/arrays"
	"plumbrule/internal/terms/roofs"
)

// Places are what a crew has to come to: escape openings, hatches, standpipes.

var _ = terms.Derive(planeKind, "has_escape_opening", terms.YesNo, "whether an emergency escape and rescue opening is drawn on the plane", "the job", "",
	func(c *terms.Call, p *job.Plane) bool { return hasEscapeOpening(c, p.Name.Value) })

var _ = terms.Derive(planeKind, "escape_opening_above", terms.YesNo, "whether an emergency escape and rescue opening is drawn on the plane or elsewhere on its side of the roof", "the job", "",
	func(c *terms.Call, p *job.Plane) bool {
		s, l := roofs.Geometry.Of(c, c.Job()), roofs.Sides.Of(c, c.Job())
		if c.Stop() {
			return false
		}
		side := l.List[l.Of[s.Index[p.Name.Value]]]
		return slices.ContainsFunc(side, func(i int) bool { return hasEscapeOpening(c, s.Roof.Plane(i).Name) })
	})

func hasEscapeOpening(c *terms.Call, plane string) bool {
	return slices.ContainsFunc(c.Job().Obstructions, func(o job.Obstruction) bool {
		return terms.Peek(c, o.Plane) == plane && terms.Peek(c, o.Kind) == "escape-opening"
	})
}

var _ = terms.Derive(obstructionKind, "modules_below", terms.WholeNumber, "modules on the roof straight down the slope from it, over planes of one side down to the eave", "geometry", "",
	func(c *terms.Call, o *job.Obstruction) int {
		w, target, ok := walkTo(c, o, downhill)
		if !ok {
			return 0
		}
		terms.Drive(c, o.At)
		below := w.walk.Below(target)
		c.Explain(func(quantity.System) []string {
			lines := make([]string, 0, len(below))
			for _, i := range below {
				lines = append(lines, "below "+o.Name.Value+": "+w.items[i].Name+" on plane "+w.roof.Plane(w.items[i].Plane).Name)
			}
			return lines
		}, nil)
		return len(below)
	})

var _ = terms.Derive(obstructionKind, "way_to_lowest_edge", terms.Quantity(quantity.Length), "widest straight way from a lowest edge to it, over the planes that join", "geometry", "",
	func(c *terms.Call, o *job.Obstruction) float64 { return straightWay(c, o, rescue) })

var _ = terms.Derive(obstructionKind, "bent_way_to_lowest_edge", terms.Quantity(quantity.Length), "widest way from a lowest edge to it, over the planes that join and round what stands there", "geometry: chains of obstacles that shut it in", "",
	func(c *terms.Call, o *job.Obstruction) float64 { return bentWay(c, o, rescue) })

var _ = terms.Derive(obstructionKind, "way_to_roof_edge", terms.Quantity(quantity.Length), "widest straight way from a roof edge or parapet to it, over the planes that join", "geometry", "",
	func(c *terms.Call, o *job.Obstruction) float64 { return straightWay(c, o, service) })

var _ = terms.Derive(obstructionKind, "bent_way_to_roof_edge", terms.Quantity(quantity.Length), "widest way from a roof edge or parapet to it, over the planes that join and round what stands there", "geometry: chains of obstacles that shut it in", "",
	func(c *terms.Call, o *job.Obstruction) float64 { return bentWay(c, o, service) })

var _ = terms.Derive(obstructionKind, "modules_in_reach", terms.YesNo, "whether modules lie on its plane or on planes that join", "geometry", "", func(c *terms.Call, o *job.Obstruction) bool {
	if len(arrays.On(c, terms.Peek(c, o.Plane))) > 0 {
		return true // whatever the rest of the roof may be
	}
	s := roofs.Geometry.Of(c, c.Job())
	if c.Stop() {
		return false
	}
	p := &parted{planes: s.Roof.JoinedTo(s.Index[terms.Peek(c, o.Plane)])}
	if carriesAny(c, s, p.planes) {
		return true
	}
	roofs.Certain(c, p.planes...)
	return false
})

var _ = terms.Derive(obstructionKind, "space_around", terms.Quantity(quantity.Length), "distance on the surface to the nearest module, over the planes that join; zero below one", "geometry", "", func(c *terms.Call, o *job.Obstruction) float64 {
	s := roofs.Geometry.Of(c, c.Job())
	if c.Stop() {
		return 0
	}
	plane := s.Index[terms.Peek(c, o.Plane)]
	p := &parted{planes: s.Roof.JoinedTo(plane)}
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

// errand is what a crew comes to a place for: it decides from where it comes and
// what it crosses.
type errand uint8

const (
	rescue   errand = iota // from the lowest edge that a ladder reaches, over hips and valleys
	service                // from any edge of the roof or parapet, over ridges too
	downhill               // what lies below on the same side
)

// ground is the part of the roof from which a place is come to.
type ground struct {
	roof    *roofplan.Roof
	walk    *roofplan.Walk
	items   []roofplan.Item
	modules int // the first of the items
}

// groundKey is what a ground is kept under.
type groundKey struct {
	plane   int
	purpose errand
}

var groundAround = terms.AnalyseBy(terms.KindFor[job.Job](), "ground round a place", func(c *terms.Call, j *job.Job, k groundKey) ground {
	s := roofs.Geometry.Of(c, j)
	if c.Stop() {
		return ground{}
	}
	g := ground{roof: s.Roof, items: s.Modules, modules: len(s.Modules)}
	joints, from := k.purpose.over(s.Roof, k.plane)
	if k.purpose != downhill {
		g.items = slices.Concat(s.Modules, s.Obstacles)
	}
	walk, err := s.Roof.Walk(k.plane, joints, from, g.items, terms.Practice(c, "places", "most", "value"))
	if err != nil {
		c.Err(err)
		return ground{}
	}
	g.walk = walk
	planes := walk.Flat().Planes()
	roofs.Certain(c, planes...)
	for _, p := range planes {
		if k.purpose == downhill {
			c.Need(s.ModuleNeeds[s.Roof.Plane(p).Name]...)
		} else {
			c.Need(s.ItemNeeds[s.Roof.Plane(p).Name]...)
		}
	}
	return g
})

// over lists the joints that a crew crosses and the edges from which it comes.
// On a level roof every edge is a lowest edge.
func (e errand) over(roof *roofplan.Roof, plane int) ([]roofplan.EdgeKind, roofplan.Entry) {
	switch {
	case e == downhill:
		return []roofplan.EdgeKind{roofplan.Break}, roofplan.Entry{}
	case e == service:
		kinds := slices.DeleteFunc(slices.Clone(roofplan.OuterKinds), func(k roofplan.EdgeKind) bool { return k == roofplan.Wall })
		return []roofplan.EdgeKind{roofplan.Ridge, roofplan.Hip, roofplan.Valley, roofplan.Break}, roofplan.Entry{Kinds: kinds}
	}
	from := roofplan.Entry{Kinds: []roofplan.EdgeKind{roofplan.Eave, roofplan.Parapet}, Ladder: true}
	if roof.Plane(plane).Slope == 0 {
		from.Kinds = append(from.Kinds, roofplan.HighEave, roofplan.Rake)
	}
	return []roofplan.EdgeKind{roofplan.Hip, roofplan.Valley, roofplan.Break}, from
}

// obstacle is an obstruction as an item of the roof, with all modules on its
// plane known.
func obstacle(c *terms.Call, o *job.Obstruction) (*roofs.State, roofplan.Item, bool) {
	s := roofs.Geometry.Of(c, c.Job())
	if c.Stop() {
		return s, roofplan.Item{}, false
	}
	shape := roofs.ObstructionShape.Of(c, o)
	c.Need(s.ItemNeeds[terms.Peek(c, o.Plane)]...)
	return s, roofplan.Item{Name: o.Name.Value, Plane: s.Index[terms.Peek(c, o.Plane)], Shape: shape}, !c.Stop()
}

// walkTo is an obstruction as a place to come to, with the ground round it.
func walkTo(c *terms.Call, o *job.Obstruction, e errand) (ground, roofplan.Item, bool) {
	s := roofs.Geometry.Of(c, c.Job())
	if c.Stop() {
		return ground{}, roofplan.Item{}, false
	}
	target := roofplan.Item{Name: o.Name.Value, Plane: s.Index[terms.Peek(c, o.Plane)], Shape: roofs.ObstructionShape.Of(c, o)}
	if !c.Stop() && terms.Peek(c, o.InWall) {
		target.Shape = inWall(c, s, target)
	}
	g := groundAround.Of(c, c.Job(), groundKey{target.Plane, e})
	return g, target, !c.Stop()
}

// inWall is an opening in a wall as a line on the roof below it: its sill,
// across the slope, drawn to the edge of the plane where it reaches that edge.
func inWall(c *terms.Call, s *roofs.State, opening roofplan.Item) roofplan.Shape {
	corners := opening.Shape.Corners()
	a, b := opening.Shape.Centre(), opening.Shape.Centre()
	if len(corners) == 4 {
		a.X, a.Y = (corners[0].X+corners[3].X)/2, (corners[0].Y+corners[3].Y)/2
		b.X, b.Y = (corners[1].X+corners[2].X)/2, (corners[1].Y+corners[2].Y)/2
	} else {
		a.X -= opening.Shape.Radius()
		b.X += opening.Shape.Radius()
	}
	setBack := terms.Practice(c, "places", "set-back", "value")
	for _, e := range s.Roof.Edges(opening.Plane) {
		if d, _, _ := roofplan.Distance(opening.Shape, e.Shape()); d > roofplan.Tolerance {
			continue
		}
		from, to, half := e.From, e.To, a.DistanceTo(b)/2
		u := roofplan.Point{X: (to.X - from.X) / e.Length(), Y: (to.Y - from.Y) / e.Length()}
		m := opening.Shape.Centre()
		at := (m.X-from.X)*u.X + (m.Y-from.Y)*u.Y
		point := func(along float64) roofplan.Point { // the plane lies on the left of its edge
			return roofplan.Point{X: from.X + u.X*along - u.Y*setBack, Y: from.Y + u.Y*along + u.X*setBack}
		}
		return roofplan.Segment(point(at-half), point(at+half))
	}
	return roofplan.Segment(a, b)
}

// straightWay gives the width of the widest straight way to an obstruction,
// zero where there is none. A standpipe stands wholly in the way.
func straightWay(c *terms.Call, o *job.Obstruction, e errand) float64 {
	w, target, ok := walkTo(c, o, e)
	reach := terms.Practice(c, "places", "reach", "value")
	if !ok || c.Stop() {
		return 0
	}
	terms.Drive(c, o.At)
	way := w.walk.Straight(target, 2*reach, terms.Peek(c, o.Kind) == "standpipe")
	c.Explain(func(sys quantity.System) []string {
		if way.Width == 0 {
			return []string{"no straight way to " + o.Name.Value}
		}
		line := "widest straight way to " + o.Name.Value + ": " + length(way.Width, sys)
		for i, p := range []roofplan.Place{way.Left, way.Right} {
			if p.Name != "" {
				line += [2]string{", on the left ", ", on the right "}[i] + p.Name
			}
		}
		return []string{line}
	}, nil)
	return way.Width
}

// bentWay gives the width of the widest way to an obstruction, zero where there
// is none.
func bentWay(c *terms.Call, o *job.Obstruction, e errand) float64 {
	w, target, ok := walkTo(c, o, e)
	reach := terms.Practice(c, "places", "reach", "value")
	if !ok || c.Stop() {
		return 0
	}
	terms.Drive(c, o.At)
	way := w.walk.Bent(target, reach)
	c.Explain(func(sys quantity.System) []string {
		switch {
		case way.Bound:
			return []string{"widest way to " + o.Name.Value + ": " + length(way.Width, sys) + " or more"}
		case way.Gate.A.Name == "":
			return []string{"no way to " + o.Name.Value}
		}
		return []string{"widest way to " + o.Name.Value + ": " + length(way.Width, sys) + ", narrowest between " + way.Gate.A.Name + " and " + way.Gate.B.Name}
	}, nil)
	return way.Width
}
