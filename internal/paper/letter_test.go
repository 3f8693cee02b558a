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
)

// Every finding stands in exactly one comment under the number that the
// drawings give it, and no comment joins different checks or results.
func TestLetterHoldsEveryFindingOnce(t *testing.T) {
	for _, name := range reporttest.DemoJobs {
		r := reporttest.Demo(t, name)
		v := makeLetter(r, trialOptions)
		all := slices.Clone(v.Accepted)
		for _, p := range v.Parts {
			for _, d := range p.Disciplines {
				for _, c := range d.Comments {
					if c.Discipline != d.Name {
						t.Errorf("%s: comment %d of %s stands under %s", name, c.Number, c.Discipline, d.Name)
					}
					all = append(all, c)
				}
			}
		}
		subjects := map[int]string{}
		checks := map[int]string{}
		for _, c := range all {
			for _, m := range append([]mention{{Number: c.Number, Subject: c.Subject}}, c.Others...) {
				if subjects[m.Number] != "" {
					t.Errorf("%s: finding %d stands twice", name, m.Number)
				}
				subjects[m.Number], checks[m.Number] = m.Subject, c.Check
			}
		}
		worst := r.Worst()
		if len(subjects) != len(worst) {
			t.Errorf("%s: %d findings in the letter, %d in the review", name, len(subjects), len(worst))
		}
		for i, o := range worst {
			if subjects[i+1] != o.Subject.Label() || checks[i+1] != o.Check.ID {
				t.Errorf("%s: number %d is %s for %s, expected %s for %s", name, i+1, checks[i+1], subjects[i+1], o.Check.ID, o.Subject.Label())
			}
		}
		sum := tally{Name: "together"}
		for _, x := range v.Order {
			sum.NotMet, sum.Undetermined, sum.Met = sum.NotMet+x.NotMet, sum.Undetermined+x.Undetermined, sum.Met+x.Met
			sum.NotApplicable, sum.Excused, sum.Together = sum.NotApplicable+x.NotApplicable, sum.Excused+x.Excused, sum.Together+x.Together
		}
		if sum != v.Totals {
			t.Errorf("%s: the rows add up to %+v, the total is %+v", name, sum, v.Totals)
		}
	}
}

// The job's hash can be had again from its files, put end to end.
func TestBasisOfReview(t *testing.T) {
	r := reporttest.Demo(t, "house")
	rows, files := basis(r, Options{Version: "1.2.3"})
	whole := sha256.New()
	for _, f := range []string{"house.toml", "equipment.toml"} {
		text, err := os.ReadFile("../../testdata/jobs/" + f)
		if err != nil {
			t.Fatal(err)
		}
		whole.Write(text)
		one := sha256.Sum256(text)
		if i := slices.IndexFunc(files, func(x field) bool { return strings.HasSuffix(x.Label, f) }); i < 0 || files[i].Text != hex.EncodeToString(one[:]) {
			t.Errorf("the hash of %s is not listed: %v", f, files)
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
	if rows, _ := basis(r, Options{}); rows[0].Label == "Program" {
		t.Error("a version that is not given is printed")
	}
}

func TestSheetOfAComment(t *testing.T) {
	r := reporttest.Roof(t, job.Edits{})
	for discipline, want := range map[string]string{"fire": "PV-2 (roof plan)", "electrical": "", "no such": ""} {
		if got := sheetFor(r.Job, discipline); got != want {
			t.Errorf("%s: %q, expected %q", discipline, got, want)
		}
	}
}

func TestRemedyNamesTheMissingKeys(t *testing.T) {
	r := reporttest.Roof(t, job.Edits{})
	o := reporttest.Find(t, r, "fire/strip", "array later")
	if got := remedy(o); !strings.HasPrefix(got, "State array.later.origin, array.later.rows,") {
		t.Errorf("%q", got)
	}
	o.Needs = nil
	o.Reasons = []string{"outside the method\nsecond line"}
	if got := lacking(o); !slices.Equal(got, []string{"outside the method"}) {
		t.Errorf("%q", got)
	}
	if got := remedy(o); !strings.Contains(got, "licensed professional") {
		t.Errorf("%q", got)
	}
}
