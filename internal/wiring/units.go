package wiring

import "slices"

// Group is like microinverters that a submittal counts together.
type Group struct {
	Name  string
	Units int
}

// Seats is a branch circuit with how many units it takes, and of which groups.
type Seats struct {
	Name   string
	Units  int
	Groups []string
}

// Unseated spreads the units of groups over branch circuits, each unit once and
// each branch full. It gives, for each group that cannot be seated so, the
// groups and branches that it stands among, and both counts.
func Unseated(groups []Group, branches []Seats) map[string]Among {
	out := map[string]Among{}
	seen := map[string]bool{}
	for _, g := range groups {
		if seen[g.Name] {
			continue
		}
		a := among(g.Name, groups, branches)
		for _, x := range a.groups {
			seen[x.Name] = true
			a.Units += x.Units
			a.Groups = append(a.Groups, x.Name)
		}
		for _, b := range a.branches {
			a.Seats += b.Units
			a.Branches = append(a.Branches, b.Name)
		}
		if placed := seat(a.groups, a.branches); placed == a.Units && placed == a.Seats {
			continue
		}
		for _, x := range a.groups {
			out[x.Name] = a
		}
	}
	return out
}

// Among is a set of groups and the branches that they share.
type Among struct {
	Groups, Branches []string
	Units, Seats     int

	groups   []Group
	branches []Seats
}

// among gathers what hangs together with a group.
func among(name string, groups []Group, branches []Seats) Among {
	names, taken := []string{name}, map[string]bool{}
	var a Among
	for i := 0; i < len(names); i++ {
		for _, g := range groups {
			if g.Name == names[i] {
				a.groups = append(a.groups, g)
			}
		}
		for _, b := range branches {
			if taken[b.Name] || !slices.Contains(b.Groups, names[i]) {
				continue
			}
			taken[b.Name] = true
			a.branches = append(a.branches, b)
			for _, other := range b.Groups {
				if !slices.Contains(names, other) {
					names = append(names, other)
				}
			}
		}
	}
	return a
}

// seat finds how many units find a seat at most: a flow from groups to
// branches, made larger along one way after the other.
func seat(groups []Group, branches []Seats) int {
	flow := make([][]int, len(groups))
	left, room := make([]int, len(groups)), make([]int, len(branches))
	for i, g := range groups {
		flow[i], left[i] = make([]int, len(branches)), g.Units
	}
	for j, b := range branches {
		room[j] = b.Units
	}
	total := 0
	for i := range groups {
		for left[i] > 0 {
			n := push(i, left[i], groups, branches, flow, room, map[int]bool{})
			if n == 0 {
				break
			}
			left[i] -= n
			total += n
		}
	}
	return total
}

// push seats up to n units of a group, moving others aside where that makes
// room.
func push(i, n int, groups []Group, branches []Seats, flow [][]int, room []int, tried map[int]bool) int {
	for j, b := range branches {
		if !slices.Contains(b.Groups, groups[i].Name) || tried[j] {
			continue
		}
		tried[j] = true
		if m := min(n, room[j]); m > 0 {
			flow[i][j] += m
			room[j] -= m
			return m
		}
		for k := range groups {
			if k == i || flow[k][j] == 0 {
				continue
			}
			if m := push(k, min(n, flow[k][j]), groups, branches, flow, room, tried); m > 0 {
				flow[k][j] -= m
				flow[i][j] += m
				return m
			}
		}
	}
	return 0
}
