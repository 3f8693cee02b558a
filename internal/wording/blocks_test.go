package wording

import (
	"slices"
	"testing"
)

func TestBlocks(t *testing.T) {
	for _, c := range []struct{ in, want []string }{
		{[]string{"w line 1 foot 1 to 8", "w line 2 foot 1 to 8", "w line 3 foot 1 to 8", "w line 4 foot 1 to 7"}, []string{"w line 1 to 3 foot 1 to 8", "w line 4 foot 1 to 7"}},
		{[]string{"w line 1 foot 2", "w line 2 foot 2"}, []string{"w line 1 foot 2", "w line 2 foot 2"}},
		{[]string{"w line 9 foot 2", "w line 10 foot 2", "w line 11 foot 2", "e line 12 foot 2"}, []string{"w line 9 to 11 foot 2", "e line 12 foot 2"}},
		{[]string{"a", "b", "c"}, []string{"a", "b", "c"}},
		{[]string{"r 1 c 1", "r 2 c 2", "r 3 c 3"}, []string{"r 1 c 1", "r 2 c 2", "r 3 c 3"}},
		{nil, nil},
	} {
		if got := Blocks(c.in); !slices.Equal(got, c.want) {
			t.Errorf("%q gives %q, expected %q", c.in, got, c.want)
		}
	}
}
