package access

import (
	"fmt"
	"math"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/roofplan"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/roofs"
)

const streetSide = "on a side of the roof that falls toward it within 45 degrees, or in the nearer half of one that falls within 90; of a way that straddles two sides, both must lie so"

var _ = terms.Derive(roofs.Roof, "street_pathway", terms.Quantity(quantity.Length), "widest way from the lowest edge to the ridge on the side of a street or driveway: "+streetSide, "geometry: chains of obstacles that close the side", "",
	func(c *terms.Call, _ *roofs.Whole) float64 { return streetPathway(c, false) })

var _ = terms.Derive(roofs.Roof, "street_or_alley_pathway", terms.Quantity(quantity.Length), "the same where an alley counts as a street", "geometry: chains of obstacles that close the side", "",
	func(c *terms.Call, _ *roofs.Whole) float64 { return streetPathway(c, true) })

var streetBearing = terms.Derive(streetKind, "drawn_bearing", terms.Quantity(quantity.Angle), "bearing from the middle of the roof to the nearest point of the drawn line, from 0 to 360 degrees", "geometry", "",
	func(c *terms.Call, s *job.Street) float64 {
		line := terms.Get(c, s.Line)
		middle, ok := middleOfRoof(c)
		if !ok {
			return 0
		}
		near, d := roofplan.Point{}, math.Inf(1)
		for i := range line {
			from := roofplan.Point{X: line[i].X, Y: line[i].Y}
			to := from
			if i+1 < len(line) {
				to = roofplan.Point{X: line[i+1].X, Y: line[i+1].Y}
			}
			if p := closest(middle, from, to); p.DistanceTo(middle) < d {
				near, d = p, p.DistanceTo(middle)
			}
		}
		if d <= roofplan.Tolerance || math.IsInf(d, 1) {
			c.Fail("the line of street %s runs through the middle of the roof", s.Name.Value)
			return 0
		}
		terms.Drive(c, s.Line)
		return math.Mod(math.Atan2(near.X-middle.X, near.Y-middle.Y)*180/math.Pi+360, 360)
	})

var _ = terms.Derive(streetKind, "is_drawn", terms.YesNo, "whether its line is drawn", "the job", "",
	func(c *terms.Call, s *job.Street) bool { return terms.Stated(c, s.Line) })

var _ = terms.Derive(streetKind, "bearings_apart", terms.Quantity(quantity.Angle), "angle between the stated bearing and that of the drawn line", "geometry", "",
	func(c *terms.Call, s *job.Street) float64 {
		stated, drawn := c.Q(s.Bearing), streetBearing.Of(c, s)
		return math.Abs(math.Remainder(stated-drawn, 360))
	})

// closest is the point of a segment nearest to p.
func closest(p, a, b roofplan.Point) roofplan.Point {
	dx, dy := b.X-a.X, b.Y-a.Y
	if dx == 0 && dy == 0 {
		return a
	}
	t := ((p.X-a.X)*dx + (p.Y-a.Y)*dy) / (dx*dx + dy*dy)
	t = math.Max(0, math.Min(1, t))
	return roofplan.Point{X: a.X + t*dx, Y: a.Y + t*dy}
}

// middleOfRoof is the middle of the area of the roof in plan view, which does
// not change when a plane is drawn in parts.
func middleOfRoof(c *terms.Call) (roofplan.Point, bool) {
	s := roofs.Geometry.Of(c, c.Job())
	if c.Stop() {
		return roofplan.Point{}, false
	}
	var sum roofplan.Point
	total := 0.0
	for i := range s.Roof.Len() {
		if s.Ground[i] {
			continue
		}
		outline := s.Roof.Plane(i).Outline
		area, at := 0.0, roofplan.Point{}
		for k, p := range outline {
			q := outline[(k+1)%len(outline)]
			cross := p.X*q.Y - q.X*p.Y
			area += cross / 2
			at.X += (p.X + q.X) * cross / 6
			at.Y += (p.Y + q.Y) * cross / 6
		}
		if area < 0 {
			area, at = -area, roofplan.Point{X: -at.X, Y: -at.Y}
		}
		total += area
		sum.X += at.X
		sum.Y += at.Y
	}
	if total == 0 {
		c.Fail("no plane of the job is a roof")
		return roofplan.Point{}, false
	}
	return roofplan.Point{X: sum.X / total, Y: sum.Y / total}, true
}

// approach is a street, driveway or alley from which a crew comes. Where its
// bearing is stated and drawn both, a way must lie on its side by either.
type approach struct {
	name     string
	bearings []float64
}

