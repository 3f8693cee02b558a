package wording

import (
	"testing"

	"plumbrule/internal/job"
)

// Each kind of key says what it may hold and where it belongs.
func TestHoldsAndBelongs(t *testing.T) {
	j, err := job.Parse("job.toml", []byte(`[project]
name = "Shed"
[[plane]]
name = "the \"south\""
[[array]]
name = "A"
plane = "the \"south\""
[[array.lug]]
row = 1
[[circuit]]
name = "C1"
kind = "branch"
`), nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ key, holds, belongs string }{
		{"site.record_low", `a temperature, such as "-14 degF" (units: degF, degC, K)`, "a new [site] in job.toml"},
		{"site.exposure", "one of B, C, D", "a new [site] in job.toml"},
		{"site.sds", "a number, such as 1", "a new [site] in job.toml"},
		{"project.storage", "true or false", "[project], job.toml:1:1"},
		{"project.owner", "text", "[project], job.toml:1:1"},
		{"building.occupancy", `text, such as "R-3"`, "a new [building] in job.toml"},
		{`plane."the \"south\"".covering.kind`, "one of corrugated, trapezoidal, standing-seam, shingle, tile, membrane, metal-shingle", `a new [plane.covering] of "the \"south\"" after job.toml:3:1`},
		{"array.A.mounting", "the name of a mounting type, of which the job has none yet: add a [[mounting_type]]", `[[array]] "A", job.toml:5:1`},
		{"array.A.plane", "the name of a plane", `[[array]] "A", job.toml:5:1`},
		{"array.A.lug.1.column", "a count, such as 1", `[[array.lug]] number 1 of "A", job.toml:8:1`},
		{"circuit.C1.conductor", `a conductor size, such as "10 AWG"`, `[[circuit]] "C1", job.toml:10:1`},
		{"circuit.C1.shares", "a list of names, each the name of a circuit", `[[circuit]] "C1", job.toml:10:1`},
		{"circuit.C1.from", "the name of a string or inverter or combiner or disconnect or panel or transformer or circuit", `[[circuit]] "C1", job.toml:10:1`},
		{"obstruction", "a table of its own for each", "a new [[obstruction]] in job.toml"},
	} {
		s, ok := j.Slot(c.key)
		if !ok {
			t.Errorf("%s has no place", c.key)
			continue
		}
		if got := Holds(s); got != c.holds {
			t.Errorf("%s holds %q, expected %q", c.key, got, c.holds)
		}
		if got := Belongs(s); got != c.belongs {
			t.Errorf("%s belongs to %q, expected %q", c.key, got, c.belongs)
		}
	}
}
