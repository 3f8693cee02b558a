package bonding

import (
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"
)

// build makes a graph of n modules named A, B, C ... with bonds and lugs.
func build(t testing.TB, n int, bonds [][2]int, lugs ...int) *Graph {
	t.Helper()
	g := &Graph{}
	for i := range n {
		g.Add(Part{fmt.Sprintf("%c", 'A'+i%26), Module})
	}
	for _, b := range bonds {
		if err := g.Bond(b[0], b[1]); err != nil {
			t.Fatal(err)
		}
	}
	for _, l := range lugs {
		if err := g.AddLug(Lug{fmt.Sprintf("lug on %d", l), l}); err != nil {
			t.Fatal(err)
		}
	}
	return g
}

// The graph of the example "biconnected_components.cpp" of the Boost Graph
// Library documentation (2001), whose vertices A to I are 0 to 8, and of
// "biconnected components" in R. Sedgewick and K. Wayne, "Algorithms", 4th
// edition, 2011, section 4.1, for the definition. Worked by hand: A, B and G are
// the articulation points.
func TestArticulationOfPublishedGraph(t *testing.T) {
	g := build(t, 9, [][2]int{{0, 5}, {0, 1}, {0, 6}, {1, 2}, {1, 3}, {1, 4}, {2, 3}, {4, 5}, {6, 8}, {6, 7}, {7, 8}}, 0)
	a := g.Analyse()
	if want := []int{0, 1, 6}; !reflect.DeepEqual(a.Articulation, want) {
		t.Errorf("articulation points %v, want %v", a.Articulation, want)
	}
	// The lug is on A. Without A the rest (8) is cut off; without B, C and D;
	// without G, H and I.
	want := []Removal{{0, 8, 2, true}, {1, 2, 1, true}, {6, 2, 1, true}}
	if !reflect.DeepEqual(a.Removals, want) {
		t.Errorf("removals %v, want %v", a.Removals, want)
	}
	if got := a.Isolated(1); !reflect.DeepEqual(got, []int{2, 3}) {
		t.Errorf("without B %v lose their path, want C and D", got)
	}
}

// A triangle with a tail 0-1-2-0, 2-3-4 (documentation of the package rust-igraph,
// "biconnected_components", 0.0.1): 2 and 3 are the articulation points.
func TestArticulationOfTriangleWithTail(t *testing.T) {
	a := build(t, 5, [][2]int{{0, 1}, {1, 2}, {2, 0}, {2, 3}, {3, 4}}).Analyse()
	if want := []int{2, 3}; !reflect.DeepEqual(a.Articulation, want) {
		t.Errorf("articulation points %v, want %v", a.Articulation, want)
	}
}

// Worked by hand.
func TestRows(t *testing.T) {
	cells := gridCells(2, 4)
	for _, c := range []struct {
		name     string
		across   Across
		lugs     []int
		groups   int
		unlugged []int
		removals []Removal
	}{
		{"bonded along rows, one lug at the left end of each row", Rows, []int{0, 4}, 2, nil,
			[]Removal{{0, 3, 1, false}, {1, 2, 1, true}, {2, 1, 1, true}, {4, 3, 1, false}, {5, 2, 1, true}, {6, 1, 1, true}}},
		{"a lug at both ends: no module is missed", Rows, []int{0, 3, 4, 7}, 2, nil, nil},
		{"the upper row has no lug", Rows, []int{0, 3}, 2, []int{1}, []Removal{{5, 1, 1, true}, {6, 1, 1, true}}},
		{"bonded both ways: only the module with the lug", Both, []int{3}, 1, nil, []Removal{{3, 7, 1, false}}},
		{"bonded both ways with two lugs", Both, []int{0, 7}, 1, nil, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			g := &Graph{}
			numbers, err := g.AddArray(cells, c.across)
			if err != nil {
				t.Fatal(err)
			}
			for _, l := range c.lugs {
				if err := g.AddLug(Lug{"lug", numbers[l]}); err != nil {
					t.Fatal(err)
				}
			}
			a := g.Analyse()
			if len(a.Groups) != c.groups || !reflect.DeepEqual(a.Unlugged, c.unlugged) {
				t.Errorf("%d groups, %v without a lug; want %d, %v", len(a.Groups), a.Unlugged, c.groups, c.unlugged)
			}
			if !reflect.DeepEqual(a.Removals, c.removals) {
				t.Errorf("removals %v, want %v", a.Removals, c.removals)
			}
		})
	}
}

