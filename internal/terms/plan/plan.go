// Package plan gathers what a roof plan shows of a job, as plain data in plan
// view. It computes nothing that the vocabulary does not hold.
package plan

import (
	"math"
	"slices"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/layout"
	"plumbrule/internal/roofplan"
	"plumbrule/internal/structural"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/arrays"
	"plumbrule/internal/terms/bonds"
	"plumbrule/internal/terms/loads"
	"plumbrule/internal/terms/roofs"
)

// Spot is a point in plan view, metres: x east, y north.
type Spot struct{ X, Y float64 }

// Stroke is a straight line in plan view.
type Stroke struct{ From, To Spot }

// Drawing is what a roof plan shows of a job, as plain data in plan view.
type Drawing struct {
	Planes       []DrawnPlane
	Covered      []DrawnCover
	Doubts       []DrawnDoubt
	Ways         []DrawnWay // one for each side of the roof that carries modules and has a way
	Obstructions []DrawnObstruction
	Arrays       []DrawnArray
	Streets      []DrawnStreet
	Low, High    Spot // bounds of everything drawn; equal where nothing is

	// Missing says what could not be drawn and why, in the order of the job. A
	// sheet prints it: what is not known is not an empty roof.
	Missing []string
}

// DrawnPlane is one roof plane.
type DrawnPlane struct {
	Name      string
	Outline   []Spot // counter-clockwise
	Holes     [][]Spot
	Slope     float64 // degrees from level
	Downslope float64 // bearing of the way down, degrees clockwise from north
	Edges     []DrawnEdge

	Framing []Stroke // centre lines of the members on the plane
	Member  string   // what they are
	Ribs    []Stroke // rib crests of the covering on the plane

	Zones []DrawnZone
}

// DrawnEdge is one edge of a plane by its kind.
type DrawnEdge struct {
	Stroke
	Kind   string  // a name of roofplan.EdgeKind
	Length float64 // on the surface, metres
	Shared bool    // another plane lies on the other side
	Doubt  bool    // the drawing does not settle the kind
}

// DrawnZone is a convex part of a plane in one wind zone. Neighbouring parts
// may be of the same zone.
type DrawnZone struct {
	Name    string
	Outline []Spot
}

// DrawnObstruction is a thing that stands in a plane.
type DrawnObstruction struct {
	Name, Kind string
	Outline    []Spot
	Round      bool
	WalkedOver bool // and it is such that a crew can step over it
	InWall     bool // an opening in a wall that rises from the plane
}

// DrawnArray is one array. Feet, groups and lugs are nil where they are not
// known.
type DrawnArray struct {
	Name, Plane string
	Modules     []DrawnModule
	Feet        []DrawnFoot
	Groups      []DrawnGroup
	Lugs        []DrawnLug
	Strings     []DrawnString
	Size        *DrawnSize // nil where its modules are not known
}

// DrawnModule is one module by its corners, anticlockwise from the lower left.
type DrawnModule struct {
	Name        string
	Row, Column int
	Corners     [4]Spot
}

// DrawnFoot is one attachment.
type DrawnFoot struct {
	Name        string
	Subject     *terms.Subject
	At          Spot
	Zone        string   // wind zone, "" where it is not known
	Utilisation *float64 // uplift over capacity; nil where it is not known
}

// DrawnGroup is one bonding group: the modules of it, by index.
type DrawnGroup struct {
	Subject *terms.Subject
	Modules []int
	Lugged  bool
}

// DrawnLug is one equipment grounding lug on a module.
type DrawnLug struct {
	Subject *terms.Subject
	Module  int
}

// Of collects what a roof plan shows. It is computed once for a model.
func Of(m *terms.Model) *Drawing {
	d, _ := drawing.Known(m, m.Job)
	return d
}

var drawing = terms.Analyse(terms.KindFor[job.Job](), "roof plan", func(c *terms.Call, j *job.Job) *Drawing {
	d := &Drawing{}
	s, needs := roofs.Geometry.Try(c, j)
	if s.Roof == nil {
		d.miss("roof", needs)
		return d
	}
	for i := range j.Planes {
		d.Planes = append(d.Planes, drawPlane(c, d, s, i))
	}
	drawJoints(d, s)
	drawWays(c, d, s)
	drawStreets(c, d, j)
	for i := range j.Obstructions {
		drawObstruction(c, d, s, &j.Obstructions[i])
	}
	feet := drawnFeet(c, s)
	for i := range j.Arrays {
		a := &j.Arrays[i]
		if terms.Stated(c, a.Plane) {
			d.Arrays = append(d.Arrays, drawArray(c, d, s, a, feet[a]))
		}
	}
	drawStrings(c, d, j)
	d.bound()
	return d
})

