// Package arrays is the vocabulary of modules and feet: where they lie and stand,
// what the feet carry, gaps, fasteners and framing. Package layout computes it.
package arrays

import (
	"cmp"
	"math"
	"slices"

	"plumbrule/internal/job"
	"plumbrule/internal/layout"
	"plumbrule/internal/quantity"
	"plumbrule/internal/structural"
	"plumbrule/internal/table"
	"plumbrule/internal/terms"
)

// Modules lays out the modules of an array.
var Modules = terms.Analyse(arrayKind, "layout of modules", placeModules)

// Placed is an array with its feet, whatever they carry.
type Placed struct {
	Array *layout.Array
	Feet  []layout.Foot
}

// Feet places the feet of an array.
var Feet = terms.Analyse(arrayKind, "layout of feet", func(c *terms.Call, a *job.Array) *Placed {
	l := &Placed{Array: Modules.Of(c, a)}
	if c.Stop() {
		return l
	}
	l.Feet = placeFeet(c, a, l.Array)
	return l
})

// Footed is an array with its feet and what they carry. Slices go by foot.
type Footed struct {
	*Placed
	Supports  *layout.Supports
	Areas     []float64 // tributary area, simple beam, m2
	Loaded    []float64 // area of even load that comes onto it, m2: see loaded
	Spans     []float64 // largest distance to a neighbouring foot on its line; 0 for none
	Overhangs []float64 // overhang at this foot; 0 for none
	besides   []float64 // span beside that overhang
	HasSpan   []bool
	HasOver   []bool
}

// Carried works out what the feet of an array carry.
var Carried = terms.Analyse(arrayKind, "what the feet carry", func(c *terms.Call, a *job.Array) *Footed {
	l := &Footed{Placed: Feet.Of(c, a)}
	if !c.Stop() {
		carry(c, a, l)
	}
	return l
})

func placeModules(c *terms.Call, a *job.Array) *layout.Array {
	origin := terms.Get(c, a.Origin)
	p := layout.Pattern{Name: a.Name.Value, Rows: terms.Get(c, a.Rows), Columns: terms.Get(c, a.Columns)}
	p.Frame.Origin = layout.Point{X: origin.X, Y: origin.Y}
	p.Frame.Rotation = c.Q(a.Rotation)
	orientation := layout.Portrait
	if terms.Get(c, a.Orientation) == "landscape" {
		orientation = layout.Landscape
	}
	terms.Get(c, a.Module)
	if t, ok := terms.Seek(c, moduleTypeKind, a.Module); ok {
		p.Width, p.Height = orientation.Size(c.Q(t.Length), c.Q(t.Width))
	}
	if p.Columns > 1 || !terms.Stated(c, a.Columns) {
		p.GapX = c.Q(a.GapX)
	}
	if p.Rows > 1 || !terms.Stated(c, a.Rows) {
		p.GapY = c.Q(a.GapY)
	}
	for _, cell := range terms.Peek(c, a.Omit) {
		p.Omit = append(p.Omit, layout.Cell{Row: cell.Row, Column: cell.Column})
	}
	if c.Stop() {
		return nil
	}
	array, err := p.New()
	if err != nil {
		c.Err(err)
		return nil
	}
	return array
}

// Mount says how the array is carried.
func Mount(c *terms.Call, a *job.Array) layout.Mount {
	m := layout.Mount{}
	terms.Get(c, a.Mounting)
	if t, ok := terms.Seek(c, mountingTypeKind, a.Mounting); ok {
		if terms.Get(c, t.Kind) == "rail" {
			m.Support = layout.Rails
		} else {
			m.Support = layout.Seams
		}
	}
	m.BreakAfter = terms.Peek(c, a.ThermalBreakAfter)
	return m
}

func placeFeet(c *terms.Call, a *job.Array, array *layout.Array) []layout.Foot {
	var feet []layout.Foot
	var err error
	if terms.Stated(c, a.Attachments.File) {
		feet, err = layout.PlaceMarks(array, marks(c, &a.Attachments), 0)
	} else {
		t := a.Attachments
		p := layout.FootPattern{Lines: terms.Get(c, t.Lines), First: c.Q(t.FirstOffset), Spacing: c.Q(t.Spacing), Stagger: c.Q(t.Stagger), Count: terms.Peek(c, t.PerLine)}
		mount := Mount(c, a)
		if c.Stop() {
			return nil
		}
		feet, err = layout.PlaceFeet(array, p.Expand(), mount)
	}
	switch {
	case err != nil:
		c.Err(err)
	case len(feet) == 0:
		c.Fail("array %s has no feet", a.Name.Value)
	}
	return feet
}

