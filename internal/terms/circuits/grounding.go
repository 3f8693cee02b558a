package circuits

import (
	"plumbrule/internal/electrical"
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/terms"
)

var _ = terms.Derive(groundingKind, "electrode_conductor_smallest", terms.WireSize, "smallest grounding electrode conductor for the service", "NEC 250.66, 690.47", "electrode-conductor",
	func(c *terms.Call, g *job.Grounding) quantity.Size {
		terms.Drive(c, g.ElectrodeConductor)
		s := c.Job().Service
		service, of, sets := terms.Get(c, s.ConductorSize), terms.Get(c, s.ConductorMaterial), terms.Get(c, s.Sets)
		material, electrode, code := terms.Get(c, g.ElectrodeMaterial), terms.Get(c, g.Electrode), nec(c)
		if c.Stop() {
			return 0
		}
		e, err := code.ElectrodeConductor(service, electrical.Material(of), sets, electrical.Material(material), electrode)
		if !took(c, e, e.Refs, err) {
			return 0
		}
		if electrode == "ring" && terms.Stated(c, g.RingConductor) { // 250.66(C): no larger than the ring
			return min(e.Size, terms.Get(c, g.RingConductor))
		}
		return e.Size
	})

var _ = terms.Derive(groundingKind, "is_rod", terms.YesNo, "whether the electrode is of the kind that gets a second one", "NEC 250.53(A)(2)", "",
	func(c *terms.Call, g *job.Grounding) bool {
		e := terms.Get(c, g.Electrode)
		return e == "rod" || e == "plate"
	})

var _ = terms.Derive(groundingKind, "array_needs_protection", terms.YesNo, "whether the array's equipment grounding conductor is too small to be exposed to damage", "NEC 250.120(C), 690.46", "",
	func(c *terms.Call, g *job.Grounding) bool {
		terms.Drive(c, g.ArrayConductor)
		return needsProtection(c, terms.Get(c, g.ArrayConductor))
	})

var _ = terms.Derive(groundingKind, "array_smallest", terms.WireSize, "smallest conductor from the lugs: that of the circuits of the array", "NEC 250.122, 690.45", "equipment-ground", arrayGround)

var _ = terms.Derive(circuitKind, "bonding_smallest", terms.WireSize, "smallest supply-side bonding jumper", "NEC 250.102(C)(1) and (2)", "bonding-jumper",
	func(c *terms.Call, x *job.Circuit) quantity.Size {
		terms.Drive(c, x.Ground)
		in := electrical.BondingInput{Ungrounded: terms.Get(c, x.Conductor), Of: electrical.Material(terms.Get(c, x.Material)), Sets: terms.Get(c, x.Sets),
			Apart: terms.Get(c, x.SetsApart), Material: electrical.Material(groundMaterial.Of(c, x))}
		return bonding(c, in)
	})

// bonding sizes a conductor by the ungrounded conductors ahead of the first
// overcurrent device.
func bonding(c *terms.Call, in electrical.BondingInput) quantity.Size {
	code := nec(c)
	if c.Stop() {
		return 0
	}
	b, err := code.BondingJumper(in)
	if !took(c, b, b.Refs, err) {
		return 0
	}
	return b.Size
}

// arrayGround is the ground that the largest device ahead of an array asks for:
// the string fuses, or the branch breakers of microinverters.
func arrayGround(c *terms.Call, g *job.Grounding) quantity.Size {
	terms.Drive(c, g.ArrayConductor)
	material := terms.Get(c, g.ArrayMaterial)
	rating, found := 0.0, false
	for n := range c.Job().Circuits {
		x := &c.Job().Circuits[n]
		if isDC(c, x) || terms.Peek(c, x.Kind) == "branch" {
			rating, found = max(rating, deviceAhead(c, x)), true
		}
	}
	code := nec(c)
	if c.Stop() {
		return 0
	}
	if !found {
		c.Fail("no string or branch circuit is given")
		return 0
	}
	e, err := code.EquipmentGround(electrical.GroundInput{Overcurrent: rating, Material: electrical.Material(material), Sets: 1, Circuit: electrical.PVCircuit})
	if !took(c, e, e.Refs, err) {
		return 0
	}
	return e.Size
}
