package layout

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

// "How to calculate solar rail feet on a commercial solar system, running
// parallel to the rib", Greenwood Solutions, 2022: a rail of 11.410 m, at most
// 1.000 m between feet and 0.300 m past the last, takes 12 feet.
func TestFeetOfARailPublished(t *testing.T) {
	p := Pattern{Name: "a", Rows: 1, Columns: 10, Width: 1.141, Height: 1.8}
	a := mustArray(t, p)
	feet := mustFeet(t, a, []LinePattern{{Height: 0.45, First: 0.3, Spacing: 10.81 / 11}}, Mount{})
	if len(feet) != 12 {
		t.Fatalf("%d feet, want 12", len(feet))
	}
	s := mustCarry(t, a, feet, Mount{})
	for _, span := range s.Spans() {
		if span.Length > 1 {
			t.Errorf("span of %g m", span.Length)
		}
	}
	for _, o := range s.Overhangs() {
		if !near(o.Length, 0.3, 1e-9) || !near(o.Beside, 10.81/11, 1e-9) {
			t.Errorf("overhang of %g m beside %g m, want 0.3 m", o.Length, o.Beside)
		}
	}
}

// Worked by hand: one row of four modules, 1 m each, on two rails.
func TestFeetPatternByHand(t *testing.T) {
	a := mustArray(t, plain(1, 4))
	lines := FootPattern{Lines: a.RailLines(0.5, 1.5), First: 0.25, Spacing: 1.5, Stagger: 0.5}.Expand()
	feet := mustFeet(t, a, lines, Mount{})
	want := []Foot{
		{"south line 1 foot 1", "line 1", Point{0.25, 0.5}}, {"south line 1 foot 2", "line 1", Point{1.75, 0.5}},
		{"south line 1 foot 3", "line 1", Point{3.25, 0.5}},
		{"south line 2 foot 1", "line 2", Point{0.75, 1.5}}, {"south line 2 foot 2", "line 2", Point{2.25, 1.5}},
		{"south line 2 foot 3", "line 2", Point{3.75, 1.5}},
	}
	if len(feet) != len(want) {
		t.Fatalf("%d feet, want %d", len(feet), len(want))
	}
	for i := range want {
		if feet[i].Name != want[i].Name || feet[i].Line != want[i].Line || feet[i].At.distance(want[i].At) > 1e-12 {
			t.Errorf("foot %d is %+v, want %+v", i, feet[i], want[i])
		}
	}
	lines[1].Count, lines[1].First, lines[1].Name = 2, 1, "upper rail"
	if feet = mustFeet(t, a, lines, Mount{}); len(feet) != 5 || feet[4].Name != "south upper rail foot 2" || feet[4].At.X != 2.5 {
		t.Errorf("with the upper line changed: %+v", feet)
	}
	// The last foot exactly on the array's edge fits, in spite of rounding.
	if feet = mustFeet(t, a, []LinePattern{{Height: 1, First: 0, Spacing: 4.0 / 49}}, Mount{}); len(feet) != 50 {
		t.Errorf("%d feet from edge to edge, want 50", len(feet))
	}
}

// Worked by hand: a hole in the middle divides the upper rails; a seam below it
// still carries the row beneath.
func TestHoles(t *testing.T) {
	a := mustArray(t, plain(2, 5, Cell{2, 3}))
	lines := FootPattern{Lines: a.SeamLines(), First: 0.5, Spacing: 1}.Expand()
	mount := Mount{Support: Seams}
	s := mustCarry(t, a, mustFeet(t, a, lines, mount), mount)
	if len(s.Lines) != 3 || len(s.Feet) != 5+5+4 {
		t.Fatalf("%d lines with %d feet, want 3 with 14", len(s.Lines), len(s.Feet))
	}
	if n := len(s.Lines[2].Runs); n != 2 {
		t.Errorf("the upper line has %d runs, want 2", n)
	}
	if got := len(s.Spans()); got != 4+4+1+1 {
		t.Errorf("%d spans, want 10", got)
	}
	areas := mustAreas(t, s, SimpleBeam)
	// Middle of the lower line: 1 m wide, half of 2 m deep. On the seam: 2 m deep
	// where modules lie on both sides, 1 m below the hole.
	for i, w := range []float64{1, 1, 1, 1, 1, 2, 2, 1, 2, 2, 1, 1, 1, 1} {
		if !near(areas[i], w, 1e-12) {
			t.Errorf("%s: %g m2, want %g", s.Feet[i].Name, areas[i], w)
		}
	}
	r2c2, _ := a.At(2, 2)
	if got := s.FeetUnder(r2c2); len(got) != 2 {
		t.Errorf("%s rests on feet %v, want 2", a.Modules[r2c2].Name(), got)
	}
}

