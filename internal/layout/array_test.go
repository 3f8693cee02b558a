package layout

import (
	"math"
	"strings"
	"testing"
)

// Lengths of rows in trade articles.
func TestRowLengthPublished(t *testing.T) {
	for _, c := range []struct {
		source             string
		columns            int
		width, gap, length float64 // in
	}{
		// "Manually Specifying Racking for Roof-Mounted Systems, Part 1", Greentech
		// Renewables: 387 in of modules and 2.25 in of gaps, end clamps left aside.
		{"Greentech Renewables", 10, 38.7, 0.25, 389.25},
		// "How to calculate the number of solar racking", Antaisolar, 2017: 391 in of
		// modules and 9 in of gaps, clamps and margins at the ends left aside.
		{"Antaisolar 2017", 10, 39.1, 1, 400},
	} {
		t.Run(c.source, func(t *testing.T) {
			a := mustArray(t, Pattern{Name: "a", Rows: 1, Columns: c.columns, Width: c.width * inch, Height: 64.5 * inch, GapX: c.gap * inch})
			if got := a.Bounds().Width() / inch; !near(got, c.length, 1e-9) {
				t.Errorf("row of %g in, want %g in", got, c.length)
			}
		})
	}
}

// Worked by hand: modules of 1 m x 2 m, gaps 0.1 m and 0.2 m, origin (3, 4).
func TestGridByHand(t *testing.T) {
	p := plain(2, 3, Cell{2, 2})
	p.Frame.Origin, p.GapX, p.GapY = Point{3, 4}, 0.1, 0.2
	for _, c := range []struct {
		name     string
		rotation float64
		shift    []float64
		corners  [4]Point // of r2c3
	}{
		{"square", 0, nil, [4]Point{{5.2, 6.2}, {6.2, 6.2}, {6.2, 8.2}, {5.2, 8.2}}},
		{"quarter turn", 90, nil, [4]Point{{0.8, 6.2}, {0.8, 7.2}, {-1.2, 7.2}, {-1.2, 6.2}}},
		{"upper row shifted", 0, []float64{0, 0.5}, [4]Point{{5.7, 6.2}, {6.7, 6.2}, {6.7, 8.2}, {5.7, 8.2}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := p
			p.Frame.Rotation, p.RowShift = c.rotation, c.shift
			a := mustArray(t, p)
			if len(a.Modules) != 5 || !near(a.Area(), 10, 1e-12) {
				t.Fatalf("%d modules of %g m2, want 5 of 10", len(a.Modules), a.Area())
			}
			i, ok := a.At(2, 3)
			if !ok || a.Modules[i].Name() != "south r2c3" {
				t.Fatalf("module at row 2 column 3: %v %q", ok, a.Modules[i].Name())
			}
			for k, want := range c.corners {
				got := a.Modules[i].Corners[k]
				if got.distance(want) > 1e-12 {
					t.Errorf("corner %d at %v, want %v", k, got, want)
				}
				if back := a.Frame.ToSurface(a.Frame.ToArray(want)); back.distance(want) > 1e-12 {
					t.Errorf("%v came back as %v", want, back)
				}
			}
			if _, there := a.At(2, 2); there {
				t.Error("the omitted module is there")
			}
		})
	}
}

func TestPositionsAndGaps(t *testing.T) {
	p := plain(3, 4, Cell{2, 2})
	p.GapX, p.GapY = 0.01, 0.02
	a := mustArray(t, p)
	want := map[Cell]Position{
		{1, 1}: Corner, {1, 2}: Inner, {1, 4}: Corner,
		{2, 1}: End, {2, 3}: End, {2, 4}: End, {3, 3}: Inner, {3, 4}: Corner,
	}
	for c, w := range want {
		i, _ := a.At(c.Row, c.Column)
		if got := a.Position(i); got != w {
			t.Errorf("%s: position %d, want %d", a.Modules[i].Name(), got, w)
		}
	}
	along, across := 0, 0
	for _, g := range a.Gaps() {
		w := 0.01
		if g.AcrossRow {
			across++
			w = 0.02
		} else {
			along++
		}
		if !near(g.Width, w, 1e-12) {
			t.Errorf("gap between %s and %s is %g, want %g", a.Modules[g.From].Name(), a.Modules[g.To].Name(), g.Width, w)
		}
	}
	if along != 3+1+3 || across != 3+3 { // by hand: the hole takes away two of each
		t.Errorf("%d gaps along, %d across; want 7 and 6", along, across)
	}
}

func TestGapsOfPlacedModules(t *testing.T) {
	a, err := Pattern{Name: "a", Width: 1, Height: 2, GapX: 0.01, GapY: 0.01}.place([]Placed{
		{Cell{1, 2}, Point{1.013, 0}}, {Cell{1, 1}, Point{0, 0}}, {Cell{2, 1}, Point{0.5, 1.995}},
	})
	if err != nil {
		t.Fatal(err)
	}
	var got []float64
	for _, g := range a.Gaps() {
		got = append(got, g.Width)
	}
	sameSet(t, "gaps", got, []float64{0.013, -0.005, -0.005}) // the upper module faces both
	if o := Overlaps(a); len(o) != 2 || !near(o[0].Depth, 0.005, 1e-12) {
		t.Errorf("overlaps %+v, want two of 5 mm", o)
	}
}