// miss notes what is not drawn, once for each reason.
func (d *Drawing) miss(what string, needs []terms.Need) {
	if len(needs) == 0 {
		return
	}
	var why []string
	for _, n := range needs {
		text := n.String()
		if n.Why == "" {
			text = "needs " + n.Key
		}
		if !slices.Contains(why, text) {
			why = append(why, text)
		}
	}
	d.Missing = append(d.Missing, what+": "+strings.Join(why, "; "))
}

// spots carries points of a surface to plan view.
func spots(f roofplan.Frame, list []roofplan.Point) []Spot {
	out := make([]Spot, len(list))
	for i, p := range list {
		out[i] = Spot(f.ToPlan(p))
	}
	return out
}

func drawPlane(whole *terms.Call, d *Drawing, s *roofs.State, i int) DrawnPlane {
	given, frame := &whole.Job().Planes[i], s.Roof.Frame(i)
	p := DrawnPlane{Name: given.Name.Value, Outline: spots(frame, s.Roof.Outline(i)), Slope: s.Roof.Plane(i).Slope, Downslope: s.Roof.Plane(i).Downslope}
	rings := [][]roofplan.Point{s.Roof.Outline(i)}
	for _, hole := range s.Roof.HoleOutlines(i) {
		rings = append(rings, hole)
		p.Holes = append(p.Holes, spots(frame, hole))
	}
	for _, e := range s.Roof.Edges(i) {
		p.Edges = append(p.Edges, DrawnEdge{
			Stroke: Stroke{Spot(frame.ToPlan(e.From)), Spot(frame.ToPlan(e.To))},
			Kind:   e.Kind.String(), Length: e.Length(), Shared: e.Neighbour >= 0, Doubt: e.Doubt != nil,
		})
	}
	c := whole.Part()
	if !terms.Peek(c, given.Ground) {
		p.Member = terms.Get(c, given.Framing.Member)
		grid := arrays.Members(c, given)
		if !c.Stop() {
			p.Framing = gridLines(frame, rings, grid)
		}
		d.miss("framing of plane "+p.Name, c.Needs())
	}
	switch terms.Peek(c, given.Covering.Kind) {
	case "corrugated", "trapezoidal", "standing-seam":
		c = whole.Part()
		grid := layout.Grid{Direction: layout.UpSlope, Spacing: c.Q(given.Covering.RibPitch), Offset: c.Q(given.Covering.RibOffset)}
		if !c.Stop() {
			p.Ribs = gridLines(frame, rings, grid)
		}
		d.miss("ribs of plane "+p.Name, c.Needs())
	}
	if !terms.Peek(c, given.Ground) {
		c = whole.Part()
		p.Zones = drawZones(c, s, p)
		d.miss("wind zones of plane "+p.Name, c.Needs())
	}
	return p
}

// gridLines are the parts of parallel lines that lie inside an outline and
// outside the holes after it.
func gridLines(frame roofplan.Frame, rings [][]roofplan.Point, g layout.Grid) []Stroke {
	if g.Check() != nil {
		return nil
	}
	along := g.Direction == layout.AlongEave
	split := func(p roofplan.Point) (across, on float64) {
		if along {
			return p.Y, p.X
		}
		return p.X, p.Y
	}
	least, most := math.Inf(1), math.Inf(-1)
	for _, p := range rings[0] {
		at, _ := split(p)
		least, most = math.Min(least, at), math.Max(most, at)
	}
	positions := slices.Clone(g.Positions)
	slices.Sort(positions)
	if len(positions) == 0 {
		first := math.Max(0, math.Ceil((least-g.Offset)/g.Spacing))
		for k := first; g.Offset+k*g.Spacing <= most; k++ {
			positions = append(positions, g.Offset+k*g.Spacing)
		}
	}
	var out []Stroke
	for _, at := range positions {
		var cuts []float64
		for _, ring := range rings {
			for i, p := range ring {
				a, on := split(p)
				b, end := split(ring[(i+1)%len(ring)])
				if (a <= at) != (b <= at) {
					cuts = append(cuts, on+(end-on)*(at-a)/(b-a))
				}
			}
		}
		slices.Sort(cuts)
		for k := 0; k+1 < len(cuts); k += 2 {
			from, to := roofplan.Point{X: at, Y: cuts[k]}, roofplan.Point{X: at, Y: cuts[k+1]}
			if along {
				from, to = roofplan.Point{X: cuts[k], Y: at}, roofplan.Point{X: cuts[k+1], Y: at}
			}
			out = append(out, Stroke{Spot(frame.ToPlan(from)), Spot(frame.ToPlan(to))})
		}
	}
	return out
}

