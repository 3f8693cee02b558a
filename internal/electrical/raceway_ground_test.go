package electrical

import (
	"testing"

	"plumbrule/internal/quantity"
)

// Metal raceways serve as the equipment ground, flexible ones up to 6 ft
// behind 20 A, others not (NEC 250.118).
func TestRacewayGround(t *testing.T) {
	for _, tc := range []struct {
		raceway    string
		feet, amps float64
		suits      bool
	}{
		{"EMT", 200, 400, true}, {"RMC", 200, 400, true}, {"IMC", 200, 400, true},
		{"FMC", 6, 20, true}, {"FMC", 6.1, 20, false}, {"FMC", 6, 25, false},
		{"PVC-40", 1, 15, false}, {"LFNC", 1, 15, false}, {"free-air", 1, 15, false},
	} {
		for _, ed := range []string{"2017", "2020", "2023"} {
			got, basis, err := edition(t, ed).RacewayGround(tc.raceway, tc.feet*quantity.Foot, tc.amps)
			if err != nil || got != tc.suits || len(basis.Refs) == 0 {
				t.Errorf("%s: %+v: got %v, %v, %v", ed, tc, got, basis, err)
			}
		}
	}
	if _, _, err := edition(t, "2023").RacewayGround("hose", 1, 15); err == nil {
		t.Error("a raceway that the table does not have is not refused")
	}
}
