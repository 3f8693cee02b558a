package roofs

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/roofplan"
	"plumbrule/internal/terms"
)

// ObstructionShapes are the convex pieces of an obstruction on the surface of
// its plane: one where it is round or a rectangle, several where its outline is
// another. It needs a size that is said in one way only.
var ObstructionShapes = terms.Analyse(obstructionKind, "pieces", func(c *terms.Call, o *job.Obstruction) []roofplan.Shape {
	if ways := sizesOf(c, o); len(ways) > 1 {
		c.Need(terms.Need{Why: "the place and size of " + o.Name.Value + " are said by " + strings.Join(ways, " and by "), At: o.At.At})
		return nil
	}
	if terms.Stated(c, o.Outline) {
		return outlined(c, o)
	}
	at := terms.Get(c, o.At)
	centre := roofplan.Point{X: at.X, Y: at.Y}
	if terms.Stated(c, o.Diameter) {
		return []roofplan.Shape{roofplan.Disc(centre, c.Q(o.Diameter)/2)}
	}
	w, h := c.Q(o.Width), c.Q(o.Height)
	if c.Stop() {
		return nil
	}
	turn := terms.Peek(c, o.Turn).SI
	return []roofplan.Shape{roofplan.Rect{Centre: centre, Width: w, Height: h, Turn: turn}.Shape()}
})

// ObstructionShape is an obstruction as one shape; it needs an outline that is
// a triangle or a convex quadrilateral, where there is one.
var ObstructionShape = terms.Analyse(obstructionKind, "shape", func(c *terms.Call, o *job.Obstruction) roofplan.Shape {
	pieces := ObstructionShapes.Of(c, o)
	if c.Stop() {
		return roofplan.Shape{}
	}
	if len(pieces) != 1 {
		c.Need(terms.Need{Why: fmt.Sprintf("%s has an outline of %d parts, to which no one way is measured", o.Name.Value, len(pieces)), At: o.Outline.At})
		return roofplan.Shape{}
	}
	return pieces[0]
})

// sizesOf lists the ways in which the size of an obstruction is said.
func sizesOf(c *terms.Call, o *job.Obstruction) (ways []string) {
	at, width, height := terms.Stated(c, o.At), terms.Stated(c, o.Width), terms.Stated(c, o.Height)
	diameter, outline := terms.Stated(c, o.Diameter), terms.Stated(c, o.Outline)
	if outline {
		ways = append(ways, "an outline")
	}
	if diameter {
		ways = append(ways, "a diameter")
	}
	if width || height || at && outline && !diameter {
		ways = append(ways, "a centre with width and height")
	}
	return ways
}

// outlined are the pieces of an obstruction that is given by its corners.
func outlined(c *terms.Call, o *job.Obstruction) []roofplan.Shape {
	corners := points(terms.Get(c, o.Outline))
	// An outline is held to what that of a level plane is.
	why := "its corners enclose no area"
	var fault *roofplan.PlaneError
	if err := (roofplan.Plane{Outline: corners}).Check(); errors.As(err, &fault) {
		why = fault.Text
	} else if pieces := roofplan.Polygon(corners); len(pieces) > 0 {
		return pieces
	}
	c.Need(terms.Need{Why: "the outline of obstruction " + o.Name.Value + ": " + why, At: o.Outline.At})
	return nil
}