// "Rail Analysis - Generic Packet", Engineered Power Solutions (City of Santa Ana
// records, 2023), section 3.1: a rail under modules 6.5 ft high carries a width of
// 3.25 ft. With feet 4 ft apart an inner foot carries 13 ft2.
func TestTributaryWidthPublished(t *testing.T) {
	a := mustArray(t, Pattern{Name: "a", Rows: 1, Columns: 8, Width: 3.25 * foot, Height: 6.5 * foot})
	lines := FootPattern{Lines: a.RailLines(1.5*foot, 5*foot), First: foot, Spacing: 4 * foot}.Expand()
	s := mustCarry(t, a, mustFeet(t, a, lines, Mount{}), Mount{})
	if got := mustAreas(t, s, SimpleBeam)[2] / (foot * foot); !near(got, 13, 1e-9) {
		t.Errorf("inner foot carries %g ft2, want 13", got)
	}
}

// Statics of a beam with one end overhanging (general reference: any beam table;
// worked by hand): load w, span s, overhang c. The foot beside the overhang takes
// w(s+c)^2/2s, the far one w(s^2-c^2)/2s.
func TestBeamReactionByHand(t *testing.T) {
	a := mustArray(t, plain(1, 4))
	feet := mustFeet(t, a, []LinePattern{{Height: 1, First: 1, Spacing: 3}}, Mount{})
	s := mustCarry(t, a, feet, Mount{})
	areas := mustAreas(t, s, BeamReaction) // s = 3, c = 1, w = 2 m2 for each metre
	if !near(areas[0], 2*16.0/6, 1e-12) || !near(areas[1], 2*8.0/6, 1e-12) {
		t.Errorf("reactions %v, want 5.333 and 2.667", areas)
	}
	if areas = mustAreas(t, s, SimpleBeam); !near(areas[0], 5, 1e-12) || !near(areas[1], 3, 1e-12) {
		t.Errorf("tributary areas %v, want 5 and 3", areas)
	}
	if areas = mustAreas(t, s, AreaOfInfluence); !near(areas[0], 5, 1e-12) || !near(areas[1], 3, 1e-12) {
		t.Errorf("areas of influence %v, want 5 and 3", areas)
	}
}

// Worked by hand: one module of 1 m x 2 m, a foot at each end of the lower edge
// and one in the middle of the upper. Simple beam: 0.5, 0.5, 1. The bisector of
// (0,0) and (0.5,2) is x/4 + y = 1.0625, so the upper foot is nearer above y =
// 0.9375 at the middle (x = 0.5) and above 1.0625 at the edge: 1 m2 exactly.
func TestAreaOfInfluenceStaggered(t *testing.T) {
	a := mustArray(t, plain(1, 1))
	mount := Mount{Support: Seams}
	s := mustCarry(t, a, mustFeet(t, a, []LinePattern{{Height: 0, First: 0, Spacing: 1}, {Height: 2, First: 0.5, Count: 1}}, mount), mount)
	for i, w := range []float64{0.5, 0.5, 1} {
		if got := mustAreas(t, s, AreaOfInfluence)[i]; !near(got, w, 1e-12) {
			t.Errorf("foot %d: %g m2, want %g", i, got, w)
		}
	}
	// With the upper foot off the middle no line of symmetry helps: by sampling.
	s = mustCarry(t, a, mustFeet(t, a, []LinePattern{{Height: 0, First: 0, Spacing: 1}, {Height: 2, First: 0.25, Count: 1}}, mount), mount)
	compareWithSampling(t, s, AreaOfInfluence, 400, 2e-3)
}

