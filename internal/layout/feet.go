package layout

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
)

// LineTolerance is the distance across the rows, in metres, within which feet
// that name no line are taken to stand on one line (100 mm, about 4 in; common
// practice: no two lines of a mounting stand closer).
const LineTolerance = 0.1

// LinePattern describes the feet of one line. All lengths are in metres.
type LinePattern struct {
	Name    string  // left out: its number, from the lowest line
	Height  float64 // above the array's lower edge
	First   float64 // of the first foot from the array's left edge
	Spacing float64 // between feet
	Count   int     // number of feet; 0: as many as fit before the right edge
}

// FootPattern describes the feet of an array by one spacing for all lines.
type FootPattern struct {
	Lines   []float64 // heights of the lines above the array's lower edge
	First   float64   // of the first foot of a line from the array's left edge
	Spacing float64
	Stagger float64 // shift of every second line
	Count   int     // feet on each line; 0: as many as fit
}

// Expand gives the pattern line by line, from the lowest, so that single lines
// can be changed before the feet are placed.
func (p FootPattern) Expand() []LinePattern {
	heights := slices.Clone(p.Lines)
	slices.Sort(heights)
	lines := make([]LinePattern, len(heights))
	for i, h := range heights {
		first := p.First
		if i%2 == 1 {
			first += p.Stagger
		}
		lines[i] = LinePattern{Height: h, First: first, Spacing: p.Spacing, Count: p.Count}
	}
	return lines
}

// RailLines gives the heights, above the array's lower edge, of rails that lie
// under every row at the given distances from the lower edge of its modules.
func (a *Array) RailLines(fromModuleEdge ...float64) []float64 {
	var heights []float64
	edge := a.Bounds().Min.Y
	for _, row := range a.rows {
		bottom := a.Modules[row[0]].Rect.Min.Y - edge
		for _, d := range fromModuleEdge {
			heights = append(heights, bottom+d)
		}
	}
	return heights
}

// SeamLines gives the heights, above the array's lower edge, of the lines of a
// rail-less mounting: the array's lower edge, the middle of each seam, and its
// upper edge.
func (a *Array) SeamLines() []float64 {
	heights := []float64{0}
	edge := a.Bounds().Min.Y
	for r, row := range a.rows {
		top := a.Modules[row[0]].Rect.Max.Y - edge
		if r+1 == len(a.rows) {
			return append(heights, top)
		}
		if next := a.Modules[a.rows[r+1][0]].Rect.Min.Y - edge; next-top < a.Height/2 {
			heights = append(heights, (top+next)/2)
		} else {
			heights = append(heights, top, next)
		}
	}
	return heights
}

// Foot is one attachment of an array to the roof.
type Foot struct {
	Name string
	Line string // name of the line it stands on
	At   Point  // on the surface
}

// Mark is a foot that is given point by point. Either every mark of an array
// names its line or none does.
type Mark struct {
	At   Point
	Line string // left out: by its height
	Name string // left out: its number on the line
}

// PlaceFeet places the feet of a pattern on an array. A foot that would stand
// where no module rests on its line, because modules are left out there, is
// not placed.
//
// It is an error when a length is not a number, a spacing is not positive, a
// line carries no module, a foot stands past the array, or two lines share a
// name.
func PlaceFeet(a *Array, lines []LinePattern, mount Mount) ([]Foot, error) {
	if len(lines) == 0 {
		return nil, fmt.Errorf("array %s: no line of feet", a.Name)
	}
	if err := mount.valid(); err != nil {
		return nil, fmt.Errorf("array %s: %w", a.Name, err)
	}
	lines = slices.Clone(lines)
	slices.SortStableFunc(lines, func(k, l LinePattern) int { return cmp.Compare(k.Height, l.Height) })
	bounds := a.Bounds()
	heights := make([]float64, len(lines))
	named := make(map[string]bool, len(lines))
	for i := range lines {
		l := &lines[i]
		if l.Name == "" {
			l.Name = "line " + strconv.Itoa(i+1)
		}
		if named[l.Name] {
			return nil, fmt.Errorf("array %s: two lines are named %s", a.Name, l.Name)
		}
		named[l.Name] = true
		heights[i] = bounds.Min.Y + l.Height
	}
	var feet []Foot
	onLine := a.modulesOn(heights, mount)
	for i, l := range lines {
		places, err := l.places(bounds.Width(), mount.Past)
		if err != nil {
			return nil, fmt.Errorf("array %s, %s: %w", a.Name, l.Name, err)
		}
		before := len(feet)
		runs := a.runs(onLine[i], mount)
		for _, u := range places {
			at := bounds.Min.X + u
			if runAt(runs, at, mount.Past) < 0 {
				continue
			}
			feet = append(feet, Foot{
				Name: a.Name + " " + l.Name + " foot " + strconv.Itoa(len(feet)-before+1),
				Line: l.Name,
				At:   a.Frame.ToSurface(Point{at, heights[i]}),
			})
		}
		if len(feet) == before {
			return nil, fmt.Errorf("array %s: %s, %.3f m above the lower edge, carries no module", a.Name, l.Name, l.Height)
		}
	}
	return feet, nil
}

