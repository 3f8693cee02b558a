package drawing

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/review"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/plan"
	"plumbrule/internal/wording"
)

// dimensions writes the length of every outer edge beside it: in plan, and on
// the slope where that is another.
func (p *roofPlan) dimensions() {
	for _, plane := range p.d.Planes {
		for _, e := range plane.Edges {
			a, b := p.at(e.From), p.at(e.To)
			l := math.Hypot(b.x-a.x, b.y-a.y)
			if e.Shared || l == 0 {
				continue
			}
			// The outline runs counter-clockwise as seen from above: outside is to
			// the right, and down the sheet is the other way round.
			ux, uy := (b.x-a.x)/l, (b.y-a.y)/l
			nx, ny := -uy, ux
			flat := math.Hypot(e.To.X-e.From.X, e.To.Y-e.From.Y)
			text := tape(flat, p.r.System)
			long := text
			if e.Length > flat*1.005 {
				long = tape(e.Length, p.r.System) + " on the slope (" + text + " in plan)"
			}
			turn := upright(math.Atan2(uy, ux) * 180 / math.Pi)
			written := false
			for _, words := range []string{long, text} {
				for row := 0; row < 4 && !written; row++ {
					off := chainOff + chainPitch*float64(row)
					written = p.dimension(a, b, nx, ny, off, off+chainPast, turn, words)
				}
			}
			if !written {
				p.notes = append(p.notes, fmt.Sprintf("No room for a dimension: %s of plane %s, %s.", e.Kind, plane.Name, long))
			}
		}
	}
}

// dimension draws one dimension line with its text; false where the text does
// not fit between the ends or would lie over another.
func (p *roofPlan) dimension(a, b svgPoint, nx, ny, off, reach, turn float64, text string) bool {
	mid := svgPoint{(a.x + b.x) / 2, (a.y + b.y) / 2}
	if svgWidth(text, sizeText, false) > math.Hypot(b.x-a.x, b.y-a.y) {
		return false
	}
	// The text stands on the upper side of its own line.
	sin, cos := math.Sincos(turn * math.Pi / 180)
	t := svgText{at: mid.plus(nx*off+sin*2, ny*off-cos*2), text: text, size: sizeText, anchor: "middle", turn: turn}
	from, to := a.plus(nx*off, ny*off), b.plus(nx*off, ny*off)
	room := lane(from, to)
	if !p.placer.free(t.box()) || !p.placer.area.holds(t.box()) || slices.ContainsFunc(p.lanes, room.meets) {
		return false
	}
	p.lanes = append(p.lanes, room)
	p.placer.take(t.box())
	style := svgStroke(inkThin, 0.5, "")
	p.body.line(from, to, style)
	for _, e := range [2]svgPoint{a, b} {
		p.body.line(e.plus(nx*3, ny*3), e.plus(nx*reach, ny*reach), style)
		foot := e.plus(nx*off, ny*off)
		p.body.line(foot.plus(-2, 2), foot.plus(2, -2), svgStroke(inkLine, 0.9, ""))
	}
	p.placer.stroke(from, to, 1)
	p.top.text(t)
	return true
}

// gates marks the narrowest place of the way up each side with its width and
// with what it lies between.
func (p *roofPlan) gates() {
	for i := range p.d.Ways {
		w := &p.d.Ways[i]
		d := p.demandOf(w)
		key, text, fill := "gate", tapeDown(w.Widest, p.r.System)+" clear", inkGreen
		if d.blocked {
			key, text, fill = "blocked", tapeDown(w.Widest, p.r.System)+" of "+tape(d.width, p.r.System), inkBrick
		}
		p.shown[key] = true
		a, b := p.at(w.Gate.From), p.at(w.Gate.To)
		gateMark(&p.top, a, b, d.blocked)
		lines := []string{text}
		if between := betweenOf(w); between != "" {
			lines = append(lines, strings.TrimPrefix(between, ", "))
		}
		mid := svgPoint{(a.x + b.x) / 2, (a.y + b.y) / 2}
		p.label(lines, mid.plus(0, -9), mid, p.placer.area, fill, d.blocked)
	}
}

