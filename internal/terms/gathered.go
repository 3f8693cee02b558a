package terms

import (
	"encoding/binary"
	"slices"
	"sync"
)

// Gathered remembers which keys of the job values rest on. What is asked of many
// values costs as much as looking through all that they were computed from once.
// It may be asked from several goroutines.
type Gathered struct {
	mu     sync.Mutex
	number map[Read]int32
	reads  []Read
	key    []int32 // of each read, the number of its key
	keys   map[string]int32

	of     map[*Value]int32 // the list of each value that was looked through
	lists  [][]int32        // of reads, each list once
	merged map[string]int32 // lists by what they were put together from
	same   map[string]int32 // lists by what is in them
	seen   []int            // of each key, the list that it was last put into
	stamp  int
}

// List is the keys that a value rests on. Equal lists are one.
type List int32

// List gives the list of the keys that values rest on: those of ReadsOf.
func (g *Gathered) List(values ...*Value) List {
	g.mu.Lock()
	defer g.mu.Unlock()
	if g.of == nil {
		g.number, g.keys, g.of = map[Read]int32{}, map[string]int32{}, map[*Value]int32{}
		g.merged, g.same = map[string]int32{}, map[string]int32{}
	}
	if len(values) == 1 {
		return List(g.under(values[0]))
	}
	return List(g.merge(nil, values))
}

// Reads gives the entries of a list, in the order of ReadsOf.
func (g *Gathered) Reads(l List) []Read {
	g.mu.Lock()
	defer g.mu.Unlock()
	out := make([]Read, len(g.lists[l]))
	for i, n := range g.lists[l] {
		out[i] = g.reads[n]
	}
	return out
}

// under is the list of a value.
func (g *Gathered) under(v *Value) int32 {
	if l, known := g.of[v]; known {
		return l
	}
	l := g.merge(v.keys, v.inputs)
	g.of[v] = l
	return l
}

// merge puts keys and the lists of values together.
func (g *Gathered) merge(own []Read, values []*Value) int32 {
	parts := make([]int32, 0, len(own)+1+len(values))
	for _, r := range own {
		parts = append(parts, g.read(r))
	}
	parts = append(parts, -1)
	apart := len(parts)
	for _, v := range values {
		l := g.under(v)
		if n := len(parts); len(g.lists[l]) == 0 || n > apart && parts[n-1] == l {
			continue
		}
		parts = append(parts, l)
	}
	if apart == 1 && len(parts) == 2 {
		return parts[1]
	}
	by := bytesOf(parts)
	if l, known := g.merged[by]; known {
		return l
	}
	g.stamp++
	var list []int32
	add := func(n int32) {
		if k := g.key[n]; g.seen[k] != g.stamp {
			g.seen[k] = g.stamp
			list = append(list, n)
		}
	}
	for _, n := range parts[:apart-1] {
		add(n)
	}
	for _, l := range parts[apart:] {
		for _, n := range g.lists[l] {
			add(n)
		}
	}
	what := bytesOf(list)
	l, known := g.same[what]
	if !known {
		l = int32(len(g.lists))
		g.same[what] = l
		g.lists = append(g.lists, slices.Clip(list))
	}
	g.merged[by] = l
	return l
}

func (g *Gathered) read(r Read) int32 {
	n, known := g.number[r]
	if !known {
		n = int32(len(g.reads))
		g.number[r] = n
		g.reads = append(g.reads, r)
		k, known := g.keys[r.Key]
		if !known {
			k = int32(len(g.seen))
			g.keys[r.Key] = k
			g.seen = append(g.seen, 0)
		}
		g.key = append(g.key, k)
	}
	return n
}

func bytesOf(list []int32) string {
	b := make([]byte, 0, 4*len(list))
	for _, n := range list {
		b = binary.LittleEndian.AppendUint32(b, uint32(n))
	}
	return string(b)
}