// spread are the extents of pieces across and up the slope, metres.
func spread(pieces []roofplan.Shape) (width, height float64) {
	low, high := roofplan.Point{X: math.Inf(1), Y: math.Inf(1)}, roofplan.Point{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, s := range pieces {
		r := s.Radius()
		for _, p := range s.Corners() {
			low.X, low.Y = math.Min(low.X, p.X-r), math.Min(low.Y, p.Y-r)
			high.X, high.Y = math.Max(high.X, p.X+r), math.Max(high.Y, p.Y+r)
		}
	}
	return high.X - low.X, high.Y - low.Y
}

// addObstruction sorts an obstruction into what is in the way and what a crew
// steps over. A thing in a wall is neither, but only of the kinds that stand
// in walls.
func (s *State) addObstruction(c *terms.Call, o *job.Obstruction) {
	if inWall, known := ObstructionInWall.Try(c, o); known && inWall {
		return
	}
	plane := terms.Peek(c, o.Plane)
	pieces, needs := ObstructionShapes.Try(c, o)
	if len(needs) > 0 {
		s.ItemNeeds[plane] = append(s.ItemNeeds[plane], needs...)
		return
	}
	into := &s.Obstacles
	if terms.Peek(c, o.WalkedOver) {
		if stepped, known := ObstructionStepped.Try(c, o); known && stepped {
			into = &s.Stepped
		}
	}
	for _, piece := range pieces {
		*into = append(*into, roofplan.Item{Name: o.Name.Value, Plane: s.Index[plane], Shape: piece})
	}
}

// ofKind reads a word of the table of obstructions for the kind of one.
func ofKind(c *terms.Call, o *job.Obstruction, column string) string {
	kind := terms.Get(c, o.Kind)
	if c.Stop() {
		return ""
	}
	return terms.PracticeText(c, "obstruction", kind, column)
}

var _ = terms.Derive(obstructionKind, "ways_of_size", terms.WholeNumber, "in how many ways its place and size are said: by an outline, by a diameter, by width and height", "the job", "",
	func(c *terms.Call, o *job.Obstruction) int {
		n := len(sizesOf(c, o))
		if n == 0 { // what is missing is the plainest way of the three
			terms.Get(c, o.At)
			c.Q(o.Width)
			c.Q(o.Height)
		}
		return n
	})

var ObstructionInWall = terms.Derive(obstructionKind, "in_a_wall", terms.YesNo, "whether it is said to be an opening in a wall and is of a kind that stands in walls", "common practice", "",
	func(c *terms.Call, o *job.Obstruction) bool {
		return terms.Peek(c, o.InWall) && ofKind(c, o, "wall") == "yes"
	})

var ObstructionStepped = terms.Derive(obstructionKind, "can_be_stepped_over", terms.YesNo, "whether a crew can step over it: a drain, a conduit, or a pipe low and slender enough", "common practice", "",
	func(c *terms.Call, o *job.Obstruction) bool {
		word := ofKind(c, o, "stepped")
		if word != "low" || c.Stop() {
			return word == "yes"
		}
		pieces := ObstructionShapes.Of(c, o)
		size, rise := terms.Practice(c, "roof", "stepped size", "value"), terms.Practice(c, "roof", "stepped rise", "value")
		if c.Stop() {
			return false
		}
		if w, h := spread(pieces); math.Max(w, h) > size+roofplan.Tolerance {
			return false // whatever its height
		}
		height := c.Q(o.Rise)
		return !c.Stop() && height <= rise+roofplan.Tolerance
	})

var _ = terms.Derive(obstructionKind, "may_stand_below_modules", terms.Word, "whether such a thing may stand under modules: yes, ask, low (where its end stays clear of the module) or no", "common practice", "",
	func(c *terms.Call, o *job.Obstruction) string { return ofKind(c, o, "below") })

var _ = terms.Derive(obstructionKind, "usual_clearance", terms.Quantity(quantity.Length), "clearance that such a thing usually needs all around", "common practice", "",
	func(c *terms.Call, o *job.Obstruction) float64 {
		kind := terms.Get(c, o.Kind)
		if c.Stop() {
			return 0
		}
		return terms.Practice(c, "obstruction", kind, "clearance")
	})

var _ = terms.Derive(obstructionKind, "beyond_plane", terms.Quantity(quantity.Length), "how far it reaches over the border of its plane, or into a hole in it; zero when it stands inside", "geometry", "",
	func(c *terms.Call, o *job.Obstruction) float64 {
		s, items, ok := asItems(c, o)
		if !ok {
			return 0
		}
		terms.Drive(c, o.At)
		most := 0.0
		for _, stray := range s.Roof.Strays(items, roofplan.Tolerance/10) {
			most = math.Max(most, stray.Beyond)
		}
		return most
	})

// wallKinds are the edges of a plane at which a wall can rise.
var wallKinds = []roofplan.EdgeKind{roofplan.Wall, roofplan.Step}

var _ = terms.Derive(obstructionKind, "distance_to_wall", terms.Quantity(quantity.Length), "distance on the surface to the nearest edge of its plane at which a wall can rise: a wall, a step, the border of a hole or an edge below another plane", "geometry", "",
	func(c *terms.Call, o *job.Obstruction) float64 {
		s, items, ok := asItems(c, o)
		if !ok {
			return 0
		}
		terms.Drive(c, o.At)
		plane := items[0].Plane
		outer := len(s.Roof.Plane(plane).Outline)
		least := math.Inf(1)
		for _, e := range s.Roof.Edges(plane) {
			if !slices.Contains(wallKinds, e.Kind) && e.Index < outer {
				continue
			}
			for _, it := range items {
				d, _, _ := roofplan.Distance(it.Shape, e.Shape())
				least = math.Min(least, d)
			}
		}
		if math.IsInf(least, 1) {
			c.Fail("plane %s has no edge at which a wall rises", terms.Peek(c, o.Plane))
		}
		return least
	})

// asItems is an obstruction as items of the roof.
func asItems(c *terms.Call, o *job.Obstruction) (*State, []roofplan.Item, bool) {
	s := Geometry.Of(c, c.Job())
	pieces := ObstructionShapes.Of(c, o)
	if c.Stop() {
		return s, nil, false
	}
	out := make([]roofplan.Item, len(pieces))
	for i, piece := range pieces {
		out[i] = roofplan.Item{Name: o.Name.Value, Plane: s.Index[terms.Peek(c, o.Plane)], Shape: piece}
	}
	return s, out, true
}