// A seam line serves both rows although it lies inside one by a little, and two
// lines near one seam serve their own row each.
func TestSeamSharing(t *testing.T) {
	p := plain(2, 1)
	p.GapY = 0.02
	a := mustArray(t, p)
	for _, c := range []struct {
		name    string
		heights []float64
		lines   [2]int // lines under the lower and the upper module
		support Support
	}{
		{"in the middle of the gap", []float64{0, 2.01, 4.02}, [2]int{2, 2}, Seams},
		{"inside the lower row", []float64{0, 1.96, 4.02}, [2]int{2, 2}, Seams},
		{"too far inside the lower row", []float64{0, 1.9, 4.02}, [2]int{2, 1}, Seams},
		{"a line for each row", []float64{0, 1.95, 2.07, 4.02}, [2]int{2, 2}, Seams},
		{"below the array within reach", []float64{-0.04, 2.01, 4.02}, [2]int{2, 2}, Seams},
		{"rails serve the row above them", []float64{0.5, 1.5, 2.5, 3.5}, [2]int{2, 2}, Rails},
		{"three rails", []float64{0.2, 1, 1.8, 2.5, 3.5}, [2]int{3, 2}, Rails},
	} {
		t.Run(c.name, func(t *testing.T) {
			var marks []Mark
			for _, h := range c.heights {
				marks = append(marks, Mark{At: Point{0.2, h}}, Mark{At: Point{0.8, h}})
			}
			feet, err := PlaceMarks(a, marks, 0)
			if err != nil {
				t.Fatal(err)
			}
			s := mustCarry(t, a, feet, Mount{Support: c.support})
			for m, want := range c.lines {
				if got := len(s.Bearings[m]); got != want {
					t.Errorf("%s has %d lines, want %d", a.Modules[m].Name(), got, want)
				}
			}
			if total := sum(mustAreas(t, s, SimpleBeam)); !near(total, 4, 1e-12) {
				t.Errorf("areas add up to %g m2, want 4", total)
			}
		})
	}
	// A line in the gap is no rail: it carries nothing, and nothing is passed over.
	feet, err := PlaceMarks(a, []Mark{{At: Point{0.2, 2.01}}, {At: Point{0.8, 2.01}}, {At: Point{0.2, 0.5}}, {At: Point{0.8, 0.5}}}, 0)
	if err != nil {
		t.Fatal(err)
	}
	s := mustCarry(t, a, feet, Mount{})
	if len(s.Idle) != 2 || len(s.Unsupported) != 1 || s.Unsupported[0] != 1 {
		t.Errorf("idle %v, unsupported %v", s.Idle, s.Unsupported)
	}
}

// A thermal break divides the line: no span over it, two overhangs at it.
func TestThermalBreak(t *testing.T) {
	a := mustArray(t, plain(1, 4))
	mount := Mount{BreakAfter: []int{2}}
	s := mustCarry(t, a, mustFeet(t, a, []LinePattern{{Height: 1, First: 0.25, Spacing: 1.1}}, mount), mount)
	sameSet(t, "spans", lengths(s.Spans()), []float64{1.1, 1.1}) // feet at 0.25, 1.35 | 2.45, 3.55
	var got []float64
	for _, o := range s.Overhangs() {
		got = append(got, o.Length)
	}
	sameSet(t, "overhangs", got, []float64{0.25, 0.65, 0.45, 0.45})
	if areas := mustAreas(t, s, SimpleBeam); !near(sum(areas), 8, 1e-12) || !near(areas[1], 2*(0.55+0.65), 1e-12) {
		t.Errorf("areas %v", areas)
	}
}

// A foot past the last module carries it only where Mount.Past says so.
func TestFootPastTheEnd(t *testing.T) {
	a := mustArray(t, plain(1, 2))
	feet, err := PlaceMarks(a, []Mark{{At: Point{-0.1, 1}}, {At: Point{1, 1}}}, 0)
	if err != nil {
		t.Fatal(err)
	}
	s := mustCarry(t, a, feet, Mount{})
	if len(s.Idle) != 1 || s.Idle[0] != 0 || s.Overhangs()[0].Length != 1 {
		t.Errorf("idle %v, overhang %g", s.Idle, s.Overhangs()[0].Length)
	}
	s = mustCarry(t, a, feet, Mount{Past: 0.1})
	if len(s.Idle) != 0 || !near(s.Overhangs()[0].Length, -0.1, 1e-12) || !near(s.Spans()[0].Length, 1.1, 1e-12) {
		t.Errorf("idle %v, overhang %g", s.Idle, s.Overhangs()[0].Length)
	}
}

func TestAreasAddUp(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	for trial := range 300 {
		s := randomSupports(t, random)
		for _, m := range []Method{SimpleBeam, AreaOfInfluence, BeamReaction} {
			areas := mustAreas(t, s, m)
			if !near(sum(areas), supportedArea(s), 1e-9) {
				t.Fatalf("trial %d, %v: %g m2, want %g", trial, m, sum(areas), supportedArea(s))
			}
			for _, i := range s.Idle {
				if areas[i] != 0 {
					t.Fatalf("trial %d, %v: idle %s carries %g m2", trial, m, s.Feet[i].Name, areas[i])
				}
			}
		}
	}
}

// Against plain sampling: every module is cut into small pieces and each piece
// given to its foot, or shared by the lever rule, with no index at all.
func TestAreasAgainstSampling(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	for range 25 {
		s := randomSupports(t, random)
		for _, m := range []Method{SimpleBeam, AreaOfInfluence, BeamReaction} {
			compareWithSampling(t, s, m, 120, 0.02)
		}
	}
}

