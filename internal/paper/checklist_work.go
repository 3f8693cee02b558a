package paper

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/review"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/arrays"
	"plumbrule/internal/terms/circuits"
	"plumbrule/internal/wording"
)

// before is what is needed before anybody goes up.
func (x *work) before(o Options) {
	p := x.part(stepBefore, "")
	p.do("Approved drawings of the revision above on site, with the makers' manuals", "")
	p.do("Fall protection, ladder and lifting gear looked over; weather fit for the roof", "")
	for i := range x.r.Job.Arrays {
		a := &x.r.Job.Arrays[i]
		for _, what := range []job.Text{a.Module, a.Mounting, a.Attachments.Fastener} {
			if what.Known && !slices.ContainsFunc(p.Lines, func(l stepLine) bool { return l.Text == what.Value }) {
				p.do("Delivered as approved", what.Value)
			}
		}
	}
}

// given is a length of the job as the tape has it.
func (x *work) given(g job.Quantity) string {
	if !g.Known {
		return notStated
	}
	return tape(g.Value.SI, 0, x.sys)
}

// array lists what to set out, fasten and mount of one array, from its lower
// left corner on.
func (x *work) array(a *job.Array) {
	name := "Array " + a.Name.Value
	set := x.part(stepLayout, name)
	if a.Origin.Known {
		set.find("Lower left corner marked", fmt.Sprintf("%s from the left end, %s up the slope", tape(a.Origin.Value.X, 0, x.sys), tape(a.Origin.Value.Y, 0, x.sys)), "found")
	} else {
		set.find("Lower left corner", notStated, "found")
	}
	if l, needs := arrays.Modules.Known(x.r.Model, a); len(needs) == 0 && l != nil {
		b := l.Bounds()
		set.find("Length and depth, corner to corner", tape(b.Max.X-b.Min.X, 0, x.sys)+" by "+tape(b.Max.Y-b.Min.Y, 0, x.sys), "found")
		set.find("Diagonals alike when square", tape(math.Hypot(b.Max.X-b.Min.X, b.Max.Y-b.Min.Y), 0, x.sys), "found")
		rows := map[float64]bool{}
		var edges []float64
		for _, m := range l.Modules {
			if y := m.Rect.Min.Y - b.Min.Y; !rows[y] {
				rows[y] = true
				edges = append(edges, y)
			}
		}
		slices.Sort(edges)
		if len(edges) > 1 {
			set.do("Lower edges of the rows, all from the lower edge of the array", running(edges, x.sys))
		}
	}
	x.feet(a, name)
	x.modules(a, name)
	bond := x.part(stepBonding, name)
	bond.find("Bonding parts counted", x.count(a.BondingParts), "found")
	x.lugs(bond, a)
}

func (x *work) count(g job.Count) string {
	if !g.Known {
		return notStated
	}
	return strconv.Itoa(g.Value)
}

// feet lists lines and places of the feet, each from one end.
func (x *work) feet(a *job.Array, name string) {
	p := x.part(stepFeet, name)
	l, needs := arrays.Feet.Known(x.r.Model, a)
	if len(needs) > 0 || l == nil || l.Array == nil {
		p.find("Feet", notStated, "found")
	} else {
		x.placedFeet(p, a, l)
	}
	text := orAsk(a.Attachments.Fastener)
	if n := a.Attachments.FastenersEach; n.Known {
		text = fmt.Sprintf("%d in each foot, %s", n.Value, text)
	}
	p.do("Fasteners", text)
	if plane, ok := x.r.Job.PlaneOf(a); ok && plane.Framing.Member.Known && plane.Framing.Spacing.Known {
		p.do("Framing found and hit at each foot", fmt.Sprintf("%s at %s", plane.Framing.Member.Value, tape(plane.Framing.Spacing.Value.SI, 0, x.sys)))
	}
}

