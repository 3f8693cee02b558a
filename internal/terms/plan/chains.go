package plan

import (
	"math"
	"slices"

	"plumbrule/internal/job"
	"plumbrule/internal/layout"
	"plumbrule/internal/roofplan"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/arrays"
)

// Chain is a row of dimensions along one straight line: the stops in plan view
// and, between each and the next, the distance on the surface.
type Chain struct {
	Stops   []Spot
	Lengths []float64 // metres, one fewer than stops
	First   int       // the stop at which the array begins; it ends at the next
}

// DrawnSize is what a roof plan says of an array in figures, metres on the
// surface.
type DrawnSize struct {
	Across Chain // along the rows, at the lower edge: edge of the plane, array, edge
	Up     Chain // up the slope, at the left side: edge of the plane, array, edge

	Width, Height float64 // of a module as it lies, along the rows and up the slope
	Rows, Columns int

	Lines []float64 // heights of the lines of feet above the lower edge
	Feet  Chain     // along the lowest line: array edge, every foot, array edge
	Even  float64   // the spacing of that line where it is even, else 0

	Rails     map[float64]int // how many rails there are of each length
	Overhangs [2]float64      // least and most that a rail reaches past its last foot
}

const sameLength = 0.0005 // metres; lengths closer than this are printed as one

// sizes are the dimensions of an array; nil where its modules are not known.
func sizes(c *terms.Call, a *job.Array, frame roofplan.Frame, outline []roofplan.Point, l *layout.Array) *DrawnSize {
	b := l.Bounds()
	out := &DrawnSize{Width: l.Width, Height: l.Height, Rails: map[float64]int{}}
	for _, m := range l.Modules {
		out.Rows, out.Columns = max(out.Rows, m.Cell.Row), max(out.Columns, m.Cell.Column)
	}
	corner := l.Corners()
	out.Across = between(frame, outline, corner[0], corner[1])
	out.Up = between(frame, outline, corner[0], corner[3])
	placed, needs := arrays.Feet.Try(c, a)
	if len(needs) > 0 || placed == nil {
		return out
	}
	lowest := math.Inf(1)
	for _, f := range placed.Feet {
		y := l.Frame.ToArray(f.At).Y
		lowest = math.Min(lowest, y)
		if !slices.ContainsFunc(out.Lines, func(h float64) bool { return math.Abs(h-(y-b.Min.Y)) < 0.01 }) {
			out.Lines = append(out.Lines, y-b.Min.Y)
		}
	}
	slices.Sort(out.Lines)
	var along []float64
	for _, f := range placed.Feet {
		if p := l.Frame.ToArray(f.At); p.Y-lowest < 0.01 {
			along = append(along, p.X)
		}
	}
	slices.Sort(along)
	stops := append(append([]float64{b.Min.X}, along...), b.Max.X)
	for i, x := range stops {
		out.Feet.Stops = append(out.Feet.Stops, Spot(frame.ToPlan(roofplan.Point(l.Frame.ToSurface(layout.Point{X: x, Y: lowest})))))
		if i > 0 {
			out.Feet.Lengths = append(out.Feet.Lengths, x-stops[i-1])
		}
	}
	if inner := out.Feet.Lengths[1 : len(out.Feet.Lengths)-1]; len(inner) > 0 && slices.Max(inner)-slices.Min(inner) < sameLength {
		out.Even = inner[0]
	}
	if carried, needs := arrays.Carried.Try(c, a); len(needs) == 0 && carried != nil {
		part := c.Part()
		past := arrays.RailPast(part, a)
		if part.Stop() {
			return out
		}
		rails, err := carried.Supports.Rails(past)
		if err != nil {
			return out
		}
		out.Overhangs[0] = math.Inf(1)
		for _, r := range rails {
			length := math.Round((r.To-r.From)/sameLength) * sameLength
			out.Rails[length]++
			for _, over := range []float64{r.Feet[0] - r.From, r.To - r.Feet[len(r.Feet)-1]} {
				out.Overhangs[0], out.Overhangs[1] = math.Min(out.Overhangs[0], over), math.Max(out.Overhangs[1], over)
			}
		}
	}
	return out
}

// between is the chain along the line through two corners of an array: from
// where it enters the plane to where it leaves it. A side at which the array
// reaches past the plane has no stop there.
func between(frame roofplan.Frame, outline []roofplan.Point, a, b layout.Point) Chain {
	l := math.Hypot(b.X-a.X, b.Y-a.Y)
	ux, uy := (b.X-a.X)/l, (b.Y-a.Y)/l
	at := []float64{0, l}
	before, after := math.Inf(-1), math.Inf(1)
	for i, p := range outline {
		q := outline[(i+1)%len(outline)]
		// how far each end lies to the left of the line
		s, t := ux*(p.Y-a.Y)-uy*(p.X-a.X), ux*(q.Y-a.Y)-uy*(q.X-a.X)
		if (s <= 0) == (t <= 0) {
			continue
		}
		k := s / (s - t)
		on := ux*(p.X+k*(q.X-p.X)-a.X) + uy*(p.Y+k*(q.Y-p.Y)-a.Y)
		if on <= sameLength {
			before = math.Max(before, on)
		}
		if on >= l-sameLength {
			after = math.Min(after, on)
		}
	}
	if !math.IsInf(before, 0) && before < -sameLength {
		at = append([]float64{before}, at...)
	}
	if !math.IsInf(after, 0) && after > l+sameLength {
		at = append(at, after)
	}
	var out Chain
	for i, on := range at {
		if on == 0 {
			out.First = i
		}
		out.Stops = append(out.Stops, Spot(frame.ToPlan(roofplan.Point{X: a.X + on*ux, Y: a.Y + on*uy})))
		if i > 0 {
			out.Lengths = append(out.Lengths, on-at[i-1])
		}
	}
	return out
}