func compareWithSampling(t *testing.T, s *Supports, method Method, cuts int, tolerance float64) {
	t.Helper()
	want := make([]float64, len(s.Feet))
	for m, module := range s.Array.Modules {
		piece := module.Rect.Area() / float64(cuts*cuts)
		for i := range cuts {
			for j := range cuts {
				at := Point{
					module.Rect.Min.X + (float64(i)+0.5)/float64(cuts)*s.Array.Width,
					module.Rect.Min.Y + (float64(j)+0.5)/float64(cuts)*s.Array.Height,
				}
				samplePiece(s, method, m, at, piece, want)
			}
		}
	}
	for i, got := range mustAreas(t, s, method) {
		if !near(got, want[i], tolerance) {
			t.Fatalf("%v: %s carries %g m2, by sampling %g", method, s.Feet[i].Name, got, want[i])
		}
	}
}

func samplePiece(s *Supports, method Method, module int, at Point, piece float64, want []float64) {
	var heights []float64
	for _, b := range s.Bearings[module] {
		heights = append(heights, s.Lines[s.Runs[b.Run].Line].Height)
	}
	if method == AreaOfInfluence {
		best, distance := -1, math.Inf(1)
		for k, b := range s.Bearings[module] {
			for _, f := range s.Runs[b.Run].Feet {
				if d := at.distance(Point{s.along[f], heights[k]}); d < distance {
					best, distance = f, d
				}
			}
		}
		if best >= 0 {
			want[best] += piece
		}
		return
	}
	for k, share := range sampleBeam(heights, at.Y, method) {
		run := s.Runs[s.Bearings[module][k].Run]
		var along []float64
		for _, f := range run.Feet {
			along = append(along, s.along[f])
		}
		for n, part := range sampleBeam(along, at.X, method) {
			want[run.Feet[n]] += piece * share * part
		}
	}
}

// sampleBeam gives the parts of a point load on supports.
func sampleBeam(supports []float64, at float64, method Method) []float64 {
	parts := make([]float64, len(supports))
	if len(supports) == 0 {
		return parts
	}
	nearest, left := 0, 0
	for k, p := range supports {
		if math.Abs(p-at) < math.Abs(supports[nearest]-at) {
			nearest = k
		}
		if p <= at && k < len(supports)-1 {
			left = k
		}
	}
	if method == SimpleBeam || len(supports) == 1 {
		parts[nearest] = 1
		return parts
	}
	parts[left+1] = (at - supports[left]) / (supports[left+1] - supports[left])
	parts[left] = 1 - parts[left+1]
	return parts
}

// Moving, turning or mirroring everything changes no span, overhang or area.
func TestMovedAndMirrored(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 6))
	for range 60 {
		s := randomSupports(t, random)
		moved := Frame{Point{100, -50}, 33}
		from := s.Array.Frame
		check := func(what string, change func(local Point) Point, mirrored bool) {
			p := Pattern{Name: "a", Frame: moved, Width: s.Array.Width, Height: s.Array.Height, GapX: s.Array.GapX, GapY: s.Array.GapY}
			var placed []Placed
			for _, m := range s.Array.Modules {
				corner, cell := change(m.Rect.Min), m.Cell
				if mirrored {
					corner = change(Point{m.Rect.Max.X, m.Rect.Min.Y})
					cell.Column = 100 - cell.Column
				}
				placed = append(placed, Placed{cell, corner})
			}
			a, err := p.place(placed)
			if err != nil {
				t.Fatal(err)
			}
			var marks []Mark
			for _, f := range s.Feet {
				marks = append(marks, Mark{At: moved.ToSurface(change(from.ToArray(f.At))), Line: f.Line, Name: f.Name})
			}
			feet, err := PlaceMarks(a, marks, 0)
			if err != nil {
				t.Fatal(err)
			}
			other := mustCarry(t, a, feet, s.Mount)
			sameSet(t, what+": spans", lengths(other.Spans()), lengths(s.Spans()))
			for _, m := range []Method{SimpleBeam, AreaOfInfluence, BeamReaction} {
				got, want := mustAreas(t, other, m), mustAreas(t, s, m)
				for i := range want {
					if !near(got[i], want[i], 1e-7) {
						t.Fatalf("%s, %v: foot %d carries %g, before %g", what, m, i, got[i], want[i])
					}
				}
			}
		}
		check("moved", func(p Point) Point { return Point{p.X + 7, p.Y - 3} }, false)
		check("mirrored", func(p Point) Point { return Point{20 - p.X, p.Y} }, true)
	}
}

