package job

import (
	"cmp"
	"fmt"
	"iter"
	"math"
	"reflect"
	"slices"
	"strconv"

	"plumbrule/internal/bound"
	"plumbrule/internal/quantity"
	"plumbrule/internal/source"
)

// rows expands what an array says by setbacks and by ribs or members.
func (e *expansion) rows() {
	f, _ := Model().Field("array")
	feet, _ := f.Table.Field("attachments")
	list := e.root.get(f.Key)
	if list == nil || !list.holdsTables() {
		return
	}
	var around *Job // what arrays stand on and consist of, read once
	for i, entry := range list.list {
		if !hasPatterns(f.Table, entry) {
			continue
		}
		if around == nil {
			around = e.around()
		}
		name, _ := entry.get("name").text()
		r := row{expansion: e, n: entry, key: elementKey(f, f.Key, i, name), job: around}
		var across arrayPattern
		if e.takeOut(f.Table, entry, r.key, &across) {
			r.read(f.Table)
			r.place(&across)
		}
		var rule feetPattern
		if n := entry.get(feet.Key); n != nil && n.isTable() && e.takeOut(feet.Table, n, Join(r.key, feet.Key), &rule) {
			r.read(f.Table) // with the origin that its setbacks gave
			r.stand(n, &rule)
		}
	}
}

// around gives planes and types as far as they can be read. What is wrong with
// them is said when the whole job is read.
func (e *expansion) around() *Job {
	job := &Job{}
	b := quietly()
	for _, key := range []string{"plane", "module_type", "mounting_type"} {
		f, _ := Model().Field(key)
		b.field(f, e.root.get(key), f.Of(reflect.ValueOf(job).Elem()), key, e.root.span())
	}
	return job
}

// quietly reads values for an expansion; nobody asks for its faults.
func quietly() *binder { return &binder{names: map[string][]string{}, searches: mostNearest} }

// row is an array that is being expanded.
type row struct {
	*expansion
	n   *node
	key string

	job *Job
	a   *Array
}

// read gives the array as far as it can be read.
func (r *row) read(t *Table) {
	r.a = &Array{}
	quietly().table(t, r.n, reflect.ValueOf(r.a).Elem(), r.key, r.n.span())
}

// needs reports whether values are known. Where one is not, what the pattern was
// to give, by their keys, is left open, and it is that value that is missing.
func (e *expansion) needs(pattern source.Span, gives []string, values ...any) bool {
	for _, v := range values {
		g := reflect.ValueOf(v)
		if g.FieldByName("Known").Bool() || g.FieldByName("Default").Bool() {
			continue
		}
		for _, key := range gives {
			e.lacks[key] = lack{g.FieldByName("Key").String(), g.FieldByName("At").Interface().(source.Span), pattern}
		}
		return false
	}
	return true
}

// lack is a value that a pattern needs and the job leaves out.
type lack struct {
	key     string
	at      source.Span // as for any value that is left out
	pattern source.Span
}

// leaveOpen says of the values that patterns could not give what is missing.
func (e *expansion) leaveOpen(job *Job) {
	for i := range job.Strings {
		open(e, &job.Strings[i].Array)
	}
	for i := range job.Arrays {
		a := &job.Arrays[i]
		open(e, &a.Origin)
		open(e, &a.Attachments.Spacing)
		open(e, &a.Attachments.FirstOffset)
	}
}

func open[T any](e *expansion, g *Given[T]) {
	if l, lacks := e.lacks[g.Key]; lacks && !g.Known {
		g.From, g.At = l.key, l.at
	}
}

// grid is the rectangle around the modules of an array from its origin, metres.
type grid struct{ left, right, bottom, top float64 }

