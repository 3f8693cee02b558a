package roofplan

import "math"

// Shape is a convex thing on a surface: every point within a radius of a point, a segment or an oriented rectangle. A module, a
// chimney, a vent pipe and an edge of the roof are all shapes. The zero Shape is empty and no distance is defined for it.
type Shape struct {
	points [4]Point // counter-clockwise
	n      int
	radius float64
}

// Rect is a rectangle on the surface of a plane: its centre, its width along x and height along y before turning, metres, and
// the angle by which it is turned counter-clockwise, degrees. A module in portrait has the longer side as Height.
type Rect struct {
	Centre        Point
	Width, Height float64
	Turn          float64
}

// RectAt is the rectangle, not turned, whose lower left corner lies at corner.
func RectAt(corner Point, width, height float64) Rect {
	return Rect{Centre: Point{corner.X + width/2, corner.Y + height/2}, Width: width, Height: height}
}

// Corners returns the corners counter-clockwise: lower left, lower right, upper right, upper left before turning.
func (r Rect) Corners() [4]Point {
	s, c := sinCos(r.Turn)
	w, h := Point{c * r.Width / 2, s * r.Width / 2}, Point{-s * r.Height / 2, c * r.Height / 2}
	o := r.Centre
	return [4]Point{o.sub(w).sub(h), o.add(w).sub(h), o.add(w).add(h), o.sub(w).add(h)}
}

// Shape returns the rectangle as a shape. A rectangle that is not finite or has a side that is not positive gives the empty shape.
func (r Rect) Shape() Shape {
	if !r.Centre.finite() || !isFinite(r.Turn) || !(r.Width > 0) || !(r.Height > 0) || math.IsInf(r.Width, 0) || math.IsInf(r.Height, 0) {
		return Shape{}
	}
	return Shape{points: r.Corners(), n: 4}
}

// Disc is the round shape about a centre; a radius of 0 is a point. A radius that is negative or not finite gives the empty shape.
func Disc(centre Point, radius float64) Shape {
	if !centre.finite() || !(radius >= 0) || math.IsInf(radius, 0) {
		return Shape{}
	}
	return Shape{points: [4]Point{centre}, n: 1, radius: radius}
}

// Segment is the straight line between two points as a shape.
func Segment(a, b Point) Shape {
	if !a.finite() || !b.finite() {
		return Shape{}
	}
	return Shape{points: [4]Point{a, b}, n: 2}
}

// Empty tells whether the shape holds no point, as made from values out of their domain.
func (s Shape) Empty() bool { return s.n == 0 }

// Grown is the shape with every point within distance d of it, metres.
func (s Shape) Grown(d float64) Shape { s.radius += d; return s }

// Centre is the middle of the shape.
func (s Shape) Centre() Point {
	var c Point
	for _, p := range s.points[:s.n] {
		c = c.add(p)
	}
	return c.mul(1 / float64(max(s.n, 1)))
}

// Corners returns the corner points: four of a rectangle, two of a segment, the centre alone of a disc.
func (s Shape) Corners() []Point { return append([]Point(nil), s.points[:s.n]...) }

// Radius is the distance about its corners' hull that belongs to the shape; the radius of a disc, metres.
func (s Shape) Radius() float64 { return s.radius }

// Area is the area of the shape on its surface, m2.
func (s Shape) Area() float64 {
	var area, girth float64
	for i := range s.n {
		p, q := s.points[i], s.points[(i+1)%s.n]
		area += p.cross(q) / 2
		girth += p.DistanceTo(q)
	}
	return math.Abs(area) + girth*s.radius + math.Pi*s.radius*s.radius
}

// Moved is the shape turned counter-clockwise about the origin by an angle in degrees and then shifted.
func (s Shape) Moved(turn float64, shift Point) Shape {
	sin, cos := sinCos(turn)
	return s.carried(motion{cos: cos, sin: sin, shift: shift})
}

func (s Shape) carried(m motion) Shape {
	for i := range s.n {
		s.points[i] = m.apply(s.points[i])
	}
	return s
}

func (s Shape) box() box { return boxOf(s.points[:s.n]).grown(s.radius) }

// sides is the number of straight sides of the hull of the corners: none of a point, one of a segment.
func (s *Shape) sides() int {
	switch s.n {
	case 0, 1:
		return 0
	case 2:
		return 1
	}
	return s.n
}

func (s *Shape) side(i int) (a, b Point) { return s.points[i], s.points[(i+1)%s.n] }

// Distance is the shortest distance between two shapes over one surface, metres, 0 where they meet, and a nearest point on
// each. Either shape empty gives +Inf.
func Distance(a, b Shape) (distance float64, onA, onB Point) { return separation(&a, &b) }

