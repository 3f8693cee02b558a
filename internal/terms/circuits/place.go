package circuits

import (
	"slices"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/arrays"
)

// contact is what a circuit touches of buildings, the least first. Each limit
// of the code is stricter, or the same, for the next one.
type contact int

const (
	away    contact = iota // no building
	onWall                 // runs along or ends on an outside wall
	onRoof                 // stands or runs on a roof
	encased                // passes a building in concrete or below its slab
	within                 // enters it
)

// extent is what is known of a contact: it lies between two, and what is
// missing to tell where. Where nothing is missing the two are the same.
type extent struct {
	least, most contact
	needs       []terms.Need
}

func exactly(k contact) extent { return extent{least: k, most: k} }

func open(least, most contact, n ...terms.Need) extent { return extent{least, most, n} }

// join is the extent of several parts together: the most that any touches.
func join(list ...extent) extent {
	var out extent
	for _, e := range list {
		out.least, out.most = max(out.least, e.least), max(out.most, e.most)
	}
	for _, e := range list {
		if e.most > out.least { // what it lacks can still change the whole
			out.needs = append(out.needs, e.needs...)
		}
	}
	return out
}

// decide answers a question about a contact; where the answer hangs on what is
// missing, that is needed.
func decide(c *terms.Call, e extent, question func(contact) bool) bool {
	if low := question(e.least); low == question(e.most) {
		return low
	}
	c.Need(e.needs...)
	return false
}

func missing[T any](g job.Given[T]) terms.Need { return terms.Need{Key: g.Key, At: g.At} }

// Words for what a circuit touches, as the key circuit.building has them.
var contactWords = map[string]contact{"none": away, "outside": onWall, "encased": encased, "inside": within}

// wherePlace is what equipment touches by the word for its place. Equipment
// outside stands on a wall, or beside it, or on a frame of its own: only a
// circuit of an array on a building is sure to have come along that building.
func wherePlace(c *terms.Call, place job.Text, circuit *job.Circuit) extent {
	if !terms.Stated(c, place) {
		return open(away, within, missing(place))
	}
	switch terms.Peek(c, place) {
	case "ground":
		return exactly(away)
	case "roof":
		return exactly(onRoof)
	case "outside":
		if circuit == nil {
			return open(away, onWall, terms.Need{Why: "no circuit says whether it runs along a building to the equipment outside", At: place.At})
		}
		return open(away, onWall, missing(circuit.Building))
	}
	return exactly(within) // inside, garage, attic, bathroom
}

// onRoofs is whether any of the arrays stands on a roof, and whether all are
// known to be named.
func onRoofs(c *terms.Call, list []job.Text) extent {
	var parts []extent
	for _, name := range list {
		a, ok := terms.Seek(c, arrayKind, name)
		if !ok {
			parts = append(parts, open(away, onRoof, missing(name)))
			continue
		}
		parts = append(parts, exactly(underArray(c, a)))
	}
	return join(parts...)
}

// arraysNamed names the arrays of a string, its own first.
func arraysNamed(c *terms.Call, s *job.String) []job.Text {
	terms.Stated(c, s.OtherArrays)
	return s.Arrays()
}

// underArray is what an array touches by its plane.
func underArray(c *terms.Call, a *job.Array) contact {
	if p, ok := terms.Seek(c, planeKind, a.Plane); ok && terms.Peek(c, p.Ground) {
		return away
	}
	return onRoof
}

// microsOf lists the groups of microinverters whose output a circuit carries.
func microsOf(c *terms.Call, x *job.Circuit) []*job.Inverter {
	var list []*job.Inverter
	for _, i := range terms.Refs(c, inverterKind, x.Inverters) {
		if t, ok := terms.Seek(c, inverterTypeKind, i.Type); ok && terms.Peek(c, t.Kind) == "micro" {
			list = append(list, i)
		}
	}
	return list
}

