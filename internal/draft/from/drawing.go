package from

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"plumbrule/internal/bound"
	"plumbrule/internal/draft"
	"plumbrule/internal/job"
	"plumbrule/internal/source"
)

// What a layer holds.
const (
	rolePlane       = "plane"
	roleHole        = "hole"
	roleObstruction = "obstruction"
)

// Roles are the words for what a layer of a drawing holds: planes, holes in
// them, obstructions, or obstructions of a kind ("skylight").
func Roles() []string {
	list, _ := job.Model().Field(roleObstruction)
	kind, _ := list.Table.Field("kind")
	return append([]string{rolePlane, roleHole, roleObstruction}, kind.Choice...)
}

// circle is the kind of a round obstruction.
const circle = "CIRCLE"

// joined is how far apart two ends may lie, in metres, that are drawn as one
// corner: 1.5 mm, a sixteenth of an inch.
const joined = 0.0015

// drawing reads outlines from a DXF file, by the names of their layers.
func (r *reader) drawing(f *source.File) {
	file, fault := parseDXF(f)
	if fault != nil {
		r.faults = append(r.faults, *fault)
		return
	}
	d := &drawing{reader: r, file: f, dxf: file, layers: map[string]*layer{}, passed: map[string]int{}, round: map[source.Span]float64{}}
	before := len(r.faults)
	d.sort()
	d.setUnit()
	if d.unit == "" || !d.sized() {
		return
	}
	var planes, holes []outline
	outlines := 0
	obstructions := map[string][]outline{}
	for _, name := range d.order {
		l := d.layers[name]
		if l.unread {
			continue // what is left of it would be open
		}
		rings := d.rings(l)
		if outlines += len(rings); outlines > mostOutlines {
			r.fault(l.entities[0].at(), fmt.Sprintf("at most %d are read", mostOutlines), "the layers up to %q have %d outlines", l.name, outlines)
			return
		}
		for _, drawn := range rings {
			o := outline{name: l.of, rings: []ring{drawn}}
			switch l.role {
			case rolePlane:
				o.name = cmp.Or(l.of, "roof")
				planes = append(planes, o)
			case roleHole:
				holes = append(holes, o)
			default:
				obstructions[l.role] = append(obstructions[l.role], o)
				continue
			}
			d.sizeable(o, metres[d.unit])
		}
	}
	if len(r.faults) > before {
		return
	}
	numbered(planes)
	for _, h := range holes {
		if i := d.within(h, planes, "the hole"); i >= 0 {
			planes[i].rings = append(planes[i].rings, h.rings[0])
		}
	}
	for _, p := range planes {
		d.holed(p)
	}
	s := scale{unit: d.unit, places: 6, factor: 1}
	s.west, s.south, _, _ = extent(planes)
	r.planes(planes, s)
	d.obstacles(obstructions, planes, s)
	d.say(planes, obstructions)
}

// drawing is a DXF file while it is read.
type drawing struct {
	*reader
	file   *source.File
	dxf    *dxf
	unit   string
	layers map[string]*layer       // that have a role, by name
	order  []string                // their names as they come
	passed map[string]int          // what is not read, by layer and kind
	round  map[source.Span]float64 // diameters of circles, by where they begin
	said   []string                // further notes
}

// layer is a layer of the drawing that has a role.
type layer struct {
	name, role string
	of         string // the name of the plane or obstruction
	unread     bool   // whether it has what cannot be read
	entities   []*entity
}

// sort puts the entities to their layers, and notes those that are not read.
func (d *drawing) sort() {
	lined := map[string]bool{}
	for i := range d.dxf.entities {
		e := &d.dxf.entities[i]
		name := e.layer()
		role, of := d.role(name)
		drawn := e.kind == "LINE" || e.kind == "LWPOLYLINE" || e.kind == "POLYLINE" || e.kind == circle && role != "" && role != rolePlane && role != roleHole
		switch {
		case e.kind == "":
			continue
		case drawn && e.text(67) != "1":
			lined[name] = true
		}
		switch {
		case e.text(67) == "1":
			d.pass(e, "on a sheet of the paper space")
		case role == "":
			d.pass(e, "")
		case drawn:
			l := d.layer(name, role, of)
			l.entities = append(l.entities, e)
			l.unread = !d.legible(e) || l.unread
		case outlining[e.kind]:
			d.layer(name, role, of).unread = true
			d.fault(e.at(), "lines and polylines with straight sides are expected, and circles for obstructions", "the %s on the layer %q cannot be read, and the outline may need it", e.label(), name)
		default:
			d.pass(e, "")
		}
	}
	d.known(slices.Sorted(maps.Keys(lined)))
}