func (x *work) placedFeet(p *stepPart, a *job.Array, l *arrays.Placed) {
	edge := l.Array.Bounds().Min
	type line struct {
		name string
		y    float64
		at   []float64
	}
	var lines []*line
	for _, f := range l.Feet {
		at := l.Array.Frame.ToArray(f.At)
		i := slices.IndexFunc(lines, func(k *line) bool { return k.name == f.Line })
		if i < 0 {
			i = len(lines)
			lines = append(lines, &line{name: f.Line, y: at.Y - edge.Y})
		}
		lines[i].at = append(lines[i].at, at.X-edge.X)
	}
	p.find("Feet counted", strconv.Itoa(len(l.Feet))+" on "+wording.Plural(len(lines), "line", "lines"), "found")
	slices.SortStableFunc(lines, func(k, m *line) int { return strings.Compare(fmt.Sprintf("%012.4f", k.y), fmt.Sprintf("%012.4f", m.y)) })
	heights := wording.Each(lines, func(k *line) float64 { return k.y })
	p.do("Lines of feet, all from the lower edge of the array", running(heights, x.sys))
	var names []string
	var shown string
	flush := func() {
		if len(names) > 0 {
			p.do(wording.Capital(strings.Join(wording.Ranges(names), ", "))+", all from the left edge of the array", shown)
		}
		names = nil
	}
	for _, k := range lines {
		slices.Sort(k.at)
		s := running(k.at, x.sys)
		if s != shown {
			flush()
		}
		shown = s
		names = append(names, "line "+strings.TrimPrefix(k.name, "line "))
	}
	flush()
}

// modules lists what to mount on one array.
func (x *work) modules(a *job.Array, name string) {
	p := x.part(stepModules, name)
	p.find("Modules counted", x.counted(a), "found")
	p.do("Module type", orAsk(a.Module))
	x.gaps(p, a)
	p.find("Clear gap below the modules", x.given(a.StandOff), "found")
	if h := terms.KindFor[job.Array]().Of(x.r.Model, a); h != nil {
		text := notStated
		if v, ok := x.r.Model.Term(h, "height_above_roof").V.(float64); ok {
			text = tape(v, 0, x.sys)
		}
		p.find("Top of the modules above the roof", text, "found")
	}
	p.find("Wire clips", x.count(a.Clips), "found")
	rails := x.part(stepRails, name)
	rails.do("Mounting", orAsk(a.Mounting))
	if a.ThermalBreakAfter.Known && len(a.ThermalBreakAfter.Value) > 0 {
		rails.do("Thermal breaks", "after column "+strings.Join(wording.Each(a.ThermalBreakAfter.Value, strconv.Itoa), ", "))
	}
}

// counted gives the number of modules with its grid.
func (x *work) counted(a *job.Array) string {
	modules := term[int](x.r.Model, "array", a.Name.Value, "module_count")
	if modules == nil {
		return notStated
	}
	s := strconv.Itoa(*modules)
	if a.Rows.Known && a.Columns.Known {
		s += fmt.Sprintf(": %s of %s", wording.Plural(a.Rows.Value, "row", "rows"), wording.Plural(a.Columns.Value, "column", "columns"))
	}
	if n := len(a.Omit.Value); n > 0 {
		s += ", " + wording.Plural(n, "place", "places") + " left out"
	}
	if a.Orientation.Known {
		s += ", " + a.Orientation.Value
	}
	return s
}

// gaps gives the drawn gaps, and the maker's where a part of the mounting bridges
// the gap, as the check has it.
func (x *work) gaps(p *stepPart, a *job.Array) {
	asks := ""
	if m, ok := x.r.Job.MountingOf(a); ok && m.ModuleGap.Known {
		asks = "; the maker asks for " + tape(m.ModuleGap.Value.SI, 0, x.sys)
		if m.ModuleGapTolerance.Known {
			asks += ", give or take " + tape(m.ModuleGapTolerance.Value.SI, -1, x.sys)
		}
	}
	rows, needs := arrays.RowsBridged.Known(x.r.Model, a)
	for _, g := range []struct {
		label   string
		gap     job.Quantity
		among   job.Count
		bridged bool
	}{{"Gap between columns", a.GapX, a.Columns, true}, {"Gap between rows", a.GapY, a.Rows, rows && len(needs) == 0}} {
		if g.among.Known && g.among.Value < 2 {
			continue
		}
		text := x.given(g.gap)
		if g.bridged {
			text += asks
		}
		p.find(g.label, text, "found")
	}
}

