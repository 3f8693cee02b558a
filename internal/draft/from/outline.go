package from

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/peterstace/simplefeatures/geom"

	"plumbrule/internal/bound"
	"plumbrule/internal/draft"
	"plumbrule/internal/job"
	"plumbrule/internal/source"
)

// corner is a corner of an outline in plan view, x to the east and y to the
// north, in the unit of its drawing.
type corner struct {
	x, y float64
	at   source.Span
}

// ring is a closed outline: the last corner is joined to the first.
type ring []corner

// at is where it begins.
func (o ring) at() source.Span { return o[0].at }

// area is positive for corners that run anticlockwise.
func (o ring) area() float64 {
	sum := 0.0
	for i, a := range o {
		b := o[(i+1)%len(o)]
		sum += (a.x-o[0].x)*(b.y-o[0].y) - (b.x-o[0].x)*(a.y-o[0].y)
	}
	return sum / 2
}

func (o ring) polygon(holes ...ring) geom.Polygon {
	var lines []geom.LineString
	for _, r := range append([]ring{o}, holes...) {
		flat := make([]float64, 0, 2*len(r)+2)
		for _, c := range append(slices.Clone(r), r[0]) {
			flat = append(flat, c.x, c.y)
		}
		lines = append(lines, geom.NewLineString(geom.NewSequence(flat, geom.DimXY)))
	}
	return geom.NewPolygon(lines)
}

// covers reports whether a ring lies in this one.
func (o ring) covers(other ring) bool {
	west, south, east, north := extent([]outline{{rings: []ring{o}}})
	for _, c := range other {
		if c.x < west || c.x > east || c.y < south || c.y > north {
			return false // without the longer way
		}
	}
	in, err := geom.Covers(o.polygon().AsGeometry(), other.polygon().AsGeometry())
	return err == nil && in
}

// outline is a roof plane as drawn.
type outline struct {
	name  string
	rings []ring // the plane, then its holes
}

// mostOutlines bounds what a file may have.
const mostOutlines = 1_000

// sound reports whether a ring is one that a plane or a hole can have, and notes
// what is wrong with it. what says of what it is.
func (r *reader) sound(o ring, what string) bool {
	switch {
	case len(o) < 3:
		r.fault(o.at(), "at least three corners are expected", "%s has %s", what, counted(len(o), "corner", "corners"))
		return false
	case len(o) > bound.Corners:
		r.fault(o.at(), fmt.Sprintf("at most %d are read", bound.Corners), "%s has %d corners", what, len(o))
		return false
	}
	if i, j, cross := crossing(o); cross {
		r.faults = append(r.faults, source.Fault{At: o[j].at, Message: fmt.Sprintf("%s crosses or touches itself: edge %d and edge %d meet", what, i+1, j+1), Expected: "corners in order around it are expected",
			Also: []source.Further{{At: o[i].at, Note: "the other edge begins here"}}})
		return false
	}
	if o.area() == 0 {
		r.fault(o.at(), "corners in order around it are expected", "%s encloses no area", what)
		return false
	}
	return true
}

// crossing finds two edges of a ring that meet elsewhere than in the corner
// between them.
func crossing(o ring) (i, j int, cross bool) {
	n := len(o)
	for i := range n {
		for j := i + 1; j < n; j++ {
			a, b, c, d := o[i], o[(i+1)%n], o[j], o[(j+1)%n]
			switch {
			case j == i+1: // they share b, and may fold back over each other
				cross = side(a, b, d) == 0 && (a.x-b.x)*(d.x-b.x)+(a.y-b.y)*(d.y-b.y) > 0
			case i == 0 && j == n-1: // they share a
				cross = side(c, a, b) == 0 && (c.x-a.x)*(b.x-a.x)+(c.y-a.y)*(b.y-a.y) > 0
			default:
				cross = meet(a, b, c, d)
			}
			if cross {
				return i, j, true
			}
		}
	}
	return 0, 0, false
}

// side is 1 where c lies left of the line from a to b, -1 right of it, 0 on it.
func side(a, b, c corner) int {
	switch cross := (b.x-a.x)*(c.y-a.y) - (b.y-a.y)*(c.x-a.x); {
	case cross > 0:
		return 1
	case cross < 0:
		return -1
	}
	return 0
}

