package drawing

import (
	"fmt"
	"io"
	"math"
	"strings"

	"plumbrule/internal/codebook"
	"plumbrule/internal/quantity"
	"plumbrule/internal/review"
	"plumbrule/internal/terms/plan"
	"plumbrule/internal/wording"
)

// RoofPlan draws the roof of a job in plan view, to scale, with what the
// checks found marked where it stands. The same review gives the same bytes.
//
// A comment on the roof has the mark "mark-N" at its worst subject, which leads
// to "comment-N", and lighter ones at its other subjects ("mark-N.2") by the
// numbers of Review.Number; unless the drawing is embedded it carries the list of
// its comments on further sheets, which lead back.
func RoofPlan(w io.Writer, r *review.Review, o Options) error {
	p := &roofPlan{svgDrawing: newSVGDrawing(r, "roof", "Roof plan"), d: plan.Of(r.Model)}
	p.sheet = svgLargePaper(r.System)
	for i := range p.d.Arrays {
		p.coarse = p.coarse || len(p.d.Arrays[i].Modules) > detailLimit
	}
	p.fit()
	p.placer = newSVGPlacer(p.sheet.field())
	p.demands()
	p.lines()
	p.streets()
	p.chains()
	p.dimensions()
	p.doubts()
	p.gates()
	p.markings()
	p.names()
	p.body.Write(p.top.Bytes())
	p.flow(p.column(), findingList(p.r, p.groups, o.Embedded))
	_, err := w.Write(p.write(o, roofDefs))
	return err
}

// roofDefs are the hatches: slanted lines for what is to be kept clear, an
// upright grid for ground that two planes cover. Wind zones are tints, so that
// no two hatches lie over each other.
var roofDefs = hatch("roof-clear", 6, -45, inkBrick, 0.3, false) +
	hatch("roof-covered", 5, 0, inkThin, 0.4, true)

func hatch(id string, pitch, turn float64, colour string, width float64, crossed bool) string {
	n := SvgNumber
	d := "M0 0V" + n(pitch)
	if crossed {
		d += "M0 0H" + n(pitch)
	}
	return fmt.Sprintf(`<pattern id="%s" width="%s" height="%s" patternUnits="userSpaceOnUse" patternTransform="rotate(%s)"><path d="%s" stroke="%s" stroke-width="%s"/></pattern>`,
		id, n(pitch), n(pitch), n(turn), d, colour, n(2*width)) + "\n"
}

// roofPlan is a roof plan in the making.
type roofPlan struct {
	*svgDrawing
	d      *plan.Drawing
	scale  float64  // points for a metre
	origin svgPoint // of the upper left corner of the bounds
	placer *svgPlacer
	top    svgCanvas // texts and flags, above all lines

	strips []clearStrip
	ways   map[string]wayDemand // by plane

	groups []*svgFindings
	places []string
	beyond []siteName
	coarse bool // too many modules to say something of each

	unwritten []string        // dimensions that found no room
	lanes     []svgBox        // rows of dimensions
	loose     []*svgCluster   // without a place on the drawing
	shown     map[string]bool // what the legend explains
	notes     []string        // what the sheet leaves out and why
}

// clearStrip is a strip of a plane that a check wants clear.
type clearStrip struct {
	outline []plan.Spot
	depth   float64
	along   string
}

// wayDemand is the width that a check asks of the way up a plane.
type wayDemand struct {
	width   float64
	blocked bool
}

// scaleStep is a usual scale of drawings.
type scaleStep struct {
	ratio float64
	name  string
}

var (
	usScales = []scaleStep{{12, "1 in = 1 ft"}, {24, "1/2 in = 1 ft"}, {48, "1/4 in = 1 ft"}, {64, "3/16 in = 1 ft"}, {96, "1/8 in = 1 ft"},
		{128, "3/32 in = 1 ft"}, {192, "1/16 in = 1 ft"}, {240, "1 in = 20 ft"}, {360, "1 in = 30 ft"}, {480, "1 in = 40 ft"}, {600, "1 in = 50 ft"}, {720, "1 in = 60 ft"},
		{1200, "1 in = 100 ft"}, {2400, "1 in = 200 ft"}, {6000, "1 in = 500 ft"}, {12000, "1 in = 1000 ft"}}
	siScales = []scaleStep{{10, ""}, {20, ""}, {50, ""}, {100, ""}, {200, ""}, {250, ""}, {500, ""}, {1000, ""}, {2000, ""}, {5000, ""}, {10000, ""}}
)

