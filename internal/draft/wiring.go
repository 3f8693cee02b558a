package draft

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"plumbrule/internal/job"
)

// gathering is the panel that several circuits come together in.
const gathering = "combiner panel"

// inverters wires strings to inverters, and these to the service.
func (s *sketch) inverters() {
	groups, _ := countsOf(s.a.of("strings"))
	kind, types := "string", s.a.of("inverter")
	if s.a.of("scheme") == ofConverters {
		kind = "converter-output"
	}
	var names []string
	for i := range groups {
		t := s.put("inverter", "").Set("name", job.Quote(numbered("inverter", i))).Set("type", job.Quote(types))
		if i == 0 {
			s.answered(t)
		} else {
			t.Like(numbered("inverter", 0))
		}
		names = append(names, numbered("inverter", i))
	}
	var strung []string
	for i, group := range groups {
		for input, modules := range group {
			name := fmt.Sprintf("S%d", len(strung)+1)
			strung = append(strung, name)
			t := s.put("string", "").Set("name", job.Quote(name))
			taken := s.take(modules)
			t.Set("array", job.Quote(taken[0].name))
			var others []string
			for _, other := range taken[1:] {
				others = append(others, job.Quote(fmt.Sprintf("%d x %s", other.left, other.name)))
			}
			if len(others) > 0 {
				t.Set("other_arrays", list(others))
			}
			t.Set("modules", strconv.Itoa(modules)).Set("inverter", job.Quote(names[i])).Set("input", strconv.Itoa(input+1))
			if s.a.of("scheme") == ofConverters {
				t.Set("converter", job.Quote(s.a.of("converter")))
				s.answered(t)
			}
		}
	}
	var runs []string
	for i := range strung {
		runs = append(runs, numbered("string", i))
	}
	for i, name := range strung {
		s.share(s.circuit(runs[i], kind, runs[0], i).Set("strings", list([]string{job.Quote(name)})), runs)
	}
	s.gather(names, func(i int) *Table {
		t := s.circuit(names[i]+" output", "inverter-output", names[0]+" output", i).Set("inverters", list([]string{job.Quote(names[i])}))
		s.alone(t)
		return t
	})
	for i, name := range names {
		t := s.put("disconnect", "").Set("name", job.Quote(name+" DC disconnect"))
		if i > 0 {
			t.Like(names[0] + " DC disconnect")
		}
		t.Set("purpose", job.Quote("inverter")).Set("inverter", job.Quote(name))
		if i == 0 {
			s.answered(t)
		}
	}
}

// each is how many modules a microinverter takes.
func (s *sketch) each() int {
	for i := range s.known.InverterTypes {
		if t := &s.known.InverterTypes[i]; t.Name.Value == s.a.of("inverter") && t.ModulesEach.Known {
			return t.ModulesEach.Value
		}
	}
	n, _ := strconv.Atoi(s.a.of("modules-each-inverter")) // what is wrong with it is said before
	return n
}

// micros wires groups of microinverters, one an array, to the service.
func (s *sketch) micros() {
	group := func(array string) string { return "micros " + array }
	for i, g := range s.grids {
		t := s.put("inverter", "").Set("name", job.Quote(group(g.name))).Set("type", job.Quote(s.a.of("inverter"))).
			Set("count", strconv.Itoa(g.rows*g.columns/s.each())).Set("array", job.Quote(g.name)).Set("place", job.Quote("roof"))
		if i > 0 {
			t.Like(group(s.grids[0].name))
		}
	}
	groups, _ := countsOf(s.a.of("branches"))
	var names []string
	for i := range groups[0] {
		names = append(names, numbered("branch", i))
	}
	s.gather(names, func(i int) *Table {
		t := s.circuit(names[i], "branch", names[0], i)
		var carries []string
		for _, g := range s.take(groups[0][i]) {
			carries = append(carries, job.Quote(group(g.name)))
		}
		t.Set("inverters", list(carries)).Set("units", strconv.Itoa(groups[0][i]))
		s.share(t, names)
		return t
	})
}

// circuit begins a circuit. All but the first of its kind are like that one.
func (s *sketch) circuit(name, kind, first string, i int) *Table {
	t := s.put("circuit", "").Set("name", job.Quote(name)).Set("kind", job.Quote(kind))
	if i > 0 {
		return t.Like(first, "length")
	}
	side := "ac"
	if kind == "string" || kind == "converter-output" {
		side = "dc"
	}
	return s.answeredFor(t, side)
}

// share says which of like circuits run in one raceway.
func (s *sketch) share(t *Table, names []string) {
	switch s.a.of("shared-raceways") {
	case "true":
		var others []string
		for _, n := range names {
			if job.Quote(n) != t.Name() {
				others = append(others, job.Quote(n))
			}
		}
		t.Set("shares", list(others))
	case "false":
		t.Set("shares", "[]")
	}
}

// alone says that a circuit has its raceway to itself, where raceways were spoken of.
func (s *sketch) alone(t *Table) {
	if s.a.of("shared-raceways") != "" {
		t.Set("shares", "[]")
	}
}

