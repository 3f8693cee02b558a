package roofplan

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
)

// classEdges pairs the sides of the planes and gives every stretch of them its kind.
func (r *Roof) classEdges() error {
	sides := sidesOf(r.planes)
	boxes := make([]box, len(sides))
	for i, s := range sides {
		boxes[i] = boxOf([]Point{s.a, s.b})
	}
	index := newTree(boxes)
	cutter := newCutter(r, sides, index)
	joined := pairs(sides, index, func(p, q pair) int { return r.comparePairs(sides, p, q) })
	joined = slices.DeleteFunc(joined, func(p pair) bool { return r.grounded(sides, p) })
	stretches := splitSides(sides, joined, cutter.cut)
	r.edges, r.rings = make([][]Edge, len(r.planes)), make([][]int, len(r.planes))
	place := make([]int, len(stretches)) // entry of each stretch in its plane's edges
	for i, s := range stretches {
		side, f := sides[s.index], r.frames[s.plane]
		e := Edge{Plane: s.plane, Index: side.index, From: f.ToSurface(side.at(s.from)), To: f.ToSurface(side.at(s.to)), Neighbour: -1, Beyond: s.beyond, mate: -1}
		if s.other < 0 {
			e.Kind = aloneKind(e.From, e.To, f.cos)
			if s.beyond >= 0 {
				e.Rise = r.riseOf(s.beyond, s.plane, side.at((s.from+s.to)/2))
			}
		}
		place[i] = len(r.edges[s.plane])
		if side.ring == len(r.rings[s.plane]) {
			r.rings[s.plane] = append(r.rings[s.plane], place[i])
		}
		r.edges[s.plane] = append(r.edges[s.plane], e)
	}
	for i, s := range stretches {
		if s.other > i {
			o := stretches[s.other]
			r.join(&r.edges[s.plane][place[i]], &r.edges[o.plane][place[s.other]])
			r.edges[s.plane][place[i]].mate, r.edges[o.plane][place[s.other]].mate = place[s.other], place[i]
		}
	}
	return r.applyStated()
}

// grounded tells whether a side of a pair is that of open ground.
func (r *Roof) grounded(sides []side, p pair) bool {
	return r.planes[sides[p.a].plane].Ground || r.planes[sides[p.b].plane].Ground
}

// comparePairs puts pairs of sides that meet in space before those whose heights are not known, and these before steps; then the longer first.
func (r *Roof) comparePairs(sides []side, p, q pair) int {
	rank := func(p pair) (int, float64) {
		s := sides[p.a]
		kind, rise, _ := r.meeting(s.plane, sides[p.b].plane, s.at(p.a0), s.at(p.a1))
		switch {
		case r.grounded(sides, p):
			return 3, 0
		case rise == nil:
			return 1, 0
		case kind.joins():
			return 0, 0
		}
		return 2, math.Abs(*rise)
	}
	names := func(p pair) string {
		a, b := r.planes[sides[p.a].plane].Name, r.planes[sides[p.b].plane].Name
		return min(a, b) + "\x00" + max(a, b)
	}
	rankP, riseP := rank(p)
	rankQ, riseQ := rank(q)
	if c := cmp.Or(rankP-rankQ, cmpFloat(riseP, riseQ)); c != 0 {
		return c
	}
	if lp, lq := p.a1-p.a0, q.a1-q.a0; math.Abs(lp-lq) > Tolerance {
		return cmpFloat(lq, lp)
	}
	return strings.Compare(names(p), names(q))
}

// riseOf is the height of plane p over plane q at a place in plan view, nil where the heights are not both known.
func (r *Roof) riseOf(p, q int, at Point) *float64 {
	zp, zq := r.planes[p].Elevation, r.planes[q].Elevation
	if zp == nil || zq == nil {
		return nil
	}
	rise := *zp + r.frames[p].Rise(at) - *zq - r.frames[q].Rise(at)
	return &rise
}

// drawingSlack is how far the height of a plane at a place may be off because slopes are stated to half a degree and places to Tolerance.
func (r *Roof) drawingSlack(p int, at Point) float64 {
	f := r.frames[p]
	const halfDegree = math.Pi / 360
	run := 0.0
	if f.tan > 0 {
		run = math.Abs(f.Rise(at)) / f.tan
	}
	return 5*Tolerance + run*halfDegree*(1+f.tan*f.tan)
}

// meeting tells what the edge from a to b is, in plan view and with plane p on its left, along which plane q lies: its kind, the height of q over p
// at its middle (nil where it is not known), and why it is not certain.
//
// Where the heights are not known it is what it would be if the planes met.
func (r *Roof) meeting(p, q int, a, b Point) (kind EdgeKind, rise *float64, why *DoubtKind) {
	doubtful := func(k DoubtKind) *DoubtKind { return &k }
	fp, fq := r.frames[p], r.frames[q]
	const accuracy = 0.01 // of half the length: that of stated slopes and bearings
	parting := Tolerance + accuracy*a.DistanceTo(b)
	kind = metKind(fp, fq, a, b, max(parting, r.limits.Step))
	middle := a.toward(b, 0.5)
	rise = r.riseOf(q, p, middle)
	switch {
	case rise == nil && kind.joins():
		return kind, nil, doubtful(HeightMissing)
	case rise == nil || !kind.joins():
		return kind, rise, nil
	}
	slack := max(r.drawingSlack(p, middle), r.drawingSlack(q, middle))
	ends := max(math.Abs(*r.riseOf(q, p, a)), math.Abs(*r.riseOf(q, p, b)))
	switch {
	case ends <= r.limits.Step || math.Abs(*rise) <= slack:
		return kind, rise, nil
	case kind == Ridge || kind == Hip:
		return Step, rise, doubtful(HeightsDisagree)
	}
	return Step, rise, nil
}

