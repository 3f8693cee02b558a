package layout

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
)

// Support says how lines of feet carry the modules.
type Support uint8

const (
	// Rails lie under the modules: a line carries the one row that it lies under.
	Rails Support = iota
	// Seams stand at the edges of modules: a line carries both rows that meet at
	// its seam.
	Seams
)

// Mount says how an array is carried. Lengths are in metres.
type Mount struct {
	Support Support
	// BreakAfter are the columns after which the rail or the row is cut for
	// thermal movement.
	BreakAfter []int
	// Past is how far past the last module of a line a foot still carries it,
	// such as the part of a rail that stands out; less than a quarter of a
	// module's width.
	Past float64
	// Reach is how far outside a module's edge a line at a seam still holds it,
	// over and above the gap between rows. Left out: 50 mm, half the breadth of a
	// common foot (common practice).
	Reach float64
}

const footReach = 0.05

// sameLine is the distance in metres within which two lines of feet cannot both
// stand: their feet would overlap.
const sameLine = 0.01

// reach is Reach, or what holds when it is left out.
func (m Mount) reach() float64 {
	if m.Reach == 0 {
		return footReach
	}
	return m.Reach
}

func (m Mount) valid() error {
	if m.Support > Seams {
		return errors.New("unknown kind of support")
	}
	return errors.Join(wantAtLeastZero("the reach past the last module", m.Past), wantAtLeastZero("the reach of a foot", m.Reach))
}

// Supports is an array with its feet: which line carries which modules, and
// which foot carries what.
type Supports struct {
	Array *Array
	Mount Mount
	Feet  []Foot
	Lines []Line
	Runs  []Run
	// Bearings are, for each module, the lines that carry it, from the lowest. A
	// run of modules without a foot carries nothing and is not among them.
	Bearings [][]Bearing
	// Idle are the feet that carry no module.
	Idle []int
	// Unsupported are the modules that no foot carries.
	Unsupported []int

	along []float64 // place of each foot along the rows, in the array frame
}

// Line is one line of feet along the rows.
type Line struct {
	Name   string
	Height float64 // mean of its feet, in the array frame
	Feet   []int   // in order along the line
	Runs   []int   // indices into Supports.Runs, in order along the line
}

// Run is an unbroken part of a line: modules that stand next to one another,
// between holes and thermal breaks, with the feet below them.
type Run struct {
	Line     int
	From, To float64 // of the modules, in the array frame
	Modules  []int
	Feet     []int
}

// Bearing is one line under one module.
type Bearing struct {
	Run int
	// FromBottom and FromTop are the distances of the line from the module's lower
	// and upper edge, up the slope positive inward; negative outside the module.
	FromBottom, FromTop float64
}

// Carry works out what stands on what.
//
// It is an error when a foot's place is not a number, when two feet of a line
// stand on the same place, when two lines stand within 10 mm of each other, or
// when Mount is out of its domain. Feet that carry
// nothing and modules that nothing carries are listed in the result.
func Carry(a *Array, feet []Foot, mount Mount) (*Supports, error) {
	if err := mount.valid(); err != nil {
		return nil, fmt.Errorf("array %s: %w", a.Name, err)
	}
	if mount.Past >= a.Width/4 {
		return nil, fmt.Errorf("array %s: the reach past the last module is %g m, want less than a quarter of a module's width", a.Name, mount.Past)
	}
	s := &Supports{Array: a, Mount: mount, Feet: feet, along: make([]float64, len(feet)), Bearings: make([][]Bearing, len(a.Modules))}
	if err := s.gather(); err != nil {
		return nil, fmt.Errorf("array %s: %w", a.Name, err)
	}
	s.divide()
	s.bear()
	return s, nil
}