// whence is what the arrays of a circuit touch.
func whence(c *terms.Call, x *job.Circuit) extent {
	var names []job.Text
	if isDC(c, x) {
		if !terms.Stated(c, x.Strings) {
			return open(away, onRoof, missing(x.Strings))
		}
		for _, s := range terms.Refs(c, stringKind, x.Strings) {
			names = append(names, arraysNamed(c, s)...)
		}
	} else {
		for _, i := range microsOf(c, x) {
			names = append(names, i.Array)
		}
	}
	return onRoofs(c, names)
}

// endPlaces lists the places of the equipment that a circuit begins or ends at,
// as far as the job names it.
func endPlaces(c *terms.Call, x *job.Circuit) []job.Text {
	var list []job.Text
	for _, end := range []job.Text{x.From, x.To} {
		if terms.Stated(c, end) {
			list = append(list, placesNamed(c, terms.Peek(c, end))...)
		}
	}
	switch {
	case terms.Stated(c, x.To):
	case isDC(c, x):
		for _, s := range terms.Refs(c, stringKind, x.Strings) {
			box := combinerWith(c, s)
			if box != nil {
				list = append(list, box.Place)
			}
			if box == nil || terms.Peek(c, x.Kind) == "source" {
				if i, ok := terms.Seek(c, inverterKind, s.Inverter); ok {
					list = append(list, i.Place)
				}
			}
		}
	default:
		micros := microsOf(c, x)
		for _, i := range terms.Refs(c, inverterKind, x.Inverters) {
			if !slices.Contains(micros, i) {
				list = append(list, i.Place)
			}
		}
	}
	return list
}

// placesNamed are the places of the equipment with a name.
func placesNamed(c *terms.Call, name string) []job.Text {
	var list []job.Text
	for _, x := range inverterKind.All(c) {
		if x.Name.Value == name {
			list = append(list, x.Place)
		}
	}
	for _, x := range combinerKind.All(c) {
		if x.Name.Value == name {
			list = append(list, x.Place)
		}
	}
	for _, x := range disconnectKind.All(c) {
		if x.Name.Value == name {
			list = append(list, x.Place)
		}
	}
	for _, x := range panelKind.All(c) {
		if x.Name.Value == name {
			list = append(list, x.Place)
		}
	}
	return list
}

// combinerWith is the combiner in which a string ends, nil where none names it.
func combinerWith(c *terms.Call, s *job.String) *job.Combiner {
	for _, b := range combinerKind.All(c) {
		if terms.Stated(c, b.Strings) && slices.Contains(terms.Peek(c, b.Strings), s.Name.Value) {
			return b
		}
	}
	return nil
}

// impliedExtent is what a circuit touches by its place, its arrays, and the
// equipment at its ends.
var impliedExtent = terms.Analyse(circuitKind, "what a circuit touches of buildings by its place and its ends", func(c *terms.Call, x *job.Circuit) extent {
	arrays := whence(c, x)
	parts := []extent{arrays}
	if !terms.Stated(c, x.Place) {
		parts = append(parts, open(away, within, missing(x.Place)))
	} else {
		switch terms.Peek(c, x.Place) {
		case "roof":
			parts = append(parts, exactly(onRoof))
		case "outside":
			parts = append(parts, open(away, onWall, missing(x.Building)))
		case "inside", "attic":
			parts = append(parts, exactly(within))
		}
	}
	for _, place := range endPlaces(c, x) {
		parts = append(parts, wherePlace(c, place, x))
	}
	return join(parts...)
})

// circuitExtent is what a circuit touches: what the job says, but not less than
// what its place and its ends imply.
var circuitExtent = terms.Analyse(circuitKind, "what a circuit touches of buildings", func(c *terms.Call, x *job.Circuit) extent {
	implied := impliedExtent.Of(c, x)
	if terms.Stated(c, x.Building) {
		return exactly(max(contactWords[terms.Peek(c, x.Building)], implied.least))
	}
	return implied
})

// stringExtent is what the circuits that carry a string touch; without any, what
// its inverter touches.
var stringExtent = terms.Analyse(stringKind, "what the circuits of a string touch of buildings", func(c *terms.Call, s *job.String) extent {
	parts := []extent{onRoofs(c, arraysNamed(c, s))}
	for _, x := range carrying(c, s) {
		parts = append(parts, circuitExtent.Of(c, x))
	}
	if i, ok := terms.Seek(c, inverterKind, s.Inverter); len(parts) == 1 && ok {
		parts = append(parts, wherePlace(c, i.Place, nil))
	}
	return join(parts...)
})

