package draft

import (
	"fmt"
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
			t.Set("like", job.Quote(numbered("inverter", 0)))
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
	for i, name := range strung {
		s.circuit(numbered("string", i), kind, numbered("string", 0), i).Set("strings", list([]string{job.Quote(name)}))
	}
	s.gather(names, func(i int) *Table {
		return s.circuit(names[i]+" output", "inverter-output", names[0]+" output", i).Set("inverters", list([]string{job.Quote(names[i])}))
	})
	for i, name := range names {
		t := s.put("disconnect", "").Set("name", job.Quote(name+" DC disconnect"))
		if i > 0 {
			t.Set("like", job.Quote(names[0]+" DC disconnect"))
		}
		t.Set("purpose", job.Quote("inverter")).Set("inverter", job.Quote(name))
	}
}

// micros wires groups of microinverters, one an array, to the service.
func (s *sketch) micros() {
	group := func(array string) string { return "micros " + array }
	for i, g := range s.grids {
		t := s.put("inverter", "").Set("name", job.Quote(group(g.name))).Set("type", job.Quote(s.a.of("inverter"))).
			Set("count", strconv.Itoa(g.rows*g.columns)).Set("array", job.Quote(g.name)).Set("place", job.Quote("roof"))
		if i > 0 {
			t.Set("like", job.Quote(group(s.grids[0].name)))
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
		return t.Set("inverters", list(carries)).Set("units", strconv.Itoa(groups[0][i]))
	})
}

// circuit begins a circuit. All but the first of its kind are like that one.
func (s *sketch) circuit(name, kind, first string, i int) *Table {
	t := s.put("circuit", "").Set("name", job.Quote(name)).Set("kind", job.Quote(kind))
	if i > 0 {
		return t.Set("like", job.Quote(first))
	}
	for _, q := range Questions() {
		if table, key := splitKey(q.key); table == "circuit" && s.a.of(q.Name) != "" {
			t.Set(key, q.toml(s.a.of(q.Name)))
		}
	}
	return t
}

// gather leads AC circuits to the service: one by itself, several over a panel
// that gathers them and a feeder from it. Each has its overcurrent device.
func (s *sketch) gather(names []string, make func(i int) *Table) {
	var inverters []string
	for i := range names {
		t := make(i)
		for _, e := range t.Entries {
			if e.Key == "inverters" {
				inverters = append(inverters, strings.Split(strings.Trim(e.Value, "[]"), ", ")...)
			}
		}
		s.alternating(t, i)
		if len(names) > 1 {
			t.Set("to", job.Quote(gathering))
		} else {
			s.end(t)
		}
		s.output = t.Name()
	}
	if len(names) > 1 {
		t := s.circuit(gathering+" to service", "feeder", "", 0)
		s.output = t.Name()
		if s.a.of("interconnection") == "supply-side" {
			t.Entries[1].Value = job.Quote("supply-side")
		}
		t.Set("inverters", list(unique(inverters)))
		s.alternating(t, 0)
		s.end(t)
		s.put("panel", "").Set("name", job.Quote(gathering)).Set("supply", job.Quote("service")).
			Set("feeder", s.output).Set("loads", "false")
	}
	for i, alike := range s.devices {
		t := s.put("overcurrent", "").Set("name", job.Quote(numbered("B", i)))
		if alike {
			t.Set("like", job.Quote(numbered("B", 0)))
			continue
		}
		t.Set("dc", "false").Set("backfed", "true")
	}
	s.put("disconnect", "").Set("name", job.Quote("PV disconnect")).Set("purpose", job.Quote("pv-system")).Set("circuit", s.output)
}

// alternating gives an AC circuit its device, and the voltage and system of the service.
func (s *sketch) alternating(t *Table, i int) {
	t.Set("overcurrent", job.Quote(numbered("B", len(s.devices))))
	s.devices = append(s.devices, i > 0)
	if i > 0 {
		return
	}
	for _, key := range []string{"voltage", "system"} {
		if answer := s.a.of("service-" + key); answer != "" {
			t.Set(key, job.Quote(answer))
		}
	}
}

// end leads the last circuit to the service.
func (s *sketch) end(t *Table) { t.Set("to", job.Quote("service")) }

// service is where the system meets the building.
func (s *sketch) service() {
	s.answered(s.put("service", "The electrical service, as its label says."))
	s.answered(s.put("interconnection", "").Set("overcurrent", job.Quote(numbered("B", len(s.devices)-1))))
	s.answered(s.put("rapid_shutdown", ""))
	s.answered(s.put("grounding", ""))
}

// papers are what the submittal has to hold.
func (s *sketch) papers() {
	t := s.put("one_line", "What the one-line diagram states.").Set("modules", strconv.Itoa(s.modules()))
	if s.a.of("scheme") == ofMicros {
		t.Set("inverters", strconv.Itoa(s.modules()))
		return
	}
	groups, _ := countsOf(s.a.of("strings"))
	strung := 0
	for _, group := range groups {
		strung += len(group)
	}
	t.Set("strings", strconv.Itoa(strung)).Set("inverters", strconv.Itoa(len(groups)))
}

func numbered(name string, i int) string {
	if name == "B" {
		return fmt.Sprintf("B%d", i+1)
	}
	return fmt.Sprintf("%s %d", name, i+1)
}

func list(members []string) string { return "[" + strings.Join(members, ", ") + "]" }

func unique(names []string) (out []string) {
	seen := map[string]bool{}
	for _, n := range names {
		if !seen[n] {
			seen[n] = true
			out = append(out, n)
		}
	}
	return out
}
