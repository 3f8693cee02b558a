package structural

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// EvenLoad is a load spread evenly over a part of a beam; a point load where the
// part has no length. Places in m along the beam.
type EvenLoad struct{ From, To, Total float64 }

// ContinuousBeam is a straight beam of one section on level supports that hold it
// both ways, without a joint unless it is jointed. What lies outside its supports
// is an overhang.
type ContinuousBeam struct {
	Supports []float64 // in order
	Loads    []EvenLoad
	Jointed  bool // over every inner support: each span stands by itself
}

// BeamForces are the reactions of the supports and the bending moments of the
// beam above them, positive where the underside is in tension.
type BeamForces struct{ Reactions, Moments []float64 }

// Forces solves the beam by the theorem of three moments. A beam on one support
// rests on it with all its load, whatever keeps it from turning.
func (b ContinuousBeam) Forces() (BeamForces, error) {
	n := len(b.Supports)
	for i, s := range b.Supports {
		if math.IsNaN(s) || math.IsInf(s, 0) || i > 0 && !(s > b.Supports[i-1]) {
			return BeamForces{}, errors.New("the supports of a beam stand in order, each on a place of its own")
		}
	}
	f := BeamForces{Reactions: make([]float64, n), Moments: make([]float64, n)}
	if n == 0 {
		return f, errors.New("a beam needs a support")
	}
	r := &beamSolver{at: b.Supports, left: make([]float64, n), right: make([]float64, n), forces: f}
	for i, l := range b.Loads {
		if !(l.To >= l.From) || math.IsNaN(l.Total) || math.IsInf(l.To-l.From, 0) {
			return BeamForces{}, fmt.Errorf("load %d of the beam runs from one place to the next", i+1)
		}
		r.add(l)
	}
	r.solve(b.Jointed)
	return f, nil
}

// beamSolver gathers loads span by span. Span i runs from support i to the next.
type beamSolver struct {
	at          []float64
	left, right []float64 // load terms of the three-moment equation of span i, taken from its left and its right end
	forces      BeamForces
}

func (r *beamSolver) add(l EvenLoad) {
	n := len(r.at)
	first, last := r.at[0], r.at[n-1]
	if n == 1 {
		r.forces.Reactions[0] += l.Total
		return
	}
	// What lies left and right of all supports hangs on the end ones.
	if p := l.part(math.Inf(-1), first); p.Total != 0 {
		r.forces.Reactions[0] += p.Total
		r.forces.Moments[0] -= p.Total * (first - p.middle())
	}
	if p := l.part(last, math.Inf(1)); p.Total != 0 {
		r.forces.Reactions[n-1] += p.Total
		r.forces.Moments[n-1] -= p.Total * (p.middle() - last)
	}
	k, _ := slices.BinarySearch(r.at, l.From)
	for i := max(0, k-1); i < n-1 && r.at[i] <= l.To; i++ {
		p := l.part(r.at[i], r.at[i+1])
		if p.Total == 0 {
			continue
		}
		length := r.at[i+1] - r.at[i]
		from, to := p.From-r.at[i], p.To-r.at[i]
		share := (from + to) / 2 / length
		r.forces.Reactions[i] += p.Total * (1 - share)
		r.forces.Reactions[i+1] += p.Total * share
		r.left[i] += p.Total * loadTerm(from, to, length)
		r.right[i] += p.Total * loadTerm(length-to, length-from, length)
	}
}

// part is the share of a load between two places. A point load on a support
// counts to the right of it, and on the last support to the left.
func (l EvenLoad) part(from, to float64) EvenLoad {
	if l.From == l.To {
		if l.From >= from && l.From < to {
			return l
		}
		return EvenLoad{}
	}
	a, b := math.Max(l.From, from), math.Min(l.To, to)
	if b <= a {
		return EvenLoad{}
	}
	return EvenLoad{a, b, l.Total * (b - a) / (l.To - l.From)}
}

func (l EvenLoad) middle() float64 { return (l.From + l.To) / 2 }

// loadTerm is the load term of the three-moment equation of a unit load spread
// evenly between two distances from the far end of a span: the mean of
// x (L2 - x2) / L.
func loadTerm(from, to, length float64) float64 {
	if from == to {
		return from * (length*length - from*from) / length
	}
	at := func(x float64) float64 { return length*x*x/2 - x*x*x*x/(4*length) }
	return (at(to) - at(from)) / (to - from)
}

// solve finds the moments over the inner supports, which form a tridiagonal
// system, and brings them into the reactions.
func (r *beamSolver) solve(jointed bool) {
	n, m := len(r.at), r.forces.Moments
	if n > 2 && !jointed {
		// Forward elimination: m[i] = value[i] - factor[i] m[i+1].
		factor, value := make([]float64, n), make([]float64, n)
		value[0] = m[0]
		for i := 1; i < n-1; i++ {
			before, after := r.at[i]-r.at[i-1], r.at[i+1]-r.at[i]
			pivot := 2*(before+after) - before*factor[i-1]
			factor[i] = after / pivot
			value[i] = (-r.left[i-1] - r.right[i] - before*value[i-1]) / pivot
		}
		for i := n - 2; i > 0; i-- {
			m[i] = value[i] - factor[i]*m[i+1]
		}
	}
	for i := 1; i < n; i++ {
		shift := (m[i] - m[i-1]) / (r.at[i] - r.at[i-1])
		r.forces.Reactions[i-1] += shift
		r.forces.Reactions[i] -= shift
	}
}