func (x *work) lugs(p *stepPart, a *job.Array) {
	if len(a.Lugs) == 0 {
		p.find("Lugs", "none drawn: ask", "found")
		return
	}
	places := make([]string, len(a.Lugs))
	for i, l := range a.Lugs {
		places[i] = "module place not stated"
		if l.Row.Known && l.Column.Known {
			places[i] = fmt.Sprintf("row %d column %d", l.Row.Value, l.Column.Value)
		}
	}
	p.do("Lugs", fmt.Sprintf("%d: %s", len(a.Lugs), strings.Join(places, "; ")))
}

// roofKinds are the things that stand on a roof and can be measured there.
var roofKinds = []string{"array", "plane", "attachment", "obstruction", "lug", "roof", "building"}

// measures lists the distances that the adopted checks hold; of many like
// subjects the tightest. A limit is rounded to the safe side.
func (x *work) measures() {
	var list []*review.Outcome
	for _, of := range byCheck(x.r) {
		i := slices.IndexFunc(of, func(o *review.Outcome) bool { return o.Result != review.NotApplicable && measurable(o) })
		if i >= 0 {
			list = append(list, of[i])
		}
	}
	slices.SortStableFunc(list, func(a, b *review.Outcome) int { return strings.Compare(a.Check.ID, b.Check.ID) })
	for _, o := range list {
		at := stepLayout
		if o.Check.Each.Name == "attachment" || o.Check.Discipline == "structural" {
			at = stepFeet
		}
		// Rounded apart, so that what is not met never reads as if it were.
		towards := 0
		switch o.LimitKind {
		case codebook.AtLeast:
			towards = 1
		case codebook.AtMost:
			towards = -1
		}
		text := "drawn: not known"
		if o.Measure != nil {
			text = "drawn " + x.amount(o.Measure, -towards)
		}
		if o.Limit != nil {
			text += "; " + string(o.LimitKind) + " " + x.amount(o.Limit, towards)
		}
		if number := x.r.Number(o); o.Outstanding() && number != "" {
			text += "; see comment " + number
		}
		where := o.Subject.Label()
		x.part(at, "Measure, where it is tightest").find(o.Check.Title+" ("+where+")", text, "found")
	}
}

func (x *work) amount(a *review.Amount, towards int) string {
	if a.IsNum && a.Unit == quantity.Length.BaseUnit() {
		return tape(a.Value, towards, x.sys)
	}
	return a.Text
}

// computed are the measures that no tape finds on the roof: what a part is made
// to, what is hidden in the wood or steel, how far one length departs from
// another, and heights of the building.
var computed = regexp.MustCompile(`\.(fastener|covering)\.|\.(clamp_room|gap_departure|beyond_plane|spacing_off_framing|mean_roof_height|eave_height|lag_penetration|screw_out|steel_drilled|thread_counted|rail_tip_room|longest_unspliced)\b| - `)

// measurable tells whether a tape on the roof can answer a check: it holds a
// length of something that stands there.
func measurable(o *review.Outcome) bool {
	length := func(a *review.Amount) bool { return a != nil && a.IsNum && a.Unit == quantity.Length.BaseUnit() }
	return slices.Contains(roofKinds, o.Check.Each.Name) && !computed.MatchString(o.Check.Measure) && o.LimitKind != codebook.Equals && (length(o.Measure) || length(o.Limit))
}

