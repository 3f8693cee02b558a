package electrical

import (
	"fmt"

	"plumbrule/internal/quantity"
	"plumbrule/internal/table"
)

// Why ungrounded conductors are larger than their smallest size, and the kind
// of circuit, as far as the size of the ground depends on them.
const (
	ForVoltageDrop = "voltage-drop"
	ForCorrection  = "correction" // ambient temperature or count of conductors
	ForAnything    = ""

	PVCircuit   = "pv"    // direct current
	PVACCircuit = "pv-ac" // alternating current on the side of the inverters from the PV system disconnect
	ACCircuit   = "ac"
)

// GroundInput asks for an equipment grounding conductor.
type GroundInput struct {
	Overcurrent float64  // rating of the device ahead, A; without one, the rating that 690.9(B) would ask for (690.45)
	Material    Material // of the ground
	// Minimum is the true smallest size of the ungrounded conductors, Installed
	// their size as installed, both of CircuitMaterial; zero for both where no
	// increase is looked at.
	Minimum, Installed quantity.Size
	CircuitMaterial    Material
	Sets               int    // parallel sets in raceways of their own, one or more; each gets the full ground (250.122(F))
	Why                string // ForVoltageDrop, ForCorrection or ForAnything
	Circuit            string // PVCircuit, PVACCircuit or ACCircuit
}

// EquipmentGround is the smallest equipment grounding conductor.
type EquipmentGround struct {
	Basis
	Input        GroundInput
	Base         quantity.Size // by the device alone
	BaseArea     float64       // m2
	Ratio        float64       // increase of the ungrounded conductors, by area
	Scales       bool          // whether the ground grows with it
	RequiredArea float64       // m2
	Capped       bool          // whether the ungrounded conductors' own size is enough
	Size         quantity.Size
}

// EquipmentGround gives the smallest equipment grounding conductor for an
// overcurrent device, grown in proportion to the area in circular mils where
// the ungrounded conductors are larger than their smallest size, without any
// tolerance. It does not grow for a voltage drop in a photovoltaic circuit
// (690.45), which by edition is one of direct current or also one of
// alternating current up to the PV system disconnect, nor for ambient temperature and count of conductors, which belong
// to the smallest size itself (250.122(B)). It is never larger than the
// circuit's own conductors (250.122(A)). A device smaller than the installed
// conductors would allow makes their smallest size smaller, so that the
// proportion grows: that is the rule as written. Source: NEC 250.122, 690.45.
func (c *Code) EquipmentGround(in GroundInput) (EquipmentGround, error) {
	r := c.reader()
	r.failIf(in.Material.check())
	r.needCount("the count of parallel sets", in.Sets)
	r.need("the rating of the overcurrent device", in.Overcurrent)
	g := EquipmentGround{Input: in, Ratio: 1, Base: r.groundByDevice(in.Overcurrent, in.Material)}
	g.BaseArea = r.area(g.Base)
	r.increase(in, &g)
	if g.RequiredArea = g.BaseArea; g.Scales {
		g.RequiredArea *= g.Ratio
	}
	g.Size = r.sizeOf(g.RequiredArea, g.Base)
	if in.Installed.Known() && in.Sets == 1 && in.CircuitMaterial == in.Material && in.Installed < g.Size {
		g.Capped, g.Size, g.RequiredArea = true, in.Installed, r.area(in.Installed)
	}
	g.Basis = r.basis()
	return g, r.err
}

func (r *reader) groundByDevice(overcurrent float64, m Material) quantity.Size {
	t := r.table(tableGround)
	if t == nil {
		return 0
	}
	for _, row := range t.Rows {
		if limit, ok := t.Quantity(row.Key, "rating"); ok && quantity.AtMost(overcurrent, limit) {
			return r.size(tableGround, row.Key, string(m))
		}
	}
	r.fail(outside("%s %s does not reach %s", t.Code, t.Section, amps(overcurrent)))
	return 0
}

