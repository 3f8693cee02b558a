package bonding

import (
	"fmt"
	"slices"
)

// Cell is one module of an array by its place in the grid.
type Cell struct {
	Row, Column int
	Name        string
}

// Across says which neighbours the listed bonding parts of a mounting join.
type Across uint8

const (
	Rows Across = iota // neighbours in a row
	Both               // neighbours in a row and in a column
)

// RailPart is a rail and the modules that listed clamps bond to it, by their
// place in the list of cells.
type RailPart struct {
	Name    string
	Modules []int
}

// AddArray adds the modules of an array and bonds neighbours. Neighbours in a
// row on the two sides of a thermal break (after a column) are not bonded: a
// jumper there is a Bond of its own. It gives the number of each module, in the
// order of cells. A place that is given twice is an error.
func (g *Graph) AddArray(cells []Cell, across Across, breakAfter ...int) ([]int, error) {
	numbers, at, err := g.addCells(cells)
	if err != nil {
		return nil, err
	}
	for i, c := range cells {
		if right, ok := at[[2]int{c.Row, c.Column + 1}]; ok && !slices.Contains(breakAfter, c.Column) {
			g.bonds = append(g.bonds, [2]int{numbers[i], right})
		}
		if above, ok := at[[2]int{c.Row + 1, c.Column}]; ok && across == Both {
			g.bonds = append(g.bonds, [2]int{numbers[i], above})
		}
	}
	return numbers, nil
}

// AddRailed adds the modules of an array on rails, where a module is bonded to
// its rails only. It gives the numbers of the modules and of the rails, in the
// order they were given. A place given twice, or a rail under a module that is
// not there, is an error.
func (g *Graph) AddRailed(cells []Cell, rails []RailPart) (modules, railNumbers []int, err error) {
	for _, r := range rails {
		for _, m := range r.Modules {
			if m < 0 || m >= len(cells) {
				return nil, nil, fmt.Errorf("%s carries module %d: there are %d modules", r.Name, m, len(cells))
			}
		}
	}
	modules, _, err = g.addCells(cells)
	if err != nil {
		return nil, nil, err
	}
	for _, r := range rails {
		n := g.Add(Part{r.Name, Rail})
		railNumbers = append(railNumbers, n)
		for _, m := range r.Modules {
			g.bonds = append(g.bonds, [2]int{modules[m], n})
		}
	}
	return modules, railNumbers, nil
}

func (g *Graph) addCells(cells []Cell) (numbers []int, at map[[2]int]int, err error) {
	at = make(map[[2]int]int, len(cells))
	for i, c := range cells {
		if _, twice := at[[2]int{c.Row, c.Column}]; twice {
			return nil, nil, fmt.Errorf("%s: row %d column %d is given twice", c.Name, c.Row, c.Column)
		}
		at[[2]int{c.Row, c.Column}] = len(g.parts) + i
	}
	for _, c := range cells {
		numbers = append(numbers, g.Add(Part{c.Name, Module}))
	}
	return numbers, at, nil
}
