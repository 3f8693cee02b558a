package bonds

import (
	"fmt"

	"plumbrule/internal/bonding"
	"plumbrule/internal/job"
)

// lugMark is one lug of an array.
type lugMark struct {
	array *job.Array
	lug   *job.Lug
}

func defineBonding() {
	newKind("bonding_group", "bonding_groups", "modules of an array that listed parts bond to one another").all = bondingGroups
	derive("bonding_group", "array", thing("array"), "the array it belongs to", "the job", "", func(c *Call, g *groupMark) any { return c.Subject("array", g.array) })
	derive("bonding_group", "module_count", count, "modules in the group", "graph of bonding parts", "", func(c *Call, g *groupMark) any { return g.group().Modules })
	derive("bonding_group", "lug_count", count, "equipment grounding lugs on its modules", "graph of bonding parts", "", func(c *Call, g *groupMark) any {
		if len(g.array.Lugs) > 0 {
			c.Drive(g.array.Lugs[0].Row.At)
		}
		return len(g.group().Lugs)
	})
	derive("array", "isolating_modules", count, "modules whose removal would cut others off from the equipment grounding conductor", "R. Tarjan, SIAM Journal on Computing 1(2), 1972 (articulation points)", "", func(c *Call, a *job.Array) any {
		b := c.m.bonding(a)
		c.out.Needs = append(c.out.Needs, b.needs...)
		if c.Stop() {
			return nil
		}
		if t, ok := c.m.Job.MountingOf(a); ok {
			c.Drive(t.BondsAcross.At)
		}
		return len(b.analysis.Removals)
	})
	derive("array", "modules_without_own_lug", count, "modules that do not carry a lug of their own", "the job", "", func(c *Call, a *job.Array) any {
		l := c.laidOut(a)
		own := map[[2]int]bool{}
		for i := range a.Lugs {
			own[[2]int{Get(c, a.Lugs[i].Row), Get(c, a.Lugs[i].Column)}] = true
		}
		if c.Stop() {
			return nil
		}
		n := 0
		for _, m := range l.array.Modules {
			if !own[[2]int{m.Cell.Row, m.Cell.Column}] {
				n++
			}
		}
		return n
	})

	newKind("lug", "lugs", "a lug that joins the equipment grounding conductor to an array").all = func(m *Model) []*Subject {
		var out []*Subject
		for i := range m.Job.Arrays {
			a := &m.Job.Arrays[i]
			for j := range a.Lugs {
				out = append(out, &Subject{Kind: kinds["lug"], Name: fmt.Sprintf("%s %d", a.Name.Value, j+1),
					Key: fmt.Sprintf("array.%s.lug.%d", a.Name.Value, j+1), At: a.Lugs[j].Row.At, data: &lugMark{a, &a.Lugs[j]}})
			}
		}
		return out
	}
	derive("lug", "array", thing("array"), "the array it stands on", "the job", "", func(c *Call, l *lugMark) any { return c.Subject("array", l.array) })
	derive("lug", "listed", flag, "whether it is listed for this module or rail", "the job", "", func(c *Call, l *lugMark) any {
		c.Drive(l.lug.Listed.At)
		return Get(c, l.lug.Listed)
	})
}

// bondingState is the bonding of one array as a graph.
type bondingState struct {
	analysis *bonding.Analysis
	needs    []Need
}

type groupMark struct {
	array *job.Array
	b     *bondingState
	i     int
}

func (g *groupMark) group() bonding.Group { return g.b.analysis.Groups[g.i] }

func (m *Model) bonding(a *job.Array) *bondingState {
	return shared(m, "bonding/"+a.Name.Value, func() *bondingState {
		c := &Call{m: m, subject: m.subjectOf("array", a)}
		b := &bondingState{analysis: c.bond(a)}
		b.needs = c.out.Needs
		return b
	})
}

// bond builds the graph of an array: modules, the rails or the neighbours that
// listed parts bond them to, and lugs. A mounting that is not listed as a
// bonding path bonds nothing, so that each module is a group of its own.
func (c *Call) bond(a *job.Array) *bonding.Analysis {
	l := c.laidOut(a)
	Get(c, a.Mounting)
	t, ok := c.m.Job.MountingOf(a)
	if !ok || c.Stop() {
		return nil
	}
	listed, across := Get(c, t.BondingListed), Get(c, t.BondsAcross)
	if c.Stop() {
		return nil
	}
	cells := make([]bonding.Cell, len(l.array.Modules))
	for i, m := range l.array.Modules {
		cells[i] = bonding.Cell{Row: m.Cell.Row, Column: m.Cell.Column, Name: m.Name()}
	}
	breaks := c.mount(a).BreakAfter
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
		row, column := Get(c, lug.Row), Get(c, lug.Column)
		if c.Stop() {
			return nil
		}
		m, ok := l.array.At(row, column)
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

func bondingGroups(m *Model) []*Subject {
	var out []*Subject
	k := kinds["bonding_group"]
	for i := range m.Job.Arrays {
		a := &m.Job.Arrays[i]
		b := m.bonding(a)
		key := "array." + a.Name.Value
		if len(b.needs) > 0 || b.analysis == nil {
			out = append(out, unknownSubject(k, a.Name.Value+" (all)", key, a.At, b.needs))
			continue
		}
		for j, g := range b.analysis.Groups {
			name := a.Name.Value
			if len(b.analysis.Groups) > 1 {
				name = fmt.Sprintf("%s group %d (%d modules)", a.Name.Value, j+1, g.Modules)
			}
			out = append(out, &Subject{Kind: k, Name: name, Key: key, At: a.At, data: &groupMark{a, b, j}})
		}
	}
	return out
}
