package structural

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
)

// PointLoad is a force on a member at a place along it, N and m; positive into
// the roof.
type PointLoad struct{ At, Force float64 }

// LineLoad is a force per length between two places along a member, N/m.
type LineLoad struct{ From, To, Force float64 }

// Loaded is a straight member with what stands on it.
type Loaded struct {
	Points []PointLoad
	Lines  []LineLoad
}

// Effects is what loads do to a member, N m and N. Up is where the net load is
// away from the roof.
type Effects struct {
	Sagging, Hogging float64 // largest moment that pulls at the lower edge, and at the upper, both as positive numbers
	Shear            float64
	Down, Up         float64 // largest reaction at a support, and largest pull away from one
	Deflection       float64 // largest at the middle of a span, times the stiffness, N m3
}

func (e *Effects) widen(o Effects) {
	e.Sagging, e.Hogging, e.Shear = max(e.Sagging, o.Sagging), max(e.Hogging, o.Hogging), max(e.Shear, o.Shear)
	e.Down, e.Up, e.Deflection = max(e.Down, o.Down), max(e.Up, o.Up), max(e.Deflection, o.Deflection)
}

// windows are how many places a span is tried at over its own length, beside
// those where a point load stands at its middle or at a support.
const windows = 4

// sums of the loads up to each place where one stands or begins or ends, so that
// any stretch is known at once.
type sums struct {
	points        []PointLoad
	lines         []LineLoad
	places        []float64 // of the points
	force, moment []float64 // of the points before i, about zero
	breaks        []float64 // where line loads begin and end
	ramps         []ramp    // from each of them on
}

// ramp is what the line loads sum up to at a place, and their force per length from
// there on.
type ramp struct{ force, moment, line float64 }

func newSums(l Loaded) *sums {
	n := len(l.Points)
	s := &sums{points: slices.Clone(l.Points), lines: l.Lines, places: make([]float64, n), force: make([]float64, n+1), moment: make([]float64, n+1)}
	slices.SortFunc(s.points, func(a, b PointLoad) int { return cmp.Compare(a.At, b.At) })
	for i, p := range s.points {
		s.places[i] = p.At
		s.force[i+1] = s.force[i] + p.Force
		s.moment[i+1] = s.moment[i] + p.Force*p.At
	}
	for _, w := range l.Lines {
		s.breaks = append(s.breaks, w.From, w.To)
	}
	slices.Sort(s.breaks)
	s.breaks = slices.Compact(s.breaks)
	s.ramps = make([]ramp, len(s.breaks))
	for _, w := range l.Lines {
		for k, at := range s.breaks {
			if at >= w.From && at < w.To {
				s.ramps[k].line += w.Force
			}
		}
	}
	for k := 1; k < len(s.ramps); k++ {
		s.ramps[k].force, s.ramps[k].moment = s.ramps[k-1].upTo(s.breaks[k-1], s.breaks[k])
	}
	return s
}

// upTo gives force and moment at a place from the one where the ramp begins.
func (r ramp) upTo(from, at float64) (force, moment float64) {
	f := r.line * (at - from)
	return r.force + f, r.moment + f*(from+at)/2
}

// before is the number of values of an ordered list that are less than a place.
func before(list []float64, at float64) int {
	low, high := 0, len(list)
	for low < high {
		if middle := (low + high) / 2; list[middle] < at {
			low = middle + 1
		} else {
			high = middle
		}
	}
	return low
}

// upTo gives the force of what stands before a place, of which point loads k, and
// its moment about zero.
func (s *sums) upTo(at float64, k int) (force, moment float64) {
	if i := before(s.breaks, at); i > 0 {
		force, moment = s.ramps[i-1].upTo(s.breaks[i-1], at)
	}
	return force + s.force[k], moment + s.moment[k]
}

// reactions are those of a simple span from place a to place b with end moments
// at its supports (sagging positive).
func (s *sums) reactions(a, b, left, right float64) (ra, rb float64) {
	near, nearMoment := s.upTo(a, before(s.places, a))
	far, farMoment := s.upTo(b, before(s.places, b))
	total := far - near
	ra = (b*total - (farMoment - nearMoment) + right - left) / (b - a)
	return ra, total - ra
}

// span computes one simple span with end moments.
func (s *sums) span(a, b, left, right float64) (e Effects) {
	i, j := before(s.places, a), before(s.places, b)
	ra, rb := s.reactions(a, b, left, right)
	e.Shear = max(math.Abs(ra), math.Abs(rb))
	e.Down, e.Up = max(ra, rb, 0), max(-ra, -rb, 0)
	e.Sagging, e.Hogging = max(left, right, 0), max(-left, -right, 0)
	near, nearMoment := s.upTo(a, i)
	look := func(x float64, k int) {
		force, moment := s.upTo(x, k)
		m := left + ra*(x-a) - (x*(force-near) - (moment - nearMoment))
		e.Sagging, e.Hogging = max(e.Sagging, m), max(e.Hogging, -m)
	}
	for k := i; k < j; k++ {
		look(s.places[k], k)
	}
	// Below line loads the moment is largest where the shear passes through
	// zero between two places at which something begins or ends.
	k, n := i, before(s.breaks, a)
	for from := a; from < b && len(s.breaks) > 0; {
		to := b
		for k < j && s.places[k] <= from {
			k++
		}
		for n < len(s.breaks) && s.breaks[n] <= from {
			n++
		}
		if k < j {
			to = min(to, s.places[k])
		}
		if n < len(s.breaks) {
			to = min(to, s.breaks[n])
		}
		if n > 0 && s.ramps[n-1].line != 0 {
			force, _ := s.upTo(from, k)
			if x := from + (ra-force+near)/s.ramps[n-1].line; from < x && x < to {
				look(x, k)
			}
		}
		from = to
	}
	return e
}