// drawZones cuts a plane into its wind zones.
func drawZones(c *terms.Call, s *roofs.State, p DrawnPlane) []DrawnZone {
	width, figure, height := loads.ZoneWidth(c, p.Slope), loads.Figure(c, p.Slope), roofs.MeanRoofHeight.Of(c, &c.Job().Building)
	if c.Stop() {
		return nil
	}
	outline := make([]structural.Point, len(p.Outline))
	for i, q := range p.Outline {
		outline[i] = structural.Point(q)
	}
	pieces, err := figure.ZoneMap(outline, loads.WindEdgesOf(s), width.Edge, height)
	if err != nil {
		c.Err(err)
		return nil
	}
	out := make([]DrawnZone, len(pieces))
	for i, piece := range pieces {
		out[i].Name = structural.ZoneName(piece.Zone)
		for _, q := range piece.Outline {
			out[i].Outline = append(out[i].Outline, Spot(q))
		}
	}
	return out
}

func drawObstruction(c *terms.Call, d *Drawing, s *roofs.State, o *job.Obstruction) {
	pieces, needs := roofs.ObstructionShapes.Try(c, o)
	if len(needs) > 0 {
		d.miss("obstruction "+o.Name.Value, needs)
		return
	}
	plane, ok := s.Index[terms.Peek(c, o.Plane)]
	if !ok {
		return
	}
	out := DrawnObstruction{Name: o.Name.Value, Kind: terms.Peek(c, o.Kind), Round: terms.Stated(c, o.Diameter)}
	if terms.Peek(c, o.WalkedOver) {
		out.WalkedOver, _ = roofs.ObstructionStepped.Try(c, o)
	}
	out.InWall, _ = roofs.ObstructionInWall.Try(c, o)
	corners := pieces[0].Corners()
	switch {
	case out.Round:
		corners = circle(pieces[0].Centre(), pieces[0].Radius())
	case terms.Stated(c, o.Outline):
		corners = nil
		for _, p := range terms.Peek(c, o.Outline) {
			corners = append(corners, roofplan.Point{X: p.X, Y: p.Y})
		}
	}
	out.Outline = spots(s.Roof.Frame(plane), corners)
	d.Obstructions = append(d.Obstructions, out)
}

// circle is a ring of points; on a slope its plan is an ellipse.
func circle(centre roofplan.Point, radius float64) []roofplan.Point {
	out := make([]roofplan.Point, 24)
	for i := range out {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(len(out)))
		out[i] = roofplan.Point{X: centre.X + radius*cos, Y: centre.Y + radius*sin}
	}
	return out
}

// drawnFeet are the feet of each array with what the checks ask of them.
func drawnFeet(c *terms.Call, s *roofs.State) map[*job.Array][]DrawnFoot {
	out := map[*job.Array][]DrawnFoot{}
	for _, subject := range c.List(arrays.Attachment.Kind()) {
		foot, ok := arrays.Attachment.Thing(subject)
		if !ok {
			continue // feet that cannot be listed are noted with their array
		}
		plane, ok := s.Index[terms.Peek(c, foot.Array.Plane)]
		if !ok {
			continue
		}
		at := foot.Foot(c)
		f := DrawnFoot{Name: at.Name, Subject: subject, At: Spot(s.Roof.Frame(plane).ToPlan(roofplan.Point(at.At)))}
		f.Zone, _ = loads.AttachmentWindZone.Try(c, foot)
		uplift, known := loads.AttachmentUplift.Try(c, foot)
		capacity, rated := loads.AttachmentUpliftCapacity.Try(c, foot)
		if known && rated && capacity > 0 {
			u := uplift / capacity
			f.Utilisation = &u
		}
		out[foot.Array] = append(out[foot.Array], f)
	}
	return out
}

func drawArray(c *terms.Call, d *Drawing, s *roofs.State, a *job.Array, feet []DrawnFoot) DrawnArray {
	out := DrawnArray{Name: a.Name.Value, Plane: terms.Peek(c, a.Plane), Feet: feet}
	l, needs := arrays.Modules.Try(c, a)
	if len(needs) > 0 {
		d.miss("array "+out.Name, needs)
		return out
	}
	plane, ok := s.Index[out.Plane]
	if !ok {
		return out
	}
	frame := s.Roof.Frame(plane)
	for _, module := range l.Modules {
		drawn := DrawnModule{Name: module.Name(), Row: module.Cell.Row, Column: module.Cell.Column}
		for i, corner := range module.Corners {
			drawn.Corners[i] = Spot(frame.ToPlan(roofplan.Point(corner)))
		}
		out.Modules = append(out.Modules, drawn)
	}
	out.Size = sizes(c, a, frame, s.Roof.Outline(plane), l)
	_, needs = arrays.Carried.Try(c, a)
	d.miss("attachments of array "+out.Name, needs)
	if len(needs) == 0 {
		_, needs = loads.Wind.Try(c, a)
		d.miss("wind zones of the attachments of array "+out.Name, needs)
	}
	b, needs := bonds.Bonding.Try(c, a)
	d.miss("bonding groups of array "+out.Name, needs)
	if b != nil && len(needs) == 0 {
		out.Groups = drawGroups(c, a, len(out.Modules))
		out.Lugs = drawLugs(c, a, l)
	}
	return out
}

