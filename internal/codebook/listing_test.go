package codebook

import "testing"

// The ways in which cut sheets and drawings write a listing.
func TestListedTo(t *testing.T) {
	for _, c := range []struct {
		text, standard string
		want           bool
	}{
		{"UL 1741", "UL 1741", true},
		{"UL1741", "UL 1741", true},
		{"ul-1741sb", "UL 1741", true},
		{"U.L. 1741", "UL 1741", true},
		{"IEEE 1547, UL 1741 SB", "UL 1741", true},
		{"UL1741/IEEE1547", "UL 1741", true},
		{"UL 1741, 62109", "UL 62109", true},
		{"UL/IEC 61730", "UL 61730", true},
		{"IEC/UL 61730-1/-2", "UL 61730", true},
		{"UL 61730-1/-2", "UL 61730", true},
		{"UL and IEC 61730", "UL 61730", true},
		{"ANSI/UL 2703", "UL 2703", true},
		{"ETL listed to UL Std. No. 1741", "UL 1741", true},
		{"cULus 1741", "UL 1741", true},
		{"CSA C22.2 No. 107.1, UL 1741", "UL 1741", true},
		{"CSA C22.2 No. 107.1 and UL 1741-2021", "UL 1741", true},
		{"UL 1741 (SB pending)", "UL 1741", true},
		{"UL 1741, UL 9540 pending", "UL 1741", true},
		{"UL 508A", "UL 508", true},
		{"UL 17410", "UL 1741", false},
		{"UL 174", "UL 1741", false},
		{"UL 5085", "UL 508", false},
		{"IEEE 1741", "UL 1741", false},
		{"1741", "UL 1741", false},
		{"IEC 61730", "UL 61730", false},
		{"UL listed to IEC 61730", "UL 61730", false},
		{"UL 62109-1741", "UL 1741", false},
		{"not listed", "UL 1741", false},
		{"not UL 1741", "UL 1741", false},
		{"UL 1741 pending", "UL 1741", false},
		{"UL 1741 (pending)", "UL 1741", false},
		{"UL 1741, listing pending", "UL 1741", false},
		{"UL 1741, UL 62109, both pending", "UL 1741", false},
		{"not listed; UL 1741", "UL 1741", false},
		{"designed to UL 1741", "UL 1741", false},
		{"applied for UL 1741", "UL 1741", false},
		{"no UL 1741 listing", "UL 1741", false},
		{"UL 1741 no", "UL 1741", false},
		{"UL", "UL 1741", false},
		{"", "UL 1741", false},
	} {
		if got := listedTo(c.text, c.standard); got != c.want {
			t.Errorf("%q listed to %s: %v", c.text, c.standard, got)
		}
	}
}

func TestFieldLabelled(t *testing.T) {
	for text, want := range map[string]bool{
		"field labelled":                      true,
		"field-labeled by a testing body":     true,
		"evaluated in the field, field label": true,
		"field evaluation, report on file":    true,
		"field evaluation pending":            false,
		"no field label":                      false,
		"field label (pending)":               false,
		"UL 1741":                             false,
		"labelled":                            false,
	} {
		if got := fieldLabelled(text); got != want {
			t.Errorf("%q field labelled: %v", text, got)
		}
	}
}