// marks are the feet that a file gives one by one.
func marks(c *terms.Call, t *job.Attachments) []layout.Mark {
	points := terms.Peek(c, t.Points)
	list := make([]layout.Mark, len(points))
	for i, p := range points {
		list[i] = layout.Mark{At: layout.Point{X: p.X, Y: p.Y}}
		if terms.Stated(c, t.PointLines) {
			list[i].Line = terms.Peek(c, t.PointLines)[i]
		}
		if terms.Stated(c, t.PointNames) {
			list[i].Name = terms.Peek(c, t.PointNames)[i]
		}
	}
	return list
}

// carry works out what the feet of an array carry.
func carry(c *terms.Call, a *job.Array, l *Footed) {
	mount := Mount(c, a)
	if c.Stop() {
		return
	}
	var err error
	if l.Supports, err = layout.Carry(l.Array, l.Feet, mount); err != nil {
		c.Err(err)
		return
	}
	if l.Areas, err = l.Supports.Tributary(layout.SimpleBeam); err != nil {
		c.Err(err)
		return
	}
	if l.Loaded, err = loaded(l); err != nil {
		c.Err(err)
		return
	}
	n := len(l.Feet)
	l.Spans, l.HasSpan = make([]float64, n), make([]bool, n)
	l.Overhangs, l.besides, l.HasOver = make([]float64, n), make([]float64, n), make([]bool, n)
	for _, s := range l.Supports.Spans() {
		for _, f := range []int{s.From, s.To} {
			l.Spans[f], l.HasSpan[f] = math.Max(l.Spans[f], s.Length), true
		}
	}
	for _, o := range l.Supports.Overhangs() {
		if !l.HasOver[o.Foot] || o.Length > l.Overhangs[o.Foot] {
			l.Overhangs[o.Foot], l.besides[o.Foot], l.HasOver[o.Foot] = o.Length, o.Beside, true
		}
	}
}

// loaded is the area of even load that comes onto each foot, which is more than
// its tributary where an overhang presses on its foot by a lever, and where a
// rail runs over three feet or more in one piece: its inner feet then take up to
// a quarter more. Where a rail is spliced is not known here, so that the largest
// counts of the tributary, of simple beams with their overhangs, and of a rail
// without a joint.
func loaded(l *Footed) ([]float64, error) {
	most, err := l.Supports.Tributary(layout.BeamReaction)
	if err != nil {
		return nil, err
	}
	for i, area := range l.Areas {
		most[i] = math.Max(most[i], area)
	}
	if l.Supports.Mount.Support != layout.Rails {
		return most, nil
	}
	for r, strips := range l.Supports.Strips() {
		run := l.Supports.Runs[r]
		if len(run.Feet) < 3 {
			continue
		}
		beam := structural.ContinuousBeam{Supports: l.Supports.Along(run)}
		for _, s := range strips {
			beam.Loads = append(beam.Loads, structural.EvenLoad{From: s.From, To: s.To, Total: s.Depth * (s.To - s.From)})
		}
		f, err := beam.Forces()
		if err != nil {
			return nil, err
		}
		for k, foot := range run.Feet {
			most[foot] = math.Max(most[foot], f.Reactions[k])
		}
	}
	return most, nil
}

// WhereStated is a given quantity, or nil where it is left out.
func WhereStated(c *terms.Call, g job.Quantity) *float64 {
	if !terms.Stated(c, g) {
		return nil
	}
	v := c.Q(g)
	return &v
}

// Foot is one attachment of an array.
type Foot struct {
	Array *job.Array
	I     int // into the feet
}

// On is the array that the foot belongs to, with all its feet.
func (f *Foot) On(c *terms.Call) *Footed { return Carried.Of(c, f.Array) }

// Foot is the attachment as the layout has it.
func (f *Foot) Foot(c *terms.Call) layout.Foot { return f.On(c).Feet[f.I] }

// HasFeet tells an array that stands on feet from one that lies on the roof by its weight alone.
var HasFeet = terms.Derive(arrayKind, "has_feet", terms.YesNo, "whether it stands on feet: unless it is ballasted and no feet are given", "the job", "", func(c *terms.Call, a *job.Array) bool {
	t, ok := terms.Seek(c, mountingTypeKind, a.Mounting)
	f := &a.Attachments
	return !ok || terms.Peek(c, t.Kind) != "ballast" || terms.Stated(c, f.File) || terms.Stated(c, f.Lines) || terms.Stated(c, f.Spacing) || terms.Stated(c, f.FirstOffset) || terms.Stated(c, f.Fastener)
})

