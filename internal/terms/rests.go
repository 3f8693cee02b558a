package terms

import "slices"

// Readers tells which values rest on which keys of the job. It is made once for
// the values of a review and asked for every change of its job.
type Readers struct {
	number map[*Value]int32
	of     map[string][]int32 // the values that read a key themselves
	users  [][]int32          // the values that read a value
}

// ReadersOf looks through values and all that they were computed from.
func ReadersOf(values ...*Value) *Readers {
	r := &Readers{number: make(map[*Value]int32, 2*len(values)), of: map[string][]int32{}}
	for _, v := range values {
		r.add(v)
	}
	return r
}

func (r *Readers) add(v *Value) int32 {
	if n, known := r.number[v]; known {
		return n
	}
	n := int32(len(r.users))
	r.number[v] = n
	r.users = append(r.users, nil)
	for _, read := range v.keys {
		r.of[read.Key] = append(r.of[read.Key], n)
	}
	for _, in := range v.inputs {
		i := r.add(in)
		r.users[i] = append(r.users[i], n)
	}
	return n
}

// Resting gives a function that tells whether a value rests on any of the given
// keys. A value that was not looked through is taken to.
func (r *Readers) Resting(on []string) func(*Value) bool {
	rests := make([]bool, len(r.users))
	var open []int32
	mark := func(list []int32) {
		for _, n := range list {
			if !rests[n] {
				rests[n] = true
				open = append(open, n)
			}
		}
	}
	for _, key := range on {
		mark(r.of[key])
	}
	for len(open) > 0 {
		n := open[len(open)-1]
		open = open[:len(open)-1]
		mark(r.users[n])
	}
	return func(v *Value) bool {
		n, known := r.number[v]
		return !known || rests[n]
	}
}

// Above tells which values rest on given values or keys.
type Above struct {
	users map[*Value][]*Value
	of    map[string][]*Value // the values that read a key themselves
	onOne map[*Value][]*Value // what rests on one value, once it was asked for
	onKey map[string][]*Value
}

// AboveOf looks through values and all that they were computed from.
func AboveOf(values ...*Value) *Above {
	a := &Above{users: map[*Value][]*Value{}, of: map[string][]*Value{}, onOne: map[*Value][]*Value{}, onKey: map[string][]*Value{}}
	seen := map[*Value]bool{}
	var walk func(v *Value)
	walk = func(v *Value) {
		if seen[v] {
			return
		}
		seen[v] = true
		for _, r := range v.keys {
			a.of[r.Key] = append(a.of[r.Key], v)
		}
		for _, in := range v.inputs {
			a.users[in] = append(a.users[in], v)
			walk(in)
		}
	}
	for _, v := range values {
		walk(v)
	}
	return a
}

// Values gives the values that rest on every one of a list of values, in an
// order that depends on nothing but how they were read.
func (a *Above) Values(on []*Value) []*Value {
	return onAll(on, a.value)
}

func (a *Above) value(v *Value) []*Value {
	out, known := a.onOne[v]
	if !known {
		out = a.from(v)
		a.onOne[v] = out
	}
	return out
}

// Stated is Values where what the job itself states stands for its key, however it
// is read.
func (a *Above) Stated(on []*Value) []*Value {
	return onAll(on, func(v *Value) []*Value {
		if key, given := v.given(); given {
			return a.key(key)
		}
		return a.value(v)
	})
}

// Keys gives the values that rest on every one of a list of keys.
func (a *Above) Keys(keys []string) []*Value {
	return onAll(keys, a.key)
}

func (a *Above) key(key string) []*Value {
	out, known := a.onKey[key]
	if !known {
		out = a.from(a.of[key]...)
		a.onKey[key] = out
	}
	return out
}

// onAll gives what is in the lists of all, in the order of the first.
func onAll[T any](all []T, list func(T) []*Value) []*Value {
	var out []*Value
	for i, x := range all {
		above := list(x)
		if i == 0 {
			out = slices.Clone(above)
			continue
		}
		among := make(map[*Value]bool, len(above))
		for _, u := range above {
			among[u] = true
		}
		out = slices.DeleteFunc(out, func(u *Value) bool { return !among[u] })
		if len(out) == 0 {
			break
		}
	}
	return out
}

// from gives values and all that rest on them.
func (a *Above) from(values ...*Value) []*Value {
	out := slices.Clone(values)
	seen := map[*Value]bool{}
	for _, v := range values {
		seen[v] = true
	}
	for i := 0; i < len(out); i++ {
		for _, u := range a.users[out[i]] {
			if !seen[u] {
				seen[u] = true
				out = append(out, u)
			}
		}
	}
	return out
}

// Origins gives the values at which it first could not be determined, for a
// reason other than a key left out, what a value is.
func Origins(values ...*Value) []*Value {
	var out []*Value
	seen := map[*Value]bool{}
	var walk func(v *Value)
	walk = func(v *Value) {
		if seen[v] || !v.reasoned() {
			return
		}
		seen[v] = true
		first := true
		for _, in := range v.inputs {
			if in.reasoned() {
				first = false
				walk(in)
			}
		}
		if first {
			out = append(out, v)
		}
	}
	for _, v := range values {
		for _, in := range v.inputs {
			walk(in)
		}
	}
	return out
}

// reasoned reports whether the value is undetermined for a reason other than a
// key left out.
func (v *Value) reasoned() bool {
	return slices.ContainsFunc(v.Needs, func(n Need) bool { return n.Why != "" })
}
