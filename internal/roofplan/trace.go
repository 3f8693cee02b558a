package roofplan

import (
	"math"
	"slices"
)

// The centre line is drawn by rolling a disc of the drawn width along everything that chains of smaller gaps join to the flanks left of the
// way. Its centre then keeps half the width from those things, and at least half from all others, since these are a width or more away from
// the first. For the rolling, straight sides are rows of points close enough that the disc dips between them by no more than about a
// five-hundredth of its radius; the ends of the links are among the points, so that the disc cannot slip through a chain. The line that results is
// measured against the true shapes.
const (
	pointsPerRadius = 8
	lineSag         = 1.0 / 1000 // of the radius: sag of the drawn line's chords round a bead
	lineSlack       = 1.0 / 400  // of the radius: how far the drawn line may be simplified
	worstLine       = 0.98       // of the drawn width: a line that measures less is not returned
	straightLine    = 0.995      // of the drawn width: a shortcut must be as clear as this
	mostTurns       = 400_000    // of the disc about beads
	mostStill       = 100        // turns in one place
)

// bead is a round thing that the disc rolls on.
type bead struct {
	at     Point
	radius float64
}

// roller is a disc on its way.
type roller struct {
	field  *field
	radius float64
	on     []bool          // shapes of the group that is rolled on
	joints map[int][]Point // ends of links on each shape of the group
	bar    *link           // a gate that is shut; nil for none
	beads  []bead          // scratch
}

// centreLine draws a way of a width and measures the width for which it is clear.
func (f *field) centreLine(w way, width float64) ([]Point, float64) {
	if width < Tolerance {
		return nil, 0
	}
	width *= 1 - 1e-6 // so that the disc passes a gap of the very width without touching both sides
	g := f.flanks()
	cut := 0
	for cut < len(f.links) && f.links[cut].gap < width {
		g.join(f.links[cut].a, f.links[cut].b)
		cut++
	}
	if f.barred >= 0 {
		g.join(f.links[f.barred].a, f.links[f.barred].b)
	}
	from, to, group := f.clearEnds(w, g)
	if group < 0 {
		return nil, 0
	}
	r := &roller{field: f, radius: width / 2, on: make([]bool, len(f.shapes)), joints: map[int][]Point{}}
	for i := range f.shapes {
		r.on[i] = g.find(i) == group
	}
	for _, l := range f.links[:cut] {
		if r.on[l.a] {
			r.joints[l.a] = append(r.joints[l.a], l.onA)
			r.joints[l.b] = append(r.joints[l.b], l.onB)
		}
	}
	if f.barred >= 0 {
		r.bar = &f.links[f.barred]
	}
	line := r.roll(from, to)
	if line == nil {
		return nil, 0
	}
	line = f.straighten(simplify(line, lineSlack*r.radius), from, to, straightLine*width)
	line = f.border.seam(line)
	clear := f.clearWidth(line)
	if clear < worstLine*width {
		return nil, 0
	}
	return line, clear
}

// clearEnds narrows a way to a start and an end between which, on the left, nothing but one group lies: the disc that rolls along that
// group leaves the planes over the first opening after the group's last flank. If that is another start, the way may as well begin there.
func (f *field) clearEnds(w way, g groups) (from, to, group int) {
	arcs, wall := f.border.arcs, f.wallNumbers()
	n := len(arcs)
	from = w.from
	for range n {
		at := (from + n - 1) % n
		if arcs[at].role != flank {
			return 0, 0, -1
		}
		group = g.find(wall[arcs[at].rims[0]])
		exit := at
		for k := at; k != from; k = (k + n - 1) % n {
			if arcs[k].role == flank && g.find(wall[arcs[k].rims[0]]) == group {
				exit = (k + n - 1) % n
			}
		}
		if arcs[exit].role == finish {
			return from, exit, group
		}
		if exit == from {
			return 0, 0, -1
		}
		from = exit
	}
	return 0, 0, -1
}