// increase decides by how much the ungrounded conductors are larger than they
// need to be and whether the ground follows.
func (r *reader) increase(in GroundInput, g *EquipmentGround) {
	if !in.Minimum.Known() && !in.Installed.Known() || r.err != nil {
		return
	}
	if !in.Minimum.Known() || !in.Installed.Known() {
		r.fail(outside("an increase in size needs both the smallest and the installed size"))
		return
	}
	switch in.Why {
	case ForAnything, ForVoltageDrop, ForCorrection:
	default:
		r.fail(outside("reason %q is neither voltage-drop nor correction", in.Why))
	}
	switch in.Circuit {
	case PVCircuit, PVACCircuit, ACCircuit:
	default:
		r.fail(outside("circuit %q is none of pv, pv-ac and ac", in.Circuit))
	}
	if in.Installed <= in.Minimum {
		return
	}
	g.Ratio = r.area(in.Installed) / r.area(in.Minimum)
	row := "other"
	switch {
	case in.Why == ForCorrection:
		row = "correction"
	case in.Why == ForVoltageDrop && in.Circuit == PVCircuit:
		row = "voltage drop, photovoltaic"
	case in.Why == ForVoltageDrop && in.Circuit == PVACCircuit:
		row = "voltage drop, photovoltaic AC"
	}
	g.Scales = r.value(tableGroundIncrease, row) != 0
}

// sizeOf is the smallest size, not below least, whose area reaches what is
// required.
func (r *reader) sizeOf(required float64, least quantity.Size) quantity.Size {
	t := r.table(tableProperties)
	if t == nil {
		return 0
	}
	for s, ok := least, least.Known(); ok; s, ok = s.Next() {
		if a, has := t.Quantity(s.Key(), "area"); has && quantity.AtLeast(a, required) {
			r.use(t, s.Key())
			return s
		}
	}
	r.fail(outside("no conductor size has %s", cmil(required)))
	return 0
}

// Work gives the calculation.
func (g EquipmentGround) Work(quantity.System) []string {
	in := g.Input
	lines := []string{fmt.Sprintf("overcurrent device %s: %s %s, %s", amps(in.Overcurrent), g.Base, in.Material, cmil(g.BaseArea))}
	switch {
	case g.Scales:
		lines = append(lines, fmt.Sprintf("conductors increased from %s to %s: area ratio %s; ground %s x %s = %s", in.Minimum, in.Installed, factor(g.Ratio), cmil(g.BaseArea), factor(g.Ratio), cmil(g.BaseArea*g.Ratio)))
	case g.Ratio > 1:
		lines = append(lines, fmt.Sprintf("conductors increased from %s to %s, for which the ground need not grow", in.Minimum, in.Installed))
	}
	if g.Capped {
		lines = append(lines, fmt.Sprintf("no larger than the circuit conductors: %s", in.Installed))
	}
	return append(lines, fmt.Sprintf("equipment grounding conductor = %s %s", g.Size, in.Material))
}

// ElectrodeConductor is a grounding electrode conductor.
type ElectrodeConductor struct {
	Basis
	Largest   quantity.Size // largest conductor that it is sized by
	Sets      int
	Area      float64 // m2, of all sets; zero for direct current
	Material  Material
	Electrode string
	Table     quantity.Size // before the limit of the electrode
	Size      quantity.Size
}

// Electrodes lists the kinds of grounding electrode.
var Electrodes = []string{"rod", "pipe", "plate", "concrete-encased", "ring", "water-pipe", "building"}

// ElectrodeConductor gives the smallest grounding electrode conductor of an
// alternating-current service from its largest ungrounded conductor or the
// summed area of a parallel set. Where the conductor runs to a rod, pipe,
// plate or concrete-encased electrode alone, that electrode limits it; an
// empty electrode means no such limit. Source: NEC Table 250.66 and 250.66(A)
// to (C), 690.47.
func (c *Code) ElectrodeConductor(service quantity.Size, serviceMaterial Material, sets int, m Material, electrode string) (ElectrodeConductor, error) {
	r := c.reader()
	r.failIf(serviceMaterial.check())
	r.failIf(m.check())
	r.needCount("the count of parallel sets", sets)
	e := ElectrodeConductor{Largest: service, Sets: sets, Material: m, Electrode: electrode, Area: r.area(service) * float64(sets)}
	e.Table = r.electrodeByArea(e.Area, serviceMaterial, m)
	e.Size = r.limited(e.Table, tableElectrodeLimit, electrode, m)
	e.Basis = r.basis()
	return e, r.err
}