// farLabel is the distance on the sheet past which a text needs a leader to
// what it names.
const farLabel = 22.0

// label writes lines of text near a place, at home if there is room, with a
// leader to their subject where they could not stand close, and notes them
// where there is no room at all.
func (p *roofPlan) label(lines []string, near, subject svgPoint, home svgBox, fill string, bold bool) {
	w := 0.0
	for _, l := range lines {
		w = math.Max(w, svgWidth(l, sizeText, bold))
	}
	w += 0.1 // coordinates are rounded
	h := lineHeight * float64(len(lines))
	box, ok := p.placer.near(w, h, near, home, false)
	if !ok {
		box, ok = p.placer.near(w, h, near, p.placer.area, false)
	}
	if !ok {
		p.notes = append(p.notes, "No room on the drawing for: "+strings.Join(lines, ", ")+".")
		return
	}
	if c := box.centre(); math.Hypot(c.x-near.x, c.y-near.y) > farLabel {
		p.top.line(box.edgeToward(subject), subject, svgStroke(inkThin, 0.5, ""))
	}
	p.top.rect(box, `fill="`+inkPaper+`"`)
	for i, l := range lines {
		p.top.text(svgText{at: svgPoint{(box.x0 + box.x1) / 2, box.y0 + lineHeight*float64(i) + 7.6}, text: l, size: sizeText, anchor: "middle", fill: fill, bold: bold && i == 0})
	}
}

// bonds draws the outline of each bonding group just inside its modules, and
// the lugs.
func (p *roofPlan) bonds(a *plan.DrawnArray) {
	if len(a.Groups) == 0 {
		return
	}
	const inset = 1.5
	if p.moduleSize(a) < 5*inset {
		p.notes = append(p.notes, fmt.Sprintf("The bonding groups of array %s are too small to be drawn at this scale.", a.Name))
		return
	}
	group := make([]int, len(a.Modules))
	cells := make(map[[2]int]int, len(a.Modules))
	for i, m := range a.Modules {
		group[i] = -1
		cells[[2]int{m.Row, m.Column}] = i
	}
	for g := range a.Groups {
		for _, m := range a.Groups[g].Modules {
			group[m] = g
		}
	}
	same := func(i, row, column int) bool {
		j, ok := cells[[2]int{row, column}]
		return ok && group[i] >= 0 && group[j] == group[i]
	}
	var lugged, loose strings.Builder
	for i := range a.Modules {
		if group[i] < 0 {
			continue
		}
		out := &loose
		if a.Groups[group[i]].Lugged {
			out = &lugged
		}
		p.outline(out, a, i, inset, same)
	}
	draw := func(d, key, style string) {
		if d != "" {
			p.shown[key] = true
			p.body.put(`<path d="%s" %s/>`, d, style)
		}
	}
	draw(lugged.String(), "group", svgStroke(inkCopper, 0.9, "6 1.5"))
	draw(loose.String(), "loose", svgStroke(inkCopper, 1.2, "1.2 1.4"))
	for _, l := range a.Lugs {
		if l.Module < len(a.Modules) {
			p.shown["lug"] = true
			at := p.lugAt(a, l.Module)
			lugMark(&p.body, at)
			p.placer.blot(at, 4)
		}
	}
}

func (p *roofPlan) moduleSize(a *plan.DrawnArray) float64 {
	c := p.all(a.Modules[0].Corners[:])
	return math.Min(math.Hypot(c[1].x-c[0].x, c[1].y-c[0].y), math.Hypot(c[2].x-c[1].x, c[2].y-c[1].y))
}

// lugAt is in the lower left part of a module, clear of its edges.
func (p *roofPlan) lugAt(a *plan.DrawnArray, module int) svgPoint {
	c := p.all(a.Modules[module].Corners[:])
	return svgPoint{c[0].x + 0.2*(c[1].x-c[0].x) + 0.2*(c[3].x-c[0].x), c[0].y + 0.2*(c[1].y-c[0].y) + 0.2*(c[3].y-c[0].y)}
}

