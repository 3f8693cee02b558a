package from

import (
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"plumbrule/internal/draft"
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/source"
)

// text is a file to draft from.
func text(name, content string) Source {
	holds, name := Named(name)
	return Source{holds, source.NewFile(name, []byte(content))}
}

// fixture is a file of testdata.
func fixture(t testing.TB, name string) Source {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	return Source{"", source.NewFile(filepath.Base(name), b)}
}

// drafted reads files to a draft, and that as a job.
func drafted(o Options, files ...Source) (*job.Job, *Reading, error) {
	r, err := Read(files, o)
	if err != nil {
		return nil, nil, err
	}
	d, err := draft.Begin(draft.Answers{}, "test")
	if err != nil {
		return nil, nil, err
	}
	if err := r.Into(d, "."); err != nil {
		return nil, nil, err
	}
	open := func(name string) ([]byte, error) {
		for _, f := range files {
			if f.File.Name == name {
				return f.File.Text, nil
			}
		}
		return nil, os.ErrNotExist
	}
	j, err := job.Parse("job.toml", d.TOML(), open)
	var faults source.Faults
	if errors.As(err, &faults) {
		return nil, nil, Placed("job.toml", d.TOML(), d, faults)
	}
	return j, r, err
}

func mustDraft(t *testing.T, o Options, files ...Source) (*job.Job, *Reading) {
	t.Helper()
	j, r, err := drafted(o, files...)
	if err != nil {
		t.Fatalf("refused:\n%v", err)
	}
	return j, r
}

// refused wants faults that begin with, and contain, what is said, in order.
func refused(t *testing.T, err error, want ...string) {
	t.Helper()
	if err == nil {
		t.Errorf("nothing was refused, expected %q", want)
		return
	}
	lines := slices.DeleteFunc(strings.Split(err.Error(), "\n"), func(l string) bool { return strings.HasPrefix(l, "  ") })
	if len(lines) != len(want) {
		t.Errorf("%d faults, expected %d:\n%v", len(lines), len(want), err)
		return
	}
	for i, w := range want {
		place, says, _ := strings.Cut(w, " ")
		if !strings.HasPrefix(lines[i], place) || !strings.Contains(lines[i], says) {
			t.Errorf("found\n\t%s\nexpected %q at %s", lines[i], says, place)
		}
	}
}

func noted(t *testing.T, r *Reading, want ...string) {
	t.Helper()
	all := strings.Join(r.Notes, "\n")
	for _, w := range want {
		if !strings.Contains(all, w) {
			t.Errorf("the notes do not say %q:\n%s", w, all)
		}
	}
}

// plan writes an outline in round figures of a unit, for a comparison.
func plan(points []job.Point, unit float64) string {
	var list []string
	for _, p := range points {
		list = append(list, fmt.Sprintf("%g,%g", math.Round(p.X/unit*1e6)/1e6, math.Round(p.Y/unit*1e6)/1e6))
	}
	return strings.Join(list, " ")
}

const inch, metre = 0.0254, 1.0

func TestDrawingOfAHipRoof(t *testing.T) {
	j, r := mustDraft(t, Options{}, fixture(t, "../../../../testdata/drafts/hip-roof.dxf"))
	want := map[string]string{
		"front": "0,0 480,0 336,144 144,144",
		"back":  "0,288 144,144 336,144 480,288",
		"left":  "0,0 144,144 0,288",
		"right": "480,0 480,288 336,144",
	}
	if len(j.Planes) != len(want) {
		t.Errorf("%d planes", len(j.Planes))
	}
	for _, p := range j.Planes {
		if got := plan(p.Outline.Value, inch); got != want[p.Name.Value] {
			t.Errorf("the plane %q is %s, expected %s", p.Name.Value, got, want[p.Name.Value])
		}
		if p.Slope.Known || p.Downslope.Known || p.EaveElevation.Known {
			t.Errorf("the plane %q has more than its outline", p.Name.Value)
		}
	}
	if o := j.Obstructions[0]; len(j.Obstructions) != 1 || o.Name.Value != "skylight" || o.Plane.Value != "front" || o.Kind.Value != "skylight" || o.At.Known {
		t.Errorf("the obstructions are %+v", j.Obstructions)
	}
	noted(t, r, `1 x CIRCLE on the layer "P-VENT"`, `1 x INSERT on the layer "L-PLNT"`, `1 x LINE on the layer "A-WALL"`, `1 x TEXT on the layer "ROOF front"`, "its unit is in")
}