const pointsPerMetre = 72 / quantity.Inch

// fit chooses the largest usual scale at which the roof, its dimensions and
// some flags have room.
func (p *roofPlan) fit() {
	p.shown = map[string]bool{}
	field := p.sheet.field()
	const gutter = 58.0
	w, h := p.d.High.X-p.d.Low.X, p.d.High.Y-p.d.Low.Y
	scales := usScales
	if p.r.System == quantity.SI {
		scales = siScales
	}
	step := scales[len(scales)-1]
	for _, s := range scales {
		if k := pointsPerMetre / s.ratio; w*k <= field.width()-2*gutter && h*k <= field.height()-2*gutter {
			step = s
			break
		}
	}
	for w*pointsPerMetre/step.ratio > field.width()-2*gutter || h*pointsPerMetre/step.ratio > field.height()-2*gutter {
		step = scaleStep{ratio: 2 * step.ratio}
	}
	p.scale = pointsPerMetre / step.ratio
	c := field.centre()
	p.origin = svgPoint{c.x - w*p.scale/2, c.y - h*p.scale/2}
	ratio := "1:" + SvgNumber(step.ratio)
	if step.name != "" {
		ratio = step.name + " (" + ratio + ")"
	}
	if len(p.d.Planes) == 0 {
		p.note = "no roof to draw"
		p.extra = append(p.extra, "The roof cannot be drawn.")
		return
	}
	p.note = "in plan view, scale " + ratio + " on " + p.sheet.name
	p.bar = p.scaleBar
	p.extra = append(p.extra, p.note+", north up.")
	for _, a := range p.d.Arrays {
		p.extra = append(p.extra, fmt.Sprintf("Array %s on plane %s: %s.", a.Name, a.Plane, wording.Plural(len(a.Modules), "module", "modules")))
	}
}

// at is where a point of the plan lies on the sheet.
func (p *roofPlan) at(s plan.Spot) svgPoint {
	return svgPoint{p.origin.x + (s.X-p.d.Low.X)*p.scale, p.origin.y + (p.d.High.Y-s.Y)*p.scale}
}

func (p *roofPlan) all(list []plan.Spot) []svgPoint {
	out := make([]svgPoint, len(list))
	for i, s := range list {
		out[i] = p.at(s)
	}
	return out
}

// stripEdges are the edges along which the limit of a check is a clear strip.
var stripEdges = map[codebook.Drawn][]string{
	codebook.RidgeStrip: {"ridge"},
	codebook.EdgeStrip:  {"eave", "high eave", "rake", "step", "wall", "parapet"},
}

// demands reads from the review which strips and ways the checks ask for.
func (p *roofPlan) demands() {
	p.ways = map[string]wayDemand{}
	type edge struct{ plane, kind string }
	depths := map[edge]float64{}
	for i := range p.r.Outcomes {
		o := &p.r.Outcomes[i]
		kinds, strip := stripEdges[o.Check.Draws]
		way := o.Check.Draws == codebook.Way
		if !strip && !way || o.Result == review.NotApplicable {
			continue
		}
		if o.Limit == nil || !o.Limit.IsNum {
			p.notes = append(p.notes, fmt.Sprintf("What has to be kept clear for %s (%s): %s.", o.Subject.Label(), o.Check.Title, wording.Open(o)))
			continue
		}
		if way {
			name := o.Subject.Name
			d := p.ways[name]
			p.ways[name] = wayDemand{math.Max(d.width, o.Limit.Value), d.blocked || o.Result == review.NotMet}
			continue
		}
		for _, a := range p.d.Arrays {
			if o.Subject.Kind.Name == "array" && o.Subject.Name == a.Name {
				for _, kind := range kinds {
					e := edge{a.Plane, kind}
					depths[e] = math.Max(depths[e], o.Limit.Value)
				}
			}
		}
	}
	for i := range p.d.Planes {
		plane := &p.d.Planes[i]
		for _, kind := range []string{"ridge", "eave", "high eave", "rake", "step", "wall", "parapet"} {
			depth := depths[edge{plane.Name, kind}]
			for _, outline := range plane.Strip(kind, depth) {
				p.strips = append(p.strips, clearStrip{outline, depth, kind})
			}
		}
	}
}