// layer is the layer of a name, which is noted when it is first asked for.
func (d *drawing) layer(name, role, of string) *layer {
	if d.layers[name] == nil {
		d.layers[name] = &layer{name: name, role: role, of: of}
		d.order = append(d.order, name)
	}
	return d.layers[name]
}

// outlining are the kinds of entities, beside those that are read, that may be
// a part of an outline.
var outlining = map[string]bool{"ARC": true, "CIRCLE": true, "ELLIPSE": true, "SPLINE": true, "INSERT": true, "MLINE": true,
	"3DFACE": true, "SOLID": true, "TRACE": true, "REGION": true, "MESH": true, "BODY": true, "3DSOLID": true, "SURFACE": true}

func (d *drawing) pass(e *entity, where string) {
	what := fmt.Sprintf("%s on the layer %q", e.kind, e.layer())
	if where != "" {
		what += " " + where
	}
	d.passed[what]++
}

// role is what a layer holds and the name of it, by the command line or by the
// first word of the layer's own name.
func (d *drawing) role(name string) (role, of string) {
	for given, role := range d.options.Layers {
		if strings.EqualFold(given, name) {
			return role, name
		}
	}
	word, rest := name, ""
	if i := strings.IndexAny(name, " -_"); i >= 0 {
		word, rest = name[:i], strings.Trim(name[i:], " -_")
	}
	word = strings.ToLower(word)
	if word == "roof" {
		word = rolePlane
	}
	for _, role := range Roles() {
		// A kind of two words, as "smoke-vent", is looked for in the whole name.
		if strings.Contains(role, "-") {
			if after, ok := strings.CutPrefix(strings.NewReplacer(" ", "-", "_", "-").Replace(strings.ToLower(name)), role); ok && (after == "" || after[0] == '-') {
				return role, strings.Trim(name[len(role):], " -_")
			}
		}
	}
	if slices.Contains(Roles(), word) {
		return word, rest
	}
	return "", ""
}

// known refuses a drawing without planes, and layers of the command line that it lacks.
func (d *drawing) known(lined []string) {
	if d.reader.layers == nil {
		d.reader.layers = map[string]bool{}
	}
	for given := range d.options.Layers {
		for _, name := range lined {
			if strings.EqualFold(given, name) {
				d.reader.layers[strings.ToLower(given)] = true
			}
		}
	}
	if slices.ContainsFunc(d.order, func(name string) bool { return d.layers[name].role == rolePlane }) {
		return
	}
	there := "no layer has lines or polylines"
	if len(lined) > 0 {
		there = "the layers with lines are " + strings.Join(quoted(lined), ", ")
	}
	d.fault(d.file.Start(), `name it "ROOF south", or say which it is, as in --layer "A-ROOF=plane"; `+there, "no layer of the drawing holds a roof plane")
}

func quoted(names []string) []string {
	list := make([]string, len(names))
	for i, n := range names {
		list[i] = strconv.Quote(n)
	}
	return list
}

// legible reports whether a line or polyline has nothing that would be read
// wrongly, and notes what it has.
func (d *drawing) legible(e *entity) bool {
	before := len(d.faults)
	for _, part := range append([]entity{*e}, e.parts...) {
		for _, g := range part.groups {
			if !coordinate(g.code) {
				continue
			}
			if x, err := strconv.ParseFloat(g.text, 64); err != nil || math.Abs(x) > 1e12 || math.IsNaN(x) {
				d.fault(g.at, "a number is expected", "%s on the layer %q: %q is no coordinate", e.label(), e.layer(), shorten(g.text))
			}
		}
	}
	bulged := func(p *entity) bool {
		return slices.ContainsFunc(p.groups, func(g group) bool { return g.code == 42 && !zero(g.text) })
	}
	const straight = "straight sides are expected; draw the side as short ones"
	switch {
	case e.kind == "LWPOLYLINE" && bulged(e) || slices.ContainsFunc(e.parts, func(p entity) bool { return bulged(&p) }):
		d.fault(e.at(), straight, "%s on the layer %q has a curved side", e.label(), e.layer())
	case e.kind == circle && !(e.number(40) > 0 && e.number(40) <= 1e12):
		d.fault(e.at(), "a number above zero is expected", "%s on the layer %q: %q is no radius", e.label(), e.layer(), shorten(e.text(40)))
	case e.kind == "POLYLINE" && e.flag(2|4):
		d.fault(e.at(), straight, "%s on the layer %q is fitted to a curve", e.label(), e.layer())
	case e.kind == "POLYLINE" && e.flag(16|64):
		d.fault(e.at(), "lines and polylines are expected", "%s on the layer %q is a mesh", e.label(), e.layer())
	case e.kind != "LINE" && !e.solid() && (e.text(230) != "" && math.Abs(e.number(230)) != 1 || e.number(210) != 0 || e.number(220) != 0):
		d.fault(e.at(), "one drawn in plan is expected", "%s on the layer %q is drawn on a plane of its own (codes 210 to 230)", e.label(), e.layer())
	}
	return len(d.faults) == before
}

