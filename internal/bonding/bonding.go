// Package bonding is the bonding of an array as a graph. Conductive parts
// (modules and rails) are its vertices, bonding parts that are listed for the
// pair are its edges, and lugs tie a part to the equipment grounding conductor.
//
// It answers which parts form connected groups, which group has no lug, and
// which single part, taken out for service, would leave others without a path to
// the equipment grounding conductor. The removal of a part takes its bonding
// parts and its lugs away with it.
//
// Order is that of the parts as they were added; the same graph gives the same
// answer, in time proportional to parts and bonds.
package bonding

import (
	"fmt"
	"slices"
)

// Kind says what a part is.
type Kind uint8

const (
	Module Kind = iota
	Rail
)

// Part is one conductive part.
type Part struct {
	Name string
	Kind Kind
}

// Lug is a lug that ties a part to the equipment grounding conductor.
type Lug struct {
	Name string
	Part int
}

// Graph is the parts, bonds and lugs of one or more arrays. Its zero value is
// empty and ready.
type Graph struct {
	parts []Part
	bonds [][2]int
	lugs  []Lug
}

// Add adds a part and gives its number.
func (g *Graph) Add(p Part) int {
	g.parts = append(g.parts, p)
	return len(g.parts) - 1
}

// Part gives the part with a number that Add gave.
func (g *Graph) Part(i int) Part { return g.parts[i] }

// Len is the number of parts.
func (g *Graph) Len() int { return len(g.parts) }

// Bond joins two parts by a bonding part. A bond of a part with itself, or with
// a part that was not added, is an error.
func (g *Graph) Bond(a, b int) error {
	if !g.has(a) || !g.has(b) {
		return fmt.Errorf("bond of parts %d and %d: there are %d parts", a, b, len(g.parts))
	}
	if a == b {
		return fmt.Errorf("%s is bonded to itself", g.parts[a].Name)
	}
	g.bonds = append(g.bonds, [2]int{a, b})
	return nil
}

// AddLug puts a lug on a part. A part that was not added is an error.
func (g *Graph) AddLug(l Lug) error {
	if !g.has(l.Part) {
		return fmt.Errorf("lug %s is on part %d: there are %d parts", l.Name, l.Part, len(g.parts))
	}
	g.lugs = append(g.lugs, l)
	return nil
}

func (g *Graph) has(part int) bool { return part >= 0 && part < len(g.parts) }

// Group is a set of parts that are bonded to one another.
type Group struct {
	Parts   []int // in the order they were added
	Modules int
	Lugs    []Lug
}

// Removal is a module whose removal leaves others without a path.
type Removal struct {
	Part int
	// Isolated is the number of other modules that lose their path to the
	// equipment grounding conductor. In a group without a lug, which has no path to
	// lose, it is the number of modules cut from the piece with the most modules.
	Isolated int
	// Pieces is the number of pieces that fall away, rails without a module
	// included.
	Pieces int
	// Splits tells that the group falls into pieces without the module, lugs left
	// aside. Where it is false, others lose their path only because the module
	// carries their only lug.
	Splits bool
}

// Analysis is the answer for one graph.
type Analysis struct {
	Groups   []Group // in the order of their first parts
	Unlugged []int   // indices of groups without a lug
	// Removals are the modules whose removal leaves other modules without a path,
	// in the order they were added. Rails are not taken out for service and are not
	// among them.
	Removals []Removal
	// Articulation are the parts, rails included, without which their group falls
	// into pieces, lugs left aside; in the order they were added.
	Articulation []int

	group      []int // of each part
	toGround   search
	groupsOnly search
}

// Analyse finds groups, lugs and removals.
//
// Source: R. Tarjan, "Depth-first search and linear graph algorithms", SIAM
// Journal on Computing 1(2), 1972. The equipment grounding conductor is a vertex
// of its own, bonded to every part with a lug, and the search starts from it: a
// part then isolates just those branches below it that reach no higher.
func (g *Graph) Analyse() *Analysis {
	a := &Analysis{
		groupsOnly: g.explore(g.bonds, len(g.parts), -1),
		group:      make([]int, len(g.parts)),
	}
	ground := len(g.parts)
	bonds := slices.Clone(g.bonds)
	for _, l := range g.lugs {
		bonds = append(bonds, [2]int{l.Part, ground})
	}
	a.toGround = g.explore(bonds, ground+1, ground)
	a.gather(g)
	for i, p := range g.parts {
		splits := len(a.groupsOnly.pieces(i)) > 1
		if splits {
			a.Articulation = append(a.Articulation, i)
		}
		if p.Kind != Module {
			continue
		}
		fallen := a.fallen(i)
		r := Removal{Part: i, Pieces: len(fallen), Splits: splits}
		for _, f := range fallen {
			r.Isolated += f.modules
		}
		if r.Isolated > 0 {
			a.Removals = append(a.Removals, r)
		}
	}
	return a
}

// gather fills the groups. A search over bonds alone starts once in each group,
// at its first part, so its roots number the groups in order.
func (a *Analysis) gather(g *Graph) {
	for i, p := range g.parts {
		root := a.groupsOnly.root[i]
		if root == i {
			a.group[i] = len(a.Groups)
			a.Groups = append(a.Groups, Group{})
		}
		a.group[i] = a.group[root]
		group := &a.Groups[a.group[i]]
		group.Parts = append(group.Parts, i)
		if p.Kind == Module {
			group.Modules++
		}
	}
	for _, l := range g.lugs {
		group := &a.Groups[a.group[l.Part]]
		group.Lugs = append(group.Lugs, l)
	}
	for i, group := range a.Groups {
		if len(group.Lugs) == 0 {
			a.Unlugged = append(a.Unlugged, i)
		}
	}
}

// GroupOf gives the index of the group of a part.
func (a *Analysis) GroupOf(part int) int { return a.group[part] }

// Isolated gives the parts that fall away when a part is removed, in the order
// they were added. It is computed on demand because the lists of a long chain
// together grow with the square of its length.
func (a *Analysis) Isolated(part int) []int {
	var parts []int
	for _, p := range a.fallen(part) {
		for _, span := range p.spans {
			parts = append(parts, a.toGround.order[span[0]:span[1]]...)
		}
	}
	slices.Sort(parts)
	return parts
}

// fallen gives the pieces that lose their path when a part is removed: all but
// the one with the ground, or with the most modules where the group has none.
func (a *Analysis) fallen(part int) []piece {
	pieces := a.toGround.pieces(part)
	if len(pieces) == 0 {
		return nil
	}
	keep := 0
	if grounded := a.toGround.root[part] == len(a.group); !grounded {
		for k, p := range pieces {
			if p.modules > pieces[keep].modules {
				keep = k
			}
		}
	}
	return slices.Delete(pieces, keep, keep+1)
}
