package layout

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
)

// Lines through published data by total least squares.
func TestFitLinePublished(t *testing.T) {
	for _, c := range []struct {
		source           string
		x, y             []float64
		slope, intercept float64
		tolerance        float64
	}{
		// Test suite of the public package LinearFitXYerrors.jl ("test data with no
		// errors"): the same weight on both coordinates.
		{"LinearFitXYerrors.jl", []float64{16.4, 17.2, 17.6, 18.0, 18.2, 18.5}, []float64{2.67, 2.75, 2.99, 3.14, 3.88, 4.23},
			0.8095151657762, -11.0112760092831, 1e-10},
		// Data of K. Pearson, "On lines and planes of closest fit to systems of points
		// in space", Philosophical Magazine, 1901, as given in the same test suite; the
		// unweighted line from memory, to the digits shown.
		{"Pearson 1901", []float64{0, 0.9, 1.8, 2.6, 3.3, 4.4, 5.2, 6.1, 6.5, 7.4}, []float64{5.9, 5.4, 4.4, 4.6, 3.5, 3.7, 2.8, 2.8, 2.4, 1.5},
			-0.5456, 5.784, 5e-5},
	} {
		t.Run(c.source, func(t *testing.T) {
			points := make([]Point, len(c.x))
			for i := range points {
				points[i] = Point{c.x[i], c.y[i]}
			}
			fit, err := FitLine(points)
			if err != nil {
				t.Fatal(err)
			}
			slope := fit.Direction.Y / fit.Direction.X
			if !near(slope, c.slope, c.tolerance) || !near(fit.Through.Y-slope*fit.Through.X, c.intercept, c.tolerance) {
				t.Errorf("y = %.10f + %.10f x, want %g + %g x", fit.Through.Y-slope*fit.Through.X, slope, c.intercept, c.slope)
			}
		})
	}
}

// Worked by hand: three feet, the middle one 30 mm off the string. The fitted
// line takes a third of it: the middle is 20 mm off, the ends 10 mm.
func TestStraightnessByHand(t *testing.T) {
	fit, err := FitLine([]Point{{0, 0}, {2, 0.03}, {4, 0}})
	if err != nil || !near(fit.Largest, 0.02, 1e-12) || fit.Worst != 1 || !near(fit.Distances[0], -0.01, 1e-12) {
		t.Errorf("%+v %v", fit, err)
	}
	up, err := FitLine([]Point{{1, 4}, {1, 0}, {1, 2}})
	if err != nil || up.Largest > 1e-15 || up.Direction.Y < 1-1e-15 {
		t.Errorf("straight up the slope: %+v %v", up, err)
	}
}

// No line through a finely turned and moved set of others lies nearer.
func TestFitLineIsLeast(t *testing.T) {
	random := rand.New(rand.NewPCG(13, 1))
	for range 50 {
		points := randomPoints(random, 3+random.IntN(10), 5)
		fit, err := FitLine(points)
		if err != nil {
			continue // points on a grid may all fall on one place
		}
		squares := func(through, direction Point) float64 {
			total := 0.0
			for _, p := range points {
				d := direction.cross(p.sub(through))
				total += d * d
			}
			return total
		}
		best := squares(fit.Through, fit.Direction)
		for k := range 720 {
			sin, cos := math.Sincos(float64(k) * math.Pi / 720)
			for _, shift := range []float64{-0.01, 0, 0.01} {
				if other := squares(fit.Through.add(Point{-sin * shift, cos * shift}), Point{cos, sin}); other < best-1e-9 {
					t.Fatalf("a line at %g degrees has %g, the fit %g", float64(k)/4, other, best)
				}
			}
		}
	}
}

