package electrical

import (
	"math"
	"os"
	"testing"

	"plumbrule/internal/quantity"
	"plumbrule/internal/table"
)

// editionsInFull are the editions whose tables are known in full.
var editionsInFull = []string{"2017", "2020", "2023"}

func tables(t testing.TB) *table.Set {
	t.Helper()
	set, err := table.Load(os.DirFS("../../rules"), "tables/nec")
	if err != nil {
		t.Fatal(err)
	}
	return set
}

func edition(t testing.TB, name string) *Code {
	t.Helper()
	c, err := NEC(name, tables(t))
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func size(t testing.TB, text string) quantity.Size {
	t.Helper()
	s, err := quantity.ParseSize(text)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func near(t *testing.T, what string, got, want float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > 1e-9*math.Max(1, math.Abs(want)) {
		t.Errorf("%s = %v, want %v", what, got, want)
	}
}

// onTerms are ordinary conditions: THWN-2 copper at 30 degC, three conductors,
// 75 degC terminals.
func onTerms() Conditions {
	return Conditions{Material: Copper, Insulation: "THWN-2", Ambient: 30, CurrentCarrying: 3, Terminal: 75, Sets: 1}
}

// must gives a value where the error would be a fault of the test itself.
func must[T any](t testing.TB) func(T, error) T {
	return func(v T, err error) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}