func TestFeetErrors(t *testing.T) {
	a := mustArray(t, plain(1, 4))
	nan := math.NaN()
	for _, c := range []struct {
		name string
		line LinePattern
		want string
	}{
		{"no spacing", LinePattern{Height: 1}, "spacing"},
		{"spacing not a number", LinePattern{Height: 1, Spacing: nan}, "spacing"},
		{"tiny spacing", LinePattern{Height: 1, Spacing: 1e-9}, "more than"},
		{"height not a number", LinePattern{Height: nan, Spacing: 1}, "not a number"},
		{"above the array", LinePattern{Height: 2.5, Spacing: 1}, "carries no module"},
		{"too many", LinePattern{Height: 1, Spacing: 1, Count: 6}, "foot 6 stands 1.000 m past"},
		{"before the edge", LinePattern{Height: 1, First: -0.1, Spacing: 1}, "foot 1 stands 0.100 m past"},
		{"starts past the array", LinePattern{Height: 1, First: 9, Spacing: 1}, "carries no module"},
		{"negative count", LinePattern{Height: 1, Spacing: 1, Count: -1}, "-1 feet"},
	} {
		if _, err := PlaceFeet(a, []LinePattern{c.line}, Mount{}); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: error %v, want one with %q", c.name, err, c.want)
		}
	}
	if _, err := PlaceFeet(a, nil, Mount{}); err == nil {
		t.Error("no lines: no error")
	}
	if _, err := PlaceFeet(a, []LinePattern{{Name: "x", Height: 1, Spacing: 1}, {Name: "x", Height: 1.5, Spacing: 1}}, Mount{}); err == nil {
		t.Error("two lines of one name: no error")
	}
	for name, marks := range map[string][]Mark{
		"none": nil, "not a number": {{At: Point{nan, 0}}}, "mixed": {{At: Point{1, 1}, Line: "A"}, {At: Point{2, 1}}},
	} {
		if _, err := PlaceMarks(a, marks, 0); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
	for name, feet := range map[string][]Foot{
		"twice":        {{"f1", "A", Point{1, 1}}, {"f2", "A", Point{1, 1}}},
		"lines as one": {{"f1", "A", Point{1, 1}}, {"f2", "B", Point{2, 1.005}}},
		"not a number": {{"f1", "A", Point{1, nan}}},
	} {
		if _, err := Carry(a, feet, Mount{}); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
	for name, m := range map[string]Mount{"past": {Past: 0.25}, "negative past": {Past: -1}, "reach": {Reach: nan}, "support": {Support: 9}} {
		if _, err := Carry(a, []Foot{{"f", "A", Point{1, 1}}}, m); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
	s := mustCarry(t, a, nil, Mount{})
	if len(s.Unsupported) != 4 {
		t.Errorf("without feet %d modules are unsupported, want 4", len(s.Unsupported))
	}
	if _, err := s.Tributary(Method(9)); err == nil {
		t.Error("unknown method: no error")
	}
}

func TestDuplicates(t *testing.T) {
	a := mustArray(t, plain(1, 4))
	feet := mustFeet(t, a, []LinePattern{{Height: 1, First: 0, Spacing: 1}}, Mount{})
	feet = append(feet, Foot{"again", "line 2", Point{2, 1.0000001}})
	if got := Duplicates(feet, 0); len(got) != 1 || got[0].First != 2 || got[0].Second != 5 {
		t.Errorf("duplicates %+v", got)
	}
}

// Worked by hand: rails 0.4 m inside either edge of a module 2 m high.
func TestBearingsAndEdges(t *testing.T) {
	a := mustArray(t, plain(2, 2))
	s := mustCarry(t, a, mustFeet(t, a, FootPattern{Lines: a.RailLines(0.4, 1.6), First: 0.5, Spacing: 1}.Expand(), Mount{}), Mount{})
	for m, b := range s.Bearings {
		if len(b) != 2 || !near(b[0].FromBottom, 0.4, 1e-12) || !near(b[1].FromTop, 0.4, 1e-12) || !near(b[1].FromBottom, 1.6, 1e-12) {
			t.Errorf("%s: bearings %+v", a.Modules[m].Name(), b)
		}
	}
	edges := s.EdgeOverhangs()
	if len(edges) != 8 {
		t.Fatalf("%d edges, want 8", len(edges))
	}
	for _, e := range edges {
		if !near(e.Length, 0.4, 1e-12) {
			t.Errorf("edge %+v, want 0.4 m", e)
		}
	}
}
