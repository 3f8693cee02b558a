package layout

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
)

// Direction is the direction of members, ribs or the fasteners of a foot on the
// surface.
type Direction uint8

const (
	AlongEave Direction = iota // parallel to the lowest edge
	UpSlope                    // square to the lowest edge
)

// across gives the coordinate that tells lines of this direction apart.
func (d Direction) across(p Point) float64 {
	if d == UpSlope {
		return p.X
	}
	return p.Y
}

// Grid is a set of parallel lines on a plane: the centres of framing members or
// the crests of ribs. Lengths are in metres.
type Grid struct {
	Direction Direction
	Spacing   float64   // centre to centre
	Offset    float64   // of the first line from the lowest edge (AlongEave) or the left end (UpSlope)
	Count     int       // lines there are; 0: as many as the plane has room for
	Positions []float64 // centres one by one, instead of Spacing, Offset and Count
}

// Check tells what keeps the grid from being used: neither a spacing nor
// positions, values that are not numbers, the same position twice.
func (g Grid) Check() error {
	if len(g.Positions) == 0 {
		if !finite(g.Offset) {
			return errors.New("the offset of the first line is not a number")
		}
		if g.Count < 0 {
			return fmt.Errorf("%d lines", g.Count)
		}
		if !finite(g.Spacing) || g.Spacing < touch {
			return fmt.Errorf("the spacing of the lines is %g, want more than zero", g.Spacing)
		}
		return nil
	}
	sorted := slices.Clone(g.Positions)
	slices.Sort(sorted)
	for i, p := range sorted {
		if !finite(p) {
			return errors.New("the position of a line is not a number")
		}
		if i > 0 && p-sorted[i-1] < touch {
			return fmt.Errorf("two lines stand at %.3f m", p)
		}
	}
	return nil
}

// Landing is where a point stands against the nearest line of a grid.
type Landing struct {
	Line     int     // number of the line, from 1, in order of its position
	Centre   float64 // its position, m
	Distance float64 // of the point from it, m; positive on the side of greater x or y
}

// Land gives the nearest line for each point; of two equally near the lower
// one. The error is that of Check, or names a point that is not a number.
func (g Grid) Land(points []Point) ([]Landing, error) {
	if err := g.Check(); err != nil {
		return nil, err
	}
	sorted := slices.Clone(g.Positions)
	slices.Sort(sorted)
	landings := make([]Landing, len(points))
	for i, p := range points {
		if !p.finite() {
			return nil, fmt.Errorf("point %d is not a number", i+1)
		}
		at := g.Direction.across(p)
		if len(sorted) > 0 {
			landings[i] = nearestOf(sorted, at)
		} else {
			landings[i] = g.nearest(at)
		}
	}
	return landings, nil
}

func (g Grid) nearest(at float64) Landing {
	k := max(0, math.Ceil((at-g.Offset)/g.Spacing-0.5))
	if g.Count > 0 {
		k = min(k, float64(g.Count-1))
	}
	centre := g.Offset + k*g.Spacing
	return Landing{Line: int(k) + 1, Centre: centre, Distance: at - centre}
}

func nearestOf(sorted []float64, at float64) Landing {
	k, _ := slices.BinarySearch(sorted, at)
	if k == len(sorted) || k > 0 && at-sorted[k-1] <= sorted[k]-at {
		k--
	}
	return Landing{Line: k + 1, Centre: sorted[k], Distance: at - sorted[k]}
}

// Bite is how a fastener meets the face or flange of a member.
type Bite struct {
	Landing
	// Room is what is left, in metres, between the fastener's centre and the place
	// nearest to the edge that it may stand: half of the face, less the edge
	// distance, less the distance from the centre. Negative: it misses by so much.
	Room float64
}

// Bites tells for each fastener which member it meets. width is the face or
// flange of the members, edge the least distance from a fastener's centre to
// the edge of the member; metres. For the crests of ribs, width is twice the
// tolerance and edge is zero.
//
// It is an error when width is not positive, when edge is negative, when the
// face is narrower than two edge distances, and whenever Land gives one.
func (g Grid) Bites(fasteners []Point, width, edge float64) ([]Bite, error) {
	if err := errors.Join(wantPositive("the face of the members", width), wantAtLeastZero("the edge distance", edge)); err != nil {
		return nil, err
	}
	if width < 2*edge {
		return nil, fmt.Errorf("a face of %.4f m has no place that is %.4f m from both edges", width, edge)
	}
	landings, err := g.Land(fasteners)
	if err != nil {
		return nil, err
	}
	bites := make([]Bite, len(landings))
	for i, l := range landings {
		bites[i] = Bite{l, width/2 - edge - math.Abs(l.Distance)}
	}
	return bites, nil
}

