package review

import (
	"strings"
	"testing"

	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
	"plumbrule/internal/source"
	"plumbrule/rules"
)

// A check that does not apply says which part of its condition is false, with
// the values read, in the units of the job. The demo barn is a U.S. one.
func TestWhyItDoesNotApply(t *testing.T) {
	whole, tables := book(t)
	unset := []string{"site.design_high"}
	set := map[string]any{"building.dwelling": false, "site.record_low": "-14 degF", "plane.south.slope": "4:12",
		"interconnection.kind": "busbar", "service.voltage": "240 V", "adoption.nec": "2020"}
	j := edited(t, "barn", job.Edits{Set: set, Unset: unset})
	for when, want := range map[string]string{
		`building.dwelling`:                                                           "building.dwelling is no",
		`!!building.dwelling`:                                                         "building.dwelling is no",
		`!(!building.dwelling)`:                                                       "building.dwelling is no",
		`interconnection.kind == "supply-side"`:                                       "interconnection.kind is busbar, not supply-side",
		`interconnection.kind != "busbar"`:                                            "interconnection.kind is busbar",
		`"supply-side" == interconnection.kind`:                                       "interconnection.kind is busbar, not supply-side",
		`interconnection.kind in ["feeder", "supply-side"]`:                           "interconnection.kind is busbar, none of feeder, supply-side",
		`!(interconnection.kind in ["feeder", "busbar"])`:                             "interconnection.kind is busbar",
		`interconnection.kind == "feeder" || interconnection.kind == "feeder-tap"`:    "interconnection.kind is busbar, none of feeder, feeder-tap",
		`adoption.nec >= "2023"`:                                                      "adoption.nec is 2020, below 2023",
		`service.voltage > q("240 V")`:                                                "service.voltage is 240 V, not above 240 V",
		`service.voltage < q("208 V")`:                                                "service.voltage is 240 V, not below 208 V",
		`service.voltage <= q("208 V")`:                                               "service.voltage is 240 V, above 208 V",
		`q("480 V") <= service.voltage`:                                               "service.voltage is 240 V, below 480 V",
		`!(service.voltage > q("208 V"))`:                                             "service.voltage is 240 V, above 208 V",
		`site.record_low > q("0 degC")`:                                               "site.record_low is -14 degF, not above 32 degF",
		`service.voltage * 2 > q("1 kV")`:                                             "service.voltage * 2 is 480 V, not above 1000 V",
		`service.voltage > service.voltage * 2`:                                       "service.voltage is 240 V, not above service.voltage * 2 (480 V)",
		`building.dwelling && service.voltage > q("300 V") && adoption.nec == "2020"`: "building.dwelling is no; service.voltage is 240 V, not above 300 V",
		// What is not known is not said to be false.
		`site.design_high > q("90 degF") && building.dwelling`: "building.dwelling is no",
		`building.dwelling && site.design_high > q("90 degF")`: "building.dwelling is no",
		// All of an "or" is false; all of what is denied is true.
		`building.dwelling || service.voltage > q("300 V")`:       "building.dwelling is no and service.voltage is 240 V, not above 300 V",
		`!(adoption.nec == "2020" && service.voltage > q("1 V"))`: "adoption.nec is 2020 and service.voltage is 240 V, above 1 V",
		`!(adoption.nec == "2020" || service.voltage > q("1 V"))`: "adoption.nec is 2020; service.voltage is 240 V, above 1 V",
		`planes.exists(p, p.slope > q("60 deg"))`:                 `no p in planes has p.slope > q("60 deg")`,
		`planes.all(p, p.slope > q("60 deg"))`:                    `not every p in planes has p.slope > q("60 deg")`,
		`!planes.all(p, p.slope < q("60 deg"))`:                   `every p in planes has p.slope < q("60 deg")`,
		`size(planes) > 50`:                                       "size(planes) is 2, not above 50",
		// What has no words of its own is written out, with what it read.
		`building.dwelling ? true : service.voltage > q("300 V")`: `building.dwelling ? true : (service.voltage > q("300 V")) is no (building.dwelling is no, service.voltage is 240 V)`,
	} {
		text := "title = \"a\"\nseverity = \"correction\"\neach = \"submittal\"\nwhen = '''" + when + "'''\nrequire = \"true\"\nbecause = \"x\"\n" +
			"[[cite]]\ncode = \"common practice\"\nsection = \"x\"\n" + strings.Repeat("[[example]]\njob = \"barn\"\nexpect = \"met\"\n", 2)
		b, err := whole.Add([]*source.File{source.NewFile("x/y.toml", []byte(text))})
		if err != nil {
			t.Errorf("%s: %v", when, err)
			continue
		}
		r, err := Run(j, b, tables, Options{})
		if err != nil {
			t.Fatal(err)
		}
		o := &r.Outcomes[0]
		if got := o.Why(); o.Result != NotApplicable || got != "does not apply: "+want {
			t.Errorf("%s is %s\n got %s\nwant does not apply: %s", when, o.Result, got, want)
		}
		if o.Reason != "" {
			t.Errorf("%s: the words were made before anybody asked", when)
		}
	}
}

// Every check of the codebook that does not apply to something in the demo jobs
// says why, in one line.
func TestEveryConditionTells(t *testing.T) {
	_, tables := book(t)
	b, err := codebook.LoadProven(rules.FS) // as the program does
	if err != nil {
		t.Fatal(err)
	}
	told := 0
	for _, name := range []string{"barn", "house", "commercial"} {
		r, err := Run(edited(t, name, job.Edits{}), b, tables, Options{})
		if err != nil {
			t.Fatal(err)
		}
		seen := map[string]bool{}
		for i := range r.Outcomes {
			o := &r.Outcomes[i]
			if o.Result != NotApplicable || seen[o.Check.ID] {
				continue
			}
			seen[o.Check.ID] = true
			told++
			why := o.Why()
			if told := strings.TrimPrefix(why, "does not apply: "); why == "" || o.Reason == "" && (told == "" || told == why) || strings.Contains(why, "\n") {
				t.Errorf("%s: %s for %s: %q", name, o.Check.ID, o.Subject.Label(), why)
			}
		}
	}
	if told < 100 {
		t.Errorf("only %d were told", told)
	}
}