// meet reports whether two edges have a point in common.
func meet(a, b, c, d corner) bool {
	s1, s2, s3, s4 := side(a, b, c), side(a, b, d), side(c, d, a), side(c, d, b)
	if s1 != s2 && s3 != s4 {
		return true
	}
	on := func(a, b, p corner) bool {
		return p.x >= min(a.x, b.x) && p.x <= max(a.x, b.x) && p.y >= min(a.y, b.y) && p.y <= max(a.y, b.y)
	}
	return s1 == 0 && on(a, b, c) || s2 == 0 && on(a, b, d) || s3 == 0 && on(c, d, a) || s4 == 0 && on(c, d, b)
}

// holed notes holes of a plane that do not lie in it, or not apart from one another.
func (r *reader) holed(o outline) {
	if len(o.rings) == 1 || o.rings[0].polygon(o.rings[1:]...).Validate() == nil {
		return
	}
	for _, hole := range o.rings[1:] {
		if !o.rings[0].covers(hole) {
			r.fault(hole.at(), "a hole within it is expected", "a hole of the plane %q does not lie in its outline", o.name)
			return
		}
	}
	r.fault(o.rings[1].at(), "holes apart from one another are expected", "holes of the plane %q overlap, or touch it or one another in more than a corner", o.name)
}

// numbered gives outlines of one name a number each.
func numbered(outlines []outline) {
	times := map[string]int{}
	for _, o := range outlines {
		times[o.name]++
	}
	next := map[string]int{}
	for i := range outlines {
		name := outlines[i].name
		if times[name] == 1 {
			continue
		}
		for times[outlines[i].name] > 0 {
			next[name]++
			outlines[i].name = name + " " + strconv.Itoa(next[name])
		}
	}
}

// least is the least area of an outline, in square metres: a square of 10 cm.
const least = 0.01

// sizeable refuses outlines so small that they are slips of the drawing. unit is
// that of the coordinates, in metres.
func (r *reader) sizeable(o outline, unit float64) {
	for _, ring := range o.rings {
		if math.Abs(ring.area())*unit*unit < least {
			r.fault(ring.at(), fmt.Sprintf("at least %g m2 are expected", least), "an outline of %q encloses next to nothing", o.name)
		}
	}
}

// scale says how coordinates of a drawing are written in a job.
type scale struct {
	unit   string
	places int     // behind the point, at most
	factor float64 // from the drawing's unit to unit
	west   float64 // what becomes x = 0, in the drawing's unit
	south  float64 // what becomes y = 0
}

func (s scale) length(v float64) string {
	text := strconv.FormatFloat(v*s.factor, 'f', s.places, 64)
	if s.places > 0 {
		text = strings.TrimSuffix(strings.TrimRight(text, "0"), ".")
	}
	if text == "-0" {
		text = "0"
	}
	return text + " " + s.unit
}

func (s scale) points(o ring) string {
	list := make([]string, len(o))
	for i, c := range o {
		list[i] = "[" + job.Quote(s.length(c.x-s.west)) + ", " + job.Quote(s.length(c.y-s.south)) + "]"
	}
	return "[" + strings.Join(list, ", ") + "]"
}

// extent is the least and the largest coordinate of outlines.
func extent(outlines []outline) (west, south, east, north float64) {
	west, south, east, north = math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, o := range outlines {
		for _, c := range o.rings[0] {
			west, east = min(west, c.x), max(east, c.x)
			south, north = min(south, c.y), max(north, c.y)
		}
	}
	return west, south, east, north
}

// planes writes outlines as planes of the job, of which they tell no more.
func (r *reader) planes(outlines []outline, s scale) {
	for _, o := range outlines {
		at := o.rings[0].at()
		t := &draft.Table{Key: planeKey, List: true, From: at, Entries: []draft.Entry{
			{Key: "name", Value: job.Quote(o.name), From: at},
			{Key: "outline", Value: s.points(o.rings[0]), From: at},
		}}
		r.Tables = append(r.Tables, t)
		for _, hole := range o.rings[1:] {
			r.Tables = append(r.Tables, &draft.Table{Key: planeKey + ".hole", List: true, From: hole.at(),
				Entries: []draft.Entry{{Key: "outline", Value: s.points(hole), From: hole.at()}}})
		}
	}
}
