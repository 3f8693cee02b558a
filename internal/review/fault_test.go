package review

import (
	"fmt"
	"strings"
	"testing"

	"plumbrule/internal/job"
)

// A single fault in a job is one comment, or as many as there are things to do
// about it: where two places state one thing either may be the wrong one. The rest
// stands below.
func TestOneFaultOneComment(t *testing.T) {
	one := func(key string, value any) map[string]any { return map[string]any{key: value} }
	const lag, screw = `fastener_type."lag 5/16 x 4"`, "fastener_type.quarter-14"
	for _, x := range []struct {
		job      string
		set      map[string]any
		unset    string
		comments string // their keys, in order
		below    string // a check with something below the first of them
	}{
		{job: "house", set: one(lag+".length", "2 in"), comments: "structural/lag-penetration", below: "structural/lag-embedment"},
		{job: "house", set: one(lag+".diameter", "1/8 in"), comments: "structural/attachment-combined", below: "structural/lag-penetration"},
		{job: "house", set: one(lag+".material", "aluminum"), comments: "structural/wood-fastener-steel", below: "structural/seismic-lateral"},
		{job: "house", set: one(lag+".kind", "bolt"), comments: "structural/attachment-downslope, adoption.s100 or adoption.nds", below: "structural/attachment-uplift"},
		{job: "house", set: one("plane.south.framing.material", "steel"), comments: "structural/fastener-suits-framing, structural/framing-shown", below: "structural/attachment-combined"},
		{job: "barn", set: one("plane.south.framing.material", "wood"), comments: "structural/fastener-suits-framing, structural/framing-shown", below: "structural/attachment-uplift"},
		{job: "barn", set: one(screw+".kind", "seam-clamp"), comments: "structural/fastener-suits-framing", below: "structural/attachment-downslope"},
		{job: "house", set: one("site.ground_snow_edition", "7-22"), comments: "structural/ground-snow-edition", below: "structural/attachment-down"},
		{job: "barn", set: one("site.ground_snow_edition", "7-10"), comments: "structural/ground-snow-edition", below: "structural/load-path"},
		{job: "barn", set: one("building.dwelling", true), comments: "fire/dwelling-and-occupancy, adoption.irc, plane.below_escape_opening, structural/dwelling-risk-category", below: "fire/perimeter"},
		{job: "house", set: one("plane.south.slope", "16:12"), comments: "fire/coverage-stated, structural/wind-method"},
		{job: "house", set: one("array.south.attachments.spacing", "96 in"),
			comments: "structural/attachment-spacing-zone, layout/cantilever, layout/end-module-feet, layout/rail-splices"},
		{job: "house", unset: "site.exposure", comments: "site.exposure", below: "structural/attachment-uplift"},
		{job: "barn", unset: "adoption.ibc", comments: "adoption.ibc or adoption.irc", below: "structural/framing-shown"},
		{job: "house", unset: lag + ".plate", comments: "fastener_type.plate", below: "structural/attachment-uplift"},
	} {
		edits := job.Edits{Set: x.set}
		if x.unset != "" {
			edits.Unset = []string{x.unset}
		}
		says := fmt.Sprint(x.job, x.set, x.unset)
		next, err := session(t, x.job).With(edits)
		if err != nil {
			t.Errorf("%s: %v", says, err)
			continue
		}
		r := next.Review()
		holdComments(t, says, r)
		var keys []string
		for _, c := range r.Comments() {
			keys = append(keys, c.Key())
		}
		if got := strings.Join(keys, ", "); got != x.comments {
			t.Errorf("%s: comments %s, want %s", says, got, x.comments)
			continue
		}
		found := x.below == ""
		for _, f := range r.Comments()[0].Follows {
			found = found || f.Check.ID == x.below
		}
		if !found {
			t.Errorf("%s: nothing of %s stands below %s", says, x.below, keys[0])
		}
	}
}
