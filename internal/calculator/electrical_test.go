package calculator

import (
	"errors"
	"strings"
	"testing"
)

// TestElectricalExamples runs the worked example of every electrical
// calculator and wants every declared result, the calculation and its sources.
func TestElectricalExamples(t *testing.T) {
	tables := loadTables(t)
	for _, c := range electricalCalculators() {
		t.Run(c.Name, func(t *testing.T) {
			if c.Gives == "" || c.Source == "" || len(c.Example) == 0 {
				t.Fatal("gives, source and example are needed")
			}
			for _, in := range c.Inputs {
				if in.Name == "" || in.Meaning == "" {
					t.Errorf("input %q has no meaning", in.Name)
				}
			}
			r, err := c.Call(c.Example, tables)
			if err != nil {
				t.Fatal(err)
			}
			for _, o := range c.Outputs {
				if _, ok := resultOf(r, o.Name); !ok {
					t.Errorf("result %q is missing", o.Name)
				}
			}
			if len(r.Work) == 0 || len(r.Cite) == 0 {
				t.Errorf("work %v, cite %v", r.Work, r.Cite)
			}
		})
	}
}

// TestContract holds names, inputs and results against the contract of the
// desk calculators.
func TestElectricalContract(t *testing.T) {
	contract := map[string]struct{ inputs, results string }{
		"cold-voltage":           {"voc modules record-low [voc-coefficient] nec", "voltage factor method"},
		"longest-string":         {"voc record-low [voc-coefficient] limit nec", "modules voltage"},
		"hot-voltage":            {"vmp modules ambient-high rise vmp-coefficient", "voltage cell-temperature"},
		"circuit-current":        {"isc [strings] [rear-gain]", "maximum-current required-ampacity"},
		"output-current":         {"continuous-output [units] [system]", "line-current required-ampacity"},
		"ampacity":               {"size material insulation [ambient] [current-carrying] [above-roof] [raceway-length] [terminal] nec", "table-ampacity adder effective-ambient correction adjustment corrected-ampacity terminal-ampacity usable-ampacity"},
		"conductor":              {"maximum-current [continuous] material insulation ambient current-carrying [above-roof] terminal nec", "size test1-required test2-required"},
		"standard-overcurrent":   {"current [kind] nec", "rating"},
		"string-fuse":            {"isc strings maximum-series-fuse nec", "fuse-required backfeed-current required-rating rating"},
		"equipment-ground":       {"overcurrent material [minimum-size] [installed-size] [why] [circuit] nec", "size required-area"},
		"electrode-conductor":    {"service-size [service-material] [sets] material [electrode]", "size"},
		"bonding-jumper":         {"size material [ungrounded-material] [sets]", "size"},
		"dc-electrode-conductor": {"largest-size material [electrode]", "size"},
		"busbar":                 {"busbar main [sources] [source-breakers] [load-breakers] [position] option nec", "required allowed met"},
		"feeder-connection":      {"feeder-ampacity feeder-overcurrent sources [load-side-overcurrent] nec", "required met"},
		"feeder-tap":             {"tap-length feeder-overcurrent sources tap-ampacity nec", "required met"},
		"supply-side":            {"service-rating sources [size] [material] [length] [place] nec", "minimum-size length-limit met"},
		"voltage-drop":           {"size material length current voltage system [temperature] [power-factor] [raceway]", "drop percent"},
		"raceway-fill":           {"raceway trade-size conductors [raceway-length]", "conductor-area raceway-area fill limit met"},
		"working-space":          {"voltage-to-ground condition nec", "depth width height"},
	}
	byName := map[string]*Calculator{}
	for _, c := range electricalCalculators() {
		byName[c.Name] = c
	}
	for name, want := range contract {
		c := byName[name]
		if c == nil {
			t.Errorf("no calculator %s", name)
			continue
		}
		wanted := map[string]bool{}
		for _, w := range strings.Fields(want.inputs) {
			bare := strings.Trim(w, "[]")
			wanted[bare] = true
			found := false
			for _, in := range c.Inputs {
				if in.Name == bare {
					found = true
					if in.Optional != (bare != w) {
						t.Errorf("%s: input %s: optional is %v", name, bare, in.Optional)
					}
				}
			}
			if !found {
				t.Errorf("%s: no input %s", name, bare)
			}
		}
		for _, in := range c.Inputs {
			if !wanted[in.Name] && !in.Optional {
				t.Errorf("%s: added input %s must be optional", name, in.Name)
			}
		}
		for _, w := range strings.Fields(want.results) {
			if c.output(w) == nil {
				t.Errorf("%s: no result %s", name, w)
			}
		}
	}
}