// edgeStyle is the line of a kind of edge: heavy where the roof ends, long
// dashes with a point for the ridge, dashes for hips, dots for valleys.
var edgeStyles = []struct {
	kind, style string
}{
	{"eave", svgStroke(inkLine, 1.7, "")},
	{"high eave", svgStroke(inkLine, 1.7, "14 2.5")},
	{"rake", svgStroke(inkLine, 1, "")},
	{"ridge", svgStroke(inkLine, 1.3, "12 2.5 1.5 2.5")},
	{"hip", svgStroke(inkLine, 1.1, "7 2.5")},
	{"valley", svgStroke(inkLine, 1.3, "1.5 2.5")},
	{"break", svgStroke(inkLine, 0.8, "3 2")},
	{"step", svgStroke(inkLine, 1.1, "10 2 3 2 3 2")},
	{"wall", svgStroke(inkLine, 2.6, "")},
	{"parapet", svgStroke(inkLine, 2.6, "8 1.5")},
}

// lines draws everything that is not text, from below to above, and tells the
// placer where it lies.
func (p *roofPlan) lines() {
	p.planes()
	p.zones()
	p.covered()
	for i := range p.d.Ways {
		p.way(&p.d.Ways[i])
	}
	for i := range p.d.Arrays {
		p.modules(&p.d.Arrays[i])
	}
	for _, s := range p.strips {
		p.shown["strip"] = true
		p.body.put(`<path d="%s" fill="url(#roof-clear)" stroke="%s" stroke-width="0.5"><title>%s</title></path>`,
			svgPath(true, p.all(s.outline)...), inkBrick, wording.XML("to be kept clear: "+tape(s.depth, p.r.System)+" along the "+s.along))
	}
	for i := range p.d.Planes {
		p.members(&p.d.Planes[i])
	}
	p.edges()
	for i := range p.d.Obstructions {
		p.obstruction(&p.d.Obstructions[i])
	}
	for i := range p.d.Arrays {
		if !p.coarse {
			p.bonds(&p.d.Arrays[i])
		}
		p.strings(&p.d.Arrays[i])
		p.feet(&p.d.Arrays[i])
	}
}

// planes tells the placer where the planes lie and gives each a clip path, of
// which its openings are no part.
func (p *roofPlan) planes() {
	for i := range p.d.Planes {
		plane := &p.d.Planes[i]
		p.placer.fill(p.all(plane.Outline), 0.25)
		d := svgPath(true, p.all(plane.Outline)...)
		for _, hole := range plane.Holes {
			d += svgPath(true, p.all(hole)...)
			p.body.put(`<path d="%s" fill="none"><title>%s</title></path>`, svgPath(true, p.all(hole)...), wording.XML("opening in plane "+plane.Name))
		}
		p.body.put(`<clipPath id="%s"><path d="%s" clip-rule="evenodd"/></clipPath>`, planeClip(i), d)
	}
}

func planeClip(index int) string { return fmt.Sprintf("roof-plane%d", index) }

// covered hatches the ground that two planes cover.
func (p *roofPlan) covered() {
	for _, c := range p.d.Covered {
		p.shown["covered"] = true
		d := ""
		for _, ring := range c.Rings {
			d += svgPath(true, p.all(ring)...)
		}
		p.body.put(`<path d="%s" fill="url(#roof-covered)" fill-rule="evenodd"><title>%s</title></path>`, d, wording.XML("planes "+c.Planes[0]+" and "+c.Planes[1]+" cover the same ground"))
	}
}