// places gives the distances of the feet of a line from the array's left edge.
func (l LinePattern) places(width, past float64) ([]float64, error) {
	if !finite(l.Height) || !finite(l.First) {
		return nil, errors.New("its height or first offset is not a number")
	}
	if l.Count < 0 {
		return nil, fmt.Errorf("%d feet", l.Count)
	}
	if l.Count != 1 {
		if err := wantPositive("the spacing", l.Spacing); err != nil {
			return nil, err
		}
	}
	count := l.Count
	if count == 0 {
		fit := math.Floor((width-l.First)/l.Spacing + touch)
		if fit > maxPlaces {
			return nil, fmt.Errorf("a spacing of %g m gives more than %d feet", l.Spacing, maxPlaces)
		}
		count = max(0, int(fit)+1)
	}
	if count > maxPlaces {
		return nil, fmt.Errorf("more than %d feet", maxPlaces)
	}
	places := make([]float64, count)
	for k := range places {
		places[k] = l.First
		if k > 0 {
			places[k] += float64(k) * l.Spacing
		}
		if d := max(-places[k], places[k]-width) - past; d > touch {
			return nil, fmt.Errorf("foot %d stands %.3f m past the array", k+1, d+past)
		}
	}
	return places, nil
}

// PlaceMarks makes feet of points that are given one by one. Marks without a
// line are gathered into lines by their height, within tolerance (LineTolerance
// if zero). Feet come back in the order of the marks.
//
// It is an error when a point is not a number, or when some marks name a line
// and others do not.
func PlaceMarks(a *Array, marks []Mark, tolerance float64) ([]Foot, error) {
	if len(marks) == 0 {
		return nil, fmt.Errorf("array %s: no foot", a.Name)
	}
	if err := wantAtLeastZero("the line tolerance", tolerance); err != nil {
		return nil, fmt.Errorf("array %s: %w", a.Name, err)
	}
	if tolerance == 0 {
		tolerance = LineTolerance
	}
	feet := make([]Foot, len(marks))
	local := make([]Point, len(marks))
	for i, m := range marks {
		if !m.At.finite() {
			return nil, fmt.Errorf("array %s: the place of foot %d is not a number", a.Name, i+1)
		}
		if (m.Line == "") != (marks[0].Line == "") {
			return nil, fmt.Errorf("array %s: foot %d and foot 1: either every foot names its line or none does", a.Name, i+1)
		}
		feet[i] = Foot{Name: m.Name, Line: m.Line, At: m.At}
		local[i] = a.Frame.ToArray(m.At)
	}
	if marks[0].Line == "" {
		nameLines(feet, local, tolerance)
	}
	nameFeet(a, feet, local)
	return feet, nil
}

// nameLines gathers feet into lines: sorted by height, a step of more than
// tolerance begins a new line.
func nameLines(feet []Foot, local []Point, tolerance float64) {
	order := ordered(len(feet), func(i, j int) int { return cmp.Compare(local[i].Y, local[j].Y) })
	line := 0
	for k, i := range order {
		if k == 0 || local[i].Y-local[order[k-1]].Y > tolerance {
			line++
		}
		feet[i].Line = "line " + strconv.Itoa(line)
	}
}

// nameFeet numbers the feet without a name along their line.
func nameFeet(a *Array, feet []Foot, local []Point) {
	order := ordered(len(feet), func(i, j int) int { return cmp.Compare(local[i].X, local[j].X) })
	count := make(map[string]int)
	for _, i := range order {
		count[feet[i].Line]++
		if feet[i].Name == "" {
			feet[i].Name = a.Name + " " + feet[i].Line + " foot " + strconv.Itoa(count[feet[i].Line])
		}
	}
}

// ordered gives 0..n-1 sorted by compare; equal ones keep their order.
func ordered(n int, compare func(i, j int) int) []int {
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, compare)
	return order
}

// Pair is two things, by index, and their distance in metres.
type Pair struct {
	First, Second int
	Distance      float64
}

// Duplicates gives every pair of feet that stand on the same place, within
// tolerance in metres (a micrometre if zero).
func Duplicates(feet []Foot, tolerance float64) []Pair {
	return Closer(places(feet), max(tolerance, touch))
}

func places(feet []Foot) []Point {
	points := make([]Point, len(feet))
	for i, f := range feet {
		points[i] = f.At
	}
	return points
}
