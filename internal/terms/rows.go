package terms

import (
	"hash/maphash"
	"slices"
	"sync"
	"sync/atomic"

	"plumbrule/internal/table"
)

// rows keeps the lists of table rows that values rest on, so that the thousands of
// feet that rest on the same rows have one list. A list that was given away is never
// changed.
type rows struct {
	lists sync.Map // each list, by a hash of what is in it
	pairs sync.Map // what two lists come to together, by pairOfRows
	n     atomic.Int32
}

// pairOfRows are two lists by where they are kept.
type pairOfRows struct {
	a, b   *table.Ref
	na, nb int
}

// mostPairs are remembered; where there are more, the lists are made anew each time.
const mostPairs = 10_000

// both gives the rows of two lists, each once, in their order.
func (r *rows) both(a, b []table.Ref) []table.Ref {
	switch {
	case len(b) == 0:
		return a
	case len(a) == 0:
		return slices.Clip(b)
	}
	key := pairOfRows{&a[0], &b[0], len(a), len(b)}
	if kept, known := r.pairs.Load(key); known {
		return kept.([]table.Ref)
	}
	out := a[:len(a):len(a)]
	for _, row := range b {
		if !slices.Contains(out, row) {
			out = append(out, row)
		}
	}
	out = slices.Clip(out)
	if r.n.Load() < mostPairs {
		r.n.Add(1)
		r.pairs.Store(key, out)
	}
	return out
}

// rowSeed begins the hashes of lists of rows.
var rowSeed = maphash.MakeSeed()

// shared gives the one list that has the same rows in the same order.
func (r *rows) shared(list []table.Ref) []table.Ref {
	if len(list) < 2 {
		return list
	}
	var hash uint64
	for _, row := range list {
		hash = hash*31 + maphash.Comparable(rowSeed, row)
	}
	kept, _ := r.lists.LoadOrStore(hash, list)
	if same := kept.([]table.Ref); slices.Equal(same, list) {
		return same
	}
	return list
}