// Attachment is the kind of the feet of arrays.
var Attachment = terms.NewKind("attachment", "attachments", "a foot of an array on the roof", func(c *terms.Call, k terms.KindOf[Foot]) []*terms.Subject {
	var out []*terms.Subject
	for _, a := range arrayKind.All(c) {
		if lies, known := HasFeet.Try(c, a); known && !lies {
			continue
		}
		l, needs := Carried.Try(c, a)
		key := job.Join(job.KeyPath("array", &a.Entity), "attachments")
		if len(needs) > 0 {
			out = append(out, k.Unknown(a.Name.Value+" (all)", key, a.At, needs))
			continue
		}
		for i, f := range l.Feet {
			out = append(out, k.Subject(f.Name, job.Join(key, f.Name), a.At, &Foot{a, i}))
		}
	}
	return out
})

var _ = terms.Derive(Attachment, "array", terms.ThingOf(arrayKind), "the array it carries", "the job", "", func(c *terms.Call, f *Foot) *job.Array {
	return f.Array
})

var _ = terms.Derive(Attachment, "x", terms.Quantity(quantity.Length), "its place along the lowest edge of the plane", "geometry", "", func(c *terms.Call, f *Foot) float64 {
	return f.Foot(c).At.X
})

var _ = terms.Derive(Attachment, "y", terms.Quantity(quantity.Length), "its place up the slope", "geometry", "", func(c *terms.Call, f *Foot) float64 {
	return f.Foot(c).At.Y
})

var _ = terms.Derive(Attachment, "tributary_area", terms.Quantity(quantity.Area), "module area that it carries, by simple beams between feet and between lines", "statics of simple beams", "", func(c *terms.Call, f *Foot) float64 {
	terms.Drive(c, f.Array.Attachments.Spacing)
	return f.On(c).Areas[f.I]
})

// LoadedArea is read by all that comes onto a foot, so that it is seen to come of
// feet that stand too far apart.
var LoadedArea = terms.Derive(Attachment, "loaded_area", terms.Quantity(quantity.Area), "module area whose load comes onto it: the largest of its tributary, of simple beams with their overhangs, and of a rail that runs over its feet without a joint", "statics of simple and continuous beams", "continuous-beam", func(c *terms.Call, f *Foot) float64 {
	terms.Drive(c, f.Array.Attachments.Spacing)
	if l := f.On(c); l.HasSpan[f.I] {
		attachmentSpan.Of(c, f)
	}
	return f.On(c).Loaded[f.I]
})

var _ = terms.Derive(Attachment, "has_span", terms.YesNo, "whether another foot stands on its line", "geometry", "", func(c *terms.Call, f *Foot) bool { return f.On(c).HasSpan[f.I] })

var attachmentSpan = terms.Derive(Attachment, "span", terms.Quantity(quantity.Length), "largest distance to a neighbouring foot on its line", "geometry", "", func(c *terms.Call, f *Foot) float64 {
	terms.Drive(c, f.Array.Attachments.Spacing)
	if !f.On(c).HasSpan[f.I] {
		c.Fail("no other foot stands on the line of %s", c.Name())
		return 0
	}
	return f.On(c).Spans[f.I]
})

var _ = terms.Derive(Attachment, "has_cantilever", terms.YesNo, "whether the rail or row runs past it to an end", "geometry", "", func(c *terms.Call, f *Foot) bool { return f.On(c).HasOver[f.I] })

var attachmentCantilever = terms.Derive(Attachment, "cantilever", terms.Quantity(quantity.Length), "overhang of the rail or row past it, with what the rail stands out past its last module", "geometry", "", func(c *terms.Call, f *Foot) float64 {
	terms.Drive(c, f.Array.Attachments.FirstOffset)
	if !f.On(c).HasOver[f.I] {
		c.Fail("nothing runs past %s", c.Name())
		return 0
	}
	return f.On(c).Overhangs[f.I] + RailPast(c, f.Array)
})

var _ = terms.Derive(Attachment, "cantilever_limit", terms.Quantity(quantity.Length), "largest overhang that the maker allows beside the span next to it", "maker's letter: a length, a share of the span, or the smaller of both", "", func(c *terms.Call, f *Foot) float64 {
	t, ok := terms.Seek(c, mountingTypeKind, f.Array.Mounting)
	if !ok {
		c.Missing(f.Array.Mounting.Key, f.Array.Mounting.At)
		return 0
	}
	if !terms.Stated(c, t.MaximumCantilever) && !terms.Stated(c, t.CantileverShare) {
		c.Missing(t.MaximumCantilever.Key, t.MaximumCantilever.At)
		return 0
	}
	limit, ok := layout.CantileverLimit(WhereStated(c, t.MaximumCantilever), WhereStated(c, t.CantileverShare), f.On(c).besides[f.I])
	if !ok {
		c.Fail("no span lies beside the overhang at %s to take the maker's share of", c.Name())
		return 0
	}
	return limit
})

