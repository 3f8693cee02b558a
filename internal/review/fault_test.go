package review

import (
	"fmt"
	"maps"
	"strings"
	"testing"

	"plumbrule/internal/job"
)

// fault is one thing that is wrong with a demo job, all of which is written out,
// and the comments that it gives.
type fault struct {
	job      string
	set      map[string]any
	unset    string
	comments string // their keys, in order
	below    string // a check with something below the first of them
}

func (f fault) edits() job.Edits {
	e := job.Edits{Set: f.set}
	if f.unset != "" {
		e.Unset = []string{f.unset}
	}
	return e
}

func (f fault) String() string { return fmt.Sprint(f.job, " ", f.set, f.unset) }

func one(key string, value any) map[string]any { return map[string]any{key: value} }

const (
	lag   = `fastener_type."lag 5/16 x 4"`
	screw = "fastener_type.quarter-14"
)

// faults are single ones: a wrong value, a wrong count, an entry or a key left
// out. Several comments stand where there are several things to do about one:
// where two places state one thing either may be the wrong one, and each paper
// that repeats a value has to be corrected by itself.
var faults = []fault{
	{job: "house", set: one(lag+".length", "2 in"), comments: "structural/lag-penetration", below: "structural/lag-embedment"},
	{job: "house", set: one(lag+".diameter", "1/8 in"), comments: "structural/attachment-combined", below: "structural/lag-penetration"},
	{job: "house", set: one(lag+".material", "aluminum"), comments: "structural/wood-fastener-steel", below: "structural/seismic-lateral"},
	{job: "house", set: one(lag+".kind", "bolt"), comments: "structural/attachment-downslope, adoption.s100 or adoption.nds", below: "structural/attachment-uplift"},
	{job: "house", set: one("plane.south.framing.material", "steel"), comments: "structural/fastener-suits-framing, layout/framing-material-agrees", below: "structural/attachment-combined"},
	{job: "barn", set: one("plane.south.framing.material", "wood"), comments: "structural/fastener-suits-framing, layout/framing-material-agrees", below: "structural/attachment-uplift"},
	{job: "barn", set: one(screw+".kind", "seam-clamp"), comments: "structural/fastener-suits-framing", below: "structural/attachment-downslope"},
	{job: "house", set: one("site.ground_snow_edition", "7-22"), comments: "structural/ground-snow-edition", below: "structural/attachment-down"},
	{job: "barn", set: one("site.ground_snow_edition", "7-10"), comments: "structural/ground-snow-edition", below: "structural/load-path"},
	{job: "barn", set: one("building.dwelling", true), comments: "fire/dwelling-and-occupancy, adoption.irc, structural/dwelling-risk-category", below: "fire/perimeter"},
	{job: "house", set: map[string]any{"plane.south.slope": "16:12", "plane.north.slope": "16:12"}, comments: "fire/coverage-stated, structural/wind-method"},
	{job: "house", set: one("plane.south.slope", "16:12"), comments: "layout/plane-heights-agree, fire/coverage-stated, fire/elevations-of-steps", below: "fire/ridge-strip"},
	{job: "barn", set: one("plane.south.eave_elevation", "16 ft"), comments: "layout/plane-heights-agree", below: "structural/snow-unbalanced"},
	{job: "house", set: one("array.south.attachments.spacing", "96 in"),
		comments: "structural/attachment-spacing-zone, layout/cantilever, layout/end-module-feet"},
	{job: "house", unset: "site.exposure", comments: "site.exposure", below: "structural/attachment-uplift"},
	{job: "barn", unset: "adoption.ibc", comments: "adoption.ibc", below: "structural/framing-shown"},
	{job: "house", unset: lag + ".plate", comments: "fastener_type.plate", below: "structural/attachment-uplift"},
	{job: "barn", set: one("string.S1.modules", 16), comments: "electrical/string-voltage-inverter, electrical/array-wired", below: "electrical/conductor-voltage"},
	{job: "barn", set: one("string.S1.modules", 8), comments: "electrical/array-wired", below: "electrical/module-counts-agree"},
	{job: "barn", set: one("overcurrent.F1.rating", "15 A"), comments: "electrical/string-fuse-smallest"},
	{job: "barn", set: one("overcurrent.F1.rating", "30 A"), comments: "electrical/string-fuse-largest"},
	{job: "barn", set: one("overcurrent.F1.pv_listed", false), comments: "electrical/overcurrent-pv-listed", below: "electrical/overcurrent-dc-rated"},
	{job: "barn", set: one("overcurrent.F4.rating", "50 A"), comments: "electrical/overcurrent-large-enough"},
	{job: "barn", set: one("overcurrent.F4.rating", "90 A"), comments: "electrical/conductor-protection, grounding/equipment-ground-size", below: "electrical/inverter-overcurrent-limit"},
	{job: "barn", set: one(`circuit."string 1".conductor`, "14 AWG"), comments: "electrical/conductor-protection", below: "electrical/small-conductor-protection"},
	{job: "barn", set: one(`circuit."inverter output".conductor`, "10 AWG"), comments: "electrical/conductor-protection", below: "electrical/small-conductor-protection"},
	{job: "barn", set: one(`circuit."inverter output".terminal`, "60 degC"), comments: "electrical/conductor-before-conditions"},
	{job: "barn", set: one(`circuit."inverter output".ground`, "14 AWG"), comments: "grounding/equipment-ground-size", below: "electrical/contents-agree"},
	{job: "barn", set: one(`circuit."supply side".ground`, "10 AWG"), comments: "grounding/supply-side-bonding-jumper", below: "electrical/contents-agree"},
	{job: "barn", set: one(`circuit."string 1".trade_size`, "1/2"), comments: "electrical/raceway-fill"},
	{job: "barn", set: one(`circuit."string 1".voltage_rating`, "300 V"), comments: "electrical/conductor-voltage"},
	{job: "barn", set: one(`circuit."string 1".insulation`, "TW"), comments: "electrical/contents-agree"},
	{job: "barn", set: one(`circuit."inverter output".length`, "1200 ft"), comments: "electrical/voltage-drop"},
	{job: "barn", set: one("inverter_type.S11.output_voltage", "208 V"), comments: "electrical/output-voltage", below: "electrical/carrying-count"},
	{job: "barn", set: one("inverter_type.S11.maximum_input_voltage", "480 V"), comments: "electrical/string-voltage-inverter, electrical/inverter-window-agrees"},
	{job: "barn", set: one("inverter_type.S11.mppt_low", "420 V"), comments: "electrical/hot-string-voltage"},
	{job: "barn", set: one("inverter_type.S11.listed", "none"), comments: "electrical/inverter-listed"},
	{job: "barn", set: one("module_type.M410.voc", "57.3 V"), comments: "electrical/string-voltage-inverter", below: "electrical/conductor-voltage"},
	{job: "barn", set: one("module_type.M410.maximum_system_voltage", "400 V"), comments: "electrical/string-voltage-module"},
	{job: "barn", set: one("module_type.M410.connector", "type 5"), comments: "electrical/connector-match"},
	{job: "barn", set: one("rapid_shutdown.method", "none"), comments: "electrical/rapid-shutdown-method"},
	{job: "barn", set: one("rapid_shutdown.inside_voltage", "120 V"), comments: "electrical/rapid-shutdown-inside-voltage"},
	{job: "barn", unset: `disconnect."PV disconnect"`, comments: "electrical/disconnect-shown, interconnection/supply-disconnect", below: "electrical/equipment-disconnect-ac"},
	{job: "barn", unset: `disconnect."DC disconnect"`, comments: "electrical/equipment-disconnect"},
	{job: "barn", set: one(`disconnect."PV disconnect".rating`, "30 A"), comments: "electrical/disconnect-rating", below: "electrical/disconnect-device"},
	{job: "barn", set: one(`disconnect."PV disconnect".voltage`, "120 V"), comments: "electrical/disconnect-voltage"},
	{job: "barn", set: one(`disconnect."PV disconnect".distance`, "80 ft"), comments: "electrical/disconnect-sight-agrees"},
	{job: "barn", set: one("service.voltage", "208 V"), comments: "electrical/output-voltage", below: "electrical/carrying-count"},
	{job: "barn", set: one("service.system", "three-phase"), comments: "circuit.system, inverter.lines", below: "electrical/carrying-count"},
	{job: "barn", set: one("service.rating", "100 A"), comments: "interconnection/main-within-rating"},
	{job: "barn", set: one("service.main", "400 A"), comments: "electrical/one-line-main, interconnection/main-within-busbar"},
	{job: "barn", set: one("interconnection.conductor", "10 AWG"), comments: "interconnection/supply-conductor", below: "interconnection/supply-conductor-agrees"},
	{job: "barn", set: one("site.record_low", "-60 degF"), comments: "electrical/one-line-voltage, labels/dc-voltage-agrees"},
	{job: "house", set: one("service.busbar", "100 A"), comments: "interconnection/busbar-supply", below: "interconnection/busbar"},
	{job: "house", set: one("overcurrent.B3.rating", "60 A"), comments: "electrical/conductor-protection", below: "electrical/overcurrent-next-size"},
	{job: "house", set: one("overcurrent.B3.rating", "25 A"), comments: "electrical/overcurrent-large-enough, grounding/equipment-ground-size", below: "interconnection/feeder-device"},
	{job: "house", set: one("interconnection.position", "other"), comments: "interconnection/opposite-end"},
	{job: "house", set: one("interconnection.option", "breaker-sum"), comments: "interconnection.load_breakers", below: "interconnection/busbar"},
	{job: "house", set: one(`panel."combiner panel".busbar`, "30 A"), comments: "interconnection/chain-busbar", below: "interconnection/chain-supply"},
	{job: "house", set: one(`circuit."combiner panel to service".conductor`, "12 AWG"), comments: "electrical/conductor-protection", below: "electrical/small-conductor-protection"},
	{job: "house", set: one(`circuit."branch A".units`, 14), comments: "electrical/branch-length", below: "electrical/overcurrent-large-enough"},
	{job: "house", set: one("inverter_type.U285.system", "three-phase"), comments: "electrical/output-voltage", below: "electrical/carrying-count"},
	{job: "house", set: one("inverter_type.U285.output_voltage", "208 V"), comments: "electrical/output-voltage", below: "electrical/carrying-count"},
	{job: "house", unset: "inverter_type.U285.output_voltage", comments: "inverter_type.output_voltage", below: "electrical/output-voltage"},
	{job: "barn", unset: "inverter_type.S11.output_voltage", comments: "inverter_type.output_voltage", below: "electrical/output-voltage"},
	{job: "commercial", set: one(`circuit."combiner output".conductor`, "6 AWG"), comments: "electrical/conductor-before-conditions", below: "electrical/conductor-after-conditions"},
	{job: "commercial", set: one(`circuit."combiner output".trade_size`, "3/4"), comments: "electrical/raceway-fill"},
	{job: "commercial", set: one(`circuit."combiner output".ground`, "12 AWG"), comments: "grounding/equipment-ground-size", below: "electrical/contents-agree"},
	{job: "commercial", set: one("combiner.CB1.voltage", "600 V"), comments: "electrical/combiner-voltage"},
	{job: "commercial", unset: "combiner.CB1", comments: "electrical/circuit-traced, labels/place-exists"},
	{job: "house", set: one("grounding.rods", 1), comments: "grounding.rod_resistance_proven", below: "grounding/second-rod"},
	{job: "house", set: one("grounding.electrode_conductor", "10 AWG"), comments: "grounding/electrode-conductor-size"},
	{job: "house", set: one("grounding.array_conductor", "14 AWG"), comments: "grounding/array-ground-size", below: "grounding/exposed-array-ground"},
	{job: "house", set: one("grounding.electrode_material", "aluminum"), comments: "grounding/electrode-conductor-size, grounding/aluminum-electrode-conductor"},
	{job: "barn", unset: "array.west.lug", comments: "grounding/bonding-path"},
	{job: "barn", set: one(`mounting_type."crest rail".bonding_modules`, []any{}), comments: "grounding/bonding-listed", below: "documents/mounting-listing"},
	{job: "barn", unset: `label."DC voltage"`, comments: "labels/dc-voltage"},
	{job: "barn", set: one(`label."DC voltage".voltage`, "600 V"), comments: "labels/dc-voltage-agrees"},
	{job: "commercial", unset: "label.L3", comments: "labels/rapid-shutdown"},
	{job: "commercial", set: one("label.L1.voltage", "800 V"), comments: "labels/dc-voltage-agrees"},
	{job: "commercial", set: one("label.L5.durable", false), comments: "labels/durable"},
	{job: "commercial", unset: `document."one-line"`, comments: "documents/one-line", below: "documents/rapid-shutdown-shown"},
	{job: "commercial", unset: `document."inverter data sheet"`, comments: "documents/inverter-cut-sheet"},
	{job: "commercial", unset: `document."roof plan"`, comments: "documents/roof-plan"},
	{job: "commercial", set: one(`document."roof plan".to_scale`, false), comments: "documents/roof-plan-scale"},
	{job: "commercial", set: one(`document."one-line".shows`, []any{"conductors"}), comments: "documents/one-line-shows", below: "documents/rapid-shutdown-shown"},
	{job: "barn", set: one("one_line.modules", 35), comments: "electrical/one-line-modules"},
	{job: "house", set: one("array.south.origin", []any{"56 in", "0 in"}), comments: "structural/wind-method"},
	{job: "barn", set: one("array.west.stand_off", "1 in"), comments: "layout/stand-off"},
	{job: "barn", set: one("array.west.attachments.first_offset", "12 in"), comments: "layout/fastener-on-rib-crest"},
	{job: "house", set: one("module_type.M400.fire_type", "3"), comments: "fire/class-module-type"},
	{job: "house", set: one("plane.south.below_escape_opening", true), comments: "fire/escape-opening-drawn"},
	{job: "barn", set: one("site.exposure", "D"), comments: "structural/stated-exposure", below: "structural/stated-velocity-pressure"},
	{job: "house", set: one("plane.south.framing.spacing", "24 in"), comments: "layout/fastener-on-framing"},
	{job: "barn", set: one("fastener_type.quarter-14.length", "1 1/2 in"), comments: "layout/screw-reach", below: "layout/thread-within-screw"},
	{job: "barn", set: one("fastener_type.quarter-14.material", "aluminum"), comments: "structural/metal-screw-steel", below: "structural/attachment-combined"},
	{job: "barn", set: one(`mounting_type."crest rail".attachment_uplift`, "100 lb"), comments: "structural/attachment-uplift"},
	{job: "barn", set: one(`mounting_type."crest rail".maximum_span`, "36 in"), comments: "layout/attachment-spacing"},
	{job: "barn", set: one("module_type.M410.weight", "147 lb"), comments: "structural/stated-dead-load"},
	{job: "commercial", set: one("plane.roof.covering.thickness", "0.012 in"), comments: "structural/seam-clamp-sheet"},
	{job: "barn", unset: "project.address", comments: "project.address", below: "documents/cover-data"},
	{job: "barn", unset: "site.record_low", comments: "site.record_low", below: "electrical/arc-fault"},
	{job: "barn", unset: "site.wind_speed", comments: "site.wind_speed", below: "structural/attachment-combined"},
	{job: "barn", unset: "site.fault_current", comments: "site.fault_current", below: "electrical/disconnect-interrupting"},
	{job: "barn", unset: "building.occupancy", comments: "building.occupancy", below: "documents/roof-plan-shows"},
	{job: "barn", unset: "plane.south.slope", comments: "structural/framing-shown", below: "fire/aisle-clear"},
	{job: "barn", unset: "plane.south.covering.thickness", comments: "plane.covering.thickness", below: "layout/screw-drills"},
	{job: "barn", unset: "plane.south.framing.spacing", comments: "structural/framing-shown", below: "layout/fastener-on-framing"},
	{job: "barn", unset: "module_type.M410.isc", comments: "module_type.isc", below: "electrical/conductor-after-conditions"},
	{job: "barn", unset: "module_type.M410.voc", comments: "module_type.voc", below: "electrical/arc-fault"},
	{job: "barn", unset: "inverter_type.S11.output_current", comments: "inverter_type.output_current", below: "electrical/conductor-after-conditions"},
	{job: "barn", unset: "inverter_type.S11.maximum_input_voltage", comments: "inverter_type.maximum_input_voltage", below: "electrical/string-voltage-inverter"},
	{job: "barn", unset: `mounting_type."crest rail".maximum_span`, comments: "mounting_type.maximum_span", below: "layout/attachment-spacing"},
	{job: "barn", unset: "fastener_type.quarter-14.diameter", comments: "fastener_type.diameter", below: "layout/head-covers-hole"},
	{job: "barn", unset: "array.west.stand_off", comments: "array.stand_off", below: "fire/class-stand-off"},
	{job: "barn", unset: "array.west.attachments.spacing", comments: "array.attachments.spacing", below: "layout/attachment-spacing"},
	{job: "barn", unset: "string.S1.modules", comments: "string.modules", below: "electrical/arc-fault"},
	{job: "barn", unset: "string.S1.inverter", comments: "string.inverter", below: "electrical/arc-fault"},
	{job: "barn", unset: `inverter."inverter 1".place`, comments: "inverter.place", below: "electrical/dc-inside-metal"},
	{job: "barn", unset: `circuit."inverter output".conductor`, comments: "circuit.conductor", below: "electrical/conductor-after-conditions"},
	{job: "barn", unset: `circuit."inverter output".overcurrent`, comments: "electrical/ac-circuit-protected", below: "electrical/conductor-protection"},
	{job: "barn", unset: `circuit."string 1".terminal`, comments: "circuit.terminal", below: "documents/assumed-values"},
	{job: "barn", unset: "overcurrent.F1.rating", comments: "overcurrent.rating", below: "electrical/conductor-protection"},
	{job: "barn", unset: `disconnect."PV disconnect".rating`, comments: "disconnect.rating", below: "electrical/disconnect-rating"},
	{job: "barn", unset: "service.rating", comments: "service.rating", below: "interconnection/supply-conductor"},
	{job: "barn", unset: "service.voltage", comments: "service.voltage", below: "electrical/circuit-voltage"},
	{job: "barn", unset: "interconnection.kind", comments: "interconnection.kind", below: "interconnection/busbar"},
	{job: "barn", unset: "grounding.electrode", comments: "grounding.electrode", below: "grounding/electrode-conductor-size"},
	{job: "barn", unset: "rapid_shutdown.method", comments: "rapid_shutdown.method", below: "electrical/rapid-shutdown-grounded-parts"},
	{job: "barn", unset: "label.output.current", comments: "label.current", below: "labels/ac-current-agrees"},
	{job: "commercial", unset: "label.L1.kind", comments: "label.kind", below: "labels/ac-current-agrees"},
	{job: "commercial", unset: "document.one-line.shows", comments: "document.shows", below: "documents/one-line-shows"},
	{job: "barn", unset: "one_line.modules", comments: "one_line.modules", below: "electrical/one-line-modules"},
	{job: "barn", unset: "stated.wind_speed", comments: "stated.wind_speed", below: "structural/stated-wind-speed"},
	{job: "house", unset: `obstruction."bath fan".at`, comments: "obstruction.at", below: "fire/pathway-on-array-plane"},
	{job: "house", unset: `panel."combiner panel".busbar`, comments: "panel.busbar", below: "interconnection/chain-busbar"},
}