// bounds gives that rectangle; false where it cannot be known, for which see
// needs, or with a fault where the array does not lie square to its plane.
func (r *row) bounds(pattern Text, gives []string) (grid, bool) {
	a, needs := r.a, func(values ...any) bool { return r.needs(pattern.At, gives, values...) }
	if !needs(a.Module, a.Rows, a.Columns, a.Orientation) {
		return grid{}, false
	}
	m, ok := r.job.ModuleOf(a)
	if !ok || !needs(m.Length, m.Width) {
		return grid{}, false
	}
	if a.Columns.Value > 1 && !needs(a.GapX) || a.Rows.Value > 1 && !needs(a.GapY) {
		return grid{}, false
	}
	if a.Rotation.Value.SI != 0 {
		r.fault(a.Rotation.At, pattern.Key, "", "the array is turned on its plane; setbacks, ribs and members place one that is square to it")
		return grid{}, false
	}
	if a.Rows.Value*a.Columns.Value > bound.Modules {
		return grid{}, false // which is refused when the job is read
	}
	first, last, ok := a.filled()
	if !ok {
		return grid{}, false
	}
	width, height := m.Width.Value.SI, m.Length.Value.SI
	if a.Orientation.Value == "landscape" {
		width, height = height, width
	}
	return grid{
		left:   float64(first.Column-1) * (width + a.GapX.Value.SI),
		right:  float64(last.Column)*width + float64(last.Column-1)*a.GapX.Value.SI,
		bottom: float64(first.Row-1) * (height + a.GapY.Value.SI),
		top:    float64(last.Row)*height + float64(last.Row-1)*a.GapY.Value.SI,
	}, true
}

// filled gives the lowest and the highest row and column with a module.
func (a *Array) filled() (first, last Cell, ok bool) {
	inRow, inColumn := map[int]int{}, map[int]int{}
	for c := range a.omitted() {
		inRow[c.Row]++
		inColumn[c.Column]++
	}
	first, last = Cell{1, 1}, Cell{a.Rows.Value, a.Columns.Value}
	for first.Row <= last.Row && inRow[first.Row] == a.Columns.Value {
		first.Row++
	}
	for last.Row > first.Row && inRow[last.Row] == a.Columns.Value {
		last.Row--
	}
	for first.Column <= last.Column && inColumn[first.Column] == a.Rows.Value {
		first.Column++
	}
	for last.Column > first.Column && inColumn[last.Column] == a.Rows.Value {
		last.Column--
	}
	return first, last, first.Row <= last.Row && first.Column <= last.Column
}

// omitted are the places of the grid without a module.
func (a *Array) omitted() map[Cell]bool {
	out := map[Cell]bool{}
	for _, c := range a.Omit.Value {
		if c.Row <= a.Rows.Value && c.Column <= a.Columns.Value {
			out[c] = true
		}
	}
	return out
}