func zero(text string) bool { x, err := strconv.ParseFloat(text, 64); return err == nil && x == 0 }

// coordinate reports whether a code is one of the numbers that are read.
func coordinate(code int) bool {
	switch code {
	case 10, 11, 20, 21, 30, 31, 38, 42, 210, 220, 230:
		return true
	}
	return false
}

// setUnit finds the unit of the coordinates: what the command line says, else
// what the file says.
func (d *drawing) setUnit() {
	said, given := d.dxf.unit, d.options.Unit
	switch {
	case given != "":
		d.unit = given
		if said != "" && said != given {
			d.said = append(d.said, fmt.Sprintf("the drawing says that its unit is %s, and is read in %s as --unit says", said, given))
		}
	case said != "":
		d.unit = said
	case d.dxf.unitCode != "" && d.dxf.unitCode != "0":
		d.fault(d.dxf.unitAt, "say which it is drawn in, as in --unit ft", "the unit of the drawing, $INSUNITS %s, is none of %s", shorten(d.dxf.unitCode), strings.Join(drawingUnits, ", "))
	default:
		d.fault(d.file.Start(), "say which it is drawn in, as in --unit ft; the units are "+strings.Join(drawingUnits, ", "), "the drawing names no unit")
	}
}

// sized refuses planes of a size that no roof has, which a wrong unit makes.
func (d *drawing) sized() bool {
	var all []outline
	for _, name := range d.order {
		if l := d.layers[name]; l.role == rolePlane {
			for _, e := range l.entities {
				all = append(all, outline{rings: []ring{corners(e)}})
			}
		}
	}
	west, south, east, north := extent(all)
	span := max(east-west, north-south)
	if len(all) == 0 || span*metres[d.unit] >= 1 && span*metres[d.unit] <= 2*farthest {
		return true
	}
	d.fault(all[0].rings[0].at(), "another unit is said by --unit; the units are "+strings.Join(drawingUnits, ", "), "the planes are %s long in all, which no roof is", d.written(span))
	return false
}

// within finds the one plane that a hole or obstruction lies in; -1 where it is
// in none or in several, which is noted.
func (d *drawing) within(o outline, planes []outline, what string) int {
	found := -1
	for i, p := range planes {
		if !p.rings[0].covers(o.rings[0]) {
			continue
		}
		if found >= 0 {
			d.fault(o.rings[0].at(), "one plane that it lies in is expected", "%s lies in the planes %q and %q", what, planes[found].name, p.name)
			return -1
		}
		found = i
	}
	if found < 0 {
		d.fault(o.rings[0].at(), "one plane that it lies in is expected", "%s lies in no plane", what)
	}
	return found
}

// obstacles writes obstructions. Their place on the surface follows from the
// slope, which a drawing in plan does not have, and stays open.
func (d *drawing) obstacles(byRole map[string][]outline, planes []outline, s scale) {
	for _, role := range slices.Sorted(maps.Keys(byRole)) {
		list := byRole[role]
		for i := range list {
			if list[i].name == "" {
				list[i].name = strings.ReplaceAll(role, "-", " ")
			}
		}
		numbered(list)
		for _, o := range list {
			plane := d.within(o, planes, fmt.Sprintf("the obstruction %q", o.name))
			if plane < 0 {
				continue
			}
			at := o.rings[0].at()
			west, south, east, north := extent([]outline{o})
			across := d.round[at]
			t := &draft.Table{Key: roleObstruction, List: true, From: at,
				Note: fmt.Sprintf("in plan from %s to %s east and from %s to %s north; measured on the surface it is further up the slope",
					s.length(west-s.west), s.length(east-s.west), s.length(south-s.south), s.length(north-s.south)),
				Entries: []draft.Entry{
					{Key: "name", Value: job.Quote(o.name), From: at},
					{Key: "plane", Value: job.Quote(planes[plane].name), From: at},
				}}
			if role != roleObstruction {
				t.Entries = append(t.Entries, draft.Entry{Key: "kind", Value: job.Quote(role), From: at})
			}
			if across > 0 {
				t.Entries = append(t.Entries, draft.Entry{Key: "diameter", Value: job.Quote(s.length(across)), From: at})
			}
			d.Tables = append(d.Tables, t)
		}
	}
}

