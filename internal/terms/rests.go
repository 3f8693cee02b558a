package terms

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
