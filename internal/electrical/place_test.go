package electrical

import (
	"math"
	"testing"

	"plumbrule/internal/quantity"
)

// TestSupportInterval holds the intervals of 690.31(C) by edition and size: 54 in
// in 2017 as for other cable, 24 in for every size in 2020, and in 2023 by size.
func TestSupportInterval(t *testing.T) {
	for _, x := range []struct {
		edition, method, size string
		inches                float64
	}{
		{"2017", "free-air", "10 AWG", 54},
		{"2020", "free-air", "10 AWG", 24},
		{"2020", "free-air", "4 AWG", 24},
		{"2023", "free-air", "8 AWG", 24},
		{"2023", "free-air", "6 AWG", 54},
		{"2023", "tray", "10 AWG", 54},
		{"2020", "cable", "10 AWG", 72},
	} {
		size, err := quantity.ParseSize(x.size)
		if err != nil {
			t.Fatal(err)
		}
		got, _, err := edition(t, x.edition).SupportInterval(x.method, size)
		if err != nil || math.Abs(got/quantity.Inch-x.inches) > 1e-9 {
			t.Errorf("%s %s %s: %.4g in, %v; want %g", x.edition, x.method, x.size, got/quantity.Inch, err, x.inches)
		}
	}
	if v, _, err := edition(t, "2023").SupportInterval("free-air", 0); err == nil {
		t.Errorf("2023 without a size: %g, no error", v)
	}
	if v, _, err := edition(t, "2017").SupportInterval("cable", 0); err == nil {
		t.Errorf("2017, a cable of several conductors: %g, no error", v)
	}
}

// TestBurialDepth holds Table 300.5: 24 in for direct burial, 6 in for rigid
// metal, 18 in for other raceways; less below concrete, 24 in below a street.
func TestBurialDepth(t *testing.T) {
	for _, x := range []struct {
		method, cover string
		dwelling      bool
		inches        float64
	}{
		{"cable", "soil", false, 24},
		{"RMC", "soil", false, 6},
		{"IMC", "soil", true, 6},
		{"PVC-40", "soil", false, 18},
		{"PVC-80", "concrete", false, 12},
		{"cable", "concrete", false, 18},
		{"RMC", "concrete", false, 6},
		{"RMC", "street", false, 24},
		{"PVC-40", "driveway", true, 18},
		{"PVC-40", "driveway", false, 24}, // of no dwelling: as a street
	} {
		for _, year := range editionsInFull {
			got, _, err := edition(t, year).BurialDepth(x.method, x.cover, x.dwelling)
			if err != nil || math.Abs(got/quantity.Inch-x.inches) > 1e-9 {
				t.Errorf("%s %s below %s: %.4g in, %v; want %g", year, x.method, x.cover, got/quantity.Inch, err, x.inches)
			}
		}
	}
	for _, x := range [][2]string{{"cable", "slab"}, {"free-air", "soil"}, {"PVC-40", "sand"}} {
		if v, _, err := edition(t, "2020").BurialDepth(x[0], x[1], false); err == nil {
			t.Errorf("%s below %s: %g, no error", x[0], x[1], v)
		}
	}
}

// TestMetalRaceways: the word of each wiring method says whether it is of metal.
func TestMetalRaceways(t *testing.T) {
	for raceway, want := range map[string]bool{"EMT": true, "RMC": true, "IMC": true, "FMC": true, "LFMC": true, "wireway": true,
		"LFNC": false, "PVC-40": false, "ENT": false, "HDPE": false, "tray": false, "cable": false, "free-air": false} {
		if got, _, err := edition(t, "2020").Metal(raceway, "THWN-2"); err != nil || got != want {
			t.Errorf("%s: metal is %v, %v", raceway, got, err)
		}
	}
	if got, _, err := edition(t, "2020").Metal("cable", "MC"); err != nil || !got {
		t.Errorf("metal-clad cable: %v, %v", got, err)
	}
	if _, _, err := edition(t, "2020").Metal("hose", ""); err == nil {
		t.Error("a hose: no error")
	}
}

// TestRacewaySupport: 10 ft for electrical metallic tubing, 3 ft for PVC of 1 in
// and 5 ft for PVC of 2 in (358.30, Table 352.30).
func TestRacewaySupport(t *testing.T) {
	for _, x := range []struct {
		raceway, size string
		feet          float64
	}{{"EMT", "", 10}, {"PVC-40", "1", 3}, {"PVC-80", "2", 5}, {"FMC", "", 4.5}} {
		got, _, err := edition(t, "2023").RacewaySupport(x.raceway, x.size)
		if err != nil || math.Abs(got/(12*quantity.Inch)-x.feet) > 1e-9 {
			t.Errorf("%s %s: %.4g ft, %v; want %g", x.raceway, x.size, got/(12*quantity.Inch), err, x.feet)
		}
	}
}
