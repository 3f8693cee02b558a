package from

import (
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"plumbrule/internal/quantity"
	"plumbrule/internal/source"
)

// geography reads outlines of planes from a GeoJSON file (RFC 7946): polygons in
// longitude and latitude.
func (r *reader) geography(f *source.File) {
	root, fault := parseJSON(f)
	if fault != nil {
		r.faults = append(r.faults, *fault)
		return
	}
	g := &geography{reader: r, file: f, passed: map[string]int{}, ignored: map[string]bool{}}
	before := len(r.faults)
	g.system(root)
	g.any(root, nil)
	if len(r.faults) > before {
		return
	}
	switch n := len(g.outlines); {
	case n == 0:
		r.fault(f.Start(), "polygons or multipolygons of roof planes are expected", "the file has no outlines")
		return
	case n > mostOutlines:
		r.fault(f.Start(), fmt.Sprintf("at most %d are read", mostOutlines), "the file has %d outlines", n)
		return
	}
	g.project()
}

// geography gathers what a file has. Corners are longitude and latitude until
// they are projected.
type geography struct {
	*reader
	file     *source.File
	outlines []outline
	places   int             // digits behind the point of the most precise coordinate
	passed   map[string]int  // shapes that are no outlines
	ignored  map[string]bool // properties that are not read
	heights  bool            // coordinates have a third number
	turned   int             // outlines that run clockwise
}

// crs84 is the name that older files give to longitude and latitude on WGS 84.
const crs84 = "urn:ogc:def:crs:OGC:1.3:CRS84"

// system refuses coordinates of another system than that of RFC 7946.
func (g *geography) system(root *value) {
	crs := root.get("crs")
	if crs == nil || crs.object() && crs.get("properties").get("name").text() == crs84 {
		return
	}
	name := crs.get("properties").get("name").text()
	g.fault(crs.at, "longitude and latitude on WGS 84 are expected, which have no member \"crs\" (RFC 7946); write the file anew as such", "the file has coordinates of another system%s", called(name))
}

func called(name string) string {
	if name == "" {
		return ""
	}
	return fmt.Sprintf(", %q", name)
}

// shapes are the types of objects of a GeoJSON file.
var shapes = []string{"FeatureCollection", "Feature", "Polygon", "MultiPolygon", "GeometryCollection", "Point", "MultiPoint", "LineString", "MultiLineString"}

// any reads an object with all that it holds; feature is the one that it belongs to.
func (g *geography) any(v, feature *value) {
	if !v.object() {
		g.fault(v.at, "an object with a type is expected", "this is no object of a GeoJSON file")
		return
	}
	kind := v.get("type")
	switch kind.text() {
	case "FeatureCollection":
		g.each(v, "features", v)
	case "GeometryCollection":
		g.each(v, "geometries", feature)
	case "Feature":
		geometry := v.get("geometry")
		if geometry == nil || geometry.at.Text() == "null" {
			g.passed["Feature without a geometry"]++
			return
		}
		g.any(geometry, v)
	case "Polygon":
		g.polygon(v.get("coordinates"), v, g.name(feature))
	case "MultiPolygon":
		list := v.get("coordinates")
		if list == nil || !list.array {
			g.fault(v.at, "a list of polygons is expected", "the MultiPolygon has no coordinates")
			return
		}
		name := g.name(feature)
		for _, p := range list.items {
			g.polygon(p, v, name)
		}
	case "Point", "MultiPoint", "LineString", "MultiLineString":
		g.passed[kind.text()]++
	default:
		at := v.at
		if kind != nil {
			at = kind.at
		}
		near, _ := quantity.Nearest(kind.text(), shapes)
		g.faults = append(g.faults, source.Fault{At: source.Span{File: at.File, Start: at.Start, End: at.Start}, Message: fmt.Sprintf("%q is no type of a GeoJSON object", kind.text()), Expected: "one of " + strings.Join(shapes, ", ") + " is expected", Nearest: near})
	}
}

