package paper

import (
	"crypto/sha256"
	"encoding/hex"
	"os"
	"slices"
	"strings"
	"testing"

	"plumbrule/internal/job"
	"plumbrule/internal/reporttest"
	"plumbrule/internal/wording"
)

// The rows of the outcomes by discipline add up to the total.
func TestTalliesAddUp(t *testing.T) {
	for _, name := range reporttest.DemoJobs() {
		r := reporttest.Demo(t, name)
		sum := tally{Name: "together"}
		for _, d := range wording.Disciplines(r) {
			x := tallyOf(d)
			sum.NotMet, sum.Undetermined, sum.Met = sum.NotMet+x.NotMet, sum.Undetermined+x.Undetermined, sum.Met+x.Met
			sum.NotApplicable, sum.Excused, sum.Together = sum.NotApplicable+x.NotApplicable, sum.Excused+x.Excused, sum.Together+x.Together
		}
		if sum != totalTally(r) {
			t.Errorf("%s: the rows add up to %+v, the total is %+v", name, sum, totalTally(r))
		}
	}
}

// The job's hash can be had again from its files, put end to end.
func TestBasisOfReview(t *testing.T) {
	r := reporttest.Demo(t, "house")
	rows := basis(r, Options{Version: "1.2.3"})
	whole := sha256.New()
	for _, f := range []string{"house.toml", "equipment.toml"} {
		text, err := os.ReadFile("../../testdata/jobs/" + f)
		if err != nil {
			t.Fatal(err)
		}
		whole.Write(text)
		one := sha256.Sum256(text)
		if i := slices.IndexFunc(rows, func(x field) bool { return strings.HasSuffix(x.Label, f) }); i < 0 || rows[i].Text != hex.EncodeToString(one[:]) {
			t.Errorf("the hash of %s is not listed: %v", f, rows)
		}
	}
	want := []field{
		{"Program", "plumbrule 1.2.3"},
		{"Job", "2 files, SHA-256 " + hex.EncodeToString(whole.Sum(nil))},
	}
	for _, w := range want {
		if !slices.Contains(rows, w) {
			t.Errorf("%v lacks %v", rows, w)
		}
	}
	if !strings.Contains(rows[1].Text, r.Book.Hash) {
		t.Errorf("%v lacks the hash of the rules", rows)
	}
	if rows := basis(r, Options{}); rows[0].Label == "Program" {
		t.Error("a version that is not given is printed")
	}
}

func TestLackingSaysWhyInALine(t *testing.T) {
	r := reporttest.Roof(t, job.Edits{})
	o := reporttest.Find(t, r, "fire/strip", "array later")
	if got := lacking(o); !slices.Contains(got, "array.later.origin is not stated") {
		t.Errorf("%q", got)
	}
	o.Needs = nil
	o.Reasons = []string{"outside the method\nsecond line"}
	if got := lacking(o); !slices.Equal(got, []string{"outside the method"}) {
		t.Errorf("%q", got)
	}
}