// place gives an array its origin by its setbacks.
func (r *row) place(p *arrayPattern) {
	if origin := r.n.get("origin"); origin != nil {
		r.fault(origin.span(), Join(r.key, "origin"), "one of the two is expected", "the array is placed by its setbacks too")
		return
	}
	if !p.Across.Known {
		r.fault(r.n.span(), Join(r.key, "across"), `"centred", "from_left" or "from_right" is expected`, "the array has setbacks and does not say where it stands across")
		return
	}
	if p.BelowRidge.Known == p.AboveEave.Known {
		r.fault(p.Across.At, Join(r.key, "across"), "one of below_ridge and above_eave is expected", "how high the array stands is stated %s", map[bool]string{true: "twice", false: "nowhere"}[p.AboveEave.Known])
		return
	}
	if missing := map[string]Quantity{"from_left": p.SetbackLeft, "from_right": p.SetbackRight}[p.Across.Value]; p.Across.Value != "centred" && !missing.Known {
		r.fault(p.Across.At, p.Across.Key, "", "%s needs %s", p.Across.Value, missing.Key)
		return
	}
	gives := []string{Join(r.key, "origin")}
	plane, ok := r.job.PlaneOf(r.a)
	if !ok || !r.needs(p.Across.At, gives, plane.Outline, plane.Slope, plane.Downslope) {
		return // a plane that is not there is refused when the job is read
	}
	g, ok := r.bounds(p.Across, gives)
	if !ok {
		return
	}
	if !r.make(p.Across.At, p.Across.Key, plane.corners()) {
		return
	}
	s, problem := newFace(plane)
	if problem != "" {
		r.fault(p.Across.At, p.Across.Key, "origin is expected", "plane %q %s", shorten(plane.Name.Value), problem)
		return
	}
	bottom := p.AboveEave.Value.SI
	high := p.AboveEave
	if p.BelowRidge.Known {
		high = p.BelowRidge
		if !s.levelTop {
			r.fault(high.At, high.Key, "above_eave or origin is expected", "plane %q has no level upper edge", shorten(plane.Name.Value))
			return
		}
		bottom = s.top - p.BelowRidge.Value.SI - (g.top - g.bottom)
	}
	if bottom < -touching || bottom+g.top-g.bottom > s.top+touching {
		r.fault(high.At, high.Key, "", "the array is %s high and does not fit on plane %q, %s from its lowest edge to its highest point", spoken(g.top-g.bottom, high.Value), shorten(plane.Name.Value), spoken(s.top, high.Value))
		return
	}
	left, right, ok := s.between(bottom, bottom+g.top-g.bottom)
	if !ok {
		r.fault(p.Across.At, p.Across.Key, "origin is expected", "plane %q is in several parts beside the array", shorten(plane.Name.Value))
		return
	}
	left, right = left+p.SetbackLeft.Value.SI, right-p.SetbackRight.Value.SI
	width := g.right - g.left
	if width > right-left+touching {
		r.fault(p.Across.At, p.Across.Key, "", "the array is %s wide, and plane %q has %s for it between the setbacks", spoken(width, high.Value), shorten(plane.Name.Value), spoken(max(0, right-left), high.Value))
		return
	}
	x := (left + right - width) / 2
	switch p.Across.Value {
	case "from_left":
		x = left
	case "from_right":
		x = right - width
	}
	r.n.table["origin"] = plant([]any{written(x-g.left, high.Value), written(bottom-g.bottom, high.Value)}, placedAt(p.Across.At))
	r.made[Join(r.key, "origin")] = true
}

// stand gives the feet their spacing by what they stand on.
func (r *row) stand(n *node, p *feetPattern) {
	key := Join(r.key, "attachments")
	for _, k := range []string{"spacing", "first_offset", "stagger", "file"} {
		if stated := n.get(k); stated != nil {
			r.fault(stated.span(), Join(key, k), "one of the two is expected", "the feet are placed by every too")
			return
		}
	}
	if !p.Every.Known || !p.On.Known {
		lacks := "every"
		if p.Every.Known {
			lacks = "on"
		}
		r.fault(n.span(), Join(key, lacks), "", "feet by ribs or members need every, on which one, and on, what they stand on")
		return
	}
	gives := []string{Join(key, "spacing"), Join(key, "first_offset")}
	plane, ok := r.job.PlaneOf(r.a)
	if !ok {
		return
	}
	g, ok := r.bounds(p.On, gives)
	if !ok {
		return
	}
	if l, lacks := r.lacks[r.a.Origin.Key]; lacks && !r.a.Origin.Known {
		r.a.Origin.Key, r.a.Origin.At = l.key, l.at
	}
	if !r.needs(p.On.At, gives, r.a.Origin) {
		return
	}
	pitch, offset, each := plane.Covering.RibPitch, plane.Covering.RibOffset, "rib"
	if p.On.Value == "members" {
		if !r.needs(p.On.At, gives, plane.Framing.Runs) {
			return
		}
		if plane.Framing.Runs.Value != "up-slope" {
			r.fault(p.On.At, p.On.Key, "spacing and first_offset are expected, and lines over the members", "the members of plane %q run along the eave, so that none is crossed along a row", shorten(plane.Name.Value))
			return
		}
		if plane.Framing.Positions.Known {
			r.fault(p.On.At, p.On.Key, "spacing and first_offset, or a file of feet, are expected", "the members of plane %q stand one by one, at no one spacing", shorten(plane.Name.Value))
			return
		}
		pitch, offset, each = plane.Framing.Spacing, plane.Framing.Offset, "member"
	}
	if !r.needs(p.On.At, gives, pitch, offset) || !(pitch.Value.SI > 0) {
		return
	}
	if p.Staggered.Value && p.Every.Value == 1 {
		r.fault(p.Staggered.At, p.Staggered.Key, "every = 2 or more is expected", "feet on every %s cannot be staggered", each)
		return
	}
	edge := r.a.Origin.Value.X + g.left
	k := math.Ceil((edge - offset.Value.SI - touching) / pitch.Value.SI)
	l := line{first: max(0, offset.Value.SI+k*pitch.Value.SI-edge), spacing: float64(p.Every.Value) * pitch.Value.SI, width: g.right - g.left, feet: r.a.Attachments.PerLine.Value}
	if p.Staggered.Value {
		l.stagger = float64(p.Every.Value/2) * pitch.Value.SI
	}
	if limit, stated := r.overhang(l.spacing); stated {
		if l.first > limit+touching {
			r.fault(p.On.At, p.On.Key, "", "the first %s stands %s from the array's left edge, and its mounting allows an overhang of %s", each, spoken(l.first, pitch.Value), spoken(max(0, limit), pitch.Value))
			return
		}
		l.first = l.begin(pitch.Value.SI, limit)
	}
	set := func(k string, x float64) {
		n.table[k] = plant(written(x, pitch.Value), placedAt(p.Every.At))
		r.made[Join(key, k)] = true
	}
	set("spacing", l.spacing)
	set("first_offset", l.first)
	if p.Staggered.Value {
		set("stagger", l.stagger)
	}
}