func (g *geography) each(v *value, key string, feature *value) {
	list := v.get(key)
	if list == nil || !list.array {
		g.fault(v.at, "", "the %s has no list %q", v.get("type").text(), key)
		return
	}
	for _, item := range list.items {
		g.any(item, feature)
	}
}

// name is what a feature is called: its property "name", else its id.
func (g *geography) name(feature *value) string {
	properties := feature.get("properties")
	if properties.object() {
		for _, key := range properties.keys {
			if key != "name" {
				g.ignored[key] = true
			}
		}
	}
	for _, v := range []*value{properties.get("name"), feature.get("id")} {
		if v == nil {
			continue
		}
		switch s := v.scalar.(type) {
		case string:
			if strings.TrimSpace(s) != "" {
				return strings.TrimSpace(s)
			}
		case json.Number:
			return s.String()
		}
	}
	return planeKey
}

// polygon reads the rings of a polygon: its outline, then its holes.
func (g *geography) polygon(list, owner *value, name string) {
	if list == nil || !list.array || len(list.items) == 0 {
		at := owner.at
		if list != nil {
			at = list.at
		}
		g.fault(at, "a list of closed rings, each a list of positions, is expected", "the polygon has no rings")
		return
	}
	o := outline{name: name}
	for i, item := range list.items {
		what := fmt.Sprintf("the outline of %q", name)
		if i > 0 {
			what = fmt.Sprintf("hole %d of %q", i, name)
		}
		ring, ok := g.ring(item, what)
		if !ok {
			return
		}
		if (ring.area() > 0) != (i == 0) {
			g.turned++
		}
		o.rings = append(o.rings, ring)
	}
	g.outlines = append(g.outlines, o)
}

// ring reads a closed ring, whose last position is its first.
func (g *geography) ring(list *value, what string) (ring, bool) {
	if !list.array {
		g.fault(list.at, "a list of positions is expected", "%s is no ring", what)
		return nil, false
	}
	before := len(g.faults)
	var o ring
	for _, item := range list.items {
		if c, ok := g.position(item); ok {
			o = append(o, c)
		}
	}
	if len(g.faults) > before {
		return nil, false
	}
	n := len(o)
	if n < 4 {
		g.fault(list.at, "four positions or more are expected, of which the last is the first", "%s has %s", what, counted(n, "position", "positions"))
		return nil, false
	}
	if o[0].x != o[n-1].x || o[0].y != o[n-1].y {
		g.faults = append(g.faults, source.Fault{At: o[n-1].at, Message: what + " is not closed", Expected: "its last position is its first",
			Also: []source.Further{{At: o[0].at, Note: "it begins here"}}})
		return nil, false
	}
	for i := 1; i < n; i++ {
		if o[i].x != o[i-1].x || o[i].y != o[i-1].y {
			continue
		}
		message := what + " has the same position twice in a row"
		if i == n-1 {
			message = what + " has its closing position twice"
		}
		g.faults = append(g.faults, source.Fault{At: o[i].at, Message: message, Expected: "each corner stands once", Also: []source.Further{{At: o[i-1].at, Note: source.FirstHere}}})
	}
	if len(g.faults) > before {
		return nil, false
	}
	o = o[:n-1]
	return o, g.sound(o, what)
}