// approaches lists the streets and driveways of the job, and its alleys where
// those count. Without a street or driveway it needs one.
func approaches(c *terms.Call, alleys bool) []approach {
	j := c.Job()
	var out []approach
	proper := 0 // streets and driveways
	if terms.Stated(c, j.Site.StreetBearing) {
		out, proper = append(out, approach{"the street", []float64{c.Q(j.Site.StreetBearing)}}), 1
	}
	for i := range j.Streets {
		s := &j.Streets[i]
		alley := terms.Get(c, s.Kind) == "alley"
		if alley && !alleys {
			continue
		}
		a := approach{name: s.Name.Value}
		if terms.Stated(c, s.Line) {
			a.bearings = append(a.bearings, streetBearing.Of(c, s))
		}
		if len(a.bearings) == 0 || terms.Stated(c, s.Bearing) {
			a.bearings = append(a.bearings, c.Q(s.Bearing))
		}
		if out = append(out, a); !alley {
			proper++
		}
	}
	if proper == 0 {
		c.Q(j.Site.StreetBearing) // or a [[street]]
	}
	return out
}

// streetPathway gives the widest way on the side of a street, zero where no
// side of the roof lies on it.
func streetPathway(c *terms.Call, alleys bool) float64 {
	terms.Drive(c, c.Job().Site.StreetBearing)
	streets := approaches(c, alleys)
	ways := roofs.AllWays(c)
	for _, w := range ways {
		c.Need(w.Needs...)
	}
	if c.Stop() {
		return 0
	}
	best, on := roofs.Way{}, ""
	for _, street := range streets {
		least := roofs.Way{}
		for i, bearing := range street.bearings {
			if w := widestToward(c, ways, bearing); i == 0 || w.Width() < least.Width() {
				least = w
			}
		}
		if least.Width() > best.Width() {
			best, on = least, street.name
		}
	}
	if c.Stop() {
		return 0
	}
	c.Explain(func(sys quantity.System) []string {
		if on == "" {
			return []string{"no way up lies on the street side"}
		}
		return []string{fmt.Sprintf("widest way on the side of %s, over %s", on, best.Words(sys))}
	}, nil)
	return best.Width()
}

// widestToward is the widest of the ways that lie on the side of a bearing, in
// as far as they do.
func widestToward(c *terms.Call, ways []roofs.Way, bearing float64) roofs.Way {
	s, l := roofs.Geometry.Of(c, c.Job()), roofs.Sides.Of(c, c.Job())
	best := roofs.Way{}
	for _, w := range ways {
		var far []roofplan.Item
		toward := true
		for _, side := range w.Sides {
			beyond, faces := awayFrom(s, l, side, bearing)
			far, toward = append(far, beyond...), toward && faces
		}
		if !toward {
			continue
		}
		if len(far) > 0 {
			w = roofs.FindWay(c, w.Sides, far)
		}
		if w.Width() > best.Width() {
			best = w
		}
	}
	return best
}

// awayFrom closes what of a side does not lie on the side of a bearing; false
// where none of it does.
func awayFrom(s *roofs.State, l *roofs.Slopes, side int, bearing float64) ([]roofplan.Item, bool) {
	const quarter, half, drawn = 45, 90, 1e-6 // degrees: whole side, nearer half, accuracy of stated bearings
	falls, ok := l.Falling(s, side)
	turn := math.Abs(math.Remainder(falls-bearing, 360))
	if !ok || turn > half+drawn {
		return nil, false
	}
	if turn > quarter+drawn {
		return farHalf(s, l.List[side], bearing), true
	}
	return nil, true
}

// farHalf is an obstacle, in convex pieces, over the half of a side that lies
// away from a bearing.
func farHalf(s *roofs.State, planes []int, bearing float64) []roofplan.Item {
	sin, cos := math.Sincos(bearing * math.Pi / 180)
	toward := func(p roofplan.Point) float64 { return p.X*sin + p.Y*cos }
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, i := range planes {
		for _, p := range s.Roof.Plane(i).Outline {
			lo, hi = math.Min(lo, toward(p)), math.Max(hi, toward(p))
		}
	}
	middle := (lo + hi) / 2
	var out []roofplan.Item
	for _, i := range planes {
		for _, piece := range roofplan.Polygon(s.Roof.Plane(i).Outline) {
			part := cut(piece.Corners(), func(p roofplan.Point) float64 { return middle - toward(p) })
			for k := range part {
				part[k] = s.Roof.Frame(i).ToSurface(part[k])
			}
			for _, shape := range roofplan.Polygon(part) {
				out = append(out, roofplan.Item{Name: "the half away from the street", Plane: i, Shape: shape})
			}
		}
	}
	return out
}

// cut gives the part of a convex ring where a linear function of the place is
// not negative.
func cut(ring []roofplan.Point, f func(roofplan.Point) float64) []roofplan.Point {
	var out []roofplan.Point
	for i, p := range ring {
		q := ring[(i+1)%len(ring)]
		fp, fq := f(p), f(q)
		if fp >= 0 {
			out = append(out, p)
		}
		if fp > 0 && fq < 0 || fp < 0 && fq > 0 {
			t := fp / (fp - fq)
			out = append(out, roofplan.Point{X: p.X + t*(q.X-p.X), Y: p.Y + t*(q.Y-p.Y)})
		}
	}
	return out
}