// carrying lists the direct-current circuits that carry a string. One that does
// not say what it carries could be among them.
func carrying(c *terms.Call, s *job.String) []*job.Circuit {
	var list []*job.Circuit
	for _, x := range circuitKind.All(c) {
		if isDC(c, x) && (!terms.Stated(c, x.Strings) || slices.Contains(terms.Peek(c, x.Strings), s.Name.Value)) {
			list = append(list, x)
		}
	}
	return list
}

var _ = terms.Derive(circuitKind, "touches_building", terms.YesNo, "whether it runs on or in a building, or ends at equipment that stands there", "NEC 690.12, 690.31(D)", "",
	func(c *terms.Call, x *job.Circuit) bool {
		return decide(c, circuitExtent.Of(c, x), func(k contact) bool { return k > away })
	})

var circuitEnters = terms.Derive(circuitKind, "enters_building", terms.YesNo, "whether it enters a building, or ends at equipment inside one, and is not encased so that it counts as outside", "NEC 690.12, 690.31(D), 230.6", "",
	func(c *terms.Call, x *job.Circuit) bool {
		return decide(c, circuitExtent.Of(c, x), func(k contact) bool { return k == within })
	})

var _ = terms.Derive(circuitKind, "on_wall", terms.YesNo, "whether it touches a building at an outside wall and no further", "NEC 690.31(G)", "",
	func(c *terms.Call, x *job.Circuit) bool {
		return decide(c, circuitExtent.Of(c, x), func(k contact) bool { return k == onWall })
	})

var _ = terms.Derive(circuitKind, "building_implied", terms.Word, "least that it touches of a building by its place and the equipment at its ends: none, outside or inside", "the job", "",
	func(c *terms.Call, x *job.Circuit) string {
		terms.Drive(c, x.Building)
		switch least := impliedExtent.Of(c, x).least; {
		case least == within:
			return "inside"
		case least > away:
			return "outside"
		}
		return "none"
	})

var circuitOutdoors = terms.Derive(circuitKind, "outdoors", terms.YesNo, "whether it runs in the open air: under an array, on a roof, or outside", "the job", "",
	func(c *terms.Call, x *job.Circuit) bool {
		place := terms.Get(c, x.Place)
		terms.Drive(c, x.Place)
		return slices.Contains([]string{"array", "roof", "outside"}, place)
	})

var circuitWetPlace = terms.Derive(circuitKind, "wet_place", terms.YesNo, "whether its place is wet, inside a raceway too: outdoors, unless something keeps it dry, and underground", "NEC 300.5(B), 300.9", "",
	func(c *terms.Call, x *job.Circuit) bool {
		place := terms.Get(c, x.Place)
		terms.Drive(c, x.Place)
		if place == "outside" && terms.Stated(c, x.Sheltered) {
			return false
		}
		return place == "underground" || circuitOutdoors.Of(c, x)
	})

var circuitIsWet = terms.Derive(circuitKind, "is_wet", terms.YesNo, "whether the place is wet: by its place, or because the job says so", "NEC 300.9, 310.10(C)", "",
	func(c *terms.Call, x *job.Circuit) bool {
		terms.Drive(c, x.Wet)
		if terms.Stated(c, x.Wet) && terms.Peek(c, x.Wet) {
			return true
		}
		return circuitWetPlace.Of(c, x)
	})

var _ = terms.Derive(circuitKind, "in_metal", terms.YesNo, "whether metal is around its conductors: a metal raceway, or metal-clad cable", "NEC 690.31(D)", "",
	func(c *terms.Call, x *job.Circuit) bool {
		terms.Drive(c, x.Raceway)
		return inMetal(c, x, true)
	})