// Worked by hand: places for six modules of 1 m with gaps of 0.01 m, the fourth
// left out.
func TestStretches(t *testing.T) {
	p := plain(1, 6, Cell{1, 4})
	p.GapX = 0.01
	a := mustArray(t, p)
	for _, c := range []struct {
		name    string
		breaks  []int
		bridged bool
		want    []float64
	}{
		{"a hole ends the row", nil, false, []float64{3.02, 2.01}},
		{"a rail bridges the hole", nil, true, []float64{6.05}},
		{"break after column 2", []int{2}, true, []float64{2.01, 4.03}},
		{"break in the hole", []int{4}, true, []float64{3.02, 2.01}},
		{"break before the hole", []int{3}, true, []float64{3.02, 2.01}},
	} {
		t.Run(c.name, func(t *testing.T) {
			var got []float64
			for _, s := range a.Stretches(c.breaks, c.bridged) {
				got = append(got, s.Length)
			}
			sameSet(t, "stretches", got, c.want)
		})
	}
}

// 3-4-5: a rectangle of 3 m x 4 m has diagonals of 5 m (Euclid I.47).
func TestSquare(t *testing.T) {
	s, err := Square([4]Point{{0, 0}, {4, 0}, {4, 3}, {0, 3}})
	if err != nil || !near(s.First, 5, 1e-12) || !near(s.Second, 5, 1e-12) || !near(s.Angle, 0, 1e-12) {
		t.Errorf("%+v %v", s, err)
	}
	s, err = Square([4]Point{{0, 0}, {4, 0}, {4.03, 3}, {0.03, 3}})
	if err != nil || !near(s.Difference, math.Hypot(4.03, 3)-math.Hypot(3.97, 3), 1e-12) || !near(s.Angle, -math.Atan(0.01)*180/math.Pi, 1e-12) {
		t.Errorf("%+v %v", s, err)
	}
	for _, bad := range [][4]Point{{{0, 0}, {0, 0}, {1, 1}, {0, 1}}, {{0, 0}, {math.NaN(), 0}, {1, 1}, {0, 1}}} {
		if _, err := Square(bad); err == nil {
			t.Errorf("%v: no error", bad)
		}
	}
}

func TestPatternErrors(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range []struct {
		name   string
		change func(*Pattern)
		want   string
	}{
		{"no rows", func(p *Pattern) { p.Rows = 0 }, "at least one"},
		{"no columns", func(p *Pattern) { p.Columns = -1 }, "at least one"},
		{"endless", func(p *Pattern) { p.Rows, p.Columns = 1<<40, 1<<40 }, "more than"},
		{"no width", func(p *Pattern) { p.Width = 0 }, "width"},
		{"height not a number", func(p *Pattern) { p.Height = nan }, "height"},
		{"negative gap", func(p *Pattern) { p.GapX = -0.001 }, "gap between columns"},
		{"endless gap", func(p *Pattern) { p.GapY = inf }, "gap between rows"},
		{"origin", func(p *Pattern) { p.Frame.Origin.X = nan }, "origin"},
		{"rotation", func(p *Pattern) { p.Frame.Rotation = inf }, "rotation"},
		{"shifts", func(p *Pattern) { p.RowShift = []float64{0} }, "1 row shifts for 2 rows"},
		{"shift", func(p *Pattern) { p.RowShift = []float64{0, nan} }, "shift of row 2"},
		{"omitted outside", func(p *Pattern) { p.Omit = []Cell{{3, 1}} }, "row 3 column 1"},
		{"omitted twice", func(p *Pattern) { p.Omit = []Cell{{1, 1}, {1, 1}} }, "twice"},
		{"all omitted", func(p *Pattern) { p.Omit = []Cell{{1, 1}, {1, 2}, {2, 1}, {2, 2}} }, "no module"},
	} {
		p := plain(2, 2)
		c.change(&p)
		if _, err := p.New(); err == nil || !strings.Contains(err.Error(), c.want) || !strings.Contains(err.Error(), "south") {
			t.Errorf("%s: error %v, want one with %q", c.name, err, c.want)
		}
	}
	p := plain(1, 1)
	for name, placed := range map[string][]Placed{
		"none": nil, "twice": {{Cell{1, 1}, Point{}}, {Cell{1, 1}, Point{2, 0}}}, "not a number": {{Cell{1, 1}, Point{nan, 0}}},
	} {
		if _, err := p.place(placed); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

func TestOrientation(t *testing.T) {
	if w, h := Portrait.Size(1.7, 1.1); w != 1.1 || h != 1.7 {
		t.Errorf("portrait %g x %g", w, h)
	}
	if w, h := Landscape.Size(1.7, 1.1); w != 1.7 || h != 1.1 {
		t.Errorf("landscape %g x %g", w, h)
	}
}