func TestDrawingWithoutUnit(t *testing.T) {
	f := fixture(t, "court-r12.dxf")
	_, _, err := drafted(Options{}, f)
	refused(t, err, "court-r12.dxf:1:1: names no unit; say which it is drawn in, as in --unit ft")
	_, _, err = drafted(Options{Unit: "furlong"}, f)
	refused(t, err, `"furlong" is no unit of a drawing`)
	_, _, err = drafted(Options{Unit: "mm"}, f)
	refused(t, err, "court-r12.dxf:1028:1: 12.5 mm long in all, which no roof is")
	for unit, length := range metres {
		if unit == "mm" || unit == "in" || unit == "cm" {
			continue // too small a roof
		}
		j, _ := mustDraft(t, Options{Unit: unit}, f)
		if got := plan(j.Planes[0].Outline.Value, length); got != "0,0 12.5,0 12.5,8.25 0,8.25" {
			t.Errorf("in %s the plane is %s", unit, got)
		}
		if got := plan(j.Planes[0].Holes[0].Outline.Value, length); got != "4,2 6,2 6,3.5 4,3.5" {
			t.Errorf("in %s the hole is %s", unit, got)
		}
	}
}

func TestDrawingLayers(t *testing.T) {
	f := fixture(t, "named.dxf")
	_, _, err := drafted(Options{}, f)
	refused(t, err, `named.dxf:1:1: "A-ROOF-Dach Süd"`)
	_, _, err = drafted(Options{Layers: map[string]string{"A-ROOF-Dach Süd": "plan"}}, f)
	refused(t, err, `the layer "A-ROOF-Dach Süd" holds "plan"`)
	_, _, err = drafted(Options{Layers: map[string]string{"a-roof-dach süd": "plane", "x": "hole"}}, f)
	refused(t, err, `no drawing has lines on a layer "x"`)
	j, r := mustDraft(t, Options{Unit: "ft", Layers: map[string]string{"a-roof-dach süd": "plane"}}, f)
	if got := plan(j.Planes[0].Outline.Value, 0.3048); got != "0,0 10,0 10,6 0,6" || j.Planes[0].Name.Value != "A-ROOF-Dach Süd" {
		t.Errorf("the plane %q is %s", j.Planes[0].Name.Value, got)
	}
	noted(t, r, "says that its unit is m, and is read in ft as --unit says")
}

func TestDrawingFaults(t *testing.T) {
	_, _, err := drafted(Options{}, fixture(t, "faulty.dxf"))
	refused(t, err,
		`faulty.dxf:2112:1: LWPOLYLINE 2F on the layer "ROOF curved" has a curved side`,
		`faulty.dxf:2146:1: the ARC 30 on the layer "ROOF curved" cannot be read`,
		`faulty.dxf:2172:1: the SPLINE 31 on the layer "ROOF curved" cannot be read`,
		`faulty.dxf:2212:1: the INSERT 36 on the layer "ROOF block" cannot be read`,
		`faulty.dxf:2232:1: is open at x 0 ft, y 0 ft, where LINE 38 ends, 0.25 ft from the nearest open end; ends that lie within 0.005 ft of each other are joined`,
		`faulty.dxf:2304:1: is open at x 0 ft, y 0.25 ft, where LINE 3B ends, 0.25 ft from`,
		`faulty.dxf:2328:1: is drawn on a plane of its own`)
}