// inMetal is whether metal is around the conductors of a circuit; metal-clad
// cable counts where asked.
func inMetal(c *terms.Call, x *job.Circuit, clad bool) bool {
	code, raceway, insulation := nec(c), terms.Get(c, x.Raceway), ""
	if raceway == "cable" && clad {
		insulation = terms.Get(c, x.Insulation)
	}
	if c.Stop() {
		return false
	}
	metal, basis, err := code.Metal(raceway, insulation)
	if err != nil {
		c.Err(err)
	}
	c.Cite(basis.Refs...)
	return metal
}

var _ = terms.Derive(circuitKind, "needs_metal", terms.YesNo, "whether it is a direct-current circuit inside a building with enough voltage or current that it has to run in metal there", "NEC 690.31(D); 690.31(G) in 2017", "",
	func(c *terms.Call, x *job.Circuit) bool {
		if !isDC(c, x) || !circuitEnters.Of(c, x) || c.Stop() {
			return false
		}
		volt, amp := named(c, "690.31(D)", "metal voltage"), named(c, "690.31(D)", "metal current")
		if volt == 0 || c.Stop() {
			return true
		}
		if i, known := circuitMaximumCurrent.Try(c, x); known && i > amp {
			return true // whatever the voltage
		}
		return circuitHighestVoltage.Of(c, x) > volt || circuitMaximumCurrent.Of(c, x) > amp
	})

var _ = terms.Derive(circuitKind, "largest_support_interval", terms.Quantity(quantity.Length), "largest distance between the supports of exposed conductors of its size", "NEC 690.31(C)", "",
	func(c *terms.Call, x *job.Circuit) float64 {
		terms.Drive(c, x.Supported)
		code, raceway := nec(c), terms.Get(c, x.Raceway)
		if c.Stop() {
			return 0
		}
		v, basis, err := code.SupportInterval(raceway, terms.Peek(c, x.Conductor))
		if err != nil && !terms.Stated(c, x.Conductor) {
			terms.Get(c, x.Conductor) // what is missing
			return 0
		}
		if err != nil {
			c.Err(err)
			return 0
		}
		c.Cite(basis.Refs...)
		return v
	})

var _ = terms.Derive(circuitKind, "raceway_support_interval", terms.Quantity(quantity.Length), "largest distance between the supports of its raceway", "NEC 342.30 to 376.30", "",
	func(c *terms.Call, x *job.Circuit) float64 {
		terms.Drive(c, x.Supported)
		code, raceway, size := nec(c), terms.Get(c, x.Raceway), ""
		if strings.HasPrefix(raceway, "PVC") {
			size = terms.Get(c, x.TradeSize)
		}
		if c.Stop() {
			return 0
		}
		v, basis, err := code.RacewaySupport(raceway, size)
		if err != nil {
			c.Err(err)
			return 0
		}
		c.Cite(basis.Refs...)
		return v
	})

var _ = terms.Derive(circuitKind, "least_burial_depth", terms.Quantity(quantity.Length), "least cover over it, by its wiring method and what lies above", "NEC Table 300.5", "",
	func(c *terms.Call, x *job.Circuit) float64 {
		terms.Drive(c, x.BurialDepth)
		code, raceway, cover, dwelling := nec(c), terms.Get(c, x.Raceway), terms.Get(c, x.Cover), false
		if cover == "driveway" {
			dwelling = terms.Get(c, c.Job().Building.Dwelling)
		}
		if c.Stop() {
			return 0
		}
		v, basis, err := code.BurialDepth(raceway, cover, dwelling)
		if err != nil {
			c.Err(err)
			return 0
		}
		c.Cite(basis.Refs...)
		return v
	})

// spared reads whether the adopted edition spares something.
func spared(c *terms.Call, tableName, row string) bool { return named(c, tableName, row) == 1 }

var rapidShutdownApplies = terms.Derive(rapidShutdownKind, "applies", terms.YesNo, "whether the adopted edition asks for rapid shutdown where the arrays stand and their circuits run", "NEC 690.12", "",
	func(c *terms.Call, _ *job.RapidShutdown) bool {
		building := &c.Job().Building
		if !submittalOnBuilding.Of(c, c.Job()) && !groundControlled(c, false) {
			return false
		}
		exempt := arrays.DetachedAccessory.Of(c, building) && terms.Get(c, building.Enclosure) == "open"
		return !(exempt && spared(c, "690.12 scope", "open detached structures exempt"))
	})