func (p *roofPlan) zones() {
	for i, plane := range p.d.Planes {
		type border [2]svgPoint
		sides := map[border]map[string]int{}
		var order []border
		for _, z := range plane.Zones {
			points := p.all(z.Outline)
			if tint := zoneTint(z.Name); tint != "" {
				p.body.put(`<path d="%s" fill="%s"%s/>`, svgPath(true, points...), tint, p.clipped(i))
				p.shown[tint] = true
			}
			p.shown["zone"] = true
			for i, a := range points {
				k := border{rounded(a), rounded(points[(i+1)%len(points)])}
				if k[1].x < k[0].x || k[1].x == k[0].x && k[1].y < k[0].y {
					k[0], k[1] = k[1], k[0]
				}
				if sides[k] == nil {
					sides[k] = map[string]int{}
					order = append(order, k)
				}
				sides[k][z.Name]++
			}
		}
		// A line is drawn where two zones meet, not between parts of one.
		var d strings.Builder
		for _, k := range order {
			if len(sides[k]) > 1 {
				d.WriteString(svgPath(false, k[0], k[1]))
			}
		}
		if d.Len() > 0 {
			p.body.put(`<path d="%s" %s%s/>`, d.String(), svgStroke(inkBrass, 0.6, "1 1.6"), p.clipped(i))
		}
	}
}

// clipped keeps what is drawn over a whole outline out of the openings in it.
func (p *roofPlan) clipped(plane int) string {
	if len(p.d.Planes[plane].Holes) == 0 {
		return ""
	}
	return ` clip-path="url(#` + planeClip(plane) + `)"`
}

// zoneTint is the light fill of a wind zone; "" for the field of the roof.
func zoneTint(zone string) string {
	switch {
	case strings.HasPrefix(zone, "2"):
		return inkZone2
	case strings.HasPrefix(zone, "3"):
		return inkZone3
	}
	return ""
}

func rounded(a svgPoint) svgPoint {
	return svgPoint{math.Round(a.x*50) / 50, math.Round(a.y*50) / 50}
}

// way draws the clear way up a side of the roof: its band as wide as asked for
// or as it is, its centre line, and the line of the next best way.
func (p *roofPlan) way(w *plan.DrawnWay) {
	if next := w.Next; next != nil && len(next.Centre) > 1 {
		p.shown["next way"] = true
		p.body.put(`<path d="%s" %s><title>%s</title></path>`, svgPath(false, p.all(next.Centre)...), svgStroke(inkGreen, 0.5, "2 3"),
			wording.XML("next best way up "+w.Over+", "+tapeDown(next.Widest, p.r.System)+" wide"+betweenOf(next)))
	}
	if len(w.Centre) < 2 {
		return
	}
	p.shown["way"] = true
	width := w.Clear
	if d := p.demandOf(w); d.width > 0 {
		width = math.Min(width, d.width)
	}
	title := "way up " + w.Over + ", drawn " + tape(width, p.r.System) + " wide; the widest is " + tapeDown(w.Widest, p.r.System) + betweenOf(w)
	for _, i := range w.Planes {
		p.band(i, p.all(w.Centre), width, title)
	}
	points := p.all(w.Centre)
	p.body.put(`<path d="%s" %s/>`, svgPath(false, points...), svgStroke(inkGreen, 0.9, "9 2 2 2"))
	for i := 1; i < len(points); i++ {
		p.placer.stroke(points[i-1], points[i], 0.7)
	}
}

// demandOf is the most that checks ask of the way up any plane of a side.
func (p *roofPlan) demandOf(w *plan.DrawnWay) (all wayDemand) {
	for _, i := range w.Planes {
		d := p.ways[p.d.Planes[i].Name]
		all = wayDemand{math.Max(all.width, d.width), all.blocked || d.blocked}
	}
	return all
}

// betweenOf says what the narrowest place of a way lies between.
func betweenOf(w *plan.DrawnWay) string {
	if w.Between[0] == "" || w.Between[1] == "" {
		return ""
	}
	return ", between " + w.Between[0] + " and " + w.Between[1]
}