// TestElectricalRefusals wants an input error, which the command turns into
// its exit status 2, for values outside what the code covers.
func TestElectricalRefusals(t *testing.T) {
	tables := loadTables(t)
	byName := map[string]*Calculator{}
	for _, c := range electricalCalculators() {
		byName[c.Name] = c
	}
	for _, tc := range []struct{ calc, args, says string }{
		{"cold-voltage", "voc=40 V|modules=10|record-low=-41 degC|nec=2023", "no factor"},
		{"cold-voltage", "voc=40 V|modules=10|record-low=-5 degC|nec=2026", "690.7(A)"},
		{"cold-voltage", "voc=40 V|modules=10|record-low=-5 degC|voc-coefficient=0.28 %/degC|nec=2023", "voc-coefficient: 0.28"},
		{"cold-voltage", "voc=40 V|modules=10|record-low=-5 degC|voc-coefficient=3 A|nec=2023", "voc-coefficient"},
		{"cold-voltage", "voc=40 V|modules=0|record-low=-5 degC|nec=2023", "modules: 0 is out of range"},
		{"cold-voltage", "voc=40 V|modules=10|record-low=-5 degC|nec=2019", "2017, 2020, 2023, 2026"},
		{"ampacity", "size=10|material=copper|insulation=THWM-2|nec=2023", "THWN-2"},
		{"ampacity", "size=10|material=copper|insulation=THWN-2|ambient=90 degC|nec=2023", "may not be used"},
		{"ampacity", "size=14|material=aluminum|insulation=THWN-2|nec=2023", "14"},
		{"ampacity", "size=2|material=copper|insulation=THWN-2|sets=2|nec=2023", "1/0 AWG"},
		{"ampacity", "size=10|material=copper|insulation=THHN|place=wet|nec=2023", "not for wet"},
		{"standard-overcurrent", "current=6001 A|nec=2023", "current: 6001 A is out of range"},
		{"equipment-ground", "overcurrent=6500 A|material=copper|nec=2023", "overcurrent: 6500 A is out of range"},
		{"equipment-ground", "overcurrent=20 A|material=copper|installed-size=8|nec=2023", "both"},
		{"electrode-conductor", "service-size=2/0|material=aluminum|electrode=concrete-encased", "concrete-encased"},
		{"busbar", "busbar=200 A|main=200 A|sources=30 A|option=engineered|nec=2023", "engineer"},
		{"busbar", "busbar=200 A|main=200 A|sources=30 A|option=feed-through|nec=2017", "no option"},
		{"busbar", "busbar=200 A|main=200 A|sources=30 A|option=breaker-sum|nec=2023", "load devices"},
		{"busbar", "busbar=200 A|main=200 A|source-breakers=30 A|load-breakers=20 A|loads=no|option=breaker-sum|nec=2023", "without loads"},
		{"busbar", "busbar=200 A|main=200 A|sources=30 A|option=feed-through|nec=2023", "ampacity of the feed-through"},
		{"feeder-connection", "feeder-ampacity=200 A|feeder-overcurrent=150 A|sources=32 A|position=both-ends|nec=2023", "opposite-end"},
		{"feeder-tap", "tap-length=20 ft|feeder-overcurrent=200 A|sources=48 A,48 A|source-breakers=60 A|tap-ampacity=100 A|nec=2023", "give all of them"},
		{"supply-side", "service-rating=200 A|sources=47.5 A,152 A|source-breakers=60 A|nec=2017", "give all of them"},
		{"bonding-jumper", "size=500 kcmil|sets=3|material=aluminum", "beyond the table"},
		{"raceway-fill", "raceway=EMT|trade-size=3/4|conductors=4x10 PV wire", "outside diameter"},
		{"raceway-fill", "raceway=EMT|trade-size=7/8|conductors=4x10 THWN-2", "trade size"},
		{"voltage-drop", "size=10|material=copper|length=100 ft|current=10 A|voltage=240 V|system=dc|power-factor=0.9", "alternating"},
		{"working-space", "voltage-to-ground=1500 V|condition=1|nec=2023", "voltage-to-ground: 1500 V is out of range"},
	} {
		_, err := byName[tc.calc].Call(strings.Split(tc.args, "|"), tables)
		var fault *InputError
		if !errors.As(err, &fault) || !strings.Contains(err.Error(), tc.says) {
			t.Errorf("%s %s: error %v, want an input error with %q", tc.calc, tc.args, err, tc.says)
		}
	}
}