// overhang is what the loads between two places do to the support that they hang
// over.
func (s *sums) overhang(from, to, support float64) Effects {
	near, nearMoment := s.upTo(from, before(s.places, from))
	far, farMoment := s.upTo(to, before(s.places, to))
	force := far - near
	m := math.Abs(farMoment - nearMoment - support*force) // positive where loads into the roof pull at the upper edge
	e := Effects{Shear: math.Abs(force)}
	if force > 0 {
		e.Hogging = m
	} else {
		e.Sagging = m
	}
	return e
}

// each goes through the loads of a span, with their places from its near end.
func (s *sums) each(a, b float64, point func(x, force float64), line func(from, to, force float64)) {
	for _, p := range s.points[before(s.places, a):before(s.places, b)] {
		point(p.At-a, p.Force)
	}
	for _, w := range s.lines {
		if from, to := max(w.From, a), min(w.To, b); to > from {
			line(from-a, to-a, w.Force)
		}
	}
}

// middle is the deflection of a simple span at its middle, times stiffness.
func (s *sums) middle(a, b float64) float64 {
	length, d := b-a, 0.0
	upTo := func(x float64) float64 { return (1.5*length*length*x*x - x*x*x*x) / 48 }
	s.each(a, b, func(x, force float64) {
		x = min(x, length-x)
		d += force * x * (3*length*length - 4*x*x) / 48
	}, func(from, to, force float64) {
		half := length / 2
		d += force * (upTo(min(to, half)) - upTo(min(from, half)) + upTo(min(length-from, half)) - upTo(min(length-to, half)))
	})
	return math.Abs(d)
}

// WorstSpan finds what the loads do to a simple span of a length that may lie
// anywhere between two places: the supports are not known. A span that is longer
// reaches over both; where one is too long to find room twice, the rest of the member
// may hang over at either end.
func (l Loaded) WorstSpan(from, to, length float64) (Effects, error) {
	if err := positive("span", length, "length of the member", to-from); err != nil {
		return Effects{}, err
	}
	first, last := min(from, to-length), max(from, to-length)
	s := newSums(l)
	var worst Effects
	var at float64
	inside := func(a float64) float64 { return min(max(a, first), last) }
	bend := func(a float64) {
		a = inside(a)
		e := s.span(a, a+length, 0, 0)
		if max(e.Sagging, e.Hogging) > max(worst.Sagging, worst.Hogging) {
			at = a
		}
		worst.widen(e)
	}
	bear := func(a float64) {
		a = inside(a)
		ra, rb := s.reactions(a, a+length, 0, 0)
		worst.widen(Effects{Shear: max(math.Abs(ra), math.Abs(rb)), Down: max(ra, rb), Up: max(-ra, -rb)})
	}
	steps := math.Ceil(windows * (last - first) / length)
	for k := 0.0; k <= steps; k++ {
		bend(first + (last-first)*k/max(steps, 1))
	}
	for i, p := range s.points { // at the middle, a pair about the middle, at a support
		bend(p.At - length/2)
		if i > 0 {
			bend((p.At+s.points[i-1].At)/2 - length/2)
		}
		bear(p.At)
		bear(p.At - length)
	}
	worst.Deflection = s.middle(at, at+length)
	if over := to - from - length; over > 0 && over < length { // no second span finds room there, so that an end hangs over
		worst.widen(s.overhang(from, from+over, from+over))
		worst.widen(s.overhang(to-over, math.Nextafter(to, math.Inf(1)), to-over))
	}
	return worst, nil
}

// OnSupports finds what the loads do to a member on known supports: simple
// spans, or one that runs over all of them. What stands beyond the outer
// supports hangs over.
func (l Loaded) OnSupports(supports []float64, continuous bool) (Effects, error) {
	at := slices.Clone(supports)
	slices.Sort(at)
	at = slices.Compact(at)
	if len(at) < 2 {
		return Effects{}, errors.New("a member needs two supports")
	}
	beam := ContinuousBeam{Supports: at, Jointed: !continuous}
	for _, p := range l.Points {
		beam.Loads = append(beam.Loads, EvenLoad{p.At, p.At, p.Force})
	}
	for _, w := range l.Lines {
		beam.Loads = append(beam.Loads, EvenLoad{w.From, w.To, w.Force * (w.To - w.From)})
	}
	f, err := beam.Forces()
	if err != nil {
		return Effects{}, err
	}
	s := newSums(l)
	var worst Effects
	before, after := 0.0, 0.0 // what hangs over
	for _, load := range beam.Loads {
		before += load.part(math.Inf(-1), at[0]).Total
		after += load.part(at[len(at)-1], math.Inf(1)).Total
	}
	worst.Shear = max(math.Abs(before), math.Abs(after))
	for i := 1; i < len(at); i++ {
		e := s.span(at[i-1], at[i], f.Moments[i-1], f.Moments[i])
		e.Down, e.Up = 0, 0
		worst.widen(e)
		worst.Deflection = max(worst.Deflection, s.middle(at[i-1], at[i]))
	}
	for _, r := range f.Reactions {
		worst.Down, worst.Up = max(worst.Down, r), max(worst.Up, -r)
	}
	return worst, nil
}

// Use is one thing that a member is asked for against what it holds.
type Use struct {
	What          string // bending, shear, the connection of its end, deflection
	Demand, Holds float64
}

// Share is the demand over what is held.
func (u Use) Share() float64 { return u.Demand / u.Holds }

func (u Use) String() string { return fmt.Sprintf("%s %.2f", u.What, u.Share()) }
