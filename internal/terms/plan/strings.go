package plan

import (
	"fmt"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/terms"
)

// DrawnString is the modules of an array that one string, or one branch of
// microinverters, takes. The job says how many there are and not which: they are
// counted off along the rows, back and forth from the lowest.
type DrawnString struct {
	Name    string
	To      string // where it leads: inverter and input, or overcurrent device
	Branch  bool   // of microinverters
	Modules []int  // by index, in the order they are counted off
}

// drawStrings counts off the modules of the arrays for strings and branches.
func drawStrings(c *terms.Call, d *Drawing, j *job.Job) {
	at, next, modules := map[string]*DrawnArray{}, map[string]int{}, map[string]int{}
	for i := range d.Arrays {
		at[d.Arrays[i].Name], modules[d.Arrays[i].Name] = &d.Arrays[i], len(d.Arrays[i].Modules)
	}
	take := func(array string, n int, s DrawnString) {
		a := at[array]
		if a == nil || len(a.Modules) == 0 {
			return
		}
		order := serpentine(a.Modules)
		from := min(next[array], len(order))
		to := min(from+n, len(order))
		if next[array] += n; next[array] > len(order) && from < len(order) {
			d.Missing = append(d.Missing, fmt.Sprintf("%d of the %d modules of %s in array %s: the array has no more", from+n-to, n, s.Name, array))
		} else if from == len(order) && n > 0 {
			d.Missing = append(d.Missing, fmt.Sprintf("%s in array %s: the array has no more modules", s.Name, array))
		}
		s.Modules = order[from:to]
		if len(s.Modules) > 0 {
			a.Strings = append(a.Strings, s)
		}
	}
	for i := range j.Strings {
		s := &j.Strings[i]
		if !terms.Stated(c, s.Modules) || !terms.Stated(c, s.Array) {
			continue
		}
		out := DrawnString{Name: s.Name.Value, To: terms.Peek(c, s.Inverter)}
		if terms.Stated(c, s.Input) {
			out.To += fmt.Sprintf(" input %d", terms.Peek(c, s.Input))
		}
		rest := terms.Peek(c, s.Modules)
		for _, apart := range s.Apart {
			take(apart.Array, apart.Modules, out)
			rest -= apart.Modules
		}
		take(terms.Peek(c, s.Array), max(0, rest), out)
	}
	drawBranches(c, j, modules, take)
}

// drawBranches shares the groups of microinverters out to their branches, in
// the order of the job. One that does not say how many units it has takes what
// its groups have left.
func drawBranches(c *terms.Call, j *job.Job, modules map[string]int, take func(string, int, DrawnString)) {
	left := map[string]int{} // of each group
	array := map[string]string{}
	for i := range j.Inverters {
		v := &j.Inverters[i]
		if !terms.Stated(c, v.Array) {
			continue
		}
		name := terms.Peek(c, v.Array)
		array[v.Name.Value] = name
		if left[v.Name.Value] = terms.Peek(c, v.Count); !terms.Stated(c, v.Count) {
			left[v.Name.Value] = modules[name] // one on each module
		}
	}
	for i := range j.Circuits {
		k := &j.Circuits[i]
		if terms.Peek(c, k.Kind) != "branch" {
			continue
		}
		out := DrawnString{Name: k.Name.Value, To: strings.TrimSpace(terms.Peek(c, k.Overcurrent)), Branch: true}
		units := -1
		if terms.Stated(c, k.Units) {
			units = terms.Peek(c, k.Units)
		}
		for _, group := range terms.Peek(c, k.Inverters) {
			n := left[group]
			if units >= 0 {
				n = min(n, units)
				units -= n
			}
			if n > 0 {
				left[group] -= n
				take(array[group], n, out)
			}
		}
	}
}

// serpentine orders modules along the rows, from the lowest, every second row
// backwards.
func serpentine(list []DrawnModule) []int {
	rows := map[int][]int{}
	high := 0
	for i, m := range list {
		rows[m.Row] = append(rows[m.Row], i)
		high = max(high, m.Row)
	}
	var out []int
	back := false
	for row := 1; row <= high; row++ {
		of := rows[row]
		if len(of) == 0 {
			continue
		}
		for k := range of {
			if back {
				out = append(out, of[len(of)-1-k])
			} else {
				out = append(out, of[k])
			}
		}
		back = !back
	}
	return out
}