// say notes what was made of the file and what was passed over.
func (d *drawing) say(planes []outline, obstructions map[string][]outline) {
	n := 0
	for _, list := range obstructions {
		n += len(list)
	}
	made := counted(len(planes), "plane", "planes")
	if n > 0 {
		made += " and " + counted(n, "obstruction", "obstructions")
	}
	d.note("%s: %s; its unit is %s, x is that of the drawing and y its north, from the lower left corner of all planes", d.file.Name, made, d.unit)
	for _, text := range d.said {
		d.note("%s: %s", d.file.Name, text)
	}
	for _, what := range slices.Sorted(maps.Keys(d.passed)) {
		d.note("%s: not read: %d x %s", d.file.Name, d.passed[what], what)
	}
}

// rings gives the closed outlines of a layer: closed polylines, and what lines
// and open polylines make together.
func (d *drawing) rings(l *layer) []ring {
	var out []ring
	j := &joint{near: joined / metres[d.unit]}
	high := false
	for _, e := range l.entities {
		corners := corners(e)
		high = high || raised(e)
		if e.kind == circle {
			d.round[e.at()] = 2 * e.number(40)
			out = append(out, corners)
			continue
		}
		if closed := e.kind != "LINE" && e.flag(1); closed {
			out = append(out, trimmed(corners, j.near))
			continue
		}
		if n := len(corners); e.kind != "LINE" && n > 3 && j.same(corners[0], corners[n-1]) {
			out = append(out, trimmed(corners[:n-1], j.near))
			continue
		}
		for i := 1; i < len(corners); i++ {
			j.add(corners[i-1], corners[i], e)
		}
	}
	if high {
		d.said = append(d.said, fmt.Sprintf("the layer %q has heights (z), which are not read: outlines are taken in plan", l.name))
	}
	if len(j.edges) > bound.DrawingLines {
		d.fault(j.edges[0].of.at(), fmt.Sprintf("at most %d are read", bound.DrawingLines), "the layer %q has %d lines to join", l.name, len(j.edges))
		return nil
	}
	out = append(out, d.join(j, l)...)
	if j.doubled > 0 {
		d.said = append(d.said, fmt.Sprintf("the layer %q has %s drawn over another or without length, which changes nothing", l.name, counted(j.doubled, "line", "lines")))
	}
	return slices.DeleteFunc(out, func(o ring) bool { return !d.sound(o, fmt.Sprintf("an outline on the layer %q", l.name)) })
}

// trimmed is a ring without corners that stand at the one before them.
func trimmed(o ring, near float64) ring {
	same := func(a, b corner) bool { return math.Hypot(a.x-b.x, a.y-b.y) <= near }
	out := ring{o[0]}
	for _, c := range o[1:] {
		if !same(c, out[len(out)-1]) {
			out = append(out, c)
		}
	}
	if n := len(out); n > 1 && same(out[0], out[n-1]) {
		out = out[:n-1]
	}
	return out
}

// corners lists the corners of a line or polyline, and those of a polygon about a
// circle.
func corners(e *entity) ring {
	at := e.at()
	var o ring
	switch e.kind {
	case "LINE":
		return ring{{e.number(10), e.number(20), at}, {e.number(11), e.number(21), at}}
	case circle:
		reach := e.number(40) / math.Cos(math.Pi/sides)
		for i := range int(sides) {
			turn := (2*float64(i) + 1) * math.Pi / sides
			o = append(o, corner{e.number(10) + reach*math.Cos(turn), e.number(20) + reach*math.Sin(turn), at})
		}
	case "LWPOLYLINE":
		for _, g := range e.groups {
			x, _ := strconv.ParseFloat(g.text, 64) // legible has read every one
			switch {
			case g.code == 10:
				o = append(o, corner{x: x, at: g.at})
			case g.code == 20 && len(o) > 0:
				o[len(o)-1].y = x
			}
		}
	default:
		for _, v := range e.parts {
			o = append(o, corner{v.number(10), v.number(20), v.at()})
		}
	}
	if len(o) == 0 {
		return ring{{0, 0, at}}
	}
	if e.number(230) == -1 && !e.solid() { // drawn from below, as mirroring leaves it: its x runs the other way
		for i := range o {
			o[i].x = -o[i].x
		}
	}
	return o
}