// band draws the part of a way's band that lies on one plane. It is drawn on
// the slope and laid into the plan, so that it narrows as the slope does.
func (p *roofPlan) band(index int, points []svgPoint, width float64, title string) {
	plane := &p.d.Planes[index]
	sin, cos := math.Sincos(plane.Downslope * math.Pi / 180)
	fall := math.Cos(plane.Slope * math.Pi / 180)
	// Down the slope the sheet is shorter by the cosine of the slope.
	dx, dy := sin, -cos
	a, b, d := 1+(fall-1)*dx*dx, (fall-1)*dx*dy, 1+(fall-1)*dy*dy
	e := a*d - b*b
	laid, zero := make([]svgPoint, len(points)), points[0]
	for i, q := range points {
		x, y := q.x-zero.x, q.y-zero.y
		laid[i] = svgPoint{(d*x - b*y) / e, (a*y - b*x) / e}
	}
	n := SvgNumber
	m := func(v float64) string { return fmt.Sprintf("%.5f", v) }
	p.body.put(`<g clip-path="url(#%s)"><path d="%s" transform="matrix(%s %s %s %s %s %s)" fill="none" stroke="%s" stroke-opacity="0.22" stroke-width="%s" stroke-linejoin="round"><title>%s</title></path></g>`,
		planeClip(index), svgPath(false, laid...), m(a), m(b), m(b), m(d), n(zero.x), n(zero.y), inkGreen, n(width*p.scale), wording.XML(title))
}

func (p *roofPlan) modules(a *plan.DrawnArray) {
	if len(a.Modules) == 0 {
		return
	}
	p.shown["module"] = true
	var d strings.Builder
	for i := range a.Modules {
		points := p.all(a.Modules[i].Corners[:])
		d.WriteString(svgPath(true, points...))
		for j, q := range points {
			p.placer.stroke(q, points[(j+1)%4], 0.4)
		}
		p.placer.fill(points, 0.4)
	}
	p.body.put(`<path d="%s" fill="%s" stroke="%s" stroke-width="%s"><title>%s</title></path>`, d.String(), inkGlass, inkFrame, SvgNumber(math.Min(0.7, p.scale*0.04)),
		wording.XML("array "+a.Name+", "+wording.Plural(len(a.Modules), "module", "modules")))
}

// leastPitch is the distance on the sheet, in points, under which parallel
// lines would run together.
const leastPitch = 2.0

func (p *roofPlan) members(plane *plan.DrawnPlane) {
	draw := func(list []plan.Stroke, what, style string) {
		if len(list) == 0 {
			return
		}
		if pitch := p.pitch(list); pitch < leastPitch {
			p.notes = append(p.notes, fmt.Sprintf("The %s of plane %s stand too close to be drawn at this scale.", what, plane.Name))
			return
		}
		var d strings.Builder
		for _, l := range list {
			a, b := p.at(l.From), p.at(l.To)
			d.WriteString(svgPath(false, a, b))
			p.placer.stroke(a, b, 0.05)
		}
		p.shown[what] = true
		p.body.put(`<path d="%s" %s/>`, d.String(), style)
	}
	draw(plane.Ribs, "rib crests", svgStroke(inkThin, 0.25, ""))
	draw(plane.Framing, "framing members", svgStroke(inkTimber, 0.45, "5 2.2"))
}

// pitch is the smallest distance on the sheet between lines next to each
// other.
func (p *roofPlan) pitch(list []plan.Stroke) float64 {
	least := math.Inf(1)
	for i := 1; i < len(list); i++ {
		a, b, c := p.at(list[i-1].From), p.at(list[i-1].To), p.at(list[i].From)
		l := math.Hypot(b.x-a.x, b.y-a.y)
		away := math.Abs((b.x-a.x)*(c.y-a.y)-(b.y-a.y)*(c.x-a.x)) / l
		if away > 1e-6 { // two parts of one line lie on it
			least = math.Min(least, away)
		}
	}
	return least
}

func (p *roofPlan) edges() {
	type ends [2]svgPoint
	drawn := map[ends]bool{}
	for _, s := range edgeStyles {
		for _, plane := range p.d.Planes {
			for _, e := range plane.Edges {
				a, b := p.at(e.From), p.at(e.To)
				k, back := ends{rounded(a), rounded(b)}, ends{rounded(b), rounded(a)}
				if e.Kind != s.kind || drawn[k] || drawn[back] {
					continue // an edge between two planes is drawn once
				}
				drawn[k] = true
				p.shown["edge "+e.Kind] = true
				p.body.line(a, b, s.style+` stroke-linecap="square"`)
				p.placer.stroke(a, b, 0.5)
			}
		}
	}
}