// torqueLine says where a torque is taken from that the job does not state.
const torqueLine = "torque not stated: see the maker's instructions"

// torque is a torque as the job writes it, since that is how a wrench is set,
// with the job's own unit where it is another one.
func (x *work) torque(g job.Quantity) string {
	if !g.Known {
		return torqueLine
	}
	written, usual := g.Value.String(), g.Value.Format(x.sys)
	if written == usual {
		return "torque " + written
	}
	return "torque " + written + " (" + usual + ")"
}

// calibrated is what a terminal is tightened with.
const calibrated = ", with a calibrated tool"

// seatings are how a fastener is set, by its kind.
var seatings = map[string]string{
	"lag":         "pilot hole and seating by its maker's paper, %s; none overdriven, none beside the member",
	"wood-screw":  "seating by its maker's paper, %s; none overdriven, none beside the member",
	"metal-screw": "pilot hole and seating by its maker's paper, %s; washers flat and none overdriven, none beside the member",
	"seam-clamp":  "set screws by its maker's paper, %s; clamp square on the seam, seam not pierced",
	"bolt":        "hole and washers by its maker's paper, %s; each marked when done",
}

// makers lists what to do by the makers' papers, with the torques that the job
// states. Other values stand in those papers, not here; where the submittal
// holds none the list says so.
func (x *work) makers() {
	once := func(at int, what, text, fill string) {
		p := x.part(at, "")
		if !slices.ContainsFunc(p.Lines, func(l stepLine) bool { return l.What == what && l.Text == text }) {
			p.find(what, text, fill)
		}
	}
	for i := range x.r.Job.Arrays {
		a := &x.r.Job.Arrays[i]
		fastener, _ := x.r.Job.FastenerOf(a)
		clamped := fastener != nil && fastener.Kind.Value == "seam-clamp"
		if m, ok := x.r.Job.MountingOf(a); ok {
			paper := " (" + manual(x.r.Job, m.Name.Value) + ")"
			if k := m.Kind.Value; k != "ballast" {
				once(stepModules, "Module clamps of "+m.Name.Value, x.torque(m.ClampTorque)+paper, "torque")
			}
			rails := "Rail bolts, splices and feet of "
			if m.Kind.Known && m.Kind.Value != "rail" {
				rails = "Joints and feet of "
			}
			once(stepRails, rails+m.Name.Value, x.torque(m.RailTorque)+paper, "torque")
			if !clamped && m.Kind.Value != "ballast" {
				once(stepFeet, "Flashing and sealing at each penetration for "+m.Name.Value, "by "+manual(x.r.Job, m.Name.Value)+"; missed pilot holes sealed", "initials")
			}
		}
		if fastener != nil {
			seating, ok := seatings[fastener.Kind.Value]
			if !ok {
				seating = "pilot hole and seating by its maker's paper, %s; none overdriven, none beside the member"
			}
			once(stepFeet, "Fastener "+fastener.Name.Value, fmt.Sprintf(seating, x.torque(fastener.Torque)), "torque")
		}
		for k := range a.Lugs {
			once(stepBonding, "Grounding lugs", "surface by their maker's paper, "+x.torque(a.Lugs[k].Torque)+calibrated+", each marked when done", "torque")
		}
	}
}

// manual names the installation manual that the submittal holds for a part.
func manual(j *job.Job, part string) string {
	for _, d := range j.DocumentsOf("installation-manual") {
		if d.For.Value == part {
			if d.Sheet.Known {
				return d.Name.Value + ", sheet " + d.Sheet.Value
			}
			return d.Name.Value
		}
	}
	return "the submittal holds none: get it first"
}