// gather lists the beads whose disc of contact can meet the disc while it turns about a bead.
func (r *roller) gather(about bead) {
	r.beads = r.beads[:0]
	turn := about.radius + r.radius
	reach := turn + r.radius // of the rolling disc's rim
	f := r.field
	if r.bar != nil {
		r.row(r.bar.onA, r.bar.onB, 0, about.at, reach)
	}
	f.index.within(boxOf([]Point{about.at}).grown(reach), func(i int) {
		if !r.on[i] {
			return
		}
		s := &f.shapes[i]
		if s.n == 1 {
			r.beads = append(r.beads, bead{s.points[0], s.radius})
			return
		}
		for k := range s.sides() {
			a, b := s.side(k)
			r.row(a, b, s.radius, about.at, reach+s.radius)
		}
		for _, p := range r.joints[i] {
			r.beads = append(r.beads, bead{p, 0})
		}
	})
}

// row adds the points of a straight side that lie within a distance of a place.
func (r *roller) row(a, b Point, radius float64, near Point, distance float64) {
	length := a.DistanceTo(b)
	n := math.Ceil(length * pointsPerRadius / r.radius)
	n = max(n, 1)
	d := b.sub(a).mul(1 / length)
	foot := near.sub(a).dot(d)
	off := near.sub(a).cross(d)
	half := math.Sqrt(max(0, distance*distance-off*off))
	if math.Abs(off) > distance {
		return
	}
	lo, hi := math.Ceil((foot-half)/length*n), math.Floor((foot+half)/length*n)
	for k := max(lo, 0); k <= min(hi, n); k++ {
		r.beads = append(r.beads, bead{a.toward(b, k/n), radius})
	}
}

// begin finds where the disc stands on the start when it touches the group beside it: the last place along the start, counted from the
// left, at which a bead is in contact.
func (r *roller) begin(from int) (on bead, centre Point, ok bool) {
	f := r.field
	rims := f.border.arcs[from].rims
	for k := len(rims) - 1; k >= 0 && !ok; k-- {
		rm := f.border.rims[rims[k]]
		length := rm.from.DistanceTo(rm.to)
		d := rm.to.sub(rm.from).mul(1 / length)
		last := 0.0
		// A disc of contact along the whole start covers every bead that can touch a disc on it.
		r.gatherAlong(rm.from, rm.to)
		for _, b := range r.beads {
			foot, off := b.at.sub(rm.from).dot(d), b.at.sub(rm.from).cross(d)
			reach := b.radius + r.radius
			if math.Abs(off) >= reach {
				continue
			}
			if t := foot + math.Sqrt(reach*reach-off*off); t > last && t <= length*(1+1e-9) {
				last, on, centre, ok = t, b, rm.from.add(d.mul(t)), true
			}
		}
	}
	return on, centre, ok
}

// gatherAlong lists the beads that can touch the disc with its centre on a straight line.
func (r *roller) gatherAlong(a, b Point) {
	f := r.field
	r.beads = r.beads[:0]
	middle, half := a.toward(b, 0.5), a.DistanceTo(b)/2
	if r.bar != nil {
		r.row(r.bar.onA, r.bar.onB, 0, middle, half+r.radius)
	}
	f.index.within(boxOf([]Point{a, b}).grown(r.radius), func(i int) {
		if !r.on[i] {
			return
		}
		s := &f.shapes[i]
		if s.n == 1 {
			r.beads = append(r.beads, bead{s.points[0], s.radius})
			return
		}
		for k := range s.sides() {
			p, q := s.side(k)
			r.row(p, q, s.radius, middle, half+r.radius+s.radius)
		}
		for _, p := range r.joints[i] {
			r.beads = append(r.beads, bead{p, 0})
		}
	})
}