// dxfOf writes a drawing in inches of lines "LAYER x y x y" and of closed
// polylines "LAYER x y x y x y ...".
func dxfOf(entities ...string) string {
	var b strings.Builder
	b.WriteString("0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n1\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n")
	for _, e := range entities {
		fields := strings.Fields(e)
		if c := fields[1:]; len(c) == 4 {
			fmt.Fprintf(&b, "0\nLINE\n8\n%s\n10\n%s\n20\n%s\n11\n%s\n21\n%s\n", fields[0], c[0], c[1], c[2], c[3])
			continue
		}
		fmt.Fprintf(&b, "0\nLWPOLYLINE\n8\n%s\n70\n1\n", fields[0])
		for i := 1; i < len(fields); i += 2 {
			fmt.Fprintf(&b, "10\n%s\n20\n%s\n", fields[i], fields[i+1])
		}
	}
	b.WriteString("0\nENDSEC\n0\nEOF\n")
	return b.String()
}

func TestDrawingShapes(t *testing.T) {
	const square = "ROOF_a 0 0 100 0 100 100 0 100"
	for _, c := range []struct {
		name, drawing string
		want          []string // faults, or the planes
	}{
		{"crossing", dxfOf("ROOF 0 0 100 100 100 0 0 100"), []string{"r.dxf:30:1: crosses or touches itself: edge 1 and edge 3 meet"}},
		{"folding back", dxfOf("ROOF 0 0 100 0 100 100 100 50 0 100"), []string{"r.dxf: crosses or touches itself"}},
		{"flat", dxfOf("ROOF 0 0 100 0 50 0"), []string{"r.dxf: crosses or touches itself"}},
		{"tiny", dxfOf(square, "ROOF_b 0 0 1 0 1 1"), []string{"r.dxf: encloses next to nothing"}},
		{"three lines", dxfOf(square, "ROOF_b 0 0 50 0", "ROOF_b 50 0 50 50", "ROOF_b 50 50 0 0", "ROOF_b 50 50 90 90"),
			[]string{`r.dxf: 3 lines of the layer "ROOF_b" meet at x 50 in, y 50 in`, "r.dxf: is open at x 90 in, y 90 in"}},
		{"hole outside", dxfOf(square, "HOLE 200 0 210 0 210 10"), []string{"r.dxf: the hole lies in no plane"}},
		{"hole across", dxfOf(square, "HOLE 90 0 110 0 110 10"), []string{"r.dxf: the hole lies in no plane"}},
		{"hole of two", dxfOf(square, "ROOF_b 0 0 90 0 90 90 0 90", "HOLE 10 10 20 10 20 20"), []string{`r.dxf: the hole lies in the planes "a" and "b"`}},
		{"holes overlap", dxfOf(square, "HOLE 10 10 30 10 30 30", "HOLE 10 10 30 10 30 20"), []string{"r.dxf: holes of the plane \"a\" overlap"}},
		{"vent outside", dxfOf(square, "VENT 200 0 210 0 210 10"), []string{`r.dxf: the obstruction "vent" lies in no plane`}},
		{"no number", dxfOf("ROOF 0 zero 100 0 100 100"), []string{`r.dxf:24:1: "zero" is no coordinate`}},
		{"no planes", dxfOf("HOLE 0 0 100 0 100 100"), []string{"r.dxf:1:1: no layer of the drawing holds a roof plane"}},
		{"empty", "", []string{"r.dxf:1:1: ends too early"}},
		{"cut off", dxfOf(square)[:150], []string{"r.dxf: ends too early"}},
		{"no drawing", "name,kind\na,b\n", []string{`r.dxf:1:1: "name,kind" is no group code`}},
		{"binary", "Binary DXF\r\n\x1a\x00\x00", []string{"r.dxf:1:1: this is a binary file"}},
		{"gap within tolerance", dxfOf("ROOF 0 0 100 0", "ROOF 100.05 0 100 80", "ROOF 100 80 0 0.05", "ROOF 0 0 100 0", "ROOF 5 5 5 5"), []string{"roof: 0,0 100,0 100,80"}},
		{"doubled corner", dxfOf("ROOF 0 0 100 0 100 0.01 100 80 0 0"), []string{"roof: 0,0 100,0 100,80"}},
		{"several on a layer", dxfOf("ROOF 0 0 100 0 100 80", "ROOF 0 0 100 80 0 80"), []string{"roof 1: 0,0 100,0 100,80", "roof 2: 0,0 100,80 0,80"}},
		{"windows", strings.ReplaceAll(dxfOf(square), "\n", "\r\n"), []string{"a: 0,0 100,0 100,100 0,100"}},
		{"far away", dxfOf("ROOF -1000000.125 5000000.5 -999900.125 5000000.5 -999900.125 5000080.75"), []string{"roof: 0,0 100,0 100,80.25"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			j, _, err := drafted(Options{}, text("r.dxf", c.drawing))
			if strings.HasPrefix(c.want[0], "r.dxf") {
				refused(t, err, c.want...)
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			var got []string
			for _, p := range j.Planes {
				got = append(got, p.Name.Value+": "+plan(p.Outline.Value, inch))
			}
			if !slices.Equal(got, c.want) {
				t.Errorf("the planes are %q, expected %q", got, c.want)
			}
		})
	}
}

// A drawing that another program wrote: mirrored polylines, whose x runs the other
// way, corners in space, widths, a circle for an obstruction, and blocks and sheets
// beside what is drawn.
func TestDrawingOfAnotherWriter(t *testing.T) {
	square := func(kind, extra string, x ...string) string {
		text := "0\n" + kind + "\n5\n2F\n100\nAcDbEntity\n8\nROOF a\n100\nAcDbPolyline\n90\n4\n70\n1\n43\n0.5\n" + extra
		for i, x := range x {
			y := []string{"0", "0", "80", "80"}[i]
			if kind == "POLYLINE" {
				text += "0\nVERTEX\n8\nROOF a\n70\n32\n10\n" + x + "\n20\n" + y + "\n30\n9.5\n"
			} else {
				text += "10\n" + x + "\n20\n" + y + "\n40\n0.5\n41\n0.5\n91\n0\n"
			}
		}
		if kind == "POLYLINE" {
			text += "0\nSEQEND\n"
		}
		return text
	}
	const mirrored = "210\n0.0\n220\n0.0\n230\n-1.0\n"
	round := func(extra, x string) string {
		return "0\nCIRCLE\n5\n30\n8\nVENT stack\n10\n" + x + "\n20\n40\n30\n0\n40\n2.5\n" + extra
	}
	drawing := func(entities string) string {
		blocks := "0\nSECTION\n2\nBLOCKS\n0\nBLOCK\n2\nroof\n0\nLINE\n8\nROOF a\n10\n0\n20\n0\n11\n9\n21\n9\n0\nENDBLK\n0\nENDSEC\n"
		sheet := "0\nCIRCLE\n67\n1\n8\nROOF a\n10\n0\n20\n0\n40\n1\n"
		return strings.Replace(strings.Replace(dxfOf(), "0\nSECTION\n2\nENTITIES\n", blocks+"0\nSECTION\n2\nENTITIES\n"+sheet, 1), "0\nENDSEC\n0\nEOF", entities+"0\nENDSEC\n0\nEOF", 1)
	}
	for name, c := range map[string]struct{ entities, want string }{
		"widths":          {square("LWPOLYLINE", "", "0", "100", "100", "0") + round("", "30"), "0,0 100,0 100,80 0,80"},
		"mirrored":        {square("LWPOLYLINE", mirrored, "0", "-100", "-100", "0") + round(mirrored, "-30"), "0,0 100,0 100,80 0,80"},
		"mirrored, older": {square("POLYLINE", mirrored, "0", "-100", "-100", "0") + round("", "30"), "0,0 100,0 100,80 0,80"},
	} {
		j, _, err := drafted(Options{}, text("r.dxf", drawing(c.entities)))
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if got := plan(j.Planes[0].Outline.Value, inch); got != c.want {
			t.Errorf("%s: the plane is %s, expected %s", name, got, c.want)
		}
		if o := j.Obstructions; len(o) != 1 || o[0].Name.Value != "stack" || o[0].Kind.Value != "vent" || math.Abs(o[0].Diameter.Value.SI-5*inch) > 1e-9 {
			t.Errorf("%s: the obstructions are %+v", name, o)
		}
	}
	for what, c := range map[string]struct{ entities, want string }{
		"a circle for a plane": {strings.Replace(round("", "30"), "VENT stack", "ROOF b", 1), "cannot be read, and the outline may need it"},
		"no radius":            {strings.Replace(round("", "30"), "2.5", "-1", 1), `"-1" is no radius`},
		"a circle on edge":     {round("210\n1.0\n220\n0.0\n230\n0.0\n", "30"), "is drawn on a plane of its own"},
		"a circle far off":     {round("", "300"), `the obstruction "stack" lies in no plane`},
	} {
		_, _, err := drafted(Options{}, text("r.dxf", drawing(square("LWPOLYLINE", "", "0", "100", "100", "0")+c.entities)))
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v", what, err)
		}
	}
}