var _ = terms.Derive(Attachment, "cantilever_share", terms.Quantity(quantity.Ratio), "that overhang over the span beside it", "geometry", "", func(c *terms.Call, f *Foot) float64 {
	terms.Drive(c, f.Array.Attachments.FirstOffset)
	attachmentCantilever.Try(c, f) // the share is of that length
	if !f.On(c).HasOver[f.I] || f.On(c).besides[f.I] <= 0 {
		c.Fail("no span lies beside an overhang at %s", c.Name())
		return 0
	}
	return math.Max(0, f.On(c).Overhangs[f.I]+RailPast(c, f.Array)) / f.On(c).besides[f.I]
})

var _ = terms.Derive(Attachment, "framing_distance", terms.Quantity(quantity.Length), "distance of its worst fastener from the centre of the nearest framing member", "geometry", "",
	func(c *terms.Call, f *Foot) float64 { return FramingDistance(c, f.Array, f.Foot(c)) })

var ArrayModuleCount = terms.Derive(arrayKind, "module_count", terms.WholeNumber, "number of modules, from the grid and the places left out", "geometry", "", func(c *terms.Call, a *job.Array) int {
	l := Modules.Of(c, a)
	if c.Stop() {
		return 0
	}
	terms.Drive(c, a.Rows)
	return len(l.Modules)
})

var _ = terms.Derive(arrayKind, "module_area", terms.Quantity(quantity.Area), "face area of all modules", "geometry", "", func(c *terms.Call, a *job.Array) float64 {
	l := Modules.Of(c, a)
	if c.Stop() {
		return 0
	}
	return l.Area()
})

var _ = terms.Derive(arrayKind, "has_neighbours", terms.YesNo, "whether two modules of the array lie side by side", "geometry", "", func(c *terms.Call, a *job.Array) bool {
	l := Modules.Of(c, a)
	if c.Stop() {
		return false
	}
	return len(l.Gaps()) > 0
})

var _ = terms.Derive(arrayKind, "smallest_gap", terms.Quantity(quantity.Length), "smallest gap between neighbouring modules, measured from their places", "geometry", "", func(c *terms.Call, a *job.Array) float64 {
	return gap(c, a, math.Min)
})

var _ = terms.Derive(arrayKind, "largest_gap", terms.Quantity(quantity.Length), "largest gap between neighbouring modules, measured from their places", "geometry", "", func(c *terms.Call, a *job.Array) float64 {
	return gap(c, a, math.Max)
})

var _ = terms.Derive(arrayKind, "overlapping_modules", terms.WholeNumber, "pairs of modules, of this and other arrays on its plane, that lie over each other", "geometry", "", func(c *terms.Call, a *job.Array) int {
	count := overlaps.Of(c, c.Job(), terms.Peek(c, a.Plane))
	if c.Stop() {
		return 0
	}
	terms.Drive(c, a.Origin)
	return count[a.Name.Value]
})

var GapDeparture = terms.Derive(arrayKind, "gap_departure", terms.Quantity(quantity.Length), "largest departure from the maker's gap of the gaps that parts of the mounting bridge: along rows on rails, both ways without rails", "geometry", "", gapDeparture)

var _ = terms.Derive(arrayKind, "longest_module_side", terms.Quantity(quantity.Length), "longest distance over a module from one gap to the next", "geometry", "", func(c *terms.Call, a *job.Array) float64 {
	l := Modules.Of(c, a)
	if c.Stop() {
		return 0
	}
	if t, ok := terms.Seek(c, moduleTypeKind, a.Module); ok {
		terms.Drive(c, t.Length)
	}
	return math.Max(l.Width, l.Height)
})

var _ = terms.Derive(arrayKind, "tilt_against_plane", terms.Quantity(quantity.Angle), "angle between the modules and the plane", "the job", "", func(c *terms.Call, a *job.Array) float64 {
	terms.Drive(c, a.Tilt)
	return c.Q(a.Tilt)
})

