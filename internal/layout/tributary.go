package layout

import (
	"cmp"
	"fmt"
	"slices"
)

// Method says how the area of a module is divided among the feet.
type Method uint8

const (
	// SimpleBeam is the usual tributary area: along the line half of the span to
	// each neighbour and the whole of an overhang, across the rows half of the
	// distance to each neighbouring line and the whole of the edge.
	SimpleBeam Method = iota
	// AreaOfInfluence gives every point of a module to the nearest foot on the
	// lines that carry the module. It differs from SimpleBeam where feet are
	// staggered from line to line.
	AreaOfInfluence
	// BeamReaction is the reaction, in area of even load, of simple beams with
	// their overhangs, across the rows and along the lines: an overhang c beside a
	// span s adds c*c/2s to its foot and takes as much from the next one (statics
	// of a simple beam with one end overhanging). It can be negative at a foot
	// behind a long overhang.
	BeamReaction
)

// String is the name of the method as a report states it.
func (m Method) String() string {
	switch m {
	case SimpleBeam:
		return "simple beam"
	case AreaOfInfluence:
		return "area of influence"
	case BeamReaction:
		return "beam reaction"
	}
	return "unknown method"
}

// Tributary gives, for each foot, the area in m2 that loads it. Only the faces
// of modules count: holes and gaps carry no load. The areas of all feet add up
// to the area of the modules that are supported (Supports.Unsupported lists the
// others).
func (s *Supports) Tributary(method Method) ([]float64, error) {
	areas := make([]float64, len(s.Feet))
	switch method {
	case SimpleBeam, BeamReaction:
		for m := range s.Bearings {
			s.addBeams(areas, m, method == BeamReaction)
		}
	case AreaOfInfluence:
		for m := range s.Bearings {
			s.addNearest(areas, m)
		}
	default:
		return nil, fmt.Errorf("method %d is not one of the ways to divide an area", method)
	}
	return areas, nil
}

// addBeams divides module m across its lines and then along each line.
func (s *Supports) addBeams(areas []float64, m int, levers bool) {
	bearings, rect := s.Bearings[m], s.Array.Modules[m].Rect
	supports := make([]float64, len(bearings))
	for k, b := range bearings {
		supports[k] = b.FromBottom
	}
	share(supports, 0, rect.Height(), levers, func(k int, depth float64) {
		run := s.Runs[bearings[k].Run]
		from, to := s.within(run, rect)
		beam := make([]float64, to-from)
		for n := range beam {
			beam[n] = s.along[run.Feet[from+n]]
		}
		share(beam, rect.Min.X, rect.Max.X, levers, func(n int, length float64) {
			areas[run.Feet[from+n]] += depth * length
		})
	})
}

// Strip is what one module lays on a run: its length along the rows, in the
// array frame, and the depth of it up the slope that this line carries, m.
type Strip struct{ From, To, Depth float64 }

// Strips gives, for each run with feet, what its modules lay on it, in their
// order. A module is divided among its lines as a beam on simple supports; a line
// behind a long overhang can have a negative depth.
func (s *Supports) Strips() [][]Strip {
	strips := make([][]Strip, len(s.Runs))
	var heights []float64
	for r, run := range s.Runs {
		if len(run.Feet) == 0 {
			continue
		}
		strips[r] = make([]Strip, len(run.Modules))
		for n, m := range run.Modules {
			rect := s.Array.Modules[m].Rect
			heights = heights[:0]
			own := 0
			for k, b := range s.Bearings[m] {
				heights = append(heights, b.FromBottom)
				if b.Run == r {
					own = k
				}
			}
			strip := Strip{From: rect.Min.X, To: rect.Max.X}
			share(heights, 0, rect.Height(), true, func(k int, depth float64) {
				if k == own {
					strip.Depth += depth
				}
			})
			strips[r][n] = strip
		}
	}
	return strips
}

// Along gives the places of a run's feet along the rows, in the array frame.
func (s *Supports) Along(run Run) []float64 {
	at := make([]float64, len(run.Feet))
	for k, f := range run.Feet {
		at[k] = s.along[f]
	}
	return at
}

