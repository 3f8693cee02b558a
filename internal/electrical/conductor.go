package electrical

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"plumbrule/internal/quantity"
	"plumbrule/internal/table"
)

// Place is what the insulation of a conductor meets.
type Place string

const (
	Wet Place = "wet"
	Dry Place = "dry" // or damp
	// Unstated takes the wet rating of an insulation that has one and the dry
	// rating of one that is not for wet places.
	Unstated Place = ""
)

// Insulation is a conductor insulation as the code rates it.
type Insulation struct {
	Name          string
	Temperature   float64 // degC, in the place asked about
	AmpacityLimit float64 // degC column that the final ampacity may not pass; NaN where there is none
	AreaTable     string  // table of Chapter 9 that has its area; empty: the cable needs its own diameter
	AreaColumn    string  // column of that table
	PVTables      bool    // whether 690.31 gives its ampacity and correction
}

// limited reports whether the final ampacity may not pass a lower column.
func (in Insulation) limited() bool { return !math.IsNaN(in.AmpacityLimit) }

// Insulations lists the insulation types that the edition's table has.
func (c *Code) Insulations() []string {
	var names []string
	if t := c.table(tableInsulation); t != nil {
		for _, row := range t.Rows {
			names = append(names, row.Key)
		}
	}
	return names
}

// insulationRow finds an insulation by its markings, in any case and order and
// with the word type before them or not; -1 where one of them is not known. Of
// a cable with more markings than a row has, the row with the most of them
// stands: it may be used by any that it carries.
func insulationRow(t *table.Table, name string) int {
	marks := markings(name)
	known := map[string]bool{}
	found, most := -1, 0
	for i, row := range t.Rows {
		own := markings(row.Key)
		all := true
		for _, m := range own {
			known[m] = true
			all = all && slices.Contains(marks, m)
		}
		if all && len(own) > most {
			found, most = i, len(own)
		}
	}
	for _, m := range marks {
		if !known[m] {
			return -1
		}
	}
	return found
}

// markings parts the name of an insulation: "Type USE-2 / RHW-2" has two.
func markings(name string) []string {
	text := strings.Join(strings.Fields(strings.ToLower(name)), " ")
	text = strings.ReplaceAll(strings.ReplaceAll(text, " or ", "/"), "pv-wire", "pv wire")
	marks := strings.Split(text, "/")
	for i, m := range marks {
		marks[i] = strings.TrimSpace(strings.TrimPrefix(strings.TrimSpace(m), "type "))
	}
	return marks
}

// Exposed reports whether an insulation may run in the open air within an
// array. Source: NEC 690.31(C).
func (c *Code) Exposed(name string) (bool, Basis, error) {
	r := c.reader()
	in := r.insulation(name, Unstated)
	allowed := false
	if t := r.table(tableExposed); t != nil && r.err == nil {
		if v, ok := t.Number(in.Name, "allowed"); ok {
			r.use(t, in.Name)
			allowed = v == 1
		}
	}
	return allowed, r.basis(), r.err
}

// Insulation finds an insulation by its trade name, whatever its case.
// Source: NEC Table 310.4(1) (310.104(A) in 2017).
func (c *Code) Insulation(name string, place Place) (Insulation, error) {
	r := c.reader()
	return r.insulation(name, place), r.err
}

// SameInsulation reports whether two insulations are rated and sized alike,
// whatever they are called.
func (c *Code) SameInsulation(a, b string) (bool, error) {
	r := c.reader()
	x, y := r.insulation(a, Unstated), r.insulation(b, Unstated)
	if r.err != nil {
		return false, r.err
	}
	t := r.table(tableInsulation)
	same := x.AreaTable == y.AreaTable && x.AreaColumn == y.AreaColumn && x.PVTables == y.PVTables
	for _, column := range []string{"wet", "dry", "ampacity column"} {
		p, has := t.Quantity(x.Name, column)
		q, also := t.Quantity(y.Name, column)
		same = same && has == also && (!has || p == q)
	}
	return same, r.err
}

func (r *reader) insulation(name string, place Place) Insulation {
	t := r.table(tableInsulation)
	if t == nil {
		return Insulation{}
	}
	at := insulationRow(t, name)
	if at < 0 {
		names := r.code.Insulations()
		r.fail(outside("insulation %q is not known%s (known: %s)", name, quantity.DidYouMean(name, names), strings.Join(names, ", ")))
		return Insulation{}
	}
	row := t.Rows[at]
	r.use(t, row.Key)
	in := Insulation{Name: row.Key}
	in.AmpacityLimit = orNaN(t.Quantity(row.Key, "ampacity column"))
	in.AreaTable, _ = t.Text(row.Key, "area table")
	in.AreaColumn, _ = t.Text(row.Key, "area column")
	pv, _ := t.Text(row.Key, "ampacity table")
	in.PVTables = pv == "pv"
	wet, isWet := t.Quantity(row.Key, "wet")
	dry := orNaN(t.Quantity(row.Key, "dry"))
	switch {
	case place == Wet && !isWet:
		r.fail(outside("%s insulation is not for wet places", row.Key))
	case place == Dry, !isWet:
		in.Temperature = dry
	default:
		in.Temperature = wet
	}
	return in
}