// line is a line of feet of an array, and the next one; all lengths are in metres.
type line struct {
	first, spacing, stagger, width float64
	feet                           int // 0: as many as fit
}

// begin gives the first place for the first foot from which neither line stands
// out past its feet by more than a limit at either end. Where there is none it
// is the first of all, and the review says what is wrong with it.
func (l line) begin(pitch, limit float64) float64 {
	within := func(first float64) bool {
		feet := float64(l.feet)
		if feet == 0 {
			feet = math.Floor((l.width-first+touching)/l.spacing) + 1
		}
		last := first + (feet-1)*l.spacing
		return first <= limit+touching && feet >= 1 && last <= l.width+touching && l.width-last <= limit+touching
	}
	for first := l.first; first <= limit+touching && first < l.first+l.spacing; first += pitch {
		if within(first) && within(first+l.stagger) {
			return first
		}
	}
	return l.first
}

// overhang is how far a row may stand past its first foot by the mounting's
// own limits, what its rail stands out past the module taken off; false where
// they say nothing.
func (r *row) overhang(spacing float64) (limit float64, stated bool) {
	m, ok := r.job.MountingOf(r.a)
	if !ok || !m.MaximumCantilever.Known && !m.CantileverShare.Known {
		return 0, false
	}
	limit = math.Inf(1)
	if m.MaximumCantilever.Known {
		limit = m.MaximumCantilever.Value.SI
	}
	if m.CantileverShare.Known {
		limit = min(limit, m.CantileverShare.Value.SI*spacing)
	}
	return limit - m.RailPast.Value.SI, true
}

// placedAt is where a value stands that a pattern made: where the pattern does.
func placedAt(pattern source.Span) source.Place { return source.Place{Key: pattern, Value: pattern} }

// written is a length as a job writes it, in the units that a value beside it is
// written in. Twelve digits tell it from any other within the tolerance of a
// limit.
func written(x float64, beside quantity.Value) string {
	unit, size := "in", quantity.Inch
	if system, told := beside.System(); told && system == quantity.SI {
		unit, size = "m", 1
	}
	return strconv.FormatFloat(math.Round(x/size*1e9)/1e9+0, 'g', 12, 64) + " " + unit
}

// spoken is a length as a fault says it.
func spoken(x float64, beside quantity.Value) string {
	system, _ := beside.System()
	return quantity.Of(x, quantity.Length).Format(system)
}

// face is a plane as it lies on its surface: x along the lowest edge from its
// left end, seen looking up the slope, y up the slope.
type face struct {
	rings    [][]Point
	top      float64 // of the level upper edge where there is one, else of the highest corner
	levelTop bool
}