// wiring lists strings and circuits.
func (x *work) wiring() {
	p := x.part(stepWiring, "")
	for i := range x.r.Job.Strings {
		s := &x.r.Job.Strings[i]
		text := notStated
		if n := term[int](x.r.Model, "string", s.Name.Value, "module_count"); n != nil {
			text = wording.Plural(*n, "module", "modules") + " in series"
		}
		if s.Inverter.Known {
			text += ", to " + s.Inverter.Value
			if s.Input.Known {
				text += " input " + strconv.Itoa(s.Input.Value)
			}
		}
		p.find("String "+s.Name.Value+", leads marked + and - at both ends", text, "modules found")
	}
	for i := range x.r.Job.Circuits {
		c := &x.r.Job.Circuits[i]
		text := notStated
		if c.Conductor.Known {
			text = strings.Join(strings.Fields(strings.Join([]string{c.Conductor.Value.String(), c.Material.Value, c.Insulation.Value}, " ")), " ")
		}
		if c.Ground.Known {
			text += ", ground " + c.Ground.Value.String()
		}
		if c.Raceway.Known {
			text += ", " + strings.TrimSpace(c.Raceway.Value+" "+c.TradeSize.Value)
		}
		p.do("Circuit "+c.Name.Value, text)
	}
	if g := x.r.Job.Grounding; g.ElectrodeConductor.Known {
		x.part(stepBonding, "").do("Grounding electrode conductor", strings.TrimSpace(g.ElectrodeConductor.Value.String()+" "+g.ElectrodeMaterial.Value)+" to "+electrode(g))
	}
}

// electrode names the grounding electrode, with the number of its rods or plates.
func electrode(g job.Grounding) string {
	if g.Rods.Known && g.Rods.Value > 1 {
		return orAsk(g.Electrode) + ", " + strconv.Itoa(g.Rods.Value) + " of them"
	}
	return orAsk(g.Electrode)
}

// equipment lists inverters, combiners, disconnects, panels and devices.
func (x *work) equipment() {
	j := x.r.Job
	p, s := x.part(stepInverter, ""), x.part(stepService, "")
	terminals := func(p *stepPart, what string, g job.Quantity) {
		p.find(what+": terminals", x.torque(g)+calibrated, "torque")
	}
	for i := range j.Inverters {
		v := &j.Inverters[i]
		p.do("Inverter "+v.Name.Value, "type "+orAsk(v.Type))
		// Microinverters are joined by connectors.
		if t, ok := j.InverterTypeOf(v); ok && t.Kind.Value != "micro" {
			terminals(p, "Inverter "+v.Name.Value, t.TerminalTorque)
		}
	}
	for i := range j.Combiners {
		c := &j.Combiners[i]
		p.do("Combiner "+c.Name.Value, "strings "+strings.Join(c.Strings.Value, ", "))
		terminals(p, "Combiner "+c.Name.Value, c.TerminalTorque)
	}
	for i := range j.Disconnects {
		d := &j.Disconnects[i]
		p.do("Disconnect "+d.Name.Value, joinGiven(x.sys, d.Rating, d.Voltage)+", off and locked until the tests are done")
		terminals(p, "Disconnect "+d.Name.Value, d.TerminalTorque)
	}
	for i := range j.Overcurrents {
		d := &j.Overcurrents[i]
		at, name := s, wording.Capital(orAsk(d.Kind))+" "+d.Name.Value
		if dc := term[bool](x.r.Model, "overcurrent", d.Name.Value, "on_dc"); dc != nil && *dc {
			at = p
		}
		at.do(name, joinGiven(x.sys, d.Rating, d.Voltage))
		terminals(at, name, d.TerminalTorque)
	}
	for i := range j.Panels {
		d := &j.Panels[i]
		s.do("Panel "+d.Name.Value, "busbar "+joinGiven(x.sys, d.Busbar))
		terminals(s, "Panel "+d.Name.Value, d.TerminalTorque)
	}
	for i := range j.Transformers {
		d := &j.Transformers[i]
		s.do("Transformer "+d.Name.Value, "")
		terminals(s, "Transformer "+d.Name.Value, d.TerminalTorque)
	}
	if j.Interconnection.Kind.Known {
		text := j.Interconnection.Kind.Value
		if j.Interconnection.Position.Known {
			text += ", source devices at " + j.Interconnection.Position.Value
		}
		s.do("Connection", text)
		if j.Interconnection.Kind.Value == "supply-side" || j.Interconnection.Kind.Value == "feeder-tap" {
			s.find("Connection: lugs or connectors", x.torque(j.Interconnection.TerminalTorque)+calibrated, "torque")
		}
	}
	if !slices.ContainsFunc(s.Lines, func(l stepLine) bool { return l.Fill == "torque" }) {
		s.find("Terminals of breakers, lugs and taps", torqueLine+calibrated, "torque")
	}
}