// A plane that the test writes as GeoJSON, by another way from metres to degrees,
// comes back within a millimetre.
func TestGeoJSONRoundTrip(t *testing.T) {
	roof := [][2]float64{{-18.25, -9.5}, {20.125, -9.5}, {20.125, 11.75}, {3, 4.5}, {-18.25, 11.75}}
	for _, system := range []quantity.System{quantity.US, quantity.SI} {
		for _, place := range [][2]float64{{-93.26, 44.98}, {-157.8, 21.3}, {-147.7, 64.8}, {151.2, -33.9}} {
			var ring []string
			for i := range len(roof) + 1 {
				p := roof[i%len(roof)]
				lon, lat := direct(place[0], place[1], math.Atan2(p[0], p[1]), math.Hypot(p[0], p[1]))
				ring = append(ring, fmt.Sprintf("[%.10f, %.10f]", lon, lat))
			}
			j, _ := mustDraft(t, Options{System: system}, text("r.geojson", `{"type": "Feature", "properties": {"name": "south \"1\""}, "geometry":
				{"type": "Polygon", "coordinates": [[`+strings.Join(ring, ",\r\n")+`]]}}`))
			if j.Planes[0].Name.Value != `south "1"` || len(j.Planes[0].Outline.Value) != len(roof) {
				t.Fatalf("the plane is %+v", j.Planes[0])
			}
			for i, p := range j.Planes[0].Outline.Value {
				if off := math.Hypot(p.X-(roof[i][0]+18.25), p.Y-(roof[i][1]+9.5)); off > 0.001 {
					t.Errorf("at %v corner %d is %.5f m off", place, i+1, off)
				}
			}
		}
	}
}