func TestFitErrors(t *testing.T) {
	nan := math.NaN()
	for name, points := range map[string][]Point{
		"none": nil, "one": {{1, 1}}, "one place": {{1, 1}, {1, 1}, {1, 1}}, "no direction": {{0, 0}, {1, 0}, {1, 1}, {0, 1}}, "not a number": {{0, 0}, {nan, 1}},
	} {
		if _, err := FitLine(points); err == nil {
			t.Errorf("line of %s: no error", name)
		}
	}
	three := []Point{{0, 0}, {1, 0}, {0, 1}}
	for name, c := range map[string]struct {
		p []Point
		h []float64
	}{
		"two": {three[:2], []float64{0, 0}}, "lengths": {three, []float64{0, 0}}, "height not a number": {three, []float64{0, nan, 0}},
		"place not a number": {[]Point{{0, 0}, {1, nan}, {0, 1}}, []float64{0, 0, 0}}, "one place": {[]Point{{1, 1}, {1, 1}, {1, 1}}, []float64{0, 1, 2}},
	} {
		if _, err := FitLevel(c.p, c.h); err == nil {
			t.Errorf("level of %s: no error", name)
		}
	}
}

// Worked by hand: the corners of a square with one 40 mm high. A plane takes up
// all but a quarter: deviations of 10 mm, alternating; range 20 mm.
func TestLevelByHand(t *testing.T) {
	fit, err := FitLevel([]Point{{0, 0}, {2, 0}, {2, 2}, {0, 2}}, []float64{0.04, 0, 0, 0})
	if err != nil || fit.Line || !near(fit.Range, 0.02, 1e-12) || !near(fit.Slopes.X, -0.01, 1e-12) || !near(fit.Deviations[0], 0.01, 1e-12) {
		t.Errorf("%+v %v", fit, err)
	}
	// A single line of feet, 30 mm of sag in the middle: as TestStraightnessByHand.
	fit, err = FitLevel([]Point{{0, 1}, {2, 1.002}, {4, 1}}, []float64{1, 0.97, 1})
	if err != nil || !fit.Line || !near(fit.Range, 0.03, 1e-6) || fit.Lowest != 1 {
		t.Errorf("%+v %v", fit, err)
	}
}

// The normal equations of least squares: deviations add up to nothing, alone and
// against either coordinate. A tilted plane has no deviations.
func TestLevelNormalEquations(t *testing.T) {
	random := rand.New(rand.NewPCG(14, 1))
	for range 50 {
		points := randomPoints(random, 6+random.IntN(20), 30)
		heights, tilted := make([]float64, len(points)), make([]float64, len(points))
		for i, p := range points {
			tilted[i] = 3 + 0.1*p.X - 0.2*p.Y
			heights[i] = tilted[i] + 0.01*random.NormFloat64()
		}
		fit, err := FitLevel(points, heights)
		if err != nil {
			t.Fatal(err)
		}
		var alone, x, y float64
		for i, d := range fit.Deviations {
			alone, x, y = alone+d, x+d*points[i].X, y+d*points[i].Y
		}
		if math.Abs(alone) > 1e-9 || math.Abs(x) > 1e-7 || math.Abs(y) > 1e-7 {
			t.Fatalf("sums of deviations %g, %g, %g", alone, x, y)
		}
		if flat, err := FitLevel(points, tilted); err != nil || flat.Range > 1e-9 {
			t.Fatalf("a tilted plane has a range of %g m (%v)", flat.Range, err)
		}
	}
}

func surveyOf(feet []Foot) []Surveyed {
	survey := make([]Surveyed, len(feet))
	for i, f := range feet {
		survey[i] = Surveyed{At: f.At, HeightKnown: true}
	}
	return survey
}

