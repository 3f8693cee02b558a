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

// Identity tells which values are one: the same term of the same thing in two models of
// a job, where one was taken over into a review of the other. Of those one stands for all. A
// nil Identity takes every value for itself.
type Identity map[identity]*Value

type identity struct {
	kind            *Kind
	key, name, what string
	by              any
}

// One is the value that stands for a value.
func (i Identity) One(v *Value) *Value {
	if i == nil || v.by == nil {
		return v
	}
	s := v.by.subject
	id := identity{s.Kind, s.Key, s.Name, v.by.what, v.by.by}
	if one := i[id]; one != nil {
		return one
	}
	i[id] = v
	return v
}

// All gives those that stand for values, each once.
func (i Identity) All(list []*Value) []*Value {
	if i == nil {
		return list
	}
	var out []*Value
	for _, v := range list {
		if one := i.One(v); !slices.Contains(out, one) {
			out = append(out, one)
		}
	}
	return out
}

// Above tells which values rest on given values or keys.
type Above struct {
	one   Identity
	users map[*Value][]*Value
	of    map[string][]*Value // the values that read a key themselves
}

// AboveOf looks through values and all that they were computed from; it tells of the values
// that stand for them.
func AboveOf(one Identity, values ...*Value) *Above {
	a := &Above{one: one, users: map[*Value][]*Value{}, of: map[string][]*Value{}}
	seen := map[*Value]bool{}
	var walk func(v *Value)
	walk = func(v *Value) {
		if seen[v] {
			return
		}
		seen[v] = true
		for _, r := range v.keys {
			a.of[r.Key] = append(a.of[r.Key], one.One(v))
		}
		for _, in := range v.inputs {
			a.users[one.One(in)] = append(a.users[one.One(in)], one.One(v))
			walk(in)
		}
	}
	for _, v := range values {
		walk(v)
	}
	return a
}

// Reached is a value that rests on values of a list, and the first of the list that
// it was reached from.
type Reached struct {
	Value *Value
	From  int
}

// Values gives what rests on any value of a list, each once: first what rests on
// the first, in an order that depends on nothing but how values were read.
func (a *Above) Values(list []*Value) []Reached {
	return a.from(len(list), func(i int) []*Value { return list[i : i+1] })
}

// Stated is Values where what the job itself states stands for its key, however it
// is read.
func (a *Above) Stated(list []*Value) []Reached {
	return a.from(len(list), func(i int) []*Value {
		if key, given := list[i].given(); given {
			return a.of[key]
		}
		return list[i : i+1]
	})
}

func (a *Above) from(n int, starts func(i int) []*Value) []Reached {
	var out []Reached
	seen := map[*Value]bool{}
	next := 0
	for i := range n {
		add := func(list []*Value) {
			for _, v := range list {
				if !seen[v] {
					seen[v] = true
					out = append(out, Reached{v, i})
				}
			}
		}
		add(starts(i))
		for ; next < len(out); next++ {
			add(a.users[out[next].Value])
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