func TestGeoJSONShapes(t *testing.T) {
	const a, b, c, d = "[-93.1,44.5]", "[-93.0999,44.5]", "[-93.0999,44.5001]", "[-93.1,44.5001]"
	ring := func(corners ...string) string { return "[" + strings.Join(corners, ",") + "]" }
	polygon := func(rings ...string) string {
		return `{"type":"Polygon","coordinates":[` + strings.Join(rings, ",") + "]}"
	}
	hole := ring("[-93.09995,44.50002]", "[-93.09995,44.50005]", "[-93.09992,44.50005]", "[-93.09995,44.50002]")
	for _, x := range []struct {
		name, file string
		want       []string // faults
		notes      []string
	}{
		{"plain", polygon(ring(a, b, c, d, a)), nil, []string{"1 plane", "4 digits behind the point"}},
		{"hole", polygon(ring(a, b, c, d, a), hole), nil, nil},
		{"clockwise", polygon(ring(a, d, c, b, a)), nil, []string{"1 ring runs in the order of older files"}},
		{"older name of the system", strings.Replace(polygon(ring(a, b, c, d, a)), "{", `{"crs":{"type":"name","properties":{"name":"`+crs84+`"}},`, 1), nil, nil},
		{"other system", strings.Replace(polygon(ring(a, b, c, d, a)), "{", `{"crs":{"type":"name","properties":{"name":"EPSG:2154"}},`, 1), []string{`r.json:1:8: another system, "EPSG:2154"`}, nil},
		{"no system", strings.Replace(polygon(ring(a, b, c, d, a)), "{", `{"crs":null,`, 1), []string{"r.json:1:8: another system"}, nil},
		{"open", polygon(ring(a, b, c, d)), []string{"r.json:1:83: is not closed"}, nil},
		{"closed twice", polygon(ring(a, b, c, d, a, a)), []string{"r.json:1:112: has its closing position twice"}, nil},
		{"corner twice", polygon(ring(a, b, b, c, d, a)), []string{"r.json:1:64: the same position twice in a row"}, nil},
		{"crossing", polygon(ring(a, c, b, d, a)), []string{"r.json:1:67: crosses or touches itself"}, nil},
		{"line", polygon(ring(a, b, a)), []string{"r.json:1:34: has 3 positions"}, nil},
		{"hole outside", polygon(ring(a, b, c, d, a), ring("[-93.2,44.5]", "[-93.1999,44.5]", "[-93.1999,44.5001]", "[-93.2,44.5]")), []string{"r.json: does not lie in its outline"}, nil},
		{"metres", polygon(ring("[500000,4900000]", "[500010,4900000]", "[500010,4900008]", "[500000,4900000]")),
			[]string{"r.json:1:35: in metres or feet", "r.json:1:52: in metres or feet", "r.json:1:69: in metres or feet", "r.json:1:86: in metres or feet"}, nil},
		{"local metres", polygon(ring("[0,0]", "[12,0]", "[12,8]", "[0,8]", "[0,0]")), []string{"r.json:1:35: at most 10 km are read"}, nil},
		{"turned", polygon(ring("[44.5,-93.1]", b, c, a)), []string{"r.json:1:35: latitude seems to stand before longitude"}, nil},
		{"meridian", polygon(ring("[179.9999,10]", "[-179.9999,10]", "[-179.9999,10.0001]", "[179.9999,10]")), []string{"r.json:1:35: on both sides of the meridian"}, nil},
		{"pole", polygon(ring("[0,89.5]", "[0.001,89.5]", "[0.001,89.5001]", "[0,89.5]")), []string{"r.json:1:35: at a pole", "r.json:1:44: at a pole", "r.json:1:57: at a pole", "r.json:1:73: at a pole"}, nil},
		{"words", polygon(ring(`["west","north"]`, b, c, a)), []string{"r.json:1:36: no number of degrees"}, nil},
		{"no position", polygon(ring("[1]", b, c, "7")), []string{"r.json:1:35: no position", "r.json: no position"}, nil},
		{"no rings", `{"type":"Polygon"}`, []string{"r.json:1:1: has no rings"}, nil},
		{"type", `{"type":"polygon","coordinates":[]}`, []string{`r.json:1:9: did you mean "Polygon"`}, nil},
		{"only points", `{"type":"FeatureCollection","features":[{"type":"Feature","geometry":{"type":"Point","coordinates":[1,2]}}]}`, []string{"r.json:1:1: has no outlines"}, nil},
		{"no geometry", `{"type":"GeometryCollection","geometries":[{"type":"Feature","geometry":null},` + polygon(ring(a, b, c, d, a)) + "]}", nil, []string{"1 x Feature without a geometry"}},
		{"no list", `{"type":"FeatureCollection"}`, []string{`r.json:1:1: has no list "features"`}, nil},
		{"no object", `[1]`, []string{"r.json:1:1: no object"}, nil},
		{"no JSON", `{"type" "Polygon"}`, []string{"r.json:1:9: not JSON"}, nil},
		{"more", polygon(ring(a, b, c, d, a)) + "{}", []string{"r.json: more follows"}, nil},
		{"deep", strings.Repeat("[", 100), []string{"r.json: stand inside one another"}, nil},
		{"empty", "", []string{"r.json:1:1: ends too early"}, nil},
		{"not text", "\xff\xfe{\x00", []string{"r.json:1:1: not text"}, nil},
	} {
		t.Run(x.name, func(t *testing.T) {
			_, r, err := drafted(Options{}, text("r.json", x.file))
			if x.want != nil {
				refused(t, err, x.want...)
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			noted(t, r, x.notes...)
		})
	}
}

func TestNamesOfPlanes(t *testing.T) {
	outlines := []outline{{name: "plane"}, {name: "plane 1"}, {name: "plane"}, {name: "south"}}
	numbered(outlines)
	var got []string
	for _, o := range outlines {
		got = append(got, o.name)
	}
	if want := []string{"plane 2", "plane 1", "plane 3", "south"}; !slices.Equal(got, want) {
		t.Errorf("the names are %q, expected %q", got, want)
	}
}