// join classes an edge that two planes share, once for both.
func (r *Roof) join(e, m *Edge) {
	f := r.frames[e.Plane]
	a, b := f.ToPlan(e.From), f.ToPlan(e.To)
	kind, rise, why := r.meeting(e.Plane, m.Plane, a, b)
	e.Kind, m.Kind = kind, kind
	e.Neighbour, m.Neighbour = m.Plane, e.Plane
	e.Beyond, m.Beyond = m.Plane, e.Plane
	if rise != nil {
		back := -*rise
		e.Rise, m.Rise = rise, &back
	}
	if why == nil || r.stated(*e) != Unstated || r.stated(*m) != Unstated {
		return
	}
	d := &Doubt{Kind: *why, AtA: a.toward(b, 0.5)}
	d.AtB = d.AtA
	if *why == HeightsDisagree {
		d.Distance = math.Abs(*rise)
	}
	r.doubt(d, []*Edge{e}, []*Edge{m})
}

// doubt notes a doubt about the edges of two planes, each along one of their edges as given.
func (r *Roof) doubt(d *Doubt, own, other []*Edge) {
	if own[0].Plane > other[0].Plane {
		own, other = other, own
		d.AtA, d.AtB = d.AtB, d.AtA
	}
	d.A, d.B, d.EdgeA, d.EdgeB = own[0].Plane, other[0].Plane, own[0].Index, other[0].Index
	a, b := r.planes[d.A].Name, r.planes[d.B].Name
	where := fmt.Sprintf("edge %d of plane %q and edge %d of plane %q", d.EdgeA+1, a, d.EdgeB+1, b)
	switch d.Kind {
	case NearMiss:
		d.Text = fmt.Sprintf("%s run %.3f m apart at (%.3f, %.3f) and (%.3f, %.3f) m and may be meant to meet", where, d.Distance, d.AtA.X, d.AtA.Y, d.AtB.X, d.AtB.Y)
	case HeightMissing:
		d.Text = fmt.Sprintf("%s meet in plan view at (%.3f, %.3f) m, and the height of a plane is not known", where, d.AtA.X, d.AtA.Y)
	case HeightsDisagree:
		d.Text = fmt.Sprintf("%s meet in plan view at (%.3f, %.3f) m and lie %.3f m apart in height", where, d.AtA.X, d.AtA.Y, d.Distance)
	}
	for _, x := range slices.Concat(own, other) {
		if x.Doubt == nil && r.stated(*x) == Unstated {
			x.Doubt = d
		}
	}
	r.doubts = append(r.doubts, *d)
}

func (r *Roof) stated(e Edge) EdgeKind {
	if kinds := r.planes[e.Plane].Kinds; len(kinds) > 0 {
		return kinds[e.Index]
	}
	return Unstated
}

// applyStated puts the kinds stated by the job in place of those found. A kind stated for one side of a shared edge holds for both.
func (r *Roof) applyStated() error {
	var errs []error
	for i := range r.edges {
		for k := range r.edges[i] {
			e := &r.edges[i][k]
			own := r.stated(*e)
			if e.mate >= 0 {
				other := r.stated(r.edges[e.Neighbour][e.mate])
				if own != Unstated && other != Unstated && own != other && i < e.Neighbour {
					errs = append(errs, &PlaneError{r.planes[i].Name, e.Index,
						fmt.Sprintf("stated as %s here and as %s by plane %q", own, other, r.planes[e.Neighbour].Name)})
				}
				if own == Unstated {
					own = other
				}
			} else if own == Hip || own == Valley {
				errs = append(errs, &PlaneError{r.planes[i].Name, e.Index, fmt.Sprintf("stated as %s but no plane lies along it", own)})
			}
			if own != Unstated {
				r.contradict(*e, own)
				e.Kind = own
			}
		}
	}
	return errors.Join(errs...)
}

// contradict notes where the geometry of an edge does not allow the kind that is stated. The edge still has the kind that geometry gives.
func (r *Roof) contradict(e Edge, stated EdgeKind) {
	f := r.frames[e.Plane]
	level := math.Abs(e.To.Y-e.From.Y)*f.cos <= levelSlack(e.Length())
	found := ""
	switch {
	case (stated == Eave || stated == Ridge || stated == HighEave) && !level:
		found = "is not level"
	case e.Neighbour < 0 && stated == Eave && e.Kind == HighEave && f.tan > 0:
		found = "is an upper edge"
	case e.Neighbour < 0 && (stated == Ridge || stated == HighEave) && e.Kind == Eave && f.tan > 0:
		found = "is a lower edge"
	case e.Neighbour >= 0 && e.Kind.joins() && e.Rise != nil && (stated == Eave || stated == HighEave || stated == Rake || stated == Step):
		if slack := max(r.drawingSlack(e.Plane, f.ToPlan(e.From)), r.drawingSlack(e.Neighbour, f.ToPlan(e.From))); math.Abs(*e.Rise) <= slack {
			found = fmt.Sprintf("meets plane %q at one height", r.planes[e.Neighbour].Name)
		}
	case e.Neighbour >= 0 && e.Kind == Step && stated.joins():
		found = fmt.Sprintf("does not meet plane %q: slopes or heights keep them apart", r.planes[e.Neighbour].Name)
	}
	if found != "" {
		at := f.ToPlan(e.From).toward(f.ToPlan(e.To), 0.5)
		r.misstated = append(r.misstated, Misstatement{Plane: e.Plane, Edge: e.Index, Stated: stated, Found: found, At: at})
	}
}
