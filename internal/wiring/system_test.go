package wiring

import (
	"slices"
	"testing"
)

func ends(t *testing.T, tr *Trace, circuit string, want Node) {
	t.Helper()
	if got := tr.Next(Node{Circuit, circuit}); !slices.Contains(got, want) {
		t.Errorf("%s leads to %v, want %v; gaps %v", circuit, got, want, tr.Gaps(circuit))
	}
}

func begins(t *testing.T, tr *Trace, circuit string, want ...Node) {
	t.Helper()
	got := slices.Clone(tr.Before(Node{Circuit, circuit}))
	if len(got) != len(want) || slices.ContainsFunc(want, func(n Node) bool { return !slices.Contains(got, n) }) {
		t.Errorf("%s begins at %v, want %v; gaps %v", circuit, got, want, tr.Gaps(circuit))
	}
}

// Two inverters on a gathering panel, a transformer and a panel of the building
// above it, by hand.
func chained() System {
	return System{
		Inverters: []string{"I1", "I2"},
		Runs: []Run{
			{Name: "out 1", Rank: Output, Carries: []string{"I1"}, To: Node{Panel, "gather"}},
			{Name: "out 2", Rank: Output, Carries: []string{"I2"}, To: Node{Panel, "gather"}},
			{Name: "feed", Rank: Feeder, Carries: []string{"I1", "I2"}},
			{Name: "high", Rank: Feeder, Carries: []string{"I1", "I2"}},
		},
		Boards: []Board{
			{Node: Node{Panel, "gather"}, Supply: Node{Transformer, "T"}, Feeder: "feed"},
			{Node: Node{Transformer, "T"}, Supply: Node{Panel, "shop"}, Feeder: "high"},
			{Node: Node{Panel, "shop"}, Supply: TheService},
		},
		Point: Node{Panel, "shop"},
	}
}

func TestChain(t *testing.T) {
	tr := New(chained())
	want := []Node{{Inverter, "I2"}, {Circuit, "out 2"}, {Panel, "gather"}, {Circuit, "feed"}, {Transformer, "T"}, {Circuit, "high"}, {Panel, "shop"}, TheService}
	if got := tr.Path(want[0]); !slices.Equal(got, want) {
		t.Errorf("path %v, want %v", got, want)
	}
	if got := tr.Upstream(Node{Transformer, "T"}, Inverter); !slices.Equal(got, []string{"I1", "I2"}) {
		t.Errorf("inverters behind the transformer: %v", got)
	}
	if unsaid, missing := tr.Carried("high"); len(unsaid)+len(missing) > 0 {
		t.Errorf("carried: unsaid %v, missing %v", unsaid, missing)
	}
	less := chained()
	less.Runs[3].Carries = []string{"I1"}
	if unsaid, _ := New(less).Carried("high"); !slices.Equal(unsaid, []string{"I2"}) {
		t.Errorf("I2 leads to the circuit that does not list it: %v", unsaid)
	}
	open := chained()
	open.Boards[2].Supply = Node{}
	if tr := New(open); tr.Reaches(Node{Inverter, "I1"}, TheService) || !slices.Equal(tr.LooseEnds(Node{Inverter, "I1"}), []Node{{Panel, "shop"}}) {
		t.Errorf("loose ends %v", tr.LooseEnds(Node{Inverter, "I1"}))
	}
}

// A switch stands between a panel and its feeder.
func TestSwitchAheadOfFeeder(t *testing.T) {
	s := chained()
	s.Runs[2].From = Node{Disconnect, "switch"}
	tr := New(s)
	want := []Node{{Inverter, "I1"}, {Circuit, "out 1"}, {Panel, "gather"}, {Disconnect, "switch"}, {Circuit, "feed"}, {Transformer, "T"}, {Circuit, "high"}, {Panel, "shop"}, TheService}
	if got := tr.Path(want[0]); !slices.Equal(got, want) {
		t.Errorf("path %v, want %v", got, want)
	}
	s.Runs[0].To = Node{Disconnect, "switch"} // it is that of an inverter
	if tr := New(s); tr.Reaches(Node{Panel, "gather"}, TheService) {
		t.Error("a panel leads through a switch of something else")
	}
}

// A panel supplied from one that it supplies itself.
func TestCircle(t *testing.T) {
	s := chained()
	s.Boards[2].Supply = Node{Panel, "gather"}
	tr := New(s)
	if !tr.Circles(Node{Panel, "gather"}) || !tr.Circles(Node{Circuit, "high"}) || tr.Reaches(Node{Inverter, "I1"}, TheService) {
		t.Error("the circle is not seen")
	}
	if got := tr.Path(Node{Inverter, "I1"}); got[len(got)-1] != (Node{Panel, "shop"}) {
		t.Errorf("the path does not stop: %v", got)
	}
}