func (p *roofPlan) obstruction(o *plan.DrawnObstruction) {
	points := p.all(o.Outline)
	dash, width, key := "", 0.9, "obstruction"
	switch {
	case o.WalkedOver:
		dash = "1.5 1.2"
		p.shown["walked over"] = true
	case o.InWall:
		dash, key = "4 1", "in wall"
	case o.Kind == "dormer" || o.Kind == "cricket":
		width, key = 1.4, "dormer"
	}
	p.shown[key] = true
	p.body.put(`<path d="%s" fill="%s" stroke="%s" stroke-width="%s"%s><title>%s</title></path>`, svgPath(true, points...), inkPaper, inkLine, SvgNumber(width), dashed(dash), wording.XML(joinKnown(", ", o.Name, o.Kind)))
	n := len(points)
	if key == "obstruction" && (o.Round || n == 4) {
		for k := range 2 { // a cross for an opening or a thing that stands up
			p.body.line(points[k*n/4], points[k*n/4+n/2], svgStroke(inkLine, 0.4, ""))
		}
	}
	for i, q := range points {
		p.placer.stroke(q, points[(i+1)%n], 1)
	}
}

func dashed(dash string) string {
	if dash == "" {
		return ""
	}
	return ` stroke-dasharray="` + dash + `"`
}

// scaleBar draws the scale bar below the title: ten parts in two colours.
func (p *roofPlan) scaleBar(at svgPoint, c *svgCanvas) {
	unit, name := 1.0, "m"
	if p.r.System == quantity.US {
		unit, name = quantity.Foot, "ft"
	}
	long := 1.0
	for _, v := range []float64{2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10000} {
		if v*unit*p.scale <= 150 {
			long = v
		}
	}
	w := long * unit * p.scale
	const parts = 4
	for i := range parts {
		b := svgBox{at.x + w*float64(i)/parts, at.y, at.x + w*float64(i+1)/parts, at.y + 4}
		fill := inkPaper
		if i%2 == 0 {
			fill = inkLine
		}
		c.rect(b, fmt.Sprintf(`fill="%s" stroke="%s" stroke-width="0.6"`, fill, inkLine))
	}
	for i, v := range []float64{0, long / 2, long} {
		text := SvgNumber(v)
		if i == 2 {
			text += " " + name
		}
		c.text(svgText{at: at.plus(w*float64(i)/2, 12), text: text, size: sizeText, anchor: []string{"start", "middle", "start"}[i]})
	}
}

// column is what stands beside the drawing.
func (p *roofPlan) column() []svgEntry {
	out := append([]svgEntry{p.north()}, p.schedule()...)
	out = append(out, p.upliftLegend()...)
	out = append(out, headed("Legend", p.legend()...)...)
	out = append(out, flagLegend(p.groups)...)
	out = append(out, looseEntries(p.loose)...)
	var notes []string
	for _, m := range p.d.Missing {
		notes = append(notes, "Not drawn: "+m+".")
	}
	notes = append(notes, p.notes...)
	if len(p.unwritten) > 0 {
		notes = append(notes, "No room beside their dimension lines: "+strings.Join(p.unwritten, ", ")+".")
	}
	if p.coarse {
		notes = append(notes, fmt.Sprintf("Above %d modules in an array, feet and strings are said array by array.", detailLimit))
	}
	notes = append(notes, "Dimensions lie on the surface of the roof, "+map[quantity.System]string{quantity.US: "to the nearest 1/16 in.", quantity.SI: "in mm."}[p.r.System])
	if s := elsewhere(p.r, OnRoofPlan, "one-line diagram"); s != "" {
		notes = append(notes, s)
	}
	out = append(out, noteEntries(notes)...)
	return append(out, cautionEntries()...)
}

