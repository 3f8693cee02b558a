package circuits

import (
	"plumbrule/internal/electrical"
	"plumbrule/internal/job"
)

func defineGrounding() {
	size := Type{Kind: Size}

	derive("grounding", "electrode_conductor_smallest", size, "smallest grounding electrode conductor for the service", "NEC 250.66, 690.47", "electrode-conductor",
		func(c *Call, g *job.Grounding) any {
			c.Drive(g.ElectrodeConductor.At)
			s := c.m.Job.Service
			service, of, sets := Get(c, s.ConductorSize), Get(c, s.ConductorMaterial), 1
			if s.Sets.Known { // left out: one
				sets = Get(c, s.Sets)
			}
			material, electrode, code := Get(c, g.ElectrodeMaterial), Get(c, g.Electrode), c.nec()
			if c.Stop() {
				return nil
			}
			e, err := code.ElectrodeConductor(service, electrical.Material(of), sets, electrical.Material(material), electrode)
			if !c.took(e, e.Refs, err) {
				return nil
			}
			return e.Size
		})
	derive("grounding", "is_rod", flag, "whether the electrode is of the kind that gets a second one", "NEC 250.53(A)(2)", "",
		func(c *Call, g *job.Grounding) any {
			e := Get(c, g.Electrode)
			return e == "rod" || e == "plate"
		})
	derive("grounding", "array_needs_protection", flag, "whether the array's equipment grounding conductor is too small to be exposed to damage", "NEC 250.120(C), 690.46", "",
		func(c *Call, g *job.Grounding) any {
			c.Drive(g.ArrayConductor.At)
			return c.needsProtection(Get(c, g.ArrayConductor))
		})
	derive("grounding", "array_smallest", size, "smallest conductor from the lugs: that of the circuits of the array", "NEC 250.122, 690.45", "equipment-ground", arrayGround)

	derive("circuit", "bonding_smallest", size, "smallest supply-side bonding jumper", "NEC 250.102(C)", "electrode-conductor",
		func(c *Call, x *job.Circuit) any {
			c.Drive(x.Ground.At)
			conductor, of, sets := Get(c, x.Conductor), Get(c, x.Material), c.sets(x)
			material, code := Get(c, x.GroundMaterial), c.nec()
			if c.Stop() {
				return nil
			}
			e, err := code.ElectrodeConductor(conductor, electrical.Material(of), sets, electrical.Material(material), "")
			if !c.took(e, e.Refs, err) {
				return nil
			}
			return e.Size
		})
}

// arrayGround is the ground that the largest device ahead of an array asks for:
// the string fuses, or the branch breakers of microinverters.
func arrayGround(c *Call, g *job.Grounding) any {
	c.Drive(g.ArrayConductor.At)
	material := Get(c, g.ArrayMaterial)
	rating, found := 0.0, false
	for n := range c.m.Job.Circuits {
		x := &c.m.Job.Circuits[n]
		if isDC(x) || x.Kind.Value == "branch" {
			rating, found = max(rating, c.deviceAhead(x)), true
		}
	}
	code := c.nec()
	if c.Stop() {
		return nil
	}
	if !found {
		return c.Fail("no string or branch circuit is given")
	}
	e, err := code.EquipmentGround(electrical.GroundInput{Overcurrent: rating, Material: electrical.Material(material), Sets: 1, Circuit: electrical.PVCircuit})
	if !c.took(e, e.Refs, err) {
		return nil
	}
	return e.Size
}
