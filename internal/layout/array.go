package layout

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
)

// Orientation says which side of a module runs up the slope.
type Orientation uint8

const (
	Portrait  Orientation = iota // long side up the slope
	Landscape                    // long side along the row
)

// Size gives the width along the row and the height up the slope of a module
// whose sides are long and short, in metres.
func (o Orientation) Size(long, short float64) (width, height float64) {
	if o == Landscape {
		return long, short
	}
	return short, long
}

// Cell is a place of the grid; row 1 is the lowest, column 1 the leftmost.
type Cell struct{ Row, Column int }

// Pattern describes an array as a roof plan does. Lengths are in metres, the
// rotation of the frame in degrees.
type Pattern struct {
	Name          string
	Frame         Frame
	Rows, Columns int
	Width, Height float64   // of one module: along the row, up the slope
	GapX, GapY    float64   // between columns, between rows
	RowShift      []float64 // shift of each row along itself; left out: none
	Omit          []Cell    // places without a module
}

// Placed is one module of an array that is given module by module. At is its
// lower left corner in the array frame.
type Placed struct {
	Cell Cell
	At   Point
}

// Module is one module of an array.
type Module struct {
	Array   string
	Cell    Cell
	Rect    Rect     // in the array frame
	Corners [4]Point // on the surface, anticlockwise from the lower left
}

// Name is the module's own name, such as "south r1c3".
func (m Module) Name() string {
	return m.Array + " r" + strconv.Itoa(m.Cell.Row) + "c" + strconv.Itoa(m.Cell.Column)
}

// Array is a set of equal modules square to one another. Modules are in order
// of row, then of place along the row.
type Array struct {
	Name          string
	Frame         Frame
	Width, Height float64 // of one module, m
	GapX, GapY    float64 // nominal gaps, m
	Modules       []Module

	index map[Cell]int
	rows  [][]int // modules of each row that has any, from the lowest, in order along the row
}

// New lays the modules out.
//
// It is an error when a size is not positive, a gap is negative, the grid is
// empty, an omitted place is named twice or is not in the grid, or modules of
// neighbouring rows could not be told apart.
func (p Pattern) New() (*Array, error) {
	if err := p.valid(); err != nil {
		return nil, fmt.Errorf("array %s: %w", p.Name, err)
	}
	omitted := make(map[Cell]bool, len(p.Omit))
	for _, c := range p.Omit {
		omitted[c] = true
	}
	placed := make([]Placed, 0, p.Rows*p.Columns-len(p.Omit))
	for row := 1; row <= p.Rows; row++ {
		shift := 0.0
		if len(p.RowShift) > 0 {
			shift = p.RowShift[row-1]
		}
		for column := 1; column <= p.Columns; column++ {
			cell := Cell{row, column}
			if omitted[cell] {
				continue
			}
			placed = append(placed, Placed{cell, Point{
				shift + float64(column-1)*(p.Width+p.GapX),
				float64(row-1) * (p.Height + p.GapY),
			}})
		}
	}
	return p.place(placed)
}

func (p Pattern) validModule() error {
	if !p.Frame.Origin.finite() || !finite(p.Frame.Rotation) {
		return errors.New("the origin or the rotation is not a number")
	}
	return errors.Join(
		wantPositive("the module's width", p.Width),
		wantPositive("the module's height", p.Height),
		wantAtLeastZero("the gap between columns", p.GapX),
		wantAtLeastZero("the gap between rows", p.GapY),
	)
}

func (p Pattern) valid() error {
	if err := p.validModule(); err != nil {
		return err
	}
	if p.Rows < 1 || p.Columns < 1 {
		return fmt.Errorf("%d rows of %d columns, want at least one of each", p.Rows, p.Columns)
	}
	if p.Columns > maxPlaces || p.Rows > maxPlaces/p.Columns {
		return fmt.Errorf("%d rows of %d columns are more than %d places", p.Rows, p.Columns, maxPlaces)
	}
	if n := len(p.RowShift); n > 0 && n != p.Rows {
		return fmt.Errorf("%d row shifts for %d rows", n, p.Rows)
	}
	for i, s := range p.RowShift {
		if !finite(s) {
			return fmt.Errorf("the shift of row %d is not a number", i+1)
		}
	}
	seen := make(map[Cell]bool, len(p.Omit))
	for _, c := range p.Omit {
		if c.Row < 1 || c.Row > p.Rows || c.Column < 1 || c.Column > p.Columns {
			return fmt.Errorf("omitted place row %d column %d is not in the grid of %d rows and %d columns", c.Row, c.Column, p.Rows, p.Columns)
		}
		if seen[c] {
			return fmt.Errorf("row %d column %d is omitted twice", c.Row, c.Column)
		}
		seen[c] = true
	}
	return nil
}

