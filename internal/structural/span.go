package structural

import (
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

// slices of a span: line loads are counted as so many point loads a span.
const slicesOfSpan = 48

// lumped turns line loads into point loads of equal weight, in order.
func (l Loaded) lumped(piece float64) []PointLoad {
	out := slices.Clone(l.Points)
	for _, w := range l.Lines {
		length := w.To - w.From
		if !(length > 0) || w.Force == 0 {
			continue
		}
		n := int(math.Ceil(length/piece - epsilon))
		for i := range n {
			out = append(out, PointLoad{w.From + (float64(i)+0.5)*length/float64(n), w.Force * length / float64(n)})
		}
	}
	slices.SortFunc(out, func(a, b PointLoad) int {
		switch {
		case a.At < b.At:
			return -1
		case a.At > b.At:
			return 1
		}
		return 0
	})
	return out
}

// sums of loads up to each of them, so that any stretch is known at once.
type sums struct {
	loads         []PointLoad
	force, moment []float64 // of the loads before i, about zero
}

func newSums(loads []PointLoad) *sums {
	s := &sums{loads, make([]float64, len(loads)+1), make([]float64, len(loads)+1)}
	for i, p := range loads {
		s.force[i+1] = s.force[i] + p.Force
		s.moment[i+1] = s.moment[i] + p.Force*p.At
	}
	return s
}

// before is the number of loads that stand at less than a place.
func (s *sums) before(at float64) int {
	i, _ := slices.BinarySearchFunc(s.loads, at, func(p PointLoad, at float64) int {
		if p.At < at {
			return -1
		}
		return 1
	})
	return i
}

// span computes one simple span from place a to place b with end moments at its
// supports (sagging positive). The moment is looked for at every load.
func (s *sums) span(a, b, left, right float64) (e Effects, ra, rb float64) {
	i, j := s.before(a), s.before(b)
	length := b - a
	total := s.force[j] - s.force[i]
	about := s.moment[j] - s.moment[i] - a*total
	rb = about/length + (left-right)/length
	ra = total - rb
	e.Shear = max(math.Abs(ra), math.Abs(rb))
	e.Down, e.Up = max(ra, rb, 0), max(-ra, -rb, 0)
	e.Sagging, e.Hogging = max(left, right, 0), max(-left, -right, 0)
	for k := i; k < j; k++ {
		x := s.loads[k].At
		m := left + ra*(x-a) - (x*(s.force[k]-s.force[i]) - (s.moment[k] - s.moment[i]))
		e.Sagging, e.Hogging = max(e.Sagging, m), max(e.Hogging, -m)
	}
	return e, ra, rb
}

// middle is the deflection of a simple span at its middle, times stiffness.
func (s *sums) middle(a, b float64) float64 {
	length, d := b-a, 0.0
	for _, p := range s.loads[s.before(a):s.before(b)] {
		x := min(p.At-a, b-p.At)
		d += p.Force * x * (3*length*length - 4*x*x) / 48
	}
	return math.Abs(d)
}

// WorstSpan finds what the loads do to a simple span of a length that may lie
// anywhere between two places: the supports are not known. A member shorter
// than the span is taken to span its own length.
func (l Loaded) WorstSpan(from, to, length float64) (Effects, error) {
	if err := positive("span", length, "length of the member", to-from); err != nil {
		return Effects{}, err
	}
	length = min(length, to-from)
	s := newSums(l.lumped(length / slicesOfSpan))
	var worst Effects
	var at float64
	try := func(a float64) {
		a = min(max(a, from), to-length)
		e, _, _ := s.span(a, a+length, 0, 0)
		if max(e.Sagging, e.Hogging) > max(worst.Sagging, worst.Hogging) {
			at = a
		}
		worst.widen(e)
	}
	room := to - from - length
	steps := math.Ceil(room / (length / 16))
	for k := 0.0; k <= steps; k++ {
		try(from + room*k/max(steps, 1))
	}
	for i, p := range l.Points { // a load at the middle, at a support, a pair about the middle
		try(p.At - length/2)
		try(p.At)
		try(p.At - length)
		if i > 0 {
			try((p.At+l.Points[i-1].At)/2 - length/2)
		}
	}
	worst.Deflection = s.middle(at, at+length)
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
	longest := 0.0
	for i := 1; i < len(at); i++ {
		longest = max(longest, at[i]-at[i-1])
	}
	s := newSums(l.lumped(longest / slicesOfSpan))
	n := len(at)
	moments := make([]float64, n)
	first, last := s.before(at[0]), s.before(at[n-1])
	before, after := s.force[first], s.force[len(s.loads)]-s.force[last]
	moments[0] = -(at[0]*before - s.moment[first])
	moments[n-1] = -(s.moment[len(s.loads)] - s.moment[last] - at[n-1]*after)
	if continuous {
		s.solve(at, moments)
	}
	reactions := make([]float64, n)
	reactions[0], reactions[n-1] = before, after
	worst := Effects{Shear: max(math.Abs(before), math.Abs(after))}
	for i := 1; i < n; i++ {
		left, right := moments[i-1], moments[i]
		e, ra, rb := s.span(at[i-1], at[i], left, right)
		reactions[i-1] += ra
		reactions[i] += rb
		e.Down, e.Up = 0, 0
		worst.widen(e)
		worst.Deflection = max(worst.Deflection, s.middle(at[i-1], at[i]))
	}
	for _, r := range reactions {
		worst.Down, worst.Up = max(worst.Down, r), max(worst.Up, -r)
	}
	return worst, nil
}

// solve finds the moments over the inner supports of a continuous member of one
// section by the equation of three moments.
func (s *sums) solve(at, moments []float64) {
	n := len(at) - 2
	if n == 0 {
		return
	}
	diagonal, upper, right := make([]float64, n), make([]float64, n), make([]float64, n)
	for i := range n {
		a, b, c := at[i], at[i+1], at[i+2]
		diagonal[i], upper[i] = 2*(c-a), c-b
		for _, p := range s.loads[s.before(a):s.before(b)] {
			x := p.At - a
			right[i] -= p.Force * x * ((b-a)*(b-a) - x*x) / (b - a)
		}
		for _, p := range s.loads[s.before(b):s.before(c)] {
			x := c - p.At
			right[i] -= p.Force * x * ((c-b)*(c-b) - x*x) / (c - b)
		}
	}
	right[0] -= moments[0] * (at[1] - at[0])
	right[n-1] -= moments[n+1] * (at[n+1] - at[n])
	for i := 1; i < n; i++ {
		f := upper[i-1] / diagonal[i-1]
		diagonal[i] -= f * upper[i-1]
		right[i] -= f * right[i-1]
	}
	for i := n - 1; i >= 0; i-- {
		if i < n-1 {
			right[i] -= upper[i] * right[i+1]
		}
		moments[i+1] = right[i] / diagonal[i]
	}
}

// Use is one thing that a member is asked for against what it holds.
type Use struct {
	What          string // bending, shear, the connection of its end, deflection
	Demand, Holds float64
}

// Share is the demand over what is held.
func (u Use) Share() float64 { return u.Demand / u.Holds }

func (u Use) String() string { return fmt.Sprintf("%s %.2f", u.What, u.Share()) }
