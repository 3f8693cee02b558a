package circuits

import (
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/terms"
)

// What rapid shutdown leaves follows from the equipment where each module stands
// on a microinverter or a converter, and where its switch is from the switch.

// insideVoltage is the voltage inside the boundary after shutdown as stated, else
// what the modules on one microinverter or converter give in the cold, and no
// less than converters in series leave.
var _ = terms.Fill(rapidShutdownKind, "inside_voltage", terms.Quantity(quantity.Voltage), func(c *terms.Call, r *job.RapidShutdown, stated bool, v float64) float64 {
	if stated {
		return v
	}
	if terms.Get(c, r.Method) != "module-level" {
		c.Missing(r.InsideVoltage.Key, r.InsideVoltage.At)
		return 0
	}
	most, of := 0.0, ""
	take := func(v float64, name string) {
		if v > most {
			most, of = v, name
		}
	}
	for _, i := range inverterKind.All(c) {
		if inverterIsMicro.Of(c, i) {
			take(inverterModuleVoltage.Of(c, i), i.Name.Value)
		}
	}
	for _, s := range stringKind.All(c) {
		if !converted(c, s, r.InsideVoltage) {
			return 0
		}
		take(stringConverterInput.Of(c, s), s.Name.Value)
		take(stringShutdown.Of(c, s), s.Name.Value)
	}
	if c.Stop() {
		return 0
	}
	if most == 0 {
		c.Fail("no module stands on a microinverter or a converter")
		return 0
	}
	c.Explain(func(sys quantity.System) []string {
		return []string{"after shutdown no more is left inside the array than " + quantity.Of(most, quantity.Voltage).Format(sys) + ", of " + of}
	}, nil)
	return most
})

// outsideVoltage is the voltage outside of the boundary after shutdown as stated,
// else the most that the converters of a string leave; none where only listed
// utility-interactive microinverters stand, which cease to give power once the
// utility's side is open.
var _ = terms.Fill(rapidShutdownKind, "outside_voltage", terms.Quantity(quantity.Voltage), func(c *terms.Call, r *job.RapidShutdown, stated bool, v float64) float64 {
	if stated {
		return v
	}
	most, of := 0.0, ""
	for _, s := range stringKind.All(c) {
		if !converted(c, s, r.OutsideVoltage) {
			return 0
		}
		if v := stringShutdown.Of(c, s); v > most {
			most, of = v, s.Name.Value
		}
	}
	if c.Stop() {
		return 0
	}
	if most == 0 && dead(c) {
		line(c, "no direct current leaves the array, and listed utility-interactive microinverters give nothing once the utility's side is open")
		return 0
	}
	if most == 0 {
		c.Missing(r.OutsideVoltage.Key, r.OutsideVoltage.At)
		return 0
	}
	c.Explain(func(sys quantity.System) []string {
		return []string{"after shutdown the converters of " + of + " together leave " + quantity.Of(most, quantity.Voltage).Format(sys)}
	}, nil)
	return most
})

// dead is whether the job has nothing but utility-interactive microinverters under
// a system that works at module level.
func dead(c *terms.Call) bool {
	inverters := inverterKind.All(c)
	if len(inverters) == 0 || len(stringKind.All(c)) > 0 || terms.Get(c, c.Job().RapidShutdown.Method) != "module-level" {
		return false
	}
	for _, i := range inverters {
		if !inverterIsMicro.Of(c, i) || !terms.Get(c, typeOf(c, i).UtilityInteractive) {
			return false
		}
	}
	return !c.Stop()
}

// converted is whether a string stands on converters throughout; what it leaves
// after shutdown follows from nothing where it does not.
func converted(c *terms.Call, s *job.String, key job.Quantity) bool {
	if !terms.Stated(c, s.Converter) {
		c.Missing(key.Key, key.At)
		return false
	}
	return true
}

// hasPVDisconnect is whether any disconnect parts the PV system from the rest. One
// that does not say what it is for could be it.
var hasPVDisconnect = terms.Derive(submittalKind, "has_pv_disconnect", terms.YesNo, "whether a disconnect of the PV system is shown", "NEC 690.13", "",
	func(c *terms.Call, j *job.Job) bool {
		disconnectKind.All(c)
		for i := range j.Disconnects {
			if terms.Peek(c, j.Disconnects[i].Purpose) == "pv-system" {
				return true
			}
		}
		for i := range j.Disconnects {
			terms.Get(c, j.Disconnects[i].Purpose)
		}
		return false
	})

// initiatorPlace is where the initiator stands as stated, else where the switch is
// that starts it.
var _ = terms.Fill(rapidShutdownKind, "initiator_place", terms.Word, func(c *terms.Call, r *job.RapidShutdown, stated bool, v string) string {
	if stated {
		return v
	}
	d := initiatingSwitch(c, r)
	if c.Stop() {
		return ""
	}
	if d == nil {
		c.Missing(r.InitiatorPlace.Key, r.InitiatorPlace.At)
		return ""
	}
	place, words := terms.Get(c, d.Place), "outside"
	if place == "inside" || place == "bathroom" {
		words = "inside"
	}
	line(c, "%s starts it, which stands: %s", d.Name.Value, place)
	return words
})

// initiatorAccess is whether the initiator is readily accessible as stated, else
// as the switch is that starts it.
var _ = terms.Fill(rapidShutdownKind, "readily_accessible", terms.YesNo, func(c *terms.Call, r *job.RapidShutdown, stated bool, v bool) bool {
	if stated {
		return v
	}
	d := initiatingSwitch(c, r)
	if c.Stop() {
		return false
	}
	if d == nil {
		c.Missing(r.ReadilyAccessible.Key, r.ReadilyAccessible.At)
		return false
	}
	readily := terms.Get(c, d.ReadilyAccessible)
	line(c, "%s starts it, as readily accessible as that is", d.Name.Value)
	return readily
})

// initiators is how many initiators there are as stated, else the one switch that
// starts it.
var _ = terms.Fill(rapidShutdownKind, "initiators", terms.WholeNumber, func(c *terms.Call, r *job.RapidShutdown, stated bool, v int) int {
	if stated {
		return v
	}
	d := initiatingSwitch(c, r)
	if c.Stop() {
		return 0
	}
	if d == nil {
		c.Missing(r.Initiators.Key, r.Initiators.At)
		return 0
	}
	line(c, "%s starts it, and no other switch does", d.Name.Value)
	return 1
})

// initiatingSwitch is the one disconnect of a kind that the initiator names.
func initiatingSwitch(c *terms.Call, r *job.RapidShutdown) *job.Disconnect {
	purposes := map[string]string{"pv-disconnect": "pv-system", "service-disconnect": "service"}
	purpose := purposes[terms.Get(c, r.Initiator)]
	if purpose == "pv-system" && !hasPVDisconnect.Of(c, c.Job()) {
		if !c.Stop() {
			c.Fail("no disconnect of the PV system is shown, which is said to start it")
		}
		return nil
	}
	var found *job.Disconnect
	for _, d := range disconnectKind.All(c) {
		switch {
		case !terms.Stated(c, d.Purpose): // it could be another
			c.Missing(d.Purpose.Key, d.Purpose.At)
			return nil
		case terms.Peek(c, d.Purpose) != purpose:
		case found != nil:
			return nil
		default:
			found = d
		}
	}
	return found
}