func joinGiven(sys quantity.System, list ...job.Quantity) string {
	var out []string
	for _, g := range list {
		if g.Known {
			out = append(out, g.Value.Format(sys))
		}
	}
	if len(out) == 0 {
		return notStated
	}
	return strings.Join(out, ", ")
}

// testTemperatures are the module temperatures, degC, of a table of voltages, and
// those of a job in US units, which are round in degF.
func testTemperatures(sys quantity.System) []float64 {
	_, _, celsius := temperature(sys)
	var out []float64
	from, to, step := -20.0, 70.0, 10.0
	if sys != quantity.SI {
		from, to, step = 0, 160, 20
	}
	for t := from; t <= to; t += step {
		out = append(out, celsius(t))
	}
	return out
}

// tests lists what is measured before the system is energised.
func (x *work) tests() {
	p := x.part(stepTests, "")
	j := x.r.Job
	t := &stepTable{Heads: []string{"modules at"}, Says: "Open-circuit voltage to expect by the temperature of the modules (not of the air) in full sun, volts. It is somewhat less in weak light. Like strings agree with each other; a string off by one module's share has a module too many, too few, or reversed."}
	var curves []*circuits.Curve
	for i := range j.Strings {
		s := &j.Strings[i]
		p.find("String "+s.Name.Value+": polarity right, + on +, before it is landed", "", "initials")
		v := circuits.StringCurve(x.r.Model, s)
		if v == nil {
			p.find("String "+s.Name.Value+": voltage", "expected value not known here: by the maker's instructions", "V found")
			continue
		}
		p.find("String "+s.Name.Value+": open-circuit voltage", "by the table below", "V and module temperature found")
		if k := slices.IndexFunc(curves, func(o *circuits.Curve) bool { return *o == *v }); k >= 0 {
			t.Heads[k+1] += ", " + s.Name.Value
			continue
		}
		curves = append(curves, v)
		t.Heads = append(t.Heads, s.Name.Value)
	}
	if len(curves) > 0 {
		for _, c := range testTemperatures(x.sys) {
			row := []string{degrees(c, x.sys)}
			for _, v := range curves {
				row = append(row, strconv.Itoa(int(math.Round(v.At(c)))))
			}
			t.Rows = append(t.Rows, row)
		}
		p.Table = t
		p.find("Insulation of each string to ground", "by the makers' instructions, with the inverter disconnected", "found")
	}
	for i := range j.Circuits {
		c := &j.Circuits[i]
		if v, ok := x.r.Model.Term(terms.KindFor[job.Circuit]().Of(x.r.Model, c), "voltage").V.(float64); ok {
			p.find("Circuit "+c.Name.Value+": voltage at the line side, phases and neutral right", quantity.Of(v, quantity.Voltage).Format(x.sys), "V found")
		}
	}
	p.find("Continuity of equipment grounding from the farthest module frame to the electrode", "", "ohm found")
	if m := j.RapidShutdown.Method; m.Known {
		text := m.Value
		if s := j.RapidShutdown.Time; s.Known {
			text += ", within " + s.Value.Format(x.sys)
		}
		p.find("Rapid shutdown started and voltage read by the maker's instructions", text, "V found")
	}
	p.do("Every label on, every cover closed, energised in the order of the inverter's instructions by a qualified person", "")
}

