package layout

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
)

// CheckOutline tells why an outline (corners in order, either way round) does
// not bound an area: fewer than three corners, corners that are not numbers or
// repeat, edges that cross, or no area.
func CheckOutline(outline []Point) error {
	n := len(outline)
	if n < 3 {
		return fmt.Errorf("an outline of %d corners bounds no area", n)
	}
	for i, p := range outline {
		if !p.finite() {
			return fmt.Errorf("corner %d of the outline is not a number", i+1)
		}
		if p.distance(outline[(i+1)%n]) < touch {
			return fmt.Errorf("corner %d of the outline is repeated at %v", i+1, p)
		}
	}
	if math.Abs(area(outline)) < touch {
		return errors.New("the outline bounds no area")
	}
	for i := range outline {
		for j := i + 2; j < n; j++ {
			if (j+1)%n != i && segmentsMeet(outline[i], outline[i+1], outline[j], outline[(j+1)%n]) {
				return fmt.Errorf("edge %d of the outline crosses edge %d", i+1, j+1)
			}
		}
	}
	return nil
}

func segmentsMeet(a, b, c, d Point) bool {
	turn := func(p, q, r Point) float64 { return q.sub(p).cross(r.sub(p)) }
	return turn(a, b, c)*turn(a, b, d) < 0 && turn(c, d, a)*turn(c, d, b) < 0 ||
		distanceToSegment(c, a, b) < touch || distanceToSegment(d, a, b) < touch ||
		distanceToSegment(a, c, d) < touch || distanceToSegment(b, c, d) < touch
}

func distanceToSegment(p, a, b Point) float64 {
	d := b.sub(a)
	t := min(1, max(0, p.sub(a).dot(d)/d.dot(d)))
	return p.distance(a.add(d.scale(t)))
}

// inset is the distance from p to the boundary of an outline, positive inside
// and negative outside; zero within a micrometre of the boundary.
func inset(outline []Point, p Point) float64 {
	nearest, inside := math.Inf(1), false
	for i, a := range outline {
		b := outline[(i+1)%len(outline)]
		nearest = min(nearest, distanceToSegment(p, a, b))
		if (a.Y > p.Y) != (b.Y > p.Y) && p.X < a.X+(p.Y-a.Y)/(b.Y-a.Y)*(b.X-a.X) {
			inside = !inside
		}
	}
	switch {
	case nearest < touch:
		return 0
	case inside:
		return nearest
	}
	return -nearest
}

// Insets gives, for each point, the distance in metres to the boundary of an
// outline: positive inside, negative outside. It answers for fasteners and the
// sheet or the plane they must stay inside.
func Insets(points, outline []Point) ([]float64, error) {
	if err := CheckOutline(outline); err != nil {
		return nil, err
	}
	insets := make([]float64, len(points))
	for i, p := range points {
		if !p.finite() {
			return nil, fmt.Errorf("point %d is not a number", i+1)
		}
		insets[i] = inset(outline, p)
	}
	return insets, nil
}

// Insets gives, for each module, its clearance in metres to the boundary of the
// plane's outline on the surface: positive for a module inside, zero for one
// that touches it, negative by how far it stands out.
func (a *Array) Insets(outline []Point) ([]float64, error) {
	if err := CheckOutline(outline); err != nil {
		return nil, fmt.Errorf("array %s: %w", a.Name, err)
	}
	local := a.toArray(outline)
	insets := make([]float64, len(a.Modules))
	for i, m := range a.Modules {
		insets[i] = insetOfRect(local, m.Rect)
	}
	return insets, nil
}

func (a *Array) toArray(points []Point) []Point {
	local := make([]Point, len(points))
	for i, p := range points {
		local[i] = a.Frame.ToArray(p)
	}
	return local
}

// insetOfRect is the clearance of a rectangle. Where all corners are inside but
// an edge of the outline runs through the rectangle (a notch), it stands out by
// the depth of that edge inside it.
func insetOfRect(outline []Point, r Rect) float64 {
	clearance := math.Inf(1)
	for _, c := range r.corners() {
		clearance = min(clearance, inset(outline, c))
	}
	for i, a := range outline {
		b := outline[(i+1)%len(outline)]
		if depth := r.depth(a, b); depth > touch {
			clearance = min(clearance, -depth)
		} else {
			clearance = min(clearance, r.distanceToSegment(a, b))
		}
	}
	return clearance
}

func (r Rect) corners() [4]Point {
	return [4]Point{r.Min, {r.Max.X, r.Min.Y}, r.Max, {r.Min.X, r.Max.Y}}
}

// outside is the distance of p from a rectangle, negative by its depth inside.
func (r Rect) outside(p Point) float64 {
	dx := max(r.Min.X-p.X, p.X-r.Max.X)
	dy := max(r.Min.Y-p.Y, p.Y-r.Max.Y)
	if dx <= 0 && dy <= 0 {
		return max(dx, dy)
	}
	return math.Hypot(max(dx, 0), max(dy, 0))
}

// distanceToSegment is the distance between a rectangle and a segment, zero
// where they meet.
func (r Rect) distanceToSegment(a, b Point) float64 {
	if _, _, meets := r.clip(a, b); meets {
		return 0
	}
	d := min(r.outside(a), r.outside(b))
	for _, c := range r.corners() {
		d = min(d, distanceToSegment(c, a, b))
	}
	return d
}

// depth is how deep inside the rectangle the middle of the part of a segment
// that runs through it lies; zero where the segment does not enter.
func (r Rect) depth(a, b Point) float64 {
	from, to, meets := r.clip(a, b)
	if !meets {
		return 0
	}
	return max(0, -r.outside(from.add(to).scale(0.5)), -r.outside(from), -r.outside(to))
}