var _ = terms.Derive(rapidShutdownKind, "at_entry", terms.YesNo, "whether rapid shutdown controls a circuit of an array on the ground that enters a building", "NEC 690.12(B)", "",
	func(c *terms.Call, _ *job.RapidShutdown) bool {
		return groundControlled(c, true) && rapidShutdownApplies.Of(c, &c.Job().RapidShutdown)
	})

// groundControlled is whether any circuit of an array on the ground has to be
// controlled, or any that enters a building.
func groundControlled(c *terms.Call, entering bool) bool {
	parts := groundExtents(c)
	if len(parts) == 0 {
		return false
	}
	reach := join(parts...)
	if reach.most == away {
		return false
	}
	if terms.Get(c, c.Job().Building.PVOnly) && spared(c, "690.12 scope", "equipment building exempt") {
		return false
	}
	inside := entering || spared(c, "690.12 scope", "outside exempt")
	controlled := func(k contact) bool { return k == within || !inside && k > away }
	if !entering && controlled(reach.most) && shutdownDesigned(c) {
		return true
	}
	return decide(c, reach, controlled)
}

// shutdownDesigned is whether the design names a method of rapid shutdown: it
// then counts on needing one, and is held to its limits even where the place of
// a circuit is not known.
func shutdownDesigned(c *terms.Call) bool {
	method := c.Job().RapidShutdown.Method
	return terms.Stated(c, method) && terms.Peek(c, method) != "none"
}

// groundExtents is what the photovoltaic circuits of arrays on the ground touch:
// their direct current, and the output of their microinverters.
func groundExtents(c *terms.Call) []extent {
	var parts []extent
	for _, x := range circuitKind.All(c) {
		if (isDC(c, x) || len(microsOf(c, x)) > 0) && whence(c, x).least < onRoof {
			parts = append(parts, circuitExtent.Of(c, x))
		}
	}
	for _, s := range stringKind.All(c) {
		if onRoofs(c, arraysNamed(c, s)).least < onRoof && len(carrying(c, s)) == 0 {
			parts = append(parts, stringExtent.Of(c, s))
		}
	}
	return parts
}

var _ = terms.Derive(submittalKind, "dc_on_building", terms.YesNo, "whether direct current of its strings runs on or in a building", "NEC 690.31(D)", "",
	func(c *terms.Call, j *job.Job) bool {
		if submittalOnBuilding.Of(c, j) {
			return true
		}
		var parts []extent
		for _, s := range stringKind.All(c) {
			parts = append(parts, stringExtent.Of(c, s))
		}
		return decide(c, join(parts...), func(k contact) bool { return k > away })
	})

var _ = terms.Derive(inverterKind, "arc_fault_spared", terms.YesNo, "whether the adopted edition spares all its strings from arc-fault protection: off buildings, with the leads of the modules and every circuit in metal or underground", "NEC 690.11 exception", "",
	func(c *terms.Call, i *job.Inverter) bool {
		if inverterIsMicro.Of(c, i) {
			return false
		}
		strings := stringsInto(c, i)
		for _, s := range strings {
			list := arraysOf(c, s)
			if len(list) == 0 {
				return false
			}
			for _, a := range list {
				if !terms.Get(c, a.LeadsEnclosed) {
					return false
				}
			}
		}
		for _, s := range strings {
			if !arcFaultSpared(c, s) {
				return false
			}
		}
		return len(strings) > 0
	})

func arcFaultSpared(c *terms.Call, s *job.String) bool {
	circuits := carrying(c, s)
	for _, x := range circuits {
		if !spared(c, "690.11 spared", terms.Get(c, x.Kind)) {
			return false
		}
		if terms.Get(c, x.Place) != "underground" && !inMetal(c, x, spared(c, "690.11 spared", "metal-clad cable")) {
			return false
		}
	}
	house := terms.Get(c, c.Job().Building.PVOnly) && arrays.DetachedAccessory.Of(c, &c.Job().Building)
	return len(circuits) > 0 && (house || decide(c, stringExtent.Of(c, s), func(k contact) bool { return k == away }))
}