// outline adds the sides of a module at which its bonding group ends. A side
// is drawn inset; it is cut back at an outer corner, and runs on into the gap
// where the group goes on along the row or round an inner corner.
func (p *roofPlan) outline(out *strings.Builder, a *plan.DrawnArray, i int, inset float64, same func(i, row, column int) bool) {
	m := &a.Modules[i]
	c := p.all(m.Corners[:])
	// side k runs from corner k to the next; step is the way out of it
	steps := [4][2]int{{-1, 0}, {0, 1}, {1, 0}, {0, -1}} // row, column
	for k, step := range steps {
		if same(i, m.Row+step[0], m.Column+step[1]) {
			continue
		}
		from, to := c[k], c[(k+1)%4]
		back, on := steps[(k+3)%4], steps[(k+1)%4]
		l := math.Hypot(to.x-from.x, to.y-from.y)
		ux, uy := (to.x-from.x)/l, (to.y-from.y)/l
		d := math.Hypot(c[(k+3)%4].x-from.x, c[(k+3)%4].y-from.y)
		ix, iy := (c[(k+3)%4].x-from.x)/d*inset, (c[(k+3)%4].y-from.y)/d*inset
		end := func(neighbour [2]int) float64 {
			switch {
			case !same(i, m.Row+neighbour[0], m.Column+neighbour[1]):
				return -inset
			case same(i, m.Row+neighbour[0]+step[0], m.Column+neighbour[1]+step[1]):
				return inset
			}
			return inset / 2 // meets that of the next module in the gap
		}
		start, stop := end(back), end(on)
		out.WriteString(svgPath(false, from.plus(ix-ux*start, iy-uy*start), to.plus(ix+ux*stop, iy+uy*stop)))
	}
}

// markings puts the findings on the drawing: a ring round each attachment,
// flags with leaders at everything.
func (p *roofPlan) markings() {
	type foot struct {
		array int
		at    svgPoint
	}
	feet, anchors := map[*terms.Subject]foot{}, map[string]svgPoint{}
	home := map[string]string{} // the array of what is a part of one
	for i, a := range p.d.Arrays {
		for _, f := range a.Feet {
			feet[f.Subject] = foot{i, p.at(f.At)}
		}
		for _, g := range a.Groups {
			if len(g.Modules) > 0 {
				c := p.all(a.Modules[g.Modules[len(g.Modules)-1]].Corners[:])
				home[g.Subject.Key] = job.Join("array", a.Name)
				anchors[g.Subject.Key] = svgPoint{(c[0].x + 2*c[1].x) / 3, (c[0].y + 2*c[2].y) / 3}
			}
		}
		for _, l := range a.Lugs {
			if l.Module < len(a.Modules) {
				home[l.Subject.Key] = job.Join("array", a.Name)
				anchors[l.Subject.Key] = p.lugAt(&a, l.Module)
			}
		}
		if len(a.Modules) > 0 {
			anchors[job.Join("array", a.Name)] = p.corner(&a)
		}
	}
	for _, plane := range p.d.Planes {
		anchors[job.Join("plane", plane.Name)] = middle(p.all(plane.Outline))
	}
	for _, o := range p.d.Obstructions {
		anchors[job.Join("obstruction", o.Name)] = middle(p.all(o.Outline))
	}
	const whole = "the roof as a whole"
	worst := map[*review.Outcome]bool{}
	for _, c := range p.r.Comments() {
		worst[c.Worst()] = true
	}
	footed := map[string]bool{} // places that are the attachments of an array
	spot := func(o *review.Outcome) string {
		if f, ok := feet[o.Subject]; ok {
			place := "attachments of array " + p.d.Arrays[f.array].Name
			if worst[o] {
				place = o.Subject.Label()
				anchors[place] = f.at
			} else if _, ok := anchors[place]; !ok {
				anchors[place] = p.edge(&p.d.Arrays[f.array])
				home[place] = job.Join("array", p.d.Arrays[f.array].Name)
				footed[place] = true
			}
			return place
		}
		for at := range o.Subject.Places {
			if _, drawn := anchors[at]; drawn {
				return at
			}
		}
		return whole
	}
	p.groups, p.places = groupFindings(p.r, OnRoofPlan, spot)
	p.gatherLight(home)
	var flags []*svgFindings
	var at []string
	for i, g := range p.groups {
		if f, ok := feet[g.list[0].Subject]; ok && g.role == worstOf {
			p.ring(g, 0, f.at)
		}
		if g.role == furtherOf && footed[p.places[i]] && len(g.list) <= detailLimit {
			g.own = true
			for k, o := range g.list {
				p.ring(g, k, feet[o.Subject].at)
			}
			continue
		}
		flags, at = append(flags, g), append(at, p.places[i])
	}
	for _, k := range clusters(flags, at) {
		at, ok := anchors[k.place]
		if !ok || !k.flagAt(p.placer, &p.top, at, 2*clusterRow) {
			p.loose = append(p.loose, k)
		}
	}
}