// drawGroups lists the bonding groups of an array. The graph numbers the
// modules first, in the order of the layout; rails follow.
func drawGroups(c *terms.Call, a *job.Array, modules int) (groups []DrawnGroup) {
	for _, subject := range c.List(bonds.Group.Kind()) {
		mark, ok := bonds.Group.Thing(subject)
		if !ok || mark.Array != a {
			continue
		}
		group := mark.Group(c)
		g := DrawnGroup{Subject: subject, Lugged: len(group.Lugs) > 0}
		for _, part := range group.Parts {
			if part < modules {
				g.Modules = append(g.Modules, part)
			}
		}
		groups = append(groups, g)
	}
	return groups
}

// drawLugs lists the lugs of an array with the modules that they sit on.
func drawLugs(c *terms.Call, a *job.Array, l *layout.Array) (lugs []DrawnLug) {
	for _, subject := range c.List(bonds.Lug.Kind()) {
		mark, ok := bonds.Lug.Thing(subject)
		if !ok || mark.Array != a {
			continue
		}
		if m, ok := l.At(terms.Peek(c, mark.Lug.Row), terms.Peek(c, mark.Lug.Column)); ok {
			lugs = append(lugs, DrawnLug{Subject: subject, Module: m})
		}
	}
	return lugs
}

// bound finds the extents of what is drawn.
func (d *Drawing) bound() {
	low, high := Spot{math.Inf(1), math.Inf(1)}, Spot{math.Inf(-1), math.Inf(-1)}
	add := func(list ...Spot) {
		for _, p := range list {
			low.X, low.Y = math.Min(low.X, p.X), math.Min(low.Y, p.Y)
			high.X, high.Y = math.Max(high.X, p.X), math.Max(high.Y, p.Y)
		}
	}
	for _, p := range d.Planes {
		add(p.Outline...)
	}
	for _, o := range d.Obstructions {
		add(o.Outline...)
	}
	for i := range d.Arrays {
		for j := range d.Arrays[i].Modules {
			add(d.Arrays[i].Modules[j].Corners[:]...)
		}
		for _, f := range d.Arrays[i].Feet {
			add(f.At)
		}
	}
	if low.X <= high.X {
		d.Low, d.High = low, high
	}
}

// Strip is the part of a plane within a depth, metres on the surface, of its
// edges of a kind, in plan view: one outline for each such edge.
func (p *DrawnPlane) Strip(kind string, depth float64) [][]Spot {
	bearing := p.Downslope * math.Pi / 180
	down := Spot{math.Sin(bearing), math.Cos(bearing)}
	shrink := math.Cos(p.Slope * math.Pi / 180)
	var out [][]Spot
	for _, e := range p.Edges {
		l := math.Hypot(e.To.X-e.From.X, e.To.Y-e.From.Y)
		if e.Kind != kind || !(l > 0) || !(depth > 0) {
			continue
		}
		// The outline runs counter-clockwise: inside is to the left.
		in := Spot{-(e.To.Y - e.From.Y) / l, (e.To.X - e.From.X) / l}
		// A step square to the edge in plan is longer on the surface by the
		// part of it that goes down the slope.
		steep := in.X*down.X + in.Y*down.Y
		reach := depth / math.Sqrt(1-steep*steep+steep*steep/(shrink*shrink))
		from, to := e.From, e.To
		band := p.Outline
		for _, half := range [4][2]Spot{
			{from, in},
			{Spot{from.X + reach*in.X, from.Y + reach*in.Y}, Spot{-in.X, -in.Y}},
			{from, Spot{in.Y, -in.X}},
			{to, Spot{-in.Y, in.X}},
		} {
			band = cutHalf(band, half[0], half[1])
		}
		if len(band) > 2 {
			out = append(out, band)
		}
	}
	return out
}

// cutHalf keeps the part of an outline on the side of a line that a direction
// points to (I. Sutherland and G. Hodgman, "Reentrant polygon clipping",
// Communications of the ACM 17(1), 1974).
func cutHalf(outline []Spot, at, toward Spot) []Spot {
	side := func(p Spot) float64 { return (p.X-at.X)*toward.X + (p.Y-at.Y)*toward.Y }
	var out []Spot
	for i, p := range outline {
		q := outline[(i+1)%len(outline)]
		a, b := side(p), side(q)
		if a >= 0 {
			out = append(out, p)
		}
		if (a > 0 && b < 0) || (a < 0 && b > 0) {
			t := a / (a - b)
			out = append(out, Spot{p.X + t*(q.X-p.X), p.Y + t*(q.Y-p.Y)})
		}
	}
	return out
}