// Reach gives, for each foot, the bounds in the array frame of what loads it by
// simple beams: from half-way to its neighbours, or from the end, on each side.
// A foot that carries nothing has bounds without extent.
func (s *Supports) Reach() []Rect {
	reach := make([]Rect, len(s.Feet))
	add := func(foot int, r Rect) {
		if at := &reach[foot]; *at == (Rect{}) {
			*at = r
		} else {
			at.Min.X, at.Min.Y = min(at.Min.X, r.Min.X), min(at.Min.Y, r.Min.Y)
			at.Max.X, at.Max.Y = max(at.Max.X, r.Max.X), max(at.Max.Y, r.Max.Y)
		}
	}
	for m, bearings := range s.Bearings {
		rect := s.Array.Modules[m].Rect
		supports := make([]float64, len(bearings))
		for k, b := range bearings {
			supports[k] = b.FromBottom
		}
		low := rect.Min.Y
		share(supports, 0, rect.Height(), false, func(k int, depth float64) {
			run := s.Runs[bearings[k].Run]
			from, to := s.within(run, rect)
			beam := make([]float64, to-from)
			for n := range beam {
				beam[n] = s.along[run.Feet[from+n]]
			}
			left := rect.Min.X
			share(beam, rect.Min.X, rect.Max.X, false, func(n int, length float64) {
				add(run.Feet[from+n], Rect{Point{left, low}, Point{left + length, low + depth}})
				left += length
			})
			low += depth
		})
	}
	return reach
}

// within gives the range of a run's feet that a load on rect can reach: those
// below it and two beyond either side, so that the lever of an overhang is
// seen.
func (s *Supports) within(run Run, rect Rect) (from, to int) {
	place := func(f int, u float64) int { return cmp.Compare(s.along[f], u) }
	from, _ = slices.BinarySearchFunc(run.Feet, rect.Min.X, place)
	to, _ = slices.BinarySearchFunc(run.Feet, rect.Max.X, place)
	return max(0, from-2), min(len(run.Feet), to+2)
}

// share divides an even load from a to b among sorted supports and calls give
// with the part of each. With levers each stretch between supports is a simple
// beam and the ends are overhangs of the outer ones; otherwise each point of
// the load goes to the nearest support.
func share(supports []float64, a, b float64, levers bool, give func(k int, length float64)) {
	last := len(supports) - 1
	switch {
	case last < 0:
		return
	case last == 0:
		give(0, b-a)
		return
	case levers:
		shareByLever(supports, a, b, give)
		return
	}
	from := a
	for k := range supports {
		to := b
		if k < last {
			to = min(b, (supports[k]+supports[k+1])/2)
		}
		if to > from {
			give(k, to-from)
			from = to
		}
	}
}

func shareByLever(supports []float64, a, b float64, give func(k int, length float64)) {
	last := len(supports) - 1
	for k := range last {
		from, to := max(a, supports[k]), min(b, supports[k+1])
		if k == 0 {
			from = a
		}
		if k == last-1 {
			to = b
		}
		if to <= from {
			continue
		}
		right := (to - from) * ((from+to)/2 - supports[k]) / (supports[k+1] - supports[k])
		give(k, to-from-right)
		give(k+1, right)
	}
}

// addNearest divides module m by the nearest of the feet that can reach it.
func (s *Supports) addNearest(areas []float64, m int) {
	rect := s.Array.Modules[m].Rect
	var feet []int
	var at []Point
	for _, b := range s.Bearings[m] {
		run := s.Runs[b.Run]
		from, to := s.within(run, rect)
		for _, f := range run.Feet[from:to] {
			feet = append(feet, f)
			at = append(at, Point{s.along[f], s.Lines[run.Line].Height})
		}
	}
	var cell, spare []Point
	for k := range feet {
		cell = append(cell[:0], rect.Min, Point{rect.Max.X, rect.Min.Y}, rect.Max, Point{rect.Min.X, rect.Max.Y})
		for n := range feet {
			if n != k && len(cell) > 0 {
				cell, spare = nearer(cell, spare[:0], at[k], at[n]), cell
			}
		}
		areas[feet[k]] += area(cell)
	}
}

// nearer cuts a convex figure down to the points that are nearer to p than to
// q, into the memory of out.
func nearer(figure, out []Point, p, q Point) []Point {
	middle, normal := p.add(q).scale(0.5), q.sub(p)
	side := func(v Point) float64 { return v.sub(middle).dot(normal) }
	previous := figure[len(figure)-1]
	before := side(previous)
	for _, v := range figure {
		after := side(v)
		if before < 0 && after > 0 || before > 0 && after < 0 {
			out = append(out, previous.add(v.sub(previous).scale(before/(before-after))))
		}
		if after <= 0 {
			out = append(out, v)
		}
		previous, before = v, after
	}
	return out
}

// area is the signed area of a figure, positive anticlockwise.
func area(figure []Point) float64 {
	sum := 0.0
	for i := 2; i < len(figure); i++ {
		sum += figure[i-1].sub(figure[0]).cross(figure[i].sub(figure[0]))
	}
	return sum / 2
}