func separation(a, b *Shape) (float64, Point, Point) {
	if a.n == 0 || b.n == 0 {
		return math.Inf(1), Point{}, Point{}
	}
	d, p, q := hullDistance(a, b)
	reach := a.radius + b.radius
	if reach == 0 {
		return d, p, q
	}
	if d <= reach {
		m := p
		if d > 0 {
			m = p.toward(q, min(a.radius, d)/d)
		}
		return 0, m, m
	}
	return d - reach, p.toward(q, a.radius/d), q.toward(p, b.radius/d)
}

// hullDistance is the distance between the hulls of the corners of two shapes.
func hullDistance(a, b *Shape) (float64, Point, Point) {
	if p, ok := hullsMeet(a, b); ok {
		return 0, p, p
	}
	best := math.Inf(1)
	var onA, onB Point
	offer := func(p, q Point) {
		if d := p.sub(q); d.dot(d) < best {
			best, onA, onB = d.dot(d), p, q
		}
	}
	if a.n == 1 && b.n == 1 {
		offer(a.points[0], b.points[0])
	}
	for _, p := range a.points[:a.n] {
		for i := range b.sides() {
			c, d := b.side(i)
			offer(p, nearestOnSegment(p, c, d))
		}
	}
	for _, q := range b.points[:b.n] {
		for i := range a.sides() {
			c, d := a.side(i)
			offer(nearestOnSegment(q, c, d), q)
		}
	}
	return math.Sqrt(best), onA, onB
}

// hullsMeet gives a common point of the hulls of two shapes, if there is one: a corner of one inside the other, or a crossing of sides.
func hullsMeet(a, b *Shape) (Point, bool) {
	if a.box().distance(b.box()) > 0 {
		return Point{}, false
	}
	for _, p := range a.points[:a.n] {
		if b.hullHolds(p) {
			return p, true
		}
	}
	for _, p := range b.points[:b.n] {
		if a.hullHolds(p) {
			return p, true
		}
	}
	for i := range a.sides() {
		p, q := a.side(i)
		for j := range b.sides() {
			c, d := b.side(j)
			if t, _, ok := crossing(p, q, c, d); ok {
				return p.toward(q, t), true
			}
		}
	}
	return Point{}, false
}

func (s *Shape) hullHolds(p Point) bool {
	if s.n < 3 {
		return false
	}
	for i := range s.n {
		a, b := s.side(i)
		if b.sub(a).cross(p.sub(a)) < 0 {
			return false
		}
	}
	return true
}

// Overlap tells whether two shapes share more than their borders: their common part is deeper than depth, metres, in every
// direction. Shapes that only touch do not overlap.
func Overlap(a, b Shape, depth float64) bool { return penetration(&a, &b) > depth }

// penetration is how far one shape would have to be moved to be clear of the other, 0 where they are clear. It is exact for shapes
// without radius and for discs against anything, by the theorem of separating axes.
func penetration(a, b *Shape) float64 {
	if a.n == 0 || b.n == 0 {
		return 0
	}
	reach := a.radius + b.radius
	if d, _, _ := hullDistance(a, b); d > 0 {
		return max(0, reach-d)
	}
	least := math.Inf(1)
	for _, s := range [2]*Shape{a, b} {
		for i := range s.sides() {
			p, q := s.side(i)
			normal := q.sub(p).unit().left()
			a0, a1 := a.extent(normal)
			b0, b1 := b.extent(normal)
			least = min(least, a1-b0, b1-a0)
		}
	}
	if math.IsInf(least, 1) { // two points in one place
		least = 0
	}
	return max(0, least) + reach
}

// extent is the range of the hull of the corners along a direction.
func (s *Shape) extent(direction Point) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, p := range s.points[:s.n] {
		v := p.dot(direction)
		lo, hi = min(lo, v), max(hi, v)
	}
	return lo, hi
}

// motion is a turn about the origin followed by a shift.
type motion struct {
	cos, sin float64
	shift    Point
}

func (m motion) apply(p Point) Point {
	return Point{m.cos*p.X - m.sin*p.Y + m.shift.X, m.sin*p.X + m.cos*p.Y + m.shift.Y}
}

// onto is the motion that carries segment ab onto the line of segment cd, middle onto middle.
func onto(a, b, c, d Point) motion {
	u, v := b.sub(a).unit(), d.sub(c).unit()
	m := motion{cos: u.dot(v), sin: u.cross(v)}
	m.shift = c.toward(d, 0.5).sub(m.apply(a.toward(b, 0.5)))
	return m
}

func (m motion) after(first motion) motion {
	return motion{
		cos:   m.cos*first.cos - m.sin*first.sin,
		sin:   m.sin*first.cos + m.cos*first.sin,
		shift: m.apply(first.shift),
	}
}