// Worked by hand: two rails with five feet each; one foot moved, one missing, one
// extra.
func TestCompareByHand(t *testing.T) {
	a := mustArray(t, plain(1, 5))
	planned := mustFeet(t, a, FootPattern{Lines: []float64{0.5, 1.5}, First: 0.5, Spacing: 1}.Expand(), Mount{})
	survey := surveyOf(planned)
	survey[2].At = survey[2].At.add(Point{0.06, 0.08}) // third foot of the lower rail, 100 mm off
	survey[9] = Surveyed{At: Point{4.5, 1.2}}          // last of the upper rail, 300 mm off: missing and extra
	slices.Reverse(survey)
	b, err := Compare(a, planned, survey, 0.1)
	if err != nil {
		t.Fatal(err)
	}
	if len(b.Matches) != 9 || !slices.Equal(b.Missing, []int{9}) || !slices.Equal(b.Extra, []int{0}) {
		t.Fatalf("%d matches, missing %v, extra %v", len(b.Matches), b.Missing, b.Extra)
	}
	if m := b.Matches[2]; !near(m.Moved, 0.1, 1e-9) || !near(m.Along, 0.06, 1e-9) || !near(m.Across, 0.08, 1e-9) {
		t.Errorf("moved foot: %+v", m)
	}
	rows, short, err := b.Rows()
	if err != nil || len(rows) != 2 || len(short) != 0 {
		t.Fatalf("%d rows, short %v, %v", len(rows), short, err)
	}
	if r := rows[1]; r.Line != "line 2" || r.Fit.Largest > 1e-12 || len(r.Feet) != 4 {
		t.Errorf("upper rail: %+v", r)
	}
	if r := rows[0]; r.Fit.Worst != 2 || r.Fit.Largest < 0.06 || r.Fit.Largest > 0.065 || !near(r.Shift, 0.016, 1e-9) {
		t.Errorf("lower rail: %+v", r)
	}
	built := mustCarry(t, a, b.Feet(0.1), Mount{})
	sameSet(t, "real spans", lengths(built.Spans()), []float64{1, 1.06, 0.94, 1, 1, 1, 1})
	longest := 0.0
	for _, o := range built.Overhangs() {
		longest = max(longest, o.Length)
	}
	if !near(longest, 1.5, 1e-9) {
		t.Errorf("overhang where the foot is missing: %g, want 1.5", longest)
	}
	// With a wider tolerance the extra foot joins the upper rail again.
	if feet := b.Feet(0.31); len(feet) != 10 || feet[9].Line != "line 2" || feet[9].Name != "south surveyed point 1" {
		t.Errorf("feet with the extra one: %+v", feet[len(feet)-1])
	}
	if _, err := b.Level(); err != nil {
		t.Errorf("level of the matched feet: %v", err)
	}
	survey[5].HeightKnown = false
	if _, err := b.Level(); !errors.Is(err, ErrNoHeight) {
		t.Errorf("a height is missing: %v", err)
	}
}

// Against matching by all pairs.
func TestCompareAgainstAllPairs(t *testing.T) {
	random := rand.New(rand.NewPCG(15, 1))
	a := mustArray(t, plain(3, 6))
	for range 60 {
		planned := mustFeet(t, a, FootPattern{Lines: a.SeamLines(), First: 0.3, Spacing: 0.4}.Expand(), Mount{Support: Seams})
		var survey []Surveyed
		for _, f := range planned {
			if random.IntN(8) > 0 {
				survey = append(survey, Surveyed{At: f.At.add(Point{random.NormFloat64() / 8, random.NormFloat64() / 8})})
			}
		}
		b, err := Compare(a, planned, survey, 0.25)
		if err != nil {
			t.Fatal(err)
		}
		found, used := make([]int, len(planned)), make([]bool, len(survey))
		for i := range found {
			found[i] = -1
		}
		for {
			best := Pair{-1, -1, 0.25}
			for i, f := range planned {
				for j, s := range survey {
					if d := f.At.distance(s.At); found[i] < 0 && !used[j] && d < best.Distance {
						best = Pair{i, j, d}
					}
				}
			}
			if best.First < 0 {
				break
			}
			found[best.First], used[best.Second] = best.Second, true
		}
		missing := 0
		for _, f := range found {
			if f < 0 {
				missing++
			}
		}
		if missing != len(b.Missing) {
			t.Fatalf("%d missing, want %d", len(b.Missing), missing)
		}
		for _, m := range b.Matches {
			if found[m.Planned] != m.Surveyed {
				t.Fatalf("foot %d is point %d, want %d", m.Planned, m.Surveyed, found[m.Planned])
			}
		}
	}
}