// A single fault in a job is one comment, or as many as there are things to do
// about it. The rest stands below.
func TestOneFaultOneComment(t *testing.T) {
	base := map[string]*Session{}
	for _, x := range faults {
		if base[x.job] == nil {
			base[x.job] = writtenOut(t, x.job)
		}
		next, err := base[x.job].With(x.edits())
		if err != nil {
			t.Errorf("%s: %v", x, err)
			continue
		}
		r := next.Review()
		holdComments(t, x.String(), r)
		var keys []string
		for _, c := range r.Comments() {
			keys = append(keys, c.Key())
		}
		if got := strings.Join(keys, ", "); got != x.comments {
			t.Errorf("%s: comments %s, want %s", x, got, x.comments)
			continue
		}
		found := x.below == ""
		for _, f := range r.Comments()[0].Follows {
			found = found || f.Check.ID == x.below
		}
		if !found {
			t.Errorf("%s: nothing of %s stands below %s", x, x.below, keys[0])
		}
	}
}

// Of two of these faults in one job, mending the one changes what stands below its
// comment, and settles nothing that stands below the other alone.
func TestMendingOneFaultOfTwo(t *testing.T) {
	byJob := map[string][]fault{}
	for _, x := range faults {
		byJob[x.job] = append(byJob[x.job], x)
	}
	base := map[string]*Session{}
	mended, comments := 0, 0
	for name, list := range byJob {
		base[name] = writtenOut(t, name)
		for i, x := range step(list, 3) {
			other := list[(i*3+len(list)/2)%len(list)]
			both := x.edits()
			both.Set = maps.Clone(both.Set)
			if both.Set == nil {
				both.Set = map[string]any{}
			}
			maps.Copy(both.Set, other.set)
			both.Unset = append(both.Unset, other.edits().Unset...)
			two, err := base[name].With(both)
			if err != nil {
				continue // the one unsets what the other sets
			}
			left, err := base[name].With(other.edits())
			if err != nil {
				t.Fatal(err)
			}
			mended++
			comments += holdMended(t, fmt.Sprintf("%s and %s", x, other), two.Review(), left.Review())
		}
	}
	if mended < len(faults)/16 || comments < len(faults)/16 {
		t.Errorf("only %d pairs and %d comments with followers were tried", mended, comments)
	}
}
