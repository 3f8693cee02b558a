package layout

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
)

// Surveyed is one attachment point as measured on the roof. Height is measured
// square to the plane from any common datum; metres.
type Surveyed struct {
	At          Point
	Height      float64
	HeightKnown bool
}

// Match is a planned foot with the surveyed point taken to be it.
type Match struct {
	Planned, Surveyed int     // indices
	Moved             float64 // distance between them, m
	Along, Across     float64 // parts of it along and across the row, m; positive to the right and up
}

// AsBuilt is a survey compared with the plan.
type AsBuilt struct {
	Array   *Array
	Planned []Foot
	Survey  []Surveyed
	Matches []Match // in order of the planned feet
	Missing []int   // planned feet with no surveyed point
	Extra   []int   // surveyed points that belong to no planned foot
}

// Compare pairs surveyed points with planned feet: nearest pairs first, each
// used once, none farther apart than tolerance in metres.
//
// It is an error when tolerance is not positive, when there is nothing planned
// or surveyed, when a place or a known height is not a number, or when two
// surveyed points are the same.
func Compare(a *Array, planned []Foot, survey []Surveyed, tolerance float64) (*AsBuilt, error) {
	if err := checkSurvey(planned, survey, tolerance); err != nil {
		return nil, fmt.Errorf("array %s: %w", a.Name, err)
	}
	b := &AsBuilt{Array: a, Planned: planned, Survey: survey}
	points := make([]Point, len(survey))
	for i, s := range survey {
		points[i] = s.At
	}
	if twice := Closer(points, touch); len(twice) > 0 {
		return nil, fmt.Errorf("array %s: surveyed points %d and %d are the same", a.Name, twice[0].First+1, twice[0].Second+1)
	}
	t := newTree(points)
	var pairs []Pair
	for i, f := range planned {
		t.near(f.At, tolerance*(1+1e-9), func(j int, d float64) float64 {
			pairs = append(pairs, Pair{i, j, d})
			return tolerance * (1 + 1e-9)
		})
	}
	b.match(pairs)
	return b, nil
}

func checkSurvey(planned []Foot, survey []Surveyed, tolerance float64) error {
	if len(planned) == 0 || len(survey) == 0 {
		return fmt.Errorf("%d planned feet and %d surveyed points leave nothing to compare", len(planned), len(survey))
	}
	for _, f := range planned {
		if !f.At.finite() {
			return fmt.Errorf("the place of %s is not a number", f.Name)
		}
	}
	for i, s := range survey {
		if !s.At.finite() || s.HeightKnown && !finite(s.Height) {
			return fmt.Errorf("surveyed point %d is not a number", i+1)
		}
	}
	return wantPositive("the tolerance of the survey", tolerance)
}

// match takes the pairs from the nearest on, each foot and each point once.
func (b *AsBuilt) match(pairs []Pair) {
	slices.SortFunc(pairs, func(p, q Pair) int {
		return cmp.Or(cmp.Compare(p.Distance, q.Distance), cmp.Compare(p.First, q.First), cmp.Compare(p.Second, q.Second))
	})
	found, used := make([]bool, len(b.Planned)), make([]bool, len(b.Survey))
	for _, p := range pairs {
		if found[p.First] || used[p.Second] {
			continue
		}
		found[p.First], used[p.Second] = true, true
		from, to := b.Array.Frame.ToArray(b.Planned[p.First].At), b.Array.Frame.ToArray(b.Survey[p.Second].At)
		b.Matches = append(b.Matches, Match{p.First, p.Second, p.Distance, to.X - from.X, to.Y - from.Y})
	}
	slices.SortFunc(b.Matches, func(m, n Match) int { return cmp.Compare(m.Planned, n.Planned) })
	b.Missing, b.Extra = indicesOf(found, false), indicesOf(used, false)
}

func indicesOf(flags []bool, want bool) []int {
	var indices []int
	for i, f := range flags {
		if f == want {
			indices = append(indices, i)
		}
	}
	return indices
}

