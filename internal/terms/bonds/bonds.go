// Package bonds is the vocabulary of bonding: groups of modules that listed parts
// bond to one another, and lugs. Package bonding computes it.
package bonds

import (
	"fmt"
	"strconv"
	"strings"

	"plumbrule/internal/bonding"
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/arrays"
)

// LugMark is one lug of an array.
type LugMark struct {
	Array *job.Array
	Lug   *job.Lug
}

// Group is the kind of bonding groups.
var Group = terms.NewKind("bonding_group", "bonding_groups", "modules of an array that listed parts bond to one another", func(c *terms.Call, k terms.KindOf[GroupMark]) []*terms.Subject {
	var out []*terms.Subject
	for _, a := range arrayKind.All(c) {
		key := job.KeyPath("array", &a.Entity)
		b, needs := Bonding.Try(c, a)
		if len(needs) > 0 || b == nil {
			out = append(out, k.Unknown(a.Name.Value+" (all)", key, a.At, needs))
			continue
		}
		for i, g := range b.Groups {
			name := a.Name.Value
			if len(b.Groups) > 1 {
				name = fmt.Sprintf("%s group %d (%d modules)", a.Name.Value, i+1, g.Modules)
			}
			out = append(out, k.Subject(name, job.Join(job.Join(key, "bonding_group"), strconv.Itoa(i+1)), a.At, &GroupMark{a, i}))
		}
	}
	return out
})

var _ = terms.Derive(Group, "array", terms.ThingOf(arrayKind), "the array it belongs to", "the job", "", func(c *terms.Call, g *GroupMark) *job.Array { return g.Array })

var _ = terms.Derive(Group, "module_count", terms.WholeNumber, "modules in the group", "graph of bonding parts", "", func(c *terms.Call, g *GroupMark) int { return g.Group(c).Modules })

var _ = terms.Derive(Group, "lug_count", terms.WholeNumber, "equipment grounding lugs on its modules", "graph of bonding parts", "", func(c *terms.Call, g *GroupMark) int {
	if len(g.Array.Lugs) > 0 {
		terms.Drive(c, g.Array.Lugs[0].Row)
	}
	return len(g.Group(c).Lugs)
})

var _ = terms.Derive(arrayKind, "isolating_modules", terms.WholeNumber, "modules whose removal would cut others off from the equipment grounding conductor", "R. Tarjan, SIAM Journal on Computing 1(2), 1972 (articulation points)", "", func(c *terms.Call, a *job.Array) int {
	b := Bonding.Of(c, a)
	if c.Stop() {
		return 0
	}
	if t, ok := terms.Seek(c, mountingTypeKind, a.Mounting); ok {
		terms.Drive(c, t.BondsAcross)
	}
	return len(b.Removals)
})

var _ = terms.Derive(arrayKind, "modules_without_own_lug", terms.WholeNumber, "modules that do not carry a lug of their own", "the job", "", func(c *terms.Call, a *job.Array) int {
	l := arrays.Modules.Of(c, a)
	own := map[[2]int]bool{}
	for i := range a.Lugs {
		own[[2]int{terms.Get(c, a.Lugs[i].Row), terms.Get(c, a.Lugs[i].Column)}] = true
	}
	if c.Stop() {
		return 0
	}
	n := 0
	for _, m := range l.Modules {
		if !own[[2]int{m.Cell.Row, m.Cell.Column}] {
			n++
		}
	}
	return n
})

// Lug is the kind of lugs.
var Lug = terms.NewKind("lug", "lugs", "a lug that joins the equipment grounding conductor to an array", func(c *terms.Call, k terms.KindOf[LugMark]) []*terms.Subject {
	var out []*terms.Subject
	for _, a := range arrayKind.All(c) {
		for i := range a.Lugs {
			key := job.Join(job.Join(job.KeyPath("array", &a.Entity), "lug"), strconv.Itoa(i+1))
			out = append(out, k.Subject(fmt.Sprintf("%s %d", a.Name.Value, i+1), key, a.Lugs[i].Row.At, &LugMark{a, &a.Lugs[i]}))
		}
	}
	return out
})

var _ = terms.Derive(Lug, "array", terms.ThingOf(arrayKind), "the array it stands on", "the job", "", func(c *terms.Call, l *LugMark) *job.Array { return l.Array })