// gatherLight puts what comes of comments on the parts of an array together at
// the array.
func (p *roofPlan) gatherLight(home map[string]string) {
	var groups []*svgFindings
	var places []string
	at := map[string]*svgFindings{}
	for i, g := range p.groups {
		place := p.places[i]
		if g.role == comesOf {
			if array, ok := home[place]; ok {
				place = array
			}
			if all := at[place]; all != nil {
				all.list = append(all.list, g.list...)
				for _, c := range g.causes {
					if !slices.Contains(all.causes, c) {
						all.causes = append(all.causes, c)
					}
				}
				continue
			}
			at[place] = g
		}
		groups, places = append(groups, g), append(places, place)
	}
	for _, g := range at {
		slices.SortFunc(g.causes, func(a, b *review.Comment) int { return cmp.Compare(a.Number, b.Number) })
		g.comment = g.causes[0]
		g.numbers = wording.Each(g.causes, func(c *review.Comment) string { return strconv.Itoa(c.Number) })
	}
	p.groups, p.places = groups, places
}

// edge is the middle of the right-hand module of the uppermost row of an array.
func (p *roofPlan) edge(a *plan.DrawnArray) svgPoint {
	best := svgPoint{math.Inf(-1), math.Inf(1)}
	for i := range a.Modules {
		q := middle(p.all(a.Modules[i].Corners[:]))
		if q.x-q.y > best.x-best.y {
			best = q
		}
	}
	return best
}

// corner is a point just inside the upper left module of an array.
func (p *roofPlan) corner(a *plan.DrawnArray) svgPoint {
	best := svgPoint{math.Inf(1), math.Inf(1)}
	for i := range a.Modules {
		q := middle(p.all(a.Modules[i].Corners[:]))
		if q.x+q.y < best.x+best.y {
			best = q
		}
	}
	return best
}

func middle(list []svgPoint) svgPoint {
	var c svgPoint
	for _, q := range list {
		c.x += q.x / float64(len(list))
		c.y += q.y / float64(len(list))
	}
	return c
}

// ring marks an attachment that a comment is about: heavy round the worst one,
// thin round the others.
func (p *roofPlan) ring(g *svgFindings, i int, at svgPoint) {
	p.shown["ring"] = true
	dash := ""
	if g.result == review.Undetermined {
		dash = "1.6 1.1"
	}
	r := p.dot() + 1.8
	if g.role == worstOf { // its flag is the mark
		p.top.circle(at, r+0.4, svgStroke(g.colour(), 1.4, dash))
		return
	}
	p.top.put(`<a class="light" id="mark-%s" href="%s"><title>%s</title><circle cx="%s" cy="%s" r="%s" %s/></a>`,
		g.numbers[i], g.link(), wording.XML(g.title(i)), SvgNumber(at.x), SvgNumber(at.y), SvgNumber(r), svgStroke(g.colour(), 0.6, dash))
}