// Conditions are the conditions of use of the conductors of a circuit.
type Conditions struct {
	Material        Material
	Insulation      string
	Place           Place
	Ambient         float64 // degC
	CurrentCarrying int     // conductors in the same raceway or cable; both poles of a direct-current circuit count, the ground does not
	OnRoof          bool    // in sunlight on or above a roof
	AboveRoof       float64 // m, from the roof to the bottom of the raceway; read only on a roof
	ShortRaceway    bool    // 24 in or less in length: see Code.ShortRaceway
	Terminal        float64 // degC, the lower temperature rating of the terminals: see Code.UnmarkedTerminal
	Sets            int     // parallel sets, one or more
}

// Ampacity is the ampacity of a conductor under its conditions of use.
type Ampacity struct {
	Basis
	Size             quantity.Size
	Conditions       Conditions
	Temperature      float64 // degC, of the insulation in its place
	Table            float64 // A, one conductor at that temperature
	Adder            float64 // K, for sunlight on the roof
	EffectiveAmbient float64 // degC
	Correction       float64 // for ambient temperature
	Adjustment       float64 // for the count of current-carrying conductors
	Corrected        float64 // A, all sets
	TerminalColumn   float64 // degC
	TerminalAmpacity float64 // A, all sets
	Usable           float64 // A, the smaller of the two
	insulation       Insulation
}

// ShortRaceway reports whether a raceway of that length (m) needs no
// adjustment for the count of conductors and may be filled as a nipple.
// Source: NEC 310.15(C)(1)(b) and Chapter 9 Table 1, note 4.
func (c *Code) ShortRaceway(length float64) (bool, error) {
	r := c.reader()
	r.need("the length of the raceway", length)
	return quantity.AtMost(length, r.amount(tableFill, "nipple length")), r.err
}

// UnmarkedTerminal is the temperature column, in degC, for a termination whose
// rating is not known: that of equipment not marked for more. Source: NEC
// 110.14(C)(1).
func (c *Code) UnmarkedTerminal(size quantity.Size) (float64, error) {
	r := c.reader()
	text := r.text(tableTerminal, "largest small size", "value")
	small, err := quantity.ParseSize(text)
	if r.err == nil {
		r.failIf(err)
	}
	if size <= small {
		return r.amount(tableTerminal, "small column"), r.err
	}
	return r.amount(tableTerminal, "large column"), r.err
}

// Ampacity gives the ampacity of conductors of one size: the table value at
// the temperature of the insulation, corrected for the ambient temperature
// (raised in sunlight near a roof) and adjusted for the count of conductors,
// and the table value of the terminals' column; the smaller of the two may be
// used. A temperature between two bands takes the hotter one, a height at the
// limit needs no adder. Source: NEC 310.15, Table 310.16, 110.14(C); 690.31
// for insulation over 90 degC; 310.10(G) for parallel sets.
func (c *Code) Ampacity(size quantity.Size, in Conditions) (Ampacity, error) {
	r := c.reader()
	a := r.conditions(in)
	a.Size = size
	if r.err == nil && !size.Known() {
		r.fail(outside("the conductor size is not known"))
	}
	r.sized(&a)
	a.Basis = r.basis()
	return a, r.err
}

// conditions computes what does not depend on the size.
func (r *reader) conditions(in Conditions) Ampacity {
	a := Ampacity{Conditions: in}
	r.failIf(in.Material.check())
	r.needFinite("the ambient temperature", in.Ambient)
	r.need("the temperature rating of the terminals", in.Terminal)
	r.needCount("the count of current-carrying conductors", in.CurrentCarrying)
	r.needCount("the count of parallel sets", in.Sets)
	ins := r.insulation(in.Insulation, in.Place)
	a.insulation, a.Temperature = ins, ins.Temperature
	a.Adder = r.roofAdder(in, ins.Name)
	a.EffectiveAmbient = in.Ambient + a.Adder
	a.Correction = r.correction(a.EffectiveAmbient, ins)
	a.Adjustment = r.adjustment(in.CurrentCarrying, in.ShortRaceway)
	a.TerminalColumn = r.terminalColumn(in.Terminal, ins)
	return a
}