var _ = terms.Derive(arrayKind, "height_from_parts", terms.Quantity(quantity.Length), "height of the top of a parallel array: its stand-off and the frame of its modules", "geometry", "", func(c *terms.Call, a *job.Array) float64 {
	terms.Drive(c, a.Height)
	return c.Q(a.StandOff) + moduleThickness(c, a)
})

var _ = terms.Derive(arrayKind, "longest_stretch", terms.Quantity(quantity.Length), "longest row, or rail under a row, without a thermal break", "geometry", "", func(c *terms.Call, a *job.Array) float64 {
	longest := 0.0
	for _, s := range stretches(c, a) {
		longest = math.Max(longest, s.Length)
	}
	if c.Stop() {
		return 0
	}
	terms.Drive(c, a.Columns)
	return longest
})

var _ = terms.Derive(arrayKind, "has_thermal_break", terms.YesNo, "whether a row is broken for thermal movement", "the job", "", func(c *terms.Call, a *job.Array) bool {
	return terms.Stated(c, a.ThermalBreakAfter) && len(terms.Peek(c, a.ThermalBreakAfter)) > 0
})

var _ = terms.Derive(arrayKind, "season_movement", terms.Quantity(quantity.Length), "most that a thermal break closes or opens between the record low and the design high, each piece held at its middle", "linear expansion; coefficients of the handbooks", "thermal-movement", seasonMovement)

// overlaps counts, for each array, the pairs of modules on a plane that lie over
// each other.
var overlaps = terms.AnalyseBy(submittalKind, "overlaps", func(c *terms.Call, _ *job.Job, plane string) map[string]int {
	var placed []*layout.Array
	for _, a := range On(c, plane) {
		placed = append(placed, Modules.Of(c, a))
	}
	if c.Stop() {
		return nil
	}
	count := map[string]int{}
	for _, pair := range layout.Overlaps(placed...) {
		count[pair.First.Array]++
		if pair.Second.Array != pair.First.Array {
			count[pair.Second.Array]++
		}
	}
	return count
})

// stretches are the continuous lengths of the rows of an array. A rail runs on
// below a missing module.
func stretches(c *terms.Call, a *job.Array) []layout.Stretch {
	l := Modules.Of(c, a)
	m := Mount(c, a)
	if c.Stop() {
		return nil
	}
	return l.Stretches(m.BreakAfter, m.Support == layout.Rails)
}

// bridgesRows is whether a part of the mounting bridges the gap between rows:
// rails of two rows, and tilted rows, are set apart.
func bridgesRows(c *terms.Call, a *job.Array, mount layout.Mount) bool {
	return mount.Support != layout.Rails && terms.Peek(c, a.Tilt).SI <= 0
}

// RowsBridged is whether the maker's gap holds between the rows of an array too.
var RowsBridged = terms.Analyse(arrayKind, "whether its rows are bridged", func(c *terms.Call, a *job.Array) bool {
	return bridgesRows(c, a, Mount(c, a))
})

func gapDeparture(c *terms.Call, a *job.Array) float64 {
	l, mount := Modules.Of(c, a), Mount(c, a)
	nominal := 0.0
	if t, ok := terms.Seek(c, mountingTypeKind, a.Mounting); ok {
		nominal = c.Q(t.ModuleGap)
	}
	if c.Stop() {
		return 0
	}
	worst, found := layout.Gap{}, false
	for _, g := range l.Gaps() {
		if g.AcrossRow && !bridgesRows(c, a, mount) {
			continue
		}
		if !g.AcrossRow && slices.Contains(mount.BreakAfter, l.Modules[g.From].Cell.Column) {
			continue // a thermal break has a gap of its own
		}
		if !found || math.Abs(g.Width-nominal) > math.Abs(worst.Width-nominal) {
			worst, found = g, true
		}
	}
	if !found {
		c.Fail("array %s has no gap that its mounting bridges", a.Name.Value)
		return 0
	}
	if worst.AcrossRow {
		terms.Drive(c, a.GapY)
	} else {
		terms.Drive(c, a.GapX)
	}
	return math.Abs(worst.Width - nominal)
}