// gather sorts the feet into lines, from the lowest line.
func (s *Supports) gather() error {
	byName := make(map[string]int)
	for i, f := range s.Feet {
		if !f.At.finite() {
			return fmt.Errorf("the place of %s is not a number", f.Name)
		}
		k, known := byName[f.Line]
		if !known {
			k = len(s.Lines)
			byName[f.Line] = k
			s.Lines = append(s.Lines, Line{Name: f.Line})
		}
		local := s.Array.Frame.ToArray(f.At)
		s.along[i] = local.X
		s.Lines[k].Height += local.Y
		s.Lines[k].Feet = append(s.Lines[k].Feet, i)
	}
	for k := range s.Lines {
		l := &s.Lines[k]
		l.Height /= float64(len(l.Feet))
		slices.SortStableFunc(l.Feet, func(i, j int) int { return cmp.Compare(s.along[i], s.along[j]) })
		for n := 1; n < len(l.Feet); n++ {
			if i, j := l.Feet[n-1], l.Feet[n]; s.along[j]-s.along[i] < touch {
				return fmt.Errorf("%s and %s stand on the same place of one line", s.Feet[i].Name, s.Feet[j].Name)
			}
		}
	}
	slices.SortStableFunc(s.Lines, func(k, l Line) int { return cmp.Compare(k.Height, l.Height) })
	for k := 1; k < len(s.Lines); k++ {
		if below, l := s.Lines[k-1], s.Lines[k]; l.Height-below.Height < sameLine {
			return fmt.Errorf("%s and %s stand at the same height: they are one line, or one is misplaced", below.Name, l.Name)
		}
	}
	return nil
}

// divide cuts the lines into runs and gives each run its feet.
func (s *Supports) divide() {
	heights := make([]float64, len(s.Lines))
	for i, l := range s.Lines {
		heights[i] = l.Height
	}
	onLine := s.Array.modulesOn(heights, s.Mount)
	for i := range s.Lines {
		l := &s.Lines[i]
		runs := s.Array.runs(onLine[i], s.Mount)
		for _, f := range l.Feet {
			if k := runAt(runs, s.along[f], s.Mount.Past); k >= 0 {
				runs[k].Feet = append(runs[k].Feet, f)
			} else {
				s.Idle = append(s.Idle, f)
			}
		}
		for _, r := range runs {
			r.Line = i
			l.Runs = append(l.Runs, len(s.Runs))
			s.Runs = append(s.Runs, r)
		}
	}
	slices.Sort(s.Idle)
}

// runAt gives the run that a foot at u carries, or -1: the one it stands on, or
// the nearer of two that it stands between; the left one when in the middle.
func runAt(runs []Run, u, past float64) int {
	k, _ := slices.BinarySearchFunc(runs, u-past-touch, func(r Run, u float64) int { return cmp.Compare(r.To, u) })
	if k == len(runs) || !runs[k].holds(u, past) {
		return -1
	}
	if next := k + 1; next < len(runs) && runs[next].holds(u, past) && runs[next].From-u < u-runs[k].To {
		return next
	}
	return k
}

func (r Run) holds(u, past float64) bool {
	return u >= r.From-past-touch && u <= r.To+past+touch
}

// bear lists the lines under each module and the modules that nothing carries.
func (s *Supports) bear() {
	for r, run := range s.Runs {
		if len(run.Feet) == 0 {
			continue
		}
		h := s.Lines[run.Line].Height
		for _, m := range run.Modules {
			rect := s.Array.Modules[m].Rect
			s.Bearings[m] = append(s.Bearings[m], Bearing{Run: r, FromBottom: h - rect.Min.Y, FromTop: rect.Max.Y - h})
		}
	}
	for m, b := range s.Bearings {
		if len(b) == 0 {
			s.Unsupported = append(s.Unsupported, m)
		}
	}
}

// modulesOn gives, for each of the sorted heights, the modules that a line at
// that height carries.
func (a *Array) modulesOn(heights []float64, mount Mount) [][]int {
	on := make([][]int, len(heights))
	for i, m := range a.Modules {
		first, end := carrying(heights, m.Rect, a.GapY, mount)
		for k := first; k < end; k++ {
			on[k] = append(on[k], i)
		}
	}
	return on
}

// carrying gives the range of the sorted heights that carry a module: every
// line under it and, for lines at seams, the one just outside either edge when
// it is nearer to that edge than any line under the module.
func carrying(heights []float64, rect Rect, gap float64, mount Mount) (first, end int) {
	low, high := rect.Min.Y, rect.Max.Y
	first, _ = slices.BinarySearch(heights, low-touch)
	end, _ = slices.BinarySearch(heights, high+touch)
	if mount.Support != Seams {
		return first, end
	}
	reach := mount.reach() + gap + touch
	lower, upper := math.Inf(1), math.Inf(1)
	if first < end {
		lower, upper = heights[first]-low, high-heights[end-1]
	}
	below, above := first-1, end
	if below >= 0 && low-heights[below] <= min(reach, lower) {
		first--
	}
	if above < len(heights) && heights[above]-high <= min(reach, upper) {
		end++
	}
	return first, end
}

