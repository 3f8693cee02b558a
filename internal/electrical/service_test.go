package electrical

import (
	"math"
	"testing"
)

// The sizes that the trade uses for the services of dwellings (a published table
// of the edition 2011, which the share of later editions follows): 4 AWG copper
// or 2 AWG aluminum for 100 A, 2/0 or 4/0 for 200 A, 400 or 600 kcmil for 400 A.
func TestServiceOfADwellingHasTheTradesSizes(t *testing.T) {
	for _, in := range editionsInFull {
		for _, w := range []struct {
			main          float64
			material      Material
			fits, tooThin string
		}{
			{100, Copper, "4 AWG", "6 AWG"}, {100, Aluminum, "2 AWG", "4 AWG"},
			{200, Copper, "2/0 AWG", "1/0 AWG"}, {200, Aluminum, "4/0 AWG", "3/0 AWG"},
			{400, Copper, "400 kcmil", "350 kcmil"}, {400, Aluminum, "600 kcmil", "500 kcmil"},
		} {
			if got := serviceMain(t, in, w.fits, w.material, 1, w.main, true); got < w.main {
				t.Errorf("%s: %s %s carries a main of %g A, want %g or more", in, w.fits, w.material, got, w.main)
			}
			if got := serviceMain(t, in, w.tooThin, w.material, 1, w.main, true); got >= w.main {
				t.Errorf("%s: %s %s carries a main of %g A, want less than %g", in, w.tooThin, w.material, got, w.main)
			}
		}
	}
}

func TestServiceOfOtherBuildingsFollowsItsAmpacity(t *testing.T) {
	if got := serviceMain(t, "2023", "4/0 AWG", Aluminum, 1, 200, false); got != 200 { // 180 A: the next standard device
		t.Errorf("4/0 AWG aluminum: %g A, want 200", got)
	}
	if got := serviceMain(t, "2023", "3/0 AWG", Aluminum, 1, 200, false); got != 175 { // 155 A
		t.Errorf("3/0 AWG aluminum: %g A, want 175", got)
	}
	if got := serviceMain(t, "2023", "500 kcmil", Copper, 3, 1200, false); got != 1000 { // 1140 A: above 800 A no rounding up
		t.Errorf("3 x 500 kcmil copper: %g A, want 1000", got)
	}
	if got := serviceMain(t, "2023", "1/0 AWG", Copper, 1, 600, true); math.Abs(got-150) > 1e-9 { // above the ratings of the share
		t.Errorf("a dwelling of 600 A: %g A, want 150", got)
	}
}

func serviceMain(t *testing.T, in, conductor string, m Material, sets int, main float64, dwelling bool) float64 {
	t.Helper()
	got, err := edition(t, in).ServiceMain(size(t, conductor), m, sets, main, dwelling)
	if err != nil {
		t.Fatal(err)
	}
	return got.Largest
}