func seasonMovement(c *terms.Call, a *job.Array) float64 {
	terms.Drive(c, a.ThermalBreakAfter)
	stretches := stretches(c, a)
	low, high := c.Q(c.Job().Site.RecordLow), c.Q(c.Job().Site.DesignHigh)
	material := ""
	if t, ok := terms.Seek(c, mountingTypeKind, a.Mounting); ok {
		material = terms.Get(c, t.Material)
	}
	if c.Stop() {
		return 0
	}
	most := 0.0 // lengths that move toward one break: half of the piece on either side
	for i := 1; i < len(stretches); i++ {
		if s, before := stretches[i], stretches[i-1]; s.Row == before.Row && s.FromColumn == before.ToColumn+1 {
			most = math.Max(most, (s.Length+before.Length)/2)
		}
	}
	if most == 0 {
		c.Fail("array %s has no thermal break between two pieces", a.Name.Value)
		return 0
	}
	practice, err := structural.NewPractice(c.Tables())
	if err != nil {
		c.Err(err)
		return 0
	}
	coefficient, ref, err := practice.ThermalCoefficient(material)
	if err != nil {
		c.Err(err)
		return 0
	}
	moved, err := structural.ThermalMovement(most, high-low, coefficient)
	if err != nil {
		c.Err(err)
		return 0
	}
	c.Explain(func(sys quantity.System) []string {
		return []string{"movement = " + quantity.Of(most, quantity.Length).Format(sys) + " x " + quantity.Of(coefficient, quantity.RatioPerTemperature).Format(sys) + " x " +
			quantity.Of(high-low, quantity.TemperatureDifference).Format(sys) + " = " + quantity.Of(moved, quantity.Length).Format(sys)}
	}, []table.Ref{ref})
	return moved
}

// ofFeet declares a term that follows from the feet of an array and what they
// carry; drive gives the value of the job that it hangs on most.
func ofFeet[V any](name string, t terms.TypeOf[V], meaning string, drive func(c *terms.Call, a *job.Array), f func(c *terms.Call, a *job.Array, l *Footed) V) terms.TermOf[job.Array, V] {
	return terms.Derive(arrayKind, name, t, meaning, "geometry", "", func(c *terms.Call, a *job.Array) V {
		l := Carried.Of(c, a)
		if c.Stop() {
			var none V
			return none
		}
		drive(c, a)
		return f(c, a, l)
	})
}

func bySpacing(c *terms.Call, a *job.Array) { terms.Drive(c, a.Attachments.Spacing) }
func byLines(c *terms.Call, a *job.Array)   { terms.Drive(c, a.Attachments.Lines) }

var _ = ofFeet("attachment_count", terms.WholeNumber, "number of feet, from the pattern or the list", bySpacing, func(c *terms.Call, a *job.Array, l *Footed) int { return len(l.Feet) })

var _ = terms.Derive(arrayKind, "duplicated_feet", terms.WholeNumber, "pairs of feet that stand on the same place, within half an inch", "geometry", "", func(c *terms.Call, a *job.Array) int {
	l := Feet.Of(c, a)
	if c.Stop() {
		return 0
	}
	terms.Drive(c, a.Attachments.File)
	return len(layout.Duplicates(l.Feet, sameFoot))
})

var _ = ofFeet("idle_feet", terms.WholeNumber, "feet that carry no module", bySpacing, func(c *terms.Call, a *job.Array, l *Footed) int { return len(l.Supports.Idle) })

var _ = ofFeet("unsupported_modules", terms.WholeNumber, "modules that no foot carries", byLines, func(c *terms.Call, a *job.Array, l *Footed) int { return len(l.Supports.Unsupported) })

var _ = ofFeet("modules_on_one_line", terms.WholeNumber, "modules that only one line of feet carries", byLines, func(c *terms.Call, a *job.Array, l *Footed) int {
	n := 0
	for _, b := range l.Supports.Bearings {
		if len(b) == 1 {
			n++
		}
	}
	return n
})

var _ = ofFeet("largest_span", terms.Quantity(quantity.Length), "largest distance between two feet next to each other on a line", bySpacing, func(c *terms.Call, a *job.Array, l *Footed) float64 {
	spans := l.Supports.Spans()
	if len(spans) == 0 {
		c.Fail("no line of array %s has two feet", a.Name.Value)
		return 0
	}
	return slices.MaxFunc(spans, func(s, t layout.Span) int { return cmp.Compare(s.Length, t.Length) }).Length
})

var _ = ofFeet("fewest_feet_end_module", terms.WholeNumber, "fewest feet below a module at the end of a row", bySpacing, func(c *terms.Call, a *job.Array, l *Footed) int {
	fewest := math.MaxInt
	for i := range l.Array.Modules {
		if l.Array.Position(i) != layout.Inner {
			fewest = min(fewest, len(l.Supports.FeetUnder(i)))
		}
	}
	return fewest
})

var _ = ofFeet("first_row_fewest_feet", terms.WholeNumber, "fewest feet at the lower edge of a module of the lowest row", bySpacing, func(c *terms.Call, a *job.Array, l *Footed) int { return l.firstRowFeet() })