// Two feeders in line that carry the same: the ends tell which comes first, and
// without them it is said that two are possible.
func TestFeedersInLine(t *testing.T) {
	s := System{
		Inverters: []string{"I"},
		Runs: []Run{
			{Name: "out", Rank: Output, Carries: []string{"I"}},
			{Name: "to shop", Rank: Feeder, Carries: []string{"I"}},
			{Name: "to house", Rank: Feeder, Carries: []string{"I"}},
		},
		Point: TheService,
	}
	if tr := New(s); len(tr.Gaps("out")) == 0 || tr.Beside("to shop") != "to house" {
		t.Errorf("two like feeders pass: %v", tr.Gaps("out"))
	}
	s.Runs[1].To = Node{Circuit, "to house"}
	s.Runs[2].From = Node{Circuit, "to shop"}
	tr := New(s)
	ends(t, tr, "out", Node{Circuit, "to shop"})
	ends(t, tr, "to shop", Node{Circuit, "to house"})
	ends(t, tr, "to house", TheService)
	if tr.Beside("to shop") != "" {
		t.Error("feeders in line are taken for a pair")
	}
	// In line through a switch.
	s.Runs[1].To, s.Runs[2].From = Node{Disconnect, "switch"}, Node{Disconnect, "switch"}
	tr = New(s)
	ends(t, tr, "to shop", Node{Disconnect, "switch"})
	begins(t, tr, "to house", Node{Disconnect, "switch"})
	if !tr.Reaches(Node{Inverter, "I"}, TheService) {
		t.Error("the way stops at the switch")
	}
}

// Two boxes of two strings, both in a third of four, by hand.
func TestCombinersInARow(t *testing.T) {
	s := System{
		Boxes: []Box{
			{Name: "A", Strings: []string{"S1", "S2"}},
			{Name: "B", Strings: []string{"S3", "S4"}},
			{Name: "C", Strings: []string{"S1", "S2", "S3", "S4"}},
		},
		Inverters: []string{"I"},
		Runs: []Run{
			{Name: "a", Rank: Source, Carries: []string{"S1", "S2"}},
			{Name: "b", Rank: Source, Carries: []string{"S3", "S4"}},
			{Name: "c", Rank: Source, Carries: []string{"S1", "S2", "S3", "S4"}},
			{Name: "out", Rank: Output, Carries: []string{"I"}},
		},
		Point: TheService,
	}
	for _, name := range []string{"S1", "S2", "S3", "S4"} {
		s.Strings = append(s.Strings, StringOf{Name: name, Inverter: "I"})
		s.Runs = append(s.Runs, Run{Name: "to " + name, Rank: StringRun, Carries: []string{name}})
	}
	tr := New(s)
	ends(t, tr, "to S1", Node{Combiner, "A"})
	ends(t, tr, "to S4", Node{Combiner, "B"})
	begins(t, tr, "a", Node{Combiner, "A"})
	ends(t, tr, "a", Node{Combiner, "C"})
	ends(t, tr, "b", Node{Combiner, "C"})
	begins(t, tr, "c", Node{Combiner, "C"})
	ends(t, tr, "c", Node{Inverter, "I"})
	if got := tr.Upstream(Node{Combiner, "C"}, String); len(got) != 4 {
		t.Errorf("strings of C: %v", got)
	}
	s.Boxes[1].Strings = []string{"S2", "S3", "S4"}
	if tr := New(s); len(tr.Gaps("b")) == 0 {
		t.Error("a box that lists a string of another, without a circuit for it, passes")
	}
}

// Groups share branches: 8 and 8 and 4 on 10 and 10, by hand: the first branch
// takes the first group and 2 of the second, the other 6 and 4.
func TestSeatsOnBranches(t *testing.T) {
	groups := []Group{{"east", 8}, {"south", 8}, {"west", 4}}
	branches := []Seats{{"A", 10, []string{"east", "south"}}, {"B", 10, []string{"south", "west"}}}
	if got := Unseated(groups, branches); len(got) != 0 {
		t.Errorf("%v", got)
	}
	// The west group named on the first branch alone: 12 on 10 there.
	branches[0].Groups, branches[1].Groups = []string{"east", "west"}, []string{"south"}
	got := Unseated(groups, branches)
	if a := got["east"]; len(got) != 3 || a.Units != 12 || a.Seats != 10 {
		t.Errorf("12 units on 10 seats: %v", got)
	}
	if a := got["south"]; a.Units != 8 || a.Seats != 10 {
		t.Errorf("8 units on 10 seats: %v", got)
	}
	if got := Unseated([]Group{{"east", 8}}, nil); len(got) != 1 {
		t.Errorf("a group on no branch: %v", got)
	}
}