func TestCompareErrors(t *testing.T) {
	a := mustArray(t, plain(1, 2))
	planned := mustFeet(t, a, []LinePattern{{Height: 1, First: 0.5, Spacing: 1}}, Mount{})
	good := surveyOf(planned)
	nan := math.NaN()
	for _, c := range []struct {
		name      string
		planned   []Foot
		survey    []Surveyed
		tolerance float64
		want      string
	}{
		{"nothing planned", nil, good, 0.1, "nothing to compare"},
		{"nothing surveyed", planned, nil, 0.1, "nothing to compare"},
		{"no tolerance", planned, good, 0, "tolerance"},
		{"tolerance not a number", planned, good, nan, "tolerance"},
		{"point twice", planned, []Surveyed{good[0], good[0]}, 0.1, "the same"},
		{"point not a number", planned, []Surveyed{{At: Point{nan, 0}}}, 0.1, "surveyed point 1"},
		{"height not a number", planned, []Surveyed{{At: Point{0.5, 1}, Height: nan, HeightKnown: true}}, 0.1, "surveyed point 1"},
		{"foot not a number", []Foot{{"f", "A", Point{nan, 0}}}, good, 0.1, "place of f"},
	} {
		if _, err := Compare(a, c.planned, c.survey, c.tolerance); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: error %v, want one with %q", c.name, err, c.want)
		}
	}
	b, err := Compare(a, planned, good[:1], 0.1)
	if err != nil {
		t.Fatal(err)
	}
	if rows, short, err := b.Rows(); err != nil || len(rows) != 0 || !slices.Equal(short, []string{"line 1"}) {
		t.Errorf("one foot of the line: rows %v, short %v, %v", rows, short, err)
	}
}

// Worked by hand: two rows of three with a hole at row 2 column 2.
func TestBill(t *testing.T) {
	a := mustArray(t, plain(2, 3, Cell{2, 2}))
	mount := Mount{Support: Seams}
	s := mustCarry(t, a, mustFeet(t, a, FootPattern{Lines: a.SeamLines(), First: 0.25, Spacing: 1.25}.Expand(), mount), mount)
	b := s.Bill(Parts{ClipsPerModule: 2, PerSeam: 2, PerCrossSeam: 1})
	// Feet at 0.25, 1.5 and 2.75 on two lines, and on the upper line without 1.5.
	if b.Modules != 5 || b.Rows != 2 || b.Lines != 3 || b.Feet != 8 || b.Clips != 10 {
		t.Errorf("%+v", b)
	}
	if b.Seams != 2 || b.CrossSeams != 2 || b.BondingParts != 6 || b.EndModules != 0 || b.CornerModules != 4 {
		t.Errorf("%+v", b)
	}
	if b.LongestSpan == nil || b.LongestSpan.Length != 1.25 || b.LongestOverhang == nil || b.LongestOverhang.Length != 0.75 {
		t.Errorf("longest span %+v, overhang %+v", b.LongestSpan, b.LongestOverhang)
	}
	if b.FewestSupports.Feet != 2 {
		t.Errorf("fewest supports %+v", b.FewestSupports)
	}
	mount.BreakAfter = []int{1}
	if b = mustCarry(t, a, s.Feet, mount).Bill(Parts{PerSeam: 2}); b.BondingParts != 2 || b.Clips != 0 {
		t.Errorf("with a break after column 1: %+v", b)
	}
	if b = mustCarry(t, a, nil, mount).Bill(Parts{}); b.LongestSpan != nil || len(b.Unsupported) != 5 || b.FewestSupports.Feet != 0 {
		t.Errorf("without feet: %+v", b)
	}
}
