package calculator

import (
	"strings"
	"testing"
)

// unpublished are calculators that no published example was found for; unit
// tests hold them.
var unpublished = map[string]bool{"converter-voltage": true}

// TestPublishedElectricalCount keeps the stock of published electrical cases
// from shrinking, and every electrical calculator covered by at least one.
func TestPublishedElectricalCount(t *testing.T) {
	n := 0
	covered := map[string]bool{}
	for file, cases := range loadPublished(t) {
		if !strings.HasPrefix(file, "electrical") {
			continue
		}
		n += len(cases)
		for _, c := range cases {
			covered[c.Calc] = true
		}
	}
	if n < 180 {
		t.Errorf("%d published electrical cases, at least 180 are wanted", n)
	}
	for _, c := range electricalCalculators() {
		if !covered[c.Name] && !unpublished[c.Name] {
			t.Errorf("no published case runs %s", c.Name)
		}
	}
}
