package terms

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
)

// What is remembered is what a walk over all inputs finds, in its order, however
// values share inputs; and equal lists are one.
func TestGatheredIsWhatAWalkFinds(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 11))
	for round := range 40 {
		var values []*Value
		for i := range 60 {
			v := &Value{}
			for range random.IntN(3) {
				v.keys = append(v.keys, Read{Key: fmt.Sprint("key", random.IntN(12))})
			}
			for range random.IntN(4) {
				if i > 0 {
					v.inputs = append(v.inputs, values[random.IntN(i)])
				}
			}
			values = append(values, v)
		}
		var g Gathered
		lists := map[List][]Read{}
		for i := range 200 {
			some := []*Value{values[random.IntN(60)], values[random.IntN(60)], values[random.IntN(60)]}[:i%4%3+1]
			l, want := g.List(some...), ReadsOf(some...)
			if got := g.Reads(l); !slices.Equal(got, want) {
				t.Fatalf("round %d: %v, a walk finds %v", round, got, want)
			}
			lists[l] = want
		}
		for a, x := range lists {
			for b, y := range lists {
				if a != b && slices.Equal(x, y) {
					t.Fatalf("round %d: %v is two lists", round, x)
				}
			}
		}
	}
}
