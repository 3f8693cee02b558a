package structural

import "testing"

func TestSameName(t *testing.T) {
	for _, c := range []struct {
		a, b string
		same bool
	}{
		{"Rib-36", "rib 36", true},
		{"RIB36", "Rib 36", true},
		{"Douglas-Fir Larch", "douglas fir-larch", true},
		{"double-folded, 1 1/2 in", "Double Folded 1-1/2 in", true},
		{"Rib-36", "Rib-38", false},
		{"R 1-1/2", "R 11/2", false},
		{"R 1.5", "R 15", false},
		{"spruce-pine-fir", "Spruce-Pine-Fir (South)", false},
		{"PBR+", "PBR", false},
		{"-", "–", false},
		{"", "", false},
	} {
		if got := SameName(c.a, c.b); got != c.same {
			t.Errorf("%q and %q: %v", c.a, c.b, got)
		}
	}
}