var _ = ofFeet("bonding_parts_needed", terms.WholeNumber, "bonding parts that the layout asks for: on rails, one at each seam and each end of a row on each rail; without rails, one at each seam that listed parts bond", bySpacing, bondingParts)

// Repeated is how far the lines of feet load the same members.
var Repeated = ofFeet("repeated_members", terms.Quantity(quantity.Ratio), "share of the feet above the first line that stand on a member which already carries one of the line below", bySpacing, func(c *terms.Call, a *job.Array, l *Footed) float64 {
	members := Members(c, PlaneOf(c, a))
	if c.Stop() {
		return 0
	}
	s, err := l.Supports.Share(members, l.Areas)
	if err != nil {
		c.Err(err)
		return 0
	}
	return s.Repeated
})

var _ = ofFeet("line_count", terms.WholeNumber, "lines of feet", byLines, func(c *terms.Call, a *job.Array, l *Footed) int { return len(l.Supports.Lines) })

var _ = terms.Derive(arrayKind, "spaced_by_pattern", terms.YesNo, "whether feet and framing members each stand at one spacing", "the job", "", func(c *terms.Call, a *job.Array) bool {
	p := PlaneOf(c, a)
	if c.Stop() {
		return false
	}
	return !terms.Stated(c, a.Attachments.File) && !terms.Stated(c, p.Framing.Positions)
})

var _ = terms.Derive(arrayKind, "spacing_off_framing", terms.Quantity(quantity.Length), "how far the spacing of the feet is off a whole number of framing spacings", "geometry", "", func(c *terms.Call, a *job.Array) float64 {
	feet, members := c.Q(a.Attachments.Spacing), c.Q(PlaneOf(c, a).Framing.Spacing)
	if c.Stop() {
		return 0
	}
	terms.Drive(c, a.Attachments.Spacing)
	_, off, err := layout.WholeMultiple(feet, members)
	if err != nil {
		c.Err(err)
		return 0
	}
	return math.Abs(off)
})

var _ = terms.Derive(arrayKind, "closest_fasteners", terms.Quantity(quantity.Length), "least distance between two fasteners", "geometry", "", func(c *terms.Call, a *job.Array) float64 {
	screws := AllScrews(c, a)
	if c.Stop() {
		return 0
	}
	terms.Drive(c, a.Attachments.FastenerSpacing)
	pairs := layout.Nearest(screws)
	if len(pairs) == 0 {
		c.Fail("array %s has one fastener only", a.Name.Value)
		return 0
	}
	return slices.MinFunc(pairs, func(p, q layout.Pair) int { return cmp.Compare(p.Distance, q.Distance) }).Distance
})

var _ = terms.Derive(arrayKind, "asks_fasteners_outside", terms.YesNo, "whether the mounting asks for fasteners outside the modules along the lower and upper edge", "maker's instructions", "", func(c *terms.Call, a *job.Array) bool {
	terms.Get(c, a.Mounting)
	t, ok := terms.Seek(c, mountingTypeKind, a.Mounting)
	if c.Stop() || !ok {
		return false
	}
	return terms.Get(c, t.FastenersOutside)
})

var _ = ofFeet("fasteners_outside_modules", terms.Quantity(quantity.Length), "least distance by which the fasteners of the lowest and highest line stand outside the modules; negative below one", byLines, func(c *terms.Call, a *job.Array, l *Footed) float64 {
	all := l.Supports.Lines
	var screws []layout.Point
	for _, line := range []layout.Line{all[0], all[len(all)-1]} {
		for _, f := range line.Feet {
			screws = append(screws, Screws(c, a, l.Feet[f])...)
		}
	}
	if c.Stop() {
		return 0
	}
	near, err := l.Array.OutsideModules(screws)
	if err != nil {
		c.Err(err)
		return 0
	}
	return Settled(slices.MinFunc(near, func(p, q layout.Nearby) int { return cmp.Compare(p.Distance, q.Distance) }).Distance)
})

// Settled takes a length within a nanometre of zero as zero: what differences
// of coordinates leave is no distance, and a limit of zero has no tolerance of
// its own.
func Settled(length float64) float64 {
	if math.Abs(length) < 1e-9 {
		return 0
	}
	return length
}

// sameFoot is the distance within which two feet of a drawing are one drawn
// twice: no two feet have room so close together (common practice).
const sameFoot = quantity.Inch / 2