var _ = terms.Derive(Lug, "listed", terms.YesNo, "whether it is listed for this module or rail", "the job", "", func(c *terms.Call, l *LugMark) bool {
	terms.Drive(c, l.Lug.Listed)
	return terms.Get(c, l.Lug.Listed)
})

// GroupMark is one bonding group of an array.
type GroupMark struct {
	Array *job.Array
	i     int
}

// Group is the group as the graph has it.
func (g *GroupMark) Group(c *terms.Call) bonding.Group { return Bonding.Of(c, g.Array).Groups[g.i] }

// Bonding is the bonding of one array as a graph.
var Bonding = terms.Analyse(arrayKind, "graph of bonding", bond)

// bondingListed is whether a mounting is listed as a bonding path as stated; one
// whose bonding listing names modules is.
var bondingListed = terms.Fill(mountingTypeKind, "bonding_listed", terms.YesNo, func(c *terms.Call, t *job.MountingType, stated bool, v bool) bool {
	if stated {
		return v
	}
	switch {
	case !terms.Stated(c, t.BondingModules):
		c.Missing(t.BondingListed.Key, t.BondingListed.At)
		return false
	case len(terms.Peek(c, t.BondingModules)) == 0:
		c.Fail("the bonding listing of %s names no module, and whether it is listed as a bonding path is not said", t.Name.Value)
		return false
	}
	c.Explain(func(quantity.System) []string {
		return []string{"the bonding listing of " + t.Name.Value + " names " + strings.Join(terms.Peek(c, t.BondingModules), ", ") + ": it is listed"}
	}, nil)
	return true
})

// bond builds the graph of an array: modules, the rails or the neighbours that
// listed parts bond them to, and lugs. A mounting that is not listed as a
// bonding path bonds nothing, so that each module is a group of its own.
func bond(c *terms.Call, a *job.Array) *bonding.Analysis {
	l := arrays.Modules.Of(c, a)
	terms.Get(c, a.Mounting)
	t, ok := terms.Seek(c, mountingTypeKind, a.Mounting)
	if !ok || c.Stop() {
		return nil
	}
	listed, across := bondingListed.Of(c, t), terms.Get(c, t.BondsAcross)
	if c.Stop() {
		return nil
	}
	cells := make([]bonding.Cell, len(l.Modules))
	for i, m := range l.Modules {
		cells[i] = bonding.Cell{Row: m.Cell.Row, Column: m.Cell.Column, Name: m.Name()}
	}
	breaks := arrays.Mount(c, a).BreakAfter
	var g bonding.Graph
	var numbers []int
	var err error
	switch {
	case !listed:
		for _, cell := range cells {
			numbers = append(numbers, g.Add(bonding.Part{Name: cell.Name}))
		}
	case across == "rails":
		numbers, _, err = g.AddRailed(cells, rails(cells, breaks))
	case across == "both":
		numbers, err = g.AddArray(cells, bonding.Both, breaks...)
	default:
		numbers, err = g.AddArray(cells, bonding.Rows, breaks...)
	}
	if err != nil {
		c.Err(err)
		return nil
	}
	for i := range a.Lugs {
		lug := &a.Lugs[i]
		row, column := terms.Get(c, lug.Row), terms.Get(c, lug.Column)
		if c.Stop() {
			return nil
		}
		m, ok := l.At(row, column)
		if !ok {
			c.Fail("lug %d of array %s sits on row %d, column %d, where there is no module", i+1, a.Name.Value, row, column)
			return nil
		}
		if err := g.AddLug(bonding.Lug{Name: fmt.Sprintf("lug %d", i+1), Part: numbers[m]}); err != nil {
			c.Err(err)
			return nil
		}
	}
	return g.Analyse()
}

// rails are the pairs of rails under each row, cut at thermal breaks.
func rails(cells []bonding.Cell, breaks []int) []bonding.RailPart {
	type piece struct{ row, part int }
	byPiece := map[piece][]int{}
	var order []piece
	for i, c := range cells {
		k := piece{row: c.Row}
		for _, b := range breaks {
			if c.Column > b {
				k.part++
			}
		}
		if byPiece[k] == nil {
			order = append(order, k)
		}
		byPiece[k] = append(byPiece[k], i)
	}
	var out []bonding.RailPart
	for _, k := range order {
		for _, side := range []string{"lower", "upper"} {
			out = append(out, bonding.RailPart{Name: fmt.Sprintf("row %d %s rail %d", k.row, side, k.part+1), Modules: byPiece[k]})
		}
	}
	return out
}
