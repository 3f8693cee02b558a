package wiring

import (
	"slices"
	"testing"
)

// A house of two strings, by hand: each string's circuit goes to the inverter,
// whose output goes on along the supply-side circuit to the service.
func TestTrace(t *testing.T) {
	house := func() System {
		return System{
			Strings:   []StringOf{{Name: "S1", Inverter: "I"}, {Name: "S2", Inverter: "I"}},
			Inverters: []string{"I"},
			Runs: []Run{
				{Name: "c1", Rank: StringRun, Carries: []string{"S1"}},
				{Name: "c2", Rank: StringRun, Carries: []string{"S2"}},
				{Name: "out", Rank: Output, Carries: []string{"I"}},
				{Name: "supply", Rank: SupplySide, Carries: []string{"I"}},
			},
			Point: TheService,
		}
	}
	whole := New(house())
	want := []Node{{String, "S1"}, {Circuit, "c1"}, {Inverter, "I"}, {Circuit, "out"}, {Circuit, "supply"}, TheService}
	if got := whole.Path(want[0]); !slices.Equal(got, want) {
		t.Errorf("path %v, want %v", got, want)
	}
	less := house()
	less.Runs = less.Runs[1:]
	if got := New(less).FirstRuns(Node{String, "S1"}); len(got) != 0 {
		t.Errorf("S1 has circuits %v without its own", got)
	}
	twice := house()
	twice.Runs = append(twice.Runs, Run{Name: "supply again", Rank: SupplySide, Carries: []string{"I"}})
	if got := New(twice); len(got.Gaps("out")) == 0 || got.Beside("supply") != "supply again" {
		t.Errorf("two supply-side circuits pass: %v", got.Gaps("out"))
	}
	back := house()
	back.Runs[3].To = Node{Inverter, "I"}
	if got := New(back); got.Reaches(Node{String, "S1"}, TheService) || !got.Circles(Node{Inverter, "I"}) {
		t.Error("a circuit that leads back is not seen")
	}
}

// Units and seats: 16 and 6 units on branches of 11, the first of one group only.
func TestUnseated(t *testing.T) {
	groups := []Group{{"south", 16}, {"north", 6}}
	branches := []Seats{{"A", 11, []string{"south"}}, {"B", 11, []string{"south", "north"}}}
	if got := Unseated(groups, branches); len(got) != 0 {
		t.Errorf("%v", got)
	}
	branches[1].Units = 10
	if got := Unseated(groups, branches); len(got) != 2 {
		t.Errorf("21 seats for 22 units: %v", got)
	}
}
