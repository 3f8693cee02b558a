package review

import (
	"slices"
	"strings"
	"testing"

	"plumbrule/internal/job"
	"plumbrule/internal/source"
	"plumbrule/internal/table"
)

// small reviews a job of a few lines under one rule.
func small(t *testing.T, rule, text string) *Review {
	t.Helper()
	whole, _ := book(t)
	b, err := whole.Add([]*source.File{source.NewFile("trial/rule.toml", []byte(rule))})
	if err != nil {
		t.Fatal(err)
	}
	j, err := job.Parse("small.toml", []byte("[project]\nname = \"small\"\n"+text), nil)
	if err != nil {
		t.Fatal(err)
	}
	r, err := Run(j, b, &table.Set{}, Options{Leave: Leave{Stated: true}})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

const fuseRule = `
title = "Fuses are small"
severity = "correction"
each = "overcurrent"
measure = "overcurrent.rating"
at_most = 'q("15 A")'
because = "a trial"
[[cite]]
code = "common practice"
section = ""
[[example]]
job = "barn"
expect = "met"
[[example]]
job = "barn"
expect = "not met"
`

// A deviation excuses the thing that it names, by its own name or with its
// kind before it, and no other whose name ends alike.
func TestDeviationNamesItsSubjectExactly(t *testing.T) {
	const fuses = `
[[overcurrent]]
name = "south"
rating = "20 A"
[[overcurrent]]
name = "upper south"
rating = "20 A"
[[overcurrent]]
name = "line 1 foot 1"
rating = "20 A"
`
	for subject, want := range map[string][]string{
		"south":                     {"south"},
		"overcurrent south":         {"south"},
		"upper south":               {"upper south"},
		"overcurrent line 1 foot 1": {"line 1 foot 1"},
		"1":                         nil,
		"foot 1":                    nil,
		"overcurrent":               nil,
		"current south":             nil,
		"overcurrent.south":         nil,
		"South":                     nil,
	} {
		r := small(t, fuseRule, fuses+"[[deviation]]\ncheck = \"trial/rule\"\nsubject = \""+subject+"\"\nreason = \"seen\"\nby = \"A. Reader\"\ndate = 2026-03-02\nreference = \"letter\"\n")
		var got []string
		for _, o := range r.Outcomes {
			if o.Excused != nil {
				got = append(got, o.Subject.Name)
			}
		}
		if !slices.Equal(got, want) {
			t.Errorf("a deviation for %q excuses %q, expected %q", subject, got, want)
		}
		if unused := len(r.Unfounded()) == 1; unused != (want == nil) {
			t.Errorf("a deviation for %q: %d are reported as unused", subject, len(r.Unfounded()))
		}
	}
}

// The same over the demo jobs: the feet of the barn end in the same words on
// every line.
func TestDeviationExcusesNoFootByItsNumber(t *testing.T) {
	b, tables := book(t)
	const check = "layout/fastener-on-framing"
	run := func(subject string) *Review {
		r, err := Run(edited(t, "barn-faulty", job.Edits{Set: map[string]any{
			"deviation": []map[string]any{{"check": check, "subject": subject, "reason": "seen", "by": "A. Reader", "date": "2026-03-02", "reference": "letter"}},
		}}), b, tables, Options{Only: []string{check}, Leave: Leave{Stated: true}})
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	open := run("nothing of that name")
	found := ""
	for i := range open.Outcomes {
		if o := &open.Outcomes[i]; o.Outstanding() && strings.HasSuffix(o.Subject.Name, " foot 1") {
			found = o.Subject.Name
		}
	}
	if found == "" {
		t.Fatal("no first foot of a line has a finding: the test shows nothing")
	}
	for _, inexact := range []string{"1", "foot 1", found[1:]} {
		if r := run(inexact); r.Totals.Excused != 0 || len(r.Unfounded()) != 1 {
			t.Errorf("%q excuses %d outcomes, %d deviations are unused", inexact, r.Totals.Excused, len(r.Unfounded()))
		}
	}
	for _, exact := range []string{found, "attachment " + found} {
		if r := run(exact); r.Totals.Excused != 1 || len(r.Unfounded()) != 0 {
			t.Errorf("%q excuses %d outcomes, %d deviations are unused", exact, r.Totals.Excused, len(r.Unfounded()))
		}
	}
}

// Keys that are missing and reasons that are no keys stand apart. Where one of
// several keys is enough they are one need.
func TestNeedsAreKeys(t *testing.T) {
	const rule = `
title = "The trial"
severity = "verify"
each = "site"
measure = "site.record_low"
at_least = 'q("-40 degC")'
because = "a trial"
[[cite]]
code = "NEC"
editions = ["2020"]
section = "1"
[[cite]]
code = "IFC"
editions = ["2018"]
section = "2"
[[example]]
job = "barn"
expect = "met"
[[example]]
job = "barn"
expect = "not met"
`
	keys := func(o *Outcome) (out []string) {
		for _, n := range o.Needs {
			out = append(out, strings.Join(n.Keys, "|"))
		}
		return out
	}
	o := &small(t, rule, "[adoption]\nnec = \"2020\"\n[site]\n").Outcomes[0]
	if got := keys(o); o.Result != Undetermined || !slices.Equal(got, []string{"site.record_low"}) || len(o.Reasons) != 0 {
		t.Errorf("%s, needs %q, reasons %q", o.Result, got, o.Reasons)
	}
	o = &small(t, rule, "[site]\nrecord_low = \"-30 degC\"\n").Outcomes[0]
	if got := keys(o); o.Result != Undetermined || !slices.Equal(got, []string{"adoption.ifc|adoption.nec"}) || len(o.Reasons) != 0 {
		t.Errorf("%s, needs %q, reasons %q", o.Result, got, o.Reasons)
	}
	o = &small(t, rule, "[adoption]\nnec = \"2014\"\n[site]\nrecord_low = \"-30 degC\"\n").Outcomes[0]
	if o.Result != Undetermined || len(o.Needs) != 0 || len(o.Reasons) != 1 {
		t.Errorf("%s, needs %q, reasons %q", o.Result, keys(o), o.Reasons)
	}
}

// On the demo jobs too every need is a key of the job file's own grammar, and
// whatever is undetermined says why.
func TestEveryNeedIsAKey(t *testing.T) {
	b, tables := book(t)
	for _, name := range []string{"barn-faulty", "house-faulty", "commercial-faulty"} {
		r, err := Run(edited(t, name, job.Edits{Unset: []string{"adoption", "site", "building"}}), b, tables, Options{})
		if err != nil {
			t.Fatal(err)
		}
		open := 0
		for i := range r.Outcomes {
			o := &r.Outcomes[i]
			if o.Result != Undetermined {
				if len(o.Needs)+len(o.Reasons) > 0 {
					t.Errorf("%s: %s for %s is %s and needs something", name, o.Check.ID, o.Subject.Label(), o.Result)
				}
				continue
			}
			open++
			if len(o.Needs)+len(o.Reasons) == 0 {
				t.Errorf("%s: %s for %s does not say what is missing", name, o.Check.ID, o.Subject.Label())
			}
			for _, n := range o.Needs {
				if len(n.Keys) == 0 {
					t.Errorf("%s: %s for %s has a need without a key", name, o.Check.ID, o.Subject.Label())
				}
				for _, key := range n.Keys {
					if _, ok := job.SplitKey(key); !ok || strings.Contains(key, " or ") {
						t.Errorf("%s: %s for %s needs %q, which is no key", name, o.Check.ID, o.Subject.Label(), key)
					}
				}
			}
		}
		if open < 50 {
			t.Errorf("%s: only %d outcomes are undetermined: the test shows little", name, open)
		}
	}
}