// north is the north arrow: a plumb line turned up.
func (p *roofPlan) north() svgEntry {
	return func(width float64) (float64, func(*svgCanvas, svgPoint)) {
		return 44, func(c *svgCanvas, at svgPoint) {
			m := at.plus(width/2, 0)
			c.put(`<path d="%s" fill="%s"/>`, svgPath(true, m.plus(0, 10), m.plus(4.5, 20), m.plus(0, 18)), inkLine)
			c.put(`<path d="%s" fill="%s" stroke="%s" stroke-width="0.6"/>`, svgPath(true, m.plus(0, 10), m.plus(-4.5, 20), m.plus(0, 18)), inkPaper, inkLine)
			c.line(m.plus(0, 18), m.plus(0, 38), svgStroke(inkLine, 0.8, ""))
			c.line(m.plus(-5, 38), m.plus(5, 38), svgStroke(inkLine, 0.8, ""))
			c.text(svgText{at: m.plus(0, 8), text: "N", size: sizeHead, anchor: "middle", bold: true})
		}
	}
}

// legend explains what the sheet shows, and nothing else.
func (p *roofPlan) legend() []svgEntry {
	var out []svgEntry
	const w = 28.0
	add := func(key, text string, picture func(c *svgCanvas, at svgPoint)) {
		if p.shown[key] {
			out = append(out, svgParagraph(text, w, picture))
		}
	}
	sample := func(style string) func(*svgCanvas, svgPoint) {
		return func(c *svgCanvas, at svgPoint) { c.line(at, at.plus(22, 0), style) }
	}
	patch := func(style string) func(*svgCanvas, svgPoint) {
		return func(c *svgCanvas, at svgPoint) { c.rect(svgBox{at.x, at.y - 3.6, at.x + 22, at.y + 3.6}, style) }
	}
	for _, s := range edgeStyles {
		add("edge "+s.kind, s.kind, sample(s.style))
	}
	add("framing members", "framing, centre lines", sample(svgStroke(inkTimber, 0.45, "5 2.2")))
	add("rib crests", "rib crests", sample(svgStroke(inkThin, 0.25, "")))
	add("module", "module", patch(fmt.Sprintf(`fill="%s" stroke="%s" stroke-width="0.7"`, inkGlass, inkFrame)))
	add("string", "string or branch, counted off along the rows: the job says how many modules it has, not which", func(c *svgCanvas, at svgPoint) {
		c.line(at, at.plus(22, 0), svgStroke(inkSlate, 1, ""))
		c.circle(at.plus(2, 0), 2, `fill="`+inkSlate+`"`)
	})
	add("ring", "foot that a comment is about; dashed: undetermined", func(c *svgCanvas, at svgPoint) {
		c.circle(at.plus(11, 0), 1.2, `fill="`+inkText+`"`)
		c.circle(at.plus(11, 0), 3.2, svgStroke(inkBrick, 0.9, ""))
	})
	add("obstruction", "obstruction", func(c *svgCanvas, at svgPoint) {
		b := svgBox{at.x + 7, at.y - 3.5, at.x + 15, at.y + 3.5}
		c.rect(b, svgStroke(inkLine, 0.9, ""))
		c.put(`<path d="M%s %sL%s %sM%s %sL%s %s" %s/>`, SvgNumber(b.x0), SvgNumber(b.y0), SvgNumber(b.x1), SvgNumber(b.y1), SvgNumber(b.x0), SvgNumber(b.y1), SvgNumber(b.x1), SvgNumber(b.y0), svgStroke(inkLine, 0.4, ""))
	})
	add("walked over", "obstruction that a crew steps over", func(c *svgCanvas, at svgPoint) {
		c.rect(svgBox{at.x + 7, at.y - 3.5, at.x + 15, at.y + 3.5}, svgStroke(inkLine, 0.9, "1.5 1.2"))
	})
	add("in wall", "opening in a wall", func(c *svgCanvas, at svgPoint) {
		c.rect(svgBox{at.x + 7, at.y - 3.5, at.x + 15, at.y + 3.5}, svgStroke(inkLine, 0.9, "4 1"))
	})
	add("dormer", "dormer or cricket", func(c *svgCanvas, at svgPoint) {
		c.rect(svgBox{at.x + 5, at.y - 3.5, at.x + 17, at.y + 3.5}, svgStroke(inkLine, 1.4, ""))
	})
	add("covered", "ground that two planes cover", patch(`fill="url(#roof-covered)" stroke="`+inkThin+`" stroke-width="0.5"`))
	add("doubt", "planes that may or may not meet", func(c *svgCanvas, at svgPoint) { doubtMark(c, at.plus(11, 0)) })
	add("street", "street or driveway", func(c *svgCanvas, at svgPoint) { streetArrow(c, at.plus(3, 0), svgPoint{1, 0}) })
	add("street line", "its near edge", sample(streetStyle))
	add("zone", "wind zone, by its name", func(c *svgCanvas, at svgPoint) { zoneTag(c, at.plus(11, 0), "1") })
	border := ` stroke="` + inkBrass + `" stroke-width="0.5"`
	add(inkZone2, "wind zones 2", patch(`fill="`+inkZone2+`"`+border))
	add(inkZone3, "wind zones 3", patch(`fill="`+inkZone3+`"`+border))
	add("strip", "strip to be kept clear", patch(`fill="url(#roof-clear)" stroke="`+inkBrick+`" stroke-width="0.5"`))
	add("way", "widest way up, with its centre line", func(c *svgCanvas, at svgPoint) {
		c.rect(svgBox{at.x, at.y - 3.6, at.x + 22, at.y + 3.6}, `fill="`+inkGreen+`" fill-opacity="0.22"`)
		c.line(at, at.plus(22, 0), svgStroke(inkGreen, 0.9, "9 2 2 2"))
	})
	add("next way", "next best way, past another place", sample(svgStroke(inkGreen, 0.5, "2 3")))
	add("gate", "narrowest place of the widest way, with its width", func(c *svgCanvas, at svgPoint) { gateMark(c, at, at.plus(22, 0), false) })
	add("blocked", "too narrow: width found, of width asked for", func(c *svgCanvas, at svgPoint) { gateMark(c, at, at.plus(22, 0), true) })
	add("group", "modules bonded to one another", sample(svgStroke(inkCopper, 0.9, "6 1.5")))
	add("loose", "the same, without a lug", sample(svgStroke(inkCopper, 1.2, "1.2 1.4")))
	add("lug", "equipment grounding lug", func(c *svgCanvas, at svgPoint) { lugMark(c, at.plus(11, 0)) })
	return out
}