func TestThermalBreakPartsGroups(t *testing.T) {
	g := &Graph{}
	numbers, err := g.AddArray(gridCells(2, 6), Both, 3)
	if err != nil {
		t.Fatal(err)
	}
	if err := g.AddLug(Lug{"lug 1", numbers[0]}); err != nil {
		t.Fatal(err)
	}
	a := g.Analyse()
	if len(a.Groups) != 2 || !slices.Equal(a.Unlugged, []int{1}) || a.Groups[1].Modules != 6 {
		t.Fatalf("groups %+v, unlugged %v", a.Groups, a.Unlugged)
	}
	if a.GroupOf(numbers[5]) != 1 || a.GroupOf(numbers[6]) != 0 {
		t.Errorf("module r1c6 in group %d, r2c1 in group %d", a.GroupOf(numbers[5]), a.GroupOf(numbers[6]))
	}
	if err := g.Bond(numbers[2], numbers[3]); err != nil { // a jumper over the break
		t.Fatal(err)
	}
	if a := g.Analyse(); len(a.Groups) != 1 || len(a.Unlugged) != 0 {
		t.Errorf("with a jumper: %d groups, unlugged %v", len(a.Groups), a.Unlugged)
	}
}

// Worked by hand: a row of three on two rails. With the lug on a rail, each
// module has both rails, and the second rail is reached through any of them.
func TestRails(t *testing.T) {
	g := &Graph{}
	_, rails, err := g.AddRailed(gridCells(1, 3), []RailPart{{"lower rail", []int{0, 1, 2}}, {"upper rail", []int{0, 1, 2}}})
	if err != nil {
		t.Fatal(err)
	}
	if err := g.AddLug(Lug{"lug", rails[0]}); err != nil {
		t.Fatal(err)
	}
	a := g.Analyse()
	if len(a.Groups) != 1 || a.Groups[0].Modules != 3 || len(a.Groups[0].Lugs) != 1 || a.Removals != nil || a.Articulation != nil {
		t.Errorf("%+v", a)
	}
}

// Worked by hand: two modules joined end to end by their rails only through the
// middle one.
func TestRailsThroughOneModule(t *testing.T) {
	g := &Graph{}
	modules, rails, err := g.AddRailed(gridCells(1, 3), []RailPart{{"left rail", []int{0, 1}}, {"right rail", []int{1, 2}}})
	if err != nil {
		t.Fatal(err)
	}
	if err := g.AddLug(Lug{"lug", rails[0]}); err != nil {
		t.Fatal(err)
	}
	a := g.Analyse()
	if want := []Removal{{modules[1], 1, 1, true}}; !reflect.DeepEqual(a.Removals, want) {
		t.Errorf("removals %v, want %v", a.Removals, want)
	}
	if got, want := a.Isolated(modules[1]), []int{modules[2], rails[1]}; !reflect.DeepEqual(got, want) {
		t.Errorf("isolated %v, want %v", got, want)
	}
	if got := g.Part(a.Articulation[0]).Name; got != "r1c2" {
		t.Errorf("first articulation point is %s", got)
	}
}

func TestErrors(t *testing.T) {
	g := build(t, 2, nil)
	twice := []Cell{{1, 1, "a"}, {1, 1, "b"}}
	checks := map[string]error{
		"bond to itself":       g.Bond(1, 1),
		"bond to no part":      g.Bond(0, 2),
		"bond from no part":    g.Bond(-1, 0),
		"lug on no part":       g.AddLug(Lug{"lug", 2}),
		"place twice":          errOf(g.AddArray(twice, Rows)),
		"place twice on rails": errOf3(g.AddRailed(twice, nil)),
		"rail under no module": errOf3(g.AddRailed(gridCells(1, 1), []RailPart{{"rail", []int{1}}})),
		"rail under minus one": errOf3(g.AddRailed(gridCells(1, 1), []RailPart{{"rail", []int{-1}}})),
	}
	for name, err := range checks {
		if err == nil {
			t.Errorf("%s: no error", name)
		}
	}
	if g.Len() != 2 {
		t.Errorf("a refused array left %d parts", g.Len())
	}
	if a := (&Graph{}).Analyse(); len(a.Groups) != 0 || len(a.Removals) != 0 {
		t.Errorf("empty graph: %+v", a)
	}
}

func errOf[T any](_ T, err error) error          { return err }
func errOf3[T, U any](_ T, _ U, err error) error { return err }

