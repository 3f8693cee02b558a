package drawing

import (
	"math"
	"strings"
	"testing"

	"plumbrule/internal/job"
	"plumbrule/internal/reporttest"
)

// Placards are to scale: letters of 3/8 in are 27 points of capital height, which
// a sans-serif face has at 27 / 0.73 = 37 points; the page is as wide as its paper.
func TestPlacardsAreToScale(t *testing.T) {
	r := reporttest.Drawn(t, "house", job.Edits{}, nil)
	svg := svgOf(t, Placards, r, Options{})
	checkSheet(t, svg, r, false)
	found := false
	for _, x := range textsOf(t, parsed(t, svg)) {
		if strings.HasPrefix(x.text, "RAPID SHUTDOWN SWITCH") {
			found = true
			if math.Abs(x.size*0.73-27) > 0.05 {
				t.Errorf("the letters are %v points, expected capitals of 27 points", x.size)
			}
		}
	}
	if !found {
		t.Error("the rapid shutdown switch has no placard")
	}
}

// A placard has the computed value and not the one of a wrong label sheet: the
// faulty barn says 448 V, its longest string reaches 635.87 V.
func TestPlacardsHaveComputedValues(t *testing.T) {
	r := reporttest.Drawn(t, "barn-faulty", job.Edits{}, nil)
	svg := string(svgOf(t, Placards, r, Options{}))
	if !strings.Contains(svg, "Largest voltage 635.87 V") || strings.Contains(svg, "448 V") {
		t.Error("the voltage is not the computed one")
	}
	if !strings.Contains(svg, "wording by NEC 2020 690.53") {
		t.Error("the section of the wording is not named")
	}
	none := reporttest.Drawn(t, "barn", job.Edits{Unset: []string{"site.record_low"}}, nil)
	if svg := string(svgOf(t, Placards, none, Options{})); !strings.Contains(svg, "largest voltage by the label sheet") {
		t.Error("a value that is not computed is not said to be the label sheet's")
	}
}

// Placards of every job are inside their sheets and apart from each other.
func TestPlacardsOfEveryJob(t *testing.T) {
	for name, r := range everyJob(t) {
		t.Run(name, func(t *testing.T) {
			checkSheet(t, svgOf(t, Placards, r, Options{Version: "revision 0123456789ab with changes"}), r, false)
		})
	}
}
