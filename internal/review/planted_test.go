package review

import (
	"testing"

	"plumbrule/internal/job"
)

// planted names, for each faulty demo job, checks that its planted faults must
// trip. The clean twin of each trips none at all.
var planted = map[string][]string{
	"barn": {
		"electrical/string-voltage-inverter", "electrical/string-fuse", "electrical/string-fuse-largest",
		"electrical/module-counts-agree", "electrical/one-line-voltage", "labels/dc-voltage-agrees",
		"grounding/equipment-ground-size", "grounding/bonding-path",
		"layout/cantilever", "layout/fastener-on-framing", "layout/fastener-on-rib-crest",
		"layout/module-gap-maker", "layout/wire-clips",
		"structural/attachment-uplift", "structural/wind-method", "structural/attachment-spacing-zone", "fire/perimeter",
	},
	"house": {
		"fire/ridge-strip", "fire/two-pathways", "electrical/branch-length", "electrical/overcurrent-large-enough",
		"electrical/overcurrent-next-size", "electrical/one-line-modules", "labels/do-not-relocate", "grounding/second-rod",
		"grounding/bonding-path", "layout/cantilever", "layout/fastener-on-framing", "layout/wire-clips",
	},
	"commercial": {"electrical/string-voltage-building"},
}

func TestPlantedFaults(t *testing.T) {
	b, tables := book(t)
	for name, checks := range planted {
		t.Run(name, func(t *testing.T) {
			clean, err := Run(edited(t, name, job.Edits{}), b, tables, Options{})
			if err != nil {
				t.Fatal(err)
			}
			for i := range clean.Outcomes {
				if o := &clean.Outcomes[i]; o.Outstanding() {
					t.Errorf("the clean job: %s for %s is %s: %s%s", o.Check.ID, o.Subject.Label(), o.Result, o.Finding, o.Why())
				}
			}
			faulty, err := Run(edited(t, name+"-faulty", job.Edits{}), b, tables, Options{})
			if err != nil {
				t.Fatal(err)
			}
			tripped := map[string]bool{}
			for i := range faulty.Outcomes {
				if o := &faulty.Outcomes[i]; o.Result == NotMet {
					tripped[o.Check.ID] = true
				}
			}
			for _, id := range checks {
				if !tripped[id] {
					t.Errorf("the faulty job no longer trips %s", id)
				}
			}
		})
	}
}

// Totals add up to the number of pairs, and an outcome has one result only.
func TestTotalsAddUp(t *testing.T) {
	b, tables := book(t)
	r, err := Run(edited(t, "house-faulty", job.Edits{}), b, tables, Options{})
	if err != nil {
		t.Fatal(err)
	}
	n := r.Totals
	if n.Pairs != len(r.Outcomes) || n.Met+n.NotMet+n.Undetermined+n.NotApplicable+n.Excused != n.Pairs {
		t.Errorf("%+v do not add up to %d outcomes", n, len(r.Outcomes))
	}
	outstanding := 0
	for _, k := range n.Outstanding {
		outstanding += k
	}
	if outstanding != n.NotMet+n.Undetermined {
		t.Errorf("%d outstanding by severity, %d by result", outstanding, n.NotMet+n.Undetermined)
	}
}