// sides is how many a polygon about a circle has, a multiple of four so that it
// reaches as far as the circle to each side.
const sides = 32.0

// raised reports whether an entity has a height.
func raised(e *entity) bool {
	for _, part := range append([]entity{*e}, e.parts...) {
		if part.number(30) != 0 || part.number(31) != 0 || part.number(38) != 0 {
			return true
		}
	}
	return false
}

// joint joins lines at their ends.
type joint struct {
	near    float64 // ends within it are one corner, in the drawing's unit
	nodes   ring
	edges   []edge
	doubled int // lines over another, or without length
}

type edge struct {
	a, b int // nodes
	of   *entity
}

func (j *joint) same(a, b corner) bool { return math.Hypot(a.x-b.x, a.y-b.y) <= j.near }

func (j *joint) node(c corner) int {
	if i := slices.IndexFunc(j.nodes, func(n corner) bool { return j.same(n, c) }); i >= 0 {
		return i
	}
	j.nodes = append(j.nodes, c)
	return len(j.nodes) - 1
}

func (j *joint) add(a, b corner, of *entity) {
	if len(j.edges) > bound.DrawingLines {
		j.edges = append(j.edges, edge{of: of}) // counted, and refused
		return
	}
	e := edge{j.node(a), j.node(b), of}
	if e.a == e.b || slices.ContainsFunc(j.edges, func(o edge) bool { return o.a == e.a && o.b == e.b || o.a == e.b && o.b == e.a }) {
		j.doubled++
		return
	}
	j.edges = append(j.edges, e)
}

// join follows lines from end to end. An end that meets none, and one that
// meets several, are faults of the drawing.
func (d *drawing) join(j *joint, l *layer) []ring {
	at := make([][]int, len(j.nodes)) // edges by node
	for i, e := range j.edges {
		at[e.a], at[e.b] = append(at[e.a], i), append(at[e.b], i)
	}
	fine := true
	for n, edges := range at {
		switch {
		case len(edges) == 1:
			fine = false
			d.open(j, at, n, l)
		case len(edges) > 2:
			fine = false
			d.faults = append(d.faults, source.Fault{At: j.edges[edges[2]].of.at(), Message: fmt.Sprintf("%d lines of the layer %q meet at %s", len(edges), l.name, d.point(j.nodes[n])),
				Expected: "each plane is drawn closed, by itself, on a layer of its own", Also: []source.Further{{At: j.edges[edges[0]].of.at(), Note: "the first of them"}}})
		}
	}
	if !fine {
		return nil
	}
	var out []ring
	used := make([]bool, len(j.edges))
	for i := range j.edges {
		if used[i] {
			continue
		}
		var o ring
		for e, n := i, j.edges[i].a; !used[e]; {
			used[e] = true
			o = append(o, j.nodes[n])
			n = j.edges[e].a + j.edges[e].b - n
			if next := at[n][0]; next != e {
				e = next
			} else {
				e = at[n][1]
			}
		}
		out = append(out, o)
	}
	return out
}

// open notes an end that meets no other, with the gap to the nearest one.
func (d *drawing) open(j *joint, at [][]int, n int, l *layer) {
	e := j.edges[at[n][0]].of
	f := source.Fault{At: e.at(), Message: fmt.Sprintf("the outline on the layer %q is open at %s, where %s ends", l.name, d.point(j.nodes[n]), e.label()),
		Expected: fmt.Sprintf("ends that lie within %s of each other are joined", d.written(j.near))}
	nearest, gap := -1, math.Inf(1)
	for m, c := range j.nodes {
		if dist := math.Hypot(c.x-j.nodes[n].x, c.y-j.nodes[n].y); m != n && len(at[m]) == 1 && dist < gap {
			nearest, gap = m, dist
		}
	}
	if nearest >= 0 {
		f.Message += ", " + d.written(gap) + " from the nearest open end"
		f.Also = []source.Further{{At: j.edges[at[nearest][0]].of.at(), Note: "which is that of " + j.edges[at[nearest][0]].of.label()}}
	}
	d.faults = append(d.faults, f)
}

func (d *drawing) written(v float64) string {
	return scale{unit: d.unit, places: 3, factor: 1}.length(v)
}

func (d *drawing) point(c corner) string {
	return "x " + d.written(c.x) + ", y " + d.written(c.y)
}
