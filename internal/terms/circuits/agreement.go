package circuits

import (
	"plumbrule/internal/electrical"
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/terms"
)

var (
	labelKind   = terms.KindFor[job.Label]()
	oneLineKind = terms.KindFor[job.OneLine]()
)

// margin declares how far two values that say the same may differ, by its row
// in the table of such margins.
func margin[T any](k terms.KindOf[T], name string, d quantity.Dimension, meaning, row string) terms.TermOf[T, float64] {
	return terms.Derive(k, name, terms.Quantity(d), meaning, "common practice", "",
		func(c *terms.Call, _ *T) float64 { return agreement(c, row) })
}

// inForce declares a limit that the adopted edition names in a row of a table.
func inForce[T any](k terms.KindOf[T], name string, d quantity.Dimension, meaning, source, calculator, table, row string) terms.TermOf[T, float64] {
	return terms.Derive(k, name, terms.Quantity(d), meaning, source, calculator,
		func(c *terms.Call, _ *T) float64 { return named(c, table, row) })
}

// agreement reads how far two values that say the same may differ.
func agreement(c *terms.Call, row string) float64 {
	return terms.Practice(c, "agreement", row, "value")
}

var _ = margin(labelKind, "voltage_margin", quantity.Voltage, "how far a printed voltage may differ from the computed one", "label voltage")

var _ = margin(labelKind, "current_below", quantity.Current, "how far a printed current may lie below the computed one", "label current below")

var _ = margin(labelKind, "current_above", quantity.Current, "how far a printed current may lie above the computed one", "label current above")

var _ = margin(labelKind, "current_share", quantity.Ratio, "the same, as a share of the computed current", "label current share")

var _ = margin(labelKind, "fault_current_share", quantity.Ratio, "how far a printed fault current may differ from the stated one, as a share of it", "fault current share")

var _ = inForce(labelKind, "least_body_letter", quantity.Length, "least height of the letters below a title", "NEC 690.56(C)", "", "labels", "body letter")

var _ = terms.Derive(labelKind, "least_letter", terms.Quantity(quantity.Length), "least height of the letters of a title, or of the marking of a raceway", "NEC 690.31, 690.56(C), 690.12(D)", "",
	func(c *terms.Call, l *job.Label) float64 {
		if terms.Get(c, l.Kind) == "dc-raceway" {
			return named(c, "labels", "raceway letter")
		}
		return named(c, "labels", "title letter")
	})

var _ = inForce(labelKind, "least_emergency_letter", quantity.Length, "least height of the letters at an emergency disconnect", "NEC 230.85", "", "labels", "emergency letter")

var _ = inForce(labelKind, "largest_interval", quantity.Length, "largest distance between the markings of a raceway", "NEC 690.31", "", "labels", "raceway interval")

var _ = inForce(disconnectKind, "sight_distance", quantity.Length, "farthest distance that is within sight", "NEC Article 100", "", "690.13", "in sight")

var _ = inForce(disconnectKind, "distance_limit", quantity.Length, "farthest distance from the equipment", "NEC 690.15(A)", "", "690.13", "distance")

var _ = inForce(disconnectKind, "door_voltage", quantity.Voltage, "voltage above which a door over live parts is locked or opens with a tool", "NEC 690.13(A)", "", "690.13", "door voltage")

var _ = margin(inverterTypeKind, "current_share", quantity.Ratio, "how far its largest current may credibly lie above power over voltage, as a share", "inverter current share")

var _ = margin(inverterTypeKind, "rounding_share", quantity.Ratio, "how far its current may lie below power over voltage by rounding, as a share", "inverter rounding share")

var _ = margin(moduleTypeKind, "power_share", quantity.Ratio, "how far its power may differ from voltage times current by rounding, as a share", "module power share")

var _ = margin(oneLineKind, "voltage_margin", quantity.Voltage, "how far its voltage may differ from the computed one", "one-line voltage")

var _ = margin(circuitKind, "schedule_share", quantity.Ratio, "how far a value of the schedule may differ from the computed one, as a share", "schedule share")

var _ = margin(circuitKind, "drop_below", quantity.Ratio, "how far a voltage drop in the schedule may lie below the computed one", "drop below")

var _ = margin(circuitKind, "drop_above", quantity.Ratio, "how far it may credibly lie above the computed one, as a share of it", "drop above")

var _ = inForce(disconnectKind, "width_needed", quantity.Length, "least width of the working space in front", "NEC 110.26(A)(2)", "working-space", "110.26(A)", "width")