func zoneTag(c *svgCanvas, at svgPoint, name string) {
	w := math.Max(11, svgWidth(name, sizeText, false)+6)
	c.put(`<rect x="%s" y="%s" width="%s" height="11" rx="5.5" fill="%s" stroke="%s" stroke-width="0.7"/>`, SvgNumber(at.x-w/2), SvgNumber(at.y-5.5), SvgNumber(w), inkPaper, inkBrass)
	c.text(svgText{at: at.plus(0, 2.6), text: name, size: sizeText, anchor: "middle"})
}

// gateMark draws a gap as a dimension: a line between two ticks, crossed at
// its ends where it is too narrow.
func gateMark(c *svgCanvas, a, b svgPoint, blocked bool) {
	colour, width, reach := inkGreen, 0.8, 3.5
	if blocked {
		colour, width = inkBrick, 1.4
	}
	l := math.Max(1e-9, math.Hypot(b.x-a.x, b.y-a.y))
	ux, uy := (b.x-a.x)/l*reach, (b.y-a.y)/l*reach
	c.line(a, b, svgStroke(colour, width, ""))
	for _, e := range []svgPoint{a, b} {
		c.line(e.plus(-uy, ux), e.plus(uy, -ux), svgStroke(colour, width, ""))
		if blocked {
			c.line(e.plus(-ux-uy, ux-uy), e.plus(ux+uy, uy-ux), svgStroke(colour, width, ""))
		}
	}
}

// lugMark is an earth symbol: a stem and three bars.
func lugMark(c *svgCanvas, at svgPoint) {
	n := SvgNumber
	c.put(`<path d="M%s %sV%sM%s %sh6M%s %sh3.6M%s %sh1.2" %s/>`, n(at.x), n(at.y-4), n(at.y), n(at.x-3), n(at.y), n(at.x-1.8), n(at.y+1.4), n(at.x-0.6), n(at.y+2.8), svgStroke(inkCopper, 1, ""))
}