// names writes what things are called, last, where there is still room.
func (p *roofPlan) names() {
	if len(p.d.Planes) == 0 {
		c := p.placer.area.centre()
		p.top.text(svgText{at: c, text: "The roof cannot be drawn: see the notes.", size: sizeHead, anchor: "middle"})
		return
	}
	for i := range p.d.Arrays {
		p.arrayName(&p.d.Arrays[i])
	}
	for i := range p.d.Arrays {
		p.stringNames(&p.d.Arrays[i])
		if !p.coarse {
			p.upliftNumbers(&p.d.Arrays[i])
		}
	}
	for i := range p.d.Planes {
		p.planeName(&p.d.Planes[i])
	}
	for _, o := range p.d.Obstructions {
		at := middle(p.all(o.Outline))
		p.label([]string{obstructionName(&o)}, at.plus(0, 10), at, p.placer.area, inkText, false)
	}
	for _, s := range p.beyond {
		p.label([]string{s.text}, s.near, s.at, p.placer.area, inkSoft, false)
	}
	p.openings()
	strips := map[string]bool{}
	for _, s := range p.strips {
		text := tape(s.depth, p.r.System) + " clear along the " + s.along
		if strips[text] {
			continue // said once; the legend shows the hatch
		}
		strips[text] = true
		at := middle(p.all(s.outline))
		p.label([]string{text}, at, at, p.placer.area, inkBrick, false)
	}
	p.zoneNames()
}

// openings writes what an opening in a plane is, where no other plane fills it.
func (p *roofPlan) openings() {
	for i := range p.d.Planes {
		for _, hole := range p.d.Planes[i].Holes {
			ring := p.all(hole)
			at := middle(ring)
			filled := slices.ContainsFunc(p.d.Planes, func(other plan.DrawnPlane) bool {
				return other.Name != p.d.Planes[i].Name && within(p.all(other.Outline), at)
			})
			if !filled {
				p.label([]string{"opening in plane " + p.d.Planes[i].Name}, at, at, p.placer.area, inkSoft, false)
			}
		}
	}
}

// obstructionName is the name of a thing with its kind, where the name does not
// say that by itself.
func obstructionName(o *plan.DrawnObstruction) string {
	kind := strings.ReplaceAll(o.Kind, "-", " ")
	if kind == "" || strings.Contains(o.Name, kind) {
		kind = ""
	}
	if o.InWall {
		kind = strings.TrimSpace(kind + " in the wall")
	}
	return joinKnown(", ", o.Name, kind)
}

// arrayName says what an array is and how its worst attachment stands.
func (p *roofPlan) arrayName(a *plan.DrawnArray) {
	if len(a.Modules) == 0 {
		return
	}
	text := joinKnown(", ", "array "+a.Name, wording.Plural(len(a.Modules), "module", "modules"))
	if n := len(a.Feet); n > 0 {
		text += ", " + wording.Plural(n, "foot", "feet")
	}
	low := svgPoint{0, math.Inf(-1)}
	var c svgPoint
	for i := range a.Modules {
		for _, q := range p.all(a.Modules[i].Corners[:]) {
			low.y = math.Max(low.y, q.y)
		}
		m := middle(p.all(a.Modules[i].Corners[:]))
		c.x += m.x / float64(len(a.Modules))
	}
	home := p.placer.area
	for _, plane := range p.d.Planes {
		if plane.Name == a.Plane {
			home = boundsOf(p.all(plane.Outline))
		}
	}
	p.label([]string{text}, svgPoint{c.x, low.y + 4 + lineHeight}, svgPoint{c.x, low.y - 3}, home, inkText, true)
}

