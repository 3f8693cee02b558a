package circuits_test

import (
	"maps"
	"reflect"
	"strings"
	"testing"

	"plumbrule/internal/job"
	"plumbrule/internal/terms"
	_ "plumbrule/internal/terms/all"
	"plumbrule/internal/terms/termstest"
)

// words are the choices of a field of the job's model.
func words(t *testing.T, of any, field string) []string {
	t.Helper()
	f, ok := reflect.TypeOf(of).FieldByName(field)
	if !ok || f.Tag.Get("choice") == "" {
		t.Fatalf("%T has no choice %s", of, field)
	}
	return strings.Split(f.Tag.Get("choice"), "|")
}

// onGround puts the arrays of the barn on the ground with their circuits away
// from buildings.
func onGround(more map[string]any) map[string]any {
	set := map[string]any{"plane.south.ground": true, "inverter.inverter 1.place": "ground"}
	for _, n := range []string{"1", "2", "3"} {
		set["circuit.string "+n+".place"] = "underground"
	}
	maps.Copy(set, more)
	return set
}

func barn(t *testing.T, set map[string]any, unset ...string) *terms.Model {
	t.Helper()
	return termstest.Model(t, "barn", job.Edits{Set: set, Unset: unset})
}

// TestEveryPlaceSaysWhatItIs holds each word for the place of a circuit to what
// it says of wet, open air and buildings, for arrays on a roof and on the ground.
func TestEveryPlaceSaysWhatItIs(t *testing.T) {
	want := map[string]struct{ wet, outdoors, enters, onBuilding bool }{
		"array":       {wet: true, outdoors: true},
		"roof":        {wet: true, outdoors: true, onBuilding: true},
		"outside":     {wet: true, outdoors: true}, // beside a building, or along it
		"inside":      {enters: true, onBuilding: true},
		"attic":       {enters: true, onBuilding: true},
		"underground": {wet: true},
	}
	const name = "string 1"
	for _, place := range words(t, job.Circuit{}, "Place") {
		w, ok := want[place]
		if !ok {
			t.Errorf("nothing is said of circuits with place %q", place)
			continue
		}
		roof := barn(t, map[string]any{"circuit.string 1.place": place})
		ground := barn(t, onGround(map[string]any{"circuit.string 1.place": place}))
		for _, m := range []*terms.Model{roof, ground} {
			for term, want := range map[string]bool{"is_wet": w.wet, "outdoors": w.outdoors, "enters_building": w.enters} {
				if got := termstest.Value[bool](t, m, "circuit", name, term); got != want {
					t.Errorf("place %q: %s is %v, want %v", place, term, got, want)
				}
			}
		}
		if !termstest.Value[bool](t, roof, "circuit", name, "touches_building") {
			t.Errorf("place %q, an array on a roof: the circuit touches no building", place)
		}
		v := ground.Term(termstest.Subject(t, ground, "circuit", name), "touches_building")
		if place == "outside" {
			if len(v.Needs) != 1 || !strings.HasSuffix(v.Needs[0].Key, "building") {
				t.Errorf("outside, an array on the ground: %v, needs %v; want the key building asked for", v.V, v.Needs)
			}
			continue
		}
		if got, ok := v.V.(bool); !ok || got != w.onBuilding {
			t.Errorf("place %q, an array on the ground: touches a building is %v, want %v", place, v.V, w.onBuilding)
		}
	}
}

// TestEveryPlaceOfEquipmentSaysWhatItIs does the same for the equipment at the
// end of a circuit that itself touches nothing.
func TestEveryPlaceOfEquipmentSaysWhatItIs(t *testing.T) {
	enters := map[string]bool{"inside": true, "garage": true, "attic": true, "bathroom": true, "roof": false, "outside": false, "ground": false}
	for _, place := range words(t, job.Inverter{}, "Place") {
		m := barn(t, onGround(map[string]any{"inverter.inverter 1.place": place}))
		if got := termstest.Value[bool](t, m, "circuit", "string 1", "enters_building"); got != enters[place] {
			t.Errorf("inverter %s: the circuit enters a building is %v", place, got)
		}
	}
	for kind, of := range map[string]any{"combiner": job.Combiner{}, "disconnect": job.Disconnect{}, "panel": job.Panel{}} {
		for _, place := range words(t, of, "Place") {
			table := map[string]any{"name": "end", "place": place}
			var m *terms.Model
			if kind == "disconnect" {
				m = barn(t, onGround(map[string]any{"circuit.string 1.to": "DC disconnect", "disconnect.DC disconnect.place": place}))
			} else {
				m = barn(t, onGround(map[string]any{"circuit.string 1.to": "end", kind: []any{table}}))
			}
			if got := termstest.Value[bool](t, m, "circuit", "string 1", "enters_building"); got != enters[place] {
				t.Errorf("%s %s: the circuit enters a building is %v", kind, place, got)
			}
		}
	}
}

// TestStatedContactIsNotLessThanImplied: what a job says of a circuit cannot
// take it out of a building in which its equipment stands.
func TestStatedContactIsNotLessThanImplied(t *testing.T) {
	for _, word := range words(t, job.Circuit{}, "Building") {
		m := barn(t, onGround(map[string]any{"inverter.inverter 1.place": "inside", "circuit.string 1.building": word}))
		if !termstest.Value[bool](t, m, "circuit", "string 1", "enters_building") {
			t.Errorf("building = %q with the inverter inside: the circuit does not enter", word)
		}
	}
}