// onLabels are the terms that give the values a kind of label carries.
var onLabels = map[string]struct {
	kind, term string
	dim        quantity.Dimension
}{
	"dc-voltage": {"submittal", "maximum_voltage", quantity.Voltage},
	"ac-output":  {"interconnection", "output_current", quantity.Current},
}

// labels lists the label sheet with what each label says, the value that the
// review computed for it, and what the checks found of it.
func (x *work) labels() {
	p := x.part(stepLabels, "")
	for i := range x.r.Job.Labels {
		l := &x.r.Job.Labels[i]
		text := orAsk(l.Kind) + " at " + orAsk(l.Place)
		if l.Voltage.Known || l.Current.Known {
			text += "; says " + joinGiven(x.sys, l.Voltage, l.Current)
		}
		if t, ok := onLabels[l.Kind.Value]; ok {
			computed := "not known"
			if v := term[float64](x.r.Model, t.kind, "", t.term); v != nil {
				computed = quantity.Of(*v, t.dim).Format(x.sys)
			}
			text += "; computed " + computed
		}
		if s := labelFindings(x.r, l); s != "" {
			text += "; " + s
		}
		p.do("Label "+l.Name.Value, text)
	}
}

// labelFindings says what the checks found of one label.
func labelFindings(r *review.Review, l *job.Label) string {
	var out []string
	for i := range r.Outcomes {
		o := &r.Outcomes[i]
		if o.Check.Each.Name != "label" || o.Subject.Name != l.Name.Value || o.Excused != nil {
			continue
		}
		switch o.Result {
		case review.NotMet:
			out = append(out, "change: "+wording.LanguageOf(r).OnTape(o.Finding+"; "+o.Remedy, o))
		case review.Undetermined:
			out = append(out, o.Check.Title+": open")
		}
	}
	return strings.Join(out, "; ")
}

// photographs lists what is seen no more once the work goes on.
func (x *work) photographs() {
	p := x.part(stepPhotographs, "")
	j := x.r.Job
	take := func(what string) { p.do(what, "") }
	for i := range j.Arrays {
		name := j.Arrays[i].Name.Value
		take("Array " + name + ": roof before work, layout marks with the tape on them")
		take("Array " + name + ": a foot of each line open, flashed and sealed, before modules cover it")
		take("Array " + name + ": wiring, clips, connectors and bonding below the modules")
		take("Array " + name + ": finished, with the clear ways beside it")
	}
	for i := range j.ModuleTypes {
		take("Nameplate of a module of type " + j.ModuleTypes[i].Name.Value)
	}
	for i := range j.Inverters {
		take("Inverter " + j.Inverters[i].Name.Value + ": nameplate, and its terminals before the cover is closed")
	}
	for i := range j.Disconnects {
		take("Disconnect " + j.Disconnects[i].Name.Value + ": inside, and its rating")
	}
	for i := range j.Panels {
		take("Panel " + j.Panels[i].Name.Value + ": label of the busbar, and the devices")
	}
	take("Service: label of the panel, main, source devices and their place on the busbar")
	take("Grounding electrode and its clamp")
	for i := range j.Labels {
		take("Label " + j.Labels[i].Name.Value + " in place")
	}
}

// scope adds what the review leaves to the eye, at the step that it belongs to.
func (x *work) scope(o Options) {
	for _, row := range o.Scope {
		if row.Field == "" {
			continue
		}
		at := stepBefore
		switch row.Discipline {
		case "structural":
			at = stepFeet
		case "layout":
			at = stepModules
		case "electrical":
			at = stepWiring
		case "grounding":
			at = stepBonding
		case "interconnection":
			at = stepService
		case "labels":
			at = stepLabels
		case "fire":
			at = stepLayout
		}
		x.part(at, lookAt).do(wording.Sentence(row.Field), "")
	}
}