// clip gives the part of a segment inside the rectangle (Liang-Barsky).
func (r Rect) clip(a, b Point) (from, to Point, meets bool) {
	d := b.sub(a)
	first, last := 0.0, 1.0
	for _, side := range [...][2]float64{
		{-d.X, a.X - r.Min.X}, {d.X, r.Max.X - a.X}, {-d.Y, a.Y - r.Min.Y}, {d.Y, r.Max.Y - a.Y},
	} {
		switch outward, room := side[0], side[1]; {
		case outward == 0 && room < 0:
			return a, b, false
		case outward < 0:
			first = max(first, room/outward)
		case outward > 0:
			last = min(last, room/outward)
		}
	}
	return a.add(d.scale(first)), a.add(d.scale(last)), first <= last
}

// Nearby is the module nearest to something and its distance in metres.
type Nearby struct {
	Module   int
	Distance float64
}

// EdgeClearances gives, for each edge of an outline (edge i runs from corner i
// to the next), the module nearest to it; zero where a module crosses it.
func (a *Array) EdgeClearances(outline []Point) ([]Nearby, error) {
	if err := CheckOutline(outline); err != nil {
		return nil, fmt.Errorf("array %s: %w", a.Name, err)
	}
	local := a.toArray(outline)
	clearances := make([]Nearby, len(local))
	for i, p := range local {
		q := local[(i+1)%len(local)]
		clearances[i] = Nearby{-1, math.Inf(1)}
		for k, m := range a.Modules {
			if d := m.Rect.distanceToSegment(p, q); d < clearances[i].Distance {
				clearances[i] = Nearby{k, d}
			}
		}
	}
	return clearances, nil
}

// OutsideModules gives, for each point, the module nearest to it and its
// distance in metres from that module's edge: positive outside every module,
// negative by its depth under one. A point that is not a number is an error.
func (a *Array) OutsideModules(points []Point) ([]Nearby, error) {
	centres := make([]Point, len(a.Modules))
	for i, m := range a.Modules {
		centres[i] = m.Rect.Centre()
	}
	t := newTree(centres)
	// A module nearer than the best so far has its centre within that distance
	// and half a diagonal.
	half := math.Hypot(a.Width, a.Height) / 2
	nearby := make([]Nearby, len(points))
	for i, p := range points {
		if !p.finite() {
			return nil, fmt.Errorf("array %s: point %d is not a number", a.Name, i+1)
		}
		local, best := a.Frame.ToArray(p), Nearby{-1, math.Inf(1)}
		t.near(local, math.Inf(1), func(k int, _ float64) float64 {
			if d := a.Modules[k].Rect.outside(local); d < best.Distance || d == best.Distance && k < best.Module {
				best = Nearby{k, d}
			}
			return best.Distance + half
		})
		nearby[i] = best
	}
	return nearby, nil
}

// Beyond tells how far the fasteners of a foot that was moved along its line
// still stand on both sides of its mark: the lesser of the distances, in metres,
// of the outermost fasteners to either side of it; negative when all stand on
// one side.
func Beyond(mark Point, fasteners []Point, along Direction) float64 {
	place := Point.x
	if along == UpSlope {
		place = Point.y
	}
	least, greatest := math.Inf(1), math.Inf(-1)
	for _, f := range fasteners {
		least, greatest = min(least, place(f)), max(greatest, place(f))
	}
	return min(place(mark)-least, greatest-place(mark))
}

func (p Point) x() float64 { return p.X }
func (p Point) y() float64 { return p.Y }

// Overlap is two modules that lie over each other.
type Overlap struct {
	First, Second Module
	Depth         float64 // the least move that would part them, m
}

// Overlaps gives every pair of modules, of one array or of several on the same
// plane, that overlap by more than a micrometre, in the order of the arrays.
func Overlaps(arrays ...*Array) []Overlap {
	var modules []Module
	reach := 0.0
	for _, a := range arrays {
		modules = append(modules, a.Modules...)
		reach = max(reach, math.Hypot(a.Width, a.Height))
	}
	centres := make([]Point, len(modules))
	for i, m := range modules {
		centres[i] = m.Corners[0].add(m.Corners[2]).scale(0.5)
	}
	t := newTree(centres)
	var overlaps []Overlap
	for i, m := range modules {
		var later []int
		t.near(centres[i], reach, func(j int, _ float64) float64 {
			if j > i {
				later = append(later, j)
			}
			return reach
		})
		slices.Sort(later)
		for _, j := range later {
			if d := penetration(m.Corners, modules[j].Corners); d > touch {
				overlaps = append(overlaps, Overlap{m, modules[j], d})
			}
		}
	}
	return overlaps
}

// penetration is the least distance along a side's normal that parts two
// rectangles; negative or zero when they do not overlap (separating axes).
func penetration(a, b [4]Point) float64 {
	least := math.Inf(1)
	for _, axis := range [...]Point{a[1].sub(a[0]), a[3].sub(a[0]), b[1].sub(b[0]), b[3].sub(b[0])} {
		axis = axis.scale(1 / math.Hypot(axis.X, axis.Y))
		aMin, aMax := extent(a, axis)
		bMin, bMax := extent(b, axis)
		least = min(least, min(aMax, bMax)-max(aMin, bMin))
	}
	return least
}

func extent(corners [4]Point, axis Point) (low, high float64) {
	along := func(p, q Point) int { return cmp.Compare(p.dot(axis), q.dot(axis)) }
	return slices.MinFunc(corners[:], along).dot(axis), slices.MaxFunc(corners[:], along).dot(axis)
}
