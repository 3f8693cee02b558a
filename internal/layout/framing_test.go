package layout

import (
	"errors"
	"math"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"
)

// Worked by hand: rafters 24 in apart, the first 12 in from the left end, 1.5 in
// thick, least edge distance 0.5 in: a fastener may stand 0.25 in off the centre.
func TestBitesByHand(t *testing.T) {
	rafters := Grid{Direction: UpSlope, Spacing: 24 * inch, Offset: 12 * inch}
	for _, c := range []struct {
		at        float64 // in
		line      int
		off, room float64 // in
	}{
		{12, 1, 0, 0.25},
		{36.25, 2, 0.25, 0},
		{59.5, 3, -0.5, -0.25},
		{24, 1, 12, -11.75}, // halfway: the lower one
		{0, 1, -12, -11.75}, // left of the first there is none
		{1, 1, -11, -10.75},
	} {
		got, err := rafters.Bites([]Point{{c.at * inch, 3}}, 1.5*inch, 0.5*inch)
		if err != nil {
			t.Fatal(err)
		}
		b := got[0]
		if b.Line != c.line || !near(b.Distance/inch, c.off, 1e-9) || !near(b.Room/inch, c.room, 1e-9) {
			t.Errorf("at %g in: rafter %d, %g in off, room %g in; want %d, %g, %g", c.at, b.Line, b.Distance/inch, b.Room/inch, c.line, c.off, c.room)
		}
	}
}

func TestGridCountAndPositions(t *testing.T) {
	purlins := Grid{Direction: AlongEave, Spacing: 1, Offset: 0.5, Count: 3}
	positions := Grid{Direction: AlongEave, Positions: []float64{2.5, 0.5, 1.5}}
	random := rand.New(rand.NewPCG(8, 8))
	for range 200 {
		p := []Point{{7, 8*random.Float64() - 2}}
		a, errA := purlins.Land(p)
		b, errB := positions.Land(p)
		if errA != nil || errB != nil {
			t.Fatal(errA, errB)
		}
		if a[0].Line != b[0].Line || !near(a[0].Distance, b[0].Distance, 1e-12) {
			t.Fatalf("%v: %+v by spacing, %+v by positions", p, a[0], b[0])
		}
	}
	if got, _ := purlins.Land([]Point{{0, 9}}); got[0].Line != 3 || !near(got[0].Distance, 6.5, 1e-12) {
		t.Errorf("past the last purlin: %+v", got[0])
	}
}

// Worked by hand: crests 76 mm apart from 20 mm, tolerance 5 mm.
func TestRibCrests(t *testing.T) {
	crests := Grid{Direction: UpSlope, Spacing: 0.076, Offset: 0.02}
	got, err := crests.Bites([]Point{{0.02 + 3*0.076, 1}, {0.101, 1}, {0.102, 1}, {0.13, 1}}, 2*0.005, 0)
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []float64{0.005, 0, -0.001, -0.029} {
		if !near(got[i].Room, want, 1e-9) {
			t.Errorf("screw %d: room %g, want %g", i, got[i].Room, want)
		}
	}
}