// roll moves the disc from one arc to another with the group on its left, turning counter-clockwise about one bead until it meets
// the next. It returns the line of its centre, nil when it does not arrive.
func (r *roller) roll(from, to int) []Point {
	on, centre, ok := r.begin(from)
	if !ok {
		return nil
	}
	line := []Point{centre}
	still := 0
	for k := range mostTurns {
		next, angle, met := r.turn(on, centre)
		arm := centre.sub(on.at)
		if !met {
			angle = 2 * math.Pi
		}
		steps := math.Ceil(angle / (2 * math.Sqrt(2*lineSag*r.radius/arm.length())))
		for i := 1.0; i <= steps; i++ {
			sin, cos := math.Sincos(angle * i / steps)
			p := on.at.add(Point{cos*arm.X - sin*arm.Y, sin*arm.X + cos*arm.Y})
			if over, at := r.field.border.leaves(line[len(line)-1], p); over == to {
				return append(line, at)
			} else if over >= 0 && k > 0 {
				return nil // over a flank that the group does not hold, or back over the start
			}
			line = append(line, p)
		}
		if !met {
			return nil
		}
		centre = line[len(line)-1]
		on = next
		if still++; angle > 1e-9 {
			still = 0
		}
		if still > mostStill {
			return nil // wedged between beads
		}
	}
	return nil
}

// turn finds the bead that the disc meets first when it turns counter-clockwise about the bead it rests on, and the angle of the turn.
func (r *roller) turn(on bead, centre Point) (next bead, angle float64, met bool) {
	r.gather(on)
	arm := centre.sub(on.at)
	reach := arm.length()
	arm = arm.mul(1 / reach)
	first, toward := 4.0, Point{}
	for _, b := range r.beads {
		d := b.at.sub(on.at)
		square := d.dot(d)
		contact := b.radius + r.radius
		if square >= (reach+contact)*(reach+contact) || square < 1e-18 {
			continue
		}
		apart := math.Sqrt(square)
		k := (reach*reach + square - contact*contact) / (2 * reach * apart)
		if k >= 1 || k <= -1 {
			continue
		}
		d = d.mul(1 / apart)
		// The arm at which the disc, turning this way, comes into contact: d turned back by the angle whose cosine is k.
		e := d.mul(k).sub(d.left().mul(math.Sqrt(1 - k*k)))
		turn := quarters(arm, e)
		if turn > 4-1e-7 { // in contact already
			turn = 0
		}
		if turn < first {
			next, first, toward, met = b, turn, e, true
		}
	}
	if angle = math.Atan2(arm.cross(toward), arm.dot(toward)); angle < -1e-6 {
		angle += 2 * math.Pi
	}
	return next, max(angle, 0), met
}

// quarters grows with the angle from one unit vector counter-clockwise to another, from 0 to 4 for the whole turn.
func quarters(from, to Point) float64 {
	c, d := from.cross(to), from.dot(to)
	switch {
	case d < 0:
		return 2 - c
	case c < 0:
		return 4 + c
	}
	return c
}

// leaves tells over which arc of the border a step first goes, -1 when it stays on the planes, and where.
func (b *border) leaves(p, q Point) (over int, at Point) {
	over = -1
	first := math.Inf(1)
	for i, a := range b.arcs {
		for _, k := range a.rims {
			r := b.rims[k]
			if t, _, ok := crossing(p, q, r.from, r.to); ok && t < first {
				over, first, at = i, t, p.toward(q, t)
			}
		}
	}
	return over, at
}

// straighten takes shortcuts that are clear for a width: to the end from the first point from which it can be reached straight, from the start
// to the last, and between points of the line.
func (f *field) straighten(line []Point, from, to int, width float64) []Point {
	for i := range line {
		if end := f.border.nearestOn(to, line[i]); f.clearStep(line[i], end, width) {
			line = append(line[:i+1:i+1], end)
			break
		}
	}
	for i := len(line) - 2; i > 0; i-- {
		if begin := f.border.nearestOn(from, line[i]); f.clearStep(begin, line[i], width) {
			line = append([]Point{begin}, line[i:]...)
			break
		}
	}
	out := line[:1:1]
	for i := 0; i < len(line)-1; {
		// The stride doubles while the shortcut is clear and then halves to the farthest clear point.
		stride := 1
		for i+2*stride < len(line) && f.clearStep(line[i], line[i+2*stride], width) {
			stride *= 2
		}
		for add := stride / 2; add > 0; add /= 2 {
			if i+stride+add < len(line) && f.clearStep(line[i], line[i+stride+add], width) {
				stride += add
			}
		}
		i += stride
		out = append(out, line[i])
	}
	return out
}