// touching is the distance, in metres, below which things are said to touch.
const touching = 1e-6

// corners counts the corners of a plane and of the openings in it.
func (p *Plane) corners() int {
	n := len(p.Outline.Value)
	for _, h := range p.Holes {
		n += len(h.Outline.Value)
	}
	return n
}

// newFace lays a plane flat; what hinders it comes in words.
func newFace(p *Plane) (f face, problem string) {
	sin, cos := math.Sincos(p.Downslope.Value.SI * math.Pi / 180)
	up := Point{-sin, -cos}
	shorter := math.Cos(p.Slope.Value.SI * math.Pi / 180)
	outlines := []Points{p.Outline}
	for _, h := range p.Holes {
		outlines = append(outlines, h.Outline)
	}
	for _, outline := range outlines {
		var ring []Point
		for _, q := range outline.Value {
			ring = append(ring, Point{q.X*up.Y - q.Y*up.X, (q.X*up.X + q.Y*up.Y) / shorter})
		}
		f.rings = append(f.rings, ring)
	}
	switch {
	case len(f.rings[0]) < 3:
		return f, "has no outline" // which is refused when the job is read
	case p.corners() > bound.AllCorners:
		return f, fmt.Sprintf("has more than %d corners", bound.AllCorners)
	}
	low, high := math.Inf(1), math.Inf(-1)
	for _, q := range f.rings[0] {
		low, high = min(low, q.Y), max(high, q.Y)
	}
	left := math.Inf(1)
	f.top = high
	for a, b := range sides(f.rings[0]) {
		const level = 0.01 // slack of a level edge, m
		slack := max(level, math.Hypot(b.X-a.X, b.Y-a.Y)*math.Sin(math.Pi/180))
		if max(a.Y, b.Y) <= low+slack {
			left = min(left, a.X, b.X)
		}
		if lower := min(a.Y, b.Y); lower >= high-slack {
			f.levelTop, f.top = true, min(f.top, lower)
		}
	}
	if math.IsInf(left, 1) {
		return f, "has no level lowest edge"
	}
	for _, ring := range f.rings {
		for i := range ring {
			ring[i] = Point{ring[i].X - left, ring[i].Y - low}
		}
	}
	f.top -= low
	return f, ""
}

// sides goes round a ring.
func sides(ring []Point) iter.Seq2[Point, Point] {
	return func(yield func(a, b Point) bool) {
		for i, a := range ring {
			if !yield(a, ring[(i+1)%len(ring)]) {
				return
			}
		}
	}
}

// between gives the ends of what the plane has at every height from bottom to
// top; false where it is in several parts at some height.
func (f face) between(bottom, top float64) (left, right float64, ok bool) {
	levels := []float64{bottom, top}
	for _, ring := range f.rings {
		for _, q := range ring {
			if q.Y > bottom && q.Y < top {
				levels = append(levels, q.Y)
			}
		}
	}
	slices.Sort(levels)
	left, right = math.Inf(-1), math.Inf(1)
	for i, low := range levels[:len(levels)-1] {
		high := levels[i+1]
		if high-low < touching {
			continue
		}
		var ends [][2]float64 // of the sides that cross these heights, least and greatest
		for _, ring := range f.rings {
			for a, b := range sides(ring) {
				if middle := (low + high) / 2; min(a.Y, b.Y) < middle && max(a.Y, b.Y) > middle {
					at := func(y float64) float64 { return a.X + (b.X-a.X)*(y-a.Y)/(b.Y-a.Y) }
					ends = append(ends, [2]float64{min(at(low), at(high)), max(at(low), at(high))})
				}
			}
		}
		if len(ends) != 2 {
			return 0, 0, false
		}
		slices.SortFunc(ends, func(a, b [2]float64) int { return cmp.Compare(a[0]+a[1], b[0]+b[1]) })
		left, right = max(left, ends[0][1]), min(right, ends[1][0])
	}
	return left, right, true
}