// sized computes what depends on the size.
func (r *reader) sized(a *Ampacity) {
	if r.err != nil {
		return
	}
	in, sets := a.Conditions, float64(a.Conditions.Sets)
	if in.Sets > 1 {
		least := r.namedSize(tableParallel, "parallel")
		if a.Size < least {
			r.fail(outside("conductors in parallel are %s or larger, not %s", least, a.Size))
		}
	}
	a.Table = r.tableAmpacity(a.Size, in.Material, a.insulation)
	a.Corrected = a.Table * a.Correction * a.Adjustment * sets
	if a.insulation.limited() {
		a.Corrected = min(a.Corrected, sets*r.ampacityCell(a.Size, in.Material, a.insulation.AmpacityLimit))
	}
	a.TerminalAmpacity = sets * r.ampacityCell(a.Size, in.Material, a.TerminalColumn)
	a.Usable = min(a.Corrected, a.TerminalAmpacity)
}

// namedSize is a conductor size in the column "value".
func (r *reader) namedSize(name, row string) quantity.Size { return r.size(name, row, "value") }

func (r *reader) tableAmpacity(s quantity.Size, m Material, ins Insulation) float64 {
	if !ins.PVTables {
		return r.ampacityCell(s, m, ins.Temperature)
	}
	if m != Copper {
		r.fail(outside("the ampacity of %s insulation is given for copper only", ins.Name))
	}
	return r.quantity(tablePVAmpacity, s.Key(), plain(ins.Temperature, 0))
}

func (r *reader) ampacityCell(s quantity.Size, m Material, temperature float64) float64 {
	return r.quantity(tableAmpacity, s.Key(), string(m)+" "+plain(temperature, 0))
}

func (r *reader) roofAdder(in Conditions, insulation string) float64 {
	if !in.OnRoof || r.err != nil {
		return 0
	}
	if r.needFinite("the height above the roof", in.AboveRoof); in.AboveRoof < 0 {
		r.fail(outside("the height above the roof is zero or more"))
	}
	exempt := r.text(tableRooftop, "exempt", "value")
	height := r.amount(tableRooftop, "height")
	adder := r.amount(tableRooftop, "adder")
	if insulation == exempt || quantity.AtLeast(in.AboveRoof, height) {
		return 0
	}
	return adder
}

// correction finds the ambient band: the first whose hot end is not exceeded.
func (r *reader) correction(ambient float64, ins Insulation) float64 {
	name := tableAmbient
	if ins.PVTables {
		name = tablePVAmbient
	}
	t := r.table(name)
	if t == nil {
		return math.NaN()
	}
	value := plain(ins.Temperature, 0)
	for _, row := range t.Rows {
		if limit, ok := t.Quantity(row.Key, "high"); !ok || !quantity.AtMost(ambient, limit) {
			continue
		}
		f, ok := t.Number(row.Key, value)
		if !ok {
			break
		}
		r.use(t, row.Key)
		return f
	}
	r.fail(outside("conductors with %s insulation may not be used at an ambient temperature of %s (%s %s)", degC(ins.Temperature), degC(ambient), t.Code, t.Section))
	return math.NaN()
}

// adjustment finds the band of the count; three or fewer need none.
func (r *reader) adjustment(count int, short bool) float64 {
	t := r.table(tableAdjustment)
	if t == nil {
		return math.NaN()
	}
	factor := 1.0
	if short {
		return factor
	}
	for _, row := range t.Rows { // from few to many
		if from, ok := t.Number(row.Key, "low"); ok && float64(count) >= from {
			factor = orNaN(t.Quantity(row.Key, "percent"))
			r.use(t, row.Key)
		}
	}
	return factor
}

// terminalColumn is the hottest column that neither the terminal nor the
// insulation forbids.
func (r *reader) terminalColumn(terminal float64, ins Insulation) float64 {
	t := r.table(tableAmpacity)
	if t == nil {
		return math.NaN()
	}
	allowed := min(terminal, ins.Temperature)
	if ins.limited() { // such a cable may not pass its column in any test
		allowed = min(allowed, ins.AmpacityLimit)
	}
	best := math.NaN()
	for _, name := range t.Columns {
		of, isCopper := strings.CutPrefix(name, string(Copper)+" ")
		if degrees, err := strconv.ParseFloat(of, 64); isCopper && err == nil && quantity.AtMost(degrees, allowed) {
			best = degrees
		}
	}
	if math.IsNaN(best) {
		r.fail(outside("terminals rated %s are below every column of %s %s", degC(terminal), t.Code, t.Section))
	}
	return best
}

