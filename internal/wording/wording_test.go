package wording

import (
	"slices"
	"testing"

	"plumbrule/internal/review"
)

// Practice of the trade and instructions of makers stand under headings of their
// own, not under that of the codes' sections.
func TestBasesStandUnderTheirHeadings(t *testing.T) {
	cites := []review.Citation{
		{Code: "common practice", Section: "wire management"},
		{Code: "NEC", Edition: "2023", Section: "690.31(A)", Note: "from memory"},
		{Code: "maker's instructions", Section: "clips"},
		{Code: "ASCE 7", Edition: "7-16", Section: "29.4.3"},
		{Code: "common practice"},
	}
	var got []string
	for _, b := range BasesOf(cites) {
		got = append(got, b.String())
	}
	want := []string{"Common practice: wire management", "Section: NEC 2023 690.31(A) (from memory); ASCE 7-16 29.4.3", "Maker's instructions: clips", "Rests on: common practice"}
	if !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	if got := Cited(cites[0]); got != "common practice: wire management" {
		t.Errorf("in one line: %q", got)
	}
}