// position reads a longitude and a latitude. A height behind them is not read.
func (g *geography) position(v *value) (corner, bool) {
	const expected = "a position is expected: [longitude, latitude]"
	if !v.array || len(v.items) < 2 {
		g.fault(v.at, expected, "this is no position")
		return corner{}, false
	}
	var numbers [2]float64
	for i := range numbers {
		number, ok := v.items[i].scalar.(json.Number)
		x, err := strconv.ParseFloat(number.String(), 64)
		if !ok || err != nil {
			g.fault(v.items[i].at, expected, "this is no number of degrees")
			return corner{}, false
		}
		_, places, _ := strings.Cut(number.String(), ".")
		g.places = max(g.places, len(places))
		numbers[i] = x
	}
	g.heights = g.heights || len(v.items) > 2
	switch lon, lat := numbers[0], numbers[1]; {
	case math.Abs(lon) > 180 || math.Abs(lat) > 90:
		problem := "longitude is within 180 and latitude within 90 degrees"
		switch {
		case math.Abs(lon) <= 90 && math.Abs(lat) <= 180:
			problem += "; latitude seems to stand before longitude"
		case math.Abs(lon) > 360 || math.Abs(lat) > 360:
			problem += "; these seem to be lengths of a projection, in metres or feet"
		}
		g.fault(v.at, problem, "the position %s, %s is on no map", v.items[0].at.Text(), v.items[1].at.Text())
		return corner{}, false
	case math.Abs(lat) > 89:
		g.fault(v.at, "", "the position is at a pole, where no roof is drawn by east and north")
		return corner{}, false
	}
	return corner{numbers[0], numbers[1], v.at}, true
}

// farthest bounds a roof, in metres.
const farthest = 5_000

// project turns longitude and latitude to east and north of the south-west
// corner of all outlines.
func (g *geography) project() {
	west, south, east, north := extent(g.outlines)
	lon, lat := (west+east)/2, (south+north)/2
	if east-west > 180 {
		g.fault(g.outlines[0].rings[0].at(), "outlines on one side of it are expected", "the outlines lie on both sides of the meridian of 180 degrees")
		return
	}
	if wide, high := (east-west)*111_320*math.Cos(radians(lat)), (north-south)*111_320; max(wide, high) > 2*farthest {
		g.fault(g.outlines[0].rings[0].at(), fmt.Sprintf("at most %d km are read; are these lengths instead of longitude and latitude?", 2*farthest/1000), "the outlines lie %.0f km apart", max(wide, high)/1000)
		return
	}
	t := newTangent(lon, lat)
	before := len(g.faults)
	for _, o := range g.outlines {
		for _, ring := range o.rings {
			for i, c := range ring {
				ring[i].x, ring[i].y = t.plan(c.x, c.y)
			}
		}
		g.sizeable(o, 1)
		g.holed(o)
	}
	if len(g.faults) > before {
		return
	}
	numbered(g.outlines)
	s := scale{unit: "m", places: 3, factor: 1}
	if g.options.System == quantity.US {
		s = scale{unit: "ft", places: 3, factor: 1 / 0.3048}
	}
	s.west, s.south, _, _ = extent(g.outlines)
	g.planes(g.outlines, s)
	g.say(lon, lat, s)
}

// say notes what was made of the file and what was passed over.
func (g *geography) say(lon, lat float64, s scale) {
	name := g.file.Name
	g.note("%s: %s, as seen from straight above at latitude %.6f, longitude %.6f on the ellipsoid of WGS 84; x is east and y north of the south-west corner of them all",
		name, counted(len(g.outlines), "plane", "planes"), lat, lon)
	if step := 111_320 * math.Pow(10, -float64(g.places)); step > 0.002 {
		g.note("%s: its coordinates have %s behind the point, a step of %s on the ground: measure what must be closer", name, counted(g.places, "digit", "digits"), scale{unit: s.unit, places: 2, factor: s.factor}.length(step))
	}
	if g.heights {
		g.note("%s: the heights in its coordinates are not read", name)
	}
	if g.turned > 0 {
		g.note("%s: %s in the order of older files (outlines are anticlockwise and holes clockwise by RFC 7946), which changes nothing here", name, counted(g.turned, "ring runs", "rings run"))
	}
	for _, shape := range slices.Sorted(maps.Keys(g.passed)) {
		g.note("%s: not read: %d x %s", name, g.passed[shape], shape)
	}
	if len(g.ignored) > 0 {
		g.note("%s: properties not read: %s", name, strings.Join(slices.Sorted(maps.Keys(g.ignored)), ", "))
	}
}