func (p Pattern) place(placed []Placed) (*Array, error) {
	if len(placed) == 0 {
		return nil, fmt.Errorf("array %s: no module is left", p.Name)
	}
	a := &Array{
		Name: p.Name, Frame: p.Frame, Width: p.Width, Height: p.Height, GapX: p.GapX, GapY: p.GapY,
		Modules: make([]Module, len(placed)), index: make(map[Cell]int, len(placed)),
	}
	placed = slices.Clone(placed)
	slices.SortStableFunc(placed, func(x, y Placed) int {
		return cmp.Or(cmp.Compare(x.Cell.Row, y.Cell.Row), cmp.Compare(x.At.X, y.At.X), cmp.Compare(x.Cell.Column, y.Cell.Column))
	})
	sin, cos := sincos(p.Frame.Rotation)
	along, up := Point{cos, sin}.scale(p.Width), Point{-sin, cos}.scale(p.Height)
	for i, m := range placed {
		if !m.At.finite() {
			return nil, fmt.Errorf("array %s: the place of row %d column %d is not a number", p.Name, m.Cell.Row, m.Cell.Column)
		}
		if _, twice := a.index[m.Cell]; twice {
			return nil, fmt.Errorf("array %s: row %d column %d is given twice", p.Name, m.Cell.Row, m.Cell.Column)
		}
		corner := p.Frame.Origin.add(Point{m.At.X*cos - m.At.Y*sin, m.At.X*sin + m.At.Y*cos})
		a.Modules[i] = Module{
			Array: p.Name, Cell: m.Cell,
			Rect:    Rect{m.At, Point{m.At.X + p.Width, m.At.Y + p.Height}},
			Corners: [4]Point{corner, corner.add(along), corner.add(along).add(up), corner.add(up)},
		}
		a.index[m.Cell] = i
		if i == 0 || placed[i-1].Cell.Row != m.Cell.Row {
			a.rows = append(a.rows, nil)
		}
		last := len(a.rows) - 1
		a.rows[last] = append(a.rows[last], i)
	}
	return a, nil
}

// At gives the index of the module at a place of the grid.
func (a *Array) At(row, column int) (int, bool) {
	i, ok := a.index[Cell{row, column}]
	return i, ok
}

// Area is the face area of all modules, m2.
func (a *Array) Area() float64 { return float64(len(a.Modules)) * a.Width * a.Height }

// Bounds is the least rectangle around the modules in the array frame.
func (a *Array) Bounds() Rect {
	r := a.Modules[0].Rect
	for _, m := range a.Modules[1:] {
		r = r.union(m.Rect)
	}
	return r
}

// Corners are the corners of Bounds on the surface, anticlockwise from the
// lower left.
func (a *Array) Corners() [4]Point {
	b := a.Bounds()
	return [4]Point{
		a.Frame.ToSurface(b.Min),
		a.Frame.ToSurface(Point{b.Max.X, b.Min.Y}),
		a.Frame.ToSurface(b.Max),
		a.Frame.ToSurface(Point{b.Min.X, b.Max.Y}),
	}
}

// Position says where in the array a module stands.
type Position uint8

const (
	Inner  Position = iota // neighbours on both sides along the row
	End                    // none on one side along the row
	Corner                 // an end module with none below or none above
)

// Position gives the place of module i among its neighbours. A missing module
// makes its neighbours end modules.
func (a *Array) Position(i int) Position {
	c := a.Modules[i].Cell
	has := func(row, column int) bool { _, ok := a.At(row, column); return ok }
	switch {
	case has(c.Row, c.Column-1) && has(c.Row, c.Column+1):
		return Inner
	case has(c.Row-1, c.Column) && has(c.Row+1, c.Column):
		return End
	}
	return Corner
}

// Gap is the measured distance between two neighbouring modules, in metres;
// negative when they overlap.
type Gap struct {
	From, To  int  // module indices
	AcrossRow bool // between rows; otherwise between modules of one row
	Width     float64
}