// firstRowFeet is the fewest feet on the lowest line below a module of the
// lowest row.
func (l *Footed) firstRowFeet() int {
	fewest := math.MaxInt
	for i, m := range l.Array.Modules {
		if m.Cell.Row != l.Array.Modules[0].Cell.Row {
			break // modules are in order of row
		}
		n := 0
		if bearings := l.Supports.Bearings[i]; len(bearings) > 0 {
			lowest := l.Supports.Lines[l.Supports.Runs[bearings[0].Run].Line].Name
			for _, f := range l.Supports.FeetUnder(i) {
				if l.Feet[f].Line == lowest {
					n++
				}
			}
		}
		fewest = min(fewest, n)
	}
	return fewest
}

func bondingParts(c *terms.Call, a *job.Array, l *Footed) int {
	t, ok := terms.Seek(c, mountingTypeKind, a.Mounting)
	if !ok {
		c.Missing(a.Mounting.Key, a.Mounting.At)
		return 0
	}
	across := terms.Get(c, t.BondsAcross)
	if c.Stop() {
		return 0
	}
	if across == "rails" {
		n := 0
		for _, r := range l.Supports.Runs {
			n += len(r.Modules) + 1
		}
		return n
	}
	parts := layout.Parts{PerSeam: 1}
	if across == "both" {
		parts.PerCrossSeam = 1
	}
	return l.Supports.Bill(parts).BondingParts
}

func gap(c *terms.Call, a *job.Array, pick func(x, y float64) float64) float64 {
	l := Modules.Of(c, a)
	if c.Stop() {
		return 0
	}
	gaps := l.Gaps()
	if len(gaps) == 0 {
		c.Fail("array %s has no two modules side by side", a.Name.Value)
		return 0
	}
	worst := gaps[0]
	for _, g := range gaps[1:] {
		if g.Width != worst.Width && pick(g.Width, worst.Width) == g.Width {
			worst = g
		}
	}
	if worst.AcrossRow {
		terms.Drive(c, a.GapY)
	} else {
		terms.Drive(c, a.GapX)
	}
	return worst.Width
}

func direction(word string) layout.Direction {
	if word == "up-slope" {
		return layout.UpSlope
	}
	return layout.AlongEave
}

// Screws are the fasteners of one foot.
func Screws(c *terms.Call, a *job.Array, feet ...layout.Foot) []layout.Point {
	t := a.Attachments
	s := layout.Screws{Count: terms.Get(c, t.FastenersEach)}
	if s.Count > 1 {
		s.Spacing = c.Q(t.FastenerSpacing)
		s.Direction = direction(terms.Get(c, t.FastenerDirection))
	}
	if c.Stop() {
		return nil
	}
	out, err := s.Of(feet)
	if err != nil {
		c.Err(err)
	}
	return out
}

// AllScrews are the fasteners of all feet of an array.
func AllScrews(c *terms.Call, a *job.Array) []layout.Point {
	l := Feet.Of(c, a)
	if c.Stop() {
		return nil
	}
	return Screws(c, a, l.Feet...)
}

// PlaneOf is the plane that an array lies on.
func PlaneOf(c *terms.Call, a *job.Array) *job.Plane {
	return terms.Follow(c, planeKind, a.Plane)
}

// On lists the arrays that lie on a plane.
func On(c *terms.Call, plane string) []*job.Array {
	return terms.Pointing(c, arrayKind, func(a *job.Array) job.Text { return a.Plane }, plane)
}

// Members are the framing lines under an array.
func Members(c *terms.Call, p *job.Plane) layout.Grid {
	g := layout.Grid{Direction: direction(terms.Get(c, p.Framing.Runs))}
	if terms.Stated(c, p.Framing.Positions) {
		g.Positions = terms.Peek(c, p.Framing.Positions)
		return g
	}
	g.Spacing, g.Offset = c.Q(p.Framing.Spacing), c.Q(p.Framing.Offset)
	return g
}

// FramingDistance is the distance of the worst fastener of a foot from the
// centre of the nearest framing member.
func FramingDistance(c *terms.Call, a *job.Array, foot layout.Foot) float64 {
	p := PlaneOf(c, a)
	terms.Drive(c, p.Framing.Offset)
	return worstLanding(c, a, foot, Members(c, p))
}

func worstLanding(c *terms.Call, a *job.Array, foot layout.Foot, g layout.Grid) float64 {
	screws := Screws(c, a, foot)
	if c.Stop() {
		return 0
	}
	landings, err := g.Land(screws)
	if err != nil {
		c.Err(err)
		return 0
	}
	worst := 0.0
	for _, l := range landings {
		worst = math.Max(worst, math.Abs(l.Distance))
	}
	return worst
}