// gather leads AC circuits to the service: one by itself, several over a panel
// that gathers them and a feeder from it. Each has its overcurrent device.
// Ahead of the main, the last of them ends at the PV disconnect, from which a
// supply-side circuit goes on.
func (s *sketch) gather(names []string, make func(i int) *Table) {
	var inverters []string
	var last *Table
	for i := range names {
		last = make(i)
		for _, e := range last.Entries {
			if e.Key == "inverters" {
				inverters = append(inverters, strings.Split(strings.Trim(e.Value, "[]"), ", ")...)
			}
		}
		s.protect(last, i > 0)
		if len(names) > 1 {
			last.Set("to", job.Quote(gathering))
		}
	}
	slices.Sort(inverters)
	inverters = slices.Compact(inverters)
	if len(names) > 1 {
		last = s.circuit("feeder", "feeder", "", 0).Set("inverters", list(inverters))
		s.protect(last, false)
		s.alone(last)
		s.put("panel", "").Set("name", job.Quote(gathering)).Set("supply", job.Quote("service")).
			Set("feeder", last.Name()).Set("loads", "false")
	}
	s.output = last.Name()
	if s.a.of("interconnection") == supplySide {
		last.Set("to", job.Quote(mainSwitch))
		t := s.circuit("supply side", supplySide, "", 0).Set("inverters", list(inverters)).Set("overcurrent", job.Quote(device(len(s.devices)-1)))
		s.alone(t)
		last = t
	}
	last.Set("to", job.Quote("service"))
	for i, alike := range s.devices {
		t := s.put("overcurrent", "").Set("name", job.Quote(device(i)))
		if alike {
			t.Like(device(0))
			continue
		}
		t.Set("dc", "false")
	}
	s.answered(s.put("disconnect", "").Set("name", job.Quote(mainSwitch)).Set("purpose", job.Quote("pv-system")).Set("circuit", s.output))
}

// mainSwitch is the disconnect of the system.
const mainSwitch = "PV disconnect"

// protect gives an AC circuit a device of its own.
func (s *sketch) protect(t *Table, alike bool) {
	t.Set("overcurrent", job.Quote(device(len(s.devices))))
	s.devices = append(s.devices, alike)
}

// device is the name of an overcurrent device.
func device(i int) string { return fmt.Sprintf("B%d", i+1) }

// service is where the system meets the building.
func (s *sketch) service() {
	s.answered(s.put("service", "The electrical service, as its label says."))
	s.answered(s.put("interconnection", "").Set("overcurrent", job.Quote(device(len(s.devices)-1))))
	r := s.answered(s.put("rapid_shutdown", ""))
	if s.a.of("initiator") == "pv-disconnect" { // of which there is one, said with the disconnects
		r.Set("initiators", "1").Set("readily_accessible", s.a.of("disconnect-accessible"))
		if place := s.a.of("disconnect-place"); place == "outside" || place == "inside" {
			r.Set("initiator_place", job.Quote(place))
		}
	}
	s.answered(s.put("grounding", ""))
}

// papers are what the submittal has to hold: the standard sets of labels and
// papers that go by the answers, and what the one-line diagram counts.
func (s *sketch) papers() {
	var sets []string
	labels := func(of string, when bool) {
		if name := "labels NEC " + s.a.of("nec") + " " + of; when && isSet(name) {
			sets = append(sets, job.Quote(name))
		}
	}
	papers := func(of string, when bool) {
		if when {
			sets = append(sets, job.Quote("papers "+of))
		}
	}
	labels(map[string]string{ofStrings: "strings", ofConverters: "converters", ofMicros: "microinverters"}[s.a.of("scheme")], true)
	labels("load side", s.a.of("interconnection") != supplySide)
	labels("opposite end", s.a.of("busbar-position") == "opposite-end")
	labels("breaker sum", s.a.of("busbar-option") == "breaker-sum")
	labels("fault current", s.a.of("interconnection") == supplySide && s.a.of("building") != dwelling)
	papers("one-family dwelling", s.a.of("building") == dwelling)
	papers("commercial", s.a.of("building") != dwelling)
	papers("of equipment", true)
	papers("existing service", s.a.of("photo-of-label") == "true" && s.a.of("load-calculation") == "true")
	papers("utility approval", s.a.of("utility-approval") == "true")
	papers("resubmittal", s.a.of("resubmittal") == "true")
	s.d.Top = append(s.d.Top, Entry{Key: "standard", Value: "[\n  " + strings.Join(sets, ",\n  ") + ",\n]"})

	if s.a.of("mounting-kind") == "ballast" {
		s.put("document", "").Set("name", job.Quote("ballast calculation")).Set("kind", job.Quote("structural-calculation"))
		s.put("engineered", "What the calculation of the ballast was made for, and its results.").
			Set("name", job.Quote("ballast")).Set("document", job.Quote("ballast calculation")).Set("covers", list([]string{job.Quote("ballast")}))
	}
	t := s.put("one_line", "What the one-line diagram states.").Set("modules", strconv.Itoa(s.modules()))
	for _, key := range []string{"main", "busbar"} {
		if answer := s.a.of("service-" + key); answer != "" {
			t.Set(key, job.Quote(answer))
		}
	}
	if s.a.of("scheme") == ofMicros {
		t.Set("inverters", strconv.Itoa(s.modules()/s.each()))
		return
	}
	groups, _ := countsOf(s.a.of("strings"))
	t.Set("strings", strconv.Itoa(len(slices.Concat(groups...)))).Set("inverters", strconv.Itoa(len(groups)))
}

// isSet reports whether there is a standard set of a name.
func isSet(name string) bool {
	return slices.ContainsFunc(job.StandardSets(), func(s job.StandardSet) bool { return s.Name == name })
}

func numbered(name string, i int) string { return fmt.Sprintf("%s %d", name, i+1) }

func list(members []string) string { return "[" + strings.Join(members, ", ") + "]" }