// Feet gives the feet as built, under the names and lines of the plan, for
// Carry: missing feet are left out. An extra foot joins the line whose matched
// feet it stands level with, within tolerance in metres; one that stands near no
// line is left out.
func (b *AsBuilt) Feet(tolerance float64) []Foot {
	feet := make([]Foot, 0, len(b.Matches)+len(b.Extra))
	type line struct {
		name        string
		sum, height float64
		count       int
	}
	var lines []*line
	byName := make(map[string]*line)
	for _, m := range b.Matches {
		f := b.Planned[m.Planned]
		f.At = b.Survey[m.Surveyed].At
		feet = append(feet, f)
		l := byName[f.Line]
		if l == nil {
			l = &line{name: f.Line}
			byName[f.Line], lines = l, append(lines, l)
		}
		l.sum += b.Array.Frame.ToArray(f.At).Y
		l.count++
	}
	for _, l := range lines {
		l.height = l.sum / float64(l.count)
	}
	slices.SortStableFunc(lines, func(k, l *line) int { return cmp.Compare(k.height, l.height) })
	for _, e := range b.Extra {
		at := b.Survey[e].At
		height := b.Array.Frame.ToArray(at).Y
		k, _ := slices.BinarySearchFunc(lines, height, func(l *line, h float64) int { return cmp.Compare(l.height, h) })
		best, off := "", tolerance
		for _, near := range lines[max(0, k-1):min(len(lines), k+1)] {
			if d := math.Abs(near.height - height); d <= off {
				best, off = near.name, d
			}
		}
		if best != "" {
			feet = append(feet, Foot{Name: b.Array.Name + " surveyed point " + strconv.Itoa(e+1), Line: best, At: at})
		}
	}
	return feet
}

// RowFit is how straight one line of feet stands.
type RowFit struct {
	Line  string
	Feet  []int // planned feet of the line that were found, in order along it
	Fit   LineFit
	Angle float64 // of the line against the array's rows, degrees, anticlockwise
	Shift float64 // of its middle across the rows from the plan, m, positive up
}

// Rows fits a straight line to the found feet of each planned line, in order of
// the lines: the string line as a check. Largest of the fit is the straightness.
// A line of which fewer than two feet were found is listed in short instead; two
// feet are always straight.
func (b *AsBuilt) Rows() (rows []RowFit, short []string, err error) {
	byLine := make(map[string][]Match)
	var names []string
	height := make(map[string]float64)
	for _, f := range b.Planned {
		if _, known := height[f.Line]; !known {
			names = append(names, f.Line)
			height[f.Line] = b.Array.Frame.ToArray(f.At).Y
		}
	}
	slices.SortStableFunc(names, func(m, n string) int { return cmp.Compare(height[m], height[n]) })
	for _, m := range b.Matches {
		line := b.Planned[m.Planned].Line
		byLine[line] = append(byLine[line], m)
	}
	for _, name := range names {
		matches := byLine[name]
		if len(matches) < 2 {
			short = append(short, name)
			continue
		}
		row, err := b.row(name, matches)
		if err != nil {
			return nil, nil, fmt.Errorf("array %s, %s: %w", b.Array.Name, name, err)
		}
		rows = append(rows, row)
	}
	return rows, short, nil
}

func (b *AsBuilt) row(name string, matches []Match) (RowFit, error) {
	row := RowFit{Line: name}
	local := make([]Point, len(matches))
	for i, m := range matches {
		local[i] = b.Array.Frame.ToArray(b.Survey[m.Surveyed].At)
		row.Shift += m.Across / float64(len(matches))
	}
	order := ordered(len(matches), func(i, j int) int { return cmp.Compare(local[i].X, local[j].X) })
	points := make([]Point, len(order))
	for k, i := range order {
		points[k] = local[i]
		row.Feet = append(row.Feet, matches[i].Planned)
	}
	fit, err := FitLine(points)
	if err != nil {
		return RowFit{}, err
	}
	row.Fit = fit
	row.Angle = math.Atan2(fit.Direction.Y, fit.Direction.X) * 180 / math.Pi
	return row, nil
}

// ErrNoHeight is returned when a survey does not state the height of every
// found foot.
var ErrNoHeight = errors.New("the survey does not state the height of every foot")

// Level fits a plane to the heights of all found feet (entries of the fit are in
// the order of Matches). Its range is held against the adjustment range of the
// mounting. A missing height gives ErrNoHeight.
func (b *AsBuilt) Level() (LevelFit, error) {
	points, heights := make([]Point, len(b.Matches)), make([]float64, len(b.Matches))
	for i, m := range b.Matches {
		s := b.Survey[m.Surveyed]
		if !s.HeightKnown {
			return LevelFit{}, fmt.Errorf("array %s, surveyed point %d: %w", b.Array.Name, m.Surveyed+1, ErrNoHeight)
		}
		points[i], heights[i] = s.At, s.Height
	}
	fit, err := FitLevel(points, heights)
	if err != nil {
		return LevelFit{}, fmt.Errorf("array %s: %w", b.Array.Name, err)
	}
	return fit, nil
}