// Random graphs against plain flooding with each part taken out in turn.
func TestAgainstRemovalOneByOne(t *testing.T) {
	random := rand.New(rand.NewPCG(4, 7))
	for trial := range 400 {
		n := 1 + random.IntN(14)
		var bonds [][2]int
		for range random.IntN(2 * n) {
			if a, b := random.IntN(n), random.IntN(n); a != b {
				bonds = append(bonds, [2]int{a, b})
			}
		}
		var lugs []int
		for range random.IntN(4) {
			lugs = append(lugs, random.IntN(n))
		}
		g := build(t, n, bonds, lugs...)
		a := g.Analyse()
		if got, want := len(a.Groups), len(flood(n, bonds, -1)); got != want {
			t.Fatalf("trial %d: %d groups, want %d", trial, got, want)
		}
		for v := range n {
			isolated, splits := removeByHand(n, bonds, lugs, v)
			if got := slices.Contains(a.Articulation, v); got != splits {
				t.Fatalf("trial %d, part %d: articulation %v, want %v\n%v", trial, v, got, splits, bonds)
			}
			if got := a.Isolated(v); len(got) != isolated {
				t.Fatalf("trial %d, part %d: isolates %v, want %d\n%v lugs %v", trial, v, got, isolated, bonds, lugs)
			}
			k := slices.IndexFunc(a.Removals, func(r Removal) bool { return r.Part == v })
			if (k >= 0) != (isolated > 0) || k >= 0 && a.Removals[k].Isolated != isolated {
				t.Fatalf("trial %d, part %d: removals %v, want %d isolated", trial, v, a.Removals, isolated)
			}
		}
	}
}

// flood gives the sets that hang together without one vertex.
func flood(n int, bonds [][2]int, without int) [][]int {
	mark := make([]int, n)
	for i := range mark {
		mark[i] = i
	}
	for range n {
		for _, b := range bonds {
			if b[0] != without && b[1] != without {
				m := min(mark[b[0]], mark[b[1]])
				mark[b[0]], mark[b[1]] = m, m
			}
		}
	}
	sets := make([][]int, n)
	for i, m := range mark {
		if i != without {
			sets[m] = append(sets[m], i)
		}
	}
	return slices.DeleteFunc(sets, func(s []int) bool { return len(s) == 0 })
}

func removeByHand(n int, bonds [][2]int, lugs []int, v int) (isolated int, splits bool) {
	var group []int
	for _, set := range flood(n, bonds, -1) {
		if slices.Contains(set, v) {
			group = set
		}
	}
	lugged := func(set []int) bool {
		return slices.ContainsFunc(lugs, func(l int) bool { return slices.Contains(set, l) })
	}
	pieces, total, kept := 0, 0, 0
	for _, set := range flood(n, bonds, v) {
		if !slices.Contains(group, set[0]) {
			continue
		}
		pieces++
		total += len(set)
		switch {
		case lugged(group) && lugged(set):
			kept += len(set)
		case !lugged(group):
			kept = max(kept, len(set))
		}
	}
	return total - kept, pieces > 1
}

func TestSameAnswerEveryTime(t *testing.T) {
	g := &Graph{}
	if _, err := g.AddArray(gridCells(20, 20), Rows); err != nil {
		t.Fatal(err)
	}
	first := g.Analyse()
	for range 3 {
		if again := g.Analyse(); !reflect.DeepEqual(again, first) {
			t.Fatal("the analysis differs from run to run")
		}
	}
}

func gridCells(rows, columns int) []Cell {
	cells := make([]Cell, 0, rows*columns)
	for r := 1; r <= rows; r++ {
		for c := 1; c <= columns; c++ {
			cells = append(cells, Cell{r, c, fmt.Sprintf("r%dc%d", r, c)})
		}
	}
	return cells
}

func BenchmarkAnalyse(b *testing.B) {
	for _, side := range []int{32, 100, 316} {
		cells := gridCells(side, side)
		b.Run(fmt.Sprintf("modules=%d", len(cells)), func(b *testing.B) {
			for b.Loop() {
				g := &Graph{}
				numbers, err := g.AddArray(cells, Rows)
				if err != nil {
					b.Fatal(err)
				}
				if err := g.AddLug(Lug{"lug", numbers[0]}); err != nil {
					b.Fatal(err)
				}
				if a := g.Analyse(); len(a.Groups) != side {
					b.Fatalf("%d groups", len(a.Groups))
				}
			}
		})
	}
}