// Work gives the calculation.
func (a Ampacity) Work(sys quantity.System) []string {
	in := a.Conditions
	sets := ""
	if in.Sets > 1 {
		sets = fmt.Sprintf(" x %d sets", in.Sets)
	}
	lines := []string{fmt.Sprintf("%s %s %s at %s: table ampacity %s", a.Size, in.Material, in.Insulation, degC(a.Temperature), amps(a.Table))}
	if in.OnRoof {
		lines = append(lines, fmt.Sprintf("%s above the roof: ambient %s + %s K = %s", length(in.AboveRoof, sys), degC(in.Ambient), plain(a.Adder, 1), degC(a.EffectiveAmbient)))
	}
	lines = append(lines,
		fmt.Sprintf("correction for %s: %s; adjustment for %d current-carrying conductors%s: %s", degC(a.EffectiveAmbient), factor(a.Correction), in.CurrentCarrying, shortRaceway(in), factor(a.Adjustment)),
		fmt.Sprintf("corrected ampacity = %s x %s x %s%s = %s", amps(a.Table), factor(a.Correction), factor(a.Adjustment), sets, amps(a.Corrected)))
	if a.insulation.limited() {
		lines = append(lines, fmt.Sprintf("the ampacity of %s may not pass its lower column: %s", in.Insulation, amps(a.Corrected)))
	}
	return append(lines,
		fmt.Sprintf("terminals at %s: %s%s", degC(a.TerminalColumn), amps(a.TerminalAmpacity), sets),
		fmt.Sprintf("usable ampacity = smaller of %s and %s = %s", amps(a.Corrected), amps(a.TerminalAmpacity), amps(a.Usable)))
}

func shortRaceway(in Conditions) string {
	if in.ShortRaceway {
		return " in a raceway too short to need it"
	}
	return ""
}

// ConductorInput asks for the smallest conductor of a circuit.
type ConductorInput struct {
	Maximum    float64 // maximum current of the circuit, A
	Continuous bool    // photovoltaic circuits always are
	Conditions Conditions
	// Overcurrent is the rating, in A, of the device that protects the
	// conductors by 240.4; zero where they are not to be held against one.
	Overcurrent float64
}

// Conductor is the smallest conductor of a circuit.
type Conductor struct {
	Ampacity              // of the size found
	Input                 ConductorInput
	Factor                float64 // on a continuous current
	RequiredBefore        float64 // A, before conditions of use, at the terminals' column (690.8(B)(1))
	RequiredTableAmpacity float64 // A, at the insulation's column so that the maximum current is carried after conditions of use (690.8(B)(2))
}

// Conductor finds the smallest size that passes both tests of 690.8(B): the
// continuous factor on the maximum current before conditions of use, and the
// maximum current itself after them; the two factors are never compounded. It
// also keeps the terminals' column and, if a device is named, 240.4. Source:
// NEC 690.8(B), 110.14(C), 240.4.
func (c *Code) Conductor(in ConductorInput) (Conductor, error) {
	r := c.reader()
	r.need("the maximum current", in.Maximum)
	out := Conductor{Input: in, Factor: 1}
	if in.Continuous {
		out.Factor = r.value(tableCurrent, "continuous")
	}
	a := r.conditions(in.Conditions)
	out.RequiredBefore = in.Maximum * out.Factor
	out.RequiredTableAmpacity = in.Maximum / (a.Correction * a.Adjustment)
	t := r.table(tableAmpacity)
	if r.err != nil {
		return out, r.err
	}
	for _, row := range t.Rows { // from thin to thick
		size, err := quantity.ParseSize(row.Key)
		if err != nil {
			return out, err
		}
		try := &reader{code: c, refs: slices.Clone(r.refs)}
		a.Size = size
		try.sized(&a)
		if try.err != nil { // no value for this size, or too small for parallel sets
			continue
		}
		if !quantity.AtMost(out.RequiredBefore, a.TerminalAmpacity) || !quantity.AtMost(in.Maximum, a.Corrected) {
			continue
		}
		if in.Overcurrent > 0 {
			p, err := c.Protection(size, in.Conditions.Material, a.Usable)
			if err != nil {
				return out, err
			}
			if !quantity.AtMost(in.Overcurrent, p.Largest) {
				continue
			}
			try.refs = append(try.refs, p.Refs...)
		}
		out.Ampacity = a
		out.Basis = try.basis()
		return out, nil
	}
	return out, outside("no %s size of %s carries %s under these conditions; use parallel sets", in.Conditions.Material, t.Section, amps(in.Maximum))
}

// Work gives the calculation.
func (c Conductor) Work(sys quantity.System) []string {
	lines := []string{
		fmt.Sprintf("test 1, before conditions of use: %s x %s = %s, at the terminals' column", amps(c.Input.Maximum), factor(c.Factor), amps(c.RequiredBefore)),
		fmt.Sprintf("test 2, after conditions of use: %s / (%s x %s) = %s, at the insulation's column", amps(c.Input.Maximum), factor(c.Correction), factor(c.Adjustment), amps(c.RequiredTableAmpacity)),
	}
	return append(append(lines, c.Ampacity.Work(sys)...), "smallest size = "+c.Size.String())
}