// planeName says what a plane is called and how it slopes, with an arrow down
// the slope.
func (p *roofPlan) planeName(plane *plan.DrawnPlane) {
	text := "plane " + plane.Name
	for i := range p.r.Job.Planes {
		if g := &p.r.Job.Planes[i]; g.Name.Value == plane.Name {
			text += ", " + g.Slope.Value.Format(p.r.System)
		}
	}
	const arrow = 22.0
	w, h := math.Max(arrow, svgWidth(text, sizeText, true)), lineHeight
	if plane.Slope > 0 {
		h += arrow
	}
	points := p.all(plane.Outline)
	b, ok := p.placer.near(w, h, middle(points), boundsOf(points), false)
	if !ok {
		b, ok = p.placer.near(w, h, middle(points), p.placer.area, false)
	}
	if !ok {
		p.notes = append(p.notes, "No room on the drawing for: "+text+".")
		return
	}
	mid := (b.x0 + b.x1) / 2
	p.top.text(svgText{at: svgPoint{mid, b.y0 + 7}, text: text, size: sizeText, anchor: "middle", bold: true, halo: true})
	if plane.Slope > 0 {
		sin, cos := math.Sincos(plane.Downslope * math.Pi / 180)
		dx, dy := sin*(arrow/2-1), -cos*(arrow/2-1)
		c := svgPoint{mid, b.y1 - arrow/2}
		tip := c.plus(dx, dy)
		p.top.line(c.plus(-dx, -dy), tip, svgStroke(inkLine, 0.9, ""))
		p.top.put(`<path d="%s" %s/>`, svgPath(false, tip.plus(-0.35*dx-0.25*dy, -0.35*dy+0.25*dx), tip, tip.plus(-0.35*dx+0.25*dy, -0.35*dy-0.25*dx)), svgStroke(inkLine, 0.9, ""))
	}
}

// zoneNames tags the largest part of each zone of each plane.
func (p *roofPlan) zoneNames() {
	untagged := map[string]bool{}
	for _, plane := range p.d.Planes {
		largest := map[string]int{}
		var order []string
		area := func(i int) float64 { return spotArea(plane.Zones[i].Outline) }
		for i, z := range plane.Zones {
			k, seen := largest[z.Name]
			if !seen {
				order = append(order, z.Name)
			}
			if !seen || area(i) > area(k) {
				largest[z.Name] = i
			}
		}
		for _, name := range order {
			points := p.all(plane.Zones[largest[name]].Outline)
			w := math.Max(11, svgWidth(name, sizeText, false)+6)
			b, ok := p.placer.near(w, 11, middle(points), boundsOf(points), false)
			if !ok {
				if note := fmt.Sprintf("No room for the name of wind zone %s on plane %s.", name, plane.Name); !untagged[note] {
					untagged[note] = true
					p.notes = append(p.notes, note)
				}
				continue
			}
			zoneTag(&p.top, b.centre(), name)
		}
	}
}

func spotArea(list []plan.Spot) float64 {
	sum := 0.0
	for i, a := range list {
		b := list[(i+1)%len(list)]
		sum += a.X*b.Y - b.X*a.Y
	}
	return math.Abs(sum) / 2
}

// spare lays entries of a width side by side on an empty part of the drawing, so
// that a few lines need no sheet of their own. It is false where no part is
// large enough.
func (p *roofPlan) spare(entries []svgEntry, width float64) bool {
	heights := make([]float64, len(entries))
	draws := make([]func(*svgCanvas, svgPoint), len(entries))
	for i, e := range entries {
		heights[i], draws[i] = e(width)
	}
	if !p.placer.summed {
		p.placer.sum()
	}
	area := p.placer.area
	for n := min(4, len(entries)); n > 0; n-- {
		pitch, high := width+2*columnInset, fewest(heights, n)
		for y := area.y1 - high - columnInset; y >= area.y0+columnInset; y -= svgStep {
			for x := area.x0; x+float64(n)*pitch <= area.x1; x += svgStep {
				b := svgBox{x, y, x + float64(n)*pitch, y + high}
				if !p.placer.free(b.grown(labelGap)) || p.placer.inkBelow(b) > 0.01 {
					continue
				}
				p.placer.take(b)
				at := svgPoint{x + columnInset, y}
				for i, h := range heights {
					if at.y+h > b.y1+0.01 && at.y > y {
						at = svgPoint{at.x + pitch, y}
					}
					draws[i](&p.body, at)
					at.y += h
				}
				return true
			}
		}
	}
	return false
}