// runs joins modules that stand next to one another along a line. A hole of
// half a module or more, or a thermal break, begins a new run.
func (a *Array) runs(modules []int, mount Mount) []Run {
	breaks := slices.Clone(mount.BreakAfter)
	slices.Sort(breaks)
	modules = slices.Clone(modules)
	slices.SortStableFunc(modules, func(i, j int) int {
		return cmp.Compare(a.Modules[i].Rect.Min.X, a.Modules[j].Rect.Min.X)
	})
	var runs []Run
	lastColumn := 0
	for _, i := range modules {
		m := a.Modules[i]
		n := len(runs) - 1
		if n < 0 || m.Rect.Min.X-runs[n].To >= a.Width/2 || broken(breaks, lastColumn, m.Cell.Column) {
			runs = append(runs, Run{From: m.Rect.Min.X, To: m.Rect.Max.X})
			n++
		}
		runs[n].To = max(runs[n].To, m.Rect.Max.X)
		runs[n].Modules = append(runs[n].Modules, i)
		lastColumn = m.Cell.Column
	}
	return runs
}

// Span is the distance between two feet next to each other on one run, m.
type Span struct {
	Run      int
	From, To int // feet
	Length   float64
}

// Spans gives the spans of all lines, in order of line and place.
func (s *Supports) Spans() []Span {
	spans := make([]Span, 0, len(s.Feet))
	for r, run := range s.Runs {
		for k := 1; k < len(run.Feet); k++ {
			i, j := run.Feet[k-1], run.Feet[k]
			spans = append(spans, Span{Run: r, From: i, To: j, Length: s.along[j] - s.along[i]})
		}
	}
	return spans
}

// Overhang is the part of a run past its first or last foot.
type Overhang struct {
	Run    int
	Foot   int
	Module int  // the module that overhangs
	Right  bool // at the right end
	Length float64
	// Beside is the span next to it, m; zero where the run has one foot only.
	Beside float64
}

// Overhangs gives both cantilevers of every run with feet, in metres; negative
// where a foot stands past the last module.
func (s *Supports) Overhangs() []Overhang {
	overhangs := make([]Overhang, 0, 2*len(s.Runs))
	for r, run := range s.Runs {
		n := len(run.Feet)
		if n == 0 {
			continue
		}
		first, last := run.Feet[0], run.Feet[n-1]
		left := Overhang{Run: r, Foot: first, Module: run.Modules[0], Length: s.along[first] - run.From}
		right := Overhang{Run: r, Foot: last, Module: s.rightmost(run), Right: true, Length: run.To - s.along[last]}
		if n > 1 {
			left.Beside = s.along[run.Feet[1]] - s.along[first]
			right.Beside = s.along[last] - s.along[run.Feet[n-2]]
		}
		overhangs = append(overhangs, left, right)
	}
	return overhangs
}

func (s *Supports) rightmost(run Run) int {
	best := run.Modules[len(run.Modules)-1]
	for k := len(run.Modules) - 1; k >= 0; k-- {
		m := run.Modules[k]
		if s.Array.Modules[m].Rect.Max.X > s.Array.Modules[best].Rect.Max.X+touch {
			best = m
		}
		if run.To-s.Array.Modules[m].Rect.Max.X > 2*s.Array.Width {
			break
		}
	}
	return best
}

// FeetUnder gives the feet of module m: those of its lines that stand below it
// or in the gap beside it. A foot at a seam belongs to both neighbours.
func (s *Supports) FeetUnder(m int) []int {
	rect := s.Array.Modules[m].Rect
	margin := s.Array.GapX + s.Mount.Past + touch
	var feet []int
	for _, b := range s.Bearings[m] {
		on := s.Runs[b.Run].Feet
		first, _ := slices.BinarySearchFunc(on, rect.Min.X-margin, func(f int, u float64) int { return cmp.Compare(s.along[f], u) })
		for k := first; k < len(on) && s.along[on[k]] <= rect.Max.X+margin; k++ {
			feet = append(feet, on[k])
		}
	}
	return feet
}

// Edge is one overhang of a module across the rows.
type Edge struct {
	Module int
	Upper  bool
	Length float64 // from the outermost line under the module to its edge, m; negative when the line stands outside
}

// EdgeOverhangs gives, for every carried module, how far it stands past its
// lowest and its highest line. A module on one line only is listed with both.
func (s *Supports) EdgeOverhangs() []Edge {
	edges := make([]Edge, 0, 2*len(s.Bearings))
	for m, b := range s.Bearings {
		if len(b) > 0 {
			edges = append(edges, Edge{m, false, b[0].FromBottom}, Edge{m, true, b[len(b)-1].FromTop})
		}
	}
	return edges
}