// nearestOn is the point of an arc nearest to a point.
func (b *border) nearestOn(arc int, p Point) Point {
	best, at := math.Inf(1), p
	for _, k := range b.arcs[arc].rims {
		q := nearestOnSegment(p, b.rims[k].from, b.rims[k].to)
		if d := p.DistanceTo(q); d < best {
			best, at = d, q
		}
	}
	return at
}

// clearStep tells whether a straight step stays on the planes and is clear for a width.
func (f *field) clearStep(p, q Point, width float64) bool {
	for i, r := range f.border.rims {
		if f.border.roles[i] == flank {
			continue
		}
		if t, _, ok := crossing(p, q, r.from, r.to); ok && t > limitSlack && t < 1-limitSlack {
			return false
		}
	}
	s := Segment(p, q)
	if f.barred >= 0 {
		if _, _, ok := crossing(p, q, f.links[f.barred].onA, f.links[f.barred].onB); ok {
			return false
		}
	}
	hit, _ := f.index.nearest(s.box(), width/2, func(j int, _ float64) float64 {
		d, _, _ := separation(&s, &f.shapes[j])
		return d
	})
	return hit < 0
}

// seam puts a point on the line wherever it crosses from one plane to the next, so that it can be carried to plan view.
func (b *border) seam(line []Point) []Point {
	out := line[:1:1]
	for i := 1; i < len(line); i++ {
		p, q := line[i-1], line[i]
		cuts := []float64{1}
		for _, plane := range b.flat.planes {
			for k, e := range b.flat.roof.edges[plane] {
				if !b.flat.hinges[hinge{plane, k}] || e.Neighbour < plane {
					continue
				}
				m := b.flat.place[plane]
				if t, _, ok := crossing(p, q, m.apply(e.From), m.apply(e.To)); ok && t > 0 && t < 1 {
					cuts = append(cuts, t)
				}
			}
		}
		slices.Sort(cuts)
		for _, t := range cuts {
			out = append(out, p.toward(q, t))
		}
	}
	return out
}

// planLine carries a line to plan view.
func (f *Flat) planLine(line []Point) []Point {
	var out []Point
	for _, p := range line {
		if q, ok := f.Plan(p); ok {
			out = append(out, q)
		}
	}
	return out
}

// clearWidth is twice the least distance from a line to anything in the field.
func (f *field) clearWidth(line []Point) float64 {
	least := math.Inf(1)
	for i := 1; i < len(line); i++ {
		s := Segment(line[i-1], line[i])
		_, least = f.index.nearest(s.box(), least, func(j int, _ float64) float64 {
			d, _, _ := separation(&s, &f.shapes[j])
			return d
		})
	}
	return 2 * least
}

// simplify leaves out points of a line that lie within a distance of the line without them (the method of Douglas and Peucker).
func simplify(line []Point, distance float64) []Point {
	keep := make([]bool, len(line))
	keep[0], keep[len(line)-1] = true, true
	spans := [][2]int{{0, len(line) - 1}}
	for len(spans) > 0 {
		s := spans[len(spans)-1]
		spans = spans[:len(spans)-1]
		far, at := distance, -1
		for i := s[0] + 1; i < s[1]; i++ {
			if d := line[i].DistanceTo(nearestOnSegment(line[i], line[s[0]], line[s[1]])); d > far {
				far, at = d, i
			}
		}
		if at >= 0 {
			keep[at] = true
			spans = append(spans, [2]int{s[0], at}, [2]int{at, s[1]})
		}
	}
	var out []Point
	for i, k := range keep {
		if k {
			out = append(out, line[i])
		}
	}
	return out
}