var _ = terms.Derive(inverterKind, "strings_arc_fault_protected", terms.YesNo, "whether the combiner or the converters of each of its strings have listed arc-fault protection", "NEC 690.11", "",
	func(c *terms.Call, i *job.Inverter) bool {
		strings := stringsInto(c, i)
		for _, s := range strings {
			box := combinerWith(c, s)
			byBox := box != nil && terms.Get(c, box.ArcFault)
			t, ok := terms.Seek(c, converterTypeKind, s.Converter)
			if !byBox && !(ok && terms.Get(c, t.ArcFault)) {
				return false
			}
		}
		return len(strings) > 0
	})

// voltageRow names the limit of 690.7 for what a string touches.
func voltageRow(c *terms.Call, k contact) string {
	switch {
	case k == away:
		return "ground limit"
	case terms.Get(c, c.Job().Building.Dwelling):
		return "dwelling limit"
	case k == onWall:
		return "wall limit"
	}
	return "building limit"
}

// codeVoltageLimit is the limit of 690.7 for the most restrictive thing that
// the circuits of a string touch. Where that is not known, and the string is
// within the stricter limit that could hold, that one stands: it decides.
func codeVoltageLimit(c *terms.Call, s *job.String) float64 {
	terms.Drive(c, s.Array)
	e := stringExtent.Of(c, s)
	most := named(c, "690.7", voltageRow(c, e.most))
	if e.least == e.most || c.Stop() {
		return most
	}
	if v, known := stringMaximumVoltage.Try(c, s); known && quantity.AtMost(v, most) {
		return most
	}
	if least := named(c, "690.7", voltageRow(c, e.least)); !c.Stop() && least != most {
		c.Need(e.needs...)
	}
	return most
}

var _ = terms.Derive(stringKind, "on_wall", terms.YesNo, "whether its circuits touch a building at an outside wall and no further", "NEC 690.31(G)", "",
	func(c *terms.Call, s *job.String) bool {
		return decide(c, stringExtent.Of(c, s), func(k contact) bool { return k == onWall })
	})

// equipmentToGround is the voltage to ground of alternating-current equipment.
// A system whose grounding is not in the table counts with its voltage between
// lines.
func equipmentToGround(c *terms.Call, voltage job.Quantity, system job.Text) float64 {
	v, word := c.Q(voltage), terms.Get(c, system)
	if c.Stop() {
		return 0
	}
	t, err := c.Tables().Get("Practice", "common", "voltage-to-ground")
	if err != nil {
		c.Err(err)
		return 0
	}
	row := word + " " + number4(v)
	if to, ok := t.Quantity(row, "to ground"); ok {
		c.Cite(t.Ref(row))
		return to
	}
	return v
}

var _ = terms.Derive(panelKind, "depth_needed", terms.Quantity(quantity.Length), "least depth of the working space in front", "NEC 110.26(A)(1)", "working-space",
	func(c *terms.Call, p *job.Panel) float64 {
		terms.Drive(c, p.Depth)
		return depthNeeded(c, equipmentToGround(c, p.Voltage, p.System), p.Condition)
	})

var _ = terms.Derive(disconnectKind, "depth_needed", terms.Quantity(quantity.Length), "least depth of the working space in front", "NEC 110.26(A)(1)", "working-space",
	func(c *terms.Call, d *job.Disconnect) float64 {
		terms.Drive(c, d.Depth)
		voltage := disconnectHighestVoltage.Of(c, d)
		if s := c.Job().Service; !opensDC(c, d) && voltage == terms.Peek(c, s.Voltage).SI {
			voltage = equipmentToGround(c, s.Voltage, s.System)
		}
		return depthNeeded(c, voltage, d.Condition)
	})

// depthNeeded is the depth for a voltage to ground and what faces the space.
func depthNeeded(c *terms.Call, voltage float64, condition job.Count) float64 {
	n, code := terms.Get(c, condition), nec(c)
	if c.Stop() {
		return 0
	}
	w, err := code.WorkingSpace(voltage, n, 0, 0)
	if !took(c, w, w.Refs, err) {
		return 0
	}
	return w.Depth
}