func TestGridErrors(t *testing.T) {
	nan := math.NaN()
	for name, g := range map[string]Grid{
		"nothing": {}, "negative": {Spacing: -1}, "not a number": {Spacing: nan}, "offset": {Spacing: 1, Offset: nan},
		"tiny": {Spacing: 1e-300}, "count": {Spacing: 1, Count: -1},
		"position": {Positions: []float64{nan}}, "twice": {Positions: []float64{1, 2, 1}},
	} {
		if _, err := g.Land([]Point{{1, 1}}); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
	good := Grid{Spacing: 1}
	for name, c := range map[string][3]float64{"width": {0, 0, 1}, "edge": {1, -1, 1}, "narrow": {0.9, 0.5, 1}, "point": {1, 0, nan}} {
		if _, err := good.Bites([]Point{{c[2], 1}}, c[0], c[1]); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

// Worked by hand: screws stand evenly about the centre of the foot.
func TestScrews(t *testing.T) {
	feet := []Foot{{"f", "A", Point{1, 2}}}
	for _, c := range []struct {
		s    Screws
		want []Point
	}{
		{Screws{1, 0, UpSlope}, []Point{{1, 2}}},
		{Screws{2, 0.06, UpSlope}, []Point{{1, 1.97}, {1, 2.03}}},
		{Screws{2, 0.06, AlongEave}, []Point{{0.97, 2}, {1.03, 2}}},
		{Screws{3, 0.05, AlongEave}, []Point{{0.95, 2}, {1, 2}, {1.05, 2}}},
	} {
		got, err := c.s.Of(feet)
		if err != nil || len(got) != len(c.want) {
			t.Fatalf("%+v: %v %v", c.s, got, err)
		}
		for i := range got {
			if got[i].distance(c.want[i]) > 1e-12 {
				t.Errorf("%+v: %v, want %v", c.s, got, c.want)
			}
		}
	}
	for _, s := range []Screws{{0, 1, UpSlope}, {2, 0, UpSlope}, {2, math.NaN(), UpSlope}} {
		if _, err := s.Of(feet); err == nil {
			t.Errorf("%+v: no error", s)
		}
	}
	if _, err := (Screws{Count: 1}).Of([]Foot{{"f", "A", Point{math.NaN(), 0}}}); err == nil {
		t.Error("foot not a number: no error")
	}
}

// A foot moved 20 mm inward of its mark, with screws 30 mm either side of its
// centre, still bears 10 mm beyond the mark; moved 40 mm it does not (common
// practice, numbers ours).
func TestBeyond(t *testing.T) {
	for moved, want := range map[float64]float64{0: 0.03, 0.02: 0.01, 0.04: -0.01} {
		screws := []Point{{5 + moved - 0.03, 1}, {5 + moved + 0.03, 1}}
		if got := Beyond(Point{5, 1}, screws, AlongEave); !near(got, want, 1e-12) {
			t.Errorf("moved %g: %g beyond the mark, want %g", moved, got, want)
		}
	}
	if got := Beyond(Point{1, 5}, []Point{{0, 4.9}, {2, 5.2}}, UpSlope); !near(got, 0.1, 1e-12) {
		t.Errorf("up the slope: %g, want 0.1", got)
	}
}

// Worked by hand: four modules of 1 m on two lines, feet 2 m apart, members 1 m
// apart from 0.5 m. Straight lines put 2 x 1.5 m2 on the first member, nothing on
// the second, 2 x 2.5 m2 on the third. A stagger of 1 m puts one foot on each of
// four: 1.5 and 2.5 m2 from the lower line, 2.5 and 1.5 m2 from the upper.
func TestSharing(t *testing.T) {
	a := mustArray(t, plain(1, 4))
	members := Grid{Direction: UpSlope, Spacing: 1, Offset: 0.5}
	for _, c := range []struct {
		stagger, concentration, repeated float64
		members                          []MemberLoad
	}{
		{0, 5.0 / 8 * 3, 1, []MemberLoad{{1, 2, 3, 3.0 / 8}, {2, 0, 0, 0}, {3, 2, 5, 5.0 / 8}}},
		{1, 2.5 / 8 * 4, 0, []MemberLoad{{1, 1, 1.5, 1.5 / 8}, {2, 1, 2.5, 2.5 / 8}, {3, 1, 2.5, 2.5 / 8}, {4, 1, 1.5, 1.5 / 8}}},
	} {
		lines := FootPattern{Lines: []float64{0.5, 1.5}, First: 0.5, Spacing: 2, Stagger: c.stagger}.Expand()
		s := mustCarry(t, a, mustFeet(t, a, lines, Mount{}), Mount{})
		got, err := s.Share(members, mustAreas(t, s, SimpleBeam))
		if err != nil {
			t.Fatal(err)
		}
		if len(got.Members) != len(c.members) || !near(got.Concentration, c.concentration, 1e-12) || got.Repeated != c.repeated {
			t.Fatalf("stagger %g: %+v, want concentration %g, repeated %g", c.stagger, got, c.concentration, c.repeated)
		}
		for i, want := range c.members {
			m := got.Members[i]
			if m.Line != want.Line || m.Feet != want.Feet || !near(m.Area, want.Area, 1e-12) || !near(m.Share, want.Share, 1e-12) {
				t.Errorf("stagger %g: %+v, want %+v", c.stagger, m, want)
			}
		}
	}
	s := mustCarry(t, a, nil, Mount{})
	if _, err := s.Share(members, nil); err == nil {
		t.Error("no feet: no error")
	}
}

func TestWholeMultiple(t *testing.T) {
	for _, c := range []struct {
		spacing, members float64
		times            int
		off              float64
	}{{48, 24, 2, 0}, {48, 16, 3, 0}, {60, 24, 3, -12}, {10, 24, 1, -14}, {50, 24, 2, 2}} {
		n, off, err := WholeMultiple(c.spacing, c.members)
		if err != nil || n != c.times || !near(off, c.off, 1e-9) {
			t.Errorf("%g over %g: %d, %g, %v", c.spacing, c.members, n, off, err)
		}
	}
	for _, bad := range [][2]float64{{0, 1}, {1, 0}, {math.NaN(), 1}, {1, math.Inf(1)}, {1e300, 1e-300}} {
		if _, _, err := WholeMultiple(bad[0], bad[1]); err == nil {
			t.Errorf("%v: no error", bad)
		}
	}
}

func metres(v float64) *float64 { return &v }

func TestFindLimit(t *testing.T) {
	table := []Limit{
		{Span: 1.2, Cantilever: metres(0.4)},
		{Zone: "edge", Span: 0.9},
		{Zone: "edge", Orientation: "landscape", Span: 0.8, Cantilever: metres(0)},
		{Zone: "corner", Exposure: "C", Span: 0.6, Cantilever: metres(0.3)},
		{Zone: "corner", Exposure: "C", Span: 0.7, Cantilever: metres(0.1)},
	}
	for _, c := range []struct {
		zone, exposure, orientation string
		span                        float64
		cantilever                  *float64
	}{
		{"field", "B", "portrait", 1.2, metres(0.4)},
		{"edge", "B", "portrait", 0.9, nil},
		{"edge", "B", "landscape", 0.8, metres(0)},
		{"corner", "C", "portrait", 0.6, metres(0.1)},
		{"corner", "B", "portrait", 1.2, metres(0.4)},
	} {
		got, err := FindLimit(table, c.zone, c.exposure, c.orientation)
		if err != nil || got.Span != c.span || !reflect.DeepEqual(got.Cantilever, c.cantilever) {
			t.Errorf("%s %s %s: %+v %v, want span %g", c.zone, c.exposure, c.orientation, got, err, c.span)
		}
	}
	if _, err := FindLimit(table[1:], "field", "B", "portrait"); !errors.Is(err, ErrNoLimit) || !strings.Contains(err.Error(), "field") {
		t.Errorf("no row: %v", err)
	}
	for _, bad := range []Limit{{}, {Span: math.NaN()}, {Span: 1, Cantilever: metres(-1)}, {Span: 1, Cantilever: metres(math.NaN())}} {
		if _, err := FindLimit([]Limit{bad}, "", "", ""); err == nil || errors.Is(err, ErrNoLimit) {
			t.Errorf("%+v: error %v", bad, err)
		}
	}
}

func TestCantileverLimit(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		name          string
		stated, share *float64
		beside, want  float64
		ok            bool
	}{
		{"length", metres(0.4), nil, 1.2, 0.4, true},
		{"length of zero", metres(0), metres(0.25), 1.2, 0, true},
		{"length without a span beside", metres(0.4), nil, 0, 0.4, true},
		{"share", nil, metres(1.0 / 3), 1.2, 0.4, true},
		{"share of zero", metres(0.4), metres(0), 1.2, 0, true},
		{"share is less", metres(0.5), metres(0.25), 1.2, 0.3, true},
		{"length is less", metres(0.2), metres(0.25), 1.2, 0.2, true},
		{"neither", nil, nil, 1.2, 0, false},
		{"share of no span", metres(0.4), metres(0.25), 0, 0, false},
		{"length not a number", metres(nan), metres(0.25), 1, 0, false},
		{"length alone not a number", metres(nan), nil, 1, 0, false},
		{"share not a number", metres(0.4), metres(nan), 1, 0, false},
		{"span not a number", metres(0.4), metres(0.25), nan, 0, false},
		{"negative length", metres(-1), nil, 1, 0, false},
		{"negative share", metres(0.4), metres(-1), 1, 0, false},
	} {
		got, ok := CantileverLimit(c.stated, c.share, c.beside)
		if ok != c.ok || !near(got, c.want, 1e-12) {
			t.Errorf("%s: %g %v, want %g %v", c.name, got, ok, c.want, c.ok)
		}
	}
}