func (r *reader) electrodeByArea(area float64, service, m Material) quantity.Size {
	t := r.table(tableElectrode)
	if t == nil {
		return 0
	}
	upTo := string(service) + " up to"
	for _, row := range t.Rows {
		if limit, bounded := t.Quantity(row.Key, upTo); !bounded || quantity.AtMost(area, limit) {
			return r.size(tableElectrode, row.Key, string(m))
		}
	}
	r.fail(outside("%s %s has no row for %s", t.Code, t.Section, cmil(area)))
	return 0
}

// limited caps a grounding electrode conductor by the electrode it alone runs
// to. A row without a value for the material forbids it there.
func (r *reader) limited(s quantity.Size, tableName, electrode string, m Material) quantity.Size {
	if electrode == "" || r.err != nil {
		return s
	}
	if !contains(Electrodes, electrode) {
		r.fail(outside("electrode %q is not known%s", electrode, quantity.DidYouMean(electrode, Electrodes)))
		return 0
	}
	t := r.table(tableName)
	if t == nil || !t.Has(electrode) {
		return s
	}
	limit := r.size(tableName, electrode, string(m))
	if !limit.Known() {
		r.fail(outside("an %s conductor may not run to a %s electrode", m, electrode))
		return 0
	}
	return min(s, limit)
}

func contains(list []string, s string) bool {
	for _, l := range list {
		if l == s {
			return true
		}
	}
	return false
}

// DCElectrodeConductor gives the smallest grounding electrode conductor of a
// direct-current system from its largest conductor: not thinner than that
// conductor, within the least and largest size of the code, and limited by the
// electrode it alone runs to. Source: NEC 250.166, 690.47.
func (c *Code) DCElectrodeConductor(largest quantity.Size, m Material, electrode string) (ElectrodeConductor, error) {
	r := c.reader()
	r.failIf(m.check())
	if !largest.Known() {
		r.fail(outside("the conductor size is not known"))
	}
	e := ElectrodeConductor{Largest: largest, Sets: 1, Material: m, Electrode: electrode}
	least, most := r.size(tableDCElectrode, "minimum", string(m)), r.size(tableDCElectrode, "maximum", string(m))
	e.Table = min(max(largest, least), most)
	e.Size = r.limited(e.Table, tableDCElectrode, electrode, m)
	e.Basis = r.basis()
	return e, r.err
}

// Work gives the calculation.
func (e ElectrodeConductor) Work(quantity.System) []string {
	lines := []string{fmt.Sprintf("largest conductor %s: %s %s", e.Largest, e.Table, e.Material)}
	if e.Area > 0 {
		lines = []string{fmt.Sprintf("%d x %s = %s: %s %s", e.Sets, e.Largest, cmil(e.Area), e.Table, e.Material)}
	}
	if e.Size != e.Table {
		lines = append(lines, fmt.Sprintf("to a %s electrode alone no larger than %s", e.Electrode, e.Size))
	}
	return append(lines, fmt.Sprintf("grounding electrode conductor = %s %s", e.Size, e.Material))
}

// GroundNeedsProtection reports whether an exposed equipment grounding
// conductor is too small to do without protection from damage. Source: NEC
// 250.120(C), 690.46.
func (c *Code) GroundNeedsProtection(s quantity.Size) (bool, table.Ref, error) {
	r := c.reader()
	least := r.namedSize("250.120", "exposed")
	if r.err == nil && !s.Known() {
		r.fail(outside("the conductor size is not known"))
	}
	if r.err != nil {
		return true, table.Ref{}, r.err
	}
	return s < least, r.refs[0], nil
}