// Screws is how the fasteners of one foot stand: Count of them, Spacing metres
// apart, in a row along Direction, centred on the foot.
type Screws struct {
	Count     int
	Spacing   float64
	Direction Direction
}

// Of gives the fasteners of all feet: those of foot i are entries i*Count to
// i*Count+Count-1.
func (s Screws) Of(feet []Foot) ([]Point, error) {
	if s.Count < 1 {
		return nil, fmt.Errorf("%d fasteners in a foot", s.Count)
	}
	if s.Count > 1 {
		if err := wantPositive("the spacing of the fasteners of a foot", s.Spacing); err != nil {
			return nil, err
		}
	}
	points := make([]Point, 0, len(feet)*s.Count)
	for _, f := range feet {
		if !f.At.finite() {
			return nil, fmt.Errorf("the place of %s is not a number", f.Name)
		}
		for k := range s.Count {
			p, shift := f.At, 0.0
			if s.Count > 1 {
				shift = (float64(k) - float64(s.Count-1)/2) * s.Spacing
			}
			if s.Direction == UpSlope {
				p.Y += shift
			} else {
				p.X += shift
			}
			points = append(points, p)
		}
	}
	return points, nil
}

// MemberLoad is what the feet put on one framing member.
type MemberLoad struct {
	Line  int     // number of the member, from 1
	Feet  int     // feet on it
	Area  float64 // sum of their tributary areas, m2
	Share float64 // of the area of all feet
}

// Sharing tells how the load of an array spreads over the framing.
type Sharing struct {
	// Members are all members from the first to the last that takes a foot, those
	// without a foot included.
	Members []MemberLoad
	// Concentration is the largest load of a member over the mean of all members:
	// 1 when every member takes the same.
	Concentration float64
	// Repeated is the share of feet, of those on lines above the first, that stand
	// on a member which already carries a foot of the line below: 1 when the lines
	// stand straight above each other, 0 when they are fully staggered.
	Repeated float64
}

// Share adds up the tributary areas (one for each foot, m2) on the members.
// It is an error when there is no foot, when areas do not match the feet, or
// when all areas together are not positive.
func (s *Supports) Share(members Grid, areas []float64) (Sharing, error) {
	if len(areas) != len(s.Feet) || len(areas) == 0 {
		return Sharing{}, fmt.Errorf("%d areas for %d feet", len(areas), len(s.Feet))
	}
	landings, err := members.Land(places(s.Feet))
	if err != nil {
		return Sharing{}, err
	}
	byLine := func(a, b Landing) int { return cmp.Compare(a.Line, b.Line) }
	first, last := slices.MinFunc(landings, byLine).Line, slices.MaxFunc(landings, byLine).Line
	if last-first >= maxPlaces {
		return Sharing{}, fmt.Errorf("the feet spread over more than %d members", maxPlaces)
	}
	sharing := Sharing{Members: make([]MemberLoad, last-first+1)}
	total := 0.0
	for i, l := range landings {
		m := &sharing.Members[l.Line-first]
		m.Feet++
		m.Area += areas[i]
		total += areas[i]
	}
	if err := wantPositive("the area of all feet", total); err != nil {
		return Sharing{}, err
	}
	largest := 0.0
	for i := range sharing.Members {
		m := &sharing.Members[i]
		m.Line, m.Share = first+i, m.Area/total
		largest = max(largest, m.Area)
	}
	sharing.Concentration = largest * float64(len(sharing.Members)) / total
	sharing.Repeated = s.repeated(landings)
	return sharing, nil
}

func (s *Supports) repeated(landings []Landing) float64 {
	again, all := 0, 0
	var below map[int]bool
	for _, l := range s.Lines {
		here := make(map[int]bool, len(l.Feet))
		for _, f := range l.Feet {
			here[landings[f].Line] = true
			if below != nil {
				all++
				if below[landings[f].Line] {
					again++
				}
			}
		}
		below = here
	}
	if all == 0 {
		return 0
	}
	return float64(again) / float64(all)
}

// WholeMultiple gives the whole number of member spacings nearest to a spacing
// of feet, at least one, and how far, in metres, the feet are off it.
func WholeMultiple(spacing, members float64) (times int, off float64, err error) {
	if err := errors.Join(wantPositive("the spacing of the feet", spacing), wantPositive("the spacing of the members", members)); err != nil {
		return 0, 0, err
	}
	n := max(1, math.Round(spacing/members))
	if n > maxPlaces {
		return 0, 0, fmt.Errorf("a spacing of %g m is more than %d member spacings of %g m", spacing, maxPlaces, members)
	}
	return int(n), spacing - n*members, nil
}