// Gaps measures, from the positions, the distance between each pair of
// neighbours: next to each other in one row, or facing each other in
// neighbouring rows. The hole that a missing module leaves is not a gap.
func (a *Array) Gaps() []Gap {
	gaps := make([]Gap, 0, 2*len(a.Modules))
	for r, row := range a.rows {
		for k := 1; k < len(row); k++ {
			left, right := a.Modules[row[k-1]], a.Modules[row[k]]
			if w := right.Rect.Min.X - left.Rect.Max.X; w < a.Width/2 {
				gaps = append(gaps, Gap{From: row[k-1], To: row[k], Width: w})
			}
		}
		if r+1 < len(a.rows) {
			gaps = a.facing(gaps, row, a.rows[r+1])
		}
	}
	return gaps
}

// facing walks two rows, both sorted along the row, and adds the gap of every
// pair that overlaps in that direction.
func (a *Array) facing(gaps []Gap, lower, upper []int) []Gap {
	for i, j := 0, 0; i < len(lower) && j < len(upper); {
		l, u := a.Modules[lower[i]].Rect, a.Modules[upper[j]].Rect
		if min(l.Max.X, u.Max.X)-max(l.Min.X, u.Min.X) > touch {
			if w := u.Min.Y - l.Max.Y; w < a.Height/2 {
				gaps = append(gaps, Gap{From: lower[i], To: upper[j], AcrossRow: true, Width: w})
			}
		}
		if l.Max.X < u.Max.X {
			i++
		} else {
			j++
		}
	}
	return gaps
}

// Stretch is a part of a row that moves as one piece with temperature.
type Stretch struct {
	Row                  int
	FromColumn, ToColumn int
	Length               float64 // m
}

// Stretches gives the continuous lengths of each row between thermal breaks
// after the given columns. With bridged, a row runs on past a missing module,
// as a rail does; otherwise a missing module ends the stretch.
func (a *Array) Stretches(breakAfter []int, bridged bool) []Stretch {
	breaks := slices.Clone(breakAfter)
	slices.Sort(breaks)
	var stretches []Stretch
	for _, row := range a.rows {
		start := row[0]
		for k := 1; k <= len(row); k++ {
			last := row[k-1]
			if k < len(row) && a.continues(last, row[k], breaks, bridged) {
				continue
			}
			first, end := a.Modules[start], a.Modules[last]
			stretches = append(stretches, Stretch{
				Row: first.Cell.Row, FromColumn: first.Cell.Column, ToColumn: end.Cell.Column,
				Length: end.Rect.Max.X - first.Rect.Min.X,
			})
			if k < len(row) {
				start = row[k]
			}
		}
	}
	return stretches
}

func (a *Array) continues(left, right int, breaks []int, bridged bool) bool {
	l, r := a.Modules[left], a.Modules[right]
	if broken(breaks, l.Cell.Column, r.Cell.Column) {
		return false
	}
	return bridged || r.Rect.Min.X-l.Rect.Max.X < a.Width/2
}

// broken tells whether a break after one of the sorted columns lies between
// columns left and right.
func broken(breaks []int, left, right int) bool {
	i, _ := slices.BinarySearch(breaks, left)
	return i < len(breaks) && breaks[i] < right
}

// Squareness compares the two diagonals of a four-cornered figure.
type Squareness struct {
	First, Second float64 // diagonal from the first corner, from the second, m
	Difference    float64 // first less second, m
	Angle         float64 // angle at the first corner less 90, degrees
}

// Square measures how square four corners are, given anticlockwise from the
// lower left. Corners that coincide or are not numbers are an error.
func Square(corners [4]Point) (Squareness, error) {
	for i, c := range corners {
		if !c.finite() {
			return Squareness{}, fmt.Errorf("corner %d is not a number", i+1)
		}
		for _, d := range corners[:i] {
			if c.distance(d) < touch {
				return Squareness{}, fmt.Errorf("corner %d falls on another corner", i+1)
			}
		}
	}
	s := Squareness{First: corners[0].distance(corners[2]), Second: corners[1].distance(corners[3])}
	s.Difference = s.First - s.Second
	along, up := corners[1].sub(corners[0]), corners[3].sub(corners[0])
	s.Angle = math.Atan2(along.cross(up), along.dot(up))*180/math.Pi - 90
	return s, nil
}