var _ = terms.Derive(moduleTypeKind, "efficiency", terms.Quantity(quantity.Ratio), "share of the irradiance at standard test conditions on its area that it gives", "standard test conditions", "",
	func(c *terms.Call, t *job.ModuleType) float64 {
		p, l, w := c.Q(t.Power), c.Q(t.Length), c.Q(t.Width)
		sun := terms.PracticeNumber(c, "test-conditions", "irradiance", "value")
		terms.Drive(c, t.Power)
		if c.Stop() {
			return 0
		}
		return p / (l * w * sun)
	})

var _ = margin(moduleTypeKind, "least_efficiency", quantity.Ratio, "least efficiency that is credible", "least efficiency")

var _ = margin(moduleTypeKind, "greatest_efficiency", quantity.Ratio, "greatest efficiency that is credible", "greatest efficiency")

var _ = terms.Derive(serviceKind, "largest_main", terms.Quantity(quantity.Current), "largest main device that its conductors may have", "NEC 310.12, 230.90(A), 240.4", "",
	func(c *terms.Call, s *job.Service) float64 {
		terms.Drive(c, s.Main)
		main, size, material, sets, code := c.Q(s.Main), terms.Get(c, s.ConductorSize), terms.Get(c, s.ConductorMaterial), terms.Get(c, s.Sets), nec(c)
		dwelling := terms.Get(c, c.Job().Building.Dwelling) && terms.Get(c, s.System) != string(electrical.ThreePhase)
		if c.Stop() {
			return 0
		}
		m, err := code.ServiceMain(size, electrical.Material(material), sets, main, dwelling)
		if !took(c, m, m.Refs, err) {
			return 0
		}
		return m.Largest
	})

var _ = terms.Derive(circuitKind, "may_share", terms.YesNo, "whether it may share a raceway or box with circuits of the other kind: by the adopted edition, grouped and identified", "NEC 690.31(B)", "",
	func(c *terms.Call, x *job.Circuit) bool {
		return named(c, "690.31", "sharing by groups") == 1 && terms.Get(c, x.Grouped)
	})

var _ = inForce(groundingKind, "least_ring_depth", quantity.Length, "least depth of a ring electrode", "NEC 250.53(F)", "", "250.53", "ring depth")

// solid is whether the DC side of an inverter is solidly grounded; left out, it
// is not.
func solid(c *terms.Call, i *job.Inverter) bool {
	t := typeOf(c, i)
	return t != nil && terms.Peek(c, t.DCGrounding) == "solidly-grounded"
}

// smallAndApart is whether no more strings than the code lets a solidly grounded
// array have feed an inverter, and none of their circuits touches a building.
func smallAndApart(c *terms.Call, i *job.Inverter) bool {
	strings := stringsInto(c, i)
	if float64(len(strings)) > named(c, "690.41", "solid strings") {
		return false
	}
	for _, s := range strings {
		if decide(c, stringExtent.Of(c, s), func(k contact) bool { return k > away }) {
			return false
		}
	}
	return !inverterIsMicro.Of(c, i)
}

var _ = terms.Derive(inverterKind, "solidly_grounded", terms.YesNo, "whether its DC side is solidly grounded", "NEC 690.41(A)", "",
	func(c *terms.Call, i *job.Inverter) bool { return solid(c, i) })

var _ = terms.Derive(inverterKind, "may_be_solid", terms.YesNo, "whether its strings are few enough and off buildings, so that they may be solidly grounded", "NEC 690.41(A) and (B)", "",
	smallAndApart)

var _ = terms.Derive(inverterKind, "ground_fault_spared", terms.YesNo, "whether the adopted edition asks for no ground-fault protection of its DC side", "NEC 690.41(B)", "",
	func(c *terms.Call, i *job.Inverter) bool {
		if named(c, "690.41", "spared by size") != 1 { // by the kind of grounding
			return solid(c, i) && smallAndApart(c, i)
		}
		v, a := named(c, "690.41", "voltage"), named(c, "690.41", "current")
		if !quantity.AtMost(inverterHighestVoltage.Of(c, i), v) {
			return false
		}
		if inverterIsMicro.Of(c, i) {
			t := moduleBehind(c, i)
			return t != nil && quantity.AtMost(moduleTypeMountedShortCircuit.Of(c, t), a)
		}
		most := directCurrent(c, stringsInto(c, i))
		return !c.Stop() && quantity.AtMost(most.maximum, a)
	})

var _ = terms.Derive(groundingKind, "least_ring_conductor", terms.WireSize, "smallest conductor of a ring electrode", "NEC 250.52(A)(4)", "",
	func(c *terms.Call, g *job.Grounding) quantity.Size {
		code := nec(c)
		if c.Stop() {
			return 0
		}
		s, basis, err := code.RingConductor()
		if err != nil {
			c.Err(err)
		}
		c.Cite(basis.Refs...)
		return s
	})
